"""The three growth kernels are one algorithm, and none of them makes or loses water."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yardland.growth import run as growth_run
from yardland.growth import traits as tr
from yardland.growth import twin
from yardland.growth.io import KernelInput, KernelOutput, empty_output, watering_order
from yardland.growth.numba_path import run_numba
from yardland.growth.numpy_path import run_numpy
from yardland.growth.soil_water import day_balance, kc_curve
from yardland.growth.twin import run_twin

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
from bench_kernel import measure
from kernel_case import kernel_case

CLOSE = 1e-9


def assert_same(one: KernelOutput, other: KernelOutput) -> None:
    """Days and outcomes equal; sums equal to a part in a thousand million."""
    for field in dataclasses.fields(KernelOutput):
        left, right = getattr(one, field.name), getattr(other, field.name)
        if left.dtype.kind == "i":
            np.testing.assert_array_equal(left, right, err_msg=field.name)
        else:
            np.testing.assert_allclose(left, right, rtol=CLOSE, atol=CLOSE, err_msg=field.name)


def residual_mm(out: KernelOutput) -> float:
    """Largest open balance of any strip, month and lane."""
    water = out.water
    taken = water[tr.START] + water[tr.RAIN] + water[tr.IRRIGATION]
    left = water[tr.RUNOFF] + water[tr.ET] + water[tr.DRAINAGE] + water[tr.END]
    return float(np.abs(taken - left).max())


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), per_strip=st.integers(1, 3), sources=st.integers(0, 2))
def test_three_paths_agree(seed: int, per_strip: int, sources: int) -> None:
    """On any weather and any crops the NumPy and the compiled path give what the plain-Python twin gives."""
    case = kernel_case(seed, 3, 3, per_strip, sources)
    judge = run_twin(case)

    assert_same(judge, run_numpy(case))
    assert_same(judge, run_numba(case))


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_a_dry_day_of_a_source_counts_once(seed: int) -> None:
    """However many strips ask a source that is empty, it is dry on no more days than the month has."""
    case = kernel_case(seed, 6, 2, 2, 1)
    case = dataclasses.replace(case, rate_m3=np.zeros_like(case.rate_m3), inflow_m3=np.zeros_like(case.inflow_m3))
    days = np.bincount(case.month[case.month >= 0], minlength=12)[None, :, None]

    for path in (run_twin, run_numpy, run_numba):
        dry = path(case).dry_days
        assert dry.max() > 0
        assert np.all(dry <= days)


def test_more_lanes_than_a_block_agree() -> None:
    """Lanes beyond one block of the compiled path are grown like the others."""
    case = kernel_case(11, 3, 70, 2, 2)

    assert_same(run_numpy(case), run_numba(case))


def test_a_lane_does_not_depend_on_its_neighbours() -> None:
    """One year run alone gives what it gives beside others."""
    case = kernel_case(5, 4, 6, 2, 2)
    lane = slice(4, 5)
    per_lane = (
        "tmean_c",
        "tmin_c",
        "t3_c",
        "t10_c",
        "par_mj",
        "eto_mm",
        "rain_mm",
        "runoff_mm",
        "rate_m3",
        "inflow_m3",
    )
    alone = dataclasses.replace(
        case,
        **{name: getattr(case, name)[:, :, lane] for name in per_lane},
        daylength_h=case.daylength_h[:, lane],
        twilight_h=case.twilight_h[:, lane],
    )

    np.testing.assert_allclose(run_numpy(alone).dm_g_m2[:, 0], run_numpy(case).dm_g_m2[:, 4], rtol=CLOSE)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), per_strip=st.integers(1, 3), sources=st.integers(0, 2))
def test_water_balance_closes(seed: int, per_strip: int, sources: int) -> None:
    """Start + rain + irrigation = runoff + evapotranspiration + drainage + end, for every strip, month and lane."""
    out = run_numpy(kernel_case(seed, 4, 3, per_strip, sources))

    assert residual_mm(out) < CLOSE
    assert out.water[tr.ET].min() >= 0
    assert out.water[tr.DRAINAGE].min() >= 0


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_sources_never_give_more_than_they_have(seed: int) -> None:
    """What is drawn in a year is at most the first store, what came in and what ran; nothing negative is drawn."""
    case = kernel_case(seed, 5, 3, 2, 2)
    out = run_numpy(case)
    came = np.maximum(case.inflow_m3[:, tr.YEAR :], 0).sum(axis=1) + case.rate_m3[:, tr.YEAR :].sum(axis=1)

    assert out.drawn_m3.min() >= 0
    assert (out.drawn_m3.sum(axis=1) <= came + case.capacity_m3[:, None] + CLOSE).all()
    assert (out.drawn_m3.sum(axis=1) <= case.licence_m3[:, None] + CLOSE).all()


def test_people_drink_before_plots() -> None:
    """A source that can just serve people leaves nothing for watering, and watering takes nothing from people."""
    case = kernel_case(2, 3, 2, 1, 1)
    scarce = dataclasses.replace(
        case,
        rate_m3=np.full_like(case.rate_m3, 0.7),
        inflow_m3=np.zeros_like(case.inflow_m3),
        capacity_m3=np.zeros(1),
        licence_m3=np.full(1, 1e9),
    )
    out = run_numpy(scarce)

    assert out.unmet_m3.max() < CLOSE
    assert out.water[tr.IRRIGATION].max() < CLOSE


def test_turn_to_be_watered_goes_round_within_a_group() -> None:
    """Each day another strip of a group is served first; groups keep their order."""
    case = dataclasses.replace(
        kernel_case(1, 5), water_order=np.array([4, 2, 0, 1]), water_groups=np.array([0, 3, 4], dtype=np.int64)
    )

    assert [watering_order(case, day) for day in range(3)] == [[4, 2, 0, 1], [2, 0, 4, 1], [0, 4, 2, 1]]


def test_plantings_on_a_strip_stand_one_behind_the_other() -> None:
    """A planting is sown only after the one before it on its strip has left and the bed has been worked."""
    case = kernel_case(8, 6, 12, 3, 0)
    out = run_numpy(case)
    checked = 0
    for first, count in zip(case.strip_first, case.strip_count, strict=True):
        for lane in range(case.lanes):
            left = -1
            for sowing in range(first, first + count):
                sown = out.sow_day[sowing, lane]
                if sown < 0:
                    continue
                assert sown > left
                checked += left >= 0
                if out.last_day[sowing, lane] >= 0:
                    left = out.last_day[sowing, lane] + tr.BED_WORK_DAYS

    assert checked > 50


def test_sown_inside_the_window_only() -> None:
    """No sowing lies outside its window, and one that missed it is told as not sown."""
    case = kernel_case(21, 6, 12, 2, 0)
    out = run_numpy(case)
    sown = out.sow_day >= 0
    opens, closes = case.traits[tr.OPENS][:, None], case.traits[tr.CLOSES][:, None]

    assert sown.any()
    assert (np.where(sown, out.sow_day - opens, 0) >= 0).all()
    assert (np.where(sown, closes - out.sow_day, 0) >= 0).all()
    assert not (sown & (out.status == tr.NOT_SOWN)).any()


@given(held=st.floats(0, 60), rain=st.floats(0, 80), runoff=st.floats(0, 1), et=st.floats(0, 9))
def test_root_zone_is_the_published_balance(held: float, rain: float, runoff: float, et: float) -> None:
    """Where roots fill the whole soil a day of the twin is FAO-56 equations 85 and 88."""
    case = kernel_case(1, 1, 1, 1, 0)
    lane = twin.Lane(case, empty_output(case), 0)
    ground = twin.Ground(100.0, 0.6, 0.6, held, 0.0, 0, 2)
    day = twin.Day(400, 10, 5, 10, 10, 5, 3, rain, runoff * rain, 12, 13)
    lane._water(0, ground, day, et)
    published = day_balance(60 - held, 60, rain - runoff * rain, et)

    assert 60 - ground.root_mm == pytest.approx(published.depletion_mm, abs=1e-9)
    assert lane.out.water[tr.DRAINAGE].sum() == pytest.approx(published.deep_percolation_mm, abs=1e-9)
    assert lane.out.water[tr.ET].sum() == pytest.approx(published.et_mm, abs=1e-9)


@given(x=st.floats(0, 1))
def test_crop_coefficient_is_the_published_curve(x: float) -> None:
    """The twin's coefficient is FAO-56's curve with its stages in shares of the development."""
    crop = [0.0] * tr.COUNT
    crop[tr.KC_INI], crop[tr.KC_MID], crop[tr.KC_END] = 0.3, 1.15, 0.4
    crop[tr.KC_A], crop[tr.KC_B], crop[tr.KC_C] = 0.1, 0.5, 0.75
    ground = twin.Ground(100.0, 1.0, 0.5, 10.0, 0.0, 0, 2)

    assert twin._crop_kc(ground, crop, x, x) == pytest.approx(
        kc_curve(x, (0.1, 0.4, 0.25, 0.25), (0.3, 1.15, 0.4)), abs=1e-9
    )


def colder(case: KernelInput, by_c: float) -> KernelInput:
    """The same case with every night colder."""
    return dataclasses.replace(case, tmin_c=case.tmin_c - by_c)


def test_frost_kills_more_when_nights_are_colder() -> None:
    """Colder nights (days unchanged) never leave fewer sowings frosted or killed."""
    case = dataclasses.replace(kernel_case(4, 6, 8, 2, 0))
    case.traits[tr.GATE_FROST_C] = -99.0
    case.traits[tr.KILL_BY_MEAN] = 0.0
    lost = [int(np.isin(run_numpy(colder(case, by)).status, (tr.FROSTED, tr.KILLED)).sum()) for by in (-20, 0, 6)]

    assert lost[0] == 0
    assert lost[0] < lost[1] < lost[2]


def test_benchmark_runs() -> None:
    """The benchmark measures all three kernels on a small case, the compiled one the fastest."""
    ns = measure(3, 64, 1, repeats=1)

    assert ns["numba"] < ns["numpy"] < ns["twin"]


@pytest.mark.slow
def test_compiled_kernel_is_as_fast_as_asked() -> None:
    """On one thread the compiled kernel is five times NumPy and two hundred times the twin, per day-step."""
    ns = measure(20, 256, 1)

    assert ns["numpy"] / ns["numba"] >= 5
    assert ns["twin"] / ns["numba"] >= 200


def test_with_compiling_switched_off_large_runs_take_the_numpy_path(monkeypatch: pytest.MonkeyPatch) -> None:
    """NUMBA_DISABLE_JIT=1 does not leave the compiled kernel to the interpreter, which would take hours."""
    import numba

    taken = []
    monkeypatch.setattr(numba.config, "DISABLE_JIT", 1)
    monkeypatch.setattr(growth_run, "NUMBA_FROM_DAY_STEPS", 0)
    monkeypatch.setattr(growth_run, "run_numpy", taken.append)
    given = kernel_case(3, 1, 2)
    growth_run.run_kernel(given)

    assert taken == [given]
