"""What each row of trees, bushes or vines did in one larder year, read from what grew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from yardland.growth.trees import TreeYear
from yardland.land.shade import noon_altitude_deg, shadow_length_m
from yardland.season.plantings import day_on_axis
from yardland.weather.types import Forcing


@dataclass(frozen=True)
class TreeOutcome:
    """One row of a block in the larder year.

    `tree` is its id ("orchard.plum"), `fruit` the block and species under which its harvest is booked. `factors`: age,
    chill, frost, water, alternation, each the share left after that limit alone (alternation passes 1 in an on year);
    their product times `count`, the mature crop and the level is the harvest. `chill_h` are the hours of the winter before
    the harvest, `chill_need_h` the species' need of them; `chill_units` and `chill_need_units` the same in Utah units, None
    and 0 where the species is reckoned by hours. `chill_by_year`: the factor in every larder year of the record.
    `harvest_from` is the larder day on which gathering starts. `height_m` at the harvest, `noon_shadow_m` its shadow at noon of the equinox on level ground.
    """

    tree: str
    fruit: str
    plot: str
    species: str
    variety: str
    good: str
    count: int
    age_y: float
    harvest_kg: float
    factors: dict[str, float]
    full_bloom: str | None
    chill_h: float
    chill_need_h: float
    chill_by_year: tuple[float, ...]
    chill_units: float | None
    chill_need_units: float
    height_m: float
    noon_shadow_m: float | None
    harvest_from: int = 0


def tree_outcomes(trees: Sequence[TreeYear], forcing: Forcing, lane: int) -> tuple[TreeOutcome, ...]:
    """One record for each row of trees in one lane."""
    return tuple(
        TreeOutcome(
            tree=tree.id,
            fruit=tree.account.partition(":")[2],
            plot=tree.plot,
            species=tree.species,
            variety=tree.variety,
            good=tree.good,
            count=tree.count,
            age_y=tree.age_y,
            harvest_kg=float(tree.kg[:, lane].sum()),
            factors={name: float(values[lane]) for name, values in tree.factors.items()},
            full_bloom=day_on_axis(forcing, lane, int(tree.bloom_day[lane])),
            chill_h=float(tree.chill_h[lane]),
            chill_need_h=tree.chill_need_h,
            chill_by_year=tuple(float(value) for value in tree.factors["chill"]),
            chill_units=None if tree.chill_units is None else float(tree.chill_units[lane]),
            chill_need_units=tree.chill_need_units,
            height_m=tree.height_m,
            noon_shadow_m=shadow_length_m(tree.height_m, noon_altitude_deg(forcing.latitude_deg, 0.0)),
            harvest_from=tree.harvest_from,
        )
        for tree in trees
    )
