"""Normals: the shipped set, the user's own, and the days that are invented from them."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from weather_kit import NORTH

from yardland.errors import InputFaults
from yardland.weather.checks import ranges
from yardland.weather.climate import MONTH_LENGTHS, climate
from yardland.weather.normals import Normals, distance_km, nearest, same_seasons, shipped
from yardland.weather.own_normals import read_normals
from yardland.weather.typical import (
    Spread,
    constants,
    daily_from_normals,
    monthly_interpolation,
    tridiagonal,
    typical_record,
)

ROOT = Path(__file__).parents[1]
STANDINGS = {"published", "common practice", "from memory"}


def months(values, dates):
    """Mean of a daily column for each month of a chain of years."""
    index = dates.astype("datetime64[M]").astype(int)
    index -= index[0]
    return np.bincount(index, weights=values) / np.bincount(index)


@pytest.mark.parametrize("key", sorted(shipped()))
def test_every_station_is_whole_sourced_and_possible(key):
    """A shipped station has twelve possible months, a source and one of the three standings."""
    station = shipped()[key]
    assert station.standing in STANDINGS
    assert station.source
    assert station.period
    assert (station.tmin_c < station.tmax_c).all()
    if station.rain_days is not None:
        assert (station.rain_days <= MONTH_LENGTHS).all()
        assert (station.rain_days * station.rain_day_mm <= station.rain_mm + 1e-9).all()
    warmest = int(np.argmax(station.tmax_c))
    if abs(station.latitude_deg) > 30:
        assert warmest in ({11, 0, 1} if station.latitude_deg < 0 else {5, 6, 7})


def test_the_set_spans_both_hemispheres_and_many_climates():
    """The set has 20 to 100 stations, some south, some high, some with hard winters, some without frost, most published."""
    stations = list(shipped().values())
    assert 20 <= len(stations) <= 100
    assert sum(station.standing == "published" for station in stations) > len(stations) / 2
    assert sum(station.latitude_deg < 0 for station in stations) >= 8
    assert any(station.altitude_m > 1000 for station in stations)
    assert any(station.tmin_c.min() < -15 for station in stations)
    assert any(station.tmin_c.min() > 5 for station in stations)


@pytest.mark.parametrize("key", sorted(shipped()))
def test_typical_days_keep_the_months(key):
    """Each month keeps its mean temperatures to 0.1 C, its rain exactly and its rain days over the years."""
    station = shipped()[key]
    raw = daily_from_normals(station, Spread.none(10), 3, 2001)
    for column, normal in ((raw.tmin_c, station.tmin_c), (raw.tmax_c, station.tmax_c)):
        assert months(column, raw.dates) == pytest.approx(np.tile(normal, 10), abs=1e-6)
    index = raw.dates.astype("datetime64[M]").astype(int) % 12
    rain = np.bincount(index, weights=raw.rain_mm) / 10
    wet = np.bincount(index, weights=raw.rain_mm >= station.rain_day_mm - 1e-9) / 10
    days = station.rain_mm / constants()["rain_per_rain_day_mm"] if station.rain_days is None else station.rain_days
    assert rain == pytest.approx(station.rain_mm, abs=1e-9)
    assert wet == pytest.approx(np.minimum(days, MONTH_LENGTHS), abs=0.051)
    assert (raw.tmin_c < raw.tmax_c).all()


@settings(max_examples=25, deadline=None)
@given(
    st.integers(0, 2**32 - 1),
    st.floats(-10, 28),
    st.floats(0, 15),
    st.floats(2, 16),
    st.floats(0, 300),
    st.floats(0, 1),
)
def test_any_normals_give_possible_days(seed, mean, swing, span, rain, share):
    """Any normals give finite days with Tmin under Tmax, the rain kept and no more radiation than a clear sky's."""
    wave = mean - swing * np.cos(2 * np.pi * np.arange(12) / 12)
    normals = Normals(
        "any", 45.0, 5.0, 100.0, wave - span / 2, wave + span / 2, np.full(12, rain), np.full(12, share * min(rain, 28))
    )
    record = typical_record(normals, seed, years=10)
    for name in ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "vap_kpa", "wind_m_s", "eto_mm"):
        assert np.isfinite(getattr(record, name)).all(), name
    assert (record.tmin_c < record.tmax_c).all()
    assert record.rain_mm.sum() == pytest.approx(rain * 120, rel=1e-9, abs=1e-9)
    assert (record.rain_mm >= 0).all()


