"""What was eaten, folded from the flows that end at the table."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.larder.description import Larder
from yardland.ledger.arcs import Ledger

F64 = npt.NDArray[np.float64]


def energy_by_group_kcal(ledger: Ledger, larder: Larder) -> dict[str, F64]:
    """Energy that each food group put on the table, kcal [12]; what was lacking is under "emergency"."""
    row = larder.nutrients.index("energy_kcal")
    total: dict[str, F64] = {}
    for index, arc in enumerate(ledger.arcs):
        if arc.target != "people":
            continue
        if arc.kind == "emergency":
            group, per_kg = "emergency", np.full(12, larder.emergency_kcal_per_kg)
        else:
            good = larder.goods[arc.good]
            if good.per_kg is None:
                continue
            group, per_kg = good.group or "other", good.per_kg[row]
        total[group] = total.get(group, np.zeros(12)) + ledger.fresh_kg[index] * per_kg
    return total


def shares(by_group: dict[str, F64]) -> dict[str, float]:
    """Each group's share of the year's energy, greatest first."""
    sums = {group: float(np.sum(kcal)) for group, kcal in by_group.items()}
    whole = sum(sums.values())
    if whole <= 0:
        return {}
    return {group: value / whole for group, value in sorted(sums.items(), key=lambda item: -item[1]) if value > 0}
