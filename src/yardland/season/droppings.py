"""Droppings that fall out of doors: on which plot, in which month, and what of their nitrogen grass can use.

docs/growth-manure.md prints the equations and the sources.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.holding.model import Holding
from yardland.ledger.production import HerdNeed
from yardland.ledger.units import M2_PER_HA
from yardland.reference import Row, Tables

F64 = npt.NDArray[np.float64]
GRASS_GROWS_C = 6.0
"""Herds on a round are out in months whose mean is over this (common practice; the same as for their moves)."""


def _zeros() -> F64:
    return np.zeros(12)


@dataclass(frozen=True)
class Droppings:
    """What falls on a plot from animals on it, by month of the larder year, [12] each, kg/ha.

    n_kg_ha : all nitrogen ; mineral_n_kg_ha : of urine, after ammonia has gone ; fresh_n_kg_ha : of dung, free within a
    year ; slow_n_kg_ha : the rest of the dung's ; p_kg_ha, k_kg_ha : elements
    """

    plot: str
    n_kg_ha: F64 = field(default_factory=_zeros)
    mineral_n_kg_ha: F64 = field(default_factory=_zeros)
    fresh_n_kg_ha: F64 = field(default_factory=_zeros)
    slow_n_kg_ha: F64 = field(default_factory=_zeros)
    p_kg_ha: F64 = field(default_factory=_zeros)
    k_kg_ha: F64 = field(default_factory=_zeros)

    @property
    def ammonia_n_kg_ha(self) -> F64:
        """Nitrogen that leaves urine as ammonia."""
        return self.n_kg_ha - self.mineral_n_kg_ha - self.fresh_n_kg_ha - self.slow_n_kg_ha


def droppings(
    holding: Holding, tables: Tables, needs: Iterable[HerdNeed], weather: Mapping[str, F64]
) -> tuple[Droppings, ...]:
    """Droppings out of doors on every plot that animals walk, in the order of the plan.

    A group on a round drops on the plots of its round, by their area; any other on its home. What a year brings out of
    doors is what does not fall under a roof (`housed_share`); a group on a round is out first in months that grow grass.

    Args:
        holding: groups, rounds, plots.
        tables: manures, manuring, husbandry, stock.
        needs: droppings and their nitrogen by class and month.
        weather: tmin_c and tmax_c by month, [12] each.

    Raises:
        TableError: a species without a row in table manures.
    """
    warm = (np.asarray(weather["tmin_c"]) + np.asarray(weather["tmax_c"])) / 2 > GRASS_GROWS_C
    ammonia = tables.row("manuring", "urine_ammonia_share").need("value")
    found: dict[str, Droppings] = {}
    for need in needs:
        if not np.any(need.manure_n_kg > 0.0):
            continue
        row, stock = manure_row(tables, need.klass), tables.row("stock", need.klass)
        housed = housed_share(holding, tables, need.group)
        outside = out_of_doors(need.manure_n_kg, housed, warm if on_round(holding, need.group) else np.ones(12, bool))
        plots = walked(holding, need.group)
        area_ha = sum(holding.plot[plot].area_m2 for plot in plots) / M2_PER_HA
        n = outside / area_ha
        urine, dung = n * row.need("ready_excreted_share"), n * (1.0 - row.need("ready_excreted_share"))
        per_n = {element: stock.need(f"manure_{element}_g_d") / stock.need("manure_n_g_d") for element in ("p", "k")}
        for plot in plots:
            into = found.setdefault(plot, Droppings(plot))
            into.n_kg_ha[:] += n
            into.mineral_n_kg_ha[:] += urine * (1.0 - ammonia)
            into.fresh_n_kg_ha[:] += dung * row.need("released_share")
            into.slow_n_kg_ha[:] += dung * (1.0 - row.need("released_share"))
            into.p_kg_ha[:] += n * per_n["p"]
            into.k_kg_ha[:] += n * per_n["k"]
    return tuple(found[plot] for plot in holding.plot if plot in found)


def out_of_doors(manure_n_kg: F64, housed_share: float, out: npt.NDArray[np.bool_]) -> F64:
    """The part of each month's droppings that falls outside, [12]: (1 - housed_share) of the year's, first in `out` months."""
    outside = (1.0 - housed_share) * float(manure_n_kg.sum())
    first, rest = float(manure_n_kg[out].sum()), float(manure_n_kg[~out].sum())
    share_first = min(1.0, outside / first) if first > 0 else 0.0
    share_rest = (outside - share_first * first) / rest if rest > 0 else 0.0
    return np.where(out, manure_n_kg * share_first, manure_n_kg * max(0.0, share_rest))


def on_round(holding: Holding, group: str) -> bool:
    """Whether a group goes through plots on a round."""
    return any(group in plan.order for plan in holding.round.values())


def walked(holding: Holding, group: str) -> tuple[str, ...]:
    """Plots on which a group drops: those of its rounds, else its home."""
    plots = [plot for plan in holding.round.values() if group in plan.order for plot in plan.plots]
    return tuple(dict.fromkeys(plots)) or (holding.group[group].home,)


def housed_key(*, walks: bool) -> str:
    """Row of the husbandry table with the share of the droppings that fall under a roof."""
    return "housed_share_grazing" if walks else "housed_share_yard"


def housed_share(holding: Holding, tables: Tables, group: str) -> float:
    """Share of a group's yearly droppings that fall under a roof, 0-1."""
    return tables.row("husbandry", housed_key(walks=on_round(holding, group))).need("value")


def manure_row(tables: Tables, klass: str) -> Row:
    """Row of table manures of a class of stock.

    Raises:
        TableError: its species has none.
    """
    return tables.row("manures", tables.row("stock", klass).text("species"))
