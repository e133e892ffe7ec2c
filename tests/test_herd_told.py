"""One group told: the steady year is the year's own, drawn years are the whole holding's, sums and shares close."""

from __future__ import annotations

import json
from functools import lru_cache

import numpy as np
import pytest
from conftest import EXAMPLES, demo_year

import yardland
from yardland.holding.model import OwnRow
from yardland.larderyear.herd_spread import at_starts, by_week, products_by_year, spread
from yardland.larderyear.herd_told import HerdTold, Run, tell_herd
from yardland.larderyear.run import run_year
from yardland.reference import load_tables
from yardland.report.herd import render, sections
from yardland.report.herd_json import herd_json
from yardland.report.herd_tables import short_feed_table
from yardland.season.sky import weather_months
from yardland.stock.herds import layout as at
from yardland.stock.herds.years import herd_years
from yardland.stock.kinds import kinds
from yardland.weather.read import load_weather
from yardland.weather.years import larder_years

GROUPS = [
    ("tarn-hollow", "hens"),
    ("tarn-hollow", "geese"),
    ("tarn-hollow", "cow"),
    ("tarn-hollow", "hives"),
    ("casa-vereda", "table_birds"),
    ("casa-vereda", "rabbits"),
]
RUN = Run(years=4, chains=10, seed=7)


@lru_cache(maxsize=2)
def ground(name: str):
    """Plan, tables and weather of a demonstration holding."""
    plan = yardland.load(EXAMPLES / name)
    return plan, load_tables(own=plan.own), larder_years(load_weather(plan, 1), plan.place.year_starts.month)


@lru_cache(maxsize=8)
def told(name: str, group: str, run: Run = RUN) -> HerdTold:
    """One group of a demonstration holding."""
    _, tables, forcing = ground(name)
    return tell_herd(demo_year(name), tables, forcing, len(forcing.labels) - 1, group, run)


@pytest.fixture(params=GROUPS, ids=[group for _, group in GROUPS])
def one(request) -> HerdTold:
    """Each of some groups in turn."""
    return told(*request.param)


def test_the_steady_year_is_the_years_own(one: HerdTold) -> None:
    """Feed, heads, droppings and products of the group are those of the whole year's result."""
    result, name = one.result, one.name
    feed = result.feed_kg.get(name, {})

    assert set(one.fed.kg_by_good) == {good for good, kg in feed.items() if kg.sum() > 0}
    for good, kg in one.fed.kg_by_good.items():
        np.testing.assert_allclose(kg, feed[good], atol=1e-9)
        np.testing.assert_allclose(sum(each.kg.get(good, np.zeros(12)) for each in one.fed.classes), kg, atol=1e-9)
    np.testing.assert_allclose(one.manure.kg, result.manure_kg[name])
    for need in one.needs:
        assert one.heads_week[need.klass].max() <= result.heads[name][need.klass].max()


def test_nitrogen_of_droppings_falls_somewhere(one: HerdTold) -> None:
    """What falls under a roof and on the plots is all, in every month, and nothing is negative."""
    manure = one.manure

    np.testing.assert_allclose(sum(manure.plot_n_kg.values(), np.zeros(12)) + manure.roof_n_kg, manure.n_kg, atol=1e-9)
    assert all((kg >= 0).all() for kg in (manure.roof_n_kg, *manure.plot_n_kg.values()))


def test_energy_met_is_what_the_program_says(one: HerdTold) -> None:
    """Energy that reaches a class over its need is one less the share that the program left short, to its rounding."""
    short = one.result.feed_short.get(one.name, np.zeros(12))
    needs = {need.klass: need for need in one.needs}
    given = np.zeros(12)
    for each in one.fed.classes:
        given += (
            np.where(needs[each.klass].energy_mj > 0, np.minimum(each.met["energy"], 1.0), 0.0)
            * needs[each.klass].energy_mj
        )
    wanted = sum((need.energy_mj for need in one.needs), np.zeros(12))

    np.testing.assert_allclose(given, wanted * (1.0 - short), atol=1e-3 * max(1.0, float(wanted.max())))


