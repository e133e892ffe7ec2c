"""The weather of a holding: its own file in any known format, its own twelve normals, or the nearest published normals."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from yardland.errors import InputFaults
from yardland.holding.model import Holding, Place
from yardland.weather.checks import Filled, check_record, fill_gaps, smooth_note
from yardland.weather.fill import Raw, fill
from yardland.weather.find import weather_file
from yardland.weather.formats.open import take
from yardland.weather.formats.rain_days import NOTE as RAIN_NOTE
from yardland.weather.formats.rain_days import with_rain
from yardland.weather.formats.recognise import PLAIN, recognise
from yardland.weather.formats.station import check_station
from yardland.weather.formats.taken import RECORD, TYPICAL, Station, Taken
from yardland.weather.normals import Normals, nearest
from yardland.weather.own_normals import read_normals
from yardland.weather.parse import Parsed, parse_daily
from yardland.weather.sheet import DRAWN_MARK, Faults, read_text, sheet_of
from yardland.weather.types import F64, INVENTED_YEARS, Record
from yardland.weather.typical import typical_record

REQUIRED = ("date", "tmin_c", "tmax_c", "rain_mm")
NORMALS_FILE = "normals.csv"
LONGEST_REMARK_LINES, LONGEST_REMARK = 3, 200
INVENTED, SMOOTH = "normals", "normals as a year"


def load_weather(holding: Holding, seed: int = 0) -> Record:
    """Daily weather for a holding: its file weather.*, else normals.csv, else the nearest shipped published normals.

    Args:
        holding: its folder and place are read.
        seed: of the days invented from normals; a daily record takes none.

    Returns:
        A complete record; `notes` and `estimated` say what was filled, worked out or borrowed.

    Raises:
        InputFaults: with everything that is wrong in the file, or several files named weather.*.
    """
    place = holding.place
    path = weather_file(holding.folder)
    own = holding.folder / NORMALS_FILE
    if path is not None:
        return read_record(path, place, own if own.exists() else None, seed)
    if own.exists():
        words = f"Weather from the twelve normals of {NORMALS_FILE}."
        return replace(typical_record(read_normals(own, place), seed, notes=(words,)), kind=INVENTED)
    normals, note = nearest(place.latitude_deg, place.longitude_deg, place.altitude_m)
    return replace(typical_record(normals, seed, notes=(note,)), kind=INVENTED)


def read_record(path: Path, place: Place, normals: Path | None = None, seed: int = 0) -> Record:
    """A weather file as a complete record of `place`; its format is recognised by its first lines.

    Args:
        path: a plain daily sheet, EPW, TMY3, TMY2, GHCN-Daily or NASA POWER.
        place: of the holding.
        normals: normals.csv, which gives rain to a file without any.
        seed: of rain laid in from normals.

    Raises:
        InputFaults: unreadable file, unknown units, bad dates and numbers, values that cannot be, days out of order,
            doubled or missing for more than five days, less than a year, no rain, another station or hemisphere.
    """
    faults = Faults(path.name)
    text = read_text(path, faults)
    taken = None if text is None else _take(text, faults)
    if taken is None:
        raise InputFaults(faults.all())
    notes = check_station(taken.station, place, faults)
    parsed = taken.parsed
    if "rain_mm" not in parsed.values:
        parsed, said = _rain(parsed, place, normals, seed, faults)
        notes += said
    check_record(parsed, place.latitude_deg, faults)
    if faults:
        raise InputFaults(faults.all())
    filled = fill_gaps(parsed, faults)
    if faults:
        raise InputFaults(faults.all())
    return _record(path, place, replace(taken, parsed=parsed), filled, notes)


def _take(text: str, faults: Faults) -> Taken | None:
    form = recognise(text)
    if form != PLAIN:
        taken = take(text, form, faults)
        return None if taken is None else replace(taken, notes=(f"Format: {taken.form}.", *taken.notes))
    sheet = sheet_of(text, faults)
    parsed = parse_daily(sheet, faults, REQUIRED) if sheet else None
    if parsed is None:
        return None
    remarks = sheet.remarks[:LONGEST_REMARK_LINES] if sheet else ()
    said = tuple(f"The file says of itself: {remark[:LONGEST_REMARK]}" for remark in remarks if remark)
    kind = INVENTED_YEARS if remarks and remarks[0].startswith(DRAWN_MARK) else RECORD
    return Taken(parsed, PLAIN, kind, Station(), (*said, *parsed.notes, *_unit_notes(parsed)))


def _rain(parsed: Parsed, place: Place, normals: Path | None, seed: int, faults: Faults) -> tuple[Parsed, list[str]]:
    """The days with rain from normals.csv; without it a fault, and rain that nobody sees."""
    found: Normals | None = None
    if normals is None:
        faults.add(
            "rain",
            "whole file",
            "no rain that can be used",
            "rain for each day",
            f"Put {NORMALS_FILE} with the twelve months' rain (rain_mm, rain_days) beside the file: its rain days are laid in.",
        )
    else:
        found = read_normals(normals, place)
    if found is None or not len(parsed.dates):
        nought = np.zeros(len(parsed.dates))
        return replace(
            parsed,
            values={**parsed.values, "rain_mm": nought},
            columns={**parsed.columns, "rain_mm": parsed.columns["tmin_c"]},
        ), []
    return with_rain(parsed, found, seed), [RAIN_NOTE]


def _record(path: Path, place: Place, taken: Taken, filled: Filled, notes: list[str]) -> Record:
    dates, values = filled.dates, filled.values
    if taken.kind == TYPICAL:
        dates, values = _twice(dates, values)
    smooth = smooth_note(taken.parsed)
    told = (*taken.notes, *notes, *smooth, *filled.notes)
    raw = Raw(dates=dates, **_columns(values), wind_height_m=_wind_height_m(taken.parsed), notes=told)
    record = fill(raw, place.latitude_deg, place.altitude_m, path.name)
    kind = SMOOTH if smooth and taken.kind == RECORD else taken.kind
    source = path.name if taken.kind == RECORD else f"{path.name} ({taken.kind})"
    return replace(record, notes=(*told, *_estimate_notes(record)), kind=kind, gaps=filled.gaps, source=source)


def _twice(
    dates: np.typing.NDArray[np.datetime64], values: dict[str, F64]
) -> tuple[np.typing.NDArray[np.datetime64], dict[str, F64]]:
    """A typical year behind itself, so that a larder year may start in any month."""
    after = dates[-1] + 1 + np.arange(len(dates))
    return np.concatenate([dates, after]), {name: np.concatenate([column, column]) for name, column in values.items()}


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
