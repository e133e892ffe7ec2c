"""Wool, skins and feathers: whose, how much, when, and that they are sold and counted like any other good."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from stock_kit import BORROWED, TABLES, group, year_of

from yardland import load
from yardland.findings.collect import judged_year
from yardland.holding.model import Holding, MonthDay, OwnRow, TradeRow
from yardland.ledger.months import larder_months
from yardland.ledger.production import HerdNeed
from yardland.reference import load_tables
from yardland.stock.coats import fleece_kg, skin_of
from yardland.works import events as work
from yardland.works.hours import hours

EXAMPLES = Path(__file__).parents[1] / "examples"
SHEEP = group(heads={"ewe": 4, "ram": 1}, born=[MonthDay(4, 10)], sire=None)


def given(need: HerdNeed) -> dict[str, float]:
    """Good -> kilograms of the year."""
    return {good: float(kg.sum()) for good, kg in need.products.items()}


def test_a_fleece_is_shorn_of_each_adult_once_a_year() -> None:
    """Four ewes and a ram give five fleeces of 2.7 kg in June, their lambs none; it is one day."""
    got = year_of({"flock": SHEEP})
    by_class = {need.klass: need for need in got.needs}
    wool = sum(need.products.get("wool", np.zeros(12)) for need in got.needs)

    assert given(by_class["ewe"])["wool"] == pytest.approx(4 * 2.7)
    assert given(by_class["ram"])["wool"] == pytest.approx(2.7)
    assert "wool" not in by_class["lamb"].products
    assert np.flatnonzero(wool).tolist() == [5]
    assert [(event.klass, event.heads) for event in got.events.events if event.kind == "shorn"] == [
        ("ewe", 4),
        ("ram", 1),
    ]


def test_southern_sheep_are_shorn_in_december() -> None:
    """The month of the longest days, by the sun and not by its name."""
    got = year_of({"flock": SHEEP}, latitude_deg=-38.0)
    wool = sum(need.products.get("wool", np.zeros(12)) for need in got.needs)

    assert np.flatnonzero(wool).tolist() == [11]


def test_the_shearer_is_paid_in_hours_of_the_sheep_that_are_shorn() -> None:
    """0.15 h a head (common practice) in the week of the day, for adults alone: lambs cost no shearing."""
    got = year_of({"flock": SHEEP})
    light = np.array([8, 9, 11, 13, 15, 16, 15, 14, 12, 10, 9, 8], dtype=np.float64)
    done = work.herd_events(TABLES, "flock", {}, got.events.events, light, months=larder_months(2001, 1))
    shearing = [event for event in done if event.task_key == "stock.shear"]

    assert sum(hours(shearing, TABLES)["livestock"]) == pytest.approx(5 * 0.15)


def test_skins_and_feathers_are_shares_of_what_is_killed() -> None:
    """A hide is 8 % of the live weight, a pelt 15 %, feathers 5 %; a pig keeps its skin, and bees have none."""
    got = year_of({"flock": SHEEP, "hens": group(heads={"laying_hen": 12})})
    killed = {
        klass: sum(
            event.live_kg for event in got.events.events if event.kind in {"killed", "culled"} and event.klass == klass
        )
        for klass in ("lamb", "laying_hen")
    }
    by_class = {need.klass: need for need in got.needs}

    assert killed["lamb"] > 0.0
    assert given(by_class["lamb"])["skin_sheep"] == pytest.approx(0.15 * killed["lamb"])
    assert given(by_class["laying_hen"])["feathers"] == pytest.approx(0.05 * killed["laying_hen"])
    assert skin_of(TABLES, "dairy_cow_small") == ("skin_cattle", 0.08)
    assert skin_of(TABLES, "pig_grower") == ("", 0.0)
    assert skin_of(TABLES, "honeybee_colony") == ("", 0.0)


def test_nothing_is_plucked_of_a_living_bird() -> None:
    """Geese of which none is killed give eggs and no feathers."""
    got = year_of({"geese": group(heads={"goose": 3}, sire=BORROWED)})
    killed = [event for event in got.events.events if event.kind in {"killed", "culled"}]
    feathers = sum(given(need).get("feathers", 0.0) for need in got.needs)

    assert feathers == pytest.approx(0.05 * sum(event.live_kg for event in killed))


@pytest.mark.parametrize("klass", ["ewe", "ram"])
def test_a_users_own_fleece_goes_over_the_tables(klass: str) -> None:
    """Herdwicks of 1.5 kg are one line of own.csv."""
    tables = load_tables(own=(OwnRow(line=2, key="coats.sheep.fleece_kg", value=1.5, why="own scales"),))

    assert fleece_kg(tables, klass) == 1.5
    assert fleece_kg(tables, "lamb") == 0.0


def test_wool_is_sold_where_trades_take_it_and_the_books_close() -> None:
    """A line `wool,sell` brings price x fleeces into the money of June; without the line nothing is sold of it."""
    plan = load(EXAMPLES / "tarn-hollow")
    row = TradeRow(line=99, item="wool", do="sell", price=1.2, per="kg")
    selling = plan.model_copy(update={"trades": (*plan.trades, row)})

    def sold(holding: Holding) -> float:
        money = judged_year(holding).money
        return float(money["sell wool"].sum()) if "sell wool" in money else 0.0

    assert sold(plan) == 0.0
    assert sold(selling) == pytest.approx(1.2 * 2.7 * plan.group["ewes"].heads["ewe"], rel=1e-6)


def test_every_coat_is_a_good_that_names_its_stock() -> None:
    """A class with a skin or feathers is an origin of that good; classes that nobody kills have none."""
    for klass in TABLES.keys("stock"):
        good, share = skin_of(TABLES, klass)
        assert (good != "") == (share > 0.0)
        if good:
            assert f"stock:{klass}" in TABLES.row("goods", good).text("comes_from").split(), klass
