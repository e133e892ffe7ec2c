"""What lies on the shelves at each month's end: energy by kind of food, and kilograms of each good."""

from __future__ import annotations

import numpy as np

from yardland.larderyear.result import YearResult
from yardland.ledger.units import MJ_PER_KCAL
from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.figures.bars import Chart, Series, Values, draw_bars, scale_top
from yardland.report.lookup import Lookup
from yardland.report.palette import themes
from yardland.report.svg import Canvas
from yardland.report.words import cell, figure, plain, slug

SHELVES = 16
"""So many goods get a picture; all are in the table."""
SHELF_WIDTH = 164


def drawings(result: YearResult, lookup: Lookup) -> tuple[Drawing, ...]:
    """The energy on all shelves, in days of the household's need as well; empty without stores."""
    chart = stores_chart(result, lookup)
    if not chart.series:
        return ()
    names = tuple(month.name for month in result.months)
    need = float(np.mean(result.need_day["energy_kcal"])) * MJ_PER_KCAL
    total = np.sum([item.values for item in chart.series], axis=0)
    rows = [(item.name, *(cell(float(value)) for value in item.values)) for item in chart.series]
    rows.append(("Days of need", *(figure(float(value) / need, 2) for value in total)))
    table = Table(("MJ", *names), tuple(rows))
    return (
        Drawing(
            "stores", chart.title, chart.alt, lambda theme, width: draw_bars(chart, theme, width), table, (NARROW, WIDE)
        ),
    )


def stores_chart(result: YearResult, lookup: Lookup) -> Chart:
    """Bars of the energy in store at each month's end by food group."""
    groups: dict[str, Values] = {}
    for good, kept in result.stores_kg.items():
        energy = lookup.mj_per_kg(good)
        if energy and float(kept.max()) > 0:
            name = lookup.group(good).name
            groups[name] = groups.get(name, np.zeros(12)) + kept * energy
    by_name = {lookup.group(good).name: lookup.group(good) for good in result.stores_kg}
    order = sorted(groups, key=lambda name: -float(groups[name].sum()))
    series = tuple(Series(name, groups[name], by_name[name].style, by_name[name].code) for name in order)
    total = np.sum([item.values for item in series], axis=0) if series else np.zeros(12)
    least = result.months[int(np.argmin(total))].name
    return Chart(
        "stores",
        "Food in store at each month's end",
        f"Energy in store by kind of food. Shelves are lowest at the end of {least}.",
        "MJ",
        series,
        tuple(month.name for month in result.months),
        height=200,
    )


def shelf_drawings(result: YearResult, lookup: Lookup) -> tuple[Drawing, ...]:
    """One small picture per good in store, the fullest first."""
    ranked = sorted(result.stores_kg, key=lambda key: -float(result.stores_kg[key].max()))
    kept = [key for key in ranked if float(result.stores_kg[key].max()) >= 0.5][:SHELVES]
    return tuple(_shelf(result, lookup, key) for key in kept)


def all_shelves(result: YearResult, lookup: Lookup) -> Table:
    """Every good in store, kg at each month's end."""
    kept = {key: values for key, values in sorted(result.stores_kg.items()) if float(values.max()) > 0}
    rows = tuple((shelf_name(key, lookup), *(cell(float(value)) for value in values)) for key, values in kept.items())
    keys = tuple((f"store.{key.replace(', ', '.')}", *("",) * 12) for key in kept)
    return Table(("kg", *(month.name for month in result.months)), rows, keys)


def shelf_name(key: str, lookup: Lookup) -> str:
    """Name of a good and how it is kept."""
    good, _, method = key.partition(",")
    return lookup.name(good) + (f", {plain(method)}" if method else "")


def _shelf(result: YearResult, lookup: Lookup, key: str) -> Drawing:
    kept = result.stores_kg[key]
    peak = int(np.argmax(kept))
    words = shelf_name(key, lookup)
    alt = f"{words}: at most {figure(float(kept[peak]))} kg, at the end of {result.months[peak].name}; least {figure(float(kept.min()))} kg."
    table = Table(
        ("kg", *(month.name for month in result.months)), ((words, *(figure(float(value)) for value in kept)),)
    )
    name = slug(f"shelf-{key}")

    def draw(theme: str, width: int) -> str:
        return draw_shelf(result, lookup, key, theme=theme, width=width, alt=alt)

    return Drawing(name, words, alt, draw, table, (SHELF_WIDTH,))


def draw_shelf(result: YearResult, lookup: Lookup, key: str, *, theme: str, width: int, alt: str = "") -> str:
    """Twelve bars of one good in store, kg at each month's end."""
    colours = themes()[theme]
    kept = result.stores_kg[key]
    group = lookup.group(key)
    name = slug(f"shelf-{key}")
    canvas = Canvas(width, 88, colours, name)
    good, _, method = key.partition(",")
    canvas.styled(0.5, 1.5, 20, 13, group.style)
    canvas.chip(10.5, 8, group.style, group.code, size=9)
    canvas.text(25, 12, lookup.name(good), size=11, bold=True)
    canvas.text(
        0, 27, f"{plain(method) or 'kept'}: up to {figure(float(kept.max()), 2)} kg", size=10, fill=colours.muted
    )
    top, _ = scale_top(float(kept.max()))
    pitch = width / 12
    canvas.line(0, 74, width, 74, colours.muted)
    boxes = []
    for index, value in enumerate(kept):
        high = 40 * float(value) / top
        if high > 0.3:
            boxes.append((pitch * index + 1.5, 74 - high, pitch - 3, high))
        canvas.text(
            pitch * (index + 0.5), 85, result.months[index].name[0], size=10, fill=colours.muted, anchor="middle"
        )
    canvas.boxes(boxes, group.style)
    return canvas.render(lookup.name(good), alt)
