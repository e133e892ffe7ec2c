"""Work that plantings, trees, hay, herds, hives, putting by and moves bring, as events for `hours`."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Protocol

import numpy as np
import numpy.typing as npt

from yardland.ledger.months import DAYS_IN_YEAR, Month
from yardland.reference import Tables
from yardland.works.hours import CARE, MAKE, ROUND, Event, spread
from yardland.works.weeks import WEEKS, days_in_week, week_of, weeks_between, weeks_of_month

F64 = npt.NDArray[np.float64]
STOCK_TASKS = Path(__file__).parent / "data" / "stock_tasks.csv"
SHELLED = Path(__file__).parent / "data" / "shelled.csv"
BED_BEFORE_D = (28, 7)
"""Beds are made in the month before sowing, the last of them a week before (common practice)."""
GATHERING_D = 14
"""What is ripe at once is cut or lifted within a fortnight (common practice)."""
THRESH_AFTER_D = (21, 84)
"""Sheaves and haulm dry for three weeks, then are threshed over two months of indoor days (common practice)."""
FIRST_WEEDING_D = 21
"""The first weeding comes three weeks after sowing (common practice)."""


class Happening(Protocol):
    """What the works need to know of an event among the stock."""

    @property
    def day(self) -> int:
        """Day of the larder year."""

    @property
    def kind(self) -> str:
        """What happened (born, killed, culled, ...)."""

    @property
    def group(self) -> str:
        """Group of the holding."""

    @property
    def klass(self) -> str:
        """Class of stock."""

    @property
    def heads(self) -> int:
        """How many."""


def planting_events(
    tables: Tables,
    crop: str,
    subject: str,
    *,
    area_m2: float,
    sow_day: int,
    gather_days: tuple[int, int],
    kg: float,
) -> list[Event]:
    """Work of one planting by hand, from the bed to the threshed grain.

    Args:
        tables: crops, crop_work, tasks.
        crop: key in table crops.
        subject: name of the planting.
        area_m2: ground that it takes.
        sow_day: day of sowing or planting out, counted from the first day of the larder year (wraps round).
        gather_days: first and last day of gathering, at `sow_day` or later.
        kg: mass gathered.
    """
    work = tables.row("crop_work", crop)
    first = gather_days[0]
    bed = weeks_between(sow_day - BED_BEFORE_D[0], sow_day - BED_BEFORE_D[1])
    events = spread(bed, work.text("bed"), area_m2, "m2", subject)
    events += _raise_plants(tables, crop, subject, area_m2, sow_day)
    events += spread((week_of(sow_day),), work.text("sow"), area_m2, "m2", subject)
    passes = round(work["weed_passes"] or 0.0)
    for index in range(passes):
        day = sow_day + FIRST_WEEDING_D + index * max(7, (first - sow_day - FIRST_WEEDING_D) // (2 * passes))
        events += spread((week_of(day),), work.text("weed"), area_m2, "m2", subject)
    return events + _gathering(work.text("harvest"), work.text("thresh"), subject, gather_days, area_m2=area_m2, kg=kg)


def _raise_plants(tables: Tables, crop: str, subject: str, area_m2: float, sow_day: int) -> list[Event]:
    """Plants raised in trays while they stand in the nursery, where the crop is planted out as plugs."""
    row, work = tables.row("crops", crop), tables.row("crop_work", crop)
    plants, nursery = row["plants_per_m2"], row["nursery_days"]
    if not plants or not nursery or not work.text("sow").startswith("sow.transplant"):
        return []
    weeks = weeks_between(sow_day - round(nursery), sow_day - 1)
    return spread(weeks, "sow.raise_transplants", plants * area_m2, "plant", subject)


def _gathering(
    harvest: str, thresh: str, subject: str, days: tuple[int, int], *, area_m2: float, kg: float
) -> list[Event]:
    """Gathering over its days, a fortnight at least; sheaves are bound, and grain and pulses threshed in the weeks after."""
    weeks = weeks_between(days[0], max(days[1], days[0] + GATHERING_D - 1))
    if kg <= 0.0:
        return []
    if harvest.startswith("harvest.cereal"):
        events = spread(weeks, harvest, area_m2, "m2", subject)
        events += spread(weeks, "harvest.bind_sheaves", area_m2, "m2", subject)
    else:
        events = spread(weeks, harvest, kg, "kg", subject)
    later = weeks_between(days[1] + THRESH_AFTER_D[0], days[1] + THRESH_AFTER_D[1])
    return events + spread(later, thresh, kg, "kg", subject)


def tree_events(
    tables: Tables,
    species: str,
    subject: str,
    *,
    count: int,
    kg: npt.ArrayLike,
    months: tuple[Month, ...],
    daylength_h: npt.ArrayLike,
) -> list[Event]:
    """Work of trees, bushes or vines: pruned in the darkest month, summer work in the lightest, gathered by month.

    `kg` gathered, [12]; `daylength_h`, [12].
    """
    work, light = tables.row("tree_work", species), np.asarray(daylength_h, dtype=np.float64)
    winter, summer = months[int(light.argmin())], months[int(light.argmax())]
    events = spread(weeks_of_month(winter), work.text("prune"), count, "head", subject)
    events += spread(weeks_of_month(summer), work.text("summer"), count, "head", subject)
    for month, mass in zip(months, np.asarray(kg, dtype=np.float64), strict=True):
        events += spread(weeks_of_month(month), work.text("harvest"), float(mass), "kg", subject)
    return events


def mowing_events(subject: str, task: str, dm_kg: npt.ArrayLike, months: tuple[Month, ...]) -> list[Event]:
    """Hay, haylage or silage made by hand, from the scythe to the store: dry matter stored in each month, kg [12]."""
    events: list[Event] = []
    for month, mass in zip(months, np.asarray(dm_kg, dtype=np.float64), strict=True):
        events += spread(weeks_of_month(month), task, float(mass), "kg", subject)
    return events


def herd_events(
    tables: Tables,
    group: str,
    heads_day: Mapping[str, npt.ArrayLike],
    happenings: Iterable[Happening],
    daylength_h: npt.ArrayLike,
    *,
    months: tuple[Month, ...],
) -> list[Event]:
    """Work that one group of stock brings.

    Daily care by the head and one fixed round a day for the group (table stock), births, slaughter, shearing and hooves
    by the task table, hives by their yearly hours where the days are long.

    Args:
        tables: stock, tasks.
        group: its name.
        heads_day: heads of each class on each day, [365].
        happenings: what happens to the stock (those of other groups are passed over).
        daylength_h: mean daylength of each month, hours [12].
        months: the larder year.
    """
    light = np.asarray(daylength_h, dtype=np.float64)
    heads = {key: np.asarray(days, dtype=np.float64) for key, days in heads_day.items()}
    events: list[Event] = []
    for key, days in heads.items():
        if tables.row("stock", key).text("species") == "honeybee":
            events += _hives(group, float(days.mean()), light, months)
        else:
            events += _daily(CARE + key, group, days, "head day")
            events += _yearly(tables, key, group, float(days.mean()), months[int(light.argmax())])
    events += _round(tables, group, heads)
    for happening in happenings:
        if happening.group == group:
            events += _happening(tables, happening)
    return events


def _daily(task: str, subject: str, daily: F64, unit: str) -> list[Event]:
    sums = [float(daily[list(days_in_week(week))].sum()) for week in range(WEEKS)]
    return [Event(week, task, amount, unit, subject) for week, amount in enumerate(sums) if amount > 0.0]


def _round(tables: Tables, group: str, heads: Mapping[str, F64]) -> list[Event]:
    """The fixed daily round, by the class that asks for the longest, on the days on which any head stands."""
    walked = [key for key in heads if tables.row("stock", key).text("species") != "honeybee"]
    if not walked:
        return []
    longest = max(walked, key=lambda key: tables.row("stock", key)["labour_min_per_herd_day_fixed"] or 0.0)
    present = np.any([heads[key] > 0.0 for key in walked], axis=0).astype(np.float64)
    return _daily(ROUND + longest, group, present, "day")


def _hives(group: str, colonies: float, light: F64, months: tuple[Month, ...]) -> list[Event]:
    """A colony's yearly hours, shared over the months by the daylight above the shortest month's."""
    share = (light - light.min() + 0.25) / (light - light.min() + 0.25).sum()
    events: list[Event] = []
    for month, part in zip(months, share, strict=True):
        events += spread(weeks_of_month(month), "bees.few_hives", colonies * float(part), "head", group)
    return events


@lru_cache(maxsize=1)
def stock_tasks() -> dict[str, dict[str, str]]:
    """Tasks of each species (data/stock_tasks.csv): birth, slaughter, shear, hooves."""
    with STOCK_TASKS.open(encoding="utf-8", newline="") as file:
        return {cells["species"]: cells for cells in csv.DictReader(file)}


def _yearly(tables: Tables, klass: str, group: str, heads: float, summer: Month) -> list[Event]:
    """Hooves twice, half a year apart, the first time in the lightest month."""
    tasks = stock_tasks()[tables.row("stock", klass).text("species")]
    week = week_of(summer.first_day)
    return spread((week, week_of(7 * week + DAYS_IN_YEAR // 2)), tasks["hooves"], 2.0 * heads, "head", group)


def _happening(tables: Tables, happening: Happening) -> list[Event]:
    """Work of a birth (by the dams that were served for it), a shearing or a slaughter."""
    tasks = stock_tasks()[tables.row("stock", happening.klass).text("species")]
    if happening.kind == "service":
        gestation = tables.row("stock", happening.klass).need("gestation_or_incubation_d")
        week = week_of(happening.day + round(gestation))
        by_day = tasks["birth"].endswith("farrowing_week")
        amount = happening.heads * (7.0 if by_day else 1.0)
        return spread((week,), tasks["birth"], amount, "day" if by_day else "head", happening.group)
    if happening.kind == "shorn":
        return spread((week_of(happening.day),), tasks["shear"], happening.heads, "head", happening.group)
    if happening.kind in {"killed", "culled"}:
        return spread((week_of(happening.day),), tasks["slaughter"], happening.heads, "head", happening.group)
    return []


def putting_by_events(tables: Tables, put_by_kg: Mapping[str, npt.ArrayLike], months: tuple[Month, ...]) -> list[Event]:
    """Work of putting by: kilograms that go into each store (key of table stores) untrimmed in each month, [12]."""
    events: list[Event] = []
    for key, masses in put_by_kg.items():
        task = tables.row("stores", key).text("task")
        for month, mass in zip(months, np.asarray(masses, dtype=np.float64), strict=True):
            events += spread(weeks_of_month(month), task, float(mass), "kg", key)
    return events


@lru_cache(maxsize=1)
def shelled() -> dict[str, str]:
    """Good -> task of shelling, hulling or peeling it before it is eaten (data/shelled.csv)."""
    with SHELLED.open(encoding="utf-8", newline="") as file:
        return {cells["good"]: cells["task"] for cells in csv.DictReader(file)}


def shelling_events(eaten_kg: Mapping[str, npt.ArrayLike], months: tuple[Month, ...]) -> list[Event]:
    """Work of shelling, hulling and peeling what people eat in each month: good -> kg as it lies in store, [12]."""
    events: list[Event] = []
    for good, task in shelled().items():
        for month, mass in zip(months, np.asarray(eaten_kg.get(good, np.zeros(12)), dtype=np.float64), strict=True):
            events += spread(weeks_of_month(month), task, float(mass), "kg", good)
    return events


def making_events(taken_kg: Mapping[str, npt.ArrayLike], months: tuple[Month, ...]) -> list[Event]:
    """Work of mill, press and dairy: kilograms taken by each making (key of table makings) in each month, [12]."""
    events: list[Event] = []
    for key, masses in taken_kg.items():
        for month, mass in zip(months, np.asarray(masses, dtype=np.float64), strict=True):
            events += spread(weeks_of_month(month), MAKE + key, float(mass), "kg", key)
    return events


def move_events(subject: str, days: Iterable[int], task_key: str = "fence.move_netting") -> list[Event]:
    """One move of a group's fence on each of `days` of the larder year."""
    return [Event(week_of(day), task_key, 1.0, "move", subject) for day in days]


def manure_events(
    subject: str, manure_kg: npt.ArrayLike, months: tuple[Month, ...], housed_share: float
) -> list[Event]:
    """Spreading by hand of the manure that falls in the house, fresh kg of each month [12], in the month it falls."""
    events: list[Event] = []
    for month, mass in zip(months, np.asarray(manure_kg, dtype=np.float64), strict=True):
        events += spread(weeks_of_month(month), "stock.spread_manure", float(mass) * housed_share, "kg", subject)
    return events
