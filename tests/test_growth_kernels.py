"""The three growth kernels are one algorithm, and none of them makes or loses water, nitrogen or grass."""

from __future__ import annotations

import dataclasses
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yardland.growth import run as growth_run
from yardland.growth import traits as tr
from yardland.growth import twin_crop, twin_ground
from yardland.growth.io import F64, SKY_FIELDS, KernelInput, KernelOutput, watering_order
from yardland.growth.kernel_rows import LANES
from yardland.growth.numba_path import run_numba
from yardland.growth.numpy_path import run_numpy
from yardland.growth.soil_water import day_balance, kc_curve
from yardland.growth.twin import WAITS_FOR_HAY, run_twin
from yardland.growth.twin_ground import Ground, Soil

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_kernel
from bench_kernel import LARGEST_DIFFERENCE, measure
from kernel_case import kernel_case
from kernel_operations import operations

Kernel = Callable[[KernelInput], KernelOutput]
CLOSE = 1e-9
WATER_LAW = (tr.RAIN, tr.IRRIGATION), (tr.RUNOFF, tr.ET, tr.DRAINAGE)
NITROGEN_LAW = (tr.N_SOIL, tr.N_SKY, tr.N_MINERAL_IN, tr.N_FRESH_IN), (tr.N_UPTAKE, tr.N_LEACHED)
SWARD_LAW = (tr.GREW,), (tr.GRAZED, tr.TRAMPLED, tr.HAY, tr.WET_HAY, tr.WITHERED)


def assert_same(one: KernelOutput, other: KernelOutput) -> None:
    """Days and outcomes equal; sums equal to a part in a thousand million."""
    for field in dataclasses.fields(KernelOutput):
        left, right = getattr(one, field.name), getattr(other, field.name)
        if left.dtype.kind == "i":
            np.testing.assert_array_equal(left, right, err_msg=field.name)
        else:
            np.testing.assert_allclose(left, right, rtol=CLOSE, atol=CLOSE, err_msg=field.name)


def open_balance(book: F64, incoming: tuple[int, ...], outgoing: tuple[int, ...], start: int, end: int) -> float:
    """Largest start + in - out - end of any strip, month and lane of a monthly book."""
    came = book[start] + sum(book[term] for term in incoming)
    went = book[end] + sum(book[term] for term in outgoing)
    return float(np.abs(came - went).max())


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), per_strip=st.integers(1, 3), sources=st.integers(0, 2), swards=st.integers(0, 2))
def test_three_paths_agree(seed: int, per_strip: int, sources: int, swards: int) -> None:
    """On any weather, crops and swards the NumPy and the compiled path give what the plain-Python twin gives."""
    case = kernel_case(seed, 4, 3, per_strip, sources, swards)
    judge = run_twin(case)

    assert_same(judge, run_numpy(case))
    assert_same(judge, run_numba(case))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(60))
def test_the_compiled_path_agrees_on_many_cases(seed: int) -> None:
    """Sixty more invented holdings: one to three plantings a strip, none to two sources, none to two swards."""
    case = kernel_case(seed, 4, 3, 1 + seed % 3, seed // 3 % 3, seed // 9 % 3)

    assert_same(run_twin(case), run_numba(case))


@settings(max_examples=8, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_a_dry_day_of_a_source_counts_once(seed: int) -> None:
    """However many strips ask a source that is empty, it is dry on no more days than the month has."""
    case = kernel_case(seed, 6, 2, 2, 1)
    case = dataclasses.replace(case, rate_m3=np.zeros_like(case.rate_m3), inflow_m3=np.zeros_like(case.inflow_m3))
    days = np.bincount(case.month[case.month >= 0], minlength=12)[None, :, None]

    for path in (run_numpy, run_numba):  # the twin, which is slow, agrees with them elsewhere
        dry = path(case).dry_days
        assert dry.max() > 0
        assert np.all(dry <= days)


def test_more_lanes_than_a_block_agree() -> None:
    """Lanes beyond one block of the compiled path, and whole blocks, are grown like the others."""
    for lanes in (LANES, LANES + 6):
        case = kernel_case(11, 3, lanes, 2, 2)

        assert_same(run_numpy(case), run_numba(case))


def test_threads_change_nothing() -> None:
    """One thread, two and five give the same bits."""
    case = kernel_case(12, 4, 2 * LANES + 9, 2, 2, 2)
    one = run_numba(case, threads=1)
    for threads in (2, 5, None):
        other = run_numba(case, threads=threads)
        for field in dataclasses.fields(KernelOutput):
            np.testing.assert_array_equal(getattr(one, field.name), getattr(other, field.name), err_msg=field.name)

    assert (one.status == tr.STANDING).any()


def test_a_lane_does_not_depend_on_its_neighbours() -> None:
    """One year run alone gives what it gives beside others."""
    case = kernel_case(5, 4, 6, 2, 2)
    lane = slice(4, 5)
    per_lane = (*SKY_FIELDS, "rate_m3", "inflow_m3")
    alone = dataclasses.replace(
        case,
        **{name: getattr(case, name)[:, :, lane] for name in per_lane},
        daylength_h=case.daylength_h[:, lane],
        twilight_h=case.twilight_h[:, lane],
    )

    for path in (run_numpy, run_numba):
        np.testing.assert_allclose(path(alone).dm_g_m2[:, 0], path(case).dm_g_m2[:, 4], rtol=CLOSE)


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), per_strip=st.integers(1, 3), sources=st.integers(0, 2))
def test_nothing_is_made_or_lost(seed: int, per_strip: int, sources: int) -> None:
    """Start + in = out + end of water, of nitrogen and of standing grass, for every strip, month and lane."""
    case = kernel_case(seed, 5, 3, per_strip, sources, 2)
    for path in (run_numpy, run_numba):
        out = path(case)

        assert open_balance(out.water, *WATER_LAW, tr.START, tr.END) < CLOSE
        assert open_balance(out.nitrogen, *NITROGEN_LAW, tr.N_START, tr.N_END) < CLOSE
        assert open_balance(out.sward, *SWARD_LAW, tr.S_START, tr.S_END) < CLOSE
        assert min(out.water.min(), out.nitrogen[: tr.N_START].min(), out.sward.min()) > -CLOSE
        assert (out.water[tr.EVAPORATION] <= out.water[tr.ET] + CLOSE).all()


