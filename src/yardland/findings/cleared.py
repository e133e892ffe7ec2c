"""Findings about stock on what a harvest leaves: who walked it, who did not and why, and manure too near to a harvest."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from yardland.findings import husbandry, kept
from yardland.findings.animals import shown
from yardland.findings.context import Context, Rule, many, upper_first
from yardland.findings.trees import species_words
from yardland.growth.crop_traits import FORAGE
from yardland.larderyear.result import Finding
from yardland.ledger.months import DAYS_IN_YEAR
from yardland.ledger.production import Grazing
from yardland.ledger.units import M2_PER_HA
from yardland.season.grazers import Stay
from yardland.season.unwalked import Unwalked

ROOTING = frozenset({"pig"})
SCRATCHING = frozenset({"chicken", "turkey"})


def who(groups: tuple[str, ...]) -> str:
    """Groups in words, the first with a capital."""
    return shown(groups[0]) if len(groups) == 1 else upper_first(kept.spelled(groups))


def crop_words(context: Context, name: str) -> str:
    """A crop or tree in words."""
    if context.tables.has("crops", name):
        return context.crop(name)
    return name.replace("_", " ")


def rule_words(context: Context) -> str:
    """Where the days between manure and harvest are from."""
    return f"{context.result.holding.rules.raw_manure_to_harvest_days.why} (published); rules.raw_manure_to_harvest_days of the plan"


def stands(context: Context, key: str) -> str:
    """Citation and standing of a figure of table stubble."""
    return kept.cited(context, f"stubble.{key}.number")


def never_walked(context: Context) -> Iterator[Finding]:
    """Leavings on a plot of a round that nobody walks, told once for each plot and reason."""
    told: dict[tuple[str, str, str], list[Unwalked]] = {}
    for one in context.result.stubble.unwalked:
        if one.reason in WHY and one.plot in context.result.holding.plot:
            told.setdefault((one.round, one.plot, one.reason), []).append(one)
    for (_, _, reason), ones in told.items():
        yield WHY[reason](context, ones)


def left_words(context: Context, ones: list[Unwalked]) -> str:
    """What lies there: stubble of oats."""
    goods = dict.fromkeys(context.name(one.good) for one in ones)
    crops = dict.fromkeys(crop_words(context, one.crop) for one in ones)
    return f"{', '.join(goods)} of {', '.join(crops)}"


def followed(context: Context, ones: list[Unwalked]) -> Finding:
    """The next crop is sown at once."""
    worst = max(ones, key=lambda one: one.kg_dm)
    then = f"{crop_words(context, worst.next_crop)} is" if worst.next_crop else "the next crop is"
    wait = context.tables.row("stubble", "carried_d").need("number")
    return Finding(
        grade="note",
        title=f"No time to walk the {left_words(context, ones)} in {kept.spelled([worst.plot])}",
        what=f"{upper_first(then)} sown before stock could come, so what lies there is carried to a trough or dug in.",
        number=f"{many(worst.days, 'day')} between them; sheaves and straw take {wait:g}; {sum(one.kg_dm for one in ones):.0f} kg of dry matter",
        cause=f"The ground of {crop_words(context, worst.crop)} is made ready for the next crop at once.",
        remedy="Nothing need be changed; to feed it where it lies, sow later, sow a crop that is itself grazed, or take the plot off the round.",
        source=f"dates of the year; {stands(context, 'carried_d')}",
        subject=f"round.{worst.round}",
    )


def withheld(context: Context, ones: list[Unwalked]) -> Finding:
    """Manure of stock would lie too near to the next food."""
    worst = min(ones, key=lambda one: one.days - one.asked_d)
    return Finding(
        grade="note",
        title=f"{who(worst.groups)} are kept off the {left_words(context, ones)} in {kept.spelled([worst.plot])}",
        what=(
            f"Droppings count as raw manure, and {crop_words(context, worst.next_crop)} is gathered there too soon after any evening "
            "on which they could come."
        ),
        number=f"{worst.days:.0f} days at the most, the rule asks {worst.asked_d:.0f}; {sum(one.kg_dm for one in ones):.0f} kg of dry matter lie there",
        cause="What is left stays good for a short time, and the next food comes within the rule's days.",
        remedy="Carry it to them, follow with a crop that is gathered later, or with fodder. Local code may ask for more days.",
        source=rule_words(context),
        subject=f"round.{worst.round}",
    )


def haulm(context: Context, ones: list[Unwalked]) -> Finding:
    """Leavings that harm the stock of the round."""
    first = ones[0]
    row = context.tables.row("feed_rules", first.rule)
    source = context.tables.row("haulm", first.crop)
    crops = ", ".join(dict.fromkeys(crop_words(context, one.crop) for one in ones))
    return Finding(
        grade="tight",
        title=f"Fence {kept.spelled(first.groups)} off the {crops} of {kept.spelled([first.plot])}",
        what=f"{upper_first(first.good)} are left there. {row.text('reason')} No stay is laid on that strip; a fence has to see to it.",
        number=f"{sum(one.days for one in ones):,.0f} m2 on the round {first.round.replace('_', ' ')}",
        cause="The round names the plot, and stock eat what they find when grass is short.",
        remedy=f"{row.text('remedy')} Let them in when haulm is cleared and rotted; call the vet at once if one has eaten of it.",
        source=f"{context.tables.source(source.text('src')).citation} ({source.text('st')})",
        subject=f"round.{first.round}",
    )


def young(context: Context, ones: list[Unwalked]) -> Finding:
    """Trees too young to be walked under."""
    worst = min(ones, key=lambda one: one.days)
    return Finding(
        grade="note",
        title=f"Trees in {kept.spelled([worst.plot])} are too young for {kept.spelled(worst.groups)}",
        what="Stock rub, bark and break young trees, so nobody is sent under them for windfalls.",
        number=f"{worst.days:.0f} years, {worst.asked_d:g} wanted without guards",
        cause="The round names the plot, and the plan knows of no guards.",
        remedy="Guard each trunk and wait, or gather the windfalls by hand; geese do less harm than hooves.",
        source=stands(context, "young_tree_y"),
        subject=f"round.{worst.round}",
    )


def bark(context: Context, ones: list[Unwalked]) -> Finding:
    """Goats under trees."""
    first = ones[0]
    return Finding(
        grade="note",
        title=f"{who(first.groups)} are not sent under the trees of {kept.spelled([first.plot])}",
        what="Goats climb and strip bark whatever the age of the tree.",
        number=f"{first.days:.0f} years old the youngest, {sum(one.kg_dm for one in ones):.0f} kg of dry windfalls",
        cause="The round names the plot.",
        remedy="Gather the windfalls and carry them, or send sheep or geese.",
        source=f"common practice; of guards: {stands(context, 'young_tree_y')}",
        subject=f"round.{first.round}",
    )


def unsuited(context: Context, ones: list[Unwalked]) -> Finding:
    """Leavings that no class of the round may or can eat."""
    first = ones[0]
    return Finding(
        grade="note",
        title=f"The {left_words(context, ones)} in {kept.spelled([first.plot])} feeds none of {kept.spelled(first.groups)}",
        what="No class of theirs can live on it, or a rule keeps it from them.",
        number=f"{sum(one.kg_dm for one in ones):.0f} kg of dry matter",
        cause="Greatest shares of table feeds, feed rules of the place, and the plan's own lists.",
        remedy="Put another group on the round, or leave it to the ground.",
        source=f"feeds.{context.tables.row('goods', first.good).text('feed')} of the tables; rules of feed",
        subject=f"round.{first.round}",
    )


def soft(context: Context, ones: list[Unwalked]) -> Finding:
    """Ground too soft on every evening."""
    first = max(ones, key=lambda one: one.asked_d)
    return Finding(
        grade="note",
        title=f"{upper_first(kept.spelled([first.plot]))} is too soft to walk for its {left_words(context, ones)}",
        what="On no evening while it is good does the ground carry stock; hooves on wet tilled ground do harm for years.",
        number=f"0 of {first.asked_d:.0f} evenings bear",
        cause="Rain and the soil's water above field capacity.",
        remedy="Carry it to them, or harvest earlier.",
        source="days that bear, docs/larder-feed.md",
        subject=f"round.{first.round}",
    )


WHY: dict[str, Callable[[Context, list[Unwalked]], Finding]] = {
    "followed": followed,
    "withheld": withheld,
    "haulm": haulm,
    "young": young,
    "bark": bark,
    "unsuited": unsuited,
    "soft": soft,
}
"""Reasons that are told; too little to walk for, and herds that are on grass all the while, are in the year's data alone."""


