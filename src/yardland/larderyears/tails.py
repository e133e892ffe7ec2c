"""What comes after a month's end, and what it costs as a function of what lies there then: the cut that duals hold.

A program from a month on has, in its duals, a lower bound of the cost of all that comes after any later month's end, linear
in what lies there then (Benders 1962). Where it was solved the bound is exact.
"""

from __future__ import annotations

from collections.abc import Sequence
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
    group [column] : the batch or opening that it takes from, NONE (and for what a freezer loses of a batch) ; made [group] : month it is put by, NONE if it lay there
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
    for place, made in zip(
        stack.column_at[frame.thawed[frame.thawed >= 0]], frame.laid_month[frame.thawed >= 0], strict=True
    ):
        if place >= 0:
            group[place], month[place] = NONE, made
    lazy = stack.lazy
    month = alone(month, np.concatenate([column, lazy.column]), np.concatenate([row_month[row], lazy.month[lazy.row]]))
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
    """Cost of what comes after >= constant + slope . state + worth . units still to be taken of each group.

    constant [kind] : for each kind of year that may be expected (of the rotation, or of a chain): the duals of one hold for all
    """

    constant: F64
    slope: F64
    worth: F64

    def at(self, kind: int, state: F64, kept: F64) -> float:
        """Its value.

        Args:
            kind: of year.
            state: of the boundary's columns.
            kept: units still to be taken of each of its groups.
        """
        return float(self.constant[kind] + self.slope @ state + self.worth @ kept)


@dataclass(frozen=True)
class Expected:
    """A stack's sides and bounds when nothing of a kind of year is known but what is expected of it and the next."""

    row_lower: F64
    row_upper: F64
    lower: F64
    upper: F64
    lazy_lower: F64
    lazy_upper: F64


@dataclass(frozen=True)
class Solved:
    """A program that was solved: its columns and duals; and rows that were put in, as numbers of lazy rows."""

    x: F64
    row_dual: F64
    added: tuple[int, ...] = ()
    added_dual: F64 | None = None


def cut_of(stack: Stack, at: Boundary, solved: Solved, kinds: Sequence[Expected]) -> Cut:
    """The cut at a boundary that the duals of a program, solved from an earlier month on, hold.

    Dust of the wrong sign in a dual is set to nothing, so that the cut is a lower bound to the solver's rounding.
    """
    first = kinds[0]
    dual = right_signed(np.where(at.after_row, solved.row_dual, 0.0), first.row_lower, first.row_upper)
    moved = summed(at.entry_column, stack.value[at.entry] * dual[stack.index[at.entry]], len(stack.cost))
    put_in = added_duals(stack, at, solved, first)
    moved += summed(stack.lazy.column, stack.lazy.value * put_in[stack.lazy.row], len(stack.cost))
    reduced = stack.cost - moved
    worth = np.full(len(at.groups), np.inf)
    np.minimum.at(worth, at.member_group, reduced[at.member])
    reduced[at.member] -= worth[at.member_group]
    reduced[~at.after] = 0.0
    reduced[(reduced < 0.0) & ~np.isfinite(first.upper)] = 0.0
    rows, columns, lazy = np.flatnonzero(dual), np.flatnonzero(reduced), np.flatnonzero(put_in)
    constant = [
        standing(dual[rows], one.row_lower[rows], one.row_upper[rows])
        + standing(put_in[lazy], one.lazy_lower[lazy], one.lazy_upper[lazy])
        + standing(reduced[columns], one.lower[columns], one.upper[columns])
        for one in kinds
    ]
    return Cut(np.array(constant, dtype=np.float64), -moved[at.state], worth)


def summed(place: I64, value: F64, count: int) -> F64:
    """Values added up by place."""
    return np.bincount(place, weights=value, minlength=count).astype(np.float64)


def added_duals(stack: Stack, at: Boundary, solved: Solved, first: Expected) -> F64:
    """Duals of the rows that were left out of the stack: of those that were put in and come after, [lazy row]."""
    dual = np.zeros(len(stack.lazy.lower))
    if solved.added and solved.added_dual is not None:
        own = np.array(solved.added, dtype=np.int64)
        dual[own] = np.where(stack.lazy.month[own] >= at.end, solved.added_dual, 0.0)
    return right_signed(dual, first.lazy_lower, first.lazy_upper)


def right_signed(dual: F64, lower: F64, upper: F64) -> F64:
    """Duals without dust of the wrong sign: none above nothing where there is no lower side, none below where no upper one."""
    wrong = ((dual > 0.0) & ~np.isfinite(lower)) | ((dual < 0.0) & ~np.isfinite(upper))
    return np.where(wrong, 0.0, dual)


def standing(dual: F64, lower: F64, upper: F64) -> float:
    """Duals times the sides that they stand on."""
    return float(dual @ np.where(dual > 0.0, lower, upper))


def state_of(at: Boundary, x: F64) -> tuple[F64, F64]:
    """(state, units still to be taken of each group) at a boundary in a solved program."""
    kept = np.bincount(at.member_group, weights=x[at.member], minlength=len(at.groups))
    return x[at.state], kept.astype(np.float64)
