"""Numbers of the rules of keeping as printed: each stands in its row, with its standing, and in the words that a user reads."""

from __future__ import annotations

import re

import pytest
from outside import Outside

from yardland.findings.cautions import sentence
from yardland.reference import load_tables

TABLES = load_tables()
FENCE = "IEC 60335-2-76, annex BB, as a maker's manual prints it"
LAYERS = "DEFRA organic text, as a forum prints it"
# Rule of the house's list, row of table rules, its number and second number, numbers that its words must say, source, standing.
PRINTED = [
    ("3.3", "hot_compost_temp", 55, 77, "3 15 five", "7 CFR 205.203(c)(2)", "published"),
    ("3.5", "raw_manure_ready_to_eat_months", 12, None, "year six", "UK FSA, Managing farm manures", "from memory"),
    ("3.6", "rest_after_slurry_weeks", 4, 8, "eight", "UK guidance on manure and grazing", "from memory"),
    ("5.1", "copper_sheep_ppm", 15, None, "100 150-400 250-500", "In Practice 19 (1997) 503", "published"),
    ("5.4", "brassica_share", 0.5, 0.6, "7-10", "Roches Feeds (days from memory)", "published"),
    ("5.5", "fodder_beet_share", 0.008, None, "", "Feedipedia 534", "published"),
    ("5.6", "legume_bloat_share", 0.5, None, "", "half-legume rule of Montana State University", "from memory"),
    ("5.7", "grain_gorging", 50, 100, "200-300", "Merck Veterinary Manual", "from memory"),
    ("5.10", "mould_none", 5, 20, "", "EU 2002/32", "from memory"),
    ("5.11", "birth_feeding_weeks", 6, None, "", "Merck Veterinary Manual", "from memory"),
    ("7.6", "lamps_h", 16, None, "8", LAYERS, "published"),
    ("8.1", "electric_fence_pulse_j", 5, None, "500", "Eiderlandgeräte; IEC 60335-2-76", "published"),
    ("8.1", "electric_fence_gap_s", 1, None, "", "Eiderlandgeräte; IEC 60335-2-76", "published"),
    ("8.2", "electric_fence_two_m", 2.5, None, "", FENCE, "published"),
    ("8.3", "electric_fence_barbed_mm", 150, None, "", FENCE, "published"),
    ("8.4", "electric_fence_line_m", 3, 8, "3 1 4 33 8", FENCE, "published"),
    ("8.5", "electric_fence_sign_m", 90, 100, "100 200", "Eiderlandgeräte; Speedrite", "published"),
    ("8.6", "electric_fence_earth_m", 10, None, "", FENCE, "from memory"),
    ("8.7", "electric_fence_netting", 2, None, "", "usual on farms", "common practice"),
    ("9.1", "withdrawal_eggs_d", 10, None, "7 28", "EU 2019/6 article 115", "from memory"),
    ("9.2", "withdrawal_organic", 2, None, "", "EU 2018/848", "from memory"),
    ("9.6", "raw_milk_heat", 63, 72, "63 30 72 15 4", "Codex; Pasteurized Milk Ordinance", "from memory"),
    ("9.7", "slaughter_cool_red_c", 7, None, "3", "Reg. (EC) 853/2004", "from memory"),
    ("9.7", "slaughter_cool_poultry_c", 4, None, "", "Reg. (EC) 853/2004", "from memory"),
    ("9.8", "meat_temp_poultry", 74, None, "", "USDA FSIS", "from memory"),
    ("9.8", "meat_temp_pork", 63, 71, "3 71", "USDA FSIS", "from memory"),
    ("9.11", "housing_order_weeks", 16, None, "", "former EU label limit", "from memory"),
    ("9.13", "quarantine_d", 21, 28, "", "SCOPS; Merck", "from memory"),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "key", "number", "number_to", "said", "source", "standing"), PRINTED)
def test_a_rule_has_the_printed_number(
    outside: Outside,
    rule: str,
    key: str,
    number: float,
    number_to: float | None,
    said: str,
    source: str,
    standing: str,
) -> None:
    """Number, end of the range and standing are the print's; the sentence says the number, and the others that matter."""
    row = TABLES.row("rules", key)
    words = sentence(row.text("text"), row["number"], row.text("unit"))
    numbers = set(re.findall(r"[\w.-]*\w", words))

    outside.check_same(f"rule {rule}", f"{key.replace('_', ' ')}, {row.text('unit')}", source, standing, [float(number), number_to], [row["number"], row["number_to"]])  # fmt: skip
    assert row.text("st") in {standing, "from memory"}
    assert set(said.split()) <= numbers, (key, words)
    assert any(re.fullmatch(rf"{re.escape(f'{number:g}')}", one) for one in numbers) or str(number_to) in words


