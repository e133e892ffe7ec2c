"""The figures that a year read, gathered by table and row, each with its source and standing."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from yardland.errors import TableError
from yardland.report.words import figure, plain

if TYPE_CHECKING:
    from yardland.reference import Tables


@dataclass
class SourceLine:
    """Figures of one row of a table that share a source and a standing."""

    row: str
    standing: str
    source: int
    figures: list[tuple[str, str, str]] = field(default_factory=list)
    """Column, value with unit, full key."""


@dataclass
class Sources:
    """`tables` maps a table to its lines; `citations` are numbered from 1; `unknown` are keys the tables do not have."""

    tables: dict[str, list[SourceLine]] = field(default_factory=dict)
    citations: list[str] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    count: int = 0

    def by_source(self) -> dict[str, dict[tuple[str, int], list[SourceLine]]]:
        """The lines of each table under their standing and source, which many of them share."""
        grouped: dict[str, dict[tuple[str, int], list[SourceLine]]] = {}
        for table, lines in self.tables.items():
            for line in lines:
                grouped.setdefault(table, {}).setdefault((line.standing, line.source), []).append(line)
        return grouped


def said_by(column: str, unit: str) -> bool:
    """Whether a column's name ends with its unit: energy_kcal says kcal, base_temp_c says C."""
    return unit == "-" or column.endswith("_" + re.sub(r"[^a-z0-9]+", "_", unit.lower().replace("%", "pct")))


def gather(keys: tuple[str, ...], tables: Tables) -> Sources:
    """Every key resolved through the tables."""
    found = Sources()
    lines: dict[tuple[str, str, str, str], SourceLine] = {}
    for key in sorted(set(keys)):
        try:
            one = tables.figure(key)
        except (KeyError, TableError):
            found.unknown.append(key)
            continue
        table, row = key.split(".", 1)
        row, _, column = row.rpartition(".")
        own = one.overridden_by
        citation = f"own.csv, line {own.line}: {own.why}" if own is not None else one.source
        standing = "the household's own" if own is not None else one.standing
        if citation not in found.citations:
            found.citations.append(citation)
        place = (table, row, standing, citation)
        if place not in lines:
            lines[place] = SourceLine(plain(row), standing, found.citations.index(citation) + 1)
            found.tables.setdefault(table, []).append(lines[place])
        spread = f" ({figure(one.low)} to {figure(one.high)})" if one.low is not None and one.high is not None else ""
        unit = f" {one.unit}" if one.unit and not said_by(column, one.unit) else ""
        lines[place].figures.append((column, f"{figure(one.value, 4)}{unit}{spread}", key))
        found.count += 1
    return found
