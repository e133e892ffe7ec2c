"""The soil of each farmed plot over a larder year: its carbon, its phosphorus and potassium, its acidity, its need of lime.

Flows come from `ground_flows`, methods from `growth.fertility`. What lies ahead (ten years) is this year's flows gone on with
under the record's average weather.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from yardland.accounts.ground_flows import GroundFlows, ground_flows
from yardland.accounts.ground_nitrogen import SoilNitrogen, ground_nitrogen
from yardland.growth.fertility import carbon as turning
from yardland.growth.fertility import carbon_tier1 as simple
from yardland.growth.fertility import lime, nutrients
from yardland.growth.fertility.figures import fertility_figure
from yardland.growth.heat import rot_pace
from yardland.growth.texture import soil_of
from yardland.holding.model import Holding
from yardland.ledger.arcs import Ledger
from yardland.ledger.months import DAYS_IN_YEAR
from yardland.ledger.units import M2_PER_HA
from yardland.reference import Tables
from yardland.season.season import Season
from yardland.season.sky import monthly
from yardland.weather.types import Forcing

F64 = npt.NDArray[np.float64]
PLANT_WAYS = ("tops", "roots", "litter", "floor")
"""Ways by which carbon comes as plants; the others come as manure."""
DAYS_A_YEAR = 365.25
AHEAD_Y = 10
"""Years that are looked ahead."""
FAR_Y = 50
"""Years beyond which nothing is said of when lime will be due."""
MINERAL_T_M3 = 2.65
"""Density of soil particles (Saxton & Rawls 2006, equation 6: dry density = (1 - saturation) 2.65)."""
HALF_COVERED = 0.5
"""Share of a plot under plants from which its topsoil dries as covered ground does."""
EDITION = "2003"
"""Edition of the simple estimate that is told: the one whose factors were read."""


@dataclass(frozen=True)
class SoilCarbon:
    """Topsoil carbon of one plot, t C/ha (23 cm).

    stock : at the year's start ; added[way] : in the year, by way ; holding : what would hold the stock, a year ;
    change : over this year's weather ; ahead : stock in ten years of average weather and these inputs ; simple_change :
    a year, by the simple estimate (0 for grass and orchards) ; over_clay, aim_over_clay : carbon over clay, by mass, and what
    this use of land should hold
    """

    stock: float
    added: dict[str, float]
    holding: float
    change: float
    ahead: float
    simple_change: float
    over_clay: float
    aim_over_clay: float

    @property
    def yearly_share(self) -> float:
        """Mean yearly change over the ten years ahead, as a share of the stock."""
        return (self.ahead / self.stock - 1.0) / AHEAD_Y if self.stock > 0 else 0.0


@dataclass(frozen=True)
class SoilNutrient:
    """Phosphorus or potassium (element) of one plot in the year, kg/ha.

    taken, dropped, dressed : carried off; back in droppings; in manure and compost. The rest is None where the plan has
    no test: index, reading_mg_l (its middle), reading_ahead_mg_l, band_ahead (in ten years, "2-" apart from "2+"),
    years_to_next (until the index changes, None where it never does)
    """

    taken: float
    dropped: float
    dressed: float
    index: int | None = None
    reading_mg_l: float | None = None
    reading_ahead_mg_l: float | None = None
    band_ahead: str | None = None
    years_to_next: float | None = None

    @property
    def balance(self) -> float:
        """What comes less what leaves, kg/ha."""
        return self.dropped + self.dressed - self.taken


@dataclass(frozen=True)
class SoilAcidity:
    """pH of one plot, limestone in kg. ph and what hangs on it is None where the plan has no test.

    best_ph, aim_ph : under which lime is due, and to which it is limed ; acid_kg_ha : limestone that a year uses up
    ph_ahead : in ten years without lime ; years_to_lime : until the best pH is passed (None: never) ; lime_kg_ha,
    lime_kg : to the aim, nothing while none is due ; most_once_kg_ha : most in one dressing ; too_sour : crop -> least pH,
    of those grown that want more than there is
    """

    best_ph: float
    aim_ph: float
    acid_kg_ha: float
    most_once_kg_ha: float
    ph: float | None = None
    ph_ahead: float | None = None
    years_to_lime: float | None = None
    lime_kg_ha: float = 0.0
    lime_kg: float = 0.0
    too_sour: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class PlotSoil:
    """The year of one farmed plot's soil.

    nitrogen : None where nothing stands on the plot in the reckoning ; unknown : what the plan has no test of ; next_test : when the soil should be tested again (None: no date of a test)
    """

    plot: str
    soil: str
    use: str
    area_m2: float
    texture: str
    carbon: SoilCarbon
    phosphorus: SoilNutrient
    potassium: SoilNutrient
    acidity: SoilAcidity
    nitrogen: SoilNitrogen | None = None
    unknown: tuple[str, ...] = ()
    next_test: date | None = None


@dataclass(frozen=True)
class Sky:
    """Weather by larder month, [12] each, C and mm."""

    tmean_c: F64
    rain_mm: F64
    eto_mm: F64


def ground_year(holding: Holding, tables: Tables, season: Season, ledger: Ledger) -> tuple[PlotSoil, ...]:
    """The soil of every farmed plot (crops, garden, grass, orchard), in the order of the plan.

    Args:
        holding: the plan, with what it says of its soils.
        tables: the reference tables.
        season: the year that was grown.
        ledger: its flows.

    Raises:
        TableError: a crop, good or texture without the figures that are needed.
    """
    flows = ground_flows(holding, tables, season, ledger)
    if not flows.plots:
        return ()
    average = average_sky(season.forcing, season)
    carbons = soil_carbon(holding, tables, flows, season, average)
    nitrogen = ground_nitrogen(season)
    return tuple(
        replace(plot_soil(holding, tables, season, flows, average, index, carbon), nitrogen=nitrogen.get(plot))
        for index, (plot, carbon) in enumerate(zip(flows.plots, carbons, strict=True))
    )


def plot_soil(
    holding: Holding,
    tables: Tables,
    season: Season,
    flows: GroundFlows,
    average: Sky,
    index: int,
    carbon: SoilCarbon,
) -> PlotSoil:
    """One plot, its carbon reckoned already."""
    name = flows.plots[index]
    plot = holding.plot[name]
    soil = holding.soil.get(plot.soil or "")
    texture = soil_of(holding, tables, name).texture
    tests = {
        "organic matter": soil.organic_matter_pct if soil else None,
        "pH": soil.ph if soil else None,
        "phosphorus": soil.p_index if soil else None,
        "potassium": soil.k_index if soil else None,
    }
    drained_mm = float(np.maximum(average.rain_mm + flows.irrigation_mm[index] - average.eto_mm, 0.0).sum())
    return PlotSoil(
        plot=name,
        soil=plot.soil or "",
        use=plot.use,
        area_m2=plot.area_m2,
        texture=texture,
        carbon=carbon,
        phosphorus=nutrient(tables, flows, index, texture, "p", soil.p_index if soil else None),
        potassium=nutrient(tables, flows, index, texture, "k", soil.k_index if soil else None),
        acidity=acidity(
            holding, tables, season, name, texture, drained_mm=drained_mm, off_take_kg_ha=float(flows.lime_kg_ha[index])
        ),
        unknown=tuple(what for what, value in tests.items() if value is None),
        next_test=next_test(tables, soil.tested_on if soil else None),
    )


def next_test(tables: Tables, tested_on: date | None) -> date | None:
    """When a soil tested on this day should be tested again."""
    if tested_on is None:
        return None
    return tested_on + timedelta(days=round(DAYS_A_YEAR * fertility_figure(tables, "test_every_y")))


def average_sky(forcing: Forcing, season: Season) -> Sky:
    """Means over the record's larder years, by month."""
    tmean = (forcing.tmin_c + forcing.tmax_c)[DAYS_IN_YEAR:].mean(axis=1) / 2
    rain, eto = (values[DAYS_IN_YEAR:].mean(axis=1) for values in (forcing.rain_mm, forcing.eto_mm))
    months = season.months
    return Sky(monthly(tmean, months, mean=True), monthly(rain, months, mean=False), monthly(eto, months, mean=False))


