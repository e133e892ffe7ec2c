"""Crop figures for water, nitrogen, heat and standing losses: laws of the table, and published points of its curves."""

from __future__ import annotations

import math

import numpy as np
import pytest

from yardland.reference import Row, load_tables

TABLES = load_tables()
CROPS = TABLES.keys("crops")
SWARDS = TABLES.keys("swards")


def crop(key: str) -> Row:
    """A row of the crop table."""
    return TABLES.row("crops", key)


def critical_n_pct(row: Row, dm_t_ha: float) -> float:
    """Critical nitrogen (%) at a dry matter: a W^-b, constant under 1 t/ha."""
    return row.need("n_critical_a_pct") * math.pow(max(dm_t_ha, 1.0), -row.need("n_critical_b"))


@pytest.mark.parametrize("key", CROPS)
def test_basal_coefficients_lie_under_the_single_ones(key: str) -> None:
    """Without the soil's evaporation a crop takes less, and most in mid season. FAO-56 chapter 7, definition."""
    row = crop(key)

    for stage in ("ini", "mid", "end"):
        assert 0.1 <= row.need(f"kcb_{stage}") < row.need(f"kc_{stage}")
    assert 5 <= round(100 * (row.need("kc_mid") - row.need("kcb_mid"))) <= 10
    assert row.need("kcb_mid") > row.need("kcb_ini")
    assert row.need("kcb_mid") >= row.need("kcb_end")
    assert 0.1 < row.need("crop_height_m") <= 2.5


@pytest.mark.parametrize(("table", "key"), [("crops", key) for key in CROPS] + [("swards", key) for key in SWARDS])
def test_dilution_curves_keep_within_those_of_known_species(table: str, key: str) -> None:
    """Young crops are critical at 2-7 % nitrogen and dilute it with an exponent of 0.2-0.6. Common practice."""
    row = TABLES.row(table, key)

    assert 2 <= row.need("n_critical_a_pct") <= 7
    assert 0.2 <= row.need("n_critical_b") <= 0.6


@pytest.mark.parametrize("key", CROPS)
def test_only_legumes_take_nitrogen_from_the_air(key: str) -> None:
    """The share is over nothing for the crops that the table calls fixers, and for no other."""
    row = crop(key)

    assert 0 <= row.need("n_fixed_share") < 1
    assert (row.need("n_fixed_share") > 0) == (row.text("fixes_n") == "yes")


@pytest.mark.parametrize("key", [key for key in CROPS if crop(key).text("fixes_n") == "no"])
def test_a_good_crop_holds_the_nitrogen_that_its_harvest_takes_off(key: str) -> None:
    """What the handbook's middle yield carries away is less than the critical nitrogen of that crop's dry matter.

    The two columns come from different sources; the harvest of a crop that fixes none cannot hold more than the crop.
    """
    row = crop(key)
    dm_t_ha = row.need("typical_yield_mid_t_ha") * row.need("dry_matter_fraction") / row.need("harvest_index")
    held_kg_ha = 10 * dm_t_ha * critical_n_pct(row, dm_t_ha)

    assert 0.1 * held_kg_ha < row.need("typical_yield_mid_t_ha") * row.need("n_removal_kg_per_t") < held_kg_ha


@pytest.mark.parametrize("key", CROPS)
def test_heat_takes_few_flowers_before_it_takes_most(key: str) -> None:
    """Both points or neither; some degrees apart, and hotter than a fine summer day of a cool climate."""
    row = crop(key)
    tenth, most = row["flower_heat10_c"], row["flower_heat90_c"]

    assert (tenth is None) == (most is None)
    if tenth is not None and most is not None:
        assert 26 < tenth <= most - 5 <= 40