def test_the_same_seed_gives_the_same_days_and_another_seed_others():
    """A typical record is a function of normals and seed."""
    normals = shipped()["oxford"]
    first, again, other = (typical_record(normals, seed) for seed in (7, 7, 8))
    assert np.array_equal(first.tmin_c, again.tmin_c)
    assert not np.array_equal(first.tmin_c, other.tmin_c)
    assert any("invented" in note for note in first.notes)


def test_days_vary_as_on_the_seattle_record():
    """From Seattle's own normals the days' spread, persistence and wet spells come within a quarter of the record's."""
    raw = daily_from_normals(shipped()["seattle"], Spread.none(40), 1, 1981)
    mean = (raw.tmin_c + raw.tmax_c) / 2
    index = raw.dates.astype("datetime64[M]").astype(int)
    anomaly = mean - months(mean, raw.dates)[index - index[0]]
    wet = raw.rain_mm > 0
    after_wet, after_dry = wet[1:][wet[:-1]].mean(), wet[1:][~wet[:-1]].mean()
    assert anomaly.std() == pytest.approx(2.40, rel=0.25)
    assert np.corrcoef(anomaly[1:], anomaly[:-1])[0, 1] == pytest.approx(0.68, abs=0.1)
    assert after_wet - after_dry == pytest.approx(0.40, abs=0.1)


def test_frost_happens_around_a_mild_mean():
    """Though a month's mean minimum is above zero, single nights freeze."""
    record = typical_record(shipped()["dublin"], 1)
    march = record.dates.astype("datetime64[M]").astype(int) % 12 == 2
    assert record.tmin_c[march].mean() == pytest.approx(3.0, abs=0.1)
    assert record.tmin_c[march].min() < 0


def test_fewer_than_ten_years_are_refused():
    """A typical record of nine years would leave rain days unshared, so it is refused."""
    with pytest.raises(ValueError, match="ten years"):
        typical_record(shipped()["oxford"], 1, years=9)


@given(st.lists(st.floats(-30, 30), min_size=12, max_size=12))
def test_monthly_interpolation_keeps_each_month(means):
    """The daily line between mid-months has exactly the months' means."""
    line = monthly_interpolation(np.array(means), MONTH_LENGTHS)
    month = np.repeat(np.arange(12), MONTH_LENGTHS)
    assert np.bincount(month, weights=line) / MONTH_LENGTHS == pytest.approx(means, abs=1e-8)


@given(st.integers(1, 40), st.integers(0, 10**6))
def test_knots_solve_their_rows(count, seed):
    """Elimination gives what the library of linear algebra gives, of one row or many, where each middle outweighs its sides."""
    rng = np.random.default_rng(seed)
    bands, sides = rng.uniform((-1, 2, -1), (1, 4, 1), (count, 3)), rng.uniform(-30, 30, count)
    matrix = np.diag(bands[:, 1]) + np.diag(bands[1:, 0], -1) + np.diag(bands[:-1, 2], 1)
    assert tridiagonal(bands, sides) == pytest.approx(np.linalg.solve(matrix, sides), abs=1e-12)


@given(st.floats(-60, 60).filter(lambda latitude: latitude != 0), st.floats(-180, 180), st.floats(0, 3000))
def test_the_nearest_station_is_nearest_and_moved_to_the_altitude(latitude, longitude, altitude):
    """No station that shares the seasons is nearer; temperatures fall 6.5 C a kilometre; name and note say both.

    The way from one distance from the equator to the other counts twice.
    """
    moved, note = nearest(latitude, longitude, altitude)
    there = {s.name: s for s in shipped().values() if same_seasons(s.latitude_deg, latitude)}
    away = {name: distance_km(latitude, longitude, s.latitude_deg, s.longitude_deg) for name, s in there.items()}
    strange = {name: away[name] + 111.0 * abs(abs(s.latitude_deg) - abs(latitude)) for name, s in there.items()}
    name = min(strange, key=lambda one: strange[one])
    assert moved.name == f"{name}, {away[name]:,.0f} km away"
    assert moved.tmin_c - there[name].tmin_c == pytest.approx(0.0065 * (there[name].altitude_m - altitude))
    assert f"{away[name]:.0f} km" in note
    assert there[name].standing in note


