"""Nitrogen and energy of one group in the steady year: what its classes eat, keep and leave, by balance.

The tables' droppings come from manure tables; the feed comes from the larder's program. The two meet here and nowhere
else: nitrogen eaten less that kept in young, growth, milk and eggs is what must lie in the droppings, and metabolisable
energy eaten less that kept is what the animals gave off as heat. docs/herd-page.md prints the equations.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.holding.model import Group
from yardland.larderyear.herd_against import Against
from yardland.larderyear.herd_feed import GroupFed
from yardland.ledger.production import HerdNeed
from yardland.reference import Tables
from yardland.stock.cohorts import GroupYear, Market, group_year
from yardland.stock.days import ClassDays, group_days, milk_energy
from yardland.stock.kinds import Husbandry, Klass
from yardland.stock.sky import Sky

PROTEIN_PER_N, MILK_PROTEIN_PER_N = 6.25, 6.38
"""Crude protein over nitrogen, of feeds and of milk (the factors by which both are defined)."""
G_PER_KG = 1000.0
OF_DE = "de_rabbit"


@dataclass(frozen=True)
class Balance:
    """One class over the steady year.

    eaten_n_kg, kept_n_kg : nitrogen of feed and suckled milk; of growth, young born, milk and eggs
    dropped_n_kg : nitrogen of its droppings by the manure table
    eaten_mj, kept_mj : metabolisable energy eaten; gross energy of what is kept
    """

    klass: str
    eaten_n_kg: float
    kept_n_kg: float
    dropped_n_kg: float
    eaten_mj: float
    kept_mj: float

    @property
    def excreted_n_kg(self) -> float:
        """Nitrogen that the balance leaves for the droppings."""
        return self.eaten_n_kg - self.kept_n_kg

    @property
    def heat_share(self) -> float:
        """Part of the metabolisable energy eaten that became heat; NaN for a class that eats nothing."""
        return 1.0 - self.kept_mj / self.eaten_mj if self.eaten_mj > 0.0 else float("nan")


def balances(
    name: str, group: Group, needs: tuple[HerdNeed, ...], fed: GroupFed, tables: Tables, sky: Sky
) -> tuple[Balance, ...]:
    """Balance of every class of a group that is fed, in the order of `needs`.

    Args:
        name: the group.
        group: its plan.
        needs: of its classes in the steady year.
        fed: what the larder's program gives them.
        tables: stock, herds, husbandry.
        sky: of the larder year.
    """
    year = group_year(name, group, tables, sky, Market(()))
    days = group_days(year, group.milk_share, tables, sky)
    keep = Husbandry(tables)
    found = []
    for need in needs:
        given = next((each.given for each in fed.classes if each.klass == need.klass), None)
        if given is None:
            continue
        klass = days[need.klass].klass
        drunk_mj, drunk_n_kg = _drunk(klass, year, days, keep)
        n_kg, mj = _kept(klass, year, days, keep)
        of_de = keep["me_of_de"] if need.system == OF_DE else 1.0
        found.append(
            Balance(
                klass=need.klass,
                eaten_n_kg=float(given["protein"].sum()) / PROTEIN_PER_N + drunk_n_kg,
                kept_n_kg=n_kg,
                dropped_n_kg=float(need.manure_n_kg.sum()),
                eaten_mj=float(given["energy"].sum()) * of_de + drunk_mj,
                kept_mj=mj,
            )
        )
    return tuple(found)


def beside_the_table(
    found: tuple[Balance, ...], heads_day: Mapping[str, npt.NDArray[np.int64]], tables: Tables
) -> Iterator[Against]:
    """Nitrogen that each class must excrete by its balance, beside the manure table.

    Args:
        found: balances of a group.
        heads_day: class -> heads on each day of the steady year, [365].
        tables: stock.
    """
    for one in found:
        head_days = float(heads_day[one.klass].sum())
        if head_days <= 0.0 or not tables.row("stock", one.klass)["manure_n_g_d"]:
            continue
        figure = tables.figure(f"stock.{one.klass}.manure_n_g_d")
        yield Against(
            klass=one.klass,
            what="nitrogen eaten less that kept, a head and day",
            unit="g",
            steady=one.excreted_n_kg * G_PER_KG / head_days,
            drawn=None,
            handbook=figure.value,
            key=figure.key,
            source=figure.source,
            standing=figure.standing,
        )


def _drunk(klass: Klass, year: GroupYear, days: dict[str, ClassDays], keep: Husbandry) -> tuple[float, float]:
    """Metabolisable energy (MJ) and nitrogen (kg) of the milk that young of the class suck, up to what they need."""
    own = days[klass.key]
    mj = float(np.minimum(own.suckled_mj, own.suckling_need_mj).sum())
    if mj <= 0.0:
        return 0.0, 0.0
    dam = next(litter.dam for litter in year.litters if litter.dam.young == klass.key)
    return mj, mj / keep["milk_metabolisable"] / milk_energy(dam) * _milk_n(dam)


def _milk_n(dam: Klass) -> float:
    """Nitrogen in a kilogram of milk, kg."""
    return dam.row.need("milk_protein_pct") / 100.0 / MILK_PROTEIN_PER_N


def _kept(klass: Klass, year: GroupYear, days: dict[str, ClassDays], keep: Husbandry) -> tuple[float, float]:
    """Nitrogen (kg) and gross energy (MJ) of growth, young born, milk and eggs of a class in the year."""
    body_kg = sum(
        one.heads * (one.end_kg() - float(one.curve.weight_kg(one.start_age_d)))
        for one in year.cohorts
        if one.klass.key == klass.key
    )
    eggs_kg = float(np.sum(days[klass.key].products.get(klass.good("egg"), 0.0)))
    for litter in year.litters:
        if litter.dam.key == klass.key:
            eggs_kg += litter.eggs_set * klass.figure("egg_weight_g") / G_PER_KG
            body_kg += 0.0 if litter.eggs_set else litter.born * klass.figure("birth_weight_kg")
    milk_kg = _secreted_kg(klass, days, keep)
    n_kg = body_kg * keep[_body_n(klass)] + eggs_kg * keep["egg_n"] + milk_kg * (_milk_n(klass) if milk_kg else 0.0)
    mj = body_kg * keep["body_mj_kg"] + eggs_kg * keep["egg_mj_kg"] + milk_kg * (milk_energy(klass) if milk_kg else 0.0)
    return n_kg, mj


def _secreted_kg(klass: Klass, days: dict[str, ClassDays], keep: Husbandry) -> float:
    """Milk of a class's dams in the year: to the house and to their young."""
    house_kg = float(np.sum(days[klass.key].products.get(klass.good("milk"), 0.0)))
    suckled_mj = float(days[klass.young].suckled_mj.sum()) if klass.young in days else 0.0
    return house_kg + (suckled_mj / keep["milk_metabolisable"] / milk_energy(klass) if suckled_mj else 0.0)


def _body_n(klass: Klass) -> str:
    """Figure of the nitrogen in a kilogram of live weight, by species."""
    mammals = {"cattle": "body_n_cattle", "sheep": "body_n_sheep", "goat": "body_n_sheep", "pig": "body_n_pig"}
    return (mammals | {"rabbit": "body_n_rabbit"}).get(klass.row.text("species"), "body_n_poultry")
