"""What a year brings, and the sides of a block that follow from it, month by month."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larderyears import asks as herds
from yardland.larderyears.frame import Frame
from yardland.larderyears.stack import Stack
from yardland.ledger.production import Production

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
THAWED, HANDS = range(2)
"""Mishaps: share of what lies frozen as a month begins that is lost; share of a month's putting by that can be done."""


@dataclass(frozen=True)
class Brought:
    """What years bring: arrays [year, ...], months innermost.

    arriving_kg [year, good, 12] : in the order of the frame's goods ; given_kg : of it, what the herds give
    growth_kg_dm [year, sward, 12] : what may be grazed ; asked [year, herd, 4, 12] : what the herds need (`larderyears.asks`)
    mishaps [year, 2, 12] : THAWED, HANDS
    gift_kg [year, gift, 12] : what each class gives of each good ; spared_kg : of it, what hunger cannot take
    """

    arriving_kg: F64
    given_kg: F64
    growth_kg_dm: F64
    mishaps: F64
    asked: F64
    gift_kg: F64
    spared_kg: F64

    def __len__(self) -> int:
        """How many years."""
        return len(self.arriving_kg)

    def of(self, years: slice | I64) -> Brought:
        """Some of the years."""
        return Brought(*(getattr(self, one.name)[years] for one in fields(self)))


@dataclass(frozen=True)
class Lost:
    """What the frame has no place for: kilograms that arrived in a month in which the template knows none."""

    kg: float
    of_kg: float


def brought(frame: Frame, productions: Sequence[Production]) -> tuple[Brought, Lost]:
    """The numbers of many years in the order of a frame.

    What arrives in a month for which the frame has no row is put to the nearest month of the year that has one; where
    there is none it is lost, and told.
    """
    place = {good: index for index, good in enumerate(frame.goods)}
    sward = {account: index for index, account in enumerate(frame.swards)}
    open_months = np.zeros((len(frame.goods), MONTHS), dtype=np.bool_)
    open_months.ravel()[np.unique(frame.arrivals.column)] = True
    arriving = np.zeros((len(productions), len(frame.goods), MONTHS))
    given = np.zeros_like(arriving)
    growth = np.zeros((len(productions), len(frame.swards), MONTHS))
    parts = [
        part
        for year, production in enumerate(productions)
        for part in (
            *((year, item.good, item.fresh_kg, False) for item in production.gathered),
            *((year, good, kg, True) for herd in production.herds for good, kg in herd.products.items()),
        )
    ]
    every_kg = np.array([kg for _, _, kg, _ in parts], dtype=np.float64).reshape(-1, MONTHS)
    totals = every_kg.sum(axis=1).tolist()
    known = [good in place for _, good, _, _ in parts]
    lost = sum(total for total, there in zip(totals, known, strict=True) if not there)
    years = np.array([part[0] for part, there in zip(parts, known, strict=True) if there], dtype=np.int64)
    goods = np.array([place[part[1]] for part, there in zip(parts, known, strict=True) if there], dtype=np.int64)
    by_herd = np.array([part[3] for part, there in zip(parts, known, strict=True) if there], dtype=np.bool_)
    put = every_kg[np.array(known, dtype=np.bool_)]
    for row in np.flatnonzero(((put > 0.0) & ~open_months[goods]).any(axis=1)):
        put[row] = moved(put[row], open_months[goods[row]])
    np.add.at(arriving, (years, goods), put)
    np.add.at(given, (years[by_herd], goods[by_herd]), put[by_herd])
    for year, production in enumerate(productions):
        for item in production.grazing:
            if item.account in sward:
                growth[year, sward[item.account]] += item.dm_kg
    asked = herds.asked(frame.asks, productions)
    stray(asked, frame.asks.need)
    gifts = herds.gift_kg(frame.asks, productions)
    spared = herds.spared_kg(frame.asks, asked, gifts)
    return Brought(arriving, given, growth, befell(productions), asked, gifts, spared), Lost(
        float(lost), float(sum(totals))
    )


def befell(productions: Sequence[Production]) -> F64:
    """What mishaps do in each year, [year, 2, 12]: nothing thaws and all hands are there where none were drawn."""
    found = np.zeros((len(productions), 2, MONTHS))
    for year, production in enumerate(productions):
        found[year, THAWED] = 0.0 if production.thawed is None else production.thawed
        found[year, HANDS] = 1.0 if production.hands is None else production.hands
    return found


