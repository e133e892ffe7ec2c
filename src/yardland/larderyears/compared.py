"""Two plans on the same drawn years: every chain has the same weather, hazards and levels, so that only the plans differ."""

from __future__ import annotations

from dataclasses import dataclass

from yardland.larderyears.result import Odds
from yardland.odds.paired import Difference, paired_difference
from yardland.odds.share import Share


@dataclass(frozen=True)
class Compared:
    """The other plan, its reliability, and how much more reliable it is than the first."""

    name: str
    reliability: Share
    difference: Difference


def compared(first: Odds, other: Odds) -> Compared:
    """Compare two runs.

    Raises:
        ValueError: they did not run the same chains, or fewer than two.
    """
    difference = paired_difference(first.shortage.short_years, other.shortage.short_years)
    return Compared(other.years.prepared.ground.holding.place.name, other.reliability, difference)
