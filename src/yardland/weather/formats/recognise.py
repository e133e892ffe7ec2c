"""Which format a weather file has, by its first lines and never by its name."""

from __future__ import annotations

import re

EPW, TMY3, TMY2 = "EPW", "TMY3", "TMY2"
GHCN_FIXED, GHCN_LONG, GHCN_WIDE = "GHCN-Daily .dly", "GHCN-Daily by station", "GHCN-Daily summaries"
POWER, PLAIN = "NASA POWER", "plain sheet"
_DLY = re.compile(r"^[A-Z]{2}[A-Z0-9_-]{9}\d{4}(?:0[1-9]|1[0-2])[A-Z]{2}[A-Z0-9]{2}[ -]*\d")
_LONG = re.compile(r'^"?[A-Z]{2}[A-Z0-9_-]{9}"?,"?\d{8}"?,"?[A-Z]{2}[A-Z0-9]{2}"?,"? *-?\d')
_TMY2 = re.compile(r"^ ?\d{5} .{20,24} [A-Z]{2} +-?\d+ [NS] +\d+ +\d+ [EW] +\d+ +\d+ +-?\d+")
SAID_BY = {
    EPW: "first line LOCATION",
    TMY3: "second line Date (MM/DD/YYYY),Time (HH:MM)",
    TMY2: "first line of station, zone and degrees",
    GHCN_FIXED: "station, year, month and element at the head of each line",
    GHCN_LONG: "one station, day and element a line",
    GHCN_WIDE: "columns STATION and DATE with elements beside them",
    POWER: "header block or columns YEAR and T2M",
}


def recognise(text: str) -> str:
    """The format of a file's text: one of the names above; PLAIN when it is none of the published ones."""
    lines = [line.strip("\r") for line in text[:60_000].split("\n")]
    first = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    second = lines[1] if len(lines) > 1 else ""
    tests = (
        (EPW, first.upper().startswith("LOCATION,")),
        (TMY3, second.replace('"', "").upper().startswith("DATE (MM/DD/YYYY),TIME (HH:MM)")),
        (TMY2, bool(_TMY2.match(first))),
        (POWER, _is_power(first)),
        (GHCN_LONG, bool(_LONG.match(first)) or _names(first)[:3] == ["ID", "DATE", "ELEMENT"]),
        (GHCN_FIXED, bool(_DLY.match(first))),
        (GHCN_WIDE, _is_wide(_names(first))),
    )
    return next((form for form, found in tests if found), PLAIN)


def said(form: str) -> str:
    """The format in words, with what it was recognised by."""
    return f"{form} (by its {SAID_BY[form]})"


def _names(line: str) -> list[str]:
    return [cell.strip(' "').upper() for cell in line.split(",")]


def _is_wide(names: list[str]) -> bool:
    return {"STATION", "DATE"} <= set(names) and bool({"TMAX", "TMIN", "PRCP"} & set(names))


def _is_power(first: str) -> bool:
    names = _names(first)
    return first.startswith("-BEGIN HEADER-") or (names[0] == "YEAR" and any(name.startswith("T2M") for name in names))
