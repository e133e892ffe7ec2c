"""Grass, water, hours, money and weather over the year: one chart each, made of the same bars."""

from __future__ import annotations

import numpy as np

from yardland.larderyear.result import YearResult
from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.figures.bars import Chart, Series, Values, as_series, draw_bars
from yardland.report.palette import styles
from yardland.report.words import cell, figure, of_hours, plain, title

WEATHER_NAMES = {
    "rain_mm": "Rain, mm",
    "eto_mm": "Reference evapotranspiration, mm",
    "tmin_c": "Mean daily minimum, °C",
    "tmax_c": "Mean daily maximum, °C",
    "rad_mj_m2": "Sunshine a day, MJ/m²",
}


def _drawing(
    chart: Chart, corner: str, amounts: dict[str, Values], columns: tuple[str, ...], widths: tuple[int, ...]
) -> Drawing:
    rows = tuple((plain(name), *(cell(float(value)) for value in values)) for name, values in amounts.items())
    return Drawing(
        chart.key,
        chart.title,
        chart.alt,
        lambda theme, width: draw_bars(chart, theme, width),
        Table((corner, *columns), rows),
        widths,
    )


def _months(result: YearResult) -> tuple[str, ...]:
    return tuple(month.name for month in result.months)


def grass(result: YearResult) -> tuple[Drawing, ...]:
    """Per plot of grass: what stock took, what was cut and what was lost on the way; what withers on the root is in none."""
    made = []
    for plot, parts in result.grass_dm_kg.items():
        used = {name: values for name, values in parts.items() if name != "grown"}
        shown = {"grazed": "Ly", "cut": "Ce", "lost": "Ot"}
        series = tuple(
            Series(name, values, styles()[shown.get(name, "Al")], title(name)[:2])
            for name, values in used.items()
            if float(values.sum()) > 0
        )
        used_kg = float(np.sum([values.sum() for values in used.values()]))
        chart = Chart(
            f"grass-{plot}", f"Grass of {plain(plot)}",
            f"Dry matter that came off it by month, {figure(used_kg, 2)} kg in the year: grazed, cut, or trodden and lost. What withers uneaten is not in it.",
            "kg dry matter", series, _months(result), height=150,
        )  # fmt: skip
        made.append(_drawing(chart, "kg dry matter", used, _months(result), (NARROW,)))
    return tuple(made)


def water(result: YearResult) -> tuple[Drawing, ...]:
    """Water drawn by month, by source or user as the result names them."""
    series = as_series(result.water_m3)
    if not series:
        return ()
    total = np.sum([item.values for item in series], axis=0)
    worst = result.months[int(np.argmax(total))].name
    chart = Chart(
        "water",
        "Water drawn",
        f"Cubic metres of water by month; most in {worst}.",
        "m³",
        series,
        _months(result),
        height=180,
    )
    return (_drawing(chart, "m³", result.water_m3, _months(result), (NARROW, WIDE)),)


def hours(result: YearResult) -> tuple[Drawing, ...]:
    """Hours of work by week against those the household has."""
    series = as_series(result.hours_week, limit=7)
    if not series:
        return ()
    total, over = result.hours_asked_week(), result.overfull_weeks()
    starts = {min(51, month.first_day // 7): month.name for month in result.months}
    steps = tuple(starts.get(week, "") for week in range(52))
    peak = int(np.argmax(total - result.hours_available_week))
    alt = f"Hours of work in each week. The fullest for its hands is week {peak + 1}: {of_hours(total[peak], result.hours_available_week[peak])}; {'no week asks' if over == 0 else '1 week asks' if over == 1 else f'{over} weeks ask'} for more than the household has."
    chart = Chart(
        "hours",
        "Hours of work, week by week",
        alt,
        "hours a week",
        series,
        steps,
        result.hours_available_week,
        "hours the household has",
        220,
    )
    columns = _months(result)
    monthly = {name: _by_month(result, values) for name, values in result.hours_week.items()}
    monthly["available"] = _by_month(result, result.hours_available_week)
    return (_drawing(chart, "mean hours a week", monthly, columns, (NARROW, WIDE)),)


def _by_month(result: YearResult, weekly: Values) -> Values:
    daily = np.repeat(weekly / 7, 7)
    daily = np.append(daily, daily[-1])
    return np.array(
        [7 * float(daily[month.first_day : month.first_day + month.days].mean()) for month in result.months]
    )


def weather(result: YearResult) -> tuple[Drawing, ...]:
    """Rain by month against what reference grass would drink."""
    rain = result.weather_months.get("rain_mm")
    if rain is None:
        return ()
    thirst = result.weather_months.get("eto_mm")
    chart = Chart(
        "weather", "Rain, and what grass would drink", f"Rain of {figure(float(rain.sum()))} mm over the year by month, against reference evapotranspiration.",
        "mm", (Series("rain", rain, styles()["Br"], "Ra"),), _months(result), thirst, "what grass would drink", 170,
    )  # fmt: skip
    shown = {WEATHER_NAMES.get(name, name): values for name, values in result.weather_months.items()}
    return (_drawing(chart, "By month", shown, _months(result), (NARROW, WIDE)),)
