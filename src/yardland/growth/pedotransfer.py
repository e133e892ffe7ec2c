"""Water that a soil holds, from its sand, clay and organic matter, one function per published equation.

Saxton & Rawls 2006, Soil water characteristic estimates by texture and organic matter for hydrologic solutions, Soil
Science Society of America Journal 70:1569-1578. In the equations sand and clay are fractions by mass of the fine earth,
organic matter is in per cent by mass; water contents are fractions by volume.
"""

from __future__ import annotations

import math
from typing import NamedTuple

ORGANIC_MATTER_PCT = 2.5
"""Organic matter of the paper's Table 3; taken where none is known."""
MOST_CLAY_PCT, MOST_ORGANIC_MATTER_PCT = 60.0, 8.0
"""The paper's samples had no more; soils beyond are reckoned at these."""
LEAST_WILTING_POINT = 0.01
"""Sand without organic matter would come out at nothing or less (own choice)."""
FIELD_CAPACITY_KPA, WILTING_POINT_KPA = 33.0, 1500.0


class WaterLimits(NamedTuple):
    """Water content by volume (0-1) at 1500 kPa, 33 kPa and 0 kPa; conductivity when saturated, mm/h."""

    wilting_point: float
    field_capacity: float
    saturation: float
    ksat_mm_h: float


def water_limits(sand_pct: float, clay_pct: float, organic_matter_pct: float = ORGANIC_MATTER_PCT) -> WaterLimits:
    """Water limits of a soil of ordinary density, without gravel or salt.

    Clay above 60 % and organic matter above 8 % are reckoned at these bounds of the paper's samples. The wilting point is
    held at 0.01 at least, saturation at field capacity at least (sandy clays rich in organic matter).

    Args:
        sand_pct: % by mass of the fine earth (under 2 mm).
        clay_pct: the same.
        organic_matter_pct: % by mass.
    """
    sand, clay = sand_pct / 100.0, min(clay_pct, MOST_CLAY_PCT) / 100.0
    organic = min(organic_matter_pct, MOST_ORGANIC_MATTER_PCT)
    dry = max(theta_1500(sand, clay, organic), LEAST_WILTING_POINT)
    full = theta_33(sand, clay, organic)
    saturated = max(theta_saturated(sand, full, theta_saturated_less_33(sand, clay, organic)), full)
    return WaterLimits(dry, full, saturated, conductivity_mm_h(dry, full, saturated))


def theta_1500(sand: float, clay: float, organic_pct: float) -> float:
    """Water content at 1500 kPa, the wilting point (equation 1)."""
    first = (
        -0.024 * sand
        + 0.487 * clay
        + 0.006 * organic_pct
        + 0.005 * sand * organic_pct
        - 0.013 * clay * organic_pct
        + 0.068 * sand * clay
        + 0.031
    )
    return first + (0.14 * first - 0.02)


def theta_33(sand: float, clay: float, organic_pct: float) -> float:
    """Water content at 33 kPa, field capacity (equation 2)."""
    first = (
        -0.251 * sand
        + 0.195 * clay
        + 0.011 * organic_pct
        + 0.006 * sand * organic_pct
        - 0.027 * clay * organic_pct
        + 0.452 * sand * clay
        + 0.299
    )
    return first + (1.283 * first**2 - 0.374 * first - 0.015)


def theta_saturated_less_33(sand: float, clay: float, organic_pct: float) -> float:
    """Water content between saturation and 33 kPa (equation 3)."""
    first = (
        0.278 * sand
        + 0.034 * clay
        + 0.022 * organic_pct
        - 0.018 * sand * organic_pct
        - 0.027 * clay * organic_pct
        - 0.584 * sand * clay
        + 0.078
    )
    return first + (0.636 * first - 0.107)


def theta_saturated(sand: float, field_capacity: float, above_33: float) -> float:
    """Water content at saturation (equation 5)."""
    return field_capacity + above_33 - 0.097 * sand + 0.043


def conductivity_mm_h(wilting_point: float, field_capacity: float, saturation: float) -> float:
    """Saturated conductivity, mm/h (equation 16, its slope from equations 15 and 18); 0 where nothing drains."""
    tension = math.log(WILTING_POINT_KPA) - math.log(FIELD_CAPACITY_KPA)
    slope = (math.log(field_capacity) - math.log(wilting_point)) / tension
    return float(1930.0 * max(saturation - field_capacity, 0.0) ** (3.0 - slope))
