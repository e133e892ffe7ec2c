"""FAO-56 soil water, one function per published equation. Lengths in mm of water unless the name says otherwise.

Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage Paper 56 (FAO-56).
"""

from __future__ import annotations

from typing import NamedTuple


class Balance(NamedTuple):
    """The root zone at the end of a day, mm."""

    depletion_mm: float
    et_mm: float
    deep_percolation_mm: float


def kc_curve(x: float, lengths: tuple[float, float, float, float], kc: tuple[float, float, float]) -> float:
    """Crop coefficient at `x` into the crop (FAO-56 equation 66, figure 34).

    Args:
        x: days, or any other measure of progress, from sowing.
        lengths: of the initial, development, mid-season and late-season stages, in the unit of `x`.
        kc: at the initial stage, at mid-season, at the end.

    Returns:
        0.0 outside the crop.
    """
    initial, development, mid, late = lengths
    kc_ini, kc_mid, kc_end = kc
    if x < 0 or x > initial + development + mid + late:
        return 0.0
    if x <= initial:
        return kc_ini
    if x <= initial + development:
        return kc_ini + (x - initial) / development * (kc_mid - kc_ini)
    if x <= initial + development + mid:
        return kc_mid
    return kc_mid + (x - initial - development - mid) / late * (kc_end - kc_mid)


KC_MAX = 1.2
"""Most evapotranspiration of a wet surface over reference evapotranspiration, in a standard climate (FAO-56 equation 72
with wind of 2 m/s and 45 % least humidity)."""
LEAST_BARE = 0.01
"""Least share of the ground that is bare and wet (FAO-56 equation 75, note)."""


def total_evaporable_mm(field_capacity: float, wilting_point: float, depth_m: float) -> float:
    """Water that can evaporate from a wetted surface layer, TEW (FAO-56 equation 73; water contents by volume)."""
    return 1000.0 * (field_capacity - 0.5 * wilting_point) * depth_m


def evaporation_reduction(evaporated_mm: float, total_mm: float, readily_mm: float) -> float:
    """Evaporation reduction coefficient Kr, 0-1, after `evaporated_mm` are gone from the surface layer (equation 74)."""
    return min(max((total_mm - evaporated_mm) / (total_mm - readily_mm), 0.0), 1.0)


def kc_max(kcb: float) -> float:
    """Upper limit of evaporation and transpiration together, over reference evapotranspiration (equation 72)."""
    return max(KC_MAX, kcb + 0.05)


def evaporation_coefficient(kr: float, kcb: float, shade: float) -> float:
    """Soil evaporation coefficient Ke (equations 71 and 75, the whole surface wetted).

    Args:
        kr: evaporation reduction coefficient.
        kcb: basal crop coefficient.
        shade: share of the ground that is covered.
    """
    most = kc_max(kcb)
    return max(min(kr * (most - kcb), max(1.0 - shade, LEAST_BARE) * most), 0.0)


def depletion_fraction(p: float, etc_mm: float) -> float:
    """Fraction of the available water that a crop draws before stress, for the day's demand (FAO-56 Table 22, footnote).

    p + 0.04 (5 - ETc), between 0.1 and 0.8.
    """
    return min(max(p + 0.04 * (5.0 - etc_mm), 0.1), 0.8)


def stress_coefficient(depletion_mm: float, available_mm: float, readily_mm: float) -> float:
    """Water stress coefficient Ks, 0-1 (FAO-56 equation 84)."""
    if depletion_mm <= readily_mm:
        return 1.0
    return min(max((available_mm - depletion_mm) / (available_mm - readily_mm), 0.0), 1.0)


def day_balance(depletion_mm: float, available_mm: float, water_in_mm: float, etc_adj_mm: float) -> Balance:
    """One day of the root zone (FAO-56 equations 85 and 88).

    `water_in_mm` is rain less runoff plus net irrigation. What would fill the root zone past field capacity percolates
    the same day; what is not there is not transpired.
    """
    left = depletion_mm - water_in_mm + etc_adj_mm
    et = etc_adj_mm
    if left > available_mm:
        et -= left - available_mm
        left = available_mm
    percolation = max(-left, 0.0)
    return Balance(max(left, 0.0), et, percolation)


def irrigation_net_mm(depletion_mm: float, readily_mm: float, most_mm: float = float("inf")) -> float:
    """Net depth to give at dawn: the whole depletion once it has passed the readily available water (FAO-56 chapter 8)."""
    return min(depletion_mm, most_mm) if depletion_mm >= readily_mm else 0.0


def runoff_mm(rain_mm: float, curve_number: float) -> float:
    """Runoff of a day's rain by curve number (USDA TR-55, equations 2-3 and 2-4; initial abstraction 0.2 S)."""
    storage = 25400.0 / curve_number - 254.0
    if rain_mm <= 0.2 * storage:
        return 0.0
    return (rain_mm - 0.2 * storage) ** 2 / (rain_mm + 0.8 * storage)


def relative_yield(ky: float, et_ratio: float) -> float:
    """Share of the yield left when only `et_ratio` of the water wanted was used (FAO-33; FAO-56 equation 90), never < 0."""
    return max(1.0 - ky * (1.0 - et_ratio), 0.0)
