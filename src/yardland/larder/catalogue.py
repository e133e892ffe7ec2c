"""From the holding and the tables to a described larder: goods in play, ways to keep and make them, plates, trades."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.errors import InputFaults
from yardland.larder.build import potential
from yardland.larder.composition import aged, contents, cooked, mean_ages, retained
from yardland.larder.description import MONTHS, Cut, Feed, Good, Keeping, Larder, Process, Trade
from yardland.larder.diets import diets_for, tables_of
from yardland.larder.feed_bounds import rations_for
from yardland.larder.feed_law import feed_law
from yardland.larder.feed_leavings import cuts_for, with_leavings
from yardland.larder.needs import MEAN_YEAR_DAYS, NUTRIENTS, REPORTED_ONLY, Eater, within
from yardland.larder.plates import floors_for, plates_for
from yardland.larder.power import COLD, monthly_thaw_loss
from yardland.larder.unshelved import unshelved
from yardland.larder.warmth import places_c, warmth
from yardland.ledger.months import Month
from yardland.ledger.production import Production

if TYPE_CHECKING:
    from yardland.holding.model import Holding, TradeRow
    from yardland.reference.tables import Row, Tables

F64 = npt.NDArray[np.float64]

CONCENTRATING = frozenset({"dried", "sauce", "cured_smoked", "bacon", "smoked", "salted", "confit"})
"""Methods that take water out, so that the dry matter lies in less mass; the others only trim."""
IN_JARS = frozenset({"canned", "pickled", "sauce", "fermented"})
COOKED_IN_IT = frozenset({"canned", "pickled", "sauce", "fermented", "confit", "cured_smoked", "bacon"})
"""Methods whose retention already holds what heat or brine takes; the others are cooked when they are eaten."""
PLACES = {"jars": "pantry", "in the ground": ""}
"""Where a row's place lies among the kinds of rooms of a holding; other places are rooms of their own name."""
KEPT_ASIDE = frozenset({"salt", "vinegar", "yeast_dry", "baking_soda"})
"""Condiments, which keep for years in a corner: no shelf is planned for them."""
A_WEEK = 0.2
"""Months. What keeps for less is eaten in its month."""
FORAGE_KINDS = frozenset({"hay", "straw", "pasture", "leaf", "silage", "stubble"})
G_PER_KG = 1000.0
WEEKS_A_MONTH = 365.0 / 12.0 / 7.0
EMERGENCY_FOOD = "wheat_whole"
"""What is lacking is told in kilograms of whole wheat."""
PRESERVING_HOURS = 0.1
"""Hours to put a kilogram by in another form; only to choose between equals, the works room counts the hours."""


