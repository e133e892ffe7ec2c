"""Degree-days and the growth of crops against published and agreed figures."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.growth.chill import hourly_c
from yardland.growth.heat import (
    daylength_factor,
    degree_days,
    exp_small,
    trailing_mean,
    vernal_weight,
)
from yardland.growth.trees import bloom_kill
from yardland.reference import load_tables


def test_simple_average_degree_days(outside) -> None:
    """83/61 F over base 50 are 22. Source: dairy adviser note. Standing: published."""
    got = float(degree_days(61, 83, 50, 999))
    outside.check_same("K68", "degree-days of 83/61 F over base 50 F", "dairy adviser's note", "published", 22.0, got)


def test_degree_days_stop_at_the_plateau_and_at_the_base() -> None:
    """Nothing under the base, no more than plateau less base. Definition."""
    assert float(degree_days(-5, 3, 4, 25)) == 0
    assert float(degree_days(25, 40, 4, 25)) == 21


def test_vernal_days_by_temperature(outside) -> None:
    """A whole day at 3-10 C, none at -4 and 17 C. Source: after Weir et al. 1984. Standing: from memory."""
    got = vernal_weight(np.array([-4.0, -0.5, 3, 6, 10, 13.5, 17, 25]))
    what = "vernal days of a day at -4, -0.5, 3, 6, 10, 13.5, 17, 25 C"
    expected = [0, 0.5, 1, 1, 1, 0.5, 0, 0]
    outside.check_close("Weir", what, "after Weir et al. 1984", "from memory", expected, got, 1e-7)


def test_daylength_factor_is_a_ramp(outside) -> None:
    """None at 8 h, full at 18 h. Source: after Weir et al. 1984. Standing: from memory."""
    got = daylength_factor(np.array([6.0, 8, 13, 18, 20]), 8, 18)
    what = "share of full speed at 6, 8, 13, 18, 20 h of light"
    outside.check_close("Weir", what, "after Weir et al. 1984", "from memory", [0, 0, 0.5, 1, 1], got, 1e-7)


@given(st.floats(-30, 30))
def test_own_exponential_is_the_exponential(y: float) -> None:
    """The kernels' exponential is the library's to a part in a hundred million. Identity."""
    assert float(exp_small(y)) == pytest.approx(math.exp(y), rel=2e-8)


def test_trailing_mean_averages_what_there_is() -> None:
    """The first days average the days there are. Definition."""
    np.testing.assert_allclose(trailing_mean(np.array([1.0, 3, 5, 7]), 3), [1, 2, 3, 5])


WSU = "Washington State table, Penn State and Utah State Extension"


def test_apple_blossom_frost(outside) -> None:
    """Full bloom of apple: a tenth killed at -2.2 C, nine tenths at -3.9 C.

    Source: Washington State table as given by Penn State and Utah State Extension. Standing: published.
    """
    apple = load_tables().row("trees", "apple_standard")
    got = bloom_kill(np.array([-2.2, -3.9]), apple.need("bloom_kill10_c"), apple.need("bloom_kill90_c"))
    what = "open apple bloom killed at -2.2 and -3.9 C, share"
    outside.check_close("K76", what, WSU, "published", [0.1, 0.9], got, 1e-9)


HARRINGTON = "Harrington, Oregon State Univ. Extension"
EMERGENCE_DAYS = {
    "carrot": {5: 51, 10: 17, 15: 10, 20: 7, 25: 6},
    "maize_grain": {10: 22, 15: 12, 20: 7, 25: 4},
    "dry_bean": {15: 16, 20: 11, 25: 8, 30: 6},
}
OFF_THE_SUM = {("carrot", 5), ("maize_grain", 10), *(("dry_bean", soil_c) for soil_c in (20, 25, 30))}
"""Close to the base temperature, and for beans, a plain sum does not follow the table; the page says by how much."""


@pytest.mark.parametrize(("crop", "printed"), EMERGENCE_DAYS.items())
def test_days_to_emergence(outside, crop: str, printed: dict[int, float]) -> None:
    """Degree-days to emergence give the days of Harrington's table within 15 %.

    Source: J. F. Harrington's table of days to emerge, Oregon State Univ. Extension. Standing: published.
    """
    row = load_tables().row("crops", crop)
    words = row.text("common_name").lower()
    for soil_c, days in printed.items():
        a_day = float(degree_days(soil_c, soil_c, row.need("base_temp_c"), row.need("upper_temp_c")))
        got = row.need("gdd_emergence") / a_day if a_day > 0 else math.inf
        if (crop, soil_c) in OFF_THE_SUM and abs(got / days - 1) > 0.15:
            by_sum = f"after {got:.0f}" if math.isfinite(got) else "never"
            said = f"K83: {words} emerges after {days:g} days at {soil_c} C, {by_sum} by the table's degree-days."
            outside.tell("Days to emergence that a plain sum of degree-days does not give", said)
        else:
            what = f"days to emergence of {words} at {soil_c} C"
            outside.check_close("K83", what, HARRINGTON, "published", days, got, pct=15)


@pytest.mark.parametrize(
    ("crops", "low_c", "high_c"),
    [
        (("spring_wheat", "spring_barley", "oats", "pea_dry", "lentil", "chickpea"), -10, -7),
        (("soybean",), -4, -3),
        (("maize_grain", "sweet_corn", "sorghum", "millet", "potato"), -3, -2),
        (("dry_bean", "buckwheat"), -1.5, -0.5),
    ],
)
def test_frost_on_young_crops(outside, crops: tuple[str, ...], low_c: float, high_c: float) -> None:
    """Shoots stand frost within the published range of their class.

    Source: Great Soviet Encyclopedia, article Frosts. Standing: published.
    """
    tables = load_tables()
    rows = [tables.row("crops", crop) for crop in crops]
    stands = [row["frost_kill_young_c"] or row.need("frost_kill_c") for row in rows]
    names = ", ".join(row.text("common_name").lower() for row in rows)
    source = "Great Soviet Encyclopedia, Frosts"
    outside.check_between("frost", f"frost that kills shoots of {names}, C", source, "published", low_c, high_c, stands)


def test_frost_on_cereals_in_ear_and_spring_peas(outside) -> None:
    """Cereals in ear and spring peas are damaged between -2 and -4 C.

    Source: PMC10202904, Table 2 (after the FAO frost handbook). Standing: published.
    """
    tables = load_tables()
    crops = ("winter_wheat", "spring_barley", "oats", "rye", "pea_dry")
    got = {
        (tables.row("crops", crop)["flower_kill10_c"], tables.row("crops", crop)["flower_kill90_c"]) for crop in crops
    }
    what = "a tenth and nine tenths of flowers of wheat, barley, oats, rye, peas killed at, C"
    outside.check_same("frost", what, "PMC10202904 Table 2", "published", {(-2.0, -4.0)}, got)


@pytest.mark.parametrize(
    ("species", "low_h", "high_h"),
    [
        ("almond", 200, 300),
        ("chestnut", 300, 400),
        ("olive", 200, 300),
        ("walnut", 700, 1500),
        ("apple_standard", 1200, 1500),
        ("pear", 1200, 1500),
        ("cherry_sweet", 1100, 1300),
        ("cherry_sour", 1200, 1200),
        ("plum", 800, 1100),
        ("peach", 650, 850),
        ("pomegranate", 200, 300),
    ],
)
def test_hours_of_chill_by_species(outside, species: str, low_h: float, high_h: float) -> None:
    """Hours under 45 F (7.2 C) that the usual varieties need.

    Source: University of California list as reprinted. Standing: published.
    """
    tables = load_tables()
    row = tables.row("trees", species)

    got = [row["chill_hours_low"], row["chill_hours_high"], tables.row("growth", "chill_below_c").need("number")]
    what = f"hours of cold that {row.text('common_name').lower()} needs, low, high, counted under C"
    source = "Univ. of California list, reprinted"
    outside.check_same("K75", what, source, "published", [float(low_h), float(high_h), 7.2], got)


def test_hours_of_a_day(outside) -> None:
    """Sunrise has the night's minimum, (D + 4) / 2 hours later the maximum; the night ends at the next minimum.

    Source: Linvill 1990, HortScience 25:14-16. Standing: from memory.
    """
    low, high, following, light = (np.array([value]) for value in (2.0, 12.0, -1.0, 10.0))
    sunset = 2 + 10 * math.sin(math.pi * 10 / 14)
    got = [float(hourly_c(low, high, following, light, hour)[0]) for hour in (0, 7, 10, 11, 24)]
    what = "2/12 C, 10 h of light, then -1 C: 0, 7, 10, 11, 24 h after sunrise, C"
    expected = np.round([2.0, 12.0, sunset, sunset, -1.0], 6)
    outside.check_close("Linvill", what, "Linvill 1990", "from memory", expected, got, 1e-6)
