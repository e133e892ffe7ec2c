"""yardland: will this piece of ground feed this household, month by month, all year?

`load(path)` reads a holding folder; `year(holding)` computes one larder year, `years(holding)` many. Heavy imports happen
inside them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from yardland.version import __version__

if TYPE_CHECKING:
    from pathlib import Path

    from yardland.holding.model import Holding
    from yardland.larderyear.result import YearResult
    from yardland.larderyears.result import Odds


__all__ = ["__version__", "load", "year", "years"]


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


def years(
    holding: Holding,
    *,
    count: int = 50,
    seed: int = 1,
    quick: bool = False,
    jobs: int = 1,
    scheduler: str = "",
    keep: bool = False,
) -> Odds:
    """Run many larder years, one behind the other in chains of ten, without foresight, and count them.

    Args:
        holding: what `load` gave.
        count: years that are counted.
        seed: of weather and hazards.
        quick: look fewer months ahead: faster, and a little hungrier.
        jobs: processes. In a script, call from under `if __name__ == "__main__":` when there are several.
        scheduler: address of a Dask cluster that takes their place.
        keep: keep chains that are done in the holding's out/years, and take up those that are there.

    Raises:
        InputFaults: weather that cannot be used; a cluster that is not there.
        ValueError: no year asked, or over 100,000.
    """
    from dataclasses import replace

    from yardland.larderyears.asked import Asked
    from yardland.larderyears.hindsight import hindsight, with_causes
    from yardland.larderyears.kept import kept_of
    from yardland.larderyears.result import odds_of
    from yardland.larderyears.run import run_years
    from yardland.reference import load_tables

    asked = Asked(count, seed, quick=quick, jobs=jobs, scheduler=scheduler)
    kept = kept_of(holding, asked) if keep else None
    run = run_years(holding, load_tables(own=holding.own), asked, kept=kept)
    return replace(odds_of(run), hindsight=with_causes(hindsight(run), run))
