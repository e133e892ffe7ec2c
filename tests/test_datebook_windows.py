"""Sowing windows by temperature, frost odds, ripening and rain, in both hemispheres."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from growth_kit import southern, tables, weather
from hypothesis import given, settings
from hypothesis import strategies as st

from yardland.datebook.season import kill_odds, season_climate
from yardland.datebook.windows import Windows
from yardland.growth.phenology import ripening_days
from yardland.growth.traits import BASE_C, KILL_C, TARGET
from yardland.holding.model import MonthDay, Span

SPRING = ("oats", "potato", "carrot", "pea_dry", "sunflower", "lettuce", "maize_grain")
AUTUMN = ("winter_wheat", "rye", "garlic", "vetch", "oilseed_rape")


def windows(climate: str = "warm", start_month: int = 1) -> Windows:
    """Windows in a reference climate whose larder year starts with that month."""
    return Windows(tables(), season_climate(weather(climate, start_month=start_month)))


@pytest.mark.parametrize("crop", SPRING)
def test_spring_crops_are_sown_between_midwinter_and_midsummer(crop: str) -> None:
    """A spring crop's window opens after the coldest day, on a day warm enough, and before the warmest day."""
    there = windows("warm")
    window = there.auto(crop)
    since_cold = (window.opens - there.climate.coldest) % 365

    assert since_cold < (there.climate.warmest - there.climate.coldest) % 365
    assert there.season(crop).warm[window.opens % 365]
    assert window.closes > window.opens


@pytest.mark.parametrize("crop", AUTUMN)
def test_autumn_crops_are_sown_between_midsummer_and_midwinter(crop: str) -> None:
    """A winter crop's window opens after the warmest day, before the coldest, and ripens the next year."""
    there = windows("cool")
    window = there.auto(crop)

    assert (window.opens - there.climate.warmest) % 365 < (there.climate.coldest - there.climate.warmest) % 365
    assert window.days > 150


@pytest.mark.parametrize("crop", SPRING + AUTUMN)
def test_windows_turn_by_half_a_year_in_the_south(crop: str) -> None:
    """The same seasons half a year later give the same window half a year later."""
    north = weather("warm")
    here = Windows(tables(), season_climate(north)).auto(crop)
    there = Windows(tables(), season_climate(southern(north))).auto(crop)

    assert abs((there.opens - here.opens - 182 + 182) % 365 - 182) <= 2
    assert abs((there.closes - there.opens) - (here.closes - here.opens)) <= 3


@pytest.mark.parametrize("crop", ["oats", "winter_wheat", "potato"])
def test_windows_do_not_depend_on_when_the_larder_year_starts(crop: str) -> None:
    """The window falls on the same dates whatever month the household's year begins."""
    january, october = windows("cool", 1), windows("cool", 10)

    assert january.name(january.auto(crop).opens) == october.name(october.auto(crop).opens)


def test_tender_crops_wait_for_frost_to_pass() -> None:
    """A tender crop opens where killing nights between emergence and harvest are few."""
    there = windows("warm")
    season = there.season("dry_bean")
    window = there.auto("dry_bean")
    odds = kill_odds(there.climate, float(season.traits[KILL_C]))
    standing = np.arange(window.opens + season.emerged[window.opens], window.opens + season.ripe[window.opens]) % 365

    assert odds[standing].sum() <= 0.11
    assert odds[(window.opens - 25) % 365] > odds[standing].max()


def test_nothing_ripens_that_lacks_heat() -> None:
    """In the cool climate grain sorghum gets a window, and its words say that it is likely to be lost."""
    assert "likely to be lost" in windows("cool").auto("sorghum").words


