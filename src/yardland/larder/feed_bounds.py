"""Bounds of a ration beside energy and protein: lysine, calcium, phosphorus, crude fibre, ceilings of some feeds together.

What a class needs goes with the energy it needs, in its own system, so that growth, milk and cold are in it; calcium for
eggs goes with the eggs. docs/larder-feed.md prints the equations.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder.description import Ceiling, Ration
from yardland.larder.feed_law import FeedLaw
from yardland.ledger.months import Month
from yardland.ledger.production import HerdNeed, Production

if TYPE_CHECKING:
    from yardland.reference.tables import Row, Tables

F64 = npt.NDArray[np.float64]
BY_SHARE, BY_LIVE_WEIGHT = "share", "live_weight"
G_PER_KG = 1000.0
MEAT = "meat_"


def rations_for(tables: Tables, production: Production, months: tuple[Month, ...], law: FeedLaw) -> dict[str, Ration]:
    """Herd account -> bounds of its ration, for every class that eats from the larder."""
    species = {herd.klass: tables.row("stock", herd.klass).text("species") for herd in production.herds}
    slaughtered = frozenset(
        species[herd.klass]
        for herd in production.herds
        if any(good.startswith(MEAT) and np.any(kg > 0.0) for good, kg in herd.products.items())
    )
    days = np.array([month.days for month in months], dtype=np.float64)
    return {
        herd.account: Ration(
            least_kg=least_kg(tables, herd),
            fibre_least=tables.row("stock", herd.klass)["min_crude_fibre_fraction"],
            fibre_most=tables.row("stock", herd.klass)["max_crude_fibre_fraction"],
            ceilings=tuple(ceilings(tables, herd, species[herd.klass], days, law.region)),
            barred=law.barred(tables, herd.group, species[herd.klass], slaughtered),
        )
        for herd in production.herds
        if np.any(herd.energy_mj > 0.0)
    }


def least_kg(tables: Tables, herd: HerdNeed) -> dict[str, F64]:
    """Lysine, calcium and phosphorus that a class needs in each month, kg [12]; what no table knows is left out.

    lysine = crude protein x share; calcium = a x energy + b x eggs; phosphorus = c x energy. `a` and `c` are those of the
    table feed_bounds, else the day of table stock over the same day's energy.
    """
    bounds = tables.row("feed_bounds", herd.klass) if tables.has("feed_bounds", herd.klass) else None
    stock = tables.row("stock", herd.klass)
    found: dict[str, F64] = {}
    if bounds is not None and bounds["lysine_share_cp"]:
        found["lysine"] = herd.protein_kg * bounds.need("lysine_share_cp")
    for name, column, day in (("calcium", "ca_g_mj", "ca_g_d"), ("phosphorus", "p_g_mj", "p_g_d")):
        rate = density(bounds, column, stock, day)
        if rate is not None:
            found[name] = herd.energy_mj * rate / G_PER_KG
    egg = stock.text("egg_good")
    if bounds is not None and egg in herd.products and "calcium" in found:
        found["calcium"] = found["calcium"] + herd.products[egg] * (bounds["ca_egg_g_kg"] or 0.0) / G_PER_KG
    return found


def density(bounds: Row | None, column: str, stock: Row, day: str) -> float | None:
    """Grams for a megajoule of energy needed."""
    own = None if bounds is None else bounds[column]
    if own is not None:
        return own
    grams, energy = stock[day], stock["me_typical_production_mj_d"]
    return grams / energy if grams is not None and energy else None


def ceilings(tables: Tables, herd: HerdNeed, species: str, days: F64, region: str) -> list[Ceiling]:
    """Ceilings of some feeds together that the table of feed rules sets for the species."""
    found = []
    for key in tables.keys("feed_rules"):
        row = tables.row("feed_rules", key)
        how = row.text(region)
        if how not in {BY_SHARE, BY_LIVE_WEIGHT} or species not in row.text("species").split():
            continue
        feeds, number = frozenset(row.text("feeds").split()), row.need("number")
        if how == BY_SHARE:
            found.append(Ceiling(key, feeds, share=number))
        else:
            live_kg = herd.heads * tables.row("stock", herd.klass).need("adult_weight_kg")
            found.append(Ceiling(key, feeds, most_kg=number * live_kg * days))
    return found
