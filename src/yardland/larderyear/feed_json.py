"""Feed, fodder, leavings, the heap and what stock give as plain data for `--json`: units in the keys."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

from yardland.larderyear.numbers import maybe, number

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    import numpy.typing as npt

    from yardland.accounts.produce import Eggs
    from yardland.larder.feed_fodder import FodderCount
    from yardland.larder.feed_slaughter import SlaughterParts
    from yardland.larderyear.result import YearResult


def feed_json(result: YearResult) -> dict[str, object]:
    """Keys `fodder` (null without ruminants on grass), `feed_lacks` (shares of each bound), `leavings`, `heap`, `slaughter_kg`, `eggs`.

    Raises:
        YardlandError: a number that is not finite.
    """
    return {
        "fodder": None if result.fodder is None else fodder_json(result.fodder),
        "feed_lacks": {
            group: {bound: numbers(share) for bound, share in bounds.items()}
            for group, bounds in result.feed_lacks.items()
        },
        "leavings": leavings_json(result),
        "heap": heap_json(result),
        "slaughter_kg": {group: slaughter_json(classes) for group, classes in result.produce.slaughter.items()},
        "eggs": {group: eggs_json(eggs) for group, eggs in result.produce.eggs.items()},
    }


def slaughter_json(classes: Mapping[str, SlaughterParts]) -> dict[str, dict[str, float]]:
    """Class -> live weight of what was killed in the year and its parts, kg."""
    return {
        klass: {name.removesuffix("_kg"): number(kg) for name, kg in asdict(parts).items()}
        for klass, parts in classes.items()
    }


def eggs_json(eggs: Eggs) -> dict[str, object]:
    """Eggs by month, and the share of each size."""
    return {
        "number": numbers(eggs.number),
        "by_size_share": {size: number(share) for size, share in eggs.by_size.items()},
    }


def fodder_json(count: FodderCount) -> dict[str, object]:
    """The count of winter fodder. Days are days of the larder year, from 0; negative ones lie in the year before."""
    return {
        "housed_day": count.housed_day,
        "turn_out_day": count.turn_out_day,
        "latest_turn_out_day": count.latest_day,
        "latest_turn_out_in": count.latest_label,
        "turn_out_day_by_year": list(count.by_lane),
        "stored_kg": {good: number(kg) for good, kg in count.stored_kg.items()},
        "stored_mj": number(count.stored_mj),
        "fed_beside_mj": number(count.fed_mj),
        "buyable_mj": maybe(count.buyable_mj),
        "need_mj": number(count.need_mj),
        "missing_mj": number(count.missing_mj),
        "days_in_hand": count.days_in_hand,
        "winter_days": count.winter_days,
        "reserve_days": number(count.reserve_days),
        "sold_if_short": [
            {"group": one.group, "class": one.klass, "heads": one.heads, "saves_mj": number(one.saves_mj)}
            for one in count.sold
        ],
    }


def leavings_json(result: YearResult) -> dict[str, object]:
    """Leavings of kitchen and slaughter by month, fresh, fed or not; those beside harvests with what of them was eaten."""
    whole = result.leavings
    return {
        "kitchen_kg": None if whole is None else numbers(whole.kitchen_kg),
        "slaughter_kg": None if whole is None else numbers(whole.slaughter_kg),
        "larvae_on_slaughter_kg": None if whole is None else numbers(whole.larvae_kg),
        "beside_harvests": {
            good: {
                "kg": numbers(one.kg),
                "eaten_kg": numbers(one.eaten_kg),
                "left_kg": number(one.left_kg),
                "left_n_kg": number(one.n_kg),
                "left_c_kg": number(one.c_kg),
            }
            for good, one in result.left_lying.items()
        },
    }


def heap_json(result: YearResult) -> dict[str, object]:
    """The heap of a year, fresh kg and kg of nitrogen; `carbon_over_nitrogen` and `moisture_share` of what is laid on it."""
    heap = result.heap
    return {
        "collected_kg": number(heap.collected_kg),
        "bedding_kg": number(heap.bedding_kg),
        "kitchen_kg": number(heap.kitchen_kg),
        "carbon_over_nitrogen": number(heap.cn) if heap.collected_kg > 0.0 else None,
        "moisture_share": number(heap.moisture) if heap.collected_kg > 0.0 else None,
        "straw_to_balance_kg": number(heap.balance_straw_kg),
        "excreted_n_kg": number(heap.excreted_n_kg),
        "bedding_n_kg": number(heap.bedding_n_kg),
        "kitchen_n_kg": number(heap.kitchen_n_kg),
        "dropped_n_kg": number(heap.dropped_n_kg),
        "house_lost_n_kg": number(heap.house_lost_n_kg),
        "heap_lost_n_kg": number(heap.heap_lost_n_kg),
        "spread_n_kg": number(heap.spread_n_kg),
        "left_n_kg": number(heap.left_n_kg),
        "left_kg": number(heap.left_kg),
        "asked_kg": number(heap.asked_kg),
        "given_share": number(heap.given_share),
        "spread_kg": numbers(heap.spread_kg),
        "bought_compost_kg": numbers(heap.bought_kg),
    }


def numbers(values: npt.NDArray[np.float64]) -> list[float]:
    """An array as a list of finite numbers."""
    return [number(value) for value in values]
