"""Manure, nitrogen, drinking water and carcasses of the tables against publications; source and standing beside each."""

from __future__ import annotations

import pytest

from yardland.reference import load_tables
from yardland.stock.rounds import paddocks

KG_PER_LB = 0.45359237
SHORT_TON_KG = 907.18474


def row(key: str):
    """A row of table stock."""
    return load_tables().row("stock", key)


def test_layer_by_live_weight():
    """A 1.81 kg hen drops 110 g manure and 1.51 g N a day: 60.5 lb and 0.83 lb per 1000 lb (Utah State; published).

    The table's hens are that rate at their own weight.
    """
    for key in ("laying_hen", "dual_purpose_hen", "cockerel"):
        weight = row(key).need("adult_weight_kg")
        assert row(key).need("manure_kg_d") * 1000 * 1.81 / weight == pytest.approx(110, rel=0.01), key
        assert row(key).need("manure_n_g_d") * 1.81 / weight == pytest.approx(1.51, rel=0.01), key


def test_hen_nitrogen_a_year():
    """A hen's year of nitrogen lies near 0.559 kg as excreted (NRCS; published) and 0.631 kg (IPCC 2006; from memory)."""
    fresh = 11.45 * 26.93 * KG_PER_LB / 250
    year = row("laying_hen").need("manure_n_g_d") * 0.365

    assert fresh == pytest.approx(0.559, rel=0.01)
    assert year == pytest.approx(fresh, rel=0.10)
    assert year == pytest.approx(1.8 * 0.96 * 0.365, rel=0.30)


def test_cow_manure_of_wisconsin():
    """A 1400 lb cow drops 120 lb a day, 21.9 short tons a year (Wisconsin A3601; published).

    The small cow of the table, by live weight, within 10 %.
    """
    at_1400_lb_kg = row("dairy_cow_small").need("manure_kg_d") / 400 * 1400 * KG_PER_LB

    assert at_1400_lb_kg / KG_PER_LB == pytest.approx(120, rel=0.10)
    assert at_1400_lb_kg * 365 / SHORT_TON_KG == pytest.approx(21.9, rel=0.10)


def test_cow_nitrogen_a_year():
    """NRCS gives 99.9 kg N per cow before losses (published), IPCC 105.1 for 600 kg (from memory): ours by live weight."""
    per_cow = 15.24 / 0.74 * 10.69 * KG_PER_LB
    ours = row("dairy_cow_small").need("manure_n_g_d") * 0.365

    assert per_cow == pytest.approx(99.9, rel=0.01)
    assert ours * 600 / 400 == pytest.approx(per_cow, rel=0.10)
    assert ours * 600 / 400 == pytest.approx(105.1, rel=0.15)


def test_goat_and_sheep_nitrogen():
    """Goat 11 kg N a place in Germany (LfL 2003; published, 10 %); ewe near the IPCC's 15 kg at 48.5 kg (from memory)."""
    assert row("goat_dairy_doe").need("manure_n_g_d") * 0.365 == pytest.approx(11.0, rel=0.15)
    ewe = row("ewe").need("manure_n_g_d") * 0.365
    assert ewe == pytest.approx(15.05 * 70 / 48.5, rel=0.55)


def test_pig_nitrogen_balance():
    """6.3 kg N eaten from 8 to 110 kg and 46 % kept leave 3.4 kg excreted (Animal, Cambridge; published).

    The table's daily figure over the fattening weeks lies within a third of it.
    """
    pig = row("pig_grower")
    days = pig.need("slaughter_age_d") - pig.need("adg_age_from_d")
    assert pig.need("manure_n_g_d") * days / 1000 == pytest.approx(3.4, rel=0.34)


def test_drinking_water_of_layers():
    """1000 layers drink 220 L at half and 270 L at nine tenths of lay, at 21 C (Poultry CRC; published)."""
    assert 0.220 <= row("laying_hen").need("drinking_water_l_d") <= 0.270
    assert 0.220 <= row("dual_purpose_hen").need("drinking_water_l_d") <= 0.270


# Planning figures, L a head and day, NZ 2008 (published), for larger stock than the tables'; tolerance 20 % and more.
WATER = [("sow", 25.0, 0.2), ("ewe", 4.0, 0.2), ("dairy_cow_small", 70.0 * 400 / 500, 0.2), ("beef_steer", 35.0, 0.3)]


@pytest.mark.parametrize(("key", "litres", "tolerance"), WATER)
def test_drinking_water_of_larger_stock(key, litres, tolerance):
    """The tables' water lies near the planning figures (published)."""
    assert row(key).need("drinking_water_l_d") == pytest.approx(litres, rel=tolerance)


# Carcass in live weight: Univ. of Georgia Extension 2011, Ozarks 2010 (published), and how far grass-fed lies under.
DRESSING = [("pig_grower", 0.74, 0.03), ("beef_steer", 0.59, 0.05), ("lamb", 0.54, 0.07), ("goat_kid", 0.465, 0.035)]


@pytest.mark.parametrize(("key", "share", "tolerance"), DRESSING)
def test_dressing_share(key, share, tolerance):
    """The tables' carcass share lies at the published one, or under it for grass-fed stock (published)."""
    assert row(key).need("dressing_fraction") == pytest.approx(share, abs=tolerance)


def test_pig_from_live_to_carcass():
    """250 lb live give 180 lb of carcass, 0.72 (encyclopaedia extract; published)."""
    assert row("pig_grower").need("dressing_fraction") == pytest.approx(0.72, abs=0.03)


def test_paddocks_of_the_extension_sheet():
    """35 days of rest and 3 of stay want 13 plots (Penn State Extension, step 3; published)."""
    assert paddocks(35, 3) == 13
