"""A window as the solver takes it, made once and used by every chain: its entries, its matrix, bases to begin with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from yardland.larderyears.pasts import Pasts, basis_of
from yardland.larderyears.stack import Stack, by_columns
from yardland.larderyears.tails import Calendar
from yardland.larderyears.windows import Row, Window

if TYPE_CHECKING:
    import highspy

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
INFINITY = float("inf")


@dataclass(frozen=True)
class Entries:
    """A window with the rows put into it, by entries: (row, column, value), and those of what was decided before (places of the block).

    lower [kind, row put in] : sides of cuts ; lazy [row put in] : number of a row that was left out of the stack, -1 for a cut
    """

    height: int
    width: int
    row: I64
    column: I64
    value: F64
    past_row: I64
    past_column: I64
    past_value: F64
    lower: F64
    lazy: I64

    def times(self, x: F64) -> F64:
        """A x, [row]."""
        return self._summed(self.row, self.value * x[self.column], self.height)

    def turned(self, dual: F64) -> F64:
        """Duals times A, [column]."""
        return self._summed(self.column, self.value * dual[self.row], self.width)

    def past(self, done: F64) -> F64:
        """What was decided before, in each row."""
        return self._summed(self.past_row, self.past_value * done[self.past_column], self.height)

    @staticmethod
    def _summed(place: I64, value: F64, count: int) -> F64:
        return np.asarray(np.bincount(place, weights=value, minlength=count), dtype=np.float64)


def entries_of(own: Window, put_in: Sequence[Row]) -> Entries:
    """A window's entries, those of the rows put into it behind them."""
    rows = [np.full(len(one.column), own.height + number) for number, one in enumerate(put_in)]
    pasts = [np.full(len(one.before.column), own.height + number) for number, one in enumerate(put_in)]
    kinds = max((len(one.lower) for one in put_in), default=0)
    lower = [one.lower if one.lazy < 0 else np.full(kinds, np.nan) for one in put_in]
    return Entries(
        height=own.height + len(put_in),
        width=own.width,
        row=np.concatenate([own.index, *rows]).astype(np.int64),
        column=np.concatenate(
            [np.repeat(np.arange(own.width), np.diff(own.start)), *[one.column for one in put_in]]
        ).astype(np.int64),
        value=np.concatenate([own.value, *[one.value for one in put_in]]),
        past_row=np.concatenate([own.before.row, *pasts]).astype(np.int64),
        past_column=np.concatenate([own.before.column, *[one.before.column for one in put_in]]).astype(np.int64),
        past_value=np.concatenate([own.before.value, *[one.before.value for one in put_in]]),
        lower=np.array(lower, dtype=np.float64).reshape(len(put_in), kinds).T,
        lazy=np.array([one.lazy for one in put_in], dtype=np.int64),
    )


def with_row(entries: Entries, row: Row) -> Entries:
    """The entries with a row put in behind all others."""
    kinds = len(row.lower) if row.lazy < 0 else len(entries.lower)
    lower = row.lower if row.lazy < 0 else np.full(kinds, np.nan)
    before = entries.lower if len(entries.lower) else np.full((kinds, len(entries.lazy)), np.nan)
    return replace(
        entries,
        height=entries.height + 1,
        row=np.concatenate([entries.row, np.full(len(row.column), entries.height)]),
        column=np.concatenate([entries.column, row.column]),
        value=np.concatenate([entries.value, row.value]),
        past_row=np.concatenate([entries.past_row, np.full(len(row.before.column), entries.height)]),
        past_column=np.concatenate([entries.past_column, row.before.column]),
        past_value=np.concatenate([entries.past_value, row.before.value]),
        lower=np.column_stack([before, lower]),
        lazy=np.append(entries.lazy, row.lazy),
    )


@dataclass(frozen=True)
class Sheet:
    """A window ready for the solver.

    stack, when, own, put_in : what it is of ; entries : of all its rows and columns ; lp : in the solver's own form
    looks, known : sides that are looked at, and what training found: sides, basis, its rows
    """

    stack: Stack
    when: Calendar
    own: Window
    put_in: tuple[Row, ...]
    entries: Entries
    lp: highspy.HighsLp
    looks: I64 | None
    known: tuple[tuple[F64, highspy.HighsBasis, int], ...]


def sheet(stack: Stack, when: Calendar, own: Window, put_in: Sequence[Row] = (), pasts: Pasts | None = None) -> Sheet:
    """A window ready for the solver.

    Args:
        stack: whose first block it is of.
        when: its calendar.
        own: the window.
        put_in: rows put into it.
        pasts: answers of training.
    """
    entries = entries_of(own, put_in)
    known = (
        ()
        if pasts is None
        else tuple(
            (sides, basis_of(columns, rows, entries.height), entries.height)
            for sides, columns, rows in zip(pasts.sides, pasts.columns, pasts.rows, strict=True)
        )
    )
    looks = None if pasts is None else pasts.looks
    return Sheet(stack, when, own, tuple(put_in), entries, lp_of(own, entries), looks, known)


def lp_of(own: Window, entries: Entries) -> highspy.HighsLp:
    """A window in the solver's own form; sides and bounds are set with the first answer's."""
    import highspy

    start, index, value = by_columns(entries.row, entries.column, entries.value, entries.width)
    lp: Any = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = entries.width, entries.height
    lp.col_cost_, lp.col_lower_ = own.cost, np.zeros(entries.width)
    lp.col_upper_ = np.full(entries.width, INFINITY)
    lp.row_lower_, lp.row_upper_ = np.full(entries.height, -INFINITY), np.full(entries.height, INFINITY)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = start, index, value
    return lp  # type: ignore[no-any-return]
