"""A linear program as plain arrays, solved by HiGHS, and judged after the solve by arithmetic of our own.

Columns are counted from 0 in the order they are added, rows likewise; every row has a readable name.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from yardland.errors import YardlandError

if TYPE_CHECKING:
    import highspy

F64 = npt.NDArray[np.float64]
INFINITY = float("inf")
FEASIBILITY = 1e-6
"""Greatest miss of a row or a bound, relative to the row's throughput, that a solution may show."""
SMALLEST = 1e-9
"""HiGHS takes no coefficient under this: a trace of a vitamin in the meals of a crowd."""
GAP = 1e-6
"""Greatest relative distance of the dual from the primal objective."""


class LarderError(YardlandError):
    """The program of the larder was not solved as it must be: our fault, not the user's."""


@dataclass(frozen=True)
class Solution:
    """What the solver said, checked.

    x : float64 [column]; row_dual : float64 [row], change of the objective per unit of the row's right-hand side
    """

    x: F64
    row_dual: F64
    objective: float
    gap: float
    status: str


@dataclass
class LinearModel:
    """min cost x, subject to row_lower <= A x <= row_upper and lower <= x <= upper."""

    cost: list[float] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    row_lower: list[float] = field(default_factory=list)
    row_upper: list[float] = field(default_factory=list)
    row_names: list[str] = field(default_factory=list)
    entry_row: list[int] = field(default_factory=list)
    entry_column: list[int] = field(default_factory=list)
    entry_value: list[float] = field(default_factory=list)

    def column(self, cost: float = 0.0, upper: float = INFINITY, lower: float = 0.0) -> int:
        """Add a column and say its index."""
        self.cost.append(cost)
        self.lower.append(lower)
        self.upper.append(upper)
        return len(self.cost) - 1

    def row(self, name: str, lower: float = -INFINITY, upper: float = INFINITY) -> int:
        """Add a row and say its index."""
        self.row_names.append(name)
        self.row_lower.append(lower)
        self.row_upper.append(upper)
        return len(self.row_names) - 1

    def put(self, row: int, column: int, value: float) -> None:
        """Add `value` to A[row, column]."""
        self.entry_row.append(row)
        self.entry_column.append(column)
        self.entry_value.append(value)

    def activity(self, x: F64) -> tuple[F64, F64]:
        """A x for every row, and the row's throughput (the sum of the sizes of its terms)."""
        terms = np.asarray(self.entry_value) * x[np.asarray(self.entry_column, dtype=np.int64)]
        rows = np.asarray(self.entry_row, dtype=np.int64)
        count = len(self.row_names)
        return summed(rows, terms, count), summed(rows, np.abs(terms), count)

    def compressed(self) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.int32], F64]:
        """A by columns (start, row index, value), doubled entries added up and those under SMALLEST left out."""
        rows = np.asarray(self.entry_row, dtype=np.int64)
        columns = np.asarray(self.entry_column, dtype=np.int64)
        place = columns * max(len(self.row_names), 1) + rows
        unique, inverse = np.unique(place, return_inverse=True)
        values = summed(inverse, np.asarray(self.entry_value), len(unique))
        kept = np.abs(values) > SMALLEST
        column_of, row_of = np.divmod(unique[kept], max(len(self.row_names), 1))
        start = np.searchsorted(column_of, np.arange(len(self.cost) + 1))
        return start.astype(np.int32), row_of.astype(np.int32), values[kept]


def summed(places: npt.NDArray[np.int64], values: F64, count: int) -> F64:
    """Sum of the values at each of `count` places."""
    return np.bincount(places, weights=values, minlength=count).astype(np.float64)


def must(status: object, what: str) -> None:
    """Raise unless the solver accepted what it was told: a refused option would silently run another algorithm."""
    import highspy

    if status != highspy.HighsStatus.kOk:
        raise LarderError(f"the solver refused to {what}: {status}")


def quiet_highs() -> highspy.Highs:
    """A HiGHS instance that prints nothing: its constructor writes a banner unless it is told not to at once."""
    import highspy

    class Quiet(highspy.Highs):  # type: ignore[misc, unused-ignore]
        def enableCallbacks(self) -> None:  # noqa: N802 - the solver's own name, called while it is constructed
            must(self.setOptionValue("output_flag", False), "set output_flag")
            super().enableCallbacks()  # type: ignore[no-untyped-call, unused-ignore]

    return Quiet()  # type: ignore[no-untyped-call, unused-ignore]


