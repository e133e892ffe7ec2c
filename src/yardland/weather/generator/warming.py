"""Warming of drawn years: degrees added to both temperatures by month."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.weather.generator.model import MONTH_OF_DAY
from yardland.weather.types import F64

KEPT = "the dew point rises alike, so that relative humidity stays; rain, range and radiation are not changed"


@dataclass(frozen=True)
class Warming:
    """C by month [12], January first: `at_once_c` of every year alike, `per_decade_c` in proportion to the year's number."""

    at_once_c: F64
    per_decade_c: F64

    @classmethod
    def of(cls, at_once_c: float | F64, per_decade_c: float | F64) -> Warming:
        """One figure or twelve of each; raises `ValueError` for others and for what is not finite."""
        return cls(_twelve(at_once_c), _twelve(per_decade_c))

    def of_years_c(self, years: npt.NDArray[np.int64]) -> F64:
        """Degrees of every day of the years with these numbers, [years, 365]."""
        by_month = self.at_once_c + years[:, None] / 10 * self.per_decade_c
        return np.asarray(by_month[:, MONTH_OF_DAY])

    @property
    def notes(self) -> tuple[str, ...]:
        """What a result says of it; nothing of none."""
        said = []
        if self.at_once_c.any():
            said.append(f"Warmed by {_span(self.at_once_c)} C: {KEPT}.")
        if self.per_decade_c.any():
            said.append(f"Warmed by {_span(self.per_decade_c)} C a decade from year 0 on: {KEPT}.")
        return tuple(said)


def _twelve(change_c: float | F64) -> F64:
    change = np.broadcast_to(np.asarray(change_c, dtype=np.float64), (12,))
    if not np.isfinite(change).all():
        raise ValueError("warming is a number, or twelve, in C")
    return change


def _span(change_c: F64) -> str:
    low, high = change_c.min(), change_c.max()
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"
