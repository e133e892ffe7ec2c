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


def test_simple_average_degree_days() -> None:
    """83/61 F over base 50 are 22. Source: dairy adviser note. Standing: published."""
    assert float(degree_days(61, 83, 50, 999)) == 22


def test_degree_days_stop_at_the_plateau_and_at_the_base() -> None:
    """Nothing under the base, no more than plateau less base. Definition."""
    assert float(degree_days(-5, 3, 4, 25)) == 0
    assert float(degree_days(25, 40, 4, 25)) == 21


def test_vernal_days_by_temperature() -> None:
    """A whole day at 3-10 C, none at -4 and 17 C. Source: after Weir et al. 1984. Standing: from memory."""
    np.testing.assert_allclose(
        vernal_weight(np.array([-4.0, -0.5, 3, 6, 10, 13.5, 17, 25])), [0, 0.5, 1, 1, 1, 0.5, 0, 0]
    )


def test_daylength_factor_is_a_ramp() -> None:
    """None at 8 h, full at 18 h. Source: after Weir et al. 1984. Standing: from memory."""
    np.testing.assert_allclose(daylength_factor(np.array([6.0, 8, 13, 18, 20]), 8, 18), [0, 0, 0.5, 1, 1])


@given(st.floats(-30, 30))
def test_own_exponential_is_the_exponential(y: float) -> None:
    """The kernels' exponential is the library's to a part in a hundred million. Identity."""
    assert float(exp_small(y)) == pytest.approx(math.exp(y), rel=2e-8)


def test_trailing_mean_averages_what_there_is() -> None:
    """The first days average the days there are. Definition."""
    np.testing.assert_allclose(trailing_mean(np.array([1.0, 3, 5, 7]), 3), [1, 2, 3, 5])


@pytest.mark.parametrize(("low_c", "killed"), [(-2.2, 0.1), (-3.9, 0.9)])
def test_apple_blossom_frost(low_c: float, killed: float) -> None:
    """Full bloom of apple: a tenth killed at -2.2 C, nine tenths at -3.9 C.

    Source: Washington State table as given by Penn State and Utah State Extension. Standing: published.
    """
    apple = load_tables().row("trees", "apple_standard")

    assert float(bloom_kill(np.array([low_c]), apple.need("bloom_kill10_c"), apple.need("bloom_kill90_c"))[0]) == (
        pytest.approx(killed, abs=1e-9)
    )


@pytest.mark.parametrize(
    ("crop", "soil_c", "days"),
    [
        ("carrot", 10, 17),
        ("carrot", 15, 10),
        ("carrot", 20, 7),
        ("carrot", 25, 6),
        ("maize_grain", 15, 12),
        ("maize_grain", 20, 7),
        ("maize_grain", 25, 4),
    ],
)
def test_days_to_emergence(crop: str, soil_c: float, days: float) -> None:
    """Degree-days to emergence give the days of Harrington's table within 15 %.

    Source: J. F. Harrington's table of days to emerge, Oregon State Univ. Extension. Standing: published. Close to the
    base temperature, and for beans, a plain sum does not follow the table.
    """
    figures = load_tables().row("crops", crop)
    modelled = figures.need("gdd_emergence") / float(
        degree_days(soil_c, soil_c, figures.need("base_temp_c"), figures.need("upper_temp_c"))
    )

    assert modelled == pytest.approx(days, rel=0.15)


@pytest.mark.parametrize(
    ("crops", "low_c", "high_c"),
    [
        (("spring_wheat", "spring_barley", "oats", "pea_dry", "lentil", "chickpea"), -10, -7),
        (("soybean",), -4, -3),
        (("maize_grain", "sweet_corn", "sorghum", "millet", "potato"), -3, -2),
        (("dry_bean", "buckwheat"), -1.5, -0.5),
    ],
)
def test_frost_on_young_crops(crops: tuple[str, ...], low_c: float, high_c: float) -> None:
    """Shoots stand frost within the published range of their class.

    Source: Great Soviet Encyclopedia, article Frosts. Standing: published.
    """
    tables = load_tables()
    for crop in crops:
        row = tables.row("crops", crop)
        stands = row["frost_kill_young_c"] or row.need("frost_kill_c")
        assert low_c <= stands <= high_c, crop


@pytest.mark.parametrize("crop", ["winter_wheat", "spring_barley", "oats", "rye", "pea_dry"])
def test_frost_on_cereals_in_ear_and_spring_peas(crop: str) -> None:
    """Cereals in ear and spring peas are damaged between -2 and -4 C.

    Source: PMC10202904, Table 2 (after the FAO frost handbook). Standing: published.
    """
    row = load_tables().row("crops", crop)

    assert (row["flower_kill10_c"], row["flower_kill90_c"]) == (-2, -4)


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
def test_hours_of_chill_by_species(species: str, low_h: float, high_h: float) -> None:
    """Hours under 45 F (7.2 C) that the usual varieties need.

    Source: University of California list as reprinted. Standing: published.
    """
    tables = load_tables()
    row = tables.row("trees", species)

    assert (row["chill_hours_low"], row["chill_hours_high"]) == (low_h, high_h)
    assert tables.row("growth", "chill_below_c").need("number") == 7.2


def test_hours_of_a_day() -> None:
    """Sunrise has the night's minimum, (D + 4) / 2 hours later the maximum; the night ends at the next minimum.

    Source: Linvill 1990, HortScience 25:14-16. Standing: from memory.
    """
    low, high, following, light = (np.array([value]) for value in (2.0, 12.0, -1.0, 10.0))
    sunset = 2 + 10 * math.sin(math.pi * 10 / 14)
    for hour, expected in ((0, 2.0), (7, 12.0), (10, sunset), (11, sunset), (24, -1.0)):
        assert float(hourly_c(low, high, following, light, hour)[0]) == pytest.approx(expected, abs=1e-9)
