"""Drawn herds of some chains as the larder asks for them: what each class needs and gives, month by month, year after year.

Heads go on from year to year within a chain. A chain's luck hangs on the seed, its own number, the week and the group's
name, so that it is the same whatever other chains and groups there are.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from yardland.ledger.production import HerdNeed, swept
from yardland.reference import Tables
from yardland.stock.coats import WOOL, fleece_kg, skin_of
from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import FIRST, GOLDEN, SECOND, lane_key, week_keys
from yardland.stock.herds.plan import GroupPlan, HerdPlan
from yardland.stock.herds.result import FROM_LIVE, FROM_SUMS
from yardland.stock.herds.years import run_lanes_of
from yardland.stock.kinds import Klass, load_klass

PER_THOUSAND = 1000.0
WORTH_IN_CHAINS = 20
"""Chain-years from which the compiled path is taken: chains are drawn again and again, and it is loaded but once."""
NAMES = list(at.SUM_NAMES)


@dataclass(frozen=True)
class HerdStrike:
    """A strike that took heads of a group: place of the chain among those asked for, year from 0; heads, live kg at grown weight."""

    chain: int
    year: int
    kind: str
    group: str
    heads: int
    live_kg: float


@dataclass(frozen=True)
class DrawnHerds:
    """needs [chain][year] : of every class of every group, always in one order ; strikes : in the order of chains and years."""

    needs: tuple[tuple[tuple[HerdNeed, ...], ...], ...]
    strikes: tuple[HerdStrike, ...]


def herd_chains(plan: HerdPlan, tables: Tables, seed: int, chains: Sequence[int], years: int) -> DrawnHerds:
    """Every group of some chains.

    Args:
        plan: of the holding's groups (`compile_plan`).
        tables: stock, herds, coats.
        seed: of the draws.
        chains: their numbers, also under zero.
        years: larder years in each, 1 or more.
    """
    keys = week_keys(seed, at.WEEKS * years)
    whole: list[list[HerdNeed]] = []
    strikes: list[HerdStrike] = []
    for name, group in plan.groups.items():
        lanes = [lane_key(name, chain) for chain in chains]
        outcome = run_lanes_of(group, lanes, keys, years, WORTH_IN_CHAINS)
        whole.append(list(class_needs(plan, group, outcome, tables)))
        strikes += group_struck(group, outcome, lanes, keys, tables)
    needs = tuple(
        tuple(tuple(of_year(one, chain, year) for classes in whole for one in classes) for year in range(years))
        for chain in range(len(chains))
    )
    return DrawnHerds(needs, tuple(sorted(strikes, key=lambda one: (one.chain, one.year))))


def of_year(need: HerdNeed, chain: int, year: int) -> HerdNeed:
    """One year of one chain of a need whose arrays are [chain, year, 12]."""
    return HerdNeed(
        group=need.group,
        klass=need.klass,
        heads=need.heads[chain, year],
        system=need.system,
        ceiling_column=need.ceiling_column,
        energy_mj=need.energy_mj[chain, year],
        protein_kg=need.protein_kg[chain, year],
        dry_matter_max_kg=need.dry_matter_max_kg[chain, year],
        forage_min_fraction=need.forage_min_fraction,
        products={good: kg[chain, year] for good, kg in need.products.items()},
        manure_kg=need.manure_kg[chain, year],
        manure_n_kg=need.manure_n_kg[chain, year],
        water_m3=need.water_m3[chain, year],
    )


def class_needs(plan: HerdPlan, group: GroupPlan, outcome: at.Outcome, tables: Tables) -> Iterator[HerdNeed]:
    """Every class of a group, all its rows together, with arrays [chain, year, 12]; heads are the most at a week's end."""
    first_week = np.flatnonzero(np.diff(group.arrays.month, prepend=-1))
    for key in dict.fromkeys(label.klass for label in group.rows):
        klass = load_klass(tables, key)
        rows = [index for index, label in enumerate(group.rows) if label.klass == key]
        heads = outcome.heads[..., rows].sum(axis=3)
        sums = dict(zip(NAMES, np.moveaxis(outcome.sums[..., rows, :].sum(axis=3), 3, 0), strict=True))
        yield HerdNeed(
            group=group.name,
            klass=key,
            heads=np.maximum.reduceat(heads, first_week, axis=2).astype(np.float64),
            system=klass.system,
            ceiling_column=klass.ceiling,
            energy_mj=sums["energy"],
            protein_kg=sums["protein"] / PER_THOUSAND,
            dry_matter_max_kg=sums["dry_matter_max"],
            forage_min_fraction=klass.herd_figure("forage_min_fraction"),
            products=products(klass, sums, tables) | wool(plan, klass, heads, tables),
            manure_kg=sums["manure"],
            manure_n_kg=sums["manure_n"] / PER_THOUSAND,
            water_m3=sums["water"] / PER_THOUSAND,
        )


