"""The crop's page: what one crop does on a holding, year by year and day by day, in the look of the year's report."""

from __future__ import annotations

import numpy as np

from yardland.growth.texture import GroundSoil
from yardland.report.crop_hazards import hazard_facts
from yardland.report.crop_tables import (
    brief,
    day_words,
    glance,
    nitrogen_table,
    short,
    sown_words,
    stages_table,
    t_ha,
    ten_table,
    window_words,
    years_table,
)
from yardland.report.drawing import Table
from yardland.report.figures import crop_days, crop_years
from yardland.report.html import environment, made_by, recoloured
from yardland.report.words import FACTOR_WORDS, figure, listed, percent, title, without_brackets
from yardland.season.crop_limits import DayByDay, month_words
from yardland.season.crop_year import TRIAL_M2, CropPlanting, CropTold
from yardland.season.sward_told import SwardTold

LOST_WORDS = {"cold": "cold", "heat": "heat", "water": "want of water", "nitrogen": "want of nitrogen"}
WORTH_TELLING = 0.03
"""Least share of the growth that is told as lost."""
FOOT = "Yields by light, warmth, water, nitrogen, frost and heat at the chosen level; hail, pests and disease are not in them."
FOOT_STRUCK = (
    "Yields by light, warmth, water, nitrogen, frost, heat and drawn hail, pests and disease at the chosen level."
)
FULL = 0.995
"""A factor from here on is not worth a sentence."""


def render(told: CropTold) -> str:
    """The page as one HTML document."""
    pages = environment()
    pages.globals["explained"] = frozenset()
    text = pages.get_template("crop.html.j2").render(
        notes=told.notes,
        foot=FOOT if told.hazard_seed is None else FOOT_STRUCK,
        head=headline(told),
        lead=lead(told),
        glance=overview(told),
        sections=[
            {
                "id": f"p-{planting.id}-{planting.rotation_year}",
                "name": heading(planting, told),
                "facts": facts(planting, told),
                "tables": [
                    ("Stages of this year", stages_table(planting)),
                    ("Ten days by ten days", ten_table(planting.day_by_day)),
                    ("All years", years_table(planting)),
                    ("Nitrogen in all years", nitrogen_table(planting)),
                ],
                "drawings": [crop_years.yields(planting, told), *crop_days.drawings(planting)],
            }
            for planting in told.plantings
        ],
        recoloured={name: recoloured(name) for name in ("dark", "print")},
        version=made_by(),
    )
    return text.replace(" %", "\u00a0%")


def overview(told: CropTold) -> Table:
    """The plantings side by side; no rows for a single one."""
    if len(told.plantings) < 2:
        return glance(())
    return glance(
        (heading(planting, told), planting.yields_t_ha, planting.lane, planting.shown.area_m2)
        for planting in told.plantings
    )


def headline(told: CropTold | SwardTold) -> str:
    """Whose crop or grass it is."""
    return f"{told.holding.place.name}: {crop_name(told)}"


def crop_name(told: CropTold | SwardTold) -> str:
    """Its name, small letters first."""
    name = without_brackets(told.name)
    return name[:1].lower() + name[1:]


def lead(told: CropTold) -> str:
    """What is shown, in a sentence or two."""
    many, years = len(told.plantings), len(told.plantings[0].labels) if told.plantings else 0
    record = f"{years} larder {'year' if years == 1 else 'years'} of {told.source}; the days are those of {told.label}."
    if told.trial:
        return (
            f"The plan has no {crop_name(told)}. A trial of {figure(told.plantings[0].shown.area_m2)} m2 on {told.plantings[0].plot} "
            f"(at most {TRIAL_M2:.0f}) is sown when the climate says, beside all that the plan has; {told.trial_dressing}. {record}"
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
        ("This year", _shown(planting, told)),
        ("Yield", _yields(planting, told)),
    ]
    days = planting.day_by_day
    if days is not None:
        found += [("What limited it", limit_words(days)), ("When", when_words(days))]
    found += [
        ("Planting-out window" if planting.transplanted else "Sowing window", f"{window_words(planting)}."),
        ("Ground", ground_words(planting.shown.area_m2, planting.watered_by, planting.soil)),
        ("Dressing", _dressing(planting)),
    ]
    if days is not None:
        found += [
            ("Water", water_words(days)),
            ("Nitrogen", f"{nitrogen_words(days)} {_carried_off(planting)}"),
            *_flowering(days, told),
            ("Frost", _frost(planting)),
            *_standing(planting),
        ]
    found.append(("Factors", _factors(planting)))
    found += hazard_facts(planting, told)
    return found


