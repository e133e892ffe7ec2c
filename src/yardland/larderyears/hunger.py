"""Hunger that goes on: what a class lacked in a month lowers the eggs and milk of the next, whatever it then eats.

Milk that has dropped for want of feed comes back slowly or not at all in that lactation, and hens that were fed short take
weeks to lay again. A share of what lacked (herd_odds.hunger_carried) is taken off the next month, once: nothing is foreseen.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larderyears.asks import ENERGY
from yardland.larderyears.frame import Frame
from yardland.larderyears.sides import Brought
from yardland.larderyears.stack import Stack

F64 = npt.NDArray[np.float64]


class Hunger:
    """Looks up once where a stack keeps what each class lacks, and what each gives day by day."""

    def __init__(self, frame: Frame, stack: Stack) -> None:
        """Of the first block."""
        asks = frame.asks
        place = {good: index for index, good in enumerate(frame.goods)}
        self.need_mj, self.carried = asks.need[:, ENERGY], asks.hunger_carried
        self.short = np.full((len(asks.accounts), MONTHS), -1, dtype=np.int64)
        for (account, month), column in frame.build.feed_short.items():
            self.short[asks.accounts.index(account), month] = stack.column_at[column]
        daily = [(number, one.herd, place[one.good]) for number, one in enumerate(asks.gifts) if one.daily]
        self.gift, self.herd, self.good = np.array(daily, dtype=np.int64).reshape(-1, 3).T

    def none(self) -> F64:
        """Nobody lacked anything, [herd]."""
        return np.zeros(len(self.short))

    def lacked(self, x: F64, asked: F64, month: int) -> F64:
        """Share of its energy need that each class lacked in a month, 0-1 [herd].

        Args:
            x: of the stack, as the month is done.
            asked: what the herds asked for in it, [herd, 4].
            month: which.
        """
        at, need = self.short[:, month], asked[:, ENERGY]
        lacks = np.where(at >= 0, x[at], 0.0) * self.need_mj[:, month]
        return np.clip(np.divide(lacks, need, out=np.zeros_like(need), where=need > 0.0), 0.0, 1.0)

    def lower(self, came: Brought, year: int, month: int, lacked: F64) -> None:
        """Take off a month, in place, what the hunger of the month before costs it; what is spared grows by as much."""
        if not lacked.any():
            return
        kg = came.gift_kg[year, self.gift, month] * self.carried * lacked[self.herd]
        np.subtract.at(came.arriving_kg[year, :, month], self.good, kg)
        np.maximum(came.arriving_kg[year, :, month], 0.0, out=came.arriving_kg[year, :, month])
        came.spared_kg[year, self.gift, month] += kg


def own_copy(years: Brought) -> Brought:
    """The years, with arrays of their own where hunger changes them."""
    return replace(years, arriving_kg=years.arriving_kg.copy(), spared_kg=years.spared_kg.copy())
