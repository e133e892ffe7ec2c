"""Strikes of hazards in a year's answer: what each would mend were it away, and the sentence behind it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from yardland.larder.causes import MOST_TOLD, SHORT, WORTH_TELLING, Cause
from yardland.larder.plan import Plan
from yardland.ledger.production import Gathered, Production
from yardland.reference import Tables
from yardland.season.strikes import StrikeYear

if TYPE_CHECKING:
    from yardland.larderyear.result import YearResult

AIMS = ("energy_kcal", "protein_g")
MOST_TRIED = 5
"""Hazards that are tried away, those that took the most first: each is a whole year's program."""


def with_strikes(
    causes: tuple[Cause, ...], plan: Plan, strikes: tuple[StrikeYear, ...], again: Callable[[Production], Plan]
) -> tuple[Cause, ...]:
    """The causes of a short year with the hazards that struck among them, what mends most first.

    A hazard's cause is the share of the shortage that goes when all it took is given back, solved anew (the other links
    are relaxed by a tenth only). Straw is not given back.

    Args:
        causes: of the links.
        plan: the year as it went.
        strikes: what fell in it.
        again: solves the year on another production.
    """
    lacking = shortage(plan)
    if lacking <= SHORT or not strikes:
        return causes
    taken: dict[str, float] = {}
    for one in strikes:
        taken[one.hazard] = taken.get(one.hazard, 0.0) + one.kg
    found = list(causes)
    for hazard in sorted(taken, key=lambda key: (-taken[key], key))[:MOST_TRIED]:
        own = tuple(one for one in strikes if one.hazard == hazard)
        mended = 1.0 - shortage(again(given_back(plan.larder.production, own))) / lacking
        if mended >= WORTH_TELLING:
            name = own[0].name
            words = f"a year without {name[:1].lower()}{name[1:]} mends {100 * mended:.0f} % of the shortage of energy and protein"
            found.append(Cause(f"hazard.{hazard}", float(min(mended, 1.0)), words))
    return tuple(sorted(found, key=lambda cause: (-cause.mended_share, cause.link))[:MOST_TOLD])


def shortage(plan: Plan) -> float:
    """What is lacking of energy and protein, in months x shares of need."""
    return float(sum(np.clip(1.0 - plan.coverage[name], 0.0, None).sum() for name in AIMS))


def given_back(production: Production, strikes: tuple[StrikeYear, ...]) -> Production:
    """What would have been gathered without these strikes."""
    back = {(one.account, one.good): np.zeros(12) for one in strikes}
    for one in strikes:
        back[one.account, one.good] = back[one.account, one.good] + one.lost_kg
    gathered = [
        Gathered(item.account, item.good, np.asarray(item.fresh_kg) + back.pop((item.account, item.good), 0.0))
        for item in production.gathered
    ]
    gathered += [Gathered(account, good, kg) for (account, good), kg in back.items()]
    return replace(production, gathered=tuple(gathered))


def strike_words(one: StrikeYear, result: YearResult, tables: Tables) -> str:
    """Day, loss, chance and the figures behind them."""
    row = f"hazards.{one.hazard}"
    usual = tables.row("hazards", one.hazard).need("chance_per_year")
    weather = ""
    if one.driver and not math.isclose(one.chance, usual, rel_tol=0.005):
        more = "more" if one.chance > usual else "less"
        weather = f" ({more} than its mean over the record: {one.driver} makes it likelier)"
    return (
        f"{one.name} on {one.day} took {100 * one.share_lost:.0f} % of {one.subject}, {one.kg:,.0f} kg: its chance in this year was "
        f"{one.chance:.2f}{weather}, from {row}.chance_per_year; it took {100 * one.loss_share:.0f} % of what was still to be gathered, "
        f"drawn from {row}.loss_low to {row}.loss_high about {row}.loss_share; seed {result.hazard_seed}."
    )