def ground_words(area_m2: float, watered_by: tuple[str, ...], soil: GroundSoil) -> str:
    """Size, water and soil of a piece of ground."""
    water = f"watered by {listed(list(watered_by))}" if watered_by else "not watered"
    drains = f"{figure(soil.ksat_mm_h, 2)} mm/h when full"
    return (
        f"{figure(area_m2)} m2, {water}; the soil ({soil.words}) holds {soil.awc_mm_m:.0f} mm for roots in a "
        f"metre and drains {drains}."
    )


def _dressing(planting: CropPlanting) -> str:
    given = planting.dressing
    if given is None:
        asked = planting.shown.dressing
        return f"{asked} is asked for, and there is none." if asked else "none."
    amount = f", {figure(given.kg)} kg" if given.kg > 0 else ""
    return (
        f"{given.kind}{amount}: {given.n_total_kg_ha:.0f} kg/ha of nitrogen, of it {given.mineral_n_kg_ha:.0f} at once and "
        f"{given.fresh_n_kg_ha:.0f} within a year of warmth; {given.volatilised_n_kg_ha:.0f} are lost as ammonia."
    )


def _carried_off(planting: CropPlanting) -> str:
    off = planting.nitrogen.removed
    return (
        f"The harvest carries off {off[planting.lane]:.0f} kg/ha ({off.min():.0f} to {off.max():.0f} over the years)."
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


def _band(told: CropTold) -> str:
    least, most = told.days_band
    return f"{least:.0f} to {most:.0f}"


def limit_words(days: DayByDay) -> str:
    """Shares of the growth that were lost, the largest first, and when most of each."""
    lost = sorted(((share, name) for name, share in days.lost.items() if share >= WORTH_TELLING), reverse=True)
    if not lost:
        return (
            "Little: of what its leaves could have made, cold, heat, want of water and want of nitrogen took under "
            f"{percent(WORTH_TELLING)} each."
        )
    parts = []
    for share, name in lost:
        month = max(days.months, key=lambda one: one.lost[name] * one.light_mj)
        parts.append(
            f"{LOST_WORDS[name]} took {percent(share)} (most in {month_words(month.key)}, {percent(month.lost[name])} of it)"
        )
    return f"Of what its leaves could have made of the light they caught, {listed(parts)}."


def when_words(days: DayByDay) -> str:
    """What took most, ten days by ten days, in one line."""
    ends = np.cumsum([ten.days for ten in days.tens]) - 1
    runs = list(days.runs())
    spans: dict[str, list[str]] = {}
    for limit, first, last in runs:
        opens = days.dates[int(ends[first]) - days.tens[first].days + 1]
        closes = days.dates[int(ends[last])]
        spans.setdefault(limit, []).append(brief(opens) if opens == closes else f"{brief(opens)} to {brief(closes)}")
    parts = [f"{LOST_WORDS[limit]}: {', '.join(found)}" for limit, found in spans.items() if limit]
    if any(not limit for limit, *_ in runs):
        parts.append("nothing much otherwise" if parts else "nothing much at any time")
    return f"{title('; '.join(parts))}." if parts else "It never grew."


def water_words(days: DayByDay) -> str:
    """What the root zone lacked, against what may be drawn freely."""
    seen = days.trace.days
    thirsty = seen["depletion_mm"] > seen["readily_mm"]
    worst = int(np.argmax(seen["depletion_mm"]))
    given, fell = float(seen["irrigation_mm"].sum()), float(seen["rain_mm"].sum())
    went = f"{seen['et_mm'].sum():.0f} mm went into the air and {seen['drainage_mm'].sum():.0f} drained away"
    lacked = (
        f"On {int(thirsty.sum())} {'day' if thirsty.sum() == 1 else 'days'} its roots had drawn all that is free to draw; "
        if thirsty.any()
        else "Its roots always had water free to draw; "
    )
    return (
        f"{fell:,.0f} mm of rain fell, {given:,.0f} mm were given, {went}. {lacked}at the worst, on "
        f"{short(days.dates[worst])}, {seen['depletion_mm'][worst]:.0f} mm were lacking where {seen['readily_mm'][worst]:.0f} "
        f"are free and {seen['available_mm'][worst]:.0f} within reach."
    )


def nitrogen_words(days: DayByDay) -> str:
    """What was taken, fixed and leached, and how near it came to hunger."""
    seen = days.trace.days
    fixed = float(seen["fixed_n_kg_ha"].sum())
    air = f" and {fixed:.0f} from the air" if fixed >= 0.5 else ""
    grows = seen["light_mj"] > 0
    index = np.where(grows, seen["n_index"], 1.0)
    worst = int(np.argmin(index))
    held = (
        f"it held all it needs on {int((index[grows] >= FULL).sum())} of {int(grows.sum())} days of growth, at the least "
        f"{percent(float(index[worst]))} on {short(days.dates[worst])}"
        if float(index[worst]) < FULL
        else "it always held what it needs"
    )
    return (
        f"It took {seen['taken_n_kg_ha'].sum():.0f} kg/ha from the soil{air}; {held}. {seen['leached_n_kg_ha'].sum():.0f} kg/ha "
        f"leached meanwhile, and {seen['soil_n_kg_ha'][-1]:.0f} were left in the ground at the end."
    )


def _flowering(days: DayByDay, told: CropTold) -> list[tuple[str, str]]:
    """Heat and frost while it flowered, of crops whose flowers the table knows."""
    seen = days.trace.days
    open_days = np.flatnonzero(seen["flowering"] > 0)
    if not len(open_days):
        return []
    first, last = (days.dates[int(open_days[place])] for place in (0, -1))
    hottest, coldest = float(seen["tmax_c"][open_days].max()), float(seen["tmin_c"][open_days].min())
    left = [
        f"{name} left {percent(share)} of a full crop to set"
        for name, share in (("heat", float(seen["heat_share"][-1])), ("frost", float(seen["set_share"].min())))
        if share < FULL
    ]
    limit = ""
    if told.flower_heat_c is not None:
        tenth, most = told.flower_heat_c
        hot = int((seen["tmax_c"][open_days] > tenth).sum())
        limit = f" (a tenth of the flowers fails at {tenth:.0f} °C, nine tenths at {most:.0f}; {hot} days were hotter than {tenth:.0f})"
    words = (
        f"From {short(first)} to {short(last)}; the hottest day {hottest:.0f} °C{limit}, the coldest night "
        f"{degrees(coldest)}. {title(listed(left)) if left else 'Neither heat nor frost took more flowers than it can spare'}."
    )
    return [("Flowering", words)]


def _standing(planting: CropPlanting) -> list[tuple[str, str]]:
    """What was lost of a ripe crop until it was gathered."""
    share, days = planting.shown.factors["standing"], planting.day_by_day
    if share >= FULL or days is None:
        return []
    stages = dict(days.stages)
    ripe = f" from {day_words(stages['ripe'])}" if "ripe" in stages else ""
    last = f" to {day_words(planting.shown.last_gathered)}" if planting.shown.last_gathered else ""
    return [("Standing ripe", f"It stood ripe{ripe}{last} and lost {percent(1.0 - share)} of its crop meanwhile.")]


def _frost(planting: CropPlanting) -> str:
    nearest = None if planting.day_by_day is None else planting.day_by_day.nearest_frost
    if nearest is None:
        return "It never came up."
    margin, day = nearest
    if margin < 0:
        return f"It froze on {short(day)}, {-margin:.1f} °C under what it lives through."
    return f"At the nearest it was {margin:.1f} °C above what would kill it, on {short(day)}."


def _factors(planting: CropPlanting) -> str:
    shares = planting.shown.factors
    told = [
        f"{FACTOR_WORDS.get(name, name)} {share:.2f}" for name, share in shares.items() if abs(share - 1.0) >= 1 - FULL
    ]
    rest = ["the rest 1.00"] if 0 < len(told) < len(shares) else []
    return f"Left by each alone, of the table's middle yield at this level: {', '.join([*told, *rest]) or 'all of it by every one'}."


def degrees(value_c: float) -> str:
    """A temperature with its unit and a minus sign."""
    return f"{value_c:.0f} °C".replace("-", "−")  # noqa: RUF001 (a minus sign)
