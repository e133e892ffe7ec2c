"""Nitrogen of manure and compost against published tables; source and standing stand in every check."""

from __future__ import annotations

import numpy as np
import pytest
from stock_kit import group, year_of

from yardland.growth.dressing import Analysis, spread
from yardland.growth.layout import Layout, Planting, Strip
from yardland.holding.model import Holding, MonthDay, Place, PlantingRow, Plot
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.season.dressings import analysis_of, balance_straw_kg, collect, heap_year, kept_share, straw_of

TABLES = load_tables()
KG_PER_LB = 0.45359237
ACRE_M2 = 4046.8564224
SHORT_TON_KG = 907.18474


def heap_of(**heads: int):
    """The stored manure of one group, by mass balance."""
    holding = Holding(
        folder=".",
        place=Place(name="x", latitude_deg=52, longitude_deg=0, country="GB", year_starts=MonthDay(1, 1)),
        people={},
        plot={"yard": Plot(use="yard", area_m2=100)},
        group={"herd": group(heads=heads)},
    )
    return collect(holding, TABLES, year_of(holding.group))[0]


RB209 = "Defra, Fertiliser Manual RB209, farmyard manure"


@pytest.mark.parametrize(
    ("species", "klass", "n_kg_t", "ready_kg_t", "pct"),
    [
        ("cattle", "dairy_cow_small", 6.0, 0.6, 15),
        ("sheep", "ewe", 7.0, 0.7, 35),
        ("pig", "sow", 7.0, 1.0, 35),
    ],
)
def test_farmyard_manure_of_the_fertiliser_manual(outside, species, klass, n_kg_t, ready_kg_t, pct) -> None:
    """Stored farmyard manure holds 6.0 to 7.0 kg N/t, a tenth to a seventh of it ready (RB209; published).

    Ours comes from excretion, bedding and losses: a balance of other sources, so the tolerance is wide.
    """
    stored = analysis_of(TABLES, heap_of(**{klass: 1}), "raw manure")
    outside.check_close(
        "M1", f"{species}: nitrogen of stored manure, kg/t", RB209, "published", n_kg_t, stored.n_g_kg, pct=pct
    )
    outside.check_close(
        "M2", f"{species}: ready share of it", RB209, "published", ready_kg_t / n_kg_t, stored.ready_share, 0.005
    )


def test_poultry_manure_is_ready_by_a_third_to_a_half(outside) -> None:
    """30-50 % of the nitrogen of 121 poultry manures was ready (Nicholson and others 1996; published)."""
    got = analysis_of(TABLES, heap_of(laying_hen=10), "raw manure").ready_share
    outside.check_between(
        "M3", "hens: ready share of stored manure", "Nicholson and others 1996", "published", 0.3, 0.5, got
    )


def test_hens_nitrogen_at_spreading(outside) -> None:
    """13.46 kg N/t as excreted leave 9.23 at spreading: 0.559 and 0.383 kg a hen and year (USDA-NRCS; published).

    The house's loss in the table is chosen so; the heap's is that of cattle manure.
    """
    lost = 1 - (1 - TABLES.row("manures", "chicken").need("house_loss")) * (
        1 - TABLES.row("manuring", "stored_n_loss").need("value")
    )
    outside.check_close(
        "G75", "hens: nitrogen left at spreading, of that excreted", "USDA-NRCS manure table", "published",
        18.46 / 26.93, 1 - lost, pct=1,
    )  # fmt: skip


def test_ammonium_kept_by_days_and_weather(outside) -> None:
    """Ammonium nitrogen kept until it is dug in (Alberta 2006, table 4.3.4; published): days 1, 3, 5 and never."""
    hot = {"tmin_c": np.full(12, 15.0), "tmax_c": np.full(12, 29.0), "rain_mm": np.zeros(12), "eto_mm": np.ones(12)}
    raw = {"tmin_c": np.full(12, 1.0), "tmax_c": np.full(12, 9.0), "rain_mm": np.ones(12), "eto_mm": np.ones(12)}
    source = "Alberta, Nutrient Management Planning Guide, table 4.3.4"
    got = [TABLES.row("ammonia_kept", f"day_{day}").need("average") for day in (1, 3, 5, 6)]
    outside.check_close("M5", "kept on average after 1, 3, 5 days and never dug in", source, "published", [0.75, 0.65, 0.55, 0.34], got, 0.0)  # fmt: skip
    outside.check_close("M5", "kept for a day, warm and dry", source, "published", 0.5, kept_share(TABLES, 6, hot), 0.0)
    outside.check_close("M5", "kept for a day, cool and wet", source, "published", 0.9, kept_share(TABLES, 1, raw), 0.0)


def test_organic_nitrogen_of_the_course(outside) -> None:
    """10 short tons an acre at 5 lb organic N a ton and 35 % release: 17.5 lb an acre (Cornell CSS 412; published)."""
    analysis = Analysis(5 * KG_PER_LB / SHORT_TON_KG * 1000, 0, 0, 0, ready_share=0.0, released_share=0.35)
    item = spread("p", "f", "raw manure", analysis, kg=10 * SHORT_TON_KG, area_m2=ACRE_M2, kept_share=1.0)
    lb_acre = item.fresh_n_kg_ha / 10_000 * ACRE_M2 / KG_PER_LB
    outside.check_close(
        "M6", "organic nitrogen of the first season, lb/acre", "Cornell CSS 412", "published", 17.5, lb_acre, 0.01
    )


