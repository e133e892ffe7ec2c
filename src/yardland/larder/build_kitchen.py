"""Kitchen and stores: what arrives, is put by, taken, made, bought, sold, sown and lost, good by good."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.larder.build import HAIR, NEVER, Build, availability, kitchen_account, potential
from yardland.larder.build_stores import add_stores
from yardland.larder.description import MONTHS, Trade
from yardland.ledger.arcs import Arc
from yardland.ledger.production import HerdNeed

Bool = npt.NDArray[np.bool_]

CARCASS = ("meat_", "offal_", "fat_", "skin_", "feathers")
"""Goods of the slaughtering day."""


def add_kitchen(build: Build) -> None:
    """Add balances, batches, rooms, processes, trades, seed and losses."""
    available = availability(build.larder)
    arriving = potential(build.larder)
    for good in sorted(build.larder.goods):
        for month in np.flatnonzero(available.present.get(good, NEVER)):
            kg = float(arriving[good][month]) if good in arriving else 0.0
            name = f"kitchen.{good}.{build.month(int(month))}"
            row = build.model.row(name, -kg, -kg)
            build.kitchen[good, int(month)] = row
            build.sides[good, int(month)].append((row, -1.0))
    add_arrivals(build)
    add_purchases(build)
    add_processes(build, available.present)
    add_stores(build, available, arriving)
    add_sales(build)
    add_seed(build, available.new)
    add_trimmings(build)


def add_arrivals(build: Build) -> None:
    """Gathered goods are constants of the balance; animals' goods too, less what a herd short of feed does not give."""
    for item in build.larder.production.gathered:
        arc = Arc(item.account, kitchen_account(item.good), item.good, "gather")
        for month in np.flatnonzero(item.fresh_kg):
            build.constants[arc, int(month)] += float(item.fresh_kg[month])
    for herd in build.larder.production.herds:
        for good, kg in herd.products.items():
            arc = Arc(herd.account, kitchen_account(good), good, "give")
            for month in np.flatnonzero(kg):
                build.constants[arc, int(month)] += float(kg[month])
                for fed_in, share in fed_for(good, herd, int(month), cyclic=build.larder.cyclic):
                    short = build.feed_short.get((herd.account, fed_in))
                    if short is not None:
                        build.flow(arc, int(month), short, -share * float(kg[month]))
                        build.supply(good, int(month), short, -share * float(kg[month]))


def fed_for(good: str, herd: HerdNeed, month: int, *, cyclic: bool) -> list[tuple[int, float]]:
    """Months whose feed a product of the month rests on, with their shares.

    Eggs and milk rest on the month's own feed. A carcass rests on all the feed that its class has eaten since it came, a
    year at most, in proportion to the energy of each month: what a hungry summer lacked is not made up in the last weeks.
    """
    if not good.startswith(CARCASS):
        return [(month, 1.0)]
    energy = np.asarray(herd.energy_mj, dtype=np.float64)
    span = []
    for age in range(MONTHS if cyclic else month + 1):
        if energy[month - age] <= 0.0 and age > 0:
            break
        span.append((month - age) % MONTHS)
    whole = float(energy[span].sum())
    return [(at, float(energy[at]) / whole) for at in span] if whole > 0.0 else []


def add_purchases(build: Build) -> None:
    """What may be bought, in the months and amounts that trades.csv allows."""
    scale = build.weights.money * build.money_scale
    for trade in build.larder.trades:
        if trade.do == "buy":
            arc = Arc("outside", kitchen_account(trade.good), trade.good, "buy")
            for month, limit in enumerate(trade.limit_kg):
                if limit > 0.0:
                    column = build.model.column(trade.price * scale + HAIR, float(limit))
                    build.model.put(build.kitchen[trade.good, month], column, 1.0)
                    build.flow(arc, month, column)


def add_processes(build: Build, present: dict[str, Bool]) -> None:
    """One kilogram of a good made into others; what is left over is lost, what is added (water) comes from outside."""
    for process in build.larder.processes:
        gives = [(good, share) for good, share in process.gives if good in build.larder.goods]
        rest = 1.0 - sum(share for _, share in gives)
        for month in np.flatnonzero(present.get(process.takes, NEVER)):
            index = int(month)
            column = build.model.column(process.hours_per_kg * build.weights.hour + HAIR)
            build.use(process.takes, index, column)
            source = kitchen_account(process.takes)
            for good, share in gives:
                build.supply(good, index, column, share)
                taken = min(share, share / max(sum(part for _, part in gives), 1.0))
                build.flow(Arc(source, kitchen_account(good), good, "make"), index, column, taken)
                if share > taken:
                    build.flow(Arc("outside", kitchen_account(good), "water", "make"), index, column, share - taken)
            if rest > 0.0:
                build.flow(Arc(source, "soilair", process.takes, "trim"), index, column, rest)


def add_sales(build: Build) -> None:
    """What may be sold: a sale never outweighs a need, since money weighs less than any shortage."""
    scale = build.weights.money * build.money_scale
    for trade in build.larder.trades:
        if trade.do == "sell":
            sell(build, trade, scale)


def sell(build: Build, trade: Trade, scale: float) -> None:
    """Columns of one sale."""
    arc = Arc(kitchen_account(trade.good), "outside", trade.good, "sell")
    for month, limit in enumerate(trade.limit_kg):
        if limit > 0.0 and (trade.good, month) in build.kitchen:
            column = build.model.column(-trade.price * scale, float(limit))
            build.use(trade.good, month, column)
            build.flow(arc, month, column)


def add_seed(build: Build, new: dict[str, Bool]) -> None:
    """Rows "seed.<planting>.<month>": seed kept back + seed lacking = what is sown.

    Seed is taken where the good lies when it is sown; a good that does not keep so long gives its seed when it arrives.
    """
    for need in build.larder.production.seed:
        arc = Arc(kitchen_account(need.good), "seed", need.good, "sow")
        lacking = Arc("emergency", "seed", need.good, "emergency")
        for month in np.flatnonzero(need.fresh_kg):
            index, kg = int(month), float(need.fresh_kg[month])
            row = build.model.row(f"seed.{need.planting}.{build.month(index)}", kg, kg)
            short = build.model.column(build.weights.seed / kg)
            build.model.put(row, short, 1.0)
            build.flow(lacking, index, short)
            arriving = np.flatnonzero(new.get(need.good, NEVER))
            for kept in (index,) if (need.good, index) in build.kitchen else map(int, arriving):
                column = build.model.column()
                build.model.put(row, column, 1.0)
                build.use(need.good, kept, column)
                build.flow(arc, kept, column)


def add_trimmings(build: Build) -> None:
    """What nobody eats, keeps or sells goes back to the soil."""
    for (good, month), _ in sorted(build.kitchen.items()):
        eaten = build.good(good).per_kg is not None
        column = build.model.column(build.weights.waste if eaten else HAIR)
        build.use(good, month, column)
        build.flow(Arc(kitchen_account(good), "soilair", good, "trim"), month, column)
