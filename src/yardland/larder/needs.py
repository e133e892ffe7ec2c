"""What each person needs a day: energy by FAO/WHO/UNU (2001), the rest by the Dietary Reference Intakes.

Energy and protein are the line of survival; the other nutrients are told twice, against the recommended intake and against
the average requirement (`Level`). Ages are taken at the middle of the larder year; under three years month by month, since needs then change fast. A
weight typed for a child is taken as that of the middle of the year and moved by the report's yearly gain.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

import numpy as np
import numpy.typing as npt

from yardland.larder import bearing, energy
from yardland.larder.guests import people_of, presence
from yardland.ledger.months import Month

if TYPE_CHECKING:
    from yardland.holding.model import Holding, Person, Span
    from yardland.reference import Tables

Months12 = npt.NDArray[np.float64]
Level = Literal["recommended", "average"]
"""Recommended intake (or adequate intake where there is none), or the average requirement."""

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
ADULT_STAGE = "male_31_50"
"""Life stage that says whether a nutrient has an average requirement at all."""
MONTHLY_UNDER_Y = 3.0
"""A younger child needs more from month to month (own choice)."""
MEAN_YEAR_DAYS = 365.25


@dataclass(frozen=True)
class PersonNeed:
    """A person's daily need over the larder year, as the published equation gives it.

    `energy_kcal_day` and `protein_g_day` are means over the year without absences; `equation` says how the energy at
    the middle of the year was worked out; `bearing` names what pregnancy and nursing add within the year.
    """

    person: str
    age_y: float
    energy_kcal_day: float
    protein_g_day: float
    equation: str
    bearing: tuple[str, ...] = ()


@dataclass(frozen=True)
class Day:
    """One person's needs on one day: `amounts` by nutrient, the words of the energy equation, and of what bearing adds."""

    amounts: dict[str, float]
    equation: str
    bearing: tuple[str, ...] = ()


@dataclass(frozen=True)
class Eater:
    """Somebody at the table: a person of the plan, or one who stands for guests.

    heads : float64 [12], how many of them are fed here, a mean over the month; days : the need of one, by month
    """

    name: str
    person: Person
    heads: Months12
    days: tuple[Day, ...]
    guest: bool = False

    def need(self, nutrient: str) -> Months12:
        """What all of them need a day, by month."""
        return np.array([day.amounts.get(nutrient, 0.0) for day in self.days]) * self.heads


@dataclass(frozen=True)
class GuestNeed:
    """What an entry of guests adds to a larder year: days x persons fed, and energy in kcal."""

    guests: str
    person_days: float
    energy_kcal: float


def household_need(
    holding: Holding, tables: Tables, months: tuple[Month, ...]
) -> tuple[tuple[PersonNeed, ...], dict[str, Months12]]:
    """Each person's need, and the household's need a day in each month, guests included.

    Args:
        holding: the plan; persons who are away in a month take so much off it.
        tables: reference tables `energy`, `needs` and `bearing`.
        months: the twelve larder months in which the people have their ages.

    Returns:
        The persons' needs, and nutrient (NUTRIENTS) -> float64 [12], mean need a day.
    """
    table = eaters(holding, tables, months)
    total = {nutrient: sum((one.need(nutrient) for one in table), np.zeros(len(months))) for nutrient in NUTRIENTS}
    return tuple(mean_need(one.name, one.person, months, one.days) for one in table if not one.guest), total


def average_need(holding: Holding, tables: Tables, months: tuple[Month, ...]) -> dict[str, Months12]:
    """The household's average requirement a day in each month, of every nutrient for which adults have one.

    Energy's requirement is an average already. Whoever has no average requirement (an infant, mostly) counts with the
    adequate intake.
    """
    table = eaters(holding, tables, months, "average")
    known = ["energy_kcal", "protein_g"]
    for name in NUTRIENTS[2:]:
        key = f"{ADULT_STAGE}.{NEED_NAMES.get(name, name)}"
        if tables.has("needs", key) and tables.row("needs", key)["ear"] is not None:
            known.append(name)
    return {nutrient: sum((one.need(nutrient) for one in table), np.zeros(len(months))) for nutrient in known}


def guest_needs(holding: Holding, tables: Tables, months: tuple[Month, ...]) -> tuple[GuestNeed, ...]:
    """What each entry of guests adds to the year."""
    lengths = np.array([month.days for month in months], dtype=np.float64)
    table = eaters(holding, tables, months)
    return tuple(
        GuestNeed(
            name,
            float(sum(one.heads @ lengths for one in table if one.guest and one.name == name)),
            float(sum(one.need("energy_kcal") @ lengths for one in table if one.guest and one.name == name)),
        )
        for name in holding.guests
    )


