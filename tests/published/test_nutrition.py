"""Needs of people and contents of foods against printed figures; keys N + the number of the check.

Tolerances are the rounding of the print. Standing: published where the figure was seen in the publication or a stored copy of
it, computed where the printed equation was seen and the arithmetic is ours.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from yardland.holding.model import Holding, MonthDay, Person, Place
from yardland.larder import bearing
from yardland.larder.energy import basal_kcal, child_expenditure_kcal, child_kcal, growth_kcal
from yardland.larder.needs import adult_day, average_need, bearing_energy, day_need, equation_row, household_need
from yardland.ledger.months import larder_months
from yardland.reference import load_tables

if TYPE_CHECKING:
    from outside import Outside

TABLES = load_tables()
FAO = "FAO/WHO/UNU 2001, Human energy requirements"
IOM = "IOM 2005, Dietary Reference Intakes for energy"
DRI = "Dietary Reference Intakes, summary tables (NCBI NBK545442, Appendix J)"
SR28 = "USDA SR28"
KJ_PER_KCAL = 4.184
LB_KG, QUART_L = 0.45359237, 0.946353


def basal(sex: str, age_y: float, weight_kg: float) -> float:
    """Basal metabolic rate by the line of the table for that sex and age."""
    row = TABLES.row("energy", equation_row(TABLES, "schofield", sex, age_y))
    return basal_kcal(weight_kg, row.need("per_kg"), row.need("constant"))


def expenditure(sex: str, weight_kg: float) -> float:
    """Energy that a child spends, by the quadratic of its sex."""
    row = TABLES.row("energy", equation_row(TABLES, "fao2001_tee", sex, 7.0))
    return child_expenditure_kcal(weight_kg, row.need("constant"), row.need("per_kg"), row.need("per_kg2"))


@pytest.mark.parametrize(
    ("key", "sex", "age_y", "weight_kg", "kcal", "within", "source", "standing"),
    [
        ("N A1", "f", 25.0, 55.0, 1302.0, 1.0, f"{FAO}, worked example of section 5.4.1", "published"),
        ("N A3", "m", 40.0, 70.0, 1676.0, 2.0, "the same equation worked in a nutrition atlas", "published"),
        ("N A5", "f", 40.0, 60.0, 1333.2, 0.5, f"{FAO}, Table 5.2", "computed"),
        ("N A6", "m", 70.0, 70.0, 1407.5, 0.5, f"{FAO}, Table 5.2", "computed"),
        ("N A8", "m", 5.0, 20.0, 958.4, 0.5, f"{FAO}, Table 5.2", "computed"),
        ("N A10", "m", 2.0, 10.0, 564.7, 0.5, f"{FAO}, Table 5.2", "computed"),
    ],
)
def test_basal_metabolic_rate(
    outside: Outside,
    key: str,
    sex: str,
    age_y: float,
    weight_kg: float,
    kcal: float,
    within: float,
    source: str,
    standing: str,
) -> None:
    """The line of Table 5.2 for the sex and age gives the printed rate."""
    what = f"basal rate, {sex}, {age_y:g} years, {weight_kg:g} kg, kcal a day"
    outside.check_close(key, what, source, standing, kcal, basal(sex, age_y, weight_kg), within)


def test_both_forms_of_the_basal_equation(outside: Outside) -> None:
    """The MJ form of each of the twelve lines is its kcal form within 1.5 %."""
    kcal, mega = [], []
    for key in TABLES.keys("energy"):
        if key.startswith("schofield"):
            row = TABLES.row("energy", key)
            weight = 15 if row.need("age_below_y") <= 10 else 60
            kcal.append(basal_kcal(weight, row.need("per_kg"), row.need("constant")))
            mega.append((row.need("per_kg_mj") * weight + row.need("constant_mj")) * 1000 / KJ_PER_KCAL)
    assert len(kcal) == 12
    outside.check_close("N A11", "kcal and MJ forms, 12 lines", f"{FAO}, Table 5.2", "computed", kcal, mega, pct=1.5)


def test_energy_of_children(outside: Outside) -> None:
    """Expenditure by weight, and with growth."""
    source = f"{FAO}, section 4, as quoted by Koletzko ed. 2015, p. 37"
    outside.check_close(
        "N A13", "spent by a boy of 20 kg, kcal", source, "computed", 1471.0, expenditure("m", 20.0), 1.0
    )
    outside.check_close(
        "N A15", "spent by a girl of 30 kg, kcal", source, "computed", 1813.8, expenditure("f", 30.0), 1.0
    )
    grown = growth_kcal(3.9, TABLES.row("energy", "growth_energy").need("value"))
    got = child_kcal(expenditure("m", 33.3), grown, 1.0, 1.0)
    outside.check_close("N A16", "needed by a boy of 33.3 kg", f"{FAO}, Table 4.5", "from memory", 2150.0, got, pct=0.5)


def test_pregnancy_costs_what_it_costs(outside: Outside) -> None:
    """The days of a pregnancy x the additions by trimester are the published cost of a whole pregnancy."""
    birth = date(2027, 3, 1)
    states = [bearing.state_on(birth - timedelta(days=day), (birth,), TABLES) for day in range(1, 281)]
    kcal = sum(kcal for state in states for _, kcal in bearing_energy(TABLES, {state: 1.0}))
    source = "Butte and King 2005, Public Health Nutrition 8: 1010-1027 (abstract)"
    outside.check_close(
        "N bearing", "energy of a pregnancy, MJ", source, "published", 321.0, kcal * KJ_PER_KCAL / 1000, pct=2
    )
    by_trimester = [TABLES.row("energy", bearing.ENERGY_ROW[one]).need("value") for one in (bearing.FIRST, bearing.SECOND, bearing.THIRD)]  # fmt: skip
    what = "additions by trimester, kJ a day"
    outside.check_close(
        "N bearing", what, source, "published", [375.0, 1200.0, 1950.0], np.array(by_trimester) * KJ_PER_KCAL, pct=6
    )
    nursing = TABLES.row("energy", bearing.ENERGY_ROW[bearing.NURSING]).need("value")
    outside.check_close(
        "N bearing", "nursing: 675 less 170 kcal a day", f"{FAO}, section 7", "from memory", 505.0, nursing, 0
    )


@pytest.mark.parametrize(
    ("key", "stage", "weight_kg", "height_m", "activity", "kcal"),
    [
        ("N B2", "woman", 41.6, 1.50, None, 1625.0),
        ("N B4", "woman", 56.2, 1.50, "pa_active", 2198.0),
        ("N B5", "man", 50.4, 1.65, "pa_low_active", 2254.0),
        ("N B7", "man", 68.0, 1.65, "pa_very_active", 3296.0),
        ("N B9", "man", 59.9, 1.80, "pa_active", 2782.0),
        ("N B10", "woman", 59.9, 1.80, "pa_active", 2519.0),
        ("N B12", "woman", 81.0, 1.80, None, 2211.0),
    ],
)
def test_estimated_energy_requirement(
    outside: Outside, key: str, stage: str, weight_kg: float, height_m: float, activity: str | None, kcal: float
) -> None:
    """The coefficients of the table give the printed requirement at 30 years (the print rounds weights: 3 kcal)."""
    row = TABLES.row("energy", f"eer2005_{stage}.19")
    factor = row.need(activity) if activity else 1.0
    got = row.need("constant") + row.need("per_year") * 30
    got += factor * (row.need("per_kg") * weight_kg + row.need("per_m") * height_m)
    what = f"{stage} of 30 years, {weight_kg:g} kg, {height_m:g} m, {activity or 'sedentary'}, kcal"
    outside.check_close(key, what, f"{IOM}, table of 30-year-olds", "published", kcal, got, 3.0)


def test_energy_of_the_reference_boys(outside: Outside) -> None:
    """Active boys of 16 years (1.74 m, 61 kg) and 11 (1.44 m, 36 kg)."""
    row = TABLES.row("energy", "eer2005_boy.9")
    for key, age, height, weight, kcal in (("N B14", 16, 1.74, 61, 3152.0), ("N B15", 11, 1.44, 36, 2279.0)):
        got = row.need("constant") + row.need("per_year") * age + row.need("added")
        got += row.need("pa_active") * (row.need("per_kg") * weight + row.need("per_m") * height)
        outside.check_close(key, f"reference boy of {age} years, kcal", IOM, "published", kcal, got, 5.0)


def test_energy_of_pregnancy_and_of_2023(outside: Outside) -> None:
    """Additions of 2005, a woman of 2023 by her four activities, and the bounds of those activities."""
    added = [TABLES.row("energy", f"eer2005_{key}").need("value") for key in ("pregnancy_t2", "pregnancy_t3")]
    outside.check_close("N B17", "second and third trimester, kcal more", IOM, "published", [340.0, 452.0], added, 0)
    milk = [TABLES.row("energy", f"eer2005_{key}").need("value") for key in ("lactation_0_6mo", "lactation_7_12mo")]
    outside.check_close("N B17", "nursing, first and second half year", IOM, "from memory", [330.0, 400.0], milk, 0)
    got = []
    for activity in ("inactive", "low_active", "active", "very_active"):
        row = TABLES.row("energy", f"eer2023_adult_{activity}.f")
        got.append(
            row.need("constant") + row.need("per_year") * 30 + row.need("per_m") * 1.65 + row.need("per_kg") * 62
        )
    expected = [2044.0, 2207.0, 2344.0, 2577.0]
    outside.check_close(
        "N B19", "woman of 30 years, 1.65 m, 62 kg, kcal", "NASEM 2023", "from memory", expected, got, 1.0
    )
    row = TABLES.row("energy", "nasem2023_19_up")
    bounds = [row.need("value_low"), row.need("value")]
    outside.check_close(
        "N B20", "least of low active and active", "Health Canada, DRI energy", "published", [1.53, 1.68], bounds, 0
    )


@pytest.mark.parametrize(
    ("key", "row", "ear", "rda", "ai", "ul"),
    [
        ("N C1", "female_19_30.iron_mg", 8.1, 18, None, 45),
        ("N C3", "infant_7_12mo.iron_mg", 6.9, 11, None, 40),
        ("N C4", "female_51_70.calcium_mg", 1000, 1200, None, 2000),
        ("N C6", "male_31_50.vitamin_a_rae_ug", 625, 900, None, 3000),
        ("N C8", "female_19_30.vitamin_c_mg", 60, 75, None, 2000),
        ("N C9", "male_9_13.vitamin_c_mg", 39, 45, None, 1200),
        ("N C11", "pregnant_19_30.folate_ug", 520, 600, None, 1000),
        ("N C13", "male_19_30.zinc_mg", 9.4, 11, None, 40),
        ("N C14", "lactating_14_18.zinc_mg", 10.9, 13, None, 34),
        ("N C16", "male_31_50.magnesium_mg", 350, 420, None, 350),
        ("N C18", "male_19_30.choline_mg", None, None, 550, 3500),
        ("N C18", "female_19_30.choline_mg", None, None, 425, 3500),
        ("N C19", "male_19_30.protein_g_per_kg", 0.66, 0.80, None, None),
        ("N C21", "male_19_30.linoleic_g", None, None, 17, None),
        ("N C21", "male_19_30.ala_g", None, None, 1.6, None),
        ("N C23", "male_31_50.copper_mg", 0.7, 0.9, None, 10),
        ("N C24", "male_9_13.phosphorus_mg", 1055, 1250, None, 4000),
        ("N C24", "female_9_13.phosphorus_mg", 1055, 1250, None, 4000),
    ],
)
def test_dietary_reference_intakes(
    outside: Outside, key: str, row: str, ear: float | None, rda: float | None, ai: float | None, ul: float | None
) -> None:
    """Average requirement, allowance, adequate intake and upper level are the printed ones."""
    ours = TABLES.row("needs", row)
    got = [ours[column] for column in ("ear", "rda", "ai", "ul")]
    outside.check_same(key, f"{row}: EAR, RDA, AI, UL", DRI, "published", [_float(x) for x in (ear, rda, ai, ul)], got)


def _float(value: float | None) -> float | None:
    return None if value is None else float(value)


def test_foods_of_the_standard_reference(outside: Outside) -> None:
    """Energy and nutrients per 100 g edible are the printed ones, to their rounding (0.5 %, energy 0.6 kcal)."""
    for key, food, printed in (
        ("N E1", "egg_hen", {"energy_kcal": 143, "protein_g": 12.56, "iron_mg": 1.75, "vitamin_b12_ug": 0.89}),
        ("N E3", "wheat_whole", {"energy_kcal": 327, "protein_g": 12.61, "magnesium_mg": 126}),
        ("N E4", "cabbage", {"energy_kcal": 25, "vitamin_c_mg": 36.6}),
        ("N E6", "milk_goat", {"energy_kcal": 69, "calcium_mg": 134}),
        ("N E8", "goat_meat", {"energy_kcal": 109, "iron_mg": 2.83}),
        ("N E9", "lard", {"energy_kcal": 902, "vitamin_d_ug": 2.5}),
        ("N E11", "pork_liver", {"iron_mg": 23.30, "vitamin_a_rae_ug": 6502}),
        ("N E13", "lentils", {"protein_g": 24.63, "folate_ug": 479}),
        ("N E14", "apple", {"energy_kcal": 52, "fibre_g": 2.4}),
        ("N E16", "sunflower_seed", {"vitamin_e_mg": 35.17, "energy_kcal": 584}),
        ("N E18", "butter", {"energy_kcal": 717, "vitamin_a_rae_ug": 684}),
        ("N E19", "beans_dry", {"protein_g": 23.58, "iron_mg": 8.20}),
    ):
        got = [TABLES.row("foods", food).need(column) for column in printed]
        what = f"{food}: {', '.join(printed)}, per 100 g"
        outside.check_close(key, what, SR28, "published", list(printed.values()), got, pct=0.5)


def test_specific_factors_give_the_energy(outside: Outside) -> None:
    """Merrill and Watt's factors of each food x its protein, fat and carbohydrate are its energy."""
    for key, food in (("N D1", "egg_hen"), ("N D3", "lard"), ("N D4", "potato"), ("N D6", "lentils")):
        row = TABLES.row("foods", food)
        factors = [row[f"atwater_{name}"] or 0.0 for name in ("protein", "fat", "carb")]
        grams = [row.need(name) for name in ("protein_g", "fat_g", "carbohydrate_g")]
        got = float(np.dot(factors, grams))
        outside.check_close(
            key, f"{food}: energy by its factors, kcal", SR28, "published", row.need("energy_kcal"), got, 1.5
        )


