"""Why years are as they are: where the food went closes, short months are those that were short, plates and shelves are as they were."""

from __future__ import annotations

import dataclasses
from collections import defaultdict

import numpy as np
import pytest
from larder_kit import food, keeping, larder, months
from windows_kit import Small, small

from yardland.larder.description import MONTHS, Diet, Good, Larder, Plate, Process
from yardland.larder.plan import all_flows
from yardland.larderyears.compared import compared
from yardland.larderyears.food_flows import CAME, LINES, MJ_PER_KCAL, by_line, food_flows, mj_per_kg, unclosed
from yardland.larderyears.frame import ENERGY, make_frame
from yardland.larderyears.jsonable import years_json
from yardland.larderyears.result import Odds, odds_of
from yardland.larderyears.run import ROUNDING, Years
from yardland.larderyears.scarcity import LACKS, ScarceMonths, scarce_months, scarcity
from yardland.larderyears.short_months import FULL, WHYS, Noted, Seen, ShortPlate, short_months, uneaten
from yardland.larderyears.sides import THAWED
from yardland.larderyears.stack import Stack, stacked
from yardland.larderyears.tenths import harvests, tenths, with_year_before
from yardland.larderyears.told import ChainTold, Teller, tell_chain, teller
from yardland.larderyears.walk import Walked
from yardland.larderyears.window_walk import walker_of
from yardland.report.hindsight_lines import tenth_words
from yardland.report.why_lines import food_words, good_words, moves_words, names_of, plate_words, short_words

CLOSES = 1e-8
"""Of what came in a year: rows of the program are met to 1e-6 of their size, most of them far closer."""


@dataclasses.dataclass(frozen=True)
class Small3:
    """A small invented holding, walked through twelve years in which its freezer fails twice, and told."""

    made: Small
    stack: Stack
    walked: Walked
    tell: Teller
    told: ChainTold

    @property
    def lines(self) -> np.ndarray:
        """MJ [year, line]."""
        return by_line(self.tell.food, self.told.food_mj)

    def line(self, name: str) -> np.ndarray:
        """MJ [year]."""
        return np.asarray(self.lines[:, LINES.index(name)])


@pytest.fixture(scope="module", params=[1, 2, 3])
def run(request: pytest.FixtureRequest) -> Small3:
    """Three invented holdings."""
    made = small(request.param)
    policy = made.learner.policy_of(2, 0.1, [made.lesson])
    made.years.mishaps[1, THAWED, 3] = 0.5
    made.years.mishaps[5, THAWED, 0] = 0.7
    walked = walker_of(policy).walk(made.years, made.lesson.opening_kg)
    tell = teller(made.frame, policy.stack)
    return Small3(made, policy.stack, walked, tell, tell_chain(tell, 0, walked))


def test_every_year_closes(run: Small3) -> None:
    """What came is what went, in years with a thawing freezer and hungry hens too; and each line is of the run's size."""
    lines = run.lines
    came = lines[:, : len(CAME)].sum(axis=1)

    assert np.abs(unclosed(lines) / came).max() < CLOSES
    assert run.walked.thawed_kg[[1, 5]].sum() > 0.0
    assert (lines.mean(axis=0)[[LINES.index(name) for name in ("ground", "eaten", "spoiled", "closing")]] > 0.0).all()
    assert np.allclose(run.line("opening")[1:], run.line("closing")[:-1])


def test_what_is_eaten_and_bought_is_what_is_told_elsewhere(run: Small3) -> None:
    """Energy eaten is coverage x need; bought, kilograms x energy; sown, fed and sold as the arcs of a plan have them."""
    need = run.made.frame.larder.need[ENERGY] * MJ_PER_KCAL
    mj = mj_per_kg(run.made.frame.build)
    kilograms = run.told.bought_kg @ np.array([mj.get(good, 0.0) for good in run.tell.bought])

    assert np.allclose(run.line("eaten"), run.told.coverage[:, ENERGY] @ need)
    assert np.allclose(run.line("bought"), kilograms)
    for line, kind in (("fed", "feed"), ("sown", "sow"), ("sold", "sell"), ("eaten", "eat")):
        assert np.allclose(run.line(line), by_arcs(run, kind), atol=1e-6)