def describe(
    holding: Holding,
    tables: Tables,
    months: tuple[Month, ...],
    production: Production,
    needs: dict[str, F64],
    *,
    from_stores: bool = False,
    people: tuple[Eater, ...] | None = None,
) -> Larder:
    """The larder of a holding.

    Args:
        holding: its stores, kitchen, trades, people.
        tables: reference tables.
        months: the twelve larder months.
        production: what ground and animals give and ask.
        needs: nutrient -> float64 [12], the household's need a day (larder.needs.household_need).
        from_stores: start from stores.csv and leave the books open, instead of a year that ends as it began.
        people: who eats; those of the plan in these months if None.

    Raises:
        InputFaults: a line of stores.csv that the plan has no place for.
    """
    law = feed_law(holding, tables)
    production = with_leavings(holding, tables, months, production, law)
    cuts = cuts_for(holding, tables, production)
    trades = trades_for(holding, tables, months)
    shelved = shelved_today(holding, tables) if from_stores else {}
    opening = opening_stocks(holding, months, shelved)
    keys = goods_in_play(tables, production, trades, opening, cuts)
    keepings = keepings_for(holding, tables, keys, arriving_goods(production, trades, opening), production.air_c)
    if from_stores and (faults := list(unshelved(holding, tables, shelved, keepings, KEPT_ASIDE))):
        raise InputFaults(faults)
    days = np.array([month.days for month in months], dtype=np.float64)
    shell = Larder(
        months=months,
        nutrients=NUTRIENTS,
        need=np.array([needs[nutrient] for nutrient in NUTRIENTS]) * days,
        driving=tuple(nutrient for nutrient in NUTRIENTS if nutrient not in REPORTED_ONLY),
        goods={},
        keepings=keepings,
        processes=processes_for(tables, keys),
        plates=(),
        trades=trades,
        feeds={},
        production=production,
        emergency_kcal_per_kg=tables.row("foods", EMERGENCY_FOOD).need("energy_kcal") * 10.0,
        rooms_litres=rooms(holding),
        jar_litres_month=holding.kitchen.jars_per_week * WEEKS_A_MONTH,
        dry_kg_month=holding.kitchen.dry_kg_per_week * WEEKS_A_MONTH,
        buys_feed={name: group.buy_feed for name, group in holding.group.items()},
        cyclic=not from_stores,
        opening=opening,
        rations=rations_for(tables, production, months, law),
        cuts=cuts,
    )
    goods, notes = goods_for(tables, keys, shell)
    feeds = {good.feed: feed_for(tables, good.feed) for good in goods.values() if good.feed}
    parts, joined = tables_of(holding, tables, months, people)
    shell = replace(shell, goods=goods, feeds=feeds, diets=diets_for(parts, shell, goods, tables))
    plates = plates_for(holding, tables, months, shell, goods, parts)
    floors = floors_for(holding, tables, months, shell, goods, parts)
    return replace(shell, plates=plates, floors=floors, notes=notes + joined + salt_note(trades))


def salt_note(trades: tuple[Trade, ...]) -> tuple[str, ...]:
    """A note if nobody buys salt: no ground gives it, and food of the ground alone holds too little."""
    if any(trade.good == "salt" and trade.do == "buy" for trade in trades):
        return ()
    return ("salt is not among what may be bought: people and bread need some, best iodised",)


def arriving_goods(
    production: Production,
    trades: tuple[Trade, ...],
    opening: tuple[tuple[str, str, float, float], ...],
) -> frozenset[str]:
    """Goods that come from ground, animals, today's shelves or beyond the fence, not from a process."""
    keys = {item.good for item in production.gathered} | {good for good, *_ in opening}
    keys |= {good for herd in production.herds for good in herd.products}
    return frozenset(keys | {trade.good for trade in trades if trade.do == "buy"})


def made_when_wanted(tables: Tables, keys: tuple[str, ...], arriving: frozenset[str]) -> frozenset[str]:
    """Goods that need no shelf: made, by every process, of something that keeps as it is for as long as they do.

    Grain keeps better than its meal, so that it is milled when it is wanted.
    """
    longest: dict[str, float] = {}
    for key in tables.keys("stores"):
        row = tables.row("stores", key)
        if row.text("good") in keys and row.text("work") == "keep":
            good = row.text("good")
            longest[good] = max(longest.get(good, 0.0), row["shelf_life_months"] or 0.0)
    sources: dict[str, set[str]] = {}
    for key in tables.keys("makings"):
        row = tables.row("makings", key)
        if row.text("takes") in keys:
            sources.setdefault(row.text("gives"), set()).add(row.text("takes"))
    return frozenset(
        good
        for good, takes in sources.items()
        if good not in arriving
        and all(longest.get(take, 0.0) >= max(longest.get(good, 0.0), MONTHS - 1) for take in takes)
    )


def goods_in_play(
    tables: Tables,
    production: Production,
    trades: tuple[Trade, ...],
    opening: tuple[tuple[str, str, float, float], ...],
    cuts: tuple[Cut, ...] = (),
) -> tuple[str, ...]:
    """Keys of the goods that can be on the holding: what arrives, what is bought, and all that can be made of them.

    Raises:
        TableError: a crop, a herd or a process gives a good that goods.csv does not have.
    """
    keys = set(arriving_goods(production, trades, opening)) | {item.good for item in production.grazing}
    keys |= {item.good for item in production.seed} | {cut.gives for cut in cuts}
    before = -1
    while before != len(keys):
        before = len(keys)
        for key in tables.keys("makings"):
            row = tables.row("makings", key)
            if row.text("takes") in keys:
                keys.add(row.text("gives"))
    return tuple(sorted(tables.row("goods", key).key for key in keys))


