"""A record's years one by one: frost-free season of each, and rain by year and month."""

from __future__ import annotations

from datetime import date

import numpy as np

from yardland.report.drawing import Drawing, Table
from yardland.report.figures.weather_months import (
    MONTHS,
    drawing,
    first_month,
    month_names,
    small,
    turned_starts,
)
from yardland.report.palette import heat, styles, text_on
from yardland.report.svg import Canvas
from yardland.report.words import figure
from yardland.weather.overview import Overview
from yardland.weather.years import MONTH_STARTS

ROW = 18
SMALL_MONTH_MM = 20.0
"""A month with a smaller mean is coloured as if it had this one: 3 mm more or less is nothing."""
MOST_YEARS = 60
"""So many of the latest years are drawn and tabled one by one."""


def day_words(day: int | None) -> str:
    """A day of the common year (1-365) as "5 May"; none where there is none."""
    if day is None:
        return "none"
    month = int(np.searchsorted(MONTH_STARTS, day - 1, side="right")) - 1
    return f"{day - int(MONTH_STARTS[month])} {MONTHS[month]}"


def _date_words(day: date | None) -> str:
    return "none" if day is None else f"{day.day} {MONTHS[day.month - 1]}"


def frost(told: Overview) -> Drawing | None:
    """Each year's span between its last and its first frost; None when the record holds no whole span."""
    years = list(told.season.frost_free_days)[-MOST_YEARS:]
    if not years:
        return None
    past, south = told.climate.frost, told.climate.latitude_deg < 0
    rows = tuple(
        (
            label(year, south),
            _date_words(past.last[year]),
            _date_words(past.first[year + 1 if south else year]),
            str(told.season.frost_free_days[year]),
        )
        for year in years
    )
    alt = (
        f"Last frost by {day_words(past.last_p50)} in half of the years and by {day_words(past.last_p90)} in nine of ten; "
        f"first frost by {day_words(past.first_p10)} in one of ten and by {day_words(past.first_p50)} in half. "
        f"In the middle year {told.season.median_days} days lie between them. Frost is 0 °C or less in the screen."
    ) + _cut(len(years), len(told.season.frost_free_days))

    def draw(canvas: Canvas) -> None:
        _frost_rows(canvas, told, years, south=south)

    table = Table(("Year", "Last frost", "First frost", "Days between"), rows)
    return drawing("weather-frost", "Between the frosts", alt, draw, ROW * len(years) + 40, table)


def _cut(shown: int, there: int) -> str:
    """What to say when not all years are drawn."""
    return f" The latest {shown} of {there} years are shown." if shown < there else ""


def label(year: int, south: bool) -> str:
    """The year of a season: 2015, or 2015-16 where summer lies across the new year."""
    return f"{year}-{(year + 1) % 100:02d}" if south else str(year)


def _place(day: date, told: Overview) -> float:
    """Day of the drawing's year (0-365)."""
    month = (day.month - 1 - first_month(told)) % 12
    return float(turned_starts(told)[month]) + min(day.day, 28 if day.month == 2 else 31) - 1


def _frost_rows(canvas: Canvas, told: Overview, years: list[int], *, south: bool) -> None:
    past = told.climate.frost
    left = 52.0
    per_day = (canvas.width - left) / 365
    bottom = 8 + ROW * len(years)
    for start in turned_starts(told):
        canvas.line(left + per_day * float(start), 6, left + per_day * float(start), bottom, canvas.theme.rule)
    boxes: list[tuple[float, float, float, float]] = []
    for index, year in enumerate(years):
        y = 8 + ROW * index
        last, first = past.last[year], past.first[year + 1 if south else year]
        x1 = left + per_day * (0.0 if last is None else _place(last, told) + 1)
        x2 = left + per_day * (365.0 if first is None else _place(first, told))
        boxes.append((x1, y + 3, x2 - x1, ROW - 7))
        canvas.text(left - 6, y + 13, label(year, south), size=small(canvas), anchor="end")
    canvas.boxes(boxes, styles()["Ly"])
    for index, year in enumerate(years):
        said = f"{label(year, south)}: {told.season.frost_free_days[year]} days between frosts"
        canvas.tell(left, 8 + ROW * index, canvas.width - left, ROW, said)
    month_names(canvas, told, left, bottom + 18)


def rain(told: Overview) -> Drawing | None:
    """Rain of each month of each year, coloured by its share of that month's mean."""
    years = [index for index in range(len(told.years)) if np.isfinite(told.rain_year_month_mm[index]).any()][
        -MOST_YEARS:
    ]
    if not years:
        return None
    table = Table(
        ("mm", *MONTHS, "Year"),
        tuple(
            (
                str(told.years[index]),
                *("" if np.isnan(value) else f"{value:.0f}" for value in told.rain_year_month_mm[index]),
                figure(told.rain_year_mm[told.years[index]], 4) if told.years[index] in told.rain_year_mm else "",
            )
            for index in years
        ),
    )

    def draw(canvas: Canvas) -> None:
        _rain_cells(canvas, told, years)

    alt = _rain_words(told) + _cut(len(years), len(told.years))
    return drawing("weather-rain", "Rain by year and month", alt, draw, 24 + ROW * len(years) + 8, table)


def _rain_words(told: Overview) -> str:
    words = "Millimetres of rain; brown cells had less than that month's mean, blue ones more."
    if len(told.rain_year_mm) < 2:
        return words
    dry, wet = (
        min(told.rain_year_mm, key=told.rain_year_mm.__getitem__),
        max(told.rain_year_mm, key=told.rain_year_mm.__getitem__),
    )
    return f"{words} Driest year {dry} with {told.rain_year_mm[dry]:,.0f} mm, wettest {wet} with {told.rain_year_mm[wet]:,.0f} mm."


def _rain_cells(canvas: Canvas, told: Overview, years: list[int]) -> None:
    left = 36.0
    right = 40.0
    pitch = (canvas.width - left - right) / 12
    mean = told.climate.rain_month_mm
    size = small(canvas)
    for index, name in enumerate(MONTHS):
        canvas.text(left + pitch * (index + 0.5), 14, name, size=size, anchor="middle")
    canvas.text(canvas.width, 14, "Year", size=size, anchor="end")
    for row, index in enumerate(years):
        y = 20 + ROW * row
        year = told.years[index]
        canvas.text(left - 5, y + 13, str(year), size=size, anchor="end")
        for month in range(12):
            value = float(told.rain_year_month_mm[index, month])
            if np.isnan(value):
                continue
            fill = heat(1 + (value - float(mean[month])) / max(float(mean[month]), SMALL_MONTH_MM))
            said = f"{MONTHS[month]} {year}: {value:.0f} mm, mean {mean[month]:.0f} mm"
            canvas.rect(left + pitch * month + 0.5, y + 0.5, pitch - 1, ROW - 1, fill, title=said)
            middle = left + pitch * (month + 0.5)
            canvas.text(middle, y + 13, f"{value:.0f}", size=size, fill=text_on(fill), anchor="middle")
        if year in told.rain_year_mm:
            canvas.text(canvas.width, y + 13, f"{told.rain_year_mm[year]:.0f}", size=size, anchor="end")