def by_arcs(run: Small3, kind: str) -> np.ndarray:
    """MJ of the arcs of a kind in each year, as a year's plan is read from the same decisions."""
    stack, mj = run.stack, mj_per_kg(run.made.frame.build)
    found = []
    for x in run.walked.x:
        whole = np.where(stack.column_at >= 0, x[np.maximum(stack.column_at, 0)], 0.0)
        flows = all_flows(run.made.frame.build, whole)
        found.append(sum(mj.get(arc.good, 0.0) * kg.sum() for arc, kg in flows.items() if arc.kind == kind))
    return np.array(found)


def test_what_spoils_is_what_a_plan_says_and_what_thaws(run: Small3) -> None:
    """Spoiled on the shelves as a year's plan reads it from the same decisions; in years of a thaw at least what thawed beside it."""
    spoils = by_arcs(run, "spoil")
    beans = mj_per_kg(run.made.frame.build)["beans"]
    calm = [year for year in range(12) if year not in {1, 5}]
    left_over = run.line("spoiled") - spoils

    assert np.allclose(left_over[calm], 0.0, atol=1e-5 * (1.0 + spoils.max()))
    assert np.allclose(left_over[[1, 5]], beans * run.walked.thawed_kg[[1, 5]].sum(axis=1), rtol=1e-4, atol=1e-3)


def test_scarce_months_are_those_that_lack_something(run: Small3) -> None:
    """Noted are the months in which least is under 1, and no others; what lies there is the food that is told in days."""
    told = run.told
    year, month = np.nonzero(told.least.min(axis=1) < 1.0 - LACKS)
    need = run.made.frame.larder.need[ENERGY]
    days = np.array([one.days for one in run.made.frame.larder.months])
    kcal = (
        np.array([mj_per_kg(run.made.frame.build).get(good, 0.0) for good in run.tell.scarcity.shelves]) / MJ_PER_KCAL
    )

    assert np.array_equal(told.scarce_at, np.column_stack([year, month]))
    assert np.allclose(told.scarce_least[:, :, 0], told.least[year, :, month])
    assert np.allclose(told.scarce_shelf_kg @ kcal, told.stock_days[year, month] * need[month] / days[month])
    assert (told.scarce_plate <= 1.0 + 1e-6).all()


def test_a_full_plate_is_one_whose_row_is_met(run: Small3) -> None:
    """Shares of plates are what is eaten over what the plate holds, and some plate is full in some scarce month."""
    frame, stack = run.made.frame, run.stack
    at = {key: number for number, key in enumerate(run.tell.scarcity.plates)}
    plates = {(plate.key, plate.diet): plate for plate in frame.larder.plates}
    for number, (year, month) in enumerate(run.told.scarce_at.tolist()):
        eaten: dict[str, float] = defaultdict(float)
        for (good, when), columns in frame.build.eat.items():
            if when == month:
                there = [column for column in columns if stack.column_at[column] >= 0]
                eaten[good] += float(run.walked.x[year, stack.column_at[there]].sum())
        for key, plate in plates.items():
            kg = sum(eaten[good] * part for good, part in zip(plate.goods, plate.edible_fraction, strict=True))
            share = kg / plate.ceiling_kg[month] if plate.ceiling_kg[month] > 0.0 else 0.0
            assert run.told.scarce_plate[number, at[key]] == pytest.approx(share, abs=1e-6)


FREE = np.full(MONTHS, 1000.0)


def kitchen() -> Larder:
    """Two people of different diets, wheat that goes on a plate as grain or flour, swedes on a plate of roots, hay."""
    goods = [food("wheat"), food("flour"), food("swede"), food("bacon"), Good("hay", "hay", 0.9, feed="hay")]
    ways = tuple(keeping(good.key) for good in goods)
    plates = tuple(
        Plate(key, names, (1.0,) * len(names), FREE, food=False, diet=diet)
        for diet in ("all", "none")
        for key, names in (("grain_group", ("wheat",)), ("flour_group", ("flour",)), ("root_group", ("swede",)))
    )
    half = np.full((2, MONTHS), 0.5)
    return larder(
        goods,
        {good.key: months(jan=500.0) for good in goods},
        np.full(MONTHS, 6e4),
        keepings=ways,
        processes=(Process("mill", "wheat", (("flour", 0.9),)),),
        plates=plates,
        diets=(Diet("all", ("ann",), half), Diet("none", ("ben",), half, frozenset({"bacon"}))),
    )


