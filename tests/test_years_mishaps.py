"""What befalls the whole holding along a chain: how often and how hard, whom it spares, and that nobody sees it coming."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from herds_kit import own
from typer.testing import CliRunner

import yardland
from yardland.cli.main import app
from yardland.growth.hazards.draws import Numbers
from yardland.holding.model import Holding
from yardland.larder.description import MONTHS
from yardland.larder.power import expected_thaw_loss
from yardland.larderyears.bound import SLACK, foresight
from yardland.larderyears.chains import ground, grow_chains
from yardland.larderyears.mishaps import FREEZER, ILL, POWER, Mishaps, laid_up, main_worker, mishaps, without_mean_thaw
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.sides import HANDS, THAWED, Brought, brought
from yardland.larderyears.thaw import Thaw
from yardland.larderyears.told import teller
from yardland.larderyears.walk import Walked
from yardland.larderyears.window_walk import walker_of
from yardland.ledger.months import larder_months
from yardland.reference import load_tables

ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40,f7", "--area", "0.6 ha"]
TABLES = load_tables()
MONTHS_OF_YEAR = larder_months(2001, 10)
MANY = np.arange(6000)


@pytest.fixture(scope="module")
def brook(tmp_path_factory: pytest.TempPathFactory) -> Holding:
    """The holding that `yardland new` writes for three people, two of whom work alike."""
    folder: Path = tmp_path_factory.mktemp("mishaps") / "brook"
    assert CliRunner().invoke(app, ["new", str(folder), *ARGS]).exit_code == 0
    return yardland.load(folder)


@pytest.fixture(scope="module")
def run(brook: Holding) -> tuple[Prepared, Brought, Walked]:
    """The quick policy, two years without a mishap, and their walk."""
    prepared = prepare(ground(brook, load_tables(own=brook.own)), quick=True)
    years, _ = brought(prepared.frame, grow_chains(prepared.ground, 5, [0], 2).productions[0])
    calm = years.mishaps.copy()
    calm[:, THAWED], calm[:, HANDS] = 0.0, 1.0
    years = replace(years, mishaps=calm)
    return prepared, years, walker_of(prepared.policy).walk(years, prepared.opening_kg)


def befell(holding: Holding, tables=TABLES, years: np.ndarray = MANY, seed: int = 1) -> Mishaps:
    """What befalls many drawn years."""
    return mishaps(holding, tables, MONTHS_OF_YEAR, seed, "drawn", years)


def with_cuts(holding: Holding, days: float) -> Holding:
    """The same with so many days without power a year."""
    cold = holding.store["freezer"].model_copy(update={"power_cut_days_per_year": days})
    return holding.model_copy(update={"store": {**holding.store, "freezer": cold}})


# drawn


def test_freezers_fail_as_often_and_as_hard_as_the_table_says(brook: Holding) -> None:
    """Over 6,000 years: chance and mean share within four standard errors; a chance of 0 never comes, of 1 every year."""
    found = befell(brook)
    failed = [one for one in found.told if one.key == FREEZER]
    shares = found.thawed.max(axis=1)[found.thawed.max(axis=1) > 0.0]
    chance = TABLES.row("mishaps", FREEZER).need("chance_per_year")

    assert abs(len(failed) / len(MANY) - chance) < 4 * np.sqrt(chance * (1 - chance) / len(MANY))
    assert abs(shares.mean() - 0.8) < 4 * shares.std() / np.sqrt(len(shares))
    assert shares.max() <= 1.0
    assert befell(brook, own(mishaps__freezer_fails__chance_per_year=0)).thawed.max() == 0.0
    assert np.all(befell(brook, own(mishaps__freezer_fails__chance_per_year=1)).thawed.max(axis=1) > 0.0)


def test_power_cuts_take_in_the_mean_what_one_year_reckons_with(brook: Holding) -> None:
    """The mean share lost to drawn cuts is the expected one of `yardland year`, within a tenth; without cuts there is none."""
    tables = own(mishaps__freezer_fails__chance_per_year=0)
    full = tables.row("storing", "freezer_full").need("number")
    found = befell(with_cuts(brook, 2.0), tables, np.arange(30_000))

    assert {one.key for one in found.told} == {POWER, ILL}
    assert found.thawed.sum(axis=1).mean() == pytest.approx(expected_thaw_loss(tables, 2.0, full), rel=0.1)
    assert befell(brook, tables).thawed.max() == 0.0


def test_the_main_worker_is_laid_up_as_the_table_says(brook: Holding) -> None:
    """Over 6,000 years the hands that lack are chance x weeks x the worker's part of all hours, within a tenth."""
    row = TABLES.row("mishaps", ILL)
    name, part = main_worker(brook, MONTHS_OF_YEAR)
    found = befell(brook)
    lacking = (1.0 - found.hands).sum() / len(MANY)
    weeks_a_month = 365.0 / 7.0 / 12.0

    assert name in brook.people
    assert part == pytest.approx(0.5)
    assert lacking == pytest.approx(row.need("chance_per_year") * row.need("size") * part / weeks_a_month, rel=0.1)
    assert found.hands.min() == pytest.approx(0.5)