def processes_for(tables: Tables, keys: tuple[str, ...]) -> tuple[Process, ...]:
    """Processes that take a good in play."""
    rows: dict[str, list[Row]] = {}
    for key in tables.keys("makings"):
        row = tables.row("makings", key)
        if row.text("takes") in keys:
            rows.setdefault(row.text("process"), []).append(row)
    return tuple(
        Process(
            key=process,
            takes=outputs[0].text("takes"),
            gives=tuple((row.text("gives"), row.need("kg_per_kg")) for row in outputs),
            hours_per_kg=sum(row["hours_per_kg"] or 0.0 for row in outputs),
        )
        for process, outputs in rows.items()
    )


def rooms(holding: Holding) -> dict[str, float]:
    """Litres of each kind of room."""
    litres: dict[str, float] = {}
    for store in holding.store.values():
        litres[store.kind] = litres.get(store.kind, 0.0) + store.volume_l
    return litres


def keepings_for(
    holding: Holding, tables: Tables, keys: tuple[str, ...], arriving: frozenset[str], air_c: F64 | None = None
) -> tuple[Keeping, ...]:
    """Ways of stores.csv that the holding has the room for and the kitchen does not leave out.

    `kitchen.methods` names what the kitchen does ("dried", "canned"); empty means all. `air_c` [2, 12], monthly mean
    and mean daily minimum, warms the places; without it they are as the table asks for.
    """
    have = rooms(holding)
    found = []
    needless = made_when_wanted(tables, keys, arriving)
    for key in tables.keys("stores"):
        row = tables.row("stores", key)
        if row.text("good") in keys and row.text("good") not in needless:
            keeping = keeping_for(row, have, holding.kitchen.methods)
            if keeping is not None:
                found.append(keeping)
    thaw = monthly_thaw_loss(holding, tables)
    paces = warmth(tables, (store_key(keeping) for keeping in found), places_c(holding, tables, air_c))
    warmed = (
        replace(keeping, warmth=paces[store_key(keeping)], thaw_loss=thaw if keeping.place == COLD else 0.0)
        for keeping in found
    )
    return tuple(sorted(warmed, key=lambda keeping: (keeping.good, keeping.method)))


def store_key(keeping: Keeping) -> str:
    """The key in table stores of a way of keeping."""
    return f"{keeping.good}.{keeping.method}"


def keeping_for(row: Row, have: dict[str, float], methods: tuple[str, ...]) -> Keeping | None:
    """One way to keep a good, or None if this holding cannot. Jam is left out: half of it is sugar."""
    good, method = row.text("good"), row.text("method")
    place = PLACES.get(row.text("place"), row.text("place"))
    plain = row.text("work") == "keep"
    if row.text("food") in KEPT_ASIDE or row.need("shelf_life_months") < A_WEEK:
        return None
    if (place and place not in have) or (methods and not plain and method not in methods):
        return None
    share = 1.0 if plain else row["yield_kg_per_kg"] or 1.0
    if share > 1.0:
        return None
    jar = row["jar_kg_raw_per_litre"] if method in IN_JARS else None
    return Keeping(
        good=good,
        method=method,
        gives=good if plain else f"{good}.{method}",
        shelf_life_months=row.need("shelf_life_months"),
        monthly_loss=row["monthly_loss_fraction"] or 0.0,
        yield_fraction=share,
        place=place,
        litres_per_kg=row["litres_per_kg"] or 0.0,
        jar_litres_per_kg=(1.0 / jar if jar else 1.0) if method in IN_JARS else 0.0,
        dried=method == "dried",
        hours_per_kg=0.0 if plain else PRESERVING_HOURS,
    )


