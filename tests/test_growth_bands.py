"""Every crop of the table grown through the kernel with ordinary manure: days, yield, and a season squeezed by late sowing.

The checks in tests/published hold the same bands where nothing is short; here crops are sown by their windows, rained on,
manured as a good smallholder does, and wait for dry days. Which crops leave their band is listed in
docs/growth-anchors.md, and here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from growth_kit import dressing, grown_as_laid, holding, laid, row, tables, weather

from yardland.growth import traits as tr
from yardland.growth.crop_traits import FORAGE
from yardland.growth.layout import Layout
from yardland.growth.outcome import GrowthResult
from yardland.growth.reference_climate import CLIMATES
from yardland.holding.model import Holding
from yardland.weather.types import Forcing

PAGE = Path(__file__).parents[1] / "docs" / "growth-anchors.md"
ORDINARY = (25.0, 35.0)
"""Nitrogen of about 20 t/ha of farmyard manure: at hand at once, and free within the year, kg/ha."""
UNMANURED = 0.3
"""Crops that fix more than this share of their nitrogen are not manured."""
SQUEEZED, CLEARLY_LESS = 0.6, 0.8
WAITS_D = 3
"""Days that rain keeps a sowing or a harvest waiting."""


@dataclass(frozen=True)
class Stand:
    """Every crop on a strip of its own in one climate."""

    plan: Holding
    forcing: Forcing
    layout: Layout
    result: GrowthResult


def crops() -> tuple[str, ...]:
    """Every crop that is grown on strips."""
    return tuple(crop for crop in tables().keys("crops") if crop not in FORAGE)


def rained_on(climate: str) -> Forcing:
    """A reference climate with rain enough every third day, evapotranspiration by the season."""
    day = np.tile(np.arange(1.0, 366.0), 2)
    eto = 2.4 - 1.9 * np.cos(2 * np.pi * (day - 5) / 365)
    rain = np.where(np.arange(730) % 3 == 0, 12.0, 0.0)
    return replace(weather(climate), rain_mm=rain[:, None], eto_mm=eto[:, None])


@cache
def stand(climate: str) -> Stand:
    """All crops sown by their windows."""
    forcing = rained_on(climate)
    plan = holding(*(row(crop, share=0.01, line=number) for number, crop in enumerate(crops())))
    layout = laid(plan, forcing)
    return Stand(plan, forcing, layout, grow_manured(plan, forcing, layout))


def grow_manured(plan: Holding, forcing: Forcing, layout: Layout) -> GrowthResult:
    """Grown with ordinary manure on what does not fix its nitrogen."""
    fixes = {crop: tables().row("crops", crop).need("n_fixed_share") > UNMANURED for crop in crops()}
    fed = [dressing(planting.id, *ORDINARY) for planting in layout.plantings if not fixes[planting.crop]]
    return grown_as_laid(plan, forcing, layout, fed)


def climates_of(crop: str) -> list[str]:
    """The climates that fit a crop."""
    return tables().row("anchors", crop).text("climate").split()


def sowing(climate: str, crop: str, values: np.ndarray) -> float:
    """A value of the crop's sowing whose whole season lies on the axis."""
    number = crops().index(crop)
    which = 0 if stand(climate).result.gather_first[number, 0, 0] >= 0 else 1
    return float(values[number, which, 0])


@pytest.mark.parametrize("crop", [crop for crop in crops() if tables().row("crops", crop)["days_to_harvest_max"]])
def test_simulated_days_to_harvest_lie_in_the_tables_band(crop: str) -> None:
    """From sowing to the first gathering, as the kernel does it, in the best of the climates that fit the crop."""
    figures = tables().row("crops", crop)
    least, most = figures.need("days_to_harvest_min"), figures.need("days_to_harvest_max")
    days = []
    for climate in climates_of(crop):
        result = stand(climate).result
        days.append(sowing(climate, crop, result.gather_first - result.sow_day))
    inside = any(least - WAITS_D <= one <= most + WAITS_D for one in days)

    assert inside or crop in listed("days"), days
    assert not (inside and crop in listed("days")), "listed, but inside"


