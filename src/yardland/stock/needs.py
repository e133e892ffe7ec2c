"""Energy needs of one animal for one day, each species in its own system; the systems are never added across.

AMEn (poultry), ME (sheep, goats, cattle; pigs in their own ME) and DE (rabbits), all in MJ a day. Arguments may be
numbers or arrays that broadcast; weights are live weights in kg.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.ledger.units import MJ_PER_KCAL

F64 = npt.NDArray[np.float64]
Numbers = npt.ArrayLike


def metabolic_kg075(weight_kg: Numbers) -> F64:
    """Metabolic live weight W^0.75."""
    return np.asarray(np.asarray(weight_kg, dtype=np.float64) ** 0.75)


def amen_layer_mj_d(weight_kg: Numbers, temperature_c: Numbers, gain_g_d: Numbers, egg_mass_g_d: Numbers) -> F64:
    """Laying bird: AMEn (kcal/d) = W^0.75 (173 - 1.95 T) + 5.5 gain + 2.07 egg mass.

    National Research Council, Nutrient Requirements of Poultry, 9th rev. ed. 1994 (equation for laying hens, from
    memory). The temperature is held between -5 and 33 C: the equation was fitted to housed hens.
    """
    temperature = np.clip(np.asarray(temperature_c, dtype=np.float64), -5.0, 33.0)
    kcal = (
        metabolic_kg075(weight_kg) * (173.0 - 1.95 * temperature)
        + 5.5 * np.asarray(gain_g_d, dtype=np.float64)
        + 2.07 * np.asarray(egg_mass_g_d, dtype=np.float64)
    )
    return np.asarray(kcal * MJ_PER_KCAL)


def growing_mj_d(
    weight_kg: Numbers,
    gain_kg_d: Numbers,
    maintenance_mj_kg075: float,
    gain_mj_kg: float,
    gain_mj_kg_per_kg: float,
) -> F64:
    """Growing animal: k W^0.75 + gain (a + b W).

    The one form in which the tables give growing poultry (AMEn), pigs and calves (ME), rabbits (DE) and, with b = 0,
    lambs and kids. `k`, `a` (MJ per kg gained) and `b` (MJ per kg gained and kg live weight) come from the table.
    """
    weight = np.asarray(weight_kg, dtype=np.float64)
    gain = np.asarray(gain_kg_d, dtype=np.float64)
    return np.asarray(maintenance_mj_kg075 * metabolic_kg075(weight) + gain * (gain_mj_kg + gain_mj_kg_per_kg * weight))


def ewe_maintenance_mj_d(weight_kg: Numbers) -> F64:
    """Ewe at rest: 4.184 (1.0 + 0.02 W) MJ ME.

    The five rows of National Research Council, Nutrient Requirements of Sheep, 6th rev. ed. 1985, Table 1 (50 to
    90 kg: 2.0, 2.2, 2.4, 2.6, 2.8 Mcal) lie on this line exactly. Outside 40 to 110 kg it is an extrapolation.
    """
    return np.asarray(4.184 * (1.0 + 0.02 * np.asarray(weight_kg, dtype=np.float64)))


def ewe_pregnancy_factor(days_to_lambing: Numbers, lambs: float) -> F64:
    """Factor on the maintenance of a ewe in lamb (1 when not in lamb: `days_to_lambing` negative or over 147).

    First 15 weeks 2.8 / 2.4 = 1.167 (NRC 1985, Table 1, rows for 70 kg); last six weeks 1.5 with one lamb and 1.8
    with twins (from memory of the same table), in between by the lambs a ewe carries on the mean.
    """
    days = np.asarray(days_to_lambing, dtype=np.float64)
    late = 1.5 + 0.3 * (min(max(lambs, 1.0), 2.0) - 1.0)
    factor = np.where(days <= 42.0, late, 2.8 / 2.4)
    return np.asarray(np.where((days < 0.0) | (days > 147.0), 1.0, factor))


SHEEP_MILK_MJ_KG = 7.6
"""ME that a kilogram of ewe's milk asks of her (AFRC 1993, milk of 6.5 % fat; from memory)."""


def goat_maintenance_mj_d(weight_kg: Numbers, activity_share: float = 0.0) -> F64:
    """Goat at rest: 101.38 kcal ME per kg^0.75, raised by `activity_share`.

    National Research Council, Nutrient Requirements of Goats, 1981, chapter 3, p. 10. Activity 0.25 on light ground,
    0.50 on hilly or semi-arid, 0.75 on sparse range (same book, from memory).
    """
    return np.asarray(101.38 * MJ_PER_KCAL * metabolic_kg075(weight_kg) * (1.0 + activity_share))


GOAT_GAIN_MJ_KG = 7250.0 * MJ_PER_KCAL
"""ME per kg gained by a goat: 7.25 kcal per gram (NRC Goats 1981, p. 10)."""


def goat_milk_mj_d(fat_corrected_kg_d: Numbers) -> F64:
    """ME for goat's milk: 1246.12 kcal per kg of 4 % fat-corrected milk (NRC Goats 1981, p. 10)."""
    return np.asarray(1246.12 * MJ_PER_KCAL * np.asarray(fat_corrected_kg_d, dtype=np.float64))


