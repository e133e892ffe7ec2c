"""A larder year of a demonstration holding with a birth, guests, two diets and likes in it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from conftest import EXAMPLES, demo_year

import yardland
from yardland.holding.model import Guests, Like, MonthDay, Visit
from yardland.larderyear.jsonable import year_json
from yardland.larderyear.result import YearResult

FULL = {"energy_kcal", "protein_g"}


@pytest.fixture(scope="module")
def lively() -> YearResult:
    """Tarn Hollow with a child expected, harvest help in August, a vegetarian, and somebody who loves potatoes."""
    holding = yardland.load(EXAMPLES / "tarn-hollow")
    people = dict(holding.people)
    people["ailsa"] = people["ailsa"].model_copy(update={"expects": (date(2027, 3, 10),)})
    people["finn"] = people["finn"].model_copy(update={"no": ("vegetarian",)})
    people["tom"] = people["tom"].model_copy(update={"likes": {"potato": Like(least_kg_week=1.0, most_kg_week=4.0)}})
    august = Visit(MonthDay(8, 1), MonthDay(8, 20))
    guests = {"help": Guests(adults=4, children=1, when=(august,), activity="active")}
    return yardland.year(holding.model_copy(update={"people": people, "guests": guests}))


def test_the_vegetarian_is_fed_without_meat(lively: YearResult) -> None:
    """Two diets; no meat, fish or lard on the second one's plates, and its need is met as the household's is."""
    names = [diet.name for diet in lively.diets]
    green = lively.diets[names.index("vegetarian")]

    assert names == ["everything", "vegetarian"]
    assert green.people == ("finn",)
    assert green.eaten_kg
    assert not [good for good in green.eaten_kg if good.startswith(("meat_", "offal_", "fat_"))]
    assert min(float(green.coverage[name].min()) for name in FULL) >= 0.95


def test_the_diets_of_the_year_add_up_to_the_household(lively: YearResult) -> None:
    """Good by good and month by month the meals of both are what the household eats."""
    for good, kg in lively.eaten_kg.items():
        parts = sum((diet.eaten_kg.get(good, np.zeros(12)) for diet in lively.diets), np.zeros(12))
        assert parts == pytest.approx(kg, abs=1e-5 * max(1.0, float(kg.max()))), good


def test_the_year_needs_what_its_people_and_guests_need(lively: YearResult) -> None:
    """August rises by the helpers' hundred person-days, spring by the child; months before pregnancy asks more are alike."""
    plain = demo_year("tarn-hollow")
    more = lively.need_day["energy_kcal"] - plain.need_day["energy_kcal"]
    names = [month.name for month in lively.months]

    assert lively.guests[0].person_days == pytest.approx(100.0)
    assert more[names.index("Aug")] == pytest.approx(505.0 + lively.guests[0].energy_kcal / 31.0, rel=1e-6)
    assert more[names.index("May")] == pytest.approx(505.0)
    assert "nursing 505 kcal more" in next(need for need in lively.needs if need.person == "ailsa").bearing


def test_the_json_of_the_year_tells_people(lively: YearResult) -> None:
    """Both lines of adequacy, diets, guests, likes and upper levels stand in the JSON under stable keys."""
    told: Any = year_json(lively)
    average, asked = told["coverage_average"], told["coverage"]

    assert set(average) <= set(asked)
    assert all(min(average[name]) >= min(asked[name]) - 1e-9 for name in average)
    assert average["protein_g"][0] == pytest.approx(asked["protein_g"][0] * 0.8 / 0.66, rel=0.05)
    assert [one["diet"] for one in told["diets"]] == ["everything", "vegetarian"]
    assert told["guests"][0]["guests"] == "help"
    assert set(told["likes_missed"]) <= {"tom.potato"}
    assert {one["person"] for one in told["over_upper_levels"]} <= set(lively.holding.people)


def test_a_plan_without_diets_tells_none() -> None:
    """The demonstration as it ships eats from one pot: no diets, no guests, and the gap is that of the household."""
    plain = demo_year("tarn-hollow")
    gap = replace(plain, coverage=plain.coverage | {"energy_kcal": np.full(12, 0.9)}).energy_gap()

    assert plain.diets == ()
    assert plain.guests == ()
    assert gap == pytest.approx(np.full(12, 0.1))
