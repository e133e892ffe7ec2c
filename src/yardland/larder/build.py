"""The program while it is being built: columns, rows, and which flow each column is."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS, Good, Keeping, Larder
from yardland.larder.model import LarderError, LinearModel
from yardland.larder.weights import Weights
from yardland.ledger.arcs import Arc
from yardland.ledger.production import HerdNeed

F64 = npt.NDArray[np.float64]
Bool = npt.NDArray[np.bool_]
NEVER: Bool = np.zeros(MONTHS, dtype=np.bool_)
HALF = 0.5
"""Of a month: what comes in a month comes at its middle, and is taken at the middle of another."""
HAIR = 1e-6
"""A hair of a cost that settles ties: with equal results, what is handled less is chosen."""


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
                keeping.yield_fraction * keeping.kept(self.made, age + before, self.lain),
            )
            for age in range(self.ages - before)
        ]


@dataclass(frozen=True)
class Shelf:
    """The columns of a good that outlives the year and arrives often: what is on the shelf, whenever it was put by.

    on_shelf : month -> column of the kilograms there at the month's end
    """

    keeping: Keeping
    on_shelf: tuple[int, ...]


@dataclass
class Build:
    """What the builders of rows and columns share.

    flows : (arc, month) -> list of (column, kg per unit); constants : (arc, month) -> kg
    kitchen : (good, month) -> row of its balance
    home : (good, month) -> columns that supply it from within the fence, with their sign
    laid : (keeping, month, column) of all that is put by; drawn : (good, month) -> columns that come off a shelf
    sides : (good, month) -> rows whose right-hand side grows by a factor x what arrives of the good
    left_standing : columns of grass left for the month after, or cut in its windows: bounds that grow with the land
    opening_rows : (good, way, months it has lain, row) of what lies there when the year opens
    plated : columns bounded by a plate
    served_rows, served_columns : (plate, diet, month, row or column, share of the ceiling that is its upper side)
    asked : (index of the nutrient, diet, month, row) of each need; lacking : (index, diet, month, column, greatest share of it)
    deepest : columns of the worst shortage
    feed_short : (herd account, month) -> column of the short share
    feed_lack : (herd account, bound, month) -> column of what a ration lacks of a bound beside energy and protein
    own_goods : goods that the holding brings forth, in every form
    eat : (good, month) -> columns of what is eaten; meals : (diet, good, month) -> those of the people of that diet
    short : (energy_kcal or protein_g, month) -> column of the share of the household's need that is not met; where the
        household has several diets, the nutrient is "energy_kcal@DIET" and the column that diet's part of it
    floor_miss : (floor, month) -> column of the share of it that is missed
    """

    larder: Larder
    weights: Weights
    model: LinearModel = field(default_factory=LinearModel)
    flows: dict[tuple[Arc, int], list[tuple[int, float]]] = field(default_factory=lambda: defaultdict(list))
    constants: dict[tuple[Arc, int], float] = field(default_factory=lambda: defaultdict(float))
    kitchen: dict[tuple[str, int], int] = field(default_factory=dict)
    home: dict[tuple[str, int], list[tuple[int, float]]] = field(default_factory=lambda: defaultdict(list))
    sides: dict[tuple[str, int], list[tuple[int, float]]] = field(default_factory=lambda: defaultdict(list))
    left_standing: list[int] = field(default_factory=list)
    opening_rows: list[tuple[str, str, float, int]] = field(default_factory=list)
    plated: list[int] = field(default_factory=list)
    served_rows: list[tuple[str, str, int, int, float]] = field(default_factory=list)
    served_columns: list[tuple[str, str, int, int, float]] = field(default_factory=list)
    asked: list[tuple[int, str, int, int]] = field(default_factory=list)
    lacking: list[tuple[int, str, int, int, float]] = field(default_factory=list)
    deepest: list[int] = field(default_factory=list)
    batches: list[Batch] = field(default_factory=list)
    shelves: list[Shelf] = field(default_factory=list)
    laid: list[tuple[Keeping, int, int]] = field(default_factory=list)
    drawn: dict[tuple[str, int], set[int]] = field(default_factory=lambda: defaultdict(set))
    eat: dict[tuple[str, int], list[int]] = field(default_factory=lambda: defaultdict(list))
    meals: dict[tuple[str, str, int], list[int]] = field(default_factory=lambda: defaultdict(list))
    floor_miss: dict[tuple[str, int], int] = field(default_factory=dict)
    feed_short: dict[tuple[str, int], int] = field(default_factory=dict)
    feed_lack: dict[tuple[str, str, int], int] = field(default_factory=dict)
    short: dict[tuple[str, int], int] = field(default_factory=dict)
    money_scale: float = 1.0
    own_goods: frozenset[str] = frozenset()

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

    def lay(self, keeping: Keeping, month: int, column: int) -> None:
        """A unit of the column is a kilogram put by."""
        self.use(keeping.good, month, column)
        self.laid.append((keeping, month, column))

    def draw(self, keeping: Keeping, month: int, column: int, kg: float = 1.0) -> None:
        """A unit of the column brings `kg` back off the shelf."""
        self.supply(keeping.gives, month, column, kg)
        self.drawn[keeping.gives, month].add(column)

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


def check_numbers(larder: Larder) -> None:
    """Raise if anything that arrives or is needed is not a finite number of at least zero.

    Raises:
        LarderError: naming where it comes from.
    """
    production = larder.production
    asked = [(item.account, item.fresh_kg) for item in production.gathered]
    asked += [(item.account, item.dm_kg) for item in production.grazing]
    asked += [(item.planting, item.fresh_kg) for item in production.seed]
    for herd in production.herds:
        asked += [(herd.account, kg) for kg in herd.products.values()]
        asked += [(herd.account, herd.energy_mj), (herd.account, herd.protein_kg)]
        asked += [(herd.account, herd.dry_matter_max_kg)]
    asked += [(f"need of {name}", need) for name, need in zip(larder.nutrients, larder.need, strict=True)]
    for name, values in asked:
        if not np.all(np.isfinite(values)) or np.any(np.asarray(values) < 0.0):
            raise LarderError(f"{name}: a number that is not finite, or under zero")


def own_goods(larder: Larder) -> frozenset[str]:
    """Goods that ground, animals or today's shelves give, and all that can be made of them."""
    own = set(potential(larder)) | {good for good, *_ in larder.opening}
    before = -1
    while before != len(own):
        before = len(own)
        own |= {good for process in larder.processes if process.takes in own for good, _ in process.gives}
        own |= {keeping.gives for keeping in larder.keepings if keeping.good in own}
    return frozenset(own)


