"""What every reader of a published format hands over, and the place of a station."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.weather.columns import Column
from yardland.weather.parse import Parsed
from yardland.weather.types import F64

RECORD, TYPICAL = "record", "typical year"
NEEDED = ("tmin_c", "tmax_c", "rain_mm")


@dataclass(frozen=True)
class Station:
    """Where a file says that it was measured; None where it does not say. Degrees, north and east positive; metres."""

    name: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    altitude_m: float | None = None


@dataclass(frozen=True)
class Taken:
    """Days out of a file.

    parsed : dates, lines and columns in SI (rain_mm may be absent); a typical year is dated 2001
    form : the format in words, with what it was recognised by
    kind : RECORD, TYPICAL, or INVENTED_YEARS of a sheet of drawn years
    """

    parsed: Parsed
    form: str
    kind: str
    station: Station
    notes: tuple[str, ...] = ()


def column(quantity: str, heading: str, height_m: float | None = None) -> Column:
    """A column whose values are in SI already and whose unit the format itself says."""
    return Column(quantity, 0, heading, unit_said=True, height_m=height_m)


def trimmed(parsed: Parsed) -> tuple[Parsed, list[str]]:
    """From the first to the last day on which all that is needed is known, with a note on what was left out."""
    known = np.ones(len(parsed.dates), dtype=bool)
    for name in NEEDED:
        if name in parsed.values:
            known &= np.isfinite(parsed.values[name])
    there = np.flatnonzero(known)
    if not len(there) or len(there) == len(known):
        return parsed, []
    first, last = int(there[0]), int(there[-1])
    cut = Parsed(
        parsed.dates[first : last + 1],
        parsed.lines[first : last + 1],
        {name: values[first : last + 1] for name, values in parsed.values.items()},
        parsed.columns,
        parsed.notes,
    )
    notes = []
    for days in (parsed.dates[:first], parsed.dates[last + 1 :]):
        if len(days):
            what = f"{days[0]} to {days[-1]}" if len(days) > 1 else f"{days[0]}"
            notes.append(f"Left out: {what}, where tmin_c, tmax_c and rain_mm are not all known.")
    return cut, notes


def number(text: str) -> float:
    """A finite number, or NaN for anything else."""
    try:
        value = float(text)
    except ValueError:
        return np.nan
    return value if np.isfinite(value) else np.nan


def dropped(values: F64, missing: float) -> F64:
    """Values at or over a format's mark of the missing as NaN."""
    return np.where(values >= missing, np.nan, values)
