"""FAO-56 (Allen, Pereira, Raes, Smith 1998, FAO Irrigation and Drainage Paper 56): its tables and worked examples.

Standing of each check stands beside it. `from memory` means: the printed value is remembered and the published
equation, run by itself, gives it within the rounding of the paper.
"""

from __future__ import annotations

import numpy as np

from yardland.weather import eto
from yardland.weather.sun import (
    daylength_h,
    declination_rad,
    extraterrestrial_radiation_mj_m2,
    hour_angle_rad,
    inverse_relative_distance,
)

FAO56 = "Allen et al. 1998, FAO-56"
EXAMPLE = "FAO-56 Example"
TABLE = "FAO-56 Annex 2 Table"
MEMORY = "from memory"
MID_MONTH = np.array([15, 46, 75, 105, 135, 166, 196, 227, 258, 288, 319, 349.0])


def test_example_1_energy_as_water(outside):
    """80 % of 15 MJ/m2 a day evaporates 4.9 mm (Example 1; from memory)."""
    got = eto.evaporation_equivalent_mm(0.8 * 15)
    outside.check_close("K01", "80 % of 15 MJ/m2 as water, mm", f"{EXAMPLE} 1", MEMORY, 4.9, got, 0.05)


def test_tables_2_1_and_2_2_pressure(outside):
    """Pressure and psychrometric constant fall with altitude as in Annex 2 Tables 2.1 and 2.2 (from memory)."""
    altitude_m = np.array([0, 100, 500, 1000, 1500, 2000, 3000.0])
    pressure = [101.3, 100.1, 95.5, 90.0, 84.8, 79.8, 70.5]
    gamma = [0.067, 0.067, 0.064, 0.060, 0.056, 0.053, 0.047]
    what = "at 0, 100, 500, 1000, 1500, 2000, 3000 m"
    outside.check_close(
        "K03", f"pressure {what}, kPa", f"{TABLE} 2.1", MEMORY, pressure, eto.pressure_kpa(altitude_m), 0.1
    )
    got = eto.psychrometric_kpa_c(altitude_m)
    outside.check_close("K03", f"psychrometric constant {what}, kPa/C", f"{TABLE} 2.2", MEMORY, gamma, got, 0.0006)


def test_example_2_psychrometric_constant(outside):
    """At 1800 m the air weighs 81.8 kPa and the constant is 0.054 kPa/C (Example 2; from memory)."""
    outside.check_close("FAO-56 Ex. 2", "pressure at 1800 m, kPa", FAO56, MEMORY, 81.8, eto.pressure_kpa(1800), 0.05)
    got = eto.psychrometric_kpa_c(1800)
    outside.check_close("FAO-56 Ex. 2", "psychrometric constant at 1800 m, kPa/C", FAO56, MEMORY, 0.054, got, 0.0005)


def test_table_2_4_slope(outside):
    """The slope of the saturation curve is that of Annex 2 Table 2.4 (from memory)."""
    printed = [0.0823, 0.1447, 0.1888, 0.2434, 0.3931]
    got = eto.slope_kpa_c(np.array([10, 20, 25, 30, 40.0]))
    what = "slope of the saturation curve at 10, 20, 25, 30, 40 C, kPa/C"
    outside.check_close("K05", what, f"{TABLE} 2.4", MEMORY, printed, got, 0.0003)


def test_example_3_saturation(outside):
    """The mean of the extremes' saturation pressures is 2.39 kPa; that of the mean temperature only 2.30 (Ex. 3; from memory)."""
    source = f"{EXAMPLE} 3"
    got = [*eto.saturation_kpa(np.array([24.5, 15.0])), eto.mean_saturation_kpa(15.0, 24.5)]
    what = "saturation at 24.5 C, at 15.0 C, mean of both, kPa"
    outside.check_close("K06", what, source, MEMORY, [3.075, 1.705, 2.39], got, 0.005)
    got = eto.saturation_kpa(19.75)
    outside.check_close("K06", "saturation at their mean temperature, kPa", source, MEMORY, 2.30, got, 0.005)


def test_example_5_vapour_pressure(outside):
    """Vapour pressure is 1.70 kPa from the extremes of humidity and 1.78 from its mean (Ex. 5; from memory)."""
    got = [eto.vapour_from_rh_range_kpa(18, 25, 54, 82), eto.vapour_from_rh_mean_kpa(18, 25, 68)]
    what = "vapour pressure from the range of humidity, from its mean, kPa"
    outside.check_close("K08", what, f"{EXAMPLE} 5", MEMORY, [1.70, 1.78], got, 0.01)


