"""Findings about hours, water and store room, and about what the result rests on."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from yardland.findings.context import Context, Rule, many, upper_first
from yardland.larderyear.result import Finding

WATERED = 0.95
"""Share of its growth that watering should leave a crop (our band)."""


def hours(context: Context) -> Iterator[Finding]:
    """Weeks that ask for more hours than the household has."""
    result = context.result
    asked, weeks = result.hours_asked_week(), result.overfull_weeks()
    over = asked - result.hours_available_week
    if not weeks:
        return
    worst = int(np.argmax(over))
    group = max(result.hours_week, key=lambda name: float(result.hours_week[name][worst]))
    month = next(month for month in reversed(result.months) if month.first_day <= worst * 7)
    yield Finding(
        grade="short" if over[worst] > 0.25 * max(1.0, result.hours_available_week[worst]) else "tight",
        title=f"More work than hands in {weeks} of 52 weeks",
        what=f"Worst in {month.name}: {asked[worst]:.0f} hours asked, {result.hours_available_week[worst]:.0f} there.",
        number=f"{float(np.sum(np.maximum(over, 0))):,.0f} hours over in the year",
        cause=f"Most of that week goes into {group.replace('_', ' ')}.",
        remedy="Spread the sowings, drop or mechanise a task, ask for help in that month; tired people get hurt.",
        source="tasks table (hand methods) x events; hours_week of the plan",
        subject="hours",
    )


def went_without(context: Context, source: str) -> str:
    """What went short of water that this source should have given, in words; nothing where others carried on."""
    result = context.result
    crops = {
        context.crop(planting.crop)
        for planting in result.plantings
        if source in result.holding.plot[planting.plot].watered_by and planting.factors.get("water", 1.0) < WATERED
    }
    missing = result.water_m3.get("missing for people and stock", np.zeros(12))
    drinkers = ["people and stock"] if float(np.sum(missing)) > 0.0 else []
    return ", ".join([*drinkers, *sorted(crops)])


def dry_sources(context: Context) -> Iterator[Finding]:
    """Water sources that could not give what was asked."""
    result = context.result
    for name, days in result.water_dry_days.items():
        total = float(np.sum(days))
        if total < 1:
            continue
        months = [index for index in range(12) if days[index] >= 1]
        dry = went_without(context, name)
        yield Finding(
            grade="note" if not dry else "short" if total > 30 else "tight",
            title=f"{upper_first(name.replace('_', ' '))} runs dry on {many(total, 'day')}",
            what=(
                f"In {context.month_names(months)} it cannot give what is asked; "
                + (f"{dry} went short of water." if dry else "other sources carried on, and nothing went short.")
            ),
            number=many(total, "day"),
            cause="Its inflow and room are smaller than the dry months' demand.",
            remedy="Store more, water less ground, mulch, or name another source. People and stock drink first.",
            source="daily water account of the plan's sources",
            subject=f"water.{name}",
        )


def weather_rests_on(context: Context) -> Iterator[Finding]:
    """Weather that was borrowed, invented, joined from months of several years, or is normals in a year's clothes."""
    result = context.result
    words = result.weather_note
    far = next((note for note in result.notes if note.startswith("Weather borrowed") and "Over " in note), "")
    smooth = next((note for note in result.notes if "normals posing as a year" in note), "")
    joined = "typical year" in words
    if not (far or smooth or joined or "invented" in words or "normals" in words or "borrowed" in words):
        return
    title, cause = "The weather is not a record of this place", "No daily record of the place lies in the folder."
    if far:
        title = "The weather is borrowed from far away"
    elif smooth:
        title, cause = "The weather file holds normals, not weather", smooth
    elif joined:
        title = "The weather is a typical year"
        cause = "Months of different years were joined: no frost, drought or wet spell of a real year is in it."
    yield Finding(
        grade="tight" if far or smooth else "note",
        title=title,
        what=words,
        number=f"larder year {result.label}",
        cause=cause,
        remedy="Put weather.csv (date, tmin_c, tmax_c, rain_mm) of the nearest station into the folder.",
        source="weather room",
        subject="weather",
    )


def foresight(context: Context) -> Iterator[Finding]:
    """One year, computed as if its weather were known beforehand."""
    yield Finding(
        grade="note",
        title="This is one year, seen whole",
        what="The plan of the larder knows the year's harvests beforehand, closes its books over twelve months, and so flatters a little.",
        number=f"larder year {context.result.label}, level {context.result.holding.goal.level!r}",
        cause="One year proves nothing about the next.",
        remedy="Compare several weather years: yardland year DIR --weather YEAR.",
        source="method of the larder year",
        subject="year",
    )


RULES: tuple[Rule, ...] = (hours, dry_sources, weather_rests_on, foresight)
