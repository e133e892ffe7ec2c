"""When a crop sown on each day of a mean year would ripen: the kernel's development without water, light or frost."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr
from yardland.growth.heat import daylength_factor, vernal_weight
from yardland.growth.io import F64, I64

LONGEST_DAYS = 400
Kind = TypeVar("Kind", np.float64, np.bool_)


def ripening_days(traits: F64, tmean_c: F64, twilight_h: F64, daylength_h: F64) -> tuple[I64, I64]:
    """Days to emergence and to ripeness from every sowing day of a year that repeats itself; see `stage_days`."""
    emerged, reached = stage_days(traits, (1.0,), tmean_c, twilight_h, daylength_h)
    return emerged, reached[0]


def stage_days(
    traits: F64, shares: tuple[float, ...], tmean_c: F64, twilight_h: F64, daylength_h: F64
) -> tuple[I64, I64]:
    """Days to emergence and to stages of development from every sowing day of a year that repeats itself.

    Args:
        traits: of the crop (`crop_traits`).
        shares: of the degree-days from emergence to ripeness (1 is ripe).
        tmean_c: [365] mean temperature by day.
        twilight_h: [365] hours with the sun above -6 degrees.
        daylength_h: [365] hours of daylight.

    Returns:
        Arrays [365] and [share, 365] of days after sowing; -1 where it does not come within LONGEST_DAYS.
    """
    heat = np.full(tr.YEAR, traits[tr.HEAT_AT_START])
    units, vernal = np.zeros(tr.YEAR), np.zeros(tr.YEAR)
    emerged = np.full(tr.YEAR, -1, dtype=np.int64)
    reached = np.full((len(shares), tr.YEAR), -1, dtype=np.int64)
    due = traits[tr.TARGET] * np.array(shares)[:, None]
    warmth = _round(np.maximum(np.minimum(tmean_c, traits[tr.PLATEAU_C]) - traits[tr.BASE_C], 0.0))
    cold = _round(vernal_weight(tmean_c))
    light = _round(daylength_factor(twilight_h, traits[tr.DAYLENGTH_BASE_H], traits[tr.DAYLENGTH_FULL_H]))
    dark = _round(daylength_h < traits[tr.BULB_DAYLENGTH_H])
    bulbs = bool(dark.any())
    for step in range(LONGEST_DAYS):
        day = slice(step, step + tr.YEAR)
        gain = warmth[day]
        heat += gain
        emerged[(emerged < 0) & (heat >= traits[tr.HEAT_EMERGE])] = step
        before = units
        pace = _speed(traits, before, vernal, cold[day], light[day])
        units = before + pace * np.minimum(gain, np.maximum(heat - traits[tr.HEAT_EMERGE], 0.0))
        if bulbs:
            waits = (before <= traits[tr.BULB_UNITS]) & dark[day]
            units = np.where(waits, np.minimum(units, traits[tr.BULB_UNITS]), units)
        reached[(reached < 0) & (units >= due)] = step
        if (reached >= 0).all():
            break
    return emerged, reached


def _round(year: npt.NDArray[Kind]) -> npt.NDArray[Kind]:
    """A year's values [365] over the days that sowings of its last day may take: the year begins anew."""
    return np.resize(year, tr.YEAR + LONGEST_DAYS)


def _speed(traits: F64, units: F64, vernal: F64, cold: F64, light: F64) -> F64 | float:
    """Share of full pace; adds the day's cold to `vernal` in place."""
    if traits[tr.RELEASE] <= 0:
        return 1.0
    vernal += cold
    need = traits[tr.VERNAL_DAYS] - traits[tr.VERNAL_IDLE]
    share = np.clip((vernal - traits[tr.VERNAL_IDLE]) / need, 0.0, 1.0)
    return np.where(units < traits[tr.RELEASE], share * light, 1.0)
