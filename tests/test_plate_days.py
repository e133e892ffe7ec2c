"""Days of food that plates can take: a case worked by hand, a program that says the same, and what must hold of any shelves."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from larder_kit import MONTHS, food, keeping, larder, months

from yardland.accounts.plate_year import plate_year
from yardland.larder.description import Diet, Good, Larder, Plate
from yardland.larder.model import LinearModel, highs, run
from yardland.larder.plate_days import (
    Fare,
    beyond_kcal,
    fare_of,
    month_most_kg_day,
    nested,
    plain_days,
    plate_days,
    served,
    summed,
)
from yardland.larder.program import solve_larder

NEED = 2000.0
MONTH_DAYS = np.array([month.days for month in MONTHS], dtype=np.float64)


def plate(key: str, goods: list[Good], kg_day: float, *, food: bool = True, diet: str = "") -> Plate:
    """A plate of so many kilograms a day."""
    return Plate(
        key, tuple(one.key for one in goods), tuple(one.plate_kg for one in goods), kg_day * MONTH_DAYS, food, diet
    )


def shelves(goods: list[Good], plates: list[Plate], **more: object) -> Larder:
    """A larder of these goods and plates, of a household that needs 2,000 kcal a day."""
    return larder(goods, {}, NEED * MONTH_DAYS, plates=tuple(plates), **more)


def days(fare: Fare, kg: np.ndarray, need: float = NEED) -> tuple[float, float]:
    """Days that plates can take of these kilograms in the order of the fare's goods, and days by energy alone."""
    most, kcal = month_most_kg_day(fare, MONTH_DAYS)[:1], fare.kcal_per_kg[:, 0][None]
    needs = np.array([need])
    return float(plate_days(fare, kg[None], kcal, most, needs)[0]), float(plain_days(kg[None], kcal, needs)[0])


def test_swedes_count_a_plate_a_day() -> None:
    """30 kg of wheat (90,000 kcal) and 100 kg of swedes (40,000), half a kilogram a day: 90,000 + 200 D = 2,000 D, D = 50."""
    swede, wheat = food("swede", 400.0), food("wheat", 3000.0)
    fare = fare_of(shelves([swede, wheat], [plate("swede", [swede], 0.5)]), ["swede", "wheat"])
    kg = np.array([100.0, 30.0])
    on_plates, plain = days(fare, kg)
    most, kcal = month_most_kg_day(fare, MONTH_DAYS)[:1], fare.kcal_per_kg[:, 0][None]

    assert plain == pytest.approx(65.0)
    assert on_plates == pytest.approx(50.0)
    assert beyond_kcal(fare, kg[None], kcal, most, np.array([50.0]))[0] == pytest.approx([75.0 * 400.0, 0.0])
    assert days(fare, np.array([10.0, 30.0])) == pytest.approx((47.0, 47.0))


def test_a_group_and_its_foods_bind_together() -> None:
    """Of 0.6 kg of roots a day, potatoes 0.5 at most, swedes 0.2: 0.5 x 800 + 0.1 x 400 + 1,560 of bread make a day."""
    potato, swede, bread = (
        food("potato", 800.0, group="root"),
        food("swede", 400.0, group="root"),
        food("bread", 2000.0),
    )
    plates = [
        plate("potato", [potato], 0.5),
        plate("swede", [swede], 0.2),
        plate("root_group", [potato, swede], 0.6, food=False),
    ]
    fare = fare_of(shelves([potato, swede, bread], plates), ["potato", "swede", "bread"])

    assert fare.goods == ("bread", "potato", "swede")
    assert days(fare, np.array([78.0, 1000.0, 1000.0]))[0] == pytest.approx(100.0)


def test_shelves_that_make_no_day_have_no_days() -> None:
    """Honey alone, 300 kcal of a day's 2,000, is 30 days by energy and no day that anybody could eat."""
    honey = food("honey", 3000.0)
    fare = fare_of(shelves([honey], [plate("honey", [honey], 0.1)]), ["honey"])

    assert days(fare, np.array([20.0])) == pytest.approx((0.0, 30.0))
    assert days(fare, np.array([0.0])) == (0.0, 0.0)


