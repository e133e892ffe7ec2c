"""Shortages as people live them: how deep, how long, in which years worst."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import groupby

import numpy as np
import numpy.typing as npt

from yardland.odds.share import F64, Flags, counted_years

MONTHS = 12


@dataclass(frozen=True, slots=True)
class Shortage:
    """Every month against the household's need, arrays [chain, year, month]; months of years that do not count are not short.

    coverage : eaten / needed of energy or protein, whichever is less ; by_protein : protein is the lesser
    short, dire : the month is under the threshold ; person_days : people x days at home
    short_days, dire_days : person-days in such months ; lacking_days : person-days' worth of food that short months lack
    counted : bool [chain, year]
    """

    coverage: F64
    by_protein: Flags
    short: Flags
    dire: Flags
    person_days: F64
    short_days: F64
    dire_days: F64
    lacking_days: F64
    counted: Flags

    @property
    def short_years(self) -> Flags:
        """Whether the year has a short month, [chain, year]."""
        return np.asarray(self.short.any(axis=2), dtype=np.bool_)


@dataclass(frozen=True, slots=True)
class Spell:
    """Short months in a row, over the turn of years too.

    chain, year, month : of its first month, from 0 ; months : how long ; depth : 1 - coverage in its worst month, 0-1
    short_days, dire_days, lacking_days : as in Shortage, summed ; open_start, open_end : it touches the first, the last
    counted month of its chain and may be longer
    """

    chain: int
    year: int
    month: int
    months: int
    depth: float
    short_days: float
    dire_days: float
    lacking_days: float
    open_start: bool
    open_end: bool


@dataclass(frozen=True, slots=True)
class SpellSummary:
    """All spells of a run: how many per ten years, how long and deep; lengths are months -> number of spells."""

    spells: int
    per_ten_years: float
    lengths: dict[int, int]
    median_months: float
    longest_months: int
    mean_depth: float
    greatest_depth: float


@dataclass(frozen=True, slots=True)
class WorstYear:
    """A short year: lacking_days ranks it; the first short month and its lesser nutrient tell what failed first."""

    chain: int
    year: int
    lacking_days: float
    short_days: float
    dire_days: float
    depth: float
    short_months: tuple[int, ...]
    first_lacks: str


def shortage(
    energy: npt.ArrayLike,
    protein: npt.ArrayLike,
    person_days: npt.ArrayLike,
    short_under: float,
    dire_under: float,
    counted: npt.ArrayLike | None = None,
) -> Shortage:
    """The months in which the household has too little.

    Args:
        energy: eaten / needed, 0 or more, [chain, year, month].
        protein: the same of protein.
        person_days: people x days of the month; any shape that can be spread over [chain, year, month].
        short_under: a month under this coverage in energy or protein is short.
        dire_under: a month under this one is dire as well.
        counted: which years count, bool [chain, year]; all where None.

    Raises:
        ValueError: shapes differ, a number is not finite or negative, thresholds out of order.
    """
    fuel, body = _months(energy, "energy"), _months(protein, "protein")
    if fuel.shape != body.shape:
        raise ValueError(f"protein: found {body.shape}, expected {fuel.shape} as energy has")
    if not 0.0 < dire_under <= short_under:
        raise ValueError(f"thresholds: found short {short_under}, dire {dire_under}; expected 0 < dire <= short")
    people = np.asarray(person_days, dtype=np.float64)
    if not np.isfinite(people).all() or (people < 0.0).any():
        raise ValueError("person_days: found a number that is negative or not finite, expected 0 or more")
    try:
        days = np.broadcast_to(people, fuel.shape)
    except ValueError:
        raise ValueError(f"person_days: found {people.shape}, expected what spreads over {fuel.shape}") from None
    mask = counted_years(counted, (fuel.shape[0], fuel.shape[1]))
    least = np.minimum(fuel, body)
    short, dire = (least < short_under) & mask[:, :, None], (least < dire_under) & mask[:, :, None]
    lacking = np.where(short, np.maximum(0.0, 1.0 - least), 0.0) * days
    return Shortage(least, body < fuel, short, dire, days, short * days, dire * days, lacking, mask)


def spells(found: Shortage) -> tuple[Spell, ...]:
    """Every run of short months, by chain and time."""
    told: list[Spell] = []
    for chain in range(len(found.short)):
        line = found.short[chain].ravel()
        ends = np.flatnonzero(np.repeat(found.counted[chain], found.short.shape[2]))
        for is_short, run in groupby(range(len(line)), key=line.__getitem__):
            if is_short:
                months = list(run)
                told.append(_spell(found, chain, slice(months[0], months[-1] + 1), (int(ends[0]), int(ends[-1]))))
    return tuple(told)


def summary(told: tuple[Spell, ...], years: int) -> SpellSummary:
    """How often, how long, how deep.

    Args:
        told: spells of a run.
        years: its counted years.

    Raises:
        ValueError: no counted year.
    """
    if years < 1:
        raise ValueError(f"years: found {years}, expected 1 or more")
    lengths = [spell.months for spell in told]
    depths = [spell.depth for spell in told]
    return SpellSummary(
        len(told),
        10.0 * len(told) / years,
        dict(sorted(Counter(lengths).items())),
        float(np.median(lengths)) if told else 0.0,
        max(lengths, default=0),
        float(np.mean(depths)) if told else 0.0,
        max(depths, default=0.0),
    )


def worst_years(found: Shortage, most: int) -> tuple[WorstYear, ...]:
    """The short years that lack most food, worst first: by lacking person-days, then by depth, then as they came."""
    lacking = found.lacking_days.sum(axis=2)
    depth = np.where(found.short, 1.0 - found.coverage, 0.0).max(axis=2)
    chains, years = np.nonzero(found.short_years)
    order = np.lexsort((years, chains, -depth[chains, years], -lacking[chains, years]))[: max(0, most)]
    return tuple(_year(found, int(chains[index]), int(years[index])) for index in order)


def _year(found: Shortage, chain: int, year: int) -> WorstYear:
    here = (chain, year)
    months = tuple(int(month) for month in np.flatnonzero(found.short[here]))
    return WorstYear(
        chain,
        year,
        float(found.lacking_days[here].sum()),
        float(found.short_days[here].sum()),
        float(found.dire_days[here].sum()),
        float(1.0 - found.coverage[here][list(months)].min()),
        months,
        "protein" if found.by_protein[here][months[0]] else "energy",
    )


def _spell(found: Shortage, chain: int, run: slice, ends: tuple[int, int]) -> Spell:
    year, month = divmod(int(run.start), found.short.shape[2])
    return Spell(
        chain,
        year,
        month,
        int(run.stop - run.start),
        float(1.0 - found.coverage[chain].ravel()[run].min()),
        float(found.short_days[chain].ravel()[run].sum()),
        float(found.dire_days[chain].ravel()[run].sum()),
        float(found.lacking_days[chain].ravel()[run].sum()),
        run.start == ends[0],
        run.stop - 1 == ends[1],
    )


def _months(values: npt.ArrayLike, name: str) -> F64:
    array = np.asarray(values, dtype=np.float64)
    if array.ndim != 3 or array.shape[-1] != MONTHS or array.size == 0:
        raise ValueError(f"{name}: found {array.shape}, expected [chain, year, 12 months]")
    if not np.isfinite(array).all() or (array < 0.0).any():
        raise ValueError(f"{name}: found a coverage that is negative or not finite, expected 0 or more")
    return array