def goods_for(tables: Tables, keys: tuple[str, ...], shell: Larder) -> tuple[dict[str, Good], tuple[str, ...]]:
    """Goods with what they hold, also in the forms they are put by in; notes name what the tables do not know."""
    arriving = potential(shell)
    goods: dict[str, Good] = {}
    unknown: dict[str, set[str]] = {}
    for key in keys:
        ways = [keeping for keeping in shell.keepings if keeping.good == key]
        for good in forms_of(tables, key, ways, arriving.get(key, np.ones(MONTHS)), unknown):
            goods[good.key] = good
    notes = tuple(
        f"{in_words(nutrient)} is not known for {', '.join(sorted(lower_first(name.partition(',')[0]) for name in names))}: counted as none."
        for nutrient, names in unknown.items()
        if nutrient not in REPORTED_ONLY
    )
    return goods, notes


def in_words(nutrient: str) -> str:
    """A nutrient's key as words without its unit: "vitamin_b12_ug" is Vitamin B12."""
    words = nutrient.rpartition("_")[0].replace("_rae", "").replace("_dfe", "").replace("_", " ")
    return re.sub(r"\b([a-ek])(\d*)$", lambda found: found[0].upper(), words[:1].upper() + words[1:])


def lower_first(words: str) -> str:
    """The words with a small first letter."""
    return words[:1].lower() + words[1:]


def forms_of(tables: Tables, key: str, ways: list[Keeping], arriving: F64, unknown: dict[str, set[str]]) -> list[Good]:
    """A good as it arrives, and one for each other form it is put by in."""
    row = tables.row("goods", key)
    plain = Good(key, row.text("name"), row.need("dm_fraction"), feed=row.text("feed"), kind=row.text("kind"))
    food = row.text("food")
    if not food:
        return [plain]
    edible = row["edible_fraction"]
    edible = 1.0 if edible is None else edible
    values, missing = contents(tables, food)
    for nutrient in missing:
        unknown.setdefault(nutrient, set()).add(row.text("name"))
    kept = [keeping for keeping in ways if keeping.gives == key]
    loss = max((vitamin_c_loss(tables, keeping) for keeping in kept), default=0.0)
    life = max((keeping.shelf_life_months for keeping in kept), default=0.0)
    plain = replace(
        plain,
        food=food,
        group=tables.row("foods", food).text("group"),
        plate_kg=edible,
        per_kg=aged(cooked(tables, food, values) * edible, loss, mean_ages(arriving, life)),
    )
    return [plain] + [
        other_form(tables, plain, values * edible, keeping, arriving) for keeping in ways if keeping.gives != key
    ]


def other_form(tables: Tables, plain: Good, values: F64, keeping: Keeping, arriving: F64) -> Good:
    """A good dried, frozen, canned and so on: by the product's own row of foods.csv, or by what the way retains."""
    store = tables.row("stores", f"{keeping.good}.{keeping.method}")
    product = store.text("product_food")
    dense = 1.0 / keeping.yield_fraction  # what could be eaten of a kilogram lies in less mass: trimmed, boned or dried
    drier = dense if keeping.method in CONCENTRATING else 1.0
    raw = values if keeping.method in COOKED_IN_IT else cooked(tables, plain.food, values)
    per_kg = contents(tables, product)[0] if product else retained(store, raw, dense)
    return Good(
        key=keeping.gives,
        name=f"{plain.name}, {keeping.method.replace('_', ' ')}",
        dm_fraction=min(plain.dm_fraction * drier, 0.96),
        food=product or plain.food,
        group=tables.row("foods", product).text("group") if product else plain.group,
        plate_kg=1.0 if product else plain.plate_kg * dense,
        per_kg=aged(per_kg, vitamin_c_loss(tables, keeping), mean_ages(arriving, keeping.shelf_life_months)),
        kind="made",
    )


def vitamin_c_loss(tables: Tables, keeping: Keeping) -> float:
    """Share of vitamin C lost in a month of lying; 0 where the table has none."""
    return tables.row("stores", f"{keeping.good}.{keeping.method}")["vitamin_c_loss_per_month"] or 0.0


