"""A small invented holding walked through windows, what was learned of it, and what comes after a month by another solver's interface."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from larder_kit import random_larder
from scipy.optimize import linprog
from scipy.sparse import csc_array, vstack

from yardland.larder.description import MONTHS, Keeping, Larder
from yardland.larder.power import COLD
from yardland.larderyears.frame import Frame, make_frame
from yardland.larderyears.learning import Learner, Lesson
from yardland.larderyears.prune import Kept
from yardland.larderyears.sides import Brought, brought, expected, joined
from yardland.larderyears.stack import Stack, stacked
from yardland.larderyears.tails import Cut, cut_of, state_of
from yardland.larderyears.walk import Policy, started
from yardland.ledger.production import Production

TURNS = 3
YEARS = 3
TOLERANCE = 0.1
RESERVE_DAYS = 20.0
NEAR = 1e-6


@dataclass(frozen=True)
class Stop:
    """What the followed program said at a month's end: state of a kind of year, what came after and its cost, the cut its duals hold."""

    kind: int
    end: int
    state: np.ndarray
    kept: np.ndarray
    cost: float
    cut: Cut


class Noting(Learner):
    """A learner that notes every stop, whether its cut is put in or not."""

    def __init__(self, *policies: Policy) -> None:
        """Nothing is noted yet."""
        super().__init__(*policies, TOLERANCE)
        self.stops: list[Stop] = []

    def take(self, first: int) -> None:
        """Note, then learn."""
        stack, solved = self.follower.policy.stack, self.hot.solved()
        for end in range(first, MONTHS + 1):
            at = self.ends[end]
            cost = float(stack.cost[at.after] @ solved.x[at.after])
            state, kept = state_of(at, solved.x)
            self.stops.append(Stop(self.kind, end, state, kept, cost, cut_of(stack, at, solved, self.expected)))
        super().take(first)


@dataclass(frozen=True)
class Small:
    """A small invented holding with a rotation of three years, what its years bring, and what was learned of it."""

    frame: Frame
    kept: Kept
    years: Brought
    learner: Noting
    lesson: Lesson

    @property
    def stack(self) -> Stack:
        """Two larder years."""
        return self.learner.follower.policy.stack


def invented(seed: int) -> Larder:
    """Oats, roots, beans, hens and grass, with a freezer for beans."""
    found = random_larder(np.random.default_rng(seed))
    frozen = Keeping("beans", "frozen", "beans", 10.0, 0.01, place=COLD, litres_per_kg=1.5)
    rooms = {**found.rooms_litres, COLD: 150.0}
    return replace(found, keepings=(*found.keepings, frozen), rooms_litres=rooms, cyclic=False, opening=())


def grown(production: Production, rng: np.random.Generator, turn: int) -> Production:
    """A drawn year of a turn: oats do well in the first, roots in the second, beans in the third."""
    better = {"oats": 0, "roots": 1, "beans": 2}
    gathered = tuple(
        replace(item, fresh_kg=item.fresh_kg * rng.uniform(0.4, 1.4) * (1.5 if better[item.good] == turn else 0.6))
        for item in production.gathered
    )
    grazing = tuple(replace(one, dm_kg=one.dm_kg * rng.uniform(0.6, 1.3)) for one in production.grazing)
    return replace(production, gathered=gathered, grazing=grazing)


def small(seed: int) -> Small:
    """A holding, learned on three walks of three years from full, middling and empty shelves."""
    rng = np.random.default_rng(seed + 1000)
    told = invented(seed)
    frame = make_frame(told, RESERVE_DAYS)
    drawn = [grown(told.production, rng, number % TURNS) for number in range(4 * YEARS)]
    years, _ = brought(frame, drawn)
    normal = joined([expected(years.of(np.arange(turn, len(years), TURNS)), 0.9) for turn in range(TURNS)])
    lazy = np.array([name.startswith(("plate.", "feed.share.")) for name in frame.row_names])
    kept = Kept(np.ones(len(frame.cost), dtype=np.bool_), ~lazy, lazy)
    full = rng.uniform(0.0, 60.0, len(frame.lying))
    whole = started(Policy(frame, stacked(frame, 2, kept), normal), full)
    learner = Noting(replace(whole, stack=stacked(frame, 1, kept), basis=None), whole)
    for number, share in enumerate((1.0, 0.4, 0.0)):
        learner.learn(years.of(slice(number * YEARS, (number + 1) * YEARS)), share * full, number)
    return Small(frame, kept, years, learner, Lesson(years.of(slice(9, 12)), 0.7 * full, 0))


def true_cost(learner: Learner, end: int, state: np.ndarray, kept: np.ndarray, kind: int) -> float:
    """Least cost of what comes after a month's end from a state, by another solver's interface and with every row; infinite if there is no way.

    What comes after as a program of its own: its columns, its rows less what the state takes of them, the takings of each batch.
    """
    stack, at, expects = learner.follower.policy.stack, learner.ends[end], learner.expected[kind]
    width, height = len(stack.cost), len(at.after_row)
    rows, columns, values = stack.index, np.repeat(np.arange(width), np.diff(stack.start)), stack.value
    lazy = stack.lazy
    matrix = csc_array(
        (
            np.concatenate([values, lazy.value]),
            (np.concatenate([rows, height + lazy.row]), np.concatenate([columns, lazy.column])),
        ),
        shape=(height + len(lazy.lower), width),
    ).tocsr()
    here = np.concatenate([at.after_row, lazy.month >= at.end])
    x = np.zeros(width)
    x[at.state] = state
    past = (matrix @ x)[here]
    lower = np.concatenate([expects.row_lower, expects.lazy_lower])[here] - past
    upper = np.concatenate([expects.row_upper, expects.lazy_upper])[here] - past
    tail = matrix[here][:, np.flatnonzero(at.after)]
    takes = csc_array(
        (np.ones(len(at.member)), (at.member_group, np.searchsorted(np.flatnonzero(at.after), at.member))),
        shape=(len(at.groups), int(at.after.sum())),
    )
    solved = linprog(
        stack.cost[at.after],
        A_ub=vstack([tail[np.isfinite(upper)], -tail[np.isfinite(lower)]]),
        b_ub=np.concatenate([upper[np.isfinite(upper)], -lower[np.isfinite(lower)]]),
        A_eq=takes if len(at.groups) else None,
        b_eq=kept if len(at.groups) else None,
        bounds=np.column_stack([expects.lower[at.after], expects.upper[at.after]]),
        method="highs",
    )
    return float(solved.fun) if solved.status == 0 else np.inf
