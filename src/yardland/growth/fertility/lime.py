"""Acidity: how fast a soil sours, and how much ground limestone brings it to a pH. pH in water; mineral soils.

Table lime_chart by soil (a garden chart), read in straight lines between its rows; above pH 6 the last row's slope goes on.
docs/growth-phosphorus-potassium-lime.md.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from yardland.ledger.units import M2_PER_HA
from yardland.reference.tables import Tables

CHART_PH = 6.5
"""pH that the chart limes to."""
KG_PER_LB = 0.45359237
M2_PER_100_FT2 = 9.290304
NEUTRAL_PH = 7.0
LOWEST_PH = 3.5
"""No mineral soil is reckoned sourer than this (soils buffered by iron; common practice)."""


class Chart(NamedTuple):
    """One soil's column: pH before liming, rising, and the limestone to pH 6.5, kg/ha, falling to nothing at 6.5."""

    ph: tuple[float, ...]
    limestone_kg_ha: tuple[float, ...]


def chart_of(tables: Tables, texture: str) -> Chart:
    """The column of the chart that a texture class is limed by.

    Raises:
        TableError: no such texture.
    """
    name = tables.row("soil_buffers", texture).text("lime_chart")
    rows = sorted(
        (row.need("ph_from"), kg_ha(row.need("limestone_lb_100ft2")))
        for row in (tables.row("lime_chart", key) for key in tables.where("lime_chart", chart=name))
    )
    return Chart((*(ph for ph, _ in rows), CHART_PH), (*(kg for _, kg in rows), 0.0))


def kg_ha(lb_100ft2: float) -> float:
    """Pounds on a hundred square feet as kilograms a hectare."""
    return lb_100ft2 * KG_PER_LB / M2_PER_100_FT2 * M2_PER_HA


def slope_kg_ha(chart: Chart, ph: float) -> float:
    """Limestone for one unit of pH at this pH, kg/ha, over 0."""
    for below, above, more, less in zip(
        chart.ph, chart.ph[1:], chart.limestone_kg_ha, chart.limestone_kg_ha[1:], strict=False
    ):
        if ph < above or above == chart.ph[-1]:
            return (more - less) / (above - below)
    raise ValueError("a chart needs two rows")


def depth_kg_ha(chart: Chart, ph: float) -> float:
    """Limestone from this pH to 6.5, kg/ha; negative above it."""
    for place, above in enumerate(chart.ph[1:]):
        if ph < above or place == len(chart.ph) - 2:
            return chart.limestone_kg_ha[place] - (ph - chart.ph[place]) * slope_kg_ha(chart, ph)
    raise ValueError("a chart needs two rows")


def limestone_kg_ha(chart: Chart, ph: float, aim_ph: float) -> float:
    """Ground limestone that brings a soil from one pH to another, kg/ha; nothing where it is there already."""
    return max(depth_kg_ha(chart, ph) - depth_kg_ha(chart, aim_ph), 0.0)


def acid_load_kg_ha(ph: float, drained_mm: float, washed_kg_mm: float, off_take_kg_ha: float) -> float:
    """Limestone that a year uses up, kg/ha: what draining water takes along, and the bases in what is carried off.

    Args:
        ph: of the soil; a unit less halves what the water takes along.
        drained_mm: water that goes through the topsoil in the year.
        washed_kg_mm: limestone that a millimetre takes along at pH 7, kg/ha.
        off_take_kg_ha: limestone for the bases in harvests.
    """
    return drained_mm * washed_kg_mm * math.exp2(ph - NEUTRAL_PH) + off_take_kg_ha


class Souring(NamedTuple):
    """What sours a soil: arguments of `acid_load_kg_ha` but the pH."""

    drained_mm: float
    washed_kg_mm: float
    off_take_kg_ha: float


def ph_by_year(chart: Chart, ph: float, souring: Souring, years: int) -> list[float]:
    """The pH after each of so many years without lime, the chart read backwards; not under 3.5."""
    course = []
    for _ in range(years):
        ph = max(ph - acid_load_kg_ha(ph, *souring) / slope_kg_ha(chart, ph), LOWEST_PH)
        course.append(ph)
    return course


def years_to_ph(course: list[float], ph: float, best_ph: float) -> float:
    """Years until a falling pH is under a given one, in straight lines between the years of its course.

    Nothing where it is under it now, infinite where it never is within the course.
    """
    if ph < best_ph:
        return 0.0
    before = ph
    for year, after in enumerate(course):
        if after < best_ph:
            return year + (before - best_ph) / (before - after)
        before = after
    return float("inf")
