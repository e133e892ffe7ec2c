"""Shelves of mixed ages along a chain: what lies there follows from what was put by, taken, spoilt and thawed.

A solver keeps a shelf's balance to its tolerance; reckoned from the flows it holds to the last digits, month after month.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larderyears.frame import Frame
from yardland.larderyears.stack import Stack

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
NONE = -1


class Shelves:
    """Looks up once the balances of the shelves in the first block of a stack."""

    def __init__(self, frame: Frame, stack: Stack) -> None:
        """Of each month: rows, columns of what lies there, and the entries (shelf, column, value) of all others."""
        rows = {name: row for row, name in enumerate(frame.row_names)}
        takes = take_columns(frame)
        self.on, self.row, self.take, self.entries = [], [], [], []
        for month in range(MONTHS):
            found = [
                (int(stack.row_at[row]), int(stack.column_at[shelf.on_shelf[month]]), takes.get(int(row), NONE))
                for shelf in frame.build.shelves
                for row in [rows[f"shelf.{shelf.keeping.good}.{shelf.keeping.method}.{frame.build.month(month)}"]]
                if stack.row_at[row] >= 0 and stack.column_at[shelf.on_shelf[month]] >= 0
            ]
            row, on, take = np.array(found, dtype=np.int64).reshape(-1, 3).T
            self.row.append(row)
            self.on.append(on)
            self.take.append(np.where(take >= 0, stack.column_at[take], NONE))
            self.entries.append(entries_of(stack, row, on))

    def settle(self, month: int, done: F64, side: F64) -> None:
        """Set what lies on the shelves at a month's end, in place; where less than nothing would, less is taken.

        Args:
            month: that was decided.
            done: [column], what was done.
            side: [row], what a thaw takes of each shelf.
        """
        on, take = self.on[month], self.take[month]
        if not len(on):
            return
        shelf, column, value = self.entries[month]
        kg = np.bincount(shelf, weights=value * done[column], minlength=len(on)) - side[self.row[month]]
        over = (kg < 0.0) & (take >= 0)
        done[take[over]] = np.maximum(done[take[over]] + kg[over], 0.0)
        done[on] = np.maximum(kg, 0.0)


def take_columns(frame: Frame) -> dict[int, int]:
    """Row of a shelf's month -> column of what is taken off it."""
    rows = {row for row, name in enumerate(frame.row_names) if name.startswith("shelf.")}
    taken = {column for (arc, _), terms in frame.build.flows.items() if arc.kind == "take" for column, _ in terms}
    matrix = frame.matrix
    return {
        int(row): int(column)
        for row, column in zip(matrix.row, matrix.column, strict=True)
        if int(row) in rows and int(column) in taken
    }


def entries_of(stack: Stack, row: I64, on: I64) -> tuple[I64, I64, F64]:
    """Entries (shelf, column, value) of some rows of a stack's first block, without what lies there at the month's end."""
    owner = np.repeat(np.arange(len(stack.start) - 1), np.diff(stack.start))
    place = np.full(stack.height * stack.blocks, NONE, dtype=np.int64)
    place[row] = np.arange(len(row))
    shelf = place[stack.index]
    here = (shelf >= 0) & (owner < stack.width)
    here &= owner != on[shelf] if len(on) else here
    return shelf[here], owner[here], stack.value[here]