def test_winter_cereals_wait_for_the_rains_where_autumn_is_dry() -> None:
    """Where the cooling autumn is still dry the window opens with the rains."""
    forcing = weather("hot", rain_mm=0.0)
    wet_from = np.zeros((365, 1))
    wet_from[340:] = wet_from[:80] = 5.0
    dry_autumn = replace(forcing, rain_mm=np.concatenate([wet_from, wet_from]))
    rains = Windows(tables(), season_climate(dry_autumn)).auto("winter_wheat")
    always = Windows(tables(), season_climate(weather("hot", rain_mm=5.0))).auto("winter_wheat")

    assert "rains come" in rains.words
    assert rains.opens > always.opens


def test_hardy_pulses_grow_through_mild_winters() -> None:
    """Broad beans are sown in autumn where winters are mild and summers dry, in spring elsewhere."""
    dry = Windows(tables(), season_climate(weather("hot", rain_mm=0.1)))
    cool = windows("cool")

    assert (dry.auto("broad_bean").opens - dry.climate.warmest) % 365 < 182
    assert (cool.auto("broad_bean").opens - cool.climate.coldest) % 365 < 182


def test_typed_dates_are_kept() -> None:
    """A typed window is taken as it is; a typed date waits for fit ground."""
    there = windows("cool", 10)
    window = there.explicit("kale", Span(MonthDay(5, 15), MonthDay(6, 20)))
    day = there.explicit("lettuce", MonthDay(4, 20))

    assert (there.name(window.opens), there.name(window.closes)) == ("15 May", "20 Jun")
    assert there.name(day.opens) == "20 Apr"
    assert day.closes - day.opens == 20


def test_typed_window_may_cross_the_new_year() -> None:
    """A window from December to February is 62 days long, not negative."""
    window = windows("hot").explicit("onion", Span(MonthDay(12, 10), MonthDay(2, 10)))

    assert window.closes - window.opens == 62


@settings(max_examples=25, deadline=None)
@given(warmer=st.floats(0.5, 5), crop=st.sampled_from(["oats", "potato", "carrot", "tomato"]))
def test_warmer_years_ripen_no_later(warmer: float, crop: str) -> None:
    """Under the plateau a warmer year never lengthens the way to ripeness of a crop without need of cold."""
    climate = season_climate(weather("cool"))
    traits = windows("cool").season(crop).traits
    here = ripening_days(traits, climate.tmean_c, climate.twilight_h, climate.daylength_h)[1]
    there = ripening_days(traits, climate.tmean_c + warmer, climate.twilight_h, climate.daylength_h)[1]
    both = (here >= 0) & (there >= 0)

    assert (there[both] <= here[both]).all()
    assert not ((here >= 0) & (there < 0)).any()


def test_ripening_days_count_degree_days() -> None:
    """At a steady ten degrees over the base a crop takes its degree-days over ten, less the day it is sown."""
    traits = windows("cool").season("oats").traits
    steady = np.full(365, traits[0] + 10)
    emerged, ripe = ripening_days(traits, steady, np.full(365, 12.0), np.full(365, 12.0))

    assert set(emerged) == {13}
    assert set(ripe) == {int(np.ceil((140 + traits[TARGET]) / 10)) - 1}


@settings(max_examples=15, deadline=None)
@given(crop=st.sampled_from(("kale", "chard", "courgette", "tomato")), first=st.integers(0, 364))
def test_picking_takes_the_same_warmth_wherever_it_is(crop: str, first: int) -> None:
    """Picking lasts the table's days at least, and in a cooler season as much longer as the same degree-days take."""
    there = windows("cool")
    traits, climate = there.season(crop).traits, there.climate
    days = there.picking_days(crop, first)
    table = tables().row("crops", crop).need("picking_days")
    due = table * (tables().row("growth", "picking_at_c").need("number") - traits[BASE_C])
    heat = np.clip(climate.tmean_c[(first + np.arange(int(days))) % 365] - traits[BASE_C], 0, None)

    assert table <= days <= 365
    assert days in (table, 365) or heat[:-1].sum() < due <= heat.sum() + 1e-9


