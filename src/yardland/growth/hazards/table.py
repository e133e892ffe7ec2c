"""The hazards of the tables, and which crops and trees each strikes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from yardland.errors import TableError
from yardland.reference.tables import Row, Tables

KINDS = ("hail", "pest", "disease", "vermin", "birds")
ALL = "all"
NO_DRIVER = "none"
DATE, CROP = "date", "crop"


@dataclass(frozen=True, slots=True)
class Hazard:
    """One hazard under the user's own figures.

    months : first and last (1-12, northern) in which it may fall ; on_date : falls on one day, whether the crop is there or
        not ; driver : row of the table drivers, "" for none
    chance : a year ; loss_low, loss, loss_high : share of what is still to be gathered, when it comes
    holding_share : of the chance that is neither the weather nor the year, the share that all plots have in common
    """

    key: str
    name: str
    kind: str
    months: tuple[int, int]
    on_date: bool
    driver: str
    chance: float
    loss_low: float
    loss: float
    loss_high: float
    holding_share: float
    remedy: str
    caution: str


@lru_cache(maxsize=512)
def hazards_on_crop(tables: Tables, crop: str) -> tuple[Hazard, ...]:
    """Hazards of a crop, in the order of the table."""
    return tuple(hazard_of(tables, key) for key in tables.keys("hazards") if strikes_crop(tables, key, crop))


@lru_cache(maxsize=512)
def hazards_on_tree(tables: Tables, species: str) -> tuple[Hazard, ...]:
    """Hazards of a tree, bush or vine, in the order of the table."""
    return tuple(hazard_of(tables, key) for key in tables.keys("hazards") if strikes_tree(tables, key, species))


def strikes_crop(tables: Tables, hazard: str, crop: str) -> bool:
    """Whether a hazard strikes a crop: by its name, family or canopy group, unless it is spared."""
    row, plant = tables.row("hazards", hazard), tables.row("crops", crop)
    if crop in row.text("crops").split():
        return True
    if crop in row.text("spares").split():
        return False
    groups, families = row.text("groups").split(), row.text("families").split()
    return ALL in groups or plant.text("canopy_group") in groups or plant.text("family") in families


def strikes_tree(tables: Tables, hazard: str, species: str) -> bool:
    """Whether a hazard strikes a species of trees, bushes or vines."""
    trees = tables.row("hazards", hazard).text("trees").split()
    return ALL in trees or species in trees


def hazard_of(tables: Tables, key: str) -> Hazard:
    """A row of the table hazards.

    A user's own loss outside the table's range widens the range.

    Raises:
        TableError: no such row, or a text that is none of those known.
    """
    row = tables.row("hazards", key)
    loss = row.need("loss_share")
    driver = row.text("driver")
    return Hazard(
        key=row.key,
        name=row.text("common_name"),
        kind=one_of(row, "kind", KINDS),
        months=months_of(row),
        on_date=one_of(row, "falls", (DATE, CROP)) == DATE,
        driver="" if driver == NO_DRIVER else driver,
        chance=row.need("chance_per_year"),
        loss_low=min(row.need("loss_low"), loss),
        loss=loss,
        loss_high=max(row.need("loss_high"), loss),
        holding_share=row.need("holding_share"),
        remedy=row.text("remedy"),
        caution=row.text("caution"),
    )


def months_of(row: Row) -> tuple[int, int]:
    """First and last month of a cell like "11-5".

    Raises:
        TableError: the cell is none such.
    """
    first, _, last = row.text("months").partition("-")
    months = tuple(int(part) for part in (first, last) if part.isdecimal() and 1 <= int(part) <= 12)
    if len(months) != 2:
        raise TableError(f"months of {row.key} are {row.text('months')!r}, not like 6-9")
    return months


def one_of(row: Row, column: str, words: tuple[str, ...]) -> str:
    """A text cell that must be one of these words.

    Raises:
        TableError: it is another.
    """
    word = row.text(column)
    if word not in words:
        raise TableError(f"{column} of {row.key} is {word!r}, none of {', '.join(words)}")
    return word
