"""Numbers and names are written for a reader."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.report.words import (
    cell,
    counted,
    figure,
    listed,
    month_runs,
    nutrient,
    nutrient_order,
    nutrient_unit,
    of_hours,
)

NAMES = ("Oct", "Nov", "Dec", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep")


@pytest.mark.parametrize(
    ("value", "words"),
    [(0, "0"), (1234.5, "1,230"), (0.0456, "0.0456"), (12.3456, "12.3"), (99.96, "100"), (-45.0, "-45"), (2.0, "2")],
)
def test_a_number_is_written_to_three_figures(value: float, words: str) -> None:
    """Numbers carry three significant figures, thousands set off, no exponent."""
    assert figure(value) == words


@pytest.mark.parametrize(
    ("asked", "there", "words"),
    [
        (0.17, 0.0, "0.17 of 0 hours"),
        (9.96, 9.94, "10 of 9.9 hours"),
        (67.6, 90.0, "68 of 90 hours"),
        (143.4, 7.5, "143 of 7.5 hours"),
    ],
)
def test_hours_of_a_tiny_holding_are_not_told_as_none(asked: float, there: float, words: str) -> None:
    """Ten hours and more are whole, fewer carry two figures."""
    assert of_hours(asked, there) == words


@given(st.floats(min_value=1e-6, max_value=1e9))
def test_writing_a_number_keeps_it_within_rounding(value: float) -> None:
    """What is written differs from the number by no more than half of its third figure."""
    assert float(figure(value).replace(",", "")) == pytest.approx(value, rel=0.0051)


def test_months_in_a_row_are_written_as_a_run() -> None:
    """Neighbouring months join, others are listed."""
    assert month_runs((6, 7, 8), NAMES) == "Apr to Jun"
    assert month_runs((0, 5, 6, 11), NAMES) == "Oct, Mar to Apr and Sep"


def test_lists_read_as_sentences() -> None:
    """Lists of none, one and three items."""
    assert (listed([]), listed(["a"]), listed(["a", "b", "c"])) == ("", "a", "a, b and c")


def test_nutrients_are_named_with_their_units_energy_first() -> None:
    """Nutrients have names and units, and the table starts with energy and protein."""
    assert (nutrient("vitamin_b12_ug"), nutrient_unit("iron_mg")) == ("Vitamin B12", "mg")
    assert nutrient_order(["iron_mg", "protein_g", "unheard_mg", "energy_kcal"]) == [
        "energy_kcal",
        "protein_g",
        "iron_mg",
        "unheard_mg",
    ]


@pytest.mark.parametrize(
    ("number", "name", "words"),
    [
        (1, "goose", "1 goose"), (13, "goose", "13 geese"), (6, "kid of dairy goat", "6 kids of dairy goat"), (2, "house cow", "2 house cows"),
        (2, "calf", "2 calves"), (3, "colony in movable-frame hive", "3 colonies in movable-frame hive"), (0.5, "ewe", "0.5 ewes"),
    ],
)  # fmt: skip
def test_what_is_counted_stands_in_the_plural(number: float, name: str, words: str) -> None:
    """One keeps the singular, others take the plural of the noun that is counted."""
    assert counted(number, name) == words


def test_nothing_is_a_dash_in_a_table() -> None:
    """Nothing, and what is far below a gram or a litre, is a dash; the rest are figures."""
    assert (cell(0.0), cell(0.0001), cell(12.34)) == ("\u2013", "\u2013", "12.3")
