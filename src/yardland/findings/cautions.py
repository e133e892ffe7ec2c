"""Usual cautions, shown only where the plan makes them apply. None of this is advice on the law: ask the authority named."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from yardland.errors import TableError
from yardland.findings.context import Context, Rule, upper_first
from yardland.larderyear.result import Finding


@dataclass(frozen=True)
class Caution:
    """Rows of the rules table that belong together, and when they apply. The first gives number and source."""

    rules: tuple[str, ...]
    title: str
    applies: Callable[[Context], str]
    """What in the plan makes it apply, in words; empty when it does not."""


def eaten(context: Context, *goods: str) -> bool:
    """Whether the household eats any of these goods in the year."""
    return any(float(np.sum(context.result.eaten_kg.get(good, np.zeros(12)))) > 0 for good in goods)


def slaughter(context: Context) -> str:
    """Animals are killed on the holding."""
    meat = sorted(
        {good for products in context.result.products_kg.values() for good in products if good.startswith("meat_")}
    )
    return "meat of the holding's own: " + ", ".join(context.name(good) for good in meat) if meat else ""


def canning(context: Context) -> str:
    """Something is canned that is not bottled like fruit."""
    put_by = {arc.target.partition(":")[2] for arc in context.result.ledger.arcs if arc.kind == "put_by"}
    canned = sorted(row.rpartition(".")[0] for row in put_by if row.endswith(".canned") and not bottled(context, row))
    return f"put by in jars: {', '.join(context.name(good) for good in canned)}" if canned else ""


def bottled(context: Context, row: str) -> bool:
    """Whether a row of the stores table is work for a boiling-water bath: sour fruit."""
    return context.tables.has("stores", row) and context.tables.row("stores", row).text("task") == FRUIT_TASK


def electric(context: Context) -> str:
    """An electric fence is planned."""
    fences = sorted(name for name, fence in context.result.holding.fence.items() if "electric" in fence.kind)
    return f"fence {', '.join(fences)}" if fences else ""


def raw_milk(context: Context) -> str:
    """Milk comes from the holding's own animals."""
    milks = sorted(
        {good for products in context.result.products_kg.values() for good in products if good.startswith("milk_")}
    )
    return f"{', '.join(context.name(milk) for milk in milks)} of the holding's own" if milks else ""


def beans(context: Context) -> str:
    """Common beans are eaten."""
    return "dry beans on the plate" if eaten(context, "dry_bean") else ""


def honey(context: Context) -> str:
    """There is honey and a child under one year."""
    result = context.result
    infants = sorted(need.person for need in result.needs if need.age_y < 1.5)
    return (
        f"honey in the house with {', '.join(upper_first(one) for one in infants)}"
        if infants and eaten(context, "honey")
        else ""
    )


def liver(context: Context) -> str:
    """Liver is eaten and a woman of child-bearing age is there."""
    result = context.result
    women = [
        need.person for need in result.needs if result.holding.people[need.person].sex == "f" and 15 <= need.age_y <= 50
    ]
    offal = [good for good in result.eaten_kg if good.startswith("offal_") and eaten(context, good)]
    return (
        f"liver on the plate; if {' or '.join(upper_first(one) for one in women)} should be pregnant"
        if women and offal
        else ""
    )


def hay(context: Context) -> str:
    """Hay is made."""
    made = [supply.account for supply in context.result.production.gathered if supply.good.startswith("hay_")]
    places = sorted({name.partition(":")[2].partition(".")[0].replace("_", " ") for name in made})
    return f"hay made on {', '.join(places)}" if made else ""


def stock_kept(context: Context) -> str:
    """Animals are kept."""
    groups = sorted(name.replace("_", " ") for name in context.result.holding.group)
    return f"animals kept: {', '.join(groups)}" if groups else ""


def scraps(context: Context) -> str:
    """Pigs or poultry are kept, which people like to feed from the kitchen."""
    groups = [
        name.replace("_", " ")
        for name, group in context.result.holding.group.items()
        if any("hen" in klass or "pig" in klass or "sow" in klass or "broiler" in klass for klass in group.heads)
    ]
    return f"{', '.join(sorted(groups))} near a kitchen" if groups else ""


