"""Weather as a strip sees it: running means, light for growth, runoff, snow, and what a tunnel, frame or fleece changes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.growth.crop_traits import growth_figure
from yardland.growth.heat import trailing_mean
from yardland.growth.io import F64
from yardland.growth.snow import crown_c, snow, soil_c
from yardland.reference.tables import Tables
from yardland.weather.types import Forcing

PAR_SHARE = 0.5
"""Photosynthetically active radiation over solar radiation (Monteith 1977; usual range 0.45-0.50)."""


@dataclass(frozen=True)
class Sky:
    """Arrays [day, lane] under one cover and over one soil.

    t10_c : running mean of the air ; crown_c : three-day mean at the growing point of a winter crop, under snow
    where it lies ; soil_c : the top 25 cm ; rain_mm : rain and snow as they fall ; water_mm : rain and melted snow, what
    reaches the ground ; runoff_mm : of water_mm ; snow_mm : lying at the day's end, as water
    """

    tmean_c: F64
    tmin_c: F64
    tmax_c: F64
    t10_c: F64
    crown_c: F64
    soil_c: F64
    par_mj: F64
    eto_mm: F64
    rain_mm: F64
    water_mm: F64
    runoff_mm: F64
    snow_mm: F64


def sky(forcing: Forcing, tables: Tables, cover: str, curve_number: float) -> Sky:
    """The weather under `cover` ("open", "tunnel", "frame", "fleece") over ground of a runoff curve number.

    Covers warm the night and the day, take some light, and lower evapotranspiration by the light they take; a tunnel
    and a frame keep rain and snow off. The day's maximum follows from mean and minimum.
    """
    outside = tmean = (forcing.tmin_c + forcing.tmax_c) / 2
    tmin = forcing.tmin_c
    par, eto, rain = PAR_SHARE * forcing.rad_mj_m2, forcing.eto_mm, forcing.rain_mm
    if cover != "open":
        light = growth_figure(tables, f"{cover}_light")
        tmean = tmean + growth_figure(tables, f"{cover}_mean_c")
        tmin = tmin + growth_figure(tables, f"{cover}_night_c")
        par, eto = par * light, eto * light
        rain = rain if cover == "fleece" else np.zeros_like(rain)
    fallen = snow(tables, outside, rain)
    water = rain - fallen.fell_mm + fallen.melted_mm
    return Sky(
        tmean_c=tmean,
        tmin_c=tmin,
        tmax_c=2.0 * tmean - tmin,
        t10_c=trailing_mean(tmean, 10),
        crown_c=crown_c(tables, tmean, fallen.lies_mm),
        soil_c=soil_c(tables, tmean, fallen.lies_mm),
        par_mj=par,
        eto_mm=eto,
        rain_mm=rain,
        water_mm=water,
        runoff_mm=runoff(water, curve_number),
        snow_mm=fallen.lies_mm,
    )


def runoff(rain_mm: F64, curve_number: float) -> F64:
    """Runoff of each day's water, rain or melt (`soil_water.runoff_mm` on arrays)."""
    storage = 25400.0 / curve_number - 254.0
    above = np.maximum(rain_mm - 0.2 * storage, 0.0)
    return np.asarray(above**2 / (rain_mm + 0.8 * storage))
