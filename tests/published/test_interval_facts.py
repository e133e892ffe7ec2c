"""Intervals and looks beside other implementations and printed bounds."""

from __future__ import annotations

import pytest
from scipy.stats import t as student
from statsmodels.stats.proportion import proportion_confint

from yardland.odds.chained import share_over_chains
from yardland.odds.looks import critical_values, error_of
from yardland.odds.paired import student_quantile
from yardland.odds.share import NORMAL
from yardland.odds.wilson import wilson

STATSMODELS = "statsmodels, proportion_confint"
POCOCK = "Pocock 1977, Biometrika 64:191, as printed in Wikipedia, Pocock boundary"
REBOUSSIN = "example of the readme of SeqBounds.jl, after Reboussin and others 2000, Controlled Clinical Trials 21:190"
COUNTS = [(0, 1), (0, 20), (1, 20), (7, 20), (20, 20), (93, 100), (999, 1000)]


@pytest.mark.parametrize("level", [0.95, 0.8])
def test_wilson_is_that_of_statsmodels(outside, level: float) -> None:
    """Both ends of Wilson's interval, from 0 of 1 to 999 of 1000.

    Source: statsmodels, proportion_confint, method wilson. Standing: computed.
    """
    theirs = [end for good, of in COUNTS for end in proportion_confint(good, of, alpha=1 - level, method="wilson")]
    shares = [wilson(good, of, level) for good, of in COUNTS]
    ours = [end for share in shares for end in (share.low, share.high)]

    outside.check_apart("odds", f"Wilson interval, {level:.0%}, both ends", STATSMODELS, "computed", theirs, ours, 1e-9)


def test_chains_that_agree_within_are_as_many_trials(outside) -> None:
    """Chains good or short throughout are single trials: near Jeffreys' interval over chains, inside that of Clopper and Pearson.

    Source: statsmodels, proportion_confint, methods jeffreys and beta. Standing: computed.
    """
    share = share_over_chains([10] * 34 + [0] * 6, [10] * 40)
    theirs = proportion_confint(34, 40, method="jeffreys")
    low, high = proportion_confint(34, 40, method="beta")

    what = "40 chains, each good or short throughout: ends over chains against Jeffreys over 40 trials"
    outside.check_apart("odds", what, STATSMODELS, "computed", theirs, [share.low, share.high], 0.015)
    what = "the same inside Clopper and Pearson's"
    outside.check_between("odds", what, STATSMODELS, "computed", low, high, [share.low, share.high])


def test_pococks_even_bounds_spend_five_per_cent(outside) -> None:
    """His nominal p-values for 2 to 5 even looks miss in one of twenty altogether.

    Source: Pocock 1977, Biometrika 64:191-199, as printed in Wikipedia, article Pocock boundary. Standing: published.
    """
    for looks, printed in {2: 0.0294, 3: 0.0221, 4: 0.0182, 5: 0.0158}.items():
        parts = [(k + 1) / looks for k in range(looks)]
        got = error_of(parts, [NORMAL.inv_cdf(1 - printed / 2)] * looks)[-1]
        outside.check_close(
            "odds", f"error of {looks} even looks, each at p {printed}", POCOCK, "published", 0.05, got, 2e-4
        )


def test_bounds_of_a_printed_example(outside) -> None:
    """Bounds for four even looks whose spent error is printed (one-sided there, so twice as much here).

    Source: readme of SeqBounds.jl, which follows Reboussin, DeMets, Kim and Lan 2000. Standing: published.
    """
    spent = [2 * error for error in (8.85754e-5, 0.0055746, 0.0236251, 0.05)]
    got = critical_values([0.25, 0.5, 0.75, 1.0], spent)

    what = "bounds at 1/4, 1/2, 3/4 and all"
    outside.check_close("odds", what, REBOUSSIN, "published", [3.74955, 2.53993, 2.01604, 1.72014], got, 1e-4)


def test_students_t_is_that_of_scipy(outside) -> None:
    """Quantiles from 1 to 9,999 degrees of freedom.

    Source: SciPy, scipy.stats.t. Standing: computed.
    """
    freedom = [1, 2, 5, 19, 30, 31, 99, 9999]
    theirs, ours = student.ppf(0.975, freedom), [student_quantile(0.95, number) for number in freedom]

    outside.check_apart("odds", "Student's t, 95 %", "SciPy, scipy.stats.t", "computed", theirs, ours, 1e-6)
