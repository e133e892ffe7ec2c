"""The soil goes on from year to year of a chain: three kernels take it up and leave it alike, by plot, whatever lanes are beside."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import yardland
from yardland.growth import traits as tr
from yardland.growth.io import SOIL_STATE, KernelInput, soil_at_start
from yardland.growth.numba_path import run_numba
from yardland.growth.numpy_path import run_numpy
from yardland.growth.soil_left import FRESH, MINERAL, WATER, SoilLeft, begin_with, soil_left
from yardland.growth.twin import run_twin
from yardland.larderyears.asked import BURN_IN
from yardland.larderyears.chains import GONE_OVER, Ground, chain_forcing, ground, grow_chains, soils_before, some_lanes
from yardland.larderyears.start import started_as
from yardland.reference import load_tables
from yardland.season.lanes import grow_lanes
from yardland.weather.types import Forcing

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
from kernel_case import kernel_case

EXAMPLES = Path(__file__).parents[1] / "examples"
SAME = 1e-9
FORGOTTEN = 0.05
"""Share of the spread between years by which a longer lead-in may still move the mean."""
CHAINS, YEARS = 4, 12


def begun(case: KernelInput, seed: int) -> KernelInput:
    """A case whose soils begin anywhere between dry and full, with more or less nitrogen."""
    rng = np.random.default_rng(seed)
    begin = soil_at_start(case).copy()
    begin[: 2 * tr.LAYERS] *= rng.uniform(0.1, 1.5, begin[: 2 * tr.LAYERS].shape)
    begin[WATER] = np.minimum(begin[WATER], case.full_mm[:, :, None])
    begin[FRESH] = rng.uniform(0.0, 30.0, begin[FRESH].shape)
    return replace(case, begin=begin)


@settings(max_examples=6, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), swards=st.integers(0, 2))
def test_three_paths_begin_and_leave_alike(seed: int, swards: int) -> None:
    """From any soil all paths come to the same one; it is not that of a full soil, and its water is that of the last month's books."""
    case = kernel_case(seed, 4, 3, 2, 1, swards)
    dry = begun(case, seed)
    outs = [run(dry) for run in (run_twin, run_numpy, run_numba)]
    usual = run_numba(case)

    for one in outs[1:]:
        assert one.ends == pytest.approx(outs[0].ends, rel=SAME, abs=SAME)
    assert outs[0].ends[WATER].sum(axis=0) == pytest.approx(outs[0].water[tr.END, :, 11], abs=1e-6)
    assert outs[0].ends[tr.LAYERS :].sum(axis=0) == pytest.approx(outs[0].nitrogen[tr.N_END, :, 11], abs=1e-6)
    assert not np.array_equal(usual.ends, outs[2].ends)
    assert np.array_equal(run_numba(replace(case, begin=soil_at_start(case))).ends, usual.ends)


def test_a_plots_soil_is_the_mean_of_its_strips_by_area() -> None:
    """Shares of field capacity and nitrogen a metre by layer; taken up again by strips of the same depth it is what it was."""
    case = kernel_case(5, 4, 3, 1, 0, 0)
    ends = begun(case, 6).begin
    assert ends is not None
    assert case.strips >= 2
    one = soil_left(case, ends, [("field", False)] * case.strips).of["field", False]
    part = case.area_m2 / case.area_m2.sum()
    places = [(f"plot{strip}", False) for strip in range(case.strips)]
    back = begin_with(case, soil_left(case, ends, places), places)

    assert one.shape == (SOIL_STATE, case.lanes)
    assert one[0] == pytest.approx(part @ (ends[0] / case.full_mm[0][:, None]))
    assert one[FRESH] == pytest.approx(part @ ends[FRESH])
    assert back == pytest.approx(ends, rel=1e-12)


def test_a_lane_of_which_nothing_is_known_begins_as_usual() -> None:
    """Nor does a plot of which nothing is told."""
    case = kernel_case(5, 4, 3, 1, 0, 0)
    ends = begun(case, 6).begin
    assert ends is not None
    places = [(f"plot{strip}", False) for strip in range(case.strips)]
    left = soil_left(case, ends, places).lanes([-1, *range(1, case.lanes)])
    some = begin_with(case, SoilLeft({places[0]: left.of[places[0]]}), places)

    assert np.array_equal(some[:, :, 0], soil_at_start(case)[:, :, 0])
    assert np.array_equal(some[:, 1:], soil_at_start(case)[:, 1:])
    assert some[MINERAL, 0, 1:] == pytest.approx(ends[MINERAL, 0, 1:])


