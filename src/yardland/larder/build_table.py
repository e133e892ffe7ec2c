"""The table: what people eat, what they need, what a plate holds."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Build, kitchen_account
from yardland.larder.description import MONTHS, Plate
from yardland.ledger.arcs import Arc

FIRST_AIMS = ("energy_kcal", "protein_g")
EMERGENCY_GOOD = "emergency_food"
Ceilings = dict[str, tuple[npt.NDArray[np.float64], str]]


def add_table(build: Build) -> None:
    """Add what is eaten, the needs and the plates."""
    ceilings = smallest_ceilings(build.larder.plates)
    add_meals(build, ceilings)
    add_needs(build)
    add_depth(build)
    add_plates(build, ceilings)


def smallest_ceilings(plates: tuple[Plate, ...]) -> Ceilings:
    """For each good, by the plate that asks least of it: the ceiling (kg in the kitchen, by month), and its key."""
    least: Ceilings = {}
    for plate in plates:
        for good, edible in zip(plate.goods, plate.edible_fraction, strict=True):
            ceiling = np.asarray(plate.ceiling_kg, dtype=np.float64) / max(edible, 1e-9)
            if good not in least or float(ceiling.sum()) < float(least[good][0].sum()):
                least[good] = (ceiling, plate.key)
    return least


def add_meals(build: Build, ceilings: Ceilings) -> None:
    """Two columns for each food and month: up to half of its ceiling freely, the second half at a cost (variety)."""
    for (good, month), _ in sorted(build.kitchen.items()):
        if build.good(good).per_kg is None:
            continue
        ceiling = float(ceilings[good][0][month]) if good in ceilings else float("inf")
        if ceiling <= 0.0:
            continue
        arc = Arc(kitchen_account(good), "people", good, "eat")
        halves = ((0.0, ceiling / 2.0), (build.weights.variety * 2.0 / ceiling, ceiling / 2.0))
        for cost, upper in halves if np.isfinite(ceiling) else ((0.0, ceiling),):
            column = build.model.column(cost, upper)
            build.use(good, month, column)
            build.flow(arc, month, column)
            build.eat[good, month].append(column)


def add_needs(build: Build) -> None:
    """"need.<nutrient>.<month>": eaten / need + short >= 1; energy also <= the most that people eat."""
    larder = build.larder
    rows: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for index, nutrient in enumerate(larder.nutrients):
        if nutrient not in larder.driving:
            continue
        weight = build.weights.shortage if nutrient in FIRST_AIMS else build.weights.nutrient
        upper = larder.energy_high if nutrient == "energy_kcal" else float("inf")
        for month in np.flatnonzero(larder.need[index] > 0.0):
            at = int(month)
            row = build.model.row(f"need.{nutrient}.{build.month(at)}", 1.0, upper)
            short = build.model.column(weight, 1.0)
            build.model.put(row, short, 1.0)
            build.short[nutrient, at] = short
            rows[at].append((index, row))
            if nutrient == "energy_kcal":
                arc = Arc("emergency", "people", EMERGENCY_GOOD, "emergency")
                build.flow(arc, at, short, float(larder.need[index, at]) / larder.emergency_kcal_per_kg)
    put_contents(build, rows)


def put_contents(build: Build, rows: dict[int, list[tuple[int, int]]]) -> None:
    """The contents of every food eaten, as shares of the month's need."""
    need = build.larder.need
    for (good, month), columns in build.eat.items():
        per_kg = build.good(good).per_kg
        if per_kg is None:
            continue
        for index, row in rows[month]:
            content = float(per_kg[index, month]) / float(need[index, month])
            if content > 0.0:
                for column in columns:
                    build.model.put(row, column, content)


def add_depth(build: Build) -> None:
    """"depth.<nutrient>.<month>": the worst month's shortage >= each month's, for energy and for protein."""
    for nutrient in FIRST_AIMS:
        months = [month for month in range(MONTHS) if (nutrient, month) in build.short]
        if not months:
            continue
        worst = build.model.column(build.weights.depth, 1.0)
        for month in months:
            row = build.model.row(f"depth.{nutrient}.{build.month(month)}", lower=0.0)
            build.model.put(row, worst, 1.0)
            build.model.put(row, build.short[nutrient, month], -1.0)


def add_plates(build: Build, ceilings: Ceilings) -> None:
    """"plate.<plate>.<month>": edible kilograms of its foods <= what the household would eat.

    A plate of one good that already bounds the good's own columns needs no row.
    """
    for plate in build.larder.plates:
        if len(plate.goods) > 1 or ceilings[plate.goods[0]][1] != plate.key:
            for month in range(MONTHS):
                add_plate(build, plate, month)


def add_plate(build: Build, plate: Plate, month: int) -> None:
    """One row of a plate."""
    entries: dict[int, float] = defaultdict(float)
    for good, edible in zip(plate.goods, plate.edible_fraction, strict=True):
        for column in build.eat.get((good, month), ()):
            entries[column] += edible
    if entries:
        row = build.model.row(f"plate.{plate.key}.{build.month(month)}", upper=float(plate.ceiling_kg[month]))
        for column, edible in entries.items():
            build.model.put(row, column, edible)
