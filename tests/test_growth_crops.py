"""Crops grown from the tables: yields, factors, seasons, frost, water, several plantings in a year."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from growth_kit import dressing, factor, grown, grown_as_laid, holding, laid, row, tables, weather

from yardland.datebook.anchors import make_anchors, make_sward_anchors
from yardland.growth import traits as tr
from yardland.growth.crop_traits import FORAGE, crop_traits
from yardland.growth.outcome import FACTORS, GrowthResult
from yardland.growth.reference_climate import reference_forcing
from yardland.growth.traits import NAMES
from yardland.holding.model import MonthDay, Water, WaterSource

PICKED_AND_ODD = {"kale", "chard", "brussels_sprout", "pepper", "cucumber", "courgette", "strawberry"}
"""Crops whose anchor lies under 0.3: docs/growth-anchors.md says why."""
AMPLE_N_KG_HA = 600.0
"""More than any crop takes up, where nitrogen is not to lack."""


def strip_crops() -> list[str]:
    """Every crop that is grown on strips."""
    return [crop for crop in tables().keys("crops") if crop not in FORAGE]


@cache
def lacking_nothing(climate: str) -> GrowthResult:
    """Every crop on a strip of its own in a reference climate, with water and nitrogen enough."""
    plan = holding(*(row(crop, share=0.01, line=number) for number, crop in enumerate(strip_crops())))
    layout = laid(plan, reference_forcing(tables(), climate))
    forcing = weather(climate)
    forcing = replace(forcing, rain_mm=np.full_like(forcing.rain_mm, 1.9), eto_mm=np.full_like(forcing.eto_mm, 0.7))
    fed = [dressing(planting.id, AMPLE_N_KG_HA, AMPLE_N_KG_HA) for planting in layout.plantings]
    return grown_as_laid(plan, forcing, layout, fed)


@pytest.mark.parametrize("crop", strip_crops())
def test_unstressed_full_season_gives_the_middle_yield(crop: str) -> None:
    """Mean over the climates of its anchor, without want of water or nitrogen, a crop yields the table's middle figure.

    What the heat of a reference summer takes from its flowers, and what a crop that stands in the ground loses until it is
    lifted, are the factors `heat` and `standing` beside that yield.
    """
    cell = (strip_crops().index(crop), 0, 0)
    yields = []
    for climate in tables().row("anchors", crop).text("climate").split():
        result = lacking_nothing(climate)
        beside = result.factors["standing"][cell] * result.factors["heat"][cell]
        yields.append(float(result.yield_kg_ha[cell] / beside) / 1000)

    assert np.mean(yields) == pytest.approx(tables().row("crops", crop).need("typical_yield_mid_t_ha"), rel=0.03)


def test_anchors_are_credible_or_listed() -> None:
    """An anchor (table over model) lies between 0.3 and 1.2; picked and odd crops are listed."""
    outside = {crop for crop in strip_crops() if not 0.3 <= tables().row("anchors", crop).need("anchor") <= 1.2}

    assert outside == PICKED_AND_ODD
    assert all(0.3 <= tables().row("anchors", crop).need("anchor") <= 1.2 for crop in FORAGE)


@pytest.mark.slow
def test_anchors_table_is_what_the_script_makes() -> None:
    """anchors.csv holds what the kernel gives today."""
    made = make_anchors(tables()) + make_sward_anchors(tables())

    assert [anchor.crop for anchor in made] == list(tables().keys("anchors"))
    for anchor in made:
        held = tables().row("anchors", anchor.crop)
        assert held.need("dm_g_m2") == pytest.approx(anchor.dm_g_m2, abs=0.006)
        assert held.need("light_mj_m2") == pytest.approx(anchor.light_mj_m2, abs=0.006)
        assert held.need("warm_share") == pytest.approx(anchor.warm_share, abs=6e-6)
        assert held.need("anchor") == pytest.approx(anchor.anchor, abs=6e-5)


@pytest.mark.parametrize("level", ["good smallholder", "handbook best"])
@pytest.mark.parametrize("crop", ["oats", "potato", "tomato", "cabbage", "dry_bean", "onion", "swede"])
def test_factors_multiply_to_the_yield(crop: str, level: str) -> None:
    """All the factors together are the yield over level and middle yield, nitrogen, heat and standing among them."""
    plan = holding(row(crop))
    plan = plan.model_copy(update={"goal": plan.goal.model_copy(update={"level": level})})
    result = grown(plan, weather("warm", rain_mm=0.8))
    product = np.prod(np.stack([result.factors[name] for name in FACTORS]), axis=0)
    gathered = result.yield_kg_ha > 0

    assert gathered.any()
    np.testing.assert_allclose(
        product[gathered],
        (result.yield_kg_ha / (1000 * result.level * result.mid_t_ha[:, None, None]))[gathered],
        rtol=1e-4,
    )


def test_dim_season_yields_less_by_its_light() -> None:
    """With six tenths of the light a crop fed enough yields about six tenths, and the factor named is light."""
    fed = [dressing("field.oats", AMPLE_N_KG_HA)]
    bright, dim = (grown(holding(row("oats")), weather("cool", light=share), dressings=fed) for share in (1.0, 0.6))

    assert dim.pick(dim.yield_kg_ha)[0, 0] == pytest.approx(0.6 * bright.pick(bright.yield_kg_ha)[0, 0], rel=0.02)
    assert factor(dim, "light") == pytest.approx(0.6 * factor(bright, "light"), rel=0.02)


@pytest.mark.parametrize(("crop", "share_left"), [("potato", (0.3, 0.75)), ("oats", (0.0, 0.0))])
def test_squeezed_season_yields_less_or_is_lost(crop: str, share_left: tuple[float, float]) -> None:
    """Cleared at about six tenths of its degree-days a root crop gives clearly less, a grain crop nothing."""
    plan, forcing = holding(row(crop)), weather("warm")
    layout = laid(plan, forcing)
    whole = grown_as_laid(plan, forcing, layout)
    strip = layout.strips[0]
    sown, gathered = int(whole.sow_day[0, 1, 0]), int(whole.gather_first[0, 1, 0])
    heat = np.cumsum(np.maximum((forcing.tmin_c + forcing.tmax_c)[sown:gathered, 0] / 2 - crop_base(crop), 0))
    clear = sown + int(np.searchsorted(heat, 0.6 * heat[-1])) - 365
    squeezed_strip = replace(strip, plantings=(replace(strip.plantings[0], clear_by=clear),))
    squeezed = grown_as_laid(plan, forcing, replace(layout, strips=(squeezed_strip,)))
    left = squeezed.yield_kg_ha[0, 1, 0] / whole.yield_kg_ha[0, 1, 0]

    assert share_left[0] <= left <= share_left[1]
    assert squeezed.factors["season"][0, 1, 0] < 0.7


def crop_base(crop: str) -> float:
    """Base temperature of a crop."""
    return tables().row("crops", crop).need("base_temp_c")


def test_frost_kills_a_tender_crop_in_its_season() -> None:
    """One night of frost in July takes a bean crop, and its status says so."""
    plan, forcing = holding(row("dry_bean")), weather("warm")
    layout = laid(plan, forcing)
    cold = forcing.tmin_c.copy()
    cold[365 + 195] = -3.0
    struck = grown_as_laid(plan, replace(forcing, tmin_c=cold), layout)
    spared = grown_as_laid(plan, forcing, layout)

    assert spared.status[0, 1, 0] == tr.GATHERED
    assert struck.status[0, 1, 0] == tr.KILLED
    assert struck.yield_kg_ha[0, 1, 0] == 0
    assert struck.factors["frost"][0, 1, 0] == 0


def test_frost_leaves_what_stands_of_a_root_crop() -> None:
    """Frost on the tops of potatoes stops growth; what has grown is lifted."""
    plan, forcing = holding(row("potato")), weather("warm")
    layout = laid(plan, forcing)
    whole = grown_as_laid(plan, forcing, layout)
    cold = forcing.tmin_c.copy()
    cold[int(whole.gather_first[0, 1, 0]) - 15] = -4.0
    struck = grown_as_laid(plan, replace(forcing, tmin_c=cold), layout)

    assert struck.status[0, 1, 0] == tr.FROSTED
    assert 0.5 < struck.yield_kg_ha[0, 1, 0] / whole.yield_kg_ha[0, 1, 0] < 0.98
    assert struck.factors["frost"][0, 1, 0] < 1


def test_drought_is_named_water() -> None:
    """Without rain a crop yields less, and the factor under 0.8 is water."""
    dry = grown(holding(row("oats")), weather("warm", rain_mm=0.0))

    assert dry.pick(dry.factors["water"])[0, 0] < 0.8
    assert min(FACTORS, key=lambda name: dry.pick(dry.factors[name])[0, 0]) == "water"


def test_watering_mends_a_drought_and_draws_what_it_gives() -> None:
    """A boundless main lifts the water factor to one; cubic metres drawn are the net depth over the efficiency."""
    mains = Water(source={"tap": WaterSource(kind="mains")})
    dry = grown(holding(row("cabbage")), weather("warm", rain_mm=0.2))
    wet = grown(holding(row("cabbage"), water=mains, use="garden", watered_by=("tap",)), weather("warm", rain_mm=0.2))
    depth_mm = wet.water_mm["irrigation_mm"][0].sum()
    efficiency = tables().row("growth", "irrigation_efficiency").need("number")

    assert dry.pick(dry.factors["water"])[0, 0] < 0.8
    assert wet.pick(wet.factors["water"])[0, 0] > 0.97
    assert wet.source_m3.sum() == pytest.approx(depth_mm * wet.area_m2[0] / 1000 / efficiency, rel=1e-9)


def test_a_dry_tank_leaves_people_short() -> None:
    """A small tank without rain leaves demand unmet, and counts the dry days."""
    tank = Water(source={"butt": WaterSource(kind="tank", volume_m3=5, fed_by_roof_m2=50)})
    result = grown(holding(row("oats"), water=tank), weather("warm", rain_mm=0.0), 0.5)

    assert result.unmet_m3.sum() == pytest.approx(0.5 * 365)
    assert result.source_dry_days.sum() == 365


def test_roof_water_is_rain_times_roof_times_coefficient() -> None:
    """A roof of 100 m2 under 1,000 mm gives 85 m3 to people who take all of it (coefficient 0.85)."""
    tank = Water(source={"butt": WaterSource(kind="tank", volume_m3=500, fed_by_roof_m2=100)})
    forcing = weather("cool", rain_mm=2.0)
    result = grown(holding(row("oats"), water=tank), forcing, 50.0)

    assert result.source_m3.sum() == pytest.approx(0.85 * 100 * forcing.rain_mm[365:].sum() / 1000, rel=1e-9)


def test_two_plantings_follow_in_one_year() -> None:
    """Turnips sown after potatoes on the same strip are gathered too, later in the same year."""
    plan = holding(row("potato", variety="early"), row("turnip", "after", after="potato"))
    result = grown(plan, weather("hot", rain_mm=4.0))
    first, second = result.pick(result.gather_last)[:, 0]

    assert len(result.layout.strips) == 1
    assert result.pick(result.sow_day)[1, 0] > first
    assert (result.harvest_kg[:, :, 0].sum(axis=1) > 0).all()
    assert second > first


def test_turnip_is_ready_in_about_sixty_days() -> None:
    """In a cool summer turnips sown in June are ready in sixty days or little more. Common practice."""
    result = grown(holding(row("turnip", MonthDay(6, 1))), weather("cool", rain_mm=4.0))
    days = result.pick(result.gather_first)[0, 0] - result.pick(result.sow_day)[0, 0]

    assert 45 <= days <= 70


def test_harvest_months_sum_to_the_harvest() -> None:
    """Kilograms by month are the yield on the strip's area, each planting once a year."""
    result = grown(holding(row("oats", share=0.5), row("kale", share=0.25)), weather("cool", lanes=3))
    expected = result.pick(result.yield_kg_ha) * result.area_m2[:, None] / 10_000

    np.testing.assert_allclose(result.harvest_kg.sum(axis=1), expected, rtol=1e-12)


