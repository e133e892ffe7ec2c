"""Findings about ground that stock walk: the rest that grass asks for, the rest that worms ask for, and who follows whom.

docs/husbandry-rules.md lists the rules with the numbers of the notes that they come from.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from yardland.findings import kept
from yardland.findings.animals import shown
from yardland.findings.context import Context, Rule, many
from yardland.findings.walks import (
    STILL_D,
    day_words,
    host_gaps,
    planned_short,
    span,
    stays_over,
    walk_of,
    walked_short,
)
from yardland.holding.model import Round
from yardland.larderyear.result import Finding
from yardland.stock.worms import WORMS

HATCH_DAYS = 5.0
"""Days of a month on which eggs hatch before its larvae are counted (our band)."""
WAITS_D = 7.0
"""Evenings in the yard, in months that grow grass, from which they are told (our band)."""


def hosts_on(context: Context, plan: Round) -> dict[str, list[str]]:
    """Hosts of worms on a round -> its groups: sheep and goats share theirs, cattle have most of theirs alone."""
    return {
        words: [group for group in plan.order if host & set(kept.species_heads(context, group))]
        for words, host in (("sheep and goats", kept.SMALL), ("cattle", kept.CATTLE))
    }


def worms_of(words: str) -> tuple[str, ...]:
    """Worms that are counted for a host: those of warmth for sheep and goats, the one of cool weather for cattle."""
    return ("barber", "scour") if words == "sheep and goats" else ("brown",)


def worm_clock(context: Context) -> Iterator[Finding]:
    """Rounds on which a host comes back before the larvae that it left are gone."""
    result, pasture = context.result, context.result.pasture
    for name, plan in result.holding.round.items():
        for host, hosts in hosts_on(context, plan).items():
            words = " and ".join(one for one in ("sheep", "goat", "cattle") if any(one in kept.species_heads(context, group) for group in hosts)).replace("goat", "goats")  # fmt: skip
            worms = [worm for worm in worms_of(host) if worm in pasture.hatch_days]
            if not hosts or not worms:
                continue
            hatch = np.max([pasture.hatch_days[worm] for worm in worms], axis=0)
            gaps = [gap for gap in host_gaps(context, name, hosts) if hatch[gap.month] >= HATCH_DAYS]
            gaps = [gap for gap in gaps if pasture.clean_after_d[gap.month] > gap.days]
            if not gaps:
                continue
            worst = max(gaps, key=lambda gap: (hatch[gap.month], pasture.clean_after_d[gap.month], -gap.days))
            month, rests = result.months[worst.month].name, [gap.days for gap in gaps]
            other = "cattle" if host != "cattle" else "sheep or goats"
            young = any(kept.has_young(context, group) for group in hosts)
            back = (
                "while larvae are at their most"
                if min(rests) >= kept.figure(context, "worm_wait_d")
                else "into their own"
            )
            yield Finding(
                grade="tight" if young and host != "cattle" else "note",
                title=f"The round {name} rests its grass, not its worms: {words}",
                what=(
                    f"Larvae of droppings of {context.month_names({gap.month for gap in gaps})} outlive the rest: {words} come back after "
                    f"{span(rests)}, {back}. Frost does not clean ground, and the rest that suits grass is too short."
                ),
                number=f"{worst.days:.0f} of {pasture.clean_after_d[worst.month]:.0f} days ({worst.words or month})",
                cause=f"Eggs of {WORMS[worms[0]]} hatch on {hatch[worst.month]:.0f} days of {month}: warm and wet enough.",
                remedy=(
                    f"Let {other} graze it for {kept.figure(context, 'host_change_months'):g} to 6 months, cut it for hay, plough it for a crop, or leave "
                    "it a season; egg counts tell when a drench is wanted, and clean ground goes to the young first."
                ),
                source=f"{kept.cited(context, 'larvae_hot_d')}; {kept.cited(context, 'worm_barber_c')}; {kept.cited(context, 'host_change_months')}",
                subject=f"round.{name}",
            )


def stay_over(context: Context) -> Iterator[Finding]:
    """Stays long enough for stock to eat larvae of their own droppings, or too long for milk."""
    pasture = context.result.pasture
    wait, milk = kept.figure(context, "worm_wait_d"), kept.figure(context, "stay_milking_d")
    for name, plan in context.result.holding.round.items():
        hatch = np.max([pasture.hatch_days[worm] for worm in ("barber", "scour") if worm in pasture.hatch_days] or [np.zeros(12)], axis=0)  # fmt: skip
        months = {index for index in range(12) if hatch[index] >= HATCH_DAYS}
        small = hosts_on(context, plan)["sheep and goats"]
        milked = [group for group in plan.order if in_milk(context, group)]
        days, where, when, cause = stays_over(context, name, wait, months, small)
        if small and days:
            yield Finding(
                grade="note",
                title=f"Stays of {many(days, 'day')} on the round {name} let stock eat their own worms",
                what=f"In {context.month_names(when)} it is warm and wet enough for eggs to become larvae before {kept.spelled(small)} move on.",
                number=f"{days} days{where}, at most {wait:g} in such weather",
                cause=cause,
                remedy="Move within four days in warm wet months: more and smaller plots, an electric line will do.",
                source=kept.cited(context, "worm_wait_d"),
                subject=f"round.{name}",
            )
        days, where, _, cause = stays_over(context, name, milk, set(range(12)), milked)
        if milked and days:
            yield Finding(
                grade="note",
                title=f"Stays of {many(days, 'day')} are long for {kept.spelled(milked)} in milk",
                what="Each day on a plot they eat less and worse of it, and the milk follows the grass.",
                number=f"{days} days{where}, half a day to {milk:g} in milk, 3 to {kept.figure(context, 'stay_other_d'):g} for others",
                cause=cause,
                remedy="Give the milkers fresh grass each day or two with a line, and let dry stock clean up behind them.",
                source=kept.cited(context, "stay_milking_d"),
                subject=f"round.{name}",
            )


def in_milk(context: Context, group: str) -> bool:
    """Whether a group is milked for the house."""
    return context.result.holding.group[group].milk_share != "none"


def shared_worms(context: Context) -> Iterator[Finding]:
    """Sheep and goats on the same ground: one does not clean it for the other."""
    ground: dict[str, dict[str, list[str]]] = {}
    for group in kept.groups_of(context, kept.SMALL):
        for plot in kept.ground(context, group):
            for name in kept.SMALL & set(kept.species_heads(context, group)):
                ground.setdefault(plot, {}).setdefault(name, []).append(group)
    both = sorted(plot for plot, hosts in ground.items() if len(hosts) == 2)
    if both:
        yield Finding(
            grade="note",
            title=f"Sheep and goats share their worms on {kept.spelled(both)}",
            what="Goats are the less able to bear them. Behind sheep they gain nothing; behind cattle, or cattle and sheep, fewer need a drench.",
            number=f"{kept.figure(context, 'goats_behind_cattle_pct'):g} % of does drenched behind cattle, 53 % behind goats",
            cause="Both walk the same plots.",
            remedy="Let cattle graze between them, keep goats to browse, or count them as one flock and rest the ground for both.",
            source=kept.cited(context, "goats_behind_cattle_pct"),
            subject=f"plot.{both[0]}",
        )


def clean_ground(context: Context) -> Iterator[Finding]:
    """Whether lambs and kids have ground that no sheep or goat walked this year: aftermath of hay, leys, stubble."""
    holding = context.result.holding
    mothers = [
        group for group in kept.groups_of(context, kept.SMALL) if holding.group[group].born and kept.has_young(context, group)
    ]  # fmt: skip
    if not mothers:
        return
    walked = {plot for group in mothers for plot in kept.ground(context, group)}
    hay = sorted(plot for plot in walked if holding.plot[plot].shut_up_for_hay)
    arable = sorted(name for name, plot in holding.plot.items() if plot.use == "crops")
    places = [*(f"the aftermath of {kept.spelled([plot])}" for plot in hay), *(f"stubble and leys of {kept.spelled(arable)}" for _ in arable[:1])]  # fmt: skip
    yield Finding(
        grade="note" if places else "tight",
        title=f"{'Clean' if places else 'No clean'} ground for the young of {kept.spelled(mothers)}",
        what=(
            f"Nearly free of worms when they are weaned: {'; '.join(places)}."
            if places
            else "Every plot that they walk was walked by their mothers in the same year."
        ),
        number=f"{len(hay) + len(arable)} of {many(len(walked | set(arable)), 'plot')}",
        cause="Hay cuts and crops break the worms' year; rest alone takes months.",
        remedy="Keep the cleanest grass for weaned lambs and kids, or for ewes and does with twins."
        if places
        else "Shut up a plot for hay each year, a different one, or graze cattle on it before the young come.",
        source="extension advice on aftermath and leys (common practice); " + kept.cited(context, "larvae_hot_d"),
        subject=mothers[0],
    )


def grass_clock(context: Context) -> Iterator[Finding]:
    """Rounds that come back before the grass has grown again, by the year's own growth."""
    result = context.result
    for name, plan in result.holding.round.items():
        plots = [plot for plot in plan.plots if plot in result.pasture.regrowth_d]
        if not plots:
            continue
        wanted = np.median([result.pasture.regrowth_d[plot] for plot in plots], axis=0)
        grows = [index for index in range(12) if wanted[index] < STILL_D and result.pasture.out[index]]
        walk = walk_of(context, name)
        found = planned_short(plan, wanted, grows) if walk is None else walked_short(context, walk)
        if found is None or not grows:
            continue
        rest, want, short, where = found
        quick, slow = min(grows, key=lambda at: wanted[at]), max(grows, key=lambda at: wanted[at])
        still = [index for index in range(12) if wanted[index] >= STILL_D]
        yield Finding(
            grade="note" if rest < plan.rest_days else "tight",
            title=f"Grass of the round {name} asks for {wanted[quick]:.0f} days in {result.months[quick].name}, {wanted[slow]:.0f} in {result.months[slow].name}",
            what=(
                f"Grazed again before it has grown, in {context.month_names(short)}, grass thins and gives less."
                + (f" In {context.month_names(still)} it stands still or nearly so: no rest helps, feed hay." if still else "")
            ),
            number=f"{many(rest, 'day')} of rest, {want:.0f} wanted{where}",
            cause="The growth of this year's weather on these plots, from the mass that is left to the mass that is grazed.",
            remedy="Slow the round as growth slows: more plots, hay fed on one of them, or fewer mouths; quicken it in the flush and cut what is over.",
            source=f"growth of the swards, docs/growth-swards.md; for planning {context.tables.row('rules', 'rest_spring_d').need('number'):g} days in spring, "
            f"{context.tables.row('rules', 'rest_summer_d').need('number'):g} later: {context.rule_source('rest_summer_d')}",
            subject=f"round.{name}",
        )  # fmt: skip


