"""Hours of the year: every event of ground, stock, kitchen and barn through the task table."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from yardland.larder.plan import Plan
from yardland.ledger.arcs import Arc
from yardland.ledger.months import Month
from yardland.reference import Tables
from yardland.works.events import making_events, putting_by_events
from yardland.works.hours import Event, hours

F64 = npt.NDArray[np.float64]


def hours_by_week(events: Iterable[Event], plan: Plan, tables: Tables, months: tuple[Month, ...]) -> dict[str, F64]:
    """Hours of each group of tasks, [52]: the season's events, and those of putting by and making that the plan decides."""
    put_by = {f"{good}.{method}": kg for (good, method), kg in plan.put_by_kg.items()}
    rows = {key: kg for key, kg in put_by.items() if tables.has("stores", key)}
    kitchen = [*putting_by_events(tables, rows, months), *making_events(makings_taken_kg(plan, tables), months)]
    return hours([*events, *kitchen], tables)


def makings_taken_kg(plan: Plan, tables: Tables) -> dict[str, F64]:
    """Kilograms that go into each making (one row for each process), by month."""
    taken: dict[str, F64] = {}
    seen: set[str] = set()
    for key in tables.keys("makings"):
        row = tables.row("makings", key)
        if row.text("process") in seen:
            continue
        seen.add(row.text("process"))
        arc = Arc(f"kitchen:{row.text('takes')}", f"kitchen:{row.text('gives')}", row.text("gives"), "make")
        share = row["kg_per_kg"]
        if arc in plan.arcs and share:
            taken[key] = plan.fresh_kg[plan.arcs.index(arc)] / share
    return taken
