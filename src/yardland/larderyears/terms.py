"""The terms of a reliability: what must be said beside it, so that nobody fools themselves with a knob."""

from __future__ import annotations

from collections.abc import Iterator

from yardland.holding.model import Holding
from yardland.larderyears.prepare import AHEAD, HEDGE
from yardland.larderyears.result import Odds
from yardland.larderyears.standard import OWN_HAZARDS, OWN_PLATES, POWER_CUTS, most_liked
from yardland.larderyears.start import as_it_stands

PCT = 100.0


def terms_of(odds: Odds) -> tuple[str, ...]:
    """Each term as a clause."""
    return tuple(clauses(odds))


def clauses(odds: Odds) -> Iterator[str]:
    """Purchases, stores, policy, plates, hazards, level, weather, seed, years."""
    run = odds.years
    ground, asked = run.prepared.ground, run.asked
    holding = ground.holding
    bought = PCT * odds.bought_share
    yield f"at most {bought:.0f} % of the food energy bought" if bought >= 1.0 else "no food bought but salt"
    yield from beginning(odds)
    yield f"a reserve of {holding.goal.reserve_days:g} days of food that plates can take is kept where it can be"
    ahead = AHEAD["quick" if asked.quick else "shipped"]
    looked = f"looking {ahead} months ahead and beyond them at what training years taught of stores"
    yield f"decided month by month, {looked}, counting on {PCT * HEDGE:.0f} % of a normal harvest"
    yield from plates(holding)
    own = [row.key for row in holding.own if row.key.startswith(OWN_HAZARDS)]
    own += [f"group.{name}.strike.{key}" for name, group in holding.group.items() for key in group.strike]
    own += [
        f"store.{name}.{POWER_CUTS}" for name, store in holding.store.items() if store.power_cut_days_per_year > 0.0
    ]
    as_they_are = "hail, pests, disease, freezers that fail and hands laid up as the tables have them"
    yield as_they_are if not own else f"hail, pests, disease and mishaps with own figures for {', '.join(own)}"
    if holding.group:
        yield "herds drawn head by head: births, deaths, what strikes a group; today's heads when a chain begins"
    yield f"kept as a {holding.goal.level} would"
    warmer = f", {asked.warmer_c:+g} C" if asked.warmer_c else ""
    yield f"weather drawn from {ground.record_years} years of {ground.source}{warmer}"
    yield f"a month is short under {PCT * holding.goal.short_below:.0f} % of need in energy or protein"
    chains = odds.reliability.chains
    yield f"seed {asked.seed}, {odds.reliability.trials} years in {chains} chain{'' if chains == 1 else 's'}"


def beginning(odds: Odds) -> Iterator[str]:
    """How chains begin, and with how much in store."""
    run = odds.years
    holding, first = run.prepared.ground.holding, run.prepared.ground.months[0]
    if not as_it_stands(holding):
        days = f"{odds.opening_plate_days:.0f} days of food in store in the middle ({odds.opening_days:.0f} by energy alone)"
        yield f"each chain opens settled, with {run.asked.burn_in} years that do not count, then with {days}"
        return
    days = f"{odds.opening_plate_days:.0f} days of food in store ({odds.opening_days:.0f} by energy alone)"
    yield f"begins as it stands in {first.name} {first.year} with {days}"
    if holding.start.on is not None and (holding.start.on.month, holding.start.on.day) != (first.month, 1):
        yield f"what stores.csv says of {holding.start.on} is taken to have lain there on the first of {first.name}"


def plates(holding: Holding) -> Iterator[str]:
    """Whose plates they are: the tables', or changed by the user's figures and likings."""
    own = [row.key for row in holding.own if row.key.startswith(OWN_PLATES)]
    liked = most_liked(holding)
    if not own and not liked:
        yield "plates as the tables have them"
    if own:
        yield f"plates with own figures for {', '.join(own)}"
    if liked:
        yield f"plates set by what people like at most of {', '.join(liked)}"
