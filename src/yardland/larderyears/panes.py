"""A window in its solver, kept hot: sides and bounds change, rows come in, and each answer is checked."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from yardland.larder.model import LarderError, must, quiet_highs
from yardland.larderyears.board import Board
from yardland.larderyears.hot import PASSED, SIMPLEX, TRIES, WORST_MISS
from yardland.larderyears.stack import Stack
from yardland.larderyears.tails import ANY, Calendar
from yardland.larderyears.walk import as_basis, statuses
from yardland.larderyears.windows import Row, Statuses, Window, lazy_row

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
INFINITY = float("inf")
WORST_GAP = 1e-6
"""Greatest distance of the dual from the primal objective, relative to it, that an answer may show."""
BASIC = 1
"""The solver's number for a basic row."""


class Pane:
    """One window in one instance of the solver."""

    def __init__(
        self, stack: Stack, when: Calendar, own: Window, cuts: tuple[Row, ...], basis: Statuses | None = None
    ) -> None:
        """Give the solver the window, its cuts, and a basis to begin with."""
        self.stack, self.when, self.window = stack, when, own
        self.solver: Any = quiet_highs()
        self.set_options(SIMPLEX)
        self.owner = np.repeat(np.arange(own.width), np.diff(own.start))
        self.lower, self.upper = np.zeros(own.width), np.full(own.width, INFINITY)
        self.lower[own.after] = -INFINITY
        self.row_lower, self.row_upper = np.zeros(own.height), np.full(own.height, INFINITY)
        must(self.solver.passModel(self.lp()), "take the model")
        month, group = when.month[own.columns], when.group[own.columns]
        self.now = np.flatnonzero(month == own.first)
        self.kept = np.flatnonzero((group >= 0) & (month > own.first))
        self.kept_group = group[self.kept]
        self.worst = np.flatnonzero(month == ANY)
        self.lazy = np.flatnonzero(stack.lazy.month == own.first)
        self.put_in: list[Row] = []
        self.put_in_lower = self.put_in_upper = np.zeros(0)
        self.entries: tuple[I64, I64, F64, int] | None = None
        self.solves = self.pivots = self.tries = 0
        for cut in cuts:
            self.add(cut)
        self.begun = basis is not None
        if basis is not None:
            rows = [*basis[1], *[BASIC] * (own.height + len(cuts) - len(basis[1]))]
            must(self.solver.setBasis(as_basis((basis[0], tuple(rows)))), "take the basis")  # type: ignore[arg-type]

    def set_options(self, options: dict[str, Any]) -> None:
        """Set options of the solver; one that it does not know is refused."""
        for name, value in options.items():
            must(self.solver.setOptionValue(name, value), f"set {name}")

    def lp(self) -> Any:  # noqa: ANN401 (the solver's own form has no types)
        """The window in the solver's own form."""
        import highspy

        own, lp = self.window, highspy.HighsLp()
        lp.num_col_, lp.num_row_ = own.width, own.height
        lp.col_cost_, lp.col_lower_, lp.col_upper_ = own.cost, self.lower, self.upper
        lp.row_lower_, lp.row_upper_ = self.row_lower, self.row_upper
        lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = own.start, own.index, own.value
        return lp

    def add(self, row: Row) -> None:
        """Put in a row; its sides are set with the next answer's."""
        self.put_in.append(row)
        must(self.solver.addRow(-INFINITY, INFINITY, len(row.column), row.column, row.value), "add a row")

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
        count, rows = len(own.columns), len(own.rows)
        past = own.before.times(done, rows)
        self.row_lower[:rows], self.row_upper[:rows] = (
            board.row_lower[own.rows] - past,
            board.row_upper[own.rows] - past,
        )
        self.row_lower[rows:] = self.row_upper[rows:] = kept[own.held]
        self.lower[:count], self.upper[:count] = board.lower[own.columns], board.upper[own.columns]
        self.lower[self.worst] = worst
        every = np.arange(max(own.height, own.width), dtype=np.int32)
        must(
            self.solver.changeRowsBounds(own.height, every[: own.height], self.row_lower, self.row_upper), "change rows"
        )
        must(self.solver.changeColsBounds(own.width, every[: own.width], self.lower, self.upper), "change columns")
        while True:
            self.set_put_in(kind, board, done)
            x = self.optimum()
            passed = self.passed(board, x, done)
            if not passed:
                return x
            for number in passed:
                self.add(lazy_row(self.stack, self.when, own, number))

    def set_put_in(self, kind: int, board: Board, done: F64) -> None:
        """Move the sides of rows that were put in by what was decided before."""
        if self.put_in:
            gone = np.array([row.before.value @ done[row.before.column] for row in self.put_in])
            at = (self.window.height + np.arange(len(gone))).astype(np.int32)
            lower = [row.lower[kind] if row.lazy < 0 else board.lazy_lower[row.lazy] for row in self.put_in] - gone
            upper = [INFINITY if row.lazy < 0 else board.lazy_upper[row.lazy] for row in self.put_in] - gone
            must(self.solver.changeRowsBounds(len(at), at, lower, upper), "change rows")
            self.put_in_lower, self.put_in_upper = lower, upper

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
        lazy = self.stack.lazy
        activity = np.bincount(
            lazy.row, weights=lazy.value * self.block(x, done)[lazy.column], minlength=len(lazy.lower)
        )
        over = np.maximum(board.lazy_lower - activity, activity - board.lazy_upper) > PASSED * (1.0 + np.abs(activity))
        there = {row.lazy for row in self.put_in}
        return [number for number in self.lazy[over[self.lazy]].tolist() if number not in there]

    def optimum(self) -> F64:
        """The optimum, checked.

        Raises:
            LarderError: no answer that holds was found.
        """
        why = ""
        if not self.begun:
            self.start()
        for number, options in enumerate(({}, *TRIES)):
            if number:
                self.tries += 1
                self.set_options(options)
                must(self.solver.clearSolver(), "begin anew")
            self.solver.run()
            self.set_options({name: SIMPLEX[name] for name in options})
            solution = self.solver.getSolution()
            x = np.asarray(solution.col_value, dtype=np.float64)
            self.pivots += max(int(self.solver.getInfo().simplex_iteration_count), 0)
            why = self.fault(x, np.asarray(solution.row_dual, dtype=np.float64))
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
        row, column, value, lower, upper = self.whole()
        activity = np.bincount(row, weights=value * x[column], minlength=len(lower)).astype(np.float64)
        reduced = self.window.cost - np.bincount(column, weights=value * dual[row], minlength=len(x))
        primal = max(missed(activity, lower, upper), missed(x, self.lower, self.upper))
        wrong = max(wrong_signed(dual, lower, upper), wrong_signed(reduced, self.lower, self.upper))
        cost = float(self.window.cost @ x)
        gap = abs(cost - stood_on(dual, activity, lower, upper) - stood_on(reduced, x, self.lower, self.upper))
        if primal > WORST_MISS or wrong > WORST_MISS or gap > WORST_GAP * (1.0 + abs(cost)):
            return (
                f"a month's program misses its rows by {primal:.1e}, its duals by {wrong:.1e}, their gap by {gap:.1e}"
            )
        return ""

    def whole(self) -> tuple[I64, I64, F64, F64, F64]:
        """Entries (row, column, value) and sides of the window with all that was put in."""
        own = self.window
        if self.entries is None or self.entries[3] != len(self.put_in):
            rows = [np.full(len(one.column), own.height + number) for number, one in enumerate(self.put_in)]
            self.entries = (
                np.concatenate([own.index, *rows]).astype(np.int64),
                np.concatenate([self.owner, *[one.column for one in self.put_in]]).astype(np.int64),
                np.concatenate([own.value, *[one.value for one in self.put_in]]),
                len(self.put_in),
            )
        row, column, value, _ = self.entries
        return (
            row,
            column,
            value,
            np.concatenate([self.row_lower, self.put_in_lower]),
            np.concatenate([self.row_upper, self.put_in_upper]),
        )

    def basis(self) -> Statuses:
        """Statuses of the last answer's basis."""
        return statuses(self.solver.getBasis())


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
