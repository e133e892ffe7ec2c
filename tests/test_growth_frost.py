"""Frost on field and garden crops by stage: seedlings, flowers, the rest."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from growth_kit import grown, holding, row, tables, weather
from hypothesis import given, settings
from hypothesis import strategies as st

from yardland.datebook.season import season_climate
from yardland.datebook.windows import Windows
from yardland.errors import TableError
from yardland.growth import traits as tr
from yardland.growth.crop_traits import crop_traits
from yardland.growth.outcome import GrowthResult
from yardland.growth.phenology import stage_days
from yardland.holding.model import OwnRow
from yardland.reference import load_tables
from yardland.weather.types import Forcing

CEREALS = ("winter_wheat", "spring_wheat", "winter_barley", "spring_barley", "oats", "rye")
DAYS = np.arange(730)


def at_60_north() -> Forcing:
    """A made year of long days and a late spring: the mean from -7.5 to 16.5 C, nights 4 C under it."""
    mean = (4.5 - 12 * np.cos(2 * np.pi * (DAYS - 20) / 365))[:, None]
    hours = (12.3 - 6.6 * np.cos(2 * np.pi * (DAYS + 10) / 365))[:, None]
    return replace(
        weather("cool"), tmin_c=mean - 4, tmax_c=mean + 5, daylength_h=hours, twilight_daylength_h=hours + 1.7
    )


def day_of_stage(crop: str, forcing: Forcing, share: float) -> tuple[GrowthResult, int]:
    """A crop grown in that weather, and the day (of the repeating year) on which it passes a share of its course."""
    result = grown(holding(row(crop)), forcing)
    sown = int(result.pick(result.sow_day)[0, 0])
    mean = ((forcing.tmin_c + forcing.tmax_c) / 2)[:365, 0]
    light = (forcing.twilight_daylength_h[:365, 0], forcing.daylength_h[:365, 0])
    days = stage_days(crop_traits(tables(), crop), (share,), mean, *light)[1][0]
    return result, (sown + int(days[sown % 365])) % 365


def with_night(forcing: Forcing, day: int, tmin_c: float) -> Forcing:
    """The same weather with one cold night each year; the mean of its day stays."""
    tmin, tmax = forcing.tmin_c.copy(), forcing.tmax_c.copy()
    for at in (day, day + 365):
        tmax[at] += tmin[at] - tmin_c
        tmin[at] = tmin_c
    return replace(forcing, tmin_c=tmin, tmax_c=tmax)


def after_night(crop: str, forcing: Forcing, share: float, tmin_c: float) -> tuple[Any, Any, str]:
    """Yield over that without the cold night (what the hot noon behind it takes apart), the frost factor, the crop's fate."""
    whole, day = day_of_stage(crop, forcing, share)
    result = grown(holding(row(crop)), with_night(forcing, day, tmin_c))
    yields = [float(one.pick(one.yield_kg_ha / one.factors["heat"])[0, 0]) for one in (result, whole)]
    return yields[0] / yields[1], float(result.pick(result.factors["frost"])[0, 0]), result.status_words(0, 0)


@pytest.mark.parametrize("crop", ["oats", "spring_barley", "spring_wheat", "pea_dry"])
def test_seedlings_of_hardy_crops_stand_a_night_of_minus_five_at_60_north(crop: str) -> None:
    """Soon after emergence -5 C costs spring grain and peas nothing; -11 C kills them."""
    forcing = at_60_north()

    assert after_night(crop, forcing, 0.1, -5.0) == (pytest.approx(1.0), 1.0, "gathered")
    assert after_night(crop, forcing, 0.1, -11.0)[1:] == (0.0, "lost to frost")


def test_past_their_young_stage_oats_die_of_minus_six() -> None:
    """Once the growing point has left the ground the table's plain kill temperature holds."""
    assert after_night("oats", at_60_north(), 0.4, -6.0)[2] == "lost to frost"


