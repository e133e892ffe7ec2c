"""What the table asks of the block in each year of a chain that begins as it stands: people grow older, children are born.

The program's matrix holds needs as shares of the template's need and plates in kilograms; only sides and bounds follow the
years. The template's need is the mean of the years, its plates are all that any year knows.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.holding.model import Holding
from yardland.larder.ageing import at_table, mean_table, older
from yardland.larder.catalogue import describe
from yardland.larder.description import MONTHS, Larder, Plate
from yardland.larder.diets import Table, diets_for, tables_of
from yardland.larder.needs import NUTRIENTS, Eater
from yardland.larder.plate_days import fare_of
from yardland.larder.plates import plates_for
from yardland.larderyears.board import Sides
from yardland.larderyears.frame import ENERGY, Frame
from yardland.larderyears.stack import Stack
from yardland.ledger.months import Month, larder_months
from yardland.ledger.production import Production
from yardland.reference import Tables

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
PlateKey = tuple[str, str]
"""Plate and diet."""


@dataclass(frozen=True)
class YearAtTable:
    """The holding with the people of one year of a chain, its months, and everybody who eats in it."""

    holding: Holding
    months: tuple[Month, ...]
    people: tuple[Eater, ...]


@dataclass(frozen=True)
class Asked:
    """What one year asks: need [nutrient, 12] in the month, the part of each diet in it, plates."""

    need: F64
    of_diet: dict[str, F64]
    plates: dict[PlateKey, Plate]


@dataclass(frozen=True)
class Household:
    """Sides and bounds of a frame by year of the chain.

    rows [row], row_lower, row_upper [year, row] ; columns [column], upper [year, column] ; need [year, nutrient, 12]
    most_kg [year, limit, 12] : of the limits of the frame's fare
    """

    rows: I64
    row_lower: F64
    row_upper: F64
    columns: I64
    upper: F64
    need: F64
    most_kg: F64

    def at(self, year: int) -> int:
        """The year, or the last that is known."""
        return min(year, len(self.need) - 1)


class Seats:
    """The places of a household's sides in one block of a stack."""

    def __init__(self, household: Household, stack: Stack, block: int) -> None:
        """Look them up."""
        self.household = household
        self.row_is = np.flatnonzero(stack.row_at[household.rows] >= 0)
        self.rows = stack.rows(household.rows[self.row_is], block)
        self.column_is = np.flatnonzero(stack.column_at[household.columns] >= 0)
        self.columns = stack.columns(household.columns[self.column_is], block)
        self.stack, self.first = stack, block == 0

    def set(self, hot: Sides, year: int) -> None:
        """Set the sides to those of a year of the chain."""
        own = self.household
        lower, upper, most = own.row_lower[own.at(year)], own.row_upper[own.at(year)], own.upper[own.at(year)]
        hot.bound_rows(self.rows, lower[self.row_is], upper[self.row_is])
        if self.first:
            hot.lazy_lower, hot.lazy_upper = lazy_sides(self.stack, own, year)
        hot.bound_columns(self.columns, np.zeros(len(self.columns)), most[self.column_is])


def lazy_sides(stack: Stack, household: Household | None, year: int) -> tuple[F64, F64]:
    """Lower and upper sides of the rows that a stack leaves out, in a year of the chain."""
    lower, upper = stack.lazy.lower.copy(), stack.lazy.upper.copy()
    if household is not None:
        at = stack.lazy.at[household.rows]
        there = at >= 0
        lower[at[there]] = household.row_lower[household.at(year)][there]
        upper[at[there]] = household.row_upper[household.at(year)][there]
    return lower, upper


