"""The compiled kernel's ground: rain and rotting, evaporation and transpiration, watering. See `twin_ground` for words.

Each function is a loop over the lanes of a block without branches, with the twin's order of operations. `b` is a strip's
buffer, `day` the weather under its cover (`kernel_rows`), `g` its soil (`SOIL`).
"""

# The compiler infers the types.
# ruff: noqa: ANN001, ANN201, PLR0915
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numba as nb

from yardland.growth import kernel_rows as r
from yardland.growth import traits as tr
from yardland.growth.heat import exp_small, log_small
from yardland.growth.kernel_rows import LANES
from yardland.growth.soil_water import KC_MAX, LEAST_BARE
from yardland.growth.twin_crop import MOST_T_HA
from yardland.growth.twin_ground import (
    DRY_ROT,
    FIX_NO_MORE_KG_HA,
    GROW,
    MOIST_FROM,
    PICK,
    SWARD,
    UPTAKE_RATE,
    WATERLOGGED_SHARE,
)

TOP_SHARE_0, TOP_SHARE_1 = tr.TOP_SHARE

RISE = (1.0 - DRY_ROT) / MOIST_FROM

SOIL = (
    *(f"{name}:{layer}" for name in ("thick_m", "full_mm", "sat_mm", "pass_share", "hold_mm") for layer in range(4)),
    "awc_mm_m", "dry_mm", "tew_mm", "rew_mm", "soil_n_kg_ha_d", "fit_mm", "area_m2", "net_limit_mm", "efficiency",
    "settle_day", "soaks_share",
)  # fmt: skip
"""Numbers of a strip's soil and watering, in the order of the constants below."""
THICK, FULL, SAT, PASS, HOLD = 0, 4, 8, 12, 16
AWC, DRY, TEW, REW, SOIL_N, FIT, AREA, NET_LIMIT, EFFICIENCY, SETTLE, SOAKS = range(20, 31)

exp_of = nb.njit(error_model="numpy")(exp_small)
log_of = nb.njit(error_model="numpy")(log_small)


@nb.njit(forceinline=True, error_model="numpy")
def clip01(value):
    """Between 0 and 1."""
    return min(max(value, 0.0), 1.0)


@nb.njit(error_model="numpy")
def settle(b, g, start_n):
    """Nitrogen of ground that a crop has just left: the start's, spread over the depth, and no fresh matter."""
    depth = g[THICK] + g[THICK + 1] + g[THICK + 2] + g[THICK + 3]
    for i in range(LANES):
        for layer in range(4):
            b[r.N0 + layer * LANES + i] = start_n * g[THICK + layer] / depth
        b[r.FRESH + i] = 0.0


@nb.njit(error_model="numpy")
def wet_and_rot(b, day, g, sky_n, fresh_rate):
    """Water goes in, drains and backs up; nitrogen comes from sky, soil and fresh matter, and leaches."""
    full0, full1, full2, full3 = g[FULL], g[FULL + 1], g[FULL + 2], g[FULL + 3]
    sat0, sat1, sat2, sat3 = g[SAT], g[SAT + 1], g[SAT + 2], g[SAT + 3]
    pass0, pass1, pass2, pass3 = g[PASS], g[PASS + 1], g[PASS + 2], g[PASS + 3]
    hold0, hold1, hold2, hold3 = g[HOLD], g[HOLD + 1], g[HOLD + 2], g[HOLD + 3]
    soil_n, soaks, room0 = g[SOIL_N], g[SOAKS], sat0 - full0
    top = full0 + full1
    per_top = 1.0 / top
    soggy = top + WATERLOGGED_SHARE * (sat0 + sat1 - top)
    for i in range(LANES):
        into = day[r.INTO + i]
        b[r.EVAPORATED + i] = max(b[r.EVAPORATED + i] - into, 0.0)
        w0 = b[r.W0 + i] + into
        flow = pass0 * max(w0 - full0, 0.0)
        w0 = w0 - flow
        b[r.SOAKED + i] = min((b[r.SOAKED + i] + flow) * soaks, room0)
        n0 = b[r.N0 + i]
        carried = n0 * flow / (flow + hold0)
        n0 = n0 - carried
        w1 = b[r.W1 + i] + flow
        n1 = b[r.N1 + i] + carried
        flow = pass1 * max(w1 - full1, 0.0)
        w1 = w1 - flow
        carried = n1 * flow / (flow + hold1)
        n1 = n1 - carried
        w2 = b[r.W2 + i] + flow
        n2 = b[r.N2 + i] + carried
        flow = pass2 * max(w2 - full2, 0.0)
        w2 = w2 - flow
        carried = n2 * flow / (flow + hold2)
        n2 = n2 - carried
        w3 = b[r.W3 + i] + flow
        n3 = b[r.N3 + i] + carried
        flow = pass3 * max(w3 - full3, 0.0)
        w3 = w3 - flow
        carried = n3 * flow / (flow + hold3)
        n3 = n3 - carried
        b[r.DRAINED + i] += flow
        b[r.N_LEACHED + i] += carried
        backed = max(w3 - sat3, 0.0)
        b[r.W3 + i] = w3 - backed
        w2 = w2 + backed
        backed = max(w2 - sat2, 0.0)
        b[r.W2 + i] = w2 - backed
        w1 = w1 + backed
        backed = max(w1 - sat1, 0.0)
        w1 = w1 - backed
        w0 = w0 + backed
        backed = max(w0 - sat0, 0.0)
        w0 = w0 - backed
        b[r.RAN_OFF + i] += backed
        b[r.W1 + i] = w1
        b[r.W0 + i] = w0
        n0 = n0 + sky_n
        held = max(w0 + w1, 0.0) * per_top
        rate = day[r.PACE + i] * min(DRY_ROT + RISE * held, 1.0)
        out_of_soil = soil_n * rate
        fresh = b[r.FRESH + i]
        out_of_fresh = fresh * min(fresh_rate * rate, 1.0)
        b[r.FRESH + i] = fresh - out_of_fresh
        free = out_of_soil + out_of_fresh
        b[r.N0 + i] = n0 + TOP_SHARE_0 * free
        b[r.N1 + i] = n1 + TOP_SHARE_1 * free
        b[r.N2 + i] = n2
        b[r.N3 + i] = n3
        b[r.N_SOIL + i] += out_of_soil
        b[r.WET_DAYS + i] += 1.0 if w0 + w1 > soggy else 0.0


