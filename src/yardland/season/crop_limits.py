"""What a crop's or a sward's days were held back by: by month, by ten days, and over all."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from yardland.growth.io import F64
from yardland.growth.trace import Trace
from yardland.ledger.months import MONTH_NAMES

LIMITS = ("cold", "heat", "water", "nitrogen")
"""What can hold growth back; of two that leave the same share the earlier in this order is named."""
WORTH_NAMING = 0.05
"""Least share of ten days' growth that is lost before a limit is named (our band)."""


@dataclass(frozen=True)
class Spell:
    """A month or ten days: what leaves caught, what they made of it, and what took the rest.

    key : "2023-06" of a month, "2023-06-11" of ten days (from the 1st, the 11th, the 21st of a month) ; days : in it
    cover : mean ; light_mj : caught, MJ/m2 ; made_g_m2 : dry matter ; degree_days : gathered
    warmth, water, nitrogen : factors, mean by the light of the days (plain mean where no light was caught), 0-1
    lost : by `LIMITS`, share of the growth that was lost to it
    n_taken_kg_ha, n_fixed_kg_ha, n_leached_kg_ha : sums ; soil_n_kg_ha : mineral in the ground at the end
    """

    key: str
    days: int
    cover: float
    light_mj: float
    made_g_m2: float
    degree_days: float
    rain_mm: float
    irrigation_mm: float
    warmth: float
    water: float
    nitrogen: float
    lost: dict[str, float]
    n_taken_kg_ha: float
    n_fixed_kg_ha: float
    n_leached_kg_ha: float
    soil_n_kg_ha: float

    @property
    def limit(self) -> str:
        """What took most, "" where nothing took much."""
        name = max(LIMITS, key=lambda one: self.lost[one])
        return name if self.lost[name] >= WORTH_NAMING else ""


@dataclass(frozen=True)
class DayByDay:
    """The year that is shown: days, the date of each, stages by date, and its months and ten-day spells."""

    trace: Trace
    dates: tuple[date, ...]
    stages: tuple[tuple[str, str], ...]
    months: tuple[Spell, ...]
    tens: tuple[Spell, ...]

    @property
    def lost(self) -> dict[str, float]:
        """By `LIMITS`, share of the whole growth that was lost to it."""
        whole = sum(month.light_mj for month in self.months)
        return {
            name: sum(month.lost[name] * month.light_mj for month in self.months) / whole if whole > 0 else 0.0
            for name in LIMITS
        }

    @property
    def nearest_frost(self) -> tuple[float, date] | None:
        """Least distance from the killing temperature while the crop was up, C (negative: killed), and its day."""
        days = self.trace.days
        up = np.flatnonzero(days["emerged"] > 0)
        if not len(up):
            return None
        margin = (days["cold_c"] - days["kill_c"])[up]
        at = int(np.argmin(margin))
        return float(margin[at]), self.dates[int(up[at])]

    def runs(self) -> Iterator[tuple[str, int, int]]:
        """Limits one after the other with their first and last ten-day spell; spells without growth are left out."""
        start = 0
        for index in range(1, len(self.tens) + 1):
            if index == len(self.tens) or self._named(index) != self._named(start):
                if self._named(start) is not None:
                    yield self.tens[start].limit, start, index - 1
                start = index

    def _named(self, index: int) -> str | None:
        spell = self.tens[index]
        return spell.limit if spell.light_mj > 0 else None


def day_by_day(seen: Trace, first: date, stages: tuple[tuple[str, str], ...]) -> DayByDay:
    """A trace with the dates of its days, the first of them given, and its spells."""
    dates = common_days(first, len(seen.days["ks"]))
    return DayByDay(seen, dates, stages, spells(seen, dates, month_key), spells(seen, dates, ten_key))


def common_days(first: date, count: int) -> tuple[date, ...]:
    """Days from `first` on, without 29 February."""
    days: list[date] = []
    day = first
    while len(days) < count:
        if (day.month, day.day) != (2, 29):
            days.append(day)
        day += timedelta(days=1)
    return tuple(days)


def month_key(day: date) -> str:
    """The month of a day: "2023-06"."""
    return f"{day.year}-{day.month:02d}"


def ten_key(day: date) -> str:
    """The first of the ten-day spell of a day: "2023-06-11"; the third of a month has eight to eleven days."""
    return f"{month_key(day)}-{1 + 10 * min((day.day - 1) // 10, 2):02d}"


def losses(days: Mapping[str, F64]) -> dict[str, F64]:
    """Light whose growth was lost, MJ/m2 by day, by `LIMITS`.

    A day's growth is light caught x the least of min(cold, heat), ks and n_index: the whole loss of a day is put down to
    the least, so that what was made and what was lost are the whole.
    """
    left = np.stack([days["cold"], days["heat"], days["ks"], days["n_index"]])
    least = left.argmin(axis=0)
    gone = days["light_mj"] * (1.0 - left.min(axis=0))
    return {name: np.where(least == place, gone, 0.0) for place, name in enumerate(LIMITS)}


def spells(seen: Trace, dates: tuple[date, ...], key_of: Callable[[date], str]) -> tuple[Spell, ...]:
    """The days in spells of one key each, in order."""
    keys = np.array([key_of(day) for day in dates])
    gone = losses(seen.days)
    return tuple(_spell(key, seen.days, gone, keys == key) for key in dict.fromkeys(keys.tolist()))


def _spell(key: str, days: Mapping[str, F64], gone: Mapping[str, F64], here: F64) -> Spell:
    def total(name: str) -> float:
        return float(days[name][here].sum())

    light = days["light_mj"][here]
    weight = light if light.sum() > 0 else np.ones(len(light))
    warm = np.minimum(days["cold"], days["heat"])
    whole = float(light.sum())
    return Spell(
        key=key,
        days=len(light),
        cover=float(days["cover"][here].mean()),
        light_mj=whole,
        made_g_m2=total("dm_g_m2"),
        degree_days=total("degree_days"),
        rain_mm=total("rain_mm"),
        irrigation_mm=total("irrigation_mm"),
        warmth=float(np.average(warm[here], weights=weight)),
        water=float(np.average(days["ks"][here], weights=weight)),
        nitrogen=float(np.average(days["n_index"][here], weights=weight)),
        lost={name: float(part[here].sum()) / whole if whole > 0 else 0.0 for name, part in gone.items()},
        n_taken_kg_ha=total("taken_n_kg_ha"),
        n_fixed_kg_ha=total("fixed_n_kg_ha"),
        n_leached_kg_ha=total("leached_n_kg_ha"),
        soil_n_kg_ha=float(days["soil_n_kg_ha"][here][-1]),
    )


def month_words(key: str) -> str:
    """A month as "2023-06" in words: Jun 2023."""
    year, _, month = key.partition("-")
    return f"{MONTH_NAMES[int(month) - 1]} {year}"


def ten_words(key: str) -> str:
    """Ten days as "2023-06-11" in words: 11 Jun 2023."""
    day = date.fromisoformat(key)
    return f"{day.day} {MONTH_NAMES[day.month - 1]} {day.year}"
