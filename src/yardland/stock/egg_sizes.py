"""Hens' eggs by the sizes in which they are sold."""

from __future__ import annotations

import math

from yardland.reference import Tables

US = "US"
"""The region whose sizes are its own; everywhere else the European ones are told."""


def size_shares(tables: Tables, region: str, mean_g: float) -> dict[str, float]:
    """Size -> share of a flock's eggs, smallest first; shares add up to 1.

    Weights lie about their mean as a normal distribution with the spread of `keeping.egg_weight_spread`.

    Args:
        tables: egg_sizes, keeping.
        region: "US", or any other for the European sizes.
        mean_g: mean weight of an egg in its shell, g, over 0.
    """
    law = US if region == US else "EU"
    rows = sorted(
        (tables.row("egg_sizes", key) for key in tables.where("egg_sizes", law=law)), key=lambda row: row.need("from_g")
    )
    spread_g = mean_g * tables.row("keeping", "egg_weight_spread").need("number")
    under = [0.0, *(below(row.need("from_g"), mean_g, spread_g) for row in rows[1:]), 1.0]
    return {row.text("name"): high - low for row, low, high in zip(rows, under, under[1:], strict=False)}


def below(limit_g: float, mean_g: float, spread_g: float) -> float:
    """Share of a normal distribution under a limit."""
    return 0.5 * (1.0 + math.erf((limit_g - mean_g) / (spread_g * math.sqrt(2.0))))
