"""Feed of one group by month and source, and its products by month: this year and over drawn years."""

from __future__ import annotations

import numpy as np

from yardland.larderyear.herd_spread import Spread, products_by_month
from yardland.larderyear.herd_told import HerdTold
from yardland.report.answer import HUNGRY
from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.figures.bars import Chart, Values, as_series, draw_bars, scale_top
from yardland.report.figures.weather_months import drawing, small
from yardland.report.herd_tables import lookup_of
from yardland.report.palette import styles
from yardland.report.svg import Canvas, text_width
from yardland.report.words import cell, figure, month_runs, plain, title

LEFT, HEAD, HEIGHT, GAP, FOOT = 34.0, 22.0, 70.0, 12.0, 20
MOST_GOODS = 6
"""So many products are drawn; the table has all."""
LEAST_SHARE = 0.002
"""Of the heaviest product: what weighs less is in the table only."""


def feed(told: HerdTold) -> tuple[Drawing, ...]:
    """Stacked bars of dry matter by month, a layer a feed; none for a group that is not fed."""
    if not told.fed.sources:
        return ()
    names = lookup_of(told)
    eaten = told.fed.by_good
    words = {good: names.name(good) for good in eaten}
    months = tuple(month.name for month in told.months)
    short = told.result.feed_short.get(told.name, np.zeros(12))
    hungry = tuple(int(index) for index in np.flatnonzero(short > HUNGRY))
    alt = f"Dry matter eaten by {plain(told.name)} in each month, by feed. " + (
        f"Energy is not met in {month_runs(hungry, months)}." if hungry else "Energy is met in every month."
    )
    chart = Chart(f"fed-{told.name}", "Feed by month", alt, "kg dry matter", as_series(eaten, names=words), months)
    rows = [
        (
            names.name(source.good) + (f", grazed on {plain(source.place)}" if source.place else ""),
            figure(float(source.kg.sum())),
            *(cell(float(value)) for value in source.kg),
        )
        for source in told.fed.sources
    ]
    rows.append(("Energy not met, %", "", *(cell(round(100 * float(value))) for value in short)))
    table = Table(("kg fresh", "Year", *months), tuple(rows))
    return (
        Drawing(
            chart.key, chart.title, alt, lambda theme, width: draw_bars(chart, theme, width), table, (NARROW, WIDE)
        ),
    )


def products(told: HerdTold) -> tuple[Drawing, ...]:
    """A panel a product: bars of this year, and the middle and range of each month over the drawn years."""
    drawn = products_by_month(told.years)
    year = {good: kg for good, kg in told.products_kg.items() if kg.any()}
    weight = {
        good: max(_year(year, good), float(drawn[good].median.sum()) if good in drawn else 0.0)
        for good in (*year, *drawn)
    }
    order = sorted(weight, key=lambda good: -weight[good])
    if not order:
        return ()
    goods = [good for good in order if weight[good] >= LEAST_SHARE * weight[order[0]]][:MOST_GOODS]
    names, months = lookup_of(told), tuple(month.name for month in told.months)
    alt = (
        "Bars: kilograms in each month of this year, as far as the group is fed. Uprights: the range that holds 9 of 10 "
        "drawn years on full feed, with the middle one across. "
        + " ".join(f"{names.name(good)}: {figure(_year(year, good))} kg in the year." for good in goods)
    )
    rows = []
    for good in order:
        if good in year:
            rows.append((names.name(good), figure(_year(year, good)), *(cell(float(value)) for value in year[good])))
        if good in drawn:
            for word, values in (("low", drawn[good].low), ("middle", drawn[good].median), ("high", drawn[good].high)):
                rows.append((f"{names.name(good)}, drawn, {word}", "", *(cell(float(value)) for value in values)))
    height = round(len(goods) * (HEAD + HEIGHT + GAP) + FOOT)

    def draw(canvas: Canvas) -> None:
        for place, good in enumerate(goods):
            top = place * (HEAD + HEIGHT + GAP)
            _panel(canvas, names.name(good), year.get(good, np.zeros(12)), drawn.get(good), (top, months))
        _months(canvas, months, height - FOOT - GAP)

    table = Table(("kg", "Year", *months), tuple(rows))
    return (drawing(f"products-{told.name}", "Products by month", alt, draw, height, table),)


def _year(goods: dict[str, Values], good: str) -> float:
    return float(goods[good].sum()) if good in goods else 0.0


def _panel(canvas: Canvas, name: str, bars: Values, drawn: Spread | None, place: tuple[float, tuple[str, ...]]) -> None:
    """One product under its name."""
    top, months = place
    theme, size = canvas.theme, small(canvas)
    most = max(float(bars.max()), float(drawn.high.max()) if drawn is not None else 0.0)
    peak, step = scale_top(most)
    base = top + HEAD + HEIGHT

    def level(value: float) -> float:
        return base - HEIGHT * value / peak

    canvas.text(0, top + 14, f"{title(name)}, kg", size=size + 0.5, bold=True)
    for mark in np.arange(0.0, peak + step / 2, step):
        y = level(float(mark))
        canvas.line(LEFT, y, canvas.width, y, theme.ink if mark == 0 else theme.rule)
        canvas.text(LEFT - 5, y + 3.5, figure(float(mark)), size=size, fill=theme.muted, anchor="end")
    pitch = (canvas.width - LEFT) / 12
    boxes = [
        (LEFT + pitch * (month + 0.22), level(float(kg)), 0.56 * pitch, base - level(float(kg)))
        for month, kg in enumerate(bars)
        if kg > 0
    ]
    canvas.boxes(boxes, styles()["Ce"])
    for month in range(12):
        x, words = LEFT + pitch * (month + 0.5), f"{months[month]}: {figure(float(bars[month]))} kg this year"
        if drawn is not None and drawn.high[month] > 0:
            low, middle, high = (float(part[month]) for part in (drawn.low, drawn.median, drawn.high))
            # A broad line of paper under each, so that it reads on the bar's hatch as on the page.
            canvas.line(x, level(low), x, level(high), theme.paper, width=4)
            canvas.line(x - 6, level(middle), x + 6, level(middle), theme.paper, width=5)
            canvas.line(x, level(low), x, level(high), theme.ink, width=1.6)
            canvas.line(x - 5, level(middle), x + 5, level(middle), theme.ink, width=2)
            words += f"; drawn {figure(middle)} ({figure(low)} to {figure(high)})"
        canvas.tell(LEFT + pitch * month, top + HEAD, pitch, HEIGHT, words)


def _months(canvas: Canvas, months: tuple[str, ...], y: float) -> None:
    size, pitch = small(canvas), (canvas.width - LEFT) / 12
    for index, name in enumerate(months):
        shown = name if text_width(name, size) < pitch else name[0]
        canvas.text(LEFT + pitch * (index + 0.5), y + 15, shown, size=size, anchor="middle")
