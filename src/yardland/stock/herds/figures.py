"""What one head of each row of a group needs and gives in a week: the day-by-day functions of the stock room, averaged.

Growing stock goes by its age in weeks (the middle day of each), adults by the week of the larder year, pregnancy by the
weeks to birth, milk by the weeks since. All are means per day.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from yardland.ledger.months import DAYS_IN_YEAR
from yardland.stock.cohorts import Litter
from yardland.stock.days import (
    growing_energy,
    growing_protein,
    heat_on_water,
    household_share,
    lactation,
    milk_energy,
    milking,
    pregnancy,
    resting,
)
from yardland.stock.herds import layout as at
from yardland.stock.herds.layout import F64, NEEDS, WEEKS
from yardland.stock.kinds import Husbandry, Klass
from yardland.stock.laying import eggs_per_hen, lay_light
from yardland.stock.sky import Sky

LAY_YEARS = 16
LEAST_SPREAD = 0.05
MOST_TILT = 1000.0
"""Far beyond what any mean between the litters asks for."""
DAMS_OF_THE_MEAN = 1000
"""Dams over which a mean litter is a whole number of young (needs of sows in milk go by piglets reared)."""


def week_of_day() -> at.I64:
    """Week (0-51) of each of the 365 days of a larder year; the last week has eight."""
    return np.minimum(np.arange(DAYS_IN_YEAR) // 7, WEEKS - 1)


def by_week(daily: F64) -> F64:
    """Means of 365 daily values over the weeks, [52]."""
    week = week_of_day()
    return np.asarray(np.bincount(week, weights=daily, minlength=WEEKS) / np.bincount(week, minlength=WEEKS))


def by_sevens(daily: F64) -> F64:
    """Means of consecutive sevens of daily values; the last is filled up with zeros."""
    full = np.zeros(-(-max(len(daily), 1) // 7) * 7)
    full[: len(daily)] = daily
    return np.asarray(full.reshape(-1, 7).mean(axis=1))


def weekly_share(yearly: float) -> float:
    """Chance in a week of what has this chance in a year."""
    return float(1.0 - (1.0 - min(yearly, 1.0)) ** (1.0 / WEEKS))


def body(klass: Klass, weight_kg: F64, keep: Husbandry) -> F64:
    """Greatest dry matter (kg), water in mild weather (l), manure (kg) and its nitrogen (g) at a weight, [weight, 4]."""
    typical = klass.typical_kg()
    share = weight_kg / typical if typical else np.zeros(len(weight_kg))
    eaten = klass.figure("dmi_kg_d") * keep["intake_margin"] if klass.row["dmi_pct_lw"] else 0.0
    return np.stack(
        [
            eaten * share**0.75,
            klass.figure("drinking_water_l_d") * share**0.75,
            klass.figure("manure_kg_d") * share,
            klass.figure("manure_n_g_d") * share,
        ],
        axis=1,
    )


def adult_needs(klass: Klass, sky: Sky, keep: Husbandry) -> F64:
    """Needs of one adult without eggs, young or milk on a day of each week, [52, NEEDS]."""
    energy, crude = resting(klass, sky, np.zeros(DAYS_IN_YEAR), keep)
    needs = np.zeros((WEEKS, NEEDS))
    needs[:, at.ENERGY], needs[:, at.PROTEIN] = by_week(energy), by_week(crude)
    needs[:, at.DRY_MATTER : at.SUCKS] = body(klass, np.full(WEEKS, klass.adult_kg()), keep)
    return needs


def egg_needs(klass: Klass, sky: Sky, keep: Husbandry) -> tuple[float, float]:
    """Energy that a kilogram of eggs asks for, MJ, and the protein that goes with a MJ of it, g."""
    none, gram = np.zeros(DAYS_IN_YEAR), np.ones(DAYS_IN_YEAR)
    (low, low_g), (high, high_g) = resting(klass, sky, none, keep), resting(klass, sky, gram, keep)
    energy = float(high[0] - low[0])
    return 1000.0 * energy, float(high_g[0] - low_g[0]) / energy if energy else 0.0


def growing_needs(klass: Klass, curve: Klass, ages: int, sucks_weeks: int, keep: Husbandry) -> tuple[F64, F64]:
    """Needs of one growing head on a day of each week of its age, [ages, NEEDS], and its live weight, kg [ages].

    `curve` is the class whose growth it follows; under `sucks_weeks` its energy may come from milk.
    """
    middle = 7.0 * np.arange(ages) + 3.0
    weight, gain = np.asarray(curve.weight_kg(middle)), np.asarray(curve.gain_kg_d(middle))
    energy = growing_energy(klass, weight, gain, keep)
    needs = np.zeros((ages, NEEDS))
    needs[:, at.ENERGY] = energy
    needs[:, at.PROTEIN] = energy * growing_protein(klass, weight, keep)
    needs[:, at.DRY_MATTER : at.SUCKS] = body(klass, weight, keep)
    needs[:sucks_weeks, at.SUCKS] = energy[:sucks_weeks]
    return needs, np.asarray(curve.weight_kg(7.0 * np.arange(ages)))


def laying(klass: Klass, join_w: int, sky: Sky, keep: Husbandry) -> tuple[F64, F64]:
    """Kilograms of eggs of one first-year bird on a day of each week, [52], and the factor by weeks of age.

    A bird that joined at `join_w` lays less by the same share in each of its years, up to the sixteenth.
    """
    eggs = eggs_per_hen(sky, lay_light(klass, keep), klass.row.need("eggs_per_year"))
    years = np.maximum(np.arange(join_w + WEEKS * LAY_YEARS) - join_w, 0) // WEEKS
    fewer = (1.0 - klass.figure("lay_decline_per_year")) ** years
    return by_week(eggs) * klass.row.need("egg_weight_g") / 1000.0, np.asarray(fewer)


def pregnancy_needs(dam: Klass, weeks: int) -> F64:
    """Energy (MJ) and protein (g) that young within add a day, by weeks to birth, [weeks + 1, 2]; row 0 is empty."""
    days = round(dam.row.need("gestation_or_incubation_d"))
    left = np.arange(1, 7 * weeks + 1)
    energy, crude = (np.asarray(part, dtype=np.float64) * (left <= days) for part in pregnancy(dam, left))
    table = np.zeros((weeks + 1, 2))
    table[1:, 0], table[1:, 1] = by_sevens(energy), by_sevens(crude)
    return table


@dataclass(frozen=True, slots=True)
class MilkPlan:
    """How a class of females is milked: days that young suck, the manner, young born and reared per dam."""

    suckling_d: int
    manner: str
    born: float
    reared: float


def lactation_table(dam: Klass, young: Klass, plan: MilkPlan, keep: Husbandry) -> F64:
    """What a female adds a day by weeks since birth, [weeks, LACTATION]."""
    milk = lactation(dam)
    if plan.manner == "none" or not dam.good("milk"):
        milk = milk[: max(plan.suckling_d, 1)]
    litter = Litter(
        0, dam, DAMS_OF_THE_MEAN, round(DAMS_OF_THE_MEAN * plan.born), round(DAMS_OF_THE_MEAN * plan.reared)
    )
    energy, crude = milking(dam, milk, litter, young)
    beside = household_share(dam, len(milk), plan.suckling_d, plan.manner, keep)
    alone = household_share(dam, len(milk), 0, plan.manner, keep)
    sucked = milk * (1.0 - beside) * (np.arange(len(milk)) < plan.suckling_d)
    to_young = sucked * milk_energy(dam) * keep["milk_metabolisable"]
    columns = (energy, crude, milk * beside, milk * alone, to_young)
    return np.stack([by_sevens(np.asarray(column, dtype=np.float64)) for column in columns], axis=1)


def heat_by_week(sky: Sky, keep: Husbandry) -> F64:
    """Factor on drinking water, [52]."""
    return by_week(heat_on_water(sky, keep))


def death_by_age(loss: float, first_share: float, weeks: int, later: float, ages: int, start: int) -> F64:
    """Chance to die in each week of age, [ages]: early losses over `weeks` from `start`, then the yearly rate `later`.

    Those that live through the early weeks are 1 - `loss`: a share `first_share` of the hazard -ln(1 - loss) falls in
    the first week, the rest evenly on the others.
    """
    chance = np.full(ages, weekly_share(later))
    lives = 1.0 - min(loss, 1.0)
    if weeks <= 1:
        chance[start] = loss
        return chance
    chance[start + 1 : start + weeks] = 1.0 - lives ** ((1.0 - first_share) / (weeks - 1))
    chance[start] = 1.0 - lives**first_share
    return chance


def litter_cumulative(mean: float, sd: float) -> F64:
    """Chances of at most 0, 1, 2, ... young in a litter: a normal curve on the whole numbers from 1, tilted to the mean.

    The weights exp(-(k - mean)^2 / 2 sd^2 + tilt k) for k from 1 to mean + 5 sd, with the tilt found by halving so that
    their mean is exact (to 1e-12). Without spread every litter has the mean rounded down or up, as often as it takes.
    """
    most = int(np.ceil(mean + 5.0 * sd)) + 1
    young = np.arange(1, most + 1, dtype=np.float64)
    if sd < LEAST_SPREAD or mean < 1.0 + LEAST_SPREAD:
        low = np.floor(mean)
        weights = np.where(young == low, 1.0 - (mean - low), np.where(young == low + 1.0, mean - low, 0.0))
        return np.cumsum(np.concatenate([[1.0 - weights.sum()], weights]))
    low_tilt, high_tilt = -MOST_TILT, MOST_TILT
    for _ in range(100):
        tilt = (low_tilt + high_tilt) / 2.0
        power = -((young - mean) ** 2) / (2.0 * sd * sd) + tilt * (young - mean)
        weights = np.exp(power - power.max())
        weights /= weights.sum()
        low_tilt, high_tilt = (tilt, high_tilt) if float(weights @ young) < mean else (low_tilt, tilt)
    return np.cumsum(np.concatenate([[0.0], weights]))