def test_an_illness_goes_on_over_the_years_end() -> None:
    """Who falls ill in the last week of a year is laid up in the next; at the chain's end it ends."""
    drawn = Numbers(strike=np.array([9.0, -9.0, 9.0]), loss=np.zeros(3), day=np.array([0.99, 0.5, 0.99]))
    first, last = laid_up(TABLES, MONTHS_OF_YEAR, drawn)

    assert first[0] == 0
    assert first[2][0, 11] > 0.0
    assert first[2][1, 0] > 0.7
    assert last[2].sum() < 0.2


def test_a_mishap_hangs_on_names_alone(brook: Holding) -> None:
    """Other years, another freezer, another group or plot change no draw; another seed does."""
    few = befell(brook, years=np.arange(100, 140))
    more = {**brook.store, "chest": brook.store["freezer"]}
    beside = befell(brook.model_copy(update={"store": more, "group": {}}), years=np.arange(100, 140))
    whole = befell(brook, years=np.arange(400))

    def of(found: Mishaps, name: str) -> list[tuple[int, str]]:
        return [(one.year, one.key) for one in found.told if one.subject == name]

    assert np.array_equal(few.thawed, whole.thawed[100:140])
    assert of(few, "freezer") == of(beside, "freezer")
    assert of(beside, "freezer") != of(beside, "chest")
    assert not np.array_equal(befell(brook, years=np.arange(400), seed=2).thawed, whole.thawed)


def test_nobody_who_works_and_no_freezer_are_spared(brook: Holding) -> None:
    """Without hours nobody is missed, without a freezer nothing thaws."""
    idle = {name: one.model_copy(update={"hours_week": ()}) for name, one in brook.people.items()}
    found = befell(brook.model_copy(update={"people": idle, "store": {}}))

    assert found.hands.min() == 1.0
    assert found.thawed.max() == 0.0
    assert found.told == ()


# along a chain


def hit(years: Brought, what: int, year: int, month: int, share: float) -> Brought:
    """The same years with one mishap."""
    struck = years.mishaps.copy()
    struck[year, what, month] = share
    return replace(years, mishaps=struck)


def decided_before(prepared: Prepared, month: int) -> np.ndarray:
    """Columns of the stack's block that earlier months decide."""
    stack, decided = prepared.policy.stack, prepared.frame.decided
    return np.asarray(stack.column_at[np.flatnonzero((decided < month) & (stack.column_at >= 0))])


@pytest.mark.parametrize("month", [0, 2])
def test_what_lies_frozen_is_lost_and_nobody_saw_it_coming(run: tuple[Prepared, Brought, Walked], month: int) -> None:
    """Of what lies in the freezer as a month begins seven tenths are gone: not eaten, not left, and no decision before moves.

    What is taken in all and left of each batch put by before falls, added up, by the kilograms that are told as lost; shelves
    of mixed ages lose them in the balance of the month.
    """
    prepared, years, calm = run
    walked = walker_of(prepared.policy).walk(hit(years, THAWED, 1, month, 0.7), prepared.opening_kg)
    before = decided_before(prepared, month)
    stack = prepared.policy.stack
    thaw = Thaw(prepared.frame, stack)
    shelves = [one for one in thaw.balances if one.month == month]

    def held(x: np.ndarray) -> float:
        return sum(float(x[one.column] @ one.kg) for one in thaw.held if one.made < month)

    lost = walked.thawed_kg[1, month]
    assert lost > 1.0
    assert np.count_nonzero(walked.thawed_kg) == 1
    assert np.array_equal(walked.x[0], calm.x[0])
    assert np.array_equal(walked.x[1, before], calm.x[1, before])
    gone = stack.activity(walked.x[1])[[one.row for one in shelves]]
    assert gone == pytest.approx([0.7 * one.left * calm.x[1, one.before] for one in shelves], abs=1e-4)
    assert held(calm.x[1]) - held(walked.x[1]) == pytest.approx(lost - gone.sum(), abs=1e-3)
    assert calm.thawed_kg.max() == 0.0


