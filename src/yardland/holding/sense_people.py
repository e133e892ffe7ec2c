"""Sense of place, people, kitchen, stores and rules."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from yardland.errors import Fault
from yardland.holding.draft import Draft
from yardland.holding.folder import PLAN
from yardland.holding.known import KnownNames
from yardland.holding.misfit import one_of, shown

SKILLS = frozenset({"kill", "milk", "preserve"})
"""What a person `can` do that not everybody can."""
OLDEST_YEARS = 120
LIGHTEST_KG = ((0, 2.0), (3, 7.0), (10, 15.0), (18, 25.0))
HEAVIEST_KG = ((0, 25.0), (1, 50.0), (5, 120.0), (12, 250.0))
"""From an age in years on: weights beyond which a figure is a slip of the pen (common practice, far outside charts)."""


def year_start(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """The larder year starts on the first of a month."""
    if draft.place is not None and draft.place.year_starts.day != 1:
        starts = draft.place.year_starts
        remedy = f'Write year_starts = "{starts.month:02d}-01".'
        yield Fault(PLAN, "place.year_starts", f'"{starts}"', "the first day of a month", remedy)


def births(draft: Draft, _known: KnownNames, today: date) -> Iterator[Fault]:
    """Nobody is born after today, or longer ago than people live."""
    for name, person in draft.people.items():
        where = f"people.{name}.born"
        if person.born > today:
            remedy = "Correct the year; add a child when it is there."
            yield Fault(PLAN, where, f"{person.born}, after today", "a day that has been", remedy)
        elif today.year - person.born.year > OLDEST_YEARS:
            found = f"{person.born}, {today.year - person.born.year} years ago"
            yield Fault(PLAN, where, found, f"at most {OLDEST_YEARS} years ago", "Correct the year.")


def weights(draft: Draft, _known: KnownNames, today: date) -> Iterator[Fault]:
    """Nobody's weight is out of all reason at that age: what a household needs hangs on it."""
    for name, person in draft.people.items():
        if person.born > today:
            continue
        age = today.year - person.born.year - ((today.month, today.day) < (person.born.month, person.born.day))
        least = max(kg for years, kg in LIGHTEST_KG if age >= years)
        most = max(kg for years, kg in HEAVIEST_KG if age >= years)
        if not least <= person.weight_kg <= most:
            found, expected = f"{person.weight_kg:g} kg at {age} years", f"from {least:g} to {most:g} kg at that age"
            yield Fault(PLAN, f"people.{name}.weight_kg", found, expected, "Correct the weight, or the year of birth.")


def skills(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """What a person can do is one of the skills that are looked at."""
    for name, person in draft.people.items():
        for skill in person.can:
            if skill not in SKILLS:
                expected = "one of " + ", ".join(sorted(SKILLS))
                yield Fault(PLAN, f"people.{name}.can", shown(skill), expected, one_of(skill, SKILLS, "skill"))


def methods(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """The kitchen's methods are ways of putting by that the tables know."""
    for method in draft.kitchen.methods:
        if known.methods and method not in known.methods:
            remedy = one_of(method, known.methods, "method")
            yield Fault(PLAN, "kitchen.methods", shown(method), "a way of putting by", remedy)


def families(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """A rule of rotation names a plant family, or `default`."""
    for family in draft.rules.family_gap_years:
        if family != "default" and known.families and family not in known.families:
            expected = "default or a plant family"
            remedy = one_of(family, known.families, "family")
            yield Fault(PLAN, f"rules.family_gap_years.{family}", shown(family), expected, remedy)


CHECKS = (year_start, births, weights, skills, methods, families)
