"""Laws of the larder's program on generated larders."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from larder_kit import ALL_YEAR, food, hen, imbalance, larder, random_larder
from scipy.optimize import linprog

from yardland.larder.description import Larder
from yardland.larder.model import highs, run
from yardland.larder.program import build_program, solve_larder
from yardland.larder.weights import WEIGHTS
from yardland.ledger.production import Gathered, Production, without_dust


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(0, 10_000))
def test_another_solver_finds_the_same_optimum(seed: int) -> None:
    """On invented larders the objective equals that of scipy's solver on a dense copy of the same program."""
    build = build_program(random_larder(np.random.default_rng(seed)))
    model = build.model
    found = run(highs(model), model)

    dense = np.zeros((len(model.row_names), len(model.cost)))
    np.add.at(dense, (np.array(model.entry_row), np.array(model.entry_column)), np.array(model.entry_value))
    low, high = np.array(model.row_lower), np.array(model.row_upper)
    rows = np.vstack([dense[np.isfinite(high)], -dense[np.isfinite(low)]])
    sides = np.concatenate([high[np.isfinite(high)], -low[np.isfinite(low)]])
    bounds = list(zip(model.lower, [None if np.isinf(most) else most for most in model.upper], strict=True))
    other = linprog(np.array(model.cost), A_ub=rows, b_ub=sides, bounds=bounds, method="highs-ipm")

    assert other.status == 0
    assert found.objective == pytest.approx(other.fun, rel=1e-6, abs=1e-6)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_every_kitchen_and_store_balances(seed: int) -> None:
    """Closing - opening = A @ flows, fresh and dry, to 1e-9 of the throughput; a closed year ends as it began."""
    case = random_larder(np.random.default_rng(seed))
    plan = solve_larder(case)

    assert imbalance(plan) < 1e-9
    assert imbalance(plan, dry=True) < 1e-9
    if case.cyclic:
        assert plan.closing_kg[:, -1] == pytest.approx(plan.opening_kg[:, 0])
    assert np.all(plan.fresh_kg >= -1e-9)
    assert np.isfinite(plan.fresh_kg).all()


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10_000), more=st.floats(1.0, 3.0))
def test_more_land_never_makes_a_household_hungrier(seed: int, more: float) -> None:
    """With every harvest larger, the first aims (depth and sum of the shortage) are no worse."""
    case = random_larder(np.random.default_rng(seed))
    gathered = tuple(replace(item, fresh_kg=item.fresh_kg * more) for item in case.production.gathered)
    larger = replace(case, production=replace(case.production, gathered=gathered))

    free = replace(WEIGHTS, waste=0.0)

    assert solve_larder(larger, free).objective <= solve_larder(case, free).objective + handling_of(larger) + 1e-6


def handling_of(case: Larder) -> float:
    """The most that a larger harvest can cost merely by being handled, where waste has no price."""
    return 2e-5 * sum(float(np.sum(item.fresh_kg)) for item in case.production.gathered)


def test_eggs_of_a_flock_that_gets_nothing_are_none_at_all() -> None:
    """What cancels leaves no dust behind: a flow is its amount or nothing."""
    flock = hen(10.0, products={"egg": np.full(12, 0.7 / 3.0)})
    case = larder([food("egg")], {}, np.full(12, 100.0))
    plan = solve_larder(replace(case, production=replace(case.production, herds=(flock,))))

    assert plan.feed_short["flock"] == pytest.approx(np.ones(12))
    assert np.all(plan.total("give", "egg") == 0.0)


@given(seed=st.integers(0, 10_000), share=st.sampled_from([1e-12, 1e-9, 1e-7]))
@settings(max_examples=20, deadline=None)
def test_less_than_a_milligram_is_nothing(seed: int, share: float) -> None:
    """Amounts under a milligram in a month are swept from all that arrives; the others stay to the last digit."""
    kg = np.random.default_rng(seed).uniform(0.0, 2.0, 12) * np.where(np.arange(12) % 2, 1.0, share)
    swept_kg = without_dust(Production((Gathered("crop:field.x", "oats", kg),))).gathered[0].fresh_kg

    assert np.all((swept_kg == kg) | ((swept_kg == 0.0) & (kg < 1e-6)))
    assert np.all(swept_kg[::2] == 0.0)


def test_a_trace_of_a_nutrient_stops_nobody() -> None:
    """A coefficient under what the solver takes is left out, and the year is solved all the same."""
    grain, tea = food("oats"), food("tea", kcal=1e-9, protein=1e-9)
    plan = solve_larder(larder([grain, tea], {"oats": ALL_YEAR, "tea": ALL_YEAR}, np.full(12, 1000.0)))

    assert plan.coverage["energy_kcal"] == pytest.approx(np.ones(12), abs=0.051)
