"""Who eats what: refusals turned into foods that are out, and the household parted into people who eat alike."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.holding.known import name_words
from yardland.larder.description import Diet, Good, Larder
from yardland.larder.needs import Eater, eaters
from yardland.ledger.months import Month

if TYPE_CHECKING:
    from yardland.holding.model import Holding
    from yardland.reference.tables import Tables

F64 = npt.NDArray[np.float64]
Words = frozenset[str]
MOST_DIETS = 3
"""More kinds of eaters than these are joined, the smallest first: each costs the program needs and meals of its own."""
MANY_FOODS = 6
"""Who refuses this many single foods (our choice) sits at a table apart, as by a whole group."""
EVERYTHING = "everything"
"""Name of the diet of people who refuse no group of foods."""


@dataclass(frozen=True, eq=False)
class Table:
    """People who eat alike: their common refusals, as typed, and who they are."""

    no: frozenset[str]
    eaters: tuple[Eater, ...]

    @property
    def name(self) -> str:
        """What they refuse, in words."""
        said = sorted(self.no)
        return EVERYTHING if not said else " and ".join(_title(word) for word in said)

    def energy(self) -> F64:
        """Their energy need a day, float64 [12]."""
        return sum_need(self, "energy_kcal")


def _title(word: str) -> str:
    """A refusal as the name of a diet: "vegetarian", "no pork"."""
    return word if word in {"vegetarian", "vegan"} else f"no {word.replace('_', ' ')}"


def out_words(tables: Tables, no: frozenset[str]) -> frozenset[Words]:
    """Names, as words, of the foods, goods and groups that a list of refusals takes out."""
    out = {name_words(name) for name in no}
    for key in tables.keys("diets"):
        if name_words(key) in out:
            out |= {name_words(name) for name in tables.row("diets", key).text("out").split()}
    return frozenset(out)


def is_out(good: Good, out: frozenset[Words]) -> bool:
    """Whether a good is among the foods, goods or groups named."""
    return any(name_words(name) in out for name in (good.key.partition(".")[0], good.food, good.group, good.name))


def young_foods(tables: Tables, age_y: float) -> frozenset[str]:
    """Foods that nobody of that age gets: honey and milk to drink before one year, alcohol before eighteen."""
    found: set[str] = set()
    for key in tables.keys("diets"):
        row = tables.row("diets", key)
        from_age = row["from_age_y"]
        if from_age is not None and age_y < from_age:
            found |= set(row.text("out").split())
    return frozenset(found)


def eaten_by(tables: Tables, no: tuple[str, ...], age_y: float, goods: dict[str, Good]) -> frozenset[str]:
    """Goods that somebody may have: by age, and by what the plan says that they do not eat."""
    out, young = out_words(tables, frozenset(no)), young_foods(tables, age_y)
    return frozenset(key for key, good in goods.items() if good.food not in young and not is_out(good, out))


def parting(tables: Tables, no: tuple[str, ...]) -> frozenset[str]:
    """Those refusals that part a table: words of the table diets and whole groups of foods.

    A single food is left to the plates, whose ceilings shrink by the share of those who do not eat it: the others make up
    for one food, but not for the meat of a vegetarian. A long list of single foods parts the table as well.
    """
    groups = {name_words(tables.row("foods", food).text("group")) for food in tables.keys("foods")}
    words = groups | {name_words(key) for key in tables.keys("diets")}
    aged = {name_words(key) for key in tables.keys("diets") if tables.row("diets", key)["from_age_y"] is not None}
    whole = frozenset(name for name in no if name_words(name) in words - aged)
    single = frozenset(name for name in no if name not in whole and name_words(name) not in aged)
    return whole | single if len(single) >= MANY_FOODS else whole


def tables_of(
    holding: Holding, tables: Tables, months: tuple[Month, ...], people: tuple[Eater, ...] | None = None
) -> tuple[tuple[Table, ...], tuple[str, ...]]:
    """The household as at most MOST_DIETS tables of people who eat alike, and notes on what was joined.

    Where there are more, the two that need least energy are joined until they fit; those joined eat what all of them eat.
    `people`: who eats; those of the plan in these months if None.
    """
    found: dict[frozenset[str], list[Eater]] = {}
    for one in eaters(holding, tables, months) if people is None else people:
        if float(one.need("energy_kcal").sum()) > 0.0:
            found.setdefault(parting(tables, one.person.no), []).append(one)
    parts = [Table(no, tuple(people)) for no, people in found.items()]
    notes = []
    while len(parts) > MOST_DIETS:
        parts.sort(key=lambda part: (-float(part.energy().sum()), part.name))
        less, least = parts[-2], parts[-1]
        joined = Table(less.no | least.no, less.eaters + least.eaters)
        notes.append(
            f"{less.name} and {least.name} are fed from one pot, of what both eat: more than {MOST_DIETS} diets"
        )
        alike = tuple(one for part in parts[:-2] if part.no == joined.no for one in part.eaters)
        parts = [part for part in parts[:-2] if part.no != joined.no] + [Table(joined.no, alike + joined.eaters)]
    return tuple(sorted(parts, key=lambda part: (len(part.no), part.name))), tuple(notes)


def diets_for(parts: tuple[Table, ...], shell: Larder, goods: dict[str, Good], tables: Tables) -> tuple[Diet, ...]:
    """The tables as diets of the larder; none where everybody eats alike."""
    if len(parts) < 2:
        return ()
    needs = [np.array([sum_need(part, nutrient) for nutrient in shell.nutrients]) for part in parts]
    total = np.sum(needs, axis=0)
    whole = np.where(total > 0.0, total, 1.0)
    return tuple(
        Diet(
            part.name,
            tuple(dict.fromkeys(one.name for one in part.eaters)),
            need / whole,
            frozenset(key for key, good in goods.items() if is_out(good, out_words(tables, part.no))) if part.no else frozenset(),
        )
        for part, need in zip(parts, needs, strict=True)
    )  # fmt: skip


def sum_need(part: Table, nutrient: str) -> F64:
    """What a table needs of a nutrient a day, by month."""
    return np.asarray(np.sum([one.need(nutrient) for one in part.eaters], axis=0))
