"""A generator against its record: each statistic of the record with its sampling interval, and the generated one.

A statistic is a ratio of two sums over years (means, counts, spells, contrasts, correlations) or a spread between years.
The 95 % sampling interval of a ratio is a bootstrap over whole years (Efron and Tibshirani 1993). That of a spread is the
chi-square interval of a standard deviation, since resampling few years makes spreads too small (four years drawn with
replacement hold 2.7 different ones on average).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from yardland.weather.climate import FROST_C, MONTH_LENGTHS
from yardland.weather.generator.draw import Drawn
from yardland.weather.generator.fit_slow import LEAST_YEARS_FOR_YEAR_LAG
from yardland.weather.generator.model import RAIN_DAY_MM
from yardland.weather.generator.series import clear_sky_doy_mj_m2, series
from yardland.weather.types import F64, Record
from yardland.weather.years import DAYS

RESAMPLES = 2000
TAIL_Z = 1.959964
LEAST_DAYS = 30
"""Wet days, and dry days, in a month over all years for a contrast between them; spells are half as many."""


@dataclass(frozen=True)
class Years:
    """Whole calendar years side by side, [years, 365]."""

    tmin_c: F64
    tmax_c: F64
    rain_mm: F64
    rad_mj_m2: F64
    latitude_deg: float
    altitude_m: float

    @property
    def tmean_c(self) -> F64:
        """Mean of Tmin and Tmax."""
        return np.asarray((self.tmin_c + self.tmax_c) / 2)

    def first(self, count: int) -> Years:
        """The first years alone."""
        arrays = {name: getattr(self, name)[:count] for name in ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2")}
        return replace(self, **arrays)

    @classmethod
    def of_record(cls, record: Record) -> Years:
        """The record's whole years (of 365 days from its first whole month), turned to begin in January."""
        whole = series(record, 1)
        order = np.lexsort((whole.doy, whole.year))
        arrays = {n: whole.columns[n][order].reshape(-1, DAYS) for n in ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2")}
        return cls(**arrays, latitude_deg=record.latitude_deg, altitude_m=record.altitude_m)

    @classmethod
    def of_drawn(cls, drawn: Drawn) -> Years:
        """Drawn years."""
        arrays = {name: getattr(drawn, name) for name in ("tmin_c", "tmax_c", "rain_mm", "rad_mj_m2")}
        return cls(**arrays, latitude_deg=drawn.latitude_deg, altitude_m=drawn.altitude_m)


@dataclass(frozen=True)
class Statistic:
    """What was counted: `over` and `under` [years, columns] of a ratio, or `values` [years, columns] of a spread.

    twelve columns are months from January, one is the year.
    """

    name: str
    unit: str
    over: F64
    under: F64 | None = None

    def value(self) -> F64:
        """By column; NaN where nothing was counted."""
        if self.under is None:
            return _spread(self.over)[0]
        return _divided(self.over.sum(axis=0), self.under.sum(axis=0))

    def interval(self, seed: int) -> tuple[F64, F64]:
        """Bounds of the 95 % sampling interval by column."""
        if self.under is None:
            return _chi_square_interval(self.over)
        rng = np.random.default_rng(seed)
        years = len(self.over)
        counts = rng.multinomial(years, np.full(years, 1 / years), RESAMPLES).astype(np.float64)
        ratios = _divided(counts @ self.over, counts @ self.under)
        known = np.isfinite(ratios).any(axis=0)
        low, high = np.full((2, self.over.shape[1]), np.nan)
        if known.any():
            low[known], high[known] = np.nanquantile(ratios[:, known], [0.025, 0.975], axis=0)
        return low, high


@dataclass(frozen=True)
class Row:
    """One statistic of one month (1-12; 0 the year): the record's, its 95 % sampling interval, the generator's."""

    name: str
    unit: str
    month: int
    record: float
    low: float
    high: float
    generated: float

    @property
    def inside(self) -> bool:
        """Whether the generated value lies in the record's interval."""
        return self.low <= self.generated <= self.high

    @property
    def ratio(self) -> float:
        """Generated over recorded; NaN where the record has 0."""
        return self.generated / self.record if self.record else float("nan")


def compare(record: Years, generated: Years, seed: int = 0) -> tuple[Row, ...]:
    """Every statistic that both hold, month by month, then of the year.

    Args:
        record: the record's years; the sampling intervals are theirs.
        generated: drawn years, many more than the record's for their own sampling error to be small.
        seed: of the bootstrap.
    """
    rows = []
    block = len(record.rain_mm)
    for known, made in zip(statistics(record, block), statistics(generated, block), strict=True):
        value, drawn = known.value(), made.value()
        low, high = known.interval(seed)
        for column in np.flatnonzero(np.isfinite(value) & np.isfinite(drawn) & np.isfinite(low)):
            month = int(column) + 1 if len(value) == 12 else 0
            numbers = (float(x[column]) for x in (value, low, high, drawn))
            rows.append(Row(known.name, known.unit, month, *numbers))
    return tuple(rows)


def statistics(years: Years, block: int) -> tuple[Statistic, ...]:
    """All statistics of some years, in a fixed order; `block` years at a time make the means that days depart from."""
    return (
        *_means(years),
        *_spreads(years, block),
        *_spells(years),
        *_contrasts(years, block),
        *_lags(years, block),
        *_yearly(years),
        *_year_lags(years, block),
    )


def _means(y: Years) -> list[Statistic]:
    one = np.ones_like(y.rain_mm)
    days = _by_month(one)
    every = np.ones_like(days)
    return [
        Statistic("mean Tmin", "C", _by_month(y.tmin_c), days),
        Statistic("mean Tmax", "C", _by_month(y.tmax_c), days),
        Statistic("mean temperature", "C", _by_month(y.tmean_c), days),
        Statistic("mean radiation", "MJ/m2/day", _by_month(y.rad_mj_m2), days),
        Statistic("mean rain", "mm", _by_month(y.rain_mm), every),
        Statistic("rain days", "days", _by_month(_wet(y)), every),
    ]


def _spreads(y: Years, block: int) -> list[Statistic]:
    days = _by_month(np.ones_like(y.rain_mm))
    return [
        Statistic("spread of monthly rain", "mm", _by_month(y.rain_mm)),
        Statistic("spread of rain days", "days", _by_month(_wet(y))),
        Statistic("spread of monthly temperature", "C", _by_month(y.tmean_c) / MONTH_LENGTHS),
        Statistic("spread of monthly radiation", "MJ/m2/day", _by_month(y.rad_mj_m2) / MONTH_LENGTHS),
        Statistic("day-to-day variance of Tmin", "C2", _by_month(_anomaly(y.tmin_c, block) ** 2), days),
        Statistic("day-to-day variance of Tmax", "C2", _by_month(_anomaly(y.tmax_c, block) ** 2), days),
    ]


def _spells(y: Years) -> list[Statistic]:
    wet = _wet(y) > 0
    return [
        Statistic("length of wet spells", "days", *_spell_sums(wet)),
        Statistic("length of dry spells", "days", *_spell_sums(~wet)),
        Statistic("wet spells of 5 days and more", "share", *_long_spells(wet, 5)),
        Statistic("longest wet spell of a year", "days", _longest(wet), np.ones((len(wet), 1))),
        Statistic("longest dry spell of a year", "days", _longest(~wet), np.ones((len(wet), 1))),
    ]


def _contrasts(y: Years, block: int) -> list[Statistic]:
    wet = _wet(y) > 0
    clear = np.maximum(clear_sky_doy_mj_m2(y.latitude_deg, y.altitude_m), 0.01)
    return [
        _contrast("wet days less dry days, temperature", "C", _anomaly(y.tmean_c, block), wet),
        _contrast("wet days less dry days, range", "C", _anomaly(y.tmax_c - y.tmin_c, block), wet),
        _contrast("wet days less dry days, clearness", "", y.rad_mj_m2 / clear, wet),
    ]


def _contrast(name: str, unit: str, values: F64, wet: np.ndarray[tuple[int, int], np.dtype[np.bool_]]) -> Statistic:
    """Mean over wet days less that over dry ones, as a sum over days weighted so that a year is resampled whole.

    The weights are those of all years together, hence a ratio of sums only to first order in the years' differences.
    """
    wet_days, dry_days = _by_month(wet.astype(float)), _by_month((~wet).astype(float))
    enough = np.minimum(wet_days.sum(axis=0), dry_days.sum(axis=0)) >= LEAST_DAYS
    on_wet, on_dry = _by_month(values * wet), _by_month(values * ~wet)
    mean_wet = _divided(on_wet.sum(axis=0), wet_days.sum(axis=0))
    mean_dry = _divided(on_dry.sum(axis=0), dry_days.sum(axis=0))
    years = len(values)
    of_year = (on_wet - wet_days * mean_wet) / np.maximum(wet_days.mean(axis=0), 1e-9) - (
        on_dry - dry_days * mean_dry
    ) / np.maximum(dry_days.mean(axis=0), 1e-9)
    over = of_year + (mean_wet - mean_dry)
    return Statistic(name, unit, np.where(enough, over, np.nan), np.ones((years, 12)))


def _lags(y: Years, block: int) -> list[Statistic]:
    clear = np.maximum(clear_sky_doy_mj_m2(y.latitude_deg, y.altitude_m), 0.01)
    low, high, sky = _anomaly(y.tmin_c, block), _anomaly(y.tmax_c, block), _anomaly(y.rad_mj_m2 / clear, block)
    return [
        Statistic("lag-one correlation, Tmin", "", *_lag_sums(low)),
        Statistic("lag-one correlation, Tmax", "", *_lag_sums(high)),
        Statistic("lag-one correlation, clearness", "", *_lag_sums(sky)),
    ]


def _yearly(y: Years) -> list[Statistic]:
    last, first = frost_days(y)
    one = np.ones((len(y.rain_mm), 1))
    return [
        Statistic("spread of yearly temperature", "C", y.tmean_c.mean(axis=1)[:, None]),
        Statistic("spread of yearly rain", "mm", y.rain_mm.sum(axis=1)[:, None]),
        Statistic("spread of yearly radiation", "MJ/m2/day", y.rad_mj_m2.mean(axis=1)[:, None]),
        Statistic("coldest night of a year", "C", y.tmin_c.min(axis=1)[:, None], one),
        Statistic("hottest day of a year", "C", y.tmax_c.max(axis=1)[:, None], one),
        Statistic("wettest day of a year", "mm", y.rain_mm.max(axis=1)[:, None], one),
        Statistic("mean last frost", "day", np.nan_to_num(last), np.isfinite(last).astype(float)),
        Statistic("mean first frost", "day", np.nan_to_num(first), np.isfinite(first).astype(float)),
        Statistic("spread of last frost", "days", last),
        Statistic("spread of first frost", "days", first),
        Statistic(
            "frost days", "days", (y.tmin_c <= FROST_C).sum(axis=1)[:, None].astype(float), np.ones((len(last), 1))
        ),
    ]


def _year_lags(y: Years, block: int) -> list[Statistic]:
    """Correlation of a year with the year before it; none where the record is too short to tell it."""
    if block < LEAST_YEARS_FOR_YEAR_LAG:
        return []
    warmth, rain = y.tmean_c.mean(axis=1), y.rain_mm.sum(axis=1)
    return [
        Statistic("year after year, temperature", "", *_year_lag_sums(warmth, block)),
        Statistic("year after year, rain", "", *_year_lag_sums(rain, block)),
    ]


def _year_lag_sums(values: F64, block: int) -> tuple[F64, F64]:
    """Products with the year before and squares, about the mean of each `block` of years: both sides biased alike."""
    product, square = np.zeros(len(values)), np.zeros(len(values))
    for start in range(0, len(values) - block + 1, block):
        part = slice(start, start + block)
        anomaly = values[part] - values[part].mean()
        product[part][1:] = anomaly[1:] * anomaly[:-1]
        square[part][1:] = (anomaly[1:] ** 2 + anomaly[:-1] ** 2) / 2
    return product[:, None], square[:, None]


def frost_days(y: Years) -> tuple[F64, F64]:
    """Day of the last and first frost from midwinter, [years, 1]; NaN in a year without (docs/weather-years.md)."""
    turned = y.tmin_c if y.latitude_deg >= 0 else np.roll(y.tmin_c, -181, axis=1)
    cold = turned <= FROST_C
    spring, autumn = cold[:, :181], cold[:, 212:]
    last = np.where(spring.any(axis=1), 180 - np.argmax(spring[:, ::-1], axis=1), np.nan)
    first = np.where(autumn.any(axis=1), 212 + np.argmax(autumn, axis=1), np.nan)
    return last[:, None].astype(float), first[:, None].astype(float)


def _wet(y: Years) -> F64:
    return (y.rain_mm >= RAIN_DAY_MM).astype(np.float64)


def _by_month(values: F64) -> F64:
    starts = np.concatenate([[0], np.cumsum(MONTH_LENGTHS)[:-1]])
    return np.asarray(np.add.reduceat(values, starts, axis=1))


def _anomaly(values: F64, block: int) -> F64:
    """Departure from the mean of each day of the year over the `block` years about it, smoothed over a month.

    So many years as the record has: the mean of few years takes some of their own weather with it.
    """
    left = np.empty_like(values)
    for start in range(0, len(values), block):
        first = max(min(start, len(values) - block), 0)
        mean = values[first : first + block].mean(axis=0)
        ring = np.concatenate([mean[-15:], mean, mean[:15]])
        part = slice(start, start + block)
        left[part] = values[part] - np.convolve(ring, np.full(31, 1 / 31), mode="valid")
    return left


def _lag_sums(anomaly: F64) -> tuple[F64, F64]:
    """Sums of products with the day before and of squares, by month."""
    product = np.zeros_like(anomaly)
    product[:, 1:] = anomaly[:, 1:] * anomaly[:, :-1]
    square = np.zeros_like(anomaly)
    square[:, 1:] = (anomaly[:, 1:] ** 2 + anomaly[:, :-1] ** 2) / 2
    return _by_month(product), _by_month(square)


def _ends(flags: np.ndarray[tuple[int, int], np.dtype[np.bool_]]) -> tuple[F64, F64]:
    """Length of the spell that ends on each day (0 elsewhere), and 1 on those days; spells are cut at the year's ends."""
    run = np.zeros(flags.shape)
    run[:, 0] = flags[:, 0]
    for day in range(1, flags.shape[1]):
        run[:, day] = np.where(flags[:, day], run[:, day - 1] + 1, 0)
    ends = flags.copy()
    ends[:, :-1] &= ~flags[:, 1:]
    return np.where(ends, run, 0.0), ends.astype(np.float64)


def _spell_sums(flags: np.ndarray[tuple[int, int], np.dtype[np.bool_]]) -> tuple[F64, F64]:
    length, ends = _ends(flags)
    return _enough(_by_month(length), _by_month(ends))


def _long_spells(flags: np.ndarray[tuple[int, int], np.dtype[np.bool_]], days: int) -> tuple[F64, F64]:
    length, ends = _ends(flags)
    return (length >= days).sum(axis=1)[:, None].astype(float), ends.sum(axis=1)[:, None]


def _longest(flags: np.ndarray[tuple[int, int], np.dtype[np.bool_]]) -> F64:
    return np.asarray(_ends(flags)[0].max(axis=1)[:, None])


def _enough(over: F64, under: F64) -> tuple[F64, F64]:
    few = under.sum(axis=0) < LEAST_DAYS / 2
    return np.where(few, np.nan, over), under


def _divided(over: F64, under: F64) -> F64:
    return np.asarray(np.divide(over, under, out=np.full(np.shape(over), np.nan), where=under > 0))


def _spread(values: F64) -> tuple[F64, F64]:
    """Standard deviation by column and the number of years known; NaN under three."""
    known = np.isfinite(values)
    count = known.sum(axis=0)
    mean = _divided(np.where(known, values, 0.0).sum(axis=0), count)
    squares = np.where(known, (values - mean) ** 2, 0.0).sum(axis=0)
    return np.where(count >= 3, np.sqrt(squares / np.maximum(count - 1, 1)), np.nan), count


def _chi_square_interval(values: F64) -> tuple[F64, F64]:
    """S sqrt(k / chi-square) at both tails, k = n - 1 (Wilson and Hilferty 1931 for the quantiles, good to 1 % here)."""
    spread, count = _spread(values)
    k = np.maximum(count - 1, 1).astype(np.float64)
    bounds = []
    for z in (TAIL_Z, -TAIL_Z):
        quantile = k * np.maximum(1 - 2 / (9 * k) + z * np.sqrt(2 / (9 * k)), 0.02) ** 3
        bounds.append(spread * np.sqrt(k / quantile))
    return bounds[0], bounds[1]
