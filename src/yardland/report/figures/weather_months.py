"""A record's ordinary year: temperature band and rain by month, rain against evapotranspiration, every day of the years."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date

import numpy as np
import numpy.typing as npt

from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.figures.bars import scale_top
from yardland.report.palette import styles, themes
from yardland.report.svg import Canvas, num, text_width
from yardland.report.words import cell, date_words, figure, month_runs
from yardland.weather.overview import Extreme, Overview
from yardland.weather.types import F64
from yardland.weather.years import MONTH_STARTS

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
BAND_HEIGHT, BAR_HEIGHT, GAP, PLOT_TOP = 156, 90, 34, 26


def first_month(told: Overview) -> int:
    """0 north of the equator, 6 (July) south of it: summer stands in the middle of every drawing."""
    return 6 if told.climate.latitude_deg < 0 else 0


def turned(values: F64, told: Overview) -> F64:
    """[12] or [365] values from January, turned to start with the drawing's first month."""
    first = first_month(told)
    return np.roll(values, -first if len(values) == 12 else -int(MONTH_STARTS[first]))


def names(told: Overview) -> tuple[str, ...]:
    """The months in the order of the drawings."""
    first = first_month(told)
    return MONTHS[first:] + MONTHS[:first]


def drawing(key: str, title: str, alt: str, draw: Callable[[Canvas], None], height: int, table: Table) -> Drawing:
    """A drawing of one height in both widths."""

    def made(theme: str, width: int) -> str:
        canvas = Canvas(width, height, themes()[theme], key)
        draw(canvas)
        return canvas.render(title, alt)

    return Drawing(key, title, alt, made, table, (NARROW, WIDE))


def small(canvas: Canvas) -> float:
    """Size of the small type, px."""
    return 10 if canvas.width < WIDE else 12


def months(told: Overview) -> Drawing:
    """Band between the mean minimum and maximum of each month over bars of rain."""
    past = told.climate
    rows = (
        ("Mean daily maximum, °C", turned(past.tmax_month_c, told)),
        ("Mean, °C", turned(past.tmean_month_c, told)),
        ("Mean daily minimum, °C", turned(past.tmin_month_c, told)),
        ("Rain, mm", turned(past.rain_month_mm, told)),
        ("Rain days (1 mm)", turned(past.rain_days_month, told)),
    )
    table = Table(("Month", *names(told)), tuple((name, *(_tenth(value) for value in values)) for name, values in rows))
    warm, cold = int(past.tmean_month_c.argmax()), int(past.tmean_month_c.argmin())
    alt = (
        "The band runs from the mean daily minimum to the mean daily maximum, the line is the mean. "
        f"Warmest is {MONTHS[warm]} with {past.tmean_month_c[warm]:.1f} °C, coldest {MONTHS[cold]} with "
        f"{past.tmean_month_c[cold]:.1f} °C; {past.rain_month_mm.sum():,.0f} mm of rain fall on "
        f"{past.rain_days_month.sum():.0f} days of a year."
    )

    def draw(canvas: Canvas) -> None:
        left = 30.0
        _band(canvas, told, left)
        rain = turned(past.rain_month_mm, told)
        _bars(canvas, rain, names(told), left, BAND_HEIGHT + GAP)

    return drawing("weather-months", "The ordinary year", alt, draw, BAND_HEIGHT + GAP + BAR_HEIGHT + 36, table)


def _tenth(value: float) -> str:
    return f"{value:.1f}".replace("-", "−")  # noqa: RUF001 (a minus sign)


def _degrees(low: float, high: float) -> tuple[float, float, float]:
    step = next((size for size in (2, 5, 10, 20) if (high - low) / size <= 5), 20)
    bottom = math.floor(low / step) * step
    return (
        bottom,
        max(math.ceil(high / step) * step, bottom + step),
        step,
    )  # a record of one temperature has a scale too


def degree_axis(canvas: Canvas, low: float, high: float, left: float, height: float) -> Callable[[float], float]:
    """Marks of degrees Celsius with a stronger line at frost; gives the height of a temperature."""
    bottom, top, step = _degrees(low, high)

    def level(value: float) -> float:
        return PLOT_TOP + (height - PLOT_TOP) * (1 - (value - bottom) / (top - bottom))

    canvas.text(0, 11, "°C", size=small(canvas), fill=canvas.theme.muted)
    for mark in np.arange(bottom, top + step / 2, step):
        y = level(float(mark))
        canvas.line(left, y, canvas.width, y, canvas.theme.ink if mark == 0 else canvas.theme.rule)
        words = f"{mark:.0f}".replace("-", "−")  # noqa: RUF001 (a minus sign)
        canvas.text(left - 5, y + 3.5, words, size=small(canvas), fill=canvas.theme.muted, anchor="end")
    return level