def test_yields_and_retention(outside: Outside) -> None:
    """Solids kept in drying, water taken up in cooking, what heat leaves of a vitamin."""

    def solids(raw: str, made: str) -> float:
        water = [TABLES.row("foods", food).need("water_g") / 100 for food in (raw, made)]
        return (1 - water[0]) / (1 - water[1])

    for key, raw, made, expected, within in (
        ("N F1", "apple", "apple_dried", 0.212, 0.005),
        ("N F3", "carrot", "carrot_dried", 0.122, 0.005),
        ("N F4", "tomato", "tomato_dried", 0.064, 0.005),
        ("N F6", "lentils", "lentils_cooked", 3.02, 0.03),
    ):
        outside.check_close(
            key, f"{raw} to {made}, kg a kg", f"water of {SR28}", "published", expected, solids(raw, made), within
        )
    for key, code, kept in (
        ("N F8", "r6.154", {"vitamin_c": 50, "thiamin": 80, "folate": 50, "vitamin_a_rae": 75, "riboflavin": 90}),
        ("N F9", "r6.3307", {"vitamin_c": 75, "iron": 95, "zinc": 95, "potassium": 90}),
        ("N F11", "r6.3456", {"vitamin_a_rae": 90, "vitamin_c": 75, "folate": 80}),
        ("N F13", "r6.3775", {"vitamin_a_rae": 90, "vitamin_c": 75, "folate": 65, "potassium": 90}),
    ):
        got = [100 * TABLES.row("retention", code).need(f"ret_{nutrient}") for nutrient in kept]
        source = "USDA Table of Nutrient Retention Factors, Release 6"
        outside.check_close(key, f"{code}: {', '.join(kept)}, %", source, "published", list(kept.values()), got, 1e-9)


