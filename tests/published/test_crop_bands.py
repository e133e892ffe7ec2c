"""Every crop in a climate that fits it: days to harvest, yield, and what a season cut short leaves.

The bands are those of the crop table, with its sources and standings.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from crops_kit import Whole, full, stand, strip_crops, wholes
from growth_kit import grown, holding, row, tables, weather
from outside import STANDINGS

from yardland.datebook.season import season_climate
from yardland.datebook.windows import Windows
from yardland.growth import traits as tr
from yardland.growth.crop_traits import FORAGE
from yardland.growth.io import KernelOutput
from yardland.growth.outcome import GrowthResult, read_out
from yardland.growth.reference_climate import reference_forcing
from yardland.growth.run import run_kernel

SQUEEZED = 0.6
"""Share of the degree-days of its season that a squeezed crop gets."""
MOST_LEFT = 0.75
"""What is clearly lower."""


FIRST, MIDDLE, SOME = "the first day", "the middle day", "some day"


def words(crop: str) -> str:
    """What people call it."""
    return tables().row("crops", crop).text("common_name").lower()


def whole_of(crop: str) -> Whole:
    """The crop's season in its climate."""
    return next(whole for whole in wholes() if whole.crop == crop)


@cache
def windows(climate: str) -> Windows:
    """Sowing windows in a reference climate."""
    return Windows(tables(), season_climate(reference_forcing(tables(), climate)))


@pytest.mark.parametrize("crop", [crop for crop in strip_crops() if tables().row("crops", crop)["days_to_harvest_max"]])
def test_days_to_harvest_lie_in_the_tables_band(outside, crop: str) -> None:
    """In a climate that fits it, a crop ripens within the table's days to harvest.

    Sown on the first day of its window, else on its middle day; where neither does in any climate, on some other day of
    it, which the page tells.
    """
    row = tables().row("crops", crop)
    least, most = row.need("days_to_harvest_min"), row.need("days_to_harvest_max")
    tried: list[tuple[str, int, str]] = []
    for when in (FIRST, MIDDLE, SOME):
        for climate in tables().row("anchors", crop).text("climate").split():
            window = windows(climate).auto(crop)
            ripe = windows(climate).season(crop).ripe[np.arange(window.opens, window.closes + 1) % 365]
            days = {FIRST: ripe[:1], MIDDLE: ripe[len(ripe) // 2 :][:1], SOME: ripe}[when]
            tried += [(when, int(one), climate) for one in days if one > 0]
    when, got, climate = next((each for each in tried if least <= each[1] <= most), tried[0])
    if when == SOME:
        first = ", ".join(f"{days} ({place})" for of, days, place in tried if of == FIRST)
        said = f"{words(crop)}: {first} days from the first sowing, table {least:g} to {most:g}."
        outside.tell("Crops whose days to harvest lie in their band for some sowings alone", said)
    what = f"{words(crop)}: days to ripeness in a {climate} climate, sown on {when} of its window"
    outside.check_between("days", what, "crop table", row.text("st_days"), least, most, got)


@cache
def outcome(climate: str, start_month: int) -> GrowthResult:
    """Yields of a stand with nothing short."""
    the = stand(climate, start_month)
    return read_out(the.plan, tables(), the.layout, the.forcing, the.given, full(climate, start_month), ())


@cache
def cut_short(climate: str, start_month: int) -> GrowthResult:
    """The stand with every crop cleared at SQUEEZED of the degree-days of its season."""
    the = stand(climate, start_month)
    traits = the.given.traits.copy()
    for whole in wholes():
        if (whole.climate, whole.start_month) == (climate, start_month):
            tmean = the.given.tmean_c[whole.strip, whole.sown : whole.ended, 0]
            warm = np.minimum(tmean, traits[tr.PLATEAU_C, whole.row]) - traits[tr.BASE_C, whole.row]
            heat = np.cumsum(np.maximum(warm, 0.0))
            traits[tr.CLEAR_BY, whole.row] = whole.sown + int(np.searchsorted(heat, SQUEEZED * heat[-1]))
    given = replace(the.given, traits=traits)
    out: KernelOutput = run_kernel(given)
    return read_out(the.plan, tables(), the.layout, the.forcing, given, out, ())


def yield_t_ha(result: GrowthResult, whole: Whole) -> float:
    """Of the season that is whole."""
    return float(result.yield_kg_ha[whole.strip, whole.sowing, 0]) / 1000.0


@pytest.mark.parametrize("crop", strip_crops())
def test_a_crop_that_lacks_nothing_yields_between_low_and_high(outside, crop: str) -> None:
    """With water and nitrogen enough a good smallholder's crop yields between the table's low and high figure."""
    whole = whole_of(crop)
    got = yield_t_ha(outcome(whole.climate, whole.start_month), whole)
    what = f"{words(crop)}: yield in a {whole.climate} climate, nothing short, t/ha"
    outside.check_between("yield", what, "crop table", *yields_of(crop), got)


def yields_of(crop: str) -> tuple[str, float, float]:
    """Standing, low and high figure of the table's yield, t/ha."""
    figures = tables().row("crops", crop)
    standing = max((figures.text(f"st_yield_{end}") for end in ("low", "high")), key=STANDINGS.index)
    return standing, figures.need("typical_yield_low_t_ha"), figures.need("typical_yield_high_t_ha")


@pytest.mark.parametrize("crop", FORAGE)
def test_a_forage_crop_gives_hay_between_low_and_high(outside, crop: str) -> None:
    """With rain enough a sward that is mown as it grows gives hay between the table's low and high figure."""
    climate = tables().row("anchors", crop).text("climate").split()[0]
    sward = grown(holding(row(crop)), weather(climate, rain_mm=4.0)).swards[0]
    got = sward.hay_kg.sum() / sward.area_m2 * 10.0
    what = f"{words(crop)}: hay of a year in a {climate} climate with rain enough, t/ha"
    outside.check_between("yield", what, "crop table", *yields_of(crop), got)


@pytest.mark.parametrize("crop", strip_crops())
def test_a_squeezed_season_gives_clearly_less_or_nothing(outside, crop: str) -> None:
    """Cleared at 60 % of the degree-days of its season, a crop gives at most three quarters, or is lost."""
    whole = whole_of(crop)
    stand_of = (whole.climate, whole.start_month)
    left = yield_t_ha(cut_short(*stand_of), whole) / yield_t_ha(outcome(*stand_of), whole)
    what = f"{words(crop)}: share of its yield with {SQUEEZED:.0%} of its degree-days"
    outside.check_between(
        "squeezed", what, "light and ripeness it does not get", "common practice", 0.0, MOST_LEFT, left
    )