def eaters(
    holding: Holding, tables: Tables, months: tuple[Month, ...], level: Level = "recommended"
) -> tuple[Eater, ...]:
    """Everybody at the table: the people in the order of the plan, then those who stand for guests."""
    born, mothers = bearing.births(holding.people, tables)
    found = []
    for name, person in holding.people.items():
        home = np.array([1.0 - away_fraction(person.away, month) for month in months])
        days = person_days(person, tables, months, level, born.get(name, ()), mothers.get(name, ""))
        found.append(Eater(name, person, home, days))
    for name, guests in holding.guests.items():
        here = presence(guests, months)
        for person, count in people_of(guests, tables, middle_of_year(months)):
            found.append(Eater(name, person, count * here, person_days(person, tables, months, level), guest=True))
    return tuple(found)


def person_days(
    person: Person,
    tables: Tables,
    months: tuple[Month, ...],
    level: Level = "recommended",
    born: tuple[date, ...] = (),
    mother: str = "",
) -> tuple[Day, ...]:
    """The person's day in the middle of each month (under three years) or of the year (everybody else).

    Args:
        person: whose days.
        tables: reference tables.
        months: the larder months.
        level: recommended intakes or average requirements.
        born: days on which she gives birth; the days before and after it are weighed into the months they fall in.
        mother: name of the mother, if she is among the people and counted for what the child at her breast needs.
    """
    middle = age_years(person.born, middle_of_year(months))
    ages = [age_years(person.born, middle_of_month(month)) for month in months]
    if min(*ages, middle) >= MONTHLY_UNDER_Y:
        days = (day_need(person, tables, middle, middle, level),) * len(months)
        return bearing_days(person, tables, months, level, born, days) if born else days
    return tuple(
        Day({}, f"fed by its mother {mother}, who is counted for both")
        if mother and 0.0 <= age < WEANED_FROM_Y
        else day_need(person, tables, age, middle, level)
        for age in ages
    )


def bearing_days(
    person: Person,
    tables: Tables,
    months: tuple[Month, ...],
    level: Level,
    born: tuple[date, ...],
    days: tuple[Day, ...],
) -> tuple[Day, ...]:
    """A woman's days with what pregnancy and nursing ask, weighed by the days of each month in each state."""
    age = age_years(person.born, middle_of_year(months))
    found = []
    for month, day in zip(months, days, strict=True):
        shares = bearing.states(born, month, tables)
        amounts: dict[str, float] = {}
        for state, share in shares.items():
            for nutrient, amount in bearing_day(day, tables, age, state, level).amounts.items():
                amounts[nutrient] = amounts.get(nutrient, 0.0) + share * amount
        words = tuple(f"{one} {kcal:.0f} kcal more" for one, kcal in bearing_energy(tables, shares))
        found.append(replace(day, amounts=amounts, bearing=words))
    return tuple(found)


def bearing_energy(tables: Tables, shares: dict[bearing.State, float]) -> list[tuple[str, float]]:
    """States of bearing within a month, in order, with the kcal a day that each asks."""
    present = frozenset().union(*shares)
    return [(one, tables.row("energy", row).need("value")) for one, row in bearing.ENERGY_ROW.items() if one in present]


def bearing_day(day: Day, tables: Tables, age_y: float, state: bearing.State, level: Level) -> Day:
    """One day of a woman who carries or nurses: her own day, and what the state asks.

    Energy: FAO/WHO/UNU 2001, sections 6 and 7, on top of her own. Protein: what the life stage needs more than a woman of
    19 to 30 years, from the second trimester on. Every other nutrient: the intake of the life stage instead of her own.
    """
    if not state:
        return day
    kcal = day.amounts["energy_kcal"] + sum(energy for _, energy in bearing_energy(tables, {state: 1.0}))
    groups = [bearing.stage(one, age_y) for one in sorted(state)]
    amounts = {
        name: max(intake(tables, group, NEED_NAMES.get(name, name), level) for group in groups)
        for name in NUTRIENTS[3:]
    }
    added = max(
        0.0 if one == bearing.FIRST else protein_added(tables, bearing.stage(one, age_y), level) for one in state
    )
    amounts |= {"energy_kcal": kcal, "protein_g": day.amounts["protein_g"] + added}
    amounts["fat_g"] = max(least_fat(tables, group, kcal) for group in groups)
    return Day(amounts, day.equation)


def protein_added(tables: Tables, group: str, level: Level) -> float:
    """Grams of protein a day that a pregnant or nursing life stage needs more than a woman of 19 to 30 years.

    The allowances differ as printed; for the average requirement, by the stage's ratio of average to allowance a kilogram.
    """
    more = intake(tables, group, "protein_g") - intake(tables, "female_19_30", "protein_g")
    if level == "average":
        row = tables.row("needs", f"{group}.protein_g_per_kg")
        more *= row.need("ear") / row.need("rda")
    return more


