"""Manure and kitchen leavings to the ground: what reaches the heap, what the heap loses, and which planting gets it.

Steady state: what is collected in a year is spread in a year. docs/growth-manure.md prints the equations.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from yardland.errors import TableError
from yardland.growth.dressing import Analysis, Dressing, fertiliser, spread
from yardland.growth.layout import Layout
from yardland.holding.model import Dress, Holding
from yardland.larder.feed_law import NEVER, OFF, region_of
from yardland.ledger.months import DAYS_IN_YEAR, Month, month_of_day
from yardland.ledger.units import M2_PER_HA
from yardland.reference import Tables
from yardland.season.droppings import followed, housed_months, housed_share, manure_row
from yardland.season.evenings import Evenings
from yardland.stock.yard import straw_kg_d
from yardland.stock.year import HerdYear

F64 = npt.NDArray[np.float64]
WARM_FROM_C = 15.0
"""A month is warm from this mean on (our band for the ammonia table, which says warm and cool without a number)."""
DRY_BELOW = 0.5
"""A month is dry when less rain falls than this share of its reference evapotranspiration (our band, as above)."""
ELEMENTS = ("n", "p", "k", "c")
KITCHEN_RULE = "kitchen_scraps"
"""Row of table feed_rules that says whether animals may have the kitchen's leavings, and how much there is."""
HEAPED = {"raw manure": "stored", "compost": "composted"}
"""What is taken from the heap, and the way it lay there: names of rows in table manuring."""


@dataclass(frozen=True)
class Heap:
    """All that comes from under the roofs and out of the kitchen in a year, as it reaches the heap.

    kg : fresh, bedding with it ; dm_kg : its dry matter ; n_kg, p_kg, k_kg, c_kg : elements ; ready_share,
    released_share : of stored manure, weighed by nitrogen
    """

    kg: float = 0.0
    dm_kg: float = 0.0
    n_kg: float = 0.0
    p_kg: float = 0.0
    k_kg: float = 0.0
    c_kg: float = 0.0
    ready_share: float = 0.0
    released_share: float = 0.0


@dataclass(frozen=True)
class Ask:
    """What the plan asks to be spread for one planting; `day` counts from the first day of the larder year (0-364)."""

    planting: str
    plot: str
    area_m2: float
    day: int
    dress: Dress


@dataclass(frozen=True)
class HeapYear:
    """A year of manure: where its nitrogen went, and the dressings.

    excreted_n_kg + bedding_n_kg + kitchen_n_kg = dropped_n_kg (out of doors) + house_lost_n_kg + heap_lost_n_kg +
    spread_n_kg + left_n_kg (on the heap at the year's end). kg masses are fresh. bedding_kg : straw under the roofs ;
    kitchen_kg : leavings of the kitchen that no animal gets ; cn : carbon over nitrogen of what is laid on the heap, 0
    for none ; moisture : water of it, share ; balance_straw_kg : straw that would bring a richer heap to the aim ;
    spread_kg [12] : manure and compost of the heap spread, by larder month. asked_kg : material from the heap that the plan asks
    for, as spread ; given_share : of it, what the heap could give ; left_kg : what nobody asked for, after its storing
    bought_kg : compost bought, by month of the larder year, [12]
    """

    dressings: tuple[Dressing, ...] = ()
    excreted_n_kg: float = 0.0
    bedding_n_kg: float = 0.0
    dropped_n_kg: float = 0.0
    house_lost_n_kg: float = 0.0
    heap_lost_n_kg: float = 0.0
    spread_n_kg: float = 0.0
    left_n_kg: float = 0.0
    collected_kg: float = 0.0
    asked_kg: float = 0.0
    given_share: float = 1.0
    left_kg: float = 0.0
    bought_kg: F64 = field(default_factory=lambda: np.zeros(12))
    notes: tuple[str, ...] = ()
    bedding_kg: float = 0.0
    kitchen_kg: float = 0.0
    kitchen_n_kg: float = 0.0
    cn: float = 0.0
    moisture: float = 0.0
    balance_straw_kg: float = 0.0
    manure_n_share: float = 1.0
    """Of the heap's nitrogen, what is of livestock, its bedding with it."""
    spread_kg: F64 = field(default_factory=lambda: np.zeros(12))


