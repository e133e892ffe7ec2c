"""Daily energy of people against the figures of FAO/WHO/UNU (2001), Human energy requirements.

Standing of each block stands above it. Tolerances are the rounding of the publication.
"""

from __future__ import annotations

from datetime import date

import pytest

from yardland.holding.model import Person
from yardland.larder.energy import (
    adult_kcal,
    basal_kcal,
    child_expenditure_kcal,
    child_kcal,
    growth_kcal,
)
from yardland.larder.needs import adult_day, child_day, day_need, equation_row
from yardland.reference import load_tables

TABLES = load_tables()

# Published: Table 5.2 (Schofield 1985). Sex, an age in the band, weight (kg), kcal a day, tolerance.
# The first is the report's own worked example (section 5.4.1: 1,302 kcal, 5.45 MJ); the second stands worked in a
# nutrition atlas (1,676 kcal); the others are the printed equations, the arithmetic ours.
BASAL = [
    ("f", 25.0, 55.0, 1302.0, 1.0),
    ("m", 40.0, 70.0, 1676.0, 2.0),
    ("f", 40.0, 60.0, 1333.2, 0.5),
    ("m", 70.0, 70.0, 1407.5, 0.5),
    ("m", 5.0, 20.0, 958.4, 0.5),
    ("m", 2.0, 10.0, 564.7, 0.5),
]

# Published: section 4, total energy expenditure of children (as quoted by Koletzko ed. 2015, p. 37); arithmetic ours.
EXPENDITURE = [("m", 20.0, 1471.0, 1.0), ("f", 30.0, 1813.8, 1.0)]


@pytest.mark.parametrize(("sex", "age_y", "weight_kg", "kcal", "tolerance"), BASAL)
def test_basal_metabolic_rate_is_the_printed_one(
    sex: str, age_y: float, weight_kg: float, kcal: float, tolerance: float
) -> None:
    """The line of Table 5.2 for the sex and age gives the printed rate."""
    row = TABLES.row("energy", equation_row(TABLES, "schofield", sex, age_y))

    assert basal_kcal(weight_kg, row.need("per_kg"), row.need("constant")) == pytest.approx(kcal, abs=tolerance)


@pytest.mark.parametrize("sex", ["m", "f"])
@pytest.mark.parametrize(
    ("age_y", "weight_kg"), [(2.0, 15.0), (5.0, 15.0), (12.0, 60.0), (25.0, 60.0), (45.0, 60.0), (75.0, 60.0)]
)
def test_the_two_printed_forms_of_the_basal_rate_agree(sex: str, age_y: float, weight_kg: float) -> None:
    """Published: the kcal and the MJ form of every line of Table 5.2 differ by less than 1.5 %."""
    row = TABLES.row("energy", equation_row(TABLES, "schofield", sex, age_y))
    in_kcal = basal_kcal(weight_kg, row.need("per_kg"), row.need("constant"))
    in_mj = basal_kcal(weight_kg, row.need("per_kg_mj"), row.need("constant_mj"))

    assert in_mj * 1000.0 / 4.184 == pytest.approx(in_kcal, rel=0.015)


@pytest.mark.parametrize(("sex", "weight_kg", "kcal", "tolerance"), EXPENDITURE)
def test_childrens_expenditure_is_the_printed_one(sex: str, weight_kg: float, kcal: float, tolerance: float) -> None:
    """The quadratic of section 4 gives the printed expenditure."""
    row = TABLES.row("energy", equation_row(TABLES, "fao2001_tee", sex, 7.0))
    found = child_expenditure_kcal(weight_kg, row.need("constant"), row.need("per_kg"), row.need("per_kg2"))

    assert found == pytest.approx(kcal, abs=tolerance)


