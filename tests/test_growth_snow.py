"""Snow on the ground, and how cold it is beneath it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from growth_kit import grown, holding, row, tables, weather
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from yardland.growth.heat import trailing_mean
from yardland.growth.sky import runoff, sky
from yardland.growth.snow import cold_let_through, crown_c, snow, soil_c
from yardland.growth.traits import STATUS_WORDS

DAYS = 60
TEMPERATURES = arrays(np.float64, (DAYS, 2), elements=st.floats(-30, 20))
RAINS = arrays(np.float64, (DAYS, 2), elements=st.floats(0, 60))


@given(TEMPERATURES, RAINS)
def test_what_fell_has_melted_or_lies(tmean: np.ndarray, rain: np.ndarray) -> None:
    """On every day the snow fallen so far is what has melted and what lies; nothing is negative."""
    made = snow(tables(), tmean, rain)

    np.testing.assert_allclose(
        np.cumsum(made.fell_mm, axis=0), np.cumsum(made.melted_mm, axis=0) + made.lies_mm, atol=1e-9
    )
    for part in (made.fell_mm, made.melted_mm, made.lies_mm, rain - made.fell_mm):
        assert (part >= 0).all()


@given(TEMPERATURES, RAINS, st.floats(0, 10))
def test_a_warmer_winter_has_no_more_snow(tmean: np.ndarray, rain: np.ndarray, by_c: float) -> None:
    """Nothing more falls or lies on any day when every day is warmer."""
    cold, warm = snow(tables(), tmean, rain), snow(tables(), tmean + by_c, rain)

    assert (warm.fell_mm <= cold.fell_mm + 1e-9).all()
    assert (warm.lies_mm <= cold.lies_mm + 1e-9).all()


def test_snow_comes_by_degrees() -> None:
    """All of the rain at 0 C, half at 1 C, none from 2 C."""
    tmean = np.array([[-5.0], [0.0], [0.5], [1.0], [2.0], [9.0]])

    np.testing.assert_allclose(snow(tables(), tmean, np.full((6, 1), 8.0)).fell_mm[:, 0], [8, 8, 6, 4, 0, 0])


def test_snow_melts_by_the_degree_and_no_more_than_lies() -> None:
    """20 mm of snow at 2 C and 4 C: 7.02 and 12.98 (not 14.04) run off, then nothing."""
    made = snow(tables(), np.array([[-3.0], [2.0], [4.0], [6.0]]), np.array([[20.0], [0.0], [0.0], [0.0]]))

    np.testing.assert_allclose(made.melted_mm[:, 0], [0, 7.02, 12.98, 0])


@pytest.mark.parametrize("cover", ["open", "fleece", "tunnel", "frame"])
def test_water_that_reaches_the_ground(cover: str) -> None:
    """Rain and snow fallen are the water given and the snow left; runoff is of that water; tunnels keep both off."""
    made = weather("cool", rain_mm=6.0)
    cold = replace(made, tmin_c=made.tmin_c - 9, tmax_c=made.tmax_c - 9)
    seen = sky(cold, tables(), cover, 75.0)

    assert float(seen.rain_mm.sum()) == pytest.approx(float(seen.water_mm.sum() + seen.snow_mm[-1].sum()))
    np.testing.assert_array_equal(seen.runoff_mm, runoff(seen.water_mm, 75.0))
    assert bool(seen.snow_mm.any()) == (cover in {"open", "fleece"})
    assert (seen.tmin_c <= seen.tmean_c).all()
    assert (seen.tmean_c <= seen.tmax_c).all()


def test_a_snowless_year_is_as_without_snow() -> None:
    """Where it never freezes, water is rain, the crown has the three-day mean of the air, and nothing lies."""
    seen = sky(weather("hot", rain_mm=4.0), tables(), "open", 75.0)

    np.testing.assert_array_equal(seen.water_mm, seen.rain_mm)
    np.testing.assert_array_equal(seen.crown_c, trailing_mean(seen.tmean_c, 3))
    assert not seen.snow_mm.any()


@given(st.floats(0, 200), st.floats(0.5, 50))
def test_deeper_snow_lets_less_cold_through(lies: float, more: float) -> None:
    """All of the cold on bare ground, less the deeper the snow, never none."""
    thin, thick = cold_let_through(tables(), np.array([lies, lies + more]))

    assert 0 < thick < thin <= 1
    assert float(cold_let_through(tables(), np.zeros(1))[0]) == 1.0


@given(TEMPERATURES, arrays(np.float64, (DAYS, 2), elements=st.floats(0, 100)))
def test_crown_and_soil_lie_within_the_air_and_freezing(tmean: np.ndarray, lies: np.ndarray) -> None:
    """Neither is colder than the coldest day nor warmer than the warmest, freezing point included for the crown."""
    crown, soil = crown_c(tables(), tmean, lies), soil_c(tables(), tmean, lies)

    assert (crown >= min(tmean.min(), 0) - 1e-9).all()
    assert (crown <= max(tmean.max(), 0) + 1e-9).all()
    assert (soil >= tmean.min() - 1e-9).all()
    assert (soil <= tmean.max() + 1e-9).all()


def test_soil_lags_the_year_and_damps_a_frosty_night() -> None:
    """Over a year's wave the soil is three days behind with the same swing; of a single cold day it takes a quarter."""
    day = np.arange(1095)
    wave = 10 - 9 * np.cos(2 * np.pi * day / 365)[:, None]
    soil = soil_c(tables(), wave, np.zeros_like(wave))[500:865, 0]
    snap = np.full((60, 1), 8.0)
    snap[30] = -4.0

    assert int(np.argmin(soil)) + 500 - 730 == 3
    assert float(np.ptp(soil)) == pytest.approx(18, rel=0.01)
    assert float(soil_c(tables(), snap, np.zeros_like(snap))[30, 0]) == pytest.approx(5.0)


