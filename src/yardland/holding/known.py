"""Names that a plan may use, as the caller takes them from the handbook tables (this room knows no tables itself)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Protocol

from yardland.errors import Fault, InputFaults
from yardland.holding.model import OwnRow
from yardland.holding.when import MonthDay

MALE_WORDS = frozenset({"billy", "boar", "buck", "bull", "cock", "cockerel", "drake", "gander", "ram", "stag", "tup"})
"""Trade words for a male; a class of stock is male when one of them stands in its name."""
BEES = "honeybee"


class NameRow(Protocol):
    """A row of a table, as far as names need it."""

    def text(self, column: str) -> str:
        """The cell of a text column, as written."""
        ...


class NameTables(Protocol):
    """The handbook tables, as far as names need them."""

    def keys(self, table: str) -> tuple[str, ...]:
        """Keys of a table's rows."""
        ...

    def row(self, table: str, key: str) -> NameRow:
        """A row by its key."""
        ...


class LoadTables(Protocol):
    """Loads the tables under the user's own figures; raises InputFaults when a line of own.csv fits none."""

    def __call__(self, own: Iterable[OwnRow] = ()) -> NameTables:
        """The tables."""
        ...


@dataclass(frozen=True)
class KnownNames:
    """Names by kind. An empty set means that nothing is known of that kind: it is not checked.

    crops, trees, stock, soils, goods, methods : row keys of the tables, and the ways of putting by
    fattened : classes of stock whose young can be bought in to grow; the others are kept as adults
    strikes : predators and diseases that strike groups of stock
    eaten : what a person may refuse or like (goods, foods, groups of foods, words of the table diets)
    foods : food -> its group; diets : word -> the foods and groups that it takes out
    items : what may be bought or sold (goods, classes of stock, priced items)
    families : plant families that a rule of rotation may name
    feeds : feeds that the tables know; feed_rules : rules of feeding that a plan may switch on
    seasons : crop -> "spring", "autumn" or "both": when it is sown
    store_c : kind of store -> least and most temperature that a plan may state for it, C
    sowable : whether anybody can sow a crop in the open on that day at that latitude; None: not checked
    own_faults : what is wrong with the lines of own.csv; None: not checked
    """

    crops: frozenset[str] = frozenset()
    trees: frozenset[str] = frozenset()
    stock: frozenset[str] = frozenset()
    fattened: frozenset[str] = frozenset()
    strikes: frozenset[str] = frozenset()
    soils: frozenset[str] = frozenset()
    goods: frozenset[str] = frozenset()
    methods: frozenset[str] = frozenset()
    eaten: frozenset[str] = frozenset()
    foods: Mapping[str, str] = field(default_factory=dict)
    diets: Mapping[str, frozenset[str]] = field(default_factory=dict)
    items: frozenset[str] = frozenset()
    families: frozenset[str] = frozenset()
    feeds: frozenset[str] = frozenset()
    feed_rules: frozenset[str] = frozenset()
    seasons: Mapping[str, str] = field(default_factory=dict)
    store_c: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    sowable: Callable[[str, MonthDay, float], bool] | None = None
    own_faults: Callable[[Sequence[OwnRow]], Sequence[Fault]] | None = None


def known_names(load: LoadTables) -> KnownNames:
    """Every name that the tables know, from their loader (`reference.load_tables`).

    Raises:
        TableError: a shipped table is not what it must be.
    """
    tables = load()

    def keys(table: str) -> frozenset[str]:
        return frozenset(tables.keys(table))

    seasons = {crop: tables.row("crops", crop).text("sown_season") for crop in tables.keys("crops")}
    foods = {food: tables.row("foods", food).text("group") for food in tables.keys("foods")}
    return KnownNames(
        crops=keys("crops"),
        trees=keys("trees"),
        stock=keys("stock"),
        fattened=frozenset(key for key in tables.keys("herds") if tables.row("herds", key).text("gain_mj_kg")),
        strikes=keys("herd_strikes"),
        soils=keys("soils"),
        goods=keys("goods"),
        methods=frozenset(key.rpartition(".")[2] for key in tables.keys("stores")),
        eaten=keys("goods") | keys("foods") | keys("diets") | frozenset(foods.values()) - {""},
        foods=foods,
        diets={key: frozenset(tables.row("diets", key).text("out").split()) for key in tables.keys("diets")},
        items=keys("goods") | keys("stock") | keys("prices"),
        families=frozenset(tables.row("crops", crop).text("family") for crop in tables.keys("crops")),
        feeds=keys("feeds"),
        feed_rules=frozenset(key for key in tables.keys("feed_rules") if switchable(tables.row("feed_rules", key))),
        seasons=seasons,
        store_c={
            key: span for key in tables.keys("places") if (span := _stated(tables.row("places", key))) is not None
        },
        sowable=lambda crop, day, latitude_deg: sowable_by_season(seasons.get(crop, "both"), day, latitude_deg),
        own_faults=lambda rows: _own_faults(load, rows),
    )


def _stated(place: NameRow) -> tuple[float, float] | None:
    """Least and most temperature that a plan may state for a place, C; None where it may state none."""
    ends = [place.text(column) for column in ("stated_least_c", "stated_most_c")]
    return (float(ends[0]), float(ends[1])) if all(ends) else None


@lru_cache(maxsize=4096)
def name_words(name: str) -> frozenset[str]:
    """The words of a name in no order and in the singular: "goat milk" is "milk_goat", "potatoes" is "potato"."""
    return frozenset(map(_singular, name.lower().replace("_", " ").replace("'", " ").replace(",", " ").split()))


def _singular(word: str) -> str:
    """An English word without its plural ending (alike for both sides of a comparison, right or not)."""
    if word.endswith(("oes", "shes", "ches")):
        return word[:-2]
    return f"{word[:-3]}y" if word.endswith("ies") and len(word) > 4 else word.rstrip("s")


def switchable(rule: NameRow) -> bool:
    """Whether a rule of feeding is off somewhere until a household answers for it, and nowhere beyond switching."""
    words = {rule.text(region) for region in ("EU", "GB", "US", "other")}
    return "off" in words and "never" not in words


def sowable_by_season(season: str, day: MonthDay, latitude_deg: float) -> bool:
    """Whether a crop of that season can be sown in the open then, by the seasons of the sun alone (common practice).

    Poleward of 35 degrees, by northern months (southern ones are shifted by half a year): a spring crop is not sown
    from October to December, an autumn crop not from March to July. Nearer the equator every month is possible.
    A bound for plain mistakes; the climate's own windows are narrower.
    """
    if abs(latitude_deg) < 35.0:
        return True
    northern = day.month if latitude_deg > 0 else (day.month + 5) % 12 + 1
    return not (season == "spring" and northern >= 10) and not (season == "autumn" and 3 <= northern <= 7)


def is_male(klass: str) -> bool:
    """Whether a class of stock is of males, by the trade word in its name."""
    return not MALE_WORDS.isdisjoint(klass.split("_"))


def _own_faults(load: LoadTables, rows: Sequence[OwnRow]) -> Sequence[Fault]:
    """What the tables say against the user's own figures."""
    try:
        load(own=rows)
    except InputFaults as error:
        return error.faults
    return ()