def test_dried_forms_count_as_the_fresh_food() -> None:
    """A kilogram of dried apple counts ten on the plate of apples."""
    fresh = food("apple", 500.0, food="apple")
    dried = food("apple.dried", 3000.0, food="apple", plate_kg=10.0)
    fare = fare_of(shelves([fresh, dried], [plate("apple", [fresh, dried], 4.0)]), ["apple.dried", "apple"])

    assert days(fare, np.array([0.0, 10.0]), need=1200.0) == pytest.approx((25.0, 25.0))
    assert days(fare, np.array([400.0, 10.0]), need=2000.0)[0] == pytest.approx(100.0)
    assert days(fare, np.array([400.0, 10.0]), need=2001.0)[0] < 100.0


def test_plates_of_several_diets_are_one_fare() -> None:
    """Plates of a food add up over the diets; who has no plate of it has the group's; one without either sets no limit."""
    ham, cheese = food("ham", 3000.0, group="meat"), food("cheese", 4000.0, group="dairy")
    diets = tuple(Diet(name, (), np.full((2, 12), 0.5)) for name in ("", "no pork"))
    plates = [
        plate("ham", [ham], 0.1),
        plate("ham", [ham], 0.0, diet="no pork"),
        plate("cheese", [cheese], 0.1),
        plate("dairy_group", [cheese], 0.3, food=False, diet="no pork"),
    ]
    named = replace(shelves([ham, cheese], plates), diets=tuple(replace(one, name=one.name or "all") for one in diets))
    named = replace(named, plates=tuple(replace(one, diet=one.diet or "all") for one in plates))
    found = {limit.key: limit.most_kg / MONTH_DAYS for limit in summed(named, frozenset({"ham", "cheese"}))}

    assert found["ham"] == pytest.approx(np.full(12, 0.1))
    assert found["cheese"] == pytest.approx(np.full(12, 0.4))
    assert "dairy_group" not in found


def test_limits_that_cross_are_split_until_they_are_nested() -> None:
    """What crosses another becomes its part inside and its part outside, each with the whole amount."""
    lard, ham, beef = food("lard"), food("ham"), food("beef")
    crossing = shelves(
        [lard, ham, beef], [plate("meat_group", [ham, beef], 0.3, food=False), plate("pork", [lard, ham], 0.2)]
    )
    found = nested(summed(crossing, frozenset({"lard", "ham", "beef"})))

    assert {(limit.key, limit.goods) for limit in found} == {
        ("meat_group", frozenset({"ham", "beef"})),
        ("pork", frozenset({"ham"})),
        ("pork", frozenset({"lard"})),
    }
    for one, other in combinations(found, 2):
        both = one.goods & other.goods
        assert not both or both in {one.goods, other.goods}


FIGURE = st.floats(0.0, 50.0).map(lambda value: round(value, 3))


@st.composite
def fares(draw: st.DrawFn) -> tuple[Fare, np.ndarray]:
    """Six goods, of which five have plates of a food and a group, and what lies there."""
    goods = [food(f"g{at}", draw(st.floats(100.0, 9000.0)), plate_kg=draw(st.floats(0.2, 8.0))) for at in range(6)]
    plates = [plate(one.key, [one], draw(st.floats(0.0, 1.5))) for one in goods[:4]]
    plates.append(plate("few_group", goods[:3], draw(st.floats(0.0, 2.0)), food=False))
    plates.append(plate("all_group", goods[:5], draw(st.floats(0.0, 3.0)), food=False))
    fare = fare_of(shelves(goods, plates), [one.key for one in goods])
    return fare, np.array([draw(FIGURE) for _ in goods])


@settings(max_examples=60, deadline=None)
@given(fares(), st.floats(0.5, 300.0))
def test_what_is_served_is_the_best_of_any_program(case: tuple[Fare, np.ndarray], length: float) -> None:
    """Serving by richness gives as much energy as the linear program of the same shelves and limits."""
    fare, kg = case
    most = month_most_kg_day(fare, MONTH_DAYS)[0]
    model = LinearModel()
    for at, kcal in enumerate(fare.kcal_per_kg[:, 0]):
        model.column(-float(kcal) / 1000.0, float(kg[at]))
    for limit, a_day in zip(fare.limits, most, strict=True):
        row = model.row(limit.key, upper=float(a_day) * length)
        for good in limit.goods:
            model.put(row, fare.goods.index(good), float(fare.plate_kg[fare.goods.index(good)]))
    best = -run(highs(model, method="simplex"), model).objective * 1000.0
    own = served(fare, kg[None], fare.kcal_per_kg[:, 0][None], most[None], np.array([length]))

    assert own.kcal[0] == pytest.approx(best, rel=1e-6, abs=1e-3)
    assert (own.kg[0] <= kg * (1.0 + 1e-12)).all()


