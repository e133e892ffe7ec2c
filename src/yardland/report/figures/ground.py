"""The plan of the plots, each filled with the hatch of what it grows; north is up."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from typing import TYPE_CHECKING

from yardland.larderyear.result import YearResult
from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.figures.strips import Strip, grows, strips
from yardland.report.lookup import Lookup
from yardland.report.palette import AnimalMark, Style, mark_of_class, themes
from yardland.report.svg import Canvas, num, text_width
from yardland.report.words import figure, title

if TYPE_CHECKING:
    from yardland.land.plan import PlanShape

Place = Callable[[float, float], tuple[float, float]]
Box = tuple[float, float, float, float]
Ring = list[tuple[float, float]]
MARGIN = 6
KEY_ROW = 20
Key = Style | AnimalMark | str


def drawings(result: YearResult, lookup: Lookup) -> tuple[Drawing, ...]:
    """The one plan of the holding."""
    from yardland.land.plan import plan_shapes

    shapes = plan_shapes(result.holding)
    plots = [one for one in shapes if one.kind == "plot"]
    if not plots:
        return ()
    loose = [title(one.id) for one in plots if one.schematic]
    alt = f"Plan of {len(plots)} plots; bands in a plot show shares of it, not places." + (
        " Plots without an outline are rectangles of their size; where they lie is not known." if loose else ""
    )
    rows = tuple((title(one.id), one.use, f"{figure(one.area_m2)} m²", grows(result, lookup, one.id)) for one in plots)

    def draw(theme: str, width: int) -> str:
        return draw_plan(result, lookup, shapes, theme=theme, width=width, alt=alt)

    return (Drawing("plan", "The ground", alt, draw, Table(("Plot", "Use", "Area", "Grows"), rows), (NARROW, WIDE)),)


def draw_plan(
    result: YearResult, lookup: Lookup, shapes: list[PlanShape], *, theme: str, width: int, alt: str = ""
) -> str:
    """The plan as SVG, fitted in width and height, with a scale bar."""
    from yardland.land.plan import extent_m

    west, south, east, north = extent_m(shapes)
    across, up = max(east - west, 1.0), max(north - south, 1.0)
    scale = min((width - 2 * MARGIN) / across, 0.8 * width / up)
    keys = key_rows(key_items(result, lookup, shapes), width)
    drawn = up * scale + 2 * MARGIN + 36
    canvas = Canvas(width, drawn + KEY_ROW * len(keys), themes()[theme], "plan")
    indent = (width - across * scale) / 2

    def place(x: float, y: float) -> tuple[float, float]:
        return (indent + (x - west) * scale, MARGIN + (north - y) * scale)

    plots = sorted((one for one in shapes if one.kind == "plot"), key=lambda each: -each.area_m2)
    for one in plots:
        _ground(canvas, result, lookup, one, place)
    for one in shapes:
        _overlay(canvas, one, place)
    for one in plots:
        _labels(canvas, result, lookup, one, place)
    _scale_bar(canvas, scale, drawn - 12, compass=not all(one.schematic for one in plots))
    for row, items in enumerate(keys):
        _draw_keys(canvas, items, drawn + 12 + KEY_ROW * row)
    return canvas.render("The ground", alt)


def _outline(one: PlanShape, place: Place) -> str:
    rings = [ring for polygon in one.polygons for ring in polygon]
    return "".join("M" + "L".join(f"{num(x)} {num(y)}" for x, y in (place(*at) for at in ring)) + "Z" for ring in rings)


def _box(one: PlanShape, place: Place) -> Box:
    corners = [place(*at) for polygon in one.polygons for at in polygon[0]]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def _ground(canvas: Canvas, result: YearResult, lookup: Lookup, one: PlanShape, place: Place) -> None:
    """A plot's fill: its strips side by side, clipped to its outline."""
    d = _outline(one, place)
    x0, y0, x1, y1 = _box(one, place)
    told = f"{title(one.id)} ({one.use}), {figure(one.area_m2)} m²: {grows(result, lookup, one.id)}"
    canvas.raw(f"<g {canvas.clip(d)}>")
    canvas.rect(x0, y0, x1 - x0, y1 - y0, canvas.theme.rule, title=told)
    at = x0
    for strip in strips(result, lookup, one.id):
        w = (x1 - x0) * strip.share
        canvas.rect(at, y0, w, y1 - y0, strip.style.fill)
        canvas.rect(at, y0, w, y1 - y0, canvas.hatch(strip.style), title=told)
        if at > x0:
            canvas.line(at, y0, at, y1, canvas.theme.paper, width=1.6)
        at += w
    canvas.raw("</g>")
    canvas.path(d, stroke=canvas.theme.ink, width=1.3, dash="4 3" if one.schematic else "")


