"""What many years come to: reliability with both its ranges, short months, depth, worst years, stores, coverage, terms."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder.needs import eaters
from yardland.larderyears.food_year import FoodYear, food_year
from yardland.larderyears.hindsight import Hindsight
from yardland.larderyears.household import person_days, years_at_table
from yardland.larderyears.hungry_seen import HungryStock, hungry_stock
from yardland.larderyears.hungry_stock import HUNGRY
from yardland.larderyears.opened import opening_days
from yardland.larderyears.run import ROUNDING, Years, short_years
from yardland.larderyears.short_months import ShortMonths, short_months
from yardland.larderyears.start import as_it_stands
from yardland.ledger.months import Month
from yardland.odds.knowledge import KnowledgeRange, knowledge_range
from yardland.odds.reliability import reliability, reliability_by_year, short_by_month, short_within
from yardland.odds.share import Share
from yardland.odds.spells import Shortage, SpellSummary, WorstYear, shortage, spells, summary, worst_years

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

F64 = npt.NDArray[np.float64]
BANDS = (5.0, 50.0, 95.0)
TOLD_WORST = 3
TOLD_HARVESTS = 4
DIRE_BELOW = 0.80
LEAST_BEYOND = 0.1
"""Days' worth of a good beyond the plates under which it is left out."""
FAR_OFF = 0.75
"""Share of its mean under which a harvest is told in the story of a bad year."""


@dataclass(frozen=True)
class Story:
    """A bad year: what came short before, and what followed.

    harvests : (good, share of its mean) of the poorest harvests of that year and the one before ; hazards : that struck
    """

    year: WorstYear
    harvests: tuple[tuple[str, float], ...]
    hazards: tuple[str, ...]


@dataclass(frozen=True)
class Odds:
    """Everything that is told of a run.

    months : of the larder year ; short_probability [12] ; coverage [3, nutrient, 12], stock_days, plate_days [3, 12] : 5th, 50th and 95th in the hundred,
    of food in store by energy and as plates can take it ; beyond_days : good -> mean days' worth in store beyond the plates, the most first
    opening_days, opening_plate_days : of food in store as the counted years begin, the middle of the chains ; by_year : of the first counted years
    hungry_stock : share of counted years in which some class is short of feed ; bought_share, seed_kg : means a year
    person_days_short, person_days_dire : means a year ; food : where it went ; close, stock_close : short months and hungry stock seen close
    unplaced_kg : what came a year of goods that no training year knew ; hindsight : None where the run was not looked back on
    """

    years: Years
    months: tuple[Month, ...]
    reliability: Share
    knowledge: KnowledgeRange | None
    ten_years: Share | None
    by_year: tuple[Share, ...]
    short_probability: tuple[Share, ...]
    shortage: Shortage
    spells: SpellSummary
    worst: tuple[Story, ...]
    coverage: F64
    stock_days: F64
    plate_days: F64
    beyond_days: dict[str, float]
    opening_days: float
    opening_plate_days: float
    hungry_stock: float
    bought_share: float
    seed_kg: float
    person_days_short: float
    person_days_dire: float
    food: FoodYear
    close: ShortMonths
    stock_close: HungryStock
    unplaced_kg: float
    hindsight: Hindsight | None = None

    def dataset(self) -> xr.Dataset:
        """Every counted year of every chain as labelled arrays (`larderyears.labelled.dataset`)."""
        from yardland.larderyears.labelled import dataset

        return dataset(self)

    def frame(self) -> pd.DataFrame:
        """A row for each counted year (`larderyears.labelled.frame`)."""
        from yardland.larderyears.labelled import frame

        return frame(self)

    def to_netcdf(self, path: str | Path) -> None:
        """Write `dataset()` as NetCDF, whole or not at all; needs scipy (the extra `tables`)."""
        from yardland.larderyears.labelled import to_netcdf

        to_netcdf(self, Path(path))

    def to_parquet(self, path: str | Path) -> None:
        """Write `frame()` as Parquet, whole or not at all; needs pyarrow (the extra `tables`)."""
        from yardland.larderyears.labelled import to_parquet

        to_parquet(self, Path(path))


