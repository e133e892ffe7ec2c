"""What a group's page says in words, section by section, for the page and the terminal."""

from __future__ import annotations

import numpy as np

from yardland.findings.feeds import TOLD
from yardland.holding.model import MonthDay
from yardland.larder.feed_slaughter import SlaughterParts
from yardland.larderyear.herd_spread import at_starts, money_by_year, products_by_year, sum_by_year
from yardland.larderyear.herd_told import HerdTold
from yardland.ledger.months import DAYS_IN_YEAR, MONTH_NAMES
from yardland.report.answer import HUNGRY
from yardland.report.herd_tables import NUTRIENTS, day_words, lookup_of, range_words, row_name
from yardland.report.words import counted, figure, listed, month_runs, percent, plain, title
from yardland.season.droppings import on_round, walked
from yardland.season.evenings import Walk
from yardland.stock.herds import layout as at

Facts = list[tuple[str, str]]
NEAR_ALWAYS = 0.995
RENEWALS = {
    "own young": "own young females, and bought ones where these are too few",
    "own young only": "own young females only",
    "bought": "bought stock",
}
G_PER_KG = 1000.0
L_PER_M3 = 1000.0
LEAST_SIZE = 0.005
"""Share of the eggs under which a size is not told."""
MOST_FEEDS = 4
MILK_WORDS = {
    "all": "all of it goes to the house",
    "apart at night": "young are apart at night, and the morning's milk goes to the house",
    "once a day": "milked once a day beside the young",
}


def plan_facts(told: HerdTold) -> Facts:
    """The plan of the group in words."""
    group, names = told.group, lookup_of(told)
    heads = [counted(number, names.klass(klass)) for klass, number in group.heads.items() if number]
    facts = [("Keeps", f"{listed(heads)}." if heads else "no breeding stock.")]
    aims = [
        counted(number, names.klass(klass))
        for klass, number in group.target.items()
        if number != group.heads.get(klass)
    ]
    if aims:
        facts.append(("Grows or shrinks to", f"{listed(aims)}."))
    facts += [
        ("Bought in", f"{counted(batch.count, names.klass(batch.class_))} on {_dates(batch.on)}.")
        for batch in group.batch
    ]
    if group.born:
        birds = any(row[at.SITS] != at.LITTER for row in told.years.plan.arrays.row if row[at.PART] == at.DAM)
        how = f" under {'broody birds' if group.hatch == 'broody' else 'an incubator'}" if birds else ""
        facts.append(("Young", f"{'hatch' if birds else 'are born'} on {_dates(group.born)}{how}."))
        facts.append(("Sire", f"{_sire(told)}."))
    if _has(told, at.DAM):
        facts.append(("Policy", f"{_policy(told)}."))
    if _milks(told):
        facts.append(("Milk", f"{MILK_WORDS.get(group.milk_share, group.milk_share)}."))
    buys = "feed may be bought for it" if group.buy_feed else "no feed is bought for it"
    facts.append(("Lives", f"{_where(told)}; {buys}."))
    if told.housing is not None:
        facts.append(("Room asked for", f"{_room(told)}."))
    return facts


def _where(told: HerdTold) -> str:
    """Home, and the plots of the round."""
    home = plain(told.group.home)
    if not on_round(told.holding, told.name):
        return f"at {home}"
    return f"on a round through {listed([plain(plot) for plot in walked(told.holding, told.name)])}, with its home at {home}"


def _dates(days: tuple[MonthDay, ...]) -> str:
    return listed([f"{when.day} {MONTH_NAMES[when.month - 1]}" for when in days])


def _has(told: HerdTold, part: int) -> bool:
    return bool((told.years.plan.arrays.row[:, at.PART] == part).any())


def _sire(told: HerdTold) -> str:
    sire, names = told.group.sire, lookup_of(told)
    own = [names.klass(label.klass) for label in told.years.plan.rows if label.part == "males"]
    if sire is None or sire.how == "kept":
        return f"kept in the group ({listed(own)})" if own else "none: nothing can father the young"
    coming = f" from {_dates((sire.from_,))}" if sire.from_ else ""
    cost = f", {figure(sire.cost)} {told.holding.place.currency} a year" if sire.cost else ""
    return f"{sire.how}{coming}{cost}"