def described_along(
    holding: Holding, tables: Tables, months: tuple[Month, ...], production: Production, years: int
) -> tuple[Larder, list[Asked]]:
    """The larder of the template, opened with stores.csv, and what each year of a chain asks of it.

    Args:
        holding: the plan.
        tables: reference tables.
        months: larder months of the first year, which is the plan's.
        production: of the template.
        years: how many.

    Raises:
        InputFaults: a line of stores.csv that the plan has no place for.
    """
    along = years_at_table(holding, tables, months, years)
    people = mean_table([year.people for year in along])
    larder = describe(holding, tables, months, production, need_day(people), from_stores=True, people=people)
    parts, _ = tables_of(holding, tables, months, people)
    asked = asked_by(larder, tables, along, parts)
    return replace(larder, plates=all_plates(larder.plates, asked, larder)), asked


def years_at_table(holding: Holding, tables: Tables, months: tuple[Month, ...], years: int) -> tuple[YearAtTable, ...]:
    """The people in each year of a chain.

    Args:
        holding: the plan.
        tables: reference tables.
        months: larder months of the first year, which is the plan's.
        years: how many.
    """
    found = []
    for year in range(years):
        then = larder_months(months[0].year + year, months[0].month)
        aged = older(holding, tables, months, then)
        found.append(YearAtTable(aged, then, at_table(aged, tables, then)))
    return tuple(found)


def need_day(people: tuple[Eater, ...]) -> dict[str, F64]:
    """What they need a day, nutrient -> [12]."""
    return {name: np.asarray(np.sum([one.need(name) for one in people], axis=0)) for name in NUTRIENTS}


def person_days(people: tuple[Eater, ...], months: tuple[Month, ...]) -> F64:
    """Days x those who are fed here, [12]; who is fed at the breast counts from the first meal of its own."""
    days = np.array([month.days for month in months], dtype=np.float64)
    heads = [np.where(one.need("energy_kcal") > 0.0, one.heads, 0.0) for one in people]
    return np.asarray(np.sum(heads, axis=0) * days if heads else np.zeros(MONTHS))


def asked_by(larder: Larder, tables: Tables, years: Sequence[YearAtTable], parts: Sequence[Table]) -> list[Asked]:
    """What each year asks.

    Args:
        larder: of the template, its diets those of `parts`.
        tables: reference tables.
        years: the people.
        parts: who eats alike in the template, in the order of its diets.
    """
    days = np.array([month.days for month in larder.months], dtype=np.float64)
    found = []
    for year in years:
        own = tuple(
            Table(part.no, tuple(one for one in year.people if one.name in {same.name for same in part.eaters}))
            for part in parts
        )
        day = need_day(year.people)
        need = np.array([day[name] for name in larder.nutrients]) * days
        diets = diets_for(own, larder, larder.goods, tables)
        shell = replace(larder, need=need, diets=diets)
        plates = plates_for(year.holding, tables, year.months, shell, larder.goods, own)
        of_diet = {diet.name: need * diet.share for diet in diets} or {"": need}
        found.append(Asked(need, of_diet, {(plate.key, plate.diet): plate for plate in plates}))
    return found


def all_plates(plates: Sequence[Plate], asked: Sequence[Asked], larder: Larder) -> tuple[Plate, ...]:
    """The plates of the template and those that later years add, at the greatest ceiling of any year."""
    known = {(plate.key, plate.diet): plate for plate in plates}
    for one in asked:
        known |= {key: plate for key, plate in one.plates.items() if key not in known}
    return tuple(replace(plate, ceiling_kg=ceilings(plate, asked, larder).max(axis=0)) for plate in known.values())


def ceilings(plate: Plate, asked: Sequence[Asked], larder: Larder) -> F64:
    """The ceiling of a plate in each year, kilograms [year, 12]; that of its group in years that do not know it.

    A plate comes and goes with who refuses a food: while nobody does, the group's plate is the only one.
    """
    own, group = (plate.key, plate.diet), (f"{larder.goods[plate.goods[0]].group}_group", plate.diet)
    return np.array([year.plates.get(own, year.plates.get(group, plate)).ceiling_kg for year in asked])


