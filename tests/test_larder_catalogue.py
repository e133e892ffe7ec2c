"""From a holding and the tables to a described larder: goods, ways to keep them, plates, trades, contents."""

from __future__ import annotations

import dataclasses
import re
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from larder_kit import imbalance, random_larder

from yardland.errors import InputFaults, TableError
from yardland.holding.model import Holding, Kitchen, MonthDay, Person, Place, Store, StoreRow, TradeRow
from yardland.larder.catalogue import describe, good_named
from yardland.larder.composition import aged, contents, cooked, mean_ages
from yardland.larder.description import Larder
from yardland.larder.needs import NUTRIENTS, household_need
from yardland.larder.program import build_program, solve, solve_larder
from yardland.larder.weights import WEIGHTS
from yardland.ledger.months import larder_months
from yardland.ledger.production import Gathered, Production
from yardland.reference import load_tables

TABLES = load_tables()
MONTHS = larder_months(2026, 10)
ADULT = Person(born=date(1985, 1, 1), sex="m", weight_kg=75)
ROOMS = {
    "cellar": Store(kind="cellar", volume_l=3000),
    "pantry": Store(kind="pantry", volume_l=1000),
    "freezer": Store(kind="freezer", volume_l=200),
}


def holding(**more: object) -> Holding:
    """A holding with three rooms and one man, and whatever else is given."""
    place = Place(name="x", latitude_deg=50, longitude_deg=0, country="GB", year_starts=MonthDay(10, 1))
    fields: dict[str, object] = {"people": {"one": ADULT}, "store": ROOMS} | more
    return Holding(folder=Path(), place=place, plot={}, **fields)


def october(kg: float) -> np.ndarray:
    """So many kilograms in October, the first larder month."""
    return np.array([kg] + [0.0] * 11)


def described(production: Production, **more: object) -> Larder:
    """The larder of that holding."""
    plan = holding(**more)
    _, needs = household_need(plan, TABLES, MONTHS)
    return describe(plan, TABLES, MONTHS, production, needs, from_stores=bool(more.get("stores_today")))


def harvest(**kg: float) -> Production:
    """Goods gathered in October."""
    return Production(tuple(Gathered(f"crop:field.{good}", good, october(amount)) for good, amount in kg.items()))


def test_grain_brings_its_flour_and_bran_into_play() -> None:
    """What can be made of a good is a good of the larder, and what cannot arise is not."""
    goods = described(harvest(wheat=500.0)).goods

    assert {"wheat", "flour_wheat", "bran"} <= set(goods)
    assert "potato" not in goods
    assert "butter" not in goods


def test_a_good_that_no_table_knows_is_refused() -> None:
    """A harvest of moon cheese is an error that names it."""
    with pytest.raises(TableError, match="moon_cheese"):
        described(harvest(moon_cheese=1.0))


def test_a_good_is_kept_only_where_there_is_room() -> None:
    """Carrots are kept in the cellar, the freezer and the ground; without a freezer none are frozen."""
    methods = {keeping.method for keeping in described(harvest(carrot=100.0)).keepings if keeping.good == "carrot"}
    rooms = {"cellar": ROOMS["cellar"]}
    fewer = {keeping.method for keeping in described(harvest(carrot=100.0), store=rooms).keepings}

    assert {"root_cellar", "frozen", "in_ground", "dried", "canned"} <= methods
    assert fewer == {"root_cellar", "in_ground"}


def test_the_kitchen_may_leave_ways_of_putting_by_out() -> None:
    """With `methods` given, only those are done, and what is merely kept is kept all the same."""
    kitchen = Kitchen(methods=("dried",))
    methods = {keeping.method for keeping in described(harvest(carrot=100.0), kitchen=kitchen).keepings}

    assert methods == {"root_cellar", "in_ground", "dried"}


def test_one_kilogram_of_potatoes_holds_its_edible_part() -> None:
    """Energy of a kilogram of potatoes = 770 kcal x the edible fraction of the goods table."""
    good = described(harvest(potato=100.0)).goods["potato"]
    edible = TABLES.row("goods", "potato").need("edible_fraction")

    assert good.per_kg is not None
    assert good.per_kg[0] == pytest.approx(np.full(12, 770.0 * edible))


def test_niacin_counts_tryptophan() -> None:
    """Milk has 0.9 mg of preformed niacin a kilogram, and tryptophan for several times as much."""
    values, _ = contents(TABLES, "milk_cow")
    row = TABLES.row("foods", "milk_cow")
    preformed = row.need("niacin_mg") * 10.0

    assert values[NUTRIENTS.index("niacin_mg")] == pytest.approx(preformed + row.need("tryptophan_g") * 10_000 / 60)
    assert values[NUTRIENTS.index("niacin_mg")] > 3 * preformed


