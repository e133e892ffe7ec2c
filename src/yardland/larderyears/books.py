"""The books of a chain: every flow of each of its years, from what was decided, month by month.

Each year opens with what the one before it left. What arrives is what the drawn year brought, less what hungry stock did
not give; what lies in stores follows from what was put by, taken, spoilt and thawed (`larderyears.lots`). What nobody
ate, kept, fed or sold of a good goes to the soil. A program holds its rows to a tolerance: where that leaves more going
out of a kitchen than came in, the greatest flow out of it is less by as much, and `rounding` says how much that was.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from yardland.larder.build import kitchen_account
from yardland.larder.description import MONTHS, Larder
from yardland.larder.plan import dry_matter
from yardland.larderyears.frame import Frame
from yardland.larderyears.lots import Flows, Stores, lots
from yardland.larderyears.openings import Lying
from yardland.larderyears.prepare import Prepared
from yardland.larderyears.sides import THAWED, moved
from yardland.larderyears.walk import Walked
from yardland.ledger.arcs import Arc, Ledger
from yardland.ledger.production import Production
from yardland.reference import Tables
from yardland.season.flows import year_ledger

F64 = npt.NDArray[np.float64]
KITCHEN, STORE, HERD = "kitchen:", "store:", "herd:"


@dataclass(frozen=True)
class Decided:
    """Flows of the larder in one year, as `season.flows.year_ledger` takes them.

    fresh_kg, dm_kg [arc, 12] ; opening_kg, closing_kg [account, 12] : of kitchens and stores
    """

    arcs: tuple[Arc, ...]
    fresh_kg: F64
    dm_kg: F64
    accounts: tuple[str, ...]
    opening_kg: F64
    closing_kg: F64


@dataclass(frozen=True)
class Books:
    """ledgers [year] ; rounding : greatest amount that was put right, as a share of what goes through the account in the year, and where."""

    ledgers: tuple[Ledger, ...]
    rounding: float
    where: str


@dataclass
class Worst:
    """The greatest rounding seen."""

    share: float = 0.0
    where: str = ""

    def see(self, kg: float, through_kg: float, where: str) -> None:
        """Keep it if it is greater; under a kilogram a year, of a kilogram."""
        share = kg / max(through_kg, 1.0)
        if share > self.share:
            self.share, self.where = share, where


def books_of(shared: Prepared, productions: Sequence[Production], walked: Walked, tables: Tables) -> Books:
    """The books of a chain.

    Args:
        shared: by which it was walked.
        productions: of its years, with leavings, in order.
        walked: what was done.
        tables: reference tables.
    """
    frame, stack = shared.frame, shared.policy.stack
    there, every, worst = np.flatnonzero(stack.column_at >= 0), lots(frame), Worst()
    found, opening_kg = [], walked.opening_kg[0]
    for year, production in enumerate(productions):
        x = np.zeros(len(frame.cost))
        x[there] = walked.x[year, stack.column_at[there]]
        came = arriving(frame, production, walked, year)
        flows = decided_flows(frame, x, walked, year, came)
        stores = Stores(every, flows, opening_kg, walked.laid_kg[year], x)
        go_through(stores, flows, walked.came.mishaps[year, THAWED], worst)
        decided = larder_flows(frame.larder, flows, stores, opening_kg, frame.lying)
        found.append(year_ledger(decided, came, tables, cyclic=False))
        opening_kg = stores.left_kg(len(opening_kg))
        carried = np.abs(opening_kg - walked.opening_kg[year + 1])
        for at in np.flatnonzero(carried).tolist():
            one = frame.lying[at]
            worst.see(float(carried[at]), float(opening_kg[at]), f"{STORE}{one.good}.{one.method}")
    return Books(carried_on(found), worst.share, worst.where)


def arriving(frame: Frame, production: Production, walked: Walked, year: int) -> Production:
    """What came into the kitchens in a year of a chain, in the months that the block has for it, less what hunger of the month before cost."""
    place = {good: index for index, good in enumerate(frame.goods)}
    open_months = np.zeros((len(frame.goods), MONTHS), dtype=np.bool_)
    open_months.ravel()[np.unique(frame.arrivals.column)] = True

    def put(good: str, kg: F64) -> F64:
        return moved(np.asarray(kg, dtype=np.float64), open_months[place[good]])

    gathered = tuple(
        replace(item, fresh_kg=put(item.good, item.fresh_kg)) for item in production.gathered if item.good in place
    )
    given = {
        (herd.account, good): put(good, kg)
        for herd in production.herds
        for good, kg in herd.products.items()
        if good in place
    }
    came = walked.came.arriving_kg[year].copy()
    for item in gathered:
        came[place[item.good]] -= item.fresh_kg
    for good, at in place.items():
        whole = sum((kg for (_, one), kg in given.items() if one == good), np.zeros(MONTHS))
        part = np.divide(came[at], whole, out=np.ones(MONTHS), where=whole > 0.0)
        given |= {(account, one): kg * part for (account, one), kg in given.items() if one == good}
    herds = tuple(
        replace(herd, products={good: given[herd.account, good] for good in herd.products if good in place})
        for herd in production.herds
    )
    return replace(production, gathered=gathered, herds=herds)


def decided_flows(frame: Frame, x: F64, walked: Walked, year: int, came: Production) -> Flows:
    """What was decided in a year and what came, batches left out."""
    flows: Flows = defaultdict(lambda: np.zeros(MONTHS))
    for (arc, month), terms in frame.build.flows.items():
        of_shelf = arc.kind == "spoil" and arc.source.startswith(STORE)  # follows from what lies there
        if arc.kind != "give" and not of_shelf and not (arc.kind == "emergency" and arc.target.startswith(KITCHEN)):
            flows[arc][month] += sum(float(x[column]) * kg for column, kg in terms)
    for item in came.gathered:
        flows[Arc(item.account, kitchen_account(item.good), item.good, "gather")] += item.fresh_kg
    gifts(frame, flows, x, walked, year, came)
    return flows


def go_through(stores: Stores, flows: Flows, thawed: F64, worst: Worst) -> None:
    """Stores and kitchens month by month; what was decided gives way by the solver's rounding. `flows` become the year's."""
    for lot in stores.every:
        account, good, gives = lot.keeping.account, lot.keeping.good, lot.keeping.gives
        for arc in (
            Arc(kitchen_account(good), account, gives, "put_by"),
            Arc(account, kitchen_account(gives), gives, "take"),
        ):
            flows[arc] += 0.0
    into: dict[str, list[Arc]] = defaultdict(list)
    out: dict[str, list[Arc]] = defaultdict(list)
    for arc in tuple(flows):
        if arc.kind != "trim" or not arc.source.startswith(KITCHEN):
            into[arc.target].append(arc)
            out[arc.source].append(arc)
    kitchens = in_order([name for name in sorted({*into, *out}) if name.startswith(KITCHEN)], out)
    for month in range(MONTHS):
        stores.draw(month, float(thawed[month]))
        for account in kitchens:
            gave_way = close_kitchen(flows, account, month, into[account], out[account])
            worst.see(gave_way, sum(float(flows[arc].sum()) for arc in into[account]), account)
        stores.lay(month)
    for lot, kg in zip(stores.every, stores.rounding.tolist(), strict=True):
        worst.see(kg, sum(float(flows[arc].sum()) for arc in into[lot.keeping.account]), lot.keeping.account)


def close_kitchen(flows: Flows, account: str, month: int, into: Sequence[Arc], out: Sequence[Arc]) -> float:
    """What goes into a kitchen and nowhere else is trimmed; where more would go out than came in, the greatest flow out gives way.

    Returns:
        Kilograms by which what was decided gave way.
    """
    good = account.removeprefix(KITCHEN)
    trim = Arc(account, "soilair", good, "trim")
    miss = sum(float(flows[arc][month]) for arc in into) - sum(float(flows[arc][month]) for arc in out)
    was, gave_way = float(flows[trim][month]), 0.0
    while miss < 0.0:
        most = max(out, key=lambda arc: float(flows[arc][month]))
        given = min(-miss, float(flows[most][month]))
        flows[most][month] -= given
        gave_way += given
        miss = miss + given if given < -miss else 0.0
        if given <= 0.0:
            break
    flows[trim][month] = max(miss, 0.0)
    return max(gave_way, was - float(flows[trim][month]))


def larder_flows(larder: Larder, flows: Flows, stores: Stores, opening_kg: F64, lying: Sequence[Lying]) -> Decided:
    """The larder's flows of a year."""
    used = {arc: kg for arc, kg in flows.items() if kg.any()}
    arcs = tuple(sorted(used, key=lambda arc: (arc.kind, arc.source, arc.target, arc.good)))
    fresh = np.array([used[arc] for arc in arcs]).reshape(-1, MONTHS)
    first: dict[str, float] = defaultdict(float)
    for one, kg in zip(lying, opening_kg.tolist(), strict=True):
        first[f"{STORE}{one.good}.{one.method}"] += kg
    closing = stores.closing_kg()
    names = {end for arc in arcs for end in (arc.source, arc.target) if end.startswith((KITCHEN, STORE))}
    accounts = tuple(sorted(names | {name for name, kg in closing.items() if kg.any() or first[name] > 0.0}))
    closes = np.array([closing.get(name, np.zeros(MONTHS)) for name in accounts]).reshape(-1, MONTHS)
    opens = np.roll(closes, 1, axis=1)
    opens[:, 0] = [first.get(name, 0.0) for name in accounts]
    return Decided(arcs, fresh, dry_matter(larder, arcs, fresh), accounts, opens, closes)