def waits_in_yard(context: Context) -> Iterator[Finding]:
    """Herds for which no sward was ready while grass grows: how many evenings, and when they were out at all."""
    herds = ((name, herd) for name, walk in context.result.pasture.walks.items() for herd in walk.herds)
    for name, walk in herds:
        waits, grows = float(walk.yard_d.sum()), context.result.pasture.out
        if waits < WAITS_D:
            continue
        whole = waits + float(walk.grass_d[grows].sum())
        away = walk.away
        when = (
            f"They are out from {day_words(context, away[1])} to {day_words(context, away[0])}, with evenings in the yard between."
            if away is not None and walk.grass_d.sum() > 0
            else "They are never on grass."
        )
        yield Finding(
            grade="tight" if waits > whole / 2.0 else "note",
            title=f"{shown(walk.groups[0]) if len(walk.groups) == 1 else kept.spelled(walk.groups).capitalize()} wait {many(waits, 'evening')} in the yard while grass grows",
            what=f"No sward was ready in {context.month_names(np.flatnonzero(walk.yard_d >= 1.0).tolist())}: grazed down, shut up for hay, too soft, or not grown. {when}",
            number=f"{waits:.0f} of {whole:.0f} evenings of the months that grow grass",
            cause=f"What they would eat against what grows on {kept.spelled(walk.plots)}.",
            remedy="Keep hay for these days, rest the grass until it is grown, give them more grass, or keep fewer mouths.",
            source="who grazes, and where, docs/growth-swards.md",
            subject=f"round.{name}" if name in context.result.holding.round else walk.groups[0],
        )  # fmt: skip


