"""The record that weather readers give and the forcing that the season takes."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

F64 = npt.NDArray[np.float64]
INVENTED_YEARS = "invented years"
"""Kind of a record of years drawn by the generator, in memory or read back from a file."""


@dataclass(frozen=True)
class Record:
    """Daily weather, complete and checked (gaps filled and named), in time order.

    dates : datetime64[D] [day]; the other arrays float64 [day]
    rad_mj_m2 : solar radiation on the flat; vap_kpa : actual vapour pressure; wind_m_s at 2 m; eto_mm : FAO-56
    estimated : which of them were worked out, and by which procedure (column -> words)
    kind : "record", "typical year" (months of different years, laid twice), "normals" (days invented from them) or
        "normals as a year" (a file whose days are too smooth for weather), or "invented years" (drawn by the generator)
    gaps : what was missing and filled: (what, first day, last day)
    """

    dates: npt.NDArray[np.datetime64]
    tmin_c: F64
    tmax_c: F64
    rain_mm: F64
    rad_mj_m2: F64
    vap_kpa: F64
    wind_m_s: F64
    eto_mm: F64
    latitude_deg: float
    altitude_m: float
    source: str
    estimated: dict[str, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    kind: str = "record"
    gaps: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True)
class Forcing:
    """Larder years side by side: each lane is a year (days 365-729) behind the year before it (days 0-364).

    Arrays are float64 [730, lanes], lanes contiguous. `labels[lane]` is like "2013-09 to 2014-08"; `start_years[lane]`
    is the calendar year in which that larder year starts. A lane without a year before it in the record is led in by
    itself (`led_in_by_itself[lane]`).
    """

    tmin_c: F64
    tmax_c: F64
    rain_mm: F64
    rad_mj_m2: F64
    eto_mm: F64
    daylength_h: F64
    twilight_daylength_h: F64
    labels: tuple[str, ...]
    start_years: tuple[int, ...]
    start_month: int
    led_in_by_itself: tuple[bool, ...]
    latitude_deg: float
    source: str
    notes: tuple[str, ...] = ()
