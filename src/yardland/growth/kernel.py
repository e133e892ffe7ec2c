"""The growth kernel in numba: years in blocks of contiguous lanes, days outside, strips inside, lanes innermost.

The same algorithm as `twin`, which is its readable form. What happens every day is loops over the lanes of a block
without branches (`kernel_ground`, `kernel_crop`), so that the compiler can use wide registers; what happens seldom
(sowing, dusk, the end of a month) is done lane by lane, here. Sowings of one strip that stand at the same time in
different lanes (the land came free earlier in one year) each take their own pass; a strip on which nothing stands takes
none. Importing this module loads numba (0.4 s): `run` does so only for large runs, by `numba_path`.
"""

# The compiler infers the types. The arguments are arrays without names of their own: see `numba_path`.
# ruff: noqa: ANN001, ANN202, C901, PLR0912, PLR0915
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import zlib
from pathlib import Path

import numba as nb
import numpy as np

from yardland.growth import kernel_rows as r
from yardland.growth import traits as tr
from yardland.growth.kernel_crop import (
    crop_feed,
    crop_make,
    crop_morning,
    dilute,
    flowering_day,
    start_sward,
    sward_dusk,
    sward_evening,
    sward_morning,
    winter_day,
)
from yardland.growth.kernel_ground import (
    SETTLE,
    draw,
    evaporate,
    lose_water,
    pour,
    settle,
    tell_bearing,
    wanted_water,
    wet_and_rot,
)
from yardland.growth.kernel_rounds import walk
from yardland.growth.kernel_rows import LANES
from yardland.growth.kernel_seldom import FIRST, LAST, SOW, bare, close, dusk, gate
from yardland.growth.twin_ground import SWARD

# Terms of the monthly books and the rows that sum them.
WATER_BOOK = np.array(
    (
        (tr.RUNOFF, r.RAN_OFF),
        (tr.DRAINAGE, r.DRAINED),
        (tr.ET, r.ET),
        (tr.EVAPORATION, r.EVAPORATION),
        (tr.IRRIGATION, r.IRRIGATION),
    )
)
NITROGEN_BOOK = np.array(
    (
        (tr.N_SOIL, r.N_SOIL),
        (tr.N_MINERAL_IN, r.N_MINERAL_IN),
        (tr.N_FRESH_IN, r.N_FRESH_IN),
        (tr.N_UPTAKE, r.N_UPTAKE),
        (tr.N_LEACHED, r.N_LEACHED),
    )
)
SWARD_BOOK = np.array(
    (
        (tr.GREW, r.GREW),
        (tr.GRAZED, r.GRAZED),
        (tr.TRAMPLED, r.TRAMPLED),
        (tr.HAY, r.HAY),
        (tr.WET_HAY, r.WET_HAY),
        (tr.WITHERED, r.WITHERED),
    )
)
W_START, W_END, N_START, N_END, S_START, S_END = tr.START, tr.END, tr.N_START, tr.N_END, tr.S_START, tr.S_END


@nb.njit(error_model="numpy")
def _turn(n, day, groups):
    """Place in the watering order of the n-th served that day; see `io.watering_order`."""
    for g in range(len(groups) - 1):
        if groups[g] <= n < groups[g + 1]:
            return groups[g] + (n - groups[g] + day) % (groups[g + 1] - groups[g])
    return n


@nb.njit(error_model="numpy")
def _copy(to, row, values, cover, number, lo, lanes):
    """A row of a day's weather; a short block repeats its last lane."""
    part = values[cover, number, lo : lo + lanes]
    for i in range(lanes):
        to[row + i] = part[i]
    if lanes < LANES:
        to[row + lanes : row + LANES] = part[lanes - 1]


