"""What goes on from day to day in ground and snow, compiled: loops over days outside and lanes inside, plain arithmetic.

The same operations in the same order as the NumPy loops beside which each of them stands, and so the same bits.
"""

# The compiler infers the types; arrays are [day, lane], figures are numbers.
# ruff: noqa: ANN001, ANN201
# mypy: disable-error-code="no-untyped-def"

from __future__ import annotations

import numba as nb


@nb.njit(cache=True, fastmath=False, error_model="numpy")
def snow_days(fell, can_melt, melted, lies):
    """Fill what melts and what lies (`snow.snow`)."""
    for lane in range(fell.shape[1]):
        lies[0, lane] = 0.0
    for day in range(fell.shape[0]):
        for lane in range(fell.shape[1]):
            before = lies[day - 1, lane] if day else 0.0
            there = before + fell[day, lane]
            gone = min(there, can_melt[day, lane])
            melted[day, lane] = gone
            lies[day, lane] = there - gone


@nb.njit(cache=True, fastmath=False, error_model="numpy")
def soil_days(tmean, share, now, out):
    """Fill the soil's temperature from what it starts at, [lane] (`snow.soil_c`)."""
    for day in range(tmean.shape[0]):
        for lane in range(tmean.shape[1]):
            before = out[day - 1, lane] if day else now[lane]
            out[day, lane] = before + share[day, lane] * (tmean[day, lane] - before)


@nb.njit(cache=True, fastmath=False, error_model="numpy")
def layer_days(taw, efficiency, watered, raw, rain, etc, at_hand, depletion, ks, given):
    """Fill stress and water given from a depletion of nothing, [lane] (`one_layer.one_layer`)."""
    for day in range(rain.shape[0]):
        for lane in range(rain.shape[1]):
            dry, least = depletion[lane], raw[day, lane]
            if watered:
                net = min(dry, at_hand[day, lane]) if dry >= least else 0.0
                given[day, lane] = net / efficiency
                dry = dry - net
            stress = min(max((taw - dry) / (taw - least), 0.0), 1.0)
            left = 1.0 if dry <= least else stress
            ks[day, lane] = left
            depletion[lane] = min(max(dry - rain[day, lane] + left * etc[day, lane], 0.0), taw)
