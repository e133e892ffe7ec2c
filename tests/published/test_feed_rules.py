"""Rules, standards and yields of feeding as printed, against the tables and the program's own needs."""

from __future__ import annotations

import numpy as np
import pytest

from yardland.holding.model import Holding, MonthDay, Person, Place, Rules
from yardland.larder.feed_bounds import least_kg
from yardland.larder.feed_law import REGIONS, feed_law
from yardland.larder.feed_slaughter import slaughter_parts
from yardland.ledger.production import HerdNeed
from yardland.reference import STANDINGS, load_tables

TABLES = load_tables()


def holding_in(country: str, **rules: object) -> Holding:
    """A plan of nothing but a place and a person."""
    from datetime import date
    from pathlib import Path

    place = Place(
        name="Nowhere", latitude_deg=50, longitude_deg=0, country=country, year_starts=MonthDay(10, 1), currency="EUR"
    )
    people = {"ann": Person(born=date(1984, 4, 11), sex="f", weight_kg=63)}
    return Holding(folder=Path("nowhere"), place=place, people=people, plot={}, rules=Rules(**rules))


def kept_from(country: str, species: str, **rules: object) -> set[str]:
    """Feeds that are kept from a species in a country, where hens and pigs are slaughtered."""
    law = feed_law(holding_in(country, **rules), TABLES)
    return set(law.barred(TABLES, "group", species, frozenset({"chicken", "pig"})))


# Published, Regulation (EC) 1069/2009, article 11(1), as quoted in bilingual law pages: no protein of the same species;
# SI 2006/1293 of Wales, regulation 9: no catering waste to ruminants, pigs or birds, milk of the farm of origin excepted;
# Surrey Poultry Vet after GOV.UK: nothing from a kitchen, hens and pet pigs included. US 9 CFR 166 (published).
@pytest.mark.parametrize("country", ["FR", "GB", "US", "CL"])
@pytest.mark.parametrize("species", ["chicken", "pig", "goat", "cattle", "sheep", "rabbit"])
def test_kitchen_and_slaughter_leavings_are_off_by_default(country: str, species: str) -> None:
    """No animal gets leavings of kitchen or slaughter, or larvae of them, until the household answers for it."""
    assert {"kitchen_leavings", "slaughter_leavings", "larvae_fresh"} <= kept_from(country, species)


@pytest.mark.parametrize("country", ["FR", "GB", "US", "CL"])
def test_milk_of_the_holding_is_free_everywhere(country: str) -> None:
    """Whey and skim go to pigs and hens under each rule set."""
    for species in ("pig", "chicken", "cattle"):
        assert not {"whey_sweet", "skim_milk"} & kept_from(country, species)


def test_a_switch_opens_scraps_to_pigs_and_never_to_ruminants() -> None:
    """rules.feeds_allowed lets pigs have scraps; the ban of mammal protein for ruminants stands (21 CFR 589.2000, published)."""
    assert "kitchen_leavings" not in kept_from("US", "pig", feeds_allowed=("kitchen_scraps",))
    for species in ("cattle", "sheep", "goat"):
        assert "kitchen_leavings" in kept_from("US", species, feeds_allowed=("kitchen_scraps",))


def test_a_species_is_never_fed_to_itself() -> None:
    """With slaughter leavings switched on, species that are slaughtered on the holding stay barred, others are not."""
    allowed = {"feeds_allowed": ("slaughter_leavings",)}

    assert "slaughter_leavings" in kept_from("FR", "pig", **allowed)
    assert "slaughter_leavings" in kept_from("FR", "chicken", **allowed)
    assert "slaughter_leavings" not in kept_from("FR", "duck", **allowed)


# Published: IPIFF legislation page (EU since September 2021, pigs and poultry); Michelmores (GB kept the older rule);
# 21 CFR 589.2000 (marine and non-mammal protein is exempt).
@pytest.mark.parametrize(
    ("country", "species", "barred"),
    [
        ("FR", "chicken", False),
        ("GB", "chicken", True),
        ("US", "chicken", False),
        ("FR", "cattle", True),
        ("US", "cattle", False),
    ],
)
def test_insect_meal_follows_the_rule_set(country: str, species: str, barred: bool) -> None:
    """Insects reared on plants: pigs and poultry in the EU, none in GB, no ruminants in the EU."""
    assert ("bsf_larvae" in kept_from(country, species)) == barred


