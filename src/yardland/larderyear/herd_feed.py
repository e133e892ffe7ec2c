"""What one group eats in a larder year: by source and class, and how far it meets each class's needs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from yardland.accounts.terms import bought_share_of_accounts
from yardland.larder.catalogue import feed_for
from yardland.larder.description import Feed
from yardland.larder.feed_bounds import rations_for
from yardland.larder.feed_law import feed_law
from yardland.larder.feed_rows import CONTENT, held
from yardland.larderyear.result import Months12, YearResult
from yardland.ledger.production import HerdNeed
from yardland.reference import Tables


@dataclass(frozen=True)
class Source:
    """One feed of the group: the good, and where it comes from.

    place : the plot that is grazed, "" for what is carried to the trough ; bought_share : of its dry matter over the
    year, 0-1 ; kg : fresh, by month [12] ; dm_kg : dry matter
    """

    good: str
    place: str
    bought_share: float
    kg: Months12
    dm_kg: Months12


@dataclass(frozen=True)
class ClassFed:
    """What one class of the group eats.

    kg : good -> fresh kilograms by month [12]
    given : "energy" (MJ in the class's system), "protein" and the rest of `met` (kg), by month [12]
    met : "energy", "protein", "lysine", "calcium", "phosphorus" -> given over needed by month [12], NaN in months without a need
    """

    klass: str
    kg: dict[str, Months12] = field(default_factory=dict)
    given: dict[str, Months12] = field(default_factory=dict)
    met: dict[str, Months12] = field(default_factory=dict)


@dataclass(frozen=True)
class GroupFed:
    """Feed of the group: by source, the most dry matter first; by class."""

    sources: tuple[Source, ...]
    classes: tuple[ClassFed, ...]

    @property
    def dm_kg(self) -> float:
        """Dry matter eaten in the year."""
        return float(sum(source.dm_kg.sum() for source in self.sources))

    @property
    def kg_by_good(self) -> dict[str, Months12]:
        """Good -> fresh kilograms by month from all places together, in the same order."""
        return {
            good: np.sum([source.kg for source in self.sources if source.good == good], axis=0) for good in self.by_good
        }

    @property
    def by_good(self) -> dict[str, Months12]:
        """Good -> dry matter by month from all places together, kg, the most first."""
        total: dict[str, Months12] = {}
        for source in self.sources:
            total[source.good] = total.get(source.good, np.zeros(12)) + source.dm_kg
        return dict(sorted(total.items(), key=lambda item: -float(item[1].sum())))

    @property
    def bought_dm_kg(self) -> float:
        """The part of it that was bought."""
        return float(sum(source.bought_share * source.dm_kg.sum() for source in self.sources))


def group_fed(result: YearResult, tables: Tables, needs: tuple[HerdNeed, ...]) -> GroupFed:
    """Feed of the classes in `needs`, as the year's ledger carries it.

    Args:
        result: the larder year.
        tables: goods, feeds, feed_bounds, feed_rules, stock.
        needs: of every class of the group.
    """
    return GroupFed(tuple(_sources(result, needs)), tuple(_classes(result, tables, needs)))


def _sources(result: YearResult, needs: tuple[HerdNeed, ...]) -> list[Source]:
    ledger = result.ledger
    accounts = {need.account for need in needs}
    share = dict(zip(ledger.accounts, bought_share_of_accounts(ledger), strict=True))
    sums: dict[tuple[str, str, str], tuple[Months12, Months12]] = {}
    for index, arc in enumerate(ledger.arcs):
        if arc.kind in {"feed", "graze"} and arc.target in accounts:
            kg, dm = sums.get((arc.source, arc.good, arc.kind), (np.zeros(12), np.zeros(12)))
            sums[arc.source, arc.good, arc.kind] = (kg + ledger.fresh_kg[index], dm + ledger.dm_kg[index])
    found = [
        Source(
            good=good,
            place=account.partition(":")[2] if kind == "graze" else "",
            bought_share=0.0 if account.startswith("herd:") else float(share[account]),
            kg=kg,
            dm_kg=dm,
        )
        for (account, good, kind), (kg, dm) in sums.items()
        if kg.sum() > 0.0
    ]
    return sorted(found, key=lambda source: (-float(source.dm_kg.sum()), source.good, source.place))


def _classes(result: YearResult, tables: Tables, needs: tuple[HerdNeed, ...]) -> Iterable[ClassFed]:
    rations = rations_for(tables, result.production, result.months, feed_law(result.holding, tables))
    for need in needs:
        if not np.any(need.energy_mj > 0.0):
            continue
        rows = [(i, arc) for i, arc in enumerate(result.ledger.arcs) if arc.target == need.account]
        rows = [(i, arc) for i, arc in rows if arc.kind in {"feed", "graze"}]
        kg: dict[str, Months12] = {}
        given = {name: np.zeros(12) for name in ("energy", "protein", *CONTENT)}
        for index, arc in rows:
            kg[arc.good] = kg.get(arc.good, np.zeros(12)) + result.ledger.fresh_kg[index]
            feed = _feed(tables, arc.good)
            if feed is None:
                continue
            dm = result.ledger.dm_kg[index]
            given["energy"] += dm * feed.energy_mj.get(need.system, 0.0)
            given["protein"] += dm * feed.protein_kg
            for name in CONTENT:
                given[name] += dm * held(feed, name)
        wanted = {"energy": need.energy_mj, "protein": need.protein_kg}
        if need.account in rations:
            wanted |= rations[need.account].least_kg
        met = {name: _over(given[name], least) for name, least in wanted.items() if np.any(least > 0.0)}
        yield ClassFed(need.klass, {good: each for good, each in kg.items() if each.any()}, given, met)


def _feed(tables: Tables, good: str) -> Feed | None:
    """The feed that a good is, also of a good in another form ("carrot.dried"); None for what is no feed."""
    key = good if tables.has("goods", good) else good.partition(".")[0]
    feed = tables.row("goods", key).text("feed") if tables.has("goods", key) else ""
    return feed_for(tables, feed) if feed else None


def _over(given: Months12, needed: Months12) -> Months12:
    """Given over needed; NaN where nothing is needed."""
    return np.asarray(np.divide(given, needed, out=np.full(12, np.nan), where=np.asarray(needed) > 0.0))
