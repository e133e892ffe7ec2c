"""Reliability over chains: what is counted, and whether its interval holds what it says it holds."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from odds_kit import YEARS, toy_short
from scipy.stats import betabinom

from yardland.odds.bootstrap import mean_over_chains
from yardland.odds.chained import likeness, share_over_chains
from yardland.odds.reliability import reliability, reliability_by_year, short_by_month, short_within
from yardland.odds.share import normal_quantile
from yardland.odds.wilson import wilson

TWENTY = np.full(20, YEARS)


def covered(chains: int, truth: float, tie: float, repeats: int, seed: int) -> float:
    """Share of repeats whose interval of reliability holds the truth."""
    toys = toy_short(np.random.default_rng(seed), repeats, chains, truth, tie)
    told = [reliability(toy) for toy in toys]
    return float(np.mean([share.low <= truth <= share.high for share in told]))


def test_a_toy_chain_of_dependence_a_half_has_two_and_a_half_times_the_variance() -> None:
    """Ten years tied by a half vary 2.6 times as much as ten independent ones (odds.md): 1 + 2 sum (1 - k/10) / 2^k."""
    toy = toy_short(np.random.default_rng(1), 1, 200_000, 0.8, 0.5)[0]
    ratio = toy.sum(axis=1).var() / (YEARS * 0.8 * 0.2)

    assert ratio == pytest.approx(1 + 2 * sum((1 - k / 10) * 0.5**k for k in range(1, 10)), rel=0.02)
    assert ratio == pytest.approx(2.6, abs=0.06)


@pytest.mark.slow
@pytest.mark.parametrize(("chains", "truth"), [(20, 0.8), (20, 0.9), (100, 0.8), (100, 0.9)])
def test_intervals_cover_a_tied_toy_chain(chains: int, truth: float) -> None:
    """95 % intervals hold a known reliability in 93 to 97 % of 2,000 repeats of chains whose years hang together."""
    assert 0.93 <= covered(chains, truth, 0.5, 2000, 11) <= 0.97


@pytest.mark.slow
@pytest.mark.parametrize(
    ("chains", "truth", "tie"), [(20, 0.95, 0.5), (20, 0.98, 0.5), (50, 0.95, 0.8), (20, 0.8, 0.0)]
)
def test_intervals_never_fall_far_short(chains: int, truth: float, tie: float) -> None:
    """Near the edge, with closer ties and without any, they hold the truth in at least 93 %."""
    assert covered(chains, truth, tie, 600, 12) >= 0.93


def test_intervals_cover_in_a_quick_trial() -> None:
    """On 200 repeats of 20 chains the interval holds the truth in 90 to 99.5 % (three standard errors about 95 %)."""
    assert 0.90 <= covered(20, 0.85, 0.5, 200, 13) <= 0.995


def test_years_that_are_taken_for_independent_would_mislead() -> None:
    """Wilson's interval over all years of tied chains holds the truth in under 85 %: hence the chain is the unit."""
    toys = toy_short(np.random.default_rng(14), 1000, 20, 0.8, 0.5)
    told = [wilson(int((~toy).sum()), toy.size) for toy in toys]

    assert np.mean([share.low <= 0.8 <= share.high for share in told]) < 0.85


def test_reliability_is_the_share_of_counted_years() -> None:
    """Years that do not count are left out, whatever they are; chains may be of different length."""
    short = np.zeros((3, 6), dtype=bool)
    short[0, 0] = short[1, 3] = short[2, 5] = True
    counted = np.array([[0, 1, 1, 1, 1, 0], [1, 1, 1, 1, 0, 0], [0, 0, 1, 1, 1, 0]], dtype=bool)
    told = reliability(short, counted)

    assert (told.value, told.trials, told.chains, told.method) == (pytest.approx(10 / 11), 11, 3, "beta-binomial")
    assert told == reliability(short ^ ~counted, counted)
    assert told.low < told.value < told.high


