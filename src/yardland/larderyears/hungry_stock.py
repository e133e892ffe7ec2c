"""Hungry stock seen close: which class, in which months, how deep; which feeds are at their most, which have run out.

What a class eats of a feed is bounded by a share of its ration (feed.share rows). A class that goes hungry beside full sheds has
reached the share of all that lies there; what is out, and what may not be bought in greater amounts, would have filled the rest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Build
from yardland.larder.description import MONTHS
from yardland.larderyears.frame import Frame, Sparse
from yardland.larderyears.scarcity import in_places, on_shelves
from yardland.larderyears.seedstock import seed_to_keep
from yardland.larderyears.stack import Stack

F64 = npt.NDArray[np.float64]
U8 = npt.NDArray[np.uint8]
HUNGRY = 0.05
"""Share of a month's energy need from which a class counts as short of feed."""
FULL = 0.999
"""Share of its bound from which a feed, or a purchase, is at its most."""
BARE_KG = 1.0
"""Kilograms, kept seed aside, under which a feed has run out."""
LEAST_SHARE = 0.1
"""Of a feed that may be less of the ration than this it does not matter that it has run out."""
SHARE = "feed.share."
AT_MOST, OUT = 0, 1


@dataclass(frozen=True)
class Troughs:
    """Matrices from the columns of a stack's block to what classes eat, may eat, and what lies there: looked up once.

    herds, feeds : in order ; fed, allowed : ((herd * feeds + feed) * 12 + month, column, kg dry matter per unit)
    most [herd, feed] : greatest share of the ration, 0 of what it does not eat or without bound ; lying : (feed * 12 + month,
    column, kg per unit) ; seed_kg [feed, 12] : kept to be sown ; stored [feed] : whether it can lie there at all
    goods : that may be bought ; buys : (good * 12 + month, column, share of the most that may be bought)
    """

    herds: tuple[str, ...]
    feeds: tuple[str, ...]
    fed: Sparse
    allowed: Sparse
    most: F64
    lying: Sparse
    seed_kg: F64
    stored: npt.NDArray[np.bool_]
    goods: tuple[str, ...]
    buys: Sparse


def troughs(frame: Frame, stack: Stack) -> Troughs:
    """The matrices of a frame, in the places of a stack."""
    build, herds = frame.build, frame.asks.accounts
    feeds = tuple(sorted(build.larder.feeds))
    feed_of = {key: feeds.index(good.feed) for key, good in build.larder.goods.items() if good.feed in feeds}
    fed, allowed, most = shares(frame, herds, feeds)
    goods, lying = on_shelves(frame)
    seed_kg = np.zeros((len(feeds), MONTHS))
    for good, kg in seed_to_keep(build).items():
        if good in feed_of:
            seed_kg[feed_of[good]] += kg
    there = [
        (feed_of[goods[row // MONTHS]] * MONTHS + row % MONTHS, column, kg)
        for row, column, kg in lying
        if goods[row // MONTHS] in feed_of
    ]
    stored = np.zeros(len(feeds), dtype=np.bool_)
    stored[[row // MONTHS for row, *_ in there]] = True
    bought, buys = purchases(build)
    return Troughs(
        herds, feeds, in_places(stack, fed), in_places(stack, allowed), most, in_places(stack, there), seed_kg, stored, bought, in_places(stack, buys)
    )  # fmt: skip


Entries = list[tuple[int, int, float]]


def shares(frame: Frame, herds: tuple[str, ...], feeds: tuple[str, ...]) -> tuple[Entries, Entries, F64]:
    """What each class eats of each feed, what it may, and the greatest share of the ration."""
    months = {month.name: index for index, month in enumerate(frame.larder.months)}
    at: dict[int, tuple[int, int, int]] = {}
    for row, name in enumerate(frame.row_names):
        group, klass, when, key = [*name.removeprefix(SHARE).split(".", 3), "", "", ""][:4]
        if name.startswith(SHARE) and not frame.larder.feeds[key].mineral:
            at[row] = (herds.index(f"herd:{group}.{klass}"), feeds.index(key), months[when])
    most = np.zeros((len(herds), len(feeds)))
    ceiling = {herd.account: herd.ceiling_column for herd in frame.larder.production.herds}
    for herd, feed, _ in at.values():
        most[herd, feed] = frame.larder.feeds[feeds[feed]].max_share[ceiling[herds[herd]]]
    fed: Entries = []
    allowed: Entries = []
    which = np.flatnonzero(np.isin(frame.matrix.row, np.array(list(at), dtype=np.int64)))
    for row, column, value in zip(
        frame.matrix.row[which].tolist(),
        frame.matrix.column[which].tolist(),
        frame.matrix.value[which].tolist(),
        strict=True,
    ):
        herd, feed, month = at[row]
        (fed if value > 0.0 else allowed).append(((herd * len(feeds) + feed) * MONTHS + month, column, abs(value)))
    return fed, allowed, most


def purchases(build: Build) -> tuple[tuple[str, ...], Entries]:
    """Goods that may be bought up to a limit, and (good * 12 + month, column, share of the limit per unit)."""
    found = [
        (arc.good, month, column, kg / build.model.upper[column])
        for (arc, month), terms in build.flows.items()
        if arc.kind == "buy"
        for column, kg in terms
        if 0.0 < build.model.upper[column] < np.inf
    ]
    goods = tuple(sorted({good for good, *_ in found}))
    return goods, [(goods.index(good) * MONTHS + month, column, share) for good, month, column, share in found]


@dataclass(frozen=True)
class Fed:
    """What is told of each year of a chain.

    feeds [year, herd, feed, 2] : of the months in which the class is hungry, those in which it eats as much of a feed as it may
    (AT_MOST), and those in which the feed has run out (OUT) ; bought_full [year, good] : months in which as much is bought as may be
    """

    feeds: U8
    bought_full: U8


def fed_years(own: Troughs, x: F64, feed_short: F64) -> Fed:
    """What the classes ate in the months in which they were hungry.

    Args:
        own: of the policy's frame and stack.
        x: what was done, [year, column of the stack's block].
        feed_short: share of its energy need that each class lacks, [year, herd, 12].
    """
    herds, feeds = len(own.herds), len(own.feeds)
    told = np.zeros((len(x), herds, feeds, 2), dtype=np.uint8)
    bought = np.zeros((len(x), len(own.goods)), dtype=np.uint8)
    for year, done in enumerate(x):
        bought[year] = (product(own.buys, done, len(own.goods)) >= FULL).sum(axis=1)
        hungry = feed_short[year] > HUNGRY
        if not hungry.any():
            continue
        eaten, may = (product(one, done, herds * feeds).reshape(herds, feeds, MONTHS) for one in (own.fed, own.allowed))
        full = (may > 0.0) & (eaten >= FULL * may)
        out = (product(own.lying, done, feeds) - own.seed_kg < BARE_KG) & own.stored[:, None]
        told[year, :, :, AT_MOST] = (full & hungry[:, None]).sum(axis=2)
        told[year, :, :, OUT] = (~full & out & hungry[:, None] & (own.most >= LEAST_SHARE)[:, :, None]).sum(axis=2)
    return Fed(told, bought)


def product(matrix: Sparse, x: F64, rows: int) -> F64:
    """Matrix @ x by [row, 12]."""
    found = np.bincount(matrix.row, weights=matrix.value * x[matrix.column], minlength=rows * MONTHS)
    return np.asarray(found.reshape(rows, MONTHS), dtype=np.float64)
