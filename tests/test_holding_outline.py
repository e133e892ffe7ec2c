"""Areas and lengths on the ellipsoid: laws that hold at any place and size."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.holding.outline import line_length_m, local_plane, polygon_area_m2, radii_m, ring_area_m2

latitudes = st.floats(-65.0, 65.0)
longitudes = st.floats(-179.0, 179.0)
extents = st.floats(2e-5, 5e-3)
corners = st.integers(3, 12)


def rectangle(lon, lat, width, height):
    """A closed ring along meridians and parallels, anticlockwise."""
    return [(lon, lat), (lon + width, lat), (lon + width, lat + height), (lon, lat + height), (lon, lat)]


def regular(lon, lat, radius_deg, count, turn=0.0):
    """A closed ring of `count` corners about a point."""
    steps = [2 * math.pi * step / count + turn for step in range(count)]
    ring = [(lon + radius_deg * math.cos(angle), lat + radius_deg * math.sin(angle)) for angle in steps]
    return [*ring, ring[0]]


def planar_area(corners_m):
    """The shoelace formula, in the plane."""
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise(corners_m)) / 2


@given(longitudes, latitudes, extents, extents)
def test_a_rectangle_agrees_with_the_radii_of_curvature(lon, lat, width, height):
    """A small rectangle is M N cos(latitude) per square radian, an independent formula, to one part in a million."""
    meridian, across = radii_m(lat + height / 2)
    flat = meridian * across * math.cos(math.radians(lat + height / 2)) * math.radians(width) * math.radians(height)
    assert ring_area_m2(rectangle(lon, lat, width, height)) == pytest.approx(flat, rel=1e-6)


@given(longitudes, latitudes, extents, corners, st.floats(0, 6))
def test_the_local_plane_keeps_areas(lon, lat, radius, count, turn):
    """A polygon has the same area in the local plane as on the ground (its edges, straight in degrees, bend a little)."""
    ring = regular(lon, lat, radius, count, turn)
    assert planar_area(local_plane(ring, ring[0])) == pytest.approx(ring_area_m2(ring), rel=2e-5)


@given(longitudes, latitudes, extents, corners)
def test_a_ring_run_backwards_has_the_opposite_sign(lon, lat, radius, count):
    """Direction gives the sign; a polygon's area has none."""
    ring = regular(lon, lat, radius, count)
    assert ring_area_m2(ring[::-1]) == pytest.approx(-ring_area_m2(ring))
    assert polygon_area_m2([ring[::-1]]) == pytest.approx(polygon_area_m2([ring]))


@given(longitudes, latitudes, extents, extents, st.floats(0.1, 0.9))
def test_parts_add_up_to_the_whole(lon, lat, width, height, cut):
    """A rectangle cut in two by a meridian is as large as its parts; a hole is taken off."""
    whole = ring_area_m2(rectangle(lon, lat, width, height))
    left = ring_area_m2(rectangle(lon, lat, width * cut, height))
    right = ring_area_m2(rectangle(lon + width * cut, lat, width * (1 - cut), height))
    assert left + right == pytest.approx(whole, rel=1e-6)
    assert polygon_area_m2(
        [rectangle(lon, lat, width, height), rectangle(lon, lat, width * cut, height)]
    ) == pytest.approx(right, rel=1e-5)


@given(longitudes, st.floats(5.0, 60.0), extents)
def test_a_degree_of_longitude_shrinks_toward_the_pole(lon, lat, width):
    """The same degrees of longitude are shorter farther from the equator, and the same on either side of it."""
    near = line_length_m([(lon, lat), (lon + width, lat)])
    far = line_length_m([(lon, lat + 3), (lon + width, lat + 3)])
    south = line_length_m([(lon, -lat), (lon + width, -lat)])
    assert far < near
    assert south == pytest.approx(near)


@given(longitudes, latitudes, extents, corners)
def test_a_polygon_holds_less_than_a_circle_of_its_perimeter(lon, lat, radius, count):
    """The isoperimetric law binds area and length together."""
    ring = regular(lon, lat, radius, count)
    assert 4 * math.pi * abs(ring_area_m2(ring)) <= line_length_m(ring) ** 2 * 1.0001
