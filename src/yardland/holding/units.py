"""Quantities typed with a unit ("2.5 acre", "40 ft x 60 ft", "140 lb") into SI numbers, at the door of the holding."""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Literal

from yardland.holding.misfit import Misfit, nearest

Dimension = Literal["length", "area", "mass", "volume"]

EXAMPLES: dict[Dimension, str] = {
    "length": '"40 ft" or "12 m"',
    "area": '"0.4 ha", "2.5 acre" or "30 m x 60 m"',
    "mass": '"140 lb" or "64 kg"',
    "volume": '"900 l" or "9 m3"',
}
_NUMBER_UNIT = re.compile(r"\s*([+-]?[0-9][0-9.,]*(?:[eE][+-]?[0-9]+)?|[+-]?[.][0-9]+)\s*(.*?)\s*", re.DOTALL)
_TIMES = re.compile(r"\s*(?:[x\u00d7*]|\bby\b)\s*", re.IGNORECASE)
_THOUSANDS = re.compile(r"[+-]?[0-9]{1,3}(,[0-9]{3})+([.][0-9]+)?")


@dataclass(frozen=True, slots=True)
class Unit:
    """A row of units.csv: SI = number x `si_factor`; a refused unit has no factor and says why in `source`."""

    name: str
    dimension: str
    si_factor: float
    source: str
    standing: str


@dataclass(frozen=True, slots=True)
class Size:
    """A piece of ground as typed: its area, and its sides when it was given as a rectangle."""

    area_m2: float
    sides_m: tuple[float, float] | None = None


@lru_cache(maxsize=1)
def units() -> dict[str, Unit]:
    """Every unit of units.csv by its name and its other spellings (lower case)."""
    text = files("yardland.holding").joinpath("data/units.csv").read_text(encoding="utf-8")
    found: dict[str, Unit] = {}
    for row in csv.DictReader(text.splitlines()):
        factor = float(row["si_factor"]) if row["si_factor"] else math.nan
        unit = Unit(row["unit"], row["dimension"], factor, row["source"], row["standing"])
        for name in (row["unit"], *filter(None, row["also"].split("|"))):
            found[name] = unit
    return found


def parse_number(text: str) -> float:
    """A number as people type it, with a decimal point or a decimal comma.

    Raises:
        Misfit: no number, not finite, or a comma that may part thousands ("1,200" is 1.2 to some and 1200 to others).
    """
    stripped = text.strip()
    if _THOUSANDS.fullmatch(stripped):
        raise Misfit("a number without a thousands separator", "Leave the comma out, or write a decimal point.")
    try:
        number = float(stripped.replace(",", ".")) if stripped.count(",") <= 1 else math.nan
    except ValueError:
        number = math.nan
    if not math.isfinite(number) or "_" in stripped:
        raise Misfit("a finite number", "Write digits with at most one decimal point.")
    return number


def parse_quantity(text: str, dimension: Dimension) -> float:
    """A number with a unit of `dimension`, in SI: m, m2, kg or m3.

    Raises:
        Misfit: no number, no unit, an unknown or refused unit, or a unit of another dimension.
    """
    match = _NUMBER_UNIT.fullmatch(text)
    if match is None:
        raise Misfit(f"a number with a unit, as {EXAMPLES[dimension]}", "Write the number first, then the unit.")
    return parse_number(match[1]) * _unit(match[2], dimension).si_factor


def parse_size(text: str) -> Size:
    """The size of a piece of ground: an area ("2.5 acre") or the sides of a rectangle ("40 ft x 60 ft", "40 x 60 ft").

    Raises:
        Misfit: not a size, or not positive.
    """
    parts = _TIMES.split(text.strip())
    if len(parts) == 1:
        size = Size(parse_quantity(text, "area"))
    elif len(parts) == 2:
        size = _rectangle(parts[0], parts[1])
    else:
        raise Misfit(f"a size, as {EXAMPLES['area']}", "Give an area, or two sides.")
    if size.area_m2 <= 0:
        raise Misfit("a size above zero", "Give the ground's own size; a size has no sign.")
    return size


def _rectangle(first: str, second: str) -> Size:
    """Two sides; the first may borrow the unit of the second."""
    unit = _NUMBER_UNIT.fullmatch(second)
    if re.fullmatch(r"[+-]?[0-9.,]+", first.strip()) and unit is not None:
        first = f"{first} {unit[2]}"
    sides = (parse_quantity(first, "length"), parse_quantity(second, "length"))
    if min(sides) <= 0:
        raise Misfit("two sides above zero", "Give the ground's own sides; a side has no sign.")
    return Size(sides[0] * sides[1], sides)


def _unit(name: str, dimension: Dimension) -> Unit:
    """The unit of that name, if it measures `dimension`."""
    key = re.sub(r"\s+", " ", name.strip().lower())
    known = units()
    expected = f"a unit of {dimension}, as {EXAMPLES[dimension]}"
    if not key:
        raise Misfit(expected, "Write the unit after the number.")
    if key not in known:
        of_kind = [name for name, unit in known.items() if unit.dimension == dimension]
        raise Misfit(expected, nearest(key, of_kind) or "Use one of " + ", ".join(_names(dimension)) + ".")
    unit = known[key]
    if unit.dimension == "refused":
        raise Misfit(expected, f"Not a {unit.name}: {unit.source}.")
    if unit.dimension != dimension:
        raise Misfit(expected, f"{unit.name} measures {unit.dimension}; use one of {', '.join(_names(dimension))}.")
    return unit


def _names(dimension: Dimension) -> list[str]:
    """The chief names of the units of `dimension`."""
    return list(dict.fromkeys(unit.name for unit in units().values() if unit.dimension == dimension))
