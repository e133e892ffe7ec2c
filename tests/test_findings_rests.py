"""Rules of rests, stays and worms: each speaks when its case is there, with number and remedy, and is silent when it is not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from husbandry_kit import COLD_DRY, TABLES, WARM_WET, sound, told, turn, walked
from hypothesis import given
from hypothesis import strategies as st

from yardland.findings import animals, rests
from yardland.findings.context import Context
from yardland.holding.model import Plot
from yardland.stock.worms import clean_after_d, hatching, larval_life_d


def test_larvae_outlive_the_rest_of_grass() -> None:
    """Ewes back after six days of warm wet weather meet larvae of 120 days; in cold dry weather or after 200 days they do not."""
    ewes = {"ewes": {"ewe": 4, "lamb": 5}}
    found = sound(rests.worm_clock(told(ewes, turn=turn("ewes"))))

    assert [one.grade for one in found] == ["tight"]
    assert found[0].number.startswith("6 of 120 days")
    assert not list(rests.worm_clock(told(ewes, turn=turn("ewes"), pasture=COLD_DRY)))
    assert not list(rests.worm_clock(told(ewes, turn=turn("ewes", stay=(100, 100)))))


def test_hosts_are_counted_apart() -> None:
    """On three plots of three days, ewes behind a cow have six days without ewes; two flocks of them three."""
    one = told({"cow": {"dairy_cow_small": 1}, "ewes": {"ewe": 4}}, turn=turn("cow", "ewes"))
    two = told({"ewes": {"ewe": 4}, "goats": {"goat_dairy_doe": 2}}, turn=turn("ewes", "goats"))

    assert {found.title.rpartition(": ")[2]: found.number.split()[0] for found in rests.worm_clock(one)} == {"sheep": "6", "cattle": "6"}  # fmt: skip
    assert [found.number.split()[0] for found in rests.worm_clock(two)] == ["3"]


def test_long_stays_are_told_by_worms_and_by_milk() -> None:
    """Over four days in warm wet months, over two in milk; three days of dry ewes are silent."""
    ewes = {"ewes": {"ewe": 4}}
    does = told({"does": {"goat_dairy_doe": 3}}, turn=turn("does", stay=(3, 7)), more={"does": {"milk_share": "once a day"}})  # fmt: skip

    assert len(sound(rests.stay_over(does))) == 2
    assert not list(rests.stay_over(told(ewes, turn=turn("ewes"))))
    assert not list(rests.stay_over(told(ewes, turn=turn("ewes", stay=(5, 7)), pasture=COLD_DRY)))


def test_rests_are_those_of_the_stays() -> None:
    """Mead is left on day 4 and grazed again on day 24: 20 days for worms and for grass, whatever the plan's span gives."""
    year = walked(("mead", 0, 4), ("lea", 4, 7), ("mead", 24, 28), ("lea", 200, 203))
    [worms] = sound(rests.worm_clock(year))
    [grass] = sound(rests.grass_clock(year))

    assert worms.number == "20 of 120 days (mead, 5 Oct to 25 Oct)"
    assert "after 20 days" in worms.what
    assert grass.number == "20 days of rest, 30 wanted (mead, 5 Oct to 25 Oct; 1 of 2 rests too short)"
    assert not list(rests.worm_clock(walked(("mead", 0, 4), ("mead", 124, 128))))
    assert not list(rests.grass_clock(walked(("mead", 0, 4), ("mead", 31, 35))))


def test_stays_are_those_of_the_year() -> None:
    """Of stays of three and six days the six are told with place and dates; four days are silent, and six in cold weather."""
    long = walked(("mead", 0, 3), ("lea", 3, 9), ("bank", 9, 12))
    cold = replace(long.result.pasture, hatch_days=COLD_DRY.hatch_days)
    [found] = sound(rests.stay_over(long))

    assert found.number == "6 days (lea, 4 Oct to 10 Oct; 1 of 3 stays), at most 4 in such weather"
    assert not list(rests.stay_over(walked(("mead", 0, 4), ("lea", 4, 8))))
    assert not list(rests.stay_over(Context(replace(long.result, pasture=cold), TABLES)))


def test_evenings_in_the_yard_are_told() -> None:
    """A year but for ten evenings on grass is ten in the yard, half a year is tight; six evenings are silent."""
    few = walked(("mead", 0, 100), ("lea", 110, 364))
    half = walked(("mead", 10, 100))
    [noted], [tight] = sound(rests.waits_in_yard(few)), sound(rests.waits_in_yard(half))

    assert (noted.grade, noted.number) == ("note", "11 of 365 evenings of the months that grow grass")
    assert "from 19 Jan to 9 Jan" in noted.what
    assert (tight.grade, tight.number) == ("tight", "275 of 365 evenings of the months that grow grass")
    assert not list(rests.waits_in_yard(walked(("mead", 0, 100), ("lea", 105, 364))))
    assert "never on grass" in sound(rests.waits_in_yard(walked()))[0].what