KEPT = [
    ("1.1", "stay_over", "rules.stay_worms_d", 4, "Farm and Dairy (Ohio State Extension author)", "from memory"),
    ("1.7", "height left behind, cm", "keeping.worm_tall_cm", 8, "Farm and Dairy; ATTRA", "published"),
    ("1.11", "turkeys off chickens' ground, years", "keeping.turkey_rest_y", 2, "Merck (1-3)", "from memory"),
    ("1.12", "pigs off a strip, years", "keeping.pig_rest_y", 3, "Merck (2-3, better 4)", "from memory"),
    ("2.9", "cow equivalents a hectare", "keeping.units_per_ha", 1.2, "grazing bulletins (1.0-1.4)", "from memory"),
    ("2.10", "poultry behind cattle, days", "keeping.hens_behind_cattle_d", 3, "leader and follower (3-4)", "common practice"),
    ("2.13", "ground a bird, m2", "keeping.range_m2", 10, "usual (4 is the least)", "from memory"),
    ("2.14", "nitrogen of manure, kg/ha", "rules.nitrogen_from_manure", 170, "91/676/EEC", "published"),
    ("5.1", "copper that sheep bear, mg/kg", "feed_rules.copper_sheep", 15, "In Practice 19 (1997) 503", "published"),
    ("5.4", "most brassica in a ration", "feed_rules.brassica_share", 0.5, "Roches Feeds (50-60 %)", "published"),
    ("5.5", "most fodder beet over live weight", "feed_rules.fodder_beet_share", 0.008, "Feedipedia 534", "published"),
    ("5.8", "raw beans", "feed_rules.raw_beans", 0, "FDA, Bad Bug Book; Feedipedia", "from memory"),
    ("7.1", "layers to a nest", "keeping.birds_per_nest", 7, "ruleworks.co.uk; ska.it", "published"),
    ("7.1", "perch a layer, cm", "keeping.perch_cm", 15, "ruleworks.co.uk; ska.it", "published"),
    ("7.1", "layers a square metre", "keeping.layers_m2", 9, "ruleworks.co.uk; ska.it", "published"),
    ("7.3", "table ducks, kg a square metre", "keeping.duck_kg_m2", 21, "EU 2020/464 I.IV.8", "published"),
    ("7.5", "pop-holes, m for 100 m2", "keeping.pop_hole_m_100m2", 4, LAYERS, "published"),
    ("7.10", "heat in a hutch, C", "keeping.hutch_heat_c", 29, "Missouri, beginning farming 2013 (85 F)", "published"),
    ("7.11", "no lone animals, heads", "rules.least_heads", 2, "welfare codes", "from memory"),
    ("9.15", "colonies lost in a winter, %", "keeping.bee_loss_pct", 24, "Apidologie 2015 (23.7)", "published"),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "what", "key", "number", "source", "standing"), KEPT)
def test_a_figure_of_keeping_is_the_printed_one(
    outside: Outside, rule: str, what: str, key: str, number: float, source: str, standing: str
) -> None:
    """The figure that a finding reads is the print's, at no higher standing than it was seen with."""
    figure = TABLES.figure(f"{key}.number")

    outside.check_same(f"rule {rule}", what, source, standing, float(number), figure.value)
    assert figure.standing in {standing, "from memory"}


# Rule, plant, number and second number of what harms or kills, source, standing; g/kg of live weight, leaves or per cent.
POISONS = [
    ("6.1", "yew", 0.5, 2, "Merck Veterinary Manual", "from memory"),
    ("6.2", "rhododendron", 2, 3, "Univ. of Illinois Library guide", "published"),
    ("6.3", "oleander", 1, 2, "Mythos Farm list; Merck", "published"),
    ("6.5", "prunus", 2.5, None, "farms.com table (a quarter pound for 100 lb)", "published"),
    ("6.6", "bracken", 20, 50, "farms.com; Pierce CD", "published"),
    ("6.7", "hemlock", 0.5, 4, "farms.com", "published"),
    ("6.8", "buttercup", 1, 3, "farms.com; Pierce CD", "published"),
    ("6.9", "soapwort", 3, None, "farms.com", "published"),
    ("6.10", "ragwort", 5, 25, "Merck Veterinary Manual", "from memory"),
]


@pytest.mark.parametrize(("rule", "plant", "number", "number_to", "source", "standing"), POISONS)
def test_a_poison_harms_at_the_printed_amount(
    outside: Outside, rule: str, plant: str, number: float, number_to: float | None, source: str, standing: str
) -> None:
    """Amount and standing are the print's."""
    row = TABLES.row("poison_plants", plant)

    outside.check_same(f"rule {rule}", f"{plant}, {row.text('unit')}", source, standing, [float(number), number_to], [row["number"], row["number_to"]])  # fmt: skip
    assert row.text("st") in {standing, "from memory"}
