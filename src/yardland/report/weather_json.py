"""A record's sums as one object for other programs."""

from __future__ import annotations

from datetime import date

from yardland.report.html import made_by
from yardland.report.weather_drawn import DrawnTold, drawn_json
from yardland.weather.hardiness import hardiness_zone
from yardland.weather.overview import Overview
from yardland.weather.types import F64

SCHEMA = "yardland.weather/1"


def weather_json(told: Overview, drawn: DrawnTold | None = None) -> dict[str, object]:
    """Plain data with the keys schema, version, span, gaps, suspects, normals, frost, season, years, extremes, notes.

    With drawn years there is a key `drawn` more. Lists of twelve start with January; days of the year are 1-365 of a common year, null where there is no frost.
    """
    record = told.record
    return {
        "schema": SCHEMA,
        "version": made_by(),
        "span": {
            "first": str(record.dates[0]),
            "last": str(record.dates[-1]),
            "days": len(record.dates),
            "kind": record.kind,
            "source": record.source,
        },
        "gaps": [{"what": what, "first": first, "last": last} for what, first, last in record.gaps],
        "suspects": [{"first": one.first, "last": one.last, "what": one.what} for one in told.suspects],
        "normals": _normals(told),
        "frost": _frost(told),
        "season": {
            "frost_free_days": {str(year): days for year, days in told.season.frost_free_days.items()},
            "median_days": told.season.median_days,
            "one_in_ten_days": told.season.one_in_ten_days,
            "warm_days": told.season.warm_days,
        },
        "years": {"rain_mm": {str(year): round(mm, 1) for year, mm in told.rain_year_mm.items()}},
        "extremes": {
            "coldest_c": {"value": told.coldest.value, "day": told.coldest.day},
            "hottest_c": {"value": told.hottest.value, "day": told.hottest.day},
            "rain_mm": {"value": told.wettest_day.value, "day": told.wettest_day.day},
            "longest_dry_days": told.longest_dry_days,
            "winter_lowest_c": told.winter_lowest_c,
            "hardiness_zone": None if told.winter_lowest_c is None else hardiness_zone(told.winter_lowest_c),
        },
        "estimated": dict(record.estimated),
        "notes": list(record.notes),
        **({} if drawn is None else {"drawn": drawn_json(drawn)}),
    }


def _list(values: F64, digits: int = 2) -> list[float]:
    return [round(float(value), digits) for value in values]


def _normals(told: Overview) -> dict[str, object]:
    past = told.climate
    return {
        "tmin_c": _list(past.tmin_month_c),
        "tmax_c": _list(past.tmax_month_c),
        "tmean_c": _list(past.tmean_month_c),
        "rain_mm": _list(past.rain_month_mm),
        "rain_days": _list(past.rain_days_month),
        "eto_mm": _list(past.eto_month_mm),
        "rad_mj_m2_day": _list(past.rad_month_mj_m2),
        "degree_days_c": {str(base): _list(values, 1) for base, values in told.degree_days_month.items()},
    }


def _frost(told: Overview) -> dict[str, object]:
    frost = told.climate.frost
    return {
        "last": _by_year(frost.last),
        "first": _by_year(frost.first),
        "last_p50": frost.last_p50,
        "last_p90": frost.last_p90,
        "first_p50": frost.first_p50,
        "first_p10": frost.first_p10,
        "days_year": round(frost.frost_days_year, 1),
    }


def _by_year(days: dict[int, date | None]) -> dict[str, str | None]:
    return {str(year): None if day is None else day.isoformat() for year, day in days.items()}
