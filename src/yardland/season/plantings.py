"""What each planting did in one larder year, read from what grew."""

from __future__ import annotations

from calendar import isleap
from dataclasses import dataclass, field
from datetime import date, timedelta

from yardland.growth.outcome import GrowthResult
from yardland.holding.model import Holding, PlantingRow
from yardland.ledger.months import DAYS_IN_YEAR
from yardland.reference import Tables
from yardland.season.unsown import why_unsown
from yardland.weather.types import Forcing


@dataclass(frozen=True)
class PlantingYear:
    """What one planting did in the larder year (mean over the record in `yield_t_ha_by_year`)."""

    planting: str
    plot: str
    crop: str
    good: str
    area_m2: float
    status: str
    sown: str | None
    first_gathered: str | None
    last_gathered: str | None
    yield_t_ha: float
    harvest_kg: float
    table_low_t_ha: float
    table_high_t_ha: float
    factors: dict[str, float]
    """By `growth.outcome.FACTORS` (and hazards, if drawn): the share left after that limit alone."""
    yield_t_ha_by_year: dict[str, float]
    anchor: float
    days: tuple[int, int] | None
    """First and last day on the land, counted from the first day of the larder year (may be negative)."""
    share: float = 1.0
    family: str = ""
    touches_soil: bool = True
    dressing: str = ""
    strip: str = ""
    gather_day: int | None = None
    """First day of gathering, counted like `days`."""
    factors_by_year: dict[str, tuple[float, ...]] = field(default_factory=dict)
    """The factors in every larder year of the record, in the order of `yield_t_ha_by_year`."""
    held: bool = False
    """Whether the yield is held at the table's high figure, where light and warmth alone would have made more."""
    reason: str = ""
    """Why this window, or why it failed, in words."""


STATES = ("gathered", "lost", "standing")


def state_of(words: str) -> str:
    """The state of a planting by the first word of what the growth room says of it; not sown is still planned."""
    first = words.partition(" ")[0]
    return first if first in STATES else "planned"


def planting_years(
    holding: Holding, tables: Tables, forcing: Forcing, grown: GrowthResult, lane: int
) -> tuple[PlantingYear, ...]:
    """One record for each planting of the layout in one lane."""
    rows = {row.line: row for row in holding.plantings}
    strip_of = {planting.id: strip.id for strip in grown.layout.strips for planting in strip.plantings}
    return tuple(
        planting_year(holding, tables, forcing, grown, lane, index, rows[planting.line], strip_of[planting.id])
        for index, planting in enumerate(grown.plantings)
    )


def planting_year(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    grown: GrowthResult,
    lane: int,
    index: int,
    row: PlantingRow,
    strip: str,
) -> PlantingYear:
    """The record of one planting in one lane."""
    planting = grown.plantings[index]
    crop = tables.row("crops", planting.crop)
    words = grown.status_words(index, lane)
    status = state_of(words)
    sow, first, last = (
        int(grown.pick(days)[index, lane]) for days in (grown.sow_day, grown.gather_first, grown.gather_last)
    )
    standing = sow >= 0 and last >= sow
    yields = grown.pick(grown.yield_kg_ha)[index] / 1000.0
    figure = tables.figure(f"crops.{planting.crop}.typical_yield_mid_t_ha")
    low = figure.low if figure.low is not None else crop.need("typical_yield_low_t_ha")
    high = figure.high if figure.high is not None else crop.need("typical_yield_high_t_ha")
    return PlantingYear(
        planting=planting.id,
        plot=planting.plot,
        crop=planting.crop,
        good=crop.text("good"),
        area_m2=float(grown.area_m2[index]),
        status=status,
        sown=day_on_axis(forcing, lane, sow),
        first_gathered=day_on_axis(forcing, lane, first) if status == "gathered" else None,
        last_gathered=day_on_axis(forcing, lane, last) if status == "gathered" else None,
        yield_t_ha=float(yields[lane]),
        harvest_kg=float(grown.harvest_kg[index, :, lane].sum()),
        table_low_t_ha=low,
        table_high_t_ha=high,
        factors={name: float(grown.pick(values)[index, lane]) for name, values in grown.factors.items()},
        yield_t_ha_by_year={label: float(value) for label, value in zip(grown.labels, yields, strict=True)},
        anchor=float(grown.anchor[index]),
        days=(sow - DAYS_IN_YEAR, last - DAYS_IN_YEAR) if standing else None,
        share=float(grown.area_m2[index]) / holding.plot[planting.plot].area_m2,
        family=crop.text("family"),
        touches_soil=crop.text("touches_soil") == "yes",
        dressing=row.dressing.kind,
        strip=strip,
        gather_day=first - DAYS_IN_YEAR if status == "gathered" else None,
        factors_by_year={
            name: tuple(float(value) for value in grown.pick(values)[index]) for name, values in grown.factors.items()
        },
        held=float(grown.pick(grown.kept)[index, lane]) < 1.0,
        reason=f"{planting.words}; {words}" + more_words(tables, forcing, grown, lane, index),
    )


def more_words(tables: Tables, forcing: Forcing, grown: GrowthResult, lane: int, index: int) -> str:
    """Why it was never sown, or that its yield is held at the table's high figure; "" for neither."""
    if int(grown.pick(grown.sow_day)[index, lane]) < 0:
        return f": {why_unsown(tables, forcing, grown, lane, index)}"
    kept = float(grown.pick(grown.kept)[index, lane])
    if kept < 1.0:
        struck = float(grown.pick(grown.factors["hazards"])[index, lane]) if "hazards" in grown.factors else 1.0
        reckoned = float(grown.pick(grown.yield_kg_ha)[index, lane]) / 1000.0 / max(kept * struck, 1e-9)
        return f"; held at the table's high figure: light and warmth alone would have made {reckoned:.1f} t/ha"
    return ""


def day_on_axis(forcing: Forcing, lane: int, day: int) -> str | None:
    """The calendar date (ISO) of a day of the 730-day axis, None for a day that never came; 29 February is skipped."""
    if day < 0:
        return None
    start = date(forcing.start_years[lane] - 1, forcing.start_month, 1)
    when = start + timedelta(days=day)
    for year in range(start.year, when.year + 1):
        if isleap(year) and start < date(year, 2, 29) <= when:
            when += timedelta(days=1)
    return when.isoformat()
