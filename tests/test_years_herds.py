"""Herds along a chain: what they give and ask for moves sides alone, hunger takes no more than there is, nothing is foreseen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from random_holding import write_holding
from typer.testing import CliRunner

import yardland
from yardland.cli.main import app
from yardland.holding.model import Holding, Plot
from yardland.larder.description import MONTHS, Trade
from yardland.larderyears.asks import ENERGY, HEADS, gift_kg, spared_kg
from yardland.larderyears.chains import ground, grow_chains
from yardland.larderyears.frame import make_frame
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.sides import THAWED, Brought, brought, expected, herd_sides, stray
from yardland.larderyears.stack import stacked
from yardland.larderyears.standard import is_standard, on_standard_terms
from yardland.larderyears.told import ChainTold, tell_chain, teller
from yardland.larderyears.walk import Walked
from yardland.larderyears.window_walk import walker_of
from yardland.reference import load_tables

YEARS = 3
ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40,f7", "--area", "0.6 ha"]
HENS = "herd:hens.laying_hen"


@dataclass(frozen=True)
class Run:
    """A small holding with hens and a ewe, what one chain brings, and its walk."""

    holding: Holding
    prepared: Prepared
    years: Brought
    walked: Walked

    def herd(self, account: str = HENS) -> int:
        """Number of a class."""
        return self.prepared.frame.asks.accounts.index(account)

    def walk(self, years: Brought) -> tuple[Walked, ChainTold]:
        """Walk other years from the same stores."""
        walked = walker_of(self.prepared.policy).walk(years, self.prepared.opening_kg)
        return walked, tell_chain(teller(self.prepared.frame, self.prepared.policy.stack), 0, walked)

    def given(self, walked: Walked, good: str) -> np.ndarray:
        """Kilograms of a good that herds gave after hunger, [year, 12], from the columns of their arcs."""
        frame, stack = self.prepared.frame, self.prepared.policy.stack
        found = np.zeros((len(walked.x), MONTHS))
        for (arc, month), terms in frame.build.flows.items():
            if arc.kind == "give" and arc.good == good:
                for column, kg in terms:
                    if stack.column_at[column] >= 0:
                        found[:, month] += kg * walked.x[:, stack.column_at[column]]
        return found

    def spared(self, walked: Walked, good: str) -> np.ndarray:
        """Kilograms that hunger need not have taken, [year, 12]: the program throws away by it what nobody needs, of stores too."""
        frame, stack = self.prepared.frame, self.prepared.policy.stack
        activity = np.array([stack.activity(year) for year in walked.x])
        found = np.zeros((len(walked.x), MONTHS))
        for number, gift in enumerate(frame.asks.gifts):
            for month in np.flatnonzero(gift.column >= 0) if gift.good == good else ():
                at = stack.column_at[gift.column[month]]
                name = frame.asks.accounts[gift.herd].removeprefix("herd:")
                row = stack.row_at[frame.row_names.index(f"unhurt.{name}.{good}.{frame.build.month(int(month))}")]
                if at >= 0 and row >= 0:
                    rest = np.minimum(walked.came.spared_kg[:, number, month] - walked.x[:, at], -activity[:, row])
                    found[:, month] += rest
        return found


def made(folder: Path) -> Holding:
    """The holding that `yardland new` writes for three people on 0.6 ha."""
    answer = CliRunner().invoke(app, ["new", str(folder), *ARGS])
    assert answer.exit_code == 0, answer.output
    return yardland.load(folder)


def ready(holding: Holding) -> tuple[Prepared, Brought]:
    """The quick policy, and what chain 0 brings."""
    prepared = prepare(ground(holding, load_tables(own=holding.own)), quick=True)
    grown = grow_chains(prepared.ground, 5, [0], YEARS)
    return prepared, brought(prepared.frame, grown.productions[0])[0]


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> Run:
    """The holding walked over three years."""
    holding = made(tmp_path_factory.mktemp("herds") / "brook")
    prepared, years = ready(holding)
    return Run(holding, prepared, years, walker_of(prepared.policy).walk(years, prepared.opening_kg))


def test_at_the_templates_herds_every_side_is_the_templates(run: Run) -> None:
    """Asked for exactly the template's needs, rows of feed have the sides they were built with, and nothing is spared."""
    frame = run.prepared.frame
    stack = stacked(frame, 1)
    own = spared_kg(frame.asks, frame.asks.need[None], gift_kg(frame.asks, [frame.larder.production]))
    assert own.max() < 1e-9
    for month in range(MONTHS):
        sides = herd_sides(frame, stack, month, 0)
        lower, upper, most = sides.at(frame.asks.need[:, :, month], own[0, :, month])
        assert lower == pytest.approx(frame.row_lower[sides.row], rel=1e-12)
        assert upper == pytest.approx(frame.row_upper[sides.row], rel=1e-12)
        whole, lacks, spared = np.split(most, np.cumsum([len(sides.column), len(sides.short)]))
        assert whole == pytest.approx(frame.upper[sides.column], rel=1e-12)
        assert lacks == pytest.approx(1.0)
        assert spared == pytest.approx(0.0, abs=1e-9)


