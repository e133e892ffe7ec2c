"""The simple estimate of soil carbon: a reference stock times factors for land use, tillage and input.

IPCC 2003 (Good Practice Guidance for Land Use), 2006 and 2019 (Guidelines, volume 4, table 5.5). The factors differ between
the editions, so each carries its own (table carbon_factors); only that of 2003 was read, the others are from memory.
"""

from __future__ import annotations

from yardland.growth.fertility.figures import fertility_figure
from yardland.reference.tables import Tables

EDITIONS = ("2003", "2006", "2019")
TROPICAL_C = 18.0
"""Yearly mean over which a climate counts as tropical (IPCC 2006, volume 4, chapter 3; from memory)."""


def regime(tmean_c: float, rain_mm: float, eto_mm: float, tables: Tables) -> str:
    """Climate as the edition of 2003 names it: temperate or tropical, dry or moist.

    Args:
        tmean_c: mean of the year.
        rain_mm: of the year.
        eto_mm: reference evapotranspiration of the year.
        tables: the reference tables.
    """
    moist = rain_mm >= fertility_figure(tables, "moist_rain_over_eto") * eto_mm
    return f"{'tropical' if tmean_c > TROPICAL_C else 'temperate'}_{'moist' if moist else 'dry'}"


def factor(tables: Tables, edition: str, kind: str, level: str, climate: str) -> float:
    """One factor.

    Args:
        tables: the reference tables.
        edition: one of EDITIONS.
        kind: "land", "tillage" or "input".
        level: land "long_term" or "set_aside"; tillage "full", "reduced" or "none"; input "low", "medium", "high" or
            "high_manure".
        climate: as the edition names it ("temperate_moist"; 2019 "cool_moist" and the like).

    Raises:
        TableError: the edition has no such factor.
    """
    return tables.row("carbon_factors", f"{edition}.{kind}.{level}.{climate}").need("factor")


def stock_t_ha(reference_t_ha: float, land: float, tillage: float, inputs: float) -> float:
    """Carbon in the upper 30 cm after twenty years, t/ha."""
    return reference_t_ha * land * tillage * inputs


def yearly_change_t_ha(before_t_ha: float, after_t_ha: float, years: float) -> float:
    """Change a year on the way from one stock to the other, t C/ha."""
    return (after_t_ha - before_t_ha) / years
