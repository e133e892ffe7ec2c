"""Chains that begin as it stands: today's stores, young trees that grow up, every year counted from the first."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

import yardland
from yardland.cli.main import app
from yardland.holding.era import plan_year
from yardland.holding.model import Holding
from yardland.larder.description import Keeping
from yardland.larderyears.asked import BURN_IN, Asked
from yardland.larderyears.chains import ground, grow_chains
from yardland.larderyears.foreseen import came_to
from yardland.larderyears.frame import store_days
from yardland.larderyears.jsonable import years_json
from yardland.larderyears.openings import TOLD_APART_MONTHS, Lying
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.result import Odds, odds_of
from yardland.larderyears.run import run_years
from yardland.larderyears.sides import brought
from yardland.larderyears.standard import is_standard, on_standard_terms
from yardland.larderyears.start import calendar_of, started_as, with_years_on
from yardland.larderyears.terms import terms_of
from yardland.larderyears.told import tell_chain, teller
from yardland.larderyears.window_walk import walker_of
from yardland.ledger.production import Production
from yardland.reference import load_tables
from yardland.report.years_lines import years_lines

ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40", "--area", "0.4 ha"]
STORES = "good,kg,method,made\nwheat,120,,2026-09-05\nrice,30,,2025-12-20\n"
"""Rice does not grow there: it is on the shelf all the same."""
YEARS = 3
SMALL = ["--count", "4", "--chain", "2", "--jobs", "1", "--quick", "--no-standard"]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that `yardland new` writes for two people on 0.4 ha, with what is on its shelves in October 2026."""
    place = tmp_path_factory.mktemp("start") / "brook"
    assert CliRunner().invoke(app, ["new", str(place), *ARGS]).exit_code == 0
    plan = (place / "holding.toml").read_text(encoding="utf-8")
    stands = plan.replace('start = { as = "settled" }', 'start = { on = 2026-10-01, as = "it stands" }')
    assert stands != plan
    (place / "holding.toml").write_text(stands, encoding="utf-8")
    (place / "stores.csv").write_text(STORES, encoding="utf-8")
    return place


@pytest.fixture(scope="module")
def holding(folder: Path) -> Holding:
    """The plan."""
    return yardland.load(folder)


@pytest.fixture(scope="module")
def odds(holding: Holding) -> Odds:
    """Two chains of three years from how it stands."""
    return odds_of(run_years(holding, load_tables(own=holding.own), Asked(count=6, chain_years=YEARS, quick=True)))


@pytest.fixture(scope="module")
def prepared(odds: Odds) -> Prepared:
    """What those chains share."""
    return odds.years.prepared


def fruit_kg(production: Production) -> float:
    """Kilograms gathered from trees."""
    return sum(float(item.fresh_kg.sum()) for item in production.gathered if item.account.startswith("trees:"))


def test_young_trees_grow_up_along_a_chain(prepared: Prepared) -> None:
    """In the same weather trees of a year bear nothing, in every year of the plan's age; along a chain they come to bear."""
    calendar = calendar_of(prepared.ground.holding, 12)
    stands = grow_chains(prepared.ground, 5, [0], 12, calendar=calendar).productions[0]
    settled = grow_chains(prepared.ground, 5, [0], 12).productions[0]

    assert calendar is not None
    assert calendar[0] == plan_year(prepared.ground.holding) == 2026
    assert [fruit_kg(year) for year in settled] == [0.0] * 12
    assert fruit_kg(stands[0]) == 0.0
    assert sum(map(fruit_kg, stands[6:10])) > 3.0 * sum(map(fruit_kg, stands[:4])) > 0.0


def test_a_year_counts_on_its_own_trees(prepared: Prepared) -> None:
    """The normal of a later year has more fruit than that of the first, which has none; a settled normal has one a rotation year."""
    tables = prepared.ground.tables
    longer = prepare(prepared.ground, quick=True, years=9)
    apples = longer.frame.goods.index("apple")
    normal = longer.policy.expected.arriving_kg[:, apples].sum(axis=1)
    settled = prepare(ground(started_as(prepared.ground.holding, "settled"), tables), quick=True)

    assert len(normal) == 10
    assert normal[0] == 0.0
    assert normal[8] > 1.0
    assert len(settled.policy.expected) == prepared.ground.rotation_years