def test_what_a_jar_takes(outside: Outside) -> None:
    """Kilograms of raw food in a litre of jars."""
    for key, store, pounds_a_quart, within in (
        ("N F18", "carrot.canned", 2.5, 0.02),
        ("N F19", "cabbage.fermented", 25 / 9, 0.05),
    ):
        got = TABLES.row("stores", store).need("jar_kg_raw_per_litre")
        expected = pounds_a_quart * LB_KG / QUART_L
        outside.check_close(
            key, f"{store}, kg a litre", "USDA Complete Guide to Home Canning", "published", expected, got, within
        )


def test_life_in_store(outside: Outside) -> None:
    """The table's life lies in the printed span, months; vitamin C of potatoes after three of them."""
    for key, store, least, most, source in (
        ("N G1", "potato.root_cellar", 5, 8, "USDA Handbook 66; extension sheet"),
        ("N G3", "onion.dry_cool", 5, 8, "USDA Handbook 66"),
        ("N G4", "cabbage.root_cellar", 3, 6, "USDA Handbook 66"),
        ("N G6", "parsnip.root_cellar", 4, 6, "USDA Handbook 66"),
        ("N G8", "garlic.dry_cool", 6, 8, "extension sheet"),
        ("N G9", "sweet_potato.root_cellar", 4, 6, "extension sheet"),
        ("N G11", "egg_hen.fridge", 0.7, 1.2, "FoodSafety.gov chart, 3 to 5 weeks"),
        ("N G13", "meat_chicken.frozen", 12, 12, "FoodSafety.gov chart"),
    ):
        got = TABLES.row("stores", store).need("shelf_life_months")
        outside.check_between(key, f"{store}, months", source, "published", least, most, got)
    monthly = TABLES.row("stores", "potato.root_cellar").need("vitamin_c_loss_per_month")
    left = TABLES.row("foods", "potato").need("vitamin_c_mg") * (1 - monthly) ** 3
    outside.check_close(
        "N G16", "vitamin C of potatoes after 3 months, mg/100 g", "arithmetic on SR28", "computed", 12.10, left, 0.05
    )


