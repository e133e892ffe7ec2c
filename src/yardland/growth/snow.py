"""Snow: what falls as such, lies and melts, and how cold it is beneath it, at the crown and in the soil.

Degree-day method as in Hock 2003, Journal of Hydrology 282:104-115. docs/growth-snow.md says where each figure is from
and what is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.growth.compiled import day_loops
from yardland.growth.heat import trailing_mean
from yardland.growth.io import F64
from yardland.reference.tables import Tables

AXES = 2
"""Days and lanes: what the compiled loops take."""
CROWN_DAYS = 3
"""Days over which a winter crop's cold is averaged (its kill temperatures are told for this mean)."""
SOIL_START_DAYS = 10
"""The soil starts at the mean of so many days; the year before the one that counts wipes it out."""


@dataclass(frozen=True)
class Snow:
    """Arrays [day, lane], mm of water.

    fell : of the day's rain, what came as snow ; melted : left the snow as water ; lies : on the ground at the day's end
    """

    fell_mm: F64
    melted_mm: F64
    lies_mm: F64


def winter_figure(tables: Tables, key: str) -> float:
    """A number of the winter table."""
    return tables.row("winter", key).need("number")


def snow(tables: Tables, tmean_c: F64, rain_mm: F64) -> Snow:
    """Snow on open ground, bare on the first day; fallen = melted + lying, in every lane.

    A day's rain is snow at a mean of 0 C and under, rain at 2 C and over, shared in proportion between. Each degree of
    the mean over freezing melts so many mm of what lies, that day's own fall with it.

    Args:
        tables: winter.
        tmean_c: mean temperature [day, lane].
        rain_mm: rain and snow together, as water [day, lane].
    """
    half_c, span_c = winter_figure(tables, "snow_half_c"), winter_figure(tables, "snow_range_c")
    fell = rain_mm * np.clip(0.5 + (half_c - tmean_c) / span_c, 0.0, 1.0)
    melted, lies = np.zeros_like(fell), np.zeros_like(fell)
    if not fell.any():
        return Snow(fell, melted, lies)
    can_melt = winter_figure(tables, "snow_melt_mm_c") * np.maximum(tmean_c, 0.0)
    loops = day_loops()
    if loops is not None and fell.ndim == AXES:
        loops.snow_days(fell, can_melt, melted, lies)
        return Snow(fell, melted, lies)
    on_ground = np.zeros(fell.shape[1:])
    for day in range(len(fell)):
        on_ground = on_ground + fell[day]
        melted[day] = np.minimum(on_ground, can_melt[day])
        on_ground = on_ground - melted[day]
        lies[day] = on_ground
    return Snow(fell, melted, lies)


def cold_let_through(tables: Tables, lies_mm: F64) -> F64:
    """Share of the air's temperature that is felt beneath lying snow: 1 on bare ground, halved by each `snow_crown_half_cm`.

    Args:
        tables: winter.
        lies_mm: snow as water, any shape.
    """
    depth_cm = 100.0 * lies_mm / winter_figure(tables, "snow_density")
    return np.asarray(0.5 ** (depth_cm / winter_figure(tables, "snow_crown_half_cm")))


def crown_c(tables: Tables, tmean_c: F64, lies_mm: F64) -> F64:
    """Three-day mean temperature that the growing point of a winter crop feels, C; that of the air where no snow lies."""
    return trailing_mean(tmean_c * cold_let_through(tables, lies_mm), CROWN_DAYS)


def soil_c(tables: Tables, tmean_c: F64, lies_mm: F64) -> F64:
    """Daily mean temperature of the top 25 cm of soil, C: it goes a fixed share of the way to the air each day.

    Zheng, Hunt & Running 1993, Climate Research 2:183-191 (soil at 10 cm): T += share (air - T), the share less beneath
    snow, here by `cold_let_through`. It lags the year by three days and keeps a third of a weekly swing.
    """
    share = winter_figure(tables, "soil_follow_share") * cold_let_through(tables, lies_mm)
    out = np.empty_like(tmean_c)
    now = tmean_c[:SOIL_START_DAYS].mean(axis=0)
    loops = day_loops()
    if loops is not None and tmean_c.ndim == AXES:
        loops.soil_days(tmean_c, share, now, out)
        return out
    for day in range(len(out)):
        now = now + share[day] * (tmean_c[day] - now)
        out[day] = now
    return out
