"""What a record holds, as numbers for the faces: months, years, frost, growing season, degree-days, extremes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from yardland.weather.climate import MONTH_LENGTHS, Climate, climate
from yardland.weather.hardiness import mean_lowest_c
from yardland.weather.suspect import Suspect, suspects
from yardland.weather.types import F64, INVENTED_YEARS, Record
from yardland.weather.years import DAYS, without_leap_days

BASES_C = (0, 5, 10)
"""Base temperatures of the degree-days that are told."""
GROWTH_C = 5.0
"""Grass and cool-season crops grow from about 5 C on (common practice)."""
BANDS = (10, 50, 90)


@dataclass(frozen=True)
class Extreme:
    """A greatest or least value and its day."""

    value: float
    day: str


@dataclass(frozen=True)
class Season:
    """The growing season between frosts (Tmin <= 0 C in the screen) and by warmth.

    frost_free_days : by the year of the last frost; 365 where there is no frost in the year
    median_days, one_in_ten_days : half of the years have as many or more; one year in ten has as few or fewer
    warm_days : days of the year whose smoothed mean temperature is 5 C or more
    """

    frost_free_days: dict[int, int]
    median_days: int | None
    one_in_ten_days: int | None
    warm_days: int


@dataclass(frozen=True)
class Overview:
    """A record summed up. `*_year_month` arrays are [year, 12] with NaN for months that are not whole.

    degree_days_month : base -> [12] mean sums over the month; daily_*_c : [3, 365] of 10, 50, 90 % of the years and
    [365] extremes, from 1 January ; winter_lowest_c : mean of the winters' lowest, None for fewer than three winters
    """

    record: Record
    climate: Climate
    years: tuple[int, ...]
    rain_year_month_mm: F64
    tmean_year_month_c: F64
    whole_years: tuple[int, ...]
    rain_year_mm: dict[int, float]
    degree_days_month: dict[int, F64]
    season: Season
    daily_mean_bands_c: F64
    daily_lowest_c: F64
    daily_highest_c: F64
    coldest: Extreme
    hottest: Extreme
    wettest_day: Extreme
    longest_dry_days: int
    winter_lowest_c: float | None
    suspects: tuple[Suspect, ...]

    @property
    def tells_years(self) -> bool:
        """True when its years differ as years do: recorded or drawn ones, not a typical year or days made from normals."""
        return self.record.kind in {"record", INVENTED_YEARS}


def overview(record: Record, start_month: int = 1) -> Overview:
    """Sum up a complete record; a typical year, which is laid twice, counts once.

    Raises:
        ValueError: if the record does not touch every day of the year.
    """
    once = _once(record)
    past = climate(once, start_month)
    years, rain, mean = _by_year(once)
    yearly = {year: float(rain[index].sum()) for index, year in enumerate(years) if np.isfinite(rain[index]).all()}
    bands, lowest, highest = _daily(once)
    return Overview(
        record=once,
        climate=past,
        years=years,
        rain_year_month_mm=rain,
        tmean_year_month_c=mean,
        whole_years=tuple(yearly),
        rain_year_mm=yearly,
        degree_days_month=_degree_days(once),
        season=_season(past),
        daily_mean_bands_c=bands,
        daily_lowest_c=lowest,
        daily_highest_c=highest,
        coldest=_extreme(once, once.tmin_c, greatest=False),
        hottest=_extreme(once, once.tmax_c, greatest=True),
        wettest_day=_extreme(once, once.rain_mm, greatest=True),
        longest_dry_days=_longest_dry(once),
        winter_lowest_c=mean_lowest_c(once),
        suspects=suspects(once),
    )


def _once(record: Record) -> Record:
    if record.kind != "typical year":
        return record
    columns = ("dates", "tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "vap_kpa", "wind_m_s", "eto_mm")
    return replace(record, **{name: getattr(record, name)[:DAYS] for name in columns})


def _by_year(record: Record) -> tuple[tuple[int, ...], F64, F64]:
    """Calendar years, rain sums and mean temperatures [year, 12]; NaN for months that the record does not hold whole."""
    stamp = record.dates.astype("datetime64[M]").astype(np.int64)
    first, last = int(stamp[0]) // 12, int(stamp[-1]) // 12
    index = stamp - first * 12
    count = (last - first + 1) * 12
    days = np.bincount(index, minlength=count)
    months = np.arange(count + 1) + first * 12
    length = np.diff(months.astype("datetime64[M]").astype("datetime64[D]").astype(np.int64))
    whole = days == length
    rain = np.where(whole, np.bincount(index, weights=record.rain_mm, minlength=count), np.nan)
    total = np.bincount(index, weights=(record.tmin_c + record.tmax_c) / 2, minlength=count)
    mean = np.where(whole, total / np.maximum(days, 1), np.nan)
    years = tuple(range(first + 1970, last + 1971))
    return years, rain.reshape(-1, 12), mean.reshape(-1, 12)


def _degree_days(record: Record) -> dict[int, F64]:
    """Mean sums of (Tmean - base) above zero by month, scaled to whole months of the common year."""
    mean = (record.tmin_c + record.tmax_c) / 2
    month = record.dates.astype("datetime64[M]").astype(np.int64) % 12
    count = np.bincount(month, minlength=12)
    return {
        base: np.asarray(np.bincount(month, weights=np.maximum(mean - base, 0), minlength=12) / count * MONTH_LENGTHS)
        for base in BASES_C
    }


def _season(past: Climate) -> Season:
    south = past.latitude_deg < 0
    days: dict[int, int] = {}
    for year, last in past.frost.last.items():
        after = year + 1 if south else year
        if after not in past.frost.first:
            continue
        first = past.frost.first[after]
        if last is None and first is None:
            days[year] = DAYS
            continue
        opening = last or (date(year, 7, 1) if south else date(year, 1, 1)) - timedelta(days=1)
        closing = first or (date(after, 6, 30) if south else date(after, 12, 31)) + timedelta(days=1)
        days[year] = min((closing - opening).days - 1, DAYS)
    ordered = sorted(days.values())
    middle = ordered[(len(ordered) - 1) // 2] if ordered else None
    short = ordered[max(0, -(-len(ordered) // 10) - 1)] if ordered else None
    return Season(days, middle, short, int((past.tmean_doy_c >= GROWTH_C).sum()))


def _daily(record: Record) -> tuple[F64, F64, F64]:
    """Bands of the daily mean over the years, least minimum and greatest maximum for each day from 1 January."""
    dates, columns = without_leap_days(record)
    months = dates.astype("datetime64[M]")
    starts = np.cumsum(np.append(0, MONTH_LENGTHS[:-1]))
    day = starts[months.astype(np.int64) % 12] + (dates - months).astype(np.int64)
    year = dates.astype("datetime64[Y]").astype(np.int64)
    year -= year.min()
    grid = {name: np.full((int(year.max()) + 1, DAYS), np.nan) for name in ("tmin_c", "tmax_c")}
    for name, values in grid.items():
        values[year, day] = columns[name]
    mean = (grid["tmin_c"] + grid["tmax_c"]) / 2
    bands = np.nanpercentile(mean, BANDS, axis=0)
    return (
        np.asarray(bands),
        np.asarray(np.nanmin(grid["tmin_c"], axis=0)),
        np.asarray(np.nanmax(grid["tmax_c"], axis=0)),
    )


def _extreme(record: Record, values: F64, *, greatest: bool) -> Extreme:
    index = int(np.argmax(values) if greatest else np.argmin(values))
    return Extreme(float(values[index]), str(record.dates[index]))


def _longest_dry(record: Record) -> int:
    """The longest run of days with under 1 mm."""
    wet = np.concatenate([[-1], np.flatnonzero(record.rain_mm >= 1.0), [len(record.rain_mm)]])
    return int(np.diff(wet).max()) - 1