def pace(flows: GroundFlows, sky: Sky, clay_pct: F64, depth_cm: float, rates: turning.Turnover) -> F64:
    """Factors of temperature, moisture and cover multiplied, [plot, 12]."""
    wet = np.broadcast_to(sky.rain_mm, flows.covered.shape) + flows.irrigation_mm
    deficit = turning.moisture_deficit_mm(
        wet, sky.eto_mm, clay_pct, covered=flows.covered >= HALF_COVERED, depth_cm=depth_cm
    )
    moist = turning.moisture_pace(deficit, turning.greatest_deficit_mm(clay_pct, depth_cm)[:, None])
    shaded = 1.0 - (1.0 - rates.covered_pace) * flows.covered
    return np.asarray(rot_pace(sky.tmean_c) * moist * shaded)


def soil_carbon(
    holding: Holding, tables: Tables, flows: GroundFlows, season: Season, average: Sky
) -> tuple[SoilCarbon, ...]:
    """Carbon of every plot: opened as if the plot had long stood as its organic matter says, then run on."""
    rates, depth_cm = turning.turnover(tables), fertility_figure(tables, "topsoil_cm")
    grounds = [soil_of(holding, tables, name) for name in flows.plots]
    clay = np.array([ground.clay_pct for ground in grounds])
    density = np.array([(1.0 - ground.saturation) * MINERAL_T_M3 for ground in grounds])
    organic = np.array([ground.organic_matter_pct for ground in grounds])
    stock = turning.stock_t_ha(organic, density, depth_cm, fertility_figure(tables, "organic_matter_c_share"))
    plants = turning.plant_split(np.array([dpm_rpm(holding, tables, season, name) for name in flows.plots]))
    grown = np.sum([flows.carbon_kg_ha[way] for way in PLANT_WAYS], axis=0) / 1000.0
    spread = (flows.carbon_kg_ha["droppings"] + flows.carbon_kg_ha["dressings"]) / 1000.0
    added = grown[..., None] * plants[:, None, :] + spread[..., None] * turning.manure_split(rates)
    usual = pace(flows, average, clay, depth_cm, rates)
    year = Sky(
        (season.weather["tmin_c"] + season.weather["tmax_c"]) / 2,
        *(season.weather[name] for name in ("rain_mm", "eto_mm")),
    )
    pattern = np.where(grown.sum(axis=1)[:, None] > 0, grown, 1.0)[..., None] * plants[:, None, :]
    pools, hold = turning.opening_pools_t_ha(stock, usual, clay, pattern, rates)
    start = pools.sum(axis=-1)
    now, _ = turning.run_months(pools, pace(flows, year, clay, depth_cm, rates), clay, added, rates)
    later = pools
    for _ in range(AHEAD_Y):
        later = turning.run_months(later, usual, clay, added, rates)[0][..., -1, :]
    change = now[:, -1].sum(axis=-1) - start
    ahead = stock + later.sum(axis=-1) - start
    regime = simple.regime(
        float(average.tmean_c.mean()), float(average.rain_mm.sum()), float(average.eto_mm.sum()), tables
    )
    return tuple(
        SoilCarbon(
            stock=float(stock[index]),
            added={way: float(values[index].sum()) / 1000.0 for way, values in flows.carbon_kg_ha.items()},
            holding=float(hold[index]),
            change=float(change[index]),
            ahead=float(ahead[index]),
            simple_change=simple_change(holding, tables, flows, index, float(stock[index]), regime),
            over_clay=float(organic[index])
            * fertility_figure(tables, "organic_matter_c_share")
            / max(float(clay[index]), 1.0),
            aim_over_clay=fertility_figure(
                tables, "carbon_clay_grass" if under_grass(holding, name) else "carbon_clay_arable"
            ),
        )
        for index, name in enumerate(flows.plots)
    )


