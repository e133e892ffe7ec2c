"""Anchors: what each crop makes in a reference climate without want of water, against the table's middle yield."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from yardland.datebook.season import season_climate
from yardland.datebook.windows import Windows
from yardland.growth import traits as tr
from yardland.growth.anchor import Anchor
from yardland.growth.crop_traits import FORAGE, crop_traits, growth_figure, with_window
from yardland.growth.io import F64, KernelInput, KernelOutput
from yardland.growth.layout import Planting
from yardland.growth.numpy_path import run_numpy
from yardland.growth.reference_climate import CLIMATES, reference_forcing
from yardland.growth.run import weather_fields
from yardland.growth.sky import sky
from yardland.growth.sward_traits import G_M2_PER_T_HA, plain_traits
from yardland.reference.tables import Row, Tables
from yardland.weather.types import Forcing

BOUNDLESS_MM_M = 1e6
TOLERANCE = 0.35


def make_anchors(tables: Tables) -> list[Anchor]:
    """Anchors of every crop that is grown on strips (perennial forage crops are anchored as swards).

    The mean is taken over the reference climates in which the crop ripens and whose days to harvest are about as near to
    the middle of the table's band as in the best of them (|ln ratio| within TOLERANCE).
    """
    climates = {name: reference_forcing(tables, name) for name in CLIMATES}
    windows = {name: Windows(tables, season_climate(forcing)) for name, forcing in climates.items()}
    crops = [crop for crop in tables.keys("crops") if crop not in FORAGE]
    return [_mean(tables, crop, climates, windows) for crop in crops]


def in_climate(tables: Tables, crop: str, forcing: Forcing, windows: Windows) -> Anchor | None:
    """A crop sown at the opening of its window in a reference climate; None where it does not ripen."""
    window = windows.auto(crop)
    ripe = window.opens + window.days
    left = max(windows.season_ends(crop, window.opens) - ripe, 0.0)
    picking = max(min(windows.picking_days(crop, ripe), left), tables.row("crops", crop)["picking_days"] or 0.0)
    planting = Planting(
        crop, "", crop, "", 0, window.opens, window.closes, 720, 720, 0, window.words, picking_days=picking
    )
    given = _unstressed(tables, forcing, with_window(crop_traits(tables, crop), planting, 0)[:, None])
    out = run_numpy(given)
    if out.status[0, 0] != tr.GATHERED:
        return None
    row = tables.row("crops", crop)
    grown = float(out.dm_g_m2[0, 0])
    t_ha = grown / 100.0 * row.need("harvest_index") / row.need("dry_matter_fraction")
    return Anchor(
        crop=crop,
        climate=forcing.labels[0],
        days=int(out.first_day[0, 0] - out.sow_day[0, 0]),
        dm_g_m2=grown,
        light_mj_m2=float(out.light_mj[0, 0]),
        warm_share=float(out.warm_mj[0, 0] / out.light_mj[0, 0]),
        anchor=row.need("typical_yield_mid_t_ha") / t_ha,
    )


def _mean(tables: Tables, crop: str, climates: dict[str, Forcing], windows: dict[str, Windows]) -> Anchor:
    """Mean over the climates that fit the crop about as well as the best."""
    found = [in_climate(tables, crop, climates[name], windows[name]) for name in CLIMATES]
    ripe = [anchor for anchor in found if anchor is not None]
    if not ripe:
        raise ValueError(f"{crop} ripens in no reference climate")
    best = min(misfit(tables, crop, anchor.days) for anchor in ripe)
    fit = [anchor for anchor in ripe if misfit(tables, crop, anchor.days) <= best + TOLERANCE]
    light = sum(anchor.light_mj_m2 for anchor in fit) / len(fit)
    warm = sum(anchor.light_mj_m2 * anchor.warm_share for anchor in fit) / len(fit)
    grown = sum(anchor.dm_g_m2 for anchor in fit) / len(fit)
    return Anchor(
        crop=crop,
        climate=" ".join(anchor.climate for anchor in fit),
        days=round(sum(anchor.days for anchor in fit) / len(fit)),
        dm_g_m2=grown,
        light_mj_m2=light,
        warm_share=warm / light,
        anchor=fit[0].anchor * fit[0].dm_g_m2 / grown,
    )


def misfit(tables: Tables, crop: str, days: float) -> float:
    """How far days to harvest are from the middle of the table's band, |ln ratio|; 0 where the table has no band."""
    row = tables.row("crops", crop)
    least, most = row["days_to_harvest_min"], row["days_to_harvest_max"]
    if least is None or most is None:
        return 0.0
    return abs(math.log(2.0 * days / (least + most)))


def make_sward_anchors(tables: Tables) -> list[Anchor]:
    """Anchors of the forage crops: what is cut off them in a year in their reference climates, without any want.

    The anchor is the scale at which a sward that is mown whenever it is grown, in any weather, gives the crop's middle
    yield of hay before field losses. Growth hangs on what stands, so the scale is found by bisection.
    """
    rows = {
        tables.row("swards", key).text("crop"): tables.row("swards", key) for key in reversed(tables.keys("swards"))
    }
    return [_sward_anchor(tables, crop, row) for crop, row in reversed(rows.items())]


