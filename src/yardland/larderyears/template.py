"""The question that every year of a chain is asked: all that may ever arrive, at what it is on average.

The template's months are those of the training years, widened a little: a harvest may come a month or two sooner or later
than it ever did in training.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from yardland.ledger.production import Gathered, Grazing, Production, SeedNeed

F64 = npt.NDArray[np.float64]
Key = TypeVar("Key", bound=Hashable)
WIDER_MONTHS = 2
"""Months on either side of a harvest in which the template has a place for it."""
PLACE_KG = 1e-4
"""What stands in a month that is a place and no more."""


def template_production(productions: Sequence[Production]) -> Production:
    """The mean of many years, with a place for what comes sooner or later.

    Args:
        productions: of training years under one plan; herds are taken from the first, which all of them share.
    """
    count = len(productions)
    gathered = means(((item.account, item.good), item.fresh_kg) for one in productions for item in one.gathered)
    grazing = means((item.account, item.dm_kg) for one in productions for item in one.grazing)
    kinds = {item.account: item for one in productions for item in one.grazing}
    seed = means(((item.planting, item.good), item.fresh_kg) for one in productions for item in one.seed)
    return Production(
        gathered=tuple(Gathered(*key, widened(kg / count)) for key, kg in sorted(gathered.items())),
        grazing=tuple(
            Grazing(key, kinds[key].good, kg / count, kinds[key].carry, kinds[key].groups)
            for key, kg in sorted(grazing.items())
        ),
        herds=productions[0].herds,
        seed=tuple(SeedNeed(*key, one_month(kg / count)) for key, kg in sorted(seed.items())),
        notes=productions[0].notes,
        dry_share={
            days: np.mean([one.dry_share[days] for one in productions], axis=0) for days in productions[0].dry_share
        },
        air_c=mean_air_c(productions),
    )


def mean_air_c(productions: Sequence[Production]) -> F64 | None:
    """Mean air of the months; None where a year's is not known."""
    skies = [one.air_c for one in productions if one.air_c is not None]
    return np.asarray(np.mean(skies, axis=0)) if len(skies) == len(productions) else None


def means(items: Iterable[tuple[Key, F64]]) -> dict[Key, F64]:
    """Sums by key."""
    total: dict[Key, F64] = {}
    for key, kg in items:
        total[key] = total.get(key, np.zeros(12)) + np.asarray(kg, dtype=np.float64)
    return total


def widened(kg: F64) -> F64:
    """The amounts, with a trace in the months round them."""
    near = kg > 0.0
    for shift in range(1, WIDER_MONTHS + 1):
        near = near | np.roll(kg > 0.0, shift) | np.roll(kg > 0.0, -shift)
    return np.where(near, np.maximum(kg, PLACE_KG), 0.0)


def one_month(kg: F64) -> F64:
    """All of it in the month in which most of it is sown."""
    found = np.zeros(12)
    found[int(np.argmax(kg))] = kg.sum()
    return found