def under_grass(holding: Holding, plot: str) -> bool:
    """Whether a plot is grass or orchard: ground that is not dug."""
    return holding.plot[plot].use in ("grass", "orchard")


def dpm_rpm(holding: Holding, tables: Tables, season: Season, plot: str) -> float:
    """Decomposable over resistant plant material of what grows on a plot."""
    kinds = {sward.kind for sward in season.swards if sward.plot == plot}
    if holding.plot[plot].use == "orchard" and not kinds:
        return fertility_figure(tables, "dpm_rpm_wood")
    return fertility_figure(tables, "dpm_rpm_rough_grass" if kinds == {"permanent pasture"} else "dpm_rpm_crops")


def simple_change(
    holding: Holding, tables: Tables, flows: GroundFlows, index: int, stock_t_ha: float, regime: str
) -> float:
    """Yearly change by the simple estimate: from middling input to this plan's, dug ground; nothing for grass and orchards."""
    if under_grass(holding, flows.plots[index]):
        return 0.0
    manure_t_ha = float((flows.carbon_kg_ha["droppings"] + flows.carbon_kg_ha["dressings"])[index].sum()) / 1000.0
    level = "high_manure" if manure_t_ha >= fertility_figure(tables, "tier1_manure_c_t_ha") else "medium"
    before, after = (simple.factor(tables, EDITION, "input", step, regime) for step in ("medium", level))
    years = fertility_figure(tables, "tier1_years")
    return simple.yearly_change_t_ha(stock_t_ha, stock_t_ha * after / before, years)


