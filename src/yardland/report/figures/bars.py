"""Stacked bars over the months or weeks of a larder year, with a line for what is needed. Most drawings are made of these."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.report.drawing import WIDE
from yardland.report.palette import Style, styles, themes
from yardland.report.svg import Canvas, num, text_width
from yardland.report.words import figure, plain

Values = npt.NDArray[np.float64]
SERIES_ORDER = ("Ce", "Br", "Ly", "Ni", "Al", "Um", "Le", "Fr", "Be", "Cu", "Da")
"""Styles in the order that unrelated series take them: neighbours differ in lightness and in hatch."""
KEY_ROW = 18
TOUCHED, SEEN = 10, 0.15
"""Least width of a bar that a pointer can be told of, and least height that is drawn, px."""
Look = tuple[Style, str]
"""Style and code of a series."""


@dataclass(frozen=True)
class Series:
    """One layer of the bars."""

    name: str
    values: Values
    style: Style
    code: str


@dataclass(frozen=True)
class Chart:
    """What `draw_bars` draws. `steps` are 12 month names or 52 empty labels with a few names; `need` one value per step."""

    key: str
    title: str
    alt: str
    unit: str
    series: tuple[Series, ...]
    steps: tuple[str, ...]
    need: Values | None = None
    need_name: str = "needed"
    height: int = 170


def looks(amounts: dict[str, Values]) -> dict[str, Look]:
    """A style and a code for each of the largest amounts, so that a name looks the same in several charts."""
    filled = [name for name, values in amounts.items() if float(np.abs(values).sum()) > 0]
    ranked = sorted(filled, key=lambda name: (-float(amounts[name].sum()), name))
    taken: set[str] = set()
    return {name: (styles()[style], free_code(name, taken)) for name, style in zip(ranked, SERIES_ORDER, strict=False)}


def as_series(
    amounts: dict[str, Values],
    limit: int = 6,
    *,
    known: dict[str, Look] | None = None,
    names: dict[str, str] | None = None,
) -> tuple[Series, ...]:
    """The largest amounts as series, each with a style and a code of its own; the rest is added up as one.

    `known` are looks shared with other charts; `names` are better names than the keys as words.
    """
    look = looks(amounts) if known is None else known
    filled = {name: values for name, values in amounts.items() if float(np.abs(values).sum()) > 0}
    ranked = sorted(filled, key=lambda name: (name not in look, -float(filled[name].sum()), name))
    able = sum(name in look for name in ranked)
    kept = ranked[: len(ranked) if len(ranked) <= min(limit, able) else min(limit - 1, able)]
    series = [Series((names or {}).get(name, plain(name)), filled[name], *look[name]) for name in kept]
    rest = [filled[name] for name in ranked[len(kept) :]]
    if rest:
        code = free_code("others", {item.code for item in series})
        last = ranked[-1]
        name = f"{len(rest)} others" if len(rest) > 1 else (names or {}).get(last, plain(last))
        series.append(Series(name, np.sum(rest, axis=0), styles()["Ot"], code))
    return tuple(series)


def free_code(name: str, taken: set[str]) -> str:
    """Two letters for a name that no other series of the chart has; adds them to `taken`."""
    letters = [letter for letter in name.title() if letter.isalpha()] or ["X"]
    tails = [*letters[1:], *"abcdefghijklmnopqrstuvwxyz"]
    code: str = next(letters[0] + tail.lower() for tail in tails if letters[0] + tail.lower() not in taken)
    taken.add(code)
    return code


def scale_top(peak: float) -> tuple[float, float]:
    """Top of an axis and the step of its marks (1, 2 or 5 times a power of ten), two to four marks."""
    if peak <= 0:
        return 1.0, 1.0
    power = 10.0 ** math.floor(math.log10(peak))
    step = next(size * power for size in (0.2, 0.5, 1, 2, 5) if peak / (size * power) <= 4)
    return math.ceil(peak / step - 1e-9) * step, step


def draw_bars(chart: Chart, theme_name: str, width: int) -> str:
    """The chart as SVG."""
    theme = themes()[theme_name]
    keys = _key_rows(chart, width)
    size = _size(width)
    bottom = chart.height - 18
    canvas = Canvas(width, chart.height + KEY_ROW * len(keys) + 2, theme, f"c-{chart.key}")
    total = np.sum([item.values for item in chart.series], axis=0) if chart.series else np.zeros(len(chart.steps))
    peak = max(float(np.max(total)), float(np.max(chart.need)) if chart.need is not None else 0.0)
    top, step = scale_top(peak)
    left: float = 6 + max(text_width(figure(mark * step), size) for mark in range(round(top / step) + 1))
    box = _Box(left, 18, width - left - 2, bottom - 18, top)
    _axes(canvas, chart, box, step)
    _stack(canvas, chart, box)
    if chart.need is not None:
        _need_line(canvas, chart, box, chart.need)
    for row, items in enumerate(keys):
        _draw_keys(canvas, items, left, chart.height + 10 + KEY_ROW * row)
    return canvas.render(chart.title, chart.alt)


def _size(width: float) -> float:
    """Size of the small type, px: a phone's drawing is shown larger than it is made."""
    return 10 if width < WIDE else 12


