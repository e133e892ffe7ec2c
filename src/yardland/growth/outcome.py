"""What the kernels' sums mean: yields against the tables, the factors that held them down, months of gathering, water."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr
from yardland.growth.crop_traits import growth_figure
from yardland.growth.io import F64, I64, KernelInput, KernelOutput
from yardland.growth.layout import Layout, Planting
from yardland.growth.soil_left import SoilLeft
from yardland.growth.sward import SwardYear, read_sward
from yardland.growth.sward_traits import sward_plots
from yardland.holding.model import Holding
from yardland.reference.tables import Row, Tables
from yardland.weather.types import Forcing

T = TypeVar("T", bound=np.generic)
FACTORS = ("water", "nitrogen", "temperature", "light", "season", "frost", "heat", "standing")
GATHERS = (tr.GATHERED, tr.FROSTED, tr.CLEARED)
KG_HA_PER_T_HA = 1000.0
M2_PER_HA = 10_000.0


class Due(NamedTuple):
    """Of one sowing of each planting, [planting, lane], as in `GrowthResult`."""

    sow_day: I64
    gather_first: I64
    gather_last: I64
    status: I64


@dataclass(frozen=True)
class GrowthResult:
    """Every planting in every lane. Axis "sowing": 0 sown in the year before, 1 in the larder year.

    sow_day, gather_first, gather_last, status [planting, sowing, lane] : days on the 730-day axis, -1 none; status is
        an index of `traits.STATUS_WORDS`
    yield_kg_ha, dm_kg_ha [planting, sowing, lane] : as gathered (fresh; grain at 14 % moisture); dry matter grown
    factors[name][planting, sowing, lane] : by `FACTORS`, what each alone leaves of the table's yield at this level. They
        multiply to yield / (level x mid). Light and temperature can pass 1 in a bright or warm year.
    chosen [planting, lane] : the sowing whose harvest belongs to the larder year
    harvest_kg [planting, month, lane] : fresh kilograms from the strip in each larder month
    anchor, mid_t_ha, level : the table's middle yield over the model's; the table's middle yield; the level's step
    taken_n_kg_ha, fixed_n_kg_ha [planting, sowing, lane] : nitrogen from the soil and from the air
    water_mm[term], nitrogen_kg_ha[term] [strip, month, lane] : accounts of the ground of the layout's strips
        (`traits.WATER_TERMS`, `traits.NITROGEN_TERMS`) ; wet_days [strip, month, lane] : days with waterlogged top soil
    bears [strip, day, lane] : whether the ground of the layout's strips carries stock, by day of the 730-day axis
    swards : grass and forage crops, with their own accounts
    where [round, day, lane] : which of the swards the animals of each of `rounds` are on in the evening, -1 the yard
    kept [planting, sowing, lane] : share of the reckoned yield that counts; under 1 where it is held at the table's high
        figure (the light factor holds what was taken off)
    source_m3, source_dry_days [source, month, lane] ; unmet_m3 [month, lane] : people and stock
    spare_m3 [source, day, lane] : what of a day's rate nobody took (trees may have it: `spare.Spare`)
    soil_left : the soil after the last day, by plot
    """

    layout: Layout
    labels: tuple[str, ...]
    plantings: tuple[Planting, ...]
    area_m2: F64
    sow_day: I64
    gather_first: I64
    gather_last: I64
    status: I64
    yield_kg_ha: F64
    dm_kg_ha: F64
    factors: dict[str, F64]
    chosen: I64
    harvest_kg: F64
    anchor: F64
    mid_t_ha: F64
    level: float
    taken_n_kg_ha: F64
    fixed_n_kg_ha: F64
    water_mm: dict[str, F64]
    nitrogen_kg_ha: dict[str, F64]
    wet_days: F64
    bears: npt.NDArray[np.bool_]
    swards: tuple[SwardYear, ...]
    rounds: tuple[str, ...]
    where: npt.NDArray[np.int64]
    sources: tuple[str, ...]
    source_m3: F64
    source_dry_days: F64
    unmet_m3: F64
    spare_m3: F64
    kept: F64
    soil_left: SoilLeft | None = None

    def pick(self, values: npt.NDArray[T]) -> npt.NDArray[T]:
        """Values [planting, sowing, lane] of the sowing that belongs to the larder year, [planting, lane]."""
        return np.asarray(np.take_along_axis(values, self.chosen[:, None, :], axis=1)[:, 0])

    @cached_property
    def due(self) -> Due:
        """Days and end of the sowing that belongs to the larder year."""
        return Due(*(self.pick(one) for one in (self.sow_day, self.gather_first, self.gather_last, self.status)))

    def status_words(self, planting: int, lane: int) -> str:
        """What became of a planting in a lane."""
        return tr.STATUS_WORDS[int(self.status[planting, self.chosen[planting, lane], lane])]


def read_out(
    holding: Holding,
    tables: Tables,
    layout: Layout,
    forcing: Forcing,
    given: KernelInput,
    out: KernelOutput,
    sources: tuple[str, ...],
    rounds: tuple[str, ...] = (),
) -> GrowthResult:
    """Yields, factors and months from what a kernel filled in."""
    order = layout.sowing_rows
    kernel = {
        name: getattr(out, name)[order]
        for name in ("sow_day", "ripe_day", "first_day", "last_day", "status", "share", "set_share", "heat_share")
    }
    standing = _standing(tables, layout, given, order, kernel)
    level = growth_figure(tables, f"level_{holding.goal.level.replace(' ', '_')}")
    anchors = [tables.row("anchors", planting.crop) for planting in layout.plantings]
    mid = np.array([tables.row("crops", p.crop).need("typical_yield_mid_t_ha") for p in layout.plantings])
    gathers = np.isin(kernel["status"], GATHERS)
    reference = np.array([row.need("dm_g_m2") for row in anchors]).reshape(-1, 1, 1)
    held = kernel["share"] * kernel["set_share"] * kernel["heat_share"] * standing
    relative = np.where(gathers, out.dm_g_m2[order] / np.maximum(reference, 1e-9) * held, 0.0)
    kept = _kept(tables, layout, relative)
    yields = level * mid.reshape(-1, 1, 1) * KG_HA_PER_T_HA * relative * kept
    strips = len(layout.strips)
    area = np.array([strip.area_m2 for strip in layout.strips for _ in strip.plantings])
    chosen = _chosen(layout, kernel["status"])
    return GrowthResult(
        layout=layout,
        labels=forcing.labels,
        plantings=layout.plantings,
        area_m2=area,
        sow_day=kernel["sow_day"],
        gather_first=kernel["first_day"],
        gather_last=kernel["last_day"],
        status=kernel["status"],
        yield_kg_ha=yields,
        dm_kg_ha=out.dm_g_m2[order] * M2_PER_HA / 1000.0,
        factors=_capped({**_factors(anchors, given, out, order), "standing": standing}, kept),
        chosen=chosen,
        harvest_kg=_monthly(yields * area.reshape(-1, 1, 1) / M2_PER_HA, kernel, chosen, given.month),
        anchor=np.array([row.need("anchor") for row in anchors]),
        mid_t_ha=mid,
        level=level,
        taken_n_kg_ha=out.taken_n_kg_ha[order],
        fixed_n_kg_ha=out.fixed_n_kg_ha[order],
        water_mm=dict(zip(tr.WATER_TERMS, out.water[:, :strips], strict=True)),
        nitrogen_kg_ha=dict(zip(tr.NITROGEN_TERMS, out.nitrogen[:, :strips], strict=True)),
        wet_days=out.wet_days[:strips],
        bears=out.bears[:strips] > 0,
        rounds=rounds,
        where=np.where(out.where >= 0, out.where.astype(np.int64) - strips, -1),
        swards=tuple(
            read_sward(tables, sward, given, out, strips + number)
            for number, sward in enumerate(sward_plots(holding, layout))
        ),
        sources=sources,
        source_m3=out.drawn_m3,
        source_dry_days=out.dry_days,
        unmet_m3=out.unmet_m3,
        spare_m3=out.spare_m3,
        kept=kept,
    )


def _kept(tables: Tables, layout: Layout, relative: F64) -> F64:
    """Share of the reckoned yield that counts: at the middle level no crop yields more than its table's high figure.

    Leaves, roots and fruit that stand long in bright light would else grow past anything that was ever gathered.
    """
    rows = [tables.row("crops", planting.crop) for planting in layout.plantings]
    most = np.array([row.need("typical_yield_high_t_ha") / row.need("typical_yield_mid_t_ha") for row in rows])
    most = np.maximum(most, 1.0).reshape(-1, 1, 1)
    return np.asarray(np.where(relative > most, most / np.maximum(relative, 1e-9), 1.0))


def _capped(factors: dict[str, F64], kept: F64) -> dict[str, F64]:
    """The factors with what does not count taken off the light."""
    return {**factors, "light": factors["light"] * kept}


def _chosen(layout: Layout, status: I64) -> I64:
    """The sowing due in the larder year; the one before where the due one still stands (a late year at its edge)."""
    due = np.array([planting.due for planting in layout.plantings], dtype=np.int64).reshape(-1, 1)
    unfinished = np.isin(status[:, 1], (tr.STANDING, tr.WAITING))
    return np.where(unfinished, 0, np.broadcast_to(due, unfinished.shape))


def _factors(anchors: list[Row], given: KernelInput, out: KernelOutput, order: I64) -> dict[str, F64]:
    """Share of the yield left by each limit alone; their product is the yield over level x mid."""
    light, warm, wet, dm = (part[order] for part in (out.light_mj, out.warm_mj, out.wet_mj, out.dm_g_m2))
    status = out.status[order]
    rue = given.traits[tr.RUE][order][:, :, None]
    light_ref = np.array([row.need("light_mj_m2") for row in anchors]).reshape(-1, 1, 1)
    warm_ref = np.array([row.need("warm_share") for row in anchors]).reshape(-1, 1, 1)
    grown = warm > 0
    safe_warm, safe_light = np.where(grown, warm, 1.0), np.where(light > 0, light, 1.0)
    safe_wet = np.where(wet > 0, wet, 1.0)
    taken = _season_taken(given, out, order)
    frosted = _frosted(given, out, order)
    gathers = np.isin(status, GATHERS)
    factors = {
        "water": np.where(grown, wet / safe_warm, 1.0),
        "nitrogen": np.where(wet > 0, dm / (rue * safe_wet), 1.0),
        "temperature": np.where(grown, warm / safe_light / warm_ref, 1.0),
        "light": np.where(grown, light / (light_ref * taken), 1.0),
        "season": np.where(frosted, 1.0, taken),
        "frost": np.where(frosted, taken, 1.0) * out.share[order] * out.set_share[order],
        "heat": out.heat_share[order],
    }
    factors["frost"] = np.where(status == tr.KILLED, 0.0, factors["frost"])
    lost = ~gathers & (status != tr.KILLED)
    factors["season"] = np.where(lost, 0.0, factors["season"])
    return factors


def _standing(tables: Tables, layout: Layout, given: KernelInput, order: I64, kernel: dict[str, I64]) -> F64:
    """Share left of what stood ripe: day by day until a dry day for grain, until it is lifted for what stands in the ground.

    What is picked over weeks is picked as it ripens and loses nothing here.
    """
    daily = np.array([(tables.row("crops", p.crop)["standing_loss_pct_day"] or 0.0) / 100.0 for p in layout.plantings])
    left = 1.0 - daily.reshape(-1, 1, 1)
    ripe, first, last = kernel["ripe_day"], kernel["first_day"], kernel["last_day"]
    picked = given.traits[tr.PICK_DAYS][order][:, :, None] > 1
    stood = (ripe >= 0) & (last >= 0) & ~picked
    before = np.where(stood, np.maximum(first - ripe, 0), 0)
    days = np.where(stood, np.maximum(last - first, 0) + 1, 1)
    # Lifted evenly over `days`: the mean of left^t for t = 0 ... days - 1.
    mean = np.where(left < 1.0, (1.0 - left**days) / (days * np.maximum(1.0 - left, 1e-12)), 1.0)
    return np.asarray(left**before * mean)


def _season_taken(given: KernelInput, out: KernelOutput, order: I64) -> F64:
    """Share of its full course (development, and picking where it is picked) that a sowing got; over 0."""
    pick = given.traits[tr.PICK_DAYS][order][:, :, None]
    sow, first, last = out.sow_day[order], out.first_day[order], out.last_day[order]
    picked = (pick > 1) & (out.progress[order] >= 1.0) & (last >= 0)
    full = np.maximum(first + pick - sow, 1.0)
    share = np.where(picked, (last - sow + 1) / full, out.progress[order])
    return np.clip(share, 1e-3, 1.0)


def _frosted(given: KernelInput, out: KernelOutput, order: I64) -> npt.NDArray[np.bool_]:
    """Whether it was frost that cut a sowing short (else it ran its course or made room)."""
    status = out.status[order]
    pick = given.traits[tr.PICK_DAYS][order][:, :, None]
    clear = given.traits[tr.CLEAR_BY][order][:, :, None]
    first, last = out.first_day[order], out.last_day[order]
    cut = (status == tr.GATHERED) & (pick > 1) & (last < first + pick - 1) & (last < clear)
    return np.asarray(cut | (status == tr.FROSTED))


def _monthly(total_kg: F64, kernel: dict[str, I64], chosen: I64, month: I64) -> F64:
    """The chosen sowing's harvest spread evenly over its days of gathering, days folded into the larder year."""
    total, first, last = (
        np.take_along_axis(values, chosen[:, None, :], axis=1)[:, 0]
        for values in (total_kg, kernel["first_day"], kernel["last_day"])
    )
    there = total > 0
    first, last = np.where(there, first, 0), np.where(there, last, 0)
    # of the days before each day those that lie in each month, [day, 12]
    day = np.arange(last.max(initial=0) + 1)
    passed = np.zeros((len(day) + 1, 12), dtype=np.int64)
    passed[1:] = np.cumsum(month[tr.YEAR + day % tr.YEAR][:, None] == np.arange(12), axis=0)
    share = (passed[last + 1] - passed[first]) / (last + 1 - first)[:, :, None]
    return np.ascontiguousarray(np.where(there[:, :, None], total[:, :, None] * share, 0.0).transpose(0, 2, 1))
