"""What a reader should know of who sits at the table: children not yet in the plan, guests of another year."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from yardland.larder.bearing import missing_children
from yardland.larder.guests import presence
from yardland.ledger.months import Month

if TYPE_CHECKING:
    from yardland.holding.model import Holding
    from yardland.reference import Tables


def table_notes(holding: Holding, tables: Tables, months: tuple[Month, ...]) -> tuple[str, ...]:
    """Notes on people and guests of a larder year.

    Args:
        holding: the plan.
        tables: reference table `bearing`.
        months: the larder months in which the people have their ages.
    """
    return (*children_notes(holding, tables, months), *guest_notes(holding, months))


def children_notes(holding: Holding, tables: Tables, months: tuple[Month, ...]) -> Iterator[str]:
    """Children that eat from the larder within the year and are not among the people."""
    for mother, born in missing_children(holding.people, tables, months):
        yield (
            f"the child that {mother} has on {born} eats from the larder from half a year on and is not among the people: "
            "add it when it is there"
        )


def guest_notes(holding: Holding, months: tuple[Month, ...]) -> Iterator[str]:
    """Guests who do not come within the year, though the plan has dates for them."""
    first = date(months[0].year, months[0].month, 1)
    for name, guests in holding.guests.items():
        if not np.any(presence(guests, months) > 0.0):
            yield f"the guests {name} do not come within the larder year from {first}, which is the one reckoned"
