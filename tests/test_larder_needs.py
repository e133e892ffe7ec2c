"""What each person and the household need: absences, ages, and every person against the equation worked by hand."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.holding.model import Holding, MonthDay, Person, Place, Span
from yardland.larder.needs import NUTRIENTS, away_fraction, day_need, household_need, life_stage
from yardland.ledger.months import larder_months
from yardland.reference import load_tables

TABLES = load_tables()
MONTHS = larder_months(2026, 10)


def holding(**people: Person) -> Holding:
    """A holding of nothing but people."""
    place = Place(name="x", latitude_deg=50, longitude_deg=0, country="GB", year_starts=MonthDay(10, 1))
    return Holding(folder=Path(), place=place, people=people, plot={})


# Person, kcal a day worked by hand from the printed equations (age on 1 April 2027).
BY_HAND = [
    (Person(born=date(1954, 5, 17), sex="f", weight_kg=66, activity="low active"), (9.082 * 66 + 658.5) * 1.55),
    (Person(born=date(1988, 2, 9), sex="f", weight_kg=64, activity="active"), (8.126 * 64 + 845.6) * 1.85),
    (Person(born=date(1985, 11, 23), sex="m", weight_kg=78, activity="active"), (11.472 * 78 + 873.1) * 1.85),
    (Person(born=date(2005, 7, 30), sex="m", weight_kg=74, activity="sedentary"), (15.057 * 74 + 692.2) * 1.40),
    # nine years old: quadratic, growth 4.0 kg a year, heavy activity + 15 %
    (
        Person(born=date(2017, 12, 1), sex="f", weight_kg=30, activity="very active"),
        (263.4 + 65.3 * 30 - 0.454 * 900) * 1.15 + 4000 / 365 * 2.1,
    ),
    # two years and ten months at mid-year
    (Person(born=date(2024, 6, 2), sex="m", weight_kg=13.5), 310.2 + 63.3 * 13.5 - 0.263 * 13.5**2 + 2000 / 365 * 2.1),
]


@pytest.mark.parametrize(("person", "kcal"), BY_HAND)
def test_each_persons_energy_is_the_equation_worked_by_hand(person: Person, kcal: float) -> None:
    """Within 1 % of the printed equation, over the year."""
    people, _ = household_need(holding(one=person), TABLES, MONTHS)

    assert people[0].energy_kcal_day == pytest.approx(kcal, rel=0.01)
    assert f"{kcal:.0f}"[:2] in people[0].equation


def test_a_household_needs_the_sum_of_its_people() -> None:
    """Every nutrient of two people is the sum of what each needs alone."""
    one = Person(born=date(1988, 2, 9), sex="f", weight_kg=64)
    two = Person(born=date(2019, 2, 9), sex="m", weight_kg=24)

    _, both = household_need(holding(one=one, two=two), TABLES, MONTHS)
    _, first = household_need(holding(one=one), TABLES, MONTHS)
    _, second = household_need(holding(two=two), TABLES, MONTHS)

    assert set(both) == set(NUTRIENTS)
    for nutrient in NUTRIENTS:
        assert both[nutrient] == pytest.approx(first[nutrient] + second[nutrient])


def test_absence_takes_its_days_off_the_need() -> None:
    """Away from 10 to 20 February: 11 of 28 days less in February, nothing less in the other months."""
    home = Person(born=date(1988, 2, 9), sex="f", weight_kg=64)
    away = home.model_copy(update={"away": (Span(MonthDay(2, 10), MonthDay(2, 20)),)})

    _, whole = household_need(holding(one=home), TABLES, MONTHS)
    _, less = household_need(holding(one=away), TABLES, MONTHS)

    expected = np.ones(12)
    expected[4] = 17 / 28
    assert less["energy_kcal"] / whole["energy_kcal"] == pytest.approx(expected)


@given(start=st.dates(date(2023, 1, 1), date(2023, 12, 31)), length=st.integers(1, 364))
def test_absences_add_up_to_their_days(start: date, length: int) -> None:
    """Whatever span is away, also across the new year, its days are counted once over the twelve months."""
    first = date(2023, 1, 1).toordinal()
    end = date.fromordinal(first + (start.toordinal() - first + length - 1) % 365)
    span = Span(MonthDay(start.month, start.day), MonthDay(end.month, end.day))
    days = sum(away_fraction((span,), month) * month.days for month in MONTHS)

    assert days == pytest.approx(length)


def test_a_child_under_three_needs_more_from_month_to_month() -> None:
    """A toddler's energy rises over the larder year, and the mean is near the printed 1,000 kcal of the second year."""
    toddler = Person(born=date(2025, 9, 1), sex="m", weight_kg=11.5)
    _, need = household_need(holding(one=toddler), TABLES, MONTHS)

    assert np.all(np.diff(need["energy_kcal"]) > 0.0)
    assert 850 < need["energy_kcal"].mean() < 1100


