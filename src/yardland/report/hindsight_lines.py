"""What is seen looking back on many years, on a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from yardland.larderyears.causes import Causes, Offered
from yardland.larderyears.foreseen import Foreseen
from yardland.larderyears.hindsight import Hindsight
from yardland.larderyears.short_months import ShortMonths
from yardland.larderyears.tenths import Tenth
from yardland.report.why_lines import LITTLE_DAYS, NO_NAMES, Names, bare_plates, good_words, plate_words
from yardland.report.words import listed

PCT = 100.0
TOLD_TENTHS = ("driest",)
TOLD_CAUSES = 5
TOLD_HARVESTS = 5


def hindsight_words(seen: Hindsight, all_shortfall: float, day_mj: float, names: Names = NO_NAMES) -> Iterator[str]:
    """Paragraphs.

    Args:
        seen: what was seen.
        all_shortfall: months' needs that lack a year, in the mean of all years.
        day_mj: the household's energy need of a day.
        names: of goods.
    """
    yield foreseen_words(seen.foreseen)
    for one in seen.tenths:
        if one.name in TOLD_TENTHS:
            yield tenth_words(one, all_shortfall, day_mj, names)
    if seen.causes is not None:
        yield from cause_words(seen.causes)


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


def tenth_words(one: Tenth, all_shortfall: float, day_mj: float, names: Names = NO_NAMES) -> str:
    """A tenth of the years by weather: how they went, what gave less, what lacks."""
    words = (
        f"The {one.name} tenth ({one.reliability.trials} years, {one.rain_mm:.0f} mm a year with the year before): "
        f"{PCT * one.reliability.value:.0f} % without a short month ({PCT * one.reliability.low:.0f} to {PCT * one.reliability.high:.0f} %); "
        f"{one.shortfall:.2f} months' needs lack a year, {all_shortfall:.2f} in all years."
    )
    less = [
        f"{good_words(part.good, names)} {PCT * part.share:.0f} % ({part.more_mj / day_mj:+.0f} days' food)"
        for part in one.harvests
        if part.more_mj <= -LITTLE_DAYS * day_mj
    ]
    grass = "" if one.grass is None else f"; grass {PCT * one.grass:.0f} %"
    if less:
        words += f" Beside all years they bring of {', '.join(less[:TOLD_HARVESTS])}{grass}."
    else:
        words += f" No harvest is less in them by half a day's food{grass}."
    return words + lacking_words(one.close, names)


def lacking_words(close: ShortMonths, names: Names) -> str:
    """What lacks in the short months of a tenth, and which plates are bare; "" where no month is short."""
    if not close.months:
        return ""
    lacks = [
        f"{months} lack {name}" for name, months in (("energy", close.energy), ("protein", close.protein)) if months
    ]
    bare = [plate_words(one, names) for one in bare_plates(close.plates)]
    words = f" Of {close.months} short months {listed(lacks)}"
    return words + (f", with nothing in store for the plate of {listed(bare)}." if bare else ".")


def cause_words(causes: Causes) -> Iterator[str]:
    """What would mend the shortage, at most TOLD_CAUSES links."""
    if not causes.stretches:
        yield "Nothing lacked in any year, so that there is nothing to mend."
        return
    if not causes.causes:
        yield f"What would mend it: of no link does a tenth more mend any of what lacked in the {causes.years} years that were walked again."
        return
    yield (
        f"What would mend it, by {causes.years} years walked again, bad ones and those before them ({causes.shortfall:.1f} months' needs lacked; shares do not add up):"
    )
    for one in causes.causes[:TOLD_CAUSES]:
        words = f"- {one.link.words} mends {PCT * one.mended_share:.0f} %"
        yield words + (
            f"; {offered_words(one.offered)}" if one.offered is not None else "; not walked over whole chains"
        )


def offered_words(one: Offered) -> str:
    """What a way out did over whole chains."""
    return (
        f"over {one.years} years of chains that were short: {one.short_before} short years become {one.short_after}, "
        f"{one.shortfall_before:.2f} months' needs a year become {one.shortfall_after:.2f}"
    )
