"""Reference evapotranspiration: the equations of FAO-56, each a function on numbers or arrays.

Allen, Pereira, Raes, Smith 1998: Crop evapotranspiration, FAO Irrigation and Drainage Paper 56, chapters 3 and 4.
Equation numbers are the paper's. Every argument broadcasts; units are in the names. Daily time step.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

F64 = npt.NDArray[np.float64]
Numbers = float | F64

ALBEDO = 0.23
"""Of the reference grass (FAO-56 equation 38)."""
STEFAN_BOLTZMANN_MJ_K4_M2_DAY = 4.903e-9
KRS_INTERIOR = 0.16
KRS_COASTAL = 0.19
"""Adjustment coefficients of FAO-56 equation 50, K^-0.5."""
DEFAULT_WIND_M_S = 2.0
"""Where wind is not known (FAO-56 chapter 3, 'Missing climatic data')."""


def _array(value: Numbers) -> F64:
    return np.asarray(value, dtype=np.float64)


def evaporation_equivalent_mm(energy_mj_m2: Numbers) -> F64:
    """Depth of water that an energy evaporates, mm (FAO-56 equation 20: 0.408 = 1 / 2.45 MJ/kg, the latent heat at about 20 C)."""
    return _array(_array(energy_mj_m2) * 0.408)


def pressure_kpa(altitude_m: Numbers) -> F64:
    """Mean air pressure at an altitude, kPa (FAO-56 equation 7)."""
    return _array(101.3 * ((293 - 0.0065 * _array(altitude_m)) / 293) ** 5.26)


def psychrometric_kpa_c(altitude_m: Numbers) -> F64:
    """Psychrometric constant gamma, kPa/C (FAO-56 equation 8)."""
    return _array(0.665e-3 * pressure_kpa(altitude_m))


def saturation_kpa(temperature_c: Numbers) -> F64:
    """Saturation vapour pressure e0(T), kPa (FAO-56 equation 11)."""
    t = _array(temperature_c)
    return _array(0.6108 * np.exp(17.27 * t / (t + 237.3)))


def mean_saturation_kpa(tmin_c: Numbers, tmax_c: Numbers) -> F64:
    """Mean saturation vapour pressure of a day e_s, kPa (FAO-56 equation 12)."""
    return _array((saturation_kpa(tmax_c) + saturation_kpa(tmin_c)) / 2)


def slope_kpa_c(temperature_c: Numbers) -> F64:
    """Slope of the saturation curve, kPa/C (FAO-56 equation 13)."""
    t = _array(temperature_c)
    return _array(4098 * saturation_kpa(t) / (t + 237.3) ** 2)


def dew_point_c(vapour_kpa: Numbers) -> F64:
    """Dew point, C, from actual vapour pressure over 0 kPa (FAO-56 equation 14 turned round)."""
    ratio = np.log(_array(vapour_kpa) / 0.6108)
    return _array(237.3 * ratio / (17.27 - ratio))


def vapour_from_rh_range_kpa(tmin_c: Numbers, tmax_c: Numbers, rh_min_pct: Numbers, rh_max_pct: Numbers) -> F64:
    """Actual vapour pressure e_a, kPa, from the day's extremes of relative humidity (FAO-56 equation 17)."""
    high = saturation_kpa(tmin_c) * _array(rh_max_pct)
    low = saturation_kpa(tmax_c) * _array(rh_min_pct)
    return _array((high + low) / 200)


def vapour_from_rh_mean_kpa(tmin_c: Numbers, tmax_c: Numbers, rh_mean_pct: Numbers) -> F64:
    """Actual vapour pressure e_a, kPa, from mean relative humidity (FAO-56 equation 19)."""
    return _array(_array(rh_mean_pct) / 100 * mean_saturation_kpa(tmin_c, tmax_c))


def vapour_from_dew_point_kpa(dew_point: Numbers) -> F64:
    """Actual vapour pressure e_a, kPa, from the dew point in C (FAO-56 equation 14; 48 when the dew point is Tmin)."""
    return saturation_kpa(dew_point)


def wind_at_2m_m_s(wind_m_s: Numbers, height_m: Numbers) -> F64:
    """Wind brought to 2 m above short grass, m/s (FAO-56 equation 47). `height_m` over 0.1."""
    return _array(_array(wind_m_s) * 4.87 / np.log(67.8 * _array(height_m) - 5.42))


def radiation_from_sunshine_mj_m2(
    sunshine_h: Numbers,
    daylength: Numbers,
    ra_mj_m2: Numbers,
    a: float = 0.25,
    b: float = 0.50,
) -> F64:
    """Solar radiation R_s, MJ/m2/day, from hours of sunshine (Angstrom; FAO-56 equation 35, default a and b)."""
    day = _array(daylength)
    share = np.divide(_array(sunshine_h), day, out=np.zeros(np.broadcast(_array(sunshine_h), day).shape), where=day > 0)
    return _array((a + b * np.clip(share, 0.0, 1.0)) * _array(ra_mj_m2))


