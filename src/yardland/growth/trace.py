"""A sowing or a sward day by day: the plain twin is run on one lane, and what it does with those watched is written down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from yardland.growth import traits as tr
from yardland.growth import twin
from yardland.growth import twin_crop as crops
from yardland.growth.io import F64, SKY_FIELDS, KernelInput, KernelOutput, empty_output
from yardland.growth.soil_water import depletion_fraction
from yardland.growth.sward_traits import G_M2_PER_T_HA
from yardland.growth.twin_crop import Day
from yardland.growth.twin_ground import GROW, Ground

LANED = (*SKY_FIELDS, "daylength_h", "twilight_h", "rate_m3", "inflow_m3")
"""Fields of the kernels' input whose last axis are the lanes."""


class Step(NamedTuple):
    """One day of a sowing that stands, or of a sward.

    tmean_c : of the day under its cover ; degree_days : of this day
    cover : share of the light that green leaves catch ; light_mj : caught, MJ/m2 (0 when it makes nothing)
    cold, heat : share of the pace left by cold, by heat
    ks : water stress coefficient ; n_index : nitrogen in it over its critical amount, in the morning ; dm_g_m2 : made
    this day
    crop_n_kg_ha, critical_n_kg_ha : nitrogen in the crop, and what it needs for full pace, in the evening ; soil_n_kg_ha :
    mineral in its ground in the evening ; taken_n_kg_ha, fixed_n_kg_ha, leached_n_kg_ha : of this day, from the soil, from
    the air, out of the ground
    depletion_mm, readily_mm, available_mm : root zone after rain and watering ; irrigation_mm, rain_mm, et_mm,
    drainage_mm : of this day
    """

    tmean_c: float
    degree_days: float
    cover: float
    light_mj: float
    cold: float
    heat: float
    ks: float
    n_index: float
    crop_n_kg_ha: float
    critical_n_kg_ha: float
    soil_n_kg_ha: float
    taken_n_kg_ha: float
    fixed_n_kg_ha: float
    leached_n_kg_ha: float
    dm_g_m2: float
    depletion_mm: float
    readily_mm: float
    available_mm: float
    irrigation_mm: float
    rain_mm: float
    et_mm: float
    drainage_mm: float


class CropStep(NamedTuple):
    """What a sowing has besides on the day.

    tmin_c, tmax_c : under its cover ; cold_c : what its kill limit is held against (the night, or the mean of three days at
    the crown, under snow if any) ; kill_c : that limit ; ripeness : share of the development reached
    set_share, heat_share : of a full crop that frosts and heat at flowering left ; emerged, flowering, gathering : 0 or 1
    """

    tmin_c: float
    tmax_c: float
    cold_c: float
    kill_c: float
    ripeness: float
    set_share: float
    heat_share: float
    emerged: float
    flowering: float
    gathering: float


class SwardStep(NamedTuple):
    """What a sward has besides on the day.

    grew_t_ha : dm_g_m2 of the model as real growth ; mass_t_ha : standing in the morning, dry matter
    """

    grew_t_ha: float
    mass_t_ha: float


@dataclass(frozen=True)
class Trace:
    """A sowing from the day it was sown to its last in the ground; a sward from the first day of the axis to the last.

    sow_day : on the 730-day axis ; days : Step, and CropStep or SwardStep, by name, arrays [day] ; stages : name -> day on the axis, in
    order, none of a sward
    """

    sow_day: int
    days: Mapping[str, F64]
    stages: Mapping[str, int]

    @property
    def axis(self) -> F64:
        """The days on the 730-day axis."""
        return self.sow_day + np.arange(len(self.days["ks"]), dtype=np.float64)


def trace(given: KernelInput, lane: int, sowings: Iterable[int]) -> dict[int, Trace]:
    """Run one lane and give every watched sowing that was sown, by its row in `given.traits`.

    Every strip is run, since strips share water. The same results as the fast paths: it is the twin that runs.

    Args:
        given: input of the kernels.
        lane: which lane of it.
        sowings: rows to watch.
    """
    alone = one_lane(given, lane)
    out = empty_output(alone)
    watch = _Watch(alone, out, frozenset(sowings))
    watch.run()
    return {
        sowing: _trace(given.traits[:, sowing], out, sowing, steps) for sowing, steps in watch.steps.items() if steps
    }


