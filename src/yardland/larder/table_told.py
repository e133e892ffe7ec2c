"""What the program's answer says of single diets, of likes, and of upper levels of intake."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Build
from yardland.larder.build_table import edible_columns
from yardland.larder.description import MONTHS, Diet

F64 = npt.NDArray[np.float64]
MISSED = 1e-4
"""Share of a floor under which a miss is the solver's rounding."""


@dataclass(frozen=True)
class DietYear:
    """What people who eat alike had, beside others who eat otherwise.

    name, people : of the diet; eaten_kg : good -> [12]; coverage : nutrient -> [12], eaten / needed by these people;
    energy_share : [12], their share of the household's energy need
    """

    name: str
    people: tuple[str, ...]
    eaten_kg: dict[str, F64]
    coverage: dict[str, F64]
    energy_share: F64


def diet_years(build: Build, x: F64) -> tuple[DietYear, ...]:
    """Each diet's meals and coverage; none where everybody eats alike.

    Args:
        build: the program.
        x: its answer, by column.
    """
    return tuple(diet_year(build, x, diet) for diet in build.larder.diets)


def diet_year(build: Build, x: F64, diet: Diet) -> DietYear:
    """One diet's meals and coverage."""
    larder = build.larder
    eaten: dict[str, F64] = {}
    got = np.zeros_like(larder.need)
    for (name, good, month), columns in build.meals.items():
        kg = float(x[columns].sum())
        if name == diet.name and kg > 0.0:
            eaten.setdefault(good, np.zeros(MONTHS))[month] += kg
    for good, months in eaten.items():
        per_kg = larder.goods[good].per_kg
        if per_kg is not None:
            got = got + per_kg * months
    need = larder.need * diet.share
    cover = np.where(need > 0.0, got / np.where(need > 0.0, need, 1.0), 1.0)
    energy = diet.share[larder.nutrients.index("energy_kcal")]
    return DietYear(diet.name, diet.people, eaten, dict(zip(larder.nutrients, cover, strict=True)), energy)


def likes_missed(build: Build, x: F64) -> dict[str, F64]:
    """Floor ("ann.potato", "apple") -> share of what is liked at least that is missed, [12]; what is met is left out."""
    found = {}
    for floor in build.larder.floors:
        eaten = np.array(
            [
                sum(float(x[column]) * edible for column, edible in edible_columns(build, floor, month))
                for month in range(MONTHS)
            ]
        )
        asked = np.where(floor.least_kg > 0.0, floor.least_kg, 1.0)
        missed = np.where(floor.least_kg > 0.0, np.maximum(1.0 - eaten / asked, 0.0), 0.0)
        if missed.max() > MISSED:
            found[floor.key] = missed
    return found
