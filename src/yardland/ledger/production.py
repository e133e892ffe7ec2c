"""What the ground and the animals can give in a larder year: the right-hand sides of the larder's program.

Every array has twelve entries, one per larder month (see `months`). Masses are fresh kilograms of a *good*
(goods.csv) unless the name says `dm` (dry matter).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

Months12 = npt.NDArray[np.float64]
DUST_KG = 1e-6
"""A milligram: less in a month is no harvest, and near the last digits of a sum of tons."""


@dataclass(frozen=True)
class Gathered:
    """A good that arrives in the months: a crop's harvest, fruit, hay made, straw, windfalls.

    `account` names where it comes from ("crop:north.potato", "trees:apples", "sward:mead").
    """

    account: str
    good: str
    fresh_kg: Months12


@dataclass(frozen=True)
class Grazing:
    """Grass (or a forage crop on the ground) that may be eaten where it stands, `good` is a goods.csv key of kind forage.

    `dm_kg` is what may be eaten of the growth of each month; what is not eaten then may be eaten a month later at
    `carry` of its mass, after that it is lost to the soil.
    """

    account: str
    good: str
    dm_kg: Months12
    carry: float
    groups: tuple[str, ...]


@dataclass(frozen=True)
class HerdNeed:
    """What one class of one group needs and gives in each month.

    Energy is in the class's own system (`system`: "me_ruminant", "me_pig", "amen_poultry", "de_rabbit"; never added
    across). `ceiling_column` names the feeds.csv column with the greatest share of a feed in the dry matter eaten.
    `products` are given in full when the energy need is met; eggs and milk in proportion to the month's feed when it is not,
    carcasses (goods meat_, fat_, offal_, skin_, feathers) in proportion to the feed of all months since the class came.
    """

    group: str
    klass: str
    heads: Months12
    system: str
    ceiling_column: str
    energy_mj: Months12
    protein_kg: Months12
    dry_matter_max_kg: Months12
    forage_min_fraction: float
    products: dict[str, Months12]
    manure_kg: Months12
    manure_n_kg: Months12
    water_m3: Months12

    @property
    def account(self) -> str:
        """Name of the account that its feed flows into."""
        return f"herd:{self.group}.{self.klass}"


@dataclass(frozen=True)
class SeedNeed:
    """Seed that the household keeps back from its own harvest, in the month it is sown."""

    planting: str
    good: str
    fresh_kg: Months12


@dataclass(frozen=True)
class Production:
    """All that the physical year gives to, and asks of, the larder.

    dry_share : dry days in a row -> share of each month's days on which so many begin, 0-1 [12]; empty where the sky is
    not known, and then no cut waits for it
    air_c : monthly mean and mean daily minimum of the air, C, [2, 12]; None where the sky is not known, and then stores
    are as warm as the tables ask for
    thawed : share of all that lies frozen as a month begins that is lost in it, 0-1 [12]; hands : share of each month's
    putting by that the household can do, 0-1 [12]; None where no mishaps were drawn
    """

    gathered: tuple[Gathered, ...]
    grazing: tuple[Grazing, ...] = ()
    herds: tuple[HerdNeed, ...] = ()
    seed: tuple[SeedNeed, ...] = ()
    notes: tuple[str, ...] = field(default=())
    dry_share: dict[int, Months12] = field(default_factory=dict)
    air_c: Months12 | None = None
    thawed: Months12 | None = None
    hands: Months12 | None = None


def without_dust(production: Production) -> Production:
    """The same without amounts under a milligram in a month: a plot can be as small, a day of growth as poor."""
    return replace(
        production,
        gathered=tuple(replace(item, fresh_kg=swept(item.fresh_kg)) for item in production.gathered),
        grazing=tuple(replace(item, dm_kg=swept(item.dm_kg)) for item in production.grazing),
        herds=tuple(
            replace(herd, products={good: swept(kg) for good, kg in herd.products.items()}) for herd in production.herds
        ),
        seed=tuple(replace(item, fresh_kg=swept(item.fresh_kg)) for item in production.seed),
    )


def swept(kg: Months12) -> Months12:
    """The amounts, with those under a milligram as nothing."""
    return np.where(np.abs(kg) < DUST_KG, 0.0, kg)
