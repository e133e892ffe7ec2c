"""Which generator a holding's weather gets: fitted to its record, or to twelve normals where there is no record."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from yardland.holding.model import Holding
from yardland.weather import eto
from yardland.weather.climate import MONTH_LENGTHS
from yardland.weather.find import weather_file
from yardland.weather.generator.fit import fit
from yardland.weather.generator.model import RAIN_DAY_MM, Model
from yardland.weather.generator.normals import fit_normals
from yardland.weather.normals import Normals, nearest
from yardland.weather.own_normals import read_normals
from yardland.weather.read import NORMALS_FILE
from yardland.weather.types import F64, INVENTED_YEARS, Record

WITHOUT_YEARS = ("typical year", "normals as a year")
"""Kinds of record whose years say nothing of other years: their months stand as normals."""


@dataclass(frozen=True)
class Chosen:
    """A generator, and the normals it was fitted to; None where it was fitted to a record."""

    model: Model
    normals: Normals | None


def choose(holding: Holding, record: Record) -> Chosen:
    """The generator of a holding whose weather is `record` (as `load_weather` gave it).

    Raises:
        InputFaults: a record of under four whole years; faults of normals.csv.
    """
    normals, notes = _normals(holding, record)
    if normals is None:
        model = fit(record)
        if record.kind == INVENTED_YEARS:
            notes = ("The record was itself drawn by the generator: it knows no more than what that was fitted to.",)
    else:
        model = fit_normals(normals)
    return Chosen(replace(model, notes=(*model.notes, *notes)), normals)


def _normals(holding: Holding, record: Record) -> tuple[Normals | None, tuple[str, ...]]:
    """The twelve normals that stand for a place without a record, and what to say of them."""
    if record.kind in WITHOUT_YEARS:
        words = (
            f"The months of {record.source} stand as normals: rain of one year each, which may be far from the mean."
        )
        return months_of(record), (words,)
    place = holding.place
    if weather_file(holding.folder) is not None:
        return None, ()
    own = holding.folder / NORMALS_FILE
    if own.exists():
        return read_normals(own, place), ()
    found, note = nearest(place.latitude_deg, place.longitude_deg, place.altitude_m)
    return found, (note,)


def months_of(record: Record) -> Normals:
    """The months of a record as normals: means, rain and its days in a mean year."""
    month = record.dates.astype("datetime64[M]").astype(np.int64) % 12
    count = np.bincount(month, minlength=12)

    def mean(values: F64) -> F64:
        return np.asarray(np.bincount(month, weights=values, minlength=12) / count)

    humid = 100 * record.vap_kpa / eto.mean_saturation_kpa(record.tmin_c, record.tmax_c)
    return Normals(
        name=record.source,
        latitude_deg=record.latitude_deg,
        longitude_deg=float("nan"),
        altitude_m=record.altitude_m,
        tmin_c=mean(record.tmin_c),
        tmax_c=mean(record.tmax_c),
        rain_mm=mean(record.rain_mm) * MONTH_LENGTHS,
        rain_days=mean((record.rain_mm >= RAIN_DAY_MM).astype(np.float64)) * MONTH_LENGTHS,
        rad_mj_m2=mean(record.rad_mj_m2),
        rh_mean_pct=mean(humid),
        wind_m_s=mean(record.wind_m_s),
        source=record.source,
        standing="from memory",
    )
