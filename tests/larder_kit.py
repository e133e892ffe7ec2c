"""Small larders described by hand, for the tests of the larder's program."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from yardland.larder.description import Feed, Good, Keeping, Larder, Plate, Process, Trade
from yardland.larder.plan import Plan
from yardland.ledger.arcs import incidence
from yardland.ledger.months import larder_months
from yardland.ledger.production import Gathered, Grazing, HerdNeed, Production, SeedNeed

MONTHS = larder_months(2023, 1)
ALL_YEAR = np.full(12, 1.0)
NUTRIENTS = ("energy_kcal", "protein_g")


def months(**kg: float) -> np.ndarray:
    """Twelve numbers from names of months (jan=..., the year starts in January)."""
    values = np.zeros(12)
    for name, value in kg.items():
        values[[month.name.lower() for month in MONTHS].index(name)] = value
    return values


def food(key: str, kcal: float = 1000.0, protein: float = 100.0, **more: object) -> Good:
    """A good that people eat, with its contents per kg."""
    per_kg = np.tile(np.array([[kcal], [protein]]), (1, 12))
    return Good(key=key, name=key, dm_fraction=0.5, per_kg=per_kg, **more)


def keeping(good: str, loss: float = 0.0, life: float = 12.0, **more: object) -> Keeping:
    """A way to keep the good as it is."""
    return Keeping(good=good, method="shelf", gives=good, shelf_life_months=life, monthly_loss=loss, **more)


def larder(
    goods: list[Good],
    gathered: dict[str, np.ndarray],
    need_kcal: np.ndarray,
    need_protein: np.ndarray | None = None,
    **more: object,
) -> Larder:
    """A larder with those goods gathered and those needs in each month."""
    need = np.array([need_kcal, np.zeros(12) if need_protein is None else need_protein])
    fields: dict[str, object] = {
        "keepings": (),
        "processes": (),
        "plates": (),
        "trades": (),
        "feeds": {},
        "production": Production(tuple(Gathered("crop:field.x", good, kg) for good, kg in gathered.items())),
    } | more
    return Larder(
        months=MONTHS,
        nutrients=NUTRIENTS,
        need=need,
        driving=NUTRIENTS,
        goods={good.key: good for good in goods},
        emergency_kcal_per_kg=1000.0,
        **fields,
    )


def hen(need_mj: float, **more: object) -> HerdNeed:
    """A flock with a steady need of energy and 1 kg of eggs a month when fed in full."""
    fields: dict[str, object] = {
        "protein_kg": np.zeros(12),
        "dry_matter_max_kg": np.full(12, 1000.0),
        "forage_min_fraction": 0.0,
        "products": {"egg": ALL_YEAR.copy()},
        "ceiling_column": "max_layer",
    } | more
    return HerdNeed(
        group="flock",
        klass="hen",
        heads=ALL_YEAR,
        system="amen_poultry",
        energy_mj=np.full(12, need_mj),
        manure_kg=np.zeros(12),
        manure_n_kg=np.zeros(12),
        water_m3=np.zeros(12),
        **fields,
    )


def grain_feed(energy: float = 10.0, protein: float = 0.1, most: float = 1.0) -> Feed:
    """A grain for poultry."""
    return Feed("grain", {"amen_poultry": energy}, protein, {"max_layer": most}, forage=False)


def random_larder(rng: np.random.Generator) -> Larder:
    """A small larder of invented figures: foods, shelves, a mill, a flock, a sward, trades, plates, seed."""
    keys = ["oats", "roots", "beans", "egg", "meal", "bran"]
    goods = [food(key, float(rng.uniform(300, 4000)), float(rng.uniform(5, 250))) for key in keys]
    goods = [replace(good, feed="grain" if good.key in {"oats", "bran"} else "") for good in goods]
    goods.append(Good("grass", "grass", 0.2, feed="grass"))
    feeds = {
        "grain": grain_feed(float(rng.uniform(8, 14)), float(rng.uniform(0.05, 0.2)), float(rng.uniform(0.3, 1.0))),
        "grass": Feed("grass", {"amen_poultry": 7.0}, 0.15, {"max_layer": 0.5}, forage=True),
    }
    ways = tuple(
        Keeping(
            key,
            "shelf",
            key,
            float(rng.uniform(0.3, 14)),
            float(rng.uniform(0, 0.1)),
            place="cellar",
            litres_per_kg=2.0,
        )
        for key in ("oats", "roots", "beans")
    )
    harvests = tuple(
        Gathered(f"crop:field.{key}", key, rng.uniform(0, 300, 12) * (rng.random(12) < 0.3))
        for key in ("oats", "roots", "beans")
    )
    production = Production(
        harvests,
        grazing=(Grazing("sward:mead", "grass", rng.uniform(0, 40, 12), float(rng.uniform(0, 1)), ("flock",)),),
        herds=(hen(float(rng.uniform(50, 400)), protein_kg=rng.uniform(0, 3, 12)),),
        seed=(SeedNeed("field.oats", "oats", months(apr=float(rng.uniform(1, 20)))),),
    )
    return larder(
        goods,
        {},
        rng.uniform(1e4, 2e5, 12),
        rng.uniform(1e2, 5e3, 12),
        keepings=ways,
        processes=(Process("mill", "oats", (("meal", 0.7), ("bran", 0.25))),),
        plates=(
            Plate(
                "roots",
                ("roots", "beans"),
                (0.8, 1.0),
                np.full(12, float(rng.uniform(5, 60))),
                food=bool(rng.random() < 0.5),
            ),
        ),
        trades=(Trade("oats", "buy", 0.5, rng.uniform(0, 20, 12)), Trade("egg", "sell", 4.0, np.full(12, 3.0))),
        feeds=feeds,
        production=production,
        rooms_litres={"cellar": float(rng.uniform(100, 2000))},
        cyclic=bool(rng.random() < 0.7),
        opening=(("roots", "shelf", float(rng.uniform(0, 50)), 0.0),),
    )


def imbalance(plan: Plan, *, dry: bool = False) -> float:
    """Greatest miss of closing - opening = A @ flows over kitchens and stores, relative to the throughput."""
    names = tuple(sorted({end for arc in plan.arcs for end in (arc.source, arc.target)}))
    matrix = incidence(plan.arcs, names)
    content = plan.dm_kg if dry else plan.fresh_kg
    net, through = matrix @ content, np.abs(matrix) @ np.abs(content)
    held = {keeping.account: plan.larder.goods[keeping.gives].dm_fraction for keeping in plan.larder.keepings}
    worst = 0.0
    for row, account in enumerate(plan.accounts):
        at = names.index(account)
        fraction = held.get(account, 0.0) if dry else 1.0
        change = (plan.closing_kg[row] - plan.opening_kg[row]) * fraction
        worst = max(worst, float(np.max(np.abs(net[at] - change) / np.maximum(through[at], 1.0))))
    return worst
