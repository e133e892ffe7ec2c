"""What stock costs by the head, and what is sold alive: trades.csv first, else the tables' order of magnitude."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from yardland.holding.model import TradeRow
from yardland.ledger.months import DAYS_IN_YEAR
from yardland.reference import Tables
from yardland.stock.herds import layout as at
from yardland.stock.herds.rows import RowLabel
from yardland.stock.sky import Sky

DAY_OLD_WEEKS = 2
DAY_OLD_CHICK = "stock.day_old_chick"


def bought_price(tables: Tables, trades: tuple[TradeRow, ...], klass: str, young: str, age_w: int) -> float | None:
    """Money of one head of a class bought at an age; None if nothing prices it.

    A line of trades.csv that buys the class by the head (or its young, where young are bought); else table prices.
    """
    wanted = young if young and age_w <= DAY_OLD_WEEKS else klass
    for trade in trades:
        if trade.do == "buy" and trade.per == "head" and trade.item in {wanted, klass}:
            return trade.price
    chick = tables.row("stock", klass).text("species") == "chicken" and age_w <= DAY_OLD_WEEKS
    item = DAY_OLD_CHICK if chick else tables.row("breeding", klass).text("price_item")
    return tables.row("prices", item).need("eur_mid") if item else None


def sales(
    trades: tuple[TradeRow, ...], rows: tuple[RowLabel, ...], sky: Sky, sharing: Mapping[str, int]
) -> tuple[at.I64, at.F64]:
    """Heads of each row that are sold alive in each month, and the price of one: [rows, 12] each.

    A trade's monthly limit is shared evenly by the groups that hold the class, so that each sells without looking at
    the others. A month counts as open if its fifteenth is.
    """
    limit, price = np.zeros((len(rows), 12), np.int64), np.zeros((len(rows), 12))
    for trade in trades:
        if trade.do != "sell" or trade.per != "head":
            continue
        for row, label in enumerate(rows):
            if label.klass != trade.item or label.part not in {"young", "bought"}:
                continue
            most = at.UNLIMITED if trade.limit_month is None else int(trade.limit_month / sharing[label.klass] + 1e-9)
            for month in range(12):
                if _open(trade, sky, month) and not limit[row, month]:
                    limit[row, month], price[row, month] = most, trade.price
    return limit, price


def _open(trade: TradeRow, sky: Sky, month: int) -> bool:
    """Whether a trade takes place in the middle of a larder month."""
    if trade.from_ is None or trade.to is None:
        return True
    start = sky.day_of(trade.from_.month, trade.from_.day)
    length = (sky.day_of(trade.to.month, trade.to.day) - start) % DAYS_IN_YEAR
    return (sky.months[month].first_day + 14 - start) % DAYS_IN_YEAR <= length
