"""FAO-56 soil water against its printed examples, and runoff by curve number against its handbook.

Source of all unless said: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage Paper
56. Tolerances are the rounding of the print.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardland.growth.sky import runoff
from yardland.growth.soil_water import (
    day_balance,
    depletion_fraction,
    irrigation_net_mm,
    kc_curve,
    relative_yield,
    runoff_mm,
    stress_coefficient,
)

FAO56 = "Allen et al. 1998, FAO-56"
TR55 = "USDA TR-55 (1986)"
MEMORY = "from memory"
BEAN = (25.0, 25.0, 30.0, 20.0)
BEAN_KC = (0.15, 1.19, 0.35)
MM_PER_INCH = 25.4


def test_kc_of_dry_bean(outside) -> None:
    """The coefficient curve gives Example 28 (dry bean). Standing: from memory, recomputed."""
    got = [kc_curve(day, BEAN, BEAN_KC) for day in (20, 40, 70, 95)]
    what = "crop coefficient of dry bean on days 20, 40, 70, 95"
    outside.check_close("K35", what, "FAO-56 Example 28", MEMORY, [0.15, 0.77, 1.19, 0.56], got, 0.005)


def test_kc_at_the_ends_of_stages(outside) -> None:
    """At the ends of the stages (Table 11 use) the curve has its given values; after the crop there is none. Computed."""
    got = [kc_curve(day, BEAN, BEAN_KC) for day in (0, 25, 50, 80, 100, 101, -1)]
    what = "the same on days 0, 25, 50, 80, 100, 101, -1"
    expected = [0.15, 0.15, 1.19, 1.19, 0.35, 0.0, 0.0]
    outside.check_close("K36", what, "FAO-56 Table 11 use", "computed", expected, got, 0)


def test_depletion_fraction_follows_demand(outside) -> None:
    """The fraction is p + 0.04 (5 - ETc), between 0.1 and 0.8 (Table 22, footnote; tomato). Standing: from memory, recomputed."""
    got = [depletion_fraction(0.40, etc) for etc in (3, 5, 8, 14)] + [depletion_fraction(0.70, 1)]
    what = "fraction p at ETc 3, 5, 8, 14 mm (p 0.40) and 1 mm (p 0.70)"
    outside.check_close("K38", what, "FAO-56 Table 22", MEMORY, [0.48, 0.40, 0.28, 0.10, 0.80], got, 0.005)


def test_deep_percolation_only_when_full(outside) -> None:
    """Depletion 10, rain 40, ETc 5 leave 0 and percolate 25 mm (equation 88). Standing: from memory, recomputed."""
    balance = day_balance(10, 100, 40, 5)
    got = [balance.depletion_mm, balance.deep_percolation_mm]
    what = "depletion and percolation after depletion 10, rain 40, ETc 5, mm"
    outside.check_close("K41", what, "FAO-56 eq. 88", MEMORY, [0, 25], got, 0)


@given(
    depletion=st.floats(0, 150),
    more=st.floats(0.1, 100),
    water=st.floats(0, 120),
    etc=st.floats(0, 12),
)
def test_daily_balance_closes(depletion: float, more: float, water: float, etc: float) -> None:
    """Rain + irrigation - ET - percolation = fall of the depletion (equation 85), and none is negative. Identity."""
    available = depletion + more
    balance = day_balance(depletion, available, water, etc)

    assert water - balance.et_mm - balance.deep_percolation_mm == pytest.approx(
        depletion - balance.depletion_mm, abs=1e-9
    )
    assert 0 <= balance.depletion_mm <= available
    assert balance.deep_percolation_mm >= 0
    assert balance.deep_percolation_mm == 0 or balance.depletion_mm == 0


def test_the_balance_of_a_season_closes(outside) -> None:
    """Over 150 days of sun and storms, what came less what left is what the depletion fell by (equation 85). Identity."""
    depletion, came, left = 30.0, 0.0, 0.0
    for day in range(150):
        water = 45.0 if day % 9 == 0 else 0.0
        balance = day_balance(depletion, 90.0, water, 4.0 + day % 3)
        came, left = came + water, left + balance.et_mm + balance.deep_percolation_mm
        depletion = balance.depletion_mm
    what = "150 days: water in less evapotranspiration, percolation and gain, mm"
    outside.check_close("K40", what, "FAO-56 eq. 85", "identity", 0.0, came - left - (30.0 - depletion), 1e-9)


def test_irrigation_is_triggered_when_readily_available_water_is_used(outside) -> None:
    """From a depletion of 55 mm at 5 mm a day with RAW 64, water is given at the start of day 3: 65 mm (chapter 8).

    Standing: rule from memory, days computed.
    """
    depletion, given_on = 55.0, []
    for day in range(1, 31):
        given_mm = irrigation_net_mm(depletion, 64)
        given_on += [(day, given_mm)] if given_mm else []
        depletion += 5 - given_mm
    source = "FAO-56 chapter 8, Dr >= RAW"
    what = "first watering: day and depth in mm, from Dr 55, RAW 64, ETc 5"
    outside.check_close("K43", what, source, "computed", [3, 65], given_on[0], 0)
    gaps = [later - day for (day, _), (later, _) in pairwise(given_on)]
    outside.check_close("K43", "days between waterings after that", source, "computed", [13, 13], gaps, 0)
    assert irrigation_net_mm(70, 64, most_mm=10) == 10


def test_stress_begins_at_the_readily_available_water(outside) -> None:
    """Ks is 1 down to RAW, falls straight to 0 at TAW (equation 84). Standing: from memory."""
    got = [stress_coefficient(depletion, 100, 50) for depletion in (40, 50, 75, 100)]
    what = "stress coefficient at depletions of 40, 50, 75, 100 of 100 mm, RAW 50"
    outside.check_close("FAO-56 eq. 84", what, FAO56, MEMORY, [1, 1, 0.5, 0], got, 0)


def test_yield_response(outside) -> None:
    """Ky 1.25 at a tenth of the water leaves nothing, never less (FAO-33 form). Common practice."""
    got = [relative_yield(1.25, 0.1), relative_yield(1.25, 1)]
    what = "yield left with Ky 1.25 at a tenth of the water, at all of it"
    outside.check_close("K45", what, "FAO-56 eq. 90, never under 0", "common practice", [0, 1], got, 0)
    got = relative_yield(1.05, 0.8)
    what = "yield left with Ky 1.05 at a deficit of 0.2"
    outside.check_close("FAO-56 eq. 90", what, FAO56, MEMORY, 0.79, got, 1e-9)


def test_runoff_by_curve_number(outside) -> None:
    """USDA TR-55 (1986), Table 2-1. Standing: from memory, recomputed. The kernels' form on arrays is the same."""
    storms = [(1.0, 80), (2.0, 75), (3.0, 70), (4.0, 80), (5.0, 60), (4.0, 90), (10.0, 50)]
    printed = [0.08, 0.38, 0.71, 2.04, 1.30, 2.92, 3.56]
    got = [runoff_mm(rain * MM_PER_INCH, number) for rain, number in storms]
    in_inches = [depth / MM_PER_INCH for depth in got]
    what = "runoff of 1 in at CN 80, 2 at 75, 3 at 70, 4 at 80, 5 at 60, 4 at 90, 10 at 50, in"
    outside.check_close("K53", what, f"{TR55} Table 2-1", MEMORY, printed, in_inches, 0.01)
    in_inches = [runoff_mm(rain * MM_PER_INCH, number) / MM_PER_INCH for rain, number in ((5.0, 75), (6.0, 65))]
    what = "runoff of 5 in at CN 75, 6 in at CN 65, in"
    outside.check_close("G23", what, f"{TR55} Table 2-1", MEMORY, [2.45, 2.35], in_inches, 0.01)
    arrays = [float(runoff(rain * MM_PER_INCH, number)) for rain, number in storms]
    assert arrays == pytest.approx(got, abs=1e-12)


