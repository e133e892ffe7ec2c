"""What a class of stock is: its part in the herd, its young, its goods, and its figures from the tables."""

from __future__ import annotations

import csv
from dataclasses import dataclass, fields
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from yardland.errors import TableError
from yardland.reference import Row, Tables
from yardland.stock.growth import gompertz_gain_kg_d, gompertz_kg

F64 = npt.NDArray[np.float64]
KINDS_FILE = Path(__file__).parent / "data" / "kinds.csv"


@dataclass(frozen=True, slots=True)
class Kind:
    """How a class takes part in its herd (data/kinds.csv); names only, no figures.

    role : dam, sire, grower or colony
    energy : the family of equations (hen, bird, sheep, goat, cattle, pig, rabbit, none)
    sire : class of the males kept for it ("" where the holding names none)
    sits : "litter" (mammals), "each" (every female sits), "one" (a broody among many)
    breeding : "short_day", "long_day" or "any"
    ceiling : feeds column of greatest shares, where another than the table's fits (geese graze as rabbits do)
    """

    key: str
    role: str
    energy: str
    sire: str
    sits: str
    breeding: str
    ceiling: str


@lru_cache(maxsize=1)
def kinds() -> dict[str, Kind]:
    """Every class of stock by its key."""
    names = [field.name for field in fields(Kind)]
    with KINDS_FILE.open(encoding="utf-8", newline="") as file:
        return {cells["key"]: Kind(**{name: cells[name] for name in names}) for cells in csv.DictReader(file)}


@dataclass(frozen=True)
class Klass:
    """A class with its figures: `row` of table stock, `herd` of table herds."""

    kind: Kind
    row: Row
    herd: Row

    @property
    def key(self) -> str:
        """Key of the class in the tables."""
        return self.kind.key

    @property
    def system(self) -> str:
        """Feed energy system, "none" for bees, which forage for themselves."""
        return self.row.text("energy_system") or "none"

    @property
    def ceiling(self) -> str:
        """Feeds column of the greatest shares."""
        return self.kind.ceiling or self.row.text("ceiling_column")

    @property
    def young(self) -> str:
        """Class of its young, "" if it has none."""
        return self.row.text("young_class")

    def good(self, what: str) -> str:
        """The good that it gives as `what` (egg, milk, meat, offal, fat, other), "" if none."""
        return self.row.text(what + "_good")

    def figure(self, column: str, default: float = 0.0) -> float:
        """A figure of table stock, or `default` where the class has none."""
        value = self.row[column]
        return default if value is None else value

    def herd_figure(self, column: str, default: float = 0.0) -> float:
        """A figure of table herds, or `default` where the class has none."""
        value = self.herd[column]
        return default if value is None else value

    def weight_kg(self, age_d: npt.ArrayLike) -> F64:
        """Live weight at an age."""
        return gompertz_kg(*self._curve(), age_d)

    def gain_kg_d(self, age_d: npt.ArrayLike) -> F64:
        """Daily gain at an age."""
        return gompertz_gain_kg_d(*self._curve(), age_d)

    def adult_kg(self) -> float:
        """Weight of the adults kept."""
        return self.row.need("adult_weight_kg")

    def typical_kg(self) -> float:
        """Live weight that the table's daily figures stand for: for growers the one that its intake implies."""
        if self.kind.role != "grower":
            return self.adult_kg()
        return 100.0 * self.row.need("dmi_kg_d") / self.row.need("dmi_pct_lw")

    def arrival_age_d(self) -> int:
        """Age at which young are bought in: poultry at a day old, mammals weaned."""
        if self.kind.energy in {"hen", "bird"}:
            return 0
        return round(max(self.figure("weaning_age_d"), self.figure("adg_age_from_d")))

    def _curve(self) -> tuple[float, float, float]:
        row = self.row
        return row.need("growth_A_kg"), row.need("growth_B_per_d"), row.need("growth_W0_kg")


def load_klass(tables: Tables, key: str) -> Klass:
    """A class by its key.

    Raises:
        TableError: unknown class; the message names the nearest.
    """
    row = tables.row("stock", key)
    if key not in kinds():
        raise TableError(f"stock class {key!r} has figures but no part in a herd")
    return Klass(kinds()[key], row, tables.row("herds", key))


class Husbandry:
    """Figures of table husbandry, which hold for all classes."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables

    def __getitem__(self, key: str) -> float:
        """The figure `husbandry.KEY.value`."""
        return self._tables.row("husbandry", key).need("value")