@pytest.mark.parametrize("climate", ["cool", "warm"])
def test_tender_roots_are_lifted_before_the_soil_is_cold(climate: str) -> None:
    """Potatoes that are not ripe are lifted as the mean falls to the tables' figure; swedes stay till growth stops."""
    there = windows(climate)
    opens = there.auto("potato").opens
    lifted = there.season_ends("potato", opens)
    least = tables().row("growth", "lift_tender_c").need("number")

    assert there.climate.tmean_c[lifted % 365] < least <= there.climate.tmean_c[(lifted - 1) % 365]
    assert there.season_ends("swede", opens) > lifted


def test_late_sowings_end_in_the_same_autumn() -> None:
    """A turnip sown past the year's warmest day stops growing in the autumn before it, one sown in spring in the next."""
    there = windows("cool")
    late = there.climate.warmest + 20
    spring = there.auto("turnip").opens

    assert 0 < there.season_ends("turnip", late) - late < 160
    assert there.season_ends("turnip", late) % 365 == there.season_ends("turnip", spring) % 365
    assert there.season_ends("turnip", there.climate.coldest) - there.climate.coldest > 250


def test_where_it_is_never_cold_the_coldest_day_ends_a_season() -> None:
    """In the tropics a sowing stands at most till the coldest day past the next warmest."""
    there = tropical([100.0] * 12)

    for opens in (0, 100, 250):
        assert there.season_ends("turnip", opens) % 365 == there.climate.coldest
        assert opens < there.season_ends("turnip", opens) <= opens + 730


def tropical(rain_mm_month: list[float], latitude_deg: float = 8.0) -> Windows:
    """Windows of a place without cold, with these monthly rains and four millimetres of evapotranspiration a day."""
    month = np.repeat(np.arange(12), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    rain = np.array(rain_mm_month)[month] / 30.4
    climate = season_climate(weather("hot"))
    flat = replace(
        climate,
        tmean_c=np.full(365, 25.0) + 0.5 * np.cos(np.arange(365) * 2 * np.pi / 365),
        tmin_c=np.full(365, 19.0),
        rain_mm=rain,
        eto_mm=np.full(365, 4.0),
        daylength_h=12.0 + 0.4 * np.sin((np.arange(365) - 80) * 2 * np.pi / 365),
        latitude_deg=latitude_deg,
    )
    return Windows(tables(), flat)


@given(start=st.integers(0, 11))
@settings(max_examples=12, deadline=None)
def test_ground_without_water_waits_for_the_rains_where_it_is_never_cold(start: int) -> None:
    """Maize is sown in the two months before the wettest three begin, whichever they are; watered ground need not wait."""
    rains = [10.0] * 12
    for month in range(start, start + 5):
        rains[month % 12] = 150.0
    there = tropical(rains)
    opens = there.auto("maize_grain", watered=False).opens
    first = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334][start]

    assert -30 <= (opens - first + 182) % 365 - 182 <= 75
    assert there.auto("maize_grain", watered=True).opens == tropical([100.0] * 12).auto("maize_grain").opens


def test_moist_springs_wait_for_nothing() -> None:
    """Where winter leaves the soil moist, ground without water is sown on the same days as watered ground."""
    there = Windows(tables(), replace(season_climate(weather("cool")), rain_mm=np.full(365, 2.0)))

    for crop in SPRING:
        assert there.auto(crop, watered=False) == there.auto(crop, watered=True)


def test_onions_of_short_days_where_long_ones_make_no_bulb() -> None:
    """In the tropics, and sown before a mild winter, the sort is a short-day one; where days are long it is the user's."""
    tropics, cool = tropical([100.0] * 12), windows("cool")

    assert tropics.sort("onion", "red", auto=True).startswith("short-day")
    assert cool.sort("onion", "red", auto=True) == "red"
    assert tropics.sort("potato", "late", auto=True) == "late"
    assert 0 < tropics.days("onion", 0, "short-day") < 200
