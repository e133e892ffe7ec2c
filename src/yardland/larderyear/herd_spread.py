"""Drawn years of one group as middles and ranges: of weeks, of years' starts, of months, of whole years."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.stock.herds import layout as at
from yardland.stock.herds.layout import F64
from yardland.stock.herds.result import HIGH_PCT, LOW_PCT, GroupYears
from yardland.stock.herds.shortfall import REASONS

COUNTS = ("born", "bought", "joined", "left", "died", "struck", "killed", "sold", "culled")
"""What changes heads, in the order in which it is told."""


@dataclass(frozen=True)
class Spread:
    """Middle, and the range that holds 9 of 10; numbers or arrays of one shape."""

    median: F64
    low: F64
    high: F64

    def scaled(self, factor: float) -> Spread:
        """The same in another unit."""
        return Spread(self.median * factor, self.low * factor, self.high * factor)


@dataclass(frozen=True)
class RowStarts:
    """One row of a group at the start of each drawn year, and after the last.

    heads : [years + 1] over the chains ; near : share of the chains within a quarter of the target, [years + 1], 1 for young
    because : reason -> its share of the starts off target, the most frequent first
    """

    target: int
    heads: Spread
    near: F64
    because: dict[str, float]


def spread(values: npt.ArrayLike, axis: int | tuple[int, ...] = -1, *, whole: bool = False) -> Spread:
    """Middle and 5th and 95th percentile along axes; of `whole` heads those that stand, never between two of them."""
    shares, array = (LOW_PCT, 50.0, HIGH_PCT), np.asarray(values, dtype=np.float64)
    low, median, high = np.percentile(array, shares, axis=axis, method="inverted_cdf" if whole else "linear")
    return Spread(np.asarray(median), np.asarray(low), np.asarray(high))


def by_week(years: GroupYears, row: int) -> Spread:
    """Heads of a row at the end of each week, over the chains, [52 x years]."""
    heads = years.heads_week[row]
    return spread(heads.transpose(1, 0, 2).reshape(-1, heads.shape[2]), whole=True)


def at_starts(years: GroupYears, row: int) -> RowStarts:
    """A row at the years' starts against its target."""
    why = years.short_reason[row]
    off = why > 0
    counts = np.bincount(why[off], minlength=len(REASONS))
    order = [int(code) for code in np.argsort(-counts, kind="stable") if counts[code]]
    return RowStarts(
        target=int(years.plan.arrays.row[row, at.TARGET]),
        heads=spread(years.heads_at_start[row], whole=True),
        near=np.asarray(1.0 - off.mean(axis=1)),
        because={REASONS[code]: float(counts[code] / off.sum()) for code in order},
    )


def products_by_year(years: GroupYears) -> dict[str, Spread]:
    """Good -> kg a year, over all years and chains, the most first."""
    found = {good: kg.sum(axis=0) for good, kg in years.products_kg().items()}
    return {good: spread(found[good], (0, 1)) for good in sorted(found, key=lambda one: -float(found[one].mean()))}


def products_by_month(years: GroupYears) -> dict[str, Spread]:
    """Good -> kg in each month, over all years and chains, [12]."""
    return {good: spread(kg, (1, 2)) for good, kg in years.products_kg().items()}


def sum_by_year(years: GroupYears, name: str) -> Spread:
    """A sum (energy MJ, water l, manure kg, manure_n g, sugar kg, ...) of the whole group a year, over all years and chains."""
    return spread(years.total(name).sum(axis=(0, 1)), (0, 1))


def money_by_year(years: GroupYears, way: int) -> Spread:
    """Money spent (layout.SPENT) or earned (EARNED) on live animals a year, over all years and chains."""
    return spread(years.money(way).sum(axis=0), (0, 1))


def counts_a_year(years: GroupYears, row: int) -> dict[str, float]:
    """Mean heads a year that were born, bought, joined, left for another row, died, were struck, killed, sold, culled."""
    return {name: float(years.count(name)[row].mean()) for name in COUNTS}
