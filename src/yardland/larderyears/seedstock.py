"""Seed that is kept back: rows that ask for it at each month's end until it is sown."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Build
from yardland.larder.description import MONTHS

F64 = npt.NDArray[np.float64]
SEED_PRICE = 500.0
"""Cost of a month's end without any of the seed that is kept back: that of a month's hunger, so that seed is not eaten."""
COMES = 0.02
"""Share of a year's harvest from which a month counts as one in which the good comes anew."""
LEAST_KEPT = 0.2
"""Least share of a good that is taken to be left when it is sown."""


def keep_seed(build: Build) -> None:
    """Rows "seedstock.<good>.<month>": kilograms that lie there / seed that is sown before the good comes again + lacking >= 1.

    Seed is kept back from the table (`odds.md`: it is eaten only by the household's own word); the row asks for what is left of it
    after the losses till it is sown. A good that does not keep so long has no such row: its seed is set aside when it arrives.
    """
    lying = seed_stock(build)
    for good, wanted in seed_to_keep(build).items():
        for month in np.flatnonzero(wanted > 0.0):
            there = lying.get((good, int(month)), [])
            if there:
                row = build.model.row(f"seedstock.{good}.{build.month(int(month))}", lower=1.0)
                build.model.put(row, build.model.column(SEED_PRICE, 1.0), 1.0)
                for column, kg in there:
                    build.model.put(row, column, kg / float(wanted[month]))


def seed_stock(build: Build) -> dict[tuple[str, int], list[tuple[int, float]]]:
    """(good, month) -> (column, kg per unit) of what lies there as it is at the month's end."""
    found: dict[tuple[str, int], list[tuple[int, float]]] = defaultdict(list)
    for batch in build.batches:
        if batch.keeping.gives == batch.keeping.good:
            for month, kg in batch.on_shelf():
                found[batch.keeping.good, month].append((batch.column, kg))
    for shelf in build.shelves:
        if shelf.keeping.gives == shelf.keeping.good:
            for month, column in enumerate(shelf.on_shelf):
                found[shelf.keeping.good, month].append((column, 1.0))
    return found


def seed_to_keep(build: Build) -> dict[str, F64]:
    """Good -> kilograms that must lie there at each month's end, [12], for what is sown before it comes again."""
    larder = build.larder
    arriving: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
    for item in larder.production.gathered:
        arriving[item.good] = arriving[item.good] + item.fresh_kg
    keepings = {one.good: one for one in larder.keepings if one.gives == one.good}
    found: dict[str, F64] = {}
    for need in larder.production.seed:
        keeping = keepings.get(need.good)
        comes = arriving[need.good] > COMES * arriving[need.good].sum()
        for sown in np.flatnonzero(need.fresh_kg) if keeping is not None and comes.any() else ():
            wait = next(months for months in range(1, MONTHS + 1) if comes[(sown - months) % MONTHS])
            if keeping is None or wait > keeping.shelf_life_months or (need.good, int(sown)) not in build.kitchen:
                continue
            wanted = found.setdefault(need.good, np.zeros(MONTHS))
            for months in range(1, wait + 1):
                month = int(sown - months) % MONTHS
                wanted[month] += float(need.fresh_kg[sown]) / max(keeping.kept(month, months), LEAST_KEPT)
    return found
