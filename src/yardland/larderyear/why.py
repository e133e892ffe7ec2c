"""The sentence behind each result, naming the figures of the tables that it was computed from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from yardland.larder.warmth import LIES_IN
from yardland.larderyear.result import YearResult
from yardland.larderyear.strikes import strike_words
from yardland.larderyear.why_ground import soils
from yardland.reference import Tables
from yardland.season.plantings import PlantingYear
from yardland.season.trees import TreeOutcome


def reasons(result: YearResult, tables: Tables) -> YearResult:
    """The result with a sentence for each of its result keys.

    Keys: harvest.PLOT.CROP, yield.PLOT.CROP, fruit.BLOCK.SPECIES, hay.PLOT, silage.PLOT, soil.PLOT.nitrogen (.carbon, .phosphorus, .potassium, .lime),
    coverage.NUTRIENT.MONTH, need.PERSON.energy_kcal,
    strike.PLANTING.HAZARD, store.GOOD.METHOD, feed.GROUP, heads.GROUP.CLASS, product.GROUP.GOOD, hours, money.
    """
    parts = (crops, perennials, soils, hazards, plates, people, stores, herds, purse)
    return replace(result, why={key: words for part in parts for key, words in part(result, tables)})


def crops(result: YearResult, tables: Tables) -> Iterator[tuple[str, str]]:
    """How each planting came to its harvest."""
    for planting in result.plantings:
        words = planting_words(planting, death_words(tables, planting.crop), want_words(tables, planting))
        yield f"harvest.{planting.planting}", words
        yield f"yield.{planting.planting}", words


def death_words(tables: Tables, crop: str) -> str:
    """The figures of frost that the table has for a crop, by stage."""
    row = tables.row("crops", crop)
    words = f"crops.{crop}.frost_kill_c"
    if row["frost_kill_young_c"] is not None:
        words += f" (while young crops.{crop}.frost_kill_young_c)"
    if row["flower_kill10_c"] is not None:
        words += f", in flower by shares from crops.{crop}.flower_kill10_c to crops.{crop}.flower_kill90_c"
    return words


def want_words(tables: Tables, planting: PlantingYear) -> str:
    """The figures of a crop's hunger, of heat at its flowering and of its standing ripe."""
    row, crop = tables.row("crops", planting.crop), f"crops.{planting.crop}"
    words = f"its hunger from {crop}.n_critical_a_pct and {crop}.n_critical_b"
    if (row["n_fixed_share"] or 0.0) > 0.0:
        words += f" (of which the air gives up to {crop}.n_fixed_share)"
    words += f", dressed with {planting.dressing}" if planting.dressing else ", not dressed"
    if row["flower_heat10_c"] is not None:
        words += f", its loss to heat in flower from {crop}.flower_heat10_c to {crop}.flower_heat90_c"
    if (row["standing_loss_pct_day"] or 0.0) > 0.0:
        words += f", its loss while it stands ripe from {crop}.standing_loss_pct_day"
    return words


def planting_words(planting: PlantingYear, death: str, wants: str) -> str:
    """Area, yield, the limits and the figures behind them; `death` and `wants` name those that not every crop has."""
    row = f"crops.{planting.crop}"
    factors = ", ".join(f"{name} {share:.2f}" for name, share in planting.factors.items())
    when = f"sown {planting.sown}" if planting.sown else "not sown"
    if planting.first_gathered and planting.last_gathered:
        when += f", gathered {' to '.join(dict.fromkeys((planting.first_gathered, planting.last_gathered)))}"
    return (
        f"{planting.harvest_kg:,.0f} kg = {planting.area_m2:,.0f} m2 x {planting.yield_t_ha:.2f} t/ha; {planting.status}, {when}. "
        f"The yield is the table's middle yield {row}.typical_yield_mid_t_ha times what each limit left: {factors} "
        f"(over the reference season, anchors.{planting.crop}.anchor). Its speed comes from {row}.base_temp_c and "
        f"{row}.gdd_maturity, its growth from {row}.rue_g_per_mj_par, its product from {row}.harvest_index and "
        f"{row}.dry_matter_fraction, its thirst from {row}.kcb_mid and {row}.depletion_fraction_p, {wants}, its death from "
        f"{death}. Sowing: {planting.reason}."
    )


