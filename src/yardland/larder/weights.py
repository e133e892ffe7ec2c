"""What the program minds most: prices of the shortages and costs, each step far dearer than all that follow it.

One solve stands for an order of aims. A unit is the whole need of the household (or of a herd) in one month.
The order is that of the aims; the sizes are ours (docs/larder-program.md says how they were chosen).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Weights:
    """Cost per unit of each aim.

    depth : the worst month's shortage of energy, and of protein (share of need)
    shortage : each month's shortage of energy or protein (share of need)
    seed : seed that is lacking (share of what is sown)
    feed, feed_depth : each month's shortage of a herd's feed, and its worst month's (share of need)
    feed_bound : what a ration lacks of lysine (share of need); feed_mineral : what it lacks of calcium, phosphorus or
        fibre, or has of fibre too much (share of the bound)
    nutrient : each month's shortage of another nutrient (share of need); `deep` times that below half of the need
    like : what is missed in one month of the least that somebody likes to eat (share of it)
    money : purchases, in units of a ton at the middle price of what may be bought
    strange : a kilogram eaten of a food that the holding itself does not bring forth (what is bought is for troughs first)
    variety : eating the second half of a plate's ceiling (the whole half, one food, one month)
    hour : an hour of preserving or making (as much as five kilograms bought at the middle price)
    waste : a kilogram of food that nobody eats
    """

    depth: float = 1500.0
    shortage: float = 500.0
    seed: float = 500.0
    feed: float = 50.0
    feed_depth: float = 50.0
    feed_bound: float = 4.0
    feed_mineral: float = 1.0
    nutrient: float = 5.0
    deep: float = 2.5
    like: float = 1.0
    money: float = 20.0
    strange: float = 0.05
    variety: float = 0.3
    hour: float = 0.1
    waste: float = 5e-3


WEIGHTS = Weights()
HUNGER = Weights(
    depth=0.0, feed=1.0, feed_depth=0.0, feed_bound=0.0, feed_mineral=0.0, nutrient=0.0, like=0.0, money=0.0, strange=0.0, variety=0.0,
    hour=0.0, waste=0.0,
)  # fmt: skip
"""The sum of the household's shortages before all: what `larder.causes` compares."""
