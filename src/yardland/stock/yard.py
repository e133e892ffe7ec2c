"""What the yard asks for: straw for bedding by week, by the heads and the part of the time they are under a roof."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.reference import Tables
from yardland.stock.kinds import kinds
from yardland.stock.notes import Housing

F64 = npt.NDArray[np.float64]
WEEKS = 52
YOUNG = {"grower"}
"""Roles of table kinds that are bedded as young stock."""


@dataclass(frozen=True)
class YardGroup:
    """Room and bedding of one group.

    housing : room that its greatest number asks for
    housed_share : part of the time under a roof or in the yard, by larder month, [12]
    straw_kg_week : straw for bedding, kg, [52]; week w starts on day 7 w, the year's last day goes with the last week
    """

    housing: Housing
    housed_share: F64 = field(default_factory=lambda: np.zeros(12))
    straw_kg_week: F64 = field(default_factory=lambda: np.zeros(WEEKS))


def bedding_key(tables: Tables, klass: str) -> str:
    """Row of table bedding of a class: its species, adult or young."""
    age = "young" if kinds()[klass].role in YOUNG else "adult"
    return f"{tables.row('stock', klass).text('species')}_{age}"


def straw_kg_d(tables: Tables, klass: str) -> float:
    """Straw for bedding a head of a class and day under a roof, kg; nothing for species without a row (bees)."""
    key = bedding_key(tables, klass)
    return tables.row("bedding", key).need("straw_kg_d") if tables.has("bedding", key) else 0.0


def straw_kg_week(heads_day: Mapping[str, npt.NDArray[np.int64]], housed_day: F64, tables: Tables) -> F64:
    """Straw that a group's bedding takes in each week, kg, [52].

    Args:
        heads_day: class -> heads on each day, [365]; classes whose species has no row (bees) need none.
        housed_day: part of each day under a roof, 0-1, [365].
        tables: table bedding.
    """
    day = np.zeros(len(housed_day))
    for klass, heads in heads_day.items():
        day = day + heads * straw_kg_d(tables, klass)
    week = np.minimum(np.arange(len(day)) // 7, WEEKS - 1)
    return np.asarray(np.bincount(week, weights=day * housed_day, minlength=WEEKS), dtype=np.float64)
