"""The demonstration holdings at home and on a real record: yields within the tables, or the limit that held them down."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from moved import moved, write_seattle

from yardland.datebook.season import season_climate
from yardland.datebook.strips import lay_out
from yardland.growth import traits as tr
from yardland.growth.outcome import GrowthResult
from yardland.growth.run import grow
from yardland.holding.read import read_holding
from yardland.reference import load_tables
from yardland.weather.read import load_weather
from yardland.weather.years import larder_years

EXAMPLES = Path(__file__).parents[1] / "examples"
SEATTLE = {"latitude_deg": 47.45, "longitude_deg": -122.3, "altitude_m": 130}
ENOUGH_YEARS = 0.8
LIMIT = 0.8


def run(name: str, folder: Path | None, rotation_year: int = 1) -> GrowthResult:
    """A demonstration holding grown at home, or on the Seattle record in `folder`."""
    plan = read_holding(EXAMPLES / name)
    if folder is not None:
        write_seattle(folder)
        plan = moved(plan, folder, **SEATTLE, across=name == "casa-vereda")
    forcing = larder_years(load_weather(plan), plan.place.year_starts.month)
    tables = load_tables(plan.own)
    return grow(plan, tables, forcing, lay_out(plan, tables, season_climate(forcing), rotation_year), 0.9)


@pytest.mark.parametrize(
    ("name", "place", "rotation_year"),
    [
        ("tarn-hollow", "home", 1),
        ("tarn-hollow", "home", 2),
        ("tarn-hollow", "home", 3),
        ("tarn-hollow", "seattle", 1),
        ("casa-vereda", "home", 1),
        ("casa-vereda", "seattle", 1),
    ],
)
def test_yields_lie_within_the_tables_or_a_limit_is_named(
    name: str, place: str, rotation_year: int, tmp_path: Path
) -> None:
    """In eight of ten years each crop yields within the table's low to high, else a factor under 0.8 says why not."""
    result = run(name, tmp_path if place == "seattle" else None, rotation_year)
    tables = load_tables()
    yields = result.pick(result.yield_kg_ha) / 1000
    least = np.min(np.stack([result.pick(values) for values in result.factors.values()]), axis=0)

    assert len(result.plantings) > 12
    for number, planting in enumerate(result.plantings):
        crop = tables.row("crops", planting.crop)
        low, high = crop.need("typical_yield_low_t_ha"), crop.need("typical_yield_high_t_ha")
        fine = (yields[number] >= low) & (yields[number] < high)  # at the high figure the model is held, not right
        explained = (yields[number] < low) & (least[number] < LIMIT)
        assert (fine | explained).mean() >= ENOUGH_YEARS, (planting.id, yields[number], least[number])


@pytest.mark.parametrize("name", ["tarn-hollow", "casa-vereda"])
def test_most_plantings_are_sown_and_gathered(name: str) -> None:
    """At home nine in ten plantings are gathered in the mean year, and every month of the water books closes."""
    result = run(name, None)
    gathered = result.harvest_kg.sum(axis=1) > 0
    water = result.water_mm
    taken = water["start_mm"] + water["rain_mm"] + water["irrigation_mm"]
    left = water["runoff_mm"] + water["et_mm"] + water["drainage_mm"] + water["end_mm"]

    assert gathered.mean() > 0.9
    assert np.abs(taken - left).max() < 1e-9


def sown_and_gathered(result: GrowthResult, planting: str) -> tuple[float, float]:
    """Share of the years in which a planting is sown, and in which it is ripe when it is gathered."""
    number = [each.id for each in result.plantings].index(planting)
    status = result.pick(result.status)[number]
    return float((status != tr.NOT_SOWN).mean()), float((status == tr.GATHERED).mean())


def test_what_a_cool_hill_grows_comes_as_it_does_there() -> None:
    """At Tarn Hollow potatoes ripen, turnips behind oats are sown but small, kale is picked through winter.

    Common practice of cool hills: stubble turnips behind spring oats are a catch, not a crop.
    """
    result = run("tarn-hollow", None)
    number = [planting.id for planting in result.plantings].index("beds.kale")
    turnip = [planting.id for planting in result.plantings].index("brook.turnip")
    small = result.pick(result.yield_kg_ha)[turnip] / 1000 / result.mid_t_ha[turnip]

    assert sown_and_gathered(result, "high.potato")[1] >= ENOUGH_YEARS
    assert sown_and_gathered(result, "high.potato.2")[1] >= ENOUGH_YEARS
    assert sown_and_gathered(result, "brook.turnip")[0] >= ENOUGH_YEARS
    assert small.max() < 0.6
    assert (result.harvest_kg[number, :6].mean(axis=1) > 0).all()  # October to March


def test_grass_of_a_cool_hill_is_grazed_from_may() -> None:
    """At Tarn Hollow pasture is grazed from May to September in the mean year, and not from December to March."""
    result = run("tarn-hollow", None)
    bank = next(sward for sward in result.swards if sward.id == "bank")
    by_month = bank.grazing_kg_dm.mean(axis=1)

    assert (by_month[7:12] > 0).all()
    assert by_month[2:6].sum() == 0
    assert 5 < bank.grown_kg_dm.sum(axis=0).mean() / bank.area_m2 * 10 < 9
