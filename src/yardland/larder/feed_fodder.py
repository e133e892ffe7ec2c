"""The fodder count of the autumn: what is put by against the need to the latest turn-out, and who goes if it is short.

What lies in barn and clamp on the day stock come in, what the plan feeds them of roots and grain, and what may be bought,
in megajoules of metabolisable energy, against the ruminants' need to the latest turn-out in ten years of the record.
docs/larder-feed.md prints the equations.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.growth.sward import SwardYear
from yardland.holding.model import Holding
from yardland.larder.description import MONTHS, Larder
from yardland.larder.feed_turnout import TurnOut, turn_out
from yardland.larder.plan import Plan
from yardland.ledger.months import DAYS_IN_YEAR, month_of_day
from yardland.ledger.production import HerdNeed
from yardland.weather.types import Forcing

if TYPE_CHECKING:
    from yardland.reference.tables import Tables

F64 = npt.NDArray[np.float64]
FODDER_NAMES = {"hay_": "hay", "straw_": "straw", "stover_": "straw", "silage_": "silage", "haylage_": "silage"}
"""How the keys of goods begin that are put by for stock alone; roots and grain, which people share, count as they are fed."""
SYSTEM = "me_ruminant"
STRAW_SHARE = 0.4
"""Most of the fodder's energy that straw may be: it fills and does not feed."""
YEARS = 10
SOLD_FIRST = ("grower", "sire", "breeder", "dairy")
"""Order in which stock go before a hungry winter: young for the table, sires, dams, and last whoever gives the milk."""
DAMS = SOLD_FIRST[2:]
"""Roles whose young may be born within the winter."""


@dataclass(frozen=True)
class Sold:
    """Heads of a class that the destocking rule sells on the day of the count."""

    group: str
    klass: str
    heads: int
    saves_mj: float


@dataclass(frozen=True)
class FodderCount:
    """The count of one larder year. Days are days of the larder year (negative: of the year before, at steady numbers).

    housed_day, turn_out_day : of the year that is shown; latest_day : latest turn-out in ten years, latest_label its year
    stored_kg : fodder good -> kg on the shelf as stock come in; stored_mj, fed_mj (roots, grain and leavings that the plan
    feeds them meanwhile), buyable_mj (fodder that trades.csv lets come in, None without a limit), need_mj to latest_day
    days_in_hand : days from housed_day that stored and fed last, told up to the reserve; reserve_days : wanted beyond the
        latest turn-out
    sold : who goes on housed_day, so that the rest have the reserve too, if nothing is bought; by_lane : turn-out of each lane, days of the larder year
    """

    housed_day: int
    turn_out_day: int
    latest_day: int
    latest_label: str
    stored_kg: dict[str, float]
    stored_mj: float
    fed_mj: float
    buyable_mj: float | None
    need_mj: float
    days_in_hand: int
    reserve_days: float
    sold: tuple[Sold, ...]
    by_lane: tuple[int, ...]

    @property
    def missing_mj(self) -> float:
        """What is lacking to the latest turn-out if nothing is bought."""
        return max(self.need_mj - self.stored_mj - self.fed_mj, 0.0)

    @property
    def winter_days(self) -> int:
        """Days in stall to the latest turn-out."""
        return self.latest_day - self.housed_day


def fodder_count(
    _holding: Holding, tables: Tables, plan: Plan, forcing: Forcing, swards: tuple[SwardYear, ...], lane: int
) -> FodderCount | None:
    """The count of the lane that is shown; None without ruminants or without grass that they walk.

    Args:
        tables: figures.
        plan: the larder's answer for that lane.
        forcing: every larder year of the record.
        swards: its swards, in the same years.
        lane: the larder year that is shown.
    """
    herds = [herd for herd in plan.larder.production.herds if herd.system == SYSTEM and np.any(herd.energy_mj > 0.0)]
    walked = {item.account.partition(":")[2] for item in plan.larder.production.grazing}
    if not herds:
        return None
    turned = turn_out(tables, forcing, swards, frozenset(walked))
    return None if turned is None else counted(tables, plan, herds, turned, forcing, lane)


