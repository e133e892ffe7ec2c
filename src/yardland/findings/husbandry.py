"""Findings about stock and food on one ground, poisons in hedge and orchard, and ages at slaughter."""

from __future__ import annotations

from collections.abc import Iterator

from yardland.findings import kept
from yardland.findings.animals import shown
from yardland.findings.cautions import CAUTION
from yardland.findings.context import Context, Rule
from yardland.findings.trees import species_words
from yardland.findings.walks import walk_of
from yardland.growth.crop_traits import FORAGE
from yardland.larderyear.result import Finding

ORGANIC_AGE = {
    "duck_meat_pekin": "duck_pekin",
    "duck_muscovy": "muscovy_m",
    "goose": "goose",
    "turkey_grower": "turkey",
    "broiler_fast": "chicken",
    "broiler_slow": "chicken",
    "dual_purpose_cockerel": "chicken",
}
"""Class of poultry -> its row organic_slaughter_age of table rules (of Muscovies the drake's, the longer)."""
STONE_FRUIT = frozenset({"plum", "cherry_sweet", "cherry_sour", "peach", "apricot", "almond"})


def folded_stock(context: Context) -> Iterator[Finding]:
    """Stock on ground from which people eat, sooner before the harvest than raw manure may come."""
    result, tables = context.result, context.tables
    off, on = kept.figure(context, "fold_off_soil_d"), kept.figure(context, "fold_on_soil_d")
    for group in result.holding.group:
        if not kept.species_heads(context, group).keys() - {"honeybee"}:
            continue
        for plot in trodden(context, group):
            if followed(context, group, plot):
                continue  # by the days of its stays: cleared.manure_near_harvest
            foods = {species_words(context, tree.species): tables.row("trees", tree.species).text("touches_soil") == "yes"
                     for tree in result.trees if tree.plot == plot and tree.harvest_kg > 0}  # fmt: skip
            foods |= {context.crop(planting.crop): planting.touches_soil for planting in result.plantings
                      if planting.plot == plot and planting.status == "gathered" and planting.crop not in FORAGE}  # fmt: skip
            rests = [
                plan.rest_days for plan in result.holding.round.values() if group in plan.order and plot in plan.plots
            ]
            away = max(rests, default=0)
            early = {food: on if touches else off for food, touches in foods.items() if away < (on if touches else off)}
            if not early:
                continue
            asked = max(early.values())
            yield Finding(
                grade="tight",
                title=f"{shown(group)} walk {kept.spelled([plot])}, from which people eat {', '.join(sorted(early))}",
                what="Droppings of stock count as raw manure: germs in them live for months, and windfalls lie in them.",
                number=f"{away} days away before the harvest, {asked:g} asked",
                cause="The plot is their home, or on their round.",
                remedy=f"Keep them off it for {off:g} days before picking, {on:g} before anything is gathered off the ground; cook windfalls or give them to the stock.",
                source=kept.cited(context, "fold_on_soil_d" if asked == on else "fold_off_soil_d"),
                subject=group,
            )


def followed(context: Context, group: str, plot: str) -> bool:
    """Whether the year knows every evening of a group on a plot: it comes on rounds that were followed, and does not live there."""
    rounds = [name for name, plan in context.result.holding.round.items() if group in plan.order and plot in plan.plots]
    lives = context.result.holding.group[group].home == plot
    return bool(rounds) and not lives and all(walk_of(context, name) is not None for name in rounds)


def trodden(context: Context, group: str) -> tuple[str, ...]:
    """Plots that a group walks: those of its rounds, and its home where that is no house or yard."""
    home = context.result.holding.group[group].home
    use = context.result.holding.plot[home].use if home in context.result.holding.plot else "house"
    return tuple(dict.fromkeys((*kept.ground(context, group), *(() if use in kept.ROOFED else (home,)))))


