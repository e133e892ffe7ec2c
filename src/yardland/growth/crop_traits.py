"""From the tables to the numbers that the kernels take: one column of traits per sowing."""

from __future__ import annotations

import numpy as np

from yardland.errors import TableError
from yardland.growth import traits as tr
from yardland.growth.io import F64
from yardland.growth.layout import Planting
from yardland.reference.tables import Row, Tables

NEVER_FROST_C = -99.0
TENTHS_APART = 0.8
"""Share of the flowers that dies between the two published points, a tenth and nine tenths."""
ALWAYS = 1e9
IDLE_DAYS = 8.0
"""Vernal days without effect (Weir et al. 1984, from memory; see heat.VERNAL_COLD_C)."""
TENDER_C = -2.5
"""A crop killed at this or above waits for a night without frost before it is sown or planted out."""
DRY_CROP = 0.8
"""Crops with this share of dry matter and more are gathered on dry days only."""
PERENNIAL_BED = ("strawberry",)
"""Perennials that fruit from heat counted since midwinter on a bed that stands."""
SHORT_DAY = "short-day"
"""Varieties whose name begins so make their bulb in the shorter days of low latitudes and of spring."""
MOST_REMOVED = 0.95
"""Most of a crop's nitrogen that leaves with the harvest (stubble and roots keep some)."""
FORAGE = ("grass_clover", "alfalfa", "red_clover")
"""Perennial forage crops: grown as swards."""


def growth_figure(tables: Tables, key: str) -> float:
    """A number of the growth table."""
    return tables.row("growth", key).need("number")


def crop_traits(tables: Tables, crop: str, variety: str = "") -> F64:
    """Traits of a crop, without the days of its window (OPENS, CLOSES, CLEAR_BY, FREE_BY are left 0).

    Args:
        tables: the reference tables.
        crop: key of the crops table.
        variety: "early..." and "late..." take the sums of early and late varieties where the table has them;
            "short-day..." the daylength of short-day onions.

    Raises:
        TableError: unknown crop, or a figure that the kernel needs is missing.
    """
    row = tables.row("crops", crop)
    out = np.zeros(tr.COUNT)
    _temperatures(tables, row, out)
    _development(tables, row, variety, out)
    _canopy(tables, row, out)
    _frost_by_stage(tables, row, out)
    _water(row, out)
    _gathering(tables, row, out)
    if crop in PERENNIAL_BED:
        out[tr.GERMINATION_C] = out[tr.GATE_FROST_C] = NEVER_FROST_C
        out[tr.FIT_SOIL] = out[tr.HEAT_AT_START] = out[tr.HEAT_EMERGE] = 0.0
    return out


def with_window(traits: F64, planting: Planting, year: int) -> F64:
    """Traits of one sowing of a planting: `year` 0 is the year before, 1 the larder year."""
    out = traits.copy()
    shift = tr.YEAR * year
    out[tr.OPENS], out[tr.CLOSES] = planting.opens + shift, planting.closes + shift
    out[tr.CLEAR_BY], out[tr.FREE_BY] = planting.clear_by + shift, planting.free_by + shift
    if planting.picking_days > 0.0:
        out[tr.PICK_DAYS] = planting.picking_days
    if planting.typed:
        out[tr.GERMINATION_C] = min(out[tr.GERMINATION_C], out[tr.BASE_C])
    return out


def nursery_heat(tables: Tables, row: Row) -> float:
    """Degree-days that a transplant brings along: nursery days at the nursery's mean temperature."""
    base = row.need("base_temp_c")
    warm = growth_figure(tables, "nursery_cool_c" if base < 8 else "nursery_warm_c")
    return (row["nursery_days"] or 0.0) * max(warm - base, 0.0)


def kill_slope(table: str, row: Row, tenth_c: float, most_c: float) -> float:
    """Share of the flowers killed per degree colder, linear between a tenth and nine tenths.

    Raises:
        TableError: nine tenths die at no lower temperature than a tenth.
    """
    if most_c >= tenth_c:
        key = f"{table}.{row.key}"
        raise TableError(f"{key}: nine tenths of the flowers die at {most_c:g} C, a tenth at {tenth_c:g}: set it lower")
    return TENTHS_APART / (tenth_c - most_c)


