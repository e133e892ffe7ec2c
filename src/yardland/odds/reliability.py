"""Reliability and short months over chains of larder years, each with its interval (odds-intervals.md)."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.odds.chained import share_over_chains
from yardland.odds.share import I64, LEVEL, Flags, Share, counted_years, flags
from yardland.odds.wilson import wilson

WINDOW_YEARS = 10
FIRST_YEARS = 10
"""Years that are told one by one from a start as it stands."""


def reliability(short: npt.ArrayLike, counted: npt.ArrayLike | None = None, level: float = LEVEL) -> Share:
    """Share of counted years without a short month.

    Args:
        short: whether the year has a short month, bool [chain, year].
        counted: which years count, bool [chain, year], one run of years a chain; all where None.
        level: coverage that the interval aims at.

    Raises:
        ValueError: arrays of another kind or shape, no counted year, a level that is no share.
    """
    years = flags(short, 2, "short")
    mask = counted_years(counted, _two(years))
    return share_over_chains((~years & mask).sum(axis=1), mask.sum(axis=1), level)


def reliability_by_year(
    short: npt.ArrayLike, counted: npt.ArrayLike | None = None, most: int = FIRST_YEARS, level: float = LEVEL
) -> tuple[Share, ...]:
    """Share of chains whose first, second, ... counted year has no short month, with Wilson's interval.

    In one year of each chain the chains are independent trials. Fewer than `most` where no chain is so long.

    Raises:
        ValueError: arrays of another kind or shape, no counted year, a level that is no share.
    """
    years = flags(short, 2, "short")
    aligned, there = _from_first(years, counted_years(counted, _two(years)))
    if not there.any():
        raise ValueError("counted: found no counted year, expected at least one; count a year")
    told = [k for k in range(min(most, years.shape[1])) if there[:, k].any()]
    return tuple(wilson(int((~aligned & there)[:, k].sum()), int(there[:, k].sum()), level) for k in told)


def short_within(
    short: npt.ArrayLike, counted: npt.ArrayLike | None = None, window: int = WINDOW_YEARS, level: float = LEVEL
) -> Share | None:
    """Share of windows of so many consecutive counted years that hold a short month ("in ten years, at least one").

    A chain is cut into windows from its first counted year, what is left over at its end does not count. One window a
    chain: Wilson's interval; more: over chains. None where no chain is as long as the window.

    Raises:
        ValueError: arrays of another kind or shape, a window under a year, a level that is no share.
    """
    if window < 1:
        raise ValueError(f"window: found {window}, expected 1 year or more")
    years = flags(short, 2, "short")
    aligned, there = _from_first(years, counted_years(counted, _two(years)))
    each = years.shape[1] // window
    if each == 0:
        return None
    cut = (len(years), each, window)
    whole = there[:, : each * window].reshape(cut).all(axis=2)
    hit = (aligned & there)[:, : each * window].reshape(cut).any(axis=2) & whole
    return share_over_chains(hit.sum(axis=1), whole.sum(axis=1), level) if whole.any() else None


def short_by_month(
    short: npt.ArrayLike, counted: npt.ArrayLike | None = None, level: float = LEVEL
) -> tuple[Share, ...]:
    """Share of counted years in which each month of the larder year is short.

    Args:
        short: whether the month is short, bool [chain, year, month].
        counted: which years count, bool [chain, year]; all where None.
        level: coverage that each interval aims at (not all of them at once).

    Raises:
        ValueError: arrays of another kind or shape, no counted year, a level that is no share.
    """
    months = flags(short, 3, "short")
    mask = counted_years(counted, (months.shape[0], months.shape[1]))
    trials: I64 = mask.sum(axis=1)
    hits: I64 = (months & mask[:, :, None]).sum(axis=1)
    return tuple(share_over_chains(hits[:, month], trials, level) for month in range(months.shape[2]))


def _two(years: Flags) -> tuple[int, int]:
    return years.shape[0], years.shape[1]


def _from_first(years: Flags, mask: Flags) -> tuple[Flags, Flags]:
    """Years and mask with each chain's first counted year at 0."""
    order = np.argsort(~mask, axis=1, kind="stable")
    return np.take_along_axis(years, order, axis=1), np.take_along_axis(mask, order, axis=1)
