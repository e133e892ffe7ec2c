"""The physical years of drawn chains: weather, growth, hazards, and what they bring to the larder.

A chain is a run of consecutive drawn years; chains lie so far apart on the generator's axis of years that they share
nothing. Training years lie on the other side of zero.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from yardland.datebook.season import season_climate
from yardland.datebook.strips import lay_out
from yardland.growth.hazards.chance import Norm, driver_norms
from yardland.growth.hazards.falls import Chain
from yardland.growth.soil_left import Place, SoilLeft, mean_soil
from yardland.holding.era import plan_year
from yardland.holding.model import Holding
from yardland.larder.description import MONTHS
from yardland.larder.feed_law import feed_law
from yardland.larder.feed_leavings import LeavingWays, leaving_ways, with_ways
from yardland.larderyears.mishaps import Mishap, main_worker, mishaps
from yardland.larderyears.start import as_it_stands
from yardland.ledger.months import Month, larder_months
from yardland.ledger.production import Production
from yardland.reference import Tables
from yardland.season.evenings import Evenings, grass_share
from yardland.season.grazers import stays
from yardland.season.lanes import Lanes, Plan, grow_lanes, make_all, plan_of, soils_of, swards_alone
from yardland.season.sky import weather_months
from yardland.stock.herds.chains import HerdStrike, herd_chains
from yardland.stock.herds.plan import HerdPlan, compile_plan
from yardland.stock.sky import Sky
from yardland.stock.year import herd_year
from yardland.weather.generator.choose import choose
from yardland.weather.generator.draw import forcing
from yardland.weather.generator.model import Model
from yardland.weather.read import load_weather
from yardland.weather.types import Forcing
from yardland.weather.years import larder_years

F64 = npt.NDArray[np.float64]
APART = 64
"""Years from the start of one chain to that of the next: more than any chain is long."""
MOST_YEARS = APART - 4
BY_DAY = ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "eto_mm", "daylength_h", "twilight_daylength_h")
OVERLAP = 2
"""Years from a lane's own back to the one whose end is where its lead-in begins."""
GONE_OVER = 1
"""Times that a chain's years are grown for the soil that they leave: more move its mean by under a hundredth of its spread
(docs/years-policy.md measures it)."""
USUAL_OVER = 2
"""Times that the record's years are, for the usual soil."""
DRAWN = "drawn"
"""Name of the chain in the keys of hazards; a drawn year's own number tells its chain."""
RECORD_SEED = 1
"""Of days made from normals where there is no record: what is known beforehand does not hang on the seed that is asked for."""


@dataclass(frozen=True)
class Ground:
    """What all chains of a plan share: what is known of its climate, its herds, its generator.

    plans : of each year of the rotation, with herds at steady numbers, by which ground is grazed and manured
    soil : as a year leaves it in the mean of the record's, one lane
    herds : by which their heads are drawn ; evenings : that herds spend outside in the mean of the record's years
    leavings : what is fed beside the harvests, looked up ; worker : who works most, and the share of all hours
    """

    holding: Holding
    tables: Tables
    months: tuple[Month, ...]
    plans: tuple[Plan, ...]
    herds: HerdPlan
    evenings: Evenings
    soil: SoilLeft
    model: Model
    norms: dict[str, Norm]
    leavings: LeavingWays
    worker: tuple[str, float]
    source: str
    record_years: int
    notes: tuple[str, ...]

    @property
    def rotation_years(self) -> int:
        """After how many years the plan begins again."""
        return len(self.plans)

    def first_turn(self, chain: int) -> int:
        """Year of the rotation, from 0, that a chain begins with: the plan's own one where it begins as it stands.

        Settled chains and those of training begin with each in turn, so that short chains weigh all years of the rotation alike.
        """
        return 0 if chain >= 0 and as_it_stands(self.holding) else turn_of(chain, 0, self.rotation_years)


def turn_of(chain: int, year: int, rotation_years: int) -> int:
    """Year of the rotation, from 0, of a year of a chain, by the chain's own number: whatever runs beside it."""
    return (chain + year) % rotation_years