def grazed_low(context: Context) -> Iterator[Finding]:
    """Grass that is grazed down into the layer where most larvae sit."""
    least = kept.figure(context, "worm_tall_cm")
    low: dict[str, float] = {}
    for group in kept.groups_of(context, kept.SMALL):
        for plot in kept.ground(context, group):
            left = context.result.pasture.left_cm.get(plot, least)
            if left < least - 0.05:
                low[plot] = left
    if low:
        yield Finding(
            grade="note",
            title=f"{kept.spelled(sorted(low)).capitalize()} is grazed down to {min(low.values()):.0f} cm",
            what="Most larvae sit on the lowest hand's breadth of the grass.",
            number=f"{min(low.values()):.1f} cm left, {least:g} to 10 wanted",
            cause="Mass at which the table ends grazing, at its kilograms a centimetre.",
            remedy=f"Move them earlier, at {least:g} to 10 cm, and let cattle or the scythe take the rest; hang browse for goats.",
            source=kept.cited(context, "worm_tall_cm"),
            subject=f"plot.{min(low)}",
        )


def crowded(context: Context) -> Iterator[Finding]:
    """More grazing mouths on a hectare of grass than good grass carries."""
    result = context.result
    area_ha = sum(plot.area_m2 for plot in result.holding.plot.values() if plot.use == "grass") / 10_000.0
    eaten = 0.0
    for group in kept.groups_of(context, kept.RUMINANTS):
        for klass, heads in result.heads[group].items():
            eaten += float(heads.mean()) * (context.tables.row("stock", klass)["dmi_kg_d"] or 0.0)
    units = eaten / kept.figure(context, "cow_unit_kg_d")
    usual = context.tables.figure("keeping.units_per_ha.number")
    most = usual.high or usual.value
    if area_ha <= 0.0 or units / area_ha <= most:
        return
    yield Finding(
        grade="tight",
        title=f"{units / area_ha:.1f} cow equivalents on a hectare of grass",
        what="More than good grass carries without fertiliser; poor or dry land carries a fifth to a half of that.",
        number=f"{units:.1f} on {area_ha:.2f} ha, {usual.low or usual.value:g} to {most:g} a hectare",
        cause="Dry matter that the ruminants eat, in cows of 11.3 kg a day, over the plots of grass.",
        remedy="Count on bought or grown fodder for the rest, keep fewer, or rent grass.",
        source=f"{kept.cited(context, 'units_per_ha')}; unit: {kept.cited(context, 'cow_unit_kg_d')}",
        subject="grass",
    )


