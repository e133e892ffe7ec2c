"""What crops give to the larder and take back as seed, in some lanes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from yardland.growth.outcome import GrowthResult
from yardland.holding.model import Holding
from yardland.ledger.months import DAYS_IN_YEAR, Month, month_of_day
from yardland.ledger.production import swept
from yardland.ledger.units import M2_PER_HA
from yardland.reference import Tables

F64 = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Amount:
    """A good of one account in some lanes: kg [lane, 12], fresh (what stands for grazing: dry matter)."""

    account: str
    good: str
    kg: F64

    @cached_property
    def there(self) -> list[bool]:
        """Lanes in which there is any."""
        return [bool(one) for one in self.kg.sum(axis=1) > 0.0]

    @cached_property
    def swept_kg(self) -> F64:
        """The kilograms without dust, as the larder takes them."""
        return swept(self.kg)


def by_lane(values: F64) -> F64:
    """Values [month, lane] as [lane, month], one lane behind the other."""
    return np.ascontiguousarray(values.T)


def crop_harvest(tables: Tables, grown: GrowthResult, lanes: slice) -> Iterator[Amount]:
    """The product of every planting, and the straw or tops that can be raked after it; of those that give any in the lanes."""
    for planting, harvest_kg in zip(grown.plantings, grown.harvest_kg, strict=True):
        fresh_kg = by_lane(harvest_kg[:, lanes])
        if not (fresh_kg > 0.0).any():
            continue
        crop = tables.row("crops", planting.crop)
        yield Amount(f"crop:{planting.id}", crop.text("good"), fresh_kg)
        straw = crop.text("straw_good")
        if straw:
            yield Amount(f"crop:{planting.id}", straw, fresh_kg * crop.need("straw_kg_per_kg"))


def seed_needs(
    holding: Holding, tables: Tables, grown: GrowthResult, lanes: slice, months: tuple[Month, ...]
) -> Iterator[Amount]:
    """Seed kept back from the household's own harvest, in the month it is sown (lines with seed = own); account: the planting."""
    own = {row.line for row in holding.plantings if row.seed == "own"}
    month_at = np.array(month_of_day(months))
    for index, planting in enumerate(grown.plantings):
        if planting.line not in own:
            continue
        sow = grown.due.sow_day[index, lanes]
        crop = tables.row("crops", planting.crop)
        rate = crop["seed_rate_kg_ha"]
        if not rate or not (sow >= 0).any():
            continue
        sown = np.flatnonzero(sow >= 0)
        kg = np.zeros((len(sow), 12))
        kg[sown, month_at[sow[sown] % DAYS_IN_YEAR]] = rate * grown.area_m2[index] / M2_PER_HA
        yield Amount(planting.id, crop.text("good"), kg)


def people_water_m3_day(holding: Holding, tables: Tables) -> float:
    """Water that the household draws for drinking, cooking and washing, cubic metres a day."""
    return len(holding.people) * tables.row("rules", "household_water_l_day").need("number") / 1000.0
