"""Many larder years of one plan side by side: what ground and trees bring forth in each, and what each gives the larder."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.growth.grazers import Grazers
from yardland.growth.hazards.falls import Chain
from yardland.growth.hazards.strike import Strike, strike, strike_trees
from yardland.growth.layout import Layout
from yardland.growth.outcome import GrowthResult
from yardland.growth.run import grow
from yardland.growth.soil_left import SoilLeft
from yardland.growth.spare import Spare
from yardland.growth.trees import TreeYear, grow_trees
from yardland.growth.turning import Turning, turning_of
from yardland.holding.era import plan_year
from yardland.holding.model import Holding
from yardland.ledger.months import Month
from yardland.ledger.production import Grazing, Production, swept, without_dust
from yardland.reference import Tables
from yardland.season.dressings import HeapYear, heap_year
from yardland.season.evenings import Evenings
from yardland.season.given import Given, eaten_where_it_lay, given_by
from yardland.season.grazers import Stay, grazers, stays
from yardland.season.stubble import Stubble, StubbleYear, stubble_of, stubble_year
from yardland.season.supply import people_water_m3_day
from yardland.stock.year import HerdYear
from yardland.weather.types import Forcing

F64 = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Plan:
    """What all lanes share.

    herd : stock at steady numbers ; layout : strips and dates by the climate ; sky : weather of the months, by which the heap
    rots ; walks : herds that go through swards ; turning : of the climate, by which trees wait and stand in leaf
    stubble : what stays on leavings hang on, None without any
    """

    holding: Holding
    tables: Tables
    months: tuple[Month, ...]
    sky: dict[str, F64]
    herd: HerdYear
    layout: Layout
    walks: tuple[Grazers, ...]
    rotation_year: int
    turning: Turning
    stubble: Stubble | None

    @property
    def thirst_m3_day(self) -> F64:
        """What people and stock draw first, cubic metres a day in each larder month, [12]."""
        return water_demand_m3_day(self.holding, self.tables, self.herd, self.months)


@dataclass(frozen=True)
class Lanes:
    """Larder years side by side before the larder decides anything; every array's last axis is the lane.

    on_crops, on_trees : every hazard that took something; empty where none was drawn
    """

    plan: Plan
    forcing: Forcing
    grown: GrowthResult
    trees: tuple[TreeYear, ...]
    heap: HeapYear
    on_crops: tuple[Strike, ...] = ()
    on_trees: tuple[Strike, ...] = ()

    def given(self, which: slice) -> Given:
        """What some of the lanes give."""
        plan = self.plan
        return given_by(
            plan.holding, plan.tables, plan.months, self.forcing, self.grown, self.trees, plan.layout.notes, which
        )


@dataclass(frozen=True)
class Made:
    """What one lane gives to the larder; stays on swards, and on what its harvests leave."""

    production: Production
    on_grass: tuple[Stay, ...]
    left: StubbleYear

    @property
    def stays(self) -> tuple[Stay, ...]:
        """All stays, in the order of their days."""
        return tuple(sorted((*self.on_grass, *self.left.stays), key=lambda stay: (stay.first, stay.plot)))


def plan_of(
    holding: Holding,
    tables: Tables,
    months: tuple[Month, ...],
    sky: dict[str, F64],
    herd: HerdYear,
    layout: Layout,
    rotation_year: int,
    record: Forcing,
) -> Plan:
    """What lanes share, with the herds that walk; `record` : every larder year of the record, which says the climate."""
    walks = grazers(holding, tables, herd, months)
    stubble = stubble_of(holding, tables, record, herd.needs, months, rotation_year)
    return Plan(holding, tables, months, sky, herd, layout, walks, rotation_year, turning_of(record), stubble)


def swards_alone(plan: Plan, forcing: Forcing) -> GrowthResult | None:
    """The swards of every lane by themselves, for the evenings that herds spend on them; None where none walk."""
    if not plan.walks:
        return None
    bare = replace(plan.layout, strips=())
    return grow(plan.holding, plan.tables, forcing, bare, plan.thirst_m3_day, (), plan.walks)


def grow_lanes(
    plan: Plan,
    forcing: Forcing,
    evenings: Evenings,
    hazards: Chain | None = None,
    trees_in: int | Sequence[int] | None = None,
    soil: SoilLeft | None = None,
) -> Lanes:
    """Grow every lane of a forcing.

    Args:
        plan: what they share.
        forcing: larder years, arrays [730, lanes].
        evenings: that herds spend outside: what falls there is not on the heap.
        hazards: of these lanes; none fall if None.
        trees_in: calendar year in which the larder year starts, for the age of the trees, one or one for each lane; the
            plan's if None.
        soil: as the year before each lane's opens; the usual if None.
    """
    holding, tables = plan.holding, plan.tables
    heap = heap_year(holding, tables, plan.herd, plan.layout, plan.months, plan.sky, evenings)
    grown = grow(holding, tables, forcing, plan.layout, plan.thirst_m3_day, heap.dressings, plan.walks, soil)
    planted = plan_year(holding) if trees_in is None else trees_in
    trees = grow_trees(holding, tables, forcing, planted, Spare(grown.spare_m3, grown.sources), plan.turning)
    on_crops: tuple[Strike, ...] = ()
    on_trees: tuple[Strike, ...] = ()
    if hazards is not None:
        grown, on_crops = strike(grown, hazards)
        trees, on_trees = strike_trees(trees, hazards)
    return Lanes(plan, forcing, grown, trees, heap, on_crops, on_trees)


def soils_of(plan: Plan, forcing: Forcing, evenings: Evenings, soil: SoilLeft | None = None) -> SoilLeft:
    """The soils that the lanes of a forcing leave, as `grow_lanes` grows them."""
    heap = heap_year(plan.holding, plan.tables, plan.herd, plan.layout, plan.months, plan.sky, evenings)
    grown = grow(plan.holding, plan.tables, forcing, plan.layout, plan.thirst_m3_day, heap.dressings, plan.walks, soil)
    if grown.soil_left is None:
        raise ValueError("growth says no soil that it leaves")
    return grown.soil_left


def make(lanes: Lanes, lane: int) -> Made:
    """What one lane gives to the larder and asks of it.

    Args:
        lanes: grown.
        lane: which.
    """
    plan = lanes.plan
    given = lanes.given(slice(lane, lane + 1))
    whole = given.whole(0, plan.herd.needs)
    on_grass = stays(plan.holding, lanes.grown, lane)
    left = (
        StubbleYear()
        if plan.stubble is None
        else stubble_year(plan.stubble, lanes.grown, lanes.trees, whole, on_grass, lane)
    )
    return Made(without_dust(replace(whole, grazing=(*whole.grazing, *left.stood))), on_grass, left)


def make_all(lanes: Lanes) -> Iterator[tuple[Given, tuple[Grazing, ...]]]:
    """What every lane gives, in order, without dust, for `Given.production`: that of all, and what stock eat of leavings where they lie."""
    given, plan = lanes.given(slice(None)), lanes.plan
    if plan.stubble is None:
        yield from ((given, ()) for _ in lanes.forcing.labels)
    else:
        for stood in eaten_where_it_lay(plan.stubble, lanes.grown, lanes.trees, given.gathered):
            yield given, tuple(replace(one, dm_kg=swept(one.dm_kg)) for one in stood)


def water_demand_m3_day(holding: Holding, tables: Tables, herd: HerdYear, months: tuple[Month, ...]) -> F64:
    """What people and stock draw first, cubic metres a day in each larder month, [12]."""
    stock_m3 = sum((need.water_m3 for need in herd.needs), np.zeros(12))
    days = np.array([month.days for month in months], dtype=np.float64)
    return np.asarray(people_water_m3_day(holding, tables) + stock_m3 / days)
