"""Days of food that plates can take: how long shelves alone feed the people, who eat no more of anything than they would.

Energy alone says too much: of 300 kg of swedes a household eats a plate a day. With f(D) the most energy that the plates of D
days take from the shelves, the days are the greatest D with f(D) = need x D. f is concave and begins at 0, so that there are no
such days but 0 where even full plates of all that lies there are less than a day's need.

Plates lie within one another (a food, its group, grain with flour), and a kilogram counts the same on each. So the most energy
is what is served by richness, the richest first, as far as every plate over it has room: exact for nested limits.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS, Larder, Plate

F64 = npt.NDArray[np.float64]
ENERGY = 0
CLOSE = 1e-9
"""Relative distance of what is eaten from the need at which days are found."""
STEPS = 200
"""Steps to the days at most; each lands on another piece of f, or ends."""
NO_LIMIT = float("inf")


@dataclass(frozen=True)
class Limit:
    """The most plate kilograms of some goods in each month, all diets together; of two limits one holds the other, or they are apart."""

    key: str
    goods: frozenset[str]
    most_kg: F64


@dataclass(frozen=True)
class Fare:
    """Goods of a larder that people can eat, and the limits over them.

    goods : names ; kcal_per_kg [good, 12] ; plate_kg [good] : that a kilogram counts for on a plate
    limits : nested ; over [good] : places of the limits over each good ; order : of goods, the richest on a plate first
    """

    goods: tuple[str, ...]
    kcal_per_kg: F64
    plate_kg: F64
    limits: tuple[Limit, ...]
    over: tuple[tuple[int, ...], ...]
    order: tuple[int, ...]


@dataclass(frozen=True)
class Served:
    """The most that plates take: kcal [cell], its change by the day [cell], and kilograms of each good [cell, good]."""

    kcal: F64
    kcal_per_day: F64
    kg: F64


def fare_of(larder: Larder, goods: Iterable[str]) -> Fare:
    """The fare of some goods.

    Args:
        larder: with its goods, plates and diets.
        goods: that may lie on the shelves; those that nobody eats are left out.
    """
    per_kg = {good: larder.goods[good].per_kg for good in sorted(set(goods)) if good in larder.goods}
    rich = {good: np.asarray(each[ENERGY], dtype=np.float64) for good, each in per_kg.items() if each is not None}
    eaten = tuple(good for good, kcal in rich.items() if kcal.any())
    limits = nested(summed(larder, frozenset(eaten)))
    kcal = np.array([rich[good] for good in eaten]).reshape(len(eaten), MONTHS)
    weight = np.array([larder.goods[good].plate_kg for good in eaten])
    on_plate = np.divide(kcal.mean(axis=1), weight, out=np.full(len(eaten), NO_LIMIT), where=weight > 0.0)
    return Fare(
        goods=eaten,
        kcal_per_kg=kcal,
        plate_kg=weight,
        limits=limits,
        over=tuple(tuple(at for at, limit in enumerate(limits) if good in limit.goods) for good in eaten),
        order=tuple(int(at) for at in np.argsort(-on_plate, kind="stable")),
    )


def summed(larder: Larder, goods: frozenset[str]) -> list[Limit]:
    """The plates of all diets together, over some goods; a diet without a food's own plate has its group's, or no limit."""
    by_place = {(plate.key, plate.diet): plate for plate in larder.plates}
    names = [diet.name for diet in larder.diets] or [""]
    found: dict[str, Limit] = {}
    for plate in larder.plates:
        members = goods.intersection(plate.goods)
        if plate.key in found or not members:
            continue
        own = [""] if not plate.diet else names
        most = [of_diet(by_place, larder, plate, name) for name in own]
        if all(np.isfinite(one).all() for one in most):
            found[plate.key] = Limit(plate.key, members, np.asarray(np.sum(most, axis=0)))
    return list(found.values())


def of_diet(by_place: dict[tuple[str, str], Plate], larder: Larder, plate: Plate, diet: str) -> F64:
    """What a diet eats of a plate at most: its own plate's, its group's, or no limit, kilograms [12]."""
    own = by_place.get((plate.key, diet)) or by_place.get((f"{larder.goods[plate.goods[0]].group}_group", diet))
    return np.full(MONTHS, NO_LIMIT) if own is None else own.ceiling_kg


def nested(limits: Sequence[Limit]) -> tuple[Limit, ...]:
    """The limits, the widest first, so that each holds another or is apart from it.

    One that crosses another (all that is of the pig, across meat and fat) is split in two, each with the whole of it: so the
    days may be a little too many, and never too few.
    """
    found: list[Limit] = []
    for limit in sorted(limits, key=lambda one: (-len(one.goods), one.key)):
        pieces = [limit]
        for other in found:
            pieces = [part for piece in pieces for part in split(piece, other)]
        found += pieces
    return tuple(sorted(found, key=lambda one: (-len(one.goods), one.key)))


def split(limit: Limit, other: Limit) -> tuple[Limit, ...]:
    """A limit that does not cross another."""
    both = limit.goods & other.goods
    if not both or both in {limit.goods, other.goods}:
        return (limit,)
    return replace(limit, goods=both), replace(limit, goods=limit.goods - both)


def served(fare: Fare, kg: F64, kcal_per_kg: F64, most_kg_day: F64, days: F64) -> Served:
    """The most energy that the plates of some days take.

    Args:
        fare: goods and limits.
        kg: on the shelves [cell, good].
        kcal_per_kg: [cell, good].
        most_kg_day: of each limit in a day [cell, limit].
        days: [cell].
    """
    room, more = most_kg_day * days[:, None], most_kg_day.copy()
    kcal, slope, eaten = np.zeros(len(kg)), np.zeros(len(kg)), np.zeros_like(kg)
    for good in fare.order:
        weight = fare.plate_kg[good]
        if weight <= 0.0 or not fare.over[good]:
            eaten[:, good] = kg[:, good]
            kcal += kg[:, good] * kcal_per_kg[:, good]
            continue
        take, change = kg[:, good] * weight, np.zeros(len(kg))
        for at in fare.over[good]:
            less = room[:, at] < take
            take, change = np.where(less, room[:, at], take), np.where(less, more[:, at], change)
        take = np.maximum(take, 0.0)
        for at in fare.over[good]:
            room[:, at] -= take
            more[:, at] -= change
        eaten[:, good] = take / weight
        kcal += take / weight * kcal_per_kg[:, good]
        slope += change / weight * kcal_per_kg[:, good]
    return Served(kcal, slope, eaten)


def beyond_kcal(fare: Fare, kg: F64, kcal_per_kg: F64, most_kg_day: F64, days: F64) -> F64:
    """Energy of each good on the shelves that the plates of these days do not take, [cell, good]; arguments as of `plate_days`."""
    return np.asarray((kg - served(fare, kg, kcal_per_kg, most_kg_day, days).kg) * kcal_per_kg)


def month_most_kg_day(fare: Fare, month_days: F64) -> F64:
    """What the limits hold a day in each month, [12, limit], from the days of the months [12]."""
    most = np.array([limit.most_kg for limit in fare.limits]).reshape(len(fare.limits), MONTHS)
    return np.asarray((most / month_days).T)


def plain_days(kg: F64, kcal_per_kg: F64, need_kcal_day: F64) -> F64:
    """Days by energy alone, [cell]; 0 where nobody needs anything."""
    kcal = (kg * kcal_per_kg).sum(axis=1)
    return np.asarray(np.divide(kcal, need_kcal_day, out=np.zeros(len(kg)), where=need_kcal_day > 0.0))


def plate_days(fare: Fare, kg: F64, kcal_per_kg: F64, most_kg_day: F64, need_kcal_day: F64) -> F64:
    """Days that plates can take, [cell]: as many as by energy where no plate binds, and never more.

    From the days by energy on, each step goes to where the tangent of f meets the need: f is concave, so that no step goes
    below the greatest such days.

    Args:
        fare: goods and limits.
        kg: on the shelves [cell, good].
        kcal_per_kg: [cell, good].
        most_kg_day: of each limit in a day [cell, limit].
        need_kcal_day: of the household [cell].
    """
    days = plain_days(kg, kcal_per_kg, need_kcal_day)
    open_cells = np.flatnonzero(days > 0.0)
    for _ in range(STEPS):
        if not len(open_cells):
            break
        at, need = days[open_cells], need_kcal_day[open_cells]
        most = served(fare, kg[open_cells], kcal_per_kg[open_cells], most_kg_day[open_cells], at)
        lacks = need * at - most.kcal
        wrong = lacks > CLOSE * need * at
        steep = need - most.kcal_per_day
        step = np.divide(lacks, steep, out=np.zeros_like(lacks), where=steep > 0.0)
        days[open_cells[wrong]] = np.maximum(at - step, 0.0)[wrong]
        days[open_cells[days[open_cells] < CLOSE]] = 0.0
        open_cells = open_cells[wrong & (days[open_cells] > 0.0)]
    return days
