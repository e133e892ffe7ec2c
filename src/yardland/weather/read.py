"""The weather of a holding: its daily record, its own twelve normals, or the nearest published normals, in that order."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from yardland.errors import InputFaults
from yardland.holding.model import Holding, Place
from yardland.weather.checks import check_record, fill_gaps
from yardland.weather.fill import Raw, fill
from yardland.weather.normals import nearest
from yardland.weather.own_normals import read_normals
from yardland.weather.parse import Parsed, parse_daily
from yardland.weather.sheet import Faults, read_sheet
from yardland.weather.types import F64, Record
from yardland.weather.typical import typical_record

REQUIRED = ("date", "tmin_c", "tmax_c", "rain_mm")
RECORD_FILE = "weather.csv"
NORMALS_FILE = "normals.csv"


def load_weather(holding: Holding, seed: int = 0) -> Record:
    """Daily weather for a holding: weather.csv, else normals.csv, else the nearest shipped published normals.

    Args:
        holding: its folder and place are read.
        seed: of the days invented from normals; a daily record takes none.

    Returns:
        A complete record; `notes` and `estimated` say what was filled, worked out or borrowed.

    Raises:
        InputFaults: with everything that is wrong in the file.
    """
    place = holding.place
    if (holding.folder / RECORD_FILE).exists():
        return read_record(holding.folder / RECORD_FILE, place)
    if (holding.folder / NORMALS_FILE).exists():
        own = read_normals(holding.folder / NORMALS_FILE, place)
        return typical_record(own, seed, notes=(f"Weather from the twelve normals of {NORMALS_FILE}.",))
    normals, note = nearest(place.latitude_deg, place.longitude_deg, place.altitude_m)
    return typical_record(normals, seed, notes=(note,))


def read_record(path: Path, place: Place) -> Record:
    """A daily sheet as a complete record of `place`.

    Raises:
        InputFaults: unreadable file, unknown units, bad dates and numbers, values that cannot be, days out of order,
            doubled or missing for more than five days, less than a year.
    """
    faults = Faults(path.name)
    sheet = read_sheet(path, faults)
    parsed = parse_daily(sheet, faults, REQUIRED) if sheet else None
    if parsed is None:
        raise InputFaults(faults.all())
    check_record(parsed, place.latitude_deg, faults)
    if faults:
        raise InputFaults(faults.all())
    dates, values, notes = fill_gaps(parsed, faults)
    if faults:
        raise InputFaults(faults.all())
    raw = Raw(
        dates=dates, **_columns(values), wind_height_m=_wind_height_m(parsed), notes=(*notes, *_unit_notes(parsed))
    )
    record = fill(raw, place.latitude_deg, place.altitude_m, path.name)
    return replace(record, notes=(*record.notes, *_estimate_notes(record)))


def _columns(values: dict[str, F64]) -> dict[str, F64]:
    """The columns; one that holds no value at all counts as absent, humidity is held under 100 %."""
    kept = {name: column for name, column in values.items() if np.isfinite(column).any()}
    return {name: np.minimum(column, 100.0) if name.startswith("rh_") else column for name, column in kept.items()}


def _wind_height_m(parsed: Parsed) -> float:
    column = parsed.columns.get("wind_m_s")
    return 2.0 if column is None or column.height_m is None else column.height_m


def _unit_notes(parsed: Parsed) -> list[str]:
    notes = []
    unsaid = [column.heading for column in parsed.columns.values() if not column.unit_said]
    if unsaid:
        notes.append(f"Units not said in the file, metric taken (C, mm, MJ/m2, %, kPa, m/s): {', '.join(unsaid)}.")
    wind = parsed.columns.get("wind_m_s")
    if wind is not None and wind.height_m is None:
        notes.append("The wind's height is not said: taken as 2 m above ground.")
    return notes


def _estimate_notes(record: Record) -> list[str]:
    said = {"rad_mj_m2": "Radiation", "vap_kpa": "Vapour pressure", "wind_m_s": "Wind"}
    return [f"{said[name]} {words}." for name, words in record.estimated.items()]
