"""The tables of the crop's page: every year of the record, the stages, months and ten-day spells of the year that is shown."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date

import numpy as np

from yardland.growth.io import F64
from yardland.ledger.months import MONTH_NAMES
from yardland.report.drawing import Table
from yardland.report.words import FACTOR_WORDS, date_words, figure, title
from yardland.season.crop_limits import LIMITS, DayByDay, Spell, month_words, ten_words
from yardland.season.crop_year import CropPlanting

HAZARDS = "hazards"
"""Factor that is there when hazards were drawn."""
SHORT_FACTORS = {
    "water": "Water",
    "nitrogen": "Nitr.",
    "temperature": "Temp.",
    "light": "Light",
    "season": "Season",
    "frost": "Frost",
    "heat": "Heat",
    "standing": "Stood",
    HAZARDS: "Struck",
}
"""Factors where there is little room."""
LIMIT_WORDS = {"": "–", "cold": "cold", "heat": "heat", "water": "water", "nitrogen": "nitrogen"}  # noqa: RUF001 (a dash for none)


TYPED = re.compile(r"^typed: (\d\d)-(\d\d) to (\d\d)-(\d\d)")
"""A window that the plan gives, as the plan writes it."""


def window_words(planting: CropPlanting) -> str:
    """When it may be sown or planted out, and why."""
    typed = TYPED.match(planting.window_words)
    if typed is None:
        return re.sub(r"(\d) C\b", r"\1 °C", planting.window_words)
    month, day, last_month, last_day = (int(part) for part in typed.groups())
    opens, closes = f"{day} {MONTH_NAMES[month - 1]}", f"{last_day} {MONTH_NAMES[last_month - 1]}"
    return f"{opens} to {closes}, as the plan says{planting.window_words[typed.end() :]}"


def sown_words(planting: CropPlanting) -> str:
    """What a planting's first day is."""
    return "Planted out" if planting.transplanted else "Sown"


SHORT_FATES = {
    "gathered as it stood after frost": "after frost",
    "gathered unripe at the end of its season": "unripe",
}
"""What became of a sowing, where there is little room."""


def short_years(planting: CropPlanting) -> Table:
    """The years without their factors."""
    whole = years_table(planting)
    rows = tuple((*row[:5], SHORT_FATES.get(row[-1], row[-1])) for row in whole.rows)
    return Table((*whole.header[:5], "End"), rows)


def t_ha(value: float) -> str:
    """A yield."""
    return f"{value:.2f}" if 0 < value < 1 else f"{value:.1f}"


def day_words(iso: str) -> str:
    """A date as 5 Apr 2022."""
    return short(date.fromisoformat(iso))


def short(day: date) -> str:
    """A date as 5 Apr 2022."""
    return date_words(day)


def brief(day: date) -> str:
    """A date as 5 Apr, where the year is plain."""
    return f"{day.day} {MONTH_NAMES[day.month - 1]}"


def glance(rows: Iterable[tuple[str, F64, int, float]]) -> Table:
    """Several plantings or swards side by side: name, yields by year, which of them is shown, its square metres."""
    return Table(
        ("t/ha", "This year", "Worst", "Middle", "Best", "m²"),
        tuple(
            (
                name.replace(" of the rotation", ""),
                t_ha(float(values[lane])),
                *(t_ha(float(f(values))) for f in (np.min, np.median, np.max)),
                figure(area),
            )
            for name, values, lane, area in rows
        ),
    )


def years_table(planting: CropPlanting) -> Table:
    """Every larder year of the record: dates, days, yield, factors, what became of it."""
    rows = []
    for label, year, fate, days in zip(
        planting.labels, planting.years, planting.fates, planting.days_to_gather, strict=True
    ):
        factors = [f"{year.factors[name]:.2f}" for name in factor_names(planting)]
        rows.append(
            (
                label,
                short_day(year.sown),
                short_day(year.first_gathered),
                "–" if days is None else str(days),  # noqa: RUF001 (a dash for none)
                t_ha(year.yield_t_ha),
                *factors,
                fate,
            )
        )
    header = (
        "Larder year",
        sown_words(planting),
        "Gathered",
        "Days",
        "t/ha",
        *(title(FACTOR_WORDS.get(name, name)) for name in factor_names(planting)),
        "What became of it",
    )
    return Table(header, tuple(rows))


