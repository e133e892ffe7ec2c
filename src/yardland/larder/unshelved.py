"""What stores.csv says is on the shelves, and no shelf of the plan can hold: a fault, for else it would vanish."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from yardland.errors import Fault
from yardland.larder.description import Keeping

if TYPE_CHECKING:
    from yardland.holding.model import Holding, StoreRow
    from yardland.reference.tables import Tables

STORES = "stores.csv"


def unshelved(
    holding: Holding,
    tables: Tables,
    shelved: dict[int, tuple[str, str]],
    keepings: tuple[Keeping, ...],
    aside: frozenset[str],
) -> Iterator[Fault]:
    """Faults of the lines of stores.csv with which a year cannot begin.

    Args:
        holding: its stores.csv.
        tables: the ways of keeping, and where each of them is done.
        shelved: line -> (good, method), as the larder understands it; method "" where the tables know none.
        keepings: the ways that this holding has the room for.
        aside: foods that are kept in a corner and for which no shelf is planned.
    """
    ways = {(keeping.good, keeping.method) for keeping in keepings}
    for row in holding.stores_today:
        good, method = shelved.get(row.line, (row.good, ""))
        kept_aside = tables.has("goods", good) and tables.row("goods", good).text("food") in aside
        if row.kg > 0.0 and (good, method) not in ways and not kept_aside:
            yield fault(row, tables, good, method)


def fault(row: StoreRow, tables: Tables, good: str, method: str) -> Fault:
    """One line that cannot be counted, with the way to put it right."""
    known = [tables.row("stores", key) for key in tables.keys("stores")]
    places = {way.text("method"): way.text("place") for way in known if way.text("good") == good}
    found = f"{row.kg:g} kg of {row.good}" + (f", {method}" if method else "")
    where = f"line {row.line}, column " + ("method" if row.method else "good")
    if not places:
        return Fault(STORES, where, found, "a good that can be kept", "Take the line out: no way to keep it is known.")
    ways = ", ".join(f"{way} ({place})" for way, place in places.items())
    remedy = f"Add the place to [store], or name another way: {ways}. What keeps for under a week is not counted."
    return Fault(STORES, where, found, "a way of keeping that the plan has the place for", remedy)
