"""Which swards a holding has, and their numbers as the kernels take them: one column of traits each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.crop_traits import ALWAYS, NEVER_FROST_C, growth_figure
from yardland.growth.io import F64
from yardland.growth.layout import Layout
from yardland.holding.model import Holding, MonthDay, Span
from yardland.ledger.months import larder_months
from yardland.reference.tables import Row, Tables

G_M2_PER_T_HA = 100.0
FORAGE_KINDS = {"grass_clover": "grass-clover", "alfalfa": "lucerne", "red_clover": "red clover"}
NO_WINDOW = -1.0


@dataclass(frozen=True, slots=True)
class SwardPlot:
    """A sward of the plan. `hay` : the days it is shut up, from and to; `mown` : cut for hay whenever it is grown."""

    id: str
    plot: str
    kind: str
    area_m2: float
    hay: Span | None
    mown: bool


def sward_plots(holding: Holding, layout: Layout | None) -> Iterator[SwardPlot]:
    """Every grass plot, and every perennial forage crop on a crop plot."""
    for name, plot in holding.plot.items():
        if plot.sward is not None:
            yield SwardPlot(name, name, plot.sward.kind, plot.area_m2, plot.shut_up_for_hay, mown=False)
        elif plot.use == "grass":
            yield SwardPlot(name, name, "permanent pasture", plot.area_m2, plot.shut_up_for_hay, mown=False)
    for strip in layout.forage if layout else ():
        yield SwardPlot(strip.id, strip.plot, FORAGE_KINDS[strip.crop], strip.area_m2, None, mown=True)


def sward_traits(tables: Tables, sward: SwardPlot, start_month: int, level: float) -> F64:
    """Traits of a sward; growth by its crop's anchor at a level of management."""
    row = tables.row("swards", sward.kind)
    scale = tables.row("anchors", row.text("crop")).need("anchor") * row.need("relative_growth") * level
    out = plain_traits(tables, row, scale)
    out[tr.N_CRITICAL_PCT], out[tr.N_DILUTION] = row.need("n_critical_a_pct"), row.need("n_critical_b")
    out[tr.N_FIXED] = row.need("n_fixed_share")
    out[tr.N_RESIDUE_FRESH] = growth_figure(tables, "sward_litter_fresh_share")
    out[tr.CUT_MASS] = G_M2_PER_T_HA * row.need("mown_from_t_ha") if sward.mown else 0.0
    if sward.hay is not None:
        opens, ends = (larder_day(when, start_month) for when in sward.hay)
        ends = ends if ends > opens else tr.YEAR - 1
        wait = int(growth_figure(tables, "hay_wait_days"))
        out[tr.SHUT_FROM], out[tr.HAY_FROM], out[tr.HAY_UNTIL] = opens, ends, min(ends + wait, tr.YEAR - 1)
    return out


def plain_traits(tables: Tables, row: Row, scale: float) -> F64:
    """Traits of a kind of sward that never wants nitrogen and is grazed; `scale` turns the model's growth to real growth."""
    out = np.zeros(tr.COUNT)
    out[tr.SWARD] = 1.0
    out[tr.N_ASKS_UNTIL] = ALWAYS
    out[tr.BASE_C], out[tr.GROW_FULL_C] = row.need("base_temp_c"), row.need("full_temp_c")
    out[tr.GROW_FALL_C], out[tr.PLATEAU_C] = row.need("falls_from_c"), ALWAYS
    out[tr.GERMINATION_C] = out[tr.GATE_FROST_C] = out[tr.KILL_C] = NEVER_FROST_C
    # What only crops have, at values that no formula stumbles over.
    for trait in (tr.TARGET, tr.FLOWERS_NEEDED, tr.PICK_COVER, tr.KC_B, tr.DAYLENGTH_FULL_H, tr.VERNAL_DAYS):
        out[trait] = 1.0
    out[tr.TOP], out[tr.RUE], out[tr.TONNES] = (
        row.need("top_cover"),
        row.need("rue_g_per_mj_par"),
        scale / G_M2_PER_T_HA,
    )
    # The table's coefficient is that of the whole cut or grazed year: FAO-56 Table 17 has the basal one 0.05 lower.
    out[tr.KCB_INI], out[tr.KCB_MID] = BARE_KCB, row.need("kc") - 0.05
    out[tr.DEPLETION_P], out[tr.ROOT_M] = row.need("depletion_p"), max(row.need("root_m"), tr.SHALLOW_M)
    out[tr.LIGHT_PER_MASS] = row.need("light_per_t_ha") / G_M2_PER_T_HA
    out[tr.SENESCENCE] = row.need("withering_per_c_d")
    out[tr.ENTRY_MASS] = G_M2_PER_T_HA * row.need("grazed_from_t_ha")
    out[tr.RESIDUAL_MASS] = G_M2_PER_T_HA * row.need("grazed_to_t_ha")
    out[tr.STUBBLE_MASS] = G_M2_PER_T_HA * row.need("mown_to_t_ha")
    out[tr.GRAZED_SHARE] = growth_figure(tables, "sward_grazed_share")
    out[tr.DUNG_MINERAL] = growth_figure(tables, "dung_mineral_share")
    out[tr.DUNG_FRESH] = growth_figure(tables, "dung_fresh_share")
    out[tr.SHUT_FROM] = out[tr.HAY_FROM] = out[tr.HAY_UNTIL] = NO_WINDOW
    return out


BARE_KCB = 0.15
"""Basal crop coefficient of ground with next to no leaf on it (FAO-56 Table 17)."""


def larder_day(when: MonthDay, start_month: int) -> int:
    """Day of the larder year (0-364) of a date without a year."""
    months = larder_months(2001, start_month)
    month = next(month for month in months if month.month == when.month)
    return month.first_day + min(when.day, month.days) - 1
