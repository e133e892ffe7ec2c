"""Philox numbers of some counts, compiled: those of years far apart without all that lie between.

Philox 4x64 with ten rounds (Salmon and others 2011, Parallel random numbers: as easy as 1, 2, 3), bit for bit as
NumPy's generator of that name gives them.
"""

# The compiler infers the types: everything is uint64, for a signed number beside one would make floats of both.
# ruff: noqa: ANN001, ANN201, ANN202
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numba as nb
import numpy as np

ROUNDS = 10
MULTIPLY_0, MULTIPLY_1 = np.uint64(0xD2E7470EE14C6C93), np.uint64(0xCA5A826395121157)
BUMP_0, BUMP_1 = np.uint64(0x9E3779B97F4A7C15), np.uint64(0xBB67AE8584CAA73B)
LOW, HALF, ONE, NONE = np.uint64(0xFFFFFFFF), np.uint64(32), np.uint64(1), np.uint64(0)


@nb.njit(cache=True, inline="always")
def _high(a, b):
    """The upper 64 of the 128 bits of a product."""
    a0, a1, b0, b1 = a & LOW, a >> HALF, b & LOW, b >> HALF
    middle = a1 * b0 + ((a0 * b0) >> HALF)
    other = a0 * b1 + (middle & LOW)
    return a1 * b1 + (middle >> HALF) + (other >> HALF)


@nb.njit(cache=True)
def blocks(key, counts, out):
    """Fill `out` [count, 4] with the numbers that NumPy's generator of that key gives first when it is set to each count."""
    for row in range(len(counts)):
        c0, c1, c2, c3 = counts[row] + ONE, NONE, NONE, NONE
        k0, k1 = key[0], key[1]
        for _ in range(ROUNDS):
            h0, l0 = _high(MULTIPLY_0, c0), MULTIPLY_0 * c0
            h1, l1 = _high(MULTIPLY_1, c2), MULTIPLY_1 * c2
            c0, c1, c2, c3 = h1 ^ c1 ^ k0, l1, h0 ^ c3 ^ k1, l0
            k0 += BUMP_0
            k1 += BUMP_1
        out[row, 0], out[row, 1], out[row, 2], out[row, 3] = c0, c1, c2, c3
