"""Typical rain days for a file without rain: months from normals.csv, laid on the darkest days of each month."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from yardland.weather.formats.taken import column
from yardland.weather.normals import Normals
from yardland.weather.parse import Parsed
from yardland.weather.sun import extraterrestrial_radiation_mj_m2
from yardland.weather.types import F64
from yardland.weather.typical import FIRST_YEAR, Spread, daily_from_normals

YEARS = 10
"""So many years are invented, so that fractions of a rain day are shared out; the file's years take the first ones."""
NOTE = (
    "Rain is laid in from the twelve normals of normals.csv: as many rain days and as much rain as they say, on the days "
    "with the least of the sun's radiation in each month; it fell on no real day."
)


def with_rain(parsed: Parsed, normals: Normals, seed: int) -> Parsed:
    """The days with rain_mm from monthly normals.

    Each month takes the amounts of one invented month, greatest on its darkest day: share of the radiation outside the
    air (FAO-56 eq. 21) where the file has radiation, else the narrowest range of temperature.
    """
    raw = daily_from_normals(normals, Spread.none(YEARS), seed, FIRST_YEAR)
    made_months = raw.dates.astype("datetime64[M]").astype(np.int64)
    months = parsed.dates.astype("datetime64[M]").astype(np.int64)
    first = int(made_months[0])
    dark = _darkness(parsed, normals.latitude_deg)
    rain = np.zeros(len(months))
    for month in np.unique(months):
        here = np.flatnonzero(months == month)
        year = (int(month) // 12 - int(months[0]) // 12) % YEARS
        amounts = np.sort(raw.rain_mm[made_months == first + 12 * year + int(month) % 12])[::-1]
        count = min(len(here), len(amounts))
        rain[here[np.argsort(-dark[here], kind="stable")[:count]]] = amounts[:count]
    values = {**parsed.values, "rain_mm": rain}
    columns = {**parsed.columns, "rain_mm": column("rain_mm", "rain_mm (from normals.csv)")}
    return replace(parsed, values=values, columns=columns)


def _darkness(parsed: Parsed, latitude_deg: float) -> F64:
    """Greater on darker days; days whose measure is missing come last."""
    rad = parsed.values.get("rad_mj_m2")
    if rad is None:
        dark = -(parsed.values["tmax_c"] - parsed.values["tmin_c"])
    else:
        day = (parsed.dates - parsed.dates.astype("datetime64[Y]")).astype(np.int64) + 1.0
        dark = -rad / np.maximum(extraterrestrial_radiation_mj_m2(latitude_deg, day), 0.1)
    return np.asarray(np.where(np.isfinite(dark), dark, -np.inf))
