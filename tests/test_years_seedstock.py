"""Seed kept back along a chain: asked for from harvest to sowing, there when it is sown, and only where it is one's own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from larder_kit import food, keeping, larder, months

from yardland.larder.description import MONTHS, Larder
from yardland.larderyears.frame import Frame, make_frame
from yardland.larderyears.learning import Learner
from yardland.larderyears.prune import Kept
from yardland.larderyears.seedstock import seed_to_keep
from yardland.larderyears.sides import brought, expected
from yardland.larderyears.stack import stacked
from yardland.larderyears.walk import Policy, started
from yardland.larderyears.window_walk import WindowWalker
from yardland.ledger.production import Gathered, Production, SeedNeed

YEARS = 3
TOLERANCE = 0.1


def oats(**more: object) -> Larder:
    """A household that lives on oats, 200 kg of them in September, where a month asks for 10; 8 kg are sown in April."""
    production = Production(
        (Gathered("crop:field.oats", "oats", months(sep=200.0)),),
        seed=(SeedNeed("field.oats", "oats", months(apr=8.0)),),
    )
    fields: dict[str, object] = {"production": production, "keepings": (keeping("oats", loss=0.02, life=18.0),)} | more
    return larder([food("oats")], {}, np.full(MONTHS, 1e4), **fields)


def seed_lacking(frame: Frame, *, asked: bool) -> np.ndarray:
    """Kilograms of seed that lack in the years after the first bad harvest, with or without the rows that ask for it.

    What was learned, was learned in good years; those that are walked bring two fifths of their harvests.
    """
    rows = np.array([asked or not name.startswith("seedstock.") for name in frame.row_names])
    kept = Kept(np.ones(len(frame.cost), dtype=np.bool_), rows, np.zeros_like(rows))
    years, _ = brought(frame, [frame.larder.production] * YEARS)
    opening = np.zeros(len(frame.lying))
    opening[0] = 100.0
    whole = started(Policy(frame, stacked(frame, 2, kept), expected(years, 1.0)), opening)
    learner = Learner(replace(whole, stack=stacked(frame, 1, kept), basis=None), whole, TOLERANCE)
    learner.learn(years, opening)
    poor = replace(years, arriving_kg=years.arriving_kg * 0.4)
    walked = WindowWalker(learner.policy, learner.learned(1, TOLERANCE)).walk(poor, opening)
    lacking = [
        column
        for (arc, _), terms in frame.build.flows.items()
        if (arc.source, arc.target) == ("emergency", "seed")
        for column, _ in terms
    ]
    return np.asarray(walked.x[1:, lacking].sum(axis=1))


def test_seed_that_is_kept_back_is_there_when_it_is_sown() -> None:
    """In bad years of which nothing was learned hungry people leave the seed where a row asks for it; without the row they eat it."""
    frame = make_frame(oats(), 0.0)

    assert seed_lacking(frame, asked=True).max() < 0.05
    assert seed_lacking(frame, asked=False).min() > 4.0


def test_seed_is_asked_for_from_the_harvest_to_the_month_before_sowing() -> None:
    """Each month's end from September to March asks for April's seed and for what it loses till then; no month from sowing to harvest does."""
    wanted = seed_to_keep(make_frame(oats(), 0.0).build)["oats"]
    waits = {8: 7, 9: 6, 10: 5, 11: 4, 0: 3, 1: 2, 2: 1}

    assert {int(month) for month in np.flatnonzero(wanted)} == set(waits)
    for month, wait in waits.items():
        assert wanted[month] == pytest.approx(8.0 / 0.98**wait)


def test_seed_comes_from_the_last_harvest_before_sowing() -> None:
    """With a harvest in February too April's seed is kept from then on alone, October's from September; a handful in March is no harvest."""
    production = Production(
        (Gathered("crop:field.oats", "oats", months(feb=300.0, mar=1.0, sep=300.0)),),
        seed=(SeedNeed("field.oats", "oats", months(apr=8.0, oct=4.0)),),
    )
    wanted = seed_to_keep(make_frame(oats(production=production), 0.0).build)["oats"]

    assert wanted == pytest.approx(months(feb=8.0 / 0.98**2, mar=8.0 / 0.98, sep=4.0 / 0.98))


@pytest.mark.parametrize("life", [3.0, 6.5])
def test_what_does_not_keep_till_sowing_has_no_rows_of_seed(life: float) -> None:
    """Oats that spoil before April ask for no seed at a month's end."""
    frame = make_frame(oats(keepings=(keeping("oats", life=life),)), 0.0)

    assert not any(name.startswith("seedstock.") for name in frame.row_names)


def test_a_household_without_own_seed_has_no_rows_of_seed() -> None:
    """Where nothing is sown of one's own, no row asks for seed."""
    production = replace(oats().production, seed=())
    frame = make_frame(oats(production=production), 0.0)

    assert not any(name.startswith("seedstock.") for name in frame.row_names)
