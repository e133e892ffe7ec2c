"""Litres that the year's stores take, by kind of place, folded from what lies in them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.ledger.arcs import Ledger
from yardland.reference import Tables

F64 = npt.NDArray[np.float64]


def store_litres(ledger: Ledger, tables: Tables) -> dict[str, F64]:
    """Kind of place -> litres taken at each month's end, [12]; what stays in the ground takes none."""
    taken: dict[str, F64] = {}
    for index, account in enumerate(ledger.accounts):
        key = account.removeprefix("store:")
        if key == account or not tables.has("stores", key):
            continue
        row = tables.row("stores", key)
        litres = row["litres_per_kg"]
        if litres:
            place = row.text("place")
            taken[place] = taken.get(place, np.zeros(12)) + ledger.closing_kg[index] * litres
    return taken
