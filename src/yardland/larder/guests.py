"""Guests as eaters: reference adults and children of the Dietary Reference Intakes, on the days that they are here."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.ledger.months import Month

if TYPE_CHECKING:
    from yardland.holding.model import Guests, Person
    from yardland.reference import Tables

F64 = npt.NDArray[np.float64]
GUEST_AGES = {"adult": 35.0, "child": 10.0}
"""Years; our choice of a guest in general, half of them women and girls."""
STAGES = {("adult", "m"): "male_31_50", ("adult", "f"): "female_31_50", ("child", "m"): "male_9_13", ("child", "f"): "female_9_13"}  # fmt: skip
"""Life stages whose reference weights guests have."""
MEAN_YEAR_DAYS = 365.25


def presence(guests: Guests, months: tuple[Month, ...]) -> F64:
    """Share of each month that the guests are fed here, float64 [12]: days here x the share of a day's meals."""
    share = [
        sum(any(visit.holds(date(month.year, month.month, day + 1)) for visit in guests.when) for day in range(month.days))
        / month.days
        for month in months
    ]  # fmt: skip
    return guests.meals * np.array(share)


def people_of(guests: Guests, tables: Tables, on: date) -> Iterator[tuple[Person, float]]:
    """Persons that stand for the guests, with how many of each come.

    Args:
        guests: an entry of the plan.
        tables: reference table `needs`, for the reference weights.
        on: the day on which they have their ages.
    """
    from yardland.holding.model import Person

    for kind, count in (("adult", guests.adults), ("child", guests.children)):
        born = on - timedelta(days=round(GUEST_AGES[kind] * MEAN_YEAR_DAYS))
        for sex in ("f", "m"):
            weight = tables.row("needs", f"{STAGES[kind, sex]}.protein_g_per_kg").need("ref_weight_kg")
            person = Person(born=born, sex=sex, weight_kg=weight, activity=guests.activity, no=guests.no)
            if count:
                yield person, count / 2.0
