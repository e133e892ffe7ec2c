"""Findings about the plots: two things at once, raw manure before harvest, crops lost, thin or never sown, rotation."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from yardland.findings.context import Context, Rule, upper_first
from yardland.larderyear.result import Finding, PlantingYear

LIMITS = {
    "water": "water ran short in its root zone",
    "temperature": "it was too cold or too hot to grow",
    "light": "it had too little light",
    "season": "its season was cut short",
    "frost": "frost took part of it",
}
REMEDIES = {
    "water": "Water or mulch it, or put it on ground that holds more.",
    "temperature": "Sow it so that it grows in better warmth, or choose a kind that fits the place.",
    "light": "Sow or plant it earlier, so that it has the long days, or give it open ground.",
    "season": "Sow earlier, start it under cover, or choose a quicker kind.",
    "frost": "Cover it, sow it later, or choose a hardier kind.",
}
NAMED_BELOW = 0.8


def limit_words(planting: PlantingYear) -> str:
    """The factors that left less than four fifths, gravest first, in words."""
    named = sorted((share, name) for name, share in planting.factors.items() if share < NAMED_BELOW)
    return "; ".join(f"{LIMITS.get(name, name)} ({100 * share:.0f} % left)" for share, name in named)


def remedy_words(planting: PlantingYear) -> str:
    """What helps against the gravest limit; that it needs more room where no single one is grave."""
    share, name = min(((share, name) for name, share in planting.factors.items()), default=(1.0, ""))
    if share >= NAMED_BELOW or name not in REMEDIES:
        return "Give it more room, or count on less of it."
    return REMEDIES[name]


def two_at_once(context: Context) -> Iterator[Finding]:
    """Plots whose plantings stand on more than the whole of it on some day."""
    result = context.result
    plots = {planting.plot for planting in result.plantings}
    for plot in sorted(plots):
        taken = np.zeros(365)
        on_day: list[tuple[PlantingYear, int, int]] = []
        for planting in result.plantings:
            if planting.plot == plot and planting.days is not None:
                first, last = max(0, planting.days[0]), min(364, planting.days[1])
                taken[first : last + 1] += planting.share
                on_day.append((planting, first, last))
        if taken.max(initial=0.0) <= 1.0 + 1e-6:
            continue
        worst = int(np.argmax(taken))
        crops = sorted({context.crop(planting.crop) for planting, first, last in on_day if first <= worst <= last})
        month = next(month for month in reversed(result.months) if month.first_day <= worst)
        yield Finding(
            grade="danger" if taken[worst] > 1.5 else "short",
            title=f"{plot} is asked to hold more than it has room for",
            what=f"{', '.join(crops)} stand on it together in {month.name}.",
            number=f"{100 * taken[worst]:.0f} % of its area taken",
            cause="Shares and sowing times of these plantings overlap.",
            remedy="Lower the shares, move a sowing, or put one crop behind the other with `after`.",
            source="plantings.csv of the plan",
            subject=plot,
        )


def raw_manure(context: Context) -> Iterator[Finding]:
    """Days from raw manure on a strip to each food harvested from it, against the rule of the plan."""
    result = context.result
    rule = result.holding.rules.raw_manure_to_harvest_days
    spread: dict[str, int] = {}
    dated = [planting for planting in result.plantings if planting.days is not None]
    for planting in sorted(dated, key=lambda item: item.days or (0, 0)):
        first, last = planting.days or (0, 0)
        if planting.dressing == "raw manure":
            spread[planting.strip] = first
        if planting.strip not in spread or planting.status != "gathered":
            continue
        need = rule.touching_soil if planting.touches_soil else rule.other
        waited = (
            last - spread[planting.strip]
            if planting.first_gathered is None
            else first_gather_day(planting) - spread[planting.strip]
        )
        if waited < need:
            yield Finding(
                grade="danger",
                title=f"Raw manure {waited} days before {context.crop(planting.crop)} is gathered in {planting.plot}",
                what="Fresh manure carries germs that live for months in soil; food from this strip could make people ill.",
                number=f"{waited} days, the rule asks {need:.0f}",
                cause=f"Raw manure goes on as the bed of {context.crop(planting.crop)} in {planting.plot} is made.",
                remedy="Spread it the autumn before, compost it hot first, or grow a crop there that is cooked or not eaten. Local code may be stricter.",
                source=f"{rule.why} (published); rules.raw_manure_to_harvest_days of the plan",
                subject=planting.planting,
            )


def first_gather_day(planting: PlantingYear) -> int:
    """First day of gathering, counted from the first day of the larder year."""
    return planting.gather_day if planting.gather_day is not None else (planting.days or (0, 0))[1]


def failed(context: Context) -> Iterator[Finding]:
    """Plantings that were lost or could not be sown."""
    for planting in context.result.plantings:
        if planting.status == "planned":
            yield Finding(
                grade="short",
                title=f"{upper_first(context.crop(planting.crop))} in {planting.plot} is never sown",
                what="Its window closed before the ground, the warmth or the crop before it allowed.",
                number="0 kg",
                cause=planting.reason or "no day in the window was fit",
                remedy="Widen the window, choose an earlier crop before it, or leave it out.",
                source="sowing rule of the plan and the crops table",
                subject=planting.planting,
            )
        elif planting.status == "lost":
            yield Finding(
                grade="short",
                title=f"{upper_first(context.crop(planting.crop))} in {planting.plot} is lost",
                what=f"Sown {planting.sown}, it gives nothing worth gathering.",
                number="0 kg",
                cause=limit_words(planting) or planting.reason,
                remedy="Sow earlier, choose a quicker or hardier kind, cover it, or leave it out.",
                source="crops table; daily simulation on the year's weather",
                subject=planting.planting,
            )


def thin_yields(context: Context) -> Iterator[Finding]:
    """Crops that yield under the table's low figure; sowings of one crop in one plot are told together."""
    sown: dict[tuple[str, str], list[PlantingYear]] = {}
    for planting in context.result.plantings:
        if planting.status == "gathered":
            sown.setdefault((planting.plot, planting.crop), []).append(planting)
    for (plot, crop), plantings in sown.items():
        low = [planting for planting in plantings if planting.yield_t_ha < planting.table_low_t_ha]
        if low:
            yield _thin(context, plot, crop, low, len(plantings))


