"""Where the edible energy of a walked year came from and went to, good by good; every year closes.

    grown + given + bought + opening = eaten + fed + sown + sold + prepared + spoiled + surplus + closing

Each line is a sum over columns of what was done, so that a year is told by one product. A good counts with its own energy
wherever it goes (olives, which nobody eats raw, with that of their oil): of what mill, dairy and jars turn into other goods the
difference is `prepared`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Batch, Build
from yardland.larder.description import MONTHS
from yardland.larder.power import COLD
from yardland.larderyears.frame import ENERGY, Frame, Sparse
from yardland.larderyears.stack import Stack
from yardland.larderyears.walk import Walked
from yardland.ledger.arcs import Arc

F64 = npt.NDArray[np.float64]
MJ_PER_KCAL = 0.004184
CAME = ("ground", "trees", "herds", "bought", "opening")
WENT = ("eaten", "fed", "sown", "sold", "prepared", "spoiled", "surplus", "closing")
LINES = (*CAME, *WENT)
"""ground : crops and all that is gathered beside trees ; prepared : lost in mill, dairy and putting by ; spoiled : on the shelf,
in thawed freezers too ; surplus : given to the soil because nobody took it."""
BY_KIND = {
    "buy": "bought",
    "eat": "eaten",
    "feed": "fed",
    "gather": "ground",
    "give": "herds",
    "sell": "sold",
    "sow": "sown",
}
KITCHEN = "kitchen:"
LONGEST_WAY = 3
"""Steps of mill, dairy and putting by from what is not eaten as it is to food."""
Entries = dict[tuple[str, str, int], float]
"""(line, good, column) -> MJ per unit."""


@dataclass(frozen=True)
class FoodFlows:
    """From what was done and what arrived to MJ by line and good.

    pairs : (line, good) in the order of what is told ; done : (pair, column of the stack, MJ per unit)
    arrived : (pair, good of the frame * 12 + month, MJ/kg) ; opened, closed : (pair, opening, MJ/kg)
    """

    pairs: tuple[tuple[str, str], ...]
    done: Sparse
    arrived: Sparse
    opened: Sparse
    closed: Sparse


def food_flows(frame: Frame, stack: Stack) -> FoodFlows:
    """The lines of a frame, in the places of a stack.

    Args:
        frame: the block.
        stack: of it, whose first block years are walked through.
    """
    mj = worth_mj(frame.build)
    done: Entries = defaultdict(float)
    for line, good, column, value in (*of_arcs(frame.build, mj), *of_batches(frame, mj), *of_frozen_shelves(frame, mj)):
        if value != 0.0 and stack.column_at[column] >= 0:
            done[line, good, int(stack.column_at[column])] += value
    arrived = {(line, good, at): value for line, good, at, value in of_arrivals(frame, stack, mj)}
    gives = {(one.good, one.method): one.gives for one in frame.larder.keepings}
    lying = [(gives[one.good, one.method], at) for at, one in enumerate(frame.lying)]
    opened = {(line, good, at): mj[good] for line in ("opening", "spoiled") for good, at in lying if good in mj}
    closed = {("closing", good, at): mj[good] for good, at in lying if good in mj}
    found = {(line, good) for part in (done, arrived, opened, closed) for line, good, _ in part}
    pairs = tuple(sorted(found, key=lambda pair: (LINES.index(pair[0]), pair[1])))
    place = {pair: at for at, pair in enumerate(pairs)}
    return FoodFlows(pairs, *(as_sparse(part, place) for part in (done, arrived, opened, closed)))


def as_sparse(part: Entries, place: dict[tuple[str, str], int]) -> Sparse:
    """Entries by (line, good) as arrays."""
    row = np.array([place[line, good] for line, good, _ in part], dtype=np.int64)
    return Sparse(row, np.array([at for *_, at in part], dtype=np.int64), np.array(list(part.values())))


def mj_per_kg(build: Build) -> dict[str, float]:
    """Energy that people get from a kilogram of each good that is food, MJ: the mean of the months, which are alike."""
    return {
        key: MJ_PER_KCAL * float(good.per_kg[ENERGY].mean())
        for key, good in build.larder.goods.items()
        if good.per_kg is not None and good.per_kg[ENERGY].any()
    }


def worth_mj(build: Build) -> dict[str, float]:
    """Energy of a kilogram of each good, MJ: its own, or of what is not eaten as it is, that of the food made of it (oil of olives)."""
    own = mj_per_kg(build)
    found = dict(own)
    for _ in range(LONGEST_WAY):
        made: dict[str, float] = {}
        for process in build.larder.processes:
            energy = sum(share * found.get(good, 0.0) for good, share in process.gives)
            made[process.takes] = max(made.get(process.takes, 0.0), energy)
        for keeping in build.larder.keepings:
            energy = keeping.yield_fraction * found.get(keeping.gives, 0.0)
            made[keeping.good] = max(made.get(keeping.good, 0.0), energy)
        found |= {good: energy for good, energy in made.items() if good not in own and energy > 0.0}
    return found


def of_arcs(build: Build, mj: dict[str, float]) -> Iterator[tuple[str, str, int, float]]:
    """What flows on the arcs of the program: (line, good, column, MJ per unit)."""
    turned = {
        column for (arc, _), terms in build.flows.items() if arc.kind in {"make", "put_by"} for column, _ in terms
    }
    for (arc, _), terms in build.flows.items():
        line = line_of(arc)
        for column, kg in terms:
            if arc.kind in {"make", "put_by"}:
                yield from turned_into(arc, column, kg, mj)
            elif line == "surplus" and column in turned:
                yield "prepared", arc.good, column, kg * mj.get(arc.good, 0.0)
            elif line:
                yield line, arc.good, column, kg * mj.get(arc.good, 0.0)


def line_of(arc: Arc) -> str:
    """The line that an arc belongs to; "" for what is no food of the kitchen or lies between kitchen and shelf."""
    if arc.kind == "trim":
        return "surplus" if arc.source.startswith(KITCHEN) else ""
    if arc.kind == "emergency":  # takes back what hunger of stock took from a gift that was not there
        return "herds" if arc.target.startswith(KITCHEN) else ""
    if arc.kind == "spoil":
        return "spoiled" if arc.source.startswith("store:") else ""
    return BY_KIND.get(arc.kind, "")


def turned_into(arc: Arc, column: int, kg: float, mj: dict[str, float]) -> Iterator[tuple[str, str, int, float]]:
    """What is lost where a good becomes another: energy taken less energy given."""
    if arc.kind == "put_by":
        before, after = arc.source.removeprefix(KITCHEN), arc.good
    else:
        before, after = arc.source.removeprefix(KITCHEN), arc.target.removeprefix(KITCHEN)
    if arc.source.startswith(KITCHEN):
        yield "prepared", before, column, kg * mj.get(before, 0.0)
    yield "prepared", before if arc.source.startswith(KITCHEN) else after, column, -kg * mj.get(after, 0.0)


def of_batches(frame: Frame, mj: dict[str, float]) -> Iterator[tuple[str, str, int, float]]:
    """What batches lose as they are put by and while they lie; what lay there at first and was not taken was lost as well."""
    for batch in frame.build.batches:
        keeping = batch.keeping
        there = keeping.yield_fraction * mj.get(keeping.gives, 0.0)
        if batch.made >= 0:
            yield "prepared", keeping.good, batch.column, mj.get(keeping.good, 0.0) - there
            yield "spoiled", keeping.gives, batch.column, there * (1.0 - left_of(batch))
        else:  # beside all that lay there, which is told as spoiled until it is taken
            yield "spoiled", keeping.gives, batch.column, -there * left_of(batch)
    ways = {(one.good, one.method): one for one in frame.larder.keepings}
    for row, thawed in zip(frame.laid_row.tolist(), frame.thawed.tolist(), strict=True):
        if thawed >= 0:
            good, method = frame.row_names[row].removeprefix("laid.").rpartition(".")[0].rsplit(".", 1)
            keeping = ways[good, method]
            there = keeping.yield_fraction * mj.get(keeping.gives, 0.0)
            yield "prepared", keeping.good, thawed, mj.get(keeping.good, 0.0) - there
            yield "spoiled", keeping.gives, thawed, there


def left_of(batch: Batch) -> float:
    """Share of a batch that is left when it is taken, or when the year ends."""
    if batch.taken < MONTHS:
        return batch.keeping.kept(batch.made, batch.ages, batch.lain)
    return batch.on_shelf()[-1][1] / batch.keeping.yield_fraction


def of_frozen_shelves(frame: Frame, mj: dict[str, float]) -> Iterator[tuple[str, str, int, float]]:
    """What thaws of a frozen shelf of mixed ages: what its balance lacks."""
    good_of = {
        f"shelf.{one.keeping.good}.{one.keeping.method}": one.keeping.gives
        for one in frame.build.shelves
        if one.keeping.place == COLD
    }
    frozen = {
        row: good_of[name.rpartition(".")[0]]
        for row, name in enumerate(frame.row_names)
        if name.rpartition(".")[0] in good_of
    }
    for at in np.flatnonzero(np.isin(frame.matrix.row, np.array(list(frozen), dtype=np.int64))).tolist():
        good = frozen[int(frame.matrix.row[at])]
        yield "spoiled", good, int(frame.matrix.column[at]), mj.get(good, 0.0) * float(frame.matrix.value[at])


def of_arrivals(frame: Frame, stack: Stack, mj: dict[str, float]) -> Iterator[tuple[str, str, int, float]]:
    """What arrives, by where it comes from: (line, good, good of the frame * 12 + month, MJ/kg).

    Of a good that several bring forth each has its share of the template's year. What comes in a month in which the policy
    has no use for the good goes to the soil.
    """
    kg: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for (arc, _), amount in frame.build.constants.items():
        if arc.kind in {"gather", "give"}:
            kg[arc.good][brought_by(arc)] += amount
    for at, good in enumerate(frame.goods):
        whole = sum(kg[good].values())
        for month in range(MONTHS) if mj.get(good, 0.0) > 0.0 else ():
            row = frame.build.kitchen.get((good, month))
            if row is not None and stack.row_at[row] < 0:
                yield "surplus", good, at * MONTHS + month, mj[good]
            for line, amount in kg[good].items() if whole > 0.0 else {"ground": 1.0}.items():
                yield line, good, at * MONTHS + month, mj[good] * amount / (whole or 1.0)


def brought_by(arc: Arc) -> str:
    """Who brings a good forth."""
    if arc.kind == "give":
        return "herds"
    return "trees" if arc.source.startswith("trees:") else "ground"


def told_flows(flows: FoodFlows, walked: Walked) -> F64:
    """Edible energy by line and good in each year of a chain, MJ [year, pair].

    Args:
        flows: of the policy's frame and stack.
        walked: what was done.
    """
    count = len(flows.pairs)

    def summed(matrix: Sparse, amounts: F64) -> F64:
        weights = matrix.value * amounts[matrix.column]
        return np.asarray(np.bincount(matrix.row, weights=weights, minlength=count), dtype=np.float64)

    return np.array(
        [
            summed(flows.done, x)
            + summed(flows.arrived, walked.came.arriving_kg[year].ravel())
            + summed(flows.opened, walked.opening_kg[year])
            + summed(flows.closed, walked.opening_kg[year + 1])
            for year, x in enumerate(walked.x)
        ]
    ).reshape(len(walked.x), count)


def by_line(flows: FoodFlows, food_mj: F64) -> F64:
    """Sums over goods, [..., line] in the order of LINES."""
    line = np.array([LINES.index(name) for name, _ in flows.pairs], dtype=np.int64)
    found = np.zeros((*food_mj.shape[:-1], len(LINES)))
    for at in range(len(LINES)):
        found[..., at] = food_mj[..., line == at].sum(axis=-1)
    return found


def unclosed(lines: F64) -> F64:
    """What came less what went, [...]: the solver's rounding."""
    return np.asarray(lines[..., : len(CAME)].sum(axis=-1) - lines[..., len(CAME) :].sum(axis=-1))
