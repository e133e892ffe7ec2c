"""A planting that is never sown says which gate held it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from growth_kit import holding, laid, tables, weather

from yardland.growth.run import grow
from yardland.holding.model import MonthDay, PlantingRow, Span
from yardland.season.unsown import why_unsown
from yardland.weather.types import Forcing


def told(row: PlantingRow, forcing: Forcing, *more: PlantingRow) -> str:
    """What is said of the last of some plantings."""
    plan = holding(*more, row)
    grown = grow(plan, tables(), forcing, laid(plan, forcing))
    index = len(grown.plantings) - 1

    assert grown.status_words(index, 0) == "not sown"
    return why_unsown(tables(), forcing, grown, 0, index)


def test_a_cold_window_says_how_cold_it_was() -> None:
    """An automatic window whose spring never warms names its ten-day mean and what the crop asks."""
    warm = weather("cool")
    plan = holding(PlantingRow(line=2, plot="field", crop="dry_bean"))
    layout = laid(plan, warm)
    cold = replace(warm, tmin_c=np.full_like(warm.tmin_c, 2.0), tmax_c=np.full_like(warm.tmax_c, 8.0))
    grown = grow(plan, tables(), cold, layout)
    words = why_unsown(tables(), cold, grown, 0, 0)

    assert "warm enough" in words
    assert "5.0 C at most" in words


def test_ground_that_never_dries_says_so() -> None:
    """Rain every day of a typed window keeps the bed from being made."""
    dry = weather("cool")
    wet = replace(dry, rain_mm=np.full_like(dry.rain_mm, 20.0))
    row = PlantingRow(line=2, plot="field", crop="oats", sow=Span(MonthDay(4, 1), MonthDay(4, 20)))

    assert "too wet" in told(row, wet)


def test_a_strip_that_is_never_free_says_what_stood_there() -> None:
    """Swedes behind oats that a cold summer keeps standing past the swedes' window say that something stood in their place."""
    usual = weather("cool")
    oats = PlantingRow(line=2, plot="field", crop="oats")
    plan = holding(oats, PlantingRow(line=3, plot="field", crop="swede", sow="after", after="oats"))
    layout = laid(plan, usual)
    cold = replace(usual, tmin_c=usual.tmin_c - 3, tmax_c=usual.tmax_c - 3)
    grown = grow(plan, tables(), cold, layout)

    assert grown.status_words(0, 0) == "gathered"
    assert grown.status_words(1, 0) == "not sown"
    assert "stood on the strip" in why_unsown(tables(), cold, grown, 0, 1)
