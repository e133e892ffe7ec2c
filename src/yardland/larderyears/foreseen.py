"""The foresight bound beside what the policy did, on the counted years of some chains of a run.

Of each chain the bound opens with what the policy had when the first counted year opened, is brought what really came,
and leaves no less of anything than the policy left: only what was known differs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larderyears.bound import Bound, check, foresight
from yardland.larderyears.chains import grow_chains
from yardland.larderyears.hunger import Hunger, own_copy
from yardland.larderyears.run import ROUNDING, Years
from yardland.larderyears.sides import Brought, brought
from yardland.larderyears.start import calendar_of
from yardland.larderyears.told import ChainTold
from yardland.odds.reliability import reliability
from yardland.odds.share import Share

Bool = npt.NDArray[np.bool_]
MOST_SOLVED = 5
"""Programs of whole chains that are solved at most (own choice: under a tenth of a run of fifty years)."""
NONE_LACKS = 1e-9
"""Months' needs under which a chain lacks nothing: foresight then lacks nothing either, and no program is solved."""


@dataclass(frozen=True)
class Foreseen:
    """Foresight and policy on the same years.

    reliability, policy : shares of these years without a short month ; chains : how many, the first ones of the run
    shortfall, policy_shortfall : months' needs of energy and of protein that lack, a year
    """

    reliability: Share
    policy: Share
    chains: int
    shortfall: float
    policy_shortfall: float


def foreseen(run: Years, tell: Callable[[int], None] | None = None) -> Foreseen:
    """The bound of the first chains of a run, until MOST_SOLVED of them had to be solved.

    Args:
        run: chains that are done.
        tell: is told how many programs are solved.

    Raises:
        LarderError: a bound was not solved, or is none.
    """
    below = run.prepared.ground.holding.goal.short_below - ROUNDING
    seen = list(bounds(run, tell))
    chains = run.chains[: len(seen)]
    own = np.array([one.least[run.counted].min(axis=(1, 2)) < below for one in chains])
    best = np.array([one.least.min(axis=(1, 2)) < below for one in seen])
    lacks = sum(float(one.shortfall[run.counted].sum()) for one in chains)
    return Foreseen(
        reliability(best),
        reliability(own),
        len(chains),
        sum(one.shortfall for one in seen) / own.size,
        lacks / own.size,
    )


def bounds(run: Years, tell: Callable[[int], None] | None) -> Iterator[Bound]:
    """The bound of each chain, in order."""
    solved = 0
    for chain in run.chains:
        lacks = float(chain.shortfall[run.counted].sum())
        if lacks <= NONE_LACKS:
            yield Bound(np.ones_like(chain.least[run.counted]), 0.0)
            continue
        if solved == MOST_SOLVED:
            return
        yield check(bound_of(run, chain), lacks)
        solved += 1
        if tell is not None:
            tell(solved)


def bound_of(run: Years, chain: ChainTold) -> Bound:
    """The bound of a chain's counted years."""
    counted = run.counted
    return foresight(
        run.prepared,
        came_to(run, chain).of(counted),
        chain.opening_kg[counted.start],
        chain.opening_kg[counted.stop],
        float(chain.unmade_kg[counted].sum()),
    )


def grown_again(run: Years, chain: int) -> Brought:
    """What the years of a chain bring to well-fed stock: the same as when it was walked."""
    asked, shared = run.asked, run.prepared
    calendar = calendar_of(shared.ground.holding, asked.length)
    grown = grow_chains(shared.ground, asked.seed, [chain], asked.length, asked.warmer_c, calendar)
    return brought(shared.frame, grown.productions[0])[0]


def came_to(run: Years, chain: ChainTold) -> Brought:
    """What the years of a chain brought, less what hunger of stock cost."""
    shared = run.prepared
    came = own_copy(grown_again(run, chain.chain))
    hunger = Hunger(shared.frame, shared.policy.stack)
    lacked = hunger.none()
    for year in range(len(came)):
        for month in range(MONTHS):
            hunger.lower(came, year, month, lacked)
            lacked = chain.feed_short[year, :, month]
    return came


def programs(run: Years) -> int:
    """How many programs `foreseen` will solve."""
    hungry = sum(float(one.shortfall[run.counted].sum()) > NONE_LACKS for one in run.chains)
    return min(hungry, MOST_SOLVED)
