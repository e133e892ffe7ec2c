"""One crop of a holding: every planting of it in every larder year of the record, and one of these years day by day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np

from yardland.datebook.season import season_climate
from yardland.datebook.strips import lay_out
from yardland.datebook.windows import Windows
from yardland.errors import Fault, InputFaults, YardlandError
from yardland.growth import traits as tr
from yardland.growth.crop_traits import FORAGE
from yardland.growth.dressing import Dressing
from yardland.growth.hazards.chance import is_south
from yardland.growth.hazards.falls import Chain
from yardland.growth.hazards.spans import of_this_half
from yardland.growth.hazards.strike import Strike, crop_stand, expected_losses, strike
from yardland.growth.hazards.table import hazards_on_crop
from yardland.growth.io import F64, KernelInput, KernelOutput
from yardland.growth.layout import Layout
from yardland.growth.outcome import GATHERS, GrowthResult, read_out
from yardland.growth.run import kernel_input, run_kernel, walkers
from yardland.growth.texture import GroundSoil, soil_of
from yardland.growth.trace import Trace, trace
from yardland.holding.dress import Dress
from yardland.holding.model import Holding, PlantingRow
from yardland.ledger.months import larder_months
from yardland.reference import Tables
from yardland.season.crop_limits import DayByDay, day_by_day
from yardland.season.dressings import dressings
from yardland.season.grazers import grazers
from yardland.season.lanes import water_demand_m3_day
from yardland.season.plantings import PlantingYear, day_on_axis, planting_year
from yardland.season.sky import weather_months
from yardland.stock.year import herd_year
from yardland.weather.types import Forcing

TRIAL_M2 = 100.0
TRIAL_USES = ("crops", "garden")
"""Uses of plots that a trial planting may stand on, the best first."""
KINDS = {
    "cereal": "cereals",
    "legume": "pulses and oil crops",
    "root": "roots",
    "leaf": "leaf crops",
    "allium": "onions and leeks",
    "fruit": "fruiting crops",
}
"""Groups of the canopy table in words."""


@dataclass(frozen=True)
class NitrogenYears:
    """A planting's nitrogen in every larder year of the record, kg/ha, [lane].

    taken, fixed : by the crop, from the soil and from the air ; removed : carried off with the harvest
    leached : out of its strip over the whole larder year, whatever stood there
    """

    taken: F64
    fixed: F64
    removed: F64
    leached: F64


@dataclass(frozen=True)
class HazardTold:
    """What one hazard takes of a planting in an average year of the record: share of the crop; its chance and loss."""

    key: str
    name: str
    chance: float
    loss: float
    share: float
    remedy: str
    caution: str


@dataclass(frozen=True)
class CropPlanting:
    """One planting in all larder years of the record.

    window : first and last sowing day ("04-05") ; transplanted : sown means planted out
    dressing : what its ground is given on its sowing day, None for nothing ; nitrogen : of every year
    expected : hazard -> share of the crop that it takes in an average year ; strikes : what fell in which year, if drawn
    years, fates, labels : of each larder year ; lane : the one that is shown
    """

    id: str
    plot: str
    variety: str
    rotation_year: int
    window: tuple[str, str]
    window_words: str
    soil: GroundSoil
    watered_by: tuple[str, ...]
    transplanted: bool
    years: tuple[PlantingYear, ...]
    fates: tuple[str, ...]
    labels: tuple[str, ...]
    lane: int
    day_by_day: DayByDay | None
    nitrogen: NitrogenYears
    dressing: Dressing | None = None
    expected: tuple[HazardTold, ...] = ()
    strikes: tuple[tuple[str, Strike], ...] = ()

    @property
    def shown(self) -> PlantingYear:
        """The larder year that is shown."""
        return self.years[self.lane]

    @property
    def days_to_gather(self) -> tuple[int | None, ...]:
        """Days from sowing (or planting out) to the first gathering, by larder year; None where nothing was gathered."""
        return tuple(
            None if year.days is None or year.gather_day is None else year.gather_day - year.days[0]
            for year in self.years
        )

    @property
    def yields_t_ha(self) -> F64:
        """Yield in each larder year of the record."""
        return np.array([year.yield_t_ha for year in self.years])


@dataclass(frozen=True)
class CropTold:
    """Everything that the crop's page says.

    trial : the plan has no such planting, this one was put in to try it ; trial_dressing : what it is given, and why
    flower_heat_c : day's maxima at which a tenth and nine tenths of the flowers fail, None where the table is silent
    """

    holding: Holding
    crop: str
    name: str
    source: str
    label: str
    trial: bool
    days_band: tuple[float | None, float | None]
    middle_t_ha: float
    plantings: tuple[CropPlanting, ...]
    notes: tuple[str, ...]
    hazard_seed: int | None = None
    trial_dressing: str = ""
    flower_heat_c: tuple[float, float] | None = None


def tell_crop(
    holding: Holding, tables: Tables, forcing: Forcing, lane: int, crop: str, hazard_seed: int | None = None
) -> CropTold:
    """One crop of a holding.

    Args:
        holding: the plan.
        tables: the reference tables under the holding's own figures.
        forcing: every larder year of the record.
        lane: the year that is shown day by day.
        crop: key of the crops table.
        hazard_seed: of hail, pests and disease; none falls if None.

    Raises:
        InputFaults: no plot on which a trial could stand.
        YardlandError: a forage crop, which is grown as a sward (`sward_told.tell_sward`).
    """
    if crop in FORAGE:
        raise YardlandError(f"{crop} is grown as a sward: tell_sward tells of it")
    trial = all(row.crop != crop for row in holding.plantings)
    plan, given = with_trial(holding, tables, crop) if trial else (holding, "")
    plantings: list[CropPlanting] = []
    notes: list[str] = []
    for year, lines in rotation(plan, crop):
        found, said = _plantings(plan, tables, forcing, lane, crop, year, lines, hazard_seed)
        plantings += found
        notes += said
    row = tables.row("crops", crop)
    return CropTold(
        holding=plan,
        crop=crop,
        name=row.text("common_name"),
        source=forcing.source,
        label=forcing.labels[lane],
        trial=trial,
        days_band=(row["days_to_harvest_min"], row["days_to_harvest_max"]),
        middle_t_ha=row.need("typical_yield_mid_t_ha"),
        plantings=tuple(plantings),
        notes=tuple(dict.fromkeys(notes)),
        hazard_seed=hazard_seed,
        trial_dressing=given,
        flower_heat_c=None if (hot := row["flower_heat10_c"]) is None else (hot, row.need("flower_heat90_c")),
    )


def with_trial(holding: Holding, tables: Tables, crop: str) -> tuple[Holding, str]:
    """The plan with a trial planting of the crop on its first plot of crops (else garden), sown when the climate says.

    It is dressed as most of the plan's lines of its kind (`usual_dressing`).

    Returns:
        The plan, and in words what the trial is given and why.

    Raises:
        InputFaults: no such plot.
    """
    plots = [(use, name) for use in TRIAL_USES for name, plot in holding.plot.items() if plot.use == use]
    if not plots:
        remedy = f'Add a plot with use = "crops", or a line {crop} to plantings.csv.'
        raise InputFaults([Fault("holding.toml", "plot", "no plot of crops or garden", "ground for a trial", remedy)])
    plot = plots[0][1]
    share = min(TRIAL_M2 / holding.plot[plot].area_m2, 1.0)
    dress, words = usual_dressing(holding, tables, crop)
    row = PlantingRow(line=0, plot=plot, crop=crop, share=share, dressing=dress)
    return holding.model_copy(update={"plantings": (*holding.plantings, row)}), words


def usual_dressing(holding: Holding, tables: Tables, crop: str) -> tuple[Dress, str]:
    """What most of the plan's lines of a crop's kind are given (of equals the first in the plan), and why, in words.

    Its kind is the group of the canopy table: cereals, legumes and oil crops, roots, leaves, onions, fruit.
    """
    group = tables.row("crops", crop).text("canopy_group")
    if crop in FORAGE:
        return Dress(), "it is given no dressing: a standing sward is not dressed here"
    kind = KINDS.get(group, f"{group} crops")
    alike = [row for row in holding.plantings if tables.row("crops", row.crop).text("canopy_group") == group]
    alike = [row for row in alike if row.crop not in FORAGE]
    if not alike:
        return Dress(), f"it is given no dressing: the plan has no other {kind}"
    asked = [row.dressing for row in alike]
    most = max(dict.fromkeys(asked), key=asked.count)
    if not most.kind:
        return most, f"it is given no dressing, as most {kind} of the plan"
    names = ", ".join(dict.fromkeys(row.crop.replace("_", " ") for row in alike if row.dressing == most))
    return most, f"it is given {most}, as most {kind} of the plan ({names})"


def rotation(holding: Holding, crop: str) -> Iterator[tuple[int, frozenset[int]]]:
    """Years of the rotation in which lines of the crop stand, and these lines; "every" counts in the first."""
    rows = [row for row in holding.plantings if row.crop == crop]
    numbered = {row.year for row in rows if row.year != "every"}
    years = sorted(year for year in numbered if isinstance(year, int)) or [1]
    for place, year in enumerate(years):
        wanted = {year, "every"} if place == 0 else {year}
        yield year, frozenset(row.line for row in rows if row.year in wanted)


def _plantings(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    lane: int,
    crop: str,
    year: int,
    lines: frozenset[int],
    hazard_seed: int | None,
) -> tuple[list[CropPlanting], list[str]]:
    """Plantings of these lines in one year of the rotation, and the datebook's notes on them."""
    plan = grow_plan(holding, tables, forcing, lane, year)
    layout, given, grown = plan.layout, plan.given, plan.grown
    chain = Chain(tables, forcing, hazard_seed or 0)
    unhurt = grown
    grown, fell = (grown, ()) if hazard_seed is None else strike(grown, chain)
    rows, windows = layout.sowing_rows, Windows(tables, season_climate(forcing))
    wanted = [index for index, planting in enumerate(layout.plantings) if planting.line in lines]
    chosen = {index: int(rows[index, grown.chosen[index, lane]]) for index in wanted}
    traces = trace(given, lane, chosen.values())
    lanes, lines_of = range(len(forcing.labels)), {row.line: row for row in holding.plantings}
    strips = {planting.id: number for number, strip in enumerate(layout.strips) for planting in strip.plantings}
    dressed = {dressing.planting: dressing for dressing in plan.dressings}
    told = []
    for index in wanted:
        planting, plot = layout.plantings[index], holding.plot[layout.plantings[index].plot]
        line, strip = lines_of[planting.line], strips[planting.id]
        seen = traces.get(chosen[index])
        told.append(
            CropPlanting(
                id=planting.id,
                plot=planting.plot,
                variety=planting.variety,
                rotation_year=year,
                window=(str(windows.month_day(planting.opens)), str(windows.month_day(planting.closes))),
                window_words=planting.words,
                soil=soil_of(holding, tables, planting.plot),
                watered_by=plot.watered_by,
                transplanted=bool(given.traits[tr.HEAT_AT_START, chosen[index]] > 0.0),
                years=tuple(
                    planting_year(holding, tables, forcing, grown, one, index, line, layout.strips[strip].id)
                    for one in lanes
                ),
                fates=tuple(grown.status_words(index, one) for one in lanes),
                labels=forcing.labels,
                lane=lane,
                day_by_day=None if seen is None else _day_by_day(forcing, lane, seen),
                nitrogen=_nitrogen(given, grown, index, strip),
                dressing=dressed.get(planting.id),
                expected=tuple(_expected(chain, unhurt, index)),
                strikes=tuple(_fallen(forcing, grown, fell, planting.id)),
            )
        )
    return told, [note for note in layout.notes if crop in note]