def test_what_lacks_is_what_the_program_lacks() -> None:
    """The worst class's share of what is missing of lysine or a mineral is the program's own lack, where it is fed in full.

    The hens of a household that buys no lime lack calcium.
    """
    plan, tables, forcing = ground("tarn-hollow")
    trades = tuple(trade for trade in plan.trades if trade.item != "limestone")
    result = run_year(plan.model_copy(update={"trades": trades}), tables)
    hens = tell_herd(result, tables, forcing, len(forcing.labels) - 1, "hens", RUN)
    lacks = {name: lack for name, lack in result.feed_lacks["hens"].items() if lack.max() > 0.02}

    assert lacks
    for name, lack in lacks.items():
        worst = np.nanmin([each.met[name] for each in hens.fed.classes if name in each.met], axis=0)
        np.testing.assert_allclose(np.maximum(1.0 - worst, 0.0)[lack > 0.01], lack[lack > 0.01], atol=1e-6)


@pytest.mark.parametrize(("name", "group"), [("tarn-hollow", "hens"), ("casa-vereda", "table_birds")])
def test_drawn_years_are_those_of_the_whole_holding(name: str, group: str) -> None:
    """A group told alone has the heads, sums and money of the run of all groups, to the bit."""
    plan, tables, forcing = ground(name)
    result = demo_year(name)
    sky = weather_months(forcing, len(forcing.labels) - 1, result.months)
    warm = (sky["tmin_c"] + sky["tmax_c"]) / 2
    whole = herd_years(plan, tables, result.months, warm, sky["daylength_h"], RUN.years, RUN.chains, RUN.seed)
    alone = told(name, group).years.outcome

    for part, other in zip(alone, whole.groups[group].outcome, strict=True):
        np.testing.assert_array_equal(part, other)


def test_spreads_of_heads_are_whole(one: HerdTold) -> None:
    """Middles and ranges of heads are whole, in order, and begin with today's heads of the adults."""
    for row, label in enumerate(one.years.plan.rows):
        week, starts = by_week(one.years, row), at_starts(one.years, row)
        for part in (week.low, week.median, week.high, starts.heads.low, starts.heads.high):
            np.testing.assert_array_equal(part, np.rint(part))
        assert (week.low <= week.median).all()
        assert (week.median <= week.high).all()
        assert week.median.shape == (RUN.years * at.WEEKS,)
        if label.part in {"females", "males", "colonies"}:
            assert starts.heads.median[0] == one.group.heads[label.klass]


def test_near_the_target_is_within_a_quarter() -> None:
    """The share near the target counts the chains within a quarter of it, start by start; reasons share out the rest."""
    hives = told("tarn-hollow", "hives", Run(years=10, chains=40, seed=3))
    starts, heads = at_starts(hives.years, 0), hives.years.heads_at_start[0]

    np.testing.assert_allclose(starts.near, (np.abs(heads - 3) <= 0.75).mean(axis=1))
    assert starts.near.min() < 1.0
    assert sum(starts.because.values()) == pytest.approx(1.0)


def test_spread_of_known_numbers() -> None:
    """Of 0 to 100 the middle is 50 and nine tenths lie between 5 and 95."""
    found = spread(np.arange(101))

    assert (float(found.low), float(found.median), float(found.high)) == (5.0, 50.0, 95.0)
    assert float(found.scaled(0.1).high) == pytest.approx(9.5)


def test_the_handbook_stands_beside_each_figure(one: HerdTold) -> None:
    """Every yardstick names a figure of the tables with source and standing; adults' droppings and water are the table's own."""
    tables = ground(next(name for name, group in GROUPS if group == one.name))[1]

    assert one.against
    for each in one.against:
        figure = tables.figure(each.key)
        assert (each.handbook, each.source, each.standing) == (figure.value, figure.source, figure.standing)
        assert each.steady is not None or each.drawn is not None
        role = kinds()[each.klass].role
        if each.key.endswith("manure_kg_d") and role in {"dam", "sire"} and each.klass != "goose":
            assert each.steady == pytest.approx(each.handbook)
            assert each.drawn is not None
            assert each.drawn[0] == pytest.approx(each.handbook)


def test_litters_by_hand() -> None:
    """Two ewes with 1.6 lambs each bear 3 in the steady year (rounded down): 1.5 a birth beside the table's 1.6."""
    ewes = told("tarn-hollow", "ewes")
    (litter,) = [each for each in ewes.against if each.key == "stock.ewe.litter_or_clutch_size"]

    assert litter.steady == pytest.approx(1.5)
    assert litter.handbook == pytest.approx(1.6)
    assert litter.drawn is not None
    assert 1.0 <= litter.drawn[1] <= litter.drawn[0] <= litter.drawn[2] <= 2.5