def test_wind_at_two_metres(outside):
    """Wind is brought to 2 m by the factors of Annex 2 Table 2.9; 3.2 m/s at 10 m is 2.4 (Ex. 14; from memory)."""
    got = eto.wind_at_2m_m_s(1.0, np.array([1, 1.5, 2, 3, 5, 10]))
    factors = [1.180, 1.066, 1.000, 0.921, 0.838, 0.748]
    what = "factors of wind at 1, 1.5, 2, 3, 5, 10 m"
    outside.check_close("K10", what, f"{TABLE} 2.9", MEMORY, factors, got, 0.005)
    got = eto.wind_at_2m_m_s(3.2, 10)
    outside.check_close("K10", "3.2 m/s at 10 m brought to 2 m, m/s", f"{EXAMPLE} 14", MEMORY, 2.4, got, 0.05)


def test_example_7_latitudes_in_radians(outside):
    """13 44' N and 22 54' S are 0.240 and -0.400 rad (Ex. 7; from memory): the geometry takes degrees and their minutes."""
    equinox_like = 80.0
    degrees = np.array([13 + 44 / 60, -(22 + 54 / 60)])
    by_hand = np.arccos(-np.tan([0.240, -0.400]) * np.tan(declination_rad(equinox_like)))
    what = "sunset hour angle on day 80 at the latitudes 0.240 and -0.400 rad, rad"
    got = hour_angle_rad(degrees, equinox_like)
    outside.check_close("K11", what, f"{EXAMPLE} 7", MEMORY, np.round(by_hand, 6), got, 0.001)


def test_example_8_extraterrestrial_radiation(outside):
    """20 S on 3 September gets 32.2 MJ/m2, 13.1 mm (Ex. 8; from memory)."""
    source = f"{EXAMPLE} 8"
    got = [inverse_relative_distance(246), declination_rad(246), hour_angle_rad(-20, 246)]
    what = "20 S, day 246: distance factor, declination, sunset hour angle"
    outside.check_close("K13", what, source, MEMORY, [0.985, 0.120, 1.527], got, 0.0005)
    radiation = extraterrestrial_radiation_mj_m2(-20, 246)
    outside.check_close("K13", "its radiation outside the air, MJ/m2", source, MEMORY, 32.2, radiation, 0.1)
    got = eto.evaporation_equivalent_mm(radiation)
    outside.check_close("K13", "the same as water, mm", source, MEMORY, 13.1, got, 0.05)


def test_example_9_daylight(outside):
    """20 S on 3 September has 11.7 hours of daylight (Ex. 9; from memory)."""
    what = "daylight at 20 S on day 246, h"
    outside.check_close("FAO-56 Ex. 9", what, FAO56, MEMORY, 11.7, daylength_h(-20, 246), 0.05)


def test_table_2_7_daylight_at_50_north(outside):
    """Daylight on the 15th of each month at 50 N is that of Annex 2 Table 2.7 (from memory)."""
    days = np.array([15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349.0])
    printed = [8.3, 9.8, 11.6, 13.5, 15.2, 16.1, 15.7, 14.3, 12.3, 10.4, 8.7, 7.9]
    what = "daylight at 50 N on the 15th of each month, h"
    outside.check_close("K15", what, f"{TABLE} 2.7", MEMORY, printed, daylength_h(50, days), 0.1)


def test_equation_21_through_the_year(outside):
    """R_a at 50 N and 30 N at mid-month days is what an independent run of equation 21 gave (computed)."""
    at_50 = [8.9, 14.4, 22.5, 31.5, 38.5, 41.7, 40.2, 34.3, 25.6, 16.8, 10.2, 7.5]
    at_30 = [21.1, 25.8, 31.6, 36.8, 40.0, 41.2, 40.5, 38.0, 33.3, 27.5, 22.2, 19.7]
    for latitude_deg, run in ((50, at_50), (30, at_30)):
        got = extraterrestrial_radiation_mj_m2(latitude_deg, MID_MONTH)
        what = f"radiation outside the air at {latitude_deg} N, mid-month, MJ/m2"
        outside.check_close("K16", what, "independent run of FAO-56 eq. 21", "computed", run, got, 0.1)


