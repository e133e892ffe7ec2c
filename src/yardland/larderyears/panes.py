"""A window in its solver, kept hot: sides and bounds change, rows come in, and each answer is checked."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from yardland.larder.model import LarderError, must, quiet_highs
from yardland.larderyears.board import Board
from yardland.larderyears.hot import PASSED, SIMPLEX, TRIES, WORST_MISS
from yardland.larderyears.pasts import Memory
from yardland.larderyears.sheets import Sheet, with_row
from yardland.larderyears.tails import ANY, places
from yardland.larderyears.windows import Row, lazy_row

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
INFINITY = float("inf")
WORST_GAP = 1e-6
"""Greatest distance of the dual from the primal objective, relative to it, that an answer may show."""


class Pane:
    """One window in one instance of the solver."""

    def __init__(self, sheet: Sheet) -> None:
        """Give the solver the window, and a basis to begin with."""
        own, when, lazy = sheet.own, sheet.when, sheet.stack.lazy
        self.sheet, self.window, self.entries = sheet, own, sheet.entries
        self.put_in = list(sheet.put_in)
        self.memory = Memory(sheet.looks, sheet.known)
        self.solver: Any = quiet_highs()
        self.set_options(SIMPLEX)
        must(self.solver.passModel(sheet.lp), "take the model")
        height = self.entries.height
        self.lower, self.upper = np.zeros(own.width), np.full(own.width, INFINITY)
        self.sent_columns = self.lower.copy(), self.upper.copy()
        self.lower[own.after] = -INFINITY
        self.row_lower, self.row_upper = np.full(height, -INFINITY), np.full(height, INFINITY)
        self.sent_rows = self.row_lower.copy(), self.row_upper.copy()
        month, group = when.month[own.columns], when.group[own.columns]
        self.now = np.flatnonzero(month == own.first)
        self.kept = np.flatnonzero((group >= 0) & (month > own.first))
        self.kept_group = group[self.kept]
        self.worst = np.flatnonzero(month == ANY)
        self.lazy = np.flatnonzero(lazy.month == own.first)
        looked = np.flatnonzero(lazy.month[lazy.row] == own.first)
        self.lazy_row = places(self.lazy, len(lazy.lower))[lazy.row[looked]]
        self.lazy_column, self.lazy_value = lazy.column[looked], lazy.value[looked]
        self.solves = self.pivots = self.tries = 0
        self.begun = bool(sheet.known)

    def set_options(self, options: dict[str, Any]) -> None:
        """Set options of the solver; one that it does not know is refused."""
        for name, value in options.items():
            must(self.solver.setOptionValue(name, value), f"set {name}")

    def add(self, row: Row) -> None:
        """Put in a row; its sides are set with the next answer's."""
        self.put_in.append(row)
        self.entries = with_row(self.entries, row)
        must(self.solver.addRow(-INFINITY, INFINITY, len(row.column), row.column, row.value), "add a row")
        low, high = self.sent_rows
        self.sent_rows = np.append(low, -INFINITY), np.append(high, INFINITY)

    def solve(self, kind: int, board: Board, done: F64, kept: F64, worst: F64) -> F64:
        """The optimum of the window, with every row of its first month that was left out and is passed put in.

        Args:
            kind: of year.
            board: sides and bounds as they are known.
            done: what was decided before, [column of the block].
            kept: units still to be taken of each group.
            worst: the worst months so far.

        Raises:
            LarderError: no answer that holds was found.
        """
        own = self.window
        count = len(own.columns)
        self.lower[:count], self.upper[:count] = board.lower[own.columns], board.upper[own.columns]
        self.lower[self.worst] = worst
        self.set_rows(kind, board, done, kept)
        self.go_on()
        while True:
            x = self.optimum()
            passed = self.passed(board, x, done)
            if not passed:
                self.memory.keep(self.sides(), self.solver.getBasis(), self.entries.height)
                return x
            for number in passed:
                self.add(lazy_row(self.sheet.stack, self.sheet.when, own, number))
            self.set_rows(kind, board, done, kept)

    def sides(self) -> F64:
        """All sides and bounds that change, as one array; rows put in stand last."""
        own = len(self.window.rows) + len(self.window.held)
        found = np.concatenate([self.upper, self.row_lower[:own], self.row_upper[:own], self.row_lower[own:]])
        found[~np.isfinite(found)] = 0.0
        return found

    def go_on(self) -> None:
        """Take up the basis of the past answer whose sides are the nearest; the last one's is in the solver already."""
        number = self.memory.nearest(self.sides())
        if number not in {-1, self.memory.last}:
            must(self.solver.setBasis(self.memory.basis(number, self.entries.height)), "take the basis")

    def set_rows(self, kind: int, board: Board, done: F64, kept: F64) -> None:
        """Sides of all rows, moved by what was decided before."""
        own, entries = self.window, self.entries
        past = entries.past(done)
        lazy = entries.lazy
        cut = entries.lower[kind] if len(entries.lower) else np.zeros(len(lazy))
        least = np.where(lazy < 0, cut, board.lazy_lower[lazy] if len(board.lazy_lower) else cut)
        most = np.where(lazy < 0, INFINITY, board.lazy_upper[lazy] if len(board.lazy_upper) else INFINITY)
        held = kept[own.held]
        self.row_lower = np.concatenate([board.row_lower[own.rows], held, least]) - past
        self.row_upper = np.concatenate([board.row_upper[own.rows], held, most]) - past

    def send(self) -> None:
        """Tell the solver the sides and bounds that are not as it has them."""
        for change, what, sent, now in (
            (self.solver.changeRowsBounds, "change rows", self.sent_rows, (self.row_lower, self.row_upper)),
            (self.solver.changeColsBounds, "change columns", self.sent_columns, (self.lower, self.upper)),
        ):
            other = np.flatnonzero((now[0] != sent[0]) | (now[1] != sent[1]))
            if len(other):
                must(change(len(other), other.astype(np.int32), now[0][other], now[1][other]), what)
                sent[0][other], sent[1][other] = now[0][other], now[1][other]

    def block(self, x: F64, done: F64) -> F64:
        """The answer in the places of the block; what is taken after the window stands in one column of its group."""
        own, found = self.window, done.copy()
        found[own.columns] = x[: len(own.columns)]
        found[own.representative] = x[len(own.columns) : own.after]
        return found

    def passed(self, board: Board, x: F64, done: F64) -> list[int]:
        """Rows of the first month that were left out and are passed."""
        if not len(self.lazy):
            return []
        done = self.block(x, done)
        activity = np.bincount(
            self.lazy_row, weights=self.lazy_value * done[self.lazy_column], minlength=len(self.lazy)
        )
        least, most = board.lazy_lower[self.lazy], board.lazy_upper[self.lazy]
        over = np.flatnonzero(np.maximum(least - activity, activity - most) > PASSED * (1.0 + np.abs(activity)))
        if not len(over):
            return []
        there = {row.lazy for row in self.put_in}
        return [number for number in self.lazy[over].tolist() if number not in there]

    def optimum(self) -> F64:
        """The optimum, checked.

        Raises:
            LarderError: no answer that holds was found.
        """
        why = ""
        self.send()
        if not self.begun:
            self.start()
        for number, options in enumerate(({}, {}, *TRIES)):
            if number == 1:
                # the same basis, its matrix factored anew: what many pivots have gathered of rounding is gone
                must(self.solver.setBasis(self.solver.getBasis()), "take the basis")
            if number > 1:
                self.tries += 1
                self.set_options(options)
                must(self.solver.clearSolver(), "begin anew")
            self.solver.run()
            self.set_options({name: SIMPLEX[name] for name in options})
            solution = self.solver.getSolution()
            x = np.array(solution.col_value, dtype=np.float64)
            self.pivots += max(int(self.solver.getInfo().simplex_iteration_count), 0)
            why = self.fault(x, np.array(solution.row_dual, dtype=np.float64))
            if not why:
                self.solves += 1
                return x
        raise LarderError(why)

    def start(self) -> None:
        """Find a first basis by interior point with presolve."""
        self.begun = True
        self.set_options({"presolve": "on", "solver": "ipm"})
        self.solver.run()
        self.set_options({name: SIMPLEX[name] for name in ("presolve", "solver")})

    def fault(self, x: F64, dual: F64) -> str:
        """What is wrong with an answer, "" if nothing is: its status, and by our own arithmetic its rows, bounds, duals and gap."""
        import highspy

        status = self.solver.getModelStatus()
        if status != highspy.HighsModelStatus.kOptimal:
            return f"a month's program ended as {self.solver.modelStatusToString(status)!r}"
        activity, reduced = self.entries.times(x), self.window.cost - self.entries.turned(dual)
        rows, columns = (self.row_lower, self.row_upper), (self.lower, self.upper)
        primal = max(missed(activity, *rows), missed(x, *columns))
        wrong = max(wrong_signed(dual, *rows), wrong_signed(reduced, *columns))
        cost = float(self.window.cost @ x)
        gap = abs(cost - stood_on(dual, activity, *rows) - stood_on(reduced, x, *columns))
        if primal > WORST_MISS or wrong > WORST_MISS or gap > WORST_GAP * (1.0 + abs(cost)):
            return (
                f"a month's program misses its rows by {primal:.1e}, its duals by {wrong:.1e}, their gap by {gap:.1e}"
            )
        return ""


def missed(value: F64, lower: F64, upper: F64) -> float:
    """Greatest amount by which values pass their sides, relative to their size."""
    return float((np.maximum(lower - value, value - upper) / (1.0 + np.abs(value))).max(initial=0.0))


def wrong_signed(dual: F64, lower: F64, upper: F64) -> float:
    """Greatest dual of a side that is not there."""
    return float(
        np.maximum(np.where(np.isfinite(lower), 0.0, dual), np.where(np.isfinite(upper), 0.0, -dual)).max(initial=0.0)
    )


def stood_on(dual: F64, value: F64, lower: F64, upper: F64) -> float:
    """Duals times the sides that they stand on; those of no side times the value, which is judged by `wrong_signed`."""
    side = np.where(dual > 0.0, lower, upper)
    return float(dual @ np.where(np.isfinite(side), side, value))