def set_stocked(context: Context) -> Iterator[Finding]:
    """Grazing groups that walk one piece of grass all season."""
    for group in kept.groups_of(context, kept.RUMINANTS | {"goose"}):
        home = context.result.holding.plot.get(context.result.holding.group[group].home)
        if kept.rotates(context, group) or home is None or home.use not in ("grass", "orchard"):
            continue
        yield Finding(
            grade="note",
            title=f"{shown(group)} walk the same grass all season",
            what="Set-stocked they eat about a third of what grows, in a rotation half to two thirds, and never leave their worms behind.",
            number=f"{kept.figure(context, 'set_stocked_share'):g} of the growth eaten, {context.tables.row('rules', 'grazed_share').need('number'):g} to 0.7 in a rotation",
            cause=f"The group has no round; its home {kept.spelled([context.result.holding.group[group].home])} is grass.",
            remedy="Divide the grass and give the group a round; even four plots help.",
            source=kept.cited(context, "set_stocked_share"),
            subject=group,
        )  # fmt: skip


def train(context: Context) -> Iterator[Finding]:
    """The order of groups on a round: milk and fattening first, dry stock next, poultry some days behind cattle, pigs last."""
    for name, plan in context.result.holding.round.items():
        for title, what, number, key in train_faults(context, plan):
            yield Finding(
                grade="note",
                title=f"The round {name}: {title}",
                what=what,
                number=number,
                cause=f"Its order: {kept.spelled(plan.order)}.",
                remedy="Milking or fattening stock first, dry and grown stock behind them, poultry three to four days behind cattle, pigs last and before a crop.",
                source=kept.cited(context, key),
                subject=f"round.{name}",
            )