def test_what_the_tables_do_not_know_is_named() -> None:
    """A food whose vitamin D is not known counts as none, and a note says so."""
    known = [key for key in TABLES.keys("goods") if TABLES.row("goods", key).text("food")]
    blank = next(
        key for key in known if TABLES.row("foods", TABLES.row("goods", key).text("food"))["vitamin_d_ug"] is None
    )
    larder = described(harvest(**{blank: 10.0}))

    name = TABLES.row("goods", blank).text("name").partition(",")[0].lower()

    assert any(note.startswith("Vitamin D is not known") and name in note.lower() for note in larder.notes)


def test_boiling_takes_its_share_and_a_salad_keeps_all() -> None:
    """Boiled cabbage keeps 75 % of its vitamin C and 65 % of its folate (USDA R6, 3775); lettuce all."""
    for food, vitamin_c, folate in (("cabbage", 0.75, 0.65), ("lettuce", 1.0, 1.0)):
        raw, _ = contents(TABLES, food)
        left = cooked(TABLES, food, raw) / np.where(raw > 0.0, raw, 1.0)

        assert left[NUTRIENTS.index("vitamin_c_mg")] == pytest.approx(vitamin_c)
        assert left[NUTRIENTS.index("folate_dfe_ug")] == pytest.approx(folate)
        assert left[0] == pytest.approx(1.0)


def test_a_household_without_salt_is_told() -> None:
    """Unless salt may be bought, a note says that it is missing."""
    salt = TradeRow(line=2, item="salt", do="buy", price=0.5)

    assert any("salt" in note for note in described(harvest(potato=1.0)).notes)
    assert not any("salt" in note for note in described(harvest(potato=1.0), trades=(salt,)).notes)


def test_vitamin_c_fades_with_the_months() -> None:
    """Potatoes of October hold less vitamin C in March, and as much energy."""
    per_kg = described(harvest(potato=100.0)).goods["potato"].per_kg
    loss = TABLES.row("stores", "potato.root_cellar").need("vitamin_c_loss_per_month")

    assert per_kg is not None
    vitamin_c = per_kg[NUTRIENTS.index("vitamin_c_mg")]
    assert vitamin_c[5] == pytest.approx(vitamin_c[0] * (1.0 - loss) ** 5)


def test_vitamin_c_after_three_months_at_15_percent() -> None:
    """19.7 mg lose 15 % a month: 12.10 mg are left after three months."""
    values = np.zeros(len(NUTRIENTS))
    values[NUTRIENTS.index("vitamin_c_mg")] = 19.7

    assert aged(values, 0.15, np.array([3.0]))[NUTRIENTS.index("vitamin_c_mg"), 0] == pytest.approx(12.10, abs=0.05)


def test_ages_are_weighed_by_what_arrived() -> None:
    """Two equal harvests one month apart: in the second month what is eaten is half a month old on the mean."""
    arriving = np.zeros(12)
    arriving[:2] = 10.0

    assert mean_ages(arriving, 3.0)[:6] == pytest.approx([0.0, 0.5, 1.5, 2.5, 3.0, 0.0])


def test_a_plate_grows_with_the_households_energy() -> None:
    """Two men have twice the ceiling of one."""
    one = {plate.key: plate for plate in described(harvest(turnip=100.0)).plates}
    two = {plate.key: plate for plate in described(harvest(turnip=100.0), people={"a": ADULT, "b": ADULT}).plates}

    assert two["turnip"].ceiling_kg == pytest.approx(2.0 * one["turnip"].ceiling_kg)


def test_what_one_of_two_refuses_is_put_on_the_others_plate_only() -> None:
    """With one of two equal people refusing goat milk, its ceiling is half."""
    production = Production((Gathered("herd:goats.doe", "milk_goat", np.full(12, 100.0)),))
    refusing = ADULT.model_copy(update={"no": ("goat milk",)})
    both = {plate.key: plate for plate in described(production, people={"a": ADULT, "b": ADULT}).plates}
    half = {plate.key: plate for plate in described(production, people={"a": ADULT, "b": refusing}).plates}

    assert half["milk_goat"].ceiling_kg == pytest.approx(0.5 * both["milk_goat"].ceiling_kg)