def test_crops_gathered_for_seed_or_fruit_have_heat_points() -> None:
    """Grain, pulses, oilseeds and fruit all set; roots and leaves do not depend on it."""
    setting = {key for key in CROPS if crop(key)["flower_heat10_c"] is not None}

    assert {key for key in CROPS if crop(key).text("canopy_group") == "fruit"} <= setting
    assert {"maize_grain", "sorghum", "pea_dry", "soybean", "sunflower", "oilseed_rape"} <= setting
    assert not setting & {"potato", "carrot", "cabbage", "lettuce", "onion", "grass_clover", "vetch"}


@pytest.mark.parametrize("key", CROPS)
def test_a_crop_within_its_standing_days_keeps_half_of_its_yield(key: str) -> None:
    """`stands_days` is how long a ripe crop may wait: at the daily loss at most half is gone by then."""
    row = crop(key)
    loss = row.need("standing_loss_pct_day")

    assert 0 < loss <= 12
    assert loss * row.need("stands_days") <= 50


@pytest.mark.parametrize("key", CROPS)
def test_only_leaf_crops_lose_cover_to_the_picker(key: str) -> None:
    """Fruit, pods, roots and what is cut once leave the cover whole."""
    share = crop(key).need("pick_cover_share")

    assert 0.5 < share <= 1
    assert share == 1 or crop(key).text("canopy_group") == "leaf"


def test_nitrogen_of_maize(outside) -> None:
    """Critical uptake of maize is 34 W^0.63 kg/ha from 1 to 22 t/ha, 3.40 % under that.

    Source: Plenet and Lemaire 2000, Plant and Soil 216: 65-82, abstract. Standing: published.
    """
    maize, dm_t_ha = crop("maize_grain"), np.array([1.0, 4.0, 10.0, 22.0])
    source = "Plenet and Lemaire 2000, abstract"
    got = [10 * dm * critical_n_pct(maize, dm) for dm in dm_t_ha]
    what = "critical nitrogen of maize at 1, 4, 10, 22 t/ha, kg/ha"
    outside.check_close("nitrogen", what, source, "published", 34 * dm_t_ha**0.63, got, 1e-6)
    what = "critical nitrogen of young maize, %"
    outside.check_close("nitrogen", what, source, "published", 3.40, critical_n_pct(maize, 0.3), 1e-9)


def test_nitrogen_of_tomato(outside) -> None:
    """Critical uptake of processing tomato is 45.3 W^0.673 kg/ha from 1.2 to 12.4 t/ha.

    Source: Tei, Benincasa and Guiducci 2002, abstract. Standing: published.
    """
    dm_t_ha = np.array([1.2, 6.0, 12.4])
    got = [10 * dm * critical_n_pct(crop("tomato"), dm) for dm in dm_t_ha]
    what = "critical nitrogen of tomato at 1.2, 6, 12.4 t/ha, kg/ha"
    source = "Tei, Benincasa and Guiducci 2002, abstract"
    outside.check_close("nitrogen", what, source, "published", 45.3 * dm_t_ha**0.673, got, 1e-6)


def test_nitrogen_of_lettuce(outside) -> None:
    """Crisphead lettuce of 2.5 t/ha dry matter needs 80 kg of nitrogen.

    Source: Conversa and Elia 2019, Agronomy 9(11): 681, abstract. Standing: published (rounded there).
    """
    got = 25 * critical_n_pct(crop("lettuce"), 2.5)
    what = "critical nitrogen of lettuce at 2.5 t/ha, kg/ha"
    outside.check_close("nitrogen", what, "Conversa and Elia 2019, abstract", "published", 80, got, pct=3)


def test_nitrogen_of_cabbage(outside) -> None:
    """At 1.5 t/ha, where its curve begins, white cabbage is at the 4.5 % of the young crop.

    Source: Ekbladh and Witter 2010, European Journal of Agronomy 33: 276-284, abstract. Standing: published.
    """
    got = critical_n_pct(crop("cabbage"), 1.5)
    what = "critical nitrogen of cabbage at 1.5 t/ha, %"
    outside.check_close("nitrogen", what, "Ekbladh and Witter 2010, abstract", "published", 4.5, got, 0.05)


