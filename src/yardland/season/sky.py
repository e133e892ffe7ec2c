"""Monthly means and sums of the lanes' weather."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.growth.sward import DRY_MM
from yardland.ledger.months import DAYS_IN_YEAR, Month, month_of_day
from yardland.weather.types import Forcing

F64 = npt.NDArray[np.float64]
SUMS = ("rain_mm", "eto_mm")
MEANS = ("tmin_c", "tmax_c", "rad_mj_m2", "daylength_h")
LONGEST_SPELL_D = 14
"""Longest dry spell that a cut may be told to wait for (table feed_ways)."""


def monthly(values: F64, months: tuple[Month, ...], *, mean: bool) -> F64:
    """Sums or means by larder month of 365 daily values, [12]."""
    place = np.array(month_of_day(months))
    total = np.bincount(place, weights=values, minlength=12)
    return np.asarray(total / np.array([month.days for month in months]) if mean else total)


def monthly_of_lanes(values: F64, months: tuple[Month, ...], *, mean: bool) -> F64:
    """The same of daily values [365, lane], [lane, 12]; to the last bit what `monthly` makes of each lane."""
    lanes = values.shape[1]
    place = np.arange(lanes)[:, None] * 12 + np.array(month_of_day(months))
    total = np.bincount(place.ravel(), weights=values.T.ravel(), minlength=12 * lanes).reshape(lanes, 12)
    return np.asarray(total / np.array([month.days for month in months]) if mean else total)


def weather_months(forcing: Forcing, lane: int, months: tuple[Month, ...]) -> dict[str, F64]:
    """rain_mm and eto_mm as sums; tmin_c, tmax_c, rad_mj_m2, daylength_h as means; [12] each."""
    year = {name: getattr(forcing, name)[DAYS_IN_YEAR:, lane] for name in (*SUMS, *MEANS)}
    return {name: monthly(values, months, mean=name in MEANS) for name, values in year.items()}


def air_of_lanes(tmin_c: F64, tmax_c: F64, months: tuple[Month, ...]) -> F64:
    """Monthly mean and mean daily minimum of the air, C, of daily extremes [730, lane]; [lane, 2, 12]."""
    low, high = (monthly_of_lanes(values[DAYS_IN_YEAR:], months, mean=True) for values in (tmin_c, tmax_c))
    return np.stack([(low + high) / 2.0, low], axis=1)


def dry_shares(
    forcing: Forcing, lane: int, months: tuple[Month, ...], longest: int = LONGEST_SPELL_D
) -> dict[int, F64]:
    """Dry days in a row (1 to `longest`) -> share of each month's days on which so many begin, 0-1 [12].

    A day is dry under `growth.sward.DRY_MM` of rain. Behind the year's last day its first days stand in, as in a year
    that comes round.
    """
    return {
        spell: share[0]
        for spell, share in dry_shares_of_lanes(forcing.rain_mm[:, lane : lane + 1], months, longest).items()
    }


def dry_shares_of_lanes(rain_mm: F64, months: tuple[Month, ...], longest: int = LONGEST_SPELL_D) -> dict[int, F64]:
    """`dry_shares` of every lane of daily rain [730, lane], [lane, 12] each."""
    dry = rain_mm[DAYS_IN_YEAR:] < DRY_MM
    begins, found = np.ones_like(dry), {}
    first, days = np.array([month.first_day for month in months]), np.array([month.days for month in months])
    for spell in range(1, longest + 1):
        begins = begins & np.roll(dry, 1 - spell, axis=0)
        found[spell] = np.add.reduceat(begins, first, axis=0, dtype=np.int64).T / days
    return found


def lane_of(forcing: Forcing, weather_year: int | None) -> int:
    """The lane of the larder year that starts in `weather_year`; the last one of the record if None.

    Raises:
        KeyError: the record holds no such larder year.
    """
    if weather_year is None:
        return len(forcing.labels) - 1
    return forcing.start_years.index(weather_year) if weather_year in forcing.start_years else missing(weather_year)


def missing(weather_year: int) -> int:
    """Raise for a year that the record lacks."""
    raise KeyError(weather_year)
