"""Leavings that nobody came to walk, and the first reason that holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from yardland.growth.outcome import GrowthResult
from yardland.holding.model import Holding
from yardland.larder.feed_law import FeedLaw
from yardland.ledger.production import HerdNeed
from yardland.reference import Tables
from yardland.season.cleared import GATHERS, Food, Patch
from yardland.season.walking import HALF_DAY, NONE, Herd

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
