"""The program's answer as flows on arcs, month by month, and the sums that faces ask for."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.larder.build import Batch, Build, kitchen_account
from yardland.larder.description import MONTHS, Larder
from yardland.larder.model import Solution
from yardland.larder.rounding import ROUNDING, close_accounts, swept
from yardland.larder.table_told import DietYear, diet_years, likes_missed
from yardland.ledger.arcs import BOUNDLESS, Arc

F64 = npt.NDArray[np.float64]
LACK = 1e-6
"""Share of a bound under which a lack is the solver's rounding."""
CANCELLED = 1e-14
"""A sum under this share of its terms is the rounding of terms that cancel: eggs of a flock that gives none."""


@dataclass(frozen=True)
class Plan:
    """A larder year as decided with foresight of that year.

    arcs, fresh_kg [arc, month], dm_kg [arc, month] : every flow between kitchen, stores, herds, people and outside.
    accounts : the kitchens and stores; opening_kg, closing_kg [account, month]
    eaten_kg : good -> [12]; stores_kg : "good, method" -> [12] at each month's end; feed_kg : group -> good -> [12]
    feed_lacks : group -> bound ("lysine", "calcium", "phosphorus", "fibre_least", "fibre_most") -> [12], the share of it
    that the worst fed class lacks (has too much, for fibre_most); feed_short : group -> [12], share of the energy need that is not met; products_kg : group -> good -> [12]
    made_kg : good -> [12]; put_by_kg : (good, method) -> [12]; bought_kg, sold_kg : good -> [12]
    emergency_kg : what people lack, as emergency food -> [12]; seed_short_kg : good -> [12], seed that must be got
    eaten : nutrient -> [12] in the month; coverage : nutrient -> [12] = eaten / need; shortfall : nutrient -> [12],
    need - eaten where that is positive
    duals : constraint name -> change of the objective per unit of its right-hand side
    larder : the question that this answers
    diets : meals and coverage of people who eat alike, where not everybody does
    likes_missed : floor of likes ("ann.potato") -> share of it that is missed, [12]
    """

    arcs: tuple[Arc, ...]
    fresh_kg: F64
    dm_kg: F64
    accounts: tuple[str, ...]
    opening_kg: F64
    closing_kg: F64
    eaten_kg: dict[str, F64]
    stores_kg: dict[str, F64]
    feed_kg: dict[str, dict[str, F64]]
    feed_short: dict[str, F64]
    products_kg: dict[str, dict[str, F64]]
    made_kg: dict[str, F64]
    put_by_kg: dict[tuple[str, str], F64]
    bought_kg: dict[str, F64]
    sold_kg: dict[str, F64]
    emergency_kg: dict[str, F64]
    seed_short_kg: dict[str, F64]
    need: dict[str, F64]
    eaten: dict[str, F64]
    coverage: dict[str, F64]
    shortfall: dict[str, F64]
    duals: dict[str, float]
    feed_lacks: dict[str, dict[str, F64]]
    status: str
    objective: float
    gap: float
    larder: Larder
    notes: tuple[str, ...] = ()
    diets: tuple[DietYear, ...] = ()
    likes_missed: dict[str, F64] = field(default_factory=dict)

    def worst_coverage(self, nutrient: str) -> F64:
        """Coverage of the people who have least of a nutrient, by month: of the worst diet where there are several."""
        return np.asarray(np.min([self.coverage[nutrient], *(diet.coverage[nutrient] for diet in self.diets)], axis=0))

    def total(self, kind: str, good: str) -> F64:
        """Kilograms of the good on all arcs of the kind, by month."""
        rows = [index for index, arc in enumerate(self.arcs) if arc.kind == kind and arc.good == good]
        return np.asarray(self.fresh_kg[rows].sum(axis=0)) if rows else np.zeros(MONTHS)


