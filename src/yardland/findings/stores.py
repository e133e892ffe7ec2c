"""Findings about the places where food lies: the reserve, warm rooms, the freezer without power, rooms that stay empty."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from yardland.findings.context import Context, Rule, many, upper_first
from yardland.larder.catalogue import EMERGENCY_FOOD
from yardland.larder.power import holds_h
from yardland.larderyear.result import Finding

FAST = 1.5
"""Times faster than the tables from which a place is told as warm (our band)."""
LEAST_KG = 0.05
"""Kilograms of thawed food under which nothing is told (our band)."""


def reserve(context: Context) -> Iterator[Finding]:
    """Less food that plates can take lies in the stores at the lowest month's end than the household wants in hand."""
    result = context.result
    days, wanted, energy = result.kept.plates.days, result.holding.goal.reserve_days, result.kept.food_days
    if not len(days):
        return
    worst = int(np.argmin(days))
    if days[worst] >= wanted:
        return
    after = result.months[(worst + 1) % 12]
    wheat = context.tables.figure(f"foods.{EMERGENCY_FOOD}.energy_kcal")
    kg = float(result.kept.plates.reserve_lacks_kcal[worst]) / (wheat.value * 10.0)
    under = [month for month in range(12) if days[month] < wanted]
    yield Finding(
        grade="tight",
        title=f"The stores fall to {many(days[worst], 'day')} of food",
        what=(
            f"At the end of {result.months[worst].name} all that people can eat in the stores, grain for seed and troughs "
            f"too, would last them {many(days[worst], 'day')} on the plates that they would eat, {energy[worst]:.0f} by its "
            f"energy alone; the plan wants {wanted:.0f} in hand. Under that at the end of {context.month_names(under)}."
        ),
        number=f"{days[worst]:.0f} of {wanted:.0f} days; {kg:,.0f} kg of grain are missing to it",
        cause=f"The year is planned as if {after.name}'s harvests were sure: it has no reason to leave anything over.",
        remedy=(
            f"Grow or buy {kg:,.0f} kg more of grain, or as much energy in what keeps beyond a year (dry beans, jars), and leave it "
            "alone until the next harvest is in; or write a smaller goal.reserve_days."
        ),
        source=f"goal.reserve_days of the plan; {wheat.key}: {wheat.source} ({wheat.standing})",
        subject="stores.reserve",
    )


def warm(context: Context) -> Iterator[Finding]:
    """Places in which food spoils much faster than where it keeps well."""
    result = context.result
    for place, pace in result.kept.pace.items():
        worst = int(np.argmax(pace))
        if pace[worst] <= FAST or place not in result.kept.places_c:
            continue
        months = [month for month in range(12) if pace[month] > FAST]
        degrees = result.kept.places_c[place]
        figure = context.tables.figure("storing.q10_to_20_c.number")
        yield Finding(
            grade="note",
            title=f"{upper_first(place)}: too warm for what lies there in {context.month_names(months)}",
            what=(
                f"About {degrees[worst]:.0f} C in {result.months[worst].name}: what lies there loses and ages "
                f"{pace[worst]:.1f} times as fast as where it keeps well."
            ),
            number=f"{degrees[worst]:.0f} C, {pace[worst]:.1f} times as fast",
            cause="The place follows the weather (table places), or has the temperature that the plan states for it.",
            remedy=(
                "Eat or sell from it first, dry or jar what will not last, open vents at night and shut them by day, build "
                "deeper or on the side away from the sun; or measure it and write store.*.temperature_c."
            ),
            source=f"{figure.key}: {figure.source} ({figure.standing}); places by rule, from memory",
            subject=f"store_litres.{place}",
        )


def thaw(context: Context) -> Iterator[Finding]:
    """Food in a freezer whose power fails: what is expected to be lost, and how to tell what may still be eaten."""
    result = context.result
    kg = float(np.sum(result.kept.thawed_kg))
    cuts = {name: store for name, store in result.holding.store.items() if store.power_cut_days_per_year > 0.0}
    if kg < LEAST_KG or not cuts:
        return
    half, full = (holds_h(context.tables, share) for share in (0.5, 1.0))
    figure = context.tables.figure("storing.thaw_full_h.number")
    days = max(store.power_cut_days_per_year for store in cuts.values())
    yield Finding(
        grade="note",
        title="Power cuts thaw the freezer now and then",
        what=(
            f"With its door shut a full freezer stays cold enough for about {full:.0f} hours, a half-full one for {half:.0f}. "
            "Meat, eggs, milk and cooked food that were over 4 C for two hours are thrown away, never tasted; what still "
            "holds ice, or is at 4 C or below, may be frozen again, or is cooked at once."
        ),
        number=f"{kg:.1f} kg a year expected to be lost, {days:g} d without power in it",
        cause=f"{', '.join(sorted(cuts))}: power_cut_days_per_year of the plan; one year takes the mean, a real cut takes all or nothing.",
        remedy=(
            "Keep the freezer full (jugs of water count), put a thermometer in, have jars and salt ready, keep what the "
            "winter hangs on dried or in jars. Follow your food safety authority."
        ),
        source=f"{figure.key}: {figure.source} ({figure.standing})",
        subject="store_litres.freezer",
    )


def idle(context: Context) -> Iterator[Finding]:
    """Kinds of place that the plan has and in which nothing lies all year."""
    result = context.result
    if not result.store_litres:
        return
    used = {place for place, litres in result.store_litres.items() if float(np.max(litres)) > 0.0}
    if "jars" in used:
        used.add("pantry")
    for kind in dict.fromkeys(store.kind for store in result.holding.store.values()):
        if kind in used:
            continue
        names = [name for name, store in result.holding.store.items() if store.kind == kind]
        yield Finding(
            grade="note",
            title=f"Nothing lies in the {kind} all year",
            what=f"{upper_first(', '.join(names))} stays empty: no good of this year is kept in a {kind}, or it keeps better elsewhere.",
            number="0 litres",
            cause="What is kept where: table stores.",
            remedy="Leave it out of the plan, or correct its kind.",
            source="table stores; the year's own stores",
            subject=f"store_litres.{kind}",
        )


RULES: tuple[Rule, ...] = (reserve, warm, thaw, idle)