def dressings(
    holding: Holding,
    tables: Tables,
    herd: HerdYear,
    layout: Layout,
    months: tuple[Month, ...],
    weather: Mapping[str, F64] | None = None,
) -> tuple[Dressing, ...]:
    """The dressing of every dressed planting of a layout, spread on its sowing day (see `heap_year`)."""
    return heap_year(holding, tables, herd, layout, months, weather).dressings


def heap_year(
    holding: Holding,
    tables: Tables,
    herd: HerdYear,
    layout: Layout,
    months: tuple[Month, ...],
    weather: Mapping[str, F64] | None = None,
    evenings: Evenings | None = None,
) -> HeapYear:
    """The year's manure, shared over the plantings that ask for it.

    Each planting asks area x rate; if the heap holds less than all ask together, each is given the same share of what
    it asks. Bought compost and fertiliser are given in full.

    Args:
        holding: its lines of plantings with a dressing, its rounds.
        tables: manures, manuring, ammonia_kept, husbandry, stock.
        herd: droppings and their nitrogen by class and month.
        layout: plantings, strips and sowing windows.
        months: of the larder year.
        weather: tmin_c, tmax_c, rain_mm, eto_mm by month, [12] each; ammonia at its average where None.
        evenings: of groups on grass (`season.evenings.grass_share`); None where they are not known.

    Raises:
        TableError: a species without a row in table manures, or an own share of 1 and more.
    """
    asks = tuple(asked(holding, layout))
    heap, law = collect(holding, tables, herd, months, evenings)
    wanted = {ask.planting: fresh_kg(tables, ask) for ask in asks}
    taken = {ask.planting: wanted[ask.planting] / yield_share(tables, ask.dress.kind) for ask in asks if heaped(ask)}
    share = min(1.0, heap.kg / sum(taken.values())) if taken else 1.0
    given, bought, laid = [], np.zeros(12), np.zeros(12)
    month = month_of_day(months)
    for ask in asks:
        kept = kept_share(tables, month[ask.day], weather)
        if ask.dress.kind == "fertiliser":
            given.append(
                fertiliser(
                    ask.planting,
                    ask.plot,
                    ask.dress.n_kg_ha or 0.0,
                    kept_share=manuring(tables, "fertiliser_kept"),
                    held_share=manuring(tables, "fertiliser_held"),
                )
            )
            continue
        kg = wanted[ask.planting] * (share if heaped(ask) else 1.0)
        if kg > 0.0:
            analysis = analysis_of(tables, heap, ask.dress.kind)
            given.append(
                spread(ask.planting, ask.plot, ask.dress.kind, analysis, kg=kg, area_m2=ask.area_m2, kept_share=kept)
            )
        (bought if ask.dress.kind == "bought compost" else laid)[month[ask.day]] += kg
    left = max(0.0, 1.0 - share * sum(taken.values()) / heap.kg) if heap.kg > 0 else 0.0
    left_n = left * heap.n_kg * (1.0 - manuring(tables, "stored_n_loss"))
    areas = {ask.planting: ask.area_m2 for ask in asks}
    spread_n = sum(item.n_total_kg_ha * areas[item.planting] / M2_PER_HA for item in given if item.kind in HEAPED)
    return replace(
        law,
        dressings=tuple(given),
        spread_n_kg=spread_n,
        left_n_kg=left_n,
        heap_lost_n_kg=heap.n_kg - spread_n - left_n,
        collected_kg=heap.kg,
        asked_kg=sum(wanted[name] for name in taken),
        given_share=share,
        left_kg=left * heap.kg * yield_share(tables, "raw manure"),
        bought_kg=bought,
        spread_kg=laid,
        notes=tuple(unspread(holding, layout)),
    )


def heaped(ask: Ask) -> bool:
    """Whether it is taken from the holding's own heap."""
    return ask.dress.kind in HEAPED


def manuring(tables: Tables, key: str) -> float:
    """A figure of table manuring.

    Raises:
        TableError: an own figure for a share that is none: a heap cannot lose all of itself.
    """
    row = tables.row("manuring", key)
    value = row.need("value")
    if row.text("unit") == "share" and value >= 1.0:
        raise TableError(f"manuring.{key}.value is {value:g}, and a share is under 1")
    return value


def asked(holding: Holding, layout: Layout) -> Iterator[Ask]:
    """What each dressed planting of the layout asks for, on the middle day of its sowing window."""
    rows = {row.line: row for row in holding.plantings}
    for strip in layout.strips:
        for planting in strip.plantings:
            dress = rows[planting.line].dressing
            if dress.kind:
                day = (planting.opens + planting.closes) // 2 % DAYS_IN_YEAR
                yield Ask(planting.id, planting.plot, strip.area_m2, day, dress)


