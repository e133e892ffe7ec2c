"""What crops give to the larder and take back as seed, in one lane."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from yardland.growth.outcome import GrowthResult
from yardland.holding.model import Holding
from yardland.ledger.months import DAYS_IN_YEAR, Month, month_of_day
from yardland.ledger.production import Gathered, SeedNeed
from yardland.ledger.units import M2_PER_HA
from yardland.reference import Tables


def crop_harvest(tables: Tables, grown: GrowthResult, lane: int) -> Iterator[Gathered]:
    """The product of every planting, and the straw or tops that can be raked after it."""
    for index, planting in enumerate(grown.plantings):
        fresh_kg = grown.harvest_kg[index, :, lane]
        if fresh_kg.sum() <= 0:
            continue
        crop = tables.row("crops", planting.crop)
        yield Gathered(f"crop:{planting.id}", crop.text("good"), fresh_kg)
        straw = crop.text("straw_good")
        if straw:
            yield Gathered(f"crop:{planting.id}", straw, fresh_kg * crop.need("straw_kg_per_kg"))


def seed_needs(
    holding: Holding, tables: Tables, grown: GrowthResult, lane: int, months: tuple[Month, ...]
) -> Iterator[SeedNeed]:
    """Seed kept back from the household's own harvest, in the month it is sown (lines with seed = own)."""
    own = {row.line for row in holding.plantings if row.seed == "own"}
    month_at = month_of_day(months)
    for index, planting in enumerate(grown.plantings):
        if planting.line not in own:
            continue
        sow = int(grown.pick(grown.sow_day)[index, lane])
        crop = tables.row("crops", planting.crop)
        rate = crop["seed_rate_kg_ha"]
        if sow < 0 or not rate:
            continue
        kg = np.zeros(12)
        kg[month_at[sow % DAYS_IN_YEAR]] = rate * grown.area_m2[index] / M2_PER_HA
        yield SeedNeed(planting.id, crop.text("good"), kg)


def people_water_m3_day(holding: Holding, tables: Tables) -> float:
    """Water that the household draws for drinking, cooking and washing, cubic metres a day."""
    return len(holding.people) * tables.row("rules", "household_water_l_day").need("number") / 1000.0
