"""The growth kernel in plain Python, one lane and one strip at a time: slow, readable, the judge of the fast paths.

A day runs in this order: sources refill, people and stock drink; at dawn each bare strip sows what is due and each
thirsty watered strip is given water, first served first; then every strip grows (or lies bare) through the day, and at
dusk a crop that froze, ripened or must make room leaves the ground. docs/growth-kernel.md prints the equations.
"""

from __future__ import annotations

from dataclasses import dataclass

from yardland.growth import traits as tr
from yardland.growth.heat import VERNAL_COLD_C, exp_small
from yardland.growth.io import KernelInput, KernelOutput, empty_output, watering_order
from yardland.growth.soil_water import depletion_fraction, irrigation_net_mm, stress_coefficient

WAIT, GROW, PICK, STAND = range(4)
BARE_KC = 1.05
"""Evaporation of wet bare soil over reference evapotranspiration (FAO-56 gives 1.05-1.15 for wet soil; from memory)."""
HARDY_BELOW_C = 5.0
HARDY_AFTER_DAYS = 15.0
"""Days under HARDY_BELOW_C after which a winter crop is hardened (from memory)."""
SOFT_SHARE = 0.5
"""Kill temperature of a winter crop not yet hardened, or past its release, over that of a hardened one (from memory)."""
DRY_DAY_MM = 2.0
"""Less rain than this is a dry day for gathering grain and pulses (common practice)."""
SOWING_RAIN_MM = 5.0
"""No sowing on a day with this much rain (common practice)."""


@dataclass
class Ground:
    """One strip in one lane: the water in it (mm above wilting point) and what stands on it."""

    awc_mm_m: float
    depth_m: float
    root_m: float
    root_mm: float
    under_mm: float
    sowing: int
    end: int
    phase: int = WAIT
    free_from: int = 0
    heat: float = 0.0
    units: float = 0.0
    vernal: float = 0.0
    hardy: float = 0.0
    set_share: float = 1.0
    kc: float = 0.0
    ripe_wait: int = 0
    last_plan: int = -1

    @property
    def taw_mm(self) -> float:
        """Total available water of the root zone (FAO-56 equation 82)."""
        return self.awc_mm_m * self.root_m


@dataclass(frozen=True)
class Day:
    """The weather of a day over one strip."""

    number: int
    tmean_c: float
    tmin_c: float
    t3_c: float
    t10_c: float
    par_mj: float
    eto_mm: float
    rain_mm: float
    runoff_mm: float
    daylength_h: float
    twilight_h: float


def run_twin(given: KernelInput) -> KernelOutput:
    """Grow every strip in every lane; see the module."""
    out = empty_output(given)
    for lane in range(given.lanes):
        Lane(given, out, lane).run()
    return out


