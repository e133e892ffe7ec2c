"""Looking back on a run: foresight on the same years, tenths of years by weather."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

import yardland
from yardland.cli.main import app
from yardland.larderyears.asked import Asked
from yardland.larderyears.bound import SLACK
from yardland.larderyears.foreseen import MOST_SOLVED, came_to, foreseen, programs
from yardland.larderyears.hindsight import Hindsight
from yardland.larderyears.hindsight_json import hindsight_json
from yardland.larderyears.run import Years, run_years, short_years
from yardland.larderyears.tenths import tenths, year_weather
from yardland.larderyears.walk import Walker
from yardland.reference import load_tables
from yardland.report.hindsight_lines import hindsight_words

ARGS = ["--name", "Rill", "--place", "54.4,-2.9", "--country", "GB", "--people", "f38,m40,f7", "--area", "0.6 ha"]


@pytest.fixture(scope="session")
def hungry(tmp_path_factory: pytest.TempPathFactory) -> Years:
    """Twelve years, in chains of two, of three people on too little ground."""
    place = tmp_path_factory.mktemp("hindsight") / "rill"
    assert CliRunner().invoke(app, ["new", str(place), *ARGS]).exit_code == 0
    holding = yardland.load(Path(place))
    return run_years(holding, load_tables(own=holding.own), Asked(count=12, chain_years=2, quick=True))


def test_foresight_is_short_of_no_more_on_the_same_years(hungry: Years) -> None:
    """Of the first chains, no more than are solved, foresight lacks less than the policy, and both are told for the same years."""
    seen = foreseen(hungry)
    own = hungry.stacked("shortfall")[: seen.chains].sum()

    assert seen.chains == programs(hungry) == MOST_SOLVED
    assert seen.policy.trials == seen.reliability.trials == 2 * MOST_SOLVED
    assert seen.policy_shortfall * 2 * MOST_SOLVED == pytest.approx(own)
    assert 0.0 < seen.shortfall <= seen.policy_shortfall + SLACK


def test_what_a_chain_brought_is_found_again(hungry: Years) -> None:
    """Grown again, less what hunger of stock cost by what was told of it, a chain's years bring what they did, to the bit."""
    shared = hungry.prepared
    one = hungry.chains[1]
    came = came_to(hungry, one)
    again = Walker(shared.policy).walk(
        came_to(hungry, replace(one, feed_short=0.0 * one.feed_short)), shared.opening_kg
    )

    assert one.feed_short.max() > 0.0
    assert np.array_equal(came.arriving_kg, again.came.arriving_kg)
    assert np.array_equal(came.spared_kg, again.came.spared_kg)
    assert np.array_equal(one.opening_kg, again.opening_kg)


def test_the_driest_tenth_is_the_driest(hungry: Years) -> None:
    """A tenth of twelve years is one; no other counted year has less rain, nor is any warmer than the warmest."""
    found = {one.name: one for one in tenths(hungry)}
    rain_mm, mean_c = year_weather(hungry)
    short = short_years(hungry.prepared.ground.holding, hungry.chains, hungry.asked).ravel()
    dry = int(np.argmin(rain_mm))

    assert len(rain_mm) == 12
    assert found["driest"].reliability.trials == 1
    assert found["driest"].rain_mm == pytest.approx(rain_mm.min())
    assert found["wettest"].rain_mm == pytest.approx(rain_mm.max())
    assert found["coldest"].mean_c == pytest.approx(mean_c.min())
    assert found["warmest"].mean_c == pytest.approx(mean_c.max())
    assert found["driest"].reliability.value == float(not short[dry])
    assert found["driest"].shortfall == pytest.approx(hungry.stacked("shortfall").ravel()[dry])


def test_words_and_json_tell_the_same(hungry: Years) -> None:
    """The bound's reliability is in the object, its shortfall in the words, with that of the driest tenth."""
    seen = Hindsight(foreseen(hungry), tenths(hungry))
    told = hindsight_json(seen)
    words = " ".join(hindsight_words(seen, float(hungry.stacked("shortfall").mean())))

    assert told["foresight_reliability"] == seen.foreseen.reliability.value
    assert {one["which"] for one in told["tenths_by_weather"]} == {"driest", "wettest", "coldest", "warmest"}
    assert f"{seen.foreseen.shortfall:.2f} months' needs" in words
    assert "driest tenth" in words
    assert hindsight_json(None)["foresight_reliability"] is None
