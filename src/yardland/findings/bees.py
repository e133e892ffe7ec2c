"""Findings about bees: what flowers within the fence, stores for winter, losses, and the work of the year by sun and warmth."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import numpy as np
import numpy.typing as npt

from yardland.findings import kept
from yardland.findings.cautions import CAUTION
from yardland.findings.context import Context, Rule, many
from yardland.larderyear.result import Finding
from yardland.ledger.months import DAYS_IN_YEAR, month_of_day
from yardland.ledger.units import M2_PER_HA

F64 = npt.NDArray[np.float64]
LOOK_C = 14.0
"""Daily maximum at which a hive may be opened (table bee_year says so in words)."""
SYRUP_C = 10.0
EQUATORIAL_H = 1.5
"""Spread of daylength over the year under which seasons by the sun are not told."""
THIN = 0.05
"""Share of a month's need under which the holding's own flowers count as none (our band)."""


def colonies(context: Context) -> int:
    """Colonies of the plan, the most of the year."""
    return sum(kept.species_heads(context, group).get("honeybee", 0) for group in context.result.holding.group)


def first_hives(context: Context) -> str:
    """The first group of bees."""
    return kept.groups_of(context, frozenset({"honeybee"}))[0]


def flight(context: Context) -> npt.NDArray[np.bool_]:
    """Months whose mean afternoon lets bees fly, [12]."""
    return np.asarray(context.result.weather_months["tmax_c"] >= kept.figure(context, "bee_flight_c"))


def spread(context: Context, kg: float, first: int, last: int) -> F64:
    """Kilograms spread evenly over days of the larder year (which recurs), by month, [12]."""
    out = np.zeros(12)
    month = month_of_day(context.result.months)
    days = range(first, max(first, last) + 1)
    for day in days:
        out[month[day % DAYS_IN_YEAR]] += kg / len(days)
    return out


def day_number(context: Context, iso: str) -> int:
    """Day of the larder year (0-364) of a date."""
    when = date.fromisoformat(iso)
    month = next(month for month in context.result.months if month.month == when.month)
    return month.first_day + min(when.day, month.days) - 1


def own_flowers_kg(context: Context) -> dict[str, F64]:
    """Plant -> honey that bees could make of the holding's own flowers, kg by larder month, [12].

    Area x the table's honey of a hectare in full bloom, over the days of bloom, in months in which bees fly: an upper
    end, for rain, wild bees and the neighbours' hives take their part.
    """
    result, tables = context.result, context.tables
    found: dict[str, F64] = {}

    def add(name: str, honey: F64) -> None:
        found[name] = found.get(name, np.zeros(12)) + honey * flight(context)

    for planting in result.plantings:
        if tables.has("bee_plants", planting.crop) and planting.days is not None:
            row = tables.row("bee_plants", planting.crop)
            start, length = planting.days[0], (planting.gather_day or planting.days[1]) - planting.days[0]
            first, last = start + round(row.need("bloom_from") * length), start + round(row.need("bloom_to") * length)
            kg = row.need("honey_kg_ha") * planting.area_m2 / M2_PER_HA
            add(context.crop(planting.crop), spread(context, kg, first, last))
    for tree in result.trees:
        if tables.has("bee_plants", tree.species) and tree.full_bloom is not None:
            row, wide = tables.row("bee_plants", tree.species), tables.row("trees", tree.species)
            area = tree.count * wide.need("spacing_in_row_m") * wide.need("spacing_between_rows_m")
            kg = row.need("honey_kg_ha") * area * min(1.0, tree.factors.get("age", 1.0)) / M2_PER_HA
            middle, half = day_number(context, tree.full_bloom), round(row.need("bloom_days") / 2.0)
            add(wide.text("common_name").partition(" (")[0].lower(), spread(context, kg, middle - half, middle + half))
    blooms = (kept.light_h(context) >= kept.figure(context, "clover_bloom_h")) & (
        kept.tmean_c(context) >= kept.figure(context, "clover_bloom_c")
    )
    for plot in result.holding.plot.values():
        kind = plot.sward.kind if plot.sward else "permanent pasture"
        if plot.use == "grass" and tables.has("bee_plants", kind) and blooms.any():
            kg = tables.row("bee_plants", kind).need("honey_kg_ha") * plot.area_m2 / M2_PER_HA
            add(f"clovers of {kind}", kg * blooms / blooms.sum())
    return found


def need_kg(context: Context) -> F64:
    """What the colonies use by month of flight, kg honey, [12]: the year's use less the winter's stores, spread evenly."""
    fly = flight(context)
    using = colonies(context) * max(0.0, kept.figure(context, "bee_use_kg_y") - winter_stores(context)[0])
    return fly * using / max(1, int(fly.sum()))


def forage(context: Context) -> Iterator[Finding]:
    """The holding's own flowers against what its colonies use, and the months in which it has none."""
    count = colonies(context)
    if not count:
        return
    own = own_flowers_kg(context)
    by_month = sum(own.values(), np.zeros(12))
    need = need_kg(context)
    thin = [index for index in range(12) if need[index] > 0 and by_month[index] < THIN * need[index]]
    best = sorted(own, key=lambda name: -float(own[name].sum()))[:3]
    most = context.tables.figure("keeping.bee_site_most.number")
    range_m = kept.figure(context, "bee_range_m")
    yield Finding(
        grade="tight" if count > (most.high or most.value) else "note",
        title=f"Own flowers feed {100 * min(1.0, by_month.sum() / max(need.sum(), 1.0)):.0f} % of the bees",
        what=(
            f"Within {range_m / 1000:g} km lie {np.pi * range_m**2 / M2_PER_HA:.0f} ha: no holding is enough, the neighbours' land decides."
            + (f" Most here from {', '.join(best)}." if best else "")
            + (f" Nothing of your own flowers in {context.month_names(thin)}, when bees fly." if thin else "")
        ),
        number=f"{by_month.sum():,.0f} kg of honey at most from own flowers, {need.sum():,.0f} kg used in the months of flight by {many(count, 'colony').replace('colonys', 'colonies')}",
        cause=f"Crops, trees and swards of the plan in their bloom; about {most.value:g} colonies on a site do not spoil each other's crop.",
        remedy="Fill the gaps with willow and ivy in the hedge, a strip of phacelia or buckwheat sown for the thin weeks, clover cut late; spray nothing in bloom.",
        source=f"table bee_plants (lists of honey plants, from memory; buckwheat published); {kept.cited(context, 'bee_use_kg_y')}; {kept.cited(context, 'bee_site_most')}",
        subject=first_hives(context),
    )  # fmt: skip


