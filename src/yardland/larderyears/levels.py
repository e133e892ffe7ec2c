"""What the handbooks do not know of this ground: yields drawn between their low and high, one level for a whole chain.

Drawn are crops, fruit, grass and hay. What animals give is not: the tables tell no low and high of most of it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.larderyears.prepare import Prepared
from yardland.larderyears.sides import Brought
from yardland.odds.levels import level_factor, level_uniform
from yardland.reference import Tables

F64 = npt.NDArray[np.float64]
SURE = 0.3
"""The tables are good to perhaps 30 %: a low or high farther off is that of another place or another year (own choice)."""
GRASS = "swards"


@dataclass(frozen=True)
class Factors:
    """good [good], sward [sward] : what to multiply by what is gathered, and by what may be grazed."""

    good: F64
    sward: F64


def level_factors_of(shared: Prepared, seed: int, draw: int) -> Factors:
    """The factors of one draw, keyed by the names of the figures."""
    tables, frame = shared.ground.tables, shared.frame
    spans = yield_spans(tables)
    grass = level_factor(1.0 - SURE, 1.0, 1.0 + SURE, level_uniform(seed, draw, GRASS))
    goods = np.array([factor_of(spans, good, seed, draw, grass) for good in frame.goods])
    return Factors(goods, np.full(len(frame.swards), grass))


def yield_spans(tables: Tables) -> dict[str, tuple[str, float, float]]:
    """Good -> the figure it hangs on, and its low and high as shares of the middle, within what is sure."""
    found: dict[str, tuple[str, float, float]] = {}
    for table, low, middle, high in (
        ("crops", "typical_yield_low_t_ha", "typical_yield_mid_t_ha", "typical_yield_high_t_ha"),
        ("trees", "mature_yield_low_kg", "mature_yield_mid_kg", "mature_yield_high_kg"),
    ):
        for key in tables.keys(table):
            row = tables.row(table, key)
            if (row[middle] or 0.0) <= 0.0 or not row.text("good"):
                continue
            share = [(row[name] or row.need(middle)) / row.need(middle) for name in (low, high)]
            span = (f"{table}.{key}", max(share[0], 1.0 - SURE), min(share[1], 1.0 + SURE))
            found.setdefault(row.text("good"), span)
            if table == "crops" and row.text("straw_good"):
                found.setdefault(row.text("straw_good"), span)
    return found


def factor_of(spans: dict[str, tuple[str, float, float]], good: str, seed: int, draw: int, grass: float) -> float:
    """Factor of one good: of its crop, of grass for hay, 1 for what the tables tell no span of."""
    if good.startswith(("hay_", "silage_", "haylage_")):
        return grass
    if good not in spans:
        return 1.0
    figure, low, high = spans[good]
    return level_factor(min(low, 1.0), 1.0, max(high, 1.0), level_uniform(seed, draw, figure))


def with_levels(years: Brought, factors: Factors) -> Brought:
    """The years with other yields; what herds give stays."""
    gathered = (years.arriving_kg - years.given_kg) * factors.good[None, :, None]
    return replace(
        years,
        arriving_kg=gathered + years.given_kg,
        growth_kg_dm=years.growth_kg_dm * factors.sward[None, :, None],
    )
