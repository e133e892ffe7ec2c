"""One crop of a holding: every planting of it in every larder year of the record, and one of these years day by day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from yardland.datebook.season import season_climate
from yardland.datebook.strips import lay_out
from yardland.datebook.windows import Windows
from yardland.errors import Fault, InputFaults
from yardland.growth import traits as tr
from yardland.growth.crop_traits import FORAGE
from yardland.growth.hazards.chance import is_south
from yardland.growth.hazards.falls import Chain
from yardland.growth.hazards.spans import of_this_half
from yardland.growth.hazards.strike import Strike, crop_stand, expected_losses, strike
from yardland.growth.hazards.table import hazards_on_crop
from yardland.growth.io import F64, KernelInput
from yardland.growth.layout import Layout
from yardland.growth.outcome import GrowthResult, read_out
from yardland.growth.run import kernel_input, run_kernel
from yardland.growth.texture import GroundSoil, soil_of
from yardland.growth.trace import Trace, trace
from yardland.holding.model import Holding, PlantingRow
from yardland.ledger.months import MONTH_NAMES, larder_months
from yardland.reference import Tables
from yardland.season.plantings import PlantingYear, day_on_axis, planting_year
from yardland.season.season import water_demand_m3_day
from yardland.season.sky import weather_months
from yardland.stock.year import herd_year
from yardland.weather.types import Forcing

TRIAL_M2 = 100.0
TRIAL_USES = ("crops", "garden")
"""Uses of plots that a trial planting may stand on, the best first."""
LIMITS = ("cold", "heat", "water")


@dataclass(frozen=True)
class MonthLimit:
    """A calendar month of a sowing: what its leaves caught, and what they made of it.

    month : "2023-06" ; days : that it stood ; cover : mean ; light_mj : caught, MJ/m2 ; made_g_m2 : dry matter
    lost : cold, heat, water -> share of the month's growth that was lost to it ; degree_days : gathered
    """

    month: str
    days: int
    cover: float
    light_mj: float
    made_g_m2: float
    degree_days: float
    rain_mm: float
    irrigation_mm: float
    lost: dict[str, float]


@dataclass(frozen=True)
class DayByDay:
    """The year that is shown: a sowing's days, the date of each, its stages by date, and its months."""

    trace: Trace
    dates: tuple[date, ...]
    stages: tuple[tuple[str, str], ...]
    months: tuple[MonthLimit, ...]

    @property
    def lost(self) -> dict[str, float]:
        """Share of the whole growth that cold, heat and want of water took."""
        whole = sum(month.light_mj for month in self.months)
        return {
            name: sum(month.lost[name] * month.light_mj for month in self.months) / whole if whole > 0 else 0.0
            for name in LIMITS
        }

    @property
    def nearest_frost(self) -> tuple[float, date] | None:
        """Least distance from the killing temperature while the crop was up, C (negative: killed), and its day."""
        days = self.trace.days
        up = np.flatnonzero(days["emerged"] > 0)
        if not len(up):
            return None
        margin = (days["cold_c"] - days["kill_c"])[up]
        at = int(np.argmin(margin))
        return float(margin[at]), self.dates[int(up[at])]


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
    """Everything that the crop's page says. `trial` : the plan has no such planting, this one was put in to try it."""

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
        InputFaults: a forage crop (grown as a sward), or no plot on which a trial could stand.
    """
    if crop in FORAGE:
        fault = Fault(
            "NAME",
            "crop",
            f"{crop}, which is grown as a sward",
            "a crop that is sown and gathered",
            "Look at the grass of the year's report.",
        )
        raise InputFaults([fault])
    trial = all(row.crop != crop for row in holding.plantings)
    plan = with_trial(holding, crop) if trial else holding
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
    )


def with_trial(holding: Holding, crop: str) -> Holding:
    """The plan with a trial planting of the crop on its first plot of crops (else garden), sown when the climate says.

    Raises:
        InputFaults: no such plot.
    """
    plots = [(use, name) for use in TRIAL_USES for name, plot in holding.plot.items() if plot.use == use]
    if not plots:
        remedy = f'Add a plot with use = "crops", or a line {crop} to plantings.csv.'
        raise InputFaults([Fault("holding.toml", "plot", "no plot of crops or garden", "ground for a trial", remedy)])
    plot = plots[0][1]
    share = min(TRIAL_M2 / holding.plot[plot].area_m2, 1.0)
    row = PlantingRow(line=0, plot=plot, crop=crop, share=share)
    return holding.model_copy(update={"plantings": (*holding.plantings, row)})


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
    layout, given, grown = _grown(holding, tables, forcing, lane, year)
    chain = Chain(tables, forcing, hazard_seed or 0)
    unhurt = grown
    grown, fell = (grown, ()) if hazard_seed is None else strike(grown, chain)
    rows, windows = layout.sowing_rows, Windows(tables, season_climate(forcing))
    wanted = [index for index, planting in enumerate(layout.plantings) if planting.line in lines]
    chosen = {index: int(rows[index, grown.chosen[index, lane]]) for index in wanted}
    traces = trace(given, lane, chosen.values())
    lanes, lines_of = range(len(forcing.labels)), {row.line: row for row in holding.plantings}
    strips = {planting.id: strip.id for strip in layout.strips for planting in strip.plantings}
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
                years=tuple(planting_year(holding, tables, forcing, grown, one, index, line, strip) for one in lanes),
                fates=tuple(grown.status_words(index, one) for one in lanes),
                labels=forcing.labels,
                lane=lane,
                day_by_day=None if seen is None else _day_by_day(forcing, lane, seen),
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


def _grown(
    holding: Holding, tables: Tables, forcing: Forcing, lane: int, year: int
) -> tuple[Layout, KernelInput, GrowthResult]:
    """The whole plan in one year of its rotation, grown in every lane, people and stock drinking first."""
    months = larder_months(forcing.start_years[lane], forcing.start_month)
    sky = weather_months(forcing, lane, months)
    herd = herd_year(holding, tables, months, (sky["tmin_c"] + sky["tmax_c"]) / 2, sky["daylength_h"])
    layout = lay_out(holding, tables, season_climate(forcing), year)
    given, supplies = kernel_input(holding, tables, forcing, layout, water_demand_m3_day(holding, tables, herd, months))
    return layout, given, read_out(holding, tables, layout, forcing, given, run_kernel(given), supplies.names)


# --- the year that is shown --------------------------------------------------------------------------------------------


def _day_by_day(forcing: Forcing, lane: int, seen: Trace) -> DayByDay:
    first, *others = (day_on_axis(forcing, lane, day) or "" for day in (seen.sow_day, *seen.stages.values()))
    dates = common_days(date.fromisoformat(first), len(seen.axis))
    return DayByDay(seen, dates, tuple(zip(seen.stages, others, strict=True)), month_limits(seen, dates))


def common_days(first: date, count: int) -> tuple[date, ...]:
    """Days from `first` on, without 29 February."""
    days: list[date] = []
    day = first
    while len(days) < count:
        if (day.month, day.day) != (2, 29):
            days.append(day)
        day += timedelta(days=1)
    return tuple(days)


def month_limits(seen: Trace, dates: tuple[date, ...]) -> tuple[MonthLimit, ...]:
    """What cold, heat and want of water took of each month's growth.

    A day's growth is light caught x min(cold, heat) x ks; the smaller of cold and heat takes its part of the light first,
    want of water its part of what is left, so that the parts and what was made are the whole.
    """
    days = seen.days
    keys = [f"{day.year}-{day.month:02d}" for day in dates]
    light = days["light_mj"]
    warm = np.minimum(days["cold"], days["heat"])
    gone = {
        "cold": np.where(days["cold"] <= days["heat"], light * (1.0 - warm), 0.0),
        "heat": np.where(days["cold"] > days["heat"], light * (1.0 - warm), 0.0),
        "water": light * warm * (1.0 - days["ks"]),
    }
    told = []
    for key in dict.fromkeys(keys):
        here = np.array([other == key for other in keys])
        whole = float(light[here].sum())
        told.append(
            MonthLimit(
                month=key,
                days=int(here.sum()),
                cover=float(days["cover"][here].mean()),
                light_mj=whole,
                made_g_m2=float(days["dm_g_m2"][here].sum()),
                degree_days=float(days["degree_days"][here].sum()),
                rain_mm=float(days["rain_mm"][here].sum()),
                irrigation_mm=float(days["irrigation_mm"][here].sum()),
                lost={name: float(part[here].sum()) / whole if whole > 0 else 0.0 for name, part in gone.items()},
            )
        )
    return tuple(told)


def month_words(key: str) -> str:
    """A month as "2023-06" in words: Jun 2023."""
    year, _, month = key.partition("-")
    return f"{MONTH_NAMES[int(month) - 1]} {year}"
