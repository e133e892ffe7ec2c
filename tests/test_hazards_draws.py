"""Hazards: the numbers drawn for them, and the weather that makes them likelier."""

from __future__ import annotations

import dataclasses
import math
import subprocess
import sys

import numpy as np
import pytest
from growth_kit import tables
from hazard_kit import HAZARDS, LANES, MANY, chain, years
from hypothesis import given
from hypothesis import strategies as st

from yardland.growth.hazards.chance import Outlook, bar_of, chances, driver_norms, outlooks
from yardland.growth.hazards.draws import numbers
from yardland.growth.hazards.falls import loss_at
from yardland.growth.hazards.spans import driver_before, of_this_half, on_axis, spans
from yardland.growth.hazards.table import hazard_of, months_of

# --- draws ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", HAZARDS)
def test_frequency_and_mean_loss_are_the_tables_in_the_long_run(key: str) -> None:
    """Over 20,000 years a hazard comes and takes as the table says, within four standard errors."""
    hazard = hazard_of(tables(), key)
    p = hazard.chance
    fair = Outlook(0, 10, MANY, np.full(len(MANY), p), np.full(len(MANY), bar_of(p)))
    fall = chain(11)._fall(hazard, "north.potato", fair)
    losses = fall.loss[fall.comes]

    assert abs(fall.comes.mean() - p) < 4 * math.sqrt(p * (1 - p) / len(MANY))
    assert abs(losses.mean() - hazard.loss) < 4 * losses.std() / math.sqrt(len(losses))
    assert losses.min() >= hazard.loss_low
    assert losses.max() <= hazard.loss_high
    assert fall.comes.mean() * losses.mean() == pytest.approx(p * hazard.loss, rel=0.12)


@given(st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))
def test_the_mean_of_the_losses_is_the_middle_figure(a: float, b: float, c: float) -> None:
    """Whatever low, middle and high: losses rise from low to high, and their mean is the middle."""
    low, middle, high = sorted((a, b, c))
    hazard = dataclasses.replace(hazard_of(tables(), "hail"), loss_low=low, loss=middle, loss_high=high)
    grid = (np.arange(2000) + 0.5) / 2000
    losses = np.array([loss_at(hazard, float(share)) for share in grid])

    assert (np.diff(losses) >= -1e-12).all()
    assert losses.min() >= low - 1e-12
    assert losses.max() <= high + 1e-12
    assert losses.mean() == pytest.approx(middle, abs=1e-3)


@given(st.integers(0, 2**40), st.lists(st.integers(-3000, 5000), min_size=1, max_size=8))
def test_a_years_numbers_are_the_same_alone_and_among_others(seed: int, asked: list[int]) -> None:
    """The counter is the year: order and company change nothing."""
    together = numbers(seed, "record", "hail", "a.oats", np.array(asked))
    for at, year in enumerate(asked):
        alone = numbers(seed, "record", "hail", "a.oats", np.array([year]))
        assert (alone.strike[0], alone.loss[0], alone.day[0]) == (
            together.strike[at],
            together.loss[at],
            together.day[at],
        )


@pytest.mark.parametrize(
    "other",
    [
        (4, "record", "hail", "a.b"),
        (3, "x", "hail", "a.b"),
        (3, "record", "slugs", "a.b"),
        (3, "record", "hail", "a.c"),
    ],
)
def test_seed_chain_hazard_and_subject_all_key_the_numbers(other: tuple[int, str, str, str]) -> None:
    """Change any one of them and the numbers have nothing to do with the others."""
    first, second = (numbers(*key, MANY) for key in ((3, "record", "hail", "a.b"), other))

    for name in ("strike", "loss", "day"):
        assert abs(float(np.corrcoef(getattr(first, name), getattr(second, name))[0, 1])) < 0.03


