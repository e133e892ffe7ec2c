"""The climate of a record: monthly normals, means by day of year, frost dates. What a sowing window is read from.

Nothing here knows what comes next: it is the record's past, the same for every year (a policy may see it).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from yardland.weather.sun import daylength_h, twilight_daylength_h
from yardland.weather.types import F64, Record
from yardland.weather.years import DAYS, MONTH_STARTS, without_leap_days

WINDOW_DAYS = 11
"""Width of the running mean that smooths the means by day of year: the day and five on either side."""
FROST_C = 0.0
RAIN_DAY_MM = 1.0
"""A day counts as a rain day at this much (the threshold of the WMO normals)."""
MONTH_LENGTHS = np.diff(np.append(MONTH_STARTS, DAYS))


@dataclass(frozen=True)
class FrostDates:
    """Frost (Tmin <= 0 C in the screen) at the two ends of the growing season.

    `last` and `first` hold a date or None (no frost) by the calendar year of that half-year; the southern half-years
    are July-December for the last frost and January-June for the first. The `_p` fields are days of the year (1-365),
    None when that share of years has no frost: `last_p50` half of the years have their last frost by then, `last_p90`
    nine in ten; `first_p50` half of the years have had a frost by then, `first_p10` one in ten.
    """

    last: dict[int, date | None]
    first: dict[int, date | None]
    last_p50: int | None
    last_p90: int | None
    first_p50: int | None
    first_p10: int | None
    frost_days_year: float


@dataclass(frozen=True)
class Climate:
    """Means of a record. `*_doy` arrays are [365] from 1 January; `*_month` arrays are [12] from January.

    `*_doy` means run over an eleven-day window and all years (rain_doy_mm and eto_doy_mm are mm a day). Use `larder`
    to turn a [365] array to start with the larder year.
    """

    start_month: int
    latitude_deg: float
    years: float
    tmean_doy_c: F64
    tmin_doy_c: F64
    tmax_doy_c: F64
    rain_doy_mm: F64
    rad_doy_mj_m2: F64
    eto_doy_mm: F64
    frost_share_doy: F64
    """Share of years with Tmin <= 0 C on that day (smoothed)."""
    daylength_doy_h: F64
    twilight_daylength_doy_h: F64
    tmin_month_c: F64
    tmax_month_c: F64
    tmean_month_c: F64
    rain_month_mm: F64
    rain_days_month: F64
    eto_month_mm: F64
    rad_month_mj_m2: F64
    """Mean MJ/m2/day."""
    frost: FrostDates
    source: str
    notes: tuple[str, ...] = ()

    def larder(self, by_day: F64) -> F64:
        """A [365] array from 1 January, turned to start on the first day of the larder year."""
        return np.roll(by_day, -int(MONTH_STARTS[self.start_month - 1]))

    def larder_day(self, day_of_year: int) -> int:
        """Index (0-364) in the larder year of a day of the common year (1-365)."""
        return (day_of_year - 1 - int(MONTH_STARTS[self.start_month - 1])) % DAYS

    def day_of_year(self, larder_day: int) -> int:
        """Day of the common year (1-365) of a day of the larder year; any whole number, counted from its first day."""
        return (larder_day + int(MONTH_STARTS[self.start_month - 1])) % DAYS + 1


def climate(record: Record, start_month: int = 1) -> Climate:
    """Monthly normals, means by day of year and frost dates of a record of at least one year.

    Args:
        record: complete daily weather.
        start_month: first month of the larder year (1-12), for `Climate.larder`.

    Raises:
        ValueError: if the record does not touch every day of the year.
    """
    dates, columns = without_leap_days(record)
    doy = _day_of_year(dates)
    counts = np.bincount(doy - 1, minlength=DAYS)
    if counts.min() == 0:
        raise ValueError("a climate needs a record that touches every day of the year")
    columns["tmean_c"] = (columns["tmin_c"] + columns["tmax_c"]) / 2
    columns["frost"] = (columns["tmin_c"] <= FROST_C).astype(np.float64)
    raw = {name: np.bincount(doy - 1, weights=values, minlength=DAYS) / counts for name, values in columns.items()}
    smooth = {name: running_mean(values) for name, values in raw.items()}
    month = np.repeat(np.arange(12), MONTH_LENGTHS)[doy - 1]
    wet = (columns["rain_mm"] >= RAIN_DAY_MM).astype(np.float64)
    days = np.arange(1, DAYS + 1, dtype=np.float64)
    return Climate(
        start_month=start_month,
        latitude_deg=record.latitude_deg,
        years=len(dates) / DAYS,
        tmean_doy_c=smooth["tmean_c"],
        tmin_doy_c=smooth["tmin_c"],
        tmax_doy_c=smooth["tmax_c"],
        rain_doy_mm=smooth["rain_mm"],
        rad_doy_mj_m2=smooth["rad_mj_m2"],
        eto_doy_mm=smooth["eto_mm"],
        frost_share_doy=smooth["frost"],
        daylength_doy_h=daylength_h(record.latitude_deg, days),
        twilight_daylength_doy_h=twilight_daylength_h(record.latitude_deg, days),
        tmin_month_c=_monthly_mean(columns["tmin_c"], month),
        tmax_month_c=_monthly_mean(columns["tmax_c"], month),
        tmean_month_c=_monthly_mean(columns["tmean_c"], month),
        rain_month_mm=_monthly_mean(columns["rain_mm"], month) * MONTH_LENGTHS,
        rain_days_month=_monthly_mean(wet, month) * MONTH_LENGTHS,
        eto_month_mm=_monthly_mean(columns["eto_mm"], month) * MONTH_LENGTHS,
        rad_month_mj_m2=_monthly_mean(columns["rad_mj_m2"], month),
        frost=frost_dates(record),
        source=record.source,
        notes=record.notes,
    )


def frost_dates(record: Record) -> FrostDates:
    """Last and first frost of every half-year that the record holds whole.

    North of the equator the last frost is sought from 1 January to 30 June and the first from 1 August to 31 December;
    south of it half a year later: 1 July to 31 December, and 1 February to 30 June.
    """
    south = record.latitude_deg < 0
    last_span = ((7, 1), (12, 31)) if south else ((1, 1), (6, 30))
    first_span = ((2, 1), (6, 30)) if south else ((8, 1), (12, 31))
    last = _frost_by_year(record, last_span, latest=True)
    first = _frost_by_year(record, first_span, latest=False)
    frosty = float((record.tmin_c <= FROST_C).mean() * DAYS)
    return FrostDates(
        last=last,
        first=first,
        last_p50=_quantile_doy(last, 0.5, latest=True),
        last_p90=_quantile_doy(last, 0.9, latest=True),
        first_p50=_quantile_doy(first, 0.5, latest=False),
        first_p10=_quantile_doy(first, 0.1, latest=False),
        frost_days_year=frosty,
    )


def running_mean(by_day: F64, width: int = WINDOW_DAYS) -> F64:
    """Centred running mean over `width` (odd) days of a [365] array whose end joins its start."""
    half = width // 2
    ring = np.concatenate([by_day[-half:], by_day, by_day[:half]])
    return np.asarray(np.convolve(ring, np.full(width, 1 / width), mode="valid"))


def _day_of_year(dates: npt.NDArray[np.datetime64]) -> npt.NDArray[np.int64]:
    """Day of the common year (1-365) of dates that hold no 29 February."""
    months = dates.astype("datetime64[M]")
    day = (dates - months).astype(np.int64)
    return np.asarray(MONTH_STARTS[months.astype(np.int64) % 12] + day + 1)


def _monthly_mean(values: F64, month: npt.NDArray[np.int64]) -> F64:
    return np.asarray(np.bincount(month, weights=values, minlength=12) / np.bincount(month, minlength=12))


def _frost_by_year(
    record: Record, span: tuple[tuple[int, int], tuple[int, int]], *, latest: bool
) -> dict[int, date | None]:
    found: dict[int, date | None] = {}
    opening, closing = record.dates[0].astype(object), record.dates[-1].astype(object)
    for year in range(opening.year, closing.year + 1):
        start, end = date(year, *span[0]), date(year, *span[1])
        if start < opening or end > closing:
            continue
        first = (start - opening).days
        cold = np.flatnonzero(record.tmin_c[first : (end - opening).days + 1] <= FROST_C)
        found[year] = start + timedelta(days=int(cold[-1 if latest else 0])) if len(cold) else None
    return found


def _quantile_doy(by_year: dict[int, date | None], share: float, *, latest: bool) -> int | None:
    """The day by which `share` of the years have their frost; a frostless year counts as before (after) them all."""
    outside = -1 if latest else DAYS + 1
    days = sorted(outside if day is None else _common_doy(day) for day in by_year.values())
    if not days:
        return None
    rank = max(0, -int(-share * len(days) // 1) - 1)
    return None if days[rank] == outside else days[rank]


def _common_doy(day: date) -> int:
    in_month = min(day.day, 28) if day.month == 2 else day.day
    return int(MONTH_STARTS[day.month - 1]) + in_month
