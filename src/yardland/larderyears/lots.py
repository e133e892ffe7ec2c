"""What lies in stores through a year of a chain: put by, thawed, spoilt and taken, month by month, in kilograms.

What is there follows from the flows alone, so that no store ever gives more than it holds and nothing is lost between months.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.larder.build import kitchen_account
from yardland.larder.description import MONTHS, Keeping
from yardland.larder.power import COLD
from yardland.larderyears.frame import Frame
from yardland.ledger.arcs import Arc

F64 = npt.NDArray[np.float64]
Flows = dict[Arc, F64]
"""Kilograms on each arc, [12]."""
NONE = -1


@dataclass(frozen=True)
class Lot:
    """A batch, or what lay there as the year opened, with all columns that take from it; or a shelf of mixed ages.

    made : month it is put by, -1 if it lay there or is a shelf ; number : of the batch among the frame's, or of the opening, -1 of a shelf
    takes : month -> column ; becomes : opening that is what is left of it in the next year, -1 none ; left : its column
    """

    keeping: Keeping
    made: int
    lain: float
    number: int
    takes: dict[int, int] = field(default_factory=dict)
    left: int = NONE
    becomes: int = NONE

    def kept(self, month: int) -> float:
        """Share of what was laid that is there at the end of a month."""
        return self.keeping.kept(self.made, month - self.made, self.lain)

    @property
    def last(self) -> int:
        """Last month in which any of it can be there."""
        return MONTHS - 1 if self.left >= 0 else max(self.takes, default=max(self.made, 0))


def lots(frame: Frame) -> tuple[Lot, ...]:
    """The lots of a block: its batches, openings and shelves."""
    number = {row: at for at, row in enumerate(frame.laid_row.tolist())}
    number |= {row: at for at, row in enumerate(frame.opening_row.tolist())}
    becomes = dict(zip(frame.left.column.tolist(), frame.left.opening.tolist(), strict=True))
    batches = {batch.column: batch for batch in frame.build.batches}
    columns: dict[int, list[int]] = defaultdict(list)
    for row, column in zip(frame.matrix.row.tolist(), frame.matrix.column.tolist(), strict=True):
        if row in number and column in batches:
            columns[row].append(column)
    found = []
    for row, members in columns.items():
        one = batches[members[0]]
        takes = {batches[column].taken: column for column in members}
        left = takes.pop(MONTHS, NONE)
        found.append(Lot(one.keeping, one.made, one.lain, number[row], takes, left, becomes.get(left, NONE)))
    for shelf in frame.build.shelves:
        left = shelf.on_shelf[-1]
        found.append(Lot(shelf.keeping, -1, 0.0, NONE, {}, left, becomes.get(left, NONE)))
    return tuple(found)


class Stores:
    """The stores of one year as its months go by."""

    def __init__(self, every: Sequence[Lot], flows: Flows, opening_kg: F64, laid_kg: F64, x: F64) -> None:
        """What lies there as the year opens.

        Args:
            every: lots of the block.
            flows: of the year; those of the shelves are in it already, those of the batches are added.
            opening_kg: [opening].
            laid_kg: [batch], what was to be put by.
            x: [column of the frame], what was done.
        """
        self.every, self.flows, self.laid_kg, self.x = every, flows, laid_kg, x
        self.there = [float(opening_kg[lot.number]) if lot.made < 0 <= lot.number else 0.0 for lot in every]
        self.closing = np.zeros((len(every), MONTHS))
        self.rounding = np.zeros(len(every))
        self.off_shelf = {at: flows[taken(lot)].copy() for at, lot in enumerate(every) if lot.number < 0}
        for at in self.off_shelf:
            flows[taken(every[at])] *= 0.0

    def draw(self, month: int, thawed: float) -> None:
        """A month begins: a share of what lies frozen thaws, some spoils, some is taken, and batches are to be put by."""
        for at, lot in enumerate(self.every):
            keeping, before = lot.keeping, self.there[at]
            kitchen, store = kitchen_account(keeping.good), keeping.account
            if lot.made == month:
                units = float(self.laid_kg[lot.number])
                self.flows[Arc(kitchen, store, keeping.gives, "put_by")][month] += units * keeping.yield_fraction
                self.flows[Arc(kitchen, "soilair", keeping.good, "trim")][month] += units * (
                    1.0 - keeping.yield_fraction
                )
            if lot.number < 0:
                self.take_shelf(at, lot, month, thawed)
                continue
            if before <= 0.0:
                continue
            left = before * (1.0 - (thawed if keeping.place == COLD else 0.0)) * fading(lot, month)
            wanted = self.wanted(lot, month)
            takes = min(wanted, left)
            self.rounding[at] += wanted - takes
            there = left - takes
            if month == lot.last and lot.left < 0:
                self.rounding[at] += there
                there = 0.0
            self.flows[taken(lot)][month] += takes
            self.flows[Arc(store, "soilair", keeping.gives, "spoil")][month] += before - takes - there
            self.there[at] = self.closing[at, month] = there

    def wanted(self, lot: Lot, month: int) -> float:
        """Kilograms that were decided to be taken."""
        return (
            float(self.x[lot.takes[month]]) * lot.keeping.yield_fraction * lot.kept(month)
            if month in lot.takes
            else 0.0
        )

    def take_shelf(self, at: int, lot: Lot, month: int, thawed: float) -> None:
        """A shelf of mixed ages: no more is taken than lies there and is put by."""
        keeping, before = lot.keeping, self.there[at]
        left = before * (1.0 - keeping.loss_in(month)) * (1.0 - (thawed if keeping.place == COLD else 0.0))
        put_by = float(self.flows[Arc(kitchen_account(keeping.good), keeping.account, keeping.gives, "put_by")][month])
        wanted = float(self.off_shelf[at][month])
        takes = min(wanted, left + put_by)
        self.rounding[at] += wanted - takes
        self.flows[taken(lot)][month] += takes
        self.flows[Arc(keeping.account, "soilair", keeping.gives, "spoil")][month] += before - left
        self.there[at] = left - takes

    def lay(self, month: int) -> None:
        """A month ends: what came to be put by lies there."""
        for at, lot in enumerate(self.every):
            if lot.made == month or lot.number < 0:
                keeping = lot.keeping
                put_by = self.flows[Arc(kitchen_account(keeping.good), keeping.account, keeping.gives, "put_by")]
                self.there[at] = max(self.there[at] + float(put_by[month]), 0.0)
                self.closing[at, month] = self.there[at]

    def left_kg(self, openings: int) -> F64:
        """What lies there as the next year opens, [opening]."""
        found = np.zeros(openings)
        for at, lot in enumerate(self.every):
            if lot.becomes >= 0:
                found[lot.becomes] += self.there[at]
        return found

    def closing_kg(self) -> dict[str, F64]:
        """Account -> what lies there at each month's end, [12]."""
        found: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
        for at, lot in enumerate(self.every):
            found[lot.keeping.account] += self.closing[at]
        return dict(found)


def taken(lot: Lot) -> Arc:
    """The arc of what is taken from a lot."""
    keeping = lot.keeping
    return Arc(keeping.account, kitchen_account(keeping.gives), keeping.gives, "take")


def fading(lot: Lot, month: int) -> float:
    """Share of what lay there at the last month's end that is not spoilt at this one's."""
    before = lot.kept(month - 1)
    return lot.kept(month) / before if before > 0.0 else 0.0
