"""Months in which people lack food, seen close: what is on each plate, and what lies on the shelves meanwhile.

Noted for every such month of a chain and for no other, so that a chain that lacks nothing costs nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.build_table import FIRST_AIMS, diets_of, edible_columns
from yardland.larder.description import MONTHS
from yardland.larderyears.frame import Frame, Sparse
from yardland.larderyears.household import Household
from yardland.larderyears.stack import Stack

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
LACKS = 1e-6
"""Share of a month's need under which a lack is the solver's rounding."""
PlateKey = tuple[str, str]
"""Plate and diet."""


@dataclass(frozen=True)
class Scarcity:
    """Matrices from the columns of a stack's block to plates and shelves: looked up once.

    plates : (plate, diet) in order ; served : (plate * 12 + month, column, edible kg per unit)
    ceiling [year, plate, 12] : the most that is eaten, kg, 0 where a plate has no row; one year for all where people do not grow older
    shelves : goods that may lie there ; lying : (good * 12 + month, column, kg per unit at the month's end)
    lacks : (aim * diets + diet, month, column, whole of it [year])
    """

    plates: tuple[PlateKey, ...]
    served: Sparse
    ceiling: F64
    shelves: tuple[str, ...]
    lying: Sparse
    diets: tuple[str, ...]
    lacks: tuple[tuple[int, int, int, F64], ...]


@dataclass(frozen=True)
class ScarceMonths:
    """Months of a chain in which somebody lacks energy or protein, in order of time.

    year, month [number] : of each ; least [number, aim, diet] : eaten / needed of energy and protein, 1 at most
    plate [number, plate] : served / ceiling, 0 where there is none ; shelf_kg [number, good] : at the month's end
    """

    year: I64
    month: I64
    least: F64
    plate: F64
    shelf_kg: F64


def scarcity(frame: Frame, stack: Stack, household: Household | None = None) -> Scarcity:
    """The matrices of a frame, in the places of a stack.

    Args:
        frame: the block.
        stack: of it.
        household: plates and needs by year, where people grow older.
    """
    build = frame.build
    plates = tuple(dict.fromkeys((plate.key, plate.diet) for plate in build.larder.plates))
    place = {key: at for at, key in enumerate(plates)}
    served = [
        (place[plate.key, plate.diet] * MONTHS + month, column, edible)
        for plate in build.larder.plates
        for month in range(MONTHS)
        for column, edible in edible_columns(build, plate, month)
    ]
    shelves, lying = on_shelves(frame)
    diets = tuple(diet.name for diet in diets_of(build.larder))
    return Scarcity(
        plates=plates,
        served=in_places(stack, served),
        ceiling=ceilings(frame, household, place),
        shelves=shelves,
        lying=in_places(stack, lying),
        diets=diets,
        lacks=tuple(lacking(frame, stack, household, diets)),
    )


def in_places(stack: Stack, entries: list[tuple[int, int, float]]) -> Sparse:
    """Entries (row, column of the frame, value) of the columns that a stack has, in its places."""
    there = [
        (row, int(stack.column_at[column]), value) for row, column, value in entries if stack.column_at[column] >= 0
    ]
    return Sparse(
        np.array([row for row, _, _ in there], dtype=np.int64),
        np.array([column for _, column, _ in there], dtype=np.int64),
        np.array([value for *_, value in there], dtype=np.float64),
    )


def on_shelves(frame: Frame) -> tuple[tuple[str, ...], list[tuple[int, int, float]]]:
    """Goods that may lie there, and (good * 12 + month, column, kilograms per unit) at the months' ends."""
    build = frame.build
    there = [
        (batch.keeping.gives, month, batch.column, kg) for batch in build.batches for month, kg in batch.on_shelf()
    ]
    there += [
        (shelf.keeping.gives, month, column, 1.0)
        for shelf in build.shelves
        for month, column in enumerate(shelf.on_shelf)
    ]
    goods = tuple(sorted({good for good, *_ in there}))
    place = {good: at for at, good in enumerate(goods)}
    return goods, [(place[good] * MONTHS + month, column, kg) for good, month, column, kg in there]


def ceilings(frame: Frame, household: Household | None, place: dict[PlateKey, int]) -> F64:
    """What each plate holds in each year, kilograms [year, plate, 12]."""
    build = frame.build
    years = 1 if household is None else len(household.need)
    found = np.zeros((years, len(place), MONTHS))
    rows = {} if household is None else {row: at for at, row in enumerate(household.rows.tolist())}
    columns = {} if household is None else {column: at for at, column in enumerate(household.columns.tolist())}
    for key, diet, month, row, part in build.served_rows:
        most = frame.row_upper[row] if household is None else household.row_upper[:, rows[row]]
        found[:, place[key, diet], month] = most / part
    for key, diet, month, column, part in build.served_columns:
        most = frame.upper[column] if household is None else household.upper[:, columns[column]]
        found[:, place[key, diet], month] = np.maximum(found[:, place[key, diet], month], most / part)
    return found


def lacking(
    frame: Frame, stack: Stack, household: Household | None, diets: tuple[str, ...]
) -> list[tuple[int, int, int, F64]]:
    """(aim * diets + diet, month, column of the stack, the whole of what it may lack [year])."""
    found = []
    place = {} if household is None else {column: at for at, column in enumerate(household.columns.tolist())}
    for (name, month), column in frame.build.short.items():
        aim, _, diet = name.partition("@")
        most = frame.upper[column : column + 1] if household is None else household.upper[:, place[column]]
        if frame.upper[column] > 0.0 and stack.column_at[column] >= 0:
            at = FIRST_AIMS.index(aim) * len(diets) + diets.index(diet)
            found.append((at, month, int(stack.column_at[column]), np.asarray(most)))
    return found


def scarce_months(own: Scarcity, x: F64) -> ScarceMonths:
    """The months of a chain in which somebody lacks food.

    Args:
        own: of the policy's frame and stack.
        x: what was done, [year, column of the stack's block].
    """
    count = len(x)
    least = np.ones((count, MONTHS, len(FIRST_AIMS) * len(own.diets)))
    for aim, lacks_in, column, whole in own.lacks:
        most = whole[np.minimum(np.arange(count), len(whole) - 1)]
        share = np.divide(x[:, column], most, out=np.zeros(count), where=most > 0.0)
        least[:, lacks_in, aim] = 1.0 - np.clip(share, 0.0, 1.0)
    year, month = np.nonzero(least.min(axis=2) < 1.0 - LACKS)
    plate, shelf = np.zeros((len(year), len(own.plates))), np.zeros((len(year), len(own.shelves)))
    for number, (at, when) in enumerate(zip(year.tolist(), month.tolist(), strict=True)):
        if number == 0 or at != year[number - 1]:
            served, lying = (summed(one, x[at], rows) for one, rows in ((own.served, plate), (own.lying, shelf)))
        most = own.ceiling[min(at, len(own.ceiling) - 1), :, when]
        plate[number] = np.divide(served[:, when], most, out=np.zeros(len(most)), where=most > 0.0)
        shelf[number] = lying[:, when]
    shape = (len(year), len(FIRST_AIMS), len(own.diets))
    return ScarceMonths(year, month, least[year, month].reshape(shape), plate, shelf)


def summed(matrix: Sparse, x: F64, told: F64) -> F64:
    """Matrix @ x by [row // 12, month], for as many as `told` has."""
    width = told.shape[1]
    found = np.bincount(matrix.row, weights=matrix.value * x[matrix.column], minlength=width * MONTHS)
    return np.asarray(found.reshape(width, MONTHS))
