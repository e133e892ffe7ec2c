"""Herds over many years as results: heads, counts, needs and products by group, row, time and chain."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from yardland.reference import Tables
from yardland.stock.herds import layout as at
from yardland.stock.herds.layout import Outcome
from yardland.stock.herds.plan import GroupPlan
from yardland.stock.herds.shortfall import REASONS, reasons
from yardland.stock.herds.twin_state import Happening
from yardland.stock.kinds import load_klass
from yardland.stock.notes import StockNote

FROM_LIVE = {"meat": "dressing_fraction", "offal": "offal_kg_per_kg_live", "fat": "fat_kg_per_kg_live"}
FROM_SUMS = {"egg": "eggs", "milk": "milk", "other": "honey"}
LOW_PCT, HIGH_PCT = 5.0, 95.0


@dataclass(frozen=True)
class RowSummary:
    """One row of a group over all years and chains; per year where it can be.

    heads : mean number at the start of a year, with the range that holds 9 of 10 ; target : 0 for young
    short_share : share of the years' starts more than a quarter off the target ; short_because : reason -> share of those
    counts : born, bought, died, ... a year ; feed : energy (MJ), protein (g), ... a year ; products : good -> kg a year
    spent, earned : money a year
    """

    row: str
    system: str
    heads: tuple[float, float, float]
    target: int
    short_share: float
    short_because: dict[str, float]
    counts: dict[str, float]
    feed: dict[str, float]
    products: dict[str, float]
    spent: float
    earned: float


@dataclass(frozen=True)
class GroupYears:
    """One group over many years.

    Arrays are [row, ..., year, chain]; `plan.rows` says what the rows are.
    """

    plan: GroupPlan
    outcome: Outcome
    tables: Tables

    @property
    def rows(self) -> tuple[str, ...]:
        """The rows in words."""
        return tuple(label.words for label in self.plan.rows)

    @property
    def heads_week(self) -> at.I64:
        """Whole heads at the end of each week, int64 [row, 52, year, chain]."""
        return self.outcome.heads.transpose(3, 2, 1, 0)

    @cached_property
    def heads_at_start(self) -> at.I64:
        """Whole heads at the start of each year, and after the last, int64 [row, years + 1, chain]."""
        opening = self.outcome.counts[..., at.OPEN].transpose(2, 1, 0)
        return np.concatenate([opening, self.outcome.close.T[:, None, :]], axis=1)

    def count(self, name: str) -> at.I64:
        """A count of a year (born, bought, joined, left, died, struck, killed, sold, culled, ...), int64 [row, year, chain]."""
        return self.outcome.counts[..., at.COUNT_NAMES.index(name)].transpose(2, 1, 0)

    def total(self, name: str) -> at.F64:
        """A sum of a month (energy MJ, protein g, water l, manure kg, eggs kg, ...), float64 [row, 12, year, chain]."""
        return self.outcome.sums[..., list(at.SUM_NAMES).index(name)].transpose(3, 2, 1, 0)

    def money(self, way: int) -> at.F64:
        """Money spent (layout.SPENT) or earned (EARNED) on live animals, float64 [row, year, chain]."""
        return self.outcome.money[..., way].transpose(2, 1, 0)

    @cached_property
    def short_reason(self) -> npt.NDArray[np.int64]:
        """Why a row is more than a quarter off its target at a year's start, [row, years + 1, chain]; 0 where it is not."""
        return reasons(self.plan.arrays, self.heads_at_start, self.outcome.counts.transpose(2, 1, 0, 3))

    def products_kg(self) -> dict[str, at.F64]:
        """Kilograms of each good in each month, float64 [12, year, chain], all rows of the group together."""
        found: dict[str, at.F64] = {}
        for index in range(len(self.plan.rows)):
            for good, kg in self.row_products_kg(index).items():
                found[good] = found.get(good, 0.0) + kg
        return found

    def row_products_kg(self, index: int) -> dict[str, at.F64]:
        """Kilograms of each good of one row, float64 [12, year, chain]: what is laid, milked or taken, and what is killed."""
        klass = load_klass(self.tables, self.plan.rows[index].klass)
        found = {klass.good(what): self.total(name)[index] for what, name in FROM_SUMS.items()}
        if klass.row["dressing_fraction"] is not None:
            live = self.total("live_killed")[index]
            found |= {klass.good(what): live * klass.figure(column) for what, column in FROM_LIVE.items()}
        found["beeswax"] = self.total("beeswax")[index]
        return {good: kg for good, kg in found.items() if good and kg.any()}

    def summary(self) -> tuple[RowSummary, ...]:
        """Every row in figures that can be read."""
        return tuple(self._row_summary(index) for index in range(len(self.plan.rows)))

    def _row_summary(self, index: int) -> RowSummary:
        starts, why = self.heads_at_start[index], self.short_reason[index]
        off = why > 0
        shares = {
            REASONS[code]: float((why[off] == code).mean()) for code in range(1, len(REASONS)) if (why == code).any()
        }
        years = [float(self.total(name)[index].sum(axis=0).mean()) for name in at.SUM_NAMES]
        return RowSummary(
            row=self.rows[index],
            system=load_klass(self.tables, self.plan.rows[index].klass).system,
            heads=(
                float(starts.mean()),
                float(np.percentile(starts, LOW_PCT)),
                float(np.percentile(starts, HIGH_PCT)),
            ),
            target=int(self.plan.arrays.row[index, at.TARGET]),
            short_share=float(off.mean()),
            short_because=shares,
            counts={name: float(self.count(name)[index].mean()) for name in at.COUNT_NAMES[1:]},
            feed=dict(zip(list(at.SUM_NAMES)[: at.SUCKS], years, strict=False)),
            products={good: float(kg.sum(axis=0).mean()) for good, kg in self.row_products_kg(index).items()},
            spent=float(self.money(at.SPENT)[index].mean()),
            earned=float(self.money(at.EARNED)[index].mean()),
        )


@dataclass(frozen=True)
class HerdYears:
    """Every group over many years in several chains, drawn head by head.

    groups : by name ; years, chains, seed : of the run ; events : of the first chain, by group, in order
    findings : what a keeper should know
    """

    groups: dict[str, GroupYears]
    years: int
    chains: int
    seed: int
    events: dict[str, tuple[Happening, ...]]
    findings: tuple[StockNote, ...]
