"""Names and numbers as a reader wants them: "root_cellar" is written root cellar, 1234.5 kg is written 1,230 kg."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from datetime import date
from functools import cache

from yardland.ledger.months import MONTH_NAMES
from yardland.report.palette import rows


def plain(key: str) -> str:
    """A key as words."""
    return key.replace("_", " ").strip()


def slug(name: str) -> str:
    """A name as an id of a page: letters, figures, points and hyphens only."""
    return re.sub(r"[^A-Za-z0-9_.-]+", "-", name)


def without_brackets(name: str) -> str:
    """A name without what stands in brackets: "broad (field) bean" is broad bean."""
    return re.sub(r" ?\([^)]*\)", "", name)


def title(key: str) -> str:
    """A key as words that start a line."""
    words = plain(key)
    return words[:1].upper() + words[1:]


@cache
def _nutrients() -> dict[str, tuple[str, str]]:
    return {row["key"]: (row["name"], row["unit"]) for row in rows("nutrients.csv")}


def nutrient(key: str) -> str:
    """Name of a nutrient ("iron_mg" -> "Iron")."""
    return _nutrients().get(key, (title(key.rsplit("_", 1)[0]), ""))[0]


def nutrient_unit(key: str) -> str:
    """Unit of a nutrient ("iron_mg" -> "mg")."""
    return _nutrients().get(key, ("", key.rsplit("_", 1)[-1]))[1]


def nutrient_order(keys: Iterable[str]) -> list[str]:
    """Nutrients in the order of a table: energy, protein, minerals, vitamins; unknown ones last."""
    order = list(_nutrients())
    return sorted(keys, key=lambda key: (order.index(key) if key in order else len(order), key))


def figure(value: float, digits: int = 3) -> str:
    """A number to `digits` significant figures, with thousands set off and no exponent."""
    if value == 0:
        return "0"
    decimals = digits - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, decimals)
    shown = f"{rounded:,.{max(0, decimals)}f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def of_hours(asked: float, there: float) -> str:
    """Hours asked of those there: whole ones, of under ten two digits, so that a tiny holding's are not told as none."""
    shown = (f"{hours:.0f}" if hours >= 9.95 else figure(hours, 2) for hours in (asked, there))
    return " of ".join(shown) + " hours"


FACTOR_WORDS = {
    "water": "water",
    "nitrogen": "nitrogen",
    "temperature": "temperature",
    "light": "light",
    "season": "length of season",
    "frost": "frost",
    "heat": "heat at flowering",
    "standing": "standing ripe",
}
"""What can hold a yield down, as a reader knows it."""
IRREGULAR = {"goose": "geese", "calf": "calves", "sheep": "sheep", "ox": "oxen", "muscovy": "muscovies"}
HEAD_ENDS = re.compile(r" (?:of|for|in|on|to|with|from) |, ")
"""Where the noun that is counted ends: "kid of dairy goat" has two kids."""


def counted(number: float, name: str) -> str:
    """A number with its noun, in the plural unless it is one: 18 laying hens, 4 kids of dairy goat."""
    if round(number) == 1:
        return f"1 {name}"
    found = HEAD_ENDS.search(name)
    head, rest = (name[: found.start()], name[found.start() :]) if found else (name, "")
    first, space, noun = head.rpartition(" ")
    many = IRREGULAR.get(noun.lower(), f"{noun[:-1]}ies" if noun.endswith("ony") else f"{noun}s")
    return f"{figure(number)} {first}{space}{many}{rest}"


def cell(value: float) -> str:
    """A number as it stands in a table of months: a dash where there is none."""
    return "–" if abs(value) < 5e-4 else figure(value)  # noqa: RUF001 (a dash for none)


def coins(value: float) -> str:
    """Money in a table: whole from a hundred on, else to a tenth; a dash where there is none."""
    if abs(value) < 0.05:
        return "–"  # noqa: RUF001 (a dash for none)
    return f"{value:,.0f}" if abs(value) >= 100 else f"{value:.1f}"


def date_words(day: date) -> str:
    """A date as 5 Apr 2022."""
    return f"{day.day} {MONTH_NAMES[day.month - 1]} {day.year}"


def percent(share: float) -> str:
    """A share as whole percent."""
    return f"{100 * share:.0f} %"


def listed(items: list[str]) -> str:
    """Items as in a sentence: a, b and c."""
    if len(items) < 2:
        return "".join(items)
    return ", ".join(items[:-1]) + " and " + items[-1]


def month_runs(indices: tuple[int, ...], names: tuple[str, ...]) -> str:
    """Months as runs: (5, 6, 7) -> "Mar to May"; apart ones are listed."""
    runs: list[list[int]] = []
    for index in sorted(indices):
        if runs and index == runs[-1][-1] + 1:
            runs[-1].append(index)
        else:
            runs.append([index])
    return listed([names[run[0]] if len(run) == 1 else f"{names[run[0]]} to {names[run[-1]]}" for run in runs])
