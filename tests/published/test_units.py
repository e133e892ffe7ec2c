"""Unit facts that the tables and the trade rely on. Each line: number, unit, number in the other unit, source."""

from __future__ import annotations

import pytest

from yardland.holding.units import parse_quantity, parse_size
from yardland.reference import load_tables

TABLES = load_tables()


@pytest.mark.parametrize(
    ("typed", "dimension", "si", "tolerance"),
    [
        ("1 ha", "area", 10_000.0, 0.0),  # published: SI brochure, units accepted for use with the SI
        ("2.471 acre", "area", 10_000.0, 1e-4),  # published: international acre of 4046.8564224 m2 (yard of 1959)
        ("1 acre", "area", 4046.8564224, 1e-12),  # published: international yard and pound agreement, 1959
        ("1 ft", "length", 0.3048, 1e-12),  # published: same
        ("1 lb", "mass", 0.45359237, 1e-12),  # published: same
    ],
)
def test_units_of_the_trade(typed, dimension, si, tolerance):
    """A typed unit is turned to SI by its published factor."""
    assert parse_quantity(typed, dimension) == pytest.approx(si, rel=tolerance or 1e-15)


def test_a_kilocalorie_is_4_184_kilojoules():
    """Published: FAO 2003, Food energy: methods of analysis (thermochemical calorie)."""
    assert TABLES.row("energy", "kj_per_kcal").need("value") == 4.184


def test_tonnes_per_hectare_and_pounds_per_acre():
    """Published: 1 lb/acre is 1.121 kg/ha, as extension yield tables are turned (international pound and acre)."""
    kg_ha = parse_quantity("1 lb", "mass") / (parse_quantity("1 acre", "area") / parse_quantity("1 ha", "area"))

    assert kg_ha == pytest.approx(1.121, abs=5e-4)


def test_a_millimetre_on_a_square_metre_is_a_litre():
    """Identity: rain depth times area is volume (0.001 m x 1 m2 = 0.001 m3)."""
    assert parse_quantity("1 l", "volume") == pytest.approx(0.001 * parse_size("1 m x 1 m").area_m2)