def test_short_rests_are_those_of_the_stays() -> None:
    """Of rests of 20 and 5 days one is under the plan's six; the plan's own rest of six days would be enough."""
    year = walked(("mead", 0, 4), ("lea", 4, 7), ("lea", 12, 15), ("mead", 24, 28))
    [found] = sound(animals.short_rests(year))

    assert found.number == "5 of 6 days (lea, 8 Oct to 13 Oct)"
    assert found.what.startswith("1 of 2 rests")
    assert not list(animals.short_rests(told({"ewes": {"ewe": 4}}, turn=turn("ewes"))))


def test_sheep_and_goats_on_one_ground_are_told() -> None:
    """They share worms where they share plots; on plots of their own they do not."""
    both = {"ewes": {"ewe": 4}, "goats": {"goat_dairy_doe": 2}}
    found = sound(rests.shared_worms(told(both, turn=turn("ewes", "goats"))))

    assert len(found) == 1
    assert "22 %" in found[0].number
    assert not list(rests.shared_worms(told(both, homes={"ewes": "mead", "goats": "lea"})))


def test_clean_ground_for_lambs_is_named_or_missed() -> None:
    """Aftermath and stubble are named; without hay and crops the ewes' own plots are not clean."""
    ewes: dict[str, dict[str, int]] = {"ewes": {"ewe": 4, "lamb": 5}}
    more: dict[str, dict[str, object]] = {"ewes": {"born": ["04-10"]}}
    with_crops = sound(rests.clean_ground(told(ewes, turn=turn("ewes"), more=more)))
    bare = told(ewes, turn=turn("ewes"), more=more)
    plan = bare.result.holding
    grass = {name: plot for name, plot in plan.plot.items() if plot.use != "crops"}
    without = Context(replace(bare.result, holding=plan.model_copy(update={"plot": grass})), bare.tables)

    assert [one.grade for one in with_crops] == ["note"]
    assert "north" in with_crops[0].what
    assert [one.grade for one in sound(rests.clean_ground(without))] == ["tight"]
    assert not list(rests.clean_ground(told({"hens": {"laying_hen": 5}})))


def test_grass_asks_for_its_own_days() -> None:
    """Six days of rest are short of thirty of growth; thirty are not; grass that stands still is not counted."""
    ewes = {"ewes": {"ewe": 4}}
    found = sound(rests.grass_clock(told(ewes, turn=turn("ewes"))))
    still = replace(WARM_WET, regrowth_d={"mead": np.full(12, np.inf)})

    assert found[0].number == "6 days of rest, 30 wanted"
    assert not list(rests.grass_clock(told(ewes, turn=turn("ewes", stay=(15, 15)))))
    assert not list(rests.grass_clock(told(ewes, turn=turn("ewes"), pasture=still)))


def test_grass_grazed_low_is_told_for_sheep_and_goats() -> None:
    """Seven centimetres are under eight; cattle are not told, nor eleven centimetres."""
    ewes, cow = {"ewes": {"ewe": 4}}, {"cow": {"dairy_cow_small": 1}}

    assert sound(rests.grazed_low(told(ewes, homes={"ewes": "mead"})))[0].number.startswith("7.0 cm left, 8")
    assert not list(rests.grazed_low(told(ewes, homes={"ewes": "lea"})))
    assert not list(rests.grazed_low(told(cow, homes={"cow": "mead"})))


def test_more_mouths_than_grass_carries() -> None:
    """Twelve small cows on one hectare are past 1.4 cow equivalents; one is not."""
    assert sound(rests.crowded(told({"cows": {"dairy_cow_small": 12}}, homes={"cows": "mead"})))[0].grade == "tight"
    assert not list(rests.crowded(told({"cows": {"dairy_cow_small": 1}}, homes={"cows": "mead"})))


def test_set_stocking_is_told() -> None:
    """Ewes at home on grass without a round eat a third of it; on a round or from a house they are silent."""
    ewes = {"ewes": {"ewe": 4}}

    assert "0.35" in sound(rests.set_stocked(told(ewes, homes={"ewes": "mead"})))[0].number
    assert not list(rests.set_stocked(told(ewes, homes={"ewes": "mead"}, turn=turn("ewes"))))
    assert not list(rests.set_stocked(told(ewes)))


