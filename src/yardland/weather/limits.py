"""The limits that weather files are judged by, from data/limits.csv: each with its unit, meaning, source and standing."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


@cache
def limits() -> dict[str, float]:
    """Limit by key."""
    text = (files("yardland.weather") / "data" / "limits.csv").read_text("utf-8")
    return {row["key"]: float(row["value"]) for row in csv.DictReader(text.splitlines())}
