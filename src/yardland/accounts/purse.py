"""Money of the year: prices x what crosses the fence."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from yardland.accounts.keeping_year import Preserving, preserving_costs
from yardland.holding.model import Holding
from yardland.larder.plan import Plan
from yardland.ledger.months import Month
from yardland.reference import Tables
from yardland.works.money import Passing, heads_by_month, money, sire_costs

F64 = npt.NDArray[np.float64]


def money_by_item(
    holding: Holding,
    tables: Tables,
    plan: Plan,
    happenings: Iterable[Passing],
    months: tuple[Month, ...],
    *,
    compost_kg: npt.ArrayLike = 0.0,
    took: Preserving | None = None,
) -> dict[str, F64]:
    """Item -> money by month, income positive, in the plan's own prices (the tables' where it gives none).

    compost_kg : bought by month, [12]; priced by the load (prices.input.compost_delivered).
    took : what putting by took of salt, sugar, vinegar and jars.
    """
    events = tuple(happenings)
    return money(
        months,
        holding.trades,
        tables,
        bought_kg=plan.bought_kg,
        sold_kg=plan.sold_kg,
        bought_heads=heads_by_month(events, "bought", months),
        sold_heads=heads_by_month(events, "sold", months),
        costs=sire_costs(events, months)
        | compost_costs(tables, compost_kg)
        | ({} if took is None else preserving_costs(holding, tables, took, months)),
    ).by_item


def compost_costs(tables: Tables, compost_kg: npt.ArrayLike) -> dict[str, F64]:
    """Money for bought compost by month, [12]; nothing where none is bought."""
    kg = np.asarray(compost_kg, dtype=np.float64)
    if not kg.any():
        return {}
    price_m3 = tables.row("prices", "input.compost_delivered").need("eur_mid")
    return {"buy compost": kg / tables.row("manuring", "bought_compost_kg_m3").need("value") * price_m3}
