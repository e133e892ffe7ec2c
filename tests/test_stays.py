"""Stays on grass: evenings, rests and time in the yard by hand, droppings that follow them, and the faces that show them."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
import pytest
from conftest import EXAMPLES, demo_year
from hypothesis import given
from hypothesis import strategies as st

import yardland
from yardland.holding.model import Holding
from yardland.larderyear.herd_told import HerdTold, Run, tell_herd
from yardland.ledger.months import DAYS_IN_YEAR, larder_months
from yardland.ledger.production import HerdNeed
from yardland.reference import load_tables
from yardland.report.figures import stays as drawn
from yardland.report.herd import render
from yardland.report.herd_json import herd_json
from yardland.report.herd_tables import stays_table
from yardland.season.droppings import falls, grows_grass, housed_months, outside_kg
from yardland.season.evenings import Walk, grass_share, stay_days, walks
from yardland.season.grazers import Stay, grazers
from yardland.stock.year import herd_year
from yardland.weather.read import load_weather
from yardland.weather.years import larder_years

MONTHS = larder_months(2022, 10)
DAYS = np.array([month.days for month in MONTHS])
COW = ("cow", "ewes", "geese")


@lru_cache(maxsize=2)
def told(group: str) -> HerdTold:
    """A group of Tarn Hollow."""
    plan = yardland.load(EXAMPLES / "tarn-hollow")
    forcing = larder_years(load_weather(plan, 1), plan.place.year_starts.month)
    tables = load_tables(own=plan.own)
    return tell_herd(demo_year("tarn-hollow"), tables, forcing, len(forcing.labels) - 1, group, Run(2, 4, 1))


def hollow(within: int = 0) -> Holding:
    """Tarn Hollow, its groups within so many days of one another, or (0) together."""
    plan = yardland.load(EXAMPLES / "tarn-hollow")
    green = plan.round["green"].model_copy(update={"followers_within_days": within})
    return plan.model_copy(update={"round": {"green": green}})


def walk(*stays: tuple[str, int, int], out: np.ndarray | None = None) -> Walk:
    """What the herd of Tarn Hollow's round would have done in these stays, all together."""
    made = tuple(Stay(COW, *stay) for stay in stays)
    grows = np.ones(12, bool) if out is None else out
    return walks(hollow(), ["green"], made, MONTHS, grows)["green"]


def train(*stays: tuple[str, str, int, int]) -> Walk:
    """What its groups would have done one behind the other: group, plot, first evening, evening of leaving."""
    made = tuple(Stay((group,), *stay) for group, *stay in stays)
    return walks(hollow(4), [f"green: {group}" for group in COW], made, MONTHS, np.ones(12, bool))["green"]


def test_a_plot_rests_from_the_last_group_to_the_first() -> None:
    """Cow, ewes and geese are one grazing, gaps between them no rest; hosts have gaps of their own."""
    found = train(
        ("cow", "lea", 0, 4), ("ewes", "lea", 5, 10), ("geese", "lea", 10, 16), ("cow", "bank", 4, 9),
        ("ewes", "bank", 10, 15), ("cow", "lea", 40, 44), ("ewes", "lea", 46, 50), ("cow", "lea", 70, 74),
    )  # fmt: skip

    assert [(rest.plot, rest.left, rest.back) for rest in found.rests] == [("lea", 16, 40), ("lea", 50, 70)]
    assert [(rest.left, rest.back) for rest in found.rests_of(["ewes"])] == [(10, 46)]
    assert [(rest.left, rest.back) for rest in found.rests_of(["ewes", "geese"])] == [(16, 46)]
    assert [(rest.left, rest.back) for rest in found.rests_of(["cow"])] == [(4, 40), (44, 70)]
    assert found.rests_of(["hens"]) == ()


def test_each_group_of_a_train_has_evenings_of_its_own() -> None:
    """Ten evenings of the cow and four of the geese are theirs; the round's are their sum; ewes that ate nothing are apart."""
    found = train(("cow", "lea", 0, 10), ("geese", "lea", 10, 14))

    assert [herd.groups for herd in found.herds] == [("cow",), ("ewes",), ("geese",)]
    assert [herd.grass_d.sum() for herd in found.herds] == [10.0, 0.0, 4.0]
    assert found.grass_d.sum() == 14.0
    assert found.part("geese").stays == (Stay(("geese",), "lea", 10, 14),)
    assert found.part("hens") is None
    assert walk(("lea", 0, 10)).part("ewes").grass_d.sum() == 10.0


