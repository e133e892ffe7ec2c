"""The growth kernel in plain Python, one lane and one strip at a time: slow, readable, the judge of the fast paths.

A day runs in this order: sources refill, people and stock drink; at dawn each bare strip sows what is due and each
thirsty watered strip is given water, first served first; then every strip takes the rain, rots what is in its top soil,
and grows, is grazed or lies bare; at dusk a crop that froze, ripened or must make room leaves the ground, and a sward
that is grown enough is grazed or cut. docs/growth-kernel.md prints the equations.
"""

from __future__ import annotations

from yardland.growth import traits as tr
from yardland.growth import twin_crop as crops
from yardland.growth import twin_ground as soils
from yardland.growth.io import F64, SKY_FIELDS, KernelInput, KernelOutput, empty_output, soil_at_start, watering_order
from yardland.growth.soil_water import (
    depletion_fraction,
    evaporation_coefficient,
    evaporation_reduction,
    irrigation_net_mm,
    stress_coefficient,
)
from yardland.growth.twin_crop import Day
from yardland.growth.twin_ground import GROW, PICK, STAND, SWARD, WAIT, Ground, Soil
from yardland.growth.twin_rounds import Herds
from yardland.growth.twin_water import Sources

DRY_DAY_MM = 2.0
"""Less rain than this is a dry day for gathering grain and pulses (common practice)."""
SOWING_RAIN_MM = 5.0
"""No sowing on a day with this much rain (common practice)."""
BARE_KCB = 0.0
WAITS_FOR_HAY = 1.5
"""A forage crop kept for mowing is cut in the wet when it stands so much over its cutting mass (from memory)."""


def run_twin(given: KernelInput) -> KernelOutput:
    """Grow every strip in every lane; see the module."""
    out = empty_output(given)
    for lane in range(given.lanes):
        Lane(given, out, lane).run()
    return out


