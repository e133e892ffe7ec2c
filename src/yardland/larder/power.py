"""What a freezer loses when the power fails (docs/larder-stores.md).

A full freezer stays cold enough for about 48 hours with its door shut, a half-full one for about 24 (USDA FSIS). Between
and below, the hours go in proportion to how full it is. Thereafter it thaws: from nothing lost to all within as long again
(our rule; who looks in time may cook, bottle or freeze again what still holds ice).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from yardland.holding.model import Holding
    from yardland.reference.tables import Tables

COLD = "freezer"
"""The kind of place whose food a power cut spoils."""
HOURS_A_DAY = 24.0
MONTHS_A_YEAR = 12


def holds_h(tables: Tables, fullness: float) -> float:
    """Hours without power after which a closed freezer begins to thaw.

    Args:
        tables: storing.
        fullness: share of its room that is filled, 0-1.
    """
    half, full = (tables.row("storing", key).need("number") for key in ("thaw_half_h", "thaw_full_h"))
    return half * 2.0 * fullness if fullness <= 0.5 else half + (full - half) * (2.0 * fullness - 1.0)


def thaw_loss(tables: Tables, days: float, fullness: float) -> float:
    """Share of a freezer's food that one power cut spoils, 0-1.

    Args:
        tables: storing.
        days: length of the cut.
        fullness: share of the freezer's room that is filled, 0-1; an empty one has nothing to lose.
    """
    hours, hold = days * HOURS_A_DAY, holds_h(tables, fullness)
    if fullness <= 0.0 or hours <= 0.0:
        return 0.0
    if hold <= 0.0:
        return 1.0
    return min(max(hours / hold - 1.0, 0.0), 1.0)


def expected_thaw_loss(tables: Tables, days_a_year: float, fullness: float) -> float:
    """Share of what lies in a freezer all year that power cuts are expected to spoil in the year, 0-1.

    Cuts come at random, their lengths exponential about the mean of table storing: with mean m and hold h one cut
    spoils (m / h) (exp(-h / m) - exp(-2 h / m)) on the average, the integral of `thaw_loss` over their lengths.

    Args:
        tables: storing.
        days_a_year: days without power, added up over the year.
        fullness: share of the freezer's room that is filled, 0-1.
    """
    mean, hold = tables.row("storing", "power_cut_h").need("number"), holds_h(tables, fullness)
    if fullness <= 0.0 or mean <= 0.0 or days_a_year <= 0.0:
        return 0.0
    cuts = days_a_year * HOURS_A_DAY / mean
    one = mean / hold * (math.exp(-hold / mean) - math.exp(-2.0 * hold / mean)) if hold > 0.0 else 1.0
    return 1.0 - math.exp(-cuts * one)


def monthly_thaw_loss(holding: Holding, tables: Tables) -> float:
    """Share of what lies in the freezers that is expected to be lost to power cuts in a month; 0 without a freezer."""
    freezers = [store for store in holding.store.values() if store.kind == COLD]
    if not freezers:
        return 0.0
    full = tables.row("storing", "freezer_full").need("number")
    litres = sum(store.volume_l for store in freezers)
    yearly = sum(
        store.volume_l / litres * expected_thaw_loss(tables, store.power_cut_days_per_year, full) for store in freezers
    )
    return 1.0 - float((1.0 - min(yearly, 1.0)) ** (1.0 / MONTHS_A_YEAR))
