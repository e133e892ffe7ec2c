"""What comes after a month's end, and what it costs as a function of what lies there then: the cut that duals hold.

A program from a month on has, in its duals, a lower bound of the cost of all that comes after any later month's end, linear
in what lies there then (Benders 1962). Where it was solved the bound is exact.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larderyears.frame import NEVER_CLOSED, OPEN, Frame
from yardland.larderyears.stack import Stack

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
Bool = npt.NDArray[np.bool_]
ANY = 1000
"""Month of a column that holds for the whole year: the worst month."""
NONE = -1
ALIKE = 1e-12
"""Relative difference up to which the columns of a batch are the same."""


@dataclass(frozen=True)
class Calendar:
    """When each column and row of a stack's first block belongs, and which columns take from one batch.

    month [column] : that decides it, MONTHS for what is left over, ANY for the worst month
    row_month [row] : that it is of, NONE for rows that hold a batch or an opening
    group [column] : the batch or opening that it takes from, NONE ; made [group] : month it is put by, NONE if it lay there
    group_row [group] : the row that holds it ; group_kg [group] : what a unit of its columns is in that row
    """

    month: I64
    row_month: I64
    group: I64
    made: I64
    group_row: I64
    group_kg: F64


def calendar(frame: Frame, stack: Stack) -> Calendar:
    """The calendar of a stack's first block.

    Raises:
        ValueError: columns of one batch differ: the block's builders have changed.
    """
    kept, rows = np.flatnonzero(stack.column_at >= 0), np.flatnonzero(stack.row_at >= 0)
    month = frame.decided[kept].copy()
    batches = np.zeros(len(frame.cost), dtype=np.bool_)
    batches[[batch.column for batch in frame.build.batches]] = True
    month[(month == OPEN) & batches[kept]] = MONTHS
    held = [(int(row), int(made)) for row, made in zip(frame.laid_row, frame.laid_month, strict=True)]
    held += [(int(row), NONE) for row in frame.opening_row]
    held = [(int(stack.row_at[row]), made) for row, made in held if stack.row_at[row] >= 0]
    group_row = np.array([row for row, _ in held], dtype=np.int64)
    row_month = month_of_rows(frame, rows)
    row_month[group_row] = NONE
    number = places(group_row, stack.height)
    row, column, value = first_block(stack)
    of = number[row]
    group = np.full(len(kept), NONE, dtype=np.int64)
    group[column[of >= 0]] = of[of >= 0]
    month = alone(month, column, row_month[row])
    late = (month[column] < MONTHS) & (group[column] == NONE) & (row_month[row] != NONE)
    np.maximum.at(row_month, row[late], month[column[late]])
    return Calendar(
        month=month,
        row_month=row_month,
        group=group,
        made=np.array([made for _, made in held], dtype=np.int64),
        group_row=group_row,
        group_kg=units(len(held), of[of >= 0], value[of >= 0]),
    )


def first_block(stack: Stack) -> tuple[I64, I64, F64]:
    """Entries (row, column, value) of a stack's first block."""
    owner = owners(stack)
    here = (owner < stack.width) & (stack.index < stack.height)
    return stack.index[here].astype(np.int64), owner[here], stack.value[here]


def owners(stack: Stack) -> I64:
    """Column of each entry of a stack's matrix."""
    return np.repeat(np.arange(len(stack.start) - 1), np.diff(stack.start))


def places(of: I64, count: int) -> I64:
    """Place of each of `count` things in a list, NONE where it is not in it."""
    found = np.full(count, NONE, dtype=np.int64)
    found[of] = np.arange(len(of))
    return found


def units(count: int, group: I64, value: F64) -> F64:
    """What a unit of a group's columns is in its row.

    Raises:
        ValueError: columns of one batch differ in it.
    """
    found = np.ones(count)
    found[group] = value
    if not np.allclose(found[group], value, rtol=ALIKE, atol=0.0):
        raise ValueError("columns of one batch differ in the row that holds it")
    return found


def alone(month: I64, column: I64, row_month: I64) -> I64:
    """Months of columns, those that no flow dates set to the one month of all their rows, or to ANY."""
    first, last = np.full(len(month), ANY), np.full(len(month), NONE)
    np.minimum.at(first, column, row_month)
    np.maximum.at(last, column, row_month)
    return np.where(month != OPEN, month, np.where((first == last) & (first >= 0), first, ANY))


def month_of_rows(frame: Frame, rows: I64) -> I64:
    """Month of each of some rows; those of the worst month are of the month that they compare."""
    months = {month.name: index for index, month in enumerate(frame.larder.months)}
    found = frame.row_month[rows].copy()
    for place in np.flatnonzero(found == NEVER_CLOSED):
        found[place] = months.get(frame.row_names[int(rows[place])].rpartition(".")[2], NONE)
    return found


