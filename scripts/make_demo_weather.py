"""Make the invented weather of the two demonstration holdings from invented normals: seeded, the same every time.

Inputs stand in scripts/demo_weather/: twelve normals and a row of places.csv each (spread between days, months and
years), and events.csv (spells that a plan must bear). Run: python scripts/make_demo_weather.py [folder of examples]
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import numpy as np

from yardland.weather.fill import Raw
from yardland.weather.normals import Normals
from yardland.weather.typical import Spread, daily_from_normals

HERE = Path(__file__).parent
FIRST_YEAR, YEARS = 2013, 11
MONTH_LAG1 = 0.3
"""How far a warm month is followed by a warm one (invented, as everything here)."""
HEADER = "date,tmin_c,tmax_c,rain_mm,rad_mj_m2,rh_mean_pct,wind_m_s"
FIRST_LINE = "# invented weather for a demonstration, not a record"


def rows(name: str) -> list[dict[str, str]]:
    """The rows of a file of scripts/demo_weather."""
    with (HERE / "demo_weather" / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def invented_normals(place: dict[str, str]) -> Normals:
    """The place's twelve months."""
    months = rows(f"{place['place']}.csv")
    columns = {name: np.array([float(row[name]) for row in months]) for name in months[0] if name != "month"}
    where = {name: float(place[name]) for name in ("latitude_deg", "longitude_deg", "altitude_m")}
    return Normals(name=place["place"], **where, **columns)


def departures(place: dict[str, str]) -> Spread:
    """Months warmer and cooler, wetter and drier than the normals, seeded, with the events over them."""
    rng = np.random.default_rng(int(place["seed"]))
    noise = rng.standard_normal(YEARS * 12)
    for index in range(1, len(noise)):
        noise[index] = MONTH_LAG1 * noise[index - 1] + np.sqrt(1 - MONTH_LAG1**2) * noise[index]
    temperature = float(place["month_sd_c"]) * noise.reshape(YEARS, 12)
    temperature -= temperature.mean(axis=0)
    shape = 1 / float(place["rain_cv"]) ** 2
    rain = rng.gamma(shape, 1 / shape, (YEARS, 12))
    rain /= rain.mean(axis=0)
    for event in rows("events.csv"):
        if event["place"] != place["place"]:
            continue
        first, last = (month_index(event[end]) for end in ("from", "to"))
        temperature.ravel()[first : last + 1] = float(event["temperature_c"])
        rain.ravel()[first : last + 1] = float(event["rain_factor"])
    return Spread(temperature, rain)


def month_index(text: str) -> int:
    """Months since the first of the demonstration record."""
    year, month = text.split("-")
    return (int(year) - FIRST_YEAR) * 12 + int(month) - 1


def lines(raw: Raw) -> list[str]:
    """The record as lines of CSV, one decimal."""
    columns = (raw.tmin_c, raw.tmax_c, raw.rain_mm, raw.rad_mj_m2, raw.rh_mean_pct, raw.wind_m_s)
    digits = (1, 1, 1, 1, 0, 1)
    words = [[f"{value:.{digit}f}" for value in column] for column, digit in zip(columns, digits, strict=True)]
    dates = (str(day) for day in raw.dates)
    return [FIRST_LINE, HEADER, *(",".join(row) for row in zip(dates, *words, strict=True))]


def write(examples: Path) -> None:
    """Write weather.csv into each example's folder."""
    for place in rows("places.csv"):
        raw = daily_from_normals(
            invented_normals(place), departures(place), int(place["seed"]), FIRST_YEAR, float(place["day_sd_c"])
        )
        text = "\n".join(lines(raw)).replace("-0.0,", "0.0,") + "\n"
        (examples / place["place"]).mkdir(parents=True, exist_ok=True)
        (examples / place["place"] / "weather.csv").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE.parent / "examples")