def test_own_figures_stand_in_for_the_handbook() -> None:
    """A figure of own.csv moves the yardstick and the drawn years with it."""
    plan, _, forcing = ground("tarn-hollow")
    own = (*plan.own, OwnRow(line=90, key="stock.honeybee_colony.honey_kg_per_year", value=30.0, why="test"))
    result = run_year(plan, load_tables(own))
    richer = tell_herd(result, load_tables(own), forcing, len(forcing.labels) - 1, "hives", RUN)
    usual = told("tarn-hollow", "hives")

    assert next(each.handbook for each in richer.against if "honey" in each.key) == 30.0
    ratio = products_by_year(richer.years)["honey"].high / products_by_year(usual.years)["honey"].high
    assert float(ratio) == pytest.approx(2.0)


def test_bees_are_told_without_feed() -> None:
    """Colonies find their own: no source, no class fed, but honey, dates and findings."""
    hives = told("tarn-hollow", "hives")

    assert (hives.fed.sources, hives.fed.classes, hives.fed.dm_kg) == ((), (), 0.0)
    assert "honey" in products_by_year(hives.years)
    assert "finds its own" in render(hives)


def test_a_group_that_dwindles_is_found() -> None:
    """Ewes whose lambs are never kept and that nobody buys leave: off target by year, the reason told, a finding said once."""
    plan, tables, forcing = ground("tarn-hollow")
    ewes = plan.group["ewes"].model_copy(update={"renew": "own young only", "keep_young": 0})
    changed = demo_year("tarn-hollow")
    holding = plan.model_copy(update={"group": {**plan.group, "ewes": ewes}})
    dying = tell_herd(
        type(changed)(**{**vars(changed), "holding": holding}),
        tables,
        forcing,
        -1 % len(forcing.labels),
        "ewes",
        Run(12, 20, 1),
    )
    starts = at_starts(dying.years, 0)

    assert starts.heads.median[-1] < starts.heads.median[0] == 2
    assert starts.near[0] == 1.0
    assert starts.near[-1] < 0.5
    assert "none of its own young followed, and none are bought" in starts.because
    off = [each for each in dying.findings if "more than a quarter off" in each.title]
    assert [each.subject for each in off] == ["ewes.ewe"]


def test_findings_are_the_groups_own_and_said_once(one: HerdTold) -> None:
    """Findings belong to the group or its round, gravest first, none twice."""
    grades = ["danger", "rule", "short", "tight", "note"]
    ranks = [grades.index(each.grade) for each in one.findings]

    assert ranks == sorted(ranks)
    assert len({(each.subject, each.title, each.number) for each in one.findings}) == len(one.findings)
    for each in one.findings:
        assert each.subject.split(".")[0] in {one.name, "round"}


def test_page_and_json_tell_the_same(one: HerdTold) -> None:
    """Every drawing has its table, ids are unique, nothing is fetched; JSON has the promised keys and finite numbers."""
    text, data = render(one), json.loads(json.dumps(herd_json(one), allow_nan=False))
    drawings = [drawing for section in sections(one) for drawing in section["drawings"]]
    ids = [part.split('"')[0] for part in text.split(' id="')[1:]]

    assert text.count("<figure") == text.count("The same as a table") == len(drawings) >= 3
    assert len(ids) == len(set(ids))
    assert "http" not in text.replace("http://www.w3.org/2000/svg", "").split("<main>")[0]
    assert "A preview at steady numbers" in text
    assert {"schema", "version", "heads", "feed_kg", "products", "manure", "dates", "years"} <= set(data)
    assert all(len(weeks) == len(data["week_starts"]) == at.WEEKS for weeks in data["heads"].values())
    assert all(len(kg) == 12 for kg in data["feed_kg"].values())
    assert (data["years"]["count"], data["years"]["chains"], data["years"]["seed"]) == (4, 10, 7)
    for row in data["years"]["rows"].values():
        assert len(row["heads_by_week"]["median"]) == 4 * at.WEEKS
        assert len(row["at_start"]["p95"]) == 5


def test_small_feeds_are_added_up_on_the_terminal() -> None:
    """The short table of feeds has the same sum of shares, its small ones as one line."""
    hens = told("tarn-hollow", "hens")
    rows = short_feed_table(hens).rows
    kg = [float(row[3].replace(",", "")) for row in rows]

    assert rows[-1][0].endswith(("other", "others"))
    assert sum(kg) == pytest.approx(hens.fed.dm_kg, rel=0.01)


def test_an_unknown_group_is_refused() -> None:
    """A name that the plan lacks is a KeyError here; the command tells it in words."""
    _, tables, forcing = ground("tarn-hollow")

    with pytest.raises(KeyError):
        tell_herd(demo_year("tarn-hollow"), tables, forcing, 0, "dragons", RUN)