@nb.njit(error_model="numpy")
def _load_day(today, number, lo, lanes, sky, light, hay):
    """The block's weather of a day in rows, by cover. What only some days ask for is fetched then: it lies far apart."""
    tmean, tmin, _, crown, _, par, eto, _, water, runoff, pace, dry_spell = sky
    for cover in range(len(today)):
        day = today[cover]
        _copy(day, r.TMEAN, tmean, cover, number, lo, lanes)
        _copy(day, r.TMIN, tmin, cover, number, lo, lanes)
        _copy(day, r.CROWN, crown, cover, number, lo, lanes)
        _copy(day, r.PAR, par, cover, number, lo, lanes)
        _copy(day, r.ETO, eto, cover, number, lo, lanes)
        _copy(day, r.INTO, water, cover, number, lo, lanes)
        _copy(day, r.PACE, runoff, cover, number, lo, lanes)
        for i in range(LANES):
            day[r.INTO + i] = day[r.INTO + i] - day[r.PACE + i]
        _copy(day, r.PACE, pace, cover, number, lo, lanes)
        if hay[cover]:
            _copy(day, r.DRY_SPELL, dry_spell, cover, number, lo, lanes)
        if cover == 0:
            _copy(day, r.DAYLENGTH, light, 0, number, lo, lanes)
            _copy(day, r.TWILIGHT, light, 1, number, lo, lanes)
        else:
            for i in range(LANES):
                day[r.DAYLENGTH + i] = today[0, r.DAYLENGTH + i]
                day[r.TWILIGHT + i] = today[0, r.TWILIGHT + i]


@nb.njit(error_model="numpy")
def _book(b, s, month, lo, lanes, terms, book):
    """Sums of a month into a monthly book, and back to nothing."""
    for n in range(len(terms)):
        term, row = terms[n, 0], terms[n, 1]
        for i in range(lanes):
            if month >= 0:
                book[term, s, month, lo + i] = b[row + i]
        for i in range(LANES):
            b[row + i] = 0.0


@nb.njit(error_model="numpy")
def _month_end(b, s, sward, month, following, lo, lanes, water, nitrogen, swards, wet_days):
    """A strip's books of the month, and what it holds."""
    for i in range(lanes):
        held_mm = b[r.W0 + i] + b[r.W1 + i] + b[r.W2 + i] + b[r.W3 + i]
        held_n = b[r.N0 + i] + b[r.N1 + i] + b[r.N2 + i] + b[r.N3 + i] + b[r.FRESH + i]
        if month >= 0:
            water[W_END, s, month, lo + i] = held_mm
            nitrogen[N_END, s, month, lo + i] = held_n
            wet_days[s, month, lo + i] = b[r.WET_DAYS + i]
            if sward:
                swards[S_END, s, month, lo + i] = b[r.MASS + i]
        if following >= 0:
            water[W_START, s, following, lo + i] = held_mm
            nitrogen[N_START, s, following, lo + i] = held_n
            if sward:
                swards[S_START, s, following, lo + i] = b[r.MASS + i]
    for i in range(LANES):
        b[r.WET_DAYS + i] = 0.0
    _book(b, s, month, lo, lanes, WATER_BOOK, water)
    _book(b, s, month, lo, lanes, NITROGEN_BOOK, nitrogen)
    if sward:
        _book(b, s, month, lo, lanes, SWARD_BOOK, swards)


def _sources() -> int:
    """A number that changes with what is compiled here."""
    names = ("kernel_*.py", "kernel.py", "twin*.py", "traits.py", "heat.py", "soil_water.py")
    files = sorted(file for name in names for file in Path(__file__).parent.glob(name))
    return zlib.crc32(b"".join(file.read_bytes() for file in files))


