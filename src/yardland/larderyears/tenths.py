"""The driest, wettest, coldest and warmest tenth of the counted years beside all of them.

Years are ranked by the rain, and by the mean temperature, of the larder year and of the year before it together (own choice):
a larder year opens after the main harvest, so that what is eaten in it has grown in both.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larderyears.chains import chain_forcing
from yardland.larderyears.run import ROUNDING, Years
from yardland.odds.share import Share
from yardland.odds.wilson import wilson

F64 = npt.NDArray[np.float64]
TENTH = 0.1
FEWEST_YEARS = 10
"""Counted years from which a tenth holds at least one."""
CHAINS_AT_A_TIME = 50
YEARS = 2
"""Of weather that each lane of a forcing has: the year, and the one that leads it in."""


@dataclass(frozen=True)
class Tenth:
    """A tenth of the counted years by weather.

    name : driest, wettest, coldest or warmest ; reliability : with Wilson's interval ; shortfall : months' needs a year
    rain_mm, mean_c : a year, mean over both years of each
    """

    name: str
    reliability: Share
    shortfall: float
    rain_mm: float
    mean_c: float


def tenths(run: Years) -> tuple[Tenth, ...]:
    """The four tenths; none where fewer years than ten were counted."""
    least = run.stacked("least").min(axis=(2, 3)).ravel()
    shortfall = run.stacked("shortfall").ravel()
    if len(least) < FEWEST_YEARS:
        return ()
    short = least < run.prepared.ground.holding.goal.short_below - ROUNDING
    rain_mm, mean_c = year_weather(run)
    count = int(len(least) * TENTH)
    order = {"driest": rain_mm, "wettest": -rain_mm, "coldest": mean_c, "warmest": -mean_c}
    found = []
    for name, key in order.items():
        which = np.argsort(key, kind="stable")[:count]
        good = int((~short[which]).sum())
        found.append(
            Tenth(
                name,
                wilson(good, count),
                float(shortfall[which].mean()),
                float(rain_mm[which].mean()),
                float(mean_c[which].mean()),
            )
        )
    return tuple(found)


def year_weather(run: Years) -> tuple[F64, F64]:
    """Rain and mean temperature of each counted year with the year before, chain by chain; drawn again, at next to no cost."""
    asked, counted = run.asked, run.counted
    numbers = [one.chain for one in run.chains]
    rain, mean = [], []
    for first in range(0, len(numbers), CHAINS_AT_A_TIME):
        some = numbers[first : first + CHAINS_AT_A_TIME]
        sky = chain_forcing(run.prepared.ground, asked.seed, some, asked.length, asked.warmer_c)
        shape = (len(some), asked.length)
        rain.append(sky.rain_mm.sum(axis=0).reshape(shape)[:, counted] / YEARS)
        means = (sky.tmin_c + sky.tmax_c).mean(axis=0) / 2.0
        mean.append(means.reshape(shape)[:, counted])
    return np.concatenate(rain).ravel(), np.concatenate(mean).ravel()
