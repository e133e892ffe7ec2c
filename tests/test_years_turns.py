"""Settled chains begin with each year of the rotation in turn: however short they are, every year of it counts alike."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from typer.testing import CliRunner

import yardland
from yardland.cli.main import app
from yardland.larderyears.asked import BURN_IN, Asked
from yardland.larderyears.chains import Ground, ground, grow_chains, turn_of
from yardland.larderyears.prepare import TRAINING_CHAINS, TRAINING_NUMBERS, training_turns, training_years
from yardland.larderyears.run import run_years
from yardland.larderyears.sides import Brought
from yardland.larderyears.start import started_as
from yardland.larderyears.walk import Walked
from yardland.larderyears.window_walk import WindowWalker
from yardland.ledger.production import Production
from yardland.reference import load_tables

ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40,f7", "--area", "0.6 ha"]
ROTATION = 3
MOVES = ("potato", "oats", "spring_wheat")
"""Crops that go from plot to plot, a year in each."""


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Ground:
    """What all chains of a plan with a rotation of three years share."""
    place = tmp_path_factory.mktemp("turns") / "brook"
    assert CliRunner().invoke(app, ["new", str(place), *ARGS]).exit_code == 0
    holding = yardland.load(place)
    return ground(holding, load_tables(own=holding.own))


def stood(production: Production) -> frozenset[str]:
    """Where crops that go from plot to plot were gathered."""
    return frozenset(
        item.account
        for item in production.gathered
        if any(crop in item.account for crop in MOVES) and item.fresh_kg.any()
    )


@pytest.mark.parametrize("rotation_years", [1, 2, 3, 4, 6])
@pytest.mark.parametrize("chain_years", [1, 2, 5, 10])
def test_as_many_chains_as_the_rotation_has_years_count_each_alike(rotation_years: int, chain_years: int) -> None:
    """Of any so many chains one behind the other, each year of the rotation is among the counted ones once a counted year."""
    for first in (0, 1, 5):
        counted = Counter(
            turn_of(chain, BURN_IN + year, rotation_years)
            for chain in range(first, first + rotation_years)
            for year in range(chain_years)
        )

        assert counted == dict.fromkeys(range(rotation_years), chain_years)


def test_what_grows_in_a_year_is_what_its_turn_has(shared: Ground) -> None:
    """Over three chains of one counted year each of the three layouts counts once; a chain alone has its own, to the bit."""
    assert shared.rotation_years == ROTATION
    length = BURN_IN + 2
    chains = grow_chains(shared, 5, range(ROTATION), length).productions
    counted = [stood(chain[BURN_IN]) for chain in chains]
    alone = grow_chains(shared, 5, [2], length)

    assert all(len(one) >= len(MOVES) for one in counted)
    assert len(set(counted)) == ROTATION
    for number, chain in enumerate(chains):
        assert [stood(year) for year in chain] == [
            counted[(number + year - BURN_IN) % ROTATION] for year in range(length)
        ]
    for one, other in zip(chains[2], alone.productions[0], strict=True):
        assert [item.account for item in one.gathered] == [item.account for item in other.gathered]
        assert all(np.array_equal(a.fresh_kg, b.fresh_kg) for a, b in zip(one.gathered, other.gathered, strict=True))


def test_what_struck_is_told_in_the_same_order_in_any_company(shared: Ground) -> None:
    """Hazards of a chain that begins with another turn than the first are told alike alone and beside others."""
    both = grow_chains(shared, 5, [0, 1], 6).struck
    alone = grow_chains(shared, 5, [1], 6).struck

    assert len(alone) > 2
    assert [one for one in both if one.chain == 1] == list(alone)


def test_a_start_as_it_stands_begins_with_the_plans_own_year(shared: Ground) -> None:
    """Who asks how the first winters go gets the first year of the rotation first in every chain; training has all turns."""
    stands = ground(started_as(shared.holding, "it stands"), shared.tables)

    assert [stands.first_turn(chain) for chain in range(5)] == [0] * 5
    assert [shared.first_turn(chain) for chain in range(5)] == [0, 1, 2, 0, 1]
    assert [stands.first_turn(chain) for chain in TRAINING_NUMBERS] == [2, 1, 0, 2]


@pytest.mark.parametrize("rotation_years", [1, 3, 4, 5, 6])
def test_training_has_every_year_of_the_rotation_about_as_often(rotation_years: int) -> None:
    """No normal is the mean of more than one training year less than that of another year of the rotation."""
    turns = training_turns(rotation_years)
    often = Counter(turns.tolist())

    assert len(turns) == TRAINING_CHAINS * training_years(rotation_years)
    assert sorted(often) == list(range(rotation_years))
    assert max(often.values()) - min(often.values()) <= 1


def test_each_chain_is_walked_by_the_normal_of_its_own_years(shared: Ground, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a run of three chains of one year the policy counts on the crops that stand in each chain's years."""
    walked: list[int] = []
    plain = WindowWalker.walk

    def noted(self: WindowWalker, years: Brought, opening_kg: np.ndarray, first_turn: int = 0) -> Walked:
        if len(years) == BURN_IN + 2:
            walked.append(first_turn)
        return plain(self, years, opening_kg, first_turn)

    monkeypatch.setattr(WindowWalker, "walk", noted)
    run = run_years(shared.holding, shared.tables, Asked(count=ROTATION, chain_years=1, quick=True))

    assert [one.chain for one in run.chains] == list(range(ROTATION))
    assert walked[:ROTATION] == list(range(ROTATION))
