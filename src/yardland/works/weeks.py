"""The 52 weeks of a larder year: week w starts on day 7 w; the last has eight days."""

from __future__ import annotations

from yardland.ledger.months import DAYS_IN_YEAR, Month

WEEKS = 52


def week_of(day: int) -> int:
    """Week (0-51) of a day of the larder year; days before or after it wrap round, since every year is alike."""
    return min(day % DAYS_IN_YEAR // 7, WEEKS - 1)


def weeks_between(first_day: int, last_day: int) -> tuple[int, ...]:
    """Weeks from one day to another, inclusive, in order; one week if the days are the same."""
    return tuple(dict.fromkeys(week_of(day) for day in range(first_day, max(first_day, last_day) + 1)))


def weeks_of_month(month: Month) -> tuple[int, ...]:
    """Weeks that start or fall in a month of the larder year."""
    return weeks_between(month.first_day, month.first_day + month.days - 1)


def days_in_week(week: int) -> range:
    """Days of a week."""
    return range(7 * week, DAYS_IN_YEAR if week == WEEKS - 1 else 7 * week + 7)
