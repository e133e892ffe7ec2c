"""Fit of the rain: a two-state chain and mixed exponential amounts, both moved by a month's effect.

Chain and amounts: Richardson 1981 (Water Resources Research 17:182-190), Wilks 1999 (Agricultural and Forest Meteorology
93:153-169, mixed exponential). A chain with fixed probabilities makes months too alike (overdispersion: Katz and Parlange
1998, Journal of Climate 11:591-601); a standard normal effect of the month moves probabilities (probit) and amounts
(logarithm) so far that the variances of the monthly counts and totals are the record's. All moments are worked out by
Gauss-Hermite quadrature over the effect, nothing is simulated.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import erf, sqrt
from statistics import NormalDist

import numpy as np

from yardland.weather.climate import MONTH_LENGTHS
from yardland.weather.generator.model import RAIN_DAY_MM, RainModel
from yardland.weather.generator.series import Series
from yardland.weather.types import F64

PRIOR_WET_DAYS = 5.0
"""Days by which a month's chance of rain after rain is drawn to that of the three months about it."""
PRIOR_YEARS = 10.0
"""Years by which a month's spread is drawn to that of all months; four years know their own spread badly."""
NEIGHBOUR = 1 / 3
WETTEST = 0.97
DRIEST = 1e-4
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(21)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()
_NORMAL = NormalDist()


@dataclass(frozen=True)
class RainTargets:
    """What the months of the generated rain are held to; arrays are [12].

    wet : share of wet days; persistence : chance of rain after rain; amount_mm : on a wet day, all rain on them;
    shape : [12, 3] share_low and the two means of a mixed exponential with mean 1; count_ratio, total_ratio : variance of
    monthly counts and totals over that of the chain without effects.
    """

    wet: F64
    persistence: F64
    amount_mm: F64
    shape: F64
    count_ratio: F64
    total_ratio: F64


def rain_targets(of: Series) -> RainTargets:
    """The targets of a record."""
    rain = of.columns["rain_mm"]
    wet = rain >= RAIN_DAY_MM
    counts, totals = of.by_month(wet.astype(np.float64)), of.by_month(rain)
    share = np.minimum(counts.mean(axis=0) / MONTH_LENGTHS, WETTEST)
    persistence = _persistence(of, wet)
    amount = totals.mean(axis=0) / np.maximum(counts.mean(axis=0), 1e-9)
    amount = np.where(share > 0, np.maximum(amount, RAIN_DAY_MM + 0.1), RAIN_DAY_MM + 1.0)
    shape = _shapes(of, wet)
    plain = [_plain_variances(m, share[m], persistence[m], amount[m], shape[m]) for m in range(12)]
    count_var, total_var = np.array(plain).T
    return RainTargets(
        wet=share,
        persistence=persistence,
        amount_mm=amount,
        shape=shape,
        count_ratio=shrunk_ratio(counts.var(axis=0, ddof=1), count_var, of.years),
        total_ratio=shrunk_ratio(totals.var(axis=0, ddof=1), total_var, of.years),
    )


def shrunk_ratio(found: F64, expected: F64, years: int) -> F64:
    """Ratio of variances by month, drawn to the ratio over all months the more the fewer the years."""
    known = expected > 1e-12
    pooled = found[known].sum() / expected[known].sum() if known.any() else 1.0
    own = np.divide(found, expected, out=np.full(12, pooled), where=known)
    return np.asarray((years * own + PRIOR_YEARS * pooled) / (years + PRIOR_YEARS))


def rain_model(targets: RainTargets) -> RainModel:
    """The parameters whose moments are the targets; months carry over into each other as the chain does."""
    asked = targets
    for _ in range(3):
        model = _months(asked)
        share = expected_wet_share(model)
        ratio = np.divide(targets.wet, share, out=np.ones(12), where=share > 1e-9)
        asked = replace(asked, wet=np.minimum(asked.wet * ratio, WETTEST))
    return _months(asked)


def expected_wet_share(model: RainModel) -> F64:
    """Share of wet days by month, a month beginning where the one before ended."""
    wet = np.full(len(_NODES), 0.3)
    shares = np.zeros(12)
    for m in [*range(12), *range(12)]:
        after_dry = phi(model.after_dry[m] + model.occurrence_sd[m] * _NODES)
        after_wet = phi(model.after_wet[m] + model.occurrence_sd[m] * _NODES)
        wet, total = np.full(len(_NODES), float((_WEIGHTS * wet).sum())), np.zeros(len(_NODES))
        for _ in range(MONTH_LENGTHS[m]):
            wet = wet * after_wet + (1 - wet) * after_dry
            total += wet
        shares[m] = float((_WEIGHTS * total).sum()) / MONTH_LENGTHS[m]
    return shares


def _months(targets: RainTargets) -> RainModel:
    rows = [_month(targets, month) for month in range(12)]
    names = RainModel.__dataclass_fields__
    return RainModel(**{name: np.array([row[name] for row in rows]) for name in names})