def perennials(result: YearResult, tables: Tables) -> Iterator[tuple[str, str]]:
    """How trees and hay came to what they gave."""
    rows: dict[str, list[TreeOutcome]] = {}
    for tree in result.trees:
        rows.setdefault(tree.fruit, []).append(tree)
    for fruit, trees in rows.items():
        yield f"fruit.{fruit}", " ".join(tree_words(tree) for tree in trees)
    for item in result.production.gathered:
        kind, _, name = item.account.partition(":")
        total = float(np.sum(item.fresh_kg))
        if kind == "sward" and item.good.startswith(("silage_", "haylage_")):
            way = next(key for key in tables.where("feed_ways", gives=item.good))
            yield (
                f"silage.{name}",
                (
                    f"{total:,.0f} kg of {named(tables, item.good)} = what was shut up for hay and mown with no dry spell of "
                    f"growth.hay_dry_days.number days, x feed_ways.{way}.share, at goods.{item.good}.dm_fraction dry matter."
                ),
            )
        elif kind == "sward":
            yield (
                f"hay.{name}",
                (
                    f"{total:,.0f} kg of {named(tables, item.good)} = what was mown down to the stubble after it grew by light, warmth, water "
                    "and nitrogen, less growth.hay_field_loss.number (growth.hay_wet_loss.number if it was made in the wet), at "
                    "growth.hay_dm_fraction.number dry matter."
                ),
            )


def tree_words(tree: TreeOutcome) -> str:
    """What a row of trees bore, the limits and the figures behind them."""
    row = f"trees.{tree.species}"
    factors = ", ".join(f"{name} {share:.2f}" for name, share in tree.factors.items())
    cold = f"{tree.chill_h:,.0f} hours {f'of {row}.chill_hours_low' if tree.chill_need_h > 0 else 'and it needs none'}"
    if tree.chill_units is not None:
        cold = f"{tree.chill_units:,.0f} Utah units of {row}.chill_units_low"
    shadow = "" if tree.noon_shadow_m is None else f", its shadow at noon of the equinox {tree.noon_shadow_m:.1f} m"
    return (
        f"{tree.harvest_kg:,.0f} kg = {tree.count} x {row}.mature_yield_mid_kg x the level x what each limit left: {factors}. "
        f"Age: {tree.age_y:.0f} years, bearing from {row}.years_to_first_crop to {row}.years_to_full_bearing; chill: "
        f"{cold}; frost: the worst night from bud break to the set fruit, full bloom ({tree.full_bloom or 'none'}). "
        f"Height: about {tree.height_m:.1f} m of {row}.mature_height_m after {row}.years_to_height if unpruned{shadow}."
    )


def hazards(result: YearResult, tables: Tables) -> Iterator[tuple[str, str]]:
    """How each strike came about."""
    for one in result.strikes:
        yield one.key, strike_words(one, result, tables)


def plates(result: YearResult, _tables: Tables) -> Iterator[tuple[str, str]]:
    """How each month's coverage of each nutrient came about."""
    for nutrient, cover in result.coverage.items():
        need = result.need_day[nutrient]
        unit = nutrient.rpartition("_")[2]
        for index, month in enumerate(result.months):
            yield (
                f"coverage.{nutrient}.{month.name}",
                (
                    f"{100 * cover[index]:.0f} % = eaten {cover[index] * need[index]:,.1f} {unit} a day / needed {need[index]:,.1f} {unit} a day by the "
                    f"household in {month.name}; eaten is the sum over foods of kg x content (foods.FOOD.{nutrient}), needed the sum "
                    f"over people ({needs_words(nutrient)}). It is never more than the plate ceilings allow "
                    "(plates.group.root.grams_day and its like)."
                ),
            )


def named(tables: Tables, good: str) -> str:
    """A good in words, small letters first, without what follows its comma."""
    words = tables.row("goods", good).text("name").partition(",")[0] if tables.has("goods", good) else good
    return words[:1].lower() + words[1:]


