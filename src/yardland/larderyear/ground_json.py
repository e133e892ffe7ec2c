"""The soil of a year as plain data for `--json`: one object a plot, units in the keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

from yardland.larderyear.numbers import maybe, number

if TYPE_CHECKING:
    from yardland.accounts.ground_nitrogen import SoilNitrogen
    from yardland.accounts.ground_year import PlotSoil, SoilNutrient
    from yardland.larderyear.result import YearResult


def ground_json(result: YearResult) -> list[dict[str, object]]:
    """Every farmed plot: carbon in t C/ha of topsoil, elements in kg/ha, limestone in kg.

    Keys without a soil test behind them are null.
    """
    return [plot_json(soil) for soil in result.soils]


def plot_json(soil: PlotSoil) -> dict[str, object]:
    """One plot."""
    carbon, acid = soil.carbon, soil.acidity
    return {
        "plot": soil.plot,
        "soil": soil.soil,
        "use": soil.use,
        "area_m2": number(soil.area_m2),
        "texture": soil.texture,
        "untested": list(soil.unknown),
        "next_test": None if soil.next_test is None else soil.next_test.isoformat(),
        "carbon_t_ha": number(carbon.stock),
        "carbon_added_t_ha": {way: number(t_ha) for way, t_ha in carbon.added.items()},
        "carbon_to_hold_t_ha": number(carbon.holding),
        "carbon_change_t_ha": number(carbon.change),
        "carbon_in_ten_years_t_ha": number(carbon.ahead),
        "carbon_simple_change_t_ha": number(carbon.simple_change),
        "carbon_over_clay": number(carbon.over_clay),
        "nitrogen": None if soil.nitrogen is None else nitrogen_json(soil.nitrogen),
        "phosphorus": nutrient_json(soil.phosphorus),
        "potassium": nutrient_json(soil.potassium),
        "ph": maybe(acid.ph),
        "ph_best": number(acid.best_ph),
        "ph_aim": number(acid.aim_ph),
        "ph_in_ten_years": maybe(acid.ph_ahead),
        "limestone_used_kg_ha": number(acid.acid_kg_ha),
        "years_to_lime": maybe(acid.years_to_lime),
        "lime_kg": number(acid.lime_kg),
        "too_sour_for": {crop: number(least) for crop, least in acid.too_sour.items()},
    }


def nitrogen_json(one: SoilNitrogen) -> dict[str, object]:
    """Mineral nitrogen of the ground; `fixed` comes from the air into legumes. `waterlogged_days` : of the top soil."""
    return {
        "start_kg_ha": number(one.start),
        "from_soil_kg_ha": number(one.from_soil),
        "from_sky_kg_ha": number(one.from_sky),
        "mineral_in_kg_ha": number(one.mineral_in),
        "fresh_in_kg_ha": number(one.fresh_in),
        "uptake_kg_ha": number(one.uptake),
        "leached_kg_ha": number(one.leached),
        "end_kg_ha": number(one.end),
        "fixed_kg_ha": number(one.fixed),
        "waterlogged_days": number(one.wet_days),
        "droppings_on_cleared_ground_kg_ha": number(one.on_cleared),
    }


def nutrient_json(one: SoilNutrient) -> dict[str, object]:
    """Phosphorus or potassium (elements)."""
    return {
        "taken_kg_ha": number(one.taken),
        "droppings_kg_ha": number(one.dropped),
        "dressings_kg_ha": number(one.dressed),
        "balance_kg_ha": number(one.balance),
        "index": one.index,
        "band_in_ten_years": one.band_ahead,
        "reading_mg_l": maybe(one.reading_mg_l),
        "reading_in_ten_years_mg_l": maybe(one.reading_ahead_mg_l),
        "years_to_next_index": maybe(one.years_to_next),
    }
