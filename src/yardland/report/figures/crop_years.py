"""A planting's yield in every larder year of the record, before the table's range."""

from __future__ import annotations

import numpy as np

from yardland.report.drawing import Drawing, Table
from yardland.report.figures.bars import scale_top
from yardland.report.figures.weather_months import drawing, small
from yardland.report.palette import styles
from yardland.report.svg import Canvas, text_width
from yardland.report.words import figure
from yardland.season.crop_year import CropPlanting, CropTold

LEFT, TOP, HEIGHT = 34.0, 22.0, 140.0
MOST_YEARS = 40
"""So many of the latest years are drawn."""
WIDEST_BAR = 44.0


def yields(planting: CropPlanting, told: CropTold) -> Drawing:
    """A bar a year; the band is the table's low to high, the broken line its middle."""
    values = planting.yields_t_ha
    worst, best = int(values.argmin()), int(values.argmax())
    years = [label[:7] for label in planting.labels]
    alt = (
        f"Tonnes a hectare as gathered, by the larder year's first month; the band is the table's range "
        f"({figure(planting.shown.table_low_t_ha)} to {figure(planting.shown.table_high_t_ha)}). "
        f"Worst {years[worst]} with {figure(float(values[worst]))}, best {years[best]} with {figure(float(values[best]))}."
    )
    table = Table(
        ("Larder year", "t/ha"),
        tuple((label, figure(float(value))) for label, value in zip(planting.labels, values, strict=True)),
    )

    def draw(canvas: Canvas) -> None:
        _bars(canvas, planting, told)

    key = f"yields-{planting.id}-{planting.rotation_year}"
    return drawing(key, "Yield by year", alt, draw, round(TOP + HEIGHT + 26), table)


def _bars(canvas: Canvas, planting: CropPlanting, told: CropTold) -> None:
    values, labels = planting.yields_t_ha[-MOST_YEARS:], planting.labels[-MOST_YEARS:]
    low, high = planting.shown.table_low_t_ha, planting.shown.table_high_t_ha
    top, step = scale_top(max(float(values.max()), high))
    size = small(canvas)

    def level(value: float) -> float:
        return TOP + HEIGHT * (1 - value / top)

    canvas.text(0, 11, "t/ha", size=size, fill=canvas.theme.muted)
    canvas.raw(
        f'<rect x="{LEFT:.0f}" y="{level(high):.1f}" width="{canvas.width - LEFT:.0f}" height="{level(low) - level(high):.1f}" '
        f'fill="{canvas.theme.accent}" fill-opacity="0.12"/>'
    )
    for mark in np.arange(0.0, top + step / 2, step):
        y = level(float(mark))
        canvas.line(LEFT, y, canvas.width, y, canvas.theme.ink if mark == 0 else canvas.theme.rule)
        canvas.text(LEFT - 5, y + 3.5, figure(float(mark)), size=size, fill=canvas.theme.muted, anchor="end")
    pitch = (canvas.width - LEFT) / len(values)
    bar = min(0.68 * pitch, WIDEST_BAR)
    middles = [LEFT + pitch * (index + 0.5) for index in range(len(values))]
    boxes = [
        (x - bar / 2, level(value), bar, TOP + HEIGHT - level(value))
        for x, value in zip(middles, map(float, values), strict=True)
        if value > 0
    ]
    canvas.boxes(boxes, styles()["Ly"])
    canvas.line(LEFT, level(told.middle_t_ha), canvas.width, level(told.middle_t_ha), canvas.theme.ink, dash="5 4")
    canvas.text(canvas.width, 11, "table's middle", size=size, anchor="end")
    start = canvas.width - text_width("table's middle", size) - 24
    canvas.line(start, 7.5, start + 18, 7.5, canvas.theme.ink, dash="5 4")
    wide = text_width("2012", size) * 1.3
    every = max(1, -(-int(wide) // max(int(pitch), 1)))
    for index, (x, value) in enumerate(zip(middles, map(float, values), strict=True)):
        canvas.tell(x - pitch / 2, TOP, pitch, HEIGHT, f"{labels[index]}: {figure(value)} t/ha")
        if (len(values) - 1 - index) % every == 0:
            canvas.text(x, TOP + HEIGHT + 15, labels[index][:4], size=size, anchor="middle")
        if value <= 0:
            canvas.text(x, TOP + HEIGHT - 4, "0", size=size, anchor="middle", bold=True)
