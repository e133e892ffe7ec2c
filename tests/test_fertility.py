"""The soil by the year: the laws its methods keep, and what the demonstration holdings' soils say."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from conftest import demo_year
from hypothesis import given
from hypothesis import strategies as st

from yardland.accounts.ground_nitrogen import SoilNitrogen
from yardland.accounts.ground_year import PlotSoil, SoilNutrient
from yardland.findings import cautions, soil
from yardland.findings.context import Context
from yardland.growth.fertility import carbon, lime, nutrients
from yardland.growth.heat import rot_pace
from yardland.larderyear.ground_json import ground_json
from yardland.larderyear.result import YearResult
from yardland.ledger.units import M2_PER_HA
from yardland.reference import load_tables
from yardland.report.soil import HEADER, soil_table

TABLES = load_tables()
RATES = carbon.turnover(TABLES)


def year_of_input(plots: int, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Pace [plots, 12], clay [plots] and inputs [plots, 12, 4], drawn."""
    dice = np.random.default_rng(seed)
    return dice.uniform(0.05, 3.0, (plots, 12)), dice.uniform(2.0, 60.0, plots), dice.uniform(0.0, 0.8, (plots, 12, 4))


@given(seed=st.integers(0, 1000))
def test_no_carbon_is_made_or_lost(seed: int) -> None:
    """Pools at the start and what is added are the pools at the end and the gas, in every plot."""
    pace, clay, added = year_of_input(3, seed)
    start = np.random.default_rng(seed + 1).uniform(0.0, 40.0, (3, 4))
    ends, gas = carbon.run_months(start, pace, clay, added, RATES)
    come, left = start.sum(axis=-1) + added.sum(axis=(1, 2)), ends[:, -1].sum(axis=-1) + gas.sum(axis=-1)

    assert come == pytest.approx(left, rel=1e-12)
    assert (ends >= 0).all()
    assert (gas >= 0).all()


def test_lanes_and_plots_are_stepped_as_each_alone() -> None:
    """An array of lanes and plots gives what each gives by itself."""
    pace, clay, added = year_of_input(6, 7)
    start = np.random.default_rng(3).uniform(0.0, 40.0, (2, 3, 4))
    shaped = (pace.reshape(2, 3, 12), clay.reshape(2, 3), added.reshape(2, 3, 12, 4))
    together, _ = carbon.run_months(start, *shaped, RATES)
    for lane in range(2):
        for plot in range(3):
            alone, _ = carbon.run_months(
                start[lane, plot], shaped[0][lane, plot], shaped[1][lane, plot], shaped[2][lane, plot], RATES
            )

            assert together[lane, plot] == pytest.approx(alone, rel=1e-12)


@given(seed=st.integers(0, 1000), stock=st.floats(10.0, 180.0))
def test_a_soil_opened_at_rest_stays_at_rest(seed: int, stock: float) -> None:
    """The pools found without a run add up to the stock, and a year of the input that holds them ends as it began."""
    pace, clay, added = year_of_input(2, seed)
    pools, hold = carbon.opening_pools_t_ha(np.full(2, stock), pace, clay, added, RATES)
    scale = hold / added.sum(axis=(1, 2))
    ends, _ = carbon.run_months(pools, pace, clay, added * scale[:, None, None], RATES)

    assert pools.sum(axis=-1) + carbon.inert_t_ha(stock) == pytest.approx(stock)
    assert ends[:, -1] == pytest.approx(pools, rel=1e-9)


def test_ground_frozen_all_year_keeps_its_carbon() -> None:
    """Where nothing rots any pools would stand: those of barely rotting ground are taken, in the sum of the carbon."""
    pace = np.stack([np.zeros(12), np.full(12, 1e-20)])
    pools, hold = carbon.opening_pools_t_ha(np.full(2, 60.0), pace, np.full(2, 20.0), year_of_input(2, 1)[2], RATES)
    ends, gas = carbon.run_months(pools, pace, np.full(2, 20.0), np.zeros((2, 12, 4)), RATES)

    assert np.allclose(pools.sum(axis=-1) + carbon.inert_t_ha(60.0), 60.0)
    assert np.allclose(ends[:, -1], pools)
    assert (pools >= 0.0).all()
    assert (hold >= 0.0).all()
    assert (hold < 0.01).all()
    assert np.allclose(gas, 0.0)