def reasons(
    good: str, *, full: tuple[str, ...] = (), hungry: tuple[bool, bool] = (True, True), filled: bool = False
) -> dict[str, float]:
    """Why a good lies there in one month, 100 kg of each."""
    frame = make_frame(kitchen(), 0.0)
    own = scarcity(frame, stacked(frame, 1))
    plate = np.array([[1.0 if key in full else 0.5 for key, _ in own.plates]])
    least = np.array([[[0.8 if one else 1.0 for one in hungry]] * 2])
    noted = Noted(np.array([[0, 0, 5]]), least, plate, np.full((1, len(own.shelves)), 100.0), np.array([filled]))
    found = uneaten(Seen(frame, own), noted, plate >= FULL, good)
    assert sum(found.why.values()) == pytest.approx(1.0)
    assert set(found.why) <= set(WHYS)
    return found.why


def test_why_food_lies_there() -> None:
    """Its plate, in every form it can take; a diet that bars it; no food at all; people who are filled; else it is kept."""
    assert reasons("swede", full=("root_group",)) == {"plate": 1.0}
    assert reasons("swede") == {"kept": 1.0}
    assert reasons("wheat", full=("grain_group",)) == {"kept": 1.0}
    assert reasons("wheat", full=("grain_group", "flour_group")) == {"plate": 1.0}
    assert reasons("bacon", hungry=(False, True)) == {"refused": 1.0}
    assert reasons("bacon", hungry=(True, True)) == {"kept": 1.0}
    assert reasons("swede", filled=True) == {"filled": 1.0}
    assert reasons("hay") == {"not_food": 1.0}


def test_nothing_is_noted_where_nothing_lacks() -> None:
    """A chain of full months has no scarce one."""
    frame = make_frame(kitchen(), 0.0)
    own = scarcity(frame, stacked(frame, 1))
    found: ScarceMonths = scarce_months(own, np.zeros((3, len(frame.cost))))

    assert len(found.year) == 0
    assert found.plate.shape == (0, len(own.plates))
    assert found.shelf_kg.shape == (0, len(own.shelves))


@pytest.fixture(scope="session")
def odds(hungry: Years) -> Odds:
    """Twelve years of three people on too little ground, counted."""
    return odds_of(hungry)


def test_short_months_are_those_of_the_reliability(hungry: Years, odds: Odds) -> None:
    """As many months, by month of the year too, as the odds count; each lacks energy or protein, and plates are full or bare in some."""
    short, close = odds.shortage.short, odds.close

    assert close.months == int(short.sum()) > 0
    assert close.by_month == tuple(short.sum(axis=(0, 1)).tolist())
    assert close.of == short.size
    assert max(close.energy, close.protein) <= close.months <= close.energy + close.protein
    assert 1.0 - hungry.prepared.ground.holding.goal.short_below <= close.energy_lack + ROUNDING <= 1.0
    assert any(one.full or one.bare for one in close.plates)
    assert all(0 <= one.full + one.bare <= close.months for one in close.plates)
    assert all(sum(one.why.values()) == pytest.approx(1.0) for one in close.uneaten)


def test_short_months_of_some_years_are_part_of_all(hungry: Years, odds: Odds) -> None:
    """Those of one half and of the other are together those of all."""
    some = np.zeros((len(hungry.chains), hungry.asked.chain_years), dtype=bool)
    some[::2] = True
    parts = [short_months(hungry, some), short_months(hungry, ~some)]

    assert sum(one.months for one in parts) == odds.close.months
    assert sum(one.of for one in parts) == odds.close.of
    assert tuple(np.sum([one.by_month for one in parts], axis=0)) == odds.close.by_month
    assert sum(one.kg * part.months for part in parts for one in part.uneaten) == pytest.approx(
        sum(one.kg * odds.close.months for one in odds.close.uneaten)
    )


def test_where_the_food_of_a_whole_holding_went_closes(odds: Odds) -> None:
    """Of a holding with ground, trees and hens too; people eat what they need less what they lack, to 5 % over it."""
    food_of = odds.food

    assert food_of.unclosed < CLOSES
    assert {line for line in ("ground", "herds", "eaten", "fed") if food_of.mj[line] <= 0.0} == set()
    assert food_of.need_mj - food_of.lacking_mj - 1e-3 <= food_of.mj["eaten"] <= 1.05 * food_of.need_mj
    assert sum(mj for _, mj in food_of.goods["eaten"]) == pytest.approx(food_of.mj["eaten"])
    assert food_of.by_chain.mean(axis=0) == pytest.approx([food_of.mj[line] for line in LINES])


