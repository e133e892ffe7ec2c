"""What each column of a weather sheet holds and in which unit: by its name, a bracketed unit, or a row of units.

Names and units stand in data/columns.csv and data/units.csv. A unit that is not said is the metric one of the table;
degrees Fahrenheit and inches are taken only when the name or the units row says so.
"""

from __future__ import annotations

import csv
import difflib
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from yardland.weather.sheet import Faults, Sheet

_BRACKET = re.compile(r"[(\[]([^)\]]*)[)\]]")


@dataclass(frozen=True)
class Column:
    """Where a quantity stands and how it becomes SI: value x factor + offset. `unit_said` False: the default was taken."""

    quantity: str
    index: int
    heading: str
    factor: float = 1.0
    offset: float = 0.0
    unit_said: bool = False
    height_m: float | None = None


def match_columns(sheet: Sheet, units: tuple[str, ...] | None, faults: Faults, needed: tuple[str, ...]) -> list[Column]:
    """The columns that the sheet's header names; unknown ones are left out, two for one quantity are a fault.

    Args:
        sheet: header and rows.
        units: the cells of a units row, or None.
        faults: takes what is wrong.
        needed: quantities that must be there.
    """
    found: dict[str, Column] = {}
    refused = set()
    for index, heading in enumerate(sheet.header):
        column = _column(index, heading, units[index] if units else "", faults)
        if column is None:
            refused.add(names().get(split_heading(heading)[0]))
        elif column.quantity in found:
            where = f"header, columns {found[column.quantity].heading} and {heading}"
            faults.add("header", where, "two columns for one quantity", f"one {column.quantity}", "Remove one of them.")
        else:
            found[column.quantity] = column
    for quantity in needed:
        if quantity not in found and quantity not in refused:
            _missing(quantity, sheet.header, faults)
    return list(found.values())


def normal_name(heading: str) -> str:
    """Lower case, words joined by underscores, units' signs spelt out."""
    text = heading.strip().lower().replace("°", "deg").replace("²", "2").replace("%", " pct ").replace("⁻", "-")
    return re.sub(r"[^a-z0-9]+", "_", text).strip("_")


def split_heading(heading: str) -> tuple[str, str, float | None]:
    """Name, unit ("" if not said) and height in metres (None if not said) of a heading like "wind 10 m (km/h)"."""
    name = normal_name(_BRACKET.sub(" ", heading))
    height = _height(name) or _height(normal_name(" ".join(_BRACKET.findall(heading))))
    unit = unit_of(bracketed(heading))
    if name in names():
        return name, unit, height
    bare = re.sub(r"_(?:at_)?\d+_?m(?=$|_)", "", name)
    words = bare.split("_")
    for cut in range(1, len(words)):
        head, tail = "_".join(words[:cut]), "_".join(words[cut:])
        if head in names() and unit_of(tail):
            return head, unit or unit_of(tail), height
    return bare, unit, height


def bracketed(heading: str) -> str:
    """The text in the first brackets of a heading, less a height in metres; "" if there is none."""
    inner = _BRACKET.search(heading)
    return re.sub(r"(?:at )?\b\d+ ?m\b(?!m)", "", inner.group(1)).strip(" ,;") if inner else ""


def _height(name: str) -> float | None:
    found = re.search(r"(?:^|_)(?:at_)?(\d+)_?m(?=$|_)", name) or re.search(r"^(?:u|ws|wind)_?(\d+)m?$", name)
    return float(found.group(1)) if found else None


def unit_of(text: str) -> str:
    """The unit's key in data/units.csv for a spelling, or ""."""
    return _spellings().get(normal_name(text), "")


def unit_conversion(unit: str, target: str) -> tuple[float, float] | None:
    """Factor and offset from a unit to the SI unit `target` of its kind (keys of data/units.csv); None between kinds."""
    kinds = _units()
    if unit not in kinds or kinds[unit]["kind"] != kinds[target]["kind"]:
        return None
    return float(kinds[unit]["factor"]), float(kinds[unit]["offset"])


@cache
def names() -> dict[str, str]:
    """Column name -> quantity."""
    return {name: row["quantity"] for row in _table("columns.csv") for name in (*row["names"].split(), row["quantity"])}


def _column(index: int, heading: str, units_cell: str, faults: Faults) -> Column | None:
    name, unit, height = split_heading(heading)
    quantity = names().get(name)
    if quantity is None:
        return None
    default = _default_units()[quantity]
    if not default:
        return Column(quantity, index, heading)
    named, beside = unit or (default if name == quantity else ""), unit_of(units_cell)
    if _units_at_fault(heading, units_cell, (named, beside), quantity, faults):
        return None
    said = named or beside
    row = _units()[said or default]
    return Column(quantity, index, heading, float(row["factor"]), float(row["offset"]), bool(said), height)


def _units_at_fault(heading: str, units_cell: str, said: tuple[str, str], quantity: str, faults: Faults) -> bool:
    """Whether a unit is unknown, of another kind, or `said` twice (name, row of units) in two ways; notes the fault."""
    kinds, default = _units(), _default_units()[quantity]
    inner = bracketed(heading)
    for words in (inner, units_cell.strip(" -")):
        if words and not unit_of(words):
            _unknown_unit(heading, words, quantity, faults)
            return True
    for unit in filter(None, said):
        if kinds[unit]["kind"] != kinds[default]["kind"]:
            _unknown_unit(heading, unit, quantity, faults)
            return True
    if all(said) and not _same(*said):
        expected = "the same unit in the column's name and in the row of units"
        found = f"{units_cell} in the row of units"
        faults.add("unit", f"column {heading}", found, expected, "Correct one of the two.")
        return True
    return False


def _same(one: str, other: str) -> bool:
    """Whether two units of a kind convert alike."""
    rows = [_units()[unit] for unit in (one, other)]
    return len({(float(row["factor"]), float(row["offset"])) for row in rows}) == 1


def _unknown_unit(heading: str, unit: str, quantity: str, faults: Faults) -> None:
    kind = _units()[_default_units()[quantity]]["kind"]
    known = ", ".join(key for key, row in _units().items() if row["kind"] == kind)
    faults.add("unit", f"column {heading}", f"unit {unit!r}", f"one of {known}", "Say the unit in the column's name.")


def _missing(quantity: str, header: tuple[str, ...], faults: Faults) -> None:
    own = [name for name, target in names().items() if target == quantity]
    near = [
        heading
        for heading in header
        if difflib.get_close_matches(split_heading(heading)[0], own, n=1, cutoff=0.7)
        and names().get(split_heading(heading)[0]) is None
    ]
    hint = f" Did you mean {near[0]!r} for it?" if near else ""
    found = f"columns {', '.join(header)}"
    faults.add("header", "header", found, f"a column {quantity}", f"Add it, or rename yours to {quantity}.{hint}")


@cache
def _units() -> dict[str, dict[str, str]]:
    return {row["unit"]: row for row in _table("units.csv")}


@cache
def _spellings() -> dict[str, str]:
    return {word: row["unit"] for row in _table("units.csv") for word in (*row["spellings"].split(), row["unit"])}


@cache
def _default_units() -> dict[str, str]:
    return {row["quantity"]: row["unit"] for row in _table("columns.csv")}


@cache
def _table(name: str) -> tuple[dict[str, str], ...]:
    text = (files("yardland.weather") / "data" / name).read_text("utf-8")
    return tuple(csv.DictReader(text.splitlines()))
