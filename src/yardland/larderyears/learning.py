"""Cuts learned on training years: a walk through windows is followed by the whole program, whose duals say what was missed.

After each month of a training year the whole program, two larder years long, is solved from what the walk has done. Where it
says that what comes after costs more than the cuts know, its cut is put in, at once and for every later month's end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larderyears.hot import Hot, eased
from yardland.larderyears.panes import Board, Pane
from yardland.larderyears.sides import Brought
from yardland.larderyears.stack import Stack
from yardland.larderyears.tails import Boundary, Calendar, Cut, Solved, boundary, cut_of, places, state_of
from yardland.larderyears.walk import LAID_SLACK, SLACK, Policy, Walker
from yardland.larderyears.window_walk import View, WindowWalker
from yardland.larderyears.windows import Row, Window, cut_row, window

F64 = npt.NDArray[np.float64]
AHEAD = 1
"""Months of the windows that learn: the fewest, which lean on the cuts the most."""


@dataclass
class Pool:
    """Cuts that were learned, and the states at which they were.

    cuts, states [turn, end] -> list
    """

    cuts: dict[tuple[int, int], list[Cut]] = field(default_factory=dict)
    states: dict[tuple[int, int], list[tuple[F64, F64]]] = field(default_factory=dict)

    def value(self, turn: int, end: int, state: F64, kept: F64) -> float:
        """What the cuts know of the cost of a state."""
        return max((cut.at(state, kept) for cut in self.cuts.get((turn, end), ())), default=-np.inf)

    def put(self, turn: int, end: int, cut: Cut, state: tuple[F64, F64]) -> None:
        """Keep a cut."""
        self.cuts.setdefault((turn, end), []).append(cut)
        self.states.setdefault((turn, end), []).append(state)

    def chosen(self, turn: int, end: int, tolerance: float) -> list[Cut]:
        """The fewest cuts, taken where the others fall short the most, that tell every state's cost to a tolerance."""
        cuts, states = self.cuts[turn, end], self.states[turn, end]
        constant = np.array([cut.constant for cut in cuts])
        slope, worth = np.array([cut.slope for cut in cuts]), np.array([cut.worth for cut in cuts])
        value = constant[:, None] + slope @ np.array([one for one, _ in states]).T
        value += worth @ np.array([one for _, one in states]).T
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

    def __init__(self, policy: Policy, when: Calendar, whole: Policy, tolerance: float) -> None:
        """`policy` has one block, `whole` the blocks whose program is followed; both of the same columns and rows."""
        self.ends = boundaries(whole.stack, when)
        turns = len(policy.expected)
        windows = windows_of(policy.stack, when, self.ends, AHEAD)
        super().__init__(policy, View(when, windows, ((((),) * MONTHS),) * turns, ((None,) * MONTHS,) * turns))
        self.pool, self.tolerance = Pool(), tolerance
        self.follower = Walker(whole)
        self.hot = Hot(whole.stack)
        self.hot.start()
        self.group_of_row = places(when.group_row, whole.stack.height)
        self.own_panes = self.panes()
        self.turn = 0

    def learn(self, years: Brought, opening_kg: F64, first_turn: int = 0) -> None:
        """Walk some years and put in what is missed."""
        self.first_turn = first_turn
        self.walk_with(self.own_panes, years, opening_kg, first_turn)

    def walk_year(self, panes: Sequence[Pane], board: Board, years: Brought, year: int, opening_kg: F64) -> F64:
        """A year; the whole program is set back to its beginning first."""
        self.turn = (self.first_turn + year) % len(self.normal)
        self.follower.open_year(self.hot, opening_kg, self.first_turn + year)
        if any((self.turn, end) not in self.pool.cuts for end in range(1, MONTHS + 1)):
            self.hot.solve(0)
            self.take(0)
        return super().walk_year(panes, board, years, year, opening_kg)

    def closed(self, board: Board, years: Brought, year: int, month: int, done: F64, kept: F64, worst: F64) -> None:
        """The whole program does what was done, is solved, and gives its cuts."""
        hot, follower = self.hot, self.follower
        follower.reveal(hot, 0, years, year, month)
        ends = follower.closing[month]
        hot.bound_columns(ends.columns, done[ends.columns], done[ends.columns])
        if len(ends.laid):
            laid = kept[self.group_of_row[ends.laid]]
            hot.bound_rows(ends.laid, laid, laid)
        before = np.concatenate([follower.opening, *[follower.closing[past].laid for past in range(month + 1)]])
        give = LAID_SLACK * (1.0 + np.abs(hot.row_upper[before]))
        hot.bound_rows(before, hot.row_lower[before] - give, hot.row_upper[before] + give)
        hot.bound_rows(ends.rows, *eased(hot.row_lower[ends.rows], hot.row_upper[ends.rows], SLACK))
        hot.ease_added(month, SLACK)
        hot.solve(month + 1)
        if month == 0:
            hot.remember()
        self.take(month + 1)

    def take(self, first: int) -> None:
        """Put in the cuts of the last answer that say more than is known, for every month's end from a first."""
        hot, stack = self.hot, self.follower.policy.stack
        solved = hot.solved()
        for end in range(max(first, 1), MONTHS + 1):
            at = self.ends[end]
            state = state_of(at, solved.x)
            known = self.pool.value(self.turn, end, *state)
            cut = cut_of(stack, at, solved)
            if cut.at(*state) > known + self.tolerance:
                self.pool.put(self.turn, end, cut, state)
                for pane in self.own_panes[self.turn]:
                    if pane.window.end == end:
                        pane.add(cut_row(pane.window, at, cut, self.policy.stack.width))

    def learned(self, ahead: int, tolerance: float) -> View:
        """What was learned, for windows that look so many months ahead; without bases."""
        windows = windows_of(self.policy.stack, self.view.when, self.ends, ahead)
        cuts = tuple(
            tuple(self.rows(own, turn, tolerance) for own in windows) for turn in range(len(self.normal))
        )
        return View(self.view.when, windows, cuts, ((None,) * MONTHS,) * len(self.normal))

    def rows(self, own: Window, turn: int, tolerance: float) -> tuple[Row, ...]:
        """Cuts at a window's end."""
        at, width = self.ends[own.end], self.policy.stack.width
        return tuple(cut_row(own, at, cut, width) for cut in self.pool.chosen(turn, own.end, tolerance))


def warmed(policy: Policy, view: View, years: Brought, opening_kg: F64) -> View:
    """The view with the bases that its chains begin with: those after some training years."""
    walker = WindowWalker(policy, view)
    panes = walker.panes()
    walker.walk_with(panes, years, opening_kg)
    bases = tuple(
        tuple(pane.basis(len(cuts)) if pane.begun else None for pane, cuts in zip(row, rows, strict=True))
        for row, rows in zip(panes, view.cuts, strict=True)
    )
    return View(view.when, view.windows, view.cuts, bases)
