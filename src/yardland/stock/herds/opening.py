"""The stock that stands on the first day: the heads of the plan at even ages, with what a steady year has made of them.

The same in every chain, since today's stock is known: nothing is drawn. Females that were served in the months before
are in young in the mean share, the young of the last births stand at their age less the mean losses, and young females
that hold the number wait to join.
"""

from __future__ import annotations

import math

import numpy as np

from yardland.stock.herds import layout as at
from yardland.stock.herds.layout import PlanArrays

ROUND = 0.5 + 1e-9


def opening_cohorts(plan: PlanArrays, heads: list[int]) -> tuple[at.I64, at.I64]:
    """Cohorts of the first day, int64 [cohorts, FIELDS], and eggs that lie under birds for each date, int64 [dates].

    Args:
        plan: everything but the opening.
        heads: today's, by row (0 for young).
    """
    cohorts: list[list[int]] = []
    fill = {at.DAM: _females, at.SIRE: _males, at.LOT: _bought, at.COLONY: _colonies, at.YOUNG: _none}
    for row in range(len(plan.row)):
        cohorts += fill[int(plan.row[row, at.PART])](plan, row, heads[row])
    nest = [_eggs_lying(plan, date, heads) for date in range(len(plan.date))]
    kept = [cohort for cohort in cohorts if cohort[at.HEADS]]
    return np.array(kept, dtype=np.int64).reshape(-1, at.FIELDS), np.array(nest, dtype=np.int64)


def _none(_plan: PlanArrays, _row: int, _heads: int) -> list[list[int]]:
    return []


def _cohort(row: int, sex: int, stage: int, birth: int, heads: int) -> list[int]:
    return [row, sex, stage, birth, heads, at.NEVER, at.NEVER, 0, 1]


def _half_up(value: float) -> int:
    return int(value + ROUND)


