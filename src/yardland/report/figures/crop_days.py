"""A sowing day by day: leaves and dry matter, water in the root zone, cold against what kills, degree-days."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np

from yardland.growth.io import F64
from yardland.ledger.months import MONTH_NAMES
from yardland.report.drawing import Drawing, Table
from yardland.report.figures.bars import scale_top
from yardland.report.figures.weather_months import degree_axis, drawing, small
from yardland.report.svg import Canvas, num, text_width
from yardland.report.words import figure
from yardland.season.crop_year import CropPlanting, DayByDay, month_words

LEFT, RIGHT, TOP, HEIGHT, FOOT = 38.0, 34.0, 26.0, 132.0, 34
G_M2_PER_T_HA = 100.0
ACCENT = " accent"
LESS_STAGES = {"sown", "planted out", "growing on", "gathering begins", "gathered"}
"""Stages that the ends of the drawing show already."""


def drawings(planting: CropPlanting) -> list[Drawing]:
    """The drawings of the year that is shown; none where it was not sown."""
    told = planting.day_by_day
    if told is None:
        return []
    uid = f"{planting.id}-{planting.rotation_year}"
    return [_growth(told, uid), _water(told, uid), _cold(told, uid), _heat(told, uid)]


def _months(told: DayByDay, rows: Sequence[tuple[str, Callable[[int], str]]]) -> Table:
    header = ("", *(month_words(month.month) for month in told.months))
    return Table(header, tuple((name, *(value(index) for index in range(len(told.months)))) for name, value in rows))


class _Frame:
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


def _stages(frame: _Frame) -> None:
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


def _growth(told: DayByDay, uid: str) -> Drawing:
    days = told.trace.days
    made = np.cumsum(days["dm_g_m2"]) / G_M2_PER_T_HA
    light = np.cumsum(days["light_mj"])
    reached = float(days["ripeness"].max())
    widest = int(days["cover"].argmax())
    alt = (
        f"The area is the share of the light that green leaves catch, widest on {_day(told, widest)} with "
        f"{100 * days['cover'][widest]:.0f} %; the line is the dry matter made since sowing, {figure(float(made[-1]))} t/ha at the "
        f"end (straw, leaves and all, before harvest index and level). The crop got {100 * reached:.0f} % of its development."
    )
    months = told.months
    table = _months(
        told,
        (
            ("Leaves catch, mean %", lambda i: f"{100 * months[i].cover:.0f}"),
            ("Light caught, MJ/m2", lambda i: f"{months[i].light_mj:.0f}"),
            ("Dry matter made, t/ha", lambda i: f"{months[i].made_g_m2 / G_M2_PER_T_HA:.2f}"),
            ("Lost to cold, %", lambda i: f"{100 * months[i].lost['cold']:.0f}"),
            ("Lost to heat, %", lambda i: f"{100 * months[i].lost['heat']:.0f}"),
            ("Lost to want of water, %", lambda i: f"{100 * months[i].lost['water']:.0f}"),
        ),
    )

    def draw(canvas: Canvas) -> None:
        frame = _Frame(canvas, told)
        level = frame.marks(1.0, 0.25, "% of light", percent=True)
        frame.area(days["cover"], level, 0.3)
        top, step = scale_top(max(float(made[-1]), 0.1))

        def right(value: float) -> float:
            return TOP + HEIGHT * (1 - value / top)

        for mark in np.arange(0.0, top + step / 2, step):
            canvas.text(
                frame.end + 5,
                right(float(mark)) + 3.5,
                figure(float(mark)),
                size=small(canvas),
                fill=canvas.theme.muted,
            )
        canvas.text(canvas.width, 12, "t/ha", size=small(canvas), fill=canvas.theme.muted, anchor="end")
        frame.curve(made, right)
        frame.key((("leaves", "area"), ("dry matter", "")))
        frame.months()
        _stages(frame)
        frame.tell(
            lambda i: f"leaves {100 * days['cover'][i]:.0f} %, {made[i]:.1f} t/ha made, {light[i]:.0f} MJ/m2 caught"
        )

    return drawing(f"growth-{uid}", "Leaves and dry matter", alt, draw, round(TOP + HEIGHT) + FOOT + 4, table)


def _water(told: DayByDay, uid: str) -> Drawing:
    days = told.trace.days
    thirsty = int((days["ks"] < 1.0).sum())
    worst = int(days["ks"].argmin())
    stress = (
        f"On {thirsty} days it lacked water; worst on {_day(told, worst)}, when its growth was held to {100 * days['ks'][worst]:.0f} %."
        if thirsty
        else "It never lacked water."
    )
    alt = (
        "The area is the water that the root zone lacks, the broken line what the crop can draw freely, the thin line all that "
        f"the roots can reach. {stress} {days['rain_mm'].sum():.0f} mm of rain fell on it and {days['irrigation_mm'].sum():.0f} mm were given."
    )
    months = told.months
    table = _months(
        told,
        (
            ("Rain, mm", lambda i: f"{months[i].rain_mm:.0f}"),
            ("Given, mm", lambda i: f"{months[i].irrigation_mm:.0f}"),
            ("Growth lost to want of water, %", lambda i: f"{100 * months[i].lost['water']:.0f}"),
        ),
    )

    def draw(canvas: Canvas) -> None:
        frame = _Frame(canvas, told)
        top, step = scale_top(float(days["available_mm"].max()))
        level = frame.marks(top, step, "mm")
        frame.area(days["depletion_mm"], level, 0.3)
        frame.curve(days["depletion_mm"], level)
        frame.curve(days["readily_mm"], level, dash="5 4", width=1.2)
        frame.curve(days["available_mm"], level, width=0.7)
        frame.key((("lacking", "area"), ("free to draw", "5 4")))
        frame.months()
        frame.tell(
            lambda i: (
                f"{days['depletion_mm'][i]:.0f} mm lacking of {days['available_mm'][i]:.0f}, growth at {100 * days['ks'][i]:.0f} % for water"
            )
        )

    return drawing(f"water-{uid}", "Water in the root zone", alt, draw, round(TOP + HEIGHT) + 22, table)


def _cold(told: DayByDay, uid: str) -> Drawing:
    days = told.trace.days
    by_mean = not np.array_equal(days["cold_c"], days["tmin_c"])
    what = "the mean of three days" if by_mean else "the night's lowest"
    nearest = told.nearest_frost
    near = (
        f" At the nearest the two are {nearest[0]:.1f} °C apart."
        if nearest and nearest[0] >= 0
        else " It froze."
        if nearest
        else ""
    )
    set_share = float(days["set_share"].min())
    flowers = f" Frosts at flowering left {100 * set_share:.0f} % of a full crop." if set_share < 1 else ""
    alt = f"The line is {what}, the broken line the temperature under which the crop dies at that stage.{near}{flowers}"
    dates = [f"{day.year}-{day.month:02d}" for day in told.dates]
    picks = [np.array([month.month == key for key in dates]) for month in told.months]
    table = _months(
        told,
        (
            (f"Lowest, {what}, °C", lambda i: f"{days['cold_c'][picks[i]].min():.1f}".replace("-", "−")),  # noqa: RUF001 (a minus sign)
            ("Kills at, °C", lambda i: f"{days['kill_c'][picks[i]].max():.1f}".replace("-", "−")),  # noqa: RUF001
        ),
    )

    def draw(canvas: Canvas) -> None:
        frame = _Frame(canvas, told)
        low = min(float(days["cold_c"].min()), float(days["kill_c"].min()) - 2.0, 0.0)
        level = degree_axis(canvas, low, max(float(days["cold_c"].max()), 5.0), LEFT, TOP + HEIGHT)
        frame.curve(days["cold_c"], level, width=1.2)
        frame.curve(days["kill_c"], level, dash="5 4", width=2.2, accent=True)
        frame.key((("three-day mean" if by_mean else "night", ""), ("dies under", "5 4" + ACCENT)))
        frame.months()
        frame.tell(lambda i: f"{days['cold_c'][i]:.1f} °C, dies under {days['kill_c'][i]:.1f} °C")

    return drawing(f"cold-{uid}", "Cold, and what would kill it", alt, draw, round(TOP + HEIGHT) + 22, table)


def _heat(told: DayByDay, uid: str) -> Drawing:
    days = told.trace.days
    summed = np.cumsum(days["degree_days"])
    at = [
        f"{name} at {summed[min(day - told.trace.sow_day, len(summed) - 1)]:.0f}"
        for name, day in told.trace.stages.items()
        if name not in LESS_STAGES
    ]
    alt = f"Degree-days since sowing: {', '.join([*at, f'{summed[-1]:.0f} at the end'])}."
    months = told.months
    table = _months(
        told,
        (
            ("Degree-days", lambda i: f"{months[i].degree_days:.0f}"),
            ("Growth lost to cold, %", lambda i: f"{100 * months[i].lost['cold']:.0f}"),
            ("Growth lost to heat, %", lambda i: f"{100 * months[i].lost['heat']:.0f}"),
        ),
    )

    def draw(canvas: Canvas) -> None:
        frame = _Frame(canvas, told)
        top, step = scale_top(max(float(summed[-1]), 1.0))
        level = frame.marks(top, step, "°C d")
        frame.area(summed, level, 0.15)
        frame.curve(summed, level)
        frame.months()
        _stages(frame)
        frame.tell(lambda i: f"{summed[i]:.0f} degree-days, {100 * days['ripeness'][i]:.0f} % of the way")

    return drawing(f"heat-{uid}", "Warmth summed", alt, draw, round(TOP + HEIGHT) + FOOT + 4, table)


def _day(told: DayByDay, index: int) -> str:
    day = told.dates[index]
    return f"{day.day} {MONTH_NAMES[day.month - 1]}"
