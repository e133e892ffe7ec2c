"""The year of both demonstration holdings: books, plates, people, yields, and the reason behind every number."""

from __future__ import annotations

from dataclasses import fields, is_dataclass

import numpy as np
import pytest
from conftest import DEMOS, EXAMPLES, demo_year

import yardland
from yardland.accounts.law import worst_miss
from yardland.errors import InputFaults
from yardland.larderyear.jsonable import year_json
from yardland.larderyear.result import YearResult
from yardland.ledger.arcs import KINDS
from yardland.reference import load_tables
from yardland.reference.why import explain


def numbers_in(part: object) -> list[np.ndarray]:
    """Every array and float of a result, however deep."""
    if isinstance(part, np.ndarray):
        return [part] if part.dtype.kind == "f" else []
    if isinstance(part, float):
        return [np.array(part)]
    if isinstance(part, dict):
        return [array for value in part.values() for array in numbers_in(value)]
    if isinstance(part, tuple | list):
        return [array for value in part for array in numbers_in(value)]
    if is_dataclass(part) and not isinstance(part, type):
        return [array for field in fields(part) for array in numbers_in(getattr(part, field.name))]
    return []


def test_no_result_holds_a_number_that_is_none(year_result: YearResult) -> None:
    """Every number of a result is finite."""
    arrays = numbers_in(year_result)

    assert len(arrays) > 500
    assert all(np.isfinite(array).all() for array in arrays)


def test_the_books_keep_the_law_of_conservation(year_result: YearResult) -> None:
    """Closing less opening equals incidence times flows for every account and month, to a billionth of throughput."""
    miss, account = worst_miss(year_result.ledger)

    assert miss < 1e-9, account
    assert len(year_result.ledger.arcs) > 100


def test_the_books_are_closed_over_the_larder_year(year_result: YearResult) -> None:
    """Each store holds at the end of the year what it held at its beginning."""
    ledger = year_result.ledger
    scale = max(float(ledger.closing_kg.max()), 1.0)

    assert np.allclose(ledger.opening_kg[:, 0], ledger.closing_kg[:, -1], atol=1e-7 * scale)
    assert np.allclose(ledger.opening_kg[:, 1:], ledger.closing_kg[:, :-1], atol=1e-7 * scale)


def test_nothing_flows_backwards(year_result: YearResult) -> None:
    """No arc carries less than nothing, and no store holds less than nothing."""
    ledger = year_result.ledger

    assert ledger.fresh_kg.min() > -1e-6
    assert ledger.opening_kg.min() > -1e-6


def test_arcs_are_of_the_known_kinds(year_result: YearResult) -> None:
    """Each arc does one of the things that the ledger knows; a demonstration year uses all but the emergency."""
    assert {arc.kind for arc in year_result.ledger.arcs} | {"emergency"} == set(KINDS)


def test_what_is_eaten_is_what_the_flows_to_the_table_hold(year_result: YearResult) -> None:
    """Kilograms eaten, by good and month, equal the ledger's eat arcs."""
    ledger = year_result.ledger
    for good, kg in year_result.eaten_kg.items():
        rows = [i for i, arc in enumerate(ledger.arcs) if arc.kind == "eat" and arc.good == good]

        assert np.allclose(ledger.fresh_kg[rows].sum(axis=0), kg)


def test_adults_and_toddlers_need_what_people_need(year_result: YearResult) -> None:
    """Adults need 1,600 to 3,300 kcal a day; the toddler 1,000 to 1,300."""
    for need in year_result.needs:
        if need.age_y >= 18:
            assert 1600 <= need.energy_kcal_day <= 3300, need
        if need.age_y < 3:
            assert 1000 <= need.energy_kcal_day <= 1300, need


def test_energy_is_eaten_up_to_the_need_and_little_over(year_result: YearResult) -> None:
    """People eat no more than five hundredths over their energy need; a month below the threshold is called short."""
    cover = np.minimum(year_result.coverage["energy_kcal"], year_result.coverage["protein_g"])

    assert year_result.coverage["energy_kcal"].max() <= 1.05 + 1e-6
    assert year_result.short_months == tuple(np.flatnonzero(cover < 0.95 - 1e-6))