def test_example_10_radiation_from_sunshine(outside):
    """Rio de Janeiro in May gets 14.5 MJ/m2 with 220 hours of sunshine in the month (Ex. 10; from memory)."""
    ra = extraterrestrial_radiation_mj_m2(-(22 + 54 / 60), 135)
    hours = daylength_h(-(22 + 54 / 60), 135)
    source = f"{EXAMPLE} 10"
    outside.check_close("FAO-56 Ex. 10", "Rio in May: R_a, MJ/m2", source, MEMORY, 25.1, ra, 0.1)
    outside.check_close("FAO-56 Ex. 10", "its daylight, h", source, MEMORY, 10.9, hours, 0.05)
    got = eto.radiation_from_sunshine_mj_m2(220 / 31, hours, ra)
    outside.check_close("FAO-56 Ex. 10", "its radiation by sunshine, MJ/m2", source, MEMORY, 14.5, got, 0.1)


def test_example_11_net_longwave(outside):
    """Rio in May loses 3.5 MJ/m2 by long-wave radiation (Ex. 11; from memory)."""
    source = f"{EXAMPLE} 11"
    got = eto.STEFAN_BOLTZMANN_MJ_K4_M2_DAY * (np.array([25.1, 19.1]) + 273.16) ** 4
    outside.check_close("K18", "sigma T^4 at 25.1 and 19.1 C, MJ/m2", source, MEMORY, [38.8, 35.8], got, 0.05)
    got = eto.net_longwave_mj_m2(19.1, 25.1, 2.1, 14.5, 18.8)
    outside.check_close("K18", "net long-wave radiation of Rio in May, MJ/m2", source, MEMORY, 3.5, got, 0.05)


def test_example_12_net_radiation(outside):
    """Rio in May nets 7.6 MJ/m2: 11.1 of short waves less 3.5 of long (Ex. 12; from memory)."""
    source = f"{EXAMPLE} 12"
    shortwave = eto.net_shortwave_mj_m2(14.5)
    outside.check_close(
        "FAO-56 Ex. 12", "net short-wave radiation of Rio in May, MJ/m2", source, MEMORY, 11.1, shortwave, 0.1
    )
    got = shortwave - eto.net_longwave_mj_m2(19.1, 25.1, 2.1, 14.5, 18.8)
    outside.check_close("FAO-56 Ex. 12", "net radiation of Rio in May, MJ/m2", source, MEMORY, 7.6, got, 0.1)


def test_example_13_soil_heat(outside):
    """The soil of Algiers takes 0.33 MJ/m2 a day in April (Ex. 13; from memory)."""
    got = eto.soil_heat_monthly_mj_m2(14.1, 18.8)
    what = "soil heat of April at Algiers, MJ/m2 and day"
    outside.check_close("K20", what, f"{EXAMPLE} 13", MEMORY, 0.33, got, 0.005)


def test_example_15_radiation_from_temperature_range(outside):
    """Lyon in July gets 22.3 MJ/m2 by its range of temperature (Ex. 15; from memory)."""
    source = f"{EXAMPLE} 15"
    ra = extraterrestrial_radiation_mj_m2(45 + 43 / 60, 196)
    rs = eto.radiation_from_range_mj_m2(14.8, 26.6, ra)
    what = "Lyon in July: R_a, R_s by the range of temperature, MJ/m2"
    outside.check_close("K21", what, source, MEMORY, [40.6, 22.3], [ra, rs], 0.1)
    got = eto.evaporation_equivalent_mm(rs)
    outside.check_close("K21", "its R_s as water, mm", source, MEMORY, 9.1, got, 0.05)


def test_example_17_bangkok(outside):
    """Bangkok in April evaporates 5.72 mm a day by monthly means (Ex. 17; from memory)."""
    low, high, vapour, altitude = 25.6, 34.8, 2.85, 2
    latitude = 13 + 44 / 60
    ra = extraterrestrial_radiation_mj_m2(latitude, 105)
    rs = eto.radiation_from_sunshine_mj_m2(8.5, daylength_h(latitude, 105), ra)
    longwave = eto.net_longwave_mj_m2(low, high, vapour, rs, eto.clear_sky_mj_m2(ra, altitude))
    net = eto.net_shortwave_mj_m2(rs) - longwave
    heat = eto.soil_heat_monthly_mj_m2(29.2, 30.2) * 2  # equation 44: the month against the one before, 0.14
    got = eto.penman_monteith_mm(low, high, vapour, 2.0, net, altitude, heat)
    source = f"{EXAMPLE} 17"
    steps = [ra, rs, net, heat]
    what = "Bangkok in April: R_a, R_s, R_n, G, MJ/m2"
    outside.check_close("FAO-56 Ex. 17", what, source, MEMORY, [38.06, 22.65, 14.33, 0.14], steps, 0.05)
    outside.check_close("FAO-56 Ex. 17", "evapotranspiration there, mm/day", source, MEMORY, 5.72, got, 0.02)


