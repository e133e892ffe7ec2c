"""Stays on what harvests leave in whole years: their dates, books, findings and pages."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from conftest import EXAMPLES, demo_year
from hypothesis import given
from hypothesis import strategies as st
from outside import Outside

import yardland
from yardland.accounts.ground_flows import crop_content, good_content
from yardland.findings import cleared as told
from yardland.findings.context import Context
from yardland.findings.husbandry import folded_stock
from yardland.holding.model import Holding
from yardland.larder.feed_leavings import STOOD, left_beside
from yardland.larderyear.jsonable import year_json
from yardland.larderyear.result import YearResult
from yardland.ledger.months import DAYS_IN_YEAR, larder_months
from yardland.ledger.production import HerdNeed
from yardland.reference import load_tables
from yardland.report.figures import stays as drawn
from yardland.season.cleared import asked_d, foods_of_next_year
from yardland.season.droppings import falls, food_ground, housed_months
from yardland.season.evenings import grass_share, walks
from yardland.season.grazers import Stay
from yardland.season.season import Season, run_season
from yardland.season.stubble import stubble_of, stubble_year
from yardland.season.unwalked import REASONS, Unwalked
from yardland.weather.read import load_weather
from yardland.weather.years import larder_years

MONTHS = larder_months(2022, 10)
EVERY_PLOT = {
    "tarn-hollow": ("high", "brook", "stony", "beds", "orchard"),
    "casa-vereda": ("trigal", "secano", "vega", "olivar"),
}
TABLES = load_tables()


@lru_cache(maxsize=4)
def wide(name: str, rotation_year: int = 1) -> Season:
    """The last season of a demonstration whose round goes over its crops, beds and orchard as well."""
    plan, tables = wide_plan(name), load_tables()
    forcing = larder_years(load_weather(plan, 1), plan.place.year_starts.month)
    return run_season(plan, tables, forcing, len(forcing.labels) - 1, rotation_year)


@lru_cache(maxsize=4)
def wide_plan(name: str) -> Holding:
    """Its plan."""
    plan = yardland.load(EXAMPLES / name)
    [(key, turn)] = plan.round.items()
    plots = tuple(dict.fromkeys((*turn.plots, *EVERY_PLOT[name])))
    return plan.model_copy(update={"round": {key: turn.model_copy(update={"plots": plots})}})


def standing_days(season: Season, strip: str) -> np.ndarray:
    """Days of the larder year on which a planting of a strip stands, by the year's own record, folded round."""
    out = np.zeros(DAYS_IN_YEAR, dtype=bool)
    for one in season.plantings:
        if one.strip == strip and one.days is not None:
            out[np.arange(one.days[0], one.days[1] + 1) % DAYS_IN_YEAR] = True
    return out


@pytest.mark.parametrize(("name", "rotation_year"), [("tarn-hollow", 1), ("tarn-hollow", 2), ("casa-vereda", 1)])
def test_no_stay_is_on_a_standing_crop_or_too_near_to_a_harvest(name: str, rotation_year: int) -> None:
    """With every plot on the round: stays on cleared ground keep off what stands, and food waits as the plan's rule asks."""
    season, plan = wide(name, rotation_year), wide_plan(name)
    rule = plan.rules.raw_manure_to_harvest_days
    stays = [stay for stay in season.stays if stay.strips]
    trees = {tree.block: tree for tree in season.trees}

    assert len(stays) >= 3
    for stay in stays:
        evenings = range(stay.first, stay.last)
        for strip in stay.strips:
            if strip in trees:
                waits = [
                    (tree.harvest_from - day) % DAYS_IN_YEAR
                    for tree in season.trees
                    if tree.plot == stay.plot
                    for day in evenings
                ]
                assert min(waits) >= rule.other
                continue
            assert not standing_days(season, strip)[list(evenings)].any(), (stay, strip)
            for one in season.plantings:
                if one.strip == strip and one.gather_day is not None:
                    asked = rule.touching_soil if one.touches_soil else rule.other
                    assert min((one.gather_day - day) % DAYS_IN_YEAR for day in evenings) >= asked, (stay, one.planting)