def test_nobody_short_is_no_certainty() -> None:
    """Without one short year in 20 chains of ten, the interval still reaches 3 to 15 in the hundred below 1; and mirrored."""
    never, always = share_over_chains(TWENTY, TWENTY), share_over_chains(0 * TWENTY, TWENTY)

    assert (never.value, never.high) == (1.0, 1.0)
    assert 1 - 3 / 20 < never.low < 1 - 3 / 200
    assert (always.value, always.low, always.high) == (0.0, 0.0, pytest.approx(1 - never.low))


def test_one_chain_says_little() -> None:
    """Ten good years of a single chain leave reliabilities down to under a half open."""
    assert share_over_chains([10], [10]).low < 0.5


def test_more_chains_and_a_lower_level_narrow_the_interval() -> None:
    """Ten times the chains bring a third of the width; 80 % is narrower than 95 %."""
    short = toy_short(np.random.default_rng(2), 1, 1000, 0.85, 0.5)[0]
    few, many, loose = reliability(short[:100]), reliability(short), reliability(short, level=0.8)

    assert 0.25 < (many.high - many.low) / (few.high - few.low) < 0.4
    assert many.low < loose.low < loose.value < loose.high < many.high


def test_the_weights_are_those_of_the_beta_binomial() -> None:
    """Ends from SciPy's beta-binomial over a grid of p and rho agree, for chains of unequal length."""
    good, years = np.array([3, 5, 8, 10, 2, 7, 9, 4]), np.array([5, 5, 10, 10, 3, 8, 10, 10])
    x, rho = (np.arange(800) + 0.5) / 800, (np.arange(100) + 0.5) / 100
    p, tied = np.sin(0.5 * np.pi * x)[:, None] ** 2, (1 - rho) / rho
    log = sum(betabinom.logpmf(k, n, p * tied, (1 - p) * tied) for k, n in zip(good, years, strict=True))
    below = np.cumsum(np.exp(log - np.max(log)).sum(axis=1))
    ends = np.sin(0.5 * np.pi * np.interp([0.025, 0.975], below / below[-1], x + 0.5 / 800)) ** 2
    told = share_over_chains(good, years)

    assert [told.low, told.high] == pytest.approx(ends, abs=1e-3)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=1, max_size=15))
def test_every_interval_is_an_interval(pairs: list[tuple[int, int]]) -> None:
    """Whatever is counted: 0 <= low <= share <= high <= 1, some width, and the mirror of the other trials' interval."""
    good = np.array([some for some, _ in pairs])
    trials = good + np.array([other for _, other in pairs])
    if not trials.any():
        trials[0] = 1
    told, other = share_over_chains(good, trials), share_over_chains(trials - good, trials)

    assert 0.0 <= told.low <= told.value <= told.high <= 1.0
    assert told.high - told.low > 1e-3
    assert [other.low, other.high] == pytest.approx([told.complement().low, told.complement().high], abs=2e-3)


def test_chains_of_one_year_are_independent_trials() -> None:
    """With one year a chain the interval is Wilson's."""
    short = np.arange(40)[:, None] % 8 == 0

    assert reliability(short) == wilson(35, 40)


def test_ten_years_with_a_short_month() -> None:
    """At least one short month in ten years: a share of chains of ten; of whole windows where chains are longer; else none."""
    short = np.zeros((4, 25), dtype=bool)
    short[0, 9] = short[1, 12] = short[2, 24] = True
    ten, all_of = short_within(short[:, :10]), short_within(short)
    assert ten is not None
    assert all_of is not None

    assert ten == wilson(1, 4)
    assert (all_of.value, all_of.trials, all_of.method) == (2 / 8, 8, "beta-binomial")
    assert short_within(short[:, :9]) is None
    counted = np.zeros((4, 25), dtype=bool)
    counted[:, 3:12] = True
    assert short_within(short, counted) is None


def test_the_first_years_are_told_one_by_one() -> None:
    """Year k of each chain, from its first counted one, with Wilson's interval over the chains that reach it."""
    short = np.zeros((5, 4), dtype=bool)
    short[:, 0] = True
    short[0, 2] = True
    counted = np.ones((5, 4), dtype=bool)
    counted[0, 0] = counted[1, 3] = False
    told = reliability_by_year(short, counted)

    assert [(share.value, share.trials) for share in told] == [(0.2, 5), (0.8, 5), (1.0, 5), (1.0, 3)]
    assert told[0] == wilson(1, 5)
    assert len(reliability_by_year(short, most=2)) == 2


