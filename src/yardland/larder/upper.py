"""Upper levels of intake: who gets more of a nutrient from the plate than the Dietary Reference Intakes call safe.

Only levels that hold for food are looked at; those of niacin, folate, vitamin E and magnesium are about supplements and
fortified food. The level of vitamin A is about the preformed vitamin, which only animal foods have.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder import bearing
from yardland.larder.description import Larder
from yardland.larder.needs import NEED_NAMES, NUTRIENTS, WEANED_FROM_Y, age_years, eaters, life_stage, middle_of_year
from yardland.larder.plan import Plan
from yardland.ledger.months import Month

if TYPE_CHECKING:
    from yardland.holding.model import Holding
    from yardland.larder.needs import Eater
    from yardland.reference import Tables

F64 = npt.NDArray[np.float64]
PREFORMED = "preformed vitamin A only"
OF_ANIMALS = frozenset(["meat", "meat_cooked", "meat_preserved", "offal", "egg", "dairy", "fish", "fat", "other"])
"""Groups of foods whose vitamin A counts as preformed (their little carotene with it)."""
HAIR = 1e-6


@dataclass(frozen=True)
class Over:
    """A person over an upper level.

    months : larder months (0-11) in which the month's mean is above it; level, most : the level and the greatest mean
    intake, a day, in the nutrient's unit; bearing : whether she carries or nurses a child in one of those months
    """

    person: str
    nutrient: str
    months: tuple[int, ...]
    level: float
    most: float
    bearing: bool = False


def over_upper(holding: Holding, tables: Tables, months: tuple[Month, ...], plan: Plan) -> tuple[Over, ...]:
    """Everybody who is above an upper level that holds for food, in the mean of some month.

    What the people of a diet eat is shared out in proportion to their energy need: who eats what is not known closer.

    Args:
        holding: the plan.
        tables: reference tables `needs`, `energy`, `bearing`.
        months: the larder months in which the people have their ages.
        plan: the solved larder.
    """
    days = np.array([month.days for month in months], dtype=np.float64)
    table = [one for one in eaters(holding, tables, months) if not one.guest]
    born, _ = bearing.births(holding.people, tables)
    found = []
    for diet, (people, eaten) in meals_by_diet(plan).items():
        amounts = {rule: intake_of(plan.larder, eaten, preformed=rule) for rule in (False, True)}
        kcal = plan.need["energy_kcal"] * diet_share(plan.larder, diet)
        for one in table:
            if people and one.name not in people:
                continue
            part = one.need("energy_kcal") * days / np.where(kcal > 0.0, kcal, np.inf)
            got = {rule: amount * part / days for rule, amount in amounts.items()}
            carrying = [any(bearing.states(born.get(one.name, ()), month, tables)) for month in months]
            found += person_over(tables, months, one, got, carrying)
    return tuple(found)


def meals_by_diet(plan: Plan) -> dict[str, tuple[tuple[str, ...], dict[str, F64]]]:
    """Diet -> its people and what they eat (good -> kg); one diet "" of everybody where all eat alike."""
    if not plan.diets:
        return {"": ((), plan.eaten_kg)}
    return {diet.name: (diet.people, diet.eaten_kg) for diet in plan.diets}


def diet_share(larder: Larder, name: str) -> F64:
    """A diet's share of the household's energy need, float64 [12]."""
    index = larder.nutrients.index("energy_kcal")
    return next((diet.share[index] for diet in larder.diets if diet.name == name), np.ones(larder.need.shape[1]))


def intake_of(larder: Larder, eaten: dict[str, F64], *, preformed: bool) -> F64:
    """Amounts eaten in each month, float64 [nutrient, month]; with `preformed`, of animal foods alone."""
    total = np.zeros_like(larder.need)
    for key, kg in eaten.items():
        good = larder.goods[key]
        if good.per_kg is not None and (not preformed or good.group in OF_ANIMALS):
            total = total + good.per_kg * kg
    return total


def person_over(
    tables: Tables, months: tuple[Month, ...], one: Eater, intake: dict[bool, F64], carrying: list[bool]
) -> list[Over]:
    """The upper levels that one person's mean intakes (by whether preformed alone, [nutrient, month]) are above."""
    age = age_years(one.person.born, middle_of_year(months))
    if age < WEANED_FROM_Y:
        return []
    group = life_stage(tables, one.person.sex, age)
    found = []
    for index, nutrient in enumerate(NUTRIENTS):
        key = f"{group}.{NEED_NAMES.get(nutrient, nutrient)}"
        row = tables.row("needs", key) if tables.has("needs", key) else None
        level = row["ul"] if row is not None and row.text("ul_covers") in {"", PREFORMED} else None
        if row is None or level is None:
            continue
        got = intake[row.text("ul_covers") == PREFORMED][index]
        above = tuple(int(month) for month in np.flatnonzero(got > level * (1.0 + HAIR)))
        if above:
            bears = any(carrying[month] for month in above)
            found.append(Over(one.name, nutrient, above, level, float(got[list(above)].max()), bears))
    return found