def _expected(chain: Chain, grown: GrowthResult, index: int) -> Iterator[HazardTold]:
    """What each hazard takes of a planting on average over the years in which it is gathered, the most first."""
    hazards = hazards_on_crop(chain.tables, grown.plantings[index].crop)
    by_sowing = [expected_losses(chain, hazards, crop_stand(grown, index, sowing)) for sowing in (0, 1)]
    gathered = grown.pick(grown.yield_kg_ha)[index] > 0
    for hazard in sorted(hazards, key=lambda one: -sum(float(sowing[one.key].sum()) for sowing in by_sowing)):
        share = np.where(grown.chosen[index] == 0, by_sowing[0][hazard.key], by_sowing[1][hazard.key])
        mean = float(share[gathered].mean()) if gathered.any() else 0.0
        south = is_south(chain.forcing)
        remedy, caution = (of_this_half(words, south=south) for words in (hazard.remedy, hazard.caution))
        yield HazardTold(hazard.key, hazard.name, hazard.chance, hazard.loss, mean, remedy, caution)


def _fallen(
    forcing: Forcing, grown: GrowthResult, fell: tuple[Strike, ...], planting: str
) -> Iterator[tuple[str, Strike]]:
    """Date and strike of what took from a planting's sowings that count, by year and day."""
    index = [one.id for one in grown.plantings].index(planting)
    for one in sorted(fell, key=lambda each: (each.lane, each.day)):
        if one.id == planting and one.sowing == int(grown.chosen[index, one.lane]):
            yield day_on_axis(forcing, one.lane, one.day) or "", one