def test_every_row_of_feed_with_a_side_moves(run: Run) -> None:
    """Each row that holds a class to its need or to kilograms is among those that move with its heads."""
    frame = run.prepared.frame
    moving = {*frame.asks.least.at.tolist(), *frame.asks.most.at.tolist()}
    still = [
        name
        for row, name in enumerate(frame.row_names)
        if name.startswith("feed.")
        and row not in moving
        and (frame.row_lower[row] not in {0.0, -np.inf} or frame.row_upper[row] not in {0.0, np.inf})
    ]

    assert still == []
    assert len(moving) > 2 * MONTHS


def test_twice_the_heads_eat_and_give_twice(run: Run) -> None:
    """With all hens doubled in every year, twice the eggs arrive, and about twice the feed goes to them."""
    herd = run.herd()
    place = run.prepared.frame.goods.index("egg_hen")
    more = replace(run.years, asked=run.years.asked.copy(), arriving_kg=run.years.arriving_kg.copy())
    more.asked[:, herd] *= 2.0
    more.arriving_kg[:, place] *= 2.0
    walked, told = run.walk(more)
    _, before = run.walk(run.years)

    def fed(x: np.ndarray) -> float:
        return sum(
            kg * float(x[:, run.prepared.policy.stack.column_at[column]].sum())
            for (arc, _), terms in run.prepared.frame.build.flows.items()
            if arc.kind == "feed" and arc.target == HENS
            for column, kg in terms
            if run.prepared.policy.stack.column_at[column] >= 0
        )

    assert told.feed_short[:, herd].max() < 0.2
    assert before.feed_short[:, herd].max() < 0.2
    assert fed(walked.x) == pytest.approx(2.0 * fed(run.walked.x), rel=0.25)


def test_hunger_takes_what_lacks_and_no_more_than_there_is(run: Run) -> None:
    """Of thirty times the hens most go hungry; eggs are lost, and never more than they would lay."""
    herd, place = run.herd(), run.prepared.frame.goods.index("egg_hen")
    asked, gifts, arriving = (one.copy() for one in (run.years.asked, run.years.gift_kg, run.years.arriving_kg))
    asked[:, herd] *= 30.0
    arriving[:, place] *= 30.0
    gifts[:, [gift.herd == herd for gift in run.prepared.frame.asks.gifts]] *= 30.0
    spared = spared_kg(run.prepared.frame.asks, asked, gifts)
    walked, told = run.walk(replace(run.years, asked=asked, gift_kg=gifts, arriving_kg=arriving, spared_kg=spared))
    spares = run.spared(walked, "egg_hen")
    lost = -run.given(walked, "egg_hen") - spares

    assert spares.min() > -1e-6
    assert told.feed_short[:, herd].max() > 0.3
    assert told.feed_short.max() <= 1.0
    assert lost.max() > 1.0
    assert np.all(lost <= walked.came.arriving_kg[:, place] + 1e-6)
    assert np.all(lost >= -1e-9)


def starved(run: Run, month: int) -> Brought:
    """The first year with hens that ask for thirty times their feed in one month."""
    years, herd = run.years.of(slice(0, 1)), run.herd()
    years = replace(years, asked=years.asked.copy(), spared_kg=years.spared_kg.copy())
    years.asked[0, herd, :HEADS, month] *= 30.0
    return replace(years, spared_kg=spared_kg(run.prepared.frame.asks, years.asked, years.gift_kg))


