"""The compiled path of large runs: lanes in blocks, weather laid out for the kernel, results put together."""

from __future__ import annotations

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.io import KernelInput, KernelOutput, empty_output
from yardland.growth.kernel import LANES, SKY, grow_block


def run_numba(given: KernelInput) -> KernelOutput:
    """Grow every strip in every lane; the same results as `run_twin` to rounding."""
    out = empty_output(given)
    days = (given.tmean_c, given.tmin_c, given.t3_c, given.par_mj, given.eto_mm, given.rain_mm, given.runoff_mm)
    covers = len(given.tmean_c)
    light = [np.broadcast_to(hours, (covers, *hours.shape)) for hours in (given.daylength_h, given.twilight_h)]
    soil = np.stack([given.awc_mm_m, given.depth_m, given.area_m2, given.fit_mm, given.tew_mm, given.rew_mm])
    for lo in range(0, given.lanes, LANES):
        part = slice(lo, min(lo + LANES, given.lanes))
        # [cover, day, quantity, lane]: what a strip needs of a day lies together. A short block is filled with zeros.
        sky = np.zeros((covers, given.tmean_c.shape[1], SKY, LANES))
        for row, values in enumerate((*days, *light)):
            sky[:, :, row, : part.stop - lo] = values[:, :, part]
        grow_block(
            part.stop - lo,
            given.traits,
            sky,
            np.ascontiguousarray(given.t10_c[:, :, part]),
            given.month,
            given.strip_cover,
            given.strip_first,
            given.strip_count,
            soil,
            given.water_order,
            given.water_groups,
            given.strip_sources,
            given.net_limit_mm,
            given.efficiency,
            np.ascontiguousarray(given.rate_m3[:, :, part]),
            np.ascontiguousarray(given.inflow_m3[:, :, part]),
            given.capacity_m3,
            given.licence_m3,
            given.demand_m3,
            out.sow_day[:, part],
            out.first_day[:, part],
            out.last_day[:, part],
            out.status[:, part],
            out.dm_g_m2[:, part],
            out.light_mj[:, part],
            out.warm_mj[:, part],
            out.progress[:, part],
            out.share[:, part],
            out.set_share[:, part],
            out.water[:, :, :, part],
            out.drawn_m3[:, :, part],
            out.dry_days[:, :, part],
            out.unmet_m3[:, part],
            out.spare_m3[:, :, part],
        )
    for month in range(12):
        in_month = given.month == month
        out.water[tr.RAIN, :, month] = given.rain_mm[:, in_month].sum(axis=1)[given.strip_cover]
        out.water[tr.RUNOFF, :, month] = given.runoff_mm[:, in_month].sum(axis=1)[given.strip_cover]
    return out
