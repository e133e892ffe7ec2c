"""A freezer that thaws along a chain: a share of all that lies frozen as a month begins is gone before the month is decided.

Of what was put by in the year, a column of its own is held at what is lost: it was put by and is never taken. What lay there
as the year opened is held by rows over its takings, whose sides are lowered by the share of what is not taken yet. A shelf
of mixed ages loses it in its balance of the month.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larder.power import COLD
from yardland.larderyears.frame import NEVER_CLOSED, Frame
from yardland.larderyears.hot import Hot
from yardland.larderyears.stack import Stack

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Held:
    """A row over the takings of one batch: its place, the month it was put by in (-1 before the year), its columns.

    column : places ; kg : kept kilograms of a unit ; decided : month of each
    thawed : place of the column of what is lost of it, -1 where the row's sides are lowered instead
    """

    row: int
    made: int
    thawed: int
    column: I64
    kg: F64
    decided: I64


@dataclass(frozen=True)
class Balance:
    """A shelf's row of a month: place of the row, of what was there a month ago, and the share of it that is left."""

    row: int
    month: int
    before: int
    left: float


class Thaw:
    """Looks up once what lies frozen in the first block of a stack."""

    def __init__(self, frame: Frame, stack: Stack) -> None:
        """Rows of batches, openings and shelves whose place is a freezer."""
        made = dict(zip(frame.laid_row.tolist(), frame.laid_month.tolist(), strict=True))
        made |= dict.fromkeys(frame.opening_row.tolist(), NEVER_CLOSED)
        lost_in = dict(zip(frame.laid_row.tolist(), frame.thawed.tolist(), strict=True))
        frozen = {one.column for one in frame.build.batches if one.keeping.place == COLD}
        entries: dict[int, list[tuple[int, float]]] = {}
        matrix = frame.matrix
        held = np.isin(matrix.row, np.array(list(made), dtype=np.int64)) & (stack.row_at[matrix.row] >= 0)
        for row, column, kg in zip(matrix.row[held], matrix.column[held], matrix.value[held], strict=True):
            if int(column) in frozen and stack.column_at[column] >= 0:
                entries.setdefault(int(row), []).append((int(column), float(kg)))
        self.held = tuple(
            held_row(frame, stack, (row, made[row], lost_in.get(row, -1)), columns)
            for row, columns in sorted(entries.items())
        )
        self.balances = tuple(balances(frame, stack))

    def strike(self, hot: Hot, month: int, share: float) -> float:
        """Lower the sides by a share of all that lies frozen as a month begins; says how many kilograms that was.

        Args:
            hot: the program, every month before held.
            month: which begins.
            share: lost, 0-1.
        """
        if share <= 0.0:
            return 0.0
        lost = 0.0
        for one in self.held:
            if one.made < month:
                lost += lose(hot, one, month, share)
        for balance in self.balances:
            if balance.month == month:
                gone = np.array([share * balance.left * hot.lower[balance.before]])
                lost += float(gone[0])
                hot.bound_rows(np.array([balance.row]), gone, gone)
        return lost


def lose(hot: Hot, one: Held, month: int, share: float) -> float:
    """Take a share of what is left of a batch as a month begins; says how many kilograms that was."""
    before = one.decided < month
    taken = float(hot.lower[one.column[before]] @ one.kg[before])
    gone = float(hot.lower[one.thawed]) if one.thawed >= 0 else 0.0
    lower, upper = float(hot.row_lower[one.row]), float(hot.row_upper[one.row])
    lost = share * max((lower + upper) / 2.0 - taken - gone, 0.0)
    if one.thawed >= 0:
        hot.bound_columns(np.array([one.thawed]), np.array([gone + lost]), np.array([gone + lost]))
    else:
        hot.bound_rows(np.array([one.row]), np.array([lower - lost]), np.array([upper - lost]))
    return lost


def held_row(frame: Frame, stack: Stack, held: tuple[int, int, int], columns: list[tuple[int, float]]) -> Held:
    """A row in the places of a stack, from (row, month put by, column of what is lost) of the frame."""
    row, made, thawed = held
    of = np.array([column for column, _ in columns], dtype=np.int64)
    lost_in = int(stack.column_at[thawed]) if thawed >= 0 else -1
    return Held(
        int(stack.row_at[row]), made, lost_in, stack.columns(of), np.array([kg for _, kg in columns]), frame.decided[of]
    )


def balances(frame: Frame, stack: Stack) -> list[Balance]:
    """Balances of the frozen shelves from the second month on; what lies there as the year opens is held by rows of its own."""
    rows = {name: row for row, name in enumerate(frame.row_names)}
    found = []
    for shelf in frame.build.shelves:
        if shelf.keeping.place != COLD:
            continue
        for month in range(1, MONTHS):
            row = rows[f"shelf.{shelf.keeping.good}.{shelf.keeping.method}.{frame.build.month(month)}"]
            before = int(stack.column_at[shelf.on_shelf[month - 1]])
            if stack.row_at[row] >= 0 and before >= 0:
                left = 1.0 - shelf.keeping.loss_in(month)
                found.append(Balance(int(stack.row_at[row]), month, before, left))
    return found
