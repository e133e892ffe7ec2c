"""Findings about the plots: two things at once, manure and its nitrogen, crops lost, thin or never sown, rotation."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from yardland.accounts.ground_flows import FARMED
from yardland.findings.context import Context, Rule, upper_first
from yardland.larderyear.result import Finding, PlantingYear
from yardland.ledger.units import M2_PER_HA
from yardland.season.dressings import HEAPED

LIMITS = {
    "water": "water ran short in its root zone",
    "temperature": "it was too cold or too hot to grow",
    "light": "it had too little light",
    "season": "its season was cut short",
    "frost": "frost took part of it",
    "nitrogen": "its ground gave it too little nitrogen",
    "heat": "the heat of its flowering days took part of the set",
    "standing": "part of it was lost while it stood ripe",
    "hazards": "hail, pests or disease took part of it",
}
REMEDIES = {
    "water": "Water or mulch it, or put it on ground that holds more.",
    "temperature": "Sow it so that it grows in better warmth, or choose a kind that fits the place.",
    "light": "Sow or plant it earlier, so that it has the long days, or give it open ground.",
    "season": "Sow earlier, start it under cover, or choose a quicker kind.",
    "frost": "Cover it, sow it later, or choose a hardier kind.",
    "nitrogen": "Give it compost or manure, or let it follow peas, beans or a clover ley.",
    "heat": "Sow it so that it flowers before or after the hot weeks, or choose a kind that sets in heat.",
    "standing": "Gather it as soon as it is ripe, or sow less of it at a time; a quicker kind may ripen in drier weeks.",
    "hazards": "Look at what struck: nets, healthy seed, resistant kinds and a wider rotation lessen it.",
}
NAMED_BELOW = 0.8
LEAST_GIVEN = 0.9
"""Under this share of what is asked the heap is called too small (our band)."""
LEAST_LEFT_KG = 100.0
"""Less is a barrowful or two (our band)."""


def limit_words(planting: PlantingYear) -> str:
    """The factors that left less than four fifths, gravest first, in words."""
    named = sorted((share, name) for name, share in planting.factors.items() if share < NAMED_BELOW)
    return "; ".join(f"{LIMITS.get(name, name)} ({100 * share:.0f} % left)" for share, name in named)


def remedy_words(planting: PlantingYear) -> str:
    """What helps against the gravest limit; that it needs more room where no single one is grave."""
    share, name = min(((share, name) for name, share in planting.factors.items()), default=(1.0, ""))
    if share >= NAMED_BELOW or name not in REMEDIES:
        return "Give it more room, or count on less of it."
    return REMEDIES[name]


def two_at_once(context: Context) -> Iterator[Finding]:
    """Plots whose plantings stand on more than the whole of it on some day."""
    result = context.result
    plots = {planting.plot for planting in result.plantings}
    for plot in sorted(plots):
        taken = np.zeros(365)
        on_day: list[tuple[PlantingYear, int, int]] = []
        for planting in result.plantings:
            if planting.plot == plot and planting.days is not None:
                first, last = max(0, planting.days[0]), min(364, planting.days[1])
                taken[first : last + 1] += planting.share
                on_day.append((planting, first, last))
        if taken.max(initial=0.0) <= 1.0 + 1e-6:
            continue
        worst = int(np.argmax(taken))
        crops = sorted({context.crop(planting.crop) for planting, first, last in on_day if first <= worst <= last})
        month = next(month for month in reversed(result.months) if month.first_day <= worst)
        yield Finding(
            grade="danger" if taken[worst] > 1.5 else "short",
            title=f"{plot} is asked to hold more than it has room for",
            what=f"{', '.join(crops)} stand on it together in {month.name}.",
            number=f"{100 * taken[worst]:.0f} % of its area taken",
            cause="Shares and sowing times of these plantings overlap.",
            remedy="Lower the shares, move a sowing, or put one crop behind the other with `after`.",
            source="plantings.csv of the plan",
            subject=plot,
        )


def raw_manure(context: Context) -> Iterator[Finding]:
    """Days from raw manure on a strip to each food harvested from it, against the rule of the plan."""
    result = context.result
    rule = result.holding.rules.raw_manure_to_harvest_days
    spread: dict[str, int] = {}
    dated = [planting for planting in result.plantings if planting.days is not None]
    for planting in sorted(dated, key=lambda item: item.days or (0, 0)):
        first, last = planting.days or (0, 0)
        if planting.dressing == "raw manure":
            spread[planting.strip] = first
        if planting.strip not in spread or planting.status != "gathered":
            continue
        need = rule.touching_soil if planting.touches_soil else rule.other
        waited = (
            last - spread[planting.strip]
            if planting.first_gathered is None
            else first_gather_day(planting) - spread[planting.strip]
        )
        if waited < need:
            yield Finding(
                grade="danger",
                title=f"Raw manure {waited} days before {context.crop(planting.crop)} is gathered in {planting.plot}",
                what="Fresh manure carries germs that live for months in soil; food from this strip could make people ill.",
                number=f"{waited} days, the rule asks {need:.0f}",
                cause=f"Raw manure goes on as the bed of {context.crop(planting.crop)} in {planting.plot} is made.",
                remedy="Spread it the autumn before, compost it hot first, or grow a crop there that is cooked or not eaten. Local code may be stricter.",
                source=f"{rule.why} (published); rules.raw_manure_to_harvest_days of the plan",
                subject=planting.planting,
            )


def nitrogen_from_manure(context: Context) -> Iterator[Finding]:
    """Nitrogen of livestock manure on a hectare and year against the published limit: of the holding, and of each plot.

    Of the holding: what is dropped, spread and still on the heap; nitrogen that left house and heap as gas is not in it.
    """
    result = context.result
    farmed_ha = sum(plot.area_m2 for plot in result.holding.plot.values() if plot.use in FARMED) / M2_PER_HA
    if farmed_ha <= 0 or result.heap.excreted_n_kg <= 0:
        return
    limit = context.tables.row("rules", "nitrogen_from_manure").need("number")
    heap = result.heap
    of_heap_kg = (heap.spread_n_kg + heap.left_n_kg) * heap.manure_n_share
    to_land_kg = heap.dropped_n_kg + of_heap_kg
    if to_land_kg / farmed_ha > limit:
        yield Finding(
            grade="rule",
            title="More manure than the land may take",
            what="Dung of the heap and droppings out of doors hold more nitrogen than the published limit for a hectare.",
            number=f"{to_land_kg / farmed_ha:,.0f} kg N/ha a year, the limit is {limit:.0f}",
            cause=(
                f"{heap.dropped_n_kg:,.0f} kg of nitrogen dropped out of doors and {of_heap_kg:,.0f} kg "
                f"from under the roofs, on {farmed_ha:.2f} ha of farmed land."
            ),
            remedy="Keep fewer heads, give manure away, or farm more land; ask the local authority which limit holds for you.",
            source=context.rule_source("nitrogen_from_manure"),
            subject="manure",
        )
    for plot, n_kg_ha in manure_n_kg_ha(context).items():
        if n_kg_ha > limit:
            yield Finding(
                grade="tight",
                title=f"{upper_first(plot.replace('_', ' '))} is given more manure than a hectare may take",
                what="The limit is counted over the whole holding; a plot over it leaks nitrate all the same.",
                number=f"{n_kg_ha:,.0f} kg N/ha a year, the limit is {limit:.0f}",
                cause="Manure and compost spread on it, and droppings of animals that walk it.",
                remedy="Spread less on it and more elsewhere, or let the animals walk more ground.",
                source=context.rule_source("nitrogen_from_manure"),
                subject=plot,
            )


def manure_n_kg_ha(context: Context) -> dict[str, float]:
    """Farmed plot -> nitrogen of livestock manure in the year, spread and dropped, kg a hectare of the whole plot."""
    result = context.result
    area_m2 = {planting.planting: planting.area_m2 for planting in result.plantings}
    of_stock = result.heap.manure_n_share
    total: dict[str, float] = {}
    for item in result.droppings:
        total[item.plot] = total.get(item.plot, 0.0) + float(item.n_kg_ha.sum())
    for dressing in result.heap.dressings:
        if dressing.kind in HEAPED and dressing.planting in area_m2:
            share = area_m2[dressing.planting] / result.holding.plot[dressing.plot].area_m2
            total[dressing.plot] = total.get(dressing.plot, 0.0) + dressing.n_total_kg_ha * share * of_stock
    return {plot: kg for plot, kg in total.items() if result.holding.plot[plot].use in FARMED}


def the_heap(context: Context) -> Iterator[Finding]:
    """Manure that nobody spreads, and a heap that is too small for what the plan asks of it."""
    heap = context.result.heap
    if heap.given_share < LEAST_GIVEN:
        yield Finding(
            grade="tight",
            title="The heap is smaller than the plan asks",
            what="Every planting that asks for manure or compost gets the same share of its rate.",
            number=f"{100 * heap.given_share:.0f} % of {heap.asked_kg:,.0f} kg",
            cause=f"{heap.collected_kg:,.0f} kg come to it in the year before it shrinks: {heap_words(context)}.",
            remedy="Ask for less, keep it for the hungriest crops, or buy compost (`bought compost` in the dressing column).",
            source="table manuring; manure by class of stock in table stock; dressing column of plantings.csv",
            subject="manure",
        )
    elif heap.left_kg > LEAST_LEFT_KG and heap.left_kg > heap.asked_kg:
        yield Finding(
            grade="note",
            title="Most of the manure stays on the heap",
            what="It feeds no crop there, and loses nitrogen to air and rain.",
            number=f"{heap.left_kg:,.0f} kg with {heap.left_n_kg:,.0f} kg of nitrogen",
            cause=f"The plantings ask for {heap.asked_kg:,.0f} kg.",
            remedy="Give it to more plantings (dressing column of plantings.csv), first to those that eat most; or pass it on.",
            source="table manuring; manure by class of stock in table stock",
            subject="manure",
        )


def heap_words(context: Context) -> str:
    """What the heap is made of, in words."""
    heap = context.result.heap
    parts = ["droppings under a roof"] if heap.excreted_n_kg > 0.0 else []
    parts += [f"{heap.bedding_kg:,.0f} kg of bedding"] if heap.bedding_kg >= 1.0 else []
    parts += [f"{heap.kitchen_kg:,.0f} kg of kitchen leavings"] if heap.kitchen_kg >= 1.0 else []
    return ", ".join(parts) or "nothing"


def heap_mix(context: Context) -> Iterator[Finding]:
    """A heap too rich in nitrogen, or too wet, to compost without loss and smell, where anybody asks for compost."""
    heap, tables = context.result.heap, context.tables
    least, most = (tables.row("manuring", f"heap_cn_{end}").need("value") for end in ("least", "most"))
    wettest = tables.row("manuring", "heap_moisture_most").need("value")
    asked = any(item.kind == "compost" for item in heap.dressings)
    if not asked or heap.cn <= 0.0 or (least <= heap.cn <= most and heap.moisture <= wettest):
        return
    poor = heap.cn > most
    what = "It heats slowly and takes years." if poor else "It loses much of its nitrogen to the air, and smells."
    straw = (
        f"Lay {heap.balance_straw_kg:,.0f} kg of straw more on it in the year, or as much in dry leaves"
        if heap.balance_straw_kg > 0
        else "Lay dry straw or leaves between"
    )
    yield Finding(
        grade="note",
        title=f"The heap holds {heap.cn:.0f} of carbon to one of nitrogen, and {100 * heap.moisture:.0f} % water",
        what=what if not least <= heap.cn <= most else "So wet it goes without air, and smells.",
        number=f"{least:.0f} to {most:.0f} of carbon to one of nitrogen, at most {100 * wettest:.0f} % water",
        cause=f"What is laid on it: {heap_words(context)}.",
        remedy="Lay droppings and kitchen leavings on it." if poor else f"{straw}; cover it against the rain.",
        source=f"{tables.figure('manuring.heap_cn_least.value').source} (published)",
        subject="heap",
    )


def first_gather_day(planting: PlantingYear) -> int:
    """First day of gathering, counted from the first day of the larder year."""
    return planting.gather_day if planting.gather_day is not None else (planting.days or (0, 0))[1]


def failed(context: Context) -> Iterator[Finding]:
    """Plantings that were lost or could not be sown."""
    for planting in context.result.plantings:
        if planting.status == "planned":
            yield Finding(
                grade="short",
                title=f"{upper_first(context.crop(planting.crop))} in {planting.plot} is never sown",
                what="Its window closed before the ground, the warmth or the crop before it allowed.",
                number="0 kg",
                cause=planting.reason or "no day in the window was fit",
                remedy="Widen the window, choose an earlier crop before it, or leave it out.",
                source="sowing rule of the plan and the crops table",
                subject=planting.planting,
            )
        elif planting.status == "lost":
            yield Finding(
                grade="short",
                title=f"{upper_first(context.crop(planting.crop))} in {planting.plot} is lost",
                what=f"Sown {planting.sown}, it gives nothing worth gathering.",
                number="0 kg",
                cause=limit_words(planting) or planting.reason,
                remedy="Sow earlier, choose a quicker or hardier kind, cover it, or leave it out.",
                source="crops table; daily simulation on the year's weather",
                subject=planting.planting,
            )


def thin_yields(context: Context) -> Iterator[Finding]:
    """Crops that yield under the table's low figure; sowings of one crop in one plot are told together."""
    sown: dict[tuple[str, str], list[PlantingYear]] = {}
    for planting in context.result.plantings:
        if planting.status == "gathered":
            sown.setdefault((planting.plot, planting.crop), []).append(planting)
    for (plot, crop), plantings in sown.items():
        low = [planting for planting in plantings if planting.yield_t_ha < planting.table_low_t_ha]
        if low:
            yield _thin(context, plot, crop, low, len(plantings))


