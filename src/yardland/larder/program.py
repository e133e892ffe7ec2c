"""The larder as one linear program over the twelve months of a larder year (docs/larder-program.md)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from yardland.larder.build import Build, check_numbers, own_goods
from yardland.larder.build_feed import add_feed, add_short_shares
from yardland.larder.build_kitchen import add_kitchen
from yardland.larder.build_table import add_table
from yardland.larder.catalogue import describe
from yardland.larder.description import Larder
from yardland.larder.model import highs, run
from yardland.larder.plan import Plan, read_plan
from yardland.larder.weights import WEIGHTS, Weights

if TYPE_CHECKING:
    import numpy.typing as npt

    from yardland.holding.model import Holding
    from yardland.ledger.months import Month
    from yardland.ledger.production import Production
    from yardland.reference.tables import Tables


def build_program(larder: Larder, weights: Weights = WEIGHTS) -> Build:
    """Columns and rows of the program, in an order that depends on the larder's names alone."""
    check_numbers(larder)
    build = Build(larder, weights, money_scale=money_scale(larder), own_goods=own_goods(larder))
    add_short_shares(build)
    add_kitchen(build)
    add_feed(build)
    add_table(build, larder.driving)
    return build


def money_scale(larder: Larder) -> float:
    """One over the price of a ton at the middle price of what may be bought: no currency weighs more than another."""
    prices = [trade.price for trade in larder.trades if trade.do == "buy" and trade.price > 0.0]
    return 1.0 / (1000.0 * float(np.median(prices))) if prices else 1e-3


def solve_larder(larder: Larder, weights: Weights = WEIGHTS, method: str = "ipm") -> Plan:
    """Solve a described larder.

    Raises:
        LarderError: the solver did not reach an optimum, or its answer fails our own check.
    """
    build = build_program(larder, weights)
    solver = highs(build.model, method=method)
    return read_plan(build, run(solver, build.model))


def solve(
    holding: Holding,
    tables: Tables,
    months: tuple[Month, ...],
    production: Production,
    needs: dict[str, npt.NDArray[np.float64]],
    *,
    from_stores: bool = False,
) -> Plan:
    """The larder year of a holding, with foresight of that year.

    Args:
        holding: the plan.
        tables: reference tables.
        months: the twelve larder months, at whose middle the people have their ages.
        production: what ground and animals give and ask in each month.
        needs: nutrient -> float64 [12], the household's need a day.
        from_stores: begin with stores.csv and leave the books open; else the year ends as it began.

    Raises:
        LarderError: the solver did not reach an optimum, or its answer fails our own check.
    """
    return solve_larder(describe(holding, tables, months, production, needs, from_stores=from_stores))
