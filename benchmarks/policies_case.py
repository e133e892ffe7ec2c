"""Policies walked over the same chains, and what each chain would have cost had everything been known beforehand.

The cost is that of the whole block: hunger, the worst month, diets, what is bought, hours, the reserve. Perfect information is one program of all
years of a chain: the same opening, what came to that policy, the same ways out, and no less of any good, way and age left
at the end than the policy left. Thawing freezers spare it, so that it may be lower than anybody could reach.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from yardland.larder.model import LarderError, must
from yardland.larderyears.bound import (
    AS_THE_POLICY,
    ROUNDING,
    ROUNDS,
    add_lazy,
    lazy_passed,
    leave,
    of_stores,
    reveal_all,
)
from yardland.larderyears.hot import Hot, eased
from yardland.larderyears.panes import Pane
from yardland.larderyears.prepare import Prepared
from yardland.larderyears.sides import Brought
from yardland.larderyears.stack import stacked
from yardland.larderyears.walk import Policy, Walked, Walker, started
from yardland.larderyears.window_walk import WindowWalker, walker_of

F64 = npt.NDArray[np.float64]
INTERIOR: dict[str, Any] = {"presolve": "on", "solver": "ipm"}
"""Interior point, at first without crossover: the value is wanted, no corner."""
WORST_GAP = 1e-6
"""Greatest difference of the primal and the dual value, relative to them, that an answer may show."""


@dataclass(frozen=True)
class Cost:
    """cost : of a policy over a chain ; least : of perfect information over the same ; cpu_s : of the policy's walk."""

    cost: float
    least: float
    cpu_s: float

    @property
    def gap(self) -> float:
        """What not knowing cost."""
        return self.cost - self.least


def policies(shipped: Prepared, quick: Prepared) -> dict[str, Policy]:
    """The four that are compared; the two that roll a whole program know what the shipped one counts on."""
    base = replace(shipped.policy, view=None, basis=None)
    rolling = {
        name: started(replace(base, stack=stacked(shipped.frame, blocks, shipped.kept)), shipped.opening_kg)
        for name, blocks in (("plain", 1), ("two_years", 2))
    }
    return {**rolling, "shipped": shipped.policy, "quick": quick.policy}


class StoredPane(Pane):
    """A window that goes back to the basis that was stored before each month, instead of going on from one of its own."""

    def go_on(self) -> None:
        """From the last basis of training; it is made ready once, so that the time is the solver's."""
        stored = len(self.sheet.known) - 1
        must(self.solver.setBasis(self.memory.basis(stored, self.entries.height)), "take the basis")


class StoredWalker(WindowWalker):
    """Walks through windows, each solved from its stored basis."""

    def panes(self) -> list[Pane]:
        """Solvers of a chain."""
        return [StoredPane(one) for one in self.sheets]


def stored_walker(policy: Policy) -> StoredWalker:
    """The walker of a policy by windows whose bases are stored.

    Raises:
        ValueError: the policy has no windows.
    """
    if policy.view is None:
        raise ValueError("policy: found none with windows, expected one")
    return StoredWalker(policy, policy.view)


def cost_of(policy: Policy, walked: Walked) -> float:
    """The block's whole objective, over all years of a chain."""
    width = policy.stack.width
    return float((walked.x @ policy.stack.cost[:width]).sum())


def walk(walker: Walker, years: Brought, opening_kg: F64, first_turn: int = 0) -> tuple[Walked, float]:
    """A chain walked from a year of the rotation, and CPU seconds."""
    begun = time.process_time()
    walked = walker.walk(years, opening_kg, first_turn)
    return walked, time.process_time() - begun


def compared(
    policy: Policy,
    shared: Prepared,
    years: Brought,
    opening_kg: F64,
    first_turn: int = 0,
    known: set[int] | None = None,
) -> Cost:
    """A policy and perfect information over one chain."""
    walked, cpu_s = walk(walker_of(policy), years, opening_kg, first_turn)
    return Cost(cost_of(policy, walked), least_cost(shared, walked, known), cpu_s)


def least_cost(shared: Prepared, walked: Walked, known: set[int] | None = None) -> float:
    """What the years of a chain cost with everything known beforehand.

    Args:
        shared: frame and what of it the policies keep.
        walked: what a policy did: it says what came, what lay there first and what must be left.
        known: rows left out of the stack that are there from the beginning; those that are passed are put to them, so that
            the next chain is solved once instead of once for each time that some are.

    Raises:
        LarderError: the program was not solved.
    """
    frame, kept, household = shared.frame, shared.kept, shared.policy.household
    stack = stacked(frame, len(walked.x), kept)
    hot = Hot(stack)
    walker = Walker(Policy(frame, stack, shared.policy.expected, household=household))
    reveal_all(hot, walker, walked.came, walked.opening_kg[0])
    slack = np.tile(np.where(of_stores(frame), AS_THE_POLICY, ROUNDING)[kept.rows], stack.blocks)
    hot.bound_rows(np.arange(len(slack)), *eased(hot.row_lower, hot.row_upper, slack))
    leave(hot, frame, walked.opening_kg[-1])
    known = set() if known is None else known
    wanted, there = sorted(known), np.zeros(len(stack.lazy.lower), dtype=np.bool_)
    hot.set_options(INTERIOR)
    for _ in range(ROUNDS):
        for row in wanted:
            for block in range(stack.blocks):
                add_lazy(hot, block, row, household)
        there[wanted] = True
        x = inner_optimum(hot)
        wanted = np.flatnonzero(lazy_passed(stack, x, household).any(axis=0) & ~there).tolist()
        known.update(wanted)
        if not wanted:
            break
    return float(stack.cost @ x)


def inner_optimum(hot: Hot) -> F64:
    """The optimum by interior point, its rows, duals and gap looked at; one that fails goes on to a corner.

    Raises:
        LarderError: an answer fails its check.
    """
    fault = ""
    for crossover in ("off", "on"):
        hot.set_options({"run_crossover": crossover})
        must(hot.solver.run(), "run")
        x = np.asarray(hot.solver.getSolution().col_value, dtype=np.float64)
        fault = hot.fault(x) or value_fault(hot)
        if not fault:
            return x
    raise LarderError(f"perfect information of a chain: {fault}")


def value_fault(hot: Hot) -> str:
    """What is wrong with the value of an answer: that of its duals is another."""
    gap = float(hot.solver.getInfo().primal_dual_objective_error)
    return f"its value and that of its duals differ by {gap:.1e}" if gap > WORST_GAP else ""


def mean_and_error(chains: Sequence[float]) -> tuple[float, float]:
    """Mean over chains and its standard error (none for one chain)."""
    values = np.array(chains)
    error = float(values.std(ddof=1) / np.sqrt(len(values))) if len(values) > 1 else 0.0
    return float(values.mean()), error
