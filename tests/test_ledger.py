"""The ledger: months of the larder year, the incidence matrix, the law of conservation."""

from __future__ import annotations

from itertools import pairwise
from types import SimpleNamespace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from yardland.accounts.law import worst_miss
from yardland.ledger.arcs import Arc, Ledger, incidence
from yardland.ledger.months import larder_months, month_of_day
from yardland.ledger.production import Grazing, HerdNeed, Production
from yardland.reference import load_tables
from yardland.season.flows import year_ledger


@given(st.integers(1900, 2100), st.integers(1, 12))
def test_larder_months_cover_a_year_of_365_days(year: int, month: int) -> None:
    """Twelve months follow one another from the start and hold 365 days, leap year or not."""
    months = larder_months(year, month)

    assert sum(item.days for item in months) == 365
    assert [item.month for item in months] == [(month - 1 + step) % 12 + 1 for step in range(12)]
    assert all(later.first_day == earlier.first_day + earlier.days for earlier, later in pairwise(months))
    assert month_of_day(months)[months[7].first_day] == 7


def test_incidence_has_one_leaving_and_one_arriving_end() -> None:
    """Each column of the incidence matrix holds one -1 and one +1."""
    arcs = (Arc("sky", "crop:a.b", "b", "grow"), Arc("crop:a.b", "people", "b", "eat"))
    matrix = incidence(arcs, ("sky", "crop:a.b", "people"))

    assert matrix.tolist() == [[-1, 0], [1, -1], [0, 1]]


def test_the_law_notices_a_kilogram_that_vanishes() -> None:
    """An account that takes in more than it gives out and holds is named with its miss."""
    arcs = (Arc("sky", "kitchen:x", "x", "gather"), Arc("kitchen:x", "people", "x", "eat"))
    fresh = np.vstack([np.full(12, 2.0), np.full(12, 1.0)])
    nothing = np.zeros((3, 12))
    miss, account = worst_miss(Ledger(arcs, fresh, fresh, ("sky", "kitchen:x", "people"), nothing, nothing))

    assert account == "kitchen:x"
    assert miss > 0.1


def plan_of(arcs: tuple[Arc, ...], fresh: np.ndarray) -> SimpleNamespace:
    """The flows of a plan that holds these and nothing else."""
    nothing = np.zeros((0, 12))
    return SimpleNamespace(arcs=arcs, fresh_kg=fresh, dm_kg=fresh, accounts=(), opening_kg=nothing, closing_kg=nothing)


months12 = st.lists(st.floats(0, 5000), min_size=12, max_size=12).map(np.array)


@given(months12, st.lists(st.floats(0, 1), min_size=12, max_size=12), st.floats(0.3, 1.0), months12, months12)
def test_swards_and_herds_keep_the_law(growth, eaten_share, carry, water, manure) -> None:
    """Whatever grows, is eaten and dropped, nothing appears from nowhere or is lost from the books of sward and herd."""
    tables = load_tables()
    grazing = Grazing("sward:ley", "grazing_grass", growth, carry, ("ewes",))
    fresh_growth = growth / tables.row("goods", "grazing_grass").need("dm_fraction")
    eaten = fresh_growth * np.array(eaten_share)
    herd = HerdNeed(
        "ewes", "ewe", np.ones(12), "me_ruminant", "max_ruminant", np.ones(12), np.ones(12), np.ones(12), 0.4, {},
        manure, manure / 100, water / 1000,
    )  # fmt: skip
    arcs = (Arc("sward:ley", herd.account, "grazing_grass", "graze"),)
    ledger = year_ledger(plan_of(arcs, eaten[None, :]), Production((), (grazing,), (herd,)), tables)

    assert worst_miss(ledger)[0] < 1e-9
    assert ledger.closing_kg.min() >= -1e-6
    assert ledger.fresh_kg.min() >= -1e-6