def unspread(holding: Holding, layout: Layout) -> Iterator[str]:
    """Dressings of perennial forage, which no sowing of this computation takes up."""
    dressed = {(row.plot, row.crop) for row in holding.plantings if row.dressing.kind}
    for strip in layout.forage:
        if (strip.plot, strip.crop) in dressed:
            yield f"{strip.id}: a standing sward is not dressed here; what grazes it manures it"


def fresh_kg(tables: Tables, ask: Ask) -> float:
    """Fresh material asked for on the whole strip; the table's rate where the plan names none."""
    if ask.dress.n_kg_ha is not None:
        return 0.0
    key = "raw_manure_t_ha" if ask.dress.kind == "raw manure" else "compost_t_ha"
    kg_ha = ask.dress.kg_ha if ask.dress.kg_ha is not None else 1000.0 * manuring(tables, key)
    return kg_ha * ask.area_m2 / M2_PER_HA


def yield_share(tables: Tables, kind: str) -> float:
    """Kilograms spread of each that was laid on the heap."""
    return 1.0 - manuring(tables, f"{HEAPED[kind]}_mass_loss")


def kept_share(tables: Tables, month: int, weather: Mapping[str, F64] | None) -> float:
    """Of the ready nitrogen, what is not lost as ammonia before it is dug in, by days and weather (table ammonia_kept)."""
    days = min(6, max(0, round(manuring(tables, "days_to_cover"))))
    column = "average"
    if weather is not None:
        warm = (weather["tmin_c"][month] + weather["tmax_c"][month]) / 2 >= WARM_FROM_C
        dry = weather["rain_mm"][month] < DRY_BELOW * weather["eto_mm"][month]
        column = f"{'warm' if warm else 'cool'}_{'dry' if dry else 'wet'}"
    return tables.row("ammonia_kept", f"day_{days}").need(column)


def analysis_of(tables: Tables, heap: Heap, kind: str) -> Analysis:
    """What a kilogram holds as it is spread: the heap by mass balance after its losses, bought compost by the table.

    Raises:
        ZeroDivisionError: material from a heap that holds nothing.
    """
    ready, released = manuring(tables, "compost_ready_share"), manuring(tables, "compost_released_share")
    if kind == "bought compost":
        n, p, k, c = (manuring(tables, f"bought_compost_{element}_g_kg") for element in ELEMENTS)
        return Analysis(n, p, k, c, ready, released)
    kg = heap.kg * yield_share(tables, kind)
    way = HEAPED[kind]
    if way == "stored":
        ready, released = heap.ready_share, heap.released_share
    return Analysis(
        n_g_kg=1000.0 * heap.n_kg * (1.0 - manuring(tables, f"{way}_n_loss")) / kg,
        p_g_kg=1000.0 * heap.p_kg * (1.0 - manuring(tables, "heap_p_loss")) / kg,
        k_g_kg=1000.0 * heap.k_kg * (1.0 - manuring(tables, "heap_k_loss")) / kg,
        c_g_kg=1000.0 * heap.c_kg * (1.0 - manuring(tables, f"{way}_c_loss")) / kg,
        ready_share=ready,
        released_share=released,
    )


