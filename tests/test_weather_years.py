"""Larder years, climate and what fills a record."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from weather_kit import days, record

from yardland.errors import InputFaults
from yardland.weather.climate import climate, frost_dates, running_mean
from yardland.weather.fill import Raw, fill
from yardland.weather.years import MONTH_STARTS, larder_years, without_leap_days

RECORD = record()
"""2015-2019: five years with one 29 February."""


@pytest.mark.parametrize("start_month", [1, 4, 9, 12])
def test_lanes_are_the_complete_larder_years(start_month):
    """Each lane is one whole larder year behind the year before it, labelled by its months."""
    forcing = larder_years(RECORD, start_month)
    lanes = 5 if start_month == 1 else 4
    assert forcing.tmin_c.shape == (730, lanes)
    assert forcing.start_years == tuple(range(2015, 2015 + lanes))
    assert forcing.led_in_by_itself == (True,) + (False,) * (lanes - 1)
    assert np.array_equal(forcing.tmin_c[:365, 1:], forcing.tmin_c[365:, :-1])
    assert np.array_equal(forcing.tmin_c[:365, 0], forcing.tmin_c[365:, 0])
    assert forcing.labels[0].startswith(f"2015-{start_month:02d} to ")


def test_leap_day_keeps_its_rain_and_drops_the_rest():
    """29 February's rain is on the 28th; no other value of that day remains."""
    dates, columns = without_leap_days(RECORD)
    leap = int(np.flatnonzero(RECORD.dates == np.datetime64("2016-02-29", "D"))[0])
    there = int(np.flatnonzero(dates == np.datetime64("2016-02-28", "D"))[0])
    assert len(dates) == len(RECORD.dates) - 1
    assert columns["rain_mm"][there] == RECORD.rain_mm[leap - 1] + RECORD.rain_mm[leap]
    assert columns["tmin_c"][there] == RECORD.tmin_c[leap - 1]
    assert columns["tmin_c"][there + 1] == RECORD.tmin_c[leap + 1]


@given(start_month=st.integers(1, 12))
def test_rain_is_conserved(start_month):
    """The rain of a lane is the rain of its days in the record, leap day included."""
    forcing = larder_years(RECORD, start_month)
    for lane, year in enumerate(forcing.start_years):
        first = np.datetime64(f"{year}-{start_month:02d}-01", "D")
        after = np.datetime64(f"{year + 1}-{start_month:02d}-01", "D")
        inside = (RECORD.dates >= first) & (RECORD.dates < after)
        assert forcing.rain_mm[365:, lane].sum() == pytest.approx(RECORD.rain_mm[inside].sum(), rel=1e-12)


def test_arrays_are_contiguous_finite_and_follow_the_sun():
    """Lanes are contiguous; daylength has its top at midsummer and twilight adds to it."""
    forcing = larder_years(RECORD, 10)
    for name in ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "eto_mm", "daylength_h", "twilight_daylength_h"):
        values = getattr(forcing, name)
        assert values.flags["C_CONTIGUOUS"], name
        assert np.isfinite(values).all(), name
    longest = int(np.argmax(forcing.daylength_h[365:, 0]))
    assert abs(longest - (171 + 92)) <= 2
    assert (forcing.twilight_daylength_h > forcing.daylength_h).all()


def test_a_record_without_a_whole_larder_year_is_a_fault():
    """A year and a bit that holds no larder year from April on is refused with a remedy."""
    short = record("2018-05-01", "2019-04-01")
    with pytest.raises(InputFaults) as caught:
        larder_years(short, 4)
    assert "year_starts" in caught.value.faults[0].remedy


def test_climate_is_the_mean_of_the_record():
    """Monthly means and sums are the record's; the arrays by day keep the yearly sums."""
    means = climate(RECORD, 10)
    dates, columns = without_leap_days(RECORD)
    january = dates.astype("datetime64[M]").astype(int) % 12 == 0
    assert means.tmin_month_c[0] == pytest.approx(columns["tmin_c"][january].mean())
    assert means.rain_month_mm.sum() == pytest.approx(columns["rain_mm"].sum() / means.years)
    assert means.rain_doy_mm.sum() == pytest.approx(means.rain_month_mm.sum())
    assert means.eto_doy_mm.sum() == pytest.approx(means.eto_month_mm.sum())
    assert np.allclose((means.tmin_doy_c + means.tmax_doy_c) / 2, means.tmean_doy_c)


