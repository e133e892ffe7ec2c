"""FAO-56 (Allen, Pereira, Raes, Smith 1998, FAO Irrigation and Drainage Paper 56): its tables and worked examples.

Standing of each check stands beside it. `from memory` means: the printed value is remembered and the published
equation, run by itself, gives it within the rounding of the paper.
"""

from __future__ import annotations

import numpy as np
import pytest

from yardland.weather import eto
from yardland.weather.sun import (
    daylength_h,
    declination_rad,
    extraterrestrial_radiation_mj_m2,
    hour_angle_rad,
    inverse_relative_distance,
)


def test_example_1_energy_as_water():
    """80 % of 15 MJ/m2 a day evaporates 4.9 mm (Example 1; from memory)."""
    assert eto.evaporation_equivalent_mm(0.8 * 15) == pytest.approx(4.9, abs=0.05)


@pytest.mark.parametrize(
    ("altitude_m", "pressure_kpa", "gamma"),
    [
        (0, 101.3, 0.067),
        (100, 100.1, 0.067),
        (500, 95.5, 0.064),
        (1000, 90.0, 0.060),
        (1500, 84.8, 0.056),
        (2000, 79.8, 0.053),
        (3000, 70.5, 0.047),
    ],
)
def test_tables_2_1_and_2_2_pressure(altitude_m, pressure_kpa, gamma):
    """Pressure and psychrometric constant fall with altitude as in Annex 2 Tables 2.1 and 2.2 (from memory)."""
    assert eto.pressure_kpa(altitude_m) == pytest.approx(pressure_kpa, abs=0.1)
    assert eto.psychrometric_kpa_c(altitude_m) == pytest.approx(gamma, abs=0.0006)


@pytest.mark.parametrize(
    ("temperature_c", "slope"), [(10, 0.0823), (20, 0.1447), (25, 0.1888), (30, 0.2434), (40, 0.3931)]
)
def test_table_2_4_slope(temperature_c, slope):
    """The slope of the saturation curve is that of Annex 2 Table 2.4 (from memory)."""
    assert eto.slope_kpa_c(temperature_c) == pytest.approx(slope, abs=0.0003)


def test_example_3_saturation():
    """The mean of the extremes' saturation pressures is 2.39 kPa; that of the mean temperature only 2.30 (Ex. 3; from memory)."""
    assert eto.saturation_kpa(24.5) == pytest.approx(3.075, abs=0.005)
    assert eto.saturation_kpa(15.0) == pytest.approx(1.705, abs=0.005)
    assert eto.mean_saturation_kpa(15.0, 24.5) == pytest.approx(2.39, abs=0.005)
    assert eto.saturation_kpa(19.75) == pytest.approx(2.30, abs=0.005)


def test_example_5_vapour_pressure():
    """Vapour pressure is 1.70 kPa from the extremes of humidity and 1.78 from its mean (Ex. 5; from memory)."""
    assert eto.vapour_from_rh_range_kpa(18, 25, 54, 82) == pytest.approx(1.70, abs=0.01)
    assert eto.vapour_from_rh_mean_kpa(18, 25, 68) == pytest.approx(1.78, abs=0.01)


@pytest.mark.parametrize(
    ("height_m", "factor"), [(1, 1.180), (1.5, 1.066), (2, 1.000), (3, 0.921), (5, 0.838), (10, 0.748)]
)
def test_table_2_9_wind_factors(height_m, factor):
    """Wind is brought to 2 m by the factors of Annex 2 Table 2.9 (from memory)."""
    assert eto.wind_at_2m_m_s(1.0, height_m) == pytest.approx(factor, abs=0.005)


def test_example_14_wind():
    """3.2 m/s at 10 m is 2.4 m/s at 2 m (Ex. 14; from memory)."""
    assert eto.wind_at_2m_m_s(3.2, 10) == pytest.approx(2.4, abs=0.05)


def test_example_8_extraterrestrial_radiation():
    """20 S on 3 September gets 32.2 MJ/m2, 13.1 mm (Ex. 8; from memory)."""
    assert inverse_relative_distance(246) == pytest.approx(0.985, abs=0.0005)
    assert declination_rad(246) == pytest.approx(0.120, abs=0.0005)
    assert hour_angle_rad(-20, 246) == pytest.approx(1.527, abs=0.0005)
    radiation = extraterrestrial_radiation_mj_m2(-20, 246)
    assert radiation == pytest.approx(32.2, abs=0.1)
    assert eto.evaporation_equivalent_mm(radiation) == pytest.approx(13.1, abs=0.05)


def test_example_7_latitudes_in_radians():
    """13 44' N and 22 54' S are 0.240 and -0.400 rad (Ex. 7; from memory): the geometry takes degrees and their minutes."""
    equinox_like = 80.0
    for degrees, radians in ((13 + 44 / 60, 0.240), (-(22 + 54 / 60), -0.400)):
        by_hand = np.arccos(-np.tan(radians) * np.tan(declination_rad(equinox_like)))
        assert hour_angle_rad(degrees, equinox_like) == pytest.approx(by_hand, abs=0.001)


