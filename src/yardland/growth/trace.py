"""A sowing day by day: the plain twin is run on one lane, and what it does with the sowings that are watched is written down."""

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
from yardland.growth.twin_crop import Day
from yardland.growth.twin_ground import GROW, Ground

LANED = (*SKY_FIELDS, "daylength_h", "twilight_h", "rate_m3", "inflow_m3")
"""Fields of the kernels' input whose last axis are the lanes."""


class Step(NamedTuple):
    """One day of a sowing that stands.

    tmean_c, tmin_c, tmax_c : of the day under its cover ; cold_c : what its kill limit is held against (the night, or the
    mean of three days at the crown, under snow if any) ; kill_c : that limit ; degree_days : of this day ; ripeness :
    share of the development reached
    cover : share of the light that green leaves catch ; light_mj : caught, MJ/m2 (0 when it makes nothing)
    cold, heat : share of the pace left by cold, by heat
    ks : water stress coefficient ; n_index : nitrogen in it over its critical amount, in the morning ; crop_n_kg_ha,
    soil_n_kg_ha : nitrogen in the crop and mineral in its ground in the evening ; dm_g_m2 : made this day
    depletion_mm, readily_mm, available_mm : root zone after rain and watering ; irrigation_mm, rain_mm : of this day
    set_share, heat_share : of a full crop that frosts and heat at flowering left ; emerged, gathering : 0 or 1
    """

    tmean_c: float
    tmin_c: float
    tmax_c: float
    cold_c: float
    kill_c: float
    degree_days: float
    ripeness: float
    cover: float
    light_mj: float
    cold: float
    heat: float
    ks: float
    n_index: float
    crop_n_kg_ha: float
    soil_n_kg_ha: float
    dm_g_m2: float
    depletion_mm: float
    readily_mm: float
    available_mm: float
    irrigation_mm: float
    rain_mm: float
    set_share: float
    heat_share: float
    emerged: float
    gathering: float


@dataclass(frozen=True)
class Trace:
    """A sowing from the day it was sown to its last in the ground.

    sow_day : on the 730-day axis ; days : Step by name, arrays [day] ; stages : name -> day on the axis, in order
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
    """The twin's lane with a pencil: it writes down what the watched sowings do."""

    def __init__(self, given: KernelInput, out: KernelOutput, sowings: frozenset[int]) -> None:
        super().__init__(given, out, 0)
        self.steps: dict[int, list[Step]] = {sowing: [] for sowing in sowings}
        self._given_mm = dict.fromkeys(range(given.strips), 0.0)
        self._root_zone = (0.0, 0.0, 0.0, 0.0)
        self._n_index = 1.0

    def _book(self, book: F64, term: int, strip: int, number: int, amount: float) -> None:
        super()._book(book, term, strip, number, amount)
        if book is self.out.water and term == tr.IRRIGATION:
            self._given_mm[strip] = amount

    def _stress(self, ground: Ground, crop: list[float], day: Day, kcb: float) -> float:
        depletion, available = ground.depletion_mm, ground.taw_mm
        readily = depletion_fraction(crop[tr.DEPLETION_P], kcb * day.eto_mm) * available
        ks = super()._stress(ground, crop, day, kcb)
        self._root_zone = (max(depletion, 0.0), readily, available, ks)
        self._n_index = ground.n_index
        return ks

    def _crop(self, strip: int, ground: Ground, day: Day) -> bool:
        sowing, watered = ground.sowing, self._given_mm[strip]
        self._given_mm[strip] = 0.0
        if sowing not in self.steps:
            return super()._crop(strip, ground, day)
        made, light = (float(part[sowing, 0]) for part in (self.out.dm_g_m2, self.out.light_mj))
        gathering = ground.phase != GROW
        dead = super()._crop(strip, ground, day)
        dm = float(self.out.dm_g_m2[sowing, 0]) - made
        caught = float(self.out.light_mj[sowing, 0]) - light
        self.steps[sowing].append(self._step(ground, day, watered, dm, caught, gathering=gathering))
        return dead

    def _step(
        self, ground: Ground, day: Day, watered_mm: float, dm_g_m2: float, light_mj: float, *, gathering: bool
    ) -> Step:
        crop = [float(value) for value in self.given.traits[:, ground.sowing]]
        growth = max(ground.heat - crop[tr.HEAT_EMERGE], 0.0) / crop[tr.TARGET]
        ripeness = ground.units / crop[tr.TARGET]
        emerged = ground.heat >= crop[tr.HEAT_EMERGE]
        depletion, readily, available, ks = self._root_zone
        rise = (day.tmean_c - crop[tr.BASE_C]) / (crop[tr.GROW_FULL_C] - crop[tr.BASE_C])
        fall = 1.0 - (day.tmean_c - crop[tr.GROW_FALL_C]) / tr.HEAT_SPAN_C
        return Step(
            tmean_c=day.tmean_c,
            tmin_c=day.tmin_c,
            tmax_c=day.tmax_c,
            cold_c=day.tmin_c if crop[tr.KILL_BY_MEAN] == 0.0 else day.crown_c,
            kill_c=crops.kill_limit_c(ground, crop, ripeness),
            degree_days=max(min(day.tmean_c, crop[tr.PLATEAU_C]) - crop[tr.BASE_C], 0.0),
            ripeness=min(ripeness, 1.0),
            cover=crops.canopy(ground, crop, growth, ripeness)[1] if emerged else 0.0,
            light_mj=light_mj,
            cold=min(max(rise, 0.0), 1.0),
            heat=min(max(fall, 0.0), 1.0),
            ks=ks,
            n_index=self._n_index,
            crop_n_kg_ha=ground.crop_n_kg_ha,
            soil_n_kg_ha=sum(ground.n_kg_ha),
            dm_g_m2=dm_g_m2,
            depletion_mm=depletion,
            readily_mm=readily,
            available_mm=available,
            irrigation_mm=watered_mm,
            rain_mm=day.rain_mm,
            set_share=ground.set_share,
            heat_share=crops.heat_share(ground.scorched, crop),
            emerged=float(emerged),
            gathering=float(gathering),
        )


def _trace(crop: F64, out: KernelOutput, sowing: int, steps: list[Step]) -> Trace:
    days = {name: np.array([getattr(step, name) for step in steps]) for name in Step._fields}
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