def one_lane(given: KernelInput, lane: int) -> KernelInput:
    """The input of one lane alone."""
    return replace(given, **{name: getattr(given, name)[..., lane : lane + 1] for name in LANED})


class _Watch(twin.Lane):
    """The twin's lane with a pencil: it writes down what the watched sowings and swards do."""

    def __init__(self, given: KernelInput, out: KernelOutput, sowings: frozenset[int]) -> None:
        super().__init__(given, out, 0)
        self.steps: dict[int, list[tuple[Step, CropStep | SwardStep]]] = {sowing: [] for sowing in sowings}
        self._given_mm = dict.fromkeys(range(given.strips), 0.0)
        self._root_zone = (0.0, 0.0, 0.0, 0.0)
        self._n_index, self._caught, self._made = 1.0, 0.0, 0.0
        self._water: dict[int, float] = {}
        self._nitrogen: dict[int, float] = {}

    def _book(self, book: F64, term: int, strip: int, number: int, amount: float) -> None:
        super()._book(book, term, strip, number, amount)
        if book is self.out.water:
            self._water[term] = amount
            if term == tr.IRRIGATION:
                self._given_mm[strip] = amount
        elif book is self.out.nitrogen:
            self._nitrogen[term] = amount

    def _pass_day(self, strip: int, ground: Ground, day: Day) -> None:
        self._water, self._nitrogen = {}, {}
        self._caught = self._made = 0.0
        super()._pass_day(strip, ground, day)
        self._given_mm[strip] = 0.0

    def _stress(self, ground: Ground, crop: list[float], day: Day, kcb: float) -> float:
        depletion, available = ground.depletion_mm, ground.taw_mm
        readily = depletion_fraction(crop[tr.DEPLETION_P], kcb * day.eto_mm) * available
        ks = super()._stress(ground, crop, day, kcb)
        self._root_zone = (max(depletion, 0.0), readily, available, ks)
        self._n_index = ground.n_index
        return ks

    def _make(self, ground: Ground, crop: list[float], day: Day, caught: float, ks: float) -> float:
        self._caught, self._made = caught, super()._make(ground, crop, day, caught, ks)
        return self._made

    def _crop(self, strip: int, ground: Ground, day: Day) -> bool:
        if ground.sowing not in self.steps:
            return super()._crop(strip, ground, day)
        gathering, fixed = ground.phase != GROW, ground.fixed_n_kg_ha
        dead = super()._crop(strip, ground, day)
        own, cover = self._crop_step(ground, day, gathering=gathering)
        self.steps[ground.sowing].append((self._step(strip, ground, day, fixed, cover), own))
        return dead

    def _sward(self, strip: int, ground: Ground, day: Day) -> None:
        if ground.sowing not in self.steps:
            super()._sward(strip, ground, day)
            return
        crop = [float(value) for value in self.given.traits[:, ground.sowing]]
        mass, fixed = ground.mass_g_m2, ground.fixed_n_kg_ha
        super()._sward(strip, ground, day)
        own = SwardStep(grew_t_ha=crop[tr.TONNES] * self._made, mass_t_ha=mass / G_M2_PER_T_HA)
        step = self._step(strip, ground, day, fixed, crops.sward_cover(crop, mass))
        self.steps[ground.sowing].append((step, own))

    def _step(self, strip: int, ground: Ground, day: Day, fixed_before: float, cover: float) -> Step:
        crop = [float(value) for value in self.given.traits[:, ground.sowing]]
        depletion, readily, available, ks = self._root_zone
        cold, heat = _paces(crop, day.tmean_c)
        return Step(
            tmean_c=day.tmean_c,
            degree_days=max(min(day.tmean_c, crop[tr.PLATEAU_C]) - crop[tr.BASE_C], 0.0),
            cover=cover,
            light_mj=self._caught,
            cold=cold,
            heat=heat,
            ks=ks,
            n_index=self._n_index,
            crop_n_kg_ha=ground.crop_n_kg_ha,
            critical_n_kg_ha=ground.critical_n_kg_ha,
            soil_n_kg_ha=sum(ground.n_kg_ha),
            taken_n_kg_ha=self._nitrogen.get(tr.N_UPTAKE, 0.0),
            fixed_n_kg_ha=ground.fixed_n_kg_ha - fixed_before,
            leached_n_kg_ha=self._nitrogen.get(tr.N_LEACHED, 0.0),
            dm_g_m2=self._made,
            depletion_mm=depletion,
            readily_mm=readily,
            available_mm=available,
            irrigation_mm=self._given_mm[strip],
            rain_mm=day.rain_mm,
            et_mm=self._water.get(tr.ET, 0.0),
            drainage_mm=self._water.get(tr.DRAINAGE, 0.0),
        )

    def _crop_step(self, ground: Ground, day: Day, *, gathering: bool) -> tuple[CropStep, float]:
        """What a sowing alone has, and the share of the light that its leaves catch."""
        crop = [float(value) for value in self.given.traits[:, ground.sowing]]
        growth = max(ground.heat - crop[tr.HEAT_EMERGE], 0.0) / crop[tr.TARGET]
        ripeness = ground.units / crop[tr.TARGET]
        emerged = ground.heat >= crop[tr.HEAT_EMERGE]
        cover = crops.canopy(ground, crop, growth, ripeness)[1] if emerged else 0.0
        own = CropStep(
            tmin_c=day.tmin_c,
            tmax_c=day.tmax_c,
            cold_c=day.tmin_c if crop[tr.KILL_BY_MEAN] == 0.0 else day.crown_c,
            kill_c=crops.kill_limit_c(ground, crop, ripeness),
            ripeness=min(ripeness, 1.0),
            set_share=ground.set_share,
            heat_share=crops.heat_share(ground.scorched, crop),
            emerged=float(emerged),
            flowering=float(crop[tr.FLOWER_FROM] <= ripeness < crop[tr.FLOWER_UNTIL]),
            gathering=float(gathering),
        )
        return own, cover