def read_plan(build: Build, solution: Solution) -> Plan:
    """The plan that a checked solution stands for."""
    x = swept(solution.x, build.flows.values())
    flows = all_flows(build, x)
    arcs = tuple(sorted(flows, key=lambda arc: (arc.kind, arc.source, arc.target, arc.good)))
    fresh = np.array([flows[arc] for arc in arcs]) if arcs else np.zeros((0, MONTHS))
    accounts, opening, closing = stocks(build, x, arcs)
    fresh = close_accounts(arcs, fresh, accounts, opening, closing)
    eaten = nutrients_eaten(build.larder, arcs, fresh)
    need = dict(zip(build.larder.nutrients, build.larder.need, strict=True))
    coverage = {name: covered(eaten[name], need[name]) for name in need}
    return Plan(
        arcs=arcs,
        fresh_kg=fresh,
        dm_kg=dry_matter(build.larder, arcs, fresh),
        accounts=accounts,
        opening_kg=opening,
        closing_kg=closing,
        eaten_kg=by_good(arcs, fresh, "eat"),
        stores_kg={store_name(name): closing[row] for row, name in enumerate(accounts) if name.startswith("store:")},
        feed_kg=by_group(arcs, fresh, ("feed", "graze"), herd_is="target"),
        feed_short=feed_short(build, x),
        products_kg=by_group(arcs, fresh, ("give",), herd_is="source"),
        made_kg=made(arcs, fresh),
        put_by_kg=put_by(arcs, fresh),
        bought_kg=by_good(arcs, fresh, "buy"),
        sold_kg=by_good(arcs, fresh, "sell"),
        emergency_kg=by_good(arcs, fresh, "emergency", "people"),
        seed_short_kg=by_good(arcs, fresh, "emergency", "seed"),
        need=need,
        eaten=eaten,
        coverage=coverage,
        shortfall={name: np.maximum(need[name] - eaten[name], 0.0) for name in need},
        duals=dict(zip(build.model.row_names, solution.row_dual.tolist(), strict=True)),
        feed_lacks=feed_lacks(build, x),
        status=solution.status,
        objective=solution.objective,
        gap=solution.gap,
        larder=build.larder,
        notes=build.larder.notes,
        diets=diet_years(build, x),
        likes_missed=likes_missed(build, x),
    )


def all_flows(build: Build, x: F64) -> dict[Arc, F64]:
    """Kilograms on every arc that carries something in some month."""
    flows: dict[Arc, F64] = defaultdict(lambda: np.zeros(MONTHS))
    for arc, month in dict.fromkeys((*build.constants, *build.flows)):
        terms = build.flows.get((arc, month), ())
        parts = [build.constants.get((arc, month), 0.0), *(float(x[column]) * unit for column, unit in terms)]
        kg = sum(parts)
        if abs(kg) > CANCELLED * sum(map(abs, parts)):
            flows[arc][month] += kg
    for batch in build.batches:
        if x[batch.column] != 0.0:
            batch_flows(flows, batch, float(x[batch.column]))
    for arc in tuple(flows):
        if arc.source.startswith("kitchen:"):
            flows[Arc(arc.source, "soilair", arc.source.removeprefix("kitchen:"), "trim")] += 0.0
    return dict(flows)


def batch_flows(flows: dict[Arc, F64], batch: Batch, kg: float) -> None:
    """Put by, lost in the trimming, spoilt month by month, taken: one batch."""
    keeping = batch.keeping
    kitchen, store = kitchen_account(keeping.good), keeping.account
    lying = kg * keeping.yield_fraction
    if batch.made >= 0:
        flows[Arc(kitchen, store, keeping.gives, "put_by")][batch.made] += lying
        if keeping.yield_fraction < 1.0:
            flows[Arc(kitchen, "soilair", keeping.good, "trim")][batch.made] += kg - lying
    spoil = Arc(store, "soilair", keeping.gives, "spoil")
    last = batch.made + batch.ages
    laid = lying
    for month in range(batch.made + 1, min(last, MONTHS - 1) + 1 if batch.taken == MONTHS else last + 1):
        left = laid * keeping.kept(batch.made, month - batch.made, batch.lain)
        if left < lying:
            flows[spoil][month % MONTHS] += lying - left
        lying = left
    if batch.taken < MONTHS:
        flows[Arc(store, kitchen_account(keeping.gives), keeping.gives, "take")][batch.taken] += lying


def stocks(build: Build, x: F64, arcs: tuple[Arc, ...]) -> tuple[tuple[str, ...], F64, F64]:
    """Accounts of the kitchen and stores, with what lies in them at each month's beginning and end."""
    names = {end for arc in arcs for end in (arc.source, arc.target) if end.startswith(("kitchen:", "store:"))}
    names |= {batch.keeping.account for batch in build.batches if x[batch.column] != 0.0}  # left lying, nothing flows
    accounts = tuple(sorted(names - set(BOUNDLESS)))
    row = {name: index for index, name in enumerate(accounts)}
    closing = np.zeros((len(accounts), MONTHS))
    first = np.zeros(len(accounts))
    for batch in build.batches:
        kg = float(x[batch.column])
        if kg != 0.0:
            index = row[batch.keeping.account]
            for month, kept in batch.on_shelf():
                closing[index, month] += kg * kept
            if batch.made < 0:
                first[index] += kg * batch.keeping.yield_fraction
    for shelf in build.shelves:
        lying = x[list(shelf.on_shelf)]
        if shelf.keeping.account in row or lying.max() > ROUNDING:
            closing[row[shelf.keeping.account]] += lying
    opening = np.roll(closing, 1, axis=1)
    if not build.larder.cyclic:
        opening[:, 0] = first
    return accounts, opening, closing