def _band(canvas: Canvas, told: Overview, left: float) -> None:
    past = told.climate
    low, high = turned(past.tmin_month_c, told), turned(past.tmax_month_c, told)
    level = degree_axis(canvas, min(float(low.min()), 0.0), float(high.max()), left, BAND_HEIGHT)
    pitch = (canvas.width - left) / 12
    x = [left + pitch * (index + 0.5) for index in range(12)]
    _area(canvas, x, [level(float(value)) for value in high], [level(float(value)) for value in low], 0.3)
    _curve(canvas, x, [level(float(value)) for value in turned(past.tmean_month_c, told)])
    for index in range(12):
        said = f"{names(told)[index]}: {_tenth(low[index])} to {_tenth(high[index])} °C"
        canvas.tell(left + pitch * index, PLOT_TOP, pitch, BAND_HEIGHT - PLOT_TOP, said)


def _area(canvas: Canvas, x: list[float], upper: list[float], lower: list[float], share: float) -> None:
    there = "L".join(f"{num(a)} {num(b)}" for a, b in zip(x, upper, strict=True))
    back = "L".join(f"{num(a)} {num(b)}" for a, b in zip(reversed(x), reversed(lower), strict=True))
    canvas.raw(f'<path d="M{there}L{back}Z" fill="{canvas.theme.accent}" fill-opacity="{share}"/>')


def _curve(canvas: Canvas, x: list[float], y: list[float]) -> None:
    d = "M" + "L".join(f"{num(a)} {num(b)}" for a, b in zip(x, y, strict=True))
    canvas.path(d, stroke=canvas.theme.ink, width=1.6)


def _bars(canvas: Canvas, rain: F64, months_shown: tuple[str, ...], left: float, y: float) -> None:
    top, step = scale_top(float(rain.max()))
    pitch = (canvas.width - left) / 12
    floor = y + BAR_HEIGHT
    size = small(canvas)
    canvas.text(0, y - 8, "mm of rain", size=size, fill=canvas.theme.muted)
    for mark in range(round(top / step) + 1):
        level = floor - BAR_HEIGHT * mark * step / top
        canvas.line(left, level, canvas.width, level, canvas.theme.rule)
        canvas.text(left - 5, level + 3.5, figure(mark * step), size=size, fill=canvas.theme.muted, anchor="end")
    high = [BAR_HEIGHT * float(value) / top for value in rain]
    canvas.boxes(
        [(left + pitch * (i + 0.16), floor - high[i], pitch * 0.68, high[i]) for i in range(12) if rain[i] > 0],
        styles()["Br"],
    )
    for index, name in enumerate(months_shown):
        middle = left + pitch * (index + 0.5)
        canvas.text(middle, floor + 14, name, size=size, anchor="middle")
        canvas.text(middle, floor + 28, f"{rain[index]:.0f}", size=size, fill=canvas.theme.muted, anchor="middle")


def balance(told: Overview) -> Drawing:
    """Rain less reference evapotranspiration by month: above the line what is over, below what is wanting."""
    past = told.climate
    rain, thirst = turned(past.rain_month_mm, told), turned(past.eto_month_mm, told)
    left_over = rain - thirst
    dry = tuple(int(index) for index in np.flatnonzero(left_over < 0))
    alt = (
        f"Over the year {rain.sum():,.0f} mm of rain against {thirst.sum():,.0f} mm that short grass would drink. "
        + (
            f"Rain falls short of it in {month_runs(dry, names(told))}, by {-left_over[left_over < 0].sum():.0f} mm together."
            if dry
            else "Rain covers it in every month."
        )
    )
    rows = (("Rain, mm", rain), ("Reference evapotranspiration, mm", thirst), ("Rain less it, mm", left_over))
    table = Table(
        ("Month", *names(told)),
        tuple((name, *(f"{value:.0f}".replace("-", "−") for value in values)) for name, values in rows),  # noqa: RUF001
    )

    def draw(canvas: Canvas) -> None:
        _balance(canvas, left_over, names(told))

    return drawing("weather-balance", "Rain less what short grass would drink", alt, draw, 212, table)