@pytest.mark.parametrize("crop", crops())
def test_yields_with_ordinary_manure_lie_in_the_tables_band(crop: str) -> None:
    """Between the table's low and high in every climate that fits the crop, or listed."""
    figures = tables().row("crops", crop)
    low, high = figures.need("typical_yield_low_t_ha"), figures.need("typical_yield_high_t_ha")
    yields = [sowing(climate, crop, stand(climate).result.yield_kg_ha) / 1000 for climate in climates_of(crop)]
    inside = all(low <= one <= high for one in yields)

    assert inside or crop in listed("yields"), yields
    assert not (inside and crop in listed("yields")), "listed, but inside"


@cache
def late(climate: str) -> GrowthResult:
    """Every crop sown so late that it has SQUEEZED of its degree-days until a full season's is gathered.

    The end is the first day of gathering; of what is picked over weeks the last.
    """
    here = stand(climate)
    strips = []
    for number, strip in enumerate(here.layout.strips):
        planting, crop = strip.plantings[0], strip.plantings[0].crop
        which = 0 if here.result.gather_last[number, 0, 0] >= 0 else 1
        picked = (tables().row("crops", crop)["picking_days"] or 0.0) > 1
        ends = here.result.gather_last if picked else here.result.gather_first
        sown, last = int(here.result.sow_day[number, which, 0]), int(ends[number, which, 0])
        if sown < 0 or last < 0:  # does not grow in this climate, which then is none of its own
            strips.append(strip)
            continue
        heat = degree_days(crop, here.forcing)[sown : last + 1]
        left = np.cumsum(heat[::-1])[::-1]
        after = int(np.argmax(left <= SQUEEZED * left[0]))
        opens = sown + after - tr.YEAR * which
        squeezed = replace(planting, opens=opens, closes=opens + 20, clear_by=last - tr.YEAR * which, free_by=0)
        strips.append(replace(strip, plantings=(squeezed,)))
    return grow_manured(here.plan, here.forcing, replace(here.layout, strips=tuple(strips)))


def degree_days(crop: str, forcing: Forcing) -> np.ndarray:
    """Of every day on the axis."""
    figures = tables().row("crops", crop)
    mean = (forcing.tmin_c + forcing.tmax_c)[:, 0] / 2
    return np.clip(mean, None, figures.need("upper_temp_c")).clip(figures.need("base_temp_c")) - figures.need(
        "base_temp_c"
    )


@pytest.mark.parametrize("crop", crops())
def test_sown_so_late_that_it_has_six_tenths_of_its_warmth_it_yields_less_or_is_lost(crop: str) -> None:
    """Under eight tenths of the full season's yield, in every climate that fits the crop, or listed."""
    left = []
    for climate in climates_of(crop):
        full, squeezed = (
            sowing(climate, crop, result.yield_kg_ha) for result in (stand(climate).result, late(climate))
        )
        left.append(squeezed / full)
    inside = all(one < CLEARLY_LESS for one in left)

    assert inside or crop in listed("late"), left
    assert not (inside and crop in listed("late")), "listed, but clearly lower"


@cache
def listed(what: str) -> frozenset[str]:
    """Crops that the page lists outside for days, yields or late sowing."""
    starts = {
        "days": "Days outside the band: ",
        "yields": "Yields outside the band: ",
        "late": "Late sowings that lose less: ",
    }
    line = next(each for each in PAGE.read_text(encoding="utf-8").splitlines() if each.startswith(starts[what]))
    names = {tables().row("crops", crop).text("common_name").lower(): crop for crop in crops()}
    found = line.removeprefix(starts[what]).split(". ")[0].rstrip(".")
    return frozenset(names[name.strip()] for name in found.split(";") if name.strip() != "none")


def test_every_climate_of_reference_is_used() -> None:
    """Each reference climate fits a dozen crops at least."""
    for climate in CLIMATES:
        assert sum(climate in climates_of(crop) for crop in crops()) >= 12