def dry_matter(larder: Larder, arcs: tuple[Arc, ...], fresh: F64) -> F64:
    """Dry matter on the arcs, by each good's dry fraction.

    Water that a process adds carries none. What a process or a trimming leaves over carries the rest, so that every
    kitchen balances: a yield and two compositions from three tables never agree to the last gram.
    """
    fraction = {key: good.dm_fraction for key, good in larder.goods.items()}
    dm = np.zeros_like(fresh)
    into: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
    out: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
    wet = {arc.target: fresh[index] for index, arc in enumerate(arcs) if arc.kind == "make" and arc.good == "water"}
    for index, arc in enumerate(arcs):
        kg = fresh[index] * fraction.get(arc.good, 0.0)
        if arc.kind == "make" and arc.good != "water" and arc.target in wet:
            kg = kg + wet.pop(arc.target) * fraction[arc.good]
        if arc.kind != "trim" or not arc.source.startswith("kitchen:"):
            dm[index] = kg
            into[arc.target] += kg
            out[arc.source] += kg
    for index, arc in enumerate(arcs):
        if arc.kind == "trim" and arc.source.startswith("kitchen:"):
            dm[index] = into[arc.source] - out[arc.source]
    return dm


def nutrients_eaten(larder: Larder, arcs: tuple[Arc, ...], fresh: F64) -> dict[str, F64]:
    """Amount of each nutrient eaten in each month."""
    total = np.zeros_like(larder.need)
    for index, arc in enumerate(arcs):
        if arc.kind == "eat":
            per_kg = larder.goods[arc.good].per_kg
            if per_kg is not None:
                total = total + per_kg * fresh[index]
    return dict(zip(larder.nutrients, total, strict=True))


def covered(eaten: F64, need: F64) -> F64:
    """Eaten / needed; 1 where nothing is needed."""
    return np.where(need > 0.0, eaten / np.where(need > 0.0, need, 1.0), 1.0)


def by_good(arcs: tuple[Arc, ...], fresh: F64, kind: str, target: str = "") -> dict[str, F64]:
    """Good -> kilograms by month, over the arcs of a kind (that end at the target)."""
    found: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
    for index, arc in enumerate(arcs):
        if arc.kind == kind and target in {"", arc.target}:
            found[arc.good] = found[arc.good] + fresh[index]
    return dict(found)


def made(arcs: tuple[Arc, ...], fresh: F64) -> dict[str, F64]:
    """Good -> kilograms made by month, with the water that was added."""
    found: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
    for index, arc in enumerate(arcs):
        if arc.kind == "make":
            good = arc.target.removeprefix("kitchen:")
            found[good] = found[good] + fresh[index]
    return dict(found)


def put_by(arcs: tuple[Arc, ...], fresh: F64) -> dict[tuple[str, str], F64]:
    """(good, method) -> kilograms laid on the shelf by month."""
    found: dict[tuple[str, str], F64] = {}
    for index, arc in enumerate(arcs):
        if arc.kind == "put_by":
            good, _, method = arc.target.removeprefix("store:").rpartition(".")
            found[good, method] = found.get((good, method), np.zeros(MONTHS)) + fresh[index]
    return found


def by_group(arcs: tuple[Arc, ...], fresh: F64, kinds: tuple[str, ...], *, herd_is: str) -> dict[str, dict[str, F64]]:
    """Group -> good -> kilograms by month."""
    found: dict[str, dict[str, F64]] = defaultdict(lambda: defaultdict(lambda: np.zeros(MONTHS)))
    for index, arc in enumerate(arcs):
        if arc.kind in kinds:
            account = arc.source if herd_is == "source" else arc.target
            group = account.removeprefix("herd:").partition(".")[0]
            found[group][arc.good] = found[group][arc.good] + fresh[index]
    return {group: dict(goods) for group, goods in found.items()}


def feed_short(build: Build, x: F64) -> dict[str, F64]:
    """Group -> share of its energy need not met, by month (its classes weighed by their need)."""
    lacking: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
    needed: dict[str, F64] = defaultdict(lambda: np.zeros(MONTHS))
    for herd in build.larder.production.herds:
        for month in range(MONTHS):
            column = build.feed_short.get((herd.account, month))
            if column is not None:
                lacking[herd.group][month] += float(x[column]) * float(herd.energy_mj[month])
                needed[herd.group][month] += float(herd.energy_mj[month])
    return {group: lacking[group] / np.where(needed[group] > 0.0, needed[group], 1.0) for group in needed}


def feed_lacks(build: Build, x: F64) -> dict[str, dict[str, F64]]:
    """Group -> bound -> the share of it that the worst fed class lacks, by month; what is met in all months is left out."""
    found: dict[str, dict[str, F64]] = {}
    for (account, bound, month), column in build.feed_lack.items():
        if x[column] > LACK:
            group = account.removeprefix("herd:").partition(".")[0]
            lacking = found.setdefault(group, {}).setdefault(bound, np.zeros(MONTHS))
            lacking[month] = max(lacking[month], float(x[column]))
    return found


def store_name(account: str) -> str:
    """The account "store:potato.root_cellar" as "potato, root_cellar"."""
    good, _, method = account.removeprefix("store:").rpartition(".")
    return f"{good}, {method}"
