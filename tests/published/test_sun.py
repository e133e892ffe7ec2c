"""The sun's place and times against published and independently computed cases."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from yardland.weather.sun import (
    daylength_h,
    extraterrestrial_radiation_mj_m2,
    refraction_deg,
    sun_position,
    sun_times,
    twilight_daylength_h,
)


def test_reference_case_of_the_solar_position_algorithm():
    """The sun stands at zenith 50.1116, azimuth 194.3402 in the worked example (Reda and Andreas, NREL/TP-560-34302; from memory)."""
    moment = datetime(2003, 10, 17, 12, 30, 30, tzinfo=timezone(timedelta(hours=-7)))
    sun = sun_position(39.742476, -105.1786, moment)
    apparent = sun.altitude_deg + refraction_deg(sun.altitude_deg)
    assert 90 - apparent == pytest.approx(50.11162, abs=0.02)
    assert sun.azimuth_deg == pytest.approx(194.34024, abs=0.02)
    assert sun.declination_deg == pytest.approx(-9.31, abs=0.01)


@pytest.mark.parametrize(
    ("place", "day", "utc_offset_h", "rise", "set_"),
    [
        ((51.4779, 0.0), date(2024, 6, 20), 0, (3, 43), (20, 21)),
        ((51.4779, 0.0), date(2024, 12, 21), 0, (8, 3), (15, 53)),
        ((40.7128, -74.0060), date(2024, 6, 21), -4, (5, 25), (20, 31)),
    ],
)
def test_sunrise_and_sunset(place, day, utc_offset_h, rise, set_):
    """Sunrise and sunset at Greenwich and New York fall within 1.5 min of another implementation's (computed: from memory)."""
    times = sun_times(*place, day)
    for found, (hour, minute) in ((times.sunrise_h_utc, rise), (times.sunset_h_utc, set_)):
        assert found is not None
        assert (found + utc_offset_h) * 60 == pytest.approx(hour * 60 + minute, abs=1.5)


@pytest.mark.parametrize(("day_of_year", "hours"), [(172, 24.0), (355, 0.0)])
def test_polar_day_and_night(day_of_year, hours):
    """At 70 N the day lasts 24 h at midsummer and 0 at midwinter, with finite radiation (definition; common practice)."""
    assert daylength_h(70, day_of_year) == hours
    assert 0 <= extraterrestrial_radiation_mj_m2(70, day_of_year) < 50
    assert twilight_daylength_h(70, day_of_year) >= hours


def test_polar_times_say_which():
    """Where the sun does not cross the horizon there is no sunrise, and the case is named (definition; common practice)."""
    summer, winter = sun_times(75, 20, date(2023, 6, 21)), sun_times(75, 20, date(2023, 12, 21))
    assert (summer.sunrise_h_utc, summer.up_all_day) == (None, True)
    assert (winter.sunset_h_utc, winter.up_all_day) == (None, False)


def test_midday_altitude_at_the_equinox():
    """On the equator at the March equinox the noon sun stands overhead (definition; common practice)."""
    noon = datetime(2024, 3, 20, 12, 7, 30, tzinfo=UTC)
    assert sun_position(0, 0, noon).altitude_deg == pytest.approx(90, abs=0.5)
