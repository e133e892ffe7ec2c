"""Winter cold for trees, bushes and vines: hours under 7.2 C or Utah units from daily extremes, and what too few cost.

docs/growth-trees.md says where the needs come from and what is left out.
"""

from __future__ import annotations

from collections.abc import Iterator
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


UTAH_C = (1.4, 2.4, 9.1, 12.4, 15.9, 18.0)
UTAH_UNITS = (0.0, 0.5, 1.0, 0.5, 0.0, -0.5, -1.0)
"""Units of an hour up to each of the temperatures and above the last: Richardson, Seeley & Walker 1974, HortScience
9:331-332, as printed in Fresh Quarterly 13 (June 2021), table 1."""


@dataclass(frozen=True)
class Cold:
    """Cold of each day [730, lanes]: hours under the table's 7.2 C; Utah units where a species is reckoned by them."""

    hours: F64
    units: F64 | None = None


@dataclass(frozen=True)
class Winter:
    """A winter's cold, [lane]: `counted` (hours or units), `share` of the need, `met_day` on the 730-day axis.

    `met_day` is the first day by which the need was met, or the last day counted where it never was.
    """

    counted: F64
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
    hours = np.zeros_like(forcing.tmin_c)
    for at in _moments(forcing):
        hours += at < below_c
    return hours


def chill_units(forcing: Forcing) -> F64:
    """Utah units of each day at the same 24 moments, [730, lanes]; below zero on warm days."""
    units = np.zeros_like(forcing.tmin_c)
    for at in _moments(forcing):
        units += utah_units(at)
    return units


def utah_units(hour_c: F64) -> F64:
    """Units of chill that an hour at that temperature gives, from -1 (over 18 C) to 1 (2.5 to 9.1 C)."""
    return np.asarray(np.array(UTAH_UNITS)[np.searchsorted(UTAH_C, hour_c)])


def _moments(forcing: Forcing) -> Iterator[F64]:
    """Temperatures [730, lanes] at 24 moments of each day, the first at sunrise."""
    following = np.concatenate([forcing.tmin_c[1:], forcing.tmin_c[-1:]])
    light = forcing.daylength_h
    if (light == light[:, :1]).all():  # one place, one calendar: the sun is reckoned once for all lanes
        light = light[:, :1]
    for hour in range(HOURS):
        yield hourly_c(forcing.tmin_c, forcing.tmax_c, following, light, float(hour))


def units_needed(tables: Tables, species: Row) -> float:
    """Utah units by which the species is reckoned, 0 where it is by hours.

    Units where the table or the user says them; hours again for a species of which the user gave the hours alone.
    """
    units = species["chill_units_low"] or 0.0
    key = f"trees.{species.key}.chill_{{}}_low"
    own_hours = key.format("hours") in tables.own and key.format("units") not in tables.own
    return 0.0 if own_hours else units


def winter_cold(tables: Tables, need: float, counted: F64, midwinter: int) -> Winter:
    """Cold of the winter round a midwinter day against a need, both in hours or both in Utah units.

    The count starts after its lowest point, so that the warm days of autumn are no debt; once met, a need stays met.
    Days before the axis are those of a year later in the lane.
    """
    before, after = (int(growth_figure(tables, f"chill_{side}_days")) for side in ("before", "after"))
    days = np.arange(midwinter - before, midwinter + after)
    total = np.cumsum(counted[np.where(days < 0, days + tr.YEAR, np.minimum(days, tr.AXIS - 1))], axis=0)
    total -= np.minimum(np.minimum.accumulate(total, axis=0), 0.0)
    met = total >= need
    first = np.where(met.any(axis=0), np.argmax(met, axis=0), len(days) - 1)
    most = total.max(axis=0)
    share = most / need if need > 0 else np.ones(counted.shape[1])
    return Winter(counted=most, share=share, met_day=days[first].astype(np.int64))


def chill_factor(tables: Tables, share: F64) -> F64:
    """Share of the crop after a winter that gave this share of the need: all of it from 1, nothing at half, linear between."""
    none = growth_figure(tables, "chill_none_share")
    return np.clip((share - none) / (1.0 - none), 0.0, 1.0)
