"""Days of food with which counted years begin: by energy, and as many as plates can take."""

from __future__ import annotations

import numpy as np

from yardland.larder.plate_days import ENERGY, month_most_kg_day, plate_days
from yardland.larderyears.frame import store_days
from yardland.larderyears.run import Years


def opening_days(run: Years) -> tuple[float, float]:
    """Food in store as the counted years begin, in days of the first month's need: of today, or the middle of the chains.

    Returns:
        Days by energy, and days that plates can take.
    """
    if run.asked.burn_in == 0:
        household = run.prepared.policy.household
        first = None if household is None else float(household.need[0, ENERGY, 0])
        return store_days(run.prepared.frame, run.prepared.opening_kg, first), todays_plate_days(run)
    last = run.asked.burn_in - 1
    plain = np.median([chain.stock_days[last, -1] for chain in run.chains])
    return float(plain), float(np.median([chain.plate_days[last, -1] for chain in run.chains]))


def todays_plate_days(run: Years) -> float:
    """Days that plates can take of what lies there today, on the plates and in the need of the first month."""
    frame, household = run.prepared.frame, run.prepared.policy.household
    months = np.array([month.days for month in frame.larder.months], dtype=np.float64)
    gives = {(one.good, one.method): one.gives for one in frame.larder.keepings}
    place = {good: at for at, good in enumerate(frame.fare.goods)}
    kg = np.zeros((1, len(place)))
    for one, amount in zip(frame.lying, run.prepared.opening_kg.tolist(), strict=True):
        if (at := place.get(gives[one.good, one.method])) is not None:
            kg[0, at] += amount
    most, need = month_most_kg_day(frame.fare, months)[:1], frame.larder.need[ENERGY, :1] / months[0]
    if household is not None:
        most, need = household.most_kg[0, :, 0][None] / months[0], household.need[0, ENERGY, :1] / months[0]
    return float(plate_days(frame.fare, kg, frame.fare.kcal_per_kg[:, 0][None], most, need)[0])