def walked_over(context: Context) -> Iterator[Finding]:
    """Stays on what harvests left: evenings, what was eaten, what was dropped, and the care that goes with it."""
    result = context.result
    for name, walk in result.pasture.walks.items():
        if not walk.leavings:
            continue
        plots = list(dict.fromkeys(stay.plot for stay in walk.leavings))
        offered = [one for one in result.stubble.stood if standing_on(one, walk.leavings)]
        species = {kind for group in walk.groups for kind in kept.species_heads(context, group)}
        yield Finding(
            grade="note",
            title=f"{who(groups_of(walk.leavings))} clean up {kept.spelled(plots)} after the harvest",
            what=(
                "They are out on evenings on which no grass is ready, and dung that ground. "
                f"Care: {'; '.join(care(context, offered, species))}."
            ),
            number=(
                f"{many(sum(stay.last - stay.first for stay in walk.leavings), 'evening')}, {sum(float(np.sum(one.dm_kg)) for one in offered):.0f} kg of dry matter, "
                f"{dropped_kg(context, walk.leavings):.1f} kg of nitrogen{and_others(context, walk.groups, plots)}"
            ),
            cause="The round names the plots, and they lie free between two crops.",
            remedy="Let them come full, take them off before the bed is made, and bring water and fence along.",
            source=f"{stands(context, 'least_left_kg_ha')}; docs/growth-stubble.md",
            subject=f"round.{name}" if name in result.holding.round else walk.groups[0],
        )


