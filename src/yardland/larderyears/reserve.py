"""The reserve: rows that ask for days of food on the shelves at each month's end, as far as plates can take it in those days.

A sack of sugar is the cheapest energy there is, and two tons of swedes the least work: neither is a reserve beyond what people
would eat of it in those days. What the shelves hold is counted by energy, less what lies beyond each plate.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Build
from yardland.larder.plate_days import ENERGY, Fare

if TYPE_CHECKING:
    from yardland.larderyears.frame import Sparse

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
PRICE = 20.0
"""Cost of a month without any of the reserve: under that of hunger (500 a month's need), over that of what is bought."""


@dataclass(frozen=True)
class Reserve:
    """Rows of the reserve.

    row, lacking [number] : rows "reserve.<month>" and columns of what lacks
    beyond : rows "beyond.<plate>.<month>" ; column [beyond] : of what lies beyond ; limit, month [beyond] : the fare's limit, the month
    per_kg [beyond] : what a kilogram of the month's limit adds to the row's upper side
    """

    row: I64
    lacking: I64
    beyond: I64
    column: I64
    limit: I64
    month: I64
    per_kg: F64


@dataclass(frozen=True)
class Bound:
    """A limit that can bind the reserve in a month.

    at : its place in the fare ; poorest : kcal of a plate kilogram of the poorest of its goods ; cap : share of the reserve that
    its plates give of that ; inner : places of the bounds inside it
    """

    at: int
    poorest: float
    cap: float
    inner: tuple[int, ...]


def keep_reserve(build: Build, fare: Fare, shelved: Sparse, days: float) -> Reserve:
    """Rows of the reserve; none without days.

        reserve:  energy on the shelves / (days x a day's need) - sum over plates of beyond + lacking >= 1
        beyond:   share(kg on the shelves of the plate's goods) - what is beyond the plates within it - beyond <= share(ceiling x days)

    share() tells plate kilograms as parts of the reserve by the energy of the poorest good of the plate: what lies beyond is
    taken to be the poorest, so that no more is taken off than people would leave.

    Args:
        build: the block.
        fare: goods that may lie there, and limits.
        shelved: (month * goods + good, column, kg per unit) of all that lies there.
        days: of food.
    """
    lengths = np.array([month.days for month in build.larder.months], dtype=np.float64)
    wanted = max(days, 0.0) * build.larder.need[ENERGY] / lengths
    rows: list[tuple[int, int]] = []
    found: list[tuple[int, int, int, int, float]] = []
    month_of, good_of = np.divmod(shelved.row, max(len(fare.goods), 1))
    for month in np.flatnonzero(wanted > 0.0).tolist():
        here = month_of == month
        good, column, kg = good_of[here], shelved.column[here], shelved.value[here]
        row = build.model.row(f"reserve.{build.month(month)}", lower=1.0)
        lacking = build.model.column(PRICE, 1.0)
        build.model.put(row, lacking, 1.0)
        for at, each, amount in zip(column.tolist(), good.tolist(), kg.tolist(), strict=True):
            build.model.put(row, at, amount * float(fare.kcal_per_kg[each, month]) / float(wanted[month]))
        beyond: dict[int, int] = {}
        bounds = {one.at: one for one in bounds_of(fare, month, days / float(lengths[month]), float(wanted[month]))}
        for one in reversed(bounds.values()):
            limit, share = fare.limits[one.at], one.poorest / float(wanted[month])
            over = build.model.row(f"beyond.{limit.key}.{one.at}.{build.month(month)}", upper=one.cap)
            beyond[one.at] = build.model.column()
            build.model.put(row, beyond[one.at], -1.0)
            build.model.put(over, beyond[one.at], -1.0)
            for inner in one.inner:
                build.model.put(over, beyond[inner], -one.poorest / bounds[inner].poorest)
            under = np.array([name in limit.goods for name in fare.goods], dtype=np.bool_)[good]
            weighs = kg[under] * fare.plate_kg[good[under]] * share
            for at, part in zip(column[under].tolist(), weighs.tolist(), strict=True):
                build.model.put(over, at, part)
            found.append((over, beyond[one.at], one.at, month, days / float(lengths[month]) * share))
        rows.append((row, lacking))
    row_at, lacking_at = np.array(rows, dtype=np.int64).reshape(-1, 2).T
    over_at, column_at, limit_at, month_at = np.array([one[:4] for one in found], dtype=np.int64).reshape(-1, 4).T
    return Reserve(row_at, lacking_at, over_at, column_at, limit_at, month_at, np.array([one[4] for one in found]))


def bounds_of(fare: Fare, month: int, part: float, wanted_kcal: float) -> Sequence[Bound]:
    """Limits that can bind the reserve in a month, the widest first: not those that give the whole of it or that others imply.

    Args:
        fare: goods and limits.
        month: of the year.
        part: the reserve's days, as a part of the month.
        wanted_kcal: the reserve.
    """
    kept: list[int] = []
    most = [float(limit.most_kg[month]) * part for limit in fare.limits]
    for at, limit in enumerate(fare.limits):
        outer = [other for other in kept if limit.goods <= fare.limits[other].goods]
        poor = poorest_of(fare, at, month)
        if poor > 0.0 and poor * most[at] < wanted_kcal and all(most[at] < most[other] for other in outer):
            kept.append(at)
    for at in list(kept):
        nearest = children(fare, kept, at)
        held = frozenset().union(*(fare.limits[other].goods for other in nearest))
        if nearest and held == fare.limits[at].goods and sum(most[other] for other in nearest) <= most[at]:
            kept.remove(at)
    return [
        Bound(at, poor := poorest_of(fare, at, month), poor * most[at] / wanted_kcal, inside(fare, kept, at))
        for at in kept
    ]


def poorest_of(fare: Fare, at: int, month: int) -> float:
    """Energy of a plate kilogram of the poorest good under a limit, kcal; of goods that weigh nothing on a plate none is told."""
    rich = [
        float(fare.kcal_per_kg[good, month]) / float(fare.plate_kg[good])
        for good, name in enumerate(fare.goods)
        if name in fare.limits[at].goods and fare.plate_kg[good] > 0.0
    ]
    return min(rich, default=0.0)


def inside(fare: Fare, kept: Sequence[int], at: int) -> tuple[int, ...]:
    """Those of some limits that lie inside another, later in order where they are the same."""
    return tuple(other for other in kept if other > at and fare.limits[other].goods <= fare.limits[at].goods)


def children(fare: Fare, kept: Sequence[int], at: int) -> tuple[int, ...]:
    """Those inside a limit that lie inside no other that does."""
    inner = inside(fare, kept, at)
    return tuple(one for one in inner if not any(one in inside(fare, inner, other) for other in inner))