def test_rules_of_safety(outside: Outside) -> None:
    """Beans boil, low-acid jars need pressure, infants get no honey, liver in pregnancy is counted in grams."""
    beans = TABLES.row("rules", "kidney_bean_boil").need("number")
    outside.check_close(
        "N H2", "hard boiling of kidney beans, minutes", "FDA Bad Bug Book", "published", 30.0, beans, 0
    )
    acid = TABLES.row("rules", "low_acid_ph").need("number")
    outside.check_close("N H3", "pH above which only pressure will do", "USDA canning guide", "published", 4.6, acid, 0)
    honey = TABLES.row("diets", "honey").need("from_age_y") * 12
    outside.check_close("N H5", "honey from, months", "CDC, AAP", "from memory", 12.0, honey, 0)
    level = TABLES.row("needs", "pregnant_19_30.vitamin_a_rae_ug").need("ul")
    grams = level / TABLES.row("foods", "pork_liver").need("vitamin_a_rae_ug") * 100
    outside.check_close(
        "N H7", "pig liver that reaches the upper level, g", f"{SR28} 10110; {DRI}", "published", 46.0, grams, 1.0
    )


MENU = {
    "wheat_flour_whole": 300, "potato": 500, "beans_dry": 100, "egg_hen": 100, "milk_goat": 500, "lard": 30, "kale": 150,
    "carrot": 150, "apple": 200, "pork_leg": 80,
}  # fmt: skip
MENU_HOLDS = {
    "energy_kcal": 2910.6, "protein_g": 124.1, "fat_g": 87.0, "carbohydrate_g": 435.0, "fibre_g": 82.7, "calcium_mg": 1477.5,
    "iron_mg": 28.8, "zinc_mg": 17.5, "vitamin_a_rae_ug": 2065.0, "vitamin_c_mg": 268.2, "thiamin_mg": 3.6, "folate_ug": 786.1,
    "vitamin_b12_ug": 1.7,
}  # fmt: skip


