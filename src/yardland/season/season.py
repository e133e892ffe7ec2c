"""The physical year of a holding: weather through ground and stock to what the larder is given, and the work it takes.

Days are stepped in the growth room (gates at dawn, one water allotment, growth, gathering), for every year of the record
at once; herds by the day at steady numbers. What the months bring is then the larder's to decide on.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from yardland.datebook.season import season_climate
from yardland.datebook.strips import lay_out
from yardland.growth.hazards.falls import Chain
from yardland.growth.hazards.strike import strike, strike_trees
from yardland.growth.outcome import GrowthResult
from yardland.growth.run import grow
from yardland.growth.spare import Spare
from yardland.growth.sward import SwardYear
from yardland.growth.texture import soil_notes
from yardland.growth.trees import TreeYear, grow_trees
from yardland.holding.era import plan_year
from yardland.holding.model import Holding
from yardland.ledger.months import Month, larder_months, month_of_day
from yardland.ledger.production import Gathered, Grazing, Production, without_dust
from yardland.reference import Tables
from yardland.season.dressings import HeapYear, heap_year
from yardland.season.droppings import Droppings, droppings, grows_grass, housed_months
from yardland.season.evenings import Evenings, grass_share
from yardland.season.grazers import Stay, grazers, stays
from yardland.season.mowing import mown
from yardland.season.plantings import PlantingYear, planting_years
from yardland.season.sky import dry_shares, weather_months
from yardland.season.strikes import StrikeYear, strike_years
from yardland.season.stubble import StubbleYear, stubble_year
from yardland.season.supply import crop_harvest, people_water_m3_day, seed_needs
from yardland.stock.year import HerdYear, herd_year
from yardland.weather.types import Forcing
from yardland.works.events import herd_events, manure_events, move_events, mowing_events, planting_events, tree_events
from yardland.works.hours import Event

F64 = npt.NDArray[np.float64]
RUNS_AT_MOST = 3
"""Runs of beds and swards until herds are where the last run had them."""


@dataclass(frozen=True)
class Season:
    """One larder year (a lane of the forcing) before the larder decides anything.

    weather : rain_mm, eto_mm, tmin_c, tmax_c, rad_mj_m2, daylength_h by month; events : the work that the year brings
    heap : manure, its nitrogen and the dressings; droppings : what falls out of doors, plot by plot
    stays : on swards and on what harvests left; stubble : of the latter, what is eaten, and what nobody walks
    evenings : the shares of the months by which droppings and heap were told apart
    """

    forcing: Forcing
    lane: int
    months: tuple[Month, ...]
    weather: dict[str, F64]
    grown: GrowthResult
    swards: tuple[SwardYear, ...]
    trees: tuple[TreeYear, ...]
    herd: HerdYear
    plantings: tuple[PlantingYear, ...]
    production: Production
    events: tuple[Event, ...]
    notes: tuple[str, ...]
    heap: HeapYear
    droppings: tuple[Droppings, ...]
    strikes: tuple[StrikeYear, ...] = ()
    stays: tuple[Stay, ...] = ()
    stubble: StubbleYear = field(default_factory=StubbleYear)
    evenings: Evenings = field(default_factory=dict)


def same_evenings(one: Evenings, other: Evenings) -> bool:
    """Whether two answers have every group on the same plots for as long, month by month."""
    return {group: set(plots) for group, plots in one.items()} == {
        group: set(plots) for group, plots in other.items()
    } and all(
        np.array_equal(share, other[group][plot]) for group, plots in one.items() for plot, share in plots.items()
    )


def run_season(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    lane: int,
    rotation_year: int = 1,
    hazard_seed: int | None = None,
) -> Season:
    """Run the season of one lane.

    Args:
        holding: the plan.
        tables: reference tables under the holding's own figures.
        forcing: every larder year of the record.
        lane: which of them.
        rotation_year: lines of plantings.csv with a year stand only in that year of the rotation.
        hazard_seed: of hail, pests and disease; none falls if None.

    Raises:
        TableError: a crop, class or figure that the tables lack.
    """
    months = larder_months(forcing.start_years[lane], forcing.start_month)
    sky = weather_months(forcing, lane, months)
    herd = herd_year(holding, tables, months, (sky["tmin_c"] + sky["tmax_c"]) / 2, sky["daylength_h"])
    layout = lay_out(holding, tables, season_climate(forcing), rotation_year)
    thirst = water_demand_m3_day(holding, tables, herd, months)
    walks = grazers(holding, tables, herd, months)
    # What falls outside is not on the heap: where herds are must be known before beds are dressed. Swards grow by themselves;
    # stays on what harvests leave, and swards that drink, look at the beds: then the year is run until the evenings stand.
    bare = grow(holding, tables, forcing, replace(layout, strips=()), thirst, (), walks) if walks else None
    evenings = grass_share(stays(holding, bare, lane) if bare is not None else (), months)
    for _ in range(RUNS_AT_MOST):
        heap = heap_year(holding, tables, herd, layout, months, sky, evenings)
        grown = grow(holding, tables, forcing, layout, thirst, heap.dressings, walks)
        trees = grow_trees(holding, tables, forcing, plan_year(holding), Spare(grown.spare_m3, grown.sources))
        struck: tuple[StrikeYear, ...] = ()
        if hazard_seed is not None:
            chain = Chain(tables, forcing, hazard_seed)
            grown, on_crops = strike(grown, chain)
            trees, on_trees = strike_trees(trees, chain)
            struck = (
                *strike_years(tables, forcing, on_crops, lane, "crop"),
                *strike_years(tables, forcing, on_trees, lane, "trees"),
            )
        cuts = tuple(mown(holding, tables, grown.swards, lane))
        whole = Production(
            gathered=(*crop_harvest(tables, grown, lane), *tree_harvest(trees, lane), *(cut.gathered for cut in cuts)),
            grazing=tuple(grazings(holding, grown.swards, lane)),
            herds=herd.needs,
            seed=tuple(seed_needs(holding, tables, grown, lane, months)),
            notes=layout.notes,
            dry_share=dry_shares(forcing, lane, months),
            air_c=np.array([(sky["tmin_c"] + sky["tmax_c"]) / 2.0, sky["tmin_c"]]),
        )
        on_grass = stays(holding, grown, lane)
        left = stubble_year(holding, tables, forcing, grown, trees, whole, on_grass, months, lane, rotation_year)
        stood = tuple(sorted((*on_grass, *left.stays), key=lambda stay: (stay.first, stay.plot)))
        used, evenings = evenings, grass_share(stood, months)
        if same_evenings(used, evenings):
            break
    production = without_dust(replace(whole, grazing=(*whole.grazing, *left.stood)))
    plantings = planting_years(holding, tables, forcing, grown, lane)
    notes = (*layout.notes, *heap.notes, *soil_notes(holding, tables), *unreached(holding))
    dropped = droppings(holding, tables, herd.needs, sky, used)
    season = Season(
        forcing, lane, months, sky, grown, grown.swards, trees, herd, plantings, production, (), notes, heap, dropped,
        struck, stood, left, used,
    )  # fmt: skip
    return with_events(season, holding, tables)


def water_demand_m3_day(holding: Holding, tables: Tables, herd: HerdYear, months: tuple[Month, ...]) -> F64:
    """What people and stock draw first, cubic metres a day in each larder month, [12]."""
    stock_m3 = sum((need.water_m3 for need in herd.needs), np.zeros(12))
    days = np.array([month.days for month in months], dtype=np.float64)
    return np.asarray(people_water_m3_day(holding, tables) + stock_m3 / days)


def unreached(holding: Holding) -> Iterator[str]:
    """Trees that are to be watered from a tank or pond, which this computation keeps for beds, fields and grass."""
    with_trees = {block.plot for block in holding.block.values()}
    for name, plot in holding.plot.items():
        if name in with_trees:
            dry = [
                source
                for source in plot.watered_by
                if source in holding.water.source and holding.water.source[source].kind in ("tank", "pond")
            ]
            if dry:
                yield f"{name}: {', '.join(dry)} waters beds, fields and grass only; trees get what wells, streams and mains leave"


def tree_harvest(trees: tuple[TreeYear, ...], lane: int) -> Iterator[Gathered]:
    """Fruit and nuts of every block."""
    for tree in trees:
        kg = tree.kg[:, lane]
        if kg.sum() > 0:
            yield Gathered(tree.account, tree.good, kg)


def grazings(holding: Holding, swards: tuple[SwardYear, ...], lane: int) -> Iterator[Grazing]:
    """Grass that stands for the groups whose round passes, or whose home is, the plot."""
    for sward in swards:
        groups = {name for plan in holding.round.values() if sward.plot in plan.plots for name in plan.order}
        groups |= {name for name, group in holding.group.items() if group.home == sward.plot}
        kg = sward.grazing_kg_dm[:, lane]
        if groups and kg.sum() > 0:
            yield Grazing(f"sward:{sward.id}", sward.good_grazed, kg, sward.carry, tuple(sorted(groups)))


def with_events(season: Season, holding: Holding, tables: Tables) -> Season:
    """The season with its work."""
    return replace(season, events=tuple(work_of(season, holding, tables)))


def work_of(season: Season, holding: Holding, tables: Tables) -> Iterator[Event]:
    """Work of beds, trees, hay, stock and moves."""
    months, light = season.months, season.weather["daylength_h"]
    for planting in season.plantings:
        if planting.days is not None and planting.gather_day is not None:
            yield from planting_events(
                tables,
                planting.crop,
                planting.planting,
                area_m2=planting.area_m2,
                sow_day=planting.days[0],
                gather_days=(planting.gather_day, planting.days[1]),
                kg=planting.harvest_kg,
            )
    for tree in season.trees:
        kg = tree.kg[:, season.lane]
        yield from tree_events(tables, tree.species, tree.id, count=tree.count, kg=kg, months=months, daylength_h=light)
    for cut in mown(holding, tables, season.swards, season.lane):
        yield from mowing_events(cut.sward, cut.task, cut.dm_kg, months)
    yield from stock_work(season, holding, tables)


def stock_work(season: Season, holding: Holding, tables: Tables) -> Iterator[Event]:
    """Care of every group, its manure by the share of the year under a roof, and its moves on a round."""
    happenings = season.herd.events
    for name in holding.group:
        heads = {klass: days for (group, klass), days in happenings.heads_day.items() if group == name}
        yield from herd_events(
            tables, name, heads, happenings.events, season.weather["daylength_h"], months=season.months
        )
        manure = sum((need.manure_kg for need in season.herd.needs if need.group == name), np.zeros(12))
        n_kg = sum((need.manure_n_kg for need in season.herd.needs if need.group == name), np.zeros(12))
        housed = housed_months(holding, tables, name, n_kg, grows_grass(season.weather), season.evenings)
        yield from manure_events(name, manure * housed, season.months, 1.0)
    for name, plan in holding.round.items():
        on_grass = [stay.first for stay in season.stays if set(stay.groups) <= set(plan.order) and not stay.strips]
        yield from move_events(name, [*on_grass, *season.stubble.moves.get(name, ())])


def grazing_days(weather: dict[str, F64], months: tuple[Month, ...]) -> list[int]:
    """Days of the larder year in months warm enough for grass to grow (mean over 6 C, common practice)."""
    warm = (weather["tmin_c"] + weather["tmax_c"]) / 2 > 6.0
    return [day for day, month in enumerate(month_of_day(months)) if warm[month]]
