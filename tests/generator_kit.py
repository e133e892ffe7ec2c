"""The records that the weather generator is tested on."""

from __future__ import annotations

import csv
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np

from yardland.holding.model import MonthDay, Place
from yardland.weather.fill import Raw, fill
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
