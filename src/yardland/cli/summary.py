"""The terminal summary of a year: what a farmer reads first, in 80 columns or those of a narrower terminal."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

import numpy as np

from yardland.cli.output import Line, columns
from yardland.report.answer import FAILING, HUNGRY, Answer, answer, by_grade, cautions_named
from yardland.report.lookup import Lookup
from yardland.report.words import counted, figure, listed, month_runs, of_hours, plain, title

if TYPE_CHECKING:
    from yardland.larderyear.result import Finding, YearResult

MARKS = {"met": "", "tight": "-", "short": "v", "dire": "V"}
NUTRIENTS = 10
"""So many short nutrients are named."""
MONTHS_WIDE = 77
"""Columns that a row of twelve months takes."""
SHOWN = {"danger": 6, "rule": 6, "short": 5, "tight": 6, "note": 0}
"""How many findings of each grade the summary names; the report has all."""
MUCH, MUCH_DAYS = 0.1, 5.0
"""Part of the days by energy, and days, that plates must leave for both to be told."""
BEYOND = 2
"""So many goods that lie beyond the plates are named."""
CAUTIONS = 6
"""So many usual cautions are named."""


def summary(result: YearResult, lookup: Lookup) -> list[Line]:
    """The lines of the summary."""
    told = answer(result)
    return [
        *_head(result, told),
        *_months(told),
        *_short(told),
        *_findings(result),
        *_cautions(result),
        *_stores(result, lookup),
        *_harvest(result, lookup),
        *_stock(result, lookup),
        *_works(result),
        *_money(result),
    ]


def wrap(words: str, style: str = "", *, indent: str = "", hang: str = "") -> list[Line]:
    """A paragraph in lines that fit."""
    lines = textwrap.wrap(
        words, columns(), initial_indent=indent, subsequent_indent=indent + hang, break_on_hyphens=False
    )
    return [Line(line, style) for line in lines]


def _head(result: YearResult, told: Answer) -> list[Line]:
    return [
        *wrap(f"{result.holding.place.name.upper()}, {result.label}", "head"),
        *wrap(told.headline, "good" if told.feeds and not told.hungry else "bad"),
        *wrap(told.detail),
        *wrap(told.terms),
        *wrap(f"Weather: {result.weather_note.partition(';')[0]}.", "dim"),
    ]


def _months(told: Answer) -> list[Line]:
    """The months in one row, or in two where the terminal is narrow."""
    step = 12 if columns() >= MONTHS_WIDE else 6
    lines = [Line()]
    for first in range(0, 12, step):
        some = told.months[first : first + step]
        lines += [
            Line(("Month" + "".join(f"{month.name:>5} " for month in some)).rstrip(), "head"),
            Line(
                ("% fed" + "".join(f"{100 * month.share:5.0f}{MARKS[month.state] or ' '}" for month in some)).rstrip()
            ),
        ]
    return [*lines, *wrap("the lower of energy and protein; - tight, v short, V dire", "dim", indent="      ")]


def _short(told: Answer) -> list[Line]:
    lines: list[Line] = []
    if told.short_nutrients:
        lines += [Line(), Line("What falls short", "head")]
        for name, when in told.short_nutrients[:NUTRIENTS]:
            lines += wrap(f"{name}: {when}", indent="  ", hang="  ")
        if len(told.short_nutrients) > NUTRIENTS:
            lines.append(Line(f"  and {len(told.short_nutrients) - NUTRIENTS} more in the report", "dim"))
    if told.levers:
        lines += [Line(), Line("What would mend most", "head")]
        for number, cause in enumerate(told.levers, 1):
            lines += wrap(f"{number}. {cause.words}", indent="  ", hang="   ")
    return lines


def _findings(result: YearResult) -> list[Line]:
    """Findings about this holding by grade."""
    lines: list[Line] = []
    for grade, own in by_grade(result):
        if not SHOWN[grade]:
            continue
        lines += [Line(), Line(title(grade), "bad" if grade in FAILING else "head")]
        for one in own[: SHOWN[grade]]:
            lines += _finding(one, remedy=grade in FAILING)
        if len(own) > SHOWN[grade]:
            lines.append(Line(f"  and {len(own) - SHOWN[grade]} more; remedies in the report", "dim"))
    return lines


def _cautions(result: YearResult) -> list[Line]:
    """The usual cautions by name; the report has their words."""
    names = cautions_named(result, CAUTIONS)
    if not names:
        return []
    words = f"The usual cautions apply: {names}. Read them in the report."
    return [Line(), Line("Cautions", "head"), *wrap(words, indent="  ", hang="  ")]


def _finding(one: Finding, *, remedy: bool) -> list[Line]:
    """A finding in a sentence, with its remedy where it must not wait for the report."""
    told = f" ({one.number})" if one.number and one.number.split()[0] not in one.title.split() else ""
    mend = f" {one.remedy}" if one.remedy and remedy else ""
    return wrap(f"{one.title}{told}.{mend}", indent="  ", hang="  ")


def _stores(result: YearResult, lookup: Lookup) -> list[Line]:
    """Food in store: when it is fullest and lowest, in days that plates can take, and what lies beyond the plates."""
    energy, plates = result.kept.food_days, result.kept.plates
    if not result.stores_kg or not len(energy) or float(energy.max()) <= 0:
        return []
    low, full = int(np.argmin(plates.days)), int(np.argmax(plates.days))
    mj = {key: float(kg[low]) * (lookup.mj_per_kg(key) or 0.0) for key, kg in result.stores_kg.items()}
    left = sorted((key for key in mj if mj[key] > 0), key=lambda key: -mj[key])
    words = listed(
        [f"{figure(float(result.stores_kg[key][low]), 2)} kg {lookup.name(key).lower()}" for key in left[:3]]
    )
    most = f"most of it {words}" if words else ""
    beyond = _beyond(result, full, lookup)
    fullest = f"Food that plates can take for {_days(plates.days[full])} at the end of {result.months[full].name}"
    lowest = f"at the lowest for {_days(plates.days[low])} at the end of {result.months[low].name}"
    told = f"{fullest}{_by_energy(result, full, beyond)}; {lowest}{_by_energy(result, low, most)}."
    return [Line(), Line("Stores", "head"), *wrap(told, indent="  ")]


def _days(days: float) -> str:
    """Whole days; a part of a day is none."""
    return f"{int(days)} day{'' if int(days) == 1 else 's'}"


def _by_energy(result: YearResult, month: int, more: str = "") -> str:
    """Days by energy alone where plates take much fewer, and what else is said of them, in brackets."""
    days, on_plates = float(result.kept.food_days[month]), float(result.kept.plates.days[month])
    words = [f"{days:.0f} by energy alone"] if days - on_plates >= max(MUCH_DAYS, MUCH * days) else []
    told = "; ".join([*words, *([more] if more else [])])
    return f" ({told})" if told else ""


def _beyond(result: YearResult, month: int, lookup: Lookup) -> str:
    """What lies beyond the plates of the days told, where that is much."""
    if not _by_energy(result, month):
        return ""
    beyond = {good: float(days[month]) for good, days in result.kept.plates.beyond_days.items()}
    most = sorted((good for good in beyond if beyond[good] >= 1.0), key=lambda good: -beyond[good])[:BEYOND]
    goods = listed([lookup.name(good).lower() for good in most])
    return f"the rest is mostly {goods}" if goods else ""


def _harvest(result: YearResult, lookup: Lookup) -> list[Line]:
    total: dict[str, float] = {}
    for one in result.plantings:
        name = lookup.name(one.good).lower()
        total[name] = total.get(name, 0.0) + one.harvest_kg
    most = [f"{figure(kg, 2)} kg {name}" for name, kg in sorted(total.items(), key=lambda item: -item[1])[:6] if kg > 0]
    failed = [
        f"{lookup.crop(one.crop)} in {plain(one.plot)} ({one.status})"
        for one in result.plantings
        if one.harvest_kg <= 0
    ]
    lines = wrap(f"Most gathered: {listed(most)}.", indent="  ") if most else []
    lines += wrap(f"Nothing gathered from {listed(failed)}.", indent="  ") if failed else []
    return [Line(), Line("Ground", "head"), *lines] if lines else []


def _stock(result: YearResult, lookup: Lookup) -> list[Line]:
    lines: list[Line] = []
    for group, heads in result.heads.items():
        kept = {klass: float(values.max()) for klass, values in heads.items() if float(values.max()) > 0}
        count = listed([counted(number, lookup.klass(klass)) for klass, number in kept.items()]) or "none"
        most = sorted(((float(kg.sum()), good) for good, kg in result.products_kg.get(group, {}).items()), reverse=True)
        gives = listed([f"{figure(kg, 2)} kg {lookup.name(good).lower()}" for kg, good in most[:3] if kg >= 0.5])
        short = result.feed_short.get(group, np.zeros(12))
        names = tuple(month.name for month in result.months)
        hungry = tuple(index for index, share in enumerate(short) if share > HUNGRY)
        when = "every month" if len(hungry) == len(names) else month_runs(hungry, names)
        words = f"{title(group)}: {count}" + (f"; gives {gives}" if gives else "")
        lines += wrap(f"{words}; feed short in {when}." if hungry else f"{words}.", indent="  ", hang="  ")
    return [Line(), Line("Stock", "head"), *lines] if lines else []


def _works(result: YearResult) -> list[Line]:
    if not result.hours_week:
        return []
    total, over = result.hours_asked_week(), result.overfull_weeks()
    week = int(np.argmax(total - result.hours_available_week))
    month = max((each for each in result.months if each.first_day <= week * 7), key=lambda each: each.first_day)
    words = f"{figure(float(total.sum()), 2)} hours in the year. Fullest week: week {week + 1} ({month.name}), {of_hours(total[week], result.hours_available_week[week])}"
    return [
        Line(),
        Line("Works", "head"),
        *wrap(
            f"{words}; {over} {'week asks' if over == 1 else 'weeks ask'} for more than there is."
            if over
            else f"{words}.",
            indent="  ",
        ),
    ]


def _money(result: YearResult) -> list[Line]:
    spent = {name: float(values.sum()) for name, values in result.money.items()}
    if not spent:
        return []
    paid = -sum(value for value in spent.values() if value < 0)
    got = sum(value for value in spent.values() if value > 0)
    currency = result.holding.place.currency
    return [
        Line(),
        Line("Money", "head"),
        Line(f"  Paid {figure(paid)} {currency}, got {figure(got)} {currency} over the fence."),
    ]
