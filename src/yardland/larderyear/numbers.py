"""Numbers as JSON can hold them."""

from __future__ import annotations

import math

from yardland.errors import YardlandError

DECIMALS = 6


def number(value: float) -> float:
    """A finite number, rounded to six decimals.

    Raises:
        YardlandError: NaN or infinity.
    """
    if not math.isfinite(value):
        raise YardlandError(f"a result is {value}, which no reader can use")
    return round(float(value), DECIMALS) + 0.0


def maybe(value: float | None) -> float | None:
    """A number, or nothing where there is none."""
    return None if value is None else number(value)
