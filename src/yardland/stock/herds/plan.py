"""The plan of every group over many years: rows, calendar, policy and figures as arrays that the weekly steps read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from yardland.holding.model import Group, Holding, MonthDay
from yardland.reference import Tables
from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import name_hash
from yardland.stock.herds.layout import PlanArrays
from yardland.stock.herds.opening import opening_cohorts
from yardland.stock.herds.prices import bought_price, sales
from yardland.stock.herds.rows import RowLabel, Workroom, fill_rows, label_rows
from yardland.stock.herds.strikes import StrikePlan, group_strikes
from yardland.stock.herds.tables import needs_arrays
from yardland.stock.kinds import Husbandry, Klass, load_klass
from yardland.stock.sky import Sky, change_h_month

LOOK_WEEKS = 4
"""Lost males are replaced, and a flock under half its target filled up, on the first of every four weeks."""


@dataclass(frozen=True)
class GroupPlan:
    """One group's plan.

    rows : what each row of the arrays is ; born : planned days of birth or hatching
    strikes : what may strike it ; unpriced : classes that are bought and have no price (counted as nothing)
    """

    name: str
    group: Group
    rows: tuple[RowLabel, ...]
    arrays: PlanArrays
    born: tuple[MonthDay, ...]
    strikes: tuple[StrikePlan, ...]
    unpriced: tuple[str, ...]


@dataclass(frozen=True)
class HerdPlan:
    """Plans of all groups by name, and the sky they live under."""

    groups: dict[str, GroupPlan]
    sky: Sky


def compile_plan(holding: Holding, tables: Tables, sky: Sky) -> HerdPlan:
    """The plan of every group of a holding.

    Args:
        holding: its groups (heads, births, policy) and trades.
        tables: stock, herds, husbandry, breeding, herd_odds, herd_strikes, prices.
        sky: months, temperature and light of the larder year.

    Raises:
        TableError: a class that the tables do not hold, or a figure that is needed and missing.
    """
    sharing = _sharing(holding, tables)
    groups = {
        name: _group_plan(name, group, holding, tables, sky, sharing=sharing) for name, group in holding.group.items()
    }
    return HerdPlan(groups, sky)


def _sharing(holding: Holding, tables: Tables) -> Mapping[str, int]:
    """Groups that may sell each class: they share a trade's limit evenly."""
    count: dict[str, int] = {}
    for group in holding.group.values():
        held = set(group.heads) | {batch.class_ for batch in group.batch}
        held |= {load_klass(tables, key).young for key in group.heads} - {""}
        for klass in held:
            count[klass] = count.get(klass, 0) + 1
    return count


def _group_plan(
    name: str, group: Group, holding: Holding, tables: Tables, sky: Sky, *, sharing: Mapping[str, int]
) -> GroupPlan:
    keep = Husbandry(tables)
    rows = label_rows(group, tables)
    room = Workroom(name, group, rows, tables, sky, keep)
    row, figure = fill_rows(room)
    date = _dates(room, row)
    lot = _lots(room)
    _turnover(room, row, date)
    _keepers(row, date, figure)
    needs = needs_arrays(room, row, figure, lot)
    struck = group_strikes(group, rows, tables, sky, south=holding.place.latitude_deg < 0)
    unpriced = _prices(room, row, figure, holding)
    limit, price = sales(holding.trades, rows, sky, sharing)
    odds = _odds(room)
    parts: dict[str, Any] = needs | {
        "row": row,
        "figure": figure,
        "odds": odds,
        "row_hash": np.array([name_hash(label.klass, label.part, label.dam) for label in rows], dtype=np.uint64),
        "calendar": _calendar(room, row, date, lot),
        "date": date,
        "gather": _gather(room, date),
        "lot": lot,
        "sale_limit": limit,
        "sale_price": price,
        "strike": np.array([item.weekly for item in struck]).reshape(-1, at.WEEKS),
        "strike_loss": np.array([item.loss for item in struck]).reshape(-1, 3),
        "strike_on": np.array([item.rows for item in struck], dtype=np.int64).reshape(-1, len(rows)),
        "strike_hash": np.array([name_hash(item.key) for item in struck], dtype=np.uint64),
        "opening": np.zeros((0, at.FIELDS), np.int64),
        "nest": np.zeros(len(date), np.int64),
    }
    # One memory layout for all groups: else the weekly steps are compiled for each.
    arrays = PlanArrays(**{name: np.ascontiguousarray(part) for name, part in parts.items()})
    cohorts, nest = opening_cohorts(arrays, [group.heads.get(label.klass, 0) for label in rows])
    return GroupPlan(name, group, rows, arrays._replace(opening=cohorts, nest=nest), group.born, struck, unpriced)


