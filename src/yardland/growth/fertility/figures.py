"""Figures of the table fertility."""

from __future__ import annotations

from yardland.reference.tables import Tables


def fertility_figure(tables: Tables, key: str) -> float:
    """The number of one row of the table fertility.

    Raises:
        TableError: no such row.
    """
    return tables.row("fertility", key).need("number")
