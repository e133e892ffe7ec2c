"""A year's result as plain data for `--json`: stable keys, SI units in their names, numbers that JSON can hold."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larderyear.feed_json import feed_json
from yardland.larderyear.ground_json import ground_json
from yardland.larderyear.numbers import number
from yardland.ledger.units import MJ_PER_KCAL

if TYPE_CHECKING:
    from yardland.larderyear.result import Finding, PlantingYear, TreeOutcome, YearResult

SCHEMA = "yardland.year/1"


def year_json(result: YearResult) -> dict[str, object]:
    """The whole result but its ledger.

    `coverage` maps a nutrient to twelve shares eaten / needed; `months` names the twelve; masses are kg at or over a
    month; `short_months` and `dire_months` are month names.

    Raises:
        YardlandError: a number that is not finite.
    """
    from yardland.version import __version__

    names = [month.name for month in result.months]
    return {
        "schema": SCHEMA,
        "version": __version__,
        "holding": result.holding.place.name,
        "label": result.label,
        "seed": result.seed,
        "months": [
            {"year": month.year, "month": month.month, "name": month.name, "days": month.days}
            for month in result.months
        ],
        "coverage": series(result.coverage),
        "coverage_average": series(result.coverage_average),
        "short_months": [names[index] for index in result.short_months],
        "dire_months": [names[index] for index in result.dire_months],
        "stores_kg": series(result.stores_kg),
        "harvest_kg": {key: number(kg) for key, kg in result.harvest_kg.items()},
        "feed_kg": nested(result.feed_kg),
        "findings": [_finding(one) for one in result.findings],
        "weather": {"note": result.weather_note, **series(result.weather_months)},
        **_ground(result),
        "ground": ground_json(result),
        "stays": [
            {
                "groups": list(stay.groups),
                "plot": stay.plot,
                "from_day": stay.first,
                "to_day": stay.last,
                "strips": list(stay.strips),
            }
            for stay in result.stays
        ],
        **_people(result),
        **_rest(result),
        **feed_json(result),
    }


def _ground(result: YearResult) -> dict[str, object]:
    return {
        "plots": [
            {
                "plot": one.plot,
                "use": one.use,
                "area_m2": number(one.area_m2),
                "surface_m2": number(one.surface_m2),
                "perimeter_m": number(one.perimeter_m),
                "schematic": one.schematic,
            }
            for one in result.plots
        ],
        "fences": [
            {
                "fence": one.fence,
                "kind": one.kind,
                "length_m": number(one.length_m),
                "schematic": one.schematic,
                "plots": list(one.plots),
            }
            for one in result.fences
        ],
    }


def _people(result: YearResult) -> dict[str, object]:
    need = {key: values for key, values in result.need_day.items() if key != "energy_kcal"}
    energy = {"energy_mj": result.need_day["energy_kcal"] * MJ_PER_KCAL} if "energy_kcal" in result.need_day else {}
    return {
        "need_per_day": series({**energy, **need}),
        "people": [
            {
                "person": one.person,
                "age_years": number(one.age_y),
                "energy_mj_per_day": number(one.energy_kcal_day * MJ_PER_KCAL),
                "protein_g_per_day": number(one.protein_g_day),
                "equation": one.equation,
            }
            for one in result.needs
        ],
        "guests": [
            {
                "guests": one.guests,
                "person_days": number(one.person_days),
                "energy_mj": number(one.energy_kcal * MJ_PER_KCAL),
            }
            for one in result.guests
        ],
        "diets": [
            {"diet": one.name, "people": list(one.people), "coverage": series(one.coverage)} for one in result.diets
        ],
        "likes_missed": series(result.likes_missed),
        "over_upper_levels": [
            {
                "person": one.person,
                "nutrient": one.nutrient,
                "months": [result.months[month].name for month in one.months],
                "upper_level_per_day": number(one.level),
                "most_per_day": number(one.most),
            }
            for one in result.over_upper
        ],
        "eaten_kg": series(result.eaten_kg),
        "eaten_energy_share": {key: number(share) for key, share in result.eaten_energy_share.items()},
        "bought_energy_share": number(result.bought_energy_share),
        "feed_dm_kg": number(result.feed_dm_kg),
        "bought_feed_dm_kg": number(result.bought_feed_dm_kg),
        "emergency_kg": series(result.emergency_kg),
        "causes": [
            {"link": one.link, "mended_share": number(one.mended_share), "words": one.words} for one in result.causes
        ],
    }


def _rest(result: YearResult) -> dict[str, object]:
    return {
        "plantings": [_planting(one) for one in result.plantings],
        "trees": [_tree(one) for one in result.trees],
        "heads": nested(result.heads),
        "feed_short_share": series(result.feed_short),
        "products_kg": nested(result.products_kg),
        "manure_kg": series(result.manure_kg),
        "grass_dm_kg": nested(result.grass_dm_kg),
        "water_m3": series(result.water_m3),
        "water_dry_days": series(result.water_dry_days),
        "store_litres": series(result.store_litres),
        **_kept(result),
        "hours_week": series(result.hours_week),
        "hours_available_week": numbers(result.hours_available_week),
        "money": series(result.money),
        "currency": result.holding.place.currency,
        "hazards": _hazards(result),
        "notes": list(result.notes),
        "figure_keys": list(result.figure_keys),
        "why": dict(result.why),
    }


def _kept(result: YearResult) -> dict[str, object]:
    took = result.kept.preserving
    return {
        "places_c": series(result.kept.places_c),
        "food_days": numbers(result.kept.food_days),
        "days_on_plates": numbers(result.kept.plates.days),
        "beyond_plates_days": series(result.kept.plates.beyond_days),
        "preserving": {
            "put_in_kg": series(took.put_in_kg),
            "hours": numbers(took.hours),
            "salt_kg": numbers(took.salt_kg),
            "sugar_kg": numbers(took.sugar_kg),
            "vinegar_l": numbers(took.vinegar_l),
            "jars": numbers(took.jars),
            "fuel_mj": numbers(took.fuel_mj),
            "thawed_kg": numbers(result.kept.thawed_kg),
        },
    }


def _finding(one: Finding) -> dict[str, str]:
    return {
        "grade": one.grade,
        "title": one.title,
        "what": one.what,
        "number": one.number,
        "cause": one.cause,
        "remedy": one.remedy,
        "source": one.source,
        "subject": one.subject,
    }


def _planting(one: PlantingYear) -> dict[str, object]:
    return {
        "planting": one.planting,
        "plot": one.plot,
        "crop": one.crop,
        "good": one.good,
        "area_m2": number(one.area_m2),
        "status": one.status,
        "reason": one.reason,
        "sown": one.sown,
        "first_gathered": one.first_gathered,
        "last_gathered": one.last_gathered,
        "yield_t_ha": number(one.yield_t_ha),
        "harvest_kg": number(one.harvest_kg),
        "table_low_t_ha": number(one.table_low_t_ha),
        "table_high_t_ha": number(one.table_high_t_ha),
        "factors": {key: number(share) for key, share in one.factors.items()},
        "yield_t_ha_by_year": {key: number(value) for key, value in one.yield_t_ha_by_year.items()},
    }


def _tree(one: TreeOutcome) -> dict[str, object]:
    return {
        "tree": one.tree,
        "plot": one.plot,
        "species": one.species,
        "variety": one.variety,
        "good": one.good,
        "count": one.count,
        "age_years": number(one.age_y),
        "harvest_kg": number(one.harvest_kg),
        "factors": {key: number(share) for key, share in one.factors.items()},
        "full_bloom": one.full_bloom,
        "chill_h": number(one.chill_h),
        "chill_need_h": number(one.chill_need_h),
        "chill_units": None if one.chill_units is None else number(one.chill_units),
        "chill_need_units": number(one.chill_need_units),
        "height_m": number(one.height_m),
        "noon_shadow_m": None if one.noon_shadow_m is None else number(one.noon_shadow_m),
    }


def _hazards(result: YearResult) -> dict[str, object]:
    """Whether hail, pests and disease were drawn, and each strike."""
    return {
        "drawn": result.hazard_seed is not None,
        "strikes": [
            {
                "key": one.key,
                "hazard": one.hazard,
                "name": one.name,
                "kind": one.kind,
                "subject": one.subject,
                "plant": one.plant,
                "day": one.day,
                "chance": number(one.chance),
                "loss_share": number(one.loss_share),
                "share_lost": number(one.share_lost),
                "lost_kg": number(one.kg),
                "remedy": " ".join(filter(None, (one.remedy, one.caution))),
                "why": result.why.get(one.key, ""),
            }
            for one in result.strikes
        ],
    }


def numbers(values: npt.NDArray[np.float64]) -> list[float]:
    """An array as a list of finite numbers."""
    return [number(value) for value in values]


def series(amounts: Mapping[str, npt.NDArray[np.float64]]) -> dict[str, list[float]]:
    """Name -> numbers."""
    return {name: numbers(values) for name, values in amounts.items()}


def nested(amounts: Mapping[str, Mapping[str, npt.NDArray[np.float64]]]) -> dict[str, dict[str, list[float]]]:
    """Name -> name -> numbers."""
    return {name: series(inner) for name, inner in amounts.items()}
