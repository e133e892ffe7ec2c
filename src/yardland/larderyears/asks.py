"""How the sides of a block move with the heads of the herds: what each class asks for, and what hunger cannot take from it.

A row of feed is written in shares of the template's need, so that another number of heads moves its side and no
coefficient. A class that is short gives less in proportion to the feed it lacks, at the template's yield for that feed; in a
month in which it has less to give than that, the rest is spared (rows "unhurt").
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Build, herd_month, kitchen_account
from yardland.larder.build_kitchen import fed_for
from yardland.larder.description import MONTHS
from yardland.larder.model import INFINITY
from yardland.ledger.arcs import Arc
from yardland.ledger.production import HerdNeed, Production

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
ENERGY, PROTEIN, DRY_MATTER, HEADS = range(4)
DAILY = ("egg_", "milk_")
"""Goods that a class gives day by day out of that day's feed."""
BY_PROTEIN = frozenset({"protein", "lysine"})
"""Bounds of a ration that go with the protein a class asks for; calcium and phosphorus go with its energy."""
UNMADE = 1000.0
"""Cost of a kilogram that hunger takes and that was not there to take, over any worth of food: it keeps a plan for months
to come feasible when a class is larger than was expected and starves. Where a good sells for more, it costs twice that."""


@dataclass(frozen=True)
class Moved:
    """Rows or columns whose bound is per x what is asked.

    at [number] : row or column of the block ; herd, what, month [number] ; per [number]
    """

    at: I64
    herd: I64
    what: I64
    month: I64
    per: F64


@dataclass(frozen=True)
class Gift:
    """A good that a class gives, as the template has it, and the months whose feed it rests on.

    kg [12] ; share [12, 12] : of the feed of each month (second axis) ; column [12] : what is spared of it, -1 where none is
    """

    herd: int
    good: str
    kg: F64
    share: F64
    column: I64

    @property
    def daily(self) -> bool:
        """Whether it is given day by day (eggs, milk)."""
        return self.good.startswith(DAILY)


@dataclass(frozen=True)
class Asks:
    """What moves with the herds.

    accounts : order of the herds ; need [herd, 4, 12] : of the template (ENERGY MJ, PROTEIN kg, DRY_MATTER kg, HEADS)
    least, most : rows by their lower and upper side ; bound : columns by their upper bound ; gifts : spared when short
    spared [number] : columns that keep every month feasible
    hunger_carried : share of what a class lacked in a month that lowers its eggs and milk of the next
    """

    accounts: tuple[str, ...]
    need: F64
    least: Moved
    most: Moved
    bound: Moved
    gifts: tuple[Gift, ...]
    spared: I64
    hunger_carried: float


def asks_of(build: Build, hunger_carried: float = 0.0) -> Asks:
    """What moves with the herds of a built program; adds the rows and columns of what is spared."""
    herds = build.larder.production.herds
    open_shares(build)
    gifts, spared = spare(build)
    rows = {name: row for row, name in enumerate(build.model.row_names)}
    least, most, bound = [], [], []
    whole = dry_matter_columns(build, rows)
    for number, herd in enumerate(herds):
        for month in (month for month in range(MONTHS) if herd_month(herd, month)):
            tail = f"{herd.group}.{herd.klass}.{build.month(month)}"
            for name in ("energy", "protein", "lysine", "calcium", "phosphorus"):
                row = rows.get(f"feed.{name}.{tail}")
                what = PROTEIN if name in BY_PROTEIN else ENERGY
                need = needed(herd)[what][month]
                if row is not None and need > 0.0:
                    least.append((row, number, what, month, 1.0 / need))
            bound.append((whole[f"feed.dry_matter.{tail}"], number, DRY_MATTER, month, 1.0))
            most += [
                (rows[name], number, HEADS, month, kg / herd.heads[month])
                for name, kg in ceilings(build, herd, month, tail)
                if name in rows and herd.heads[month] > 0.0
            ]
    return Asks(
        accounts=tuple(herd.account for herd in herds),
        need=np.array([needed(herd) for herd in herds]).reshape(len(herds), 4, MONTHS),
        least=moved_by(least),
        most=moved_by(most),
        bound=moved_by(bound),
        gifts=gifts,
        spared=spared,
        hunger_carried=hunger_carried,
    )


def open_shares(build: Build) -> None:
    """Lift the bound of what a class lacks, and of its worst month: a year's need may be over the template's."""
    model, short = build.model, set(build.feed_short.values())
    hunger = {row for row, name in enumerate(model.row_names) if name.startswith("hunger.")}
    worst = {column for row, column in zip(model.entry_row, model.entry_column, strict=True) if row in hunger}
    for column in short | worst | set(build.feed_lack.values()):
        model.upper[column] = INFINITY


def needed(herd: HerdNeed) -> F64:
    """What a class asks for, [4, 12]."""
    return np.array([herd.energy_mj, herd.protein_kg, herd.dry_matter_max_kg, herd.heads])


def ceilings(build: Build, herd: HerdNeed, month: int, tail: str) -> list[tuple[str, float]]:
    """Rows "feed.together" of a class whose side is kilograms that go with its heads."""
    ration = build.larder.rations.get(herd.account)
    found = () if ration is None else ration.ceilings
    return [(f"feed.together.{tail}.{one.rule}", float(one.most_kg[month])) for one in found if one.most_kg is not None]


