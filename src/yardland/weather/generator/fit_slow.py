"""Fit of what is common to the days of a month and to the months of a year: the low-frequency part.

Generators of days alone make months and years too alike (Wilks and Wilby 1999, Progress in Physical Geography 23:329-357).
Each variable's standardised residual is therefore sqrt(1 - s) of a daily process and sqrt(s) of an effect of the month,
with s such that the variance of the monthly means is the record's; a share of the effect's variance is common to the year,
such that the variance of the yearly means is the record's too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.weather.climate import MONTH_LENGTHS
from yardland.weather.generator.fit_rain import shrunk_ratio, total_loading
from yardland.weather.generator.fit_residual import COUNT, as_correlation
from yardland.weather.generator.model import EFFECTS, HALF_YEAR, RainModel, SlowModel
from yardland.weather.generator.series import Series
from yardland.weather.types import F64

PRIOR_MONTHS = 30.0
"""Months by which correlations between effects are drawn to none."""
LEAST_YEARS_FOR_YEAR_LAG = 20
SHRINKING_YEARS = 10.0
"""Years by which the correlation of neighbouring years is drawn to none."""
GREATEST_YEAR_LAG = 0.8
GREATEST_SLOW_SHARE = 0.6
GREATEST_MONTH_LAG = 0.7


@dataclass(frozen=True)
class Anomalies:
    """Monthly anomalies of a record, [years, 12, 6]: rain total in mm, means of the five standardised residuals."""

    by_month: F64

    @classmethod
    def of(cls, series: Series, residual: F64) -> Anomalies:
        """Anomalies about the means over the years."""
        parts = [series.by_month(series.columns["rain_mm"])]
        parts += [series.by_month(residual[:, j]) / MONTH_LENGTHS for j in range(COUNT)]
        stacked = np.stack(parts, axis=2)
        return cls(stacked - stacked.mean(axis=0))

    @property
    def years(self) -> int:
        """How many years."""
        return len(self.by_month)

    def variance(self) -> F64:
        """By month, [12, 6], unbiased."""
        return np.asarray((self.by_month**2).sum(axis=0) / (self.years - 1))


def mean_variance_of_lag_one(lag1: F64, days: F64) -> F64:
    """Variance of the mean of `days` values of a first-order autoregression of unit variance."""
    r = np.clip(lag1, -0.99, 0.99)
    return np.asarray(((1 + r) / (1 - r) - 2 * r * (1 - r**days) / (days * (1 - r) ** 2)) / days)


def slow_shares(anomalies: Anomalies, m1: F64) -> F64:
    """Share of each residual's variance that is common to a month's days, [12, 5]."""
    lag1 = np.stack([np.diag(m1[m]) for m in range(12)])
    found = anomalies.variance()[:, 1:]
    shares = np.zeros((12, COUNT))
    days = MONTH_LENGTHS.astype(np.float64)
    for j in range(COUNT):
        plain = mean_variance_of_lag_one(lag1[:, j], days)
        wanted = plain * shrunk_ratio(found[:, j], plain, anomalies.years)
        low, high = np.zeros(12), np.minimum(np.full(12, GREATEST_SLOW_SHARE), np.maximum(lag1[:, j], 0.0))
        for _ in range(40):
            middle = (low + high) / 2
            short = month_variance(middle, lag1[:, j], days) < wanted
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        shares[:, j] = (low + high) / 2
    return np.where(shares < 1e-6, 0.0, shares)


def month_variance(share: F64, lag1: F64, days: F64) -> F64:
    """Variance of a month's mean residual when `share` is common to its days and the lag-one correlation stays."""
    return np.asarray(share + (1 - share) * mean_variance_of_lag_one((lag1 - share) / (1 - share), days))


