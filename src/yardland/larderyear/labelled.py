"""A year's result as labelled arrays and tables, for notebooks and other programs; units stand in `attrs`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larderyear.ground_json import ground_json

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

    from yardland.larderyear.result import YearResult

F64 = npt.NDArray[np.float64]
SCHEMA = "yardland.year/1"


def dataset(result: YearResult) -> xr.Dataset:
    """Every monthly series of the year.

    Dimensions: month ("2022-10"), nutrient, good (as eaten), shelf ("potato, root_cellar"), feed ("cow, hay_grass"),
    product ("hens, egg_hen"), source (of water), item (of money); week (0-51) and task for the hours.

    Returns:
        xarray.Dataset whose variables carry `units`; the whole carries label, weather, seed and holding in `attrs`.
    """
    import xarray as xr

    months = [f"{month.year:04d}-{month.month:02d}" for month in result.months]

    def series(values: Mapping[str, F64], dim: str, units: str, words: str) -> xr.DataArray:
        names = list(values)
        stacked = np.stack([values[name] for name in names]) if names else np.zeros((0, 12))
        attrs = {"units": units, "long_name": words}
        return xr.DataArray(stacked, dims=(dim, "month"), coords={dim: names, "month": months}, attrs=attrs)

    hours = result.hours_week
    weeks = xr.DataArray(
        np.stack(list(hours.values())) if hours else np.zeros((0, 52)),
        dims=("task", "week"),
        coords={"task": list(hours), "week": np.arange(52)},
        attrs={"units": "h", "long_name": "hours of work"},
    )
    return xr.Dataset(
        {
            "coverage": series(result.coverage, "nutrient", "1", "eaten / needed"),
            "coverage_average": series(result.coverage_average, "required", "1", "eaten / average requirement"),
            "need_day": series(result.need_day, "need", "by the nutrient's name", "need of the household a day"),
            "eaten_kg": series(result.eaten_kg, "good", "kg", "eaten, fresh mass"),
            "stores_kg": series(result.stores_kg, "shelf", "kg", "in store at the month's end"),
            "feed_kg": series(flat(result.feed_kg), "feed", "kg", "fed or grazed, fresh mass"),
            "feed_short": series(result.feed_short, "group", "1", "share of the energy need not met"),
            "products_kg": series(flat(result.products_kg), "product", "kg", "given by animals"),
            "water_m3": series(result.water_m3, "source", "m3", "water drawn"),
            "money": series(result.money, "item", result.holding.place.currency, "income positive"),
            "hours": weeks,
        },
        attrs={
            "schema": SCHEMA,
            "holding": result.holding.place.name,
            "label": result.label,
            "weather": result.weather_note,
            "seed": result.seed,
        },
    )


def flat(nested: Mapping[str, Mapping[str, F64]]) -> dict[str, F64]:
    """Group -> name -> values as "group, name" -> values."""
    return {f"{group}, {name}": values for group, inner in nested.items() for name, values in inner.items()}


def frames(result: YearResult) -> dict[str, pd.DataFrame]:
    """The year's tables: plantings, trees, flows, findings, needs, ground, causes.

    Flows: one row an arc and month that carries something; ground: the soil of each farmed plot. Units are in the column names; `attrs["schema"]` names the form.
    """
    import pandas as pd

    ledger = result.ledger
    rows, columns = np.nonzero(ledger.fresh_kg)
    flows = pd.DataFrame(
        {
            "source": [ledger.arcs[row].source for row in rows],
            "target": [ledger.arcs[row].target for row in rows],
            "good": [ledger.arcs[row].good for row in rows],
            "kind": [ledger.arcs[row].kind for row in rows],
            "month": [result.months[column].name for column in columns],
            "fresh_kg": ledger.fresh_kg[rows, columns],
            "dm_kg": ledger.dm_kg[rows, columns],
        }
    )
    many = ("factors", "factors_by_year", "yield_t_ha_by_year")
    plantings = [
        {name: value for name, value in asdict(planting).items() if name not in many}
        | {f"factor_{name}": share for name, share in planting.factors.items()}
        for planting in result.plantings
    ]
    trees = [
        {name: value for name, value in asdict(tree).items() if name not in ("factors", "chill_by_year")}
        | {f"factor_{name}": share for name, share in tree.factors.items()}
        for tree in result.trees
    ]
    found = {
        "plantings": pd.DataFrame(plantings),
        "trees": pd.DataFrame(trees),
        "flows": flows,
        "findings": pd.DataFrame([asdict(finding) for finding in result.findings]),
        "needs": pd.DataFrame([asdict(need) for need in result.needs]),
        "ground": pd.json_normalize(ground_json(result), sep="_"),
        "causes": pd.DataFrame([asdict(cause) for cause in result.causes], columns=["link", "mended_share", "words"]),
    }
    for frame in found.values():
        frame.attrs["schema"] = SCHEMA
    return found
