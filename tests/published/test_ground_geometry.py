"""Geometry and water of the ground: exact cases and one published rule."""

from __future__ import annotations

import math

import pytest

from yardland.land.areas import slope_area_m2, slope_deg_from_percent, slope_length_m
from yardland.land.edges import shared_edges
from yardland.land.shade import OBLIQUITY_DEG, noon_altitude_deg, shadow_length_m
from yardland.land.water import roof_water_m3

M3_PER_US_GALLON = 0.003785411784
M2_PER_SQUARE_FOOT = 0.09290304
MM_PER_INCH = 25.4


@pytest.mark.parametrize(
    ("latitude_deg", "winter", "equinox", "summer"), [(45, 25.31, 10.0, 3.95), (52, 38.5, 12.8, 5.44)]
)
def test_noon_shadows(latitude_deg, winter, equinox, summer):
    """A 10 m tree throws shadows of h / tan(altitude) at noon of the solstices and equinox (geometry; published as exact)."""
    for declination, length in ((-OBLIQUITY_DEG, winter), (0.0, equinox), (OBLIQUITY_DEG, summer)):
        assert shadow_length_m(10, noon_altitude_deg(latitude_deg, declination)) == pytest.approx(length, abs=0.05)


def test_no_shadow_in_the_polar_night():
    """At 70 N on midwinter noon the sun stands 3.44 degrees under the horizon and there is no shadow (geometry; exact)."""
    altitude = noon_altitude_deg(70, -OBLIQUITY_DEG)
    assert altitude == pytest.approx(-3.44, abs=0.005)
    assert shadow_length_m(10, altitude) is None


def test_slope_area():
    """A hectare of plan on a 30 % slope has 10,440 m2 of surface, 100 m down it 104.40 m of fence (geometry; exact)."""
    slope = slope_deg_from_percent(30)
    assert slope_area_m2(10_000, slope) == pytest.approx(10_440, abs=0.5)
    assert slope_length_m(100, slope) == pytest.approx(104.40, abs=0.005)


def test_roof_water_us_rule():
    """2000 square feet give 1120 gallons an inch at 90 %, 28,000 in 25 inches (a greywater advice page; published, 0.56 gal rounded)."""
    per_inch = roof_water_m3(MM_PER_INCH, 2000 * M2_PER_SQUARE_FOOT, 0.9) / M3_PER_US_GALLON
    assert per_inch == pytest.approx(1120, rel=0.005)
    assert 25 * per_inch == pytest.approx(28_000, rel=0.005)


def test_roof_water_metric():
    """120 m2 of roof give 65.28 m3 of 640 mm at 0.85 (1 mm on 1 m2 is 1 l; exact)."""
    assert roof_water_m3(640, 120, 0.85) == pytest.approx(65.280, abs=1e-9)


@pytest.mark.parametrize(
    ("ring", "perimeter_m"),
    [
        ([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)], 400),
        ([(0, 0), (200, 0), (200, 50), (0, 50), (0, 0)], 500),
        ([(0, 0), (400, 0), (400, 25), (0, 25), (0, 0)], 850),
    ],
)
def test_perimeters_of_a_hectare(ring, perimeter_m):
    """The fence round a hectare is 400 m as a square, 500 and 850 m as ever longer strips (geometry; exact)."""
    edges = shared_edges({"plot": [ring]})
    assert sum(edge.length_m for edge in edges) == pytest.approx(perimeter_m, abs=1e-9)


def test_a_circle_is_the_shortest_fence():
    """A hectare as a circle (of 720 corners) has 354.5 m round it (geometry; exact)."""
    radius = math.sqrt(10_000 / math.pi)
    corners = [(radius * math.cos(math.radians(a / 2)), radius * math.sin(math.radians(a / 2))) for a in range(720)]
    edges = shared_edges({"plot": [[*corners, corners[0]]]})
    assert sum(edge.length_m for edge in edges) == pytest.approx(354.5, abs=0.1)
