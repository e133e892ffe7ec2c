"""Winter cold for trees, bushes and vines: hours under 7.2 C from daily extremes, and what too few of them cost.

docs/growth-trees.md says where the needs come from and what is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.crop_traits import growth_figure
from yardland.growth.io import F64, I64
from yardland.reference.tables import Row, Tables
from yardland.weather.types import Forcing

HOURS = 24
LEAST_NIGHT_H = 2.0
"""Nights are taken as no shorter: the curve of the evening needs some hours to fall in."""


@dataclass(frozen=True)
class Winter:
    """A winter's cold, [lane]: `hours` counted, `share` of the need, `met_day` on the 730-day axis.

    `met_day` is the first day by which the need was met, or the last day counted where it never was.
    """

    hours: F64
    share: F64
    met_day: I64


def hourly_c(tmin_c: F64, tmax_c: F64, next_tmin_c: F64, daylength_h: F64, hour: float) -> F64:
    """Temperature some hours after sunrise: a sine by day, from sunset a fall with the logarithm of the time.

    Linvill 1990, HortScience 25:14-16 (form from memory): by day Tmin + (Tmax - Tmin) sin(pi t / (D + 4)) with t hours
    after sunrise and D the daylength; by night Ts - (Ts - next Tmin) ln(t) / ln(24 - D) with t hours after sunset, Ts the
    temperature at sunset, which holds for the first hour.
    """
    day = np.minimum(daylength_h, HOURS - LEAST_NIGHT_H)

    def sun(after_h: F64) -> F64:
        return tmin_c + (tmax_c - tmin_c) * np.sin(np.pi * after_h / (day + 4.0))

    sunset = sun(day)
    fallen = np.log(np.maximum(hour - day, 1.0)) / np.log(HOURS - day)
    return np.where(hour <= day, sun(np.full_like(day, hour)), sunset - (sunset - next_tmin_c) * fallen)


def chill_hours(forcing: Forcing, below_c: float) -> F64:
    """Hours of each day under `below_c`, counted at 24 moments from sunrise to sunrise, [730, lanes]."""
    following = np.concatenate([forcing.tmin_c[1:], forcing.tmin_c[-1:]])
    hours = np.zeros_like(forcing.tmin_c)
    for hour in range(HOURS):
        at = hourly_c(forcing.tmin_c, forcing.tmax_c, following, forcing.daylength_h, float(hour))
        hours += at < below_c
    return hours


def winter_cold(tables: Tables, species: Row, hours: F64, midwinter: int) -> Winter:
    """Cold of the winter round a midwinter day against a species' need (the low end of its table's range).

    Days before the axis are those of a year later in the lane.
    """
    before, after = (int(growth_figure(tables, f"chill_{side}_days")) for side in ("before", "after"))
    days = np.arange(midwinter - before, midwinter + after)
    total = np.cumsum(hours[np.where(days < 0, days + tr.YEAR, np.minimum(days, tr.AXIS - 1))], axis=0)
    need = species["chill_hours_low"] or 0.0
    met = total >= need
    first = np.where(met.any(axis=0), np.argmax(met, axis=0), len(days) - 1)
    share = total[-1] / need if need > 0 else np.ones(hours.shape[1])
    return Winter(hours=total[-1], share=share, met_day=days[first].astype(np.int64))


def chill_factor(tables: Tables, share: F64) -> F64:
    """Share of the crop after a winter that gave this share of the need: all of it from 1, nothing at half, linear between."""
    none = growth_figure(tables, "chill_none_share")
    return np.clip((share - none) / (1.0 - none), 0.0, 1.0)
