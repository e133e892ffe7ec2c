"""Water sources day by day: what each may give, before anybody draws on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.growth.crop_traits import growth_figure
from yardland.growth.heat import trailing_mean
from yardland.growth.io import F64
from yardland.growth.sky import runoff
from yardland.holding.model import WaterSource
from yardland.land.water import roof_water_m3
from yardland.reference.tables import Tables
from yardland.weather.types import Forcing

BOUNDLESS_M3 = 1e9
SHORTAGE_DAYS = 60
"""Days over which want of rain tells on wells and streams (own choice)."""


@dataclass(frozen=True)
class Supply:
    """Sources in the order of the plan.

    rate_m3[source, day, lane] : what runs or is pumped that day and is not kept
    inflow_m3[source, day, lane] : what comes into store (rain, less evaporation; may be negative)
    capacity_m3, licence_m3[source]
    """

    names: tuple[str, ...]
    rate_m3: F64
    inflow_m3: F64
    capacity_m3: F64
    licence_m3: F64


def supply(sources: dict[str, WaterSource], forcing: Forcing, tables: Tables, curve_number: float) -> Supply:
    """Daily supply of every source.

    A roof gives its rain times a coefficient; land gives its runoff by curve number; a pond also takes the rain on its
    own surface and loses open-water evaporation. A well, stream or mains gives its rate; a dry-summer rate holds while
    sixty days' evapotranspiration less rain is above a threshold. Mains without a rate are boundless.
    """
    shape = (len(sources), *forcing.rain_mm.shape)
    rate, inflow = np.zeros(shape), np.zeros(shape)
    deficit = SHORTAGE_DAYS * trailing_mean(forcing.eto_mm - forcing.rain_mm, SHORTAGE_DAYS)
    dry = deficit > growth_figure(tables, "dry_summer_deficit_mm") if sources else np.zeros_like(deficit, dtype=bool)
    for number, source in enumerate(sources.values()):
        usual = BOUNDLESS_M3 if source.kind == "mains" and source.rate_m3_day == 0 else source.rate_m3_day
        slow = usual if source.dry_summer_rate_m3_day is None else source.dry_summer_rate_m3_day
        rate[number] = np.where(dry, slow, usual)
        inflow[number] = _inflow(source, forcing, tables, curve_number)
    return Supply(
        names=tuple(sources),
        rate_m3=rate,
        inflow_m3=inflow,
        capacity_m3=np.array([source.volume_m3 for source in sources.values()], dtype=np.float64),
        licence_m3=np.array(
            [BOUNDLESS_M3 if s.licence_m3_year is None else s.licence_m3_year for s in sources.values()],
            dtype=np.float64,
        ),
    )


def _inflow(source: WaterSource, forcing: Forcing, tables: Tables, curve_number: float) -> F64:
    """What comes into store each day, m3."""
    total = np.zeros_like(forcing.rain_mm)
    if source.fed_by_roof_m2:
        total = total + roof_water_m3(forcing.rain_mm, source.fed_by_roof_m2, growth_figure(tables, "roof_coefficient"))
    if source.fed_by_land_m2:
        total = total + runoff(forcing.rain_mm, curve_number) * source.fed_by_land_m2 / 1000.0
    if source.kind == "pond":
        surface_m2 = source.volume_m3 / growth_figure(tables, "pond_depth_m")
        net = forcing.rain_mm - growth_figure(tables, "pond_kc") * forcing.eto_mm
        total = total + net * surface_m2 / 1000.0
    return total