@given(start_month=st.integers(1, 12), day=st.integers(1, 365))
def test_larder_days_and_days_of_year_are_one_to_one(start_month, day):
    """Turning a day of the year into a larder day and back gives the same day, and the arrays turn alike."""
    means = climate(RECORD, start_month)
    index = means.larder_day(day)
    assert means.day_of_year(index) == day
    assert means.larder(means.tmean_doy_c)[index] == means.tmean_doy_c[day - 1]
    assert means.larder_day(int(MONTH_STARTS[start_month - 1]) + 1) == 0


def test_frost_dates_turn_with_the_hemisphere():
    """In the south the last frost falls from July to December and the first from February to June."""
    north, south = frost_dates(RECORD), frost_dates(record(latitude_deg=-40.0))
    assert all(day is None or day.month <= 6 for day in north.last.values())
    assert all(day is None or day.month >= 7 for day in south.last.values())
    assert all(day is None or 2 <= day.month <= 6 for day in south.first.values())
    assert north.last_p50 is not None
    assert north.last_p50 <= north.last_p90
    assert north.first_p10 <= north.first_p50


def test_half_years_cut_short_are_left_out():
    """A spring that the record does not hold whole has no last frost."""
    frost = frost_dates(record("2018-02-01", "2019-08-01"))
    assert list(frost.last) == [2019]
    assert list(frost.first) == [2018]


def test_a_place_without_frost_has_no_frost_date():
    """Where it never freezes, the dates are None and the frost days none."""
    warm = record()
    lifted = type(warm)(**{**warm.__dict__, "tmin_c": warm.tmin_c + 40, "tmax_c": warm.tmax_c + 40})
    frost = frost_dates(lifted)
    assert (frost.last_p50, frost.first_p50, frost.frost_days_year) == (None, None, 0.0)


@given(st.lists(st.floats(-40, 40), min_size=365, max_size=365))
def test_running_mean_keeps_the_mean(values):
    """Smoothing round the ring of the year changes no yearly mean."""
    assert running_mean(np.array(values)).mean() == pytest.approx(np.mean(values), abs=1e-9)


def raw(**more):
    """A year of raw columns, some measured."""
    dates = days("2019-01-01", "2020-01-01")
    mean = 12 - 8 * np.cos(2 * np.pi * np.arange(365) / 365)
    return Raw(dates, mean - 5, mean + 5, np.zeros(365), **more)


def test_measured_humidity_beats_estimates_in_order():
    """Vapour pressure comes from the best-known input: itself, dew point, extremes, mean, then Tmin."""
    full = np.full(365, 1.0)
    known = {
        "vap_kpa": full,
        "dew_c": full * 2,
        "rh_min_pct": full * 50,
        "rh_max_pct": full * 90,
        "rh_mean_pct": full * 70,
    }
    words = ["", "eq. 14", "eq. 17", "eq. 19", "eq. 48"]
    for dropped, word in zip(
        [(), ("vap_kpa",), ("dew_c",), ("rh_min_pct", "rh_max_pct"), ("rh_mean_pct",)], words, strict=True
    ):
        for name in dropped:
            del known[name]
        said = fill(raw(**known), 45, 100, "x").estimated.get("vap_kpa", "")
        assert (word in said) if word else not said


def test_a_missing_day_takes_the_next_procedure():
    """Where radiation is missing on some days, the temperature range serves on these alone."""
    measured = np.full(365, 6.0)
    measured[100:110] = np.nan
    filled = fill(raw(rad_mj_m2=measured), 45, 100, "x")
    assert filled.rad_mj_m2[99] == 6.0
    assert filled.rad_mj_m2[105] != 6.0
    assert "10 days" in filled.estimated["rad_mj_m2"]
    assert np.isfinite(filled.eto_mm).all()


def test_coastal_coefficient_gives_more_radiation():
    """The coastal coefficient of equation 50 gives more radiation than the inland one and says so."""
    inland, coastal = fill(raw(), 45, 0, "x"), fill(raw(), 45, 0, "x", krs=0.19)
    assert coastal.rad_mj_m2.sum() > inland.rad_mj_m2.sum()
    assert "coast" in coastal.estimated["rad_mj_m2"]
