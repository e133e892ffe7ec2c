"""A plot's soil holds the water that its texture, or its laboratory's figures, give it; crops feel it."""

from __future__ import annotations

import pytest
from growth_kit import grown, holding, row, seasonal, tables
from hypothesis import given
from hypothesis import strategies as st

from yardland.errors import InputFaults
from yardland.growth.pedotransfer import ORGANIC_MATTER_PCT, water_limits
from yardland.growth.texture import class_soil, ground_soil, soil_notes, soil_of
from yardland.holding.model import OwnRow, Soil
from yardland.reference import load_tables


def on(soil: Soil, crop: str = "potato", **more: object) -> float:
    """A crop's yield on a soil that winter has filled, in a year with little rain, kg/ha."""
    plan = holding(row(crop, **more)).model_copy(update={"soil": {"loam": soil}})
    result = grown(plan, seasonal(rain_mm=1.4))
    return float(result.pick(result.yield_kg_ha)[0, 0])


@given(sand=st.floats(0, 100), clay=st.floats(0, 100), organic=st.floats(0, 100))
def test_water_limits_are_in_order(sand: float, clay: float, organic: float) -> None:
    """For any soil: dry < full <= saturated < 1, and nothing drains backwards. Law."""
    clay = min(clay, 100 - sand)
    limits = water_limits(sand, clay, organic)

    assert 0 < limits.wilting_point < limits.field_capacity <= limits.saturation < 1
    assert limits.ksat_mm_h >= 0


@given(more=st.floats(8, 100), clay=st.floats(60, 100))
def test_beyond_the_papers_samples_its_bounds_are_taken(more: float, clay: float) -> None:
    """Clay above 60 % and organic matter above 8 % count as 60 % and 8 %."""
    assert water_limits(0, clay, more) == water_limits(0, 60, 8)


def test_soils_hold_water_in_the_order_of_a_handbook() -> None:
    """Sand holds least for roots, then sandy loam, clay, loam, and silt loam most; sand drains fastest, clay slowest.

    Standing: common practice.
    """
    order = ("sand", "sandy_loam", "clay", "loam", "silt_loam")
    soils = [class_soil(tables(), name) for name in order]

    assert [soil.awc_mm_m for soil in soils] == sorted(soil.awc_mm_m for soil in soils)
    assert soils[0].ksat_mm_h > soils[3].ksat_mm_h > soils[2].ksat_mm_h


@pytest.mark.parametrize("name", tables().keys("soils"))
def test_a_laboratory_that_finds_the_classs_middle_changes_nothing(name: str) -> None:
    """Sand and clay in the middle of a class, or 2.5 % organic matter, give the class's own figures to their rounding."""
    plain, middle = class_soil(tables(), name), tables().row("soils", name)
    tested = ground_soil(tables(), Soil(sand_pct=middle["sand_pct"], clay_pct=middle["clay_pct"]))
    ordinary = ground_soil(tables(), Soil(texture=name, organic_matter_pct=ORGANIC_MATTER_PCT))

    assert (tested.texture, tested.curve_number) == (name, plain.curve_number)
    for limit in ("wilting_point", "field_capacity", "saturation"):
        assert getattr(tested, limit) == pytest.approx(getattr(plain, limit), abs=0.001)
        assert getattr(ordinary, limit) == pytest.approx(getattr(plain, limit), abs=1e-12)


@pytest.mark.parametrize("known", [{"texture": "sandy loam"}, {"sand_pct": 65.0, "clay_pct": 10.0}])
def test_organic_matter_lets_a_light_soil_hold_more(known: dict[str, object]) -> None:
    """More organic matter means more water for roots in a sandy loam, however the soil is known. Common practice."""
    held = [ground_soil(tables(), Soil(**known, organic_matter_pct=pct)).awc_mm_m for pct in (1.0, 2.5, 5.0)]

    assert held == sorted(held)
    assert held[2] > 1.1 * held[0]


def test_crops_feel_the_laboratorys_figures() -> None:
    """In a dry summer potatoes on a sand yield less than on a silt loam, and as much by figures as by the class's name."""
    sand, silt = Soil(sand_pct=88, clay_pct=5), Soil(sand_pct=20, clay_pct=15)

    assert on(sand) < 0.8 * on(silt)
    assert on(sand) == pytest.approx(on(Soil(texture="sand")), rel=0.02)
    assert on(sand.model_copy(update={"organic_matter_pct": 6.0})) > on(sand)


def test_own_figures_stand_above_the_equations() -> None:
    """The user's own field capacity of the class is kept where sand and clay are known too."""
    own = load_tables(own=[OwnRow(line=2, key="soils.sandy_loam.field_capacity", value=0.25, why="measured")])
    plan = holding(row("potato")).model_copy(update={"soil": {"loam": Soil(sand_pct=65, clay_pct=10)}})

    assert soil_of(plan, own, "field").field_capacity == 0.25
    assert soil_of(plan, own, "field").wilting_point == water_limits(65, 10).wilting_point


def test_an_own_figure_that_leaves_no_water_is_a_fault() -> None:
    """An own field capacity under the tested soil's wilting point is a fault of own.csv, not a soil without water."""
    own = load_tables(own=[OwnRow(line=2, key="soils.clay.field_capacity", value=0.30, why="measured")])

    with pytest.raises(InputFaults, match="above the wilting point"):
        ground_soil(own, Soil(sand_pct=10, clay_pct=60))


def test_a_note_says_what_was_made_of_a_test() -> None:
    """Each soil with a laboratory's figures has a sentence with the water it holds; bounds that were met are told."""
    plan = holding().model_copy(
        update={
            "soil": {
                "loam": Soil(texture="loam"),
                "moss": Soil(texture="silt loam", organic_matter_pct=30),
                "pan": Soil(sand_pct=5, clay_pct=80),
            }
        }
    )
    moss, pan = soil_notes(plan, tables())

    assert "organic matter is reckoned at 8 %" in moss
    assert "5 % sand, 80 % clay" in pan
    assert "clay is reckoned at 60 %" in pan
