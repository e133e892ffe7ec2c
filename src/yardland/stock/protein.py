"""Crude protein needs of one animal for one day, in grams."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.ledger.units import MJ_PER_KCAL
from yardland.stock.needs import metabolic_kg075

F64 = npt.NDArray[np.float64]
Numbers = npt.ArrayLike

METABOLISABLE_PER_CRUDE = 0.66
"""Metabolisable protein from a unit of crude protein in a mixed ration (AFRC 1993 rations; from memory)."""


def ewe_maintenance_g_d(weight_kg: Numbers) -> F64:
    """Ewe at rest: 50 + 0.9 W.

    The five rows of NRC Nutrient Requirements of Sheep 1985, Table 1 (50 to 90 kg: 95, 104, 113, 122, 131 g) lie on
    this line exactly.
    """
    return np.asarray(50.0 + 0.9 * np.asarray(weight_kg, dtype=np.float64))


SHEEP_MILK_G_KG = 120.0
"""Crude protein that a kilogram of ewe's milk asks of her (NRC Sheep 1985, milking rows; from memory)."""


def goat_g_d(energy_mj_d: Numbers, milk_kg_d: Numbers, milk_energy_mj_d: Numbers) -> F64:
    """Goat: 32 g total protein per Mcal DE for all but milk, 72 g per kg milk.

    NRC Nutrient Requirements of Goats 1981 (72 g from memory); DE = ME / 0.82.
    """
    body_mj = np.asarray(energy_mj_d, dtype=np.float64) - np.asarray(milk_energy_mj_d, dtype=np.float64)
    per_mj = 32.0 / 0.82 / (1000.0 * MJ_PER_KCAL)
    return np.asarray(per_mj * body_mj + 72.0 * np.asarray(milk_kg_d, dtype=np.float64))


def ruminant_basal_metabolisable_g_d(weight_kg: Numbers) -> F64:
    """Metabolisable protein at rest, 2.19 g per kg^0.75 (AFRC 1993 and 1998)."""
    return np.asarray(2.19 * metabolic_kg075(weight_kg))


def cattle_g_d(weight_kg: Numbers, milk_kg_d: Numbers, milk_protein_g_kg: float) -> F64:
    """Cow: (2.30 W^0.75 + milk x 0.95 P / 0.68) / 0.66.

    AFRC 1993: basal 2.19 with 0.11 for hair and scurf, true protein 0.95 of milk crude protein, used at 0.68; crude
    from metabolisable by `METABOLISABLE_PER_CRUDE` (from memory).
    """
    basal = ruminant_basal_metabolisable_g_d(weight_kg) + 0.11 * metabolic_kg075(weight_kg)
    milk = np.asarray(milk_kg_d, dtype=np.float64) * 0.95 * milk_protein_g_kg / 0.68
    return np.asarray((basal + milk) / METABOLISABLE_PER_CRUDE)


def pig_grower_g_mj(weight_kg: Numbers) -> F64:
    """Grams of crude protein per MJ ME for a growing pig.

    NRC Swine 1998 (from memory): 18.0 % of 1855 g and 6050 kcal at 20-50 kg, 15.5 % of 2575 g and 8410 kcal at 50-80,
    13.2 % of 3075 g and 10030 kcal at 80-120; lighter pigs as the first, heavier as the last.
    """
    bands = np.array([180.0 * 1.855 / 6050.0, 155.0 * 2.575 / 8410.0, 132.0 * 3.075 / 10030.0]) / MJ_PER_KCAL
    return np.asarray(bands[np.searchsorted([50.0, 80.0], np.asarray(weight_kg, dtype=np.float64))])


RABBIT_DIETS = {
    "growth": (2500.0, 16.0),
    "maintenance": (2100.0, 12.0),
    "gestation": (2500.0, 15.0),
    "lactation": (2500.0, 17.0),
}
"""DE (kcal/kg) and crude protein (%) of diets: NRC Nutrient Requirements of Rabbits 1977, Table 1, p. 14."""


def rabbit_g_mj(state: str) -> float:
    """Grams of crude protein per MJ DE for a rabbit in `state` (a key of `RABBIT_DIETS`)."""
    kcal_kg, protein_pct = RABBIT_DIETS[state]
    return protein_pct * 10.0 / (kcal_kg * MJ_PER_KCAL)
