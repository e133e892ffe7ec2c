"""Stopping early: the looks, what each may spend, and that the interval where it stops still holds."""

from __future__ import annotations

import numpy as np
import pytest
from odds_kit import YEARS, toy_short

from yardland.odds.chained import share_over_chains
from yardland.odds.looks import (
    critical_values,
    error_of,
    look_chains,
    narrow_enough,
    obrien_fleming_type,
    plan_looks,
    pocock_type,
)
from yardland.odds.share import Share
from yardland.odds.wilson import wilson


@pytest.mark.parametrize(
    ("most", "looks"),
    [(5, (5,)), (20, (20,)), (100, (20, 40, 80, 100)), (90, (20, 40, 90)), (640, (20, 40, 80, 160, 320, 640))],
)
def test_looks_double(most: int, looks: tuple[int, ...]) -> None:
    """Looks are at 20, 40, 80, ... chains and at the last; one just before the last is left out."""
    assert look_chains(most) == looks


def test_all_error_is_spent_at_the_end() -> None:
    """What is spent rises to 5 % at the last look, and each look asks for more than 95 %."""
    looks = plan_looks(look_chains(320))

    assert [look.spent for look in looks] == sorted(look.spent for look in looks)
    assert looks[-1].spent == pytest.approx(0.05, abs=1e-12)
    assert all(0.95 < look.level < 1.0 for look in looks)
    assert plan_looks((50,))[0].level == pytest.approx(0.95, abs=1e-9)


def test_bounds_miss_as_often_as_they_may() -> None:
    """Of 200,000 standardised sums without drift, 5 % leave the bounds at some look."""
    looks = plan_looks((20, 40, 80, 100))
    steps = np.diff([0, *(look.chains for look in looks)])
    rng = np.random.default_rng(21)
    sums = np.cumsum(rng.standard_normal((200_000, 4)) * np.sqrt(steps), axis=1)
    left = np.abs(sums) > np.array([look.bound * np.sqrt(look.chains) for look in looks])

    assert left.any(axis=1).mean() == pytest.approx(0.05, abs=0.0015)
    assert left[:, 0].mean() == pytest.approx(looks[0].spent, abs=0.0012)


def test_error_and_bounds_turn_each_other_round() -> None:
    """The bounds that spend an error spend it."""
    parts, spent = [0.1, 0.15, 0.6, 0.97, 1.0], [0.004, 0.01, 0.03, 0.045, 0.05]

    assert error_of(parts, critical_values(parts, spent)) == pytest.approx(spent, abs=1e-9)


def test_a_run_that_is_broken_off_gets_its_own_level() -> None:
    """Looks at 20, 40 and then 57 of 160 chains: the first two levels are those of the full plan, the third asks for more than 95 %."""
    full, broken = plan_looks(look_chains(160)), plan_looks((20, 40, 57), 160)

    assert [look.level for look in broken[:2]] == pytest.approx([look.level for look in full[:2]], abs=1e-9)
    assert 0.95 < broken[2].level < 1.0


def test_spending_of_the_two_types() -> None:
    """Both spend all at the end; O'Brien and Fleming's next to nothing at a fifth, Pocock's more than a quarter of it."""
    assert pocock_type(1.0, 0.05) == pytest.approx(0.05)
    assert obrien_fleming_type(1.0, 0.05) == pytest.approx(0.05)
    assert obrien_fleming_type(0.2, 0.05) < 1e-4
    assert 0.0125 < pocock_type(0.2, 0.05) < 0.02


def test_narrow_is_both_ways() -> None:
    """An interval is narrow enough if neither end is further off than what was asked."""
    share = Share(0.9, 0.85, 0.93, 100, 10, 0.95, "beta-binomial")

    assert narrow_enough(share, 0.0501)
    assert not narrow_enough(share, 0.04)


@pytest.mark.slow
@pytest.mark.parametrize(("truth", "within"), [(0.9, 0.084), (0.95, 0.077)])
def test_the_interval_where_it_stops_still_holds(truth: float, within: float) -> None:
    """Kept at the first look at which it is narrow, the interval holds the truth in at least 93 % of 600 runs, which stop at different looks."""
    looks = plan_looks(look_chains(80))
    held, stopped = 0, []
    for toy in toy_short(np.random.default_rng(22), 600, 80, truth, 0.5):
        good = (~toy).sum(axis=1)
        for look in looks:
            told = share_over_chains(good[: look.chains], np.full(look.chains, YEARS), look.level)
            if narrow_enough(told, within):
                break
        held += told.low <= truth <= told.high
        stopped.append(look.chains)

    assert held / 600 >= 0.93
    assert sum(stopped.count(look.chains) >= 120 for look in looks) >= 2


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: look_chains(0), "found 0"),
        (lambda: plan_looks(()), "rise from 1"),
        (lambda: plan_looks((20, 20)), "rise from 1"),
        (lambda: plan_looks((20, 40), 30), "of 30 chains"),
        (lambda: plan_looks((20,), level=1.0), "found 1.0"),
        (lambda: critical_values([0.5, 0.4], [0.01, 0.02]), "parts: found"),
        (lambda: critical_values([0.5, 1.0], [0.02, 0.02]), "spent: found"),
        (lambda: error_of([0.5, 1.0], [2.0]), "bounds: found"),
        (lambda: narrow_enough(wilson(1, 2), 0.0), "within: found 0.0"),
    ],
)
def test_looks_that_cannot_be_are_refused(call, words: str) -> None:
    """Looks that do not rise, none at all, a width of nothing: said with what was found and what was expected."""
    with pytest.raises(ValueError, match=words):
        call()
