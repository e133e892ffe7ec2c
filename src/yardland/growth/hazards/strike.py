"""What hazards take from crops and trees: the yield, its months, and a factor that multiplies with the others."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.hazards.falls import Chain, Stand, day_of, expected_share
from yardland.growth.hazards.table import Hazard, hazards_on_crop, hazards_on_tree
from yardland.growth.io import F64
from yardland.growth.layout import Planting
from yardland.growth.outcome import GATHERS, GrowthResult
from yardland.growth.trees import TreeYear

FACTOR = "hazards"


@dataclass(frozen=True)
class Strike:
    """One hazard that took from one planting or row of trees in one lane.

    subject : what the draw is keyed by ; id : of the planting or row ; sowing : 0 or 1 (trees: 1) ; day : on the 730-day axis
    chance : of that year, given its weather ; loss_share : of what was still to be gathered ; share_lost : of the whole
    crop, by this hazard alone ; lost_kg [month] : its part of what hazards took of the harvest of the larder year
    """

    hazard: Hazard
    subject: str
    id: str
    plant: str
    sowing: int
    lane: int
    day: int
    chance: float
    loss_share: float
    share_lost: float
    lost_kg: F64


@dataclass(frozen=True)
class Hit:
    """A hazard on a stand in one lane, before what it takes is worked out."""

    hazard: Hazard
    day: int
    chance: float
    loss: float


def strike(grown: GrowthResult, chain: Chain) -> tuple[GrowthResult, tuple[Strike, ...]]:
    """The crops of every lane with what hazards leave of them.

    Args:
        grown: what would have grown.
        chain: hazards, weather and seed; its lanes are those of `grown`.

    Returns:
        The result with yields and harvests cut, and a factor "hazards" beside the others (their product is still the yield
        over level x mid); every strike that took something.
    """
    yields, harvest = grown.yield_kg_ha.copy(), grown.harvest_kg.copy()
    left = np.ones_like(yields)
    found: list[Strike] = []
    for index, planting in enumerate(grown.plantings):
        for sowing in (0, 1):
            stand = crop_stand(grown, index, sowing)
            subject = subject_of(planting)
            hits = _hits(chain, hazards_on_crop(chain.tables, planting.crop), subject, stand)
            if not hits:
                continue
            lanes = np.array(list(hits))
            chosen = grown.chosen[index, lanes] == sowing
            taken = _take(chain, hits, stand, np.where(chosen[:, None], harvest[index, :, lanes], 0.0))
            left[index, sowing, lanes] = taken.share
            yields[index, sowing, lanes] *= taken.share
            harvest[index, :, lanes[chosen]] = taken.after_kg[chosen]
            found += taken.strikes(hits, subject, planting.id, planting.crop, sowing)
    factors = {**grown.factors, FACTOR: left}
    return replace(grown, yield_kg_ha=yields, harvest_kg=harvest, factors=factors), tuple(found)


def strike_trees(trees: tuple[TreeYear, ...], chain: Chain) -> tuple[tuple[TreeYear, ...], tuple[Strike, ...]]:
    """The rows of trees of every lane with what hazards leave of their crop, as `strike`."""
    cut: list[TreeYear] = []
    found: list[Strike] = []
    for tree in trees:
        kg, left, stand = tree.kg.copy(), np.ones(tree.kg.shape[1]), tree_stand(tree)
        subject = f"{tree.block}.{tree.species}"
        hits = _hits(chain, hazards_on_tree(chain.tables, tree.species), subject, stand)
        if hits:
            lanes = np.array(list(hits))
            taken = _take(chain, hits, stand, kg[:, lanes].T)
            left[lanes], kg[:, lanes] = taken.share, taken.after_kg.T
            found += taken.strikes(hits, subject, tree.id, tree.species, 1)
        cut.append(replace(tree, kg=kg, factors={**tree.factors, FACTOR: left}))
    return tuple(cut), tuple(found)


def subject_of(planting: Planting) -> str:
    """What the draws of a planting are keyed by: its plot and crop, so that sowings in succession share them."""
    return f"{planting.plot}.{planting.crop}"


def crop_stand(grown: GrowthResult, index: int, sowing: int) -> Stand:
    """Days of one sowing in every lane; none where it gathers nothing."""
    gathers = np.isin(grown.status[index, sowing], GATHERS) & (grown.yield_kg_ha[index, sowing] > 0)
    first = np.asarray(grown.gather_first[index, sowing], dtype=np.int64)
    last = np.asarray(grown.gather_last[index, sowing], dtype=np.int64)
    return Stand(
        np.asarray(grown.sow_day[index, sowing], dtype=np.int64), first, np.where(gathers & (first >= 0), last, -1)
    )


def tree_stand(tree: TreeYear) -> Stand:
    """Days of a row's crop: from full bloom to the last gathering of the larder year."""
    first = np.full(len(tree.bloom_day), tr.YEAR + tree.harvest_from, dtype=np.int64)
    bears = tree.kg.sum(axis=0) > 0
    return Stand(tree.bloom_day.astype(np.int64), first, np.where(bears, first + tree.harvest_days - 1, -1))


