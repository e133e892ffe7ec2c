"""Growth of stock against published curves and tables. Source and standing stand beside each check."""

from __future__ import annotations

from math import exp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.reference import load_tables
from yardland.stock.growth import gompertz_gain_kg_d, gompertz_kg
from yardland.stock.kinds import kinds, load_klass

# Gompertz fits to twelve data sets, J. Anim. Sci. (PMC7149552), Table 1: A, B published; weights worked from them.
GOMPERTZ_TABLE_1 = [
    ("heavy turkey, female", 15.0, 0.0256, 0.055, 84, 7.81, 0.05),
    ("heavy turkey, male", 28.0, 0.0212, 0.055, 140, 20.3, 0.05),
    ("Suffolk lamb, female", 100.0, 0.0108, 4.5, 120, 42.8, 0.2),
    ("Suffolk lamb, male", 130.0, 0.00915, 5.0, 120, 43.9, 0.2),
]


@pytest.mark.parametrize(("what", "a", "b", "w0", "day", "kg", "tolerance"), GOMPERTZ_TABLE_1)
def test_gompertz_curves_of_table_1(what, a, b, w0, day, kg, tolerance):
    """The curve gives the weights that the published parameters give (published; weights computed from them)."""
    assert float(gompertz_kg(a, b, w0, day)) == pytest.approx(kg, abs=tolerance), what


@given(a=st.floats(1.0, 700.0), b=st.floats(0.004, 0.07), w0=st.floats(0.03, 0.9))
def test_gain_is_greatest_at_the_inflection(a, b, w0):
    """Gain is greatest where the weight is exp(-1) = 0.368 of the mature weight.

    British Poultry Science 32 (1991) 1027-1038, abstract (published).
    """
    age = np.linspace(0.0, 12.0 / b, 20001)
    at = int(np.argmax(gompertz_gain_kg_d(a, b, w0 * a / 700.0, age)))

    assert float(gompertz_kg(a, b, w0 * a / 700.0, age[at])) / a == pytest.approx(0.368, abs=0.002)
    assert exp(-1) == pytest.approx(0.368, abs=0.0005)


def test_gain_is_the_slope_of_weight():
    """The daily gain is the derivative of the weight (calculus)."""
    age = np.arange(5.0, 300.0, 7.0)
    slope = (gompertz_kg(150.0, 0.015, 1.4, age + 0.01) - gompertz_kg(150.0, 0.015, 1.4, age - 0.01)) / 0.02

    assert gompertz_gain_kg_d(150.0, 0.015, 1.4, age) == pytest.approx(slope, rel=1e-6)


# NRC Nutrient Requirements of Poultry 1994, Table 2-5, male broilers, weeks 1-8 (from memory).
NRC_1994_TABLE_2_5_G = [152, 376, 686, 1085, 1576, 2088, 2590, 3077]


def test_broiler_table_of_1994_follows_a_gompertz_curve():
    """The curve A 4.60 B 0.0432 stays within a tenth of the broiler table from the second week on (from memory)."""
    weeks = np.arange(1, 9)
    grams = 1000.0 * gompertz_kg(4.60, 0.0432, 0.043, 7 * weeks)

    assert grams[1:] == pytest.approx(NRC_1994_TABLE_2_5_G[1:], rel=0.10)


def test_fast_broiler_of_the_tables_outgrows_the_table_of_1994():
    """A broiler of today is heavier at six weeks than the male of 1994, and under twice as heavy (from memory)."""
    today_g = 1000.0 * float(load_klass(load_tables(), "broiler_fast").weight_kg(42))

    assert NRC_1994_TABLE_2_5_G[5] < today_g < 2 * NRC_1994_TABLE_2_5_G[5]


def test_pekin_on_farm_weight_lies_under_the_breeders_curve():
    """Pekin ducks on a farm weighed 2.52 kg at 56 days (LRRD 18(11), 2006; published); the table's curve is above it."""
    breeders = float(load_klass(load_tables(), "duck_meat_pekin").weight_kg(56))

    assert 2.52 < breeders < 2.52 * 1.6


@pytest.mark.parametrize("key", [key for key, kind in kinds().items() if kind.role == "grower"])
def test_slaughter_weight_follows_from_the_curve(key):
    """Each grower's curve passes the table's slaughter weight at its slaughter age within 15 % (from memory)."""
    klass = load_klass(load_tables(), key)

    assert float(klass.weight_kg(klass.row.need("slaughter_age_d"))) == pytest.approx(
        klass.row.need("slaughter_weight_kg"), rel=0.15
    )
