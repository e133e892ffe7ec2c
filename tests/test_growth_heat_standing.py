"""Heat at flowering, losses of a crop that waits, picking that thins the leaves: each against the tables and by its factor."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from growth_kit import (
    dressing,
    factor,
    grown,
    grown_as_laid,
    holding,
    laid,
    least_factor,
    row,
    t_ha,
    tables,
    weather,
)

from yardland.growth import traits as tr
from yardland.growth.outcome import FACTORS, GrowthResult
from yardland.growth.run import kernel_input
from yardland.growth.trace import trace
from yardland.weather.types import Forcing


def flowering(crop: str, forcing: Forcing) -> tuple[int, int]:
    """First and last day of flowering of the sowing that is gathered in the larder year."""
    plan = holding(row(crop))
    layout = laid(plan, forcing)
    given, _ = kernel_input(plan, tables(), forcing, layout)
    sowing = int(layout.sowing_rows[0, grown_as_laid(plan, forcing, layout).chosen[0, 0]])
    seen = trace(given, 0, [sowing])[sowing]
    morning = np.concatenate([[0.0], seen.days["ripeness"][:-1]])
    opens, closes = given.traits[tr.FLOWER_FROM, sowing], given.traits[tr.FLOWER_UNTIL, sowing]
    days = np.flatnonzero((morning >= opens) & (morning < closes))
    return seen.sow_day + int(days[0]), seen.sow_day + int(days[-1])


def hot(forcing: Forcing, first: int, last: int, tmax_c: float) -> Forcing:
    """The same weather with these days this hot and their means as they were: cooler nights."""
    tmin, tmax = forcing.tmin_c.copy(), forcing.tmax_c.copy()
    mean = (tmin + tmax) / 2
    tmax[first : last + 1] = tmax_c
    tmin[first : last + 1] = 2 * mean[first : last + 1] - tmax_c
    return replace(forcing, tmin_c=tmin, tmax_c=tmax)


def spell(crop: str, tmax_c: float, share: float = 1.0, climate: str = "warm") -> tuple[GrowthResult, GrowthResult]:
    """A crop spared, and in a spell of this heat over a share of its flowering, sown on the same days."""
    forcing = weather(climate, rain_mm=4.0)
    plan = holding(row(crop))
    layout = laid(plan, forcing)
    first, last = flowering(crop, forcing)
    until = first + max(round((last - first + 1) * share), 1) - 1
    return grown_as_laid(plan, forcing, layout), grown_as_laid(plan, hot(forcing, first, until, tmax_c), layout)


@pytest.mark.parametrize("crop", ["winter_wheat", "oats", "maize_grain", "pea_dry", "tomato"])
def test_a_hot_spell_at_flowering_lowers_the_set(crop: str) -> None:
    """A flowering as hot as the table's nine-tenths figure leaves a tenth to set: a tenth of the crop, or a fifth of it.

    Cereals need all their flowers, pulses, oilseeds and fruiting vegetables half; the factor is named heat.
    """
    figures = tables().row("crops", crop)
    needed = tables().row("canopy", figures.text("canopy_group")).need("flowers_needed")
    spared, struck = spell(crop, figures.need("flower_heat90_c"))

    # Days are whole: the last of them counts in full.
    assert factor(struck, "heat") == pytest.approx(0.1 / needed, abs=0.05)
    assert factor(spared, "heat") > 0.95
    assert least_factor(struck) == "heat"
    assert t_ha(struck) == pytest.approx(t_ha(spared) * factor(struck, "heat") / factor(spared, "heat"), rel=0.02)


@pytest.mark.parametrize("crop", ["winter_wheat", "tomato"])
def test_the_hotter_and_the_longer_the_less_sets(crop: str) -> None:
    """Heat takes more as it rises between a tenth and nine tenths, and more over the whole of flowering than over half."""
    figures = tables().row("crops", crop)
    tenth, most = figures.need("flower_heat10_c"), figures.need("flower_heat90_c")
    shares = [factor(spell(crop, at)[1], "heat") for at in (tenth - 4, (tenth + most) / 2, most)]
    half = factor(spell(crop, most, share=0.5)[1], "heat")

    assert shares[0] > 0.97
    assert shares == sorted(shares, reverse=True)
    assert shares[2] < half
    assert shares[2] < shares[0] - 0.5


@pytest.mark.parametrize("crop", ["winter_wheat", "dry_bean"])
def test_heat_outside_flowering_takes_no_flowers(crop: str) -> None:
    """The same days of heat before the first flower leave the set whole."""
    forcing = weather("warm", rain_mm=4.0)
    plan = holding(row(crop))
    layout = laid(plan, forcing)
    first, _ = flowering(crop, forcing)
    early = hot(forcing, first - 12, first - 3, 42.0)
    before, after = (factor(grown_as_laid(plan, each, layout), "heat") for each in (forcing, early))

    assert after == pytest.approx(before, abs=1e-9)


def test_crops_without_flowers_to_lose_do_not_mind() -> None:
    """Potatoes and cabbages, whose flowers are nobody's food, have no figure for heat and lose nothing to it."""
    for crop in ("potato", "cabbage", "onion", "kale"):
        result = grown(holding(row(crop)), weather("hot", rain_mm=4.0))
        assert factor(result, "heat") == 1


# --- what waits ----------------------------------------------------------------------------------------------------------


