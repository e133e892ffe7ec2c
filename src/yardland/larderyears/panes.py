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
            x = np.asarray(self.solver.getSolution().col_value, dtype=np.float64)
            self.pivots += max(int(self.solver.getInfo().simplex_iteration_count), 0)
            why = self.fault(x)
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

    def fault(self, x: F64) -> str:
        """What is wrong with an answer, "" if nothing is: its status, rows and bounds by our own arithmetic, its duals."""
        import highspy

        status = self.solver.getModelStatus()
        if status != highspy.HighsModelStatus.kOptimal:
            return f"a month's program ended as {self.solver.modelStatusToString(status)!r}"
        own = self.window
        activity = np.bincount(own.index, weights=own.value * x[self.owner], minlength=own.height)
        miss = np.maximum(self.row_lower - activity, activity - self.row_upper) / (1.0 + np.abs(activity))
        off = np.maximum(self.lower - x, x - self.upper) / (1.0 + np.abs(x))
        info = self.solver.getInfo()
        worst = max(float(miss.max(initial=0.0)), float(off.max(initial=0.0)), float(info.max_primal_infeasibility))
        dual = float(info.max_dual_infeasibility)
        if worst > WORST_MISS or dual > WORST_MISS:
            return f"a month's program misses its rows by {worst:.1e}, its duals by {dual:.1e}"
        return ""

    def basis(self) -> Statuses:
        """Statuses of the last answer's basis."""
        return statuses(self.solver.getBasis())