@pytest.mark.parametrize("name", ["tarn-hollow", "casa-vereda"])
def test_no_group_is_in_two_places(name: str) -> None:
    """Over grass and cleared ground together, each group is on one plot an evening."""
    for group in wide_plan(name).group:
        there = [day for stay in wide(name).stays if group in stay.groups for day in range(stay.first, stay.last)]
        assert len(there) == len(set(there))


def test_each_group_has_its_evenings_on_cleared_ground() -> None:
    """Groups that follow one another each count their own; stays there are no stays on grass, and are not also evenings in the yard."""
    season, plan = wide("tarn-hollow"), wide_plan("tarn-hollow")
    grows = np.ones(12, bool)
    found = walks(plan, season.grown.rounds, season.stays, season.months, grows)["green"]

    assert [herd.groups for herd in found.herds] == [("cow",), ("ewes",), ("geese",)]
    assert found.leavings
    for one in found.herds:
        there = [stay for stay in season.stays if stay.strips and one.groups[0] in stay.groups]
        assert one.leavings == tuple(there)
        assert one.leavings_d.sum() == sum(stay.last - stay.first for stay in there) > 0
        assert (one.grass_d + one.leavings_d + one.yard_d).sum() == DAYS_IN_YEAR
    assert found.leavings_d.tolist() == sum(one.leavings_d for one in found.herds).tolist()
    assert not {stay for stay in found.stays if stay.strips}


def test_a_round_over_crops_alone_has_a_walk() -> None:
    """Without any grass on the round its stays on cleared ground are followed all the same; without stays there is nothing."""
    plan = wide_plan("casa-vereda")
    crops = plan.model_copy(
        update={"round": {"verde": plan.round["verde"].model_copy(update={"plots": ("trigal", "secano")})}}
    )
    stay = Stay(("goats",), "trigal", 277, 279, ("trigal.winter_wheat",))

    assert walks(crops, [], (stay,), MONTHS, ~np.ones(12, bool))["verde"].out == (stay,)
    assert walks(crops, [], (), MONTHS, ~np.ones(12, bool)) == {}


@pytest.mark.parametrize("name", ["tarn-hollow", "casa-vereda"])
def test_nobody_eats_more_than_a_harvest_left(name: str) -> None:
    """Planting by planting, what stands for stock is no more than the leavings of the year's own harvest; moves are counted."""
    season, tables = wide(name), load_tables()
    ways = [tables.row("feed_ways", key) for key in tables.keys("feed_ways")]
    left = {item.account.partition(":")[2]: item for row in ways if row.text("way") == "leavings" for item in left_beside(row, season.production)}  # fmt: skip
    offered = [one for one in season.production.grazing if one.account.startswith(STOOD)]
    moves = [event for event in season.events if event.unit == "move"]

    assert offered
    for one in offered:
        item = left[one.account.removeprefix(STOOD)]
        fraction = tables.row("goods", one.good).need("dm_fraction")
        assert item.good == one.good
        assert one.dm_kg.sum() / fraction <= float(np.sum(item.fresh_kg)) * (1.0 + 1e-9)
    assert len(moves) == len(season.stays)


def test_the_next_year_of_a_rotation_is_seen() -> None:
    """What year 2 brings to high and brook is known with its bed and its earliest harvest; plots without a rotation ask nothing."""
    plan, tables = wide_plan("tarn-hollow"), load_tables()
    forcing = wide("tarn-hollow").forcing
    found = foods_of_next_year(plan, tables, forcing, 1, {"high", "brook", "beds"})
    lines = {
        plot: {row.crop for row in plan.plantings if (row.plot, row.year) == (plot, 2)} for plot in ("high", "brook")
    }

    assert {plot: {food.crop for food in foods} for plot, foods in found.items()} == lines
    for food in (food for foods in found.values() for food in foods):
        assert food.sown is not None
        assert food.sown >= DAYS_IN_YEAR
        assert food.day - food.sown == tables.row("crops", food.crop).need("days_to_harvest_min")
        assert not food.rings
    assert foods_of_next_year(plan, tables, forcing, 3, {"high"})["high"][0].crop == "potato"
    assert foods_of_next_year(wide_plan("casa-vereda"), tables, forcing, 1, {"trigal"}) == {}


