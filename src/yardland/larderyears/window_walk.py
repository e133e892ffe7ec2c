"""A chain walked through windows: each month solves a program of a few months, with cuts for all that comes after them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larderyears.board import Board
from yardland.larderyears.hunger import own_copy
from yardland.larderyears.panes import Pane
from yardland.larderyears.sheets import Sheet, sheet
from yardland.larderyears.shelved import Shelves
from yardland.larderyears.sides import THAWED, Brought
from yardland.larderyears.stack import Stack
from yardland.larderyears.tails import ANY, Calendar, first_block, places
from yardland.larderyears.walk import DUST, Policy, Walked, Walker
from yardland.larderyears.windows import View

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Worst:
    """Columns of the worst month, and by month the entries (row, column, value) that hold them up."""

    columns: I64
    by_month: tuple[tuple[I64, I64, F64], ...]
    others: tuple[tuple[I64, I64, F64], ...]


@dataclass
class Chain:
    """A chain that is being walked: what its years bring, sides as they are known, what the herds lacked last, what thawed, what was put by."""

    came: Brought
    board: Board
    lacked: F64
    thawed_kg: F64
    laid_kg: F64


class WindowWalker(Walker):
    """Walks chains through the windows of a view."""

    def __init__(self, policy: Policy, view: View) -> None:
        """Look up what a month's end touches; the policy's stack has one block."""
        super().__init__(policy)
        self.view = view
        stack = policy.stack
        self.worst = worst_of(stack, view.when)
        self.normal = [self.normal_board(kind) for kind in range(len(policy.expected))]
        self.group_of_row = places(view.when.group_row, stack.height)
        self.opening_group = self.group_of_row[self.opening]
        self.frozen = np.array([self.group_of_row[one.row] for one in self.thaw.held], dtype=np.int64)
        self.frozen_made = np.array([one.made for one in self.thaw.held], dtype=np.int64)
        self.last = np.flatnonzero(view.when.month == MONTHS)
        self.sheets = self.ready()
        self.shelves = Shelves(policy.frame, stack)

    def normal_board(self, kind: int) -> Board:
        """Sides and bounds of a kind of year of which nothing is known yet."""
        board = Board(self.policy.stack)
        self.seat(board, 0, kind)
        self.expect(board, 0, kind)
        return board

    def ready(self) -> list[Sheet]:
        """The window of each month as its solvers take it."""
        view, stack = self.view, self.policy.stack
        return [
            sheet(stack, view.when, own, rows, pasts)
            for own, rows, pasts in zip(view.windows, view.cuts, view.pasts, strict=True)
        ]

    def panes(self) -> list[Pane]:
        """Solvers of a chain, one for each month: no basis ever crosses from one chain to another."""
        return [Pane(one) for one in self.sheets]

    def walk(self, years: Brought, opening_kg: F64, first_turn: int = 0) -> Walked:
        """One chain, as `Walker.walk`."""
        return self.walk_with(self.panes(), years, opening_kg, first_turn)

    def walk_with(self, panes: Sequence[Pane], years: Brought, opening_kg: F64, first_turn: int = 0) -> Walked:
        """One chain in given solvers."""
        stack = self.policy.stack
        x = np.zeros((len(years), stack.width))
        opened = np.zeros((len(years) + 1, len(opening_kg)))
        opened[0] = opening_kg
        laid_kg = np.zeros((len(years), len(self.policy.frame.laid_row)))
        chain = Chain(own_copy(years), Board(stack), self.hunger.none(), np.zeros((len(years), MONTHS)), laid_kg)
        for year in range(len(years)):
            kind = (first_turn + year) % len(self.normal)
            chain.board.take(self.normal[kind])
            x[year] = self.walk_year(panes, kind, chain, year, opened[year])
            left = np.maximum(x[year, self.left], 0.0) * self.left_kg
            opened[year + 1] = np.bincount(self.left_opening, weights=left, minlength=len(opening_kg))
        pivots, solves = sum(one.pivots for one in panes), sum(one.solves for one in panes)
        return Walked(x, opened, chain.came, chain.thawed_kg, laid_kg, pivots, solves)

    def walk_year(self, panes: Sequence[Pane], kind: int, chain: Chain, year: int, opening_kg: F64) -> F64:
        """What was done in a year, [column of the block]."""
        when, board = self.view.when, chain.board
        kept = np.zeros(len(when.made))
        kept[self.opening_group] = opening_kg[self.openings] / when.group_kg[self.opening_group]
        board.bound_rows(self.opening, opening_kg[self.openings], opening_kg[self.openings])
        done = np.zeros(self.policy.stack.width)
        worst = np.zeros(len(self.worst.columns))
        for month in range(MONTHS):
            self.hunger.lower(chain.came, year, month, chain.lacked)
            self.reveal(board, 0, chain.came, year, month)
            chain.thawed_kg[year, month] = self.strike(board, chain.came, year, month, kept)
            answer = panes[month].solve(kind, board, done, kept, worst)
            kept = self.close(panes[month], board, answer, done, kept)
            chain.laid_kg[year, self.laid_at[month]] = kept[self.group_of_row[self.closing[month].laid]]
            worst = self.worst_so_far(board, done, worst, month)
            chain.lacked = self.hunger.lacked(done, chain.came.asked[year, :, :, month], month)
            self.closed(month, done, kept)
        done[self.worst.columns] = worst
        thawed = [one.thawed for one in self.thaw.held if one.thawed >= 0]
        done[thawed] = board.lower[thawed]
        return done

    def strike(self, board: Board, came: Brought, year: int, month: int, kept: F64) -> float:
        """Take a share of what lies frozen as a month begins, of `kept` too; says how many kilograms that was."""
        share = float(came.mishaps[year, THAWED, month])
        if share > 0.0:
            kept[self.frozen[self.frozen_made < month]] *= 1.0 - share
        return self.thaw.strike(board, month, share)

    def closed(self, month: int, done: F64, kept: F64) -> None:
        """A month is over: nothing more to do than to go on (training looks here)."""

    def close(self, pane: Pane, board: Board, answer: F64, done: F64, kept: F64) -> F64:
        """Hold what the month decided in `done`; returns the units of each batch that are still to be taken.

        What lies there is reckoned from what was done, not read from the answer: no batch gives more than is left of it,
        and what the solver's rounding would add or lose never adds up over months and years.

        Args:
            pane: of the month.
            board: sides and bounds as they are known.
            answer: of the pane.
            done: what was decided before, [column of the block]; the month's columns are set.
            kept: units of each batch that were to be taken as the month began.
        """
        own, when = pane.window, self.view.when
        here = own.columns[pane.now]
        amount = np.clip(answer[pane.now], board.lower[here], board.upper[here])
        amount[amount < DUST] = 0.0
        group = when.group[here]
        takes = group >= 0
        amount[takes] = np.minimum(amount[takes], kept[group[takes]])
        done[here] = amount
        self.shelves.settle(own.first, done, board.row_lower)
        planned = np.zeros(len(when.made))
        np.add.at(planned, pane.kept_group, np.maximum(answer[pane.kept], 0.0))
        planned[own.later] += np.maximum(answer[len(own.columns) : own.after], 0.0)
        rest = kept.copy()
        rest[group[takes]] -= amount[takes]
        kept = np.where(when.made == own.first, planned, rest)
        kept[kept < DUST] = 0.0
        if own.first == MONTHS - 1:
            of = when.group[self.last]
            left = np.maximum(answer[places(own.columns, len(done))[self.last]], 0.0)
            done[self.last] = np.where(of >= 0, kept[of], left)
        board.bound_columns(here, done[here], done[here])
        laid = self.closing[own.first].laid
        kg = kept[self.group_of_row[laid]]
        board.bound_rows(laid, kg, kg)
        return kept

    def worst_so_far(self, board: Board, done: F64, worst: F64, month: int) -> F64:
        """The worst months, this one included."""
        rows, columns, values = self.worst.by_month[month]
        if not len(rows):
            return worst
        row, column, value = self.worst.others[month]
        activity = np.bincount(row, weights=value * done[column], minlength=len(board.row_lower))[rows]
        asked = np.where(values < 0.0, activity - board.row_upper[rows], board.row_lower[rows] - activity)
        found = np.zeros(len(done))
        found[self.worst.columns] = worst
        np.maximum.at(found, columns, asked / np.abs(values))
        return np.asarray(found[self.worst.columns])


def worst_of(stack: Stack, when: Calendar) -> Worst:
    """The columns of the worst month, and the rows of each month that hold them up."""
    row, column, value = first_block(stack)
    columns = np.flatnonzero(when.month == ANY)
    of_any = when.month[column] == ANY
    own, others = [], []
    for month in range(MONTHS):
        mine = of_any & (when.row_month[row] == month)
        rest = ~of_any & np.isin(row, row[mine])
        own.append((row[mine], column[mine], value[mine]))
        others.append((row[rest], column[rest], value[rest]))
    return Worst(columns, tuple(own), tuple(others))


def walker_of(policy: Policy) -> Walker:
    """The walker of a policy: through its windows, or its whole program kept hot."""
    return Walker(policy) if policy.view is None else WindowWalker(policy, policy.view)
