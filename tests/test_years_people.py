"""People along a chain that begins as it stands: children grow, who is expected is born once, needs and plates follow the years."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from datetime import date

import numpy as np
import pytest
from typer.testing import CliRunner

import yardland
from yardland.cli.main import app
from yardland.holding.model import Holding, Person
from yardland.larder.ageing import at_table, grown_kg, mean_table, older
from yardland.larder.description import MONTHS
from yardland.larder.needs import household_need
from yardland.larderyears.bound import SLACK, foresight
from yardland.larderyears.chains import ground, grow_chains
from yardland.larderyears.food_flows import by_line, food_flows, unclosed
from yardland.larderyears.frame import ENERGY
from yardland.larderyears.hot import Hot
from yardland.larderyears.household import need_day, years_at_table
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.scarcity import LACKS, scarcity
from yardland.larderyears.sides import Brought, brought
from yardland.larderyears.stack import stacked
from yardland.larderyears.start import calendar_of, started_as
from yardland.larderyears.told import ChainTold, tell_chain, teller
from yardland.larderyears.walk import SLACK as SLACK_OF_CLOSED
from yardland.larderyears.walk import Policy, Walked, Walker
from yardland.larderyears.window_walk import walker_of
from yardland.ledger.months import larder_months
from yardland.reference import load_tables

ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40,f2", "--area", "0.4 ha"]
YEARS = 3
TABLES = load_tables()
CHILD = "person3"
BORN = date(2027, 12, 5)


@dataclass(frozen=True)
class Run:
    """A small holding made ready, what two chains bring, and the walk of the first."""

    prepared: Prepared
    chains: tuple[Brought, Brought]
    walked: Walked
    told: ChainTold


@pytest.fixture(scope="module")
def holding(tmp_path_factory: pytest.TempPathFactory) -> Holding:
    """A household of two with a child who eats no meat and another expected, on 0.4 ha, as it stands in October 2026."""
    place = tmp_path_factory.mktemp("people") / "brook"
    assert CliRunner().invoke(app, ["new", str(place), *ARGS]).exit_code == 0
    plan = (place / "holding.toml").read_text(encoding="utf-8")
    stands = plan.replace('start = { as = "settled" }', 'start = { on = 2026-10-01, as = "it stands" }')
    (place / "holding.toml").write_text(stands, encoding="utf-8")
    found = yardland.load(place)
    mother = found.people["person1"].model_copy(update={"expects": (BORN,)})
    child = found.people[CHILD].model_copy(update={"no": ("vegetarian",), "born": date(2024, 5, 1)})
    return found.model_copy(update={"people": {**found.people, "person1": mother, CHILD: child}})


@pytest.fixture(scope="module")
def run(holding: Holding) -> Run:
    """The quick policy, walked over three years from bare shelves."""
    prepared = prepare(ground(holding, TABLES), quick=True, years=YEARS)
    grown = grow_chains(prepared.ground, 5, [0, 1], YEARS, calendar=calendar_of(holding, YEARS))
    one, two = (brought(prepared.frame, chain)[0] for chain in grown.productions)
    walked = walker_of(prepared.policy).walk(one, prepared.opening_kg)
    tell = teller(prepared.frame, prepared.policy.stack, prepared.policy.household)
    return Run(prepared, (one, two), walked, tell_chain(tell, 0, walked))


def months(year: int) -> tuple:
    """The larder months of a year of the chain."""
    return larder_months(2026 + year, 10)


@pytest.mark.parametrize(
    ("sex", "from_y", "to_y", "gained"), [("m", 4.0, 7.0, 2.0 + 2.0 + 2.2), ("f", 16.5, 30.0, 0.4)]
)
def test_a_child_gains_what_the_table_says_of_each_age(sex: str, from_y: float, to_y: float, gained: float) -> None:
    """Weight rises by the yearly gain of the ages lived through, up to eighteen; a grown person keeps it."""
    person = Person(born=date(2010, 1, 1), sex=sex, weight_kg=40.0)

    assert grown_kg(person, TABLES, from_y, to_y) == pytest.approx(40.0 + gained)
    assert grown_kg(person, TABLES, 30.0, 60.0) == 40.0
    assert grown_kg(person, TABLES, from_y, from_y) == 40.0


def test_an_infant_weighs_as_the_reference_on_its_first_birthday() -> None:
    """A child typed at three months is taken for nine kilograms at a year, and gains from there."""
    person = Person(born=date(2026, 7, 1), sex="f", weight_kg=5.5)

    assert grown_kg(person, TABLES, 0.25, 0.9) == 5.5
    assert grown_kg(person, TABLES, 0.25, 2.0) == pytest.approx(9.0 + 2.4)


def test_the_first_year_is_the_plans(holding: Holding) -> None:
    """In the year of the plan nobody has grown: the need is that which one larder year reckons with."""
    first = years_at_table(holding, TABLES, months(0), 1)[0]
    _, day = household_need(holding, TABLES, months(0))

    assert first.holding.people == holding.people
    for nutrient, need in need_day(first.people).items():
        assert need == pytest.approx(day[nutrient], abs=1e-9)


def test_who_is_expected_arrives_once(holding: Holding) -> None:
    """Before the birth only the mother's need rises; afterwards the child eats, more each year, and she bears no more."""
    years = years_at_table(holding, TABLES, months(0), 6)

    def kcal(year: int, name: str) -> np.ndarray:
        return sum(one.need("energy_kcal") for one in years[year].people if one.name == name)

    born = 2
    assert [float(kcal(year, "child of person1").sum()) > 0.0 for year in range(6)] == [
        False,
        True,
        True,
        True,
        True,
        True,
    ]
    assert not kcal(1, "child of person1")[: born + 6].any()
    grown = [float(kcal(year, "child of person1").mean()) for year in range(2, 6)]
    assert sorted(set(grown)) == grown
    mother = [kcal(year, "person1") for year in range(6)]
    assert mother[1].max() > mother[0].min() + 300.0
    assert np.ptp(mother[4]) == 0.0
    assert all(len(year.people) == len(years[0].people) for year in years)


