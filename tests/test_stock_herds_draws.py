"""Herds by week: draws of numbers, the compiled path, and what a draw hangs on."""

from __future__ import annotations

import numpy as np
import pytest
from herds_kit import BORROWED, DEMOS, check_mean, demo, years_of
from hypothesis import given, settings
from hypothesis import strategies as st
from stock_kit import group, holding, light, warmth

from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.herds import figures
from yardland.stock.herds.draws import binomial, lane_key, mix, name_hash, uniform, week_keys
from yardland.stock.herds.plan import compile_plan, honey_half_width
from yardland.stock.herds.twin import run_twin
from yardland.stock.sky import Sky

# draws


def test_numbers_of_a_key_are_even() -> None:
    """Mean, spread and lag of 20,000 numbers of consecutive keys are those of even numbers."""
    numbers = np.array([uniform(mix(key)) for key in range(20_000)])

    assert numbers.min() >= 0.0
    assert numbers.max() < 1.0
    check_mean(numbers, 0.5, np.sqrt(1 / 12), "mean")
    check_mean((numbers - 0.5) ** 2, 1 / 12, np.sqrt(1 / 180), "variance")
    check_mean((numbers[1:] - 0.5) * (numbers[:-1] - 0.5), 0.0, 1 / 12, "lag")


@pytest.mark.parametrize(("heads", "chance"), [(1, 0.3), (7, 0.02), (10, 0.5), (24, 0.75), (200, 0.01), (150, 0.9)])
def test_binomial_draws_have_the_binomials_mean_and_variance(heads, chance) -> None:
    """4,000 draws of so many heads: mean n p and variance n p q, within their sampling intervals."""
    draws = np.array([binomial(mix(key), heads, chance) for key in range(4000)])
    variance = heads * chance * (1 - chance)

    check_mean(draws, heads * chance, np.sqrt(variance), "mean")
    fourth = 3 * variance**2 + variance * (1 - 6 * chance * (1 - chance))
    check_mean((draws - heads * chance) ** 2, variance, np.sqrt(fourth - variance**2), "variance")


@given(key=st.integers(0, 2**64 - 1), heads=st.integers(0, 300), one=st.floats(0, 1), other=st.floats(0, 1))
def test_binomial_draws_are_whole_and_grow_with_the_chance(key, heads, one, other) -> None:
    """Of the same number, a greater chance never gives fewer; none at 0, all at 1."""
    low, high = sorted((one, other))

    assert 0 <= binomial(key, heads, low) <= binomial(key, heads, high) <= heads
    assert binomial(key, heads, 0.0) == 0
    assert binomial(key, heads, 1.0) == heads


def test_the_least_number_of_all_is_a_number_too() -> None:
    """A key of nothing hits many of a lot, not all of them, and no fewer where the chance is higher."""
    hit = [binomial(0, 34, chance) for chance in (0.01, 0.03125, 0.0625, 0.1)]
    assert hit == sorted(hit)
    assert hit[-1] < 34


@given(mean=st.floats(1.0, 14.0), sd=st.one_of(st.just(0.0), st.floats(0.1, 3.0)))
def test_litters_have_the_tables_mean(mean, sd) -> None:
    """The mean of the drawn litter is the table's, whatever the spread."""
    cumulative = figures.litter_cumulative(mean, sd)

    assert (1.0 - cumulative).sum() == pytest.approx(mean, abs=1e-9)
    assert np.all(np.diff(cumulative) >= -1e-15)
    assert cumulative[-1] == pytest.approx(1.0)


@given(loss=st.floats(0.0, 0.9), first=st.floats(0.0, 1.0), weeks=st.integers(1, 15), later=st.floats(0.0, 0.5))
def test_early_losses_add_up_to_the_tables(loss, first, weeks, later) -> None:
    """Those that live through the early weeks are 1 - loss; a year at the later rate leaves 1 - later."""
    chance = figures.death_by_age(loss, first, weeks, later, 100, 3)

    assert np.prod(1.0 - chance[3 : 3 + weeks]) == pytest.approx(1.0 - loss)
    assert np.prod(1.0 - chance[20:72]) == pytest.approx(1.0 - later)


