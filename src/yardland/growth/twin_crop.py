"""What a crop is on a day, in plain Python: pure functions of its state, its traits and the weather. Part of the twin."""

from __future__ import annotations

from dataclasses import dataclass

from yardland.growth import traits as tr
from yardland.growth.heat import VERNAL_COLD_C, exp_small, log_small
from yardland.growth.twin_ground import PICK, Ground

HARDY_BELOW_C = 5.0
HARDY_AFTER_DAYS = 15.0
"""Days under HARDY_BELOW_C after which a winter crop is hardened (from memory)."""
SOFT_SHARE = 0.5
"""Kill temperature of a winter crop not yet hardened, or past its release, over that of a hardened one (from memory)."""
CLOSE_IN_C_D = 300.0
"""Degree-days after its release in which a winter crop's cover may grow from its winter share to its top (from memory)."""
MOST_T_HA = 64.0
"""Dry matter beyond which the dilution curve is not followed (t/ha)."""


@dataclass(frozen=True)
class Day:
    """The weather of a day over one strip; see `io.KernelInput`."""

    number: int
    tmean_c: float
    tmin_c: float
    tmax_c: float
    crown_c: float
    t10_c: float
    par_mj: float
    eto_mm: float
    rain_mm: float
    water_mm: float
    runoff_mm: float
    rot_pace: float
    dry_spell: float
    daylength_h: float
    twilight_h: float


def develop(ground: Ground, crop: list[float], day: Day) -> None:
    """Degree-days; slowed by want of cold and of daylength until release; an onion waits for its daylength."""
    heat = max(min(day.tmean_c, crop[tr.PLATEAU_C]) - crop[tr.BASE_C], 0.0)
    ground.heat += heat
    speed = 1.0
    if crop[tr.RELEASE] > 0.0:
        ground.vernal += _vernal_weight(day.tmean_c)
        ground.hardy += 1.0 if day.tmean_c < HARDY_BELOW_C else 0.0
        if ground.units < crop[tr.RELEASE]:
            cold = (ground.vernal - crop[tr.VERNAL_IDLE]) / (crop[tr.VERNAL_DAYS] - crop[tr.VERNAL_IDLE])
            span = crop[tr.DAYLENGTH_FULL_H] - crop[tr.DAYLENGTH_BASE_H]
            light = (day.twilight_h - crop[tr.DAYLENGTH_BASE_H]) / span
            speed = min(max(cold, 0.0), 1.0) * min(max(light, 0.0), 1.0)
    step = speed * min(heat, max(ground.heat - crop[tr.HEAT_EMERGE], 0.0))
    waits = ground.units <= crop[tr.BULB_UNITS] and day.daylength_h < crop[tr.BULB_DAYLENGTH_H]
    ceiling = crop[tr.BULB_UNITS] if waits else 1e9
    before = ground.units
    ground.units = min(ground.units + step, ceiling)
    _scorch(ground, crop, before, day.tmax_c)


def _scorch(ground: Ground, crop: list[float], before: float, tmax_c: float) -> None:
    """Share of the flowers that open today and fail in the day's heat, added to those that failed before."""
    target, opens, closes = crop[tr.TARGET], crop[tr.FLOWER_FROM], crop[tr.FLOWER_UNTIL]
    if closes <= opens or not opens <= before / target < closes:
        return
    fails = min(max(0.1 + crop[tr.HEAT_SLOPE] * (tmax_c - crop[tr.HEAT10_C]), 0.0), 1.0)
    ground.scorched += fails * (ground.units - before) / (target * (closes - opens))


def heat_share(scorched: float, crop: list[float]) -> float:
    """Share of a full crop that sets when this share of the flowers failed in the heat."""
    return min((1.0 - min(scorched, 1.0)) / crop[tr.FLOWERS_NEEDED], 1.0)


def root_depth_m(crop: list[float], growth: float) -> float:
    """Roots go down with the canopy, from the top soil to the crop's depth."""
    return tr.SHALLOW_M + (crop[tr.ROOT_M] - tr.SHALLOW_M) * min(growth / crop[tr.KC_B], 1.0)


