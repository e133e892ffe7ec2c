"""Kitchen and stores: what arrives, is put by, taken, made, bought, sold, sown and lost, good by good."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Availability, Batch, Build, availability, kitchen_account, potential, shelf_months
from yardland.larder.description import MONTHS, Keeping, Trade
from yardland.ledger.arcs import Arc

Bool = npt.NDArray[np.bool_]
NEVER: Bool = np.zeros(MONTHS, dtype=np.bool_)
GRAMS = 1e-6
"""A hair of a cost that settles ties: with equal results, what is handled less is chosen."""


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
    add_batches(build, available)
    add_fresh_limits(build, arriving)
    add_rooms(build)
    add_kitchen_hands(build)
    add_sales(build)
    add_seed(build)
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
                short = build.feed_short.get((herd.account, int(month)))
                if short is not None:
                    build.flow(arc, int(month), short, -float(kg[month]))
                    build.supply(good, int(month), short, -float(kg[month]))


def add_purchases(build: Build) -> None:
    """What may be bought, in the months and amounts that trades.csv allows."""
    scale = build.weights.money * build.money_scale
    for trade in build.larder.trades:
        if trade.do == "buy":
            arc = Arc("outside", kitchen_account(trade.good), trade.good, "buy")
            for month, limit in enumerate(trade.limit_kg):
                if limit > 0.0:
                    column = build.model.column(trade.price * scale + GRAMS, float(limit))
                    build.model.put(build.kitchen[trade.good, month], column, 1.0)
                    build.flow(arc, month, column)


def add_processes(build: Build, present: dict[str, Bool]) -> None:
    """One kilogram of a good made into others; what is left over is lost, what is added (water) comes from outside."""
    for process in build.larder.processes:
        gives = [(good, share) for good, share in process.gives if good in build.larder.goods]
        rest = 1.0 - sum(share for _, share in gives)
        for month in np.flatnonzero(present.get(process.takes, NEVER)):
            index = int(month)
            column = build.model.column(process.hours_per_kg * build.weights.hour + GRAMS)
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


def add_batches(build: Build, available: Availability) -> None:
    """A column for each batch: put by in one month, taken in a later one, within the shelf life."""
    for keeping in build.larder.keepings:
        source = available.new if keeping.gives == keeping.good else available.soon
        for made in np.flatnonzero(source.get(keeping.good, NEVER)):
            for age in range(1, shelf_months(keeping) + 1):
                taken = int(made) + age
                if build.larder.cyclic or taken < MONTHS:
                    add_batch(build, keeping, int(made), taken % MONTHS)
            if not build.larder.cyclic and int(made) + keeping.shelf_life_months >= MONTHS:
                add_batch(build, keeping, int(made), MONTHS)
    if not build.larder.cyclic:
        add_opening(build)


def add_batch(build: Build, keeping: Keeping, made: int, taken: int, lain: float = 0.0) -> int:
    """The column of one batch, in kilograms put by."""
    cost = keeping.hours_per_kg * build.weights.hour + GRAMS
    column = build.model.column(cost if made >= 0 else GRAMS)
    batch = Batch(keeping, made, taken, lain, column)
    build.batches.append(batch)
    if made >= 0:
        build.use(keeping.good, made, column)
    if taken < MONTHS:
        kept = keeping.yield_fraction * (1.0 - keeping.monthly_loss) ** batch.ages
        build.supply(keeping.gives, taken, column, kept)
    return column


def add_opening(build: Build) -> None:
    """What is on the shelves today: it can be taken until its shelf life ends, or is left there."""
    ways = {(keeping.good, keeping.method): keeping for keeping in build.larder.keepings}
    for good, method, kg, lain in build.larder.opening:
        keeping = ways.get((good, method))
        if keeping is None:
            continue
        row = build.model.row(f"opening.{good}.{method}", kg, kg)
        last = max(min(int(keeping.shelf_life_months - lain), MONTHS), 1)
        for taken in (*range(last), MONTHS):
            column = add_batch(build, keeping, -1, taken, lain)
            build.model.put(row, column, keeping.yield_fraction)


def add_fresh_limits(build: Build, arriving: dict[str, npt.NDArray[np.float64]]) -> None:
    """No second shelf life: what comes off a shelf is not put by again, and only the last of a month's good waits.

    "fresh.<good>.<month>": put by as it is <= what arrived anew. "wait.<good>.<method>.<month>": with a shelf life
    under a month, put by <= shelf life x what arrived anew.
    """
    plain: dict[tuple[str, int], list[Batch]] = defaultdict(list)
    brief: dict[tuple[Keeping, int], list[Batch]] = defaultdict(list)
    for batch in build.batches:
        if batch.made >= 0 and batch.keeping.gives == batch.keeping.good:
            plain[batch.keeping.good, batch.made].append(batch)
        if batch.made >= 0 and batch.keeping.shelf_life_months < 1.0:
            brief[batch.keeping, batch.made].append(batch)
    returned = {(batch.keeping.good, batch.taken) for batches in plain.values() for batch in batches}
    for (good, month), batches in plain.items():
        if (good, month) in returned:
            name = f"fresh.{good}.{build.month(month)}"
            limit_to_new(build, name, good, month, batches, share=1.0, arriving=arriving)
    for (keeping, month), batches in brief.items():
        name = f"wait.{keeping.good}.{keeping.method}.{build.month(month)}"
        limit_to_new(build, name, keeping.good, month, batches, share=keeping.shelf_life_months, arriving=arriving)


def limit_to_new(
    build: Build,
    name: str,
    good: str,
    month: int,
    batches: list[Batch],
    *,
    share: float,
    arriving: dict[str, npt.NDArray[np.float64]],
) -> None:
    """Row: the batches <= share x what arrives anew of the good in the month."""
    taken = {batch.column for batch in build.batches if batch.keeping.gives == good and batch.taken == month}
    constant = float(arriving[good][month]) if good in arriving else 0.0
    row = build.model.row(name, upper=share * constant)
    build.sides[good, month].append((row, share))
    for batch in batches:
        build.model.put(row, batch.column, 1.0)
    for column, kg in build.home[good, month]:
        if column not in taken:
            build.model.put(row, column, -share * kg)
    for column, kg in build.flows.get((Arc("outside", kitchen_account(good), good, "buy"), month), ()):
        build.model.put(row, column, -share * kg)


def add_rooms(build: Build) -> None:
    """Rows "store.<place>.<month>": litres of all that lies in the rooms of a kind at the month's end <= their volume."""
    rows: dict[tuple[str, int], int] = {}
    for batch in build.batches:
        place, litres = batch.keeping.place, batch.keeping.litres_per_kg
        if not place or litres <= 0.0:
            continue
        for month, kept in batch.on_shelf():
            if (place, month) not in rows:
                volume = build.larder.rooms_litres.get(place, 0.0)
                rows[place, month] = build.model.row(f"store.{place}.{build.month(month)}", upper=volume)
            build.model.put(rows[place, month], batch.column, litres * kept)


