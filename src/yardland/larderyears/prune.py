"""Which columns and rows of a frame a policy needs: those that training years ever used, and what keeps it feasible.

Most ways to put by, make, feed and eat are never the best in any year. A column that no training program used is left
out; so is a row of constant sides that none ever reached, which is looked at after each solve and comes back if it is
passed (`years.hot`). A plate of the reserve that no stores of training reached is left out, with its column.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larderyears.frame import Frame

Bool = npt.NDArray[np.bool_]
SLACKS = ("trim", "emergency")
"""Kinds of flow that make every month feasible: what goes to the soil, what is lacking."""
LAZY = (
    "feed.share.",
    "feed.together.",
    "feed.forage.",
    "feed.fibre_least.",
    "feed.fibre_most.",
    "plate.",
    "need.",
)
"""Rows of constant sides that may be left out if no training year reached them."""
ALWAYS = (
    "need.energy_kcal.",
    "need.protein_g.",
    "depth.",
    "feed.energy.",
    "feed.protein.",
    "hunger.",
    "reserve.",
    "seed.",
    "seedstock.",
)


@dataclass(frozen=True)
class Kept:
    """columns [column of the frame] and rows [row of the frame] that stay ; lazy [row] : left out, but looked at."""

    columns: Bool
    rows: Bool
    lazy: Bool


def everything(frame: Frame) -> Kept:
    """All columns and rows."""
    rows = np.ones(len(frame.row_lower), dtype=np.bool_)
    return Kept(np.ones(len(frame.cost), dtype=np.bool_), rows, ~rows)


def pruned(frame: Frame, used: Bool, reached: Bool, opens: Iterable[int] = ()) -> Kept:
    """What stays.

    Args:
        frame: the block.
        used: columns that some training program moved.
        reached: rows at a side in some training program.
        opens: openings that hold something when a chain begins.
    """
    slack, moved, short = kinds(frame)
    keep = used | short
    for shelf in frame.build.shelves:
        keep[list(shelf.on_shelf)] |= used[list(shelf.on_shelf)].any()
    opened = reachable(frame, keep, opens)
    keep &= ~opening_columns(frame)
    keep |= used & opening_columns(frame, opened)
    keep |= opening_columns(frame, opened, only_first=True)
    keep |= whole_plates(frame, keep, touched_rows(frame, keep & ~slack & ~short & moved))
    rows = touched_rows(frame, keep & ~slack & ~short & moved)
    named = [name.startswith(ALWAYS) for name in frame.row_names]
    rows |= np.array(named)
    rows |= of_spared(frame, rows)
    rows[frame.opening_row] = opened
    idle = np.array([name.startswith(LAZY) for name in frame.row_names]) & ~np.array(named) & ~reached
    idle[frame.asks.most.at] = False
    lazy = rows & idle
    rows &= ~idle
    rows[frame.reserve.beyond] &= reached[frame.reserve.beyond]
    touched = touched_columns(frame, rows | lazy)
    keep |= touched & (slack | ~moved)
    keep[frame.reserve.column[~rows[frame.reserve.beyond]]] = False
    return Kept(keep & touched, rows, lazy)


def kinds(frame: Frame) -> tuple[Bool, Bool, Bool]:
    """Columns that are slack, that move matter at all, and that stand for a shortage of people or herds or mend one."""
    build, count = frame.build, len(frame.cost)
    firm, moved, short = (np.zeros(count, dtype=np.bool_) for _ in range(3))
    for (arc, _), terms in build.flows.items():
        for column, _ in terms:
            moved[column] = True
            firm[column] |= arc.kind not in SLACKS
    slack = moved & ~firm
    moved[[batch.column for batch in build.batches]] = True
    short[[*build.feed_short.values(), *build.short.values(), *frame.asks.spared.tolist()]] = True
    return slack, moved, short


def whole_plates(frame: Frame, keep: Bool, rows: Bool) -> Bool:
    """All that may be eaten of each good of which any is, in the months in which it is in the kitchen (by the rows).

    A food's second half-plate has a cost, so that training years that had enough never took it: without it people are
    short beside full shelves in a year that is worse than those.
    """
    build = frame.build
    eaten = {good for (good, _), columns in build.eat.items() if keep[columns].any()}
    found = np.zeros(len(frame.cost), dtype=np.bool_)
    for (good, month), columns in build.eat.items():
        found[columns] = good in eaten and rows[build.kitchen[good, month]]
    return found


def opening_columns(frame: Frame, opened: Bool | None = None, *, only_first: bool = False) -> Bool:
    """Columns of what lies there when the year opens: of all openings or of some; all takings or the first month's."""
    first = {batch.column for batch in frame.build.batches if batch.made < 0 and batch.taken == 0}
    wanted = np.zeros(len(frame.row_lower), dtype=np.bool_)
    wanted[frame.opening_row if opened is None else frame.opening_row[opened]] = True
    found = np.zeros(len(frame.cost), dtype=np.bool_)
    found[frame.matrix.column[wanted[frame.matrix.row]]] = True
    if only_first:
        early = np.zeros(len(frame.cost), dtype=np.bool_)
        early[list(first)] = True
        found &= early
    return found


def reachable(frame: Frame, keep: Bool, opens: Iterable[int]) -> Bool:
    """Openings that can hold something: those that begin so, and those that kept columns leave over."""
    opened = np.zeros(len(frame.lying), dtype=np.bool_)
    opened[list(opens)] = True
    of_opening = {batch.column for batch in frame.build.batches if batch.made < 0 and batch.taken == MONTHS}
    own = np.array([column not in of_opening for column in frame.left.column.tolist()], dtype=np.bool_)
    opened[frame.left.opening[keep[frame.left.column] & own]] = True
    row_opening = {int(row): index for index, row in enumerate(frame.opening_row)}
    source = {
        int(column): row_opening[int(row)]
        for row, column in zip(frame.matrix.row, frame.matrix.column, strict=True)
        if int(row) in row_opening and int(column) in of_opening
    }
    before = -1
    while before != (now := int(opened.sum())):
        before = now
        for column, target in zip(frame.left.column.tolist(), frame.left.opening.tolist(), strict=True):
            if column in source and keep[column] and opened[source[column]]:
                opened[target] = True
    return opened


def touched_rows(frame: Frame, columns: Bool) -> Bool:
    """Rows in which some of the columns stand."""
    found = np.zeros(len(frame.row_lower), dtype=np.bool_)
    found[frame.matrix.row[columns[frame.matrix.column]]] = True
    return found


def of_spared(frame: Frame, rows: Bool) -> Bool:
    """Rows that bound what is spared of a good whose kitchen row is kept."""
    spared = np.zeros(len(frame.cost), dtype=np.bool_)
    spared[frame.asks.spared] = True
    unhurt = np.array([name.startswith("unhurt.") for name in frame.row_names], dtype=np.bool_)
    return np.asarray(unhurt & touched_rows(frame, spared & touched_columns(frame, rows)))


def touched_columns(frame: Frame, rows: Bool) -> Bool:
    """Columns that stand in some of the rows."""
    found = np.zeros(len(frame.cost), dtype=np.bool_)
    found[frame.matrix.column[rows[frame.matrix.row]]] = True
    return found