def test_a_child_who_is_there_is_not_born_again(holding: Holding) -> None:
    """An expected birth whose child is among the people adds nobody."""
    child = Person(born=BORN, sex="f", weight_kg=9.0)
    there = holding.model_copy(update={"people": {**holding.people, "wren": child}})

    assert "child of person1" in {one.name for one in at_table(holding, TABLES, months(3))}
    assert "child of person1" not in {one.name for one in at_table(there, TABLES, months(3))}


def test_the_template_has_the_mean_of_the_years(holding: Holding) -> None:
    """Mean eaters need, month by month, what the years need on average."""
    years = [year.people for year in years_at_table(holding, TABLES, months(0), 5)]
    mean = need_day(mean_table(years))

    for nutrient, need in mean.items():
        assert need == pytest.approx(np.mean([need_day(people)[nutrient] for people in years], axis=0), rel=1e-12)


def test_each_year_asks_for_its_own_need(run: Run, holding: Holding) -> None:
    """The sides of the energy rows, over all diets, are that year's need by the ages then; block by block a year on."""
    prepared = run.prepared
    household, frame = prepared.policy.household, prepared.frame
    assert household is not None
    days = np.array([month.days for month in months(0)])
    stack = stacked(frame, 2, prepared.kept)
    walker, hot = Walker(Policy(frame, stack, prepared.policy.expected, household=household)), Hot(stack)
    walker.open_year(hot, prepared.opening_kg, 1)
    energy = [
        np.array([row for index, _, m, row in frame.build.asked if (index, m) == (ENERGY, month)])
        for month in range(MONTHS)
    ]

    assert {diet for _, diet, _, _ in frame.build.asked} == {"everything", "vegetarian"}
    for block in (0, 1):
        then = months(1 + block)
        day = need_day(at_table(older(holding, TABLES, months(0), then), TABLES, then))["energy_kcal"]
        asked = [hot.row_lower[stack.rows(rows, block)].sum() for rows in energy]
        assert np.array(asked) * frame.larder.need[ENERGY] == pytest.approx(day * days, rel=1e-9)
    assert household.need[2, ENERGY, 6] > household.need[0, ENERGY, 6] * 1.01


def test_plates_grow_with_the_people(run: Run) -> None:
    """What the vegetarian child may eat of potatoes grows with its need of energy; the template has the most of any year."""
    household, build = run.prepared.policy.household, run.prepared.frame.build
    assert household is not None
    at = {int(column): index for index, column in enumerate(household.columns)}
    halves = [one for one in build.served_columns if one[:2] == ("potato", "vegetarian")]
    rows = [one for one in build.served_rows if one[:2] == ("root_group", "vegetarian")]
    place = {int(row): index for index, row in enumerate(household.rows)}

    assert halves or rows
    for _, _, _, column, _ in halves:
        upper = household.upper[:, at[column]]
        assert (np.diff(upper) > 0.0).all()
        assert upper.max() == pytest.approx(build.model.upper[column])
    for _, _, _, row, _ in rows:
        assert (np.diff(household.row_upper[:, place[row]]) > 0.0).all()


