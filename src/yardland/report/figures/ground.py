"""The plan of the plots, each filled with the hatch of what it grows; north is up."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from yardland.holding.model import PlantingRow
from yardland.report.drawing import NARROW, WIDE, Drawing, Table
from yardland.report.lookup import Lookup
from yardland.report.palette import Style, mark_of_class, styles, themes
from yardland.report.svg import Canvas, num, text_width
from yardland.report.words import figure, plain, title
from yardland.year.result import YearResult

if TYPE_CHECKING:
    from yardland.land.plan import PlanShape

STYLE_OF_USE = {"grass": "Ly", "orchard": "Fr"}
PLAIN_USES = {"wood": "Wood", "yard": "Yard", "house": "House", "pond": "Pond", "track": "Track"}


def drawings(result: YearResult, lookup: Lookup) -> tuple[Drawing, ...]:
    """The one plan of the holding."""
    from yardland.land.plan import plan_shapes

    shapes = plan_shapes(result.holding)
    if not shapes:
        return ()
    alt = f"Plan of {len(shapes)} plots." + (
        " Plots without an outline are drawn as rectangles of their size."
        if any(one.schematic for one in shapes)
        else ""
    )
    rows = tuple(
        (title(one.id), one.use, f"{figure(one.area_m2)} m²", _grows(result, lookup, one.id)) for one in shapes
    )

    def draw(theme: str, width: int) -> str:
        return draw_plan(result, lookup, shapes, theme, width, alt)

    return (Drawing("plan", "The ground", alt, draw, Table(("Plot", "Use", "Area", "Grows"), rows), (NARROW, WIDE)),)


def draw_plan(
    result: YearResult, lookup: Lookup, shapes: list[PlanShape], theme_name: str, width: int, alt: str = ""
) -> str:
    """The plan as SVG, fitted in width and height, with a scale bar."""
    points = [point for one in shapes for point in one.points]
    west, east = min(x for x, _ in points), max(x for x, _ in points)
    south, north = min(y for _, y in points), max(y for _, y in points)
    scale = min((width - 8) / max(east - west, 1), (0.75 * width) / max(north - south, 1))
    height = (north - south) * scale + 46
    canvas = Canvas(width, height, themes()[theme_name], "plan")
    indent = (width - (east - west) * scale) / 2

    def place(x: float, y: float) -> tuple[float, float]:
        return (indent + (x - west) * scale, 6 + (north - y) * scale)

    for one in sorted(shapes, key=lambda each: -each.area_m2):
        _plot(canvas, result, lookup, one, [place(x, y) for x, y in one.points])
    _scale_bar(canvas, scale)
    return canvas.render("The ground", alt)


def _plot(
    canvas: Canvas, result: YearResult, lookup: Lookup, one: PlanShape, corners: list[tuple[float, float]]
) -> None:
    d = "M" + "L".join(f"{num(x)} {num(y)}" for x, y in corners) + "Z"
    x0, x1 = min(x for x, _ in corners), max(x for x, _ in corners)
    y0, y1 = min(y for _, y in corners), max(y for _, y in corners)
    strips = _strips(result, lookup, one.id, one.use)
    told = f"{title(one.id)} ({one.use}), {figure(one.area_m2)} m²: {_grows(result, lookup, one.id)}"
    canvas.raw(f"<g {canvas.clip(d)}>")
    canvas.rect(x0, y0, x1 - x0, y1 - y0, canvas.theme.rule, title=told)
    at = x0
    for share, style, _ in strips:
        w = (x1 - x0) * share
        canvas.rect(at, y0, w, y1 - y0, style.fill)
        canvas.rect(at, y0, w, y1 - y0, canvas.hatch(style), title=told)
        at += w
    canvas.raw("</g>")
    canvas.path(d, stroke=canvas.theme.ink, width=1.4)
    _plot_labels(canvas, result, one, strips, (x0, y0, x1, y1))


def _plot_labels(
    canvas: Canvas,
    result: YearResult,
    one: PlanShape,
    strips: list[tuple[float, Style, str]],
    box: tuple[float, float, float, float],
) -> None:
    x0, y0, x1, y1 = box
    middle = (y0 + y1) / 2
    name, area = title(one.id), f"{figure(one.area_m2)} m²"
    tall = y1 - y0 > 46 and x1 - x0 > text_width(area, 10) + 6
    if x1 - x0 > text_width(name, 10.5) + 4 and y1 - y0 > 16:
        _plate(canvas, (x0 + x1) / 2, middle - (8 if tall else 0), name, 10.5, bold=True)
    if tall:
        _plate(canvas, (x0 + x1) / 2, middle + 7, area, 10, bold=False)
    at = x0
    for share, style, codes in strips:
        w = (x1 - x0) * share
        if w > text_width(codes, 9) + 6 and y1 - y0 > 64:
            canvas.chip(at + w / 2, y1 - 10, style, codes, size=9)
        at += w
    groups = [group for group in result.holding.group.values() if group.home == one.id]
    for index, group in enumerate(groups):
        if y1 - y0 > 84 and group.heads:
            x, y = x0 + 14 + 40 * index, y0 + 13
            if x + 26 < x1:
                canvas.rect(x - 9, y - 9, 38, 18, canvas.theme.paper, radius=3)
                canvas.animal(x, y, mark_of_class(next(iter(group.heads))), size=13)


def _plate(canvas: Canvas, x: float, y: float, words: str, size: float, *, bold: bool) -> None:
    width = text_width(words, size) + 6
    canvas.rect(x - width / 2, y - size * 0.75, width, size * 1.45, canvas.theme.paper, radius=2)
    canvas.text(x, y + size * 0.35, words, size=size, anchor="middle", bold=bold)


def _strips(result: YearResult, lookup: Lookup, plot: str, use: str) -> list[tuple[float, Style, str]]:
    """Share of the plot, style and codes of each strip: a planting and those that follow it stand in one strip."""
    rows = [row for row in result.holding.plantings if row.plot == plot]
    heads = [row for row in rows if not row.after and row.sow != "after"]
    strips = [(row.share, lookup.family(row.crop), _chain(row, rows, lookup)) for row in heads]
    if not strips and use in STYLE_OF_USE:
        style = styles()[STYLE_OF_USE[use]]
        return [(1.0, style, style.code)]
    over = max(1.0, sum(share for share, _, _ in strips))
    return [(share / over, style, codes) for share, style, codes in strips]


def _chain(head: PlantingRow, rows: list[PlantingRow], lookup: Lookup) -> str:
    codes, crop = [lookup.family(head.crop).code], head.crop
    for _ in rows:
        follower = next((row for row in rows if row.after == crop), None)
        if follower is None:
            break
        codes.append(lookup.family(follower.crop).code)
        crop = follower.crop
    return "-".join(codes)


def _grows(result: YearResult, lookup: Lookup, plot: str) -> str:
    crops = [
        f"{plain(row.crop)} ({lookup.family(row.crop).code})" for row in result.holding.plantings if row.plot == plot
    ]
    trees = [
        f"{tree.count} {plain(tree.species)}"
        for block in result.holding.block.values()
        if block.plot == plot
        for tree in block.trees
    ]
    sward = result.holding.plot[plot].sward if plot in result.holding.plot else None
    grass = [sward.kind] if sward else []
    return (
        ", ".join(dict.fromkeys([*crops, *trees, *grass]))
        or PLAIN_USES.get(result.holding.plot[plot].use, "nothing").lower()
    )


def _scale_bar(canvas: Canvas, scale: float) -> None:
    metres = 10 ** math.floor(math.log10(max(canvas.width / 3 / scale, 1)))
    metres *= 5 if metres * 5 * scale < canvas.width / 3 else 2 if metres * 2 * scale < canvas.width / 3 else 1
    y = canvas.height - 12
    canvas.line(6, y, 6 + metres * scale, y, canvas.theme.ink, width=2)
    for x in (6, 6 + metres * scale):
        canvas.line(x, y - 4, x, y + 4, canvas.theme.ink, width=2)
    canvas.text(12 + metres * scale, y + 4, f"{metres} m", size=11)
    canvas.path(f"M{num(canvas.width - 12)} {num(y - 12)}l5 16l-5 -4l-5 4Z", fill=canvas.theme.ink, title="north is up")
    canvas.text(canvas.width - 22, y + 4, "N", size=11, bold=True, anchor="end")
