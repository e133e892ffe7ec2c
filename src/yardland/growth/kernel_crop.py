"""The compiled kernel's crops and swards: the day of one sowing in the lanes where it stands. See `twin_crop` for words.

Loops over the lanes of a block without branches; what is rare (winter crops, flowering) has a loop of its own, run only
where it matters. `b` is a strip's buffer, `day` its weather, `c[k]` the sowing's traits, `g` the strip's soil.
"""

# The compiler infers the types; a long loop is what it keeps in registers.
# ruff: noqa: ANN001, ANN201, PLR0915
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numba as nb

from yardland.growth import kernel_rows as r
from yardland.growth import traits as tr
from yardland.growth.heat import VERNAL_COLD_C
from yardland.growth.kernel_ground import AWC, THICK, clip01, critical_n, exp_of, feed, mix_in, rooted, thinned
from yardland.growth.kernel_rows import LANES
from yardland.growth.twin import WAITS_FOR_HAY
from yardland.growth.twin_crop import CLOSE_IN_C_D, HARDY_AFTER_DAYS, HARDY_BELOW_C, SOFT_SHARE
from yardland.growth.twin_ground import GROW, PICK, STAND

COLD_NONE, COLD_FULL, MILD_FULL, MILD_NONE = VERNAL_COLD_C
NEVER = 1e9


@nb.njit(forceinline=True, error_model="numpy")
def warmth(tmean, base, per_rise, fall):
    """Temperature factor of growth, 0-1."""
    rise = (tmean - base) * per_rise
    drop = 1.0 - (tmean - fall) * (1.0 / tr.HEAT_SPAN_C)
    return min(max(min(rise, drop), 0.0), 1.0)


@nb.njit(forceinline=True, error_model="numpy")
def n_index(b, i):
    """Nitrogen in the crop over its critical amount, 0-1."""
    needed = b[r.CRITICAL_N + i]
    index = min(b[r.CROP_N + i] / (needed if needed > 0.0 else 1.0), 1.0)
    return index if needed > 0.0 else 1.0


@nb.njit(forceinline=True, error_model="numpy")
def stress(b, i, kcb, eto, p, taw):
    """Water stress coefficient of one lane."""
    within = b[r.R0 + i] * max(b[r.W0 + i], 0.0)
    within = within + b[r.R1 + i] * max(b[r.W1 + i], 0.0)
    within = within + b[r.R2 + i] * max(b[r.W2 + i], 0.0)
    within = within + b[r.R3 + i] * max(b[r.W3 + i], 0.0)
    depletion = taw - within
    raw = min(max(p + 0.04 * (5.0 - kcb * eto), 0.1), 0.8) * taw
    ks = clip01((taw - depletion) / (taw - raw))
    return 1.0 if depletion <= raw else ks


@nb.njit(error_model="numpy")
def winter_day(b, day, c, k):
    """A crop with a release is slowed by want of cold and of daylength until then, and hardens."""
    release, base_h = c[k, tr.RELEASE], c[k, tr.DAYLENGTH_BASE_H]
    span = c[k, tr.DAYLENGTH_FULL_H] - c[k, tr.DAYLENGTH_BASE_H]
    idle, span_days = c[k, tr.VERNAL_IDLE], c[k, tr.VERNAL_DAYS] - c[k, tr.VERNAL_IDLE]
    for i in range(LANES):
        here = (b[r.PHASE + i] > 0.0) & (b[r.SOWING + i] == k)
        tmean = day[r.TMEAN + i]
        rising = (tmean - COLD_NONE) / (COLD_FULL - COLD_NONE)
        falling = (MILD_NONE - tmean) / (MILD_NONE - MILD_FULL)
        vernal, hardy = b[r.VERNAL + i], b[r.HARDY + i]
        vernal_now = vernal + min(max(min(rising, falling), 0.0), 1.0)
        hardy_now = hardy + (1.0 if tmean < HARDY_BELOW_C else 0.0)
        slow = clip01((vernal_now - idle) / span_days) * clip01((day[r.TWILIGHT + i] - base_h) / span)
        speed = slow if b[r.UNITS + i] < release else 1.0
        b[r.VERNAL + i] = vernal_now if here else vernal
        b[r.HARDY + i] = hardy_now if here else hardy
        b[r.SPEED + i] = speed if here else b[r.SPEED + i]


