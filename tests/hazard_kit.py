"""Made years, crops and hazards for the tests of hazards."""

from __future__ import annotations

import dataclasses
from functools import lru_cache

import numpy as np
from growth_kit import tables, weather

from yardland.growth.hazards.falls import Chain
from yardland.holding.model import OwnRow, PlantingRow
from yardland.reference import load_tables
from yardland.reference.tables import Tables
from yardland.weather.types import Forcing

HAZARDS = tables().keys("hazards")
MANY = np.arange(1, 20_001)
LANES = 30


def row(crop: str, line: int = 2, share: float = 0.3, **more: object) -> PlantingRow:
    """A line of plantings.csv on the made field."""
    return PlantingRow.model_validate({"line": line, "plot": "field", "crop": crop, "share": share, **more})


@lru_cache(maxsize=4)
def years(lanes: int = LANES, latitude_deg: float = 52.0) -> Forcing:
    """Years that follow one another, some wetter and some warmer."""
    forcing, dice = weather(lanes=lanes), np.random.default_rng(5)
    rain, warm = dice.uniform(0.4, 1.6, lanes)[None, :], dice.normal(0.0, 1.0, lanes)[None, :]
    return dataclasses.replace(
        forcing,
        rain_mm=forcing.rain_mm * rain,
        tmin_c=forcing.tmin_c + warm,
        tmax_c=forcing.tmax_c + warm,
        start_years=tuple(range(1980, 1980 + lanes)),
        latitude_deg=latitude_deg,
    )


def chain(seed: int = 3, own: Tables | None = None, forcing: Forcing | None = None) -> Chain:
    """The hazards of the made years."""
    return Chain(own or tables(), forcing or years(), seed)


def own_tables(**figures: float) -> Tables:
    """The tables under figures of one's own: late_blight__loss_share=1."""
    lines = [
        OwnRow(line=number, key=f"hazards.{key.replace('__', '.')}", value=value, why="seen here")
        for number, (key, value) in enumerate(figures.items(), 2)
    ]
    return load_tables(own=tuple(lines))


def only(hazard: str, **figures: float) -> Tables:
    """The tables with one hazard that always comes, and no other."""
    never = {f"{key}__chance_per_year": 0.0 for key in HAZARDS if key != hazard}
    return own_tables(
        **never, **{f"{hazard}__chance_per_year": 1.0}, **{f"{hazard}__{k}": v for k, v in figures.items()}
    )


# --- what is taken -------------------------------------------------------------------------------------------------------


CROPS = (row("potato"), row("winter_wheat", 3), row("carrot", 4, 0.2))
