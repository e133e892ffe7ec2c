"""Sides of rows and bounds of columns as far as they are known: of a program in its solver, or written down on a board."""

from __future__ import annotations

from typing import Protocol

import numpy as np
import numpy.typing as npt

from yardland.larderyears.stack import Stack

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]


class Sides(Protocol):
    """What knows the sides of a stack's rows and the bounds of its columns, and takes others.

    lazy_lower, lazy_upper : of rows that were left out
    """

    lower: F64
    upper: F64
    row_lower: F64
    row_upper: F64
    lazy_lower: F64
    lazy_upper: F64

    def bound_rows(self, rows: I64, lower: F64, upper: F64) -> None:
        """Set the sides of rows."""

    def bound_columns(self, columns: I64, lower: F64, upper: F64) -> None:
        """Set the bounds of columns."""


class Board:
    """Sides of rows and bounds of columns of a year's block, as far as they are known."""

    def __init__(self, stack: Stack, blocks: int = 1) -> None:
        """As the stack's first blocks have them."""
        columns, rows = blocks * stack.width, blocks * stack.height
        self.lower, self.upper = stack.lower[:columns].copy(), stack.upper[:columns].copy()
        self.row_lower, self.row_upper = stack.row_lower[:rows].copy(), stack.row_upper[:rows].copy()
        self.lazy_lower, self.lazy_upper = stack.lazy.lower.copy(), stack.lazy.upper.copy()

    def bound_rows(self, rows: I64, lower: F64, upper: F64) -> None:
        """Set the sides of rows."""
        self.row_lower[rows], self.row_upper[rows] = lower, upper

    def bound_columns(self, columns: I64, lower: F64, upper: F64) -> None:
        """Set the bounds of columns."""
        self.lower[columns], self.upper[columns] = lower, upper

    def take(self, other: Board) -> None:
        """Say what another says."""
        self.lower[:], self.upper[:] = other.lower, other.upper
        self.row_lower[:], self.row_upper[:] = other.row_lower, other.row_upper
        self.lazy_lower, self.lazy_upper = other.lazy_lower, other.lazy_upper
