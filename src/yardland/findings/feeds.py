"""Findings about what animals are fed: rations that lack, feeds that law or sense keeps away, winter fodder, a pig's day."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from yardland.findings.animals import shown
from yardland.findings.context import Context, Rule, many, upper_first
from yardland.larder.feed_law import region_of
from yardland.larderyear.result import Finding
from yardland.ledger.months import DAYS_IN_YEAR, month_of_day

TOLD = 0.05
"""Share of a bound that may lack before it is told (our band): analyses of one hay differ by more."""
GRAVE = 0.5
WORDS = {
    "lysine": ("lysine", "The best protein for pigs and poultry: without it they grow and lay less on the same feed."),
    "calcium": ("calcium", "Shells thin out and bones are drawn on; milk fever follows in those that milk."),
    "phosphorus": ("phosphorus", "Appetite, growth and fertility fall off over months."),
    "fibre_least": ("fibre", "Guts of rabbits and rumens stop without long fibre."),
    "fibre_most": ("fibre, too much of it", "A gut that is full of fibre has no room for what feeds."),
}
REMEDIES = {
    "lysine": "Peas, field beans, skim milk, soya or fish meal beside the grain.",
    "calcium": "Limestone grit or oyster shell, free to take; legume hay for ruminants.",
    "phosphorus": "Dicalcium phosphate or a mineral lick (sheep: one without copper), bran, oil meals.",
    "fibre_least": "Hay or straw at all times.",
    "fibre_most": "Grain, peas or roots in place of part of the greens.",
}


def rations_lack(context: Context) -> Iterator[Finding]:
    """Bounds of a ration, beside energy and protein, that what there is to feed does not meet."""
    for group, lacks in context.result.feed_lacks.items():
        for bound, share in lacks.items():
            months = [index for index in range(12) if share[index] > TOLD]
            if not months:
                continue
            worst = int(np.argmax(share))
            name, what = WORDS[bound]
            verb = "has" if bound == "fibre_most" else "lacks"
            yield Finding(
                grade="short" if share[worst] > GRAVE else "tight",
                title=f"{shown(group)}: the ration {verb} {name} in {context.month_names(months)}",
                what=what,
                number=f"{100 * share[worst]:.0f} % of the bound in {context.result.months[worst].name}",
                cause="What grows here and may be bought does not hold enough of it, feed by feed under its ceiling.",
                remedy=REMEDIES[bound],
                source="tables feed_bounds, stock and feeds; docs/larder-feed.md",
                subject=group,
            )


def law_switched(context: Context) -> Iterator[Finding]:
    """Rules of feeding that the plan switched on: the amount, and the law that it is against."""
    result, region = context.result, region_of(context.result.holding)
    for key in result.holding.rules.feeds_allowed:
        row = context.tables.row("feed_rules", key)
        if row.text(region) != "off":
            continue
        kg = switched_kg(context, key)
        yield Finding(
            grade="rule",
            title=f"{upper_first(row.text('name'))} are fed, which the law of this place forbids or ties to terms",
            what=row.text("reason"),
            number=f"{kg:,.0f} kg a year could be fed" if kg > 0 else "no such feed comes in this year",
            cause=f"rules.feeds_allowed of the plan names {key}.",
            remedy=f"{row.text('remedy')} Ask the veterinary authority before a bucket of it is carried.",
            source=f"{row.text(f'law_{region}')}; {ground_of(context, key)} (not advice on the law)",
            subject=f"rules.{key}",
        )


def ground_of(context: Context, rule: str) -> str:
    """Where a rule of feeding was read, and how well it is known."""
    row = context.tables.row("feed_rules", rule)
    return f"table feed_rules: {context.tables.source(row.text('src_law')).citation} ({row.text('st_law')})"


def switched_kg(context: Context, key: str) -> float:
    """Kilograms a year that a switched rule lets into the troughs."""
    left = context.result.leavings
    if left is None:
        return 0.0
    lots = {
        "kitchen_scraps": left.kitchen_kg,
        "slaughter_leavings": left.slaughter_kg,
        "insects_on_leavings": left.larvae_kg,
    }
    return float(np.sum(lots.get(key, 0.0)))


def law_off(context: Context) -> Iterator[Finding]:
    """Leavings that nobody is fed with by default: how much there is, why, and where it goes."""
    result, region = context.result, region_of(context.result.holding)
    if result.leavings is None or not result.holding.group:
        return
    allowed = result.holding.rules.feeds_allowed
    lots = {"kitchen_scraps": result.leavings.kitchen_kg, "slaughter_leavings": result.leavings.slaughter_kg}
    for key, kg in lots.items():
        row = context.tables.row("feed_rules", key)
        if key in allowed or row.text(region) == "on" or kg.sum() <= 0.0:
            continue
        larvae = f" (larvae on them: {result.leavings.larvae_kg.sum():,.0f} kg)" if key == "slaughter_leavings" else ""
        yield Finding(
            grade="note",
            title=f"{upper_first(row.text('name'))} are not fed to animals",
            what=row.text("reason"),
            number=f"{kg.sum():,.0f} kg a year{larvae}",
            cause=f"{row.text(f'law_{region}')}.",
            remedy=f"{row.text('remedy')} Where the authority allows it, name {key} under rules.feeds_allowed.",
            source=f"{ground_of(context, key)} (not advice on the law)",
            subject=f"rules.{key}",
        )


def nobody_brings(context: Context) -> Iterator[Finding]:
    """Feeds that a group is to get alone, and that nobody grows, makes or buys."""
    result = context.result
    for group, names in result.holding.rules.only_feeds.items():
        absent = [name for name in names if feed_of(context, name) not in result.feeds_at_hand]
        if absent:
            yield Finding(
                grade="short",
                title=f"{shown(group)}: nobody grows or buys {', '.join(name.replace('_', ' ') for name in absent)}",
                what="The group gets the named feeds alone, and these are not there in any month.",
                number=f"{len(absent)} of {many(len(names), 'feed')} named",
                cause="No planting, animal or process gives it, and trades.csv does not buy it.",
                remedy="Plant it, add a line `buy` to trades.csv, or take the name out of rules.only_feeds.",
                source=f"rules.only_feeds.{group} of the plan",
                subject=group,
            )


def feed_of(context: Context, name: str) -> str:
    """The feed of that name, or of the good of that name."""
    if context.tables.has("goods", name):
        return context.tables.row("goods", name).text("feed") or name
    return name


def bought_but_barred(context: Context) -> Iterator[Finding]:
    """Feeds that may be bought, and that a danger or a law keeps from a group of this plan."""
    result = context.result
    for trade in result.holding.trades:
        feed = feed_of(context, trade.item)
        if trade.do != "buy" or not context.tables.has("feeds", feed):
            continue
        for group, barred in result.feeds_barred.items():
            rule = barred.get(feed, "")
            if not context.tables.has("feed_rules", rule):
                continue
            row = context.tables.row("feed_rules", rule)
            yield Finding(
                grade="danger" if row.text("law_other").startswith("a danger") else "rule",
                title=f"{upper_first(context.name(trade.item))} is bought and must not reach {group.replace('_', ' ')}",
                what=row.text("reason"),
                number=f"most: {row['number']:g} {row.text('unit')}" if row["number"] is not None else "none",
                cause=f"trades.csv, line {trade.line}, on a holding that keeps {group.replace('_', ' ')}.",
                remedy=row.text("remedy"),
                source=f"{row.text(f'law_{region_of(context.result.holding)}')}; {ground_of(context, rule)}",
                subject=group,
            )


def winter_fodder(context: Context) -> Iterator[Finding]:
    """The count of the autumn: fodder that ends before the latest turn-out in ten years, and who goes then."""
    count = context.result.fodder
    if count is None or count.winter_days <= 0:
        return
    missing = count.missing_mj
    spare_days = count.days_in_hand - count.winter_days
    if missing <= 0.0 and spare_days >= count.reserve_days:
        return
    hay_mj_kg = hay_energy(context)
    bought = missing > 0.0 and (count.buyable_mj is None or count.buyable_mj >= missing)
    in_hand = f"{count.days_in_hand} days in hand of {count.winter_days}"
    tonnes = f"{missing / hay_mj_kg / 1000.0:.1f} t of hay missing" if missing > 0.0 else "none missing"
    stored = ", ".join(f"{kg / 1000.0:.1f} t {context.name(good)}" for good, kg in count.stored_kg.items()) or "nothing"
    yield Finding(
        grade="tight" if bought or missing <= 0.0 else "short",
        title=f"Winter fodder lasts {count.days_in_hand} of {count.winter_days} days to the latest turn-out",
        what=(
            f"Stock come in about {day_name(context, count.housed_day)}; this year they go out about "
            f"{day_name(context, count.turn_out_day)}, in {count.latest_label} not before {day_name(context, count.latest_day)}. "
            f"Put by as they come in: {stored}."
        ),
        number=f"{in_hand}; {tonnes}",
        cause="What is put by and fed beside it carries less energy than the ruminants need to the latest turn-out in ten years.",
        remedy=remedy_of_fodder(context, bought=bought, missing_t=missing / hay_mj_kg / 1000.0),
        source=f"stores of the plan; turn-out by {len(count.by_lane)} years of the record; docs/larder-feed.md",
        subject="fodder",
    )


def remedy_of_fodder(context: Context, *, bought: bool, missing_t: float) -> str:
    """Buy before winter where trades allow it; else who goes, how many, and when."""
    count = context.result.fodder
    going = ", ".join(
        f"{sold.heads} {sold.klass.replace('_', ' ')} ({sold.group.replace('_', ' ')})"
        for sold in (() if count is None else count.sold)
    )
    sell = f"sell by {day_name(context, count.housed_day)}: {going}" if count and going else "shut up more grass"
    if missing_t <= 0.0:
        return f"For two weeks of reserve shut up more grass, buy hay while it is cheap, or {sell}."
    if bought:
        return f"Buy {missing_t:.1f} t of hay off the field, as trades.csv allows; without it {sell}."
    return f"{upper_first(sell)}; or buy {missing_t:.1f} t of hay in summer, or shut up more grass."


def hay_energy(context: Context) -> float:
    """Metabolisable energy of a kilogram of grass hay as it lies in the barn, MJ."""
    good = context.tables.row("goods", "hay_grass")
    return good.need("dm_fraction") * context.tables.row("feeds", good.text("feed")).need("me_ruminant_mj_kgdm")


def day_name(context: Context, day: int) -> str:
    """A day of the larder year as "14 May"."""
    months = context.result.months
    at = day % DAYS_IN_YEAR
    month = months[month_of_day(months)[at]]
    return f"{at - month.first_day + 1} {month.name}"


FROZEN = "meat_pork.frozen"


def pig_weather(context: Context) -> Iterator[Finding]:
    """Pigs that are killed in months too warm to cool a carcass in a shed, and whether the freezers would take it."""
    result = context.result
    warmest = context.tables.row("feed_rules", "pig_kill_mean_c").need("number")
    mean_c = (result.weather_months["tmin_c"] + result.weather_months["tmax_c"]) / 2.0
    for group, products in result.products_kg.items():
        pork = products.get("meat_pork")
        months = [] if pork is None else [index for index in range(12) if pork[index] > 0.0 and mean_c[index] > warmest]
        if pork is None or not months:
            continue
        worst = max(months, key=lambda index: float(pork[index]))
        row = context.tables.row("stores", FROZEN)
        litres = math.ceil(float(pork[worst]) * (row["yield_kg_per_kg"] or 1.0) * (row["litres_per_kg"] or 1.0))
        room = sum(store.volume_l for store in result.holding.store.values() if store.kind == "freezer")
        figure = context.tables.figure("feed_rules.pig_kill_mean_c.number")
        yield Finding(
            grade="tight" if room >= litres else "danger",
            title=f"{shown(group)}: a pig is killed in {context.month_names(months)}, too warm to cool it in a shed",
            what="A side that is not under 4.4 C within a day turns at the bone; ham and bacon of it can kill.",
            number=f"{mean_c[worst]:.0f} C in {result.months[worst].name}, at most {warmest:g} C; the carcass asks {litres} litres of freezer, there are {room:.0f}",
            cause="The day of slaughter follows from the day the weaner came and its growth.",
            remedy="Kill from late autumn to the end of winter: buy weaners four to six months before; or have it killed and chilled elsewhere.",
            source=f"{figure.source} ({figure.standing})",
            subject=group,
        )


RULES: tuple[Rule, ...] = (
    rations_lack,
    winter_fodder,
    law_switched,
    bought_but_barred,
    nobody_brings,
    pig_weather,
    law_off,
)
