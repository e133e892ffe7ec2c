"""What a kilogram of a good holds of each nutrient, as it lies in the kitchen."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder.needs import NUTRIENTS

if TYPE_CHECKING:
    from yardland.reference.tables import Row, Tables

F64 = npt.NDArray[np.float64]
PER_KG = 10.0
"""Tables give contents per 100 g."""
TRYPTOPHAN_MG_PER_NIACIN_MG = 60.0
"""Dietary Reference Intakes (IOM 1998): 60 mg of tryptophan stand for 1 mg of niacin."""

RETAINED = {
    "vitamin_c_mg": "ret_vitamin_c",
    "vitamin_a_rae_ug": "ret_vitamin_a",
    "thiamin_mg": "ret_thiamin",
    "folate_dfe_ug": "ret_folate",
}
"""Nutrients, and the columns of stores.csv that say which share of them a way of keeping leaves."""


COOKED = {
    "vitamin_c_mg": "ret_vitamin_c",
    "vitamin_a_rae_ug": "ret_vitamin_a_rae",
    "thiamin_mg": "ret_thiamin",
    "riboflavin_mg": "ret_riboflavin",
    "niacin_mg": "ret_niacin",
    "vitamin_b6_mg": "ret_b6",
    "folate_dfe_ug": "ret_folate",
    "calcium_mg": "ret_calcium",
    "iron_mg": "ret_iron",
    "zinc_mg": "ret_zinc",
    "magnesium_mg": "ret_magnesium",
    "potassium_mg": "ret_potassium",
}
"""Nutrients, and the columns of retention.csv that say which share of them cooking leaves."""

WAYS_OF_COOKING = {"root": "r6.3456", "legume": "r6.521", "vegetable": "r6.3775"}
"""Row of retention.csv (USDA Table of Nutrient Retention Factors, Release 6) by group of foods; other groups have none."""
OWN_WAY = {"potato": "r6.3307", "tomato": "r6.3751"}
EATEN_RAW = frozenset({"lettuce", "endive", "cucumber", "celery", "parsley", "radish"})


def contents(tables: Tables, food: str) -> tuple[F64, tuple[str, ...]]:
    """Contents per kg edible of every nutrient of needs.NUTRIENTS, and the names of those not known (counted as 0).

    Niacin is preformed niacin + tryptophan / 60.
    """
    row = tables.row("foods", food)
    values = np.zeros(len(NUTRIENTS))
    unknown = []
    for index, nutrient in enumerate(NUTRIENTS):
        per_100g = row[nutrient]
        if per_100g is None:
            unknown.append(nutrient)
        else:
            values[index] = per_100g * PER_KG
    tryptophan_g = row["tryptophan_g"]
    if tryptophan_g is not None:
        values[NUTRIENTS.index("niacin_mg")] += tryptophan_g * 1000.0 * PER_KG / TRYPTOPHAN_MG_PER_NIACIN_MG
    return values, tuple(unknown)


def cooked(tables: Tables, food: str, values: F64) -> F64:
    """Contents after cooking: boiled roots and vegetables, legumes, potatoes in their skin; the rest as it is.

    USDA Table of Nutrient Retention Factors, Release 6 (2007); a factor that the table does not have is taken as 1.
    """
    way = OWN_WAY.get(food) or WAYS_OF_COOKING.get(tables.row("foods", food).text("group"), "")
    if not way or food in EATEN_RAW:
        return values
    row = tables.row("retention", way)
    left = values.copy()
    for nutrient, column in COOKED.items():
        share = row[column]
        if share is not None:
            left[NUTRIENTS.index(nutrient)] *= share
    return left


def retained(store: Row, per_kg: F64, concentration: float) -> F64:
    """Contents per kg in the form that a way of keeping gives.

    Args:
        store: a row of stores.csv; an empty retention is taken as 1.
        per_kg: contents of the good as put by.
        concentration: kg put by that are left in one kg (drying, boiling down, curing), 1 for all other ways.
    """
    values = per_kg * concentration
    for nutrient, column in RETAINED.items():
        share = store[column]
        if share is not None:
            values[NUTRIENTS.index(nutrient)] *= share
    return values


def aged(per_kg: F64, loss_a_month: float, ages: F64) -> F64:
    """Contents [nutrient, month] when what is eaten in a month has lain `ages` months: only vitamin C is followed."""
    values = np.repeat(per_kg[:, None], len(ages), axis=1)
    values[NUTRIENTS.index("vitamin_c_mg")] *= (1.0 - loss_a_month) ** ages
    return values


def mean_ages(arriving: npt.NDArray[np.float64], life_months: float) -> F64:
    """How many months ago what can be eaten in each month arrived, weighed by what arrived; 0 where nothing can be."""
    count = len(arriving)
    life = int(min(life_months, count - 1))
    ages = np.zeros(count)
    for month in range(count):
        weights = np.array([arriving[(month - age) % count] for age in range(life + 1)])
        if weights.sum() > 0.0:
            ages[month] = float(np.dot(weights, np.arange(life + 1)) / weights.sum())
    return ages