@pytest.mark.parametrize(
    ("order", "within_days", "words"),
    [
        (("ewes", "cow"), 3, "in milk follow"),
        (("cow", "hens"), 9, "three to four days behind the cattle"),
        (("geese", "ewes"), 3, "same short grass"),
        (("pigs", "ewes"), 3, "turn the sod"),
        (("cow", "ewes", "hens", "pigs"), 3, ""),
    ],
)
def test_the_order_of_a_round(order: tuple[str, ...], within_days: int, words: str) -> None:
    """Milk first, poultry three to four days behind cattle, geese not against sheep, pigs last; a right order is silent."""
    heads = {"ewes": {"ewe": 4}, "cow": {"dairy_cow_small": 1}, "hens": {"laying_hen": 20}, "geese": {"goose": 4}, "pigs": {"pig_grower": 2}}  # fmt: skip
    kept_here = {name: heads[name] for name in order}
    milk: dict[str, dict[str, object]] = {"cow": {"milk_share": "once a day"}} if "cow" in order else {}
    found = sound(rests.train(told(kept_here, turn=turn(*order, followers_within_days=within_days), more=milk)))

    assert (len(found) == 1 and words in found[0].title) if words else not found


def test_poultry_ground_never_rests() -> None:
    """Hens on one plot are told with metres a bird: 700 m2 for 350 is under the law's four; on a round they are silent."""
    few, many = ({"hens": {"laying_hen": count}} for count in (20, 350))

    assert [one.grade for one in sound(rests.poultry_ground(told(few, homes={"hens": "orchard"})))] == ["note"]
    assert [one.grade for one in sound(rests.poultry_ground(told(many, homes={"hens": "orchard"})))] == ["tight"]
    assert not list(rests.poultry_ground(told(few, turn=turn("hens"))))


def test_turkeys_keep_off_chickens_ground() -> None:
    """The same home is told; another is not."""
    birds = {"hens": {"laying_hen": 10}, "turkeys": {"turkey_breeder_hen": 4}}

    assert sound(rests.turkeys_on_chickens(told(birds)))[0].grade == "tight"
    assert not list(rests.turkeys_on_chickens(told(birds, homes={"turkeys": "lea"})))


def test_pigs_come_back_too_soon() -> None:
    """Pigs on a field each year are told; in a yard they are not."""
    pigs = {"pigs": {"pig_grower": 2}}

    assert sound(rests.pig_ground(told(pigs, homes={"pigs": "south"})))[0].number.startswith("1 year, 3 wanted")
    assert not list(rests.pig_ground(told(pigs)))


def test_soft_ground_without_a_yard() -> None:
    """120 soft days with a home on grass are told; a plot of use yard in the plan, or dry ground, is silent."""
    ewes = {"ewes": {"ewe": 4}}
    yard = {"yard": Plot(use="yard", area_m2=100.0)}

    assert sound(rests.poached(told(ewes, homes={"ewes": "mead"})))[0].number.startswith("120 days")
    assert not list(rests.poached(told(ewes, homes={"ewes": "mead"}, plots=yard)))
    assert not list(rests.poached(told(ewes, homes={"ewes": "mead"}, pasture=replace(WARM_WET, soft_days={"mead": np.zeros(12)}))))  # fmt: skip


@given(st.floats(-5.0, 45.0), st.floats(0.0, 12.0))
def test_larvae_live_shorter_in_more_heat(tmax_c: float, warmer_c: float) -> None:
    """Life falls with the daily maximum, between 61 and 183 days outside the wet tropics."""
    here, there = (
        larval_life_d(TABLES, np.full(12, value), np.full(12, 5.0), np.full(12, 200.0))[0]
        for value in (tmax_c, tmax_c + warmer_c)
    )

    assert 61.0 <= there <= here <= 183.0


@given(st.lists(st.floats(10.0, 300.0), min_size=12, max_size=12))
def test_the_days_to_clean_lie_between_the_lives_on_the_way(lives: list[float]) -> None:
    """Days until larvae are gone lie between the shortest and the longest life of the year, to the day."""
    life = np.repeat(lives, [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    days = clean_after_d(life)

    assert (days >= np.floor(min(lives))).all()
    assert (days <= np.ceil(max(lives)) + 1).all()


def test_eggs_hatch_in_warm_wet_spells_alone() -> None:
    """Ten days over the limit with the rain hatch; cold ones, dry ones, and the days before the window do not."""
    warm, wet = np.full(30, 20.0), np.full(30, 2.0)

    assert hatching(warm, wet, 18.0, window_d=10, least_rain_mm=10.0).sum() == 21
    assert not hatching(warm, wet, 20.0, window_d=10, least_rain_mm=10.0).any()
    assert not hatching(warm, wet / 3, 18.0, window_d=10, least_rain_mm=10.0).any()
    assert not hatching(warm[:5], wet[:5], 18.0, window_d=10, least_rain_mm=1.0).any()