def test_the_equator_parts_seasons_only_away_from_it():
    """A place just north of the equator may borrow from just south of it; one at thirty degrees may not."""
    assert nearest(0.5, 37.0, 2000)[0].name.startswith("Nairobi")
    assert same_seasons(9.0, -9.0)
    assert not same_seasons(30.0, -1.0)


def test_distance_on_the_sphere():
    """A degree of latitude is 111.2 km on a sphere of 6371 km, and the way back is as long."""
    assert distance_km(10, 20, 11, 20) == pytest.approx(111.195, abs=0.001)
    assert distance_km(10, 20, -50, 170) == pytest.approx(distance_km(-50, 170, 10, 20))


def own(tmp_path, months_text, header="month,tmin_c,tmax_c,rain_mm,rain_days"):
    """A normals.csv of a holding, read."""
    path = tmp_path / "normals.csv"
    path.write_text("\n".join([header, *months_text]), encoding="utf-8")
    return read_normals(path, NORTH)


def test_own_normals_are_read_in_any_order(tmp_path):
    """Twelve rows by number or name, in any order, arrive by month."""
    rows = [
        f"{name},{month},{month + 8},{50 + month},9"
        for month, name in enumerate(
            ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), 1
        )
    ]
    normals = own(tmp_path, rows[::-1])
    assert normals.tmin_c == pytest.approx(np.arange(1, 13))
    assert normals.rain_days == pytest.approx(9)
    assert climate(typical_record(normals, 0)).tmin_month_c == pytest.approx(np.arange(1, 13), abs=0.1)


@pytest.mark.parametrize(
    ("change", "where", "phrase"),
    [
        (lambda rows: rows[:-1], "whole file", "no row for month 12"),
        (lambda rows: [*rows, rows[0]], "line 14", "month 1 again"),
        (lambda rows: ["13,1,2,3,1", *rows[1:]], "line 2", "13"),
        (lambda rows: ["1,9,2,50,9", *rows[1:]], "month 1", "tmin_c 9, tmax_c 2"),
        (lambda rows: ["1,1,9,,9", *rows[1:]], "column rain_mm", "month 1"),
        (lambda rows: ["1,1,9,5,20", *rows[1:]], "month 1", "20 rain days"),
        (lambda rows: ["1,1,99,50,9", *rows[1:]], "month 1", "tmax_c 99"),
        (lambda rows: ["1,cold,9,50,9", *rows[1:]], "line 2", "'cold'"),
    ],
)
def test_faults_of_own_normals_are_named(tmp_path, change, where, phrase):
    """A faulty month is named by line or month with what was found."""
    rows = [f"{month},{month},{month + 8},50,9" for month in range(1, 13)]
    with pytest.raises(InputFaults) as caught:
        own(tmp_path, change(rows))
    hits = [fault for fault in caught.value.faults if where in fault.where and phrase in fault.found]
    assert hits, [str(fault) for fault in caught.value.faults]


def test_ranges_and_constants_have_source_and_standing():
    """Every limit of the checks carries a source and a standing; every constant of the generator is a number."""
    assert all(limit.source and limit.standing in STANDINGS for limit in ranges().values())
    assert all(np.isfinite(value) for value in constants().values())


@pytest.mark.parametrize("place", ["tarn-hollow", "casa-vereda"])
def test_the_demonstration_weather_is_what_the_script_makes(place, tmp_path):
    """The shipped demonstration records are reproduced by their script, and say in their first line that they are invented."""
    spec = importlib.util.spec_from_file_location("make_demo_weather", ROOT / "scripts" / "make_demo_weather.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    module.write(tmp_path)
    made = (tmp_path / place / "weather.csv").read_text(encoding="utf-8").splitlines()
    shipped_lines = (ROOT / "examples" / place / "weather.csv").read_text(encoding="utf-8").splitlines()
    assert made[0] == shipped_lines[0]
    assert "invented" in made[0]
    assert len(made) == len(shipped_lines)
    ours, theirs = (
        np.array([[float(cell) for cell in line.split(",")[1:]] for line in lines[2:]])
        for lines in (made, shipped_lines)
    )
    rounding = np.array([0.1, 0.1, 0.1, 0.1, 1.0, 0.1]) + 1e-6
    assert (np.abs(ours - theirs) <= rounding).all()
