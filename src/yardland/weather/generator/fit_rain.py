"""Fit of the rain: a two-state chain that looks two days back and mixed exponential amounts, both moved by a month's effect.

Chain and amounts: Richardson 1981 (Water Resources Research 17:182-190), Wilks 1999 (Agricultural and Forest Meteorology
93:153-169, mixed exponential). A chain with fixed probabilities makes months too alike (overdispersion: Katz and Parlange
1998, Journal of Climate 11:591-601); a standard normal effect of the month moves probabilities (probit) and amounts
(logarithm) so far that the variances of the monthly counts and totals are the record's. All moments are worked out by
Gauss-Hermite quadrature over the effect, nothing is simulated.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from yardland.weather.climate import MONTH_LENGTHS
from yardland.weather.generator.chain import NODES, WEIGHTS, Chain, Levels
from yardland.weather.generator.model import HALF_YEAR, RAIN_DAY_MM, RainModel
from yardland.weather.generator.series import Series
from yardland.weather.types import F64

PRIOR_WET_DAYS = 5.0
"""Days by which a month's chance of rain after rain is drawn to that of the three months about it."""
PRIOR_YEARS = 10.0
"""Years by which a month's spread is drawn to that of all months; four years know their own spread badly."""
PRIOR_MEMORY_DAYS = 40.0
NEIGHBOUR = 1 / 3
WETTEST = 0.97
DRIEST = 1e-4
_NORMAL = NormalDist()


