"""Droppings that fall out of doors: on which plot, in which month, and what of their nitrogen grass can use.

docs/growth-manure.md prints the equations and the sources.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from yardland.growth.crop_traits import FORAGE
from yardland.holding.model import Holding
from yardland.ledger.production import HerdNeed
from yardland.ledger.units import M2_PER_HA
from yardland.reference import Row, Tables
from yardland.season.evenings import Evenings

F64 = npt.NDArray[np.float64]
GRASS_GROWS_C = 6.0
"""Herds on a round are out in months whose mean is over this (common practice; the same as for their moves)."""


NOWHERE: Evenings = MappingProxyType({})
"""No group was on grass in any evening that is known."""


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
    holding: Holding,
    tables: Tables,
    needs: Iterable[HerdNeed],
    weather: Mapping[str, F64],
    evenings: Evenings = NOWHERE,
) -> tuple[Droppings, ...]:
    """Droppings out of doors on every plot that animals walk, in the order of the plan; see `falls`.

    Args:
        holding: groups, rounds, plots.
        tables: manures, manuring, husbandry, stock.
        needs: droppings and their nitrogen by class and month.
        weather: tmin_c and tmax_c by month, [12] each.
        evenings: of groups on grass (`season.evenings.grass_share`).

    Raises:
        TableError: a species without a row in table manures.
    """
    warm = grows_grass(weather)
    ammonia = tables.row("manuring", "urine_ammonia_share").need("value")
    found: dict[str, Droppings] = {}
    for need in needs:
        if not np.any(need.manure_n_kg > 0.0):
            continue
        row, stock = manure_row(tables, need.klass), tables.row("stock", need.klass)
        per_n = {element: stock.need(f"manure_{element}_g_d") / stock.need("manure_n_g_d") for element in ("p", "k")}
        ready = row.need("ready_excreted_share")
        for plot, kg in falls(holding, tables, need, warm, evenings).items():
            n = kg * M2_PER_HA / holding.plot[plot].area_m2
            urine, dung = n * ready, n * (1.0 - ready)
            into = found.setdefault(plot, Droppings(plot))
            into.n_kg_ha[:] += n
            into.mineral_n_kg_ha[:] += urine * (1.0 - ammonia)
            into.fresh_n_kg_ha[:] += dung * row.need("released_share")
            into.slow_n_kg_ha[:] += dung * (1.0 - row.need("released_share"))
            into.p_kg_ha[:] += n * per_n["p"]
            into.k_kg_ha[:] += n * per_n["k"]
    return tuple(found[plot] for plot in holding.plot if plot in found)


def falls(
    holding: Holding, tables: Tables, need: HerdNeed, warm: npt.NDArray[np.bool_], evenings: Evenings = NOWHERE
) -> dict[str, F64]:
    """Plot -> nitrogen of one class that falls there by month, kg, [12].

    What a year brings out of doors is what does not fall under a roof (`housed_share`). A group on a round drops first
    where it is in the evening, then in the rest of the months that grow grass, then in the others; what falls beside its
    evenings lies on the same plots in the proportion of the year, but never on ground that is sown or picked: where they
    have no other it lies on their home. Without evenings it lies by area, the droppings of a group without a round on its
    home.
    """
    n, plots = need.manure_n_kg, walked(holding, need.group)
    outside = outside_kg(holding, tables, need.group, n, warm, evenings)
    there = evenings.get(need.group, {}) if on_round(holding, need.group) else {}
    out_there = sum(there.values(), np.zeros(12))
    in_year = {plot: float((n * share).sum()) for plot, share in there.items()}
    if sum(in_year.values()) <= 0.0:
        plots = tuple(plot for plot in plots if not food_ground(holding, plot)) or (holding.group[need.group].home,)
        whole_m2 = sum(holding.plot[plot].area_m2 for plot in plots)
        return {plot: outside * holding.plot[plot].area_m2 / whole_m2 for plot in plots}
    direct = np.minimum(outside, n * out_there)
    by_share = np.divide(direct, out_there, out=np.zeros(12), where=out_there > 0.0)
    found = {plot: by_share * share for plot, share in there.items()}
    beside = {plot: kg for plot, kg in in_year.items() if kg > 0.0 and not food_ground(holding, plot)}
    beside = beside or {holding.group[need.group].home: 1.0}
    for plot, part in beside.items():
        found[plot] = found.get(plot, np.zeros(12)) + (outside - direct) * part / sum(beside.values())
    return found


def food_ground(holding: Holding, plot: str) -> bool:
    """Whether people eat from a plot on which no grass stands: crops, beds, bare orchards, no lines of forage."""
    kept = holding.plot[plot]
    forage = any(row.plot == plot and row.crop in FORAGE for row in holding.plantings)
    return kept.use in ("crops", "garden", "orchard") and kept.sward is None and not forage


def outside_kg(
    holding: Holding,
    tables: Tables,
    group: str,
    manure_n_kg: F64,
    warm: npt.NDArray[np.bool_],
    evenings: Evenings = NOWHERE,
) -> F64:
    """The part of a group's droppings of each month that falls out of doors, kg of nitrogen, [12]; see `falls`."""
    housed = housed_share(holding, tables, group)
    if not on_round(holding, group):
        return out_of_doors(manure_n_kg, housed)
    return out_of_doors(manure_n_kg, housed, sum(evenings.get(group, {}).values(), np.zeros(12)), warm)


def out_of_doors(manure_n_kg: F64, housed_share: float, *first: F64 | npt.NDArray[np.bool_]) -> F64:
    """The part of each month's droppings that falls outside, [12]: (1 - housed_share) of the year's.

    `first` are shares of the months' time, 0-1, [12] each: they are filled one after the other, before the rest of the year.
    """
    left = (1.0 - housed_share) * float(manure_n_kg.sum())
    free, outside = manure_n_kg.astype(np.float64), np.zeros(12)
    for share in (*first, np.ones(12)):
        room = np.minimum(free, manure_n_kg * share)
        whole = float(room.sum())
        part = min(1.0, left / whole) if whole > 0.0 else 0.0
        outside, free, left = outside + room * part, free - room, max(0.0, left - whole)
    return outside


def grows_grass(weather: Mapping[str, F64]) -> npt.NDArray[np.bool_]:
    """Months in which herds on a round are out first, [12]; `weather` holds tmin_c and tmax_c by month."""
    return (np.asarray(weather["tmin_c"]) + np.asarray(weather["tmax_c"])) / 2 > GRASS_GROWS_C


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