def test_nitrogen_of_grass(outside) -> None:
    """Grass follows the reference curve of C3 species, 48 W^-0.32 g/kg.

    Source: Errecart and others 2014, Crop Science 54, abstract. Standing: published.
    """
    sward = TABLES.row("swards", "grass-clover")
    got = [10 * critical_n_pct(sward, dm_t_ha) for dm_t_ha in (1.0, 2.0, 5.0)]
    what = "critical nitrogen of grass at 1, 2, 5 t/ha, g/kg"
    source = "Errecart and others 2014, abstract"
    outside.check_close("nitrogen", what, source, "published", [48.0, 38.45, 28.68], got, 0.02)


def test_nitrogen_from_the_air(outside) -> None:
    """On poor soil a pulse fixes as the better fields do: the mean of all measurements and one standard deviation.

    Source: Peoples, Giller, Jensen and Herridge 2021, Plant and Soil 461: 1-14, abstract. Standing: published.
    """
    measured = {
        "broad_bean": (74, 11.8),
        **dict.fromkeys(("pea_dry", "lentil", "chickpea", "vetch"), (62, 13.4)),
        "dry_bean": (38, 11.1),
        "soybean": (61, 14.0),
    }
    expected = [(mean + spread) / 100 for mean, spread in measured.values()]
    got = [crop(key).need("n_fixed_share") for key in measured]
    names = ", ".join(crop(key).text("common_name").lower() for key in measured)
    what = f"nitrogen from the air in {names}, mean and one deviation, share"
    outside.check_close("nitrogen", what, "Peoples and others 2021, abstract", "published", expected, got, 0.006)


@pytest.mark.parametrize(
    ("name", "keys", "none_c", "all_c", "source"),
    [
        ("wheat", ("winter_wheat", "spring_wheat"), 24, 35, "Prasad and Djanaguiraman 2014, abstract"),
        ("sorghum", ("sorghum",), 25, 37, "Prasad and others 2015, abstract"),
    ],
)
def test_florets_of_wheat_and_sorghum(
    outside, name: str, keys: tuple[str, ...], none_c: float, all_c: float, source: str
) -> None:
    """Florets fail by the square of the mean's rise over a threshold, all of them at the upper temperature.

    Source: Prasad and Djanaguiraman 2014 (wheat), Prasad and others 2015 (sorghum), abstracts. Standing: published; that
    the day maximum is 5 C above the mean is ours.
    """
    got = [
        ((crop(key).need(column) - 5 - none_c) / (all_c - none_c)) ** 2
        for key in keys
        for column in ("flower_heat10_c", "flower_heat90_c")
    ]
    what = f"florets of {name} lost at the table's tenth and nine tenths, share"
    outside.check_close("heat", what, source, "published", [0.1, 0.9] * len(keys), got, 0.01)


def test_tomatoes_in_heat(outside) -> None:
    """Tomatoes set less from 90 F by day; three hours of 103 F on two days running end the set.

    Source: extension notes of North Carolina and Maryland. Standing: published.
    """
    tomato = crop("tomato")
    got = [1.8 * tomato.need(column) + 32 for column in ("flower_heat10_c", "flower_heat90_c")]
    what = "days at which tomatoes set less, and none, F"
    source = "extension notes of North Carolina and Maryland"
    outside.check_close("heat", what, source, "published", [90, 103], got, 0.9)


