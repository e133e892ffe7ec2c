"""A generator from twelve normals alone: the months are the place's, the spread between years is a stated default."""

from __future__ import annotations

import csv
from dataclasses import replace
from functools import cache
from importlib.resources import files

import numpy as np

from yardland.weather.climate import MONTH_LENGTHS
from yardland.weather.fill import Raw, fill
from yardland.weather.generator.fit import fitted
from yardland.weather.generator.fit_rain import WETTEST, rain_targets
from yardland.weather.generator.model import RAIN_DAY_MM, Model
from yardland.weather.generator.series import series
from yardland.weather.normals import Normals
from yardland.weather.types import F64
from yardland.weather.typical import Spread, constants, daily_from_normals, day_to_day_sd_c

INVENTED_SEED = 20
"""Of the invented record, a constant: the same normals give the same model."""
FIRST_YEAR = 2001
NOTE = (
    "From twelve normals: the days and the spread between months and between years are invented (defaults of data/generator.csv, "
    "from memory), so good and bad years are only as likely as at an ordinary place. A record of ten years would know better."
)


@cache
def defaults() -> dict[str, float]:
    """The default spread by key, from data/generator.csv."""
    text = (files("yardland.weather") / "data" / "generator.csv").read_text("utf-8")
    return {row["key"]: float(row["value"]) for row in csv.DictReader(text.splitlines())}


def fit_normals(normals: Normals) -> Model:
    """A generator whose months keep the normals and whose spread is the default one, marked in `notes`.

    An invented record with that spread (docs/weather-normals.md) is made and fitted; it is the same for the same normals.
    """
    years = int(defaults()["invented_years"])
    raw = daily_from_normals(normals, default_spread(normals, years), INVENTED_SEED, FIRST_YEAR)
    record = fill(Raw(**raw.__dict__), normals.latitude_deg, normals.altitude_m, f"normals of {normals.name}")
    of = series(record)
    days = _rain_days(normals)
    share = np.minimum(days / MONTH_LENGTHS, WETTEST)
    targets = replace(rain_targets(of), wet=share, amount_mm=normals.rain_mm / np.maximum(days, 1e-9))
    model = fitted(of, targets)
    return replace(model, record_years=0, source=f"generator from normals of {normals.name}", notes=(NOTE,))


def default_spread(normals: Normals, years: int) -> Spread:
    """Departures of months of `years` years, their means over the years exactly none."""
    d = defaults()
    rng = np.random.default_rng(INVENTED_SEED)
    middle = (normals.tmin_c + normals.tmax_c) / 2
    warm_half = (middle > np.median(middle)).astype(np.float64)
    wet = _shared(rng, years, d["year_share_rain"])
    tie = d["wet_temperature_correlation"] * warm_half
    warm = tie * wet + np.sqrt(1 - tie**2) * _shared(rng, years, d["year_share_temperature"])
    warm = warm - warm.mean(axis=0)
    sd_c = d["month_sd_per_day_sd"] * day_to_day_sd_c(normals)
    return Spread(temperature_c=warm * sd_c, rain_factor=_factors(normals, wet))


def _shared(rng: np.random.Generator, years: int, share: float) -> F64:
    """Standard normals [years, 12], a share of whose variance is common to the year."""
    month, year = rng.standard_normal((years, 12)), rng.standard_normal((years, 1))
    return np.asarray(np.sqrt(1 - share) * month + np.sqrt(share) * year)


def _rain_days(normals: Normals) -> F64:
    """Days with 1 mm and more; never so many that they would have less."""
    days = normals.rain_days
    if days is None:
        days = normals.rain_mm / constants()["rain_per_rain_day_mm"]
    return np.minimum(days, normals.rain_mm / (RAIN_DAY_MM + 0.1))


def _factors(normals: Normals, wet: F64) -> F64:
    """Log-normal factors of the months' rain with mean 1 over the years."""
    variation = np.sqrt(defaults()["rain_variation_days"] / np.maximum(_rain_days(normals), 0.1))
    variation = np.minimum(variation, defaults()["rain_variation_most"])
    factor = np.exp(wet * np.sqrt(np.log1p(variation**2)))
    return np.asarray(factor / factor.mean(axis=0))