def test_no_honey_for_an_infant_and_no_wine_for_a_child() -> None:
    """An infant alone has no honey on its plate; a child alone has no wine."""
    infant = Person(born=date(2026, 7, 1), sex="f", weight_kg=8)
    child = Person(born=date(2018, 7, 1), sex="f", weight_kg=30)
    honey = {plate.key: plate for plate in described(harvest(honey=10.0), people={"a": infant}).plates}["honey"]
    wine = {plate.key: plate for plate in described(harvest(grape=10.0), people={"a": child}).plates}["wine"]

    assert honey.ceiling_kg.max() == 0.0
    assert wine.ceiling_kg.max() == 0.0


def test_nobody_is_asked_to_eat_three_kilograms_of_turnips_a_day() -> None:
    """With nothing but 5 t of turnips, an adult eats at most the plate's grams a day and the year is short."""
    plan_holding = holding()
    _, needs = household_need(plan_holding, TABLES, MONTHS)
    plan = solve(plan_holding, TABLES, MONTHS, harvest(turnip=5000.0), needs)
    edible = TABLES.row("goods", "turnip").need("edible_fraction")
    most = TABLES.row("plates", "food.turnip").need("grams_day") / 1000.0 * needs["energy_kcal"] / 2500.0

    eaten = sum(kg for key, kg in plan.eaten_kg.items() if key.startswith("turnip"))
    assert np.all(eaten * edible <= most * np.array([month.days for month in MONTHS]) + 1e-6)
    assert plan.coverage["energy_kcal"].max() < 0.2


@pytest.mark.parametrize(
    ("item", "good"), [("maize_grain", "maize"), ("wheat_flour_whole", "flour_wheat"), ("hay_grass", "hay_grass")]
)
def test_a_trade_may_name_a_crop_or_a_food(item: str, good: str) -> None:
    """What trades.csv calls by the crop or the food is the good of it; nonsense is none."""
    assert good_named(TABLES, item) == good
    assert good_named(TABLES, "moon cheese") is None


def test_a_trade_is_open_in_its_span() -> None:
    """Oil that may be bought from 1 November to 15 December: all of the limit in November, 15 of 31 days in December."""
    row = TradeRow(
        line=2, item="oil_rape", do="buy", price=2.0, from_=MonthDay(11, 1), to=MonthDay(12, 15), limit_month=4.0
    )
    trade = described(harvest(potato=1.0), trades=(row,)).trades[0]

    expected = np.zeros(12)
    expected[1:3] = (4.0, 4.0 * 15 / 31)
    assert trade.limit_kg == pytest.approx(expected)


def test_todays_shelves_open_a_year_whose_books_stay_open() -> None:
    """100 kg of potatoes lifted on 1 September have lain a month on 1 October, and are there in the plan's opening."""
    row = StoreRow(line=2, good="potato", kg=100.0, made=date(2026, 9, 1))
    plan_holding = holding(stores_today=(row,))
    _, needs = household_need(plan_holding, TABLES, MONTHS)
    larder = describe(plan_holding, TABLES, MONTHS, harvest(), needs, from_stores=True)
    plan = solve(plan_holding, TABLES, MONTHS, harvest(), needs, from_stores=True)

    assert larder.opening[0][:3] == ("potato", "root_cellar", 100.0)
    assert larder.opening[0][3] == pytest.approx(1.0, abs=0.05)
    assert plan.opening_kg[plan.accounts.index("store:potato.root_cellar"), 0] == pytest.approx(100.0)
    assert plan.eaten_kg["potato"][6:].sum() == pytest.approx(0.0, abs=1e-9)


def test_what_lies_the_whole_year_untouched_is_still_there() -> None:
    """Ten tons of frozen plums that lose nothing and that one man cannot eat are on the shelf at the year's end."""
    row = StoreRow(line=2, good="plum", kg=10_000.0, method="frozen")
    rooms = {"freezer": Store(kind="freezer", volume_l=100_000)}
    plan_holding = holding(stores_today=(row,), store=rooms, people={"one": ADULT.model_copy(update={"no": ("plum",)})})
    _, needs = household_need(plan_holding, TABLES, MONTHS)
    plan = solve(plan_holding, TABLES, MONTHS, harvest(), needs, from_stores=True)

    assert plan.opening_kg[plan.accounts.index("store:plum.frozen"), 0] == pytest.approx(10_000.0)
    assert plan.closing_kg[plan.accounts.index("store:plum.frozen"), -1] > 0.0