def add_kitchen_hands(build: Build) -> None:
    """Rows "jars.<month>" and "dryer.<month>": what the kitchen can fill and dry in a month."""
    for what, limit in (("jars", build.larder.jar_litres_month), ("dryer", build.larder.dry_kg_month)):
        rows: dict[int, int] = {}
        for batch in build.batches:
            amount = batch.keeping.jar_litres_per_kg if what == "jars" else float(batch.keeping.dried)
            if amount <= 0.0 or batch.made < 0:
                continue
            if batch.made not in rows:
                rows[batch.made] = build.model.row(f"{what}.{build.month(batch.made)}", upper=limit)
            build.model.put(rows[batch.made], batch.column, amount)


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


def add_seed(build: Build) -> None:
    """Rows "seed.<planting>.<month>": seed kept back + seed lacking = what is sown."""
    for need in build.larder.production.seed:
        arc = Arc(kitchen_account(need.good), "seed", need.good, "sow")
        lacking = Arc("emergency", "seed", need.good, "emergency")
        for month in np.flatnonzero(need.fresh_kg):
            index, kg = int(month), float(need.fresh_kg[month])
            row = build.model.row(f"seed.{need.planting}.{build.month(index)}", kg, kg)
            short = build.model.column(build.weights.seed / kg)
            build.model.put(row, short, 1.0)
            build.flow(lacking, index, short)
            if (need.good, index) in build.kitchen:
                column = build.model.column()
                build.model.put(row, column, 1.0)
                build.use(need.good, index, column)
                build.flow(arc, index, column)


def add_trimmings(build: Build) -> None:
    """What nobody eats, keeps or sells goes back to the soil."""
    for (good, month), _ in sorted(build.kitchen.items()):
        eaten = build.good(good).per_kg is not None
        column = build.model.column(build.weights.waste if eaten else GRAMS)
        build.use(good, month, column)
        build.flow(Arc(kitchen_account(good), "soilair", good, "trim"), month, column)
