"""Sun: extraterrestrial radiation and daylength by FAO-56, the sun's place in the sky by the Astronomical Almanac.

Two accuracies on purpose. The daily quantities follow Allen and others 1998 (FAO Irrigation and Drainage Paper 56,
chapter 3) to the letter, since evapotranspiration is calibrated with them. Altitude, azimuth, sunrise and sunset follow
the low-precision formulas of the Astronomical Almanac as given by Michalsky 1988 (Solar Energy 40(3):227-235), good to
0.01 degree from 1950 to 2050. Latitudes and declinations are north positive, longitudes east positive.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

F64 = npt.NDArray[np.float64]
Numbers = float | F64

SOLAR_CONSTANT_MJ_M2_MIN = 0.0820
"""FAO-56 equation 21."""
SUNRISE_ALTITUDE_DEG = -0.833
"""Upper limb on the horizon with 34 arc-minutes of refraction: the almanacs' definition of sunrise."""
CIVIL_TWILIGHT_ALTITUDE_DEG = -6.0


class SunPosition(NamedTuple):
    """Where the sun stands. Azimuth in degrees from north over east; altitude above the horizon, unrefracted."""

    altitude_deg: float
    azimuth_deg: float
    declination_deg: float
    equation_of_time_min: float


class SunTimes(NamedTuple):
    """Sunrise and sunset in hours UTC of the day asked for (may be below 0 or over 24 far from Greenwich).

    Both are None when the sun does not cross the horizon that day; `up_all_day` tells which of the two cases it is.
    """

    sunrise_h_utc: float | None
    sunset_h_utc: float | None
    up_all_day: bool


def inverse_relative_distance(day_of_year: Numbers) -> F64:
    """Inverse relative distance earth-sun d_r, dimensionless (FAO-56 equation 23). `day_of_year` 1-366."""
    return np.asarray(1.0 + 0.033 * np.cos(2 * np.pi / 365 * np.asarray(day_of_year, dtype=np.float64)))


def declination_rad(day_of_year: Numbers) -> F64:
    """Solar declination in radians (FAO-56 equation 24). `day_of_year` 1-366."""
    return np.asarray(0.409 * np.sin(2 * np.pi / 365 * np.asarray(day_of_year, dtype=np.float64) - 1.39))


def hour_angle_rad(latitude_deg: Numbers, day_of_year: Numbers, altitude_deg: float = 0.0) -> F64:
    """Hour angle (radians, 0 to pi) at which the sun passes `altitude_deg`.

    At altitude 0 it is the sunset hour angle of FAO-56 equation 25. Where the sun stays above the altitude all day the
    angle is pi, where it stays below it is 0 (polar day and night).
    """
    phi = np.radians(np.asarray(latitude_deg, dtype=np.float64))
    delta = declination_rad(day_of_year)
    above = np.sin(np.radians(altitude_deg)) - np.sin(phi) * np.sin(delta)
    across = np.maximum(np.cos(phi) * np.cos(delta), 1e-12)
    return np.asarray(np.arccos(np.clip(above / across, -1.0, 1.0)))


def extraterrestrial_radiation_mj_m2(latitude_deg: Numbers, day_of_year: Numbers) -> F64:
    """Daily extraterrestrial radiation R_a on the flat, MJ/m2/day, never negative (FAO-56 equation 21)."""
    phi = np.radians(np.asarray(latitude_deg, dtype=np.float64))
    delta = declination_rad(day_of_year)
    omega = hour_angle_rad(latitude_deg, day_of_year)
    shape = omega * np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.sin(omega)
    scale = 24 * 60 / np.pi * SOLAR_CONSTANT_MJ_M2_MIN * inverse_relative_distance(day_of_year)
    return np.asarray(np.maximum(scale * shape, 0.0))


def daylength_h(latitude_deg: Numbers, day_of_year: Numbers) -> F64:
    """Daylight hours N, from sun's centre up to sun's centre down, no refraction (FAO-56 equation 34); 0 to 24."""
    return np.asarray(24 / np.pi * hour_angle_rad(latitude_deg, day_of_year))


def twilight_daylength_h(latitude_deg: Numbers, day_of_year: Numbers) -> F64:
    """Hours with the sun above -6 degrees (civil twilight included): the length of day that plants respond to.

    Geometry of FAO-56 equation 25 at an altitude of -6 degrees; 0 to 24 hours.
    """
    return np.asarray(24 / np.pi * hour_angle_rad(latitude_deg, day_of_year, CIVIL_TWILIGHT_ALTITUDE_DEG))


