"""Chains of larder years: nothing is decided by what comes later, nothing comes from nowhere, and no policy beats foresight."""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from larder_kit import food, larder, months
from reserve_kit import reserve_counts
from typer.testing import CliRunner
from windows_kit import NEAR, Noting, true_cost

import yardland
from yardland.cli.main import app
from yardland.larder.description import MONTHS
from yardland.larder.model import LarderError
from yardland.larderyears.bound import SLACK, check, foresight
from yardland.larderyears.chains import ground, grow_chains
from yardland.larderyears.frame import OPEN, Frame, make_frame
from yardland.larderyears.hot import PASSED, WORST_MISS, Hot
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.prune import Kept
from yardland.larderyears.sides import THAWED, Brought, brought
from yardland.larderyears.stack import Stack, stacked
from yardland.larderyears.told import tell_chain, teller
from yardland.larderyears.walk import SLACK as WALK_SLACK
from yardland.larderyears.walk import Policy, Walked, Walker, started
from yardland.larderyears.window_walk import walker_of
from yardland.ledger.production import Gathered, Production, SeedNeed
from yardland.reference import load_tables

if TYPE_CHECKING:
    import highspy

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))

YEARS = 3
ROUNDING = 1e-6
"""How far perfect information may pass a policy, relative to its cost: the solver's."""
ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40,f7", "--area", "0.6 ha"]


@dataclass(frozen=True)
class Run:
    """A small holding made ready, what two chains bring, and the walk of the first."""

    prepared: Prepared
    chains: tuple[Brought, Brought]
    walked: Walked


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that `yardland new` writes for a household of three on 0.6 ha."""
    place = tmp_path_factory.mktemp("years") / "brook"
    answer = CliRunner().invoke(app, ["new", str(place), *ARGS])
    assert answer.exit_code == 0, answer.output
    return place


@pytest.fixture(scope="session")
def run(folder: Path) -> Run:
    """The quick policy, walked over three years."""
    holding = yardland.load(folder)
    prepared = prepare(ground(holding, load_tables(own=holding.own)), quick=True)
    grown = grow_chains(prepared.ground, 5, [0, 1], YEARS)
    one, two = (brought(prepared.frame, chain)[0] for chain in grown.productions)
    return Run(prepared, (one, two), walker_of(prepared.policy).walk(one, prepared.opening_kg))


@pytest.mark.parametrize(("year", "month"), [(0, 4), (1, 9), (2, 0)])
def test_what_comes_later_moves_no_decision(run: Run, year: int, month: int) -> None:
    """With other weather and hazards after a month, all that was decided up to it is the same to the last bit."""
    one, two = run.chains

    def shuffled(own: np.ndarray, other: np.ndarray) -> np.ndarray:
        later = own.copy()
        later[year, ..., month + 1 :] = other[year, ..., month + 1 :]
        later[year + 1 :] = other[year + 1 :]
        return later

    future = Brought(
        shuffled(one.arriving_kg, two.arriving_kg),
        shuffled(one.given_kg, two.given_kg),
        shuffled(one.growth_kg_dm, two.growth_kg_dm),
        shuffled(one.mishaps, two.mishaps),
        shuffled(one.asked, two.asked),
        shuffled(one.gift_kg, two.gift_kg),
        shuffled(one.spared_kg, two.spared_kg),
    )
    again = walker_of(run.prepared.policy).walk(future, run.prepared.opening_kg)
    stack, decided = run.prepared.policy.stack, run.prepared.frame.decided
    done = stack.column_at[np.flatnonzero((decided <= month) & (stack.column_at >= 0))]

    assert not np.array_equal(future.arriving_kg, one.arriving_kg) or year == YEARS - 1
    assert np.array_equal(again.x[:year], run.walked.x[:year])
    assert np.array_equal(again.x[year, done], run.walked.x[year, done])


def test_every_row_of_the_whole_program_holds_for_what_was_done(run: Run) -> None:
    """Put back into the program with all its rows and columns, with what the year really brought, nothing is missed.

    A good that nobody uses has no row in the policy's program: all of it goes to the soil, and there is never less than none.
    """
    frame, kept = run.prepared.frame, run.prepared.kept
    whole = stacked(frame, 1)
    walker, hot = Walker(Policy(frame, whole, run.prepared.policy.expected)), Hot(whole)
    done = run.walked
    for year in range(YEARS):
        walker.open_year(hot, done.opening_kg[year], year)
        for month in range(MONTHS):
            walker.reveal(hot, 0, done.came, year, month)
        x = np.zeros(whole.width)
        x[np.flatnonzero(kept.columns)] = done.x[year]
        spare_the_rest(frame, kept, hot, x)
        activity = whole.activity(x)
        over = (activity - hot.row_upper) / (1.0 + np.abs(activity))
        under = (hot.row_lower - activity) / (1.0 + np.abs(activity))
        looked_at = kept.rows | kept.lazy
        asked = np.array([not name.startswith(("reserve.", "beyond.", "laid.")) for name in frame.row_names])
        only_trimmed = np.array([name.startswith("kitchen.") for name in frame.row_names]) & ~kept.rows

        assert np.maximum(over, under)[asked & looked_at].max() < WORST_MISS
        assert under[only_trimmed].max() < 1e-5
        assert x.min() >= 0.0


def spare_the_rest(frame: Frame, kept: Kept, hot: Hot, x: np.ndarray) -> None:
    """Fill in what hunger does not take of goods that the policy's program leaves out."""
    activity = hot.stack.activity(x)
    for gift in frame.asks.gifts:
        for column in gift.column[(gift.column >= 0)]:
            if not kept.columns[column]:
                row = frame.matrix.row[(frame.matrix.column == column) & (frame.matrix.value == 1.0)]
                unhurt = [one for one in row if frame.row_names[one].startswith("unhurt.")]
                x[column] = max(min(-activity[unhurt[0]], hot.upper[column]), 0.0)


