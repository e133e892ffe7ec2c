"""The crop's page: what one crop does on a holding, year by year and day by day, in the look of the year's report."""

from __future__ import annotations

from datetime import date

import numpy as np

from yardland.ledger.months import MONTH_NAMES
from yardland.report.crop_hazards import hazard_facts
from yardland.report.drawing import Table
from yardland.report.figures import crop_days, crop_years
from yardland.report.html import environment, made_by, recoloured
from yardland.report.words import figure, listed, percent, title, without_brackets
from yardland.season.crop_year import LIMITS, TRIAL_M2, CropPlanting, CropTold, month_words

LOST_WORDS = {"cold": "cold", "heat": "heat", "water": "want of water"}
WORTH_TELLING = 0.03
"""Least share of the growth that is told as lost."""
FACTOR_WORDS = {
    "water": "water",
    "temperature": "temperature",
    "light": "light",
    "season": "length of season",
    "frost": "frost",
}
HAZARDS = "hazards"
"""Factor that is there when hazards were drawn."""


def render(told: CropTold) -> str:
    """The page as one HTML document."""
    pages = environment()
    pages.globals["explained"] = frozenset()
    text = pages.get_template("crop.html.j2").render(
        told=told,
        head=headline(told),
        lead=lead(told),
        sections=[
            {
                "id": f"p-{planting.id}-{planting.rotation_year}",
                "name": heading(planting, told),
                "facts": facts(planting, told),
                "years": years_table(planting),
                "stages": stages_table(planting),
                "drawings": [crop_years.yields(planting, told), *crop_days.drawings(planting)],
            }
            for planting in told.plantings
        ],
        recoloured={name: recoloured(name) for name in ("dark", "print")},
        version=made_by(),
    )
    return text.replace(" %", "\u00a0%")


def headline(told: CropTold) -> str:
    """Whose crop it is."""
    return f"{told.holding.place.name}: {crop_name(told)}"


def crop_name(told: CropTold) -> str:
    """The crop's name, small letters first."""
    name = without_brackets(told.name)
    return name[:1].lower() + name[1:]


def lead(told: CropTold) -> str:
    """What is shown, in a sentence or two."""
    many, years = len(told.plantings), len(told.plantings[0].labels) if told.plantings else 0
    record = f"{years} larder {'year' if years == 1 else 'years'} of {told.source}; the days are those of {told.label}."
    if told.trial:
        return (
            f"The plan has no {crop_name(told)}. A trial of {figure(told.plantings[0].shown.area_m2)} m2 on {told.plantings[0].plot} "
            f"(at most {TRIAL_M2:.0f}) is sown when the climate says, beside all that the plan has. {record}"
        )
    return f"{many} {'planting' if many == 1 else 'plantings'} in the plan. {record}"


def heading(planting: CropPlanting, told: CropTold) -> str:
    """Plot, which of several, and variety."""
    number = planting.id.removeprefix(f"{planting.plot}.{told.crop}").strip(".")
    parts = [title(planting.plot)]
    if number:
        parts.append(f"planting {number}")
    if planting.variety:
        parts.append(planting.variety)
    if len({other.rotation_year for other in told.plantings}) > 1:
        parts.append(f"year {planting.rotation_year} of the rotation")
    return ", ".join(parts)


def facts(planting: CropPlanting, told: CropTold) -> list[tuple[str, str]]:
    """Name and words of each fact, for the page and the terminal."""
    found = [
        ("Planting-out window" if planting.transplanted else "Sowing window", f"{planting.window_words}."),
        ("Ground", _ground(planting)),
        ("Yield", _yields(planting, told)),
        ("This year", _shown(planting, told)),
    ]
    if planting.day_by_day is not None:
        found += [("What limited it", _limits(planting)), ("Frost", _frost(planting))]
    found.append(("Factors", _factors(planting)))
    found += hazard_facts(planting, told)
    return found


def _ground(planting: CropPlanting) -> str:
    soil = planting.soil
    water = f"watered by {listed(list(planting.watered_by))}" if planting.watered_by else "not watered"
    drains = f"{figure(soil.ksat_mm_h, 2)} mm/h when full"
    return (
        f"{figure(planting.shown.area_m2)} m2, {water}; the soil ({soil.words}) holds {soil.awc_mm_m:.0f} mm for roots in a "
        f"metre and drains {drains}."
    )


