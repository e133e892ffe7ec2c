"""Dietary Reference Intakes and energy equations as printed: values must be equal."""

from __future__ import annotations

import pytest

from yardland.reference import load_tables

TABLES = load_tables()


def test_protein_a_kg_and_a_day():
    """Published (IOM 2005): 0.66 and 0.80 g per kg; 56 g for the reference man of 70 kg."""
    per_kg = TABLES.row("needs", "male_19_30.protein_g_per_kg")
    day = TABLES.row("needs", "male_19_30.protein_g")

    assert (per_kg["ear"], per_kg["rda"]) == (0.66, 0.8)
    assert per_kg.need("rda") * per_kg.need("ref_weight_kg") == pytest.approx(day.need("rda"), abs=0.5)
    assert day.need("rda") == 56


def test_upper_levels_that_cover_supplements_only_say_so():
    """Published: the upper levels of magnesium, niacin, folate and vitamin E leave out what food brings."""
    for nutrient in ("magnesium_mg", "niacin_mg", "folate_ug", "vitamin_e_mg"):
        assert "only" in TABLES.row("needs", f"female_31_50.{nutrient}").text("ul_covers")
    assert "preformed" in TABLES.row("needs", "female_31_50.vitamin_a_rae_ug").text("ul_covers")


def test_requirements_rise_from_average_to_allowance_to_upper_level():
    """EAR < RDA in every row; the upper level of a nutrient of food lies above both."""
    for key in TABLES.keys("needs"):
        row = TABLES.row("needs", key)
        if row["ear"] is not None and row["rda"] is not None:
            assert row.need("ear") < row.need("rda"), key
        need = row["rda"] or row["ai"]
        if need is not None and row["ul"] is not None and not row.text("ul_covers"):
            assert row.need("ul") > need, key
