"""One larder year as a program whose sides change and whose matrix does not: the block that policies and bounds are made of.

The block is `larder.program.build_program` of a year that is not cyclic, with things added: a row for each batch
that is put by, so that what was laid can be held while its taking is still open; where each opening and each left-over
lies; and the reserve; and what hunger of stock cannot take (`larderyears.asks`). What a month decides, and which rows it closes, are known by month.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Build, availability
from yardland.larder.description import MONTHS, Keeping, Larder
from yardland.larder.feed_rows import standing
from yardland.larder.plate_days import Fare, fare_of
from yardland.larder.power import COLD
from yardland.larder.program import build_program
from yardland.larder.weights import WEIGHTS, Weights
from yardland.larderyears.asks import Asks, asks_of
from yardland.larderyears.openings import SHELF_LAIN, Lying, a_year_on, lain_at_end, openings
from yardland.larderyears.reserve import Reserve, keep_reserve
from yardland.larderyears.seedstock import keep_seed

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
Bool = npt.NDArray[np.bool_]

OPEN = 99
"""Month of a column that no month of the year decides: what is left over, sums over months."""
NEVER_CLOSED = -1
"""Month of a row that holds the whole year: what was laid, what lay there, the worst month."""
HELD_ALL_YEAR = ("laid.", "opening.", "depth.", "hunger.")
HANDS = ("jars.", "dryer.")
"""Rows of what the household's hands can put by in a month."""
ENERGY = 0


@dataclass(frozen=True)
class Sparse:
    """Entries (row, column, value) of a matrix."""

    row: I64
    column: I64
    value: F64


def sparse(entries: Sequence[tuple[int, int, float]]) -> Sparse:
    """Entries as arrays."""
    return Sparse(
        np.array([row for row, _, _ in entries], dtype=np.int64),
        np.array([column for _, column, _ in entries], dtype=np.int64),
        np.array([value for _, _, value in entries], dtype=np.float64),
    )


@dataclass(frozen=True)
class Left:
    """Columns of what is left over at the end of the year: kg there per unit, and the opening that it becomes (-1 none)."""

    column: I64
    kg: F64
    opening: I64


@dataclass(frozen=True)
class Windows:
    """What grows with what stands on a sward: at [number] is its column or row, its upper bound window x standing.

    sward, month, window [number] ; carry [sward]
    """

    at: I64
    sward: I64
    month: I64
    window: F64


@dataclass(frozen=True)
class Frame:
    """A block. Arrays by row [row] or column [column].

    build : where the rows and columns come from, with the larder of the template
    matrix : coefficients ; row_lower, row_upper, lower, upper, cost : as the template has them, with no opening
    row_month : month that closes a row, NEVER_CLOSED for those that hold all year ; decided : month that decides a column, OPEN
    arrivals : (row, good * 12 + month, factor): how sides move with what arrives ; goods : order of the goods ; arriving : of the template, [good * 12 + month]
    graze_row, graze_left : [sward, month] row and column (-1 none) whose upper bound is the growth ; swards : their order
    asks : what moves with the heads of the herds ; hands_row : rows of what the kitchen can put by in a month
    cuts, mown : columns and rows that grow with what stands ; carry [sward] : of a month's grass, what stands a month on
    lying : openings in order ; opening_row [opening] ; left : what is left over
    laid_row, laid_month [batch] : rows that hold what was put by ; thawed [batch] : column of what of it a freezer loses, -1
    fare : what people can eat of what may lie there ; shelved : (month * its goods + good, column, kg there per unit) ; reserve : its rows ; eaten : (nutrient * 12 + month, column, amount per unit)
    """

    build: Build
    matrix: Sparse
    cost: F64
    lower: F64
    upper: F64
    row_lower: F64
    row_upper: F64
    row_names: tuple[str, ...]
    row_month: I64
    decided: I64
    goods: tuple[str, ...]
    arrivals: Sparse
    arriving: F64
    swards: tuple[str, ...]
    graze_row: I64
    graze_left: I64
    asks: Asks
    hands_row: I64
    cuts: Windows
    mown: Windows
    carry: F64
    lying: tuple[Lying, ...]
    opening_row: I64
    left: Left
    laid_row: I64
    laid_month: I64
    thawed: I64
    fare: Fare
    shelved: Sparse
    reserve: Reserve
    eaten: Sparse

    @property
    def larder(self) -> Larder:
        """The question of the template."""
        return self.build.larder