def test_why_nobody_walks_is_told_with_numbers() -> None:
    """Tarn Hollow with every plot on its round: turnips follow oats at once, kale comes too soon, potato haulm is fenced off."""
    season = wide("tarn-hollow")
    by_name = {one.name: one for one in season.stubble.unwalked}
    result = replace(demo_year("tarn-hollow"), holding=wide_plan("tarn-hollow"), stubble=season.stubble)
    found = list(told.never_walked(Context(result, TABLES)))

    assert by_name["brook.oats"].reason == "followed"
    assert (by_name["beds.kale"].reason, by_name["beds.kale"].asked_d) == ("withheld", 120.0)
    assert by_name["beds.kale"].days < 120.0
    assert by_name["high.potato"].reason == "haulm"
    assert {one.reason for one in season.stubble.unwalked} <= set(REASONS)
    titles = " ".join(one.title for one in found)
    assert "No time to walk the stubble" in titles
    assert "kept off" in titles
    assert "Fence" in titles
    assert "the rule asks 120" in " ".join(one.number for one in found)
    for one in found:
        assert all((one.grade, one.title, one.what, one.number, one.cause, one.remedy, one.source, one.subject)), one
        assert re.search(r"\((published|common practice|from memory)|docs/", one.source), one.source


@pytest.mark.parametrize("reason", sorted(told.WHY))
def test_each_reason_is_a_finding(reason: str) -> None:
    """Cause, remedy, number and source of every reason that is told; those that are not told give none."""
    plain = Unwalked("green", "beds", "beds.x", "potato" if reason == "haulm" else "apple_semidwarf" if reason in {"young", "bark"} else "oats", "stubble", reason, ("cow", "ewes"), 8.0, 3.0, 4.0, "turnip", "nightshade_tops" if reason == "haulm" else "")  # fmt: skip
    base = demo_year("tarn-hollow")
    stubble = replace(
        base.stubble, unwalked=(plain, replace(plain, reason="little"), replace(plain, reason="elsewhere"))
    )
    [one] = told.never_walked(Context(replace(base, stubble=stubble), TABLES))

    assert all((one.grade, one.title, one.what, one.number, one.cause, one.remedy, one.source, one.subject))
    assert re.search(r"\d", one.number)
    assert re.search(r"\((published|common practice|from memory)|docs/|tables", one.source), one.source


def test_beans_harm_birds_and_not_goats() -> None:
    """Shed beans in vega are no danger to goats by the table; hens on the same round are kept off."""
    season = wide("casa-vereda")
    hens = wide_plan("casa-vereda")
    [(key, turn)] = hens.round.items()
    with_hens = hens.model_copy(update={"round": {key: turn.model_copy(update={"order": ("goats", "layers")})}})
    then = run_season(with_hens, load_tables(), season.forcing, season.lane)
    kept_off = {one.name: one.groups for one in then.stubble.unwalked if one.reason == "haulm"}

    assert "vega.dry_bean" not in {one.name for one in season.stubble.unwalked}
    assert kept_off["vega.dry_bean"] == ("layers",)
    assert set(kept_off["vega.tomato"]) == {"goats", "layers"}


def test_young_trees_are_not_walked_under() -> None:
    """With its apples planted two years ago the orchard is no place for stock, and the age is told."""
    plan = wide_plan("tarn-hollow")
    season = wide("tarn-hollow")
    young = replace(season.trees[0], age_y=2.0)
    assert any(stay.plot == "orchard" for stay in season.stays)
    swards = tuple(stay for stay in season.stays if not stay.strips)
    whole = replace(season.production, grazing=())
    ground = stubble_of(plan, load_tables(), season.forcing, whole.herds, season.months)
    assert ground is not None
    found = stubble_year(ground, season.grown, (young, *season.trees[1:]), whole, swards, season.lane)

    assert not any(stay.plot == "orchard" for stay in found.stays)
    assert {(one.reason, one.days) for one in found.unwalked if one.plot == "orchard"} == {("young", 2.0)}


NITROGEN = st.lists(st.floats(0.0, 40.0), min_size=12, max_size=12)


