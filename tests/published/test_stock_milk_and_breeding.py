"""Lactation curves, breeding dates and numbers of young against publications; source and standing beside each check."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.holding.model import Group, Holding, MonthDay, Place, Sire
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.lactation import fat_corrected_kg, lactation_kg_d, milk_energy_mj_kg, wood_from_peak, wood_kg_d
from yardland.stock.year import herd_year

# Wood curves, Animal Bioscience 34 (2021) 949-956 (parameters published; results computed from them).
WOOD = [("Simmental to 305 d", 15.2317, 0.1029, 0.0015, 68.6, 21.23), ("to 640 d", 17.4329, 0.0603, 0.0010, 60.3, 21.0)]


@pytest.mark.parametrize(("what", "a", "b", "c", "peak_day", "peak_kg"), WOOD)
def test_wood_curve_peaks_where_published_parameters_say(what, a, b, c, peak_day, peak_kg):
    """The peak lies on day b / c and has the published height (published)."""
    assert b / c == pytest.approx(peak_day, abs=0.05), what
    assert float(wood_kg_d(a, b, c, b / c)) == pytest.approx(peak_kg, rel=0.005), what


def test_simmental_lactation_sum():
    """Day 305 gives 17.4 kg, and days 1 to 305 add up to 6022 kg (Animal Bioscience 34; computed)."""
    milk = wood_kg_d(15.2317, 0.1029, 0.0015, np.arange(1, 306))

    assert milk[-1] == pytest.approx(17.4, rel=0.005)
    assert milk.sum() == pytest.approx(6022.0, rel=0.005)


def test_wood_curve_from_its_peak():
    """Peak day 42, 4.0 kg and b 0.2 give c 0.004762 and a 2.3135, sum of 305 days 907.6 kg (algebra)."""
    a, c = wood_from_peak(42.0, 4.0, 0.2)

    assert c == pytest.approx(0.004762, abs=5e-7)
    assert a == pytest.approx(2.3135, abs=5e-4)
    assert wood_kg_d(a, 0.2, c, np.arange(1, 306)).sum() == pytest.approx(907.6, rel=0.002)


@given(total=st.floats(10.0, 6000.0), days=st.integers(30, 340), peak=st.floats(5.0, 70.0), b=st.floats(0.05, 0.5))
def test_lactation_adds_up_to_its_total(total, days, peak, b):
    """Whatever the shape, the days of a lactation add up to the total that the table gives."""
    milk = lactation_kg_d(total, days, b, b / peak)

    assert milk.sum() == pytest.approx(total)
    assert milk.min() > 0.0


def test_energy_of_goat_milk():
    """35 g fat and 30 g protein give 2.89 MJ/kg; 40 and 32 g give 3.12 (AFRC form; published formula)."""
    assert milk_energy_mj_kg(35.0, 30.0) == pytest.approx(2.89, abs=0.01)
    assert milk_energy_mj_kg(40.0, 32.0) == pytest.approx(3.12, abs=0.01)


def test_four_percent_milk_is_its_own_standard():
    """Milk of 4 % fat counts as itself, richer milk as more (Gaines 1928; from memory)."""
    assert float(fat_corrected_kg(2.5, 4.0)) == pytest.approx(2.5)
    assert float(fat_corrected_kg(1.0, 5.0)) == pytest.approx(1.15)


def test_table_doe_peaks_in_the_sixth_week():
    """A smallholder's doe peaks in week 6 (Marete and others 2014, Open J. Animal Sciences 4; published)."""
    row = load_tables().row("stock", "goat_dairy_doe")
    peak_day = row.need("wood_b") / row.need("wood_c")

    assert 35 <= peak_day <= 45
    assert 172 <= row.need("lactation_d") <= 300


# Served or set on, class, days, expected on; source and standing beside each.
EXPECTED = [
    (date(2026, 3, 20), "laying_hen", date(2026, 4, 10), 1),  # Mississippi State Extension, 21 d (published)
    (date(2025, 10, 15), "goat_dairy_doe", date(2026, 3, 14), 0),  # gestation table, 150 d (published)
    (date(2025, 7, 10), "dairy_cow_small", date(2026, 4, 19), 0),  # mean of breeds 283 d (published)
    (date(2025, 12, 1), "sow", date(2026, 3, 25), 0),  # 114 d (from memory; range 111-120 published)
]


