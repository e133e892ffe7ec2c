"""The growth kernel in NumPy, all strips and lanes of a day at once, for small runs: `twin` line for line on arrays."""

from __future__ import annotations

import numpy as np

from yardland.growth import numpy_crop as crops
from yardland.growth import traits as tr
from yardland.growth.io import F64, I64, KernelInput, KernelOutput, empty_output, watering_order
from yardland.growth.numpy_crop import Mask
from yardland.growth.numpy_ground import Soils
from yardland.growth.numpy_rounds import Rounds
from yardland.growth.numpy_water import Sources
from yardland.growth.twin import BARE_KCB, DRY_DAY_MM, SOWING_RAIN_MM, WAITS_FOR_HAY
from yardland.growth.twin_crop import HARDY_AFTER_DAYS, HARDY_BELOW_C
from yardland.growth.twin_ground import GROW, PICK, STAND, SWARD, WAIT


def run_numpy(given: KernelInput) -> KernelOutput:
    """Grow every strip in every lane; the same results as `run_twin` to rounding."""
    return _Run(given).run()


class _Run:
    """State of all strips and lanes, arrays [strip, lane] unless said."""

    def __init__(self, given: KernelInput) -> None:
        shape = (given.strips, given.lanes)
        self.given, self.out, self.soil = given, empty_output(given), Soils(given)
        self.table = np.concatenate([given.traits, crops.no_sowing()], axis=1)
        self.none = given.traits.shape[1]
        self.end = (given.strip_first + given.strip_count)[:, None]
        self.sowing = np.broadcast_to(given.strip_first[:, None], shape).copy()
        self.crop = np.empty((tr.COUNT, *shape))
        self._refresh(np.ones(shape, dtype=bool))
        self.phase = np.full(shape, WAIT, dtype=np.int64)
        self.free_from = np.zeros(shape, dtype=np.int64)
        self.last_plan = np.full(shape, -1, dtype=np.int64)
        self.ripe_wait = np.zeros(shape, dtype=np.int64)
        self.heat, self.units, self.vernal, self.hardy, self.kcb, self.scorched = (np.zeros(shape) for _ in range(6))
        self.crop_n, self.critical, self.fixed, self.mass = (np.zeros(shape) for _ in range(4))
        self.set_share = np.ones(shape)
        self.sources = Sources(given, self.out)
        # Sums of the sowing that now stands, written out when it leaves.
        self.light, self.warm, self.wet, self.dm = (np.zeros(shape) for _ in range(4))
        self.sown, self.ripe_day, self.first = (np.full(shape, -1, dtype=np.int64) for _ in range(3))
        self._begin_swards()

    def _begin_swards(self) -> None:
        first, given = self.given.strip_first, self.given
        rows = [s for s in range(given.strips) if given.strip_count[s] > 0 and given.traits[tr.SWARD, first[s]] > 0.0]
        self.grass = np.array(rows, dtype=np.int64)
        self.cut_in = np.full((len(rows), given.lanes), -1, dtype=np.int64)
        self.herds = Rounds(given, self.out, self.grass, self.crop[:, self.grass])
        if not rows:
            return
        crop = self.crop[:, self.grass]
        self.phase[self.grass] = SWARD
        self.sown[self.grass] = 0
        self.soil.root[self.grass] = crop[tr.ROOT_M]
        self.mass[self.grass] = crop[tr.RESIDUAL_MASS]
        self.critical[self.grass] = crops.critical_n(crop, crop[tr.RESIDUAL_MASS] / 100.0)
        self.crop_n[self.grass] = self.critical[self.grass]

    def run(self) -> KernelOutput:
        """All days, then close the books."""
        for day in range(self.given.tmean_c.shape[1]):
            self.sources.serve_people(day)
            self._gate(day)
            self._water_plots(day)
            self.sources.tell_spare(day)
            self._pass_day(day)
            self._month_end(day)
        self._close()
        self.out.ends[:] = np.stack([*self.soil.water, *self.soil.n, self.soil.fresh])
        return self.out

    def _sky(self, values: F64, day: int) -> F64:
        """Weather of a day as [strip, lane]."""
        return np.asarray(values[self.given.strip_cover, day])

    def _book(self, book: F64, term: int, day: int, amount: F64 | float) -> None:
        month = int(self.given.month[day])
        if month >= 0:
            book[term, :, month] += amount

    # --- watering ------------------------------------------------------------------------------------------------

    def _water_plots(self, day: int) -> None:
        """Strip by strip, first served first; only a strip's own water tells whether it is thirsty."""
        given, soil = self.given, self.soil
        if not len(given.water_order):
            return
        standing = (self.phase != WAIT) & (self.phase != STAND)
        taw = soil.awc * soil.root
        soil.look()
        etc = self.kcb * self._sky(given.eto_mm, day)
        p = np.minimum(np.maximum(self.crop[tr.DEPLETION_P] + 0.04 * (5.0 - etc), 0.1), 0.8)
        depletion = taw - soil.within
        thirsty = standing & ~(depletion < p * taw)
        wanted = np.where(thirsty, np.minimum(depletion, given.net_limit_mm[:, None]), 0.0)
        any_thirst = thirsty.any(axis=1)
        for strip in watering_order(given, day):
            if any_thirst[strip]:
                self._irrigate(strip, day, wanted[strip])

    def _irrigate(self, strip: int, day: int, wanted: F64) -> None:
        given, soil = self.given, self.soil
        m3_per_mm = given.area_m2[strip] / 1000.0 / given.efficiency[strip]
        sources = [int(source) for source in given.strip_sources[strip] if source >= 0]
        net = self.sources.draw(sources, wanted * m3_per_mm, day) / m3_per_mm
        soil.water[0][strip] += net
        soil.evaporated[strip] = np.maximum(soil.evaporated[strip] - net, 0.0)
        if given.month[day] >= 0:
            self.out.water[tr.IRRIGATION, strip, given.month[day]] += net

    # --- gates -------------------------------------------------------------------------------------------------

    def _refresh(self, changed: Mask) -> None:
        """Fetch the traits of the sowings that are due or standing, where they changed."""
        index = np.where(self.sowing < self.end, self.sowing, self.none)[changed]
        self.crop[:, changed] = self.table[:, index]

    def _gate(self, day: int) -> None:
        waiting = self.phase == WAIT
        late = waiting & (day > self.crop[tr.CLOSES])
        while late.any():
            strips, lanes = np.nonzero(late)
            self.out.status[self.sowing[strips, lanes], lanes] = tr.NOT_SOWN
            self.sowing[late] += 1
            self._refresh(late)
            late = waiting & (day > self.crop[tr.CLOSES])
        crop = self.crop
        due = waiting & (day >= crop[tr.OPENS]) & (day >= self.free_from)
        if not due.any():
            return
        any_soil = crop[tr.FIT_SOIL] == 0.0
        wetness = self.soil.water[0] + self.soil.water[1] / 3.0
        due &= self._sky(self.given.t10_c, day) >= crop[tr.GERMINATION_C]
        due &= self._sky(self.given.tmin_c, day) >= crop[tr.GATE_FROST_C]
        due &= any_soil | (wetness <= self.given.fit_mm[:, None])
        due &= any_soil | (self._sky(self.given.rain_mm, day) < SOWING_RAIN_MM)
        if due.any():
            self._sow(due, day)

    def _sow(self, due: Mask, day: int) -> None:
        crop, soil = self.crop, self.soil
        self.phase[due] = GROW
        self.heat[due] = crop[tr.HEAT_AT_START][due]
        self.kcb[due] = crop[tr.KCB_INI][due]
        zeroed = (self.units, self.vernal, self.hardy, self.light, self.warm, self.wet, self.dm, self.scorched)
        for state in (*zeroed, self.crop_n, self.critical, self.fixed):
            state[due] = 0.0
        self.set_share[due] = 1.0
        self.ripe_wait[due] = 0
        self.sown[due] = day
        self.first[due] = self.ripe_day[due] = -1
        mineral = np.where(due, crop[tr.DRESS_MINERAL], 0.0)
        fresh = np.where(due, crop[tr.DRESS_FRESH], 0.0)
        soil.mix_in(mineral)
        soil.fresh = soil.fresh + fresh
        self._book(self.out.nitrogen, tr.N_MINERAL_IN, day, mineral)
        self._book(self.out.nitrogen, tr.N_FRESH_IN, day, fresh)

    # --- a day on the ground -----------------------------------------------------------------------------------

    def _pass_day(self, day: int) -> None:
        self._wet_and_rot(day)
        stands = (self.phase != WAIT) & (self.phase != SWARD)
        any_crop, crop = bool(stands.any()), self.crop
        eto = self._sky(self.given.eto_mm, day)
        kcb, shade, green = np.full(eto.shape, BARE_KCB), np.zeros(eto.shape), np.zeros(eto.shape)
        if any_crop:
            before = self.units / crop[tr.TARGET]
            self._develop(stands, before, day)
            emerged = stands & (self.heat >= crop[tr.HEAT_EMERGE])
            growth = np.maximum(self.heat - crop[tr.HEAT_EMERGE], 0.0) / crop[tr.TARGET]
            ripeness = self.units / crop[tr.TARGET]
            depth = tr.SHALLOW_M + (crop[tr.ROOT_M] - tr.SHALLOW_M) * np.minimum(growth / crop[tr.KC_B], 1.0)
            self.soil.root = np.where(stands, depth, self.soil.root)
            held = self.units < crop[tr.RELEASE]
            covers, green = crops.canopy(crop, self.units, self.phase == PICK, growth, ripeness)
            shade = np.where(emerged, covers, shade)
            kcb = np.where(stands, crops.kcb_of(crop, held, growth, ripeness), kcb)
        if len(self.grass):
            rows, here = self.grass, crop[:, self.grass]
            cover = crops.sward_cover(here, self.mass[rows])
            kcb[rows] = here[tr.KCB_INI] + (here[tr.KCB_MID] - here[tr.KCB_INI]) * cover / here[tr.TOP]
            shade[rows] = green[rows] = cover
        self.soil.look()
        ks = np.where(self.phase != WAIT, self.soil.stress(crop[tr.DEPLETION_P], kcb * eto), 1.0)
        evaporated, taken = self.soil.lose(kcb, shade, ks, eto)
        self.kcb = np.asarray(kcb)
        self.out.bears[:, day] = self.soil.carries(self._sky(self.given.tmean_c, day))
        self._book(self.out.water, tr.EVAPORATION, day, evaporated)
        self._book(self.out.water, tr.ET, day, evaporated + taken)
        makes = self.phase == SWARD
        if any_crop:
            makes |= emerged & ((before < 1.0) | (self.phase == PICK)) & (self.phase != STAND)
        self._make_and_feed(makes, green, ks, day)
        if any_crop:
            hardened = (self.hardy >= HARDY_AFTER_DAYS) & held
            tmin, crown = self._sky(self.given.tmin_c, day), self._sky(self.given.crown_c, day)
            self.set_share = np.where(
                stands, crops.frost_set_share(crop, self.set_share, ripeness, tmin), self.set_share
            )
            dead = crops.frozen(crop, hardened, ripeness, tmin, crown) | (self.set_share <= 0.0)
            self.ripe_day[stands & (ripeness >= 1.0) & (self.ripe_day < 0)] = day
            self._dusk(emerged & dead, ripeness, day)
        if len(self.grass):
            self._sward_dusk(day)

    def _wet_and_rot(self, day: int) -> None:
        given, soil, out = self.given, self.soil, self.out
        water, runoff = self._sky(given.water_mm, day), self._sky(given.runoff_mm, day)
        soil.settle(day)
        drained, ran_off, leached = soil.wet(water - runoff)
        soil.n[0] = soil.n[0] + given.sky_n_kg_ha_d
        from_soil = soil.rot(self._sky(given.rot_pace, day))
        month = int(given.month[day])
        if month < 0:
            return
        self._book(out.water, tr.RAIN, day, water)
        self._book(out.water, tr.RUNOFF, day, runoff + ran_off)
        self._book(out.water, tr.DRAINAGE, day, drained)
        self._book(out.nitrogen, tr.N_SKY, day, given.sky_n_kg_ha_d)
        self._book(out.nitrogen, tr.N_SOIL, day, from_soil)
        self._book(out.nitrogen, tr.N_LEACHED, day, leached)
        out.wet_days[:, month] += soil.logged

    def _develop(self, stands: Mask, before: F64, day: int) -> None:
        crop = self.crop
        tmean = self._sky(self.given.tmean_c, day)
        heat = np.maximum(np.minimum(tmean, crop[tr.PLATEAU_C]) - crop[tr.BASE_C], 0.0)
        self.heat = np.where(stands, self.heat + heat, self.heat)
        winter = stands & (crop[tr.RELEASE] > 0.0)
        speed: F64 | float = 1.0
        if winter.any():
            self.vernal = np.where(winter, self.vernal + crops.vernal_weight(tmean), self.vernal)
            self.hardy = np.where(winter, self.hardy + np.where(tmean < HARDY_BELOW_C, 1.0, 0.0), self.hardy)
            cold = (self.vernal - crop[tr.VERNAL_IDLE]) / (crop[tr.VERNAL_DAYS] - crop[tr.VERNAL_IDLE])
            span = crop[tr.DAYLENGTH_FULL_H] - crop[tr.DAYLENGTH_BASE_H]
            light = (self.given.twilight_h[day] - crop[tr.DAYLENGTH_BASE_H]) / span
            slow = crops.clip01(cold) * crops.clip01(light)
            speed = np.where(winter & (self.units < crop[tr.RELEASE]), slow, 1.0)
        step = speed * np.minimum(heat, np.maximum(self.heat - crop[tr.HEAT_EMERGE], 0.0))
        waits = (self.units <= crop[tr.BULB_UNITS]) & (self.given.daylength_h[day] < crop[tr.BULB_DAYLENGTH_H])
        ceiling = np.where(waits, crop[tr.BULB_UNITS], 1e9)
        units = np.where(stands, np.minimum(self.units + step, ceiling), self.units)
        opens, closes = crop[tr.FLOWER_FROM], crop[tr.FLOWER_UNTIL]
        flowers = stands & (closes > opens) & (opens <= before) & (before < closes)
        if flowers.any():
            fails = crops.clip01(0.1 + crop[tr.HEAT_SLOPE] * (self._sky(self.given.tmax_c, day) - crop[tr.HEAT10_C]))
            window = np.where(flowers, crop[tr.TARGET] * (closes - opens), 1.0)
            self.scorched = np.where(flowers, self.scorched + fails * (units - self.units) / window, self.scorched)
        self.units = units

    def _make_and_feed(self, makes: Mask, green: F64, ks: F64, day: int) -> None:
        """Dry matter of crops and swards, then the nitrogen that they take up for it."""
        crop = self.crop
        if not makes.any():
            return
        safe = np.where(self.critical > 0.0, self.critical, 1.0)
        n_index = np.where(self.critical > 0.0, np.minimum(self.crop_n / safe, 1.0), 1.0)
        caught = np.where(makes, self._sky(self.given.par_mj, day) * green, 0.0)
        warm = crops.warmth(crop, self._sky(self.given.tmean_c, day))
        wet = np.minimum(warm, ks)
        made = crop[tr.RUE] * caught * np.minimum(wet, n_index)
        counts: Mask | bool = True
        if int(self.given.month[day]) < 0 and len(self.grass):
            counts = self.phase != SWARD
        self.light += np.where(counts, caught, 0.0)
        self.warm += np.where(counts, caught * warm, 0.0)
        self.wet += np.where(counts, caught * wet, 0.0)
        self.dm += np.where(counts, made, 0.0)
        t_ha = crop[tr.TONNES] * self.dm
        if len(self.grass):
            self._thicken(100.0 * crop[tr.TONNES][self.grass] * made[self.grass], day)
            t_ha[self.grass] = self.mass[self.grass] / 100.0
        asks = self.units / crop[tr.TARGET] < crop[tr.N_ASKS_UNTIL]
        critical = np.where(asks, crops.critical_n(crop, t_ha), self.critical)
        want = np.where(makes, np.maximum(critical - self.crop_n, 0.0), 0.0)
        new = np.where(makes, np.maximum(critical - self.critical, 0.0), 0.0)
        fixed = np.minimum(want, crop[tr.N_FIXED] * new * self.soil.lean)
        taken = self.soil.take_up(want - fixed)
        self.crop_n = self.crop_n + (taken + fixed)
        self.critical = np.where(makes, critical, self.critical)
        self.fixed = self.fixed + np.where(counts, fixed, 0.0)
        self._book(self.out.nitrogen, tr.N_UPTAKE, day, taken)
        if len(self.grass) and int(self.given.month[day]) >= 0:
            cell = self.given.strip_first[self.grass]
            self.out.fixed_n_kg_ha[cell] += fixed[self.grass]
            self.out.taken_n_kg_ha[cell] += taken[self.grass]

    # --- swards ------------------------------------------------------------------------------------------------

    def _thicken(self, grew: F64, day: int) -> None:
        """A sward's growth and withering of the day; arrays [sward, lane]."""
        rows, crop = self.grass, self.crop[:, self.grass]
        old = np.maximum(self.mass[rows] - 0.5 * crop[tr.RESIDUAL_MASS], 0.0)
        tmean = self._sky(self.given.tmean_c, day)[rows]
        withered = old * np.minimum(crop[tr.SENESCENCE] * np.maximum(tmean, 0.0), 1.0)
        self.mass[rows] += grew
        self._shed(withered, day)
        self._book_grass(self.out.sward, tr.GREW, day, grew)
        self._book_grass(self.out.sward, tr.WITHERED, day, withered)

    def _lift(self, mass: F64) -> F64:
        """Take part of the standing swards with its share of the nitrogen and of what they needed; that nitrogen."""
        rows, stands = self.grass, self.mass[self.grass]
        part = np.where(stands > 0.0, mass / np.where(stands > 0.0, stands, 1.0), 0.0)
        n = self.crop_n[rows] * part
        self.mass[rows], self.crop_n[rows] = stands - mass, self.crop_n[rows] - n
        self.critical[rows] -= self.critical[rows] * part
        return n

    def _shed(self, mass: F64, day: int) -> None:
        n = self._lift(mass) * self.crop[tr.N_RESIDUE_FRESH][self.grass]
        self.soil.fresh[self.grass] += n
        self._book_grass(self.out.nitrogen, tr.N_FRESH_IN, day, n)

    def _book_grass(self, book: F64, term: int, day: int, amount: F64) -> None:
        month = int(self.given.month[day])
        if month >= 0:
            book[term, self.grass, month] += amount

    def _sward_dusk(self, day: int) -> None:
        rows, crop = self.grass, self.crop[:, self.grass]
        in_year, year = day % tr.YEAR, day // tr.YEAR
        window = (crop[tr.SHUT_FROM] >= 0.0) & (crop[tr.SHUT_FROM] <= in_year) & (in_year <= crop[tr.HAY_UNTIL])
        shut = window & (self.cut_in != year)
        dry = self._sky(self.given.dry_spell, day)[rows] > 0.0
        hay = shut & (in_year >= crop[tr.HAY_FROM]) & (dry | (in_year >= crop[tr.HAY_UNTIL]))
        mass, mown = self.mass[rows], crop[tr.CUT_MASS] > 0.0
        cut = hay | (~shut & mown & (mass >= crop[tr.CUT_MASS] * np.where(dry, 1.0, WAITS_FOR_HAY)))
        self.cut_in[hay] = year
        if cut.any():
            self._cut(cut, dry, day)
        self.herds.open = ~(window & (self.cut_in != year)) & ~mown & (self.out.bears[rows, day] > 0)
        graze = self.herds.open & ~shut & self.herds.here
        if graze.any():
            self._graze(graze, day)
        self.herds.walk(day, self.mass[rows])

    def _ask_again(self, changed: Mask) -> None:
        """The critical nitrogen of what is left standing of swards that were cut or grazed."""
        rows = self.grass
        critical = crops.critical_n(self.crop[:, rows], self.mass[rows] / 100.0)
        self.critical[rows] = np.where(changed, critical, self.critical[rows])

    def _cut(self, cut: Mask, dry: Mask, day: int) -> None:
        crop = self.crop[:, self.grass]
        taken = np.where(cut, np.maximum(self.mass[self.grass] - crop[tr.STUBBLE_MASS], 0.0), 0.0)
        self._lift(taken)
        self._ask_again(cut)
        self._book_grass(self.out.sward, tr.HAY, day, np.where(dry, taken, 0.0))
        self._book_grass(self.out.sward, tr.WET_HAY, day, np.where(dry, 0.0, taken))
        if int(self.given.month[day]) >= 0:
            cell = self.given.strip_first[self.grass]
            self.out.last_day[cell] = np.where(cut, day, self.out.last_day[cell])
            first = self.first[self.grass]
            self.first[self.grass] = np.where(cut & (first < 0), day, first)

    def _graze(self, graze: Mask, day: int) -> None:
        crop, soil, rows = self.crop[:, self.grass], self.soil, self.grass
        there = np.maximum(self.mass[rows] - self.herds.floor, 0.0)
        eaten = np.where(graze, np.minimum(self.herds.wanted_g_m2(day), crop[tr.GRAZED_SHARE] * there), 0.0)
        gone = eaten / crop[tr.GRAZED_SHARE]
        n = self._lift(eaten)
        mineral, fresh = crop[tr.DUNG_MINERAL] * n, crop[tr.DUNG_FRESH] * n
        soil.n[0][rows] += tr.TOP_SHARE[0] * mineral
        soil.n[1][rows] += tr.TOP_SHARE[1] * mineral
        soil.fresh[rows] += fresh
        self._book_grass(self.out.nitrogen, tr.N_MINERAL_IN, day, mineral)
        self._book_grass(self.out.nitrogen, tr.N_FRESH_IN, day, fresh)
        self._shed(gone - eaten, day)
        self._ask_again(graze)
        self._book_grass(self.out.sward, tr.GRAZED, day, eaten)
        self._book_grass(self.out.sward, tr.TRAMPLED, day, gone - eaten)

    # --- dusk --------------------------------------------------------------------------------------------------

    def _dusk(self, dead: Mask, ripeness: F64, day: int) -> None:
        crop, growing = self.crop, self.phase == GROW
        gathering = (self.phase == PICK) | (self.phase == STAND)
        ended = gathering & (dead | (day >= self.last_plan))
        killed = growing & dead
        ripe = growing & ~dead & (ripeness >= 1.0)
        clear = growing & ~dead & (ripeness < 1.0) & (day >= crop[tr.CLEAR_BY])
        if ended.any():
            last = np.where(dead, np.maximum(day - 1, self.first), self.last_plan)
            plan = np.where(gathering, self.last_plan - self.first + 1, 1)
            share = np.where(self.phase == STAND, (last - self.first + 1) / plan, 1.0)
            self._leave(ended & (ripeness >= 1.0), last, day, tr.GATHERED, share)
            self._leave(ended & (ripeness < 1.0), last, day, tr.CLEARED, share)
        if killed.any():
            as_stands = crop[tr.LEAST_RIPE] == 0.0
            self._leave(killed & as_stands, day, day, tr.FROSTED)
            self._leave(killed & ~as_stands, day, day, tr.KILLED)
        if clear.any():
            enough = (ripeness >= crop[tr.LEAST_RIPE]) & (self.heat >= crop[tr.HEAT_EMERGE])
            stands = clear & enough & (crop[tr.STAND_DAYS] > 1.0)
            leaves = clear & enough & ~stands
            lost = clear & ~enough
            self.first[stands] = day
            self._stand(stands, day)
            self._leave(leaves, day, day, tr.CLEARED)
            self._leave(lost, day, day, tr.UNRIPE)
        if ripe.any():
            self._ripe(ripe, day)

    def _ripe(self, ripe: Mask, day: int) -> None:
        crop = self.crop
        wet = self._sky(self.given.rain_mm, day) >= DRY_DAY_MM
        puts_off = ripe & wet & (self.ripe_wait < crop[tr.WAIT_DAYS])
        self.ripe_wait[puts_off] += 1
        gathers = ripe & ~puts_off
        self.first[gathers] = day
        picks = gathers & (crop[tr.PICK_DAYS] > 1.0)
        stands = gathers & ~picks & (crop[tr.STAND_DAYS] > 1.0)
        self.phase[picks] = PICK
        pick_last = np.maximum(np.minimum(day + crop[tr.PICK_DAYS] - 1, crop[tr.CLEAR_BY]), day)
        self.last_plan[picks] = pick_last[picks].astype(np.int64)
        self._stand(stands, day)
        self._leave(gathers & ~picks & ~stands, day, day, tr.GATHERED)

    def _stand(self, stands: Mask, day: int) -> None:
        crop = self.crop
        room = crop[tr.FREE_BY] - 1 - tr.BED_WORK_DAYS
        last = np.maximum(np.minimum(day + crop[tr.STAND_DAYS] - 1, room), day)
        self.phase[stands] = STAND
        self.last_plan[stands] = last[stands].astype(np.int64)

    def _leave(self, who: Mask, last: I64 | int, day: int, status: int, share: F64 | float = 1.0) -> None:
        strips, lanes = np.nonzero(who)
        if not len(strips):
            return
        out, cell = self.out, (self.sowing[strips, lanes], lanes)
        last_day = np.broadcast_to(last, who.shape)[who]
        gathered = status in (tr.GATHERED, tr.FROSTED, tr.CLEARED)
        self._write(who, cell)
        out.status[cell] = status
        out.share[cell] = np.broadcast_to(share, who.shape)[who]
        if gathered:
            out.last_day[cell] = last_day
            first = self.first[who]
            out.first_day[cell] = np.where(first < 0, last_day, first)
        removed = self.crop[tr.N_REMOVED] if gathered else 0.0
        stays = np.where(who, self.crop_n * (1.0 - removed) * self.crop[tr.N_RESIDUE_FRESH], 0.0)
        self.soil.fresh = self.soil.fresh + stays
        self._book(out.nitrogen, tr.N_FRESH_IN, day, stays)
        self.soil.root[who] = tr.SHALLOW_M
        self.phase[who] = WAIT
        self.free_from[who] = last_day + 1 + tr.BED_WORK_DAYS
        self.sowing[who] += 1
        self._refresh(who)

    def _write(self, who: Mask, cell: tuple[I64, I64]) -> None:
        """The sums of the sowings `who` into the result."""
        out, crop = self.out, self.crop[:, who]
        out.sow_day[cell] = self.sown[who]
        out.first_day[cell] = self.first[who]
        out.ripe_day[cell] = self.ripe_day[who]
        out.light_mj[cell], out.warm_mj[cell] = self.light[who], self.warm[who]
        out.wet_mj[cell], out.dm_g_m2[cell] = self.wet[who], self.dm[who]
        crops_only = self.phase[who] != SWARD
        progress = np.minimum(self.units[who] / crop[tr.TARGET], 1.0)
        out.progress[cell] = np.where(crops_only, progress, 0.0)
        out.set_share[cell] = self.set_share[who]
        out.heat_share[cell] = np.where(crops_only, crops.heat_share(crop, self.scorched[who]), 1.0)
        grass = ~crops_only
        out.fixed_n_kg_ha[cell] = np.where(grass, out.fixed_n_kg_ha[cell], self.fixed[who])
        out.taken_n_kg_ha[cell] = np.where(grass, out.taken_n_kg_ha[cell], self.crop_n[who] - self.fixed[who])

    def _close(self) -> None:
        stands = self.phase != WAIT
        strips, lanes = np.nonzero(stands)
        cell = (self.sowing[strips, lanes], lanes)
        self._write(stands, cell)
        lifted = self.phase[stands] == STAND
        grass = self.phase[stands] == SWARD
        ripe = np.where(self.out.progress[cell] >= 1.0, tr.GATHERED, tr.CLEARED)
        self.out.status[cell] = np.where(lifted, ripe, tr.STANDING)
        self.out.last_day[cell] = np.where(lifted, self.last_plan[stands], np.where(grass, self.out.last_day[cell], -1))

    def _month_end(self, day: int) -> None:
        month, out = self.given.month, self.out
        this, following = int(month[day]), int(month[day + 1]) if day + 1 < len(month) else -1
        if this == following:
            return
        held = (
            (out.water, tr.START, tr.END, self.soil.held_mm),
            (out.nitrogen, tr.N_START, tr.N_END, self.soil.held_n),
            (out.sward, tr.S_START, tr.S_END, self.mass),
        )
        for book, start, end, amount in held:
            if this >= 0:
                book[end, :, this] = amount
            if following >= 0:
                book[start, :, following] = amount
