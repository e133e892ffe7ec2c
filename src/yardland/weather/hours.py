"""Hours to days by one rule, and the hours that are missing or come twice.

A stamp names the hour that ends then; 24:00 belongs to its date. Of the 24 hours of a date: least and greatest
temperature, sum of radiation and rain, mean wind, mean vapour pressure.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.weather import eto
from yardland.weather.formats.taken import column
from yardland.weather.limits import limits
from yardland.weather.parse import Parsed
from yardland.weather.sheet import Faults
from yardland.weather.types import F64

WH_TO_MJ = 0.0036
"""1 Wh is 3600 J."""
DAY_HOURS = 24


@dataclass(frozen=True)
class Hours:
    """Hourly rows in the order of the file; all arrays are [row], NaN where a value is missing.

    hour : 1-24, the hour that ends then
    """

    dates: npt.NDArray[np.datetime64]
    hour: npt.NDArray[np.int64]
    lines: npt.NDArray[np.int64]
    temperature_c: F64
    dew_c: F64
    rh_pct: F64
    wind_m_s: F64
    rad_wh_m2: F64
    rain_mm: F64


def days_of(hours: Hours, faults: Faults, last: np.datetime64 | None = None) -> tuple[Parsed, list[str]]:
    """Days from hours; a day on which a quantity is not known whole has NaN there.

    Up to three missing hours in a row are filled in a straight line and counted; an hour that comes twice is averaged
    and named. Rows out of order and hours doubled more than twice a year are faults.

    Args:
        hours: at least one row.
        faults: takes what is wrong.
        last: the day that the file must reach (None: its own last one).
    """
    slot = (hours.dates - hours.dates[0]).astype(np.int64) * DAY_HOURS + hours.hour - 1
    _order(hours, slot, faults)
    closing = hours.dates.max() if last is None else last
    count = max(int((closing - hours.dates[0]).astype(np.int64)) + 1, 1)
    notes = _doubled(hours, slot, count, faults)
    if faults:
        return _empty(), notes
    grid = {name: _grid(values, slot, count) for name, values in _quantities(hours).items()}
    notes += _absent(hours, slot, count)
    known = {name: _filled(values) for name, values in grid.items() if name != "rain_mm"}
    with_rain = grid["rain_mm"] if np.isfinite(grid["rain_mm"]).any() else None
    values = _daily(known, with_rain, count)
    dates = np.asarray(hours.dates[0] + np.arange(count))
    line_of = np.full(count, hours.lines[-1])
    day = slot // DAY_HOURS
    inside = day < count
    line_of[day[inside][::-1]] = hours.lines[inside][::-1]
    columns = {name: column(name, name, limits()["wind_height_m"] if name == "wind_m_s" else None) for name in values}
    return Parsed(dates, line_of, values, columns), notes


def _empty() -> Parsed:
    return Parsed(np.array([], dtype="datetime64[D]"), np.array([], dtype=np.int64), {}, {})


def _quantities(hours: Hours) -> dict[str, F64]:
    """Hourly columns with vapour pressure by dew point (FAO-56 eq. 14), else by humidity and temperature (eq. 10, 11)."""
    by_dew = eto.vapour_from_dew_point_kpa(hours.dew_c)
    by_humidity = eto.saturation_kpa(hours.temperature_c) * np.clip(hours.rh_pct, 0, 100) / 100
    return {
        "temperature_c": hours.temperature_c,
        "vap_kpa": np.where(np.isfinite(by_dew), by_dew, by_humidity),
        "wind_m_s": hours.wind_m_s,
        "rad_wh_m2": hours.rad_wh_m2,
        "rain_mm": hours.rain_mm,
    }


def _order(hours: Hours, slot: npt.NDArray[np.int64], faults: Faults) -> None:
    latest = np.maximum.accumulate(slot)
    for index in np.flatnonzero(slot < latest):
        faults.add(
            "order",
            f"line {hours.lines[index]}",
            f"{_stamp(hours, int(index))} after a later hour",
            "hours in order of time",
            "Fetch the file again, or sort its rows.",
        )


def _doubled(hours: Hours, slot: npt.NDArray[np.int64], days: int, faults: Faults) -> list[str]:
    again = np.flatnonzero(np.diff(slot) == 0) + 1
    allowed = limits()["doubled_hours_year"] * max(1.0, days / 365)
    if len(again) > allowed:
        where, found = (
            f"line {hours.lines[again[0]]}",
            f"{len(again)} hours come twice, first {_stamp(hours, int(again[0]))}",
        )
        faults.add("doubled", where, found, "each hour once", "Keep one row for each hour.")
        return []
    return [f"{_stamp(hours, int(index))} comes twice (a clock change?): the mean is taken." for index in again]


def _absent(hours: Hours, slot: npt.NDArray[np.int64], days: int) -> list[str]:
    """A note on hours without a row inside the span."""
    there = np.zeros(days * DAY_HOURS, dtype=bool)
    there[slot[slot < len(there)]] = True
    gone = np.flatnonzero(~there)
    if not len(gone):
        return []
    first = hours.dates[0] + gone[0] // DAY_HOURS
    words = (
        f"Hours without a row: {len(gone)}, the first is hour {gone[0] % DAY_HOURS + 1} of {first} (one in spring may be a "
        f"clock change): up to {limits()['filled_hours']:.0f} in a row are filled in a straight line."
    )
    return [words]


def _stamp(hours: Hours, index: int) -> str:
    return f"{hours.dates[index]} hour {hours.hour[index]}"


def _grid(values: F64, slot: npt.NDArray[np.int64], days: int) -> F64:
    """[day * 24] means of the rows of each hour."""
    good = np.isfinite(values) & (slot < days * DAY_HOURS)
    length = days * DAY_HOURS
    count = np.bincount(slot[good], minlength=length)
    total = np.bincount(slot[good], weights=values[good], minlength=length)
    return np.asarray(np.where(count > 0, total / np.maximum(count, 1), np.nan))


def _filled(values: F64) -> F64:
    """Short runs of NaN between known hours in a straight line."""
    gone = np.isnan(values)
    known = np.flatnonzero(~gone)
    if not len(known) or not gone.any():
        return values
    line = np.interp(np.arange(len(values)), known, values[known])
    edges = np.flatnonzero(np.diff(np.concatenate([[0], gone.astype(np.int8), [0]])))
    out = values.copy()
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end - start <= limits()["filled_hours"]:
            out[start:end] = line[start:end]
    return out


def _daily(known: dict[str, F64], rain: F64 | None, count: int) -> dict[str, F64]:
    """Daily columns of those quantities that are known on some day."""
    by_day = {name: values.reshape(count, DAY_HOURS) for name, values in known.items()}
    made = {
        "tmin_c": by_day["temperature_c"].min(axis=1),
        "tmax_c": by_day["temperature_c"].max(axis=1),
        "rad_mj_m2": by_day["rad_wh_m2"].sum(axis=1) * WH_TO_MJ,
        "vap_kpa": by_day["vap_kpa"].mean(axis=1),
        "wind_m_s": by_day["wind_m_s"].mean(axis=1),
    }
    if rain is not None:
        hours = rain.reshape(count, DAY_HOURS)
        there = np.isfinite(hours).sum(axis=1)
        sums = np.nansum(hours, axis=1) * DAY_HOURS / np.maximum(there, 1)
        made["rain_mm"] = np.where(there >= limits()["known_hours"], sums, np.nan)
    always = ("tmin_c", "tmax_c")
    return {name: values for name, values in made.items() if name in always or np.isfinite(values).any()}
