"""Milk by day of lactation."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

F64 = npt.NDArray[np.float64]


def wood_kg_d(a: float, b: float, c: float, day: npt.ArrayLike) -> F64:
    """Milk (kg/d) on day t >= 1 of lactation: y = a t^b exp(-c t).

    Wood 1967, Nature 216:164-165. The peak is on day b / c.
    """
    t = np.asarray(day, dtype=np.float64)
    return np.asarray(a * t**b * np.exp(-c * t))


def wood_from_peak(peak_day: float, peak_kg_d: float, b: float) -> tuple[float, float]:
    """Parameters (a, c) of Wood's curve that has its peak of `peak_kg_d` on `peak_day`."""
    c = b / peak_day
    return peak_kg_d / (peak_day**b * np.exp(-b)), c


def lactation_kg_d(total_kg: float, days: int, b: float, c: float) -> F64:
    """Milk (kg/d) on days 1 to `days`, float64 [days]: Wood's shape (b, c), level set so that the sum is `total_kg`."""
    shape = wood_kg_d(1.0, b, c, np.arange(1, days + 1))
    return np.asarray(shape * (total_kg / shape.sum()))


def milk_energy_mj_kg(fat_g_kg: float, protein_g_kg: float) -> float:
    """Gross energy of milk, MJ/kg: 0.0376 F + 0.0209 P + 0.948 (AFRC 1993 and 1998; F and P in g per kg)."""
    return 0.0376 * fat_g_kg + 0.0209 * protein_g_kg + 0.948


def fat_corrected_kg(milk_kg: npt.ArrayLike, fat_pct: float) -> F64:
    """Milk as 4 % fat-corrected milk, kg: M (0.4 + 0.15 F) (Gaines 1928)."""
    return np.asarray(np.asarray(milk_kg, dtype=np.float64) * (0.4 + 0.15 * fat_pct))
