"""Findings about who sits at the table: people of a diet left short, upper levels of intake, likes, refusals that empty."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from yardland.findings.context import Context, Rule, many, upper_first
from yardland.holding.model import Person
from yardland.larder.description import Good
from yardland.larder.diets import is_out, out_words
from yardland.larder.needs import NEED_NAMES, life_stage
from yardland.larder.upper import Over
from yardland.larderyear.result import Finding

SURVIVAL = {"energy_kcal": "energy", "protein_g": "protein"}
UPPER_NAMES = {
    "vitamin_a_rae_ug": "preformed vitamin A",
    "vitamin_d_ug": "vitamin D",
    "vitamin_c_mg": "vitamin C",
    "vitamin_b6_mg": "vitamin B6",
}
LIKED = 0.95
"""Share of a liking's least under which a month counts as missed (our band)."""


def short_diets(context: Context) -> Iterator[Finding]:
    """People who eat otherwise than the rest run short of energy or protein, whatever the household's mean says."""
    result = context.result
    for diet in result.diets:
        for nutrient, word in SURVIVAL.items():
            cover = diet.coverage[nutrient]
            months = [index for index in range(12) if cover[index] < result.holding.goal.short_below - 1e-6]
            if not months:
                continue
            worst = min(months, key=lambda index: cover[index])
            who = ", ".join(upper_first(name) for name in diet.people)
            yield Finding(
                grade="short",
                title=f"{upper_first(word)} runs short on the plates of {who} in {context.month_names(months)}",
                what=f"Who eats {diet.name} has {100 * cover[worst]:.0f} % of the need in {result.months[worst].name}, the worst month.",
                number=f"{100 * cover[worst]:.0f} % in {result.months[worst].name}",
                cause="What the holding brings forth in these months is what they do not eat.",
                remedy=f"Grow, keep or buy more that they eat and that holds {word}: pulses, grain, nuts, milk, eggs, as their diet allows.",
                source="coverage = eaten / needed by these people; threshold goal.short_below of the plan",
                subject=f"diet.{diet.name}.{nutrient}",
            )


def above_upper_levels(context: Context) -> Iterator[Finding]:
    """Somebody's mean intake of a month is above an upper level that holds for food."""
    for nutrient in dict.fromkeys(one.nutrient for one in context.result.over_upper):
        over = [one for one in context.result.over_upper if one.nutrient == nutrient]
        worst = max(over, key=lambda one: one.most / one.level)
        carrying = nutrient == "vitamin_a_rae_ug" and any(one.bearing for one in over)
        unit = nutrient.rpartition("_")[2]
        word = UPPER_NAMES.get(nutrient, nutrient.rpartition("_")[0].replace("_", " "))
        people = ", ".join(upper_first(one.person) for one in over)
        yield Finding(
            grade="danger" if carrying else "tight",
            title=f"{upper_first(word)} is above the upper level for {people}",
            what=f"{upper_first(worst.person)} gets {worst.most:,.3g} {unit} a day in the mean of a month; the upper level is {worst.level:,.3g} {unit}."
            + (" In pregnancy too much of it harms the child." if carrying else ""),
            number=f"{worst.most / worst.level:.1f} times the upper level, in {context.month_names(worst.months)}",
            cause="What the table holds is shared out here in proportion to energy; somebody may eat less of it than that.",
            remedy="Spread the foods rich in it over more months, give them to those with the higher level, or eat less of them"
            + ("; no liver in pregnancy; ask the doctor." if carrying else "; ask a doctor if it goes on."),
            source=upper_source(context, worst),
            subject=f"upper.{nutrient}",
        )


def upper_source(context: Context, over: Over) -> str:
    """Citation and standing behind an upper level."""
    result = context.result
    person = result.holding.people[over.person]
    age = next(need.age_y for need in result.needs if need.person == over.person)
    stage = life_stage(context.tables, person.sex, age)
    figure = context.tables.figure(f"needs.{stage}.{NEED_NAMES.get(over.nutrient, over.nutrient)}.ul")
    return f"{figure.key}: {figure.source} ({figure.standing})"


