"""Ground and yard as the rules of keeping judge them: worms by the weather, soft ground, regrowth, room and straw."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from yardland.holding.model import Holding
from yardland.larder.feed_turnout import KG_PER_T, gap_t_ha
from yardland.ledger.months import DAYS_IN_YEAR, month_of_day
from yardland.ledger.units import M2_PER_HA
from yardland.reference import Tables
from yardland.season.droppings import grows_grass, outside_kg, walked
from yardland.season.evenings import Walk, walks
from yardland.season.season import Season, grazing_days
from yardland.season.soft_ground import ground_bears
from yardland.stock.worms import WORMS, clean_after_d, hatching, larval_life_d
from yardland.stock.yard import YardGroup, straw_kg_week

F64 = npt.NDArray[np.float64]


@dataclass(frozen=True)
class PastureYear:
    """The ground that stock walk in one larder year, by larder month, [12] each.

    hatch_days : worm (`stock.worms.WORMS`) -> days on which its eggs become larvae
    clean_after_d : days until larvae of the middle of the month are gone
    soft_days : plot that animals walk -> days on which its ground does not bear hooves
    regrowth_d : grass plot -> days in which it grows from the mass left to the mass grazed; a whole year where it stands still
    left_cm : grass plot -> height that grazing leaves
    out : months in which herds on a round are out first, bool
    walks : herd (a round, or groups at home on grass) -> its stays, rests and evenings of the year
    """

    hatch_days: dict[str, F64] = field(default_factory=dict)
    clean_after_d: F64 = field(default_factory=lambda: np.zeros(12))
    soft_days: dict[str, F64] = field(default_factory=dict)
    regrowth_d: dict[str, F64] = field(default_factory=dict)
    left_cm: dict[str, float] = field(default_factory=dict)
    out: npt.NDArray[np.bool_] = field(default_factory=lambda: np.zeros(12, dtype=np.bool_))
    walks: dict[str, Walk] = field(default_factory=dict)


def pasture_year(holding: Holding, tables: Tables, season: Season) -> PastureYear:
    """The ground of the lane that is shown; see `PastureYear`."""
    forcing, lane, sky = season.forcing, season.lane, season.weather
    month = np.array(month_of_day(season.months))
    lengths = np.array([one.days for one in season.months], dtype=np.float64)

    def figure(key: str) -> float:
        return tables.row("keeping", key).need("number")

    hatch = {
        worm: hatching(
            forcing.tmax_c[:, lane],
            forcing.rain_mm[:, lane],
            figure(f"worm_{worm}_c"),
            window_d=int(figure("worm_window_d")),
            least_rain_mm=figure("worm_rain_mm"),
        )[-DAYS_IN_YEAR:]
        for worm in WORMS
    }
    life = larval_life_d(tables, sky["tmax_c"], sky["tmin_c"], sky["rain_mm"])
    gone = clean_after_d(life[month])
    middles = [one.first_day + one.days // 2 for one in season.months]
    plots = dict.fromkeys(
        plot for group in holding.group for plot in (*walked(holding, group), holding.group[group].home)
    )
    soft: dict[str, F64] = {}
    for plot in plots:
        bears = ground_bears(holding, season.grown, lane, plot)
        if bears is not None:
            soft[plot] = days_by_month(~bears, month)
    regrowth, left = {}, {}
    for sward in season.swards:
        if sward.id != sward.plot:
            continue
        a_day = sward.grown_kg_dm[:, lane] / lengths
        gap_kg = gap_t_ha(tables, sward) * KG_PER_T * sward.area_m2 / M2_PER_HA
        regrowth[sward.plot] = np.divide(
            gap_kg, a_day, out=np.full(12, float(DAYS_IN_YEAR)), where=a_day > gap_kg / DAYS_IN_YEAR
        )
        per_cm = tables.row("rules", "pasture_kg_dm_per_cm").need("number")
        left[sward.plot] = tables.row("swards", sward.kind).need("grazed_to_t_ha") * KG_PER_T / per_cm
    grows = np.isin(np.arange(12), month[grazing_days(sky, season.months)])
    return PastureYear(
        hatch_days={worm: days_by_month(days, month) for worm, days in hatch.items()},
        clean_after_d=gone[middles],
        soft_days=soft,
        regrowth_d=regrowth,
        left_cm=left,
        out=grows,
        walks=walks(holding, season.grown.rounds, season.stays, season.months, grows),
    )


def days_by_month(true: npt.NDArray[np.bool_], month: npt.NDArray[np.int64]) -> F64:
    """Days of each month that are true, [12]; `month` is the index of each day's month."""
    return np.asarray(np.bincount(month, weights=true.astype(np.float64), minlength=12), dtype=np.float64)


def yard_year(holding: Holding, tables: Tables, season: Season) -> dict[str, YardGroup]:
    """Group -> its room and its straw. The time under a roof follows the droppings (`season.droppings`)."""
    month, warm, evenings = np.array(month_of_day(season.months)), grows_grass(season.weather), season.evenings
    found = {}
    for name in holding.group:
        droppings = sum((need.manure_n_kg for need in season.herd.needs if need.group == name), np.zeros(12))
        out = outside_kg(holding, tables, name, droppings, warm, evenings)
        share = 1.0 - np.divide(out, droppings, out=np.zeros(12), where=droppings > 0.0)
        heads = {klass: days for (group, klass), days in season.herd.events.heads_day.items() if group == name}
        found[name] = YardGroup(season.herd.events.housing[name], share, straw_kg_week(heads, share[month], tables))
    return found