class Lane:
    """One year (and the one before it) on every strip."""

    def __init__(self, given: KernelInput, out: KernelOutput, lane: int) -> None:
        self.given, self.out, self.lane = given, out, lane
        self.ground = [self._start(strip) for strip in range(given.strips)]
        self.store = [float(volume) for volume in given.capacity_m3]
        self.left = [0.0] * given.sources
        self.licence = [float(volume) for volume in given.licence_m3]
        self.told_dry: set[int] = set()

    def _start(self, strip: int) -> Ground:
        given = self.given
        awc, depth = float(given.awc_mm_m[strip]), float(given.depth_m[strip])
        first = int(given.strip_first[strip])
        return Ground(
            awc_mm_m=awc,
            depth_m=depth,
            root_m=tr.SHALLOW_M,
            root_mm=awc * tr.SHALLOW_M,
            under_mm=awc * (depth - tr.SHALLOW_M),
            sowing=first,
            end=first + int(given.strip_count[strip]),
        )

    def run(self) -> None:
        """All days of the lane, then close the books."""
        for number in range(self.given.tmean_c.shape[1]):
            self._water_people(number)
            for strip, ground in enumerate(self.ground):
                if ground.phase == WAIT:
                    self._gate(strip, ground, self._day(strip, number))
            for strip in watering_order(self.given, number):
                self._irrigate(strip, number)
            for source in range(self.given.sources):
                spare = min(self.left[source], self.licence[source])
                self.out.spare_m3[source, number, self.lane] = spare
            for strip, ground in enumerate(self.ground):
                self._grow(strip, ground, self._day(strip, number))
        for ground in self.ground:
            self._close(ground)

    def _day(self, strip: int, number: int) -> Day:
        given, lane, cover = self.given, self.lane, int(self.given.strip_cover[strip])
        return Day(
            number,
            float(given.tmean_c[cover, number, lane]),
            float(given.tmin_c[cover, number, lane]),
            float(given.t3_c[cover, number, lane]),
            float(given.t10_c[cover, number, lane]),
            float(given.par_mj[cover, number, lane]),
            float(given.eto_mm[cover, number, lane]),
            float(given.rain_mm[cover, number, lane]),
            float(given.runoff_mm[cover, number, lane]),
            float(given.daylength_h[number, lane]),
            float(given.twilight_h[number, lane]),
        )

    # --- water sources -----------------------------------------------------------------------------------------

    def _water_people(self, number: int) -> None:
        given, lane = self.given, self.lane
        self.told_dry.clear()
        for source in range(given.sources):
            if number == tr.YEAR:
                self.licence[source] = float(given.licence_m3[source])
            level = self.store[source] + float(given.inflow_m3[source, number, lane])
            self.store[source] = min(max(level, 0.0), float(given.capacity_m3[source]))
            self.left[source] = float(given.rate_m3[source, number, lane])
        want = float(given.demand_m3[number])
        got = self._draw(range(given.sources), want, number)
        month = int(given.month[number])
        if month >= 0:
            self.out.unmet_m3[month, lane] += want - got

    def _draw(self, sources: range | list[int], want: float, number: int) -> float:
        """Take up to `want` m3, source by source; a source asked for more than it has has a dry day, one however many ask."""
        month, rest = int(self.given.month[number]), want
        for source in sources:
            if rest <= 0.0:
                break
            take = min(rest, self.left[source] + self.store[source], self.licence[source])
            from_rate = min(take, self.left[source])
            self.left[source] -= from_rate
            self.store[source] -= take - from_rate
            self.licence[source] -= take
            if month >= 0:
                self.out.drawn_m3[source, month, self.lane] += take
                if take < rest and source not in self.told_dry:
                    self.told_dry.add(source)
                    self.out.dry_days[source, month, self.lane] += 1.0
            rest -= take
        return want - rest

    def _irrigate(self, strip: int, number: int) -> None:
        ground, given = self.ground[strip], self.given
        if ground.phase not in (GROW, PICK):
            return
        eto = float(given.eto_mm[int(given.strip_cover[strip]), number, self.lane])
        p = depletion_fraction(float(given.traits[tr.DEPLETION_P, ground.sowing]), ground.kc * eto)
        depletion = ground.taw_mm - ground.root_mm
        net = irrigation_net_mm(depletion, p * ground.taw_mm, float(given.net_limit_mm[strip]))
        if net <= 0.0:
            return
        m3_per_mm = float(given.area_m2[strip]) / 1000.0 / float(given.efficiency[strip])
        sources = [int(source) for source in given.strip_sources[strip] if source >= 0]
        net = self._draw(sources, net * m3_per_mm, number) / m3_per_mm
        ground.root_mm += net
        self._book(strip, number, tr.IRRIGATION, net)

    # --- gates -------------------------------------------------------------------------------------------------

    def _gate(self, strip: int, ground: Ground, day: Day) -> None:
        """Sow what is due if window, strip, warmth, frost and soil allow; pass over what has missed its window."""
        traits = self.given.traits
        while ground.sowing < ground.end and day.number > traits[tr.CLOSES, ground.sowing]:
            self.out.status[ground.sowing, self.lane] = tr.NOT_SOWN
            ground.sowing += 1
        if ground.sowing >= ground.end:
            return
        crop = traits[:, ground.sowing]
        if (
            day.number >= crop[tr.OPENS]
            and day.number >= ground.free_from
            and day.t10_c >= crop[tr.GERMINATION_C]
            and day.tmin_c >= crop[tr.GATE_FROST_C]
            and (crop[tr.FIT_SOIL] == 0.0 or ground.root_mm <= self.given.fit_mm[strip])
            and (crop[tr.FIT_SOIL] == 0.0 or day.rain_mm < SOWING_RAIN_MM)
        ):
            ground.phase = GROW
            ground.heat = float(crop[tr.HEAT_AT_START])
            ground.units, ground.vernal, ground.hardy, ground.ripe_wait = 0.0, 0.0, 0.0, 0
            ground.set_share = 1.0
            ground.kc = float(crop[tr.KC_INI])
            self.out.sow_day[ground.sowing, self.lane] = day.number

    # --- a day on the ground -----------------------------------------------------------------------------------

    def _grow(self, strip: int, ground: Ground, day: Day) -> None:
        if ground.phase == WAIT:
            self._bare(strip, ground, day)
        else:
            dead = self._crop(strip, ground, day)
            self._dusk(ground, day, dead)
        self._month_end(strip, ground, day.number)

    def _bare(self, strip: int, ground: Ground, day: Day) -> None:
        """Bare soil dries from the top (FAO-56 equation 74, one layer), then takes the rain."""
        tew, rew = float(self.given.tew_mm[strip]), float(self.given.rew_mm[strip])
        depletion = ground.taw_mm - ground.root_mm
        kr = min(max((tew - depletion) / (tew - rew), 0.0), 1.0)
        self._water(strip, ground, day, BARE_KC * kr * day.eto_mm)

    def _crop(self, strip: int, ground: Ground, day: Day) -> bool:
        """Heat, development, cover, water and dry matter of a standing crop. True if the frost killed it."""
        crop = [float(value) for value in self.given.traits[:, ground.sowing]]
        before = ground.units / crop[tr.TARGET]
        self._develop(ground, crop, day)
        emerged = ground.heat >= crop[tr.HEAT_EMERGE]
        growth = max(ground.heat - crop[tr.HEAT_EMERGE], 0.0) / crop[tr.TARGET]
        ripeness = ground.units / crop[tr.TARGET]
        self._root(ground, crop, growth)
        ground.kc = _crop_kc(ground, crop, growth, ripeness)
        ks = self._transpire(strip, ground, crop, day)
        if emerged and (before < 1.0 or ground.phase == PICK) and ground.phase != STAND:
            caught = day.par_mj * cover_share(ground, crop, growth, ripeness)
            warm = caught * _warmth(crop, day.tmean_c)
            self.out.light_mj[ground.sowing, self.lane] += caught
            self.out.warm_mj[ground.sowing, self.lane] += warm
            self.out.dm_g_m2[ground.sowing, self.lane] += crop[tr.RUE] * warm * ks
        ground.set_share = min(ground.set_share, _set_share(crop, ripeness, day.tmin_c))
        return emerged and (_frozen(ground, crop, day, ripeness) or ground.set_share <= 0.0)

    def _develop(self, ground: Ground, crop: list[float], day: Day) -> None:
        """Degree-days; slowed by want of cold and of daylength until release; an onion waits for its daylength."""
        heat = max(min(day.tmean_c, crop[tr.PLATEAU_C]) - crop[tr.BASE_C], 0.0)
        ground.heat += heat
        speed = 1.0
        if crop[tr.RELEASE] > 0.0:
            ground.vernal += _vernal_weight(day.tmean_c)
            ground.hardy += 1.0 if day.tmean_c < HARDY_BELOW_C else 0.0
            if ground.units < crop[tr.RELEASE]:
                cold = (ground.vernal - crop[tr.VERNAL_IDLE]) / (crop[tr.VERNAL_DAYS] - crop[tr.VERNAL_IDLE])
                span = crop[tr.DAYLENGTH_FULL_H] - crop[tr.DAYLENGTH_BASE_H]
                light = (day.twilight_h - crop[tr.DAYLENGTH_BASE_H]) / span
                speed = min(max(cold, 0.0), 1.0) * min(max(light, 0.0), 1.0)
        step = speed * min(heat, max(ground.heat - crop[tr.HEAT_EMERGE], 0.0))
        waits = ground.units <= crop[tr.BULB_UNITS] and day.daylength_h < crop[tr.BULB_DAYLENGTH_H]
        ceiling = crop[tr.BULB_UNITS] if waits else 1e9
        ground.units = min(ground.units + step, ceiling)

    def _root(self, ground: Ground, crop: list[float], growth: float) -> None:
        """Roots go down with the canopy and take over the water that lies there."""
        depth = tr.SHALLOW_M + (crop[tr.ROOT_M] - tr.SHALLOW_M) * min(growth / crop[tr.KC_B], 1.0)
        taken = ground.under_mm * (depth - ground.root_m) / max(ground.depth_m - ground.root_m, 1e-9)
        ground.root_mm += taken
        ground.under_mm -= taken
        ground.root_m = depth

    def _transpire(self, strip: int, ground: Ground, crop: list[float], day: Day) -> float:
        """Crop evapotranspiration under stress (FAO-56 equation 81). Returns Ks."""
        etc = ground.kc * day.eto_mm
        raw = depletion_fraction(crop[tr.DEPLETION_P], etc) * ground.taw_mm
        ks = stress_coefficient(ground.taw_mm - ground.root_mm, ground.taw_mm, raw)
        self._water(strip, ground, day, ks * etc)
        return ks

    def _water(self, strip: int, ground: Ground, day: Day, et_mm: float) -> None:
        """Rain in, water out, excess down (FAO-56 equations 85 and 88); monthly sums."""
        level = ground.root_mm + (day.rain_mm - day.runoff_mm) - et_mm
        short = max(-level, 0.0)
        level += short
        over = max(level - ground.taw_mm, 0.0)
        ground.root_mm = level - over
        under = ground.under_mm + over
        drainage = max(under - ground.awc_mm_m * (ground.depth_m - ground.root_m), 0.0)
        ground.under_mm = under - drainage
        self._book(strip, day.number, tr.RAIN, day.rain_mm)
        self._book(strip, day.number, tr.RUNOFF, day.runoff_mm)
        self._book(strip, day.number, tr.DRAINAGE, drainage)
        self._book(strip, day.number, tr.ET, et_mm - short)

    # --- dusk --------------------------------------------------------------------------------------------------

    def _dusk(self, ground: Ground, day: Day, dead: bool) -> None:
        crop = self.given.traits[:, ground.sowing]
        ripeness = ground.units / float(crop[tr.TARGET])
        if ground.phase == GROW:
            if dead:
                as_stands = crop[tr.LEAST_RIPE] == 0.0
                self._leave(ground, day.number, tr.FROSTED if as_stands else tr.KILLED)
            elif ripeness >= 1.0:
                self._ripe(ground, day)
            elif day.number >= crop[tr.CLEAR_BY]:
                self._season_ends(ground, day.number, ripeness)
        elif dead or day.number >= ground.last_plan:
            self._end_gathering(ground, day.number, dead)

    def _ripe(self, ground: Ground, day: Day) -> None:
        """Gather at once, or on the first dry day of a dry crop; start picking; or leave it standing to be lifted."""
        crop = self.given.traits[:, ground.sowing]
        if day.rain_mm >= DRY_DAY_MM and ground.ripe_wait < crop[tr.WAIT_DAYS]:
            ground.ripe_wait += 1
            return
        self.out.first_day[ground.sowing, self.lane] = day.number
        if crop[tr.PICK_DAYS] > 1.0:
            ground.phase = PICK
            ground.last_plan = int(max(min(day.number + crop[tr.PICK_DAYS] - 1, crop[tr.CLEAR_BY]), day.number))
        elif crop[tr.STAND_DAYS] > 1.0:
            self._stand(ground, day.number)
        else:
            self._leave(ground, day.number, tr.GATHERED)

    def _season_ends(self, ground: Ground, number: int, ripeness: float) -> None:
        """Unripe at the end of its season: gathered as it stands if that is worth it, at once or from the ground."""
        crop = self.given.traits[:, ground.sowing]
        if ripeness < crop[tr.LEAST_RIPE] or ground.heat < crop[tr.HEAT_EMERGE]:
            self._leave(ground, number, tr.UNRIPE)
        elif crop[tr.STAND_DAYS] > 1.0:
            self.out.first_day[ground.sowing, self.lane] = number
            self._stand(ground, number)
        else:
            self._leave(ground, number, tr.CLEARED)

    def _stand(self, ground: Ground, number: int) -> None:
        """Left in the ground and lifted as wanted, until the next planting's earliest sowing."""
        crop = self.given.traits[:, ground.sowing]
        room = crop[tr.FREE_BY] - 1 - tr.BED_WORK_DAYS
        ground.phase = STAND
        ground.last_plan = int(max(min(number + crop[tr.STAND_DAYS] - 1, room), number))

    def _end_gathering(self, ground: Ground, number: int, dead: bool) -> None:
        """The last picking. What frost takes from a crop left standing is lost."""
        first = int(self.out.first_day[ground.sowing, self.lane])
        last = max(number - 1, first) if dead else ground.last_plan
        if ground.phase == STAND:
            self.out.share[ground.sowing, self.lane] = (last - first + 1) / (ground.last_plan - first + 1)
        ripe = ground.units >= float(self.given.traits[tr.TARGET, ground.sowing])
        self._leave(ground, last, tr.GATHERED if ripe else tr.CLEARED)

    def _leave(self, ground: Ground, number: int, status: int) -> None:
        """The crop leaves the ground: its outcome is written, roots' water becomes soil water, the next sowing is due."""
        sowing, lane, out = ground.sowing, self.lane, self.out
        out.status[sowing, lane] = status
        if status in (tr.GATHERED, tr.FROSTED, tr.CLEARED):
            out.last_day[sowing, lane] = number
            if out.first_day[sowing, lane] < 0:
                out.first_day[sowing, lane] = number
        out.progress[sowing, lane] = min(ground.units / float(self.given.traits[tr.TARGET, sowing]), 1.0)
        out.set_share[sowing, lane] = ground.set_share
        kept = ground.root_mm * tr.SHALLOW_M / ground.root_m
        ground.under_mm += ground.root_mm - kept
        ground.root_mm, ground.root_m = kept, tr.SHALLOW_M
        ground.phase, ground.sowing = WAIT, sowing + 1
        ground.free_from = number + 1 + tr.BED_WORK_DAYS

    def _close(self, ground: Ground) -> None:
        """What the end of the axis finds on the ground."""
        if ground.phase == WAIT:
            return
        sowing, lane = ground.sowing, self.lane
        self.out.progress[sowing, lane] = min(ground.units / float(self.given.traits[tr.TARGET, sowing]), 1.0)
        self.out.set_share[sowing, lane] = ground.set_share
        self.out.status[sowing, lane] = tr.STANDING
        if ground.phase == STAND:
            ripe = ground.units >= float(self.given.traits[tr.TARGET, sowing])
            self.out.status[sowing, lane] = tr.GATHERED if ripe else tr.CLEARED
            self.out.last_day[sowing, lane] = ground.last_plan

    # --- books -------------------------------------------------------------------------------------------------

    def _book(self, strip: int, number: int, term: int, amount_mm: float) -> None:
        month = int(self.given.month[number])
        if month >= 0:
            self.out.water[term, strip, month, self.lane] += amount_mm

    def _month_end(self, strip: int, ground: Ground, number: int) -> None:
        days = self.given.month
        this = int(days[number])
        following = int(days[number + 1]) if number + 1 < len(days) else -1
        if this == following:
            return
        held = ground.root_mm + ground.under_mm
        if this >= 0:
            self.out.water[tr.END, strip, this, self.lane] = held
        if following >= 0:
            self.out.water[tr.START, strip, following, self.lane] = held


