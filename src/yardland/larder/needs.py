"""What each person needs a day: energy by FAO/WHO/UNU (2001), the rest by the Dietary Reference Intakes.

Ages are taken at the middle of the larder year; under three years month by month, since needs then change fast. A
weight typed for a child is taken as that of the middle of the year and moved by the report's yearly gain.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder import energy
from yardland.ledger.months import Month

if TYPE_CHECKING:
    from yardland.holding.model import Holding, Person, Span
    from yardland.reference import Tables

Months12 = npt.NDArray[np.float64]

NUTRIENTS = (
    "energy_kcal",
    "protein_g",
    "fat_g",
    "fibre_g",
    "calcium_mg",
    "iron_mg",
    "zinc_mg",
    "magnesium_mg",
    "potassium_mg",
    "vitamin_a_rae_ug",
    "vitamin_c_mg",
    "vitamin_d_ug",
    "vitamin_e_mg",
    "thiamin_mg",
    "riboflavin_mg",
    "niacin_mg",
    "vitamin_b6_mg",
    "folate_dfe_ug",
    "vitamin_b12_ug",
    "selenium_ug",
    "iodine_ug",
    "sodium_mg",
)
"""In the order of every array of nutrients."""

REPORTED_ONLY = ("iodine_ug", "sodium_mg")
"""Told but not planned for: composition tables hardly know iodine, and salt is added by hand."""

NEED_NAMES = {"folate_dfe_ug": "folate_ug"}
"""Names that the table of reference intakes gives to a nutrient of the tables of foods."""

ACTIVITY_LEVEL = {
    "sedentary": ("fao2001_light", "value_low"),
    "low active": ("fao2001_light", "value"),
    "active": ("fao2001_moderate", "value"),
    "very active": ("fao2001_vigorous", "value"),
}
"""Our activity words, and the row and column of the report's physical activity levels that each stands for."""

CHILD_ACTIVITY = {
    "sedentary": "child_light_factor",
    "low active": "child_light_factor",
    "very active": "child_heavy_factor",
}
CHILD_ACTIVITY_FROM_Y = 6.0
"""Children are counted as light or heavy in activity from this age (FAO/WHO/UNU 2001, section 4)."""
ADULT_FROM_Y = 18.0
WEANED_FROM_Y = 0.5
"""A younger child is fed by its mother (life stages of the Dietary Reference Intakes)."""
MONTHLY_UNDER_Y = 3.0
"""A younger child needs more from month to month (own choice)."""
MEAN_YEAR_DAYS = 365.25


@dataclass(frozen=True)
class PersonNeed:
    """A person's daily need over the larder year, as the published equation gives it.

    `energy_kcal_day` and `protein_g_day` are means over the year without absences; `equation` says how the energy at
    the middle of the year was worked out.
    """

    person: str
    age_y: float
    energy_kcal_day: float
    protein_g_day: float
    equation: str


@dataclass(frozen=True)
class Day:
    """One person's needs on one day: `amounts` by nutrient, and the words of the energy equation."""

    amounts: dict[str, float]
    equation: str


def household_need(
    holding: Holding, tables: Tables, months: tuple[Month, ...]
) -> tuple[tuple[PersonNeed, ...], dict[str, Months12]]:
    """Each person's need, and the household's need a day in each month.

    Args:
        holding: the plan; persons who are away in a month take so much off it.
        tables: reference tables `energy` and `needs`.
        months: the twelve larder months in which the people have their ages.

    Returns:
        The persons' needs, and nutrient (NUTRIENTS) -> float64 [12], mean need a day.
    """
    people = []
    total = {nutrient: np.zeros(len(months)) for nutrient in NUTRIENTS}
    for name, person in holding.people.items():
        days = person_days(person, tables, months)
        home = np.array([1.0 - away_fraction(person.away, month) for month in months])
        for nutrient in NUTRIENTS:
            total[nutrient] += np.array([day.amounts.get(nutrient, 0.0) for day in days]) * home
        people.append(mean_need(name, person, months, days))
    return tuple(people), total


def person_days(person: Person, tables: Tables, months: tuple[Month, ...]) -> tuple[Day, ...]:
    """The person's day in the middle of each month (under three years) or of the year (everybody else)."""
    middle = age_years(person.born, middle_of_year(months))
    ages = [age_years(person.born, middle_of_month(month)) for month in months]
    if min(*ages, middle) >= MONTHLY_UNDER_Y:
        return (day_need(person, tables, middle, middle),) * len(months)
    return tuple(day_need(person, tables, age, middle) for age in ages)


