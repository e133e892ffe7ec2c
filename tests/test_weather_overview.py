"""What a record holds: months, years, frost, season, degree-days and suspects, against plain reckoning."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from weather_kit import record

from yardland.weather.overview import overview
from yardland.weather.suspect import suspects


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 1000), st.sampled_from([52.0, -36.0]))
def test_sums_of_years_and_months_are_those_of_the_days(seed, latitude_deg):
    """Rain by year and month adds up to the days'; degree-days fall as their base rises; seasons lie within a year."""
    made = record(latitude_deg=latitude_deg, seed=seed)
    told = overview(made)
    assert float(np.nansum(told.rain_year_month_mm)) == pytest.approx(float(made.rain_mm.sum()))
    assert sum(told.rain_year_mm.values()) == pytest.approx(float(made.rain_mm.sum()))
    assert tuple(told.rain_year_mm) == told.whole_years == told.years == (2015, 2016, 2017, 2018, 2019)
    for lower, higher in ((0, 5), (5, 10)):
        assert (told.degree_days_month[lower] >= told.degree_days_month[higher]).all()
    assert all(0 < days <= 365 for days in told.season.frost_free_days.values())
    assert told.season.one_in_ten_days <= told.season.median_days
    assert told.coldest.value == made.tmin_c.min()
    assert str(made.dates[int(made.rain_mm.argmax())]) == told.wettest_day.day


def test_degree_days_of_a_steady_year_are_its_degrees_times_days():
    """At a steady 12 C the year has 365 x 12, 7 and 2 degree-days."""
    made = record("2015-01-01", "2016-01-01")
    steady = replace(made, tmin_c=np.full(365, 10.0), tmax_c=np.full(365, 14.0))
    found = overview(steady).degree_days_month
    assert [round(float(values.sum()), 6) for values in found.values()] == [365 * 12, 365 * 7, 365 * 2]


@pytest.mark.parametrize(
    ("latitude_deg", "last", "first", "days"), [(52.0, (5, 3), (10, 4), 153), (-36.0, (11, 3), (4, 4), 151)]
)
def test_the_season_is_the_days_between_two_frosts(latitude_deg, last, first, days):
    """Days after the last frost and before the first are counted, across the new year in the south."""
    made = record("2014-07-01", "2017-07-01", latitude_deg)
    cold = np.full(len(made.dates), 5.0)
    for year in range(2014, 2018):
        for month, day in (last, first):
            cold[made.dates == np.datetime64(date(year, month, day))] = -1.0
    told = overview(replace(made, tmin_c=cold, tmax_c=cold + 9))
    assert set(told.season.frost_free_days.values()) <= {days, days + 1}
    assert told.season.median_days in {days, days + 1}


def test_a_place_without_frost_has_a_whole_year():
    """Without any frost the season has 365 days."""
    made = record()
    told = overview(replace(made, tmin_c=made.tmin_c + 60, tmax_c=made.tmax_c + 60))
    assert set(told.season.frost_free_days.values()) == {365}
    assert told.climate.frost.last_p50 is None


def test_a_typical_year_counts_once():
    """A year that is laid twice is summed up once, and tells no years."""
    made = record("2001-01-01", "2003-01-01")
    told = overview(replace(made, kind="typical year"))
    assert len(told.record.dates) == 365
    assert not told.tells_years


def test_ordinary_weather_is_not_suspect():
    """Random weather of five years raises no suspicion."""
    assert suspects(record()) == ()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda made: {"rain_mm": _with(made.rain_mm, slice(700, 701), 400.0)}, "400.0 mm of rain"),
        (lambda made: {"rain_mm": _with(made.rain_mm, slice(700, 790), 0.0)}, "blocked gauge"),
        (lambda made: {"tmin_c": _with(made.tmin_c, slice(300, 308), 4.0), "tmax_c": _with(made.tmax_c, slice(300, 308), 9.0)}, "same temperatures for 8 days"),
        (lambda made: {"tmin_c": _with(made.tmin_c, slice(300, 301), 4.0), "tmax_c": _with(made.tmax_c, slice(300, 301), 4.0)}, "both 4 C"),
        (lambda made: {"rad_mj_m2": _with(made.rad_mj_m2, slice(500, 501), 0.0), "estimated": {}}, "hardly any"),
    ],
    ids=["cloudburst", "blocked gauge", "stuck", "equal", "dark"],
)  # fmt: skip
def test_a_value_that_looks_wrong_is_told_by_its_day(change, words):
    """Each kind of suspect is found on its day and nowhere else, and nothing is changed."""
    made = record()
    changed = replace(made, **change(made))
    found = suspects(changed)
    assert len(found) == 1
    assert words in found[0].what
    assert "2015-10" <= found[0].first <= "2017-03"


def _with(values, where, value):
    changed = values.copy()
    changed[where] = value
    return changed