def _thin(context: Context, plot: str, crop: str, low: list[PlantingYear], sowings: int) -> Finding:
    worst = min(low, key=lambda planting: planting.yield_t_ha)
    among = f" in {len(low)} of {sowings} sowings" if sowings > 1 else ""
    least = "At the least " if len(low) > 1 else ""
    return Finding(
        grade="tight",
        title=f"{upper_first(context.crop(crop))} in {plot} yields under the handbook's low figure{among}",
        what=f"{least}{worst.yield_t_ha:.1f} t/ha against {worst.table_low_t_ha:g}-{worst.table_high_t_ha:g}.",
        number=f"{sum(planting.harvest_kg for planting in low):,.0f} kg gathered",
        cause=upper_first(limit_words(worst) or "several small limits together") + ".",
        remedy=remedy_words(worst),
        source="crops table, typical yields",
        subject=worst.planting,
    )


def held_yields(context: Context) -> Iterator[Finding]:
    """Yields that the model would have put past the handbook's high figure, and that are held there."""
    for planting in context.result.plantings:
        if planting.held and planting.status == "gathered":
            yield Finding(
                grade="note",
                title=f"{upper_first(context.crop(planting.crop))} in {planting.plot} is held at the handbook's high figure",
                what="Light and warmth alone would have made more than was ever gathered; the excess is not counted.",
                number=f"{planting.yield_t_ha:.1f} t/ha",
                cause=planting.reason.rpartition("; ")[2],
                remedy="Put your own yield into own.csv if you know better.",
                source=f"crops.{planting.crop}.typical_yield_high_t_ha",
                subject=planting.planting,
            )


