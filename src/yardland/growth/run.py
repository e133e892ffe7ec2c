"""Grow a layout through every lane of a forcing: the one public entry for crops on strips."""

from __future__ import annotations

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.crop_traits import crop_traits, growth_figure, with_window
from yardland.growth.io import F64, I64, KernelInput, KernelOutput
from yardland.growth.layout import Layout, Strip
from yardland.growth.numpy_path import run_numpy
from yardland.growth.outcome import GrowthResult, read_out
from yardland.growth.sky import Sky, sky
from yardland.growth.sources import Supply, supply
from yardland.growth.texture import first_soil, soil_of
from yardland.holding.model import Holding
from yardland.ledger.months import larder_months, month_of_day
from yardland.reference.tables import Tables
from yardland.weather.types import Forcing

NUMBA_FROM_DAY_STEPS = 6_000_000
"""numba's first call costs 0.4-0.7 s even from its cache: below this many day-steps NumPy is done sooner."""
SKY_FIELDS = ("tmean_c", "tmin_c", "t3_c", "t10_c", "par_mj", "eto_mm", "rain_mm", "runoff_mm")


def grow(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    layout: Layout,
    water_demand_m3_day: float | F64 = 0.0,
) -> GrowthResult:
    """Sow, grow and gather every planting of a layout in every lane.

    Args:
        holding: the plan (plots, soils, water sources, level of management).
        tables: the reference tables, under the holding's own figures.
        forcing: weather, arrays [730, lanes].
        layout: `yardland.datebook.strips.lay_out(holding, tables, climate)`.
        water_demand_m3_day: what people and stock draw first, one number, [12] by larder month, or [730] by day.

    Raises:
        TableError: a crop or figure that the tables lack.
    """
    given, supplies = kernel_input(holding, tables, forcing, layout, water_demand_m3_day)
    return read_out(holding, tables, layout, forcing, given, run_kernel(given), supplies.names)


def run_kernel(given: KernelInput) -> KernelOutput:
    """The NumPy path for small runs, the compiled one for large: the same algorithm, the same results."""
    if given.day_steps < NUMBA_FROM_DAY_STEPS:
        return run_numpy(given)
    try:
        import numba

        from yardland.growth.numba_path import run_numba
    except RuntimeError:  # numba finds no place to keep its compiled code: the slower path gives the same
        return run_numpy(given)
    return run_numpy(given) if getattr(numba.config, "DISABLE_JIT", 0) else run_numba(given)


def kernel_input(
    holding: Holding, tables: Tables, forcing: Forcing, layout: Layout, water_demand_m3_day: float | F64 = 0.0
) -> tuple[KernelInput, Supply]:
    """Arrays for the kernels from a plan, and the water sources in them."""
    months = _months(forcing)
    skies = _skies(holding, tables, forcing, layout)
    covers = list(skies)
    ground = [_ground(holding, tables, strip) for strip in layout.strips]
    water = supply(holding.water.source, forcing, tables, first_soil(holding, tables).curve_number)
    order, groups, sources = _watering(holding, layout, water.names)
    counts = np.array([2 * len(strip.plantings) for strip in layout.strips], dtype=np.int64)
    weather = {
        name: np.stack([getattr(part, name) for part in skies.values()])
        if skies
        else np.zeros((1, *forcing.rain_mm.shape))
        for name in SKY_FIELDS
    }
    given = KernelInput(
        traits=_traits(tables, layout),
        **weather,
        daylength_h=forcing.daylength_h,
        twilight_h=forcing.twilight_daylength_h,
        month=months,
        strip_cover=np.array([covers.index(_cover(holding, tables, s)) for s in layout.strips], dtype=np.int64),
        strip_first=np.cumsum(counts) - counts,
        strip_count=counts,
        **{name: np.array([part[name] for part in ground], dtype=np.float64) for name in GROUND},
        area_m2=np.array([strip.area_m2 for strip in layout.strips], dtype=np.float64),
        water_order=order,
        water_groups=groups,
        strip_sources=sources,
        rate_m3=water.rate_m3,
        inflow_m3=water.inflow_m3,
        capacity_m3=water.capacity_m3,
        licence_m3=water.licence_m3,
        demand_m3=demand_by_day(water_demand_m3_day, months),
    )
    return given, water


