"""The growth kernel in numba: years in blocks of contiguous lanes, days outside, strips inside, lanes innermost.

The same algorithm as `twin`; a standing crop's day is a loop over the lanes of a block without branches, so that the
compiler can use wide registers, and is skipped for strips on which nothing stands in any lane of the block. Sowings of
one strip that stand at the same time in different lanes (the land came free earlier in one year) each take their own
pass. Importing this module loads numba (0.4 s): `run` does so only for large runs, by `numba_path`.
"""

# One long function is what the compiler can keep in registers (the twin is the readable form), and it infers the types.
# ruff: noqa: ANN001, ANN201, ANN202, C901, PLR0912, PLR0915
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numba as nb
import numpy as np

from yardland.growth import traits as tr
from yardland.growth.heat import exp_small
from yardland.growth.twin import (
    BARE_KC,
    DRY_DAY_MM,
    GROW,
    HARDY_AFTER_DAYS,
    HARDY_BELOW_C,
    PICK,
    SOFT_SHARE,
    SOWING_RAIN_MM,
    STAND,
    WAIT,
)

LANES = 64
"""Lanes of a block: the state of forty strips then stays in the second-level cache."""

# Names of the traits as plain numbers, which the compiler folds.
BASE_C, PLATEAU_C, GERMINATION_C, GATE_FROST_C = tr.BASE_C, tr.PLATEAU_C, tr.GERMINATION_C, tr.GATE_FROST_C
KILL_C, KILL_BY_MEAN, HEAT_AT_START, HEAT_EMERGE = tr.KILL_C, tr.KILL_BY_MEAN, tr.HEAT_AT_START, tr.HEAT_EMERGE
TARGET, RELEASE, VERNAL_DAYS, VERNAL_IDLE = tr.TARGET, tr.RELEASE, tr.VERNAL_DAYS, tr.VERNAL_IDLE
DAYLENGTH_BASE_H, DAYLENGTH_FULL_H = tr.DAYLENGTH_BASE_H, tr.DAYLENGTH_FULL_H
BULB_UNITS, BULB_DAYLENGTH_H = tr.BULB_UNITS, tr.BULB_DAYLENGTH_H
HALF, STEEP, TOP, SENESCE_FROM, SENESCE_LEFT = tr.HALF, tr.STEEP, tr.TOP, tr.SENESCE_FROM, tr.SENESCE_LEFT
COVER_CAP, RUE, GROW_FULL_C, GROW_FALL_C = tr.COVER_CAP, tr.RUE, tr.GROW_FULL_C, tr.GROW_FALL_C
KC_INI, KC_MID, KC_END, KC_A, KC_B, KC_C = tr.KC_INI, tr.KC_MID, tr.KC_END, tr.KC_A, tr.KC_B, tr.KC_C
DEPLETION_P, ROOT_M, PICK_DAYS, STAND_DAYS = tr.DEPLETION_P, tr.ROOT_M, tr.PICK_DAYS, tr.STAND_DAYS
WAIT_DAYS, LEAST_RIPE, FIT_SOIL = tr.WAIT_DAYS, tr.LEAST_RIPE, tr.FIT_SOIL
YOUNG_KILL_C, YOUNG_UNTIL, FLOWER_FROM, FLOWER_UNTIL = tr.YOUNG_KILL_C, tr.YOUNG_UNTIL, tr.FLOWER_FROM, tr.FLOWER_UNTIL
FLOWER_KILL10_C, FLOWER_SLOPE, FLOWERS_NEEDED = tr.FLOWER_KILL10_C, tr.FLOWER_SLOPE, tr.FLOWERS_NEEDED
OPENS, CLOSES, CLEAR_BY, FREE_BY = tr.OPENS, tr.CLOSES, tr.CLEAR_BY, tr.FREE_BY
GATHERED, FROSTED, CLEARED, KILLED = tr.GATHERED, tr.FROSTED, tr.CLEARED, tr.KILLED
UNRIPE, NOT_SOWN, STANDING = tr.UNRIPE, tr.NOT_SOWN, tr.STANDING
RAIN, RUNOFF, DRAINAGE, ET = tr.RAIN, tr.RUNOFF, tr.DRAINAGE, tr.ET
IRRIGATION, START, END = tr.IRRIGATION, tr.START, tr.END
SHALLOW_M, BED_WORK_DAYS, YEAR, HEAT_SPAN_C = tr.SHALLOW_M, tr.BED_WORK_DAYS, tr.YEAR, tr.HEAT_SPAN_C
# Rows of the one buffer that holds a strip's block: state, what passes between the loops, and the day's weather. With
# one base address and a fixed row length the compiler can see that rows never overlap.
ROOT, ROOT_MM, UNDER_MM, HEAT, UNITS, VERNAL, HARDY, KC, LIGHT, WARM, DM = range(11)
PHASE, SOWING, WANTS, DEAD, SUM_DRAINAGE, SUM_ET, SUM_IRRIGATION = range(11, 18)
TMEAN, TMIN, T3, PAR, ETO, RAIN_MM, RUNOFF_MM, DAYLENGTH, TWILIGHT = range(18, 27)
SET_SHARE = 27
ROWS = 28
SKY = 9


