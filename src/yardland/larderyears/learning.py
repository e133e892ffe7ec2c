"""Cuts learned on training years: a walk through windows is followed by the whole program, whose duals say what was missed.

After each month of a training year the whole program, two larder years long, is solved from what the walk has done. Where it
says that what comes after costs more than the cuts know, its cut is put in, at once and for every later month's end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larderyears.board import Board
from yardland.larderyears.frame import Frame
from yardland.larderyears.hot import Hot
from yardland.larderyears.panes import Pane
from yardland.larderyears.prune import Kept
from yardland.larderyears.sides import THAWED, Brought
from yardland.larderyears.stack import Stack, stacked
from yardland.larderyears.tails import Boundary, Calendar, Cut, Expected, boundary, calendar, cut_of, state_of
from yardland.larderyears.walk import Policy, Walker, as_basis, started
from yardland.larderyears.window_walk import Chain, WindowWalker
from yardland.larderyears.windows import View, Window, cut_row, window

F64 = npt.NDArray[np.float64]
LOOKED = 2
"""Of so many lessons one is walked to see which rows are passed."""
AHEAD = 1
"""Months of the windows that learn: the fewest, which lean on the cuts the most."""


@dataclass(frozen=True)
class Lesson:
    """Training years that are walked one behind the other; opening_kg [opening] : what lies there first ; first_turn : of the normals."""

    years: Brought
    opening_kg: F64
    first_turn: int


@dataclass
class Pool:
    """Cuts that were learned at each month's end, and the states (kind of year, columns, units of groups) at which they were."""

    cuts: dict[int, list[Cut]] = field(default_factory=dict)
    states: dict[int, list[tuple[int, F64, F64]]] = field(default_factory=dict)

    def value(self, end: int, state: tuple[int, F64, F64]) -> float:
        """What the cuts know of the cost of a state."""
        return max((cut.at(*state) for cut in self.cuts.get(end, ())), default=-np.inf)

    def put(self, end: int, cut: Cut, state: tuple[int, F64, F64]) -> None:
        """Keep a cut."""
        self.cuts.setdefault(end, []).append(cut)
        self.states.setdefault(end, []).append(state)

    def chosen(self, end: int, tolerance: float) -> list[Cut]:
        """The fewest cuts, taken where the others fall short the most, that tell every state's cost to a tolerance."""
        cuts, states = self.cuts[end], self.states[end]
        value = np.array([cut.constant for cut in cuts])[:, [kind for kind, _, _ in states]]
        value = value + np.array([cut.slope for cut in cuts]) @ np.array([one for _, one, _ in states]).T
        value += np.array([cut.worth for cut in cuts]) @ np.array([one for _, _, one in states]).T
        best, told = value.max(axis=0), np.full(len(states), -np.inf)
        taken: list[Cut] = []
        while True:
            miss = best - told
            worst = int(np.argmax(miss))
            if miss[worst] <= tolerance:
                return taken
            number = int(np.argmax(value[:, worst]))
            taken.append(cuts[number])
            told = np.maximum(told, value[number])


def windows_of(stack: Stack, when: Calendar, ends: Sequence[Boundary], ahead: int) -> tuple[Window, ...]:
    """The window of each month that looks so many months ahead, to the year's end at most."""
    return tuple(window(stack, when, month, ends[min(month + ahead, MONTHS)]) for month in range(MONTHS))


def boundaries(stack: Stack, when: Calendar) -> tuple[Boundary, ...]:
    """The boundary at each month's end, [end]; the first is the year's beginning."""
    return tuple(boundary(stack, when, end) for end in range(MONTHS + 1))


