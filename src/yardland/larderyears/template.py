"""The question that every year of a chain is asked: all that may ever arrive, at what it is on average.

The template's months are those of the training years, widened a little: a harvest may come a month or two sooner or later
than it ever did in training.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from yardland.ledger.production import Gathered, Grazing, HerdNeed, Production, SeedNeed

F64 = npt.NDArray[np.float64]
Key = TypeVar("Key", bound=Hashable)
WIDER_MONTHS = 2
"""Months on either side of a harvest in which the template has a place for it."""
LEAST_SCALE = 0.05
"""Share of the greatest month's need that a month's stands for at the least (own choice)."""
PLACE_KG = 1e-4
"""What stands in a month that is a place and no more."""


def template_production(productions: Sequence[Production]) -> Production:
    """The mean of many years, with a place for what comes sooner or later.

    Args:
        productions: of training years under one plan; the herds of all of them have the same classes.
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
        herds=mean_herds([one.herds for one in productions]),
        seed=tuple(SeedNeed(*key, one_month(kg / count)) for key, kg in sorted(seed.items())),
        notes=productions[0].notes,
        dry_share={
            days: np.mean([one.dry_share[days] for one in productions], axis=0) for days in productions[0].dry_share
        },
        air_c=mean_air_c(productions),
    )


def mean_herds(years: Sequence[tuple[HerdNeed, ...]]) -> tuple[HerdNeed, ...]:
    """What each class needs and gives in the mean of the years.

    What is needed stands as the scale of the rows of feed: in a month in which few years have any it is no less than a
    share of the greatest month's, so that no row becomes a thousand times steeper than the others.
    """
    return tuple(mean_herd(one) for one in zip(*years, strict=True))


def mean_herd(years: Sequence[HerdNeed]) -> HerdNeed:
    """One class."""

    def mean(name: str) -> F64:
        return np.asarray(np.mean([getattr(one, name) for one in years], axis=0))

    goods = dict.fromkeys(good for one in years for good in one.products)
    nothing = np.zeros(12)
    return replace(
        years[0],
        heads=scaled(mean("heads")),
        energy_mj=scaled(mean("energy_mj")),
        protein_kg=scaled(mean("protein_kg")),
        dry_matter_max_kg=scaled(mean("dry_matter_max_kg")),
        manure_kg=mean("manure_kg"),
        manure_n_kg=mean("manure_n_kg"),
        water_m3=mean("water_m3"),
        products={
            good: np.asarray(np.mean([one.products.get(good, nothing) for one in years], axis=0)) for good in goods
        },
    )


def scaled(amount: F64) -> F64:
    """The amounts, those over nothing no less than a share of the greatest."""
    return np.where(amount > 0.0, np.maximum(amount, LEAST_SCALE * amount.max()), 0.0)


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
