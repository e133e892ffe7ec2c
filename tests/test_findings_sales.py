"""The law of sale is told where trades.csv sells what it speaks of, and nowhere else."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest
from fixtures_result import year_result

from yardland.findings import sales
from yardland.findings.context import Context
from yardland.holding.model import TradeRow
from yardland.larderyear.result import Finding
from yardland.reference import load_tables

TABLES = load_tables()


def told(*items: str, do: str = "sell", per: str = "kg") -> list[Finding]:
    """What is said of a holding whose trades are these lines alone."""
    trades = tuple(TradeRow(line=2, item=item, do=do, price=1.0, per=per) for item in items)
    result = replace(year_result(), holding=SimpleNamespace(trades=trades))
    return list(sales.sales(Context(result, TABLES)))


@pytest.mark.parametrize(
    ("item", "subject", "word"),
    [
        ("meat_lamb", "caution.sale_meat", "inspection"),
        ("offal_pork", "caution.sale_meat", "slaughterhouse"),
        ("egg_hen", "caution.sale_eggs", "best-before"),
        ("milk_cow", "caution.sale_milk", "Scotland"),
        ("cheese_goat", "caution.sale_milk", "registered dairy"),
        ("wool", "caution.sale_skins", "by-products"),
        ("skin_sheep", "caution.sale_skins", "by-products"),
    ],
)
def test_each_good_of_the_stock_has_its_law_of_sale(item: str, subject: str, word: str) -> None:
    """A line `sell` of it is a note with the rule, its source and who decides."""
    [found] = told(item)

    assert (found.grade, found.subject) == ("note", subject)
    assert word in found.what
    assert found.source
    assert found.remedy.startswith("Ask ")


def test_what_is_bought_or_grown_has_none() -> None:
    """Buying eggs, selling wheat, and selling live lambs by the head say nothing of these laws."""
    assert told("egg_hen", do="buy") == []
    assert told("wheat", "honey") == []
    assert told("lamb", per="head") == []


def test_the_number_of_hens_and_the_goods_are_named() -> None:
    """From 50 hens on at a market (England; published), and each good that is sold stands in the cause."""
    [eggs] = told("egg_hen", "egg_duck")

    assert eggs.number == "50 hens"
    assert "50" in eggs.what
    assert "ducks' eggs" in eggs.cause
    assert "hens' eggs" in eggs.cause
