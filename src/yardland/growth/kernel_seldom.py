"""The compiled kernel's seldom: sowing, dusk and what a crop leaves behind, lane by lane. See `twin` for words.

`b` is a strip's buffer of rows (`kernel_rows`), `c_of[sowing]` the traits, `g` the strip's soil; `lo` is the first lane of
the block, `out_days` and `out_sums` [kind, sowing, lane] the results by sowing (`DAYS`, `SUMS`).
"""

# The compiler infers the types.
# ruff: noqa: ANN001, ANN201, C901, PLR0912
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numba as nb

from yardland.growth import kernel_rows as r
from yardland.growth import traits as tr
from yardland.growth.kernel_ground import FIT, mix_in, rooted
from yardland.growth.twin import DRY_DAY_MM, SOWING_RAIN_MM
from yardland.growth.twin_ground import GROW, PICK, STAND, WAIT

FAR = 1_000_000_000
"""A day that never comes."""
GATHERED, FROSTED, CLEARED, KILLED = tr.GATHERED, tr.FROSTED, tr.CLEARED, tr.KILLED
UNRIPE, NOT_SOWN, STANDING = tr.UNRIPE, tr.NOT_SOWN, tr.STANDING
# Rows of `out_sums`: the float arrays of `io.KernelOutput` by sowing, in this order.
SUMS = (
    "dm_g_m2", "light_mj", "warm_mj", "wet_mj", "progress", "share", "set_share", "heat_share",
    "taken_n_kg_ha", "fixed_n_kg_ha",
)  # fmt: skip
DM, LIGHT, WARM, WET, PROGRESS, SHARE, SET_SHARE, HEAT_SHARE, TAKEN_N, FIXED_N = range(len(SUMS))
DAYS = ("sow_day", "ripe_day", "first_day", "last_day", "status")
SOW, RIPE, FIRST, LAST, STATUS = range(len(DAYS))


@nb.njit(error_model="numpy")
def gate(b, day, cover, t10, rain, c_of, g, end, number, lo, lanes, free_from, ripe_wait, stands, out_days):
    """Sow what is due where window, strip, warmth, frost and soil allow. Returns the next day worth looking."""
    soonest = FAR
    for i in range(lanes):
        if b[r.PHASE + i] != WAIT:
            continue
        k = int(b[r.SOWING + i])
        while k < end and number > c_of[k, tr.CLOSES]:
            out_days[STATUS, k, lo + i] = NOT_SOWN
            k += 1
        b[r.SOWING + i] = k
        if k >= end:
            continue
        c = c_of[k]
        wetness = b[r.W0 + i] + b[r.W1 + i] / 3.0
        if (
            number >= c[tr.OPENS]
            and number >= free_from[i]
            and t10[cover, number, lo + i] >= c[tr.GERMINATION_C]
            and day[r.TMIN + i] >= c[tr.GATE_FROST_C]
            and (c[tr.FIT_SOIL] == 0.0 or wetness <= g[FIT])
            and (c[tr.FIT_SOIL] == 0.0 or rain[cover, number, lo + i] < SOWING_RAIN_MM)
        ):
            stands[k] += 1
            ripe_wait[i] = 0
            out_days[SOW, k, lo + i] = number
            b[r.PHASE + i] = GROW
            b[r.HEAT + i] = c[tr.HEAT_AT_START]
            b[r.KCB + i] = c[tr.KCB_INI]
            b[r.DEPLETION_P + i] = c[tr.DEPLETION_P]
            b[r.SET_SHARE + i] = 1.0
            b[r.SPEED + i] = 1.0
            for row in (r.UNITS, r.VERNAL, r.HARDY, r.SCORCHED, r.CROP_N, r.CRITICAL_N, r.FIXED_N):
                b[row + i] = 0.0
            for row in (r.LIGHT, r.WARM, r.WET, r.DM):
                b[row + i] = 0.0
            mix_in(b, i, c[tr.DRESS_MINERAL])
            b[r.FRESH + i] += c[tr.DRESS_FRESH]
            b[r.N_MINERAL_IN + i] += c[tr.DRESS_MINERAL]
            b[r.N_FRESH_IN + i] += c[tr.DRESS_FRESH]
        else:
            due = max(number + 1, int(c[tr.OPENS]), free_from[i])
            soonest = min(soonest, due, int(c[tr.CLOSES]) + 1)
    return soonest


@nb.njit(error_model="numpy")
def tell(b, i, c, k, lane, out_sums):
    """What a crop came to: sums, development, set, nitrogen."""
    out_sums[DM, k, lane] = b[r.DM + i]
    out_sums[LIGHT, k, lane] = b[r.LIGHT + i]
    out_sums[WARM, k, lane] = b[r.WARM + i]
    out_sums[WET, k, lane] = b[r.WET + i]
    out_sums[PROGRESS, k, lane] = min(b[r.UNITS + i] / c[tr.TARGET], 1.0)
    out_sums[SET_SHARE, k, lane] = b[r.SET_SHARE + i]
    out_sums[HEAT_SHARE, k, lane] = min((1.0 - min(b[r.SCORCHED + i], 1.0)) / c[tr.FLOWERS_NEEDED], 1.0)
    out_sums[FIXED_N, k, lane] = b[r.FIXED_N + i]
    out_sums[TAKEN_N, k, lane] = b[r.CROP_N + i] - b[r.FIXED_N + i]


