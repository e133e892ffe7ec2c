"""The year of the stores: warmth of the places, days of food in them, and what putting by took (docs/larder-stores.md)."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.accounts.plate_year import PlateYear, plate_year
from yardland.holding.model import Holding
from yardland.larder.description import Keeping
from yardland.larder.plan import Plan
from yardland.larder.warmth import places_c
from yardland.ledger.months import Month
from yardland.reference import Tables
from yardland.works.hours import rate
from yardland.works.money import money

F64 = npt.NDArray[np.float64]
IN_BRINE = "brined"
"""A way to keep something as it is that takes salt all the same."""
BOUGHT = {"salt": "salt_kg", "sugar": "sugar_kg", "vinegar": "vinegar_l"}
"""Goods that putting by takes and a household buys; a litre of vinegar is taken as a kilogram."""
JAR = "tool.jars_0_5_1_l"


def nothing() -> F64:
    """Twelve noughts."""
    return np.zeros(12)


@dataclass(frozen=True)
class Preserving:
    """What putting by took, by month [12].

    put_in_kg : method -> kilograms that went in, before they were trimmed, dried or boiled down
    hours : of the kitchen, by the task of each way; salt_kg, sugar_kg, vinegar_l
    jars : filled, of the size that table preserving tells them in
    fuel_mj : heat and current of the work itself, whatever burns; not what a freezer draws by the year
    """

    put_in_kg: dict[str, F64] = field(default_factory=dict)
    hours: F64 = field(default_factory=nothing)
    salt_kg: F64 = field(default_factory=nothing)
    sugar_kg: F64 = field(default_factory=nothing)
    vinegar_l: F64 = field(default_factory=nothing)
    jars: F64 = field(default_factory=nothing)
    fuel_mj: F64 = field(default_factory=nothing)


@dataclass(frozen=True)
class KeepingYear:
    """The stores of one larder year.

    places_c : kind of place -> monthly mean temperature, [12]; places that follow no rule are left out
    pace : kind of place -> times that what lies there loses and ages faster than the tables say, weighed by kg, [12]
    thawed_kg : expected loss in freezers to power cuts, [12]
    food_days : days that the food in all stores would last the people, by its energy, at each month's end, [12]; empty
    where no year was reckoned ; plates : of these, what plates can take
    """

    places_c: dict[str, F64] = field(default_factory=dict)
    pace: dict[str, F64] = field(default_factory=dict)
    thawed_kg: F64 = field(default_factory=nothing)
    food_days: F64 = field(default_factory=lambda: np.zeros(0))
    plates: PlateYear = field(default_factory=PlateYear)
    preserving: Preserving = field(default_factory=Preserving)


def keeping_year(holding: Holding, tables: Tables, plan: Plan) -> KeepingYear:
    """Fold the stores of a plan.

    Args:
        holding: its stores.
        tables: places, storing, stores, tasks, preserving.
        plan: the larder year as decided.
    """
    ways = {keeping.account: keeping for keeping in plan.larder.keepings}
    lying = {
        name: np.asarray(plan.opening_kg[row], dtype=np.float64)
        for row, name in enumerate(plan.accounts)
        if name in ways and plan.opening_kg[row].any()
    }
    return KeepingYear(
        places_c=places_c(holding, tables, plan.larder.production.air_c),
        pace=paces(ways, lying),
        thawed_kg=sum((kg * ways[name].thaw_loss for name, kg in lying.items()), nothing()),
        food_days=food_days(plan),
        plates=plate_year(plan, holding.goal.reserve_days),
        preserving=preserving(plan, tables),
    )


def paces(ways: dict[str, Keeping], lying: dict[str, F64]) -> dict[str, F64]:
    """Kind of place -> mean pace of what lies there, weighed by its kilograms, [12]; 1 in months in which nothing does."""
    fast: dict[str, F64] = {}
    mass: dict[str, F64] = {}
    for name, kg in lying.items():
        place = ways[name].place
        if place:
            pace = np.array([ways[name].pace(month) for month in range(12)])
            fast[place] = fast.get(place, nothing()) + kg * pace
            mass[place] = mass.get(place, nothing()) + kg
    return {
        place: np.where(mass[place] > 0.0, fast[place] / np.where(mass[place] > 0.0, mass[place], 1.0), 1.0)
        for place in fast
    }


def food_days(plan: Plan) -> F64:
    """Days that what lies in all stores at each month's end would feed the people, by its energy, [12].

    All that people can eat counts, grain for seed and troughs too: what is promised to animals could be eaten in need.
    The need is that of the month after.
    """
    larder = plan.larder
    energy = larder.nutrients.index("energy_kcal")
    ways = {keeping.account: keeping.gives for keeping in larder.keepings}
    kcal = nothing()
    for row, name in enumerate(plan.accounts):
        per_kg = larder.goods[ways[name]].per_kg if name in ways else None
        if per_kg is not None:
            kcal = kcal + plan.closing_kg[row] * per_kg[energy]
    days = np.array([month.days for month in larder.months], dtype=np.float64)
    need = np.roll(larder.need[energy] / days, -1)
    return np.where(need > 0.0, kcal / np.where(need > 0.0, need, 1.0), 0.0)


def put_in_kg(plan: Plan) -> dict[tuple[str, str], F64]:
    """(good, method) -> kilograms that went in, before they were trimmed, dried or boiled down, [12]."""
    ways = {(keeping.good, keeping.method): keeping for keeping in plan.larder.keepings}
    by_gives = {(keeping.gives, keeping.method): keeping for keeping in plan.larder.keepings}
    found = {}
    for key, kg in plan.put_by_kg.items():
        way = ways.get(key) or by_gives[key]
        found[way.good, way.method] = np.asarray(kg) / way.yield_fraction
    return found


def preserving(plan: Plan, tables: Tables) -> Preserving:
    """What putting by took: kilograms that went in x the figures of tables tasks and preserving."""
    ways = {(keeping.good, keeping.method): keeping for keeping in plan.larder.keepings}
    total = Preserving()
    by_method, stuff = total.put_in_kg, {name: nothing() for name in (*BOUGHT.values(), "hours", "jars", "fuel_mj")}
    for (good, method), kg in put_in_kg(plan).items():
        row = tables.row("stores", f"{good}.{method}")
        if task := row.text("task"):
            stuff["hours"] = stuff["hours"] + kg * rate(tables, task).hours
        if not tables.has("preserving", method) or (row.text("work") == "keep" and method != IN_BRINE):
            continue
        takes = tables.row("preserving", method)
        by_method[method] = by_method.get(method, nothing()) + kg
        for name, column in (("salt_kg", "salt_kg_kg"), ("sugar_kg", "sugar_kg_kg"), ("vinegar_l", "vinegar_l_kg")):
            stuff[name] = stuff[name] + kg * (takes[column] or 0.0)
        stuff["fuel_mj"] = stuff["fuel_mj"] + kg * (takes["fuel_mj_kg"] or 0.0)
        if size := takes["jar_litres"]:
            stuff["jars"] = stuff["jars"] + kg * ways[good, method].jar_litres_per_kg / size
    return Preserving(put_in_kg=by_method, **stuff)


def preserving_costs(holding: Holding, tables: Tables, took: Preserving, months: tuple[Month, ...]) -> dict[str, F64]:
    """Money for what putting by takes, "salt to put by with" -> [12]: the plan's own prices, else the tables'.

    Jars cost the part of their price that a year of their life is; fuel is told in megajoules and not priced.
    """
    kg = {good: np.asarray(getattr(took, name)) for good, name in BOUGHT.items()}
    priced = money(
        months, holding.trades, tables, bought_kg={good: amount for good, amount in kg.items() if amount.any()}
    )
    costs = {f"{item.removeprefix('buy ')} to put by with": -spent for item, spent in priced.by_item.items()}
    if took.jars.any():
        jar = tables.row("prices", JAR)
        costs["jars to put by in"] = took.jars * jar.need("eur_mid") / jar.need("life_years")
    return costs