def _policy(told: HerdTold) -> str:
    group, plan = told.group, told.years.plan
    row = next(row for row in plan.arrays.row if row[at.PART] == at.DAM)
    leave = f"females leave {row[at.CULL_W] / at.WEEKS:.1f} years old at the yearly change"
    kept = f", {counted(group.keep_young, 'young female')} kept a year" if group.keep_young else ""
    after = RENEWALS["bought" if not group.born else group.renew]
    if not row[at.KEEPS]:
        after = RENEWALS["bought"]
    young = [one for one in plan.arrays.row if one[at.PART] == at.YOUNG] if group.born else []
    killed = f"; the other young go at {listed([f'{one[at.KILL_W]} weeks' for one in young])}" if young else ""
    return f"{leave}; followed by {after}{kept}{killed}"


def _milks(told: HerdTold) -> bool:
    return bool(told.years.plan.arrays.row[:, at.MILKED].any())


def _room(told: HerdTold) -> str:
    room = told.housing
    if room is None:
        return ""
    parts = [
        f"{figure(room.floor_m2)} m2 of floor" if room.floor_m2 else "",
        f"{figure(room.outdoor_m2)} m2 outdoors" if room.outdoor_m2 else "",
        f"{room.nest_boxes} {'nest' if room.nest_boxes == 1 else 'nests'}" if room.nest_boxes else "",
        f"{figure(room.perch_m)} m of perch" if room.perch_m else "",
    ]
    return f"{listed([part for part in parts if part])}, at its greatest number"


def heads_facts(told: HerdTold) -> Facts:
    """Each row at the starts of the drawn years."""
    facts = []
    for row in range(len(told.years.plan.rows)):
        one = at_starts(told.years, row)
        last = one.heads
        after = f"{last.median[-1]:.0f} ({last.low[-1]:.0f} to {last.high[-1]:.0f}) after {_years(told.count)}"
        if not one.target:
            most = int(told.years.heads_week[row].max())
            facts.append((row_name(told, row), f"{after}; at most {most} at a time."))
            continue
        near = float(one.near.mean())
        why = "; ".join(f"{reason} ({percent(share)})" for reason, share in list(one.because.items())[:2])
        within = (
            "always within a quarter of that"
            if near > NEAR_ALWAYS
            else f"within a quarter of that at {percent(near)} of the years' starts, else: {why}"
        )
        facts.append((row_name(told, row), f"{one.target} wanted; {after}; {within}."))
    return facts


def _years(count: int) -> str:
    return "1 year" if count == 1 else f"{count} years"


def dates_facts(told: HerdTold) -> Facts:
    """Turn-out and coming in, evenings on grass and in the yard, and the months with grass."""
    facts, count, walk = [], told.result.fodder, told.walk
    if count is not None:
        latest = f"the latest turn-out of ten years is {day_words(told, count.latest_day % DAYS_IN_YEAR)}"
        facts = [
            (
                "Out on grass" if walk is None else "Winter fodder is counted as if out",
                f"{day_words(told, first)} to {day_words(told, last)} this year; {latest}.",
            )
            for first, last in told.on_grass
        ]
    if walk is not None:
        facts += _walked(told, walk)
    grazed = [source.dm_kg for source in told.fed.sources if source.place]
    if grazed:
        months = np.flatnonzero(np.sum(grazed, axis=0) > 0)
        facts.append(("Grazes in", f"{_months(tuple(months), told)}."))
    return facts


