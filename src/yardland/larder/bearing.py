"""Pregnancy and nursing by date: which days of a month a woman carries or feeds a child, and whose child it is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING

from yardland.ledger.months import Month

if TYPE_CHECKING:
    from yardland.holding.model import Person
    from yardland.reference import Tables

State = frozenset[str]
FIRST, SECOND, THIRD, NURSING = "first trimester", "second trimester", "third trimester", "nursing"
PREGNANT = frozenset({FIRST, SECOND, THIRD})
ENERGY_ROW = {
    FIRST: "fao2001_pregnancy_t1",
    SECOND: "fao2001_pregnancy_t2",
    THIRD: "fao2001_pregnancy_t3",
    NURSING: "fao2001_lactation_0_6mo",
}
"""Row of the energy table with what a day needs beyond the woman's own need (FAO/WHO/UNU 2001, sections 6 and 7)."""
AGES = ((19.0, "14_18"), (31.0, "19_30"), (200.0, "31_50"))
"""Below which age (years) a life stage of bearing women holds (Dietary Reference Intakes; the last from 31 on)."""


def births(people: Mapping[str, Person], tables: Tables) -> tuple[dict[str, tuple[date, ...]], dict[str, str]]:
    """When each woman gives birth, and who of the people is the child of whom.

    A person born within `bearing.birth_strays_days` of an expected day is taken for that child; the real birth replaces
    the expected one. Each person is the child of one birth at most, the nearest.

    Returns:
        Mother -> days of birth; child -> mother.
    """
    strays = tables.row("bearing", "birth_strays_days").need("number")
    wanted = [(mother, day) for mother, person in people.items() for day in sorted(person.expects)]
    near = sorted(
        (abs((child.born - day).days), mother, day, name)
        for mother, day in wanted
        for name, child in people.items()
        if name != mother and abs((child.born - day).days) <= strays
    )
    real: dict[tuple[str, date], date] = {}
    mothers: dict[str, str] = {}
    for _, mother, day, name in near:
        if (mother, day) not in real and name not in mothers:
            real[mother, day] = people[name].born
            mothers[name] = mother
    found: dict[str, tuple[date, ...]] = {}
    for mother, day in wanted:
        found[mother] = (*found.get(mother, ()), real.get((mother, day), day))
    return found, mothers


def states(born: tuple[date, ...], month: Month, tables: Tables) -> dict[State, float]:
    """Share of the month's days in each state of bearing; the empty state is a day without.

    Args:
        born: days on which she gives birth.
        month: a larder month.
        tables: reference table `bearing`.
    """
    if not born:
        return {frozenset(): 1.0}
    days = Counter(state_on(date(month.year, month.month, day), born, tables) for day in range(1, month.days + 1))
    return {state: count / month.days for state, count in days.items()}


def state_on(day: date, born: tuple[date, ...], tables: Tables) -> State:
    """Trimester and nursing on a day; from the birth on she nurses, no longer carries."""
    length, second, third, nursing = (
        tables.row("bearing", key).need("number")
        for key in ("pregnancy_days", "second_trimester_day", "third_trimester_day", "nursing_days")
    )
    found = set()
    for birth in born:
        ahead = (birth - day).days
        if 0 < ahead <= length:
            at = length - ahead
            found.add(FIRST if at < second else SECOND if at < third else THIRD)
        elif 0 <= -ahead < nursing:
            found.add(NURSING)
    return frozenset(found)


def stage(one: str, age_y: float) -> str:
    """Life stage of the Dietary Reference Intakes of a woman of that age who carries or nurses a child."""
    ages = next(words for below, words in AGES if age_y < below)
    return f"{'pregnant' if one in PREGNANT else 'lactating'}_{ages}"


def missing_children(
    people: Mapping[str, Person], tables: Tables, months: tuple[Month, ...]
) -> tuple[tuple[str, date], ...]:
    """Mother and day of each birth whose child eats from the larder within these months and is not among the people."""
    found, mothers = births(people, tables)
    nursing = tables.row("bearing", "nursing_days").need("number")
    last = date(months[-1].year, months[-1].month, months[-1].days)
    real = {people[child].born for child in mothers}
    return tuple(
        (mother, day)
        for mother, days in found.items()
        for day in days
        if day not in real and (last - day).days >= nursing
    )
