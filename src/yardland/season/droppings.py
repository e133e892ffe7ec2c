"""Droppings that fall out of doors: on which plot, in which month, and what of their nitrogen grass can use.

docs/growth-manure.md prints the equations and the sources.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.growth.crop_traits import FORAGE
from yardland.holding.model import Holding
from yardland.ledger.production import HerdNeed
from yardland.ledger.units import M2_PER_HA
from yardland.reference import Row, Tables
from yardland.season.evenings import Evenings
from yardland.season.grazers import RUMINANTS, herds_on_grass

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
    holding: Holding,
    tables: Tables,
    needs: Iterable[HerdNeed],
    weather: Mapping[str, F64],
    evenings: Evenings | None = None,
) -> tuple[Droppings, ...]:
    """Droppings out of doors on every plot that animals walk, in the order of the plan; see `falls`.

    Args:
        holding: groups, rounds, plots.
        tables: manures, manuring, husbandry, stock.
        needs: droppings and their nitrogen by class and month.
        weather: tmin_c and tmax_c by month, [12] each.
        evenings: of groups on grass (`season.evenings.grass_share`); None where they are not known.

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
    holding: Holding, tables: Tables, need: HerdNeed, warm: npt.NDArray[np.bool_], evenings: Evenings | None = None
) -> dict[str, F64]:
    """Plot -> nitrogen of one class that falls there by month, kg, [12].

    A group whose evenings the year follows drops on the plot of each evening, for the time that it is not shut in
    (`outside_kg`), and nowhere else out of doors. Of other groups a fixed share of the year falls outside (`housed_share`): on
    the plots of a round by their area, but never on ground that is sown or picked; else on their home.
    """
    n, plots = need.manure_n_kg, walked(holding, need.group)
    if evenings is not None and followed(holding, need.group):
        out = 1.0 - shut_in_share(holding, tables, need.group)
        return {plot: n * share * out for plot, share in evenings.get(need.group, {}).items()}
    outside = outside_kg(holding, tables, need.group, n, warm, evenings)
    plots = tuple(plot for plot in plots if not food_ground(holding, plot)) or (holding.group[need.group].home,)
    whole_m2 = sum(holding.plot[plot].area_m2 for plot in plots)
    return {plot: outside * holding.plot[plot].area_m2 / whole_m2 for plot in plots}


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
    evenings: Evenings | None = None,
) -> F64:
    """The part of a group's droppings of each month that falls out of doors, kg of nitrogen, [12]; see `falls`."""
    if evenings is not None and followed(holding, group):
        there = sum(evenings.get(group, {}).values(), np.zeros(12))
        return manure_n_kg * there * (1.0 - shut_in_share(holding, tables, group))
    housed = housed_share(holding, tables, group)
    return out_of_doors(manure_n_kg, housed, warm) if on_round(holding, group) else out_of_doors(manure_n_kg, housed)


def housed_months(
    holding: Holding,
    tables: Tables,
    group: str,
    manure_n_kg: F64,
    warm: npt.NDArray[np.bool_],
    evenings: Evenings | None = None,
) -> F64:
    """Share of a group's droppings of each month that falls under a roof or in the yard, 0-1, [12]."""
    outside = outside_kg(holding, tables, group, manure_n_kg, warm, evenings)
    return 1.0 - np.divide(outside, manure_n_kg, out=np.zeros(12), where=manure_n_kg > 0.0)


def followed(holding: Holding, group: str) -> bool:
    """Whether the year follows a group from evening to evening: it goes on a round, or is at home on a sward."""
    return any(
        group in groups and (name in holding.round or any(holding.plot[plot].sward is not None for plot in plots))
        for name, (groups, plots, _) in herds_on_grass(holding).items()
    )


def shut_in_share(holding: Holding, tables: Tables, group: str) -> float:
    """Share of the droppings of a day at grass that falls in the house: birds and rabbits sleep there, others stay out."""
    classes = (*holding.group[group].heads, *(batch.class_ for batch in holding.group[group].batch))
    species = {tables.row("stock", klass).text("species") for klass in classes}
    return 0.0 if species & {*RUMINANTS, "pig"} else housed_share_of(tables, walks=False)


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
    """Share of a group's yearly droppings that fall under a roof where its evenings are not known, 0-1."""
    return housed_share_of(tables, walks=on_round(holding, group))


def housed_share_of(tables: Tables, *, walks: bool) -> float:
    """The same of groups on rounds, or of birds and yard animals."""
    return tables.row("husbandry", housed_key(walks=walks)).need("value")


def manure_row(tables: Tables, klass: str) -> Row:
    """Row of table manures of a class of stock.

    Raises:
        TableError: its species has none.
    """
    return tables.row("manures", tables.row("stock", klass).text("species"))