def highs(model: LinearModel, *, method: str = "ipm") -> highspy.Highs:
    """A HiGHS instance that holds the model; one thread and a fixed seed, so that a run repeats."""
    check_finite(model)
    solver = quiet_highs()
    options: dict[str, Any] = {
        "output_flag": False,
        "threads": 1,
        "parallel": "off",
        "random_seed": 1,
        "solver": method,
        "primal_feasibility_tolerance": 1e-8,
        "dual_feasibility_tolerance": 1e-8,
    }
    for name, value in options.items():
        must(solver.setOptionValue(name, value), f"set {name}")
    must(solver.passModel(as_highs_lp(model)), "take the model")
    return solver


def check_finite(model: LinearModel) -> None:
    """Raise if a cost or coefficient is not a finite number, or a bound is not a number."""
    finite = all(bool(np.all(np.isfinite(values))) for values in (model.cost, model.entry_value, model.lower))
    numbers = not any(bool(np.any(np.isnan(values))) for values in (model.upper, model.row_lower, model.row_upper))
    if not (finite and numbers):
        raise LarderError("the larder was asked with a number that is not finite")


def as_highs_lp(model: LinearModel) -> highspy.HighsLp:
    """The model in the solver's own arrays."""
    import highspy

    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(model.cost), len(model.row_names)
    lp.col_cost_ = np.asarray(model.cost)
    lp.col_lower_, lp.col_upper_ = np.asarray(model.lower), np.asarray(model.upper)
    lp.row_lower_, lp.row_upper_ = np.asarray(model.row_lower), np.asarray(model.row_upper)
    start, index, value = model.compressed()
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = start, index, value
    return lp


def run(solver: highspy.Highs, model: LinearModel) -> Solution:
    """Solve, and check the answer with our own arithmetic.

    Raises:
        LarderError: not optimal, a row or bound missed by more than FEASIBILITY, or a duality gap over GAP.
    """
    import highspy

    must(solver.run(), "run")
    if solver.getModelStatus() == highspy.HighsModelStatus.kUnknown:
        must(solver.setOptionValue("solver", "simplex"), "set solver")
        must(solver.run(), "run")
    status = solver.getModelStatus()
    words = solver.modelStatusToString(status)
    empty = status == highspy.HighsModelStatus.kModelEmpty and not model.cost
    if status != highspy.HighsModelStatus.kOptimal and not empty:
        raise LarderError(f"the larder's program ended as {words!r}")
    answer = solver.getSolution()
    x = np.asarray(answer.col_value, dtype=np.float64)
    row_dual = np.asarray(answer.row_dual, dtype=np.float64)
    check_primal(model, x)
    objective = float(np.dot(np.asarray(model.cost), x))
    gap = duality_gap(model, objective, row_dual)
    if gap > GAP:
        raise LarderError(f"the larder's program is left with a duality gap of {gap:.2e}")
    return Solution(x, row_dual, objective, gap, words)


def check_primal(model: LinearModel, x: F64) -> None:
    """Raise unless every row and bound holds to FEASIBILITY of its throughput."""
    activity, throughput = model.activity(x)
    allowed = FEASIBILITY * (1.0 + throughput)
    miss = np.maximum(np.asarray(model.row_lower) - activity, activity - np.asarray(model.row_upper)) - allowed
    if miss.size and miss.max() > 0.0:
        raise LarderError(f"row {model.row_names[int(miss.argmax())]} is missed by {miss.max():.2e}")
    off = np.maximum(np.asarray(model.lower) - x, x - np.asarray(model.upper)) - FEASIBILITY * (1.0 + np.abs(x))
    if off.size and off.max() > 0.0:
        raise LarderError(f"column {int(off.argmax())} leaves its bounds by {off.max():.2e}")


def duality_gap(model: LinearModel, objective: float, row_dual: F64) -> float:
    """Relative distance of the dual objective from the primal one.

    The dual objective takes, for each row and column, the bound that the sign of its multiplier points at; a
    multiplier that points at an infinite bound must be zero, and its size is added to the gap.
    """
    columns = np.asarray(model.entry_column, dtype=np.int64)
    priced = np.asarray(model.entry_value) * row_dual[np.asarray(model.entry_row, dtype=np.int64)]
    reduced = np.asarray(model.cost) - summed(columns, priced, len(model.cost))
    dual = 0.0
    stray = 0.0
    for price, low, high in (
        (row_dual, np.asarray(model.row_lower), np.asarray(model.row_upper)),
        (reduced, np.asarray(model.lower), np.asarray(model.upper)),
    ):
        bound = np.where(price > 0.0, low, high)
        finite = np.isfinite(bound)
        dual += float(np.dot(price[finite], bound[finite]))
        stray = max(stray, float(np.abs(price[~finite]).max(initial=0.0)))
    return abs(objective - dual) / (1.0 + abs(objective)) + (stray if stray > FEASIBILITY else 0.0)
