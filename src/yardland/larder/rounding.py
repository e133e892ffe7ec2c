"""What the solver's rounding leaves in an account's month is put right, so that the books close to the last digits.

A solver keeps a row to an absolute tolerance. Where tons cancel (a flock that starves gives no meat), that leaves
less than a microgram which comes from nowhere, and nothing else may be in that account at all.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from yardland.ledger.arcs import Arc

F64 = npt.NDArray[np.float64]
ROUNDING = 1e-9
"""Greatest miss of an account's month, kg and as a share of what goes through, that counts as the solver's rounding."""
DUST_KG = 1e-10
"""What a column moves less than is the solver's, not the plan's: a ten-thousandth of a milligram."""
EXACT = 1e-13
"""Share of what goes through under which a miss is that of adding up."""
ENDS = {"store:": ("spoil", "take"), "kitchen:": ("eat", "trim", "sell", "sow", "feed")}
"""Kinds of flow that take up the rounding; of a store's into a kitchen too, so that stores come first."""


def close_accounts(
    arcs: tuple[Arc, ...], fresh_kg: F64, accounts: tuple[str, ...], opening_kg: F64, closing_kg: F64
) -> F64:
    """The flows with each account's rounding put to what leaves it; a greater miss stays, and the law finds it out.

    Args:
        arcs: every flow between kitchen, stores, herds, people and outside.
        fresh_kg: float64 [arc, month].
        accounts: kitchens and stores.
        opening_kg: float64 [account, month], what lies there as the month begins.
        closing_kg: float64 [account, month], what lies there as it ends.

    Returns:
        float64 [arc, month].
    """
    flows = fresh_kg.copy()
    into: dict[str, list[int]] = defaultdict(list)
    out: dict[str, list[int]] = defaultdict(list)
    for index, arc in enumerate(arcs):
        into[arc.target].append(index)
        out[arc.source].append(index)
    for prefix, kinds in ENDS.items():
        for row, account in enumerate(accounts):
            if account.startswith(prefix):
                coming = opening_kg[row] + flows[into[account]].sum(axis=0)
                going = closing_kg[row] + flows[out[account]].sum(axis=0)
                ends = [index for index in out[account] if arcs[index].kind in kinds]
                absorb(flows, ends, coming - going, coming + going)
    return flows


def absorb(flows: F64, ends: list[int], miss: F64, through: F64) -> None:
    """Put the miss of each month, where it is rounding, to the largest of the flows `ends`, which stays over zero."""
    rounding = (np.abs(miss) > EXACT * through) & (np.abs(miss) <= ROUNDING * (1.0 + through))
    for month in np.flatnonzero(rounding) if ends else ():
        largest = ends[int(np.argmax(flows[ends, month]))]
        flows[largest, month] = max(flows[largest, month] + miss[month], 0.0)


def swept(x: F64, flows: Iterable[list[tuple[int, float]]]) -> F64:
    """The solver's columns without dust: nothing under zero, and nothing that moves less than DUST_KG.

    Args:
        x: float64 [column], of which none has a lower bound but zero.
        flows: for each flow, its (column, kg per unit); a column in none of them counts as kilograms.
    """
    moves_kg = np.ones(len(x))
    for terms in flows:
        for column, kg in terms:
            moves_kg[column] = max(moves_kg[column], abs(kg))
    return np.where(x * moves_kg < DUST_KG, 0.0, x)