@nb.njit(error_model="numpy")
def crop_morning(b, day, c, k, g, number):
    """Development, roots, canopy, what the crop wants of water, frost.

    Returns:
        In how many lanes dusk may change something, in how many it flowers, in how many it makes dry matter.
    """
    base, plateau, emerge, target = c[k, tr.BASE_C], c[k, tr.PLATEAU_C], c[k, tr.HEAT_EMERGE], c[k, tr.TARGET]
    release, bulb, bulb_h = c[k, tr.RELEASE], c[k, tr.BULB_UNITS], c[k, tr.BULB_DAYLENGTH_H]
    steep, half, top, cap, picked = c[k, tr.STEEP], c[k, tr.HALF], c[k, tr.TOP], c[k, tr.COVER_CAP], c[k, tr.PICK_COVER]
    from_, per_fade, left = c[k, tr.SENESCE_FROM], 1.0 / (1.0 - c[k, tr.SENESCE_FROM]), 1.0 - c[k, tr.SENESCE_LEFT]
    a, per_b, kc_c, per_c = (
        c[k, tr.KC_A],
        1.0 / (c[k, tr.KC_B] - c[k, tr.KC_A]),
        c[k, tr.KC_C],
        1.0 / (1.0 - c[k, tr.KC_C]),
    )
    middle = 0.5 * (c[k, tr.KC_A] + c[k, tr.KC_B])
    ini, mid_ini, end = c[k, tr.KCB_INI], c[k, tr.KCB_MID] - c[k, tr.KCB_INI], c[k, tr.KCB_END]
    p, more_root, per_root = c[k, tr.DEPLETION_P], c[k, tr.ROOT_M] - tr.SHALLOW_M, 1.0 / c[k, tr.KC_B]
    opens, closes, clears = c[k, tr.FLOWER_FROM], c[k, tr.FLOWER_UNTIL], number >= c[k, tr.CLEAR_BY]
    by_mean = c[k, tr.KILL_BY_MEAN] != 0.0
    kill, young, young_until, soft = (
        c[k, tr.KILL_C],
        c[k, tr.YOUNG_KILL_C],
        c[k, tr.YOUNG_UNTIL],
        SOFT_SHARE * c[k, tr.KILL_C],
    )
    awc, t1, t2 = g[AWC], g[THICK], g[THICK] + g[THICK + 1]
    t3 = t2 + g[THICK + 2]
    per0, per1, per2, per3 = 1.0 / g[THICK], 1.0 / g[THICK + 1], 1.0 / g[THICK + 2], 1.0 / g[THICK + 3]
    look, flowering, making = 0, 0, 0
    for i in range(LANES):
        phase = b[r.PHASE + i]
        here = (phase > 0.0) & (b[r.SOWING + i] == k)
        heat = max(min(day[r.TMEAN + i], plateau) - base, 0.0)
        heat_before, before = b[r.HEAT + i], b[r.UNITS + i]
        heat_now = heat_before + heat
        over = max(heat_now - emerge, 0.0)
        step = b[r.SPEED + i] * min(heat, over)
        waits = (before <= bulb) & (day[r.DAYLENGTH + i] < bulb_h)
        ceiling = bulb if waits else NEVER
        units = min(before + step, ceiling)
        b[r.HEAT + i] = heat_now if here else heat_before
        b[r.UNITS + i] = units if here else before
        b[r.BEFORE + i] = before
        held = units < release
        emerged = heat_now >= emerge
        growth = over / target
        ripeness = units / target
        ripe_before = before / target
        flowering += 1 if here & (ripeness >= opens) & (ripe_before < closes) else 0
        # Frost, and whether anything is to be done at dusk.
        hardened = (b[r.HARDY + i] >= HARDY_AFTER_DAYS) & held
        by_crown = day[r.CROWN + i] < (kill if hardened else soft)
        by_night = day[r.TMIN + i] < (young if ripeness < young_until else kill)
        dead = emerged & ((by_crown if by_mean else by_night) | (b[r.SET_SHARE + i] <= 0.0))
        ripe = ripeness >= 1.0
        due = ((phase == GROW) & (ripe | clears)) | ((phase > 1.0) & (number >= b[r.LAST_PLAN + i]))
        b[r.DEAD + i] = (1.0 if dead else 0.0) if here else b[r.DEAD + i]
        look += 1 if here & (dead | due | (ripe & (ripe_before < 1.0))) else 0
        # Roots.
        root = tr.SHALLOW_M + more_root * min(growth * per_root, 1.0)
        r0, r1 = clip01(root * per0), clip01((root - t1) * per1)
        r2, r3 = clip01((root - t2) * per2), clip01((root - t3) * per3)
        taw = awc * root
        # Canopy.
        z = min(max(steep * (growth - half), -30.0), 30.0)
        shade = top / (1.0 + exp_of(-z))
        shade = min(shade, cap + (top - cap) * clip01((units - release) / CLOSE_IN_C_D))
        shade = shade * (picked if phase == PICK else 1.0)
        old = clip01((ripeness - from_) * per_fade)
        live = here & emerged & ((ripe_before < 1.0) | (phase == PICK)) & (phase != STAND)
        making += 1 if live else 0
        caught = day[r.PAR + i] * (shade * (1.0 - old * left))
        b[r.CAUGHT + i] = caught if live else 0.0
        b[r.LIVE + i] = 1.0 if live else 0.0
        # Water wanted.
        x = min(growth, middle) if held else growth
        kcb = ini + clip01((x - a) * per_b) * mid_ini
        kcb = kcb + clip01((ripeness - kc_c) * per_c) * (end - kcb)
        within = r0 * max(b[r.W0 + i], 0.0) + r1 * max(b[r.W1 + i], 0.0)
        within = within + r2 * max(b[r.W2 + i], 0.0)
        within = within + r3 * max(b[r.W3 + i], 0.0)
        depletion = taw - within
        raw = min(max(p + 0.04 * (5.0 - kcb * day[r.ETO + i]), 0.1), 0.8) * taw
        ks = clip01((taw - depletion) / (taw - raw))
        ks = 1.0 if depletion <= raw else ks
        b[r.R0 + i] = r0 if here else b[r.R0 + i]
        b[r.R1 + i] = r1 if here else b[r.R1 + i]
        b[r.R2 + i] = r2 if here else b[r.R2 + i]
        b[r.R3 + i] = r3 if here else b[r.R3 + i]
        b[r.TAW + i] = taw if here else b[r.TAW + i]
        b[r.KCB + i] = kcb if here else b[r.KCB + i]
        b[r.KS + i] = ks if here else b[r.KS + i]
        shade = shade if emerged else 0.0
        b[r.SHADE + i] = shade if here else b[r.SHADE + i]
    return look, flowering, making


