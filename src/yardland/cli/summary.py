"""The terminal summary of a year: what a farmer reads first, in 80 columns."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

import numpy as np

from yardland.cli.output import WIDTH, Line
from yardland.report.answer import Answer, answer, by_grade
from yardland.report.words import figure, listed, plain, title

if TYPE_CHECKING:
    from yardland.year.result import Finding, YearResult

MARKS = {"met": "", "tight": "-", "short": "v", "dire": "V"}
SHOWN = {"danger": 6, "rule": 6, "short": 5, "tight": 4, "note": 0}
"""How many findings of each grade the summary names; the report has all."""


def summary(result: YearResult) -> list[Line]:
    """The lines of the summary."""
    told = answer(result)
    return [
        *_head(result, told),
        *_months(told),
        *_short(told),
        *_findings(result),
        *_stores(result),
        *_harvest(result),
        *_stock(result),
        *_works(result),
        *_money(result),
    ]


def wrap(words: str, style: str = "", *, indent: str = "", hang: str = "") -> list[Line]:
    """A paragraph in lines of 80."""
    lines = textwrap.wrap(words, WIDTH, initial_indent=indent, subsequent_indent=indent + hang, break_on_hyphens=False)
    return [Line(line, style) for line in lines]


def _head(result: YearResult, told: Answer) -> list[Line]:
    return [
        Line(f"{result.holding.place.name.upper()}, {result.label}"[:WIDTH], "head"),
        *wrap(told.headline, "good" if told.feeds else "bad"),
        *wrap(told.detail),
        *wrap(f"Weather: {result.weather_note}", "dim"),
    ]


def _months(told: Answer) -> list[Line]:
    names = "".join(f"{month.name:>5} " for month in told.months)
    shares = "".join(f"{100 * month.share:5.0f}{MARKS[month.state] or ' '}" for month in told.months)
    return [
        Line(),
        Line(("Month" + names).rstrip(), "head"),
        Line(("% fed" + shares).rstrip()),
        Line("      the lower of energy and protein; - tight, v short, V dire", "dim"),
    ]


def _short(told: Answer) -> list[Line]:
    lines: list[Line] = []
    if told.short_nutrients:
        lines += [Line(), Line("What falls short", "head")]
        for name, when in told.short_nutrients:
            lines += wrap(f"{name}: {when}", indent="  ", hang="  ")
    if told.levers:
        lines += [Line(), Line("What would mend most", "head")]
        for number, cause in enumerate(told.levers, 1):
            lines += wrap(f"{number}. {cause.words}", indent="  ", hang="   ")
    return lines


def _findings(result: YearResult) -> list[Line]:
    lines: list[Line] = []
    for grade, ones in by_grade(result):
        if not SHOWN[grade]:
            continue
        lines += [Line(), Line(title(grade), "bad" if grade in {"danger", "rule", "short"} else "head")]
        for one in ones[: SHOWN[grade]]:
            lines += _finding(one)
        if len(ones) > SHOWN[grade]:
            lines.append(Line(f"  and {len(ones) - SHOWN[grade]} more in the report", "dim"))
    return lines


def _finding(one: Finding) -> list[Line]:
    number = f" ({one.number})" if one.number else ""
    remedy = f" {one.remedy}" if one.remedy else ""
    return wrap(f"{one.title}{number}.{remedy}", indent="  ", hang="  ")


def _stores(result: YearResult) -> list[Line]:
    kept = {key: values for key, values in result.stores_kg.items() if float(values.max()) > 0.5}
    if not kept:
        return []
    total = np.sum(list(kept.values()), axis=0)
    low, full = int(np.argmin(total)), int(np.argmax(total))
    left = sorted(((float(values[low]), key) for key, values in kept.items()), reverse=True)
    words = listed([f"{figure(kg, 2)} kg {plain(key.split(',')[0])}" for kg, key in left[:4] if kg > 0.5]) or "nothing"
    return [
        Line(),
        Line("Stores", "head"),
        *wrap(f"Fullest at the end of {result.months[full].name} ({figure(float(total[full]))} kg), lowest at the end of {result.months[low].name} ({figure(float(total[low]))} kg: {words}).", indent="  "),
    ]  # fmt: skip


def _harvest(result: YearResult) -> list[Line]:
    most = sorted(result.harvest_kg.items(), key=lambda item: -item[1])[:6]
    failed = [f"{plain(one.crop)} in {one.plot} ({one.status})" for one in result.plantings if one.harvest_kg <= 0]
    if not most and not failed:
        return []
    words = listed([f"{figure(kg)} kg {plain(key.split('.')[-1])}" for key, kg in most])
    lines = [Line(), Line("Ground", "head"), *wrap(f"Most gathered: {words}.", indent="  ")]
    return lines + (wrap(f"Nothing gathered from {listed(failed)}.", indent="  ") if failed else [])


def _stock(result: YearResult) -> list[Line]:
    lines: list[Line] = []
    for group, heads in result.heads.items():
        count = listed(
            [
                f"{figure(float(values.max()))} {plain(klass)}"
                for klass, values in heads.items()
                if float(values.max()) > 0
            ]
        )
        gives = listed(
            [
                f"{figure(float(values.sum()))} kg {plain(good)}"
                for good, values in result.products_kg.get(group, {}).items()
                if float(values.sum()) >= 0.5
            ][:4]
        )
        hungry = [
            result.months[index].name
            for index, share in enumerate(result.feed_short.get(group, np.zeros(12)))
            if share > 0.005
        ]
        feed = f"; feed short in {listed(hungry)}" if hungry else ""
        lines += wrap(
            f"{title(group)}: {count or 'none'}{f'; gives {gives}' if gives else ''}{feed}.", indent="  ", hang="  "
        )
    return [Line(), Line("Stock", "head"), *lines] if lines else []


def _works(result: YearResult) -> list[Line]:
    if not result.hours_week:
        return []
    total = np.sum(list(result.hours_week.values()), axis=0)
    week = int(np.argmax(total - result.hours_available_week))
    over = int(np.sum(total > result.hours_available_week + 1e-9))
    month = max((each for each in result.months if each.first_day <= week * 7), key=lambda each: each.first_day)
    words = f"{figure(float(total.sum()))} hours in the year. Fullest week: week {week + 1} ({month.name}), {figure(float(total[week]))} of {figure(float(result.hours_available_week[week]))} hours"
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
