"""FAO-56 chapters 7 and 8: the dual crop coefficient, evaporation from a drying surface, water at hand.

Source: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage Paper 56; its printed
tables and examples from memory, each reworked by the printed equation. Tolerances are the rounding of the print.
"""

from __future__ import annotations

from yardland.growth.soil_water import (
    evaporation_coefficient,
    evaporation_reduction,
    kc_curve,
    kc_max,
    stress_coefficient,
    total_evaporable_mm,
)

FAO56 = "Allen et al. 1998, FAO-56"
MEMORY = "from memory"
SURFACE_M = 0.10
TABLE_19 = [
    # texture, field capacity, wilting point (low end, high end of the class), evaporable water mm
    ("loamy sand", (0.11, 0.19), (0.03, 0.10), (9, 14)),
    ("sandy loam", (0.18, 0.28), (0.06, 0.16), (15, 20)),
    ("loam", (0.20, 0.30), (0.07, 0.17), (16, 22)),
    ("silt loam", (0.22, 0.36), (0.09, 0.21), (18, 25)),
    ("silty clay", (0.30, 0.42), (0.17, 0.29), (22, 28)),
]


def test_evaporable_water_of_table_19(outside) -> None:
    """Ten centimetres of soil give up the water of Table 19, at the low and the high end of each class (from memory)."""
    for texture, full, dry, printed in TABLE_19:
        got = [total_evaporable_mm(full[end], dry[end], SURFACE_M) for end in (0, 1)]
        what = f"evaporable water of {texture}, low and high end, mm"
        outside.check_close("FAO-56 Table 19", what, FAO56, MEMORY, printed, got, 0.5)


def test_example_35_evaporable_water_and_reduction(outside) -> None:
    """Sandy loam of 0.23 and 0.10 holds 18 mm that can evaporate; from 8 mm on evaporation falls to none at 18 (Ex. 35; from memory)."""
    total = total_evaporable_mm(0.23, 0.10, SURFACE_M)
    source = "FAO-56 Example 35, eq. 73 and 74"
    outside.check_close(
        "FAO-56 Ex. 35", "evaporable water of sandy loam 0.23/0.10, mm", source, MEMORY, 18, total, 0.05
    )
    got = [evaporation_reduction(gone, total, 8.0) for gone in (0, 5, 8, 10.7, 18, 25)]
    what = "evaporation left after 0, 5, 8, 10.7, 18, 25 mm are gone, of 18, readily 8"
    outside.check_close("FAO-56 Ex. 35", what, source, MEMORY, [1, 1, 1, 0.73, 0, 0], got, 0.005)


def test_example_35_evaporation_coefficient(outside) -> None:
    """Wet ground under a small crop (Kcb 0.30, shade 0.08) evaporates 0.91 of the reference (Ex. 35; from memory).

    The example's upper limit is 1.21, in its wind and humidity; the standard climate's 1.20 is used here.
    """
    got = evaporation_coefficient(1.0, 0.30, 0.08)
    what = "evaporation coefficient of wet ground, Kcb 0.30, shade 0.08"
    outside.check_close("FAO-56 Ex. 35", what, "FAO-56 Example 35, eq. 71", MEMORY, 0.91, got, 0.015)


def test_upper_limit_of_the_coefficients(outside) -> None:
    """In the standard climate the limit is 1.20, and never under Kcb + 0.05 (equation 72; from memory)."""
    got = [kc_max(0.15), kc_max(1.10), kc_max(1.20)]
    what = "upper limit with Kcb 0.15, 1.10, 1.20, wind 2 m/s, humidity 45 %"
    outside.check_close("FAO-56 eq. 72", what, FAO56, MEMORY, [1.20, 1.20, 1.25], got, 1e-9)


def test_evaporation_keeps_to_the_bare_ground(outside) -> None:
    """Nine tenths shaded, evaporation is held to a tenth of the limit; a shaded and dry surface gives none (equations 71, 75)."""
    got = [evaporation_coefficient(1.0, 0.60, 0.9), evaporation_coefficient(0.0, 0.60, 0.2)]
    what = "evaporation coefficient, Kcb 0.60: shade 0.9 and wet, shade 0.2 and dry"
    outside.check_close("FAO-56 eq. 71", what, FAO56, MEMORY, [0.12, 0], got, 1e-9)


def test_basal_coefficient_of_dry_bean(outside) -> None:
    """The basal coefficient runs 0.15, 0.74, 1.14, 0.47 on days 20, 40, 70, 95 of dry bean (Ex. 31; from memory)."""
    got = [kc_curve(day, (25, 25, 30, 20), (0.15, 1.14, 0.25)) for day in (20, 40, 70, 95)]
    what = "basal coefficient of dry bean on days 20, 40, 70, 95"
    outside.check_close("FAO-56 Ex. 31", what, FAO56, MEMORY, [0.15, 0.74, 1.14, 0.47], got, 0.005)


def test_example_37_stress(outside) -> None:
    """Tomato with 160 mm in reach, 64 of them readily: Ks is 1 at 55 and 60 mm, 0.99 at 65 mm (Ex. 37; from memory)."""
    got = [stress_coefficient(depletion, 160, 64) for depletion in (55, 60, 65)]
    what = "stress coefficient of tomato at depletions of 55, 60, 65 mm, TAW 160, RAW 64"
    outside.check_close("FAO-56 Ex. 37", what, FAO56, MEMORY, [1, 1, 0.99], got, 0.005)