def sheep_minerals(context: Context) -> str:
    """Sheep are kept."""
    sheep = sorted(
        name for name, group in context.result.holding.group.items() if {"ewe", "ram", "lamb"} & set(group.heads)
    )
    return f"sheep: {', '.join(sheep)}" if sheep else ""


def manure_spread(context: Context) -> str:
    """Manure or compost is spread."""
    plots = sorted({item.plot.replace("_", " ") for item in context.result.heap.dressings if item.kind != "fertiliser"})
    return f"manure or compost spread on {', '.join(plots)}" if plots else ""


def liming(context: Context) -> str:
    """Lime is due on a plot."""
    due = sorted(soil.plot.replace("_", " ") for soil in context.result.soils if soil.acidity.lime_kg > 0)
    return f"lime due on {', '.join(due)}" if due else ""


TABLE: tuple[Caution, ...] = (
    Caution(("slaughter_home", "slaughter_cool_red_c", "slaughter_cool_poultry_c"), "Slaughter at home", slaughter),
    Caution(("low_acid_ph",), "Jars of vegetables and meat need a pressure canner", canning),
    Caution(
        (
            "electric_fence_pulse_j",
            "electric_fence_two_m",
            "electric_fence_barbed_mm",
            "electric_fence_line_m",
            "electric_fence_sign_m",
            "electric_fence_earth_m",
        ),
        "Electric fences",
        electric,
    ),
    Caution(("raw_milk_heat",), "Raw milk", raw_milk),
    Caution(("kidney_bean_boil",), "Beans must boil", beans),
    Caution(("honey_infant",), "No honey for infants", honey),
    Caution(("liver_pregnancy",), "Liver in pregnancy", liver),
    Caution(("hay_moisture_pct",), "Damp hay heats", hay),
    Caution(("housing_register",), "Register animals", stock_kept),
    Caution(("manure_from_well_m", "manure_from_water_m"), "Manure away from wells and water", manure_spread),
    Caution(("lime_caustic", "lime_after_manure"), "Lime burns, and drives ammonia out of manure", liming),
    Caution(("kitchen_scraps",), "No kitchen scraps to animals", scraps),
    Caution(("copper_sheep_ppm",), "Copper poisons sheep", sheep_minerals),
)

CAUTION = "caution"
"""Begins the subject of every finding of this module, so that faces can gather them."""
FRUIT_TASK = "preserve.bottle"
RUNS_ON = {"to", "most", "least", "every", "above"}
"""Last words of a row after which its number follows without a colon."""


def cautions(context: Context) -> Iterator[Finding]:
    """Every caution of the table that the plan makes apply, as notes: nothing is wrong with the plan itself."""
    for caution in TABLE:
        why = caution.applies(context)
        if not why:
            continue
        rows = [context.tables.row("rules", rule) for rule in caution.rules]
        number = rows[0]["number"]
        yield Finding(
            grade="note",
            title=caution.title,
            what=" ".join(sentence(row.text("text"), row["number"], row.text("unit")) for row in rows),
            number=f"{number:g} {rows[0].text('unit')}" if number is not None else "",
            cause=why,
            remedy=f"Ask {the(rows[0].text('defer_to'))}.",
            source=source_of(context, caution.rules[0]),
            subject=f"{CAUTION}.{caution.rules[0]}",
        )


def sentence(words: str, number: float | None, unit: str) -> str:
    """A row's words with its number where the words do not hold it already."""
    if number is None or re.search(rf"(?<![\d.]){re.escape(f'{number:g}')}(?![\d.]*\d)", words):
        return f"{words}."
    joint = " " if words.rpartition(" ")[2] in RUNS_ON else ": "
    return f"{words}{joint}{f'pH {number:g}' if unit == 'pH' else f'{number:g} {unit}'}."


def the(authority: str) -> str:
    """An authority with its article: "health authority" is written the health authority."""
    return authority if authority.startswith(("the ", "a ")) else f"the {authority}"


def source_of(context: Context, rule: str) -> str:
    """Citation and standing of a rule, also where the row has words alone and no number."""
    try:
        return context.rule_source(rule)
    except TableError:
        row = context.tables.row("rules", rule)
        return f"{context.tables.source(row.text('src')).citation} ({row.text('st')})"


RULES: tuple[Rule, ...] = (cautions,)