def sward_case(hay: tuple[int, int, int], cut_mass: float, dry: float) -> KernelInput:
    """Two swards alike over many lanes; `hay` is shut from, mown from, mown until; every day is dry enough for hay or none."""
    case = kernel_case(31, 2, LANES + 6, 1, 0, 2)
    traits = case.traits.copy()
    traits[tr.SHUT_FROM], traits[tr.HAY_FROM], traits[tr.HAY_UNTIL] = (np.full(2, float(day)) for day in hay)
    traits[tr.CUT_MASS] = cut_mass
    return dataclasses.replace(case, traits=traits, dry_spell=np.full_like(case.dry_spell, dry))


OPEN = (-1, -1, -1)


@pytest.mark.parametrize("path", [run_numpy, run_numba])
def test_a_sward_is_grazed_when_it_is_grown_and_the_ground_bears(path: Kernel) -> None:
    """Eaten and trodden down by shares; under an entry mass that is never reached, or on sodden ground, never grazed."""
    case = sward_case(OPEN, 0.0, 0.0)
    out, share = path(case), case.traits[tr.GRAZED_SHARE, 0]
    eaten, gone = out.sward[tr.GRAZED], out.sward[tr.GRAZED] + out.sward[tr.TRAMPLED]

    assert gone.sum() > 0
    np.testing.assert_allclose(eaten, share * gone, rtol=CLOSE, atol=CLOSE)
    assert out.sward[tr.HAY].sum() == out.sward[tr.WET_HAY].sum() == 0
    assert (out.last_day == -1).all()
    never = case.traits.copy()
    never[tr.ENTRY_MASS] = 1e9
    sodden = dataclasses.replace(case, pass_share=np.zeros_like(case.pass_share), eto_mm=np.zeros_like(case.eto_mm))
    wet = dataclasses.replace(sodden, water_mm=sodden.water_mm + 1.0, bears_frozen_c=-99.0)
    for other in (dataclasses.replace(case, traits=never), wet):
        assert path(other).sward[tr.GRAZED].sum() == 0


@pytest.mark.parametrize("path", [run_numpy, run_numba])
def test_hay_waits_for_dry_days_until_its_last(path: Kernel) -> None:
    """A shut-up sward is mown on the first hay day if it is dry, else on the last one, wet; once a year."""
    dry, wet = (path(sward_case((100, 170, 200), 0.0, spell)) for spell in (1.0, 0.0))

    assert (dry.first_day == tr.YEAR + 170).all()
    assert (wet.first_day == tr.YEAR + 200).all()
    assert (dry.last_day == dry.first_day).all()
    assert dry.sward[tr.HAY].sum() > 0 == dry.sward[tr.WET_HAY].sum()
    assert wet.sward[tr.WET_HAY].sum() > 0 == wet.sward[tr.HAY].sum()