def test_each_month_has_its_odds() -> None:
    """The odds of a short March are its share of counted years, each month with its own interval."""
    short = np.zeros((6, 10, 12), dtype=bool)
    short[:3, 4, 2] = True
    counted = np.ones((6, 10), dtype=bool)
    counted[:, 0] = False
    told = short_by_month(short, counted)

    assert len(told) == 12
    assert (told[2].value, told[2].trials) == (3 / 54, 54)
    assert told[2].low > 0.0
    assert (told[5].value, told[5].low) == (0.0, 0.0)
    assert told[5].high > 0.01


def test_likeness_is_what_ties_the_years() -> None:
    """Nothing for independent years, a quarter less a bit for toys tied by a half, all for chains good or short throughout."""
    rng = np.random.default_rng(3)
    free, tied = (toy_short(rng, 1, 20_000, 0.8, tie)[0].sum(axis=1) for tie in (0.0, 0.5))
    expected = 2 * sum((1 - k / 10) * 0.5**k for k in range(1, 10)) / 9

    assert likeness(free, np.full(20_000, YEARS)) == pytest.approx(0.0, abs=0.005)
    assert likeness(tied, np.full(20_000, YEARS)) == pytest.approx(expected, abs=0.01)
    assert likeness([10, 0, 10], [10, 10, 10]) == 1.0


def test_the_chain_bootstrap_is_seeded_and_holds_less_than_it_says() -> None:
    """Same seed, same ends; on 20 tied chains of reliability 0.95 its 95 % hold under 94, hence shares do not use it."""
    toys = toy_short(np.random.default_rng(15), 80, 20, 0.95, 0.5).sum(axis=2)
    told = [mean_over_chains(toy, TWENTY, seed=4) for toy in toys]
    held = np.mean([mean.low is not None and mean.low <= 0.05 <= (mean.high or 0.0) for mean in told])

    assert told[:10] == [mean_over_chains(toy, TWENTY, seed=4) for toy in toys[:10]]
    assert told[:10] != [mean_over_chains(toy, TWENTY, seed=5) for toy in toys[:10]]
    assert 0.7 < held < 0.94


def test_the_chain_bootstrap_gives_no_interval_where_no_chain_differs() -> None:
    """Twenty chains without a short day: a mean of nought and no interval, never one of no width."""
    told = mean_over_chains(np.zeros(20), TWENTY, seed=1)

    assert (told.value, told.low, told.high) == (0.0, None, None)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: reliability(np.zeros((2, 3))), "found float64"),
        (lambda: reliability(np.zeros((2, 3), bool), np.zeros((3, 2), bool)), r"found \(3, 2\)"),
        (lambda: reliability(np.zeros((1, 3), bool), np.array([[True, False, True]])), "have a gap"),
        (lambda: reliability(np.zeros((1, 3), bool), np.zeros((1, 3), bool)), "no counted trial"),
        (lambda: reliability_by_year(np.zeros((1, 3), bool), np.zeros((1, 3), bool)), "no counted year"),
        (lambda: reliability(np.zeros((1, 3), bool), level=95), "found 95"),
        (lambda: share_over_chains([3], [2]), "not within its trials"),
        (lambda: share_over_chains([0.5], [2]), "not whole"),
        (lambda: share_over_chains([1, 2], [3]), "found shapes"),
        (lambda: short_within(np.zeros((1, 3), bool), window=0), "window: found 0"),
        (lambda: wilson(1, 0), "found 1 of 0"),
        (lambda: mean_over_chains([np.nan], [1], 1), "not finite"),
        (lambda: mean_over_chains([1.0], [0], 1), "no counted year"),
        (lambda: mean_over_chains([1.0], [1, 2], 1), "one number a chain"),
        (lambda: normal_quantile(0.0), "found 0.0"),
    ],
)
def test_what_cannot_be_counted_is_refused(call, words: str) -> None:
    """An array of another kind, a gap in a chain, no year at all: said with what was found and what was expected."""
    with pytest.raises(ValueError, match=words):
        call()
