"""Energy on the plate by food group, month by month, against the household's need."""

from __future__ import annotations

import numpy as np

from yardland.larderyear.result import YearResult
from yardland.ledger.units import MJ_PER_KCAL
from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.figures.bars import Chart, Series, Values, draw_bars
from yardland.report.lookup import Lookup
from yardland.report.words import cell, figure, plain


def drawings(result: YearResult, lookup: Lookup) -> tuple[Drawing, ...]:
    """Energy by food group."""
    chart = plate_chart(result, lookup)
    names = tuple(month.name for month in result.months)
    rows = tuple((item.name, *(cell(float(value)) for value in item.values)) for item in chart.series)
    need = chart.need if chart.need is not None else np.zeros(12)
    table = Table(("MJ a day", *names), (*rows, ("Needed", *(figure(float(value)) for value in need))))
    return (
        Drawing(
            "plate", chart.title, chart.alt, lambda theme, width: draw_bars(chart, theme, width), table, (NARROW, WIDE)
        ),
    )


def plate_chart(result: YearResult, lookup: Lookup) -> Chart:
    """Bars of MJ a day by food group; the line is the need."""
    days = np.array([month.days for month in result.months], dtype=float)
    groups: dict[str, Values] = {}
    for good, eaten in result.eaten_kg.items():
        energy = lookup.mj_per_kg(good)
        if energy:
            name = lookup.group(good).name
            groups[name] = groups.get(name, np.zeros(12)) + eaten * energy / days
    by_name = {lookup.group(good).name: lookup.group(good) for good in result.eaten_kg}
    order = sorted(groups, key=lambda name: -float(groups[name].sum()))
    series = tuple(Series(name, groups[name], by_name[name].style, by_name[name].code) for name in order)
    need = result.need_day["energy_kcal"] * MJ_PER_KCAL
    first = f" Most of it is {plain(order[0]).lower()}." if order else ""
    return Chart(
        "plate",
        "Energy on the plate, by kind of food",
        f"MJ a day eaten by the household in each month against the need.{first}",
        "MJ a day",
        series,
        tuple(month.name for month in result.months),
        need,
        "needed",
        220,
    )