def stray(asked: F64, need: F64) -> None:
    """Put what herds ask for in a month without a row of feed to the nearest month with one, in place."""
    fed = need[:, herds.ENERGY] > 0.0
    for year, herd in np.argwhere((asked[:, :, herds.ENERGY] * ~fed).any(axis=2)):
        if fed[herd].any():
            for what in (herds.ENERGY, herds.PROTEIN, herds.DRY_MATTER):
                asked[year, herd, what] = moved(asked[year, herd, what], fed[herd])


def moved(kg: F64, open_months: npt.NDArray[np.bool_]) -> F64:
    """The amounts, those of closed months put to the nearest open one (the later of two as near)."""
    closed = np.flatnonzero((kg > 0.0) & ~open_months)
    if not len(closed):
        return kg
    moved_kg, months = np.where(open_months, kg, 0.0), np.flatnonzero(open_months)
    for month in closed:
        moved_kg[months[::-1][np.argmin(np.abs(months[::-1] - month))]] += kg[month]
    return moved_kg


def joined(parts: Sequence[Brought]) -> Brought:
    """The years of several parts, one behind the other."""
    return Brought(*(np.concatenate([getattr(part, one.name) for part in parts]) for one in fields(Brought)))


def expected(years: Brought, hedge: float) -> Brought:
    """The mean year, harvests and grass times a hedge: the season's normal, which is all that is known beforehand."""
    mean = Brought(*(getattr(years, one.name).mean(axis=0, keepdims=True) for one in fields(years)))
    gathered = mean.arriving_kg - mean.given_kg
    return replace(mean, arriving_kg=gathered * hedge + mean.given_kg, growth_kg_dm=mean.growth_kg_dm * hedge)


@dataclass(frozen=True)
class MonthSides:
    """Rows of one block whose sides move with what a month brings, in the places of a stack.

    rows : their places ; which : index into the month's goods for each entry ; entry_row : index into `rows` ; factor
    lower, upper : at nothing arriving ; graze_row, left_column : places, with the sward of each
    cut_column, mown_row : places of what is bounded by window x what stands
    herds : how rows and columns of feed move ; kitchen_row : rows of what the kitchen can put by, `kitchen_most` with all hands
    """

    rows: I64
    entry_row: I64
    entry_good: I64
    factor: F64
    lower: F64
    upper: F64
    graze_row: I64
    graze_sward: I64
    left_column: I64
    left_sward: I64
    cut_column: I64
    cut_sward: I64
    cut_window: F64
    mown_row: I64
    mown_sward: I64
    mown_window: F64
    herds: HerdSides
    kitchen_row: I64
    kitchen_most: F64


@dataclass(frozen=True)
class HerdSides:
    """Feed of one month: rows whose lower or upper side, and columns whose upper bound, are per x what is asked.

    row, column : places in the stack ; row_*, column_* : herd and what of it ; least : rows held from below
    short, short_herd : columns of what lacks, which is no more than is asked for ; short_need [number, 2] : template's energy, protein
    spared, gift : columns that are bounded by what is spared of each gift
    """

    row: I64
    row_herd: I64
    row_what: I64
    row_per: F64
    least: npt.NDArray[np.bool_]
    column: I64
    column_herd: I64
    column_what: I64
    short: I64
    short_herd: I64
    short_need: F64
    spared: I64
    gift: I64

    @property
    def columns(self) -> I64:
        """All columns whose upper bound moves."""
        return np.concatenate([self.column, self.short, self.spared])

    def at(self, asked: F64, spared_kg: F64) -> tuple[F64, F64, F64]:
        """Lower and upper sides of the rows, and upper bounds of `columns`.

        Args:
            asked: what the herds ask for in the month, [herd, 4].
            spared_kg: [gift].
        """
        side = self.row_per * asked[self.row_herd, self.row_what]
        need = asked[self.short_herd, : herds.PROTEIN + 1]
        lacks = np.divide(need, self.short_need, out=np.zeros_like(need), where=self.short_need > 0.0).max(axis=1)
        most = np.concatenate([asked[self.column_herd, self.column_what], lacks, spared_kg[self.gift]])
        return np.where(self.least, side, -np.inf), np.where(self.least, np.inf, side), most


