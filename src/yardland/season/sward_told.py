"""One kind of grass or forage of a holding: every sward of it in every larder year, and one of these years by month and day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np

from yardland.errors import Fault, InputFaults
from yardland.growth import traits as tr
from yardland.growth.crop_traits import FORAGE
from yardland.growth.io import F64
from yardland.growth.sward import SwardYear
from yardland.growth.sward_traits import G_M2_PER_T_HA, SwardPlot, sward_plots
from yardland.growth.texture import GroundSoil, soil_of
from yardland.growth.trace import Trace, trace
from yardland.holding.model import Holding
from yardland.ledger.months import larder_months
from yardland.reference import Tables
from yardland.season.crop_limits import DayByDay, day_by_day
from yardland.season.crop_year import PlanGrown, grow_plan, with_trial
from yardland.season.plantings import day_on_axis
from yardland.weather.types import Forcing


@dataclass(frozen=True)
class SwardOfYears:
    """One sward in all larder years of the record.

    use : "grazed", "grazed and shut up for hay", "mown" ; months : names of the twelve ; year : in every lane
    stand_t_ha[term] [month, lane] : dry matter of the standing sward, terms by `traits.SWARD_TERMS`
    cuts : first and last day it was mown in the year that is shown, ISO dates
    """

    id: str
    plot: str
    kind: str
    rotation_year: int
    use: str
    soil: GroundSoil
    watered_by: tuple[str, ...]
    months: tuple[str, ...]
    labels: tuple[str, ...]
    lane: int
    year: SwardYear
    stand_t_ha: dict[str, F64]
    cuts: tuple[str | None, str | None]
    day_by_day: DayByDay

    @property
    def cut_t_ha(self) -> F64:
        """Dry matter mown, dry and wet, [month, lane]."""
        return self.stand_t_ha["hay"] + self.stand_t_ha["wet_hay"]

    @property
    def yields_t_ha(self) -> F64:
        """Dry matter eaten where it stands or mown, in each larder year."""
        return np.asarray((self.stand_t_ha["grazed"] + self.cut_t_ha).sum(axis=0))


@dataclass(frozen=True)
class SwardTold:
    """Everything that a sward's page says. `trial` : the plan has none, this one was put in to try it."""

    holding: Holding
    crop: str
    name: str
    source: str
    label: str
    trial: bool
    swards: tuple[SwardOfYears, ...]


def sward_kind(name: str, tables: Tables) -> str | None:
    """Key of a forage crop or of table swards as it is typed, None for anything else; capitals, spaces, hyphens do not matter."""
    key = plain_key(name)
    if key in FORAGE:
        return key
    return next((kind for kind in tables.keys("swards") if plain_key(kind) == key), None)


def plain_key(name: str) -> str:
    """A name with small letters and underlines."""
    return name.strip().lower().replace(" ", "_").replace("-", "_")


def tell_sward(holding: Holding, tables: Tables, forcing: Forcing, lane: int, kind: str) -> SwardTold:
    """The swards of a kind.

    Args:
        holding: the plan.
        tables: the reference tables under the holding's own figures.
        forcing: every larder year of the record.
        lane: the year that is shown month by month and day by day.
        kind: a forage crop (all swards of it) or a row of table swards (that kind alone).

    Raises:
        InputFaults: the plan has no such grass, or no plot on which a trial could stand.
    """
    found = tuple(_swards(holding, tables, forcing, lane, kind))
    trial = not found
    if trial and kind not in FORAGE:
        crop = tables.row("swards", kind).text("crop")
        remedy = f'Add a plot with use = "grass", or ask for {crop}, which is tried on a plot of crops.'
        raise InputFaults([Fault("NAME", "crop", kind, "grass that the plan has", remedy)])
    if trial:
        holding, _ = with_trial(holding, tables, kind)
        found = tuple(_swards(holding, tables, forcing, lane, kind))
    name = tables.row("crops", kind).text("common_name") if kind in FORAGE else kind
    return SwardTold(holding, kind, name, forcing.source, forcing.labels[lane], trial, found)


def _swards(holding: Holding, tables: Tables, forcing: Forcing, lane: int, kind: str) -> Iterator[SwardOfYears]:
    """Swards of plots in the first year of the rotation, those of forage lines in each of theirs."""
    typed = {row.year for row in holding.plantings if row.crop in FORAGE and isinstance(row.year, int)}
    seen: set[str] = set()
    for year in sorted({1} | typed):
        plan = grow_plan(holding, tables, forcing, lane, year)
        layout, given, grown = plan.layout, plan.given, plan.grown
        plots = tuple(sward_plots(holding, layout))
        wanted = [
            number
            for number, one in enumerate(grown.swards)
            if kind in (one.crop, one.kind) and f"{one.id} {'' if _stands(plots[number]) else year}" not in seen
        ]
        if not wanted:
            continue
        seen |= {f"{grown.swards[number].id} {'' if _stands(plots[number]) else year}" for number in wanted}
        rows = {number: int(given.strip_first[len(layout.strips) + number]) for number in wanted}
        traces = trace(given, lane, rows.values())
        for number in wanted:
            strip = len(layout.strips) + number
            yield _sward(
                holding, tables, forcing, lane, year, plots[number], grown.swards[number], plan, strip, traces[rows[number]]
            )  # fmt: skip


def _stands(sward: SwardPlot) -> bool:
    """Whether it is a plot of grass, which stands in every year of the rotation."""
    return sward.id == sward.plot


def _sward(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    lane: int,
    rotation_year: int,
    sward: SwardPlot,
    year: SwardYear,
    plan: PlanGrown,
    strip: int,
    seen: Trace,
) -> SwardOfYears:
    out, first = plan.out, int(plan.given.strip_first[strip])
    shown = Trace(tr.YEAR, {name: values[tr.YEAR :] for name, values in seen.days.items()}, {})
    starts = date.fromisoformat(day_on_axis(forcing, lane, tr.YEAR) or "")
    months = larder_months(forcing.start_years[lane], forcing.start_month)
    use = "mown" if sward.mown else "grazed and shut up for hay" if sward.hay is not None else "grazed"
    return SwardOfYears(
        id=sward.id,
        plot=sward.plot,
        kind=sward.kind,
        rotation_year=rotation_year,
        use=use,
        soil=soil_of(holding, tables, sward.plot),
        watered_by=holding.plot[sward.plot].watered_by,
        months=tuple(month.name for month in months),
        labels=forcing.labels,
        lane=lane,
        year=year,
        stand_t_ha=dict(zip(tr.SWARD_TERMS, out.sward[:, strip] / G_M2_PER_T_HA, strict=True)),
        cuts=(
            day_on_axis(forcing, lane, int(out.first_day[first, lane])),
            day_on_axis(forcing, lane, int(out.last_day[first, lane])),
        ),
        day_by_day=day_by_day(shown, starts, ()),
    )
