"""What else there is to feed: windfalls, tops and stubble beside a harvest, browse of woods, leavings, larvae.

Amounts go with what the year gathers, by the table feed_ways; leavings of kitchen and slaughter come to the troughs only
where the rules let them (table feed_rules, rules.feeds_allowed of the plan).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
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
BROWSE_CARRY = 1.0
"""Leaves hang until they are eaten, from one month of leaf to the next."""


@dataclass(frozen=True)
class Leavings:
    """Leavings by month, fresh kg [12], whether or not anybody may be fed with them."""

    kitchen_kg: F64
    slaughter_kg: F64
    larvae_kg: F64


def with_leavings(
    holding: Holding, tables: Tables, months: tuple[Month, ...], production: Production, law: FeedLaw
) -> Production:
    """The production with all that the year leaves to feed beside its harvests; as it is where nobody eats."""
    if not any(np.any(herd.energy_mj > 0.0) for herd in production.herds):
        return production
    ways = [tables.row("feed_ways", key) for key in tables.keys("feed_ways")]
    beside = [item for row in ways if row.text("way") == "leavings" for item in left_beside(row, production)]
    beside = [less_stood(tables, item, production.grazing) for item in beside]
    browsed = [item for row in ways if row.text("way") == "browse" for item in browse(row, holding, tables, months)]
    return replace(
        production,
        gathered=(*production.gathered, *beside, *switched_on(holding, tables, months, production, law)),
        grazing=(*production.grazing, *browsed),
    )


def left_beside(row: Row, production: Production) -> Iterator[Gathered]:
    """Leavings beside each harvest of one row, plot by plot: share x what is gathered, in the month of gathering."""
    takes = set(row.text("takes").split())
    kg: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
    for item in production.gathered:
        if item.good in takes:
            kg[f"leavings:{item.account.partition(':')[2]}"] += row.need("share") * np.asarray(item.fresh_kg)
    for account, fresh_kg in kg.items():
        yield Gathered(account, row.text("gives"), fresh_kg)


def less_stood(tables: Tables, item: Gathered, grazing: tuple[Grazing, ...]) -> Gathered:
    """Leavings without what stands for those who eat it on the plot: the same share of every month's."""
    name = item.account.partition(":")[2]
    whole = float(np.sum(item.fresh_kg))
    stood = [one for one in grazing if one.account == STOOD + name and one.good == item.good]
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


def switched_on(
    holding: Holding, tables: Tables, months: tuple[Month, ...], production: Production, law: FeedLaw
) -> Iterator[Gathered]:
    """Leavings and larvae that the plan feeds because it says so under rules.feeds_allowed.

    Leavings of the slaughter are eaten once: where both they and larvae on them are fed, half of them goes each way.
    """
    found = leavings(holding, tables, months, production)
    share = 0.5 if {"slaughter_leavings", "insects_on_leavings"} <= law.allowed else 1.0
    lot = {
        "kitchen_scraps": ("people:leavings", "kitchen_leavings", found.kitchen_kg),
        "slaughter_leavings": ("slaughter:leavings", "slaughter_leavings", share * found.slaughter_kg),
        "insects_on_leavings": ("larvae:leavings", "larvae_fresh", share * found.larvae_kg),
    }
    for rule, (account, good, kg) in lot.items():
        if rule in law.allowed and tables.row("feed_rules", rule).text(law.region) == OFF and kg.sum() > 0.0:
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