def _vernal_weight(tmean_c: float) -> float:
    none_below, full_from, full_to, none_above = VERNAL_COLD_C
    rising = (tmean_c - none_below) / (full_from - none_below)
    falling = (none_above - tmean_c) / (none_above - full_to)
    return min(max(min(rising, falling), 0.0), 1.0)


def cover_share(ground: Ground, crop: list[float], growth: float, ripeness: float) -> float:
    """Share of the light that the canopy catches: logistic in heat, held down until release, then senescing."""
    z = min(max(crop[tr.STEEP] * (growth - crop[tr.HALF]), -30.0), 30.0)
    cover = crop[tr.TOP] / (1.0 + float(exp_small(-z)))
    if ground.units < crop[tr.RELEASE]:
        cover = min(cover, crop[tr.COVER_CAP])
    old = min(max((ripeness - crop[tr.SENESCE_FROM]) / (1.0 - crop[tr.SENESCE_FROM]), 0.0), 1.0)
    return cover * (1.0 - old * (1.0 - crop[tr.SENESCE_LEFT]))


def _warmth(crop: list[float], tmean_c: float) -> float:
    """Temperature factor 0-1: up from the base to full pace, down over HEAT_SPAN_C from where heat slows growth."""
    rise = (tmean_c - crop[tr.BASE_C]) / (crop[tr.GROW_FULL_C] - crop[tr.BASE_C])
    fall = 1.0 - (tmean_c - crop[tr.GROW_FALL_C]) / tr.HEAT_SPAN_C
    return min(max(min(rise, fall), 0.0), 1.0)


