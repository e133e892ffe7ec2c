"""Phosphorus and potassium: bands of the soil test, and how a yearly surplus or want moves it.

The test moves by (surplus / what moves it by one milligram a litre). Sources: table soil_bands and soil_buffers;
docs/growth-phosphorus-potassium-lime.md.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from yardland.reference.tables import Tables

NUTRIENTS = ("p", "k")
OXIDE_PER_ELEMENT = {"p": 2.2914, "k": 1.2046}
"""kg P2O5 in a kg P and kg K2O in a kg K, by atomic masses (IUPAC 2021: P 30.974, K 39.098, O 15.999)."""
LOW_INDEX = 1
"""Indices up to this are under the target of every crop and sward (AHDB RB209: target 2 for phosphorus, 2- for potassium)."""


@dataclass(frozen=True, slots=True)
class Band:
    """A band of the soil test: `name` as laboratories write it ("2-"), its whole `index`, its least and most mg/l."""

    name: str
    index: int
    from_mg_l: float
    to_mg_l: float


def bands(tables: Tables, nutrient: str) -> tuple[Band, ...]:
    """Bands of a nutrient ("p" Olsen, "k" ammonium nitrate), the lowest first."""
    rows = [tables.row("soil_bands", key) for key in tables.where("soil_bands", nutrient=nutrient)]
    return tuple(
        Band(row.text("band"), int(row.need("index")), row.need("from_mg_l"), row.need("to_mg_l")) for row in rows
    )


def whole_indices(known: tuple[Band, ...]) -> tuple[Band, ...]:
    """The bands with those of one index as one: 2- and 2+ are 2, as a plan gives it."""
    found = []
    for index in dict.fromkeys(band.index for band in known):
        held = [band for band in known if band.index == index]
        found.append(Band(str(index), index, held[0].from_mg_l, held[-1].to_mg_l))
    return tuple(found)


def band_of(known: tuple[Band, ...], mg_l: float) -> Band:
    """The band of a reading; readings are rounded to whole milligrams, as laboratories print them."""
    whole = math.floor(mg_l + 0.5)
    return next(band for band in reversed(known) if whole >= band.from_mg_l or band is known[0])


def middle_mg_l(known: tuple[Band, ...], index: int) -> float:
    """Middle of a whole index, mg/l."""
    band = next(band for band in whole_indices(known) if band.index == index)
    return (band.from_mg_l + band.to_mg_l) / 2.0


def reading_after(mg_l: float, surplus_kg_ha: float, nutrient: str, buffer_kg_ha: float, years: float) -> float:
    """Soil test after so many years, mg/l, never under nothing.

    Args:
        mg_l: now.
        surplus_kg_ha: of the element, a year; negative where more leaves than comes.
        nutrient: "p" or "k".
        buffer_kg_ha: oxide that moves the test by one milligram a litre, kg/ha.
        years: how many.
    """
    return max(mg_l + years * surplus_kg_ha * OXIDE_PER_ELEMENT[nutrient] / buffer_kg_ha, 0.0)


def years_to_next_band(
    known: tuple[Band, ...], mg_l: float, surplus_kg_ha: float, nutrient: str, buffer_kg_ha: float
) -> float:
    """Years until the reading leaves its band at this surplus or want; infinite where it never does.

    Args:
        known: the nutrient's bands.
        mg_l: the reading now.
        surplus_kg_ha: of the element, a year.
        nutrient: "p" or "k".
        buffer_kg_ha: oxide that moves the test by one milligram a litre, kg/ha.
    """
    band = band_of(known, mg_l)
    step = surplus_kg_ha * OXIDE_PER_ELEMENT[nutrient] / buffer_kg_ha
    if step > 0 and band is not known[-1]:
        return max(band.to_mg_l + 0.5 - mg_l, 0.0) / step
    if step < 0 and band is not known[0]:
        return max(mg_l - (band.from_mg_l - 0.5), 0.0) / -step
    return math.inf
