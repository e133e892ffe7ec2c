"""Money is prices times what crosses the fence."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.holding.model import MonthDay, TradeRow
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.works.money import head_prices, heads_by_month, money, sire_costs

TABLES = load_tables()
MONTHS = larder_months(2001, 10)


def trade(item: str, do: str, price: float, per: str = "kg", **more) -> TradeRow:
    """A line of trades.csv."""
    return TradeRow.model_validate({"line": 2, "item": item, "do": do, "price": price, "per": per} | more)


@given(kg=st.lists(st.floats(0.0, 500.0), min_size=12, max_size=12), price=st.floats(0.01, 50.0))
def test_sales_are_income_and_purchases_outlay(kg, price):
    """What is sold brings its price times its mass; what is bought costs it."""
    sold = money(MONTHS, (trade("egg_hen", "sell", price),), TABLES, sold_kg={"egg_hen": kg})
    bought = money(MONTHS, (trade("egg_hen", "buy", price),), TABLES, bought_kg={"egg_hen": kg})

    assert sum(sold.by_item.values(), np.zeros(12)) == pytest.approx(np.array(kg) * price)
    assert sum(bought.by_item.values(), np.zeros(12)) == pytest.approx(-np.array(kg) * price)
    assert not sold.table_priced
    assert not sold.unpriced


def test_prices_hold_for_their_months():
    """A price from October to March and another for the rest are each used in their months."""
    winter = trade("egg_hen", "sell", 5.0, from_=MonthDay(10, 1), to=MonthDay(3, 31))
    summer = trade("egg_hen", "sell", 3.0, from_=MonthDay(4, 1), to=MonthDay(9, 30))
    income = money(MONTHS, (winter, summer), TABLES, sold_kg={"egg_hen": np.ones(12)}).by_item["sell egg_hen"]

    assert income == pytest.approx([5.0] * 6 + [3.0] * 6)


def test_the_tables_price_what_the_user_did_not():
    """Without a line of trades the tables' price stands in and is named; what nothing prices is named and counted nil."""
    result = money(MONTHS, (), TABLES, bought_kg={"salt": np.ones(12), "moonshine": np.ones(12)})

    assert result.by_item["buy salt"] == pytest.approx(np.full(12, -TABLES.row("prices", "buy.salt").need("eur_mid")))
    assert result.table_priced == ["buy salt"]
    assert result.unpriced == ["buy moonshine"]


def test_heads_are_priced_by_the_head():
    """Chicks at the user's price, pullets at the tables'; a price per kilogram is none for a head."""
    heads = np.zeros(12)
    heads[3] = 20
    trades = (trade("broiler_slow", "buy", 1.2, "head"), trade("laying_hen", "buy", 99.0))
    result = money(MONTHS, trades, TABLES, bought_heads={"broiler_slow": heads, "laying_hen": heads})

    assert result.by_item["buy broiler_slow"][3] == pytest.approx(-24.0)
    pullet = TABLES.row("prices", "stock.pullet_point_of_lay").need("eur_mid")
    assert result.by_item["buy laying_hen"][3] == pytest.approx(-20 * pullet)


def test_every_class_but_young_has_a_price_that_exists():
    """The price of each class that can be bought is a row of the tables."""
    for klass, price in head_prices().items():
        assert TABLES.has("stock", klass)
        assert TABLES.row("prices", price).need("eur_mid") > 0.0


def test_events_become_heads_and_costs_by_month():
    """Bought heads fall into their months; a hired sire's money is an outlay named for its group."""
    events = [
        SimpleNamespace(day=40, kind="bought", group="birds", klass="broiler_slow", heads=20, cost=0.0),
        SimpleNamespace(day=45, kind="bought", group="birds", klass="broiler_slow", heads=5, cost=0.0),
        SimpleNamespace(day=364, kind="sire comes", group="ewes", klass="ewe", heads=1, cost=45.0),
    ]

    assert heads_by_month(events, "bought", MONTHS)["broiler_slow"][1] == 25
    assert sire_costs(events, MONTHS)["sire for ewes"][11] == pytest.approx(45.0)
    costs = money(MONTHS, (), TABLES, costs=sire_costs(events, MONTHS))
    assert costs.by_item["sire for ewes"].sum() == pytest.approx(-45.0)
