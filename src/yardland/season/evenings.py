"""Evenings that herds spend on grass, from their stays: plot by plot, the rests between them, and the time in the yard.

A stay counts the evenings from its first up to, not with, the one of leaving. Rests over the larder year's end are not counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from yardland.holding.model import Holding
from yardland.ledger.months import DAYS_IN_YEAR, Month, month_of_day
from yardland.season.grazers import Stay, herds_on_grass

F64 = npt.NDArray[np.float64]
Evenings = Mapping[str, Mapping[str, F64]]
"""Group -> plot -> share of each month's evenings that it is there, [12], 0-1."""


@dataclass(frozen=True, slots=True)
class Rest:
    """Grass between two stays: left in the evening of `left`, grazed again from the evening of `back` (days of the larder year)."""

    plot: str
    left: int
    back: int

    @property
    def days(self) -> int:
        """Evenings without the herd."""
        return self.back - self.left


@dataclass(frozen=True)
class Walk:
    """What a herd did in a larder year.

    groups, plots : who goes together, and where they may go ; stays : in the order of their days
    grass_d, yard_d [12] : evenings on a sward; evenings in the yard in months that grow grass
    """

    groups: tuple[str, ...]
    plots: tuple[str, ...]
    stays: tuple[Stay, ...]
    grass_d: F64
    yard_d: F64

    @property
    def rests(self) -> tuple[Rest, ...]:
        """Rests of every plot that is grazed twice and more, plot by plot."""
        return tuple(
            Rest(plot, one.last, then.first)
            for plot in self.plots
            for one, then in pairwise([stay for stay in self.stays if stay.plot == plot])
        )

    @property
    def away(self) -> tuple[int, int] | None:
        """The longest time off grass, counted round the year: evening of leaving, evening of coming out again (0-364)."""
        if not self.stays:
            return None
        spells = [(one.last, then.first) for one, then in pairwise(self.stays)]
        spells.append((self.stays[-1].last, self.stays[0].first + DAYS_IN_YEAR))
        left, back = max(spells, key=lambda spell: spell[1] - spell[0])
        return left, back % DAYS_IN_YEAR


def stay_days(stay: Stay, months: tuple[Month, ...]) -> F64:
    """Evenings of a stay by month, [12]."""
    month = np.array(month_of_day(months))
    return np.bincount(month[stay.first : stay.last], minlength=12).astype(np.float64)


def grass_share(stays: Iterable[Stay], months: tuple[Month, ...]) -> dict[str, dict[str, F64]]:
    """Group -> plot -> share of the month's evenings there, [12]; groups without a stay are left out."""
    days = np.array([month.days for month in months], dtype=np.float64)
    found: dict[str, dict[str, F64]] = {}
    for stay in stays:
        for group in stay.groups:
            plots = found.setdefault(group, {})
            plots[stay.plot] = plots.get(stay.plot, np.zeros(12)) + stay_days(stay, months) / days
    return found


def walks(
    holding: Holding,
    rounds: Iterable[str],
    stays: Iterable[Stay],
    months: tuple[Month, ...],
    out: npt.NDArray[np.bool_],
) -> dict[str, Walk]:
    """Herd (`season.grazers.herds_on_grass`) -> what it did.

    Args:
        holding: the plan.
        rounds: the herds that the year let walk.
        stays: of all herds.
        months: of the larder year.
        out: months that grow grass, [12].
    """
    found, all_stays = {}, tuple(stays)
    days = np.array([month.days for month in months], dtype=np.float64)
    herds = herds_on_grass(holding)
    for name in rounds:
        if name not in herds:
            continue
        groups, plots, _ = herds[name]
        if all(holding.plot[plot].sward is None for plot in plots):
            continue
        own = tuple(stay for stay in all_stays if stay.groups == groups and stay.plot in plots)
        grass = sum((stay_days(stay, months) for stay in own), np.zeros(12))
        found[name] = Walk(groups, plots, own, grass, np.where(out, days - grass, 0.0))
    return found
