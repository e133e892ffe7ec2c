"""What drawings need from the reference tables: the family of a crop, the food group and the energy of a good."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from yardland.errors import TableError
from yardland.report.palette import Style, code_of_botanical, rows, styles
from yardland.report.words import title

if TYPE_CHECKING:
    from yardland.reference import Tables

MJ_PER_KCAL = 0.004184
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
        """Food group of a good ("potato", or "potato, root_cellar")."""
        key = good.partition(",")[0].strip()
        food = self._text("goods", key, "food")
        if food and self.tables.has("foods", food):
            return food_groups().get(self._text("foods", food, "group"), food_groups()["other"])
        feed = self._text("goods", key, "feed")
        return food_groups()["fodder" if feed else "other"]

    def name(self, good: str) -> str:
        """Name of a good without what follows a comma; its key as words where the tables do not have it."""
        key = good.partition(",")[0].strip()
        return self._text("goods", key, "name").partition(",")[0] or title(key)

    def mj_per_kg(self, good: str) -> float | None:
        """Energy that people get from a kilogram of a good as gathered, MJ; None for what is not food."""
        key = good.partition(",")[0].strip()
        food = self._text("goods", key, "food")
        if not food or not self.tables.has("foods", food):
            return None
        kcal = self._number("foods", food, "energy_kcal")
        edible = self._number("goods", key, "edible_fraction")
        return None if kcal is None else kcal * 10 * (1.0 if edible is None else edible) * MJ_PER_KCAL

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
