"""Stopping early: at which numbers of chains to look, and how wide the interval must be drawn at each look.

An interval of 95 % that is looked at again and again, and kept once it is narrow, misses in more than 5 %. The error is
therefore spent over the looks (Lan and DeMets 1983, Biometrika 70:659); what holds at all looks at once holds at the one
where it stops, whatever made it stop (repeated confidence intervals: Jennison and Turnbull 1984, Controlled Clinical
Trials 5:33).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from yardland.odds.share import F64, LEVEL, NORMAL, Share, check_level

FIRST_LOOK = 20
"""Chains at the first look; each further look has twice as many."""
CLOSE = 0.8
"""A look over this share of the chains asked for is left to the last look."""
NODES = 100
"""Points of the quadrature over the range between the bounds."""
HALVINGS = 40
FURTHEST = 12.0
"""No bound is looked for beyond so many standard deviations."""


@dataclass(frozen=True, slots=True)
class Look:
    """One look at the run.

    chains : finished by then ; spent : error spent up to here, 0 to 1 - level of the whole
    bound : standard deviations that the interval reaches ; level : coverage to ask of an interval at this look
    """

    chains: int
    spent: float
    bound: float
    level: float


def look_chains(most: int) -> tuple[int, ...]:
    """Numbers of chains at which to look: 20, 40, 80, ... and the most that is asked for.

    Raises:
        ValueError: `most` is under 1.
    """
    if most < 1:
        raise ValueError(f"chains: found {most}, expected 1 or more")
    doubled = [FIRST_LOOK * 2**k for k in range(most.bit_length()) if FIRST_LOOK * 2**k <= CLOSE * most]
    return (*doubled, most)


def plan_looks(chains: Sequence[int], most: int | None = None, level: float = LEVEL) -> tuple[Look, ...]:
    """The looks with what each may spend, Pocock's type of spending: (1 - level) ln(1 + (e - 1) t), t = chains / most.

    Pocock's type, since the run may end at any look: O'Brien and Fleming's type saves the error for the last look and
    draws the first ones 2 to 5 times as wide. For a run that is broken off, give the looks that were made and the
    chains that are done: how the error is spent does not hang on when one looks, as long as that is not chosen by the
    result.

    Args:
        chains: at each look, rising.
        most: chains of the full run; the last look's where None.
        level: coverage of the interval where it stops.

    Raises:
        ValueError: looks that do not rise from 1 to `most`, a level that is no share.
    """
    check_level(level)
    full = chains[-1] if chains and most is None else most or 0
    if not chains or chains[0] < 1 or any(a >= b for a, b in pairwise(chains)) or chains[-1] > full:
        raise ValueError(f"looks: found {list(chains)} of {full} chains, expected numbers that rise from 1 to {full}")
    parts = [count / full for count in chains]
    spent = [pocock_type(part, 1.0 - level) for part in parts]
    bounds = critical_values(parts, spent)
    return tuple(
        Look(count, gone, bound, 2.0 * NORMAL.cdf(bound) - 1.0)
        for count, gone, bound in zip(chains, spent, bounds, strict=True)
    )


def narrow_enough(share: Share, within: float) -> bool:
    """Whether neither end of the interval is further than `within` from the share.

    Raises:
        ValueError: `within` is not over 0.
    """
    if not within > 0.0:
        raise ValueError(f"within: found {within}, expected a share over 0, as 0.02")
    return max(share.high - share.value, share.value - share.low) <= within


def pocock_type(part: float, error: float) -> float:
    """Error spent when this part of the run is done, near Pocock's even bounds (Lan and DeMets 1983)."""
    return error * math.log1p((math.e - 1.0) * part)


def obrien_fleming_type(part: float, error: float) -> float:
    """Error spent when this part of the run is done, near O'Brien and Fleming's bounds (Lan and DeMets 1983)."""
    return 2.0 - 2.0 * NORMAL.cdf(NORMAL.inv_cdf(1.0 - error / 2.0) / math.sqrt(part))


