"""What a year brings to each plot's soil and takes from it: carbon, phosphorus, potassium, bases; folds of season and ledger.

Arrays are float64 [plot, 12] by larder month, a hectare of the plot.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.growth.crop_traits import growth_figure
from yardland.growth.fertility.figures import fertility_figure
from yardland.holding.model import Holding
from yardland.larder.feed_leavings import STOOD
from yardland.ledger.arcs import Ledger
from yardland.ledger.months import DAYS_IN_YEAR, month_of_day
from yardland.ledger.units import M2_PER_HA
from yardland.reference import Tables
from yardland.season.droppings import falls, grows_grass, manure_row
from yardland.season.season import Season

F64 = npt.NDArray[np.float64]
FARMED = ("crops", "garden", "grass", "orchard")
"""Uses of plots whose soil is reckoned."""
LIFTED = ("root", "allium")
"""Canopy groups whose product is lifted out of the ground: it is no part of what stands above it."""
CARBON = ("tops", "roots", "litter", "floor", "droppings", "dressings")
"""Ways by which carbon comes: leavings of crops, their roots, grass nobody ate, orchard floors, droppings, manure and compost."""


@dataclass(frozen=True)
class GroundFlows:
    """Flows of every farmed plot, in the order of the plan.

    plots, area_m2 [plot] ; carbon_kg_ha[way] [plot, 12] ; taken_kg_ha["p" or "k"] [plot, 12] carried off in harvests and
    by mouths ; dropped_kg_ha, dressed_kg_ha : come back in droppings, in manure and compost ; lime_kg_ha [plot] :
    limestone for the bases carried off ; covered [plot, 12] : share of the plot and month under plants, 0-1 ;
    irrigation_mm [plot, 12]
    """

    plots: tuple[str, ...]
    area_m2: F64
    carbon_kg_ha: dict[str, F64]
    taken_kg_ha: dict[str, F64]
    dropped_kg_ha: dict[str, F64]
    dressed_kg_ha: dict[str, F64]
    lime_kg_ha: F64
    covered: F64
    irrigation_mm: F64


@dataclass(frozen=True)
class Content:
    """What a tonne carries off: phosphorus, potassium (elements) and bases as limestone, kg."""

    p: float
    k: float
    lime: float


class Sheet:
    """Adds up amounts by plot and month; what falls on land that is not reckoned is left out."""

    def __init__(self, holding: Holding) -> None:
        self.plots = tuple(name for name, plot in holding.plot.items() if plot.use in FARMED)
        self.row = {name: index for index, name in enumerate(self.plots)}
        self.area_m2 = np.array([holding.plot[name].area_m2 for name in self.plots], dtype=np.float64)

    def empty(self) -> F64:
        """Nothing, [plot, 12]."""
        return np.zeros((len(self.plots), 12))

    def add(self, into: F64, plot: str, kg: F64 | float, month: int | slice = slice(None)) -> None:
        """Add kilograms that a plot takes or gives, as kg a hectare of it."""
        if plot in self.row:
            index = self.row[plot]
            into[index, month] += np.asarray(kg) * M2_PER_HA / self.area_m2[index]


def ground_flows(holding: Holding, tables: Tables, season: Season, ledger: Ledger) -> GroundFlows:
    """Everything that the season and the ledger say of the plots' soil.

    Args:
        holding: the plan.
        tables: the reference tables.
        season: plantings, swards, trees, herds and dressings of the year.
        ledger: what was gathered and grazed.

    Raises:
        TableError: a crop or good without the figures of its content.
    """
    sheet = Sheet(holding)
    carbon = {way: sheet.empty() for way in CARBON}
    taken = {name: sheet.empty() for name in ("p", "k")}
    lime = sheet.empty()
    for plot, content, kg in carried_off(tables, season, ledger):
        sheet.add(taken["p"], plot, kg * content.p / 1000.0)
        sheet.add(taken["k"], plot, kg * content.k / 1000.0)
        sheet.add(lime, plot, kg * content.lime / 1000.0)
    crops_carbon(holding, tables, season, ledger, sheet, carbon)
    swards_carbon(tables, season, ledger, sheet, carbon)
    floors(holding, tables, sheet, carbon)
    dropped_c(holding, tables, season, sheet, carbon)
    dropped = {name: sheet.empty() for name in ("p", "k")}
    for item in season.droppings:
        if item.plot in sheet.row:
            dropped["p"][sheet.row[item.plot]] += item.p_kg_ha
            dropped["k"][sheet.row[item.plot]] += item.k_kg_ha
    return GroundFlows(
        plots=sheet.plots,
        area_m2=sheet.area_m2,
        carbon_kg_ha=carbon,
        taken_kg_ha=taken,
        dropped_kg_ha=dropped,
        dressed_kg_ha=dressed(season, sheet, carbon["dressings"]),
        lime_kg_ha=lime.sum(axis=1),
        covered=covered(holding, season, sheet),
        irrigation_mm=irrigation_mm(season, sheet),
    )


def carried_off(tables: Tables, season: Season, ledger: Ledger) -> Iterator[tuple[str, Content, F64]]:
    """Plot, content of a tonne and kilograms by month of everything gathered or grazed.

    Grazed grass, silage and haylage count as dry matter at the content of the sward's hay; what is grazed takes no
    bases along, for they come back in the droppings; no more does what a harvest leaves and stock eat where it lies.
    """
    places = {f"crop:{item.planting}": item.plot for item in season.plantings}
    places |= {item.account: item.plot for item in season.trees}
    hay = {f"sward:{item.id}": item for item in season.swards}
    main = {f"crop:{item.planting}": (item.crop, item.good) for item in season.plantings}
    for index, arc in enumerate(ledger.arcs):
        if arc.source in hay and arc.kind in ("gather", "graze"):
            sward = hay[arc.source]
            of = crop_content(tables, sward.crop)
            whole = tables.row("crops", sward.crop).need("dry_matter_fraction")
            if arc.kind == "graze":
                yield sward.plot, Content(of.p / whole, of.k / whole, 0.0), ledger.dm_kg[index]
            elif arc.good == sward.good_hay:
                yield sward.plot, of, ledger.fresh_kg[index]
            else:
                yield sward.plot, Content(of.p / whole, of.k / whole, of.lime / whole), ledger.dm_kg[index]
        elif arc.source in places and arc.kind == "gather":
            crop, good = main.get(arc.source, ("", ""))
            content = crop_content(tables, crop) if arc.good == good else good_content(tables, arc.good)
            yield places[arc.source], content, ledger.fresh_kg[index]
        elif (plot := left_on(places, arc.source)) and arc.kind == "graze":
            of = good_content(tables, arc.good)
            yield plot, Content(of.p, of.k, 0.0), ledger.fresh_kg[index]


def left_on(places: Mapping[str, str], account: str) -> str:
    """Plot of an account of leavings that are eaten where they lie; "" for other accounts."""
    if not account.startswith(STOOD):
        return ""
    name = account.removeprefix(STOOD)
    return places.get(f"crop:{name}") or places.get(f"trees:{name}") or ""


def crop_content(tables: Tables, crop: str) -> Content:
    """Content of a tonne of a crop's product as gathered."""
    row = tables.row("crops", crop)
    lime = tables.row("crop_soil", crop).need("lime_kg_per_t")
    return Content(row.need("p_removal_kg_per_t"), row.need("k_removal_kg_per_t"), lime)


