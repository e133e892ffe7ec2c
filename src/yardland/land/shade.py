"""Shadows of trees and walls on level ground."""

from __future__ import annotations

import math

OBLIQUITY_DEG = 23.44
"""Declination of the sun at the summer solstice (obliquity of the ecliptic, epoch 2000)."""


def noon_altitude_deg(latitude_deg: float, declination_deg: float) -> float:
    """Altitude of the sun at solar noon: 90 - |latitude - declination|; below 0 when it does not rise."""
    return 90 - abs(latitude_deg - declination_deg)


def shadow_length_m(height_m: float, sun_altitude_deg: float) -> float | None:
    """Length of the shadow of an upright thing on level ground, h / tan(altitude); None when the sun is down."""
    if sun_altitude_deg <= 0:
        return None
    return height_m / math.tan(math.radians(sun_altitude_deg))