def test_foresight_is_short_of_no_more_where_mishaps_fall(run: tuple[Prepared, Brought, Walked]) -> None:
    """With a quarter of all harvests and a fifth of the stores, a freezer lost and no hands, the policy lacks more than foresight, which lacks something too."""
    prepared, years, _ = run
    poor = replace(
        years, arriving_kg=years.arriving_kg * 0.5, given_kg=years.given_kg * 0.5, gift_kg=years.gift_kg * 0.5
    )
    struck = hit(hit(poor, THAWED, 1, 2, 1.0), HANDS, 0, 11, 0.0)
    walked = walker_of(prepared.policy).walk(struck, 0.2 * prepared.opening_kg)
    tell = teller(prepared.frame, prepared.policy.stack)
    lacks = sum(float(walked.x[:, column].sum()) for _, _, column, _ in tell.lacks)
    bound = foresight(prepared, struck, 0.2 * prepared.opening_kg)

    assert walked.thawed_kg[1, 2] > 0.0
    assert 0.01 < bound.shortfall <= lacks + SLACK


def test_without_hands_nothing_is_put_into_jars_or_dried(run: tuple[Prepared, Brought, Walked]) -> None:
    """In a month in which nobody can put by, the rows of jars and dryer hold nothing; the months before are as they were."""
    prepared, years, calm = run
    frame, stack = prepared.frame, prepared.policy.stack
    rows = frame.hands_row[stack.row_at[frame.hands_row] >= 0]
    full = stack.activity(calm.x[0])[stack.row_at[rows]]
    month = int(frame.row_month[rows][np.argmax(full)])
    walked = walker_of(prepared.policy).walk(hit(years, HANDS, 0, month, 0.0), prepared.opening_kg)
    of_month = stack.row_at[rows[frame.row_month[rows] == month]]
    before = decided_before(prepared, month)

    assert full.max() > 1.0
    assert stack.activity(walked.x[0])[of_month].max() < 1e-6
    assert np.array_equal(walked.x[0, before], calm.x[0, before])


def test_the_normal_knows_of_no_thaw_and_of_the_mean_hand(run: tuple[Prepared, Brought, Walked]) -> None:
    """A plan for months to come loses nothing from the freezer beforehand: its way of keeping has no mean loss to cuts."""
    prepared, _, _ = run
    larder = prepared.frame.larder

    assert all(one.thaw_loss == 0.0 for one in larder.keepings)
    assert without_mean_thaw(larder).keepings == larder.keepings
    assert 0.9 < prepared.policy.expected.mishaps[:, HANDS].min() <= 1.0
    assert prepared.policy.expected.mishaps.shape[2] == MONTHS


def test_struck_tells_who_was_hit(brook: Holding) -> None:
    """Mishaps of a chain are told beside hail and foxes, by their key and on whom."""
    tables = own(mishaps__freezer_fails__chance_per_year=1, mishaps__main_worker_ill__chance_per_year=1)
    grown = grow_chains(ground(brook, tables), 5, [3], 2)
    told = {(one.chain, one.year, one.hazard, one.subject) for one in grown.struck}
    name, _ = main_worker(brook, MONTHS_OF_YEAR)

    assert {(3, 0, FREEZER, "freezer"), (3, 1, FREEZER, "freezer"), (3, 0, ILL, name), (3, 1, ILL, name)} <= told
    assert all(one.lost_kg > 0.0 for one in grown.struck)