@pytest.mark.parametrize(
    ("good", "method", "remedy"),
    [
        ("potato", "clamp", "Add the place to [store]"),
        ("meat_beef", "cave", "Add the place to [store]"),
        ("manure", "", "no way to keep it is known"),
    ],
)
def test_what_no_shelf_can_hold_does_not_vanish(good: str, method: str, remedy: str) -> None:
    """A line of stores.csv for which the plan has no place is a fault that names it; a line of no weight is none."""
    plan_holding = holding(stores_today=(StoreRow(line=4, good=good, kg=50.0, method=method),))
    _, needs = household_need(plan_holding, TABLES, MONTHS)
    with pytest.raises(InputFaults) as told:
        describe(plan_holding, TABLES, MONTHS, harvest(), needs, from_stores=True)

    assert [fault.file for fault in told.value.faults] == ["stores.csv"]
    assert told.value.faults[0].where.startswith("line 4")
    assert remedy in told.value.faults[0].remedy
    empty = holding(stores_today=(StoreRow(line=4, good=good, kg=0.0, method=method),))
    assert describe(empty, TABLES, MONTHS, harvest(), needs, from_stores=True).cyclic is False


@settings(max_examples=12, deadline=None)
@given(good=st.sampled_from(["wheat", "potato", "apple", "egg_hen", "onion", "butter"]), kg=st.floats(0.1, 5000.0))
def test_every_kilogram_on_todays_shelves_opens_the_year(good: str, kg: float) -> None:
    """What stores.csv holds without a way of keeping lies in the plan's opening, on a shelf that the holding has."""
    rooms = {kind: Store(kind=kind, volume_l=9000) for kind in ("cellar", "pantry", "fridge", "loft")}
    plan_holding = holding(stores_today=(StoreRow(line=2, good=good, kg=kg),), store=rooms)
    _, needs = household_need(plan_holding, TABLES, MONTHS)
    plan = solve(plan_holding, TABLES, MONTHS, harvest(), needs, from_stores=True)

    assert plan.opening_kg[:, 0].sum() == pytest.approx(kg, rel=1e-9)


def test_every_way_of_the_tables_can_be_described() -> None:
    """With every room and every good at hand, all rows of stores, makings and plates make a larder that solves."""
    kinds = ("cellar", "pantry", "clamp", "freezer", "loft", "barn", "fridge")
    rooms = {kind: Store(kind=kind, volume_l=1000) for kind in kinds}
    every = harvest(**dict.fromkeys(TABLES.keys("goods"), 20.0))
    plan_holding = holding(store=rooms)
    _, needs = household_need(plan_holding, TABLES, MONTHS)
    plan = solve(plan_holding, TABLES, MONTHS, every, needs)

    assert plan.coverage["energy_kcal"].min() > 0.9
    assert imbalance(plan) < 1e-9
    assert imbalance(plan, dry=True) < 1e-9
    assert np.isfinite(plan.fresh_kg).all()
    assert plan.fresh_kg.min() > -1e-9


@pytest.mark.slow
def test_a_rich_larder_is_solved_and_its_books_close() -> None:
    """All goods, rooms and nutrients at once are solved to the optimum, and every kilogram is booked."""
    kinds = ("cellar", "pantry", "clamp", "freezer", "loft", "barn", "fridge")
    every = harvest(**dict.fromkeys(TABLES.keys("goods"), 20.0))
    larder = described(every, store={kind: Store(kind=kind, volume_l=1000) for kind in kinds})
    plan = solve_larder(larder)

    assert plan.status == "Optimal"
    assert plan.gap < 1e-6
    assert imbalance(plan) < 1e-9


DOCS = Path(__file__).parents[1] / "docs" / "larder-program.md"


def test_the_manual_prints_every_family_of_constraints() -> None:
    """Each constraint of a rich larder has its family in docs/larder-program.md."""
    kinds = ("cellar", "pantry", "clamp", "freezer", "loft", "barn", "fridge")
    rooms = {kind: Store(kind=kind, volume_l=1000) for kind in kinds}
    every = described(harvest(**dict.fromkeys(TABLES.keys("goods"), 20.0)), store=rooms)
    named = {name for case in (every, *map(random_case, range(4))) for name in build_program(case).model.row_names}
    families = {found.group() for name in named if (found := re.match(r"(feed\.\w+|\w+)", name))}
    page = DOCS.read_text(encoding="utf-8")

    assert {"kitchen", "store", "jars", "dryer", "feed.share", "plate", "need", "depth", "hunger"} <= families
    assert [family for family in sorted(families) if f"`{family}." not in page] == []


def test_the_manual_prints_the_weights() -> None:
    """The table of aims holds each weight with its value."""
    page = DOCS.read_text(encoding="utf-8")

    for name, value in dataclasses.asdict(WEIGHTS).items():
        number = re.search(rf"^\| {name} \| ([0-9.]+) \|", page, re.MULTILINE)
        assert number is not None, name
        assert float(number.group(1)) == value


def random_case(seed: int) -> Larder:
    """An invented larder with a flock, a sward, seed and trades."""
    return random_larder(np.random.default_rng(seed))