def _paces(crop: list[float], tmean_c: float) -> tuple[float, float]:
    """Shares of the pace that cold and heat leave; the lesser is `twin_crop.warmth`."""
    rise = (tmean_c - crop[tr.BASE_C]) / (crop[tr.GROW_FULL_C] - crop[tr.BASE_C])
    fall = 1.0 - (tmean_c - crop[tr.GROW_FALL_C]) / tr.HEAT_SPAN_C
    return min(max(rise, 0.0), 1.0), min(max(fall, 0.0), 1.0)


def _trace(crop: F64, out: KernelOutput, sowing: int, steps: list[tuple[Step, CropStep | SwardStep]]) -> Trace:
    names = [name for part in steps[0] for name in part._fields]
    table = np.array([[value for part in step for value in part] for step in steps])
    days = dict(zip(names, np.ascontiguousarray(table.T), strict=True))
    if crop[tr.SWARD] > 0.0:
        return Trace(0, days, {})
    sow_day = int(out.sow_day[sowing, 0])
    return Trace(sow_day, days, _stages(crop, out, sowing, days, sow_day))


def _stages(crop: F64, out: KernelOutput, sowing: int, days: Mapping[str, F64], sow_day: int) -> dict[str, int]:
    """Stages that were reached, by the axis day on which they began, in the order of the days."""
    planted_out = crop[tr.HEAT_AT_START] > 0.0
    reached = {
        "planted out" if planted_out else "sown": np.ones(1, dtype=bool),
        "growing on" if planted_out else "up": days["emerged"] > 0,
        "released from winter": (days["ripeness"] * crop[tr.TARGET] >= crop[tr.RELEASE]) & (crop[tr.RELEASE] > 0),
        "making bulbs": (days["ripeness"] * crop[tr.TARGET] > crop[tr.BULB_UNITS]),
        "in flower": days["flowering"] > 0,
        "half its widest cover": days["cover"] >= 0.5 * max(float(days["cover"].max()), 1e-9),
        "leaves ageing": (days["ripeness"] >= crop[tr.SENESCE_FROM]) & (crop[tr.SENESCE_LEFT] < 1.0),
        "ripe": days["ripeness"] >= 1.0,
    }
    found = {name: sow_day + int(np.argmax(mask)) for name, mask in reached.items() if mask.any()}
    first, last = int(out.first_day[sowing, 0]), int(out.last_day[sowing, 0])
    if first >= 0:
        found["gathering begins"] = first
    if last >= 0:
        found["gathered"] = last
    return dict(sorted(found.items(), key=lambda stage: stage[1]))
