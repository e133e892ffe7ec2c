"""Levels that are drawn for what the handbooks do not know, and the range of reliability that comes of them."""

from __future__ import annotations

import numpy as np
import pytest
from odds_kit import YEARS, toy_short

from yardland.odds.knowledge import KnowledgeRange, knowledge_range
from yardland.odds.levels import level_at, level_factor, level_factors, level_uniform


def toy_range(seed: int, draws: int, chains: int, low: float, high: float) -> KnowledgeRange:
    """Chains tied by a half whose reliability is even from low to high over the draws."""
    rng = np.random.default_rng(seed)
    each = np.repeat(rng.uniform(low, high, draws), chains)
    good = (~toy_short(rng, 1, draws * chains, each, 0.5)[0]).sum(axis=1)
    return knowledge_range(good, np.full(draws * chains, YEARS), np.repeat(np.arange(draws), chains))


def test_the_middle_figure_is_the_median_whatever_the_ends() -> None:
    """Half of the draws lie under the middle, all within the ends; both halves are triangles (mean two thirds of the way)."""
    uniform = (np.arange(20_000) + 0.5) / 20_000
    drawn = np.array([level_at(2.0, 3.0, 7.0, number) for number in uniform])

    assert np.median(drawn) == pytest.approx(3.0, abs=1e-3)
    assert 2.0 < drawn.min() < 2.02
    assert 6.9 < drawn.max() < 7.0
    assert (np.diff(drawn) > 0).all()
    assert drawn[drawn < 3].mean() == pytest.approx(2 + 2 / 3, abs=1e-3)
    assert drawn[drawn > 3].mean() == pytest.approx(7 - 2 * 4 / 3, abs=1e-3)


def test_a_factor_is_one_in_the_middle() -> None:
    """Half way the factor is 1, at the ends it is low / middle and high / middle; a figure without a range stays."""
    assert level_factor(2.0, 4.0, 5.0, 0.5) == 1.0
    assert (level_factor(2.0, 4.0, 5.0, 0.0), level_factor(2.0, 4.0, 5.0, 1.0)) == (0.5, 1.25)
    assert level_factor(4.0, 4.0, 4.0, 0.1) == 1.0


def test_numbers_hang_on_names_alone() -> None:
    """A figure's number is the same in any order and beside any other; seed, draw and name each change it."""
    one = level_uniform(7, 3, "crops.potato")

    assert one == level_uniform(7, 3, "crops.potato")
    assert (
        len(
            {
                one,
                level_uniform(8, 3, "crops.potato"),
                level_uniform(7, 4, "crops.potato"),
                level_uniform(7, 3, "crops.leek"),
            }
        )
        == 4
    )
    assert level_factors(7, [5, 3], "crops.potato", 1.0, 2.0, 3.0)[1] == level_factor(1.0, 2.0, 3.0, one)


def test_numbers_are_even_and_free_of_each_other() -> None:
    """Over 20,000 draws: mean a half, variance a twelfth, no correlation between two figures or two draws in a row."""
    one, two = (np.array([level_uniform(1, draw, name) for draw in range(20_000)]) for name in ("a", "b"))

    assert one.mean() == pytest.approx(0.5, abs=0.008)
    assert one.var() == pytest.approx(1 / 12, abs=0.002)
    assert np.corrcoef(one, two)[0, 1] == pytest.approx(0.0, abs=0.025)
    assert np.corrcoef(one[1:], one[:-1])[0, 1] == pytest.approx(0.0, abs=0.025)


def test_the_range_finds_a_known_spread() -> None:
    """Reliability even from 0.6 to 1 over the draws: 5 and 95 in the hundred at 0.62 and 0.98, sampling taken out."""
    found = toy_range(51, 600, 6, 0.6, 1.0)

    assert found.spread == pytest.approx(0.4 / np.sqrt(12), abs=0.012)
    assert [found.low, found.high] == pytest.approx([0.62, 0.98], abs=0.03)
    assert found.mean == pytest.approx(0.8, abs=0.015)
    assert found.seen


def test_two_chains_a_draw_tell_the_spread_without_a_bias() -> None:
    """Over 300 runs of 25 draws of two chains the mean variance found is the true one to a tenth, where that of the raw reliabilities is twice as large."""
    found = [toy_range(seed, 25, 2, 0.5, 1.0) for seed in range(300)]
    true = 0.25 / 12

    assert np.mean([run.spread**2 for run in found]) == pytest.approx(true, rel=0.12)
    assert np.mean([run.spread**2 + run.sampling**2 for run in found]) > 1.7 * true


def test_no_spread_is_told_as_none() -> None:
    """Where all draws have one reliability, the range is narrow beside what sampling alone spreads, or not seen at all."""
    found = [toy_range(seed, 50, 4, 0.8, 0.8) for seed in range(20)]

    assert np.mean([run.high - run.low for run in found]) < 0.4 * 2 * 1.645 * np.mean([run.sampling for run in found])
    assert 4 <= sum(not run.seen for run in found) <= 16
    assert all(run.low == run.high == pytest.approx(run.mean) for run in found if not run.seen)


def test_the_range_is_a_range_of_shares() -> None:
    """Ends lie within 0-1 and hold the mean, lengths of chains may differ, chains without a year are left out."""
    good, years = np.array([10, 9, 0, 2, 5, 5, 8, 8, 10, 10, 0]), np.array([10, 10, 3, 2, 5, 6, 8, 9, 10, 10, 0])
    draw = np.array([0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4])
    found = knowledge_range(good, years, draw)

    assert 0.0 <= found.low < found.mean < found.high <= 1.0
    assert (found.draws, found.chains) == (5, 10)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: level_at(3.0, 2.0, 4.0, 0.5), "found low 3.0"),
        (lambda: level_at(1.0, 2.0, float("nan"), 0.5), "high nan"),
        (lambda: level_at(1.0, 2.0, 4.0, 1.5), "uniform: found 1.5"),
        (lambda: level_factor(0.0, 0.0, 1.0, 0.5), "middle 0.0"),
        (lambda: knowledge_range(np.ones(8), np.ones(8), np.repeat(np.arange(4), 2)), "found 4 draws"),
        (lambda: knowledge_range(np.ones(8), np.ones(8), np.arange(8)), "of 1 chains"),
        (lambda: knowledge_range(np.ones(8), np.ones(8), np.arange(7)), r"found \(7,\)"),
    ],
)
def test_figures_and_draws_that_tell_nothing_are_refused(call, words: str) -> None:
    """Figures out of order, one chain a draw: said with what was found and what was expected."""
    with pytest.raises(ValueError, match=words):
        call()
