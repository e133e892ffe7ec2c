"""The larder as one linear program over the twelve months of a larder year (docs/larder-program.md)."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from yardland.larder.build import Build
from yardland.larder.build_feed import add_feed, add_short_shares
from yardland.larder.build_kitchen import add_kitchen
from yardland.larder.build_table import add_table
from yardland.larder.description import Larder
from yardland.larder.model import highs, run
from yardland.larder.plan import Plan, read_plan
from yardland.larder.weights import WEIGHTS, Weights

if TYPE_CHECKING:
    import highspy


def build_program(larder: Larder, weights: Weights = WEIGHTS) -> Build:
    """Columns and rows of the program, in an order that depends on the larder's names alone."""
    build = Build(larder, weights, money_scale=money_scale(larder))
    add_short_shares(build)
    add_kitchen(build)
    add_feed(build)
    add_table(build)
    return build


def money_scale(larder: Larder) -> float:
    """One over the price of a ton at the middle price of what may be bought: no currency weighs more than another."""
    prices = [trade.price for trade in larder.trades if trade.do == "buy" and trade.price > 0.0]
    return 1.0 / (1000.0 * float(np.median(prices))) if prices else 1e-3


def solve_larder(larder: Larder, weights: Weights = WEIGHTS, method: str = "simplex") -> Plan:
    """Solve a described larder.

    Raises:
        LarderError: the solver did not reach an optimum, or its answer fails our own check.
    """
    build = build_program(larder, weights)
    solver = highs(build.model, method=method)
    return read_plan(build, run(solver, build.model))
