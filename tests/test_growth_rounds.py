"""Herds that walk from sward to sward: appetite, residual, growth and the length of a stay, in all three kernels."""

from __future__ import annotations

import dataclasses
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from growth_kit import holding, laid, tables, weather
from hypothesis import given, settings
from hypothesis import strategies as st

from yardland.growth import traits as tr
from yardland.growth.grazers import Grazers
from yardland.growth.io import KernelInput, KernelOutput
from yardland.growth.numba_path import run_numba
from yardland.growth.numpy_path import run_numpy
from yardland.growth.run import grow
from yardland.growth.twin import run_twin
from yardland.holding.model import MonthDay, Span, Sward

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
from kernel_case import kernel_case

CLOSE = 1e-9
Kernel = Callable[[KernelInput], KernelOutput]


def kilograms(case: KernelInput, out: KernelOutput) -> np.ndarray:
    """Grass eaten in each month by each round's animals, kg [round, month, lane]."""
    eaten = out.sward[tr.GRAZED] * case.area_m2[:, None, None] / 1000.0
    return np.stack([eaten[case.strip_round == number].sum(axis=0) for number in range(case.rounds)])


@settings(max_examples=5, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), swards=st.integers(1, 4))
def test_nobody_eats_more_than_his_appetite_nor_what_no_herd_walks(seed: int, swards: int) -> None:
    """A round's animals eat at most their days' appetite; a sward of no round is not grazed; the evening's place is theirs."""
    case = kernel_case(seed, 5, 3, 1, 0, swards)
    out = run_numpy(case)
    in_month = np.stack([case.round_kg_d[:, case.month == month].sum(axis=1) for month in range(12)], axis=1)

    assert (kilograms(case, out) <= in_month[:, :, None] + CLOSE).all()
    assert out.sward[tr.GRAZED][case.strip_round < 0].sum() == 0
    for number in range(case.rounds):
        assert set(np.unique(out.where[number])) <= {-1, *np.flatnonzero(case.strip_round == number)}


@pytest.mark.parametrize("path", [run_twin, run_numpy, run_numba])
def test_a_stay_ends_with_its_days(path: Kernel) -> None:
    """No stay is longer than the round allows, however much grass is left."""
    case = kernel_case(7, 4, 2, 1, 0, 3)
    few = dataclasses.replace(case, round_kg_d=np.full_like(case.round_kg_d, 0.01), round_days=np.array([3, 5]))
    out = path(few)

    for number, most in enumerate(few.round_days):
        for lane in range(few.lanes):
            where = out.where[number, :, lane]
            edges = np.flatnonzero(np.diff(where)) + 1
            runs = zip((0, *edges), (*edges, len(where)), strict=True)
            assert all(last - first <= most for first, last in runs if where[first] >= 0)


@pytest.mark.parametrize("path", [run_twin, run_numpy, run_numba])
def test_hungry_herds_stop_at_the_residual(path: Kernel) -> None:
    """Boundless mouths leave what grazing leaves, and wait in the yard for more."""
    case = kernel_case(12, 3, 2, 1, 0, 3)
    traits = case.traits.copy()
    traits[tr.SHUT_FROM], traits[tr.CUT_MASS] = -1.0, 0.0
    hungry = dataclasses.replace(
        case, traits=traits, strip_round=np.zeros(3, dtype=np.int64), round_kg_d=np.full_like(case.round_kg_d, 1e9)
    )
    out = path(hungry)

    assert out.sward[tr.GRAZED].sum() > 0
    assert (out.where[0] == -1).any()
    least = hungry.traits[tr.RESIDUAL_MASS].min()
    withering = 0.5 * least
    assert out.sward[tr.S_END].min() > withering


def mead(**more: object) -> tuple[KernelOutput, object]:
    """A tenth of a hectare of grass."""
    plan = holding(use="grass", sward=Sward(kind="permanent pasture"), **more)
    return plan, weather("cool", rain_mm=4.0)


def test_more_mouths_leave_less_standing_and_less_withering() -> None:
    """Between nobody and many, what is eaten rises, what stands and withers falls; growth answers to what stands."""
    plan, forcing = mead()
    layout = laid(plan, forcing)
    eaten, withered = [], []
    for kg in (0.0, 0.5, 2.0, 8.0):
        walk = (Grazers("one", ("field",), np.full(tr.AXIS, kg), 9, 0.5),)
        year = grow(plan, tables(), forcing, layout, grazers=walk).swards[0]
        eaten.append(float(year.grazing_kg_dm.sum()))
        withered.append(float(year.withered_kg_dm.sum()))

    assert eaten[0] == 0.0
    assert eaten == sorted(eaten)
    assert withered == sorted(withered, reverse=True)


def test_a_sward_shut_up_for_hay_is_left_alone() -> None:
    """No evening is spent on it between its shutting up and its cut."""
    plan, forcing = mead(shut_up_for_hay=Span(MonthDay(4, 20), MonthDay(7, 5)))
    walk = (Grazers("one", ("field",), np.full(tr.AXIS, 2.0), 9, 0.5),)
    grown = grow(plan, tables(), forcing, laid(plan, forcing), grazers=walk)
    opens = (date(2001, 4, 20) - date(2001, 1, 1)).days
    cut = int(grown.swards[0].hay_day[0])

    assert cut > opens
    assert (grown.where[0, tr.YEAR + opens : tr.YEAR + cut, 0] == -1).all()
    assert (grown.where[0, tr.YEAR :, 0] >= 0).any()
