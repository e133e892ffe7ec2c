"""The compiled path of large runs: lanes in blocks, blocks in threads, results put together."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.io import F64, SKY_FIELDS, KernelInput, KernelOutput, empty_output, soil_at_start
from yardland.growth.kernel import grow_block
from yardland.growth.kernel_ground import SOIL
from yardland.growth.kernel_rows import LANES
from yardland.growth.kernel_seldom import DAYS, SUMS

THREADS = "YARDLAND_THREADS"
"""Variable of the environment: most threads of one process. Worker processes set it to 1, for there is one on each core."""


def run_numba(given: KernelInput, threads: int | None = None) -> KernelOutput:
    """Grow every strip in every lane; the same results as `run_twin` to rounding, whatever the number of threads.

    Args:
        given: weather and ground.
        threads: how many blocks of lanes are grown at once; none takes one for each core, or what THREADS says.
    """
    out = empty_output(given)
    days = np.stack([getattr(out, name) for name in DAYS])
    sums = np.stack([getattr(out, name) for name in SUMS])
    arguments = (
        np.ascontiguousarray(given.traits.T),
        _soils(given),
        tuple(np.ascontiguousarray(getattr(given, name)) for name in SKY_FIELDS),
        np.stack([given.daylength_h, given.twilight_h]),
        given.month,
        given.strip_cover,
        given.strip_first,
        given.strip_count,
        (given.start_n_kg_ha, given.sky_n_kg_ha_d, given.fresh_rate_d),
        given.water_order,
        given.water_groups,
        given.strip_sources,
        np.ascontiguousarray(given.rate_m3),
        np.ascontiguousarray(given.inflow_m3),
        given.capacity_m3,
        given.licence_m3,
        given.demand_m3,
        days,
        sums,
        out.water,
        out.nitrogen,
        out.sward,
        out.wet_days,
        out.drawn_m3,
        out.dry_days,
        out.unmet_m3,
        out.spare_m3,
        given.strip_round,
        (
            np.ascontiguousarray(given.round_kg_d),
            given.round_days,
            given.round_grown,
            given.round_ahead,
            given.follower,
            given.round_within,
            given.round_leaves,
        ),
        out.where,
        (given.bears_over_mm, given.bears_frozen_c),
        out.bears,
        np.ascontiguousarray(soil_at_start(given)),
        out.ends,
    )

    def grow(lo: int) -> None:
        grow_block(lo, *arguments)

    starts = range(0, given.lanes, LANES)
    workers = min(threads or most_threads(), len(starts))
    if workers <= 1:
        for lo in starts:
            grow(lo)
    else:
        # Blocks write to lanes of their own, so that it does not matter which thread takes which, nor when.
        with ThreadPoolExecutor(workers) as pool:
            list(pool.map(grow, starts))
    for place, name in enumerate(DAYS):
        getattr(out, name)[:] = days[place]
    for place, name in enumerate(SUMS):
        getattr(out, name)[:] = sums[place]
    _add_sky(given, out)
    return out


def most_threads() -> int:
    """What the environment says, else one for each core."""
    said = os.environ.get(THREADS, "")
    return int(said) if said.isdecimal() and int(said) > 0 else os.cpu_count() or 1


def _soils(given: KernelInput) -> F64:
    """Numbers of every strip's soil, [strip, number], in the order of `kernel_ground.SOIL`."""
    columns = []
    for key in SOIL:
        name, _, layer = key.partition(":")
        values = getattr(given, name)
        columns.append(values[int(layer)] if layer else values)
    return np.ascontiguousarray(np.stack(columns, axis=1), dtype=np.float64)


def _add_sky(given: KernelInput, out: KernelOutput) -> None:
    """What is the same for all strips under a cover is summed once: rain, runoff of the rain, nitrogen from the sky."""
    for month in range(12):
        in_month = given.month == month
        out.water[tr.RAIN, :, month] = given.water_mm[:, in_month].sum(axis=1)[given.strip_cover]
        out.water[tr.RUNOFF, :, month] += given.runoff_mm[:, in_month].sum(axis=1)[given.strip_cover]
        out.nitrogen[tr.N_SKY, :, month] = given.sky_n_kg_ha_d * int(in_month.sum())
