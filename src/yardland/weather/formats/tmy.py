"""TMY3 and TMY2: typical years of hours as the National Renewable Energy Laboratory publishes them.

Neither has rain that can be used: TMY2 has none, and what TMY3 names millimetres does not add up to any (one station's
year sums to 8345), so it is left alone.
"""

from __future__ import annotations

import csv
import re

import numpy as np

from yardland.weather.formats.hourly import Rows, taken
from yardland.weather.formats.taken import Station, Taken
from yardland.weather.sheet import Faults

TMY3_COLUMNS = ("Dry-bulb (C)", "Dew-point (C)", "RHum (%)", "Wspd (m/s)", "GHI (W/m^2)")
TMY3_MISSING = -9900.0
_CLOCK = re.compile(r"^(\d{1,2}):(\d{2})$")
_DAY = re.compile(r"^(\d{1,2})/(\d{1,2})/(\d{4})$")
_HEAD2 = re.compile(r"^ ?(\d{5}) (.{20,24}) ([A-Z]{2}) +(-?\d+) ([NS]) +(\d+) +(\d+) ([EW]) +(\d+) +(\d+) +(-?\d+)")
TMY2_FIELDS = (
    (slice(67, 71), 0.1, 9999),
    (slice(73, 77), 0.1, 9999),
    (slice(79, 82), 1.0, 999),
    (slice(95, 98), 0.1, 999),
    (slice(17, 21), 1.0, 9999),
)
"""Dry bulb, dew point (tenths C), relative humidity (%), wind (tenths m/s), global horizontal radiation (Wh/m2)."""
TMY2_WIDTH = 98
CENTURY = 1900
"""TMY2 gives years of 1961-1990 by two digits."""
NO_RAIN3 = "Lprecip is not used: its unit is not what its heading says."


def tmy3(text: str, form: str, faults: Faults) -> Taken | None:
    """A TMY3 file: a line of site, name, state, zone, latitude, longitude, altitude; names; hours 01:00 to 24:00."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    station = _station3(lines[0], faults)
    names = next(csv.reader([lines[1]]))
    places = [names.index(name) if name in names else -1 for name in TMY3_COLUMNS]
    for name, place in zip(TMY3_COLUMNS, places, strict=True):
        if place < 0:
            faults.add(
                "header",
                "line 2",
                f"no column {name}",
                f"the columns {', '.join(TMY3_COLUMNS)}",
                "Fetch the file again.",
            )
    if faults:
        return None
    rows = Rows()
    for number, line in enumerate(lines[2:], 3):
        if line.strip():
            _row3(line, number, places, rows, faults)
    got = taken(rows, form, station, faults, typical=True)
    return None if got is None else Taken(got.parsed, got.form, got.kind, got.station, (*got.notes, NO_RAIN3))


def _station3(line: str, faults: Faults) -> Station:
    cells = next(csv.reader([line]))
    try:
        latitude, longitude, altitude = (float(cell) for cell in cells[4:7])
    except ValueError:
        expected = "site, name, state, zone, latitude, longitude, altitude"
        faults.add("header", "line 1", line[:80], expected, "Fetch the file again.")
        return Station()
    return Station(cells[1].strip(), latitude, longitude, altitude)


def _row3(line: str, number: int, places: list[int], rows: Rows, faults: Faults) -> None:
    cells = line.split(",")
    if len(cells) <= max(places):
        found = f"{len(cells)} fields"
        faults.add(
            "width", f"line {number}", found, "as many fields as names", "The row is cut off: fetch the file again."
        )
        return
    day, clock = _DAY.match(cells[0].strip()), _CLOCK.match(cells[1].strip())
    if not day or not clock:
        found = f"{cells[0]} {cells[1]}"[:40]
        faults.add("date", f"line {number}", found, "MM/DD/YYYY and HH:MM", "Fetch the file again.")
        return
    try:
        values = tuple(_known(float(cells[place])) for place in places)
    except ValueError:
        faults.add("number", f"line {number}", "a word among numbers", "numbers", "Fetch the file again.")
        return
    month, in_month, year = (int(part) for part in day.groups())
    rows.add((year, month, in_month, int(clock.group(1))), number, (*values, np.nan), faults)


def _known(value: float) -> float:
    return value if np.isfinite(value) and value > TMY3_MISSING else np.nan


def tmy2(text: str, form: str, faults: Faults) -> Taken | None:
    """A TMY2 file: a header of station, city, state, zone, degrees and minutes, altitude; rows of fixed width."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    head = _HEAD2.match(lines[0])
    if head is None:
        faults.add(
            "header", "line 1", lines[0][:80], "station, city, state, zone, degrees, altitude", "Fetch the file again."
        )
        return None
    north = (int(head[6]) + int(head[7]) / 60) * (1 if head[5] == "N" else -1)
    east = (int(head[9]) + int(head[10]) / 60) * (1 if head[8] == "E" else -1)
    station = Station(head[2].strip(), north, east, float(head[11]))
    rows = Rows()
    for number, line in enumerate(lines[1:], 2):
        if line.strip():
            _row2(line, number, rows, faults)
    return taken(rows, form, station, faults, typical=True)


def _row2(line: str, number: int, rows: Rows, faults: Faults) -> None:
    if len(line) < TMY2_WIDTH:
        found = f"{len(line)} characters"
        faults.add("width", f"line {number}", found, "142 characters", "The row is cut off: fetch the file again.")
        return
    try:
        year, month, day, hour = (int(line[start : start + 2]) for start in (1, 3, 5, 7))
        whole = [(int(line[place]), factor, mark) for place, factor, mark in TMY2_FIELDS]
    except ValueError:
        faults.add(
            "number", f"line {number}", "a word among numbers", "numbers in fixed columns", "Fetch the file again."
        )
        return
    values = tuple(np.nan if value >= mark else value * factor for value, factor, mark in whole)
    rows.add((CENTURY + year, month, day, hour), number, (*values, np.nan), faults)