def test_levels_of_management_step_the_yield() -> None:
    """On ground fed enough a hand garden yields half of a good smallholder, the handbook's best 1.65 times."""
    plan, fed = holding(row("oats")), [dressing("field.oats", AMPLE_N_KG_HA)]
    yields = {}
    for level in ("hand garden", "good smallholder", "handbook best"):
        part = plan.model_copy(update={"goal": plan.goal.model_copy(update={"level": level})})
        yields[level] = float(grown(part, weather("cool"), dressings=fed).yield_kg_ha[0, 1, 0])

    assert yields["hand garden"] / yields["good smallholder"] == pytest.approx(0.5)
    assert yields["handbook best"] / yields["good smallholder"] == pytest.approx(1.65)


def test_tunnel_warms_and_keeps_the_rain_off() -> None:
    """Under a tunnel tomatoes ripen sooner than outside, and no rain reaches the soil."""
    mains = Water(source={"tap": WaterSource(kind="mains")})
    outside, inside = (
        grown(holding(row("tomato"), water=mains, use="garden", cover=cover, watered_by=("tap",)), weather("warm"))
        for cover in ("open", "tunnel")
    )

    assert inside.pick(inside.gather_first)[0, 0] < outside.pick(outside.gather_first)[0, 0]
    assert inside.water_mm["rain_mm"].sum() == 0


