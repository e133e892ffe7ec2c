"""When the cautions about people apply: children at the table, allergies, a child expected."""

from __future__ import annotations

import numpy as np

from yardland.findings.context import Context, upper_first
from yardland.holding.known import name_words

HALF_A_YEAR = 0.5
MILKS = ("milk_cow", "milk_goat", "milk_sheep")


def children(context: Context, below_y: float) -> list[str]:
    """People who are under that age at some time of the larder year, by name."""
    return sorted(upper_first(need.person) for need in context.result.needs if need.age_y - HALF_A_YEAR < below_y)


def on_table(context: Context, group: str) -> bool:
    """Whether the household eats of a group of foods."""
    return context.result.eaten_energy_share.get(group, 0.0) > 0.0


def milk_for_infants(context: Context) -> str:
    """There is milk of animals and a child under one year."""
    few = children(context, context.tables.row("rules", "cow_milk_infant").need("number") / 12.0)
    eaten = any(float(np.sum(context.result.eaten_kg.get(milk, 0.0))) > 0.0 for milk in MILKS)
    return f"milk in the house with {', '.join(few)}" if few and eaten else ""


def nuts_for_children(context: Context) -> str:
    """There are nuts and a child that chokes on them."""
    few = children(context, context.tables.row("rules", "nuts_choking").need("number"))
    return f"nuts in the house with {', '.join(few)}" if few and on_table(context, "nut") else ""


def traces(context: Context) -> str:
    """Somebody does not eat what people are allergic to."""
    tables = context.tables
    allergies = {name_words(key) for key in tables.keys("diets") if tables.row("diets", key).text("kind") == "allergy"}
    holding = context.result.holding
    lists = {name: one.no for name, one in holding.people.items()}
    lists |= {name: one.no for name, one in holding.guests.items()}
    told = sorted(
        f"{upper_first(name)} ({word})" for name, no in lists.items() for word in no if name_words(word) in allergies
    )
    return f"does not eat it: {', '.join(told)}" if told else ""


def expecting(context: Context) -> list[str]:
    """Women who carry or nurse a child at some time of the larder year, by name."""
    return sorted(upper_first(need.person) for need in context.result.needs if need.bearing)
