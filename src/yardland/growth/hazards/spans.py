"""When in the two years of a lane the months of a hazard, or of the weather that drives it, come round."""

from __future__ import annotations

import re
from dataclasses import dataclass

from yardland.growth import traits as tr
from yardland.ledger.months import MONTH_DAYS
from yardland.weather.checks import MONTH_WORDS
from yardland.weather.years import MONTH_STARTS


@dataclass(frozen=True, slots=True)
class Span:
    """Months that come round once: first and last day on the 730-day axis (may lie off it).

    year_step : the calendar year in which it begins, less the one in which the lane's larder year starts
    """

    first: int
    last: int
    year_step: int


def spans(months: tuple[int, int], start_month: int, *, south: bool) -> tuple[Span, ...]:
    """Every coming round, from a year before the axis to its end.

    Args:
        months: first and last month, northern (half a year later in the south).
        start_month: of the larder year; day 0 of the axis is its first day, a year before.
        south: whether the place lies south of the equator.
    """
    first, last = ((month - 1 + (6 if south else 0)) % 12 for month in months)
    length = sum(MONTH_DAYS[(first + step) % 12] for step in range((last - first) % 12 + 1))
    at = int(MONTH_STARTS[first] - MONTH_STARTS[start_month - 1]) % tr.YEAR
    step = -1 if first + 1 >= start_month else 0
    return tuple(
        Span(at + turn * tr.YEAR, at + turn * tr.YEAR + length - 1, step + turn)
        for turn in (-2, -1, 0, 1)
        if at + turn * tr.YEAR < tr.AXIS
    )


def on_axis(span: Span) -> bool:
    """Whether all its days are on the axis."""
    return span.first >= 0 and span.last < tr.AXIS


def driver_before(drivers: tuple[Span, ...], hazard: Span) -> Span | None:
    """The last round of the driver's months that is over when the hazard's are; None if none is."""
    over = [span for span in drivers if span.last <= hazard.last]
    return max(over, key=lambda span: span.last) if over else None


def of_this_half(words: str, *, south: bool) -> str:
    """Words of the tables (northern) with the months that they name half a year later in the south."""
    if not south:
        return words
    return re.sub(
        rf"\b({'|'.join(MONTH_WORDS)})\b", lambda found: MONTH_WORDS[(MONTH_WORDS.index(found[1]) + 6) % 12], words
    )