def collect(
    holding: Holding,
    tables: Tables,
    herd: HerdYear,
    months: tuple[Month, ...] = (),
    evenings: Evenings | None = None,
) -> tuple[Heap, HeapYear]:
    """The heap of a year, and the first terms of its law: excreted, bedding, dropped, lost in the house, kitchen.

    With the `evenings` on grass, and the months that they are of, what comes to the heap is what falls while housed.
    """
    month = np.array(month_of_day(months)) if months else np.zeros(0, dtype=np.int64)
    heap: dict[str, float] = dict.fromkeys(("kg", "dm", *ELEMENTS, "ready", "released"), 0.0)
    law: dict[str, float] = dict.fromkeys(("excreted", "bedding", "bedding_kg", "dropped", "house_lost"), 0.0)
    for need in herd.needs:
        n = float(np.sum(need.manure_n_kg))
        if n <= 0.0:
            continue
        stock, row = tables.row("stock", need.klass), manure_row(tables, need.klass)
        roofed = np.full(12, housed_share(holding, tables, need.group))
        if evenings is not None and followed(holding, need.group):
            roofed = housed_months(holding, tables, need.group, need.manure_n_kg, np.ones(12, np.bool_), evenings)
        housed_kg, housed_n = float(np.dot(roofed, need.manure_kg)), float(np.dot(roofed, need.manure_n_kg))
        heads = np.asarray(
            herd.events.heads_day.get((need.group, need.klass), np.zeros(DAYS_IN_YEAR)), dtype=np.float64
        )
        heads_d = float(np.dot(heads, roofed[month])) if len(month) else float(heads.sum() * roofed[0])
        straw = straw_of(tables, heads_d * straw_kg_d(tables, need.klass))
        reached_n = housed_n * (1.0 - row.need("house_loss")) + straw["n"]
        per_n = {element: stock.need(f"manure_{element}_g_d") / stock.need("manure_n_g_d") for element in ("p", "k")}
        heap["kg"] += housed_kg + straw["kg"]
        heap["dm"] += housed_kg * row.need("dm_fraction") + straw["dm"]
        heap["n"] += reached_n
        for element in ("p", "k"):
            heap[element] += housed_n * per_n[element] + straw[element]
        heap["c"] += housed_kg * row.need("dm_fraction") * row.need("c_fraction_dm") + straw["c"]
        heap["ready"] += reached_n * row.need("ready_share")
        heap["released"] += reached_n * row.need("released_share")
        law["excreted"] += n
        law["bedding"] += straw["n"]
        law["bedding_kg"] += straw["kg"]
        law["dropped"] += n - housed_n
        law["house_lost"] += housed_n * row.need("house_loss")
    of_stock_n = heap["n"]
    kitchen = kitchen_leavings(holding, tables)
    for name, amount in kitchen.items():
        heap[name] += amount
    heap["released"] += kitchen["n"] * manuring(tables, "kitchen_released_share")
    whole = heap["n"] > 0.0
    shares = {name: heap[name] / heap["n"] if whole else 0.0 for name in ("ready", "released")}
    return (
        Heap(heap["kg"], heap["dm"], heap["n"], heap["p"], heap["k"], heap["c"], shares["ready"], shares["released"]),
        HeapYear(
            excreted_n_kg=law["excreted"],
            bedding_n_kg=law["bedding"],
            bedding_kg=law["bedding_kg"],
            dropped_n_kg=law["dropped"],
            house_lost_n_kg=law["house_lost"],
            kitchen_kg=kitchen["kg"],
            kitchen_n_kg=kitchen["n"],
            cn=heap["c"] / heap["n"] if whole else 0.0,
            moisture=1.0 - heap["dm"] / heap["kg"] if whole else 0.0,
            balance_straw_kg=balance_straw_kg(tables, heap["c"], heap["n"]),
            manure_n_share=of_stock_n / heap["n"] if whole else 1.0,
        ),
    )


def straw_of(tables: Tables, kg: float) -> dict[str, float]:
    """Fresh mass, dry matter and elements of bedding straw, kg."""
    dm = kg * manuring(tables, "straw_dm_fraction")
    return {"kg": kg, "dm": dm} | {name: dm * manuring(tables, f"straw_{name}_fraction_dm") for name in ELEMENTS}


def kitchen_leavings(holding: Holding, tables: Tables) -> dict[str, float]:
    """Leavings of the kitchen in a year that go to the heap: fresh mass, dry matter and elements, kg.

    All of them where no animal may have them; none where the plan lets animals have them, for then they are feed.
    """
    rule = tables.row("feed_rules", KITCHEN_RULE)
    fed = rule.text(region_of(holding)) not in {OFF, NEVER} or KITCHEN_RULE in holding.rules.feeds_allowed
    kg = 0.0 if fed and holding.group else len(holding.people) * rule.need("number")
    dm = kg * tables.row("goods", "kitchen_leavings").need("dm_fraction")
    return {"kg": kg, "dm": dm} | {name: dm * manuring(tables, f"kitchen_{name}_fraction_dm") for name in ELEMENTS}


def balance_straw_kg(tables: Tables, c_kg: float, n_kg: float) -> float:
    """Straw that brings a heap's carbon over nitrogen up to the aim, fresh kg; 0 where it is there already.

    (C + s c) / (N + s n) = aim, with c and n of a kilogram of straw (Cornell's equation of the mix).
    """
    aim, straw = manuring(tables, "heap_cn_aim"), straw_of(tables, 1.0)
    return max(aim * n_kg - c_kg, 0.0) / (straw["c"] - aim * straw["n"])
