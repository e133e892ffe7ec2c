"""The holding of a command, read with the names that the tables know."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yardland.holding.model import Holding


def load_holding(folder: Path) -> Holding:
    """The holding in `folder`; raises `InputFaults` with everything that is wrong with it."""
    from yardland.holding.known import known_names
    from yardland.holding.read import read_holding
    from yardland.reference import load_tables

    return read_holding(folder, known_names(load_tables))
