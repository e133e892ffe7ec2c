"""A watched sowing tells day by day what the kernels only sum up."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest
from growth_kit import holding, laid, row, tables, weather
from hypothesis import given, settings
from hypothesis import strategies as st

from yardland.growth import traits as tr
from yardland.growth.numpy_path import run_numpy
from yardland.growth.run import kernel_input
from yardland.growth.trace import one_lane, trace

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
from kernel_case import kernel_case


@settings(max_examples=6, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), lane=st.integers(0, 2))
def test_the_days_add_up_to_the_kernels_sums(seed: int, lane: int) -> None:
    """Over a sowing's days, growth and light add up to what the fast path gives; sown and last day are its own."""
    case = kernel_case(seed, 3, 3, 2, 1)
    judge = run_numpy(case)
    seen = trace(case, lane, range(case.traits.shape[1]))

    assert set(seen) == set(np.flatnonzero(judge.sow_day[:, lane] >= 0))
    for sowing, told in seen.items():
        if case.traits[tr.SWARD, sowing]:
            continue
        assert told.sow_day == judge.sow_day[sowing, lane]
        assert told.days["dm_g_m2"].sum() == pytest.approx(judge.dm_g_m2[sowing, lane], rel=1e-9, abs=1e-9)
        assert told.days["light_mj"].sum() == pytest.approx(judge.light_mj[sowing, lane], rel=1e-9, abs=1e-9)
        if judge.status[sowing, lane] in (tr.GATHERED, tr.CLEARED) and told.stages["gathered"] < tr.AXIS - 1:
            assert told.axis[-1] >= told.stages["gathered"] >= told.stages.get("gathering begins", -1)


@settings(max_examples=6, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_frost_takes_a_crop_on_the_day_it_falls_under_its_limit(seed: int) -> None:
    """A killed sowing's last day is under the limit (or its flowers are all lost); no day before it was."""
    case = kernel_case(seed, 3, 2, 2, 0)
    judge = run_numpy(case)
    for sowing, told in trace(case, 1, range(case.traits.shape[1])).items():
        if case.traits[tr.SWARD, sowing]:
            continue
        under = (told.days["cold_c"] < told.days["kill_c"]) & (told.days["emerged"] > 0)
        lost = under | (told.days["set_share"] <= 0)

        assert not lost[:-1].any()
        if judge.status[sowing, 1] in (tr.KILLED, tr.FROSTED):
            assert lost[-1]


@settings(max_examples=6, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_a_day_is_the_product_of_its_shares(seed: int) -> None:
    """Growth = efficiency x light x the least of cold, heat, water and nitrogen; depletion stays within the root zone."""
    case = kernel_case(seed, 2, 1, 2, 1)
    for sowing, told in trace(case, 0, range(case.traits.shape[1])).items():
        days = told.days
        least = np.minimum.reduce([days[name] for name in ("cold", "heat", "ks", "n_index")])
        made = case.traits[tr.RUE, sowing] * days["light_mj"] * least

        np.testing.assert_allclose(days["dm_g_m2"], made, rtol=1e-9, atol=1e-9)
        assert np.all(days["depletion_mm"] <= days["available_mm"] + 1e-6)
        if not case.traits[tr.SWARD, sowing]:
            assert np.all(np.diff(days["ripeness"]) >= -1e-12)


@settings(max_examples=6, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_a_crops_nitrogen_is_what_it_took_and_fixed(seed: int) -> None:
    """Over a sowing's days, nitrogen taken and fixed add up to what is in it and to the fast path's sums; none is made up."""
    case = kernel_case(seed, 3, 1, 2, 1)
    judge = run_numpy(case)
    for sowing, told in trace(case, 0, range(case.traits.shape[1])).items():
        days = told.days
        if case.traits[tr.SWARD, sowing]:
            continue
        taken, fixed = days["taken_n_kg_ha"].sum(), days["fixed_n_kg_ha"].sum()

        assert taken == pytest.approx(judge.taken_n_kg_ha[sowing, 0], rel=1e-9, abs=1e-9)
        assert fixed == pytest.approx(judge.fixed_n_kg_ha[sowing, 0], rel=1e-9, abs=1e-9)
        np.testing.assert_allclose(
            np.cumsum(days["taken_n_kg_ha"] + days["fixed_n_kg_ha"]), days["crop_n_kg_ha"], rtol=1e-9, atol=1e-9
        )
        assert np.all(days["crop_n_kg_ha"] <= np.maximum.accumulate(days["critical_n_kg_ha"]) + 1e-9)


def test_a_sward_is_watched_from_the_first_day_to_the_last() -> None:
    """A sward's days are the whole axis; its growth in the larder year is the fast path's, month by month."""
    plan, sky = holding(use="grass"), weather(rain_mm=3.0)
    case, _ = kernel_input(plan, tables(), sky, laid(plan, sky))
    told, judge = trace(case, 0, [0])[0], run_numpy(case)
    grew = np.bincount(case.month[tr.YEAR :], weights=told.days["grew_t_ha"][tr.YEAR :], minlength=12)

    assert (told.sow_day, len(told.axis), dict(told.stages)) == (0, tr.AXIS, {})
    np.testing.assert_allclose(100.0 * grew, judge.sward[tr.GREW, 0, :, 0], rtol=1e-9, atol=1e-9)
    assert told.days["grew_t_ha"].sum() > 2.0


def test_a_lane_alone_is_that_lane() -> None:
    """The input of one lane gives that lane's results."""
    case = kernel_case(3, 3, 4, 2, 2)
    whole, alone = run_numpy(case), run_numpy(one_lane(case, 2))

    np.testing.assert_allclose(alone.dm_g_m2[:, 0], whole.dm_g_m2[:, 2])
    np.testing.assert_array_equal(alone.status[:, 0], whole.status[:, 2])


def test_stages_come_in_their_order() -> None:
    """Potatoes are sown, come up, close their rows, age, ripen and are gathered, in that order."""
    plan, sky = holding(row("potato")), weather(rain_mm=4.0)
    case, _ = kernel_input(plan, tables(), sky, laid(plan, sky))
    stages = trace(case, 0, [1])[1].stages

    assert list(stages) == [
        "sown",
        "up",
        "half its widest cover",
        "leaves ageing",
        "ripe",
        "gathering begins",
        "gathered",
    ]
    assert list(stages.values()) == sorted(stages.values())


def test_winter_wheat_is_released_and_onions_make_bulbs() -> None:
    """Winter cereals have a day of release from winter, onions one on which bulbs begin; potatoes have neither."""
    seen = {}
    for crop in ("winter_wheat", "onion", "potato"):
        plan, sky = holding(row(crop)), weather(rain_mm=4.0)
        case, _ = kernel_input(plan, tables(), sky, laid(plan, sky))
        seen[crop] = {name for told in trace(case, 0, [0, 1]).values() for name in told.stages}

    assert "released from winter" in seen["winter_wheat"] - seen["onion"] - seen["potato"]
    assert "making bulbs" in seen["onion"] - seen["winter_wheat"] - seen["potato"]
