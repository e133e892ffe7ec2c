"""Many years on a terminal: the answer, its ranges, its terms, the short months, the worst years."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt

from yardland.larderyears.compared import Compared
from yardland.larderyears.result import Odds, Story
from yardland.larderyears.start import as_it_stands
from yardland.odds.share import Share
from yardland.report.hindsight_lines import hindsight_words
from yardland.report.why_lines import (
    NO_NAMES,
    Names,
    food_words,
    good_words,
    moves_words,
    names_of,
    short_words,
    stock_words,
)
from yardland.report.words import listed, nutrient

PCT = 100.0
Told = Iterator[tuple[str, str]]
"""(line, style)."""
SURE = 0.9995
"""Share that is printed as 100 %."""
COVERED = 0.995
"""Coverage that is printed as 100 % of need."""
TOLD_NUTRIENTS = 6
MUCH_BEYOND = 5.0
"""Days by energy beyond the plates from which they are told."""
TOLD_BEYOND = 3


def years_lines(
    odds: Odds, terms: tuple[str, ...], standard: Odds | None, compared: Compared | None, width: int
) -> Told:
    """The lines of `yardland years`."""
    name = odds.years.prepared.ground.holding.place.name
    behind = "ONE BEHIND THE OTHER" if odds.years.asked.chain_years > 1 else "EACH IN A CHAIN OF ITS OWN"
    yield f"{name.upper()}: {odds.reliability.trials} YEARS, {behind}", "head"
    if as_it_stands(odds.years.prepared.ground.holding):
        yield from wrapped(year_by_year(odds), width, "good" if odds.by_year[0].value >= SURE else "bad")
    yield from wrapped(answer(odds), width, "good" if odds.reliability.value >= SURE else "bad")
    yield from wrapped(f"On these terms: {'; '.join(terms)}.", width)
    if standard is not None:
        years = "" if standard.reliability.trials == odds.reliability.trials else f"{standard.reliability.trials} "
        words = f"On standard terms (nothing bought but salt, usual plates and hazards): {share(standard.reliability)} of {years}years are without a short month."
        yield from wrapped(words, width)
    if odds.years.stopped:
        yield from wrapped(f"Fewer years than asked: {odds.years.stopped}.", width)
    yield "", ""
    yield from months_table(odds)
    beyond = beyond_plates(odds.beyond_days, names_of(odds.years.prepared.frame.larder), none=none_on_plates(odds))
    yield from wrapped(beyond, width)
    yield "", ""
    names = tuple(month.name for month in odds.months)
    yield from nutrients_table(odds.years.prepared.frame.larder.nutrients, names, odds.coverage, width)
    yield "", ""
    yield from shortages(odds, width)
    for words in whys(odds, standard):
        yield from wrapped(words, width)
    if compared is not None:
        yield "", ""
        yield from wrapped(against(compared), width, "head")
        for words in moves_words(compared.moves, compared.difference.chains):
            yield from wrapped(words, width)
    for words in [*odds.years.prepared.ground.notes][:2]:
        yield from wrapped(words, width, "dim")


def whys(odds: Odds, standard: Odds | None) -> Iterator[str]:
    """Paragraphs: the worst years, short months seen close, where the food went, what is seen looking back."""
    for number, one in enumerate(odds.worst):
        yield story(odds, one, number)
    names = names_of(odds.years.prepared.frame.larder)
    yield from short_words(odds.close, names=names)
    if standard is not None:
        yield from short_words(standard.close, "On standard terms", names)
    yield from stock_words(odds.stock_close, [month.name for month in odds.months], names)
    yield food_words(odds.food, names)
    if odds.hindsight is not None:
        lacks = float(odds.years.stacked("shortfall").mean())
        yield from hindsight_words(odds.hindsight, lacks, odds.food.day_mj, names)


def answer(odds: Odds) -> str:
    """Reliability with its interval and its range."""
    words = f"{share(odds.reliability)} of the years are without a short month"
    words += f" (sampling: {PCT * odds.reliability.low:.0f} to {PCT * odds.reliability.high:.0f} %"
    known = odds.knowledge
    if known is None:
        return words + "; what the handbooks leave open was not run)."
    if not known.seen:
        return words + "; what the handbooks leave open of yields does less than these chains can show)."
    return (
        words + f"; if yields are other than the handbooks' middle: {PCT * known.low:.0f} to {PCT * known.high:.0f} %)."
    )


def year_by_year(odds: Odds) -> str:
    """The first years one by one, the headline of a start as it stands."""
    years = ", ".join(f"{number}: {share(one)}" for number, one in enumerate(odds.by_year, start=1))
    first = odds.by_year[0]
    between = f"{PCT * first.low:.0f} to {PCT * first.high:.0f} %"
    return f"From how it stands today, without a short month in year {years} (sampling, first year: {between})."


def share(one: Share) -> str:
    """A share in per cent; never 100 % where one is missing."""
    value = PCT * one.value
    return f"{value:.0f} %" if value in {0.0, 100.0} or 1.0 <= value <= 99.0 else f"{value:.1f} %"


def months_table(odds: Odds) -> Told:
    """Odds of a short month, and food in store at the months' ends, in days that plates can take and by energy."""
    yield "Month     " + "".join(f"{month.name:>6}" for month in odds.months), "head"
    yield "% short   " + "".join(f"{PCT * one.value:>6.0f}" for one in odds.short_probability), ""
    low, middle, high = odds.plate_days
    yield "days' food" + "".join(f"{days:>6.0f}" for days in middle), ""
    yield "  1 in 20 " + "".join(f"{days:>6.0f}" for days in low), "dim"
    yield "  19 in 20" + "".join(f"{days:>6.0f}" for days in high), "dim"
    yield "by energy " + "".join(f"{days:>6.0f}" for days in odds.stock_days[1]), "dim"


