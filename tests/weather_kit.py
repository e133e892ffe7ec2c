"""Made weather for tests: plain sheets and smooth records."""

from __future__ import annotations

import numpy as np

from yardland.holding.model import MonthDay, Place
from yardland.weather.fill import Raw, fill

NORTH = Place(
    name="Test", latitude_deg=52.0, longitude_deg=5.0, altitude_m=20, country="NL", year_starts=MonthDay(10, 1)
)


def days(first="2019-01-01", after="2021-01-01"):
    """Every day from the first to the day before `after`."""
    return np.arange(first, after, dtype="datetime64[D]")


def rows(dates=None):
    """Rows (date, tmin, tmax, rain) of a smooth year with a shower every fourth day."""
    made = []
    for index, day in enumerate(days() if dates is None else dates):
        mean = 10 - 8 * np.cos(2 * np.pi * (index % 365) / 365)
        made.append([str(day), f"{mean - 4:.1f}", f"{mean + 4:.1f}", "4.0" if index % 4 == 0 else "0.0"])
    return made


def sheet(made=None, header=("date", "tmin_c", "tmax_c", "rain_mm"), separator=","):
    """The text of a weather sheet."""
    lines = [separator.join(header), *(separator.join(row) for row in (rows() if made is None else made))]
    return "\n".join(lines) + "\n"


def record(first="2015-01-01", after="2020-01-01", latitude_deg=52.0, seed=1):
    """A complete random record with a warm and a cold half of the year by the hemisphere's seasons."""
    rng = np.random.default_rng(seed)
    dates = days(first, after)
    day = (dates - dates.astype("datetime64[Y]")).astype(float)
    turn = -1 if latitude_deg < 0 else 1
    mean = 10 - turn * 9 * np.cos(2 * np.pi * (day - 15) / 365.25) + rng.normal(0, 2, len(dates))
    rain = np.where(rng.random(len(dates)) < 0.4, rng.gamma(0.8, 6, len(dates)), 0.0)
    raw = Raw(dates, mean - rng.uniform(2, 6, len(dates)), mean + rng.uniform(2, 6, len(dates)), rain)
    return fill(raw, latitude_deg, 20, "made record")
