"""The second gate: a plan of the right form may still make no sense. Small checks of one shape, walked by one loop."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

from yardland.errors import Fault
from yardland.holding import (
    sense_feeds,
    sense_ground,
    sense_people,
    sense_sheets,
    sense_stock,
    sense_stores,
    sense_table,
)
from yardland.holding.draft import Draft
from yardland.holding.known import KnownNames

Check = Callable[[Draft, KnownNames, date], Iterator[Fault]]

CHECKS: tuple[Check, ...] = (
    *sense_people.CHECKS,
    *sense_table.CHECKS,
    *sense_ground.CHECKS,
    *sense_stock.CHECKS,
    *sense_stores.CHECKS,
    *sense_feeds.CHECKS,
    *sense_sheets.CHECKS,
)


def sense_faults(draft: Draft, known: KnownNames, today: date) -> list[Fault]:
    """Everything that makes no sense in what could be read of a plan, as of `today`."""
    return [fault for check in CHECKS for fault in check(draft, known, today)]
