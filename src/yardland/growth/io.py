"""What the kernels take and give: plain arrays, the same for all three."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr

F64 = npt.NDArray[np.float64]
I64 = npt.NDArray[np.int64]
SKY_FIELDS = (
    "tmean_c",
    "tmin_c",
    "tmax_c",
    "crown_c",
    "t10_c",
    "par_mj",
    "eto_mm",
    "rain_mm",
    "water_mm",
    "runoff_mm",
    "rot_pace",
    "dry_spell",
)
"""Weather over a cover and a soil: fields of `KernelInput`, arrays [cover, day, lane]."""


@dataclass(frozen=True)
class KernelInput:
    """Weather and ground of one run.

    traits[trait, sowing]; sowings of a strip are contiguous: the year before, then the larder year, in order. A sward has
        one sowing, which stands from the first day to the last.
    sky[cover, day, lane] : tmean_c, tmin_c, tmax_c, crown_c (3-day mean as a growing point under snow feels it), t10_c
        (10-day mean), par_mj (0.5 x solar radiation), eto_mm, rain_mm (as it falls), water_mm (rain and melted snow that
        reach the ground), runoff_mm, rot_pace (temperature factor of rotting), dry_spell (1 on the first of enough dry
        days for hay, else 0)
    daylength_h, twilight_h[day, lane] ; month[day] is -1 in the year before, else 0-11
    strip_cover, strip_first, strip_count[strip] ; awc_mm_m, area_m2, fit_mm, tew_mm, rew_mm, dry_mm, soil_n_kg_ha_d, soaks_share[strip]
    thick_m, full_mm, sat_mm, pass_share, hold_mm[layer, strip] : see `twin_ground.Soil`
    start_n_kg_ha : mineral nitrogen on the first day, spread over the depth ; settle_day[strip] : a day of the year before on
        which the strip's nitrogen is put to that again, as the crop before would leave it (-1 none) ; sky_n_kg_ha_d : what falls from the sky ;
        fresh_rate_d : share of the fresh matter's nitrogen that comes free in a day at full pace
    water_order[n] : strips that are watered, in groups served one after the other; water_groups[g] : where each group
        starts, and the end; strip_sources[strip, k] : source numbers, -1 for none
    net_limit_mm, efficiency[strip]
    Herds that walk by themselves are counted as rounds, those who follow after the one that they follow:
    strip_round[strip] : which herd graze a sward first, -1 none ; round_kg_d[round, day] : what a herd would eat of it in a
        day, kg of dry matter ; round_days[round] : the longest stay ; round_grown[round] : how far a sward must have come from
        its residual to its full grazing mass before whoever leads goes there, 0-1 ; round_ahead[round] : the herd that it
        follows, -1 none ; round_within[round] : days in which it follows ; round_leaves[round] : share of what it finds above
        the residual that it leaves to those behind it
    bears_over_mm : water over field capacity in the first layer with which ground still carries stock ; bears_frozen_c : mean of
        the day under which it is frozen and does
    rate_m3[source, day, lane], inflow_m3[source, day, lane], capacity_m3[source], licence_m3[source]
    demand_m3[day] : people and stock, served first
    begin[state, strip, lane] : the soil as the first day opens, in the order of `SOIL_STATE`; None: full, with start_n_kg_ha
    """

    traits: F64
    tmean_c: F64
    tmin_c: F64
    tmax_c: F64
    crown_c: F64
    t10_c: F64
    par_mj: F64
    eto_mm: F64
    rain_mm: F64
    water_mm: F64
    runoff_mm: F64
    rot_pace: F64
    dry_spell: F64
    daylength_h: F64
    twilight_h: F64
    month: I64
    strip_cover: I64
    strip_first: I64
    strip_count: I64
    awc_mm_m: F64
    area_m2: F64
    fit_mm: F64
    tew_mm: F64
    rew_mm: F64
    dry_mm: F64
    soil_n_kg_ha_d: F64
    soaks_share: F64
    thick_m: F64
    full_mm: F64
    sat_mm: F64
    pass_share: F64
    hold_mm: F64
    settle_day: I64
    start_n_kg_ha: float
    sky_n_kg_ha_d: float
    fresh_rate_d: float
    water_order: I64
    water_groups: I64
    strip_sources: I64
    net_limit_mm: F64
    efficiency: F64
    strip_round: I64
    round_kg_d: F64
    round_days: I64
    round_grown: F64
    round_ahead: I64
    round_within: I64
    round_leaves: F64
    bears_over_mm: float
    bears_frozen_c: float
    rate_m3: F64
    inflow_m3: F64
    capacity_m3: F64
    licence_m3: F64
    demand_m3: F64
    begin: F64 | None = None

    @property
    def strips(self) -> int:
        """Number of strips."""
        return len(self.strip_first)

    @property
    def lanes(self) -> int:
        """Number of lanes (years)."""
        return int(self.tmean_c.shape[2])

    @property
    def sources(self) -> int:
        """Number of water sources."""
        return len(self.capacity_m3)

    @property
    def rounds(self) -> int:
        """Number of herds that walk by themselves."""
        return len(self.round_days)

    @property
    def follower(self) -> I64:
        """The herd that follows each herd, -1 none, [round]."""
        behind = np.full(self.rounds, -1, dtype=np.int64)
        follows = np.flatnonzero(self.round_ahead >= 0)
        behind[self.round_ahead[follows]] = follows
        return behind

    @property
    def day_steps(self) -> int:
        """Strips x lanes x days."""
        return self.strips * self.lanes * int(self.tmean_c.shape[1])


@dataclass(frozen=True)
class KernelOutput:
    """What the kernels fill in.

    sow_day, ripe_day, first_day, last_day, status [sowing, lane] (int64, days on the axis, -1 none)
    dm_g_m2, light_mj, warm_mj, wet_mj, progress, share [sowing, lane]: dry matter grown; PAR caught; PAR caught x
        temperature factor; x the lesser of that and the water factor; share of the development reached; share of the ripe
        crop that was gathered
    set_share, heat_share [sowing, lane] : share of a full crop that frost, and heat, at flowering left to set
    taken_n_kg_ha, fixed_n_kg_ha [sowing, lane] : nitrogen from the soil and from the air
    water[term, strip, month, lane] mm ; nitrogen[term, strip, month, lane] kg/ha ; sward[term, strip, month, lane] g/m2 ;
        wet_days[strip, month, lane] : days with a waterlogged top soil
    drawn_m3, dry_days[source, month, lane] ; unmet_m3[month, lane]
    spare_m3[source, day, lane] : what of the day's rate nobody took
    where[round, day, lane] (int16) : strip on which a herd is in the evening, -1 in the yard
    bears[strip, day, lane] (int8) : 1 where the ground carries stock in the evening, else 0
    ends[state, strip, lane] : the soil after the last day, in the order of `SOIL_STATE`
    """

    sow_day: I64
    ripe_day: I64
    first_day: I64
    last_day: I64
    status: I64
    dm_g_m2: F64
    light_mj: F64
    warm_mj: F64
    wet_mj: F64
    progress: F64
    share: F64
    set_share: F64
    heat_share: F64
    taken_n_kg_ha: F64
    fixed_n_kg_ha: F64
    water: F64
    nitrogen: F64
    sward: F64
    wet_days: F64
    drawn_m3: F64
    dry_days: F64
    unmet_m3: F64
    spare_m3: F64
    where: npt.NDArray[np.int16]
    bears: npt.NDArray[np.int8]
    ends: F64


SOIL_STATE = 2 * tr.LAYERS + 1
"""What the soil of a strip is told by: water above the wilting point by layer, mm; mineral nitrogen by layer, and that of fresh matter, kg/ha."""


def soil_at_start(given: KernelInput) -> F64:
    """The soil as the first day opens, [state, strip, lane]."""
    if given.begin is not None:
        return given.begin
    mineral = given.start_n_kg_ha * given.thick_m / given.thick_m.sum(axis=0)
    strip = np.concatenate([given.full_mm, mineral, np.zeros((1, given.strips))])
    return np.repeat(strip[:, :, None], given.lanes, axis=2)


def watering_order(given: KernelInput, day: int) -> list[int]:
    """Strips to water on a day: group after group (garden, fields); within one the turn to be first goes round."""
    order, groups = given.water_order, given.water_groups
    served: list[int] = []
    for start, end in pairwise(groups):
        size = int(end - start)
        served += [int(order[start + (place + day) % size]) for place in range(size)]
    return served


def empty_output(given: KernelInput) -> KernelOutput:
    """Arrays of the right shape: no day, nothing grown."""
    sowings, lanes = given.traits.shape[1], given.lanes
    cells = (sowings, lanes)
    books = (given.strips, 12, lanes)
    return KernelOutput(
        sow_day=np.full(cells, -1, dtype=np.int64),
        ripe_day=np.full(cells, -1, dtype=np.int64),
        first_day=np.full(cells, -1, dtype=np.int64),
        last_day=np.full(cells, -1, dtype=np.int64),
        status=np.zeros(cells, dtype=np.int64),
        dm_g_m2=np.zeros(cells),
        light_mj=np.zeros(cells),
        warm_mj=np.zeros(cells),
        wet_mj=np.zeros(cells),
        progress=np.zeros(cells),
        share=np.ones(cells),
        set_share=np.ones(cells),
        heat_share=np.ones(cells),
        taken_n_kg_ha=np.zeros(cells),
        fixed_n_kg_ha=np.zeros(cells),
        water=np.zeros((len(tr.WATER_TERMS), *books)),
        nitrogen=np.zeros((len(tr.NITROGEN_TERMS), *books)),
        sward=np.zeros((len(tr.SWARD_TERMS), *books)),
        wet_days=np.zeros(books),
        drawn_m3=np.zeros((given.sources, 12, lanes)),
        dry_days=np.zeros((given.sources, 12, lanes)),
        unmet_m3=np.zeros((12, lanes)),
        spare_m3=np.zeros((given.sources, given.tmean_c.shape[1], lanes)),
        where=np.full((given.rounds, given.tmean_c.shape[1], lanes), -1, dtype=np.int16),
        bears=np.zeros((given.strips, given.tmean_c.shape[1], lanes), dtype=np.int8),
        ends=np.zeros((SOIL_STATE, given.strips, lanes)),
    )
