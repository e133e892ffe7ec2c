"""Worms of grazing stock on the ground: when eggs hatch, and how long larvae live. Pure functions on arrays.

docs/husbandry-rules.md prints the equations and the sources.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.reference import Tables

F64 = npt.NDArray[np.float64]
WORMS = {
    "brown": "brown stomach worm",
    "scour": "black scour worm",
    "barber": "barber's pole worm",
}
"""Worms by the row worm_NAME_c of table keeping, in words."""


def hatching(tmax_c: F64, rain_mm: F64, over_c: float, *, window_d: int, least_rain_mm: float) -> npt.NDArray[np.bool_]:
    """Whether eggs become larvae on each day: the days of the window before it are warm on the mean and bring the rain.

    Args:
        tmax_c: daily maxima, C, [day].
        rain_mm: daily rain, mm, [day].
        over_c: mean of the daily maxima over which the eggs of a worm hatch.
        window_d: days that are looked back, the day itself among them.
        least_rain_mm: rain in them.

    Returns:
        bool [day]; False on days before the first whole window.
    """
    sums = [np.concatenate([[0.0], np.cumsum(values)]) for values in (tmax_c, rain_mm)]
    out = np.zeros(len(tmax_c), dtype=np.bool_)
    if len(tmax_c) >= window_d:
        warm, rain = (total[window_d:] - total[:-window_d] for total in sums)
        out[window_d - 1 :] = (warm / window_d > over_c) & (rain >= least_rain_mm)
    return out


def larval_life_d(tables: Tables, tmax_c: F64, tmin_c: F64, rain_mm: F64) -> F64:
    """Days until over nine tenths of the larvae are dead, if a month's weather stood, [12].

    A straight line of the mean daily maximum between the cold season of a cold district and days of 35 C, held beyond
    both; at most the life in the wet tropics where a month is as warm and wet.

    Args:
        tables: table keeping.
        tmax_c: mean daily maximum, C, [12].
        tmin_c: mean daily minimum, C, [12].
        rain_mm: rain of the month, mm, [12].
    """

    def figure(key: str) -> float:
        return tables.row("keeping", key).need("number")

    life = np.interp(
        tmax_c,
        [figure("larvae_cold_c"), figure("larvae_hot_c")],
        [figure("larvae_cold_d"), figure("larvae_hot_d")],
    )
    tropics = (tmin_c >= figure("larvae_tropics_min_c")) & (rain_mm >= figure("larvae_tropics_rain_mm"))
    return np.asarray(np.where(tropics, np.minimum(life, figure("larvae_tropics_d")), life))


def clean_after_d(life_d: F64) -> F64:
    """Days from each day of a year that recurs until larvae of that day are gone, [365]: the days' shares 1/life add to 1.

    Args:
        life_d: life in the weather of each day, d, [365].
    """
    used = np.concatenate([[0.0], np.cumsum(np.tile(1.0 / life_d, 3))])
    start = np.arange(len(life_d))
    return np.asarray(np.searchsorted(used, used[start] + 1.0 - 1e-12) - start, dtype=np.float64)
