"""What cannot be in a weather record, as a list of small checks of one shape, and the filling of short gaps."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
import numpy.typing as npt

from yardland.weather.limits import limits
from yardland.weather.parse import Parsed
from yardland.weather.sheet import Faults
from yardland.weather.sun import extraterrestrial_radiation_mj_m2
from yardland.weather.types import F64

LONGEST_FILLED_DAYS = 5
SHORTEST_RECORD_DAYS = 365
MONTH_WORDS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
HOTTEST_YEARLY_MEAN_C = 35.0
"""No station's mean is over it (Dallol, 34.6 C over 1960-66, is the hottest on record; from memory)."""
JUMP_HALF_WINDOW = 7
HOURLY_ROWS = 2.0
"""So many rows a day are no slip: the file is one of hours or of several stations."""
HALF_A_MONTH = 15
WARM_NORTH = (5, 6, 7, 8, 9, 10)
"""Months of the high sun and the heat after it, north of the equator."""


@dataclass(frozen=True)
class Range:
    """Least and greatest possible value of a column, and what a value outside usually is."""

    low: float
    high: float
    unit: str
    if_outside: str
    source: str
    standing: str


@cache
def ranges() -> dict[str, Range]:
    """data/ranges.csv by column."""
    text = (files("yardland.weather") / "data" / "ranges.csv").read_text("utf-8")
    return {
        row["column"]: Range(
            float(row["low"]), float(row["high"]), row["unit"], row["if_outside"], row["source"], row["standing"]
        )
        for row in csv.DictReader(text.splitlines())
    }


def check_record(parsed: Parsed, latitude_deg: float, faults: Faults) -> None:
    """Walk every check over the rows."""
    if not len(parsed.dates):
        if not faults:
            faults.add("empty", "whole file", "a header without rows", "one row a day", "Add the daily rows.")
        return
    for check in CHECKS:
        check(parsed, latitude_deg, faults)


def in_range(values: F64, column: str, places: list[str], faults: Faults) -> None:
    """Fault every value outside data/ranges.csv; `places` names each row."""
    limit = ranges()[column]
    for index in np.flatnonzero((values < limit.low) | (values > limit.high)):
        faults.add(
            f"range {column}",
            places[index],
            f"{column} {values[index]:g}",
            f"{limit.low:g} to {limit.high:g} {limit.unit}",
            f"Correct the value or leave it empty; was it {limit.if_outside}?",
        )


def _order(parsed: Parsed, _latitude_deg: float, faults: Faults) -> None:
    seen: dict[np.datetime64, int] = {}
    rows_a_day = len(parsed.dates) / len(np.unique(parsed.dates))
    if rows_a_day >= HOURLY_ROWS:
        remedy = "Make days of it: least and greatest temperature, sum of rain and radiation, mean of the others."
        faults.add("rows", "whole file", f"{rows_a_day:.0f} rows a day", "one row a day", remedy)
        return
    latest: np.datetime64 | None = None
    for day, line in zip(parsed.dates, parsed.lines, strict=True):
        where = f"line {line}, column date"
        if day in seen:
            faults.add(
                "duplicate", where, f"{day} again (first in line {seen[day]})", "each day once", "Remove one row."
            )
        elif latest is not None and day < latest:
            faults.add("order", where, f"{day} after {latest}", "days in order of time", "Sort the rows by date.")
        seen.setdefault(day, int(line))
        latest = day if latest is None else max(latest, day)


def _ranges(parsed: Parsed, _latitude_deg: float, faults: Faults) -> None:
    for column, values in parsed.values.items():
        in_range(values, column, _places(parsed, column), faults)


def _swapped(parsed: Parsed, _latitude_deg: float, faults: Faults) -> None:
    low, high = parsed.values["tmin_c"], parsed.values["tmax_c"]
    wrong = np.flatnonzero(low > high)
    if len(wrong) > 0.5 * len(low):
        found = f"tmin_c over tmax_c on {len(wrong)} of {len(low)} days, first in line {parsed.lines[wrong[0]]}"
        faults.add("swapped", "header, columns tmin_c and tmax_c", found, "tmin_c at or under tmax_c", "Swap the two.")
        return
    for index in wrong:
        where = f"line {parsed.lines[index]}, columns tmin_c and tmax_c"
        found = f"tmin_c {low[index]:g} over tmax_c {high[index]:g}"
        faults.add("swapped", where, found, "tmin_c at or under tmax_c", "Swap the two values.")