@nb.njit(cache=True, inline="always", error_model="numpy")
def _clip01(value):
    return min(max(value, 0.0), 1.0)


_exp = nb.njit(cache=True, error_model="numpy")(exp_small)
"""`heat.exp_small`, compiled: the same order of operations."""


@nb.njit(cache=True, error_model="numpy")
def _turn(n, day, groups):
    """Place in the watering order of the n-th served that day; see `io.watering_order`."""
    for g in range(len(groups) - 1):
        if groups[g] <= n < groups[g + 1]:
            return groups[g] + (n - groups[g] + day) % (groups[g + 1] - groups[g])
    return n


@nb.njit(cache=True, error_model="numpy")
def _draw(sources, want, lane, month, left, store, licence, drawn, dry, told):
    rest = want
    for k in range(len(sources)):
        source = sources[k]
        if source < 0 or rest <= 0.0:
            break
        take = min(rest, left[source, lane] + store[source, lane], licence[source, lane])
        from_rate = min(take, left[source, lane])
        left[source, lane] -= from_rate
        store[source, lane] -= take - from_rate
        licence[source, lane] -= take
        if month >= 0:
            drawn[source, month, lane] += take
            if take < rest and not told[source, lane]:
                told[source, lane] = True  # several users asking on one day make one dry day
                dry[source, month, lane] += 1.0
        rest -= take
    return want - rest


@nb.njit(cache=True, error_model="numpy")
def _bare_day(b, awc, tew, rew):
    """Evaporation that bare soil wants, in the lanes where nothing stands."""
    for i in range(LANES):
        depletion = awc * b[ROOT * LANES + i] - b[ROOT_MM * LANES + i]
        wants = BARE_KC * _clip01((tew - depletion) / (tew - rew)) * b[ETO * LANES + i]
        b[WANTS * LANES + i] = wants if b[PHASE * LANES + i] == 0.0 else b[WANTS * LANES + i]


@nb.njit(cache=True, error_model="numpy")
def _water_day(b, awc, depth):
    """FAO-56 equations 85 and 88 for every lane."""
    for i in range(LANES):
        wants = b[WANTS * LANES + i]
        level = b[ROOT_MM * LANES + i] + (b[RAIN_MM * LANES + i] - b[RUNOFF_MM * LANES + i]) - wants
        short = max(-level, 0.0)
        level = level + short
        over = max(level - awc * b[ROOT * LANES + i], 0.0)
        b[ROOT_MM * LANES + i] = level - over
        under = b[UNDER_MM * LANES + i] + over
        drainage = max(under - awc * (depth - b[ROOT * LANES + i]), 0.0)
        b[UNDER_MM * LANES + i] = under - drainage
        b[SUM_DRAINAGE * LANES + i] += drainage
        b[SUM_ET * LANES + i] += wants - short