def make_frame(
    larder: Larder,
    reserve_days: float,
    weights: Weights = WEIGHTS,
    today: Iterable[Lying] = (),
    *,
    hunger_carried: float = 0.0,
) -> Frame:
    """The block of a described larder.

    Args:
        larder: with all that may ever arrive, month by month, as the template's production; cyclic or not.
        reserve_days: food that should lie on the shelves at the end of each month, in days of the household's energy need.
        weights: prices of the aims.
        today: what lies there as a chain begins, beside all that its years may leave.
        hunger_carried: share of what a class of stock lacked in a month that lowers its eggs and milk of the next.
    """
    spread = replace(larder, cyclic=False, opening=())
    lying = tuple(sorted({*openings(spread, availability(replace(spread, cyclic=True))), *today}))
    held = replace(spread, opening=tuple((one.good, one.method, 1e-3, one.lain) for one in lying))
    build = build_program(held, weights)
    asks = asks_of(build, hunger_carried)
    rows = {(good, method, lain): row for good, method, lain, row in build.opening_rows}
    lying = tuple(one for one in lying if (one.good, one.method, one.lain) in rows)
    laid_row, laid_month, thawed = hold_batches(build)
    ways = [*(batch.keeping for batch in build.batches), *(shelf.keeping for shelf in build.shelves)]
    fare = fare_of(build.larder, [way.gives for way in ways])
    lies = shelved(build, fare)
    reserve = keep_reserve(build, fare, lies, reserve_days)
    keep_seed(build)
    model = build.model
    names = tuple(model.row_names)
    opening_row = np.array([rows[one.good, one.method, one.lain] for one in lying], dtype=np.int64)
    lower, upper = np.array(model.row_lower), np.array(model.row_upper)
    lower[opening_row] = upper[opening_row] = 0.0
    goods = tuple(sorted({good for good, _ in build.sides}))
    decided = decided_months(build)
    left = left_over(build, lying)
    column_upper = np.array(model.upper)
    column_upper[left.column[left.opening < 0]] = 0.0
    for row, columns in seed_rows(build).items():
        # seed that is put aside month by month: each month no more than is sown, so that what follows always has an answer
        if put_off(build, row, columns, decided):
            column_upper[columns] = np.minimum(column_upper[columns], lower[row])
            upper[row] = np.inf
    kept = left.opening >= 0
    swards, graze_row, graze_left = grazed(build, names)
    cuts, mown, carry = windows(build, swards, names)
    return Frame(
        build=build,
        matrix=Sparse(
            np.array(model.entry_row, dtype=np.int64),
            np.array(model.entry_column, dtype=np.int64),
            np.array(model.entry_value),
        ),
        cost=np.array(model.cost),
        lower=np.array(model.lower),
        upper=column_upper,
        row_lower=lower,
        row_upper=upper,
        row_names=names,
        row_month=row_months(build, names, decided),
        decided=decided,
        goods=goods,
        arrivals=arrivals(build, goods),
        arriving=arriving(build, goods),
        swards=swards,
        graze_row=graze_row,
        graze_left=graze_left,
        asks=asks,
        hands_row=np.array([row for row, name in enumerate(names) if name.startswith(HANDS)], dtype=np.int64),
        cuts=cuts,
        mown=mown,
        carry=carry,
        lying=lying,
        opening_row=opening_row,
        left=Left(left.column[kept], left.kg[kept], left.opening[kept]),
        laid_row=laid_row,
        laid_month=laid_month,
        thawed=thawed,
        fare=fare,
        shelved=lies,
        reserve=reserve,
        eaten=eaten(build),
    )


def hold_batches(build: Build) -> tuple[I64, I64, I64]:
    """Rows "laid.<good>.<way>.<month>": the sum of a batch's takings, free until the month is over, then held.

    What a freezer loses of a batch was put by and is never taken: a column of its own, none until it is lost.
    """
    groups: dict[tuple[Keeping, int], list[int]] = defaultdict(list)
    for batch in build.batches:
        if batch.made >= 0:
            groups[batch.keeping, batch.made].append(batch.column)
    found = []
    for (keeping, made), columns in groups.items():
        row = build.model.row(f"laid.{keeping.good}.{keeping.method}.{build.month(made)}")
        thawed = -1
        if keeping.place == COLD:
            thawed = build.model.column(0.0, 0.0)
            build.use(keeping.good, made, thawed)
        for column in [*columns, thawed] if thawed >= 0 else columns:
            build.model.put(row, column, 1.0)
        found.append((row, made, thawed))
    row_at, made_at, thawed_at = np.array(found, dtype=np.int64).reshape(-1, 3).T
    return row_at, made_at, thawed_at


