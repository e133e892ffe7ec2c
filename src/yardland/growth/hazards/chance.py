"""How likely a hazard is in each year, given the weather that drives it; over the record's years the mean is the table's.

A draw is a standard normal, z = sqrt(d) D + sqrt(y) Y + sqrt(h) H + sqrt(o) O with d + y + h + o = 1: weather, year, holding,
own. The hazard comes where z passes a bar. docs/growth-hazards.md has the whole of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from yardland.growth.hazards.spans import Span, driver_before, on_axis, spans
from yardland.growth.hazards.table import Hazard, months_of, one_of
from yardland.growth.io import F64, I64
from yardland.reference.tables import Tables
from yardland.weather.types import Forcing

NORMAL = NormalDist()
FARTHEST = 3.0
"""A driver's weather counts as at most so many standard deviations from its mean."""
STEPS = 100
WIDEST = 20.0


@dataclass(frozen=True)
class Norm:
    """What a driver's weather is like over the years of a record.

    mean, spread : mean and standard deviation, mm or C ; turn : 1 where more is likelier, else -1
    distances [year] : of each year from the mean, in standard deviations, turned so that more is likelier
    """

    mean: float
    spread: float
    turn: float
    distances: F64

    def distance(self, amount: F64) -> F64:
        """Standard deviations from the mean, turned so that more is likelier."""
        if self.spread <= 0.0:
            return np.zeros_like(amount)
        return np.asarray(self.turn * np.clip((amount - self.mean) / self.spread, -FARTHEST, FARTHEST))


@dataclass(frozen=True)
class Outlook:
    """One coming round of a hazard's months, in every lane.

    first, last : days of the axis on which it may fall, the weather that drives it being known by then
    years [lane] : calendar year in which its months begin ; chance [lane] ; bar [lane] : that a standard normal must pass
    """

    first: int
    last: int
    years: I64
    chance: F64
    bar: F64


def is_south(forcing: Forcing) -> bool:
    """Whether the months of the tables are half a year later here."""
    return forcing.latitude_deg < 0


def driver_norms(tables: Tables, forcing: Forcing) -> dict[str, Norm]:
    """Every driver over the larder years of a record: its months in the larder year of each lane."""
    return {key: _norm(tables, forcing, key) for key in tables.keys("drivers")}


def _driver_spans(tables: Tables, forcing: Forcing, driver: str) -> tuple[Span, ...]:
    return spans(months_of(tables.row("drivers", driver)), forcing.start_month, south=is_south(forcing))


def _norm(tables: Tables, forcing: Forcing, driver: str) -> Norm:
    row = tables.row("drivers", driver)
    latest = max((span for span in _driver_spans(tables, forcing, driver) if on_axis(span)), key=lambda span: span.last)
    amount = driver_amount(tables, forcing, driver, latest)
    turn = 1.0 if one_of(row, "turn", ("up", "down")) == "up" else -1.0
    spread = float(amount.std())
    # sums of like numbers differ by rounding: a record of one weather has no spread
    held = Norm(float(amount.mean()), spread if spread > 1e-9 * abs(float(amount.mean())) else 0.0, turn, np.zeros(0))
    return Norm(held.mean, held.spread, turn, held.distance(amount))


def driver_amount(tables: Tables, forcing: Forcing, driver: str, span: Span) -> F64:
    """Rain of these days, mm, or their mean temperature, C, [lane]."""
    days = slice(span.first, span.last + 1)
    if one_of(tables.row("drivers", driver), "measure", ("rain", "warmth")) == "rain":
        return np.asarray(forcing.rain_mm[days].sum(axis=0))
    return np.asarray((forcing.tmin_c[days] + forcing.tmax_c[days]).mean(axis=0) / 2)


def outlooks(hazard: Hazard, tables: Tables, forcing: Forcing, norms: dict[str, Norm]) -> tuple[Outlook, ...]:
    """The hazard in each of the years that a lane reaches into.

    Where the driver's months lie before the axis their weather is not known, and the chance is the table's.
    """
    found = []
    starts = np.array(forcing.start_years, dtype=np.int64)
    drivers = _driver_spans(tables, forcing, hazard.driver) if hazard.driver else ()
    for span in spans(hazard.months, forcing.start_month, south=is_south(forcing)):
        if span.last < 0:
            continue
        driver = driver_before(drivers, span)
        first = span.first
        chance = np.full(len(starts), hazard.chance)
        if driver is not None:
            first = min(max(first, driver.last + 1), span.last)
            if on_axis(driver):
                norm = norms[hazard.driver]
                distance = norm.distance(driver_amount(tables, forcing, hazard.driver, driver))
                chance = chances(hazard.chance, driver_share(tables), norm.distances, distance)
        bars = {one: bar_of(one) for one in set(chance.tolist())}
        bar = np.array([bars[one] for one in chance.tolist()])
        found.append(Outlook(first, span.last, starts + span.year_step, chance, bar))
    return tuple(found)


def driver_share(tables: Tables) -> float:
    """Share of the variance of a draw that is the weather."""
    return tables.row("odds", "driver_share").need("number")


def chances(mean: float, share: float, record: F64, distance: F64) -> F64:
    """Chance in years whose weather lies at `distance`, so that the mean over the record's years is `mean`.

    P = Phi((sqrt(share) D - t) / sqrt(1 - share)), with t such that the mean of P over `record` is `mean`.

    Args:
        mean: chance of a year, 0-1.
        share: of the variance that is the weather, 0-0.5.
        record: distances of the record's years, [year].
        distance: of the years that are asked for, [lane].
    """
    if mean <= 0.0 or mean >= 1.0:
        return np.full(len(distance), mean)
    return _chance(share, distance, _bar_of_record(mean, share, tuple(record.tolist())))


@lru_cache(maxsize=1024)
def _bar_of_record(mean: float, share: float, record: tuple[float, ...]) -> float:
    """The bar t of `chances`, by halving: the same for every chain and round, and so sought once."""
    distances = np.array(record)
    low, high = -WIDEST, WIDEST
    for _ in range(STEPS):
        middle = (low + high) / 2
        if float(_chance(share, distances, middle).mean()) > mean:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _chance(share: float, distance: F64, bar: float) -> F64:
    """Chance that a draw passes the bar, given its weather."""
    scaled = (math.sqrt(share) * distance - bar) / math.sqrt(1.0 - share)
    return np.array([0.5 * math.erfc(-float(one) / math.sqrt(2.0)) for one in scaled])


def bar_of(chance: float) -> float:
    """What a standard normal passes with that chance."""
    if chance <= 0.0:
        return math.inf
    return -math.inf if chance >= 1.0 else -NORMAL.inv_cdf(chance)
