"""The rows of a group: each class in each part that it plays, with its whole numbers and figures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.holding.model import Group
from yardland.reference import Tables
from yardland.stock.herds import figures
from yardland.stock.herds import layout as at
from yardland.stock.kinds import Husbandry, Klass, load_klass
from yardland.stock.sky import Sky

PARTS = {"females": at.DAM, "males": at.SIRE, "young": at.YOUNG, "bought": at.LOT, "colonies": at.COLONY}
PART_OF_ROLE = {"dam": "females", "sire": "males", "grower": "bought", "colony": "colonies"}
SITS = {"litter": at.LITTER, "each": at.ALL_SIT, "one": at.SOME_SIT}


@dataclass(frozen=True, slots=True)
class RowLabel:
    """What a row is: a class, its part (a key of `PARTS`), and of young the class of their dams."""

    klass: str
    part: str
    dam: str = ""

    @property
    def words(self) -> str:
        """The row in words: "ewe", "lamb (young of ewe)"."""
        return f"{self.klass} (young of {self.dam})" if self.dam else self.klass


@dataclass
class Workroom:
    """What the compiler of one group's plan has at hand."""

    name: str
    group: Group
    rows: tuple[RowLabel, ...]
    tables: Tables
    sky: Sky
    keep: Husbandry

    def klass(self, key: str) -> Klass:
        """A class by its key."""
        return load_klass(self.tables, key)

    def odds(self, key: str) -> float:
        """A figure of table herd_odds."""
        return self.tables.row("herd_odds", key).need("number")

    def index(self, klass: str, part: str) -> int:
        """Index of a row, -1 if the group has none such."""
        for index, label in enumerate(self.rows):
            if label.klass == klass and label.part == part:
                return index
        return -1


def label_rows(group: Group, tables: Tables) -> tuple[RowLabel, ...]:
    """The rows of a group: its heads in their order, each class of females followed by its young; then what is bought.

    Raises:
        TableError: a class that the tables do not hold.
    """
    rows: list[RowLabel] = []
    for key in group.heads:
        klass = load_klass(tables, key)
        rows.append(RowLabel(key, PART_OF_ROLE[klass.kind.role]))
        if klass.kind.role == "dam":
            rows.append(RowLabel(klass.young, "young", key))
    rows += [RowLabel(load_klass(tables, batch.class_).key, "bought") for batch in group.batch]
    return tuple(dict.fromkeys(rows))


def fill_rows(room: Workroom) -> tuple[at.I64, at.F64]:
    """Whole numbers [rows, WHOLE_NUMBERS] and figures [rows, FIGURES] of every row (weeks of turnover are set later)."""
    row = np.zeros((len(room.rows), at.WHOLE_NUMBERS), np.int64)
    figure = np.zeros((len(room.rows), at.FIGURES))
    row[:, [at.YOUNG_ROW, at.DAM_ROW, at.TURN_W, at.KEEP_YOUNG, at.KEEP_BORN_W]] = -1
    row[:, at.SIRE_ROW] = at.NO_SIRE
    row[:, [at.KILL_W, at.CULL_W, at.KEEP_W, at.JOIN_W]] = at.UNLIMITED
    fill = {"females": _females, "males": _adults, "young": _young, "bought": _bought, "colonies": _colonies}
    for index, label in enumerate(room.rows):
        row[index, at.PART] = PARTS[label.part]
        ration = room.klass(label.klass).herd_figure("ration_mj_kgdm")
        figure[index, at.RATION_KG_MJ] = 1.0 / ration if ration else 0.0
        fill[label.part](room, index, row[index], figure[index])
    for dam in np.flatnonzero(row[:, at.PART] == at.DAM):
        young, join = row[dam, at.YOUNG_ROW], row[dam, at.JOIN_W]
        row[young, [at.KEEP_W, at.JOIN_W]] = (min(row[young, at.KILL_W], join), join)
    return row, figure


def _adults(room: Workroom, index: int, row: at.I64, figure: at.F64) -> None:
    """What females and males have in common: target, age of joining, of culling and of buying, mortality."""
    label, group = room.rows[index], room.group
    klass = room.klass(label.klass)
    heads = group.heads[label.klass]
    row[at.TARGET] = group.target.get(label.klass, heads)
    row[at.JOIN_W] = round((klass.figure("age_first_egg_d") or klass.row.need("age_first_breeding_d")) / 7)
    female = label.part == "females"
    life = klass.row.need("breeding_life_yr")
    years = (group.cull_after_years or life) if female else life
    # Adults change once a year: half a year less than their life is the age at the turnover next to its end.
    row[at.CULL_W] = row[at.JOIN_W] + max(26, round(at.WEEKS * years) - 26)
    bought = room.tables.row("breeding", klass.key)["bought_age_d"]
    if female and group.buy_at_days is not None:
        bought = group.buy_at_days
    row[at.BUY_W] = row[at.JOIN_W] if bought is None else round(bought / 7)
    row[at.BUYS] = int(not female or group.renew != "own young only")
    figure[at.ADULT_DIES] = figures.weekly_share(klass.figure("mortality_adult_per_year"))
    figure[at.RENEWED] = row[at.TARGET] * (1.0 / years + klass.figure("mortality_adult_per_year"))
    figure[at.ADULT_KG] = klass.adult_kg()


