"""Chains of larder years, run and counted: `years()` draws, grows, walks, tells, and stops when it has seen enough.

The chain is the unit: it is grown and walked the same whatever others run with it, in one process or several.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.holding.model import Holding
from yardland.larderyears.chains import MOST_YEARS, Struck, ground, grow_chains
from yardland.larderyears.levels import level_factors_of, with_levels
from yardland.larderyears.prepare import Prepared, prepare
from yardland.larderyears.sides import Brought, brought
from yardland.larderyears.start import BURN_IN, burn_in_of, calendar_of
from yardland.larderyears.told import ChainTold, Teller, tell_chain, teller
from yardland.larderyears.walk import Policy, Walker
from yardland.odds.looks import narrow_enough, plan_looks
from yardland.odds.reliability import reliability
from yardland.reference import Tables

F64 = npt.NDArray[np.float64]
LAST = 1
"""The last year never counts: a program empties the shelves at its horizon."""
ROUNDING = 1e-6
"""Of a month's need: the solver's."""
CHAINS_AT_A_TIME = 8
"""Chains that are grown together."""
DRAWS, CHAINS_OF_A_DRAW = 5, 2
"""Draws of yields for the range of knowledge, and chains of each: the least that tell knowledge from sampling."""
Told = tuple[ChainTold, tuple[Struck, ...]]


@dataclass(frozen=True)
class Asked:
    """What is asked: counted years, seed, years counted in a chain, whether to look only to the end of each year.

    within : stop when the interval is no wider than this on either side, None for never ; warmer_c : added to every day
    jobs : processes ; burn_in : years of a chain before the first that counts; a run sets it by how its plan starts
    """

    count: int = 50
    seed: int = 1
    chain_years: int = 10
    quick: bool = False
    within: float | None = None
    warmer_c: float = 0.0
    jobs: int = 1
    burn_in: int = BURN_IN

    @property
    def chains(self) -> int:
        """Chains that hold so many counted years, the last one perhaps more."""
        return -(-self.count // self.chain_years)

    @property
    def length(self) -> int:
        """Years of a chain, with those that do not count."""
        return self.burn_in + self.chain_years + LAST

    @property
    def counted(self) -> range:
        """The years of a chain that count."""
        return range(self.burn_in, self.burn_in + self.chain_years)


@dataclass(frozen=True)
class Years:
    """What was run.

    chains : in order ; struck : hazards of counted years ; stopped : why it ended before the count, "" if it did not
    drawn : (draw, chain) under yields that the handbooks leave open
    """

    asked: Asked
    prepared: Prepared
    chains: tuple[ChainTold, ...]
    struck: tuple[Struck, ...]
    level: float
    stopped: str = ""
    drawn: tuple[tuple[int, ChainTold], ...] = ()

    @property
    def counted(self) -> slice:
        """The years of a chain that count."""
        return slice(self.asked.burn_in, self.asked.burn_in + self.asked.chain_years)

    def stacked(self, name: str) -> F64:
        """An array of the chains' counted years, [chain, year, ...]."""
        return np.array([getattr(chain, name)[self.counted] for chain in self.chains])


def run_years(
    holding: Holding,
    tables: Tables,
    asked: Asked,
    *,
    training: Callable[[int], None] | None = None,
    tell: Callable[[int], None] | None = None,
    drawing: Callable[[int], None] | None = None,
) -> Years:
    """Run chains until the count is reached or the interval is narrow enough; Ctrl-C keeps the chains that are done.

    Args:
        holding: the plan.
        tables: reference tables under the holding's own figures.
        asked: how many years, and how.
        training: is told how many training programs are done.
        tell: is told how many counted years are done.
        drawing: likewise of the years under drawn yields.

    Raises:
        InputFaults: weather that cannot be used.
        ValueError: no year, or chains that are too long.
        LarderError: a month's program was not solved as it must be.
    """
    if asked.count < 1 or not 1 <= asked.chain_years <= MOST_YEARS - BURN_IN - LAST:
        raise ValueError(f"found {asked.count} years in chains of {asked.chain_years}")
    asked = replace(asked, burn_in=burn_in_of(holding))
    shared = prepare(ground(holding, tables), quick=asked.quick, tell=training, years=asked.length)
    looks = plan_looks(look_chains_of(asked), asked.chains) if asked.within is not None else ()
    done: list[ChainTold] = []
    struck: list[Struck] = []
    level, stopped = 0.95, ""
    try:
        for told, hit in walked(shared, asked):
            done.append(told)
            struck += hit
            if tell is not None:
                tell(len(done) * asked.chain_years)
            look = next((one for one in looks if one.chains == len(done)), None)
            if look is not None and asked.within is not None:
                level = look.level
                short = short_years(holding, tuple(sorted(done, key=lambda one: one.chain)), asked)
                if narrow_enough(reliability(short, level=level), asked.within):
                    stopped = f"the interval was narrow enough after {len(done)} chains"
                    break
    except KeyboardInterrupt:
        if len(done) < 2:
            raise
        stopped = f"stopped by hand after {len(done)} of {asked.chains} chains"
    done.sort(key=lambda one: one.chain)
    drawn = () if stopped.startswith("stopped by hand") else tuple(under_levels(shared, asked, drawing))
    return Years(asked, shared, tuple(done), tuple(struck), level, stopped, drawn)


