"""Random numbers of hazards: each keyed by seed, chain, year, hazard and the subject's name, never by index or order.

The generator is NumPy's Philox (Salmon and others 2011, Parallel random numbers: as easy as 1, 2, 3), as for the weather's
streams. Its key is a hash of seed and names, its counter the year, so that a number is the same whoever else asks, in
any order and any process. A plot or a crop more draws numbers of its own and changes no other.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.growth.compiled import compiled
from yardland.growth.io import F64, I64
from yardland.weather.generator.streams import YEAR_OFFSET

BLOCK = 4
"""64-bit numbers that Philox makes of one count."""
BETWEEN = "\x1f"
"""Stands between the parts of a key (no name holds it)."""


@dataclass(frozen=True)
class Numbers:
    """Numbers of one subject in each year, [year]: two independent standard normals, one uniform in 0-1."""

    strike: F64
    loss: F64
    day: F64


def blocks(key: npt.NDArray[np.uint64], years: I64) -> npt.NDArray[np.uint64]:
    """The block of each year under a key, [year, BLOCK]; compiled where it can be, for the years of chains lie far apart."""
    loops = compiled("yardland.growth.hazards.counted")
    if loops is not None:
        raw = np.empty((len(years), BLOCK), dtype=np.uint64)
        loops.blocks(key, (years + YEAR_OFFSET).astype(np.uint64), raw)
        return raw
    first, last = int(years.min()), int(years.max())
    philox = np.random.Philox(key=key, counter=np.array([first + YEAR_OFFSET, 0, 0, 0], np.uint64))
    return np.asarray(philox.random_raw(BLOCK * (last - first + 1)).reshape(-1, BLOCK)[years - first])


def numbers(seed: int, chain: str, hazard: str, subject: str, years: I64) -> Numbers:
    """The numbers of a subject (or of all plots: subject "") under a hazard (or all hazards: "").

    Args:
        seed: of the run.
        chain: name of the chain of years.
        hazard: key of the hazard.
        subject: name of what is struck ("north.potato").
        years: calendar years, any order, [year].
    """
    name = hashlib.blake2b(BETWEEN.join((str(seed), chain, hazard, subject)).encode(), digest_size=16).digest()
    raw = blocks(np.frombuffer(name, dtype="<u8").astype(np.uint64), years)
    uniform = ((raw >> np.uint64(11)).astype(np.float64) + 0.5) * 2.0**-53
    # Box and Muller 1958: two uniforms make two normals
    radius, turn = np.sqrt(-2.0 * np.log(uniform[:, 0])), 2.0 * np.pi * uniform[:, 1]
    return Numbers(radius * np.cos(turn), radius * np.sin(turn), uniform[:, 2])
