"""yardland: will this piece of ground feed this household, month by month, all year?

`load(path)` reads a holding folder; `year(holding)` computes one larder year. Heavy imports happen inside them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from yardland.holding.model import Holding
    from yardland.year.result import YearResult

__version__ = "0.1.0"


def load(path: str | Path) -> Holding:
    """Read and validate a holding folder; raises `yardland.errors.InputFaults` with every fault at once."""
    from yardland.holding.read import read_holding

    return read_holding(path)


def year(holding: Holding, *, weather_year: int | None = None, seed: int = 1) -> YearResult:
    """Compute one larder year, books closed, with foresight within that year."""
    from yardland.year.run import run_year

    return run_year(holding, weather_year=weather_year, seed=seed)
