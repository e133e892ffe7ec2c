"""Where the food went, short months seen close, and what moves between two plans, as JSON."""

from __future__ import annotations

from typing import Any

from yardland.larderyears.food_flows import CAME, LINES, WENT
from yardland.larderyears.food_year import FoodYear
from yardland.larderyears.hungry_seen import HungryStock
from yardland.larderyears.moves import Move
from yardland.larderyears.short_months import ShortMonths, ShortPlate, Uneaten


def food_json(food: FoodYear) -> dict[str, Any]:
    """Edible energy by line, a counted year in the mean, each line by good as well."""
    return {
        "need_mj": food.need_mj,
        "lacking_mj": food.lacking_mj,
        "came_mj": {line: food.mj[line] for line in CAME},
        "went_mj": {line: food.mj[line] for line in WENT},
        "store_change_mj": food.change_mj,
        "unclosed_share_greatest": food.unclosed,
        "goods_mj": {line: dict(food.goods[line]) for line in LINES},
    }


def short_json(close: ShortMonths) -> dict[str, Any]:
    """The short months seen close."""
    return {
        "months": close.months,
        "of_months": close.of,
        "by_month": list(close.by_month),
        "energy_lacks_months": close.energy,
        "energy_lacking_share": close.energy_lack,
        "protein_lacks_months": close.protein,
        "protein_lacking_share": close.protein_lack,
        "plates": [plate_json(one) for one in close.plates],
        "uneaten": [uneaten_json(one) for one in close.uneaten],
    }


def plate_json(one: ShortPlate) -> dict[str, Any]:
    """A plate in the short months."""
    return {
        "plate": one.plate,
        "diet": one.diet or None,
        "full_months": one.full,
        "bare_months": one.bare,
        "eaten_mj_per_year": one.eaten_mj,
        "uneaten_behind_it_mj": one.behind_mj,
    }


def uneaten_json(one: Uneaten) -> dict[str, Any]:
    """What lay there in the short months."""
    return {
        "good": one.good,
        "kg": one.kg,
        "mj": one.mj,
        "why_shares": dict(one.why),
        "full_plate": one.plate or None,
    }


def stock_json(close: HungryStock) -> dict[str, Any]:
    """The months of hungry stock, class by class, and what is bought to its limit."""
    return {
        "classes": [
            {
                "herd": one.herd.removeprefix("herd:"),
                "share_of_years": one.years,
                "share_of_years_by_month": list(one.by_month),
                "lacking_share": one.lack,
                "feeds_at_most_share_of_months": dict(one.at_most),
                "feeds_out_share_of_months": dict(one.out),
            }
            for one in close.classes
        ],
        "bought_to_limit_months_per_year": dict(close.bought_full),
    }


def move_json(one: Move) -> dict[str, Any]:
    """A line under both plans."""
    return {
        "line": one.line,
        "unit": one.unit,
        "first": one.first,
        "second": one.second,
        "difference": one.difference.value,
        "difference_interval": [one.difference.low, one.difference.high],
        "told_apart": one.difference.told_apart,
    }