def counted(
    tables: Tables, plan: Plan, herds: list[HerdNeed], turned: TurnOut, forcing: Forcing, lane: int
) -> FodderCount:
    """The count from the days of turn-out."""
    lanes = np.argsort(forcing.start_years)[-YEARS:]
    latest = int(lanes[np.argmax(turned.out[lanes])])
    housed, last = int(turned.housed[lane]), int(max(turned.out[latest], turned.housed[lane]))
    reserve = tables.row("feed_rules", "fodder_reserve").need("number")
    lengths = np.array([one.days for one in plan.larder.months], dtype=np.float64)
    per_day = sum((herd.energy_mj for herd in herds), np.zeros(MONTHS)) / lengths
    safe = np.arange(housed, last + int(reserve))
    month = np.array(month_of_day(plan.larder.months))[safe % DAYS_IN_YEAR]
    months = np.bincount(month[: last - housed], minlength=MONTHS) / lengths
    stored = stored_kg(plan.larder, plan, int(month[0]))
    stored_mj = energy_of(plan.larder, stored)
    fed_mj = float(np.dot(fed_beside(plan, herds), np.minimum(months, 1.0)))
    spent = np.cumsum(per_day[month])
    safe_months = np.bincount(month, minlength=MONTHS) / lengths
    on = (int(month[0]), int(month[min(30, len(month) - 1)]))
    sold = destock(tables, herds, safe_months, float(spent[-1]) - stored_mj - fed_mj, on)
    return FodderCount(
        housed_day=housed - DAYS_IN_YEAR,
        turn_out_day=int(turned.out[lane]) - DAYS_IN_YEAR,
        latest_day=last - DAYS_IN_YEAR,
        latest_label=forcing.labels[latest],
        stored_kg=stored,
        stored_mj=stored_mj,
        fed_mj=fed_mj,
        buyable_mj=buyable(plan.larder, months),
        need_mj=float(np.sum(per_day[month[: last - housed]])),
        days_in_hand=int(np.searchsorted(spent, stored_mj + fed_mj)),
        reserve_days=reserve,
        sold=sold,
        by_lane=tuple(int(day) - DAYS_IN_YEAR for day in turned.out),
    )


def fodder_goods(larder: Larder) -> dict[str, str]:
    """Fodder good -> hay, straw or silage."""
    found = {}
    for good, held in larder.goods.items():
        kind = next((kind for start, kind in FODDER_NAMES.items() if good.startswith(start)), "")
        if kind and held.feed in larder.feeds and larder.feeds[held.feed].energy_mj.get(SYSTEM, 0.0) > 0.0:
            found[good] = kind
    return found


def stored_kg(larder: Larder, plan: Plan, month: int) -> dict[str, float]:
    """Fodder on the shelf at the end of the month before `month`, kg."""
    found: dict[str, float] = {}
    for good in fodder_goods(larder):
        kg = sum(float(stock[month - 1]) for name, stock in plan.stores_kg.items() if name.rpartition(", ")[0] == good)
        if kg > 0.0:
            found[good] = kg
    return found


def energy_of(larder: Larder, kg: dict[str, float]) -> float:
    """Energy of fodder for ruminants, MJ, straw for no more than its share."""
    kinds = fodder_goods(larder)
    good_mj = sum(amount * mj_per_kg(larder, good) for good, amount in kg.items() if kinds[good] != "straw")
    straw_mj = sum(amount * mj_per_kg(larder, good) for good, amount in kg.items() if kinds[good] == "straw")
    return good_mj + min(straw_mj, good_mj * STRAW_SHARE / (1.0 - STRAW_SHARE))


def mj_per_kg(larder: Larder, good: str) -> float:
    """Metabolisable energy of a fresh kilogram, ruminants."""
    held = larder.goods[good]
    return held.dm_fraction * larder.feeds[held.feed].energy_mj[SYSTEM]


