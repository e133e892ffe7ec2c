"""When stock go out in spring and come in before winter: days on which the ground bears them and grass has grown.

Growth alone does not open a field: hooves sink where the top soil holds more than field capacity. Both are the growth
kernel's, for every larder year (lane) of the record; docs/larder-feed.md prints the rule.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.growth.sward import SwardYear
from yardland.ledger.months import DAYS_IN_YEAR, larder_months, month_of_day
from yardland.ledger.units import M2_PER_HA
from yardland.weather.types import Forcing

if TYPE_CHECKING:
    from yardland.reference.tables import Tables

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
Bool = npt.NDArray[np.bool_]

WEEK_D = 7
MEAN_D = 31
SEARCH_FROM, SEARCH_TO = 200, 200 + DAYS_IN_YEAR
"""Days of the two-year axis among which the coldest is sought, so that a turn-out lies behind it whatever month opens."""
KG_PER_T = 1000.0


@dataclass(frozen=True)
class TurnOut:
    """Days of the two-year axis (the larder year is 365-729), by lane [lane].

    out : first day on which stock can be out for good ; housed : first day of being in before it (out - 1 at the latest)
    coldest : middle of the coldest month between them
    """

    out: I64
    housed: I64
    coldest: I64


def turn_out(tables: Tables, forcing: Forcing, swards: tuple[SwardYear, ...], grazed: frozenset[str]) -> TurnOut | None:
    """Turn-out and housing of every larder year; None where nothing is grazed.

    Args:
        tables: grazing masses of the swards, days that must bear before turn-out.
        forcing: every larder year of the record.
        swards: with grown_kg_dm and grazing_kg_dm [month, lane], and the days on which their ground bears.
        grazed: ids of the swards on which stock walk.
    """
    walked = [sward for sward in swards if sward.id in grazed]
    if not walked:
        return None
    days = int(tables.row("feed_rules", "turn_out_dry_days").need("number"))
    fit = enough_of_week(bearing(walked), days)
    coldest = coldest_day(forcing)
    monthly = month_of_day(larder_months(2001, forcing.start_month))
    month = np.tile(np.array(monthly), 2)
    lengths = np.bincount(np.array(monthly), minlength=12).astype(np.float64)
    grown = np.sum([sward.grown_kg_dm for sward in walked], axis=0)[month] / lengths[month][:, None]
    grazing = np.sum([sward.grazing_kg_dm for sward in walked], axis=0)[month] > 0.0
    wanted = sum(sward.area_m2 / M2_PER_HA * gap_t_ha(tables, sward) * KG_PER_T for sward in walked)
    lanes = range(fit.shape[1])
    out = np.array([first_out(fit[:, i], grown[:, i], wanted, int(coldest[i])) for i in lanes], dtype=np.int64)
    housed = np.array([first_in(fit[:, i], grazing[:, i], int(coldest[i])) for i in lanes], dtype=np.int64)
    return TurnOut(out, np.minimum(housed, out), coldest)


def gap_t_ha(tables: Tables, sward: SwardYear) -> float:
    """Growth between the mass that is left by grazing and the mass from which it is grazed."""
    row = tables.row("swards", sward.kind)
    return row.need("grazed_from_t_ha") - row.need("grazed_to_t_ha")


def bearing(walked: Sequence[SwardYear]) -> Bool:
    """Whether at least half of the ground of some swards carries stock, on each day of each lane, bool [730, lane].

    Each sward's own days are the growth kernel's (docs/growth-swards.md).
    """
    whole = sum(sward.area_m2 for sward in walked)
    bears = sum((sward.area_m2 * sward.bears for sward in walked), np.zeros(walked[0].bears.shape))
    return np.asarray(bears >= 0.5 * whole)


def enough_of_week(fit: Bool, days: int) -> Bool:
    """Whether at least `days` of the week that begins on each day bear; [730, lane]."""
    ahead = np.concatenate([fit, np.repeat(fit[-1:], WEEK_D - 1, axis=0)])
    counts = sum(ahead[step : step + len(fit)].astype(np.int64) for step in range(WEEK_D))
    return np.asarray(counts >= days)


def coldest_day(forcing: Forcing) -> I64:
    """Middle of the coldest 31 days of each lane, day of the two-year axis [lane]."""
    mean = (forcing.tmin_c + forcing.tmax_c) / 2.0
    total = np.cumsum(np.concatenate([np.zeros((1, mean.shape[1])), mean]), axis=0)
    half = MEAN_D // 2
    days = np.arange(SEARCH_FROM, SEARCH_TO)
    running = total[days + half + 1] - total[days - half]
    return np.asarray(days[np.argmin(running, axis=0)], dtype=np.int64)


def first_out(fit: Bool, grown_kg: F64, wanted_kg: float, coldest: int) -> int:
    """First day after the coldest by which the grass has grown to the grazing mass and from which a week bears."""
    stood = np.cumsum(grown_kg[coldest:])
    ready = np.flatnonzero((stood >= wanted_kg) & fit[coldest:])
    return coldest + int(ready[0]) if len(ready) else min(coldest + DAYS_IN_YEAR, len(fit) - 1)


def first_in(fit: Bool, grazing: Bool, coldest: int) -> int:
    """The day after the last one before the coldest on which there is grass and the week bears."""
    back = np.flatnonzero((fit & grazing)[max(coldest - DAYS_IN_YEAR // 2, 0) : coldest])
    return max(coldest - DAYS_IN_YEAR // 2, 0) + int(back[-1]) + 1 if len(back) else max(coldest - DAYS_IN_YEAR // 2, 0)