@dataclass(frozen=True)
class _Box:
    x: float
    y: float
    w: float
    h: float
    top: float

    def level(self, value: float) -> float:
        return self.y + self.h * (1 - value / self.top)


def _axes(canvas: Canvas, chart: Chart, box: _Box, step: float) -> None:
    theme = canvas.theme
    size = _size(canvas.width)
    canvas.text(0, 11, chart.unit, size=size, fill=theme.muted)
    for mark in range(round(box.top / step) + 1):
        y = box.level(mark * step)
        canvas.line(box.x, y, box.x + box.w, y, theme.rule)
        canvas.text(box.x - 4, y + 3.5, figure(mark * step), size=size, fill=theme.muted, anchor="end")
    pitch = box.w / len(chart.steps)
    for index, name in enumerate(chart.steps):
        if name:
            shown = name if len(chart.steps) != 12 or pitch > 30 else name[:3]
            canvas.text(
                box.x + pitch * (index + 0.5), box.y + box.h + 13, shown, size=size, fill=theme.ink, anchor="middle"
            )


def _stack(canvas: Canvas, chart: Chart, box: _Box) -> None:
    pitch = box.w / len(chart.steps)
    bar = pitch * (0.74 if len(chart.steps) <= 12 else 0.9)
    floor = np.zeros(len(chart.steps))
    for item in chart.series:
        boxes = []
        for index, value in enumerate(item.values):
            if box.h * value > box.top * SEEN:
                x = box.x + pitch * index + (pitch - bar) / 2
                high, low = box.level(float(floor[index] + value)), box.level(float(floor[index]))
                boxes.append((x, high, bar, low - high))
        canvas.boxes(boxes, item.style)
        if len(chart.series) > 1 and bar > text_width(item.code, 9) + 5:
            places = [(x + width / 2, high + height / 2) for x, high, width, height in boxes if height > 15]
            canvas.chips(places, item.style, item.code, size=9)
        floor = floor + item.values
    for index in range(len(chart.steps) if pitch > TOUCHED else 0):
        canvas.tell(box.x + pitch * index, box.y, pitch, box.h, _told(chart, index))


def _told(chart: Chart, index: int) -> str:
    """What a bar holds, in words."""
    when = chart.steps[index] if len(chart.steps) == 12 else f"week {index + 1}"
    parts = [f"{item.name} {figure(float(item.values[index]))}" for item in chart.series if item.values[index] > 0]
    need = [f"{chart.need_name} {figure(float(chart.need[index]))}"] if chart.need is not None else []
    return f"{when}, {chart.unit}: {'; '.join([*parts, *need]) or 'nothing'}"


def _need_line(canvas: Canvas, chart: Chart, box: _Box, need: Values) -> None:
    pitch = box.w / len(chart.steps)
    points = []
    for index, value in enumerate(need):
        y = num(box.level(float(value)))
        points += [f"{num(box.x + pitch * index)} {y}", f"{num(box.x + pitch * (index + 1))} {y}"]
    d = "M" + "L".join(points)
    canvas.path(d, stroke=canvas.theme.paper, width=4)
    canvas.path(d, stroke=canvas.theme.ink, width=1.8, dash="5 2", title=chart.need_name)


def _key_rows(chart: Chart, width: int) -> list[list[tuple[Series | None, str]]]:
    items: list[tuple[Series | None, str]] = [(item, item.name) for item in chart.series]
    if chart.need is not None:
        items.append((None, chart.need_name))
    keys: list[list[tuple[Series | None, str]]] = []
    used = float(width)
    for item, name in items:
        need = 36 + text_width(name, _size(width) + 0.5)
        if used + need > width - 20:
            keys.append([])
            used = 0
        keys[-1].append((item, name))
        used += need
    return keys


def _draw_keys(canvas: Canvas, items: Sequence[tuple[Series | None, str]], left: float, y: float) -> None:
    x = left
    for item, name in items:
        if item is None:
            canvas.line(x, y - 3, x + 18, y - 3, canvas.theme.ink, width=1.8, dash="5 2")
        else:
            canvas.styled(x, y - 10, 20, 13, item.style)
            canvas.chip(x + 10, y - 3.5, item.style, item.code, size=9)
        canvas.text(x + 24, y, name, size=_size(canvas.width) + 0.5)
        x += 36 + text_width(name, _size(canvas.width) + 0.5)