def good_content(tables: Tables, good: str) -> Content:
    """Content of a tonne of straw, or of fruit and nuts by the food that they are; fruit takes next to no bases along."""
    if tables.has("off_takes", good):
        row = tables.row("off_takes", good)
        return Content(*(row.need(name) for name in ("p_removal_kg_per_t", "k_removal_kg_per_t", "lime_kg_per_t")))
    row = tables.row("goods", good)
    food, edible = tables.row("foods", row.text("food")), row.need("edible_fraction")
    return Content((food["phosphorus_mg"] or 0.0) / 100.0 * edible, (food["potassium_mg"] or 0.0) / 100.0 * edible, 0.0)


def crops_carbon(
    holding: Holding, tables: Tables, season: Season, ledger: Ledger, sheet: Sheet, carbon: Mapping[str, F64]
) -> None:
    """Leavings and roots of every planting, in the month it leaves the ground.

    A gathered crop leaves its tops (table crops, residue to product) less what was raked off or eaten there; one that was
    lost leaves all that it grew. Roots are a share of what stood above the ground, with what living roots shed.
    """
    month = month_of_day(season.months)
    straw_kg = raked_dm_kg(season, ledger)
    share, below = fertility_figure(tables, "plant_c_share"), root_carbon(tables)
    level = growth_figure(tables, f"level_{holding.goal.level.replace(' ', '_')}")
    grown_kg_ha = season.grown.pick(season.grown.dm_kg_ha)[:, season.lane]
    for index, item in enumerate(season.plantings):
        if item.days is None or item.status not in ("gathered", "lost"):
            continue
        crop = tables.row("crops", item.crop)
        product_kg = item.harvest_kg * crop.need("dry_matter_fraction")
        tops_kg = product_kg * crop.need("residue_to_product_ratio")
        above_kg = tops_kg + (0.0 if crop.text("canopy_group") in LIFTED else product_kg)
        if item.status == "lost":
            above_kg = tops_kg = float(grown_kg_ha[index]) * item.anchor * level * item.area_m2 / M2_PER_HA
        leaves = month[item.days[1] % DAYS_IN_YEAR]
        left_kg = max(tops_kg - straw_kg.get(item.planting, 0.0), 0.0)
        roots_kg = above_kg * tables.row("crop_soil", item.crop).need("root_to_top")
        sheet.add(carbon["tops"], item.plot, left_kg * share, leaves)
        sheet.add(carbon["roots"], item.plot, roots_kg * below, leaves)


