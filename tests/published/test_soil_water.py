"""FAO-56 soil water against its printed examples.

Source of all unless said: Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage Paper
56. Tolerances are the rounding of the print.
"""

from __future__ import annotations

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

BEAN = (25.0, 25.0, 30.0, 20.0)
BEAN_KC = (0.15, 1.19, 0.35)
MM_PER_INCH = 25.4


@pytest.mark.parametrize(("day", "kc"), [(20, 0.15), (40, 0.77), (70, 1.19), (95, 0.56)])
def test_kc_of_dry_bean(day: float, kc: float) -> None:
    """The coefficient curve gives Example 28 (dry bean). Standing: from memory, recomputed."""
    assert kc_curve(day, BEAN, BEAN_KC) == pytest.approx(kc, abs=0.005)


@pytest.mark.parametrize(
    ("day", "kc"), [(0, 0.15), (25, 0.15), (50, 1.19), (80, 1.19), (100, 0.35), (101, 0.0), (-1, 0.0)]
)
def test_kc_at_the_ends_of_stages(day: float, kc: float) -> None:
    """At the ends of the stages (Table 11 use) the curve has its given values; after the crop there is none. Computed."""
    assert kc_curve(day, BEAN, BEAN_KC) == pytest.approx(kc, abs=1e-12)


@pytest.mark.parametrize(
    ("p", "etc", "adjusted"), [(0.40, 3, 0.48), (0.40, 5, 0.40), (0.40, 8, 0.28), (0.40, 14, 0.10), (0.70, 1, 0.80)]
)
def test_depletion_fraction_follows_demand(p: float, etc: float, adjusted: float) -> None:
    """The fraction is p + 0.04 (5 - ETc), between 0.1 and 0.8 (Table 22, footnote; tomato). Standing: from memory, recomputed."""
    assert depletion_fraction(p, etc) == pytest.approx(adjusted, abs=0.005)


def test_deep_percolation_only_when_full() -> None:
    """Depletion 10, rain 40, ETc 5 leave 0 and percolate 25 mm (equation 88). Standing: from memory, recomputed."""
    balance = day_balance(10, 100, 40, 5)

    assert balance.depletion_mm == 0
    assert balance.deep_percolation_mm == 25


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


def test_irrigation_is_triggered_when_readily_available_water_is_used() -> None:
    """From a depletion of 55 mm at 5 mm a day with RAW 64, water is given at the start of day 3: 65 mm (chapter 8).

    Standing: rule from memory, days computed.
    """
    depletion, days, given_mm = 55.0, 0, 0.0
    while given_mm == 0:
        days += 1
        given_mm = irrigation_net_mm(depletion, 64)
        depletion += 5 - given_mm

    assert days == 3
    assert given_mm == 65
    assert irrigation_net_mm(70, 64, most_mm=10) == 10


def test_stress_begins_at_the_readily_available_water() -> None:
    """Ks is 1 down to RAW, falls straight to 0 at TAW (equation 84). Standing: from memory."""
    assert stress_coefficient(40, 100, 50) == 1
    assert stress_coefficient(75, 100, 50) == 0.5
    assert stress_coefficient(100, 100, 50) == 0


def test_yield_response_is_never_negative() -> None:
    """Ky 1.25 at a tenth of the water leaves nothing, never less (FAO-33 form). Common practice."""
    assert relative_yield(1.25, 0.1) == 0
    assert relative_yield(1.25, 1) == 1


@pytest.mark.parametrize(
    ("rain_in", "curve_number", "runoff_in"),
    [
        (1.0, 80, 0.08),
        (2.0, 75, 0.38),
        (3.0, 70, 0.71),
        (4.0, 80, 2.04),
        (5.0, 60, 1.30),
        (4.0, 90, 2.92),
        (10.0, 50, 3.56),
    ],
)
def test_runoff_by_curve_number(rain_in: float, curve_number: float, runoff_in: float) -> None:
    """USDA TR-55 (1986), Table 2-1. Standing: from memory, recomputed."""
    assert runoff_mm(rain_in * MM_PER_INCH, curve_number) / MM_PER_INCH == pytest.approx(runoff_in, abs=0.01)
    assert float(runoff(rain_in * MM_PER_INCH, curve_number)) == pytest.approx(
        runoff_mm(rain_in * MM_PER_INCH, curve_number), abs=1e-12
    )


@pytest.mark.parametrize(("curve_number", "runoff_in"), [(70, 2.81), (75, 3.28)])
def test_runoff_of_the_pasture_and_the_houses(curve_number: float, runoff_in: float) -> None:
    """USDA TR-55 Examples 2-1 and 2-2, six inches of rain. Standing: published (text seen), result recomputed."""
    assert runoff_mm(6 * MM_PER_INCH, curve_number) / MM_PER_INCH == pytest.approx(runoff_in, abs=0.02)
