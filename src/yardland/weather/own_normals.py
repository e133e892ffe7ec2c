"""The user's own twelve normals (normals.csv): month, tmin_c, tmax_c, rain_mm and what else is known."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from yardland.errors import InputFaults
from yardland.holding.model import Place
from yardland.weather.checks import in_range
from yardland.weather.columns import Column, match_columns, normal_name
from yardland.weather.normals import OPTIONAL, Normals
from yardland.weather.parse import column_values, parse_number, split_units_row
from yardland.weather.sheet import Faults, Sheet, read_sheet
from yardland.weather.types import F64
from yardland.weather.years import MONTH_STARTS

MONTH_WORDS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
RAIN_DAY_NAMES = ("rain_days", "rain_day", "wet_days", "raindays", "precipitation_days", "days_of_rain")
MONTH_LENGTHS = np.diff(np.append(MONTH_STARTS, 365))
LONGEST_FEBRUARY = 29


def read_normals(path: Path, place: Place) -> Normals:
    """Twelve rows, one a month, in any order.

    Columns: month (1-12 or Jan-Dec), tmin_c, tmax_c, rain_mm; known as well, where all twelve are given: rain_days (of
    1 mm or more), sun_h, rad_mj_m2, rh_mean_pct, wind_m_s. Units and separators as in a daily record.

    Raises:
        InputFaults: with everything that is wrong in the file.
    """
    faults = Faults(path.name)
    sheet = read_sheet(path, faults)
    if sheet is None:
        raise InputFaults(faults.all())
    values = _monthly_values(sheet, faults)
    if not faults:
        _check(values, faults)
    if faults:
        raise InputFaults(faults.all())
    return Normals(
        name=place.name,
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        altitude_m=place.altitude_m,
        tmin_c=values["tmin_c"],
        tmax_c=values["tmax_c"],
        rain_mm=values["rain_mm"],
        rain_days=values.get("rain_days"),
        sun_h=values.get("sun_h"),
        rad_mj_m2=values.get("rad_mj_m2"),
        rh_mean_pct=values.get("rh_mean_pct"),
        wind_m_s=values.get("wind_m_s"),
        source=path.name,
        standing="from memory",
    )


def _monthly_values(sheet: Sheet, faults: Faults) -> dict[str, F64]:
    units, rows = split_units_row(sheet)
    columns = match_columns(sheet, units, faults, ("tmin_c", "tmax_c", "rain_mm"))
    headings = [normal_name(heading) for heading in sheet.header]
    if "month" not in headings:
        found = f"columns {', '.join(sheet.header)}"
        faults.add("header", "header", found, "a column month", "Add month, 1 to 12.")
        return {}
    order = _months(rows, headings.index("month"), faults)
    for index, heading in enumerate(headings):
        if heading in RAIN_DAY_NAMES:
            columns.append(Column("rain_days", index, sheet.header[index], unit_said=True))
    kept = [row for row, month in zip(rows, order, strict=True) if month is not None]
    places = np.array([month for month in order if month is not None], dtype=np.int64)
    if faults:
        return {}
    result = {}
    for column in columns:
        by_row = column_values(kept, column, sheet.separator, faults)
        by_month = np.full(12, np.nan)
        by_month[places] = by_row
        _complete(column, by_month, faults)
        in_range(by_month, column.quantity, [f"month {m}, column {column.heading}" for m in range(1, 13)], faults)
        if np.isfinite(by_month).all():
            result[column.quantity] = by_month
    return result


def _months(rows: tuple[tuple[int, tuple[str, ...]], ...], index: int, faults: Faults) -> list[int | None]:
    """The month (0-11) of each row."""
    order: list[int | None] = []
    for line, cells in rows:
        month = _month(cells[index])
        where = f"line {line}, column month"
        if month is None:
            faults.add("month", where, cells[index] or "nothing", "1 to 12, or Jan to Dec", "Name the month.")
        elif month in order:
            faults.add("month", where, f"month {month + 1} again", "each month once", "Remove one of the rows.")
            month = None
        order.append(month)
    missing = [str(month + 1) for month in range(12) if month not in order]
    if missing:
        found = f"no row for month {', '.join(missing)}"
        faults.add("month", "whole file", found, "twelve rows, one a month", "Add the missing months.")
    return order


def _month(text: str) -> int | None:
    word = text.strip().lower()
    if word[:3] in MONTH_WORDS:
        return MONTH_WORDS.index(word[:3])
    number = parse_number(word, ",")
    return int(number) - 1 if number is not None and number in range(1, 13) else None


def _complete(column: Column, by_month: F64, faults: Faults) -> None:
    lacking = [str(month + 1) for month in range(12) if np.isnan(by_month[month])]
    if not lacking or (len(lacking) == 12 and column.quantity in OPTIONAL):
        return
    found = f"nothing for month {', '.join(lacking)}"
    remedy = "Fill the cells, or leave an optional column out altogether."
    faults.add("missing", f"column {column.heading}", found, "twelve values", remedy)


def _check(values: dict[str, F64], faults: Faults) -> None:
    for month in np.flatnonzero(values["tmin_c"] >= values["tmax_c"]):
        found = f"tmin_c {values['tmin_c'][month]:g}, tmax_c {values['tmax_c'][month]:g}"
        faults.add("swapped", f"month {month + 1}", found, "tmin_c under tmax_c", "Swap the two values.")
    days = values.get("rain_days")
    if days is None:
        return
    longest = np.where(np.arange(12) == 1, LONGEST_FEBRUARY, MONTH_LENGTHS)
    for month in np.flatnonzero((days > longest) | (days > values["rain_mm"] + 0.5)):
        found = f"{days[month]:g} rain days with {values['rain_mm'][month]:g} mm"
        expected = "no more rain days than days, each with 1 mm or more"
        remedy = "Correct rain_days (days with 1 mm or more), or leave the column out."
        faults.add("rain days", f"month {month + 1}", found, expected, remedy)