def _fahrenheit(parsed: Parsed, _latitude_deg: float, faults: Faults) -> None:
    means = (parsed.values["tmin_c"] + parsed.values["tmax_c"]) / 2
    if np.isfinite(means).any() and np.nanmean(means) > HOTTEST_YEARLY_MEAN_C:
        found = f"mean temperature {np.nanmean(means):.1f}"
        remedy = "If the file is in degrees Fahrenheit, name the columns tmin_f and tmax_f."
        faults.add("unit", "columns tmin_c and tmax_c", found, f"under {HOTTEST_YEARLY_MEAN_C:g} C", remedy)


def _inches(parsed: Parsed, _latitude_deg: float, faults: Faults) -> None:
    rain = parsed.values["rain_mm"]
    wet = rain[rain > 0]
    if parsed.columns["rain_mm"].unit_said or len(wet) < 20:
        return
    if wet.mean() < 0.9 and len(wet) / len(rain) > 0.05:
        found = f"{wet.mean():.2f} mm on a mean rain day"
        remedy = "Name the column rain_in if the file is in inches, rain_mm if it is in millimetres after all."
        faults.add("unit", "column rain_mm", found, "about 1 to 20 mm on a mean rain day", remedy)


def _fraction(parsed: Parsed, _latitude_deg: float, faults: Faults) -> None:
    for column in ("rh_mean_pct", "rh_min_pct", "rh_max_pct"):
        values = parsed.values.get(column)
        if values is not None and np.isfinite(values).any() and np.nanmax(values) <= 1.5:
            found = f"no value over {np.nanmax(values):g}"
            faults.add("unit", f"column {column}", found, "per cent", "Multiply the fractions by 100.")


def _over_the_sun(parsed: Parsed, latitude_deg: float, faults: Faults) -> None:
    values = parsed.values.get("rad_mj_m2")
    if values is None:
        return
    day = (parsed.dates - parsed.dates.astype("datetime64[Y]")).astype(np.int64) + 1.0
    above = values > extraterrestrial_radiation_mj_m2(latitude_deg, day) * 1.02 + 0.3
    if above.mean() > 0.05:
        found = f"more than the sun sends above the air on {int(above.sum())} of {len(values)} days"
        remedy = "Say the unit in the column's name (rad_w_m2, rad_kwh_m2), or check place.latitude_deg."
        faults.add("unit", "column rad_mj_m2", found, "MJ/m2 a day under extraterrestrial radiation", remedy)


def _jumps(parsed: Parsed, _latitude_deg: float, faults: Faults) -> None:
    limit = ranges()["jump_c"].high
    for column in ("tmin_c", "tmax_c"):
        values = parsed.values[column]
        if len(values) <= 2 * JUMP_HALF_WINDOW:
            continue
        around = _running_median(values)
        for index in np.flatnonzero(np.abs(values - around) > limit):
            found = f"{values[index]:.1f} C among neighbours near {around[index]:.1f} C"
            expected = f"within {limit:g} C of the fifteen days about it"
            faults.add("jump", _places(parsed, column)[index], found, expected, "Correct the value or leave it empty.")


def _length(parsed: Parsed, _latitude_deg: float, faults: Faults) -> None:
    days = int((parsed.dates.max() - parsed.dates.min()).astype(np.int64)) + 1
    if days < SHORTEST_RECORD_DAYS:
        found = f"{days} days ({parsed.dates.min()} to {parsed.dates.max()})"
        remedy = "Add the missing months, or give twelve monthly normals in normals.csv instead."
        faults.add("short", "whole file", found, "at least one full year", remedy)


def _seasons(parsed: Parsed, latitude_deg: float, faults: Faults) -> None:
    """The half-year of the high sun is the warmer one outside the tropics."""
    limit = limits()
    if abs(latitude_deg) <= limit["tropics_deg"]:
        return
    mean = (parsed.values["tmin_c"] + parsed.values["tmax_c"]) / 2
    month = parsed.dates.astype("datetime64[M]").astype(np.int64) % 12 + 1
    by_month = [mean[(month == number) & np.isfinite(mean)] for number in range(1, 13)]
    if any(not len(values) for values in by_month):
        return
    monthly = np.array([values.mean() for values in by_month])
    north = np.isin(np.arange(1, 13), WARM_NORTH)
    ahead = float(monthly[north].mean() - monthly[~north].mean()) * (1 if latitude_deg > 0 else -1)
    if ahead < -limit["season_c"]:
        warm, cold = MONTH_WORDS[int(monthly.argmax())], MONTH_WORDS[int(monthly.argmin())]
        found = f"{warm} warmest, {cold} coldest: the half-year of the high sun is {-ahead:.1f} C colder than the other"
        side = "north" if latitude_deg > 0 else "south"
        remedy = "Correct the sign of place.latitude_deg, or take a record of the right half of the Earth."
        faults.add("hemisphere", "whole file", found, f"the seasons of a place {side} of the equator", remedy)


