"""Shapes of a holding for drawing: metres east (x) and north (y) of its south-west corner."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from yardland.holding.model import Holding, Plot
from yardland.land.areas import SCHEMATIC_RATIO
from yardland.land.outlines import Drawn, MetreRing, drawn

GAP_M = 4.0
"""Space between the rectangles of plots whose place is not known."""


@dataclass(frozen=True)
class PlanShape:
    """One thing to draw. `kind`: boundary, plot, fence, trees, water, building; `use` is a plot's use, else "".

    `polygons` hold closed rings (outer first), `lines` open lines, `points` positions, all in metres. `schematic`:
    only the size is true, the place and the form are not.
    """

    id: str
    kind: str
    use: str
    area_m2: float
    polygons: tuple[tuple[MetreRing, ...], ...]
    lines: tuple[MetreRing, ...]
    points: tuple[tuple[float, float], ...]
    label_xy: tuple[float, float]
    schematic: bool


def plan_shapes(holding: Holding) -> list[PlanShape]:
    """Every outline of the holding, and a rectangle of the right size for each plot without one, packed beside them.

    Order: boundary first, then plots in the order of the plan, then the rest.
    """
    shapes = drawn(holding)
    order = {"boundary": 0, "plot": 1}
    found = [_outlined(shape, holding) for shape in sorted(shapes.values(), key=lambda s: order.get(s.kind, 2))]
    typed = {name: plot for name, plot in holding.plot.items() if name not in shapes}
    return [*found, *_packed(typed, _east_edge(found))]


def extent_m(shapes: list[PlanShape]) -> tuple[float, float, float, float]:
    """West, south, east and north edge of all shapes (0, 0, 0, 0 when there are none)."""
    corners = [corner for shape in shapes for corner in _corners(shape)]
    if not corners:
        return 0.0, 0.0, 0.0, 0.0
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def centroid(ring: MetreRing) -> tuple[float, float]:
    """Centre of area of a closed ring (mean of the corners when it holds no area)."""
    area2 = x_sum = y_sum = 0.0
    for (x0, y0), (x1, y1) in pairwise(ring):
        cross = x0 * y1 - x1 * y0
        area2 += cross
        x_sum += (x0 + x1) * cross
        y_sum += (y0 + y1) * cross
    if abs(area2) < 1e-9:
        return sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)
    return x_sum / (3 * area2), y_sum / (3 * area2)


def _outlined(shape: Drawn, holding: Holding) -> PlanShape:
    plot = holding.plot.get(shape.id)
    return PlanShape(
        id=shape.id,
        kind=shape.kind,
        use=plot.use if plot is not None else "",
        area_m2=shape.area_m2(),
        polygons=shape.polygons_m,
        lines=shape.lines_m,
        points=shape.points_m,
        label_xy=_label(shape),
        schematic=False,
    )


def _label(shape: Drawn) -> tuple[float, float]:
    if shape.polygons_m:
        return centroid(shape.polygons_m[0][0])
    if shape.lines_m:
        line = shape.lines_m[0]
        return line[len(line) // 2]
    return shape.points_m[0]


def _east_edge(shapes: list[PlanShape]) -> float:
    """Where the packed rectangles may start."""
    east = extent_m(shapes)[2]
    return east + 2 * GAP_M if shapes else 0.0


def _packed(plots: dict[str, Plot], west: float) -> list[PlanShape]:
    """Rectangles of the plots' sizes in rows about as wide as all are high, the deepest first in each row."""
    if not plots:
        return []
    width_limit = 1.3 * math.sqrt(sum(plot.area_m2 for plot in plots.values()))
    sides = {name: math.sqrt(plot.area_m2 / SCHEMATIC_RATIO) for name, plot in plots.items()}
    placed: dict[str, PlanShape] = {}
    x = y = row_height = 0.0
    for name in sorted(plots, key=lambda name: -sides[name]):
        height, width = sides[name], sides[name] * SCHEMATIC_RATIO
        if x > 0 and x + width > width_limit:
            x, y, row_height = 0.0, y + row_height + GAP_M, 0.0
        placed[name] = _rectangle(name, plots[name], (west + x, y), (width, height))
        x, row_height = x + width + GAP_M, max(row_height, height)
    return [placed[name] for name in plots]


def _rectangle(name: str, plot: Plot, corner: tuple[float, float], size: tuple[float, float]) -> PlanShape:
    (x, y), (width, height) = corner, size
    ring = ((x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y))
    centre = (x + width / 2, y + height / 2)
    return PlanShape(name, "plot", plot.use, plot.area_m2, ((ring,),), (), (), centre, schematic=True)


def _corners(shape: PlanShape) -> list[tuple[float, float]]:
    rings = [ring for polygon in shape.polygons for ring in polygon]
    return [corner for ring in (*rings, *shape.lines, shape.points) for corner in ring]
