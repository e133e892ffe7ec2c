"""Which calendar year a plan is about: its people and trees are as old as in that year, whatever weather is laid over it."""

from __future__ import annotations

from datetime import UTC, datetime

from yardland.holding.model import Holding


def plan_year(holding: Holding) -> int:
    """Calendar year in which the plan's larder year starts: the one that holds `start.on`, else the one that holds today."""
    on = holding.start.on or datetime.now(tz=UTC).date()
    starts = holding.place.year_starts
    return on.year if (on.month, on.day) >= (starts.month, starts.day) else on.year - 1
