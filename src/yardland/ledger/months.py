"""The twelve months of a larder year, counted from the day the year starts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
MONTH_NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
DAYS_IN_YEAR = 365
"""Every computed year has 365 days: 29 February is folded into the 28th (its rain added, its temperatures dropped)."""


@dataclass(frozen=True, slots=True)
class Month:
    """One month of a larder year. `first_day` counts from the first day of that year (0)."""

    year: int
    month: int
    first_day: int
    days: int

    @property
    def name(self) -> str:
        """Three-letter English name."""
        return MONTH_NAMES[self.month - 1]


@lru_cache(maxsize=256)
def larder_months(start_year: int, start_month: int) -> tuple[Month, ...]:
    """The twelve months from the first of `start_month` in `start_year`, on the 365-day calendar."""
    months = []
    day = 0
    for step in range(12):
        year, month0 = divmod(start_month - 1 + step, 12)
        length = MONTH_DAYS[month0]
        months.append(Month(start_year + year, month0 + 1, day, length))
        day += length
    return tuple(months)


@lru_cache(maxsize=256)
def month_of_day(months: tuple[Month, ...]) -> tuple[int, ...]:
    """For each of the 365 days of the larder year, the index (0-11) of its month."""
    return tuple(index for index, month in enumerate(months) for _ in range(month.days))
