"""What befalls the whole holding in drawn years: a freezer that fails, a long power cut, the main worker laid up.

Each is keyed by the seed, the drawn year, its own key and the name of the freezer or the person (`growth.hazards.draws`), so
that it is the same whatever else is drawn. docs/years-policy.md says what it does.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.growth.hazards.chance import NORMAL
from yardland.growth.hazards.draws import Numbers, numbers
from yardland.growth.hazards.falls import size_at
from yardland.holding.model import Holding
from yardland.larder.description import MONTHS, Larder
from yardland.larder.power import COLD, HOURS_A_DAY, holds_h
from yardland.ledger.months import DAYS_IN_YEAR, Month, month_of_day
from yardland.reference import Tables
from yardland.works.hours import available_hours

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
FREEZER, POWER, ILL = "freezer_fails", "power_cut", "main_worker_ill"
DAYS_A_WEEK = 7
LEAST = 1e-12
"""A chance from which the cut is drawn no closer to 0 or 1: the normal has no bar there."""


@dataclass(frozen=True)
class Mishap:
    """One that came: year of the chain from 0, key, on whom or what, and about how many kilograms it may have cost."""

    year: int
    key: str
    subject: str
    lost_kg: float


@dataclass(frozen=True)
class Mishaps:
    """What befell a chain.

    thawed [year, 12] : share of all that lies frozen as the month begins that is lost in it
    hands [year, 12] : share of a month's putting by that the household can do ; told : in the order of the years
    """

    thawed: F64
    hands: F64
    told: tuple[Mishap, ...]


def mishaps(
    holding: Holding,
    tables: Tables,
    months: tuple[Month, ...],
    seed: int,
    chain: str,
    drawn_years: I64,
    worker: tuple[str, float] | None = None,
) -> Mishaps:
    """What befalls a chain of years.

    Args:
        holding: its freezers and people.
        tables: mishaps, storing.
        months: of the larder year.
        seed: of the draws.
        chain: name of the chain in the keys.
        drawn_years: numbers of its years, one after the other, [year].
        worker: who gives most hours and the share of all (`main_worker`), where it is known already.

    Raises:
        TableError: a figure that is missing.
    """
    kept, hands = np.ones((len(drawn_years), MONTHS)), np.ones((len(drawn_years), MONTHS))
    found: list[Mishap] = []
    freezers = {name: store for name, store in holding.store.items() if store.kind == COLD and store.volume_l > 0.0}
    litres = sum(store.volume_l for store in freezers.values())
    full = tables.row("storing", "freezer_full").need("number")
    for name, store in freezers.items():
        fails = numbers(seed, chain, FREEZER, name, drawn_years)
        cut = numbers(seed, chain, POWER, "", drawn_years)
        size = store.volume_l / litres
        thaws = [(FREEZER, *one) for one in failing(tables, fails)]
        thaws += [(POWER, *one) for one in cutting(tables, cut, store.power_cut_days_per_year)]
        for key, year, month, share in thaws:
            kept[year, month] *= 1.0 - size * share
            found.append(Mishap(year, key, name, store.volume_l * full * share))
    person, part = main_worker(holding, months) if worker is None else worker
    if part > 0.0:
        ill = numbers(seed, chain, ILL, person, drawn_years)
        for year, weeks, away in laid_up(tables, months, ill):
            hands = np.minimum(hands, 1.0 - part * away)
            jars = holding.kitchen.jars_per_week + holding.kitchen.dry_kg_per_week
            found.append(Mishap(year, ILL, person, part * weeks * jars))
    return Mishaps(1.0 - kept, hands, tuple(sorted(found, key=lambda one: one.year)))


def comes(strike: F64, chance: float) -> npt.NDArray[np.bool_]:
    """Whether it comes in each year, [year]."""
    if chance <= 0.0:
        return np.zeros(len(strike), dtype=np.bool_)
    return np.asarray(strike > NORMAL.inv_cdf(min(max(1.0 - chance, LEAST), 1.0 - LEAST)))


def failing(tables: Tables, drawn: Numbers) -> Iterator[tuple[int, int, float]]:
    """Years and months in which a freezer fails, and the share of what lies in it that is lost."""
    row = tables.row("mishaps", FREEZER)
    for year in np.flatnonzero(comes(drawn.strike, row.need("chance_per_year"))).tolist():
        share = size_of(tables, FREEZER, float(drawn.loss[year]))
        yield year, int(drawn.day[year] * MONTHS), min(share, 1.0)


def cutting(tables: Tables, drawn: Numbers, days_a_year: float) -> Iterator[tuple[int, int, float]]:
    """Years and months with a power cut that outlasts a freezer, and the share of what lies in it that is lost.

    Cuts come at random, their lengths exponential: one in exp(-hold / mean) outlasts the hold, by a time that is exponential
    again; what it spoils grows from nothing to all within as long again (`larder.power`). At most one a year is drawn.
    """
    mean, full = (tables.row("storing", key).need("number") for key in ("power_cut_h", "freezer_full"))
    hold = holds_h(tables, full)
    if days_a_year <= 0.0 or mean <= 0.0 or hold <= 0.0:
        return
    chance = 1.0 - math.exp(-days_a_year * HOURS_A_DAY / mean * math.exp(-hold / mean))
    for year in np.flatnonzero(comes(drawn.strike, chance)).tolist():
        over_h = -mean * math.log(max(1.0 - NORMAL.cdf(float(drawn.loss[year])), LEAST))
        yield year, int(drawn.day[year] * MONTHS), min(over_h / hold, 1.0)


def laid_up(tables: Tables, months: tuple[Month, ...], drawn: Numbers) -> Iterator[tuple[int, float, F64]]:
    """Years in which the main worker falls ill: for how many weeks, and the share of each month of the chain, [year, 12].

    An illness goes on over the year's end, and ends with the chain.
    """
    row, years = tables.row("mishaps", ILL), len(drawn.strike)
    month = np.tile(np.asarray(month_of_day(months)), years)
    month += np.repeat(np.arange(years) * MONTHS, DAYS_IN_YEAR)
    lengths = np.tile(np.array([one.days for one in months], dtype=np.float64), years)
    for year in np.flatnonzero(comes(drawn.strike, row.need("chance_per_year"))).tolist():
        weeks = size_of(tables, ILL, float(drawn.loss[year]))
        first = year * DAYS_IN_YEAR + int(drawn.day[year] * DAYS_IN_YEAR)
        days = month[first : first + round(weeks * DAYS_A_WEEK)]
        yield year, weeks, (np.bincount(days, minlength=years * MONTHS) / lengths).reshape(years, MONTHS)


def size_of(tables: Tables, key: str, normal: float) -> float:
    """Size of a mishap at a standard normal."""
    row = tables.row("mishaps", key)
    low, middle, high = row.need("size_low"), row.need("size"), row.need("size_high")
    return size_at(min(low, middle), middle, max(high, middle), NORMAL.cdf(normal))


def without_mean_thaw(larder: Larder) -> Larder:
    """The question without the mean loss to power cuts, which fall as they are drawn instead."""
    return replace(larder, keepings=tuple(replace(one, thaw_loss=0.0) for one in larder.keepings))


def main_worker(holding: Holding, months: tuple[Month, ...]) -> tuple[str, float]:
    """Who gives the holding most hours in the year, and the share of all hours; ("", 0) where nobody works."""
    hours = {name: float(available_hours({name: one}, months).sum()) for name, one in holding.people.items()}
    whole = sum(hours.values())
    if whole <= 0.0:
        return "", 0.0
    most = max(hours, key=lambda name: hours[name])
    return most, hours[most] / whole
