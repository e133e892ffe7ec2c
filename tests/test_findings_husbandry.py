"""Rules of keeping: each speaks when its case is there, with number and remedy, and is silent when it is not."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from fixtures_result import year_result
from hypothesis import given
from hypothesis import strategies as st

from yardland.findings import animals, bees, cautions, housing, husbandry, kept, rests
from yardland.findings.collect import RULES
from yardland.findings.context import Context
from yardland.growth.dressing import Dressing
from yardland.holding.model import Batch, Fence, Group, MonthDay, Plot, Round, Sire, Sward, WaterSource
from yardland.larderyear.pasture import PastureYear
from yardland.larderyear.result import Finding, TreeOutcome, YearResult
from yardland.ledger.production import Gathered, Production
from yardland.reference import load_tables
from yardland.season.dressings import HeapYear
from yardland.season.evenings import walks
from yardland.season.grazers import Stay
from yardland.stock import notes
from yardland.stock.notes import Housing
from yardland.stock.worms import clean_after_d, hatching, larval_life_d
from yardland.stock.yard import YardGroup, straw_kg_week

ROOT = Path(__file__).parents[1]
TABLES = load_tables()
WARM_WET = PastureYear(
    hatch_days={worm: np.full(12, 20.0) for worm in ("brown", "scour", "barber")},
    clean_after_d=np.full(12, 120.0),
    soft_days={"mead": np.full(12, 10.0)},
    regrowth_d={plot: np.full(12, 30.0) for plot in ("mead", "lea", "bank")},
    left_cm={"mead": 7.0, "lea": 11.0, "bank": 11.0},
    out=np.full(12, True),
)
COLD_DRY = replace(WARM_WET, hatch_days={worm: np.zeros(12) for worm in ("brown", "scour", "barber")})
GRASS = {"mead": 2500.0, "lea": 2500.0, "bank": 2500.0, "fell": 2500.0}


def told(
    heads: dict[str, dict[str, int]],
    *,
    homes: dict[str, str] | None = None,
    more: dict[str, dict[str, object]] | None = None,
    turn: dict[str, object] | None = None,
    plots: dict[str, Plot] | None = None,
    pasture: PastureYear = WARM_WET,
    latitude_deg: float = 55.0,
    country: str = "GB",
    **changes: object,
) -> Context:
    """The made-up year with other stock: heads by group and class, steady over the year."""
    base = year_result()
    meadows = {name: Plot(use="grass", area_m2=area, soil="loam", sward=Sward(kind="grass-clover")) for name, area in GRASS.items()}  # fmt: skip
    groups = {
        name: Group.model_validate({"heads": classes, "home": (homes or {}).get(name, "house")} | (more or {}).get(name, {}))
        for name, classes in heads.items()
    }  # fmt: skip
    holding = base.holding.model_copy(
        update={
            "place": base.holding.place.model_copy(update={"latitude_deg": latitude_deg, "country": country}),
            "plot": base.holding.plot | meadows | (plots or {}),
            "group": groups,
            "round": {"green": Round.model_validate(turn)} if turn else {},
        }
    )
    months = {name: {klass: np.full(12, float(count)) for klass, count in classes.items()} for name, classes in heads.items()}  # fmt: skip
    empty: dict[str, object] = {"feed_kg": {}, "products_kg": {}, "trees": ()}
    return Context(
        replace(base, holding=holding, heads=months, pasture=pasture, findings=(), **(empty | changes)),  # type: ignore[arg-type]
        load_tables(),
    )


def turn(
    *order: str, plots: tuple[str, ...] = ("mead", "lea", "bank"), stay: tuple[int, int] = (3, 3), **more: object
) -> dict[str, object]:
    """A round in the words of the plan."""
    return {"order": order, "plots": plots, "stay_days": stay, "rest_days": 6} | more  # fmt: skip


def walked(*stays: tuple[str, int, int], order: tuple[str, ...] = ("ewes",), **heads: dict[str, int]) -> Context:
    """Ewes, or other groups, on the round of three plots with these stays: plot, first evening, evening of leaving."""
    plan = told(heads or {"ewes": {"ewe": 4, "lamb": 5}}, turn=turn(*order))
    result = plan.result
    made = tuple(Stay(order, plot, first, last) for plot, first, last in stays)
    pasture = replace(WARM_WET, walks=walks(result.holding, ["green"], made, result.months, WARM_WET.out))
    return Context(replace(result, stays=made, pasture=pasture), plan.tables)


def tree(species: str, plot: str = "orchard", **more: object) -> TreeOutcome:
    """Ten grown trees of a species that bear."""
    return replace(
        TreeOutcome(
            tree=f"block.{species}", fruit=f"block.{species}", plot=plot, species=species, variety="", good="apple", count=10, age_y=15.0,
            harvest_kg=300.0, factors={"age": 1.0}, full_bloom="2023-05-10", chill_h=1000.0, chill_need_h=800.0, chill_by_year=(1.0,),
            chill_units=None, chill_need_units=0.0, height_m=4.0, noon_shadow_m=4.0,
        ),
        **more,  # type: ignore[arg-type]
    )  # fmt: skip


def sound(found: Iterable[Finding]) -> list[Finding]:
    """The findings, each of which must say everything that a finding says."""
    out = list(found)
    for one in out:
        assert all((one.grade, one.title, one.what, one.number, one.cause, one.remedy, one.source, one.subject)), one
        assert re.search(r"\((published|common practice|from memory)|docs/", one.source), one.source
    return out


# rests


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


# housing


def yard(group: str, straw_kg: float = 1000.0, **room: float) -> dict[str, YardGroup]:
    """The yard of one group."""
    size = {"floor_m2": 10.0, "outdoor_m2": 100.0, "nest_boxes": 0, "perch_m": 0.0} | room
    return {group: YardGroup(Housing(**size), np.full(12, 0.5), np.full(52, straw_kg / 52))}  # type: ignore[arg-type]


def test_the_room_that_stock_ask_for_is_listed() -> None:
    """Floor, nests, perch and pop-holes of each group; nothing for bees."""
    hens = told({"hens": {"laying_hen": 30}}, yard=yard("hens", nest_boxes=5, perch_m=5.4))
    found = sound(housing.room(hens))

    assert "5 nest boxes, 5.4 m of perch, pop-holes of 0.4 m" in found[0].what
    assert not list(housing.room(told({"hives": {"honeybee_colony": 2}}, yard=yard("hives"))))


def test_homes_too_small_outside_are_told() -> None:
    """250 m2 asked at a house of 200 m2 are too much; 100 are not."""
    hens = {"hens": {"laying_hen": 30}}

    assert sound(housing.outdoors(told(hens, yard=yard("hens", outdoor_m2=250.0))))[0].grade == "tight"
    assert not list(housing.outdoors(told(hens, yard=yard("hens"))))


def test_straw_is_counted_against_what_is_grown() -> None:
    """A tonne wanted, 300 kg grown and 100 of it eaten leave 800 kg to buy; two tonnes grown are enough."""

    def year(made_kg: float) -> Context:
        straw = Gathered("crop:north.oats", "straw_oats", np.full(12, made_kg / 12))
        eaten = {"cow": {"straw_oats": np.full(12, 100.0 / 12)}}
        cow = {"cow": {"dairy_cow_small": 1}}
        return told(cow, yard=yard("cow"), production=Production((straw,)), feed_kg=eaten)

    found = sound(housing.bedding(year(300.0)))

    assert found[0].title.startswith("Straw for bedding: 800 kg")
    assert not list(housing.bedding(year(2000.0)))


def test_water_birds_want_water() -> None:
    """The made-up holding has a pond: a note; without it and without a stream it is tight; hens are not told."""
    geese = {"geese": {"goose": 4}}
    with_pond = told(geese)
    plan = with_pond.result.holding
    dry = plan.model_copy(update={"plot": {name: plot for name, plot in plan.plot.items() if plot.use != "pond"}})
    stream = dry.model_copy(update={"water": dry.water.model_copy(update={"source": {"beck": WaterSource(kind="stream")}})})  # fmt: skip
    grades = [
        [one.grade for one in sound(housing.water_birds(Context(replace(with_pond.result, holding=each), TABLES)))]
        for each in (plan, dry, stream)
    ]

    assert grades == [["note"], ["tight"], ["note"]]
    assert not list(housing.water_birds(told({"hens": {"laying_hen": 4}})))


def test_hens_and_ducks_sleep_apart() -> None:
    """One home for both is told, two are not."""
    birds = {"hens": {"laying_hen": 10}, "ducks": {"duck_layer": 5}}

    assert sound(housing.mixed_house(told(birds)))[0].number == "5 ducks"
    assert not list(housing.mixed_house(told(birds, homes={"ducks": "orchard"})))


def test_hot_hutches_are_told() -> None:
    """Afternoons over 29 C on the mean are tight, 27 C a note, 19 C nothing (the limit: Missouri Extension, published)."""
    rabbits = {"rabbits": {"rabbit_doe": 3}}

    def grades(hottest_c: float) -> list[str]:
        sky = dict(year_result().weather_months) | {"tmax_c": np.linspace(5.0, hottest_c, 12)}
        return [one.grade for one in sound(housing.hutch_heat(told(rabbits, weather_months=sky)))]

    assert (grades(31.0), grades(27.0), grades(19.0)) == (["tight"], ["note"], [])


def test_a_housing_order_is_planned_for() -> None:
    """Sixteen weeks with the number of birds and their floor; ewes are not told."""
    assert "16 weeks; 30 birds" in sound(housing.housing_order(told({"hens": {"laying_hen": 30}}, yard=yard("hens"))))[0].number  # fmt: skip
    assert not list(housing.housing_order(told({"ewes": {"ewe": 3}}, yard=yard("ewes"))))


# husbandry


def test_stock_leave_the_orchard_before_the_harvest() -> None:
    """Geese under apples are told: 90 days by the rule of manure; a round that rests 100 days is silent; a wood is too."""
    geese = {"geese": {"goose": 4}}
    apples = (tree("apple_semidwarf"),)
    long = turn("geese", plots=("orchard", "mead"), rest_days=130)

    assert "0 days away" in sound(husbandry.folded_stock(told(geese, homes={"geese": "orchard"}, trees=apples)))[0].number  # fmt: skip
    assert not list(husbandry.folded_stock(told(geese, turn=long, trees=apples)))
    assert not list(husbandry.folded_stock(told(geese, trees=apples)))


def test_stone_fruit_and_sprayed_rows() -> None:
    """Goats under plums meet prussic acid, sheep under vines copper; geese and cattle under apples neither."""
    goats, ewes, cow = ({"g": {klass: 3}} for klass in ("goat_dairy_doe", "ewe", "dairy_cow_small"))
    home = {"g": "orchard"}
    plums = sound(husbandry.stock_under_trees(told(goats, homes=home, trees=(tree("plum"),))))
    vines = sound(husbandry.stock_under_trees(told(ewes, homes=home, trees=(tree("grapevine"),))))

    assert "prussic acid" in plums[0].what
    assert "Copper" in vines[0].what
    assert not list(husbandry.stock_under_trees(told(cow, homes=home, trees=(tree("apple_semidwarf"),))))


def test_poison_plants_by_what_is_kept() -> None:
    """Soapwort is listed for sheep and not for rabbits; nothing without stock."""
    sheep = sound(husbandry.poison_plants(told({"ewes": {"ewe": 3}})))[0].what
    rabbits = sound(husbandry.poison_plants(told({"rabbits": {"rabbit_doe": 3}})))[0].what

    assert "Soapwort" in sheep
    assert "Soapwort" not in rabbits
    assert "Yew" in rabbits
    assert not list(husbandry.poison_plants(told({})))


@pytest.mark.parametrize(("days", "found"), [(70, 1), (80, 1), (81, 0), (None, 0)])
def test_ages_of_organic_slaughter(days: int | None, found: int) -> None:
    """A chicken is 81 days old at least (Swiss ordinance 910.18, published); the table's slow broiler is."""
    birds = told({"birds": {"broiler_slow": 20}}, more={"birds": {"kill_after_days": days}})

    assert len(sound(husbandry.organic_age(birds))) == found