def test_groups_are_told_apart_where_they_follow() -> None:
    """Within no days all go together; within four the first leaves half, the second a quarter, the last nothing."""
    herd = herd_year(hollow(), load_tables(), MONTHS, np.full(12, 10.0), np.full(12, 12.0))
    together = [one for one in grazers(hollow(), load_tables(), herd, MONTHS) if "bank" in one.plots]
    apart = [one for one in grazers(hollow(4), load_tables(), herd, MONTHS) if "bank" in one.plots]

    assert [one.name for one in together] == ["green"]
    assert [(one.name, one.follows, one.within_days, one.leaves_share) for one in apart] == [
        ("green: cow", "", 0, 0.5),
        ("green: ewes", "green: cow", 4, 0.25),
        ("green: geese", "green: ewes", 4, 0.0),
    ]
    assert sum(one.kg_dm_d for one in apart) == pytest.approx(together[0].kg_dm_d)


def test_a_train_of_the_year_keeps_the_plans_days() -> None:
    """At Tarn Hollow each group comes to a plot at most four days after the one before it left, and stays six at most."""
    green, last = demo_year("tarn-hollow").pasture.walks["green"], 6
    for ahead, behind in pairwise(green.parts):
        left = [(stay.plot, stay.last) for stay in ahead.stays]
        came = [stay for stay in behind.stays if stay.first > 2 * last]
        assert came
        assert all(any(plot == stay.plot and 0 <= stay.first - day <= 4 for plot, day in left) for stay in came)
    assert all(stay.last - stay.first <= last for stay in green.stays)


def test_evenings_run_from_the_first_to_the_one_before_leaving() -> None:
    """From 29 October to the evening of 3 November there are three evenings in October and two in November."""
    assert stay_days(Stay(COW, "lea", 28, 33), MONTHS)[:3].tolist() == [3.0, 2.0, 0.0]


def test_rests_lie_between_two_stays_on_the_same_plot() -> None:
    """Lea, bank, lea, bank: a rest each; a plot grazed once has none, and none runs over the year's end."""
    found = walk(("lea", 0, 5), ("bank", 5, 10), ("lea", 30, 35), ("bank", 41, 44), ("fell", 50, 52))

    assert [(rest.plot, rest.left, rest.back, rest.days) for rest in found.rests] == [
        ("lea", 5, 30, 25),
        ("bank", 10, 41, 31),
    ]
    assert walk().rests == ()


def test_the_longest_time_off_grass_goes_round_the_year() -> None:
    """Out from day 200 to 300 the longest time off is from 300 to 200, over the end of the year; without stays there is none."""
    assert walk(("lea", 200, 210), ("bank", 240, 300)).away == (300, 200)
    assert walk(("lea", 0, 5), ("bank", 180, 360)).away == (5, 180)
    assert walk().away is None


def test_the_yard_counts_in_months_that_grow_grass() -> None:
    """With grass in October alone, ten evenings on lea leave 21 in the yard, and the other months none."""
    found = walk(("lea", 3, 13), out=np.arange(12) == 0)

    assert found.grass_d.sum() == 10.0
    assert found.yard_d.tolist() == [21.0] + [0.0] * 11


def test_a_herd_without_a_sward_has_no_walk() -> None:
    """Names that the plan lacks, and rounds over beds alone, are left out."""
    plan = hollow()
    bare = plan.model_copy(
        update={"plot": {name: plot.model_copy(update={"sward": None}) for name, plot in plan.plot.items()}}
    )

    assert walks(plan, ["nobody"], (), MONTHS, np.ones(12, bool)) == {}
    assert walks(bare, ["green"], (), MONTHS, np.ones(12, bool)) == {}


@st.composite
def some_stays(draw: st.DrawFn) -> tuple[Stay, ...]:
    """Stays one behind the other on the plots of the round."""
    edges = sorted(draw(st.lists(st.integers(0, DAYS_IN_YEAR - 1), min_size=2, max_size=12, unique=True)))
    return tuple(
        Stay(COW, draw(st.sampled_from(("lea", "bank", "fell"))), first, last)
        for first, last in zip(edges[:-1:2], edges[1::2], strict=False)
    )


@given(some_stays(), st.lists(st.floats(0.0, 40.0), min_size=12, max_size=12), st.lists(st.booleans(), min_size=12, max_size=12))  # fmt: skip
def test_droppings_follow_the_evenings_and_none_is_lost(
    stays: tuple[Stay, ...], manure: list[float], warm: list[bool]
) -> None:
    """Whatever the stays: what falls outside is the evenings' share of each month, on their plots; the rest comes to the heap."""
    plan, n = demo_year("tarn-hollow").holding, np.array(manure)
    need = replace(_need("cow"), manure_n_kg=n)
    evenings = grass_share(stays, MONTHS)
    found = falls(plan, load_tables(), need, np.array(warm), evenings)
    month = sum(found.values(), np.zeros(12))
    there = sum((stay_days(stay, MONTHS) for stay in stays), np.zeros(12)) / DAYS
    housed = housed_months(plan, load_tables(), "cow", n, np.array(warm), evenings)

    assert month == pytest.approx(n * there, abs=1e-9)
    assert housed * n + month == pytest.approx(n, abs=1e-9)
    assert all((kg >= 0.0).all() for kg in found.values())
    assert set(found) == {stay.plot for stay in stays}


