"""What hazards take from crops and trees: the yield, its months, and a factor that multiplies with the others."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.hazards.falls import Chain, Stand, day_of, expected_share
from yardland.growth.hazards.table import Hazard, hazards_on_crop, hazards_on_tree
from yardland.growth.io import F64, I64
from yardland.growth.layout import Planting
from yardland.growth.outcome import GATHERS, GrowthResult
from yardland.growth.trees import TreeYear
from yardland.ledger.months import larder_months, month_of_day

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
            for lane, hits in _hits(chain, hazards_on_crop(chain.tables, planting.crop), subject, stand).items():
                chosen = int(grown.chosen[index, lane]) == sowing
                before = harvest[index, :, lane].copy() if chosen else np.zeros(12)
                share, after, strikes = _take(chain, hits, stand, lane, before)
                left[index, sowing, lane] = share
                yields[index, sowing, lane] *= share
                if chosen:
                    harvest[index, :, lane] = after
                found += [
                    Strike(hit.hazard, subject, planting.id, planting.crop, sowing, lane, hit.day, hit.chance, hit.loss, *told)
                    for hit, told in zip(hits, strikes, strict=True)
                ]  # fmt: skip
    factors = {**grown.factors, FACTOR: left}
    return replace(grown, yield_kg_ha=yields, harvest_kg=harvest, factors=factors), tuple(found)


def strike_trees(trees: tuple[TreeYear, ...], chain: Chain) -> tuple[tuple[TreeYear, ...], tuple[Strike, ...]]:
    """The rows of trees of every lane with what hazards leave of their crop, as `strike`."""
    cut: list[TreeYear] = []
    found: list[Strike] = []
    for tree in trees:
        kg, left, stand = tree.kg.copy(), np.ones(tree.kg.shape[1]), tree_stand(tree)
        subject = f"{tree.block}.{tree.species}"
        for lane, hits in _hits(chain, hazards_on_tree(chain.tables, tree.species), subject, stand).items():
            share, after, strikes = _take(chain, hits, stand, lane, tree.kg[:, lane])
            left[lane], kg[:, lane] = share, after
            found += [
                Strike(hit.hazard, subject, tree.id, tree.species, 1, lane, hit.day, hit.chance, hit.loss, *told)
                for hit, told in zip(hits, strikes, strict=True)
            ]
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
            for lane in np.flatnonzero(day >= 0).tolist():
                hit = Hit(hazard, int(day[lane]), float(fall.outlook.chance[lane]), float(fall.loss[lane]))
                found.setdefault(lane, []).append(hit)
    return found


def _take(
    chain: Chain, hits: list[Hit], stand: Stand, lane: int, before_kg: F64
) -> tuple[float, F64, list[tuple[float, F64]]]:
    """Share left, harvest left by month, and each hit's own share and part of the loss by month.

    What is gathered from the day of a strike on is cut by its loss; strikes multiply. Gathering is taken to be even over its
    days within a month.
    """
    days = np.arange(stand.first[lane], stand.last[lane] + 1)
    weights = np.stack([np.where(days >= hit.day, 1.0 - hit.loss, 1.0) for hit in hits])
    month: I64 = np.array(month_of_day(larder_months(2001, chain.forcing.start_month)), dtype=np.int64)[days % tr.YEAR]
    left = np.prod(weights, axis=0)
    whole = np.bincount(month, minlength=12)
    kept = np.divide(np.bincount(month, left, minlength=12), whole, out=np.ones(12), where=whole > 0)
    after = before_kg * kept
    total = float(before_kg.sum())
    share = float(after.sum()) / total if total > 0 else float(left.mean())
    alone = [float(1.0 - row.mean()) for row in weights]
    parts = np.array(alone) / max(sum(alone), 1e-300)
    return share, after, [(one, (before_kg - after) * part) for one, part in zip(alone, parts, strict=True)]


def strikes_of(strikes: tuple[Strike, ...], lane: int) -> Iterator[Strike]:
    """Strikes of one lane that took from the harvest of its larder year."""
    return (one for one in strikes if one.lane == lane and float(one.lost_kg.sum()) > 0)
