"""Tables of the stores' year for the report: warmth of the places, days of food, what putting by took."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from yardland.larderyear.result import YearResult
from yardland.report.drawing import Table
from yardland.report.words import cell, plain


def whole(days: npt.NDArray[np.float64]) -> Iterator[str]:
    """Whole days, for cells; a part of a day is none."""
    return (f"{int(day)}" for day in days)


def warmth_table(result: YearResult) -> Table:
    """Mean temperature of each kind of place, C, and the days of food in all stores, month by month."""
    months = tuple(month.name for month in result.months)
    rows = [
        (f"{plain(place)}, C", *(f"{value:.0f}" for value in degrees))
        for place, degrees in result.kept.places_c.items()
    ]
    if len(result.kept.food_days):
        rows.append(("days of food at the month's end", *whole(result.kept.food_days)))
        rows.append(("of these, days that plates can take", *whole(result.kept.plates.days)))
    return Table(("Month", *months), tuple(rows))


def preserving_table(result: YearResult) -> Table:
    """What putting by took, with the year's sum first; what was not needed is left out."""
    took = result.kept.preserving
    months = tuple(month.name for month in result.months)
    lines = {f"{plain(method)}, kg put in": kg for method, kg in took.put_in_kg.items()} | {
        "hours": took.hours,
        "salt, kg": took.salt_kg,
        "sugar, kg": took.sugar_kg,
        "vinegar, l": took.vinegar_l,
        "jars of a litre": took.jars,
        "heat and current, MJ": took.fuel_mj,
        "expected to thaw, kg": result.kept.thawed_kg,
    }
    rows = [
        (words, cell(float(values.sum())), *(cell(float(value)) for value in values))
        for words, values in lines.items()
        if values.any()
    ]
    return Table(("Putting by", "Year", *months), tuple(rows))