def test_the_rule_set_can_be_named_over_the_country() -> None:
    """rules.feed_law stands before place.country."""
    assert "bsf_larvae" in kept_from("FR", "chicken", feed_law="GB")


# Published: In Practice 19 (1997) 503: safe total of copper, sheep 15 ppm, pigs 150-400, poultry 250-500.
def test_sheep_get_no_feed_with_copper_for_others() -> None:
    """Premix and meals of pigs and poultry are kept from sheep under every rule set, and from sheep alone."""
    with_copper = {"premix_pig_poultry", "layer_meal", "grower_meal", "pig_meal"}
    for country in ("FR", "GB", "US", "CL"):
        assert with_copper <= kept_from(country, "sheep")
        assert not with_copper & kept_from(country, "goat")
    assert TABLES.row("feed_rules", "copper_sheep").need("number") == 15.0


def test_poisons_are_barred_whatever_the_plan_allows() -> None:
    """Raw beans, green potato, rhubarb leaf, avocado, onion and nightshade tops stay out, with every rule switched on."""
    every = tuple(TABLES.keys("feed_rules"))
    for country in ("FR", "GB", "US", "CL"):
        barred = kept_from(country, "chicken", feeds_allowed=every)
        assert {"common_bean", "soya_raw", "potato_green", "rhubarb_leaf", "avocado", "onion", "tomato_tops"} <= barred


def test_each_rule_speaks_in_every_region_and_names_its_ground() -> None:
    """Each row that keeps or caps feeds has a known word, a law or ground, and feeds of the table, in every region."""
    words = {"on", "off", "never", "share", "live_weight"}
    rows = [TABLES.row("feed_rules", key) for key in TABLES.keys("feed_rules")]
    speaking = [row for row in rows if row.text("feeds")]

    assert len(speaking) >= 15
    for row in speaking:
        assert {row.text(region) for region in REGIONS} <= words, row.key
        assert all(row.text(f"law_{region}") for region in REGIONS), row.key
        assert TABLES.source(row.text("src_law")).citation, row.key
        assert row.text("st_law") in STANDINGS, row.key
        assert row.text("reason"), row.key
        assert row.text("remedy"), row.key
        assert all(TABLES.has("feeds", feed) for feed in row.text("feeds").split()), row.key


def need_of(klass: str, energy_mj: float, protein_g: float, products: dict[str, float] | None = None) -> HerdNeed:
    """A day's need of one animal, in the first month."""
    first = np.zeros(12)
    first[0] = 1.0
    return HerdNeed(
        group="group",
        klass=klass,
        heads=first,
        system=TABLES.row("stock", klass).text("energy_system"),
        ceiling_column=TABLES.row("stock", klass).text("ceiling_column"),
        energy_mj=first * energy_mj,
        protein_kg=first * protein_g / 1000.0,
        dry_matter_max_kg=first * 10.0,
        forage_min_fraction=0.0,
        products={good: first * kg for good, kg in (products or {}).items()},
        manure_kg=np.zeros(12),
        manure_n_kg=np.zeros(12),
        water_m3=np.zeros(12),
    )


def test_a_laying_hen_needs_four_grams_of_calcium() -> None:
    """4.10 g a day at full lay (layer breeder's guide, published), with 55 g of egg and 1.38 MJ; under 1 g at rest."""
    laying = least_kg(TABLES, need_of("laying_hen", 1.38, 18.0, {"egg_hen": 0.055}))
    resting = least_kg(TABLES, need_of("laying_hen", 0.93, 11.0))

    assert 1000.0 * laying["calcium"][0] == pytest.approx(4.10, rel=0.05)
    assert 1000.0 * resting["calcium"][0] < 1.0


# From memory: NRC Swine 1998: feed 1855, 2575, 3075 g a day, crude protein 18.0, 15.5, 13.2 %, lysine 0.95, 0.75, 0.60 %.
@pytest.mark.parametrize(("feed_g", "protein", "lysine"), [(1855, 18.0, 0.95), (2575, 15.5, 0.75), (3075, 13.2, 0.60)])
def test_growing_pigs_need_the_lysine_of_the_standard(feed_g: float, protein: float, lysine: float) -> None:
    """Lysine from the protein need is that of each row of the standard within its tolerance of 8 %."""
    found = least_kg(TABLES, need_of("pig_grower", 30.0, feed_g * protein / 100.0))["lysine"][0]

    assert 1000.0 * found == pytest.approx(feed_g * lysine / 100.0, rel=0.08)


