"""The soil that a year leaves to the next: water and mineral nitrogen by plot, told so that strips of another depth can take it up.

Strips of one plot change from year to year of a rotation: what is told is the mean of a plot's strips, by their area; of
its swards apart.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr
from yardland.growth.io import F64, SOIL_STATE, KernelInput, soil_at_start

I64 = npt.NDArray[np.int64]
WATER, MINERAL, FRESH = slice(0, tr.LAYERS), slice(tr.LAYERS, 2 * tr.LAYERS), SOIL_STATE - 1
Place = tuple[str, bool]
"""A plot, and whether its swards are meant or its strips."""


@dataclass(frozen=True)
class SoilLeft:
    """of[place] [state, lane] : share of field capacity by layer, mineral nitrogen by layer in kg/ha a metre, fresh nitrogen in kg/ha.

    A lane of which nothing is known is not a number.
    """

    of: dict[Place, F64]

    def lanes(self, which: Sequence[int]) -> SoilLeft:
        """Some of the lanes, in that order; -1 for one of which nothing is known."""
        at = np.array(which, dtype=np.int64)
        return SoilLeft({place: np.where(at >= 0, state[:, at], np.nan) for place, state in self.of.items()})

    def filled(self, usual: SoilLeft) -> SoilLeft:
        """The same with the usual soil, of one lane, where nothing is known."""
        return SoilLeft(
            {
                place: np.where(np.isnan(state), usual.of[place], state) if place in usual.of else state
                for place, state in self.of.items()
            }
        )


def mean_soil(parts: Sequence[SoilLeft]) -> SoilLeft:
    """The mean over all lanes of some parts, as one lane."""
    of: dict[Place, list[F64]] = defaultdict(list)
    for one in parts:
        for place, state in one.of.items():
            of[place].append(state)
    return SoilLeft({place: np.concatenate(states, axis=1).mean(axis=1, keepdims=True) for place, states in of.items()})


def soil_left(given: KernelInput, ends: F64, places: Sequence[Place]) -> SoilLeft:
    """What the strips' soils are after the last day, by place.

    Args:
        given: to the kernel.
        ends: [state, strip, lane], as the kernel says.
        places: of each strip.
    """
    told = ends.copy()
    told[WATER] /= given.full_mm[:, :, None]
    told[MINERAL] /= given.thick_m[:, :, None]
    strips: dict[Place, list[int]] = defaultdict(list)
    for strip, place in enumerate(places):
        strips[place].append(strip)
    found = {}
    for place, mine in strips.items():
        whole = float(given.area_m2[mine].sum())
        state = np.zeros((SOIL_STATE, given.lanes))
        for strip in mine:  # one by one: a lane's sum is then the same to the last bit whatever lanes are beside it
            state += (given.area_m2[strip] / whole if whole > 0.0 else 1.0 / len(mine)) * told[:, strip]
        found[place] = state
    return SoilLeft(found)


def begin_with(given: KernelInput, left: SoilLeft, places: Sequence[Place]) -> F64:
    """The soils of the strips as the first day opens, [state, strip, lane]: what was left, the usual where nothing is known."""
    begin = soil_at_start(given).copy()
    for strip, place in enumerate(places):
        if place not in left.of:
            continue
        state = left.of[place].copy()
        state[WATER] *= given.full_mm[:, strip, None]
        state[MINERAL] *= given.thick_m[:, strip, None]
        begin[:, strip] = np.where(np.isnan(state), begin[:, strip], state)
    return begin