@nb.njit(error_model="numpy")
def stand(b, i, c, number):
    """Left in the ground and lifted as wanted, until the next planting's earliest sowing."""
    b[r.PHASE + i] = STAND
    until = min(number + c[tr.STAND_DAYS] - 1, c[tr.FREE_BY] - 1 - tr.BED_WORK_DAYS)
    b[r.LAST_PLAN + i] = int(max(until, number))


@nb.njit(error_model="numpy")
def leave(b, i, c, k, lane, last, code, out_days, out_sums):
    """The crop leaves the ground: its outcome is written, what is not carried off stays, the next sowing is due."""
    gathered = code in (GATHERED, FROSTED, CLEARED)
    out_days[STATUS, k, lane] = code
    if gathered:
        out_days[LAST, k, lane] = last
        if out_days[FIRST, k, lane] < 0:
            out_days[FIRST, k, lane] = last
    tell(b, i, c, k, lane, out_sums)
    stays = b[r.CROP_N + i] * (1.0 - (c[tr.N_REMOVED] if gathered else 0.0)) * c[tr.N_RESIDUE_FRESH]
    b[r.FRESH + i] += stays
    b[r.N_FRESH_IN + i] += stays
    b[r.PHASE + i] = WAIT
    b[r.SOWING + i] = k + 1


@nb.njit(error_model="numpy")
def bare(b, i, g):
    """Nothing stands: what the ground wants of water until the next sowing."""
    rooted(b, i, g, tr.SHALLOW_M)
    b[r.KCB + i] = 0.0
    b[r.SHADE + i] = 0.0
    b[r.KS + i] = 1.0


@nb.njit(error_model="numpy")
def dusk(b, cover, rain, c_of, g, number, lo, lanes, free_from, ripe_wait, stands, out_days, out_sums):
    """What froze, ripened or must make room, lane by lane. Returns in how many lanes a crop left."""
    went = 0
    for i in range(lanes):
        phase = b[r.PHASE + i]
        if phase == WAIT:
            continue
        k, lane = int(b[r.SOWING + i]), lo + i
        c = c_of[k]
        dead = b[r.DEAD + i] > 0.0
        ripeness = b[r.UNITS + i] / c[tr.TARGET]
        if ripeness >= 1.0 and out_days[RIPE, k, lane] < 0:
            out_days[RIPE, k, lane] = number
        code, last = -1, number
        if phase == GROW:
            if dead:
                code = FROSTED if c[tr.LEAST_RIPE] == 0.0 else KILLED
            elif ripeness >= 1.0:
                if rain[cover, number, lo + i] >= DRY_DAY_MM and ripe_wait[i] < c[tr.WAIT_DAYS]:
                    ripe_wait[i] += 1
                else:
                    out_days[FIRST, k, lane] = number
                    if c[tr.PICK_DAYS] > 1.0:
                        b[r.PHASE + i] = PICK
                        until = min(number + c[tr.PICK_DAYS] - 1, c[tr.CLEAR_BY])
                        b[r.LAST_PLAN + i] = int(max(until, number))
                    elif c[tr.STAND_DAYS] > 1.0:
                        stand(b, i, c, number)
                    else:
                        code = GATHERED
            elif number >= c[tr.CLEAR_BY]:
                if ripeness < c[tr.LEAST_RIPE] or b[r.HEAT + i] < c[tr.HEAT_EMERGE]:
                    code = UNRIPE
                elif c[tr.STAND_DAYS] > 1.0:
                    out_days[FIRST, k, lane] = number
                    stand(b, i, c, number)
                else:
                    code = CLEARED
        elif dead or number >= b[r.LAST_PLAN + i]:
            first, planned = out_days[FIRST, k, lane], int(b[r.LAST_PLAN + i])
            last = max(number - 1, first) if dead else planned
            if phase == STAND:
                out_sums[SHARE, k, lane] = (last - first + 1) / (planned - first + 1)
            code = GATHERED if b[r.UNITS + i] >= c[tr.TARGET] else CLEARED
        if code >= 0:
            leave(b, i, c, k, lane, last, code, out_days, out_sums)
            bare(b, i, g)
            free_from[i] = last + 1 + tr.BED_WORK_DAYS
            stands[k] -= 1
            went += 1
    return went


@nb.njit(error_model="numpy")
def close(b, sward, c_of, lo, lanes, out_days, out_sums):
    """What the end of the axis finds on the ground."""
    for i in range(lanes):
        phase, k, lane = b[r.PHASE + i], int(b[r.SOWING + i]), lo + i
        if sward:
            out_days[STATUS, k, lane] = STANDING
            out_sums[DM, k, lane] = b[r.DM + i]
            out_sums[LIGHT, k, lane] = b[r.LIGHT + i]
            out_sums[WARM, k, lane] = b[r.WARM + i]
            out_sums[WET, k, lane] = b[r.WET + i]
            out_sums[FIXED_N, k, lane] = b[r.FIXED_N + i]
            out_sums[TAKEN_N, k, lane] = b[r.TAKEN_N + i]
        elif phase != WAIT:
            tell(b, i, c_of[k], k, lane, out_sums)
            out_days[STATUS, k, lane] = STANDING
            if phase == STAND:
                out_days[STATUS, k, lane] = GATHERED if b[r.UNITS + i] >= c_of[k, tr.TARGET] else CLEARED
                out_days[LAST, k, lane] = int(b[r.LAST_PLAN + i])