@nb.njit(error_model="numpy")
def flowering_day(b, day, c, k):
    """What heat and frost take of the flowers. Returns in how many lanes none is left."""
    target, opens, closes, emerge = c[k, tr.TARGET], c[k, tr.FLOWER_FROM], c[k, tr.FLOWER_UNTIL], c[k, tr.HEAT_EMERGE]
    heat_slope, heat10, share = (
        c[k, tr.HEAT_SLOPE],
        c[k, tr.HEAT10_C],
        c[k, tr.TARGET] * (c[k, tr.FLOWER_UNTIL] - c[k, tr.FLOWER_FROM]),
    )
    slope, kill10, needed = c[k, tr.FLOWER_SLOPE], c[k, tr.FLOWER_KILL10_C], c[k, tr.FLOWERS_NEEDED]
    none_left = 0
    for i in range(LANES):
        here = (b[r.PHASE + i] > 0.0) & (b[r.SOWING + i] == k)
        before, units = b[r.BEFORE + i], b[r.UNITS + i]
        was, ripeness = before / target, units / target
        fails = clip01(0.1 + heat_slope * (day[r.TMAX + i] - heat10))
        scorched = fails * (units - before) / share
        b[r.SCORCHED + i] += scorched if here & (was >= opens) & (was < closes) else 0.0
        killed = clip01(0.1 + slope * (kill10 - day[r.TMIN + i]))
        left = min((1.0 - killed) / needed, 1.0)
        left = left if here & (ripeness >= opens) & (ripeness < closes) else 1.0
        set_share = min(b[r.SET_SHARE + i], left)
        b[r.SET_SHARE + i] = set_share
        dead = here & (set_share <= 0.0) & (b[r.HEAT + i] >= emerge)
        b[r.DEAD + i] = 1.0 if dead else b[r.DEAD + i]
        none_left += 1 if dead else 0
    return none_left


@nb.njit(error_model="numpy")
def crop_make(b, day, c, k):
    """Dry matter where the crop is live. Returns in how many lanes it is past the flat part of the dilution curve."""
    base, per_rise, fall = c[k, tr.BASE_C], 1.0 / (c[k, tr.GROW_FULL_C] - c[k, tr.BASE_C]), c[k, tr.GROW_FALL_C]
    rue, tonnes = c[k, tr.RUE], c[k, tr.TONNES]
    thin = 0
    for i in range(LANES):
        caught = b[r.CAUGHT + i]
        warm = warmth(day[r.TMEAN + i], base, per_rise, fall)
        wet = min(warm, b[r.KS + i])
        dm = b[r.DM + i] + rue * caught * min(wet, n_index(b, i))
        b[r.DM + i] = dm
        b[r.LIGHT + i] += caught
        b[r.WARM + i] += caught * warm
        b[r.WET + i] += caught * wet
        thin += 1 if (b[r.LIVE + i] > 0.0) & (tonnes * dm > 1.0) else 0
    return thin


