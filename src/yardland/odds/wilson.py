"""Wilson's score interval of a share, for independent trials or for an effective number of them."""

from __future__ import annotations

import math

from yardland.odds.share import LEVEL, Share, normal_quantile


def wilson(good: int, trials: int, level: float = LEVEL) -> Share:
    """Share of independent trials with Wilson's interval (1927, Journal of the American Statistical Association 22:209).

    Never of no width: with 0 of n its upper end is z^2 / (n + z^2), 3.7 in n for large n (the rule of three says 3).

    Raises:
        ValueError: no trial, more good ones than trials, or a level that is no share.
    """
    if not 0 <= good <= trials or trials < 1:
        raise ValueError(f"wilson: found {good} of {trials}, expected 0 <= good <= trials and a trial at least")
    low, high = score_ends(good / trials, float(trials), normal_quantile(level))
    return Share(good / trials, low, high, trials, trials, level, "wilson")


def score_ends(share: float, trials: float, quantile: float) -> tuple[float, float]:
    """Both roots of (share - p)^2 = quantile^2 p (1 - p) / trials.

    Args:
        share: seen, 0-1.
        trials: independent ones, or their effective number, over 0.
        quantile: of the normal, or of Student's t where the effective number is itself an estimate.
    """
    square = quantile * quantile / trials
    middle = (share + square / 2.0) / (1.0 + square)
    half = math.sqrt(square * share * (1.0 - share) + square * square / 4.0) / (1.0 + square)
    # rounding may leave an end a last bit inside what was seen
    return min(share, max(0.0, middle - half)), max(share, min(1.0, middle + half))
