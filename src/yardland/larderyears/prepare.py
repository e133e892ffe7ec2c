"""Everything that chains of a plan share before one of them is walked: the template, the block, the policy.

All of it comes from the plan, its record, and training years on a stream of their own: nothing from the years that count.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.holding.model import Holding
from yardland.larder.catalogue import describe
from yardland.larder.needs import household_need
from yardland.larderyears.chains import Ground, Grown, grow_chains, turn_of
from yardland.larderyears.frame import Frame, make_frame
from yardland.larderyears.household import described_along, household_of
from yardland.larderyears.learning import Learner, Lesson, looked_at
from yardland.larderyears.mishaps import without_mean_thaw
from yardland.larderyears.prune import Kept, pruned
from yardland.larderyears.sides import Brought, brought, expected, joined
from yardland.larderyears.stack import stacked
from yardland.larderyears.start import as_it_stands, calendar_of, opening_of, today, with_years_on, without_opening
from yardland.larderyears.template import template_production
from yardland.larderyears.training import Trial, train
from yardland.larderyears.walk import Policy, started
from yardland.larderyears.window_walk import walker_of

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
TRAINING_SEED = 20_011
"""Training is the same for every seed that is asked for, so that two runs differ by their years alone."""
TRAINING_CHAINS, TRAINING_YEARS = 4, 6
"""Chains, and the years of each: more where the rotation is longer, so that every year of it is seen."""
TRAINING_NUMBERS = tuple(-1 - chain for chain in range(TRAINING_CHAINS))
"""Numbers of these chains: on the other side of zero."""
SOLVED, WALKED = 3, 4
"""Training years that are solved with all that is known of them, and that are walked."""
PROGRAMS = SOLVED + 1 + WALKED
RUN_IN = 4
"""Training years, the last of a chain, whose ends say what settled chains begin with."""
FROM_TODAY = 3
"""Training years that are walked one behind the other from today's stores."""
YEARS = 11
"""Years of a chain of ten that begins as it stands."""
HEDGE = 0.9
"""Share of the normal harvest and grass that is counted on beforehand (docs/years-policy.md, "How good it is", compares some)."""
BLOCKS = 2
"""Larder years of the program that the cuts are learned from: to the end of the next one."""
AHEAD = {"shipped": 6, "quick": 2}
"""Months that each policy looks ahead, before the cuts say what comes after (benchmarks/bench_policies.py compares them)."""
LEARNED, LEARNED_YEARS = 8, 3
"""Walks that cuts are learned from, and years of each."""
WARMED = 4
"""Of them, those that the finished policy walks for the rows and bases that its chains begin with."""
SHELVES = (1.0, 0.4, 0.7, 1.2, 0.2, 1.0, 0.5, 0.8)
"""Shares of the settled stores with which these walks open."""
TOLERANCE = 0.2
"""How far the cuts that a policy keeps may fall short of what was learned: four hundredths of a month's need of a nutrient."""


@dataclass(frozen=True)
class Prepared:
    """What chains of a plan share.

    ground, frame, kept : as they are there ; policy : ready to walk ; opening_kg [opening] : what a chain begins with, of a
    settled holding or of today ; training : years
    """

    ground: Ground
    frame: Frame
    kept: Kept
    policy: Policy
    opening_kg: F64
    training: Brought


