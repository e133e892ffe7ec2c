"""Grow a layout and the swards through every lane of a forcing: the one public entry for what stands on the ground."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.crop_traits import crop_traits, growth_figure, with_nitrogen, with_window
from yardland.growth.dressing import Dressing
from yardland.growth.grazers import Grazers, ahead, appetites, boundless, strip_rounds
from yardland.growth.ground import DAYS, soil_arrays
from yardland.growth.heat import rot_pace
from yardland.growth.io import F64, I64, SKY_FIELDS, KernelInput, KernelOutput
from yardland.growth.layout import Layout, Planting
from yardland.growth.numpy_path import run_numpy
from yardland.growth.outcome import GrowthResult, read_out
from yardland.growth.sky import Sky, sky
from yardland.growth.soil_left import SoilLeft, begin_with, soil_left
from yardland.growth.sources import Supply, supply
from yardland.growth.sward import dry_spells
from yardland.growth.sward_traits import SwardPlot, sward_plots, sward_traits
from yardland.growth.texture import GroundSoil, first_soil, soil_of
from yardland.holding.model import Holding
from yardland.ledger.months import larder_months, month_of_day
from yardland.reference.tables import Tables
from yardland.weather.types import Forcing

NUMBA_FROM_STRIPS = 1
"""The compiled kernel costs about half a second to load from its cache, once a process (some twenty to compile, once a machine),
and then next to nothing; a run of NumPy's days costs up to a second, however few strips and lanes it has, and one command
runs several. The path hangs on the plan alone, never on how many years run together, so that a year is the same to the last
bit whatever runs beside it."""
FALLOW_DAYS = 30
"""Days that ground lies between the crop before and the earliest sowing, where the plan does not say (own choice)."""


def grow(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    layout: Layout,
    water_demand_m3_day: float | F64 = 0.0,
    dressings: Sequence[Dressing] = (),
    grazers: Sequence[Grazers] | None = None,
    soil: SoilLeft | None = None,
) -> GrowthResult:
    """Sow, grow and gather every planting of a layout, and graze and cut every sward, in every lane.

    Args:
        holding: the plan (plots, soils, water sources, level of management).
        tables: the reference tables, under the holding's own figures.
        forcing: weather, arrays [730, lanes].
        layout: `yardland.datebook.strips.lay_out(holding, tables, climate)`.
        water_demand_m3_day: what people and stock draw first, one number, [12] by larder month, or [730] by day.
        dressings: manure, compost and fertiliser by planting, given on its sowing day.
        grazers: herds that go through the swards; None takes mouths enough for each sward.
        soil: as the year before opens, the same lanes; full, with the usual mineral nitrogen, if None.

    Raises:
        TableError: a crop or figure that the tables lack.
    """
    given, supplies = kernel_input(holding, tables, forcing, layout, water_demand_m3_day, dressings, grazers)
    places = [(piece.plot, piece.sward is not None) for piece in pieces(holding, layout)]
    if soil is not None:
        given = replace(given, begin=begin_with(given, soil, places))
    names = tuple(walk.name for walk in walkers(holding, layout, grazers))
    out = run_kernel(given)
    told = read_out(holding, tables, layout, forcing, given, out, supplies.names, names)
    return replace(told, soil_left=soil_left(given, out.ends, places))


def run_kernel(given: KernelInput) -> KernelOutput:
    """The compiled path for whatever grows; without numba, NumPy's: the same algorithm, the same results to 1e-9."""
    if given.strips < NUMBA_FROM_STRIPS:
        return run_numpy(given)
    try:
        import numba

        from yardland.growth.numba_path import run_numba
    except RuntimeError:  # numba finds no place to keep its compiled code: the slower path gives the same
        return run_numpy(given)
    return run_numpy(given) if getattr(numba.config, "DISABLE_JIT", 0) else run_numba(given)


@dataclass(frozen=True)
class Piece:
    """A strip of the kernels: a share of a plot with its plantings, or a sward (then `sward` is set)."""

    plot: str
    area_m2: float
    plantings: tuple[Planting, ...] = ()
    sward: SwardPlot | None = None


def pieces(holding: Holding, layout: Layout) -> tuple[Piece, ...]:
    """Every strip of the layout, then every sward, in the order of the kernels' arrays."""
    strips = [Piece(strip.plot, strip.area_m2, strip.plantings) for strip in layout.strips]
    return (*strips, *(Piece(sward.plot, sward.area_m2, sward=sward) for sward in sward_plots(holding, layout)))