def test_droppings_by_hand() -> None:
    """All January on lea and half of February on bank: what falls there is a month's and a half's, and no other's."""
    plan, tables = demo_year("tarn-hollow").holding, load_tables()
    need = replace(_need("cow"), manure_n_kg=np.ones(12))
    stays = (Stay(COW, "lea", 92, 123), Stay(COW, "bank", 123, 137))
    found = falls(plan, tables, need, np.zeros(12, bool), grass_share(stays, MONTHS))

    assert found["lea"].tolist() == [0.0] * 3 + [1.0] + [0.0] * 8
    assert found["bank"].tolist() == [0.0] * 4 + [0.5] + [0.0] * 7
    assert falls(plan, tables, need, np.zeros(12, bool), {}) == {}


def test_geese_sleep_in_their_house() -> None:
    """Of a goose's day on grass a share falls in the house by night, and none of a cow's; hens of no round keep the table's."""
    plan, tables, n = demo_year("tarn-hollow").holding, load_tables(), np.ones(12)
    evenings = grass_share((Stay(COW, "lea", 92, 123),), MONTHS)
    house = tables.row("husbandry", "housed_share_yard").need("value")
    cow, goose, hen = (
        housed_months(plan, tables, group, n, np.ones(12, bool), evenings) for group in ("cow", "geese", "hens")
    )

    assert cow.tolist() == [1.0] * 3 + [0.0] + [1.0] * 8
    assert goose == pytest.approx([1.0] * 3 + [house] + [1.0] * 8)
    assert hen == pytest.approx(np.full(12, house))


@pytest.mark.parametrize("name", ["tarn-hollow", "casa-vereda"])
def test_the_heap_gets_what_does_not_fall_outside(name: str) -> None:
    """In a demonstration's year the nitrogen that the heap's law takes as dropped is what lies on the plots, by the stays told."""
    result, tables = demo_year(name), load_tables()
    warm, evenings = grows_grass(result.weather_months), grass_share(result.stays, result.months)
    needs = result.production.herds
    outside = [outside_kg(result.holding, tables, one.group, one.manure_n_kg, warm, evenings).sum() for one in needs]
    on_plots = sum(
        float(one.n_kg_ha.sum()) * result.holding.plot[one.plot].area_m2 / 10_000.0 for one in result.droppings
    )

    assert on_plots == pytest.approx(result.heap.dropped_n_kg, rel=1e-9)
    assert sum(outside) == pytest.approx(result.heap.dropped_n_kg, rel=1e-9)
    assert 0.0 < result.heap.dropped_n_kg < result.heap.excreted_n_kg


def _need(group: str) -> HerdNeed:
    return next(need for need in told(group).needs if need.manure_n_kg.any())


def test_the_page_of_a_group_tells_its_stays() -> None:
    """Each stay of the year's result stands in the table and in JSON with its dates; hens, that are not taken to grass, have none."""
    cow, data = told("cow"), json.loads(json.dumps(herd_json(told("cow"))))
    stays = [stay for stay in cow.result.stays if "cow" in stay.groups]
    rows = stays_table(cow).rows
    page = render(cow)

    assert len(rows) == len(stays) == len(data["stays"]) > 0
    assert (
        sum(int(row[3]) for row in rows)
        == sum(data["evenings_on_grass"])
        == sum(one["evenings"] for one in data["stays"])
    )
    assert all(one["from"] < one["to"] for one in data["stays"])
    assert {row[0].lower() for row in rows} == {stay.plot for stay in stays}
    assert "Stays on grass" in page
    assert "In the yard" in page
    assert "Rested before, days" in page
    ewes = told("ewes")
    behind = [row[4] for row in stays_table(ewes).rows]
    assert all(days in "01234" for days in behind[1:])
    assert "cow, within 4 days" in render(ewes)
    hens = herd_json(told("hens"))
    assert (hens["stays"], hens["evenings_on_grass"]) == ([], None)
    assert "Stays on grass" not in render(told("hens"))


def test_the_year_draws_the_stays_of_each_herd() -> None:
    """One drawing for each herd that was on grass, as many rows in its table as stays, all inside the drawing."""
    result = demo_year("tarn-hollow")
    [drawing] = drawn.drawings(result)

    assert len(drawing.table.rows) == len(result.stays)
    assert "stays" in drawing.alt
    assert drawing.draw("light", 344).count("evenings</text>") == len(result.holding.round["green"].plots)
    assert not drawn.drawings(replace(result, pasture=replace(result.pasture, walks={})))