def wet_from_ripeness(crop: str, days: int) -> GrowthResult:
    """A grain crop whose ripeness is met by this many days of rain, and then a dry one."""
    forcing = replace(weather("cool"), rain_mm=np.zeros((730, 1)), eto_mm=np.full((730, 1), 0.5))
    plan = holding(row(crop))
    layout = laid(plan, forcing)
    fed = [dressing(f"field.{crop}", 100.0)]
    ripe = int(grown_as_laid(plan, forcing, layout, fed).gather_first[0, 1, 0])
    rain = forcing.rain_mm.copy()
    rain[ripe : ripe + days] = 3.0
    return grown_as_laid(plan, replace(forcing, rain_mm=rain), layout, fed)


@pytest.mark.parametrize("crop", ["spring_barley", "oats", "pea_dry"])
def test_grain_that_waits_in_the_wet_loses_by_the_table(crop: str) -> None:
    """Each wet day after ripeness costs the table's share of what is left, till a dry day comes; the factor says standing."""
    daily = tables().row("crops", crop).need("standing_loss_pct_day") / 100
    for days in (0, 4, 9):
        result = wet_from_ripeness(crop, days)
        assert result.factors["standing"][0, 1, 0] == pytest.approx((1 - daily) ** days, rel=1e-9)


def test_a_wet_harvest_is_gathered_at_last() -> None:
    """Rain without end does not keep grain standing for ever: it is gathered wet on the last day that the table allows."""
    crop = tables().row("crops", "oats")
    result = wet_from_ripeness("oats", 60)
    waited = int(result.gather_first[0, 1, 0]) - int(wet_from_ripeness("oats", 0).gather_first[0, 1, 0])

    assert waited == crop.need("stands_days")
    assert result.status[0, 1, 0] == tr.GATHERED
    assert result.factors["standing"][0, 1, 0] < 0.95


@pytest.mark.parametrize("crop", ["swede", "parsnip", "carrot", "leek"])
def test_roots_lifted_as_wanted_lose_a_little_each_day(crop: str) -> None:
    """What stands in the ground is lifted evenly: on average it loses what half of its days cost, and no more."""
    result = grown(holding(row(crop)), weather("cool", rain_mm=3.0))
    days = int(result.pick(result.gather_last - result.gather_first)[0, 0]) + 1
    daily = tables().row("crops", crop).need("standing_loss_pct_day") / 100

    assert days > 30
    assert factor(result, "standing") == pytest.approx((1 - daily) ** ((days - 1) / 2), rel=0.01)


def test_what_is_picked_as_it_ripens_loses_nothing() -> None:
    """Tomatoes and kale are picked over weeks, not left."""
    for crop in ("tomato", "kale"):
        assert factor(grown(holding(row(crop)), weather("warm", rain_mm=4.0)), "standing") == 1


# --- what is picked ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("crop", ["kale", "chard"])
def test_picking_leaves_thins_the_cover(crop: str) -> None:
    """From the first picking a leaf crop catches the table's share of the light it caught, and shades less ground."""
    forcing = weather("cool", rain_mm=3.0)
    plan = holding(row(crop))
    layout = laid(plan, forcing)
    given, _ = kernel_input(plan, tables(), forcing, layout)
    sowing = int(layout.sowing_rows[0, 1])
    seen = trace(given, 0, [sowing])[sowing]
    first = seen.stages["gathering begins"] - seen.sow_day
    share = tables().row("crops", crop).need("pick_cover_share")
    unthinned = replace(given, traits=given.traits.copy())
    unthinned.traits[tr.PICK_COVER] = 1.0
    whole = trace(unthinned, 0, [sowing])[sowing]

    assert share < 1
    np.testing.assert_allclose(seen.days["cover"][: first + 1], whole.days["cover"][: first + 1], rtol=1e-12)
    np.testing.assert_allclose(
        seen.days["cover"][first + 2 : first + 30], share * whole.days["cover"][first + 2 : first + 30], rtol=1e-9
    )


# --- all together --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("climate", ["cool", "warm", "hot"])
def test_all_factors_of_all_crops_multiply_to_the_yield(climate: str) -> None:
    """Whatever is short, the product of the factors is yield over level and middle yield, in every climate and for every crop."""
    rng = np.random.default_rng(11)
    forcing = weather(climate, rain_mm=1.0, lanes=4)
    noise = rng.normal(0, 3, (730, 4))
    rain = np.where(rng.random((730, 4)) < 0.3, rng.gamma(0.8, 6.0, (730, 4)), 0.0)
    forcing = replace(forcing, tmin_c=forcing.tmin_c + noise, tmax_c=forcing.tmax_c + noise + 2, rain_mm=rain)
    crops = tables().keys("crops")
    result = grown(holding(*(row(crop, share=0.01) for crop in crops)), forcing)
    product = np.prod(np.stack([result.factors[name] for name in FACTORS]), axis=0)
    relative = result.yield_kg_ha / (1000 * result.level * result.mid_t_ha[:, None, None])

    assert (result.yield_kg_ha > 0).sum() > 100
    np.testing.assert_allclose(
        np.where(result.yield_kg_ha > 0, product, 0.0), np.where(result.yield_kg_ha > 0, relative, 0.0), rtol=1e-4
    )
    assert (product[result.yield_kg_ha == 0] < 1e-6).all()
    assert t_ha(result) >= 0
