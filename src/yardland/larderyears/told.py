"""What a walked chain says of its years: coverage, stores, shortages, purchases; small arrays that are kept and counted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.build_table import FIRST_AIMS
from yardland.larder.description import MONTHS
from yardland.larder.plate_days import Fare, beyond_kcal, month_most_kg_day, plain_days, plate_days
from yardland.larderyears.asks import ENERGY as FEED_ENERGY
from yardland.larderyears.food_flows import FoodFlows, food_flows, told_flows
from yardland.larderyears.frame import ENERGY, Frame, Sparse
from yardland.larderyears.household import Household
from yardland.larderyears.hungry_stock import Troughs, fed_years, troughs
from yardland.larderyears.scarcity import Scarcity, scarce_months, scarcity
from yardland.larderyears.stack import Stack
from yardland.larderyears.walk import Walked

F64 = npt.NDArray[np.float64]
Bool = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class ChainTold:
    """One chain, burn-in and last year included.

    coverage [year, nutrient, 12] : eaten / needed ; least [year, 2, 12] : of energy and of protein, 1 at most, of the worst fed
    diet ; stock_days, plate_days [year, 12] : food on the shelves at each month's end, in days of the month's need by its energy
    and that plates can take (larder.plate_days) ; beyond_days [year, good of the fare] : mean days' worth beyond these, by energy ; feed_short [year, herd, 12] : share of the energy need not met ; lacking_kg [year, 12] : what people lack, as
    emergency food ; bought_kg [year, good] ; bought_share [year] : most of the food energy that can have been bought
    shortfall [year] : sum over months of the shares of energy and of protein that lack (of the mean need, where people grow older) ; seed_kg [year] : seed that had to be got ; unmade_kg [year] : taken by
    hunger of stock from gifts that were not there (`asks.UNMADE`) ; arrived_kg [year, good]
    opening_kg [year + 1, opening] : what lay there as each year opened, and after the last ; pivots, solves : of the solver
    grass_kg_dm [year] : grown on all swards ; hungry_feeds [year, herd, feed, 2], bought_full [year, good] : `hungry_stock`
    unplaced_kg : what came of goods that no training year knew, so that nobody could use it, all years
    food_mj [year, pair] : edible energy by line and good (`food_flows`)
    scarce_at [number, 2], scarce_least, scarce_plate, scarce_shelf_kg [number, ...] : year and month of those in which people
    lack something, and what they looked like (`scarcity`)
    """

    chain: int
    coverage: F64
    least: F64
    stock_days: F64
    plate_days: F64
    beyond_days: F64
    feed_short: F64
    lacking_kg: F64
    shortfall: F64
    bought_kg: F64
    bought_share: F64
    seed_kg: F64
    unmade_kg: F64
    arrived_kg: F64
    opening_kg: F64
    grass_kg_dm: F64
    hungry_feeds: npt.NDArray[np.uint8]
    bought_full: npt.NDArray[np.uint8]
    unplaced_kg: float
    food_mj: F64
    scarce_at: npt.NDArray[np.int64]
    scarce_least: F64
    scarce_plate: F64
    scarce_shelf_kg: F64
    pivots: int
    solves: int


@dataclass(frozen=True)
class Teller:
    """Matrices from the columns of a stack's block to what is told: looked up once.

    need [year, nutrient, 12] : in the month, one year for all where people do not grow older ; most_kg_day [year, 12, limit] : of the
    limits of the fare, likewise ; lacks : (aim, month, column,
    the whole of what it may lack [year])
    """

    goods: tuple[str, ...]
    herds: tuple[str, ...]
    herd_mj: F64
    bought: tuple[str, ...]
    need: F64
    days: F64
    eaten: Sparse
    fare: Fare
    most_kg_day: F64
    shelved: Sparse
    short: Sparse
    buys: Sparse
    edible_bought: Sparse
    lacking: Sparse
    hunger: Sparse
    lacks: tuple[tuple[int, int, int, F64], ...]
    seed: Sparse
    unmade: Sparse
    food: FoodFlows
    scarcity: Scarcity
    troughs: Troughs


def teller(frame: Frame, stack: Stack, household: Household | None = None) -> Teller:
    """The matrices of a frame, in the places of a stack; needs by the year where people grow older."""
    build = frame.build
    larder = frame.larder
    herds = frame.asks.accounts
    herd_at = {account: index for index, account in enumerate(herds)}
    buying = [
        (arc.good, month, column, kg)
        for (arc, month), terms in build.flows.items()
        if arc.kind == "buy"
        for column, kg in terms
    ]
    bought = tuple(sorted({good for good, *_ in buying}))
    place = {good: index for index, good in enumerate(bought)}
    kcal = {good: energy_per_kg(frame, good) for good in bought}
    edible = [(0, column, kg * kcal[good][month]) for good, month, column, kg in buying]
    edible += [
        (0, column, -kg * kcal[arc.good][month])
        for (arc, month), terms in build.flows.items()
        if arc.kind == "feed" and arc.good in kcal
        for column, kg in terms
    ]
    flows = [(arc, month, column, kg) for (arc, month), terms in build.flows.items() for column, kg in terms]
    days = np.array([month.days for month in larder.months], dtype=np.float64)
    return Teller(
        goods=frame.goods,
        herds=herds,
        herd_mj=frame.asks.need[:, FEED_ENERGY],
        bought=bought,
        need=np.asarray(larder.need, dtype=np.float64)[None] if household is None else household.need,
        days=days,
        eaten=placed(stack, frame.eaten.row, frame.eaten.column, frame.eaten.value),
        fare=frame.fare,
        most_kg_day=month_most_kg_day(frame.fare, days)[None]
        if household is None
        else np.asarray((household.most_kg / days).transpose(0, 2, 1)),
        shelved=placed(stack, frame.shelved.row, frame.shelved.column, frame.shelved.value),
        short=in_stack(
            stack,
            [(herd_at[account] * MONTHS + month, column, 1.0) for (account, month), column in build.feed_short.items()],
        ),
        buys=in_stack(stack, [(place[good], column, kg) for good, _, column, kg in buying]),
        edible_bought=in_stack(stack, edible),
        lacking=in_stack(
            stack,
            [
                (month, column, kg)
                for arc, month, column, kg in flows
                if (arc.kind, arc.target) == ("emergency", "people")
            ],
        ),
        hunger=in_stack(stack, [(0, column, 1.0) for column in build.short.values()]),
        lacks=tuple(
            (
                FIRST_AIMS.index(name.partition("@")[0]),
                month,
                int(stack.column_at[column]),
                wholes(frame, household, column),
            )
            for (name, month), column in build.short.items()
            if frame.upper[column] > 0.0
        ),
        seed=in_stack(
            stack, [(0, column, kg) for arc, _, column, kg in flows if (arc.kind, arc.target) == ("emergency", "seed")]
        ),
        unmade=in_stack(stack, [(0, column, 1.0) for column in unmade_columns(frame).tolist()]),
        food=food_flows(frame, stack),
        scarcity=scarcity(frame, stack, household),
        troughs=troughs(frame, stack),
    )


def wholes(frame: Frame, household: Household | None, column: int) -> F64:
    """The most that a column may be in each year, [year]; one year for all where people do not grow older."""
    if household is None:
        return frame.upper[column : column + 1]
    return np.asarray(household.upper[:, np.flatnonzero(household.columns == column)[0]])


def by_year(values: F64, years: int) -> F64:
    """The values of so many years, the last one for all beyond them; arrays [year, ...]."""
    return np.asarray(values[np.minimum(np.arange(years), len(values) - 1)])


def unmade_columns(frame: Frame) -> npt.NDArray[np.int64]:
    """Columns of what hunger of stock takes from gifts that were not there."""
    found = [
        column
        for (arc, _), terms in frame.build.flows.items()
        if arc.kind == "emergency" and arc.target.startswith("kitchen:")
        for column, _ in terms
    ]
    return np.array(found, dtype=np.int64)


def energy_per_kg(frame: Frame, good: str) -> F64:
    """Energy of a kilogram of a good for people, kcal [12]; 0 for what they do not eat."""
    per_kg = frame.larder.goods[good].per_kg if good in frame.larder.goods else None
    return np.zeros(MONTHS) if per_kg is None else np.asarray(per_kg[ENERGY], dtype=np.float64)


def in_stack(stack: Stack, entries: list[tuple[int, int, float]]) -> Sparse:
    """Entries (row, column of the frame, value) in the places of a stack."""
    rows, columns, values = zip(*entries, strict=True) if entries else ((), (), ())
    return placed(
        stack, np.array(rows, dtype=np.int64), np.array(columns, dtype=np.int64), np.array(values, dtype=np.float64)
    )


def placed(stack: Stack, row: npt.NDArray[np.int64], column: npt.NDArray[np.int64], value: F64) -> Sparse:
    """Entries of columns that the stack has."""
    there = stack.column_at[column] >= 0
    return Sparse(row[there], stack.column_at[column[there]], value[there])


def times(matrix: Sparse, x: F64, rows: int) -> F64:
    """Matrix @ x for every year, [year, rows]."""
    return np.array(
        [np.bincount(matrix.row, weights=matrix.value * year[matrix.column], minlength=rows) for year in x]
    ).reshape(len(x), rows)


@dataclass(frozen=True)
class Stores:
    """Days of food at each month's end: plain, on_plates [year, 12] ; beyond [year, 12, good] : days' worth beyond the plates."""

    plain: F64
    on_plates: F64
    beyond: F64


def stores_of(tell: Teller, x: F64, need_kcal: F64) -> Stores:
    """What lies on the shelves at each month's end.

    Args:
        tell: of the policy's frame and stack.
        x: what was done [year, column].
        need_kcal: of the month [year, 12].
    """
    years, goods = len(x), len(tell.fare.goods)
    kg = np.maximum(times(tell.shelved, x, MONTHS * goods).reshape(years * MONTHS, goods), 0.0)
    kcal = np.tile(tell.fare.kcal_per_kg.T, (years, 1))
    most = by_year(tell.most_kg_day, years).reshape(years * MONTHS, -1)
    need = (need_kcal / tell.days).ravel()
    days = plate_days(tell.fare, kg, kcal, most, need)
    beyond = beyond_kcal(tell.fare, kg, kcal, most, days) / np.where(need > 0.0, need, 1.0)[:, None]
    return Stores(
        plain_days(kg, kcal, need).reshape(years, MONTHS),
        days.reshape(years, MONTHS),
        beyond.reshape(years, MONTHS, goods),
    )


def hungry(tell: Teller, walked: Walked) -> F64:
    """Share of its energy need that each class lacks, [year, herd, 12]; the program counts in shares of the template's need."""
    lacks = times(tell.short, walked.x, len(tell.herds) * MONTHS).reshape(len(walked.x), len(tell.herds), MONTHS)
    need = walked.came.asked[:, :, FEED_ENERGY]
    return np.clip(np.divide(lacks * tell.herd_mj, need, out=np.zeros_like(need), where=need > 0.0), 0.0, 1.0)