def none_on_plates(odds: Odds) -> bool:
    """Whether in some month, in the middle of the years, food lies there that gives no whole day."""
    return bool(((odds.plate_days[1] < 1.0) & (odds.stock_days[1] >= MUCH_BEYOND)).any())


def beyond_plates(days: dict[str, float], names: Names = NO_NAMES, *, none: bool = False) -> str:
    """What lies beyond the plates, where that is much; "" where it is not.

    Args:
        days: good -> mean days' worth in store beyond the plates, the most first.
        names: of goods.
        none: in some month plates can take no day of what lies there, and it is said what that means.
    """
    whole = sum(days.values())
    if whole < MUCH_BEYOND:
        return ""
    most = listed([good_words(good, names) for good in list(days)[:TOLD_BEYOND]])
    told = f"Days' food is what plates can take; {whole:.0f} days by energy lie beyond them in the mean, mostly {most}."
    return f"{told} It is 0 where full plates of all that lies there are less than a day's need." if none else told


def nutrients_table(keys: Sequence[str], months: Sequence[str], coverage: npt.NDArray[np.float64], width: int) -> Told:
    """Nutrients that one year in twenty does not cover in some month, the worst first, each with its worst month.

    Args:
        keys: of the nutrients.
        months: names, [12].
        coverage: eaten / needed, [3, nutrient, 12], 5th, 50th and 95th in the hundred.
        width: of the terminal.
    """
    low, middle, _ = coverage
    least = low.min(axis=1)
    missed = [int(at) for at in np.argsort(least, kind="stable") if least[at] < COVERED]
    if not missed:
        yield from wrapped("In every month each nutrient is covered in 19 years of 20.", width)
        return
    yield f"{'% of need eaten':<22}{'worst month':>12}{'1 in 20':>9}{'middle':>8}", "head"
    for at in missed[:TOLD_NUTRIENTS]:
        month = int(np.argmin(low[at]))
        yield (
            f"{nutrient(keys[at]):<22}{months[month]:>12}{PCT * low[at, month]:>9.0f}{PCT * middle[at, month]:>8.0f}",
            "",
        )
    if len(missed) > TOLD_NUTRIENTS:
        yield f"and {len(missed) - TOLD_NUTRIENTS} more under 100 in 1 year of 20", "dim"


def shortages(odds: Odds, width: int) -> Told:
    """How people, stock and seed go short."""
    if odds.ten_years is not None:
        words = f"At least one short month in ten years: {share(odds.ten_years)} of ten-year runs ({PCT * odds.ten_years.low:.0f} to {PCT * odds.ten_years.high:.0f} %)."
        yield from wrapped(words, width)
    if odds.spells.spells:
        words = (
            f"Short spells last {odds.spells.median_months:.0f} months in the middle, {odds.spells.longest_months} at most; the worst month lacks "
            f"{PCT * odds.spells.greatest_depth:.0f} %. {odds.person_days_short:.0f} person-days a year in short months, {odds.person_days_dire:.0f} of them dire."
        )
        yield from wrapped(words, width)
    if odds.hungry_stock > 0.0:
        words = (
            f"In {PCT * odds.hungry_stock:.0f} % of years some class of stock lacks over a twentieth of a month's feed."
        )
        yield from wrapped(words, width)
    if odds.seed_kg >= 1.0:
        yield from wrapped(f"Own seed runs short: {odds.seed_kg:.0f} kg a year must be got.", width)
    if odds.unplaced_kg >= 1.0:
        words = f"{odds.unplaced_kg:.0f} kg a year came of goods that no training year brought forth: nobody uses them here."
        yield from wrapped(words, width)


def story(odds: Odds, one: Story, number: int) -> str:
    """A bad year in words."""
    months = ", ".join(odds.months[month].name for month in one.year.short_months)
    words = f"{'Worst year' if number == 0 else 'Next'} (chain {one.year.chain + 1}, year {one.year.year + 1}): {one.year.first_lacks} runs short in {months}, {PCT * one.year.depth:.0f} % at worst."
    if one.harvests:
        told = ", ".join(f"{good.replace('_', ' ')} {PCT * part:.0f} %" for good, part in one.harvests)
        words += f" Before it came harvests of {told} of the mean."
    if one.hazards:
        words += f" Struck: {', '.join(hazard.replace('_', ' ') for hazard in one.hazards)}."
    return words


def against(compared: Compared) -> str:
    """Two plans on the same years."""
    difference = compared.difference
    return (
        f"{compared.name} on the same {difference.years} years: {share(compared.reliability)} without a short month, {PCT * difference.value:+.1f} points "
        f"({PCT * difference.low:+.1f} to {PCT * difference.high:+.1f}); it mends {PCT * difference.mended:.1f} % of years and spoils {PCT * difference.spoilt:.1f} %."
    )


def wrapped(words: str, width: int, style: str = "") -> Told:
    """A paragraph."""
    for line in textwrap.wrap(words, width):
        yield line, style