@dataclass(frozen=True)
class Boundary:
    """A stack cut at the end of month `end` - 1; 12 is the year's end.

    after [column], after_row [row] : of the stack, that come after
    state : columns of the first block, decided before, on which rows that come after hang
    groups : batches and openings put by before, of which something is taken after ; member_group, member [entry] : its columns
    entry, entry_column : entries of the stack in rows that come after
    """

    end: int
    after: Bool
    after_row: Bool
    state: I64
    groups: I64
    member_group: I64
    member: I64
    entry: I64
    entry_column: I64


def boundary(stack: Stack, when: Calendar, end: int) -> Boundary:
    """Cut a stack at the end of month `end` - 1."""
    width, height = stack.width, stack.height
    after = np.ones(stack.blocks * width, dtype=np.bool_)
    after_row = np.ones(stack.blocks * height, dtype=np.bool_)
    after[:width] = (when.month >= end) & (when.month != ANY) & (end < MONTHS)
    after_row[:height] = when.row_month >= end
    owner = owners(stack)
    entry = np.flatnonzero(after_row[stack.index])
    touched = np.concatenate([owner[entry], stack.lazy.column[stack.lazy.month[stack.lazy.row] >= end]])
    early = np.flatnonzero((when.group >= 0) & after[:width])
    early = early[when.made[when.group[early]] < end]
    groups, member_group = np.unique(when.group[early], return_inverse=True)
    return Boundary(
        end, after, after_row, np.unique(touched[~after[touched]]), groups, member_group, early, entry, owner[entry]
    )


@dataclass(frozen=True)
class Cut:
    """Cost of what comes after >= constant + slope . state + worth . units still to be taken of each group."""

    constant: float
    slope: F64
    worth: F64

    def at(self, state: F64, kept: F64) -> float:
        """Its value.

        Args:
            state: of the boundary's columns.
            kept: units still to be taken of each of its groups.
        """
        return float(self.constant + self.slope @ state + self.worth @ kept)


@dataclass(frozen=True)
class Solved:
    """A program that was solved: its columns, duals, sides and bounds; and rows that were put in, as numbers of lazy rows."""

    x: F64
    row_dual: F64
    sides: tuple[F64, F64]
    bounds: tuple[F64, F64]
    added: tuple[int, ...] = ()
    added_dual: F64 | None = None


def cut_of(stack: Stack, at: Boundary, solved: Solved) -> Cut:
    """The cut at a boundary that the duals of a program, solved from an earlier month on, hold.

    Dust of the wrong sign in a dual is set to nothing, so that the cut is a lower bound to the solver's rounding.
    """
    dual, side = signed(np.where(at.after_row, solved.row_dual, 0.0), *solved.sides)
    moved = np.bincount(
        at.entry_column, weights=stack.value[at.entry] * dual[stack.index[at.entry]], minlength=len(stack.cost)
    )
    constant = float(dual @ side)
    if solved.added and solved.added_dual is not None:
        more, cost = added_part(stack, at, solved.added, solved.added_dual)
        moved += more
        constant += cost
    reduced = stack.cost - moved
    worth = np.full(len(at.groups), np.inf)
    np.minimum.at(worth, at.member_group, reduced[at.member])
    reduced[at.member] -= worth[at.member_group]
    low, high = solved.bounds
    bounded = at.after & ((reduced > 0.0) | np.isfinite(high))
    constant += float(reduced[bounded] @ np.where(reduced > 0.0, low, high)[bounded])
    return Cut(constant, -moved[at.state], worth)


def signed(dual: F64, lower: F64, upper: F64) -> tuple[F64, F64]:
    """Duals without dust of the wrong sign, and the side that each one stands on."""
    wrong = ((dual > 0.0) & ~np.isfinite(lower)) | ((dual < 0.0) & ~np.isfinite(upper))
    clean = np.where(wrong, 0.0, dual)
    return clean, np.where(clean > 0.0, lower, np.where(clean < 0.0, upper, 0.0))


def added_part(stack: Stack, at: Boundary, added: tuple[int, ...], added_dual: F64) -> tuple[F64, float]:
    """What rows that were put in, and come after, do to the columns and to the constant of a cut."""
    lazy, own = stack.lazy, np.array(added, dtype=np.int64)
    dual = np.zeros(len(lazy.lower))
    dual[own] = np.where(lazy.month[own] >= at.end, added_dual, 0.0)
    dual, side = signed(dual, lazy.lower, lazy.upper)
    moved = np.bincount(lazy.column, weights=lazy.value * dual[lazy.row], minlength=len(stack.cost))
    return moved, float(dual @ side)


def state_of(at: Boundary, x: F64) -> tuple[F64, F64]:
    """(state, units still to be taken of each group) at a boundary in a solved program."""
    kept = np.bincount(at.member_group, weights=x[at.member], minlength=len(at.groups))
    return x[at.state], kept.astype(np.float64)