def test_a_child_not_yet_born_needs_nothing_and_a_suckling_counts_through_its_mother() -> None:
    """Nothing before birth; from birth to half a year the mother's added 505 kcal; then its own need."""
    baby = Person(born=date(2027, 1, 1), sex="f", weight_kg=6.0)
    _, need = household_need(holding(one=baby), TABLES, MONTHS)

    assert need["energy_kcal"][:3] == pytest.approx(np.zeros(3))
    assert need["energy_kcal"][3:9] == pytest.approx(np.full(6, 505.0))
    assert need["energy_kcal"][9:].min() > 400.0
    assert need["calcium_mg"][3] == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("sex", "age_y", "stage"),
    [
        ("f", 0.6, "infant_7_12mo"),
        ("m", 1.0, "child_1_3"),
        ("f", 8.9, "child_4_8"),
        ("m", 9.0, "male_9_13"),
        ("f", 18.5, "female_14_18"),
        ("f", 50.9, "female_31_50"),
        ("m", 105.0, "male_71_up"),
    ],
)
def test_life_stages_follow_sex_and_age(sex: str, age_y: float, stage: str) -> None:
    """Each age has one life stage, and none is that of a pregnant or nursing woman."""
    assert life_stage(TABLES, sex, age_y) == stage


@given(weight=st.floats(40, 130), age=st.floats(18, 90), more=st.floats(0.5, 40), sex=st.sampled_from("fm"))
def test_adults_need_more_energy_the_heavier_and_the_more_active_they_are(
    weight: float, age: float, more: float, sex: str
) -> None:
    """Energy rises with weight at each activity and with activity at each weight."""
    person = Person(born=date(1990, 1, 1), sex=sex, weight_kg=weight)
    heavier = person.model_copy(update={"weight_kg": weight + more})
    by_activity = [
        day_need(person.model_copy(update={"activity": word}), TABLES, age, age).amounts["energy_kcal"]
        for word in ("sedentary", "low active", "active", "very active")
    ]

    assert day_need(heavier, TABLES, age, age).amounts["energy_kcal"] > by_activity[2]
    assert by_activity == sorted(by_activity)


@given(sex=st.sampled_from("fm"), born=st.integers(2010, 2022), light=st.floats(60, 250), more=st.floats(0, 100))
def test_a_heavier_child_never_needs_less(sex: str, born: int, light: float, more: float) -> None:
    """The parabola of a child's expenditure is not followed down, let alone under zero."""
    lighter, heavier = (
        day_need(Person(born=date(born, 1, 1), sex=sex, weight_kg=min(kg, 250.0)), TABLES, 2027.0 - born, 2027.0 - born)
        for kg in (light, light + more)
    )

    assert heavier.amounts["energy_kcal"] >= lighter.amounts["energy_kcal"] - 1e-9
    assert lighter.amounts["energy_kcal"] > 2000.0


def test_the_least_fat_is_a_share_of_the_energy() -> None:
    """20 % of an adult's energy at 9 kcal a gram."""
    day = day_need(Person(born=date(1980, 1, 1), sex="m", weight_kg=70), TABLES, 40.0, 40.0)

    assert day.amounts["fat_g"] == pytest.approx(0.20 * day.amounts["energy_kcal"] / 9.0)
