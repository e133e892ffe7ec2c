"""The records that the weather generator is tested on."""

from __future__ import annotations

import csv
from dataclasses import replace
from functools import cache, lru_cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np

from yardland.holding.model import MonthDay, Place
from yardland.weather.fill import Raw, fill
from yardland.weather.generator.draw import as_record, draw
from yardland.weather.generator.fit import fit
from yardland.weather.read import read_record

DATA = Path(__file__).parent / "data"


def _place(name, latitude_deg, longitude_deg, altitude_m, country):
    return Place(
        name=name,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        altitude_m=altitude_m,
        country=country,
        year_starts=MonthDay(1, 1),
    )


def _package(name):
    spec = find_spec(name)
    return None if spec is None or spec.origin is None else Path(spec.origin).parent


@lru_cache(maxsize=1)
def seattle():
    """Seattle 2012-2015 (NOAA, in the package vega_datasets)."""
    path = _package("vega_datasets") / "_data" / "seattle-weather.csv"
    return read_record(path, _place("Seattle", 47.45, -122.31, 130, "US"))


@lru_cache(maxsize=1)
def new_york():
    """New York 2012-2015 (NOAA; the file's head says where it is from)."""
    return read_record(DATA / "new_york_2012_2015.csv", _place("New York", 40.78, -73.97, 40, "US"))


@lru_cache(maxsize=1)
def fulda():
    """The basin of the Fulda 1979-1988 (in the package spotpy, source of the data not stated there)."""
    path = _package("spotpy") / "examples" / "cmf_data" / "fulda_climate.csv"
    rows = list(csv.reader(path.read_text("utf-8").splitlines()))[2:]
    dates = np.array(["-".join(reversed(row[0].split("."))) for row in rows], dtype="datetime64[D]")
    high, low, rain = (np.array([float(row[column]) for row in rows]) for column in (1, 2, 4))
    return fill(Raw(dates, low, high, rain), 50.55, 300, "Fulda basin")


RECORDS = {"Seattle": seattle, "New York": new_york, "Fulda": fulda}


@cache
def own_truth():
    """Sixty years of the generator itself with stronger effects and dependence between years, and many more of them."""
    model = fit(fulda())
    slow = replace(
        model.slow,
        year_share=np.array([0.2, 0.3, 0.2, 0.2, 0.0, 0.0]),
        year_lag=np.array([0.3, 0.4, 0.0, 0.0, 0.0, 0.0]),
        month_lag=np.full(6, 0.2),
    )
    rain = replace(model.rain, amount_sd=np.full(12, 0.25), occurrence_sd=np.full(12, 0.3))
    residual = replace(model.residual, slow_share=np.full((12, 5), 0.1))
    return as_record(draw(replace(model, slow=slow, rain=rain, residual=residual), 99, 60))


@cache
def other_truth():
    """Sixty years of a process without months, chain or exponentials.

    Rain falls where a latent series is high, by a power of its height; temperatures are two autoregressions, a fast and a
    slow one, and a share of the year.
    """
    rng = np.random.default_rng(5)
    dates = np.arange("1951-01-01", "2011-01-01", dtype="datetime64[D]")
    doy = (dates - dates.astype("datetime64[Y]")).astype(float)
    season = -np.cos(2 * np.pi * (doy - 20) / 365.25)
    year = rng.normal(size=60)[dates.astype("datetime64[Y]").astype(int) + 19]
    fast, slow, damp = (_autoregression(rng, len(dates), lag) for lag in (0.6, 0.97, 0.55))
    latent = 0.9 * damp + 0.25 * slow + 0.2 * _autoregression(rng, len(dates), 0.98) - 0.55 - 0.15 * season
    rain = np.where(latent > 0, 1 + 9 * np.maximum(latent, 0) ** 1.5, 0.0)
    mean = 9 + 9 * season + 2.6 * fast + 1.6 * slow + 0.5 * year - 1.2 * season * (rain > 0)
    spread = 4.5 + 1.5 * season + 1.2 * np.tanh(fast) - 1.3 * (rain > 0) + 0.5 * rng.normal(size=len(dates))
    half = np.maximum(spread, 0.6)
    return fill(Raw(dates, mean - half, mean + half, rain), 48.0, 300, "another process")


def _autoregression(rng, count, lag):
    noise = rng.normal(size=count)
    noise[1:] *= np.sqrt(1 - lag**2)
    for index in range(1, count):
        noise[index] += lag * noise[index - 1]
    return noise


@cache
def clinging_truth(years):
    """Years of Fulda whose warmth and rain cling from year to year."""
    model = fit(fulda())
    slow = replace(model.slow, year_share=np.full(6, 0.5), year_lag=np.full(6, 0.7), month_lag=np.full(6, 0.1))
    rain = replace(model.rain, amount_sd=np.full(12, 0.35), occurrence_sd=np.full(12, 0.4))
    residual = replace(model.residual, slow_share=np.full((12, 5), 0.2))
    return as_record(draw(replace(model, slow=slow, rain=rain, residual=residual), 1, years))


@cache
def first_thirty(truth):
    """The first thirty years of a synthetic truth."""
    whole = truth()
    days = whole.dates < whole.dates[0].astype("datetime64[Y]") + 30
    columns = ("dates", "tmin_c", "tmax_c", "rain_mm", "rad_mj_m2", "vap_kpa", "wind_m_s", "eto_mm")
    return replace(whole, **{name: getattr(whole, name)[days] for name in columns})


TRUTHS = {"own": own_truth, "other": other_truth}
