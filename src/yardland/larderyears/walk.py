"""A chain of larder years decided month by month, by what is known: stores, this month's harvest, the season's normal.

At the end of each month the program is solved from the month on, with what the month has brought and, for all later
months, the normal times a hedge; what it says of the month is done, the rest is thought over again a month later.
docs/years-policy.md has the whole of it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larderyears.board import Sides
from yardland.larderyears.frame import OPEN, Frame
from yardland.larderyears.hot import EVERY, Hot, eased
from yardland.larderyears.household import Household, Seats
from yardland.larderyears.hunger import Hunger, own_copy
from yardland.larderyears.sides import HANDS, THAWED, Brought, month_sides, sides_at
from yardland.larderyears.stack import Stack
from yardland.larderyears.thaw import Thaw

if TYPE_CHECKING:
    import highspy

    from yardland.larderyears.windows import View

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
INFINITY = float("inf")
SLACK = 1e-5
"""How far the rows of a month that is over are opened, relative to their size: what was done holds them to the solver's rounding."""
DUST = 1e-9
"""What is decided under this is the solver's rounding."""
LAID_SLACK = 1e-6
"""How far the sum of a batch's takings is opened with each month, far over what the solver may miss,
so that its roundings never add up to more than the row allows."""


@dataclass(frozen=True)
class Closing:
    """Rows and columns of the first block that a month's end touches, in the places of the stack.

    columns : decided in the month ; rows : closed by it ; laid : rows that hold the batches put by in it
    entry_row, entry_column, entry_value : matrix of `rows`, by their place in it
    """

    month: int
    columns: I64
    rows: I64
    laid: I64
    entry_row: I64
    entry_column: I64
    entry_value: F64

    def done(self, lower: F64, upper: F64) -> tuple[F64, npt.NDArray[np.bool_]]:
        """What held columns make of each of `rows`, and whether it has no other columns, from all columns' bounds."""
        kg = lower[self.entry_column]
        open_to = np.bincount(self.entry_row, weights=kg != upper[self.entry_column], minlength=len(self.rows))
        held = open_to == 0
        kg = np.where(held[self.entry_row], kg, 0.0)
        did = np.bincount(self.entry_row, weights=self.entry_value * kg, minlength=len(self.rows))
        return np.asarray(did, dtype=np.float64), np.asarray(held)


@dataclass(frozen=True)
class Policy:
    """A stack with what changes in it month by month, ready to walk chains; plain arrays, so that it travels to workers.

    expected : the normal, times the hedge, a year for each of the rotation, or of the chain where it begins as it stands
    household : needs and plates of each year of the chain, where people grow older ; basis : column and row statuses that a chain begins with
    view : windows of a few months with what comes after them, through which the policy is walked; None: the whole program is kept hot
    """

    frame: Frame
    stack: Stack
    expected: Brought
    basis: tuple[tuple[int, ...], tuple[int, ...]] | None = None
    household: Household | None = None
    view: View | None = None


@dataclass(frozen=True)
class Walked:
    """What was done in a chain.

    x [year, column of the stack's block] : what each column of the first block was when its month was over
    opening_kg [year + 1, opening] : what lay there as each year opened, and after the last
    came : what its years brought, less what the hunger of stock cost the months after
    thawed_kg [year, 12] : what was lost of what lay frozen
    laid_kg [year, batch] : what was put by, in the order of the frame's batches
    pivots, solves : of the solver
    """

    x: F64
    opening_kg: F64
    came: Brought
    thawed_kg: F64
    laid_kg: F64
    pivots: int
    solves: int


