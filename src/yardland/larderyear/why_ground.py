"""The sentence behind each figure of the soil, naming the figures of the tables that it was computed from."""

from __future__ import annotations

from collections.abc import Iterator

from yardland.accounts.ground_nitrogen import SoilNitrogen
from yardland.accounts.ground_year import AHEAD_Y, PlotSoil, SoilNutrient
from yardland.larderyear.result import YearResult
from yardland.reference import Tables

WAYS = {
    "tops": "leavings of crops",
    "roots": "roots",
    "litter": "grass that nobody ate",
    "floor": "the orchard's floor",
    "droppings": "droppings",
    "dressings": "manure and compost",
}
"""Ways of carbon in words."""
PARTED = 2
"""The index that laboratories part into 2- and 2+."""


def soils(result: YearResult, _tables: Tables) -> Iterator[tuple[str, str]]:
    """Keys soil.PLOT.nitrogen, .carbon, .phosphorus, .potassium and .lime."""
    for soil in result.soils:
        if soil.nitrogen is not None:
            yield f"soil.{soil.plot}.nitrogen", nitrogen_words(soil.nitrogen)
        yield f"soil.{soil.plot}.carbon", carbon_words(soil)
        yield f"soil.{soil.plot}.phosphorus", nutrient_words(soil, soil.phosphorus, "P", "p2o5")
        yield f"soil.{soil.plot}.potassium", nutrient_words(soil, soil.potassium, "K", "k2o")
        yield f"soil.{soil.plot}.lime", lime_words(soil)


def nitrogen_words(one: SoilNitrogen) -> str:
    """The year's nitrogen, and what it was reckoned by."""
    return (
        f"{one.end - one.start:+.0f} kg N/ha in the year = out of the soil {one.from_soil:.0f} (growth.soil_n_mineralised_share_year.number by "
        f"warmth and moisture) + from the sky {one.from_sky:.0f} (growth.n_deposition_kg_ha_year.number) + dressings, dung and leavings "
        f"{one.mineral_in + one.fresh_in:.0f} - taken up {one.uptake:.0f} - leached {one.leached:.0f}. Legumes took {one.fixed:.0f} from the air "
        f"besides (crops.CROP.n_fixed_share). Days on which the top soil was waterlogged: {one.wet_days:.0f}. docs/growth-nitrogen.md."
        + (
            f" Stock on cleared ground dropped {one.on_cleared:.0f} more that is ready or soon free; the crops of this year were "
            "reckoned without it (docs/growth-stubble.md)."
            if one.on_cleared > 0.0
            else ""
        )
    )


def carbon_words(soil: PlotSoil) -> str:
    """What came, what would hold the stock, and where it goes."""
    carbon = soil.carbon
    came = ", ".join(f"{WAYS[way]} {t_ha:.2f}" for way, t_ha in carbon.added.items() if t_ha > 0) or "nothing"
    guess = f" (soils.{soil.texture}.organic_matter_pct: no test)" if "organic matter" in soil.unknown else ""
    return (
        f"{carbon.change:+.2f} t C/ha in the year, from {carbon.stock:.1f} in the upper fertility.topsoil_cm.number cm by the soil's "
        f"organic matter{guess}. Came, t C/ha: {came}; {carbon.holding:.2f} of plants would hold it in average weather. In "
        f"{AHEAD_Y} years {carbon.ahead:.1f}. Decay by month: RothC-26.3 with fertility.decay_hum_per_y.number and its like, roots by "
        f"crop_soil.CROP.root_to_top and fertility.root_exudate_share.number. Simple estimate (IPCC 2003): {carbon.simple_change:+.2f} a year."
    )


def nutrient_words(soil: PlotSoil, one: SoilNutrient, element: str, oxide: str) -> str:
    """The balance, and where the test goes."""
    words = (
        f"{one.balance:+.1f} kg {element}/ha = droppings {one.dropped:.1f} + manure and compost {one.dressed:.1f} - carried off "
        f"{one.taken:.1f} (crops.CROP.{element.lower()}_removal_kg_per_t x what was gathered and grazed)."
    )
    if one.index is None or one.reading_ahead_mg_l is None:
        return f"{words} The plan has no test of it."
    goes = "stays where it is" if one.years_to_next is None else f"changes in {one.years_to_next:.0f} years"
    row = f"soil_bands.{element.lower()}.{one.index}"
    low, high = (f"{row}_low", f"{row}_high") if one.index == PARTED else (row, row)
    return (
        f"{words} Index {one.index} ({one.reading_mg_l:.0f} mg/l, between {low}.from_mg_l and {high}.to_mg_l) {goes}; in {AHEAD_Y} years "
        f"{one.reading_ahead_mg_l:.0f} mg/l, index {one.band_ahead}, at soil_buffers.{soil.texture}.{oxide}_kg_ha_per_mg_l."
    )


def lime_words(soil: PlotSoil) -> str:
    """What sours the ground, and the dose."""
    acid = soil.acidity
    loss = (
        f"A year uses up {acid.acid_kg_ha:.0f} kg/ha of limestone: fertility.lime_washed_out_kg_mm.number x water that drains, less in "
        "sour soil, and crop_soil.CROP.lime_kg_per_t x harvests."
    )
    if acid.ph is None or acid.ph_ahead is None:
        return f"No test of the pH. {loss}"
    when = "lime is due" if acid.lime_kg > 0 else "none is due"
    if acid.lime_kg <= 0 and acid.years_to_lime is not None:
        when += f" for {acid.years_to_lime:.0f} years"
    use = "grass" if soil.use in ("grass", "orchard") else "arable"
    return (
        f"{acid.lime_kg:,.0f} kg of ground limestone = {acid.lime_kg_ha:,.0f} kg/ha from pH {acid.ph:g} to fertility.aim_ph_{use}.number, by "
        f"the lime chart for {soil.texture.replace('_', ' ')}; {when} (best pH fertility.best_ph_{use}.number). {loss} In {AHEAD_Y} years "
        f"without lime pH {acid.ph_ahead:.1f}."
    )
