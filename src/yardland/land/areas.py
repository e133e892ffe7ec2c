"""Areas, perimeters and fences on the ground.

A degree is not a metre: areas are taken on the WGS 84 ellipsoid (holding/outline.py: Snyder 1987, USGS Professional
Paper 1395). Sizes are plan sizes; `slope_area_m2` gives the surface that a slope really has.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from yardland.holding.model import Holding
from yardland.land.edges import Edge, shared_edges
from yardland.land.outlines import Drawn, drawn

SCHEMATIC_RATIO = 1.5
"""Length over width of the rectangle that stands for a plot whose shape is not known."""


@dataclass(frozen=True)
class PlotGround:
    """A plot's size. `perimeter_m` of a plot without an outline is that of a 3:2 rectangle (`schematic`)."""

    plot: str
    use: str
    area_m2: float
    perimeter_m: float
    surface_m2: float
    schematic: bool


@dataclass(frozen=True)
class FenceRun:
    """A fence of the plan: its kind, its length with shared edges once, whether some of it is only a guess."""

    fence: str
    kind: str
    length_m: float
    schematic: bool
    plots: tuple[str, ...]


def slope_area_m2(plan_area_m2: float, slope_deg: float) -> float:
    """Surface of ground whose plan area is given, on an even slope: plan area / cos(slope). `slope_deg` 0-89."""
    return plan_area_m2 / math.cos(math.radians(slope_deg))


def slope_length_m(plan_length_m: float, slope_deg: float) -> float:
    """Length along the fall line of a line whose plan length is given."""
    return plan_length_m / math.cos(math.radians(slope_deg))


def slope_deg_from_percent(slope_pct: float) -> float:
    """Degrees of a slope in per cent (rise over plan length)."""
    return math.degrees(math.atan(slope_pct / 100))


def rectangle_perimeter_m(area_m2: float, ratio: float = SCHEMATIC_RATIO) -> float:
    """Perimeter of a rectangle of that area whose length is `ratio` times its width."""
    width = math.sqrt(area_m2 / ratio)
    return 2 * width * (1 + ratio)


def plot_grounds(holding: Holding) -> list[PlotGround]:
    """Area, perimeter and surface of every plot, in the order of the plan."""
    shapes = drawn(holding)
    grounds = []
    for name, plot in holding.plot.items():
        shape = shapes.get(name)
        outlined = shape is not None and bool(shape.polygons)
        area = shape.area_m2() if shape is not None and outlined else plot.area_m2
        perimeter = shape.perimeter_m() if shape is not None and outlined else rectangle_perimeter_m(area)
        surface = slope_area_m2(area, plot.slope_deg)
        grounds.append(PlotGround(name, plot.use, area, perimeter, surface, not outlined))
    return grounds


def plot_edges(holding: Holding) -> list[Edge]:
    """Every edge of the outlined plots once, with the plots on its two sides."""
    return shared_edges({name: _rings(shape) for name, shape in drawn(holding).items() if shape.kind == "plot"})


def fence_runs(holding: Holding) -> list[FenceRun]:
    """Length of every fence of the plan, its shared edges once.

    A fence drawn in land.geojson (a line with the fence's id) has the line's length; another one runs round its plots.
    Where two fences of the plan are of one kind, an edge that both would fence is counted in the first.
    """
    shapes, edges = drawn(holding), plot_edges(holding)
    fenced: dict[str, set[Edge]] = {}
    runs = []
    for name, fence in holding.fence.items():
        own = shapes.get(name)
        if own is not None and own.lines:
            runs.append(FenceRun(name, fence.kind, own.length_m(), schematic=False, plots=fence.around))
            continue
        around = set(fence.around)
        new = {edge for edge in edges if edge.owners & around} - fenced.setdefault(fence.kind, set())
        fenced[fence.kind] |= new
        unknown = [plot for plot in fence.around if plot not in shapes and plot in holding.plot]
        guessed = sum(rectangle_perimeter_m(holding.plot[plot].area_m2) for plot in unknown)
        # The sum of a set must not hang on its order, which is another in each process: fsum rounds once.
        length = math.fsum(edge.length_m for edge in new) + guessed
        runs.append(FenceRun(name, fence.kind, length, schematic=bool(unknown), plots=fence.around))
    return runs


def _rings(shape: Drawn) -> list[tuple[tuple[float, float], ...]]:
    return [ring for rings in shape.polygons_m for ring in rings]