def test_numbers_are_standard() -> None:
    """Two independent standard normals and an even number between 0 and 1."""
    drawn = numbers(1, "record", "hail", "a.b", MANY)

    assert abs(drawn.strike.mean()) < 0.03
    assert drawn.strike.std() == pytest.approx(1.0, abs=0.02)
    assert drawn.loss.std() == pytest.approx(1.0, abs=0.02)
    assert abs(float(np.corrcoef(drawn.strike, drawn.loss)[0, 1])) < 0.03
    assert drawn.day.mean() == pytest.approx(0.5, abs=0.01)
    assert ((drawn.day > 0) & (drawn.day < 1)).all()


def test_another_process_draws_the_same() -> None:
    """No hash of this process is in the keys."""
    code = (
        "import numpy as np; from yardland.growth.hazards.draws import numbers;"
        "d = numbers(7, 'record', 'hail', 'north.potato', np.arange(2000, 2005)); print(d.strike.tolist() + d.day.tolist())"
    )
    other = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    here = numbers(7, "record", "hail", "north.potato", np.arange(2000, 2005))

    assert other.stdout.strip() == str(here.strike.tolist() + here.day.tolist())


def test_bad_years_are_bad_for_many_crops() -> None:
    """Two hazards that share nothing but the year come together more often than apart would have it."""
    moth, scab = (dataclasses.replace(hazard_of(tables(), key), driver="") for key in ("nut_thieves", "fruit_birds"))
    fair = Outlook(0, 10, MANY, np.full(len(MANY), 0.5), np.zeros(len(MANY)))
    one, two = (chain(9)._fall(hazard, "a.b", fair).comes.astype(float) for hazard in (moth, scab))
    share = tables().row("odds", "year_share").need("number")

    assert float(np.corrcoef(one, two)[0, 1]) == pytest.approx(2 / math.pi * math.asin(share), abs=0.025)


def test_plots_share_what_the_holding_shares() -> None:
    """Hail on one plot is hail on the next far more often than wireworm is."""
    fair = Outlook(0, 10, MANY, np.full(len(MANY), 0.5), np.zeros(len(MANY)))

    def together(key: str) -> float:
        hazard = hazard_of(tables(), key)
        pair = [chain(2)._fall(hazard, name, fair).comes.astype(float) for name in ("a.carrot", "b.carrot")]
        return float(np.corrcoef(pair[0], pair[1])[0, 1])

    assert together("hail") > 0.7
    assert 0.1 < together("wireworm") < 0.4


# --- weather -------------------------------------------------------------------------------------------------------------


@given(st.floats(0.001, 0.999), st.floats(0, 0.5), st.lists(st.floats(-3, 3), min_size=1, max_size=40))
def test_the_mean_chance_over_the_record_is_the_tables(mean: float, share: float, distances: list[float]) -> None:
    """Weather moves the chance from year to year and keeps its mean; more is never less likely."""
    record = np.array(distances)
    found = chances(mean, share, record, record)

    assert found.mean() == pytest.approx(mean, abs=1e-9)
    assert ((found >= 0) & (found <= 1)).all()
    assert (np.diff(found[np.argsort(record)]) >= -1e-12).all()


@pytest.mark.parametrize("key", [key for key in HAZARDS if tables().row("hazards", key).text("driver") != "none"])
def test_the_driving_weather_makes_it_likelier(key: str) -> None:
    """Of the record's years, those further on the driver's side have the greater chance; the mean is the table's."""
    hazard = hazard_of(tables(), key)
    cells = tables().row("drivers", hazard.driver)
    found = next(
        one for one in outlooks(hazard, tables(), years(), driver_norms(tables(), years())) if one.years[0] == 1980
    )
    forcing = years()
    amount = forcing.rain_mm.sum(axis=0) if cells.text("measure") == "rain" else forcing.tmax_c.mean(axis=0)
    toward = amount if cells.text("turn") == "up" else -amount

    assert found.chance.mean() == pytest.approx(hazard.chance, abs=1e-9)
    assert (np.diff(found.chance[np.argsort(toward)]) >= -1e-12).all()
    assert found.chance.max() > 1.3 * found.chance.min()