def test_a_long_run_ends_where_the_equations_say() -> None:
    """Two thousand years of one year's inputs end at the pools that are solved for."""
    pace, clay, added = year_of_input(1, 11)
    state = np.zeros((1, 4))
    for _ in range(2000):
        state = carbon.run_months(state, pace, clay, added, RATES)[0][:, -1]

    assert state == pytest.approx(carbon.steady_pools_t_ha(pace, clay, added, RATES), rel=1e-6)


def test_bare_ground_dries_less_and_keeps_what_it_lacks() -> None:
    """Bare, the deficit stops at its own limit; ground that was drier when it was bared stays as dry."""
    rain, dry = np.zeros(12), np.full(12, 40.0)
    greatest = float(carbon.greatest_deficit_mm(20.0))
    bare = carbon.moisture_deficit_mm(rain, dry, 20.0, covered=np.zeros(12, dtype=bool))
    bared = carbon.moisture_deficit_mm(rain, dry, 20.0, covered=np.arange(12) < 6)

    assert bare == pytest.approx(greatest / 1.8)
    assert bared == pytest.approx(greatest)


def test_frozen_ground_and_dust_do_not_stop_the_reckoning() -> None:
    """The temperature function is nothing under its pole and rises above it; no overflow on the way."""
    with np.errstate(all="raise", under="ignore"):
        pace = rot_pace(np.linspace(-60.0, 45.0, 400))

    assert (np.diff(pace) >= 0).all()
    assert pace[0] == 0.0


@given(reading=st.floats(0.0, 300.0), surplus=st.floats(-80.0, 80.0), name=st.sampled_from(nutrients.NUTRIENTS))
def test_a_band_is_left_when_it_is_said(reading: float, surplus: float, name: str) -> None:
    """A little before the year named the reading is still in its band, a little after it is in another."""
    known = nutrients.whole_indices(nutrients.bands(TABLES, name))
    years = nutrients.years_to_next_band(known, reading, surplus, name, 40.0)
    if not math.isfinite(years) or abs(surplus) < 1e-3:
        return
    now = nutrients.band_of(known, reading)
    before, after = (nutrients.reading_after(reading, surplus, name, 40.0, years + d) for d in (-0.01 * years, 0.01))

    assert nutrients.band_of(known, before) == now
    assert nutrients.band_of(known, after + math.copysign(1e-6, surplus)) != now


def test_bands_follow_each_other_without_a_gap() -> None:
    """Each band of each nutrient starts a milligram above the one before it."""
    for name in nutrients.NUTRIENTS:
        known = nutrients.bands(TABLES, name)

        assert [band.from_mg_l for band in known[1:]] == [band.to_mg_l + 1 for band in known[:-1]]
        assert [band.index for band in known] == sorted(band.index for band in known)


@given(start=st.floats(4.2, 6.9), step=st.floats(0.0, 0.9), more=st.floats(0.0, 0.9))
def test_lime_in_two_steps_is_lime_in_one(start: float, step: float, more: float) -> None:
    """From a to b and from b to c takes what a to c takes; heavier soil takes more."""
    light, heavy = lime.chart_of(TABLES, "sandy_loam"), lime.chart_of(TABLES, "clay")
    middle, end = start + step, start + step + more
    whole = lime.limestone_kg_ha(light, start, end)

    assert lime.limestone_kg_ha(light, start, middle) + lime.limestone_kg_ha(light, middle, end) == pytest.approx(whole)
    assert lime.limestone_kg_ha(heavy, start, end) >= whole - 1e-9
    assert lime.limestone_kg_ha(light, end, start) == 0.0


