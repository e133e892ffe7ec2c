"""The handbook tables as the rooms read them: rows, figures, the user's own figures over them, and what was read."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from yardland.errors import Fault, InputFaults, TableError
from yardland.reference.figure import Figure, Override
from yardland.reference.schema import Column, Source
from yardland.reference.table import Table, range_words, read_table, schema_of, within

if TYPE_CHECKING:
    from yardland.holding.model import OwnRow

DATA = Path(__file__).parent / "data"
OWN_FILE = "own.csv"


class Row:
    """One row of a table. Reading a figure notes its key in `Tables.read_keys`."""

    __slots__ = ("_own", "_read", "_table", "key")

    def __init__(self, table: Table, key: str, own: dict[str, Override], read: set[str]) -> None:
        self._table = table
        self._own = own
        self._read = read
        self.key = key

    def __getitem__(self, column: str) -> float | None:
        """The figure in `column`, or None where the table has none.

        Raises:
            TableError: the table has no such figure column.
        """
        name = figure_column(self._table, column).column
        full = f"{self._table.name}.{self.key}.{name}"
        override = self._own.get(full)
        value = self._table.numbers[self.key].get(name) if override is None else override.value
        if value is not None:
            self._read.add(full)
        return value

    def need(self, column: str) -> float:
        """The figure in `column`.

        Raises:
            TableError: no such figure column, or the cell is empty.
        """
        value = self[column]
        if value is None:
            raise TableError(f"{self._table.name}.{self.key}.{column} is empty, and a figure is needed")
        return value

    def text(self, column: str) -> str:
        """The cell as written ("" where empty); works for every column.

        Raises:
            TableError: the table has no such column.
        """
        cells = self._table.texts[self.key]
        if column not in cells:
            raise TableError(f"{self._table.name} has no column {column!r}{nearest(column, cells)}")
        return cells[column]


class Tables:
    """All tables; each is read from its file when first asked for.

    read_keys : every figure read since loading, as "table.row.column"
    own : the user's own figures by key
    """

    def __init__(self, folder: Path, own: Iterable[OwnRow] = ()) -> None:
        self._folder = folder
        self.read_keys: set[str] = set()
        self._rows: dict[tuple[str, str], Row] = {}
        self.own: dict[str, Override] = self._accept(tuple(own))

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the tables."""
        return tuple(schema_of(self._folder).columns)

    def row(self, table: str, key: str) -> Row:
        """A row by its key; spaces may stand for underscores ("sandy loam").

        Raises:
            TableError: no such table or row; the message names the nearest.
        """
        found = self._rows.get((table, key))
        if found is None:
            held = read_table(self._folder, table)
            name = key if key in held.texts else key.replace(" ", "_")
            if name not in held.texts:
                raise TableError(f"{table} has no row {key!r}{nearest(key, held.texts)}")
            found = self._rows[table, key] = Row(held, name, self.own, self.read_keys)
        return found

    def has(self, table: str, key: str) -> bool:
        """Whether `row` finds that row."""
        texts = read_table(self._folder, table).texts
        return key in texts or key.replace(" ", "_") in texts

    def keys(self, table: str) -> tuple[str, ...]:
        """Keys of a table's rows, in the order of the file."""
        return tuple(read_table(self._folder, table).texts)

    def where(self, table: str, **cells: str) -> tuple[str, ...]:
        """Keys of the rows whose text columns hold exactly these cells: `kind="bought"` in goods."""
        held = read_table(self._folder, table)
        return tuple(
            key for key, texts in held.texts.items() if all(texts.get(name) == cell for name, cell in cells.items())
        )

    def figure(self, key: str) -> Figure:
        """A figure by its full key "table.row.column"; row keys may hold dots.

        Raises:
            TableError: no such figure, or an empty cell that the user has not filled either.
        """
        held, row, column = self._resolve(key)
        full = f"{held.name}.{row}.{column.column}"
        override = self.own.get(full)
        table_value = held.numbers[row].get(column.column)
        value = table_value if override is None else override.value
        if value is None:
            raise TableError(f"{full} is empty in the tables")
        self.read_keys.add(full)
        cells, sources = held.texts[row], schema_of(self._folder).sources
        known = table_value is not None
        return Figure(
            key=full,
            value=value,
            unit=column.unit_in(cells),
            low=held.numbers[row].get(column.low),
            high=held.numbers[row].get(column.high),
            source=sources[cells[column.src]].citation if known else "none: the table has no figure here",
            standing=cells[column.st] if known else "none",
            meaning=column.meaning,
            overridden_by=override,
            table_value=table_value,
        )

    def figure_keys(self, table: str) -> tuple[str, ...]:
        """Full keys of every figure that a table holds."""
        held = read_table(self._folder, table)
        return tuple(f"{table}.{row}.{name}" for row, values in held.numbers.items() for name in values)

    def source(self, key: str) -> Source:
        """A source by its key.

        Raises:
            TableError: no such source.
        """
        sources = schema_of(self._folder).sources
        if key not in sources:
            raise TableError(f"no source {key!r}{nearest(key, sources)}")
        return sources[key]

    def _resolve(self, key: str) -> tuple[Table, str, Column]:
        """Table, row key and column of a full key."""
        table, _, rest = key.partition(".")
        row, _, name = rest.rpartition(".")
        if table not in schema_of(self._folder).columns:
            raise TableError(f"no table {table!r}{self._elsewhere(table)}")
        held = read_table(self._folder, table)
        if rest in held.texts:
            raise TableError(f"{key} is a row; it has the figures {', '.join(held.numbers[rest])}")
        if row not in held.texts:
            wanted = row or name
            ends = (f"{table}.", f".{name}" if row else "")
            raise TableError(f"{table} has no row {wanted!r}{nearest(wanted, held.texts, *ends)}")
        return held, row, figure_column(held, name, f"{table}.{row}.")

    def _elsewhere(self, word: str) -> str:
        """Tables of a name like `word`, or rows of that name: the tail of a message."""
        rows = [f"{name}.{word}" for name in self.names if word in read_table(self._folder, name).texts]
        return f"; nearest: {', '.join(rows)}" if rows else nearest(word, self.names)

    def _accept(self, own: tuple[OwnRow, ...]) -> dict[str, Override]:
        """The user's own figures by full key; every fault at once."""
        accepted: dict[str, Override] = {}
        faults: list[Fault] = []
        for line in own:
            try:
                held, row, column = self._resolve(line.key)
            except TableError as error:
                faults.append(
                    own_fault(line.line, "key", line.key, "the key of a figure: table.row.column", str(error))
                )
                continue
            full, cells = f"{held.name}.{row}.{column.column}", held.texts[row]
            if not within(column, cells, line.value):
                remedy = f"Give a figure that {full} can hold, in {column.unit_in(cells)}"
                faults.append(own_fault(line.line, "value", f"{line.value:g}", range_words(column, cells), remedy))
            elif full in accepted:
                remedy = f"Keep one line for {full}"
                faults.append(own_fault(line.line, "key", line.key, "each figure once", remedy))
            else:
                accepted[full] = Override(line.line, line.value, line.why)
        if faults:
            raise InputFaults(faults)
        return accepted


