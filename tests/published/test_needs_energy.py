"""Daily energy of people against the figures of FAO/WHO/UNU (2001), Human energy requirements.

Standing of each block stands above it. Tolerances are the rounding of the publication.
"""

from __future__ import annotations

from datetime import date

import pytest

from yardland.holding.model import Person
from yardland.larder.energy import (
    adult_kcal,
)
from yardland.larder.needs import adult_day, child_day, day_need
from yardland.reference import load_tables

TABLES = load_tables()


# From memory: Tables 4.5 and 4.6, median weights (kg) of the tables at the middle of the year of age.
MEDIAN_WEIGHTS = [("m", 5, 19.7), ("m", 10, 33.3), ("f", 6, 20.6), ("f", 9, 30.5)]


@pytest.mark.parametrize(("sex", "age_y", "weight_kg"), MEDIAN_WEIGHTS)
def test_children_of_median_weight_need_what_the_tables_print(sex: str, age_y: int, weight_kg: float) -> None:
    """From memory: expenditure and growth together give the requirement of Tables 4.5 and 4.6 within 1.5 %."""
    printed = TABLES.row("energy", f"fao2001_requirement.{sex}_{age_y}").need("value")
    kcal, _ = child_day(TABLES, sex, age_y + 0.5, weight_kg, "active")

    assert kcal == pytest.approx(printed, rel=0.015)


@pytest.mark.parametrize(
    ("activity", "level"), [("sedentary", 1.40), ("low active", 1.55), ("active", 1.85), ("very active", 2.20)]
)
def test_activity_words_stand_for_the_reports_levels(activity: str, level: float) -> None:
    """Table 5.3: moderate 1.70-1.99, middle 1.85 (published); light 1.55, least 1.40, and vigorous 2.20 from memory."""
    kcal, _ = adult_day(TABLES, "f", 40.0, 60.0, activity)

    assert kcal == pytest.approx(adult_kcal(1333.16, level), abs=0.5)


# Published: Dietary Reference Intakes, allowance or adequate intake a day. Sex, age (y), nutrient, amount.
INTAKES = [
    ("f", 25.0, "iron_mg", 18.0),
    ("f", 60.0, "calcium_mg", 1200.0),
    ("m", 40.0, "vitamin_a_rae_ug", 900.0),
    ("f", 25.0, "vitamin_c_mg", 75.0),
    ("m", 10.0, "vitamin_c_mg", 45.0),
    ("m", 40.0, "zinc_mg", 11.0),
    ("m", 40.0, "magnesium_mg", 420.0),
    ("m", 0.75, "iron_mg", 11.0),
    ("m", 40.0, "folate_dfe_ug", 400.0),
    ("m", 40.0, "vitamin_d_ug", 15.0),
    ("m", 40.0, "potassium_mg", 3400.0),
    ("m", 40.0, "fibre_g", 38.0),
]


@pytest.mark.parametrize(("sex", "age_y", "nutrient", "amount"), INTAKES)
def test_a_person_gets_the_intake_of_the_life_stage(sex: str, age_y: float, nutrient: str, amount: float) -> None:
    """The person's need is the allowance of the printed life stage, or the adequate intake where there is none."""
    person = Person(born=date(1980, 1, 1), sex=sex, weight_kg=60.0)

    assert day_need(person, TABLES, age_y, age_y).amounts[nutrient] == pytest.approx(amount)