def mean_need(name: str, person: Person, months: tuple[Month, ...], days: tuple[Day, ...]) -> PersonNeed:
    """The year in one line, for the reader."""
    lengths = np.array([month.days for month in months], dtype=np.float64)
    mean = {
        nutrient: float(np.average([day.amounts.get(nutrient, 0.0) for day in days], weights=lengths))
        for nutrient in ("energy_kcal", "protein_g")
    }
    age = age_years(person.born, middle_of_year(months))
    added = tuple(dict.fromkeys(words for day in days for words in day.bearing))
    equation = "; ".join((days[len(days) // 2].equation, *added))
    return PersonNeed(name, age, mean["energy_kcal"], mean["protein_g"], equation, added)


def day_need(person: Person, tables: Tables, age_y: float, weighed_at_y: float, level: Level = "recommended") -> Day:
    """All nutrients of one person on a day at that age.

    Not yet born: nothing. Under half a year: what its mother needs more than another woman, since it is fed by her.
    """
    if age_y < 0.0:
        return Day({}, "not yet born")
    if age_y < WEANED_FROM_Y:
        return suckling_day(tables, level)
    kcal, equation = energy_day(person, tables, age_y, weighed_at_y)
    weight = weight_at(person, tables, age_y, weighed_at_y)
    amounts = {"energy_kcal": kcal} | intakes(tables, life_stage(tables, person.sex, age_y), weight, kcal, level)
    return Day(amounts, equation)


def suckling_day(tables: Tables, level: Level = "recommended") -> Day:
    """What a mother who feeds a child under half a year needs beyond other women of 19 to 30 years.

    Energy: FAO/WHO/UNU 2001, section 7 (`energy.fao2001_lactation_0_6mo`). The rest: the difference of two life stages
    of the Dietary Reference Intakes.
    """
    kcal = tables.row("energy", "fao2001_lactation_0_6mo").need("value")
    feeding, other = (
        {name: intake(tables, group, NEED_NAMES.get(name, name), level) for name in NUTRIENTS[3:]}
        for group in ("lactating_19_30", "female_19_30")
    )
    amounts = {name: max(feeding[name] - other[name], 0.0) for name in feeding}
    protein = protein_added(tables, "lactating_19_30", level)
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
    for key, from_y, below_y in _ages_of_equation(tables, equation, sex):
        if from_y <= age_y < below_y:
            return key
    return f"{equation}.{sex}_{age_y:g}"


@lru_cache(maxsize=64)
def _ages_of_equation(tables: Tables, equation: str, sex: str) -> tuple[tuple[str, float, float], ...]:
    """Rows of an equation for that sex with the ages that they hold for, years: read once, asked for every person and month."""
    rows = ((key, tables.row("energy", key)) for key in tables.keys("energy"))
    return tuple(
        (key, float(row.text("age_min_y")), float(row.text("age_below_y")))
        for key, row in rows
        if row.text("equation") == equation and row.text("sex") in {sex, "any"} and row.text("age_below_y")
    )


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
    for group, from_y, below_y in _ages_of_stages(tables, words):
        if from_y <= age_y < below_y:
            return group
    return f"{words}_71_up"


@lru_cache(maxsize=16)
def _ages_of_stages(tables: Tables, words: str) -> tuple[tuple[str, float, float], ...]:
    """Life stages of a sex and of children with their ages, years, in the order of the table."""
    keys = (key.partition(".") for key in tables.keys("needs"))
    groups = [group for group, _, nutrient in keys if nutrient == "protein_g"]
    rows = [
        (group, tables.row("needs", f"{group}.protein_g"))
        for group in groups
        if group.startswith((words, "child", "infant"))
    ]
    return tuple((group, float(row.text("age_min_y")), float(row.text("age_below_y"))) for group, row in rows)


def intake(tables: Tables, group: str, nutrient: str, level: Level = "recommended") -> float:
    """The recommended allowance or the average requirement; the adequate intake where there is none; 0 if none is set."""
    key = f"{group}.{nutrient}"
    if not tables.has("needs", key):
        return 0.0
    row = tables.row("needs", key)
    asked = row["rda"] if level == "recommended" else row["ear"]
    if asked is None:
        asked = row["rda"]
    return asked if asked is not None else row["ai"] or 0.0


def intakes(
    tables: Tables, group: str, weight_kg: float, kcal: float, level: Level = "recommended"
) -> dict[str, float]:
    """Protein by weight, fat by its least share of energy, and every other nutrient of NUTRIENTS, a day."""
    amounts = {name: intake(tables, group, NEED_NAMES.get(name, name), level) for name in NUTRIENTS[3:]}
    amounts["protein_g"] = intake(tables, group, "protein_g_per_kg", level) * weight_kg
    amounts["fat_g"] = least_fat(tables, group, kcal)
    return amounts


def least_fat(tables: Tables, group: str, kcal: float) -> float:
    """Grams of fat a day: the least share of the energy, or the adequate intake of infants."""
    if not tables.has("needs", f"{group}.fat_pct_energy"):
        return intake(tables, group, "fat_g")
    least = tables.row("needs", f"{group}.fat_pct_energy").need("range_low")
    return least / 100.0 * kcal / tables.row("energy", "atwater.fat").need("value")


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
