"""Blocks of larder years put one behind the other: what one leaves over is what the next one opens with.

Of each block only the columns that are wanted are taken (`keep`), and the rows that they touch.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larderyears.frame import Frame
from yardland.larderyears.prune import Kept, everything

if TYPE_CHECKING:
    import highspy

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Lazy:
    """Rows of the first block that are left out and looked at: entries (row, column, value), sides, and their months.

    at [row of the frame] : which of them it is, -1 if none
    """

    row: I64
    column: I64
    value: F64
    lower: F64
    upper: F64
    month: I64
    at: I64


@dataclass(frozen=True)
class Stack:
    """A program of several blocks, by columns; block b's column c is b * width + column_at[c], its rows likewise.

    column_at [column of the frame], row_at [row of the frame] : place within a block, -1 where left out
    start, index, value : the matrix by columns ; width, height : columns and rows of a block
    """

    blocks: int
    column_at: I64
    row_at: I64
    width: int
    height: int
    start: npt.NDArray[np.int32]
    index: npt.NDArray[np.int32]
    value: F64
    cost: F64
    lower: F64
    upper: F64
    row_lower: F64
    row_upper: F64
    lazy: Lazy

    def columns(self, of: I64, block: int = 0) -> I64:
        """Places of columns of the frame in a block (all of them must be there)."""
        return np.asarray(self.column_at[of] + block * self.width)

    def rows(self, of: I64, block: int = 0) -> I64:
        """Places of rows of the frame in a block."""
        return np.asarray(self.row_at[of] + block * self.height)

    def activity(self, x: F64) -> F64:
        """A x, [row]."""
        count = self.blocks * self.height
        owner = np.repeat(np.arange(len(self.start) - 1), np.diff(self.start))
        return np.asarray(np.bincount(self.index, weights=self.value * x[owner], minlength=count), dtype=np.float64)

    def lp(self) -> highspy.HighsLp:
        """The program in the solver's own form."""
        import highspy

        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = self.blocks * self.width, self.blocks * self.height
        lp.col_cost_, lp.col_lower_, lp.col_upper_ = self.cost, self.lower, self.upper
        lp.row_lower_, lp.row_upper_ = self.row_lower, self.row_upper
        lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = self.start, self.index, self.value
        return lp


def stacked(frame: Frame, blocks: int, kept: Kept | None = None, cost: F64 | None = None) -> Stack:
    """A stack of equal blocks.

    Args:
        frame: the block.
        blocks: how many larder years.
        kept: columns and rows that are wanted; all if None.
        cost: another price of each column of the frame.
    """
    kept = everything(frame) if kept is None else kept
    wanted = kept.columns
    column_at = np.where(wanted, np.cumsum(wanted) - 1, -1)
    row_at = np.where(kept.rows, np.cumsum(kept.rows) - 1, -1)
    inside = wanted[frame.matrix.column] & kept.rows[frame.matrix.row]
    width, height = int(wanted.sum()), int(kept.rows.sum())
    rows, columns, values = [], [], []
    for block in range(blocks):
        rows.append(row_at[frame.matrix.row[inside]] + block * height)
        columns.append(column_at[frame.matrix.column[inside]] + block * width)
        values.append(frame.matrix.value[inside])
        if block + 1 < blocks:
            there = wanted[frame.left.column] & (row_at[frame.opening_row[frame.left.opening]] >= 0)
            rows.append(row_at[frame.opening_row[frame.left.opening[there]]] + (block + 1) * height)
            columns.append(column_at[frame.left.column[there]] + block * width)
            values.append(-frame.left.kg[there])
    start, index, value = by_columns(
        np.concatenate(rows), np.concatenate(columns), np.concatenate(values), blocks * width
    )
    prices = frame.cost if cost is None else cost
    return Stack(
        blocks=blocks,
        column_at=column_at,
        row_at=row_at,
        width=width,
        height=height,
        start=start,
        index=index,
        value=value,
        cost=np.tile(prices[wanted], blocks),
        lower=np.tile(frame.lower[wanted], blocks),
        upper=np.tile(frame.upper[wanted], blocks),
        row_lower=np.tile(frame.row_lower[kept.rows], blocks),
        row_upper=np.tile(frame.row_upper[kept.rows], blocks),
        lazy=lazy_rows(frame, kept, column_at),
    )


def lazy_rows(frame: Frame, kept: Kept, column_at: I64) -> Lazy:
    """The rows that are left out and looked at, in the columns that stay."""
    number = np.where(kept.lazy, np.cumsum(kept.lazy) - 1, -1)
    inside = kept.lazy[frame.matrix.row] & kept.columns[frame.matrix.column]
    return Lazy(
        row=number[frame.matrix.row[inside]],
        column=column_at[frame.matrix.column[inside]],
        value=frame.matrix.value[inside],
        lower=frame.row_lower[kept.lazy],
        upper=frame.row_upper[kept.lazy],
        month=frame.row_month[kept.lazy],
        at=number,
    )


def by_columns(
    row: I64, column: I64, value: F64, count: int
) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.int32], F64]:
    """A matrix by columns (start, row, value), doubled entries added up and those under the solver's least left out."""
    from yardland.larder.model import SMALLEST

    height = int(row.max(initial=0)) + 1
    place, inverse = np.unique(column * height + row, return_inverse=True)
    summed = np.bincount(inverse, weights=value, minlength=len(place))
    kept = np.abs(summed) > SMALLEST
    of, at = np.divmod(place[kept], height)
    start = np.searchsorted(of, np.arange(count + 1)).astype(np.int32)
    return start, at.astype(np.int32), np.asarray(summed[kept], dtype=np.float64)
