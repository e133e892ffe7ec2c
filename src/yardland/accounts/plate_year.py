"""Days of food in the stores of one larder year: by energy, that plates can take, and what lies beyond them."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS
from yardland.larder.plan import Plan
from yardland.larder.plate_days import ENERGY, beyond_kcal, fare_of, month_most_kg_day, plate_days, served

F64 = npt.NDArray[np.float64]
LEAST_DAYS = 0.5
"""Days' worth of a good beyond the plates, in the month in which it is most, under which it is left out (our band)."""


@dataclass(frozen=True)
class PlateYear:
    """Stores at each month's end, in the need and on the plates of the month after.

    days : that plates can take, [12] (larder.plate_days) ; empty where no year was reckoned
    beyond_days : good -> days' worth of it, by energy, that lies beyond the plates of these days, [12], the most first
    reserve_lacks_kcal : what plates lack of the reserve's days, [12]
    """

    days: F64 = field(default_factory=lambda: np.zeros(0))
    beyond_days: dict[str, F64] = field(default_factory=dict)
    reserve_lacks_kcal: F64 = field(default_factory=lambda: np.zeros(0))


def plate_year(plan: Plan, reserve_days: float) -> PlateYear:
    """Look at the stores of a plan.

    Args:
        plan: the larder year as decided.
        reserve_days: that the household wants in hand.
    """
    larder = plan.larder
    ways = {keeping.account: keeping.gives for keeping in larder.keepings}
    fare = fare_of(larder, ways.values())
    place = {good: at for at, good in enumerate(fare.goods)}
    kg = np.zeros((MONTHS, len(fare.goods)))
    for row, name in enumerate(plan.accounts):
        if (at := place.get(ways.get(name, ""))) is not None:
            kg[:, at] += np.maximum(plan.closing_kg[row], 0.0)
    month_days = np.array([month.days for month in larder.months], dtype=np.float64)
    need = np.roll(np.asarray(larder.need[ENERGY]) / month_days, -1)
    most = np.roll(month_most_kg_day(fare, month_days), -1, axis=0)
    kcal = fare.kcal_per_kg.T
    days = plate_days(fare, kg, kcal, most, need)
    a_day = np.where(need > 0.0, need, 1.0)
    beyond = (beyond_kcal(fare, kg, kcal, most, days) / a_day[:, None]).T
    told = [at for at in np.argsort(-beyond.max(axis=1), kind="stable") if beyond[at].max() >= LEAST_DAYS]
    wanted = np.full(MONTHS, reserve_days)
    return PlateYear(
        days=days,
        beyond_days={fare.goods[at]: beyond[at] for at in told},
        reserve_lacks_kcal=np.maximum(need * reserve_days - served(fare, kg, kcal, most, wanted).kcal, 0.0),
    )
