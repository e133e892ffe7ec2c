"""The turning points of a place's year, by its climate: from when trees wait for warmth, round when they are in leaf."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.io import F64
from yardland.weather.types import Forcing

MONTH_D, SEASON_D = 31, 91
"""Days over which the mean year is smoothed for its coldest and for its warmest time."""


@dataclass(frozen=True, slots=True)
class Turning:
    """Days of the larder year, 0-364: the middle of the coldest month, and of the warmest quarter, of the mean year."""

    coldest: int
    warmest: int

    def midwinter_before(self, harvest_day: int) -> int:
        """The last midwinter before a harvest, both on the 730-day axis."""
        return self.coldest + tr.YEAR if self.coldest + tr.YEAR < harvest_day else self.coldest


def turning_of(forcing: Forcing) -> Turning:
    """Those of the mean of all lanes: give it a record's years, for of a few drawn years it would be their luck."""
    mean = (forcing.tmin_c + forcing.tmax_c)[tr.YEAR :].mean(axis=1)
    return Turning(int(np.argmin(smoothed(mean, MONTH_D))), int(np.argmax(smoothed(mean, SEASON_D))))


def smoothed(year: F64, days: int) -> F64:
    """Mean of so many days (odd) round each day of a year that joins its own end, [365]."""
    half = days // 2
    ring = np.concatenate([year[-half:], year, year[:half]])
    return np.asarray(np.convolve(ring, np.full(days, 1 / days), mode="valid"))
