"""Hardiness zone of a place by its coldest nights, as nurseries print it on labels of trees and shrubs.

The United States Department of Agriculture's map defines thirteen zones by the mean of each winter's lowest temperature,
10 F wide from -60 F, halves a and b of 5 F.
"""

from __future__ import annotations

import numpy as np

from yardland.weather.types import Record

FIRST_F, WIDTH_F, ZONES = -60.0, 10.0, 13
LEAST_WINTERS = 3
"""Whole winters under which no mean is told."""


def hardiness_zone(mean_lowest_c: float) -> str:
    """Zone and half ("8a") of the mean of the winters' lowest temperatures; held at 1a and 13b beyond the map."""
    fahrenheit = mean_lowest_c * 9.0 / 5.0 + 32.0
    halves = int(np.clip(np.floor((fahrenheit - FIRST_F) / (WIDTH_F / 2)), 0, 2 * ZONES - 1))
    return f"{halves // 2 + 1}{'ab'[halves % 2]}"


def mean_lowest_c(record: Record) -> float | None:
    """Mean of the lowest temperatures of whole winters (from July in the north, from January in the south); None for few."""
    month = record.dates.astype("datetime64[M]").astype(np.int64)
    winter = (month + (6 if record.latitude_deg >= 0 else 0)) // 12
    days = np.bincount(winter - winter.min())
    whole = [index + winter.min() for index in np.flatnonzero(days >= 365)]
    if len(whole) < LEAST_WINTERS:
        return None
    return float(np.mean([record.tmin_c[winter == one].min() for one in whole]))