def mean_need(name: str, person: Person, months: tuple[Month, ...], days: tuple[Day, ...]) -> PersonNeed:
    """The year in one line, for the reader."""
    lengths = np.array([month.days for month in months], dtype=np.float64)
    mean = {
        nutrient: float(np.average([day.amounts.get(nutrient, 0.0) for day in days], weights=lengths))
        for nutrient in ("energy_kcal", "protein_g")
    }
    age = age_years(person.born, middle_of_year(months))
    return PersonNeed(name, age, mean["energy_kcal"], mean["protein_g"], days[len(days) // 2].equation)


def day_need(person: Person, tables: Tables, age_y: float, weighed_at_y: float) -> Day:
    """All nutrients of one person on a day at that age.

    Not yet born: nothing. Under half a year: what its mother needs more than another woman, since it is fed by her.
    """
    if age_y < 0.0:
        return Day({}, "not yet born")
    if age_y < WEANED_FROM_Y:
        return suckling_day(tables)
    kcal, equation = energy_day(person, tables, age_y, weighed_at_y)
    weight = weight_at(person, tables, age_y, weighed_at_y)
    amounts = {"energy_kcal": kcal} | intakes(tables, life_stage(tables, person.sex, age_y), weight, kcal)
    return Day(amounts, equation)


def suckling_day(tables: Tables) -> Day:
    """What a mother who feeds a child under half a year needs beyond other women of 19 to 30 years.

    Energy: FAO/WHO/UNU 2001, section 7 (`energy.fao2001_lactation_0_6mo`). The rest: the difference of two life stages
    of the Dietary Reference Intakes.
    """
    kcal = tables.row("energy", "fao2001_lactation_0_6mo").need("value")
    feeding, other = (
        {name: intake(tables, group, NEED_NAMES.get(name, name)) for name in NUTRIENTS[3:]}
        for group in ("lactating_19_30", "female_19_30")
    )
    amounts = {name: max(feeding[name] - other[name], 0.0) for name in feeding}
    protein = intake(tables, "lactating_19_30", "protein_g") - intake(tables, "female_19_30", "protein_g")
    return Day(
        amounts | {"energy_kcal": kcal, "protein_g": protein}, f"fed by its mother, who needs {kcal:.0f} kcal more"
    )


def energy_day(person: Person, tables: Tables, age_y: float, weighed_at_y: float) -> tuple[float, str]:
    """Energy in kcal a day, and the equation in words."""
    weight = weight_at(person, tables, age_y, weighed_at_y)
    if age_y >= ADULT_FROM_Y:
        return adult_day(tables, person.sex, age_y, weight, person.activity)
    if age_y < 1.0:
        row = tables.row("energy", equation_row(tables, "infant", "any", age_y))
        kcal = energy.infant_kcal(weight, row.need("per_kg"), row.need("constant"), row.need("added"))
        return kcal, f"infant, {weight:.1f} kg: {row.text('formula')} = {kcal:.0f} kcal a day"
    return child_day(tables, person.sex, age_y, weight, person.activity)


def adult_day(tables: Tables, sex: str, age_y: float, weight_kg: float, activity: str) -> tuple[float, str]:
    """An adult: Schofield's basal rate x the activity level (FAO/WHO/UNU 2001, Tables 5.2 and 5.3)."""
    row = tables.row("energy", equation_row(tables, "schofield", sex, age_y))
    slope, intercept = row.need("per_kg"), row.need("constant")
    key, column = ACTIVITY_LEVEL[activity]
    level = tables.row("energy", key).need(column)
    kcal = energy.adult_kcal(energy.basal_kcal(weight_kg, slope, intercept), level)
    sign = "+" if intercept >= 0 else "-"
    return (
        kcal,
        f"({slope:g} x {weight_kg:g} kg {sign} {abs(intercept):g}) x {level:g} ({activity}) = {kcal:.0f} kcal a day",
    )


def child_day(tables: Tables, sex: str, age_y: float, weight_kg: float, activity: str) -> tuple[float, str]:
    """A child of 1 to 18 years (FAO/WHO/UNU 2001, section 4): expenditure by weight, activity, growth."""
    row = tables.row("energy", equation_row(tables, "fao2001_tee", sex, age_y))
    a, b, c = row.need("constant"), row.need("per_kg"), row.need("per_kg2")
    spent = energy.child_expenditure_kcal(weight_kg, a, b, c)
    gain = yearly_gain_kg(tables, sex, age_y)
    grown = energy.growth_kcal(gain, tables.row("energy", "growth_energy").need("value"))
    factor_key = CHILD_ACTIVITY.get(activity) if age_y >= CHILD_ACTIVITY_FROM_Y else None
    factor = tables.row("energy", factor_key).need("value") if factor_key else 1.0
    infancy = tables.row("energy", "child_1_2_factor").need("value") if age_y < 2.0 else 1.0
    kcal = energy.child_kcal(spent, grown, factor, infancy)
    scaled = "" if factor * infancy == 1.0 else f" x {factor * infancy:g}"
    words = f"({a:g} + {b:g} W - {-c:g} W^2) at W = {weight_kg:.1f} kg{scaled}"
    return kcal, f"{words} + {grown:.0f} for growth = {kcal:.0f} kcal a day"


def equation_row(tables: Tables, equation: str, sex: str, age_y: float) -> str:
    """Key of the row of the energy table for that equation, sex and age."""
    for key in tables.keys("energy"):
        row = tables.row("energy", key)
        fits = row.text("equation") == equation and row.text("sex") in {sex, "any"} and row.text("age_below_y")
        if fits and float(row.text("age_min_y")) <= age_y < float(row.text("age_below_y")):
            return key
    return f"{equation}.{sex}_{age_y:g}"


def yearly_gain_kg(tables: Tables, sex: str, age_y: float) -> float:
    """Median gain in weight a year at that age (FAO/WHO/UNU 2001, Tables 4.5 and 4.6); 0 for adults."""
    if age_y >= ADULT_FROM_Y or age_y < 1.0:
        return 0.0
    return tables.row("energy", equation_row(tables, "weight_gain", sex, age_y)).need("value")


def weight_at(person: Person, tables: Tables, age_y: float, weighed_at_y: float) -> float:
    """Weight at an age: the typed weight at `weighed_at_y`, moved by the yearly gain of that age."""
    gain = yearly_gain_kg(tables, person.sex, weighed_at_y)
    return max(person.weight_kg + gain * (age_y - weighed_at_y), 0.5 * person.weight_kg)


def life_stage(tables: Tables, sex: str, age_y: float) -> str:
    """Life-stage group of the Dietary Reference Intakes (from half a year on; not pregnant, not nursing)."""
    words = {"m": "male", "f": "female"}[sex]
    for key in tables.keys("needs"):
        group, _, nutrient = key.partition(".")
        if nutrient != "protein_g" or not group.startswith((words, "child", "infant")):
            continue
        row = tables.row("needs", key)
        if float(row.text("age_min_y")) <= age_y < float(row.text("age_below_y")):
            return group
    return f"{words}_71_up"


def intake(tables: Tables, group: str, nutrient: str) -> float:
    """The recommended allowance, or the adequate intake where there is none; 0 if neither is set."""
    key = f"{group}.{nutrient}"
    if not tables.has("needs", key):
        return 0.0
    row = tables.row("needs", key)
    allowance = row["rda"]
    return allowance if allowance is not None else row["ai"] or 0.0


def intakes(tables: Tables, group: str, weight_kg: float, kcal: float) -> dict[str, float]:
    """Protein by weight, fat by its least share of energy, and every other nutrient of NUTRIENTS, a day."""
    amounts = {name: intake(tables, group, NEED_NAMES.get(name, name)) for name in NUTRIENTS[3:]}
    amounts["protein_g"] = intake(tables, group, "protein_g_per_kg") * weight_kg
    if tables.has("needs", f"{group}.fat_pct_energy"):
        least = tables.row("needs", f"{group}.fat_pct_energy").need("range_low")
        amounts["fat_g"] = least / 100.0 * kcal / tables.row("energy", "atwater.fat").need("value")
    else:
        amounts["fat_g"] = intake(tables, group, "fat_g")
    return amounts


def age_years(born: date, on: date) -> float:
    """Age in years of 365.25 days; negative before birth."""
    return (on - born).days / MEAN_YEAR_DAYS


def middle_of_month(month: Month) -> date:
    """The middle day of a larder month."""
    return date(month.year, month.month, 1) + timedelta(days=month.days // 2)


def middle_of_year(months: tuple[Month, ...]) -> date:
    """The first day of the seventh larder month."""
    return date(months[6].year, months[6].month, 1)


def away_fraction(spans: tuple[Span, ...], month: Month) -> float:
    """Share of the month's days that fall into the spans (each day once; spans may cross the new year)."""
    days = [(month.month, day) for day in range(1, month.days + 1)]
    return sum(any(within(span, day) for span in spans) for day in days) / month.days


def within(span: Span, day: tuple[int, int]) -> bool:
    """Whether a (month, day) lies in the span, both ends counted."""
    start, end = (span.start.month, span.start.day), (span.end.month, span.end.day)
    return start <= day <= end if start <= end else day >= start or day <= end