def test_what_one_year_leaves_opens_the_next(run: Run) -> None:
    """Kilograms left over at the end of a year are those that the next one opens with, way by way and age by age."""
    frame, stack = run.prepared.frame, run.prepared.policy.stack
    there = stack.column_at[frame.left.column] >= 0
    left = stack.columns(frame.left.column[there])
    for year in range(YEARS):
        kg = np.bincount(
            frame.left.opening[there],
            weights=run.walked.x[year, left] * frame.left.kg[there],
            minlength=len(frame.lying),
        )
        assert run.walked.opening_kg[year + 1] == pytest.approx(kg, abs=1e-9)


def test_no_policy_is_short_of_less_than_foresight(run: Run) -> None:
    """Over the chain the summed shortage with everything known beforehand is no greater than what the policy did."""
    hungry = replace(
        run.chains[0],
        arriving_kg=run.chains[0].arriving_kg * 0.55,
        given_kg=run.chains[0].given_kg * 0.55,
    )
    walked = walker_of(run.prepared.policy).walk(hungry, run.prepared.opening_kg)
    tell = teller(run.prepared.frame, run.prepared.policy.stack)
    lacks = sum(float(walked.x[:, column].sum()) for _, _, column, _ in tell.lacks)
    bound = foresight(run.prepared, hungry, run.prepared.opening_kg)
    held = foresight(run.prepared, hungry, run.prepared.opening_kg, walked.opening_kg[-1])

    assert lacks > 0.05
    assert bound.shortfall <= lacks + SLACK
    assert bound.shortfall - SLACK <= held.shortfall <= lacks + SLACK
    assert check(bound, lacks) is bound
    with pytest.raises(LarderError, match="report the holding"):
        check(replace(bound, shortfall=lacks + 1e-3), lacks)


@pytest.mark.slow
def test_the_bound_is_no_greater_than_the_cost_of_any_policy(run: Run) -> None:
    """Over three years, good and bad ones, perfect information costs no more than each of the four policies, and is a bound that most do not reach."""
    from policies_case import cost_of, least_cost, policies

    one, opening_kg = run.chains[0], run.prepared.opening_kg
    poor = replace(one, arriving_kg=one.arriving_kg * 0.7, given_kg=one.given_kg * 0.7)
    four = policies(prepare(run.prepared.ground), run.prepared)
    gaps = []
    for years in (one, poor):
        for policy in four.values():
            walked = walker_of(policy).walk(years, opening_kg)
            cost, least = cost_of(policy, walked), least_cost(run.prepared, walked)
            gaps.append((cost - least) / cost)

    assert len(four) == 4
    assert min(gaps) >= -ROUNDING
    assert np.median(gaps) > 100.0 * ROUNDING


