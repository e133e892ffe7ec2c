"""Rules of housing and bedding: each speaks when its case is there, with number and remedy, and is silent when it is not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from fixtures_result import year_result
from husbandry_kit import TABLES, sound, told

from yardland.findings import housing
from yardland.findings.context import Context
from yardland.holding.model import WaterSource
from yardland.ledger.production import Gathered, Production
from yardland.stock.notes import Housing
from yardland.stock.yard import YardGroup, straw_kg_week


def yard(group: str, straw_kg: float = 1000.0, **room: float) -> dict[str, YardGroup]:
    """The yard of one group."""
    size = {"floor_m2": 10.0, "outdoor_m2": 100.0, "nest_boxes": 0, "perch_m": 0.0} | room
    return {group: YardGroup(Housing(**size), np.full(12, 0.5), np.full(52, straw_kg / 52))}  # type: ignore[arg-type]


def test_the_room_that_stock_ask_for_is_listed() -> None:
    """Floor, nests, perch and pop-holes of each group; nothing for bees."""
    hens = told({"hens": {"laying_hen": 30}}, yard=yard("hens", nest_boxes=5, perch_m=5.4))
    found = sound(housing.room(hens))

    assert "5 nest boxes, 5.4 m of perch, pop-holes of 0.4 m" in found[0].what
    assert not list(housing.room(told({"hives": {"honeybee_colony": 2}}, yard=yard("hives"))))


def test_homes_too_small_outside_are_told() -> None:
    """250 m2 asked at a house of 200 m2 are too much; 100 are not."""
    hens = {"hens": {"laying_hen": 30}}

    assert sound(housing.outdoors(told(hens, yard=yard("hens", outdoor_m2=250.0))))[0].grade == "tight"
    assert not list(housing.outdoors(told(hens, yard=yard("hens"))))


def test_straw_is_counted_against_what_is_grown() -> None:
    """A tonne wanted, 300 kg grown and 100 of it eaten leave 800 kg to buy; two tonnes grown are enough."""

    def year(made_kg: float) -> Context:
        straw = Gathered("crop:north.oats", "straw_oats", np.full(12, made_kg / 12))
        eaten = {"cow": {"straw_oats": np.full(12, 100.0 / 12)}}
        cow = {"cow": {"dairy_cow_small": 1}}
        return told(cow, yard=yard("cow"), production=Production((straw,)), feed_kg=eaten)

    found = sound(housing.bedding(year(300.0)))

    assert found[0].title.startswith("Straw for bedding: 800 kg")
    assert not list(housing.bedding(year(2000.0)))


def test_water_birds_want_water() -> None:
    """The made-up holding has a pond: a note; without it and without a stream it is tight; hens are not told."""
    geese = {"geese": {"goose": 4}}
    with_pond = told(geese)
    plan = with_pond.result.holding
    dry = plan.model_copy(update={"plot": {name: plot for name, plot in plan.plot.items() if plot.use != "pond"}})
    stream = dry.model_copy(update={"water": dry.water.model_copy(update={"source": {"beck": WaterSource(kind="stream")}})})  # fmt: skip
    grades = [
        [one.grade for one in sound(housing.water_birds(Context(replace(with_pond.result, holding=each), TABLES)))]
        for each in (plan, dry, stream)
    ]

    assert grades == [["note"], ["tight"], ["note"]]
    assert not list(housing.water_birds(told({"hens": {"laying_hen": 4}})))


def test_hens_and_ducks_sleep_apart() -> None:
    """One home for both is told, two are not."""
    birds = {"hens": {"laying_hen": 10}, "ducks": {"duck_layer": 5}}

    assert sound(housing.mixed_house(told(birds)))[0].number == "5 ducks"
    assert not list(housing.mixed_house(told(birds, homes={"ducks": "orchard"})))


def test_hot_hutches_are_told() -> None:
    """Afternoons over 29 C on the mean are tight, 27 C a note, 19 C nothing (the limit: Missouri Extension, published)."""
    rabbits = {"rabbits": {"rabbit_doe": 3}}

    def grades(hottest_c: float) -> list[str]:
        sky = dict(year_result().weather_months) | {"tmax_c": np.linspace(5.0, hottest_c, 12)}
        return [one.grade for one in sound(housing.hutch_heat(told(rabbits, weather_months=sky)))]

    assert (grades(31.0), grades(27.0), grades(19.0)) == (["tight"], ["note"], [])


def test_a_housing_order_is_planned_for() -> None:
    """Sixteen weeks with the number of birds and their floor; ewes are not told."""
    assert "16 weeks; 30 birds" in sound(housing.housing_order(told({"hens": {"laying_hen": 30}}, yard=yard("hens"))))[0].number  # fmt: skip
    assert not list(housing.housing_order(told({"ewes": {"ewe": 3}}, yard=yard("ewes"))))


def test_straw_by_week_adds_up_to_heads_times_days_under_a_roof() -> None:
    """Two ewes half of the time take a year of one ewe's straw; 52 weeks hold all 365 days; bees take none."""
    heads = {"ewe": np.full(365, 2, dtype=np.int64), "honeybee_colony": np.full(365, 3, dtype=np.int64)}
    weeks = straw_kg_week(heads, np.full(365, 0.5), TABLES)

    assert len(weeks) == 52
    assert weeks.sum() == pytest.approx(365 * TABLES.row("bedding", "sheep_adult").need("straw_kg_d"))


def test_every_class_but_bees_has_bedding() -> None:
    """A class without a row of table bedding would lie on bare floor."""
    from yardland.stock.kinds import kinds
    from yardland.stock.yard import bedding_key

    assert {klass for klass in kinds() if not TABLES.has("bedding", bedding_key(TABLES, klass))} == {"honeybee_colony"}