def gifts(frame: Frame, flows: Flows, x: F64, walked: Walked, year: int, came: Production) -> None:
    """What each class gave: what it would have, less what hunger took; added to `flows`.

    The program may let hunger take more than it must, of what nobody needs (it costs less than to throw it away): what is
    spared is all that can be, and the rest goes to the soil. Nor can hunger take what was not there: `emergency` is
    what was taken beyond that and came from nowhere.
    """
    took: dict[tuple[Arc, int], float] = {}
    nowhere: dict[tuple[str, int], float] = defaultdict(float)
    for (arc, month), terms in frame.build.flows.items():
        if arc.kind == "give":
            took[arc, month] = -sum(float(x[column]) * kg for column, kg in terms if kg < 0.0)
        elif arc.kind == "emergency" and arc.target.startswith(KITCHEN):
            nowhere[arc.good, month] += sum(float(x[column]) * kg for column, kg in terms)
    spares = {
        (frame.asks.accounts[gift.herd], gift.good): walked.came.spared_kg[year, number]
        for number, gift in enumerate(frame.asks.gifts)
    }
    for herd in came.herds:
        for good, kg in herd.products.items():
            arc = Arc(herd.account, kitchen_account(good), good, "give")
            spared = spares.get((herd.account, good), np.zeros(MONTHS))
            lost = np.array([took.get((arc, month), 0.0) for month in range(MONTHS)])
            gives = kg - np.maximum(lost - spared, 0.0)
            flows[arc] += np.maximum(gives, 0.0)
            for month in np.flatnonzero(gives < 0.0).tolist():
                nowhere[good, month] += float(gives[month])
    for (good, month), kg_there in nowhere.items():
        if kg_there > 0.0:
            flows[Arc("emergency", kitchen_account(good), good, "emergency")][month] += kg_there


