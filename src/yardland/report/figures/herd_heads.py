"""Heads of one group by week: the steady year, and many drawn years as a fan."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from yardland.larderyear.herd_spread import Spread, by_week
from yardland.larderyear.herd_told import HerdTold
from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.figures.bars import Chart, as_series, draw_bars, scale_top
from yardland.report.figures.weather_months import drawing, small
from yardland.report.herd_tables import day_words, klass_name, row_name, starts_table
from yardland.report.palette import mark_of_class
from yardland.report.svg import Canvas, num, text_width
from yardland.report.words import figure
from yardland.stock.herds import layout as at
from yardland.stock.herds.layout import F64

LEFT, HEAD, HEIGHT, GAP, FOOT = 30.0, 22.0, 74.0, 12.0, 24
MOST_STEPS = 520
"""Weeks that are drawn of a fan; of more, every second, third, ... is."""
BAND = 0.28


def steady(told: HerdTold) -> Drawing:
    """Bars by week of the steady year, a layer a class."""
    weeks = {klass: heads.astype(np.float64) for klass, heads in told.heads_week.items() if heads.any()}
    words = {klass: klass_name(told, klass) for klass in weeks}
    steps = [""] * at.WEEKS
    for month in told.months:
        steps[min((month.first_day + month.days // 2) // 7, at.WEEKS - 1)] = month.name[:3]
    most = ", ".join(f"{words[klass]} up to {figure(float(heads.max()))}" for klass, heads in weeks.items())
    alt = f"A preview at steady numbers: every year alike, nothing drawn. Whole heads on the first day of each week; {most}."
    chart = Chart(
        f"steady-{told.name}",
        "Heads by week, steady preview",
        alt,
        "heads",
        as_series(weeks, names=words),
        tuple(steps),
    )
    rows = tuple(
        (f"{week + 1}", day_words(told, 7 * week), *(f"{heads[week]:.0f}" for heads in weeks.values()))
        for week in range(at.WEEKS)
    )
    table = Table(("Week", "from", *words.values()), rows)
    return Drawing(
        chart.key, chart.title, alt, lambda theme, width: draw_bars(chart, theme, width), table, (NARROW, WIDE)
    )


def fan(told: HerdTold) -> Drawing:
    """A panel a row of the group: the middle chain, and the band that holds 9 of 10, week by week."""
    rows = range(len(told.years.plan.rows))
    fans = [by_week(told.years, row) for row in rows]
    alt = (
        f"{told.count} {'year' if told.count == 1 else 'years'} side by side in {told.chains} {'chain' if told.chains == 1 else 'chains'}, drawn head by head (seed {told.seed}). "
        "The line is the middle chain, the band holds 9 of 10; broken: the number wanted. "
        + " ".join(_said(told, row, one) for row, one in zip(rows, fans, strict=True))
    )
    height = round(len(fans) * (HEAD + HEIGHT + GAP) + FOOT)

    def draw(canvas: Canvas) -> None:
        for row, one in zip(rows, fans, strict=True):
            _panel(canvas, told, row, one, row * (HEAD + HEIGHT + GAP))
        _years(canvas, told, height - FOOT - GAP)

    return drawing(f"fan-{told.name}", "Heads by week, drawn years", alt, draw, height, starts_table(told))


def _said(told: HerdTold, row: int, one: Spread) -> str:
    last = at.WEEKS * (told.count - 1)
    low, high = float(one.low[last:].min()), float(one.high[last:].max())
    return f"{row_name(told, row)}: {figure(low)} to {figure(high)} in the last year."


def _panel(canvas: Canvas, told: HerdTold, row: int, one: Spread, top: float) -> None:
    """One row's fan under its name."""
    theme, size = canvas.theme, small(canvas)
    target = int(told.years.plan.arrays.row[row, at.TARGET])
    peak, step = scale_top(max(float(one.high.max()), float(target), 1.0))
    step = max(step, 1.0)
    base = top + HEAD + HEIGHT

    def level(value: float) -> float:
        return base - HEIGHT * value / peak

    label = told.years.plan.rows[row]
    canvas.animal(8, top + 10, mark_of_class(label.dam or label.klass), size=12)
    canvas.text(LEFT + 8, top + 14, row_name(told, row), size=size + 0.5, bold=True)
    for mark in np.arange(0.0, peak + step / 2, step):
        y = level(float(mark))
        canvas.line(LEFT, y, canvas.width, y, theme.ink if mark == 0 else theme.rule)
        canvas.text(LEFT - 5, y + 3.5, figure(float(mark)), size=size, fill=theme.muted, anchor="end")
    pitch = (canvas.width - LEFT) / len(one.median)
    thin = -(-len(one.median) // MOST_STEPS)
    high, low = (_steps(values, level, pitch, thin) for values in (one.high, one.low))
    back = " ".join(f"L{num(x)} {num(y)}" for x, y in reversed(low))
    forth = "L".join(f"{num(x)} {num(y)}" for x, y in high)
    canvas.raw(f'<path d="M{forth} {back}Z" fill="{theme.accent}" fill-opacity="{BAND:g}"/>')
    middle = "L".join(f"{num(x)} {num(y)}" for x, y in _steps(one.median, level, pitch, thin))
    canvas.path(f"M{middle}", stroke=theme.ink, width=1.4)
    if target:
        canvas.line(LEFT, level(target), canvas.width, level(target), theme.ink, dash="5 4")
        words = f"wanted {target}"
        wide = text_width(words, size)
        if LEFT + 8 + text_width(row_name(told, row), size + 0.5) + wide + 40 < canvas.width:
            canvas.line(
                canvas.width - wide - 24, top + 10.5, canvas.width - wide - 6, top + 10.5, theme.ink, dash="5 4"
            )
            canvas.text(canvas.width, top + 14, words, size=size, anchor="end")
    for year in range(told.count):
        span = slice(at.WEEKS * year, at.WEEKS * (year + 1))
        words = (
            f"{row_name(told, row)}, year {year + 1}: middle {figure(float(one.median[span].min()))} to "
            f"{figure(float(one.median[span].max()))}, 9 of 10 chains within {figure(float(one.low[span].min()))} to {figure(float(one.high[span].max()))}"
        )
        canvas.tell(LEFT + pitch * at.WEEKS * year, top + HEAD, pitch * at.WEEKS, HEIGHT, words)


def _steps(values: F64, level: Callable[[float], float], pitch: float, thin: int) -> list[tuple[float, float]]:
    """Corners of a stepped line, those between equal steps left out."""
    taken = values[::thin]
    corners = [(LEFT, level(float(taken[0])))]
    for index in range(1, len(taken)):
        if taken[index] != taken[index - 1]:
            x = LEFT + pitch * thin * index
            corners += [(x, level(float(taken[index - 1]))), (x, level(float(taken[index])))]
    corners.append((LEFT + pitch * len(values), level(float(taken[-1]))))
    return corners


def _years(canvas: Canvas, told: HerdTold, y: float) -> None:
    """Numbers of the years under the last panel, and a mark at each start."""
    size, wide = small(canvas), (canvas.width - LEFT) / told.count
    every = max(1, -(-int(text_width("50", size) + 8) // max(int(wide), 1)))
    for year in range(told.count):
        x = LEFT + wide * year
        canvas.line(x, y, x, y + 5, canvas.theme.muted)
        if year % every == 0:
            words = f"year {year + 1}" if text_width("year 50", size) < wide * every else str(year + 1)
            canvas.text(x + wide / 2, y + 16, words, size=size, anchor="middle")
