"""Ground that a harvest has cleared: what it left there, from when until when stock may walk it, and what comes next.

docs/growth-stubble.md says the rules.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.datebook.season import season_climate
from yardland.datebook.strips import lay_out
from yardland.growth import traits as tr
from yardland.growth.outcome import GrowthResult
from yardland.growth.trees import TreeYear
from yardland.holding.model import Holding
from yardland.larder.feed_leavings import Beside, besides
from yardland.larder.feed_leavings import left as left_by
from yardland.ledger.months import DAYS_IN_YEAR
from yardland.ledger.production import Gathered
from yardland.ledger.units import M2_PER_HA
from yardland.reference import Tables
from yardland.season.soft_ground import ground_bears
from yardland.weather.types import Forcing

F64 = npt.NDArray[np.float64]
Days = npt.NDArray[np.bool_]
"""True on days of the larder year, [365]; a year is taken to join its own end."""
STUBBLE = "stubble"
GATHERS = (tr.GATHERED, tr.FROSTED, tr.CLEARED)
DAY = np.arange(DAYS_IN_YEAR)


@dataclass(frozen=True)
class Food:
    """Food that will be gathered from ground: its crop, the first day of gathering, and how long manure must be off before.

    day : of the larder year, 365 and over for the next one ; sown : from which the bed is made, None for trees
    rings : whether it comes round every year on the same day
    """

    crop: str
    day: int
    asked_d: int
    sown: int | None = None
    rings: bool = True

    def waits(self) -> npt.NDArray[np.int64]:
        """Days from each evening to the gathering, [365]."""
        return (self.day - DAY) % DAYS_IN_YEAR if self.rings else self.day - DAY


@dataclass(frozen=True)
class Patch:
    """One strip of a plot after one of its plantings, or the trees of one species in an orchard, and what lies there.

    plot, strip, name : strip is the block's name in an orchard; name is the planting, or BLOCK.SPECIES
    good, feed : what is left ; kg_dm : how much ; least_kg_dm : what is not worth walking for
    starts : first evening on which it may be walked ; lies : evenings on which it is good and nothing else is on the ground
    bears : ground carries stock ; clean : manure is far enough from the next food
    gap_d : days from the last gathering to the next bed, next_crop : what that is for
    food : what sets `clean`, with the fewest days to spare
    young_y : age of the youngest tree (None: no trees)
    """

    plot: str
    strip: str
    name: str
    crop: str
    good: str
    feed: str
    kg_dm: float
    least_kg_dm: float
    starts: int
    lies: Days
    bears: Days
    clean: Days
    gap_d: int
    next_crop: str = ""
    food: Food | None = None
    young_y: float | None = None

    @property
    def open(self) -> Days:
        """Evenings on which stock may be there."""
        return self.lies & self.bears & self.clean


def figure(tables: Tables, key: str) -> float:
    """A figure of table stubble."""
    return tables.row("stubble", key).need("number")


@dataclass(frozen=True)
class Clearing:
    """What ground behind a harvest hangs on and is the same in every year of a plan.

    plots : that a round names and that are no grass ; coming : plot -> what the rotation brings there next year
    ways : what harvests leave beside them
    """

    holding: Holding
    tables: Tables
    plots: tuple[str, ...]
    coming: Mapping[str, list[Food]]
    ways: tuple[Beside, ...]


def clearing_of(holding: Holding, tables: Tables, record: Forcing, rotation_year: int) -> Clearing:
    """Look up once what `patches` needs.

    Args:
        holding: rounds, plots, rules.
        tables: crops, trees, goods, feed_ways, stubble.
        record: every larder year of the record, whose climate says when next year's beds are made.
        rotation_year: which year of the rotation stands.
    """
    named = [plot for plan in holding.round.values() for plot in plan.plots if holding.plot[plot].use != "grass"]
    plots = tuple(dict.fromkeys(named))
    coming = foods_of_next_year(holding, tables, record, rotation_year, set(plots))
    return Clearing(holding, tables, plots, coming, besides(tables) if plots else ())


Left = Mapping[str, tuple[str, float]]
"""Planting, or BLOCK.SPECIES -> the good that its harvest leaves and fresh kilograms of the year."""


def patches(
    clearing: Clearing, grown: GrowthResult, trees: tuple[TreeYear, ...], left: Left, lane: int
) -> tuple[Patch, ...]:
    """Everything that harvests leave on plots which a round of the plan names, in the order of the layout.

    Args:
        clearing: of the plan.
        grown: what stood where, when, in every lane.
        trees: of every block.
        left: beside the harvests of the lane (`leavings_by_name`).
        lane: which year.

    Raises:
        TableError: a good without dry matter, or leavings without days for which they last.
    """
    never = np.zeros(DAYS_IN_YEAR, dtype=np.bool_)
    found = {plot: ground_bears(clearing.holding, grown, lane, plot) for plot in clearing.plots}
    bears = {plot: never if days is None else days for plot, days in found.items()}
    return (
        *strip_patches(clearing, grown, left, bears, lane),
        *orchard_patches(clearing, trees, left, bears, lane),
    )


def leavings_by_name(ways: Iterable[Beside], gathered: Iterable[Gathered]) -> Left:
    """What harvests leave, by planting or BLOCK.SPECIES."""
    every = tuple(gathered)
    return {
        item.account.partition(":")[2]: (item.good, float(np.sum(item.fresh_kg)))
        for way in ways
        for item in left_by(way, every)
    }


def strip_patches(
    clearing: Clearing, grown: GrowthResult, left: Left, bears: Mapping[str, Days], lane: int
) -> Iterator[Patch]:
    """Strips of crops and beds after each planting that leaves something."""
    holding, tables, due = clearing.holding, clearing.tables, grown.due
    first = 0
    for strip in grown.layout.strips:
        rows = range(first, first + len(strip.plantings))
        first += len(strip.plantings)
        leaves = [row for row in rows if grown.plantings[row].id in left and due.status[row, lane] in GATHERS]
        if strip.plot not in bears or not leaves:
            continue
        taken = ground_taken(grown, rows, lane)
        foods = [
            Food(
                grown.plantings[row].crop,
                int(due.gather_first[row, lane]) % DAYS_IN_YEAR,
                asked_d(holding, touches=tables.row("crops", grown.plantings[row].crop).text("touches_soil") == "yes"),
            )
            for row in rows
            if due.status[row, lane] in GATHERS
        ] + clearing.coming.get(strip.plot, [])
        for row in leaves:
            planting = grown.plantings[row]
            good, kg = left[planting.id]
            off = int(figure(tables, "carried_d")) if good == STUBBLE else 1
            last = int(due.gather_last[row, lane])
            free = run_of_free(taken, last + 1, foods)
            yield Patch(
                plot=strip.plot,
                strip=strip.id,
                name=planting.id,
                crop=planting.crop,
                good=good,
                feed=tables.row("goods", good).text("feed"),
                kg_dm=kg * tables.row("goods", good).need("dm_fraction"),
                least_kg_dm=figure(tables, "least_left_kg_ha") * strip.area_m2 / M2_PER_HA if good == STUBBLE else 0.0,
                starts=(last + off) % DAYS_IN_YEAR,
                lies=span(last + off, min(last + free + 1, last + off + int(figure(tables, f"{good}_d")))),
                bears=bears[strip.plot],
                clean=clean(foods),
                gap_d=free,
                next_crop=following(grown, rows, lane, last),
                food=tightest(foods, (last + off) % DAYS_IN_YEAR),
            )


def orchard_patches(
    clearing: Clearing, trees: tuple[TreeYear, ...], left: Left, bears: Mapping[str, Days], lane: int
) -> Iterator[Patch]:
    """Orchards with windfalls, when the last fruit of the plot is gathered: before the longest time without any."""
    holding, tables = clearing.holding, clearing.tables
    done: set[str] = set()
    for tree in trees:
        name = tree.account.partition(":")[2]
        if tree.plot not in bears or name not in left or name in done:
            continue
        done.add(name)
        fruiting = [one for one in trees if one.plot == tree.plot and one.kg[:, lane].sum() > 0.0]
        picked = np.any([span(one.harvest_from, one.harvest_from + one.harvest_days) for one in fruiting], axis=0)
        foods = [
            Food(
                one.species,
                one.harvest_from,
                asked_d(holding, touches=tables.row("trees", one.species).text("touches_soil") == "yes"),
            )
            for one in fruiting
        ]
        good, kg = left[name]
        starts = longest_free(picked)
        free = run_of_free(picked, starts, ())
        yield Patch(
            plot=tree.plot,
            strip=tree.block,
            name=name,
            crop=tree.species,
            good=good,
            feed=tables.row("goods", good).text("feed"),
            kg_dm=kg * tables.row("goods", good).need("dm_fraction"),
            least_kg_dm=0.0,
            starts=starts,
            lies=span(starts, starts + min(free, int(figure(tables, f"{good}_d")))),
            bears=bears[tree.plot],
            clean=clean(foods),
            gap_d=free,
            food=tightest(foods, starts),
            young_y=min(one.age_in(lane) for one in trees if one.plot == tree.plot),
        )


def ground_taken(grown: GrowthResult, rows: Iterable[int], lane: int) -> Days:
    """Days on which a crop of the strip stands or its bed is made: the year's own, and whatever else stands in the year."""
    taken = np.zeros(DAYS_IN_YEAR, dtype=np.bool_)
    for row in rows:
        for sowing in (0, 1):
            sow, last = int(grown.sow_day[row, sowing, lane]), int(grown.gather_last[row, sowing, lane])
            if sow < 0:
                continue
            if last < sow:
                standing = grown.status[row, sowing, lane] in (tr.STANDING, tr.WAITING)
                last = 2 * DAYS_IN_YEAR - 1 if standing else sow
            days = np.arange(sow - tr.BED_WORK_DAYS, last + 1)
            if sowing != grown.chosen[row, lane]:
                days = days[(days >= DAYS_IN_YEAR) & (days < 2 * DAYS_IN_YEAR)]
            taken[days % DAYS_IN_YEAR] = True
    return taken


