"""Where the compiled kernel keeps things: offsets of rows of lanes in one flat buffer per strip, day and water source.

A row holds one quantity for the `LANES` lanes of a block. With one base address and fixed offsets the compiler can see
that rows never overlap, and lays the loops over lanes out in wide registers.
"""

from __future__ import annotations

LANES = 64
"""Lanes of a block: the state of twenty strips then stays in the second-level cache."""


def _rows(count: int) -> list[int]:
    return [LANES * row for row in range(count)]


# The weather of a day under one cover; INTO is the water that enters the ground.
DAY_ROWS = 11
(TMEAN, TMIN, TMAX, CROWN, PAR, ETO, INTO, PACE, DRY_SPELL, DAYLENGTH, TWILIGHT) = _rows(DAY_ROWS)

# A strip. First the ground: water and mineral nitrogen by layer, fresh matter, water gone from the surface and what still
# softens it; what its cover wants today; share of each layer that roots have reached, the water they can hold; does it bear.
ROWS = 57
(
    W0, W1, W2, W3, N0, N1, N2, N3, FRESH, EVAPORATED, SOAKED,
    KCB, SHADE, KS, R0, R1, R2, R3, TAW, DEPLETION_P, BEARS,
    PHASE, SOWING,
    # Nitrogen of what stands, its critical amount, the part from the air; sums of `io.KernelOutput`.
    CROP_N, CRITICAL_N, FIXED_N, LIGHT, WARM, WET, DM,
    # Sums of the month.
    DRAINED, RAN_OFF, ET, EVAPORATION, IRRIGATION, WET_DAYS,
    N_SOIL, N_MINERAL_IN, N_FRESH_IN, N_UPTAKE, N_LEACHED,
    # A crop.
    HEAT, UNITS, BEFORE, VERNAL, HARDY, SPEED, SET_SHARE, SCORCHED, CAUGHT, THINNED, LIVE, DEAD, LAST_PLAN,
    *_free,
) = _rows(ROWS)  # fmt: skip
# A sward, in the rows where other strips keep a crop.
(
    _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, _,
    _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, _,
    MASS, TAKEN_N, CUT_IN, CUT, GREW, GRAZED, TRAMPLED, HAY, WET_HAY, WITHERED, HERE, OPEN, FLOOR, WANT,
    *_free,
) = _rows(ROWS)  # fmt: skip

# A water source: what is left of the day's rate, the store, the licence; whether it was told dry today; sums of the month.
SOURCE_ROWS = 6
(LEFT, STORE, LICENCE, TOLD, DRAWN, DRY_DAYS) = _rows(SOURCE_ROWS)
