"""One figure of the tables with all that a reader may ask about it."""

from __future__ import annotations

from dataclasses import dataclass

STANDINGS = ("published", "common practice", "from memory")
"""What a figure rests on: read in a named publication; held by the trade at large; remembered, to be checked."""


@dataclass(frozen=True, slots=True)
class Override:
    """The user's own figure over a table's: `line` of own.csv, and the user's reason."""

    line: int
    value: float
    why: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A number, its unit, where it comes from and how well it is known.

    `value` is the figure in force: the user's own where own.csv gives one (`overridden_by`), else the table's
    (`table_value`, None where the table is empty). `low` and `high` are the table's range where it has one.
    `source` is the citation in full.
    """

    key: str
    value: float
    unit: str
    low: float | None
    high: float | None
    source: str
    standing: str
    meaning: str
    overridden_by: Override | None
    table_value: float | None
