"""Cells of a weather sheet to dates and numbers in SI units, with every bad cell named by line and column."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from yardland.weather.columns import Column, match_columns, names, split_heading
from yardland.weather.sheet import Faults, Sheet
from yardland.weather.types import F64

MISSING_WORDS = frozenset({"", "na", "n/a", "nan", "null", "none", "-", "--", "m"})
TRACES = frozenset({"t", "tr", "trace"})
"""Marks of rain too little to measure (under 0.05 mm by WMO's guides): none fell into the gauge."""
MISSING_NUMBERS = frozenset({-99.0, -999.0, -9999.0, -9900.0, -99.9, -999.9})
"""Published formats mark a missing value so (NREL TMY3, NASA POWER, GHCN-Daily and others)."""
_DATES = (
    (re.compile(r"^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ].*)?$"), (0, 1, 2)),
    (re.compile(r"^(\d{4})(\d{2})(\d{2})$"), (0, 1, 2)),
    (re.compile(r"^(\d{1,2})\.(\d{1,2})\.(\d{4})$"), (2, 1, 0)),
)
_MIDNIGHT = re.compile(r"[T ]24[:.]?00")


@dataclass(frozen=True)
class Parsed:
    """Rows whose date could be read: dates in the order of the file, their lines, columns in SI (NaN: missing)."""

    dates: npt.NDArray[np.datetime64]
    lines: npt.NDArray[np.int64]
    values: dict[str, F64]
    columns: dict[str, Column]
    notes: tuple[str, ...] = ()


def parse_daily(sheet: Sheet, faults: Faults, needed: tuple[str, ...]) -> Parsed | None:
    """Dates and columns of a daily sheet; None when the header lacks what is needed."""
    units, rows = split_units_row(sheet)
    columns = match_columns(sheet, units, faults, needed)
    if faults and any(need not in {column.quantity for column in columns} for need in needed):
        return None
    by_quantity = {column.quantity: column for column in columns}
    when = by_quantity.pop("date")
    days, kept = [], []
    for line, cells in rows:
        day = parse_date(cells[when.index], line, when.heading, faults)
        if day is not None:
            days.append(day)
            kept.append((line, cells))
    values = {
        quantity: column_values(kept, column, sheet.separator, faults) for quantity, column in by_quantity.items()
    }
    traces, midnights = _traces(kept, by_quantity), sum(bool(_MIDNIGHT.search(cells[when.index])) for _, cells in rows)
    notes = [f"{counted_days(traces)} with a trace of rain (T): counted as dry."] if traces else []
    if midnights:
        notes.append(f"{counted_days(midnights)} stamped 24:00: taken as the day that ends then.")
    return Parsed(
        np.array(days, dtype="datetime64[D]"),
        np.array([line for line, _ in kept], dtype=np.int64),
        values,
        by_quantity,
        tuple(notes),
    )


def split_units_row(
    sheet: Sheet,
) -> tuple[tuple[str, ...] | None, tuple[tuple[int, tuple[str, ...]], ...]]:
    """The cells of the units row (None if there is none) and the rows of data.

    A units row is a first row without a single number or date in it.
    """
    if not sheet.rows:
        return None, ()
    cells = sheet.rows[0][1]
    if any(character.isdigit() for cell in cells for character in _without_powers(cell)):
        return None, sheet.rows
    if all(cell.lower() in MISSING_WORDS for cell in cells):
        return None, sheet.rows
    first = [i for i, heading in enumerate(sheet.header) if names().get(split_heading(heading)[0]) in {"date", "month"}]
    units = tuple("" if index in first else cell.strip("()[]") for index, cell in enumerate(cells))
    return units, sheet.rows[1:]


def parse_date(text: str, line: int, heading: str, faults: Faults) -> date | None:
    """A day from YYYY-MM-DD, YYYY/MM/DD, YYYYMMDD or DD.MM.YYYY; None and a fault otherwise."""
    cleaned = text.strip()
    where = f"line {line}, column {heading}"
    for pattern, order in _DATES:
        match = pattern.match(cleaned)
        if not match:
            continue
        parts = [int(match.group(place + 1)) for place in order]
        try:
            return date(*parts)
        except ValueError:
            faults.add("date", where, cleaned, "a day that exists", "Correct the date, or remove the row.")
            return None
    remedy = "Write it as YYYY-MM-DD: with slashes nobody can tell day from month."
    faults.add("date", where, cleaned or "nothing", "a date like 2023-06-30 or 30.06.2023", remedy)
    return None


def column_values(rows: list[tuple[int, tuple[str, ...]]], column: Column, separator: str, faults: Faults) -> F64:
    """A column as float64 in SI; missing marks become NaN, so does a cell that is no number (and is a fault)."""
    values = np.full(len(rows), np.nan)
    for index, (line, cells) in enumerate(rows):
        cell = cells[column.index]
        trace = column.quantity == "rain_mm" and cell.lower() in TRACES
        number = 0.0 if trace else parse_number(cell, separator)
        if number is None:
            found, expected = repr(cells[column.index]), "a number, or nothing where it is missing"
            remedy = "Correct the cell or leave it empty."
            faults.add("number", f"line {line}, column {column.heading}", found, expected, remedy)
        else:
            values[index] = number
    return values * column.factor + column.offset


def counted_days(count: int) -> str:
    """A number of days in words."""
    return f"{count} day" if count == 1 else f"{count} days"


def _traces(rows: list[tuple[int, tuple[str, ...]]], columns: dict[str, Column]) -> int:
    rain = columns.get("rain_mm")
    return 0 if rain is None else sum(cells[rain.index].lower() in TRACES for _, cells in rows)


def parse_number(text: str, separator: str) -> float | None:
    """A finite number, NaN for a missing mark, None for anything else. A decimal comma is read unless `,` separates."""
    word = text.strip().lower()
    if word in MISSING_WORDS:
        return math.nan
    if separator != "," and "," in word and "." not in word:
        word = word.replace(",", ".")
    try:
        number = float(word)
    except ValueError:
        return None
    if not math.isfinite(number):
        return None
    return math.nan if number in MISSING_NUMBERS else number


def _without_powers(cell: str) -> str:
    """A unit's spelling without the digits that belong to it ("W/m2", "MJ m-2 d-1", "2 m")."""
    return re.sub(r"(?i)(?:[a-z]\s?-?[123](?![0-9.])|\b\d+ ?m\b)", "", cell)