@given(NITROGEN, st.integers(1, 300), st.integers(1, 30), st.booleans())
def test_manure_falls_on_cleared_ground_in_its_evenings_alone(
    kg: list[float], first: int, long: int, grass: bool
) -> None:
    """Whatever the droppings: on ground that is sown falls what its evenings bring and no more; the rest is housed, none is lost."""
    plan = demo_year("casa-vereda").holding
    need = replace(goats(demo_year("casa-vereda")), manure_n_kg=np.array(kg))
    stays = [Stay(("goats",), "trigal", first, first + long, ("trigal.winter_wheat",))]
    stays += [Stay(("goats",), "pradera", 340, 350)] * grass
    months = demo_year("casa-vereda").months
    evenings = grass_share(stays, months)
    found = falls(plan, TABLES, need, np.ones(12, bool), evenings)

    housed = housed_months(plan, TABLES, "goats", np.array(kg), np.ones(12, bool), evenings)
    assert sum(found.values(), np.zeros(12)) + housed * np.array(kg) == pytest.approx(np.array(kg), abs=1e-9)
    assert food_ground(plan, "trigal")
    assert found["trigal"] == pytest.approx(np.array(kg) * evenings["goats"]["trigal"], abs=1e-9)
    assert set(found) == ({"trigal", "pradera"} if grass else {"trigal"})


def goats(result: YearResult) -> HerdNeed:
    """What the goats of Casa Vereda need and give."""
    return next(need for need in result.production.herds if need.group == "goats" and need.manure_n_kg.any())


def test_the_demonstration_shows_it() -> None:
    """Goats of Casa Vereda walk the wheat stubble: stay, feed, books of the ledger, nitrogen, phosphorus and potassium of the plot."""
    result = demo_year("casa-vereda")
    [stay] = [one for one in result.stays if one.strips]
    soil = {one.plot: one for one in result.soils}["trigal"]
    rows = [index for index, arc in enumerate(result.ledger.arcs) if arc.source == f"{STOOD}trigal.winter_wheat"]
    offered = sum(float(one.dm_kg.sum()) for one in result.stubble.stood)
    eaten = sum(float(result.ledger.dm_kg[row].sum()) for row in rows if result.ledger.arcs[row].kind == "graze")

    assert (stay.plot, stay.groups) == ("trigal", ("goats",))
    assert 0.0 < eaten <= offered * (1.0 + 1e-9)
    assert sum(float(result.ledger.dm_kg[row].sum()) for row in rows) == pytest.approx(offered, rel=1e-9)
    [dropped] = [one for one in result.droppings if one.plot == "trigal"]
    month = grass_share([stay], result.months)["goats"]["trigal"] > 0.0
    assert (dropped.n_kg_ha > 0.0).tolist() == month.tolist()
    assert soil.nitrogen is not None
    assert soil.nitrogen.on_cleared == pytest.approx(float((dropped.mineral_n_kg_ha + dropped.fresh_n_kg_ha).sum()))
    assert soil.phosphorus.dropped == pytest.approx(float(dropped.p_kg_ha.sum()))
    assert soil.potassium.dropped > 0.0
    taken = crop_content(load_tables(), "winter_wheat").p * result.harvest_kg["trigal.winter_wheat"] / 1000.0
    stubble_p = (
        good_content(load_tables(), "stubble").p
        * sum(float(result.ledger.fresh_kg[row].sum()) for row in rows if result.ledger.arcs[row].kind == "graze")
        / 1000.0
    )
    rest = [
        (index, arc)
        for index, arc in enumerate(result.ledger.arcs)
        if arc.source in ("crop:trigal.winter_wheat", "crop:trigal.vetch") and arc.kind == "gather"
    ]
    other = sum(
        good_p(arc.good) * float(result.ledger.fresh_kg[index].sum()) / 1000.0
        for index, arc in rest
        if arc.good != "wheat"
    )
    assert soil.phosphorus.taken * soil.area_m2 / 10_000.0 == pytest.approx(taken + stubble_p + other, rel=1e-6)
    assert stubble_p > 0.0
    assert float(result.left_lying["stubble"].eaten_kg.sum()) >= sum(
        float(result.ledger.fresh_kg[row].sum()) for row in rows if result.ledger.arcs[row].kind == "graze"
    ) * (1.0 - 1e-9)
    [care] = [one for one in result.findings if "clean up trigal" in one.title]
    assert "acidosis" in care.what
    assert re.search(r"2 evenings, 10 kg", care.number)


