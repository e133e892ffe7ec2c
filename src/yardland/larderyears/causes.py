"""Why years are short: each link is relaxed by a tenth, bad years are walked again, and what mends most is told.

Walked again, and not solved with foresight: foresight would often be short of nothing in the same years, and its links
would say nothing of a household that does not know the future. Marginal values are not used. A way out is offered
only with what it did over whole chains.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from yardland.larderyears.foreseen import grown_again
from yardland.larderyears.links import Link, links_of, relaxed_policy, relaxed_years
from yardland.larderyears.places import Place, open_place
from yardland.larderyears.run import ROUNDING, Years
from yardland.larderyears.sides import Brought
from yardland.larderyears.told import ChainTold, tell_chain
from yardland.larderyears.window_walk import walker_of
from yardland.larderyears.work import Ready, ready

STRETCHES = 3
"""Chains whose worst year is walked again (own choice)."""
LED_IN = 1
"""Years before a bad one that are walked with it, so that what is put by in them counts."""
FINALISTS = 8
"""Links that are tried on every stretch; all are tried on the worst one (own choice)."""
OFFERED = 3
"""Ways out that are walked over whole chains."""
OFFERED_YEARS = 20
"""Counted years of these chains, at the least one chain."""
LACKS = 1e-3
"""Months' needs a year from which a chain counts as short of something."""
WORTH_TELLING = 0.005
"""Least share of the shortage that a link must mend to be told."""


@dataclass(frozen=True)
class Stretch:
    """A bad year with the year before it: its chain, the place of its first year, what it brings, what lay there."""

    chain: int
    first: int
    years: Brought
    opening_kg: Any


@dataclass(frozen=True)
class Offered:
    """A way out over whole chains that were short: counted years, short ones, and months' needs that lack a year, before and after."""

    years: int
    short_before: int
    short_after: int
    shortfall_before: float
    shortfall_after: float


@dataclass(frozen=True)
class Cause:
    """What a tenth of a link mends of the shortage of the bad years.

    mended_share : of what lacked there ; mended_month_needs : the same in months' needs ; offered : None where it is not among the first
    """

    link: Link
    mended_share: float
    mended_month_needs: float
    offered: Offered | None = None


@dataclass(frozen=True)
class Causes:
    """stretches, years : how many were walked again ; shortfall : months' needs that lacked in them ; causes : the most helpful first."""

    stretches: int
    years: int
    shortfall: float
    causes: tuple[Cause, ...]


def find_causes(run: Years, tell: Callable[[int], None] | None = None, place: Place | None = None) -> Causes:
    """Rank the links of a run; nothing where nothing lacked.

    Args:
        run: chains that are done.
        tell: is told how many walks are done.
        place: where they are done; opened for them if None.

    Raises:
        LarderError: a month's program was not solved as it must be.
        InputFaults: a process has died.
    """
    stretches = bad_stretches(run)
    if not stretches:
        return Causes(0, 0, 0.0, ())
    own = open_place(run.asked.jobs) if place is None else None
    try:
        at = own or place or open_place(1)
        at.hold(ready(run.prepared, run.asked))
        return Search(run, at, tell).causes(stretches)
    finally:
        if own is not None:
            own.close()


def bad_stretches(run: Years) -> list[Stretch]:
    """The worst counted year of each of the worst chains, the worst first."""
    first = run.counted.start
    worst = sorted(
        ((one, first + int(np.argmax(one.shortfall[run.counted]))) for one in run.chains),
        key=lambda found: (-found[0].shortfall[found[1]], found[0].chain),
    )
    found = []
    for chain, year in worst[:STRETCHES]:
        if chain.shortfall[year] > LACKS:
            begins = max(year - LED_IN, 0)
            years = grown_again(run, chain.chain).of(slice(begins, year + 1))
            found.append(Stretch(chain.chain, begins, years, chain.opening_kg[begins]))
    return found


