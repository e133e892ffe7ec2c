"""Values of a record that can be and yet look wrong: told, never changed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.weather.climate import RAIN_DAY_MM
from yardland.weather.fill import day_of_year
from yardland.weather.limits import limits
from yardland.weather.sun import extraterrestrial_radiation_mj_m2
from yardland.weather.types import F64, Record

SHOWN = 6
"""So many of one kind are listed, the most striking first."""


@dataclass(frozen=True)
class Suspect:
    """A day or span that looks wrong, and why."""

    first: str
    last: str
    what: str


def suspects(record: Record) -> tuple[Suspect, ...]:
    """Rain far over any other day's, dry runs too long for chance, stuck or equal temperatures, a dark sensor.

    The limits stand in data/limits.csv. A suspect may well be true: a cloudburst, a drought.
    """
    return (*_greatest_rain(record), *_dry_runs(record), *_stuck(record), *_equal(record), *_dark(record))


def _greatest_rain(record: Record) -> list[Suspect]:
    """Days with more than three times the rain of the next."""
    order = np.argsort(record.rain_mm)[::-1]
    if len(order) < 2:
        return []
    most, next_most = float(record.rain_mm[order[0]]), float(record.rain_mm[order[1]])
    if next_most <= 0 or most <= limits()["rain_times"] * next_most:
        return []
    day = str(record.dates[order[0]])
    return [Suspect(day, day, f"{most:.1f} mm of rain; the next greatest day has {next_most:.1f} mm")]


def _dry_runs(record: Record) -> list[Suspect]:
    """Dry runs that independent days with each month's share of rain days would bring in few years."""
    wet = record.rain_mm >= RAIN_DAY_MM
    month = record.dates.astype("datetime64[M]").astype(np.int64) % 12
    share = np.bincount(month, weights=wet, minlength=12) / np.maximum(np.bincount(month, minlength=12), 1)
    log_dry = np.log(np.clip(1 - share[month], 1e-9, 1.0))
    years = max(len(wet) / 365, 1.0)
    found = []
    for start, end in _runs(~wet):
        # Rain keeps together, so a run's chance is far greater than by independent days.
        chance = float(np.exp(log_dry[start:end].sum() * limits()["dry_run_exponent"])) * 365
        if chance < (1 - limits()["dry_run_share"]) / years:
            found.append((chance, start, end))
    return [
        _span(record, start, end, f"no rain day for {end - start} days, among months that have them (a blocked gauge?)")
        for _, start, end in sorted(found)[:SHOWN]
    ]


def _stuck(record: Record) -> list[Suspect]:
    same = (np.diff(record.tmin_c) == 0) & (np.diff(record.tmax_c) == 0)
    runs = [(start, end + 1) for start, end in _runs(same) if end + 1 - start >= limits()["stuck_days"]]
    longest = sorted(runs, key=lambda run: run[0] - run[1])[:SHOWN]
    return [_span(record, start, end, f"the same temperatures for {end - start} days") for start, end in longest]


def _equal(record: Record) -> list[Suspect]:
    days = np.flatnonzero(record.tmin_c == record.tmax_c)
    return [
        _span(record, int(day), int(day) + 1, f"least and greatest temperature both {record.tmin_c[day]:g} C")
        for day in days[:SHOWN]
    ]


def _dark(record: Record) -> list[Suspect]:
    if "rad_mj_m2" in record.estimated:
        return []
    outside: F64 = extraterrestrial_radiation_mj_m2(record.latitude_deg, day_of_year(record.dates))
    share = record.rad_mj_m2 / np.maximum(outside, 0.1)
    days = np.flatnonzero((share < limits()["dark_share"]) & (outside > 1.0))
    order = days[np.argsort(share[days], kind="stable")][:SHOWN]
    return [
        _span(record, int(day), int(day) + 1, f"radiation {record.rad_mj_m2[day]:.2f} MJ/m2, hardly any")
        for day in order
    ]


def _span(record: Record, start: int, end: int, what: str) -> Suspect:
    return Suspect(str(record.dates[start]), str(record.dates[end - 1]), what)


def _runs(mask: np.typing.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Half-open runs of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(np.int8), [0]])))
    return [(int(start), int(end)) for start, end in zip(edges[::2], edges[1::2], strict=True)]