def root_carbon(tables: Tables) -> float:
    """Carbon that reaches the topsoil from a kilogram of roots, kg: its own and what was shed, of the upper part."""
    shed = 1.0 + fertility_figure(tables, "root_exudate_share")
    return fertility_figure(tables, "plant_c_share") * shed * fertility_figure(tables, "root_topsoil_share")


def raked_dm_kg(season: Season, ledger: Ledger) -> dict[str, float]:
    """Dry straw that was raked off, and leavings that were eaten where they lay, after each planting, kg."""
    main = {f"crop:{item.planting}": item for item in season.plantings}
    main |= {f"{STOOD}{item.planting}": item for item in season.plantings}
    found: dict[str, float] = {}
    for index, arc in enumerate(ledger.arcs):
        item = main.get(arc.source)
        if arc.kind in ("gather", "graze") and item is not None and arc.good != item.good:
            found[item.planting] = found.get(item.planting, 0.0) + float(ledger.dm_kg[index].sum())
    return found


def swards_carbon(tables: Tables, season: Season, ledger: Ledger, sheet: Sheet, carbon: Mapping[str, F64]) -> None:
    """Roots of grass as it grows, and the grass that neither mouth nor scythe took, spread as it grew."""
    share, below = fertility_figure(tables, "plant_c_share"), root_carbon(tables)
    used: dict[str, float] = {}
    for index, arc in enumerate(ledger.arcs):
        if arc.source.startswith("sward:") and arc.kind in ("gather", "graze"):
            name = arc.source.removeprefix("sward:")
            used[name] = used.get(name, 0.0) + float(ledger.dm_kg[index].sum())
    for sward in season.swards:
        grown_kg = sward.grown_kg_dm[:, season.lane]
        total = float(grown_kg.sum())
        if total > 0:
            left = max(total - used.get(sward.id, 0.0), 0.0) / total
            sheet.add(carbon["litter"], sward.plot, grown_kg * left * share)
            ratio = tables.row("crop_soil", sward.crop).need("root_to_top")
            sheet.add(carbon["roots"], sward.plot, grown_kg * ratio * below)


