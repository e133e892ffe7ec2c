"""The foresight bound: how little a chain could have been short, had everything been known beforehand.

All years of a chain in one program: the same opening stores, the same production, the same ways out; only hunger counts.
No policy can be short of less over the whole chain. A single year may go the other way (foresight may give up year 3 for
year 5), so that nothing is promised by the year.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larder.model import LarderError
from yardland.larderyears.hot import Hot
from yardland.larderyears.prepare import Prepared
from yardland.larderyears.sides import Brought
from yardland.larderyears.stack import stacked
from yardland.larderyears.walk import Policy, Walker

F64 = npt.NDArray[np.float64]
SLACK = 1e-6
"""Greatest amount by which the bound may pass what a policy did, share of a month's need: the solvers' rounding."""


@dataclass(frozen=True)
class Bound:
    """short [year, 12] : the greater lack of energy or protein, share of need ; shortfall : sum of both over the chain."""

    short: F64
    shortfall: float


def foresight(shared: Prepared, years: Brought, opening_kg: F64) -> Bound:
    """The bound of one chain.

    Args:
        shared: frame and what of it the policy keeps: the bound has the same ways out.
        years: what the chain's years bring.
        opening_kg: what lies there as it begins.

    Raises:
        LarderError: the program was not solved.
    """
    frame = shared.frame
    hunger = np.zeros(len(frame.cost))
    hunger[list(frame.build.short.values())] = 1.0
    stack = stacked(frame, len(years), shared.kept, hunger)
    walker = Walker(Policy(frame, stack, shared.policy.expected, household=shared.policy.household))
    hot = Hot(stack)
    hot.bound_rows(walker.opening, opening_kg[walker.openings], opening_kg[walker.openings])
    for year in range(len(years)):
        walker.seat(hot, year, year)
        for month in range(MONTHS):
            walker.reveal(hot, year, years, year, month)
    hot.start()
    x = np.asarray(hot.solver.getSolution().col_value, dtype=np.float64)
    if fault := hot.fault(x):
        raise LarderError(f"foresight of a chain: {fault}")
    short = np.zeros((len(years), MONTHS))
    total = 0.0
    for year in range(len(years)):
        for (_, month), column in frame.build.short.items():
            lacks = float(x[stack.columns(np.array([column]), year)[0]])
            short[year, month] = max(short[year, month], lacks)
            total += lacks
    return Bound(short, total)