def _balance(canvas: Canvas, values: F64, months_shown: tuple[str, ...]) -> None:
    left, size, y, height = 34.0, small(canvas), 22.0, 150.0
    low, high = min(float(values.min()), 0.0), max(float(values.max()), 0.0)
    _, step = scale_top(max(high - low, 1.0))
    bottom = math.floor(low / step) * step
    span = max(math.ceil(high / step) * step - bottom, step)

    def level(value: float) -> float:
        return y + height * (1 - (value - bottom) / span)

    canvas.text(0, 11, "mm", size=size, fill=canvas.theme.muted)
    for mark in np.arange(bottom, bottom + span + step / 2, step):
        at = level(float(mark))
        canvas.line(left, at, canvas.width, at, canvas.theme.ink if abs(mark) < step / 9 else canvas.theme.rule)
        words = figure(float(mark)).replace("-", "−")  # noqa: RUF001 (a minus sign)
        canvas.text(left - 5, at + 3.5, words, size=size, fill=canvas.theme.muted, anchor="end")
    pitch = (canvas.width - left) / 12
    for style, chosen in (("Br", values > 0), ("Ce", values < 0)):
        boxes = []
        for index in np.flatnonzero(chosen):
            one, other = sorted((level(float(values[index])), level(0.0)))
            boxes.append((left + pitch * (int(index) + 0.16), one, pitch * 0.68, other - one))
        canvas.boxes(boxes, styles()[style])
    for place, name in enumerate(months_shown):
        middle = left + pitch * (place + 0.5)
        canvas.text(middle, y + height + 16, name, size=size, anchor="middle")
        shown = f"{values[place]:+.0f}".replace("-", "−")  # noqa: RUF001 (a minus sign)
        canvas.text(middle, y + height + 30, shown, size=size, fill=canvas.theme.muted, anchor="middle")


def ribbon(told: Overview) -> Drawing:
    """Every day of all years: from the coldest night to the hottest day, most days, and the middle one."""
    low, high = turned(told.daily_lowest_c, told), turned(told.daily_highest_c, told)
    bands = [turned(band, told) for band in told.daily_mean_bands_c]
    alt = (
        f"For each day of the year the range from the lowest night ({_on(told, told.coldest)}) "
        f"to the highest day ({_on(told, told.hottest)}) of all years, the daily means of eight "
        "years in ten, and the middle year's."
    )
    table = Table(("Month", *names(told)), _ribbon_rows(told))

    def draw(canvas: Canvas) -> None:
        left, height = 30.0, 208.0
        level = degree_axis(canvas, float(low.min()), float(high.max()), left, height)
        x = [left + (canvas.width - left) * (day + 0.5) / 365 for day in range(365)]

        def at(values: F64) -> list[float]:
            return [level(float(value)) for value in values]

        _area(canvas, x, at(high), at(low), 0.18)
        _area(canvas, x, at(bands[2]), at(bands[0]), 0.4)
        _curve(canvas, x, at(bands[1]))
        month_names(canvas, told, left, height + 16)

    return drawing("weather-days", "Every day of the years", alt, draw, 232, table)


def _on(told: Overview, extreme: Extreme) -> str:
    """An extreme with its day; the days of a typical year and of normals are no dates."""
    return f"{_tenth(extreme.value)} °C" + (
        f" on {date_words(date.fromisoformat(extreme.day))}" if told.tells_years else ""
    )


def _ribbon_rows(told: Overview) -> tuple[tuple[str, ...], ...]:
    low, high = turned(told.daily_lowest_c, told), turned(told.daily_highest_c, told)
    bands = [turned(band, told) for band in told.daily_mean_bands_c]
    starts = np.append(turned_starts(told), 365)
    return tuple(
        (
            name,
            *(_tenth(float(pick(values[starts[i] : starts[i + 1]]))) for i in range(12)),
        )
        for name, values, pick in (
            ("Lowest, °C", low, np.min),
            ("Mean of cool years (1 in 10), °C", bands[0], np.mean),
            ("Mean of the middle year, °C", bands[1], np.mean),
            ("Mean of warm years (1 in 10), °C", bands[2], np.mean),
            ("Highest, °C", high, np.max),
        )
    )


def turned_starts(told: Overview) -> npt.NDArray[np.int64]:
    """First day (0-364) of each month in the order of the drawings."""
    lengths = np.diff(np.append(MONTH_STARTS, 365))
    return np.concatenate([[0], np.cumsum(np.roll(lengths, -first_month(told)))[:-1]])


def month_names(canvas: Canvas, told: Overview, left: float, y: float) -> None:
    """Month names under a year of days."""
    per_day = (canvas.width - left) / 365
    ends = np.append(turned_starts(told), 365)
    for index, name in enumerate(names(told)):
        middle = left + per_day * (ends[index] + ends[index + 1]) / 2
        shown = name if text_width(name, small(canvas)) < per_day * 28 else name[0]
        canvas.text(middle, y, shown, size=small(canvas), anchor="middle")
        if index:
            canvas.line(left + per_day * ends[index], y - 14, left + per_day * ends[index], y - 9, canvas.theme.muted)


def degree_days(told: Overview) -> Table:
    """Degree-days by month over each base."""
    rows = tuple(
        (
            f"above {base} °C",
            *(cell(float(round(value))) for value in turned(values, told)),
            figure(float(values.sum())),
        )
        for base, values in told.degree_days_month.items()
    )
    return Table(("Degree-days", *names(told), "Year"), rows)
