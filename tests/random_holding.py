"""Holding folders at random: valid by what the tables know, and as odd as a user's may be."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np

from yardland.holding.known import is_male
from yardland.larder.catalogue import keeping_for
from yardland.reference import Tables

USES = ("crops", "garden", "grass", "orchard")
Rows = list[dict[str, Any]]


class Dice:
    """Choices of one seed."""

    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng(seed)

    def one(self, names: Iterable[Any]) -> Any:
        """One of the names."""
        names = tuple(names)
        return names[int(self.rng.integers(len(names)))]

    def some(self, names: Iterable[Any], most: int, least: int = 0) -> list[Any]:
        """From `least` to `most` of the names, each once, in their own order."""
        names = tuple(names)
        count = min(int(self.rng.integers(least, most + 1)), len(names))
        return [names[index] for index in sorted(self.rng.choice(len(names), count, replace=False))]

    def whole(self, low: int, high: int) -> int:
        """A whole number from `low` to `high`."""
        return int(self.rng.integers(low, high + 1))

    def size(self, low: float, high: float) -> float:
        """A number from `low` to `high`, as likely of any order of magnitude."""
        return float(f"{np.exp(self.rng.uniform(np.log(low), np.log(high))):.4g}")

    def chance(self, share: float) -> bool:
        """True in that share of the cases."""
        return bool(self.rng.random() < share)

    def day(self) -> str:
        """A day of every year."""
        return f"{self.whole(1, 12):02d}-{self.whole(1, 28):02d}"


def toml(value: Any) -> str:
    """A value in TOML, tables inline."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(str(key))} = {toml(item)}" for key, item in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    return json.dumps(value, ensure_ascii=False)


def write_holding(folder: Path, seed: int, tables: Tables) -> None:
    """Write the holding of that seed."""
    dice = Dice(seed)
    water = random_water(dice)
    plots = random_plots(dice, [name for name in water if name != "order"])
    groups = random_groups(dice, tables, list(plots))
    plan: dict[str, Any] = {
        "schema": 1,
        "place": random_place(dice),
        "goal": {"level": dice.one(("hand garden", "good smallholder", "handbook best"))},
        "people": random_tastes(Dice(seed + 1), random_people(dice)),
        "guests": random_guests(Dice(seed + 2)),
        "soil": random_soils(dice, tables),
        "water": water,
        "plot": plots,
        "block": random_blocks(dice, tables, list(plots)),
        "group": groups,
        "round": random_round(dice, plots, groups),
        "store": random_stores(dice),
        "kitchen": {"jars_per_week": dice.one((0, 5, 40)), "dry_kg_per_week": dice.one((0, 1, 30))},
    }
    text = "\n".join(f"{key} = {toml(value)}" for key, value in plan.items() if value != {})
    (folder / "holding.toml").write_text(text + "\n", encoding="utf-8")
    write_sheet(folder / "plantings.csv", random_plantings(dice, tables, plots))
    write_sheet(folder / "trades.csv", random_trades(dice, tables))
    rooms = {store["kind"]: store["volume_l"] for store in plan["store"].values()}
    write_sheet(folder / "stores.csv", random_shelves(dice, tables, rooms))


def write_sheet(path: Path, rows: Rows) -> None:
    """The rows as a sheet; no file for no rows."""
    if rows:
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)


def random_place(dice: Dice) -> dict[str, Any]:
    """Anywhere between the polar circles, and the edges of the map."""
    return {
        "name": "Anywhere",
        "latitude_deg": dice.one((-65.9, -1e-9, 0.0, 23.5, 65.9, *dice.rng.uniform(-66, 66, 12).round(3).tolist())),
        "longitude_deg": dice.one((-180.0, 180.0, *dice.rng.uniform(-180, 180, 12).round(3).tolist())),
        "altitude_m": dice.one((-400.0, 0.0, 0.0, 150.0, 800.0, 2500.0, 4800.0)),
        "country": dice.one(("GB", "US", "CL", "KE")),
        "year_starts": f"{dice.whole(1, 12):02d}-01",
    }


def random_people(dice: Dice) -> dict[str, Any]:
    """From one infant alone to a crowd."""
    count = dice.one((1, 1, 2, 3, 4, 6, 40))
    born = [dice.one((2010, 2024, 2025, *range(1915, 2026, 5))) for _ in range(count)]
    return {
        f"p{number}": {
            "born": f"{year}-{dice.day()}",
            "sex": dice.one("fm"),
            "weight_kg": dice.size(7, 25) if year > 2023 else dice.size(15, 120) if year > 2010 else dice.size(30, 180),
            "activity": dice.one(("sedentary", "low active", "active", "very active")),
            "hours_week": dice.one((0, 0, 20, 60)),
            "no": dice.some(("honey", "milk_cow", "hazelnut", "grain", "beef"), 2),
        }
        for number, year in enumerate(born)
    }


