"""The table: what people eat, what they need, what a plate holds."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from yardland.larder.build import Build, kitchen_account
from yardland.larder.description import MONTHS, Diet, Floor, Larder, Plate
from yardland.ledger.arcs import Arc

FIRST_AIMS = ("energy_kcal", "protein_g")
EMERGENCY_GOOD = "emergency_food"


def add_table(build: Build, nutrients: tuple[str, ...]) -> None:
    """Add what is eaten, the plates, what is liked, and the needs of the nutrients named, for each diet."""
    for diet in diets_of(build.larder):
        add_meals(build, diet)
    if build.larder.diets:
        for plate in build.larder.plates:
            if not plate.diet:
                for month in range(MONTHS):
                    add_plate(build, plate, month)
    add_floors(build)
    for diet in diets_of(build.larder):
        add_needs(build, nutrients, diet)
    add_depth(build)


def diets_of(larder: Larder) -> tuple[Diet, ...]:
    """The diets of the household; where everybody eats alike, one without a name that has the whole need."""
    return larder.diets or (Diet("", (), np.ones_like(larder.need)),)


def add_meals(build: Build, diet: Diet) -> None:
    """Columns of what is eaten, under the plates.

    "plate.<plate>.<month>": edible kilograms <= what the household would eat. Of a plate of one food, half is free and
    the second half has a cost (variety).
    """
    served = [plate for plate in build.larder.plates if plate.diet == diet.name]
    plates = {good: plate for plate in served if plate.food for good in plate.goods}
    groups = {good: plate for plate in reversed(served) if not plate.food for good in plate.goods}
    energy = diet.share[build.larder.nutrients.index("energy_kcal")]
    for (good, month), _ in sorted(build.kitchen.items()):
        if build.good(good).per_kg is None or good in diet.barred or energy[month] <= 0.0:
            continue
        plate = plates.get(good)
        if plate is not None and len(plate.goods) > 1:
            add_meal(build, diet, good, month, 0.0, float("inf"))
        elif plate is not None or good in groups:
            add_halves(build, diet, good, month, plate or groups[good])
        else:
            add_meal(build, diet, good, month, 0.0, float("inf"))
    for plate in served:
        if len(plate.goods) > 1:
            for month in range(MONTHS):
                add_plate(build, plate, month, variety(build, diet, month))


def add_meal(build: Build, diet: Diet, good: str, month: int, cost: float, most: float) -> int:
    """One column of a food eaten in a month."""
    strange = 0.0 if good in build.own_goods else build.weights.strange
    column = build.model.column(cost + strange, most)
    if most < float("inf"):
        build.plated.append(column)
    build.use(good, month, column)
    build.flow(Arc(kitchen_account(good), "people", good, "eat"), month, column)
    build.eat[good, month].append(column)
    build.meals[diet.name, good, month].append(column)
    return column


def add_halves(build: Build, diet: Diet, good: str, month: int, plate: Plate) -> None:
    """A food alone on its plate: up to half of the ceiling freely, the second half at a cost."""
    ceiling = float(plate.ceiling_kg[month])
    half = ceiling / max(plate.edible_fraction[plate.goods.index(good)], 1e-9) / 2.0
    if half > 0.0:
        for cost in (0.0, variety(build, diet, month) / half):
            column = add_meal(build, diet, good, month, cost, half)
            build.served_columns.append((plate.key, diet.name, month, column, half / ceiling))


def variety(build: Build, diet: Diet, month: int) -> float:
    """Cost of the whole second half of a plate: a diet's part of the household's, by energy."""
    return build.weights.variety * float(diet.share[build.larder.nutrients.index("energy_kcal"), month])


def add_plate(build: Build, plate: Plate, month: int, second_half: float = 0.0) -> None:
    """A plate of several goods: sum <= ceiling, or for one food in several forms: sum - over <= half, over <= half.

    `second_half` is the cost of all of `over`.
    """
    ceiling = float(plate.ceiling_kg[month])
    columns = edible_columns(build, plate, month)
    if not columns:
        return
    name = f"plate.{plate.key}{of(plate.diet)}.{build.month(month)}"
    row = build.model.row(name, upper=ceiling / 2.0 if plate.food else ceiling)
    build.served_rows.append((plate.key, plate.diet, month, row, 0.5 if plate.food else 1.0))
    for column, edible in columns:
        build.model.put(row, column, edible)
    if plate.food:
        cost = second_half * 2.0 / ceiling if ceiling > 0.0 else 0.0
        over = build.model.column(cost, ceiling / 2.0)
        build.plated.append(over)
        build.served_columns.append((plate.key, plate.diet, month, over, 0.5))
        build.model.put(row, over, -1.0)


def edible_columns(build: Build, part: Plate | Floor, month: int) -> list[tuple[int, float]]:
    """Columns of what is eaten of the goods of a plate or a floor, with the edible kilograms of each."""
    return [
        (column, edible)
        for good, edible in zip(part.goods, part.edible_fraction, strict=True)
        for column in (build.meals.get((part.diet, good, month), ()) if part.diet else build.eat.get((good, month), ()))
    ]


def of(diet: str) -> str:
    """The part of a row's name that says whose it is."""
    return f"@{diet}" if diet else ""


