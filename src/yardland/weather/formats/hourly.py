"""What EPW, TMY3 and TMY2 share: rows of stamps and values, one year or months of different years, and cut-off files."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np
import numpy.typing as npt

from yardland.weather.formats.taken import RECORD, TYPICAL, Station, Taken
from yardland.weather.hours import Hours, days_of
from yardland.weather.sheet import Faults
from yardland.weather.types import F64

TYPICAL_DATED = 2001
"""Calendar year (a common one) that the days of a typical year carry."""
MIXED = "months of different years; no frost or drought of any real year"
RULE = (
    "Hours made days: stamps name the hour that ends, 24:00 belongs to its date; extremes of temperature, sums, means."
)
_TYPICAL = re.compile(r"\b(?:TMY\w*|IWEC\w*|CWEC\w*|CSWD|SWERA|ISHRAE|TRY|RMY)\b|(?i:typical (?:meteorological )?year)")
"""Names of collections of typical years, as makers write them into the LOCATION line or the comments."""
QUANTITIES = ("temperature_c", "dew_c", "rh_pct", "wind_m_s", "rad_wh_m2", "rain_mm")


@dataclass
class Rows:
    """Rows as they are read: year, month, day, hour (1-24), line and one value for each of QUANTITIES."""

    stamps: list[tuple[int, int, int, int, int]] = field(default_factory=list)
    values: list[tuple[float, ...]] = field(default_factory=list)

    def add(self, stamp: tuple[int, int, int, int], line: int, values: tuple[float, ...], faults: Faults) -> None:
        """A row; one whose stamp cannot be is a fault and left out."""
        year, month, day, hour = stamp
        try:
            date(year, month, day)
        except (ValueError, OverflowError):
            remedy = "Fetch the file again."
            faults.add("date", f"line {line}", f"{year}-{month}-{day}", "a day that exists", remedy)
            return
        if not 1 <= hour <= 24:
            expected = "hours 1 to 24, each named by its end (24:00 ends the day)"
            faults.add("hour", f"line {line}", f"hour {hour}", expected, "Fetch the file again, or renumber the hours.")
            return
        self.stamps.append((year, month, day, hour, line))
        self.values.append(values)


def taken(rows: Rows, form: str, station: Station, faults: Faults, *, typical: bool = False) -> Taken | None:
    """Days out of hourly rows; None (and faults) when they cannot be made.

    Months of different years in the order January to December are a typical year, and so is a file that says so
    (`typical`); its days are dated 2001 and 29 February is left out.
    """
    if not rows.stamps:
        if not faults:
            faults.add("empty", "whole file", "a header without rows", "a row an hour", "Fetch the file again.")
        return None
    stamps = np.array(rows.stamps, dtype=np.int64)
    values = np.array(rows.values, dtype=np.float64)
    mixed = _mixed(stamps, faults)
    notes = [RULE]
    if mixed or typical:
        leap = (stamps[:, 1] == 2) & (stamps[:, 2] == 29)
        years = f"{stamps[:, 0].min()} to {stamps[:, 0].max()}" if mixed else f"all stamped {stamps[0, 0]}"
        notes.insert(0, f"A typical year joined by its maker ({years}): {MIXED}.")
        notes += ["29 February is left out."] if leap.any() else []
        stamps, values = stamps[~leap], values[~leap]
        stamps[:, 0] = TYPICAL_DATED
    if faults or not len(stamps):
        return None
    kind = TYPICAL if mixed or typical else RECORD
    hours = _hours(stamps, values)
    closing = _closing(hours, kind, faults)
    parsed, said = days_of(hours, faults, closing)
    return None if faults else Taken(parsed, form, kind, station, (*notes, *said))


def one_year_note(rows: Rows) -> tuple[str, ...]:
    """What to say of a file whose rows carry one year and that does not say how it was made."""
    years = {stamp[0] for stamp in rows.stamps}
    if len(years) != 1:
        return ()
    return (
        f"Every row carries the year {years.pop()} and is taken as that year's weather; many makers stamp a typical year so.",
    )


def _mixed(stamps: npt.NDArray[np.int64], faults: Faults) -> bool:
    """True for months of different years; a fault when they are not those of one year from January to December."""
    starts = np.flatnonzero(np.diff(stamps[:, 1] + 12 * stamps[:, 0], prepend=-1))
    years, months = stamps[starts, 0], stamps[starts, 1]
    ahead = np.diff(months + 12 * years)
    if len(starts) < 2 or (ahead == 1).all():
        return False
    if (np.diff(months) == 1).all() and months[0] == 1:
        return True
    turned = np.flatnonzero(np.diff(months) % 12 != 1)
    wrong = int(turned[0] if len(turned) else np.flatnonzero(ahead != 1)[0]) + 1
    faults.add(
        "months",
        f"line {stamps[starts[wrong], 4]}",
        f"{years[wrong]}-{months[wrong]:02d} after {years[wrong - 1]}-{months[wrong - 1]:02d}",
        "months one after the other, or January to December of a typical year",
        "Fetch the file again, or sort its rows.",
    )
    return False


def _hours(stamps: npt.NDArray[np.int64], values: F64) -> Hours:
    months = (stamps[:, 0] - 1970) * 12 + stamps[:, 1] - 1
    days = np.asarray(
        months.astype("datetime64[M]").astype("datetime64[D]") + (stamps[:, 2] - 1), dtype="datetime64[D]"
    )
    columns = {name: values[:, place] for place, name in enumerate(QUANTITIES)}
    return Hours(dates=days, hour=stamps[:, 3], lines=stamps[:, 4], **columns)


def _closing(hours: Hours, kind: str, faults: Faults) -> np.datetime64 | None:
    """The day that a file must reach: 31 December of a typical year, else its own last; a last day cut short is told."""
    last, hour = hours.dates[-1], int(hours.hour[-1])
    must = np.datetime64(f"{TYPICAL_DATED}-12-31", "D") if kind == TYPICAL else last
    if last < must or hour < 24 - 1:
        faults.add(
            "cut off",
            f"line {hours.lines[-1]}",
            f"the last row is {str(last)[5:] if kind == TYPICAL else last} hour {hour}",
            f"rows to the end of {str(must)[5:] if kind == TYPICAL else must}",
            "The file is cut off: fetch it again.",
        )
    return must


def epw(text: str, form: str, faults: Faults) -> Taken | None:
    """An EPW file: eight header lines and hourly rows of 32 to 35 fields.

    Layout and marks of the missing as in the format's published data dictionary: field 7 dry bulb (missing 99.9), 8 dew
    point (99.9), 9 relative humidity (999), 14 global horizontal radiation Wh/m2 (9999), 22 wind m/s (999), 34 liquid
    precipitation mm (999), 35 its hours (99). Rain counts when it is known for nearly all hours and not nought all year.
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    head = lines[0].split(",")
    station = _epw_station(head, faults)
    start = next((i for i, line in enumerate(lines) if line.upper().startswith("DATA PERIODS")), None)
    if start is None:
        found = "no line DATA PERIODS"
        faults.add(
            "header", "header", found, "eight header lines from LOCATION to DATA PERIODS", "Fetch the file again."
        )
        return None
    _one_an_hour(lines[start], start + 1, faults)
    rows = Rows()
    for index, line in enumerate(lines[start + 1 :], start + 2):
        if line.strip():
            _epw_row(line, index, rows, faults)
    typical = any(_TYPICAL.search(line) for line in lines[:start] if line.startswith(("LOCATION", "COMMENTS")))
    got = taken(rows, form, station, faults, typical=typical)
    if got is None:
        return None
    notes = got.notes if got.kind == TYPICAL else (*got.notes, *one_year_note(rows))
    return _without_empty_rain(Taken(got.parsed, got.form, got.kind, got.station, notes))


