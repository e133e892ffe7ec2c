"""What every drawing of the report is: a picture for the eye, and the same numbers as a table for everybody."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

NARROW, WIDE = 344, 712
"""Widths in px that drawings are made for: a phone's column and a page's."""


@dataclass(frozen=True)
class Table:
    """A table of words; the first column names the row. `keys` are the result keys of the cells ("" for none), if any."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    keys: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True)
class Drawing:
    """A drawing: `draw(theme name, width px)` gives SVG. `widths` are the ones it is worth making in."""

    key: str
    title: str
    alt: str
    draw: Callable[[str, int], str]
    table: Table
    widths: tuple[int, ...] = (NARROW,)