def in_order(accounts: Sequence[str], out: dict[str, list[Arc]]) -> list[str]:
    """The kitchens, each before those into which something of it is made."""
    found: list[str] = []
    seen: set[str] = set()

    def visit(account: str) -> None:
        if account in seen:
            return
        seen.add(account)
        for arc in out.get(account, ()):
            if arc.target.startswith(KITCHEN):
                visit(arc.target)
        found.append(account)

    for account in accounts:
        visit(account)
    return found[::-1]


def carried_on(ledgers: Sequence[Ledger]) -> tuple[Ledger, ...]:
    """The ledgers with what lies in the bodies of stock carried on from year to year: its beginning is as great as it must be."""
    names = {name for one in ledgers for name in one.accounts if name.startswith(HERD)}
    level = dict.fromkeys(sorted(names), 0.0)
    lowest = dict(level)
    shifts: list[dict[str, float]] = []
    for one in ledgers:
        row = {name: index for index, name in enumerate(one.accounts)}
        shift = {}
        for name in level:
            if name in row:
                at = row[name]
                shift[name] = level[name] - float(one.opening_kg[at, 0])
                lowest[name] = min(lowest[name], float((one.closing_kg[at] + shift[name]).min()))
                level[name] = float(one.closing_kg[at, -1]) + shift[name]
        shifts.append(shift)
    found = []
    for one, shift in zip(ledgers, shifts, strict=True):
        opening, closing = one.opening_kg.copy(), one.closing_kg.copy()
        for name, kg in shift.items():
            at = one.accounts.index(name)
            opening[at] += kg - lowest[name]
            closing[at] += kg - lowest[name]
        found.append(replace(one, opening_kg=opening, closing_kg=closing))
    return tuple(found)