def test_table_2_7_daylight_at_50_north():
    """Daylight on the 15th of each month at 50 N is that of Annex 2 Table 2.7 (from memory)."""
    days = np.array([15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349.0])
    printed = [8.3, 9.8, 11.6, 13.5, 15.2, 16.1, 15.7, 14.3, 12.3, 10.4, 8.7, 7.9]
    assert daylength_h(50, days) == pytest.approx(printed, abs=0.1)


def test_equation_21_through_the_year():
    """R_a at 50 N and 30 N at mid-month days is what an independent run of equation 21 gave (computed: from memory)."""
    days = np.array([15, 46, 75, 105, 135, 166, 196, 227, 258, 288, 319, 349.0])
    at_50 = [8.9, 14.4, 22.5, 31.5, 38.5, 41.7, 40.2, 34.3, 25.6, 16.8, 10.2, 7.5]
    at_30 = [21.1, 25.8, 31.6, 36.8, 40.0, 41.2, 40.5, 38.0, 33.3, 27.5, 22.2, 19.7]
    assert extraterrestrial_radiation_mj_m2(50, days) == pytest.approx(at_50, abs=0.1)
    assert extraterrestrial_radiation_mj_m2(30, days) == pytest.approx(at_30, abs=0.1)


def test_example_11_net_longwave():
    """Rio in May loses 3.5 MJ/m2 by long-wave radiation (Ex. 11; from memory)."""
    high, low = (eto.STEFAN_BOLTZMANN_MJ_K4_M2_DAY * (t + 273.16) ** 4 for t in (25.1, 19.1))
    assert (high, low) == pytest.approx((38.8, 35.8), abs=0.05)
    assert eto.net_longwave_mj_m2(19.1, 25.1, 2.1, 14.5, 18.8) == pytest.approx(3.5, abs=0.05)


def test_example_13_soil_heat():
    """The soil of Algiers takes 0.33 MJ/m2 a day in April (Ex. 13; from memory)."""
    assert eto.soil_heat_monthly_mj_m2(14.1, 18.8) == pytest.approx(0.33, abs=0.005)


def test_example_15_radiation_from_temperature_range():
    """Lyon in July gets 22.3 MJ/m2 by its range of temperature (Ex. 15; from memory)."""
    ra = extraterrestrial_radiation_mj_m2(45 + 43 / 60, 196)
    assert ra == pytest.approx(40.6, abs=0.1)
    rs = eto.radiation_from_range_mj_m2(14.8, 26.6, ra)
    assert rs == pytest.approx(22.3, abs=0.1)
    assert eto.evaporation_equivalent_mm(rs) == pytest.approx(9.1, abs=0.05)


def test_example_18_uccle():
    """Uccle on 6 July evaporates 3.88 mm, and every step on the way is the paper's (Ex. 18; inputs published, result from memory)."""
    low, high, altitude = 12.3, 21.5, 100
    wind = eto.wind_at_2m_m_s(2.78, 10)
    vapour = eto.vapour_from_rh_range_kpa(low, high, 63, 84)
    ra = extraterrestrial_radiation_mj_m2(50.8, 187)
    hours = daylength_h(50.8, 187)
    rs = eto.radiation_from_sunshine_mj_m2(9.25, hours, ra)
    rso = eto.clear_sky_mj_m2(ra, altitude)
    rnl = eto.net_longwave_mj_m2(low, high, vapour, rs, rso)
    steps = {
        "wind": (wind, 2.08, 0.005),
        "pressure": (eto.pressure_kpa(altitude), 100.1, 0.05),
        "slope": (eto.slope_kpa_c((low + high) / 2), 0.122, 0.0005),
        "gamma": (eto.psychrometric_kpa_c(altitude), 0.0666, 0.00005),
        "saturation": (eto.mean_saturation_kpa(low, high), 1.997, 0.001),
        "vapour": (vapour, 1.409, 0.001),
        "ra": (ra, 41.09, 0.03),
        "hours": (hours, 16.1, 0.05),
        "rs": (rs, 22.07, 0.03),
        "rso": (rso, 30.90, 0.03),
        "rnl": (rnl, 3.71, 0.01),
        "rn": (eto.net_shortwave_mj_m2(rs) - rnl, 13.28, 0.02),
    }
    for name, (found, printed, rounding) in steps.items():
        assert found == pytest.approx(printed, abs=rounding), name
    assert eto.reference_eto_mm(low, high, vapour, wind, rs, ra, altitude) == pytest.approx(3.88, abs=0.02)


def test_example_20_temperature_alone():
    """Lyon in July evaporates 4.56 mm from temperature alone, 5.0 by Hargreaves (Ex. 20; inputs published, result from memory)."""
    low, high, altitude = 14.8, 26.6, 200
    ra = extraterrestrial_radiation_mj_m2(45 + 43 / 60, 196)
    rs = eto.radiation_from_range_mj_m2(low, high, ra)
    vapour = eto.vapour_from_dew_point_kpa(low)
    assert vapour == pytest.approx(1.68, abs=0.005)
    assert rs == pytest.approx(22.29, abs=0.05)
    assert eto.reference_eto_mm(low, high, vapour, 2.0, rs, ra, altitude) == pytest.approx(4.56, abs=0.05)
    assert eto.hargreaves_mm(low, high, ra) == pytest.approx(5.0, abs=0.05)