def test_a_day_of_autumn(outside: Outside) -> None:
    """The menu's nutrients as an independent sum of the food table has them, and the shares of its energy."""
    got = {
        name: sum(grams / 100 * (TABLES.row("foods", food)[name] or 0.0) for food, grams in MENU.items())
        for name in MENU_HOLDS
    }
    expected = list(MENU_HOLDS.values())
    within = [max(0.005 * value, 0.051) for value in expected]
    off = np.abs(np.array(list(got.values())) - expected) / within
    outside.check_close(
        "N I1",
        "thirteen sums of a day's menu, in tolerances off",
        "own sum of SR28",
        "computed",
        0.0,
        float(off.max()),
        1.0,
    )
    kcal = np.array([got["protein_g"], got["fat_g"], got["carbohydrate_g"]]) * [4, 9, 4]
    what = "protein, fat, carbohydrate, % of energy"
    outside.check_close("N I3", what, "own sum of SR28", "computed", [16.4, 25.9, 57.6], 100 * kcal / kcal.sum(), 0.1)


def test_a_household_and_its_wheat(outside: Outside) -> None:
    """Man 35 years 75 kg, woman 33 years 62 kg, boy 10, girl 6: kilocalories a day, and a month of them in wheat."""
    man, _ = adult_day(TABLES, "m", 35.0, 75.0, "very active")
    woman, _ = adult_day(TABLES, "f", 33.0, 62.0, "active")
    children = [TABLES.row("energy", f"fao2001_requirement.{key}").need("value") for key in ("m_10", "f_6")]
    total = man + woman + sum(children)
    outside.check_close(
        "N I5", "a household of four, kcal a day", f"{FAO}, Tables 4.5, 4.6, 5.2", "computed", 9888.0, total, 3.0
    )
    wheat = total * 30 / (TABLES.row("foods", "wheat_whole").need("energy_kcal") * 10)
    outside.check_close(
        "N I6", "that household's month in whole wheat, kg", f"{SR28} 20072", "computed", 90.7, wheat, 0.1
    )
    squash = 20 * TABLES.row("foods", "squash_winter").need("edible_fraction")
    outside.check_close("N I8", "edible of 20 kg of winter squash", f"{SR28} 11485", "published", 16.8, squash, 0.05)