def _ages(row: at.I64, born_week: int, heads: int) -> list[int]:
    """Ages in weeks of adults, the oldest first: the yearly ages that stay, in even numbers."""
    first, since_turn = _first_age(row, born_week), (-int(row[at.TURN_W])) % at.WEEKS or at.WEEKS
    years = max(1, (int(row[at.CULL_W]) + since_turn - 1 - first) // at.WEEKS + 1)
    return [first + at.WEEKS * int((index + 0.5) * years / heads) for index in reversed(range(heads))]


def _first_age(row: at.I64, born_week: int) -> int:
    """Age of the youngest adults on the first day: birds join by age, mammals at the last change of adults."""
    join = int(row[at.JOIN_W])
    if row[at.PART] != at.DAM or row[at.SITS] != at.LITTER:
        return join + (-born_week - join) % at.WEEKS
    least = join - at.SERVE_AFTER_TURN_W
    since_turn = (-int(row[at.TURN_W])) % at.WEEKS or at.WEEKS
    return least + (int(row[at.TURN_W]) - born_week - least) % at.WEEKS + since_turn


def _females(plan: PlanArrays, row: int, heads: int) -> list[list[int]]:
    """Adult females with what they carry and suckle, and their young."""
    own = plan.date[plan.date[:, at.DATE_ROW] == row]
    numbers = plan.row[row]
    bought_week = int(numbers[at.TURN_W] - numbers[at.BUY_W]) % at.WEEKS
    born_week = int(own[0, at.DATE_BIRTH]) if len(own) and numbers[at.KEEPS] else bought_week
    cohorts = [_cohort(row, at.FEMALE, at.ADULT, -age, 1) for age in _ages(numbers, born_week, heads)]
    for cohort in cohorts:
        cohort[at.OWN] = int(numbers[at.KEEPS])
    if numbers[at.SIRE_ROW] == at.NO_SIRE:
        return _merged(cohorts)
    turn = 0
    for index, date in enumerate(own):
        bearing = heads
        if numbers[at.SITS] == at.LITTER:
            served = int(date[at.DATE_QUOTA]) or heads
            bearing = _half_up(served * plan.figure[row, at.BEARS])
            _carry(plan, date, [cohorts[(turn + step) % heads] for step in range(bearing)])
            turn += served if date[at.DATE_QUOTA] else 0
        cohorts += _young(plan, row, date, bearing, (index, len(own)))
    return _merged(cohorts)


def _carry(plan: PlanArrays, date: at.I64, bearing: list[list[int]]) -> None:
    """Those that bear on a date: in young if they were served before the first day, in milk if they bore lately."""
    row, birth = int(date[at.DATE_ROW]), int(date[at.DATE_BIRTH])
    for cohort in bearing:
        if birth < plan.row[row, at.TERM_W] and cohort[at.DUE] == at.NEVER:
            cohort[at.DUE] = birth
        if at.WEEKS - birth < plan.row[row, at.LACT_W]:
            cohort[at.SINCE] = max(cohort[at.SINCE], birth - at.WEEKS)


def _young(plan: PlanArrays, dam: int, date: at.I64, bearing: int, part: tuple[int, int]) -> list[list[int]]:
    """Young of the births of a date in earlier years that still stand."""
    numbers = plan.row[dam]
    row = int(numbers[at.YOUNG_ROW])
    kill, keep = (int(plan.row[row, field]) for field in (at.KILL_W, at.KEEP_W))
    join = _first_age(numbers, int(date[at.DATE_BIRTH]))
    cohorts: list[list[int]] = []
    age = at.WEEKS - int(date[at.DATE_BIRTH])
    while age < max(kill, join if numbers[at.KEEPS] else kill):
        alive = _mean_born(plan, dam, date, bearing) * float(np.prod(1.0 - plan.dies[row, :age]))
        females = _half_up(alive * plan.odds[at.FEMALE_SHARE])
        males = max(0, _half_up(alive) - females)
        kept = min(females, _wanted(plan, dam, date, part)) if age >= keep and numbers[at.KEEPS] else 0
        if age < join:
            cohorts.append(_cohort(row, at.FEMALE, at.KEPT, -age, kept))
        if age < kill:
            cohorts.append(_cohort(row, at.FEMALE, at.GROWING, -age, females - kept))
            cohorts.append(_cohort(row, at.MALE, at.GROWING, -age, males))
        age += at.WEEKS
    return cohorts


def _mean_born(plan: PlanArrays, dam: int, date: at.I64, bearing: int) -> float:
    """Young born on a date in the mean."""
    if plan.row[dam, at.SITS] == at.LITTER:
        return bearing * float((1.0 - plan.litter[dam]).sum())
    return _eggs(plan, date, bearing) * float(plan.figure[dam, at.HATCH])


def _wanted(plan: PlanArrays, dam: int, date: at.I64, part: tuple[int, int]) -> int:
    """Young females kept of one of the year's dates."""
    if plan.row[dam, at.KEEP_BORN_W] >= 0:
        return _half_up(plan.figure[dam, at.RENEWED]) if date[at.DATE_BIRTH] == plan.row[dam, at.KEEP_BORN_W] else 0
    fixed = int(plan.row[dam, at.KEEP_YOUNG])
    yearly = float(fixed) if fixed >= 0 else float(plan.figure[dam, at.RENEWED])
    index, dates = part
    return _half_up(yearly * (index + 1) / dates) - _half_up(yearly * index / dates)


def _eggs(plan: PlanArrays, date: at.I64, heads: int) -> int:
    """Eggs that are set on a date by a flock of so many females."""
    figure = plan.figure[int(date[at.DATE_ROW])]
    each = float(figure[at.SET_EACH])
    if plan.row[int(date[at.DATE_ROW]), at.SITS] == at.ALL_SIT:
        return int(heads * each)
    return int(sitters(int(date[at.DATE_QUOTA]), heads, plan.row[int(date[at.DATE_ROW])], figure) * each)


def sitters(keep: int, heads: int, row: at.I64, figure: at.F64) -> int:
    """Sittings that give the young females to keep, one at least; under broodies as many as the flock spares."""
    each = float(figure[at.SET_EACH] * figure[at.HATCH] * figure[at.REARED])
    wanted = max(1, math.ceil((2.0 * keep + 1.0) / each)) if each > 0.0 else 1
    return wanted if row[at.INCUBATOR] else min(wanted, max(1, int(heads * figure[at.SIT_SHARE] + 1e-9)))


def _eggs_lying(plan: PlanArrays, index: int, heads: list[int]) -> int:
    """Eggs under birds on the first day for a date of hatching."""
    date = plan.date[index]
    row = int(date[at.DATE_ROW])
    sits = plan.row[row, at.SITS] != at.LITTER and plan.row[row, at.SIRE_ROW] != at.NO_SIRE
    return _eggs(plan, date, heads[row]) if sits and date[at.DATE_SERVICE] > date[at.DATE_BIRTH] else 0


def _males(plan: PlanArrays, row: int, heads: int) -> list[list[int]]:
    """Adult males, bought when grown."""
    numbers = plan.row[row]
    bought_week = int(numbers[at.TURN_W] - numbers[at.BUY_W]) % at.WEEKS
    cohorts = []
    for age in _ages(numbers, bought_week, heads):
        cohort = _cohort(row, at.MALE, at.ADULT, -age, 1)
        cohort[at.SINCE], cohort[at.OWN] = -(age - int(numbers[at.BUY_W])), 0
        cohorts.append(cohort)
    return _merged(cohorts)


def _bought(plan: PlanArrays, row: int, _heads: int) -> list[list[int]]:
    """The last lots, where they are not yet killed."""
    cohorts = []
    for lot in plan.lot[plan.lot[:, at.LOT_ROW] == row]:
        start, age = int(lot[at.LOT_AGE]), int(lot[at.LOT_AGE]) + at.WEEKS - int(lot[at.LOT_WEEK])
        while age < plan.row[row, at.KILL_W]:
            alive = int(lot[at.LOT_HEADS]) * float(np.prod(1.0 - plan.dies[row, start:age]))
            cohort = _cohort(row, at.FEMALE, at.GROWING, -age, _half_up(alive))
            cohort[at.OWN] = 0
            cohorts.append(cohort)
            age += at.WEEKS
    return cohorts


def _colonies(_plan: PlanArrays, row: int, heads: int) -> list[list[int]]:
    return [_cohort(row, at.FEMALE, at.ADULT, 0, heads)]


def _merged(cohorts: list[list[int]]) -> list[list[int]]:
    """Equal heads as one cohort, in the order of their first."""
    found: dict[tuple[int, ...], list[int]] = {}
    for cohort in cohorts:
        key = tuple(value for field, value in enumerate(cohort) if field != at.HEADS)
        if key in found:
            found[key][at.HEADS] += cohort[at.HEADS]
        else:
            found[key] = cohort
    return list(found.values())
