"""What many lanes give to the larder and ask of it, worked out side by side and then told lane by lane."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.growth.outcome import GrowthResult
from yardland.growth.sward import SwardYear
from yardland.growth.trees import TreeYear
from yardland.holding.model import Holding
from yardland.ledger.months import DAYS_IN_YEAR, Month
from yardland.ledger.production import Gathered, Grazing, HerdNeed, Production, SeedNeed
from yardland.reference import Tables
from yardland.season.grazers import walkers
from yardland.season.mowing import mown_in
from yardland.season.sky import air_of_lanes, dry_shares_of_lanes
from yardland.season.stubble import Stubble, stood, walked_year
from yardland.season.supply import Amount, by_lane, crop_harvest, seed_needs
from yardland.season.walking import LAST_EVENING
from yardland.weather.types import Forcing

F64 = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Standing:
    """Grass that stands for groups on one sward, `amount` in dry matter."""

    amount: Amount
    carry: float
    groups: tuple[str, ...]


@dataclass(frozen=True)
class Given:
    """What lanes give: amounts in the order of their accounts, weather by month.

    dry_share : of every spell [lane, 12] ; air_c [lane, 2, 12]
    """

    gathered: tuple[Amount, ...]
    grazing: tuple[Standing, ...]
    seed: tuple[Amount, ...]
    notes: tuple[str, ...]
    dry_share: dict[int, F64]
    air_c: F64

    def whole(self, lane: int, herds: tuple[HerdNeed, ...]) -> Production:
        """One lane as it was gathered, dust and all."""
        return Production(
            gathered=tuple(Gathered(one.account, one.good, one.kg[lane]) for one in self.gathered if one.there[lane]),
            grazing=tuple(standing(one, one.amount.kg, lane) for one in self.grazing if one.amount.there[lane]),
            herds=herds,
            seed=tuple(SeedNeed(one.account, one.good, one.kg[lane]) for one in self.seed if one.there[lane]),
            notes=self.notes,
            dry_share={days: share[lane] for days, share in self.dry_share.items()},
            air_c=self.air_c[lane],
        )

    def production(
        self,
        lane: int,
        herds: tuple[HerdNeed, ...],
        stood_kg: tuple[Grazing, ...],
        mishaps: tuple[F64 | None, F64 | None] = (None, None),
    ) -> Production:
        """One lane without dust, as the larder takes it.

        Args:
            lane: which.
            herds: that ask and give in it, without dust.
            stood_kg: of leavings, what is eaten where it lies, without dust.
            mishaps: what thaws, and what the household can put by.
        """
        return Production(
            gathered=tuple(
                Gathered(one.account, one.good, one.swept_kg[lane]) for one in self.gathered if one.there[lane]
            ),
            grazing=(
                *(standing(one, one.amount.swept_kg, lane) for one in self.grazing if one.amount.there[lane]),
                *stood_kg,
            ),
            herds=herds,
            seed=tuple(SeedNeed(one.account, one.good, one.swept_kg[lane]) for one in self.seed if one.there[lane]),
            notes=self.notes,
            dry_share={days: share[lane] for days, share in self.dry_share.items()},
            air_c=self.air_c[lane],
            thawed=mishaps[0],
            hands=mishaps[1],
        )


def standing(one: Standing, kg: F64, lane: int) -> Grazing:
    """What stands on a sward in one lane."""
    return Grazing(one.amount.account, one.amount.good, kg[lane], one.carry, one.groups)


def given_by(
    holding: Holding,
    tables: Tables,
    months: tuple[Month, ...],
    forcing: Forcing,
    grown: GrowthResult,
    trees: tuple[TreeYear, ...],
    notes: tuple[str, ...],
    lanes: slice,
) -> Given:
    """What some lanes of a growth give; a lane is the same to the last bit whatever others are looked at with it.

    Args:
        holding: the plan.
        tables: goods, crops, feed_ways.
        months: of the larder year.
        forcing: weather of all lanes.
        grown: what grew in them, hazards taken off.
        trees: of every block, likewise.
        notes: for whoever reads the production.
        lanes: which.
    """
    harvest = (
        *crop_harvest(tables, grown, lanes),
        *(Amount(one.account, one.good, by_lane(one.kg[:, lanes])) for one in trees),
        *(
            Amount(cut.gathered.account, cut.good, cut.fresh_kg)
            for cut in mown_in(holding, tables, grown.swards, lanes)
        ),
    )
    sky = some_weather(forcing, lanes)
    return Given(
        gathered=harvest,
        grazing=tuple(grazings(holding, grown.swards, lanes)),
        seed=tuple(seed_needs(holding, tables, grown, lanes, months)),
        notes=notes,
        dry_share=dry_shares_of_lanes(sky[0], months),
        air_c=air_of_lanes(sky[1], sky[2], months),
    )


def some_weather(forcing: Forcing, lanes: slice) -> tuple[F64, F64, F64]:
    """Rain, least and greatest temperature of some lanes, [730, lane] each."""
    return forcing.rain_mm[:, lanes], forcing.tmin_c[:, lanes], forcing.tmax_c[:, lanes]


def grazings(holding: Holding, swards: tuple[SwardYear, ...], lanes: slice) -> Iterator[Standing]:
    """Grass that stands for the groups whose round passes, or whose home is, the plot."""
    for sward in swards:
        groups = {name for plan in holding.round.values() if sward.plot in plan.plots for name in plan.order}
        groups |= {name for name, group in holding.group.items() if group.home == sward.plot}
        if groups:
            kg = by_lane(sward.grazing_kg_dm[:, lanes])
            yield Standing(Amount(f"sward:{sward.id}", sward.good_grazed, kg), sward.carry, tuple(sorted(groups)))


def eaten_where_it_lay(
    stubble: Stubble, grown: GrowthResult, trees: tuple[TreeYear, ...], gathered: tuple[Amount, ...]
) -> Iterator[tuple[Grazing, ...]]:
    """Of every lane of a growth, in order, what herds eat of its leavings where they lie.

    Args:
        stubble: of the plan.
        grown: what stood in all lanes, where and when.
        trees: of every block.
        gathered: in all of them.
    """
    beside = list(leavings_of_lanes(stubble, gathered))
    away = evenings_on_grass(stubble, grown)
    for lane in range(len(grown.labels)):
        left = {name: (good, kg[lane]) for name, good, kg, there in beside if there[lane]}
        mine = {group: days[:, lane] for group, days in away.items()}
        _, walked = walked_year(stubble, grown, trees, left, mine, lane)
        yield tuple(stood(walked.lain, walked, stubble.months))


def leavings_of_lanes(
    stubble: Stubble, gathered: tuple[Amount, ...]
) -> Iterator[tuple[str, str, list[float], list[bool]]]:
    """`cleared.leavings_by_name` of all lanes: name, good, kilograms of the year and whether there are any, by lane."""
    for way in stubble.clearing.ways:
        kg: dict[str, F64] = {}
        there: dict[str, list[bool]] = {}
        for one in gathered:
            if one.good in way.takes:
                name = one.account.partition(":")[2]
                more = way.share * np.where(np.array(one.there)[:, None], one.kg, 0.0)
                kg[name] = kg[name] + more if name in kg else more
                there[name] = [a or b for a, b in zip(there.get(name, one.there), one.there, strict=True)]
        for name, fresh_kg in kg.items():
            yield name, way.gives, fresh_kg.sum(axis=1).tolist(), there[name]


def evenings_on_grass(stubble: Stubble, grown: GrowthResult) -> dict[str, npt.NDArray[np.bool_]]:
    """Group -> evenings on a sward in every lane, [365, lane]; that of the year's last day counts for none."""
    found: dict[str, npt.NDArray[np.bool_]] = {}
    of = walkers(stubble.clearing.holding)
    for number, name in enumerate(grown.rounds):
        on = grown.where[number, DAYS_IN_YEAR:] >= 0
        on[LAST_EVENING:] = False
        for group in of[name][1] if name in of else ():
            found[group] = found[group] | on if group in found else on
    return found
