"""What a keeper should know about the herds of many years, as plain data for the findings."""

from __future__ import annotations

import numpy as np

from yardland.reference import Tables
from yardland.stock.herds import layout as at
from yardland.stock.herds.plan import GroupPlan, week_of
from yardland.stock.herds.result import GroupYears
from yardland.stock.herds.shortfall import REASONS, REMEDIES
from yardland.stock.kinds import load_klass
from yardland.stock.notes import StockNote
from yardland.stock.sky import Sky, change_h_month

TOLD_SHARE = 0.05
"""Share of the years' starts off target under which it is a note, of females that meet their father under which nothing."""
COLONIES_REMEDY = "Winter a colony more than you want, split more in spring, or count on buying a nucleus."
EQUATORIAL_H = 1.5
"""Spread of daylength over the year under which seasons of breeding are not told."""


def herd_findings(group: GroupYears, sky: Sky, tables: Tables) -> list[StockNote]:
    """Every finding on one group: of its plan, and of its drawn years."""
    plan = group.plan
    found = _off_target(group)
    for row, label in enumerate(plan.rows):
        if label.part != "females":
            continue
        found += _ratio(plan, row, tables)
        if plan.born:
            found += [
                *_no_sire(plan, row),
                *_first_breeding(plan, row, sky),
                *_kin(group, row),
                *_season(plan, row, sky, tables),
                *_no_eggs(group, row),
            ]
    return found


def drawn_findings(group: GroupYears) -> list[StockNote]:
    """What only drawn years show of a group, and no plan: numbers off target, kin, settings without eggs."""
    found = _off_target(group)
    for row, label in enumerate(group.plan.rows):
        if label.part == "females" and group.plan.born:
            found += [*_kin(group, row), *_no_eggs(group, row)]
    return found


def _subject(plan: GroupPlan, row: int) -> str:
    return f"{plan.name}.{plan.rows[row].klass}"


def percent(share: float) -> str:
    """A share over 0 as percent, whole from 1 on: "9", "0.4"."""
    return f"{100 * share:.0f}" if share >= 0.01 else f"{100 * share:.1g}"


def _off_target(group: GroupYears) -> list[StockNote]:
    """Rows that stand more than a quarter off their target at a year's start, and why."""
    notes = []
    for row, label in enumerate(group.plan.rows):
        why = group.short_reason[row]
        share = float((why > 0).mean())
        if share == 0.0:
            continue
        counts = np.bincount(why[why > 0], minlength=len(REASONS))
        causes = [f"{REASONS[code]} ({100 * counts[code] / counts.sum():.0f} %)" for code in np.argsort(-counts)[:2]]
        target = int(group.plan.arrays.row[row, at.TARGET])
        words = (
            f"At {percent(share)} % of the years' starts the number is more than a quarter off {target}: "
            f"{'; '.join(cause for cause in causes if not cause.endswith('(0 %)'))}."
        )
        key, number = f"stock.{label.klass}.mortality_adult_per_year", f"{percent(share)} % of years"
        remedy = COLONIES_REMEDY if label.part == "colonies" else REMEDIES[int(np.argmax(counts))]
        grade = "tight" if share >= TOLD_SHARE else "note"
        notes.append(StockNote(grade, _subject(group.plan, row), words, number, key, remedy))
    return notes


def _no_sire(plan: GroupPlan, row: int) -> list[StockNote]:
    """Nothing can father the young that are planned."""
    if plan.arrays.row[row, at.SIRE_ROW] != at.NO_SIRE:
        return []
    words = "Young are planned, but no male is kept and none comes: none are born."
    key = f"stock.{plan.rows[row].klass}.gestation_or_incubation_d"
    return [StockNote("short", _subject(plan, row), words, f"{len(plan.born)} dates of birth", key)]


def _ratio(plan: GroupPlan, row: int, tables: Tables) -> list[StockNote]:
    """Females to each male, against what a male can serve."""
    sire = int(plan.arrays.row[row, at.SIRE_ROW])
    able = tables.row("stock", plan.rows[row].klass)["females_per_male"]
    if sire < 0 or able is None:
        return []
    females, males = int(plan.arrays.row[row, at.TARGET]), int(plan.arrays.row[sire, at.TARGET])
    each, key = females / males, f"stock.{plan.rows[row].klass}.females_per_male"
    if each > able:
        words = f"One male serves about {able:g} females; here each has {each:.3g}: the others stay barren."
        return [StockNote("tight", _subject(plan, row), words, f"{each:.3g} to one", key)]
    if males > 1 and each < able / 3.0:
        words = f"More males than the females need: one serves about {able:g}. Spare males eat and fight."
        return [StockNote("note", _subject(plan, row), words, f"{each:.3g} to one", key)]
    return []


