"""Temperature and light of a larder year as the animals meet them, and the laying that follows the light."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from yardland.ledger.months import DAYS_IN_YEAR, Month, larder_months, month_of_day

F64 = npt.NDArray[np.float64]
LAYING_LATITUDE_DEG = 50.0
"""Latitude up to which a flock lays the eggs that the table gives (the tables stand for 45 to 50 degrees)."""


@dataclass(frozen=True)
class Sky:
    """Twelve months of a larder year.

    tmean_c, daylength_h : float64 [12], means of the month
    month : int64 [365], index of each day's month
    """

    months: tuple[Month, ...]
    tmean_c: F64
    daylength_h: F64
    month: npt.NDArray[np.int64]

    @classmethod
    def of(cls, months: tuple[Month, ...], tmean_c: npt.ArrayLike, daylength_h: npt.ArrayLike) -> Sky:
        """The sky of `months` from twelve means each."""
        return cls(
            months,
            np.asarray(tmean_c, dtype=np.float64),
            np.asarray(daylength_h, dtype=np.float64),
            np.asarray(month_of_day(months)),
        )

    @property
    def temperature_c(self) -> F64:
        """Mean temperature of each day's month, [365]."""
        return np.asarray(self.tmean_c[self.month])

    @property
    def days(self) -> F64:
        """Days in each month, [12]."""
        return np.array([month.days for month in self.months], dtype=np.float64)

    def by_month(self, daily: npt.ArrayLike) -> F64:
        """Sums of 365 daily values over the months, [12]."""
        sums = np.bincount(self.month, weights=np.asarray(daily, dtype=np.float64), minlength=12)
        return np.asarray(sums, dtype=np.float64)

    def day_of(self, month: int, day: int) -> int:
        """Day of the larder year (0-364) of a date that recurs; 29 February is the 28th."""
        for item in self.months:
            if item.month == month:
                return item.first_day + min(day, item.days) - 1
        raise ValueError(f"month {month} is not in 1 to 12")

    def date_words(self, day: int) -> str:
        """A day of the larder year as "MM-DD"."""
        item = self.months[int(self.month[day % DAYS_IN_YEAR])]
        return f"{item.month:02d}-{day % DAYS_IN_YEAR - item.first_day + 1:02d}"


def change_h_month(daylength_h: F64) -> F64:
    """Change of the daylength from the month before to the month after, per month, [12]; the year is a ring."""
    return np.asarray((np.roll(daylength_h, -1) - np.roll(daylength_h, 1)) / 2.0)


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


def lay_rate(daylength_h: F64, light: LayLight) -> F64:
    """Rate of laying in each month on a free scale, [12], never negative.

    All-year layers: (least + (1 - least) x) (1 + slope dN), with x the daylength N between low and high as 0 to 1 and
    dN its change in hours a month. With the hens' figures this gives the common-practice month factors of 45-50
    degrees north within 0.1 (docs/stock-laying.md), written without the name of any month. Spring layers: 1 while the
    days lengthen between low and high, fading over half an hour of daylength at either end.
    """
    change = change_h_month(daylength_h)
    if light.spring:
        inside = np.minimum(daylength_h - light.low_h, light.high_h - daylength_h) / 0.5 + 0.5
        return np.asarray(np.where(change > 0.0, np.clip(inside, 0.0, 1.0), 0.0))
    share = np.clip((daylength_h - light.low_h) / (light.high_h - light.low_h), 0.0, 1.0)
    return np.asarray(np.maximum((light.least + (1.0 - light.least) * share) * (1.0 + light.slope * change), 0.0))


def eggs_per_hen(sky: Sky, light: LayLight, eggs_per_year: float) -> F64:
    """Eggs of one bird in each month, [12].

    Up to 50 degrees of latitude (either hemisphere) they add up to `eggs_per_year`, nearer the pole to fewer. Where the
    light would allow more (nearer the equator) the table's figure is the ceiling, since heat takes what light gives.
    """
    expected = lay_rate(sky.daylength_h, light) * sky.days
    scale = eggs_per_year / reference_rate(light)
    return np.asarray(expected * min(scale, eggs_per_year / max(float(expected.sum()), 1e-9)))


@lru_cache(maxsize=32)
def reference_rate(light: LayLight) -> float:
    """Sum over the year of rate x days at `LAYING_LATITUDE_DEG`."""
    from yardland.weather.sun import daylength_h

    months = larder_months(2001, 1)
    daily = np.asarray(daylength_h(LAYING_LATITUDE_DEG, np.arange(1.0, DAYS_IN_YEAR + 1.0)))
    sky = Sky.of(months, np.zeros(12), np.zeros(12))
    return float((lay_rate(sky.by_month(daily) / sky.days, light) * sky.days).sum())


def flock_share(breeding_life_y: float, decline_per_year: float) -> float:
    """Laying of a flock of even ages against its first-year birds: the mean of (1 - decline)^age over the laying life."""
    whole = int(breeding_life_y)
    ages = np.arange(whole + 1)
    spans = np.append(np.ones(whole), breeding_life_y - whole)
    return float(((1.0 - decline_per_year) ** ages * spans).sum() / breeding_life_y)