def run_of_free(taken: Days, day: int, foods: Iterable[Food]) -> int:
    """Days from `day` on until the ground is taken, a year at the most; next year's crops may come sooner."""
    ahead = np.roll(taken, -(day % DAYS_IN_YEAR))
    free = int(np.argmax(ahead)) if ahead.any() else DAYS_IN_YEAR
    beds = [food.sown - tr.BED_WORK_DAYS - day % DAYS_IN_YEAR for food in foods if food.sown is not None]
    return min([free, *(bed for bed in beds if bed >= 0)])


def longest_free(taken: Days) -> int:
    """The first day of the longest time without anything on the ground, 0 where there is no free day."""
    if taken.all() or not taken.any():
        return 0
    begins = np.flatnonzero(~taken & np.roll(taken, 1))
    days = [run_of_free(taken, int(day), ()) for day in begins]
    return int(begins[int(np.argmax(days))])


def following(grown: GrowthResult, rows: Iterable[int], lane: int, last: int) -> str:
    """Crop that is sown next on the strip after a day, "" where nothing is."""
    sown = [(int(grown.due.sow_day[row, lane]), grown.plantings[row].crop) for row in rows]
    return min(((day - last) % DAYS_IN_YEAR, crop) for day, crop in sown if day >= 0)[1] if sown else ""


