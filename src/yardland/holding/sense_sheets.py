"""Sense of the sheets: plantings, trades, own figures, stores, calendar."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from typing import Literal

from yardland.errors import Fault
from yardland.holding.draft import Draft
from yardland.holding.known import KnownNames
from yardland.holding.misfit import one_of, shown
from yardland.holding.model import PlantingRow
from yardland.holding.when import MonthDay, Span

PLANTINGS, TRADES = "plantings.csv", "trades.csv"
STORES, CALENDAR = "stores.csv", "calendar.csv"
PLANTED_USES = ("crops", "garden", "orchard", "grass")
ROUNDING = 1e-6
ANY_YEAR = -1
MOST_NAMES = 6

Place = tuple[str, int | Literal["every"], str]
"""Plot, year of the rotation, crop."""


def planting_names(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """Plantings name a plot of the plan that can be planted, and a known crop."""
    for row in draft.plantings:
        where = f"line {row.line}, column"
        if draft.plan_read and row.plot not in draft.names("plot"):
            remedy = one_of(row.plot, draft.names("plot"), "plot")
            yield Fault(PLANTINGS, f"{where} plot", shown(row.plot), "a name under [plot] in holding.toml", remedy)
        elif row.plot in draft.plot and draft.plot[row.plot].use not in PLANTED_USES:
            found = f'"{row.plot}", a {draft.plot[row.plot].use}'
            remedy = "Choose another plot, or change the use of this one in holding.toml."
            yield Fault(PLANTINGS, f"{where} plot", found, "a plot of " + ", ".join(PLANTED_USES), remedy)
        if known.crops and row.crop not in known.crops:
            yield Fault(PLANTINGS, f"{where} crop", shown(row.crop), "a crop", one_of(row.crop, known.crops, "crop"))


def under_grass(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """No planting stands on ground that carries a sward: the sward takes the whole of its plot."""
    for name in dict.fromkeys(row.plot for row in draft.plantings):
        if name in draft.plot and draft.plot[name].sward is not None:
            line = next(row.line for row in draft.plantings if row.plot == name)
            found = f'"{name}", which carries a sward over the whole of it'
            remedy = "Divide the plot in two, one with the sward and one for crops, or take one of them out."
            yield Fault(PLANTINGS, f"line {line}, column plot", found, "ground without a sward", remedy)


def repeats(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """A repeated sowing has a first day, a last day and a step."""
    for row in draft.plantings:
        where = f"line {row.line}, column"
        if (row.every_days is None) != (row.until is None):
            missing = "every_days" if row.every_days is None else "until"
            expected = "both every_days and until, or neither"
            yield Fault(PLANTINGS, f"{where} {missing}", "nothing", expected, f"Add {missing}, or clear the other.")
        elif row.every_days is not None and not isinstance(row.sow, MonthDay):
            found = f'sow "{row.sow}" with every_days'
            yield Fault(PLANTINGS, f"{where} sow", found, 'the first day, as "03-20"', "Give the first sowing's day.")


def followers(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """`after` names another crop of that plot and year; who is sown "after" says after what."""
    crops: dict[tuple[str, int | str], set[str]] = defaultdict(set)
    for row in draft.plantings:
        crops[row.plot, row.year].add(row.crop)
        crops[row.plot, ANY_YEAR].add(row.crop)
    for row in draft.plantings:
        where = f"line {row.line}, column after"
        if row.sow == "after" and not row.after:
            yield Fault(PLANTINGS, where, "nothing", "the crop it follows", 'Name the crop, or write sow "auto".')
        elif row.after and (row.plot, row.after) not in draft.unsound_plantings:
            years = (ANY_YEAR,) if row.year == "every" else (row.year, "every")
            there = set().union(*(crops[row.plot, year] for year in years))
            if row.after not in there:
                expected = f"a crop planted in {row.plot} in the same year"
                yield Fault(PLANTINGS, where, shown(row.after), expected, one_of(row.after, there, "crop"))


def rings(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """No planting waits, through those it follows, for itself."""
    follows = {(row.plot, row.year, row.crop): row for row in draft.plantings if row.after}
    seen: set[Place] = set()
    for key in follows:
        ring = _ring(key, follows, seen)
        if ring:
            found = " after ".join(crop for _, _, crop in [*ring, ring[0]])
            remedy = "Clear `after` for the crop that comes first."
            where = f"line {follows[ring[0]].line}, column after"
            yield Fault(PLANTINGS, where, f"a ring: {found}", "a first crop that follows none", remedy)


def _ring(key: Place, follows: dict[Place, PlantingRow], seen: set[Place]) -> list[Place]:
    """The ring that the way from `key` runs into, unless it meets a planting `seen` before; notes all that it meets."""
    way: dict[Place, None] = {}
    while key in follows and key not in seen:
        seen.add(key)
        way[key] = None
        row = follows[key]
        key = (row.plot, row.year, row.after)
    met = list(way)
    return met[met.index(key) :] if key in way else []


def twins(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """No line stands twice."""
    seen: dict[PlantingRow, int] = {}
    for row in draft.plantings:
        same = row.model_copy(update={"line": 0})
        if same in seen:
            remedy = "Take one out, or add up their shares."
            yield Fault(PLANTINGS, f"line {row.line}", f"the same as line {seen[same]}", "lines that differ", remedy)
        seen.setdefault(same, row.line)


def seasons(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """No crop is to be sown in the open at a time when nobody can sow it."""
    if known.sowable is None or draft.place is None:
        return
    for row in draft.plantings:
        covered = row.plot in draft.plot and draft.plot[row.plot].cover != "open"
        days = _sowing_days(row)
        if covered or not days or row.crop not in known.crops:
            continue
        if not any(known.sowable(row.crop, day, draft.place.latitude_deg) for day in days):
            season = known.seasons.get(row.crop, "")
            expected = f"a day in {season}" if season in {"spring", "autumn"} else "a day when it can be sown"
            found = f"{row.crop} sown {row.sow} at latitude {draft.place.latitude_deg:g}"
            remedy = 'Write "auto" to let the climate choose, or another day.'
            yield Fault(PLANTINGS, f"line {row.line}, column sow", found, expected, remedy)


def _sowing_days(row: PlantingRow) -> list[MonthDay]:
    """The middle of each month that a sowing day or window touches, its ends as they are."""
    if isinstance(row.sow, MonthDay):
        return [row.sow]
    if not isinstance(row.sow, Span):
        return []
    start, end = row.sow
    count = (end.month - start.month) % 12 or (12 if end < start else 0)
    between = [MonthDay((start.month - 1 + step) % 12 + 1, 15) for step in range(1, count)]
    return [start, *between, end]


def shares(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """Plantings whose sowing plainly coincides take no more than their plot.

    Plainly: windows or days that overlap, or crops that sow themselves ("auto") in the same season. A planting that
    follows another takes over its ground and does not count.
    """
    for plot in dict.fromkeys(row.plot for row in draft.plantings):
        rows = [row for row in draft.plantings if row.plot == plot and not row.after]
        years: set[int | str] = {row.year for row in rows if row.year != "every"} or {"every"}
        told: set[tuple[int, ...]] = set()
        for year in sorted(years, key=str):
            for together in _coinciding([row for row in rows if row.year in {year, "every"}], known):
                lines = tuple(row.line for row in together)
                total = sum(row.share for row in together)
                if total > 1.0 + ROUNDING and not any(set(lines) <= set(other) for other in told):
                    told.add(lines)
                    names = " + ".join(f"{row.crop} {row.share:g}" for row in together[:MOST_NAMES])
                    names += " + ..." if len(together) > MOST_NAMES else ""
                    remedy = "Make the shares smaller, or let one follow another with sow `after`."
                    where = f"line {lines[-1]}, column share"
                    yield Fault(PLANTINGS, where, f"{total:g} of {plot} ({names})", "at most 1 together", remedy)


def _coinciding(rows: list[PlantingRow], known: KnownNames) -> Iterator[list[PlantingRow]]:
    """Sets of plantings that are all sown at one time: at each fixed day where a window opens, and by season."""
    fixed = [row.sow for row in rows if isinstance(row.sow, MonthDay | Span)]
    for day in dict.fromkeys(sow if isinstance(sow, MonthDay) else sow.start for sow in fixed):
        yield [other for other in rows if _open_on(other, day)]
    by_season: dict[str, list[PlantingRow]] = defaultdict(list)
    for row in rows:
        if row.sow == "auto" and (season := known.seasons.get(row.crop)) in {"spring", "autumn"}:
            by_season[str(season)].append(row)
    yield from by_season.values()


def _open_on(row: PlantingRow, day: MonthDay) -> bool:
    """Whether a planting with a fixed day or window may be sown on `day`."""
    if isinstance(row.sow, MonthDay):
        return row.sow == day
    if not isinstance(row.sow, Span):
        return False
    start, end = row.sow
    return start <= day <= end if start <= end else day >= start or day <= end


def trades(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """Trades name a known item and a whole season, and none can be bought to be sold dearer."""
    bought: dict[tuple[str, str], float] = {}
    for row in draft.trades:
        if row.do == "buy":
            bought[row.item, row.per] = min(row.price, bought.get((row.item, row.per), row.price))
    for row in draft.trades:
        where = f"line {row.line}, column"
        if known.items and row.item not in known.items:
            expected = "a good or a class of stock"
            yield Fault(TRADES, f"{where} item", shown(row.item), expected, one_of(row.item, known.items, "item"))
        if (row.from_ is None) != (row.to is None):
            missing = "from" if row.from_ is None else "to"
            yield Fault(TRADES, f"{where} {missing}", "nothing", "both from and to, or neither", f"Add {missing}.")
        cheapest = bought.get((row.item, row.per))
        if row.do == "sell" and cheapest is not None and row.price > cheapest:
            found = f"{row.item} sold at {row.price:g} and bought at {cheapest:g}"
            remedy = "Correct a price; dealing in it would earn money without end."
            yield Fault(TRADES, f"{where} price", found, "a selling price at or under the buying price", remedy)


def own_figures(draft: Draft, known: KnownNames, _today: date) -> Iterator[Fault]:
    """Own figures stand over figures that the tables have."""
    if known.own_faults is not None and draft.own:
        yield from known.own_faults(draft.own)


def shelves(draft: Draft, known: KnownNames, today: date) -> Iterator[Fault]:
    """What is on the shelves is a known good, put by in a known way, and made already."""
    for row in draft.stores_today:
        where = f"line {row.line}, column"
        if known.goods and row.good not in known.goods:
            yield Fault(STORES, f"{where} good", shown(row.good), "a good", one_of(row.good, known.goods, "good"))
        if row.method and known.methods and row.method not in known.methods:
            remedy = one_of(row.method, known.methods, "method")
            yield Fault(STORES, f"{where} method", shown(row.method), "a way of putting by", remedy)
        if row.made is not None and row.made > today:
            yield Fault(STORES, f"{where} made", f"{row.made}, after today", "a day that has been", "Correct it.")


def calendar_plots(draft: Draft, _known: KnownNames, _today: date) -> Iterator[Fault]:
    """Dates in the calendar are for plots of the plan."""
    for row in draft.calendar:
        if draft.plan_read and row.plot not in draft.names("plot"):
            remedy = one_of(row.plot, draft.names("plot"), "plot")
            where = f"line {row.line}, column plot"
            yield Fault(CALENDAR, where, shown(row.plot), "a name under [plot] in holding.toml", remedy)


CHECKS = (
    planting_names,
    under_grass,
    repeats,
    followers,
    rings,
    twins,
    seasons,
    shares,
    trades,
    own_figures,
    shelves,
    calendar_plots,
)
