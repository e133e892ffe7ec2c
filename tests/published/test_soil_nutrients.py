"""Phosphorus, potassium, pH and lime against published tables. Sources and standings stand beside each check."""

from __future__ import annotations

import pytest
from outside import Outside

from yardland.accounts.ground_flows import crop_content, good_content
from yardland.growth.fertility import lime, nutrients
from yardland.growth.fertility.figures import fertility_figure
from yardland.reference import load_tables

TABLES = load_tables()
PDA = "PDA 2020, Nutrients in crop material"
FAQ = "PDA 2009, FAQ about P and K"
STRAW_T_PER_T = 0.5
"""Straw that the leaflet counts with a tonne of winter wheat grain."""
ROUNDING_PCT = 1.5
"""The tables hold elements to two or three digits; the leaflet's oxides are rounded to halves."""


def oxides_kg(tonnes_p: float, tonnes_k: float) -> list[float]:
    """Elements as P2O5 and K2O."""
    return [tonnes_p * nutrients.OXIDE_PER_ELEMENT["p"], tonnes_k * nutrients.OXIDE_PER_ELEMENT["k"]]


def test_what_crops_carry_off(outside: Outside) -> None:
    """Winter wheat 8 t/ha with its straw, potatoes 40 t/ha, hay 5 t/ha (G76, published)."""
    wheat, straw = crop_content(TABLES, "winter_wheat"), good_content(TABLES, "straw_wheat")
    potato, hay = crop_content(TABLES, "potato"), crop_content(TABLES, "grass_clover")
    raked = STRAW_T_PER_T * 8.0
    got = [
        *oxides_kg(8.0 * wheat.p + raked * straw.p, 8.0 * wheat.k + raked * straw.k),
        *oxides_kg(40.0 * potato.p, 40.0 * potato.k),
        *oxides_kg(5.0 * hay.p, 5.0 * hay.k),
    ]
    what = "P2O5 and K2O, kg/ha: wheat 8 t with straw, potatoes 40 t, hay 5 t"

    outside.check_close("G76", what, PDA, "published", [56, 84, 40, 232, 29.5, 90], got, pct=ROUNDING_PCT)


def test_index_by_olsen_phosphorus(outside: Outside) -> None:
    """Readings and their indices (G78, published)."""
    known = nutrients.bands(TABLES, "p")
    got = [nutrients.band_of(known, mg_l).name for mg_l in (9, 10, 16, 20, 21, 25, 26, 45, 46)]
    what = "index of Olsen P 9, 10, 16, 20, 21, 25, 26, 45, 46 mg/l"

    outside.check_same(
        "G78",
        what,
        "NI Statutory Rule 2019/81, schedule 5",
        "published",
        ["0", "1", "2-", "2-", "2+", "2+", "3", "3", "4"],
        got,
    )


def test_index_by_potassium(outside: Outside) -> None:
    """Readings and their indices (AHDB RB209, from memory)."""
    known = nutrients.bands(TABLES, "k")
    got = [nutrients.band_of(known, mg_l).name for mg_l in (60, 61, 120, 121, 180, 181, 240, 241, 401)]
    what = "index of K 60, 61, 120, 121, 180, 181, 240, 241, 401 mg/l"

    outside.check_same(
        "K index", what, "AHDB RB209", "from memory", ["0", "1", "1", "2-", "2-", "2+", "2+", "3", "4"], got
    )


@pytest.mark.parametrize(("texture", "wanted"), [("sandy_clay_loam", 600.0), ("clay", 800.0), ("sand", 300.0)])
def test_potash_that_lifts_a_soil_by_sixty_milligrams(outside: Outside, texture: str, wanted: float) -> None:
    """600 kg K2O/ha on a sandy clay loam, some 800 on heavier soil, half as much on light sand (published)."""
    got = 60.0 * TABLES.row("soil_buffers", texture).need("k2o_kg_ha_per_mg_l")

    outside.check_close(
        "K build-up",
        f"K2O to lift {texture.replace('_', ' ')} by 60 mg/l, kg/ha",
        FAQ,
        "published",
        wanted,
        got,
        pct=1.0,
    )