def herd_sides(frame: Frame, stack: Stack, month: int, block: int) -> HerdSides:
    """The rows and columns of feed of a month."""
    asks = frame.asks
    here = [(one.month == month) & (stack.row_at[one.at] >= 0) for one in (asks.least, asks.most)]
    rows = [(one, at) for one, at in zip((asks.least, asks.most), here, strict=True)]
    whole = (asks.bound.month == month) & (stack.column_at[asks.bound.at] >= 0)
    gifts = [
        (gift.column[month], number)
        for number, gift in enumerate(asks.gifts)
        if gift.column[month] >= 0 and stack.column_at[gift.column[month]] >= 0
    ]
    lacking = [
        (column, asks.accounts.index(account))
        for (account, at), column in frame.build.feed_short.items()
        if at == month and stack.column_at[column] >= 0
    ]
    short, hungry = np.array(lacking, dtype=np.int64).reshape(-1, 2).T
    column, number = np.array(gifts, dtype=np.int64).reshape(-1, 2).T
    return HerdSides(
        row=stack.rows(np.concatenate([one.at[at] for one, at in rows]), block),
        row_herd=np.concatenate([one.herd[at] for one, at in rows]),
        row_what=np.concatenate([one.what[at] for one, at in rows]),
        row_per=np.concatenate([one.per[at] for one, at in rows]),
        least=np.repeat([True, False], [int(at.sum()) for at in here]),
        column=stack.columns(asks.bound.at[whole], block),
        column_herd=asks.bound.herd[whole],
        column_what=asks.bound.what[whole],
        short=stack.columns(short, block),
        short_herd=hungry,
        short_need=asks.need[hungry, : herds.PROTEIN + 1, month],
        spared=stack.columns(column, block),
        gift=number,
    )


def month_sides(frame: Frame, stack: Stack, month: int, block: int = 0) -> MonthSides:
    """The rows of a month, and how they move."""
    good, at = np.divmod(frame.arrivals.column, MONTHS)
    here = (at == month) & (stack.row_at[frame.arrivals.row] >= 0)
    rows, entry = np.unique(frame.arrivals.row[here], return_inverse=True)
    factor, goods = frame.arrivals.value[here], good[here]
    template = frame.arriving.reshape(-1, MONTHS)[goods, month]
    base = np.bincount(entry, weights=factor * template, minlength=len(rows))
    graze, left = frame.graze_row[:, month], frame.graze_left[:, month]
    grazed = np.flatnonzero((graze >= 0) & (stack.row_at[graze] >= 0))
    standing = np.flatnonzero((left >= 0) & (stack.column_at[left] >= 0))
    cut = (frame.cuts.month == month) & (stack.column_at[frame.cuts.at] >= 0)
    mown = (frame.mown.month == month) & (stack.row_at[frame.mown.at] >= 0)
    hands = frame.hands_row[(frame.row_month[frame.hands_row] == month) & (stack.row_at[frame.hands_row] >= 0)]
    return MonthSides(
        rows=stack.rows(rows, block),
        entry_row=entry,
        entry_good=goods,
        factor=factor,
        lower=frame.row_lower[rows] - base,
        upper=frame.row_upper[rows] - base,
        graze_row=stack.rows(graze[grazed], block),
        graze_sward=grazed,
        left_column=stack.columns(left[standing], block),
        left_sward=standing,
        cut_column=stack.columns(frame.cuts.at[cut], block),
        cut_sward=frame.cuts.sward[cut],
        cut_window=frame.cuts.window[cut],
        mown_row=stack.rows(frame.mown.at[mown], block),
        mown_sward=frame.mown.sward[mown],
        mown_window=frame.mown.window[mown],
        herds=herd_sides(frame, stack, month, block),
        kitchen_row=stack.rows(hands, block),
        kitchen_most=frame.row_upper[hands],
    )


def sides_at(sides: MonthSides, arriving_kg: F64) -> tuple[F64, F64]:
    """Lower and upper sides of the month's rows when so much of each good arrives in it, [good]."""
    move = np.bincount(sides.entry_row, weights=sides.factor * arriving_kg[sides.entry_good], minlength=len(sides.rows))
    return sides.lower + move, sides.upper + move
