"""Fit of temperature, radiation, humidity and wind: a lag-one process of residuals about wet and dry days' means.

Richardson 1981 (Water Resources Research 17:182-190): each variable less its mean and over its deviation, both by day of
the year and by wet or dry day, follows z(t) = A z(t-1) + B e(t) with A = M1 M0^-1 and B B' = M0 - M1 M0^-1 M1', M0 and M1
the correlations at lag 0 and 1 (Matalas 1967, Water Resources Research 3:937-945). Here a share of each variance is common
to all days of a month (fit_slow), and M0 and M1 are those of what is left.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.weather.climate import MONTH_LENGTHS
from yardland.weather.generator.model import CLEARNESS, MONTH_OF_DAY, RAIN_DAY_MM, VARIABLES
from yardland.weather.generator.series import Series, transformed
from yardland.weather.types import F64
from yardland.weather.years import DAYS

COUNT = len(VARIABLES)
PRIOR_DAYS = 15.0
"""Days by which a month's wet-dry contrast and deviations are drawn to those of the three months about it."""
NEIGHBOUR = 0.1
PRIOR_SKEW_DAYS = 60.0
SKEW_NEIGHBOUR = 0.3
GREATEST_SKEW = 1.0
LEAST_EIGENVALUE = 1e-6
LEAST_SHARE_OF_EIGENVALUE = 0.03
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(21)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()


@dataclass(frozen=True)
class Standardised:
    """Centres and deviations [2, 365, 5] by dry and wet day, bends [12, 5], residuals [day, 5] of the record about them."""

    centre: F64
    sd: F64
    bend: F64
    residual: F64


def standardise(of: Series) -> Standardised:
    """Centres, deviations and residuals of a record."""
    values = transformed(of)
    wet = of.columns["rain_mm"] >= RAIN_DAY_MM
    share = np.bincount(of.month, weights=wet, minlength=12) / np.bincount(of.month, minlength=12)
    centre, sd = np.zeros((2, DAYS, COUNT)), np.zeros((2, DAYS, COUNT))
    for j in range(COUNT):
        mean = np.bincount(of.month, weights=values[:, j], minlength=12) / np.bincount(of.month, minlength=12)
        smooth = mean_keeping(mean)
        contrast = _contrast(values[:, j] - smooth[of.doy], wet, of.month)
        apart = mean_keeping(contrast)
        centre[:, :, j] = smooth + np.stack([-ring(share) * apart, (1 - ring(share)) * apart])
        left = values[:, j] - centre[wet.astype(int), of.doy, j]
        sd[:, :, j] = _deviations(left, wet, of.month)
    residual = (values - centre[wet.astype(int), of.doy]) / sd[wet.astype(int), of.doy]
    bend = _bends(of, residual)
    return Standardised(_means_held(of, wet, centre, sd, bend), sd, bend, residual)


def bent(z: F64, bend: F64) -> F64:
    """A normal number with a skew: (z + c (z^2 - 1)) / sqrt(1 + 2 c^2), mean 0, variance 1, skew about 6 c."""
    return np.asarray((z + bend * (z**2 - 1)) / np.sqrt(1 + 2 * bend**2))


def _bends(of: Series, residual: F64) -> F64:
    """A sixth of the residuals' skew by month, [12, 5], drawn to none as `PRIOR_SKEW_DAYS` without skew would."""
    bends = np.zeros((12, COUNT))
    for m in range(12):
        apart = np.abs(of.month - m)
        weight = np.where(apart == 0, 1.0, np.where(np.isin(apart, (1, 11)), SKEW_NEIGHBOUR, 0.0))
        days = float(weight.sum())
        mean = weight @ residual / days
        variance = weight @ (residual - mean) ** 2 / days
        third = weight @ (residual - mean) ** 3 / days
        skew = np.divide(third, variance**1.5, out=np.zeros(COUNT), where=variance > 1e-9)
        bends[m] = np.clip(skew * days / (days + PRIOR_SKEW_DAYS), -GREATEST_SKEW, GREATEST_SKEW) / 6
    return bends


def mean_keeping(means: F64) -> F64:
    """A daily curve round the year, straight between mid-months, whose mean over each month is `means` [12]."""
    weights = _ring_weights()
    matrix = np.stack([weights[m == MONTH_OF_DAY].mean(axis=0) for m in range(12)])
    return np.asarray(weights @ np.linalg.solve(matrix, means))


def ring(by_month: F64) -> F64:
    """Values at mid-months joined by straight lines round the year, [365]."""
    return np.asarray(_ring_weights() @ by_month)


