"""What the drawings of a crop's days share: the axis of days, scales, curves, areas, months, stages, a key."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np

from yardland.growth.io import F64
from yardland.ledger.months import MONTH_NAMES
from yardland.report.drawing import Table
from yardland.report.figures.bars import scale_top
from yardland.report.figures.weather_months import small
from yardland.report.svg import Canvas, num, text_width
from yardland.report.words import figure
from yardland.season.crop_limits import DayByDay, Spell, month_words

LEFT, RIGHT, TOP, HEIGHT, FOOT = 38.0, 34.0, 26.0, 132.0, 34
G_M2_PER_T_HA = 100.0
ACCENT = " accent"
LESS_STAGES = {"sown", "planted out", "growing on", "gathering begins", "gathered"}
"""Stages that the ends of the drawing show already."""


LIGHT_ROWS: tuple[tuple[str, Callable[[Spell], str]], ...] = (
    ("Leaves catch, mean %", lambda month: f"{100 * month.cover:.0f}"),
    ("Light caught, MJ/m²", lambda month: f"{month.light_mj:.0f}"),
)
"""Rows of a drawing's table: what the leaves caught."""


def by_month(told: DayByDay, rows: Sequence[tuple[str, Callable[[Spell], str]]]) -> Table:
    """A drawing's table: a column a month, a row for each name and how a month is told."""
    header = ("", *(month_words(month.key) for month in told.months))
    return Table(header, tuple((name, *(say(month) for month in told.months)) for name, say in rows))


class Frame:
    """The axis of days, and heights of values on one or two scales."""

    def __init__(self, canvas: Canvas, told: DayByDay) -> None:
        self.canvas, self.told = canvas, told
        count = len(told.dates)
        self.end = canvas.width - RIGHT
        self.x = [LEFT + (self.end - LEFT) * (day + 0.5) / count for day in range(count)]
        self.per_day = (self.end - LEFT) / count

    def months(self) -> None:
        """Month names under the days, a mark at each first."""
        size, y = small(self.canvas), TOP + HEIGHT
        starts = [0, *(i for i, day in enumerate(self.told.dates) if day.day == 1 and i), len(self.told.dates)]
        for first, last in pairwise(starts):
            wide = (last - first) * self.per_day
            name = MONTH_NAMES[self.told.dates[first].month - 1]
            for shown in (name, name[0]):
                if text_width(shown, size) < wide:
                    middle = LEFT + self.per_day * (first + last) / 2
                    self.canvas.text(middle, y + 16, shown, size=size, anchor="middle")
                    break
            if first:
                x = LEFT + self.per_day * first
                self.canvas.line(x, y, x, y + 5, self.canvas.theme.muted)

    def marks(self, top: float, step: float, unit: str, *, percent: bool = False) -> Callable[[float], float]:
        """A scale from nothing to `top` on the left."""

        def level(value: float) -> float:
            return TOP + HEIGHT * (1 - value / top)

        size, theme = small(self.canvas), self.canvas.theme
        self.canvas.text(0, 12, unit, size=size, fill=theme.muted)
        for mark in np.arange(0.0, top + step / 2, step):
            y = level(float(mark))
            self.canvas.line(LEFT, y, self.end, y, theme.ink if mark == 0 else theme.rule)
            words = f"{100 * mark:.0f}" if percent else figure(float(mark))
            self.canvas.text(LEFT - 5, y + 3.5, words, size=size, fill=theme.muted, anchor="end")
        return level

    def curve(
        self, values: F64, level: Callable[[float], float], *, dash: str = "", width: float = 1.6, accent: bool = False
    ) -> None:
        """A line through the days."""
        stroke = self.canvas.theme.accent if accent else self.canvas.theme.ink
        points = "L".join(f"{num(x)} {num(level(float(value)))}" for x, value in zip(self.x, values, strict=True))
        self.canvas.path(f"M{points}", stroke=stroke, width=width, dash=dash)

    def area(self, values: F64, level: Callable[[float], float], share: float, floor: float = 0.0) -> None:
        """The area between a line and a floor."""
        points = "L".join(f"{num(x)} {num(level(float(value)))}" for x, value in zip(self.x, values, strict=True))
        base = num(level(floor))
        d = f"M{num(self.x[0])} {base}L{points}L{num(self.x[-1])} {base}Z"
        self.canvas.raw(f'<path d="{d}" fill="{self.canvas.theme.accent}" fill-opacity="{share:g}"/>')

    def filled(
        self, values: F64, unit: str, share: float, *, highest: float = 0.0, least: float = 1.0
    ) -> Callable[[float], float]:
        """A line over its area, on a scale that reaches the `highest` of it and of what is drawn beside it."""
        top, step = scale_top(max(float(values.max()), highest, least))
        level = self.marks(top, step, unit)
        self.area(values, level, share)
        self.curve(values, level)
        return level

    def tell(self, words: Callable[[int], str]) -> None:
        """What a pointer is told over each week."""
        for first in range(0, len(self.x), 7):
            last = min(first + 7, len(self.x))
            middle = (first + last - 1) // 2
            day = self.told.dates[middle]
            said = f"{day.day} {MONTH_NAMES[day.month - 1]}: {words(middle)}"
            self.canvas.tell(LEFT + self.per_day * first, TOP, self.per_day * (last - first), HEIGHT, said)

    def key(self, entries: Sequence[tuple[str, str]]) -> None:
        """A key over the drawing, from the right: what is a line (its dash pattern, " accent" after it for that colour) or an area ("area")."""
        size, x = small(self.canvas), self.end
        for name, how in reversed(entries):
            x -= text_width(name, size)
            self.canvas.text(x, 12, name, size=size)
            x -= 20
            if how == "area":
                self.canvas.raw(
                    f'<rect x="{num(x)}" y="4" width="15" height="9" fill="{self.canvas.theme.accent}" fill-opacity="0.3"/>'
                )
            else:
                stroke = self.canvas.theme.accent if how.endswith(ACCENT) else self.canvas.theme.ink
                self.canvas.line(x, 8.5, x + 15, 8.5, stroke, width=1.6, dash=how.removesuffix(ACCENT))
            x -= 10


def stages(frame: Frame) -> None:
    """A tick and a name at each stage between sowing and gathering; names that would run into one another are left out."""
    size, free = small(frame.canvas), 0.0
    for name, day in frame.told.trace.stages.items():
        if name in LESS_STAGES:
            continue
        at = day - frame.told.trace.sow_day
        if at >= len(frame.x):
            continue
        x, wide = frame.x[at], text_width(name, size)
        frame.canvas.line(x, TOP, x, TOP + HEIGHT, frame.canvas.theme.muted, dash="1 3")
        start = min(max(x - wide / 2, LEFT), frame.canvas.width - wide)
        if start >= free:
            frame.canvas.text(start, TOP + HEIGHT + 30, name, size=size, fill=frame.canvas.theme.muted)
            free = start + wide + 8


def day_words(told: DayByDay, index: int) -> str:
    """A day of the drawing: 5 Apr."""
    day = told.dates[index]
    return f"{day.day} {MONTH_NAMES[day.month - 1]}"
