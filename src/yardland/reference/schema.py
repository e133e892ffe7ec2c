"""What the columns of each table mean (columns.csv) and what the sources are (sources.csv)."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from yardland.errors import TableError

COLUMNS_FILES = "columns*.csv"
SOURCES_FILES = "sources*.csv"
"""A room that adds tables of its own may bring columns_ROOM.csv and sources_ROOM.csv."""
NEVER_NEGATIVE = (
    "d",
    "h",
    "weeks",
    "times",
    "m",
    "cm",
    "mm",
    "mm/d",
    "mm/(C d)",
    "kg",
    "kg/ha",
    "kg/ha/a",
    "kg/m3",
    "C d",
)
UNIT_RANGES = {
    **dict.fromkeys(NEVER_NEGATIVE, (0.0, math.inf)),
    **dict.fromkeys(("%", "% of energy"), (0.0, 100.0)),
    "share": (0.0, 1.0),
    "pH": (0.0, 14.0),
    "C": (-90.0, 150.0),
}
"""Units that bound a figure by what they are, whatever its column says: the coldest air to a pressure canner's steam."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of one table.

    `kind` is "figure" or "text". A figure names the columns that hold its source key (`src`) and standing (`st`), its
    `unit` ("=name" takes the unit from that text column of the same row), the columns of its range (`low`, `high`),
    another name it answers to (`also`), and the least and most it can sensibly be, beside what its unit allows.
    """

    table: str
    column: str
    kind: str
    unit: str
    meaning: str
    src: str
    st: str
    low: str
    high: str
    also: str
    least: float | None
    most: float | None

    def unit_in(self, cells: Mapping[str, str]) -> str:
        """The unit of the figure in a row with these cells."""
        return cells[self.unit[1:]] if self.unit.startswith("=") else self.unit

    def range_in(self, cells: Mapping[str, str]) -> tuple[float, float]:
        """Least and most that the figure can be in a row with these cells: the narrower of the column's and the unit's."""
        least, most = UNIT_RANGES.get(self.unit_in(cells), (-math.inf, math.inf))
        return (
            least if self.least is None else max(least, self.least),
            most if self.most is None else min(most, self.most),
        )


@dataclass(frozen=True, slots=True)
class Source:
    """A publication or other ground of a figure."""

    key: str
    citation: str
    kind: str


@dataclass(frozen=True, slots=True)
class Schema:
    """Columns by table and name; sources by key."""

    columns: dict[str, dict[str, Column]]
    sources: dict[str, Source]


def read_records(path: Path) -> Iterator[tuple[int, dict[str, str]]]:
    """Line number and cells of each row of a table file.

    Raises:
        TableError: the file is missing, or a row has not as many cells as the header.
    """
    if not path.is_file():
        raise TableError(f"table file {path.name} is missing")
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.reader(file)
        header = next(reader, [])
        for cells in reader:
            if len(cells) != len(header):
                raise TableError(
                    f"{path.name}, line {reader.line_num}: {len(cells)} cells, the header has {len(header)}"
                )
            yield reader.line_num, dict(zip(header, cells, strict=True))


def read_schema(folder: Path) -> Schema:
    """The schema of the tables in `folder`.

    Raises:
        TableError: a column of no known kind, or a figure without unit, meaning or source columns.
    """
    columns: dict[str, dict[str, Column]] = {}
    for where, cells in _all_records(folder, COLUMNS_FILES):
        column = _column(where, cells)
        columns.setdefault(column.table, {})[column.column] = column
    sources: dict[str, Source] = {}
    for where, cells in _all_records(folder, SOURCES_FILES):
        source = Source(cells["key"], cells["citation"], cells["kind"])
        if not source.citation.strip() or sources.get(source.key, source) != source:
            raise TableError(f"{where}: source {source.key!r} has no citation, or two")
        sources[source.key] = source
    return Schema(columns, sources)


def _all_records(folder: Path, pattern: str) -> Iterator[tuple[str, dict[str, str]]]:
    """Place and cells of every row of the files that match."""
    for path in sorted(folder.glob(pattern)):
        for line, cells in read_records(path):
            yield f"{path.name}, line {line}", cells


def _column(where: str, cells: dict[str, str]) -> Column:
    """A line of columns.csv as a `Column`."""
    texts = {
        name: cells[name] for name in ("table", "column", "kind", "unit", "meaning", "src", "st", "low", "high", "also")
    }
    if texts["kind"] not in {"figure", "text"}:
        raise TableError(f"{where}: kind {texts['kind']!r} is neither figure nor text")
    needed = ("unit", "meaning", "src", "st") if texts["kind"] == "figure" else ("meaning",)
    lacking = [name for name in needed if not texts[name]]
    if lacking:
        raise TableError(f"{where}: {texts['table']}.{texts['column']} lacks {', '.join(lacking)}")
    least, most = (float(cells[name]) if cells[name] else None for name in ("least", "most"))
    return Column(**texts, least=least, most=most)