def test_hunger_lowers_the_next_months_eggs_and_those_alone(run: Run) -> None:
    """After a month in which hens lack nearly all of their feed, half as many eggs arrive as their heads would lay; later all."""
    place, month = run.prepared.frame.goods.index("egg_hen"), 5
    walked, told = run.walk(starved(run, month))
    lacked = told.feed_short[0, run.herd(), month]
    potential, came = run.years.arriving_kg[0, place], walked.came.arriving_kg[0, place]

    assert lacked > 0.5
    assert run.prepared.frame.asks.hunger_carried == 0.5
    assert told.feed_short[0, run.herd(), month + 1] < 0.05
    assert came[: month + 1] == pytest.approx(potential[: month + 1])
    assert came[month + 1] == pytest.approx((1.0 - 0.5 * lacked) * potential[month + 1])
    assert came[month + 2 :] == pytest.approx(potential[month + 2 :], rel=0.05)


def test_hunger_is_not_foreseen(run: Run) -> None:
    """Hens that will starve in a later month change no decision before it, to the bit."""
    month = 5
    walked, _ = run.walk(starved(run, month))
    stack, decided = run.prepared.policy.stack, run.prepared.frame.decided
    done = stack.column_at[np.flatnonzero((decided < month) & (stack.column_at >= 0))]

    assert np.array_equal(walked.x[0, done], run.walked.x[0, done])


def test_no_answer_uses_the_way_of_last_resort(run: Run) -> None:
    """Nothing is taken from nowhere into a kitchen to make up for what hunger takes."""
    stack = run.prepared.policy.stack
    columns = [
        stack.column_at[column]
        for (arc, _), terms in run.prepared.frame.build.flows.items()
        if arc.kind == "emergency" and arc.target.startswith("kitchen:")
        for column, _ in terms
    ]
    kept = [column for column in columns if column >= 0]

    assert len(kept) > MONTHS
    assert run.walked.x[:, kept].max() == 0.0


def test_nothing_is_made_of_nothing_to_sell_it(run: Run) -> None:
    """However dear eggs sell, what comes from nowhere costs more than any sale gains."""
    larder = run.prepared.frame.larder
    sale = Trade("egg_hen", "sell", 1e6, np.full(MONTHS, np.inf))
    frame = make_frame(replace(larder, trades=(*larder.trades, sale)), 0.0)
    nowhere = [
        frame.cost[column]
        for (arc, _), terms in frame.build.flows.items()
        if arc.kind == "emergency" and arc.target == "kitchen:egg_hen"
        for column, _ in terms
    ]

    assert len(nowhere) == MONTHS
    assert frame.cost.min() < -1000.0
    assert min(nowhere) > -frame.cost.min()


def test_nobody_is_starved_beyond_what_it_asks_for(run: Run) -> None:
    """What a class lacks is bounded by what it asks for: twice the template's need at twice the heads, nothing without any.

    Else a herd that gives tons which nobody can eat would be made hungrier than hungry, to have less to throw away.
    """
    frame = run.prepared.frame
    sides = herd_sides(frame, stacked(frame, 1), 3, 0)
    none = np.zeros(len(frame.asks.gifts))
    for times in (2.0, 0.0):
        _, _, most = sides.at(times * frame.asks.need[:, :, 3], none)
        lacks = most[len(sides.column) : len(sides.column) + len(sides.short)]
        assert len(lacks) == len(sides.short) > 0
        assert lacks == pytest.approx(times)
    for (account, month), column in frame.build.feed_short.items():
        if (place := run.prepared.policy.stack.column_at[column]) >= 0:
            herd = frame.asks.accounts.index(account)
            ratio = run.years.asked[:, herd, :HEADS, month] / np.maximum(frame.asks.need[herd, :HEADS, month], 1e-12)
            assert np.all(run.walked.x[:, place] <= ratio.max(axis=1) + 1e-6)