@pytest.mark.slow
def test_who_counts_on_what_comes_pays_what_perfect_information_does(run: Run) -> None:
    """A year that brings just what is counted on costs what the bound says: the bound is no looser than that.

    A policy looks at rows that were left out in their own month alone, and pays for it: here all months to come are looked at. Once
    such rows are there, as those that training passed are, the policy that looks at its own month pays no more.
    """
    from policies_case import cost_of, least_cost

    class Farsighted(Hot):
        def solve(self, month: int) -> np.ndarray:
            lazy = self.stack.lazy
            while True:
                x = super().solve(month)
                activity = np.bincount(lazy.row, weights=lazy.value * x[lazy.column], minlength=len(lazy.lower))
                over = np.maximum(self.lazy_lower - activity, activity - self.lazy_upper)
                passed = (over > PASSED * (1.0 + np.abs(activity))) & (lazy.month > month)
                wanted = [row for row in np.flatnonzero(passed).tolist() if row not in self.added]
                if not wanted:
                    return x
                for row in wanted:
                    self.add(row)

    mishaps = run.chains[0].mishaps.copy()
    mishaps[:, THAWED] = 0.0
    year = replace(run.chains[0], mishaps=mishaps).of(slice(0, 1))
    stack = stacked(run.prepared.frame, 1, run.prepared.kept)
    policy = Policy(run.prepared.frame, stack, year)
    begun: list[Hot] = []

    def kept(stack: Stack, basis: highspy.HighsBasis | None) -> Hot:
        begun.append(Hot(stack, basis))
        return begun[-1]

    def taught(stack: Stack, basis: highspy.HighsBasis | None) -> Hot:
        hot = Hot(stack, basis)
        for row in begun[0].added:
            hot.add(row)
        return hot

    near = Walker(policy, solver=kept).walk(year, run.prepared.opening_kg)
    again = Walker(policy, solver=taught).walk(year, run.prepared.opening_kg)
    far = Walker(policy, solver=Farsighted).walk(year, run.prepared.opening_kg)
    known, late, first = (cost_of(policy, one) for one in (far, again, near))

    assert known == pytest.approx(least_cost(run.prepared, far), rel=1e-4)
    assert late == pytest.approx(known, rel=ROUNDING)
    assert late <= first + ROUNDING * first
    assert begun[0].added


def test_foresight_feeds_nobody_from_nothing(run: Run) -> None:
    """With empty shelves, no harvest and no grass little is gained by knowing that nothing comes: foresight lacks nearly all of what the policy lacks."""
    one = run.chains[0]
    barren = replace(one, arriving_kg=one.given_kg, growth_kg_dm=np.zeros_like(one.growth_kg_dm))
    empty = np.zeros_like(run.prepared.opening_kg)
    walked = walker_of(run.prepared.policy).walk(barren, empty)
    tell = teller(run.prepared.frame, run.prepared.policy.stack)
    lacks = sum(float(walked.x[:, column].sum()) for _, _, column, _ in tell.lacks)
    bound = check(foresight(run.prepared, barren, empty), lacks)

    assert lacks > 0.3 * 2 * MONTHS * YEARS
    assert 0.9 * lacks < bound.shortfall <= lacks + SLACK
    assert bound.least[:, 0].max() < 0.75


def test_a_chain_is_the_same_whatever_others_are_grown_with_it(run: Run) -> None:
    """The second chain alone brings what it brings beside the first, to the bit."""
    alone = grow_chains(run.prepared.ground, 5, [1], YEARS)
    years, _ = brought(run.prepared.frame, alone.productions[0])

    assert np.array_equal(years.arriving_kg, run.chains[1].arriving_kg)
    assert np.array_equal(years.growth_kg_dm, run.chains[1].growth_kg_dm)


def test_what_arrives_has_a_place(run: Run) -> None:
    """Of all that fresh chains bring, less than a thousandth finds no good or month in the template."""
    grown = grow_chains(run.prepared.ground, 11, [7, 8], YEARS)
    _, lost = brought(run.prepared.frame, [one for chain in grown.productions for one in chain])

    assert lost.of_kg > 0.0
    assert lost.kg < 1e-3 * lost.of_kg


