"""A holding's outlines as rings and lines in metres on one plane, east and north of the holding's south-west corner."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, cast

from yardland.holding.model import Holding
from yardland.holding.outline import Position, Ring, line_length_m, local_plane, polygon_area_m2

MetreRing = tuple[Position, ...]
BOUNDARY = "boundary"


@dataclass(frozen=True)
class Drawn:
    """One geometry of land.geojson, in degrees (longitude, latitude) and in metres on the holding's plane.

    `polygons` hold rings (outer first), `lines` lists of positions, `points` single ones.
    """

    id: str
    kind: str
    polygons: tuple[tuple[Ring, ...], ...] = ()
    lines: tuple[Ring, ...] = ()
    points: tuple[Position, ...] = ()
    polygons_m: tuple[tuple[MetreRing, ...], ...] = ()
    lines_m: tuple[MetreRing, ...] = ()
    points_m: tuple[Position, ...] = ()

    def area_m2(self) -> float:
        """Ground area of its polygons, holes taken off (WGS 84 ellipsoid)."""
        return sum(polygon_area_m2(rings) for rings in self.polygons)

    def perimeter_m(self) -> float:
        """Length on the ground of every ring of its polygons, holes included."""
        return sum(line_length_m(ring) for rings in self.polygons for ring in rings)

    def length_m(self) -> float:
        """Length on the ground of its lines."""
        return sum(line_length_m(line) for line in self.lines)


def drawn(holding: Holding) -> dict[str, Drawn]:
    """Every outline of a holding by its id; empty when there is no land.geojson."""
    raw = {name: _degrees(cast("dict[str, Any]", shape)) for name, shape in holding.outlines.items()}
    origin = _south_west([shape for shape in raw.values() if shape is not None])
    if origin is None:
        return {}
    return {
        name: _on_plane(name, _kind(name, holding), shape, origin) for name, shape in raw.items() if shape is not None
    }


Parts = tuple[tuple[tuple[Ring, ...], ...], tuple[Ring, ...], tuple[Position, ...]]


def _kind(name: str, holding: Holding) -> str:
    """What the plan calls the id: boundary, plot, fence, trees, water; anything else is a building."""
    if name == BOUNDARY and name not in holding.plot:
        return BOUNDARY
    named: list[tuple[str, Iterable[str]]] = [
        ("plot", holding.plot),
        ("fence", holding.fence),
        ("trees", holding.block),
        ("water", holding.water.source),
    ]
    return next((kind for kind, names in named if name in names), "building")


def _degrees(geometry: dict[str, Any]) -> Parts | None:
    """Polygons, lines and points of a GeoJSON geometry (RFC 7946); None for another type."""
    coordinates = geometry.get("coordinates", [])
    match geometry.get("type"):
        case "Polygon":
            parts: Parts | None = ((tuple(_line(ring) for ring in coordinates),), (), ())
        case "MultiPolygon":
            parts = (tuple(tuple(_line(ring) for ring in polygon) for polygon in coordinates), (), ())
        case "LineString":
            parts = ((), (_line(coordinates),), ())
        case "MultiLineString":
            parts = ((), tuple(_line(line) for line in coordinates), ())
        case "Point":
            parts = ((), (), _line([coordinates]))
        case "MultiPoint":
            parts = ((), (), _line(coordinates))
        case _:
            parts = None
    return parts


def _line(coordinates: list[list[float]]) -> Ring:
    return tuple((float(position[0]), float(position[1])) for position in coordinates)


def _south_west(shapes: list[Parts]) -> Position | None:
    """The least longitude and the least latitude of all corners: the plane's origin."""
    corners = [corner for polygons, lines, points in shapes for corner in _corners(polygons, lines, points)]
    if not corners:
        return None
    return min(lon for lon, _ in corners), min(lat for _, lat in corners)


def _corners(polygons: tuple[tuple[Ring, ...], ...], lines: tuple[Ring, ...], points: Ring) -> list[Position]:
    rings = [ring for polygon in polygons for ring in polygon]
    return [corner for ring in (*rings, *lines, points) for corner in ring]


def _on_plane(name: str, kind: str, shape: Parts, origin: Position) -> Drawn:
    polygons, lines, points = shape
    return Drawn(
        id=name,
        kind=kind,
        polygons=polygons,
        lines=lines,
        points=points,
        polygons_m=tuple(tuple(tuple(local_plane(ring, origin)) for ring in rings) for rings in polygons),
        lines_m=tuple(tuple(local_plane(line, origin)) for line in lines),
        points_m=tuple(local_plane(points, origin)),
    )
