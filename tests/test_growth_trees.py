"""Trees, bushes and vines: bearing by age, bloom and its frosts, water, height."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from growth_kit import holding, southern, tables, weather
from hypothesis import given
from hypothesis import strategies as st

from yardland.growth.spare import Spare
from yardland.growth.texture import class_soil
from yardland.growth.trees import age_share, bloom_days, bloom_kill, buds_killed, et_ratio, grow_trees, plant_height_m
from yardland.holding.model import Block, Holding, TreeRow
from yardland.season.trees import tree_outcomes


def orchard(species: str = "apple_standard", planted: date = date(1995, 1, 1), **more: Any) -> Holding:
    """Ten plants of a species on the plot."""
    return holding(trees=(TreeRow(species=species, count=10, planted=planted, **more),), use="orchard")


@given(
    first=st.integers(1, 8),
    years=st.integers(0, 12),
    life=st.integers(20, 100),
    age=st.floats(0, 200),
)
def test_age_share_rises_holds_and_falls(first: int, years: int, life: int, age: float) -> None:
    """Never under nothing or over one; nothing before the first crop; full from full bearing to the end of life."""
    share = age_share(age, first, first + years, life, 0.5)

    assert 0 <= share <= 1
    assert share == 0 or age >= first
    assert share == 1 or age < first + years or age > life
    assert share >= 0.5 or age < first + years


@given(st.sampled_from(tables().keys("trees")), st.floats(0, 100), st.floats(0, 50))
def test_plants_grow_towards_their_height(species: str, age: float, more: float) -> None:
    """A plant is never shorter when older, nor taller than mature; 95 % of its rise is done in the table's years."""
    figures = tables().row("trees", species)
    mature, years = figures.need("mature_height_m"), figures.need("years_to_height")
    planted, young, old, grown_up = (plant_height_m(tables(), figures, at) for at in (0.0, age, age + more, years))

    assert 0 < planted <= young <= old <= mature
    assert grown_up - planted == pytest.approx(0.95 * (mature - planted), abs=0.003 * mature)


def test_an_outcome_tells_height_and_shadow() -> None:
    """At 45 degrees the shadow of the equinox is as long as the tree is high; a vine has its trellis in three years."""
    forcing = replace(weather("cool", rain_mm=5.0), latitude_deg=45.0)
    tree = tree_outcomes(grow_trees(orchard(), tables(), forcing, 2020), forcing, 0)[0]
    vine = grow_trees(orchard("grapevine", planted=date(2017, 1, 1)), tables(), forcing, 2020)[0]

    assert 7 < tree.height_m < 8
    assert tree.noon_shadow_m == pytest.approx(tree.height_m)
    assert 1.8 < vine.height_m <= 2


def test_mature_trees_bear_the_tables_middle() -> None:
    """Ten mature standard apples, watered by rain and unfrosted, bear ten times the middle yield."""
    tree = grow_trees(orchard(), tables(), weather("cool", rain_mm=5.0), 2020)[0]

    assert tree.kg.sum() == pytest.approx(
        10 * tables().row("trees", "apple_standard").need("mature_yield_mid_kg"), rel=0.01
    )
    assert tree.good == "apple"


def test_young_trees_bear_nothing_then_more() -> None:
    """A tree planted last year bears nothing; one of nine years some; one of twenty all."""
    kg = [
        float(
            grow_trees(orchard(planted=date(planted, 1, 1)), tables(), weather("cool", rain_mm=5.0), 2020)[0].kg.sum()
        )
        for planted in (2019, 2011, 1999)
    ]

    assert kg[0] == 0
    assert 0 < kg[1] < kg[2]


def test_frost_at_bloom_takes_the_crop() -> None:
    """A night of -6 C at full bloom takes the apples; the same night a month earlier does not."""
    forcing = weather("cool", rain_mm=5.0)
    apple = tables().row("trees", "apple_standard")
    bloom = int(bloom_days(tables(), apple, forcing, 365 + 262)[0])
    crops = {}
    for day in (bloom, bloom - 30):
        cold = forcing.tmin_c.copy()
        cold[day] = -6.0
        crops[day] = float(grow_trees(orchard(), tables(), replace(forcing, tmin_c=cold), 2020)[0].kg.sum())

    assert crops[bloom] == 0
    assert crops[bloom - 30] > 0


def test_a_hard_night_before_bloom_costs_the_more_the_later() -> None:
    """Nights of -7 C one, three and six weeks before full bloom: dead, thinned, whole; species without stages lose nothing."""
    forcing = weather("cool", rain_mm=5.0)
    left: dict[str, list[float]] = {}
    for species in ("apple_standard", "quince"):
        bloom = int(grow_trees(orchard(species), tables(), forcing, 2020)[0].bloom_day[0])
        for before in (7, 21, 42):
            night = forcing.tmin_c.copy()
            night[bloom - before] = -7.0
            frosty = replace(forcing, tmin_c=night)
            left.setdefault(species, []).append(
                float(grow_trees(orchard(species), tables(), frosty, 2020)[0].factors["frost"][0])
            )

    assert left["apple_standard"] == sorted(left["apple_standard"])
    assert left["apple_standard"][0] < 0.3
    assert left["apple_standard"][2] == 1
    assert left["quince"] == [1, 1, 1]