def test_crops_yield_within_their_table_or_name_what_holds_them_down(year_result: YearResult) -> None:
    """In at least eight of ten years a crop's yield lies between its table's low and high, else a factor under 0.8 is named."""
    for planting in year_result.plantings:
        yields = np.array(list(planting.yield_t_ha_by_year.values()))
        within = (yields >= planting.table_low_t_ha) & (yields < planting.table_high_t_ha)  # at it the model is held
        factors = planting.factors_by_year
        named = np.min(np.array([factors[name] for name in factors]), axis=0) < 0.8

        assert (within | (named & (yields < planting.table_low_t_ha))).mean() >= 0.8, planting.planting


def test_every_figure_that_a_year_read_can_be_explained(year_result: YearResult) -> None:
    """`why` gives value, source and standing for each figure key that a result lists."""
    tables = load_tables(own=year_result.holding.own)

    assert len(year_result.figure_keys) > 500
    for key in year_result.figure_keys:
        why = explain(tables, key)

        assert why.figure.key == key
        assert why.figure.standing in ("published", "common practice", "from memory", "none")
        assert why.lines


@pytest.mark.parametrize("name", DEMOS)
def test_twenty_results_lead_to_their_reasons(name: str) -> None:
    """Harvests, coverages, needs, stores, feed and products each have a sentence; at least twenty of each holding."""
    result = demo_year(name)
    wanted = [f"harvest.{planting.planting}" for planting in result.plantings]
    wanted += [f"coverage.{nutrient}.{result.months[3].name}" for nutrient in result.coverage]
    wanted += [f"need.{need.person}.energy_kcal" for need in result.needs]

    assert len(wanted) >= 20
    for key in wanted:
        assert len(result.why[key]) > 40, key
    assert any(key.startswith("store.") for key in result.why)
    assert any(key.startswith("feed.") for key in result.why)
    assert any(key.startswith("product.") for key in result.why)


def test_the_same_holding_gives_the_same_year() -> None:
    """Two runs of one holding give the same flows, bit for bit."""
    again = demo_year.__wrapped__("casa-vereda")
    first = demo_year("casa-vereda")

    assert np.array_equal(again.ledger.fresh_kg, first.ledger.fresh_kg)
    assert again.findings == first.findings


def test_a_year_that_the_record_lacks_is_refused() -> None:
    """Asking for a weather year outside the record names the years that it holds."""
    holding = yardland.load(EXAMPLES / "tarn-hollow")
    with pytest.raises(InputFaults, match="2014"):
        yardland.year(holding, weather_year=1950)


def test_another_weather_year_gives_other_harvests() -> None:
    """The dry summer of the invented record gives other harvests than the last year."""
    holding = yardland.load(EXAMPLES / "tarn-hollow")
    dry = yardland.year(holding, weather_year=2017)

    assert dry.label.startswith("2017")
    assert dry.harvest_kg != demo_year("tarn-hollow").harvest_kg


def test_a_result_gives_labelled_arrays_and_tables(year_result: YearResult) -> None:
    """The dataset holds the same numbers under month and nutrient, with units; the flows' table adds up to the ledger."""
    data = year_result.dataset()
    frames = year_result.frames()
    iron = year_result.coverage["iron_mg"]

    assert np.array_equal(data["coverage"].sel(nutrient="iron_mg"), iron)
    assert all("units" in array.attrs for array in data.data_vars.values())
    assert list(data["month"].values) == [f"{month.year:04d}-{month.month:02d}" for month in year_result.months]
    assert frames["flows"]["fresh_kg"].sum() == pytest.approx(year_result.ledger.fresh_kg.sum())
    assert len(frames["plantings"]) == len(year_result.plantings)
    assert len(frames["findings"]) == len(year_result.findings)


def test_plots_and_fences_are_told_in_metres(year_result: YearResult) -> None:
    """Each plot has its plan's area, each fence of the plan a length; both stand in the JSON."""
    holding, told = year_result.holding, year_json(year_result)

    assert {one.plot: one.area_m2 for one in year_result.plots} == pytest.approx(
        {name: plot.area_m2 for name, plot in holding.plot.items()}, rel=1e-3
    )
    assert {run.fence for run in year_result.fences} == set(holding.fence)
    assert all(run.length_m > 10 for run in year_result.fences)
    assert len(told["plots"]) == len(holding.plot)
    assert [one["length_m"] for one in told["fences"]] == pytest.approx([run.length_m for run in year_result.fences])