def _kept(sources: int):
    """The compiled block, kept on disk. numba looks only at this file for changes, but also at what a closure holds."""

    @nb.njit(cache=True, error_model="numpy", nogil=True)
    def block(
        lo, traits, soils, sky, light, month_of, strip_cover, strip_first, strip_count,
        nitrogen_rates, water_order, water_groups, strip_sources, rate, inflow, capacity, licence_m3, demand,
        out_days, out_sums, out_water, out_nitrogen, out_sward, out_wet_days, out_drawn, out_dry, out_unmet, out_spare,
        of_round, herds, out_where, bearing, out_bears, begin, out_ends,
    ):  # fmt: skip
        """All days of the block of lanes from `lo` on; fills the `out_` arrays (see `numba_path`)."""
        if sources < 0:
            return
        lanes = min(LANES, light.shape[2] - lo)
        strips, days, n_sources = len(strip_first), len(month_of), len(capacity)
        start_n, sky_n, fresh_rate = nitrogen_rates
        tmax, t10, rain = sky[2], sky[4], sky[7]
        # Copies of what the inner loops look up: the threads then share no counters of references.
        crops, grounds = traits.copy(), soils.copy()
        state = np.zeros((strips, r.ROWS * LANES))
        today = np.zeros((len(sky[0]), r.DAY_ROWS * LANES))
        tanks = np.zeros((n_sources, r.SOURCE_ROWS * LANES))
        n_rounds = out_where.shape[0]
        where = np.full((n_rounds, LANES), -1)
        days_in = np.zeros((n_rounds, LANES), dtype=np.int64)
        due_to, due_until = np.full((strips, LANES), -1), np.zeros((strips, LANES), dtype=np.int64)
        wanted_mm, rest, unmet = np.zeros(LANES), np.zeros(LANES), np.zeros(LANES)
        free_from = np.zeros((strips, LANES), dtype=np.int64)
        ripe_wait = np.zeros((strips, LANES), dtype=np.int64)
        stands = np.zeros(len(crops), dtype=np.int64)
        standing = np.zeros(strips, dtype=np.int64)
        next_gate = np.zeros(strips, dtype=np.int64)
        sward = np.zeros(strips, dtype=np.bool_)
        hay = np.zeros(len(today), dtype=np.bool_)
        hot = np.full(len(today), -1)
        for s in range(strips):
            b, g = state[s], grounds[s]
            sward[s] = strip_count[s] > 0 and crops[strip_first[s], tr.SWARD] > 0.0
            for i in range(LANES):
                for layer in range(4):  # a short block repeats its last lane
                    b[r.W0 + layer * LANES + i] = begin[layer, s, lo + min(i, lanes - 1)]
                    b[r.N0 + layer * LANES + i] = begin[4 + layer, s, lo + min(i, lanes - 1)]
                b[r.FRESH + i] = begin[8, s, lo + min(i, lanes - 1)]
                b[r.SOWING + i] = strip_first[s]
                b[r.LAST_PLAN + i] = -1.0
                bare(b, i, g)
            if sward[s]:
                hay[strip_cover[s]] = True
                start_sward(b, crops, strip_first[s], g)
                b[r.PHASE : r.PHASE + LANES] = SWARD
                out_days[SOW, strip_first[s], lo : lo + lanes] = 0
        for source in range(n_sources):
            tanks[source, r.STORE : r.STORE + LANES] = capacity[source]
            tanks[source, r.LICENCE : r.LICENCE + LANES] = licence_m3[source]

        for number in range(days):
            month = month_of[number]
            following = month_of[number + 1] if number + 1 < days else -1
            booked = 1.0 if month >= 0 else 0.0
            _load_day(today, number, lo, lanes, sky, light, hay)
            # Sources refill; people and stock drink first.
            rest[:] = demand[number]
            for source in range(n_sources):
                tank = tanks[source]
                for i in range(lanes):
                    level = tank[r.STORE + i] + inflow[source, number, lo + i]
                    tank[r.STORE + i] = min(max(level, 0.0), capacity[source])
                    tank[r.LEFT + i] = rate[source, number, lo + i]
                    tank[r.TOLD + i] = 0.0
                if number == tr.YEAR:
                    tank[r.LICENCE : r.LICENCE + LANES] = licence_m3[source]
                draw(tank, rest, booked)
            for i in range(LANES):
                unmet[i] += rest[i]

            for s in range(strips):
                if sward[s] or standing[s] == lanes or number < next_gate[s]:
                    continue
                first, end = strip_first[s], strip_first[s] + strip_count[s]
                next_gate[s] = gate(
                    state[s], today[strip_cover[s]], strip_cover[s], t10, rain, crops, grounds[s], end, number, lo, lanes,
                    free_from[s], ripe_wait[s], stands, out_days,
                )  # fmt: skip
                standing[s] = 0
                for k in range(first, end):
                    standing[s] += stands[k]

            # Watering, first served first.
            for n in range(len(water_order)):
                s = water_order[_turn(n, number, water_groups)]
                if standing[s] == 0 and not sward[s]:
                    continue
                b, g = state[s], grounds[s]
                if wanted_water(b, today[strip_cover[s]], g, wanted_mm) == 0:
                    continue
                rest[:] = wanted_mm
                for place in range(strip_sources.shape[1]):
                    if strip_sources[s, place] >= 0:
                        draw(tanks[strip_sources[s, place]], rest, booked)
                pour(b, g, wanted_mm, rest)
            for source in range(n_sources):
                for i in range(lanes):
                    left = tanks[source, r.LEFT + i]
                    out_spare[source, number, lo + i] = min(left, tanks[source, r.LICENCE + i])

            for s in range(strips):
                b, g, day, first = state[s], grounds[s], today[strip_cover[s]], strip_first[s]
                if number == g[SETTLE]:
                    settle(b, g, start_n)
                wet_and_rot(b, day, g, sky_n, fresh_rate)
                if sward[s]:
                    sward_morning(b, day, crops, first)
                    lose_water(b, day, g)
                    tell_bearing(b, day, g, bearing, out_bears[s, number, lo : lo + lanes])
                    sward_evening(b, day, crops, first, booked)
                    if sward_dusk(b, day, crops, first, number) > 0 and month >= 0:
                        for i in range(lanes):
                            if b[r.CUT + i] > 0.0:
                                out_days[LAST, first, lo + i] = number
                                if out_days[FIRST, first, lo + i] < 0:
                                    out_days[FIRST, first, lo + i] = number
                elif standing[s] == 0:
                    evaporate(b, day, g)
                    tell_bearing(b, day, g, bearing, out_bears[s, number, lo : lo + lanes])
                else:
                    look = 0
                    for k in range(first, first + strip_count[s]):
                        if stands[k] > 0:
                            if crops[k, tr.RELEASE] > 0.0:
                                winter_day(b, day, crops, k)
                            due, flowering, making = crop_morning(b, day, crops, k, g, float(number))
                            look += due
                            if flowering > 0:
                                if hot[strip_cover[s]] != number:
                                    hot[strip_cover[s]] = number
                                    _copy(day, r.TMAX, tmax, strip_cover[s], number, lo, lanes)
                                look += flowering_day(b, day, crops, k)
                            # Dry matter and nitrogen ask nothing of what the day leaves of the water.
                            if making > 0:
                                thin = crop_make(b, day, crops, k) > 0
                                if thin:
                                    dilute(b, crops, k)
                                crop_feed(b, crops, k, thin)
                    lose_water(b, day, g)
                    tell_bearing(b, day, g, bearing, out_bears[s, number, lo : lo + lanes])
                    if look > 0:
                        went = dusk(
                            b,
                            strip_cover[s],
                            rain,
                            crops,
                            g,
                            number,
                            lo,
                            lanes,
                            free_from[s],
                            ripe_wait[s],
                            stands,
                            out_days,
                            out_sums,
                        )
                        if went > 0:
                            standing[s] -= went
                            next_gate[s] = min(next_gate[s], number + 1)
                if month != following:
                    _month_end(
                        b, s, sward[s], month, following, lo, lanes, out_water, out_nitrogen, out_sward, out_wet_days
                    )
            if n_rounds > 0:
                walk(
                    state, crops, grounds, strip_first, of_round, number, herds, where, days_in, due_to, due_until,
                    lo, lanes, out_where,
                )  # fmt: skip
            if month != following:
                for i in range(lanes):
                    if month >= 0:
                        out_unmet[month, lo + i] = unmet[i]
                    for source in range(n_sources):
                        if month >= 0:
                            out_drawn[source, month, lo + i] = tanks[source, r.DRAWN + i]
                            out_dry[source, month, lo + i] = tanks[source, r.DRY_DAYS + i]
                unmet[:] = 0.0
                for source in range(n_sources):
                    tanks[source, r.DRAWN : r.DRAWN + LANES] = 0.0
                    tanks[source, r.DRY_DAYS : r.DRY_DAYS + LANES] = 0.0

        for s in range(strips):
            close(state[s], sward[s], crops, lo, lanes, out_days, out_sums)
            for i in range(lanes):
                for layer in range(4):
                    out_ends[layer, s, lo + i] = state[s][r.W0 + layer * LANES + i]
                    out_ends[4 + layer, s, lo + i] = state[s][r.N0 + layer * LANES + i]
                out_ends[8, s, lo + i] = state[s][r.FRESH + i]

    return block


grow_block = _kept(_sources())
