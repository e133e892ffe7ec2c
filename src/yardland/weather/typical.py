"""A daily record made from twelve normals: the months are the normals', the days are invented.

Every month of every year keeps the normals' mean temperatures and rain exactly and its count of rain days to the whole
day (fractions are shared out over the years), so such a record has *no spread between years*. Only a month with less
than one rain day a year has rain in some years and none in others; its mean is kept. Day-to-day temperatures
follow a first-order autoregression, rain days a thresholded one with gamma amounts (in the manner of Richardson 1981,
Water Resources Research 17:182-190). The constants stand in data/typical.csv with their standing.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
import numpy.typing as npt

from yardland.weather import eto
from yardland.weather.fill import Raw, day_of_year, fill
from yardland.weather.normals import Normals
from yardland.weather.sun import daylength_h, extraterrestrial_radiation_mj_m2
from yardland.weather.types import F64, Record

FIRST_YEAR = 2001
YEARS = 12
NOTE = (
    "From twelve normals: the days are invented, month by month they keep the normals; every year is an ordinary "
    "year, so no dry, wet, cold or hot year is in it and nothing can be said of bad years."
)


@dataclass(frozen=True)
class Spread:
    """Departures of each month of a chain of years from the normals: [year, month] (0 and 1 mean: as the normals)."""

    temperature_c: F64
    rain_factor: F64

    @classmethod
    def none(cls, years: int) -> Spread:
        """No departures: every year as the normals."""
        return cls(np.zeros((years, 12)), np.ones((years, 12)))


@cache
def constants() -> dict[str, float]:
    """The generator's constants by key, from data/typical.csv."""
    text = (files("yardland.weather") / "data" / "typical.csv").read_text("utf-8")
    return {row["key"]: float(row["value"]) for row in csv.DictReader(text.splitlines())}


def typical_record(normals: Normals, seed: int, years: int = YEARS, notes: tuple[str, ...] = ()) -> Record:
    """A seeded daily record of `years` ordinary years from 2001 on (at least 10), filled by FAO-56's procedures.

    Args:
        normals: the twelve months.
        seed: of the invented days; the same seed gives the same record.
        years: how many calendar years; rain days and temperatures are shared out over them.
        notes: put before the note that the record is invented.

    Raises:
        ValueError: if fewer than ten years are asked for.
    """
    if years < 10:
        raise ValueError("a typical record holds at least ten years")
    raw = daily_from_normals(normals, Spread.none(years), seed, FIRST_YEAR)
    raw = Raw(**{**raw.__dict__, "notes": (*notes, NOTE)})
    return fill(
        raw, normals.latitude_deg, normals.altitude_m, f"normals of {normals.name}, days invented (seed {seed})"
    )


def daily_from_normals(
    normals: Normals, spread: Spread, seed: int, first_year: int, day_sd_c: float | None = None
) -> Raw:
    """Daily columns for as many calendar years as `spread` has rows, each month kept to normals plus departures.

    The months' means of tmin_c and tmax_c are the normals' plus `spread.temperature_c`, the sums of rain_mm the
    normals' times `spread.rain_factor`, both to rounding of floating point; rain days are whole numbers. `day_sd_c` is
    the day-to-day deviation of the daily mean (None: from the yearly range of the normals).
    """
    rng = np.random.default_rng(seed)
    years = len(spread.temperature_c)
    dates = np.arange(f"{first_year:04d}-01-01", f"{first_year + years:04d}-01-01", dtype="datetime64[D]")
    month = _month_index(dates)
    shift = spread.temperature_c.ravel()
    mean = np.tile((normals.tmin_c + normals.tmax_c) / 2, years) + shift
    span = np.tile(normals.tmax_c - normals.tmin_c, years)
    rain = _rain(normals, spread.rain_factor, month, rng)
    wet = rain > 0
    warm = np.tile(_warmth(normals), years)
    daily_warm = monthly_interpolation(warm, np.bincount(month))
    sd_c = _day_sd_c(normals, daily_warm) if day_sd_c is None else day_sd_c
    anomaly = _autoregression(len(month), constants()["temperature_lag1"], rng)
    daily_mean = _mean_temperature(mean, sd_c * anomaly, wet, daily_warm, month)
    daily_span = _range(span, anomaly, wet, daily_warm, month, rng)
    low, high = daily_mean - daily_span / 2, daily_mean + daily_span / 2
    return Raw(
        dates=dates,
        tmin_c=low,
        tmax_c=high,
        rain_mm=rain,
        rad_mj_m2=_radiation(normals, dates, month, low, high),
        rh_mean_pct=None if normals.rh_mean_pct is None else _humidity(normals.rh_mean_pct, wet, month),
        wind_m_s=None if normals.wind_m_s is None else _wind(normals.wind_m_s, month, rng),
    )


