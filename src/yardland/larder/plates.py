"""Plates: the most that this household would eat of a food, and of a group of foods, in each month; and likes.

A household that eats alike has one set of plates; people of several diets (larder.diets) have a set each.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.holding.known import name_words
from yardland.larder.description import Floor, Good, Larder, Plate
from yardland.larder.diets import Table, eaten_by, is_out, out_words
from yardland.larder.needs import Eater, age_years, day_need, middle_of_year
from yardland.ledger.months import Month

if TYPE_CHECKING:
    from yardland.holding.model import Holding, Like
    from yardland.reference.tables import Tables

F64 = npt.NDArray[np.float64]
UNIONS = {"grain_flour": ("grain", "flour"), "fat_oil": ("fat", "oil")}
"""Plates of plates.csv that join groups of foods.csv."""
G_PER_KG = 1000.0
DAYS_A_WEEK = 7.0


def plates_for(
    holding: Holding,
    tables: Tables,
    months: tuple[Month, ...],
    shell: Larder,
    goods: dict[str, Good],
    parts: tuple[Table, ...],
) -> tuple[Plate, ...]:
    """Every plate that binds a good in play, for each table of people who eat alike.

    A ceiling in grams a day for an eater of `at_energy_kcal` grows with the energy need of those at the table, and shrinks
    by the share of it that belongs to people who do not eat that food. What somebody likes at most takes the place of
    that person's part; what the whole household likes at most takes the place of the ceiling. Dried and boiled-down forms
    count as the fresh food.
    """
    eaten = {key: good for key, good in goods.items() if good.per_kg is not None}
    energy = shell.need[shell.nutrients.index("energy_kcal")]
    if len(parts) < 2:
        people = tuple(one for part in parts for one in part.eaters)
        found = table_plates(tables, months, eaten, energy, people)
        return with_household(holding, tables, months, eaten, with_likes(tables, months, eaten, found, people))
    plates: list[Plate] = []
    for part, diet in zip(parts, shell.diets, strict=True):
        need = energy * diet.share[shell.nutrients.index("energy_kcal")]
        own = with_likes(tables, months, eaten, table_plates(tables, months, eaten, need, part.eaters), part.eaters)
        plates += [replace(plate, diet=diet.name) for plate in own]
    return (*plates, *shared_plates(holding, tables, months, eaten))


def shared_plates(
    holding: Holding, tables: Tables, months: tuple[Month, ...], eaten: dict[str, Good]
) -> Iterator[Plate]:
    """What the whole household likes at most, over the plates of its several diets."""
    weeks = np.array([month.days for month in months]) / DAYS_A_WEEK
    for name, like in holding.kitchen.likes.items():
        goods = liked(tables, name, eaten)
        if like.most_kg_week is not None and goods:
            weights = tuple(eaten[good].plate_kg for good in goods)
            yield Plate(f"{name}_in_all", goods, weights, like.most_kg_week * weeks, food=False)


def table_plates(
    tables: Tables, months: tuple[Month, ...], eaten: dict[str, Good], energy: F64, people: tuple[Eater, ...]
) -> tuple[Plate, ...]:
    """The plates of people who eat from one pot.

    Args:
        tables: reference tables `plates`, `diets`.
        months: the larder months.
        eaten: goods that are food.
        energy: float64 [12], what these people need in the month, kcal.
        people: who they are.
    """
    shares = eater_shares(tables, months, eaten, people)
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
            found.append(Plate(name, chosen, weights, grams / G_PER_KG * energy * share, food=scope == "food"))
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
    tables: Tables, months: tuple[Month, ...], eaten: dict[str, Good], people: tuple[Eater, ...]
) -> dict[str, float]:
    """For each good, the share of the energy need at a table that belongs to people who eat it."""
    middle = middle_of_year(months)
    needs = []
    for one in people:
        age = age_years(one.person.born, middle)
        kcal = day_need(one.person, tables, age, age).amounts.get("energy_kcal", 0.0)
        weight = float(one.heads.mean()) if one.guest else 1.0
        needs.append((eaten_by(tables, one.person.no, age, eaten), weight * kcal))
    total = sum(kcal for _, kcal in needs)
    return {key: sum(kcal for eats, kcal in needs if key in eats) / total if total > 0.0 else 1.0 for key in eaten}


def liked(tables: Tables, name: str, eaten: dict[str, Good]) -> tuple[str, ...]:
    """Goods that a name in `likes` stands for: a food, a good, a group or a word of the table diets."""
    words = out_words(tables, frozenset({name}))
    return tuple(key for key in sorted(eaten) if is_out(eaten[key], words))


def with_likes(
    tables: Tables,
    months: tuple[Month, ...],
    eaten: dict[str, Good],
    found: tuple[Plate, ...],
    people: tuple[Eater, ...],
) -> tuple[Plate, ...]:
    """The plates, with what single persons like at most in the place of their part of them."""
    if not any(like.most_kg_week is not None for one in people for like in one.person.likes.values()):
        return found
    days = np.array([month.days for month in months], dtype=np.float64)
    middle = middle_of_year(months)
    theirs = [(one, eaten_by(tables, one.person.no, age_years(one.person.born, middle), eaten)) for one in people]
    plates = list(found)
    for one, eats in theirs:
        for name, like in one.person.likes.items():
            goods = tuple(good for good in liked(tables, name, eaten) if like.most_kg_week is not None)
            at = index_of(plates, name, goods, eaten)
            if at is None or like.most_kg_week is None or goods[0] not in eats:
                continue
            total = np.sum([other.need("energy_kcal") for other, eat in theirs if goods[0] in eat], axis=0)
            rest = 1.0 - np.where(total > 0.0, one.need("energy_kcal") / np.where(total > 0.0, total, 1.0), 0.0)
            most = like.most_kg_week * one.heads * days / DAYS_A_WEEK
            plates[at] = replace(plates[at], ceiling_kg=plates[at].ceiling_kg * np.maximum(rest, 0.0) + most)
    return tuple(plates)


def index_of(plates: list[Plate], name: str, goods: tuple[str, ...], eaten: dict[str, Good]) -> int | None:
    """The plate that a liking is about; one without a plate gets one, under the ceilings of the groups it spans."""
    if not goods:
        return None
    for index, plate in enumerate(plates):
        if set(plate.goods) == set(goods):
            return index
    groups = {f"{eaten[good].group}_group" for good in goods}
    ceilings = [plate.ceiling_kg for plate in plates if plate.key in groups]
    if not ceilings:
        return None
    weights = tuple(eaten[good].plate_kg for good in goods)
    one_food = len({eaten[good].food for good in goods}) == 1
    key = "_".join(sorted(name_words(name))) + ("" if one_food else "_group")
    plates.append(Plate(key, goods, weights, np.sum(ceilings, axis=0), food=one_food))
    return len(plates) - 1


def with_household(
    holding: Holding, tables: Tables, months: tuple[Month, ...], eaten: dict[str, Good], found: tuple[Plate, ...]
) -> tuple[Plate, ...]:
    """The plates, with what the whole household likes at most in the place of their ceilings."""
    plates = list(found)
    weeks = np.array([month.days for month in months]) / DAYS_A_WEEK
    for name, like in holding.kitchen.likes.items():
        at = None if like.most_kg_week is None else index_of(plates, name, liked(tables, name, eaten), eaten)
        if at is not None and like.most_kg_week is not None:
            plates[at] = replace(plates[at], ceiling_kg=like.most_kg_week * weeks)
    return tuple(plates)


def floors_for(
    holding: Holding,
    tables: Tables,
    months: tuple[Month, ...],
    shell: Larder,
    goods: dict[str, Good],
    parts: tuple[Table, ...],
) -> tuple[Floor, ...]:
    """What people like to eat at least, added up over each table, and what the household as a whole likes."""
    eaten = {key: good for key, good in goods.items() if good.per_kg is not None}
    weeks = np.array([month.days for month in months]) / DAYS_A_WEEK
    found = list(floors_of(tables, eaten, {name: (like, weeks) for name, like in holding.kitchen.likes.items()}, ""))
    names = [diet.name for diet in shell.diets] or [""] * len(parts)
    for part, diet in zip(parts, names, strict=True):
        for one in part.eaters:
            wanted = {name: (like, weeks * one.heads) for name, like in one.person.likes.items()}
            found += floors_of(tables, eaten, wanted, diet, one.name)
    return tuple(found)


def floors_of(
    tables: Tables, eaten: dict[str, Good], wanted: Mapping[str, tuple[Like, F64]], diet: str, who: str = ""
) -> Iterator[Floor]:
    """Floors from likes with the weeks that they hold in each month."""
    for name, (like, weeks) in wanted.items():
        if like.least_kg_week > 0.0:
            goods = liked(tables, name, eaten)
            key = f"{who}.{name}" if who else name
            yield Floor(key, goods, tuple(eaten[good].plate_kg for good in goods), like.least_kg_week * weeks, diet)