# bees


def test_own_flowers_against_the_colonies() -> None:
    """The flowers' honey never passes area times the table; more colonies than a site carries are tight; no bees, no word."""
    hives = told({"hives": {"honeybee_colony": 3}}, trees=(tree("apple_semidwarf"),))
    crowd = told({"hives": {"honeybee_colony": 12}})
    own = bees.own_flowers_kg(hives)
    row, wide = TABLES.row("bee_plants", "apple_semidwarf"), TABLES.row("trees", "apple_semidwarf")
    most = row.need("honey_kg_ha") * 10 * wide.need("spacing_in_row_m") * wide.need("spacing_between_rows_m") / 1e4
    apple = next(kg for name, kg in own.items() if "apple" in name)

    assert apple.sum() == pytest.approx(most)
    assert int(np.argmax(apple)) == 7
    assert [one.grade for one in sound(bees.forage(hives))] == ["note"]
    assert [one.grade for one in sound(bees.forage(crowd))] == ["tight"]
    assert not list(bees.forage(told({})))


@pytest.mark.parametrize(("coldest_c", "kg"), [(12.0, 18.0), (6.0, 27.0), (-4.0, 40.0)])
def test_winter_stores_follow_the_cold(coldest_c: float, kg: float) -> None:
    """18, 27 and 40 kg by the coldest month's afternoons (Ecrotek, published), and 1.25 kg of stores to a kilogram of sugar."""
    sky = dict(year_result().weather_months) | {"tmax_c": np.linspace(coldest_c, 20.0, 12)}
    found = sound(bees.winter(told({"hives": {"honeybee_colony": 2}}, weather_months=sky)))

    assert f"Leave {kg:g} kg" in found[0].title
    assert f"{2 * kg / 1.25:,.0f} kg of sugar" in found[0].number


