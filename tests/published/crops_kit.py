"""Every crop of the tables on its own plot in a climate that fits it, straight on the kernel."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from typing import Any

import numpy as np
from growth_kit import holding, laid, tables, weather

from yardland.growth import traits as tr
from yardland.growth.crop_traits import FORAGE
from yardland.growth.io import KernelInput, KernelOutput
from yardland.growth.layout import Layout
from yardland.growth.reference_climate import CLIMATES
from yardland.growth.run import kernel_input, run_kernel
from yardland.holding.model import Holding, PlantingRow, Plot, Soil
from yardland.weather.types import Forcing

START_MONTHS = (1, 9)
TEXTURE = "sand"
"""Light ground: little is stored, so that a want of water is felt at once and evenly."""
AMPLE = 1.6
"""Water on the ground each day over reference evapotranspiration, where nothing is to be short."""
F64 = np.ndarray[Any, np.dtype[np.float64]]


@dataclass(frozen=True)
class Stand:
    """Crops of one climate on the kernel: plot n, strip n and planting n are crop n."""

    crops: tuple[str, ...]
    plan: Holding
    layout: Layout
    forcing: Forcing
    given: KernelInput


@dataclass(frozen=True)
class Whole:
    """A crop whose season lies whole, or nearly, within the year that is booked.

    climate, start_month : of its stand, where the table of anchors says that it fits ; strip, row : in the arrays of that
    stand's layout and kernel ; sown, ended : days on the axis, to the last picking of what is picked, else to ripeness
    """

    crop: str
    climate: str
    start_month: int
    strip: int
    row: int
    sown: int
    ended: int

    @property
    def sowing(self) -> int:
        """0 in the year before, 1 in the larder year."""
        return list(stand(self.climate, self.start_month).layout.sowing_rows[self.strip]).index(self.row)


def climate_of(crop: str) -> str:
    """The warm reference climate where the crop fits it, else the first that it fits."""
    fits = tables().row("anchors", crop).text("climate").split()
    return "warm" if "warm" in fits else fits[0]


def strip_crops() -> tuple[str, ...]:
    """Every crop that is grown on strips."""
    return tuple(crop for crop in tables().keys("crops") if crop not in FORAGE)


@cache
def stand(climate: str, start_month: int) -> Stand:
    """The crops of a climate with ample water, nitrogen that never binds, and ground that is always fit to work."""
    crops = tuple(crop for crop in strip_crops() if climate_of(crop) == climate)
    plots = {crop: Plot.model_validate({"use": "crops", "area_m2": 1000.0, "soil": "light"}) for crop in crops}
    rows = [
        PlantingRow.model_validate({"line": line, "plot": crop, "crop": crop, "sow": "auto"})
        for line, crop in enumerate(crops, start=2)
    ]
    plan = holding(*rows).model_copy(update={"plot": plots, "soil": {"light": Soil(texture=TEXTURE)}})
    forcing = weather(climate, start_month=start_month)
    layout = laid(plan, forcing)
    assert tuple(planting.crop for planting in layout.plantings) == crops
    given, _ = kernel_input(plan, tables(), forcing, layout)
    given.traits[tr.FIT_SOIL] = 0.0
    given.traits[tr.N_CRITICAL_PCT] = 1e-6
    return Stand(crops, plan, layout, forcing, watered(given, AMPLE * given.eto_mm[given.strip_cover]))


def watered(given: KernelInput, water_mm: F64) -> KernelInput:
    """The same ground under given water [strip, day, lane]: it soaks in, and no shower holds up sowing or gathering."""
    lanes = water_mm.shape[2]

    def by_strip(name: str) -> F64:
        return np.repeat(getattr(given, name)[given.strip_cover, :, :1], lanes, axis=2)

    names = ("tmean_c", "tmin_c", "tmax_c", "crown_c", "t10_c", "par_mj", "eto_mm", "rot_pace", "dry_spell")
    none = np.zeros_like(water_mm)
    return replace(
        given,
        **{name: by_strip(name) for name in names},
        water_mm=water_mm,
        rain_mm=none,
        runoff_mm=none,
        daylength_h=np.repeat(given.daylength_h[:, :1], lanes, axis=1),
        twilight_h=np.repeat(given.twilight_h[:, :1], lanes, axis=1),
        strip_cover=np.arange(water_mm.shape[0], dtype=np.int64),
    )


@cache
def full(climate: str, start_month: int) -> KernelOutput:
    """What the stand gives when nothing is short."""
    return run_kernel(stand(climate, start_month).given)


@cache
def wholes() -> tuple[Whole, ...]:
    """Every crop that is grown on strips, in the larder year that holds most of its season."""
    best: dict[str, tuple[float, Whole]] = {}
    for climate, month in product(CLIMATES, START_MONTHS):
        if not stand(climate, month).crops:
            continue
        out = full(climate, month)
        for strip, crop in enumerate(stand(climate, month).crops):
            for row in (int(row) for row in stand(climate, month).layout.sowing_rows[strip]):
                picked = stand(climate, month).given.traits[tr.PICK_DAYS, row] > 1
                sown, ended = int(out.sow_day[row, 0]), int((out.last_day if picked else out.ripe_day)[row, 0])
                if out.status[row, 0] not in (tr.GATHERED, tr.CLEARED) or ended <= tr.YEAR:
                    continue
                inside = (ended - max(sown, tr.YEAR)) / (ended - sown)
                if crop not in best or inside > best[crop][0]:
                    best[crop] = (inside, Whole(crop, climate, month, strip, row, sown, ended))
    return tuple(best[crop][1] for crop in strip_crops() if crop in best)


def booked(whole: Whole) -> slice:
    """Larder months that the season touches."""
    month = stand(whole.climate, whole.start_month).given.month
    return slice(int(month[max(whole.sown, tr.YEAR)]), int(month[min(whole.ended, tr.AXIS - 1)]) + 1)