def test_snow_keeps_the_cold_out_of_the_soil() -> None:
    """After a fortnight at -10 C the bare soil is near it; beneath 12 cm of snow it is some degrees warmer."""
    air = np.concatenate([np.full((20, 1), 1.0), np.full((14, 1), -10.0)])
    bare, covered = (float(soil_c(tables(), air, np.full_like(air, lies))[-1, 0]) for lies in (0.0, 24.0))

    assert bare < -9
    assert covered > bare + 3


def test_snow_keeps_the_crown_over_what_hardened_wheat_stands() -> None:
    """Ten days at -22 C: on bare ground the crown is under what hardened wheat lives through, beneath 8 cm it is not."""
    kill = tables().row("crops", "winter_wheat").need("frost_kill_c")
    air = np.concatenate([np.full((20, 1), -2.0), np.full((10, 1), -22.0)])
    bare, covered = (float(crown_c(tables(), air, np.full_like(air, lies)).min()) for lies in (0.0, 16.0))

    assert bare < kill < covered


@pytest.mark.parametrize(("snow_mm", "fate"), [(0.0, "lost to frost"), (24.0, "gathered")])
def test_snow_saves_winter_wheat_that_a_bare_frost_kills(snow_mm: float, fate: str) -> None:
    """A cold January in the hills: ten days of -26 to -17 C after 24 mm of snow, or after none, on wheat of last autumn."""
    made = weather("cool", rain_mm=3.0)
    tmin, tmax, rain = made.tmin_c.copy(), made.tmax_c.copy(), made.rain_mm.copy()
    january = slice(375, 415)
    tmin[january], tmax[january], rain[january] = -6.0, -1.0, 0.0
    rain[380] = snow_mm
    tmin[390:400], tmax[390:400] = -26.0, -17.0
    result = grown(holding(row("winter_wheat")), replace(made, tmin_c=tmin, tmax_c=tmax, rain_mm=rain))

    assert STATUS_WORDS[int(result.status[0, 0, 0])] == fate