def _mixed_units(parsed: Parsed, _latitude_deg: float, faults: Faults) -> None:
    """Months whose mean stands apart from the same month of all other years: a part of the file in another unit."""
    mean = (parsed.values["tmin_c"] + parsed.values["tmax_c"]) / 2
    months, place = np.unique(parsed.dates.astype("datetime64[M]"), return_inverse=True)
    known = np.isfinite(mean)
    count = np.bincount(place[known], minlength=len(months))
    monthly = np.bincount(place[known], weights=mean[known], minlength=len(months)) / np.maximum(count, 1)
    of_year = months.astype(np.int64) % 12
    for index in np.flatnonzero(count >= HALF_A_MONTH):
        others = monthly[(of_year == of_year[index]) & (count >= HALF_A_MONTH) & (months != months[index])]
        above = float(monthly[index] - others.max()) if len(others) else 0.0
        if above > limits()["month_apart_c"]:
            found = f"mean of {monthly[index]:.1f} C, in other years at most {others.max():.1f} C"
            remedy = "Is a part of the file in degrees Fahrenheit? Bring it all to one unit."
            faults.add("mixed units", f"{months[index]}", found, "all rows in one unit", remedy)


def _mixed_rain(parsed: Parsed, _latitude_deg: float, faults: Faults) -> None:
    """Years whose rain days bring far less, or far more, than those of the other years: a part in another unit."""
    rain, limit = parsed.values["rain_mm"], limits()
    year = parsed.dates.astype("datetime64[Y]")
    amounts = {one: rain[(year == one) & (rain > 0)] for one in np.unique(year)}
    # The upper quarter: neither one flood nor nights of dew move it.
    usual = {one: np.quantile(mm, 0.75) for one, mm in amounts.items() if len(mm) >= limit["year_rain_days"]}
    order = np.sort(list(usual.values()))
    steps = order[1:] / order[:-1]
    if not len(steps) or steps.max() < limit["year_rain_apart"]:
        return
    # The years part where the step is widest; which side is in the right unit, only the owner knows.
    top = order[int(np.argmax(steps))]
    sides = [[one for one, mm in usual.items() if (mm > top) == more] for more in (False, True)]
    told = [f"{np.median([usual[one] for one in side]):.2g} in {_listed_years(side)}" for side in sides]
    found = f"rain days of two kinds: one in four brings over {' but over '.join(told)}"
    remedy = "Is a part of the file in inches, in centimetres or in tenths of a millimetre? Bring it all to one unit."
    faults.add("mixed units", "column rain_mm", found, "all rows in one unit", remedy)


def _listed_years(years: list[np.datetime64]) -> str:
    words = [str(year) for year in years]
    return ", ".join(words) if len(words) <= 4 else f"{words[0]} and {len(words) - 1} other years"


def daily_change_c(parsed: Parsed) -> float:
    """Median change of the daily mean temperature from day to day."""
    mean = (parsed.values["tmin_c"] + parsed.values["tmax_c"]) / 2
    change = np.abs(np.diff(mean))
    known = change[np.isfinite(change)]
    return float(np.median(known)) if len(known) else np.inf


def smooth_note(parsed: Parsed) -> tuple[str, ...]:
    """What to say of a file whose days follow one another too smoothly for weather; nothing of one that is weather."""
    change, limit = daily_change_c(parsed), limits()["smooth_c"]
    if change >= limit:
        return ()
    words = (
        f"These days are no weather but normals posing as a year: the daily mean changes by {change:.2f} C from day to day, "
        f"any real record's by {limit:g} C or more. No frost, drought or wet spell of a real year is in it."
    )
    return (words,)


Check = Callable[[Parsed, float, Faults], None]
CHECKS: tuple[Check, ...] = (
    _order,
    _ranges,
    _swapped,
    _fahrenheit,
    _inches,
    _fraction,
    _over_the_sun,
    _jumps,
    _length,
    _seasons,
    _mixed_units,
    _mixed_rain,
)


@dataclass(frozen=True)
class Filled:
    """Every day of a record; `gaps` are (what, first day, last day) of what was missing and filled."""

    dates: npt.NDArray[np.datetime64]
    values: dict[str, F64]
    notes: tuple[str, ...]
    gaps: tuple[Gap, ...]


Gap = tuple[str, str, str]