def monthly_interpolation(means: F64, lengths: npt.NDArray[np.int64]) -> F64:
    """A daily series, straight between mid-months, whose mean over each month is exactly `means` [month].

    The knots solve a tridiagonal system (the mean of a month is a weighted mean of three knots); the ends are level.
    """
    count = len(means)
    ends = np.cumsum(lengths)
    middle = ends - lengths / 2
    day = np.arange(ends[-1]) + 0.5
    right = np.clip(np.searchsorted(middle, day), 1, count - 1)
    weight = np.clip((day - middle[right - 1]) / (middle[right] - middle[right - 1]), 0.0, 1.0)
    month = np.repeat(np.arange(count), lengths)
    # Shares of a month's mean that are of the knot before it, its own and the one after, [month, 3].
    bands = np.zeros((count, 3))
    np.add.at(bands, (month, right - month), (1 - weight) / lengths[month])
    np.add.at(bands, (month, right - month + 1), weight / lengths[month])
    knots = tridiagonal(bands, means)
    return np.asarray(knots[right - 1] * (1 - weight) + knots[right] * weight)


def tridiagonal(bands: F64, sides: F64) -> F64:
    """Solve a tridiagonal system by elimination from the first row to the last and back (Thomas).

    Nothing is exchanged: each row's middle must outweigh its sides. No library of linear algebra, whose threads wait for
    each other longer than these few rows take, and whose last bits hang on their number.

    Args:
        bands: factors of the unknown before, of the row's own and of the one after, [row, 3].
        sides: right-hand sides, [row].
    """
    before, middle, after = (bands[:, place].tolist() for place in range(3))
    right = sides.tolist()
    for row in range(1, len(right)):
        share = before[row] / middle[row - 1]
        middle[row] -= share * after[row - 1]
        right[row] -= share * right[row - 1]
    found = np.zeros(len(right))
    known = 0.0
    for row in range(len(right) - 1, -1, -1):
        known = (right[row] - after[row] * known) / middle[row]
        found[row] = known
    return found


def _month_index(dates: npt.NDArray[np.datetime64]) -> npt.NDArray[np.int64]:
    months = dates.astype("datetime64[M]").astype(np.int64)
    return np.asarray(months - months[0])


def day_to_day_sd_c(normals: Normals) -> F64:
    """Day-to-day deviation of the daily mean by month, [12]."""
    return _day_sd_c(normals, _warmth(normals))


def _day_sd_c(normals: Normals, warm: F64) -> F64:
    """Day-to-day deviation of the daily mean: more in climates with a wide year, and there more in winter."""
    means = (normals.tmin_c + normals.tmax_c) / 2
    width = float(means.max() - means.min())
    season = constants()["temperature_sd_season"] * float(np.clip((width - 12) / 12, 0, 1))
    grown = constants()["temperature_sd_per_range"] * width * (1 - season * np.clip(warm, -1, 1))
    return np.asarray(constants()["temperature_sd_base_c"] + grown)


def _autoregression(count: int, lag1: float, rng: np.random.Generator) -> F64:
    """A first-order autoregression of unit variance."""
    noise = rng.standard_normal(count)
    noise[1:] *= np.sqrt(1 - lag1**2)
    for index in range(1, count):
        noise[index] += lag1 * noise[index - 1]
    return noise


def _by_month(values: F64, month: npt.NDArray[np.int64]) -> F64:
    return np.asarray(np.bincount(month, weights=values) / np.bincount(month))


def _warmth(normals: Normals) -> F64:
    """How summery each month is: +1 in the warmest, -1 in the coldest, near 0 where there are no seasons."""
    means = (normals.tmin_c + normals.tmax_c) / 2
    middle, half = (means.max() + means.min()) / 2, (means.max() - means.min()) / 2
    return np.asarray((means - middle) / max(float(half), 2.0))


def _mean_temperature(
    target: F64, anomaly: F64, wet: npt.NDArray[np.bool_], warm: F64, month: npt.NDArray[np.int64]
) -> F64:
    """Daily means whose monthly means are `target`."""
    departure = anomaly + constants()["wet_mean_shift_c"] * np.clip(warm, -1, 1) * wet
    return monthly_interpolation(target - _by_month(departure, month), np.bincount(month)) + departure


def _range(
    target: F64,
    anomaly: F64,
    wet: npt.NDArray[np.bool_],
    warm: F64,
    month: npt.NDArray[np.int64],
    rng: np.random.Generator,
) -> F64:
    """Daily ranges, all positive, whose monthly means are `target`; wider on dry days and, in summer, on warm ones."""
    smooth = np.maximum(monthly_interpolation(target, np.bincount(month)), 0.5)
    tie = constants()["range_mean_correlation"] * np.clip(warm, 0, 1)
    noise = tie * anomaly + np.sqrt(1 - tie**2) * rng.standard_normal(len(month))
    spread = constants()["range_sd_log"] * np.sqrt(10 / np.maximum(smooth, 3.0))
    factor = smooth * np.exp(spread * np.minimum(noise, constants()["range_rise"]))
    factor *= np.where(wet, constants()["wet_range_factor"], 1.0)
    return np.asarray(factor * (target / _by_month(factor, month))[month])