def span(first: int, last: int) -> Days:
    """Days from `first` up to, not with, `last`; the year joins its own end."""
    found = np.zeros(DAYS_IN_YEAR, dtype=np.bool_)
    found[np.arange(first, max(first, min(last, first + DAYS_IN_YEAR))) % DAYS_IN_YEAR] = True
    return found


def asked_d(holding: Holding, *, touches: bool) -> int:
    """Days that the plan keeps raw manure off ground before food is gathered from it."""
    rule = holding.rules.raw_manure_to_harvest_days
    return int(np.ceil(rule.touching_soil if touches else rule.other))


def clean(foods: Iterable[Food]) -> Days:
    """Evenings after which no food is gathered sooner than the rule lets it, and no bed of the next year is made."""
    found = np.ones(DAYS_IN_YEAR, dtype=np.bool_)
    for food in foods:
        found &= food.waits() >= food.asked_d
        if food.sown is not None:
            found &= food.sown - tr.BED_WORK_DAYS > DAY
    return found


def tightest(foods: Iterable[Food], day: int) -> Food | None:
    """The food with the fewest days to spare after an evening."""
    return min(foods, key=lambda food: int(food.waits()[day]) - food.asked_d, default=None)


def foods_of_next_year(
    holding: Holding, tables: Tables, forcing: Forcing, rotation_year: int, plots: set[str]
) -> dict[str, list[Food]]:
    """Plot of a rotation -> what next year's lines bring there, at the earliest; plots whose lines stand every year have none.

    The earliest is the opening of the sowing window and the table's fewest days to the harvest.
    """
    cycle = max((row.year for row in holding.plantings if isinstance(row.year, int)), default=1)
    turning = {row.plot for row in holding.plantings if isinstance(row.year, int)} & plots
    if cycle < 2 or not turning:
        return {}
    then = lay_out(holding, tables, season_climate(forcing), rotation_year % cycle + 1)
    found: dict[str, list[Food]] = {}
    for planting in then.plantings:
        if planting.plot in turning:
            crop = tables.row("crops", planting.crop)
            sown = planting.opens + DAYS_IN_YEAR * planting.due
            asked = asked_d(holding, touches=crop.text("touches_soil") == "yes")
            day = sown + int(crop["days_to_harvest_min"] or 0.0)
            found.setdefault(planting.plot, []).append(Food(planting.crop, day, asked, sown, rings=False))
    return found
