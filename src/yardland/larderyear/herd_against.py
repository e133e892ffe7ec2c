"""What one group gives and takes a head, beside the handbook's figure for its class."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from yardland.holding.model import Group
from yardland.ledger.months import DAYS_IN_YEAR
from yardland.ledger.production import HerdNeed
from yardland.reference import Tables
from yardland.stock.cohorts import HerdEvent
from yardland.stock.herds.layout import F64, I64
from yardland.stock.herds.result import GroupYears
from yardland.stock.kinds import Klass, load_klass

LOW_PCT, HIGH_PCT = 5.0, 95.0
G_PER_KG = 1000.0
L_PER_M3 = 1000.0
DAILY = {
    "energy": (
        "energy needed a head and day (handbook: with usual production)",
        "MJ",
        "me_typical_production_mj_d",
    ),
    "water": ("water drunk a head and day", "l", "drinking_water_l_d"),
    "manure": ("droppings a head and day", "kg", "manure_kg_d"),
    "manure_n": ("nitrogen in droppings a head and day", "g", "manure_n_g_d"),
}
"""Sum of the drawn years -> what one head takes or leaves on a mean day, its unit, the handbook's column."""


@dataclass(frozen=True)
class Against:
    """One figure of a class beside the handbook's.

    steady : in the steady year, None where it has no such figure ; drawn : middle chain, and the range that holds 9 of 10,
    of the mean over a chain's years, None where nothing of the kind was drawn
    handbook : the figure `key`, with `source` and `standing`
    """

    klass: str
    what: str
    unit: str
    steady: float | None
    drawn: tuple[float, float, float] | None
    handbook: float
    key: str
    source: str
    standing: str


@dataclass(frozen=True)
class _Look:
    """What every yardstick of one class sees; `head_days` of the steady year, `drawn_days` of each chain [chain]."""

    tables: Tables
    klass: Klass
    adults: int
    need: HerdNeed | None
    events: tuple[HerdEvent, ...]
    head_days: float
    years: GroupYears
    rows: tuple[int, ...]

    def sums(self, name: str, part: str = "") -> F64:
        """A sum (energy MJ, eggs kg, ...) over the rows of the class in a part and all years, [chain]."""
        return np.asarray(self.years.total(name)[self.of(part)].sum(axis=(0, 1, 2)))

    def counts(self, name: str, part: str = "") -> F64:
        """A count (born, killed, ...) over the rows of the class in a part and all years, [chain]."""
        return np.asarray(self.years.count(name)[self.of(part)].sum(axis=(0, 1)), dtype=np.float64)

    def days(self, part: str = "") -> F64:
        """Head-days over all years, [chain]."""
        heads = self.years.heads_week[self.of(part)].sum(axis=(0, 2))
        return np.asarray(self.years.plan.arrays.days @ heads)

    def of(self, part: str) -> list[int]:
        """Rows of the class that play a part, all if none is named."""
        return [row for row in self.rows if part in {"", self.years.plan.rows[row].part}]

    def happened(self, kind: str, klass: str = "") -> list[HerdEvent]:
        """Events of a kind in the steady year."""
        return [event for event in self.events if event.kind == kind and event.klass == (klass or self.klass.key)]

    def beside(
        self, what: str, unit: str, column: str, steady: float | None, drawn: F64 | None, table: str = "stock"
    ) -> Iterator[Against]:
        """A yardstick, where the tables have the figure and the group something to hold against it."""
        if not self.tables.has(table, self.klass.key) or self.tables.row(table, self.klass.key)[column] is None:
            return
        known = np.array([]) if drawn is None else drawn[np.isfinite(drawn)]
        if steady is None and not len(known):
            return
        figure = self.tables.figure(f"{table}.{self.klass.key}.{column}")
        spread = np.percentile(known, (50.0, LOW_PCT, HIGH_PCT)) if len(known) else None
        yield Against(
            klass=self.klass.key,
            what=what,
            unit=unit,
            steady=steady,
            drawn=None if spread is None else (float(spread[0]), float(spread[1]), float(spread[2])),
            handbook=figure.value,
            key=figure.key,
            source=figure.source,
            standing=figure.standing,
        )


def yardsticks(
    tables: Tables,
    group: Group,
    needs: tuple[HerdNeed, ...],
    heads_day: Mapping[str, I64],
    events: tuple[HerdEvent, ...],
    years: GroupYears,
) -> Iterator[Against]:
    """Every figure of every class of a group that the handbook has too.

    Args:
        tables: stock, breeding.
        group: the plan.
        needs: of its classes in the steady year.
        heads_day: class -> heads on each day of the steady year, [365].
        events: of the steady year.
        years: as drawn.
    """
    classes = dict.fromkeys((*(label.klass for label in years.plan.rows), *heads_day))
    for key in classes:
        look = _Look(
            tables=tables,
            klass=load_klass(tables, key),
            adults=group.heads.get(key, 0),
            need=next((need for need in needs if need.klass == key), None),
            events=events,
            head_days=float(heads_day[key].sum()) if key in heads_day else 0.0,
            years=years,
            rows=tuple(row for row, label in enumerate(years.plan.rows) if label.klass == key),
        )
        yield from _products(look)
        yield from _births(look)
        yield from _losses(look)
        yield from _weights(look)
        yield from _by_head_day(look)


def _over(many: F64 | float, one: F64 | float) -> F64:
    """Chains' means; NaN where there is nothing to divide by."""
    top, below = np.asarray(many, dtype=np.float64), np.asarray(one, dtype=np.float64)
    return np.asarray(np.divide(top, below, out=np.full(np.broadcast(top, below).shape, np.nan), where=below > 0))