def test_losses_of_winter() -> None:
    """One colony is gone in every fourth winter: tight; four together hardly ever: a note."""
    grades = [
        [one.grade for one in sound(bees.losses(told({"hives": {"honeybee_colony": count}})))] for count in (1, 4)
    ]

    assert grades == [["tight"], ["note"]]
    assert not list(bees.losses(told({})))


def test_the_bees_year_follows_the_sun() -> None:
    """Honey is taken in the month after the longest days in both hemispheres; near the equator no month is named."""
    hives = {"hives": {"honeybee_colony": 2}}
    sky = year_result().weather_months
    south = {name: np.roll(values, 6) for name, values in sky.items()}
    north_words = sound(bees.work_of_year(told(hives)))[0].what
    south_words = sound(bees.work_of_year(told(hives, latitude_deg=-55.0, weather_months=south)))[0].what

    assert "Jul: take honey" in north_words
    assert "Jan: take honey" in south_words
    assert not list(bees.work_of_year(told(hives, latitude_deg=3.0)))


# cautions


def heap(*kinds: str) -> HeapYear:
    """A heap that was spread on the north field."""
    return HeapYear(dressings=tuple(Dressing("north.potato", "north", kind, *[1.0] * 8) for kind in kinds))


def case(name: str) -> Context:
    """A plan that makes the caution apply whose first row is `name`."""
    ewes, hens = {"ewes": {"ewe": 3, "lamb": 4}}, {"hens": {"laying_hen": 9}}
    grain = {"ewes": {"oats": np.ones(12), "kale": np.ones(12)}}
    plans: dict[str, Callable[[], Context]] = {
        "hot_compost_temp": lambda: told(hens, heap=heap("compost")),
        "raw_manure_ready_to_eat_months": lambda: told(hens, heap=heap("raw manure")),
        "manure_no_touch": lambda: told(hens, heap=heap("raw manure"), country="US"),
        "rest_after_slurry_weeks": lambda: told(ewes, heap=heap("compost")),
        "copper_manure": lambda: told(ewes | hens, heap=heap("compost")),
        "dog_dung": lambda: told(ewes),
        "legume_bloat_share": lambda: told(ewes, homes={"ewes": "lea"}),
        "grain_gorging": lambda: told(ewes, feed_kg=grain),
        "brassica_share": lambda: told(ewes, feed_kg=grain),
        "fodder_beet_share": lambda: told({"c": {"dairy_cow_small": 1}}, feed_kg={"c": {"fodder_beet": np.ones(12)}}),
        "raw_beans_stock": lambda: told(hens),
        "mould_none": lambda: told(ewes),
        "birth_feeding_weeks": lambda: told(ewes, more={"ewes": {"born": ["04-10"]}}),
        "salt_water": lambda: told(hens),
        "lamps_h": lambda: told(hens),
        "withdrawal_eggs_d": lambda: told(hens, products_kg={"hens": {"egg_hen": np.ones(12)}}),
        "zoonoses_birth": lambda: told(ewes, more={"ewes": {"born": ["04-10"]}}),
        "zoonoses_poultry": lambda: told(hens),
        "zoonoses_pig": lambda: told({"pigs": {"pig_grower": 2}}),
        "zoonoses_rabbit": lambda: told({"rabbits": {"rabbit_doe": 2}}),
        "meat_temp_poultry": lambda: told(hens, eaten_kg={"meat_hen": np.ones(12)}),
        "notifiable": lambda: told(ewes),
        "quarantine_d": lambda: told(ewes, more={"ewes": {"sire": Sire.model_validate({"how": "hired"})}}),
        "larva_foods": lambda: told(hens),
        "bee_medicine": lambda: told({"hives": {"honeybee_colony": 2}}),
        "electric_fence_pulse_j": lambda: fenced(told(ewes)),
    }
    return plans[name]()


