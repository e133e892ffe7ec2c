"""Findings about house and yard: room, nests and perches, straw, water for birds, heat in hutches, orders to shut birds in."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from yardland.findings import kept
from yardland.findings.cautions import CAUTION
from yardland.findings.context import Context, Rule, many
from yardland.larderyear.result import Finding

STRAW = ("straw_", "stover_")
LEAST_STRAW_KG = 50.0
"""Less is a few bales (our band)."""


def room(context: Context) -> Iterator[Finding]:
    """What to build: the room that each group asks for at its greatest number, in one list."""
    yard = {group: one for group, one in context.result.yard.items() if one.housing.floor_m2 > 0 and kept_in(context, group)}  # fmt: skip
    if not yard:
        return
    lines = []
    for group, one in yard.items():
        parts = [f"{one.housing.floor_m2:.1f} m2 of floor", f"{one.housing.outdoor_m2:.0f} m2 outside"]
        if one.housing.nest_boxes:
            parts.append(f"{one.housing.nest_boxes} nest boxes")
        if one.housing.perch_m > 0:
            parts.append(f"{one.housing.perch_m:.1f} m of perch")
        if kept.POULTRY & set(kept.species_heads(context, group)):
            holes = one.housing.floor_m2 * kept.figure(context, "pop_hole_m_100m2") / 100.0
            parts.append(f"pop-holes of {max(holes, 0.3):.1f} m in all")
        lines.append(f"{group.replace('_', ' ')}: {', '.join(parts)}")
    first = next(iter(yard))
    klass = next(iter(kept.classes(context, first)))
    yield Finding(
        grade="note",
        title="Room that the stock ask for",
        what=(
            "; ".join(lines)
            + f". Law for layers in barns: at most {kept.figure(context, 'layers_m2'):g} on a square metre, a nest to {kept.figure(context, 'birds_per_nest'):g}, "
            f"{kept.figure(context, 'perch_cm'):g} cm of perch each; organic table ducks at most {kept.figure(context, 'duck_kg_m2'):g} kg on a square metre. Perches {kept.figure(context, 'perch_apart_cm'):g} cm apart and 20 cm from the wall, a third of the floor littered."
        ),
        number=f"{sum(one.housing.floor_m2 for one in yard.values()):.0f} m2 of floor under roofs",
        cause="The greatest number of each class that stands on one day of the year, by the table's space figures.",
        remedy="Build to it before the stock come; more room means drier litter. Organic and local law may ask for more.",
        source=f"{kept.cited(context, f'stock.{klass}.floor_area_m2')}; {kept.cited(context, 'pop_hole_m_100m2')}; {kept.cited(context, 'perch_apart_cm')}",
        subject="housing",
    )


def kept_in(context: Context, group: str) -> bool:
    """Whether a group lives in a house of its own: all but bees."""
    return set(kept.species_heads(context, group)) != {"honeybee"}


def outdoors(context: Context) -> Iterator[Finding]:
    """Homes that are smaller than the ground out of doors that their groups ask for, groups on rounds apart."""
    homes: dict[str, list[str]] = {}
    for group in context.result.yard:
        home = context.result.holding.group[group].home
        if home in context.result.holding.plot and kept_in(context, group) and not kept.rotates(context, group):
            homes.setdefault(home, []).append(group)
    for home, groups in homes.items():
        asked = sum(context.result.yard[group].housing.outdoor_m2 for group in groups)
        area = context.result.holding.plot[home].area_m2
        if asked <= area:
            continue
        klass = next(iter(kept.classes(context, groups[0])))
        yield Finding(
            grade="tight",
            title=f"Too little ground outside for {kept.spelled(groups)} at {kept.spelled([home])}",
            what="On less ground than this the sod dies and the yard turns to mud.",
            number=f"{asked:.0f} m2 asked, {area:.0f} m2 there, buildings and all",
            cause="All of them have this plot as their home, and no round.",
            remedy="Give them another plot or a round, or keep fewer.",
            source=kept.cited(context, f"stock.{klass}.outdoor_area_m2"),
            subject=groups[0],
        )


def bedding(context: Context) -> Iterator[Finding]:
    """Straw for bedding against straw that is made here and not fed."""
    result = context.result
    weeks = sum((one.straw_kg_week for one in result.yard.values()), np.zeros(52))
    needed = float(weeks.sum())
    made = {item.good: 0.0 for item in result.production.gathered if item.good.startswith(STRAW)}
    for item in result.production.gathered:
        if item.good in made:
            made[item.good] += float(item.fresh_kg.sum())
    fed = sum(
        float(kg.sum()) for feeds in result.feed_kg.values() for good, kg in feeds.items() if good.startswith(STRAW)
    )
    missing = needed - max(0.0, sum(made.values()) - fed)
    if missing < LEAST_STRAW_KG:
        return
    bought = [trade.item for trade in result.holding.trades if trade.do == "buy" and trade.item.startswith(STRAW)]
    worst = max(result.yard, key=lambda group: float(result.yard[group].straw_kg_week.sum()))
    week = int(np.argmax(weeks))
    month = next(month for month in reversed(result.months) if month.first_day <= week * 7)
    klass = next(iter(kept.classes(context, worst)))
    age = "young" if "grower" in context.tables.row("stock", klass).text("role") else "adult"
    key = f"bedding.{context.tables.row('stock', klass).text('species')}_{age}.straw_kg_d"
    yield Finding(
        grade="note" if bought else "tight",
        title=f"Straw for bedding: {missing:,.0f} kg are not grown here",
        what=f"Most in a week: {weeks[week]:.0f} kg, in {month.name}; most of it for {worst.replace('_', ' ')}.",
        number=f"{needed:,.0f} kg needed, {sum(made.values()):,.0f} kg made, {fed:,.0f} kg of it fed",
        cause="Heads under a roof, week by week; straw of the plan's own grain, less what is eaten.",
        remedy=(
            f"Buy it off the field ({kept.spelled(bought)} stands in trades.csv)."
            if bought
            else "Buy it off the field (a line `buy` in trades.csv), feed hay in place of straw, or bed on bracken, leaves or chips."
        ),
        source=kept.cited(context, key),
        subject="bedding",
    )


def water_birds(context: Context) -> Iterator[Finding]:
    """Ducks and geese without open water in the plan."""
    holding = context.result.holding
    groups = kept.groups_of(context, kept.WATER_BIRDS)
    open_water = [name for name, plot in holding.plot.items() if plot.use == "pond"]
    open_water += [name for name, source in holding.water.source.items() if source.kind in ("pond", "stream")]
    if not groups:
        return
    deep = kept.figure(context, "water_bird_head_cm")
    yield Finding(
        grade="note" if open_water else "tight",
        title=f"{kept.spelled(groups).capitalize()} want water for the head at least",
        what=(
            f"They keep eyes and feathers clean in it. Open water in the plan: {kept.spelled(open_water)}; fence its banks and rest them."
            if open_water
            else "They keep eyes and feathers clean in it, and the plan has no pond or stream. Organic rules ask for one when the weather allows."
        ),
        number=f"{deep:g} cm deep",
        cause="Water birds in the plan; " + ("open water is there." if open_water else "no plot or source of open water."),
        remedy="A tub that they can step into and that is emptied on the garden every day or two, on gravel and away from the house."
        if not open_water
        else "Let them to it in turns, and keep a tub by the house.",
        source=f"{cited_rule(context, 'water_birds_head')}; depth: {kept.cited(context, 'water_bird_head_cm')}",
        subject=groups[0],
    )  # fmt: skip


def cited_rule(context: Context, rule: str) -> str:
    """Citation and standing of a row of the rules table that has words alone."""
    row = context.tables.row("rules", rule)
    return f"{context.tables.source(row.text('src')).citation} ({row.text('st')})"


def mixed_house(context: Context) -> Iterator[Finding]:
    """Hens and water birds with one home: one roof, two sleeping places."""
    homes: dict[str, dict[str, list[str]]] = {}
    for group in context.result.holding.group:
        species = set(kept.species_heads(context, group))
        kinds = {"hens": "chicken" in species, "ducks": bool(species & {"duck", "muscovy"})}
        for kind, there in kinds.items():
            if there:
                homes.setdefault(context.result.holding.group[group].home, {}).setdefault(kind, []).append(group)
    for home, found in homes.items():
        if len(found) < 2:
            continue
        ducks = found["ducks"][0]
        heads = sum(
            kept.species_heads(context, group).get(name, 0) for group in found["ducks"] for name in ("duck", "muscovy")
        )
        yield Finding(
            grade="note",
            title=f"Hens and ducks at {kept.spelled([home])} sleep apart",
            what="Ducks wet the litter and lie on the floor under the hens' droppings; hens want dry perches. One roof will do, with a wall in it.",
            number=f"{heads} ducks",
            cause=f"{kept.spelled([*found['hens'], *dict.fromkeys(found['ducks'])])} have one home.",
            remedy="A floor room with a low wide door for the ducks and a perch room with its pop-hole for the hens; drinkers outside, on a grid; drakes apart from hens.",
            source="practice of keepers of mixed flocks (common practice); floor: "
            + kept.cited(context, f"stock.{next(iter(kept.classes(context, ducks)))}.floor_area_m2"),
            subject=ducks,
        )  # fmt: skip


def hutch_heat(context: Context) -> Iterator[Finding]:
    """Months whose afternoons are hot enough to kill rabbits in hutches."""
    groups = kept.groups_of(context, frozenset({"rabbit"}))
    hot = kept.figure(context, "hutch_heat_c")
    # a mean afternoon this near to the limit has afternoons over it
    highs = context.result.weather_months["tmax_c"]
    months = [index for index in range(12) if highs[index] > hot - NEAR_C]
    if not groups or not months:
        return
    worst = int(np.argmax(highs))
    does = sum(kept.species_heads(context, group).get("rabbit", 0) for group in groups)
    yield Finding(
        grade="tight" if highs[worst] > hot else "note",
        title=f"Heat in the hutches in {context.month_names(months)}",
        what="Rabbits sweat through their ears alone; over this in a hutch they die, does in kindle first, and bucks are barren for weeks.",
        number=f"{highs[worst]:.0f} C on the mean afternoon of {context.result.months[worst].name}, {hot:g} C kills; {does} rabbits of all ages",
        cause="The year's weather; a hutch under a tin roof is hotter than the shade.",
        remedy="Shade, a draught, wet sacks, frozen bottles; no litters due in these months; doe with litter in 0.56 m2 at least.",
        source=kept.cited(context, "hutch_heat_c"),
        subject=groups[0],
    )


NEAR_C = 3.0
"""How far hot afternoons of a month lie over its mean afternoon (our band)."""


def housing_order(context: Context) -> Iterator[Finding]:
    """What it takes to shut free-range birds in for as long as an order may: feed in place of the range, and room."""
    result = context.result
    weeks = context.tables.row("rules", "housing_order_weeks").need("number")
    groups = [group for group in kept.groups_of(context, kept.POULTRY) if group in result.yard]
    if not groups:
        return
    grazed = {
        group: max(year_round(kg) for kg in [*[kg for good, kg in result.feed_kg.get(group, {}).items() if good.startswith("grazing_")], np.zeros(12)])
        for group in groups
    }  # fmt: skip
    floor = sum(result.yard[group].housing.floor_m2 for group in groups)
    worst = max(grazed, key=lambda group: grazed[group])
    birds = sum(heads for group in groups for name, heads in kept.species_heads(context, group).items() if name in kept.POULTRY)  # fmt: skip
    yield Finding(
        grade="note",
        title=f"Birds may have to stay in for {weeks:g} weeks",
        what=(
            "Bird flu shuts free-range birds in for months."
            + (
                f" {worst.replace('_', ' ').capitalize()} then lack up to {grazed[worst]:,.0f} kg of grass, fresh."
                if grazed[worst] > 0
                else ""
            )
        ),
        number=f"{weeks:g} weeks; {many(birds, 'bird')} in {floor:.0f} m2 and a netted run",
        cause="Poultry that ranges; the order of the authority comes without warning, mostly while wild geese are about.",
        remedy="Plan a netted run or a shed with litter, greens to peck at, and feed for so long; fewer birds in the risky months.",
        source=context.rule_source("housing_order_weeks"),
        subject=f"{CAUTION}.housing_order",
    )


def year_round(kg: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> float:
    """The most that comes in four months on end of a year that recurs, kg."""
    twice = np.concatenate([kg, kg])
    return float(max(twice[start : start + math.ceil(16 * 7 / 30.4)].sum() for start in range(12)))


RULES: tuple[Rule, ...] = (room, outdoors, bedding, water_birds, mixed_house, hutch_heat, housing_order)
