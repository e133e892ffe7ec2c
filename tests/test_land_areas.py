"""Ground: areas on the ellipsoid, shared edges, fences and the shapes of the plan."""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.holding.model import Fence, Holding, MonthDay, Person, Place, Plot, Water, WaterSource
from yardland.holding.read import read_holding
from yardland.land.areas import (
    fence_runs,
    plot_edges,
    plot_grounds,
    rectangle_perimeter_m,
    slope_area_m2,
)
from yardland.land.edges import shared_edges
from yardland.land.plan import centroid, extent_m, plan_shapes
from yardland.land.water import roof_water_m3

EXAMPLES = Path(__file__).parents[1] / "examples"
EQUATORIAL_M, POLAR_M = 6_378_137.0, 6_356_752.314245
"""Semi-axes of the WGS 84 ellipsoid."""


def ring_at(latitude, longitude, corners_m):
    """A closed ring of (longitude, latitude) from metres east and north of a place, on the ellipsoid's radii there."""
    e2 = 1 - (POLAR_M / EQUATORIAL_M) ** 2
    root = 1 - e2 * math.sin(math.radians(latitude)) ** 2
    north_m = EQUATORIAL_M * (1 - e2) / root**1.5
    east_m = EQUATORIAL_M / math.sqrt(root) * math.cos(math.radians(latitude))
    ring = [(longitude + math.degrees(x / east_m), latitude + math.degrees(y / north_m)) for x, y in corners_m]
    return [*ring, ring[0]]


def tangent_area_m2(ring):
    """Area by another way: earth-centred coordinates, laid flat on the tangent plane of the first corner."""
    points = np.array([cartesian(lon, lat) for lon, lat in ring])
    lon, lat = (math.radians(angle) for angle in ring[0])
    east = np.array([-math.sin(lon), math.cos(lon), 0])
    north = np.array([-math.sin(lat) * math.cos(lon), -math.sin(lat) * math.sin(lon), math.cos(lat)])
    x, y = (points - points[0]) @ east, (points - points[0]) @ north
    return abs(float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum())) / 2


def cartesian(lon_deg, lat_deg):
    """Earth-centred x, y, z of a place on the WGS 84 ellipsoid."""
    lon, lat = math.radians(lon_deg), math.radians(lat_deg)
    e2 = 1 - (POLAR_M / EQUATORIAL_M) ** 2
    across = EQUATORIAL_M / math.sqrt(1 - e2 * math.sin(lat) ** 2)
    return (
        across * math.cos(lat) * math.cos(lon),
        across * math.cos(lat) * math.sin(lon),
        across * (1 - e2) * math.sin(lat),
    )


def polygon(ring):
    """A GeoJSON polygon."""
    return {"type": "Polygon", "coordinates": [[list(position) for position in ring]]}


def holding(rings, fences=None, typed=None, water=None, more=None):
    """A holding of outlined plots, typed plots and fences."""
    plots = dict.fromkeys(rings, 1.0) | (typed or {})
    return Holding(
        folder=Path(),
        place=Place(
            name="Test",
            latitude_deg=50,
            longitude_deg=3,
            altitude_m=10,
            country="BE",
            year_starts=MonthDay(10, 1),
        ),
        people={"one": Person(born=date(1990, 1, 1), sex="f", weight_kg=60)},
        plot={name: Plot(use="crops", area_m2=area) for name, area in plots.items()},
        fence={name: Fence(kind=kind, around=tuple(around)) for name, (kind, around) in (fences or {}).items()},
        water=Water(source=water or {}),
        outlines={name: polygon(ring) for name, ring in rings.items()} | (more or {}),
    )


def square(x, y, width, height, latitude=50.0):
    """A rectangle of metres as a ring in degrees near 3 E."""
    return ring_at(latitude, 3.0, [(x, y), (x + width, y), (x + width, y + height), (x, y + height)])


@given(
    st.floats(-65, 65),
    st.floats(-179, 179),
    st.floats(5, 800),
    st.floats(5, 800),
    st.floats(0, 360),
)
def test_area_agrees_with_the_tangent_plane(latitude, longitude, width, height, turn):
    """The area of any turned rectangle agrees within 0.01 % with an independent formula, anywhere."""
    angle = math.radians(turn)
    corners = [
        (x * math.cos(angle) - y * math.sin(angle), x * math.sin(angle) + y * math.cos(angle))
        for x, y in ((0, 0), (width, 0), (width, height), (0, height))
    ]
    ring = ring_at(latitude, longitude, corners)
    (ground,) = plot_grounds(holding({"field": ring}))
    assert ground.area_m2 == pytest.approx(tangent_area_m2(ring), rel=1e-4)
    assert ground.area_m2 == pytest.approx(width * height, rel=1e-3)
    assert ground.perimeter_m == pytest.approx(2 * (width + height), rel=1e-3)


