"""The sheets of a holding (CSV): from their text to rows that know their line, with every fault of form.

Comma or semicolon between cells; with semicolons a decimal comma is read. An empty cell takes the column's default; a
column `note` is free and is not read.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Generic, TypeVar

from yardland.errors import Fault
from yardland.holding.form import known_keys, parse_part
from yardland.holding.misfit import Misfit, nearest, shown
from yardland.holding.model import CalendarRow, OwnRow, Part, PlantingRow, StoreRow, TradeRow
from yardland.holding.units import parse_number

R = TypeVar("R", bound=Part)
Cells = dict[str, str]
MOST_ROWS = 2_000
FREE_COLUMN = "note"


@dataclass(frozen=True)
class Sheet(Generic[R]):
    """What a sheet's rows are: their type, the columns that hold numbers, the columns that no sheet can lack."""

    file: str
    row: type[R]
    numbers: frozenset[str]
    needed: tuple[str, ...]
    draft_key: str

    @property
    def columns(self) -> tuple[str, ...]:
        """Every column that may stand in the header."""
        return tuple("from" if key == "from_" else key for key in known_keys(self.row) if key != "line")


SHEET_KINDS: tuple[Sheet[Part], ...] = (
    Sheet("plantings.csv", PlantingRow, frozenset({"year", "every_days", "share"}), ("plot", "crop"), "plantings"),
    Sheet("trades.csv", TradeRow, frozenset({"price", "limit_month"}), ("item", "do", "price"), "trades"),
    Sheet("own.csv", OwnRow, frozenset({"value"}), ("key", "value", "why"), "own"),
    Sheet("stores.csv", StoreRow, frozenset({"kg"}), ("good", "kg"), "stores_today"),
    Sheet("calendar.csv", CalendarRow, frozenset(), ("plot", "what", "day"), "calendar"),
)
WHOLE = frozenset({"year", "every_days"})


def parse_sheet(sheet: Sheet[R], text: str) -> tuple[list[R], list[Cells], list[Fault]]:
    """The rows of a sheet, and what is wrong with it.

    Returns:
        The sound rows (none if the header has a fault: a column may then be missing from all of them); the cells of
        the others by column; the faults.
    """
    lines, faults = _lines(sheet.file, text, _delimiter(text))
    if not lines:
        return [], [], faults
    header = [name.strip().lower() for name in lines[0][1]]
    header_faults = _header_faults(sheet, header, lines[0][0])
    faults += header_faults
    rows: list[R] = []
    unsound: list[Cells] = []
    readable = not any(fault.where.endswith("header") for fault in header_faults)
    for line, cells in lines[1 : MOST_ROWS + 1] if readable else []:
        row, row_faults = _row(sheet, header, line, cells)
        faults += row_faults
        if row is None or header_faults:
            unsound.append(dict(zip(header, cells, strict=False)))
        else:
            rows.append(row)
    if len(lines) > MOST_ROWS + 1:
        many, most = f"{len(lines) - 1} rows", f"at most {MOST_ROWS}"
        faults.append(Fault(sheet.file, f"line {lines[MOST_ROWS + 1][0]}", many, most, "Check the file."))
    return rows, unsound, faults


def _delimiter(text: str) -> str:
    """The semicolon if the first line has more of them than commas, else the comma."""
    first = text.lstrip("\r\n").split("\n", 1)[0]
    return ";" if first.count(";") > first.count(",") else ","