def tell_chain(tell: Teller, chain: int, walked: Walked, unplaced_kg: float = 0.0) -> ChainTold:
    """What a chain says.

    Args:
        tell: of the policy's frame and stack.
        chain: its number.
        walked: what was done in it.
        unplaced_kg: of what its years brought, goods that the frame has no place for.
    """
    x = walked.x
    asked = by_year(tell.need, len(x))
    nutrients = asked.shape[1]
    amounts = times(tell.eaten, x, nutrients * MONTHS).reshape(len(x), nutrients, MONTHS)
    need = np.where(asked > 0.0, asked, 1.0)
    energy = asked[:, ENERGY]
    stores = stores_of(tell, x, energy)
    edible = times(tell.edible_bought, x, 1)[:, 0]
    whole = energy.sum(axis=1)
    least = np.ones((len(x), len(FIRST_AIMS), MONTHS))
    for aim, month, column, most in tell.lacks:
        share = x[:, column] / by_year(np.where(most > 0.0, most, np.inf), len(x))
        least[:, aim, month] = np.minimum(least[:, aim, month], 1.0 - np.clip(share, 0.0, 1.0))
    scarce = scarce_months(tell.scarcity, x)
    short = hungry(tell, walked)
    fed = fed_years(tell.troughs, x, short)
    return ChainTold(
        chain=chain,
        coverage=np.where(asked > 0.0, amounts / need, 1.0),
        least=least,
        stock_days=stores.plain,
        plate_days=stores.on_plates,
        beyond_days=stores.beyond.mean(axis=1),
        feed_short=short,
        lacking_kg=times(tell.lacking, x, MONTHS),
        shortfall=times(tell.hunger, x, 1)[:, 0],
        bought_kg=times(tell.buys, x, len(tell.bought)),
        bought_share=np.clip(edible / np.where(whole > 0.0, whole, 1.0), 0.0, 1.0),
        seed_kg=times(tell.seed, x, 1)[:, 0],
        unmade_kg=times(tell.unmade, x, 1)[:, 0],
        opening_kg=walked.opening_kg,
        arrived_kg=walked.came.arriving_kg.sum(axis=2),
        grass_kg_dm=walked.came.growth_kg_dm.sum(axis=(1, 2)),
        hungry_feeds=fed.feeds,
        bought_full=fed.bought_full,
        unplaced_kg=unplaced_kg,
        food_mj=told_flows(tell.food, walked),
        scarce_at=np.column_stack([scarce.year, scarce.month]),
        scarce_least=scarce.least,
        scarce_plate=scarce.plate,
        scarce_shelf_kg=scarce.shelf_kg,
        pivots=walked.pivots,
        solves=walked.solves,
    )