GROUND = ("awc_mm_m", "depth_m", "fit_mm", "tew_mm", "rew_mm", "net_limit_mm", "efficiency")


def demand_by_day(demand: float | F64, month: I64) -> F64:
    """People's and stock's daily draw on the 730-day axis, from one number, twelve months or every day.

    Raises:
        ValueError: for any other length.
    """
    values = np.asarray(demand, dtype=np.float64)
    if values.ndim == 0:
        return np.full(tr.AXIS, float(values))
    if values.shape == (tr.AXIS,):
        return values
    if values.shape == (12,):
        this_year = values[month[tr.YEAR :]]
        return np.concatenate([this_year, this_year])
    raise ValueError(f"water demand must be one number, 12 or {tr.AXIS}, not {values.shape}")


def _months(forcing: Forcing) -> I64:
    in_year = month_of_day(larder_months(2001, forcing.start_month))
    return np.concatenate([np.full(tr.YEAR, -1, dtype=np.int64), np.array(in_year, dtype=np.int64)])


def _cover(holding: Holding, tables: Tables, strip: Strip) -> tuple[str, float]:
    """What makes two strips share their weather: cover and curve number."""
    return holding.plot[strip.plot].cover, soil_of(holding, tables, strip.plot).curve_number


def _skies(holding: Holding, tables: Tables, forcing: Forcing, layout: Layout) -> dict[tuple[str, float], Sky]:
    kinds = {_cover(holding, tables, strip): None for strip in layout.strips}
    return {(cover, number): sky(forcing, tables, cover, number) for cover, number in kinds}


def _ground(holding: Holding, tables: Tables, strip: Strip) -> dict[str, float]:
    """Water limits of a strip's soil and how it is watered."""
    soil = soil_of(holding, tables, strip.plot)
    full, dry = soil.field_capacity, soil.wilting_point
    roots = [crop_traits(tables, planting.crop)[tr.ROOT_M] for planting in strip.plantings]
    top_mm = 1000.0 * tr.SHALLOW_M
    # FAO-56 equation 73; what evaporates below the wilting point is left to the soil here, so never more than is held.
    tew = min(1000.0 * (full - 0.5 * dry) * growth_figure(tables, "evaporable_depth_m"), (full - dry) * top_mm)
    garden = holding.plot[strip.plot].use == "garden"
    return {
        "awc_mm_m": soil.awc_mm_m,
        "depth_m": float(max(growth_figure(tables, "strip_depth_least_m"), *roots, tr.SHALLOW_M)),
        "fit_mm": (growth_figure(tables, "fit_soil_share") * full - dry) * top_mm,
        "tew_mm": tew,
        "rew_mm": growth_figure(tables, "readily_evaporable_share") * tew,
        "net_limit_mm": growth_figure(tables, "net_limit_garden_mm" if garden else "net_limit_field_mm"),
        "efficiency": growth_figure(tables, "irrigation_efficiency"),
    }


def _watering(holding: Holding, layout: Layout, names: tuple[str, ...]) -> tuple[I64, I64, I64]:
    """Strips that are watered, in the order of the plan (garden and fields), where each group starts, and sources."""
    place: dict[str, int] = {use: number for number, use in enumerate(holding.water.order)}
    watered = []
    sources = np.full((len(layout.strips), max(len(names), 1)), -1, dtype=np.int64)
    for number, strip in enumerate(layout.strips):
        plot = holding.plot[strip.plot]
        known = [names.index(name) for name in plot.watered_by if name in names]
        sources[number, : len(known)] = known
        if known:
            use = "garden" if plot.use == "garden" else "fields"
            watered.append((place.get(use, len(place)), number))
    watered.sort()
    kinds = [kind for kind, _ in watered]
    starts = [number for number, kind in enumerate(kinds) if number == 0 or kind != kinds[number - 1]]
    order = np.array([number for _, number in watered], dtype=np.int64)
    return order, np.array([*starts, len(watered)], dtype=np.int64), sources


def _traits(tables: Tables, layout: Layout) -> F64:
    columns = []
    for strip in layout.strips:
        kinds = [crop_traits(tables, planting.crop, planting.variety) for planting in strip.plantings]
        for year in (0, 1):
            columns += [
                with_window(kind, planting, year) for kind, planting in zip(kinds, strip.plantings, strict=True)
            ]
    return np.stack(columns, axis=1) if columns else np.zeros((tr.COUNT, 0))