class Walker:
    """Walks chains under one policy."""

    def __init__(self, policy: Policy, solver: Callable[[Stack, highspy.HighsBasis | None], Hot] = Hot) -> None:
        """Look up the rows and columns of each month."""
        frame, stack = policy.frame, policy.stack
        self.policy, self.solver = policy, solver
        self.sides = [
            [month_sides(frame, stack, month, block) for month in range(MONTHS)] for block in range(stack.blocks)
        ]
        self.closing = [closing(frame, stack, month) for month in range(MONTHS)]
        self.laid_at = [np.flatnonzero(laid_in(frame, stack, month)) for month in range(MONTHS)]
        self.first = np.arange(stack.width)
        self.first_rows = np.arange(stack.height)
        self.openings = np.flatnonzero(stack.row_at[frame.opening_row] >= 0)
        self.opening = stack.rows(frame.opening_row[self.openings])
        there = stack.column_at[frame.left.column] >= 0
        self.left = stack.columns(frame.left.column[there])
        self.left_kg, self.left_opening = frame.left.kg[there], frame.left.opening[there]
        self.seats = (
            [] if policy.household is None else [Seats(policy.household, stack, b) for b in range(stack.blocks)]
        )
        self.hunger, self.thaw = Hunger(frame, stack), Thaw(frame, stack)

    def walk(self, years: Brought, opening_kg: F64, first_turn: int = 0) -> Walked:
        """One chain.

        Args:
            years: what its years bring, in order; a month's numbers are read when the month is over, not before.
            opening_kg: [opening], what lies there as it begins.
            first_turn: which year of the rotation, from 0, its first is.

        Raises:
            LarderError: a month's program was not solved as it must be.
        """
        stack = self.policy.stack
        hot = self.solver(stack, as_basis(self.policy.basis))
        x = np.zeros((len(years), stack.width))
        opened = np.zeros((len(years) + 1, len(opening_kg)))
        opened[0] = opening_kg
        came, lacked = own_copy(years), self.hunger.none()
        thawed_kg = np.zeros((len(years), MONTHS))
        laid_kg = np.zeros((len(years), len(self.policy.frame.laid_row)))
        for year in range(len(years)):
            self.open_year(hot, opened[year], first_turn + year)
            for month in range(MONTHS):
                self.hunger.lower(came, year, month, lacked)
                self.reveal(hot, 0, came, year, month)
                thawed_kg[year, month] = self.thaw.strike(hot, month, float(came.mishaps[year, THAWED, month]))
                answer = hot.solve(month)
                if month == 0:
                    hot.remember()
                laid_kg[year, self.laid_at[month]] = self.close_month(hot, self.closing[month], answer)
                done = self.closing[month].columns
                x[year, done] = answer[done]
                lacked = self.hunger.lacked(answer, came.asked[year, :, :, month], month)
            open_columns = self.first[self.policy.frame.decided[stack.column_at >= 0] == OPEN]
            x[year, open_columns] = np.maximum(answer[open_columns], hot.lower[open_columns])
            left = np.maximum(x[year, self.left], 0.0) * self.left_kg
            opened[year + 1] = np.bincount(self.left_opening, weights=left, minlength=len(opening_kg))
        return Walked(x, opened, came, thawed_kg, laid_kg, hot.pivots, hot.solves)

    def expect(self, hot: Sides, block: int, turn: int) -> None:
        """Set a block's sides to the normal of a year of the rotation."""
        at = turn % len(self.policy.expected)
        for month in range(MONTHS):
            self.reveal(hot, block, self.policy.expected, at, month)

    def open_year(self, hot: Hot, opening_kg: F64, turn: int) -> None:
        """Set the first block back to a year of which nothing has happened but what lies on the shelves."""
        stack = self.policy.stack
        hot.recall()
        hot.bound_columns(self.first, stack.lower[self.first], stack.upper[self.first])
        hot.bound_rows(self.first_rows, stack.row_lower[self.first_rows], stack.row_upper[self.first_rows])
        hot.bound_rows(self.opening, opening_kg[self.openings], opening_kg[self.openings])
        for block in range(stack.blocks):
            self.seat(hot, block, turn + block)
            self.expect(hot, block, turn + block)
        hot.ease_added(EVERY, 0.0)

    def seat(self, hot: Sides, block: int, year: int) -> None:
        """Set a block's needs and plates to those of a year of the chain: ages are known beforehand."""
        if self.seats:
            self.seats[block].set(hot, year)

    def reveal(self, hot: Sides, block: int, year: Brought, at: int, month: int) -> None:
        """Set the sides of a month to what it brings in year `at` of some years."""
        sides = self.sides[block][month]
        growth_kg_dm, stands = year.growth_kg_dm[at, :, month], year.growth_kg_dm[at, :, month].copy()
        if (
            month > 0
        ):  # no grass stands over the year's end in the block, and the year's own last month is not known yet
            stands += self.policy.frame.carry * year.growth_kg_dm[at, :, month - 1]
        hot.bound_rows(sides.rows, *sides_at(sides, year.arriving_kg[at, :, month]))
        hot.bound_columns(sides.cut_column, np.zeros(len(sides.cut_column)), sides.cut_window * stands[sides.cut_sward])
        hot.bound_rows(
            sides.mown_row, np.full(len(sides.mown_row), -INFINITY), sides.mown_window * stands[sides.mown_sward]
        )
        grazed = np.full(len(sides.graze_row), -INFINITY)
        hot.bound_rows(sides.graze_row, grazed, growth_kg_dm[sides.graze_sward])
        hot.bound_columns(sides.left_column, np.zeros(len(sides.left_column)), growth_kg_dm[sides.left_sward])
        lower, upper, most = sides.herds.at(year.asked[at, :, :, month], year.spared_kg[at, :, month])
        hot.bound_rows(sides.herds.row, lower, upper)
        hot.bound_columns(sides.herds.columns, np.zeros(len(most)), most)
        hands = sides.kitchen_most * year.mishaps[at, HANDS, month]
        hot.bound_rows(sides.kitchen_row, np.full(len(hands), -INFINITY), hands)

    def close_month(self, hot: Hot, closed: Closing, answer: F64) -> F64:
        """Hold what the month decided; its rows are met and ask no more. Says what was put by of each batch, kg."""
        done = np.clip(answer[closed.columns], hot.lower[closed.columns], hot.upper[closed.columns])
        done[done < DUST] = 0.0
        answer[closed.columns] = done
        hot.bound_columns(closed.columns, done, done)
        laid = np.zeros(0)
        if len(closed.laid):
            laid = np.maximum(self.policy.stack.activity(answer)[closed.laid], 0.0)
            hot.bound_rows(closed.laid, laid, laid)
        self.loosen(hot, closed)
        return laid

    def loosen(self, hot: Hot, closed: Closing) -> None:
        """Open by a hair all that a month has closed: what was done holds it, to the solver's rounding."""
        before = np.concatenate([self.opening, *[self.closing[month].laid for month in range(closed.month + 1)]])
        give = LAID_SLACK * (1.0 + np.abs(hot.row_upper[before]))
        hot.bound_rows(before, hot.row_lower[before] - give, hot.row_upper[before] + give)
        lower, upper = eased(hot.row_lower[closed.rows], hot.row_upper[closed.rows], SLACK)
        did, held = closed.done(hot.lower, hot.upper)
        # A row of 0 over large stores: what was done may miss it by more than its own size says, and binds no later month.
        hot.bound_rows(
            closed.rows, np.where(held, np.minimum(lower, did), lower), np.where(held, np.maximum(upper, did), upper)
        )
        hot.ease_added(closed.month, SLACK)