def likes(context: Context) -> Iterator[Finding]:
    """The least that somebody likes to eat is missed by over a twentieth in some month."""
    result = context.result
    for key, missed in result.likes_missed.items():
        months = [index for index in range(12) if missed[index] > 1.0 - LIKED]
        if not months:
            continue
        who, _, food = key.rpartition(".")
        name = context.name(food)
        yield Finding(
            grade="note",
            title=f"{upper_first(who)} would like more {name}" if who else f"The household would like more {name}",
            what=f"Under the least that is liked in {context.month_names(months)}.",
            number=f"{100 * (1 - float(np.mean(missed))):.0f} % of what is liked at least over the year",
            cause="There is none of it then, its plate is full, or it is wanted more elsewhere: a liking weighs less than any nutrient.",
            remedy="Grow, keep or buy more of it, or like less.",
            source="likes of the plan; docs/larder-program.md",
            subject=f"likes.{key}",
        )


def emptied_groups(context: Context) -> Iterator[Finding]:
    """What somebody does not eat empties whole groups of the foods that are on the table here."""
    for name, person in context.result.holding.people.items():
        gone = gone_groups(context, person) if person.no else []
        if not gone:
            continue
        shares = context.result.eaten_energy_share
        share = sum(shares.get(group, 0.0) for group in gone)
        yield Finding(
            grade="note",
            title=f"{upper_first(name)} eats none of the {', '.join(group.replace('_', ' ') for group in gone)} on the table",
            what=f"Refused: {', '.join(person.no)}. The other groups must carry this plate.",
            number=f"{100 * share:.0f} % of the household's food energy comes from these groups",
            cause="The plan's list of what this person does not eat takes every food of these groups that the holding has.",
            remedy="See that the plan grows enough else with protein; take a word out of the list if it says too much.",
            source="people.*.no of the plan; table diets (common practice)",
            subject=f"people.{name}.no",
        )


def gone_groups(context: Context, person: Person) -> list[str]:
    """Groups of foods of which the household eats something and this person nothing."""
    out = out_words(context.tables, frozenset(person.no))
    groups: dict[str, bool] = {}
    for good in eaten_goods(context):
        groups[good.group] = groups.get(good.group, False) or not is_out(good, out)
    return sorted(group for group, some in groups.items() if not some)


def eaten_goods(context: Context) -> Iterator[Good]:
    """Goods on the table, with their foods and groups."""
    tables = context.tables
    for key, kg in context.result.eaten_kg.items():
        base = key.partition(".")[0]
        food = tables.row("goods", base).text("food") if tables.has("goods", base) else ""
        if food and float(np.sum(kg)) > 0.0:
            yield Good(key, tables.row("goods", base).text("name"), 1.0, food, tables.row("foods", food).text("group"))


def eaten_by_nobody(context: Context) -> Iterator[Finding]:
    """Stock gives what nobody here eats, and no sale is planned."""
    result = context.result
    lists = [one.no for one in result.holding.people.values()] + [one.no for one in result.holding.guests.values()]
    refused = [out_words(context.tables, frozenset(no)) for no in lists]
    sold = {row.item for row in result.holding.trades if row.do == "sell"}
    lost: dict[str, float] = {}
    for products in result.products_kg.values():
        for key, kg in products.items():
            row = context.tables.row("goods", key) if context.tables.has("goods", key) else None
            food = row.text("food") if row is not None else ""
            if row is None or not food or key in sold or food in sold:
                continue
            good = Good(key, row.text("name"), 1.0, food, context.tables.row("foods", food).text("group"))
            if all(is_out(good, out) for out in refused) and float(np.sum(kg)) > 0.0:
                lost[key] = lost.get(key, 0.0) + float(np.sum(kg))
    if lost:
        yield Finding(
            grade="tight",
            title=f"Nobody here eats {', '.join(sorted(context.name(key) for key in lost))}",
            what=f"The stock gives {many(sum(lost.values()), 'kilogram')} in the year that everybody at the table refuses.",
            number=f"{sum(lost.values()):,.0f} kg a year",
            cause="Everybody's list of what they do not eat holds it, and trades.csv sells none.",
            remedy="Keep other stock, sell it (trades.csv), or take it off a list.",
            source="people.*.no of the plan; table diets (common practice)",
            subject="people.no",
        )


RULES: tuple[Rule, ...] = (short_diets, above_upper_levels, likes, emptied_groups, eaten_by_nobody)