def _rain(normals: Normals, factor: F64, month: npt.NDArray[np.int64], rng: np.random.Generator) -> F64:
    lengths = np.bincount(month)
    wanted = np.minimum(_rain_days(normals, factor), lengths.reshape(-1, 12))
    totals = _share_of_dry_months(normals.rain_mm * factor, wanted)
    latent = _autoregression(len(month), constants()["rain_persistence"], rng)
    amounts = rng.gamma(constants()["rain_shape"], 1.0, len(month))
    rain = np.zeros(len(month))
    starts = np.concatenate([[0], np.cumsum(lengths)])
    for index, (total, most) in enumerate(zip(totals.ravel(), wanted.ravel(), strict=True)):
        if total <= 0:
            continue
        count = max(1, int(min(most, total // normals.rain_day_mm)))
        wet = np.argsort(latent[starts[index] : starts[index + 1]])[::-1][:count] + starts[index]
        floor = min(normals.rain_day_mm, total / count)
        rain[wet] = floor + (total - floor * count) * amounts[wet] / amounts[wet].sum()
    return rain


def _share_of_dry_months(totals: F64, days: npt.NDArray[np.int64]) -> F64:
    """Rain of each [year, month]; where a month is rainless in some years, its rain falls in the others.

    The sum over the years stays. A month with rain and without a rain day in any year gets one in its wettest year.
    """
    shared = totals.copy()
    for column in range(12):
        some, counts = totals[:, column], days[:, column]
        if some.sum() <= 0 or (counts > 0).all():
            continue
        weights = counts.astype(np.float64) if counts.any() else (np.arange(len(some)) == some.argmax()).astype(float)
        shared[:, column] = some.sum() * weights / weights.sum()
    return shared


def _rain_days(normals: Normals, factor: F64) -> npt.NDArray[np.int64]:
    """Whole rain days of each month of each year; fractions are carried so that the mean over the years is kept.

    A month with more or less rain than the normal has more or fewer rain days by the square root of the factor.
    """
    days = normals.rain_days
    if days is None:
        days = normals.rain_mm / constants()["rain_per_rain_day_mm"]
    exact = np.cumsum(days[None, :] * np.sqrt(factor), axis=0)
    whole = np.floor(exact + 0.5)
    return np.asarray(np.diff(whole, axis=0, prepend=0.0).astype(np.int64))


def _radiation(
    normals: Normals, dates: npt.NDArray[np.datetime64], month: npt.NDArray[np.int64], low: F64, high: F64
) -> F64 | None:
    """Radiation that follows the day's range of temperature (FAO-56 equation 50), its months held to the normals'."""
    day = day_of_year(dates)
    ra = extraterrestrial_radiation_mj_m2(normals.latitude_deg, day)
    if normals.rad_mj_m2 is not None:
        target = normals.rad_mj_m2
    elif normals.sun_h is not None:
        middle = np.array([15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349], dtype=np.float64)
        target = eto.radiation_from_sunshine_mj_m2(
            normals.sun_h,
            daylength_h(normals.latitude_deg, middle),
            extraterrestrial_radiation_mj_m2(normals.latitude_deg, middle),
        )
    else:
        return None
    values = eto.radiation_from_range_mj_m2(low, high, ra)
    clear = eto.clear_sky_mj_m2(ra, normals.altitude_m)
    for _ in range(6):
        scale = np.tile(target, (int(month[-1]) + 1) // 12) / np.maximum(_by_month(values, month), 1e-9)
        values = np.minimum(values * scale[month], clear)
    return values


def _humidity(target: F64, wet: npt.NDArray[np.bool_], month: npt.NDArray[np.int64]) -> F64:
    """Mean relative humidity: moister on rain days, its monthly means held to the normals' (within 100 %)."""
    lift = constants()["humidity_wet_lift_pct"] * wet.astype(np.float64)
    return np.clip(target[month % 12] + lift - _by_month(lift, month)[month], 5.0, 100.0)


def _wind(target: F64, month: npt.NDArray[np.int64], rng: np.random.Generator) -> F64:
    """Daily mean wind at 2 m, its monthly means held to the normals'."""
    factor: F64 = np.exp(constants()["wind_sd_log"] * rng.standard_normal(len(month)))
    return np.asarray(factor * target[month % 12] / _by_month(factor, month)[month])
