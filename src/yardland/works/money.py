"""Money = prices x what crosses the fence."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Literal, Protocol

import numpy as np
import numpy.typing as npt

from yardland.holding.model import TradeRow
from yardland.ledger.months import Month
from yardland.reference import Tables
from yardland.works.events import Happening

F64 = npt.NDArray[np.float64]
HEAD_PRICES = Path(__file__).parent / "data" / "head_prices.csv"
Do = Literal["buy", "sell"]
Per = Literal["kg", "head"]


class Passing(Happening, Protocol):
    """What the money needs to know of an event among the stock."""

    @property
    def cost(self) -> float:
        """Money that the event itself costs."""


@dataclass
class Money:
    """Money by item and month, income positive.

    by_item : "buy salt", "sell egg_hen", "sire for ewes" -> float64 [12]
    table_priced : items that no line of trades.csv prices: the tables' order of magnitude in euros stands in
    unpriced : items that nothing prices: counted as nothing
    """

    by_item: dict[str, F64] = field(default_factory=dict)
    table_priced: list[str] = field(default_factory=list)
    unpriced: list[str] = field(default_factory=list)

    def add(self, item: str, money: F64) -> None:
        """Add money to an item."""
        if np.any(money):
            self.by_item[item] = self.by_item.get(item, np.zeros(12)) + money


def money(
    months: tuple[Month, ...],
    trades: tuple[TradeRow, ...],
    tables: Tables,
    *,
    bought_kg: Mapping[str, npt.ArrayLike] | None = None,
    sold_kg: Mapping[str, npt.ArrayLike] | None = None,
    bought_heads: Mapping[str, npt.ArrayLike] | None = None,
    sold_heads: Mapping[str, npt.ArrayLike] | None = None,
    costs: Mapping[str, npt.ArrayLike] | None = None,
) -> Money:
    """Money of a larder year.

    Args:
        months: the larder year.
        trades: prices that the user gave, each for its months.
        tables: prices where the user gave none.
        bought_kg: good -> kg [12].
        sold_kg: good -> kg [12].
        bought_heads: class of stock -> heads [12].
        sold_heads: class of stock -> heads [12].
        costs: other outlays by item -> money [12].
    """
    total, desk = Money(), Desk(months, trades, tables)
    flows: tuple[tuple[Mapping[str, npt.ArrayLike] | None, Do, Per], ...] = (
        (bought_kg, "buy", "kg"),
        (sold_kg, "sell", "kg"),
        (bought_heads, "buy", "head"),
        (sold_heads, "sell", "head"),
    )
    for amounts, do, per in flows:
        for item, amount in (amounts or {}).items():
            each = np.asarray(amount, dtype=np.float64)
            price = _price(item, do, per, desk, total) if each.any() else np.zeros(12)
            total.add(f"{do} {item}", each * price * (-1.0 if do == "buy" else 1.0))
    for item, cost in (costs or {}).items():
        total.add(item, -np.asarray(cost, dtype=np.float64))
    return total


@dataclass(frozen=True)
class Desk:
    """Where prices are looked up."""

    months: tuple[Month, ...]
    trades: tuple[TradeRow, ...]
    tables: Tables


def _price(item: str, do: Do, per: Per, desk: Desk, total: Money) -> F64:
    """Price of an item in each month: the user's, else the tables', else 0 and named."""
    lines = [line for line in desk.trades if line.item == item and line.do == do and line.per == per]
    if lines:
        return np.array([_in_month(lines, month) for month in desk.months])
    key = f"{do}.{item}" if per == "kg" else head_prices().get(item, "")
    if key and desk.tables.has("prices", key):
        total.table_priced.append(f"{do} {item}")
        return np.full(12, desk.tables.row("prices", key).need("eur_mid"))
    total.unpriced.append(f"{do} {item}")
    return np.zeros(12)


def _in_month(lines: list[TradeRow], month: Month) -> float:
    """Price of the first line that is open in the month, else of the first line."""
    return next((line.price for line in lines if _open(line, month.month)), lines[0].price)


def _open(line: TradeRow, month: int) -> bool:
    if line.from_ is None or line.to is None:
        return True
    return (month - line.from_.month) % 12 <= (line.to.month - line.from_.month) % 12


@lru_cache(maxsize=1)
def head_prices() -> dict[str, str]:
    """Key of the price of a bought head by class of stock (data/head_prices.csv)."""
    with HEAD_PRICES.open(encoding="utf-8", newline="") as file:
        return {cells["class"]: cells["price"] for cells in csv.DictReader(file)}


def heads_by_month(events: Iterable[Passing], kind: str, months: tuple[Month, ...]) -> dict[str, F64]:
    """Heads of each class that an event of one kind (bought, sold) concerns, by month [12]."""
    total: dict[str, F64] = {}
    for event in events:
        if event.kind == kind:
            total.setdefault(event.klass, np.zeros(12))[_month_of(event.day, months)] += event.heads
    return total


def sire_costs(events: Iterable[Passing], months: tuple[Month, ...]) -> dict[str, F64]:
    """Money for hired, borrowed and bought sires, "sire for GROUP" -> [12]."""
    total: dict[str, F64] = {}
    for event in events:
        if event.cost:
            total.setdefault(f"sire for {event.group}", np.zeros(12))[_month_of(event.day, months)] += event.cost
    return total


def _month_of(day: int, months: tuple[Month, ...]) -> int:
    return next(index for index, month in enumerate(months) if day < month.first_day + month.days)
