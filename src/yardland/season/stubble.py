"""Stays on what a harvest leaves: stubble, tops, stalks and windfalls, by the groups of the rounds that name the plot.

A herd goes there in evenings in which it is on no sward. docs/growth-stubble.md says the rules and what is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.growth.outcome import GrowthResult
from yardland.growth.trees import TreeYear
from yardland.holding.model import Holding
from yardland.larder.catalogue import feed_for
from yardland.larder.feed_law import FeedLaw, feed_law
from yardland.larder.feed_leavings import STOOD
from yardland.ledger.months import DAYS_IN_YEAR, Month, month_of_day
from yardland.ledger.production import Grazing, HerdNeed, Production
from yardland.reference import Tables
from yardland.season.cleared import GATHERS, Food, Patch, figure, patches
from yardland.season.grazers import Stay
from yardland.weather.types import Forcing

F64 = npt.NDArray[np.float64]
HALF_DAY = 0.5
"""A herd leaves, or does not come, where less than this share of a day's appetite lies (as on a sward)."""
LAST_EVENING = DAYS_IN_YEAR - 1
"""No stay counts the evening of the year's last day, on which a stay ends at the latest."""
BARK = frozenset({"goat"})
"""Species that strip the bark of trees of any age."""
REASONS = ("haulm", "young", "bark", "unsuited", "followed", "withheld", "soft", "little", "elsewhere")
"""Why nobody walks a patch, the first that holds."""


@dataclass(frozen=True)
class Unwalked:
    """Leavings on a plot of a round that no group of it came to walk.

    reason : one of REASONS ; kg_dm : what lies there (0 for haulm) ; days, asked_d : what there is and what is wanted, by the reason
    crop, next_crop : what left it, and what is sown or gathered next ; rule : key of table feed_rules, "" for none
    groups : those of the round that are kept off
    """

    round: str
    plot: str
    name: str
    crop: str
    good: str
    reason: str
    groups: tuple[str, ...]
    kg_dm: float = 0.0
    days: float = 0.0
    asked_d: float = 0.0
    next_crop: str = ""
    rule: str = ""


@dataclass(frozen=True)
class StubbleYear:
    """Stays on leavings in one larder year.

    stays : in the order of their days, with the strips they are on ; stood : what is eaten there, month by month
    moves : round -> evenings on which it comes to a plot ; unwalked : what nobody came to walk, and why
    """

    stays: tuple[Stay, ...] = ()
    stood: tuple[Grazing, ...] = ()
    moves: dict[str, tuple[int, ...]] = field(default_factory=dict)
    unwalked: tuple[Unwalked, ...] = ()


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


NONE = np.zeros(DAYS_IN_YEAR)


def stubble_year(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    grown: GrowthResult,
    trees: tuple[TreeYear, ...],
    production: Production,
    on_grass: tuple[Stay, ...],
    months: tuple[Month, ...],
    lane: int,
    rotation_year: int = 1,
) -> StubbleYear:
    """The stays on leavings of one lane; nothing where no round names a plot with any.

    Args:
        holding: rounds, groups, plots, rules.
        tables: feeds, feed_ways, feed_rules, stubble, haulm, and those of crops and stock.
        forcing: every larder year of the record.
        grown: what stood where and when, hazards taken off.
        trees: of every block, likewise.
        production: what was gathered in the lane, and its herds.
        on_grass: the lane's stays on swards.
        months: of the larder year.
        lane: which year.
        rotation_year: which year of the rotation stands in it.

    Raises:
        TableError: a good, crop or class without the figures that are needed.
    """
    if not any(holding.plot[plot].use != "grass" for plan in holding.round.values() for plot in plan.plots):
        return StubbleYear()
    law = feed_law(holding, tables)
    lain = patches(holding, tables, forcing, grown, trees, production, lane, rotation_year)
    least_y = figure(tables, "young_tree_y")
    walkable = tuple(patch for patch in lain if patch.young_y is None or patch.young_y >= least_y)
    herds = tuple(herds_of(holding, tables, production.herds, {patch.feed for patch in lain}, on_grass, months, law))
    walked = walk(walkable, herds)
    return StubbleYear(
        stays=tuple(sorted((stay for _, stay in walked.stays), key=lambda stay: (stay.first, stay.plot))),
        stood=tuple(stood(walkable, walked, months)),
        moves={
            herd.round: tuple(sorted(stay.first for name, stay in walked.stays if name == herd.round)) for herd in herds
        },
        unwalked=(
            *unwalked(lain, walkable, walked.eaters, herds, least_y),
            *haulm(holding, tables, grown, law, lane, production.herds),
        ),
    )


