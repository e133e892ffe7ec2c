"""Interval of a share over chains: the beta-binomial, with how alike the years of a chain are left open.

A chain's good years are beta-binomial: its own chance is drawn from a beta of mean p, and two of its years agree beyond
chance by rho (Skellam 1948, Journal of the Royal Statistical Society B 10:257; in p and rho: Griffiths 1973, Biometrics
29:637). The likelihood is weighed over a grid of both; the interval is the middle of p's weight, rho summed out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.odds.share import F64, I64, LEVEL, Share, check_level, counts
from yardland.odds.wilson import wilson

COARSE = (96, 16)
"""Cells over all of p and rho: where the weight is."""
FINE = (160, 24)
"""Cells over the part that holds it."""
ENOUGH = 0.25
"""Share of the wider grid that the finer one must span; where the weight is in less, it is narrowed once more."""
MOST_TIMES = 6
NEGLIGIBLE = 1e-9
"""Weight relative to the heaviest cell under which a cell is left out of the finer grid."""


@dataclass(frozen=True, slots=True)
class _Tails:
    """Chains with more than j good years, more than j others, more than j years, j = 0, 1, ... (the likelihood's counts)."""

    good: I64
    other: I64
    years: I64


def share_over_chains(good: npt.ArrayLike, trials: npt.ArrayLike, level: float = LEVEL) -> Share:
    """Share of good trials with an interval that takes the chain as the sampling unit.

    Where every chain has one trial it is Wilson's. Else the weight before any year is seen is even in asin(sqrt p)
    (Jeffreys 1946) and in rho from 0 to 1. Where no trial, or every one, is good, that end is 0, or 1 (as Brown, Cai
    and DasGupta 2001, Statistical Science 16:101, change the interval of Jeffreys).

    Args:
        good: good trials of each chain, [chain].
        trials: trials of each chain, [chain]; chains of 0 are left out, lengths may differ.
        level: coverage aimed at.

    Raises:
        ValueError: counts that are none, no trial at all, or a level that is no share.
    """
    check_level(level)
    some, of = counts(good, trials)
    total, all_of = int(some.sum()), int(of.sum())
    if (of == 1).all():
        return wilson(total, all_of, level)
    low, high = _ends(some, of, level)
    value = total / all_of
    low, high = min(low, value), max(high, value)
    return Share(
        value,
        0.0 if total == 0 else low,
        1.0 if total == all_of else high,
        all_of,
        len(of),
        level,
        "beta-binomial",
    )


def likeness(good: npt.ArrayLike, trials: npt.ArrayLike) -> float:
    """How alike the trials of a chain are, 0-1: the intraclass correlation by analysis of variance.

    Ridout, Demetrio and Firth 1999, Biometrics 55:137 (their estimator AOV); 1 where the trials do not differ or there
    is one chain, since nothing is then known of it; 0 where it comes out negative or every chain has one trial.

    Raises:
        ValueError: counts that are none, or no trial at all.
    """
    some, of = counts(good, trials)
    chains, total, all_of = len(of), float(some.sum()), float(of.sum())
    if (of == 1).all():
        return 0.0
    if chains == 1 or total in {0.0, all_of}:
        return 1.0
    within = float((some - some * some / of).sum()) / (all_of - chains)
    between = float((some * some / of).sum() - total * total / all_of) / (chains - 1)
    typical = (all_of - float((of * of).sum()) / all_of) / (chains - 1)
    return float(np.clip((between - within) / (between + (typical - 1.0) * within), 0.0, 1.0))


def _ends(good: I64, trials: I64, level: float) -> tuple[float, float]:
    """Ends of the middle `level` of the weight of p."""
    most = int(trials.max())
    tails = _Tails(_over(good, most), _over(trials - good, most), _over(trials, most))
    edges, likes = np.linspace(0.0, 1.0, COARSE[0] + 1), np.linspace(0.0, 1.0, COARSE[1] + 1)
    weight = _weight(tails, edges, likes)
    for _ in range(MOST_TIMES):
        wider = edges, likes
        edges, likes = (
            _narrowed(line, weight.max(axis=1 - axis), FINE[axis]) for axis, line in enumerate((edges, likes))
        )
        weight = _weight(tails, edges, likes)
        if all(np.ptp(now) > ENOUGH * np.ptp(before) for now, before in zip((edges, likes), wider, strict=True)):
            break
    below = np.concatenate([[0.0], np.cumsum(weight.sum(axis=1))])
    ends = np.interp(np.array([0.5 - level / 2.0, 0.5 + level / 2.0]) * below[-1], below, edges)
    low, high = np.sin(0.5 * np.pi * ends) ** 2
    return float(low), float(high)


def _weight(tails: _Tails, edges: F64, likes: F64) -> F64:
    """Likelihood in the middle of the cells [p, rho], the heaviest 1 (constant factors left out).

    `edges` lie on asin(sqrt p) / (pi / 2). With t = rho / (1 - rho) the chance of g good in n is in proportion to
    prod_{j<g} (p + j t) prod_{j<n-g} (1 - p + j t) / prod_{j<n} (1 + j t).
    """
    chance = np.sin(0.25 * np.pi * (edges[1:] + edges[:-1]))[:, None] ** 2
    rho = 0.5 * (likes[1:] + likes[:-1])
    tied = rho / (1.0 - rho)
    log = np.zeros((len(chance), len(tied)))
    for j, (good, other, years) in enumerate(zip(tails.good, tails.other, tails.years, strict=True)):
        if good:
            log += good * np.log(chance + j * tied)
        if other:
            log += other * np.log(1.0 - chance + j * tied)
        log -= years * np.log1p(j * tied)
    weight: F64 = np.exp(log - log.max())
    return weight


def _narrowed(edges: F64, heaviest: F64, cells: int) -> F64:
    """Edges of so many cells over those that hold weight, one cell more on either side."""
    held = np.flatnonzero(heaviest > NEGLIGIBLE)
    first, last = max(0, int(held[0]) - 1), min(len(edges) - 1, int(held[-1]) + 2)
    return np.linspace(edges[first], edges[last], cells + 1)


def _over(numbers: I64, most: int) -> I64:
    """How many of the numbers are over j, for j from 0 to `most` less one."""
    tally = np.bincount(numbers, minlength=most + 1)
    return tally[::-1].cumsum()[::-1][1:].astype(np.int64)
