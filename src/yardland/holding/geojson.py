"""land.geojson (RFC 7946): outlines by the ids of holding.toml. Only `id` and `kind` of a feature have a meaning."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from typing import Any

from yardland.errors import Fault
from yardland.holding.folder import OUTLINES
from yardland.holding.misfit import Misfit, nearest, shown
from yardland.holding.outline import Outline, Position, Ring, local_plane, ring_area_m2

KINDS = ("boundary", "plot", "fence", "trees", "building", "water")
POLYGON_KINDS = ("boundary", "plot")
GEOMETRIES = ("Polygon", "MultiPolygon", "LineString", "MultiLineString", "Point", "MultiPoint")
DEPTHS = {"Point": 0, "MultiPoint": 1, "LineString": 1, "MultiLineString": 2, "Polygon": 2, "MultiPolygon": 3}
MOST_FEATURES = 2_000
MOST_CORNERS = 5_000
SMALLEST_AREA_M2 = 0.01
EXPORT = "Correct it, or export the file again."


def parse_outlines(text: str) -> tuple[dict[str, Outline], set[str], list[Fault]]:
    """Outlines from the text of land.geojson.

    Returns:
        The sound outlines by id; every id that the file names, sound or not; and the faults.
    """
    try:
        document = json.loads(text, object_pairs_hook=_no_twice, parse_constant=_no_constant)
    except Misfit as misfit:
        return {}, set(), [Fault(OUTLINES, "the file", misfit.found, misfit.expected, misfit.remedy)]
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        return (
            {},
            set(),
            [_fault(where, f"a text that cannot be read ({error.msg.lower()})", "GeoJSON", EXPORT)],
        )
    except (RecursionError, ValueError):
        found = "lists nested too deep, or a number too long"
        return {}, set(), [Fault(OUTLINES, "the file", found, "GeoJSON", "Export the file again.")]
    features, faults = _features(document)
    outlines: dict[str, Outline] = {}
    named: set[str] = set()
    for index, feature in enumerate(features, start=1):
        outline, feature_faults = _outline(feature, index)
        faults += feature_faults
        name = _identifier(feature)
        if name in named:
            remedy = "Give one of the two another id, or take it out."
            where = f'feature {index} "{name}"'
            faults.append(_fault(where, "an id that an earlier feature has", "ids that differ", remedy))
        elif outline is not None:
            outlines[outline.id] = outline
        named |= {name} - {""}
    return outlines, named, faults


def _no_twice(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """An object whose keys all differ."""
    found: dict[str, object] = {}
    for key, value in pairs:
        if key in found:
            raise Misfit("each key once in an object", "Take one out.", f"the key {shown(key)} twice in one object")
        found[key] = value
    return found


def _no_constant(name: str) -> float:
    """NaN and Infinity, which JSON does not have."""
    raise Misfit("finite numbers", "Correct the coordinate, or export the file again.", f"the number {name}")


def _fault(where: str, found: str, expected: str, remedy: str = "Correct it, or draw it again.") -> Fault:
    return Fault(OUTLINES, where, found, expected, remedy)


def _features(document: object) -> tuple[list[dict[str, Any]], list[Fault]]:
    """The features of a collection, and what is wrong with the collection itself."""
    kind = document.get("type") if isinstance(document, dict) else None
    if not isinstance(document, dict) or kind != "FeatureCollection" or not isinstance(document.get("features"), list):
        found = f"type {shown(kind)}" if isinstance(document, dict) else shown(document)
        return [], [_fault("type", found, 'a "FeatureCollection" with "features"', "Export the layer as GeoJSON.")]
    faults = []
    reference = str(document.get("crs", ""))
    if document.get("crs") and "CRS84" not in reference and "4326" not in reference:
        remedy = "Export it in longitude and latitude (WGS 84)."
        faults.append(_fault("crs", "another reference system", "longitude and latitude in degrees", remedy))
    features: list[object] = document["features"]
    if len(features) > MOST_FEATURES:
        faults.append(
            _fault("features", f"{len(features)} features", f"at most {MOST_FEATURES}", "Keep the holding's own.")
        )
        return [], faults
    sound = [feature for feature in features if isinstance(feature, dict) and feature.get("type") == "Feature"]
    faults += [
        _fault(f"feature {index}", shown(feature), 'an object of type "Feature"')
        for index, feature in enumerate(features, start=1)
        if not any(feature is kept for kept in sound)
    ]
    return sound, faults


def _properties(feature: dict[str, Any]) -> dict[str, Any]:
    properties = feature.get("properties")
    return properties if isinstance(properties, dict) else {}


def _identifier(feature: dict[str, Any]) -> str:
    """The id of a feature: of its properties, else its own."""
    value = _properties(feature).get("id", feature.get("id"))
    return value.strip() if isinstance(value, str) else ""


def _outline(feature: dict[str, Any], index: int) -> tuple[Outline | None, list[Fault]]:
    """One feature as an outline, or what is wrong with it."""
    name = _identifier(feature)
    where = f'feature {index} "{name}"' if name else f"feature {index}"
    faults = (
        [] if name else [_fault(where, "no id", 'text in properties "id"', "Give it the id it has in holding.toml.")]
    )
    kind = _properties(feature).get("kind", "plot")
    if kind not in KINDS:
        remedy = nearest(str(kind), KINDS) or "Use one of these kinds."
        faults.append(_fault(f"{where}, kind", shown(kind), "one of " + ", ".join(KINDS), remedy))
    geometry = feature.get("geometry")
    shape = geometry.get("type") if isinstance(geometry, dict) else None
    if not isinstance(geometry, dict) or shape not in GEOMETRIES:
        return None, [*faults, _fault(f"{where}, geometry", shown(shape), "one of " + ", ".join(GEOMETRIES))]
    if kind in POLYGON_KINDS and shape not in {"Polygon", "MultiPolygon"}:
        faults.append(_fault(f"{where}, geometry", str(shape), f"a Polygon for a {kind}", "Draw it as a closed area."))
    coordinates = geometry.get("coordinates")
    found = _coordinate_fault(coordinates, DEPTHS[str(shape)])
    if found:
        return None, [*faults, _fault(f"{where}, coordinates", found, f"the positions of a {shape} in degrees")]
    polygons = _polygons(str(shape), coordinates)
    faults += [fault for polygon in polygons for fault in _polygon_faults(polygon, where)]
    if faults:
        return None, faults
    return Outline(name, str(kind), geometry, polygons, _first_position(coordinates)), []


def _coordinate_fault(value: object, depth: int) -> str:
    """What is wrong with nested coordinates of that depth, or ""."""
    if depth == 0:
        return _position_fault(value)
    if not isinstance(value, list) or not value:
        return "no list of positions"
    if len(value) > MOST_CORNERS:
        return f"{len(value)} positions in one list, over {MOST_CORNERS}"
    return next((fault for inner in value if (fault := _coordinate_fault(inner, depth - 1))), "")


def _position_fault(value: object) -> str:
    """What is wrong with a position (longitude, latitude[, height]), or ""."""
    if not isinstance(value, list) or len(value) < 2:
        return f"{shown(value)} where a position should be"
    if not all(isinstance(number, int | float) and not isinstance(number, bool) for number in value[:2]):
        return "a coordinate that is no number"
    longitude, latitude = value[:2]
    if not (-180 <= longitude <= 180 and -90 <= latitude <= 90):
        return f"longitude {shown(longitude)}, latitude {shown(latitude)}"
    return ""


def _polygons(shape: str, coordinates: Any) -> tuple[tuple[Ring, ...], ...]:  # noqa: ANN401 - checked just before
    """The polygons of a geometry: none for points and lines."""
    if shape not in {"Polygon", "MultiPolygon"}:
        return ()
    return tuple(_rings(polygon) for polygon in ([coordinates] if shape == "Polygon" else coordinates))


def _rings(polygon: Iterable[Iterable[list[float]]]) -> tuple[Ring, ...]:
    return tuple(tuple((float(position[0]), float(position[1])) for position in ring) for ring in polygon)


def _first_position(coordinates: Any) -> Position:  # noqa: ANN401 - checked just before
    """The first position of nested coordinates."""
    while isinstance(coordinates[0], list):
        coordinates = coordinates[0]
    return (float(coordinates[0]), float(coordinates[1]))


def _polygon_faults(polygon: tuple[Ring, ...], where: str) -> list[Fault]:
    """Rings that are not closed, too short or crossed, and polygons without area."""
    for number, ring in enumerate(polygon, start=1):
        place = f"{where}, ring {number}"
        if ring[0] != ring[-1]:
            remedy = "Repeat the first position at the end of the ring."
            return [_fault(place, "a ring that is not closed", "its first position again as its last", remedy)]
        if len(ring) < 4:
            return [_fault(place, f"a ring of {len(ring)} positions", "at least 4, the last like the first")]
    if (crossing := _crossing(polygon)) is not None:
        return [
            _fault(
                where, f"an outline that crosses itself at {crossing}", "a simple outline", "Put the corners in order."
            )
        ]
    if abs(ring_area_m2(polygon[0])) < SMALLEST_AREA_M2:
        return [_fault(where, "an outline without area", "an area above zero", "Draw its corners in order.")]
    return []


def _crossing(polygon: tuple[Ring, ...]) -> str | None:
    """Where a polygon crosses itself (longitude, latitude), or None.

    A polygon that folds onto a line is left to the check of its area.
    """
    from shapely import Polygon
    from shapely.validation import explain_validity

    origin = polygon[0][0]
    outer, *holes = (local_plane(ring, origin) for ring in polygon)
    reason = explain_validity(Polygon(outer, holes))
    if reason == "Valid Geometry" or (abs(ring_area_m2(polygon[0])) < SMALLEST_AREA_M2 and _flat(outer)):
        return None
    return _place_of(reason, origin)


def _flat(ring: list[tuple[float, float]]) -> bool:
    """Whether all corners of a ring lie on one line (a bow tie, whose lobes cancel, does not)."""
    (x0, y0), far = ring[0], max(ring, key=lambda corner: math.dist(ring[0], corner))
    length = math.dist((x0, y0), far) or 1.0
    return all(abs((x - x0) * (far[1] - y0) - (y - y0) * (far[0] - x0)) / length < 1e-3 for x, y in ring)


def _place_of(reason: str, origin: Position) -> str:
    """The place in shapely's words ("Self-intersection[12.5 7.25]") as metres from the first corner."""
    numbers = reason.partition("[")[2].rstrip("]").split()
    east, north = (float(number) for number in numbers[:2])
    return f"{east:.1f} m east and {north:.1f} m north of its first corner ({origin[0]:.6f}, {origin[1]:.6f})"
