"""Temperature and light of a larder year as the animals meet them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.ledger.months import DAYS_IN_YEAR, Month, month_of_day

F64 = npt.NDArray[np.float64]
DAYS_IN_MONTH = DAYS_IN_YEAR / 12.0


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

    def daily_light(self) -> tuple[F64, F64]:
        """Daylength (h) and its change (h a month) on each day, [365] each.

        Three harmonics of the year through the twelve means: smooth, and the same in both hemispheres.
        """
        middle = np.array([month.first_day + month.days / 2.0 for month in self.months], dtype=np.float64)
        weights, *_ = np.linalg.lstsq(_harmonics(middle), self.daylength_h, rcond=None)
        day = np.arange(0.5, DAYS_IN_YEAR, 1.0, dtype=np.float64)
        change = (_harmonics(day + 0.5) - _harmonics(day - 0.5)) @ weights * DAYS_IN_MONTH
        return np.asarray(_harmonics(day) @ weights), np.asarray(change)

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


def _harmonics(day: F64) -> F64:
    """Mean and three harmonics of the year at days of it, [day, 7]."""
    angle = 2.0 * np.pi * np.outer(day, np.arange(1, 4)) / DAYS_IN_YEAR
    return np.asarray(np.hstack([np.ones((len(day), 1)), np.cos(angle), np.sin(angle)]), dtype=np.float64)
