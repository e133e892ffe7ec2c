"""A share of trials with its interval, and what every function here asks of its arrays."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
import numpy.typing as npt

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]
LEVEL = 0.95
"""Coverage that an interval aims at, unless the caller says otherwise."""
NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Share:
    """A share of trials, its interval and what it rests on.

    value, low, high : share, 0-1; low <= value <= high, and low < high always
    trials, chains : years (or months, or windows) counted, and the independent chains that they come from
    level : coverage that the interval aims at ; method : `wilson` or `beta-binomial`
    """

    value: float
    low: float
    high: float
    trials: int
    chains: int
    level: float
    method: str

    def complement(self) -> Share:
        """The share of all other trials, with its interval."""
        return Share(
            1.0 - self.value, 1.0 - self.high, 1.0 - self.low, self.trials, self.chains, self.level, self.method
        )


def check_level(level: float) -> None:
    """Refuse a level that is no share.

    Raises:
        ValueError: the level is not between 0 and 1.
    """
    if not 0.0 < level < 1.0:
        raise ValueError(f"level: found {level}, expected a number between 0 and 1, as 0.95")


def normal_quantile(level: float) -> float:
    """Standard normal that so much of the curve lies within (1.96 of 0.95)."""
    check_level(level)
    return NORMAL.inv_cdf(0.5 + level / 2.0)


def counts(good: npt.ArrayLike, trials: npt.ArrayLike) -> tuple[I64, I64]:
    """Whole counts [chain] of good trials and of trials, chains without a trial left out.

    Raises:
        ValueError: shapes differ, a count is not whole, is negative or over its trials, or no chain has a trial.
    """
    some, of = np.asarray(good), np.asarray(trials)
    if some.shape != of.shape or some.ndim != 1:
        raise ValueError(f"counts: found shapes {some.shape} and {of.shape}, expected one number a chain in both")
    if not (_whole(some) and _whole(of)) or (some < 0).any() or (some > of).any():
        raise ValueError(
            "counts: found a count that is not whole or not within its trials; expected 0 <= count <= trials"
        )
    kept = of > 0
    if not kept.any():
        raise ValueError("counts: found no counted trial in any chain, expected at least one; count a year")
    return some[kept].astype(np.int64), of[kept].astype(np.int64)


def flags(values: npt.ArrayLike, axes: int, name: str) -> Flags:
    """An array of true and false with so many axes and no empty one.

    Raises:
        ValueError: another type, another number of axes, or nothing in it.
    """
    array: npt.NDArray[Any] = np.asarray(values)
    if array.dtype != np.bool_ or array.ndim != axes or array.size == 0:
        raise ValueError(
            f"{name}: found {array.dtype} {array.shape}, expected true or false with {axes} axes, not empty"
        )
    return array


def counted_years(counted: npt.ArrayLike | None, shape: tuple[int, int]) -> Flags:
    """Which years count, [chain, year]: all of them where nothing is said.

    Raises:
        ValueError: another shape, or a chain whose counted years have a gap.
    """
    if counted is None:
        return np.ones(shape, dtype=np.bool_)
    mask = flags(counted, 2, "counted")
    if mask.shape != shape:
        raise ValueError(f"counted: found {mask.shape}, expected {shape} as the years are")
    starts = mask & ~np.concatenate([np.zeros((shape[0], 1), dtype=np.bool_), mask[:, :-1]], axis=1)
    if (starts.sum(axis=1) > 1).any():
        raise ValueError(
            "counted: found a chain whose counted years have a gap, expected one run of years in each chain"
        )
    return mask


def _whole(values: npt.NDArray[Any]) -> bool:
    return bool(np.isfinite(values).all() and (values == np.floor(values)).all())
