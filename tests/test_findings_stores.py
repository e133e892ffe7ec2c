"""Findings about stores: each speaks when its case is there and is silent when it is not; the accounts behind them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from conftest import demo_year
from larder_kit import MONTHS, food, keeping, larder, months

from yardland.accounts.keeping_year import KeepingYear, food_days, preserving, preserving_costs, put_in_kg
from yardland.accounts.plate_year import PlateYear
from yardland.findings import stores
from yardland.findings.context import Context
from yardland.holding.model import Store, TradeRow
from yardland.larder.program import solve_larder
from yardland.larderyear.jsonable import year_json
from yardland.larderyear.result import YearResult
from yardland.reference import load_tables
from yardland.report.keeping import preserving_table, warmth_table

TABLES = load_tables()


def context(result: YearResult, **kept: object) -> Context:
    """The rules' context of a result with other stores."""
    return Context(replace(result, kept=replace(result.kept, **kept)), load_tables())


def test_a_reserve_under_the_goal_is_tight_with_days_and_grain() -> None:
    """Ten days in hand at the lowest month, with 45 wanted, is told with the month, the days and the missing grain."""
    result = demo_year("tarn-hollow")
    days, lacks = np.full(12, 200.0), np.zeros(12)
    days[6] = 10.0
    lacks[6] = 400_000.0
    plates = PlateYear(days, reserve_lacks_kcal=lacks)
    (found,) = stores.reserve(context(result, food_days=np.full(12, 212.0), plates=plates))
    grain = 400_000.0 / (TABLES.row("foods", "wheat_whole").need("energy_kcal") * 10.0)

    assert found.grade == "tight"
    assert "10 days" in found.title
    assert result.months[6].name in found.what
    assert "212 by its energy alone" in found.what
    assert found.number == f"10 of 45 days; {grain:,.0f} kg of grain are missing to it"


def test_a_kept_reserve_is_not_told() -> None:
    """With the goal in hand at every month's end, or no year reckoned, nothing is said."""
    result = demo_year("tarn-hollow")

    assert not list(stores.reserve(context(result, plates=PlateYear(np.full(12, 45.0)))))
    assert not list(stores.reserve(Context(replace(result, kept=KeepingYear()), TABLES)))


def test_a_warm_place_is_told_with_its_months() -> None:
    """Where what lies there spoils over one and a half times as fast, place, months and temperature are named."""
    result = demo_year("casa-vereda")
    pace = np.ones(12)
    pace[9] = 2.6
    warm = {
        "pace": {"cellar": pace, "loft": np.ones(12)},
        "places_c": {"cellar": np.full(12, 15.6), "loft": np.full(12, 20.0)},
    }
    (found,) = stores.warm(context(result, **warm))

    assert result.months[9].name in found.title
    assert found.number == "16 C, 2.6 times as fast"
    assert found.subject == "store_litres.cellar"


def test_a_freezer_without_power_brings_its_caution() -> None:
    """Expected losses are told with the hours that a freezer holds; without cuts, or with nothing in it, not."""
    result = demo_year("tarn-hollow")
    (found,) = stores.thaw(context(result, thawed_kg=np.full(12, 0.5)))
    steady = {"box": Store(kind="freezer", volume_l=100)}

    assert "6.0 kg" in found.number
    assert "48 hours" in found.what
    assert "never tasted" in found.what
    assert not list(stores.thaw(context(result, thawed_kg=np.zeros(12))))
    still = replace(result, holding=result.holding.model_copy(update={"store": steady}))
    assert not list(stores.thaw(context(still, thawed_kg=np.full(12, 0.5))))


def test_a_place_that_nobody_uses_is_named() -> None:
    """A clamp in which nothing lies all year is told; places with something in them are not."""
    result = demo_year("tarn-hollow")
    more = result.holding.store | {"heap": Store(kind="clamp", volume_l=900)}
    full = dict.fromkeys(["cellar", "loft", "freezer", "barn", "fridge", "jars"], np.ones(12))
    (found,) = stores.idle(
        Context(replace(result, holding=result.holding.model_copy(update={"store": more}), store_litres=full), TABLES)
    )

    assert found.subject == "store_litres.clamp"
    assert "Heap" in found.what


def plan_with(**fields: object):
    """A larder whose people eat carrots in two forms."""
    goods = [food("carrot"), food("carrot.canned", 1100.0), food("carrot.dried", 9000.0)]
    ways = (
        keeping("carrot", loss=0.03, life=2.0),
        replace(
            keeping("carrot", life=18.0),
            method="canned",
            gives="carrot.canned",
            yield_fraction=0.9,
            jar_litres_per_kg=1 / 1.2,
        ),
        replace(keeping("carrot", life=12.0), method="dried", gives="carrot.dried", yield_fraction=0.1),
    )
    return solve_larder(larder(goods, {"carrot": months(sep=40)}, np.full(12, 3000.0), keepings=ways, **fields))


