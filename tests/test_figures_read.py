"""Every figure of the tables of growth, weather's hazards and the soil is read by the code, or says that it is for people."""

from __future__ import annotations

import ast
import csv
import re
from functools import cache
from pathlib import Path

import pytest

SRC = Path(__file__).parents[1] / "src" / "yardland"
DATA = SRC / "reference" / "data"
BY_COLUMN = (
    "crops",
    "trees",
    "swards",
    "canopy",
    "soils",
    "buds",
    "climates",
    "crop_soil",
    "soil_buffers",
    "soil_bands",
    "off_takes",
    "hazards",
    "manures",
)
"""Tables with a row for each thing: a column is read or not."""
BY_ROW = ("growth", "winter", "fertility", "manuring", "odds")
"""Tables with a row for each figure: a row is read or not."""
FOR_PEOPLE = "for people"
LEAST_LETTERS = 4
"""An f-string with fewer letters of its own would match any name."""


@cache
def named() -> tuple[frozenset[str], tuple[re.Pattern[str], ...]]:
    """Strings that stand in the code, and patterns of its f-strings."""
    strings: set[str] = set()
    patterns: list[re.Pattern[str]] = []
    for path in SRC.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                strings.update((node.value, node.value.rpartition(".")[2]))
            elif isinstance(node, ast.JoinedStr):
                parts = [part.value if isinstance(part, ast.Constant) else None for part in node.values]
                own = "".join(str(part) for part in parts if part is not None)
                if len(own) >= LEAST_LETTERS and " " not in own:
                    patterns.append(
                        re.compile("".join(".+" if part is None else re.escape(str(part)) for part in parts))
                    )
    return frozenset(strings), tuple(patterns)


def is_named(name: str) -> bool:
    """Whether the code names it, or makes its name."""
    strings, patterns = named()
    return name in strings or any(pattern.fullmatch(name) for pattern in patterns)


@cache
def columns() -> tuple[dict[str, str], ...]:
    """Every declared column of every table."""
    return tuple(
        row
        for path in sorted(DATA.glob("columns*.csv"))
        for row in csv.DictReader(path.read_text("utf-8").splitlines())
    )


@pytest.mark.parametrize("table", BY_COLUMN)
def test_each_column_of_figures_is_read_or_for_people(table: str) -> None:
    """A user's own figure over such a column must do something; low and high ends of another column are told with it."""
    mine = [row for row in columns() if row["table"] == table]
    ends = {row[end] for row in mine for end in ("low", "high")}
    also = {row["column"]: row["also"] for row in mine}
    figures = [row for row in mine if row["kind"] == "figure" and row["column"] not in ends]
    silent = [
        row["column"]
        for row in figures
        if not is_named(row["column"]) and not (also[row["column"]] and is_named(also[row["column"]]))
    ]

    assert figures
    assert [name for name in silent if FOR_PEOPLE not in next(r["meaning"] for r in mine if r["column"] == name)] == []


@pytest.mark.parametrize("table", BY_ROW)
def test_each_row_of_a_table_of_figures_is_read_or_for_people(table: str) -> None:
    """No row that nothing reads."""
    rows = list(csv.DictReader((DATA / f"{table}.csv").read_text(encoding="utf-8").splitlines()))

    assert rows
    assert [row["key"] for row in rows if not is_named(row["key"]) and FOR_PEOPLE not in row["meaning"]] == []
