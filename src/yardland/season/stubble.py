"""Stays on what a harvest leaves: stubble, tops, stalks and windfalls, by the groups of the rounds that name the plot.

A herd goes there in evenings in which it is on no sward. docs/growth-stubble.md says the rules and what is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

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
from yardland.season.cleared import Clearing, Left, Patch, clearing_of, figure, leavings_by_name, patches
from yardland.season.grazers import Stay
from yardland.season.unwalked import Unwalked, haulm, unwalked
from yardland.season.walking import NEVER, NONE, Herd, Walked, walk
from yardland.weather.types import Forcing

F64 = npt.NDArray[np.float64]
BARK = frozenset({"goat"})
"""Species that strip the bark of trees of any age."""


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
class Stubble:
    """What stays on leavings hang on and is the same in every year of a plan.

    needs : herds at steady numbers ; least_y : age from which trees are walked under
    """

    clearing: Clearing
    needs: tuple[HerdNeed, ...]
    months: tuple[Month, ...]
    law: FeedLaw
    least_y: float
    known: dict[frozenset[str], tuple[Herd, ...]] = field(default_factory=dict, compare=False)

    def herds(self, feeds: frozenset[str]) -> tuple[Herd, ...]:
        """The herds of the rounds before any of them is on a sward, looked up once for the feeds that lie about."""
        if feeds not in self.known:
            holding, tables = self.clearing.holding, self.clearing.tables
            self.known[feeds] = tuple(herds_of(holding, tables, self.needs, feeds, self.months, self.law))
        return self.known[feeds]


def stubble_of(
    holding: Holding,
    tables: Tables,
    record: Forcing,
    needs: tuple[HerdNeed, ...],
    months: tuple[Month, ...],
    rotation_year: int = 1,
) -> Stubble | None:
    """Look up once what `stubble_year` needs; None where no round names a plot with leavings.

    Args:
        holding: rounds, groups, plots, rules.
        tables: feeds, feed_ways, feed_rules, stubble, haulm, and those of crops and stock.
        record: every larder year of the record.
        needs: herds at steady numbers.
        months: of the larder year.
        rotation_year: which year of the rotation stands in it.
    """
    clearing = clearing_of(holding, tables, record, rotation_year)
    if not clearing.plots:
        return None
    return Stubble(clearing, needs, months, feed_law(holding, tables), figure(tables, "young_tree_y"))


def walked_year(
    stubble: Stubble,
    grown: GrowthResult,
    trees: tuple[TreeYear, ...],
    left: Left,
    away: Mapping[str, npt.NDArray[np.bool_]],
    lane: int,
) -> tuple[tuple[Patch, ...], Walked]:
    """What lies there in one lane, and the evenings on it.

    Args:
        stubble: of the plan.
        grown: what stood where and when, hazards taken off.
        trees: of every block, likewise.
        left: beside the lane's harvests.
        away: group -> evenings on a sward, [365].
        lane: which year.

    Raises:
        TableError: a good, crop or class without the figures that are needed.
    """
    lain = patches(stubble.clearing, grown, trees, left, lane)
    walkable = tuple(patch for patch in lain if patch.young_y is None or patch.young_y >= stubble.least_y)
    herds = tuple(
        replace(herd, away={group: away.get(group, NEVER) for group in herd.intake})
        for herd in stubble.herds(frozenset(patch.feed for patch in lain))
    )
    return lain, walk(walkable, herds)


def stubble_year(
    stubble: Stubble,
    grown: GrowthResult,
    trees: tuple[TreeYear, ...],
    production: Production,
    on_grass: tuple[Stay, ...],
    lane: int,
) -> StubbleYear:
    """The stays on leavings of one lane, and why nobody walks the rest.

    Args:
        stubble: of the plan.
        grown: what stood where and when, hazards taken off.
        trees: of every block, likewise.
        production: what was gathered in the lane.
        on_grass: the lane's stays on swards.
        lane: which year.

    Raises:
        TableError: a good, crop or class without the figures that are needed.
    """
    left = leavings_by_name(stubble.clearing.ways, production.gathered)
    groups = {need.group for need in stubble.needs}
    away = {group: evenings_away(on_grass, group) for group in groups}
    lain, walked = walked_year(stubble, grown, trees, left, away, lane)
    holding, tables = stubble.clearing.holding, stubble.clearing.tables
    return StubbleYear(
        stays=tuple(sorted((stay for _, stay in walked.stays), key=lambda stay: (stay.first, stay.plot))),
        stood=tuple(stood(walked.lain, walked, stubble.months)),
        moves={
            herd.round: tuple(sorted(stay.first for name, stay in walked.stays if name == herd.round))
            for herd in walked.herds
        },
        unwalked=(
            *unwalked(lain, walked.lain, walked.eaters, walked.herds, stubble.least_y),
            *haulm(holding, tables, grown, stubble.law, lane, stubble.needs),
        ),
    )


def herds_of(
    holding: Holding,
    tables: Tables,
    needs: tuple[HerdNeed, ...],
    feeds: Iterable[str],
    months: tuple[Month, ...],
    law: FeedLaw,
) -> Iterator[Herd]:
    """The herd of every round, away nowhere: appetites by the feeds' greatest shares, nothing of what a rule keeps from a species."""
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
        away = dict.fromkeys(intake, NEVER)
        yield Herd(name, plan.plots, plan.stay_days[1], plan.rest_days, intake, appetite, away, frozenset(barking))


def evenings_away(stays: Iterable[Stay], group: str) -> npt.NDArray[np.bool_]:
    """Evenings on which a group is on one of the stays, [365]."""
    away = np.zeros(DAYS_IN_YEAR, dtype=np.bool_)
    for stay in stays:
        if group in stay.groups:
            away[stay.first : stay.last] = True
    return away


def stood(lain: tuple[Patch, ...], walked: Walked, months: tuple[Month, ...]) -> Iterator[Grazing]:
    """What was eaten where it lay, by month: offered to those who stood there, and to nobody later."""
    month = np.array(month_of_day(months))
    for at, patch in enumerate(lain):
        if walked.eaten[at].sum() > 0.0:
            kg_dm = np.bincount(month, weights=walked.eaten[at], minlength=12).astype(np.float64)
            yield Grazing(f"{STOOD}{patch.name}", patch.good, kg_dm, 0.0, tuple(sorted(walked.eaters[at])))