def test_a_chain_opens_with_what_is_on_the_shelves(prepared: Prepared, odds: Odds) -> None:
    """Kilograms of stores.csv by good and age are the opening, those of a good that nobody grows too; nothing else lies there."""
    opening = dict(zip(prepared.frame.lying, prepared.opening_kg, strict=True))
    there = {(one.good, one.lain): kg for one, kg in opening.items() if kg > 0.0}

    assert there == {("wheat", 0.5): 120.0, ("rice", 9.5): 30.0}
    energy = (120.0 * 3270.0 + 30.0 * 3600.0) / (float(prepared.frame.larder.need[0, 0]) / 31.0)
    assert odds.opening_days == store_days(prepared.frame, prepared.opening_kg) == pytest.approx(energy, rel=0.1)
    assert 0.0 <= odds.opening_plate_days <= odds.opening_days * (1.0 + 1e-9)


def test_every_year_counts_from_the_first(odds: Odds) -> None:
    """No year is burnt in: a chain of three has four years, the first three count, and each has a share of its own."""
    assert [len(chain.least) for chain in odds.years.chains] == [YEARS + 1] * 2
    assert odds.years.stacked("least").shape[:2] == (2, YEARS)
    assert len(odds.by_year) == YEARS
    assert sum(one.value for one in odds.by_year) / YEARS == pytest.approx(odds.reliability.value)


def test_bare_shelves_are_hungrier_than_full_ones(holding: Holding, odds: Odds) -> None:
    """The first winter from no stores at all is short of more than that from what was there."""
    bare = holding.model_copy(
        update={"stores_today": (), "goal": holding.goal.model_copy(update={"reserve_days": 0.0})}
    )
    run = run_years(bare, load_tables(own=holding.own), Asked(count=6, chain_years=YEARS, quick=True))

    assert odds_of(run).opening_days == 0.0
    assert run.stacked("shortfall")[:, 0].sum() > odds.years.stacked("shortfall")[:, 0].sum() + 0.1


@pytest.mark.parametrize(
    ("life", "lain", "ages"),
    [
        (10.0, 3.5, [3.5]),
        (20.0, 3.5, [3.5, 15.5]),
        (60.0, 3.5, [3.5, 15.5]),
        (60.0, 30.5, [30.5, 18.5]),
        (6.0, 9.5, [9.5]),
    ],
)
def test_what_lies_there_today_has_places_in_later_years(life: float, lain: float, ages: list[float]) -> None:
    """A good is a year older in the next year until its life is over; what keeps for years stays under two years of age."""
    keeping = Keeping("rice", "dry", "rice", life, 0.0)
    found = [one.lain for one in with_years_on([Lying("rice", "dry", lain)], [keeping])]

    assert found == ages
    assert all(age < max(TOLD_APART_MONTHS, lain + 1.0) for age in found)


def test_the_terms_say_how_a_chain_begins(odds: Odds) -> None:
    """Start, days of food in store, plates, hazards, level, seed and years are among the terms."""
    terms = "; ".join(terms_of(odds))

    for words in (
        f"begins as it stands in Oct 2026 with {odds.opening_plate_days:.0f} days of food in store ({odds.opening_days:.0f} by energy alone)",
        "plates as the tables have them",
        "hail, pests, disease, freezers that fail and hands laid up as the tables have them",
        "kept as a good smallholder would",
        "decided month by month, looking 2 months ahead and beyond them at what training years taught of stores, counting on 90 % of a normal harvest",
        "food",
        "seed 1, 6 years in 2 chains",
    ):
        assert words in terms


def test_what_people_like_at_most_is_a_term_that_standard_terms_drop(holding: Holding) -> None:
    """A liking with a most makes a plan other than standard; on standard terms its least alone is left."""
    plain = on_standard_terms(holding)
    name = next(iter(plain.people))
    person = plain.people[name].model_validate(
        {**plain.people[name].model_dump(), "likes": {"potato": {"least_kg_week": 0.5, "most_kg_week": 9.0}}}
    )
    liking = plain.model_copy(update={"people": {**plain.people, name: person}})
    back = on_standard_terms(liking)

    assert is_standard(plain)
    assert not is_standard(liking)
    assert is_standard(back)
    assert back.people[name].likes["potato"].least_kg_week == 0.5


def test_the_first_years_are_told_one_by_one(odds: Odds) -> None:
    """The JSON has the start and a share with its interval for each year; words have them in one line, the first of all."""
    told = years_json(odds, terms_of(odds), None, None, 1.0)
    lines = [line for line, _ in years_lines(odds, terms_of(odds), None, None, 500)]

    assert told["start"] == "it stands"
    assert told["opening_store_days"] == odds.opening_days
    assert told["opening_days_on_plates"] == odds.opening_plate_days
    assert [one["year"] for one in told["reliability_by_year"]] == [1, 2, 3]
    for one in told["reliability_by_year"]:
        low, high = one["interval"]
        assert 0.0 <= low <= one["value"] <= high <= 1.0
    assert lines[1].startswith("From how it stands today, without a short month in year 1:")