def eaten(build: Build) -> Sparse:
    """What is eaten of each nutrient: (nutrient * 12 + month, column, amount per unit)."""
    entries = []
    for (good, month), columns in build.eat.items():
        per_kg = build.good(good).per_kg
        if per_kg is not None:
            entries += [
                (int(index) * MONTHS + month, column, float(per_kg[index, month]))
                for index in np.flatnonzero(per_kg[:, month])
                for column in columns
            ]
    return sparse(entries)


def decided_months(build: Build) -> I64:
    """Month that decides each column: of its first flow; a batch's is that of its taking."""
    found = np.full(len(build.model.cost), OPEN, dtype=np.int64)
    for (_, month), terms in build.flows.items():
        for column, _ in terms:
            found[column] = min(found[column], month)
    for batch in build.batches:
        found[batch.column] = batch.taken if batch.taken < MONTHS else OPEN
    for shelf in build.shelves:
        for month, column in enumerate(shelf.on_shelf):
            found[column] = month
    for (_, month), column in build.feed_short.items():
        found[column] = month
    for (_, month), column in build.short.items():
        found[column] = month
    for (_, _, month), column in build.feed_lack.items():
        found[column] = month
    months = {month.name: index for index, month in enumerate(build.larder.months)}
    for row, column in left_rows(build):
        found[column] = months[build.model.row_names[row].rpartition(".")[2]]
    put_off_seed(build, found)
    return found


def put_off_seed(build: Build, decided: I64) -> None:
    """What lacks of seed is known when the last of it could have been put aside, which may be after it was sown."""
    lacking = {
        column
        for (arc, _), terms in build.flows.items()
        if (arc.source, arc.target) == ("emergency", "seed")
        for column, _ in terms
    }
    for columns in seed_rows(build).values():
        decided[[column for column in columns if column in lacking]] = decided[columns].max()


def put_off(build: Build, row: int, columns: list[int], decided: I64) -> bool:
    """Whether seed of a row is put aside in other months than that of its name."""
    months = {month.name: index for index, month in enumerate(build.larder.months)}
    return bool((decided[columns] != months[build.model.row_names[row].rpartition(".")[2]]).any())


def seed_rows(build: Build) -> dict[int, list[int]]:
    """Row of seed that is asked for -> its columns."""
    found: dict[int, list[int]] = defaultdict(list)
    for row, column in zip(build.model.entry_row, build.model.entry_column, strict=True):
        if build.model.row_names[row].startswith("seed."):
            found[row].append(column)
    return found


def row_months(build: Build, names: tuple[str, ...], decided: I64) -> I64:
    """Month that closes each row: the last part of its name that is a month; of seed, when the last can be put aside."""
    months = {month.name: index for index, month in enumerate(build.larder.months)}
    found = np.full(len(names), NEVER_CLOSED, dtype=np.int64)
    for row, name in enumerate(names):
        if not name.startswith(HELD_ALL_YEAR):
            found[row] = next(months[part] for part in reversed(name.split(".")) if part in months)
    for row, columns in seed_rows(build).items():
        found[row] = decided[columns].max()
    return found


def arrivals(build: Build, goods: tuple[str, ...]) -> Sparse:
    """How the rows' sides move with what arrives of each good in each month."""
    place = {good: index for index, good in enumerate(goods)}
    entries = [
        (row, place[good] * MONTHS + month, factor)
        for (good, month), sides in build.sides.items()
        for row, factor in sides
    ]
    return sparse(entries)


def arriving(build: Build, goods: tuple[str, ...]) -> F64:
    """What arrives of each good in the template, [good * 12 + month]."""
    found = np.zeros((len(goods), MONTHS))
    place = {good: index for index, good in enumerate(goods)}
    for (arc, month), kg in build.constants.items():
        if arc.kind in {"gather", "give"} and arc.good in place:
            found[place[arc.good], month] += kg
    return found.ravel()


def grazed(build: Build, names: tuple[str, ...]) -> tuple[tuple[str, ...], I64, I64]:
    """Accounts of what is grazed, with their rows and the columns of what is left standing, [sward, month]."""
    rows = {name: row for row, name in enumerate(names)}
    standing = {(row, column) for row, column in left_rows(build)}
    left_of = dict(standing)
    accounts = tuple(
        item.account for item in build.larder.production.grazing if f"graze.{item.account}.{build.month(0)}" in rows
    )
    found = np.full((len(accounts), MONTHS), -1, dtype=np.int64)
    left = np.full((len(accounts), MONTHS), -1, dtype=np.int64)
    for index, account in enumerate(accounts):
        for month in range(MONTHS):
            row = rows[f"graze.{account}.{build.month(month)}"]
            found[index, month] = row
            left[index, month] = left_of.get(row, -1)
    return accounts, found, left


