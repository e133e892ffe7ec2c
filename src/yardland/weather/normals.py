"""Twelve monthly normals: the shipped published set, the nearest of it to a place, the checks on a set."""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

import numpy as np

from yardland.weather.types import F64

LAPSE_K_PER_M = 0.0065
"""Fall of temperature with altitude: the International Standard Atmosphere's 6.5 K a kilometre."""
EARTH_RADIUS_KM = 6371.0
DEFAULT_RAIN_DAY_MM = 1.0
FAR_KM = 250.0
"""Beyond it a borrowed station is called far."""
SEASONLESS_DEG = 10.0
"""Within this latitude the year goes by its rains, and the equator parts no seasons (own choice)."""
KM_PER_DEGREE = 111.0


@dataclass(frozen=True)
class Normals:
    """Monthly normals of a place, January first; arrays are [12]. A quantity that is not known is None.

    rain_days counts days with at least `rain_day_mm`; sun_h is the month's mean hours of bright sun a day.
    """

    name: str
    latitude_deg: float
    longitude_deg: float
    altitude_m: float
    tmin_c: F64
    tmax_c: F64
    rain_mm: F64
    rain_days: F64 | None = None
    sun_h: F64 | None = None
    rad_mj_m2: F64 | None = None
    rh_mean_pct: F64 | None = None
    wind_m_s: F64 | None = None
    rain_day_mm: float = DEFAULT_RAIN_DAY_MM
    period: str = ""
    source: str = ""
    standing: str = ""


OPTIONAL = ("rain_days", "sun_h", "rad_mj_m2", "rh_mean_pct", "wind_m_s")
REQUIRED = ("tmin_c", "tmax_c", "rain_mm")


@cache
def shipped() -> dict[str, Normals]:
    """The shipped stations by key, from data/stations.csv and data/normals.csv."""
    folder = files("yardland.weather") / "data"
    months: dict[str, list[dict[str, str]]] = {}
    for row in csv.DictReader((folder / "normals.csv").read_text("utf-8").splitlines()):
        months.setdefault(row["station"], []).append(row)
    stations = csv.DictReader((folder / "stations.csv").read_text("utf-8").splitlines())
    return {row["station"]: _station(row, months[row["station"]]) for row in stations}


def nearest(latitude_deg: float, longitude_deg: float, altitude_m: float) -> tuple[Normals, str]:
    """The shipped station nearest to a place, its temperatures moved to the place's altitude, and a note on both.

    Nearness is the great-circle distance and, once more, the way from one distance from the equator to the other: the
    climate changes sooner along that way. A station on the other side of the equator is taken only if it and the place
    lie within ten degrees of it. Temperatures fall by 6.5 K for a kilometre of altitude (International Standard
    Atmosphere); rain is left as it is.
    """

    def strangeness_km(n: Normals) -> float:
        across = abs(abs(n.latitude_deg) - abs(latitude_deg)) * KM_PER_DEGREE
        return distance_km(latitude_deg, longitude_deg, n.latitude_deg, n.longitude_deg) + across

    station = min(
        (n for n in shipped().values() if same_seasons(n.latitude_deg, latitude_deg)),
        key=strangeness_km,
    )
    away = distance_km(latitude_deg, longitude_deg, station.latitude_deg, station.longitude_deg)
    shift = LAPSE_K_PER_M * (station.altitude_m - altitude_m)
    moved = replace(
        station,
        name=f"{station.name}, {away:,.0f} km away",
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        altitude_m=altitude_m,
        tmin_c=station.tmin_c + shift,
        tmax_c=station.tmax_c + shift,
    )
    note = (
        f"Weather borrowed from the normals of {station.name} ({station.period}, {station.standing}), {away:.0f} km "
        f"away; temperatures moved by {shift:+.1f} C for {altitude_m - station.altitude_m:+.0f} m of altitude "
        "(6.5 C a kilometre). Your own record (weather.csv) or normals (normals.csv) would serve better."
    )
    if away > FAR_KM:
        note += f" Over {FAR_KM:.0f} km away the climate may be another one: take no result from it as your place's."
    return moved, note


def same_seasons(one_deg: float, other_deg: float) -> bool:
    """Whether two latitudes share their seasons: one side of the equator, or both near it."""
    return (one_deg < 0) == (other_deg < 0) or max(abs(one_deg), abs(other_deg)) <= SEASONLESS_DEG


def distance_km(lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float) -> float:
    """Great-circle distance on a sphere of 6371 km (haversine formula)."""
    phi1, phi2 = np.radians(lat1_deg), np.radians(lat2_deg)
    across = np.radians(lon2_deg - lon1_deg)
    half = np.sin((phi2 - phi1) / 2) ** 2 + np.cos(phi1) * np.cos(phi2) * np.sin(across / 2) ** 2
    return float(2 * EARTH_RADIUS_KM * np.arcsin(min(1.0, float(np.sqrt(half)))))


def _station(row: dict[str, str], months: list[dict[str, str]]) -> Normals:
    months = sorted(months, key=lambda month: int(month["month"]))
    known = {name: np.array([float(month[name]) for month in months]) for name in REQUIRED}
    more = {name: _optional(months, name) for name in OPTIONAL}
    return Normals(
        name=row["name"],
        latitude_deg=float(row["latitude_deg"]),
        longitude_deg=float(row["longitude_deg"]),
        altitude_m=float(row["altitude_m"]),
        rain_day_mm=float(row["rain_day_mm"] or DEFAULT_RAIN_DAY_MM),
        period=row["period"],
        source=row["source"],
        standing=row["standing"],
        tmin_c=known["tmin_c"],
        tmax_c=known["tmax_c"],
        rain_mm=known["rain_mm"],
        rain_days=more["rain_days"],
        sun_h=more["sun_h"],
        rad_mj_m2=more["rad_mj_m2"],
        rh_mean_pct=more["rh_mean_pct"],
        wind_m_s=more["wind_m_s"],
    )


def _optional(months: list[dict[str, str]], name: str) -> F64 | None:
    words = [month.get(name) or "" for month in months]
    return np.array([float(word) for word in words]) if all(words) else None
