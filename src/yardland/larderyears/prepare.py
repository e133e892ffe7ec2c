"""Everything that chains of a plan share before one of them is walked: the template, the block, the policy.

All of it comes from the plan, its record, and training years on a stream of their own: nothing from the years that count.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.larder.catalogue import describe
from yardland.larder.needs import household_need
from yardland.larderyears.chains import Ground, grow_chains
from yardland.larderyears.frame import Frame, make_frame
from yardland.larderyears.prune import Kept, pruned
from yardland.larderyears.sides import Brought, brought, expected, joined
from yardland.larderyears.stack import stacked
from yardland.larderyears.template import template_production
from yardland.larderyears.training import train
from yardland.larderyears.walk import Policy, started

F64 = npt.NDArray[np.float64]
TRAINING_SEED = 20_011
"""Training is the same for every seed that is asked for, so that two runs differ by their years alone."""
TRAINING_CHAINS, TRAINING_YEARS = 4, 6
SOLVED, WALKED = 3, 4
"""Training years that are solved with all that is known of them, and that are walked."""
PROGRAMS = SOLVED + 1 + WALKED
HEDGE = 0.9
"""Share of the normal harvest and grass that is counted on beforehand (docs/years-policy.md compares shares)."""
BLOCKS = {"shipped": 2, "quick": 1}
"""Larder years that each policy looks over: to the end of the next one, or of this one."""


@dataclass(frozen=True)
class Prepared:
    """ground, frame, kept as they are there ; policy : ready to walk ; opening_kg [opening] : of a settled holding."""

    ground: Ground
    frame: Frame
    kept: Kept
    policy: Policy
    opening_kg: F64
    training: Brought


def prepare(
    ground: Ground, *, quick: bool = False, hedge: float = HEDGE, tell: Callable[[int], None] | None = None
) -> Prepared:
    """Grow training years, make the block, and find out what of it the policy needs.

    Args:
        ground: of the plan.
        quick: look to the end of this larder year only.
        hedge: share of the normal that is counted on.
        tell: is told how many of the SOLVED + 1 + WALKED training programs are done.

    Raises:
        LarderError: a training program was not solved as it must be.
    """
    grown = grow_chains(ground, TRAINING_SEED, [-1 - chain for chain in range(TRAINING_CHAINS)], TRAINING_YEARS)
    productions = [one for chain in grown.productions for one in chain]
    turns = [year % ground.rotation_years for _ in grown.productions for year in range(TRAINING_YEARS)]
    bare = [one for chain in grown.raw for one in chain]
    _, day = household_need(ground.holding, ground.tables, ground.months)
    larder = describe(ground.holding, ground.tables, ground.months, template_production(bare), day)
    frame = make_frame(larder, ground.holding.goal.reserve_days)
    years, _ = brought(frame, productions)
    normal = joined(
        [
            expected(years.of(np.flatnonzero(np.array(turns) == turn)), hedge)
            for turn in range(min(ground.rotation_years, TRAINING_YEARS))
        ]
    )
    solved = [larder.production, *productions[:SOLVED]]
    walked = years.of(slice(SOLVED, SOLVED + WALKED))
    trained = train(frame, larder, solved, walked, normal, tell)
    kept = pruned(frame, trained.used, trained.reached, np.flatnonzero(trained.opening_kg > 0.0))
    blocks = BLOCKS["quick" if quick else "shipped"]
    policy = started(Policy(frame, stacked(frame, blocks, kept), normal), trained.opening_kg)
    return Prepared(ground, frame, kept, policy, trained.opening_kg, years)
