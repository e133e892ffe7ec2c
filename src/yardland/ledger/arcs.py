"""Accounts, arcs between them, and the one incidence matrix that the law of conservation is written with.

An *account* is a place where matter can be ("store:potato.root_cellar", "people", "herd:hens.laying_hen", "sky",
"soilair", "outside", "emergency", "kitchen", "seed", "heap"). An *arc* carries one good from one account to another.
The law: closing - opening = A @ flows, for every account.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

BOUNDLESS = ("sky", "soilair", "outside", "emergency", "people", "seed", "heap")
"""Accounts whose stock is not counted: matter comes from them or goes to them for good (within a year)."""


KINDS = (
    "grow", "gather", "graze", "feed", "give", "drink", "manure", "breathe", "put_by", "take", "make", "eat", "sow", "buy",
    "sell", "trim", "spoil", "emergency",
)  # fmt: skip
"""What arcs do; "give" is products of animals, "take" from the shelf, "trim" what is cut away before it is put by."""


@dataclass(frozen=True, slots=True)
class Arc:
    """One way for a good from an account to another; `kind` is one of KINDS."""

    source: str
    target: str
    good: str
    kind: str


@dataclass(frozen=True)
class Ledger:
    """Every flow of a larder year.

    fresh_kg, dm_kg : float64 [arc, month]
    accounts : names in the order of the rows of `incidence`
    opening_kg, closing_kg : float64 [account, month], fresh mass in the accounts that hold stock (others are 0)
    """

    arcs: tuple[Arc, ...]
    fresh_kg: npt.NDArray[np.float64]
    dm_kg: npt.NDArray[np.float64]
    accounts: tuple[str, ...]
    opening_kg: npt.NDArray[np.float64]
    closing_kg: npt.NDArray[np.float64]

    def incidence(self) -> npt.NDArray[np.int8]:
        """A[account, arc]: -1 where the arc leaves, +1 where it arrives."""
        return incidence(self.arcs, self.accounts)


def incidence(arcs: tuple[Arc, ...], accounts: tuple[str, ...]) -> npt.NDArray[np.int8]:
    """The incidence matrix A[account, arc] in {-1, 0, 1}."""
    row = {name: index for index, name in enumerate(accounts)}
    matrix = np.zeros((len(accounts), len(arcs)), dtype=np.int8)
    for column, arc in enumerate(arcs):
        matrix[row[arc.source], column] -= 1
        matrix[row[arc.target], column] += 1
    return matrix