def good_p(good: str) -> float:
    """Phosphorus of a tonne of straw, or of a crop's product."""
    tables = load_tables()
    crop = next((key for key in tables.keys("crops") if tables.row("crops", key).text("good") == good), None)
    return good_content(tables, good).p if crop is None else crop_content(tables, crop).p


def test_faces_tell_cleared_ground_apart_from_grass() -> None:
    """The year's JSON names the strips, the drawing has the stay in its table, evenings of grass do not count it."""
    result = demo_year("casa-vereda")
    data = json.loads(json.dumps(year_json(result)))
    walk_ = result.pasture.walks["verde"]
    [drawing] = [one for one in drawn.drawings(result) if one.key == "stays-verde"]

    assert [one["strips"] for one in data["stays"] if one["strips"]] == [["trigal.winter_wheat"]]
    assert any(row[0] == "Trigal, cleared" for row in drawing.table.rows)
    assert "2 evenings on cleared ground" in drawing.alt
    assert walk_.leavings_d.sum() == 2.0
    assert all(not stay.strips for stay in walk_.stays)
    assert len(drawing.table.rows) == len(walk_.out) == len(walk_.stays) + 1


def test_a_stay_too_near_to_a_harvest_is_against_the_rule() -> None:
    """Goats under the olives five days before they are picked are told as against the rule; 200 days before they are not."""
    base = demo_year("casa-vereda")
    plan = wide_plan("casa-vereda")
    tree = next(one for one in base.trees if one.species == "olive" and one.harvest_kg > 0)

    def told_of(days: int) -> list[str]:
        last = (tree.harvest_from - days) % DAYS_IN_YEAR + 1
        stays = (Stay(("goats",), "olivar", last - 1, last, ("olives",)),)
        found = walks(plan, ["verde"], stays, base.months, np.ones(12, bool))
        result = replace(base, holding=plan, stays=stays, pasture=replace(base.pasture, walks=found))
        context = Context(result, TABLES)
        assert not [one for one in folded_stock(context) if "olivar" in one.title]
        return [one.grade + one.number for one in told.manure_near_harvest(context) if "olivar" in one.title]

    assert len(told_of(5)) == 1
    assert told_of(5)[0].startswith("rule5 days, the rule asks")
    assert all("olive" not in one for one in told_of(200))


def test_the_stubble_that_is_left_keeps_the_published_floor(outside: Outside) -> None:
    """Sheep lose weight where under 40 kg/ha of grain or green is left: the herd of the demonstration leaves that much."""
    result, tables = demo_year("casa-vereda"), load_tables()
    [one] = result.stubble.stood
    area_ha = next(item.area_m2 for item in result.plantings if item.planting == "trigal.winter_wheat") / 10_000.0
    row = tables.row("feed_ways", "stubble")
    [item] = [item for item in left_beside(row, result.production) if item.account == "leavings:trigal.winter_wheat"]
    lay_kg = float(np.sum(item.fresh_kg)) * tables.row("goods", "stubble").need("dm_fraction")

    outside.check_between(
        "stubble.floor", "stubble of Casa Vereda left by its goats, kg dry matter a hectare",
        "Southern Farming Systems, Grazing Stubbles (Grain & Graze): 40 kg/ha", "published", 40.0, 200.0,
        (lay_kg - float(one.dm_kg.sum())) / area_ha,
    )  # fmt: skip


def test_stock_count_as_raw_manure(outside: Outside) -> None:
    """A certifier keeps stock out of orchards, and off food that does not touch the soil, for as long as raw manure."""
    plan = yardland.load(EXAMPLES / "tarn-hollow")
    outside.check_same(
        "stubble.withheld", "days from stock on the ground to a harvest that does not touch it",
        "CCOF, Intensive Grazing Prior to Harvest Intervals (2015)", "published", 90, asked_d(plan, touches=False),
    )  # fmt: skip