@nb.njit(error_model="numpy")
def tell_bearing(b, day, g, bearing, to):
    """Whether the ground carries stock in the evening, into the row BEARS and into `to` [lane]."""
    full_mm, frozen_c = g[FULL] + bearing[0], bearing[1]
    for i in range(LANES):
        b[r.BEARS + i] = 1.0 if (b[r.W0 + i] + b[r.SOAKED + i] <= full_mm) | (day[r.TMEAN + i] < frozen_c) else 0.0
    for i in range(len(to)):
        to[i] = b[r.BEARS + i] > 0.0


@nb.njit(error_model="numpy")
def lose_water(b, day, g):
    """Evaporation and transpiration by the dual coefficient, as `KCB`, `SHADE` and `KS` have it."""
    dry, tew, per_tew = g[DRY], g[TEW], 1.0 / (g[TEW] - g[REW])
    for i in range(LANES):
        kcb, shade, eto = b[r.KCB + i], b[r.SHADE + i], day[r.ETO + i]
        gone = b[r.EVAPORATED + i]
        kr = clip01((tew - gone) * per_tew)
        most = max(KC_MAX, kcb + 0.05)
        bare = max(1.0 - shade, LEAST_BARE)
        ke = max(min(kr * (most - kcb), bare * most), 0.0)
        w0, w1, w2, w3 = b[r.W0 + i], b[r.W1 + i], b[r.W2 + i], b[r.W3 + i]
        reach0 = b[r.R0 + i] * max(w0, 0.0)
        reach1 = b[r.R1 + i] * max(w1, 0.0)
        reach2 = b[r.R2 + i] * max(w2, 0.0)
        reach3 = b[r.R3 + i] * max(w3, 0.0)
        total = reach0 + reach1 + reach2 + reach3
        taken = min(b[r.KS + i] * kcb * eto, total)
        part = taken / (total if total > 0.0 else 1.0)
        w0 = w0 - reach0 * part
        b[r.W1 + i] = w1 - reach1 * part
        b[r.W2 + i] = w2 - reach2 * part
        b[r.W3 + i] = w3 - reach3 * part
        evaporated = min(ke * eto, max(w0 + dry, 0.0))
        b[r.W0 + i] = w0 - evaporated
        b[r.EVAPORATED + i] = min(gone + evaporated / bare, tew)
        b[r.EVAPORATION + i] += evaporated
        b[r.ET + i] += evaporated + taken


@nb.njit(error_model="numpy")
def evaporate(b, day, g):
    """`lose_water` where nothing stands in any lane: a bare surface evaporates, nothing transpires."""
    dry, tew, per_tew = g[DRY], g[TEW], 1.0 / (g[TEW] - g[REW])
    for i in range(LANES):
        gone, w0 = b[r.EVAPORATED + i], b[r.W0 + i]
        kr = clip01((tew - gone) * per_tew)
        evaporated = min(kr * KC_MAX * day[r.ETO + i], max(w0 + dry, 0.0))
        b[r.W0 + i] = w0 - evaporated
        b[r.EVAPORATED + i] = min(gone + evaporated, tew)
        b[r.EVAPORATION + i] += evaporated
        b[r.ET + i] += evaporated


