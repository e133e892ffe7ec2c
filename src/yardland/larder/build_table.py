"""The table: what people eat, what they need, what a plate holds."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from yardland.larder.build import Build, kitchen_account
from yardland.larder.description import MONTHS, Plate
from yardland.ledger.arcs import Arc

FIRST_AIMS = ("energy_kcal", "protein_g")
EMERGENCY_GOOD = "emergency_food"


def add_table(build: Build, nutrients: tuple[str, ...]) -> None:
    """Add what is eaten, the plates, and the needs of the nutrients named."""
    add_meals(build)
    add_needs(build, nutrients)
    add_depth(build)


def add_meals(build: Build) -> None:
    """Columns of what is eaten, under the plates.

    "plate.<plate>.<month>": edible kilograms <= what the household would eat. Of a plate of one food, half is free and
    the second half has a cost (variety).
    """
    plates = {good: plate for plate in build.larder.plates if plate.food for good in plate.goods}
    groups = {good: plate for plate in reversed(build.larder.plates) if not plate.food for good in plate.goods}
    for (good, month), _ in sorted(build.kitchen.items()):
        if build.good(good).per_kg is None:
            continue
        plate = plates.get(good)
        if plate is not None and len(plate.goods) > 1:
            add_meal(build, good, month, 0.0, float("inf"))
        elif plate is not None or good in groups:
            add_halves(build, good, month, plate or groups[good])
        else:
            add_meal(build, good, month, 0.0, float("inf"))
    for plate in build.larder.plates:
        if len(plate.goods) > 1:
            for month in range(MONTHS):
                add_plate(build, plate, month)


def add_meal(build: Build, good: str, month: int, cost: float, most: float) -> None:
    """One column of a food eaten in a month."""
    strange = 0.0 if good in build.own_goods else build.weights.strange
    column = build.model.column(cost + strange, most)
    if most < float("inf"):
        build.plated.append(column)
    build.use(good, month, column)
    build.flow(Arc(kitchen_account(good), "people", good, "eat"), month, column)
    build.eat[good, month].append(column)


def add_halves(build: Build, good: str, month: int, plate: Plate) -> None:
    """A food alone on its plate: up to half of the ceiling freely, the second half at a cost."""
    half = float(plate.ceiling_kg[month]) / max(plate.edible_fraction[plate.goods.index(good)], 1e-9) / 2.0
    if half > 0.0:
        add_meal(build, good, month, 0.0, half)
        add_meal(build, good, month, build.weights.variety / half, half)


def add_plate(build: Build, plate: Plate, month: int) -> None:
    """A plate of several goods: sum <= ceiling, or for one food in several forms: sum - over <= half, over <= half."""
    ceiling = float(plate.ceiling_kg[month])
    columns = [
        (column, edible)
        for good, edible in zip(plate.goods, plate.edible_fraction, strict=True)
        for column in build.eat.get((good, month), ())
    ]
    if not columns:
        return
    name = f"plate.{plate.key}.{build.month(month)}"
    row = build.model.row(name, upper=ceiling / 2.0 if plate.food else ceiling)
    for column, edible in columns:
        build.model.put(row, column, edible)
    if plate.food:
        cost = build.weights.variety * 2.0 / ceiling if ceiling > 0.0 else 0.0
        over = build.model.column(cost, ceiling / 2.0)
        build.plated.append(over)
        build.model.put(row, over, -1.0)


def add_needs(build: Build, nutrients: tuple[str, ...]) -> None:
    """Rows "need.<nutrient>.<month>": eaten / need + short >= 1; energy also <= the most that people eat.

    Below half of the need a shortage of a nutrient costs more, so that it is spread over the year.
    """
    larder = build.larder
    rows: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for nutrient in nutrients:
        index = larder.nutrients.index(nutrient)
        upper = larder.energy_high if nutrient == "energy_kcal" else float("inf")
        for month in np.flatnonzero(larder.need[index] > 0.0):
            at = int(month)
            row = build.model.row(f"need.{nutrient}.{build.month(at)}", 1.0, upper)
            rows[at].append((index, row))
            for column in add_short(build, nutrient, at):
                build.model.put(row, column, 1.0)
    put_contents(build, rows)


def add_short(build: Build, nutrient: str, month: int) -> tuple[int, ...]:
    """Columns of the share of a need that is not met; what lacks of energy is told as emergency food."""
    if nutrient not in FIRST_AIMS:
        weight = build.weights.nutrient
        return build.model.column(weight, 0.5), build.model.column(weight * build.weights.deep, 0.5)
    short = build.model.column(build.weights.shortage, 1.0)
    build.short[nutrient, month] = short
    if nutrient == "energy_kcal":
        need = float(build.larder.need[build.larder.nutrients.index(nutrient), month])
        arc = Arc("emergency", "people", EMERGENCY_GOOD, "emergency")
        build.flow(arc, month, short, need / build.larder.emergency_kcal_per_kg)
    return (short,)


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
    """Rows "depth.<nutrient>.<month>": the worst month's shortage >= each month's, for energy and for protein."""
    for nutrient in FIRST_AIMS:
        months = [month for month in range(MONTHS) if (nutrient, month) in build.short]
        if not months:
            continue
        worst = build.model.column(build.weights.depth, 1.0)
        for month in months:
            row = build.model.row(f"depth.{nutrient}.{build.month(month)}", lower=0.0)
            build.model.put(row, worst, 1.0)
            build.model.put(row, build.short[nutrient, month], -1.0)
