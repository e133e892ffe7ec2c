"""yardland: will this piece of ground feed this household, month by month, all year?

`load(path)` reads a holding folder; `year(holding)` computes one larder year. Heavy imports happen inside them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from yardland.version import __version__

if TYPE_CHECKING:
    from pathlib import Path

    from yardland.holding.model import Holding
    from yardland.larderyear.result import YearResult


__all__ = ["__version__", "load", "year"]


def load(path: str | Path) -> Holding:
    """Read and validate a holding folder; raises `yardland.errors.InputFaults` with every fault at once."""
    from yardland.holding.known import known_names
    from yardland.holding.read import read_holding
    from yardland.reference import load_tables

    return read_holding(path, known_names(load_tables))


def year(
    holding: Holding, *, weather_year: int | None = None, seed: int | None = None, from_stores: bool = False
) -> YearResult:
    """Compute one larder year with its findings, books closed, with foresight within that year.

    Args:
        holding: what `load` gave.
        weather_year: calendar year of the record in which the larder year starts; the last complete one if None.
        seed: of hail, pests and disease (none falls if None), and of the days where only normals are known.
        from_stores: begin with stores.csv and leave the books open.

    Raises:
        InputFaults: weather that cannot be used, own figures that name nothing, or a year that the record lacks.
    """
    from yardland.findings.collect import judged_year

    return judged_year(holding, weather_year=weather_year, seed=seed, from_stores=from_stores)