def _overlay(canvas: Canvas, one: PlanShape, place: Place) -> None:
    """What is drawn over the plots: boundary, fences, trees, water, buildings."""
    theme = canvas.theme
    if one.kind == "boundary":
        canvas.path(_outline(one, place), stroke=theme.muted, width=1, dash="8 3 2 3", title="boundary")
    elif one.kind != "plot":
        for polygon in one.polygons:
            d = "M" + "L".join(f"{num(x)} {num(y)}" for x, y in (place(*at) for at in polygon[0])) + "Z"
            canvas.path(d, fill=theme.paper, stroke=theme.ink, title=f"{one.id} ({one.kind})")
        for line in one.lines:
            d = "M" + "L".join(f"{num(x)} {num(y)}" for x, y in (place(*at) for at in line))
            canvas.path(d, stroke=theme.ink, width=2.4, dash="2 4", title=f"{one.id} ({one.kind})")
        for x, y in (place(*at) for at in one.points):
            r = 4 if one.kind == "water" else 2.5
            d = f"M{num(x - r)} {num(y)}a{num(r)} {num(r)} 0 1 0 {num(2 * r)} 0a{num(r)} {num(r)} 0 1 0 {num(-2 * r)} 0Z"
            canvas.path(d, fill=theme.accent if one.kind == "water" else theme.ink, stroke=theme.paper, title=one.id)


def _labels(canvas: Canvas, result: YearResult, lookup: Lookup, one: PlanShape, place: Place) -> None:
    """Name, area where there is room for it, codes of the strips, and the animals at home there."""
    x0, y0, x1, y1 = _box(one, place)
    x, y = place(*one.label_xy)
    name, area = title(one.id), f"{figure(one.area_m2)} m²"
    large, small = (10.5, 10.0) if canvas.width < WIDE else (12.5, 11.5)
    roomy = y1 - y0 > 54 and x1 - x0 > text_width(area, small) + 14
    if x1 - x0 > text_width(name, large) + 2 and y1 - y0 > 14:
        _plate(canvas, x, y - (9 if roomy else 0), name, large, bold=True)
    if roomy:
        _plate(canvas, x, y + 8, area, small, bold=False)
    edge = [place(*at) for at in one.polygons[0][0]]
    _codes(canvas, strips(result, lookup, one.id), (x0, y0, x1, y1), y, edge)
    homes = [group for group in result.holding.group.values() if group.home == one.id and group.heads]
    for index, group in enumerate(homes):
        up = y - 27.5 - 18 * index
        if up - 12 > y0 and x1 - x0 > 44:
            canvas.rect(x - 19, up - 8.5, 40, 17, canvas.theme.paper, radius=3)
            canvas.animal(x - 10, up, mark_of_class(next(iter(group.heads))), size=12)


def _codes(canvas: Canvas, found: list[Strip], box: Box, middle: float, edge: Ring) -> None:
    """The codes of the strips in a row under the name, where the whole code lies inside the plot."""
    x0, _, x1, y1 = box
    at = x0
    low = min(middle + 26, y1 - 9)
    for strip in found:
        w = (x1 - x0) * strip.share
        half = text_width(strip.codes, 9) / 2 + 2
        ends = [(at + w / 2 + dx, low + dy) for dx in (-half, half) for dy in (-7, 7)]
        if w > 2 * half and low - middle > 17 and all(inside(end, edge) for end in ends):
            canvas.chip(at + w / 2, low, strip.style, strip.codes, size=9)
        at += w


def inside(point: tuple[float, float], ring: Ring) -> bool:
    """Whether a point lies inside a closed ring (a ray to the right crosses it an odd number of times)."""
    x, y = point
    crossings = [
        x < x0 + (x1 - x0) * (y - y0) / (y1 - y0) for (x0, y0), (x1, y1) in pairwise(ring) if (y0 > y) != (y1 > y)
    ]
    return sum(crossings) % 2 == 1