@nb.njit(error_model="numpy")
def dilute(b, c, k):
    """The dilution curve past its flat part, into `THINNED`."""
    tonnes, dilution = c[k, tr.TONNES], c[k, tr.N_DILUTION]
    for i in range(LANES):
        b[r.THINNED + i] = thinned(tonnes * b[r.DM + i], dilution)


@nb.njit(error_model="numpy")
def crop_feed(b, c, k, thin):
    """Nitrogen where the crop is live; `thin` says whether `THINNED` was filled."""
    tonnes, pct, fixes = c[k, tr.TONNES], 10.0 * c[k, tr.N_CRITICAL_PCT], c[k, tr.N_FIXED]
    target, asks_until = c[k, tr.TARGET], c[k, tr.N_ASKS_UNTIL]
    for i in range(LANES):
        live = b[r.LIVE + i] > 0.0
        flat = pct * (tonnes * b[r.DM + i])
        was = b[r.CRITICAL_N + i]
        critical = flat * (b[r.THINNED + i] if thin else 1.0)
        critical = critical if b[r.UNITS + i] / target < asks_until else was
        want = max(critical - b[r.CROP_N + i], 0.0) if live else 0.0
        taken, _ = feed(b, i, want, max(critical - was, 0.0), fixes)
        b[r.N_UPTAKE + i] += taken
        b[r.CRITICAL_N + i] = critical if live else was


@nb.njit(error_model="numpy")
def start_sward(b, c, k, g):
    """A sward as it stands on the first day."""
    for i in range(LANES):
        rooted(b, i, g, c[k, tr.ROOT_M])
        b[r.MASS + i] = c[k, tr.RESIDUAL_MASS]
        b[r.CRITICAL_N + i] = critical_n(c[k, tr.RESIDUAL_MASS] / 100.0, c[k, tr.N_CRITICAL_PCT], c[k, tr.N_DILUTION])
        b[r.CROP_N + i] = b[r.CRITICAL_N + i]
        b[r.CUT_IN + i] = -1.0
        b[r.DEPLETION_P + i] = c[k, tr.DEPLETION_P]


@nb.njit(error_model="numpy")
def sward_morning(b, day, c, k):
    """Cover of a sward and what it wants of water."""
    top, light, p = c[k, tr.TOP], c[k, tr.LIGHT_PER_MASS], c[k, tr.DEPLETION_P]
    ini, mid_ini = c[k, tr.KCB_INI], c[k, tr.KCB_MID] - c[k, tr.KCB_INI]
    for i in range(LANES):
        cover = top * (1.0 - exp_of(-min(light * b[r.MASS + i], 30.0)))
        kcb = ini + mid_ini * cover / top
        b[r.KS + i] = stress(b, i, kcb, day[r.ETO + i], p, b[r.TAW + i])
        b[r.KCB + i] = kcb
        b[r.SHADE + i] = cover


@nb.njit(forceinline=True, error_model="numpy")
def lift(b, i, g_m2):
    """Take part of the standing sward with its share of the nitrogen, which is returned, and of what it needed."""
    mass, n, critical = b[r.MASS + i], b[r.CROP_N + i], b[r.CRITICAL_N + i]
    part = g_m2 / (mass if mass > 0.0 else 1.0)
    part = part if mass > 0.0 else 0.0
    b[r.MASS + i] = mass - g_m2
    b[r.CROP_N + i] = n - n * part
    b[r.CRITICAL_N + i] = critical - critical * part
    return n * part


