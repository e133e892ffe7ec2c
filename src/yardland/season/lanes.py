"""The physical years of many lanes at once: what ground and trees bring forth in each, under one plan and one layout."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from yardland.datebook.season import SeasonClimate
from yardland.datebook.strips import lay_out
from yardland.growth.hazards.falls import Chain
from yardland.growth.hazards.strike import Strike, strike, strike_trees
from yardland.growth.outcome import GrowthResult
from yardland.growth.run import grow
from yardland.growth.spare import Spare
from yardland.growth.trees import TreeYear, grow_trees
from yardland.holding.era import plan_year
from yardland.holding.model import Holding
from yardland.ledger.months import Month
from yardland.ledger.production import Gathered, HerdNeed, Production, without_dust
from yardland.reference import Tables
from yardland.season.dressings import HeapYear, heap_year
from yardland.season.grazers import grazers, stays
from yardland.season.mowing import mown
from yardland.season.season import F64, grazings, tree_harvest, water_demand_m3_day
from yardland.season.sky import dry_shares
from yardland.season.stubble import stubble_year
from yardland.season.supply import crop_harvest, seed_needs
from yardland.stock.year import HerdYear
from yardland.weather.types import Forcing


@dataclass(frozen=True)
class Lanes:
    """Larder years side by side before the larder decides anything; every array's last axis is the lane.

    struck : every hazard that took something; empty where none was drawn
    """

    months: tuple[Month, ...]
    forcing: Forcing
    grown: GrowthResult
    trees: tuple[TreeYear, ...]
    heap: HeapYear
    notes: tuple[str, ...]
    rotation_year: int = 1
    struck: tuple[Strike, ...] = ()


def grow_lanes(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    climate: SeasonClimate,
    herd: HerdYear,
    months: tuple[Month, ...],
    sky: dict[str, F64],
    rotation_year: int = 1,
    hazards: Callable[[Forcing], Chain] | None = None,
) -> Lanes:
    """Grow every lane of a forcing under the layout that the climate gives.

    Args:
        holding: the plan.
        tables: reference tables under the holding's own figures.
        forcing: larder years, arrays [730, lanes].
        climate: of the record: dates are chosen by what is known, never by the years that are drawn.
        herd: stock at steady numbers, for its manure, thirst and appetite.
        months: the twelve months of a larder year.
        sky: weather of the months (`season.sky.weather_months`) of a mean year.
        rotation_year: lines of plantings.csv with a year stand only in that year of the rotation.
        hazards: gives the hazards of a forcing; none fall if None.
    """
    layout = lay_out(holding, tables, climate, rotation_year)
    heap = heap_year(holding, tables, herd, layout, months, sky)
    thirst = water_demand_m3_day(holding, tables, herd, months)
    grown = grow(holding, tables, forcing, layout, thirst, heap.dressings, grazers(holding, tables, herd, months))
    trees = grow_trees(holding, tables, forcing, plan_year(holding), Spare(grown.spare_m3, grown.sources))
    struck: tuple[Strike, ...] = ()
    if hazards is not None:
        chain = hazards(forcing)
        grown, on_crops = strike(grown, chain)
        trees, on_trees = strike_trees(trees, chain)
        struck = (*on_crops, *on_trees)
    return Lanes(months, forcing, grown, trees, heap, (*layout.notes, *heap.notes), rotation_year, struck)


def production_of(
    holding: Holding, tables: Tables, lanes: Lanes, lane: int, herds: tuple[HerdNeed, ...]
) -> Production:
    """What one lane gives to the larder and asks of it."""
    whole = Production(
        gathered=tuple(gathered(holding, tables, lanes, lane)),
        grazing=tuple(grazings(holding, lanes.grown.swards, lane)),
        herds=herds,
        seed=tuple(seed_needs(holding, tables, lanes.grown, lane, lanes.months)),
        notes=lanes.notes,
        dry_share=dry_shares(lanes.forcing, lane, lanes.months),
    )
    on_grass = stays(holding, lanes.grown, lane)
    left = stubble_year(
        holding, tables, lanes.forcing, lanes.grown, lanes.trees, whole, on_grass, lanes.months, lane, lanes.rotation_year
    )
    return without_dust(replace(whole, grazing=(*whole.grazing, *left.stood)))


def gathered(holding: Holding, tables: Tables, lanes: Lanes, lane: int) -> Iterator[Gathered]:
    """Harvests of crops and trees, and what is mown."""
    yield from crop_harvest(tables, lanes.grown, lane)
    yield from tree_harvest(lanes.trees, lane)
    for cut in mown(holding, tables, lanes.grown.swards, lane):
        yield cut.gathered