def dry_matter_columns(build: Build, rows: dict[str, int]) -> dict[str, int]:
    """Row "feed.dry_matter" -> the column that is the whole of what is eaten."""
    model = build.model
    names = {row: name for name, row in rows.items() if name.startswith("feed.dry_matter.")}
    return {
        names[row]: column
        for row, column, value in zip(model.entry_row, model.entry_column, model.entry_value, strict=True)
        if value == -1.0 and row in names
    }


def moved_by(entries: list[tuple[int, int, int, int, float]]) -> Moved:
    """The entries as arrays."""
    at, herd, what, month = np.array([entry[:4] for entry in entries], dtype=np.int64).reshape(-1, 4).T
    return Moved(at, herd, what, month, np.array([entry[4] for entry in entries], dtype=np.float64))


def spare(build: Build) -> tuple[tuple[Gift, ...], I64]:
    """Columns of what hunger does not take, and rows "unhurt.<herd>.<good>.<month>": spared <= what hunger takes.

    A column "unmade" of each good and month lies behind them, at a price that no plan pays while there is another way.
    """
    found: list[Gift] = []
    hungry: dict[tuple[str, int], None] = {}
    for number, herd in enumerate(build.larder.production.herds):
        for good, kg in herd.products.items():
            share = np.array([rests_on(build, herd, good, month) for month in range(MONTHS)])
            column = np.full(MONTHS, -1, dtype=np.int64)
            for month in np.flatnonzero((kg > 0.0) & share.any(axis=1)).tolist():
                if (good, month) in build.kitchen:
                    column[month] = spare_month(build, herd, good, month, share[month])
                    hungry[good, month] = None
            if (column >= 0).any():
                found.append(Gift(number, good, np.asarray(kg, dtype=np.float64), share, column))
    behind: list[int] = []
    dear = max(UNMADE, -2.0 * min(build.model.cost, default=0.0))
    for good, month in hungry:
        behind.append(build.model.column(dear))
        arrive(build, Arc("emergency", kitchen_account(good), good, "emergency"), month, behind[-1])
    columns = [*(gift.column[gift.column >= 0] for gift in found), np.array(behind, dtype=np.int64)]
    return tuple(found), np.concatenate(columns)


def rests_on(build: Build, herd: HerdNeed, good: str, month: int) -> F64:
    """Shares of the feed of each month in what a class gives of a good in a month, [12]."""
    share = np.zeros(MONTHS)
    for fed_in, part in fed_for(good, herd, month, cyclic=build.larder.cyclic):
        share[fed_in] = part if (herd.account, fed_in) in build.feed_short else 0.0
    return share


def spare_month(build: Build, herd: HerdNeed, good: str, month: int, share: F64) -> int:
    """The column and the row of one good in one month."""
    column = build.model.column(0.0, 0.0)
    row = build.model.row(f"unhurt.{herd.group}.{herd.klass}.{good}.{build.month(month)}", upper=0.0)
    build.model.put(row, column, 1.0)
    for fed_in in np.flatnonzero(share).tolist():
        taken = float(herd.products[good][month]) * float(share[fed_in])
        build.model.put(row, build.feed_short[herd.account, fed_in], -taken)
    arrive(build, Arc(herd.account, kitchen_account(good), good, "give"), month, column)
    return column


def arrive(build: Build, arc: Arc, month: int, column: int) -> None:
    """A unit of the column is a kilogram that arrives, in every row whose side moves with what arrives."""
    for row, factor in build.sides[arc.good, month]:
        build.model.put(row, column, -factor)
    build.flow(arc, month, column)


def asked(asks: Asks, productions: Sequence[Production]) -> F64:
    """What the herds of many years ask for, [year, herd, 4, 12]; a class that the template does not know asks for nothing."""
    place = {account: index for index, account in enumerate(asks.accounts)}
    found = np.zeros((len(productions), len(place), 4, MONTHS))
    known = [
        (year, place[herd.account], herd)
        for year, production in enumerate(productions)
        for herd in production.herds
        if herd.account in place
    ]
    if known:
        at = [year for year, _, _ in known], [index for _, index, _ in known]
        for what, name in enumerate(("energy_mj", "protein_kg", "dry_matter_max_kg", "heads")):
            found[(*at, what)] = np.array([getattr(herd, name) for _, _, herd in known])
    return found


def gift_kg(asks: Asks, productions: Sequence[Production]) -> F64:
    """Kilograms of each gift in many years, [year, gift, 12]."""
    nothing = np.zeros(MONTHS)
    found = []
    for production in productions:
        products = {herd.account: herd.products for herd in production.herds}
        found += [products.get(asks.accounts[gift.herd], {}).get(gift.good, nothing) for gift in asks.gifts]
    return np.array(found, dtype=np.float64).reshape(len(productions), len(asks.gifts), MONTHS)


def spared_kg(asks: Asks, asked_for: F64, given_kg: F64) -> F64:
    """The most that is spared of each gift, [year, gift, 12]: what hunger could take at the template's yield, over what there is."""
    found = np.zeros_like(given_kg)
    portions = portion(asks, asked_for)
    for number, gift in enumerate(asks.gifts):
        most = gift.kg * (portions[:, gift.herd] @ gift.share.T)
        found[:, number] = np.maximum(most - given_kg[:, number], 0.0)
    return found


def portion(asks: Asks, asked_for: F64) -> F64:
    """The greater of energy and protein that are asked for, as a share of the template's, [year, herd, 12]."""
    need = asks.need[:, : PROTEIN + 1]
    shares = np.divide(asked_for[:, :, : PROTEIN + 1], need, out=np.zeros_like(asked_for[:, :, :2]), where=need > 0.0)
    return np.asarray(shares.max(axis=2))
