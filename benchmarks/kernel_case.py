"""Invented crops and weather of any size for the growth kernels: the same for a seed, nobody's farm."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr
from yardland.growth.heat import trailing_mean
from yardland.growth.io import KernelInput

F64 = npt.NDArray[np.float64]
DAYS = np.arange(tr.AXIS)


def kernel_case(seed: int, strips: int = 5, lanes: int = 6, per_strip: int = 2, sources: int = 2) -> KernelInput:
    """Strips with `per_strip` plantings a year each, every second strip watered, two covers, `lanes` years."""
    rng = np.random.default_rng(seed)
    weather = _weather(rng, 2, lanes)
    watered = np.arange(0, strips, 2) if sources else np.zeros(0, dtype=np.int64)
    daylength = np.broadcast_to((12 - 4.5 * np.cos(2 * np.pi * (DAYS + 10) / 365))[:, None], (tr.AXIS, lanes)).copy()
    return KernelInput(
        traits=_traits(rng, strips, per_strip),
        **weather,
        daylength_h=daylength,
        twilight_h=daylength + 1,
        month=np.where(tr.YEAR > DAYS, -1, np.minimum((DAYS - tr.YEAR) // 31, 11)).astype(np.int64),
        strip_cover=rng.integers(0, 2, strips),
        strip_first=np.arange(strips) * per_strip * 2,
        strip_count=np.full(strips, per_strip * 2),
        awc_mm_m=rng.uniform(80, 200, strips),
        depth_m=np.full(strips, 1.5),
        area_m2=rng.uniform(100, 2000, strips),
        fit_mm=rng.uniform(15, 45, strips),
        tew_mm=np.full(strips, 18.0),
        rew_mm=np.full(strips, 8.0),
        water_order=watered,
        water_groups=np.unique(np.array([0, len(watered) // 2, len(watered)])),
        strip_sources=np.tile(np.arange(sources)[::-1], (strips, 1)) if sources else np.full((strips, 1), -1),
        net_limit_mm=np.full(strips, 12.0),
        efficiency=np.full(strips, 0.8),
        rate_m3=rng.uniform(0, 2, (sources, tr.AXIS, lanes)),
        inflow_m3=rng.uniform(-0.5, 1, (sources, tr.AXIS, lanes)),
        capacity_m3=np.linspace(0, 30, sources),
        licence_m3=np.where(np.arange(sources) == 1, 40.0, 1e9),
        demand_m3=np.full(tr.AXIS, 0.7 if sources else 0.0),
    )


def _weather(rng: np.random.Generator, covers: int, lanes: int) -> dict[str, F64]:
    shape = (covers, tr.AXIS, lanes)
    tmean = 10 - 8 * np.cos(2 * np.pi * (DAYS - 20) / 365)[None, :, None] + rng.normal(0, 3, shape)
    rain = np.where(rng.random(shape) < 0.4, rng.gamma(0.75, 7, shape), 0.0)
    return {
        "tmean_c": tmean,
        "tmin_c": tmean - 4,
        "t3_c": np.stack([trailing_mean(part, 3) for part in tmean]),
        "t10_c": np.stack([trailing_mean(part, 10) for part in tmean]),
        "par_mj": np.abs(rng.normal(6, 2, shape)),
        "eto_mm": np.abs(rng.normal(3, 1.5, shape)),
        "rain_mm": rain,
        "runoff_mm": np.where(rain > 17, (rain - 17) ** 2 / (rain + 68), 0.0),
    }


def _traits(rng: np.random.Generator, strips: int, per_strip: int) -> F64:
    count = strips * per_strip * 2
    out = np.zeros((tr.COUNT, count))
    for row, (low, high) in RANGES.items():
        out[row] = rng.uniform(low, high, count)
    for row, choices in CHOICES.items():
        out[row] = rng.choice(choices, count)
    out[tr.STEEP] = 3.2 / out[tr.HALF]
    out[tr.BULB_DAYLENGTH_H] = np.where(out[tr.BULB_UNITS] < 1e6, 14.0, 0.0)
    for strip in range(strips):
        _place(rng, out, strip * per_strip * 2, per_strip)
    return out


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
    tr.KC_INI: (0.3, 0.7),
    tr.KC_MID: (0.9, 1.2),
    tr.KC_END: (0.3, 1),
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
}
