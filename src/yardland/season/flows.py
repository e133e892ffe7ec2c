"""The year's ledger: the larder's flows, with those of crops, swards and herds that lie behind them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from yardland.ledger.arcs import BOUNDLESS, Arc, Ledger
from yardland.ledger.production import Grazing, HerdNeed, Production
from yardland.reference import Tables

F64 = npt.NDArray[np.float64]
MONTHS = 12
KITCHEN = "kitchen:"
IDLE_KG = 1e-7
"""A tenth of a milligram: what a good that is only the solver's dust moves in a year."""


@dataclass(frozen=True)
class Flow:
    """One arc's fresh and dry mass by month."""

    arc: Arc
    fresh_kg: F64
    dm_kg: F64


@dataclass(frozen=True)
class Stock:
    """What lies in an account at each month's beginning and end, fresh kg."""

    account: str
    opening_kg: F64
    closing_kg: F64


class Decided(Protocol):
    """Flows of the larder: fresh and dry kg [arc, 12], and what lies in its kitchens and stores, kg [account, 12]."""

    @property
    def arcs(self) -> tuple[Arc, ...]:
        """Between which accounts."""

    @property
    def fresh_kg(self) -> F64:
        """[arc, 12]."""

    @property
    def dm_kg(self) -> F64:
        """[arc, 12]."""

    @property
    def accounts(self) -> tuple[str, ...]:
        """Kitchens and stores."""

    @property
    def opening_kg(self) -> F64:
        """[account, 12]."""

    @property
    def closing_kg(self) -> F64:
        """[account, 12]."""


def year_ledger(plan: Decided, production: Production, tables: Tables, *, cyclic: bool = True) -> Ledger:
    """Every flow of the year as one ledger that keeps the law of conservation (fresh mass).

    Crops and trees pass what is gathered from the sky in the month of gathering. A sward grows, is grazed and loses
    what nobody eats (oldest grass first). A herd eats and drinks, gives, drops manure and breathes the rest away in
    proportion to what it took in; its account lies between intake and growth within the year.

    Args:
        plan: what the larder did.
        production: what the year brought.
        tables: reference tables.
        cyclic: whether the year opens with the grass that stands as it closes; or with none.
    """
    flows = busy([Flow(arc, plan.fresh_kg[row], plan.dm_kg[row]) for row, arc in enumerate(plan.arcs)])
    stocks = [Stock(name, plan.opening_kg[row], plan.closing_kg[row]) for row, name in enumerate(plan.accounts)]
    mown = gathered_kg(production)
    flows += list(grown(flows, production))
    for grazing in production.grazing:
        taken = [without(flow, mown) for flow in flows if flow.arc.source == grazing.account]
        more, stock = sward(grazing, taken, tables.row("goods", grazing.good).need("dm_fraction"), cyclic=cyclic)
        flows += more
        stocks.append(stock)
    for herd in production.herds:
        more, stock = kept(herd, flows)
        flows += more
        stocks.append(stock)
    return assemble(flows, stocks)


def busy(flows: list[Flow]) -> list[Flow]:
    """The flows without those of a kitchen account through which next to nothing goes in the whole year.

    The solver's dust is cut flow by flow; where a good is nothing but dust, one side of it may be left alone.
    """
    through: dict[str, float] = {}
    for flow in flows:
        for account in (flow.arc.source, flow.arc.target):
            through[account] = through.get(account, 0.0) + float(flow.fresh_kg.sum())
    idle = {name for name, kg in through.items() if name.startswith(KITCHEN) and kg < IDLE_KG}
    return [flow for flow in flows if flow.arc.source not in idle and flow.arc.target not in idle]


def gathered_kg(production: Production) -> dict[tuple[str, str], F64]:
    """(account, good) -> what the season itself gathered, fresh kg [12]."""
    found: dict[tuple[str, str], F64] = {}
    for item in production.gathered:
        at = (item.account, item.good)
        found[at] = found.get(at, np.zeros(MONTHS)) + item.fresh_kg
    return found


def without(flow: Flow, mown: dict[tuple[str, str], F64]) -> Flow:
    """A flow less what the season itself gathered of it: silage can be of both, a wet hay cut and grass meant for grazing."""
    kg = mown.get((flow.arc.source, flow.arc.good))
    if kg is None or flow.arc.kind != "gather":
        return flow
    rest = np.maximum(flow.fresh_kg - kg, 0.0)
    dry = np.divide(flow.dm_kg, flow.fresh_kg, out=np.zeros(MONTHS), where=flow.fresh_kg > 0.0)
    return Flow(flow.arc, rest, rest * dry)


