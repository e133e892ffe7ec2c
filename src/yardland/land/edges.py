"""Edges of plots with shared ones known: corners within 5 cm are one corner, a T-junction splits the longer edge.

Plane geometry on rings in metres; nothing but the standard library and NumPy.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from yardland.holding.outline import Position

SNAP_M = 0.05
"""Corners nearer to one another than this are one corner; corners nearer to an edge than this lie on it."""


@dataclass(frozen=True)
class Edge:
    """A piece of straight line between two corners, and the plots that it bounds (one, or two neighbours)."""

    start: Position
    end: Position
    owners: frozenset[str]

    @property
    def length_m(self) -> float:
        """Its length on the plane, metres."""
        return math.dist(self.start, self.end)


def shared_edges(rings: Mapping[str, Sequence[Sequence[Position]]], snap_m: float = SNAP_M) -> list[Edge]:
    """Every edge of every ring once, with all its owners.

    Args:
        rings: plot -> closed rings in metres.
        snap_m: distance under which corners are one and a corner lies on an edge.
    """
    corners = _Corners(snap_m)
    sides: dict[str, list[tuple[int, int]]] = {}
    for name, plot_rings in rings.items():
        for ring in plot_rings:
            indices = [corners.index_of(corner) for corner in ring]
            sides.setdefault(name, []).extend(side for side in pairwise(indices) if side[0] != side[1])
    owners: dict[tuple[int, int], set[str]] = {}
    for name, plot_sides in sides.items():
        for side in plot_sides:
            for piece in corners.split(side):
                owners.setdefault((min(piece), max(piece)), set()).add(name)
    return [Edge(corners.places[a], corners.places[b], frozenset(names)) for (a, b), names in owners.items()]


class _Corners:
    """Corners snapped to the first one seen within the distance; a grid of cells keeps the search short."""

    def __init__(self, snap_m: float) -> None:
        self.snap_m = snap_m
        self.places: list[Position] = []
        self._cells: dict[tuple[int, int], list[int]] = {}

    def index_of(self, corner: Position) -> int:
        """Number of the corner, made if there is none near it."""
        column, row = math.floor(corner[0] / self.snap_m), math.floor(corner[1] / self.snap_m)
        near = [
            index
            for east in (column - 1, column, column + 1)
            for north in (row - 1, row, row + 1)
            for index in self._cells.get((east, north), [])
            if math.dist(self.places[index], corner) <= self.snap_m
        ]
        if near:
            return min(near, key=lambda index: math.dist(self.places[index], corner))
        self.places.append((float(corner[0]), float(corner[1])))
        self._cells.setdefault((column, row), []).append(len(self.places) - 1)
        return len(self.places) - 1

    def split(self, side: tuple[int, int]) -> list[tuple[int, int]]:
        """The side cut at every corner that lies on it."""
        (x0, y0), (x1, y1) = self.places[side[0]], self.places[side[1]]
        length = math.hypot(x1 - x0, y1 - y0)
        on_it = [(0.0, side[0]), (length, side[1])]
        for index, (x, y) in enumerate(self.places):
            if index in side:
                continue
            along = ((x - x0) * (x1 - x0) + (y - y0) * (y1 - y0)) / length
            across = abs((x - x0) * (y1 - y0) - (y - y0) * (x1 - x0)) / length
            if across <= self.snap_m and self.snap_m < along < length - self.snap_m:
                on_it.append((along, index))
        return list(pairwise(index for _, index in sorted(on_it)))