def needs_words(nutrient: str) -> str:
    """Where a need comes from, in words."""
    if nutrient == "energy_kcal":
        return "FAO/WHO/UNU 2001, table energy"
    return f"recommended or adequate intake of {nutrient} by life stage, table needs"


def people(result: YearResult, _tables: Tables) -> Iterator[tuple[str, str]]:
    """Each person's energy and protein."""
    for need in result.needs:
        yield (
            f"need.{need.person}.energy_kcal",
            f"{need.energy_kcal_day:,.0f} kcal a day at {need.age_y:.1f} years: {need.equation}.",
        )
        yield (
            f"need.{need.person}.protein_g",
            f"{need.protein_g_day:,.0f} g a day at {need.age_y:.1f} years and the person's weight: recommended intake, table needs.",
        )


def stores(result: YearResult, tables: Tables) -> Iterator[tuple[str, str]]:
    """What lies on each shelf and how long it keeps."""
    for name, kg in result.stores_kg.items():
        good, _, method = name.partition(", ")
        row = f"stores.{good}.{method}"
        keeps = (
            f" It keeps {row}.shelf_life_months months and loses {row}.monthly_loss_fraction of itself a month{warm_words(result, good, method, tables)}."
            if tables.has("stores", f"{good}.{method}")
            else ""
        )
        yield (
            f"store.{good}.{method}",
            f"At most {float(np.max(kg)):,.0f} kg (end of {result.months[int(np.argmax(kg))].name}), least "
            f"{float(np.min(kg)):,.0f} kg (end of {result.months[int(np.argmin(kg))].name}), as the larder's program decides."
            + keeps,
        )


def warm_words(result: YearResult, good: str, method: str, tables: Tables) -> str:
    """The warmth up to which that holds, and how warm the place gets; nothing where it follows no warmth."""
    row = tables.row("stores", f"{good}.{method}")
    degrees = result.kept.places_c.get(LIES_IN.get(row.text("place"), row.text("place")))
    if degrees is None or row["keeps_to_c"] is None:
        return ""
    warmest = int(np.argmax(degrees))
    return (
        f" up to stores.{good}.{method}.keeps_to_c C, faster beyond; its place is at {float(degrees[warmest]):.0f} C in "
        f"{result.months[warmest].name}, the warmest month"
    )


def herds(result: YearResult, tables: Tables) -> Iterator[tuple[str, str]]:
    """Feed, heads and products of each group."""
    for need in result.production.herds:
        row = f"stock.{need.klass}"
        yield (
            f"heads.{need.group}.{need.klass}",
            f"{int(np.max(need.heads))} heads at most in the plan's steady numbers.",
        )
        yield (
            f"feed.{need.group}.{need.klass}",
            (
                f"{float(np.sum(need.energy_mj)):,.0f} MJ ({need.system}) and {float(np.sum(need.protein_kg)):,.0f} kg protein in the "
                f"year, by the species' own formula from {row}.adult_weight_kg and what it gives; at most "
                f"{float(np.sum(need.dry_matter_max_kg)):,.0f} kg dry matter."
            ),
        )
        for good, kg in need.products.items():
            yield (
                f"product.{need.group}.{good}",
                f"{float(np.sum(kg)):,.0f} kg of {named(tables, good)} in the year if fed in full, from heads x the figures of {row}.",
            )


def purse(result: YearResult, _tables: Tables) -> Iterator[tuple[str, str]]:
    """Money and hours as sums."""
    for item, money in result.money.items():
        yield (
            f"money.{item.replace(' ', '.')}",
            (
                f"{float(np.sum(money)):,.0f} {result.holding.place.currency} in the year: price in trades.csv (else table prices) x what "
                "crosses the fence."
            ),
        )
    for group, hours in result.hours_week.items():
        yield (
            f"hours.{group.replace(' ', '_')}",
            f"{float(np.sum(hours)):,.0f} hours in the year: task table (tasks) x events, hand methods.",
        )
