"""What is seen looking back on a run, as JSON."""

from __future__ import annotations

from typing import Any

from yardland.larderyears.causes import Cause, Causes, Offered
from yardland.larderyears.foreseen import Foreseen
from yardland.larderyears.hindsight import Hindsight
from yardland.larderyears.tenths import Tenth
from yardland.larderyears.why_json import short_json


def hindsight_json(seen: Hindsight | None) -> dict[str, Any]:
    """Keys of the object of `yardland years --json`; null where a run was not looked back on."""
    return {
        "foresight_reliability": None if seen is None else seen.foreseen.reliability.value,
        "foresight": None if seen is None else foreseen_json(seen.foreseen),
        "tenths_by_weather": None if seen is None else [tenth_json(one) for one in seen.tenths],
        "causes": None if seen is None or seen.causes is None else [cause_json(one) for one in seen.causes.causes],
        "causes_over": None if seen is None or seen.causes is None else causes_over(seen.causes),
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
        "grass_share_of_all_years": one.grass,
        "harvests": [
            {"good": part.good, "share_of_all_years": part.share, "more_mj_per_year": part.more_mj}
            for part in one.harvests
        ],
        "short_months_seen_close": short_json(one.close),
    }


def causes_over(causes: Causes) -> dict[str, Any]:
    """The bad years from which causes were found."""
    return {
        "stretches": causes.stretches,
        "years": causes.years,
        "shortfall_month_needs": causes.shortfall,
    }


def cause_json(one: Cause) -> dict[str, Any]:
    """A link, what a tenth of it mends, and what it did over whole chains."""
    return {
        "link": one.link.key,
        "kind": one.link.kind,
        "words": one.link.words,
        "mended_share": one.mended_share,
        "mended_month_needs": one.mended_month_needs,
        "resimulated": None if one.offered is None else offered_json(one.offered),
    }


def offered_json(one: Offered) -> dict[str, Any]:
    """A way out over whole chains that were short."""
    return {
        "years": one.years,
        "reliability_before": 1.0 - one.short_before / one.years,
        "reliability": 1.0 - one.short_after / one.years,
        "shortfall_month_needs_per_year_before": one.shortfall_before,
        "shortfall_month_needs_per_year": one.shortfall_after,
    }