def _temperatures(tables: Tables, row: Row, out: F64) -> None:
    base = row.need("base_temp_c")
    kill = row.need("frost_kill_c")
    out[tr.BASE_C], out[tr.PLATEAU_C] = base, row.need("upper_temp_c")
    germination = row["min_germination_soil_temp_c"]
    out[tr.GERMINATION_C] = NEVER_FROST_C if germination is None else germination
    if row["nursery_days"]:
        # A transplant germinated under cover: outdoors it wants only warmth to grow in.
        out[tr.GERMINATION_C] = base + growth_figure(tables, "planting_out_above_base_c")
    tender = kill >= TENDER_C or bool(row["nursery_days"])
    out[tr.GATE_FROST_C] = kill + 1.0 if tender else NEVER_FROST_C
    out[tr.KILL_C] = kill
    out[tr.KILL_BY_MEAN] = 1.0 if row.text("kill_kind") == "three-day mean" else 0.0
    if base < 8:
        full = "full_growth_cool_c"
    else:
        full = "full_growth_c4_c" if row.text("family") == "Poaceae" else "full_growth_warm_c"
    out[tr.GROW_FULL_C] = growth_figure(tables, full)
    falls = row["growth_upper_temp_c"]
    out[tr.GROW_FALL_C] = ALWAYS if falls is None else max(falls, out[tr.GROW_FULL_C])


def _development(tables: Tables, row: Row, variety: str, out: F64) -> None:
    ripe = row.need("gdd_maturity")
    for kind in ("early", "late"):
        if variety.lower().startswith(kind):
            ripe = row[f"gdd_maturity_{kind}"] or ripe
    start = nursery_heat(tables, row)
    emerge = row["gdd_emergence"] or 0.0
    if start > 0:
        # Of the nursery's heat the development keeps all, the canopy on its wide field spacing only a part.
        emerge = (1.0 - growth_figure(tables, "nursery_leaf_share")) * start
    release = row["gdd_to_release"] or 0.0
    out[tr.HEAT_AT_START], out[tr.HEAT_EMERGE], out[tr.RELEASE] = start, emerge, release
    out[tr.TARGET] = ripe if release > 0 else ripe - max(start, emerge)
    need = row["vernal_days"] or 0.0
    # A crop that needs no cold has it in full from the start.
    out[tr.VERNAL_DAYS], out[tr.VERNAL_IDLE] = (need, IDLE_DAYS) if need > IDLE_DAYS else (0.0, -ALWAYS)
    out[tr.DAYLENGTH_BASE_H] = row["daylength_base_h"] or 0.0
    out[tr.DAYLENGTH_FULL_H] = row["daylength_full_h"] or 24.0
    bulbing = row["bulbing_daylength_h"]
    out[tr.BULB_UNITS] = ALWAYS
    if bulbing and release == 0:
        out[tr.BULB_UNITS] = growth_figure(tables, "bulbing_heat") - max(start, emerge)
        short = variety.lower().startswith(SHORT_DAY)
        out[tr.BULB_DAYLENGTH_H] = growth_figure(tables, "short_day_bulbing_h") if short else bulbing


def _canopy(tables: Tables, row: Row, out: F64) -> None:
    canopy = tables.row("canopy", row.text("canopy_group"))
    out[tr.HALF], out[tr.STEEP], out[tr.TOP] = (
        canopy.need("half_cover"),
        canopy.need("steepness"),
        canopy.need("top_cover"),
    )
    out[tr.SENESCE_FROM], out[tr.SENESCE_LEFT] = canopy.need("senesce_from"), canopy.need("senesce_left")
    out[tr.KC_A], out[tr.KC_B] = canopy.need("kc_ini_until"), canopy.need("kc_mid_from")
    out[tr.KC_C] = canopy.need("kc_end_from")
    forage = row.text("kill_loses") == "growth" and row.text("canopy_group") != "allium"
    winters = (row["gdd_to_release"] or 0.0) > 0.0
    held = growth_figure(tables, "winter_cover_forage" if forage else "winter_cover_grain")
    out[tr.COVER_CAP] = held if winters else out[tr.TOP]
    out[tr.RUE] = row.need("rue_g_per_mj_par")


