"""Which soil a plot stands on, and the water that it holds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from yardland.errors import Fault, InputFaults
from yardland.growth.pedotransfer import (
    MOST_CLAY_PCT,
    MOST_ORGANIC_MATTER_PCT,
    ORGANIC_MATTER_PCT,
    WaterLimits,
    water_limits,
)
from yardland.holding.model import Holding, Soil
from yardland.holding.texture import texture_class
from yardland.reference.tables import Row, Tables

DEFAULT_TEXTURE = "loam"
"""Taken where the plan names no soil for a plot."""


@dataclass(frozen=True, slots=True)
class GroundSoil:
    """A soil as growth takes it.

    texture : class, key of the soils table ; wilting_point, field_capacity, saturation : water by volume, 0-1
    ksat_mm_h : saturated conductivity ; curve_number : of the class's hydrologic group ; words : where the limits are from
    organic_matter_pct : of the plan, else of the class ; bulk_density_t_m3, clay_pct : of the class or the plan
    """

    texture: str
    wilting_point: float
    field_capacity: float
    saturation: float
    ksat_mm_h: float
    curve_number: float
    words: str
    organic_matter_pct: float
    bulk_density_t_m3: float
    clay_pct: float

    @property
    def awc_mm_m(self) -> float:
        """Water held between field capacity and wilting point, mm in a metre of soil."""
        return 1000.0 * (self.field_capacity - self.wilting_point)


def soil_of(holding: Holding, tables: Tables, plot: str) -> GroundSoil:
    """The soil of a plot; loam where the plan names none."""
    name = holding.plot[plot].soil
    return ground_soil(tables, holding.soil[name]) if name in holding.soil else class_soil(tables, DEFAULT_TEXTURE)


def first_soil(holding: Holding, tables: Tables) -> GroundSoil:
    """The plan's first soil: that of land which is no plot. Loam where there is none."""
    soil = next(iter(holding.soil.values()), None)
    return class_soil(tables, DEFAULT_TEXTURE) if soil is None else ground_soil(tables, soil)


def soil_notes(holding: Holding, tables: Tables) -> Iterator[str]:
    """What was made of a laboratory's figures, a sentence for each soil that has some."""
    for name, soil in holding.soil.items():
        if soil.sand_pct is None and soil.organic_matter_pct is None:
            continue
        made = ground_soil(tables, soil)
        words = f"soil {name}: {made.words} holds {made.awc_mm_m:.0f} mm of water for roots in a metre"
        if (soil.clay_pct or 0.0) > MOST_CLAY_PCT:
            words += f"; clay is reckoned at {MOST_CLAY_PCT:g} %, the bound of the equations"
        if (soil.organic_matter_pct or 0.0) > MOST_ORGANIC_MATTER_PCT:
            words += f"; organic matter is reckoned at {MOST_ORGANIC_MATTER_PCT:g} %, the bound of the equations"
        yield words


def class_soil(tables: Tables, texture: str) -> GroundSoil:
    """A texture class with the table's figures; raises TableError for an unknown one."""
    row = tables.row("soils", texture)
    return _soil(row, _table_limits(row), f"table of {row.text('common_name')}", None, None)


def ground_soil(tables: Tables, soil: Soil) -> GroundSoil:
    """A soil of the plan.

    With sand and clay, by the equations of Saxton & Rawls 2006; with a texture class alone, the table's figures, moved by
    what the equations make of organic matter other than 2.5 %. The user's own figures over the class's row stay above
    both. Runoff is that of the class in any case.

    Raises:
        TableError: a texture that the soils table lacks.
        InputFaults: an own figure that leaves the soil no water.
    """
    organic = soil.organic_matter_pct
    if soil.sand_pct is not None and soil.clay_pct is not None:
        row = tables.row("soils", texture_class(soil.sand_pct, soil.clay_pct))
        limits = water_limits(soil.sand_pct, soil.clay_pct, ORGANIC_MATTER_PCT if organic is None else organic)
        words = f"{soil.sand_pct:g} % sand, {soil.clay_pct:g} % clay"
    else:
        row = tables.row("soils", soil.texture or DEFAULT_TEXTURE)
        limits, words = _table_limits(row), f"table of {row.text('common_name')}"
        if organic is not None:
            limits = _moved(row, limits, organic)
    if organic is not None:
        words += f", {organic:g} % organic matter"
    if words.startswith("table of") and organic is None:
        return _soil(row, limits, words, None, soil.clay_pct)
    words = f"{words} (Saxton & Rawls 2006)"
    return _soil(row, _own_above(tables, row.key, limits), words, organic, soil.clay_pct)


def _table_limits(row: Row) -> WaterLimits:
    return WaterLimits(*(row.need(name) for name in WaterLimits._fields))


def _moved(row: Row, limits: WaterLimits, organic_matter_pct: float) -> WaterLimits:
    """The class's figures plus the difference that organic matter makes to its middle sand and clay."""
    sand, clay = row.need("sand_pct"), row.need("clay_pct")
    plain, rich = water_limits(sand, clay), water_limits(sand, clay, organic_matter_pct)
    dry, full, saturated, ksat = (a + b - c for a, b, c in zip(limits, rich, plain, strict=True))
    return WaterLimits(dry, full, saturated, max(ksat, 0.0))


def _own_above(tables: Tables, key: str, limits: WaterLimits) -> WaterLimits:
    """The limits with the user's own figures for the class over them."""
    own = {}
    for name in WaterLimits._fields:
        figure = tables.figure(f"soils.{key}.{name}")
        if figure.overridden_by is not None:
            own[name] = figure.value
    above = limits._replace(**own)
    if above.wilting_point >= above.field_capacity:
        found = f"field capacity {above.field_capacity:.3f}, wilting point {above.wilting_point:.3f}"
        remedy = "Give both of the class, or take both out and leave them to sand, clay and organic matter."
        raise InputFaults([Fault("own.csv", f"soils.{key}", found, "a field capacity above the wilting point", remedy)])
    return above


def _soil(row: Row, limits: WaterLimits, words: str, organic_pct: float | None, clay_pct: float | None) -> GroundSoil:
    return GroundSoil(
        row.key,
        *limits,
        curve_number=row.need("curve_number"),
        words=words,
        organic_matter_pct=row.need("organic_matter_pct") if organic_pct is None else organic_pct,
        bulk_density_t_m3=row.need("bulk_density_t_m3"),
        clay_pct=row.need("clay_pct") if clay_pct is None else clay_pct,
    )
