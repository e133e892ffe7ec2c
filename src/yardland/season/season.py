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
from yardland.growth.outcome import GrowthResult
from yardland.growth.sward import SwardYear
from yardland.growth.texture import soil_notes
from yardland.growth.trees import TreeYear
from yardland.holding.model import Holding
from yardland.ledger.months import Month, larder_months, month_of_day
from yardland.ledger.production import Production
from yardland.reference import Tables
from yardland.season.dressings import HeapYear
from yardland.season.droppings import Droppings, droppings, grows_grass, housed_months
from yardland.season.evenings import Evenings, grass_share
from yardland.season.grazers import Stay, stays
from yardland.season.lanes import grow_lanes, make, plan_of, swards_alone
from yardland.season.mowing import mown
from yardland.season.plantings import PlantingYear, planting_years
from yardland.season.sky import weather_months
from yardland.season.strikes import StrikeYear, strike_years
from yardland.season.stubble import StubbleYear
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
    plan = plan_of(holding, tables, months, sky, herd, layout, rotation_year, forcing)
    # What falls outside is not on the heap: where herds are must be known before beds are dressed. Swards grow by themselves;
    # stays on what harvests leave, and swards that drink, look at the beds: then the year is run until the evenings stand.
    bare = swards_alone(plan, forcing)
    evenings: Evenings = grass_share(stays(holding, bare, lane) if bare is not None else (), months)
    hazards = None if hazard_seed is None else Chain(tables, forcing, hazard_seed)
    for _ in range(RUNS_AT_MOST):
        lanes = grow_lanes(plan, forcing, evenings, hazards)
        made = make(lanes, lane)
        used, evenings = evenings, grass_share(made.stays, months)
        if same_evenings(used, evenings):
            break
    grown, trees, heap = lanes.grown, lanes.trees, lanes.heap
    struck = (
        *strike_years(tables, forcing, lanes.on_crops, lane, "crop"),
        *strike_years(tables, forcing, lanes.on_trees, lane, "trees"),
    )
    plantings = planting_years(holding, tables, forcing, grown, lane)
    notes = (*layout.notes, *heap.notes, *soil_notes(holding, tables), *unreached(holding))
    dropped = droppings(holding, tables, herd.needs, sky, used)
    season = Season(
        forcing, lane, months, sky, grown, grown.swards, trees, herd, plantings, made.production, (), notes, heap, dropped,
        struck, made.stays, made.left, used,
    )  # fmt: skip
    return with_events(season, holding, tables)


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