def fed_beside(plan: Plan, herds: list[HerdNeed]) -> F64:
    """Energy that the plan feeds ruminants from the trough beside fodder and grass, MJ [12]."""
    accounts, fodder, larder = {herd.account for herd in herds}, fodder_goods(plan.larder), plan.larder
    total = np.zeros(MONTHS)
    for index, arc in enumerate(plan.arcs):
        if arc.kind == "feed" and arc.target in accounts and arc.good not in fodder:
            feed = larder.feeds[larder.goods[arc.good].feed]
            total += plan.dm_kg[index] * feed.energy_mj.get(SYSTEM, 0.0)
    return total


def buyable(larder: Larder, months: F64) -> float | None:
    """Energy of fodder that may be bought over the winter, MJ; None where a trade has no limit."""
    fodder = fodder_goods(larder)
    whole = 0.0
    for trade in larder.trades:
        if trade.do == "buy" and trade.good in fodder:
            open_months = months > 0.0
            whole += float(np.sum(trade.limit_kg[open_months] * np.minimum(months, 1.0)[open_months])) * mj_per_kg(
                larder, trade.good
            )
    return whole if np.isfinite(whole) else None


def destock(
    tables: Tables, herds: list[HerdNeed], months: F64, missing_mj: float, on: tuple[int, ...] = (0,)
) -> tuple[Sold, ...]:
    """Who goes so that the rest come through: whole heads, class by class in the order of SOLD_FIRST.

    Only what stands on the day of the count can go, and young to be born later go with their dams. What a large beast's
    going saves over what is missing lets smaller ones of the classes before her stay.

    Args:
        tables: stock.
        herds: needs of the ruminants.
        months: share of each month that lies in the winter, [12].
        missing_mj: energy for which there is no fodder.
        on: months about the day of the count: who stands in all of them stands on the day.
    """
    role = {herd.klass: tables.row("stock", herd.klass).text("role") for herd in herds}
    stand = {herd.account: int(np.min(herd.heads[list(on)])) for herd in herds}
    one = {herd.account: need_of_one(herd, months) for herd in herds}
    for herd in herds:
        dams = [
            other for other in herds if other.group == herd.group and role[other.klass] in DAMS and stand[other.account]
        ]
        later = float(np.dot(herd.energy_mj, months)) - one[herd.account] * stand[herd.account]
        for dam in dams if role[herd.klass] == SOLD_FIRST[0] and later > 0.0 else ():
            one[dam.account] += later / sum(stand[other.account] for other in dams)
    going: dict[str, int] = {}
    left = missing_mj
    order = sorted(herds, key=lambda herd: (place(role[herd.klass]), herd.account))
    for herd in order:
        each = one[herd.account]
        if left > 0.0 and stand[herd.account] > 0 and each > 0.0:
            going[herd.account] = min(stand[herd.account], math.ceil(left / each - 1e-9))
            left -= each * going[herd.account]
    for herd in reversed(order):
        if going.get(herd.account) and left < 0.0:
            stays = min(going[herd.account], math.floor(-left / one[herd.account] + 1e-9))
            going[herd.account] -= stays
            left += one[herd.account] * stays
    return tuple(
        Sold(herd.group, herd.klass, heads, one[herd.account] * heads)
        for herd in order
        if (heads := going.get(herd.account, 0))
    )


def need_of_one(herd: HerdNeed, months: F64) -> float:
    """Energy that one head of a class asks for over the winter, MJ, in the months in which any stand."""
    each = np.divide(herd.energy_mj, herd.heads, out=np.zeros(MONTHS), where=np.asarray(herd.heads) > 0.0)
    return float(np.dot(each, months))


def place(role: str) -> int:
    """Place of a role in the order of going; what is not named goes with the dams."""
    return SOLD_FIRST.index(role) if role in SOLD_FIRST else SOLD_FIRST.index("breeder")