def add_floors(build: Build) -> None:
    """Rows "like.<floor>.<month>": edible kilograms / least + missed >= 1, in months in which there is any of it."""
    for floor in build.larder.floors:
        for month in range(MONTHS):
            least = float(floor.least_kg[month])
            columns = edible_columns(build, floor, month) if least > 0.0 else []
            if columns:
                row = build.model.row(f"like.{floor.key}{of(floor.diet)}.{build.month(month)}", lower=1.0)
                missed = build.model.column(build.weights.like, 1.0)
                build.model.put(row, missed, 1.0)
                build.floor_miss[floor.key, month] = missed
                for column, edible in columns:
                    build.model.put(row, column, edible / least)


def add_needs(build: Build, nutrients: tuple[str, ...], diet: Diet) -> None:
    """Rows "need.<nutrient>.<month>": eaten / need + short >= 1; energy also <= the most that people eat.

    Below half of the need a shortage of a nutrient costs more, so that it is spread over the year. Of several diets each
    has its rows, "need.<nutrient>@<diet>.<month>", in the household's need: eaten / need + short >= the diet's share of it.
    """
    larder = build.larder
    rows: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for nutrient in nutrients:
        index = larder.nutrients.index(nutrient)
        upper = larder.energy_high if nutrient == "energy_kcal" else float("inf")
        for month in np.flatnonzero(larder.need[index] * diet.share[index] > 0.0):
            at = int(month)
            share = float(diet.share[index, at])
            row = build.model.row(f"need.{nutrient}{of(diet.name)}.{build.month(at)}", share, upper * share)
            rows[at].append((index, row))
            build.asked.append((index, diet.name, at, row))
            for column in add_short(build, nutrient, at, diet):
                build.model.put(row, column, 1.0)
    put_contents(build, rows, diet)


def add_short(build: Build, nutrient: str, month: int, diet: Diet) -> tuple[int, ...]:
    """Columns of the share of a need that is not met; what lacks of energy is told as emergency food."""
    index = build.larder.nutrients.index(nutrient)
    share = float(diet.share[index, month])
    if nutrient not in FIRST_AIMS:
        weight, half = build.weights.nutrient, 0.5 * share
        columns = build.model.column(weight, half), build.model.column(weight * build.weights.deep, half)
        build.lacking += [(index, diet.name, month, column, 0.5) for column in columns]
        return columns
    short = build.model.column(build.weights.shortage, share)
    build.lacking.append((index, diet.name, month, short, 1.0))
    build.short[f"{nutrient}{of(diet.name)}", month] = short
    if nutrient == "energy_kcal":
        need = float(build.larder.need[index, month])
        arc = Arc("emergency", "people", EMERGENCY_GOOD, "emergency")
        build.flow(arc, month, short, need / build.larder.emergency_kcal_per_kg)
    return (short,)


def put_contents(build: Build, rows: dict[int, list[tuple[int, int]]], diet: Diet) -> None:
    """The contents of every food that the people of a diet eat, as shares of the household's need in the month."""
    need = build.larder.need
    for (eating, good, month), columns in build.meals.items():
        per_kg = build.good(good).per_kg
        if per_kg is None or eating != diet.name:
            continue
        for index, row in rows[month]:
            content = float(per_kg[index, month]) / float(need[index, month])
            if content > 0.0:
                for column in columns:
                    build.model.put(row, column, content)


def add_depth(build: Build) -> None:
    """Rows "depth.<nutrient>.<month>": the worst shortage >= each month's, and each diet's, for energy and for protein."""
    for nutrient in FIRST_AIMS:
        index = build.larder.nutrients.index(nutrient)
        shorts = [
            (diet, month, build.short[f"{nutrient}{of(diet.name)}", month])
            for diet in diets_of(build.larder)
            for month in range(MONTHS)
            if (f"{nutrient}{of(diet.name)}", month) in build.short
        ]
        if not shorts:
            continue
        worst = build.model.column(build.weights.depth, 1.0)
        build.deepest.append(worst)
        for diet, month, short in shorts:
            row = build.model.row(f"depth.{nutrient}{of(diet.name)}.{build.month(month)}", lower=0.0)
            build.model.put(row, worst, 1.0)
            build.model.put(row, short, -1.0 / float(diet.share[index, month]))
