"""A program kept hot: the solver holds the last basis, sides and bounds change, and each answer is checked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from yardland.larder.model import LarderError, must, quiet_highs
from yardland.larderyears.stack import Stack
from yardland.larderyears.tails import Solved

if TYPE_CHECKING:
    import highspy

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
TOLERANCE = 1e-8
"""Miss of a bound or a reduced cost that the solver may leave."""
EVERY = -1
"""Month that stands for all of them."""
PASSED = 1e-7
"""How far a row that was left out is passed, relative to its size, before it is put in."""
WORST_MISS = 1e-6
"""Greatest miss of a row or bound, relative to its size, that an answer may show: it is then solved anew, at last refused."""
SIMPLEX: dict[str, Any] = {
    "threads": 1,
    "parallel": "off",
    "random_seed": 1,
    "solver": "simplex",
    "presolve": "off",
    "primal_feasibility_tolerance": TOLERANCE,
    "dual_feasibility_tolerance": TOLERANCE,
    "dual_simplex_cost_perturbation_multiplier": 0.0,
    "simplex_scale_strategy": 0,
    "simplex_dual_edge_weight_strategy": 1,
}
"""Costs are not shaken: a hot basis is a few pivots from the next optimum, and shaking would send it away from it. Programs are in
units of a household: unscaled, and by devex prices, they take a sixth to a third less time."""
TRIES: tuple[dict[str, Any], ...] = (
    {"dual_simplex_cost_perturbation_multiplier": 1.0},
    {"simplex_scale_strategy": 2, "simplex_dual_edge_weight_strategy": 2},
    {"dual_simplex_cost_perturbation_multiplier": 1.0, "primal_feasibility_tolerance": 1e-7},
    {"presolve": "on", "solver": "ipm", "primal_feasibility_tolerance": 1e-7},
)
"""What is changed, one after the other, for a program that gets stuck."""


def merged(columns: I64, values: F64) -> tuple[I64, F64]:
    """A row's entries with doubled columns added up."""
    unique, inverse = np.unique(columns, return_inverse=True)
    return unique, np.asarray(np.bincount(inverse, weights=values, minlength=len(unique)), dtype=np.float64)


def eased(lower: F64, upper: F64, slack: float | F64) -> tuple[F64, F64]:
    """Sides opened by a slack (one, or one for each row), relative to their size; sides that are not there stay so."""
    low, high = lower.copy(), upper.copy()
    each = np.broadcast_to(slack, lower.shape)
    below, above = np.isfinite(lower), np.isfinite(upper)
    low[below] -= each[below] * (1.0 + np.abs(lower[below]))
    high[above] += each[above] * (1.0 + np.abs(upper[above]))
    return low, high