def factor_names(planting: CropPlanting) -> tuple[str, ...]:
    """Factors that are told, hazards last where they were drawn."""
    return (*FACTOR_WORDS, HAZARDS) if HAZARDS in planting.shown.factors else tuple(FACTOR_WORDS)


def short_day(iso: str | None) -> str:
    """A date as 5 Apr 22; a dash for none."""
    if iso is None:
        return "–"  # noqa: RUF001 (a dash for none)
    day = date.fromisoformat(iso)
    return f"{day.day} {MONTH_NAMES[day.month - 1]} {day.year % 100:02d}"


def stages_table(planting: CropPlanting) -> Table:
    """Stages of the year that is shown, with the days since sowing."""
    day_by_day = planting.day_by_day
    if day_by_day is None:
        return Table(("Stage", "Day", "After days"), ())
    rows = [
        (title(name), day_words(day), str(on_axis - day_by_day.trace.sow_day))
        for (name, day), on_axis in zip(day_by_day.stages, day_by_day.trace.stages.values(), strict=True)
    ]
    return Table(("Stage", "Day", "After days"), tuple(rows))


def month_table(days: DayByDay | None) -> Table:
    """Months of the year that is shown: cover, dry matter made, what was lost to what."""
    if days is None:
        return Table(("Month",), ())
    rows = [
        (
            month_words(month.key),
            f"{100 * month.cover:.0f}",
            f"{month.made_g_m2 / 100:.2f}",
            f"{month.degree_days:.0f}",
            f"{month.rain_mm:.0f}",
            f"{month.irrigation_mm:.0f}",
            *(f"{100 * month.lost[name]:.0f}" for name in LIMITS),
        )
        for month in days.months
    ]
    header = ("Month", "Cover %", "Made t/ha", "°C d", "Rain mm", "Given", "Cold %", "Heat %", "Dry %", "N %")
    return Table(header, tuple(rows))


def ten_table(days: DayByDay | None) -> Table:
    """Ten-day spells in which something could grow: the three factors, and what took most."""
    if days is None:
        return Table(("Ten days from",), ())
    header = ("Ten days from", "Made t/ha", "Warmth %", "Water %", "Nitrogen %", "What took most")
    return Table(header, tuple(_ten(ten) for ten in days.tens if ten.light_mj > 0))


def _ten(ten: Spell) -> tuple[str, ...]:
    factors = (ten.warmth, ten.water, ten.nitrogen)
    return (
        ten_words(ten.key),
        f"{ten.made_g_m2 / 100:.2f}",
        *(f"{100 * factor:.0f}" for factor in factors),
        f"{LIMIT_WORDS[ten.limit]} {100 * ten.lost[ten.limit]:.0f} %" if ten.limit else LIMIT_WORDS[""],
    )


def factor_table(planting: CropPlanting) -> Table:
    """Every larder year with what each factor left, short enough for a terminal."""
    names = factor_names(planting)
    rows = [
        (label[:7], t_ha(year.yield_t_ha), *(f"{year.factors[name]:.2f}" for name in names))
        for label, year in zip(planting.labels, planting.years, strict=True)
    ]
    return Table(("From", "t/ha", *(SHORT_FACTORS[name] for name in names)), tuple(rows))


def nitrogen_table(planting: CropPlanting) -> Table:
    """Every larder year with the crop's nitrogen, kg/ha."""
    n = planting.nitrogen
    rows = [
        (label, *(f"{values[index]:.0f}" for values in (n.taken, n.fixed, n.removed, n.leached)))
        for index, label in enumerate(planting.labels)
    ]
    header = ("Larder year", "From the soil", "From the air", "Carried off", "Leached from the strip")
    return Table(header, tuple(rows))
