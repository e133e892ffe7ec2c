"""The program while it is being built: columns, rows, and which flow each column is."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS, Good, Keeping, Larder
from yardland.larder.model import LinearModel
from yardland.larder.weights import Weights
from yardland.ledger.arcs import Arc
from yardland.ledger.production import HerdNeed

F64 = npt.NDArray[np.float64]
Bool = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Batch:
    """A column: kg of `keeping.good` put by in month `made` and taken in month `taken`.

    `made` -1: it lies there when the year opens. `taken` 12: it is left when a year that is not cyclic closes.
    """

    keeping: Keeping
    made: int
    taken: int
    lain: float
    column: int

    @property
    def ages(self) -> int:
        """Months that it lies."""
        return (self.taken - self.made) if self.taken > self.made else self.taken - self.made + MONTHS

    def on_shelf(self) -> list[tuple[int, float]]:
        """(month, kg on the shelf at its end per kg put by) while it lies."""
        before = 1 if self.made < 0 else 0
        keeping = self.keeping
        return [
            (
                (self.made + before + age) % MONTHS,
                keeping.yield_fraction * (1.0 - keeping.monthly_loss) ** (age + before),
            )
            for age in range(self.ages - before)
        ]


@dataclass
class Build:
    """What the builders of rows and columns share.

    flows : (arc, month) -> list of (column, kg per unit); constants : (arc, month) -> kg
    kitchen : (good, month) -> row of its balance
    home : (good, month) -> columns that supply it from within the fence, with their sign
    feed_short : (herd account, month) -> column of the short share
    """

    larder: Larder
    weights: Weights
    model: LinearModel = field(default_factory=LinearModel)
    flows: dict[tuple[Arc, int], list[tuple[int, float]]] = field(default_factory=lambda: defaultdict(list))
    constants: dict[tuple[Arc, int], float] = field(default_factory=lambda: defaultdict(float))
    kitchen: dict[tuple[str, int], int] = field(default_factory=dict)
    home: dict[tuple[str, int], list[tuple[int, float]]] = field(default_factory=lambda: defaultdict(list))
    batches: list[Batch] = field(default_factory=list)
    eat: dict[tuple[str, int], list[int]] = field(default_factory=lambda: defaultdict(list))
    feed_short: dict[tuple[str, int], int] = field(default_factory=dict)
    short: dict[tuple[str, int], int] = field(default_factory=dict)
    money_scale: float = 1.0

    def month(self, index: int) -> str:
        """Name of the larder month."""
        return self.larder.months[index % MONTHS].name

    def good(self, key: str) -> Good:
        """The good of that key."""
        return self.larder.goods[key]

    def flow(self, arc: Arc, month: int, column: int, kg: float = 1.0) -> None:
        """Say that a unit of the column is `kg` of flow on the arc in the month."""
        self.flows[arc, month].append((column, kg))

    def supply(self, good: str, month: int, column: int, kg: float = 1.0) -> None:
        """A unit of the column brings `kg` of the good into the kitchen from within the fence."""
        self.model.put(self.kitchen[good, month], column, kg)
        self.home[good, month].append((column, kg))

    def use(self, good: str, month: int, column: int, kg: float = 1.0) -> None:
        """A unit of the column takes `kg` of the good out of the kitchen."""
        self.model.put(self.kitchen[good, month], column, -kg)


def kitchen_account(good: str) -> str:
    """Name of the account in which a good is handled within a month."""
    return f"kitchen:{good}"


def potential(larder: Larder) -> dict[str, F64]:
    """Kilograms of each good that arrive if every herd is fed: gathered, and given by the animals."""
    arriving: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
    for item in larder.production.gathered:
        arriving[item.good] = arriving[item.good] + np.asarray(item.fresh_kg, dtype=np.float64)
    for herd in larder.production.herds:
        for good, kg in herd.products.items():
            arriving[good] = arriving[good] + np.asarray(kg, dtype=np.float64)
    return dict(arriving)


def shelf_months(keeping: Keeping) -> int:
    """Whole months a batch may lie: at least 1 (a part of a month lets the last of a month's good over), at most 11."""
    return int(min(max(keeping.shelf_life_months, 1.0), MONTHS - 1))


def availability(larder: Larder) -> tuple[dict[str, Bool], dict[str, Bool]]:
    """In which months each good can arrive anew, and in which it can be in the kitchen at all.

    The least fixed point over keepings and processes: columns exist only where matter can come from.
    """
    new: dict[str, Bool] = defaultdict(lambda: np.zeros(MONTHS, dtype=np.bool_))
    present: dict[str, Bool] = defaultdict(lambda: np.zeros(MONTHS, dtype=np.bool_))
    for good, kg in potential(larder).items():
        new[good] = new[good] | (kg > 0.0)
    for trade in larder.trades:
        if trade.do == "buy":
            new[trade.good] = new[trade.good] | (trade.limit_kg > 0.0)
    for good, method, kg, lain in larder.opening:
        for keeping in larder.keepings:
            if (keeping.good, keeping.method) == (good, method) and kg > 0.0:
                last = max(min(int(keeping.shelf_life_months - lain), MONTHS), 1)
                present[keeping.gives][:last] = True
    changed = True
    while changed:
        before = sum(int(flags.sum()) for flags in (*new.values(), *present.values()))
        for good, flags in new.items():
            present[good] = present[good] | flags
        for process in larder.processes:
            for good, _ in process.gives:
                new[good] = new[good] | present[process.takes]
        for keeping in larder.keepings:
            spread(larder, keeping, new, present)
        changed = before != sum(int(flags.sum()) for flags in (*new.values(), *present.values()))
    return dict(new), dict(present)


def spread(larder: Larder, keeping: Keeping, new: dict[str, Bool], present: dict[str, Bool]) -> None:
    """Mark the months to which a keeping can carry its good."""
    source = new[keeping.good] if keeping.gives == keeping.good else present[keeping.good]
    for made in np.flatnonzero(source):
        for age in range(1, shelf_months(keeping) + 1):
            taken = int(made) + age
            if taken < MONTHS or larder.cyclic:
                present[keeping.gives][taken % MONTHS] = True


def herd_month(herd: HerdNeed, month: int) -> bool:
    """Whether the herd eats from the larder in that month (bees do not)."""
    return float(herd.energy_mj[month]) > 0.0
