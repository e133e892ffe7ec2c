"""Laying that follows the light, written without the name of any month."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from yardland.ledger.months import DAYS_IN_YEAR
from yardland.stock.kinds import Husbandry, Klass
from yardland.stock.sky import DAYS_IN_MONTH, Sky

F64 = npt.NDArray[np.float64]
LAYING_LATITUDE_DEG = 50.0
"""Latitude up to which a flock lays the eggs that the table gives (the tables stand for 45 to 50 degrees)."""


@dataclass(frozen=True, slots=True)
class LayLight:
    """How laying follows the light.

    low_h, high_h : daylengths between which the rate changes
    least : rate at `low_h` as a share of the rate at `high_h` (all-year layers)
    slope : share by which the rate rises for each hour a month by which the days lengthen (and falls as they shorten)
    spring : lays only while the days lengthen and are between `low_h` and `high_h`
    """

    low_h: float
    high_h: float
    least: float
    slope: float
    spring: bool


def lay_rate(daylength_h: F64, change_h_month: F64, light: LayLight) -> F64:
    """Rate of laying on a free scale, never negative, of the shape of its arguments.

    All-year layers: (least + (1 - least) x) (1 + slope dN), with x the daylength N between low and high as 0 to 1 and
    dN its change in hours a month. With the hens' figures this gives the common-practice months of 45-50 degrees north
    (docs/stock-laying-and-milk.md). Spring layers: 1 while the days lengthen between low and high, fading over half an
    hour of daylength at either end.
    """
    if light.spring:
        inside = np.minimum(daylength_h - light.low_h, light.high_h - daylength_h) / 0.5 + 0.5
        return np.asarray(np.where(change_h_month > 0.0, np.clip(inside, 0.0, 1.0), 0.0))
    share = np.clip((daylength_h - light.low_h) / (light.high_h - light.low_h), 0.0, 1.0)
    rate = (light.least + (1.0 - light.least) * share) * (1.0 + light.slope * change_h_month)
    return np.asarray(np.maximum(rate, 0.0))


def eggs_per_hen(sky: Sky, light: LayLight, eggs_per_year: float) -> F64:
    """Eggs of one bird on each day, [365].

    Up to 50 degrees of latitude (either hemisphere) they add up to `eggs_per_year`, nearer the pole to fewer. Where the
    light would allow more (nearer the equator) the table's figure is the ceiling, since heat takes what light gives.
    """
    rate = lay_rate(*sky.daily_light(), light)
    scale = eggs_per_year / max(reference_rate(light), float(rate.sum()), 1e-9)
    return np.asarray(rate * scale)


@lru_cache(maxsize=32)
def reference_rate(light: LayLight) -> float:
    """Sum over the year of the daily rate at `LAYING_LATITUDE_DEG`."""
    from yardland.weather.sun import daylength_h

    daily = np.asarray(daylength_h(LAYING_LATITUDE_DEG, np.arange(1.0, DAYS_IN_YEAR + 1.0)))
    change = (np.roll(daily, -1) - np.roll(daily, 1)) / 2.0 * DAYS_IN_MONTH
    return float(lay_rate(daily, change, light).sum())


def flock_share(breeding_life_y: float, decline_per_year: float) -> float:
    """Laying of a flock of even ages against its first-year birds: the mean of (1 - decline)^age over the laying life."""
    whole = int(breeding_life_y)
    ages = np.arange(whole + 1)
    spans = np.append(np.ones(whole), breeding_life_y - whole)
    return float(((1.0 - decline_per_year) ** ages * spans).sum() / breeding_life_y)


def lay_light(klass: Klass, keep: Husbandry) -> LayLight:
    """How the class's laying follows the light (tables stock and husbandry)."""
    row = klass.row
    spring = row.text("lays") == "spring"
    least = 0.0 if spring else row.need("lay_low_factor") / row.need("lay_high_factor")
    low, high = row.need("lay_daylength_low_h"), row.need("lay_daylength_high_h")
    return LayLight(low, high, least, keep["lay_slope_per_h"], spring)


def flock_eggs(klass: Klass, sky: Sky, keep: Husbandry) -> F64:
    """Eggs of one bird of an even-aged flock on each day, [365]."""
    share = flock_share(klass.row.need("breeding_life_yr"), klass.figure("lay_decline_per_year"))
    return eggs_per_hen(sky, lay_light(klass, keep), klass.row.need("eggs_per_year") * share)
