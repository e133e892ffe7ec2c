"""What is mown of grass that was shut up: hay, and silage of what no dry spell came for, where there is a clamp."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.growth.sward import SwardYear
from yardland.holding.model import Holding
from yardland.ledger.production import Gathered
from yardland.reference import Tables
from yardland.season.supply import by_lane

F64 = npt.NDArray[np.float64]
HAY_TASK = "hay.loose_by_hand"


@dataclass(frozen=True)
class Mown:
    """A good made of one sward that was shut up, by larder month.

    fresh_kg : as it is stored, [12] (of many lanes [lane, 12]) ; dm_kg : its dry matter, likewise ; task : key in table tasks
    of its work
    """

    sward: str
    good: str
    fresh_kg: F64
    dm_kg: F64
    task: str

    @property
    def gathered(self) -> Gathered:
        """The same as the larder takes it."""
        return Gathered(f"sward:{self.sward}", self.good, self.fresh_kg)


def mown(holding: Holding, tables: Tables, swards: tuple[SwardYear, ...], lane: int) -> Iterator[Mown]:
    """Hay of every sward that was shut up for it, in one lane (`mown_in`)."""
    for cut in mown_in(holding, tables, swards, slice(lane, lane + 1)):
        yield replace(cut, fresh_kg=cut.fresh_kg[0], dm_kg=cut.dm_kg[0])


def mown_in(holding: Holding, tables: Tables, swards: tuple[SwardYear, ...], lanes: slice) -> Iterator[Mown]:
    """Hay of every sward that was shut up for it in any of the lanes.

    A cut for which no dry spell came is poor hay; where the holding has the store that a way of cutting needs (table
    feed_ways: a clamp), it becomes that way's good instead, with that way's loss.
    """
    for sward in swards:
        way = wet_way(holding, tables, sward)
        wet_kg = by_lane(sward.wet_kg_dm[:, lanes])
        hay_kg = by_lane(sward.hay_kg[:, lanes] - (sward.wet_hay_kg[:, lanes] if way else 0.0))
        if (hay_kg > 0.0).any():
            dm = tables.row("goods", sward.good_hay).need("dm_fraction")
            yield Mown(sward.id, sward.good_hay, np.maximum(hay_kg, 0.0), np.maximum(hay_kg, 0.0) * dm, HAY_TASK)
        if way and (wet_kg > 0.0).any():
            row = tables.row("feed_ways", way)
            kept_kg = wet_kg * row.need("share")
            dm = tables.row("goods", row.text("gives")).need("dm_fraction")
            yield Mown(sward.id, row.text("gives"), kept_kg / dm, kept_kg, row.text("task"))


def wet_way(holding: Holding, tables: Tables, sward: SwardYear) -> str:
    """The way of table feed_ways that saves a wet cut: the one that waits for the fewest days, "" without its store."""
    stores = {store.kind for store in holding.store.values()}
    rows = [tables.row("feed_ways", key) for key in tables.where("feed_ways", way="cut")]
    able = [row for row in rows if row.text("needs") in stores and sward.good_grazed in row.text("takes").split()]
    return min(able, key=lambda row: row["dry_days"] or 0.0).key if able else ""
