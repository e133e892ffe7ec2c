"""The answer in a few lines, for every face: does it feed the household, when not, by how much, and what would mend it.

Words and sums of a `YearResult` only; nothing is computed that the year did not compute.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.findings.cautions import CAUTION
from yardland.larderyear.result import Cause, Finding, YearResult
from yardland.ledger.units import MJ_PER_KCAL
from yardland.report.words import figure, listed, month_runs, nutrient, nutrient_order, percent, plain

GRADES = ("danger", "rule", "short", "tight", "note")
FAILING = frozenset({"danger", "rule", "short"})
"""Grades that make `--strict` exit with 1."""
LEADING = ("energy_kcal", "protein_g")
TIGHT_BELOW = 1.0
OWN_GROUND = 0.005
"""Below this share of the food energy and of the feed bought, a household is said to live from its own ground."""
HUNGRY = 0.01
"""Above this share of their energy need missing in a month, animals are said to lack feed."""


@dataclass(frozen=True)
class MonthMark:
    """A month's state by the lower of its energy and protein coverage: met, tight, short or dire."""

    name: str
    year: int
    share: float
    state: str


@dataclass(frozen=True)
class Answer:
    """`missing_mj` is food energy over the short months; `missing_kg` what the result would have had to bring in.

    `hungry` names the groups of animals that lack feed; `terms` says what the answer rests on.
    """

    feeds: bool
    hungry: tuple[str, ...]
    headline: str
    detail: str
    terms: str
    months: tuple[MonthMark, ...]
    short_nutrients: tuple[tuple[str, str], ...]
    missing_mj: float
    missing_kg: float
    bought_share: float
    levers: tuple[Cause, ...]


def answer(result: YearResult) -> Answer:
    """The answer of a larder year."""
    bought = result.bought_energy_share
    months = _months(result)
    names = tuple(month.name for month in result.months)
    missing_mj = missing_energy_mj(result)
    missing_kg = float(sum(values.sum() for values in result.emergency_kg.values()))
    feeds = not result.short_months
    hungry = hungry_groups(result)
    headline = " ".join([_headline(result, names), *([_hungry_words(hungry)] if hungry else [])])
    return Answer(
        feeds, hungry, headline, _detail(result, names, missing_mj, missing_kg, bought=bought), _terms(result), months,
        _short_nutrients(result, names), missing_mj, missing_kg, bought, tuple(result.causes[:3]),
    )  # fmt: skip


def hungry_groups(result: YearResult) -> tuple[str, ...]:
    """Groups of animals whose need of energy is not met in some month."""
    return tuple(group for group, share in result.feed_short.items() if float(share.max(initial=0.0)) > HUNGRY)


def feed_bought_share(result: YearResult) -> float:
    """Share of the dry matter eaten by the animals that was bought."""
    return result.bought_feed_dm_kg / result.feed_dm_kg if result.feed_dm_kg > 0 else 0.0


def _headline(result: YearResult, names: tuple[str, ...]) -> str:
    where = result.holding.place.name
    food, feed = result.bought_energy_share, feed_bought_share(result)
    if result.short_months:
        short = f"{len(result.short_months)} of 12 months are short ({month_runs(result.short_months, names)})"
        return f"{where} does not feed its household: {'every month is short' if len(result.short_months) == len(names) else short}."
    if food < OWN_GROUND and feed < OWN_GROUND:
        return f"{where} feeds its household in every month from its own ground."
    bought = [f"{percent(food)} of the food energy is bought"] if food >= OWN_GROUND else []
    bought += [f"{percent(feed)} of the animals' feed{'' if bought else ' is bought'}"] if feed >= OWN_GROUND else []
    return f"{where} with what it buys feeds its household in every month; {' and '.join(bought)}."


def _hungry_words(groups: tuple[str, ...]) -> str:
    return f"It does not feed all its animals: {listed([plain(group) for group in groups])} {'lacks' if len(groups) == 1 else 'lack'} feed."


def _terms(result: YearResult) -> str:
    """What is bought, how well the ground is kept, which weather, and how much of it is known beforehand."""
    food = result.bought_energy_share
    bought = [f"{percent(food)} of the food energy" if food >= OWN_GROUND else "no food"]
    if result.feed_dm_kg > 0:
        bought.append(
            f"{figure(result.bought_feed_dm_kg, 2)} of {figure(result.feed_dm_kg, 2)} kg of feed (dry matter)"
        )
    return (
        f"On these terms: {' and '.join(bought)} bought; "
        f"kept as a {result.holding.goal.level} would; the weather of {result.label}, known beforehand; {_hazards(result)}."
    )


