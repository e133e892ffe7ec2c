"""Rounding of the solver is put right; anything greater than rounding is left for the law to find."""

from __future__ import annotations

import numpy as np
import pytest

from yardland.larder.rounding import close_accounts, swept
from yardland.ledger.arcs import Arc

GIVE = Arc("herd:flock.hen", "kitchen:egg", "egg", "give")
EAT = Arc("kitchen:egg", "people", "egg", "eat")
TRIM = Arc("kitchen:egg", "soilair", "egg", "trim")
PUT_BY = Arc("kitchen:egg", "store:egg.fridge", "egg", "put_by")
SPOIL = Arc("store:egg.fridge", "soilair", "egg", "spoil")
TAKE = Arc("store:egg.fridge", "kitchen:egg", "egg", "take")
ARCS = (GIVE, EAT, TRIM, PUT_BY, SPOIL, TAKE)
ACCOUNTS = ("kitchen:egg", "store:egg.fridge")


def closed(given: float, eaten: float, put_by: float = 0.0, spoilt: float = 0.0, lying: float = 0.0) -> np.ndarray:
    """The first month's flows after closing; the store is empty before."""
    fresh = np.zeros((len(ARCS), 12))
    fresh[:, 0] = given, eaten, 0.0, put_by, spoilt, 0.0
    closing = np.zeros((2, 12))
    closing[1, 0] = lying
    return close_accounts(ARCS, fresh, ACCOUNTS, np.zeros((2, 12)), closing)[:, 0]


@pytest.mark.parametrize(("given", "eaten"), [(0.0, 6.6e-13), (2.0, 2.0 + 1e-10), (2.0, 2.0 - 1e-10)])
def test_less_than_a_microgram_from_nowhere_goes(given: float, eaten: float) -> None:
    """In and out of a month agree to the last digits, and nothing flows backwards."""
    flows = closed(given, eaten)

    assert flows[0] == given
    assert abs(given - flows[1] - flows[2]) <= 1e-15
    assert flows.min() >= 0.0


def test_a_store_closes_too() -> None:
    """What lies on the shelf and what spoils make up what was put by."""
    flows = closed(2.0, 1.0, put_by=1.0, spoilt=0.1, lying=0.9 - 2e-11)

    assert flows[3] == 1.0
    assert abs(flows[3] - flows[4] - (0.9 - 2e-11)) <= 1e-15


@pytest.mark.parametrize("lost", [1e-6, 0.5, -0.5])
def test_a_fault_of_ours_is_not_smoothed_over(lost: float) -> None:
    """A miss greater than rounding stays as it is."""
    flows = closed(2.0, 2.0 - lost)

    assert flows[1] == 2.0 - lost
    assert flows[2] == 0.0


def test_columns_that_move_no_dust_are_swept_and_shares_of_tons_are_not() -> None:
    """Under zero and under a ten-thousandth of a milligram is nothing; a small share of many tons is something."""
    x = np.array([-4e-12, 4e-12, 4e-12, 2.5])

    assert swept(x, [[(2, 5e6)], [(3, 1.0)]]).tolist() == [0.0, 0.0, 4e-12, 2.5]
