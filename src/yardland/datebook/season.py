"""The climate that sowing windows are read from: means and frost odds by day of the larder year."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from yardland.growth.crop_traits import growth_figure
from yardland.reference.tables import Tables
from yardland.weather.types import F64, Forcing

YEAR = 365
SMOOTH_DAYS = 31
SPREAD_FLOOR_C = 1.5
"""Least standard deviation of a night's minimum round its mean: a short or analytic record knows too few nights."""


@dataclass(frozen=True)
class SeasonClimate:
    """Means over the lanes' larder years, smoothed over a month. Arrays [365], day 0 is the first of the larder year.

    `tmin_sd_c` is the spread of single nights round the smoothed mean (years and days together).
    """

    tmean_c: F64
    tmin_c: F64
    tmin_sd_c: F64
    rain_mm: F64
    eto_mm: F64
    daylength_h: F64
    twilight_h: F64
    start_month: int
    latitude_deg: float

    @property
    def coldest(self) -> int:
        """Day of the lowest smoothed mean."""
        return int(np.argmin(self.tmean_c))

    @property
    def warmest(self) -> int:
        """Day of the highest smoothed mean."""
        return int(np.argmax(self.tmean_c))


def season_climate(forcing: Forcing) -> SeasonClimate:
    """Climate of the larder years of a forcing (its lead-in years are not counted again)."""
    tmin, tmax = forcing.tmin_c[YEAR:], forcing.tmax_c[YEAR:]
    mean = _smooth(tmin.mean(axis=1))
    variance = _smooth(((tmin - mean[:, None]) ** 2).mean(axis=1))
    return SeasonClimate(
        tmean_c=_smooth(((tmin + tmax) / 2).mean(axis=1)),
        tmin_c=mean,
        tmin_sd_c=np.sqrt(np.maximum(variance, SPREAD_FLOOR_C**2)),
        rain_mm=_smooth(forcing.rain_mm[YEAR:].mean(axis=1)),
        eto_mm=_smooth(forcing.eto_mm[YEAR:].mean(axis=1)),
        daylength_h=forcing.daylength_h[YEAR:].mean(axis=1),
        twilight_h=forcing.twilight_daylength_h[YEAR:].mean(axis=1),
        start_month=forcing.start_month,
        latitude_deg=forcing.latitude_deg,
    )


def under_cover(climate: SeasonClimate, tables: Tables, cover: str) -> SeasonClimate:
    """The climate under a tunnel, frame or fleece, by the same figures as `growth.sky`; the open climate as it is."""
    if cover == "open":
        return climate
    return replace(
        climate,
        tmean_c=climate.tmean_c + growth_figure(tables, f"{cover}_mean_c"),
        tmin_c=climate.tmin_c + growth_figure(tables, f"{cover}_night_c"),
    )


def kill_odds(climate: SeasonClimate, kill_c: float) -> F64:
    """Chance on each day [365] that the night is colder than `kill_c` (normal spread)."""
    z = (kill_c - climate.tmin_c) / climate.tmin_sd_c
    return np.array([0.5 * math.erfc(-value / math.sqrt(2.0)) for value in z])


def _smooth(by_day: F64) -> F64:
    """Centred mean over SMOOTH_DAYS of a year that joins its own end."""
    half = SMOOTH_DAYS // 2
    ring = np.concatenate([by_day[-half:], by_day, by_day[:half]])
    return np.asarray(np.convolve(ring, np.full(SMOOTH_DAYS, 1 / SMOOTH_DAYS), mode="valid"))
