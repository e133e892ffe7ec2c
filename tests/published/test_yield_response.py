"""Yield response to water: 1 - Ky x deficit, for every crop, with deficits of 0.1 to 0.3 spread evenly.

Source: Doorenbos & Kassam 1979, Yield response to water, FAO Irrigation and Drainage Paper 33; the factors and their
standing are those of the crop table. On light ground, water comes once in WETTING_DAYS days while a crop stands and
never else, each time the same share of what it transpires till the next; the year before goes the same way, so that no
store from the winter breaks the evenness.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from crops_kit import AMPLE, F64, Whole, booked, full, stand, strip_crops, watered, wholes
from growth_kit import holding, laid, tables, weather
from growth_kit import row as line
from outside import Outside

from yardland.growth import traits as tr
from yardland.growth.crop_traits import FORAGE
from yardland.growth.io import KernelOutput
from yardland.growth.run import kernel_input, run_kernel

SHARES = np.linspace(0.0, 2.4, 25)
WETTING_DAYS = 7
DEFICITS = np.array([0.1, 0.2, 0.3])
WITHIN = 0.1
OUTSIDE = frozenset(
    {
        *("winter_wheat", "vetch", "rye_cover"),  # want of water in a cold spell costs little
        *("sorghum", "millet", "soybean", "sunflower"),  # hardier by the handbook than light and water make them here
        *("buckwheat", "winter_squash", "flax"),
    }
)
"""Crops whose simulated response lies further from the published one; the page lists them with their numbers."""
HEADING = "Crops outside the published yield response (relative yield within 0.1 of 1 - Ky x deficit)"
ET, EVAPORATION = (tr.WATER_TERMS.index(term) for term in ("et_mm", "evaporation_mm"))


def transpired_mm(whole: Whole) -> F64:
    """What the crop transpires in each larder month when nothing is short."""
    most = full(whole.climate, whole.start_month).water[:, whole.strip, :, 0]
    return most[ET] - most[EVAPORATION]


def waterings_mm(whole: Whole) -> F64:
    """Water by day on the axis that replaces what the crop transpires when nothing is short."""
    given = stand(whole.climate, whole.start_month).given
    month, days = given.month, np.arange(tr.AXIS)
    standing = (days >= whole.sown) & (days <= whole.ended)
    eto = np.where(standing, given.eto_mm[whole.strip, :, 0], 0.0)
    by_month = np.bincount(month[month >= 0], weights=eto[month >= 0], minlength=12)
    a_mm_of_eto = transpired_mm(whole) / np.where(by_month > 0, by_month, 1.0)
    need = eto * np.where(month >= 0, a_mm_of_eto[month], 1.0)
    water = np.zeros(tr.AXIS)
    for day in range(whole.sown, whole.ended + 1, WETTING_DAYS):
        water[day] = need[day : day + WETTING_DAYS].sum()
    before = np.append(water[tr.YEAR :], np.zeros(tr.YEAR))
    return np.where(days < tr.YEAR, np.maximum(water, before), water)


@cache
def short(climate: str, start_month: int) -> KernelOutput:
    """The stand under each of SHARES of its waterings, one lane each."""
    given = stand(climate, start_month).given
    water = np.zeros((given.strips, tr.AXIS))
    for whole in wholes():
        if (whole.climate, whole.start_month) == (climate, start_month):
            water[whole.strip] = waterings_mm(whole)
    return run_kernel(watered(given, water[:, :, None] * SHARES))


def response(whole: Whole) -> tuple[F64, F64]:
    """Deficit and relative yield by lane, in the order of the deficit.

    The deficit is 1 - ETc adj / ETc of FAO-56 chapter 8: ETc has the same evaporation from the same wetting and a
    transpiration that is never short (equations 80 and 90). The first point is the crop that is watered every day.
    """
    out = short(whole.climate, whole.start_month)
    et, evaporated = (out.water[term, whole.strip, booked(whole)].sum(axis=0) for term in (ET, EVAPORATION))
    deficit = 1.0 - et / (evaporated + transpired_mm(whole)[booked(whole)].sum())
    left = out.dm_g_m2[whole.row] / full(whole.climate, whole.start_month).dm_g_m2[whole.row, 0]
    deficit, left = np.append(0.0, deficit), np.append(1.0, left)
    order = np.argsort(deficit, kind="stable")
    return deficit[order], left[order]


def test_every_crop_is_there() -> None:
    """No crop is left out of the response by a season that cannot be booked."""
    assert tuple(whole.crop for whole in wholes()) == strip_crops()


@pytest.mark.parametrize("crop", strip_crops())
def test_yield_falls_with_water_as_published(outside, crop: str) -> None:
    """Within 0.1 of 1 - Ky x deficit; crops that are not are named in OUTSIDE and on the page, and no other is."""
    deficit, left = response(next(whole for whole in wholes() if whole.crop == crop))
    check_response(outside, crop, deficit, left)


def check_response(outside: Outside, crop: str, deficit: F64, left: F64) -> None:
    """The response at each of DEFICITS lies within the published one's tolerance, or the crop is told to be outside."""
    assert deficit[-1] > DEFICITS[-1]
    got = np.interp(DEFICITS, deficit, left)
    row = tables().row("crops", crop)
    published = 1.0 - row.need("ky_season") * DEFICITS
    name = f"{row.text('common_name').lower()}, Ky {row.need('ky_season'):g}"
    assert (np.abs(got - published).max() > WITHIN) == (crop in OUTSIDE)
    if crop in OUTSIDE:
        words = ", ".join(f"{value:.2f} for {want:.2f}" for value, want in zip(got, published, strict=True))
        outside.tell(HEADING, f"{name}: yield left at deficits of 0.1, 0.2, 0.3: {words}.")
    else:
        what = f"{name}: yield left at deficits of 0.1, 0.2, 0.3"
        source = "FAO-33" if row.text("src_ky") == "fao33_ky" else "FAO-33, by likeness"
        outside.check_close("Ky", what, source, row.text("st_ky"), published, got, WITHIN)