def critical_values(parts: Sequence[float], spent: Sequence[float]) -> tuple[float, ...]:
    """Two-sided bounds of a standardised mean at each look, so that the error spent up to it is `spent`.

    The weight of the paths still between the bounds is carried from look to look (Armitage, McPherson and Rowe 1969,
    Journal of the Royal Statistical Society A 132:235), on the points of Gauss and Legendre; the increments between
    looks are independent normals.

    Args:
        parts: of the full run at each look, rising, 0-1.
        spent: error spent up to each look, rising, under 1.

    Raises:
        ValueError: parts or errors do not rise.
    """
    _check_rising(parts, spent)
    bounds: list[float] = []
    points, weights, before, gone = np.zeros(1), np.ones(1), 0.0, 0.0
    for part, error in zip(parts, spent, strict=True):
        bounds.append(_falling(_outside(points, weights, part - before, part), error - gone))
        points, weights = _carried(points, weights, part - before, bounds[-1] * math.sqrt(part))
        before, gone = part, error
    return tuple(bounds)


def error_of(parts: Sequence[float], bounds: Sequence[float]) -> tuple[float, ...]:
    """Error spent up to each look by these two-sided bounds: what `critical_values` turns round.

    Args:
        parts: of the full run at each look, rising, 0-1.
        bounds: standard deviations, over 0.

    Raises:
        ValueError: parts that do not rise, a bound that is not over 0.
    """
    _check_rising(parts, [(index + 1) / len(parts) for index in range(len(parts))])
    if len(bounds) != len(parts) or min(bounds) <= 0.0:
        raise ValueError(f"bounds: found {list(bounds)}, expected {len(parts)} numbers over 0")
    spent: list[float] = []
    points, weights, before = np.zeros(1), np.ones(1), 0.0
    for part, bound in zip(parts, bounds, strict=True):
        spent.append((spent[-1] if spent else 0.0) + _outside(points, weights, part - before, part)(bound))
        points, weights = _carried(points, weights, part - before, bound * math.sqrt(part))
        before = part
    return tuple(spent)


def _outside(points: F64, weights: F64, since: float, part: float) -> Callable[[float], float]:
    """Weight that leaves between two looks, so much of the run apart, as a function of the bound at the second."""
    scale, end = math.sqrt(2.0 * since), math.sqrt(part)

    def leaves(bound: float) -> float:
        # the paths lie evenly about 0, so that as many leave above as below
        return float(weights @ [math.erfc((bound * end - point) / scale) for point in points.tolist()])

    return leaves


def _carried(points: F64, weights: F64, since: float, end: float) -> tuple[F64, F64]:
    """Points between the bounds at this look, and the weight of paths that are there."""
    place, width = _quadrature()
    here = end * place
    bell = np.exp(-0.5 * (here[:, None] - points[None, :]) ** 2 / since) / math.sqrt(2.0 * math.pi * since)
    return here, end * width * (bell @ weights)


@lru_cache(maxsize=1)
def _quadrature() -> tuple[F64, F64]:
    """Points and widths of Gauss and Legendre over -1 to 1."""
    place, width = np.polynomial.legendre.leggauss(NODES)
    return place, width


def _falling(function: Callable[[float], float], target: float) -> float:
    """Where a falling function has this value, by halving."""
    low, high = 0.0, FURTHEST
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if function(middle) > target else (low, middle)
    return 0.5 * (low + high)


def _check_rising(parts: Sequence[float], spent: Sequence[float]) -> None:
    for name, numbers in (("parts", parts), ("spent", spent)):
        steps = [b - a for a, b in pairwise((0.0, *numbers))]
        if not numbers or min(steps) <= 0.0 or numbers[-1] > 1.0:
            raise ValueError(f"{name}: found {list(numbers)}, expected numbers that rise from over 0 to at most 1")