def _females(room: Workroom, index: int, row: at.I64, figure: at.F64) -> None:
    """Females: how they bear or sit, by what sire, and what they give."""
    _adults(room, index, row, figure)
    label, group = room.rows[index], room.group
    klass = room.klass(label.klass)
    young = room.klass(klass.young)
    row[at.YOUNG_ROW] = index + 1
    row[at.SITS] = SITS[klass.kind.sits]
    row[at.TERM_W] = round(klass.row.need("gestation_or_incubation_d") / 7)
    row[at.KEEPS] = int(bool(group.born) and group.renew != "bought" and group.keep_young != 0)
    row[at.KEEP_YOUNG] = -1 if group.keep_young is None else group.keep_young
    row[at.MILKED] = int(bool(klass.good("milk")) and group.milk_share != "none")
    row[at.INCUBATOR] = int(group.hatch == "incubator")
    _sire(room, klass, row, figure)
    loss = klass.figure("mortality_young_fraction", young.figure("mortality_young_fraction"))
    figure[at.REARED] = 1.0 - loss
    if row[at.SITS] == at.LITTER:
        row[at.BARREN_MOST] = round(room.odds("barren_culled"))
        bears = room.tables.row("breeding", klass.key).need("bears_share")
        figure[at.BEARS] = (group.conception or bears) * _success(room)
    else:
        figure[at.HATCH] = group.conception or klass.row.need("hatchability_of_set")
        figure[at.SET_EACH] = klass.row.need("eggs_set_per_sitting")
        figure[at.SIT_SHARE] = 1.0 if row[at.SITS] == at.ALL_SIT else room.keep["sitting_hens_share"]
    if klass.good("egg"):
        figure[at.EGG_KG] = klass.row.need("egg_weight_g") / 1000.0
        figure[at.EGG_MJ_KG], figure[at.EGG_G_MJ] = figures.egg_needs(klass, room.sky, room.keep)


def _sire(room: Workroom, klass: Klass, row: at.I64, figure: at.F64) -> None:
    """Who serves a class of females: males of the group, else one that comes, else nobody."""
    figure[at.PER_MALE] = klass.figure("females_per_male", 1.0)
    own = room.index(klass.kind.sire, "males") if klass.kind.sire else -1
    comes = at.NO_SIRE if room.group.sire is None else at.SIRE_COMES
    row[at.SIRE_ROW] = own if own >= 0 else comes


def _success(room: Workroom) -> float:
    """Share of females that hold, against a sire that lives with them."""
    how = room.group.sire.how if room.group.sire else "kept"
    if how == "bought service":
        return room.odds("service_success_bought")
    return 1.0 if how == "kept" else room.odds("sire_success_away")


def _young(room: Workroom, index: int, row: at.I64, figure: at.F64) -> None:
    """Young of a class of females: when they are weaned, and the age of slaughter."""
    label = room.rows[index]
    dam, young = room.klass(label.dam), room.klass(label.klass)
    row[at.DAM_ROW] = index - 1
    age = room.group.kill_after_days or round(young.row.need("slaughter_age_d"))
    row[at.KILL_W] = max(1, round(age / 7))
    if dam.kind.sits == "litter":
        row[at.WEAN_W] = round(dam.row.need("weaning_age_d") / 7)
    figure[at.ADULT_DIES] = figures.weekly_share(dam.figure("mortality_adult_per_year"))


def _bought(room: Workroom, index: int, row: at.I64, figure: at.F64) -> None:
    """Stock bought young to fatten."""
    klass = room.klass(room.rows[index].klass)
    start = klass.arrival_age_d()
    age = klass.figure("slaughter_age_d") or klass.row.need("age_first_breeding_d")
    days = room.group.kill_after_days if room.group.batch else None
    row[at.KILL_W] = round(start / 7) + max(1, round((days or max(1.0, age - start)) / 7))
    row[at.BUY_W] = round(start / 7)
    figure[at.ADULT_DIES] = figures.weekly_share(klass.figure("mortality_adult_per_year"))


def _colonies(room: Workroom, index: int, row: at.I64, figure: at.F64) -> None:
    """Colonies of bees."""
    klass = room.klass(room.rows[index].klass)
    row[at.TARGET] = room.group.target.get(klass.key, room.group.heads[klass.key])
    row[at.BUYS] = 1
    figure[at.HONEY_KG] = klass.row.need("honey_kg_per_year")
    figure[at.WAX_KG] = room.keep["wax_kg_colony"]
    figure[at.ADULT_KG] = klass.adult_kg()
