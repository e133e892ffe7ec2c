"""What the numbers of a herd plan mean: one place for the twin, the compiled path and the compiler of plans.

A group's plan is a set of arrays. A row is a class of the group in one part: adult females, adult males, the young of
one class of females, stock bought to fatten, colonies. Weeks count from 0 at the start of the first larder year; a year
has 52, the last of eight days, so that an age in weeks runs late by a day a year.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
U64 = npt.NDArray[np.uint64]

WEEKS = 52
SERVE_AFTER_TURN_W = 2
"""Adults change this long before the first service, so that those that join or are bought are served."""
NEVER = -1_000_000
"""A week that has not been: not in young, never born, no milk."""
UNLIMITED = 1_000_000_000
MOST_BARREN = 9
"""Services without young are counted up to this."""
PARTING = 10
"""In the place of that count: a milker that is over the number, and goes when she dries off."""

# Parts that a row can have.
DAM, SIRE, YOUNG, LOT, COLONY = range(5)
# How young come: a litter, every bird sits, some of a flock sit.
LITTER, ALL_SIT, SOME_SIT = range(3)
# Stages of a cohort.
GROWING, KEPT, ADULT = range(3)
FEMALE, MALE = range(2)
# A row's sire where it is no row of the group.
SIRE_COMES, NO_SIRE = -1, -2

# Whole numbers of a row.
(
    PART,
    YOUNG_ROW,
    DAM_ROW,
    SIRE_ROW,
    TARGET,
    SITS,
    TERM_W,
    JOIN_W,
    KEEP_W,
    KILL_W,
    WEAN_W,
    CULL_W,
    LACT_W,
    TURN_W,
    BUY_W,
    KEEPS,
    BUYS,
    KEEP_YOUNG,
    MILKED,
    BARREN_MOST,
    INCUBATOR,
    KEEP_BORN_W,
    GOES_DRY,
    WHOLE_NUMBERS,
) = range(24)

# Figures of a row.
(
    BEARS,
    HATCH,
    SET_EACH,
    SIT_SHARE,
    REARED,
    RENEWED,
    ADULT_DIES,
    PER_MALE,
    PRICE,
    ADULT_KG,
    EGG_KG,
    EGG_MJ_KG,
    EGG_G_MJ,
    RATION_KG_MJ,
    HONEY_KG,
    WAX_KG,
    FIGURES,
) = range(17)

# Figures of a group (herd_odds and money).
(
    FEMALE_SHARE,
    EMERGENCY,
    SWARMS,
    SWARM_HONEY,
    SPLITS,
    NO_HONEY,
    HONEY_HALF_WIDTH,
    POOR,
    SUGAR_KG,
    SIRE_COST,
    WINTER_LOSS,
    ODDS,
) = range(12)

# What is done in a week of the year (bits).
SERVE, TURN, ARRIVE, LOOK, HONEY, WINTER, SPRING, SIRE_COMING, BROOD = (1 << bit for bit in range(9))

# A date of birth: week of service or setting, week of birth, row of the dams, how many (0 all), weeks that eggs are kept.
DATE_SERVICE, DATE_BIRTH, DATE_ROW, DATE_QUOTA, DATE_KEEP, DATE_NUMBERS = range(6)
# A lot that is bought every year: week, row, heads, age in weeks.
LOT_WEEK, LOT_ROW, LOT_HEADS, LOT_AGE, LOT_NUMBERS = range(5)

# Fields of a cohort.
ROW, SEX, STAGE, BIRTH, HEADS, DUE, SINCE, BARREN, OWN, FIELDS = range(10)

# Counts of a year, row and lane; the first ten hold the law of heads.
(
    OPEN,
    BORN,
    BOUGHT,
    JOINED,
    LEFT,
    DIED,
    STRUCK,
    KILLED,
    SOLD,
    CULLED,
    SERVED,
    BORE,
    BIRTHS,
    EGGS_SET,
    UNSERVED,
    KIN,
    SWARMED,
    COUNTS,
) = range(18)
COUNT_NAMES = (
    "open",
    "born",
    "bought",
    "joined",
    "left",
    "died",
    "struck",
    "killed",
    "sold",
    "culled",
    "served",
    "bore",
    "births",
    "eggs_set",
    "unserved",
    "kin",
    "swarmed",
)

# Sums of a month, row and lane.
(
    ENERGY,
    PROTEIN,
    DRY_MATTER,
    WATER,
    MANURE,
    MANURE_N,
    EGGS,
    MILK,
    LIVE_KILLED,
    LIVE_SOLD,
    HONEY_KG_TAKEN,
    WAX_KG_TAKEN,
    SUGAR_FED,
    SUMS,
) = range(14)
SUM_NAMES = {
    "energy": "MJ",
    "protein": "g",
    "dry_matter_max": "kg",
    "water": "l",
    "manure": "kg",
    "manure_n": "g",
    "eggs": "kg",
    "milk": "kg",
    "live_killed": "kg",
    "live_sold": "kg",
    "honey": "kg",
    "beeswax": "kg",
    "sugar": "kg",
}
# What one head asks for a day (columns of the tables of needs): the first six sums, and the need that milk can take over.
SUCKS, NEEDS = 6, 7
# What a female adds a day by week of lactation.
LACT_MJ, LACT_G, MILK_BESIDE_YOUNG, MILK_ALONE, MILK_TO_YOUNG_MJ, LACTATION = range(6)
SPENT, EARNED, MONEY = range(3)

# Kinds of draws, mixed into their keys.
(
    DRAW_DEATH,
    DRAW_STRIKE,
    DRAW_SHARE,
    DRAW_LITTER,
    DRAW_SEX,
    DRAW_HATCH,
    DRAW_BEARS,
    DRAW_SPLIT,
    DRAW_SWARM,
    DRAW_HONEY,
) = range(10)


class PlanArrays(NamedTuple):
    """A group's plan as arrays (R rows, D dates, L lots, S strikes, A weeks of age).

    row : int64 [R, WHOLE_NUMBERS] ; figure : float64 [R, FIGURES] ; odds : float64 [ODDS]
    row_hash : uint64 [R], of the class's name and part ; calendar : int64 [52], bits of what is done in the week
    days : float64 [52], days of each week ; month : int64 [52], index of its month
    date : int64 [D, DATE_NUMBERS] ; gather : int64 [R, 52], 1 in weeks whose eggs are kept to be set ; lot : int64 [L, LOT_NUMBERS]
    dies : float64 [R, A], chance to die in a week of age ; weight_kg : float64 [2 R, A], by row and stage
    growing : float64 [2 R, A, NEEDS], a day's needs of one ; adult : float64 [R, 52, NEEDS], of one adult
    heat : float64 [52], factor on water ; lays_kg : float64 [R, 52], eggs of one first-year bird a day
    lay_age : float64 [R, B], factor by weeks of age
    pregnant : float64 [R, T, 2], MJ and g a day by weeks to birth ; lactation : float64 [R, M, LACTATION]
    litter : float64 [R, K], chance of fewer than or just k young
    sale_limit : int64 [R, 12], heads a month that are sold ; sale_price : float64 [R, 12], of one
    strike : float64 [S, 52], chance in each week ; strike_loss : float64 [S, 3], low, mid, high share
    strike_on : int64 [S, R], 1 where it takes heads ; strike_hash : uint64 [S]
    opening : int64 [C, FIELDS], cohorts of the first day ; nest : int64 [D], eggs that lie under birds then
    """

    row: I64
    figure: F64
    odds: F64
    row_hash: U64
    calendar: I64
    days: F64
    month: I64
    date: I64
    gather: I64
    lot: I64
    dies: F64
    weight_kg: F64
    growing: F64
    adult: F64
    heat: F64
    lays_kg: F64
    lay_age: F64
    pregnant: F64
    lactation: F64
    litter: F64
    sale_limit: I64
    sale_price: F64
    strike: F64
    strike_loss: F64
    strike_on: I64
    strike_hash: U64
    opening: I64
    nest: I64


class Outcome(NamedTuple):
    """What a group's years came to (L lanes, Y years, R rows).

    heads : int64 [L, Y, 52, R], at the end of each week ; counts : int64 [L, Y, R, COUNTS]
    sums : float64 [L, Y, 12, R, SUMS] ; money : float64 [L, Y, R, MONEY] ; close : int64 [L, R], heads after the last week
    """

    heads: I64
    counts: I64
    sums: F64
    money: F64
    close: I64


def empty_outcome(lanes: int, years: int, rows: int) -> Outcome:
    """Zeros of the right shapes."""
    return Outcome(
        np.zeros((lanes, years, WEEKS, rows), np.int64),
        np.zeros((lanes, years, rows, COUNTS), np.int64),
        np.zeros((lanes, years, 12, rows, SUMS)),
        np.zeros((lanes, years, rows, MONEY)),
        np.zeros((lanes, rows), np.int64),
    )