def ground(holding: Holding, tables: Tables) -> Ground:
    """Read the record, fit the generator, and settle what every chain shares.

    Raises:
        InputFaults: weather that cannot be used; a record of too few years for a generator.
    """
    record = load_weather(holding, RECORD_SEED)
    lanes = larder_years(record, holding.place.year_starts.month)
    months = larder_months(plan_year(holding), lanes.start_month)
    skies = [weather_months(lanes, lane, months) for lane in range(len(lanes.start_years))]
    sky = {name: np.asarray(np.mean([one[name] for one in skies], axis=0)) for name in skies[0]}
    mean_c = (sky["tmin_c"] + sky["tmax_c"]) / 2
    herd = herd_year(holding, tables, months, mean_c, sky["daylength_h"])
    typed = [row.year for row in holding.plantings if isinstance(row.year, int)]
    climate = season_climate(lanes)
    plans = tuple(
        plan_of(holding, tables, months, sky, herd, lay_out(holding, tables, climate, turn + 1), turn + 1, lanes)
        for turn in range(max(typed, default=1))
    )
    evenings = mean_evenings(plans[0], lanes)
    chosen = choose(holding, record)
    return Ground(
        holding=holding,
        tables=tables,
        months=months,
        plans=plans,
        herds=compile_plan(holding, tables, Sky.of(months, mean_c, sky["daylength_h"])),
        evenings=evenings,
        soil=usual_soil(plans, lanes, evenings),
        model=chosen.model,
        norms=driver_norms(tables, lanes),
        leavings=leaving_ways(holding, tables, months, feed_law(holding, tables)),
        worker=main_worker(holding, months),
        source=record.source,
        record_years=len(lanes.start_years),
        notes=tuple(dict.fromkeys((*record.notes, *chosen.model.notes))),
    )


def mean_evenings(plan: Plan, record: Forcing) -> Evenings:
    """Group -> plot -> share of each month's evenings, [12], in the mean of the record's years: what is known of them."""
    grown = swards_alone(plan, record)
    if grown is None:
        return {}
    lanes = range(len(record.start_years))
    years = [grass_share(stays(plan.holding, grown, lane), plan.months) for lane in lanes]
    places = dict.fromkeys((group, plot) for one in years for group, plots in one.items() for plot in plots)
    nowhere = np.zeros(12)
    found: dict[str, dict[str, F64]] = {}
    for group, plot in places:
        shares = [one.get(group, {}).get(plot, nowhere) for one in years]
        found.setdefault(group, {})[plot] = np.asarray(np.mean(shares, axis=0))
    return found


def usual_soil(plans: Sequence[Plan], record: Forcing, evenings: Evenings) -> SoilLeft:
    """The soil with which a year opens in this climate: what all years of the record leave, begun with what they leave."""
    soil: SoilLeft | None = None
    every = np.zeros(len(record.start_years), dtype=np.int64)
    for _ in range(USUAL_OVER):
        begins = None if soil is None else soil.lanes(every.tolist())
        soil = mean_soil([soils_of(plan, record, evenings, begins) for plan in plans])
    return SoilLeft({}) if soil is None else soil


def chain_forcing(ground: Ground, seed: int, chains: Sequence[int], years: int, warmer_c: float = 0.0) -> Forcing:
    """The weather of chains, lanes chain by chain, each in the order of its years.

    Raises:
        ValueError: a chain longer than MOST_YEARS.
    """
    if not 1 <= years <= MOST_YEARS:
        raise ValueError(f"years: found {years}, expected 1 to {MOST_YEARS} in a chain")
    start_month = ground.months[0].month
    drawn = [forcing(ground.model, seed, years, start_month, chain * APART, warmer_c=warmer_c) for chain in chains]
    first = drawn[0]
    skies: dict[str, Any] = {
        name: np.ascontiguousarray(np.concatenate([getattr(one, name) for one in drawn], axis=1)) for name in BY_DAY
    }
    return replace(
        first,
        **skies,
        labels=tuple(label for one in drawn for label in one.labels),
        start_years=tuple(year for one in drawn for year in one.start_years),
        led_in_by_itself=tuple(flag for one in drawn for flag in one.led_in_by_itself),
    )


def some_lanes(lanes: Forcing, which: Sequence[int]) -> Forcing:
    """Some of the lanes of a forcing."""
    index = np.array(which, dtype=np.int64)
    skies: dict[str, Any] = {name: np.ascontiguousarray(getattr(lanes, name)[:, index]) for name in BY_DAY}
    return replace(
        lanes,
        **skies,
        labels=tuple(lanes.labels[lane] for lane in which),
        start_years=tuple(lanes.start_years[lane] for lane in which),
        led_in_by_itself=tuple(lanes.led_in_by_itself[lane] for lane in which),
    )


@dataclass(frozen=True)
class Struck:
    """A hazard that took something in a year of a chain; of stock, live kilograms at grown weight; of mishaps, about so much."""

    chain: int
    year: int
    hazard: str
    subject: str
    lost_kg: float


@dataclass(frozen=True)
class Grown:
    """raw, productions [chain][year] : without and with leavings ; struck : what hazards took."""

    raw: tuple[tuple[Production, ...], ...]
    productions: tuple[tuple[Production, ...], ...]
    struck: tuple[Struck, ...]


