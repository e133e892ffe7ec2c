"""Pearson's square: the feed part of the larder's program mixes two feeds as the printed exercises do.

A herd whose energy need fills its dry-matter ceiling with either feed, and whose protein need is the wanted share of it,
gets the cheaper feed as far as the protein allows: that is the square.
"""

from __future__ import annotations

import numpy as np
import pytest
from outside import Outside

from yardland.larder.description import Feed, Good, Larder, Trade
from yardland.larder.program import solve_larder
from yardland.ledger.months import larder_months
from yardland.ledger.production import HerdNeed, Production

LESSON = "high-school lesson, Balancing rations"
SHAPIRO = "Shapiro, Pearson squares"
BY_SQUARE = "a printed question, solved by the square here"
# Key, source, low, high and wanted crude protein (%), mass mixed, parts of grain and of meal, tolerance in the unit of the mass.
SQUARES = [
    ("L53", LESSON, 8.9, 44.4, 18.0, 2000.0, 1487.0, 513.0, 1.0),
    ("L55", BY_SQUARE, 8.0, 44.0, 16.0, 100.0, 77.8, 22.2, 0.1),
    ("L56", BY_SQUARE, 12.0, 41.0, 14.0, 2000.0, 1862.0, 138.0, 1.0),
    ("square", SHAPIRO, 8.0, 54.0, 26.0, 600.0, 600.0 * 28 / 46, 600.0 * 18 / 46, 0.1),
    ("square", "a printed solution", 8.8, 38.0, 14.0, 100.0, 82.19, 17.81, 0.01),
    ("square", BY_SQUARE, 8.0, 12.0, 10.0, 100.0, 50.0, 50.0, 0.01),
    ("square", BY_SQUARE, 9.0, 44.0, 16.0, 2000.0, 1600.0, 400.0, 0.1),
]


@pytest.mark.parametrize(("key", "source", "low", "high", "wanted", "mass", "grain", "meal", "tolerance"), SQUARES)
def test_two_feeds_are_mixed_as_by_the_square(
    outside: Outside,
    key: str,
    source: str,
    low: float,
    high: float,
    wanted: float,
    mass: float,
    grain: float,
    meal: float,
    tolerance: float,
) -> None:
    """The masses of grain and meal eaten in a month are those of the exercise."""
    month = np.zeros(12)
    month[0] = 1.0
    herd = HerdNeed(
        group="pigs",
        klass="grower",
        heads=month,
        system="me_pig",
        ceiling_column="max_pig_grower",
        energy_mj=month * mass * 10.0,
        protein_kg=month * mass * wanted / 100.0,
        dry_matter_max_kg=month * mass,
        forage_min_fraction=0.0,
        products={},
        manure_kg=np.zeros(12),
        manure_n_kg=np.zeros(12),
        water_m3=np.zeros(12),
    )
    feeds = {
        name: Feed(name, {"me_pig": 10.0}, protein / 100.0, {"max_pig_grower": 1.0}, forage=False)
        for name, protein in (("grain", low), ("meal", high))
    }
    case = Larder(
        months=larder_months(2026, 1),
        nutrients=("energy_kcal", "protein_g"),
        need=np.zeros((2, 12)),
        driving=(),
        goods={name: Good(name, name, 1.0, feed=name) for name in feeds},
        keepings=(),
        processes=(),
        plates=(),
        trades=(Trade("grain", "buy", 1.0, month * 1e6), Trade("meal", "buy", 3.0, month * 1e6)),
        feeds=feeds,
        production=Production((), herds=(herd,)),
        emergency_kcal_per_kg=3270.0,
    )

    eaten = solve_larder(case).feed_kg["pigs"]

    what = f"{mass:g} of {wanted:g} % from {low:g} % and {high:g} %: the larder's program mixes"
    got = [eaten["grain"][0], eaten["meal"][0]]
    outside.check_close(key, what, source, "published", [grain, meal], got, tolerance)
