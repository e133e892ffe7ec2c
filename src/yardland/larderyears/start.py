"""Chains that begin as it stands: today's stores, trees of their planted age, people who grow older; no year is left uncounted.

A settled chain asks whether the plan feeds the household once it has run in; a chain that begins as it stands asks how the
first years go.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from yardland.holding.era import plan_year
from yardland.holding.model import Holding
from yardland.larder.build import HALF
from yardland.larder.description import MONTHS, Keeping, Larder
from yardland.larderyears.asked import BURN_IN
from yardland.larderyears.openings import TOLD_APART_MONTHS, Lying, a_year_on

F64 = npt.NDArray[np.float64]
STANDS = "it stands"


def as_it_stands(holding: Holding) -> bool:
    """Whether chains of this plan begin with what is there today."""
    return holding.start.as_ == STANDS


def burn_in_of(holding: Holding) -> int:
    """Years of a chain before the first that counts."""
    return 0 if as_it_stands(holding) else BURN_IN


def started_as(holding: Holding, how: str) -> Holding:
    """The plan with another beginning of its chains, "it stands" or "settled"."""
    return holding.model_copy(update={"start": holding.start.model_copy(update={"as_": how})})


def calendar_of(holding: Holding, years: int) -> tuple[int, ...] | None:
    """Calendar years in which the larder years of a chain start; None where every year is the plan's."""
    if not as_it_stands(holding):
        return None
    first = plan_year(holding)
    return tuple(range(first, first + years))


def today(larder: Larder) -> dict[Lying, float]:
    """Kilograms on the shelves today by good, way and age; what has no age of its own counts as new.

    Ages are those of the middles of months, as everything that is put by.
    """
    ways = {(keeping.good, keeping.method) for keeping in larder.keepings}
    found: dict[Lying, float] = {}
    for good, method, kg, lain in larder.opening:
        if (good, method) in ways and kg > 0.0:
            key = Lying(good, method, math.floor(lain) + HALF)
            found[key] = found.get(key, 0.0) + kg
    return found


def with_years_on(lying: Sequence[Lying], keepings: Sequence[Keeping]) -> Iterator[Lying]:
    """What lies there today, and where it lies a year on, two years on, until it is past its shelf life."""
    ways = {(keeping.good, keeping.method): keeping for keeping in keepings}
    for one in lying:
        keeping, at = ways[one.good, one.method], one
        while True:
            yield at
            then = a_year_on(keeping, at.lain + MONTHS)
            if then == at or then.lain > keeping.shelf_life_months or then.lain >= TOLD_APART_MONTHS:
                break
            at = then


def without_opening(larder: Larder) -> Larder:
    """The question of a year whose shelves are whatever they will be."""
    return replace(larder, cyclic=True, opening=())


def opening_of(lying: Sequence[Lying], stores: dict[Lying, float]) -> F64:
    """Today's stores in the order of a frame's openings, kilograms [opening]."""
    return np.array([stores.get(one, 0.0) for one in lying])
