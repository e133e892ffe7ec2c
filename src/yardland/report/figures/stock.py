"""Each group of animals: heads in each month, and what they eat by source."""

from __future__ import annotations

import numpy as np

from yardland.larderyear.result import YearResult
from yardland.report.answer import HUNGRY
from yardland.report.drawing import NARROW, Drawing, Table
from yardland.report.figures import stays
from yardland.report.figures.bars import Chart, Values, as_series, draw_bars, looks
from yardland.report.lookup import Lookup
from yardland.report.palette import AnimalMark, mark_of_class, themes
from yardland.report.svg import Canvas
from yardland.report.words import cell, figure, listed, month_runs, plain, title


def drawings(result: YearResult, lookup: Lookup) -> tuple[Drawing, ...]:
    """Where herds graze, then two drawings per group: heads and feed."""
    names = list(dict.fromkeys([*result.heads, *result.feed_kg]))
    by_group = [drawing for name in names for drawing in (*_heads(result, lookup, name), *_feed(result, lookup, name))]
    return (*stays.drawings(result), *by_group)


def mark_of_group(result: YearResult, group: str) -> AnimalMark:
    """The mark of a group: that of its first class."""
    classes = list(result.heads.get(group, {})) or list(result.holding.group[group].heads) or [group]
    return mark_of_class(classes[0])


def _heads(result: YearResult, lookup: Lookup, group: str) -> tuple[Drawing, ...]:
    heads = {klass: values for klass, values in result.heads.get(group, {}).items() if float(values.max()) > 0}
    if not heads:
        return ()
    months = tuple(month.name for month in result.months)
    most = listed([f"{lookup.klass(klass)} up to {figure(float(values.max()))}" for klass, values in heads.items()])
    alt = f"Heads of {plain(group)} by month: {most}."
    table = Table(
        ("Heads", *months),
        tuple((lookup.klass(klass), *(figure(float(value)) for value in values)) for klass, values in heads.items()),
    )

    def draw(theme: str, width: int) -> str:
        return draw_heads(result, lookup, group, theme=theme, width=width, alt=alt)

    return (Drawing(f"heads-{group}", f"{title(group)}: heads", alt, draw, table, (NARROW,)),)


def draw_heads(result: YearResult, lookup: Lookup, group: str, *, theme: str, width: int, alt: str = "") -> str:
    """A line of figures per class: heads in each month, heavier where they change."""
    colours = themes()[theme]
    heads = {klass: values for klass, values in result.heads[group].items() if float(values.max()) > 0}
    canvas = Canvas(width, 38 + 34 * len(heads), colours, f"heads-{group}")
    mark = mark_of_group(result, group)
    canvas.animal(9, 10, mark, size=15, title=mark.name)
    canvas.text(46, 14, title(group), size=12, bold=True)
    pitch = width / 12
    for index, month in enumerate(result.months):
        canvas.text(pitch * (index + 0.5), 33, month.name, size=10, fill=colours.muted, anchor="middle")
    for row, (klass, values) in enumerate(heads.items()):
        y = 38 + 34 * row
        canvas.line(0, y, width, y, colours.rule)
        canvas.text(0, y + 13, lookup.klass(klass), size=10.5, fill=colours.muted)
        for index, value in enumerate(values):
            words = figure(float(value)) if value > 0 else "–"  # noqa: RUF001 (a dash for none)
            changed = bool(value != values[index - 1])
            canvas.text(pitch * (index + 0.5), y + 28, words, size=11, anchor="middle", bold=changed)
    return canvas.render(f"{title(group)}: heads", alt)


def _feed(result: YearResult, lookup: Lookup, group: str) -> tuple[Drawing, ...]:
    eaten = result.feed_kg.get(group, {})
    names = {good: lookup.name(good) for good in eaten}
    series = as_series(eaten, known=looks(feed_total(result)), names=names)
    if not series:
        return ()
    months = tuple(month.name for month in result.months)
    short = result.feed_short.get(group, np.zeros(12))
    hungry = tuple(index for index, share in enumerate(short) if share > HUNGRY)
    alt = f"Feed of {plain(group)} by month, kg fresh, by source. " + (
        f"Energy is not met in {month_runs(hungry, months)}." if hungry else "Energy is met in every month."
    )
    chart = Chart(f"feed-{group}", f"{title(group)}: feed", alt, "kg fresh", series, months, height=150)
    rows = [(names[name], *(cell(float(value)) for value in values)) for name, values in eaten.items()]
    rows.append(("Energy not met, %", *(cell(round(100 * float(value))) for value in short)))
    return (
        Drawing(
            chart.key,
            chart.title,
            alt,
            lambda theme, width: draw_bars(chart, theme, width),
            Table(("kg", *months), tuple(rows)),
            (NARROW,),
        ),
    )


def feed_total(result: YearResult) -> dict[str, Values]:
    """Feed good -> kg over all groups."""
    total: dict[str, Values] = {}
    for eaten in result.feed_kg.values():
        for good, values in eaten.items():
            total[good] = total.get(good, np.zeros(12)) + values
    return total
