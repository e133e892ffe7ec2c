"""Diets and likes: what a word takes off the plate, one pot or several, and that nobody's plate hides behind the mean."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from larder_kit import food, imbalance, larder, random_larder

from yardland.holding.known import name_words
from yardland.holding.model import Holding, Kitchen, Like, MonthDay, Person, Place
from yardland.larder.build_table import diets_of
from yardland.larder.description import Diet, Floor, Good, Larder
from yardland.larder.diets import MOST_DIETS, eaten_by, is_out, out_words, tables_of, young_foods
from yardland.larder.plan import Plan
from yardland.larder.plates import floors_for, plates_for
from yardland.larder.program import build_program, solve_larder
from yardland.larder.upper import over_upper
from yardland.ledger.months import larder_months
from yardland.reference import load_tables

TABLES = load_tables()
MONTHS = larder_months(2026, 10)
FOODS = {
    key: Good(key, TABLES.row("foods", key).text("common_name"), 1.0, key, TABLES.row("foods", key).text("group"))
    for key in TABLES.keys("foods")
}


def person(**more: object) -> Person:
    """A woman of middle age."""
    return Person(born=date(1990, 1, 1), sex="f", weight_kg=60, **more)


def holding(kitchen: Kitchen | None = None, **people: Person) -> Holding:
    """A holding of nothing but people."""
    place = Place(name="x", latitude_deg=50, longitude_deg=0, country="GB", year_starts=MonthDay(10, 1))
    return Holding(folder=Path(), place=place, people=people, plot={}, kitchen=kitchen or Kitchen())


# words


def test_every_word_names_foods_and_groups_that_exist() -> None:
    """No word of the table diets points at nothing, and each has a title and a kind."""
    groups = {good.group for good in FOODS.values()}
    for key in TABLES.keys("diets"):
        row = TABLES.row("diets", key)
        assert row.text("title")
        assert row.text("kind") in {"diet", "allergy"}
        for name in row.text("out").split():
            assert name in groups or name in FOODS, (key, name)


@pytest.mark.parametrize(
    ("word", "out", "kept"),
    [
        ("pork", "bacon lard pork_liver gelatine blood_sausage", "beef chicken_meat butter egg_hen"),
        (
            "gluten",
            "wheat_whole rye_flour barley_pearled oats_rolled bread_whole beer",
            "maize_meal potato buckwheat rice_brown",
        ),
        (
            "vegetarian",
            "beef trout lard tallow_beef bacon pork_liver chicken_roasted",
            "egg_hen milk_goat butter honey",
        ),
        ("vegan", "beef trout lard egg_hen milk_goat butter honey ghee", "oil_rape lentils walnut bread_whole"),
        ("dairy", "milk_sheep cheese_hard butter ghee whey", "egg_hen lard oil_olive"),
        ("nuts", "walnut hazelnut peanuts oil_walnut", "oil_rape lentils"),
        ("broad beans", "broad_beans_dry broad_beans_green", "beans_dry green_beans"),
        ("goat milk", "milk_goat", "milk_cow"),
        ("meat", "beef bacon pork_liver mutton_roast", "trout egg_hen"),
    ],
)
def test_a_word_takes_its_foods_off_the_plate_and_no_others(word: str, out: str, kept: str) -> None:
    """Common practice: what people mean by these words."""
    gone = out_words(TABLES, frozenset({word}))

    assert [key for key in out.split() if not is_out(FOODS[key], gone)] == []
    assert [key for key in kept.split() if is_out(FOODS[key], gone)] == []


def test_no_food_of_animals_is_left_to_a_vegan() -> None:
    """Whatever of the tables holds cholesterol beyond a trace is out."""
    gone = out_words(TABLES, frozenset({"vegan"}))
    left = [
        key
        for key, good in FOODS.items()
        if not is_out(good, gone) and (TABLES.row("foods", key)["cholesterol_mg"] or 0) > 2
    ]

    assert left == []


def test_age_takes_honey_milk_and_alcohol_off() -> None:
    """From memory: honey and milk to drink from one year, alcohol from eighteen."""
    assert {"honey", "milk_cow", "milk_goat", "wine"} <= young_foods(TABLES, 0.9)
    assert {"wine", "cider", "beer"} <= young_foods(TABLES, 17.9)
    assert {"honey", "milk_cow"}.isdisjoint(young_foods(TABLES, 1.0))
    assert not young_foods(TABLES, 18.0)
    assert "cheese_hard" in eaten_by(TABLES, (), 0.8, FOODS)


# one pot or several


def test_single_foods_do_not_part_the_table() -> None:
    """Two people of whom one eats no hazelnuts, and a child that may not drink, eat from one pot."""
    parts, notes = tables_of(holding(a=person(), b=person(no=("hazelnut", "alcohol"))), TABLES, MONTHS)

    assert len(parts) == 1
    assert not notes


def test_a_long_list_of_single_foods_parts_the_table() -> None:
    """Five foods are made up for by the pot; six and more make a table of their own."""
    five = ("carrot", "leek", "apple", "egg_duck", "barley_pearled")
    few, _ = tables_of(holding(a=person(), b=person(no=five)), TABLES, MONTHS)
    many, _ = tables_of(holding(a=person(), b=person(no=(*five, "potato"))), TABLES, MONTHS)

    assert len(few) == 1
    assert [len(part.eaters) for part in many] == [1, 1]
    assert "potato" in many[1].no


def test_people_of_one_diet_eat_from_one_pot() -> None:
    """A household of vegetarians is one table, and none of its plates holds meat."""
    parts, _ = tables_of(holding(a=person(no=("vegetarian",)), b=person(no=("vegetarian",))), TABLES, MONTHS)

    assert [part.name for part in parts] == ["vegetarian"]


def test_more_diets_than_the_program_bears_are_joined_on_the_safe_side() -> None:
    """Four diets become three; those joined eat what both eat, everybody is at some table once, and a note says so."""
    people = {
        "a": person(),
        "b": person(no=("vegetarian",)),
        "c": person(no=("gluten",)).model_copy(update={"weight_kg": 50.0}),
        "d": person(no=("pork",)).model_copy(update={"weight_kg": 45.0}),
    }
    parts, notes = tables_of(holding(**people), TABLES, MONTHS)

    assert len(parts) == MOST_DIETS
    assert sorted(one.name for part in parts for one in part.eaters) == ["a", "b", "c", "d"]
    for part in parts:
        for one in part.eaters:
            assert set(one.person.no) <= part.no
    assert len(notes) == 1


@settings(deadline=None, max_examples=20)
@given(
    lists=st.lists(
        st.sets(st.sampled_from(["vegetarian", "gluten", "pork", "egg", "dairy", "nuts"])), min_size=1, max_size=7
    )
)
def test_nobody_is_served_what_they_refuse(lists: list[set[str]]) -> None:
    """However many diets meet, each person sits at one table, whose refusals hold that person's."""
    people = {f"p{index}": person(no=tuple(sorted(no))) for index, no in enumerate(lists)}
    parts, _ = tables_of(holding(**people), TABLES, MONTHS)
    seats = [(one.name, set(one.person.no) <= part.no) for part in parts for one in part.eaters]

    assert sorted(name for name, _ in seats) == sorted(people)
    assert all(safe for _, safe in seats)
    assert len(parts) <= MOST_DIETS


