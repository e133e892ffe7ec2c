"""Daily files of NASA POWER: a block of header lines with place, units and mark of the missing, then a sheet."""

from __future__ import annotations

import re
from datetime import date, timedelta

import numpy as np

from yardland.weather.columns import unit_conversion, unit_of
from yardland.weather.formats.taken import RECORD, Station, Taken, column, number, trimmed
from yardland.weather.parse import Parsed
from yardland.weather.sheet import Faults
from yardland.weather.types import F64

PARAMETERS = {
    "T2M_MIN": ("tmin_c", "c"),
    "T2M_MAX": ("tmax_c", "c"),
    "PRECTOTCORR": ("rain_mm", "mm"),
    "ALLSKY_SFC_SW_DWN": ("rad_mj_m2", "mj_m2"),
    "T2MDEW": ("dew_c", "c"),
    "RH2M": ("rh_mean_pct", "pct"),
    "WS2M": ("wind_m_s", "m_s"),
    "WS10M": ("wind_m_s", "m_s"),
}
"""Parameter -> quantity and the unit it must be convertible to."""
HEIGHTS_M = {"WS2M": 2.0, "WS10M": 10.0}
NEEDED = ("T2M_MIN", "T2M_MAX", "PRECTOTCORR")
GRID = (
    "Means over a grid cell of some 50 km, modelled and not measured: frost hollows, coasts and hills are smoothed away, "
    "and the least temperature of a clear night is often too warm."
)
ASK_AGAIN = "Fetch the file again with its header block (units, place and mark of the missing stand there)."
_PLACE = re.compile(r"latitude\s*(-?\d+(?:\.\d+)?)\s*[,;]?\s*longitude\s*(-?\d+(?:\.\d+)?)", re.IGNORECASE)
_HEIGHT = re.compile(r"elevation.*?=\s*(-?\d+(?:\.\d+)?)\s*m", re.IGNORECASE)
_MARK = re.compile(r"missing.*:\s*(-?\d+(?:\.\d+)?)\s*$", re.IGNORECASE)
_UNIT = re.compile(r"\(([^()]*)\)\s*$")


def power(text: str, form: str, faults: Faults) -> Taken | None:
    """A daily POWER file; a unit is what its line in the header block says, never assumed."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    end = next((index for index, line in enumerate(lines) if line.startswith("-END HEADER-")), None)
    if end is None or end + 1 >= len(lines):
        found = "no header block that ends with -END HEADER-"
        faults.add("header", "header", found, "the block of header lines and rows behind it", ASK_AGAIN)
        return None
    head, names = lines[:end], [name.strip() for name in lines[end + 1].split(",")]
    kept = _kept(names, head, faults)
    if faults:
        return None
    mark = next((float(hit.group(1)) for line in head if (hit := _MARK.search(line))), -999.0)
    days, numbers, cells = _rows(lines, end + 2, names, faults)
    if faults or not days:
        if not faults:
            faults.add("empty", "whole file", "a header without rows", "a row a day", "Fetch the file again.")
        return None
    values: dict[str, F64] = {}
    for name, factor_offset in kept.items():
        raw = cells[:, names.index(name)]
        known = np.where(raw == mark, np.nan, raw)
        values[PARAMETERS[name][0]] = known * factor_offset[0] + factor_offset[1]
    columns = {PARAMETERS[name][0]: column(PARAMETERS[name][0], name, HEIGHTS_M.get(name)) for name in kept}
    parsed, notes = trimmed(
        Parsed(np.array(days, dtype="datetime64[D]"), np.array(numbers, dtype=np.int64), values, columns)
    )
    return Taken(parsed, form, RECORD, _station(head), (GRID, *notes))


def _kept(names: list[str], head: list[str], faults: Faults) -> dict[str, tuple[float, float]]:
    """Factor and offset of each parameter that is read, by the unit of its header line."""
    kept: dict[str, tuple[float, float]] = {}
    for name, (_, target) in PARAMETERS.items():
        if name not in names or (name == "WS10M" and "WS2M" in names):
            continue
        line = next((text.strip() for text in head if text.split(None, 1)[:1] == [name]), "")
        found_unit = _UNIT.search(line)
        spelt = found_unit.group(1) if found_unit else ""
        scale = unit_conversion(unit_of(spelt), target)
        if scale is None:
            found = f"unit {spelt!r}" if spelt else "no unit in the header block"
            faults.add("unit", f"column {name}", found, f"a unit that becomes {target}", ASK_AGAIN)
        else:
            kept[name] = scale
    lacking = [name for name in NEEDED if name not in names]
    if lacking:
        remedy = "Fetch the file again with these parameters."
        faults.add("header", "header", f"no column {', '.join(lacking)}", ", ".join(NEEDED), remedy)
    if "YEAR" not in names or not ({"MO", "DY"} <= set(names) or "DOY" in names) or "HR" in names:
        remedy = "Fetch the daily file."
        faults.add(
            "header", "header", f"columns {', '.join(names[:5])}", "YEAR with MO and DY, or DOY; one row a day", remedy
        )
    return kept


def _rows(lines: list[str], first: int, names: list[str], faults: Faults) -> tuple[list[date], list[int], F64]:
    days: list[date] = []
    numbers: list[int] = []
    kept: list[list[float]] = []
    for index, line in enumerate(lines[first:], first + 1):
        if not line.strip():
            continue
        cells = [number(cell) for cell in line.split(",")]
        if len(cells) != len(names):
            found = f"{len(cells)} cells"
            faults.add(
                "width", f"line {index}", found, f"{len(names)} cells", "The row is cut off: fetch the file again."
            )
            continue
        if np.isnan(cells).any():
            faults.add("number", f"line {index}", "a word among numbers", "numbers", "Fetch the file again.")
            continue
        day = _day(dict(zip(names, cells, strict=True)))
        if day is None:
            faults.add("date", f"line {index}", line[:20], "a day that exists", "Fetch the file again.")
            continue
        days.append(day)
        numbers.append(index)
        kept.append(cells)
    return days, numbers, np.array(kept)


def _day(row: dict[str, float]) -> date | None:
    try:
        if "DOY" in row:
            day = date(int(row["YEAR"]), 1, 1) + timedelta(days=int(row["DOY"]) - 1)
            return day if day.year == int(row["YEAR"]) else None
        return date(int(row["YEAR"]), int(row["MO"]), int(row["DY"]))
    except (ValueError, OverflowError):
        return None


def _station(head: list[str]) -> Station:
    place = next((found for line in head if (found := _PLACE.search(line))), None)
    height = next((found for line in head if (found := _HEIGHT.search(line))), None)
    return Station(
        "the grid cell",
        float(place.group(1)) if place else None,
        float(place.group(2)) if place else None,
        float(height.group(1)) if height else None,
    )