def fenced(context: Context) -> Context:
    """The same with an electric netting."""
    fence = {"net": Fence(kind="electric netting", around=("mead",))}
    holding = context.result.holding.model_copy(update={"fence": fence})
    return Context(replace(context.result, holding=holding), context.tables)


@pytest.mark.parametrize(
    "name",
    [
        "hot_compost_temp", "raw_manure_ready_to_eat_months", "manure_no_touch", "rest_after_slurry_weeks", "copper_manure", "dog_dung",
        "legume_bloat_share", "grain_gorging", "brassica_share", "fodder_beet_share", "raw_beans_stock", "mould_none", "birth_feeding_weeks",
        "salt_water", "lamps_h", "withdrawal_eggs_d", "zoonoses_birth", "zoonoses_poultry", "zoonoses_pig", "zoonoses_rabbit",
        "meat_temp_poultry", "notifiable", "quarantine_d", "larva_foods", "bee_medicine", "electric_fence_pulse_j",
    ],
)  # fmt: skip
def test_each_caution_of_keeping_has_its_plan(name: str) -> None:
    """The plan that makes it apply brings the caution; a plan without stock, heap and harvest does not."""
    bare = told({}, plantings=(), eaten_kg={}, heap=HeapYear())

    assert name in {one.subject.removeprefix("caution.") for one in cautions.cautions(case(name))}
    assert name not in {one.subject.removeprefix("caution.") for one in cautions.cautions(bare)}