def _first_breeding(plan: GroupPlan, row: int, sky: Sky) -> list[StockNote]:
    """Own young that are just too young for the first service wait for the next."""
    numbers, dates = plan.arrays.row[row], plan.arrays.date[plan.arrays.date[:, at.DATE_ROW] == row]
    if numbers[at.SITS] != at.LITTER or not numbers[at.KEEPS]:
        return []
    birth = int(dates[0, at.DATE_BIRTH])
    joins = birth + int(numbers[at.JOIN_W])
    waits = min(int(service - joins) % at.WEEKS for service in dates[:, at.DATE_SERVICE])
    if waits < at.WEEKS // 2:
        return []
    first = int(numbers[at.JOIN_W]) + waits
    words = (
        f"Own young of {sky.date_words(7 * birth)} are {at.WEEKS - waits} weeks short of the age of first breeding when the others "
        f"are served, so they are first served at {first} weeks of age. An earlier birth or a later sire would save the year."
    )
    key = f"stock.{plan.rows[row].klass}.age_first_breeding_d"
    return [StockNote("note", _subject(plan, row), words, f"{7 * first} days", key)]


def _kin(group: GroupYears, row: int) -> list[StockNote]:
    """A male that is kept longer than his daughters take to grow up meets them."""
    services = max(1, int((group.plan.arrays.date[:, at.DATE_ROW] == row).sum()))
    share = float(group.count("kin")[row].sum() / max(1, group.heads_at_start[row, :-1].sum() * services))
    if share < TOLD_SHARE:
        return []
    words = (
        f"{100 * share:.0f} % of the females may be daughters of the male that serves them: he stays longer than they "
        "take to grow up."
    )
    remedy = "Change or swap males before the first daughters are served, or mark and keep them apart."
    key = f"stock.{group.plan.rows[row].klass}.age_first_breeding_d"
    return [StockNote("tight", _subject(group.plan, row), words, f"{100 * share:.0f} % of females", key, remedy)]


def _season(plan: GroupPlan, row: int, sky: Sky, tables: Tables) -> list[StockNote]:
    """Short-day breeders come on heat while the days shorten; long-day birds lay and sit while they lengthen."""
    klass = load_klass(tables, plan.rows[row].klass)
    if klass.kind.breeding == "any" or float(np.ptp(sky.daylength_h)) < EQUATORIAL_H:
        return []
    notes, change, short = [], change_h_month(sky.daylength_h), klass.kind.breeding == "short_day"
    for when in plan.born:
        served = (week_of(sky, when) - int(plan.arrays.row[row, at.TERM_W])) % at.WEEKS
        month = int(sky.month[7 * served])
        shortening = bool(change[month] < 0.0) or (short and bool(sky.daylength_h[month] < 10.5))
        if short == shortening:
            continue
        act, days = ("served", "shorten") if short else ("set to brood", "lengthen")
        day = sky.date_words(7 * served)
        words = (
            f"Young on {when} must be {act} about {day}, out of season: most breeds do so while the days {days}. "
            "Expect few or none unless the breed is known to."
        )
        key = f"stock.{klass.key}.gestation_or_incubation_d"
        notes.append(StockNote("tight", _subject(plan, row), words, day, key))
    return notes


def _no_eggs(group: GroupYears, row: int) -> list[StockNote]:
    """Eggs are to be set when none are laid."""
    numbers = group.plan.arrays.row[row]
    if numbers[at.SITS] == at.LITTER or numbers[at.SIRE_ROW] == at.NO_SIRE or group.count("eggs_set")[row].any():
        return []
    words = "No eggs are laid in the weeks before the setting: none hatch."
    remedy = "Choose a date in their season of laying."
    key = f"breeding.{group.plan.rows[row].klass}.hatching_keep_weeks"
    return [StockNote("tight", _subject(group.plan, row), words, "0 eggs set", key, remedy)]