@pytest.mark.parametrize(
    ("keys", "rates_pct_day"),
    [
        (("winter_barley", "spring_barley"), (0.67, 0.75, 0.46, 0.65, 0.42, 0.25)),
        (("winter_wheat", "spring_wheat"), (0.53, 0.49, 0.53, 0.18, 0.0, 0.0)),
    ],
)
def test_ripe_cereals_left_standing(outside, keys: tuple[str, ...], rates_pct_day: tuple[float, ...]) -> None:
    """The daily loss is the mean of three years and of the cultivars of a trial.

    Source: Bolland 1984, Australian Journal of Experimental Agriculture 24: 391-395, abstract. Standing: published.
    """
    mean = round(float(np.mean(rates_pct_day)), 4)
    got = [crop(key).need("standing_loss_pct_day") for key in keys]
    what = f"daily loss of ripe {keys[0].partition('_')[2]} left standing, winter and spring, %"
    outside.check_close("standing", what, "Bolland 1984, abstract", "published", [mean, mean], got, 0.005)


def test_potatoes_come_up(outside) -> None:
    """Three weeks after planting into soil of 10 C and rising; a month at 10 C.

    Source: University of Nebraska, CropWatch (three weeks, longer in the cold); a month in a cool spring is common practice.
    Base of 2 C: Sale 1979, abstract. Standing: published base, sum set by judgement.
    """
    potato = crop("potato")
    outside.check_same(
        "emergence", "base of potato sprouts, C", "Sale 1979, abstract", "published", 2.0, potato.need("base_temp_c")
    )
    got = [potato.need("gdd_emergence") / (soil_c - 2) for soil_c in (13.5, 10.0)]
    what = "days to emergence of potato at 13.5 and 10 C"
    source = "Univ. of Nebraska, CropWatch (three weeks, longer in the cold)"
    outside.check_close("emergence", what, source, "common practice", [21, 30], got, 1)


def test_grass_grows_at_full_pace_within_its_best_range(outside) -> None:
    """Ryegrass grows best at 15-20 C: full pace begins there, and does not fall before its end.

    Source: Woolpro (New Zealand), Principles of pasture growth. Standing: published.
    """
    swards = [TABLES.row("swards", key) for key in ("grass-clover", "permanent pasture")]
    got = [sward.need("full_temp_c") for sward in swards]
    what = "full pace of grass-clover and permanent pasture from, C"
    source = "Woolpro, Principles of pasture growth"
    outside.check_between("grass", what, source, "published", 15, 20, got)
    assert all(sward.need("falls_from_c") >= 20 for sward in swards)


def test_organic_matter_is_medium_for_the_texture(outside) -> None:
    """The default is the middle of the band that a soil laboratory calls medium.

    Source: Rutgers University, Soil Testing Laboratory, organic matter levels. Standing: published.
    """
    bands = {"loamy_sand": (1, 1.5), "sandy_loam": (1.5, 2), "loam": (2, 3), "silt_loam": (2.5, 4), "clay": (2.5, 4)}
    got = [TABLES.row("soils", texture).need("organic_matter_pct") for texture in bands]
    what = "organic matter of loamy sand, sandy loam, loam, silt loam, clay, middle of medium, %"
    source = "Rutgers University, Soil Testing Laboratory"
    outside.check_close("soil", what, source, "published", [sum(band) / 2 for band in bands.values()], got, 1e-9)


def test_bulk_density_and_saturation_fill_the_soil(outside) -> None:
    """Solids of 2.65 t/m3 and the pores that saturation fills make one cubic metre. Saxton and Rawls 2006."""
    rows = [TABLES.row("soils", texture) for texture in TABLES.keys("soils")]
    got = [row.need("bulk_density_t_m3") / 2.65 + row.need("saturation") for row in rows]
    what = "solids of 2.65 t/m3 and pores of each texture, m3/m3"
    outside.check_close("soil", what, "Saxton and Rawls 2006", "identity", 1.0, got, 0.002)


def test_carbon_over_nitrogen_of_cultivated_soil(outside) -> None:
    """10, from 8 to 15, for cropland (IPCC 2006, volume 4). Standing: from memory."""
    got = TABLES.row("growth", "soil_cn_ratio").need("number")
    outside.check_between(
        "soil", "carbon over nitrogen of cultivated soil", "IPCC 2006, volume 4", "from memory", 8, 15, got
    )
