"""Training years: every year of the rotation is among them, and they have the climate that is asked for."""

from __future__ import annotations

import numpy as np
import pytest
from typer.testing import CliRunner

import yardland
from yardland.cli.main import app
from yardland.larderyears.chains import Ground, ground
from yardland.larderyears.prepare import (
    LEARNED_YEARS,
    TRAINING_CHAINS,
    TRAINING_YEARS,
    grown_in_training,
    lessons_of,
    normals,
    training_turns,
    trials,
)
from yardland.larderyears.sides import Brought
from yardland.reference import load_tables

ARGS = ["--name", "Brook", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40", "--area", "0.2 ha"]
WARMER_C = 3.0


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Ground:
    """What all chains of the plan for two people on 0.2 ha share."""
    place = tmp_path_factory.mktemp("training") / "brook"
    assert CliRunner().invoke(app, ["new", str(place), *ARGS]).exit_code == 0
    holding = yardland.load(place)
    return ground(holding, load_tables(own=holding.own))


def brings(rotation_years: int) -> Brought:
    """Training years of one good, of which 100 kg come for each year of the rotation that has gone by, and one more."""
    turn = training_turns(rotation_years)
    kg = np.broadcast_to(100.0 * (1.0 + turn)[:, None, None], (len(turn), 1, 12))
    none = np.zeros((len(turn), 0, 12))
    return Brought(kg, 0.0 * kg, none, np.zeros((len(turn), 2, 12)), np.zeros((len(turn), 0, 4, 12)), none, none)


@pytest.mark.parametrize("rotation_years", [1, 3, 4, 6, 8, 12])
def test_every_year_of_the_rotation_has_its_own_normal(rotation_years: int) -> None:
    """However long the rotation, the normal of a year is the mean of the training years with the same crops, times the hedge."""
    normal = normals([brings(rotation_years)], rotation_years, 0, 0.9)

    assert normal.arriving_kg[:, 0, 0] == pytest.approx(90.0 * np.arange(1, rotation_years + 1))


@pytest.mark.parametrize("rotation_years", [1, 3, 4, 6, 8, 12])
def test_what_is_walked_in_training_goes_by_the_normal_of_its_own_year(rotation_years: int) -> None:
    """Years that are walked begin with the turn of the rotation that their normal is told of; lessons see the whole rotation."""
    years = brings(rotation_years)
    lessons = lessons_of([years], np.ones(1), None, rotation_years)
    walked = [(one.first_turn, one.years) for one in [*trials([years], None, rotation_years), *lessons]]
    seen = {int(kg) for one in lessons for kg in one.years.arriving_kg[:, 0, 0]}

    for first, some in walked:
        assert some.arriving_kg[0, 0, 0] == 100.0 * (1 + first)
    assert len(seen) == rotation_years
    assert all(len(one.years) == LEARNED_YEARS for one in lessons)


@pytest.mark.parametrize("rotation_years", [1, 3, 4, 6, 12])
def test_a_year_with_trees_of_its_own_is_walked_with_the_crops_of_its_normal(rotation_years: int) -> None:
    """Where trees grow older along a chain, what is walked in training for a year of it has that year's turn of the rotation."""
    phases = [brings(rotation_years)] * 12
    walked = [*trials(phases, np.ones(1), rotation_years), *lessons_of(phases, np.ones(1), np.ones(1), rotation_years)]

    for one in walked:
        turns = (one.first_turn + np.arange(len(one.years))) % rotation_years
        assert one.years.arriving_kg[:, 0, 0] == pytest.approx(100.0 * (1 + turns))


def test_training_years_are_as_warm_as_those_that_count(plain: Ground) -> None:
    """What is added to every day is added to the years from which the normal is known."""
    cool, warm = (grown_in_training(plain, 1, warmer_c) for warmer_c in (0.0, WARMER_C))
    airs = [[one.air_c for chain in grown.raw for one in chain] for (grown,) in (cool, warm)]

    assert len(airs[0]) == TRAINING_CHAINS * TRAINING_YEARS
    assert np.array(airs[1]) == pytest.approx(np.array(airs[0]) + WARMER_C)