def test_a_degree_is_not_a_metre():
    """The same square of degrees holds half as much ground at 60 degrees as on the equator."""

    def square_degrees(latitude):
        return [(3, latitude), (3.001, latitude), (3.001, latitude + 0.001), (3, latitude + 0.001), (3, latitude)]

    low, high = (plot_grounds(holding({"a": square_degrees(latitude)}))[0].area_m2 for latitude in (0.0, 60.0))
    assert high / low == pytest.approx(0.5, rel=0.02)


@given(st.floats(1.1, 9))
def test_area_grows_with_the_square_of_the_sides(factor):
    """Sides k times as long give k squared times the area and k times the perimeter."""
    small, large = (plot_grounds(holding({"a": square(0, 0, 30 * k, 20 * k)}))[0] for k in (1.0, factor))
    assert large.area_m2 / small.area_m2 == pytest.approx(factor**2, rel=1e-3)
    assert large.perimeter_m / small.perimeter_m == pytest.approx(factor, rel=1e-3)


def test_holes_are_taken_off():
    """A pond cut out of a field is not field, and its rim counts in the perimeter."""
    outer, inner = square(0, 0, 100, 100), square(40, 40, 20, 20)
    shape = {"type": "Polygon", "coordinates": [[list(p) for p in outer], [list(p) for p in inner]]}
    (ground,) = plot_grounds(holding({"field": outer}, more={"field": shape}))
    assert ground.area_m2 == pytest.approx(9_600, rel=1e-3)
    assert ground.perimeter_m == pytest.approx(480, rel=1e-3)


@given(st.floats(10, 200), st.floats(10, 200), st.floats(-0.04, 0.04))
def test_neighbours_share_their_edge_once(width, height, wobble):
    """Two plots side by side, drawn up to 4 cm apart, have one common edge with both as owners."""
    left = [(0, 0), (width, 0), (width, height), (0, height), (0, 0)]
    right = [(width + wobble, 0), (2 * width, 0), (2 * width, height), (width + wobble, height), (width + wobble, 0)]
    edges = shared_edges({"left": [left], "right": [right]})
    common = [edge for edge in edges if len(edge.owners) == 2]
    assert [edge.length_m for edge in common] == pytest.approx([height], abs=0.1)
    assert sum(edge.length_m for edge in edges) == pytest.approx(4 * width + 3 * height, abs=0.3)


def test_a_long_edge_is_split_at_a_neighbours_corner():
    """A plot along two others shares an edge with each, whatever the direction of drawing."""
    long = [(0, 0), (100, 0), (100, 50), (0, 50), (0, 0)]
    first = [(0, 50), (40, 50), (40, 90), (0, 90), (0, 50)]
    second = [(100, 50), (40, 50), (40, 90), (100, 90), (100, 50)]
    edges = shared_edges({"long": [long], "first": [first], "second": [second]})
    shared = {frozenset(edge.owners): edge.length_m for edge in edges if len(edge.owners) == 2}
    assert shared == {
        frozenset({"long", "first"}): pytest.approx(40),
        frozenset({"long", "second"}): pytest.approx(60),
        frozenset({"first", "second"}): pytest.approx(40),
    }


def test_plots_a_step_apart_share_nothing():
    """A gap of 10 cm is a gap."""
    left, right = ([(x, 0), (x + 10, 0), (x + 10, 10), (x, 10), (x, 0)] for x in (0, 10.1))
    assert all(len(edge.owners) == 1 for edge in shared_edges({"left": [left], "right": [right]}))


def test_fences_count_shared_edges_once_for_each_kind():
    """Two fences of one kind round neighbours have the common edge once; another kind has its own length."""
    rings = {"a": square(0, 0, 50, 40), "b": square(50, 0, 50, 40)}
    fences = {"first": ("woven wire", ["a"]), "second": ("woven wire", ["b"]), "net": ("electric netting", ["a", "b"])}
    plan = holding(rings, fences)
    assert [run.length_m for run in fence_runs(plan)] == pytest.approx([180, 140, 320], rel=1e-3)
    assert not any(run.schematic for run in fence_runs(plan))