class Search:
    """Tries links on stretches, and the first ones on whole chains."""

    def __init__(self, run: Years, place: Place, tell: Callable[[int], None] | None) -> None:
        """Nothing is tried yet."""
        self.run, self.place, self.tell = run, place, tell
        self.walks = 0

    def causes(self, stretches: Sequence[Stretch]) -> Causes:
        """All links on the worst stretch, the better half of them on all, the first few on whole chains."""
        links: list[Link | None] = [None, *links_of(self.run.prepared)]
        lacks = dict(zip((key_of(one) for one in links), self.each(links, stretches[:1]), strict=True))
        some = sorted(links[1:], key=lambda one: (lacks[key_of(one)], key_of(one)))[:FINALISTS]
        best = [None, *(one for one in some if lacks[key_of(one)] < lacks[""])]
        if len(stretches) > 1:
            for one, more in zip(best, self.each(best, stretches[1:]), strict=True):
                lacks[key_of(one)] += more
        base = lacks[""]
        found = [Cause(one, 1.0 - lacks[one.key] / base, base - lacks[one.key]) for one in best if one is not None]
        ranked = sorted(found, key=lambda cause: (-cause.mended_share, cause.link.key))
        told = [cause for cause in ranked if cause.mended_share >= WORTH_TELLING]
        years = sum(len(one.years) for one in stretches)
        return Causes(len(stretches), years, base, (*self.offer(told[:OFFERED]), *told[OFFERED:]))

    def each(self, links: Sequence[Link | None], stretches: Sequence[Stretch]) -> list[float]:
        """Months' needs that lack in the stretches under each link."""
        return [sum(one.values()) for one in self.walk(links, stretches, lacking)]

    def offer(self, causes: Sequence[Cause]) -> list[Cause]:
        """The causes with what their ways out did over whole chains that were short."""
        run = self.run
        hungry = [one for one in run.chains if float(one.shortfall[run.counted].mean()) > LACKS]
        chains = hungry[: max(1, OFFERED_YEARS // run.asked.chain_years)]
        whole = [Stretch(one.chain, 0, grown_again(run, one.chain), run.prepared.opening_kg) for one in chains]
        before = outcome(run, chains)
        found = []
        for cause, done in zip(causes, self.walk([cause.link for cause in causes], whole, retold), strict=True):
            after = outcome(run, [*done.values()])
            found.append(replace(cause, offered=Offered(before[0], before[1], after[1], before[2], after[2])))
        return found

    def walk(
        self, links: Sequence[Link | None], stretches: Sequence[Stretch], work: Callable[..., Any]
    ) -> Iterator[dict[int, Any]]:
        """What the work says of each stretch under each link, link by link, wherever it is done."""
        given_out = {
            self.place.submit(work, link, stretch): (at, number)
            for at, link in enumerate(links)
            for number, stretch in enumerate(stretches)
        }
        found: list[dict[int, Any]] = [{} for _ in links]
        try:
            while given_out:
                for done in self.place.finished(given_out):
                    at, number = given_out.pop(done)
                    found[at][number] = done.result()
                    self.walks += 1
                    if self.tell is not None:
                        self.tell(self.walks)
        finally:
            self.place.drop(given_out)
        yield from (dict(sorted(one.items())) for one in found)


def key_of(link: Link | None) -> str:
    """Key of a link; "" for none."""
    return "" if link is None else link.key


def walked(held: Ready, link: Link | None, stretch: Stretch) -> ChainTold:
    """A stretch walked again, with a link relaxed or as it was; told in the plan's own plates and limits, by the same columns."""
    shared = held.shared
    policy = shared.policy if link is None else relaxed_policy(shared, link)
    years = stretch.years if link is None else relaxed_years(shared.frame, stretch.years, link)
    walker = walker_of(policy)
    turn = shared.ground.first_turn(stretch.chain) + stretch.first
    return tell_chain(held.tell, stretch.chain, walker.walk(years, stretch.opening_kg, turn))


def lacking(held: Ready, link: Link | None, stretch: Stretch) -> float:
    """Months' needs that lack in a stretch."""
    return float(walked(held, link, stretch).shortfall.sum())


def retold(held: Ready, link: Link | None, stretch: Stretch) -> ChainTold:
    """A whole chain, told again."""
    return walked(held, link, stretch)


def outcome(run: Years, chains: Sequence[ChainTold]) -> tuple[int, int, float]:
    """Counted years of some chains, how many of them are short, and months' needs that lack a year."""
    below = run.prepared.ground.holding.goal.short_below - ROUNDING
    short = np.array([one.least[run.counted].min(axis=(1, 2)) < below for one in chains])
    lacks = float(np.mean([one.shortfall[run.counted] for one in chains]))
    return short.size, int(short.sum()), lacks


def walks_of(run: Years) -> int:
    """About how many walks `find_causes` takes; 0 where nothing lacks."""
    stretches = len(bad_stretches(run))
    if not stretches:
        return 0
    links = len(links_of(run.prepared)) + 1
    chains = max(1, OFFERED_YEARS // run.asked.chain_years)
    return links + (FINALISTS + 1) * (stretches - 1) + OFFERED * min(chains, len(run.chains))
