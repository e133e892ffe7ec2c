"""Turnover of the topsoil's carbon by the month: RothC-26.3.

Coleman & Jenkinson 1996, RothC-26.3, in Powlson, Smith & Smith (eds), Evaluation of soil organic matter models, Springer;
rates and splits as FAO 2020, Technical manual of the soil carbon map, chapter 4, prints them (table fertility). Pools lie
on the last axis of an array in the order of `POOLS`, tonnes of carbon a hectare; what comes before it (plots, lanes) is
free. docs/growth-carbon.md prints the equations.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from yardland.growth.fertility.figures import fertility_figure
from yardland.reference.tables import Tables

F64 = npt.NDArray[np.float64]
POOLS = ("dpm", "rpm", "bio", "hum")
"""Decomposable and resistant plant material, living mass, humus."""
MONTHS = 12
TOPSOIL_CM = 23.0
"""Depth for which the greatest moisture deficit is written (Coleman & Jenkinson 1996)."""
BARE = 1.8
"""A bare topsoil dries to the greatest deficit over this (Coleman & Jenkinson 1996; from memory)."""
WET_SHARE = 0.444
"""Share of the greatest deficit up to which decay is not slowed (Coleman & Jenkinson 1996)."""
DRY_PACE = 0.2
"""Pace of decay at the greatest deficit (Coleman & Jenkinson 1996)."""

FROZEN_PACE = 1e-4
"""Mean pace under which ground is held to rot evenly at this: the pools that stand hardly change with it (ours)."""


class Turnover(NamedTuple):
    """Rates and splits. `decay_per_y` [4] in the order of POOLS; the rest are shares, 0-1."""

    decay_per_y: F64
    living_share: float
    manure_dpm_share: float
    manure_hum_share: float
    covered_pace: float


def turnover(tables: Tables) -> Turnover:
    """Rates and splits of the table fertility."""
    return Turnover(
        decay_per_y=np.array([fertility_figure(tables, f"decay_{pool}_per_y") for pool in POOLS]),
        living_share=fertility_figure(tables, "living_share"),
        manure_dpm_share=fertility_figure(tables, "manure_dpm_share"),
        manure_hum_share=fertility_figure(tables, "manure_hum_share"),
        covered_pace=fertility_figure(tables, "covered_pace"),
    )


def greatest_deficit_mm(clay_pct: npt.ArrayLike, depth_cm: float = TOPSOIL_CM) -> F64:
    """Most water that a covered topsoil can lack, mm, negative: -(20 + 1.3 clay - 0.01 clay^2) depth / 23.

    Source: Coleman & Jenkinson 1996.
    """
    clay = np.asarray(clay_pct, dtype=np.float64)
    return -(20.0 + 1.3 * clay - 0.01 * clay**2) * depth_cm / TOPSOIL_CM


def moisture_deficit_mm(
    rain_mm: npt.ArrayLike,
    evaporation_mm: npt.ArrayLike,
    clay_pct: npt.ArrayLike,
    *,
    covered: npt.ArrayLike = True,
    depth_cm: float = TOPSOIL_CM,
) -> F64:
    """Accumulated deficit of the topsoil at each month's end, mm (nothing or negative), [..., months].

    The months are gone through twice, so that the first follows the last.

    Args:
        rain_mm: [..., months], with irrigation.
        evaporation_mm: of a cover without want of water [..., months]: reference evapotranspiration, or 0.75 of an
            open pan's.
        clay_pct: [...].
        covered: [..., months] whether plants stand on it; a bare soil dries no further than its own limit, but keeps a
            greater deficit that it has.
        depth_cm: of topsoil.
    """
    gain = np.asarray(rain_mm, dtype=np.float64) - np.asarray(evaporation_mm, dtype=np.float64)
    least = greatest_deficit_mm(clay_pct, depth_cm)
    cover = np.broadcast_to(np.asarray(covered, dtype=bool), np.broadcast_shapes(np.shape(covered), gain.shape))
    shape = np.broadcast_shapes(cover.shape, (*least.shape, gain.shape[-1]))
    gain, cover = np.broadcast_to(gain, shape), np.broadcast_to(cover, shape)
    out = np.zeros(shape)
    deficit = np.zeros(shape[:-1])
    for turn in range(2 * shape[-1]):
        month = turn % shape[-1]
        floor = np.where(cover[..., month], least, np.minimum(deficit, least / BARE))
        deficit = np.clip(deficit + gain[..., month], floor, 0.0)
        out[..., month] = deficit
    return out


def moisture_pace(deficit_mm: npt.ArrayLike, greatest_mm: npt.ArrayLike) -> F64:
    """Factor b: 1 down to 0.444 of the greatest deficit, then in a straight line to 0.2.

    Source: Coleman & Jenkinson 1996. Arrays broadcast; both are nothing or negative.
    """
    deficit, greatest = np.asarray(deficit_mm, dtype=np.float64), np.asarray(greatest_mm, dtype=np.float64)
    slope = (greatest - deficit) / (greatest - WET_SHARE * greatest)
    return np.clip(DRY_PACE + (1.0 - DRY_PACE) * slope, DRY_PACE, 1.0)


def carbon_dioxide_over_kept(clay_pct: npt.ArrayLike) -> F64:
    """Carbon that leaves as gas over carbon kept when something decomposes: 1.67 (1.85 + 1.60 exp(-0.0786 clay))."""
    return np.asarray(1.67 * (1.85 + 1.60 * np.exp(-0.0786 * np.asarray(clay_pct, dtype=np.float64))))


def inert_t_ha(carbon_t_ha: npt.ArrayLike) -> F64:
    """Carbon that never decays, t/ha: 0.049 SOC^1.139.

    Source: Falloon, Smith, Coleman & Marshall 1998, Soil Biology and Biochemistry 30:1207.
    """
    return np.asarray(0.049 * np.asarray(carbon_t_ha, dtype=np.float64) ** 1.139)


def decomposed_share(pace: npt.ArrayLike, decay_per_y: npt.ArrayLike) -> F64:
    """Share of each pool that decomposes in a month: 1 - exp(-a b c k / 12). `pace` [...] is a b c."""
    return np.asarray(-np.expm1(-np.asarray(pace)[..., None] * np.asarray(decay_per_y) / MONTHS))


def plant_split(dpm_rpm: npt.ArrayLike) -> F64:
    """Shares of plant carbon that join the four pools, [..., 4]; `dpm_rpm` is decomposable over resistant."""
    ratio = np.asarray(dpm_rpm, dtype=np.float64)
    none = np.zeros_like(ratio)
    return np.stack([ratio / (1.0 + ratio), 1.0 / (1.0 + ratio), none, none], axis=-1)


def manure_split(rates: Turnover) -> F64:
    """Shares of manure carbon that join the four pools, [4]."""
    resistant = 1.0 - rates.manure_dpm_share - rates.manure_hum_share
    return np.array([rates.manure_dpm_share, resistant, 0.0, rates.manure_hum_share])


def month_step(
    pools_t_ha: F64, pace: npt.ArrayLike, clay_pct: npt.ArrayLike, added_t_ha: npt.ArrayLike, rates: Turnover
) -> tuple[F64, F64]:
    """One month: what there is decomposes, then what is added joins.

    Args:
        pools_t_ha: [..., 4].
        pace: a b c, [...].
        clay_pct: [...].
        added_t_ha: [..., 4], already split.
        rates: the model's.

    Returns:
        The pools at the month's end and the carbon that left as gas, [...].
    """
    gone = pools_t_ha * decomposed_share(pace, rates.decay_per_y)
    kept = gone.sum(axis=-1) / (1.0 + carbon_dioxide_over_kept(clay_pct))
    made = np.stack([np.zeros_like(kept)] * 2 + [kept * rates.living_share, kept * (1.0 - rates.living_share)], axis=-1)
    return pools_t_ha - gone + made + np.asarray(added_t_ha), gone.sum(axis=-1) - kept


def run_months(
    pools_t_ha: F64, pace: F64, clay_pct: npt.ArrayLike, added_t_ha: F64, rates: Turnover
) -> tuple[F64, F64]:
    """Month after month.

    Args:
        pools_t_ha: at the start, [..., 4].
        pace: [..., months].
        clay_pct: [...].
        added_t_ha: [..., months, 4].
        rates: the model's.

    Returns:
        The pools at each month's end, [..., months, 4], and the gas of each month, [..., months].
    """
    state = np.asarray(pools_t_ha, dtype=np.float64)
    ends, gas = [], []
    for month in range(pace.shape[-1]):
        state, left = month_step(state, pace[..., month], clay_pct, added_t_ha[..., month, :], rates)
        ends.append(state)
        gas.append(left)
    return np.stack(ends, axis=-2), np.stack(gas, axis=-1)


def steady_pools_t_ha(pace: F64, clay_pct: npt.ArrayLike, added_t_ha: F64, rates: Turnover) -> F64:
    """Pools at the start of a year that end it as they began it, [..., 4], found without running to a standstill.

    A year is a linear map of the pools: end = A start + u. The pools that stand are (I - A)^-1 u.

    Args:
        pace: [..., 12], over 0 in some month.
        clay_pct: [...].
        added_t_ha: [..., 12, 4].
        rates: the model's.
    """
    none = np.zeros((*added_t_ha.shape[:-2], len(POOLS)))
    offset = run_months(none, pace, clay_pct, added_t_ha, rates)[0][..., -1, :]
    columns = []
    for pool in range(len(POOLS)):
        alone = none.copy()
        alone[..., pool] = 1.0
        columns.append(run_months(alone, pace, clay_pct, np.zeros_like(added_t_ha), rates)[0][..., -1, :])
    year = np.stack(columns, axis=-1)
    return np.asarray(np.linalg.solve(np.eye(len(POOLS)) - year, offset[..., None])[..., 0])


def opening_pools_t_ha(
    carbon_t_ha: F64, pace: F64, clay_pct: npt.ArrayLike, added_t_ha: F64, rates: Turnover
) -> tuple[F64, F64]:
    """Pools of a soil of known carbon that has stood as it is for long, and the yearly input that would hold it there.

    FAO 2020, equation 5.1: the pattern of inputs is scaled until its standing pools and the inert part are the carbon.

    Args:
        carbon_t_ha: all organic carbon of the topsoil, [...].
        pace: [..., 12], of an average year; ground frozen all year counts as barely rotting, for else any pools stand.
        clay_pct: [...].
        added_t_ha: pattern of a year's inputs, [..., 12, 4], over 0 in sum.
        rates: the model's.

    Returns:
        The pools [..., 4] and the input, t C/ha in a year, [...].
    """
    frozen = pace.mean(axis=-1, keepdims=True) < FROZEN_PACE
    standing = steady_pools_t_ha(np.where(frozen, FROZEN_PACE, pace), clay_pct, added_t_ha, rates)
    scale = np.maximum(carbon_t_ha - inert_t_ha(carbon_t_ha), 0.0) / standing.sum(axis=-1)
    return standing * scale[..., None], scale * added_t_ha.sum(axis=(-2, -1))


def stock_t_ha(organic_matter_pct: npt.ArrayLike, density_t_m3: npt.ArrayLike, depth_cm: float, c_share: float) -> F64:
    """Organic carbon of a topsoil, t/ha, from its organic matter (% by mass) and dry density (t/m3)."""
    mass_t_ha = np.asarray(density_t_m3, dtype=np.float64) * depth_cm * 100.0
    return np.asarray(mass_t_ha * np.asarray(organic_matter_pct, dtype=np.float64) / 100.0 * c_share)
