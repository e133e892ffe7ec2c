"""Random numbers of a year, and the effects of its months: each year from a stream of its own.

A stream is NumPy's Philox counter-based generator (Salmon and others 2011, Parallel random numbers: as easy as 1, 2, 3)
keyed by seed and year, so that any year can be had alone. What a year takes over from those before it is worked out from
their streams: the year's effect from up to 40 years back, the month's from two, the first day from the last 61 days.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.weather.generator.model import EFFECTS, HALF_YEAR, VARIABLES, SlowModel
from yardland.weather.types import F64
from yardland.weather.years import DAYS

YEAR_OFFSET = 2**40
"""Added to the year's number, so that years before 0 have a key."""
YEAR_MEMORY = 40
"""Years after which a lag of 0.8 has faded to 1e-4."""
MONTH_MEMORY = 2
KINDS = len(EFFECTS)


@dataclass(frozen=True)
class Draws:
    """Numbers of consecutive years: uniform [years, 365, 2] for rain, normal [years, 365, 5] for the residuals."""

    uniform: F64
    normal: F64


def stream(seed: int, year: int) -> np.random.Generator:
    """The year's own stream."""
    return np.random.Generator(np.random.Philox(key=[seed % 2**64, year + YEAR_OFFSET]))


def memory(slow: SlowModel) -> int:
    """Years before the first whose effects are needed."""
    return YEAR_MEMORY if bool((slow.year_lag * slow.year_share > 0).any()) else MONTH_MEMORY


def draws(seed: int, first: int, years: int, before: int) -> tuple[F64, Draws]:
    """Effects' normals [before + years, 13, 6] (the last row is the year's) and the daily numbers of `years`."""
    effects = np.empty((before + years, 13, KINDS))
    uniform, normal = np.empty((years, DAYS, 2)), np.empty((years, DAYS, len(VARIABLES)))
    for index in range(before + years):
        own = stream(seed, first - before + index)
        own.standard_normal(out=effects[index])
        if index >= before:
            own.random(out=uniform[index - before])
            own.standard_normal(out=normal[index - before])
    return effects, Draws(uniform, normal)


def effects_of_months(slow: SlowModel, normals: F64, before: int) -> F64:
    """Effects [years, 12, 6], unit variance, of the years behind the first `before` rows of `normals`."""
    years = len(normals) - before
    mixing = slow.mixing[HALF_YEAR]
    shocks = np.einsum("mij,ymj->ymi", mixing, normals[:, :12])
    month = np.zeros((years, 12, KINDS))
    state, fresh = np.zeros((years, KINDS)), np.sqrt(1 - slow.month_lag**2)
    for past in range(-MONTH_MEMORY, 1):
        rows = slice(before + past, before + past + years)
        for m in range(12):
            state = slow.month_lag * state + fresh * shocks[rows, m]
            month[:, m] = state
    of_year = _year_effects(slow, normals[:, 12], before)
    return np.asarray(np.sqrt(1 - slow.year_share) * month + np.sqrt(slow.year_share) * of_year[:, None, :])


def _year_effects(slow: SlowModel, normals: F64, before: int) -> F64:
    """First-order autoregression over the years, cut off after the years before."""
    halves = slow.mixing @ slow.mixing.transpose(0, 2, 1)
    shocks = np.einsum("ij,yj->yi", np.linalg.cholesky(halves.mean(axis=0)), normals)
    if before < YEAR_MEMORY:
        return np.asarray(shocks[before:])
    made = np.zeros((len(normals) - before, KINDS))
    for k in range(before + 1):
        scale = np.sqrt(1 - slow.year_lag**2) * slow.year_lag**k
        made += scale * shocks[before - k : len(shocks) - k]
    return made