def goat_late_pregnancy_mj_d(days_to_kidding: Numbers) -> F64:
    """ME added in the last two months before kidding: 1.42 Mcal a day (NRC Goats 1981, Table 1; from memory)."""
    days = np.asarray(days_to_kidding, dtype=np.float64)
    return np.asarray(np.where((days >= 0.0) & (days <= 60.0), 1420.0 * MJ_PER_KCAL, 0.0))


CATTLE_Q = 0.6
"""Metabolisability of a good mixed ration (ME / gross energy); AFRC's efficiencies change little between 0.5 and 0.7."""


def cattle_km(q: float = CATTLE_Q) -> float:
    """Efficiency of ME for maintenance, 0.35 q + 0.503 (AFRC 1993)."""
    return 0.35 * q + 0.503


def cattle_kl(q: float = CATTLE_Q) -> float:
    """Efficiency of ME for milk, 0.35 q + 0.420 (AFRC 1993)."""
    return 0.35 * q + 0.420


def cattle_maintenance_mj_d(weight_kg: Numbers, *, milking: bool) -> F64:
    """ME of cattle at rest: (F + A) / km, F = 0.53 (W / 1.08)^0.67, A = 0.0095 W in milk and 0.0071 W otherwise.

    AFRC 1993, Energy and Protein Requirements of Ruminants (from memory).
    """
    weight = np.asarray(weight_kg, dtype=np.float64)
    fasting = 0.53 * (weight / 1.08) ** 0.67
    activity = (0.0095 if milking else 0.0071) * weight
    return np.asarray((fasting + activity) / cattle_km())


def cattle_milk_mj_d(milk_kg_d: Numbers, energy_mj_kg: float) -> F64:
    """ME for cow's milk of `energy_mj_kg` gross energy: milk x energy / kl (AFRC 1993)."""
    return np.asarray(np.asarray(milk_kg_d, dtype=np.float64) * energy_mj_kg / cattle_kl())


def cattle_pregnancy_mj_d(days_to_calving: Numbers, calf_kg: float, gestation_d: float = 283.0) -> F64:
    """ME for the calf carried: Ec / 0.133, Ec = 0.025 Wc Et 0.0201 exp(-0.0000576 t).

    log10 Et = 151.665 - 151.64 exp(-0.0000576 t), t days since service, for a calf of 40 kg at birth and in proportion
    for others (AFRC 1993, from memory). Zero when not in calf (`days_to_calving` negative or over the gestation).
    """
    left = np.asarray(days_to_calving, dtype=np.float64)
    fade = np.exp(-0.0000576 * np.clip(gestation_d - left, 0.0, gestation_d))
    tissue = 10.0 ** (151.665 - 151.64 * fade)
    daily = 0.025 * calf_kg * tissue * 0.0201 * fade / 0.133
    return np.asarray(np.where((left < 0.0) | (left > gestation_d), 0.0, daily))


def pig_maintenance_mj_d(weight_kg: Numbers) -> F64:
    """Pig at rest: 106 kcal ME per kg^0.75 (NRC Nutrient Requirements of Swine, 10th rev. ed. 1998; from memory)."""
    return np.asarray(106.0 * MJ_PER_KCAL * metabolic_kg075(weight_kg))


def sow_pregnant_mj_d(weight_kg: Numbers) -> F64:
    """Sow in pig: maintenance + 4 MJ for litter and own gain (from memory, about NRC 1998)."""
    return np.asarray(pig_maintenance_mj_d(weight_kg) + 4.0)


def sow_milking_mj_d(weight_kg: Numbers, litter_gain_g_d: Numbers, piglets: Numbers) -> F64:
    """Sow with litter: 0.46 W^0.75 + (4.92 gain - 90 piglets) kcal / 0.70, never under maintenance.

    Milk energy from the litter's gain (g/d) and number, NRC 1998 (from memory).
    """
    milk_kcal = 4.92 * np.asarray(litter_gain_g_d, dtype=np.float64) - 90.0 * np.asarray(piglets, dtype=np.float64)
    return np.asarray(0.46 * metabolic_kg075(weight_kg) + np.maximum(milk_kcal, 0.0) * MJ_PER_KCAL / 0.70)


def rabbit_maintenance_mj_d(weight_kg: Numbers) -> F64:
    """Rabbit at rest: 0.43 MJ DE per kg^0.75 (Xiccato and Trocino, in The Nutrition of the Rabbit; from memory)."""
    return np.asarray(0.43 * metabolic_kg075(weight_kg))


def rabbit_doe_mj_d(weight_kg: Numbers, milk_kg_d: Numbers, days_to_kindling: Numbers) -> F64:
    """Doe: maintenance, 15 % more in the last ten days in kindle, and 13.3 MJ DE per kg milk (8.4 MJ/kg at 0.63).

    Same source as `rabbit_maintenance_mj_d`.
    """
    days = np.asarray(days_to_kindling, dtype=np.float64)
    late = np.where((days >= 0.0) & (days <= 10.0), 1.15, 1.0)
    return np.asarray(rabbit_maintenance_mj_d(weight_kg) * late + 13.3 * np.asarray(milk_kg_d, dtype=np.float64))
