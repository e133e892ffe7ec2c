"""The holding on standard terms: nothing bought but salt, usual plates and hazards, kept as a good smallholder would.

A reliability can be had by buying; beside each stands the one without.
"""

from __future__ import annotations

from yardland.holding.model import Holding

LEVEL = "good smallholder"
STAYS_BOUGHT = ("salt",)
OWN_OF = ("hazards.", "drivers.", "odds.", "plates.", "herd_strikes.", "herd_odds.")
"""Figures of the user's own that standard terms do without."""


def on_standard_terms(holding: Holding) -> Holding:
    """The same plan under standard terms."""
    trades = tuple(row for row in holding.trades if row.do != "buy" or row.item in STAYS_BOUGHT)
    goal = holding.goal.model_copy(update={"level": LEVEL})
    own = tuple(row for row in holding.own if not row.key.startswith(OWN_OF))
    groups = {name: group.model_copy(update={"strike": {}}) for name, group in holding.group.items()}
    return holding.model_copy(update={"trades": trades, "goal": goal, "own": own, "group": groups})


def is_standard(holding: Holding) -> bool:
    """Whether the plan is on standard terms already."""
    plain = on_standard_terms(holding)
    return (plain.trades, plain.goal, plain.own, plain.group) == (
        holding.trades,
        holding.goal,
        holding.own,
        holding.group,
    )
