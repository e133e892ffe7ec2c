"""Herds of a holding over many years in several chains."""

from __future__ import annotations

from dataclasses import dataclass

import numpy.typing as npt

from yardland.holding.model import Holding
from yardland.ledger.months import Month
from yardland.reference import Tables
from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import lane_key, week_keys
from yardland.stock.herds.findings import drawn_findings, herd_findings
from yardland.stock.herds.plan import GroupPlan, compile_plan
from yardland.stock.herds.result import GroupYears, HerdYears
from yardland.stock.herds.twin import run_twin
from yardland.stock.notes import StockNote
from yardland.stock.sky import Sky

WORTH_COMPILING = 60
"""Chains x years from which the compiled path is faster even where it must first be loaded."""


@dataclass(frozen=True, slots=True)
class Run:
    """How many years are drawn: `years` in each of `chains`, from `seed`."""

    years: int
    chains: int
    seed: int = 1


def herd_years(
    holding: Holding,
    tables: Tables,
    months: tuple[Month, ...],
    temperature_c: npt.ArrayLike,
    daylength_h: npt.ArrayLike,
    years: int,
    chains: int,
    seed: int,
) -> HerdYears:
    """Every group of stock of a holding over many years: whole heads; births, sexes and deaths drawn per animal.

    Each chain begins with today's heads at even ages. The same seed gives the same years whatever other groups there
    are, however many chains are asked for, and on whichever path.

    Args:
        holding: its groups and trades.
        tables: figures (stock, herds, husbandry, breeding, herd_odds, herd_strikes, prices).
        months: the twelve months of a larder year.
        temperature_c: mean temperature of each month, [12].
        daylength_h: mean daylength of each month, hours, [12].
        years: larder years in each chain, 1 or more.
        chains: how many, 1 or more.
        seed: of the draws.

    Raises:
        TableError: a class that the tables do not hold.
        ValueError: no years or no chains.
    """
    if years < 1 or chains < 1:
        raise ValueError(f"herds need a year and a chain at least, not {years} and {chains}")
    sky = Sky.of(months, temperature_c, daylength_h)
    plan = compile_plan(holding, tables, sky)
    keys = week_keys(seed, at.WEEKS * years)
    groups, events = {}, {}
    for name, group in plan.groups.items():
        first, events[name] = run_twin(group.arrays, [lane_key(name, 0)], keys, years)
        outcome = first if chains == 1 else run_group(group, keys, years, chains)
        groups[name] = GroupYears(group, outcome, tables)
    findings = tuple(note for group in groups.values() for note in herd_findings(group, sky, tables))
    told = {name: tuple(happenings) for name, happenings in events.items()}
    return HerdYears(groups, years, chains, seed, told, findings)


def drawn_notes(holding: Holding, tables: Tables, sky: Sky, run: Run) -> tuple[StockNote, ...]:
    """What only drawn years show of the groups, from heads alone: a quick look, in the chains that `herd_years` begins with.

    Args:
        holding: its groups and trades.
        tables: figures (stock, herds, husbandry, breeding, herd_odds, herd_strikes, prices).
        sky: months, temperature and light of the larder year.
        run: how many years.

    Raises:
        TableError: a class that the tables do not hold.
    """
    keys = week_keys(run.seed, at.WEEKS * run.years)
    found: list[StockNote] = []
    for name, group in compile_plan(holding, tables, sky).groups.items():
        lanes = [lane_key(name, chain) for chain in range(run.chains)]
        outcome, _ = run_twin(group.arrays, lanes, keys, run.years, heads_only=True)
        found += drawn_findings(GroupYears(group, outcome, tables))
    return tuple(found)


def run_group(group: GroupPlan, keys: at.U64, years: int, chains: int) -> at.Outcome:
    """All chains of one group: compiled where that pays, else step by step; both give the same to the bit."""
    return run_lanes_of(group, [lane_key(group.name, chain) for chain in range(chains)], keys, years)


def run_lanes_of(
    group: GroupPlan, lanes: list[int], keys: at.U64, years: int, worth: int = WORTH_COMPILING
) -> at.Outcome:
    """The same of chains by their own keys (`draws.lane_key`), compiled from so many chain-years on."""
    if len(lanes) * years < worth:
        return run_twin(group.arrays, lanes, keys, years)[0]
    from yardland.stock.herds.numba_path import run_numba

    return run_numba(group.arrays, lanes, keys, years)