@given(st.floats(0, 1.2), st.floats(0, 0.3), st.floats(-25, 2), st.sampled_from(["apple_standard", "peach", "plum"]))
def test_buds_grow_more_tender(share: float, later: float, low: float, species: str) -> None:
    """The same night kills no fewer buds the further they are, and none before they show."""
    figures = tables().row("trees", species)
    open_c = (figures.need("bloom_kill10_c"), figures.need("bloom_kill90_c"))
    early, late = (
        float(buds_killed(tables(), figures, np.array([[low]]), np.array([[at]]), np.array([9]), open_c)[0])
        for at in (share, share + later)
    )

    assert 0 <= early <= late + 1e-9 <= 1 + 1e-9
    assert share >= 0.2 or early == 0


@given(st.floats(-10, 5), st.floats(0.1, 3))
def test_colder_nights_kill_no_less_bloom(low: float, colder: float) -> None:
    """The share killed never falls as the night gets colder, and stays between nothing and all."""
    warm, cold = bloom_kill(np.array([low, low - colder]), -2.2, -3.9)

    assert 0 <= warm <= cold <= 1


def test_bloom_comes_earlier_in_a_warmer_spring() -> None:
    """Three degrees more bring bloom forward by one to five weeks."""
    apple = tables().row("trees", "apple_standard")
    cool = weather("cool")
    warm = replace(cool, tmin_c=cool.tmin_c + 3, tmax_c=cool.tmax_c + 3)
    days = [int(bloom_days(tables(), apple, forcing, 365 + 262)[0]) for forcing in (cool, warm)]

    assert 7 <= days[0] - days[1] <= 40


def test_harvest_is_half_a_year_later_in_the_south() -> None:
    """Apples of September in the north are apples of March in the south."""
    north = weather("cool", rain_mm=5.0)
    months = [
        int(np.argmax(grow_trees(orchard(), tables(), forcing, 2020)[0].kg[:, 0]))
        for forcing in (north, southern(north))
    ]

    assert (months[1] - months[0]) % 12 == 6


def test_off_years_alternate_only_if_asked() -> None:
    """Rows said to ease bear by turns above and below the mean, others the same each year."""
    forcing = weather("cool", rain_mm=5.0)
    eased = [
        float(grow_trees(orchard(eases_every_other_year=True), tables(), forcing, year)[0].kg.sum())
        for year in (2020, 2021)
    ]
    even = [float(grow_trees(orchard(), tables(), forcing, year)[0].kg.sum()) for year in (2020, 2021)]

    assert even[0] == even[1]
    assert sum(eased) / 2 == pytest.approx(even[0])
    assert eased[0] != eased[1]


def test_dry_summers_cost_fruit_and_less_of_it_in_dry_country_trees() -> None:
    """Without rain apples lose more of their crop than olives do."""
    forcing = weather("hot", rain_mm=0.3)
    apples, olives = (
        grow_trees(orchard(species), tables(), forcing, 2020)[0] for species in ("apple_standard", "olive")
    )

    assert float(apples.factors["water"][0]) < float(olives.factors["water"][0]) < 1
    assert (
        0 < float(et_ratio(tables(), tables().row("trees", "olive"), forcing, class_soil(tables(), "loam"))[0][0]) < 1
    )


def test_every_species_bears() -> None:
    """Each species of the table, mature and at a fitting place, bears something."""
    for species in tables().keys("trees"):
        best = max(
            float(grow_trees(orchard(species), tables(), weather(climate, rain_mm=5.0), 2020)[0].kg.sum())
            for climate in ("cool", "warm", "hot")
        )
        assert best > 0, species


def test_watered_vines_bear_more_in_a_dry_summer_and_their_water_is_booked() -> None:
    """Trees on a watered plot take what a well leaves over, bear more for it, and the water is counted once."""
    forcing = weather("hot", rain_mm=0.3)
    block = Block(plot="field", trees=(TreeRow(species="grapevine", count=20, planted=date(2000, 1, 1)),))
    plan = holding(use="orchard", watered_by=("well",)).model_copy(update={"block": {"vines": block}})
    spare = Spare(np.full((1, *forcing.rain_mm.shape), 5.0), ("well",))
    dry = grow_trees(plan, tables(), forcing, 2020)[0]
    wet = grow_trees(plan, tables(), forcing, 2020, spare)[0]

    assert wet.kg.sum() > 1.1 * dry.kg.sum()
    assert wet.water_m3.sum() > 0
    assert spare.m3[:, 365:].sum() == pytest.approx(5.0 * 365 * forcing.rain_mm.shape[1] - wet.water_m3.sum())