# the program


def two_diets(share: float = 0.25, protein: float = 100.0) -> Larder:
    """Meat and beans on the shelf; a part of the people eats no meat."""
    goods = [food("meat", 2000.0, 200.0), food("beans", 1000.0, protein)]
    shares = np.full((2, 12), share)
    diets = (Diet("everything", ("a",), 1.0 - shares), Diet("vegetarian", ("b",), shares, frozenset({"meat"})))
    return larder(
        goods, {"meat": np.full(12, 75.0), "beans": np.full(12, 50.0)}, np.full(12, 2e5), np.full(12, 5e3), diets=diets
    )


def test_a_hand_solved_table_of_two_diets() -> None:
    """The vegetarian's quarter of 200 Mcal is 50 kg of beans, all there are; the others eat 75 kg of meat."""
    plan = solve_larder(two_diets())
    green = plan.diets[1]

    assert green.eaten_kg.keys() == {"beans"}
    assert green.eaten_kg["beans"] == pytest.approx(np.full(12, 50.0), rel=1e-6)
    assert plan.diets[0].eaten_kg["meat"] == pytest.approx(np.full(12, 75.0), rel=1e-6)
    assert plan.worst_coverage("energy_kcal") == pytest.approx(np.ones(12))


def test_the_mean_does_not_hide_a_diet_that_starves() -> None:
    """With half of the people vegetarian there is food for all and beans for a quarter: their plates are half full.

    Half of the household's energy is 100 Mcal, the beans hold 50: coverage 0.5; what they lack is told as emergency food.
    """
    plan = solve_larder(two_diets(share=0.5))
    worst = plan.worst_coverage("energy_kcal")

    assert worst == pytest.approx(np.full(12, 0.5), rel=1e-6)
    assert plan.diets[0].coverage["energy_kcal"] == pytest.approx(np.full(12, 1.05), rel=1e-6) or (
        plan.diets[0].coverage["energy_kcal"].min() >= 1.0 - 1e-6
    )
    assert plan.emergency_kg["emergency_food"] == pytest.approx(np.full(12, 50.0), rel=1e-6)


