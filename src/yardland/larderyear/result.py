"""The result of one larder year: plain data that every face reads. Arrays of twelve follow the larder months."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.accounts.ground_year import PlotSoil
from yardland.accounts.keeping_year import KeepingYear
from yardland.accounts.left_lying import LeftLying
from yardland.accounts.produce import Produce
from yardland.holding.model import Holding
from yardland.land.areas import FenceRun, PlotGround
from yardland.larder.causes import Cause
from yardland.larder.feed_fodder import FodderCount
from yardland.larder.feed_leavings import Leavings
from yardland.larder.needs import GuestNeed, PersonNeed
from yardland.larder.table_told import DietYear
from yardland.larder.upper import Over
from yardland.larderyear.pasture import PastureYear
from yardland.ledger.arcs import Ledger
from yardland.ledger.months import Month
from yardland.ledger.production import Production
from yardland.season.dressings import HeapYear
from yardland.season.droppings import Droppings
from yardland.season.grazers import Stay
from yardland.season.plantings import PlantingYear
from yardland.season.strikes import StrikeYear
from yardland.season.stubble import StubbleYear
from yardland.season.trees import TreeOutcome
from yardland.stock.yard import YardGroup

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

__all__ = ["Cause", "Finding", "PersonNeed", "PlantingYear", "StrikeYear", "TreeOutcome", "YearResult"]

Months12 = npt.NDArray[np.float64]
OVERFULL_H = 0.5
"""Hours over what there is from which a week is told as too full (our band: nobody plans by the minute)."""


@dataclass(frozen=True)
class Finding:
    """Something wrong, dangerous, against a rule, short or tight. `grade`: danger, rule, short, tight, note."""

    grade: str
    title: str
    what: str
    number: str
    cause: str
    remedy: str
    source: str
    subject: str = ""


@dataclass(frozen=True)
class YearResult:
    """One larder year of one holding."""

    holding: Holding
    label: str
    months: tuple[Month, ...]
    weather_note: str
    weather_months: dict[str, Months12]
    """rain_mm, eto_mm, tmin_c, tmax_c, rad_mj_m2 (monthly sums or means)."""
    seed: int
    needs: tuple[PersonNeed, ...]
    need_day: dict[str, Months12]
    """Nutrient -> household need a day; `energy_kcal`, `protein_g`, then the nutrients of the tables."""
    coverage: dict[str, Months12]
    short_months: tuple[int, ...]
    dire_months: tuple[int, ...]
    plantings: tuple[PlantingYear, ...]
    production: Production
    harvest_kg: dict[str, float]
    eaten_kg: dict[str, Months12]
    """By good as eaten (a made or put-by good carries its own name)."""
    eaten_energy_share: dict[str, float]
    """Food group -> share of the energy eaten in the year."""
    stores_kg: dict[str, Months12]
    """Good and method ("potato, root_cellar") -> kg on the shelf at each month's end."""
    feed_kg: dict[str, dict[str, Months12]]
    """Group -> feed good -> kg fresh."""
    feed_short: dict[str, Months12]
    """Group -> share of the energy need not met."""
    products_kg: dict[str, dict[str, Months12]]
    heads: dict[str, dict[str, Months12]]
    manure_kg: dict[str, Months12]
    grass_dm_kg: dict[str, dict[str, Months12]]
    """Plot -> grown, grazed, cut, lost."""
    water_m3: dict[str, Months12]
    hours_week: dict[str, npt.NDArray[np.float64]]
    """Task group -> 52 weeks."""
    hours_available_week: npt.NDArray[np.float64]
    money: dict[str, Months12]
    """Item ("buy salt", "sell eggs") -> money, income positive."""
    emergency_kg: dict[str, Months12]
    causes: tuple[Cause, ...]
    findings: tuple[Finding, ...]
    figure_keys: tuple[str, ...]
    ledger: Ledger
    stock_notes: tuple[Finding, ...] = ()
    """What the stock room noticed (ratios, seasons, housing)."""
    water_dry_days: dict[str, Months12] = field(default_factory=dict)
    """Source -> days in the month on which it could not give what was asked."""
    store_litres: dict[str, Months12] = field(default_factory=dict)
    """Kind of place -> litres taken at each month's end."""
    kept: KeepingYear = field(default_factory=KeepingYear)
    """The stores: warmth of the places, days of food in them, what putting by took."""
    bought_energy_share: float = 0.0
    """Share of the energy eaten that was bought as food; what grew on bought feed counts as the holding's own."""
    feed_dm_kg: float = 0.0
    """Dry matter that all animals ate in the year."""
    bought_feed_dm_kg: float = 0.0
    """The part of it that was bought as feed."""
    plots: tuple[PlotGround, ...] = ()
    """Size of each plot on the ground, in the order of the plan."""
    fences: tuple[FenceRun, ...] = ()
    """Length of each fence of the plan, shared edges once."""
    trees: tuple[TreeOutcome, ...] = ()
    """Each row of trees, bushes and vines, in the order of the plan."""
    hazard_seed: int | None = None
    """Seed with which hail, pests and disease were drawn; None: none fell."""
    strikes: tuple[StrikeYear, ...] = ()
    """What fell on crops and trees."""
    notes: tuple[str, ...] = ()
    """Assumptions, simplifications and unknown figures that this result rests on."""
    stays: tuple[Stay, ...] = ()
    """Which groups were on which grass, from when to when (days of the larder year)."""
    stubble: StubbleYear = field(default_factory=StubbleYear)
    """What herds of a round did on what harvests left."""
    heap: HeapYear = field(default_factory=HeapYear)
    """Manure: where its nitrogen went, what was spread, bought and left."""
    droppings: tuple[Droppings, ...] = ()
    """What animals drop out of doors on each plot."""
    soils: tuple[PlotSoil, ...] = ()
    """The soil of each farmed plot, in the order of the plan."""
    feed_lacks: dict[str, dict[str, Months12]] = field(default_factory=dict)
    """Group -> bound of its ration (lysine, calcium, phosphorus, fibre) -> share of it that is lacking, or too much."""
    feeds_barred: dict[str, dict[str, str]] = field(default_factory=dict)
    """Group -> feed -> the rule that keeps it from the group (larder.feed_law)."""
    feeds_at_hand: tuple[str, ...] = ()
    """Feeds that some good of the year is."""
    fodder: FodderCount | None = None
    """The count of winter fodder; None without ruminants on grass."""
    leavings: Leavings | None = None
    """Leavings of kitchen and slaughter, whether or not anybody is fed with them."""
    produce: Produce = field(default_factory=Produce)
    """Carcasses in parts, and eggs by number and size."""
    left_lying: dict[str, LeftLying] = field(default_factory=dict)
    """Good -> leavings beside harvests, eaten and left on the beds."""
    pasture: PastureYear = field(default_factory=PastureYear)
    """The ground that stock walk: worms, soft days, regrowth."""
    yard: dict[str, YardGroup] = field(default_factory=dict)
    """Group -> room that it asks for, and straw for its bedding by week."""
    coverage_average: dict[str, Months12] = field(default_factory=dict)
    """Nutrient -> eaten / average requirement of the household, of the nutrients that have one."""
    diets: tuple[DietYear, ...] = ()
    """Meals and coverage of people who eat alike, where the household has several diets."""
    likes_missed: dict[str, Months12] = field(default_factory=dict)
    """Liking ("ann.potato", "apple") -> share of its least that is missed."""
    over_upper: tuple[Over, ...] = ()
    """Who is above an upper level of intake that holds for food."""
    guests: tuple[GuestNeed, ...] = ()
    """What each entry of guests adds."""
    why: dict[str, str] = field(default_factory=dict)
    """Result key ("harvest.north.potato") -> the sentence that leads from the result to its figures."""

    def worst_coverage(self, nutrient: str) -> Months12:
        """Coverage of those who have least of a nutrient, by month: of the worst diet where there are several."""
        return np.asarray(np.min([self.coverage[nutrient], *(one.coverage[nutrient] for one in self.diets)], axis=0))

    def energy_gap(self) -> Months12:
        """Share of the household's energy need that is not eaten, by month: one diet's plenty does not fill another's plate."""
        if not self.diets:
            return np.clip(1.0 - self.coverage["energy_kcal"], 0.0, None)
        gaps = [one.energy_share * np.clip(1.0 - one.coverage["energy_kcal"], 0.0, None) for one in self.diets]
        return np.asarray(np.sum(gaps, axis=0))

    def hours_asked_week(self) -> npt.NDArray[np.float64]:
        """Hours that all tasks ask for together, 52 weeks."""
        return np.asarray(sum(self.hours_week.values(), np.zeros(52)))

    def overfull_weeks(self) -> int:
        """Weeks that ask for more hours than the household has, by more than `OVERFULL_H`."""
        return int(np.sum(self.hours_asked_week() - self.hours_available_week > OVERFULL_H))

    def dataset(self) -> xr.Dataset:
        """Every monthly series as labelled arrays (`larderyear.labelled.dataset`)."""
        from yardland.larderyear.labelled import dataset

        return dataset(self)

    def frames(self) -> dict[str, pd.DataFrame]:
        """Plantings, flows, findings, needs and causes as tables (`larderyear.labelled.frames`)."""
        from yardland.larderyear.labelled import frames

        return frames(self)
