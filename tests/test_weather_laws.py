"""Laws of sun and evaporation that hold for any place and day."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from yardland.weather import eto
from yardland.weather.sun import (
    daylength_h,
    extraterrestrial_radiation_mj_m2,
    sun_position,
    sun_times,
    twilight_daylength_h,
)

latitudes = st.floats(-90, 90)
days = st.integers(1, 365)
temperatures = st.floats(-40, 45)
spans = st.floats(0, 25)
AT_A_POLE_MJ_M2 = 24 * 60 * 0.0820 * 1.033 * np.sin(0.409)
"""The most that FAO-56 equation 21 can give: a sun that does not set (23, 24 at their greatest), seen from the pole."""


@given(latitudes, days)
def test_day_here_is_night_across_the_equator(latitude, day):
    """Daylength at a latitude and at its mirror add to 24 hours."""
    assert daylength_h(latitude, day) + daylength_h(-latitude, day) == pytest.approx(24, abs=1e-9)


@given(latitudes, days)
def test_day_twilight_and_radiation_have_bounds(latitude, day):
    """A day has 0 to 24 hours, no more than with its twilight; no radiation is over that of a pole at midsummer."""
    day_h, twilight_h = float(daylength_h(latitude, day)), float(twilight_daylength_h(latitude, day))
    assert 0 <= day_h <= twilight_h <= 24
    assert 0 <= extraterrestrial_radiation_mj_m2(latitude, day) <= AT_A_POLE_MJ_M2


@given(st.floats(-66, 66), days)
def test_radiation_outside_the_air_needs_daylight(latitude, day):
    """Below the polar circles there is daylight and radiation on every day."""
    assert daylength_h(latitude, day) > 0
    assert extraterrestrial_radiation_mj_m2(latitude, day) > 0


@given(st.floats(-60, 60), st.floats(-180, 180), st.integers(0, 3650))
def test_the_sun_stands_on_the_horizon_at_sunrise_and_sunset(latitude, longitude, offset):
    """At the given times the sun's centre stands at -0.833 degrees, in the east and in the west."""
    day = date(2018, 1, 1) + timedelta(days=offset)
    times = sun_times(latitude, longitude, day)
    assume(times.sunrise_h_utc is not None)
    midnight = datetime(day.year, day.month, day.day, tzinfo=UTC)
    rise = sun_position(latitude, longitude, midnight + timedelta(hours=times.sunrise_h_utc))
    fall = sun_position(latitude, longitude, midnight + timedelta(hours=times.sunset_h_utc))
    assert rise.altitude_deg == pytest.approx(-0.833, abs=0.02)
    assert fall.altitude_deg == pytest.approx(-0.833, abs=0.02)
    assert rise.azimuth_deg < 180 < fall.azimuth_deg


def test_a_moment_without_zone_is_refused():
    """A sun position without a time zone would be a guess, so it is refused."""
    with pytest.raises(ValueError, match="time zone"):
        sun_position(50, 0, datetime(2020, 6, 1, 12))  # noqa: DTZ001 - the fault under test


@given(temperatures, spans, st.floats(0.05, 1), st.floats(0, 12), st.floats(0, 1), days, st.floats(-60, 60))
def test_evaporation_is_finite_and_never_negative(low, span, moisture, wind, clear, day, latitude):
    """No weather gives a negative or undefined evapotranspiration."""
    ra = extraterrestrial_radiation_mj_m2(latitude, day)
    vapour = moisture * eto.mean_saturation_kpa(low, low + span)
    found = eto.reference_eto_mm(low, low + span, vapour, wind, clear * 0.75 * ra, ra, 100)
    assert np.isfinite(found)
    assert found >= 0
    assert eto.hargreaves_mm(low, low + span, ra) >= 0


@given(st.floats(0, 30), spans, st.floats(0.2, 1), st.floats(0.5, 8), st.floats(0, 0.7), st.floats(0.05, 0.3))
def test_more_net_radiation_evaporates_more(low, span, moisture, wind, net, more):
    """Evapotranspiration rises with net radiation, all else the same."""
    vapour = moisture * eto.mean_saturation_kpa(low, low + span)
    first = eto.penman_monteith_mm(low, low + span, vapour, wind, net * 20, 100)
    second = eto.penman_monteith_mm(low, low + span, vapour, wind, (net + more) * 20, 100)
    assert second > first


@given(st.floats(0, 30), spans, st.floats(0.2, 0.9), st.floats(0.5, 8))
def test_moister_air_evaporates_less(low, span, moisture, wind):
    """Evapotranspiration falls when the air holds more vapour and the net radiation is the same."""
    saturation = eto.mean_saturation_kpa(low, low + span)
    dry = eto.penman_monteith_mm(low, low + span, moisture * saturation, wind, 10, 100)
    moist = eto.penman_monteith_mm(low, low + span, (moisture + 0.1) * saturation, wind, 10, 100)
    assert moist < dry


@given(st.floats(-40, 40))
def test_dew_point_undoes_saturation(temperature):
    """The dew point of air that is saturated at a temperature is that temperature."""
    assert eto.dew_point_c(eto.saturation_kpa(temperature)) == pytest.approx(temperature, abs=1e-9)


@given(st.floats(-40, 40), st.floats(0.01, 5))
def test_saturation_rises_with_its_slope(temperature, step):
    """Saturation pressure rises with temperature, and the slope is its derivative."""
    assert eto.saturation_kpa(temperature + step) > eto.saturation_kpa(temperature)
    difference = (eto.saturation_kpa(temperature + 1e-4) - eto.saturation_kpa(temperature - 1e-4)) / 2e-4
    assert eto.slope_kpa_c(temperature) == pytest.approx(difference, rel=1e-3)


@given(st.floats(0, 24), st.floats(1, 24), st.floats(1, 45))
def test_sunshine_gives_a_quarter_to_three_quarters(sunshine, day, ra):
    """Radiation by sunshine lies between a quarter and three quarters of that outside the air."""
    assert 0.25 * ra <= eto.radiation_from_sunshine_mj_m2(sunshine, day, ra) <= 0.75 * ra + 1e-9