def stock_under_trees(context: Context) -> Iterator[Finding]:
    """Ruminants under stone fruit, and sheep under vines and sprayed trees."""
    result = context.result
    for group in kept.groups_of(context, kept.RUMINANTS):
        species = set(kept.species_heads(context, group))
        for plot in trodden(context, group):
            trees = {tree.species for tree in result.trees if tree.plot == plot}
            stone = sorted(trees & STONE_FRUIT)
            copper = sorted(trees) if "sheep" in species else []
            if not stone and not copper:
                continue
            key = "prunus" if stone else "sprays"
            row = context.tables.row("poison_plants", key)
            named = ", ".join(species_words(context, one) for one in (stone or copper))
            number = row["number"]
            yield Finding(
                grade="tight",
                title=f"{shown(group)} walk under {named} in {kept.spelled([plot])}",
                what=(f"{row.text('name')}: {number:g} {row.text('what')}. " if stone and number else "")
                + (f"Copper sprays fall on the grass, and copper kills sheep: {row.text('what') if not stone else 'no stock until the label allows'}." if copper else ""),
                number=f"{number:g} g of leaf for a kilogram" if stone and number else f"{len(copper)} kinds of trees or vines",
                cause="The plot is their home or on their round.",
                remedy="Carry prunings and broken boughs out the same day, fence trunks, and keep sheep out of sprayed rows; geese do less harm.",
                source=f"{context.tables.source(row.text('src')).citation} ({row.text('st')})",
                subject=group,
            )  # fmt: skip


def poison_plants(context: Context) -> Iterator[Finding]:
    """Plants of hedge, pasture and garden that poison what is kept, in one list."""
    species = kept.kept_species(context)
    rows = [context.tables.row("poison_plants", key) for key in context.tables.keys("poison_plants")]
    harms = [row for row in rows if species & set(row.text("species").split())]
    if not harms:
        return
    words = []
    for row in harms:
        number, to = row["number"], row["number_to"]
        span = "" if not number else f"{number:g} " if to is None else f"{number:g} to {to:g} "
        words.append(f"{row.text('name')} ({span}{row.text('what')})")
    worst = context.tables.figure("poison_plants.prunus.number")
    yield Finding(
        grade="note",
        title="Plants to walk the fences for",
        what=". ".join(words) + ".",
        number=f"{len(harms)} of {len(rows)} kinds harm what is kept here",
        cause=f"Kept: {kept.spelled(sorted(species - {'honeybee'}))}.",
        remedy="Look along hedges and over garden fences before each turn-out, after storms, and in every load of hay; call the vet at once and keep a piece of the plant.",
        source=f"table poison_plants: {worst.source} ({worst.standing}) and others",
        subject=f"{CAUTION}.poison_plants",
    )


def organic_age(context: Context) -> Iterator[Finding]:
    """Poultry killed younger than organic law lets them be, unless of a slow strain."""
    holding = context.result.holding
    for group, plan in holding.group.items():
        for klass in kept.classes(context, group):
            if klass not in ORGANIC_AGE:
                continue
            row = context.tables.row("stock", klass)
            age = plan.kill_after_days or row["slaughter_age_d"]
            rule = f"organic_slaughter_age.{ORGANIC_AGE[klass]}"
            least = context.tables.row("rules", rule).need("number")
            if age is None or age >= least or row.text("role") in {"layer", "breeder"}:
                continue
            words = row.text("common_name").partition(" (")[0]
            yield Finding(
                grade="note",
                title=f"{shown(group)}: {words} killed at {age:g} days could not be sold as organic",
                what="Organic law sets a least age for table birds, so that slow strains are kept; at home it binds nobody.",
                number=f"{age:g} days, {least:g} the least age",
                cause="kill_after_days of the plan." if plan.kill_after_days else "Age of slaughter in table stock.",
                remedy="Keep a slower strain, or do not sell it as organic.",
                source=context.rule_source(rule),
                subject=f"{group}.{klass}",
            )


RULES: tuple[Rule, ...] = (folded_stock, stock_under_trees, poison_plants, organic_age)