def products(klass: Klass, sums: dict[str, at.F64], tables: Tables) -> dict[str, at.F64]:
    """Kilograms of each good, [chain, year, 12]: laid, milked, taken, and of what is killed."""
    found = {klass.good(what): sums[name] for what, name in FROM_SUMS.items()}
    if klass.row["dressing_fraction"] is not None:
        live = sums["live_killed"]
        found |= {klass.good(what): live * klass.figure(column) for what, column in FROM_LIVE.items()}
        coat, share = skin_of(tables, klass.key)
        found[coat] = live * share
    if klass.kind.role == "colony":
        found["beeswax"] = sums["beeswax"]
    return {good: swept(kg) for good, kg in found.items() if good and kg.any()}


def wool(plan: HerdPlan, klass: Klass, heads: at.I64, tables: Tables) -> dict[str, at.F64]:
    """Fleeces of the adults that stand when they are shorn, in the month of the longest days, [chain, year, 12]."""
    fleece = fleece_kg(tables, klass.key)
    if fleece <= 0.0 or not heads.any():
        return {}
    month = int(np.argmax(plan.sky.daylength_h))
    kg = np.zeros((*heads.shape[:2], 12))
    kg[..., month] = fleece * heads[..., min(plan.sky.months[month].first_day // 7, at.WEEKS - 1)]
    return {WOOL: kg}


def group_struck(
    group: GroupPlan, outcome: at.Outcome, lanes: Sequence[int], keys: at.U64, tables: Tables
) -> Iterator[HerdStrike]:
    """Strikes that took heads of a group; where two kinds came in one year, both are told with the heads of both."""
    plan = group.arrays
    if not len(plan.strike):
        return
    lost = outcome.counts[..., at.STRUCK]
    weights = np.array([load_klass(tables, label.klass).typical_kg() for label in group.rows])
    years = len(keys) // at.WEEKS
    chance = np.tile(plan.strike, years)
    week_key = mixed(np.array(lanes, dtype=np.uint64)[:, None] ^ keys[None, :])
    for index, strike in enumerate(group.strikes):
        number = (mixed(week_key ^ plan.strike_hash[index]) >> np.uint64(11)).astype(np.float64) * 2.0**-53
        came = (number < chance[index]).reshape(len(lanes), years, at.WEEKS).any(axis=2)
        on = np.flatnonzero(plan.strike_on[index])
        for chain, year in np.argwhere(came & (lost[..., on].sum(axis=2) > 0)):
            taken = lost[chain, year, on]
            live_kg = float(taken @ weights[on])
            yield HerdStrike(int(chain), int(year), strike.key, group.name, int(taken.sum()), live_kg)


def mixed(key: at.U64) -> at.U64:
    """`draws.mix` of an array."""
    value = key + np.uint64(GOLDEN)
    value = (value ^ (value >> np.uint64(30))) * np.uint64(FIRST)
    value = (value ^ (value >> np.uint64(27))) * np.uint64(SECOND)
    return np.asarray(value ^ (value >> np.uint64(31)))
