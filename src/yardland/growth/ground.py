"""The soils of a run as the kernels take them: layers of water, what evaporates, the nitrogen that comes free of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.crop_traits import growth_figure
from yardland.growth.io import F64
from yardland.growth.soil_water import total_evaporable_mm
from yardland.growth.texture import GroundSoil
from yardland.reference.tables import Tables

CARBON_SHARE = 1.0 / 1.724
"""Carbon in soil organic matter (van Bemmelen's factor)."""
DAYS = 365.0
HOURS = 24.0
WORKED_M = 0.15
"""Depth by whose water the ground is judged fit to work: the first layer and a third of the second."""


def soil_arrays(tables: Tables, soils: Sequence[GroundSoil], depths_m: Sequence[float]) -> dict[str, F64]:
    """Fields of the kernels' input that the soil gives, [strip] and [layer, strip].

    Args:
        tables: growth.
        soils: one for each strip.
        depths_m: down to which its water is booked, at least to the lowest layer's upper edge.
    """
    parts = [_one(tables, soil, depth) for soil, depth in zip(soils, depths_m, strict=True)]
    return {name: np.stack([part[name] for part in parts], axis=-1) if parts else _none(name) for name in FIELDS}


LAYERED = ("thick_m", "full_mm", "sat_mm", "pass_share", "hold_mm")
FIELDS = ("awc_mm_m", "fit_mm", "tew_mm", "rew_mm", "dry_mm", "soil_n_kg_ha_d", "soaks_share", *LAYERED)


def _none(name: str) -> F64:
    return np.zeros((tr.LAYERS, 0) if name in LAYERED else 0)


def _one(tables: Tables, soil: GroundSoil, depth_m: float) -> dict[str, F64]:
    """One soil: water contents by volume times the layers' thickness, above the wilting point unless said.

    Of the water above field capacity 1 - exp(-24 h / travel time) drains in a day, travel time = (saturation - field
    capacity) x thickness / saturated conductivity: the layer as a linear store.
    """
    dry, full, sat = soil.wilting_point, soil.field_capacity, soil.saturation
    thick_m = np.diff(np.array([*tr.EDGES_M, depth_m]))
    mm = 1000.0 * thick_m
    travel_h = np.maximum((sat - full) * mm, 1e-6) / max(soil.ksat_mm_h, 1e-6)
    tew = total_evaporable_mm(full, dry, tr.EDGES_M[1])
    return {
        "thick_m": thick_m,
        "full_mm": (full - dry) * mm,
        "sat_mm": (sat - dry) * mm,
        "pass_share": 1.0 - np.exp(-HOURS / travel_h),
        "hold_mm": full * mm,
        "awc_mm_m": np.array(soil.awc_mm_m),
        "fit_mm": np.array((growth_figure(tables, "fit_soil_share") * full - dry) * 1000.0 * WORKED_M),
        "tew_mm": np.array(tew),
        "rew_mm": np.array(growth_figure(tables, "readily_evaporable_share") * tew),
        "dry_mm": np.array(0.5 * dry * mm[0]),
        "soil_n_kg_ha_d": np.array(soil_n_kg_ha_d(tables, soil)),
        "soaks_share": np.array(soaks_share(tables, soil)),
    }


def soaks_share(tables: Tables, soil: GroundSoil) -> float:
    """Share of the water over field capacity that still softens a soil a day later, 0-1.

    A tenth is left when it counts as drained: after a day in sand, the later the more clay (table growth, soaked_*).
    """
    clay = min(soil.clay_pct / growth_figure(tables, "soaked_clay_pct"), 1.0)
    days = growth_figure(tables, "soaked_sand_d") + growth_figure(tables, "soaked_clay_d") * clay
    return float(growth_figure(tables, "soaked_left_share") ** (1.0 / days))


def soil_carbon_t_ha(soil: GroundSoil, depth_m: float = tr.SHALLOW_M) -> float:
    """Organic carbon in the soil down to a depth, t/ha."""
    return soil.organic_matter_pct / 100.0 * CARBON_SHARE * soil.bulk_density_t_m3 * depth_m * 10_000.0


def soil_n_kg_ha_d(tables: Tables, soil: GroundSoil) -> float:
    """Nitrogen that comes free of the top soil's organic matter in a day at 9.25 C and moist, kg/ha."""
    nitrogen_kg_ha = 1000.0 * soil_carbon_t_ha(soil) / growth_figure(tables, "soil_cn_ratio")
    return nitrogen_kg_ha * growth_figure(tables, "soil_n_mineralised_share_year") / DAYS