def _crop_kc(ground: Ground, crop: list[float], growth: float, ripeness: float) -> float:
    """The FAO-56 coefficient curve, its stages in shares of the development instead of days."""
    a, b, c = crop[tr.KC_A], crop[tr.KC_B], crop[tr.KC_C]
    x = min(growth, 0.5 * (a + b)) if ground.units < crop[tr.RELEASE] else growth
    kc = crop[tr.KC_INI] + min(max((x - a) / (b - a), 0.0), 1.0) * (crop[tr.KC_MID] - crop[tr.KC_INI])
    return kc + min(max((ripeness - c) / (1.0 - c), 0.0), 1.0) * (crop[tr.KC_END] - kc)


def _set_share(crop: list[float], ripeness: float, tmin_c: float) -> float:
    """Share of a full crop that can still set after a night of flowering, 1 on other nights."""
    if not crop[tr.FLOWER_FROM] <= ripeness < crop[tr.FLOWER_UNTIL]:
        return 1.0
    killed = min(max(0.1 + crop[tr.FLOWER_SLOPE] * (crop[tr.FLOWER_KILL10_C] - tmin_c), 0.0), 1.0)
    return min((1.0 - killed) / crop[tr.FLOWERS_NEEDED], 1.0)


def kill_limit_c(ground: Ground, crop: list[float], ripeness: float) -> float:
    """The temperature that kills the crop this day: held against the night, or (winter crops) against the 3-day mean."""
    if crop[tr.KILL_BY_MEAN] == 0.0:
        return crop[tr.YOUNG_KILL_C] if ripeness < crop[tr.YOUNG_UNTIL] else crop[tr.KILL_C]
    hardy = ground.hardy >= HARDY_AFTER_DAYS and ground.units < crop[tr.RELEASE]
    return crop[tr.KILL_C] if hardy else SOFT_SHARE * crop[tr.KILL_C]


def _frozen(ground: Ground, crop: list[float], day: Day, ripeness: float) -> bool:
    """Whether the night (or, for winter crops, the 3-day mean, once hardened) fell below what the crop lives through."""
    coldest = day.tmin_c if crop[tr.KILL_BY_MEAN] == 0.0 else day.t3_c
    return coldest < kill_limit_c(ground, crop, ripeness)
