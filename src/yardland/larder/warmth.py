"""How warm it is where food lies, month by month, and how much faster it spoils there (docs/larder-stores.md).

Earth round a place damps and delays what happens above it. The temperature at depth z under a surface that swings as a
sine of angular frequency w is T(z, t) = mean + A exp(-z / d) sin(w t - z / d), with d = sqrt(2 D / w) (Hillel 1982; Ochsner,
Rain or Shine, eqs 13-4 and 13-5). Each harmonic of the twelve monthly means of the air is carried down by it.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.larder.description import MONTHS

if TYPE_CHECKING:
    from yardland.holding.model import Holding
    from yardland.reference.tables import Tables

F64 = npt.NDArray[np.float64]
YEAR_S = 365.0 * 86400.0
LIES_IN = {"jars": "pantry"}
"""Where a row's place lies among the places whose warmth is known."""
GROUND = "in the ground"
BANDS = ((10.0, "q10_to_10_c"), (20.0, "q10_to_20_c"), (30.0, "q10_to_30_c"), (np.inf, "q10_over_30_c"))
"""Upper end of each band of temperatures, and the row of table storing with its Q10."""


def ground_c(air_c: F64, depth_m: float, diffusivity_m2_s: float) -> F64:
    """Monthly mean temperature in the earth under a surface as warm as the air, in a year that comes round.

    Args:
        air_c: monthly mean temperature of the air, [12].
        depth_m: depth under the surface.
        diffusivity_m2_s: thermal diffusivity of the earth.
    """
    waves = np.fft.rfft(air_c)
    frequency = 2.0 * np.pi * np.arange(len(waves)) / YEAR_S
    per_m = np.sqrt(frequency / (2.0 * diffusivity_m2_s))
    return np.asarray(np.fft.irfft(waves * np.exp(-(1.0 + 1.0j) * depth_m * per_m), n=len(air_c)), dtype=np.float64)


def place_c(tables: Tables, place: str, air_c: F64 | None) -> F64 | None:
    """Monthly mean temperature of a kind of place by its rule in table places, [12].

    Args:
        tables: places, storing.
        place: key of table places.
        air_c: monthly mean and mean daily minimum of the air, [2, 12]; None where the sky is not known.

    Returns:
        None where no rule is known, or where the rule asks for a sky that is not.
    """
    row = tables.row("places", place)
    rule = row.text("rule")
    if rule == "set":
        return np.full(MONTHS, row.need("set_c"))
    if not rule or air_c is None:
        return None
    mean_c, night_c = air_c
    if rule == "air":
        around = mean_c + (row["warmer_c"] or 0.0)
    else:
        around = ground_c(mean_c, row.need("depth_m"), tables.row("storing", "ground_diffusivity").need("number"))
        around = around - (row["vents"] or 0.0) * np.maximum(around - night_c, 0.0)
    return np.asarray(np.maximum(around, row.need("least_c")), dtype=np.float64)


def places_c(holding: Holding, tables: Tables, air_c: F64 | None) -> dict[str, F64]:
    """Kind of place -> monthly mean temperature, [12], of the places that the holding has, and of the ground.

    A store's own `temperature_c` goes before its kind's rule; several stores of a kind are weighed by their room.
    """
    found: dict[str, tuple[F64, float]] = {}
    unknown: set[str] = set()
    for store in holding.store.values():
        rule_c = place_c(tables, store.kind, air_c)
        degrees = rule_c if store.temperature_c is None else np.full(MONTHS, store.temperature_c)
        if degrees is None:
            unknown.add(store.kind)
            continue
        total, litres = found.get(store.kind, (np.zeros(MONTHS), 0.0))
        found[store.kind] = (total + degrees * store.volume_l, litres + store.volume_l)
    warm = {kind: total / litres for kind, (total, litres) in found.items() if kind not in unknown}
    earth_c = place_c(tables, GROUND, air_c)
    return warm if earth_c is None else warm | {GROUND: earth_c}


def spoiling(tables: Tables, degrees: npt.ArrayLike) -> F64:
    """How fast what lies there spoils, beside 0 C: a Q10 of its own for each ten degrees (USDA Handbook 66).

    Args:
        tables: storing.
        degrees: temperatures, C, any shape.
    """
    warm = np.asarray(degrees, dtype=np.float64)
    power, low = np.zeros_like(warm), -np.inf
    for high, key in BANDS:
        part = np.minimum(warm, high) if low == -np.inf else np.clip(warm, low, high) - low
        power = power + part / 10.0 * np.log(tables.row("storing", key).need("number"))
        low = high
    return np.exp(power)


def warmth(tables: Tables, stores: Iterable[str], temperatures: dict[str, F64]) -> dict[str, tuple[float, ...]]:
    """Times that ways of keeping lose and age faster in each month than their rows of table stores say.

    Args:
        tables: stores, storing.
        stores: keys of table stores.
        temperatures: kind of place -> [12], C.

    Returns:
        Key -> twelve factors of at least 1 (colder than the row asks for keeps no longer); empty if all are 1, or not known.
    """
    speeds = {place: spoiling(tables, degrees) for place, degrees in temperatures.items()}
    asked: dict[float, float] = {}
    found: dict[str, tuple[float, ...]] = {}
    for store in stores:
        row = tables.row("stores", store)
        place = LIES_IN.get(row.text("place"), row.text("place"))
        most_c = row["keeps_to_c"]
        if most_c is None or place not in temperatures or float(temperatures[place].max()) <= most_c:
            found[store] = ()
            continue
        if most_c not in asked:
            asked[most_c] = float(spoiling(tables, most_c))
        found[store] = tuple(np.maximum(speeds[place] / asked[most_c], 1.0).tolist())
    return found