def walkers(holding: Holding, layout: Layout, grazers: Sequence[Grazers] | None) -> tuple[Grazers, ...]:
    """The herds on the swards; where none are told, mouths enough for each."""
    return boundless(tuple(sward_plots(holding, layout))) if grazers is None else tuple(grazers)


def kernel_input(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    layout: Layout,
    water_demand_m3_day: float | F64 = 0.0,
    dressings: Sequence[Dressing] = (),
    grazers: Sequence[Grazers] | None = None,
) -> tuple[KernelInput, Supply]:
    """Arrays for the kernels from a plan, and the water sources in them."""
    months = _months(forcing)
    walks = walkers(holding, layout, grazers)
    every = pieces(holding, layout)
    soils = [soil_of(holding, tables, piece.plot) for piece in every]
    skies = _skies(holding, tables, forcing, every, soils)
    covers = list(skies)
    traits = [_traits(holding, tables, forcing, piece, dressings) for piece in every]
    depths = [_depth_m(tables, columns) for columns in traits]
    water = supply(holding.water.source, forcing, tables, first_soil(holding, tables).curve_number)
    order, groups, sources = _watering(holding, every, water.names)
    counts = np.array([len(columns) for columns in traits], dtype=np.int64)
    columns = [column for part in traits for column in part]
    given = KernelInput(
        traits=np.stack(columns, axis=1) if columns else np.zeros((tr.COUNT, 0)),
        **_weather(tables, forcing, skies),
        daylength_h=forcing.daylength_h,
        twilight_h=forcing.twilight_daylength_h,
        month=months,
        strip_cover=np.array(
            [covers.index(_cover(holding, p, s)) for p, s in zip(every, soils, strict=True)], dtype=np.int64
        ),
        strip_first=np.cumsum(counts) - counts,
        strip_count=counts,
        area_m2=np.array([piece.area_m2 for piece in every], dtype=np.float64),
        **soil_arrays(tables, soils, depths),
        settle_day=np.array([_settle_day(columns) for columns in traits], dtype=np.int64),
        start_n_kg_ha=growth_figure(tables, "start_mineral_n_kg_ha"),
        sky_n_kg_ha_d=growth_figure(tables, "n_deposition_kg_ha_year") / DAYS,
        fresh_rate_d=growth_figure(tables, "fresh_n_rate_per_year") / DAYS,
        water_order=order,
        water_groups=groups,
        strip_sources=sources,
        net_limit_mm=np.array([_net_limit_mm(holding, tables, piece) for piece in every], dtype=np.float64),
        efficiency=np.full(len(every), growth_figure(tables, "irrigation_efficiency")),
        strip_round=strip_rounds([piece.sward for piece in every], walks),
        round_kg_d=appetites(walks),
        round_days=np.array([one.most_days for one in walks], dtype=np.int64),
        round_grown=np.array([one.grown_share for one in walks], dtype=np.float64),
        round_ahead=ahead(walks),
        round_within=np.array([one.within_days for one in walks], dtype=np.int64),
        round_leaves=np.array([one.leaves_share for one in walks], dtype=np.float64),
        bears_over_mm=growth_figure(tables, "bears_over_mm"),
        bears_frozen_c=growth_figure(tables, "bears_frozen_c"),
        rate_m3=water.rate_m3,
        inflow_m3=water.inflow_m3,
        capacity_m3=water.capacity_m3,
        licence_m3=water.licence_m3,
        demand_m3=demand_by_day(water_demand_m3_day, months),
    )
    return given, water


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


def level_figure(holding: Holding, tables: Tables) -> float:
    """Yield of the holding's level of management over the table's middle yield."""
    return growth_figure(tables, f"level_{holding.goal.level.replace(' ', '_')}")


def weather_fields(tables: Tables, forcing: Forcing, part: Sky) -> dict[str, F64]:
    """The kernels' weather of one cover and soil, arrays [day, lane] by `io.SKY_FIELDS`."""
    made = {"rot_pace": rot_pace(part.soil_c), "dry_spell": dry_spells(tables, forcing)}
    return {name: made[name] if name in made else getattr(part, name) for name in SKY_FIELDS}


