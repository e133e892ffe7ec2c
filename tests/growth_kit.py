"""Made holdings and weather for the tests of growth and dates: one plot, one planting, weather by rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from yardland.datebook.season import season_climate
from yardland.datebook.strips import lay_out
from yardland.growth import traits as tr
from yardland.growth import twin
from yardland.growth.dressing import Dressing
from yardland.growth.io import KernelInput, KernelOutput, empty_output
from yardland.growth.layout import Layout
from yardland.growth.outcome import FACTORS, GrowthResult, read_out
from yardland.growth.reference_climate import reference_forcing
from yardland.growth.run import grow, kernel_input, run_kernel
from yardland.growth.sward import SwardYear
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


def seasonal(rain_mm: float = 2.0) -> Forcing:
    """A cool climate whose evapotranspiration follows the sun, so that winter rain drains: 0.3 mm a day to 3.7."""
    day = np.tile(np.arange(1.0, 366.0), 2)
    eto = 2.0 - 1.7 * np.cos(2 * np.pi * (day - 5) / 365)
    return replace(weather("cool", rain_mm=rain_mm), eto_mm=eto[:, None])


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


def grown(
    plan: Holding, forcing: Forcing, water_demand_m3_day: Any = 0.0, dressings: Sequence[Dressing] = ()
) -> GrowthResult:
    """A plan laid out and grown."""
    return grow(plan, tables(), forcing, laid(plan, forcing), water_demand_m3_day, dressings)


def grown_as_laid(plan: Holding, forcing: Forcing, layout: Layout, dressings: Sequence[Dressing] = ()) -> GrowthResult:
    """A layout made in one climate grown in another weather, on ground that is always fit to work."""
    given, supply = kernel_input(plan, tables(), forcing, layout, 0.0, dressings)
    given.traits[tr.FIT_SOIL] = 0.0
    return read_out(plan, tables(), layout, forcing, given, run_kernel(given), supply.names)


def dressing(planting: str, mineral_n_kg_ha: float = 0.0, fresh_n_kg_ha: float = 0.0) -> Dressing:
    """Nitrogen for one planting, at hand at once and within the year."""
    total = mineral_n_kg_ha + fresh_n_kg_ha
    return Dressing(planting, "field", "raw manure", 0.0, total, mineral_n_kg_ha, fresh_n_kg_ha, 0.0, 0.0, 0.0, 0.0)


def on(plan: Holding, **soil: object) -> Holding:
    """The same plan on another soil."""
    return plan.model_copy(update={"soil": {"loam": Soil.model_validate({"texture": "loam", **soil})}})


def swards(plan: Holding, forcing: Forcing) -> tuple[SwardYear, ...]:
    """The swards of a plan, grown."""
    return grown(plan, forcing).swards


def factor(result: GrowthResult, name: str, planting: int = 0) -> float:
    """A factor of a planting in the first lane, of the sowing that counts."""
    return float(result.pick(result.factors[name])[planting, 0])


def t_ha(result: GrowthResult, planting: int = 0) -> float:
    """Yield of a planting in the first lane, tonnes a hectare."""
    return float(result.pick(result.yield_kg_ha)[planting, 0]) / 1000.0


def least_factor(result: GrowthResult, planting: int = 0) -> str:
    """The factor that holds a planting down the most in the first lane."""
    return min(FACTORS, key=lambda name: factor(result, name, planting))


EVENING = (
    "water_mm",
    "n_kg_ha",
    "fresh_n_kg_ha",
    "evaporated_mm",
    "root_m",
    "phase",
    "kcb",
    "crop_n_kg_ha",
    "mass_g_m2",
)


class _Evenings(twin.Lane):
    """The plain kernel on its first lane, its ground written down every evening."""

    def __init__(self, given: KernelInput, out: KernelOutput) -> None:
        super().__init__(given, out, 0)
        self.seen: dict[str, list[Any]] = {name: [] for name in EVENING}

    def _month_end(self, strip: int, ground: Any, number: int) -> None:
        super()._month_end(strip, ground, number)
        if strip == 0:
            for name, values in self.seen.items():
                value = getattr(ground, name)
                values.append(list(value) if isinstance(value, list) else value)


def evenings(plan: Holding, forcing: Forcing, dressings: Sequence[Dressing] = ()) -> dict[str, np.ndarray]:
    """The first strip of a plan as it is every evening, arrays by EVENING [day], layered ones [day, layer]."""
    given, _ = kernel_input(plan, tables(), forcing, laid(plan, forcing), 0.0, dressings)
    lane = _Evenings(given, empty_output(given))
    lane.run()
    return {name: np.array(values) for name, values in lane.seen.items()}
