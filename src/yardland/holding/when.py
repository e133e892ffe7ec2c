"""Dates as a plan gives them: a day that recurs every year, a span of such days, a day of one year, hours by months."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import NamedTuple

from yardland.holding.misfit import Misfit, shown

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH_DAY = re.compile(r"(\d{1,2})-(\d{1,2})")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_LONGEST = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


class MonthDay(NamedTuple):
    """A date that recurs every year."""

    month: int
    day: int

    def __str__(self) -> str:
        return f"{self.month:02d}-{self.day:02d}"

    def in_year(self, year: int) -> date:
        """The date in `year`; 29 February becomes the 28th in a common year."""
        try:
            return date(year, self.month, self.day)
        except ValueError:
            return date(year, self.month, 28)


class Span(NamedTuple):
    """From one day to another, every year; may cross the new year."""

    start: MonthDay
    end: MonthDay

    def __str__(self) -> str:
        return f"{self.start}/{self.end}"


class Visit(NamedTuple):
    """Days on which guests eat here, both ends counted: of one year (dates), or every year (`MonthDay`)."""

    first: date | MonthDay
    last: date | MonthDay

    def __str__(self) -> str:
        return f"{self.first}/{self.last}"

    def holds(self, day: date) -> bool:
        """Whether they eat here on that day."""
        if isinstance(self.first, date) or isinstance(self.last, date):
            return isinstance(self.first, date) and isinstance(self.last, date) and self.first <= day <= self.last
        at, start, end = (day.month, day.day), tuple(self.first), tuple(self.last)
        return start <= at <= end if start <= end else at >= start or at <= end


class HoursSpan(NamedTuple):
    """Hours a week that hold from one month to another (inclusive), e.g. apr-sep."""

    first_month: int
    last_month: int
    hours: float

    def months(self) -> tuple[int, ...]:
        """The months (1-12) that the span covers, in order, over the new year if need be."""
        count = (self.last_month - self.first_month) % 12 + 1
        return tuple((self.first_month - 1 + step) % 12 + 1 for step in range(count))


def parse_month_day(value: object) -> object:
    """A `MonthDay` from "MM-DD"; a MonthDay passes as it is.

    Raises:
        Misfit: another form, or a day that no year has.
    """
    if isinstance(value, MonthDay):
        return value
    match = _MONTH_DAY.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None:
        raise Misfit('a day of every year, as "04-20" (month-day)', "Write month and day with a hyphen, in quotes.")
    month, day = int(match[1]), int(match[2])
    if not 1 <= month <= 12:
        raise Misfit(
            "a month from 01 to 12",
            "Write the month first, then the day." if day <= 12 < month else "Correct the month.",
        )
    if not 1 <= day <= _LONGEST[month - 1]:
        raise Misfit(f"a date that exists ({MONTHS[month - 1]} has {_LONGEST[month - 1]} days)", "Correct the day.")
    return MonthDay(month, day)


def parse_span(value: object) -> object:
    """A `Span` from "MM-DD/MM-DD"; a Span passes as it is.

    Raises:
        Misfit: another form, or a day that no year has.
    """
    if isinstance(value, Span):
        return value
    parts = value.split("/") if isinstance(value, str) else []
    if len(parts) != 2:
        raise Misfit('a span of days, as "04-20/07-10"', "Write the first day, a slash, and the last day, in quotes.")
    start, end = parse_month_day(parts[0]), parse_month_day(parts[1])
    if start == end:
        raise Misfit("a span of more than one day", "Give a first and a last day that differ.")
    return Span(start, end)  # type: ignore[arg-type]


LONGEST_VISIT_DAYS = 366


def parse_visit(value: object) -> object:
    """A `Visit` from "MM-DD", "MM-DD/MM-DD", "YYYY-MM-DD" or "YYYY-MM-DD/YYYY-MM-DD"; a date or a Visit passes.

    Raises:
        Misfit: another form, a day that does not exist, an end before the start, a visit of over a year.
    """
    if isinstance(value, Visit):
        return value
    if isinstance(value, date) and not isinstance(value, datetime):
        return Visit(value, value)
    parts = value.split("/") if isinstance(value, str) else []
    if len(parts) not in {1, 2}:
        raise Misfit(
            'a day or a span, as "07-10/07-24" (every year) or "2027-06-05/2027-06-08"',
            "Write the first day, a slash, and the last day, in quotes.",
        )
    dated = _DAY.fullmatch(parts[0].strip()) is not None
    first, last = ((parse_day if dated else parse_month_day)(part) for part in (parts[0], parts[-1]))
    visit = Visit(first, last)  # type: ignore[arg-type]
    if isinstance(visit.first, date) and isinstance(visit.last, date):
        if visit.last < visit.first:
            raise Misfit("a last day that is not before the first", "Correct the years, or turn the two days round.")
        if (visit.last - visit.first).days >= LONGEST_VISIT_DAYS:
            raise Misfit("a visit of a year at most", "Who stays longer is one of the [people].")
    return visit


def parse_sow(value: object) -> object:
    """When a planting is sown: "auto", "after", a `MonthDay` or a `Span`.

    Raises:
        Misfit: none of these.
    """
    if not isinstance(value, str) or value in {"auto", "after"}:
        return value
    if "/" in value:
        return parse_span(value)
    if _MONTH_DAY.fullmatch(value.strip()):
        return parse_month_day(value)
    raise Misfit(
        '"auto", "after", a day as "03-20" or a window as "03-20/04-15"',
        "If a spreadsheet turned the day into its own date, format the column as text.",
    )


def parse_day(value: object) -> object:
    """A day of one year, from a date or from text "YYYY-MM-DD".

    Raises:
        Misfit: another form, a time of day, or a date that does not exist.
    """
    if isinstance(value, date) and not isinstance(value, datetime):
        return value
    if not isinstance(value, str) or not _DAY.fullmatch(value.strip()):
        raise Misfit("a date, as 2024-06-11 (year-month-day)", "Write year, month and day with hyphens.")
    try:
        return date.fromisoformat(value.strip())
    except ValueError:
        raise Misfit("a date that exists", "Correct the day or the month.") from None


def parse_hours(value: object) -> object:
    """Hours a week as spans of months, from one number or from {apr-sep = 30, oct-mar = 18}.

    Raises:
        Misfit: not a number from 0 to 112 (16 hours a day), a month that is no month, or a month given twice.
    """
    if isinstance(value, tuple):
        return value
    if isinstance(value, dict):
        spans = tuple(_hours_span(str(months), hours) for months, hours in value.items())
        covered = [month for span in spans for month in span.months()]
        twice = sorted({month for month in covered if covered.count(month) > 1})
        if twice:
            name = MONTHS[twice[0] - 1]
            raise Misfit("each month in one span only", f"{name} stands in two spans: part them.", f"{name} twice")
        return spans
    return (HoursSpan(1, 12, _hours(value)),)


def _hours_span(months: str, hours: object) -> HoursSpan:
    """One entry of the table: "apr-sep" or "jan", and its hours."""
    names = [name.strip().lower()[:3] for name in months.split("-")]
    if len(names) not in {1, 2} or any(name not in MONTHS for name in names):
        raise Misfit("months as apr-sep or jan", f"Use {', '.join(MONTHS)}.", f"the months {shown(months)}")
    return HoursSpan(MONTHS.index(names[0]) + 1, MONTHS.index(names[-1]) + 1, _hours(hours))


def _hours(value: object) -> float:
    """Hours in a week that a person can work."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 112:
        raise Misfit(
            "hours a week from 0 to 112, or a table as { apr-sep = 30, oct-mar = 18 }",
            "Give the hours that this person can work on the holding in a week.",
            shown(value),
        )
    return float(value)


def parse_rotation_year(value: object) -> object:
    """The year of the rotation a planting runs in: a number from 1, or "every".

    Raises:
        Misfit: neither.
    """
    if value == "every" or (isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 50):
        return value
    raise Misfit('a year of the rotation (1, 2, 3 ...) or "every"', "Count the years of your rotation from 1.")
