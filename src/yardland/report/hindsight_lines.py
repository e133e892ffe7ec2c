"""What is seen looking back on many years, on a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from yardland.larderyears.foreseen import Foreseen
from yardland.larderyears.hindsight import Hindsight
from yardland.larderyears.tenths import Tenth

PCT = 100.0
TOLD_TENTHS = ("driest",)


def hindsight_words(seen: Hindsight, all_shortfall: float) -> Iterator[str]:
    """Paragraphs.

    Args:
        seen: what was seen.
        all_shortfall: months' needs that lack a year, in the mean of all years.
    """
    yield foreseen_words(seen.foreseen)
    for one in seen.tenths:
        if one.name in TOLD_TENTHS:
            yield tenth_words(one, all_shortfall)


def foreseen_words(one: Foreseen) -> str:
    """Foresight beside the policy."""
    years = f"the first {one.reliability.trials} years" if one.chains > 1 else f"{one.reliability.trials} years"
    if one.policy_shortfall <= 0.0:
        return f"In {years} nothing lacked: knowing the future would have mended nothing."
    return (
        f"Had all been known beforehand, {years} would lack {one.shortfall:.2f} months' needs a year at the least, without foresight "
        f"{one.policy_shortfall:.2f} lacked; {PCT * one.reliability.value:.0f} % of them would be without a short month, {PCT * one.policy.value:.0f} % were "
        "(people come before all stock there; of single years it promises nothing)."
    )


def tenth_words(one: Tenth, all_shortfall: float) -> str:
    """A tenth of the years by weather."""
    return (
        f"The {one.name} tenth ({one.reliability.trials} years, {one.rain_mm:.0f} mm a year with the year before): "
        f"{PCT * one.reliability.value:.0f} % without a short month ({PCT * one.reliability.low:.0f} to {PCT * one.reliability.high:.0f} %); "
        f"{one.shortfall:.2f} months' needs lack a year, {all_shortfall:.2f} in all years."
    )