def _frost_by_stage(tables: Tables, row: Row, out: F64) -> None:
    """What the young crop stands, and what frost and heat take of the flowers; nothing of it where the table is silent."""
    canopy = tables.row("canopy", row.text("canopy_group"))
    young = row["frost_kill_young_c"]
    out[tr.YOUNG_KILL_C] = out[tr.KILL_C] if young is None else young
    out[tr.YOUNG_UNTIL] = 0.0 if young is None else canopy.need("young_until")
    out[tr.FLOWER_FROM] = out[tr.FLOWER_UNTIL] = ALWAYS
    out[tr.FLOWERS_NEEDED] = 1.0
    out[tr.FLOWER_KILL10_C], out[tr.FLOWER_SLOPE] = -ALWAYS, 1.0
    out[tr.HEAT10_C], out[tr.HEAT_SLOPE] = ALWAYS, 1.0
    cold, hot = row["flower_kill10_c"], row["flower_heat10_c"]
    if cold is None and hot is None:
        return
    out[tr.FLOWER_FROM], out[tr.FLOWER_UNTIL] = canopy.need("flower_from"), canopy.need("flower_until")
    out[tr.FLOWERS_NEEDED] = canopy.need("flowers_needed")
    if cold is not None:
        out[tr.FLOWER_KILL10_C] = cold
        out[tr.FLOWER_SLOPE] = kill_slope("crops", row, cold, row.need("flower_kill90_c"))
    if hot is not None:
        out[tr.HEAT10_C], out[tr.HEAT_SLOPE] = hot, _heat_slope(row, hot, row.need("flower_heat90_c"))


def _heat_slope(row: Row, tenth_c: float, most_c: float) -> float:
    """Share of the flowers that fail per degree hotter, linear between a tenth and nine tenths."""
    if most_c <= tenth_c:
        key = f"crops.{row.key}"
        raise TableError(
            f"{key}: nine tenths of the flowers fail at {most_c:g} C, a tenth at {tenth_c:g}: set it higher"
        )
    return TENTHS_APART / (most_c - tenth_c)


def _water(row: Row, out: F64) -> None:
    out[tr.KCB_INI], out[tr.KCB_MID], out[tr.KCB_END] = row.need("kcb_ini"), row.need("kcb_mid"), row.need("kcb_end")
    out[tr.DEPLETION_P] = row.need("depletion_fraction_p")
    deep = row.need("rooting_depth_max_m")
    out[tr.ROOT_M] = max(((row["rooting_depth_low_m"] or deep) + deep) / 2, tr.SHALLOW_M)


def _gathering(tables: Tables, row: Row, out: F64) -> None:
    loses_all = row.text("kill_loses") == "all"
    stands = row["stands_days"] or 0.0
    out[tr.PICK_DAYS] = row["picking_days"] or 0.0
    out[tr.STAND_DAYS] = stands if row.text("in_ground") == "yes" else 0.0
    out[tr.WAIT_DAYS] = stands if loses_all and row.need("dry_matter_fraction") >= DRY_CROP else 0.0
    out[tr.LEAST_RIPE] = growth_figure(tables, "least_ripe_grain") if loses_all else 0.0
    out[tr.FIT_SOIL] = 1.0
    out[tr.PICK_COVER] = row.need("pick_cover_share")


def with_nitrogen(tables: Tables, traits: F64, crop: str, level: float) -> F64:
    """Traits with what the crop wants of nitrogen at a level of management; without it nitrogen never lacks.

    The model's dry matter is turned to that of the level's crop (`TONNES`), so that an unstressed season ends at the
    level's yield over harvest index. What is carried off is the table's removal at that yield over its critical nitrogen.
    """
    row, anchor = tables.row("crops", crop), tables.row("anchors", crop)
    out = traits.copy()
    out[tr.N_CRITICAL_PCT], out[tr.N_DILUTION] = row.need("n_critical_a_pct"), row.need("n_critical_b")
    out[tr.N_FIXED] = row.need("n_fixed_share")
    out[tr.N_ASKS_UNTIL] = growth_figure(tables, "grain_n_until") if out[tr.LEAST_RIPE] > 0.0 else ALWAYS
    out[tr.N_RESIDUE_FRESH] = tables.row("canopy", row.text("canopy_group")).need("residue_fresh_share")
    t_ha = level * row.need("typical_yield_mid_t_ha")
    whole_t_ha = t_ha * row.need("dry_matter_fraction") / row.need("harvest_index")
    out[tr.TONNES] = whole_t_ha / anchor.need("dm_g_m2")
    critical = 10.0 * out[tr.N_CRITICAL_PCT] * whole_t_ha * max(whole_t_ha, 1.0) ** -out[tr.N_DILUTION]
    out[tr.N_REMOVED] = min(t_ha * row.need("n_removal_kg_per_t") / critical, MOST_REMOVED)
    return out