def odds_of(run: Years) -> Odds:
    """Count a run.

    Raises:
        ValueError: no chain was finished.
    """
    ground = run.prepared.ground
    holding, months = ground.holding, ground.months
    least = run.stacked("least")
    days = days_at_table(run)
    below = holding.goal.short_below
    found = shortage(least[:, :, 0], least[:, :, 1], days, below - ROUNDING, min(DIRE_BELOW, below) - ROUNDING)
    short = found.short_years
    years = short.size
    opening, opening_on_plates = opening_days(run)
    return Odds(
        years=run,
        months=months,
        reliability=reliability(short, level=run.level),
        knowledge=knowledge_of(run),
        ten_years=short_within(short),
        by_year=reliability_by_year(short),
        short_probability=short_by_month(found.short),
        shortage=found,
        spells=summary(spells(found), years),
        worst=tuple(story(run, one) for one in worst_years(found, TOLD_WORST)),
        coverage=np.percentile(run.stacked("coverage"), BANDS, axis=(0, 1)),
        stock_days=np.percentile(run.stacked("stock_days"), BANDS, axis=(0, 1)),
        plate_days=np.percentile(run.stacked("plate_days"), BANDS, axis=(0, 1)),
        beyond_days=beyond_days(run),
        opening_days=opening,
        opening_plate_days=opening_on_plates,
        hungry_stock=float((run.stacked("feed_short").max(axis=(2, 3), initial=0.0) > HUNGRY).mean()),
        bought_share=float(run.stacked("bought_share").mean()),
        seed_kg=float(run.stacked("seed_kg").mean()),
        person_days_short=float(found.short_days.sum() / years),
        person_days_dire=float(found.dire_days.sum() / years),
        food=food_year(run),
        close=short_months(run),
        stock_close=hungry_stock(run),
        unplaced_kg=float(np.mean([chain.unplaced_kg for chain in run.chains])) / run.asked.length,
    )


def beyond_days(run: Years) -> dict[str, float]:
    """Good -> days' worth of it in store beyond the plates, the mean of all months' ends; the most first, no less than a tenth of a day."""
    days = run.stacked("beyond_days").mean(axis=(0, 1))
    goods = run.prepared.frame.fare.goods
    return {goods[at]: float(days[at]) for at in np.argsort(-days, kind="stable") if days[at] >= LEAST_BEYOND}


def days_at_table(run: Years) -> F64:
    """Person-days that the household eats for in each counted year, guests and absences as they are, [year or 1, 12]."""
    ground = run.prepared.ground
    if as_it_stands(ground.holding):
        along = years_at_table(ground.holding, ground.tables, ground.months, run.counted.stop)
        return np.array([person_days(one.people, one.months) for one in along[run.counted]])
    return person_days(eaters(ground.holding, ground.tables, ground.months), ground.months)[None]


def knowledge_of(run: Years) -> KnowledgeRange | None:
    """The range over drawn yields; None where they were not run."""
    if not run.drawn:
        return None
    chains = tuple(one for _, one in run.drawn)
    short = short_years(run.prepared.ground.holding, chains, run.asked)
    good = (~short).sum(axis=1)
    return knowledge_range(good, np.full(len(chains), short.shape[1]), [draw for draw, _ in run.drawn])


def story(run: Years, year: WorstYear) -> Story:
    """What failed before and in a bad year."""
    goods = run.prepared.frame.goods
    arrived = np.array([chain.arrived_kg for chain in run.chains])
    mean = arrived.mean(axis=(0, 1))
    at = run.asked.burn_in + year.year
    share = arrived[year.chain, max(at - 1, 0) : at + 1].mean(axis=0) / np.where(mean > 0.0, mean, 1.0)
    worth = mean * energy_of(run)
    poor = [index for index in np.argsort(-worth * (1.0 - share)) if mean[index] > 0.0 and share[index] < FAR_OFF]
    number = run.chains[year.chain].chain
    hit = sorted(
        (one for one in run.struck if one.chain == number and one.year in {at - 1, at}), key=lambda one: -one.lost_kg
    )
    return Story(
        year,
        tuple((goods[index], float(share[index])) for index in poor[:TOLD_HARVESTS]),
        tuple(dict.fromkeys(f"{one.hazard} on {one.subject}" for one in hit))[:TOLD_HARVESTS],
    )


def energy_of(run: Years) -> F64:
    """Energy of a kilogram of each good for people, kcal; a little for what only animals eat, so that hay is told too."""
    larder = run.prepared.frame.larder
    found = []
    for good in run.prepared.frame.goods:
        per_kg = larder.goods[good].per_kg if good in larder.goods else None
        found.append(100.0 if per_kg is None else max(float(per_kg[0].mean()), 1.0))
    return np.array(found)
