"""Toy chains whose odds are known: good and short years that hang on the year before."""

from __future__ import annotations

import numpy as np

YEARS = 10


def toy_short(
    rng: np.random.Generator, repeats: int, chains: int, reliability: float | np.ndarray, tie: float, years: int = YEARS
) -> np.ndarray:
    """Short years, bool [repeat, chain, year], of one reliability or one a chain: each is as the year before with chance `tie`, else drawn anew."""
    short = np.empty((repeats, chains, years), dtype=bool)
    now = rng.random((repeats, chains)) >= reliability
    for year in range(years):
        short[:, :, year] = now
        anew = rng.random((repeats, chains)) >= reliability
        now = np.where(rng.random((repeats, chains)) < tie, now, anew)
    return short


def toy_pairs(
    rng: np.random.Generator, repeats: int, chains: int, first: float, second: float, tie: float, own: float
) -> tuple[np.ndarray, np.ndarray]:
    """Short years of two plans of these reliabilities on one luck a year; a share `own` of the second's luck is its own."""
    shape = (repeats, chains, YEARS)
    luck, other = _luck(rng, shape, tie), _luck(rng, shape, tie)
    mixed = np.where(_luck(rng, shape, tie) < own, other, luck)
    return luck >= first, mixed >= second


def _luck(rng: np.random.Generator, shape: tuple[int, int, int], tie: float) -> np.ndarray:
    luck = rng.random(shape)
    for year in range(1, shape[2]):
        luck[:, :, year] = np.where(rng.random(shape[:2]) < tie, luck[:, :, year - 1], luck[:, :, year])
    return luck
