"""Types of fields: what a reader accepts (text with a unit, "MM-DD") and what the plan then holds (plain SI numbers)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Annotated

from pydantic import BeforeValidator, Field, FiniteFloat

from yardland.holding.units import Dimension, parse_quantity
from yardland.holding.when import (
    HoursSpan,
    MonthDay,
    Span,
    Visit,
    parse_day,
    parse_hours,
    parse_month_day,
    parse_span,
    parse_visit,
)


def _typed(dimension: Dimension, scale: float = 1.0) -> Callable[[object], object]:
    """A validator that turns text with a unit into the number of the key's own unit; numbers pass as they are."""

    def convert(value: object) -> object:
        return parse_quantity(value, dimension) / scale if isinstance(value, str) else value

    return convert


LITRE_M3 = 0.001

Length = BeforeValidator(_typed("length"))
Area = BeforeValidator(_typed("area"))
Mass = BeforeValidator(_typed("mass"))
Volume = BeforeValidator(_typed("volume"))
VolumeLitres = BeforeValidator(_typed("volume", LITRE_M3))

Day = Annotated[date, BeforeValidator(parse_day)]
YearDay = Annotated[MonthDay, BeforeValidator(parse_month_day)]
YearSpan = Annotated[Span, BeforeValidator(parse_span)]
VisitDays = Annotated[Visit, BeforeValidator(parse_visit)]
HoursWeek = Annotated[tuple[HoursSpan, ...], BeforeValidator(parse_hours)]

NonNegative = Annotated[FiniteFloat, Field(ge=0)]
Positive = Annotated[FiniteFloat, Field(gt=0)]
Share = Annotated[FiniteFloat, Field(gt=0, le=1)]