@pytest.mark.parametrize("path", [run_numpy, run_numba])
def test_a_cut_sward_waits_for_dry_spells(path: Kernel) -> None:
    """One that is cut whenever it is grown is never grazed; while no spell is dry it stands on, and is cut in the wet at last."""
    dry, wet = (path(sward_case(OPEN, 300.0, spell)) for spell in (1.0, 0.0))

    assert dry.sward[tr.HAY].sum() > 0
    assert (dry.sward[tr.S_END] < 300.0).all()
    assert wet.sward[tr.HAY].sum() == 0
    assert wet.sward[tr.WET_HAY].sum() > 0
    assert 300.0 < wet.sward[tr.S_END].max() < 300.0 * WAITS_FOR_HAY + 30.0
    assert dry.sward[tr.GRAZED].sum() == wet.sward[tr.GRAZED].sum() == 0


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


def ground(held_mm: float) -> Ground:
    """A metre of loam with roots to its foot, that holds 100 mm and lets through at once what is over."""
    thick = [0.10, 0.15, 0.35, 0.40]
    full = [100.0 * part for part in thick]
    soil = Soil(100.0, thick, full, [1e6] * 4, [1.0] * 4, [200.0 * part for part in thick], 0.0, 20.0, 8.0, 0.0, 0.0)
    return Ground(soil, 0, 1, [held_mm / 100.0 * part for part in full], [0.0] * 4, root_m=1.0)


@given(held=st.floats(0, 100), into=st.floats(0, 150))
def test_water_goes_in_as_published(held: float, into: float) -> None:
    """Rain on a rooted soil of four layers that drains in a day is FAO-56 equations 85 and 88 without evaporation."""
    strip = ground(held)
    drained, ran_off, _ = twin_ground.wet(strip, into)
    published = day_balance(100.0 - held, 100.0, into, 0.0)

    assert strip.depletion_mm == pytest.approx(published.depletion_mm, abs=1e-9)
    assert drained == pytest.approx(published.deep_percolation_mm, abs=1e-9)
    assert ran_off == 0


@given(held=st.floats(0, 100), wanted=st.floats(0, 12))
def test_water_is_drawn_as_published(held: float, wanted: float) -> None:
    """Transpiration out of four rooted layers is FAO-56 equation 85 without rain: never more than is there."""
    strip = ground(held)
    _, taken = twin_ground.dry_out(strip, 0.0, wanted)
    published = day_balance(100.0 - held, 100.0, 0.0, wanted)

    assert strip.depletion_mm == pytest.approx(published.depletion_mm, abs=1e-9)
    assert taken == pytest.approx(published.et_mm, abs=1e-9)


@given(x=st.floats(0, 1))
def test_crop_coefficient_is_the_published_curve(x: float) -> None:
    """The twin's basal coefficient is FAO-56's curve (equation 66) with its stages in shares of the development."""
    crop = [0.0] * tr.COUNT
    crop[tr.KCB_INI], crop[tr.KCB_MID], crop[tr.KCB_END] = 0.15, 1.1, 0.4
    crop[tr.KC_A], crop[tr.KC_B], crop[tr.KC_C] = 0.1, 0.5, 0.75

    assert twin_crop.crop_kcb(ground(50.0), crop, x, x) == pytest.approx(
        kc_curve(x, (0.1, 0.4, 0.25, 0.25), (0.15, 1.1, 0.4)), abs=1e-9
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


def test_benchmark_runs(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """The benchmark judges the kernels equal, measures them all, and says what was reached."""
    found = measure(3, 8, 1, repeats=1)

    assert found["difference"] <= LARGEST_DIFFERENCE
    assert min(found.values()) >= 0
    assert 150 < found["operations"] < 450
    monkeypatch.setattr(bench_kernel, "measure", lambda *_: found)
    monkeypatch.setattr(sys, "argv", ["bench_kernel.py"])
    bench_kernel.main()
    assert "equal: reached" in capsys.readouterr().out


def test_operations_are_counted_in_the_source() -> None:
    """The count of a loop over lanes leaves out the places of rows; helpers count once for each call."""
    assert operations("clip01") == 2
    assert operations("mix_in") == 4
    assert operations("dilute") == 1 + operations("thinned")
    assert operations("thinned") == 3 + operations("exp_of") + operations("log_of")


def test_with_compiling_switched_off_holdings_take_the_numpy_path(monkeypatch: pytest.MonkeyPatch) -> None:
    """NUMBA_DISABLE_JIT=1 does not leave the compiled kernel to the interpreter, which would take hours."""
    import numba

    taken: list[KernelInput] = []
    monkeypatch.setattr(numba.config, "DISABLE_JIT", 1)
    monkeypatch.setattr(growth_run, "NUMBA_FROM_STRIPS", 0)
    monkeypatch.setattr(growth_run, "run_numpy", taken.append)
    given = kernel_case(3, 1, 2)
    growth_run.run_kernel(given)

    assert taken == [given]
