"""Who grazes which swards, and how much a day: what the kernels take of herds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.io import F64, I64
from yardland.growth.sward_traits import SwardPlot

BOUNDLESS_KG_D = 1e9
"""Appetite of the mouths that are taken where nobody says who grazes: every sward that is ready is eaten down in a day."""
LONG_STAY_D = 10_000


@dataclass(frozen=True)
class Grazers:
    """Animals that go through swards together.

    plots : where they may go; kg_dm_d [730] : grass that they would eat in a day, kg of dry matter; most_days : longest stay
    grown_share : how far a sward must have come from its residual to its full grazing mass before they go there
    follows : name of the herd before them in their round, empty for who leads ; within_days : they go to what it has left in
    these days ; leaves_share : of what they find above the residual, what they leave to those behind them, 0-1
    """

    name: str
    plots: tuple[str, ...]
    kg_dm_d: F64
    most_days: int = LONG_STAY_D
    grown_share: float = 1.0
    follows: str = ""
    within_days: int = 0
    leaves_share: float = 0.0


def boundless(swards: Sequence[SwardPlot]) -> tuple[Grazers, ...]:
    """Mouths enough for every sward, each by itself."""
    appetite = np.full(tr.AXIS, BOUNDLESS_KG_D)
    return tuple(Grazers(sward.id, (sward.plot,), appetite) for sward in swards)


def strip_rounds(swards: Sequence[SwardPlot | None], grazers: Sequence[Grazers]) -> I64:
    """Which herd grazes each strip of the kernels first: the first leader that names its plot, -1 none; None stands for crops."""
    leaders = [(number, one) for number, one in enumerate(grazers) if not one.follows]
    of = [
        next((number for number, one in leaders if sward is not None and sward.plot in one.plots), -1)
        for sward in swards
    ]
    return np.array(of, dtype=np.int64)


def appetites(grazers: Sequence[Grazers]) -> F64:
    """What each herd would eat a day, [round, 730]."""
    return np.array([one.kg_dm_d for one in grazers], dtype=np.float64).reshape(-1, tr.AXIS)


def ahead(grazers: Sequence[Grazers]) -> I64:
    """The herd that each follows, -1 none, [round].

    Raises:
        ValueError: one follows a herd that does not stand before it.
    """
    names = [one.name for one in grazers]
    found = [names.index(one.follows) if one.follows in names else -1 for one in grazers]
    if any(one.follows and not 0 <= place < own for own, (one, place) in enumerate(zip(grazers, found, strict=True))):
        raise ValueError("herds that follow stand behind the one that they follow")
    return np.array(found, dtype=np.int64)