def week_of(sky: Sky, when: MonthDay) -> int:
    """Week of the larder year (0-51) of a date that recurs."""
    return min(sky.day_of(when.month, when.day) // 7, at.WEEKS - 1)


def _dates(room: Workroom, row: at.I64) -> at.I64:
    """Every date of birth of every class of females: int64 [dates, DATE_NUMBERS], in the order of their services.

    Two dates in one week are one.
    """
    found: dict[tuple[int, int], list[int]] = {}
    for index, label in enumerate(room.rows):
        if row[index, at.PART] != at.DAM:
            continue
        klass = room.klass(label.klass)
        quotas = _quotas(klass, room.group.heads[label.klass], len(room.group.born))
        for when, quota in zip(room.group.born, quotas, strict=True):
            birth = week_of(room.sky, when)
            service = (birth - int(row[index, at.TERM_W])) % at.WEEKS
            kept = round(room.tables.row("breeding", klass.key)["hatching_keep_weeks"] or 0)
            if quota >= 0:
                found[index, birth] = [service, birth, index, quota, kept]
    return np.array(sorted(found.values()), dtype=np.int64).reshape(-1, at.DATE_NUMBERS)


def _gather(room: Workroom, date: at.I64) -> at.I64:
    """Weeks in which the eggs of each row are kept to be set, [rows, 52]."""
    gather = np.zeros((len(room.rows), at.WEEKS), np.int64)
    for service, _, row, _, kept in date:
        gather[row, (service - 1 - np.arange(kept)) % at.WEEKS] = 1
    return gather


def _quotas(dam: Klass, heads: int, dates: int) -> list[int]:
    """Females that bear on each date: 0 for all where they can bear that often, else shares; -1 where none is left."""
    turns = max(1, round(dam.figure("litters_per_year", 1.0)))
    if dates <= turns or dam.kind.sits != "litter":
        return [0] * dates
    shares = [min((heads * turns + dates - 1 - index) // dates, heads) for index in range(dates)]
    return [share or -1 for share in shares]


def _keepers(row: at.I64, date: at.I64, figure: at.F64) -> None:
    """The births of which young females are kept: where others may be bought, those that join nearest to the yearly change.

    Mammals join at that change, if they are old enough for the service that follows; their years count from there.

    Of a flock in which some sit, the date's quota becomes the young females to keep of it.
    """
    for index in np.flatnonzero((row[:, at.PART] == at.DAM) & (row[:, at.KEEPS] == 1)):
        own = np.flatnonzero(date[:, at.DATE_ROW] == index)
        if row[index, at.BUYS] and row[index, at.KEEP_YOUNG] < 0:
            late = _weeks_late(row[index], date[own, at.DATE_BIRTH])
            row[index, at.KEEP_BORN_W] = date[own[np.argmin(late)], at.DATE_BIRTH]
        if row[index, at.SITS] == at.LITTER:
            row[index, at.CULL_W] += _weeks_late(row[index], date[own, at.DATE_BIRTH]).min() - at.SERVE_AFTER_TURN_W
        if row[index, at.SITS] != at.SOME_SIT:
            continue
        kept = own
        if row[index, at.KEEP_BORN_W] >= 0:
            kept = own[date[own, at.DATE_BIRTH] == row[index, at.KEEP_BORN_W]]
        fixed = int(row[index, at.KEEP_YOUNG])
        wanted = float(figure[index, at.RENEWED]) if fixed < 0 else float(fixed)
        ends = [int(wanted * (place + 1) / len(kept) + 0.5) for place in range(len(kept))]
        date[kept, at.DATE_QUOTA] = np.diff([0, *ends])


def _weeks_late(row: at.I64, birth: at.I64) -> at.I64:
    """Weeks between the age of joining and the yearly change, for births in some weeks of the year.

    Of mammals, to the next change for whose services they are old enough; of birds, to the nearest either way.
    """
    if row[at.SITS] == at.LITTER:
        return np.asarray((row[at.TURN_W] - birth - (row[at.JOIN_W] - at.SERVE_AFTER_TURN_W)) % at.WEEKS)
    half = at.WEEKS // 2
    return np.asarray(np.abs((birth + row[at.JOIN_W] - row[at.TURN_W] + half) % at.WEEKS - half))


def _lots(room: Workroom) -> at.I64:
    """What is bought every year to fatten: int64 [lots, LOT_NUMBERS]."""
    found: list[list[int]] = []
    for index, label in enumerate(room.rows):
        if label.part != "bought":
            continue
        klass = room.klass(label.klass)
        start = klass.arrival_age_d()
        age = round(start / 7)
        for batch in room.group.batch:
            if batch.class_ == label.klass:
                found += [[week_of(room.sky, when), index, batch.count, age] for when in batch.on]
        if label.klass not in room.group.heads:
            continue
        span = round(klass.row.need("slaughter_age_d")) - start
        lots, places = max(1, 365 // span), room.group.heads[label.klass]
        heads = places if span <= 365 else max(1, places * 365 // span)
        first = room.sky.months[int(change_h_month(room.sky.daylength_h).argmax())].first_day // 7
        found += [[(first + lot * at.WEEKS // lots) % at.WEEKS, index, heads, age] for lot in range(lots)]
    return np.array(sorted(found), dtype=np.int64).reshape(-1, at.LOT_NUMBERS)


def _turnover(room: Workroom, row: at.I64, date: at.I64) -> None:
    """The week in which the adults of each row change: oldest out, bought in."""
    autumn = room.sky.months[int(change_h_month(room.sky.daylength_h).argmin())].first_day // 7
    first = -1
    for index in range(len(row)):
        if row[index, at.PART] != at.DAM:
            continue
        own = date[date[:, at.DATE_ROW] == index]
        if row[index, at.SITS] == at.LITTER:
            row[index, at.TURN_W] = (own[0, at.DATE_SERVICE] - at.SERVE_AFTER_TURN_W) % at.WEEKS if len(own) else 0
        elif row[index, at.SITS] == at.SOME_SIT and len(own) and row[index, at.KEEPS]:
            row[index, at.TURN_W] = (own[0, at.DATE_BIRTH] + row[index, at.JOIN_W]) % at.WEEKS
        else:
            row[index, at.TURN_W] = autumn
        first = int(row[index, at.TURN_W]) if first < 0 else first
    row[row[:, at.PART] == at.SIRE, at.TURN_W] = max(first, 0)


def _prices(room: Workroom, row: at.I64, figure: at.F64, holding: Holding) -> tuple[str, ...]:
    """Money of one head bought of each row, set into `figure`; the classes bought without a price."""
    lacking = []
    for index, label in enumerate(room.rows):
        young = room.klass(label.klass).young if row[index, at.PART] == at.DAM else ""
        price = bought_price(room.tables, holding.trades, label.klass, young, int(row[index, at.BUY_W]))
        figure[index, at.PRICE] = price or 0.0
        if price is None and row[index, at.PART] != at.YOUNG:
            lacking.append(label.klass)
    return tuple(dict.fromkeys(lacking))


def _odds(room: Workroom) -> at.F64:
    """Figures of the group."""
    number = room.odds
    odds = np.zeros(at.ODDS)
    odds[at.FEMALE_SHARE], odds[at.EMERGENCY] = number("female_share"), number("emergency_share")
    odds[at.SWARMS], odds[at.SWARM_HONEY] = number("swarm_share"), number("swarm_honey_share")
    odds[at.SPLITS], odds[at.NO_HONEY] = number("split_success"), number("no_honey_share")
    odds[at.HONEY_HALF_WIDTH] = honey_half_width(number("no_honey_share"), number("honey_spread"))
    odds[at.POOR], odds[at.SUGAR_KG] = number("poor_honey_share"), number("sugar_poor_kg")
    odds[at.SIRE_COST] = room.group.sire.cost if room.group.sire else 0.0
    colony = [label.klass for label in room.rows if label.part == "colonies"]
    odds[at.WINTER_LOSS] = room.klass(colony[0]).figure("mortality_adult_per_year") if colony else 0.0
    return odds


def honey_half_width(none: float, spread: float) -> float:
    """Half-width (over their mean) of the even spread of years with honey, so that all years vary by `spread`.

    With a share `none` of years without any, E[x^2] = m^2 (1 + spread^2) asks of the others a variance over their squared
    mean of (1 + spread^2) (1 - none) - 1; an even spread has half-width sqrt(3) times the root of it, at most its mean.
    """
    variance = max(0.0, (1.0 + spread * spread) * (1.0 - none) - 1.0)
    return float(min(1.0, np.sqrt(3.0 * variance)))


def _calendar(room: Workroom, row: at.I64, date: at.I64, lot: at.I64) -> at.I64:
    """Bits of what is done in each week, [52]."""
    sky, bits = room.sky, np.zeros(at.WEEKS, np.int64)
    bits[::LOOK_WEEKS] |= at.LOOK
    bits[date[:, at.DATE_SERVICE]] |= at.SERVE
    sits = row[date[:, at.DATE_ROW], at.SITS] != at.LITTER
    bits[date[sits, at.DATE_BIRTH]] |= at.BROOD
    bits[lot[:, at.LOT_WEEK]] |= at.ARRIVE
    bits[row[np.isin(row[:, at.PART], (at.DAM, at.SIRE)), at.TURN_W]] |= at.TURN
    if any(label.part == "colonies" for label in room.rows):
        warm = int(np.argmax(sky.daylength_h))
        bits[sky.months[(warm + 1) % 12].first_day // 7] |= at.HONEY
        bits[sky.months[(warm + 8) % 12].first_day // 7] |= at.WINTER
        bits[sky.months[(warm + 11) % 12].first_day // 7] |= at.SPRING
    sire = room.group.sire
    if sire is not None and sire.cost > 0.0 and sire.how != "kept":
        bits[week_of(sky, sire.from_) if sire.from_ else 0] |= at.SIRE_COMING
    return bits
