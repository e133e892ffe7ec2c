"""Hours of the year: every event of ground, stock, kitchen and barn through the task table."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from yardland.accounts.keeping_year import put_in_kg
from yardland.larder.plan import Plan
from yardland.ledger.arcs import Arc
from yardland.ledger.months import Month
from yardland.reference import Tables
from yardland.works.events import making_events, mowing_events, putting_by_events, shelling_events
from yardland.works.hours import Event, hours

F64 = npt.NDArray[np.float64]


def hours_by_week(events: Iterable[Event], plan: Plan, tables: Tables, months: tuple[Month, ...]) -> dict[str, F64]:
    """Hours of each group of tasks, [52]: the season's events, and what the plan decides: putting by, making, shelling, cutting."""
    put_by = {f"{good}.{method}": kg for (good, method), kg in put_in_kg(plan).items()}
    rows = {key: kg for key, kg in put_by.items() if tables.has("stores", key)}
    kitchen = [
        *putting_by_events(tables, rows, months),
        *making_events(makings_taken_kg(plan, tables), months),
        *shelling_events(plan.eaten_kg, months),
    ]
    return hours([*events, *kitchen, *cutting_events(plan, months)], tables)


def cutting_events(plan: Plan, months: tuple[Month, ...]) -> list[Event]:
    """Work of cutting standing grass that the plan puts by in another form (silage, haylage): dry matter stored, by month.

    What the season mowed of its own accord has its events there, and is taken off here.
    """
    tasks = {way.gives: way.task for way in plan.larder.cuts if way.task}
    season_kg: dict[tuple[str, str], F64] = {}
    for item in plan.larder.production.gathered:
        if item.good in tasks:
            at = (item.account, item.good)
            season_kg[at] = season_kg.get(at, np.zeros(12)) + item.fresh_kg
    events: list[Event] = []
    for index, arc in enumerate(plan.arcs):
        if arc.kind == "gather" and arc.good in tasks:
            fresh_kg = plan.fresh_kg[index] - season_kg.get((arc.source, arc.good), 0.0)
            dm_kg = np.maximum(fresh_kg, 0.0) * plan.larder.goods[arc.good].dm_fraction
            events += mowing_events(arc.source.partition(":")[2], tasks[arc.good], dm_kg, months)
    return events


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
