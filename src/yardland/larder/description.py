"""What the larder's program is asked, as plain data: goods, ways to keep and make them, plates, needs, trades, feed.

Built from the holding and the tables by `larder.catalogue`, or by hand in a test. Everything is per larder month
(index 0-11). Masses are fresh kilograms unless the name says `dm`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.ledger.months import Month
from yardland.ledger.production import Production

F64 = npt.NDArray[np.float64]
MONTHS = 12


@dataclass(frozen=True)
class Good:
    """A physical commodity (goods.csv), or one put by in another form ("carrot.dried").

    per_kg : float64 [nutrient, month], in one kilogram as it lies in the kitchen; None if people do not eat it
    food, group : key of foods.csv and its group, "" if people do not eat it
    plate_kg : edible kilograms that one kilogram counts for on a plate (dried forms count as the fresh food)
    feed : key of feeds.csv, "" if animals do not get it
    """

    key: str
    name: str
    dm_fraction: float
    food: str = ""
    group: str = ""
    plate_kg: float = 1.0
    per_kg: F64 | None = None
    feed: str = ""
    kind: str = "crop"


@dataclass(frozen=True)
class Keeping:
    """A way to put a good by (a row of stores.csv).

    gives : the good that comes back: the same, or one in another form
    yield_fraction : kg on the shelf per kg put by; the rest is trimmings and water
    monthly_loss : share of what lies there that spoils in a month
    place : room that it fills ("" = none, as in the ground); litres_per_kg of what is on the shelf
    jar_litres_per_kg, dried : what it takes of the kitchen's jars and of its dryer, per kg put by
    warmth : times that it loses and ages faster in each larder month than at the warmth it is made for, 1 or more [12];
    empty = in no month. thaw_loss : share lost in a month beside that, to power cuts
    """

    good: str
    method: str
    gives: str
    shelf_life_months: float
    monthly_loss: float
    yield_fraction: float = 1.0
    place: str = ""
    litres_per_kg: float = 0.0
    jar_litres_per_kg: float = 0.0
    dried: bool = False
    hours_per_kg: float = 0.0
    warmth: tuple[float, ...] = ()
    thaw_loss: float = 0.0

    @property
    def account(self) -> str:
        """Name of the account it lies in."""
        return f"store:{self.good}.{self.method}"

    def pace(self, month: int) -> float:
        """Times that it loses and ages faster in a larder month (counted on over the year's end)."""
        return self.warmth[month % MONTHS] if self.warmth else 1.0

    def loss_in(self, month: int) -> float:
        """Share of what lies there that spoils in a larder month, 0-1."""
        return min(self.monthly_loss * self.pace(month) + self.thaw_loss, 1.0)

    def life_in(self, month: int) -> float:
        """Shelf life in months of what is put by in a larder month and stays as warm."""
        return self.shelf_life_months / self.pace(month)

    def kept(self, made: int, age: int, lain: float = 0.0) -> float:
        """Share of what was laid in larder month `made` that is left after `age` months, in the months after it.

        Warm months count for more of the shelf life; when it is over, what is left goes within one month more.

        Args:
            made: larder month in which it was laid; -1 for what lies there when the year opens.
            age: months that it lies.
            lain: months that it had lain before.
        """
        if not self.warmth and self.thaw_loss == 0.0:
            return (1.0 - self.monthly_loss) ** age
        left, aged = 1.0, lain
        for month in range(made + 1, made + age + 1):
            left *= 1.0 - self.loss_in(month)
            aged += self.pace(month)
        over = aged - max(self.shelf_life_months, 1.0, lain + age)
        return left * min(max(1.0 - over, 0.0), 1.0)


@dataclass(frozen=True)
class Process:
    """A process of the kitchen, dairy, mill or press: one kilogram of `takes` gives kilograms of other goods."""

    key: str
    takes: str
    gives: tuple[tuple[str, float], ...]
    hours_per_kg: float = 0.0


@dataclass(frozen=True)
class Plate:
    """The most edible kilograms of some goods together that the household would eat, by month.

    edible_fraction : edible kg on the plate per kg in the kitchen, in the order of `goods`
    food : whether it is one food in its forms (half of it is eaten freely, see build_table) or a group of foods
    diet : whose plate it is, a name of Larder.diets; "" where everybody eats alike
    """

    key: str
    goods: tuple[str, ...]
    edible_fraction: tuple[float, ...]
    ceiling_kg: F64
    food: bool = True
    diet: str = ""


@dataclass(frozen=True)
class Diet:
    """People who eat alike and have needs and meals of their own, beside others who eat otherwise.

    people : names of the plan; share : float64 [nutrient, month], their share of the household's need
    barred : goods that none of them eats
    """

    name: str
    people: tuple[str, ...]
    share: F64
    barred: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Floor:
    """The least of some goods together that somebody likes to eat: edible kilograms, float64 [12].

    A soft floor: what is missed is told, at a price far under that of any nutrient. diet : whose; "" = anybody's
    """

    key: str
    goods: tuple[str, ...]
    edible_fraction: tuple[float, ...]
    least_kg: F64
    diet: str = ""


@dataclass(frozen=True)
class Trade:
    """A good that may cross the fence: price per kg, most kg in each month (0 = not then)."""

    good: str
    do: str
    price: float
    limit_kg: F64


@dataclass(frozen=True)
class Feed:
    """A feed per kilogram of dry matter: energy by system (MJ), greatest share by column, and kilograms of the rest.

    mineral : eaten for its calcium, phosphorus or salt; it has no energy
    """

    key: str
    energy_mj: dict[str, float]
    protein_kg: float
    max_share: dict[str, float]
    forage: bool
    lysine_kg: float = 0.0
    calcium_kg: float = 0.0
    phosphorus_kg: float = 0.0
    fibre_kg: float = 0.0
    mineral: bool = False


@dataclass(frozen=True)
class Ceiling:
    """The most of some feeds together: a share of the dry matter eaten, or kilograms of dry matter [12]."""

    rule: str
    feeds: frozenset[str]
    share: float = 1.0
    most_kg: F64 | None = None


@dataclass(frozen=True)
class Ration:
    """Bounds on what one class of a group eats, beside energy, crude protein, dry matter and long fodder.

    least_kg : "lysine", "calcium", "phosphorus" -> float64 [12], what the class needs in the month
    fibre_least, fibre_most : crude fibre over dry matter eaten; None where nobody bounds it
    barred : feed -> the rule that keeps it from this class
    """

    least_kg: dict[str, F64] = field(default_factory=dict)
    fibre_least: float | None = None
    fibre_most: float | None = None
    ceilings: tuple[Ceiling, ...] = ()
    barred: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Cut:
    """Standing grass that may be cut or kept as another good: kg dry matter of `gives` per kg dry matter cut.

    window : share of what stands in each month that finds days dry enough, 0-1 [12]; None where it waits for none
    task : key in table tasks of its work, "" for none
    """

    takes: str
    gives: str
    kept: float
    window: F64 | None = None
    task: str = ""


@dataclass(frozen=True)
class Larder:
    """The whole question.

    nutrients : names; energy_kcal and protein_g first
    need : float64 [nutrient, month], the household's need in the whole month
    driving : nutrients whose shortage the program minimises (the others are only reported)
    rooms_litres : place -> litres; jar_litres_month, dry_kg_month : what the kitchen can do in a month
    buys_feed : group -> whether bought goods may go to its troughs
    opening : (good, method, kg, months it has lain) of what is on the shelves today, with `cyclic` false
    energy_high : most energy eaten, as a share of need
    emergency_kcal_per_kg : energy of the reference food in which a shortage is told
    diets : people who eat alike, if not everybody does; floors : what they like to eat at least
    rations : herd account -> what bounds its ration; cuts : what standing grass may be made into
    """

    months: tuple[Month, ...]
    nutrients: tuple[str, ...]
    need: F64
    driving: tuple[str, ...]
    goods: dict[str, Good]
    keepings: tuple[Keeping, ...]
    processes: tuple[Process, ...]
    plates: tuple[Plate, ...]
    trades: tuple[Trade, ...]
    feeds: dict[str, Feed]
    production: Production
    emergency_kcal_per_kg: float
    rooms_litres: dict[str, float] = field(default_factory=dict)
    jar_litres_month: float = 0.0
    dry_kg_month: float = 0.0
    buys_feed: dict[str, bool] = field(default_factory=dict)
    cyclic: bool = True
    opening: tuple[tuple[str, str, float, float], ...] = ()
    energy_high: float = 1.05
    rations: dict[str, Ration] = field(default_factory=dict)
    cuts: tuple[Cut, ...] = ()
    diets: tuple[Diet, ...] = ()
    floors: tuple[Floor, ...] = ()
    notes: tuple[str, ...] = ()