def groups_of(stays: tuple[Stay, ...]) -> tuple[str, ...]:
    """Every group of some stays, in the order found."""
    return tuple(dict.fromkeys(group for stay in stays for group in stay.groups))


def standing_on(one: Grazing, stays: tuple[Stay, ...]) -> bool:
    """Whether what stood was eaten by a group of these stays."""
    return bool(set(one.groups) & set(groups_of(stays)))


def care(context: Context, offered: list[Grazing], species: set[str]) -> list[str]:
    """Cautions of the feeds that lie there, and of animals that dig."""
    feeds = dict.fromkeys(context.tables.row("goods", one.good).text("feed") for one in offered)
    words = [context.tables.row("feeds", feed).text("cautions") for feed in feeds]
    if species & ROOTING:
        words.append("pigs root: they clear and till, and wet ground suffers")
    if species & SCRATCHING:
        words.append("poultry scratch out what is newly sown beside them")
    return [one for one in words if one] or ["look at them each evening"]


def and_others(context: Context, groups: tuple[str, ...], plots: list[str]) -> str:
    """Who else drops on these plots in the year because their home is there: ", that of pigs with it"; else nothing."""
    others = [
        name for name, group in context.result.holding.group.items() if group.home in plots and name not in groups
    ]
    return f", that of {kept.spelled(others)} with it" if others else ""


def dropped_kg(context: Context, stays: tuple[Stay, ...]) -> float:
    """Nitrogen of droppings of the year on the plots of these stays, kg."""
    plots = {stay.plot for stay in stays}
    return sum(
        float(item.n_kg_ha.sum()) * context.result.holding.plot[item.plot].area_m2 / M2_PER_HA
        for item in context.result.droppings
        if item.plot in plots
    )


def manure_near_harvest(context: Context) -> Iterator[Finding]:
    """Evenings of a followed herd on ground from which food is gathered sooner than raw manure may lie there."""
    for group in context.result.holding.group:
        for plot in husbandry.trodden(context, group):
            if not husbandry.followed(context, group, plot):
                continue
            near = [
                (days, asked, food)
                for food, strip, day, asked in foods_of(context, plot)
                for days in (days_since(context, group, plot, strip, day),)
                if days < asked
            ]
            if not near:
                continue
            days, asked, food = min(near, key=lambda one: one[0] - one[1])
            yield Finding(
                grade="rule",
                title=f"{shown(group)} are on {kept.spelled([plot])} {many(days, 'day')} before its {food} is gathered",
                what="Droppings of stock count as raw manure: germs in them live for months, and windfalls lie in them.",
                number=f"{days:.0f} days, the rule asks {asked:.0f}",
                cause="The last evening that they spend there, by the year's stays.",
                remedy="Take the plot off the round, or shut it before then; cook what is gathered off the ground. Local code may be stricter.",
                source=rule_words(context),
                subject=group,
            )


def foods_of(context: Context, plot: str) -> Iterator[tuple[str, str, int, float]]:
    """Food of a plot: name, strip ("" under trees), first larder day of gathering, days that the rule asks."""
    rule = context.result.holding.rules.raw_manure_to_harvest_days
    for planting in context.result.plantings:
        if planting.plot == plot and planting.gather_day is not None and planting.crop not in FORAGE:
            asked = rule.touching_soil if planting.touches_soil else rule.other
            yield context.crop(planting.crop), planting.strip, planting.gather_day, asked
    for tree in context.result.trees:
        if tree.plot == plot and tree.harvest_kg > 0.0:
            touches = context.tables.row("trees", tree.species).text("touches_soil") == "yes"
            yield (
                species_words(context, tree.species),
                "",
                tree.harvest_from,
                rule.touching_soil if touches else rule.other,
            )


def days_since(context: Context, group: str, plot: str, strip: str, day: int) -> float:
    """Days from the last evening of a group on a strip (or under the trees) to a day; the year joins its own end."""
    there = [
        stay
        for stay in context.result.stays
        if group in stay.groups and stay.plot == plot and (strip in stay.strips if strip else True)
    ]
    return min(((day - (stay.last - 1)) % DAYS_IN_YEAR for stay in there), default=np.inf)


RULES: tuple[Rule, ...] = (never_walked, walked_over, manure_near_harvest)
