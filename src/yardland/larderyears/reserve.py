"""The reserve: rows that ask for days of food on the shelves at each month's end.

Of a food that is bought no more counts than the plates would let people eat in those days: a sack of sugar is the cheapest
energy there is, and no reserve.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Build
from yardland.larder.description import Plate

if TYPE_CHECKING:
    from yardland.larderyears.frame import Sparse

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
ENERGY = 0
PRICE = 20.0
"""Cost of a month without any of the reserve: under that of hunger (500 a month's need), over that of what is bought."""


def keep_reserve(build: Build, stored: Sparse, days: float) -> I64:
    """Rows "reserve.<month>": edible energy on the shelves / (days x a day's need) + lacking >= 1; none without days.

    Energy of a bought food counts by a column of its own, "reserve.<food>.<month>": counted <= on the shelves, and <= the
    share of the month's need that its plate gives.

    Args:
        build: the block.
        stored: (month, column, kcal per unit) of all that lies there.
        days: of food.

    Returns:
        Row, and column of what lacks, [month, 2].
    """
    if days <= 0.0:
        return np.zeros((0, 2), dtype=np.int64)
    lengths = np.array([month.days for month in build.larder.months], dtype=np.float64)
    wanted = days * build.larder.need[ENERGY] / lengths
    foods, most = bought_foods(build), plate_shares(build)
    found = []
    for month in np.flatnonzero(wanted > 0.0).tolist():
        row = build.model.row(f"reserve.{build.month(month)}", lower=1.0)
        lacking = build.model.column(PRICE, 1.0)
        build.model.put(row, lacking, 1.0)
        of_food: dict[str, list[tuple[int, float]]] = defaultdict(list)
        for column, kcal in zip(stored.column[stored.row == month], stored.value[stored.row == month], strict=True):
            share, food = float(kcal) / float(wanted[month]), foods.get(int(column))
            if food is None or most[food][month] >= 1.0:
                build.model.put(row, int(column), share)
            else:
                of_food[food].append((int(column), share))
        for food, shares in of_food.items():
            counted = build.model.column(0.0, float(most[food][month]))
            build.model.put(row, counted, 1.0)
            there = build.model.row(f"reserve.{food}.{build.month(month)}", lower=0.0)
            build.model.put(there, counted, -1.0)
            for column, share in shares:
                build.model.put(there, column, share)
        found.append((row, lacking))
    return np.array(found, dtype=np.int64).reshape(-1, 2)


def food_plates(build: Build) -> dict[str, list[Plate]]:
    """Good -> the plates of its food, one for each diet."""
    found: dict[str, list[Plate]] = defaultdict(list)
    for plate in build.larder.plates:
        for good in plate.goods if plate.food else ():
            found[good].append(plate)
    return found


def bought_foods(build: Build) -> dict[int, str]:
    """Column of what lies there -> its food, of foods that are bought."""
    bought = {arc.good for arc, _ in build.flows if arc.kind == "buy"}
    food = {good: plates[0].key for good, plates in food_plates(build).items()}
    of_bought = {food[good] for good in bought if good in food}
    lying = [(batch.column, batch.keeping.gives) for batch in build.batches]
    lying += [(column, shelf.keeping.gives) for shelf in build.shelves for column in shelf.on_shelf]
    return {column: food[good] for column, good in lying if food.get(good) in of_bought}


def plate_shares(build: Build) -> dict[str, F64]:
    """Food -> the most of each month's energy need that its plates give, by its richest form, [12]."""
    need = np.where(build.larder.need[ENERGY] > 0.0, build.larder.need[ENERGY], np.inf)
    found: dict[tuple[str, str], F64] = {}
    for plates in food_plates(build).values():
        for plate in plates:
            rich = np.zeros(len(need))
            for good, part in zip(plate.goods, plate.edible_fraction, strict=True):
                per_kg = build.good(good).per_kg
                if per_kg is not None and part > 0.0:
                    rich = np.maximum(rich, np.asarray(per_kg[ENERGY], dtype=np.float64) / part)
            found[plate.key, plate.diet] = plate.ceiling_kg * rich / need
    shares: dict[str, F64] = defaultdict(lambda: np.zeros(len(need)))
    for (key, _), share in found.items():
        shares[key] = shares[key] + share
    return dict(shares)
