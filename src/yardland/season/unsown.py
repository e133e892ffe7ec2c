"""Why a planting was never sown: what stood in its place, how cold its window was, or that the ground was not fit."""

from __future__ import annotations

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.heat import trailing_mean
from yardland.growth.outcome import GrowthResult
from yardland.reference import Tables
from yardland.weather.types import Forcing

WARMTH_DAYS = 10


def why_unsown(tables: Tables, forcing: Forcing, grown: GrowthResult, lane: int, index: int) -> str:
    """The first gate that held on every day of the window, in words.

    Gates as in the kernel, in this order: the strip is free (and a week has gone for making the bed), the ten-day mean
    reaches the crop's germination temperature (not asked of typed windows), the top soil is fit to work on a dry day.
    """
    planting = grown.plantings[index]
    shift = tr.YEAR * int(grown.chosen[index, lane])
    window = np.arange(max(planting.opens + shift, 0), min(planting.closes + shift, tr.AXIS - 1) + 1)
    if not len(window):
        return "its window lies outside the days that are reckoned"
    free = window[~taken(grown, lane, index)[window]]
    if not len(free):
        return "what was there before it stood on the strip until its window had closed"
    asked = tables.row("crops", planting.crop)["min_germination_soil_temp_c"]
    tmean = (forcing.tmin_c[:, lane] + forcing.tmax_c[:, lane]) / 2
    warmth = trailing_mean(tmean[:, None], WARMTH_DAYS)[free, 0]
    if not planting.typed and asked is not None and float(warmth.max()) < asked:
        return (
            f"no free day of its window was warm enough: ten-day mean {warmth.max():.1f} C at most, it asks {asked:g} C"
        )
    return "on the days that were free and warm enough the top soil was too wet to work, or it rained or froze"


def taken(grown: GrowthResult, lane: int, index: int) -> np.ndarray:
    """Days of the 730-day axis on which something else stands on the planting's strip or its bed is being made, bool."""
    strips = {planting.id: strip.id for strip in grown.layout.strips for planting in strip.plantings}
    own = strips[grown.plantings[index].id]
    days = np.zeros(tr.AXIS, dtype=bool)
    for other, planting in enumerate(grown.plantings):
        if other == index or strips[planting.id] != own:
            continue
        for sowing in (0, 1):
            first, last = int(grown.sow_day[other, sowing, lane]), int(grown.gather_last[other, sowing, lane])
            if first >= 0 and last >= first:
                days[first : min(last + tr.BED_WORK_DAYS, tr.AXIS - 1) + 1] = True
    return days
