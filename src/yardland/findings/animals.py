"""Findings about flocks and herds: no feed, bought feed, short rests, and what the stock room noticed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from yardland.accounts.terms import fed_by_group
from yardland.findings.context import Context, Rule, many, upper_first
from yardland.findings.walks import mean_stay, rest_words, span, walk_of
from yardland.holding.model import Round
from yardland.larderyear.result import Finding
from yardland.season.evenings import Walk
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
        walk = walk_of(context, name)
        found = planned_rest(plan) if walk is None else walked_rest(context, plan, walk)
        if found is None:
            continue
        rest, what, number, source = found
        needed = paddocks(plan.rest_days, mean_stay(plan)) + len(plan.order) - 1
        yield Finding(
            grade="tight",
            title=f"The round {name} rests its grass {many(rest, 'day')}",
            what=what,
            number=number,
            cause="Too few plots for so many groups, or stays that are too short.",
            remedy=(
                f"Divide the grass into {needed} plots (an electric line will do), let groups graze together, or keep fewer "
                "groups; longer stays alone bring worms and grazed regrowth."
            ),
            source=source,
            subject=f"round.{name}",
        )


RESTS = "(Penn State Extension, steps to rotational grazing; published); rest_days of the plan"


def planned_rest(plan: Round) -> tuple[float, str, str, str] | None:
    """Days of rest by the plan's figures, what they mean, number and source; None if they are enough."""
    stay, free = mean_stay(plan), len(plan.plots) - len(plan.order)
    rest = rest_days(stay, free + 1) if free > 0 else 0.0
    if rest >= plan.rest_days:
        return None
    what = (
        f"{many(len(plan.order), 'group')} one behind the other on {many(len(plan.plots), 'plot')}, about {stay:g} days "
        f"in each: the plot behind the last group rests {many(rest, 'day')} before the first comes back."
    )
    return rest, what, f"{rest:.0f} of {plan.rest_days} days", f"rest = stay x free plots {RESTS}"


def walked_rest(context: Context, plan: Round, walk: Walk) -> tuple[float, str, str, str] | None:
    """The same by the stays of the year: the middle of the rests that were too short, and the shortest."""
    short = sorted((rest for rest in walk.rests if rest.days < plan.rest_days), key=lambda rest: rest.days)
    if not short:
        return None
    together = " Its groups are reckoned to graze together; one behind the other they leave less." if len(plan.order) > 1 and not walk.parts else ""  # fmt: skip
    what = (
        f"{len(short)} of {many(len(walk.rests), 'rest')} of this year were shorter than the plan's own, {span(rest.days for rest in short)}."
        f"{together}"
    )
    number = f"{short[0].days} of {plan.rest_days} days ({rest_words(context, short[0])})"
    return float(short[len(short) // 2].days), what, number, f"stays of the year, docs/growth-swards.md; plots = rest over stay, and one {RESTS}"  # fmt: skip


def noticed(context: Context) -> Iterator[Finding]:
    """What the stock room noticed about ratios, seasons and housing."""
    yield from context.result.stock_notes


RULES: tuple[Rule, ...] = (unfed, bought_feed, short_rests, noticed)
