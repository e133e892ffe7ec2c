"""Findings and cautions about people: diets left short, upper levels, likes, refusals that empty, children and allergies."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from conftest import demo_year

from yardland.findings import cautions, table
from yardland.findings.context import Context
from yardland.holding.model import Holding
from yardland.larder.needs import PersonNeed
from yardland.larder.table_told import DietYear
from yardland.larder.upper import Over
from yardland.larderyear.result import YearResult
from yardland.reference import load_tables
from yardland.report.answer import answer

TABLES = load_tables()


def told(result: YearResult) -> Context:
    """The rules' context of a result, on the shipped tables."""
    return Context(result, TABLES)


def with_person(result: YearResult, name: str, **more: object) -> YearResult:
    """The result with one person of its plan changed."""
    people = dict(result.holding.people)
    people[name] = people[name].model_copy(update=more)
    return replace(result, holding=result.holding.model_copy(update={"people": people}))


def diet(low: float, nutrient: str = "protein_g") -> DietYear:
    """Vegetarians with so much of a nutrient in March (the sixth larder month), and enough of the rest."""
    cover = {"energy_kcal": np.ones(12), "protein_g": np.ones(12)}
    cover[nutrient] = np.array(cover[nutrient])
    cover[nutrient][5] = low
    return DietYear("vegetarian", ("finn",), {}, cover, np.full(12, 0.25))


def test_a_diet_under_the_threshold_is_short_and_one_over_it_is_not() -> None:
    """Vegetarians at 60 % of their protein in March are told by name and month; at 96 % nobody is."""
    result = demo_year("tarn-hollow")
    found = list(table.short_diets(told(replace(result, diets=(diet(0.6),)))))

    assert [finding.grade for finding in found] == ["short"]
    assert "Finn" in found[0].title
    assert "Mar" in found[0].title
    assert "60 %" in found[0].number
    assert not list(table.short_diets(told(replace(result, diets=(diet(0.96),)))))


def test_the_answer_knows_of_a_diet_that_starves() -> None:
    """What a quarter of the household lacks is missing food, though the household's mean covers the need."""
    result = demo_year("tarn-hollow")
    full = {name: np.ones(12) for name in result.coverage}
    whole = replace(result, coverage=full, diets=(), short_months=(), dire_months=())
    parted = replace(whole, diets=(diet(0.5, "energy_kcal"),), short_months=(5,))
    days = result.months[5].days

    assert answer(whole).missing_mj == 0.0
    assert answer(parted).missing_mj == pytest.approx(result.need_day["energy_kcal"][5] * days * 0.125 * 0.004184)
    assert answer(parted).months[5].state == "short"
    assert answer(parted).months[5].share == pytest.approx(0.5)


@pytest.mark.parametrize(("carrying", "grade"), [(True, "danger"), (False, "tight")])
def test_too_much_vitamin_a_is_a_danger_to_a_child_that_is_carried(carrying: bool, grade: str) -> None:
    """Above the upper level: tight in general, a danger in pregnancy; the level's own source is named."""
    result = demo_year("tarn-hollow")
    over = Over("ailsa", "vitamin_a_rae_ug", (0, 1), 3000.0, 4500.0, carrying)
    found = list(table.above_upper_levels(told(replace(result, over_upper=(over,)))))

    assert [finding.grade for finding in found] == [grade]
    assert "1.5 times" in found[0].number
    assert "needs.female_31_50.vitamin_a_rae_ug.ul" in found[0].source
    assert not list(table.above_upper_levels(told(replace(result, over_upper=()))))


def test_a_missed_liking_is_a_note_and_a_hair_is_not() -> None:
    """A tenth missed in one month is told with the person's name; a hundredth is not."""
    result = demo_year("tarn-hollow")
    missed = np.zeros(12)
    missed[3] = 0.1
    found = list(table.likes(told(replace(result, likes_missed={"isla.potato": missed}))))

    assert found[0].title == "Isla would like more potatoes"
    assert found[0].grade == "note"
    assert not list(table.likes(told(replace(result, likes_missed={"isla.potato": missed / 10}))))


