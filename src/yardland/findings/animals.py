"""Findings about flocks and herds: no feed, bought feed, short rests, and what the stock room noticed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from yardland.accounts.terms import fed_by_group
from yardland.findings.context import Context, Rule, many, upper_first
from yardland.larderyear.result import Finding
from yardland.stock.rounds import paddocks, rest_days


def shown(group: str) -> str:
    """A group's name as a title starts."""
    return upper_first(group.replace("_", " "))


def unfed(context: Context) -> Iterator[Finding]:
    """Groups whose energy need is not met in some month."""
    result = context.result
    for group, share in result.feed_short.items():
        months = [index for index in range(12) if share[index] > 0.01]
        if not months:
            continue
        worst = int(np.argmax(share))
        yield Finding(
            grade="danger" if share[worst] > 0.2 else "short",
            title=f"{shown(group)} without enough feed in {context.month_names(months)}",
            what="Animals that are not fed lose flesh, give less, and suffer; keeping them so is against the law in many countries.",
            number=f"{100 * share[worst]:.0f} % of the energy need missing in {result.months[worst].name}",
            cause="Grass, hay, roots, grain and the declared purchases end before their need does.",
            remedy="Grow or buy more of what they eat, sell stock before winter, or keep fewer; ask a vet or adviser before feeding scarce rations.",
            source="energy need by the species' own system, stock table; feed table",
            subject=group,
        )


LEANING = 0.3
"""Share of a group's feed dry matter that is bought before it is told (our band)."""


def bought_feed(context: Context) -> Iterator[Finding]:
    """Groups whose feed comes over the fence in good part."""
    for group, fed in fed_by_group(context.result.ledger).items():
        bought_kg = sum(fed.bought_kg.values())
        part = bought_kg / fed.eaten_kg if fed.eaten_kg > 0 else 0.0
        if part < LEANING:
            continue
        most = max(fed.bought_kg, key=lambda good: fed.bought_kg[good])
        yield Finding(
            grade="tight",
            title=f"{shown(group)}: {100 * part:.0f} % of the feed is bought",
            what="What this ground grows does not carry the group; a dry year, a dear year or a closed road does.",
            number=f"{bought_kg:,.0f} of {fed.eaten_kg:,.0f} kg dry matter, most of it {context.name(most)}",
            cause="Fewer kilograms grow on grass, roots and grain than the heads eat.",
            remedy="Keep fewer, grow more fodder, rent grass or buy hay off the field while it is cheap.",
            source="feed flows of the year",
            subject=group,
        )


def short_rests(context: Context) -> Iterator[Finding]:
    """Rounds whose plots come back to the first group sooner than the plan's own rest."""
    for name, plan in context.result.holding.round.items():
        stay, free = sum(plan.stay_days) / 2, len(plan.plots) - len(plan.order)
        rest = rest_days(stay, free + 1) if free > 0 else 0.0
        if rest >= plan.rest_days:
            continue
        needed = paddocks(plan.rest_days, stay) + len(plan.order) - 1
        yield Finding(
            grade="tight",
            title=f"The round {name} rests its grass {many(rest, 'day')}",
            what=(
                f"{many(len(plan.order), 'group')} one behind the other on {many(len(plan.plots), 'plot')}, about {stay:g} days "
                f"in each: the plot behind the last group rests {many(rest, 'day')} before the first comes back."
            ),
            number=f"{rest:.0f} of {plan.rest_days} days",
            cause="Too few plots for so many groups, or stays that are too short.",
            remedy=(
                f"Divide the grass into {needed} plots (an electric line will do), let groups graze together, or keep fewer "
                "groups; longer stays alone bring worms and grazed regrowth."
            ),
            source="rest = stay x free plots (Penn State Extension, steps to rotational grazing; published); rest_days of the plan",
            subject=f"round.{name}",
        )


def noticed(context: Context) -> Iterator[Finding]:
    """What the stock room noticed about ratios, seasons and housing."""
    yield from context.result.stock_notes


RULES: tuple[Rule, ...] = (unfed, bought_feed, short_rests, noticed)
