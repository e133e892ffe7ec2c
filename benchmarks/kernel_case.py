"""Invented crops and weather of any size for the growth kernels: the same for a seed, nobody's farm."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr
from yardland.growth.heat import trailing_mean
from yardland.growth.io import KernelInput

F64 = npt.NDArray[np.float64]
DAYS = np.arange(tr.AXIS)


def kernel_case(
    seed: int,
    strips: int = 5,
    lanes: int = 6,
    per_strip: int = 2,
    sources: int = 2,
    swards: int = 1,
    followers: int = 0,
) -> KernelInput:
    """Strips with `per_strip` plantings a year each, the last `swards` of them swards instead; two covers, `lanes` years.

    Every second strip is watered where there are sources. So many `followers` go behind the first of the two herds, one
    behind the other.
    """
    rng = np.random.default_rng(seed)
    swards = min(swards, strips)
    counts = np.array([per_strip * 2] * (strips - swards) + [1] * swards, dtype=np.int64)
    soil = _soil(rng, strips)
    weather = _weather(rng, 2, lanes)
    watered = np.arange(0, strips, 2) if sources else np.zeros(0, dtype=np.int64)
    daylength = np.broadcast_to((12 - 4.5 * np.cos(2 * np.pi * (DAYS + 10) / 365))[:, None], (tr.AXIS, lanes)).copy()
    return KernelInput(
        traits=_traits(rng, counts),
        **weather,
        daylength_h=daylength,
        twilight_h=daylength + 1,
        month=np.where(tr.YEAR > DAYS, -1, np.minimum((DAYS - tr.YEAR) // 31, 11)).astype(np.int64),
        strip_cover=rng.integers(0, 2, strips),
        strip_first=np.cumsum(counts) - counts,
        strip_count=counts,
        area_m2=rng.uniform(100, 2000, strips),
        **soil,
        settle_day=rng.choice([-1, 0, 40, 200, 364], strips),
        start_n_kg_ha=30.0,
        sky_n_kg_ha_d=0.03,
        fresh_rate_d=3.0 / 365.0,
        water_order=watered,
        water_groups=np.unique(np.array([0, len(watered) // 2, len(watered)])),
        strip_sources=np.tile(np.arange(sources)[::-1], (strips, 1)) if sources else np.full((strips, 1), -1),
        net_limit_mm=np.full(strips, 12.0),
        efficiency=np.full(strips, 0.8),
        **_rounds(rng, strips, swards, followers),
        bears_over_mm=0.5,
        bears_frozen_c=-1.0,
        rate_m3=rng.uniform(0, 2, (sources, tr.AXIS, lanes)),
        inflow_m3=rng.uniform(-0.5, 1, (sources, tr.AXIS, lanes)),
        capacity_m3=np.linspace(0, 30, sources),
        licence_m3=np.where(np.arange(sources) == 1, 40.0, 1e9),
        demand_m3=np.full(tr.AXIS, 0.7 if sources else 0.0),
    )


def _rounds(rng: np.random.Generator, strips: int, swards: int, followers: int) -> dict[str, npt.NDArray[np.generic]]:
    """Two rounds over the swards, and swards that nobody grazes; more mouths in summer."""
    rounds = 2 + followers if swards else 0
    strip_round = np.full(strips, -1, dtype=np.int64)
    strip_round[strips - swards :] = rng.integers(-1, 2, swards)
    season = 1.0 - 0.4 * np.cos(2 * np.pi * DAYS / 365)
    made = {
        "strip_round": strip_round,
        "round_kg_d": rng.uniform(2, 60, rounds)[:, None] * season,
        "round_days": rng.integers(2, 9, rounds),
        "round_grown": rng.uniform(0.4, 1, rounds),
    }
    ahead = [-1, -1, *(0 if not place else 1 + place for place in range(followers))][:rounds]
    chain = np.array([0, *range(2, rounds)], dtype=np.int64)[: 1 + followers if rounds else 0]
    leaves = np.zeros(rounds)
    leaves[chain] = np.linspace(0.5, 0.0, len(chain)) if followers else 0.0
    return made | {
        "round_ahead": np.array(ahead, dtype=np.int64),
        "round_within": np.where(np.arange(rounds) > 1, 3, 0).astype(np.int64),
        "round_leaves": leaves,
    }


def _weather(rng: np.random.Generator, covers: int, lanes: int) -> dict[str, F64]:
    shape = (covers, tr.AXIS, lanes)
    tmean = 10 - 8 * np.cos(2 * np.pi * (DAYS - 20) / 365)[None, :, None] + rng.normal(0, 3, shape)
    rain = np.where(rng.random(shape) < 0.4, rng.gamma(0.75, 7, shape), 0.0)
    water = np.where(rng.random(shape) < 0.05, 1.5 * rain, rain)
    return {
        "tmean_c": tmean,
        "tmin_c": tmean - 4,
        "tmax_c": tmean + 4,
        "crown_c": np.stack([trailing_mean(part, 3) for part in tmean]),
        "t10_c": np.stack([trailing_mean(part, 10) for part in tmean]),
        "par_mj": np.abs(rng.normal(6, 2, shape)),
        "eto_mm": np.abs(rng.normal(3, 1.5, shape)),
        "rain_mm": rain,
        "water_mm": water,
        "runoff_mm": np.where(water > 17, (water - 17) ** 2 / (water + 68), 0.0),
        "rot_pace": np.exp(0.08 * (np.maximum(tmean, 0.0) - 9.25)),
        "dry_spell": (rng.random(shape) < 0.3).astype(np.float64),
    }


def _soil(rng: np.random.Generator, strips: int) -> dict[str, F64]:
    """Layers of an invented soil for every strip, some of them slow to drain."""
    thick = np.diff(np.array([*tr.EDGES_M, 1.5]))[:, None] * np.ones(strips)
    awc, dry = rng.uniform(80, 200, strips), rng.uniform(50, 200, strips)
    room = rng.uniform(80, 200, strips)
    tew = (awc + 0.5 * dry) * 0.1
    return {
        "thick_m": thick,
        "awc_mm_m": awc,
        "full_mm": thick * awc,
        "sat_mm": thick * (awc + room),
        "pass_share": rng.choice([0.2, 0.6, 0.99], strips) * np.ones((tr.LAYERS, 1)),
        "hold_mm": thick * (awc + dry),
        "dry_mm": 0.5 * dry * 0.1,
        "tew_mm": tew,
        "rew_mm": 0.4 * tew,
        "fit_mm": rng.uniform(0.7, 1.1, strips) * awc * 0.15,
        "soil_n_kg_ha_d": rng.uniform(0.05, 0.5, strips),
        "soaks_share": np.linspace(0.1, 0.46, strips),
    }


def _traits(rng: np.random.Generator, counts: npt.NDArray[np.int64]) -> F64:
    count = int(counts.sum())
    out = np.zeros((tr.COUNT, count))
    for row, (low, high) in RANGES.items():
        out[row] = rng.uniform(low, high, count)
    for row, choices in CHOICES.items():
        out[row] = rng.choice(choices, count)
    out[tr.STEEP] = 3.2 / out[tr.HALF]
    out[tr.BULB_DAYLENGTH_H] = np.where(out[tr.BULB_UNITS] < 1e6, 14.0, 0.0)
    for first, in_strip in zip(np.cumsum(counts) - counts, counts, strict=True):
        if in_strip == 1:
            _sward(rng, out, int(first))
        else:
            _place(rng, out, int(first), int(in_strip) // 2)
    return out


def _sward(rng: np.random.Generator, out: F64, row: int) -> None:
    """A sward: grazed, shut up for hay, or cut whenever it is grown."""
    kind = rng.integers(0, 3)
    out[tr.SWARD, row] = 1.0
    out[tr.N_ASKS_UNTIL, row] = 1e9
    out[tr.TONNES, row] = 0.01
    out[tr.LIGHT_PER_MASS, row] = 0.007
    out[tr.SENESCENCE, row] = 0.001
    out[tr.ENTRY_MASS, row], out[tr.RESIDUAL_MASS, row], out[tr.STUBBLE_MASS, row] = 260.0, 150.0, 120.0
    out[tr.CUT_MASS, row] = 300.0 if kind == 0 else 0.0
    out[tr.GRAZED_SHARE, row], out[tr.DUNG_MINERAL, row], out[tr.DUNG_FRESH, row] = 0.8, 0.35, 0.2
    out[tr.SHUT_FROM, row], out[tr.HAY_FROM, row], out[tr.HAY_UNTIL, row] = (
        (100, 170, 200) if kind == 1 else (-1, -1, -1)
    )


def _place(rng: np.random.Generator, out: F64, first: int, per_strip: int) -> None:
    """Windows in order of the year on one strip, the year before and the larder year."""
    opens = np.sort(rng.integers(0, tr.YEAR, per_strip))
    last = first + 2 * per_strip
    for place in range(2 * per_strip):
        out[tr.OPENS, first + place] = opens[place % per_strip] + tr.YEAR * (place // per_strip)
        out[tr.CLOSES, first + place] = out[tr.OPENS, first + place] + rng.integers(10, 80)
    for row in range(first, last):
        following, later = (row + 1, 0) if row + 1 < last else (first, tr.AXIS)
        out[tr.CLEAR_BY, row] = out[tr.CLOSES, following] + later - 8
        out[tr.FREE_BY, row] = out[tr.OPENS, following] + later


RANGES = {
    tr.BASE_C: (0, 10),
    tr.PLATEAU_C: (20, 30),
    tr.GERMINATION_C: (0, 9),
    tr.GATE_FROST_C: (-20, 0),
    tr.KILL_C: (-12, 0),
    tr.HEAT_EMERGE: (0, 140),
    tr.TARGET: (250, 1500),
    tr.VERNAL_DAYS: (40, 41),
    tr.VERNAL_IDLE: (8, 9),
    tr.DAYLENGTH_BASE_H: (7, 8),
    tr.DAYLENGTH_FULL_H: (16, 18),
    tr.HALF: (0.2, 0.5),
    tr.TOP: (0.75, 0.95),
    tr.SENESCE_FROM: (0.7, 0.9),
    tr.SENESCE_LEFT: (0.2, 1),
    tr.COVER_CAP: (0.3, 0.7),
    tr.RUE: (1, 3),
    tr.GROW_FULL_C: (14, 20),
    tr.GROW_FALL_C: (18, 30),
    tr.KCB_INI: (0.1, 0.2),
    tr.KCB_MID: (0.9, 1.15),
    tr.KCB_END: (0.2, 0.9),
    tr.KC_A: (0.05, 0.15),
    tr.KC_B: (0.4, 0.7),
    tr.KC_C: (0.75, 0.9),
    tr.DEPLETION_P: (0.2, 0.6),
    tr.ROOT_M: (0.25, 1.4),
    tr.YOUNG_KILL_C: (-14, 0),
    tr.YOUNG_UNTIL: (0, 0.3),
    tr.FLOWER_UNTIL: (0.6, 0.8),
    tr.FLOWER_KILL10_C: (-4, 2),
    tr.FLOWER_SLOPE: (0.05, 1),
    tr.FLOWERS_NEEDED: (0.4, 1),
    tr.HEAT10_C: (15, 30),
    tr.HEAT_SLOPE: (0.05, 0.3),
    tr.PICK_COVER: (0.5, 1),
    tr.N_CRITICAL_PCT: (3, 5.5),
    tr.N_DILUTION: (0.3, 0.5),
    tr.N_REMOVED: (0.2, 0.8),
    tr.N_RESIDUE_FRESH: (0, 0.6),
    tr.TONNES: (0.004, 0.012),
}
CHOICES: dict[int, list[float]] = {
    tr.KILL_BY_MEAN: [0, 1],
    tr.HEAT_AT_START: [0, 150],
    tr.RELEASE: [0, 0, 200],
    tr.BULB_UNITS: [1e9, 150],
    tr.PICK_DAYS: [0, 0, 30],
    tr.STAND_DAYS: [0, 60],
    tr.WAIT_DAYS: [0, 10],
    tr.LEAST_RIPE: [0, 0.85],
    tr.FLOWER_FROM: [0.4, 0.5, 1e9],
    tr.FIT_SOIL: [0, 1],
    tr.N_FIXED: [0, 0, 0.7],
    tr.N_ASKS_UNTIL: [0.6, 1e9],
    tr.DRESS_MINERAL: [0, 0, 30],
    tr.DRESS_FRESH: [0, 20],
}
