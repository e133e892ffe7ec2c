"""What the rules read of herds on grass: the rests that plots really had in the year, else those that the plan's figures give."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from yardland.findings.context import Context, many
from yardland.holding.model import Round
from yardland.ledger.months import month_of_day
from yardland.season.evenings import Rest, Walk
from yardland.season.grazers import Stay
from yardland.stock.rounds import rest_days

F64 = npt.NDArray[np.float64]
STILL_D = 120.0
"""Days of regrowth from which grass is told as standing still (our band)."""
SHORT_OF = 0.9
"""Share of the growth wanted under which a rest is told (our band)."""


@dataclass(frozen=True, slots=True)
class Gap:
    """Time without a host: the larder month (0-11) in which it left, the days, and where and when if that is known."""

    month: int
    days: float
    words: str = ""


def walk_of(context: Context, name: str) -> Walk | None:
    """What the herd of a round did in the year; None if it was not followed, or not on this plan's plots."""
    walk, plan = context.result.pasture.walks.get(name), context.result.holding.round[name]
    return walk if walk is not None and (walk.groups, walk.plots) == (plan.order, plan.plots) else None


def mean_stay(plan: Round) -> float:
    """Days that a group stays on a plot, the middle of the plan's span."""
    return sum(plan.stay_days) / 2.0


def host_rest(plan: Round, hosts: list[str]) -> float:
    """Days of a turn of the round on which no group of one host is on a plot: stay x (plots - groups of that host)."""
    return mean_stay(plan) * max(0, len(plan.plots) - len(hosts))


def host_gaps(context: Context, name: str, hosts: list[str]) -> list[Gap]:
    """How long a host was off each plot; by the plan, one gap for each month in which herds are out.

    Where groups follow one another, other hosts may be there meanwhile: only the groups of this one count.
    """
    walk, plan = walk_of(context, name), context.result.holding.round[name]
    if walk is None:
        rest = host_rest(plan, hosts)
        return [Gap(month, rest) for month in range(12) if context.result.pasture.out[month]]
    month = month_of_day(context.result.months)
    return [Gap(month[rest.left], rest.days, rest_words(context, rest)) for rest in walk.rests_of(hosts)]


def regrown(context: Context, rest: Rest) -> float:
    """Share of the growth from the mass left to the mass grazed that came in a rest, by the plot's growth of each month."""
    month = np.array(month_of_day(context.result.months))[rest.left : rest.back]
    return float((1.0 / context.result.pasture.regrowth_d[rest.plot])[month].sum())


def day_words(context: Context, day: int) -> str:
    """A day of the larder year as 5 Apr."""
    month = context.result.months[month_of_day(context.result.months)[day]]
    return f"{day - month.first_day + 1} {month.name}"


def rest_words(context: Context, rest: Rest) -> str:
    """Where and when: bank, 5 Apr to 26 Apr."""
    return f"{rest.plot.replace('_', ' ')}, {day_words(context, rest.left)} to {day_words(context, rest.back)}"


def stay_words(context: Context, stay: Stay) -> str:
    """The same of a stay."""
    return f"{stay.plot.replace('_', ' ')}, {day_words(context, stay.first)} to {day_words(context, stay.last)}"


def span(days: Iterable[float]) -> str:
    """The least and the most of some days: 9 to 24 days, or 9 days."""
    found = list(days)
    low, high = min(found), max(found)
    return many(high, "day") if round(low) == round(high) else f"{low:.0f} to {many(high, 'day')}"


def longest(stays: Sequence[Stay]) -> Stay:
    """The stay of most evenings, the first of them."""
    return max(stays, key=lambda stay: stay.last - stay.first)


def stays_over(
    context: Context, name: str, most_d: float, months: set[int], groups: Sequence[str]
) -> tuple[int, str, set[int], str]:
    """The longest stay of any of the groups over `most_d` that touches `months`: days (0: none), where and when, the months of all such, and why.

    From the year's stays; by the plan, in months in which herds are out.
    """
    walk, plan = walk_of(context, name), context.result.holding.round[name]
    if walk is None:
        touched = {month for month in months if context.result.pasture.out[month]}
        days = max(plan.stay_days)
        over = days > most_d and bool(touched or len(months) == len(context.result.months))
        return (days if over else 0), "", touched, "stay_days of the plan."
    month = month_of_day(context.result.months)
    theirs = [stay for stay in walk.stays if set(stay.groups) & set(groups)]
    long = [stay for stay in theirs if stay.last - stay.first > most_d and months & set(month[stay.first : stay.last])]
    if not long:
        return 0, "", set(), ""
    most, touched = longest(long), {month[day] for stay in long for day in range(stay.first, stay.last)} & months
    return (
        most.last - most.first,
        f" ({stay_words(context, most)}; {len(long)} of {many(len(theirs), 'stay')})",
        touched,
        f"They leave a sward that is eaten down, or after the {plan.stay_days[1]} days that the plan's stay_days allow.",
    )


def planned_short(plan: Round, wanted: F64, grows: list[int]) -> tuple[float, float, list[int], str] | None:
    """Rest by the plan, the most that is wanted, and the months in which it is too short; None if it never is."""
    rest = rest_days(mean_stay(plan), max(1, len(plan.plots) - len(plan.order) + 1))
    short = [index for index in grows if rest < SHORT_OF * wanted[index]]
    return (rest, float(wanted[short].max()), short, "") if short else None


def walked_short(context: Context, walk: Walk) -> tuple[float, float, list[int], str] | None:
    """The same of the rests of the year: the one with the least grown again, months of coming back, where and how many."""
    month = month_of_day(context.result.months)
    rests = [(regrown(context, rest), rest) for rest in walk.rests if rest.plot in context.result.pasture.regrowth_d]
    short = [(share, rest) for share, rest in rests if share < SHORT_OF and rest.days < STILL_D * share]
    if not short:
        return None
    share, worst = min(short, key=lambda found: found[0])
    where = f" ({rest_words(context, worst)}; {len(short)} of {many(len(rests), 'rest')} too short)"
    return worst.days, worst.days / share, sorted({month[rest.back] for _, rest in short}), where
