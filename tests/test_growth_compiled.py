"""Compiled loops give the bits of the NumPy loops beside which they stand, and Philox those of NumPy's generator."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from yardland import load
from yardland.growth import one_layer as layer_module
from yardland.growth import snow as snow_module
from yardland.growth.compiled import compiled, day_loops
from yardland.growth.hazards.draws import BLOCK, blocks
from yardland.growth.one_layer import one_layer
from yardland.growth.snow import snow, soil_c
from yardland.growth.texture import first_soil
from yardland.reference import load_tables
from yardland.weather.generator.streams import YEAR_OFFSET
from yardland.weather.read import load_weather
from yardland.weather.types import Forcing
from yardland.weather.years import larder_years

TABLES = load_tables()
HOLDING = load(Path(__file__).parent.parent / "examples" / "tarn-hollow")


@pytest.fixture(scope="module")
def cold() -> Forcing:
    """The record of a hill farm, six degrees colder: snow lies for months and melts again."""
    forcing = larder_years(load_weather(HOLDING, 1), HOLDING.place.year_starts.month)
    return replace(forcing, tmin_c=forcing.tmin_c - 6.0, tmax_c=forcing.tmax_c - 6.0)


def both(made: Callable[[], list[np.ndarray]], monkeypatch: pytest.MonkeyPatch) -> tuple[list[np.ndarray], ...]:
    """What is made compiled, and by NumPy's loops."""
    assert day_loops() is not None
    first = made()
    for module in (snow_module, layer_module):
        monkeypatch.setattr(module, "day_loops", lambda: None)
    return first, made()


def test_snow_and_soil_are_the_same_to_the_bit(cold: Forcing, monkeypatch: pytest.MonkeyPatch) -> None:
    """What falls, melts and lies, and how warm the soil is beneath it, over thirty years."""
    mean = (cold.tmin_c + cold.tmax_c) / 2

    def made() -> list[np.ndarray]:
        fallen = snow(TABLES, mean, cold.rain_mm)
        return [fallen.melted_mm, fallen.lies_mm, soil_c(TABLES, mean, fallen.lies_mm)]

    one, other = both(made, monkeypatch)

    assert one[1].max() > 50.0
    assert all(np.array_equal(a, b) for a, b in zip(one, other, strict=True))


@pytest.mark.parametrize("at_hand_mm", [None, 3.0])
def test_water_under_trees_is_the_same_to_the_bit(
    cold: Forcing, monkeypatch: pytest.MonkeyPatch, at_hand_mm: float | None
) -> None:
    """Shallow ground that dries out, with and without water to give."""
    hot = replace(cold, eto_mm=3.0 * cold.eto_mm)
    at_hand = None if at_hand_mm is None else np.full_like(hot.rain_mm, at_hand_mm)

    def made() -> list[np.ndarray]:
        soil = first_soil(HOLDING, TABLES)
        found = one_layer(TABLES, hot, soil, root_m=0.4, depletion_p=0.5, kc=1.1, water_at_hand_mm=at_hand)
        return [found.ks, found.given_mm]

    one, other = both(made, monkeypatch)

    assert one[0].min() < 0.5
    assert (one[1].sum() > 0.0) == (at_hand_mm is not None)
    assert all(np.array_equal(a, b) for a, b in zip(one, other, strict=True))


def test_philox_is_numpys(monkeypatch: pytest.MonkeyPatch) -> None:
    """Years far apart, before and after nothing, out of order: each has the numbers that NumPy's generator gives it."""
    key = np.array([0xFFFFFFFFFFFFFFFF, 0x123456789ABCDEF0], dtype=np.uint64)
    years = np.array([2001, -900, 64_000, 0, 2001, -1])
    assert compiled("yardland.growth.hazards.counted") is not None

    found = blocks(key, years)

    for year, own in zip(years.tolist(), found, strict=True):
        there = np.random.Philox(key=key, counter=np.array([year + YEAR_OFFSET, 0, 0, 0], dtype=np.uint64))
        assert own.tolist() == there.random_raw(BLOCK).tolist()
    monkeypatch.setattr("yardland.growth.hazards.draws.compiled", lambda _: None)
    assert np.array_equal(blocks(key, years), found)
