"""What the handbooks do not know: a level for each figure, drawn once and kept over the whole chain."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable

import numpy as np

from yardland.odds.share import F64

BETWEEN = "\x1f"
"""Stands between the parts of a key (no name holds it)."""
KIND = "level"
"""First part of the key, so that no other draw of the run shares it."""


def level_uniform(seed: int, draw: int, figure: str) -> float:
    """The number of a figure in one draw of all levels, over 0 and under 1.

    A hash (BLAKE2b, RFC 7693) of seed, draw and the figure's name, never of an order: another figure, chain or process
    changes no number. Chains that shall share their levels pass the same draw.

    Args:
        seed: of the run.
        draw: number of the draw of levels.
        figure: key of the figure (`crops.potato.typical_yield_mid_t_ha`).
    """
    key = BETWEEN.join((KIND, str(seed), str(draw), figure)).encode()
    raw = int.from_bytes(hashlib.blake2b(key, digest_size=8).digest(), "little")
    return ((raw >> 11) + 0.5) * 2.0**-53


def level_at(low: float, middle: float, high: float, uniform: float) -> float:
    """The figure at this number: two triangles that meet at the middle, half the chance below it and half above.

        low + (middle - low) sqrt(2 u)              u <= 1/2
        high - (high - middle) sqrt(2 (1 - u))      else

    The median is the middle figure, as a handbook's middle is meant, and it is the likeliest; the ends are the ends. A
    triangle (or a PERT beta) with the mode there has its median elsewhere as soon as the ends are uneven, and would
    shift every plan.

    Args:
        low: of the table, any unit.
        middle: not under low.
        high: not under middle.
        uniform: 0-1.

    Raises:
        ValueError: figures out of order or not finite, a number not within 0-1.
    """
    if not (math.isfinite(low) and math.isfinite(high) and low <= middle <= high):
        raise ValueError(f"figure: found low {low}, middle {middle}, high {high}; expected finite ones in order")
    if not 0.0 <= uniform <= 1.0:
        raise ValueError(f"uniform: found {uniform}, expected 0 to 1")
    if uniform <= 0.5:
        return low + (middle - low) * math.sqrt(2.0 * uniform)
    return high - (high - middle) * math.sqrt(2.0 * (1.0 - uniform))


def level_factor(low: float, middle: float, high: float, uniform: float) -> float:
    """What to multiply the middle figure by, 1 at `uniform` 1/2 (see `level_at`).

    Raises:
        ValueError: the middle is not over 0, or as `level_at`.
    """
    if not middle > 0.0:
        raise ValueError(f"figure: found middle {middle}, expected one over 0 to make a factor of")
    return level_at(low, middle, high, uniform) / middle


def level_factors(seed: int, draws: Iterable[int], figure: str, low: float, middle: float, high: float) -> F64:
    """Factor of a figure in each draw of levels, [draw].

    Raises:
        ValueError: as `level_factor`.
    """
    return np.array([level_factor(low, middle, high, level_uniform(seed, draw, figure)) for draw in draws])