@nb.njit(error_model="numpy")
def sward_evening(b, day, c, k, booked):
    """Growth, withering and nitrogen of a sward; `booked` is 1 in the larder year, else 0."""
    base, per_rise, fall = c[k, tr.BASE_C], 1.0 / (c[k, tr.GROW_FULL_C] - c[k, tr.BASE_C]), c[k, tr.GROW_FALL_C]
    rue, pct, dilution, fixes = c[k, tr.RUE], c[k, tr.N_CRITICAL_PCT], c[k, tr.N_DILUTION], c[k, tr.N_FIXED]
    g_m2, keeps, withers = 100.0 * c[k, tr.TONNES], 0.5 * c[k, tr.RESIDUAL_MASS], c[k, tr.SENESCENCE]
    litter = c[k, tr.N_RESIDUE_FRESH]
    for i in range(LANES):
        tmean = day[r.TMEAN + i]
        caught = day[r.PAR + i] * b[r.SHADE + i]
        warm = warmth(tmean, base, per_rise, fall)
        wet = min(warm, b[r.KS + i])
        made = rue * caught * min(wet, n_index(b, i))
        b[r.DM + i] += made * booked
        b[r.LIGHT + i] += caught * booked
        b[r.WARM + i] += caught * warm * booked
        b[r.WET + i] += caught * wet * booked
        grew = g_m2 * made
        withered = max(b[r.MASS + i] - keeps, 0.0) * min(withers * max(tmean, 0.0), 1.0)
        b[r.MASS + i] += grew
        n = lift(b, i, withered) * litter
        b[r.FRESH + i] += n
        b[r.N_FRESH_IN + i] += n
        critical = critical_n(b[r.MASS + i] / 100.0, pct, dilution)
        fixed_before = b[r.FIXED_N + i]
        new = max(critical - b[r.CRITICAL_N + i], 0.0)
        taken, fixed = feed(b, i, max(critical - b[r.CROP_N + i], 0.0), new, fixes)
        b[r.CRITICAL_N + i] = critical
        b[r.FIXED_N + i] = fixed_before + fixed * booked
        b[r.TAKEN_N + i] += taken * booked
        b[r.N_UPTAKE + i] += taken
        b[r.GREW + i] += grew
        b[r.WITHERED + i] += withered


@nb.njit(error_model="numpy")
def sward_dusk(b, day, c, k, number):
    """A sward is grazed where animals are, or cut when it is grown. Returns how many are cut."""
    in_year, year = number % tr.YEAR, float(number // tr.YEAR)
    season = (c[k, tr.SHUT_FROM] >= 0.0) & (c[k, tr.SHUT_FROM] <= in_year) & (in_year <= c[k, tr.HAY_UNTIL])
    hay_days, last = in_year >= c[k, tr.HAY_FROM], in_year >= c[k, tr.HAY_UNTIL]
    stubble, cut_mass = c[k, tr.STUBBLE_MASS], c[k, tr.CUT_MASS]
    eaten_share, dung_mineral, dung_fresh = c[k, tr.GRAZED_SHARE], c[k, tr.DUNG_MINERAL], c[k, tr.DUNG_FRESH]
    mown, litter = cut_mass > 0.0, c[k, tr.N_RESIDUE_FRESH]
    pct, dilution = c[k, tr.N_CRITICAL_PCT], c[k, tr.N_DILUTION]
    cuts, changed = 0, 0
    for i in range(LANES):
        mass = b[r.MASS + i]
        dry = day[r.DRY_SPELL + i] > 0.0
        shut = season & (b[r.CUT_IN + i] != year)
        shut_cut = shut & hay_days & (dry | last)
        open_cut = (not shut) & mown & (mass >= cut_mass * (1.0 if dry else WAITS_FOR_HAY))
        cut = shut_cut | open_cut
        bears = b[r.BEARS + i] > 0.0
        graze = (not (shut | mown)) & (b[r.HERE + i] > 0.0) & bears
        b[r.CUT_IN + i] = year if shut_cut else b[r.CUT_IN + i]
        still_shut = season & (b[r.CUT_IN + i] != year)
        b[r.OPEN + i] = 1.0 if (not (still_shut | mown)) & bears else 0.0
        b[r.CUT + i] = 1.0 if cut else (-1.0 if graze else 0.0)
        cuts += 1 if cut else 0
        changed += 1 if cut | graze else 0
        mowed = max(mass - stubble, 0.0) if cut else 0.0
        eaten = min(b[r.WANT + i], eaten_share * max(mass - b[r.FLOOR + i], 0.0)) if graze else 0.0
        gone = eaten / eaten_share
        n = lift(b, i, mowed + eaten)
        n = n if graze else 0.0
        mix_in(b, i, dung_mineral * n)
        trodden = lift(b, i, gone - eaten) * litter
        b[r.FRESH + i] = b[r.FRESH + i] + dung_fresh * n + trodden
        b[r.N_MINERAL_IN + i] += dung_mineral * n
        b[r.N_FRESH_IN + i] = b[r.N_FRESH_IN + i] + dung_fresh * n + trodden
        b[r.HAY + i] += mowed if dry else 0.0
        b[r.WET_HAY + i] += 0.0 if dry else mowed
        b[r.GRAZED + i] += eaten
        b[r.TRAMPLED + i] += gone - eaten
    if changed > 0:
        for i in range(LANES):
            critical = critical_n(b[r.MASS + i] / 100.0, pct, dilution)
            b[r.CRITICAL_N + i] = critical if b[r.CUT + i] != 0.0 else b[r.CRITICAL_N + i]
    return cuts