def _lines(file: str, text: str, delimiter: str) -> tuple[list[tuple[int, list[str]]], list[Fault]]:
    """The lines with content, each with its number, up to the first that cannot be parted into cells."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    lines: list[tuple[int, list[str]]] = []
    try:
        for line, cells in _numbered(reader):
            if any(cell.strip() for cell in cells):
                lines.append((line, cells))
    except csv.Error as error:
        remedy = "Close the quote, or take the quotation marks out."
        return lines, [Fault(file, f"line {reader.line_num}", str(error), "cells parted by commas", remedy)]
    return lines, []


def _numbered(reader: csv._reader) -> Iterator[tuple[int, list[str]]]:  # type: ignore[name-defined]
    """Rows with the number of the line they begin on."""
    begins = 1
    for cells in reader:
        yield begins, cells
        begins = reader.line_num + 1


def _header_faults(sheet: Sheet[R], header: list[str], line: int) -> list[Fault]:
    """Unknown, repeated and missing columns."""
    columns = sheet.columns
    missing = [name for name in sheet.needed if name not in header]
    if missing:
        found = "no column " + ", ".join(missing)
        remedy = "Write the names of the columns in the first line, parted by commas."
        absent = [Fault(sheet.file, f"line {line}, header", found, ",".join(columns), remedy)]
        if not set(header) & set(columns):
            return absent
        return absent + _column_faults(sheet, header, line)
    return _column_faults(sheet, header, line)


def _column_faults(sheet: Sheet[R], header: list[str], line: int) -> list[Fault]:
    """Unknown and repeated columns."""
    columns = sheet.columns
    faults = []
    for position, name in enumerate(header):
        place = f"line {line}, column {position + 1}"
        if name in header[:position] and name:
            faults.append(Fault(sheet.file, place, f"the column {shown(name)} twice", "each column once", "Drop one."))
        elif name and name not in columns and name != FREE_COLUMN:
            remedy = nearest(name, columns) or 'Take it out, or call it "note" to keep remarks.'
            expected = "one of " + ", ".join(columns)
            faults.append(Fault(sheet.file, place, f"the unknown column {shown(name)}", expected, remedy))
    return faults


def _row(sheet: Sheet[R], header: list[str], line: int, cells: list[str]) -> tuple[R | None, list[Fault]]:
    """One line as a row. A line with more cells than the header and a fault has most likely lost its columns."""
    raw, faults = _typed(sheet, header, line, cells)
    row, part_faults = parse_part(sheet.row, raw, sheet.file, _place(line))
    told = {fault.where for fault in faults}
    faults += [fault for fault in part_faults if fault.where not in told]
    extra = [cell for cell in cells[len(header) :] if cell.strip()]
    if extra or (faults and len(cells) > len(header)):
        remedy = "Write a decimal point, put text with a comma in quotes, or part the cells with semicolons."
        found = f"{len(cells)} cells"
        return None, [Fault(sheet.file, f"line {line}", found, f"at most {len(header)}, as in the header", remedy)]
    return (None if faults else row), faults


def _typed(sheet: Sheet[R], header: list[str], line: int, cells: list[str]) -> tuple[dict[str, object], list[Fault]]:
    """The filled cells of a line by column, numbers as numbers."""
    raw: dict[str, object] = {"line": line}
    faults = []
    for name, cell in zip(header, cells, strict=False):
        if not cell.strip() or name not in sheet.columns or name in raw:
            continue
        key = "from_" if name == "from" else name
        try:
            raw[key] = _number(name, cell) if name in sheet.numbers else cell.strip()
        except Misfit as misfit:
            raw[key] = None
            faults.append(Fault(sheet.file, _place(line)(name), shown(cell.strip()), misfit.expected, misfit.remedy))
    return raw, faults


def _number(name: str, cell: str) -> object:
    """A cell of a column of numbers; text that is no number goes on if the column also takes words or units."""
    if name == "year" and cell.strip() == "every":
        return "every"
    if name == "kg" and cell.strip()[-1].isalpha():
        return cell.strip()
    number = parse_number(cell)
    if name in WHOLE:
        if number != int(number):
            raise Misfit("a whole number", "Write it without decimals.")
        return int(number)
    return number


def _place(line: int) -> Callable[[str], str]:
    """Makes the place of a fault from a column's name."""
    return lambda column: f"line {line}, column {column.removesuffix('_')}" if column else f"line {line}"