def _walked(told: HerdTold, walk: Walk) -> Facts:
    """Evenings on grass and in the yard, and the longest time off grass, of the herd that the group goes with."""
    off = 0 if walk.away is None else (walk.away[1] - walk.away[0]) % DAYS_IN_YEAR
    longest = (
        f"; longest off grass from {day_words(told, walk.away[0])} to {day_words(told, walk.away[1])}"
        if walk.away is not None and off
        else ""
    )
    many = f"{counted(len(walk.stays), 'stay')}" if walk.stays else "no stay"
    cleared = [stay for stay in walk.leavings if told.name in stay.groups]
    evenings = sum(stay.last - stay.first for stay in cleared)
    on_cleared = [
        ("On cleared ground", f"{counted(evenings, 'evening')} in {counted(len(cleared), 'stay')}: {listed(sorted({plain(stay.plot) for stay in cleared}))}."),
    ]  # fmt: skip
    within = next(
        (one.followers_within_days for one in told.result.holding.round.values() if told.name in one.order), 0
    )
    follows = (
        [] if told.ahead is None else [("Follows", f"{plain(told.ahead.groups[0])}, within {counted(within, 'day')}.")]
    )
    return [
        *follows,
        ("On grass", f"{walk.grass_d.sum():.0f} evenings in {many}{longest}."),
        *(on_cleared if cleared else []),
        ("In the yard", f"{walk.yard_d.sum():.0f} evenings of the months that grow grass: no sward was ready."),
    ]


def _months(indices: tuple[int, ...], told: HerdTold) -> str:
    names = tuple(month.name for month in told.months)
    return "every month" if len(indices) == len(names) else month_runs(tuple(int(index) for index in indices), names)


def feed_facts(told: HerdTold) -> Facts:
    """What is eaten and how far it goes."""
    if not told.fed.sources:
        sugar = sum_by_year(told.years, "sugar")
        words = f"{range_words(sugar, 'kg')} of sugar a year" if sugar.high > 0 else "none in the drawn years"
        return [("Feed", "finds its own; nothing is fed from the larder."), ("Fed in poor years", f"{words}.")]
    fed, names = told.fed, lookup_of(told)
    most = [
        f"{percent(float(kg.sum()) / fed.dm_kg)} {names.name(good).lower()}"
        for good, kg in list(fed.by_good.items())[:MOST_FEEDS]
    ]
    facts = [
        ("Eats", f"{figure(fed.dm_kg)} kg of dry matter in the year: {listed(most)}."),
        ("Bought", f"{percent(fed.bought_dm_kg / fed.dm_kg)} of it ({figure(fed.bought_dm_kg)} kg)."),
    ]
    short = told.result.feed_short.get(told.name, np.zeros(12))
    hungry = tuple(int(index) for index in np.flatnonzero(short > HUNGRY))
    met = "met in every month" if not hungry else f"not met in {_months(hungry, told)}"
    facts.append(("Energy", f"{'met in no month' if len(hungry) == len(told.months) else met}."))
    lacking = []
    for name in NUTRIENTS[1:]:
        low = [
            index
            for index in range(12)
            if any(name in one.met and one.met[name][index] < 1.0 - TOLD for one in fed.classes)
        ]
        if low:
            lacking.append(f"{name} in {_months(tuple(low), told)}")
    facts.append(
        (
            "Lacks",
            f"{'; '.join(lacking)}."
            if lacking
            else "nothing of protein, lysine, calcium and phosphorus that the tables ask for.",
        )
    )
    energy = sum_by_year(told.years, "energy")
    facts.append(("Drawn years ask for", f"{range_words(energy, 'MJ')} a year ({figure(_asked(told))} MJ this year)."))
    return facts


def _asked(told: HerdTold) -> float:
    return float(sum(need.energy_mj.sum() for need in told.needs))


