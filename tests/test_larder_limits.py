"""On invented larders, a plan's own numbers keep every limit: worked out anew from its flows, not from the program."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from larder_kit import food, larder, random_larder

from yardland.larder.plan import Plan
from yardland.larder.program import solve_larder

SLACK = 1e-6
SEEDS = st.integers(0, 10_000)


def plan_of(seed: int) -> Plan:
    """The plan of an invented larder."""
    return solve_larder(random_larder(np.random.default_rng(seed)))


def eaten_dm(plan: Plan, account: str, feed: str) -> np.ndarray:
    """Dry matter of a feed that a herd eats by month."""
    total = np.zeros(12)
    for row, arc in enumerate(plan.arcs):
        if arc.target == account and plan.larder.goods[arc.good].feed == feed:
            total = total + plan.dm_kg[row]
    return total


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS)
def test_herds_get_their_need_or_are_told_short(seed: int) -> None:
    """Energy and protein eaten + what is told short make up the need; no feed is over its share of the ration."""
    plan = plan_of(seed)
    for herd in plan.larder.production.herds:
        feeds = {key: eaten_dm(plan, herd.account, key) for key in plan.larder.feeds}
        short = plan.feed_short[herd.group]
        energy = sum(dm * plan.larder.feeds[key].energy_mj[herd.system] for key, dm in feeds.items())
        protein = sum(dm * plan.larder.feeds[key].protein_kg for key, dm in feeds.items())
        eaten = sum(feeds.values())
        poorest = min(feed.energy_mj[herd.system] for feed in plan.larder.feeds.values())

        assert np.all(energy + short * herd.energy_mj >= herd.energy_mj * (1 - SLACK))
        assert np.all(protein + short * herd.protein_kg >= herd.protein_kg - SLACK)
        assert np.all(eaten <= herd.dry_matter_max_kg + SLACK)
        for key, dm in feeds.items():
            most = plan.larder.feeds[key].max_share[herd.ceiling_column]
            assert np.all(dm <= most * (eaten + short * herd.energy_mj / poorest) + SLACK)


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS)
def test_products_shrink_with_the_feed(seed: int) -> None:
    """Eggs given = eggs of a full ration x (1 - share short)."""
    plan = plan_of(seed)
    for herd in plan.larder.production.herds:
        for good, full in herd.products.items():
            given_kg = plan.products_kg[herd.group][good]
            assert given_kg == pytest.approx(full * (1 - plan.feed_short[herd.group]), abs=1e-6)


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS)
def test_rooms_plates_purchases_and_appetite_are_kept(seed: int) -> None:
    """Litres on the shelves, kilograms on the plates, kilograms bought and energy eaten stay under their limits."""
    plan = plan_of(seed)
    case = plan.larder
    litres = np.zeros(12)
    for keeping in case.keepings:
        if keeping.account in plan.accounts:
            litres = litres + keeping.litres_per_kg * plan.closing_kg[plan.accounts.index(keeping.account)]
    assert np.all(litres <= case.rooms_litres["cellar"] * (1 + SLACK))
    for plate in case.plates:
        on_it = sum(
            edible * plan.eaten_kg.get(good, np.zeros(12))
            for good, edible in zip(plate.goods, plate.edible_fraction, strict=True)
        )
        assert np.all(on_it <= plate.ceiling_kg + SLACK)
    for trade in case.trades:
        moved = plan.bought_kg if trade.do == "buy" else plan.sold_kg
        assert np.all(moved.get(trade.good, np.zeros(12)) <= trade.limit_kg + SLACK)
    assert np.all(plan.coverage["energy_kcal"] <= case.energy_high + SLACK)


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS)
def test_what_is_short_is_told_and_enters_nothing_else(seed: int) -> None:
    """Eaten + shortfall cover the need; the emergency food is the energy short, and ends at the table alone."""
    plan = plan_of(seed)
    for name, need in plan.need.items():
        assert np.all(plan.eaten[name] + plan.shortfall[name] >= need * (1 - SLACK))
    told = plan.emergency_kg.get("emergency_food", np.zeros(12)) * plan.larder.emergency_kcal_per_kg
    assert told == pytest.approx(plan.shortfall["energy_kcal"], abs=1e-3)
    assert {arc.target for arc in plan.arcs if arc.source == "emergency"} <= {"people", "seed"}


@settings(max_examples=20, deadline=None)
@given(seed=SEEDS)
def test_grass_is_eaten_in_its_month_or_the_next(seed: int) -> None:
    """Over a closed year no more grass is eaten than grew; in any month no more than grew in it and the one before."""
    plan = plan_of(seed)
    for grazing in plan.larder.production.grazing:
        eaten = sum(
            (plan.dm_kg[row] for row, arc in enumerate(plan.arcs) if arc.source == grazing.account), np.zeros(12)
        )
        before = np.roll(grazing.dm_kg, 1) * grazing.carry
        if not plan.larder.cyclic:
            before[0] = 0.0
        assert np.all(eaten <= grazing.dm_kg + before + SLACK)
        assert eaten.sum() <= grazing.dm_kg.sum() + SLACK


def test_the_solver_prints_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    """Standard output stays clean for --json: not even the solver's banner."""
    solve_larder(larder([food("oats")], {"oats": np.full(12, 30.0)}, np.full(12, 30_000.0)))

    assert capfd.readouterr() == ("", "")
