"""The terms of a reliability: what must be said beside it, so that nobody fools themselves with a knob."""

from __future__ import annotations

from collections.abc import Iterator

from yardland.larderyears.asked import BURN_IN
from yardland.larderyears.prepare import HEDGE
from yardland.larderyears.result import Odds
from yardland.larderyears.standard import OWN_OF

PCT = 100.0


def terms_of(odds: Odds) -> tuple[str, ...]:
    """Each term as a clause."""
    return tuple(clauses(odds))


def clauses(odds: Odds) -> Iterator[str]:
    """Purchases, stores, policy, hazards, level, weather, seed, years."""
    run = odds.years
    ground, asked = run.prepared.ground, run.asked
    holding = ground.holding
    bought = PCT * odds.bought_share
    yield f"at most {bought:.0f} % of the food energy bought" if bought >= 1.0 else "no food bought but salt"
    yield f"each chain opens settled, with {BURN_IN} years that do not count"
    yield f"a reserve of {holding.goal.reserve_days:g} days of food is kept where it can be"
    looked = "to the end of this larder year" if asked.quick else "to the end of the next larder year"
    yield f"decided month by month, looking {looked}, counting on {PCT * HEDGE:.0f} % of a normal harvest"
    own = [row.key for row in holding.own if row.key.startswith(OWN_OF)]
    yield "hail, pests and disease as the tables have them" if not own else f"own figures for {', '.join(own)}"
    yield "herds at steady numbers, none struck"
    yield f"kept as a {holding.goal.level} would"
    warmer = f", {asked.warmer_c:+g} C" if asked.warmer_c else ""
    yield f"weather drawn from {ground.record_years} years of {ground.source}{warmer}"
    yield f"a month is short under {PCT * holding.goal.short_below:.0f} % of need in energy or protein"
    yield f"seed {asked.seed}, {odds.reliability.trials} years in {odds.reliability.chains} chains"
