"""FAO-56 water balance of ground under trees: one layer, single crop coefficient.

Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage Paper 56 (FAO-56), chapter 8.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.growth.compiled import day_loops
from yardland.growth.crop_traits import growth_figure
from yardland.growth.io import F64
from yardland.growth.sky import runoff
from yardland.growth.snow import snow
from yardland.growth.texture import GroundSoil
from yardland.reference.tables import Tables
from yardland.weather.types import Forcing


@dataclass(frozen=True)
class OneLayer:
    """Arrays [day, lane]: stress coefficient Ks (0-1), crop evapotranspiration without want of water (mm), water given (mm)."""

    ks: F64
    etc_mm: F64
    given_mm: F64


def ground_water_mm(tables: Tables, forcing: Forcing) -> F64:
    """Rain and melted snow that reach open ground, mm [730, lanes]."""
    fallen = snow(tables, (forcing.tmin_c + forcing.tmax_c) / 2, forcing.rain_mm)
    return np.asarray(forcing.rain_mm - fallen.fell_mm + fallen.melted_mm)


def one_layer(
    tables: Tables,
    forcing: Forcing,
    soil: GroundSoil,
    *,
    root_m: float,
    depletion_p: float,
    kc: float | F64,
    water_at_hand_mm: F64 | None = None,
    water_mm: F64 | None = None,
) -> OneLayer:
    """Ks of every day (FAO-56 equation 84) from the depletion of one layer (equations 85 and 88), full at the start.

    Args:
        tables: growth.
        forcing: weather [730, lanes].
        soil: the ground's water limits and runoff.
        root_m: depth of the layer.
        depletion_p: depletion fraction at 5 mm a day, moved with demand (Table 22, footnote).
        kc: crop coefficient, one number or an array that spreads over [730, lanes].
        water_at_hand_mm: [730, lanes] what may be given on a day; given when readily available water is used up.
        water_mm: what reaches the ground (`ground_water_mm`), where it is known already.
    """
    taw = soil.awc_mm_m * root_m
    water = ground_water_mm(tables, forcing) if water_mm is None else water_mm
    rain = water - runoff(water, soil.curve_number)
    efficiency = growth_figure(tables, "irrigation_efficiency")
    at_hand = np.zeros_like(rain) if water_at_hand_mm is None else water_at_hand_mm * efficiency
    etc = kc * forcing.eto_mm
    raw = np.clip(depletion_p + 0.04 * (5.0 - etc), 0.1, 0.8) * taw
    depletion = np.zeros(rain.shape[1])
    ks, given = np.ones_like(rain), np.zeros_like(rain)
    watered = bool(at_hand.any())
    loops = day_loops()
    if loops is not None:
        loops.layer_days(taw, efficiency, watered, raw, rain, etc, at_hand, depletion, ks, given)
        return OneLayer(ks, np.asarray(etc), given)
    for day in range(len(rain)):
        if watered:
            net = np.where(depletion >= raw[day], np.minimum(depletion, at_hand[day]), 0.0)
            given[day] = net / efficiency
            depletion = depletion - net
        stress = np.minimum(np.maximum((taw - depletion) / (taw - raw[day]), 0.0), 1.0)
        ks[day] = np.where(depletion <= raw[day], 1.0, stress)
        depletion = np.minimum(np.maximum(depletion - rain[day] + ks[day] * etc[day], 0.0), taw)
    return OneLayer(ks, np.asarray(etc), given)