def sward_response(crop: str) -> tuple[F64, F64]:
    """Deficit and relative growth of a sward's year by lane, in the order of the deficit."""
    climate = tables().row("anchors", crop).text("climate").split()[-1]
    plan, forcing = holding(line(crop)), weather(climate)
    given, _ = kernel_input(plan, tables(), forcing, laid(plan, forcing))
    given.traits[tr.N_CRITICAL_PCT] = 1e-6
    eto = given.eto_mm[given.strip_cover, :, 0]
    most = run_kernel(watered(given, AMPLE * eto[:, :, None]))
    transpired = (most.water[ET] - most.water[EVAPORATION])[0, :, 0]
    calendar = np.tile(given.month[tr.YEAR :], 2)
    a_mm_of_eto = transpired / np.bincount(calendar[tr.YEAR :], weights=eto[0, tr.YEAR :], minlength=12)
    need = eto[0] * a_mm_of_eto[calendar]
    water = np.zeros(tr.AXIS)
    for day in range(0, tr.AXIS, WETTING_DAYS):
        water[day] = need[day : day + WETTING_DAYS].sum()
    out = run_kernel(watered(given, water[None, :, None] * SHARES))
    wanted = out.water[EVAPORATION, 0].sum(axis=0) + transpired.sum()
    deficit = np.append(0.0, 1.0 - out.water[ET, 0].sum(axis=0) / wanted)
    left = np.append(1.0, out.sward[tr.GREW, 0].sum(axis=0) / most.sward[tr.GREW, 0].sum())
    order = np.argsort(deficit, kind="stable")
    return deficit[order], left[order]


@pytest.mark.parametrize("crop", FORAGE)
def test_swards_fall_with_water_as_published(outside, crop: str) -> None:
    """The year's growth of a sward, water spread evenly over the year: within 0.1 of 1 - Ky x deficit, or named."""
    check_response(outside, crop, *sward_response(crop))
