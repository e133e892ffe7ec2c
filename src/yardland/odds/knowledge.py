"""How far the reliability would move if the handbooks' figures were other ones: a range of knowledge, not of sampling."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.odds.share import F64, counts

LOWER, UPPER = 0.05, 0.95
LEAST_DRAWS = 5
"""Draws of levels under which no range is told."""
LEAST_CHAINS = 2
"""Chains of each draw; their difference tells sampling from knowledge."""


@dataclass(frozen=True, slots=True)
class KnowledgeRange:
    """Reliability over what the figures may be.

    low, high : 5 and 95 in the hundred of the draws' reliabilities, sampling taken out ; mean : of the draws
    spread : their standard deviation, sampling taken out ; sampling : standard error of one draw's reliability
    seen : the spread is over 0; else what knowledge does is less than this many chains can show
    draws, chains : how many
    """

    low: float
    high: float
    mean: float
    spread: float
    sampling: float
    seen: bool
    draws: int
    chains: int


def knowledge_range(good: npt.ArrayLike, years: npt.ArrayLike, draw: npt.ArrayLike) -> KnowledgeRange:
    """The range of reliability over draws of levels.

    Chains of one draw share the level of every figure. Of their reliabilities x the variance is what knowledge does and
    what sampling does; the latter, the mean squared standard error of x over its own chains (a ratio: Cochran 1977,
    Sampling Techniques, section 2.11), is taken off, and the x are drawn together about their mean so that they have the
    variance that is left (Louis 1984, Journal of the American Statistical Association 79:393):

        x' = mean + (x - mean) sqrt(max(0, var(x) - mean(se^2)) / var(x))

    Args:
        good: years without a short month of each chain, [chain].
        years: counted years of each chain, [chain].
        draw: which draw of levels the chain had, [chain].

    Raises:
        ValueError: counts that are none, fewer than 5 draws, a draw of fewer than 2 chains.
    """
    which = np.asarray(draw)
    if which.shape != np.asarray(years).shape:
        raise ValueError(f"draw: found {which.shape}, expected one a chain, {np.asarray(years).shape}")
    some, of = counts(good, years)
    which = which[np.asarray(years) > 0]
    names, places, chains = np.unique(which, return_inverse=True, return_counts=True)
    if len(names) < LEAST_DRAWS or chains.min() < LEAST_CHAINS:
        raise ValueError(
            f"draw: found {len(names)} draws of {chains.min()} chains or more; expected {LEAST_DRAWS} or more draws of "
            f"{LEAST_CHAINS} or more chains each"
        )
    each, errors = _draws(some.astype(np.float64), of.astype(np.float64), places, chains)
    mean, whole, noise = float(each.mean()), float(each.var(ddof=1)), float(errors.mean())
    left = max(0.0, whole - noise)
    drawn = mean + (each - mean) * (math.sqrt(left / whole) if whole > 0.0 else 0.0)
    low, high = np.quantile(drawn, [LOWER, UPPER])
    return KnowledgeRange(
        float(low), float(high), mean, math.sqrt(left), math.sqrt(noise), left > 0.0, len(names), len(some)
    )


def _draws(some: F64, of: F64, places: npt.NDArray[np.intp], chains: npt.NDArray[np.intp]) -> tuple[F64, F64]:
    """Reliability of each draw and its squared standard error over its chains."""
    years = np.bincount(places, weights=of)
    each = np.bincount(places, weights=some) / years
    off = np.bincount(places, weights=(some - each[places] * of) ** 2)
    return each, chains / (chains - 1.0) * off / years**2