def total_loading(model: RainModel) -> tuple[F64, F64]:
    """How far a month's total goes with its effect (mm per unit), and the total's variance (mm2), [12] each."""
    loads, variances = np.zeros(12), np.zeros(12)
    for m in range(12):
        mean, variance = _totals_given(model, m)
        loads[m] = float((_WEIGHTS * mean * _NODES).sum())
        variances[m] = float((_WEIGHTS * (variance + mean**2)).sum() - (_WEIGHTS * mean).sum() ** 2)
    return loads, variances


def chain_count_variance(days: int, wet: F64, after_wet: F64, after_dry: F64) -> F64:
    """Variance of the number of wet days among `days` of a stationary two-state chain (Gabriel 1959, Biometrika 46)."""
    r = np.clip(after_wet - after_dry, -0.999, 0.999)
    inner = (1 + r) / (1 - r) - 2 * r * (1 - r**days) / (days * (1 - r) ** 2)
    return np.asarray(days * wet * (1 - wet) * inner)


def _persistence(of: Series, wet: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> F64:
    """Chance of rain after rain by month, drawn to that of the three months about it."""
    month, before = of.month[1:], wet[:-1]
    after = np.bincount(month[before], minlength=12).astype(np.float64)
    both = np.bincount(month[before & wet[1:]], minlength=12).astype(np.float64)
    around_after, around_both = _three_months(after), _three_months(both)
    around = np.divide(around_both, around_after, out=np.full(12, 0.4), where=around_after > 0)
    return np.asarray(np.clip((both + PRIOR_WET_DAYS * around) / (after + PRIOR_WET_DAYS), 0.02, WETTEST))


def _three_months(values: F64) -> F64:
    return np.asarray(values + np.roll(values, 1) + np.roll(values, -1))


def _shapes(of: Series, wet: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> F64:
    """Mixed exponentials of mean 1 by month, fitted to the excess over the threshold, the months about it at a third."""
    excess = of.columns["rain_mm"] - RAIN_DAY_MM
    shapes = np.tile([0.5, 1.0, 1.0], (12, 1))
    for m in range(12):
        parts, weights = [], []
        for near, weight in (((m - 1) % 12, NEIGHBOUR), (m, 1.0), ((m + 1) % 12, NEIGHBOUR)):
            own = excess[wet & (of.month == near)]
            if len(own) and own.mean() > 0:
                parts.append(own / own.mean())
                weights.append(np.full(len(own), weight))
        if parts and sum(map(len, parts)) >= 20:
            shapes[m] = mixed_exponential(np.concatenate(parts), np.concatenate(weights))
    return shapes


def mixed_exponential(excess: F64, weights: F64, rounds: int = 200) -> F64:
    """Share of the smaller mean and the two means, scaled to mean 1, by expectation-maximisation."""
    x = np.maximum(excess / np.average(excess, weights=weights), 1e-3)
    share, low, high = 0.5, 0.5, 1.5
    for _ in range(rounds):
        one = share / low * np.exp(-x / low)
        two = (1 - share) / high * np.exp(-x / high)
        part = one / (one + two)
        share = float(np.clip(np.average(part, weights=weights), 0.02, 0.98))
        low = max(float(np.average(x, weights=weights * part)), 1e-3)
        high = float(np.average(x, weights=weights * (1 - part)))
    mean = share * low + (1 - share) * high
    return np.array([share, low / mean, high / mean])


def _excess_variance(mean_mm: float, shape: F64) -> float:
    share, low, high = shape
    return float(mean_mm**2 * (2 * (share * low**2 + (1 - share) * high**2) - 1))


def _after_dry(wet: float, persistence: float) -> float:
    return float(np.clip(wet * (1 - persistence) / max(1 - wet, 1e-9), DRIEST, WETTEST))


def _plain_variances(m: int, wet: float, persistence: float, amount: float, shape: F64) -> tuple[float, float]:
    """Variances of a month's count and total without effects."""
    days = int(MONTH_LENGTHS[m])
    count = float(
        chain_count_variance(days, np.array(wet), np.array(persistence), np.array(_after_dry(wet, persistence)))
    )
    return count, days * wet * _excess_variance(amount - RAIN_DAY_MM, shape) + count * amount**2


def phi(values: F64) -> F64:
    """The standard normal distribution function."""
    return np.array([0.5 * (1 + erf(value / sqrt(2))) for value in np.ravel(values)]).reshape(np.shape(values))


def _probit(share: float) -> float:
    return _NORMAL.inv_cdf(min(max(share, 1e-9), 1 - 1e-9))


def _month(targets: RainTargets, m: int) -> dict[str, float]:
    wet, persistence = float(targets.wet[m]), float(targets.persistence[m])
    share, low, high = targets.shape[m]
    if wet <= 0:
        return _rainless(share)
    persistence = max(persistence, 1 - WETTEST * (1 - wet) / wet)
    excess = float(targets.amount_mm[m]) - RAIN_DAY_MM
    plain_count, plain_total = _plain_variances(m, wet, persistence, excess + RAIN_DAY_MM, targets.shape[m])
    days = int(MONTH_LENGTHS[m])
    occurrence_sd = _root(
        lambda sd: _count_variance(days, *_levels(wet, persistence, sd), sd),
        targets.count_ratio[m] * plain_count,
        0.0,
        1.5,
    )
    after_dry, after_wet = _levels(wet, persistence, occurrence_sd)
    found = {"after_dry": after_dry, "after_wet": after_wet, "occurrence_sd": occurrence_sd, "share_low": float(share)}
    found |= {"low_mm": excess * float(low), "high_mm": excess * float(high)}

    def total_variance(amount_sd: float) -> float:
        shift = _shift(found, amount_sd)
        one = RainModel(
            **{name: np.array([value]) for name, value in found.items()},
            amount_sd=np.array([amount_sd]),
            amount_shift=np.array([shift]),
        )
        mean, variance = _totals_given(one, 0, days)
        return float((_WEIGHTS * (variance + mean**2)).sum() - (_WEIGHTS * mean).sum() ** 2)

    amount_sd = _root(total_variance, targets.total_ratio[m] * plain_total, 0.0, 0.9)
    return found | {"amount_sd": amount_sd, "amount_shift": _shift(found, amount_sd)}


def _rainless(share: float) -> dict[str, float]:
    """A month without a rain day in the record stays so."""
    zero = dict.fromkeys(RainModel.__dataclass_fields__, 0.0)
    return zero | {"after_dry": -9.0, "after_wet": -9.0, "share_low": float(share), "low_mm": 1.0, "high_mm": 1.0}


def _shift(found: dict[str, float], amount_sd: float) -> float:
    """Shift of the logarithm that keeps the mean excess of all wet days."""
    wet = _wet_given(found["after_dry"], found["after_wet"], found["occurrence_sd"])
    return float(-np.log((_WEIGHTS * wet * np.exp(amount_sd * _NODES)).sum() / (_WEIGHTS * wet).sum()))


def _wet_given(after_dry: float, after_wet: float, sd: float) -> F64:
    dry, wet = phi(after_dry + sd * _NODES), phi(after_wet + sd * _NODES)
    return np.asarray(dry / (1 - wet + dry))


def _levels(wet: float, persistence: float, sd: float) -> tuple[float, float]:
    """Probits after dry and after wet days with which, over all effects, the share of wet days and of rain after rain stay."""
    dry_level, wet_level = _probit(_after_dry(wet, persistence)), _probit(persistence)
    for _ in range(60):
        share = _wet_given(dry_level, wet_level, sd)
        mean = float((_WEIGHTS * share).sum())
        stays = float((_WEIGHTS * share * phi(wet_level + sd * _NODES)).sum()) / mean
        steps = _probit(persistence) - _probit(stays), _probit(wet) - _probit(mean)
        wet_level, dry_level = wet_level + steps[0], dry_level + steps[1]
        if max(map(abs, steps)) < 1e-9:
            break
    return dry_level, wet_level


def _count_variance(days: int, after_dry: float, after_wet: float, sd: float) -> float:
    dry, wet = phi(after_dry + sd * _NODES), phi(after_wet + sd * _NODES)
    share = dry / (1 - wet + dry)
    inside = (_WEIGHTS * chain_count_variance(days, share, wet, dry)).sum()
    between = (_WEIGHTS * (days * share) ** 2).sum() - (_WEIGHTS * days * share).sum() ** 2
    return float(inside + between)


def _totals_given(model: RainModel, m: int, days: int | None = None) -> tuple[F64, F64]:
    """Mean and variance of a month's total at each node of the effect."""
    length = int(MONTH_LENGTHS[m]) if days is None else days
    dry = phi(model.after_dry[m] + model.occurrence_sd[m] * _NODES)
    wet = phi(model.after_wet[m] + model.occurrence_sd[m] * _NODES)
    share = dry / (1 - wet + dry)
    factor = np.exp(model.amount_shift[m] + model.amount_sd[m] * _NODES)
    low, high, part = model.low_mm[m], model.high_mm[m], model.share_low[m]
    excess = part * low + (1 - part) * high
    spread = 2 * (part * low**2 + (1 - part) * high**2) - excess**2
    amount = RAIN_DAY_MM + excess * factor
    variance = length * share * spread * factor**2 + chain_count_variance(length, share, wet, dry) * amount**2
    return np.asarray(length * share * amount), np.asarray(variance)


def _root(function: Callable[[float], float], target: float, low: float, high: float) -> float:
    """Where a rising function meets the target, held within the bounds."""
    if function(low) >= target:
        return low
    if function(high) <= target:
        return high
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (middle, high) if function(middle) < target else (low, middle)
    return (low + high) / 2