def test_a_drawn_fence_has_its_own_length_and_a_typed_plot_a_guess():
    """A fence drawn as a line is as long as the line; round a plot without an outline its length is marked as a guess."""
    line = {"type": "LineString", "coordinates": [list(p) for p in square(0, 0, 70, 30)[:2]]}
    plan = holding({}, {"march": ("woven wire", ["a"]), "net": ("netting", ["a"])}, {"a": 600.0}, more={"march": line})
    march, net = fence_runs(plan)
    assert (march.length_m, march.schematic) == (pytest.approx(70, rel=1e-3), False)
    assert (net.length_m, net.schematic) == (pytest.approx(rectangle_perimeter_m(600)), True)


@given(st.floats(1, 1e6), st.floats(0, 45))
def test_a_slope_has_more_surface_than_plan(area, slope):
    """Surface over plan is 1 on the level and grows to 1.41 at 45 degrees."""
    assert area <= slope_area_m2(area, slope) <= area * 1.4143


def test_every_plot_is_drawn_once_to_its_size():
    """Outlined plots keep their place; typed ones stand as rectangles of their size beside them, none over another."""
    from shapely import Polygon

    rings = {"a": square(0, 0, 50, 40), "b": square(50, 0, 50, 40)}
    typed = {f"typed{index}": 100.0 * (index + 1) for index in range(7)}
    pond = {"pond": WaterSource(kind="pond", volume_m3=10, fed_by_land_m2=100)}
    point = {"type": "Point", "coordinates": list(square(10, 10, 1, 1)[0])}
    shapes = plan_shapes(holding(rings, typed=typed, water=pond, more={"pond": point}))
    assert {shape.id for shape in shapes} == set(rings) | set(typed) | {"pond"}
    assert len(shapes) == len({shape.id for shape in shapes})
    polygons = {shape.id: Polygon(shape.polygons[0][0]) for shape in shapes if shape.polygons}
    for shape in shapes:
        if shape.polygons:
            assert polygons[shape.id].area == pytest.approx(shape.area_m2, rel=1e-3)
            assert polygons[shape.id].buffer(0.01).contains(Polygon([*[shape.label_xy] * 2, shape.label_xy]).centroid)
        assert shape.schematic == (shape.id in typed)
    names = list(polygons)
    crossing = [(p, q) for p in names for q in names if p < q and polygons[p].intersection(polygons[q]).area > 1]
    assert crossing == []
    assert next(shape for shape in shapes if shape.id == "pond").kind == "water"
    west, south, east, north = extent_m(shapes)
    assert (west, south) == pytest.approx((0, 0), abs=1e-6)
    assert east > 100
    assert north >= 40


def test_nothing_to_draw_has_no_extent():
    """No shapes have an extent of zero."""
    assert extent_m([]) == (0.0, 0.0, 0.0, 0.0)


def test_the_centre_of_a_triangle_is_its_centre_of_area():
    """A triangle's label stands at the mean of its corners; a line's at its middle."""
    assert centroid(((0, 0), (6, 0), (0, 3), (0, 0))) == pytest.approx((2, 1))
    assert centroid(((0, 0), (4, 0), (0, 0))) == pytest.approx((4 / 3, 0))


@pytest.mark.parametrize("name", ["tarn-hollow", "casa-vereda"])
def test_the_demonstration_ground_agrees_with_its_plan(name):
    """Areas of the land room are the plan's; no edge belongs to more than two plots."""
    plan = read_holding(EXAMPLES / name)
    for ground in plot_grounds(plan):
        assert ground.area_m2 == pytest.approx(plan.plot[ground.plot].area_m2, rel=1e-3)
        assert ground.schematic == (plan.plot[ground.plot].area_from == "size")
    assert all(1 <= len(edge.owners) <= 2 for edge in plot_edges(plan))
    assert {shape.id for shape in plan_shapes(plan)} >= set(plan.plot)


@given(st.floats(0, 3000), st.floats(0, 1000), st.floats(0, 1))
def test_a_roof_gives_no_more_than_falls_on_it(rain, roof, coefficient):
    """Roof water is at most rain times area and proportional to both."""
    water = roof_water_m3(rain, roof, coefficient)
    assert 0 <= water <= rain * roof / 1000 + 1e-9
    assert roof_water_m3(2 * rain, roof, coefficient) == pytest.approx(2 * water)


def test_a_runoff_coefficient_over_one_is_refused():
    """A roof cannot give more than falls on it."""
    with pytest.raises(ValueError, match="runoff coefficient"):
        roof_water_m3(10, 10, 1.2)