def test_honey_of_the_years_varies_as_the_table_says() -> None:
    """With a tenth of the years without honey, the even spread of the others gives the table's spread of all."""
    half = honey_half_width(0.1, 0.5)
    years = np.concatenate([np.zeros(1000), (1 + half * np.linspace(-1, 1, 9000)) / 0.9])

    assert years.mean() == pytest.approx(1.0, abs=1e-9)
    assert years.std() == pytest.approx(0.5, abs=1e-3)


# the compiled path, and what a draw hangs on


@pytest.mark.parametrize("name", DEMOS)
def test_the_compiled_path_is_the_twin_to_the_bit(name) -> None:
    """Heads, counts, sums and money of every group of a demo holding, in three chains of six years."""
    from yardland.stock.herds.numba_path import run_numba

    keys = week_keys(11, 52 * 6)
    for told, herd in demo(name).groups.items():
        lanes = [lane_key(told, chain) for chain in range(3)]
        twin, _ = run_twin(herd.plan.arrays, lanes, keys, 6)
        for one, other in zip(twin, run_numba(herd.plan.arrays, lanes, keys, 6), strict=True):
            assert np.array_equal(one, other), told


def test_the_compiled_path_makes_room_for_more_cohorts() -> None:
    """A herd that needs more cohorts than there is room for at first is run anew, and is the twin's to the bit."""
    from yardland.stock.herds.numba_path import SPARE_SLOTS, run_numba

    does = group(heads={"rabbit_doe": 60, "rabbit_buck": 4}, born=["02-10", "04-10", "06-10", "08-10", "10-10"])
    sky = Sky.of(larder_months(2001, 1), warmth(52.0, 1), light(52.0, 1))
    plan = compile_plan(holding({"does": does}), load_tables(), sky).groups["does"]
    lanes, keys = [lane_key("does", 0)], week_keys(5, 52 * 3)
    twin, _ = run_twin(plan.arrays, lanes, keys, 3)

    assert len(plan.arrays.opening) < SPARE_SLOTS
    for one, other in zip(twin, run_numba(plan.arrays, lanes, keys, 3), strict=True):
        assert np.array_equal(one, other)


@settings(max_examples=8, deadline=None)
@given(after=st.integers(1, 150), other=st.integers(2, 10**6))
def test_what_comes_later_changes_nothing_before(after, other) -> None:
    """Another seed from a week on leaves every head up to that week as it was, and later ones differ in the end."""
    sky = Sky.of(larder_months(2001, 9), warmth(52.0, 9), light(52.0, 9))
    flock = group(heads={"dual_purpose_hen": 30, "cockerel": 3}, born=["04-20"])
    plan = compile_plan(holding({"hens": flock}), load_tables(), sky).groups["hens"]
    lanes = [lane_key("hens", 0)]
    base, _ = run_twin(plan.arrays, lanes, week_keys(1, 156), 3)
    moved, _ = run_twin(plan.arrays, lanes, week_keys(1, 156, other_after=(after, other)), 3)
    heads, heads_moved = (out.heads.reshape(156, -1) for out in (base, moved))

    assert np.array_equal(heads[:after], heads_moved[:after])


def test_another_group_and_more_chains_change_nothing() -> None:
    """A group's years are the same beside another group, and a chain's the same among more chains or alone."""
    hens = group(heads={"laying_hen": 12, "cockerel": 1}, born=["04-10"])
    ewes = group(heads={"ewe": 6}, born=["04-01"], sire=BORROWED)
    alone, beside = years_of({"hens": hens}, 6, 3), years_of({"ewes": ewes, "hens": hens}, 6, 5)

    assert np.array_equal(alone.groups["hens"].heads_week, beside.groups["hens"].heads_week[..., :3])
    assert np.array_equal(alone.groups["hens"].total("eggs"), beside.groups["hens"].total("eggs")[..., :3])
    assert not np.array_equal(
        alone.groups["hens"].heads_week, years_of({"hens": hens}, 6, 3, 2).groups["hens"].heads_week
    )


def test_groups_of_another_name_have_other_luck() -> None:
    """Draws hang on the group's name, not on its place."""
    ewes = group(heads={"ewe": 10}, born=["04-01"], sire=BORROWED)
    found = years_of({"hill": ewes, "dale": ewes}, 5, 4)

    assert name_hash("herd", "hill") != name_hash("herd", "dale")
    assert not np.array_equal(found.groups["hill"].heads_week, found.groups["dale"].heads_week)