def load_tables(own: Iterable[OwnRow] = (), folder: Path = DATA) -> Tables:
    """The tables shipped with yardland, under the user's own figures.

    Args:
        own: lines of own.csv.
        folder: where the table files lie.

    Raises:
        InputFaults: lines of own.csv that name no figure, name one twice or give one that cannot be.
        TableError: a shipped table is not what it must be.
    """
    return Tables(folder, own)


def figure_column(table: Table, name: str, before: str = "") -> Column:
    """The figure column of that name (or other name).

    Raises:
        TableError: the table has no such figure column; the message names the nearest, after `before`.
    """
    column = table.columns.get(table.also.get(name, name))
    if column is None or column.kind != "figure":
        figures = [other.column for other in table.columns.values() if other.kind == "figure"]
        raise TableError(f"{table.name} has no figure column {name!r}{nearest(name, figures, before)}")
    return column


def nearest(word: str, words: Iterable[str], before: str = "", after: str = "") -> str:
    """Up to three of `words` that resemble `word`, as the tail of a message; empty if none does."""
    close = difflib.get_close_matches(word, list(words), n=3, cutoff=0.5)
    return "; nearest: " + ", ".join(f"{before}{match}{after}" for match in close) if close else ""


def own_fault(line: int, column: str, found: str, expected: str, remedy: str) -> Fault:
    """A fault in a line of own.csv."""
    return Fault(OWN_FILE, f"line {line}, column {column}", found, expected, f"{remedy}.")