@pytest.mark.parametrize("crop", CEREALS)
def test_frost_in_the_ear_takes_a_share(crop: str) -> None:
    """A night of -3 C at flowering, midway between a tenth and nine tenths, halves a cereal; -1 C takes nothing."""
    half, frost, word = after_night(crop, weather("cool"), 0.6, -3.0)

    assert (half, frost, word) == (pytest.approx(0.5, abs=1e-6), pytest.approx(0.5), "gathered")
    assert after_night(crop, weather("cool"), 0.6, -1.0)[1] == 1.0


def test_frost_that_leaves_no_flower_loses_the_crop() -> None:
    """Wheat that flowers in a night of -5 C is lost to frost, and so told."""
    assert after_night("spring_wheat", weather("cool"), 0.6, -5.0) == (0.0, 0.0, "lost to frost")


def test_pulses_flower_more_than_they_need() -> None:
    """Half of the flowers of peas make a full crop, so a night that kills half takes nothing."""
    assert after_night("pea_dry", weather("cool"), 0.6, -3.0)[1] == pytest.approx(1.0)
    assert after_night("pea_dry", weather("cool"), 0.6, -3.6)[1] == pytest.approx(2 * (1 - 0.74))


@settings(max_examples=6, deadline=None)
@given(night=st.floats(-6, 2), colder=st.floats(0, 4), share=st.floats(0.05, 0.95))
def test_a_colder_night_leaves_no_more(night: float, colder: float, share: float) -> None:
    """At any stage a colder night never leaves more of a crop."""
    mild, hard = (after_night("spring_barley", weather("cool"), share, low)[1] for low in (night, night - colder))

    assert hard <= mild + 1e-12


def test_flowers_are_no_hardier_than_the_young_crop() -> None:
    """Common practice: a crop is tenderest in flower; every crop with both figures says so."""
    rows = [tables().row("crops", crop) for crop in tables().keys("crops")]
    both = [row for row in rows if row["frost_kill_young_c"] is not None and row["flower_kill10_c"] is not None]

    assert len(both) >= 8
    assert all(row.need("flower_kill90_c") > row.need("frost_kill_young_c") for row in both)
    assert all(row.need("flower_kill90_c") < row.need("flower_kill10_c") for row in both)


@pytest.mark.parametrize("crop", ["oats", "spring_barley", "maize_grain", "potato", "soybean"])
def test_the_young_stage_opens_the_window_no_later(crop: str) -> None:
    """Where a crop stands more cold when young, its automatic window opens no later than without that figure."""
    climate = season_climate(at_60_north())
    kill = tables().row("crops", crop).need("frost_kill_c")
    own = OwnRow(line=2, key=f"crops.{crop}.frost_kill_young_c", value=kill, why="trial")
    plain = Windows(load_tables(own=(own,)), climate).season(crop)
    staged = Windows(tables(), climate).season(crop)

    assert (staged.sowable | ~plain.sowable).all()


def test_frost_in_flower_keeps_a_sowing_out_of_its_window() -> None:
    """Days whose sowing would flower in nights that take half of the flowers are not sowable."""
    climate = season_climate(at_60_north())
    key = "crops.spring_barley.flower_kill"
    own = [OwnRow(line=2, key=f"{key}{share}_c", value=value, why="trial") for share, value in ((10, 14.0), (90, 13.0))]

    assert Windows(tables(), climate).season("spring_barley").sowable.any()
    assert not Windows(load_tables(own=own), climate).season("spring_barley").sowable.any()


def test_flower_figures_in_the_wrong_order_are_named() -> None:
    """An own figure that puts nine tenths above a tenth is an error that names the crop."""
    own = OwnRow(line=2, key="crops.oats.flower_kill90_c", value=-1.0, why="trial")

    with pytest.raises(TableError, match=r"crops\.oats: nine tenths"):
        crop_traits(load_tables(own=(own,)), "oats")
    assert crop_traits(tables(), "oats")[tr.FLOWER_SLOPE] == pytest.approx(0.4)
