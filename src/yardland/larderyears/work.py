"""The work on chains, cut into pieces that any process can do: grow a few chains, walk one.

A piece hangs on what is shared by all (`Ready`) and its own arguments, on nothing else: its answer is the same to the last
bit in whatever process it is done, and however often.
"""

from __future__ import annotations

import hashlib
import pickle
import zlib
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import local
from typing import Any

from yardland.errors import YardlandError
from yardland.larderyears.asked import Asked
from yardland.larderyears.chains import Struck, grow_chains
from yardland.larderyears.levels import level_factors_of, with_levels
from yardland.larderyears.marks import versions
from yardland.larderyears.prepare import Prepared
from yardland.larderyears.sides import Brought, brought
from yardland.larderyears.start import calendar_of
from yardland.larderyears.told import ChainTold, Teller, tell_chain, teller
from yardland.larderyears.walk import Walker
from yardland.larderyears.window_walk import walker_of

HELD = 2
"""Runs that a worker keeps ready: a plan, and the one that it is compared with."""
QUICKLY = 1
"""Level of packing: half a second of a large plan's block becomes a tenth."""


class OtherVersions(YardlandError):
    """A worker has other versions than the run: its bits would be others."""


@dataclass(frozen=True)
class Ready:
    """What chains share, looked up once in each process."""

    shared: Prepared
    asked: Asked
    walker: Walker
    tell: Teller


@dataclass(frozen=True)
class GrownChain:
    """A chain that was grown: what its years bring, and what struck in those that count and the one before them.

    unplaced_kg : what came of goods that the frame has no place for
    """

    chain: int
    years: Brought
    struck: tuple[Struck, ...]
    unplaced_kg: float


def ready(shared: Prepared, asked: Asked) -> Ready:
    """Look up the rows and columns of each month, and what is told."""
    tell = teller(shared.frame, shared.policy.stack, shared.policy.household)
    return Ready(shared, asked, walker_of(shared.policy), tell)


def grow(held: Ready, chains: Sequence[int]) -> list[GrownChain]:
    """What the years of some chains bring."""
    shared, asked = held.shared, held.asked
    calendar = calendar_of(shared.ground.holding, asked.length)
    grown = grow_chains(shared.ground, asked.seed, list(chains), asked.length, asked.warmer_c, calendar)
    told = range(max(asked.counted.start - 1, 0), asked.counted.stop)
    found = []
    for place, chain in enumerate(chains):
        years, lost = brought(shared.frame, grown.productions[place])
        struck = tuple(one for one in grown.struck if one.chain == chain and one.year in told)
        found.append(GrownChain(chain, years, struck, lost.kg))
    return found


def walk(held: Ready, draw: int, grown: GrownChain) -> ChainTold:
    """Walk a chain and tell it; with the yields of a draw (1, 2, ...) that the handbooks leave open, or their middle (0)."""
    years, shared = grown.years, held.shared
    if draw:
        years = with_levels(years, level_factors_of(shared, held.asked.seed, draw))
    walked = held.walker.walk(years, shared.opening_kg, shared.ground.first_turn(grown.chain))
    return tell_chain(held.tell, grown.chain, walked, grown.unplaced_kg)


@dataclass(frozen=True)
class Packed:
    """What chains share, on its way to another process; key : tells one run from another ; versions : of this process."""

    key: str
    data: bytes
    versions: str


def packed(held: Ready) -> Packed:
    """Pack for the way."""
    data = zlib.compress(pickle.dumps((held.shared, held.asked), protocol=5), QUICKLY)
    return Packed(hashlib.sha256(data).hexdigest(), data, versions())


class _Held(local):
    """Runs that are ready in a thread: a walker's solver must not be shared by two."""

    def __init__(self) -> None:
        self.runs: OrderedDict[str, Ready] = OrderedDict()


_HELD = _Held()


def in_worker(sent: Packed, work: Callable[..., Any], *arguments: object) -> Any:  # noqa: ANN401 (what `work` returns)
    """Do a piece of work in another process.

    Raises:
        OtherVersions: this process has other versions of yardland or of what it computes with.
    """
    if sent.versions != (own := versions()):
        raise OtherVersions(f"a worker has {own}; this process has {sent.versions}")
    runs = _HELD.runs
    if sent.key not in runs:
        shared, asked = pickle.loads(zlib.decompress(sent.data))  # noqa: S301 (made by `packed`)
        runs[sent.key] = ready(shared, asked)
        while len(runs) > HELD:
            runs.popitem(last=False)
    return work(runs[sent.key], *arguments)
