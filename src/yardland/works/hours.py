"""Hours = task table x events, by week."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.errors import TableError
from yardland.holding.model import HoursSpan, Person
from yardland.ledger.months import DAYS_IN_YEAR, Month
from yardland.reference import Tables
from yardland.works.weeks import WEEKS, days_in_week

F64 = npt.NDArray[np.float64]
FIELD_DAY_H = 9.0
"""Hours of the field day that the task table's hectares a day stand for ("8-10 h")."""
CARE, ROUND, MAKE = "care:", "round:", "make:"
"""Task keys that stand for a figure of another table: daily care of a class of stock, the fixed daily round of its
group (table stock), a making in kitchen, dairy or mill (table makings)."""


@dataclass(frozen=True, slots=True)
class Event:
    """Work that falls in a week (0-51): `amount` in `unit` (m2, kg, head, day, head day, plant, m, m3, move) of a task."""

    week: int
    task_key: str
    amount: float
    unit: str
    subject: str


@dataclass(frozen=True, slots=True)
class Rate:
    """What a task takes: hours for one `unit`, counted under `group`."""

    group: str
    unit: str
    hours: float


PATTERNS: tuple[tuple[str, str, float, bool], ...] = (
    (r"h/100 m2", "m2", 1.0 / 100.0, False),
    (r"h/100 m row", "m", 1.0 / 100.0, False),
    (r"h/1,000 plants", "plant", 1.0 / 1000.0, False),
    (r"kg/h", "kg", 1.0, True),
    (r"h/t\b", "kg", 1.0 / 1000.0, False),
    (r"h/kg\b", "kg", 1.0, False),
    (r"h/ha\b", "m2", 1.0 / 10000.0, False),
    (r"ha/day|ha per", "m2", FIELD_DAY_H / 10000.0, True),
    (r"min/day", "day", 1.0 / 60.0, False),
    (r"h/m3", "m3", 1.0, False),
    (r"h/move", "move", 1.0, False),
    (r"h/|h per ", "head", 1.0, False),
)
"""Units of the task table, what is counted, hours per unit of the figure, and whether the figure is a speed."""


def rate(tables: Tables, task_key: str) -> Rate:
    """Hours of one unit of a task.

    Raises:
        TableError: an unknown task, or a unit that is none of `PATTERNS`.
    """
    kind, _, key = task_key.partition(":")
    if kind + ":" == CARE:
        return Rate("livestock", "head day", (tables.row("stock", key)["labour_min_per_head_day"] or 0.0) / 60.0)
    if kind + ":" == ROUND:
        return Rate("livestock", "day", (tables.row("stock", key)["labour_min_per_herd_day_fixed"] or 0.0) / 60.0)
    if kind + ":" == MAKE:
        return Rate("preserving", "kg", tables.row("makings", key)["hours_per_kg"] or 0.0)
    row = tables.row("tasks", task_key)
    for pattern, unit, scale, speed in PATTERNS:
        if re.match(pattern, row.text("unit")):
            typical = row.need("typical")
            return Rate(row.text("group"), unit, scale / typical if speed else scale * typical)
    raise TableError(f"task {task_key} has a unit that is not understood: {row.text('unit')!r}")


def hours(events: Iterable[Event], tables: Tables) -> dict[str, F64]:
    """Hours of each group of tasks in each week, float64 [52].

    Raises:
        TableError: an event is counted in another unit than its task.
    """
    rates: dict[str, Rate] = {}
    total: dict[str, F64] = {}
    for event in events:
        known = rates.get(event.task_key) or rates.setdefault(event.task_key, rate(tables, event.task_key))
        if event.unit != known.unit:
            raise TableError(f"task {event.task_key} is counted in {known.unit}, not in {event.unit}")
        total.setdefault(known.group, np.zeros(WEEKS))[event.week] += event.amount * known.hours
    return total


def spread(weeks: tuple[int, ...], task_key: str, amount: float, unit: str, subject: str) -> list[Event]:
    """One task shared evenly over weeks; no event if there is nothing to do."""
    if amount <= 0.0 or not task_key or not weeks:
        return []
    return [Event(week, task_key, amount / len(weeks), unit, subject) for week in weeks]


def available_hours(people: Mapping[str, Person], months: tuple[Month, ...]) -> F64:
    """Hours that the household has for the holding in each week, float64 [52]; people who are away give none."""
    daily = np.zeros(DAYS_IN_YEAR)
    for person in people.values():
        for month in months:
            here = np.array([_here(person, month.month, day + 1) for day in range(month.days)])
            week_hours = next((span.hours for span in person.hours_week if _in_span(span, month.month)), 0.0)
            daily[month.first_day : month.first_day + month.days] += here * week_hours / 7.0
    return np.array([daily[list(days_in_week(week))].sum() for week in range(WEEKS)])


def _in_span(span: HoursSpan, month: int) -> bool:
    return (month - span.first_month) % 12 <= (span.last_month - span.first_month) % 12


def _here(person: Person, month: int, day: int) -> bool:
    at = (month, day)
    for away in person.away:
        inside = away.start <= at <= away.end if away.start <= away.end else at >= away.start or at <= away.end
        if inside:
            return False
    return True