def test_a_soil_sours_ever_slower_and_says_when_lime_is_due() -> None:
    """Without lime the pH falls, less each year on one slope of the chart; the year named is where it passes the best."""
    chart = lime.chart_of(TABLES, "loam")
    course = lime.ph_by_year(chart, 7.0, lime.Souring(400.0, 0.6, 0.0), 40)
    falls = -np.diff([7.0, *course])
    years = lime.years_to_ph(course, 7.0, 6.5)
    place = int(years)

    assert (falls > 0).all()
    assert falls[5] < falls[0]
    assert ([7.0, *course][place]) >= 6.5 > course[place]
    assert lime.years_to_ph(course, 6.0, 6.5) == 0.0
    assert lime.years_to_ph([7.0] * 5, 7.0, 6.5) == math.inf


def test_every_crop_of_the_tables_has_its_soil_figures() -> None:
    """Each crop has its least pH, roots and bases; each straw and fruit that a plot can give has its content."""
    from yardland.accounts.ground_flows import crop_content, good_content

    assert set(TABLES.keys("crop_soil")) == set(TABLES.keys("crops"))
    for crop in TABLES.keys("crops"):
        assert crop_content(TABLES, crop).k > 0
        straw = TABLES.row("crops", crop).text("straw_good")
        assert not straw or good_content(TABLES, straw).k > 0
    for tree in TABLES.keys("trees"):
        assert good_content(TABLES, TABLES.row("trees", tree).text("good")).k > 0
    assert {TABLES.row("soils", key).key for key in TABLES.keys("soils")} == set(TABLES.keys("soil_buffers"))


def test_what_is_spread_and_dropped_arrives_on_the_plots(year_result: YearResult) -> None:
    """Phosphorus and carbon of all dressings, and phosphorus of all droppings, are those of the plots' balances."""
    area = {one.planting: one.area_m2 / M2_PER_HA for one in year_result.plantings}
    hectares = {one.plot: one.area_m2 / M2_PER_HA for one in year_result.soils}
    spread = [one for one in year_result.heap.dressings if one.planting in area]
    dressed = sum(one.phosphorus.dressed * hectares[one.plot] for one in year_result.soils)
    carbon_t = sum(one.carbon.added["dressings"] * hectares[one.plot] for one in year_result.soils)
    dropped = sum(
        float(one.p_kg_ha.sum()) * hectares[one.plot] for one in year_result.droppings if one.plot in hectares
    )

    assert dressed == pytest.approx(sum(one.p_kg_ha * area[one.planting] for one in spread))
    assert carbon_t * 1000.0 == pytest.approx(sum(one.c_kg_ha * area[one.planting] for one in spread))
    assert sum(one.phosphorus.dropped * hectares[one.plot] for one in year_result.soils) == pytest.approx(dropped)