# worms and straw


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


def test_straw_by_week_adds_up_to_heads_times_days_under_a_roof() -> None:
    """Two ewes half of the time take a year of one ewe's straw; 52 weeks hold all 365 days; bees take none."""
    heads = {"ewe": np.full(365, 2, dtype=np.int64), "honeybee_colony": np.full(365, 3, dtype=np.int64)}
    weeks = straw_kg_week(heads, np.full(365, 0.5), TABLES)

    assert len(weeks) == 52
    assert weeks.sum() == pytest.approx(365 * TABLES.row("bedding", "sheep_adult").need("straw_kg_d"))


def test_every_class_but_bees_has_bedding() -> None:
    """A class without a row of table bedding would lie on bare floor."""
    from yardland.stock.kinds import kinds
    from yardland.stock.yard import bedding_key

    assert {klass for klass in kinds() if not TABLES.has("bedding", bedding_key(TABLES, klass))} == {"honeybee_colony"}


def test_the_year_of_a_demonstration_brings_its_ground_and_yard() -> None:
    """A real year: worms hatch in summer, wet ground in winter, straw for each group, and no rule of keeping falls over."""
    from conftest import demo_year

    result: YearResult = demo_year("tarn-hollow")

    assert result.pasture.hatch_days["barber"].sum() > 0.0
    assert result.pasture.hatch_days["barber"][[2, 3, 4]].sum() == 0.0
    assert result.pasture.soft_days["bank"][3] > result.pasture.soft_days["bank"][8]
    assert result.yard["cow"].straw_kg_week.sum() > 300.0
    assert kept.kept_species(Context(result, TABLES)) == {"chicken", "goose", "sheep", "cattle", "honeybee"}


# notes of the plan