@nb.njit(cache=True, error_model="numpy")
def _crop_day(c, b, sowing, awc, soil_depth, day):
    """A day of one sowing in the lanes where it stands. Returns in how many of them dusk may change something."""
    winter = 1.0 if c[RELEASE] > 0.0 else 0.0
    span = c[DAYLENGTH_FULL_H] - c[DAYLENGTH_BASE_H]
    by_mean = c[KILL_BY_MEAN] != 0.0
    clears = day >= c[CLEAR_BY]
    look = 0
    for i in range(LANES):
        phase = b[PHASE * LANES + i]
        here = (phase > 0.0) & (b[SOWING * LANES + i] == sowing)
        tmean = b[TMEAN * LANES + i]
        heat = max(min(tmean, c[PLATEAU_C]) - c[BASE_C], 0.0)
        heat_now = b[HEAT * LANES + i] + heat
        units = b[UNITS * LANES + i]
        before = units / c[TARGET]
        # A winter crop is slowed by want of cold and of daylength until its release.
        rising = (tmean - -4.0) / (3.0 - -4.0)
        falling = (17.0 - tmean) / (17.0 - 10.0)
        vernal = b[VERNAL * LANES + i] + winter * _clip01(min(rising, falling))
        hardy = b[HARDY * LANES + i] + (winter if tmean < HARDY_BELOW_C else 0.0)
        cold = (vernal - c[VERNAL_IDLE]) / (c[VERNAL_DAYS] - c[VERNAL_IDLE])
        light = (b[TWILIGHT * LANES + i] - c[DAYLENGTH_BASE_H]) / span
        slow = _clip01(cold) * _clip01(light)
        speed = slow if units < c[RELEASE] else 1.0
        step = speed * min(heat, max(heat_now - c[HEAT_EMERGE], 0.0))
        waits = (units <= c[BULB_UNITS]) & (b[DAYLENGTH * LANES + i] < c[BULB_DAYLENGTH_H])
        ceiling = c[BULB_UNITS] if waits else 1e9
        units = min(units + step, ceiling)
        held = units < c[RELEASE]
        growth = max(heat_now - c[HEAT_EMERGE], 0.0) / c[TARGET]
        ripeness = units / c[TARGET]
        # Roots.
        root = b[ROOT * LANES + i]
        under = b[UNDER_MM * LANES + i]
        depth = SHALLOW_M + (c[ROOT_M] - SHALLOW_M) * min(growth / c[KC_B], 1.0)
        taken = under * (depth - root) / max(soil_depth - root, 1e-9)
        root_mm = b[ROOT_MM * LANES + i] + taken
        # Water wanted.
        x = min(growth, 0.5 * (c[KC_A] + c[KC_B])) if held else growth
        kc = c[KC_INI] + _clip01((x - c[KC_A]) / (c[KC_B] - c[KC_A])) * (c[KC_MID] - c[KC_INI])
        kc = kc + _clip01((ripeness - c[KC_C]) / (1.0 - c[KC_C])) * (c[KC_END] - kc)
        taw = awc * depth
        etc = kc * b[ETO * LANES + i]
        raw = min(max(c[DEPLETION_P] + 0.04 * (5.0 - etc), 0.1), 0.8) * taw
        depletion = taw - root_mm
        ks = _clip01((taw - depletion) / (taw - raw))
        ks = 1.0 if depletion <= raw else ks
        # Dry matter.
        emerged = heat_now >= c[HEAT_EMERGE]
        live = emerged & ((before < 1.0) | (phase == 2.0)) & (phase != 3.0)
        z = min(max(c[STEEP] * (growth - c[HALF]), -30.0), 30.0)
        cover = c[TOP] / (1.0 + _exp(-z))
        cover = min(cover, c[COVER_CAP]) if held else cover
        old = _clip01((ripeness - c[SENESCE_FROM]) / (1.0 - c[SENESCE_FROM]))
        cover = cover * (1.0 - old * (1.0 - c[SENESCE_LEFT]))
        caught = b[PAR * LANES + i] * cover if live else 0.0
        grow_rise = (tmean - c[BASE_C]) / (c[GROW_FULL_C] - c[BASE_C])
        grow_fall = 1.0 - (tmean - c[GROW_FALL_C]) / HEAT_SPAN_C
        warm = caught * _clip01(min(grow_rise, grow_fall))
        made = c[RUE] * warm * ks
        # Frost.
        hardened = (hardy >= HARDY_AFTER_DAYS) & held
        limit = c[KILL_C] if hardened else SOFT_SHARE * c[KILL_C]
        tmin = b[TMIN * LANES + i]
        night_limit = c[YOUNG_KILL_C] if ripeness < c[YOUNG_UNTIL] else c[KILL_C]
        killed = b[T3 * LANES + i] < limit if by_mean else tmin < night_limit
        flowers = (ripeness >= c[FLOWER_FROM]) & (ripeness < c[FLOWER_UNTIL])
        taken_off = _clip01(0.1 + c[FLOWER_SLOPE] * (c[FLOWER_KILL10_C] - tmin))
        left = min((1.0 - taken_off) / c[FLOWERS_NEEDED], 1.0)
        set_share = min(b[SET_SHARE * LANES + i], left if flowers else 1.0)
        dead = emerged & (killed | (set_share <= 0.0))
        look += 1 if here & (dead | (ripeness >= 1.0) | (phase > 1.0) | clears) else 0
        # Written only where this sowing stands.
        b[DEAD * LANES + i] = (1.0 if dead else 0.0) if here else b[DEAD * LANES + i]
        b[HEAT * LANES + i] = heat_now if here else b[HEAT * LANES + i]
        b[UNITS * LANES + i] = units if here else b[UNITS * LANES + i]
        b[VERNAL * LANES + i] = vernal if here else b[VERNAL * LANES + i]
        b[HARDY * LANES + i] = hardy if here else b[HARDY * LANES + i]
        b[ROOT_MM * LANES + i] = root_mm if here else b[ROOT_MM * LANES + i]
        b[UNDER_MM * LANES + i] = under - taken if here else under
        b[ROOT * LANES + i] = depth if here else root
        b[KC * LANES + i] = kc if here else b[KC * LANES + i]
        b[SET_SHARE * LANES + i] = set_share if here else b[SET_SHARE * LANES + i]
        b[LIGHT * LANES + i] += caught if here else 0.0
        b[WARM * LANES + i] += warm if here else 0.0
        b[DM * LANES + i] += made if here else 0.0
        b[WANTS * LANES + i] = ks * etc if here else b[WANTS * LANES + i]
    return look