def test_every_crop_has_traits_without_holes() -> None:
    """No crop of the table gives a kernel a number that is not finite, a zero target or a canopy without light."""
    for crop in tables().keys("crops"):
        column = crop_traits(tables(), crop)
        assert np.isfinite(column).all(), crop
        assert column[tr.TARGET] > 0, crop
        assert column[tr.GROW_FULL_C] > column[tr.BASE_C], crop
        assert column[tr.KC_A] < column[tr.KC_B] <= 1, crop
    assert len(NAMES) == tr.COUNT


def test_early_sorts_ripen_sooner() -> None:
    """A variety called early takes the table's early sum where there is one."""
    early, main = crop_traits(tables(), "maize_grain", "early flint"), crop_traits(tables(), "maize_grain")

    assert early[tr.TARGET] < main[tr.TARGET]


def test_a_holding_without_plantings_still_has_its_water() -> None:
    """No strip at all is no error, and people's draw is still booked."""
    mains = Water(source={"tap": WaterSource(kind="mains")})
    result = grown(holding(water=mains), weather(), 0.4)

    assert result.plantings == ()
    assert result.harvest_kg.shape == (0, 12, 1)
    assert result.source_m3.sum() == pytest.approx(0.4 * 365)


@pytest.mark.parametrize("demand", [0.3, np.full(12, 0.3), np.full(730, 0.3)])
def test_demand_may_be_given_once_by_month_or_by_day(demand: Any) -> None:
    """One number, twelve months and 730 days of the same draw are the same."""
    mains = Water(source={"tap": WaterSource(kind="mains")})

    assert grown(holding(row("oats"), water=mains), weather(), demand).source_m3.sum() == pytest.approx(0.3 * 365)