def nutrient(tables: Tables, flows: GroundFlows, plot: int, texture: str, name: str, index: int | None) -> SoilNutrient:
    """Balance of phosphorus ("p") or potassium ("k"), and where the soil test goes with it."""
    parts = (flows.taken_kg_ha, flows.dropped_kg_ha, flows.dressed_kg_ha)
    taken, dropped, dressed = (float(part[name][plot].sum()) for part in parts)
    held = SoilNutrient(taken, dropped, dressed)
    if index is None:
        return held
    known = nutrients.bands(tables, name)
    whole = nutrients.whole_indices(known)
    oxide = "p2o5_kg_ha_per_mg_l" if name == "p" else "k2o_kg_ha_per_mg_l"
    buffer_kg_ha = tables.row("soil_buffers", texture).need(oxide)
    reading = nutrients.middle_mg_l(known, index)
    ahead = nutrients.reading_after(reading, held.balance, name, buffer_kg_ha, AHEAD_Y)
    years = nutrients.years_to_next_band(whole, reading, held.balance, name, buffer_kg_ha)
    return SoilNutrient(
        taken,
        dropped,
        dressed,
        index=index,
        reading_mg_l=reading,
        reading_ahead_mg_l=ahead,
        band_ahead=nutrients.band_of(known, ahead).name,
        years_to_next=years if math.isfinite(years) else None,
    )


def acidity(
    holding: Holding,
    tables: Tables,
    season: Season,
    plot: str,
    texture: str,
    *,
    drained_mm: float,
    off_take_kg_ha: float,
) -> SoilAcidity:
    """How a plot sours and what lime it wants."""
    use = "grass" if under_grass(holding, plot) else "arable"
    best, aim = (fertility_figure(tables, f"{which}_ph_{use}") for which in ("best", "aim"))
    chalk = fertility_figure(tables, "chalky_ph")
    souring = lime.Souring(drained_mm, fertility_figure(tables, "lime_washed_out_kg_mm"), off_take_kg_ha)
    most = 1000.0 * fertility_figure(tables, f"lime_once_{use}_t_ha")
    soil = holding.soil.get(holding.plot[plot].soil or "")
    if soil is None or soil.ph is None:
        return SoilAcidity(best, aim, lime.acid_load_kg_ha(best, *souring), most)
    chart = lime.chart_of(tables, texture)
    holds = soil.ph >= chalk
    course = [soil.ph] * FAR_Y if holds else lime.ph_by_year(chart, soil.ph, souring, FAR_Y)
    years = lime.years_to_ph(course, soil.ph, best)
    wanted = lime.limestone_kg_ha(chart, soil.ph, aim) if soil.ph < best else 0.0
    return SoilAcidity(
        best,
        aim,
        0.0 if holds else lime.acid_load_kg_ha(soil.ph, *souring),
        most,
        ph=soil.ph,
        ph_ahead=course[AHEAD_Y - 1],
        years_to_lime=years if math.isfinite(years) else None,
        lime_kg_ha=wanted,
        lime_kg=wanted * holding.plot[plot].area_m2 / M2_PER_HA,
        too_sour={crop: least for crop, least in least_ph(tables, season, plot) if least > soil.ph},
    )


def least_ph(tables: Tables, season: Season, plot: str) -> list[tuple[str, float]]:
    """Crops and swards of a plot with the pH that they want at least."""
    crops = [item.crop for item in season.plantings if item.plot == plot]
    crops += [sward.crop for sward in season.swards if sward.plot == plot]
    return [(crop, tables.row("crop_soil", crop).need("least_ph")) for crop in dict.fromkeys(crops)]
