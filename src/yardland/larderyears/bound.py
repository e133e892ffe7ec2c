"""The foresight bound: how little a chain could have been short, had everything been known beforehand.

All years of a chain in one program: the same opening stores, the same production, the same ways out; only hunger counts.
No policy can be short of less over the whole chain. A single year may go the other way (foresight may give up year 3 for
year 5), so that nothing is promised by the year.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.build_table import FIRST_AIMS
from yardland.larder.description import MONTHS
from yardland.larder.model import LarderError, must
from yardland.larderyears.frame import Frame
from yardland.larderyears.hot import PASSED, Hot, eased, merged
from yardland.larderyears.household import Household, lazy_sides
from yardland.larderyears.prepare import Prepared
from yardland.larderyears.sides import Brought
from yardland.larderyears.stack import Stack, stacked
from yardland.larderyears.told import by_year, unmade_columns, wholes
from yardland.larderyears.walk import SLACK as SLACK_OF_CLOSED
from yardland.larderyears.walk import Policy, Walker

F64 = npt.NDArray[np.float64]
Bool = npt.NDArray[np.bool_]
SLACK = 1e-6
"""Greatest amount by which the bound may pass what a policy did, share of a month's need: the solvers' rounding."""
AS_THE_POLICY = 2.0 * SLACK_OF_CLOSED
"""How far rows of stores are opened, relative to their size: as far as those of a month that is over are to the policy."""
ROUNDING = 1e-7
"""How far all other rows are: more than the policy's answers may miss them."""
ROUNDS = 8
"""Times that rows which were left out are looked at; what is passed then still only makes the bound lower."""


@dataclass(frozen=True)
class Bound:
    """least [year, 2, 12] : of energy and of protein, share of need, of the worst fed diet ; shortfall : summed over the chain, in months' needs."""

    least: F64
    shortfall: float


def foresight(
    shared: Prepared, years: Brought, opening_kg: F64, leaves_kg: F64 | None = None, unmade_kg: float = 0.0
) -> Bound:
    """The bound of one chain.

    Args:
        shared: frame and what of it the policy keeps: the bound has the same ways out.
        years: what the chain's years bring.
        opening_kg: what lies there as it begins.
        leaves_kg: least that lies there when it ends, [opening]: what the policy left; nothing if None.
        unmade_kg: most that hunger of stock may take from gifts that were not there: what the policy took.

    Raises:
        LarderError: the program was not solved.
    """
    frame = shared.frame
    hunger = np.zeros(len(frame.cost))
    hunger[list(frame.build.short.values())] = 1.0
    stack = stacked(frame, len(years), shared.kept, hunger)
    household = shared.policy.household
    hot = Hot(stack)
    reveal_all(hot, Walker(Policy(frame, stack, shared.policy.expected, household=household)), years, opening_kg)
    slack = np.tile(np.where(of_stores(frame), AS_THE_POLICY, ROUNDING)[shared.kept.rows], stack.blocks)
    every = np.arange(len(hot.row_lower))
    hot.bound_rows(every, *eased(hot.row_lower, hot.row_upper, slack))
    limit_unmade(hot, frame, unmade_kg)
    if leaves_kg is not None:
        leave(hot, frame, leaves_kg)
    return told(frame, stack, solved(hot, household), household)


def reveal_all(hot: Hot, walker: Walker, years: Brought, opening_kg: F64) -> None:
    """Set every block's sides to what its year brings, and the first one's shelves."""
    hot.bound_rows(walker.opening, opening_kg[walker.openings], opening_kg[walker.openings])
    for year in range(len(years)):
        walker.seat(hot, year, year)
        for month in range(MONTHS):
            walker.reveal(hot, year, years, year, month)


def of_stores(frame: Frame) -> Bool:
    """Rows in which something stands that is decided again after their month: what was put by, and when it is taken."""
    columns = np.zeros(len(frame.cost), dtype=np.bool_)
    columns[[batch.column for batch in frame.build.batches]] = True
    for shelf in frame.build.shelves:
        columns[list(shelf.on_shelf)] = True
    found = np.zeros(len(frame.row_lower), dtype=np.bool_)
    found[frame.matrix.row[columns[frame.matrix.column]]] = True
    return found


def leave(hot: Hot, frame: Frame, leaves_kg: F64) -> None:
    """Rows: of each good, way and age no less is left when the chain ends."""
    stack = hot.stack
    there = stack.column_at[frame.left.column] >= 0
    columns = stack.columns(frame.left.column[there], stack.blocks - 1)
    kg, opening = frame.left.kg[there], frame.left.opening[there]
    for index in np.flatnonzero(leaves_kg > 0.0):
        mine = opening == index
        least = float(leaves_kg[index]) * (1.0 - AS_THE_POLICY) - AS_THE_POLICY
        if mine.any() and least > 0.0:
            add_row(hot, columns[mine], kg[mine], least, float("inf"))