def feed_for(tables: Tables, key: str) -> Feed:
    """A feed with its energy in each system, what it holds and its greatest shares; what is not known is not fed.

    Goats take the share of ruminants where they have none of their own.
    """
    row = tables.row("feeds", key)
    systems = ("me_ruminant", "me_pig", "amen_poultry", "de_rabbit")
    columns = ("max_layer", "max_broiler", "max_pig_grower", "max_sow", "max_ruminant", "max_rabbit")
    shares = {column: row[column] or 0.0 for column in columns}
    goats = row["max_goat"]
    shares["max_goat"] = shares["max_ruminant"] if goats is None else goats
    return Feed(
        key=key,
        energy_mj={system: row[f"{system}_mj_kgdm"] or 0.0 for system in systems},
        protein_kg=(row["cp_g_kgdm"] or 0.0) / G_PER_KG,
        max_share=shares,
        forage=row.text("kind") in FORAGE_KINDS,
        lysine_kg=(row["lysine_g_kgdm"] or 0.0) / G_PER_KG,
        calcium_kg=(row["ca_g_kgdm"] or 0.0) / G_PER_KG,
        phosphorus_kg=(row["p_g_kgdm"] or 0.0) / G_PER_KG,
        fibre_kg=(row["crude_fibre_g_kgdm"] or 0.0) / G_PER_KG,
        mineral=row.text("kind") == "mineral",
    )


def trades_for(holding: Holding, tables: Tables, months: tuple[Month, ...]) -> tuple[Trade, ...]:
    """Rows of trades.csv by the kilogram, by good; what names a food, feed or crop stands for its first good."""
    found = []
    for row in holding.trades:
        good = good_named(tables, row.item)
        if row.per == "kg" and good is not None:
            found.append(Trade(good, row.do, row.price, monthly_limits(row, months)))
    return tuple(found)


def good_named(tables: Tables, item: str) -> str | None:
    """The good of that key, or the first whose food, feed or origin has that name."""
    if tables.has("goods", item):
        return item
    for key in tables.keys("goods"):
        row = tables.row("goods", key)
        if item in {row.text("food"), row.text("feed")} or item in row.text("comes_from").split():
            return key
    return None


def monthly_limits(row: TradeRow, months: tuple[Month, ...]) -> F64:
    """Most kilograms in each month: the limit, in proportion to the days that the trade is open."""
    from yardland.holding.model import Span

    most = np.inf if row.limit_month is None else row.limit_month
    if row.from_ is None or row.to is None:
        return np.full(len(months), most)
    span = Span(row.from_, row.to)
    opened = np.array(
        [sum(within(span, (month.month, day)) for day in range(1, month.days + 1)) / month.days for month in months]
    )
    return np.where(opened > 0.0, most * np.where(opened > 0.0, opened, 1.0), 0.0)


def shelved_today(holding: Holding, tables: Tables) -> dict[int, tuple[str, str]]:
    """Line of stores.csv -> good and method; without a method, the first way that the holding has the room for."""
    found = {}
    for row in holding.stores_today:
        good = good_named(tables, row.good)
        if good is not None:
            found[row.line] = (good, row.method or first_method(holding, tables, good))
    return found


def opening_stocks(
    holding: Holding, months: tuple[Month, ...], shelved: dict[int, tuple[str, str]]
) -> tuple[tuple[str, str, float, float], ...]:
    """Rows of stores.csv as (good, method, kg, months it has lain)."""
    start = date(months[0].year, months[0].month, 1)
    found = []
    for row in holding.stores_today:
        good, method = shelved.get(row.line, ("", ""))
        if method:
            lain = 0.0 if row.made is None else max((start - row.made).days / MEAN_YEAR_DAYS * MONTHS, 0.0)
            found.append((good, method, row.kg, lain))
    return tuple(found)


def first_method(holding: Holding, tables: Tables, good: str) -> str:
    """The first way to keep a good as it is that there is room for, else the first at all; "" if there is none."""
    have = rooms(holding)
    ways = [tables.row("stores", key) for key in tables.where("stores", good=good, work="keep")]
    able = [row for row in ways if keeping_for(row, have, holding.kitchen.methods) is not None]
    return (able or ways)[0].text("method") if ways else ""