def lag_matrices(m0: F64, m1: F64) -> tuple[F64, F64]:
    """A and B of Matalas 1967; B is the lower triangle, its matrix held positive by its eigenvalues.

    Directions in which the variables hardly vary together (radiation that was worked out from the range of temperature) are
    left out of the inverse: they would carry the noise of M1 into A.
    """
    lag = m1 @ np.linalg.pinv(m0, rcond=LEAST_SHARE_OF_EIGENVALUE, hermitian=True)
    return lag, triangle(m0 - lag @ m1.T)


def triangle(matrix: F64) -> F64:
    """Lower triangle whose product with its transpose is the nearest matrix without negative eigenvalues."""
    values, vectors = np.linalg.eigh((matrix + matrix.T) / 2)
    held = (vectors * np.maximum(values, LEAST_EIGENVALUE)) @ vectors.T
    return np.asarray(np.linalg.cholesky(held))


def as_correlation(matrix: F64) -> F64:
    """The nearest positive matrix with ones on its diagonal."""
    values, vectors = np.linalg.eigh((matrix + matrix.T) / 2)
    held = (vectors * np.maximum(values, 1e-3)) @ vectors.T
    scale = np.sqrt(np.diag(held))
    return np.asarray(held / np.outer(scale, scale))


def day_moments(of: Series, standard: Standardised) -> tuple[F64, F64]:
    """Correlations of the residuals on one day, and with the day before, [12, 5, 5]; the months about each at a quarter.

    A day after rain is not as other dry days are. What the record's lag-one covariance holds of that is put into M1: it is
    the covariance of the whole anomalies (contrast of wet and dry days included) less what the chain of rain days gives.
    """
    wet = (of.columns["rain_mm"] >= RAIN_DAY_MM).astype(np.float64)
    share = ring(np.bincount(of.month, weights=wet, minlength=12) / np.bincount(of.month, minlength=12))
    odd = wet - share[of.doy]
    apart = (standard.centre[1] - standard.centre[0])[of.doy] / standard.sd[wet.astype(int), of.doy]
    by_rain = apart * odd[:, None]
    whole = standard.residual + by_rain
    m0, m1 = np.zeros((12, COUNT, COUNT)), np.zeros((12, COUNT, COUNT))
    for m in range(12):
        weight = _near(of.month[1:], m)
        now = standard.residual[1:]
        scale = np.sqrt(np.maximum((now**2).T @ weight, 1e-12))
        m0[m] = (now.T * weight) @ now / np.outer(scale, scale)
        lagged = (whole[1:].T * weight) @ whole[:-1] - (by_rain[1:].T * weight) @ by_rain[:-1]
        m1[m] = lagged / np.outer(scale, scale)
        still = scale < 1e-5
        for matrix in (m0[m], m1[m]):
            matrix[still, :], matrix[:, still] = 0.0, 0.0
        m0[m][np.diag_indices(COUNT)] = 1.0
    return m0, m1


def _near(month: npt.NDArray[np.int64], m: int) -> F64:
    """Weights of days, with sum 1: those of the month count one, those of the months about it a quarter."""
    apart = np.abs(month - m)
    apart = np.minimum(apart, 12 - apart)
    weight = np.where(apart == 0, 1.0, np.where(apart == 1, NEIGHBOUR, 0.0))
    return np.asarray(weight / weight.sum())


def fast_matrices(m0: F64, m1: F64, slow_share: F64, slow_correlation: F64) -> tuple[F64, F64]:
    """A and B by month of what is left of the residuals when the part common to a month's days is taken out."""
    lag, shock = np.zeros_like(m0), np.zeros_like(m0)
    for m in range(12):
        slow = np.sqrt(np.outer(slow_share[m], slow_share[m])) * slow_correlation[m]
        scale = np.sqrt(np.outer(1 - slow_share[m], 1 - slow_share[m]))
        fast0 = as_correlation((m0[m] - slow) / scale)
        lag[m], shock[m] = lag_matrices(fast0, (m1[m] - slow) / scale)
        reach = float(np.abs(np.linalg.eigvals(lag[m])).max())
        if reach > 0.97:
            lag[m], shock[m] = lag_matrices(fast0, (m1[m] - slow) / scale * 0.97 / reach)
    return lag, shock


def _ring_weights() -> F64:
    """Weights [365, 12] of a line between mid-months, December's joining January's."""
    ends = np.cumsum(MONTH_LENGTHS)
    middle = ends - MONTH_LENGTHS / 2
    knots = np.concatenate([[middle[-1] - DAYS], middle, [middle[0] + DAYS]])
    day = np.arange(DAYS) + 0.5
    right = np.searchsorted(knots, day)
    part = (day - knots[right - 1]) / (knots[right] - knots[right - 1])
    weights = np.zeros((DAYS, 12))
    weights[np.arange(DAYS), (right - 2) % 12] += 1 - part
    weights[np.arange(DAYS), (right - 1) % 12] += part
    return weights


