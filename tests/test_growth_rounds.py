"""Herds that walk from sward to sward: appetite, residual, growth and the length of a stay, in all three kernels."""

from __future__ import annotations

import dataclasses
import sys
from collections.abc import Callable
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from growth_kit import holding, laid, tables, weather
from hypothesis import given, settings
from hypothesis import strategies as st

from yardland.growth import traits as tr
from yardland.growth.grazers import Grazers, ahead
from yardland.growth.io import KernelInput, KernelOutput
from yardland.growth.numba_path import run_numba
from yardland.growth.numpy_path import run_numpy
from yardland.growth.run import grow
from yardland.growth.twin import run_twin
from yardland.holding.model import Holding, MonthDay, Span, Sward
from yardland.weather.types import Forcing

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


def following(seed: int, followers: int, within: int = 3, days: int = 5, kg_d: float = 8.0) -> KernelInput:
    """A leader and those behind it on four open swards on ground that bears, everything in their round."""
    case = kernel_case(seed, 4, 2, 1, 0, 4, followers)
    traits = case.traits.copy()
    traits[tr.SHUT_FROM], traits[tr.CUT_MASS] = -1.0, 0.0
    leads = np.zeros(4, dtype=np.int64)
    kilograms_d = np.full_like(case.round_kg_d, kg_d)
    kilograms_d[1] = 0.0
    return dataclasses.replace(
        case,
        traits=traits,
        strip_round=leads,
        area_m2=np.full(4, 900.0),
        round_kg_d=kilograms_d,
        round_days=np.full(case.rounds, days),
        round_within=np.where(case.round_ahead >= 0, within, 0),
        round_grown=np.full(case.rounds, 0.5),
        sat_mm=case.full_mm,
        pass_share=np.ones_like(case.pass_share),
    )


def stays_of(where: np.ndarray) -> list[tuple[int, int, int]]:
    """Sward, first evening, evening of leaving, of the stays that end before the axis does."""
    edges = [0, *(np.flatnonzero(np.diff(where)) + 1).tolist(), len(where)]
    return [(int(where[a]), a, b) for a, b in pairwise(edges) if where[a] >= 0 and b < len(where)]


@pytest.mark.parametrize("path", [run_twin, run_numpy, run_numba])
@pytest.mark.parametrize("within", [1, 4])
def test_who_follows_comes_to_what_was_left_within_its_days(path: Kernel, within: int) -> None:
    """Every stay of a follower begins at most so many evenings after the one before it left that sward; never two at once."""
    case = following(3, 2, within)
    out = path(case)

    for lane in range(case.lanes):
        chain = [out.where[herd, :, lane] for herd in (0, 2, 3)]
        for before, behind in pairwise(chain):
            left = stays_of(before)
            came = stays_of(behind)
            assert came
            for sward, first, _ in came:
                assert any(s == sward and 0 <= first - last <= within for s, _, last in left)
        for evening in zip(*chain, strict=True):
            out_there = [sward for sward in evening if sward >= 0]
            assert len(out_there) == len(set(out_there))


@pytest.mark.parametrize("path", [run_twin, run_numpy, run_numba])
def test_who_leads_takes_the_top_and_who_follows_the_rest(path: Kernel) -> None:
    """The more of what it finds the leader leaves, the fewer evenings it has on grass, and the more the follower."""
    case = following(3, 1, days=10_000)
    evenings = []
    for leaves in (0.0, 0.3, 0.6):
        out = path(dataclasses.replace(case, round_leaves=np.array([leaves, 0.0, 0.0])))
        evenings.append([int((out.where[herd, tr.YEAR :] >= 0).sum()) for herd in (0, 2)])

    assert evenings[0][0] > evenings[1][0] > evenings[2][0] > 0
    assert evenings[0][1] < evenings[1][1] < evenings[2][1]


@settings(max_examples=6, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), followers=st.integers(1, 3))
def test_three_paths_agree_on_followers(seed: int, followers: int) -> None:
    """Places of all herds are equal in the three kernels, what is eaten to a part in a thousand million."""
    case = following(seed, followers)
    judge = run_twin(case)

    for path in (run_numpy, run_numba):
        out = path(case)
        np.testing.assert_array_equal(out.where, judge.where)
        np.testing.assert_allclose(out.sward, judge.sward, rtol=CLOSE, atol=CLOSE)
        np.testing.assert_allclose(out.nitrogen, judge.nitrogen, rtol=CLOSE, atol=CLOSE)


@settings(max_examples=6, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), followers=st.integers(1, 3))
def test_nothing_is_lost_where_herds_follow(seed: int, followers: int) -> None:
    """Start + grown = eaten + trodden + withered + end of every sward and month, and nobody eats more than the appetites."""
    case = following(seed, followers)
    out = run_numba(case)
    book = out.sward
    went = book[tr.GRAZED] + book[tr.TRAMPLED] + book[tr.HAY] + book[tr.WET_HAY] + book[tr.WITHERED] + book[tr.S_END]
    in_month = np.array([case.round_kg_d[:, case.month == month].sum() for month in range(12)])

    np.testing.assert_allclose(book[tr.S_START] + book[tr.GREW], went, rtol=0, atol=CLOSE)
    assert (kilograms(case, out).sum(axis=0) <= in_month[:, None] + CLOSE).all()


def test_a_herd_follows_one_that_stands_before_it() -> None:
    """Herds are told in the order of going: one that follows a later one, or a stranger, is refused."""
    kg = np.ones(tr.AXIS)
    one, two = Grazers("one", ("field",), kg), Grazers("two", ("field",), kg, follows="one", within_days=3)

    assert ahead((one, two)).tolist() == [-1, 0]
    for wrong in ((two, one), (two,), (dataclasses.replace(one, follows="one"),)):
        with pytest.raises(ValueError, match="stand behind"):
            ahead(wrong)


def mead(**more: Any) -> tuple[Holding, Forcing]:
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
