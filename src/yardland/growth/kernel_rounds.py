"""The compiled kernel's herds: where they are, evening by evening, lane by lane. See `twin_rounds` for words.

`state` are the strips' buffers of rows (`kernel_rows`), `c_of[sowing]` the traits, `first[strip]` the strip's sowing; `lo` is
the first lane of the block. `where`, `days_in` [round, lane] and `due`, `until` [strip, lane] are the block's own. Of a sward
on which a herd is, the rows HERE, FLOOR and WANT say so, what it leaves, and what it would eat tomorrow.
"""

# The compiler infers the types.
# ruff: noqa: ANN001, ANN201, ANN202, C901, PLR0912
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numba as nb

from yardland.growth import kernel_rows as r
from yardland.growth import traits as tr
from yardland.growth.kernel_ground import AREA
from yardland.growth.twin_rounds import HALF_A_DAY


@nb.njit(error_model="numpy")
def _has_done(state, c, s, i, day_g_m2):
    """Whether under half a day's grass lies on a sward above what is left to others."""
    left = c[tr.GRAZED_SHARE] * (state[s, r.MASS + i] - state[s, r.FLOOR + i])
    return left < HALF_A_DAY * day_g_m2


@nb.njit(error_model="numpy")
def _choose(state, c_of, first, of_round, w, grown, due, until, before, number, i):
    """The sward with most on it, of those grown enough, not just left and kept for nobody; -1 if there is none."""
    most, best = 0.0, -1
    for q in range(len(of_round)):
        if q == before or of_round[q] != w or state[q, r.OPEN + i] == 0.0 or state[q, r.HERE + i] > 0.0:
            continue
        if due[q, i] >= 0 and number <= until[q, i]:
            continue
        mass, residual = state[q, r.MASS + i], c_of[first[q], tr.RESIDUAL_MASS]
        span = c_of[first[q], tr.ENTRY_MASS] - residual
        if mass >= residual + grown * span and mass > most:
            most, best = mass, q
    return best


@nb.njit(error_model="numpy")
def _follow(state, c_of, grounds, first, w, kg, leaves, due, until, number, i):
    """The sward that waits longest for a herd that follows; -1 if there is none."""
    best = -1
    for q in range(len(first)):
        if due[q, i] != w or number > until[q, i] or state[q, r.OPEN + i] == 0.0:
            continue
        mass, residual = state[q, r.MASS + i], c_of[first[q], tr.RESIDUAL_MASS]
        there = c_of[first[q], tr.GRAZED_SHARE] * (mass - (residual + leaves * (mass - residual)))
        enough = there >= HALF_A_DAY * (1000.0 * kg / grounds[q, AREA])
        if enough and (best < 0 or until[q, i] < until[best, i]):
            best = q
    return best


@nb.njit(error_model="numpy")
def walk(state, c_of, grounds, first, of_round, number, herds, where, days_in, due, until, lo, lanes, out_where):
    """The evening's moves, leaders before those who follow them."""
    kg_d, most_days, grown, ahead, behind, within, leaves = herds
    tomorrow = min(number + 1, kg_d.shape[1] - 1)
    for w in range(len(most_days)):
        for i in range(lanes):
            s = where[w, i]
            before, stays = s, s
            if s >= 0:
                days_in[w, i] += 1
                done = _has_done(state, c_of[first[s]], s, i, 1000.0 * kg_d[w, number] / grounds[s, AREA])
                if done or days_in[w, i] >= most_days[w] or state[s, r.OPEN + i] == 0.0:
                    stays = -1
            to = -1
            if ahead[w] < 0:
                if stays < 0:
                    to = _choose(state, c_of, first, of_round, w, grown[w], due, until, before, number, i)
            else:
                to = _follow(state, c_of, grounds, first, w, kg_d[w, number], leaves[w], due, until, number, i)
                if to >= 0 and stays >= 0 and until[to, i] > number:
                    to = -1
            if to >= 0:
                stays = to
            if s >= 0 and stays != s:
                state[s, r.HERE + i] = 0.0
                if behind[w] >= 0:
                    due[s, i] = behind[w]
                    until[s, i] = number + within[behind[w]]
            if to >= 0:
                residual = c_of[first[to], tr.RESIDUAL_MASS]
                state[to, r.FLOOR + i] = residual + leaves[w] * (state[to, r.MASS + i] - residual)
                state[to, r.HERE + i] = 1.0
                days_in[w, i] = 0
                due[to, i] = -1
            if stays >= 0:
                state[stays, r.WANT + i] = 1000.0 * kg_d[w, tomorrow] / grounds[stays, AREA]
            where[w, i] = stays
            out_where[w, number, lo + i] = stays