def test_what_went_in_is_counted_before_it_was_trimmed() -> None:
    """Kilograms that went in are those on the shelf over the yield, and hours, salt, jars and fuel follow from them."""
    plan = plan_with()
    went = put_in_kg(plan)
    kg = {method: float(went.get(("carrot", method), np.zeros(12)).sum()) for method in ("canned", "dried")}
    shelved = {method: float(plan.put_by_kg.get(("carrot", method), np.zeros(12)).sum()) for method in kg}
    took = preserving(plan_with_rooms(plan), TABLES)
    canned, dried = TABLES.row("preserving", "canned"), TABLES.row("preserving", "dried")

    assert sum(kg.values()) > 5
    assert kg["canned"] == pytest.approx(shelved["canned"] / 0.9)
    assert kg["dried"] == pytest.approx(shelved["dried"] / 0.1)
    assert took.salt_kg.sum() == pytest.approx(kg["canned"] * canned.need("salt_kg_kg"))
    assert took.jars.sum() == pytest.approx(kg["canned"] / 1.2)
    fuel = kg["canned"] * canned.need("fuel_mj_kg") + kg["dried"] * dried.need("fuel_mj_kg")
    assert took.fuel_mj.sum() == pytest.approx(fuel)
    hours = kg["canned"] * TABLES.row("tasks", "preserve.pressure_can").need("typical")
    hours += kg["dried"] * TABLES.row("tasks", "preserve.dry").need("typical")
    assert took.hours.sum() == pytest.approx(hours)


def plan_with_rooms(plan):
    """The plan without what it put by as it is, whose way the tables do not have."""
    return replace(plan, put_by_kg={key: kg for key, kg in plan.put_by_kg.items() if key[1] != "shelf"})


def test_days_of_food_are_energy_over_the_need_of_the_month_after() -> None:
    """What lies at a month's end over a day's need; with nothing in store there are none."""
    plan = plan_with()
    lying = sum(
        plan.closing_kg[row] * plan.larder.goods[way.gives].per_kg[0]
        for row, name in enumerate(plan.accounts)
        for way in plan.larder.keepings
        if way.account == name
    )
    need_day = np.roll(np.full(12, 3000.0) / np.array([month.days for month in MONTHS]), -1)

    assert food_days(plan) == pytest.approx(lying / need_day)
    assert food_days(plan).max() > 30
    assert not food_days(solve_larder(larder([food("egg")], {"egg": np.full(12, 2.0)}, np.full(12, 2000.0)))).any()


def test_what_preserving_takes_costs_its_price() -> None:
    """Salt costs the plan's own price where it has one, jars a year's part of theirs, and nothing costs nothing."""
    result = demo_year("tarn-hollow")
    took = replace(KeepingYear().preserving, salt_kg=np.full(12, 2.0), jars=np.full(12, 5.0))
    dear = result.holding.model_copy(update={"trades": (TradeRow(line=2, item="salt", do="buy", price=3.0),)})
    costs = preserving_costs(dear, TABLES, took, MONTHS)
    jar = TABLES.row("prices", "tool.jars_0_5_1_l")

    assert costs["salt to put by with"] == pytest.approx(np.full(12, 6.0))
    assert costs["jars to put by in"] == pytest.approx(np.full(12, 5.0 * jar.need("eur_mid") / jar.need("life_years")))
    assert set(costs) == {"salt to put by with", "jars to put by in"}
    assert preserving_costs(dear, TABLES, KeepingYear().preserving, MONTHS) == {}


def test_a_year_tells_its_stores() -> None:
    """The JSON of a demonstration year has temperatures of its places, days of food and what putting by took."""
    result = demo_year("tarn-hollow")
    told: Any = year_json(result)

    assert set(told["places_c"]) >= {"cellar", "pantry", "loft", "freezer", "fridge", "in the ground"}
    assert len(told["food_days"]) == len(told["days_on_plates"]) == 12
    assert all(0.0 <= few <= many + 1e-6 for few, many in zip(told["days_on_plates"], told["food_days"], strict=True))
    assert min(told["days_on_plates"]) < 0.9 * min(told["food_days"])
    assert "broad_bean" in told["beyond_plates_days"]
    assert sum(told["preserving"]["jars"]) > 0
    assert sum(told["preserving"]["hours"]) <= sum(result.hours_week["preserving"]) + 1e-6
    assert "salt to put by with" in result.money


def test_the_report_shows_the_stores_year() -> None:
    """Tables of the page give each place its temperature by month, the days of food, and what putting by took."""
    result = demo_year("tarn-hollow")
    warm, took = warmth_table(result), preserving_table(result)
    cellar = next(row for row in warm.rows if row[0].lower().startswith("cellar"))

    assert [int(value) for value in cellar[1:]] == pytest.approx(result.kept.places_c["cellar"], abs=0.51)
    assert len(warm.rows[-1]) == 13
    assert any(row[0] == "jars of a litre" for row in took.rows)
    assert not any(row[0] == "vinegar, l" for row in took.rows) or result.kept.preserving.vinegar_l.any()
    assert not preserving_table(replace(result, kept=KeepingYear())).rows