def test_example_18_uccle(outside):
    """Uccle on 6 July evaporates 3.88 mm, and every step on the way is the paper's (Ex. 18; inputs published, result from memory)."""
    low, high, altitude = 12.3, 21.5, 100
    wind = eto.wind_at_2m_m_s(2.78, 10)
    vapour = eto.vapour_from_rh_range_kpa(low, high, 63, 84)
    ra = extraterrestrial_radiation_mj_m2(50.8, 187)
    hours = daylength_h(50.8, 187)
    rs = eto.radiation_from_sunshine_mj_m2(9.25, hours, ra)
    rso = eto.clear_sky_mj_m2(ra, altitude)
    rnl = eto.net_longwave_mj_m2(low, high, vapour, rs, rso)
    saturation = eto.mean_saturation_kpa(low, high)
    source = f"{EXAMPLE} 18 (inputs seen)"
    for what, got, printed, rounding in (
        ("wind at 2 m, m/s", wind, 2.08, 0.005),
        ("pressure, kPa", eto.pressure_kpa(altitude), 100.1, 0.05),
        ("slope, kPa/C", eto.slope_kpa_c((low + high) / 2), 0.122, 0.0005),
        ("psychrometric constant, kPa/C", eto.psychrometric_kpa_c(altitude), 0.0666, 0.00005),
        ("saturation, kPa", saturation, 1.997, 0.001),
        ("vapour pressure, kPa", vapour, 1.409, 0.001),
        ("deficit, kPa", saturation - vapour, 0.589, 0.001),
        ("R_a, MJ/m2", ra, 41.09, 0.03),
        ("daylight, h", hours, 16.1, 0.05),
        ("R_s, MJ/m2", rs, 22.07, 0.03),
        ("R_so, MJ/m2", rso, 30.90, 0.03),
        ("R_nl, MJ/m2", rnl, 3.71, 0.01),
        ("R_n, MJ/m2", eto.net_shortwave_mj_m2(rs) - rnl, 13.28, 0.02),
        ("evapotranspiration, mm", eto.reference_eto_mm(low, high, vapour, wind, rs, ra, altitude), 3.88, 0.02),
    ):
        outside.check_close("K28", f"Uccle, 6 July: {what}", source, MEMORY, printed, got, rounding)


def test_example_20_temperature_alone(outside):
    """Lyon in July evaporates 4.56 mm from temperature alone, 5.0 by Hargreaves (Ex. 20; inputs published, result from memory)."""
    low, high, altitude = 14.8, 26.6, 200
    ra = extraterrestrial_radiation_mj_m2(45 + 43 / 60, 196)
    rs = eto.radiation_from_range_mj_m2(low, high, ra)
    vapour = eto.vapour_from_dew_point_kpa(low)
    source = f"{EXAMPLE} 20 (inputs seen)"
    outside.check_close("K30", "Lyon in July: vapour pressure, kPa", source, MEMORY, 1.68, vapour, 0.005)
    outside.check_close("K30", "its R_s, MJ/m2", source, MEMORY, 22.29, rs, 0.05)
    net = eto.net_shortwave_mj_m2(rs) - eto.net_longwave_mj_m2(low, high, vapour, rs, eto.clear_sky_mj_m2(ra, altitude))
    outside.check_close("K30", "its R_n, MJ/m2", source, MEMORY, 13.48, net, 0.05)
    got = eto.reference_eto_mm(low, high, vapour, 2.0, rs, ra, altitude)
    outside.check_close("K30", "evapotranspiration from temperature alone, mm", source, MEMORY, 4.56, got, 0.05)
    got = eto.hargreaves_mm(low, high, ra)
    outside.check_close("K31", "the same by Hargreaves, mm", "FAO-56 eq. 52, Example 20", MEMORY, 5.03, got, 0.05)