def product_facts(told: HerdTold) -> Facts:
    """Eggs by number; what the herd gives in the drawn years is on full feed."""
    tables, facts = told.years.tables, []
    layers = sum(tables.row("stock", need.klass).text("egg_good") in need.products for need in told.needs)
    for need in told.needs:
        good = tables.row("stock", need.klass).text("egg_good")
        if good in need.products and need.products[good].any():
            each_kg = tables.row("stock", need.klass).need("egg_weight_g") / G_PER_KG
            given = told.products_kg.get(good, need.products[good])
            low = int(np.argmin(given))
            facts.append(
                (
                    "Eggs" if layers < 2 else f"Eggs of {told_klass(told, need.klass)}",
                    f"{figure(float(given.sum()) / each_kg)} in the year, {figure(float(given[low]) / each_kg)} in {told.months[low].name}.",
                )
            )
    eggs = told.result.produce.eggs.get(told.name)
    if eggs is not None and eggs.by_size:
        sizes = [f"{percent(share)} {size}" for size, share in eggs.by_size.items() if share >= LEAST_SIZE]
        facts.append(("Eggs by size", f"{listed(sizes)}, by the sizes in which eggs are sold."))
    for klass, parts in told.result.produce.slaughter.get(told.name, {}).items():
        facts.append((f"Killed, {told_klass(told, klass)}", parted(parts)))
    drawn = products_by_year(told.years)
    if not told.products_kg and not drawn:
        facts.append(("Products", "none."))
    facts.append(("This year", "as far as the group is fed; drawn years are on full feed."))
    return facts


def told_klass(told: HerdTold, klass: str) -> str:
    """A class in words."""
    return lookup_of(told).klass(klass)


def parted(parts: SlaughterParts) -> str:
    """What the animals killed in the year came to, from live weight to what is left over."""
    named = (
        (parts.meat_kg, "meat"),
        (parts.bones_kg, "bones on the carcass"),
        (parts.organs_kg, "organs"),
        (parts.fat_kg, "fat"),
        (parts.skin_kg, "skin or feathers"),
        (parts.leavings_kg, "leavings"),
    )
    return f"{figure(parts.live_kg)} kg live gave {listed([f'{figure(kg)} kg of {name}' for kg, name in named if kg > 0.0])}."


def manure_facts(told: HerdTold) -> Facts:
    """Droppings and their nitrogen, and the water drunk."""
    manure, years = told.manure, told.years
    facts = []
    if manure.kg.any():
        drawn = sum_by_year(years, "manure")
        facts.append(
            ("Droppings", f"{figure(float(manure.kg.sum()))} kg fresh this year; drawn {range_words(drawn, 'kg')}.")
        )
        n_kg = sum_by_year(years, "manure_n").scaled(1.0 / G_PER_KG)
        facts.append(
            ("Their nitrogen", f"{figure(float(manure.n_kg.sum()))} kg this year; drawn {range_words(n_kg, 'kg')}.")
        )
    else:
        facts.append(("Droppings", "none that are collected."))
    water = sum_by_year(years, "water").scaled(1.0 / L_PER_M3)
    most = int(np.argmax(told.water_m3))
    if told.water_m3.any():
        peak = f"most in {told.months[most].name} ({figure(float(told.water_m3[most]))} m3)"
        words = f"{figure(float(told.water_m3.sum()))} m3 drunk this year, {peak}; drawn {range_words(water, 'm3')}."
        facts.append(("Water", words))
    return facts


def money_facts(told: HerdTold) -> Facts:
    """Live animals over the fence, and the feed that is bought for them."""
    names, currency, purse = lookup_of(told), told.holding.place.currency, told.purse
    facts = [
        (
            title(names.item(item)),
            f"{'pays' if values.sum() < 0 else 'brings'} {figure(abs(float(values.sum())))} {currency} this year.",
        )
        for item, values in purse.by_item.items()
    ]
    if not facts:
        facts.append(("Live animals", "none bought or sold this year."))
    spent, earned = money_by_year(told.years, at.SPENT), money_by_year(told.years, at.EARNED)
    facts.append(("Drawn years", f"pay {range_words(spent, currency)} a year for stock and sires."))
    if earned.high > 0:
        facts.append(("Drawn sales", f"bring {range_words(earned, currency)} a year."))
    facts.append(("Prices", "those of trades.csv; where it has none the tables' orders of magnitude, in euros."))
    lacking = dict.fromkeys(
        (*(names.item(item) for item in purse.unpriced), *(names.klass(klass) for klass in told.years.plan.unpriced))
    )
    if lacking:
        facts.append(("Without a price", f"{listed(list(lacking))}: counted as nothing."))
    return facts