def _nitrogen(given: KernelInput, grown: GrowthResult, index: int, strip: int) -> NitrogenYears:
    """A planting's nitrogen in every lane, of the sowing whose harvest belongs to the larder year."""
    taken, fixed = (grown.pick(part)[index] for part in (grown.taken_n_kg_ha, grown.fixed_n_kg_ha))
    off = float(given.traits[tr.N_REMOVED, grown.layout.sowing_rows[index, 0]])
    gathered = np.isin(grown.pick(grown.status)[index], GATHERS)
    return NitrogenYears(
        taken=taken,
        fixed=fixed,
        removed=np.where(gathered, off * (taken + fixed), 0.0),
        leached=grown.nitrogen_kg_ha["leached_kg_ha"][strip].sum(axis=0),
    )


@dataclass(frozen=True)
class PlanGrown:
    """A whole plan in one year of its rotation: what was laid out, given to the kernel, filled in, read out, and spread."""

    layout: Layout
    given: KernelInput
    out: KernelOutput
    grown: GrowthResult
    dressings: tuple[Dressing, ...]


def grow_plan(holding: Holding, tables: Tables, forcing: Forcing, lane: int, year: int) -> PlanGrown:
    """The whole plan in one year of its rotation, grown in every lane: dressed, and people and stock drinking first.

    Args:
        holding: the plan.
        tables: the reference tables under the holding's own figures.
        forcing: every larder year of the record.
        lane: the year whose herd gives the manure and drinks.
        year: of the rotation.
    """
    months = larder_months(forcing.start_years[lane], forcing.start_month)
    sky = weather_months(forcing, lane, months)
    herd = herd_year(holding, tables, months, (sky["tmin_c"] + sky["tmax_c"]) / 2, sky["daylength_h"])
    layout = lay_out(holding, tables, season_climate(forcing), year)
    spread = dressings(holding, tables, herd, layout, months, sky)
    thirst = water_demand_m3_day(holding, tables, herd, months)
    # A plan without grazing stock asks what its grass could give: mouths enough are taken then.
    walks = walkers(holding, layout, grazers(holding, tables, herd, months) or None)
    given, supplies = kernel_input(holding, tables, forcing, layout, thirst, spread, walks)
    out = run_kernel(given)
    names = tuple(walk.name for walk in walks)
    grown = read_out(holding, tables, layout, forcing, given, out, supplies.names, names)
    return PlanGrown(layout, given, out, grown, spread)


def _day_by_day(forcing: Forcing, lane: int, seen: Trace) -> DayByDay:
    """A sowing's days with their dates and the dates of its stages."""
    first, *others = (day_on_axis(forcing, lane, day) or "" for day in (seen.sow_day, *seen.stages.values()))
    return day_by_day(seen, date.fromisoformat(first), tuple(zip(seen.stages, others, strict=True)))