@nb.njit(cache=True, error_model="numpy")
def grow_block(
    lanes,
    traits,
    sky,
    t10,
    month_of,
    strip_cover,
    strip_first,
    strip_count,
    soil,
    water_order,
    water_groups,
    strip_sources,
    net_limit,
    efficiency,
    rate,
    inflow,
    capacity,
    licence_m3,
    demand,
    out_sow,
    out_first,
    out_last,
    out_status,
    out_dm,
    out_light,
    out_warm,
    out_progress,
    out_share,
    out_set_share,
    out_water,
    out_drawn,
    out_dry,
    out_unmet,
    out_spare,
):
    """All days of a block of lanes; fills the `out_` arrays (see `io.KernelOutput`)."""
    strips, days = len(strip_first), sky.shape[1]
    n_sources = len(capacity)
    buffer = np.zeros((strips, ROWS * LANES))
    free_from = np.zeros((strips, lanes), dtype=np.int64)
    last_plan = np.full((strips, lanes), -1, dtype=np.int64)
    ripe_wait = np.zeros((strips, lanes), dtype=np.int64)
    standing = np.zeros(strips, dtype=np.int64)
    next_gate = np.zeros(strips, dtype=np.int64)
    store = np.zeros((n_sources, lanes))
    left = np.zeros((n_sources, lanes))
    licence = np.zeros((n_sources, lanes))
    told = np.zeros((n_sources, lanes), dtype=np.bool_)
    all_sources = np.arange(n_sources)
    for s in range(strips):
        for i in range(LANES):
            buffer[s, ROOT * LANES + i] = SHALLOW_M
            buffer[s, ROOT_MM * LANES + i] = soil[0, s] * SHALLOW_M
            buffer[s, UNDER_MM * LANES + i] = soil[0, s] * (soil[1, s] - SHALLOW_M)
            buffer[s, SOWING * LANES + i] = strip_first[s]
    for source in range(n_sources):
        store[source, :] = capacity[source]
        licence[source, :] = licence_m3[source]

    for day in range(days):
        month = month_of[day]
        following = month_of[day + 1] if day + 1 < days else -1
        # Sources refill; people and stock drink first.
        for source in range(n_sources):
            for i in range(lanes):
                told[source, i] = False
                if day == YEAR:
                    licence[source, i] = licence_m3[source]
                store[source, i] = min(max(store[source, i] + inflow[source, day, i], 0.0), capacity[source])
                left[source, i] = rate[source, day, i]
        if n_sources > 0 or demand[day] > 0.0:
            for i in range(lanes):
                got = _draw(all_sources, demand[day], i, month, left, store, licence, out_drawn, out_dry, told)
                if month >= 0:
                    out_unmet[month, i] += demand[day] - got

        # Gates at dawn.
        for s in range(strips):
            if standing[s] == lanes or day < next_gate[s]:
                continue
            b = buffer[s]
            end = strip_first[s] + strip_count[s]
            cover = strip_cover[s]
            soonest = 1000000000
            for i in range(lanes):
                if b[PHASE * LANES + i] != WAIT:
                    continue
                k = int(b[SOWING * LANES + i])
                while k < end and day > traits[CLOSES, k]:
                    out_status[k, i] = NOT_SOWN
                    k += 1
                b[SOWING * LANES + i] = k
                if k >= end:
                    continue
                if (
                    day >= traits[OPENS, k]
                    and day >= free_from[s, i]
                    and t10[cover, day, i] >= traits[GERMINATION_C, k]
                    and sky[cover, day, 1, i] >= traits[GATE_FROST_C, k]
                    and (traits[FIT_SOIL, k] == 0.0 or b[ROOT_MM * LANES + i] <= soil[3, s])
                    and (traits[FIT_SOIL, k] == 0.0 or sky[cover, day, 5, i] < SOWING_RAIN_MM)
                ):
                    standing[s] += 1
                    out_sow[k, i] = day
                    ripe_wait[s, i] = 0
                    b[PHASE * LANES + i] = GROW
                    b[HEAT * LANES + i] = traits[HEAT_AT_START, k]
                    b[KC * LANES + i] = traits[KC_INI, k]
                    b[SET_SHARE * LANES + i] = 1.0
                    for row in (UNITS, VERNAL, HARDY, LIGHT, WARM, DM):
                        b[row * LANES + i] = 0.0
                else:
                    due = max(int(traits[OPENS, k]), day + 1)
                    soonest = min(soonest, max(due, free_from[s, i]) if due <= traits[CLOSES, k] else day + 1)
            next_gate[s] = soonest

        # Watering, first served first.
        for n in range(len(water_order)):
            s = water_order[_turn(n, day, water_groups)]
            if standing[s] == 0:
                continue
            b = buffer[s]
            m3_per_mm = soil[2, s] / 1000.0 / efficiency[s]
            for i in range(lanes):
                phase = b[PHASE * LANES + i]
                if phase not in (GROW, PICK):
                    continue
                taw = soil[0, s] * b[ROOT * LANES + i]
                etc = b[KC * LANES + i] * sky[strip_cover[s], day, 4, i]
                p = min(max(traits[DEPLETION_P, int(b[SOWING * LANES + i])] + 0.04 * (5.0 - etc), 0.1), 0.8)
                depletion = taw - b[ROOT_MM * LANES + i]
                if depletion < p * taw:
                    continue
                net = min(depletion, net_limit[s])
                got = _draw(strip_sources[s], net * m3_per_mm, i, month, left, store, licence, out_drawn, out_dry, told)
                net = got / m3_per_mm
                b[ROOT_MM * LANES + i] += net
                b[SUM_IRRIGATION * LANES + i] += net

        for source in range(n_sources):
            for i in range(lanes):
                out_spare[source, day, i] = min(left[source, i], licence[source, i])

        # The day on each strip.
        for s in range(strips):
            b = buffer[s]
            today = sky[strip_cover[s], day]
            for row in range(SKY):
                for i in range(LANES):
                    b[(TMEAN + row) * LANES + i] = today[row, i]
            look = 0
            if standing[s] < lanes:
                _bare_day(b, soil[0, s], soil[4, s], soil[5, s])
            if standing[s] > 0:
                lowest, highest = 1000000000, -1
                for i in range(lanes):
                    if b[PHASE * LANES + i] > 0.0:
                        lowest = min(lowest, int(b[SOWING * LANES + i]))
                        highest = max(highest, int(b[SOWING * LANES + i]))
                for k in range(lowest, highest + 1):
                    look += _crop_day(traits[:, k].copy(), b, float(k), soil[0, s], soil[1, s], float(day))
            _water_day(b, soil[0, s], soil[1, s])
            if look > 0:
                for i in range(lanes):
                    phase = b[PHASE * LANES + i]
                    if phase == WAIT:
                        continue
                    k = int(b[SOWING * LANES + i])
                    dead = b[DEAD * LANES + i] > 0.0
                    ripeness = b[UNITS * LANES + i] / traits[TARGET, k]
                    code, last = -1, day
                    if phase == GROW:
                        if dead:
                            code = FROSTED if traits[LEAST_RIPE, k] == 0.0 else KILLED
                        elif ripeness >= 1.0:
                            if today[5, i] >= DRY_DAY_MM and ripe_wait[s, i] < traits[WAIT_DAYS, k]:
                                ripe_wait[s, i] += 1
                            else:
                                out_first[k, i] = day
                                if traits[PICK_DAYS, k] > 1.0:
                                    b[PHASE * LANES + i] = PICK
                                    until = min(day + traits[PICK_DAYS, k] - 1, traits[CLEAR_BY, k])
                                    last_plan[s, i] = int(max(until, day))
                                elif traits[STAND_DAYS, k] > 1.0:
                                    b[PHASE * LANES + i] = STAND
                                    until = min(day + traits[STAND_DAYS, k] - 1, traits[FREE_BY, k] - 1 - BED_WORK_DAYS)
                                    last_plan[s, i] = int(max(until, day))
                                else:
                                    code = GATHERED
                        elif day >= traits[CLEAR_BY, k]:
                            if ripeness < traits[LEAST_RIPE, k] or b[HEAT * LANES + i] < traits[HEAT_EMERGE, k]:
                                code = UNRIPE
                            elif traits[STAND_DAYS, k] > 1.0:
                                out_first[k, i] = day
                                b[PHASE * LANES + i] = STAND
                                until = min(day + traits[STAND_DAYS, k] - 1, traits[FREE_BY, k] - 1 - BED_WORK_DAYS)
                                last_plan[s, i] = int(max(until, day))
                            else:
                                code = CLEARED
                    elif dead or day >= last_plan[s, i]:
                        first = out_first[k, i]
                        last = max(day - 1, first) if dead else last_plan[s, i]
                        if phase == STAND:
                            out_share[k, i] = (last - first + 1) / (last_plan[s, i] - first + 1)
                        code = GATHERED if ripeness >= 1.0 else CLEARED
                    if code < 0:
                        continue
                    out_status[k, i] = code
                    if code in (GATHERED, FROSTED, CLEARED):
                        out_last[k, i] = last
                        if out_first[k, i] < 0:
                            out_first[k, i] = last
                    out_dm[k, i] = b[DM * LANES + i]
                    out_light[k, i] = b[LIGHT * LANES + i]
                    out_warm[k, i] = b[WARM * LANES + i]
                    out_progress[k, i] = min(ripeness, 1.0)
                    out_set_share[k, i] = b[SET_SHARE * LANES + i]
                    kept = b[ROOT_MM * LANES + i] * SHALLOW_M / b[ROOT * LANES + i]
                    b[UNDER_MM * LANES + i] += b[ROOT_MM * LANES + i] - kept
                    b[ROOT_MM * LANES + i] = kept
                    b[ROOT * LANES + i] = SHALLOW_M
                    b[PHASE * LANES + i] = WAIT
                    b[SOWING * LANES + i] = k + 1
                    free_from[s, i] = last + 1 + BED_WORK_DAYS
                    standing[s] -= 1
                    next_gate[s] = min(next_gate[s], day + 1)
            if month != following:
                for i in range(lanes):
                    held = b[ROOT_MM * LANES + i] + b[UNDER_MM * LANES + i]
                    if month >= 0:
                        out_water[END, s, month, i] = held
                        out_water[DRAINAGE, s, month, i] = b[SUM_DRAINAGE * LANES + i]
                        out_water[ET, s, month, i] = b[SUM_ET * LANES + i]
                        out_water[IRRIGATION, s, month, i] = b[SUM_IRRIGATION * LANES + i]
                    if following >= 0:
                        out_water[START, s, following, i] = held
                    b[SUM_DRAINAGE * LANES + i] = 0.0
                    b[SUM_ET * LANES + i] = 0.0
                    b[SUM_IRRIGATION * LANES + i] = 0.0

    for s in range(strips):
        b = buffer[s]
        for i in range(lanes):
            phase = b[PHASE * LANES + i]
            if phase == WAIT:
                continue
            k = int(b[SOWING * LANES + i])
            out_dm[k, i] = b[DM * LANES + i]
            out_light[k, i] = b[LIGHT * LANES + i]
            out_warm[k, i] = b[WARM * LANES + i]
            out_progress[k, i] = min(b[UNITS * LANES + i] / traits[TARGET, k], 1.0)
            out_set_share[k, i] = b[SET_SHARE * LANES + i]
            out_status[k, i] = STANDING
            if phase == STAND:
                out_status[k, i] = GATHERED if out_progress[k, i] >= 1.0 else CLEARED
                out_last[k, i] = last_plan[s, i]
