"""Programs of a few months: those of a year's block from one month to another, and what comes after as one column.

The window [first, end) has the columns that its months decide, a column for what is still to be taken of each batch after its
end, and one for the cost of all that comes after, held up by cuts. What was decided before enters by its sides.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder.model import SMALLEST
from yardland.larderyears.stack import Stack, by_columns
from yardland.larderyears.tails import ALIKE, ANY, NONE, Boundary, Calendar, Cut, first_block, places

if TYPE_CHECKING:
    from yardland.larderyears.pasts import Pasts

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Entries:
    """Entries (row, column of the block, value) of what was decided before."""

    row: I64
    column: I64
    value: F64

    def times(self, x: F64, rows: int) -> F64:
        """Their product with what was decided, [row]."""
        return np.asarray(np.bincount(self.row, weights=self.value * x[self.column], minlength=rows), dtype=np.float64)


@dataclass(frozen=True)
class Window:
    """A program of the months [first, end), in places of its own.

    columns [place] : of the block; behind them a column for each group of `later`, then the one for what comes after
    rows [place] : of the block; behind them a row for each group of `held`, put by before
    start, index, value : the matrix by columns ; cost [column]
    before : entries of what was decided before ; representative [later] : a column of the block that is taken after the end
    """

    first: int
    end: int
    columns: I64
    later: I64
    rows: I64
    held: I64
    start: npt.NDArray[np.int32]
    index: npt.NDArray[np.int32]
    value: F64
    cost: F64
    before: Entries
    representative: I64

    @property
    def width(self) -> int:
        """Columns, all told."""
        return len(self.cost)

    @property
    def height(self) -> int:
        """Rows, all told."""
        return len(self.rows) + len(self.held)

    @property
    def after(self) -> int:
        """Place of the column of what comes after."""
        return len(self.cost) - 1


def window(stack: Stack, when: Calendar, first: int, at: Boundary) -> Window:
    """The window of a stack's first block from a month to a boundary.

    Raises:
        ValueError: columns of one batch differ, or reach into a month before: the block's builders have changed.
    """
    after = at.after[: stack.width]
    inside = (when.month >= first) & ~after
    columns = np.flatnonzero(inside)
    rows = np.flatnonzero((when.row_month >= first) & (when.row_month < at.end))
    later, groups = at.groups, len(when.made)
    column_at, row_at, later_at = places(columns, stack.width), places(rows, stack.height), places(later, groups)
    row, column, value = first_block(stack)
    here = row_at[row] >= 0
    row, column, value = row_at[row[here]], column[here], value[here]
    now, ahead = inside[column], after[column]
    tail = once(row[ahead], places_of(later_at, when.group[column[ahead]]), value[ahead])
    taken = np.zeros(groups, dtype=np.bool_)
    taken[when.group[columns][when.group[columns] >= 0]] = True
    taken[later] = True
    held = np.flatnonzero(taken & (when.made < first))
    held_at = places(held, groups)
    takes = columns[when.group[columns] >= 0]
    takes = takes[held_at[when.group[takes]] >= 0]
    stays = later[held_at[later] >= 0]
    start, index, values = by_columns(
        np.concatenate([row[now], tail[0], len(rows) + held_at[when.group[takes]], len(rows) + held_at[stays]]),
        np.concatenate(
            [column_at[column[now]], len(columns) + tail[1], column_at[takes], len(columns) + later_at[stays]]
        ),
        np.concatenate([value[now], tail[2], np.ones(len(takes) + len(stays))]),
        len(columns) + len(later) + 1,
    )
    past = ~now & ~ahead
    return Window(
        first=first,
        end=at.end,
        columns=columns,
        later=later,
        rows=rows,
        held=held,
        start=start,
        index=index,
        value=values,
        cost=np.concatenate([stack.cost[columns], np.zeros(len(later)), [1.0]]),
        before=Entries(row[past], column[past], value[past]),
        representative=representatives(when, at),
    )


def places_of(later_at: I64, group: I64) -> I64:
    """Place of the column that stands for each group.

    Raises:
        ValueError: a column of no such group.
    """
    if (group < 0).any() or (later_at[group] < 0).any():
        raise ValueError("a column that is no batch reaches into a month before its own")
    return later_at[group]


def once(row: I64, column: I64, value: F64) -> tuple[I64, I64, F64]:
    """Entries of the columns of a group, once.

    Raises:
        ValueError: they differ.
    """
    wide = int(column.max(initial=0)) + 1
    _, first, inverse = np.unique(row * wide + column, return_index=True, return_inverse=True)
    if not np.allclose(value, value[first][inverse], rtol=ALIKE, atol=0.0):
        raise ValueError("columns of one batch differ in a month before they are taken")
    return row[first], column[first], value[first]


def representatives(when: Calendar, at: Boundary) -> I64:
    """For each group that is taken from after a boundary, one of its columns that are."""
    found = np.full(len(when.made), NONE, dtype=np.int64)
    found[when.group[at.member[::-1]]] = at.member[::-1]
    return found[at.groups]


@dataclass(frozen=True)
class Row:
    """A row put into a window: its columns and values, and what was decided before in it.

    lower [kind] : of a cut, for each kind of year ; lazy : number of a row that was left out of the stack, NONE for a cut
    """

    column: npt.NDArray[np.int32]
    value: F64
    before: Entries
    lower: F64
    lazy: int = NONE


def cut_row(own: Window, at: Boundary, cut: Cut, width: int) -> Row:
    """A cut as a row of a window that ends at its boundary."""
    place = places(own.columns, width)[at.state]
    there, gone = np.flatnonzero((place >= 0) & (cut.slope != 0.0)), np.flatnonzero((place < 0) & (cut.slope != 0.0))
    columns = np.concatenate([place[there], len(own.columns) + np.arange(len(own.later)), [own.after]])
    values = np.concatenate([-cut.slope[there], -cut.worth, [1.0]])
    before = Entries(np.zeros(len(gone), dtype=np.int64), at.state[gone], -cut.slope[gone])
    big = np.abs(values) > SMALLEST
    return Row(columns[big].astype(np.int32), values[big], before, cut.constant)


def lazy_row(stack: Stack, when: Calendar, own: Window, number: int) -> Row:
    """A row that was left out of the stack as a row of a window that has its month."""
    lazy = stack.lazy
    at = np.flatnonzero(lazy.row == number)
    column, value = lazy.column[at], lazy.value[at]
    place = places(own.columns, stack.width)[column]
    late = (place < 0) & (when.month[column] >= own.end) & (when.month[column] != ANY)
    behind = places(own.later, len(when.made))
    _, tail, summed = once(
        np.zeros(int(late.sum()), dtype=np.int64), places_of(behind, when.group[column[late]]), value[late]
    )
    columns = np.concatenate([place[place >= 0], len(own.columns) + tail])
    unique, inverse = np.unique(columns, return_inverse=True)
    values = np.bincount(inverse, weights=np.concatenate([value[place >= 0], summed]), minlength=len(unique))
    past = (place < 0) & ~late
    before = Entries(np.zeros(int(past.sum()), dtype=np.int64), column[past], value[past])
    return Row(unique.astype(np.int32), np.asarray(values, dtype=np.float64), before, np.zeros(0), number)


@dataclass(frozen=True)
class View:
    """What a policy by windows sees: plain arrays, so that it travels to workers.

    windows, cuts [month] : programs; rows that hold up what comes after, and some that were left out of them
    pasts [month] : answers of training, from whose bases a chain's first ones go on
    """

    when: Calendar
    windows: tuple[Window, ...]
    cuts: tuple[tuple[Row, ...], ...]
    pasts: tuple[Pasts | None, ...]
