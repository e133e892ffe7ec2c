"""The holding on standard terms: nothing bought but salt, usual plates and hazards, no power cuts, kept as a good smallholder would.

A reliability can be had by buying; beside each stands the one without.
"""

from __future__ import annotations

from yardland.holding.model import Holding, Like

LEVEL = "good smallholder"
STAYS_BOUGHT = ("salt",)
OWN_HAZARDS = ("hazards.", "drivers.", "odds.", "herd_strikes.", "herd_odds.", "mishaps.")
OWN_PLATES = ("plates.",)
POWER_CUTS = "power_cut_days_per_year"
"""Of a freezer, none unless the plan says so: a hazard of its own."""
OWN_OF = OWN_HAZARDS + OWN_PLATES
"""Figures of the user's own that standard terms do without."""


def on_standard_terms(holding: Holding) -> Holding:
    """The same plan under standard terms."""
    trades = tuple(row for row in holding.trades if row.do != "buy" or row.item in STAYS_BOUGHT)
    goal = holding.goal.model_copy(update={"level": LEVEL})
    own = tuple(row for row in holding.own if not row.key.startswith(OWN_OF))
    people = {name: person.model_copy(update={"likes": usual(person.likes)}) for name, person in holding.people.items()}
    kitchen = holding.kitchen.model_copy(update={"likes": usual(holding.kitchen.likes)})
    group = {name: group.model_copy(update={"strike": {}}) for name, group in holding.group.items()}
    store = {name: one.model_copy(update={POWER_CUTS: 0.0}) for name, one in holding.store.items()}
    changed = {
        "store": store,
        "trades": trades,
        "goal": goal,
        "own": own,
        "people": people,
        "kitchen": kitchen,
        "group": group,
    }
    return holding.model_copy(update=changed)


def usual(likes: dict[str, Like]) -> dict[str, Like]:
    """Likings that leave the plates as the tables have them: with a least, without a most."""
    return {name: like.model_copy(update={"most_kg_week": None}) for name, like in likes.items()}


def most_liked(holding: Holding) -> tuple[str, ...]:
    """Foods and groups of which somebody, or the whole household, says how much at most."""
    tables = [*(person.likes for person in holding.people.values()), holding.kitchen.likes]
    said = [name for likes in tables for name, like in likes.items() if like.most_kg_week is not None]
    return tuple(dict.fromkeys(said))


def is_standard(holding: Holding) -> bool:
    """Whether the plan is on standard terms already."""
    plain = on_standard_terms(holding)
    parts = ("trades", "goal", "own", "group", "store")
    same = all(getattr(plain, part) == getattr(holding, part) for part in parts)
    return same and not most_liked(holding)