def cautions_named(result: YearResult, most: int) -> str:
    """The usual cautions by name, so many of them at most; empty when there is none."""
    names = [one.title[:1].lower() + one.title[1:] for one in cautions(result)]
    more = [f"{len(names) - most} more"] if len(names) > most + 1 else []
    return listed([*(names[:most] if more else names), *more])


def _hazards(result: YearResult) -> str:
    """Whether hail, pests and disease are in the year."""
    if result.hazard_seed is None:
        return "no hail, pest or disease is in this year; --seed N draws them"
    struck = len(result.strikes)
    many = "none struck" if struck == 0 else f"{struck} {'strike' if struck == 1 else 'strikes'}"
    return f"hail, pests and disease drawn with seed {result.hazard_seed}: {many}"


def cautions(result: YearResult) -> tuple[Finding, ...]:
    """The usual cautions that this holding makes apply."""
    return tuple(one for one in result.findings if is_caution(one))


def missing_energy_mj(result: YearResult) -> float:
    """Food energy that is needed and not eaten over the year, MJ."""
    days = np.array([month.days for month in result.months], dtype=float)
    return float((result.need_day["energy_kcal"] * days * result.energy_gap()).sum() * MJ_PER_KCAL)


def by_grade(result: YearResult) -> tuple[tuple[str, tuple[Finding, ...]], ...]:
    """Findings about this holding by grade, worst first, without the usual cautions; empty grades are left out."""
    own = sorted((one for one in result.findings if not is_caution(one)), key=_place)
    found = [(grade, tuple(one for one in own if one.grade == grade)) for grade in GRADES]
    return tuple((grade, ones) for grade, ones in found if ones)


def _place(one: Finding) -> int:
    """Order within a grade: food and fodder that run out, then what this holding does, then its soil, then the diet at large.

    What falls short on the plate leads its own grade: there it is the household that goes without.
    """
    first = one.subject.partition(".")[0]
    if first in {"emergency", "fodder"}:
        return 0
    if first == "soil":
        return 2
    return 3 if first == "coverage" and one.grade not in FAILING else 1


def is_caution(one: Finding) -> bool:
    """Whether a finding is one of the usual cautions, which hold wherever such work is done."""
    return one.subject.startswith(f"{CAUTION}.")


def must_fail(result: YearResult) -> bool:
    """Whether `--strict` refuses this year."""
    return any(one.grade in FAILING for one in result.findings)


def _months(result: YearResult) -> tuple[MonthMark, ...]:
    least = np.min([result.worst_coverage(key) for key in LEADING if key in result.coverage], axis=0)
    marks = []
    for index, month in enumerate(result.months):
        share = float(least[index])
        if index in result.dire_months:
            state = "dire"
        elif index in result.short_months:
            state = "short"
        else:
            state = "tight" if share < TIGHT_BELOW - 1e-6 else "met"
        marks.append(MonthMark(month.name, month.year, share, state))
    return tuple(marks)


def _short_nutrients(result: YearResult, names: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """Nutrients under the household's own threshold: name, and the months with the least share."""
    told = []
    for key in nutrient_order(result.coverage):
        share = result.coverage[key]
        low = tuple(int(index) for index in np.flatnonzero(share < result.holding.goal.short_below - 1e-6))
        if low:
            when = "all year" if len(low) == 12 else month_runs(low, names)
            told.append((nutrient(key), f"{when}, least {percent(float(share.min()))}"))
    return tuple(told)


def _detail(result: YearResult, names: tuple[str, ...], missing_mj: float, missing_kg: float, *, bought: float) -> str:
    if result.short_months:
        need_mj = float(np.mean(result.need_day["energy_kcal"])) * MJ_PER_KCAL
        words = f"What is lacking comes to {figure(missing_mj)} MJ of food, {figure(missing_mj / need_mj, 2)} days of the household's need"
        if missing_kg > 0.05:
            foods = [plain(good) for good, values in result.emergency_kg.items() if float(values.sum()) > 0.05]
            words += f"; made up in the reckoning by {figure(missing_kg)} kg of {listed(foods)} brought in from outside"
        return words + (f". Of the food energy eaten {percent(bought)} is bought." if bought >= OWN_GROUND else ".")
    lead = np.min([result.worst_coverage(key) for key in LEADING if key in result.coverage], axis=0)
    least = int(np.argmin(lead))
    if float(lead[least]) >= TIGHT_BELOW - 1e-6:
        return "Every month meets its need of energy and of protein in full."
    return f"The tightest month is {names[least]}, with {percent(float(lead[least]))} of the energy and protein needed."
