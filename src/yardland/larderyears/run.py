"""Chains of larder years, run and counted: `run_years()` prepares, has chains done, and stops when it has seen enough.

The chain is the unit: it is grown and walked the same whatever others run with it, in one process, in several, or on a cluster.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.holding.model import Holding
from yardland.larderyears.asked import CHAINS_OF_A_DRAW, DRAWS, MOST_COUNT, Asked
from yardland.larderyears.chains import MOST_YEARS, Struck, ground
from yardland.larderyears.crew import Crew, Job
from yardland.larderyears.kept import Kept
from yardland.larderyears.places import Place, open_place
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.start import burn_in_of
from yardland.larderyears.told import ChainTold
from yardland.larderyears.work import ready
from yardland.odds.looks import Look, look_chains, narrow_enough, plan_looks
from yardland.odds.reliability import reliability
from yardland.odds.share import LEVEL
from yardland.reference import Tables

F64 = npt.NDArray[np.float64]
ROUNDING = 1e-6
"""Of a month's need: the solver's."""
FEWEST_CHAINS = 2
"""Chains that an answer needs: fewer are no sample."""
Tell = Callable[[int], None]


def silent(_: int) -> None:
    """Tell nobody."""


@dataclass(frozen=True)
class Telling:
    """Who is told how far a run is: training programs, counted years, years under drawn yields."""

    training: Tell = silent
    years: Tell = silent
    drawn: Tell = silent


@dataclass(frozen=True)
class Years:
    """What was run.

    chains : in order ; struck : hazards of counted years and the one before them ; stopped : why it ended before the count, "" if it did not
    drawn : (draw, chain) under yields that the handbooks leave open ; by_hand : whether Ctrl-C ended it
    taken_up : chains, drawn ones too, that an earlier run had kept ; unkept : why chains were not kept, "" if they were
    """

    asked: Asked
    prepared: Prepared
    chains: tuple[ChainTold, ...]
    struck: tuple[Struck, ...]
    level: float
    stopped: str = ""
    drawn: tuple[tuple[int, ChainTold], ...] = ()
    by_hand: bool = False
    taken_up: int = 0
    unkept: str = ""

    @property
    def counted(self) -> slice:
        """The years of a chain that count."""
        return self.asked.counted

    def stacked(self, name: str) -> F64:
        """An array of the chains' counted years, [chain, year, ...]."""
        return np.array([getattr(chain, name)[self.counted] for chain in self.chains])


def run_years(
    holding: Holding,
    tables: Tables,
    asked: Asked,
    *,
    telling: Telling | None = None,
    kept: Kept | None = None,
    place: Place | None = None,
) -> Years:
    """Run chains until the count is reached or the interval is narrow enough; Ctrl-C ends with the chains that are done.

    Args:
        holding: the plan.
        tables: reference tables under the holding's own figures.
        asked: how many years, and how.
        telling: who is told how far it is.
        kept: where chains that are done are kept, and taken up from; nowhere if None.
        place: where the work is done; opened for this run, as `asked` says, if None.

    Raises:
        InputFaults: weather that cannot be used; a cluster that is not there or goes away.
        ValueError: no year, too many, or chains that are too long.
        LarderError: a month's program was not solved as it must be.
    """
    check_asked(asked)
    telling = telling or Telling()
    telling.training(0)
    asked = replace(asked, burn_in=burn_in_of(holding))
    shared = prepare(
        ground(holding, tables), quick=asked.quick, tell=telling.training, years=asked.length, warmer_c=asked.warmer_c
    )
    own = open_place(asked.jobs, asked.scheduler) if place is None else None
    try:
        return Run(shared, asked, telling, kept, own or place or open_place(1)).years()
    finally:
        if own is not None:
            own.close()


def check_asked(asked: Asked) -> None:
    """Refuse counts and chains that cannot be.

    Raises:
        ValueError: no year, too many, or chains that are too long.
    """
    most = MOST_YEARS - asked.length + asked.chain_years
    if not 1 <= asked.count <= MOST_COUNT:
        raise ValueError(f"count: found {asked.count:,} years, expected 1 to {MOST_COUNT:,}")
    if not 1 <= asked.chain_years <= most:
        raise ValueError(f"chain_years: found {asked.chain_years}, expected 1 to {most}")


class Run:
    """One run: chains counted as they come."""

    def __init__(self, shared: Prepared, asked: Asked, telling: Telling, kept: Kept | None, place: Place) -> None:
        """Hand the place what chains share."""
        self.shared, self.asked, self.telling = shared, asked, telling
        self.kept, self.place = kept, place
        self.done: list[ChainTold] = []
        self.struck: list[Struck] = []
        self.drawn: list[tuple[int, ChainTold]] = []
        self.taken_up = 0
        place.hold(ready(shared, asked))

    def years(self) -> Years:
        """Run, and tell what was run."""
        asked = self.asked
        looks = plan_looks(look_chains(asked.chains), asked.chains) if asked.within is not None else ()
        stopped, by_hand = "", False
        try:
            if self.count(looks) < asked.chains:
                stopped = f"the interval was narrow enough after {len(self.done)} chains"
            self.draw()
        except KeyboardInterrupt:
            if len(self.done) < FEWEST_CHAINS:
                raise
            by_hand = True
            stopped = stopped or f"stopped by hand after {len(self.done)} of {asked.chains} chains"
        return Years(
            asked,
            self.shared,
            tuple(self.done),
            tuple(self.struck),
            level_of(looks, len(self.done)),
            stopped,
            () if by_hand else tuple(self.drawn),
            by_hand,
            self.taken_up,
            "" if self.kept is None else self.kept.fault,
        )

    def count(self, looks: Sequence[Look]) -> int:
        """Have chains done in order, to the last or to the look at which the interval is narrow enough; how many."""
        asked = self.asked
        at = {look.chains: look for look in looks}
        crew = Crew(self.place, [Job(0, chain) for chain in range(asked.chains)], self.kept)
        self.taken_up += crew.taken_up
        for _, one in crew.results():
            self.done.append(one.told)
            self.struck += one.struck
            self.telling.years(len(self.done) * asked.chain_years)
            look = at.get(len(self.done))
            if look is None or asked.within is None or len(self.done) == asked.chains:
                continue
            short = short_years(self.shared.ground.holding, self.done, asked)
            if narrow_enough(reliability(short, level=look.level), asked.within):
                break
        return len(self.done)

    def draw(self) -> None:
        """The first chains again, with yields drawn between the handbooks' low and high: what is not known of them."""
        jobs = [Job(draw, chain) for draw in range(1, DRAWS + 1) for chain in range(CHAINS_OF_A_DRAW)]
        crew = Crew(self.place, jobs, self.kept)
        self.taken_up += crew.taken_up
        for job, one in crew.results():
            self.drawn.append((job.draw, one.told))
            self.telling.drawn(len(self.drawn) * self.asked.chain_years)


def level_of(looks: Sequence[Look], done: int) -> float:
    """Coverage to ask of the interval after so many chains: that of the last look, which one who breaks off takes then."""
    if not looks:
        return LEVEL
    made = [look.chains for look in looks if look.chains < done]
    return plan_looks([*made, done], looks[-1].chains)[-1].level


def short_years(holding: Holding, chains: Sequence[ChainTold], asked: Asked) -> npt.NDArray[np.bool_]:
    """Whether each counted year has a short month in energy or protein, [chain, year]."""
    least = np.array([one.least[asked.counted].min(axis=(1, 2)) for one in chains])
    return np.asarray(least < holding.goal.short_below - ROUNDING)
