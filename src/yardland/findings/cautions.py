"""Usual cautions, shown only where the plan makes them apply. None of this is advice on the law: ask the authority named."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from yardland.errors import TableError
from yardland.findings import kept
from yardland.findings.cautions_people import expecting, milk_for_infants, nuts_for_children, traces
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
    """Liver is eaten and a woman of child-bearing age is there, or one who carries or nurses a child."""
    result = context.result
    women = [
        need.person for need in result.needs if result.holding.people[need.person].sex == "f" and 15 <= need.age_y <= 50
    ]
    offal = [good for good in result.eaten_kg if good.startswith("offal_") and eaten(context, good)]
    if offal and expecting(context):
        return f"liver on the plate, and a child of {', '.join(expecting(context))} within the year"
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


def ruminants(context: Context) -> str:
    """Cattle, sheep or goats are kept."""
    return _groups(context, kept.RUMINANTS)


def poultry(context: Context) -> str:
    """Poultry is kept."""
    return _groups(context, kept.POULTRY)


def layers_in_short_days(context: Context) -> str:
    """Layers where the winter's days are short, so that lamps tempt."""
    hens = [
        group
        for group in context.result.holding.group
        if "laying_hen" in kept.classes(context, group) or "dual_purpose_hen" in kept.classes(context, group)
    ]
    shortest = float(kept.light_h(context).min())
    return f"{kept.spelled(hens)} in days of {shortest:.0f} hours" if hens and shortest < SHORT_DAYS_H else ""  # fmt: skip


def pigs(context: Context) -> str:
    """Pigs are kept."""
    return _groups(context, frozenset({"pig"}))


def rabbits(context: Context) -> str:
    """Rabbits are kept."""
    return _groups(context, frozenset({"rabbit"}))


def pigs_or_hens(context: Context) -> str:
    """Pigs or poultry are kept, that salt kills soonest."""
    return _groups(context, kept.POULTRY | {"pig"})


def bees(context: Context) -> str:
    """Bees are kept."""
    return _groups(context, frozenset({"honeybee"}))


def births(context: Context) -> str:
    """Ewes, does or cows are to bear young."""
    groups = [group for group in kept.groups_of(context, kept.RUMINANTS) if context.result.holding.group[group].born]
    return f"young planned of {kept.spelled(groups)}" if groups else ""


def grain_to_ruminants(context: Context) -> str:
    """Ruminants are fed grain."""
    fed = _fed(context, kept.RUMINANTS, frozenset({"wheat", "barley", "oats", "rye", "maize", "sorghum"}))
    return f"grain fed to {fed}" if fed else ""


def brassicas_to_ruminants(context: Context) -> str:
    """Ruminants are fed brassicas."""
    fed = _fed(context, kept.RUMINANTS, frozenset({"kale", "turnip", "swede", "cabbage", "brassica_stalks"}))
    return f"brassicas fed to {fed}" if fed else ""


def beet_to_cattle(context: Context) -> str:
    """Cattle are fed fodder beet."""
    fed = _fed(context, kept.CATTLE, frozenset({"fodder_beet"}))
    return f"fodder beet fed to {fed}" if fed else ""


def legume_grazing(context: Context) -> str:
    """Ruminants walk swards with legumes in them."""
    holding = context.result.holding
    plots = {plot for group in kept.groups_of(context, kept.RUMINANTS) for plot in kept.ground(context, group)}
    legumes = sorted(
        name for name in plots if (sward := holding.plot[name].sward) is not None and sward.kind != "permanent pasture"
    )
    return f"stock on {kept.spelled(legumes)}" if legumes else ""


def raw_beans_grown(context: Context) -> str:
    """Beans or potatoes that would poison stock raw or green, beside stock that would eat them."""
    grown = sorted({planting.crop for planting in context.result.plantings} & {"dry_bean", "soybean", "potato"})
    stock = _groups(context, kept.POULTRY | {"pig", "rabbit", "goat", "sheep", "cattle"})
    return f"{kept.spelled(grown)} grown; {stock}" if grown and stock else ""


def raw_manure_given(context: Context) -> str:
    """Raw manure goes on a planting."""
    plots = sorted({item.plot for item in context.result.heap.dressings if item.kind == "raw manure"})
    return f"raw manure on {kept.spelled(plots)}" if plots else ""


def raw_manure_in(country: str) -> Callable[[Context], str]:
    """Raw manure goes on a planting of a holding in that country."""

    def applies(context: Context) -> str:
        return raw_manure_given(context) if context.result.holding.place.country == country else ""

    return applies


def manure_and_grazing(context: Context) -> str:
    """Manure is spread on a holding whose ruminants graze."""
    spread, grazers = manure_spread(context), ruminants(context)
    return f"{spread}; {grazers}" if spread and grazers else ""


def foreign_manure_and_sheep(context: Context) -> str:
    """Manure of pigs or poultry lies on the heap of a holding with sheep."""
    sheep, others = _groups(context, frozenset({"sheep"})), pigs_or_hens(context)
    return f"{sheep}; {others}" if sheep and others and manure_spread(context) else ""


def medicine(context: Context) -> str:
    """Something of the stock is eaten: meat, milk or eggs."""
    goods = {good for products in context.result.products_kg.values() for good in products}
    named = sorted(context.name(good) for good in goods if good.startswith(("egg_", "milk_", "meat_")))
    return f"eaten of the stock: {', '.join(named)}" if named else ""


def meat_eaten(context: Context) -> str:
    """Meat is on the plate."""
    meats = sorted(good for good in context.result.eaten_kg if good.startswith("meat_") and eaten(context, good))
    return f"meat on the plate: {context.name(meats[0])}{' and others' if len(meats) > 1 else ''}" if meats else ""


