"""What the crop's page says, as one object for other programs."""

from __future__ import annotations

from yardland.growth.texture import GroundSoil
from yardland.report.html import made_by
from yardland.season.crop_limits import DayByDay, Spell
from yardland.season.crop_year import CropPlanting, CropTold
from yardland.season.sward_told import SwardTold

SCHEMA = "yardland.crop/1"


def crop_json(told: CropTold) -> dict[str, object]:
    """Plain data with the keys schema, version, crop, name, holding, label, trial, plantings, notes."""
    return {
        **head_json(told),
        "trial_dressing": told.trial_dressing or None,
        "days_to_harvest_table": list(told.days_band),
        "plantings": [_planting(planting) for planting in told.plantings],
        "hazard_seed": told.hazard_seed,
        "notes": list(told.notes),
    }


def head_json(told: CropTold | SwardTold) -> dict[str, object]:
    """What the object says before its plantings, of a crop or of grass alike."""
    return {
        "schema": SCHEMA,
        "version": made_by(),
        "holding": told.holding.place.name,
        "crop": told.crop,
        "name": told.name,
        "label": told.label,
        "source": told.source,
        "level": told.holding.goal.level,
        "trial": told.trial,
    }


def _planting(planting: CropPlanting) -> dict[str, object]:
    """`sow`, `harvest`, `stages` and `limits` are of the shown year; the others by larder year."""
    shown, told = planting.shown, planting.day_by_day
    return {
        "planting": planting.id,
        "plot": planting.plot,
        "variety": planting.variety,
        "rotation_year": planting.rotation_year,
        "area_m2": round(shown.area_m2, 2),
        "window": {"opens": planting.window[0], "closes": planting.window[1], "why": planting.window_words},
        "soil": soil_json(planting.soil),
        "dressing": _dressing(planting),
        "sow": shown.sown,
        "harvest": [shown.first_gathered, shown.last_gathered],
        "status": planting.fates[planting.lane],
        "stages": [] if told is None else [{"stage": name, "day": day} for name, day in told.stages],
        "yield_t_ha": {
            label: round(year.yield_t_ha, 4) for label, year in zip(planting.labels, planting.years, strict=True)
        },
        "yield_table_t_ha": {"low": shown.table_low_t_ha, "high": shown.table_high_t_ha},
        "years": {label: _year(planting, index) for index, label in enumerate(planting.labels)},
        "hazards": _hazards(planting),
        "limits": limits_json(told),
        "days": days_json(told),
    }


def _year(planting: CropPlanting, index: int) -> dict[str, object]:
    year = planting.years[index]
    return {
        "sow": year.sown,
        "harvest": [year.first_gathered, year.last_gathered],
        "days_to_harvest": planting.days_to_gather[index],
        "status": planting.fates[index],
        "factors": {name: round(value, 4) for name, value in year.factors.items()},
        "nitrogen_kg_ha": {
            "from_soil": round(float(planting.nitrogen.taken[index]), 2),
            "from_air": round(float(planting.nitrogen.fixed[index]), 2),
            "removed": round(float(planting.nitrogen.removed[index]), 2),
            "leached_from_strip": round(float(planting.nitrogen.leached[index]), 2),
        },
    }


def _hazards(planting: CropPlanting) -> dict[str, object]:
    """What each hazard takes in an average year, and the strikes that were drawn, by larder year."""
    return {
        "expected_loss_share": {one.key: round(one.share, 4) for one in planting.expected},
        "strikes": [
            {
                "year": planting.labels[one.lane],
                "hazard": one.hazard.key,
                "day": day,
                "loss_share": round(one.loss_share, 4),
                "share_lost": round(one.share_lost, 4),
            }
            for day, one in planting.strikes
        ],
    }


def _dressing(planting: CropPlanting) -> dict[str, object] | None:
    """What the ground is given on the sowing day."""
    given = planting.dressing
    if given is None:
        return None
    return {
        "kind": given.kind,
        "kg": round(given.kg, 1),
        "n_total_kg_ha": round(given.n_total_kg_ha, 2),
        "n_mineral_kg_ha": round(given.mineral_n_kg_ha, 2),
        "n_within_year_kg_ha": round(given.fresh_n_kg_ha, 2),
        "n_lost_as_ammonia_kg_ha": round(given.volatilised_n_kg_ha, 2),
    }


def limits_json(told: DayByDay | None) -> dict[str, object]:
    """Shares of the growth that each limit took: of the whole, by month and by ten days."""
    if told is None:
        return {}
    return {
        "lost_share": {name: round(value, 4) for name, value in told.lost.items()},
        "months": {spell.key: _spell(spell) for spell in told.months},
        "ten_days": {spell.key: {"limit": spell.limit or None, **_spell(spell)} for spell in told.tens},
    }


def _spell(spell: Spell) -> dict[str, object]:
    return {
        "lost_share": {name: round(value, 4) for name, value in spell.lost.items()},
        "factors": {
            "temperature": round(spell.warmth, 4),
            "water": round(spell.water, 4),
            "nitrogen": round(spell.nitrogen, 4),
        },
        "light_mj_m2": round(spell.light_mj, 2),
        "dm_g_m2": round(spell.made_g_m2, 2),
        "cover": round(spell.cover, 4),
        "degree_days_c": round(spell.degree_days, 1),
        "rain_mm": round(spell.rain_mm, 1),
        "irrigation_mm": round(spell.irrigation_mm, 1),
        "n_taken_kg_ha": round(spell.n_taken_kg_ha, 2),
        "n_fixed_kg_ha": round(spell.n_fixed_kg_ha, 2),
        "n_leached_kg_ha": round(spell.n_leached_kg_ha, 2),
        "n_mineral_in_soil_kg_ha": round(spell.soil_n_kg_ha, 2),
    }


def days_json(told: DayByDay | None) -> dict[str, object]:
    """The shown year day by day: `day` and one list for each quantity (docs/crop-page.md)."""
    if told is None:
        return {}
    return {
        "day": [day.isoformat() for day in told.dates],
        **{name: [round(float(value), 4) for value in values] for name, values in told.trace.days.items()},
    }


def soil_json(soil: GroundSoil) -> dict[str, object]:
    """Water limits of a plot's soil."""
    return {
        "texture": soil.texture,
        "wilting_point": round(soil.wilting_point, 4),
        "field_capacity": round(soil.field_capacity, 4),
        "saturation": round(soil.saturation, 4),
        "ksat_mm_h": round(soil.ksat_mm_h, 2),
        "source": soil.words,
    }