def opening_months(keeping: Keeping, lain: float) -> int:
    """Months from the first in which what has lain so long can be taken: while its age at their middle is within its life."""
    return max(min(math.floor(keeping.shelf_life_months - lain - HALF) + 1, MONTHS), 1)


def shelf_months(keeping: Keeping) -> int:
    """Whole months a batch may lie: at least 1 (a part of a month lets the last of a month's good over), at most 11."""
    return int(min(max(keeping.shelf_life_months, 1.0), MONTHS - 1))


@dataclass(frozen=True)
class Availability:
    """In which months goods can be: good -> bool [12].

    new : arriving, made or bought; soon : new now or up to SOON months ago, so that it can be put by in another form;
    present : in the kitchen at all, also off a shelf
    """

    new: dict[str, Bool]
    soon: dict[str, Bool]
    present: dict[str, Bool]


SOON = 2
"""Months after its arrival in which a good that waits on a shelf is still put by in another form."""


def availability(larder: Larder) -> Availability:
    """The least fixed point over keepings and processes: columns exist only where matter can come from."""
    new: dict[str, Bool] = defaultdict(lambda: np.zeros(MONTHS, dtype=np.bool_))
    present: dict[str, Bool] = defaultdict(lambda: np.zeros(MONTHS, dtype=np.bool_))
    for good, kg in potential(larder).items():
        new[good] = new[good] | (kg > 0.0)
    for trade in larder.trades:
        if trade.do == "buy":
            new[trade.good] = new[trade.good] | (trade.limit_kg > 0.0)
    mark_cuts(larder, new)
    mark_opening(larder, present)
    before = -1
    while before != (now := sum(int(flags.sum()) for flags in (*new.values(), *present.values()))):
        before = now
        for good, flags in new.items():
            present[good] = present[good] | flags
        for process in larder.processes:
            for good, _ in process.gives:
                new[good] = new[good] | present[process.takes]
        for keeping in larder.keepings:
            spread(larder, keeping, new, present)
    soon = {good: present[good] & recently(flags, larder.cyclic) for good, flags in new.items()}
    return Availability(dict(new), soon, dict(present))


def mark_cuts(larder: Larder, new: dict[str, Bool]) -> None:
    """Mark the months in which grass grows that may be cut, or kept standing, as another good."""
    for cut in larder.cuts:
        for grazing in larder.production.grazing:
            if grazing.good == cut.takes:
                window = np.ones(MONTHS) if cut.window is None else cut.window
                new[cut.gives] = new[cut.gives] | ((np.asarray(grazing.dm_kg) > 0.0) & (window > 0.0))


def mark_opening(larder: Larder, present: dict[str, Bool]) -> None:
    """Mark the months in which today's shelves can be drawn on."""
    for good, method, kg, lain in larder.opening:
        for keeping in larder.keepings:
            if (keeping.good, keeping.method) == (good, method) and kg > 0.0:
                present[keeping.gives][: opening_months(keeping, lain)] = True


def recently(new: Bool, cyclic: bool) -> Bool:
    """Months in which a good is new or was new at most SOON months ago."""
    flags = new.copy()
    for age in range(1, SOON + 1):
        moved = np.roll(new, age)
        if not cyclic:
            moved[:age] = False
        flags |= moved
    return flags


def spread(larder: Larder, keeping: Keeping, new: dict[str, Bool], present: dict[str, Bool]) -> None:
    """Mark the months to which a keeping can carry its good."""
    source = new[keeping.good]
    if keeping.gives != keeping.good:
        source = present[keeping.good] & recently(source, larder.cyclic)
    for made in np.flatnonzero(source):
        for age in range(1, shelf_months(keeping) + 1):
            taken = int(made) + age
            if taken < MONTHS or larder.cyclic:
                present[keeping.gives][taken % MONTHS] = True


def herd_month(herd: HerdNeed, month: int) -> bool:
    """Whether the herd eats from the larder in that month (bees do not)."""
    return float(herd.energy_mj[month]) > 0.0
