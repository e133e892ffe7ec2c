"""From a record to larder years side by side: the forcing that the season takes.

Larder years have 365 days: the rain of 29 February is added to the 28th, its other values are dropped.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.errors import Fault, InputFaults
from yardland.weather.sun import daylength_h, twilight_daylength_h
from yardland.weather.types import F64, Forcing, Record

DAYS = 365
MONTH_STARTS = np.array([0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334])
"""Days before each month in a common year."""
SUMMED = ("rain_mm",)
KEPT = ("tmin_c", "tmax_c", "rad_mj_m2", "eto_mm")


def calendar_days(start_month: int) -> npt.NDArray[np.int64]:
    """Day of the year (1-365) of each of the 365 days of a larder year that starts on the first of `start_month`."""
    first = int(MONTH_STARTS[start_month - 1])
    return np.asarray((np.arange(DAYS, dtype=np.int64) + first) % DAYS + 1)


def without_leap_days(record: Record) -> tuple[npt.NDArray[np.datetime64], dict[str, F64]]:
    """Dates and columns of a record on the 365-day calendar: 29 February's rain goes to the 28th, the rest is dropped.

    A record that starts on 29 February loses that day.
    """
    months = record.dates.astype("datetime64[M]")
    day_of_month = (record.dates - months).astype(np.int64) + 1
    leap = (day_of_month == 29) & (months.astype(np.int64) % 12 == 1)
    columns = {name: np.array(getattr(record, name), dtype=np.float64) for name in (*SUMMED, *KEPT)}
    for index in np.flatnonzero(leap):
        if index:
            columns["rain_mm"][index - 1] += columns["rain_mm"][index]
    return record.dates[~leap], {name: values[~leap] for name, values in columns.items()}


def larder_years(record: Record, start_month: int) -> Forcing:
    """Every complete larder year of a record as a lane behind the year before it.

    Args:
        record: complete daily weather without gaps.
        start_month: 1-12, the month on whose first the larder year starts.

    Returns:
        Forcing with arrays [730, lanes]; a year without a predecessor in the record leads itself in.

    Raises:
        InputFaults: if the record holds no complete larder year.
    """
    dates, columns = without_leap_days(record)
    start_years, firsts = _complete_years(dates, start_month)
    if not start_years:
        raise InputFaults([_too_short(record, start_month)])
    alone = tuple(first < DAYS for first in firsts)
    offset = np.arange(DAYS)[:, None]
    own = np.array(firsts)[None, :] + offset
    before = np.array([first if first < DAYS else first - DAYS for first in firsts])[None, :] + offset
    index = np.concatenate([before, own])
    day = np.tile(calendar_days(start_month), 2).astype(np.float64)
    lanes = (1, len(start_years))
    return Forcing(
        **{name: np.ascontiguousarray(columns[name][index]) for name in (*SUMMED, *KEPT)},
        daylength_h=np.tile(daylength_h(record.latitude_deg, day)[:, None], lanes),
        twilight_daylength_h=np.tile(twilight_daylength_h(record.latitude_deg, day)[:, None], lanes),
        labels=tuple(_label(year, start_month) for year in start_years),
        start_years=tuple(start_years),
        start_month=start_month,
        led_in_by_itself=alone,
        latitude_deg=record.latitude_deg,
        source=record.source,
        notes=record.notes,
    )


def _complete_years(dates: npt.NDArray[np.datetime64], start_month: int) -> tuple[list[int], list[int]]:
    """Start years whose 365 days all lie in `dates` (no leap days, no gaps), with the index of their first day."""
    if not len(dates):
        return [], []
    first_year = int(dates[0].astype("datetime64[Y]").astype(np.int64)) + 1970
    last_year = int(dates[-1].astype("datetime64[Y]").astype(np.int64)) + 1970
    years, firsts = [], []
    for year in range(first_year, last_year + 1):
        start = np.datetime64(f"{year:04d}-{start_month:02d}-01", "D")
        index = int(np.searchsorted(dates, start))
        if index + DAYS <= len(dates) and dates[index] == start:
            years.append(year)
            firsts.append(index)
    return years, firsts


def _label(year: int, start_month: int) -> str:
    if start_month == 1:
        return f"{year}-01 to {year}-12"
    return f"{year}-{start_month:02d} to {year + 1}-{start_month - 1:02d}"


def _too_short(record: Record, start_month: int) -> Fault:
    return Fault(
        file=record.source,
        where="whole record",
        found=f"{record.dates[0]} to {record.dates[-1]}" if len(record.dates) else "no days",
        expected=f"at least one whole larder year, from {start_month:02d}-01 (place.year_starts) to the day before it a year later",
        remedy="Add the missing months, set place.year_starts to the record's first month, or use normals.csv.",
    )
