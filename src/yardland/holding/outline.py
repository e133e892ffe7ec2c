"""Outlines on the ellipsoid: the area and the perimeter of a GeoJSON geometry, and a local plane for comparing them.

Edges are straight in longitude and latitude (RFC 7946, section 3.1.1). The ellipsoid is WGS 84 (RFC 7946, section 4).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

SEMI_MAJOR_M = 6_378_137.0
"""WGS 84 semi-major axis (NIMA TR8350.2, 3rd edition 2000, Table 3.1; published)."""
FLATTENING = 1.0 / 298.257223563
"""WGS 84 flattening (NIMA TR8350.2, 3rd edition 2000, Table 3.1; published)."""
ECCENTRICITY2 = FLATTENING * (2.0 - FLATTENING)
_ECCENTRICITY = math.sqrt(ECCENTRICITY2)
_GAUSS3 = ((-math.sqrt(0.6), 5.0 / 18.0), (0.0, 8.0 / 18.0), (math.sqrt(0.6), 5.0 / 18.0))

Position = tuple[float, float]
Ring = tuple[Position, ...]


@dataclass(frozen=True, slots=True)
class Outline:
    """A feature of land.geojson: its id and kind, its geometry as parsed, and its rings or lines.

    `polygons` holds for each polygon its rings (the outer one first), each closed, as (longitude, latitude) in degrees;
    it is empty for points and lines. `position` is the first corner of any geometry.
    """

    id: str
    kind: str
    geometry: dict[str, object]
    polygons: tuple[tuple[Ring, ...], ...]
    position: Position

    def area_m2(self) -> float:
        """Ground area of all its polygons, holes taken off."""
        return sum(polygon_area_m2(polygon) for polygon in self.polygons)


def polygon_area_m2(rings: Sequence[Sequence[Position]]) -> float:
    """Area on the WGS 84 ellipsoid of a polygon: its outer ring less its holes.

    Args:
        rings: closed rings of (longitude_deg, latitude_deg), outer first, in either direction.

    Returns:
        Area in m2, exact for edges that are straight in longitude and latitude, to about 1e-9 of itself at the size
        of a holding.
    """
    outer, *holes = (abs(ring_area_m2(ring)) for ring in rings)
    return outer - sum(holes)


def ring_area_m2(ring: Sequence[Position]) -> float:
    """Signed area on the ellipsoid inside a closed ring, positive when it runs anticlockwise.

    The area between an edge and the parallel of the first corner is the integral over longitude of the zone's area for
    each radian, a^2 q / 2 with q the authalic function of Snyder (1987), Map Projections: A Working Manual, USGS
    Professional Paper 1395, eq. 3-12. Along an edge latitude is linear in longitude; three Gauss points integrate it.
    """
    base = zone_area_m2(ring[0][1])
    area = 0.0
    for (lon1, lat1), (lon2, lat2) in pairwise(ring):
        middle, half = (lat1 + lat2) / 2.0, (lat2 - lat1) / 2.0
        height = sum(weight * (zone_area_m2(middle + half * node) - base) for node, weight in _GAUSS3)
        area -= math.radians(lon2 - lon1) * height
    return area


def zone_area_m2(latitude_deg: float) -> float:
    """Ground area from the equator to a parallel for each radian of longitude (Snyder 1987 eq. 3-12, times a^2 / 2)."""
    sine = math.sin(math.radians(latitude_deg))
    e_sine = _ECCENTRICITY * sine
    q = (1.0 - ECCENTRICITY2) * (sine / (1.0 - e_sine**2) + math.atanh(e_sine) / _ECCENTRICITY)
    return SEMI_MAJOR_M**2 * q / 2.0


def radii_m(latitude_deg: float) -> tuple[float, float]:
    """Radii of curvature along the meridian (M) and across it (N) (Snyder 1987 eqs. 4-18 and 4-20)."""
    root = 1.0 - ECCENTRICITY2 * math.sin(math.radians(latitude_deg)) ** 2
    return SEMI_MAJOR_M * (1.0 - ECCENTRICITY2) / root**1.5, SEMI_MAJOR_M / math.sqrt(root)


def line_length_m(line: Sequence[Position]) -> float:
    """Length on the ground of a line of (longitude_deg, latitude_deg), good to 1e-6 for edges under 1 km."""
    total = 0.0
    for (lon1, lat1), (lon2, lat2) in pairwise(line):
        middle = (lat1 + lat2) / 2.0
        meridian, across = radii_m(middle)
        east = across * math.cos(math.radians(middle)) * math.radians(lon2 - lon1)
        total += math.hypot(east, meridian * math.radians(lat2 - lat1))
    return total


def local_plane(ring: Sequence[Position], origin: Position) -> list[tuple[float, float]]:
    """Corners in metres east and north of `origin`, in a plane that keeps areas.

    Cylindrical equal-area projection of the ellipsoid with its true-scale parallel through the origin (Snyder 1987
    eqs. 10-13 to 10-16). Distances are true to 1e-3 within 5 km of the origin's parallel at 55 degrees.
    """
    lon0, lat0 = origin
    _, across = radii_m(lat0)
    scale = across * math.cos(math.radians(lat0))
    base = zone_area_m2(lat0)
    return [(scale * math.radians(lon - lon0), (zone_area_m2(lat) - base) / scale) for lon, lat in ring]