def radiation_from_range_mj_m2(tmin_c: Numbers, tmax_c: Numbers, ra_mj_m2: Numbers, krs: float = KRS_INTERIOR) -> F64:
    """Solar radiation R_s, MJ/m2/day, from the day's range of temperature (FAO-56 equation 50)."""
    span = np.maximum(_array(tmax_c) - _array(tmin_c), 0.0)
    return _array(krs * np.sqrt(span) * _array(ra_mj_m2))


def clear_sky_mj_m2(ra_mj_m2: Numbers, altitude_m: Numbers) -> F64:
    """Clear-sky solar radiation R_so, MJ/m2/day (FAO-56 equation 37)."""
    return _array((0.75 + 2e-5 * _array(altitude_m)) * _array(ra_mj_m2))


def net_shortwave_mj_m2(rs_mj_m2: Numbers) -> F64:
    """Net short-wave radiation of the reference grass, MJ/m2/day (FAO-56 equation 38)."""
    return _array((1 - ALBEDO) * _array(rs_mj_m2))


def net_longwave_mj_m2(
    tmin_c: Numbers,
    tmax_c: Numbers,
    vapour_kpa: Numbers,
    rs_mj_m2: Numbers,
    rso_mj_m2: Numbers,
) -> F64:
    """Net outgoing long-wave radiation R_nl, MJ/m2/day (FAO-56 equation 39; R_s/R_so kept within 0.3 and 1).

    The paper says R_s/R_so <= 1; the floor of 0.3 keeps the polar night (0/0) and dark days finite.
    """
    # Squared twice: a general power takes longer than the rest of the equation.
    hot, cool = np.square(np.square(_array(tmax_c) + 273.16)), np.square(np.square(_array(tmin_c) + 273.16))
    emitted = (hot + cool) * (STEFAN_BOLTZMANN_MJ_K4_M2_DAY / 2)
    rso = _array(rso_mj_m2)
    rs = _array(rs_mj_m2)
    share = np.divide(rs, rso, out=np.full(np.broadcast(rs, rso).shape, 0.3), where=rso > 0.01)
    humid = 0.34 - 0.14 * np.sqrt(_array(vapour_kpa))
    return _array(emitted * humid * (1.35 * np.clip(share, 0.3, 1.0) - 0.35))


def soil_heat_monthly_mj_m2(before_c: Numbers, after_c: Numbers) -> F64:
    """Soil heat flux G of a month, MJ/m2/day, from the mean temperatures of the months about it (FAO-56 equation 43)."""
    return _array(0.07 * (_array(after_c) - _array(before_c)))


def penman_monteith_mm(
    tmin_c: Numbers,
    tmax_c: Numbers,
    vapour_kpa: Numbers,
    wind_2m_m_s: Numbers,
    net_radiation_mj_m2: Numbers,
    altitude_m: Numbers,
    soil_heat_mj_m2: Numbers = 0.0,
) -> F64:
    """Reference evapotranspiration ET_o, mm/day, never negative (FAO-56 equation 6; daily G is 0, equation 42)."""
    mean = (_array(tmin_c) + _array(tmax_c)) / 2
    delta = slope_kpa_c(mean)
    gamma = psychrometric_kpa_c(altitude_m)
    wind = _array(wind_2m_m_s)
    deficit = np.maximum(mean_saturation_kpa(tmin_c, tmax_c) - _array(vapour_kpa), 0.0)
    heat = 0.408 * delta * (_array(net_radiation_mj_m2) - _array(soil_heat_mj_m2))
    air = gamma * 900 / (mean + 273) * wind * deficit
    return _array(np.maximum((heat + air) / (delta + gamma * (1 + 0.34 * wind)), 0.0))


def reference_eto_mm(
    tmin_c: Numbers,
    tmax_c: Numbers,
    vapour_kpa: Numbers,
    wind_2m_m_s: Numbers,
    rs_mj_m2: Numbers,
    ra_mj_m2: Numbers,
    altitude_m: Numbers,
) -> F64:
    """ET_o, mm/day, from the weather of a day: equations 37-40 and 6 of FAO-56 one behind the other."""
    rso = clear_sky_mj_m2(ra_mj_m2, altitude_m)
    longwave = net_longwave_mj_m2(tmin_c, tmax_c, vapour_kpa, rs_mj_m2, rso)
    net = net_shortwave_mj_m2(rs_mj_m2) - longwave
    return penman_monteith_mm(tmin_c, tmax_c, vapour_kpa, wind_2m_m_s, net, altitude_m)


def hargreaves_mm(tmin_c: Numbers, tmax_c: Numbers, ra_mj_m2: Numbers) -> F64:
    """ET_o by Hargreaves from temperature alone, mm/day, never negative (FAO-56 equation 52; R_a as mm by 0.408)."""
    low, high = _array(tmin_c), _array(tmax_c)
    span = np.sqrt(np.maximum(high - low, 0.0))
    return _array(np.maximum(0.0023 * ((low + high) / 2 + 17.8) * span * 0.408 * _array(ra_mj_m2), 0.0))
