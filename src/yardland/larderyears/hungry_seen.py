"""What the months of hungry stock of a run have in common, class by class."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.larderyears.hungry_stock import AT_MOST, HUNGRY, OUT, troughs
from yardland.larderyears.run import Years

OFTEN = 0.5
"""Of its hungry months a feed is told that was at its most, or out, in at least so many."""


@dataclass(frozen=True)
class HungryClass:
    """A class of stock that went hungry in some counted month.

    herd : account ; years : share of counted years ; by_month [12] : share of years in which it lacks over a twentieth in that
    month ; lack : mean share of the energy need lacking in such months ; at_most, out : feeds, with the share of its hungry months
    """

    herd: str
    years: float
    by_month: tuple[float, ...]
    lack: float
    at_most: tuple[tuple[str, float], ...]
    out: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class HungryStock:
    """classes : those that lack most energy first ; bought_full : good -> months a year in which as much is bought as may be."""

    classes: tuple[HungryClass, ...]
    bought_full: dict[str, float]


def hungry_stock(run: Years) -> HungryStock:
    """The hungry stock of a run.

    Args:
        run: chains that are done.
    """
    own = troughs(run.prepared.frame, run.prepared.policy.stack)
    bought = run.stacked("bought_full").mean(axis=(0, 1))
    full = {good: float(months) for good, months in zip(own.goods, bought, strict=True) if months > 0.0}
    short = run.stacked("feed_short")
    fed = run.stacked("hungry_feeds").sum(axis=(0, 1))
    need = run.prepared.frame.asks.need[:, 0].sum(axis=1)
    found = []
    for at, herd in enumerate(own.herds):
        hungry = short[:, :, at] > HUNGRY
        months = int(hungry.sum())
        if not months:
            continue
        depth = float(short[:, :, at][hungry].mean())
        feeds = [tuple(often(own.feeds, own.most[at], fed[at, :, what], months)) for what in (AT_MOST, OUT)]
        one = HungryClass(
            herd, float(hungry.any(axis=2).mean()), tuple(hungry.mean(axis=(0, 1)).tolist()), depth, *feeds
        )
        found.append((-depth * months * float(need[at]), one))
    return HungryStock(tuple(one for _, one in sorted(found, key=lambda pair: (pair[0], pair[1].herd))), full)


def often(feeds: tuple[str, ...], most: np.ndarray, months: np.ndarray, of: int) -> list[tuple[str, float]]:
    """Feeds that were so in at least half of the hungry months, those that may be most of a ration first."""
    order = sorted(range(len(feeds)), key=lambda at: (-most[at], feeds[at]))
    return [(feeds[at], float(months[at] / of)) for at in order if months[at] >= OFTEN * of]
