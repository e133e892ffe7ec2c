"""Drawn years in words and tables: what they hold, and what of the record they keep, for the page and the terminal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from yardland.report.drawing import Drawing, Table
from yardland.report.figures.generator import generator_drawing
from yardland.report.figures.weather_months import MONTHS
from yardland.report.figures.weather_years import day_words
from yardland.report.words import listed
from yardland.weather.generator.draw import Drawn
from yardland.weather.generator.judge import Judged, Verdict, YearFigures, year_figures
from yardland.weather.generator.stats import Row, Years, frost_days
from yardland.weather.types import F64
from yardland.weather.years import DAYS

SHORT_UNITS = {"MJ/m2/day": "MJ/m²", "C2": "C²"}
HALF_A_YEAR = 181
"""Frost days of the south are counted from 1 July (docs/weather-years.md)."""


@dataclass(frozen=True)
class DrawnTold:
    """The years asked for, and the generator judged by what it was fitted to."""

    drawn: Drawn
    judged: Judged


def heading(told: DrawnTold) -> str:
    """How many years, and by which seed."""
    years = len(told.drawn.rain_mm)
    return f"{years:,} drawn {'year' if years == 1 else 'years'}, seed {told.drawn.seed}"


def facts(told: DrawnTold) -> list[tuple[str, str]]:
    """Name and words of each fact of the drawn years."""
    of = year_figures(told.drawn)
    return [
        ("Rain", _in_words(of["rain_mm"], "mm", 0, "driest", "wettest")),
        ("Warmth", "Mean of a year " + _in_words(of["tmean_c"], "°C", 1, "coldest", "warmest")),
        ("Thirst", "Short grass would drink " + _in_words(of["eto_mm"], "mm", 0, "least", "most")),
        ("Extremes", _extremes(of["coldest_c"], of["hottest_c"])),
        ("Frost", _frost(told.drawn)),
    ]


def _in_words(of: YearFigures, unit: str, digits: int, least: str, most: str) -> str:
    def said(value: float) -> str:
        return _minus(f"{value:,.{digits}f}")

    if of.least == of.most:
        return f"{said(of.middle)} {unit} in the one year."
    return (
        f"{said(of.low)} to {said(of.high)} {unit} in nine years of ten, {said(of.middle)} in the middle one; {least} "
        f"{said(of.least)}, {most} {said(of.most)}."
    )


def _extremes(cold: YearFigures, hot: YearFigures) -> str:
    return (
        f"Coldest night of a year {_signed(cold.middle)} °C in the middle one, {_signed(cold.least)} in the worst; hottest "
        f"day {_signed(hot.middle)} °C, {_signed(hot.most)} in the worst."
    )


def _minus(words: str) -> str:
    return words.replace("-", "−")  # noqa: RUF001 (a minus sign)


def _signed(value: float) -> str:
    return _minus(f"{value:.1f}")


def _frost(drawn: Drawn) -> str:
    last, first = frost_days(Years.of_drawn(drawn))
    shift = 0 if drawn.latitude_deg >= 0 else HALF_A_YEAR

    def day(values: F64, share: float) -> str:
        """The day by which a share of all years has had its frost; years without never have it."""
        known = values[np.isfinite(values)]
        rank = int(np.ceil(share * len(values))) - 1
        return day_words((int(np.sort(known)[rank]) + shift) % DAYS + 1) if rank < len(known) else "none"

    if np.isnan(last).all() and np.isnan(first).all():
        return "None in any year."
    # A year without frost has its last one before all others.
    early = np.where(np.isnan(last), -1.0, last)
    springs = [np.quantile(early, share, method="inverted_cdf") for share in (0.5, 0.9)]
    spring = ["none" if at < 0 else day_words((int(at) + shift) % DAYS + 1) for at in springs]
    return (
        f"Last by {spring[0]} in half of the years, by {spring[1]} in nine of ten; first by {day(first, 0.1)} in one of ten, "
        f"by {day(first, 0.5)} in half."
    )


def verdict_words(told: DrawnTold) -> str:
    """What the table is, and how much is kept."""
    judged = told.judged
    kept = sum(one.kept for one in judged.verdicts)
    if judged.with_normals:
        return (
            f"{kept} of {len(judged.verdicts)} statistics of the normals are kept in every month by {judged.compared:,} drawn "
            "years, to 0.5 °C, and to 5 % of rain and rain days (or 2 mm, 0.3 days). Spread between years, spells and lags are "
            "defaults: nothing here knows them."
        )
    years = len(judged.recorded.rain_mm)
    return (
        f"{kept} of {len(judged.verdicts)} statistics of the {years} recorded years are kept in every month: {judged.compared:,} "
        "drawn years lie inside the record's own 95 % sampling interval, or within 1 % of it. Shown is the month furthest off."
    )


def not_kept(told: DrawnTold) -> str:
    """The statistics that some month misses, with the month; empty when there is none."""
    missed = [
        f"{one.name} ({one.months - one.inside} of {one.months} months)" if one.months > 1 else one.name
        for one in told.judged.verdicts
        if not one.kept
    ]
    return f"Not kept: {listed(missed)}." if missed else ""


def table(told: DrawnTold) -> Table:
    """Statistic, months inside, the month furthest off, the record's figure, its bounds, the drawn years' figure."""
    known = "Normals" if told.judged.with_normals else "Record"
    bounds = "May be" if told.judged.with_normals else "95 % interval"
    rows = tuple(_row(one) for one in told.judged.verdicts)
    return Table(("Statistic", "Kept", "Month", known, bounds, "Drawn"), rows)


def _row(one: Verdict) -> tuple[str, ...]:
    worst = one.worst
    number = _numbers(worst)
    unit = f", {SHORT_UNITS.get(one.unit, one.unit)}" if one.unit else ""
    return (
        f"{one.name.replace('wet days less dry days', 'wet less dry days')}{unit}",
        f"{one.inside}/{one.months}",
        MONTHS[worst.month - 1] if worst.month else "year",
        number(worst.record),
        f"{number(worst.low)} to {number(worst.high)}",
        number(worst.generated),
    )


def _numbers(row: Row) -> Callable[[float], str]:
    """Three figures of the largest of the row, and as many decimals for the others."""
    most = max(abs(value) for value in (row.record, row.low, row.high, row.generated))
    digits = 0 if most >= 100 else 1 if most >= 10 else 2
    return lambda value: _minus(f"{value:.{digits}f}")


def drawing(told: DrawnTold) -> Drawing:
    """Months of the drawn years as bands, of the record (or the normals) as dots."""
    judged = told.judged
    return generator_drawing(judged.recorded, judged.generated, normals=judged.with_normals)


def drawn_json(told: DrawnTold) -> dict[str, object]:
    """Plain data: years, seed, source, sums of the years, each statistic of each month, notes."""
    drawn, judged = told.drawn, told.judged
    return {
        "years": len(drawn.rain_mm),
        "seed": drawn.seed,
        "source": drawn.source,
        "year": {
            key: {name: round(getattr(of, name), 3) for name in ("low", "middle", "high", "least", "most")}
            for key, of in year_figures(drawn).items()
        },
        "compared_years": judged.compared,
        "compared_with": "normals" if judged.with_normals else "record",
        "statistics": [
            {
                "name": row.name,
                "unit": row.unit,
                "month": row.month or None,
                "known": _rounded(row.record),
                "low": _rounded(row.low),
                "high": _rounded(row.high),
                "drawn": _rounded(row.generated),
                "inside": row.inside,
            }
            for row in judged.rows
        ],
        "notes": list(drawn.notes),
    }


def _rounded(value: float) -> float:
    return float(f"{value:.6g}")