def sun_position(latitude_deg: float, longitude_deg: float, moment: datetime) -> SunPosition:
    """The sun's place at a moment (Michalsky 1988, equations 1-12; good to 0.01 degree, 1950-2050).

    Args:
        latitude_deg: -90 to 90, north positive.
        longitude_deg: -180 to 180, east positive.
        moment: a time with a zone.

    Raises:
        ValueError: if `moment` has no time zone.
    """
    if moment.tzinfo is None:
        raise ValueError("a sun position needs a moment with a time zone")
    days = (moment.astimezone(UTC) - datetime(2000, 1, 1, 12, tzinfo=UTC)) / timedelta(days=1)
    right_ascension, declination, mean_longitude = _equatorial_rad(days)
    hour = (days + 0.5) % 1.0 * 24
    sidereal_h = (6.697375 + 0.0657098242 * days + hour + longitude_deg / 15) % 24
    angle = _wrap_rad(np.radians(sidereal_h * 15) - right_ascension)
    phi = np.radians(latitude_deg)
    height = np.sin(declination) * np.sin(phi) + np.cos(declination) * np.cos(phi) * np.cos(angle)
    altitude = np.arcsin(np.clip(height, -1.0, 1.0))
    east = -np.cos(declination) * np.sin(angle)
    north = np.sin(declination) * np.cos(phi) - np.cos(declination) * np.sin(phi) * np.cos(angle)
    equation_min = np.degrees(_wrap_rad(mean_longitude - right_ascension)) * 4
    return SunPosition(
        float(np.degrees(altitude)),
        float(np.degrees(np.arctan2(east, north)) % 360),
        float(np.degrees(declination)),
        float(equation_min),
    )


def refraction_deg(altitude_deg: float) -> float:
    """Lift of the apparent sun by the air, degrees, at 1010 hPa and 10 C (Saemundsson 1986, Sky and Telescope 72:70).

    Zero under one degree below the horizon, where the formula does not hold.
    """
    if altitude_deg < -1.0:
        return 0.0
    return float(1.02 / np.tan(np.radians(altitude_deg + 10.3 / (altitude_deg + 5.11))) / 60)


def sun_times(latitude_deg: float, longitude_deg: float, day: date) -> SunTimes:
    """Sunrise and sunset on the UTC day `day`, good to about a minute at latitudes under 66 degrees.

    The declination and equation of time of Michalsky 1988 are taken at the event itself (three rounds), with the
    almanacs' altitude of -0.833 degrees.
    """
    start = datetime(day.year, day.month, day.day, tzinfo=UTC)
    events: list[float] = []
    for side in (-1.0, 1.0):
        hour = 12.0 - longitude_deg / 15
        for _ in range(3):
            sun = sun_position(latitude_deg, longitude_deg, start + timedelta(hours=hour))
            half_day = _half_day_h(latitude_deg, sun.declination_deg)
            if half_day in (0.0, 12.0):
                return SunTimes(None, None, half_day == 12.0)
            hour = 12.0 - longitude_deg / 15 - sun.equation_of_time_min / 60 + side * half_day
        events.append(hour)
    return SunTimes(events[0], events[1], up_all_day=False)


def _half_day_h(latitude_deg: float, declination_deg: float) -> float:
    phi, delta = np.radians(latitude_deg), np.radians(declination_deg)
    above = np.sin(np.radians(SUNRISE_ALTITUDE_DEG)) - np.sin(phi) * np.sin(delta)
    cosine = above / max(float(np.cos(phi) * np.cos(delta)), 1e-12)
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))) / 15)


def _equatorial_rad(days: float) -> tuple[float, float, float]:
    """Right ascension, declination and mean longitude, radians, `days` after 2000-01-01 12:00 UTC."""
    mean_longitude = np.radians((280.460 + 0.9856474 * days) % 360)
    anomaly = np.radians((357.528 + 0.9856003 * days) % 360)
    ecliptic = mean_longitude + np.radians(1.915 * np.sin(anomaly) + 0.020 * np.sin(2 * anomaly))
    obliquity = np.radians(23.439 - 0.0000004 * days)
    right_ascension = np.arctan2(np.cos(obliquity) * np.sin(ecliptic), np.cos(ecliptic))
    declination = np.arcsin(np.sin(obliquity) * np.sin(ecliptic))
    return float(right_ascension), float(declination), float(mean_longitude)


def _wrap_rad(angle: float) -> float:
    return float((angle + np.pi) % (2 * np.pi) - np.pi)
