"""What is seen looking back on a run, as JSON."""

from __future__ import annotations

from typing import Any

from yardland.larderyears.foreseen import Foreseen
from yardland.larderyears.hindsight import Hindsight
from yardland.larderyears.tenths import Tenth


def hindsight_json(seen: Hindsight | None) -> dict[str, Any]:
    """Keys of the object of `yardland years --json`; null where a run was not looked back on."""
    return {
        "foresight_reliability": None if seen is None else seen.foreseen.reliability.value,
        "foresight": None if seen is None else foreseen_json(seen.foreseen),
        "tenths_by_weather": None if seen is None else [tenth_json(one) for one in seen.tenths],
    }


def foreseen_json(one: Foreseen) -> dict[str, Any]:
    """Foresight and policy on the same years."""
    return {
        "chains": one.chains,
        "years": one.reliability.trials,
        "reliability": one.reliability.value,
        "policy_reliability_same_years": one.policy.value,
        "shortfall_month_needs_per_year": one.shortfall,
        "policy_shortfall_month_needs_per_year": one.policy_shortfall,
    }


def tenth_json(one: Tenth) -> dict[str, Any]:
    """A tenth of the years."""
    return {
        "which": one.name,
        "years": one.reliability.trials,
        "reliability": one.reliability.value,
        "reliability_interval": [one.reliability.low, one.reliability.high],
        "shortfall_month_needs_per_year": one.shortfall,
        "rain_mm_per_year": one.rain_mm,
        "mean_c": one.mean_c,
    }