def random_tastes(dice: Dice, people: dict[str, Any]) -> dict[str, Any]:
    """The people with diets and likes. Dice of their own: what stands beside them stays that of the seed."""
    for person in people.values():
        person["no"] = person["no"] + dice.some(("vegetarian", "gluten", "pork"), 1)
        person["likes"] = {name: random_liking(dice) for name in dice.some(("potato", "root", "eggs"), 2)}
    return people


def random_liking(dice: Dice) -> dict[str, Any]:
    """From nothing at all to more than anybody eats."""
    least = dice.one((0.0, 0.0, 0.2, 3.0, 20.0))
    return {"least_kg_week": least} | (
        {"most_kg_week": least + dice.one((0.0, 1.0, 9.0))} if dice.one("yn") == "y" else {}
    )


def random_guests(dice: Dice) -> dict[str, Any]:
    """Nobody, a helper for a day every year, a crowd for half a year."""
    guests = {
        "helper": {"adults": 1, "when": [dice.day()], "meals": 0.3},
        "crowd": {"adults": 60, "children": 31, "when": ["03-01/09-10", f"{dice.day()}/{dice.day()}"], "no": ["pork"]},
        "later": {"adults": 3, "when": ["2051-06-01/2051-06-30"]},
    }
    return {name: guests[name] for name in dice.some(guests, 2)}


def random_soils(dice: Dice, tables: Tables) -> dict[str, Any]:
    """A soil by its texture, and one of a laboratory: pure sand to pure clay, without humus to peat, sour to chalky."""
    sand = dice.one((0.0, 0.0, 5.0, 30.0, 65.0, 95.0, 100.0))
    tested: dict[str, Any] = {"sand_pct": sand, "clay_pct": dice.one((0.0, 0.25, 0.6, 1.0)) * (100.0 - sand)}
    figures = {
        "organic_matter_pct": dice.one((0.0, 0.1, 3.0, 12.0, 30.0, 100.0)),
        "ph": dice.one((3.0, 4.8, 6.5, 8.2, 10.0)),
        "p_index": dice.whole(0, 9),
        "k_index": dice.whole(0, 9),
        "tested_on": "2019-03-01",
    }
    for name in dice.some(figures, len(figures)):
        tested[name] = figures[name]
    return {"s": {"texture": dice.one(tables.keys("soils"))}, "lab": tested}


def random_water(dice: Dice) -> dict[str, Any]:
    """Up to three sources, some of them all but dry."""
    sources: dict[str, Any] = {
        "tank": {"kind": "tank", "volume_m3": dice.size(0.01, 100), "fed_by_roof_m2": dice.size(0.01, 500)},
        "pond": {"kind": "pond", "volume_m3": dice.size(1, 5000), "fed_by_land_m2": dice.size(1, 50_000)},
        "well": {"kind": "well", "rate_m3_day": dice.size(0.001, 100), "dry_summer_rate_m3_day": 0.0},
    }
    return {name: sources[name] for name in dice.some(sources, 3)} | {"order": ["people", "stock", "garden", "fields"]}


def random_plots(dice: Dice, sources: list[str]) -> dict[str, Any]:
    """A house and up to seven plots from one square metre to 500 ha; beds may carry a sward, and any may be watered."""
    plots: dict[str, Any] = {"house": {"use": "house", "area_m2": 200.0}}
    for number in range(dice.whole(0, 7)):
        use = dice.one(USES)
        plot: dict[str, Any] = {
            "use": use,
            "area_m2": dice.one((1.0, 5e6, *(dice.size(5, 30_000) for _ in range(8)))),
            "slope_deg": dice.one((0.0, 0.0, 8.0, 45.0)),
        }
        if dice.chance(0.8):
            plot["soil"] = dice.one(("s", "lab"))
        if dice.chance(0.4):
            plot["watered_by"] = dice.some(sources, 3)
        if use in {"crops", "garden"} and dice.chance(0.2):
            plot["cover"] = dice.one(("tunnel", "frame", "fleece"))
        if use == "grass" or dice.chance(0.5 if use == "orchard" else 0.1):
            plot["sward"] = {"kind": dice.one(("grass-clover", "permanent pasture", "lucerne"))}
            if dice.chance(0.5):
                plot["shut_up_for_hay"] = dice.one(("04-25/07-05", "10-15/12-20", "12-15/02-10"))
        plots[f"plot{number}"] = plot
    return plots


def random_blocks(dice: Dice, tables: Tables, plots: list[str]) -> dict[str, Any]:
    """Trees, bushes and vines of any kind and age."""
    return {
        f"block{number}": {
            "plot": dice.one(plots),
            "trees": [
                {"species": kind, "count": dice.one((1, 3, 20, 2000)), "planted": f"{dice.whole(1900, 2025)}-03-01"}
                for kind in dice.some(tables.keys("trees"), 4, 1)
            ],
        }
        for number in range(dice.whole(0, 3))
    }


