"""What drawings need from the reference tables: the family of a crop, the food group and the energy of a good."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from yardland.errors import TableError
from yardland.ledger.units import MJ_PER_KCAL
from yardland.report.palette import Style, code_of_botanical, rows, styles
from yardland.report.words import plain, title, without_brackets

if TYPE_CHECKING:
    from yardland.reference import Tables

LEYS = frozenset({"grass_clover", "alfalfa", "red_clover"})
"""Crops sown to be mown or grazed: drawn as ley, whatever their botanical family."""


@dataclass(frozen=True)
class FoodGroup:
    """A group of foods as drawn: code, name, style."""

    code: str
    name: str
    style: Style


@cache
def food_groups() -> dict[str, FoodGroup]:
    """Group of foods.csv -> how it is drawn."""
    return {
        row["group"]: FoodGroup(row["code"], row["name"], styles()[row["style"]]) for row in rows("food_groups.csv")
    }


@dataclass(frozen=True)
class Lookup:
    """Names resolved through the tables; an unknown one falls into "Other" rather than out of the picture."""

    tables: Tables

    def family(self, crop: str) -> Style:
        """Style of a crop's family."""
        if crop in LEYS:
            return styles()["Ly"]
        botanical = self._text("crops", crop, "family").split("/")[0]
        return styles()[code_of_botanical().get(botanical, "Ot")]

    def group(self, good: str) -> FoodGroup:
        """Food group of a good ("potato"), also of a form it is put by in ("apple.dried", "potato, root_cellar")."""
        base, row = self._form(good)
        food = self._text("stores", row, "product_food") or self._text("goods", base, "food")
        if food and self.tables.has("foods", food):
            return food_groups().get(self._text("foods", food, "group"), food_groups()["other"])
        return food_groups()["fodder" if self._text("goods", base, "feed") else "other"]

    def name(self, good: str) -> str:
        """Name of a good without what follows its comma, and how it was put by; its key as words if it is unknown."""
        base, row = self._form(good)
        name = self._text("goods", base, "name").partition(",")[0] or title(base)
        return f"{name}, {plain(row.rpartition('.')[2])}" if row and "." in good else name

    def knows(self, table: str, key: str) -> bool:
        """Whether a table has a row."""
        return self.tables.has(table, key)

    def crop(self, crop: str) -> str:
        """A crop's name, small letters first; its key as words if it is unknown."""
        name = without_brackets(self._text("crops", crop, "common_name")) or plain(crop)
        return name[:1].lower() + name[1:]

    def species(self, species: str) -> str:
        """A tree's or bush's name, small letters first."""
        name = without_brackets(self._text("trees", species, "common_name")) or plain(species)
        return name[:1].lower() + name[1:]

    def klass(self, klass: str) -> str:
        """Name of a class of animals without what stands in brackets or after a comma."""
        return (without_brackets(self._text("stock", klass, "common_name")) or plain(klass)).partition(",")[0]

    def item(self, item: str) -> str:
        """An item of the accounts of money: "buy hay_grass" or "buy hay grass" is buy grass hay."""
        verb, _, what = item.partition(" ")
        key = what.replace(" ", "_")
        if self.tables.has("goods", key):
            name = self.name(key)
            return f"{verb} {name[:1].lower()}{name[1:]}"
        return f"{verb} {self.klass(key)}" if self.tables.has("stock", key) else plain(item)

    def mj_per_kg(self, good: str) -> float | None:
        """Energy that people get from a kilogram of a good as it lies in the kitchen, MJ; None for what is not food.

        A form with a food of its own takes that food's energy; one that leaves the same in less mass is denser by
        its yield (the larder's own rule); others count as the fresh good.
        """
        base, row = self._form(good)
        product = self._text("stores", row, "product_food")
        if product:
            kcal = self._number("foods", product, "energy_kcal")
            return None if kcal is None else kcal * 10 * MJ_PER_KCAL
        food = self._text("goods", base, "food")
        kcal = self._number("foods", food, "energy_kcal") if food else None
        if kcal is None:
            return None
        edible = self._number("goods", base, "edible_fraction")
        return kcal * 10 * (1.0 if edible is None else edible) * MJ_PER_KCAL * self._density(row)

    def _density(self, row: str) -> float:
        share = self._number("stores", row, "yield_kg_per_kg")
        return 1.0 / share if share else 1.0

    def _form(self, good: str) -> tuple[str, str]:
        """Key of the good, and of its row in stores ("" where it is as it came)."""
        key = good.replace(", ", ".")
        base, _, method = key.rpartition(".")
        if not base:
            return key, ""
        return base, key if method and self._text("stores", key, "work") != "keep" else ""

    def _text(self, table: str, key: str, column: str) -> str:
        try:
            return self.tables.row(table, key).text(column) if self.tables.has(table, key) else ""
        except (KeyError, TableError):
            return ""

    def _number(self, table: str, key: str, column: str) -> float | None:
        try:
            return self.tables.row(table, key)[column]
        except (KeyError, TableError):
            return None
