"""Plates: the most that this household would eat of a food, and of a group of foods, in each month."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder.description import Good, Larder, Plate
from yardland.larder.needs import ADULT_FROM_Y, age_years, day_need, middle_of_year
from yardland.ledger.months import Month

if TYPE_CHECKING:
    from yardland.holding.model import Holding, Person
    from yardland.reference.tables import Tables

F64 = npt.NDArray[np.float64]
UNIONS = {"grain_flour": ("grain", "flour"), "fat_oil": ("fat", "oil")}
"""Plates of plates.csv that join groups of foods.csv."""
HONEY_FROM_Y = 1.0
"""Honey is never counted for an infant under twelve months (infant botulism)."""
ALCOHOLIC = frozenset({"wine", "cider", "beer"})


def plates_for(
    holding: Holding, tables: Tables, months: tuple[Month, ...], shell: Larder, goods: dict[str, Good]
) -> tuple[Plate, ...]:
    """Every plate that binds a good in play.

    A ceiling in grams a day for an eater of `at_energy_kcal` grows with the household's energy, and shrinks by the share
    of it that belongs to people who do not eat that food. Dried and boiled-down forms count as the fresh food.
    """
    eaten = {key: good for key, good in goods.items() if good.per_kg is not None}
    shares = eater_shares(holding, tables, months, eaten)
    energy = shell.need[shell.nutrients.index("energy_kcal")]
    found = []
    for key in tables.keys("plates"):
        row = tables.row("plates", key)
        member = row.text("member")
        scope = row.text("scope")
        chosen = tuple(good for good in sorted(eaten) if on_plate(eaten[good], scope, member))
        if chosen:
            grams = row.need("grams_day") / row.need("at_energy_kcal")
            share = shares[chosen[0]] if scope == "food" else 1.0
            weights = tuple(eaten[good].plate_kg for good in chosen)
            name = member if scope == "food" else f"{member}_group"
            found.append(Plate(name, chosen, weights, grams / 1000.0 * energy * share, food=scope == "food"))
    return tuple(found) + refused(eaten, shares, tuple(found))


def on_plate(good: Good, scope: str, member: str) -> bool:
    """Whether a good belongs to a plate of a food, or of a group or union of groups."""
    return good.food == member if scope == "food" else good.group in UNIONS.get(member, (member,))


def refused(eaten: dict[str, Good], shares: dict[str, float], found: tuple[Plate, ...]) -> tuple[Plate, ...]:
    """A plate of their own for goods that somebody does not eat and that have none: their group's, times the share."""
    alone = {good for plate in found if not plate.key.endswith("_group") for good in plate.goods}
    groups = {plate.key: plate for plate in found if plate.key.endswith("_group")}
    extra = []
    for good, share in shares.items():
        plate = groups.get(f"{eaten[good].group}_group")
        if share < 1.0 and good not in alone and plate is not None:
            extra.append(Plate(good, (good,), (eaten[good].plate_kg,), plate.ceiling_kg * share))
    return tuple(extra)


def eater_shares(
    holding: Holding, tables: Tables, months: tuple[Month, ...], eaten: dict[str, Good]
) -> dict[str, float]:
    """For each good, the share of the household's energy need that belongs to people who eat it."""
    middle = middle_of_year(months)
    needs = []
    for person in holding.people.values():
        age = age_years(person.born, middle)
        needs.append((person, age, day_need(person, tables, age, age).amounts.get("energy_kcal", 0.0)))
    total = sum(kcal for _, _, kcal in needs)
    shares = {}
    for key, good in eaten.items():
        eating = sum(kcal for person, age, kcal in needs if eats(person, age, good))
        shares[key] = eating / total if total > 0.0 else 1.0
    return shares


def eats(person: Person, age_y: float, good: Good) -> bool:
    """Whether a person may have a food: by age, and by what the plan says that they do not eat."""
    if (good.food == "honey" and age_y < HONEY_FROM_Y) or (good.food in ALCOHOLIC and age_y < ADULT_FROM_Y):
        return False
    names = [words(name) for name in (good.key.partition(".")[0], good.food, good.group, good.name)]
    return not any(refusal in names for refusal in map(words, person.no))


def words(name: str) -> frozenset[str]:
    """The words of a name in no order, without plural s: "goat milk" is "milk_goat"."""
    return frozenset(
        word.rstrip("s") for word in name.lower().replace("_", " ").replace("'", " ").replace(",", " ").split()
    )