def winter_stores(context: Context) -> tuple[float, str]:
    """Stores that a colony goes into winter with, kg, and the row they come from: by the coldest month's afternoon."""
    coldest = float(context.result.weather_months["tmax_c"].min())
    if coldest >= kept.figure(context, "bee_mild_c"):
        key = "bee_winter_mild_kg"
    elif coldest >= kept.figure(context, "bee_cold_c"):
        key = "bee_winter_cool_kg"
    else:
        key = "bee_winter_cold_kg"
    return kept.figure(context, key), key


def winter(context: Context) -> Iterator[Finding]:
    """Honey that stays on the hives over winter, and the sugar if a year gives none."""
    count = colonies(context)
    if not count:
        return
    stores, key = winter_stores(context)
    sugar = stores / kept.figure(context, "bee_stores_kg_kg_sugar")
    taken = sum(
        float(kg.sum()) for products in context.result.products_kg.values() for good, kg in products.items() if good == "honey"
    )  # fmt: skip
    none = context.tables.figure("keeping.bee_no_honey_pct.number")
    coldest = int(np.argmin(context.result.weather_months["tmax_c"]))
    yield Finding(
        grade="note",
        title=f"Leave {stores:g} kg of stores on each hive before winter",
        what=(
            f"The {taken:,.0f} kg of honey counted in the year are what lies over that. In a middling year {none.value:g} % of "
            f"keepers take none, in a bad one {none.high or none.value:g}: then feed, and take nothing."
        ),
        number=f"{stores * count:,.0f} kg on the hives; without a crop {sugar * count:,.0f} kg of sugar",
        cause=f"Afternoons of {context.result.weather_months['tmax_c'][coldest]:.0f} C in {context.result.months[coldest].name}, the coldest month.",
        remedy="Heft the hives as the last flowers go; thick syrup while it is over 10 C, fondant later.",
        source=f"{kept.cited(context, key)}; sugar: {kept.cited(context, 'bee_stores_kg_kg_sugar')}",
        subject=first_hives(context),
    )


