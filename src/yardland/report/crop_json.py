"""What the crop's page says, as one object for other programs."""

from __future__ import annotations

from yardland.report.html import made_by
from yardland.season.crop_year import CropPlanting, CropTold

SCHEMA = "yardland.crop/1"


def crop_json(told: CropTold) -> dict[str, object]:
    """Plain data with the keys schema, version, crop, name, holding, label, trial, plantings, notes."""
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
        "days_to_harvest_table": list(told.days_band),
        "plantings": [_planting(planting) for planting in told.plantings],
        "hazard_seed": told.hazard_seed,
        "notes": list(told.notes),
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
        "soil": {
            "texture": planting.soil.texture,
            "wilting_point": round(planting.soil.wilting_point, 4),
            "field_capacity": round(planting.soil.field_capacity, 4),
            "saturation": round(planting.soil.saturation, 4),
            "ksat_mm_h": round(planting.soil.ksat_mm_h, 2),
            "source": planting.soil.words,
        },
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
        "limits": _limits(planting),
        "days": _days(planting),
    }


def _year(planting: CropPlanting, index: int) -> dict[str, object]:
    year = planting.years[index]
    return {
        "sow": year.sown,
        "harvest": [year.first_gathered, year.last_gathered],
        "days_to_harvest": planting.days_to_gather[index],
        "status": planting.fates[index],
        "factors": {name: round(value, 4) for name, value in year.factors.items()},
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


def _limits(planting: CropPlanting) -> dict[str, object]:
    """Shares of the growth that cold, heat and want of water took, of the whole and by month."""
    told = planting.day_by_day
    if told is None:
        return {}
    return {
        "lost_share": {name: round(value, 4) for name, value in told.lost.items()},
        "months": {
            month.month: {
                "lost_share": {name: round(value, 4) for name, value in month.lost.items()},
                "light_mj_m2": round(month.light_mj, 2),
                "dm_g_m2": round(month.made_g_m2, 2),
                "cover": round(month.cover, 4),
                "degree_days_c": round(month.degree_days, 1),
                "rain_mm": round(month.rain_mm, 1),
                "irrigation_mm": round(month.irrigation_mm, 1),
            }
            for month in told.months
        },
    }


def _days(planting: CropPlanting) -> dict[str, object]:
    """The shown year day by day: `day` and one list for each quantity (docs/crop-page.md)."""
    told = planting.day_by_day
    if told is None:
        return {}
    return {
        "day": [day.isoformat() for day in told.dates],
        **{name: [round(float(value), 4) for value in values] for name, values in told.trace.days.items()},
    }