def test_a_ewe_needs_the_minerals_of_the_standard() -> None:
    """3.5 g calcium and 2.9 g phosphorus with 2.8 Mcal (NRC Sheep 1985, Table 1, p. 45, published)."""
    found = least_kg(TABLES, need_of("ewe", 2.8 * 4.184, 130.0))

    assert 1000.0 * found["calcium"][0] == pytest.approx(3.5, rel=0.05)
    assert 1000.0 * found["phosphorus"][0] == pytest.approx(2.9, rel=0.05)


def test_rabbits_get_the_fibre_of_the_standard() -> None:
    """10 to 12 % for growth and milk, 14 % at rest (NRC Rabbits 1977, Table 1, published)."""
    assert TABLES.row("stock", "rabbit_grower").need("min_crude_fibre_fraction") == 0.12
    assert TABLES.row("stock", "rabbit_buck").need("min_crude_fibre_fraction") == 0.14


# Published, feedtables.com (INRAE-CIRAD-AFZ): white faba bean 86 % dry matter, CP 26.7 %, P 4.8 g/kg as fed; rye 86.7 %, 8.5 %.
@pytest.mark.parametrize(
    ("feed", "dm_pct", "as_fed_g_kg", "column", "tolerance"),
    [
        ("faba_bean", 86.0, 267.0, "cp_g_kgdm", 1.0),
        ("faba_bean", 86.0, 4.8, "p_g_kgdm", 0.1),
        ("rye", 86.7, 85.0, "cp_g_kgdm", 1.0),
    ],
)
def test_feeds_as_fed_are_the_table_on_dry_matter(
    feed: str, dm_pct: float, as_fed_g_kg: float, column: str, tolerance: float
) -> None:
    """As fed over the dry matter is the table's figure."""
    assert TABLES.row("feeds", feed).need(column) == pytest.approx(as_fed_g_kg / dm_pct * 100.0, abs=tolerance)


def test_a_pig_of_250_lb_comes_to_the_printed_cuts() -> None:
    """180 lb of carcass and 144 lb of cuts from 250 lb (encyclopaedia extract, published): 0.72 and 0.80, within 3 points.

    The cuts keep part of the bone, the table's meat none: cuts lie between meat and carcass.
    """
    parts = slaughter_parts(TABLES, "pig_grower", 113.4)

    assert parts.carcass_kg / 113.4 == pytest.approx(0.72, abs=0.03)
    assert parts.meat_kg < 113.4 * 0.576 < parts.carcass_kg


# Published, University of Georgia Extension 2011 and Missouri 2010: beef 62, dairy steer 59, pig 74, lamb 54, goat 43 (50).
@pytest.mark.parametrize(("klass", "printed"), [("pig_grower", 0.74), ("goat_kid", 0.465)])
def test_dressing_shares_are_the_printed_ones(klass: str, printed: float) -> None:
    """Carcass over live weight within 3 points (goat: between the two tables)."""
    assert slaughter_parts(TABLES, klass, 1.0).carcass_kg == pytest.approx(printed, abs=0.03)


@pytest.mark.parametrize("klass", ["lamb", "pig_traditional", "broiler_slow", "rabbit_grower", "beef_steer", "goose"])
def test_a_carcass_and_what_is_left_are_the_live_weight(klass: str) -> None:
    """No kilogram is lost or made between live weight and parts."""
    parts = slaughter_parts(TABLES, klass, 40.0)

    whole = parts.carcass_kg + parts.organs_kg + parts.fat_kg + parts.skin_kg + parts.leavings_kg
    assert whole == pytest.approx(40.0)
    assert parts.meat_kg + parts.bones_kg == pytest.approx(parts.carcass_kg)
    assert min(parts.meat_kg, parts.bones_kg, parts.organs_kg, parts.leavings_kg) > 0.0


# Published: cheesescience.net, "about 1 kg cheese from 10 L milk"; cheese forum's table: Gouda and Cheddar 10 %.
def test_hard_cheese_is_a_tenth_of_the_milk() -> None:
    """Cow's and goat's hard cheese within two points of a tenth, and the whey nearly all the rest."""
    for making in ("hard_cheese_cow", "hard_cheese_goat"):
        cheese = [key for key in TABLES.keys("makings") if key.startswith(f"{making}.cheese")]
        kg = TABLES.row("makings", cheese[0]).need("kg_per_kg")
        whey = TABLES.row("makings", f"{making}.whey").need("kg_per_kg")

        assert kg == pytest.approx(0.10, abs=0.02)
        assert 0.88 < kg + whey <= 1.0