def test_diets_share_out_what_the_household_eats() -> None:
    """Meals of the diets add up to the household's, good by good, and the books balance."""
    plan = solve_larder(two_diets(share=0.4))
    for good, kg in plan.eaten_kg.items():
        assert sum(diet.eaten_kg.get(good, np.zeros(12)) for diet in plan.diets) == pytest.approx(kg, abs=1e-6)
    assert imbalance(plan) < 1e-9


@settings(deadline=None, max_examples=15)
@given(seed=st.integers(0, 10_000))
def test_people_who_eat_alike_gain_nothing_by_being_parted(seed: int) -> None:
    """Two diets without a refusal are the household itself: the same aims are reached, to the solver's tolerance."""
    whole = random_larder(np.random.default_rng(seed))
    half = np.full(whole.need.shape, 0.5)
    plates = [
        replace(plate, ceiling_kg=plate.ceiling_kg / 2, diet=name) for plate in whole.plates for name in ("x", "y")
    ]
    parted = replace(whole, diets=(Diet("x", ("a",), half), Diet("y", ("b",), half)), plates=tuple(plates))
    one, two = solve_larder(whole), solve_larder(parted)

    assert two.objective == pytest.approx(one.objective, rel=1e-5, abs=1e-4)
    assert two.worst_coverage("energy_kcal").min() == pytest.approx(one.coverage["energy_kcal"].min(), abs=1e-4)


def test_one_diet_is_the_program_without_diets() -> None:
    """Where everybody eats alike no row or column is added, and no name of a diet stands in any row."""
    whole = random_larder(np.random.default_rng(3))
    build = build_program(whole)

    assert len(diets_of(whole)) == 1
    assert not any("@" in name for name in build.model.row_names)


# likes


def test_a_floor_is_met_where_nothing_speaks_against_it() -> None:
    """Of two foods as good as each other the one that is liked is eaten at least as wanted; else the floor costs nothing."""
    goods = [food("roots"), food("beans")]
    floor = Floor("ann.roots", ("roots",), (1.0,), np.full(12, 30.0))
    plan = solve_larder(
        larder(goods, {"roots": np.full(12, 60.0), "beans": np.full(12, 60.0)}, np.full(12, 6e4), floors=(floor,))
    )

    assert plan.eaten_kg["roots"].min() >= 30.0 - 1e-6
    assert plan.likes_missed == {}


def test_a_liking_never_outweighs_a_need() -> None:
    """Ten kilograms of the only grain are liked, forty are needed in all and thirty are there: it is told what is missed."""
    goods = [food("oats"), food("roots", 1000.0)]
    floor = Floor("roots", ("roots",), (1.0,), np.full(12, 10.0))
    plan = solve_larder(larder(goods, {"oats": np.full(12, 30.0)}, np.full(12, 3e4), floors=(floor,)))

    assert plan.likes_missed["roots"] == pytest.approx(np.ones(12))
    assert plan.coverage["energy_kcal"] == pytest.approx(np.ones(12))


def shell(people: Holding) -> tuple[Larder, dict[str, Good], tuple]:
    """An empty larder with potatoes, carrots and beef as goods, for that household."""
    keys = ("potato", "carrot", "beef")
    goods = {key: replace(FOODS[key], per_kg=np.ones((2, 12))) for key in keys}
    empty = larder([], {}, np.full(12, 2000.0 * 30.4))
    parts, _ = tables_of(people, TABLES, MONTHS)
    return empty, goods, parts


def ceiling(people: Holding, key: str) -> np.ndarray:
    """The ceiling of a plate of that household, kilograms a month."""
    empty, goods, parts = shell(people)
    found = {plate.key: plate for plate in plates_for(people, TABLES, MONTHS, empty, goods, parts)}
    return found[key].ceiling_kg


def test_what_somebody_likes_at_most_takes_the_place_of_their_part() -> None:
    """Two alike people: one who eats 0.7 kg of potatoes a week at most halves the plate and adds 0.7 kg for each week."""
    plain = ceiling(holding(a=person(), b=person()), "potato")
    liking = person(likes={"potato": Like(most_kg_week=0.7)})
    liked = ceiling(holding(a=liking, b=person()), "potato")
    weeks = np.array([month.days for month in MONTHS]) / 7.0

    assert liked == pytest.approx(plain / 2.0 + 0.7 * weeks)


