"""Answers of a window that were found before: for which sides, and in which basis, so that the next goes on from the one nearest to it.

A basis is good for the sides that are near those it was found for. The last year's are often not: a rotation has other crops
each year, and a full store comes after a poor one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    import highspy

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
I8 = npt.NDArray[np.int8]
BASIC = 1
"""The solver's number for a basic row."""


@dataclass(frozen=True)
class Pasts:
    """Past answers of a window, plain arrays.

    looks : places of the sides that ever changed ; sides [answer, place] : what they were
    columns, rows : of each answer's basis the statuses ; of rows that were put in later there is none
    """

    looks: I64
    sides: F64
    columns: tuple[I8, ...]
    rows: tuple[I8, ...]


def statuses_of(basis: highspy.HighsBasis) -> tuple[I8, I8]:
    """Column and row statuses of a basis as the solver's numbers."""
    return (
        np.array([int(one) for one in basis.col_status], dtype=np.int8),
        np.array([int(one) for one in basis.row_status], dtype=np.int8),
    )


def basis_of(columns: I8, rows: I8, height: int) -> highspy.HighsBasis:
    """A basis in the solver's own form; rows of the height that it does not know are basic."""
    import highspy

    kinds = [highspy.HighsBasisStatus(number) for number in range(5)]
    basis = highspy.HighsBasis()
    basis.col_status = [kinds[one] for one in columns.tolist()]
    basis.row_status = [*[kinds[one] for one in rows.tolist()], *[kinds[BASIC]] * (height - len(rows))]
    basis.valid = True
    return basis


def with_rows(basis: highspy.HighsBasis, height: int, known: int) -> highspy.HighsBasis:
    """A basis of a window to which rows were put in since it knew `known`: they are basic."""
    if known == height:
        return basis
    import highspy

    later = highspy.HighsBasis()
    later.col_status = basis.col_status
    later.row_status = [*basis.row_status, *[highspy.HighsBasisStatus(BASIC)] * (height - known)]
    later.valid = True
    return later


class Memory:
    """The past answers that a solver may go on from: those of training, and its own."""

    def __init__(self, looks: I64 | None = None, known: Sequence[tuple[F64, highspy.HighsBasis, int]] = ()) -> None:
        """`known` : sides at the places `looks`, bases, and how many rows each has; of None all sides are looked at."""
        self.looks = looks
        self.sides = [one for one, _, _ in known]
        self.bases = [(basis, height) for _, basis, height in known]
        self.last = -1
        self._stood: F64 | None = np.array(self.sides) if known else None

    def nearest(self, sides: F64) -> int:
        """Number of the answer whose sides are nearest, by the sum of the differences; -1 if there is none."""
        if not self.sides:
            return -1
        looked = self.looked(sides)
        if self._stood is None or self._stood.shape != (len(self.sides), len(looked)):
            self._stood = np.zeros((len(self.sides), len(looked)))
            for number, one in enumerate(self.sides):
                self._stood[number, : len(one)] = one
        return int(np.argmin(np.abs(self._stood - looked).sum(axis=1)))

    def basis(self, number: int, height: int) -> highspy.HighsBasis:
        """The basis of an answer, for so many rows."""
        basis, known = self.bases[number]
        if known != height:
            self.bases[number] = with_rows(basis, height, known), height
        return self.bases[number][0]

    def keep(self, sides: F64, basis: highspy.HighsBasis, height: int) -> None:
        """Remember an answer."""
        self.sides.append(self.looked(sides))
        self.bases.append((basis, height))
        self.last = len(self.bases) - 1

    def looked(self, sides: F64) -> F64:
        """The sides that are looked at."""
        return sides if self.looks is None else sides[self.looks]

    def pasts(self) -> Pasts:
        """All that is remembered, as plain arrays; rows that were put in later had no sides yet."""
        whole = np.zeros((len(self.sides), max(len(one) for one in self.sides)))
        for number, one in enumerate(self.sides):
            whole[number, : len(one)] = one
        looks = np.flatnonzero((whole != whole[0]).any(axis=0))
        columns, rows = zip(*(statuses_of(basis) for basis, _ in self.bases), strict=True)
        return Pasts(looks if self.looks is None else self.looks[looks], whole[:, looks], columns, rows)