def test_runoff_of_the_pasture_and_the_houses(outside) -> None:
    """USDA TR-55 Examples 2-1 and 2-2, six inches of rain. Standing: published (text seen), result recomputed."""
    pasture = round(0.70 * 74 + 0.30 * 61)
    outside.check_same(
        "K50", "curve number of the pasture, weighted by area", f"{TR55} Example 2-1", "published", 70, pasture
    )
    got = runoff_mm(6 * MM_PER_INCH, pasture) / MM_PER_INCH
    outside.check_close("K50", "its runoff of 6 in, in", f"{TR55} Example 2-1 (text seen)", MEMORY, 2.81, got, 0.02)
    got = runoff_mm(6 * MM_PER_INCH, 75) / MM_PER_INCH
    what = "runoff of 6 in from the houses, CN 75, in"
    outside.check_close("K51", what, f"{TR55} Example 2-2 (text seen)", MEMORY, 3.28, got, 0.02)


def test_runoff_of_eight_inches(outside) -> None:
    """CN 80 and eight inches of rain: 5.625 in run off. Standing: published (worked answer in a stored page)."""
    got = runoff_mm(8 * MM_PER_INCH, 80) / MM_PER_INCH
    what = "runoff of 8 in at CN 80, in"
    outside.check_close("G21", what, "TR-55 eq. 2-3 and 2-4, a worked answer", "published", 5.625, got, 0.001)