def grown(flows: list[Flow], production: Production) -> Iterator[Flow]:
    """What is gathered has grown: sky to crop, tree or sward, and other makers without an account of their own.

    What is cut of standing grass has its growth among the grazing already.
    """
    standing = {item.account for item in production.grazing}
    mown = gathered_kg(production)
    for flow in flows:
        if flow.arc.kind != "gather":
            continue
        rest = without(flow, mown)
        part = (
            flow
            if flow.arc.source not in standing
            else Flow(flow.arc, flow.fresh_kg - rest.fresh_kg, flow.dm_kg - rest.dm_kg)
        )
        if part.fresh_kg.any():
            yield Flow(Arc("sky", flow.arc.source, flow.arc.good, "grow"), part.fresh_kg, part.dm_kg)


def sward(grazing: Grazing, taken: list[Flow], dm_fraction: float, *, cyclic: bool = True) -> tuple[list[Flow], Stock]:
    """Growth, loss and standing grass behind what is taken of one plot (grazed, cut, dried), oldest grass first."""
    eaten_kg = np.zeros(MONTHS)
    for flow in taken:
        eaten_kg = eaten_kg + flow.fresh_kg
    growth_kg = grazing.dm_kg / dm_fraction
    left = np.zeros(MONTHS)
    before = 0.0
    for turn in range(
        2 * MONTHS if cyclic else MONTHS
    ):  # twice round, so that the first month finds what the last one left
        month = turn % MONTHS
        carried = before * grazing.carry
        old_eaten = min(carried, eaten_kg[month])
        left[month] = max(growth_kg[month] - (eaten_kg[month] - old_eaten), 0.0)
        before = left[month]
    if not cyclic:
        left[-1] = 0.0
    opening = np.roll(left, 1)
    arc = Arc("sky", grazing.account, grazing.good, "grow")
    loss = Arc(grazing.account, "soilair", grazing.good, "spoil")
    balance = opening + growth_kg - eaten_kg - left
    flows_out = [Flow(arc, growth_kg, grazing.dm_kg), Flow(loss, balance, balance * dm_fraction)]
    return flows_out, Stock(grazing.account, opening, left)


def kept(herd: HerdNeed, flows: list[Flow]) -> tuple[list[Flow], Stock]:
    """Water, manure, breath and the body's gain behind what a class eats and gives."""
    taken = np.zeros(MONTHS)
    given = np.zeros(MONTHS)
    for flow in flows:
        if flow.arc.target == herd.account:
            taken = taken + flow.fresh_kg
        if flow.arc.source == herd.account:
            given = given + flow.fresh_kg
    out = given + herd.manure_kg
    drunk = herd.water_m3 * 1000.0
    drunk = drunk + max(float(np.sum(out) - np.sum(taken + drunk)), 0.0) * share(out)
    breath_share = 1.0 - float(np.sum(out)) / max(float(np.sum(taken + drunk)), 1e-12)
    breath = (taken + drunk) * max(breath_share, 0.0)
    change = taken + drunk - out - breath
    closing = np.cumsum(change)
    closing = closing - min(float(np.min(closing)), 0.0)
    opening = closing - change
    none = np.zeros(MONTHS)
    return [
        Flow(Arc("sky", herd.account, "water", "drink"), drunk, none),
        Flow(Arc(herd.account, "heap", "manure", "manure"), herd.manure_kg, none),
        Flow(Arc(herd.account, "soilair", "breath", "breathe"), breath, none),
    ], Stock(herd.account, opening, closing)


def share(values: F64) -> F64:
    """Each month's part of the sum; equal parts where the sum is nothing."""
    total = float(np.sum(values))
    return np.asarray(values / total) if total > 0 else np.full(MONTHS, 1.0 / MONTHS)


def assemble(flows: list[Flow], stocks: list[Stock]) -> Ledger:
    """One ledger of flows (same arcs added up) and stocks (same accounts added up), in a stable order."""
    fresh: dict[Arc, F64] = {}
    dry: dict[Arc, F64] = {}
    for flow in flows:
        fresh[flow.arc] = fresh.get(flow.arc, np.zeros(MONTHS)) + flow.fresh_kg
        dry[flow.arc] = dry.get(flow.arc, np.zeros(MONTHS)) + flow.dm_kg
    arcs = tuple(sorted(fresh, key=lambda arc: (arc.kind, arc.source, arc.target, arc.good)))
    names = {end for arc in arcs for end in (arc.source, arc.target)} | {stock.account for stock in stocks}
    accounts = (*BOUNDLESS, *sorted(names - set(BOUNDLESS)))
    row = {name: index for index, name in enumerate(accounts)}
    opening = np.zeros((len(accounts), MONTHS))
    closing = np.zeros((len(accounts), MONTHS))
    for stock in stocks:
        opening[row[stock.account]] += stock.opening_kg
        closing[row[stock.account]] += stock.closing_kg
    return Ledger(
        arcs,
        np.array([fresh[arc] for arc in arcs]).reshape(-1, MONTHS),
        np.array([dry[arc] for arc in arcs]).reshape(-1, MONTHS),
        accounts,
        opening,
        closing,
    )