@pytest.mark.parametrize(("served", "klass", "expected", "tolerance_d"), EXPECTED)
def test_births_planned_for_the_published_day_ask_for_service_on_the_published_day(
    served, klass, expected, tolerance_d
):
    """A herd whose young are planned for the published date is served, or its eggs set, on the published date."""
    born = MonthDay(expected.month, expected.day)
    group = Group(heads={klass: 12}, born=(born,), keep_young=2, sire=Sire(how="borrowed"), home="yard")
    place = Place(name="x", latitude_deg=52, longitude_deg=0, country="GB", year_starts=MonthDay(served.month, 1))
    months = larder_months(served.year, served.month)
    plan = Holding(folder=Path(), place=place, people={}, plot={}, group={"herd": group})
    year = herd_year(plan, load_tables(), months, np.full(12, 10.0), np.linspace(8.0, 16.0, 12))
    [day] = [event.day for event in year.events.events if event.kind in ("service", "set")]

    assert abs((date(served.year, served.month, 1) + timedelta(days=day) - served).days) <= tolerance_d


def test_goose_incubation_lies_in_the_published_range():
    """Geese hatch in 28 to 34 days (Mississippi State Extension and others; published)."""
    assert 28 <= load_tables().row("stock", "goose").need("gestation_or_incubation_d") <= 34


def test_rabbit_litters_stay_within_the_42_day_rhythm():
    """31 d of gestation and 11 d open make 8.69 cycles, 6.5 litters at 75 % (FAO paper 21, 1997; from memory): no more are planned."""
    row = load_tables().row("stock", "rabbit_doe")
    cycles = 365 / (row.need("gestation_or_incubation_d") + 11)

    assert cycles == pytest.approx(8.69, abs=0.02)
    assert row.need("litters_per_year") <= 0.75 * cycles


def test_sow_litters_stay_within_late_weaning():
    """114 d, weaning at 42 and 6 d to heat make 2.25 litters a year (from memory): no more are planned."""
    row = load_tables().row("stock", "sow")
    most = 365 / (row.need("gestation_or_incubation_d") + 48)

    assert most == pytest.approx(2.25, abs=0.01)
    assert row.need("litters_per_year") <= most


def test_doe_rabbit_gives_about_one_young_a_week():
    """Six litters less early losses leave 20 to 52 young a doe and year, and the table plans no more than eight litters.

    T. Pilling, The Press (Christchurch), 29 August 1980: a litter every two months, "one youngster for every week"
    (published); 20 to 40 sold per doe in small flocks.
    """
    row = load_tables().row("stock", "rabbit_doe")
    litters = row.need("litters_per_year")
    young = litters * row.need("litter_or_clutch_size") * (1.0 - row.need("mortality_young_fraction"))

    assert litters <= 8
    assert 20 <= young <= 52


def test_laying_ducks_of_the_tables_stay_under_the_best_flocks():
    """Campbells reach 300 eggs of 65-75 g at 2.0-2.2 kg; Pekin to 200, Muscovy 45-60 (published upper bounds)."""
    tables = load_tables()
    duck = tables.row("stock", "duck_layer")

    assert duck.need("eggs_per_year") <= 300
    assert 65 <= duck.need("egg_weight_g") <= 75
    assert 2.0 <= duck.need("adult_weight_kg") <= 2.2
    assert tables.row("stock", "duck_meat_pekin").need("eggs_per_year") <= 200
    assert 45 <= tables.row("stock", "duck_muscovy").need("eggs_per_year") <= 60


def test_chicks_weigh_about_seven_tenths_of_the_egg():
    """A day-old weighs 68-70 % of its egg (IFAS EDIS VM099, Table 1; published): the tables' birds within a sixth of it."""
    tables = load_tables()
    for key in ("laying_hen", "dual_purpose_hen", "duck_muscovy", "goose", "turkey_breeder_hen"):
        row = tables.row("stock", key)

        assert row.need("growth_W0_kg") * 1000.0 == pytest.approx(0.69 * row.need("egg_weight_g"), rel=0.17), key