def _epw_station(head: list[str], faults: Faults) -> Station:
    """Place of the LOCATION line, counted from its end: some files carry one field more."""
    cells = [cell.strip() for cell in head]
    while cells and not cells[-1]:
        cells.pop()
    for first in range(6, max(len(cells) - 3, 6) + 1):
        try:
            latitude, longitude, _zone = (float(cell) for cell in cells[first : first + 3])
            altitude = float(cells[-1])
        except (ValueError, IndexError):
            continue
        if abs(latitude) <= 90 and abs(longitude) <= 180:
            return Station(cells[1], latitude, longitude, altitude)
    found, remedy = ",".join(cells)[:80], "Fetch the file again."
    faults.add(
        "header", "line 1", found, "LOCATION,city,state,country,source,number,latitude,longitude,zone,altitude", remedy
    )
    return Station()


def _one_an_hour(line: str, number: int, faults: Faults) -> None:
    cells = [cell.strip() for cell in line.split(",")]
    if len(cells) > 2 and cells[1:3] != ["1", "1"]:
        found = f"{cells[1]} data periods, {cells[2]} rows an hour"
        faults.add("periods", f"line {number}", found, "one data period with one row an hour", "Give a file of hours.")


def _epw_row(line: str, number: int, rows: Rows, faults: Faults) -> None:
    cells = line.split(",")
    if len(cells) < 32:
        found = f"{len(cells)} fields"
        faults.add("width", f"line {number}", found, "32 to 35 fields", "The row is cut off: fetch the file again.")
        return
    try:
        year, month, day, hour = (int(float(cell)) for cell in cells[:4])
        values = [float(cells[place]) if cells[place].strip() else np.nan for place in (6, 7, 8, 21, 13)]
        rain = float(cells[33]) if len(cells) > 33 and cells[33].strip() else np.nan
    except (ValueError, OverflowError):
        faults.add("number", f"line {number}", "a word among numbers", "numbers", "Fetch the file again.")
        return
    marks = (99.9, 99.9, 999.0, 999.0, 9999.0)
    known = [
        np.nan if value >= mark or not np.isfinite(value) else value for value, mark in zip(values, marks, strict=True)
    ]
    rows.add((year, month, day, hour), number, (*known, np.nan if not 0 <= rain < 999 else rain), faults)


def _without_empty_rain(got: Taken) -> Taken:
    """Without rain that is nought all year or missing on more than one day in a hundred."""
    rain = got.parsed.values.get("rain_mm")
    if rain is None:
        return got
    missing = float(np.isnan(rain[np.isfinite(got.parsed.values["tmin_c"])]).mean())
    if missing <= 0.01 and np.nansum(rain) > 0:
        return got
    why = f"missing on {100 * missing:.0f} % of the days" if missing > 0.01 else "nought in every hour"
    values = {name: value for name, value in got.parsed.values.items() if name != "rain_mm"}
    columns = {name: value for name, value in got.parsed.columns.items() if name != "rain_mm"}
    parsed = replace(got.parsed, values=values, columns=columns)
    return replace(got, parsed=parsed, notes=(*got.notes, f"The file's rain is {why} and is not used."))