def closing(frame: Frame, stack: Stack, month: int) -> Closing:
    """What the end of a month touches in the first block."""
    columns = np.flatnonzero((frame.decided == month) & (stack.column_at >= 0))
    rows = np.flatnonzero((frame.row_month == month) & (stack.row_at >= 0))
    laid = frame.laid_row[laid_in(frame, stack, month)]
    places = stack.rows(rows)
    owner = np.repeat(np.arange(len(stack.start) - 1), np.diff(stack.start))
    at = np.full(stack.blocks * stack.height, -1, dtype=np.int64)
    at[places] = np.arange(len(places))
    mine = at[stack.index] >= 0
    return Closing(
        month,
        stack.columns(columns),
        places,
        stack.rows(laid),
        at[stack.index[mine]],
        owner[mine],
        stack.value[mine],
    )


def laid_in(frame: Frame, stack: Stack, month: int) -> npt.NDArray[np.bool_]:
    """Batches that are put by in a month and that the stack has, [batch]."""
    return np.asarray((frame.laid_month == month) & (stack.row_at[frame.laid_row] >= 0))


def started(policy: Policy, opening_kg: F64) -> Policy:
    """The policy with the basis that its chains begin with: that of a normal year from these stores."""
    walker = Walker(policy)
    hot = Hot(policy.stack)
    walker.open_year(hot, opening_kg, 0)
    hot.start()
    hot.optimum()
    return replace(policy, basis=statuses(hot.basis))


def as_basis(statuses: tuple[tuple[int, ...], tuple[int, ...]] | None) -> highspy.HighsBasis | None:
    """A basis in the solver's own form."""
    if statuses is None:
        return None
    import highspy

    basis = highspy.HighsBasis()
    basis.col_status = [highspy.HighsBasisStatus(status) for status in statuses[0]]
    basis.row_status = [highspy.HighsBasisStatus(status) for status in statuses[1]]
    basis.valid = True
    return basis


def statuses(basis: highspy.HighsBasis) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """A basis as plain numbers."""
    return tuple(int(one) for one in basis.col_status), tuple(int(one) for one in basis.row_status)
