"""Leavings beside harvests that nobody ate: how much of them lies on the beds, with its nitrogen and carbon."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.growth.fertility.figures import fertility_figure
from yardland.larder.feed_leavings import STOOD
from yardland.larder.plan import Plan
from yardland.reference import Tables

F64 = npt.NDArray[np.float64]
BESIDE = "leavings:"
"""Begins the account of what a harvest leaves (`larder.feed_leavings`)."""
PROTEIN_PER_N = 6.25


@dataclass(frozen=True)
class LeftLying:
    """One kind of leavings, fresh kg by larder month [12]: beside the harvests, and eaten by stock.

    n_kg, c_kg : nitrogen and carbon of what is left of it in the year
    """

    kg: F64
    eaten_kg: F64
    n_kg: float
    c_kg: float

    @property
    def left_kg(self) -> float:
        """What nobody ate in the year, fresh kg."""
        return float(np.sum(self.kg - self.eaten_kg))


def left_lying(plan: Plan, tables: Tables) -> dict[str, LeftLying]:
    """Good -> what lay beside the harvests of the year and what of it was eaten.

    What is left stays on the bed on which it grew; the soil's account has it among the tops of the crop.

    Raises:
        TableError: leavings that are no good, or no feed.
    """
    beside: dict[str, F64] = {}
    for item in plan.larder.production.gathered:
        if item.account.startswith(BESIDE):
            beside[item.good] = beside.get(item.good, np.zeros(12)) + item.fresh_kg
    standing: dict[str, F64] = {}
    for one in plan.larder.production.grazing:
        if one.account.startswith(STOOD):
            fraction = tables.row("goods", one.good).need("dm_fraction")
            standing[one.good] = standing.get(one.good, np.zeros(12)) + one.dm_kg / fraction
    found = {}
    for good in dict.fromkeys((*beside, *standing)):
        carried, stood = beside.get(good, np.zeros(12)), standing.get(good, np.zeros(12))
        eaten = np.minimum(plan.total("feed", good), carried) + np.minimum(plan.total("graze", good), stood)
        kg, row = carried + stood, tables.row("goods", good)
        dm_kg = float(np.sum(kg - eaten)) * row.need("dm_fraction")
        protein = (tables.row("feeds", row.text("feed"))["cp_g_kgdm"] or 0.0) / 1000.0
        carbon = dm_kg * fertility_figure(tables, "plant_c_share")
        found[good] = LeftLying(kg, eaten, dm_kg * protein / PROTEIN_PER_N, carbon)
    return found