class Hot:
    """One instance of the solver with a stack in it."""

    def __init__(self, stack: Stack, basis: highspy.HighsBasis | None = None) -> None:
        """Give the solver the stack, and a basis to begin with."""
        self.stack = stack
        self.solver: Any = quiet_highs()
        self.set_options(SIMPLEX)
        must(self.solver.passModel(stack.lp()), "take the model")
        self.lower, self.upper = stack.lower.copy(), stack.upper.copy()
        self.row_lower, self.row_upper = stack.row_lower.copy(), stack.row_upper.copy()
        # of rows that were left out; `ease_added` gives them to those that were put in
        self.lazy_lower, self.lazy_upper = stack.lazy.lower.copy(), stack.lazy.upper.copy()
        self.solves = 0
        self.pivots = 0
        self.tries = 0
        self.added: list[int] = []
        self._kept = None if basis is None else (basis, 0)
        if basis is not None:
            must(self.solver.setBasis(basis), "take the basis")

    def set_options(self, options: dict[str, Any]) -> None:
        """Set options of the solver; one that it does not know is refused."""
        for name, value in options.items():
            must(self.solver.setOptionValue(name, value), f"set {name}")

    def start(self) -> None:
        """Find a first basis by interior point with presolve, which is quicker than simplex from nothing."""
        self.set_options({"presolve": "on", "solver": "ipm"})
        self.solver.run()
        self.set_options({name: SIMPLEX[name] for name in ("presolve", "solver")})

    def bound_rows(self, rows: I64, lower: F64, upper: F64) -> None:
        """Set the sides of rows."""
        self.row_lower[rows], self.row_upper[rows] = lower, upper
        must(self.solver.changeRowsBounds(len(rows), rows.astype(np.int32), lower, upper), "change rows")

    def bound_columns(self, columns: I64, lower: F64, upper: F64) -> None:
        """Set the bounds of columns."""
        self.lower[columns], self.upper[columns] = lower, upper
        must(self.solver.changeColsBounds(len(columns), columns.astype(np.int32), lower, upper), "change columns")

    def solve(self, month: int) -> F64:
        """The optimum of the year from a month on, with every row of that month that was left out and is passed put in.

        Raises:
            LarderError: as `optimum`.
        """
        lazy = self.stack.lazy
        while True:
            x = self.optimum()
            activity = np.bincount(lazy.row, weights=lazy.value * x[lazy.column], minlength=len(lazy.lower))
            passed = np.maximum(self.lazy_lower - activity, activity - self.lazy_upper) > PASSED * (
                1.0 + np.abs(activity)
            )
            wanted = [row for row in np.flatnonzero(passed & (lazy.month == month)).tolist() if row not in self.added]
            if not wanted:
                return x
            for row in wanted:
                self.add(row)

    def add(self, lazy_row: int) -> None:
        """Put in a row that was left out."""
        lazy = self.stack.lazy
        at = lazy.row == lazy_row
        self.added.append(lazy_row)
        columns, values = merged(lazy.column[at], lazy.value[at])
        must(
            self.solver.addRow(
                self.lazy_lower[lazy_row], self.lazy_upper[lazy_row], len(columns), columns.astype(np.int32), values
            ),
            "add a row",
        )

    def ease_added(self, month: int, slack: float) -> None:
        """Open the rows that were put in for a month by a slack, relative to their size; 0 sets them back."""
        lazy = self.stack.lazy
        of_month = [number for number, row in enumerate(self.added) if month in {EVERY, int(lazy.month[row])}]
        if of_month:
            rows = np.array(of_month, dtype=np.int64)
            at = np.array(self.added)[rows]
            lower, upper = self.lazy_lower[at], self.lazy_upper[at]
            places = (self.stack.blocks * self.stack.height + rows).astype(np.int32)
            easier = eased(lower, upper, slack)
            must(self.solver.changeRowsBounds(len(rows), places, *easier), "change rows")

    def optimum(self) -> F64:
        """The optimum, checked.

        Raises:
            LarderError: no optimum was found, or its answer misses a row, a bound or the dual by more than it may.
        """
        why = ""
        for number, options in enumerate(({}, *TRIES)):
            if number:
                self.tries += 1
                self.set_options(options)
                must(self.solver.clearSolver(), "begin anew")
            self.solver.run()  # one that warns is judged by its answer, as every other
            self.set_options({name: SIMPLEX[name] for name in options})
            x = np.asarray(self.solver.getSolution().col_value, dtype=np.float64)
            why = self.fault(x)
            info = self.solver.getInfo()
            self.pivots += max(int(info.simplex_iteration_count), 0)
            if not why:
                self.solves += 1
                return x
        raise LarderError(why)

    def fault(self, x: F64) -> str:
        """What is wrong with an answer, "" if nothing is: its status, rows and bounds by our own arithmetic, its duals."""
        import highspy

        status = self.solver.getModelStatus()
        if status != highspy.HighsModelStatus.kOptimal:
            return f"a month's program ended as {self.solver.modelStatusToString(status)!r}"
        stack = self.stack
        activity = stack.activity(x)
        miss = np.maximum(self.row_lower - activity, activity - self.row_upper) / (1.0 + np.abs(activity))
        off = np.maximum(self.lower - x, x - self.upper) / (1.0 + np.abs(x))
        worst = max(float(miss.max(initial=0.0)), float(off.max(initial=0.0)))
        dual = float(self.solver.getInfo().max_dual_infeasibility)
        if worst > WORST_MISS or dual > WORST_MISS:
            return f"a month's program misses its rows by {worst:.1e}, its duals by {dual:.1e}"
        return ""

    def solved(self) -> Solved:
        """The last answer with its duals."""
        solution = self.solver.getSolution()
        dual, rows = np.asarray(solution.row_dual, dtype=np.float64), len(self.row_lower)
        return Solved(
            x=np.asarray(solution.col_value, dtype=np.float64),
            row_dual=dual[:rows],
            added=tuple(self.added),
            added_dual=dual[rows:],
        )

    def remember(self) -> None:
        """Keep the basis of the last answer, for a time when bounds go back to what they were."""
        self._kept = (self.basis, len(self.added))

    def recall(self) -> None:
        """Begin from the basis that was kept: reduced costs of columns that were held would have either sign."""
        if self._kept is None:
            return
        import highspy

        basis, added = self._kept
        later = len(self.added) - added
        if later:
            basis.row_status = [*basis.row_status, *[highspy.HighsBasisStatus.kBasic] * later]
            self._kept = (basis, len(self.added))
        must(self.solver.setBasis(basis), "take the basis")

    @property
    def basis(self) -> highspy.HighsBasis:
        """The basis of the last answer."""
        basis: highspy.HighsBasis = self.solver.getBasis()
        return basis
