"""What crops are on a day, all strips and lanes at once: the functions of `twin_crop` on arrays [strip, lane]."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr
from yardland.growth.heat import exp_small, log_small, vernal_weight
from yardland.growth.io import F64
from yardland.growth.twin_crop import CLOSE_IN_C_D, MOST_T_HA, SOFT_SHARE

Mask = npt.NDArray[np.bool_]
NEVER = 10**9
__all__ = ["NEVER", "Mask", "vernal_weight"]


def clip01(values: F64) -> F64:
    """Held between 0 and 1."""
    return np.minimum(np.maximum(values, 0.0), 1.0)


def kcb_of(crop: F64, held: Mask, growth: F64, ripeness: F64) -> F64:
    """`twin_crop.crop_kcb`; `held` where the release has not come."""
    a, b, c = crop[tr.KC_A], crop[tr.KC_B], crop[tr.KC_C]
    x = np.where(held, np.minimum(growth, 0.5 * (a + b)), growth)
    kcb = crop[tr.KCB_INI] + clip01((x - a) / (b - a)) * (crop[tr.KCB_MID] - crop[tr.KCB_INI])
    return np.asarray(kcb + clip01((ripeness - c) / (1.0 - c)) * (crop[tr.KCB_END] - kcb))


def canopy(crop: F64, units: F64, picked: Mask, growth: F64, ripeness: F64) -> tuple[F64, F64]:
    """`twin_crop.canopy`."""
    z = np.minimum(np.maximum(crop[tr.STEEP] * (growth - crop[tr.HALF]), -30.0), 30.0)
    shade = crop[tr.TOP] / (1.0 + exp_small(-z))
    since = clip01((units - crop[tr.RELEASE]) / CLOSE_IN_C_D)
    shade = np.minimum(shade, crop[tr.COVER_CAP] + (crop[tr.TOP] - crop[tr.COVER_CAP]) * since)
    shade = np.where(picked, shade * crop[tr.PICK_COVER], shade)
    old = clip01((ripeness - crop[tr.SENESCE_FROM]) / (1.0 - crop[tr.SENESCE_FROM]))
    return shade, shade * (1.0 - old * (1.0 - crop[tr.SENESCE_LEFT]))


def sward_cover(crop: F64, mass: F64) -> F64:
    """`twin_crop.sward_cover`."""
    return np.asarray(crop[tr.TOP] * (1.0 - exp_small(-np.minimum(crop[tr.LIGHT_PER_MASS] * mass, 30.0))))


def warmth(crop: F64, tmean: F64) -> F64:
    """`twin_crop.warmth`."""
    rise = (tmean - crop[tr.BASE_C]) / (crop[tr.GROW_FULL_C] - crop[tr.BASE_C])
    fall = 1.0 - (tmean - crop[tr.GROW_FALL_C]) / tr.HEAT_SPAN_C
    return np.asarray(clip01(np.minimum(rise, fall)))


def critical_n(crop: F64, dm_t_ha: F64) -> F64:
    """`twin_crop.critical_n_kg_ha`."""
    logs = log_small(np.minimum(np.maximum(dm_t_ha, 1.0), MOST_T_HA))
    return np.asarray(10.0 * crop[tr.N_CRITICAL_PCT] * dm_t_ha * exp_small(-crop[tr.N_DILUTION] * logs))


def heat_share(crop: F64, scorched: F64) -> F64:
    """`twin_crop.heat_share`."""
    return np.asarray(np.minimum((1.0 - np.minimum(scorched, 1.0)) / crop[tr.FLOWERS_NEEDED], 1.0))


def frost_set_share(crop: F64, was: F64, ripeness: F64, tmin: F64) -> F64:
    """`twin_crop.frost_set_share` of the night, the least so far with it."""
    flowers = (ripeness >= crop[tr.FLOWER_FROM]) & (ripeness < crop[tr.FLOWER_UNTIL])
    if not flowers.any():
        return was
    left = (1.0 - clip01(0.1 + crop[tr.FLOWER_SLOPE] * (crop[tr.FLOWER_KILL10_C] - tmin))) / crop[tr.FLOWERS_NEEDED]
    return np.where(flowers, np.minimum(was, np.minimum(left, 1.0)), was)


def frozen(crop: F64, hardened: Mask, ripeness: F64, tmin: F64, crown: F64) -> Mask:
    """`twin_crop.frozen`."""
    by_crown = crown < np.where(hardened, crop[tr.KILL_C], SOFT_SHARE * crop[tr.KILL_C])
    by_night = tmin < np.where(ripeness < crop[tr.YOUNG_UNTIL], crop[tr.YOUNG_KILL_C], crop[tr.KILL_C])
    return np.asarray(np.where(crop[tr.KILL_BY_MEAN] == 0.0, by_night, by_crown))


def no_sowing() -> F64:
    """A column of traits for a strip that has nothing more to sow."""
    column = np.ones((tr.COUNT, 1))
    column[tr.OPENS] = column[tr.CLOSES] = column[tr.CLEAR_BY] = column[tr.FREE_BY] = NEVER
    for trait in (
        tr.BASE_C,
        tr.KC_A,
        tr.KC_C,
        tr.SENESCE_FROM,
        tr.DAYLENGTH_BASE_H,
        tr.RELEASE,
        tr.VERNAL_IDLE,
        tr.FLOWER_UNTIL,
        tr.SWARD,
    ):
        column[trait] = 0.0
    return column