def test_a_growing_boy_needs_what_table_4_5_prints() -> None:
    """From memory: Table 4.5, boy of 10 to 11 years, 33.3 kg, gaining 3.9 kg a year: 2,150 kcal a day, of it 22.4."""
    grown = growth_kcal(3.9, TABLES.row("energy", "growth_energy").need("value"))
    row = TABLES.row("energy", equation_row(TABLES, "fao2001_tee", "m", 10.5))
    spent = child_expenditure_kcal(33.3, row.need("constant"), row.need("per_kg"), row.need("per_kg2"))

    assert grown == pytest.approx(22.4, abs=0.1)
    assert child_kcal(spent, grown, 1.0, 1.0) == pytest.approx(2150.0, rel=0.005)


# From memory: Tables 4.5 and 4.6, median weights (kg) of the tables at the middle of the year of age.
MEDIAN_WEIGHTS = [("m", 5, 19.7), ("m", 10, 33.3), ("f", 6, 20.6), ("f", 9, 30.5)]


@pytest.mark.parametrize(("sex", "age_y", "weight_kg"), MEDIAN_WEIGHTS)
def test_children_of_median_weight_need_what_the_tables_print(sex: str, age_y: int, weight_kg: float) -> None:
    """From memory: expenditure and growth together give the requirement of Tables 4.5 and 4.6 within 1.5 %."""
    printed = TABLES.row("energy", f"fao2001_requirement.{sex}_{age_y}").need("value")
    kcal, _ = child_day(TABLES, sex, age_y + 0.5, weight_kg, "active")

    assert kcal == pytest.approx(printed, rel=0.015)


def test_a_household_of_four_needs_9888_kcal_a_day() -> None:
    """Composed from the report: man 35 y 75 kg at 2.2, woman 33 y 62 kg at 1.85, boy 10 y, girl 6 y.

    Published: the adults' equations; from memory: the children's rows of Tables 4.5 and 4.6 (2,150 and 1,428 kcal).
    """
    man, _ = adult_day(TABLES, "m", 35.0, 75.0, "very active")
    woman, _ = adult_day(TABLES, "f", 33.0, 62.0, "active")
    boy = TABLES.row("energy", "fao2001_requirement.m_10").need("value")
    girl = TABLES.row("energy", "fao2001_requirement.f_6").need("value")

    assert man == pytest.approx(3814.0, abs=1.0)
    assert woman == pytest.approx(2496.0, abs=1.0)
    assert man + woman + boy + girl == pytest.approx(9888.0, abs=3.0)


def test_that_household_eats_90_7_kg_of_wheat_a_month() -> None:
    """Published: whole wheat at 327 kcal per 100 g (USDA SR28 20072): 296.6 Mcal in 30 days are 90.7 kg."""
    kcal_per_kg = TABLES.row("foods", "wheat_whole").need("energy_kcal") * 10.0

    assert 9888.0 * 30.0 / kcal_per_kg == pytest.approx(90.7, abs=0.1)


@pytest.mark.parametrize(
    ("activity", "level"), [("sedentary", 1.40), ("low active", 1.55), ("active", 1.85), ("very active", 2.20)]
)
def test_activity_words_stand_for_the_reports_levels(activity: str, level: float) -> None:
    """Table 5.3: moderate 1.70-1.99, middle 1.85 (published); light 1.55, least 1.40, and vigorous 2.20 from memory."""
    kcal, _ = adult_day(TABLES, "f", 40.0, 60.0, activity)

    assert kcal == pytest.approx(adult_kcal(1333.16, level), abs=0.5)


def test_an_infant_needs_the_equation_of_the_intakes() -> None:
    """Published: (89 x 8 kg - 100) + 22 = 634 kcal a day at 7 to 12 months (IOM 2005)."""
    person = Person(born=date(2025, 1, 1), sex="m", weight_kg=8.0)

    assert day_need(person, TABLES, 0.75, 0.75).amounts["energy_kcal"] == pytest.approx(634.0)


def test_protein_is_by_weight() -> None:
    """Published: 0.80 g a kg for adults, 56 g for 70 kg (DRI)."""
    person = Person(born=date(1980, 1, 1), sex="m", weight_kg=70.0)

    assert day_need(person, TABLES, 45.0, 45.0).amounts["protein_g"] == pytest.approx(56.0, abs=0.05)


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
