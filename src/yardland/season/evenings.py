"""Evenings that herds spend out, from their stays: plot by plot, the rests between them, and the time in the yard.

Groups of a round that follow one another are on a plot one after the other: that is one grazing, and the plot rests from the
day on which the last of them has left. A stay counts the evenings from its first up to, not with, the one of leaving. Rests
over the larder year's end are not counted.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.holding.model import Holding
from yardland.ledger.months import DAYS_IN_YEAR, Month, month_of_day
from yardland.season.grazers import Stay, herds_of, herds_on_grass, walkers

F64 = npt.NDArray[np.float64]
Evenings = Mapping[str, Mapping[str, F64]]
"""Group -> plot -> share of each month's evenings that it is there, [12], 0-1: on grass and on what harvests left."""


@dataclass(frozen=True, slots=True)
class Rest:
    """Grass between two grazings: left in the evening of `left`, grazed again from the evening of `back` (days of the larder year)."""

    plot: str
    left: int
    back: int

    @property
    def days(self) -> int:
        """Evenings without the herd."""
        return self.back - self.left


@dataclass(frozen=True)
class Walk:
    """What the groups of a round (or at home on grass) did in a larder year.

    groups, plots : who goes, and where they may go ; stays : on swards, in the order of their days
    grass_d, yard_d [12] : evenings on a sward; evenings in the yard in months that grow grass; summed over the `parts`
    parts : the walk of each group by itself where they follow one another, in the order of going; else none
    leavings : stays of any of the groups on what a harvest left ; leavings_d [12] : their evenings, summed likewise
    """

    groups: tuple[str, ...]
    plots: tuple[str, ...]
    stays: tuple[Stay, ...]
    grass_d: F64
    yard_d: F64
    parts: tuple[Walk, ...] = ()
    leavings: tuple[Stay, ...] = ()
    leavings_d: F64 = field(default_factory=lambda: np.zeros(12))

    @property
    def out(self) -> tuple[Stay, ...]:
        """Stays on swards and on what harvests left, in the order of their days."""
        return tuple(sorted((*self.stays, *self.leavings), key=lambda stay: (stay.first, stay.plot)))

    @property
    def herds(self) -> tuple[Walk, ...]:
        """The walks of those who go together: the parts, or this one."""
        return self.parts or (self,)

    def part(self, group: str) -> Walk | None:
        """The walk of those with whom a group goes; None for a group that goes with nobody."""
        return next((herd for herd in self.herds if group in herd.groups), None)

    @property
    def rests(self) -> tuple[Rest, ...]:
        """Rests of every plot that is grazed twice and more, plot by plot: from the last group's leaving to the first's coming."""
        return self.rests_of(self.groups)

    def rests_of(self, groups: Collection[str]) -> tuple[Rest, ...]:
        """The same of some of the groups: time without any of them."""
        return tuple(rest for plot in self.plots for rest in self._rests(plot, groups))

    def _rests(self, plot: str, groups: Collection[str]) -> Iterator[Rest]:
        """A grazing begins with the first herd of those groups, and lasts until none of them comes behind it."""
        theirs = [herd.groups for herd in self.herds if herd.stays and set(groups) & set(herd.groups)]
        left = None
        for stay in self.stays:
            if stay.plot != plot or not set(groups) & set(stay.groups):
                continue
            if left is not None and set(stay.groups) & set(theirs[0]):
                yield Rest(plot, left, stay.first)
            left = stay.last if left is None else max(left, stay.last)

    @property
    def away(self) -> tuple[int, int] | None:
        """The longest time off grass, counted round the year: evening of leaving, evening of coming out again (0-364)."""
        if not self.stays:
            return None
        lasts = np.maximum.accumulate([stay.last for stay in self.stays]).tolist()
        spells = [(last, then.first) for last, then in zip(lasts[:-1], self.stays[1:], strict=True)]
        spells.append((lasts[-1], self.stays[0].first + DAYS_IN_YEAR))
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
    """Round, or groups at home on grass (`season.grazers.herds_on_grass`) -> what they did.

    Args:
        holding: the plan.
        rounds: the walkers that the year let go (`season.grazers.walkers`).
        stays: of all of them.
        months: of the larder year.
        out: months that grow grass, [12].
    """
    found, all_stays = {}, tuple(stays)
    of = walkers(holding)
    walked = [of[walker] for walker in rounds if walker in of]
    for name, (groups, plots, _) in herds_on_grass(holding).items():
        going = [herd for whose, herd in walked if whose == name]
        own = tuple(stay for stay in all_stays if set(stay.groups) <= set(groups) and stay.plot in plots)
        left = tuple(stay for stay in own if stay.strips)
        going = going or (list(herds_of(holding, name, groups)) if left else [])
        if not going or (not left and all(holding.plot[plot].sward is None for plot in plots)):
            continue
        parts = tuple(_walk(herd, plots, own, months, out) for herd in going)
        if going == [groups]:
            found[name] = parts[0]
        else:
            grass, yard, cleared = (
                sum(days, np.zeros(12))
                for days in zip(*((part.grass_d, part.yard_d, part.leavings_d) for part in parts), strict=True)
            )
            on_grass = tuple(stay for stay in own if not stay.strips)
            found[name] = Walk(groups, plots, on_grass, grass, yard, parts, left, cleared)
    return found


def _walk(
    herd: tuple[str, ...],
    plots: tuple[str, ...],
    stays: Iterable[Stay],
    months: tuple[Month, ...],
    out: npt.NDArray[np.bool_],
) -> Walk:
    """The walk of groups that go together, of the stays of their round."""
    days = np.array([month.days for month in months], dtype=np.float64)
    of_all = tuple(stays)
    own = tuple(stay for stay in of_all if set(herd) <= set(stay.groups) and not stay.strips)
    left = tuple(stay for stay in of_all if set(herd) & set(stay.groups) and stay.strips)
    grass = sum((stay_days(stay, months) for stay in own), np.zeros(12))
    cleared = sum((stay_days(stay, months) for stay in left), np.zeros(12))
    yard = np.where(out, np.maximum(days - grass - cleared, 0.0), 0.0)
    return Walk(herd, plots, own, grass, yard, (), left, cleared)