def under_levels(
    shared: Prepared, asked: Asked, tell: Callable[[int], None] | None = None
) -> Iterator[tuple[int, ChainTold]]:
    """The first chains again, with yields drawn between the handbooks' low and high: what is not known of them."""
    chains = range(CHAINS_OF_A_DRAW)
    own = [(chain, years) for chain, years, _ in grown_block(shared, asked, chains)]
    tasks = [
        (draw, chain, with_levels(years, level_factors_of(shared, asked.seed, draw)))
        for draw in range(1, DRAWS + 1)
        for chain, years in own
    ]
    told = each_walked(shared, asked, [(chain, years) for _, chain, years in tasks])
    for number, ((draw, _, _), one) in enumerate(zip(tasks, told, strict=True)):
        yield draw, one
        if tell is not None:
            tell((number + 1) * asked.chain_years)


def look_chains_of(asked: Asked) -> Sequence[int]:
    """Chains after which the interval is looked at."""
    from yardland.odds.looks import look_chains

    return look_chains(asked.chains)


def short_years(holding: Holding, chains: Sequence[ChainTold], asked: Asked) -> npt.NDArray[np.bool_]:
    """Whether each counted year has a short month in energy or protein, [chain, year]."""
    least = np.array([one.least[asked.burn_in : asked.burn_in + asked.chain_years].min(axis=(1, 2)) for one in chains])
    return np.asarray(least < holding.goal.short_below - ROUNDING)


def walked(shared: Prepared, asked: Asked) -> Iterator[Told]:
    """Every chain, in order, grown a few at a time and walked in as many processes as are asked for."""
    blocks = [
        range(first, min(first + CHAINS_AT_A_TIME, asked.chains)) for first in range(0, asked.chains, CHAINS_AT_A_TIME)
    ]
    if asked.jobs <= 1:
        walker, tell = Walker(shared.policy), teller(shared.frame, shared.policy.stack, shared.policy.household)
        for block in blocks:
            for chain, years, hit in grown_block(shared, asked, block):
                yield one_chain(walker, tell, chain, years, shared.opening_kg), hit
        return
    yield from in_processes(shared, asked, blocks)


def grown_block(shared: Prepared, asked: Asked, chains: range) -> Iterator[tuple[int, Brought, tuple[Struck, ...]]]:
    """What the years of some chains bring."""
    calendar = calendar_of(shared.ground.holding, asked.length)
    grown = grow_chains(shared.ground, asked.seed, list(chains), asked.length, asked.warmer_c, calendar)
    for place, chain in enumerate(chains):
        years, _ = brought(shared.frame, grown.productions[place])
        yield chain, years, tuple(one for one in grown.struck if one.chain == chain and one.year in asked.counted)


def one_chain(walker: Walker, tell: Teller, chain: int, years: Brought, opening_kg: F64) -> ChainTold:
    """Walk a chain and tell it."""
    return tell_chain(tell, chain, walker.walk(years, opening_kg), years.arriving_kg)


_WORKER: dict[str, tuple[Walker, Teller, F64]] = {}


def _start_worker(policy: Policy, opening_kg: F64) -> None:
    _WORKER["own"] = (Walker(policy), teller(policy.frame, policy.stack, policy.household), opening_kg)


def _walk_in_worker(chain: int, years: Brought) -> ChainTold:
    walker, tell, opening_kg = _WORKER["own"]
    return one_chain(walker, tell, chain, years, opening_kg)


def each_walked(shared: Prepared, asked: Asked, chains: Sequence[tuple[int, Brought]]) -> Iterator[ChainTold]:
    """Chains that are grown, walked in as many processes as are asked for."""
    if asked.jobs <= 1:
        walker, tell = Walker(shared.policy), teller(shared.frame, shared.policy.stack, shared.policy.household)
        for chain, years in chains:
            yield one_chain(walker, tell, chain, years, shared.opening_kg)
        return
    with pool_of(shared, asked) as pool:
        yield from pool.map(_walk_in_worker, *zip(*chains, strict=True))


def pool_of(shared: Prepared, asked: Asked) -> ProcessPoolExecutor:
    """Processes that hold the policy."""
    context = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(asked.jobs, context, _start_worker, (shared.policy, shared.opening_kg))


def in_processes(shared: Prepared, asked: Asked, blocks: Sequence[range]) -> Iterator[Told]:
    """The same in several processes; chains come in order, so that looks do not hang on who is quickest."""
    pool = pool_of(shared, asked)
    waiting: list[tuple[Future[ChainTold], tuple[Struck, ...]]] = []
    try:
        for block in blocks:
            waiting += [
                (pool.submit(_walk_in_worker, chain, years), hit)
                for chain, years, hit in grown_block(shared, asked, block)
            ]
            while waiting and (len(waiting) > 2 * CHAINS_AT_A_TIME or waiting[0][0].done()):
                future, hit = waiting.pop(0)
                yield future.result(), hit
        for future, hit in waiting:
            yield future.result(), hit
    finally:
        pool.shutdown(wait=False, cancel_futures=True)