def canopy(ground: Ground, crop: list[float], growth: float, ripeness: float) -> tuple[float, float]:
    """Share of the ground that is shaded, and of the light that green leaves catch.

    Logistic in heat, held down until release and closing over CLOSE_IN_C_D after it; then ageing takes the green and not
    the shade. Picking leaves takes both.
    """
    z = min(max(crop[tr.STEEP] * (growth - crop[tr.HALF]), -30.0), 30.0)
    shade = crop[tr.TOP] / (1.0 + float(exp_small(-z)))
    since = min(max((ground.units - crop[tr.RELEASE]) / CLOSE_IN_C_D, 0.0), 1.0)
    shade = min(shade, crop[tr.COVER_CAP] + (crop[tr.TOP] - crop[tr.COVER_CAP]) * since)
    if ground.phase == PICK:
        shade *= crop[tr.PICK_COVER]
    old = min(max((ripeness - crop[tr.SENESCE_FROM]) / (1.0 - crop[tr.SENESCE_FROM]), 0.0), 1.0)
    return shade, shade * (1.0 - old * (1.0 - crop[tr.SENESCE_LEFT]))


def sward_cover(crop: list[float], mass_g_m2: float) -> float:
    """Share of the light that a standing sward catches (Beer-Lambert on its dry matter)."""
    return crop[tr.TOP] * (1.0 - float(exp_small(-min(crop[tr.LIGHT_PER_MASS] * mass_g_m2, 30.0))))


def warmth(crop: list[float], tmean_c: float) -> float:
    """Temperature factor 0-1: up from the base to full pace, down over HEAT_SPAN_C from where heat slows growth."""
    rise = (tmean_c - crop[tr.BASE_C]) / (crop[tr.GROW_FULL_C] - crop[tr.BASE_C])
    fall = 1.0 - (tmean_c - crop[tr.GROW_FALL_C]) / tr.HEAT_SPAN_C
    return min(max(min(rise, fall), 0.0), 1.0)


def crop_kcb(ground: Ground, crop: list[float], growth: float, ripeness: float) -> float:
    """The FAO-56 basal coefficient curve (equation 66), its stages in shares of the development instead of days."""
    a, b, c = crop[tr.KC_A], crop[tr.KC_B], crop[tr.KC_C]
    x = min(growth, 0.5 * (a + b)) if ground.units < crop[tr.RELEASE] else growth
    kcb = crop[tr.KCB_INI] + min(max((x - a) / (b - a), 0.0), 1.0) * (crop[tr.KCB_MID] - crop[tr.KCB_INI])
    return kcb + min(max((ripeness - c) / (1.0 - c), 0.0), 1.0) * (crop[tr.KCB_END] - kcb)


def critical_n_kg_ha(crop: list[float], dm_t_ha: float) -> float:
    """Nitrogen that a crop of this dry matter needs to grow at full pace, kg/ha.

    Critical dilution curve Nc = a W^-b (% of dry matter; Lemaire & Gastal 1997), constant under 1 t/ha.
    """
    thinned = float(exp_small(-crop[tr.N_DILUTION] * float(log_small(min(max(dm_t_ha, 1.0), MOST_T_HA)))))
    return 10.0 * crop[tr.N_CRITICAL_PCT] * dm_t_ha * thinned


def frost_set_share(crop: list[float], ripeness: float, tmin_c: float) -> float:
    """Share of a full crop that can still set after a night of flowering, 1 on other nights."""
    if not crop[tr.FLOWER_FROM] <= ripeness < crop[tr.FLOWER_UNTIL]:
        return 1.0
    killed = min(max(0.1 + crop[tr.FLOWER_SLOPE] * (crop[tr.FLOWER_KILL10_C] - tmin_c), 0.0), 1.0)
    return min((1.0 - killed) / crop[tr.FLOWERS_NEEDED], 1.0)


def kill_limit_c(ground: Ground, crop: list[float], ripeness: float) -> float:
    """The temperature that kills the crop this day: held against the night, or (winter crops) against the crown's."""
    if crop[tr.KILL_BY_MEAN] == 0.0:
        return crop[tr.YOUNG_KILL_C] if ripeness < crop[tr.YOUNG_UNTIL] else crop[tr.KILL_C]
    hardy = ground.hardy >= HARDY_AFTER_DAYS and ground.units < crop[tr.RELEASE]
    return crop[tr.KILL_C] if hardy else SOFT_SHARE * crop[tr.KILL_C]


def frozen(ground: Ground, crop: list[float], day: Day, ripeness: float) -> bool:
    """Whether the night (for winter crops the crown's 3-day mean, under snow if any) fell below what the crop lives through."""
    coldest = day.tmin_c if crop[tr.KILL_BY_MEAN] == 0.0 else day.crown_c
    return coldest < kill_limit_c(ground, crop, ripeness)


def _vernal_weight(tmean_c: float) -> float:
    none_below, full_from, full_to, none_above = VERNAL_COLD_C
    rising = (tmean_c - none_below) / (full_from - none_below)
    falling = (none_above - tmean_c) / (none_above - full_to)
    return min(max(min(rising, falling), 0.0), 1.0)