def windows(build: Build, accounts: tuple[str, ...], names: tuple[str, ...]) -> tuple[Windows, Windows, F64]:
    """Columns of what is cut in dry spells, rows over all that is cut, and what of each sward is carried on a month."""
    place = {account: index for index, account in enumerate(accounts)}
    grazing = {item.account: item for item in build.larder.production.grazing}
    bounded = set(build.left_standing)
    cuts = [
        (column, place[arc.source], month, build.model.upper[column] / standing(grazing[arc.source], month))
        for (arc, month), terms in build.flows.items()
        for column, _ in terms
        if column in bounded and arc.kind == "gather" and arc.source in place
    ]
    months = {month.name: index for index, month in enumerate(build.larder.months)}
    mown = []
    for row, name in enumerate(names):
        if name.startswith("mown."):
            account, month = name.removeprefix("mown.").rpartition(".")[::2]
            most = standing(grazing[account], months[month])
            mown.append((row, place[account], months[month], build.model.row_upper[row] / most if most > 0.0 else 0.0))
    return as_windows(cuts), as_windows(mown), np.array([grazing[account].carry for account in accounts])


def as_windows(found: list[tuple[int, int, int, float]]) -> Windows:
    """The entries as arrays."""
    return Windows(
        np.array([at for at, _, _, _ in found], dtype=np.int64),
        np.array([sward for _, sward, _, _ in found], dtype=np.int64),
        np.array([month for _, _, month, _ in found], dtype=np.int64),
        np.array([window for _, _, _, window in found], dtype=np.float64),
    )


def left_rows(build: Build) -> Iterator[tuple[int, int]]:
    """(row of a sward's month, column of what is left of it)."""
    flowing = {column for terms in build.flows.values() for column, _ in terms}
    left = set(build.left_standing) - flowing
    model = build.model
    for row, column, value in zip(model.entry_row, model.entry_column, model.entry_value, strict=True):
        if column in left and value == 1.0:
            yield row, column


def left_over(build: Build, lying: tuple[Lying, ...]) -> Left:
    """Every column that stands for what is there when the year ends, and what that is when the next one opens."""
    place = {one: index for index, one in enumerate(lying)}
    entries = []
    for batch in build.batches:
        if batch.taken != MONTHS:
            continue
        lain = lain_at_end(batch.made) if batch.made >= 0 else batch.lain + MONTHS
        key = a_year_on(batch.keeping, lain)
        entries.append((batch.column, batch.on_shelf()[-1][1], place.get(key, -1)))
    for shelf in build.shelves:
        key = Lying(shelf.keeping.good, shelf.keeping.method, SHELF_LAIN)
        entries.append((shelf.on_shelf[MONTHS - 1], 1.0, place.get(key, -1)))
    found = sparse([(opening, column, kg) for column, kg, opening in entries])
    return Left(found.column, found.value, found.row)


def shelved(build: Build, fare: Fare) -> Sparse:
    """What people can eat on the shelves at each month's end: (month * goods of the fare + good, column, kg per unit)."""
    place, width = {good: at for at, good in enumerate(fare.goods)}, len(fare.goods)
    entries = []
    for batch in build.batches:
        if (at := place.get(batch.keeping.gives)) is not None:
            entries += [(month * width + at, batch.column, kept) for month, kept in batch.on_shelf()]
    for shelf in build.shelves:
        if (at := place.get(shelf.keeping.gives)) is not None:
            entries += [(month * width + at, column, 1.0) for month, column in enumerate(shelf.on_shelf)]
    return sparse(entries)


def store_days(frame: Frame, opening_kg: F64, need_kcal: float | None = None) -> float:
    """Edible energy of what lies there as a year opens, in days of the first month's need (the template's if None)."""
    gives = {(one.good, one.method): one.gives for one in frame.larder.keepings}
    kcal = [kcal_per_kg(frame.build, gives[one.good, one.method])[0] for one in frame.lying]
    month = float(frame.larder.need[ENERGY, 0]) if need_kcal is None else need_kcal
    a_day = month / frame.larder.months[0].days
    return float(opening_kg @ np.array(kcal)) / a_day if a_day > 0.0 and kcal else 0.0


def kcal_per_kg(build: Build, good: str) -> F64:
    """Energy that people get from a kilogram of a good by month; 0 for what they do not eat."""
    per_kg = build.good(good).per_kg
    return np.zeros(MONTHS) if per_kg is None else np.asarray(per_kg[ENERGY], dtype=np.float64)