def test_many_strips_take_the_compiled_path_and_give_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Above the threshold the compiled kernel runs; its yields are those of the NumPy path."""
    from yardland.growth import run as module

    plan, forcing = holding(row("oats", share=0.5), row("tomato", share=0.5)), weather("warm", lanes=3)
    monkeypatch.setattr(module, "NUMBA_FROM_STRIPS", 10**9)
    small = grown(plan, forcing)
    monkeypatch.setattr(module, "NUMBA_FROM_STRIPS", 0)
    large = grown(plan, forcing)

    np.testing.assert_allclose(small.yield_kg_ha, large.yield_kg_ha, rtol=1e-9)
    np.testing.assert_array_equal(small.sow_day, large.sow_day)


@pytest.mark.parametrize("light", [1.0, 3.0, 10.0])
def test_no_crop_passes_its_highest_figure(light: float) -> None:
    """However bright and long the season, a crop of the middle level yields at most the table's high figure."""
    plan = holding(row("onion", share=0.5), row("chard", share=0.5))
    result = grown(plan, weather("cool", light=light))
    per_ha = result.pick(result.yield_kg_ha)[:, 0] / 1000
    product = np.prod([result.pick(values)[:, 0] for values in result.factors.values()], axis=0)
    high = [tables().row("crops", crop).need("typical_yield_high_t_ha") for crop in ("onion", "chard")]

    assert np.all(per_ha <= np.array(high) + 1e-9)
    assert per_ha == pytest.approx(result.mid_t_ha * product, rel=1e-4)