def test_nutrients_that_fall_short_stand_behind_the_months(odds: Odds) -> None:
    """The answer in words names the worst nutrient with its worst month, one year in twenty and the middle."""
    nutrients = odds.years.prepared.frame.larder.nutrients
    bands = np.full((3, len(nutrients), 12), 1.2)
    bands[:, nutrients.index("iron_mg"), 4] = 0.31, 0.52, 0.9
    told = years_lines(replace(odds, coverage=bands), terms_of(odds), None, None, 80)
    lines = [line.split() for line, _ in told]

    assert ["Iron", odds.months[4].name, "31", "52"] in lines


def test_the_command_may_ask_for_another_start(folder: Path) -> None:
    """--start settled overrules a plan that begins as it stands: chains are burnt in, no year is told by itself."""
    answer = CliRunner().invoke(app, ["years", str(folder), *SMALL, "--start", "settled", "--json"])
    told = json.loads(answer.stdout)

    assert told["start"] == "settled"
    assert told["reliability_by_year"] is None
    assert told["opening_store_days"] > 0.0
    assert any(f"settled, with {BURN_IN} years that do not count" in term for term in told["terms"])


def test_a_store_without_a_place_is_refused(folder: Path, tmp_path: Path) -> None:
    """A line of stores.csv that no room of the plan can hold ends in words that name the line, and exit code 2."""
    place = tmp_path / "brook"
    place.mkdir()
    for file in folder.iterdir():
        if file.is_file():
            (place / file.name).write_bytes(file.read_bytes())
    (place / "stores.csv").write_text("good,kg,method,made\npotato,80,clamp,2026-09-20\n", encoding="utf-8")
    answer = CliRunner().invoke(app, ["years", str(place), *SMALL])

    assert answer.exit_code == 2
    assert "stores.csv" in answer.stderr
    assert "line 2" in answer.stderr


def test_foresight_is_brought_what_came_to_the_policy(odds: Odds) -> None:
    """A chain grown again for the bound has its own trees' ages: kilograms of each good and year are those that were walked."""
    chain = odds.years.chains[1]

    assert came_to(odds.years, chain).arriving_kg.sum(axis=2) == pytest.approx(chain.arrived_kg, abs=1e-9)


def test_chains_that_begin_as_it_stands_are_the_same_in_any_company(prepared: Prepared) -> None:
    """The second chain alone brings what it brings beside the first, to the bit, with trees that grow older."""
    calendar = calendar_of(prepared.ground.holding, 6)
    both = grow_chains(prepared.ground, 5, [0, 1], 6, calendar=calendar).productions[1]
    alone = grow_chains(prepared.ground, 5, [1], 6, calendar=calendar).productions[0]

    for one, other in zip(both, alone, strict=True):
        assert [item.account for item in one.gathered] == [item.account for item in other.gathered]
        assert all(np.array_equal(a.fresh_kg, b.fresh_kg) for a, b in zip(one.gathered, other.gathered, strict=True))


@pytest.mark.slow
def test_a_settled_chain_has_forgotten_its_beginning_when_it_counts(holding: Holding) -> None:
    """In the first year that counts, food in store differs from that of chains begun four years sooner by under a twentieth of its spread."""
    shared = prepare(ground(started_as(holding, "settled"), load_tables(own=holding.own)), quick=True)
    walker, tell = walker_of(shared.policy), teller(shared.frame, shared.policy.stack)
    sooner, settled = [], []
    for chain, productions in enumerate(grow_chains(shared.ground, 3, range(6), 4 + BURN_IN + 1).productions):
        first = shared.ground.first_turn(chain)
        years, _ = brought(shared.frame, productions)
        sooner.append(tell_chain(tell, 0, walker.walk(years, shared.opening_kg, first)).stock_days[-1])
        later = walker.walk(years.of(slice(4, None)), shared.opening_kg, first + 4)
        settled.append(tell_chain(tell, 0, later).stock_days[-1])
    spread = np.std(sooner, axis=0).mean()

    assert spread > 1.0
    assert abs(np.mean(settled) - np.mean(sooner)) < 0.05 * spread
