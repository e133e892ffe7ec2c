"""Is the file's station the one of the place? What to say of a far one, and from where on it is the wrong one."""

from __future__ import annotations

import math

from yardland.holding.model import Place
from yardland.weather.formats.taken import Station
from yardland.weather.limits import limits
from yardland.weather.normals import LAPSE_K_PER_M, distance_km
from yardland.weather.sheet import Faults


def check_station(station: Station, place: Place, faults: Faults) -> list[str]:
    """A note on where the station lies; a fault when it cannot be the place's (data/limits.csv)."""
    away = _away_km(station, place)
    higher = _higher_m(station, place)
    if away is None and higher is None:
        return ["The file does not say where it was measured: compare the station yourself."] if station.name else []
    words = _words(station, away, higher)
    limit = limits()
    wrong_side = station.latitude_deg is not None and station.latitude_deg * place.latitude_deg < 0
    if (away or 0) > limit["refused_km"] or abs(higher or 0) > limit["refused_m"]:
        side = ", on the other side of the equator" if wrong_side else ""
        faults.add(
            "station",
            "header, place of the station",
            f"{words}{side}",
            f"a station within {limit['refused_km']:g} km and {limit['refused_m']:g} m of altitude",
            "Take a nearer station, or correct place.latitude_deg, place.longitude_deg and place.altitude_m.",
        )
        return []
    note = f"Station: {words}."
    if (away or 0) > limit["far_km"] or abs(higher or 0) > limit["far_m"]:
        note += " That is far: rain and frost may be another place's."
    if higher is not None and abs(higher) >= limit["far_m"]:
        note += f" Temperatures are not moved; by 6.5 C a kilometre the place is {LAPSE_K_PER_M * higher:+.1f} C against it."
    return [note]


def _known(value: float | None) -> bool:
    return value is not None and math.isfinite(value)


def _away_km(station: Station, place: Place) -> float | None:
    if station.latitude_deg is None or station.longitude_deg is None:
        return None
    if not _known(station.latitude_deg) or not _known(station.longitude_deg):
        return None
    return distance_km(place.latitude_deg, place.longitude_deg, station.latitude_deg, station.longitude_deg)


def _higher_m(station: Station, place: Place) -> float | None:
    """How much the station lies over the place."""
    if station.altitude_m is None or not math.isfinite(station.altitude_m):
        return None
    return station.altitude_m - place.altitude_m


def _words(station: Station, away: float | None, higher: float | None) -> str:
    parts = [station.name or "unnamed"]
    if away is not None:
        parts.append(f"{away:.0f} km from the place")
    if higher is not None:
        parts.append(f"{abs(higher):.0f} m {'above' if higher >= 0 else 'below'} it")
    return ", ".join(parts)