def test_each_column_is_decided_in_a_month_or_left_open(run: Run) -> None:
    """Months 0 to 11 decide what moves matter; what is left over, and sums over months, stay open."""
    frame = run.prepared.frame
    left = set(frame.left.column.tolist())

    assert set(np.unique(frame.decided)) <= {*range(MONTHS), OPEN}
    assert all(frame.decided[column] == OPEN or column in left for column in left if frame.decided[column] == OPEN)
    assert all(np.any(frame.decided == month) for month in range(MONTHS))


def test_hungry_people_may_heap_their_plates(run: Run) -> None:
    """What is eaten of a food in one month may be eaten, up to the whole plate, in each in which it is in the kitchen."""
    kept, build = run.prepared.kept, run.prepared.frame.build
    eaten = {good for (good, _), columns in build.eat.items() if kept.columns[columns].any()}
    meals = [
        columns
        for (good, month), columns in build.eat.items()
        if good in eaten and kept.rows[build.kitchen[good, month]]
    ]

    assert len(meals) > MONTHS
    assert all(kept.columns[columns].all() for columns in meals)


def test_seed_that_may_be_put_aside_after_sowing_is_lacking_when_it_does_not_come() -> None:
    """Squash is sown in March and gathered in June and September: a harvest counted on that fails leaves seed lacking, no fault."""
    squash = Production(
        (Gathered("crop:field.squash", "squash", months(jun=5.0, sep=60.0)),),
        seed=(SeedNeed("field.squash", "squash", months(mar=20.0)),),
    )
    frame = make_frame(larder([food("squash")], {}, np.full(12, 1e4), production=squash), 0.0)
    row = frame.row_names.index("seed.field.squash.Mar")
    bare = replace(squash, gathered=())
    stack = stacked(frame, 1)
    normal, nothing = (brought(frame, [one])[0] for one in (squash, bare))
    walked = Walker(Policy(frame, stack, normal)).walk(nothing, np.zeros(len(frame.lying)))
    lacking = [
        column
        for (arc, _), terms in frame.build.flows.items()
        if (arc.source, arc.target) == ("emergency", "seed")
        for column, _ in terms
    ]

    assert frame.row_month[row] == 8
    assert frame.decided[lacking].tolist() == [8]
    assert walked.x[0, stack.column_at[lacking]].sum() == pytest.approx(20.0, rel=1e-4)


def test_a_reserve_asks_for_days_of_food(run: Run) -> None:
    """With a reserve each month has a row that asks for it; without, none."""
    frame = run.prepared.frame
    without = make_frame(frame.larder, 0.0)

    assert len(frame.reserve.row) == MONTHS
    assert len(without.reserve.row) == 0


def test_plates_that_training_never_passed_are_left_out_of_the_reserve(run: Run) -> None:
    """Each row of what lies beyond a plate is there with its column or not at all; some are, some are not."""
    frame, kept = run.prepared.frame, run.prepared.kept
    rows, columns = kept.rows[frame.reserve.beyond], kept.columns[frame.reserve.column]

    assert rows.tolist() == columns.tolist()
    assert 0 < rows.sum() < 0.5 * len(rows)
    assert not kept.lazy[frame.reserve.beyond].any()


def test_a_sack_of_sugar_is_no_reserve(run: Run) -> None:
    """Of sugar no more counts for the reserve than its plate, or that of all that is sweet, gives in those days."""
    frame = run.prepared.frame
    build, month = frame.build, frame.build.month(3)
    days = run.prepared.ground.holding.goal.reserve_days / frame.larder.months[3].days
    row = frame.row_names.index(f"reserve.{month}")
    sugar = next(shelf.on_shelf[3] for shelf in build.shelves if shelf.keeping.gives == "sugar")
    plate = next(one for one in frame.larder.plates if one.key == "sugar")
    kcal = float(build.good("sugar").per_kg[0, 3])
    most = plate.ceiling_kg[3] * days / plate.edible_fraction[0]

    assert reserve_counts(frame, row, {sugar: 100.0 * most}) <= kcal * most / (days * frame.larder.need[0, 3]) * (
        1 + 1e-9
    )
    assert reserve_counts(frame, row, {sugar: 0.5 * most}) == pytest.approx(
        0.5 * kcal * most / (days * frame.larder.need[0, 3])
    )


