"""Stays on grass: evenings, rests and time in the yard by hand, droppings that follow them, and the faces that show them."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest
from conftest import EXAMPLES, demo_year
from hypothesis import given
from hypothesis import strategies as st

import yardland
from yardland.larderyear.herd_told import HerdTold, Run, tell_herd
from yardland.ledger.months import DAYS_IN_YEAR, larder_months
from yardland.ledger.production import HerdNeed
from yardland.reference import load_tables
from yardland.report.figures import stays as drawn
from yardland.report.herd import render
from yardland.report.herd_json import herd_json
from yardland.report.herd_tables import stays_table
from yardland.season.droppings import falls, housed_share
from yardland.season.evenings import Walk, grass_share, stay_days, walks
from yardland.season.grazers import Stay
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


def walk(*stays: tuple[str, int, int], out: np.ndarray | None = None) -> Walk:
    """What the herd of Tarn Hollow's round would have done in these stays."""
    made = tuple(Stay(COW, *stay) for stay in stays)
    grows = np.ones(12, bool) if out is None else out
    return walks(yardland.load(EXAMPLES / "tarn-hollow"), ["green"], made, MONTHS, grows)["green"]


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
    plan = yardland.load(EXAMPLES / "tarn-hollow")
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
    """Whatever the stays: all that is not housed falls on plots, no month gives more than it has, unwalked plots get none."""
    plan, n = demo_year("tarn-hollow").holding, np.array(manure)
    need = replace(_need("cow"), manure_n_kg=n)
    found = falls(plan, load_tables(), need, np.array(warm), grass_share(stays, MONTHS))
    month = sum(found.values(), np.zeros(12))

    assert float(month.sum()) == pytest.approx((1.0 - housed_share(plan, load_tables(), "cow")) * n.sum(), abs=1e-9)
    assert (month <= n * (1.0 + 1e-9) + 1e-12).all()
    assert all((kg >= 0.0).all() for kg in found.values())
    walked = {stay.plot for stay in stays if (stay_days(stay, MONTHS) * n).sum() > 0.0}
    assert set(found) <= {"lea", "bank", "fell"}
    assert not walked or all(found[plot].sum() == 0.0 for plot in set(found) - walked)


def test_droppings_by_hand() -> None:
    """All January on lea and half of February on bank: what falls there is the month's, before any other month's."""
    plan, tables = demo_year("tarn-hollow").holding, load_tables()
    need = replace(_need("cow"), manure_n_kg=np.ones(12))
    stays = (Stay(COW, "lea", 92, 123), Stay(COW, "bank", 123, 137))
    found = falls(plan, tables, need, np.zeros(12, bool), grass_share(stays, MONTHS))
    outside = 12.0 * (1.0 - housed_share(plan, tables, "cow"))

    assert set(found) == {"lea", "bank"}
    assert found["lea"].sum() == pytest.approx(outside * 2.0 / 3.0)
    assert found["lea"][3] + found["bank"][3] == pytest.approx(1.0)
    assert found["lea"][3] == pytest.approx(1.0)
    assert found["bank"][4] >= 0.5


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
