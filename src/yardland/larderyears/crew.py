"""Chains done in order, wherever the work is done: grown a few at a time and ahead of need, walked one by one, kept at once."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from yardland.larderyears.chains import Struck
from yardland.larderyears.kept import Kept
from yardland.larderyears.places import Doing, Place
from yardland.larderyears.told import ChainTold
from yardland.larderyears.work import GrownChain, grow, walk

CHAINS_AT_A_TIME = 27
"""Chains that are grown together: their fixed cost is shared by all, and of fourteen years each they fill the blocks of lanes of
the growth kernel, also where a rotation of three years deals them out."""
AHEAD = 2
"""Walks given out for each slot: one that is done, one that waits."""


@dataclass(frozen=True, order=True)
class Job:
    """A chain under a draw of yields; draw 0 has the handbooks' middle."""

    draw: int
    chain: int


@dataclass(frozen=True)
class Done:
    """A job that is done: what its chain says, and what struck it."""

    told: ChainTold
    struck: tuple[Struck, ...]


class Crew:
    """Does jobs at a place. Iterate over `results()`; whatever ends the iteration, work that is out is dropped."""

    def __init__(self, place: Place, jobs: Sequence[Job], kept: Kept | None = None) -> None:
        """Take up what is kept of the jobs.

        Args:
            place: that holds what the chains share.
            jobs: in the order in which they are wanted.
            kept: where chains that are done are looked for, and kept.
        """
        self.place, self.jobs, self.kept = place, tuple(jobs), kept
        self.done: dict[Job, Done] = {}
        for job in self.jobs:
            found = None if kept is None else kept.load(job.draw, job.chain)
            if found is not None:
                self.done[job] = Done(*found)
        self.taken_up = len(self.done)
        missing = [job for job in self.jobs if job not in self.done]
        chains = list(dict.fromkeys(job.chain for job in missing))
        self.blocks = deque(tuple(chains[at : at + CHAINS_AT_A_TIME]) for at in range(0, len(chains), CHAINS_AT_A_TIME))
        self.draws = {
            chain: [job.draw for job in group]
            for chain, group in groupby(sorted(missing, key=lambda job: job.chain), key=lambda job: job.chain)
        }
        self.growing: dict[Doing, tuple[int, ...]] = {}
        self.waiting: deque[tuple[Job, GrownChain]] = deque()
        self.walking: dict[Doing, tuple[Job, GrownChain]] = {}

    def results(self) -> Iterator[tuple[Job, Done]]:
        """Every job in order, as soon as it and all before it are done.

        Raises:
            InputFaults: the place is gone.
            LarderError: a month's program was not solved as it must be.
        """
        try:
            for job in self.jobs:
                while job not in self.done:
                    self.give_out()
                    self.take_in()
                yield job, self.done.pop(job)
        finally:
            self.place.drop([*self.growing, *self.walking])

    def give_out(self) -> None:
        """Keep every slot busy: growth before walks, so that the next chains are there when they are wanted."""
        most = AHEAD * self.place.slots
        while self.blocks and len(self.waiting) + sum(map(len, self.growing.values())) < most:
            block = self.blocks.popleft()
            self.growing[self.place.submit(grow, block)] = block
        while self.waiting and len(self.walking) < most:
            job, grown = self.waiting.popleft()
            self.walking[self.place.submit(walk, job.draw, grown)] = (job, grown)

    def take_in(self) -> None:
        """Wait for something to be finished; keep chains, queue what was grown."""
        for doing in self.place.finished([*self.walking, *self.growing]):
            if doing in self.walking:
                job, grown = self.walking.pop(doing)
                told: ChainTold = doing.result()
                self.done[job] = Done(told, grown.struck)
                if self.kept is not None:
                    self.kept.save(job.draw, told, grown.struck)
            else:
                del self.growing[doing]
                grown_chains: list[GrownChain] = doing.result()
                self.waiting.extend(
                    (Job(draw, one.chain), one) for one in grown_chains for draw in self.draws[one.chain]
                )