@settings(max_examples=150, deadline=None)
@given(fares(), st.integers(0, 5), FIGURE)
def test_days_on_plates_are_the_greatest_that_can_be_eaten(
    case: tuple[Fare, np.ndarray], good: int, more: float
) -> None:
    """Never more than by energy, grow with every kilogram, can be eaten to the last, and one per mille more could not."""
    fare, kg = case
    on_plates, plain = days(fare, kg)
    added = kg.copy()
    added[good] += more
    most, kcal = month_most_kg_day(fare, MONTH_DAYS)[:1], fare.kcal_per_kg[:, 0][None]

    assert 0.0 <= on_plates <= plain
    assert days(fare, added)[0] >= on_plates * (1.0 - 1e-6) - 1e-6
    at = served(fare, kg[None], kcal, most, np.array([on_plates])).kcal[0]
    assert at == pytest.approx(NEED * on_plates, rel=1e-6, abs=1e-3)
    further = max(on_plates * 1.001, 1e-3)
    if further < plain:
        assert served(fare, kg[None], kcal, most, np.array([further])).kcal[0] < NEED * further
    all_served = served(fare, kg[None], kcal, most, np.array([plain])).kcal[0]
    if all_served >= (kg * kcal[0]).sum():
        assert on_plates == plain


def test_cells_do_not_hang_on_one_another() -> None:
    """Many shelves at once have the days that each has alone, to the last bit."""
    rng = np.random.default_rng(7)
    goods = [food(f"g{at}", float(kcal)) for at, kcal in enumerate(rng.uniform(200, 4000, 8))]
    plates = [plate(one.key, [one], float(kg)) for one, kg in zip(goods, rng.uniform(0.1, 1.0, 8), strict=True)]
    fare = fare_of(shelves(goods, plates), [one.key for one in goods])
    kg = rng.uniform(0.0, 60.0, (40, 8)) * (rng.random((40, 8)) < 0.6)
    kcal, most = np.tile(fare.kcal_per_kg[:, 0], (40, 1)), np.tile(month_most_kg_day(fare, MONTH_DAYS)[0], (40, 1))
    found = plate_days(fare, kg, kcal, most, np.full(40, NEED))

    assert (found > 0.0).any()
    assert (found < plain_days(kg, kcal, np.full(40, NEED))).any()
    assert found.tolist() == [days(fare, row)[0] for row in kg]


def test_a_year_tells_days_on_plates_and_what_lies_beyond() -> None:
    """Beyond the plates lies the energy that is not among the days; of the month after are need and plates."""
    swede, wheat = food("swede", 400.0), food("wheat", 3000.0)
    plan = solve_larder(
        larder(
            [swede, wheat],
            {"swede": months(oct=2000.0), "wheat": months(sep=60.0)},
            NEED * MONTH_DAYS,
            keepings=(keeping("swede"), keeping("wheat")),
            plates=(plate("swede", [swede], 0.5),),
        )
    )
    told = plate_year(plan, 45.0)
    rows = {name: row for row, name in enumerate(plan.accounts)}
    lying = {way.gives: plan.closing_kg[rows[way.account]] for way in plan.larder.keepings}
    month = 9
    energy = (lying["wheat"][month] * 3000.0 + lying["swede"][month] * 400.0) / NEED

    assert lying["swede"][month] > 0.5 * told.days[month] + 50.0
    assert told.days[month] == pytest.approx(lying["wheat"][month] * 3000.0 / (NEED - 0.5 * 400.0), rel=1e-6)
    assert sum(told.beyond_days.values())[month] == pytest.approx(energy - told.days[month], rel=1e-6)
    assert next(iter(told.beyond_days)) == "swede"
    lacks = 45.0 * NEED - lying["wheat"] * 3000.0 - np.minimum(lying["swede"], 0.5 * 45.0) * 400.0
    assert told.reserve_lacks_kcal == pytest.approx(np.maximum(lacks, 0.0), abs=1e-6)
