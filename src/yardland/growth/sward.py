"""Grass and other perennial forage: daily growth, what may be grazed, hay when a plot is shut up for it.

Growth = light caught x radiation-use efficiency x temperature factor x water stress, scaled so that a rain-proof year in
the reference climates gives the crop table's middle hay yield. docs/growth-swards.md prints the equations.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr
from yardland.growth.anchor import Anchor
from yardland.growth.crop_traits import growth_figure
from yardland.growth.io import F64, I64
from yardland.growth.layout import Layout
from yardland.growth.one_layer import one_layer
from yardland.growth.reference_climate import reference_forcing
from yardland.growth.sky import PAR_SHARE
from yardland.growth.spare import Spare
from yardland.growth.texture import GroundSoil, soil_of
from yardland.holding.model import Holding, MonthDay, Span
from yardland.ledger.months import larder_months, month_of_day
from yardland.reference.tables import Row, Tables
from yardland.weather.types import Forcing

FALL_C = 10.0
"""Growth falls to nothing this far above the temperature from which it falls."""
DRY_MM = 2.0
"""Less rain than this is a dry day for hay (common practice)."""
Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class SwardYear:
    """One sward in every lane; arrays [month, lane] in kilograms from the whole area unless said.

    grown_kg_dm : harvestable growth (above the stubble) ; grazing_kg_dm : what stock may eat of it where it stands
    hay_kg : made hay as stored ; hay_day [lane] : larder day of the cut, -1 none
    water_factor [lane] : growth over growth without want of water ; water_m3 [source, month, lane] : given to it
    """

    id: str
    plot: str
    kind: str
    crop: str
    area_m2: float
    good_grazed: str
    good_hay: str
    grown_kg_dm: F64
    grazing_kg_dm: F64
    hay_kg: F64
    hay_day: I64
    water_factor: F64
    water_m3: F64
    carry: float
    shut_up: bool


@dataclass(frozen=True)
class DailyGrowth:
    """Dry matter a day, g/m2 [day, lane], with water as it came and without want of it; irrigation, mm [day, lane]."""

    dm_g_m2: F64
    unstressed_g_m2: F64
    irrigation_mm: F64


def grow_swards(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    layout: Layout | None = None,
    spare: Spare | None = None,
) -> tuple[SwardYear, ...]:
    """Every grass plot, and every perennial forage crop on a crop plot, in every lane.

    Args:
        holding: the plan.
        tables: the reference tables.
        forcing: weather [730, lanes].
        layout: for the forage crops among the plantings.
        spare: what the sources have left over; watered swards take from it, the first plot first.
    """
    spare = Spare.none(forcing.rain_mm.shape) if spare is None else spare
    years = []
    for ident, plot, kind, area, hay in _swards(holding, layout):
        row = tables.row("swards", kind)
        watered = holding.plot[plot].watered_by
        daily = sward_growth(
            tables, row, forcing, soil_of(holding, tables, plot), 1000.0 * spare.at_hand_m3(watered) / area
        )
        taken = spare.take(watered, daily.irrigation_mm * area / 1000.0)
        years.append(_year(holding, tables, forcing, (ident, plot, area), row, daily, hay, taken))
    return tuple(years)


def sward_growth(
    tables: Tables, row: Row, forcing: Forcing, soil: GroundSoil, water_at_hand_mm: F64 | None = None
) -> DailyGrowth:
    """Daily growth of a sward on a soil, with FAO-56 water balance of one layer (single crop coefficient).

    Args:
        tables: the reference tables.
        row: of the swards table.
        forcing: weather.
        soil: what it stands on.
        water_at_hand_mm: [day, lane] what may be given on a day; it is given when readily available water is used up.
    """
    potential = potential_growth(row, forcing)
    water = one_layer(
        tables,
        forcing,
        soil,
        root_m=row.need("root_m"),
        depletion_p=row.need("depletion_p"),
        kc=row.need("kc"),
        water_at_hand_mm=water_at_hand_mm,
    )
    return DailyGrowth(potential * water.ks, potential, water.given_mm)


def potential_growth(row: Row, forcing: Forcing) -> F64:
    """Growth without want of water, g DM/m2 [day, lane]: above ground and below."""
    tmean = (forcing.tmin_c + forcing.tmax_c) / 2
    light = PAR_SHARE * forcing.rad_mj_m2 * row.need("top_cover")
    return np.asarray(light * _warmth(row, tmean) * row.need("rue_g_per_mj_par"))


def make_sward_anchors(tables: Tables) -> list[Anchor]:
    """Anchors of the forage crops: a year in their reference climates (table swards) without want of water."""
    rows = {
        tables.row("swards", key).text("crop"): tables.row("swards", key) for key in reversed(tables.keys("swards"))
    }
    return [_anchor(tables, crop, row) for crop, row in reversed(rows.items())]


def _anchor(tables: Tables, crop: str, row: Row) -> Anchor:
    light = warm = grown = 0.0
    climates = row.text("anchored_in").split()
    for name in climates:
        forcing = reference_forcing(tables, name)
        caught = PAR_SHARE * forcing.rad_mj_m2[tr.YEAR :] * row.need("top_cover")
        tmean = (forcing.tmin_c + forcing.tmax_c)[tr.YEAR :] / 2
        light += float(caught.sum()) / len(climates)
        warm += float((caught * _warmth(row, tmean)).sum()) / len(climates)
        grown += float(potential_growth(row, forcing)[tr.YEAR :].sum()) / len(climates)
    figures = tables.row("crops", crop)
    hay = figures.need("typical_yield_mid_t_ha") * figures.need("dry_matter_fraction")
    growth = hay / (1.0 - growth_figure(tables, "hay_field_loss"))
    return Anchor(crop, " ".join(climates), 365, grown, light, warm / light, growth / (grown / 100.0))


def _warmth(row: Row, tmean_c: F64) -> F64:
    """Temperature factor 0-1: up from the base to full pace, down over ten degrees from where it falls."""
    base, full, falls = row.need("base_temp_c"), row.need("full_temp_c"), row.need("falls_from_c")
    rise = (tmean_c - base) / (full - base)
    fall = 1.0 - (tmean_c - falls) / FALL_C
    return np.clip(np.minimum(rise, fall), 0.0, 1.0)


def _swards(holding: Holding, layout: Layout | None) -> Iterator[tuple[str, str, str, float, Span | str | None]]:
    """Id, plot, kind, area and hay window ("" : cut whenever grown) of every sward."""
    for name, plot in holding.plot.items():
        if plot.sward is not None:
            yield name, name, plot.sward.kind, plot.area_m2, plot.shut_up_for_hay
        elif plot.use == "grass":
            yield name, name, "permanent pasture", plot.area_m2, plot.shut_up_for_hay
    kinds = {"grass_clover": "grass-clover", "alfalfa": "lucerne", "red_clover": "red clover"}
    for strip in layout.forage if layout else ():
        yield strip.id, strip.plot, kinds[strip.crop], strip.area_m2, ""


def _year(
    holding: Holding,
    tables: Tables,
    forcing: Forcing,
    sward: tuple[str, str, float],
    row: Row,
    daily: DailyGrowth,
    hay: Span | str | None,
    taken_m3: F64,
) -> SwardYear:
    ident, plot, area = sward
    level = growth_figure(tables, f"level_{holding.goal.level.replace(' ', '_')}")
    scale = tables.row("anchors", row.text("crop")).need("anchor") * row.need("relative_growth") * level * area / 1000.0
    grown = daily.dm_g_m2[tr.YEAR :] * scale
    month = np.array(month_of_day(larder_months(2001, forcing.start_month)))
    shut, cut = _hay(tables, forcing, hay)
    lanes = grown.shape[1]
    stands = _by_month(np.where(shut, 0.0, grown), month)
    made, loss_dm = np.zeros((12, lanes)), growth_figure(tables, "hay_dm_fraction")
    for lane in range(lanes):
        if isinstance(hay, Span):
            loss = growth_figure(tables, "hay_field_loss" if cut[1][lane] else "hay_wet_loss")
            made[month[cut[0][lane]], lane] = grown[shut[:, lane], lane].sum() * (1.0 - loss) / loss_dm
    if hay == "":
        made = stands * (1.0 - growth_figure(tables, "hay_field_loss")) / loss_dm
        stands = np.zeros_like(stands)
    unstressed = daily.unstressed_g_m2[tr.YEAR :].sum(axis=0)
    return SwardYear(
        id=ident,
        plot=plot,
        kind=row.key,
        crop=row.text("crop"),
        area_m2=area,
        good_grazed=row.text("good_grazed"),
        good_hay=row.text("good_hay"),
        grown_kg_dm=_by_month(grown, month),
        grazing_kg_dm=stands * growth_figure(tables, "sward_grazed_share"),
        hay_kg=made,
        hay_day=cut[0] if isinstance(hay, Span) else np.full(lanes, -1, dtype=np.int64),
        water_factor=daily.dm_g_m2[tr.YEAR :].sum(axis=0) / np.maximum(unstressed, 1e-9),
        water_m3=np.stack([_by_month(part[tr.YEAR :], month) for part in taken_m3])
        if len(taken_m3)
        else np.zeros((0, 12, lanes)),
        carry=growth_figure(tables, "sward_carry"),
        shut_up=isinstance(hay, Span),
    )


def _hay(tables: Tables, forcing: Forcing, hay: Span | str | None) -> tuple[Mask, tuple[I64, Mask]]:
    """Days [365, lane] whose growth goes into hay; larder day of the cut and whether it was dry, by lane.

    Growth is saved from the day the plot is shut up to the cut: the first of three dry days in a row from the planned
    end on, at the latest some weeks after it (then in the wet). A window that crosses the end of the larder year is cut
    short there.
    """
    lanes = forcing.rain_mm.shape[1]
    shut = np.zeros((tr.YEAR, lanes), dtype=bool)
    day, dry = np.full(lanes, -1, dtype=np.int64), np.ones(lanes, dtype=bool)
    if not isinstance(hay, Span):
        return shut, (day, dry)
    opens, ends = (_larder_day(when, forcing.start_month) for when in hay)
    ends = ends if ends > opens else tr.YEAR - 1
    wait, spell = int(growth_figure(tables, "hay_wait_days")), int(growth_figure(tables, "hay_dry_days"))
    is_dry = forcing.rain_mm[tr.YEAR :] < DRY_MM
    for lane in range(lanes):
        latest = min(ends + wait, tr.YEAR - 1)
        fit = [d for d in range(ends, latest + 1) if d + spell <= tr.YEAR and is_dry[d : d + spell, lane].all()]
        day[lane], dry[lane] = (fit[0], True) if fit else (latest, False)
        shut[opens : day[lane] + 1, lane] = True
    return shut, (day, dry)


def _larder_day(when: MonthDay, start_month: int) -> int:
    months = larder_months(2001, start_month)
    month = next(month for month in months if month.month == when.month)
    return month.first_day + min(when.day, month.days) - 1


def _by_month(daily: F64, month: I64) -> F64:
    """Sums [12, lane] of [365, lane]."""
    return np.stack([daily[month == number].sum(axis=0) for number in range(12)])