def test_coverage_is_told_against_the_years_own_need(run: Run) -> None:
    """Eaten over that year's need is never above what people eat at most; and short is what lacks of that year's need."""
    household = run.prepared.policy.household
    assert household is not None
    energy = run.told.coverage[:, ENERGY]
    eaten = energy * household.need[:YEARS, ENERGY]
    template = eaten / run.prepared.frame.larder.need[ENERGY]

    assert energy.max() < 1.05 + 1e-4
    assert run.told.least.min() >= 0.0
    assert template[2].max() > 1.05 + 1e-3 or template[0].max() < energy[0].max()
    fed = run.told.least[:, 0] > 1.0 - 1e-9
    assert fed.any()
    assert energy[fed].min() > 1.0 - 1e-4


@pytest.mark.parametrize(("year", "month"), [(0, 5), (1, 8)])
def test_what_comes_later_moves_no_decision(run: Run, year: int, month: int) -> None:
    """With other weather after a month, all that was decided up to it is the same to the last bit, whoever grows older."""
    one, two = run.chains

    def shuffled(own: np.ndarray, other: np.ndarray) -> np.ndarray:
        later = own.copy()
        later[year, ..., month + 1 :] = other[year, ..., month + 1 :]
        later[year + 1 :] = other[year + 1 :]
        return later

    future = Brought(*(shuffled(getattr(one, part.name), getattr(two, part.name)) for part in fields(Brought)))
    again = walker_of(run.prepared.policy).walk(future, run.prepared.opening_kg)
    stack, decided = run.prepared.policy.stack, run.prepared.frame.decided
    done = stack.column_at[np.flatnonzero((decided <= month) & (stack.column_at >= 0))]

    assert not np.array_equal(future.arriving_kg, one.arriving_kg)
    assert np.array_equal(again.x[:year], run.walked.x[:year])
    assert np.array_equal(again.x[year, done], run.walked.x[year, done])


def test_every_row_of_the_whole_program_holds_in_each_year(run: Run) -> None:
    """Put back into the program with all its rows, needs and plates those of the year, what was done misses nothing."""
    frame, kept = run.prepared.frame, run.prepared.kept
    whole = stacked(frame, 1)
    walker = Walker(replace(run.prepared.policy, stack=whole))
    hot = Hot(whole)
    for year in range(YEARS):
        walker.open_year(hot, run.walked.opening_kg[year], year)
        for month in range(MONTHS):
            walker.reveal(hot, 0, run.walked.came, year, month)
        x = np.zeros(whole.width)
        x[np.flatnonzero(kept.columns)] = run.walked.x[year]
        activity = whole.activity(x)
        miss = np.maximum(activity - hot.row_upper, hot.row_lower - activity) / (1.0 + np.abs(activity))
        asked = np.array([not name.startswith(("reserve.", "beyond.", "laid.")) for name in frame.row_names])

        assert miss[asked & (kept.rows | kept.lazy)].max() < 2.0 * SLACK_OF_CLOSED
        assert (x - hot.upper).max() < 1e-6


def test_no_policy_is_short_of_less_than_foresight(run: Run) -> None:
    """The bound of a chain whose people grow older is no greater than the shortage of what was done."""
    bound = foresight(run.prepared, run.walked.came, run.prepared.opening_kg)

    assert run.told.shortfall.sum() > 0.05
    assert bound.shortfall <= run.told.shortfall.sum() + SLACK


def test_a_settled_chain_keeps_the_household_of_the_plan(holding: Holding) -> None:
    """Settled, the policy has no household of years: needs are those of the plan's year in all of them."""
    prepared = prepare(ground(started_as(holding, "settled"), TABLES), quick=True)
    _, day = household_need(holding, TABLES, months(0))
    days = np.array([month.days for month in months(0)])

    assert prepared.policy.household is None
    assert prepared.frame.larder.need[ENERGY] == pytest.approx(day["energy_kcal"] * days)


def test_plates_and_food_of_people_who_grow_are_of_their_years(run: Run) -> None:
    """Of two diets the food of every year closes, scarce months are those that lack something, and no plate holds more than its year's."""
    frame, policy, told = run.prepared.frame, run.prepared.policy, run.told
    flows = food_flows(frame, policy.stack)
    lines = by_line(flows, told.food_mj)
    own = scarcity(frame, policy.stack, policy.household)
    year, month = np.nonzero(told.least.min(axis=1) < 1.0 - LACKS)

    assert len(own.diets) == 2
    assert np.abs(unclosed(lines)).max() < 1e-8 * lines.sum()
    assert np.array_equal(told.scarce_at, np.column_stack([year, month]))
    assert np.allclose(told.scarce_least.min(axis=2), told.least[year, :, month])
    assert len(own.ceiling) == len(policy.household.need) if policy.household is not None else False
    assert not np.allclose(own.ceiling[0], own.ceiling[-1])
    assert (told.scarce_plate <= 1.0 + 1e-5).all()
    assert (told.scarce_plate > 0.5).any()