def household_of(frame: Frame, asked: Sequence[Asked]) -> Household:
    """The sides of a frame by year.

    Args:
        frame: of the template.
        asked: by the years.
    """
    build, larder = frame.build, frame.larder
    shares = [
        {diet: need / np.where(larder.need > 0.0, larder.need, 1.0) for diet, need in one.of_diet.items()}
        for one in asked
    ]
    ceiling = {(plate.key, plate.diet): ceilings(plate, asked, larder) for plate in larder.plates}
    rows: list[tuple[int, F64, F64]] = []
    columns: list[tuple[int, F64]] = []
    nothing = np.full(len(asked), -np.inf)
    for index, diet, month, row in build.asked:
        share = np.array([one[diet][index, month] for one in shares])
        rows.append((row, share, larder.energy_high * share if index == ENERGY else -nothing))
    columns += [
        (column, part * np.array([one[diet][index, month] for one in shares]))
        for index, diet, month, column, part in build.lacking
    ]
    rows += [(row, nothing, part * ceiling[key, diet][:, month]) for key, diet, month, row, part in build.served_rows]
    columns += [
        (column, part * ceiling[key, diet][:, month]) for key, diet, month, column, part in build.served_columns
    ]
    most_kg = limits_by_year(frame, ceiling, len(asked))
    rows_of_reserve, lacking = reserve(frame, asked, most_kg)
    return as_arrays([*rows, *rows_of_reserve], [*columns, *lacking, *deepest(frame, shares)], asked, most_kg)


def limits_by_year(frame: Frame, ceiling: dict[PlateKey, F64], years: int) -> F64:
    """What the limits of the fare hold in each year, kilograms [year, limit, 12]."""
    found = []
    for year in range(years):
        plates = tuple(replace(plate, ceiling_kg=ceiling[plate.key, plate.diet][year]) for plate in frame.larder.plates)
        fare = fare_of(replace(frame.larder, plates=plates), frame.fare.goods)
        found.append([limit.most_kg for limit in fare.limits])
    return np.array(found).reshape(years, len(frame.fare.limits), MONTHS)


def reserve(
    frame: Frame, asked: Sequence[Asked], most_kg: F64
) -> tuple[list[tuple[int, F64, F64]], list[tuple[int, F64]]]:
    """Sides of the reserve's rows, bounds of what lacks: days of each year's own need and plates."""
    need = frame.larder.need[ENERGY]
    open_ended = np.full(len(asked), np.inf)
    rows, columns = [], []
    for row, column in zip(frame.reserve.row.tolist(), frame.reserve.lacking.tolist(), strict=True):
        month = int(frame.row_month[row])
        part = np.array([one.need[ENERGY, month] for one in asked]) / need[month]
        rows.append((row, part, open_ended))
        columns.append((column, part))
    own = frame.reserve
    for row, limit, month, per_kg in zip(own.beyond, own.limit, own.month, own.per_kg, strict=True):
        rows.append((int(row), -open_ended, per_kg * most_kg[:, limit, month]))
    return rows, columns


def deepest(frame: Frame, shares: Sequence[dict[str, F64]]) -> Iterator[tuple[int, F64]]:
    """Bounds of the worst shortage, which is told in the template's need: what a year needs more may lack too."""
    own = {diet.name: diet for diet in frame.larder.diets}
    for column in frame.build.deepest:
        most = 1.0
        for one in shares:
            for diet, share in one.items():
                whole = own[diet].share if own else np.ones_like(share)
                most = max(most, float((share / np.where(whole > 0.0, whole, np.inf)).max()))
        yield column, np.full(len(shares), most)


def as_arrays(
    rows: list[tuple[int, F64, F64]], columns: list[tuple[int, F64]], asked: Sequence[Asked], most_kg: F64
) -> Household:
    """The sides as arrays."""
    return Household(
        rows=np.array([row for row, _, _ in rows], dtype=np.int64),
        row_lower=np.array([lower for _, lower, _ in rows]).T,
        row_upper=np.array([upper for _, _, upper in rows]).T,
        columns=np.array([column for column, _ in columns], dtype=np.int64),
        upper=np.array([upper for _, upper in columns]).T,
        need=np.array([one.need for one in asked]),
        most_kg=most_kg,
    )