def bought_in(context: Context) -> str:
    """Animals come in from outside: batches, a borrowed or hired sire, bought stock."""
    groups = context.result.holding.group
    coming = sorted(
        name for name, group in groups.items() if group.batch or (group.sire is not None and group.sire.how in {"borrowed", "hired"})
    )  # fmt: skip
    return f"stock or sires that come in: {kept.spelled(coming)}" if coming else ""


def larvae(context: Context) -> str:
    """Poultry that ranges, or is fed worms and insects."""
    return _groups(context, kept.POULTRY)


def _groups(context: Context, species: frozenset[str]) -> str:
    groups = kept.groups_of(context, species)
    return f"kept: {kept.spelled(groups)}" if groups else ""


def _fed(context: Context, species: frozenset[str], goods: frozenset[str]) -> str:
    """Groups of these species that get any of the goods."""
    return kept.spelled(
        group
        for group in kept.groups_of(context, species)
        if any(float(kg.sum()) > 0.0 for good, kg in context.result.feed_kg.get(group, {}).items() if good in goods)
    )


def compost_given(context: Context) -> str:
    """Compost of the holding's own heap goes on a planting."""
    plots = sorted({item.plot for item in context.result.heap.dressings if item.kind == "compost"})
    return f"compost on {kept.spelled(plots)}" if plots else ""


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
            "electric_fence_netting",
        ),
        "Electric fences",
        electric,
    ),
    Caution(("raw_milk_heat",), "Raw milk", raw_milk),
    Caution(("kidney_bean_boil",), "Beans must boil", beans),
    Caution(("honey_infant",), "No honey for infants", honey),
    Caution(("liver_pregnancy",), "Liver in pregnancy", liver),
    Caution(("cow_milk_infant",), "No milk of animals as an infant's drink", milk_for_infants),
    Caution(("nuts_choking",), "No whole nuts for small children", nuts_for_children),
    Caution(("allergy_traces",), "Traces of what somebody is allergic to", traces),
    Caution(("hay_moisture_pct",), "Damp hay heats", hay),
    Caution(("housing_register",), "Register animals", stock_kept),
    Caution(("manure_from_well_m", "manure_from_water_m"), "Manure away from wells and water", manure_spread),
    Caution(("lime_caustic", "lime_after_manure"), "Lime burns, and drives ammonia out of manure", liming),
    Caution(("kitchen_scraps",), "No kitchen scraps to animals", scraps),
    Caution(("copper_sheep_ppm",), "Copper poisons sheep", sheep_minerals),
    Caution(("hot_compost_temp",), "Compost frees from waiting only if it was hot", compost_given),
    Caution(("raw_manure_ready_to_eat_months",), "Raw manure and food that is eaten raw", raw_manure_in("GB")),
    Caution(("manure_no_touch",), "Untreated manure must not touch the crop", raw_manure_in("US")),
    Caution(
        ("rest_after_slurry_weeks", "litter_carcass"),
        "Ground rests after manure before stock graze",
        manure_and_grazing,
    ),
    Caution(("copper_manure",), "Copper in manure", foreign_manure_and_sheep),
    Caution(("dog_dung",), "Dung of dogs and cats", stock_kept),
    Caution(("legume_bloat_share",), "Bloat on clover and lucerne", legume_grazing),
    Caution(("grain_gorging",), "Grain bins shut", grain_to_ruminants),
    Caution(("brassica_share",), "Brassicas by degrees", brassicas_to_ruminants),
    Caution(("fodder_beet_share",), "Fodder beet by degrees", beet_to_cattle),
    Caution(("raw_beans_stock",), "Raw beans and green potatoes", raw_beans_grown),
    Caution(("mould_none",), "No mouldy feed", ruminants),
    Caution(("birth_feeding_weeks",), "Feed in the weeks before birth", births),
    Caution(("salt_water",), "Water, and salt", pigs_or_hens),
    Caution(("lamps_h",), "Lamps for layers", layers_in_short_days),
    Caution(("withdrawal_eggs_d", "withdrawal_organic"), "Days after medicine", medicine),
    Caution(("zoonoses_birth", "zoonoses_young"), "What births and young stock carry", births),
    Caution(("zoonoses_poultry",), "What poultry carries", poultry),
    Caution(("zoonoses_pig",), "What pigs carry", pigs),
    Caution(("zoonoses_rabbit",), "What rabbits carry", rabbits),
    Caution(("meat_temp_poultry", "meat_temp_pork"), "Meat hot to the middle", meat_eaten),
    Caution(("notifiable", "dead_stock"), "Sick and dead stock", stock_kept),
    Caution(("quarantine_d",), "Newcomers stand apart", bought_in),
    Caution(("larva_foods",), "Worms that worms carry", larvae),
    Caution(("bee_medicine", "bee_water", "bee_stings"), "Bees: medicine, water, stings", bees),
)

CAUTION = "caution"
"""Begins the subject of every finding of this module, so that faces can gather them."""
FRUIT_TASK = "preserve.bottle"
SHORT_DAYS_H = 10.0
"""Shortest day under which layers are lit (common practice)."""
UNITS = {
    "-": "",
    "1/d": "times a day",
    "d": "days",
    "week": "weeks",
    "month": "months",
    "min": "minutes",
    "kg DM/kg": "kg DM a kg",
}
"""Units of table rules that are no words."""
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
            number=with_unit(number, rows[0].text("unit")) if number is not None else "",
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
    return f"{words}{joint}{with_unit(number, unit)}."


def with_unit(number: float, unit: str) -> str:
    """A number with its unit as one says it."""
    if unit == "pH":
        return f"pH {number:g}"
    return f"{number:g} {UNITS.get(unit, unit)}".strip()


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
