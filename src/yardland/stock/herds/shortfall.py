"""Why a class of animals is off its target at the start of a year."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.stock.herds import layout as at
from yardland.stock.herds.layout import PlanArrays

OFF_BY = 0.25
REASONS = (
    "",
    "a strike took many at once",
    "young that join are over the number until the old leave",
    "old or barren ones left, and those that follow have not joined yet",
    "none of its own young followed, and none are bought",
    "it is growing towards its target",
    "deaths since the yearly change",
    "losses of an earlier year are not made good yet",
    "more stand than are wanted, until the yearly change",
)
REMEDIES = (
    "",
    "Shut in against what strikes, keep a head more, or count on buying when it happens.",
    "Count on their feed and room till the change, or keep fewer young females.",
    "Keep young females a year sooner, or let the old stay until they have joined.",
    "Keep more young females, or let some be bought (renew).",
    "Reckon with fewer until then; bought heads make the number sooner.",
    "Keep a head or a young female more, so that a usual loss leaves enough.",
    "Keep a young female more, or let some be bought (renew).",
    "Count on their feed till the change and on their meat then; sell sooner what you need not feed.",
)
"""What helps against each reason."""
STRIKE, OVER, WAITING, NONE_FOLLOWED, GROWING, DEATHS, EARLIER, SHRINKING = range(1, len(REASONS))
Bools = npt.NDArray[np.bool_]


def off_target(heads: at.I64, target: int) -> Bools:
    """Whether numbers lie more than a quarter off a target; never for a row without one."""
    return np.abs(heads - target) > OFF_BY * target if target else np.zeros(heads.shape, dtype=bool)


def reasons(plan: PlanArrays, starts: at.I64, counts: at.I64) -> at.I64:
    """Reason (index of `REASONS`) for each row, start of a year and chain; 0 where the number is near its target.

    Args:
        plan: of the group.
        starts: heads, int64 [row, years + 1, chain].
        counts: int64 [row, year, chain, COUNTS]; a start is explained by the year before it.
    """
    why = np.zeros(starts.shape, np.int64)
    for row in range(len(starts)):
        target = int(plan.row[row, at.TARGET])
        off = off_target(starts[row], target)
        why[row, 0] = np.where(off[0], np.where(starts[row, 0] < target, GROWING, SHRINKING), 0)
        for year in range(counts.shape[1]):
            why[row, year + 1] = np.where(off[year + 1], _why(plan, row, year, starts, counts), 0)
    return why


def _why(plan: PlanArrays, row: int, year: int, starts: at.I64, counts: at.I64) -> at.I64:
    """Reason for each chain at the end of one year, as if all were off."""
    now, of = starts[row, year + 1], counts[row, year]
    target, young = int(plan.row[row, at.TARGET]), int(plan.row[row, at.YOUNG_ROW])
    waiting = starts[young, year + 1] > 0 if young >= 0 else np.zeros(now.shape, dtype=bool)
    came = of[:, at.JOINED] + of[:, at.BOUGHT] + of[:, at.BORN]
    first = starts[row, 0] < target
    grows = first & (now >= starts[row, year])
    cases = [
        ((now > target) & (starts[row, 0] > target) & (now <= starts[row, year]), SHRINKING),
        (now > target, OVER),
        (of[:, at.STRUCK] > 0, STRIKE),
        (grows, GROWING),
        ((came == 0) & (plan.row[row, at.BUYS] == 0), NONE_FOLLOWED),
        (of[:, at.DIED] >= target - now, DEATHS),
        ((of[:, at.CULLED] > 0) & waiting, WAITING),
        (of[:, at.DIED] > 0, DEATHS),
        (of[:, at.CULLED] > 0, WAITING),
    ]
    return np.select([case for case, _ in cases], [code for _, code in cases], EARLIER)