def test_wet_julys_bring_more_blight() -> None:
    """Over many seeds late blight comes more often in the wetter half of the years, and on average as the table says."""
    hazard, wet = hazard_of(tables(), "late_blight"), years().rain_mm.sum(axis=0)
    comes = np.array(
        [
            next(fall for fall in chain(seed).falls(hazard, "a.potato") if fall.outlook.years[0] == 1980).comes
            for seed in range(120)
        ]
    )
    often = comes.mean(axis=0)
    wetter = wet > np.median(wet)

    assert often[wetter].mean() > often[~wetter].mean() + 0.2
    assert often.mean() == pytest.approx(hazard.chance, abs=0.04)


def test_a_record_of_one_year_has_the_tables_chance() -> None:
    """With nothing to compare with, no year is wet."""
    found = outlooks(hazard_of(tables(), "late_blight"), tables(), years(1), driver_norms(tables(), years(1)))

    for one in found:
        np.testing.assert_allclose(one.chance, hazard_of(tables(), "late_blight").chance)


@pytest.mark.parametrize("key", HAZARDS)
@pytest.mark.parametrize("south", [False, True])
def test_nothing_falls_before_the_weather_that_drives_it_is_known(key: str, south: bool) -> None:
    """The first day is after the driver's months, or the last of the hazard's where these end together."""
    forcing = years(LANES, -40.0 if south else 52.0)
    hazard = hazard_of(tables(), key)
    found = outlooks(hazard, tables(), forcing, driver_norms(tables(), forcing))
    rounds = [one for one in spans(hazard.months, forcing.start_month, south=south) if one.last >= 0]

    assert len(found) == len(rounds)
    for outlook, span in zip(found, rounds, strict=True):
        assert span.first <= outlook.first <= outlook.last == span.last
        if hazard.driver:
            drivers = spans(months_of(tables().row("drivers", hazard.driver)), forcing.start_month, south=south)
            driver = driver_before(drivers, span)
            assert driver is None or outlook.first > driver.last or outlook.first == span.last


@pytest.mark.parametrize("start_month", range(1, 13))
def test_months_come_round_once_a_year(start_month: int) -> None:
    """November to May lies where the calendar has it, whatever month the larder year starts in; half a year on in the south."""
    north = spans((11, 5), start_month, south=False)
    south = spans((11, 5), start_month, south=True)
    to_november = sum((31, 28, 31, 30, 31, 30, 31, 31, 30, 31)) - sum(
        (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30)[: start_month - 1]
    )
    one = next(span for span in north if 0 <= span.first < 365)

    assert one.first == to_november % 365
    assert one.last - one.first + 1 == 30 + 31 + 31 + 28 + 31 + 30 + 31
    assert one.year_step == (-1 if start_month <= 11 else 0)
    assert {span.first for span in south} != {span.first for span in north}
    assert any(on_axis(span) for span in north)


def test_months_are_named_for_the_half_of_the_world() -> None:
    """A wet July and a lifting before November are January and May in the south; verbs stay as they are."""
    words = "A wet July may rot them: lift before November."

    assert of_this_half(words, south=False) == words
    assert of_this_half(words, south=True) == "A wet January may rot them: lift before May."


def test_the_year_before_is_the_last_lanes_own_year() -> None:
    """A lane's first year and the second year of the lane before it are one year: the same strikes, losses and days."""
    for key in ("hail", "late_blight", "pigeons"):
        by_year: dict[int, list[tuple[bool, float, float]]] = {}
        for fall in chain().falls(hazard_of(tables(), key), "field.potato"):
            for lane, year in enumerate(fall.outlook.years.tolist()):
                if tables().row("hazards", key).text("driver") == "none":
                    by_year.setdefault(year, []).append(
                        (bool(fall.comes[lane]), float(fall.loss[lane]), float(fall.place[lane]))
                    )
                else:
                    by_year.setdefault(year, []).append((True, 0.0, float(fall.place[lane])))
        assert sum(len(found) > 1 for found in by_year.values()) > LANES - 3
        assert all(len(set(found)) == 1 for found in by_year.values())