def herds_of(
    holding: Holding,
    tables: Tables,
    needs: tuple[HerdNeed, ...],
    feeds: Iterable[str],
    on_grass: tuple[Stay, ...],
    months: tuple[Month, ...],
    law: FeedLaw,
) -> Iterator[Herd]:
    """The herd of every round: appetites by the feeds' greatest shares, nothing of what a rule keeps from a species."""
    month = np.array(month_of_day(months))
    days = np.array([one.days for one in months], dtype=np.float64)
    margin = tables.row("husbandry", "intake_margin").need("value")
    known = {key: feed_for(tables, key) for key in feeds}
    for name, plan in holding.round.items():
        intake: dict[str, F64] = {}
        appetite: dict[str, dict[str, F64]] = {}
        barking = set()
        for need in needs:
            if need.group not in plan.order:
                continue
            species = tables.row("stock", need.klass).text("species")
            barred = law.barred(tables, need.group, species, frozenset())
            a_day = (need.dry_matter_max_kg / margin / days)[month]
            intake[need.group] = intake.get(need.group, NONE) + a_day
            mine = appetite.setdefault(need.group, {})
            for key, feed in known.items():
                share = feed.max_share.get(need.ceiling_column, 0.0)
                if key not in barred and feed.energy_mj.get(need.system, 0.0) > 0.0:
                    mine[key] = mine.get(key, NONE) + share * a_day
            if species in BARK:
                barking.add(need.group)
        yield Herd(
            name,
            plan.plots,
            plan.stay_days[1],
            plan.rest_days,
            intake,
            appetite,
            {group: evenings_away(on_grass, group) for group in intake},
            frozenset(barking),
        )


def evenings_away(stays: Iterable[Stay], group: str) -> npt.NDArray[np.bool_]:
    """Evenings on which a group is on one of the stays, [365]."""
    away = np.zeros(DAYS_IN_YEAR, dtype=np.bool_)
    for stay in stays:
        if group in stay.groups:
            away[stay.first : stay.last] = True
    return away


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
        self.open = [patch.open for patch in lain]
        self.left = np.zeros(len(lain))
        self.turn()

    def turn(self) -> None:
        """Begin a year anew; what lies from the year before lies on."""
        self.eaten = np.zeros((len(self.lain), DAYS_IN_YEAR))
        self.eaters: dict[int, set[str]] = {}
        self.stays: list[tuple[str, Stay]] = []
        self.visits: dict[str, _Visit] = {}
        self.rested: dict[tuple[str, str], int] = {}

    def evening(self, day: int) -> None:
        """One evening of every herd."""
        for at, patch in enumerate(self.lain):
            if patch.starts == day:
                self.left[at] = max(patch.kg_dm - float(self.eaten[at].sum()), 0.0)
        for herd in self.herds:
            visit = self.visits.get(herd.round)
            if visit is not None and not self.goes_on(herd, visit, day):
                self.leave(herd, visit, day)
                visit = None
            if visit is None:
                visit = self.come(herd, day)
            if visit is not None:
                self.eat(herd, visit, day)

    def offers(self, at: int, day: int) -> float:
        """What may be eaten of a patch in an evening, kg dry matter."""
        patch = self.lain[at]
        return max(float(self.left[at]) - patch.least_kg_dm, 0.0) if self.open[at][day] else 0.0

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
        busy = {group for visit in self.visits.values() for group in visit.groups}
        free = tuple(group for group in herd.free(day) if group not in busy)
        best: tuple[float, _Visit] | None = None
        for plot in herd.plots:
            if plot in taken or self.rested.get((herd.round, plot), 0) > day:
                continue
            at = tuple(
                one
                for one, patch in enumerate(self.lain)
                if patch.plot == plot
                and self.offers(one, day) > 0.0
                and any(herd.wants(group, patch, day) > 0.0 for group in free)
            )
            groups = tuple(group for group in free if any(herd.wants(group, self.lain[one], day) > 0.0 for one in at))
            found = sum(self.offers(one, day) for one in at)
            if at and self.enough(herd, groups, at, day) and (best is None or found > best[0]):
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
            self.left[at] -= kg
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
        for day in range(DAYS_IN_YEAR):
            going.evening(day)
        going.close()
    return going


