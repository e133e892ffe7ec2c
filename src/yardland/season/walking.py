"""Herds on what harvests leave, evening by evening: who comes, how long they stay, what they eat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.ledger.months import DAYS_IN_YEAR
from yardland.season.cleared import Days, Patch
from yardland.season.grazers import Stay

F64 = npt.NDArray[np.float64]
HALF_DAY = 0.5
"""A herd leaves, or does not come, where less than this share of a day's appetite lies (as on a sward)."""
LAST_EVENING = DAYS_IN_YEAR - 1
"""No stay counts the evening of the year's last day, on which a stay ends at the latest."""
NONE = np.zeros(DAYS_IN_YEAR)
NEVER = np.zeros(DAYS_IN_YEAR, dtype=np.bool_)


@dataclass(frozen=True)
class Herd:
    """Groups of one round, and what each would eat in a day.

    appetite[group][feed] [365] : kg dry matter of that feed, 0 where it may not or cannot ; intake[group] [365] : of all feed
    away[group] [365] : evenings on a sward
    """

    round: str
    plots: tuple[str, ...]
    most_d: int
    rest_d: int
    intake: Mapping[str, F64]
    appetite: Mapping[str, Mapping[str, F64]]
    away: Mapping[str, npt.NDArray[np.bool_]]
    barking: frozenset[str] = frozenset()

    def wants(self, group: str, patch: Patch, day: int) -> float:
        """What a group would eat of a patch on a day, kg dry matter."""
        if patch.young_y is not None and group in self.barking:
            return 0.0
        return float(self.appetite[group].get(patch.feed, NONE)[day])

    def free(self, day: int) -> tuple[str, ...]:
        """Groups that are on no sward in an evening."""
        return tuple(group for group in self.intake if not self.away[group][day])


@dataclass
class _Visit:
    """A herd on a plot."""

    plot: str
    groups: tuple[str, ...]
    at: tuple[int, ...]
    first: int