def test_what_moves_is_told_and_nothing_else(hungry: Years, odds: Odds) -> None:
    """The same chains told with three tenths of what was bought less: the difference is told as it is, and nothing else moves."""
    flows = food_flows(hungry.prepared.frame, hungry.prepared.policy.stack)
    bought = np.array([line == "bought" for line, _ in flows.pairs])
    chains = tuple(dataclasses.replace(one, food_mj=one.food_mj * np.where(bought, 0.7, 1.0)) for one in hungry.chains)
    beside = compared(odds, odds_of(dataclasses.replace(hungry, chains=chains)))
    assert beside is not None
    by_line_name = {one.line: one for one in beside.moves}
    own = by_line_name.pop("bought")

    assert own.difference.value == pytest.approx(-0.3 * odds.food.mj["bought"] / odds.food.day_mj)
    assert own.second == pytest.approx(0.7 * own.first)
    assert own.difference.low < own.difference.value < own.difference.high
    assert own.difference.level > 0.99
    assert all(one.difference.value == 0.0 for one in by_line_name.values())
    assert beside.moves[0] is own


def test_harvests_of_a_tenth_are_beside_those_of_all(hungry: Years) -> None:
    """Of all years every share is 1 and nothing is lost; of the first year it is that year's with the one before, goods by loss."""
    arrived = with_year_before(hungry, "arrived_kg")
    count = len(hungry.chains) * hungry.asked.chain_years
    whole = harvests(hungry, arrived, np.arange(count))
    first = harvests(hungry, arrived, np.array([0]))
    told, start = hungry.chains[0].arrived_kg, hungry.counted.start
    at = hungry.prepared.frame.goods.index(first[0].good)
    mean = float(
        np.mean(
            [
                chain.arrived_kg[hungry.counted, at] + chain.arrived_kg[start - 1 : hungry.counted.stop - 1, at]
                for chain in hungry.chains
            ]
        )
        / 2
    )

    assert all(one.share == pytest.approx(1.0) for one in whole)
    assert first[0].share == pytest.approx(float(told[start - 1 : start + 1, at].mean()) / mean)
    assert first[0].more_mj <= first[-1].more_mj
    assert [one.more_mj for one in first] == sorted(one.more_mj for one in first)


def test_words_tell_what_the_object_holds(odds: Odds) -> None:
    """Counts and lines of the words are those of the JSON, in no more lines than a screen takes."""
    told = years_json(odds, (), None, None, 0.0)
    short = told["short_months_seen_close"]
    (words,) = short_words(odds.close)
    whole = food_words(odds.food)
    driest = next(one for one in tenths(odds.years) if one.name == "driest")

    assert words.startswith(f"{short['months']} of {short['of_months']} months are short")
    assert f"energy lacks in {short['energy_lacks_months']}" in words or short["energy_lacks_months"] == 0
    assert len(words) < 8 * 80
    assert f"eaten {told['food_per_year']['went_mj']['eaten'] / odds.food.day_mj:.0f}" in whole
    assert not list(short_words(dataclasses.replace(odds.close, months=0)))
    assert "Beside all years" in tenth_words(driest, 0.0, odds.food.day_mj)


def test_what_chains_do_not_tell_apart_is_said(odds: Odds) -> None:
    """Chains that go to and fro by as much are named as not told apart, and no line of them stands among what moves."""
    run = odds.years
    flows = food_flows(run.prepared.frame, run.prepared.policy.stack)
    spoiled = np.array([line == "spoiled" for line, _ in flows.pairs])
    chains = tuple(
        dataclasses.replace(one, food_mj=one.food_mj * np.where(spoiled, 1.2 if number % 2 else 0.8, 1.0))
        for number, one in enumerate(run.chains)
    )
    beside = compared(odds, odds_of(dataclasses.replace(run, chains=chains)))
    assert beside is not None
    lines = list(moves_words(beside.moves, len(chains)))

    assert lines == [f"Not told apart by {len(chains)} chains: spoiled."]


def test_goods_are_told_by_their_names(odds: Odds) -> None:
    """Names as they stand in a sentence, keys where there is none, plates by their plainest good."""
    names = names_of(odds.years.prepared.frame.larder)
    plate = ShortPlate("broad_beans_dry", "ann", frozenset({"beans.canned", "beans"}), 1, 0, 1.0, 1.0)

    assert names["egg_hen"] == "hens' eggs"
    assert not any("," in name for name in names.values())
    assert good_words("potato.canned") == "potato canned"
    assert plate_words(plate, {"beans": "dry beans"}) == "dry beans of ann"
    assert plate_words(dataclasses.replace(plate, plate="meat_group", diet="")) == "meat"
    assert "hens' eggs" in food_words(odds.food, {**names, odds.food.goods["herds"][0][0]: "hens' eggs"})
