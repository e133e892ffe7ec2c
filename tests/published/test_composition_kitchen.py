"""Yields of preserving, nutrients kept, life in store: as printed."""

from __future__ import annotations

import pytest

from yardland.reference import load_tables

TABLES = load_tables()


def water(food):
    """Water of a food, share of its mass."""
    return TABLES.row("foods", food).need("water_g") / 100


@pytest.mark.parametrize(
    ("raw", "dried", "pair", "expected"),
    [
        ("apple", "apple_dried", "dried.apple", 0.212),
        ("carrot", "carrot_dried", "dried.carrot", 0.122),
        ("tomato", "tomato_dried", "dried.tomato", 0.064),
    ],
)
def test_drying_keeps_the_solids(raw, dried, pair, expected):
    """Published: water of USDA SR28 raw and dried rows; solids kept gives the yield per edible kg (0.005)."""
    kept = (1 - water(raw)) / (1 - water(dried))

    assert kept == pytest.approx(expected, abs=0.005)
    assert TABLES.row("retention", pair).need("solids_yield") == pytest.approx(expected, abs=0.0005)


def test_a_dried_good_weighs_what_its_solids_allow():
    """Computed from USDA water: the store's yield from the good as gathered is edible share x solids yield (0.02)."""
    for key, pair in (("apple.dried", "dried.apple"), ("plum.dried", "dried.plum"), ("fig.dried", "dried.fig")):
        store = TABLES.row("stores", key)
        edible = TABLES.row("goods", store.text("good")).need("edible_fraction")
        solids = TABLES.row("retention", pair).need("solids_yield")
        assert store.need("yield_kg_per_kg") == pytest.approx(edible * solids, abs=0.03), key


@pytest.mark.parametrize(
    ("key", "kg_per_litre"),
    [
        ("green_beans", 0.96),  # 14 lb for 7 quarts
        ("carrot.canned", 1.20),  # 2.5 lb a quart
        ("cabbage.fermented", 1.33),  # 25 lb of cabbage for about 9 quarts
        ("tomato.canned", 1.44),  # 3 lb a quart
    ],
)
def test_what_a_jar_takes(key, kg_per_litre):
    """Published: USDA Complete Guide to Home Canning; a quart is 0.946 L (0.05 for the kraut, 0.02 else)."""
    pounds_per_quart = {"green_beans": 2.0, "carrot.canned": 2.5, "cabbage.fermented": 25 / 9, "tomato.canned": 3.0}[
        key
    ]

    assert pounds_per_quart * 0.45359237 / 0.946353 == pytest.approx(kg_per_litre, abs=0.02)
    if TABLES.has("stores", key):
        assert TABLES.row("stores", key).need("jar_kg_raw_per_litre") == pytest.approx(kg_per_litre, abs=0.02)


@pytest.mark.parametrize(
    ("key", "least", "most"),
    [
        ("potato.root_cellar", 5, 8),  # USDA Handbook 66: 24-26 weeks; extension sheet 5-8 months
        ("onion.dry_cool", 5, 8),  # USDA Handbook 66: 28 weeks; extension 5-8 months
        ("cabbage.root_cellar", 3, 6),  # USDA Handbook 66: 12-16 weeks; extension 4-6 months
        ("parsnip.root_cellar", 4, 6),  # USDA Handbook 66: 24-26 weeks
        ("garlic.dry_cool", 6, 8),  # extension sheet
        ("sweet_potato.root_cellar", 4, 6),  # extension sheet, 13-16 C
        ("egg_hen.fridge", 0.7, 1.2),  # FoodSafety.gov: 3-5 weeks
        ("egg_hen.frozen", 12, 12),  # FoodSafety.gov, beaten
        ("meat_chicken.frozen", 12, 12),  # FoodSafety.gov, whole
    ],
)
def test_life_in_store(key, least, most):
    """Published: what each row names; the table's life lies in the printed span."""
    assert least <= TABLES.row("stores", key).need("shelf_life_months") <= most


def test_vitamin_c_of_potatoes_in_store():
    """Published bracket: 60 % lost in 90 days in open boxes, 20 % in sealed jars; the table's 15 % a month gives 39 %."""
    monthly = TABLES.row("stores", "potato.root_cellar").need("vitamin_c_loss_per_month")
    left = TABLES.row("foods", "potato").need("vitamin_c_mg") * (1 - monthly) ** 3

    assert left == pytest.approx(12.10, abs=0.05)
    assert 0.20 < 1 - (1 - monthly) ** 3 < 0.60


def test_low_acid_jars_carry_their_caution():
    """Published: USDA canning guide: beans, peas, corn, roots, meat and squash only under pressure."""
    acid = {"tomato", "peach", "pear", "plum"}
    for key in TABLES.keys("stores"):
        row = TABLES.row("stores", key)
        if row.text("method") == "canned" and row.text("good") not in acid:
            assert "pressure" in row.text("cautions") + row.text("condition"), key
            assert row.text("task") == "preserve.pressure_can", key


def test_cautions_that_must_not_be_lost():
    """Published: FDA (beans), CDC (honey), USDA (acid), upper level of vitamin A (liver): stated where they apply."""
    assert "boil hard" in TABLES.row("goods", "dry_bean").text("cautions")
    assert "12 months" in TABLES.row("goods", "honey").text("cautions")
    assert "pregnant" in TABLES.row("goods", "offal_pork").text("cautions")
    assert TABLES.row("rules", "low_acid_ph").need("number") == 4.6
    reach = TABLES.row("needs", "pregnant_19_30.vitamin_a_rae_ug").need("ul")
    liver = TABLES.row("foods", "pork_liver").need("vitamin_a_rae_ug")
    assert reach / liver * 100 == pytest.approx(46, abs=1)
