"""Every crop, sward and tree in climates far from home: no crash, no number that is none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from growth_kit import grown, holding, laid, row, swards, tables, weather

from yardland.growth.trees import grow_trees
from yardland.holding.model import Sward
from yardland.weather.sun import daylength_h, twilight_daylength_h
from yardland.weather.types import Forcing

DAY = np.tile(np.arange(1.0, 366.0), 2)[:, None]
CLIMATES = {
    "tropical lowland": (3.0, 26.5, 0.8, 9.0, 6.0),
    "tropical highland": (-2.0, 15.0, 0.5, 11.0, 3.0),
    "boreal": (64.0, 1.5, 14.0, 9.0, 1.5),
    "cold desert": (45.0, 7.0, 17.0, 15.0, 0.2),
    "edge of the circle": (66.0, 3.0, 10.0, 7.0, 2.0),
}


def far(name: str) -> Forcing:
    """Weather by rule: latitude, mean, swing, daily range, rain a day; noise from a fixed seed."""
    latitude, mean, swing, spread, rain = CLIMATES[name]
    rng = np.random.default_rng(7)
    turn = -1.0 if latitude < 0 else 1.0
    tmean = mean - turn * swing * np.cos(2 * np.pi * (DAY - 20) / 365) + rng.normal(0, 2.5, (730, 3))
    return replace(
        weather("cool", lanes=3),
        tmin_c=tmean - spread / 2,
        tmax_c=tmean + spread / 2,
        rain_mm=np.where(rng.random((730, 3)) < 0.35, rng.gamma(0.8, rain / 0.28, (730, 3)), 0.0),
        daylength_h=np.repeat(daylength_h(latitude, DAY), 3, axis=1),
        twilight_daylength_h=np.repeat(twilight_daylength_h(latitude, DAY), 3, axis=1),
        latitude_deg=latitude,
    )


@pytest.mark.parametrize("name", CLIMATES)
def test_every_crop_can_be_asked_for_anywhere(name: str) -> None:
    """Each crop gets a window with words and a finite yield, nothing negative, factors finite, in any climate."""
    crops = tables().keys("crops")
    plan = holding(*(row(crop, share=0.01) for crop in crops))
    result = grown(plan, far(name))

    assert len(result.plantings) == len(crops) - 3
    for planting in result.plantings:
        assert 0 <= planting.opens < 365
        assert planting.opens < planting.closes
        assert planting.words
    assert np.isfinite(result.yield_kg_ha).all()
    assert (result.yield_kg_ha >= 0).all()
    assert all(np.isfinite(values).all() for values in result.factors.values())
    assert np.isfinite(result.harvest_kg).all()


@pytest.mark.parametrize("name", CLIMATES)
def test_swards_and_trees_can_be_asked_for_anywhere(name: str) -> None:
    """Swards grow and trees bear finite amounts, never less than nothing."""
    from datetime import date

    from yardland.holding.model import TreeRow

    trees = tuple(TreeRow(species=species, count=1, planted=date(2000, 1, 1)) for species in tables().keys("trees"))
    plan = holding(trees=trees, use="grass", sward=Sward(kind="lucerne"))
    forcing = far(name)

    for sward in swards(plan, forcing):
        assert np.isfinite(sward.grown_kg_dm).all()
        assert (sward.grown_kg_dm >= 0).all()
    for tree in grow_trees(plan, tables(), forcing, 2024):
        assert np.isfinite(tree.kg).all()
        assert (tree.kg >= 0).all()


def test_crops_of_the_warm_season_fail_in_the_north() -> None:
    """At 64 degrees maize and tomatoes in the open are lost or next to nothing, barley and turnips are not."""
    plan = holding(*(row(crop, share=0.2) for crop in ("maize_grain", "tomato", "spring_barley", "turnip")))
    result = grown(plan, far("boreal"))
    share = result.pick(result.yield_kg_ha).mean(axis=1) / 1000 / result.mid_t_ha

    assert share[0] == 0
    assert share[1] < 0.3
    assert share[2] > 0.4
    assert share[3] > 0.4


def test_winter_cereals_fail_without_a_winter() -> None:
    """In the tropical lowland winter wheat finds no cold and is never ripe; sorghum is."""
    plan = holding(row("winter_wheat", share=0.5), row("sorghum", share=0.5))
    result = grown(plan, far("tropical lowland"))
    mean = result.pick(result.yield_kg_ha).mean(axis=1)

    assert mean[0] == 0
    assert mean[1] > 1000


def test_layout_says_when_nothing_is_expected() -> None:
    """The words of a hopeless planting say so before anything is grown."""
    words = laid(holding(row("sweet_potato")), far("boreal")).plantings[0].words

    assert "no sowing is expected to ripen" in words