class Learner(WindowWalker):
    """Walks training years, and learns."""

    def __init__(self, policy: Policy, whole: Policy, tolerance: float) -> None:
        """`policy` has one block, `whole` the blocks whose program is followed; both of the same columns and rows."""
        when = calendar(policy.frame, policy.stack)
        self.ends = boundaries(whole.stack, when)
        windows = windows_of(policy.stack, when, self.ends, AHEAD)
        super().__init__(policy, View(when, windows, ((),) * MONTHS, (None,) * MONTHS))
        self.pool, self.tolerance = Pool(), tolerance
        self.follower = Walker(whole)
        self.hot = Hot(whole.stack, as_basis(whole.basis))
        self.expected = tuple(expected_sides(self.follower, kind) for kind in range(len(self.normal)))
        self.own_panes = self.panes()
        self.kind = 0

    def learn(self, years: Brought, opening_kg: F64, first_turn: int = 0) -> None:
        """Walk some years and put in what is missed."""
        self.walk_with(self.own_panes, years, opening_kg, first_turn)

    def walk_year(self, panes: Sequence[Pane], kind: int, chain: Chain, year: int, opening_kg: F64) -> F64:
        """A year; the whole program is set back to its beginning first."""
        self.kind = kind
        self.follower.open_year(self.hot, opening_kg, kind)
        if not self.pool.cuts:
            self.hot.solve(0)
            self.take(1)
        return super().walk_year(panes, kind, chain, year, opening_kg)

    def strike(self, board: Board, came: Brought, year: int, month: int, kept: F64) -> float:
        """The whole program knows the month, and what thawed, when the walk does."""
        self.follower.reveal(self.hot, 0, came, year, month)
        self.follower.thaw.strike(self.hot, month, float(came.mishaps[year, THAWED, month]))
        return super().strike(board, came, year, month, kept)

    def closed(self, month: int, done: F64, kept: F64) -> None:
        """The whole program does what was done, is solved, and gives its cuts."""
        hot, follower = self.hot, self.follower
        ends = follower.closing[month]
        hot.bound_columns(ends.columns, done[ends.columns], done[ends.columns])
        if len(ends.laid):
            laid = kept[self.group_of_row[ends.laid]]
            hot.bound_rows(ends.laid, laid, laid)
        follower.loosen(hot, ends)
        hot.solve(month + 1)
        if month == 0:
            hot.remember()
        self.take(month + 1)

    def take(self, first: int) -> None:
        """Put in the cuts of the last answer that say more than is known, for every month's end from a first."""
        stack, solved = self.follower.policy.stack, self.hot.solved()
        for end in range(first, MONTHS + 1):
            at = self.ends[end]
            state = (self.kind, *state_of(at, solved.x))
            # what comes after costs this: a cut is exact where it was learned
            if float(stack.cost[at.after] @ solved.x[at.after]) > self.pool.value(end, state) + self.tolerance:
                cut = cut_of(stack, at, solved, self.expected)
                self.pool.put(end, cut, state)
                for pane in self.own_panes:
                    if pane.window.end == end:
                        pane.add(cut_row(pane.window, at, cut, self.policy.stack.width))

    def learned(self, ahead: int, tolerance: float) -> View:
        """What was learned, for windows that look so many months ahead; without bases."""
        windows = windows_of(self.policy.stack, self.view.when, self.ends, ahead)
        width = self.policy.stack.width
        chosen = {own.end: self.pool.chosen(own.end, tolerance) for own in windows}
        cuts = tuple(tuple(cut_row(own, self.ends[own.end], cut, width) for cut in chosen[own.end]) for own in windows)
        return View(self.view.when, windows, cuts, (None,) * MONTHS)

    def policy_of(self, ahead: int, tolerance: float, lessons: Sequence[Lesson]) -> Policy:
        """A policy whose windows look so many months ahead, with what lessons bring it to begin with."""
        policy = replace(self.policy, view=self.learned(ahead, tolerance))
        return replace(policy, view=warmed(policy, lessons))


def expected_sides(walker: Walker, kind: int) -> Expected:
    """Sides and bounds of a walker's stack as a kind of year opens."""
    board = Board(walker.policy.stack, walker.policy.stack.blocks)
    for block in range(walker.policy.stack.blocks):
        walker.seat(board, block, kind + block)
        walker.expect(board, block, kind + block)
    return Expected(board.row_lower, board.row_upper, board.lower, board.upper, board.lazy_lower, board.lazy_upper)


def warmed(policy: Policy, lessons: Sequence[Lesson]) -> View | None:
    """A policy's view with what its chains begin with: rows that lessons passed are there at once, and bases."""
    view = policy.view
    if view is None:
        return None
    walker = WindowWalker(policy, view)
    panes = walker.panes()
    for lesson in lessons:
        walker.walk_with(panes, lesson.years, lesson.opening_kg, lesson.first_turn)
    return replace(
        view,
        cuts=tuple(tuple(pane.put_in) for pane in panes),
        pasts=tuple(pane.memory.pasts() for pane in panes),
    )


def looked_at(frame: Frame, kept: Kept, whole: Policy, lessons: Sequence[Lesson]) -> Kept:
    """Rows that were left out and are passed in walks of training years stay from the beginning."""
    policy = started(replace(whole, stack=stacked(frame, 1, kept)), lessons[0].opening_kg)
    passed: set[int] = set()

    class Looked(Hot):
        def solve(self, month: int) -> F64:
            x = super().solve(month)
            passed.update(self.added)
            return x

    for lesson in lessons[::LOOKED]:
        Walker(policy, solver=Looked).walk(lesson.years, lesson.opening_kg, lesson.first_turn)
    rows, lazy = kept.rows.copy(), kept.lazy.copy()
    back = np.flatnonzero(kept.lazy)[sorted(passed)]
    rows[back], lazy[back] = True, False
    return Kept(kept.columns, rows, lazy)