def test_first_year_of_farmyard_manure(outside) -> None:
    """25 t/ha of manure at 4.5 kg N/t gives 112.5 kg N/ha, 30 % of it in the first year (Irish regulations 2017; published).

    RB209's 10 to 15 % for the next crop is lower: that is what a fertiliser would have done by harvest, ours all that
    comes free within a year.
    """
    row = TABLES.row("manures", "cattle")
    analysis = Analysis(4.5, 1.2, 5.0, 90.0, row.need("ready_share"), row.need("released_share"))
    item = spread(
        "p", "f", "raw manure", analysis, kg=25_000.0, area_m2=10_000.0, kept_share=kept_share(TABLES, 3, None)
    )
    source = "Irish nitrates regulations 2017, as told by Farming Independent"
    outside.check_close("M7", "nitrogen of 25 t/ha, kg/ha", source, "published", 112.5, item.n_total_kg_ha, 0.01)
    outside.check_close(
        "M7", "of it free in the first year, kg/ha", source, "published", 33.75, item.mineral_n_kg_ha + item.fresh_n_kg_ha, pct=5,
    )  # fmt: skip


@pytest.mark.parametrize(("species", "theirs"), [("cattle", 0.47), ("chicken", 0.52)])
def test_three_years_of_manure(outside, species, theirs) -> None:
    """47 % of feedlot manure's and 52 % of poultry litter's nitrogen in three years (University of Nebraska; published).

    Ours with 12 and 5 % of the organic nitrogen in the second and third year (Cornell CSS 412; published).
    """
    row = TABLES.row("manures", species)
    ready = row.need("ready_share")
    got = ready * kept_share(TABLES, 3, None) + (1 - ready) * (row.need("released_share") + 0.12 + 0.05)
    outside.check_close("M8", f"{species}: free in three years, of all nitrogen", "University of Nebraska-Lincoln, water.unl.edu", "published", theirs, got, 0.05)  # fmt: skip


def test_losses_of_heaps(outside) -> None:
    """Turned heaps lose 33 % of their nitrogen, stockpiled 21 % (Shah and others 2015), 19-42 % (Eghball 1997); published."""
    turned = TABLES.row("manuring", "composted_n_loss").need("value")
    carbon = TABLES.row("manuring", "composted_c_loss").need("value")
    lain = TABLES.row("manuring", "stored_n_loss").need("value")
    outside.check_close("M9", "nitrogen lost from a stockpiled and a turned heap", "Shah and others 2015", "published", [0.21, 0.33], [lain, turned], 0.0)  # fmt: skip
    outside.check_between(
        "M9", "nitrogen lost in composting", "Eghball and others 1997", "published", 0.19, 0.42, turned
    )
    outside.check_between("M9", "carbon lost in composting", "Eghball and others 1997", "published", 0.46, 0.62, carbon)


def test_the_mix_of_a_heap_by_the_published_equation(outside) -> None:
    """50 lb hay (40 % C, 1 % N) + 10 lb scraps (10, 1) + 2 lb coffee (25, 1): C:N 34.7 (Cornell; published): 21.5 over 0.62.

    Our equation of straw for a heap too rich, put back into the mix, gives the aim again.
    """
    carbon, nitrogen = 50 * 0.40 + 10 * 0.10 + 2 * 0.25, 0.01 * (50 + 10 + 2)
    outside.check_close("G04", "C:N of hay, scraps and coffee", "Cornell Waste Management Institute", "published", 34.7, carbon / nitrogen, 0.05)  # fmt: skip
    straw = balance_straw_kg(TABLES, 17.0, 1.0)
    more = straw_of(TABLES, straw)
    outside.check_close("G05", "C:N of a heap of 17 with the straw that is told", "identity", "identity", 25.0, (17.0 + more["c"]) / (1.0 + more["n"]), 1e-9)  # fmt: skip
    assert balance_straw_kg(TABLES, 30.0, 1.0) == 0.0


def test_the_directive_in_hens(outside) -> None:
    """170 kg N/ha (91/676/EEC, Annex III; published) is about 300 hens a hectare by nitrogen as excreted."""
    limit = TABLES.row("rules", "nitrogen_from_manure").need("number")
    outside.check_close("M10", "limit of manure nitrogen, kg/ha", "EU Nitrates Directive 91/676/EEC", "published", 170, limit, 0.0)  # fmt: skip
    per_hen = TABLES.row("stock", "laying_hen").need("manure_n_g_d") * 0.365
    assert limit / per_hen == pytest.approx(300, rel=0.1)


def test_a_dressed_hectare_balances_by_hand(outside) -> None:
    """A cow's year by hand: excreted, half under a roof, 12 % and 21 % lost, straw added, all of it spread on a hectare."""
    rows = (PlantingRow(line=2, plot="field", crop="potato", dressing="raw manure 60 t/ha"),)
    holding = Holding(
        folder=".",
        place=Place(name="x", latitude_deg=52, longitude_deg=0, country="GB", year_starts=MonthDay(1, 1)),
        people={},
        plot={"field": Plot(use="crops", area_m2=10_000), "yard": Plot(use="yard", area_m2=100)},
        group={"cow": group(heads={"dairy_cow_small": 1})},
        plantings=rows,
    )
    strip = Strip("s", "field", 10_000, (Planting("p", "field", "potato", "", 2, 90, 110, 300, 301, 1, ""),))
    herd = year_of(holding.group)
    got = heap_year(holding, TABLES, herd, Layout((strip,)), larder_months(2001, 1))
    cow = TABLES.row("stock", "dairy_cow_small")
    n = cow.need("manure_n_g_d") * 0.365
    housed = TABLES.row("husbandry", "housed_share_yard").need("value")
    by_hand = (housed * n * 0.88 + housed * 365 * 3.5 * 0.9 * 0.005) * 0.79
    outside.check_close("M11", "a cow's manure on a hectare, kg N", "worked by hand", "identity", by_hand, got.dressings[0].n_total_kg_ha, 1e-9)  # fmt: skip
