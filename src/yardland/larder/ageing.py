"""The household in a later year: everybody older, children heavier, children who are expected born.

Ages follow from the days of birth. A weight is typed for the plan's year and moved by the yearly gain of each age
(FAO/WHO/UNU 2001, Tables 4.5 and 4.6) up to 18 years; a grown person keeps it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from yardland.larder import bearing
from yardland.larder.needs import (
    ADULT_FROM_Y,
    Day,
    Eater,
    age_years,
    eaters,
    middle_of_year,
    person_days,
    yearly_gain_kg,
)
from yardland.ledger.months import Month

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from yardland.holding.model import Holding, Person
    from yardland.reference import Tables

INFANT = "infant_7_12mo.protein_g_per_kg"
"""Row of the table of needs with the reference weight of a child under a year; it is taken as that of the first birthday."""
HALF_EACH = 0.5
"""A child that is expected is counted as half a girl and half a boy."""


def older(holding: Holding, tables: Tables, now: tuple[Month, ...], then: tuple[Month, ...]) -> Holding:
    """The holding with everybody's weight as in a later year.

    Args:
        holding: the plan, its weights those of `now`.
        tables: reference tables `energy` and `needs`.
        now: larder months of the plan's year.
        then: of the later year.
    """
    first, last = middle_of_year(now), middle_of_year(then)
    people = {
        name: person.model_copy(
            update={"weight_kg": grown_kg(person, tables, age_years(person.born, first), age_years(person.born, last))}
        )
        for name, person in holding.people.items()
    }
    return holding.model_copy(update={"people": people})


def grown_kg(person: Person, tables: Tables, from_y: float, to_y: float) -> float:
    """Weight at an age, kilograms, of a person whose typed weight is that of a younger age."""
    kg = person.weight_kg
    if from_y < 1.0 <= to_y:
        kg, from_y = max(kg, tables.row("needs", INFANT).need("ref_weight_kg")), 1.0
    for age in range(1, int(ADULT_FROM_Y)):
        lived = min(to_y, age + 1.0) - max(from_y, float(age))
        if lived > 0.0:
            kg += lived * yearly_gain_kg(tables, person.sex, float(age))
    return kg


def at_table(holding: Holding, tables: Tables, months: tuple[Month, ...]) -> tuple[Eater, ...]:
    """Everybody at the table, with the children that are expected and not among the people; the same, in order, in every year."""
    return (*eaters(holding, tables, months), *expected_children(holding, tables, months))


def expected_children(holding: Holding, tables: Tables, months: tuple[Month, ...]) -> Iterator[Eater]:
    """Children who are born by date in this year or another: nothing before, at the mother's breast, then as they grow.

    They refuse what the mother refuses.
    """
    from yardland.holding.model import Person

    births, mothers = bearing.births(holding.people, tables)
    there = {holding.people[child].born for child in mothers}
    infant = tables.row("needs", INFANT).need("ref_weight_kg")
    home = np.full(len(months), HALF_EACH)
    for mother, days in births.items():
        for day in days:
            for sex in ("f", "m") if day not in there else ():
                child = Person(born=day, sex=sex, weight_kg=infant, no=holding.people[mother].no)
                age = age_years(day, middle_of_year(months))
                child = child.model_copy(update={"weight_kg": grown_kg(child, tables, 0.0, age)})
                eats = person_days(child, tables, months, mother=mother)
                yield Eater(f"child of {mother}", child, home, eats, guest=True)


def mean_table(tables: Sequence[tuple[Eater, ...]]) -> tuple[Eater, ...]:
    """The eaters of several years as one: how many of each, and the need of one, as means."""
    return tuple(mean_eater(same) for same in zip(*tables, strict=True))


def mean_eater(years: tuple[Eater, ...]) -> Eater:
    """One eater over several years."""
    heads = np.mean([one.heads for one in years], axis=0)
    names = dict.fromkeys(nutrient for one in years for day in one.days for nutrient in day.amounts)
    mean = {nutrient: np.mean([one.need(nutrient) for one in years], axis=0) for nutrient in names}
    days = tuple(
        Day(
            {
                nutrient: float(need[month] / heads[month]) if heads[month] > 0.0 else 0.0
                for nutrient, need in mean.items()
            },
            years[0].days[month].equation,
        )
        for month in range(len(heads))
    )
    return replace(years[0], heads=heads, days=days)