def random_groups(dice: Dice, tables: Tables, plots: list[str]) -> dict[str, Any]:
    """Groups of one or two classes, with young or without, and batches to fatten."""
    groups: dict[str, Any] = {}
    for number in range(dice.one((0, 0, 1, 2, 3, 5))):
        klass = dice.one(tables.keys("stock"))
        group: dict[str, Any] = {"home": dice.one(plots), "buy_feed": dice.chance(0.5)}
        if dice.chance(0.25) and klass != "honeybee_colony":
            days = sorted({dice.day() for _ in range(dice.whole(1, 3))})
            klass = dice.one(key for key in tables.keys("herds") if tables.row("herds", key).text("gain_mj_kg"))
            group["batch"] = [{"class": klass, "count": dice.one((1, 12, 400)), "on": days}]
        else:
            group["heads"] = {klass: dice.one((1, 2, 6, 30, 500))}
            if not is_male(klass) and klass != "honeybee_colony" and dice.chance(0.7):
                group |= {
                    "born": [dice.day()],
                    "sire": {"how": "borrowed", "from": dice.day()},
                    "keep_young": dice.whole(0, 3),
                }
            if dice.chance(0.5):
                group["milk_share"] = dice.one(("all", "apart at night", "once a day", "none"))
            if dice.chance(0.2):
                group["kill_after_days"] = dice.one((1, 60, 400, 2000))
        groups[f"group{number}"] = group
    return groups


def random_round(dice: Dice, plots: dict[str, Any], groups: dict[str, Any]) -> dict[str, Any]:
    """A round of some of the groups through some of the plots."""
    walking = [name for name, group in groups.items() if "honeybee_colony" not in group.get("heads", {})]
    grounds = [name for name, plot in plots.items() if plot["use"] in USES]
    if not walking or not grounds or dice.chance(0.4):
        return {}
    order, through = dice.some(walking, 3, 1), dice.some(grounds, 5, 1)
    return {"walk": {"order": order, "plots": through, "stay_days": dice.one(([1, 1], [3, 6], [30, 365]))}}


def random_stores(dice: Dice) -> dict[str, Any]:
    """Up to seven places to keep food, some as small as a jar."""
    kinds = dice.some(("cellar", "pantry", "clamp", "freezer", "loft", "barn", "fridge"), 7)
    places = {kind: {"kind": kind, "volume_l": dice.size(1, 50_000)} for kind in kinds}
    if "cellar" in places and dice.chance(0.4):
        places["cellar"]["temperature_c"] = dice.one((0, 9, 25))
    if "freezer" in places and dice.chance(0.5):
        places["freezer"]["power_cut_days_per_year"] = dice.one((0.5, 20, 365))
    return places


def random_plantings(dice: Dice, tables: Tables, plots: dict[str, Any]) -> Rows:
    """Crops on shares of the plots that take them, sown when the climate says."""
    rows: Rows = []
    for name, plot in plots.items():
        if plot["use"] not in {"crops", "garden"} or "sward" in plot:
            continue
        crops = dice.some(tables.keys("crops"), 6)
        rows += [
            {
                "plot": name,
                "crop": crop,
                "sow": dice.one(("auto", "auto", "auto", "04-10/05-20")) if plot.get("cover") else "auto",
                "share": dice.one((0.001, 0.5 / len(crops), 1.0 / len(crops))),
                "use": dice.one(("people", "people", "feed")),
                "seed": dice.one(("own", "bought")),
                "dressing": random_dressing(dice),
            }
            for crop in crops
        ]
    return rows


def random_dressing(dice: Dice) -> str:
    """Nothing, a material without a rate, or one from a dusting to the most that is taken."""
    kind: str = dice.one(("", "", "raw manure", "compost", "bought compost", "fertiliser"))
    if kind == "fertiliser":
        return f"fertiliser {dice.one((1, 60, 200, 500))} kg N/ha"
    rate = dice.one(("", "", " 0.01 t/ha", " 15 t/ha", " 4 kg/m2", " 500 t/ha"))
    return f"{kind}{rate}" if kind else ""


def random_trades(dice: Dice, tables: Tables) -> Rows:
    """Purchases and sales of any good at any price."""
    items = dice.some(tables.keys("goods"), dice.one((0, 3, 12)))
    return [
        {
            "item": item,
            "do": dice.one(("buy", "sell")),
            "price": dice.one((0, 0.001, 0.5, 20, 50_000)),
            "from": "",
            "to": "",
            "limit_month": dice.one(("", 0, 0.01, 50, 1_000_000)),
        }
        for item in items
    ]


def random_shelves(dice: Dice, tables: Tables, rooms: dict[str, float]) -> Rows:
    """What is on the shelves today, where there is a shelf for it."""
    rows = [tables.row("stores", key) for key in dice.some(tables.keys("stores"), dice.one((0, 4, 12)))]
    rows = [row for row in rows if keeping_for(row, rooms, ())]
    return [
        {
            "good": row.text("good"),
            "kg": dice.size(0.01, 3000),
            "method": row.text("method"),
            "made": dice.one(("", "2024-09-01", "2026-03-15")),
        }
        for row in rows
    ]