def test_what_leaves_the_plots_is_what_was_gathered(year_result: YearResult) -> None:
    """Potassium carried off all plots is the gathered and grazed mass at its content: no flow is counted twice or lost.

    Leavings that are offered at a trough are apart: what of them nobody eats stays on its bed.
    """
    hectares = {one.plot: one.area_m2 / M2_PER_HA for one in year_result.soils}
    taken = sum(one.potassium.taken * hectares[one.plot] for one in year_result.soils)
    main = {f"crop:{one.planting}": (one.crop, one.good) for one in year_result.plantings}
    wood = {f"trees:{one.fruit}": one.plot for one in year_result.trees}
    hay = {
        "grazing_grass": "grass_clover",
        "hay_grass": "grass_clover",
        "grazing_lucerne": "alfalfa",
        "hay_lucerne": "alfalfa",
    }
    total = 0.0
    for index, arc in enumerate(year_result.ledger.arcs):
        if arc.kind not in ("gather", "graze") or arc.source.startswith(("herd:", "leavings:")):
            continue
        fresh_t = float(year_result.ledger.fresh_kg[index].sum()) / 1000.0
        dm_t = float(year_result.ledger.dm_kg[index].sum()) / 1000.0
        if arc.source in main and main[arc.source][1] == arc.good:
            total += fresh_t * TABLES.row("crops", main[arc.source][0]).need("k_removal_kg_per_t")
        elif TABLES.has("off_takes", arc.good):
            total += fresh_t * TABLES.row("off_takes", arc.good).need("k_removal_kg_per_t")
        elif arc.good in hay:
            total += dm_t / 0.86 * TABLES.row("crops", hay[arc.good]).need("k_removal_kg_per_t")
        elif wood.get(arc.source) in hectares:
            good = TABLES.row("goods", arc.good)
            total += (
                fresh_t
                * good.need("edible_fraction")
                * (TABLES.row("foods", good.text("food"))["potassium_mg"] or 0)
                / 100
            )

    assert taken == pytest.approx(total, rel=1e-6)
    assert total > 10.0


def test_the_page_and_the_data_tell_every_farmed_plot(year_result: YearResult) -> None:
    """JSON and table have a row for each plot of crops, garden, grass and orchard; each cell is explained."""
    farmed = [
        name for name, plot in year_result.holding.plot.items() if plot.use in ("crops", "garden", "grass", "orchard")
    ]
    table = soil_table(year_result)

    assert [one["plot"] for one in ground_json(year_result)] == farmed
    assert list(year_result.frames()["ground"]["phosphorus_balance_kg_ha"]) == [
        pytest.approx(one.phosphorus.balance) for one in year_result.soils
    ]
    assert len(table.rows) == len(farmed)
    for row, keys in zip(table.rows, table.keys, strict=True):
        assert len(row) == len(HEADER) == len(keys)
        assert all(key in year_result.why for key in keys[3:])
        assert all(key in year_result.why or not key for key in keys[1:3])  # no nitrogen where nothing was sown


def changed(result: YearResult, **parts: object) -> Context:
    """The context of a result whose first soil has other parts and stands alone."""
    one = replace(result.soils[0], **parts)  # type: ignore[arg-type]
    return Context(replace(result, soils=(one,)), load_tables())


def nutrient(index: int | None, balance: float, ahead: str | None) -> SoilNutrient:
    """A nutrient with a balance."""
    reading = None if index is None else 15.0
    return SoilNutrient(max(-balance, 0.0), max(balance, 0.0), 0.0, index, reading, reading, ahead)


@pytest.mark.parametrize(
    ("index", "balance", "ahead", "grades"),
    [
        (0, -20, "0", ["tight"]),
        (1, -20, "0", ["tight"]),
        (1, 5, "1", []),
        (2, -20, "1", ["note"]),
        (2, -20, "2-", []),
        (None, -20, None, []),
    ],
)
def test_mining_is_told_where_there_is_little(
    index: int | None, balance: float, ahead: str | None, grades: list[str]
) -> None:
    """A want on a poor soil is tight, on a soil that gets poor in ten years a note; else, or without a test, nothing."""
    context = changed(
        demo_year("tarn-hollow"), phosphorus=nutrient(index, balance, ahead), potassium=nutrient(3, 5, "3")
    )
    found = [*soil.mined(context), *soil.running_down(context)]

    assert [one.grade for one in found] == grades
    assert all("P2O5" in one.number and one.remedy and one.source for one in found)


@pytest.mark.parametrize(
    ("ahead", "over_clay", "grades"), [(80.0, 0.05, ["tight"]), (80.0, 0.2, ["note"]), (95.0, 0.05, [])]
)
def test_humus_that_goes_is_told(ahead: float, over_clay: float, grades: list[str]) -> None:
    """Two per cent a year is told, graver where the clay asks for more carbon; half a per cent is not."""
    result = demo_year("tarn-hollow")
    before = replace(result.soils[0].carbon, stock=100.0, ahead=ahead, over_clay=over_clay, aim_over_clay=0.077)

    assert [one.grade for one in soil.carbon_falls(changed(result, carbon=before))] == grades