def expected_losses(chain: Chain, hazards: tuple[Hazard, ...], stand: Stand) -> dict[str, F64]:
    """Hazard -> share of a stand's crop that it takes on average, [lane]; every seed's mean."""
    return {
        hazard.key: np.sum([expected_share(hazard, outlook, stand) for outlook in chain.outlooks(hazard)], axis=0)
        for hazard in hazards
    }


def _hits(chain: Chain, hazards: tuple[Hazard, ...], subject: str, stand: Stand) -> dict[int, list[Hit]]:
    """Lane -> what falls on a stand, in the order of the table and of time."""
    found: dict[int, list[Hit]] = {}
    if not (stand.last >= stand.first).any():
        return found
    for hazard in hazards:
        for fall in chain.falls(hazard, subject):
            day = day_of(hazard, fall, stand)
            lanes = np.flatnonzero(day >= 0)
            told = (values[lanes].tolist() for values in (day, fall.outlook.chance, fall.loss))
            for lane, *hit in zip(lanes.tolist(), *told, strict=True):
                found.setdefault(lane, []).append(Hit(hazard, *hit))
    return found


@dataclass(frozen=True)
class _Taken:
    """What hits take from one stand, lane by lane in the order of the hits' lanes.

    share : left, of the whole, [lane] ; after_kg [lane, 12] : harvest left ; alone [lane][hit] : share that each takes
    lost_kg [lane][hit] : its part of the loss, [12]
    """

    share: F64
    after_kg: F64
    alone: list[list[float]]
    lost_kg: list[list[F64]]

    def strikes(
        self, hits: dict[int, list[Hit]], subject: str, ident: str, plant: str, sowing: int
    ) -> Iterator[Strike]:
        """Every hit with what it took."""
        for (lane, own), alone, lost in zip(hits.items(), self.alone, self.lost_kg, strict=True):
            for hit, share, kg in zip(own, alone, lost, strict=True):
                yield Strike(hit.hazard, subject, ident, plant, sowing, lane, hit.day, hit.chance, hit.loss, share, kg)


def _take(chain: Chain, hits: dict[int, list[Hit]], stand: Stand, before_kg: F64) -> _Taken:
    """Share left, harvest left by month, and each hit's own share and part of the loss by month.

    What is gathered from the day of a strike on is cut by its loss; strikes multiply. Gathering is taken to be even over its
    days within a month. Lanes lie one behind the other in flat arrays of days; sums go over the days of one lane alone, so that
    a lane is the same whatever others are struck with it.

    Args:
        chain: of the hazards.
        hits: lane -> what falls on the stand.
        stand: its days.
        before_kg: harvest of these lanes by month, [lane, 12].
    """
    lanes = np.array(list(hits))
    count = stand.last[lanes] - stand.first[lanes] + 1
    end = np.cumsum(count)
    owner = np.repeat(np.arange(len(lanes)), count)
    days = stand.first[lanes][owner] + np.arange(end[-1]) - (end - count)[owner]
    month = chain.month_of_day[days % tr.YEAR] + 12 * owner
    parts = [slice(last - many, last) for last, many in zip(end.tolist(), count.tolist(), strict=True)]
    left = np.ones(len(days))
    alone: list[list[float]] = [[] for _ in parts]
    most = max(len(own) for own in hits.values())
    for rank in range(most):
        rest = np.array([1.0 - own[rank].loss if rank < len(own) else 1.0 for own in hits.values()])
        day = np.array([own[rank].day if rank < len(own) else 0 for own in hits.values()])
        weights = np.where(days >= day[owner], rest[owner], 1.0)
        left *= weights
        for sums, own, part, many in zip(alone, hits.values(), parts, count.tolist(), strict=True):
            if rank < len(own):
                sums.append(1.0 - float(np.add.reduce(weights[part])) / many)
    whole = np.bincount(month, minlength=12 * len(lanes)).reshape(-1, 12)
    there = np.bincount(month, left, minlength=12 * len(lanes)).reshape(-1, 12)
    after = before_kg * np.divide(there, whole, out=np.ones_like(there), where=whole > 0)
    total, rest_kg = np.ascontiguousarray(before_kg).sum(axis=1), after.sum(axis=1)
    share = np.array(
        [
            kept / all_kg if all_kg > 0.0 else float(np.add.reduce(left[part])) / (part.stop - part.start)
            for all_kg, kept, part in zip(total.tolist(), rest_kg.tolist(), parts, strict=True)
        ]
    )
    lost = before_kg - after
    lost_kg = [[kg * (one / max(sum(own), 1e-300)) for one in own] for own, kg in zip(alone, lost, strict=True)]
    return _Taken(share, after, alone, lost_kg)


def strikes_of(strikes: tuple[Strike, ...], lane: int) -> Iterator[Strike]:
    """Strikes of one lane that took from the harvest of its larder year."""
    return (one for one in strikes if one.lane == lane and float(one.lost_kg.sum()) > 0)
