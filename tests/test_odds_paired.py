"""Two plans on the same years: the difference of their reliability."""

from __future__ import annotations

import numpy as np
import pytest
from odds_kit import toy_pairs, toy_short

from yardland.odds.paired import paired_difference, paired_means, student_quantile
from yardland.odds.reliability import reliability


def covered(chains: int, first: float, second: float, tie: float, own: float, repeats: int) -> float:
    """Share of repeats whose interval of the difference holds the true one."""
    pairs = zip(*toy_pairs(np.random.default_rng(31), repeats, chains, first, second, tie, own), strict=True)
    told = [paired_difference(one, two) for one, two in pairs]
    return float(np.mean([found.low <= second - first <= found.high for found in told]))


@pytest.mark.parametrize(
    ("chains", "first", "second", "own"),
    [(20, 0.8, 0.9, 0.3), (50, 0.9, 0.92, 0.0), (50, 0.7, 0.9, 1.0)],
)
def test_the_interval_of_the_difference_covers(chains: int, first: float, second: float, own: float) -> None:
    """On tied toy chains it holds the true difference in at least 93 % of 300 repeats, few years differing or many."""
    assert covered(chains, first, second, 0.5, own, 300) >= 0.93


@pytest.mark.slow
@pytest.mark.parametrize("chains", [20, 100])
@pytest.mark.parametrize(
    ("first", "second", "tie", "own"), [(0.8, 0.9, 0.5, 0.3), (0.8, 0.9, 0.0, 0.3), (0.95, 0.97, 0.8, 0.0)]
)
def test_the_interval_of_the_difference_covers_over_many_repeats(
    chains: int, first: float, second: float, tie: float, own: float
) -> None:
    """2,000 repeats: at least 94 %."""
    assert covered(chains, first, second, tie, own, 2000) >= 0.94


def test_pairing_narrows_the_interval() -> None:
    """On common years the interval of the difference is under two thirds of that of two unpaired runs."""
    one, two = (short[0] for short in toy_pairs(np.random.default_rng(32), 1, 100, 0.8, 0.85, 0.5, 0.0))
    found = paired_difference(one, two)
    first, second = (share.high - share.low for share in (reliability(one), reliability(two)))

    assert (found.high - found.low) / np.hypot(first, second) < 0.67
    assert found.value == pytest.approx(reliability(two).value - reliability(one).value)
    assert found.value == pytest.approx(found.mended - found.spoilt)


def test_the_other_way_round_is_the_same_difference_turned() -> None:
    """Second against first is minus first against second, ends and all."""
    one, two = (short[0] for short in toy_pairs(np.random.default_rng(33), 1, 30, 0.8, 0.85, 0.5, 0.5))
    there, back = paired_difference(one, two), paired_difference(two, one)

    assert [back.value, back.low, back.high] == pytest.approx([-there.value, -there.high, -there.low])
    assert (back.mended, back.spoilt) == (there.spoilt, there.mended)


def test_plans_that_never_differ_still_have_an_interval() -> None:
    """No year differs: the difference is 0 and its interval reaches a few in the hundred both ways; wider if nobody was short."""
    short = toy_short(np.random.default_rng(34), 1, 20, 0.85, 0.5)[0]
    same, never = paired_difference(short, short), paired_difference(short & ~short, short & ~short)

    assert same.value == never.value == 0.0
    assert -0.2 < never.low < same.low < -0.015
    assert same.high == pytest.approx(-same.low)


def test_only_counted_years_are_compared() -> None:
    """A difference in years that do not count is none; chains without a counted year are left out."""
    short = toy_short(np.random.default_rng(35), 1, 12, 0.8, 0.5)[0]
    counted = np.ones_like(short)
    counted[:, 0] = False
    counted[3] = False
    other = short ^ ~counted

    assert paired_difference(short, other, counted) == paired_difference(short, short, counted)
    assert paired_difference(short, other, counted).chains == 11


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: paired_difference(np.zeros((2, 3), bool), np.zeros((2, 4), bool)), "run both on the same chains"),
        (lambda: paired_difference(np.zeros((1, 3), bool), np.zeros((1, 3), bool)), "found 1 chains"),
        (lambda: paired_difference(np.zeros((2, 3)), np.zeros((2, 3))), "found float64"),
        (lambda: student_quantile(0.95, 0), "found 0"),
    ],
)
def test_pairs_that_cannot_be_compared_are_refused(call, words: str) -> None:
    """Plans on other years, a single chain: said with what was found and what was expected."""
    with pytest.raises(ValueError, match=words):
        call()


def test_the_difference_of_amounts_is_students() -> None:
    """Differences 1, 2 and 6 of three chains: 3 in the mean, their spread sqrt(7), t of 0.95 with 2 is 4.303."""
    found = paired_means([10.0, 20.0, 30.0], [11.0, 22.0, 36.0])

    assert found.value == pytest.approx(3.0)
    assert found.high - 3.0 == pytest.approx(4.30265 * np.sqrt(7.0 / 3.0), rel=1e-5)
    assert 3.0 - found.low == pytest.approx(found.high - 3.0)
    assert not found.told_apart
    assert paired_means([10.0, 20.0, 30.0], [13.0, 23.1, 33.0]).told_apart
    assert paired_means([1.0, 2.0], [1.0, 2.0]).value == 0.0
    assert not paired_means([1.0, 2.0], [1.0, 2.0]).told_apart


def test_the_interval_of_amounts_covers() -> None:
    """On 2,000 repeats of eight chains that share years it holds the true difference in 93 to 97 %, told apart in as few as that."""
    rng = np.random.default_rng(7)
    shared = rng.normal(300.0, 50.0, (2000, 8))
    one, two = shared + rng.normal(0.0, 5.0, (2000, 8)), shared + 4.0 + rng.normal(0.0, 5.0, (2000, 8))
    found = [paired_means(first, second) for first, second in zip(one, two, strict=True)]

    assert 0.93 <= np.mean([each.low <= 4.0 <= each.high for each in found]) <= 0.97
    assert np.mean([each.high - each.low for each in found]) < 20.0


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [([1.0], [1.0], "two or more"), ([1.0, 2.0], [1.0], "expected"), ([1.0, np.nan], [1.0, 2.0], "finite")],
)
def test_amounts_that_cannot_be_compared_are_refused(first: list[float], second: list[float], words: str) -> None:
    """One chain, other shapes, what is no number."""
    with pytest.raises(ValueError, match=words):
        paired_means(first, second)
