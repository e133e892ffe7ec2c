"""Made holdings and weather for the tests of growth and dates: one plot, one planting, weather by rule."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import lru_cache
from pathlib import Path

import numpy as np

from yardland.datebook.season import season_climate
from yardland.datebook.strips import lay_out
from yardland.growth.layout import Layout
from yardland.growth.outcome import GrowthResult
from yardland.growth.reference_climate import reference_forcing
from yardland.growth.run import grow
from yardland.holding.model import Block, Holding, MonthDay, Person, Place, PlantingRow, Plot, Soil, TreeRow, Water
from yardland.reference import load_tables
from yardland.reference.tables import Tables
from yardland.weather.types import Forcing


@lru_cache(maxsize=1)
def tables() -> Tables:
    """The shipped tables."""
    return load_tables()


def weather(
    climate: str = "cool", rain_mm: float = 3.0, light: float = 1.0, lanes: int = 1, start_month: int = 1
) -> Forcing:
    """A reference climate with rain every fourth day, some share of its light, lanes alike, from any month."""
    forcing = reference_forcing(tables(), climate)
    turn = -int(np.array([0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334])[start_month - 1])
    rain = np.where(np.arange(730) % 4 == 0, 4.0 * rain_mm, 0.0)[:, None]

    def lane(values: np.ndarray) -> np.ndarray:
        return np.repeat(np.roll(values[:365], turn, axis=0), lanes, axis=1)

    def both(values: np.ndarray) -> np.ndarray:
        year = lane(values)
        return np.ascontiguousarray(np.concatenate([year, year]))

    return replace(
        forcing,
        tmin_c=both(forcing.tmin_c),
        tmax_c=both(forcing.tmax_c),
        rad_mj_m2=both(forcing.rad_mj_m2) * light,
        rain_mm=np.repeat(rain, lanes, axis=1),
        eto_mm=both(forcing.eto_mm),
        daylength_h=both(forcing.daylength_h),
        twilight_daylength_h=both(forcing.twilight_daylength_h),
        labels=tuple(f"{climate} {number}" for number in range(lanes)),
        start_years=(2001,) * lanes,
        led_in_by_itself=(True,) * lanes,
        start_month=start_month,
    )


def southern(forcing: Forcing) -> Forcing:
    """The same weather half a year later, as it comes south of the equator."""
    names = ("tmin_c", "tmax_c", "rad_mj_m2", "rain_mm", "eto_mm", "daylength_h", "twilight_daylength_h")
    turned = {name: np.roll(getattr(forcing, name), 182, axis=0) for name in names}
    return replace(forcing, **turned, latitude_deg=-forcing.latitude_deg)


def row(crop: str, sow: object = "auto", **more: object) -> PlantingRow:
    """A line of plantings.csv in the plot "field"."""
    return PlantingRow.model_validate({"line": 2, "plot": "field", "crop": crop, "sow": sow, **more})


def holding(*rows: PlantingRow, trees: tuple[TreeRow, ...] = (), water: Water | None = None, **plot: object) -> Holding:
    """A holding of one plot of 1,000 m2 with these plantings, and trees on it if any."""
    part = {"use": "crops", "area_m2": 1000.0, "soil": "loam", **plot}
    return Holding(
        folder=Path(),
        place=Place(name="Made", latitude_deg=52, longitude_deg=0, country="GB", year_starts=MonthDay(1, 1)),
        people={"one": Person(born=date(1990, 1, 1), sex="f", weight_kg=60)},
        soil={"loam": Soil(texture="loam")},
        water=water or Water(),
        plot={"field": Plot.model_validate(part)},
        block={"wood": Block(plot="field", trees=trees)} if trees else {},
        plantings=rows,
    )


def laid(plan: Holding, forcing: Forcing, rotation_year: int = 1) -> Layout:
    """Strips of a plan in the climate of a forcing."""
    return lay_out(plan, tables(), season_climate(forcing), rotation_year)


def grown(plan: Holding, forcing: Forcing, water_demand_m3_day: float = 0.0) -> GrowthResult:
    """A plan laid out and grown."""
    return grow(plan, tables(), forcing, laid(plan, forcing), water_demand_m3_day)
