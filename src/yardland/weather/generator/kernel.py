"""The daily loop, compiled: rain or none, how much, and the five residuals, one year at a time."""

from __future__ import annotations

from math import erf, exp, log, sqrt

import numba
import numpy as np
import numpy.typing as npt

from yardland.weather.generator.model import RAIN_DAY_MM
from yardland.weather.types import F64

I64 = npt.NDArray[np.int64]
SPIN_UP_DAYS = 61
"""November and December of the year before, from that year's numbers: long enough to forget where the chain began."""


@numba.njit(cache=True, fastmath=False)
def _phi(value: float) -> float:
    return 0.5 * (1.0 + erf(value / sqrt(2.0)))


@numba.njit(cache=True, fastmath=False)
def _amount_mm(rain: F64, m: int, g: float, u: float) -> float:
    """Rain of a wet day by the inverse of the mixed exponential."""
    share = rain[3, m]
    factor = exp(rain[7, m] + rain[6, m] * g)
    if u < share:
        return float(RAIN_DAY_MM - factor * rain[4, m] * log(1.0 - u / share))
    return float(RAIN_DAY_MM - factor * rain[5, m] * log(1.0 - (u - share) / (1.0 - share)))


@numba.njit(cache=True, fastmath=False)
def run_years(
    month_of_day: I64,
    rain: F64,
    centre: F64,
    sd: F64,
    lag: F64,
    shock: F64,
    slow_share: F64,
    bend: F64,
    effects: F64,
    uniform: F64,
    normal: F64,
    out: F64,
) -> None:
    """Fill `out` [years, 365, 6]: the five transformed variables and the rain in mm.

    rain : [10, 12] fields of RainModel in their order; effects [1 + years, 12, 6], uniform [1 + years, 365, 2], normal
    [1 + years, 365, 5] begin with the year before the first.
    """
    count = normal.shape[2]
    state, fresh = np.empty(count), np.empty(count)
    for y in range(out.shape[0]):
        wet, earlier = 0, 0
        state[:] = 0.0
        for step in range(-SPIN_UP_DAYS, 365):
            row = y + 1 if step >= 0 else y
            day = step if step >= 0 else step + 365
            m = month_of_day[day]
            g = effects[row, m, 0]
            level = rain[1, m] if wet == 1 else rain[0, m]
            if earlier == 1:
                level += rain[9, m] if wet == 1 else rain[8, m]
            earlier = wet
            wet = 1 if uniform[row, day, 0] < _phi(level + rain[2, m] * g) else 0
            for i in range(count):
                total = 0.0
                for j in range(count):
                    total += lag[m, i, j] * state[j]
                for j in range(i + 1):
                    total += shock[m, i, j] * normal[row, day, j]
                fresh[i] = total
            state[:] = fresh
            if step < 0:
                continue
            for i in range(count):
                z = sqrt(1.0 - slow_share[m, i]) * state[i] + sqrt(slow_share[m, i]) * effects[row, m, 1 + i]
                c = bend[m, i]
                z = (z + c * (z * z - 1.0)) / sqrt(1.0 + 2.0 * c * c)
                out[y, day, i] = centre[wet, day, i] + sd[wet, day, i] * z
            out[y, day, count] = 0.0
            if wet == 1:
                out[y, day, count] = _amount_mm(rain, m, g, uniform[row, day, 1])
