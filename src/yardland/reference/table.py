"""One table read from its file, every figure checked for number, range, source and standing."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from yardland.errors import TableError
from yardland.reference.figure import STANDINGS
from yardland.reference.schema import Column, Schema, read_records, read_schema


@dataclass(frozen=True)
class Table:
    """Rows of one table.

    numbers : row key -> column -> value, figures only, empty cells left out
    texts : row key -> column -> cell as written, every column
    also : other name -> column
    """

    name: str
    columns: dict[str, Column]
    numbers: dict[str, dict[str, float]]
    texts: dict[str, dict[str, str]]
    also: dict[str, str]


@lru_cache(maxsize=8)
def schema_of(folder: Path) -> Schema:
    """The schema in `folder`, read once per process."""
    return read_schema(folder)


@lru_cache(maxsize=128)
def read_table(folder: Path, name: str) -> Table:
    """The table `name` in `folder`, read once per process.

    Raises:
        TableError: no such table; a column that columns.csv does not declare; a key given twice; a figure that is no
            finite number, is outside its range, or has no known source or no standing.
    """
    schema = schema_of(folder)
    if name not in schema.columns:
        raise TableError(f"no table {name!r}; tables are {', '.join(sorted(schema.columns))}")
    columns = schema.columns[name]
    groups = _groups(columns)
    numbers: dict[str, dict[str, float]] = {}
    texts: dict[str, dict[str, str]] = {}
    for line, cells in read_records(folder / f"{name}.csv"):
        where = f"{name}.csv, line {line}"
        if cells.keys() != columns.keys():
            odd = ", ".join(sorted(cells.keys() ^ columns.keys()))
            raise TableError(f"{where}: columns differ from those declared: {odd}")
        key = cells["key"]
        if not key or key in texts:
            raise TableError(f"{where}: key {key!r} is empty or given twice")
        numbers[key] = _row_numbers(where, cells, groups, schema)
        texts[key] = cells
    also = {column.also: column.column for column in columns.values() if column.also}
    return Table(name, columns, numbers, texts, also)


def _groups(columns: dict[str, Column]) -> dict[tuple[str, str], list[Column]]:
    """Figure columns by the pair of columns that hold their source and standing."""
    groups: dict[tuple[str, str], list[Column]] = {}
    for column in columns.values():
        if column.kind == "figure":
            groups.setdefault((column.src, column.st), []).append(column)
    return groups


def _row_numbers(
    where: str, cells: dict[str, str], groups: dict[tuple[str, str], list[Column]], schema: Schema
) -> dict[str, float]:
    """The figures of one row; each group that holds one must name its source and standing."""
    values: dict[str, float] = {}
    for (src, st), members in groups.items():
        held = {column.column: _number(where, column, cells) for column in members if cells[column.column]}
        if not held:
            continue
        if cells[src] not in schema.sources:
            raise TableError(f"{where}: {next(iter(held))} has no known source ({src} = {cells[src]!r})")
        if cells[st] not in STANDINGS:
            raise TableError(f"{where}: {next(iter(held))} has no standing ({st} = {cells[st]!r})")
        values |= held
    return values


def _number(where: str, column: Column, cells: Mapping[str, str]) -> float:
    """The column's cell of a row as a finite number within its range."""
    cell = cells[column.column]
    try:
        value = float(cell)
    except ValueError:
        raise TableError(f"{where}: {column.column} = {cell!r} is not a number") from None
    if not math.isfinite(value) or not within(column, cells, value):
        raise TableError(f"{where}: {column.column} = {cell} is outside {range_words(column, cells)}")
    return value


def within(column: Column, cells: Mapping[str, str], value: float) -> bool:
    """Whether the value is one that the column can hold in the row with these cells."""
    least, most = column.range_in(cells)
    return least <= value <= most


def range_words(column: Column, cells: Mapping[str, str]) -> str:
    """The range of a column in words, in the row with these cells."""
    least, most = ("any" if math.isinf(end) else f"{end:g}" for end in column.range_in(cells))
    return f"{least} to {most} {column.unit_in(cells)}"