def losses(context: Context) -> Iterator[Finding]:
    """Colonies that a winter takes: the published losses of small keepers against those the plan counts on."""
    count = colonies(context)
    if not count:
        return
    loss = context.tables.figure("keeping.bee_loss_pct.number")
    counted = 100.0 * (context.tables.row("stock", "honeybee_colony")["mortality_adult_per_year"] or 0.0)
    none_left = (loss.value / 100.0) ** count
    yield Finding(
        grade="tight" if none_left > 0.05 else "note",
        title=f"One winter may take {loss.low or 0:g} to {loss.high or 0:g} % of the colonies",
        what=f"With {count} in autumn the chance that none is left in spring is {100 * none_left:.0f} %, if each dies for itself; small keepers fare worse than the mean.",
        number=f"{loss.value:g} % in a usual winter; the plan counts on {counted:.0f} % a year",
        cause="Mites and what they carry, late treatment, hunger at winter's end, lost queens.",
        remedy="Two colonies at least, a split each year as a spare, mites counted in late summer, treatment as soon as the honey is off.",
        source=kept.cited(context, "bee_loss_pct"),
        subject=first_hives(context),
    )


def seasons(context: Context) -> dict[str, list[int]]:
    """Time of table bee_year -> larder months, by daylength and warmth; empty near the equator."""
    light, warm = kept.light_h(context), context.result.weather_months["tmax_c"]
    if float(np.ptp(light)) < EQUATORIAL_H:
        return {}
    shortest, longest = int(np.argmin(light)), int(np.argmax(light))
    after = [(shortest + step) % 12 for step in range(12)]
    rising = after[1 : (longest - shortest) % 12 + 1]
    falling = [(longest + step) % 12 for step in range(1, (shortest - longest) % 12 + 1)]
    look = next((index for index in rising if warm[index] >= LOOK_C), longest)
    cold = next((index for index in falling if kept.tmean_c(context)[index] < SYRUP_C), shortest)
    until = (look - shortest) % 12
    closing = [index for index in falling[1:] if (index - longest) % 12 < (cold - longest) % 12]
    return {
        "shortest": [shortest],
        "before_look": [(look - 1) % 12] if until > 1 else [],
        "first_look": [look],
        "swarming": [index for index in rising if (index - shortest) % 12 > until and index != longest],
        "longest": [longest],
        "after_longest": falling[:1],
        "closing": closing,
        "closed": [cold] if cold not in (*closing, shortest) else [],
    }


def work_of_year(context: Context) -> Iterator[Finding]:
    """The work on the hives month by month, by the sun and the warmth of this place, and what to mind."""
    count, times = colonies(context), seasons(context)
    if not count or not times:
        return
    lines = []
    for key in context.tables.keys("bee_year"):
        row = context.tables.row("bee_year", key)
        months = times[row.text("when")]
        if months:
            lines.append(f"{context.month_names(months)}: {row.text('work')} ({row.text('care')})")
    row = context.tables.row("bee_year", "honey_off")
    yield Finding(
        grade="note",
        title="The year on the hives",
        what=". ".join(lines) + ".",
        number=f"{len(lines)} jobs; longest days in {context.month_names(times['longest'])}",
        cause="Daylength and warmth of this year: bloom, not the calendar, says when.",
        remedy="Follow the flowers outside: dandelion and fruit for the first look, the end of the lime for the honey.",
        source=f"{context.tables.source(row.text('src')).citation} ({row.text('st')})",
        subject=f"{CAUTION}.bee_year",
    )


RULES: tuple[Rule, ...] = (forage, winter, losses, work_of_year)
