"""What training years use: they say which columns and rows a policy keeps, and what lies there when a settled chain begins.

Training years are drawn on a stream of their own, which no counted year shares.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Build
from yardland.larder.description import MONTHS, Larder
from yardland.larder.model import highs, run
from yardland.larder.program import build_program
from yardland.larderyears.frame import Frame
from yardland.larderyears.hot import Hot
from yardland.larderyears.household import Household
from yardland.larderyears.openings import SHELF_LAIN, Lying, a_year_on, lain_at_end
from yardland.larderyears.prune import everything
from yardland.larderyears.sides import Brought
from yardland.larderyears.stack import Stack, stacked
from yardland.larderyears.walk import Policy, Walker, started
from yardland.ledger.production import Production

F64 = npt.NDArray[np.float64]
Bool = npt.NDArray[np.bool_]
MOVED = 1e-3
"""Kilograms from which a column counts as used."""
OFTEN = 4
"""Programs of walks in which a column must be used: equal ways out come and go, and one of them is enough."""
AT_SIDE = 1e-7
"""Relative distance from a side at which a row counts as reached."""
SHELVES = (0.3, 0.7, 1.1)
"""Shares of the settled stores with which training years open: poor, middling, full."""


@dataclass(frozen=True)
class Trained:
    """used [column], reached [row] of the frame ; opening_kg [opening] : of a settled holding in the mean year."""

    used: Bool
    reached: Bool
    opening_kg: F64


@dataclass(frozen=True)
class Trial:
    """Training years that are walked one behind the other.

    opening_kg [opening] : what lies there first; None: a share of the settled stores ; first_turn : by which normal
    """

    years: Brought
    opening_kg: F64 | None
    first_turn: int


def train(
    frame: Frame,
    larder: Larder,
    productions: Sequence[Production],
    trials: Sequence[Trial],
    expected: Brought,
    tell: Callable[[int], None] | None = None,
    household: Household | None = None,
) -> Trained:
    """Solve settled years with all that is known of them, and walk years from poor, middling and full shelves.

    Args:
        frame: the block.
        larder: of the template.
        productions: of the training years that are solved settled; the first should be the mean year.
        trials: training years that are walked.
        expected: the normal that a walk goes by.
        tell: is told how many of the `len(productions)` years and those of the trials are done.
        household: needs and plates of each year of a chain, where people grow older.
    """
    place = column_keys(frame.build)
    used = np.zeros(len(frame.cost), dtype=np.bool_)
    opening = np.zeros(len(frame.lying))
    for number, production in enumerate(productions):
        build = build_program(replace(larder, production=production, cyclic=True, opening=()))
        x = run(highs(build.model), build.model).x
        for key in used_keys(build, x):
            used[list(place.get(key, ()))] = True
        if number == 0:
            opening = settled_kg(frame, build, x)
        if tell is not None:
            tell(number + 1)
    stack = stacked(frame, 1, everything(frame))
    watch = Watch(stack)
    policy = started(Policy(frame, stack, expected, household=household), opening)
    done = len(productions)
    for number, trial in enumerate(trials):
        opens = opening * SHELVES[number % len(SHELVES)] if trial.opening_kg is None else trial.opening_kg
        Walker(policy, solver=watch.solver).walk(trial.years, opens, trial.first_turn)
        done += len(trial.years)
        if tell is not None:
            tell(done)
    return Trained(used | (watch.times >= OFTEN), watch.reached, opening)


class Watch:
    """Sees which columns and rows the programs of a walk use."""

    def __init__(self, stack: Stack) -> None:
        """Nothing is used yet."""
        self.times = np.zeros(stack.width, dtype=np.int64)
        self.reached = np.zeros(stack.height, dtype=np.bool_)

    def solver(self, stack: Stack, basis: object) -> Hot:
        """A solver that is watched."""
        watch = self

        class Watched(Hot):
            def optimum(self) -> F64:
                x = super().optimum()
                activity = self.stack.activity(x)
                size = AT_SIDE * (1.0 + np.abs(activity))
                watch.times += x > MOVED
                watch.reached |= (activity - self.row_lower < size) | (self.row_upper - activity < size)
                return x

        return Watched(stack, basis)  # type: ignore[arg-type]


def column_keys(build: Build) -> dict[Hashable, list[int]]:
    """What a column means -> the columns that mean it: its first flow, or a batch by way, month made and month taken."""
    found: dict[Hashable, list[int]] = defaultdict(list)
    seen: set[int] = set()
    for (arc, month), terms in build.flows.items():
        for rank, (column, _) in enumerate(terms):
            if column not in seen:
                seen.add(column)
                found[arc, month, rank].append(column)
    for batch in build.batches:
        made: float = batch.made if batch.made >= 0 else -batch.lain
        found[batch.keeping.account, made, batch.taken].append(batch.column)
    for shelf in build.shelves:
        for month, column in enumerate(shelf.on_shelf):
            if column not in seen:
                found[shelf.keeping.account, month].append(column)
    return dict(found)


def used_keys(build: Build, x: F64) -> Iterator[Hashable]:
    """What the used columns of a settled year mean in the block of a year that is not cyclic."""
    of_batch = {batch.column for batch in build.batches}
    for key, columns in column_keys(build).items():
        if any(x[column] > MOVED for column in columns if column not in of_batch):
            yield key
    for batch in build.batches:
        if x[batch.column] > MOVED:
            if batch.taken > batch.made:
                yield batch.keeping.account, batch.made, batch.taken
            else:
                yield batch.keeping.account, batch.made, MONTHS
                yield batch.keeping.account, -a_year_on(batch.keeping, lain_at_end(batch.made)).lain, batch.taken


def settled_kg(frame: Frame, build: Build, x: F64) -> F64:
    """What lies there over the year's end in a settled year, [opening]."""
    place = {one: index for index, one in enumerate(frame.lying)}
    found = np.zeros(len(frame.lying))
    for batch in build.batches:
        if batch.taken <= batch.made and x[batch.column] > 0.0:
            kg = x[batch.column] * dict(batch.on_shelf())[MONTHS - 1]
            add(found, place, a_year_on(batch.keeping, lain_at_end(batch.made)), float(kg))
    for shelf in build.shelves:
        key = Lying(shelf.keeping.good, shelf.keeping.method, SHELF_LAIN)
        add(found, place, key, float(x[shelf.on_shelf[MONTHS - 1]]))
    return found


def add(found: F64, place: dict[Lying, int], key: Lying, kg: float) -> None:
    """Add kilograms to an opening; where that age has no place, to the oldest of its way."""
    if key not in place:
        same = [one for one in place if (one.good, one.method) == (key.good, key.method)]
        if not same:
            return
        key = max(same)
    found[place[key]] += max(kg, 0.0)
