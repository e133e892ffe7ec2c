"""Two plans on the same drawn years: every chain has the same weather, hazards and levels, so that only the plans differ."""

from __future__ import annotations

from dataclasses import dataclass

from yardland.larderyears.moves import Move, moves
from yardland.larderyears.result import Odds
from yardland.odds.paired import Difference, paired_difference
from yardland.odds.reliability import reliability
from yardland.odds.share import Share

FEWEST_CHAINS = 2
"""Chains without which nothing is known of how far a difference may be chance."""


@dataclass(frozen=True)
class Compared:
    """The other plan, its reliability in the chains that both did, how much more reliable it is than the first, and what moves."""

    name: str
    reliability: Share
    difference: Difference
    moves: tuple[Move, ...] = ()


def compared(first: Odds, other: Odds) -> Compared | None:
    """Compare two runs over the chains that both did: either may have ended sooner; None where they are fewer than two.

    Args:
        first: of the plan.
        other: of another plan, of the same seed and length of chains.
    """
    both = min(first.reliability.chains, other.reliability.chains)
    if both < FEWEST_CHAINS:
        return None
    before, after = first.shortage.short_years[:both], other.shortage.short_years[:both]
    name = other.years.prepared.ground.holding.place.name
    share = other.reliability if both == other.reliability.chains else reliability(after)
    return Compared(name, share, paired_difference(before, after), moves(first, other, both))