def train_faults(context: Context, plan: Round) -> Iterator[tuple[str, str, str, str]]:
    """Title, what it means, number and figure of each fault in the order of a round."""
    species = {group: set(kept.species_heads(context, group)) for group in plan.order}
    place = {group: index + 1 for index, group in enumerate(plan.order)}
    grazers = [group for group in plan.order if species[group] & kept.RUMINANTS]
    for group in grazers:
        before = [other for other in grazers if place[other] < place[group] and not in_milk(context, other)]
        if in_milk(context, group) and before:
            yield (
                f"{kept.spelled([group])} in milk follow {kept.spelled(before)}",
                "Who milks or fattens should have the first bite.",
                f"place {place[group]} of {len(plan.order)}",
                "hens_behind_cattle_d",
            )
    low, high = kept.figure(context, "hens_behind_cattle_d"), 4
    hens = [group for group in plan.order if "chicken" in species[group]]
    cattle = [group for group in plan.order if "cattle" in species[group]]
    for hen in hens:
        if cattle and (place[hen] < place[cattle[0]] or not low <= plan.followers_within_days <= high):
            yield (
                f"{kept.spelled([hen])} do not come three to four days behind the cattle",
                "Then maggots in the dung are large and have not pupated: feed for hens, and fewer flies.",
                f"within {plan.followers_within_days} days, {low:g} to {high} wanted",
                "hens_behind_cattle_d",
            )
    geese = [group for group in plan.order if "goose" in species[group]]
    sheep = [group for group in plan.order if "sheep" in species[group]]
    if geese and sheep and not cattle:
        yield (
            "geese and sheep graze the same short grass",
            "They compete for it; geese do better behind cattle, that leave it short and fresh.",
            f"{len(geese) + len(sheep)} groups",
            "hens_behind_cattle_d",
        )
    pigs = [group for group in plan.order if "pig" in species[group] and place[group] < len(plan.order)]
    if pigs:
        yield (
            f"{kept.spelled(pigs)} turn the sod before others graze it",
            "Pigs dig: behind them there is bed for a crop, not grass.",
            f"place {place[pigs[0]]} of {len(plan.order)}",
            "hens_behind_cattle_d",
        )


def poultry_ground(context: Context) -> Iterator[Finding]:
    """Birds that walk one piece of ground all year, and how much of it each has."""
    least, warm, cold = (
        kept.figure(context, key) for key in ("range_m2", "poultry_rest_warm_w", "poultry_rest_cold_w")
    )
    law = context.tables.figure("keeping.range_m2.number").low or 0.0
    for group in kept.groups_of(context, kept.POULTRY):
        home = context.result.holding.plot.get(context.result.holding.group[group].home)
        if kept.rotates(context, group) or home is None:
            continue
        birds = sum(heads for name, heads in kept.species_heads(context, group).items() if name in kept.POULTRY)
        each = home.area_m2 / birds
        yield Finding(
            grade="tight" if each < law else "note",
            title=f"{shown(group)} walk one ground all year",
            what=(
                f"Eggs of roundworms and coccidia gather there: after {warm:g} weeks from spring, {cold:g} from winter, nine tenths are gone, a few live two years."
                + (" On so little ground the grass dies as well." if each < least else "")
            ),
            number=f"{each:.1f} m2 a bird at their most ({birds}), {law:g} the least of organic law, {least:g} keep grass; no rest",
            cause=f"The home {kept.spelled([context.result.holding.group[group].home])} is all the ground of the group.",
            remedy="Fence it in three or four parts or move the house, so that each part rests six to twelve months; chicks to ground that rested longest.",
            source=f"{kept.cited(context, 'poultry_rest_warm_w')}; {kept.cited(context, 'range_m2')}",
            subject=group,
        )  # fmt: skip


