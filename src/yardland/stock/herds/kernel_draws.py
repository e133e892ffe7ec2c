"""The draws of `draws`, compiled: keys, numbers of keys, binomials by inversion, keys of cohorts; and how all is compiled."""

# The compiler infers the types; the names of the arguments are said in `kernel`.
# ruff: noqa: ANN001, ANN201, D103
# mypy: disable-error-code="no-untyped-def, no-untyped-call, misc, call-overload"

from __future__ import annotations

import numba as nb
import numpy as np

from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import CHUNK, FIRST, GOLDEN, HALF, LEAST_NUMBER, SECOND

U_GOLDEN, U_FIRST, U_SECOND = np.uint64(GOLDEN), np.uint64(FIRST), np.uint64(SECOND)
U_27, U_30, U_31, U_11, ONE = np.uint64(27), np.uint64(30), np.uint64(31), np.uint64(11), np.uint64(1)
U_8, U_32 = np.uint64(8), np.uint64(32)
jit = nb.njit(error_model="numpy", no_cpython_wrapper=True, no_cfunc_wrapper=True, _nrt=False)
"""Functions that only compiled ones call: without the doors to Python, which cost more to compile than they do."""
woven = nb.njit(error_model="numpy", no_cpython_wrapper=True, no_cfunc_wrapper=True, _nrt=False, inline="always")
"""Functions of every week, woven into their caller: handing over a plan's arrays costs more than their work."""
entry = nb.njit(cache=True, error_model="numpy", _nrt=False)


@woven
def mix(key):
    value = key + U_GOLDEN
    value = (value ^ (value >> U_30)) * U_FIRST
    value = (value ^ (value >> U_27)) * U_SECOND
    return value ^ (value >> U_31)


@woven
def uniform(key):
    return np.float64(key >> U_11) * 2.0**-53


@woven
def event_key(week_key, subject, kind):
    return mix(mix(week_key ^ subject) ^ kind)


@jit
def power(base, times):
    made = 1.0
    while times > 0:
        if times & 1:
            made *= base
        base *= base
        times >>= 1
    return made


@jit
def fewest(number, heads, chance):
    stays = 1.0 - chance
    here = power(stays, heads)
    below, found, number = here, 0, max(number, LEAST_NUMBER)
    while found < heads and 1.0 - below > number:
        here *= (heads - found) / (found + 1.0) * (chance / stays)
        below += here
        found += 1
    return found


@jit
def binomial(key, heads, chance):
    total, chunk, own = 0, 0, key
    while heads > 0:
        some = min(heads, CHUNK)
        number = uniform(own)
        if number < some * chance:
            if chance >= 1.0:
                total += some
            elif chance > 0.5:
                total += some - fewest(1.0 - number, some, 1.0 - chance)
            else:
                total += fewest(number, some, chance)
        heads -= some
        chunk += 1
        if heads > 0:
            own = mix(key + np.uint64(chunk))
    return total


@jit
def cohort_key(row_hash, c):
    traits = c[at.SEX] + 2 * c[at.STAGE] + 8 * c[at.OWN] + 16 * c[at.BARREN]
    born = (np.uint64(c[at.BIRTH] & HALF) << U_8) + np.uint64(traits)
    terms = (np.uint64(c[at.DUE] & HALF) << U_32) + np.uint64(c[at.SINCE] & HALF)
    return mix(mix(row_hash[c[at.ROW]] ^ born) ^ terms)
