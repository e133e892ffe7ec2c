"""A chain of wet and dry days that looks two days back: what it does in the long run, in closed form.

Probabilities of a wet day are named by the two days before: `dry_wet` is after a dry day behind a wet one. Second-order
chains of rain days: Stern and Coe 1984 (Journal of the Royal Statistical Society A 147:1-34); with equal probabilities
whatever the day before yesterday was, this is the first-order chain of Gabriel and Neumann 1962.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, sqrt

import numpy as np

from yardland.weather.types import F64

LEAST = 1e-6
NODES, WEIGHTS = np.polynomial.hermite_e.hermegauss(21)
WEIGHTS = WEIGHTS / WEIGHTS.sum()
"""Gauss-Hermite nodes and weights (sum 1) of a standard normal effect."""


def phi(values: F64) -> F64:
    """The standard normal distribution function."""
    return np.array([0.5 * (1 + erf(value / sqrt(2))) for value in np.ravel(values)]).reshape(np.shape(values))


@dataclass(frozen=True)
class Levels:
    """Probits of rain: after a dry and a wet day, and what is added where the day before that was wet."""

    after_dry: float
    after_wet: float
    dry_memory: float
    wet_memory: float

    def chain(self, sd: float) -> Chain:
        """The chain at every node of an effect with this standard deviation."""
        rows = (
            self.after_dry,
            self.after_dry + self.dry_memory,
            self.after_wet,
            self.after_wet + self.wet_memory,
        )
        return Chain(*np.clip(phi(np.array(rows)[:, None] + sd * NODES), LEAST, 1 - LEAST))


@dataclass(frozen=True)
class Chain:
    """Chances of rain by the two days before, arrays of one shape; between 0 and 1, both outside."""

    dry_dry: F64
    dry_wet: F64
    wet_dry: F64
    wet_wet: F64

    @property
    def pairs(self) -> tuple[F64, F64, F64]:
        """Shares of days that are dry behind dry, mixed (each order), and wet behind wet."""
        both = self.wet_dry / (1 - self.wet_wet)
        none = (1 - self.dry_wet) / self.dry_dry
        whole = both + 2 + none
        return np.asarray(none / whole), np.asarray(1 / whole), np.asarray(both / whole)

    @property
    def wet(self) -> F64:
        """Share of wet days."""
        _, mixed, both = self.pairs
        return np.asarray(mixed + both)

    @property
    def stays(self) -> F64:
        """Chance of rain after a wet day, whatever was before."""
        _, mixed, both = self.pairs
        return np.asarray(both / (mixed + both))

    def step(self, none: F64, dry_wet: F64, wet_dry: F64, both: F64) -> tuple[F64, F64, F64, F64]:
        """Shares of the pairs (yesterday, before) a day later."""
        return (
            none * (1 - self.dry_dry) + dry_wet * (1 - self.dry_wet),
            wet_dry * (1 - self.wet_dry) + both * (1 - self.wet_wet),
            none * self.dry_dry + dry_wet * self.dry_wet,
            wet_dry * self.wet_dry + both * self.wet_wet,
        )

    def count_variance(self, days: int) -> F64:
        """Variance of the number of wet days among `days` in the long run: the sum of all covariances."""
        _, mixed, both = self.pairs
        share = mixed + both
        total = days * share * (1 - share)
        state = (np.zeros_like(share), np.zeros_like(share), mixed, both)
        for lag in range(1, days):
            state = self.step(*state)
            total = total + 2 * (days - lag) * (state[2] + state[3] - share**2)
        return np.asarray(total)
