"""Grass and other perennial forage read out of the kernels: growth, what may be grazed, hay; and the swards' anchors.

A sward stands, grows by the light its standing leaf catches, withers, and is grazed or cut when it is grown enough;
docs/growth-swards.md prints the equations.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr
from yardland.growth.crop_traits import growth_figure
from yardland.growth.io import F64, I64, KernelInput, KernelOutput
from yardland.growth.sward_traits import G_M2_PER_T_HA, SwardPlot
from yardland.reference.tables import Tables
from yardland.weather.types import Forcing

DRY_MM = 2.0
"""Less rain than this is a dry day for hay (common practice)."""
KG_PER_G_M2_M2 = 0.001


@dataclass(frozen=True)
class SwardYear:
    """One sward in every lane; arrays [month, lane] in kilograms from the whole area unless said.

    grown_kg_dm : growth above ground ; grazing_kg_dm : what stock may eat of it where it stands ; withered_kg_dm
    hay_kg : made hay as stored ; hay_day [lane] : larder day of the last cut, -1 none
    wet_kg_dm : cut when no dry spell came ; wet_hay_kg : what of hay_kg was made of that
    water_factor, nitrogen_factor [lane] : growth with that limit over growth without it
    fixed_n_kg_ha, taken_n_kg_ha [lane] : nitrogen from the air and from the soil in the larder year
    water_mm[term], nitrogen_kg_ha[term] [month, lane] : accounts of its ground
    bears [day, lane] : whether its ground carries stock, by day of the 730-day axis
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
    withered_kg_dm: F64
    hay_kg: F64
    hay_day: I64
    water_factor: F64
    nitrogen_factor: F64
    fixed_n_kg_ha: F64
    taken_n_kg_ha: F64
    water_mm: dict[str, F64]
    nitrogen_kg_ha: dict[str, F64]
    bears: npt.NDArray[np.bool_]
    carry: float
    shut_up: bool
    wet_kg_dm: F64
    wet_hay_kg: F64


def read_sward(tables: Tables, sward: SwardPlot, given: KernelInput, out: KernelOutput, strip: int) -> SwardYear:
    """One sward out of what a kernel filled in; `strip` is its row of the kernel's arrays."""
    row = tables.row("swards", sward.kind)
    kept = tables.row("crops", row.text("crop"))
    first = int(given.strip_first[strip])
    kg = out.sward[:, strip] * sward.area_m2 * KG_PER_G_M2_M2
    dry_hay = kg[tr.HAY] * (1.0 - growth_figure(tables, "hay_field_loss"))
    wet_hay = kg[tr.WET_HAY] * (1.0 - growth_figure(tables, "hay_wet_loss"))
    wet, warm = out.wet_mj[first], out.warm_mj[first]
    efficiency = given.traits[tr.RUE, first]
    last = out.last_day[first]
    return SwardYear(
        id=sward.id,
        plot=sward.plot,
        kind=row.key,
        crop=kept.key,
        area_m2=sward.area_m2,
        good_grazed=row.text("good_grazed"),
        good_hay=row.text("good_hay"),
        grown_kg_dm=kg[tr.GREW],
        grazing_kg_dm=kg[tr.GRAZED],
        withered_kg_dm=kg[tr.WITHERED],
        hay_kg=(dry_hay + wet_hay) / growth_figure(tables, "hay_dm_fraction"),
        hay_day=np.where(last >= 0, last - tr.YEAR, -1),
        water_factor=wet / np.maximum(warm, 1e-9),
        nitrogen_factor=out.dm_g_m2[first] / np.maximum(efficiency * wet, 1e-9),
        fixed_n_kg_ha=out.fixed_n_kg_ha[first],
        taken_n_kg_ha=out.taken_n_kg_ha[first],
        water_mm=dict(zip(tr.WATER_TERMS, out.water[:, strip], strict=True)),
        nitrogen_kg_ha=dict(zip(tr.NITROGEN_TERMS, out.nitrogen[:, strip], strict=True)),
        bears=out.bears[strip] > 0,
        carry=growth_figure(tables, "sward_carry"),
        shut_up=sward.hay is not None,
        wet_kg_dm=kg[tr.WET_HAY],
        wet_hay_kg=wet_hay / growth_figure(tables, "hay_dm_fraction"),
    )


def dry_spells(tables: Tables, forcing: Forcing) -> F64:
    """1 on each day that begins enough dry days for hay (as a farmer reads the forecast), else 0; [day, lane]."""
    spell = int(growth_figure(tables, "hay_dry_days"))
    dry = forcing.rain_mm < DRY_MM
    out = np.zeros(dry.shape)
    last = len(dry) - spell + 1
    out[:last] = np.stack([dry[day : day + last] for day in range(spell)]).all(axis=0)
    return out


def t_ha(g_m2: float) -> float:
    """Tonnes a hectare of grams a square metre."""
    return g_m2 / G_M2_PER_T_HA
