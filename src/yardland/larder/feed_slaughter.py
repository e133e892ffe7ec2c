"""From live weight to plate: carcass, edible meat, bones, organs, fat, and what is left for the pit.

live = carcass + organs + fat + skin + leavings; carcass = meat + bones. Shares are those of the tables stock and coats.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.ledger.production import HerdNeed
from yardland.stock.coats import skin_of

if TYPE_CHECKING:
    from yardland.reference.tables import Tables

F64 = npt.NDArray[np.float64]


@dataclass(frozen=True)
class SlaughterParts:
    """Kilograms from one live weight.

    skin_kg : skin as flayed, or feathers; a pig keeps its own on the carcass
    leavings_kg : gut with its fill, blood, head and feet where they are not dressed
    """

    live_kg: float
    carcass_kg: float
    meat_kg: float
    bones_kg: float
    organs_kg: float
    fat_kg: float
    skin_kg: float
    leavings_kg: float


def slaughter_parts(tables: Tables, klass: str, live_kg: float) -> SlaughterParts:
    """What an animal of a class comes to, from its live weight.

    Raises:
        TableError: a class that the tables do not hold, or without a dressing share.
    """
    row = tables.row("stock", klass)
    carcass = live_kg * row.need("dressing_fraction")
    meat = carcass * row.need("edible_fraction_of_carcass")
    organs = live_kg * (row["offal_kg_per_kg_live"] or 0.0)
    fat = live_kg * (row["fat_kg_per_kg_live"] or 0.0)
    skin = live_kg * skin_of(tables, klass)[1]
    return SlaughterParts(
        live_kg, carcass, meat, carcass - meat, organs, fat, skin, live_kg - carcass - organs - fat - skin
    )


def slaughter_leavings_kg(tables: Tables, herd: HerdNeed) -> F64:
    """Leavings of the animals of a class that are killed in each month, fresh kg [12], told from their carcasses."""
    row = tables.row("stock", herd.klass)
    carcass = np.asarray(herd.products.get(row.text("meat_good"), np.zeros(12)), dtype=np.float64)
    dressing = row["dressing_fraction"]
    if not dressing:
        return np.zeros(12)
    taken = dressing + (row["offal_kg_per_kg_live"] or 0.0) + (row["fat_kg_per_kg_live"] or 0.0)
    taken += skin_of(tables, herd.klass)[1]
    return np.asarray(carcass / dressing * max(1.0 - taken, 0.0))