def _thin(context: Context, plot: str, crop: str, low: list[PlantingYear], sowings: int) -> Finding:
    worst = min(low, key=lambda planting: planting.yield_t_ha)
    among = f" in {len(low)} of {sowings} sowings" if sowings > 1 else ""
    least = "At the least " if len(low) > 1 else ""
    return Finding(
        grade="tight",
        title=f"{upper_first(context.crop(crop))} in {plot} yields under the handbook's low figure{among}",
        what=f"{least}{worst.yield_t_ha:.1f} t/ha against {worst.table_low_t_ha:g}-{worst.table_high_t_ha:g}.",
        number=f"{sum(planting.harvest_kg for planting in low):,.0f} kg gathered",
        cause=upper_first(limit_words(worst) or "several small limits together") + ".",
        remedy=remedy_words(worst),
        source="crops table, typical yields",
        subject=worst.planting,
    )


def held_yields(context: Context) -> Iterator[Finding]:
    """Yields that the model would have put past the handbook's high figure, and that are held there."""
    for planting in context.result.plantings:
        if planting.held and planting.status == "gathered":
            yield Finding(
                grade="note",
                title=f"{upper_first(context.crop(planting.crop))} in {planting.plot} is held at the handbook's high figure",
                what="Light and warmth alone would have made more than was ever gathered; the excess is not counted.",
                number=f"{planting.yield_t_ha:.1f} t/ha",
                cause=planting.reason.rpartition("; ")[2],
                remedy="Put your own yield into own.csv if you know better.",
                source=f"crops.{planting.crop}.typical_yield_high_t_ha",
                subject=planting.planting,
            )


def family_gap(context: Context) -> Iterator[Finding]:
    """The same plant family coming back to a plot sooner than the plan's own gap."""
    holding, tables = context.result.holding, context.tables
    gaps = holding.rules.family_gap_years
    cycle = max((row.year for row in holding.plantings if isinstance(row.year, int)), default=0)
    if not cycle:
        return
    years: dict[tuple[str, str], set[int]] = {}
    for row in holding.plantings:
        if isinstance(row.year, int):
            family = tables.row("crops", row.crop).text("family")
            years.setdefault((row.plot, family), set()).add(row.year)
    for (plot, family), held in sorted(years.items()):
        gap = gaps.get(family, gaps.get("default", 0.0))
        turns = sorted(held)
        rests = [(later - earlier) for earlier, later in zip(turns, [*turns[1:], turns[0] + cycle], strict=True)]
        shortest = min(rests)
        if shortest < gap:
            yield Finding(
                grade="note",
                title=f"{family} comes back to {plot} after {shortest} year{'s' if shortest > 1 else ''}",
                what="Soil-borne pests and diseases of a family build up when it returns too soon.",
                number=f"{shortest} of {gap:g} years",
                cause=f"The rotation of {plot} is {cycle} years long.",
                remedy="Lengthen the rotation or change places with another plot.",
                source="rules.family_gap_years of the plan; common practice",
                subject=plot,
            )


RULES: tuple[Rule, ...] = (raw_manure, two_at_once, failed, thin_yields, held_yields, family_gap)