def fill_gaps(parsed: Parsed, faults: Faults) -> Filled:
    """Every day from first to last, short gaps of the required columns filled in a straight line, and notes on them.

    A gap of up to five days is filled; a longer one is a fault. Optional columns keep NaN (FAO-56's procedures fill
    them). Call only when `check_record` found nothing.
    """
    dates = np.arange(parsed.dates[0], parsed.dates[-1] + 1, dtype="datetime64[D]")
    place = (parsed.dates - parsed.dates[0]).astype(np.int64)
    values: dict[str, F64] = {}
    gaps: list[Gap] = []
    absent = np.ones(len(dates), dtype=bool)
    absent[place] = False
    unknown = absent.copy()
    for start, end in _runs(absent):
        gaps.append(_gap("row", dates, start, end))
    for column, known in parsed.values.items():
        full = np.full(len(dates), np.nan)
        full[place] = known
        if column in {"tmin_c", "tmax_c", "rain_mm"}:
            unknown |= np.isnan(full)
            gaps += [_gap(column, dates, start, end) for start, end in _runs(np.isnan(full) & ~absent)]
            full = _straight(full)
        values[column] = full
    _refuse_long(dates, gaps, unknown, faults)
    return Filled(dates, values, tuple(_gap_notes(gaps)), tuple(gaps))


def _gap(what: str, dates: npt.NDArray[np.datetime64], start: int, end: int) -> Gap:
    return (what, str(dates[start]), str(dates[end - 1]))


def _days(gap: Gap) -> int:
    return int((np.datetime64(gap[2], "D") - np.datetime64(gap[1], "D")).astype(np.int64)) + 1


def _span(gap: Gap) -> str:
    return gap[1] if gap[1] == gap[2] else f"{gap[1]} to {gap[2]}"


def _refuse_long(
    dates: npt.NDArray[np.datetime64], gaps: list[Gap], unknown: npt.NDArray[np.bool_], faults: Faults
) -> None:
    """A fault for each gap that is too long to be filled, with the span that is free of such gaps."""
    long = [gap for gap in gaps if _days(gap) > LONGEST_FILLED_DAYS]
    if not long:
        return
    cut = unknown.copy()
    for start, end in _runs(unknown):
        cut[start:end] = end - start > LONGEST_FILLED_DAYS
    free = max(_runs(~cut), key=lambda run: run[1] - run[0], default=None)
    hint = f" The longest span without one is {dates[free[0]]} to {dates[free[1] - 1]}." if free else ""
    for gap in long:
        remedy = f"Fill the days from a station nearby, or start the file after the gap.{hint}"
        found = f"no {gap[0]} for {_days(gap)} days"
        faults.add("gap", _span(gap), found, f"at most {LONGEST_FILLED_DAYS} days missing", remedy)


def _gap_notes(gaps: list[Gap]) -> list[str]:
    """One note for each gap; one for all when the leap days of several years are what is missing."""
    leap = [gap for gap in gaps if gap[0] == "row" and gap[1] == gap[2] and gap[1].endswith("-02-29")]
    told = [gap for gap in gaps if len(leap) < 2 or gap not in leap]
    notes = [f"No {gap[0]} on {_span(gap)}: filled in a straight line from the days about it." for gap in told]
    if len(leap) >= 2:
        notes.insert(0, f"29 February is cut out of {len(leap)} leap years: filled from the days about it.")
    return notes


def _straight(values: F64) -> F64:
    known = np.flatnonzero(np.isfinite(values))
    if not len(known):
        return values
    return np.interp(np.arange(len(values)), known, values[known])


def _runs(mask: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Half-open runs of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(np.int8), [0]])))
    return [(int(start), int(end)) for start, end in zip(edges[::2], edges[1::2], strict=True)]


def _places(parsed: Parsed, column: str) -> list[str]:
    heading = parsed.columns[column].heading
    return [f"line {line}, column {heading}" for line in parsed.lines]


def _running_median(values: F64) -> F64:
    """Median of the fifteen days about each day (fewer at the ends), missing ones left out."""
    padded = np.concatenate([np.full(JUMP_HALF_WINDOW, np.nan), values, np.full(JUMP_HALF_WINDOW, np.nan)])
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * JUMP_HALF_WINDOW + 1)
    ordered = np.sort(windows, axis=1)
    count = np.isfinite(ordered).sum(axis=1)
    rows = np.arange(len(values))
    low, high = np.maximum(count - 1, 0) // 2, count // 2
    middle = (ordered[rows, low] + ordered[rows, np.minimum(high, np.maximum(count - 1, 0))]) / 2
    return np.asarray(np.where(count > 0, middle, 0.0))