def prepare(
    ground: Ground,
    *,
    quick: bool = False,
    hedge: float = HEDGE,
    tell: Callable[[int], None] | None = None,
    years: int = YEARS,
    warmer_c: float = 0.0,
) -> Prepared:
    """Grow training years, make the block, and find out what of it the policy needs.

    Args:
        ground: of the plan.
        quick: look a few months ahead only.
        hedge: share of the normal that is counted on.
        tell: is told how many training programs are done (`programs_of` says of how many).
        years: of a chain; from a start as it stands each has a normal of its own.
        warmer_c: added to every day, of training years too: whoever lives in another climate knows its normal.

    Raises:
        InputFaults: a line of stores.csv that the plan has no place for, where a chain begins with it.
        LarderError: a training program was not solved as it must be.
    """
    holding, tables, months = ground.holding, ground.tables, ground.months
    stands = as_it_stands(holding)
    phases = grown_in_training(ground, years + 1, warmer_c)
    bare = [one for grown in phases for chain in grown.raw for one in chain]
    template = template_production(bare)
    if stands:
        larder, asked = described_along(holding, tables, months, template, years + 1)
    else:
        larder, asked = describe(holding, tables, months, template, household_need(holding, tables, months)[1]), []
    stores = today(larder)
    larder = without_mean_thaw(without_opening(larder))
    frame = make_frame(
        larder,
        holding.goal.reserve_days,
        today=with_years_on(tuple(stores), larder.keepings),
        hunger_carried=tables.row("herd_odds", "hunger_carried").need("number"),
    )
    household = household_of(frame, asked) if stands else None
    learnt = [[one for chain in grown.productions for one in chain] for grown in phases]
    brings = [brought(frame, one)[0] for one in learnt]
    normal = normals(brings, ground.rotation_years, years + 1 if stands else 0, hedge)
    opening_kg = opening_of(frame.lying, stores) if stands else None
    solved = [larder.production, *(learnt[phase][year] for year, phase in enumerate(spread_over(len(phases), SOLVED)))]
    turns = ground.rotation_years
    trained = train(frame, larder, solved, trials(brings, opening_kg, turns), normal, tell, household)
    opens = trained.opening_kg if opening_kg is None else opening_kg
    kept = pruned(frame, trained.used, trained.reached, np.flatnonzero(trained.opening_kg + opens > 0.0))
    whole = Policy(frame, stacked(frame, BLOCKS, kept), normal, household=household)
    lessons = lessons_of(brings, trained.opening_kg, opening_kg, turns)
    kept = looked_at(frame, kept, whole, lessons)
    whole = started(replace(whole, stack=stacked(frame, BLOCKS, kept)), opens)
    learner = Learner(replace(whole, stack=stacked(frame, 1, kept), basis=None), whole, TOLERANCE / 2.0)
    for number, lesson in enumerate(lessons):
        learner.learn(lesson.years, lesson.opening_kg, lesson.first_turn)
        if tell is not None:
            tell(programs_of(holding) - LEARNED + number + 1)
    policy = learner.policy_of(AHEAD["quick" if quick else "shipped"], TOLERANCE, lessons[:WARMED])
    if opening_kg is None:
        first = ground.first_turn(TRAINING_NUMBERS[0])
        opens = run_in(policy, brings[0].of(slice(0, training_years(turns))), trained.opening_kg, first)
    return Prepared(ground, frame, kept, policy, opens, brings[0])


def run_in(policy: Policy, years: Brought, opening_kg: F64, first_turn: int) -> F64:
    """What a settled chain begins with, [opening]: what the policy leaves, in the mean, at the ends of training years.

    The settled year of the mean weather is solved with all that is known of it: it holds other stores than who knows
    nothing beforehand, some of which take years to go.

    Args:
        policy: ready to walk.
        years: training years one behind the other.
        opening_kg: of the settled year.
        first_turn: year of the rotation, from 0, of the first.
    """
    return np.asarray(walker_of(policy).walk(years, opening_kg, first_turn).opening_kg[-RUN_IN:].mean(axis=0))


def programs_of(holding: Holding) -> int:
    """Training programs that a plan takes."""
    return PROGRAMS + LEARNED + (FROM_TODAY if as_it_stands(holding) else 0)


def training_years(rotation_years: int) -> int:
    """Years of a training chain: every year of the rotation is among them."""
    return max(TRAINING_YEARS, rotation_years)


def training_turns(rotation_years: int) -> I64:
    """Year of the rotation, from 0, of each training year, chain by chain: chains begin with different ones, as all do."""
    each = range(training_years(rotation_years))
    return np.array([turn_of(chain, year, rotation_years) for chain in TRAINING_NUMBERS for year in each])