def test_a_refusal_that_empties_a_group_names_it_and_its_share() -> None:
    """A vegetarian at a table with meat is told which groups are gone; somebody who refuses one food of many is not."""
    result = demo_year("tarn-hollow")
    bare = replace(result, holding=Holding.model_validate(result.holding))
    for name in result.holding.people:
        bare = with_person(bare, name, no=())
    found = list(table.emptied_groups(told(with_person(bare, "tom", no=("vegetarian",)))))

    assert len(found) == 1
    assert "Tom eats none of the" in found[0].title
    assert "meat" in found[0].title
    assert not list(table.emptied_groups(told(with_person(bare, "tom", no=("carrot",)))))


def test_stock_that_nobody_eats_is_told_until_it_is_sold_or_somebody_eats_it() -> None:
    """Six vegetarians who keep sheep for meat hear of it; one who eats meat is enough to be silent."""
    result = demo_year("tarn-hollow")
    green = result
    for name in result.holding.people:
        green = with_person(green, name, no=("vegetarian",))
    green = replace(green, holding=green.holding.model_copy(update={"trades": ()}))
    found = list(table.eaten_by_nobody(told(green)))

    assert [finding.grade for finding in found] == ["tight"]
    assert float(found[0].number.split()[0].replace(",", "")) > 10.0
    assert not list(table.eaten_by_nobody(told(with_person(green, "tom", no=()))))


def cautioned(result: YearResult) -> set[str]:
    """First rules of the cautions that apply."""
    return {one.subject.removeprefix("caution.") for one in cautions.cautions(told(result))}


def test_children_bring_the_cautions_of_their_age() -> None:
    """A baby in a house with milk: no milk as a drink; a child of three with nuts: no whole ones; adults alone: neither."""
    result = demo_year("tarn-hollow")
    grown = tuple(PersonNeed(one.person, 40.0, 2000.0, 50.0, "") for one in result.needs)
    baby = (replace(grown[0], person="rory", age_y=0.7), *grown[1:])
    child = (replace(grown[0], person="rory", age_y=3.0), *grown[1:])
    rich = replace(
        result,
        eaten_kg=result.eaten_kg | {"milk_cow": np.ones(12)},
        eaten_energy_share=result.eaten_energy_share | {"nut": 0.05},
    )

    assert {"cow_milk_infant", "nuts_choking"} <= cautioned(replace(rich, needs=baby))
    assert "nuts_choking" in cautioned(replace(rich, needs=child))
    assert "cow_milk_infant" not in cautioned(replace(rich, needs=child))
    assert {"cow_milk_infant", "nuts_choking"}.isdisjoint(cautioned(replace(rich, needs=grown)))


def test_an_allergy_brings_the_caution_of_traces_and_a_taste_does_not() -> None:
    """No gluten: traces are told; vegetarian: not."""
    result = demo_year("tarn-hollow")

    assert "allergy_traces" in cautioned(with_person(result, "tom", no=("gluten",)))
    assert "allergy_traces" not in cautioned(with_person(result, "tom", no=("vegetarian",)))


def test_liver_names_the_woman_who_is_expecting() -> None:
    """With a birth within the year the caution speaks of her, not of somebody who might."""
    result = replace(demo_year("tarn-hollow"), eaten_kg={"offal_lamb": np.ones(12)})
    mother = with_person(result, "ailsa", expects=(date(2027, 3, 1),))
    needs = tuple(
        replace(one, bearing=("third trimester 475 kcal more",)) if one.person == "ailsa" else one
        for one in result.needs
    )

    assert (
        cautions.liver(told(replace(mother, needs=needs))) == "liver on the plate, and a child of Ailsa within the year"
    )
    assert "if" in cautions.liver(told(result))
