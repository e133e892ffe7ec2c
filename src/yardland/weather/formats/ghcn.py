"""GHCN-Daily of the US National Centers for Environmental Information: `.dly`, one value a line, and daily summaries.

By its readme: PRCP tenths of mm, TMAX and TMIN tenths of C, AWND tenths of m/s, missing -9999, a quality flag marks a
value that failed a check (left out), the measurement flag T a trace (nought).
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from yardland.weather.columns import unit_of
from yardland.weather.formats.taken import RECORD, Station, Taken, column, number, trimmed
from yardland.weather.parse import Parsed, counted_days, parse_date
from yardland.weather.sheet import Faults

ELEMENTS = {"TMIN": "tmin_c", "TMAX": "tmax_c", "PRCP": "rain_mm", "AWND": "wind_m_s"}
TENTHS = 0.1
MISSING = -9999
DLY_WIDTH = 261
"""Columns to the end of the thirty-first value; flags behind it may be blank and cut."""
WIND_HEIGHT_M = 10.0
SCALES: dict[str, dict[str, tuple[float, float]]] = {
    "tenths": dict.fromkeys(ELEMENTS, (0.1, 0.0)),
    "metric": dict.fromkeys(ELEMENTS, (1.0, 0.0)),
    "us": {"TMIN": (5 / 9, -160 / 9), "TMAX": (5 / 9, -160 / 9), "PRCP": (25.4, 0.0), "AWND": (0.44704, 0.0)},
}
"""value x factor + offset; a summaries file is in one of the three and does not say which."""
ONLY_TENTHS = 150.0
"""No place on Earth is at 150 C or F: a temperature over it can only be tenths of a degree Celsius."""
_HEAD = re.compile(r"(?!0000)[0-9]{4}(?:0[1-9]|1[0-2])")
_SAID = re.compile(r"^#\s*units?\s*[:=]\s*(tenths|metric|us)\s*$", re.IGNORECASE)


@dataclass
class Cells:
    """Values by day and element, as they are met."""

    lines: dict[date, int] = field(default_factory=dict)
    values: dict[str, dict[date, float]] = field(default_factory=lambda: {name: {} for name in ELEMENTS})
    failed: int = 0
    traces: int = 0
    stations: set[str] = field(default_factory=set)

    def add(self, day: date, line: int, element: str, value: float) -> bool:
        """Keep a value; False when there is one already."""
        self.lines.setdefault(day, line)
        if day in self.values[element]:
            return False
        self.values[element][day] = value
        return True


def fixed(text: str, form: str, faults: Faults) -> Taken | None:
    """A `.dly` file: one line for each month and element with 31 values and three flags each."""
    cells = Cells()
    latest: dict[str, int] = {}
    for index, line in enumerate(_lines(text), 1):
        if line.strip():
            _fixed_row(line, index, cells, latest, faults)
    return _taken(cells, form, Station(), faults)


def _fixed_row(line: str, index: int, cells: Cells, latest: dict[str, int], faults: Faults) -> None:
    element = line[17:21]
    head = line[11:17]
    if not _HEAD.fullmatch(head):
        faults.add("head", f"line {index}", line[:21], "station, year, month and element", "Fetch the file again.")
        return
    cells.stations.add(line[:11])
    if element not in ELEMENTS:
        return
    if len(line) < DLY_WIDTH:
        found = f"{len(line)} characters"
        faults.add("width", f"line {index}", found, "269 characters", "The line is cut off: fetch the file again.")
        return
    year, month = int(head[:4]), int(head[4:])
    stamp = 12 * year + month
    if stamp <= latest.get(element, 0):
        found = f"{element} of {year}-{month:02d} after a later or the same month"
        faults.add("order", f"line {index}", found, "months one after the other", "Fetch the file again.")
        return
    latest[element] = stamp
    for place in range(31):
        cell = line[21 + 8 * place : 29 + 8 * place].ljust(8)
        _one(cells, (year, month, place + 1), index, element, cell, faults)


def _one(cells: Cells, day: tuple[int, int, int], index: int, element: str, cell: str, faults: Faults) -> None:
    value = number(cell[:5])
    if value == MISSING:
        return
    where = f"line {index}, day {day[2]}"
    try:
        when = date(*day)
    except ValueError:
        faults.add(
            "date",
            where,
            f"a value on {day[0]}-{day[1]}-{day[2]}",
            "-9999 on days that do not exist",
            "Fetch the file again.",
        )
        return
    if np.isnan(value):
        faults.add("number", where, repr(cell[:5]), "a whole number", "Fetch the file again.")
        return
    _keep(cells, when, index, element, value * TENTHS, cell[5], cell[6])


def _keep(cells: Cells, when: date, index: int, element: str, value: float, mark: str, quality: str) -> bool:
    if quality.strip():
        cells.failed += 1
        cells.lines.setdefault(when, index)
        return True
    if element == "PRCP" and mark.strip() == "T":
        cells.traces += 1
        value = 0.0
    return cells.add(when, index, element, value)


def by_station(text: str, form: str, faults: Faults) -> Taken | None:
    """Lines ID,YYYYMMDD,ELEMENT,VALUE,MFLAG,QFLAG,SFLAG,OBSTIME with or without a header."""
    cells = Cells()
    for index, line in enumerate(_lines(text), 1):
        parts = [part.strip(' "') for part in line.split(",")]
        if not line.strip() or (index == 1 and parts[0].upper() == "ID"):
            continue
        if len(parts) < 6:
            found = f"{len(parts)} cells"
            faults.add("width", f"line {index}", found, "eight cells", "The line is cut off: fetch the file again.")
            continue
        cells.stations.add(parts[0])
        if parts[2] in ELEMENTS:
            _long_row(parts, index, cells, faults)
    return _taken(cells, form, Station(), faults)


def _long_row(parts: list[str], index: int, cells: Cells, faults: Faults) -> None:
    when = parse_date(parts[1], index, "date", faults)
    value = number(parts[3])
    if np.isnan(value):
        faults.add("number", f"line {index}, cell 4", repr(parts[3]), "a whole number", "Fetch the file again.")
    elif (
        when is not None
        and value != MISSING
        and not _keep(cells, when, index, parts[2], value * TENTHS, parts[4], parts[5])
    ):
        found = f"{parts[2]} of {when} again"
        faults.add("duplicate", f"line {index}", found, "each value once", "Remove one of the lines.")


def summaries(text: str, form: str, faults: Faults) -> Taken | None:
    """One line a day with a column for each element; its unit must be said, since three are in use and none is named.

    The unit is said by a first line `# units: tenths` (or metric, or us), or in the headings of the elements
    (`TMAX (F)`). Temperatures beyond 150 prove tenths.
    """
    lines = [(index, line) for index, line in enumerate(_lines(text), 1) if line.strip()]
    said = ""
    while lines and lines[0][1].startswith("#"):
        match = _SAID.match(lines.pop(0)[1])
        said = match.group(1).lower() if match else said
    table = [(index, cells) for (index, _), cells in zip(lines, csv.reader(line for _, line in lines), strict=False)]
    names = [_plain_name(name) for name in table[0][1]]
    missing = [name for name in ("DATE", "TMIN", "TMAX", "PRCP") if name not in names]
    if missing:
        remedy = "Ask for the file again with these elements."
        faults.add("header", "header", f"no column {', '.join(missing)}", "DATE, TMIN, TMAX, PRCP", remedy)
        return None
    scales, note = _scales(table, names, said, faults)
    if faults:
        return None
    cells = Cells()
    for index, parts in table[1:]:
        _wide_row(parts, index, names, scales, cells, faults)
    got = _taken(cells, form, _wide_station(table, names), faults)
    return None if got is None else Taken(got.parsed, got.form, got.kind, got.station, (note, *got.notes))


def _plain_name(heading: str) -> str:
    return re.sub(r"[(\[].*", "", heading).strip(' "').upper()


Scales = dict[str, tuple[float, float]]


def _scales(table: list[tuple[int, list[str]]], names: list[str], said: str, faults: Faults) -> tuple[Scales, str]:
    """Factor and offset of each element, and the note on how the unit is known."""
    if said:
        return SCALES[said], f"Units: {said}, as the file's first line says."
    headed = _headed(table[0][1], names)
    if headed is not None:
        return headed, "Units as the headings say."
    low, high, whole = _extremes(table, names)
    if whole and max(high, -low) > ONLY_TENTHS:
        return SCALES["tenths"], f"Units: tenths (temperatures from {low:g} to {high:g} can be nothing else)."
    faults.add(
        "unit",
        "header",
        f"no unit; temperatures from {low:g} to {high:g}",
        "tenths of C and mm, or C and mm (metric), or F and inches (us)",
        "Put a first line above the header: # units: tenths, or # units: metric, or # units: us, as the file was ordered.",
    )
    return {}, ""


def _headed(headings: list[str], names: list[str]) -> Scales | None:
    units = {
        "c": (1.0, 0.0),
        "f": (5 / 9, -160 / 9),
        "mm": (1.0, 0.0),
        "in": (25.4, 0.0),
        "m_s": (1.0, 0.0),
        "mph": (0.44704, 0.0),
    }
    found: Scales = {}
    for heading, name in zip(headings, names, strict=True):
        inner = re.search(r"[(\[](.*?)[)\]]", heading)
        if name in ELEMENTS and inner and unit_of(inner.group(1)) in units:
            found[name] = units[unit_of(inner.group(1))]
    return found if all(name in found for name in ELEMENTS if name in names) else None


def _extremes(table: list[tuple[int, list[str]]], names: list[str]) -> tuple[float, float, bool]:
    places = [names.index("TMIN"), names.index("TMAX")]
    cells = [parts[place].strip() for _, parts in table[1:] for place in places if place < len(parts)]
    values = [number(cell) for cell in cells if cell]
    known = [value for value in values if np.isfinite(value) and value != MISSING]
    whole = all(float(value).is_integer() for value in known)
    return (min(known), max(known), whole) if known else (np.nan, np.nan, False)


def _wide_row(parts: list[str], index: int, names: list[str], scales: Scales, cells: Cells, faults: Faults) -> None:
    if len(parts) != len(names):
        found = f"{len(parts)} cells"
        faults.add("width", f"line {index}", found, f"{len(names)} cells", "The line is cut off: fetch the file again.")
        return
    by_name = dict(zip(names, parts, strict=True))
    when = parse_date(by_name["DATE"], index, "DATE", faults)
    if when is None:
        return
    cells.stations.add(by_name.get("STATION", "").strip())
    if when in cells.lines:
        faults.add("duplicate", f"line {index}", f"{when} again", "each day once", "Keep one station, one row a day.")
        return
    cells.lines[when] = index
    for element in ELEMENTS:
        if element not in by_name or not by_name[element].strip():
            continue
        value = number(by_name[element].strip())
        flags = (by_name.get(f"{element}_ATTRIBUTES", "") + ",,").split(",")
        if np.isnan(value):
            found = repr(by_name[element].strip()[:30])
            faults.add("number", f"line {index}, column {element}", found, "a number", "Correct the cell or empty it.")
        elif value not in (MISSING, 9999):
            factor, offset = scales[element]
            _keep(cells, when, index, element, value * factor + offset, flags[0], flags[1])


def _wide_station(table: list[tuple[int, list[str]]], names: list[str]) -> Station:
    if len(table) < 2 or len(table[1][1]) != len(names):
        return Station()
    first = dict(zip(names, table[1][1], strict=True))
    place = [number(first.get(name, "")) for name in ("LATITUDE", "LONGITUDE", "ELEVATION")]
    known = [None if np.isnan(value) else value for value in place]
    return Station(first.get("NAME", first.get("STATION", "")).strip(), *known)


def _lines(text: str) -> list[str]:
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _taken(cells: Cells, form: str, station: Station, faults: Faults) -> Taken | None:
    """The days from the first to the last that all three needed elements know, in order of time."""
    if len(cells.stations) > 1:
        found = f"{len(cells.stations)} stations: {', '.join(sorted(cells.stations)[:4])}"
        faults.add("stations", "whole file", found, "one station", "Keep the lines of one of them.")
    lacking = [name for name in ("TMIN", "TMAX", "PRCP") if not cells.values[name]]
    if lacking and not faults:
        remedy = "Take a station that measures them, or give twelve normals in normals.csv."
        faults.add("elements", "whole file", f"no {', '.join(lacking)}", "TMIN, TMAX and PRCP", remedy)
    if faults:
        return None
    days = sorted(cells.lines)
    values = {
        ELEMENTS[name]: np.array([by_day.get(day, np.nan) for day in days])
        for name, by_day in cells.values.items()
        if by_day
    }
    columns = {
        quantity: column(quantity, name, WIND_HEIGHT_M if name == "AWND" else None)
        for name, quantity in ELEMENTS.items()
        if quantity in values
    }
    lines = np.array([cells.lines[day] for day in days], dtype=np.int64)
    parsed, notes = trimmed(Parsed(np.array(days, dtype="datetime64[D]"), lines, values, columns))
    if cells.failed:
        notes.append(f"{cells.failed} values that failed the archive's own checks are left out.")
    if cells.traces:
        notes.append(f"{counted_days(cells.traces)} with a trace of rain: counted as dry.")
    named = Station(
        station.name or next(iter(cells.stations)), station.latitude_deg, station.longitude_deg, station.altitude_m
    )
    return Taken(parsed, form, RECORD, named, tuple(notes))
