"""Pearson's square: the feed part of the larder's program mixes two feeds as the printed exercises do.

A herd whose energy need fills its dry-matter ceiling with either feed, and whose protein need is the wanted share of it,
gets the cheaper feed as far as the protein allows: that is the square.
"""

from __future__ import annotations

import numpy as np
import pytest

from yardland.larder.description import Feed, Good, Larder, Trade
from yardland.larder.program import solve_larder
from yardland.ledger.months import larder_months
from yardland.ledger.production import HerdNeed, Production

# Low, high and wanted crude protein (%), mass mixed, parts of each, tolerance in the unit of the mass.
# Published: high-school lesson "Balancing rations", 8.9 % maize and 44.4 % soya to 18 %: 1,487 and 513 lb of 2,000 lb.
# Published question, solved by the square here: 8 % and 44 % to 16 %: 77.8 % and 22.2 %.
# Published question, solved by the square here: barley 12 %, cottonseed 41 % to 14 %: 1,862 and 138 lb of 2,000 lb.
# Published, Shapiro, "Pearson squares": 600 lb of 26 % from barley 8 % and cottonseed 54 %: 28 and 18 parts of 46.
# Published solution: 14 % from maize 8.8 % and a supplement of 38 %: 82.19 % and 17.81 %.
# Published question, solved by the square here: 10 % from maize 8 % and barley 12 %: equal parts.
# Published question, solved by the square here: 2,000 lb of 16 % from maize 9 % and soya 44 %: 400 lb of soya.
SQUARES = [
    (8.9, 44.4, 18.0, 2000.0, 1487.0, 513.0, 1.0),
    (8.0, 44.0, 16.0, 100.0, 77.8, 22.2, 0.1),
    (12.0, 41.0, 14.0, 2000.0, 1862.0, 138.0, 1.0),
    (8.0, 54.0, 26.0, 600.0, 600.0 * 28 / 46, 600.0 * 18 / 46, 0.1),
    (8.8, 38.0, 14.0, 100.0, 82.19, 17.81, 0.01),
    (8.0, 12.0, 10.0, 100.0, 50.0, 50.0, 0.01),
    (9.0, 44.0, 16.0, 2000.0, 1600.0, 400.0, 0.1),
]


@pytest.mark.parametrize(("low", "high", "wanted", "mass", "grain", "meal", "tolerance"), SQUARES)
def test_two_feeds_are_mixed_as_by_the_square(
    low: float, high: float, wanted: float, mass: float, grain: float, meal: float, tolerance: float
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
        key: Feed(key, {"me_pig": 10.0}, protein / 100.0, {"max_pig_grower": 1.0}, forage=False)
        for key, protein in (("grain", low), ("meal", high))
    }
    case = Larder(
        months=larder_months(2026, 1),
        nutrients=("energy_kcal", "protein_g"),
        need=np.zeros((2, 12)),
        driving=(),
        goods={key: Good(key, key, 1.0, feed=key) for key in feeds},
        keepings=(),
        processes=(),
        plates=(),
        trades=(Trade("grain", "buy", 1.0, month * 1e6), Trade("meal", "buy", 3.0, month * 1e6)),
        feeds=feeds,
        production=Production((), herds=(herd,)),
        emergency_kcal_per_kg=3270.0,
    )

    eaten = solve_larder(case).feed_kg["pigs"]

    assert eaten["grain"][0] == pytest.approx(grain, abs=tolerance)
    assert eaten["meal"][0] == pytest.approx(meal, abs=tolerance)