def test_a_year_without_hens_asks_for_nothing_and_gives_no_egg(run: Run) -> None:
    """When all hens are gone their feed is none, they are not hungry, and no egg comes."""
    herd, place = run.herd(), run.prepared.frame.goods.index("egg_hen")
    none = replace(
        run.years,
        asked=run.years.asked.copy(),
        arriving_kg=run.years.arriving_kg.copy(),
        spared_kg=run.years.spared_kg.copy(),
    )
    none.asked[1, herd] = 0.0
    none.arriving_kg[1, place] = 0.0
    none.spared_kg[1] = np.where(
        np.array([gift.herd == herd for gift in run.prepared.frame.asks.gifts])[:, None], 0.0, none.spared_kg[1]
    )
    walked, told = run.walk(none)

    assert told.feed_short[1, herd].max() == 0.0
    assert np.array_equal(walked.x[0], run.walked.x[0])
    assert np.abs(run.given(walked, "egg_hen")[1]).max() < 1e-9


def test_what_is_asked_in_a_month_without_a_row_goes_to_the_nearest(run: Run) -> None:
    """A class that stands a month longer than ever in training is fed in the month before; none of its need is lost."""
    need = run.prepared.frame.asks.need.copy()
    herd = run.herd("herd:ewes.lamb")
    fed = np.flatnonzero(need[herd, ENERGY] > 0.0)
    need[herd, :, fed[-1]] = 0.0
    asked = run.years.asked.copy()
    asked[0, herd, ENERGY, fed[-1]] += 5.0
    whole = asked[:, herd, ENERGY].sum()
    stray(asked, need)

    assert asked[0, herd, ENERGY, fed[-1]] == 0.0
    assert asked[:, herd, ENERGY].sum() == pytest.approx(whole)


def test_the_normal_holds_the_mean_of_the_herds_whole(run: Run) -> None:
    """The hedge is on harvests and grass; of what herds give and ask for the mean is counted on."""
    normal = expected(run.years, 0.5)

    assert normal.given_kg[0] == pytest.approx(run.years.given_kg.mean(axis=0))
    assert normal.asked[0] == pytest.approx(run.years.asked.mean(axis=0))
    assert normal.growth_kg_dm[0] == pytest.approx(0.5 * run.years.growth_kg_dm.mean(axis=0))


def test_an_idle_plot_moves_nothing(run: Run) -> None:
    """With one more plot on which nothing grows, all that a chain brings and decides is the same to the bit."""
    track = Plot.model_validate({"use": "track", "area_m2": 100.0})
    prepared, years = ready(run.holding.model_copy(update={"plot": {"by": track, **run.holding.plot}}))
    walked = walker_of(prepared.policy).walk(years, prepared.opening_kg)

    assert np.array_equal(years.arriving_kg, run.years.arriving_kg)
    assert np.array_equal(years.asked, run.years.asked)
    assert np.array_equal(walked.x, run.walked.x)


def test_standard_terms_have_the_tables_strikes(run: Run) -> None:
    """A plan whose fox never comes is not on standard terms; on them the fox is the table's."""
    hens = run.holding.group["hens"].model_copy(update={"strike": {"fox_per_year": 0.0}})
    safe = run.holding.model_copy(update={"group": {**run.holding.group, "hens": hens}})

    assert not is_standard(on_standard_terms(run.holding).model_copy(update={"group": safe.group}))
    assert on_standard_terms(safe).group["hens"].strike == {}


@pytest.mark.slow
@pytest.mark.parametrize("seed", [4, 9, 13])
def test_odd_holdings_with_much_hungry_stock_are_walked(seed: int, tmp_path: Path) -> None:
    """Holdings at random, with freezers that thaw and hands that lack in many months: each month has an answer, and none uses last resorts."""
    write_holding(tmp_path, seed, load_tables())
    holding = yardland.load(tmp_path)
    prepared, years = ready(holding)
    rng = np.random.default_rng(seed)
    mishaps = rng.random((YEARS, 2, MONTHS))
    mishaps[:, THAWED] *= rng.random((YEARS, MONTHS)) < 0.3
    walked = walker_of(prepared.policy).walk(replace(years, mishaps=mishaps), prepared.opening_kg)
    told = tell_chain(teller(prepared.frame, prepared.policy.stack), 0, walked)
    behind = [
        place
        for (arc, _), terms in prepared.frame.build.flows.items()
        if arc.kind == "emergency" and arc.target.startswith("kitchen:")
        for column, _ in terms
        if (place := prepared.policy.stack.column_at[column]) >= 0
    ]

    assert told.feed_short.max() > 0.9
    assert np.isfinite(walked.x).all()
    assert walked.x[:, behind].max(initial=0.0) == 0.0