def _each(many: float, one: float) -> float | None:
    return many / one if one > 0 else None


def _given(look: _Look, what: str) -> float:
    """Kilograms of the class's eggs, milk or honey in the steady year."""
    good = look.klass.good(what)
    return float(look.need.products[good].sum()) if look.need is not None and good in look.need.products else 0.0


def _products(look: _Look) -> Iterator[Against]:
    females, colonies = look.days("females") / DAYS_IN_YEAR, look.days("colonies") / DAYS_IN_YEAR
    if look.klass.good("egg") and look.of("females"):
        egg_kg = look.klass.row.need("egg_weight_g") / G_PER_KG
        hatched = sum(event.heads for event in look.happened("hatched", look.klass.young))
        under_hens = _each(hatched, look.klass.figure("hatchability_of_set")) or 0.0
        steady = _each(_given(look, "egg") / egg_kg + under_hens, look.adults)
        drawn = _over(look.sums("eggs", "females") / egg_kg + look.counts("eggs_set"), females)
        yield from look.beside(
            "eggs laid a bird and year, set ones with them (handbook: first year of lay)",
            "eggs",
            "eggs_per_year",
            steady,
            drawn,
        )
    if look.klass.good("milk") and look.sums("milk", "females").any():
        steady = _each(_given(look, "milk"), look.adults)
        drawn = _over(look.sums("milk", "females"), females)
        what = "milk to the house a female and year (handbook: a lactation, with the young's share)"
        yield from look.beside(what, "kg", "milk_kg_per_lactation", steady, drawn)
    if look.of("colonies"):
        steady = _each(_given(look, "other"), look.adults)
        drawn = _over(look.sums("honey", "colonies"), colonies)
        yield from look.beside("honey a colony and year", "kg", "honey_kg_per_year", steady, drawn)


def _births(look: _Look) -> Iterator[Against]:
    if look.klass.kind.role != "dam":
        return
    if look.klass.kind.sits == "litter":
        bore = sum(event.heads for event in look.happened("service"))
        born = sum(event.heads for event in look.happened("born", look.klass.young))
        drawn = _over(look.counts("births"), look.counts("bore"))
        yield from look.beside(
            "young born alive at a birth", "young", "litter_or_clutch_size", _each(born, bore), drawn
        )
        held = _over(look.counts("bore"), look.counts("served"))
        yield from look.beside("share of the served that bear", "share", "bears_share", None, held, "breeding")
    else:
        hatched = _over(look.counts("births"), look.counts("eggs_set"))
        yield from look.beside("share of the eggs set that hatch", "share", "hatchability_of_set", None, hatched)


def _losses(look: _Look) -> Iterator[Against]:
    adult = [row for row in look.rows if look.years.plan.rows[row].part in {"females", "males", "colonies"}]
    if adult and look.adults:
        died = sum(event.heads for event in look.happened("died"))
        mixed = look.klass.young == look.klass.key
        heads = sum(look.days(part) for part in ("females", "males", "colonies")) / DAYS_IN_YEAR
        gone = sum(look.counts("died", part) for part in ("females", "males", "colonies"))
        steady = None if mixed else died / look.adults
        what = "share of the adults that die in a year (strikes beside)"
        yield from look.beside(what, "share", "mortality_adult_per_year", steady, _over(gone, heads))
    if look.of("bought"):
        came = sum(event.heads for event in look.happened("bought"))
        died = sum(event.heads for event in look.happened("died"))
        drawn = _over(look.counts("died", "bought"), look.counts("bought", "bought"))
        yield from look.beside(
            "share of the bought that die", "share", "mortality_young_fraction", _each(died, came), drawn
        )
    if look.klass.young and look.of("females"):
        young = [row for row, label in enumerate(look.years.plan.rows) if label.dam == look.klass.key]
        born = np.asarray(look.years.count("born")[young].sum(axis=(0, 1)), dtype=np.float64)
        died_young = np.asarray(look.years.count("died")[young].sum(axis=(0, 1)), dtype=np.float64)
        what = "share of the young that die (strikes beside; handbook: early losses)"
        yield from look.beside(what, "share", "mortality_young_fraction", None, _over(died_young, born))


def _weights(look: _Look) -> Iterator[Against]:
    """Live weight of young and bought stock on the day they are killed."""
    parts = ("young", "bought")
    if not any(look.of(part) for part in parts):
        return
    killed = look.happened("killed")
    steady = _each(sum(event.live_kg for event in killed), sum(event.heads for event in killed))
    drawn = _over(
        sum(look.sums("live_killed", part) for part in parts), sum(look.counts("killed", part) for part in parts)
    )
    yield from look.beside("live weight at killing", "kg", "slaughter_weight_kg", steady, drawn)


def _by_head_day(look: _Look) -> Iterator[Against]:
    """What one head takes and leaves on a mean day."""
    days, need = look.days(), look.need
    none = np.zeros(12)
    steady = {
        "energy": none if need is None else need.energy_mj,
        "water": none if need is None else need.water_m3 * L_PER_M3,
        "manure": none if need is None else need.manure_kg,
        "manure_n": none if need is None else need.manure_n_kg * G_PER_KG,
    }
    for name, (what, unit, column) in DAILY.items():
        year, drawn = float(np.sum(steady[name])), _over(look.sums(name), days)
        if year > 0.0 or np.nansum(drawn) > 0.0:
            yield from look.beside(what, unit, column, _each(year, look.head_days), drawn)