def _sward_anchor(tables: Tables, crop: str, row: Row) -> Anchor:
    climates = row.text("anchored_in").split()
    forcings = [reference_forcing(tables, name) for name in climates]
    figures = tables.row("crops", crop)
    hay = figures.need("typical_yield_mid_t_ha") * figures.need("dry_matter_fraction")
    wanted = hay / (1.0 - growth_figure(tables, "hay_field_loss"))
    low, high = LEAST_SCALE, MOST_SCALE
    for _ in range(NARROWINGS):
        scales = np.linspace(low, high, ABREAST)
        cut = sum(_mown_t_ha(_mown(tables, row, forcing, scales)) for forcing in forcings) / len(forcings)
        enough = int(np.argmax(cut >= wanted))
        low, high = float(scales[max(enough - 1, 0)]), float(scales[enough])
    runs = [_mown(tables, row, forcing, np.array([high])) for forcing in forcings]
    grown, light, warm = (
        sum(float(part[0, 0]) for part in parts) / len(runs)
        for parts in zip(*((run.dm_g_m2, run.light_mj, run.warm_mj) for run in runs), strict=True)
    )
    return Anchor(crop, " ".join(climates), 365, grown, light, warm / light, high)


LEAST_SCALE, MOST_SCALE = 0.05, 3.0
ABREAST, NARROWINGS = 17, 5
"""Scales tried abreast, and how often the best pair of them is divided again: the scale is found to 3e-6."""


def _mown(tables: Tables, row: Row, forcing: Forcing, scales: F64) -> KernelOutput:
    """Swards of these scales, mown whenever they are grown, without want of water or nitrogen."""
    columns = [plain_traits(tables, row, float(scale)) for scale in scales]
    traits = np.stack(columns, axis=1)
    traits[tr.CUT_MASS] = G_M2_PER_T_HA * row.need("mown_from_t_ha")
    given = _unstressed(tables, forcing, traits)
    always = np.ones_like(given.dry_spell)
    month = np.concatenate([np.full(tr.YEAR, -1), np.zeros(tr.YEAR)]).astype(np.int64)
    return run_numpy(replace(given, dry_spell=always, month=month))


def _mown_t_ha(out: KernelOutput) -> F64:
    """Cut in the year by each strip."""
    return np.asarray(out.sward[tr.HAY].sum(axis=(1, 2)) / G_M2_PER_T_HA)


def _unstressed(tables: Tables, forcing: Forcing, traits: F64) -> KernelInput:
    """Strips of one sowing each, traits [trait, strip], on a soil that never runs short."""
    part = sky(forcing, tables, "open", 75.0)
    lanes = forcing.rain_mm.shape[1]
    strips = traits.shape[1]
    one = np.ones(strips)
    traits = traits.copy()
    traits[tr.FIT_SOIL] = 0.0
    layer = np.full((tr.LAYERS, strips), BOUNDLESS_MM_M)
    return KernelInput(
        traits=traits,
        **{name: values[None] for name, values in weather_fields(tables, forcing, part).items()},
        daylength_h=forcing.daylength_h,
        twilight_h=forcing.twilight_daylength_h,
        month=np.full(tr.AXIS, -1, dtype=np.int64),
        strip_cover=np.zeros(strips, dtype=np.int64),
        strip_first=np.arange(strips, dtype=np.int64),
        strip_count=np.ones(strips, dtype=np.int64),
        awc_mm_m=one * BOUNDLESS_MM_M,
        thick_m=np.diff(np.array([*tr.EDGES_M, 3.0]))[:, None] * one,
        full_mm=layer,
        sat_mm=layer,
        pass_share=layer * 0.0,
        hold_mm=layer,
        dry_mm=one,
        area_m2=one,
        fit_mm=one,
        tew_mm=one * 20.0,
        rew_mm=one * 8.0,
        soil_n_kg_ha_d=one * 0.0,
        soaks_share=one * 0.0,
        settle_day=np.full(strips, -1, dtype=np.int64),
        start_n_kg_ha=0.0,
        sky_n_kg_ha_d=0.0,
        fresh_rate_d=0.0,
        water_order=np.zeros(0, dtype=np.int64),
        water_groups=np.zeros(1, dtype=np.int64),
        strip_sources=np.full((strips, 1), -1, dtype=np.int64),
        net_limit_mm=one,
        efficiency=one,
        strip_round=np.full(strips, -1, dtype=np.int64),
        round_kg_d=np.zeros((0, tr.AXIS)),
        round_days=np.zeros(0, dtype=np.int64),
        round_grown=np.zeros(0),
        round_ahead=np.zeros(0, dtype=np.int64),
        round_within=np.zeros(0, dtype=np.int64),
        round_leaves=np.zeros(0),
        bears_over_mm=0.0,
        bears_frozen_c=-1.0,
        rate_m3=np.zeros((0, tr.AXIS, lanes)),
        inflow_m3=np.zeros((0, tr.AXIS, lanes)),
        capacity_m3=np.zeros(0),
        licence_m3=np.zeros(0),
        demand_m3=np.zeros(tr.AXIS),
    )
