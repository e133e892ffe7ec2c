"""The driest, wettest, coldest and warmest tenth of the counted years beside all of them.

Years are ranked by the rain, and by the mean temperature, of the larder year and of the year before it together (own choice):
a larder year opens after the main harvest, so that what is eaten in it has grown in both.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larderyears.chains import chain_forcing
from yardland.larderyears.food_flows import worth_mj
from yardland.larderyears.run import ROUNDING, Years
from yardland.larderyears.short_months import ShortMonths, short_months
from yardland.odds.share import Share
from yardland.odds.wilson import wilson

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
TENTH = 0.1
FEWEST_YEARS = 10
"""Counted years from which a tenth holds at least one."""
CHAINS_AT_A_TIME = 50
YEARS = 2
"""Of weather that each lane of a forcing has: the year, and the one that leads it in."""


@dataclass(frozen=True)
class TenthHarvest:
    """What came of a good in a tenth, beside all years: both of each two years by whose weather they are ranked.

    share : of its mean in all years ; more_mj : edible energy a year, under zero where less came
    """

    good: str
    share: float
    more_mj: float


@dataclass(frozen=True)
class Tenth:
    """A tenth of the counted years by weather.

    name : driest, wettest, coldest or warmest ; reliability : with Wilson's interval ; shortfall : months' needs a year
    rain_mm, mean_c : a year, mean over both years of each ; harvests : greatest loss of edible energy first ; grass : growth of the
    swards as a share of that of all years, None without any ; close : its short months
    """

    name: str
    reliability: Share
    shortfall: float
    rain_mm: float
    mean_c: float
    harvests: tuple[TenthHarvest, ...]
    grass: float | None
    close: ShortMonths


def tenths(run: Years) -> tuple[Tenth, ...]:
    """The four tenths; none where fewer years than ten were counted."""
    least = run.stacked("least").min(axis=(2, 3)).ravel()
    shortfall = run.stacked("shortfall").ravel()
    if len(least) < FEWEST_YEARS:
        return ()
    short = least < run.prepared.ground.holding.goal.short_below - ROUNDING
    rain_mm, mean_c = year_weather(run)
    arrived, grass = (with_year_before(run, name) for name in ("arrived_kg", "grass_kg_dm"))
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
                harvests(run, arrived, which),
                float(grass[which].mean() / grass.mean()) if grass.mean() > 0.0 else None,
                short_months(run, chosen(run, which)),
            )
        )
    return tuple(found)


def with_year_before(run: Years, name: str) -> F64:
    """An array of the chains in the mean of each counted year and the year before it, chain by chain; of a first year alone."""
    first = run.counted.start
    found = []
    for chain in run.chains:
        told = getattr(chain, name)
        before = np.concatenate([told[:1], told])[first : run.counted.stop]
        found.append((told[run.counted] + before) / YEARS)
    return np.concatenate(found)


def harvests(run: Years, arrived_kg: F64, which: I64) -> tuple[TenthHarvest, ...]:
    """Goods that people eat in some years beside all of them, the greatest loss of energy first.

    Args:
        run: chains that are done.
        arrived_kg: [year, good], chain by chain.
        which: the years.
    """
    mj = worth_mj(run.prepared.frame.build)
    mean, own = arrived_kg.mean(axis=0), arrived_kg[which].mean(axis=0)
    found = [
        TenthHarvest(good, float(own[at] / mean[at]), float(own[at] - mean[at]) * mj[good])
        for at, good in enumerate(run.prepared.frame.goods)
        if mj.get(good, 0.0) > 0.0 and mean[at] > 0.0
    ]
    return tuple(sorted(found, key=lambda one: (one.more_mj, one.good)))


def chosen(run: Years, which: I64) -> npt.NDArray[np.bool_]:
    """Which counted years are among some, [chain, year]."""
    found = np.zeros(len(run.chains) * run.asked.chain_years, dtype=np.bool_)
    found[which] = True
    return found.reshape(len(run.chains), run.asked.chain_years)


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