def _yields(planting: CropPlanting, told: CropTold) -> str:
    yields, shown = planting.yields_t_ha, planting.shown
    level = told.holding.goal.level
    spread = (
        f"{t_ha(float(yields.min()))} to {t_ha(float(yields.max()))} t/ha over {len(yields)} years, "
        f"{t_ha(float(np.median(yields)))} in the middle one"
        if len(yields) > 1
        else f"{t_ha(float(yields[0]))} t/ha"
    )
    nothing = int((yields <= 0).sum())
    lost = f"; nothing in {nothing} of them" if nothing else ""
    return (
        f"{spread}{lost}. The table has {t_ha(shown.table_low_t_ha)} to {t_ha(shown.table_high_t_ha)}, "
        f"{t_ha(told.middle_t_ha)} in the middle; level: {level}."
    )


def _shown(planting: CropPlanting, told: CropTold) -> str:
    shown, days = planting.shown, planting.days_to_gather[planting.lane]
    fate = planting.fates[planting.lane]
    if shown.sown is None:
        return f"{title(fate)}."
    words = f"{sown_words(planting)} {day_words(shown.sown)}"
    if shown.first_gathered:
        ends = dict.fromkeys((shown.first_gathered, shown.last_gathered or shown.first_gathered))
        band = f" (the table has {_band(told)})" if None not in told.days_band else ""
        first = "" if len(ends) == 1 else "the first "
        comma = "" if fate == "gathered" else ","
        words += f"; {fate}{comma} {' to '.join(day_words(day) for day in ends)}, {first}after {days} days{band}"
        return f"{words}: {t_ha(shown.yield_t_ha)} t/ha, {figure(shown.harvest_kg)} kg."
    return f"{words}; {fate}."


def sown_words(planting: CropPlanting) -> str:
    """What a planting's first day is."""
    return "Planted out" if planting.transplanted else "Sown"


def _band(told: CropTold) -> str:
    least, most = told.days_band
    return f"{least:.0f} to {most:.0f}"


def _limits(planting: CropPlanting) -> str:
    """Shares of the growth that were lost, the largest first, and when most of each."""
    day_by_day = planting.day_by_day
    if day_by_day is None:
        return ""
    lost = sorted(((share, name) for name, share in day_by_day.lost.items() if share >= WORTH_TELLING), reverse=True)
    if not lost:
        return f"Little: of what its leaves could have made, cold, heat and want of water took under {WORTH_TELLING:.0%} each."
    parts = []
    for share, name in lost:
        month = max(day_by_day.months, key=lambda one: one.lost[name] * one.light_mj)
        parts.append(
            f"{LOST_WORDS[name]} took {percent(share)} (most in {month_words(month.month)}, {percent(month.lost[name])} of it)"
        )
    return f"Of what its leaves could have made of the light they caught, {listed(parts)}."


def _frost(planting: CropPlanting) -> str:
    nearest = None if planting.day_by_day is None else planting.day_by_day.nearest_frost
    if nearest is None:
        return "It never came up."
    margin, day = nearest
    if margin < 0:
        return f"It froze on {_day(day)}, {-margin:.1f} °C under what it lives through."
    return f"At the nearest it was {margin:.1f} °C above what would kill it, on {_day(day)}."


def _factors(planting: CropPlanting) -> str:
    left = ", ".join(f"{FACTOR_WORDS.get(name, name)} {share:.2f}" for name, share in planting.shown.factors.items())
    return f"Left by each alone, of the table's middle yield at this level: {left}."


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
    return _day(date.fromisoformat(iso))


def _day(day: date) -> str:
    return f"{day.day} {MONTH_NAMES[day.month - 1]} {day.year}"


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
        *(title(name) for name in factor_names(planting)),
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


def month_table(planting: CropPlanting) -> Table:
    """Months of the year that is shown: cover, dry matter made, what was lost to what."""
    if planting.day_by_day is None:
        return Table(("Month",), ())
    rows = [
        (
            month_words(month.month),
            f"{100 * month.cover:.0f}",
            f"{month.made_g_m2 / 100:.2f}",
            f"{month.degree_days:.0f}",
            f"{month.rain_mm:.0f}",
            f"{month.irrigation_mm:.0f}",
            *(f"{100 * month.lost[name]:.0f}" for name in LIMITS),
        )
        for month in planting.day_by_day.months
    ]
    header = ("Month", "Cover %", "t/ha", "°C d", "Rain mm", "Given mm", "Cold %", "Heat %", "Dry %")
    return Table(header, tuple(rows))