def _plate(canvas: Canvas, x: float, y: float, words: str, size: float, *, bold: bool) -> None:
    width = text_width(words, size) + 6
    x = min(max(x, width / 2), canvas.width - width / 2)
    canvas.rect(x - width / 2, y - size * 0.75, width, size * 1.45, canvas.theme.paper, radius=2)
    canvas.text(x, y + size * 0.35, words, size=size, anchor="middle", bold=bold)


def key_items(result: YearResult, lookup: Lookup, shapes: list[PlanShape]) -> list[tuple[Key, str]]:
    """What the plan's key explains: styles of the strips, animals at home, then what is drawn over the plots."""
    plots = [one.id for one in shapes if one.kind == "plot"]
    found: dict[str, tuple[Key, str]] = {}
    for plot in plots:
        for strip in strips(result, lookup, plot):
            for style in strip.styles:
                found[style.code] = (style, style.name)
    for group in result.holding.group.values():
        if group.home in plots and group.heads:
            mark = mark_of_class(next(iter(group.heads)))
            found[mark.code] = (mark, mark.name)
    kinds = {one.kind for one in shapes} & {"water", "fence", "building"}
    return [*found.values(), *((kind, kind) for kind in sorted(kinds))]


def key_rows(items: list[tuple[Key, str]], width: float) -> list[list[tuple[Key, str]]]:
    """The key's items in rows that fit."""
    rows: list[list[tuple[Key, str]]] = [[]]
    used = 0.0
    for item, name in items:
        need = KEY_INDENT + text_width(name, _key_size(width)) + 12
        if rows[-1] and used + need > width:
            rows.append([])
            used = 0.0
        rows[-1].append((item, name))
        used += need
    return [row for row in rows if row]


KEY_INDENT = 42


def _key_size(width: float) -> float:
    return 10.5 if width < WIDE else 12


def _draw_keys(canvas: Canvas, items: list[tuple[Key, str]], y: float) -> None:
    x = 4.0
    size = _key_size(canvas.width)
    for item, name in items:
        if isinstance(item, Style):
            canvas.styled(x, y - 11, 32, 14, item)
            canvas.chip(x + 16, y - 4, item, item.code, size=9)
        elif isinstance(item, AnimalMark):
            canvas.animal(x + 6, y - 4, item, size=11)
        else:
            _sign(canvas, item, x, y - 4)
        canvas.text(x + 37, y, name, size=size)
        x += KEY_INDENT + text_width(name, size) + 12


def _sign(canvas: Canvas, kind: str, x: float, y: float) -> None:
    """The mark of water, a fence or a building as the plan draws it."""
    if kind == "fence":
        canvas.line(x, y, x + 28, y, canvas.theme.ink, width=2.4, dash="2 4")
    elif kind == "building":
        canvas.rect(x + 7, y - 6, 14, 12, canvas.theme.paper, stroke=canvas.theme.ink)
    else:
        d = f"M{num(x + 10)} {num(y)}a4 4 0 1 0 8 0a4 4 0 1 0 -8 0Z"
        canvas.path(d, fill=canvas.theme.accent, stroke=canvas.theme.paper)


def _scale_bar(canvas: Canvas, scale: float, y: float, *, compass: bool) -> None:
    room = canvas.width / 3
    power = 10 ** math.floor(math.log10(max(room / scale, 1)))
    metres = power * next(step for step in (5, 2, 1) if power * step * scale <= room or step == 1)
    canvas.line(6, y, 6 + metres * scale, y, canvas.theme.ink, width=2)
    for x in (6, 6 + metres * scale):
        canvas.line(x, y - 4, x, y + 4, canvas.theme.ink, width=2)
    canvas.text(12 + metres * scale, y + 4, f"{metres} m", size=11)
    if compass:
        d = f"M{num(canvas.width - 12)} {num(y - 12)}l5 16l-5 -4l-5 4Z"
        canvas.path(d, fill=canvas.theme.ink, title="north is up")
        canvas.text(canvas.width - 22, y + 4, "N", size=11, bold=True, anchor="end")