def limit_unmade(hot: Hot, frame: Frame, unmade_kg: float) -> None:
    """Row: what hunger of stock takes from gifts that were not there, over all years, is no more than this.

    It has a price in the policy's program and none here, where it would be food from nothing.
    """
    stack = hot.stack
    columns = unmade_columns(frame)
    columns = columns[stack.column_at[columns] >= 0]
    if len(columns):
        every = np.concatenate([stack.columns(columns, block) for block in range(stack.blocks)])
        add_row(hot, every, np.ones(len(every)), -float("inf"), unmade_kg + AS_THE_POLICY)


def add_row(hot: Hot, columns: npt.NDArray[np.int64], values: F64, lower: float, upper: float) -> None:
    """Put a row behind all others."""
    at, value = merged(columns, values)
    must(hot.solver.addRow(lower, upper, len(at), at.astype(np.int32), value), "add a row")


def solved(hot: Hot, household: Household | None = None) -> F64:
    """The optimum: interior point first, then rows that were left out and are passed, from the last basis.

    Args:
        hot: the program.
        household: needs and plates by year, where people grow older.

    Raises:
        LarderError: an answer fails its check.
    """
    hot.start()
    added = np.zeros((hot.stack.blocks, len(hot.stack.lazy.lower)), dtype=np.bool_)
    for round_number in range(ROUNDS + 1):
        if round_number:
            must(hot.solver.run(), "run")
        x = np.asarray(hot.solver.getSolution().col_value, dtype=np.float64)
        if fault := hot.fault(x):
            raise LarderError(f"foresight of a chain: {fault}")
        passed = lazy_passed(hot.stack, x, household) & ~added
        if not passed.any():
            break
        for block, row in np.argwhere(passed):
            add_lazy(hot, int(block), int(row), household)
        added |= passed
    return x


def lazy_passed(stack: Stack, x: F64, household: Household | None = None) -> Bool:
    """Rows that were left out and are passed, [block, row]."""
    lazy = stack.lazy
    found = []
    for block in range(stack.blocks):
        mine = x[block * stack.width : (block + 1) * stack.width]
        activity = np.bincount(lazy.row, weights=lazy.value * mine[lazy.column], minlength=len(lazy.lower))
        lower, upper = lazy_sides(stack, household, block)
        over = np.maximum(lower - activity, activity - upper)
        found.append(over > PASSED * (1.0 + np.abs(activity)))
    return np.array(found)


def add_lazy(hot: Hot, block: int, row: int, household: Household | None = None) -> None:
    """Put a row in that was left out, in one block, opened as the rows of stores are."""
    lazy = hot.stack.lazy
    at = lazy.row == row
    sides = lazy_sides(hot.stack, household, block)
    lower, upper = eased(sides[0][[row]], sides[1][[row]], AS_THE_POLICY)
    add_row(hot, lazy.column[at] + block * hot.stack.width, lazy.value[at], float(lower[0]), float(upper[0]))


def told(frame: Frame, stack: Stack, x: F64, household: Household | None = None) -> Bound:
    """Who is short of what in an answer."""
    least = np.ones((stack.blocks, len(FIRST_AIMS), MONTHS))
    total = 0.0
    for (name, month), column in frame.build.short.items():
        whole = by_year(wholes(frame, household, column), stack.blocks)
        lacks = np.clip(x[stack.columns(np.array([column]))[0] + np.arange(stack.blocks) * stack.width], 0.0, None)
        total += float(lacks.sum())
        aim = FIRST_AIMS.index(name.partition("@")[0])
        share = lacks / np.where(whole > 0.0, whole, np.inf)
        least[:, aim, month] = np.minimum(least[:, aim, month], 1.0 - np.minimum(share, 1.0))
    return Bound(least, total)


def check(bound: Bound, policy_shortfall: float) -> Bound:
    """The bound, if it is one.

    Args:
        bound: of a chain's years.
        policy_shortfall: of the same years, in months' needs.

    Raises:
        LarderError: the policy was short of less than foresight: one of both programs is wrong.
    """
    if bound.shortfall > policy_shortfall + SLACK:
        raise LarderError(
            f"foresight of a chain lacks {bound.shortfall:.7f} months' needs, the policy {policy_shortfall:.7f}; expected no more than "
            "the policy: please report the holding"
        )
    return bound