def test_days_on_plates_and_beyond_them_are_the_days_by_energy(run: Run) -> None:
    """At each month's end plates take no more days than energy alone says, some month fewer, and the rest is told by good."""
    frame, stack = run.prepared.frame, run.prepared.policy.stack
    told = tell_chain(teller(frame, stack), 0, run.walked)
    gives = np.array(
        [frame.fare.kcal_per_kg[good, month] for month in range(MONTHS) for good in range(len(frame.fare.goods))]
    )
    there = stack.column_at[frame.shelved.column]
    kept = there >= 0
    kcal = np.bincount(
        frame.shelved.row[kept] // len(frame.fare.goods),
        weights=(gives[frame.shelved.row] * frame.shelved.value)[kept] * run.walked.x[1, there[kept]],
    )
    days = np.array([month.days for month in frame.larder.months])

    assert told.stock_days[1] == pytest.approx(kcal * days / frame.larder.need[0], abs=1e-6)
    assert (told.plate_days <= told.stock_days * (1.0 + 1e-9)).all()
    assert told.plate_days.sum() < 0.95 * told.stock_days.sum()
    assert told.beyond_days.sum(axis=1) == pytest.approx((told.stock_days - told.plate_days).mean(axis=1), abs=1e-4)


def test_nobody_is_short_beside_a_reserve_of_sugar(run: Run) -> None:
    """Walked, no month ends with more sugar on the shelf than a few months of its plate."""
    frame, stack = run.prepared.frame, run.prepared.policy.stack
    columns = [column for one in frame.build.shelves if one.keeping.gives == "sugar" for column in one.on_shelf]
    there = stack.column_at[columns]
    plate = next(one for one in frame.larder.plates if one.key == "sugar")

    assert run.walked.x[:, there[there >= 0]].max(initial=0.0) < 6.0 * plate.ceiling_kg.max()


def test_cuts_of_a_whole_holding_are_exact_where_they_were_learned_and_hold_elsewhere(run: Run) -> None:
    """Learned on a year from the stores that a chain begins with, cuts are worth what came after, and no more than what comes after from half the stores."""
    frame, kept, opening_kg = run.prepared.frame, run.prepared.kept, run.prepared.opening_kg
    whole = started(Policy(frame, stacked(frame, 2, kept), run.prepared.policy.expected), opening_kg)
    learner = Noting(replace(whole, stack=stacked(frame, 1, kept), basis=None), whole)
    learner.learn(run.prepared.training.of(slice(0, 1)), opening_kg)
    learned = tuple(learner.stops)
    learner.learn(run.prepared.training.of(slice(1, 2)), 0.5 * opening_kg, 1)

    for stop in learned:
        assert stop.cut.at(stop.kind, stop.state, stop.kept) == pytest.approx(stop.cost, rel=NEAR, abs=NEAR)
    for stop in learner.stops[len(learned) : len(learned) + MONTHS : 3]:
        cost = true_cost(learner, stop.end, stop.state, stop.kept, stop.kind)
        told = [one.cut.at(stop.kind, stop.state, stop.kept) for one in learned if one.end == stop.end]
        assert cost >= stop.cost - NEAR * (1.0 + cost)
        assert max(told) <= cost + NEAR * (1.0 + cost)
        assert max(told) > 0.2 * cost


def test_what_was_done_binds_no_later_month_by_its_roundings(run: Run) -> None:
    """A balance of 0 over large stores is missed by three times the slack of its own size: the months to come still have an answer."""
    policy = run.prepared.policy
    walker, hot = Walker(policy), Hot(policy.stack)
    walker.open_year(hot, run.prepared.opening_kg, 0)
    done = hot.optimum()
    first = walker.closing[0]
    hot.bound_columns(first.columns, done[first.columns], done[first.columns])
    did, held = first.done(hot.lower, hot.upper)
    sides = hot.row_lower[first.rows]
    balance = held & (sides == hot.row_upper[first.rows]) & (np.abs(did - sides) < WORST_MISS)
    moved = [at for at in np.flatnonzero(balance[first.entry_row]) if done[first.entry_column[at]] > 1.0]
    assert moved
    column = first.entry_column[moved[:1]]
    off = done[column] + 3.0 * WALK_SLACK * (1.0 + np.abs(sides[first.entry_row[moved[:1]]]))
    hot.bound_columns(column, off, off)

    walker.loosen(hot, first)

    assert np.isfinite(hot.optimum()).all()
    assert hot.lower[column] == hot.upper[column] == off