def test_leaching_and_wet_ground_are_told_of_the_worst_plot() -> None:
    """Over 80 kg/ha leached and over 20 waterlogged days are notes on all such plots with the worst one's figure; at them, none."""
    result = demo_year("tarn-hollow")

    def year(*plots: SoilNitrogen | None) -> Context:
        soils = [replace(one, nitrogen=given) for one, given in zip(result.soils, plots, strict=False)]
        return Context(replace(result, soils=tuple(soils)), load_tables())

    first, second = (one.plot.replace("_", " ") for one in result.soils[:2])
    calm = year(SoilNitrogen(leached=80.0, wet_days=20.0), None)
    bad = year(SoilNitrogen(leached=81.0, wet_days=21.0), SoilNitrogen(leached=95.0, wet_days=30.0))
    (washed,), (wet,) = soil.leaches(bad), soil.waterlogged(bad)

    assert not [*soil.leaches(calm), *soil.waterlogged(calm)]
    assert (washed.grade, wet.grade) == ("note", "note")
    assert washed.title == f"Nitrogen is washed out of {first}, {second}"
    assert washed.number == f"95 kg N/ha in the year from {result.soils[1].plot}"
    assert wet.title.lower() == f"{first}, {second} stands wet".lower()
    assert wet.number == f"30 days in the year on {result.soils[1].plot}"
    assert washed.subject == wet.subject == f"soil.{result.soils[1].plot}.nitrogen"


def test_sour_ground_lime_and_its_caution_are_told() -> None:
    """Under a crop's least pH it is tight; lime that is due is a note with its kilograms and brings the caution."""
    result = demo_year("tarn-hollow")
    sour = replace(result.soils[0].acidity, ph=5.2, lime_kg=120.0, lime_kg_ha=4000.0, too_sour={"beetroot": 5.9})
    sweet = replace(sour, ph=6.8, lime_kg=0.0, lime_kg_ha=0.0, too_sour={})
    told, silent = changed(result, acidity=sour), changed(result, acidity=sweet)

    assert [one.grade for one in (*soil.too_sour(told), *soil.lime_due(told))] == ["tight", "note"]
    assert "120 kg" in next(iter(soil.lime_due(told))).number
    assert any("lime" in one.subject for one in cautions.cautions(told))
    assert not [*soil.too_sour(silent), *soil.lime_due(silent)]
    assert not any("lime" in one.subject for one in cautions.cautions(silent))


def test_soils_without_a_test_and_old_tests_are_told() -> None:
    """What is not tested is named with the largest want; a test older than its time is named; a fresh one is not."""
    result = demo_year("casa-vereda")
    bare = changed(
        result, unknown=("phosphorus", "pH"), phosphorus=nutrient(None, -30.0, None), next_test=date(2001, 3, 1)
    )
    fresh = changed(result, unknown=(), next_test=date(2090, 3, 1))

    assert "-30 kg P/ha" in next(iter(soil.untested(bare))).what
    assert "2001-03-01" in next(iter(soil.old_test(bare))).number
    assert not [*soil.untested(fresh), *soil.old_test(fresh)]


def test_humus_goes_where_less_comes_than_would_hold_it() -> None:
    """On plots that get no manure the ten years lead down exactly where fewer plants come than would hold the stock."""
    judged = 0
    for name in ("tarn-hollow", "casa-vereda"):
        for one in demo_year(name).soils:
            held: PlotSoil = one
            if held.carbon.added["dressings"] + held.carbon.added["droppings"] == 0:
                judged += 1
                came = sum(held.carbon.added.values())

                assert (held.carbon.ahead < held.carbon.stock) == (came < held.carbon.holding), held.plot

    assert judged > 3