def _contrast(values: F64, wet: npt.NDArray[np.bool_], month: npt.NDArray[np.int64]) -> F64:
    """Mean of wet days less that of dry ones by month, drawn to that of the three months about it where days are few."""
    found = np.zeros((2, 2, 12))
    for kind, chosen in enumerate((~wet, wet)):
        found[kind, 0] = np.bincount(month[chosen], minlength=12)
        found[kind, 1] = np.bincount(month[chosen], weights=values[chosen], minlength=12)
    near = found + np.roll(found, 1, axis=2) + np.roll(found, -1, axis=2)
    around = [_ratio(near[kind, 1], near[kind, 0]) for kind in (0, 1)]
    own = [_ratio(found[kind, 1], found[kind, 0]) for kind in (0, 1)]
    few = np.minimum(found[0, 0], found[1, 0])
    weight = few / (few + PRIOR_DAYS)
    return np.asarray(weight * (own[1] - own[0]) + (1 - weight) * (around[1] - around[0]))


def _deviations(left: F64, wet: npt.NDArray[np.bool_], month: npt.NDArray[np.int64]) -> F64:
    """Standard deviations on dry and wet days, [2, 365], by month drawn to the three months about and joined by lines."""
    by_month = np.zeros((2, 12))
    for kind, chosen in enumerate((~wet, wet)):
        count = np.asarray(np.bincount(month[chosen], minlength=12), dtype=np.float64)
        squares = np.bincount(month[chosen], weights=left[chosen] ** 2, minlength=12)
        near_count = np.asarray(count + np.roll(count, 1) + np.roll(count, -1), dtype=np.float64)
        near = np.asarray(squares + np.roll(squares, 1) + np.roll(squares, -1), dtype=np.float64)
        prior = _ratio(near, near_count, float((left**2).mean()))
        by_month[kind] = np.sqrt((squares + PRIOR_DAYS * prior) / (count + PRIOR_DAYS))
    curves = [np.maximum(mean_keeping(row), 0.5 * row.min()) for row in by_month]
    return np.asarray(np.maximum(np.stack(curves), 1e-9))


def _ratio(over: F64, under: F64, otherwise: float = 0.0) -> F64:
    return np.asarray(np.divide(over, under, out=np.full(len(over), otherwise), where=under > 0))


def _means_held(of: Series, wet: npt.NDArray[np.bool_], centre: F64, sd: F64, bend: F64) -> F64:
    """Centres moved so that the expected range, clearness and wind (not their transforms) of each month are the record's.

    First those of its wet and of its dry days, as far as there are enough of them, then those of all its days.
    """
    raw = transformed(of)
    kept = centre.copy()
    for j, back in ((1, _square), (2, _logistic), (4, np.exp)):
        for chosen in (~wet, wet, np.ones_like(wet)):
            shift = _shift_to_mean(back, raw[:, j], of, wet, chosen, kept[:, :, j], sd[:, :, j], bend[:, j])
            kinds = [0, 1] if chosen.all() else [int(wet[chosen][0])] if chosen.any() else []
            days = np.bincount(of.month[chosen], minlength=12)
            weight = np.ones(12) if chosen.all() else days / (days + PRIOR_DAYS)
            for kind in kinds:
                kept[kind, :, j] += (weight * shift)[MONTH_OF_DAY]
    return kept


def _shift_to_mean(
    back: Callable[[F64], F64],
    raw: F64,
    of: Series,
    wet: npt.NDArray[np.bool_],
    chosen: npt.NDArray[np.bool_],
    centre: F64,
    sd: F64,
    bend: F64,
) -> F64:
    """By how much the centre of each month is to move so that the mean of `back` over the chosen days is the record's."""
    month, kind = of.month[chosen], wet[chosen].astype(int)
    at = centre[kind, of.doy[chosen]]
    reach = sd[kind, of.doy[chosen]][:, None] * bent(_NODES, bend[month][:, None])
    wanted = np.bincount(month, weights=back(raw[chosen]), minlength=12)
    shift = np.zeros(12)
    for _ in range(6):
        got, near = (
            np.bincount(month, weights=_expected(back, at + shift[month] + step, reach), minlength=12)
            for step in (0.0, 0.01)
        )
        slope = (near - got) / 0.01
        shift += np.divide(wanted - got, slope, out=np.zeros(12), where=slope > 1e-9)
    return np.clip(shift, -2.0, 2.0)


def _expected(back: Callable[[F64], F64], centre: F64, reach: F64) -> F64:
    """Mean of `back` over a skewed normal about each centre [day], whose nodes lie at `reach` [day, node] from it."""
    return np.asarray(back(centre[:, None] + reach) @ _WEIGHTS)


def _square(values: F64) -> F64:
    return np.asarray(np.maximum(values, 0.0) ** 2)


def _logistic(values: F64) -> F64:
    return np.clip(1 / (1 + np.exp(-values)), *CLEARNESS)
