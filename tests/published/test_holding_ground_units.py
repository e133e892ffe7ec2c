"""Units of land and the figure of the Earth against publications. Tolerance: the rounding of the publication."""

import math

import pytest

from yardland.holding.outline import line_length_m, radii_m, zone_area_m2
from yardland.holding.units import parse_quantity, parse_size

SECOND_DEG = 1.0 / 3600.0

DEGREES_OF_LONGITUDE_M = [(0.0, 111_320.0, 5.0), (48.0, 74_630.0, 5.0)]
"""Latitude, a degree of longitude on WGS 84, rounding: drawing 'WGS84 angle to distance conversion', Wikimedia Commons
(published). The text of 'Geographic coordinate system' prints 26.76 m a second at 30 degrees, which fits no ellipsoid."""


@pytest.mark.parametrize(("latitude_deg", "length_m", "rounding"), DEGREES_OF_LONGITUDE_M)
def test_a_degree_of_longitude_shrinks_with_latitude(latitude_deg, length_m, rounding):
    """A line along a parallel has the published length, taken a second at a time."""
    line = [(10.0, latitude_deg), (10.0 + SECOND_DEG, latitude_deg)]
    assert 3600.0 * line_length_m(line) == pytest.approx(length_m, abs=rounding)


def test_a_second_of_latitude_at_the_equator():
    """A line of one second along the meridian at the equator is 30.715 m ('Geographic coordinate system', Wikipedia; published)."""
    assert line_length_m([(0.0, 0.0), (0.0, SECOND_DEG)]) == pytest.approx(30.715, abs=0.0005)


@pytest.mark.parametrize("latitude_deg", [0.0, 15.0, 35.0, 54.4, 66.0])
def test_a_degree_of_latitude_follows_the_published_series(latitude_deg):
    """A degree of latitude is 111132.92 - 559.82 cos 2p + 1.175 cos 4p - 0.0023 cos 6p m (same source; published).

    The series is printed to 0.01 m and cut after the third term: it holds to 0.06 m.
    """
    p = math.radians(latitude_deg)
    series = 111132.92 - 559.82 * math.cos(2 * p) + 1.175 * math.cos(4 * p) - 0.0023 * math.cos(6 * p)
    meridian, _ = radii_m(latitude_deg)
    assert meridian * math.radians(1.0) == pytest.approx(series, abs=0.06)


def test_the_whole_earth_has_the_area_of_its_authalic_sphere():
    """The zones add up to a sphere of 6371007.1809 m (NIMA TR8350.2, derived constants; from memory)."""
    assert 4.0 * math.pi * zone_area_m2(90.0) == pytest.approx(4.0 * math.pi * 6371007.1809**2, rel=2e-11)


@pytest.mark.parametrize(
    ("text", "area_m2", "rounding"),
    [
        ("1 ha", 10_000.0, 0.0),  # definition of the hectare
        ("2.471 acre", 10_000.0, 2.1),  # 1 ha = 2.471 acre (published, rounded to 0.0005 acre)
        ("1 acre", 43_560 * 0.09290304, 1e-9),  # 43560 square feet (NIST Handbook 44 Appendix C, published)
        (
            "1 acre",
            4046.873,
            0.02,
        ),  # conversion table that uses the survey foot (1728.org, published): 2 parts in a million
        ("1 ft2", 0.09290304, 1e-12),  # same table
        ("100 ft x 435.6 ft", 4046.8564224, 1e-6),  # an acre as a strip (common practice)
    ],
)
def test_land_measures(text, area_m2, rounding):
    """Sizes in trade units come to their published area."""
    assert parse_size(text).area_m2 == pytest.approx(area_m2, abs=rounding)


@pytest.mark.parametrize(
    ("text", "dimension", "value", "rounding"),
    [
        ("1 ft", "length", 0.3048, 0.0),  # 1728.org table (published)
        ("1 ft3", "volume", 0.02831685, 5e-9),  # same
        ("1 US gallon", "volume", 0.003785412, 5e-10),  # same
        ("1 imperial gallon", "volume", 0.00454609, 0.0),  # gallonstoliters.com, exact by law (published)
        ("1 lb", "mass", 0.4535924, 5e-8),  # 1728.org table (published)
    ],
)
def test_measures_of_length_volume_and_mass(text, dimension, value, rounding):
    """Quantities in trade units come to their published SI value."""
    assert parse_quantity(text, dimension) == pytest.approx(value, abs=rounding)
