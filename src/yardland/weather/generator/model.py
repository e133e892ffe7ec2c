"""What a fitted generator is: numbers by month and day of year, nothing drawn yet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.weather.climate import MONTH_LENGTHS
from yardland.weather.types import F64

RAIN_DAY_MM = 1.0
"""A day is wet at this much (the threshold of the WMO normals); rain of drier days is added to the wet ones."""
VARIABLES = ("tmean", "root_range", "clearness", "dew_depression", "log_wind")
"""The residual process: (Tmin+Tmax)/2 in C; square root of Tmax - Tmin in C; logit of radiation over clear-sky radiation;
Tmin less the dew point in C; logarithm of the wind at 2 m."""
EFFECTS = ("rain", *VARIABLES)
LEAST_ROOT_RANGE = 0.5
"""So that Tmax is over Tmin by 0.25 C at least."""
RANGE_OVER_RECORD = 1.1
"""The widest range of a drawn day over the widest of the record in its month and the two beside it (own choice: a normal
tail would give 40 C in a thousand years of a place that knows 23)."""
CLEARNESS = (0.02, 0.98)
"""Radiation over clear-sky radiation is held between these."""
MONTH_OF_DAY = np.repeat(np.arange(12), MONTH_LENGTHS)
HALF_YEAR = np.array([0, 0, 0, 1, 1, 1, 1, 1, 1, 0, 0, 0])
"""The months October-March and April-September."""


@dataclass(frozen=True)
class RainModel:
    """Wet and dry days in a chain that looks two days back, with amounts above the rain-day threshold; arrays are [12] from January.

    In a month with effect g (standard normal) a day is wet with probability Phi(after_dry + occurrence_sd g) after a dry
    day and Phi(after_wet + occurrence_sd g) after a wet one; where the day before that was wet, dry_memory or wet_memory is
    added to the probit. A wet day has RAIN_DAY_MM plus exp(amount_shift + amount_sd g)
    times an exponential with mean low_mm (with probability share_low) or high_mm.
    """

    after_dry: F64
    after_wet: F64
    occurrence_sd: F64
    share_low: F64
    low_mm: F64
    high_mm: F64
    amount_sd: F64
    amount_shift: F64
    dry_memory: F64
    wet_memory: F64


@dataclass(frozen=True)
class ResidualModel:
    """Lag-one process of the five VARIABLES, standardised, conditioned on dry (0) and wet (1) days.

    centre, sd : [2, 365, 5], of the transformed variables; lag, shock : [12, 5, 5], A and B of Matalas 1967;
    slow_share : [12, 5], share of the variance that is common to all days of a month; bend : [12, 5], a sixth of the skew;
    most_root_range : [12], root of the greatest range of a day, C.
    """

    centre: F64
    sd: F64
    lag: F64
    shock: F64
    slow_share: F64
    bend: F64
    most_root_range: F64


@dataclass(frozen=True)
class SlowModel:
    """What is common to a month's days, for the six EFFECTS, unit variance.

    year_share : [6], share of that variance common to all months of a year; month_lag, year_lag : [6], first-order
    correlation of the month's and of the year's part; mixing : [2, 6, 6] lower triangles by half-year.
    """

    year_share: F64
    month_lag: F64
    year_lag: F64
    mixing: F64


@dataclass(frozen=True)
class Model:
    """A fitted generator of a place. `notes` say what the fit could not know."""

    rain: RainModel
    residual: ResidualModel
    slow: SlowModel
    latitude_deg: float
    altitude_m: float
    record_years: int
    source: str
    notes: tuple[str, ...] = ()
