"""What moves between two plans on the same drawn years, line by line of the year's food: means with their intervals."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larderyears.food_flows import LINES
from yardland.larderyears.hungry_stock import HUNGRY
from yardland.larderyears.result import Odds
from yardland.odds.paired import MeanDifference, paired_means
from yardland.odds.share import LEVEL

F64 = npt.NDArray[np.float64]
TOLD = tuple(line for line in LINES if line not in {"opening", "closing"})
"""Lines that are compared as they are: of stores their change and what lies there at the leanest."""


@dataclass(frozen=True)
class Move:
    """One line under both plans.

    line : of LINES, or need, lacking, store_change, leanest_store, hungry_stock, short_months ; unit : "days" of the first
    plan's need a year, "days in store" of each plan's own need, "months" a year ; first, second : means a year
    """

    line: str
    unit: str
    first: float
    second: float
    difference: MeanDifference


def moves(first: Odds, other: Odds, chains: int) -> tuple[Move, ...]:
    """Every line, those of food that differ most first.

    All intervals hold together: each is made at a level of 1 - (1 - 0.95) / lines (Bonferroni).

    Args:
        first: of the plan.
        other: of the other one, over the same drawn years.
        chains: how many both did.
    """
    found = measures(first.food.day_mj)
    level = 1.0 - (1.0 - LEVEL) / len(found)
    told = []
    for line, unit, of in found:
        one, two = of(first)[:chains], of(other)[:chains]
        told.append(Move(line, unit, float(one.mean()), float(two.mean()), paired_means(one, two, level)))
    return tuple(sorted(told, key=lambda one: (one.unit != "days", -abs(one.difference.value))))


def measures(day_mj: float) -> list[tuple[str, str, Callable[[Odds], F64]]]:
    """(line, unit, a run's means by chain).

    Args:
        day_mj: energy that a day stands for.
    """
    opening, closing = LINES.index("opening"), LINES.index("closing")

    def line_days(at: int) -> Callable[[Odds], F64]:
        return lambda one: one.food.by_chain[:, at] / day_mj

    return [
        *((line, "days", line_days(LINES.index(line))) for line in TOLD),
        ("need", "days", lambda one: one.food.need_by_chain / day_mj),
        ("lacking", "days", lambda one: one.food.lacking_by_chain / day_mj),
        ("store_change", "days", lambda one: (one.food.by_chain[:, closing] - one.food.by_chain[:, opening]) / day_mj),
        ("leanest_store", "days in store", leanest_store),
        ("short_months", "months", short_months),
        ("hungry_stock", "months", hungry_months),
    ]


def leanest_store(odds: Odds) -> F64:
    """Days of food that plates can take in store at the end of a year's leanest month, [chain]."""
    return np.asarray(odds.years.stacked("plate_days").min(axis=2).mean(axis=1))


def short_months(odds: Odds) -> F64:
    """Short months a year, [chain]."""
    return np.asarray(odds.shortage.short.sum(axis=2).mean(axis=1), dtype=np.float64)


def hungry_months(odds: Odds) -> F64:
    """Months a year in which some class of stock lacks over a twentieth of its feed, [chain]."""
    short = odds.years.stacked("feed_short")
    if short.shape[2] == 0:
        return np.zeros(len(short))
    return np.asarray((short.max(axis=2) > HUNGRY).sum(axis=2).mean(axis=1), dtype=np.float64)
