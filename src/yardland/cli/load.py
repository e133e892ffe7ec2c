"""The holding of a command, read with the names that the tables know."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yardland.holding.model import Holding
    from yardland.larderyear.result import YearResult
    from yardland.reference import Tables


def load_holding(folder: Path) -> Holding:
    """The holding in `folder`; raises `InputFaults` with everything that is wrong with it."""
    from yardland.holding.known import known_names
    from yardland.holding.read import read_holding
    from yardland.reference import load_tables

    return read_holding(folder, known_names(load_tables))


def reckon(
    holding: Holding, *, weather_year: int | None = None, seed: int | None = None, from_stores: bool = False
) -> tuple[YearResult, Tables]:
    """The larder year of a holding with its findings, and the tables under the holding's own figures."""
    from yardland.findings.collect import judged_year
    from yardland.reference import load_tables

    result = judged_year(holding, weather_year=weather_year, seed=seed, from_stores=from_stores)
    return result, load_tables(own=holding.own)
