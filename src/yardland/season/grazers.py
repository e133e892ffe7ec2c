"""Which herds graze which swards, how much they would eat there, and the stays that came of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from yardland.growth.grazers import LONG_STAY_D, Grazers
from yardland.growth.io import F64
from yardland.growth.outcome import GrowthResult
from yardland.holding.model import Holding
from yardland.ledger.months import DAYS_IN_YEAR, Month, month_of_day
from yardland.reference import Tables
from yardland.stock.year import HerdYear

AT_HOME = "at home on "
GROWN_SHARE = 0.5
"""A keeper moves stock on to the sward that is grown most, full grown or half (own choice)."""
RUMINANTS = ("cattle", "sheep", "goat")


@dataclass(frozen=True, slots=True)
class Stay:
    """Groups that go together on a plot: they come in the evening of `first` and leave in the evening of `last` (days of the larder year).

    strips : on what a harvest left, the strips of the plot (blocks of an orchard) that they are on; none on a sward
    """

    groups: tuple[str, ...]
    plot: str
    first: int
    last: int
    strips: tuple[str, ...] = ()


def herds_on_grass(holding: Holding) -> dict[str, tuple[tuple[str, ...], tuple[str, ...], int | None]]:
    """Rounds of the plan, then groups whose home is a plot that no round passes: name -> (groups, plots, longest stay)."""
    found: dict[str, tuple[tuple[str, ...], tuple[str, ...], int | None]] = {}
    for name, plan in holding.round.items():
        found[name] = (plan.order, plan.plots, plan.stay_days[1])
    walked = {plot for _, plots, _ in found.values() for plot in plots}
    on_rounds = {group for groups, _, _ in found.values() for group in groups}
    homes: dict[str, list[str]] = {}
    for group, kept in holding.group.items():
        if group not in on_rounds and kept.home is not None and kept.home not in walked:
            homes.setdefault(kept.home, []).append(group)
    for plot, groups in homes.items():
        found[AT_HOME + plot] = (tuple(groups), (plot,), None)
    return found


def herds_of(holding: Holding, name: str, groups: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """Who goes together of the groups of a round, in the order of going: each by itself where some follow, else all."""
    plan = holding.round.get(name)
    follow = plan is not None and plan.followers_within_days > 0 and len(groups) > 1
    return tuple((group,) for group in groups) if follow else (groups,)


def walkers(holding: Holding) -> dict[str, tuple[str, tuple[str, ...]]]:
    """Who walks by itself, by the name that the kernels' results carry: the round (or home) and the groups."""
    found: dict[str, tuple[str, tuple[str, ...]]] = {}
    for name, (groups, _, _) in herds_on_grass(holding).items():
        herds = herds_of(holding, name, groups)
        for herd in herds:
            found[name if len(herds) == 1 else f"{name}: {herd[0]}"] = (name, herd)
    return found


def grazers(holding: Holding, tables: Tables, herd: HerdYear, months: tuple[Month, ...]) -> tuple[Grazers, ...]:
    """Appetites for grass of the groups that walk swards: what they eat of dry matter times the share that grass may be of it.

    Groups of a round that follow one another walk by themselves, in the order of the plan; those that eat no grass are left
    out. Whoever leads leaves a share of what it finds above the residual (table husbandry), the last nothing, those between
    even steps of it.
    """
    found = herds_on_grass(holding)
    leaves = tables.row("husbandry", "leader_leaves_share").need("value")
    made: list[Grazers] = []
    for name, (_, plots, most) in found.items():
        eats = {
            walker: appetite(tables, herd, months, groups)
            for walker, (of, groups) in walkers(holding).items()
            if of == name
        }
        chain = [walker for walker, kg in eats.items() if kg.any()]
        within = holding.round[name].followers_within_days if name in holding.round else 0
        for place, walker in enumerate(chain):
            behind = len(chain) - 1 - place
            made.append(
                Grazers(
                    walker,
                    plots,
                    eats[walker],
                    LONG_STAY_D if most is None else most,
                    GROWN_SHARE,
                    follows=chain[place - 1] if place else "",
                    within_days=within if place else 0,
                    leaves_share=leaves * behind / (len(chain) - 1) if behind else 0.0,
                )
            )
    return tuple(made)


def appetite(tables: Tables, herd: HerdYear, months: tuple[Month, ...], groups: tuple[str, ...]) -> F64:
    """Grass that groups would eat together on each day of the axis, kg of dry matter, [730]."""
    days = np.array([month.days for month in months], dtype=np.float64)
    margin = tables.row("husbandry", "intake_margin").need("value")
    month_kg = sum(
        (
            need.dry_matter_max_kg / margin * grazing_share(tables, need.klass)
            for need in herd.needs
            if need.group in groups
        ),
        np.zeros(12),
    )
    year = (month_kg / days)[np.array(month_of_day(months))]
    return np.concatenate([year, year])


def grazing_share(tables: Tables, klass: str) -> float:
    """Share of a class's dry matter that fresh grass may be (table husbandry)."""
    species = tables.row("stock", klass).text("species")
    kind = "ruminant" if species in RUMINANTS else species if species in ("goose", "pig", "rabbit") else "poultry"
    return tables.row("husbandry", f"grass_share_{kind}").need("value")


def stays(holding: Holding, grown: GrowthResult, lane: int) -> tuple[Stay, ...]:
    """The stays of the larder year, in the order of their days."""
    groups = {walker: herd for walker, (_, herd) in walkers(holding).items()}
    found = [
        Stay(groups.get(name, ()), grown.swards[at].plot, first, last)
        for number, name in enumerate(grown.rounds)
        for at, first, last in _runs(grown.where[number, DAYS_IN_YEAR:, lane])
    ]
    return tuple(sorted(found, key=lambda stay: (stay.first, stay.plot)))


def _runs(where: np.ndarray[tuple[int], np.dtype[np.int64]]) -> Iterator[tuple[int, int, int]]:
    """Runs of days on one sward: sward, first evening there, evening of leaving."""
    edges = np.flatnonzero(np.diff(where)) + 1
    for first, last in zip((0, *edges), (*edges, len(where)), strict=True):
        if where[first] >= 0:
            yield int(where[first]), int(first), min(int(last), DAYS_IN_YEAR - 1)