def test_protein_a_kilogram(outside: Outside) -> None:
    """Allowance and average requirement of an adult of 70 kg, as the household's two lines have them."""
    place = Place(name="x", latitude_deg=50, longitude_deg=0, country="GB", year_starts=MonthDay(10, 1))
    man = Person(born=date(1985, 1, 1), sex="m", weight_kg=70)
    plan = Holding(folder=Path(), place=place, people={"man": man}, plot={})
    months = larder_months(2026, 10)
    _, asked = household_need(plan, TABLES, months)
    got = [float(asked["protein_g"][0]), float(average_need(plan, TABLES, months)["protein_g"][0])]
    outside.check_close(
        "N I11", "protein of 70 kg, g a day: allowance, average", DRI, "published", [56.0, 46.2], got, 0.1
    )
    infant = day_need(Person(born=date(2026, 1, 1), sex="m", weight_kg=8.0), TABLES, 0.75, 0.75).amounts["energy_kcal"]
    outside.check_close("N infant", "an infant of 8 kg, kcal: 89 W - 100 + 22", IOM, "computed", 634.0, infant, 0.5)


def test_what_the_checks_leave_out(outside: Outside) -> None:
    """Checks that no figure of ours answers are told with their reason."""
    heading = "Nutrition: left out"
    outside.tell(
        heading, "N F14, true retention by weights: the tables give retention as such, no weights after cooking."
    )
    outside.tell(heading, "N F16, beans in a quart: a row of green_beans.canned is not in the tables of stores.")
    outside.tell(heading, "N G14, bacon: ours is dry cured and hangs in a loft; the chart counts fridge and freezer.")
    outside.tell(heading, "N I10, vitamin D in international units: no unit of ours is international.")
    outside.tell(heading, "N B20: the bound of very active, 1.85, has no cell of its own in the table energy.")
    assert not TABLES.has("stores", "green_beans.canned")
    assert not any("IU" in TABLES.row("needs", key).text("unit") for key in TABLES.keys("needs"))