@nb.njit(error_model="numpy")
def wanted_water(b, day, g, rest):
    """Water that a strip asks for at dawn, m3 in `rest`. Returns in how many lanes."""
    m3_per_mm = g[AREA] / 1000.0 / g[EFFICIENCY]
    limit = g[NET_LIMIT]
    asking = 0
    for i in range(LANES):
        phase = b[r.PHASE + i]
        stands = (phase == GROW) | (phase == PICK) | (phase == SWARD)
        within = b[r.R0 + i] * max(b[r.W0 + i], 0.0)
        within = within + b[r.R1 + i] * max(b[r.W1 + i], 0.0)
        within = within + b[r.R2 + i] * max(b[r.W2 + i], 0.0)
        within = within + b[r.R3 + i] * max(b[r.W3 + i], 0.0)
        taw = b[r.TAW + i]
        depletion = taw - within
        p = min(max(b[r.DEPLETION_P + i] + 0.04 * (5.0 - b[r.KCB + i] * day[r.ETO + i]), 0.1), 0.8)
        net = min(depletion, limit)
        asks = stands & (depletion >= p * taw) & (net > 0.0)
        rest[i] = net * m3_per_mm if asks else 0.0
        asking += 1 if asks else 0
    return asking


@nb.njit(error_model="numpy")
def draw(tank, rest, booked):
    """One source gives what it can of `rest`; `booked` is 1 in the larder year, else 0."""
    for i in range(LANES):
        want = rest[i]
        asks = want > 0.0
        left, store, licence, told = tank[r.LEFT + i], tank[r.STORE + i], tank[r.LICENCE + i], tank[r.TOLD + i]
        most = min(want, left + store, licence)
        take = most if asks else 0.0
        from_rate = min(take, left)
        tank[r.LEFT + i] = left - from_rate
        tank[r.STORE + i] = store - (take - from_rate)
        tank[r.LICENCE + i] = licence - take
        tank[r.DRAWN + i] += take * booked
        dry = booked if asks & (take < want) & (told == 0.0) else 0.0
        tank[r.DRY_DAYS + i] += dry
        tank[r.TOLD + i] = told + dry
        rest[i] = want - take


@nb.njit(error_model="numpy")
def pour(b, g, wanted, rest):
    """What a strip was given of the water it wanted goes into its first layer."""
    m3_per_mm = g[AREA] / 1000.0 / g[EFFICIENCY]
    for i in range(LANES):
        net = (wanted[i] - rest[i]) / m3_per_mm
        b[r.W0 + i] += net
        b[r.EVAPORATED + i] = max(b[r.EVAPORATED + i] - net, 0.0)
        b[r.IRRIGATION + i] += net


@nb.njit(forceinline=True, error_model="numpy")
def mix_in(b, i, mineral):
    """Mineral nitrogen worked into the top soil of one lane."""
    b[r.N0 + i] += TOP_SHARE_0 * mineral
    b[r.N1 + i] += TOP_SHARE_1 * mineral


@nb.njit(forceinline=True, error_model="numpy")
def rooted(b, i, g, root):
    """Shares of the layers that roots of one lane have reached, and the water they can hold."""
    d0, d1, d2, d3 = g[THICK], g[THICK + 1], g[THICK + 2], g[THICK + 3]
    b[r.R0 + i] = clip01((root - 0.0) / d0)
    b[r.R1 + i] = clip01((root - d0) / d1)
    b[r.R2 + i] = clip01((root - (d0 + d1)) / d2)
    b[r.R3 + i] = clip01((root - (d0 + d1 + d2)) / d3)
    b[r.TAW + i] = g[AWC] * root


@nb.njit(forceinline=True, error_model="numpy")
def thinned(dm_t_ha, dilution):
    """Share of the nitrogen content of a young crop that one of this dry matter needs."""
    return exp_of(-dilution * log_of(min(max(dm_t_ha, 1.0), MOST_T_HA)))


@nb.njit(forceinline=True, error_model="numpy")
def critical_n(dm_t_ha, pct, dilution):
    """Nitrogen that a crop of this dry matter needs, kg/ha; see `twin_crop.critical_n_kg_ha`."""
    return 10.0 * pct * dm_t_ha * thinned(dm_t_ha, dilution)


@nb.njit(forceinline=True, error_model="numpy")
def feed(b, i, want, new, fixed_share):
    """Nitrogen up to what is wanted, from the air by what is new of it, then from rooted layers. Returns soil's and air's."""
    n0, n1, n2, n3 = b[r.N0 + i], b[r.N1 + i], b[r.N2 + i], b[r.N3 + i]
    reach0 = UPTAKE_RATE * b[r.R0 + i] * n0
    reach1 = UPTAKE_RATE * b[r.R1 + i] * n1
    reach2 = UPTAKE_RATE * b[r.R2 + i] * n2
    reach3 = UPTAKE_RATE * b[r.R3 + i] * n3
    total = reach0 + reach1 + reach2 + reach3
    fixed = min(want, fixed_share * new * max(1.0 - (n0 + n1) / FIX_NO_MORE_KG_HA, 0.0))
    taken = min(want - fixed, total)
    part = taken / (total if total > 0.0 else 1.0)
    b[r.N0 + i] = n0 - reach0 * part
    b[r.N1 + i] = n1 - reach1 * part
    b[r.N2 + i] = n2 - reach2 * part
    b[r.N3 + i] = n3 - reach3 * part
    b[r.CROP_N + i] += taken + fixed
    b[r.FIXED_N + i] += fixed
    return taken, fixed