def turkeys_on_chickens(context: Context) -> Iterator[Finding]:
    """Turkeys on ground of chickens: blackhead."""
    walked = {plot for group in kept.groups_of(context, frozenset({"chicken"})) for plot in kept.ground(context, group)}
    for group in kept.groups_of(context, frozenset({"turkey"})):
        shared = sorted(walked & set(kept.ground(context, group)))
        if shared:
            yield Finding(
                grade="tight",
                title=f"{shown(group)} walk ground of chickens: {kept.spelled(shared)}",
                what="Chickens carry blackhead without harm, in eggs of a worm that last in the soil; turkeys die of it.",
                number=f"0 of {kept.figure(context, 'turkey_rest_y'):g} years apart",
                cause="Turkeys and chickens have the same home or round.",
                remedy="Another plot and another house, other boots; no chickens there for one to three years before turkeys.",
                source=kept.cited(context, "turkey_rest_y"),
                subject=group,
            )


def pig_ground(context: Context) -> Iterator[Finding]:
    """Pigs that come back to the same ground each year."""
    years = kept.figure(context, "pig_rest_y")
    for group in kept.groups_of(context, frozenset({"pig"})):
        home = context.result.holding.plot.get(context.result.holding.group[group].home)
        if home is None or (home.use in kept.ROOFED and not kept.rotates(context, group)):
            continue
        yield Finding(
            grade="tight",
            title=f"{shown(group)} come back to the same ground each year: {kept.spelled(kept.ground(context, group))}",
            what="Eggs of whipworm and the large roundworm live for years in soil, and pigs root them up.",
            number=f"1 year, {years:g} wanted, better four and more",
            cause="The group's home or round is the same in every year of the plan.",
            remedy="Give the pigs a strip that is cropped in the years between, or a paved yard; move the strip each year.",
            source=kept.cited(context, "pig_rest_y"),
            subject=group,
        )


def poached(context: Context) -> Iterator[Finding]:
    """Days on which the ground does not bear hooves while a group has no yard to stand in."""
    result = context.result
    yards = [name for name, plot in result.holding.plot.items() if plot.use == "yard"]
    for group in kept.groups_of(context, kept.HOOFED):
        home = result.holding.plot.get(result.holding.group[group].home)
        plots = [plot for plot in kept.ground(context, group) if plot in result.pasture.soft_days]
        if home is None or home.use in kept.ROOFED or yards or not plots:
            continue
        soft = np.mean([result.pasture.soft_days[plot] for plot in plots], axis=0)
        days = float(soft.sum())
        if days < kept.figure(context, "soft_days"):
            continue
        worst = int(np.argmax(soft))
        yield Finding(
            grade="tight" if days > 60.0 else "note",
            title=f"{shown(group)} have no yard for {many(days, 'day')} of soft ground",
            what="Hooves sink into waterlogged sod, which then grows weeds for years.",
            number=f"{days:.0f} days, {soft[worst]:.0f} of them in {result.months[worst].name}, on {kept.spelled(plots)}",
            cause=f"The home {kept.spelled([result.holding.group[group].home])} is {home.use}; the plan has no plot of use yard.",
            remedy="Give up one corner as a yard, or house them until the ground bears.",
            source="water of the top soil against field capacity, docs/growth-swards.md (common practice: no grazing over it)",
            subject=group,
        )


RULES: tuple[Rule, ...] = (
    worm_clock,
    grass_clock,
    waits_in_yard,
    stay_over,
    shared_worms,
    clean_ground,
    grazed_low,
    crowded,
    set_stocked,
    train,
    poultry_ground,
    turkeys_on_chickens,
    pig_ground,
    poached,
)