@dataclass(frozen=True)
class RainTargets:
    """What the months of the generated rain are held to; arrays are [12].

    wet : share of wet days; persistence : chance of rain after rain; memory : [12, 2] what a wet day before yesterday adds to
    the probit after a dry and after a wet yesterday; amount_mm : on a wet day, all rain on them;
    shape : [12, 3] share_low and the two means of a mixed exponential with mean 1; count_ratio, total_ratio : variance of
    monthly counts and totals over that of the chain without effects.
    """

    wet: F64
    persistence: F64
    memory: F64
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
    shape, memory = _shapes(of, wet), _memory(of, wet)
    plain = [_plain_variances(m, share[m], persistence[m], memory[m], amount[m], shape[m]) for m in range(12)]
    count_var, total_var = np.array(plain).T
    return RainTargets(
        wet=share,
        persistence=persistence,
        memory=memory,
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
    for _ in range(2):
        model = _months(asked)
        share = expected_wet_share(model)
        ratio = np.divide(targets.wet, share, out=np.ones(12), where=share > 1e-9)
        asked = replace(asked, wet=np.minimum(asked.wet * ratio, WETTEST))
    return _months(asked)


def expected_wet_share(model: RainModel) -> F64:
    """Share of wet days by month, a month beginning where the one before ended."""
    state = np.array([0.5, 0.1, 0.1, 0.3])
    shares = np.zeros(12)
    for m in [*range(12), *range(12)]:
        chain = levels_of(model, m).chain(model.occurrence_sd[m])
        none, dry_wet, wet_dry, both = np.repeat(state[:, None], len(NODES), axis=1)
        total = np.zeros(len(NODES))
        for _ in range(MONTH_LENGTHS[m]):
            none, dry_wet, wet_dry, both = chain.step(none, dry_wet, wet_dry, both)
            total += wet_dry + both
        state = np.stack([none, dry_wet, wet_dry, both]) @ WEIGHTS
        shares[m] = float((WEIGHTS * total).sum()) / MONTH_LENGTHS[m]
    return shares


def levels_of(model: RainModel, m: int) -> Levels:
    """The chain's probits in a month."""
    return Levels(
        *(float(values[m]) for values in (model.after_dry, model.after_wet, model.dry_memory, model.wet_memory))
    )


def _months(targets: RainTargets) -> RainModel:
    rows = [_month(targets, month) for month in range(12)]
    names = RainModel.__dataclass_fields__
    return RainModel(**{name: np.array([row[name] for row in rows]) for name in names})


def total_loading(model: RainModel) -> tuple[F64, F64]:
    """How far a month's total goes with its effect (mm per unit), and the total's variance (mm2), [12] each."""
    loads, variances = np.zeros(12), np.zeros(12)
    for m in range(12):
        days = int(MONTH_LENGTHS[m])
        chain = levels_of(model, m).chain(model.occurrence_sd[m])
        one = {name: float(getattr(model, name)[m]) for name in type(model).__dataclass_fields__}
        mean, variance = _totals_given(one, days, chain.wet, chain.count_variance(days))
        loads[m] = float((WEIGHTS * mean * NODES).sum())
        variances[m] = float((WEIGHTS * (variance + mean**2)).sum() - (WEIGHTS * mean).sum() ** 2)
    return loads, variances


def _persistence(of: Series, wet: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> F64:
    """Chance of rain after rain by month, drawn to that of the three months about it."""
    month, before = of.month[1:], wet[:-1]
    after = np.bincount(month[before], minlength=12).astype(np.float64)
    both = np.bincount(month[before & wet[1:]], minlength=12).astype(np.float64)
    around_after, around_both = _three_months(after), _three_months(both)
    around = np.divide(around_both, around_after, out=np.full(12, 0.4), where=around_after > 0)
    return np.asarray(np.clip((both + PRIOR_WET_DAYS * around) / (after + PRIOR_WET_DAYS), 0.02, WETTEST))


def _memory(of: Series, wet: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> F64:
    """What a wet day before yesterday adds to the probit of rain, [12, 2], by half-year, drawn to nothing where days are few."""
    half = HALF_YEAR[of.month[2:]]
    yesterday, before, now = wet[1:-1], wet[:-2], wet[2:]
    by_half = np.zeros((2, 2))
    for h in (0, 1):
        for kind in (0, 1):
            chosen = (half == h) & (yesterday == bool(kind))
            days = [float((chosen & (before == b)).sum()) for b in (False, True)]
            rain = [float((chosen & (before == b) & now).sum()) for b in (False, True)]
            levels = [_probit((r + 0.5) / (d + 1)) for r, d in zip(rain, days, strict=True)]
            weight = min(days) / (min(days) + PRIOR_MEMORY_DAYS)
            by_half[h, kind] = np.clip(weight * (levels[1] - levels[0]), -0.8, 0.8)
    return np.asarray(by_half[HALF_YEAR])


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


def _plain_variances(
    m: int, wet: float, persistence: float, memory: F64, amount: float, shape: F64
) -> tuple[float, float]:
    """Variances of a month's count and total without effects."""
    if wet <= 0:
        return 0.0, 0.0
    days = int(MONTH_LENGTHS[m])
    chain = _levels(wet, _possible(persistence, wet), memory, 0.0).chain(0.0)
    count = float(chain.count_variance(days)[0])
    return count, days * wet * _excess_variance(amount - RAIN_DAY_MM, shape) + count * amount**2


def _possible(persistence: float, wet: float) -> float:
    """Rain after rain cannot be rarer than a share of wet days that leaves room for no more dry ones."""
    return max(persistence, 1 - WETTEST * (1 - wet) / wet)


def _probit(share: float) -> float:
    return _NORMAL.inv_cdf(min(max(share, 1e-9), 1 - 1e-9))


def _month(targets: RainTargets, m: int) -> dict[str, float]:
    wet, persistence = float(targets.wet[m]), float(targets.persistence[m])
    share, low, high = targets.shape[m]
    if wet <= 0:
        return _rainless(share)
    persistence, memory = _possible(persistence, wet), targets.memory[m]
    excess = float(targets.amount_mm[m]) - RAIN_DAY_MM
    plain_count, plain_total = _plain_variances(m, wet, persistence, memory, excess + RAIN_DAY_MM, targets.shape[m])
    days = int(MONTH_LENGTHS[m])
    occurrence_sd = _root(
        lambda sd: _count_variance(days, _levels(wet, persistence, memory, sd).chain(sd)),
        targets.count_ratio[m] * plain_count,
        0.0,
        1.5,
    )
    levels = _levels(wet, persistence, memory, occurrence_sd)
    chain = levels.chain(occurrence_sd)
    count_variance = chain.count_variance(days)
    found = {**levels.__dict__, "occurrence_sd": occurrence_sd, "share_low": float(share)}
    found |= {"low_mm": excess * float(low), "high_mm": excess * float(high)}

    def total_variance(amount_sd: float) -> float:
        one = found | {"amount_sd": amount_sd, "amount_shift": _shift(chain.wet, amount_sd)}
        mean, variance = _totals_given(one, days, chain.wet, count_variance)
        return float((WEIGHTS * (variance + mean**2)).sum() - (WEIGHTS * mean).sum() ** 2)

    amount_sd = _root(total_variance, targets.total_ratio[m] * plain_total, 0.0, 0.9)
    return found | {"amount_sd": amount_sd, "amount_shift": _shift(chain.wet, amount_sd)}


def _rainless(share: float) -> dict[str, float]:
    """A month without a rain day in the record stays so."""
    zero = dict.fromkeys(RainModel.__dataclass_fields__, 0.0)
    return zero | {"after_dry": -9.0, "after_wet": -9.0, "share_low": float(share), "low_mm": 1.0, "high_mm": 1.0}


def _shift(wet: F64, amount_sd: float) -> float:
    """Shift of the logarithm that keeps the mean excess of all wet days; `wet` is their share at each node."""
    return float(-np.log((WEIGHTS * wet * np.exp(amount_sd * NODES)).sum() / (WEIGHTS * wet).sum()))


def _levels(wet: float, persistence: float, memory: F64, sd: float) -> Levels:
    """Probits with which, over all effects, the share of wet days and of rain after rain stay."""
    dry_level, wet_level = _probit(_after_dry(wet, persistence)), _probit(persistence)
    for _ in range(60):
        levels = Levels(dry_level, wet_level, float(memory[0]), float(memory[1]))
        chain = levels.chain(sd)
        mean = float((WEIGHTS * chain.wet).sum())
        stays = float((WEIGHTS * chain.wet * chain.stays).sum()) / mean
        steps = _probit(persistence) - _probit(stays), _probit(wet) - _probit(mean)
        if max(map(abs, steps)) < 1e-7:
            break
        wet_level, dry_level = wet_level + steps[0], dry_level + steps[1]
    return levels


def _count_variance(days: int, chain: Chain) -> float:
    share = chain.wet
    inside = (WEIGHTS * chain.count_variance(days)).sum()
    between = (WEIGHTS * (days * share) ** 2).sum() - (WEIGHTS * days * share).sum() ** 2
    return float(inside + between)


def _totals_given(of: dict[str, float], days: int, share: F64, count_variance: F64) -> tuple[F64, F64]:
    """Mean and variance of a month's total at each node of the effect."""
    factor = np.exp(of["amount_shift"] + of["amount_sd"] * NODES)
    low, high, part = of["low_mm"], of["high_mm"], of["share_low"]
    excess = part * low + (1 - part) * high
    spread = 2 * (part * low**2 + (1 - part) * high**2) - excess**2
    amount = RAIN_DAY_MM + excess * factor
    variance = days * share * spread * factor**2 + count_variance * amount**2
    return np.asarray(days * share * amount), np.asarray(variance)


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
