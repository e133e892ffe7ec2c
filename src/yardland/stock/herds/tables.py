"""Per-head tables of a group, stacked over its rows."""

from __future__ import annotations

import numpy as np

from yardland.stock.herds import figures
from yardland.stock.herds import layout as at
from yardland.stock.herds.rows import Workroom
from yardland.stock.kinds import Klass

LONGEST_AGE_W = 1100
"""Ages in weeks beyond that any young stock is kept; the oldest week stands for all later ones."""


def needs_arrays(room: Workroom, row: at.I64, figure: at.F64, lot: at.I64) -> dict[str, at.F64 | at.I64]:
    """Every array of `PlanArrays` that holds figures per head, by its name."""
    count = len(room.rows)
    ends = row[:, [at.KILL_W, at.JOIN_W]].ravel()
    longest = int(ends[ends < at.UNLIMITED].max(initial=1)) + int(lot[:, at.LOT_AGE].max(initial=0)) + 2
    ages = min(longest, LONGEST_AGE_W)
    weeks = figures.week_of_day()
    made: dict[str, at.F64 | at.I64] = {
        "days": np.bincount(weeks).astype(np.float64),
        "month": np.array([int(room.sky.month[min(7 * week + 3, 364)]) for week in range(at.WEEKS)], dtype=np.int64),
        "dies": np.zeros((count, ages)),
        "weight_kg": np.zeros((2 * count, ages)),
        "growing": np.zeros((2 * count, ages, at.NEEDS)),
        "adult": np.zeros((count, at.WEEKS, at.NEEDS)),
        "heat": figures.heat_by_week(room.sky, room.keep),
        "lays_kg": np.zeros((count, at.WEEKS)),
        "lay_age": np.ones((count, at.WEEKS * figures.LAY_YEARS + _adult_ages(row))),
    }
    bearing = _bearing(room, row, figure)
    for index in range(count):
        _row(room, index, row, figure, made)
    return made | bearing


def _adult_ages(row: at.I64) -> int:
    """The latest age in weeks at which females of the group join."""
    return int(row[row[:, at.PART] == at.DAM, at.JOIN_W].max(initial=0))


def _row(room: Workroom, index: int, row: at.I64, figure: at.F64, made: dict[str, at.F64 | at.I64]) -> None:
    """One row's part of the tables by age and by week."""
    label, keep = room.rows[index], room.keep
    klass = room.klass(label.klass)
    ages = made["dies"].shape[1]
    if label.part in {"young", "bought"}:
        curves = (klass, room.klass(label.dam)) if label.part == "young" else (klass, klass)
        for stage, curve in enumerate(curves):
            needs, weight = figures.growing_needs(klass, curve, ages, int(row[index, at.WEAN_W]), keep)
            made["growing"][2 * index + stage], made["weight_kg"][2 * index + stage] = needs, weight
        made["dies"][index] = _deaths(room, index, row, figure, ages)
        return
    made["dies"][index] = figure[index, at.ADULT_DIES]
    made["adult"][index] = figures.adult_needs(klass, room.sky, keep)
    if klass.good("egg") and label.part == "females":
        join = int(row[index, at.JOIN_W])
        made["lays_kg"][index], fewer = figures.laying(klass, join, room.sky, keep)
        made["lay_age"][index, : len(fewer)] = fewer
        made["lay_age"][index, len(fewer) :] = fewer[-1]


def _deaths(room: Workroom, index: int, row: at.I64, figure: at.F64, ages: int) -> at.F64:
    """Chance to die in each week of age of a row of young or bought stock."""
    label = room.rows[index]
    first, weeks = room.odds("first_week_share"), round(room.odds("rearing_weeks"))
    if label.part == "bought":
        klass, start = room.klass(label.klass), int(row[index, at.BUY_W])
        loss, later = klass.figure("mortality_young_fraction"), klass.figure("mortality_adult_per_year")
        weeks = min(weeks, int(row[index, at.KILL_W]) - start)
    else:
        dam, start = room.klass(label.dam), 0
        loss, later = 1.0 - float(figure[index - 1, at.REARED]), dam.figure("mortality_adult_per_year")
        weeks = min(round(dam.figure("weaning_age_d") / 7) or weeks, int(row[index, at.KEEP_W]))
    return figures.death_by_age(loss, first, weeks, later, ages, start)


def _bearing(room: Workroom, row: at.I64, figure: at.F64) -> dict[str, at.F64 | at.I64]:
    """Tables by weeks to birth and since birth, and litters, of every row (zeros where none is borne)."""
    pregnant: dict[int, at.F64] = {}
    milk: dict[int, at.F64] = {}
    litter: dict[int, at.F64] = {}
    for index, label in enumerate(room.rows):
        if label.part != "females" or row[index, at.SITS] != at.LITTER:
            continue
        dam = room.klass(label.klass)
        pregnant[index] = figures.pregnancy_needs(dam, int(row[index, at.TERM_W]))
        milk[index] = _milk(room, dam, row[index + 1], float(figure[index, at.REARED]))
        row[index, at.LACT_W] = len(milk[index])
        # In milk beyond the next service, so that drying off knows who holds.
        known = row[index, at.LACT_W] > at.WEEKS - row[index, at.TERM_W] and row[index, at.SIRE_ROW] != at.NO_SIRE
        row[index, at.GOES_DRY] = int(known and row[index, at.MILKED] and row[index, at.BUYS])
        mean, spread = dam.row.need("litter_or_clutch_size"), room.tables.row("breeding", dam.key).need("litter_sd")
        litter[index] = figures.litter_cumulative(mean, spread)
    return {
        "pregnant": _stacked(pregnant, len(room.rows), 0.0),
        "lactation": _stacked(milk, len(room.rows), 0.0),
        "litter": _stacked({key: part[:, None] for key, part in litter.items()}, len(room.rows), 1.0)[..., 0],
    }


def _milk(room: Workroom, dam: Klass, young: at.I64, reared: float) -> at.F64:
    """Milk of one class of females, [weeks, LACTATION]."""
    born = dam.row.need("litter_or_clutch_size")
    suckling = 7 * min(int(young[at.WEAN_W]), int(young[at.KILL_W]))
    plan = figures.MilkPlan(suckling, room.group.milk_share, born, born * reared)
    return figures.lactation_table(dam, room.klass(dam.young), plan, room.keep)


def _stacked(parts: dict[int, at.F64], count: int, filler: float) -> at.F64:
    """Tables of some rows as one array over all, padded with `filler`."""
    shapes = [part.shape for part in parts.values()] or [(1, max(2, at.LACTATION))]
    out = np.full((count, max(shape[0] for shape in shapes), max(shape[1] for shape in shapes)), filler)
    for index, part in parts.items():
        out[index, : part.shape[0], : part.shape[1]] = part
    return out