class Walked:
    """The evenings of all herds on all patches: what is left of each, who is where.

    stays : with the round they are of ; eaten [patch, 365] : kg dry matter ; eaters : patch -> groups that ate of it
    """

    def __init__(self, lain: tuple[Patch, ...], herds: tuple[Herd, ...]) -> None:
        self.lain, self.herds = lain, herds
        opened = [patch.open for patch in lain]
        self.open: list[list[bool]] = [days.tolist() for days in opened]
        self.on = {
            plot: tuple(at for at, patch in enumerate(lain) if patch.plot == plot)
            for herd in herds
            for plot in herd.plots
        }
        self.starting: dict[int, list[int]] = {}
        for at, patch in enumerate(lain):
            self.starting.setdefault(patch.starts, []).append(at)
        self.days = self.days_that_matter(opened)
        self.left = [0.0] * len(lain)
        self.turn()

    def days_that_matter(self, opened: list[Days]) -> tuple[int, ...]:
        """Days on which something comes to lie or is open, or was the day before; on all others every herd is elsewhere."""
        matters = np.zeros(DAYS_IN_YEAR, dtype=np.bool_)
        for patch, days in zip(self.lain, opened, strict=True):
            matters[patch.starts] = True
            matters |= days
            matters[1:] |= days[:-1]
        return tuple(np.flatnonzero(matters).tolist())

    def turn(self) -> None:
        """Begin a year anew; what lies from the year before lies on."""
        self.eaten = np.zeros((len(self.lain), DAYS_IN_YEAR))
        self.eaters: dict[int, set[str]] = {}
        self.stays: list[tuple[str, Stay]] = []
        self.visits: dict[str, _Visit] = {}
        self.rested: dict[tuple[str, str], int] = {}

    def evening(self, day: int) -> None:
        """One evening of every herd."""
        for at in self.starting.get(day, ()):
            self.left[at] = max(self.lain[at].kg_dm - float(self.eaten[at].sum()), 0.0)
        if not self.visits and not any(self.offers(at, day) for at in range(len(self.lain))):
            return
        for herd in self.herds:
            visit = self.visits.get(herd.round)
            if visit is not None and not self.goes_on(herd, visit, day):
                self.leave(herd, visit, day)
                visit = None
            if visit is None:
                visit = self.come(herd, day)
            if visit is not None:
                self.eat(herd, visit, day)

    def idle_until(self, day: int) -> int:
        """The first evening after a day on which a herd may come to what lies there now: plots rest."""
        if self.visits:
            return day + 1
        least = [patch.least_kg_dm for patch in self.lain]
        rests = [
            self.rested.get((herd.round, plot), 0)
            for herd in self.herds
            for plot in herd.plots
            if any(self.left[at] > least[at] for at in self.on[plot])
        ]
        return max(min(rests, default=DAYS_IN_YEAR), day + 1)

    def offers(self, at: int, day: int) -> float:
        """What may be eaten of a patch in an evening, kg dry matter."""
        patch = self.lain[at]
        return max(self.left[at] - patch.least_kg_dm, 0.0) if self.open[at][day] else 0.0

    def enough(self, herd: Herd, groups: tuple[str, ...], at: tuple[int, ...], day: int) -> bool:
        """Whether half of what the groups would eat there lies there."""
        wanted = sum(herd.wants(group, self.lain[one], day) for one in at for group in groups)
        found = sum(self.offers(one, day) for one in at)
        return wanted > 0.0 and found >= HALF_DAY * wanted

    def goes_on(self, herd: Herd, visit: _Visit, day: int) -> bool:
        """Whether a herd stays another evening."""
        return (
            day < LAST_EVENING
            and day - visit.first < herd.most_d
            and set(visit.groups) <= set(herd.free(day))
            and all(self.open[at][day] for at in visit.at)
            and self.enough(herd, visit.groups, visit.at, day)
        )

    def leave(self, herd: Herd, visit: _Visit, day: int) -> None:
        """A herd goes, and the plot rests for as long as the round says."""
        strips = tuple(dict.fromkeys(self.lain[at].strip for at in visit.at))
        self.stays.append((herd.round, Stay(visit.groups, visit.plot, visit.first, day, strips)))
        self.rested[herd.round, visit.plot] = day + herd.rest_d
        del self.visits[herd.round]

    def come(self, herd: Herd, day: int) -> _Visit | None:
        """The plot with most on it for the groups that are free, if there is one."""
        if day >= LAST_EVENING:
            return None
        taken = {visit.plot for visit in self.visits.values()}
        plots = [
            plot
            for plot in herd.plots
            if plot not in taken
            and self.rested.get((herd.round, plot), 0) <= day
            and any(self.offers(one, day) > 0.0 for one in self.on[plot])
        ]
        if not plots:
            return None
        busy = {group for visit in self.visits.values() for group in visit.groups}
        free = tuple(group for group in herd.free(day) if group not in busy)
        best: tuple[float, _Visit] | None = None
        for plot in plots:
            at = tuple(
                one
                for one in self.on[plot]
                if self.offers(one, day) > 0.0 and any(herd.wants(group, self.lain[one], day) > 0.0 for group in free)
            )
            if not at:
                continue
            groups = tuple(group for group in free if any(herd.wants(group, self.lain[one], day) > 0.0 for one in at))
            found = sum(self.offers(one, day) for one in at)
            if self.enough(herd, groups, at, day) and (best is None or found > best[0]):
                best = found, _Visit(plot, groups, at, day)
        if best is None:
            return None
        self.visits[herd.round] = best[1]
        return best[1]

    def eat(self, herd: Herd, visit: _Visit, day: int) -> None:
        """One evening's meal: of each patch what is wanted and lies there, all together no more than they can take in."""
        wanted = [sum(herd.wants(group, self.lain[at], day) for group in visit.groups) for at in visit.at]
        taken = np.minimum(wanted, [self.offers(at, day) for at in visit.at])
        most = sum(float(herd.intake[group][day]) for group in visit.groups)
        taken = taken * min(1.0, most / float(taken.sum())) if taken.sum() > 0.0 else taken
        for at, kg in zip(visit.at, taken, strict=True):
            self.eaten[at, day] += kg
            self.left[at] -= float(kg)
            self.eaters.setdefault(at, set()).update(visit.groups)

    def close(self) -> None:
        """End what still goes on at the year's end."""
        for herd in self.herds:
            if herd.round in self.visits:
                self.leave(herd, self.visits[herd.round], LAST_EVENING)


def walk(lain: tuple[Patch, ...], herds: tuple[Herd, ...]) -> Walked:
    """Let the herds walk the patches for two years one behind the other, so that the second finds what the first left.

    Args:
        lain: what lies where, and on which evenings it may be walked.
        herds: who may come; a group of two rounds goes with the first that has a place for it.

    Returns:
        The second year: stays with the round they are of, what was eaten, and by whom.
    """
    going = Walked(lain, herds)
    for _ in range(2):
        going.turn()
        idle = 0
        for day in going.days:
            if day >= idle or day in going.starting:
                going.evening(day)
                idle = going.idle_until(day)
        going.close()
    return going
