"""What else there is to feed: windfalls, tops and stubble beside a harvest, browse of woods, leavings, larvae.

Amounts go with what the year gathers, by the table feed_ways; leavings of kitchen and slaughter come to the troughs only
where the rules let them (table feed_rules, rules.feeds_allowed of the plan).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.land.areas import fence_runs
from yardland.larder.description import MONTHS, Cut
from yardland.larder.feed_law import OFF, FeedLaw
from yardland.larder.feed_slaughter import slaughter_leavings_kg
from yardland.ledger.months import DAYS_IN_YEAR, Month
from yardland.ledger.production import Gathered, Grazing, Production
from yardland.ledger.units import M2_PER_HA
from yardland.weather.sun import daylength_h

if TYPE_CHECKING:
    from yardland.holding.model import Holding
    from yardland.reference.tables import Row, Tables

F64 = npt.NDArray[np.float64]
LEAF_DAYLENGTH_H = 12.0
"""Hedges and woods are taken to be in leaf in the months whose middle day is longer."""
STOOD = "stood:"
"""Accounts of leavings that stock eat where they lie, and that are not carried to a trough (`season.stubble`)."""
TROPIC_DEG = 23.44
"""Latitude to which the sun stands overhead at some time of the year."""
HEDGE = "hedge"
SWITCHED = ("kitchen_scraps", "slaughter_leavings", "insects_on_leavings")
"""Rules of table feed_rules that keep leavings from the troughs until the household says otherwise."""
BROWSE_CARRY = 1.0
"""Leaves hang until they are eaten, from one month of leaf to the next."""


@dataclass(frozen=True)
class Leavings:
    """Leavings by month, fresh kg [12], whether or not anybody may be fed with them."""

    kitchen_kg: F64
    slaughter_kg: F64
    larvae_kg: F64


@dataclass(frozen=True)
class Beside:
    """What harvests of some goods leave beside them, by a row of table feed_ways."""

    row: Row
    takes: frozenset[str]
    gives: str

    @cached_property
    def share(self) -> float:
        """Kilograms of each kilogram that is gathered; read when the first is."""
        return self.row.need("share")


@dataclass(frozen=True)
class LeavingWays:
    """What a plan leaves to feed beside its harvests, as far as it is the same in every year.

    beside : rows of table feed_ways ; browsed : of woods and hedges ; switched : whether the plan feeds leavings of kitchen
    or slaughter
    """

    holding: Holding
    tables: Tables
    months: tuple[Month, ...]
    law: FeedLaw
    beside: tuple[Beside, ...]
    browsed: tuple[Grazing, ...]
    switched: bool


def leaving_ways(holding: Holding, tables: Tables, months: tuple[Month, ...], law: FeedLaw) -> LeavingWays:
    """Look up once what `with_ways` needs for each year."""
    ways = [tables.row("feed_ways", key) for key in tables.keys("feed_ways")]
    return LeavingWays(
        holding,
        tables,
        months,
        law,
        beside=besides(tables),
        browsed=tuple(
            item for row in ways if row.text("way") == "browse" for item in browse(row, holding, tables, months)
        ),
        switched=any(on_by_word(tables, law, rule) for rule in SWITCHED),
    )


def besides(tables: Tables) -> tuple[Beside, ...]:
    """Rows of table feed_ways that leave something beside a harvest, in the order of the table."""
    rows = [tables.row("feed_ways", key) for key in tables.keys("feed_ways")]
    return tuple(beside_of(row) for row in rows if row.text("way") == "leavings")


def beside_of(row: Row) -> Beside:
    """A row of table feed_ways."""
    return Beside(row, frozenset(row.text("takes").split()), row.text("gives"))


def with_leavings(
    holding: Holding, tables: Tables, months: tuple[Month, ...], production: Production, law: FeedLaw
) -> Production:
    """The production with all that the year leaves to feed beside its harvests; as it is where nobody eats."""
    return with_ways(leaving_ways(holding, tables, months, law), production)


def with_ways(ways: LeavingWays, production: Production) -> Production:
    """`with_leavings`, looked up before."""
    if not any((herd.energy_mj > 0.0).any() for herd in production.herds):
        return production
    lain = [item for way in ways.beside for item in left(way, production.gathered)]
    beside = [less_stood(ways.tables, item, production.grazing) for item in lain]
    return replace(
        production,
        gathered=(*production.gathered, *beside, *(switched_on(ways, production) if ways.switched else ())),
        grazing=(*production.grazing, *ways.browsed),
    )


def left_beside(row: Row, production: Production) -> Iterator[Gathered]:
    """Leavings beside each harvest of one row, plot by plot: share x what is gathered, in the month of gathering."""
    return left(beside_of(row), production.gathered)


def left(way: Beside, gathered: Iterable[Gathered]) -> Iterator[Gathered]:
    """`left_beside`, looked up before."""
    kg: dict[str, F64] = {}
    for item in gathered:
        if item.good in way.takes:
            name = item.account.partition(":")[2]
            more = way.share * np.asarray(item.fresh_kg)
            kg[name] = kg[name] + more if name in kg else more
    for name, fresh_kg in kg.items():
        yield Gathered(f"leavings:{name}", way.gives, fresh_kg)


def less_stood(tables: Tables, item: Gathered, grazing: tuple[Grazing, ...]) -> Gathered:
    """Leavings without what stands for those who eat it on the plot: the same share of every month's."""
    account = STOOD + item.account.partition(":")[2]
    stood = [one for one in grazing if one.account == account and one.good == item.good]
    whole = float(np.sum(item.fresh_kg)) if stood else 0.0
    if not stood or whole <= 0.0:
        return item
    kg = sum(float(np.sum(one.dm_kg)) for one in stood) / tables.row("goods", item.good).need("dm_fraction")
    return replace(item, fresh_kg=np.asarray(item.fresh_kg) * max(1.0 - kg / whole, 0.0))


