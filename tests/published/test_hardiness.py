"""Hardiness zones against the map's definition."""

from __future__ import annotations

import pytest

from tests.outside import Outside
from yardland.weather.hardiness import hardiness_zone

ZONES = {-17.0: "7a", -11.5: "8a", -6.0: "9a", -1.0: "10a", -28.0: "5a", -30.0: "4b", 5.0: "11a"}


@pytest.mark.parametrize("lowest_c", list(ZONES))
def test_zone_of_a_mean_lowest_temperature(lowest_c: float, outside: Outside) -> None:
    """Mean yearly lowest temperatures fall into the zones of the map."""
    outside.check_same(
        "K81",
        f"hardiness zone at {lowest_c:g} C",
        "USDA plant hardiness map: zones of 10 F from -60 F",
        "published",
        ZONES[lowest_c],
        hardiness_zone(lowest_c),
    )