def floors(holding: Holding, tables: Tables, sheet: Sheet, carbon: Mapping[str, F64]) -> None:
    """Grass, leaves and prunings of orchards that carry no sward of the plan: one figure, evenly over the year."""
    yearly_kg_ha = 1000.0 * fertility_figure(tables, "orchard_floor_c_t_ha")
    for index, name in enumerate(sheet.plots):
        if holding.plot[name].use == "orchard" and holding.plot[name].sward is None:
            carbon["floor"][index] += yearly_kg_ha / 12.0


def dropped_c(holding: Holding, tables: Tables, season: Season, sheet: Sheet, carbon: Mapping[str, F64]) -> None:
    """Carbon of what falls out of doors, on the plots and in the months of its nitrogen (season.droppings)."""
    warm, evenings = grows_grass(season.weather), season.evenings
    for need in season.herd.needs:
        nitrogen_kg, mass_kg = float(need.manure_n_kg.sum()), float(need.manure_kg.sum())
        if nitrogen_kg <= 0:
            continue
        row = manure_row(tables, need.klass)
        per_n = mass_kg * row.need("dm_fraction") * row.need("c_fraction_dm") / nitrogen_kg
        for plot, kg in falls(holding, tables, need, warm, evenings).items():
            sheet.add(carbon["droppings"], plot, kg * per_n)


def dressed(season: Season, sheet: Sheet, carbon: F64) -> dict[str, F64]:
    """Phosphorus and potassium in manure and compost, kg/ha of the plot; their carbon joins `carbon`."""
    month = month_of_day(season.months)
    planted = {item.planting: item for item in season.plantings}
    found = {name: sheet.empty() for name in ("p", "k")}
    for item in season.heap.dressings:
        planting = planted.get(item.planting)
        if planting is None:
            continue
        when = month[planting.days[0] % DAYS_IN_YEAR] if planting.days is not None else 0
        hectares = planting.area_m2 / M2_PER_HA
        sheet.add(found["p"], item.plot, item.p_kg_ha * hectares, when)
        sheet.add(found["k"], item.plot, item.k_kg_ha * hectares, when)
        sheet.add(carbon, item.plot, item.c_kg_ha * hectares, when)
    return found


def covered(holding: Holding, season: Season, sheet: Sheet) -> F64:
    """Share of each plot and month under plants, [plot, 12]; grass and orchards always."""
    month = np.array(month_of_day(season.months))
    days = np.zeros((len(sheet.plots), DAYS_IN_YEAR))
    for item in season.plantings:
        if item.days is not None and item.plot in sheet.row:
            on = np.unique(np.arange(item.days[0], item.days[1] + 1) % DAYS_IN_YEAR)
            days[sheet.row[item.plot], on] += item.share
    for sward in season.swards:
        if sward.plot in sheet.row:
            days[sheet.row[sward.plot]] += sward.area_m2 / holding.plot[sward.plot].area_m2
    for index, name in enumerate(sheet.plots):
        if holding.plot[name].use in ("grass", "orchard"):
            days[index] = 1.0
    shared = np.minimum(days, 1.0)
    return np.stack([shared[:, month == number].mean(axis=1) for number in range(12)], axis=1)


def irrigation_mm(season: Season, sheet: Sheet) -> F64:
    """Water given to beds, fields and grass over the whole plot, mm, [plot, 12]."""
    found = sheet.empty()
    given = season.grown.water_mm["irrigation_mm"]
    for index, strip in enumerate(season.grown.layout.strips):
        if strip.plot in sheet.row:
            row = sheet.row[strip.plot]
            found[row] += given[index, :, season.lane] * strip.area_m2 / sheet.area_m2[row]
    for sward in season.swards:
        if sward.plot in sheet.row:
            row = sheet.row[sward.plot]
            found[row] += sward.water_mm["irrigation_mm"][:, season.lane] * sward.area_m2 / sheet.area_m2[row]
    return found
