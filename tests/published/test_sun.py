"""The sun's place and times against published and independently computed cases."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import numpy as np
import pytest

from yardland.weather.sun import (
    daylength_h,
    extraterrestrial_radiation_mj_m2,
    refraction_deg,
    sun_position,
    sun_times,
    twilight_daylength_h,
)


def test_reference_case_of_the_solar_position_algorithm(outside):
    """The sun stands at zenith 50.1116, azimuth 194.3402 in the worked example (Reda and Andreas, NREL/TP-560-34302; from memory)."""
    moment = datetime(2003, 10, 17, 12, 30, 30, tzinfo=timezone(timedelta(hours=-7)))
    sun = sun_position(39.742476, -105.1786, moment)
    zenith = 90 - sun.altitude_deg - refraction_deg(sun.altitude_deg)
    source = "Reda and Andreas 2008, NREL/TP-560-34302, worked example"
    got = [zenith, sun.azimuth_deg]
    outside.check_close("K23", "zenith and azimuth, degrees", source, "from memory", [50.11162, 194.34024], got, 0.02)
    outside.check_close("K23", "declination, degrees", source, "from memory", -9.31, sun.declination_deg, 0.01)


@pytest.mark.parametrize(
    ("name", "place", "day", "utc_offset_h", "rise", "set_"),
    [
        ("Greenwich, 20 June 2024", (51.4779, 0.0), date(2024, 6, 20), 0, (3, 43), (20, 21)),
        ("Greenwich, 21 December 2024", (51.4779, 0.0), date(2024, 12, 21), 0, (8, 3), (15, 53)),
        ("New York, 21 June 2024", (40.7128, -74.0060), date(2024, 6, 21), -4, (5, 25), (20, 31)),
    ],
)
def test_sunrise_and_sunset(outside, name, place, day, utc_offset_h, rise, set_):
    """Sunrise and sunset at Greenwich and New York fall within 1.5 min of another implementation's (computed)."""
    times = sun_times(*place, day)
    got = [60 * (found + utc_offset_h) for found in (times.sunrise_h_utc, times.sunset_h_utc)]
    want = [60 * hour + minute for hour, minute in (rise, set_)]
    what = f"sunrise and sunset, {name}, minutes after midnight"
    outside.check_close("K25", what, "independent run of the solar position algorithm", "computed", want, got, 1.5)


@pytest.mark.parametrize(("name", "day_of_year", "hours"), [("midsummer", 172, 24.0), ("midwinter", 355, 0.0)])
def test_polar_day_and_night(outside, name, day_of_year, hours):
    """At 70 N the day lasts 24 h at midsummer and 0 at midwinter, with finite radiation (definition; common practice)."""
    got = daylength_h(70, day_of_year)
    outside.check_close("K26", f"daylight at 70 N, {name}, h", "definition", "common practice", hours, got, 0)
    radiation = float(extraterrestrial_radiation_mj_m2(70, day_of_year))
    what = f"radiation outside the air at 70 N, {name}, MJ/m2"
    outside.check_between("K26", what, "definition", "common practice", 0, 50, radiation)
    assert twilight_daylength_h(70, day_of_year) >= hours


def test_polar_times_say_which(outside):
    """Where the sun does not cross the horizon there is no sunrise, and the case is named (definition; common practice)."""
    summer, winter = sun_times(75, 20, date(2023, 6, 21)), sun_times(75, 20, date(2023, 12, 21))
    got = [summer.sunrise_h_utc, summer.up_all_day, winter.sunset_h_utc, winter.up_all_day]
    what = "75 N: sunrise and sun all day at midsummer, sunset and sun all day at midwinter"
    outside.check_same("K26", what, "definition", "common practice", [None, True, None, False], got)


def test_midday_altitude_at_the_equinox(outside):
    """On the equator at the March equinox the noon sun stands overhead (definition; common practice)."""
    noon = datetime(2024, 3, 20, 12, 7, 30, tzinfo=UTC)
    got = sun_position(0, 0, noon).altitude_deg
    what = "noon sun on the equator at the equinox, degrees"
    outside.check_close("equinox", what, "definition", "common practice", 90, got, 0.5)


def test_day_and_night_share_the_year(outside):
    """Over a year every latitude outside the polar circles has 12 hours of day on average (identity of FAO-56 equations 25 and 34)."""
    days = np.arange(1, 366)
    got = [float(daylength_h(latitude, days).mean()) for latitude in (-60, -34, 0, 34, 60)]
    what = "mean daylight of a year at 60 S, 34 S, 0, 34 N, 60 N, h"
    outside.check_close("daylight", what, "symmetry of the solar year", "identity", 12.0, got, 0.02)
