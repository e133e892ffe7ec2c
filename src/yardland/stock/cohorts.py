"""Who is born, kept, bought, killed and culled in a year of steady numbers, in whole heads.

The year is a ring of 365 days: every year is alike, so young that live past the year's end are found again at its
start. Rules of whole heads (docs/stock-heads.md): young born are rounded down, losses and adults replaced to the nearest,
deaths bring no meat, and as many adults leave as young join.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from yardland.holding.model import Batch, Group, MonthDay, TradeRow
from yardland.ledger.months import DAYS_IN_YEAR
from yardland.reference import Tables
from yardland.stock.kinds import Husbandry, Klass, load_klass
from yardland.stock.sky import Sky, change_h_month

ROUND_DOWN = 1e-9


@dataclass(frozen=True, slots=True)
class HerdEvent:
    """Something that happens to stock on a day of the larder year (0-364).

    `kind`: service, set, born, hatched, bought, weaned, joined, culled, died, killed, sold, dried off,
    moult, shorn, sire comes, split (a colony made from another), honey.
    `live_kg` is the live weight of all the heads together; `cost` the money of a hired or bought sire.
    """

    day: int
    kind: str
    group: str
    klass: str
    heads: int
    live_kg: float = 0.0
    cost: float = 0.0


@dataclass(frozen=True, slots=True)
class Litter:
    """Young born or hatched together, in all the dams that bear on that day.

    day : day of the larder year; dams : how many bear (or sit); born, reared : whole heads of young
    eggs_set : eggs under the sitting birds (0 for mammals)
    """

    day: int
    dam: Klass
    dams: int
    born: int
    reared: int
    eggs_set: int = 0


@dataclass(frozen=True, slots=True)
class Cohort:
    """Heads of one age that grow from `start_day` for `days` days, then are killed, sold or join the adults.

    `curve` is the class whose growth they follow (their dam's when they join her); until `weaned_d` milk feeds them.
    """

    klass: Klass
    heads: int
    start_day: int
    start_age_d: int
    days: int
    fate: str
    curve: Klass
    weaned_d: int = 0

    def end_kg(self) -> float:
        """Live weight of one on its last day."""
        return float(self.curve.weight_kg(self.start_age_d + self.days))


@dataclass
class GroupYear:
    """One group's year in heads: adults that stay, litters, cohorts and events."""

    name: str
    adults: dict[str, tuple[Klass, int]]
    litters: list[Litter] = field(default_factory=list)
    cohorts: list[Cohort] = field(default_factory=list)
    events: list[HerdEvent] = field(default_factory=list)
    short_of_young: dict[str, int] = field(default_factory=dict)
    replaced: dict[str, float] = field(default_factory=dict)
    sire_missing: tuple[str, ...] = ()

    @property
    def grown(self) -> dict[str, int]:
        """Adult heads by class."""
        return {key: count for key, (_, count) in self.adults.items()}

    def note(self, kind: str, day: int, klass: str, heads: int, *, live_kg: float = 0.0, cost: float = 0.0) -> None:
        """Write an event down, unless it concerns no animal and no money."""
        if heads or cost:
            self.events.append(HerdEvent(day % DAYS_IN_YEAR, kind, self.name, klass, heads, live_kg, cost))


def group_year(name: str, group: Group, tables: Tables, sky: Sky, market: Market) -> GroupYear:
    """The year of one group.

    Args:
        name: its name in the holding.
        group: heads, birth dates, what is kept and bought.
        tables: figures of the classes.
        sky: months and light of the larder year.
        market: takes live young as far as the trades allow.

    Raises:
        TableError: an unknown class.
    """
    classes = {key: load_klass(tables, key) for key in group.heads}
    year = GroupYear(name, {key: (klass, group.heads[key]) for key, klass in classes.items()})
    year.sire_missing = tuple(key for key, klass in classes.items() if _needs_sire(klass, group))
    kept_left = group.keep_young
    for key, klass in classes.items():
        if klass.kind.role == "grower":
            _steady_lots(year, klass, group.heads[key], sky)
            continue
        wanted = _replacements(klass, group.heads[key])
        year.replaced[key] = wanted
        keep = _half_up(wanted) if group.keep_young is None or not _bears(key, group, year) else (kept_left or 0)
        joined = _births(year, key, group, tables, sky, keep=keep)
        if kept_left is not None and _bears(key, group, year):
            kept_left -= joined
        _renew(year, klass, group.heads[key], sky, joined=joined, keep=keep)
    _sire(year, group, sky)
    for batch in group.batch:
        _batch(year, batch, group.kill_after_days, tables, sky)
    _leave(year, sky, market)
    return year


def _needs_sire(klass: Klass, group: Group) -> bool:
    """Whether young are planned for a class of dams and neither a male of its kind nor an arrangement is named."""
    if klass.kind.role != "dam" or not group.born or group.sire is not None:
        return False
    return not klass.kind.sire or klass.kind.sire not in group.heads


def _bears(key: str, group: Group, year: GroupYear) -> bool:
    klass, _ = year.adults[key]
    return klass.kind.role == "dam" and bool(group.born) and key not in year.sire_missing


def _replacements(klass: Klass, heads: int) -> float:
    """Adults that leave in a mean year: heads x (1 / breeding life + mortality)."""
    life = klass.figure("breeding_life_yr")
    return heads * ((1.0 / life if life else 0.0) + klass.figure("mortality_adult_per_year"))


def _half_up(value: float) -> int:
    return int(value + 0.5 + ROUND_DOWN)


def _down(value: float) -> int:
    return int(value + ROUND_DOWN)


def _births(year: GroupYear, key: str, group: Group, tables: Tables, sky: Sky, *, keep: int) -> int:
    """Litters of one class of dams and their cohorts; says how many young join the adults."""
    if not _bears(key, group, year):
        return 0
    dam, heads = year.adults[key]
    young = load_klass(tables, dam.young)
    sitting = Husbandry(tables)["sitting_hens_share"]
    joined = 0
    for when, dams in _bearing(dam, heads, group.born):
        day = sky.day_of(when.month, when.day)
        litter = _litter(dam, young, day, dams, heads=heads, keep=keep, sitting_share=sitting)
        year.litters.append(litter)
        _litter_events(year, litter, young)
        kept = min(keep - joined, litter.reared // 2)
        joined += kept
        _raise(year, litter, young, kept, group.kill_after_days)
    if keep > joined:
        year.short_of_young[key] = keep - joined
    return joined


def _bearing(dam: Klass, heads: int, born: tuple[MonthDay, ...]) -> Iterator[tuple[MonthDay, int]]:
    """Dates and the dams that bear on each: all of them when they can bear that often, else shared out over the dates."""
    yearly = dam.figure("litters_per_year", 1.0)
    if len(born) <= max(1, round(yearly)) or dam.kind.sits != "litter":
        yield from ((when, heads) for when in born)
        return
    turns = max(1, round(yearly))
    for index, when in enumerate(born):
        share = (heads * turns + len(born) - 1 - index) // len(born)
        if share:
            yield when, min(share, heads)


def _litter(dam: Klass, young: Klass, day: int, dams: int, *, heads: int, keep: int, sitting_share: float) -> Litter:
    """One day's young: born = dams x litter, or eggs set x hatchability, rounded down; reared = born less early losses."""
    loss = dam.figure("mortality_young_fraction", young.figure("mortality_young_fraction"))
    if dam.kind.sits == "litter":
        born = _down(dams * dam.row.need("litter_or_clutch_size"))
        return Litter(day, dam, dams, born, _reared(born, loss))
    set_each, hatch = dam.row.need("eggs_set_per_sitting"), dam.row.need("hatchability_of_set")
    sitting = dams
    if dam.kind.sits == "one":
        wanted = math.ceil((2.0 * keep + 1.0) / (set_each * hatch * (1.0 - loss)))
        sitting = min(max(1, wanted), max(1, _down(heads * sitting_share)))
    born = _down(sitting * set_each * hatch)
    return Litter(day, dam, sitting, born, _reared(born, loss), _down(sitting * set_each))


def _reared(young: int, loss: float) -> int:
    """Young left after the early losses, which are rounded to whole heads."""
    return young - min(young, _half_up(young * loss))


def _litter_events(year: GroupYear, litter: Litter, young: Klass) -> None:
    dam = litter.dam
    bird = dam.kind.sits != "litter"
    before = round(dam.row.need("gestation_or_incubation_d"))
    year.note("set" if bird else "service", litter.day - before, dam.key, litter.dams)
    year.note("hatched" if bird else "born", litter.day, young.key, litter.born)
    year.note("died", litter.day, young.key, litter.born - litter.reared)
    weaning = dam.figure("weaning_age_d")
    if weaning and not bird:
        year.note("weaned", litter.day + round(weaning), young.key, litter.reared)
    if dam.good("milk"):
        year.note("dried off", litter.day + round(dam.figure("lactation_d")), dam.key, litter.dams)


def _raise(year: GroupYear, litter: Litter, young: Klass, kept: int, kill_after: int | None) -> None:
    """Cohorts of a litter: those kept to join the dams, the rest to the age of slaughter."""
    dam = litter.dam
    weaned = round(dam.figure("weaning_age_d")) if dam.kind.sits == "litter" else 0
    if kept:
        age = round(dam.figure("age_first_egg_d") or dam.row.need("age_first_breeding_d"))
        year.cohorts.append(Cohort(young, kept, litter.day, 0, age, "joined", dam, weaned))
    if litter.reared > kept:
        age = kill_after or round(young.row.need("slaughter_age_d"))
        year.cohorts.append(Cohort(young, litter.reared - kept, litter.day, 0, age, "killed", young, weaned))


def _renew(year: GroupYear, klass: Klass, heads: int, sky: Sky, *, joined: int, keep: int) -> None:
    """Adults that leave: as many as join or are bought; the deaths among them bring no meat."""
    if klass.kind.role == "colony":
        lost = _half_up(year.replaced[klass.key])
        year.note("died", 0, klass.key, lost)
        year.note("split", sky.months[_spring(sky)].first_day, klass.key, lost)
        return
    bought = max(0, _half_up(year.replaced[klass.key]) - joined) if not joined or keep > joined else 0
    bought = min(bought, keep - joined) if joined else bought
    leaving = joined + bought
    died = min(leaving, _half_up(heads * klass.figure("mortality_adult_per_year")))
    day = _turnover_day(year, klass, sky)
    year.note("bought", day, klass.key, bought, live_kg=bought * klass.adult_kg())
    year.note("died", day, klass.key, died)
    if klass.good("meat"):
        year.note("culled", day, klass.key, leaving - died, live_kg=(leaving - died) * klass.adult_kg())
    if klass.good("egg"):
        year.note("moult", sky.months[_autumn(sky)].first_day, klass.key, heads)


def _turnover_day(year: GroupYear, klass: Klass, sky: Sky) -> int:
    """The day adults change: when kept young join; else in autumn for birds, on the first day of the year for others."""
    for cohort in year.cohorts:
        if cohort.fate == "joined" and cohort.curve.key == klass.key:
            return (cohort.start_day + cohort.days) % DAYS_IN_YEAR
    return sky.months[_autumn(sky)].first_day if klass.good("egg") else 0


def _autumn(sky: Sky) -> int:
    """Index of the month in which the days shorten fastest."""
    return int(change_h_month(sky.daylength_h).argmin())


def _spring(sky: Sky) -> int:
    """Index of the month in which the days lengthen fastest."""
    return int(change_h_month(sky.daylength_h).argmax())


def _steady_lots(year: GroupYear, klass: Klass, places: int, sky: Sky) -> None:
    """Growers named among the heads: places that are filled again and again with bought young, as often as a year allows."""
    start = klass.arrival_age_d()
    span = round(klass.row.need("slaughter_age_d")) - start
    lots = DAYS_IN_YEAR // span
    heads = places if lots else max(1, places * DAYS_IN_YEAR // span)
    for lot in range(max(1, lots)):
        day = (sky.months[_spring(sky)].first_day + lot * DAYS_IN_YEAR // max(1, lots)) % DAYS_IN_YEAR
        _bring_in(year, klass, heads, day, age_d=start, span_d=span)


def _batch(year: GroupYear, batch: Batch, kill_after: int | None, tables: Tables, sky: Sky) -> None:
    """Young bought in on each date of a batch; early losses come off at once."""
    klass = load_klass(tables, batch.class_)
    start = klass.arrival_age_d()
    age = klass.figure("slaughter_age_d") or klass.figure("age_first_breeding_d")
    for when in batch.on:
        span = kill_after or max(1, round(age) - start)
        _bring_in(year, klass, batch.count, sky.day_of(when.month, when.day), age_d=start, span_d=span)


def _bring_in(year: GroupYear, klass: Klass, heads: int, day: int, *, age_d: int, span_d: int) -> None:
    reared = _reared(heads, klass.figure("mortality_young_fraction"))
    year.note("bought", day, klass.key, heads, live_kg=heads * float(klass.weight_kg(age_d)))
    year.note("died", day, klass.key, heads - reared)
    if reared:
        year.cohorts.append(Cohort(klass, reared, day, age_d, span_d, "killed", klass))


def _sire(year: GroupYear, group: Group, sky: Sky) -> None:
    """The coming of a hired, borrowed or bought sire, with its money."""
    if group.sire is None or group.sire.from_ is None or group.sire.how == "kept":
        return
    day = sky.day_of(group.sire.from_.month, group.sire.from_.day)
    year.note("sire comes", day, next(iter(group.heads), ""), 1, cost=group.sire.cost)


def _leave(year: GroupYear, sky: Sky, market: Market) -> None:
    """What becomes of each cohort at its end: killed, or sold alive as far as the trades take them."""
    for cohort in year.cohorts:
        day = (cohort.start_day + cohort.days) % DAYS_IN_YEAR
        weight = cohort.end_kg()
        if cohort.fate == "joined":
            year.note("joined", day, cohort.curve.key, cohort.heads, live_kg=cohort.heads * weight)
            continue
        sold = market.take(cohort.klass.key, cohort.heads, day, sky)
        year.note("sold", day, cohort.klass.key, sold, live_kg=sold * weight)
        year.note("killed", day, cohort.klass.key, cohort.heads - sold, live_kg=(cohort.heads - sold) * weight)


class Market:
    """Live heads that the trades take (item a class of stock, sold per head), with their limits a month."""

    def __init__(self, trades: tuple[TradeRow, ...]) -> None:
        self._trades = [trade for trade in trades if trade.do == "sell" and trade.per == "head"]
        self._taken: dict[tuple[int, int], int] = {}

    def take(self, klass: str, heads: int, day: int, sky: Sky) -> int:
        """Heads of a class that are sold on a day, of those that are ready."""
        sold, month = 0, int(sky.month[day])
        for trade in self._trades:
            if trade.item != klass or not _open(trade, day, sky):
                continue
            taken = self._taken.get((trade.line, month), 0)
            room = heads - sold if trade.limit_month is None else max(0, _down(trade.limit_month) - taken)
            now = min(heads - sold, room)
            self._taken[trade.line, month] = taken + now
            sold += now
        return sold


def _open(trade: TradeRow, day: int, sky: Sky) -> bool:
    """Whether a trade takes place on a day of the larder year."""
    if trade.from_ is None or trade.to is None:
        return True
    start = sky.day_of(trade.from_.month, trade.from_.day)
    length = (sky.day_of(trade.to.month, trade.to.day) - start) % DAYS_IN_YEAR
    return (day - start) % DAYS_IN_YEAR <= length
