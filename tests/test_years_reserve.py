"""The reserve's rows count what plates can take: against days on plates, and a case worked by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from larder_kit import MONTHS, food, keeping, larder, months
from reserve_kit import reserve_counts

from yardland.larder.description import Plate
from yardland.larder.plate_days import fare_of, month_most_kg_day, served
from yardland.larderyears.frame import Frame, make_frame
from yardland.larderyears.household import limits_by_year
from yardland.larderyears.reserve import bounds_of

NEED, DAYS = 2000.0, 45.0
MONTH_DAYS = np.array([month.days for month in MONTHS], dtype=np.float64)
GROUPS = {"potato": "root", "swede": "root", "wheat": "grain", "honey": "sweet"}
KCAL = {"potato": 800.0, "swede": 400.0, "wheat": 3000.0, "honey": 3000.0}
A_DAY = {"potato": 0.5, "swede": 0.3, "honey": 0.04}
ROOTS_A_DAY = 0.6


@pytest.fixture(scope="module")
def frame() -> Frame:
    """Wheat without a plate, honey, potatoes and swedes with theirs and one for roots; a shelf for each."""
    goods = [food(key, kcal, group=GROUPS[key], food=key) for key, kcal in KCAL.items()]
    plates = [Plate(key, (key,), (1.0,), kg * MONTH_DAYS) for key, kg in A_DAY.items()]
    plates.append(Plate("root_group", ("potato", "swede"), (1.0, 1.0), ROOTS_A_DAY * MONTH_DAYS, food=False))
    harvest = {key: months(aug=100.0, sep=100.0, oct=100.0) for key in KCAL}
    ways = tuple(keeping(key) for key in KCAL)
    return make_frame(larder(goods, harvest, NEED * MONTH_DAYS, keepings=ways, plates=tuple(plates)), DAYS)


def on_shelf(frame: Frame, month: int, kg: dict[str, float]) -> dict[int, float]:
    """A column of each good with all of it, so that these kilograms lie there at the month's end."""
    found = {}
    for good, amount in kg.items():
        at = np.flatnonzero(frame.shelved.row == month * len(frame.fare.goods) + frame.fare.goods.index(good))[0]
        found[int(frame.shelved.column[at])] = amount / float(frame.shelved.value[at])
    return found


def count(frame: Frame, kg: dict[str, float], month: int = 9) -> float:
    """What the reserve of a month counts of these kilograms."""
    row = frame.row_names.index(f"reserve.{MONTHS[month].name}")
    return reserve_counts(frame, row, on_shelf(frame, month, kg))


def test_a_reserve_by_hand(frame: Frame) -> None:
    """Of 500 kg each in 45 days: honey 1.8 kg; roots 27 kg, of which 22.5 of potatoes; wheat 10 kg whole: 57,000 of 90,000 kcal."""
    kcal = 1.8 * 3000.0 + 22.5 * 800.0 + 4.5 * 400.0 + 10.0 * 3000.0

    assert count(frame, {"honey": 500.0, "potato": 500.0, "swede": 500.0, "wheat": 10.0}) == pytest.approx(
        kcal / (NEED * DAYS)
    )
    assert count(frame, {"swede": 500.0}) == pytest.approx(13.5 * 400.0 / (NEED * DAYS))
    assert count(frame, {"wheat": 90.0}) == pytest.approx(3.0)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0.0, 60.0), min_size=4, max_size=4))
def test_no_less_counts_than_plates_take_and_no_more_than_lies_there(frame: Frame, amounts: list[float]) -> None:
    """Between what the plates of 45 days take and all the energy; as much as they take where the poorest is what is left."""
    kg = dict(zip(KCAL, amounts, strict=True))
    there = np.array([[kg[good] for good in frame.fare.goods]])
    most = month_most_kg_day(frame.fare, MONTH_DAYS)[9:10]
    taken = served(frame.fare, there, frame.fare.kcal_per_kg[:, 9][None], most, np.array([DAYS]))
    counted = count(frame, kg) * NEED * DAYS
    left = max(min(kg["potato"], 22.5) + min(kg["swede"], 13.5) - 27.0, 0.0)

    assert counted >= taken.kcal[0] * (1.0 - 1e-7) - 1e-3
    assert counted <= sum(KCAL[good] * amount for good, amount in kg.items()) * (1.0 + 1e-7) + 1e-3
    if left <= min(kg["swede"], 13.5):
        assert counted == pytest.approx(taken.kcal[0], rel=1e-6, abs=1e-2)


def test_what_cannot_bind_has_no_rows(frame: Frame) -> None:
    """A plate that gives the whole reserve, one as wide as what holds it, and a group that its foods bound have no rows."""
    wide = replace(
        frame.larder,
        plates=tuple(
            replace(plate, ceiling_kg=plate.ceiling_kg * {"root_group": 1.5, "potato": 9.0}.get(plate.key, 1.0))
            for plate in frame.larder.plates
        ),
    )
    fare = fare_of(wide, KCAL)

    def kept(of: object, days: float) -> set[str]:
        found = bounds_of(of, 9, days / MONTH_DAYS[9], NEED * days)  # type: ignore[arg-type]
        return {of.limits[one.at].key for one in found}  # type: ignore[attr-defined]

    assert kept(frame.fare, DAYS) == {"honey", "potato", "swede", "root_group"}
    assert kept(fare, DAYS) == {"honey", "swede", "root_group"}
    loose = replace(wide, plates=tuple(replace(one, ceiling_kg=one.ceiling_kg * 20.0) for one in wide.plates))
    assert "root_group" not in kept(fare_of(loose, KCAL), DAYS)


def test_limits_follow_the_plates_of_each_year(frame: Frame) -> None:
    """A year with half the plates has half the limits, in the order of the frame's own."""
    ceiling = {
        (plate.key, plate.diet): np.array([plate.ceiling_kg, 0.5 * plate.ceiling_kg]) for plate in frame.larder.plates
    }
    most = limits_by_year(frame, ceiling, 2)

    assert most[0] == pytest.approx(np.array([limit.most_kg for limit in frame.fare.limits]))
    assert most[1] == pytest.approx(0.5 * most[0])
