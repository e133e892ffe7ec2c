"""Stores: what is put by, lies, spoils and is taken, in batches or as a shelf, under rooms, jars and dryer."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import numpy.typing as npt

from yardland.larder.build import (
    HAIR,
    NEVER,
    Availability,
    Batch,
    Build,
    Shelf,
    kitchen_account,
    opening_months,
    shelf_months,
)
from yardland.larder.description import MONTHS, Keeping
from yardland.ledger.arcs import Arc

F64 = npt.NDArray[np.float64]
OFTEN = 3
"""Months of arrival from which a good that outlives the year is a shelf instead of batches."""


def add_stores(build: Build, available: Availability, arriving: dict[str, F64]) -> None:
    """Add batches and shelves, and what limits them."""
    for keeping in build.larder.keepings:
        source = available.new if keeping.gives == keeping.good else available.soon
        made = [int(month) for month in np.flatnonzero(source.get(keeping.good, NEVER))]
        if len(made) >= OFTEN and keeping.shelf_life_months >= MONTHS:
            add_shelf(build, keeping, made)
        else:
            add_batches(build, keeping, made)
    if not build.larder.cyclic:
        add_opening(build)
    add_fresh_limits(build, arriving)
    add_rooms(build)
    add_kitchen_hands(build)


def laying_cost(build: Build, keeping: Keeping) -> float:
    """Cost of a kilogram put by."""
    return keeping.hours_per_kg * build.weights.hour + HAIR


def add_shelf(build: Build, keeping: Keeping, made: list[int]) -> None:
    """Rows "shelf.<good>.<way>.<month>": there = (1 - loss) x there a month ago + put by x yield - taken.

    It says the same as batches for a good that keeps longer than a year, with fewer columns.
    """
    columns = tuple(build.model.column(HAIR / MONTHS) for _ in range(MONTHS))
    build.shelves.append(Shelf(keeping, columns))
    store, kitchen = keeping.account, kitchen_account(keeping.gives)
    for month in range(MONTHS):
        name = f"shelf.{keeping.good}.{keeping.method}.{build.month(month)}"
        row = build.model.row(name, 0.0, 0.0)
        build.model.put(row, columns[month], -1.0)
        if build.larder.cyclic or month > 0:
            build.model.put(row, columns[month - 1], 1.0 - keeping.loss_in(month))
            build.flow(Arc(store, "soilair", keeping.gives, "spoil"), month, columns[month - 1], keeping.loss_in(month))
        if month in made:
            column = build.model.column(laying_cost(build, keeping))
            build.lay(keeping, month, column)
            build.model.put(row, column, keeping.yield_fraction)
            build.flow(
                Arc(kitchen_account(keeping.good), store, keeping.gives, "put_by"),
                month,
                column,
                keeping.yield_fraction,
            )
            rest = 1.0 - keeping.yield_fraction
            build.flow(Arc(kitchen_account(keeping.good), "soilair", keeping.good, "trim"), month, column, rest)
        if (keeping.gives, month) in build.kitchen:
            column = build.model.column()
            build.draw(keeping, month, column)
            build.model.put(row, column, -1.0)
            build.flow(Arc(store, kitchen, keeping.gives, "take"), month, column)


def add_batches(build: Build, keeping: Keeping, made: list[int]) -> None:
    """A column for each batch: put by in one month, taken in a later one, within the shelf life."""
    for month in made:
        for age in range(1, shelf_months(keeping) + 1):
            taken = month + age
            if build.larder.cyclic or taken < MONTHS:
                add_batch(build, keeping, month, taken % MONTHS)
        if not build.larder.cyclic and month + keeping.shelf_life_months >= MONTHS:
            add_batch(build, keeping, month, MONTHS)


def add_batch(build: Build, keeping: Keeping, made: int, taken: int, lain: float = 0.0) -> int:
    """The column of one batch, in kilograms put by."""
    column = build.model.column(laying_cost(build, keeping) if made >= 0 else HAIR)
    batch = Batch(keeping, made, taken, lain, column)
    build.batches.append(batch)
    if made >= 0:
        build.lay(keeping, made, column)
    if taken < MONTHS:
        kept = keeping.yield_fraction * keeping.kept(made, batch.ages, lain)
        build.draw(keeping, taken, column, kept)
    return column


def add_opening(build: Build) -> None:
    """What is on the shelves today: it can be taken until its shelf life ends, or is left there."""
    ways = {(keeping.good, keeping.method): keeping for keeping in build.larder.keepings}
    for good, method, kg, lain in build.larder.opening:
        keeping = ways.get((good, method))
        if keeping is None:
            continue
        row = build.model.row(f"opening.{good}.{method}", kg, kg)
        build.opening_rows.append((good, method, lain, row))
        for taken in opening_taken(keeping, lain):
            column = add_batch(build, keeping, -1, taken, lain)
            build.model.put(row, column, keeping.yield_fraction)


def opening_taken(keeping: Keeping, lain: float) -> list[int]:
    """Months in which what has lain so long can be taken, and MONTHS if it keeps beyond the year."""
    left = keeping.shelf_life_months - lain
    last = opening_months(keeping, lain)
    return [*range(last), MONTHS] if left >= MONTHS else list(range(last))


def add_fresh_limits(build: Build, arriving: dict[str, F64]) -> None:
    """No second shelf life: what comes off a shelf is not put by again, and only the last of a month's good waits.

    "fresh.<good>.<month>": put by as it is <= what arrived anew (needless for what outlives the year anyway).
    "wait.<good>.<way>.<month>": with a shelf life under a month, put by <= shelf life x what arrived anew.
    """
    plain: dict[tuple[str, int], list[int]] = defaultdict(list)
    brief: dict[tuple[Keeping, int], list[int]] = defaultdict(list)
    ageing = {keeping.good for keeping in build.larder.keepings if keeping.shelf_life_months < MONTHS}
    for keeping, month, column in build.laid:
        if keeping.gives == keeping.good and keeping.good in ageing:
            plain[keeping.good, month].append(column)
        if keeping.shelf_life_months < 1.0:
            brief[keeping, month].append(column)
    for (good, month), columns in plain.items():
        if build.drawn.get((good, month)):
            limit_to_new(build, f"fresh.{good}.{build.month(month)}", (good, month), columns, 1.0, arriving=arriving)
    for (keeping, month), columns in brief.items():
        name = f"wait.{keeping.good}.{keeping.method}.{build.month(month)}"
        life = keeping.life_in(month)
        limit_to_new(build, name, (keeping.good, month), columns, life, arriving=arriving)


def limit_to_new(
    build: Build, name: str, where: tuple[str, int], columns: list[int], share: float, *, arriving: dict[str, F64]
) -> None:
    """Row: the columns <= share x what arrives anew of the good in the month."""
    good, month = where
    constant = float(arriving[good][month]) if good in arriving else 0.0
    row = build.model.row(name, upper=share * constant)
    build.sides[where].append((row, share))
    for column in columns:
        build.model.put(row, column, 1.0)
    for column, kg in build.home[where]:
        if column not in build.drawn[where]:
            build.model.put(row, column, -share * kg)
    for column, kg in build.flows.get((Arc("outside", kitchen_account(good), good, "buy"), month), ()):
        build.model.put(row, column, -share * kg)


def add_rooms(build: Build) -> None:
    """Rows "store.<place>.<month>": litres of all that lies in the rooms of a kind at the month's end <= their volume."""
    rows: dict[tuple[str, int], int] = {}
    lying = [
        (batch.keeping, month, batch.column, kept) for batch in build.batches for month, kept in batch.on_shelf()
    ] + [(shelf.keeping, month, column, 1.0) for shelf in build.shelves for month, column in enumerate(shelf.on_shelf)]
    for keeping, month, column, kept in lying:
        if not keeping.place or keeping.litres_per_kg <= 0.0:
            continue
        at = (keeping.place, month)
        if at not in rows:
            volume = build.larder.rooms_litres.get(keeping.place, 0.0)
            rows[at] = build.model.row(f"store.{keeping.place}.{build.month(month)}", upper=volume)
        build.model.put(rows[at], column, keeping.litres_per_kg * kept)


def add_kitchen_hands(build: Build) -> None:
    """Rows "jars.<month>" and "dryer.<month>": what the kitchen can fill and dry in a month."""
    for what, limit in (("jars", build.larder.jar_litres_month), ("dryer", build.larder.dry_kg_month)):
        rows: dict[int, int] = {}
        for keeping, month, column in build.laid:
            amount = keeping.jar_litres_per_kg if what == "jars" else float(keeping.dried)
            if amount <= 0.0:
                continue
            if month not in rows:
                rows[month] = build.model.row(f"{what}.{build.month(month)}", upper=limit)
            build.model.put(rows[month], column, amount)
