"""What may lie on the shelves when a larder year opens, by how long it has lain: the same places in every year.

A program that is solved over and over needs the same rows and columns each time, so that every age at which a good can lie
over a year's end has a row of its own, most of them empty.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.larder.build import HALF, NEVER, Availability, shelf_months
from yardland.larder.description import MONTHS, Keeping, Larder

TOLD_APART_MONTHS = 24.0
"""Ages are told apart up to here; what keeps for over a year more stays in its last class (own choice)."""
SHELF_LAIN = 6.0
"""Months that what is left on a shelf of mixed ages is taken to have lain (own choice: half a year)."""


@dataclass(frozen=True, order=True)
class Lying:
    """A good put by in a way, and the months it has lain when the year opens."""

    good: str
    method: str
    lain: float


def openings(larder: Larder, available: Availability) -> tuple[Lying, ...]:
    """Every good, way and age that can lie over the end of a larder year, in order.

    A batch has lain since the month it was put by; a stock of all ages counts as half a year old
    (`larder.build_stores.add_stores` says which is which: either has a place here).
    """
    found: set[Lying] = set()
    for keeping in larder.keepings:
        source = available.new if keeping.gives == keeping.good else available.soon
        made = [int(month) for month in np.flatnonzero(source.get(keeping.good, NEVER))]
        first = [lain_at_end(month) for month in made if MONTHS - month <= shelf_months(keeping)]
        first += [SHELF_LAIN] if made and keeping.shelf_life_months >= MONTHS else []
        for lain in first:
            age = lain
            while age <= keeping.shelf_life_months and age < TOLD_APART_MONTHS:
                found.add(Lying(keeping.good, keeping.method, age))
                age += MONTHS
    return tuple(sorted(found))


def lain_at_end(made: int) -> float:
    """Months that what came in the middle of a month has lain when the year ends."""
    return MONTHS - HALF - made


def a_year_on(keeping: Keeping, lain: float) -> Lying:
    """Where what has lain so long at the end of a year belongs when the next one opens."""
    lasting = keeping.shelf_life_months > TOLD_APART_MONTHS + MONTHS
    while lasting and lain >= TOLD_APART_MONTHS:
        lain -= MONTHS
    return Lying(keeping.good, keeping.method, lain)
