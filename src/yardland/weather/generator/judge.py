"""Drawn years judged against what they were fitted to: a verdict for each statistic, and the years in a few figures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.weather.climate import MONTH_LENGTHS
from yardland.weather.generator.draw import Drawn, draw
from yardland.weather.generator.model import MONTH_OF_DAY, RAIN_DAY_MM, Model
from yardland.weather.generator.stats import Row, Years, compare
from yardland.weather.normals import Normals
from yardland.weather.types import F64, Record

LEAST_COMPARED, MOST_COMPARED = 1000, 4000
"""Years that a comparison draws: enough that its own chance is small, no more than it needs."""
CLOSE_SHARE = 0.01
"""Nearer than this to the record counts as kept, however narrow the interval: no gauge is better (common practice)."""
TOLERANCE_C, TOLERANCE_SHARE, TOLERANCE_MM, TOLERANCE_DAYS = 0.5, 0.05, 2.0, 0.3
"""What drawn years may differ by from the normals they were fitted to: C; share of rain and rain days, and at least so much."""


@dataclass(frozen=True)
class Verdict:
    """One statistic: in how many of its months the drawn years are inside the bounds, or near, and the month furthest off."""

    name: str
    unit: str
    months: int
    inside: int
    worst: Row

    @property
    def kept(self) -> bool:
        """Whether every month lies inside."""
        return self.inside == self.months


@dataclass(frozen=True)
class Judged:
    """The comparison of `compared` drawn years with a record's years or with twelve normals.

    rows : bounds are the record's 95 % sampling interval, or what may differ from normals
    recorded : the record's years, or one year with the months of the normals
    """

    rows: tuple[Row, ...]
    compared: int
    generated: Years
    recorded: Years
    with_normals: bool

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        """One for each statistic, in order."""
        return verdicts(self.rows)


def judged(model: Model, seed: int, years: int, record: Record, normals: Normals | None) -> Judged:
    """The generator's years, without warming, against the record or the normals that it was fitted to."""
    many = min(max(years, LEAST_COMPARED), MOST_COMPARED)
    generated = Years.of_drawn(draw(model, seed, many))
    recorded = Years.of_record(record)
    if normals is None:
        return Judged(compare(recorded, generated), many, generated, recorded, with_normals=False)
    return Judged(against_normals(normals, generated), many, generated, recorded.first(1), with_normals=True)


def verdicts(rows: tuple[Row, ...]) -> tuple[Verdict, ...]:
    """Rows gathered by statistic, in order of their first."""
    by_name: dict[str, list[Row]] = {}
    for row in rows:
        by_name.setdefault(row.name, []).append(row)
    return tuple(
        Verdict(name, own[0].unit, len(own), sum(_kept(row) for row in own), max(own, key=offset))
        for name, own in by_name.items()
    )


def _kept(row: Row) -> bool:
    return row.inside or abs(row.generated - row.record) <= CLOSE_SHARE * abs(row.record)


def offset(row: Row) -> float:
    """How far the generated value is from the record's, in half-widths of the bounds on that side."""
    side = row.high - row.record if row.generated > row.record else row.record - row.low
    return abs(row.generated - row.record) / max(side, 1e-12)


def against_normals(normals: Normals, years: Years) -> tuple[Row, ...]:
    """Months of drawn years against twelve normals: temperatures to 0.5 C, rain and rain days to 5 % (2 mm, 0.3 days)."""
    near_c = np.full(12, TOLERANCE_C)
    near_mm = np.maximum(TOLERANCE_SHARE * normals.rain_mm, TOLERANCE_MM)
    rows = [
        *_rows("mean Tmin", "C", normals.tmin_c, near_c, _month_means(years.tmin_c)),
        *_rows("mean Tmax", "C", normals.tmax_c, near_c, _month_means(years.tmax_c)),
        *_rows("mean rain", "mm", normals.rain_mm, near_mm, _month_means(years.rain_mm) * MONTH_LENGTHS),
    ]
    if normals.rain_days is not None and normals.rain_day_mm == RAIN_DAY_MM:
        near = np.maximum(TOLERANCE_SHARE * normals.rain_days, TOLERANCE_DAYS)
        wet = _month_means((years.rain_mm >= RAIN_DAY_MM).astype(np.float64)) * MONTH_LENGTHS
        rows += _rows("rain days", "days", normals.rain_days, near, wet)
    return tuple(rows)


def _rows(name: str, unit: str, known: F64, near: F64, made: F64) -> list[Row]:
    return [
        Row(name, unit, m + 1, *(float(x) for x in (known[m], known[m] - near[m], known[m] + near[m], made[m])))
        for m in range(12)
    ]


def _month_means(values: F64) -> F64:
    return np.stack([values[:, m == MONTH_OF_DAY].mean() for m in range(12)])


@dataclass(frozen=True)
class YearFigures:
    """A quantity of a year over some years: 5, 50 and 95 %, and the extremes."""

    low: float
    middle: float
    high: float
    least: float
    most: float

    @classmethod
    def of(cls, values: F64) -> YearFigures:
        """Of one value a year."""
        low, middle, high = np.quantile(values, [0.05, 0.5, 0.95])
        return cls(float(low), float(middle), float(high), float(values.min()), float(values.max()))


def year_figures(drawn: Drawn) -> dict[str, YearFigures]:
    """Yearly rain, mm; thirst of short grass, mm; mean temperature, C; coldest night and hottest day, C."""
    return {
        "rain_mm": YearFigures.of(drawn.rain_mm.sum(axis=1)),
        "eto_mm": YearFigures.of(drawn.eto_mm.sum(axis=1)),
        "tmean_c": YearFigures.of((drawn.tmin_c + drawn.tmax_c).mean(axis=1) / 2),
        "coldest_c": YearFigures.of(drawn.tmin_c.min(axis=1)),
        "hottest_c": YearFigures.of(drawn.tmax_c.max(axis=1)),
    }