def test_ten_years_at_sixty_kilograms_lift_potassium(outside: Outside) -> None:
    """An extra 60 kg K2O/ha a year lifts a sandy clay loam from the middle of index 1 to that of 2- in ten years (published)."""
    known = nutrients.bands(TABLES, "k")
    buffer = TABLES.row("soil_buffers", "sandy_clay_loam").need("k2o_kg_ha_per_mg_l")
    element = 60.0 / nutrients.OXIDE_PER_ELEMENT["k"]
    got = nutrients.reading_after(nutrients.middle_mg_l(known, 1), element, "k", buffer, 10)

    outside.check_close(
        "K build-up", "K after ten years of 60 kg K2O/ha from index 1, mg/l", FAQ, "published", 150.5, got, 1.0
    )


def test_phosphate_from_index_nought_to_two(outside: Outside) -> None:
    """128 kg P2O5/ha in each of five years lift a medium soil from index 0 to 2 (published; from middle to middle)."""
    known = nutrients.bands(TABLES, "p")
    buffer = TABLES.row("soil_buffers", "loam").need("p2o5_kg_ha_per_mg_l")
    got = nutrients.reading_after(
        nutrients.middle_mg_l(known, 0), 128.0 / nutrients.OXIDE_PER_ELEMENT["p"], "p", buffer, 5
    )
    what = "Olsen P after five years of 128 kg P2O5/ha from index 0, mg/l: inside index 2"

    outside.check_between("P build-up", what, "Tried & Tested 2015, Building up soil indices", "published", 16, 25, got)


def test_pounds_on_a_garden_as_tonnes_on_a_hectare(outside: Outside) -> None:
    """8 lb on 100 ft2, loam from pH 5.5 to 6.5, is 3.91 t/ha (G80, chart seen, converted)."""
    chart = lime.chart_of(TABLES, "loam")
    what = "ground limestone for loam from pH 5.5 to 6.5, t/ha"

    outside.check_close(
        "G80", what, "garden lime chart", "published", 3.91, lime.limestone_kg_ha(chart, 5.5, 6.5) / 1000.0, 0.01
    )


def test_best_and_target_ph(outside: Outside) -> None:
    """Crops 6.5 (6.7), grass 6.0 (6.2) on mineral soils (published)."""
    got = [
        fertility_figure(TABLES, key) for key in ("best_ph_arable", "aim_ph_arable", "best_ph_grass", "aim_ph_grass")
    ]

    outside.check_same(
        "pH",
        "best and target pH of crops, of grass",
        "AHDB RB209, soil pH and liming",
        "published",
        [6.5, 6.7, 6.0, 6.2],
        got,
    )


@pytest.mark.parametrize(
    ("ph", "drained_mm", "off_take_kg_ha"),
    [(6.5, 150.0, 60.0), (6.0, 400.0, 100.0), (6.5, 600.0, 150.0), (5.8, 750.0, 60.0)],
)
def test_lime_lost_in_a_year(outside: Outside, ph: float, drained_mm: float, off_take_kg_ha: float) -> None:
    """Dry and wet, arable and hay: the yearly loss lies in the handbook's 120 to 500 kg/ha (range published)."""
    got = lime.acid_load_kg_ha(ph, drained_mm, fertility_figure(TABLES, "lime_washed_out_kg_mm"), off_take_kg_ha)
    low, high = (fertility_figure(TABLES, f"lime_loss_{end}_kg_ha") for end in ("low", "high"))
    what = f"limestone lost, pH {ph:g}, {drained_mm:g} mm drained, {off_take_kg_ha:g} kg/ha taken off"

    outside.check_between("lime loss", what, "Growing Food: a guide to food production", "published", low, high, got)