def grown_in_training(ground: Ground, years: int, warmer_c: float = 0.0) -> tuple[Grown, ...]:
    """Training chains; where trees grow older along a chain, the same weather once for each of its years."""
    calendar = calendar_of(ground.holding, years) if ground.holding.block else None
    each = training_years(ground.rotation_years)
    if calendar is None:
        return (grow_chains(ground, TRAINING_SEED, TRAINING_NUMBERS, each, warmer_c),)
    ages = [(year,) * each for year in calendar for _ in TRAINING_NUMBERS]
    every = grow_chains(ground, TRAINING_SEED, [*TRAINING_NUMBERS] * len(calendar), each, warmer_c, ages)
    phases = [slice(first, first + TRAINING_CHAINS) for first in range(0, len(ages), TRAINING_CHAINS)]
    return tuple(Grown(every.raw[phase], every.productions[phase], ()) for phase in phases)


def normals(brings: Sequence[Brought], rotation_years: int, years: int, hedge: float) -> Brought:
    """What is counted on: in each year of the rotation, or in each of so many years from a start as it stands.

    Args:
        brings: training years, once, or once for each year of a chain.
        rotation_years: after how many years the plan begins again.
        years: of a chain from a start as it stands; 0 where chains are settled.
        hedge: share of the normal that is counted on.
    """
    turns = training_turns(rotation_years)
    return joined(
        [
            expected(brings[min(year, len(brings) - 1)].of(np.flatnonzero(turns == year % rotation_years)), hedge)
            for year in range(years or rotation_years)
        ]
    )


def trials(brings: Sequence[Brought], opening_kg: F64 | None, rotation_years: int) -> list[Trial]:
    """The years that are walked in training: single ones, and from a start as it stands the first few from today's stores."""
    last, turns = len(brings) - 1, training_turns(rotation_years)
    found = []
    for year, phase in enumerate(spread_over(len(brings), WALKED)):
        at = nearest(SOLVED + year, turns == phase % rotation_years) if last else SOLVED + year
        found.append(Trial(brings[phase].of(slice(at, at + 1)), None, phase if last else int(turns[at])))
    if opening_kg is not None:
        begins = int(np.argmax(turns == 0))
        first = [brings[min(year, last)].of(slice(begins + year, begins + year + 1)) for year in range(FROM_TODAY)]
        found.append(Trial(joined(first), opening_kg, 0))
    return found


def lessons_of(brings: Sequence[Brought], settled_kg: F64, today_kg: F64 | None, turns: int) -> list[Lesson]:
    """Walks that cuts are learned from: from full, middling and poor shelves; a start as it stands first from today's.

    Args:
        brings: training years, once, or once for each year of a chain.
        settled_kg: what lies there in a settled holding.
        today_kg: what lies there today, where a chain begins as it stands.
        turns: years of the rotation.
    """
    last, found, each = len(brings) - 1, [], training_years(turns)
    turn_at = training_turns(turns)
    whole = np.arange(len(turn_at)) % each <= each - LEARNED_YEARS
    phases = spread_over(len(brings), LEARNED)
    parts = min(-(-each // LEARNED_YEARS), LEARNED)
    for number, share in enumerate(SHELVES):
        chain, part = divmod(number, parts)
        at, phase = chain * each + part * (each - LEARNED_YEARS) // (parts - 1), phases[number]
        if last:
            at = nearest(at, whole & (turn_at == phase % turns))
        years = joined(
            [brings[min(phase + year, last)].of(slice(at + year, at + year + 1)) for year in range(LEARNED_YEARS)]
        )
        opening = today_kg if number == 0 and today_kg is not None else settled_kg * share
        found.append(Lesson(years, opening, phase if last else int(turn_at[at])))
    return found


def nearest(at: int, those: npt.NDArray[np.bool_]) -> int:
    """The place among those that is nearest, so that a year goes by the normal of its own crops."""
    places = np.flatnonzero(those)
    return int(places[np.argmin(np.abs(places - at))])


def spread_over(phases: int, count: int) -> list[int]:
    """So many of the phases, from the first to the last."""
    return [round(one) for one in np.linspace(0, phases - 1, count).tolist()]