def family_gap(context: Context) -> Iterator[Finding]:
    """The same plant family coming back to a plot sooner than the plan's own gap."""
    holding, tables = context.result.holding, context.tables
    gaps = holding.rules.family_gap_years
    cycle = max((row.year for row in holding.plantings if isinstance(row.year, int)), default=0)
    if not cycle:
        return
    years: dict[tuple[str, str], set[int]] = {}
    for row in holding.plantings:
        if isinstance(row.year, int):
            family = tables.row("crops", row.crop).text("family")
            years.setdefault((row.plot, family), set()).add(row.year)
    for (plot, family), held in sorted(years.items()):
        gap = gaps.get(family, gaps.get("default", 0.0))
        turns = sorted(held)
        rests = [(later - earlier) for earlier, later in zip(turns, [*turns[1:], turns[0] + cycle], strict=True)]
        shortest = min(rests)
        if shortest < gap:
            yield Finding(
                grade="note",
                title=f"{family} comes back to {plot} after {shortest} year{'s' if shortest > 1 else ''}",
                what="Soil-borne pests and diseases of a family build up when it returns too soon.",
                number=f"{shortest} of {gap:g} years",
                cause=f"The rotation of {plot} is {cycle} years long.",
                remedy="Lengthen the rotation or change places with another plot.",
                source="rules.family_gap_years of the plan; common practice",
                subject=plot,
            )


RULES: tuple[Rule, ...] = (
    raw_manure,
    nitrogen_from_manure,
    the_heap,
    heap_mix,
    two_at_once,
    failed,
    thin_yields,
    held_yields,
    family_gap,
)