def test_what_the_household_likes_at_most_is_its_ceiling() -> None:
    """`kitchen.likes` takes the place of a plate, of a group by its name as well."""
    likes = {"potato": Like(most_kg_week=5.0), "root": Like(most_kg_week=9.0)}
    plan = holding(Kitchen(likes=likes), a=person())
    weeks = np.array([month.days for month in MONTHS]) / 7.0

    assert ceiling(plan, "potato") == pytest.approx(5.0 * weeks)
    assert ceiling(plan, "root_group") == pytest.approx(9.0 * weeks)


def test_floors_add_up_who_is_at_home() -> None:
    """A least of 0.5 kg a week asks that of each week at home, and nothing in a month away."""
    from yardland.holding.model import Span

    away = (Span(MonthDay(2, 1), MonthDay(2, 28)),)
    plan = holding(a=person(likes={"carrot": Like(least_kg_week=0.5)}, away=away))
    empty, goods, parts = shell(plan)
    floors = floors_for(plan, TABLES, MONTHS, empty, goods, parts)

    assert [floor.key for floor in floors] == ["a.carrot"]
    assert floors[0].least_kg[0] == pytest.approx(0.5 * 31 / 7)
    assert floors[0].least_kg[4] == 0.0


# upper levels


def eating(goods: list[Good], eaten: dict[str, np.ndarray], people: Holding) -> Plan:
    """A plan in which the household eats so much, as far as upper levels look."""
    from yardland.larder.needs import NUTRIENTS, household_need

    _, need = household_need(people, TABLES, MONTHS)
    days = np.array([month.days for month in MONTHS])
    whole = replace(
        larder(goods, {}, np.zeros(12)),
        nutrients=NUTRIENTS,
        need=np.array([need[name] for name in NUTRIENTS]) * days,
        months=MONTHS,
    )
    base = solve_larder(larder([food("x")], {}, np.zeros(12)))
    return replace(base, larder=whole, eaten_kg=eaten, need={"energy_kcal": whole.need[0]})


def with_content(key: str, nutrient: str, amount: float) -> Good:
    """A food that holds so much of one nutrient a kilogram."""
    from yardland.larder.needs import NUTRIENTS

    per_kg = np.zeros((len(NUTRIENTS), 12))
    per_kg[NUTRIENTS.index(nutrient)] = amount
    return replace(FOODS[key], per_kg=per_kg)


def test_46_g_of_liver_a_day_reach_the_upper_level_and_carrots_never_do() -> None:
    """Published (SR28 10110, DRI): 6,502 ug in 100 g of pig liver, upper level 3,000 ug preformed; carotene does not count."""
    one = holding(a=person(expects=(date(2027, 3, 1),)))
    liver = with_content("pork_liver", "vitamin_a_rae_ug", 65_020.0)
    carrot = with_content("carrot", "vitamin_a_rae_ug", 8_350.0)
    days = np.array([month.days for month in MONTHS])
    under = over_upper(one, TABLES, MONTHS, eating([liver], {"pork_liver": 0.046 * days}, one))
    above = over_upper(one, TABLES, MONTHS, eating([liver], {"pork_liver": 0.047 * days}, one))
    roots = over_upper(one, TABLES, MONTHS, eating([carrot], {"carrot": 2.0 * days}, one))

    assert under == ()
    assert roots == ()
    assert [(over.person, over.nutrient, len(over.months), over.bearing) for over in above] == [
        ("a", "vitamin_a_rae_ug", 12, True)
    ]


@pytest.mark.parametrize("nutrient", ["niacin_mg", "folate_dfe_ug", "vitamin_e_mg", "magnesium_mg"])
def test_levels_of_supplements_are_no_levels_of_food(nutrient: str) -> None:
    """Published (DRI): the upper levels of these cover supplements or fortified food only; a thousand times the need is silent."""
    one = holding(a=person())
    good = with_content("spinach", nutrient, 1e6)

    assert over_upper(one, TABLES, MONTHS, eating([good], {"spinach": np.full(12, 30.0)}, one)) == ()


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("goat milk", "milk_goat"),
        ("Eggs", "egg"),
        ("potatoes", "potato"),
        ("cherries", "cherry"),
        ("radishes", "radish"),
    ],
)
def test_names_are_found_whatever_the_order_and_number_of_their_words(said: str, name: str) -> None:
    """A plural, a capital and another order of words name the same food."""
    assert name_words(said) == name_words(name)
    assert name_words(said) != name_words("milk_cow")