def _weather(tables: Tables, forcing: Forcing, skies: Mapping[tuple[str, float], Sky]) -> dict[str, F64]:
    if not skies:
        return dict.fromkeys(SKY_FIELDS, np.zeros((1, *forcing.rain_mm.shape)))
    parts = [weather_fields(tables, forcing, part) for part in skies.values()]
    return {name: np.stack([part[name] for part in parts]) for name in SKY_FIELDS}


def _months(forcing: Forcing) -> I64:
    in_year = month_of_day(larder_months(2001, forcing.start_month))
    return np.concatenate([np.full(tr.YEAR, -1, dtype=np.int64), np.array(in_year, dtype=np.int64)])


def _cover(holding: Holding, piece: Piece, soil: GroundSoil) -> tuple[str, float]:
    """What makes two strips share their weather: cover and curve number."""
    return holding.plot[piece.plot].cover, soil.curve_number


def _skies(
    holding: Holding, tables: Tables, forcing: Forcing, every: Sequence[Piece], soils: Sequence[GroundSoil]
) -> dict[tuple[str, float], Sky]:
    kinds = dict.fromkeys(_cover(holding, piece, soil) for piece, soil in zip(every, soils, strict=True))
    return {(cover, number): sky(forcing, tables, cover, number) for cover, number in kinds}


def _depth_m(tables: Tables, columns: Sequence[F64]) -> float:
    """How deep a strip's water is booked: as deep as any of its roots, and at least so deep."""
    return float(max(growth_figure(tables, "strip_depth_least_m"), *(column[tr.ROOT_M] for column in columns)))


def _settle_day(columns: Sequence[F64]) -> int:
    """When the year before puts a strip's nitrogen to what a crop leaves: some weeks before its first sowing may begin.

    Else ground that waits for an autumn crop would gather nitrogen as a fallow that nobody planned.
    """
    first = columns[0]
    if first[tr.SWARD] > 0.0:
        return -1
    return int(min(max(first[tr.OPENS] - FALLOW_DAYS, 0), tr.YEAR - 1))


def _net_limit_mm(holding: Holding, tables: Tables, piece: Piece) -> float:
    garden = holding.plot[piece.plot].use == "garden"
    return growth_figure(tables, "net_limit_garden_mm" if garden else "net_limit_field_mm")


def _watering(holding: Holding, every: Sequence[Piece], names: tuple[str, ...]) -> tuple[I64, I64, I64]:
    """Strips that are watered, in the order of the plan (garden and fields, swards last), where each group starts, sources."""
    place: dict[str, int] = {use: number for number, use in enumerate(holding.water.order)}
    watered = []
    sources = np.full((len(every), max(len(names), 1)), -1, dtype=np.int64)
    for number, piece in enumerate(every):
        plot = holding.plot[piece.plot]
        known = [names.index(name) for name in plot.watered_by if name in names]
        sources[number, : len(known)] = known
        if known:
            use = "garden" if plot.use == "garden" else "fields"
            rank = place.get(use, len(place)) if piece.sward is None else len(place) + 1
            watered.append((rank, number))
    watered.sort()
    kinds = [kind for kind, _ in watered]
    starts = [number for number, kind in enumerate(kinds) if number == 0 or kind != kinds[number - 1]]
    order = np.array([number for _, number in watered], dtype=np.int64)
    return order, np.array([*starts, len(watered)], dtype=np.int64), sources


def _traits(
    holding: Holding, tables: Tables, forcing: Forcing, piece: Piece, dressings: Sequence[Dressing]
) -> list[F64]:
    """Columns of a strip: a sward's one, or those of its plantings in the year before, then in the larder year."""
    level = level_figure(holding, tables)
    if piece.sward is not None:
        return [sward_traits(tables, piece.sward, forcing.start_month, level)]
    kinds = [
        _dressed(with_nitrogen(tables, crop_traits(tables, p.crop, p.variety), p.crop, level), p.id, dressings)
        for p in piece.plantings
    ]
    return [
        with_window(kind, planting, year)
        for year in (0, 1)
        for kind, planting in zip(kinds, piece.plantings, strict=True)
    ]


def _dressed(traits: F64, planting: str, dressings: Sequence[Dressing]) -> F64:
    """Traits with the nitrogen that a planting is given on its sowing day."""
    for dressing in dressings:
        if dressing.planting == planting:
            traits[tr.DRESS_MINERAL] += dressing.mineral_n_kg_ha
            traits[tr.DRESS_FRESH] += dressing.fresh_n_kg_ha
    return traits