def stood(lain: tuple[Patch, ...], walked: Walked, months: tuple[Month, ...]) -> Iterator[Grazing]:
    """What was eaten where it lay, by month: offered to those who stood there, and to nobody later."""
    month = np.array(month_of_day(months))
    for at, patch in enumerate(lain):
        if walked.eaten[at].sum() > 0.0:
            kg_dm = np.bincount(month, weights=walked.eaten[at], minlength=12).astype(np.float64)
            yield Grazing(f"{STOOD}{patch.name}", patch.good, kg_dm, 0.0, tuple(sorted(walked.eaters[at])))


def unwalked(
    lain: tuple[Patch, ...],
    walkable: tuple[Patch, ...],
    eaters: Mapping[int, set[str]],
    herds: tuple[Herd, ...],
    least_y: float,
) -> Iterator[Unwalked]:
    """Patches of each round that its groups never walked, with the first reason that holds."""
    place = {patch.name: at for at, patch in enumerate(walkable)}
    for herd in herds:
        groups = tuple(herd.intake)
        for patch in lain:
            who = eaters.get(place.get(patch.name, -1), set())
            if patch.plot not in herd.plots or who & set(groups) or not groups:
                continue
            reason, days, asked = why_unwalked(patch, herd, least_y)
            food = patch.food if reason == "withheld" else None
            yield Unwalked(
                herd.round, patch.plot, patch.name, patch.crop, patch.good, reason, groups, patch.kg_dm, days, asked,
                food.crop if food is not None else patch.next_crop,
            )  # fmt: skip


def why_unwalked(patch: Patch, herd: Herd, least_y: float) -> tuple[str, float, float]:
    """Reason, what there is of days (or years, or kilograms), what is wanted: first by who would come, then by the ground."""
    groups = tuple(herd.intake)
    if patch.young_y is not None and patch.young_y < least_y:
        return "young", patch.young_y, least_y
    if patch.young_y is not None and all(group in herd.barking for group in groups):
        return "bark", patch.young_y, 0.0
    if not any(herd.appetite[group].get(patch.feed, NONE).any() for group in groups):
        return "unsuited", 0.0, 0.0
    return shut(patch) or too_little(patch, herd) or ("elsewhere", float(patch.open.sum()), 0.0)


def shut(patch: Patch) -> tuple[str, float, float] | None:
    """Why a patch is open on no evening; None if it is on some."""
    if not patch.lies.any():
        return "followed", float(patch.gap_d), 0.0
    if not (patch.lies & patch.clean).any():
        return "withheld", *waited(patch)
    return None if patch.open.any() else ("soft", 0.0, float((patch.lies & patch.clean).sum()))


def too_little(patch: Patch, herd: Herd) -> tuple[str, float, float] | None:
    """Whether there is less than is worth coming for, on the evenings on which a patch is open."""
    a_day = max(sum(herd.wants(group, patch, int(day)) for group in herd.intake) for day in np.flatnonzero(patch.open))
    wanted = patch.least_kg_dm + HALF_DAY * a_day
    return ("little", patch.kg_dm, wanted) if patch.kg_dm < wanted else None


def waited(patch: Patch) -> tuple[float, float]:
    """Most days that manure of an evening there would lie before the tightest food is gathered, and the days asked."""
    food: Food | None = patch.food
    if food is None:
        return 0.0, 0.0
    return float(food.waits()[patch.lies].max()), float(food.asked_d)


def haulm(
    holding: Holding,
    tables: Tables,
    grown: GrowthResult,
    law: FeedLaw,
    lane: int,
    needs: tuple[HerdNeed, ...],
) -> Iterator[Unwalked]:
    """Leavings that harm a species of the round: nobody of it is let on that strip."""
    rules = {rule.key: rule for rule in law.barring}
    status = grown.pick(grown.status)[:, lane]
    for name, plan in holding.round.items():
        species = {
            need.group: tables.row("stock", need.klass).text("species")
            for need in needs
            if need.group in plan.order and np.any(need.dry_matter_max_kg > 0.0)
        }
        for row, planting in enumerate(grown.plantings):
            if planting.plot not in plan.plots or not tables.has("haulm", planting.crop):
                continue
            what = tables.row("haulm", planting.crop)
            rule = rules.get(what.text("rule"))
            harmed = tuple(
                group for group, kind in species.items() if rule is not None and rule.covers(kind, frozenset())
            )
            if harmed and status[row] in GATHERS:
                area = float(grown.area_m2[row])
                yield Unwalked(
                    name, planting.plot, planting.id, planting.crop, what.text("what"), "haulm", harmed,
                    days=area, rule=what.text("rule"),
                )  # fmt: skip
