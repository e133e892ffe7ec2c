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
    ("key", "latitude_deg", "lengths"), [("G33", 45, (25.31, 10, 3.95)), ("G35", 52, (38.5, 12.8, 5.44))]
)
def test_noon_shadows(outside, key, latitude_deg, lengths):
    """A 10 m tree throws shadows of h / tan(altitude) at noon of the solstices and equinox (geometry; exact)."""
    declinations = (-OBLIQUITY_DEG, 0.0, OBLIQUITY_DEG)
    got = [shadow_length_m(10, noon_altitude_deg(latitude_deg, declination)) for declination in declinations]
    what = f"noon shadow of a 10 m tree at {latitude_deg} N, winter, equinox, summer, m"
    outside.check_close(key, what, "h / tan(altitude)", "identity", lengths, got, 0.05)


def test_no_shadow_in_the_polar_night(outside):
    """At 70 N on midwinter noon the sun stands 3.44 degrees under the horizon and there is no shadow (geometry; exact)."""
    altitude = noon_altitude_deg(70, -OBLIQUITY_DEG)
    outside.check_close("G36", "noon sun of midwinter at 70 N, degrees", "geometry", "identity", -3.44, altitude, 0.005)
    outside.check_same("G36", "its shadow of a 10 m tree", "geometry", "identity", None, shadow_length_m(10, altitude))


def test_slope_area(outside):
    """A hectare of plan on a 30 % slope has 10,440 m2 of surface, 100 m down it 104.40 m of fence (geometry; exact)."""
    slope = slope_deg_from_percent(30)
    got = slope_area_m2(10_000, slope)
    outside.check_close("G90", "surface of a hectare on a slope of 30 %, m2", "geometry", "identity", 10_440, got, 0.5)
    got = slope_length_m(100, slope)
    outside.check_close("G90", "fence down it, 100 m in plan, m", "geometry", "identity", 104.40, got, 0.005)


def test_roof_water_us_rule(outside):
    """2000 square feet give 1120 gallons an inch at 90 %, 28,000 in 25 inches (a greywater advice page; published, 0.56 gal rounded)."""
    per_inch = roof_water_m3(MM_PER_INCH, 2000 * M2_PER_SQUARE_FOOT, 0.9) / M3_PER_US_GALLON
    what = "2000 square feet at 90 %: gallons of 1 in, of 25 in"
    got = [per_inch, 25 * per_inch]
    outside.check_close("K61", what, "Greywater Action, 0.56 gal rounded", "published", [1120, 28_000], got, pct=0.5)


def test_roof_water_metric(outside):
    """120 m2 of roof give 65.28 m3 of 640 mm at 0.85 (1 mm on 1 m2 is 1 l; exact)."""
    got = 1000 * roof_water_m3(640, 120, 0.85)
    outside.check_close("K63", "640 mm on 120 m2 at 0.85, l", "1 mm on 1 m2 is 1 l", "identity", 65_280, got, 1e-6)


def test_roof_water_of_a_tile_roof(outside):
    """50 m2 of tiles give 40,000 l of 1,000 mm at 0.8 (published: a question-and-answer sheet on rainwater)."""
    got = 1000 * roof_water_m3(1000, 50, 0.8)
    source = "Practical Action Sri Lanka, rainwater sheet"
    outside.check_close("G53", "1000 mm on 50 m2 of tiles at 0.8, l", source, "published", 40_000, got, 1e-6)


def test_roof_water_by_the_square_foot(outside):
    """An inch on a square foot is 0.62 gallons, on 1000 square feet 620 (Texas Manual on Rainwater Harvesting; factor seen)."""
    got = [roof_water_m3(MM_PER_INCH, feet * M2_PER_SQUARE_FOOT, 1.0) / M3_PER_US_GALLON for feet in (1, 1000)]
    what = "1 in on 1 and on 1000 square feet, gallons"
    outside.check_close(
        "G55", what, "Texas Manual on Rainwater Harvesting 2005", "published", [0.623, 623], got, pct=0.5
    )


SQUARE = [(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)]
STRIP = [(0, 0), (200, 0), (200, 50), (0, 50), (0, 0)]
LONG_STRIP = [(0, 0), (400, 0), (400, 25), (0, 25), (0, 0)]


def round_m(ring):
    """The fence round one plot."""
    return sum(edge.length_m for edge in shared_edges({"plot": [ring]}))


def test_perimeters_of_a_hectare(outside):
    """The fence round a hectare is 400 m as a square, 500 and 850 m as ever longer strips (geometry; exact)."""
    got = [round_m(ring) for ring in (SQUARE, STRIP, LONG_STRIP)]
    what = "round a hectare as a square, 50 x 200 m, 25 x 400 m, m"
    outside.check_close("G88", what, "geometry", "identity", [400, 500, 850], got, 1e-9)


def test_a_circle_is_the_shortest_fence(outside):
    """A hectare as a circle (of 720 corners) has 354.5 m round it (geometry; exact)."""
    radius = math.sqrt(10_000 / math.pi)
    corners = [(radius * math.cos(math.radians(a / 2)), radius * math.sin(math.radians(a / 2))) for a in range(720)]
    outside.check_close(
        "G88", "round a hectare as a circle, m", "geometry", "identity", 354.5, round_m([*corners, corners[0]]), 0.1
    )