def test_daughters_and_fathers_and_single_weaners() -> None:
    """A kept cock meets his daughters; an own sire changed yearly by the plan's culling age does not; a lone weaner pines."""
    from stock_kit import BORROWED, group, year_of

    def words(plan: Group) -> str:
        return " ".join(note.words for note in year_of({"g": plan}).events.notes)

    flock = {"heads": {"laying_hen": 12, "cockerel": 2}, "born": [MonthDay(4, 20)], "keep_young": 4}
    weaner = Batch.model_validate({"class": "pig_grower", "count": 1, "on": ["04-10"]})
    lambs = {"heads": {"ewe": 8}, "born": [MonthDay(4, 5)], "sire": BORROWED, "keep_young": 2}

    assert "meet their father" in words(group(**flock))
    assert "meet their father" not in words(group(**(flock | {"cull_after_years": 0.4})))
    assert "meet their father" not in words(group(**(flock | {"keep_young": 0})))
    assert "Bought alone" in words(group(batch=[weaner]))
    assert "Bought alone" not in words(group(batch=[weaner.model_copy(update={"count": 2})]))
    assert "wait for the next service" not in words(group(**lambs))


def test_daughters_too_young_for_the_first_service_wait() -> None:
    """A heifer is 447 days old at the second service after her birth, three short of 450: she waits a year."""
    from stock_kit import BORROWED, group, year_of

    row = TABLES.row("stock", "dairy_cow_small")
    age = row.need("age_first_breeding_d")
    served = 2 * 365 - row.need("gestation_or_incubation_d")
    cows = group(heads={"dairy_cow_small": 2}, born=[MonthDay(4, 5)], sire=BORROWED, keep_young=1)
    found = [note for note in year_of({"g": cows}).events.notes if "wait for the next service" in note.words]

    assert age - served == 3
    assert [note.number for note in found] == [f"{served + 365:.0f} days"]
    assert "3 days short of 450" in found[0].words


# the page

SECTIONS = {1: 12, 2: 15, 3: 8, 4: 9, 5: 13, 6: 13, 7: 12, 8: 7, 9: 15, 10: 4}
"""Rules of each part of the notes on husbandry that the page lists."""
PAGE = ROOT / "docs" / "husbandry-rules.md"


def page_rows() -> list[tuple[str, str, str, str]]:
    """Rule, what it says, where it speaks, and its tests, of each row of the page."""
    cells = re.findall(
        r"^\| (\d+\.\d+) \| ([^|]+) \| ([^|]+) \| ([^|]*) \|$", PAGE.read_text(encoding="utf-8"), re.MULTILINE
    )
    return [tuple(cell.strip() for cell in row) for row in cells]


def test_the_page_lists_each_rule_once() -> None:
    """Every numbered rule has one row, and none stands twice."""
    wanted = [f"{part}.{number}" for part, count in SECTIONS.items() for number in range(1, count + 1)]

    assert [row[0] for row in page_rows()] == wanted


def test_what_the_page_names_is_there() -> None:
    """Findings are walked, notes and cautions exist, tables hold the rows, and each test is written."""
    walked = {f"{rule.__module__.rpartition('.')[2]}.{rule.__name__}" for rule in RULES}
    noticed = {f"notes.{check.__name__}" for check in notes.CHECKS}
    cautioned = {rule for caution in cautions.TABLE for rule in caution.rules}
    for rule, _, where, tests in page_rows():
        keys = re.findall(r"`([\w.:]+)`", where)
        if where.startswith("not covered: "):
            assert len(where) > len("not covered: ") + 10, rule
            continue
        assert keys, rule
        for key in keys:
            kind, _, name = key.rpartition(":")
            there = {
                "": key in walked | noticed,
                "caution": name in cautioned,
                "table": name in TABLES.names
                or name in {f"{one}.{row}" for one in TABLES.names for row in TABLES.keys(one)},
            }
            assert there[kind], (rule, key)
        named = re.findall(r"`([\w/]+\.py)::(\w+)`", tests)
        assert named, rule
        for file, name in named:
            tree_of = ast.parse((ROOT / "tests" / file).read_text(encoding="utf-8"))
            assert name in {node.name for node in ast.walk(tree_of) if isinstance(node, ast.FunctionDef)}, (rule, name)


def test_every_finding_of_keeping_stands_on_the_page() -> None:
    """No finding of these modules is without its rule."""
    text = PAGE.read_text(encoding="utf-8")
    for module in (rests, housing, husbandry, bees):
        for rule in module.RULES:
            assert f"`{module.__name__.rpartition('.')[2]}.{rule.__name__}`" in text, rule.__name__
