"""Sense of the places where food lies: warmth that such a place can have, and power cuts where there is power."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from yardland.errors import Fault
from yardland.holding.draft import Draft
from yardland.holding.folder import PLAN
from yardland.holding.known import KnownNames

COLD = "freezer"
"""The kind of place whose food a power cut spoils."""


def temperatures(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """A store's own temperature is one that such a place can have."""
    for name, store in draft.store.items():
        span = known.store_c.get(store.kind)
        if store.temperature_c is None or span is None or span[0] <= store.temperature_c <= span[1]:
            continue
        found, expected = f"{store.temperature_c:g} C in a {store.kind}", f"{span[0]:g} to {span[1]:g} C"
        remedy = "Correct the temperature (degrees Celsius) or the kind, or leave it out: it then follows the weather."
        yield Fault(PLAN, f"store.{name}.temperature_c", found, expected, remedy)


def power(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """Power cuts are said of freezers only: nothing else that lies long hangs on the mains."""
    for name, store in draft.store.items():
        if store.power_cut_days_per_year > 0.0 and store.kind != COLD:
            found = f"{store.power_cut_days_per_year:g} days in a {store.kind}"
            remedy = "Write it at the freezer, or take it out."
            yield Fault(PLAN, f"store.{name}.power_cut_days_per_year", found, f'kind = "{COLD}"', remedy)


CHECKS = (temperatures, power)