class Lane(Sources):
    """One year (and the one before it) on every strip."""

    def __init__(self, given: KernelInput, out: KernelOutput, lane: int) -> None:
        super().__init__(given, out, lane)
        self.begin = soil_at_start(given)
        self.ground = [self._start(strip) for strip in range(given.strips)]
        self.herds = Herds(given, out, lane)

    def _start(self, strip: int) -> Ground:
        given, soil = self.given, Soil.of(self.given, strip)
        first = int(given.strip_first[strip])
        begin = [float(value) for value in self.begin[:, strip, self.lane]]
        ground = Ground(
            soil=soil,
            sowing=first,
            end=first + int(given.strip_count[strip]),
            water_mm=begin[: tr.LAYERS],
            n_kg_ha=begin[tr.LAYERS : 2 * tr.LAYERS],
            fresh_n_kg_ha=begin[-1],
        )
        crop = self._traits(ground)
        if crop and crop[tr.SWARD] > 0.0:
            ground.phase = SWARD
            ground.root_m = crop[tr.ROOT_M]
            ground.mass_g_m2 = crop[tr.RESIDUAL_MASS]
            ground.critical_n_kg_ha = crops.critical_n_kg_ha(crop, ground.mass_g_m2 / 100.0)
            ground.crop_n_kg_ha = ground.critical_n_kg_ha
            self.out.sow_day[first, self.lane] = 0
        return ground

    def _traits(self, ground: Ground) -> list[float]:
        """The numbers of what stands or is due on a strip, none past its last sowing."""
        if ground.sowing >= ground.end:
            return []
        return [float(value) for value in self.given.traits[:, ground.sowing]]

    def run(self) -> None:
        """All days of the lane, then close the books."""
        for number in range(self.given.tmean_c.shape[1]):
            self.serve_people(number)
            for strip, ground in enumerate(self.ground):
                if ground.phase == WAIT:
                    self._gate(strip, ground, self._day(strip, number))
            for strip in watering_order(self.given, number):
                self._irrigate(strip, number)
            self.tell_spare(number)
            for strip, ground in enumerate(self.ground):
                self._pass_day(strip, ground, self._day(strip, number))
            self.herds.walk(number, self.ground, self._open_to_stock)
        for strip, ground in enumerate(self.ground):
            self._close(ground)
            self.out.ends[:, strip, self.lane] = [*ground.water_mm, *ground.n_kg_ha, ground.fresh_n_kg_ha]

    def _day(self, strip: int, number: int) -> Day:
        given, lane, cover = self.given, self.lane, int(self.given.strip_cover[strip])
        here = {name: float(getattr(given, name)[cover, number, lane]) for name in SKY_FIELDS}
        return Day(
            number=number,
            daylength_h=float(given.daylength_h[number, lane]),
            twilight_h=float(given.twilight_h[number, lane]),
            **here,
        )

    # --- watering ------------------------------------------------------------------------------------------------

    def _irrigate(self, strip: int, number: int) -> None:
        ground, given = self.ground[strip], self.given
        if ground.phase not in (GROW, PICK, SWARD):
            return
        eto = float(given.eto_mm[int(given.strip_cover[strip]), number, self.lane])
        p = depletion_fraction(float(given.traits[tr.DEPLETION_P, ground.sowing]), ground.kcb * eto)
        net = irrigation_net_mm(ground.depletion_mm, p * ground.taw_mm, float(given.net_limit_mm[strip]))
        if net <= 0.0:
            return
        m3_per_mm = float(given.area_m2[strip]) / 1000.0 / float(given.efficiency[strip])
        sources = [int(source) for source in given.strip_sources[strip] if source >= 0]
        net = self.draw(sources, net * m3_per_mm, number) / m3_per_mm
        ground.water_mm[0] += net
        ground.evaporated_mm = max(ground.evaporated_mm - net, 0.0)
        self._book(self.out.water, tr.IRRIGATION, strip, number, net)

    # --- gates -------------------------------------------------------------------------------------------------

    def _gate(self, strip: int, ground: Ground, day: Day) -> None:
        """Sow what is due if window, strip, warmth, frost and soil allow; pass over what has missed its window."""
        while ground.sowing < ground.end and day.number > self.given.traits[tr.CLOSES, ground.sowing]:
            self.out.status[ground.sowing, self.lane] = tr.NOT_SOWN
            ground.sowing += 1
        crop = self._traits(ground)
        if not crop:
            return
        # The ground is fit to work by its top 15 cm: the first layer and a third of the second.
        wetness_mm = ground.water_mm[0] + ground.water_mm[1] / 3.0
        if (
            day.number >= crop[tr.OPENS]
            and day.number >= ground.free_from
            and day.t10_c >= crop[tr.GERMINATION_C]
            and day.tmin_c >= crop[tr.GATE_FROST_C]
            and (crop[tr.FIT_SOIL] == 0.0 or wetness_mm <= self.given.fit_mm[strip])
            and (crop[tr.FIT_SOIL] == 0.0 or day.rain_mm < SOWING_RAIN_MM)
        ):
            ground.phase = GROW
            ground.heat = crop[tr.HEAT_AT_START]
            ground.units, ground.vernal, ground.hardy, ground.ripe_wait = 0.0, 0.0, 0.0, 0
            ground.set_share, ground.scorched = 1.0, 0.0
            ground.crop_n_kg_ha, ground.critical_n_kg_ha, ground.fixed_n_kg_ha = 0.0, 0.0, 0.0
            ground.kcb = crop[tr.KCB_INI]
            self.out.sow_day[ground.sowing, self.lane] = day.number
            soils.mix_in(ground, crop[tr.DRESS_MINERAL])
            ground.fresh_n_kg_ha += crop[tr.DRESS_FRESH]
            self._book(self.out.nitrogen, tr.N_MINERAL_IN, strip, day.number, crop[tr.DRESS_MINERAL])
            self._book(self.out.nitrogen, tr.N_FRESH_IN, strip, day.number, crop[tr.DRESS_FRESH])

    # --- a day on the ground -----------------------------------------------------------------------------------

    def _pass_day(self, strip: int, ground: Ground, day: Day) -> None:
        if day.number == self.given.settle_day[strip]:
            soils.settle(ground, self.given.start_n_kg_ha)
        self._wet_and_rot(strip, ground, day)
        if ground.phase == WAIT:
            self._lose_water(strip, ground, day, BARE_KCB, 0.0, 1.0)
        elif ground.phase == SWARD:
            self._sward(strip, ground, day)
        else:
            dead = self._crop(strip, ground, day)
            self._dusk(strip, ground, day, dead)
        self._month_end(strip, ground, day.number)

    def _wet_and_rot(self, strip: int, ground: Ground, day: Day) -> None:
        """Rain and melted snow go in and drain; nitrogen falls with them, comes out of the soil, and leaches."""
        given, number = self.given, day.number
        drained, ran_off, leached = soils.wet(ground, day.water_mm - day.runoff_mm)
        ground.n_kg_ha[0] += given.sky_n_kg_ha_d
        from_soil, _ = soils.rot(ground, day.rot_pace, given.fresh_rate_d)
        self._book(self.out.water, tr.RAIN, strip, number, day.water_mm)
        self._book(self.out.water, tr.RUNOFF, strip, number, day.runoff_mm + ran_off)
        self._book(self.out.water, tr.DRAINAGE, strip, number, drained)
        self._book(self.out.nitrogen, tr.N_SKY, strip, number, given.sky_n_kg_ha_d)
        self._book(self.out.nitrogen, tr.N_SOIL, strip, number, from_soil)
        self._book(self.out.nitrogen, tr.N_LEACHED, strip, number, leached)
        month = int(given.month[number])
        if month >= 0 and soils.waterlogged(ground):
            self.out.wet_days[strip, month, self.lane] += 1.0

    def _lose_water(self, strip: int, ground: Ground, day: Day, kcb: float, shade: float, ks: float) -> None:
        """Evaporation and transpiration by the dual coefficient: (Ks Kcb + Ke) ETo (FAO-56 equation 80)."""
        soil = ground.soil
        kr = evaporation_reduction(ground.evaporated_mm, soil.tew_mm, soil.rew_mm)
        ke = evaporation_coefficient(kr, kcb, shade)
        evaporated, taken = soils.dry_out(ground, ke * day.eto_mm, ks * kcb * day.eto_mm)
        # Equation 77: what evaporates comes from the bare share alone.
        bare = max(1.0 - shade, 0.01)
        ground.evaporated_mm = min(ground.evaporated_mm + evaporated / bare, soil.tew_mm)
        ground.kcb = kcb
        ground.bears = soils.carries(ground, day.tmean_c, self.given.bears_over_mm, self.given.bears_frozen_c)
        self.out.bears[strip, day.number, self.lane] = ground.bears
        self._book(self.out.water, tr.EVAPORATION, strip, day.number, evaporated)
        self._book(self.out.water, tr.ET, strip, day.number, evaporated + taken)

    def _stress(self, ground: Ground, crop: list[float], day: Day, kcb: float) -> float:
        """Water stress coefficient Ks of the morning (FAO-56 equation 84)."""
        taw = ground.taw_mm
        raw = depletion_fraction(crop[tr.DEPLETION_P], kcb * day.eto_mm) * taw
        return stress_coefficient(ground.depletion_mm, taw, raw)

    def _crop(self, strip: int, ground: Ground, day: Day) -> bool:
        """Heat, development, cover, water, nitrogen and dry matter of a standing crop. True if the frost killed it."""
        crop = self._traits(ground)
        before = ground.units / crop[tr.TARGET]
        crops.develop(ground, crop, day)
        emerged = ground.heat >= crop[tr.HEAT_EMERGE]
        growth = max(ground.heat - crop[tr.HEAT_EMERGE], 0.0) / crop[tr.TARGET]
        ripeness = ground.units / crop[tr.TARGET]
        ground.root_m = crops.root_depth_m(crop, growth)
        shade, green = crops.canopy(ground, crop, growth, ripeness)
        shade = shade if emerged else 0.0
        kcb = crops.crop_kcb(ground, crop, growth, ripeness)
        ks = self._stress(ground, crop, day, kcb)
        self._lose_water(strip, ground, day, kcb, shade, ks)
        if emerged and (before < 1.0 or ground.phase == PICK) and ground.phase != STAND:
            self._make(ground, crop, day, day.par_mj * green, ks)
            dm_t_ha = crop[tr.TONNES] * float(self.out.dm_g_m2[ground.sowing, self.lane])
            asks = ripeness < crop[tr.N_ASKS_UNTIL]
            critical = crops.critical_n_kg_ha(crop, dm_t_ha) if asks else ground.critical_n_kg_ha
            taken, _ = soils.feed(ground, crop, critical)
            self._book(self.out.nitrogen, tr.N_UPTAKE, strip, day.number, taken)
        ground.set_share = min(ground.set_share, crops.frost_set_share(crop, ripeness, day.tmin_c))
        return emerged and (crops.frozen(ground, crop, day, ripeness) or ground.set_share <= 0.0)

    def _make(self, ground: Ground, crop: list[float], day: Day, caught: float, ks: float) -> float:
        """Dry matter of the day: light caught x efficiency x the least of the three factors, g/m2.

        The sums are booked: of a crop over its time in the ground, of a sward over the larder year.
        """
        out, cell = self.out, (ground.sowing, self.lane)
        warm = crops.warmth(crop, day.tmean_c)
        wet = min(warm, ks)
        made = crop[tr.RUE] * caught * min(wet, ground.n_index)
        if ground.phase == SWARD and int(self.given.month[day.number]) < 0:
            return made
        out.light_mj[cell] += caught
        out.warm_mj[cell] += caught * warm
        out.wet_mj[cell] += caught * wet
        out.dm_g_m2[cell] += made
        return made

    # --- swards ------------------------------------------------------------------------------------------------

    def _sward(self, strip: int, ground: Ground, day: Day) -> None:
        """Growth and withering of a standing sward; at dusk it is grazed or cut if it is grown enough."""
        crop = self._traits(ground)
        cover = crops.sward_cover(crop, ground.mass_g_m2)
        kcb = crop[tr.KCB_INI] + (crop[tr.KCB_MID] - crop[tr.KCB_INI]) * cover / crop[tr.TOP]
        ks = self._stress(ground, crop, day, kcb)
        self._lose_water(strip, ground, day, kcb, cover, ks)
        grew = 100.0 * crop[tr.TONNES] * self._make(ground, crop, day, day.par_mj * cover, ks)
        old = max(ground.mass_g_m2 - 0.5 * crop[tr.RESIDUAL_MASS], 0.0)
        withered = old * min(crop[tr.SENESCENCE] * max(day.tmean_c, 0.0), 1.0)
        ground.mass_g_m2 += grew
        self._shed(strip, ground, day.number, withered)
        taken, fixed = soils.feed(ground, crop, crops.critical_n_kg_ha(crop, ground.mass_g_m2 / 100.0))
        self._book(self.out.nitrogen, tr.N_UPTAKE, strip, day.number, taken)
        if int(self.given.month[day.number]) >= 0:
            self.out.fixed_n_kg_ha[ground.sowing, self.lane] += fixed
            self.out.taken_n_kg_ha[ground.sowing, self.lane] += taken
        self._book(self.out.sward, tr.GREW, strip, day.number, grew)
        self._book(self.out.sward, tr.WITHERED, strip, day.number, withered)
        self._sward_dusk(strip, ground, crop, day)

    def _shed(self, strip: int, ground: Ground, number: int, g_m2: float) -> float:
        """Part of the standing sward falls to the ground; a share of its nitrogen is fresh matter, the rest the soil's, kg/ha."""
        n = self._lift(ground, g_m2) * self._traits(ground)[tr.N_RESIDUE_FRESH]
        ground.fresh_n_kg_ha += n
        self._book(self.out.nitrogen, tr.N_FRESH_IN, strip, number, n)
        return n

    @staticmethod
    def _lift(ground: Ground, g_m2: float) -> float:
        """Take part of the standing sward with its share of the nitrogen, kg/ha, and of what it needed: what grows is new."""
        part = g_m2 / ground.mass_g_m2 if ground.mass_g_m2 > 0.0 else 0.0
        n = ground.crop_n_kg_ha * part
        ground.mass_g_m2 -= g_m2
        ground.crop_n_kg_ha -= n
        ground.critical_n_kg_ha -= ground.critical_n_kg_ha * part
        return n

    def _sward_dusk(self, strip: int, ground: Ground, crop: list[float], day: Day) -> None:
        """A shut-up sward waits for its hay days; one that is cut for hay whenever it is grown, likewise; else it is grazed."""
        in_year, year = day.number % tr.YEAR, day.number // tr.YEAR
        shut = (
            crop[tr.SHUT_FROM] >= 0.0 and crop[tr.SHUT_FROM] <= in_year <= crop[tr.HAY_UNTIL] and ground.cut_in != year
        )
        dry = day.dry_spell > 0.0
        if shut:
            if in_year >= crop[tr.HAY_FROM] and (dry or in_year >= crop[tr.HAY_UNTIL]):
                ground.cut_in = year
                self._cut(strip, ground, crop, day.number, dry=dry)
        elif crop[tr.CUT_MASS] > 0.0:
            if ground.mass_g_m2 >= crop[tr.CUT_MASS] * (1.0 if dry else WAITS_FOR_HAY):
                self._cut(strip, ground, crop, day.number, dry=dry)
        else:
            walker = self.herds.on[strip]
            if walker >= 0 and ground.bears:
                self._graze(strip, ground, crop, day.number, self.herds.day_g_m2(walker, strip, day.number))

    def _cut(self, strip: int, ground: Ground, crop: list[float], number: int, *, dry: bool) -> None:
        """Mown down to the stubble; all of it is carried off."""
        taken = max(ground.mass_g_m2 - crop[tr.STUBBLE_MASS], 0.0)
        self._lift(ground, taken)
        ground.critical_n_kg_ha = crops.critical_n_kg_ha(crop, ground.mass_g_m2 / 100.0)
        self._book(self.out.sward, tr.HAY if dry else tr.WET_HAY, strip, number, taken)
        if int(self.given.month[number]) >= 0:
            self.out.last_day[ground.sowing, self.lane] = number
            if self.out.first_day[ground.sowing, self.lane] < 0:
                self.out.first_day[ground.sowing, self.lane] = number

    def _graze(self, strip: int, ground: Ground, crop: list[float], number: int, wanted_g_m2: float) -> None:
        """A day's grazing, not under what is left to others: part comes back as dung and urine, some is trodden down."""
        there = max(ground.mass_g_m2 - self.herds.floor_g_m2[strip], 0.0)
        eaten = min(wanted_g_m2, crop[tr.GRAZED_SHARE] * there)
        gone = eaten / crop[tr.GRAZED_SHARE]
        n = self._lift(ground, eaten)
        soils.mix_in(ground, crop[tr.DUNG_MINERAL] * n)
        ground.fresh_n_kg_ha += crop[tr.DUNG_FRESH] * n
        self._book(self.out.nitrogen, tr.N_MINERAL_IN, strip, number, crop[tr.DUNG_MINERAL] * n)
        self._book(self.out.nitrogen, tr.N_FRESH_IN, strip, number, crop[tr.DUNG_FRESH] * n)
        self._shed(strip, ground, number, gone - eaten)
        ground.critical_n_kg_ha = crops.critical_n_kg_ha(crop, ground.mass_g_m2 / 100.0)
        self._book(self.out.sward, tr.GRAZED, strip, number, eaten)
        self._book(self.out.sward, tr.TRAMPLED, strip, number, gone - eaten)

    def _open_to_stock(self, strip: int, number: int) -> bool:
        """Whether a sward is neither shut up for hay nor kept for mowing, and its ground bears animals."""
        ground = self.ground[strip]
        crop = self._traits(ground)
        in_year, year = number % tr.YEAR, number // tr.YEAR
        shut = (
            crop[tr.SHUT_FROM] >= 0.0 and crop[tr.SHUT_FROM] <= in_year <= crop[tr.HAY_UNTIL] and ground.cut_in != year
        )
        return not shut and crop[tr.CUT_MASS] <= 0.0 and ground.bears

    # --- dusk --------------------------------------------------------------------------------------------------

    def _dusk(self, strip: int, ground: Ground, day: Day, dead: bool) -> None:
        crop = self._traits(ground)
        ripeness = ground.units / crop[tr.TARGET]
        if ripeness >= 1.0 and self.out.ripe_day[ground.sowing, self.lane] < 0:
            self.out.ripe_day[ground.sowing, self.lane] = day.number
        if ground.phase == GROW:
            if dead:
                as_stands = crop[tr.LEAST_RIPE] == 0.0
                self._leave(strip, ground, day.number, day.number, tr.FROSTED if as_stands else tr.KILLED)
            elif ripeness >= 1.0:
                self._ripe(strip, ground, day)
            elif day.number >= crop[tr.CLEAR_BY]:
                self._season_ends(strip, ground, day.number, ripeness)
        elif dead or day.number >= ground.last_plan:
            self._end_gathering(strip, ground, day.number, dead)

    def _ripe(self, strip: int, ground: Ground, day: Day) -> None:
        """Gather at once, or on the first dry day of a dry crop; start picking; or leave it standing to be lifted."""
        crop = self._traits(ground)
        if day.rain_mm >= DRY_DAY_MM and ground.ripe_wait < crop[tr.WAIT_DAYS]:
            ground.ripe_wait += 1
            return
        self.out.first_day[ground.sowing, self.lane] = day.number
        if crop[tr.PICK_DAYS] > 1.0:
            ground.phase = PICK
            ground.last_plan = int(max(min(day.number + crop[tr.PICK_DAYS] - 1, crop[tr.CLEAR_BY]), day.number))
        elif crop[tr.STAND_DAYS] > 1.0:
            self._stand(ground, crop, day.number)
        else:
            self._leave(strip, ground, day.number, day.number, tr.GATHERED)

    def _season_ends(self, strip: int, ground: Ground, number: int, ripeness: float) -> None:
        """Unripe at the end of its season: gathered as it stands if that is worth it, at once or from the ground."""
        crop = self._traits(ground)
        if ripeness < crop[tr.LEAST_RIPE] or ground.heat < crop[tr.HEAT_EMERGE]:
            self._leave(strip, ground, number, number, tr.UNRIPE)
        elif crop[tr.STAND_DAYS] > 1.0:
            self.out.first_day[ground.sowing, self.lane] = number
            self._stand(ground, crop, number)
        else:
            self._leave(strip, ground, number, number, tr.CLEARED)

    @staticmethod
    def _stand(ground: Ground, crop: list[float], number: int) -> None:
        """Left in the ground and lifted as wanted, until the next planting's earliest sowing."""
        room = crop[tr.FREE_BY] - 1 - tr.BED_WORK_DAYS
        ground.phase = STAND
        ground.last_plan = int(max(min(number + crop[tr.STAND_DAYS] - 1, room), number))

    def _end_gathering(self, strip: int, ground: Ground, number: int, dead: bool) -> None:
        """The last picking. What frost takes from a crop left standing is lost."""
        first = int(self.out.first_day[ground.sowing, self.lane])
        last = max(number - 1, first) if dead else ground.last_plan
        if ground.phase == STAND:
            self.out.share[ground.sowing, self.lane] = (last - first + 1) / (ground.last_plan - first + 1)
        ripe = ground.units >= float(self.given.traits[tr.TARGET, ground.sowing])
        self._leave(strip, ground, number, last, tr.GATHERED if ripe else tr.CLEARED)

    def _leave(self, strip: int, ground: Ground, number: int, last: int, status: int) -> None:
        """The crop leaves the ground: its outcome is written, what is not carried off stays, the next sowing is due."""
        sowing, lane, out = ground.sowing, self.lane, self.out
        crop = self._traits(ground)
        gathered = status in (tr.GATHERED, tr.FROSTED, tr.CLEARED)
        out.status[sowing, lane] = status
        if gathered:
            out.last_day[sowing, lane] = last
            if out.first_day[sowing, lane] < 0:
                out.first_day[sowing, lane] = last
        self._tell(ground)
        stays = ground.crop_n_kg_ha * (1.0 - (crop[tr.N_REMOVED] if gathered else 0.0)) * crop[tr.N_RESIDUE_FRESH]
        ground.fresh_n_kg_ha += stays
        self._book(out.nitrogen, tr.N_FRESH_IN, strip, number, stays)
        ground.root_m = tr.SHALLOW_M
        ground.phase, ground.sowing = WAIT, sowing + 1
        ground.free_from = last + 1 + tr.BED_WORK_DAYS

    def _tell(self, ground: Ground) -> None:
        """What a crop came to: development, set, nitrogen."""
        sowing, lane, out, crop = ground.sowing, self.lane, self.out, self._traits(ground)
        out.progress[sowing, lane] = min(ground.units / crop[tr.TARGET], 1.0)
        out.set_share[sowing, lane] = ground.set_share
        out.heat_share[sowing, lane] = crops.heat_share(ground.scorched, crop)
        out.fixed_n_kg_ha[sowing, lane] = ground.fixed_n_kg_ha
        out.taken_n_kg_ha[sowing, lane] = ground.crop_n_kg_ha - ground.fixed_n_kg_ha

    def _close(self, ground: Ground) -> None:
        """What the end of the axis finds on the ground."""
        sowing, lane = ground.sowing, self.lane
        if ground.phase == SWARD:
            self.out.status[sowing, lane] = tr.STANDING
        elif ground.phase != WAIT:
            self._tell(ground)
            self.out.status[sowing, lane] = tr.STANDING
            if ground.phase == STAND:
                ripe = ground.units >= float(self.given.traits[tr.TARGET, sowing])
                self.out.status[sowing, lane] = tr.GATHERED if ripe else tr.CLEARED
                self.out.last_day[sowing, lane] = ground.last_plan

    # --- books -------------------------------------------------------------------------------------------------

    def _book(self, book: F64, term: int, strip: int, number: int, amount: float) -> None:
        month = int(self.given.month[number])
        if month >= 0:
            book[term, strip, month, self.lane] += amount

    def _month_end(self, strip: int, ground: Ground, number: int) -> None:
        days = self.given.month
        this = int(days[number])
        following = int(days[number + 1]) if number + 1 < len(days) else -1
        if this == following:
            return
        held = (
            (self.out.water, tr.START, tr.END, sum(ground.water_mm)),
            (self.out.nitrogen, tr.N_START, tr.N_END, sum(ground.n_kg_ha) + ground.fresh_n_kg_ha),
            (self.out.sward, tr.S_START, tr.S_END, ground.mass_g_m2),
        )
        for book, start, end, amount in held:
            if this >= 0:
                book[end, strip, this, self.lane] = amount
            if following >= 0:
                book[start, strip, following, self.lane] = amount