@pytest.fixture(scope="module", params=["casa-vereda", "tarn-hollow"])
def shared(request: pytest.FixtureRequest) -> Ground:
    """What the settled chains of a demonstration holding share."""
    holding = started_as(yardland.load(EXAMPLES / request.param), "settled")
    return ground(holding, load_tables(own=holding.own))


def turns_of(shared: Ground, chains: int, years: int) -> list[int]:
    """Year of the rotation of each lane, chain by chain."""
    return [
        (shared.first_turn(chain) + year) % shared.rotation_years for chain in range(chains) for year in range(years)
    ]


def first_day(shared: Ground, sky: Forcing, turns: list[int], soil: SoilLeft | None) -> dict[str, np.ndarray]:
    """Water (mm) and nitrogen (kg/ha) of the ground on the first day of each lane's year, by plot, [lane]."""
    found: dict[str, np.ndarray] = {}
    for turn in sorted(set(turns)):
        which = [lane for lane, one in enumerate(turns) if one == turn]
        lanes = grow_lanes(
            shared.plans[turn],
            some_lanes(sky, which),
            shared.evenings,
            soil=None if soil is None else soil.lanes(which),
        )
        strips = [(strip.plot, strip.area_m2) for strip in lanes.grown.layout.strips]
        for what, book in (
            ("water", lanes.grown.water_mm["start_mm"]),
            ("nitrogen", lanes.grown.nitrogen_kg_ha["start_kg_ha"]),
        ):
            for plot in dict.fromkeys(name for name, _ in strips):
                area = np.array([size if name == plot else 0.0 for name, size in strips])
                kg = found.setdefault(f"{plot} {what}", np.full(len(turns), np.nan))
                kg[which] = area @ book[:, 0] / area.sum()
        for sward in lanes.grown.swards:
            for what, book in (
                ("water", sward.water_mm["start_mm"]),
                ("nitrogen", sward.nitrogen_kg_ha["start_kg_ha"]),
            ):
                found.setdefault(f"{sward.id} {what}", np.full(len(turns), np.nan))[which] = book[0]
    return found


def off(one: dict[str, np.ndarray], other: dict[str, np.ndarray], use: list[int]) -> dict[str, float]:
    """By how much of the spread between years the mean of each differs."""
    return {
        name: abs(float((one[name][use] - other[name][use]).mean())) / max(float(other[name][use].std()), 1e-9)
        for name in other
    }


@pytest.mark.slow
def test_the_soil_of_a_chain_has_no_beginning_left_to_forget(shared: Ground) -> None:
    """Led in by what the chain left, soils open the years that count as they would gone over more often, to a twentieth of their spread; by a full one not."""
    sky = chain_forcing(shared, 3, range(CHAINS), YEARS)
    turns = turns_of(shared, CHAINS, YEARS)
    before, longer = (soils_before(shared, sky, turns, YEARS, times) for times in (GONE_OVER, GONE_OVER + 2))
    full, carried, most = (first_day(shared, sky, turns, soil) for soil in (None, before, longer))
    use = [lane for lane in range(len(turns)) if lane % YEARS >= BURN_IN]

    assert max(off(carried, most, use).values()) < FORGOTTEN
    assert max(off(full, most, use).values()) > FORGOTTEN


def test_a_chains_soil_does_not_hang_on_what_is_grown_beside_it(shared: Ground) -> None:
    """The third chain alone brings what it brings beside two others, to the bit, with the soil that it carries on."""
    beside = grow_chains(shared, 3, range(3), 5).raw[2]
    alone = grow_chains(shared, 3, [2], 5).raw[0]

    for one, other in zip(beside, alone, strict=True):
        assert [item.account for item in one.gathered] == [item.account for item in other.gathered]
        assert all(np.array_equal(a.fresh_kg, b.fresh_kg) for a, b in zip(one.gathered, other.gathered, strict=True))
        assert all(np.array_equal(a.dm_kg, b.dm_kg) for a, b in zip(one.grazing, other.grazing, strict=True))