def browse(row: Row, holding: Holding, tables: Tables, months: tuple[Month, ...]) -> Iterator[Grazing]:
    """Browse of woods and hedges that groups reach, evenly over the months of leaf; none where the plan has neither.

    Woods are plots with that use; hedges are fences with the word in their kind, as long as the land says.
    """
    leaf = in_leaf(holding.place.latitude_deg, months)
    if not leaf.any() or not tables.has("goods", row.text("gives")):
        return
    if row.text("takes") == HEDGE:
        runs = [run for run in fence_runs(holding) if HEDGE in run.kind.lower()]
        stands = [(run.fence, run.length_m, reaching(holding, run.plots)) for run in runs]
    else:
        plots = [(name, plot) for name, plot in holding.plot.items() if plot.use == row.text("takes")]
        stands = [(name, plot.area_m2 / M2_PER_HA, reaching(holding, (name,))) for name, plot in plots]
    for name, size, groups in stands:
        if groups and size > 0.0:
            dm_kg = row.need("share") * size * leaf / leaf.sum()
            yield Grazing(f"browse:{name}", row.text("gives"), dm_kg, BROWSE_CARRY, groups)


def reaching(holding: Holding, plots: tuple[str, ...]) -> tuple[str, ...]:
    """Groups whose round passes through any of the plots, or that live there, by name."""
    groups = {group for plan in holding.round.values() if set(plots) & set(plan.plots) for group in plan.order}
    return tuple(sorted(groups | {group for group, kept in holding.group.items() if kept.home in plots}))


def in_leaf(latitude_deg: float, months: tuple[Month, ...]) -> F64:
    """1 in the months with leaves on hedge and wood, by the length of their middle day, else 0; [12].

    Between the tropics day and night are near enough alike all year, and something is always in leaf.
    """
    if abs(latitude_deg) <= TROPIC_DEG:
        return np.ones(MONTHS)
    middle = np.array([middle_of_year(month) for month in months])
    return np.asarray(daylength_h(latitude_deg, middle) > LEAF_DAYLENGTH_H, dtype=np.float64)


def middle_of_year(month: Month) -> int:
    """Day of the calendar year, from 1, in the middle of a month."""
    return 1 + int((month.month - 0.5) * DAYS_IN_YEAR / MONTHS)


def leavings(holding: Holding, tables: Tables, months: tuple[Month, ...], production: Production) -> Leavings:
    """Leavings of the kitchen and of the slaughter, and the larvae that the latter could rear."""
    per_person = tables.row("feed_rules", "kitchen_scraps").need("number")
    days = np.array([month.days for month in months], dtype=np.float64)
    kitchen = len(holding.people) * per_person * days / DAYS_IN_YEAR
    slaughter = sum((slaughter_leavings_kg(tables, herd) for herd in production.herds), np.zeros(MONTHS))
    reared = tables.row("feed_rules", "insects_on_leavings").need("number")
    return Leavings(kitchen, slaughter, slaughter * reared)


def on_by_word(tables: Tables, law: FeedLaw, rule: str) -> bool:
    """Whether a rule is off until the household answers for it, and it does."""
    return rule in law.allowed and tables.row("feed_rules", rule).text(law.region) == OFF


def switched_on(ways: LeavingWays, production: Production) -> Iterator[Gathered]:
    """Leavings and larvae that the plan feeds because it says so under rules.feeds_allowed.

    Leavings of the slaughter are eaten once: where both they and larvae on them are fed, half of them goes each way.
    """
    tables, law = ways.tables, ways.law
    found = leavings(ways.holding, tables, ways.months, production)
    share = 0.5 if {"slaughter_leavings", "insects_on_leavings"} <= law.allowed else 1.0
    lot = (
        ("people:leavings", "kitchen_leavings", found.kitchen_kg),
        ("slaughter:leavings", "slaughter_leavings", share * found.slaughter_kg),
        ("larvae:leavings", "larvae_fresh", share * found.larvae_kg),
    )
    for rule, (account, good, kg) in zip(SWITCHED, lot, strict=True):
        if on_by_word(tables, law, rule) and kg.sum() > 0.0:
            yield Gathered(account, good, kg)


def cuts_for(holding: Holding, tables: Tables, production: Production) -> tuple[Cut, ...]:
    """What standing grass may be made into: silage where the holding has a clamp for it, grass kept standing anywhere.

    A cut that is wilted waits for dry days: of what stands in a month, the share of its days on which they begin.
    """
    stores = {store.kind for store in holding.store.values()}
    standing = {item.good for item in production.grazing}
    found = []
    for key in tables.keys("feed_ways"):
        row = tables.row("feed_ways", key)
        if row.text("way") == "cut" and (not row.text("needs") or row.text("needs") in stores):
            takes = [good for good in row.text("takes").split() if good in standing]
            window = production.dry_share.get(round(row["dry_days"] or 0.0))
            found += [Cut(good, row.text("gives"), row.need("share"), window, row.text("task")) for good in takes]
    return tuple(found)
