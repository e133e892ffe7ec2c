"""Dietary Reference Intakes and energy equations as printed: values must be equal."""

from __future__ import annotations

import pytest

from yardland.reference import load_tables

TABLES = load_tables()

# Published: Dietary Reference Intakes, summary tables (IOM and NASEM; NCBI NBK545442 Appendix J). Row, EAR, RDA, AI, UL.
INTAKES = [
    ("female_19_30.iron_mg", 8.1, 18, None, 45),
    ("infant_7_12mo.iron_mg", 6.9, 11, None, 40),
    ("female_51_70.calcium_mg", 1000, 1200, None, 2000),
    ("male_31_50.vitamin_a_rae_ug", 625, 900, None, 3000),
    ("female_19_30.vitamin_c_mg", 60, 75, None, 2000),
    ("male_9_13.vitamin_c_mg", 39, 45, None, 1200),
    ("pregnant_19_30.folate_ug", 520, 600, None, 1000),
    ("male_19_30.zinc_mg", 9.4, 11, None, 40),
    ("lactating_14_18.zinc_mg", 10.9, 13, None, 34),
    ("male_31_50.magnesium_mg", 350, 420, None, 350),
    ("male_19_30.choline_mg", None, None, 550, 3500),
    ("female_19_30.choline_mg", None, None, 425, 3500),
    ("male_19_30.linoleic_g", None, None, 17, None),
    ("male_19_30.ala_g", None, None, 1.6, None),
    ("male_9_13.phosphorus_mg", 1055, 1250, None, 4000),
    ("female_9_13.phosphorus_mg", 1055, 1250, None, 4000),
]


@pytest.mark.parametrize(("key", "ear", "rda", "ai", "ul"), INTAKES)
def test_intakes_are_those_of_the_summary_tables(key, ear, rda, ai, ul):
    """Average requirement, allowance, adequate intake and upper level are the printed ones."""
    row = TABLES.row("needs", key)

    assert (row["ear"], row["rda"], row["ai"], row["ul"]) == (ear, rda, ai, ul)


def test_protein_a_kg_and_a_day():
    """Published (IOM 2005): 0.66 and 0.80 g per kg; 56 g for the reference man of 70 kg."""
    per_kg = TABLES.row("needs", "male_19_30.protein_g_per_kg")
    day = TABLES.row("needs", "male_19_30.protein_g")

    assert (per_kg["ear"], per_kg["rda"]) == (0.66, 0.8)
    assert per_kg.need("rda") * per_kg.need("ref_weight_kg") == pytest.approx(day.need("rda"), abs=0.5)
    assert day.need("rda") == 56


def test_copper_of_adults():
    """Published: EAR 700, RDA 900, UL 10000 ug (here in mg)."""
    row = TABLES.row("needs", "male_31_50.copper_mg")

    assert [row.need(c) * 1000 for c in ("ear", "rda", "ul")] == pytest.approx([700, 900, 10_000])


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


# Published: FAO/WHO/UNU 2001, Human energy requirements, Table 5.2 and section 5.4.1. Row, weight, kcal a day, tolerance.
BASAL = [
    ("schofield.f_18", 55, 1302, 1.0),
    ("schofield.m_30", 70, 1676, 2.0),
    ("schofield.f_30", 60, 1333.2, 0.5),
    ("schofield.m_60", 70, 1407.5, 0.5),
    ("schofield.m_3", 20, 958.4, 0.5),
    ("schofield.m_0", 10, 564.7, 0.5),
]


@pytest.mark.parametrize(("key", "weight_kg", "kcal", "tolerance"), BASAL)
def test_basal_metabolism(key, weight_kg, kcal, tolerance):
    """The Schofield line of the table gives the printed basal metabolic rate."""
    row = TABLES.row("energy", key)

    assert row.need("per_kg") * weight_kg + row.need("constant") == pytest.approx(kcal, abs=tolerance)


@pytest.mark.parametrize("key", [key for key in TABLES.keys("energy") if key.startswith("schofield")])
def test_both_forms_of_the_basal_equation_agree(key):
    """Published table: the MJ form times 1000/4.184 is the kcal form within 1.5 % at 15 or 60 kg."""
    row = TABLES.row("energy", key)
    weight = 15 if row.need("age_below_y") <= 10 else 60
    kcal = row.need("per_kg") * weight + row.need("constant")
    megajoule = row.need("per_kg_mj") * weight + row.need("constant_mj")

    assert megajoule * 1000 / 4.184 == pytest.approx(kcal, rel=0.015)


@pytest.mark.parametrize(
    ("key", "weight_kg", "kcal"), [("fao2001_tee.m_1", 20, 1471.0), ("fao2001_tee.f_1", 30, 1813.8)]
)
def test_energy_of_children(key, weight_kg, kcal):
    """Published: FAO/WHO/UNU 2001 section 4, total energy expenditure of a boy of 20 kg and a girl of 30 kg."""
    row = TABLES.row("energy", key)
    total = row.need("constant") + row.need("per_kg") * weight_kg + row.need("per_kg2") * weight_kg**2

    assert total == pytest.approx(kcal, abs=1)


# Published: IOM 2005, EER of 30-year-olds. Row, height m, weight kg, column of the activity factor, kcal a day.
EER = [
    ("eer2005_woman.19", 1.50, 41.6, None, 1625),
    ("eer2005_woman.19", 1.50, 56.2, "pa_active", 2198),
    ("eer2005_man.19", 1.65, 50.4, "pa_low_active", 2254),
    ("eer2005_man.19", 1.65, 68.0, "pa_very_active", 3296),
    ("eer2005_man.19", 1.80, 59.9, "pa_active", 2782),
    ("eer2005_woman.19", 1.80, 59.9, "pa_active", 2519),
    ("eer2005_woman.19", 1.80, 81.0, None, 2211),
]


@pytest.mark.parametrize(("key", "height_m", "weight_kg", "activity", "kcal"), EER)
def test_estimated_energy_requirement(key, height_m, weight_kg, activity, kcal):
    """The coefficients of the table give the printed requirement at 30 years (the print rounds weights: 3 kcal)."""
    row = TABLES.row("energy", key)
    factor = row.need(activity) if activity else 1.0
    total = row.need("constant") + row.need("per_year") * 30
    total += factor * (row.need("per_kg") * weight_kg + row.need("per_m") * height_m)

    assert total == pytest.approx(kcal, abs=3)


def test_energy_of_the_reference_boys():
    """Published: IOM 2005, active boys of 16 y (1.74 m, 61 kg) 3152 and 11 y (1.44 m, 36 kg) 2279 kcal a day."""
    row = TABLES.row("energy", "eer2005_boy.9")
    for age, height, weight, kcal in ((16, 1.74, 61, 3152), (11, 1.44, 36, 2279)):
        total = row.need("constant") + row.need("per_year") * age + row.need("added")
        total += row.need("pa_active") * (row.need("per_kg") * weight + row.need("per_m") * height)
        assert total == pytest.approx(kcal, abs=5)
