"""The arithmetic of a round: groups that go through plots one behind the other."""

from __future__ import annotations

import math


def rest_days(stay_days: float, plots: int) -> float:
    """Days that each plot rests when one group stays `stay_days` on each of `plots` in turn: stay x (plots - 1)."""
    if plots < 1:
        raise ValueError("a round needs at least one plot")
    return stay_days * (plots - 1)


def paddocks(longest_rest_days: float, stay_days: float) -> int:
    """Plots that a round needs: longest rest / stay + 1, rounded up.

    Penn State Extension, "Four Steps to Rotational Grazing", step 3 (35 days of rest and 3 of stay: 13 plots).
    """
    if stay_days <= 0:
        raise ValueError("a stay lasts longer than no time")
    return math.ceil(longest_rest_days / stay_days - 1e-9) + 1