def slow_model(anomalies: Anomalies, rain: RainModel, shares: F64, residual_sd: F64) -> SlowModel:
    """Shares of the year, lags and correlations of the six effects.

    Args:
        anomalies: of the record.
        rain: the fitted rain, for how far totals go with the effect.
        shares: [12, 5] of `slow_shares`.
        residual_sd: [12, 5], mean standard deviations: weights of months in a yearly mean.
    """
    rain_load, _ = total_loading(rain)
    loads = np.column_stack([rain_load, np.sqrt(shares)])
    weights = np.column_stack([np.ones(12), residual_sd * (MONTH_LENGTHS / MONTH_LENGTHS.sum())[:, None]])
    year_share, month_lag, year_lag = np.zeros((3, len(EFFECTS)))
    for j in range(len(EFFECTS)):
        own = anomalies.by_month[:, :, j]
        year_share[j], month_lag[j] = _persistence(own, loads[:, j], weights[:, j])
        year_lag[j] = _year_lag(own @ weights[:, j], year_share[j] * float((loads[:, j] @ weights[:, j]) ** 2))
    return SlowModel(year_share, month_lag, year_lag, _mixing(anomalies))


def slow_correlation(mixing: F64) -> F64:
    """Correlations of the five residual effects by month, [12, 5, 5]."""
    by_half = np.stack([triangle @ triangle.T for triangle in mixing])[:, 1:, 1:]
    return np.asarray(by_half[HALF_YEAR])


def effect_correlation(year_share: float, month_lag: float) -> F64:
    """Correlations of an effect between the months of one year, [12, 12]."""
    apart = np.abs(np.subtract.outer(np.arange(12), np.arange(12)))
    return np.asarray(year_share + (1 - year_share) * month_lag**apart)


def _persistence(own: F64, load: F64, weight: F64) -> tuple[float, float]:
    """Share of the year and month-to-month correlation that give the yearly variance and the covariance of neighbours."""
    years = len(own)
    products = np.outer(load * weight, load * weight)
    if np.trace(products) <= 1e-12:
        return 0.0, 0.0
    between = products.sum() - np.trace(products)
    if between <= 1e-12:
        return 0.0, 0.0
    flat = own.ravel()
    neighbours = float((flat[:-1] * flat[1:]).sum() / (years - 1))
    loads = np.tile(load, years)
    expected = float((loads[:-1] * loads[1:]).sum() / years)
    near = np.clip(neighbours / max(expected, 1e-12), 0.0, GREATEST_MONTH_LAG)
    near *= years / (years + 2.0)
    wanted = float(((own @ weight) ** 2).sum() / (years - 1))
    alone = float((own**2 @ weight**2).sum() / (years - 1))
    low, high = 0.0, 1.0
    for _ in range(40):
        share = (low + high) / 2
        lag = _lag_beside(share, float(near))
        got = alone + float((products * effect_correlation(share, lag)).sum() - np.trace(products))
        low, high = (share, high) if got < wanted else (low, share)
    share = 0.0 if high < 1e-6 else min((low + high) / 2, 0.95)
    return share, _lag_beside(share, float(near))


def _lag_beside(year_share: float, near: float) -> float:
    """Month-to-month correlation of the month's part when neighbours correlate by `near` in all."""
    return float(np.clip((near - year_share) / max(1 - year_share, 1e-9), 0.0, GREATEST_MONTH_LAG))


def _year_lag(yearly: F64, common: float) -> float:
    """Lag of the year's part that gives yearly means their correlation, drawn to none; none where the record is short.

    Args:
        yearly: means of the record's years.
        common: the part of their variance that is the year's; what days and months add does not last.
    """
    years = len(yearly)
    if years < LEAST_YEARS_FOR_YEAR_LAG or common <= 0:
        return 0.0
    left = yearly - yearly.mean()
    found = float((left[:-1] * left[1:]).sum() / (left**2).sum())
    kept = (found + 1 / years) * years / (years + SHRINKING_YEARS)
    part = min(common / float(yearly.var(ddof=1)), 1.0)
    return float(np.clip(kept / part, 0.0, GREATEST_YEAR_LAG))


def _mixing(anomalies: Anomalies) -> F64:
    """Lower triangles of the correlations between effects by half-year, [2, 6, 6]."""
    scale = np.sqrt(anomalies.variance())
    standard = np.divide(anomalies.by_month, scale, out=np.zeros_like(anomalies.by_month), where=scale > 1e-9)
    triangles = []
    for half in (0, 1):
        rows = standard[:, half == HALF_YEAR].reshape(-1, len(EFFECTS))
        found = rows.T @ rows / len(rows) * len(rows) / (len(rows) + PRIOR_MONTHS)
        found[np.diag_indices(len(EFFECTS))] = 1.0
        triangles.append(np.linalg.cholesky(as_correlation(found)))
    return np.stack(triangles)
