"""How much of what was eaten came over the fence: the terms on which a year is fed."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.larder.description import Larder
from yardland.ledger.arcs import Ledger

F64 = npt.NDArray[np.float64]
ROUNDS = 40
"""Times that shares are passed on along the arcs: more than the longest way from fence to plate."""


def bought_share_of_accounts(ledger: Ledger) -> F64:
    """Share of what went through each account in the year that was bought, 0-1, [account].

    Each account mixes what it takes in; herds hand on nothing of what their feed was (eggs of bought grain count as the
    holding's own).
    """
    row = {name: index for index, name in enumerate(ledger.accounts)}
    year_kg = ledger.fresh_kg.sum(axis=1)
    source = np.array([row[arc.source] for arc in ledger.arcs], dtype=np.int64)
    target = np.array([row[arc.target] for arc in ledger.arcs], dtype=np.int64)
    over_the_fence = np.array([arc.kind == "buy" for arc in ledger.arcs], dtype=np.bool_)
    of_herds = np.array([arc.source.startswith("herd:") for arc in ledger.arcs], dtype=np.bool_)
    taken = np.bincount(target, weights=year_kg, minlength=len(row))
    share = np.zeros(len(row))
    for _ in range(ROUNDS):
        part = np.where(over_the_fence, 1.0, np.where(of_herds, 0.0, share[source]))
        bought = np.bincount(target, weights=year_kg * part, minlength=len(row))
        share = np.divide(bought, taken, out=np.zeros_like(bought), where=taken > 0)
    return share


def bought_energy_share(ledger: Ledger, larder: Larder) -> float:
    """Share of the energy eaten in the year that was bought as food, 0-1."""
    energy = larder.nutrients.index("energy_kcal")
    share = bought_share_of_accounts(ledger)
    row = {name: index for index, name in enumerate(ledger.accounts)}
    whole = bought = 0.0
    for index, arc in enumerate(ledger.arcs):
        if arc.target != "people" or arc.kind != "eat":
            continue
        per_kg = larder.goods[arc.good].per_kg
        if per_kg is not None:
            kcal = float(np.sum(ledger.fresh_kg[index] * per_kg[energy]))
            whole += kcal
            bought += kcal * share[row[arc.source]]
    return bought / whole if whole > 0 else 0.0


@dataclass
class Fed:
    """Dry matter that a group ate in the year, kg, and what of it was bought as feed, by good."""

    eaten_kg: float = 0.0
    bought_kg: dict[str, float] = field(default_factory=dict)


def fed_by_group(ledger: Ledger) -> dict[str, Fed]:
    """Group -> what it ate and what of it was bought; what animals give (milk for calves) counts as the holding's own."""
    share = bought_share_of_accounts(ledger)
    row = {name: index for index, name in enumerate(ledger.accounts)}
    groups: dict[str, Fed] = {}
    for index, arc in enumerate(ledger.arcs):
        if arc.kind in ("feed", "graze"):
            fed = groups.setdefault(arc.target.removeprefix("herd:").partition(".")[0], Fed())
            dm_kg = float(ledger.dm_kg[index].sum())
            part = 0.0 if arc.source.startswith("herd:") else float(share[row[arc.source]])
            fed.eaten_kg += dm_kg
            fed.bought_kg[arc.good] = fed.bought_kg.get(arc.good, 0.0) + dm_kg * part
    return groups


def feed_dm_kg(ledger: Ledger) -> tuple[float, float]:
    """Dry matter that all animals ate in the year, and the part of it that was bought as feed, kg."""
    groups = fed_by_group(ledger).values()
    return sum(fed.eaten_kg for fed in groups), sum(sum(fed.bought_kg.values()) for fed in groups)