def grow_chains(
    ground: Ground,
    seed: int,
    chains: Sequence[int],
    years: int,
    warmer_c: float = 0.0,
    calendar: Sequence[int] | Sequence[Sequence[int]] | None = None,
) -> Grown:
    """Grow chains of years, each from its first turn, and draw their herds; a chain is the same whatever others are grown with it.

    Args:
        ground: of the plan.
        seed: of weather, hazards and herds.
        chains: their numbers; negative ones are for training.
        years: in each, 1 to MOST_YEARS.
        warmer_c: added to every day.
        calendar: of each year of a chain, the year by which trees are as old as they are, for all chains or for each; the
            plan's for all if None.
    """
    dated = calendars(ground, len(chains), years, calendar)
    whole = chain_forcing(ground, seed, chains, years, warmer_c)
    holding, tables = ground.holding, ground.tables
    herds = herd_chains(ground.herds, tables, seed, chains, years)
    found: dict[int, Production] = {}
    befell = [
        mishaps(holding, tables, ground.months, seed, DRAWN, chain * APART + np.arange(years), ground.worker)
        for chain in chains
    ]
    struck = [told_of_herds(one, chains) for one in herds.strikes]
    struck += [told_of_house(one, chain) for chain, by in zip(chains, befell, strict=True) for one in by.told]
    turns = [(ground.first_turn(chain) + year) % ground.rotation_years for chain in chains for year in range(years)]
    soils = soils_before(ground, whole, turns, years)
    for turn in sorted(set(turns)):
        which = [lane for lane, one in enumerate(turns) if one == turn]
        sky, trees_in = some_lanes(whole, which), [dated[lane] for lane in which]
        hazards = Chain(tables, sky, seed, DRAWN, ground.norms)
        lanes = grow_lanes(ground.plans[turn], sky, ground.evenings, hazards, trees_in, soils.lanes(which))
        for place, (given, stood) in enumerate(make_all(lanes)):
            lane = which[place]
            chain, year = divmod(lane, years)
            hit = befell[chain]
            mishap = hit.thawed[year], hit.hands[year]
            found[lane] = given.production(place, herds.needs[chain][year], stood, mishap)
        struck += told(lanes, which, years, chains)
    raw = tuple(tuple(found[chain * years + year] for year in range(years)) for chain in range(len(chains)))
    full = tuple(tuple(with_ways(ground.leavings, one) for one in chain) for chain in raw)
    return Grown(raw, full, tuple(struck))


def soils_before(ground: Ground, whole: Forcing, turns: Sequence[int], years: int, times: int = GONE_OVER) -> SoilLeft:
    """The soil as the year before each lane's opens: as the chain left it two years ago, [state, lane].

    A lane is led in by the drawn year before it; that year opens with what the chain's own years before left. All years
    are grown at once, and so often anew with what the last time left: each goes two years further back. What nothing is
    known of opens with the usual soil of the climate.

    Args:
        ground: of the plan.
        whole: weather, chain by chain.
        turns: year of the rotation of each lane.
        years: of a chain.
        times: that the years are gone over.
    """
    lanes = range(len(turns))
    before = [lane - OVERLAP if lane % years >= OVERLAP else -1 for lane in lanes]
    alike = {turn: [lane for lane in lanes if turns[lane] == turn] for turn in sorted(set(turns))}
    soil = ground.soil.lanes([0] * len(turns))
    for _ in range(times):
        found: dict[Place, F64] = {}
        for turn, which in alike.items():
            left = soils_of(ground.plans[turn], some_lanes(whole, which), ground.evenings, soil.lanes(which))
            for place, state in left.of.items():
                found.setdefault(place, np.full((len(state), len(turns)), np.nan))[:, which] = state
        soil = SoilLeft(found).lanes(before).filled(ground.soil)
    return soil


def calendars(
    ground: Ground, chains: int, years: int, calendar: Sequence[int] | Sequence[Sequence[int]] | None
) -> list[int]:
    """The year by which trees are as old as they are, of each year of each chain, one behind the other."""
    if calendar is None:
        return [plan_year(ground.holding)] * (chains * years)
    own = [tuple(one) for one in calendar if not isinstance(one, int)]
    each = own or [tuple(one for one in calendar if isinstance(one, int))] * chains
    return [year for one in each for year in one]


def told(lanes: Lanes, which: Sequence[int], years: int, chains: Sequence[int]) -> Iterator[Struck]:
    """Strikes that took something, by chain and year."""
    strikes = (*lanes.on_crops, *lanes.on_trees)
    lost_kg = np.array([one.lost_kg for one in strikes]).reshape(-1, MONTHS).sum(axis=1).tolist()
    for strike, kg in zip(strikes, lost_kg, strict=True):
        if kg > 0.0:
            chain, year = divmod(which[strike.lane], years)
            yield Struck(chains[chain], year, strike.hazard.key, strike.subject, kg)


def told_of_herds(strike: HerdStrike, chains: Sequence[int]) -> Struck:
    """A strike on a group by its chain and year."""
    return Struck(chains[strike.chain], strike.year, strike.kind, strike.group, strike.live_kg)


def told_of_house(mishap: Mishap, chain: int) -> Struck:
    """A mishap of the household by its chain and year."""
    return Struck(chain, mishap.year, mishap.key, mishap.subject, mishap.lost_kg)
