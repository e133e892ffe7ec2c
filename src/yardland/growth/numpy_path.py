"""The growth kernel in NumPy, all strips and lanes of a day at once: the path of small runs.

The same algorithm as `twin`, line for line where arrays allow it; the twin's comments explain it.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr
from yardland.growth.heat import VERNAL_COLD_C, exp_small
from yardland.growth.io import F64, I64, KernelInput, KernelOutput, empty_output, watering_order
from yardland.growth.twin import (
    BARE_KC,
    DRY_DAY_MM,
    GROW,
    HARDY_AFTER_DAYS,
    HARDY_BELOW_C,
    PICK,
    SOFT_SHARE,
    SOWING_RAIN_MM,
    STAND,
    WAIT,
)

Mask = npt.NDArray[np.bool_]
NEVER = 10**9


def run_numpy(given: KernelInput) -> KernelOutput:
    """Grow every strip in every lane; the same results as `run_twin` to rounding."""
    return _Run(given).run()


class _Run:
    """State of all strips and lanes, arrays [strip, lane] unless said."""

    def __init__(self, given: KernelInput) -> None:
        shape = (given.strips, given.lanes)
        self.given, self.out = given, empty_output(given)
        self.table = np.concatenate([given.traits, _no_sowing()], axis=1)
        self.none = given.traits.shape[1]
        self.end = (given.strip_first + given.strip_count)[:, None]
        self.sowing = np.broadcast_to(given.strip_first[:, None], shape).copy()
        self.crop = np.empty((tr.COUNT, *shape))
        self._refresh(np.ones(shape, dtype=bool))
        self.awc, self.depth = given.awc_mm_m[:, None], given.depth_m[:, None]
        self.root = np.full(shape, tr.SHALLOW_M)
        self.root_mm = np.broadcast_to(self.awc * tr.SHALLOW_M, shape).copy()
        self.under_mm = np.broadcast_to(self.awc * (self.depth - tr.SHALLOW_M), shape).copy()
        self.phase = np.full(shape, WAIT, dtype=np.int64)
        self.free_from = np.zeros(shape, dtype=np.int64)
        self.last_plan = np.full(shape, -1, dtype=np.int64)
        self.ripe_wait = np.zeros(shape, dtype=np.int64)
        self.heat, self.units, self.vernal, self.hardy, self.kc = (np.zeros(shape) for _ in range(5))
        self.set_share = np.ones(shape)
        self.store = np.repeat(given.capacity_m3[:, None], given.lanes, axis=1)
        self.left = np.zeros_like(self.store)
        self.licence = np.repeat(given.licence_m3[:, None], given.lanes, axis=1)
        self.told_dry = np.zeros_like(self.store, dtype=bool)
        # Sums of the sowing that now stands, written out when it leaves.
        self.light, self.warm, self.dm = (np.zeros(shape) for _ in range(3))
        self.sown, self.first = (np.full(shape, -1, dtype=np.int64) for _ in range(2))

    def run(self) -> KernelOutput:
        """All days, then close the books."""
        for day in range(self.given.tmean_c.shape[1]):
            self._water_people(day)
            self._gate(day)
            for strip in watering_order(self.given, day):
                self._irrigate(strip, day)
            self.out.spare_m3[:, day] = np.minimum(self.left, self.licence)
            self._grow(day)
            self._month_end(day)
        self._close()
        return self.out

    def _sky(self, values: F64, day: int) -> F64:
        """Weather of a day as [strip, lane]."""
        return np.asarray(values[self.given.strip_cover, day])

    # --- water sources -----------------------------------------------------------------------------------------

    def _water_people(self, day: int) -> None:
        given = self.given
        if day == tr.YEAR:
            self.licence[:] = given.licence_m3[:, None]
        self.store = np.minimum(np.maximum(self.store + given.inflow_m3[:, day], 0.0), given.capacity_m3[:, None])
        self.left = given.rate_m3[:, day].copy()
        self.told_dry[:] = False
        want = np.full(given.lanes, given.demand_m3[day])
        got = self._draw(range(given.sources), want, day)
        if given.month[day] >= 0:
            self.out.unmet_m3[given.month[day]] += want - got

    def _draw(self, sources: Iterable[int], want: F64, day: int) -> F64:
        """Take up to `want`[lane] m3, source by source."""
        month, rest = int(self.given.month[day]), want.copy()
        for source in sources:
            take = np.minimum(np.minimum(rest, self.left[source] + self.store[source]), self.licence[source])
            from_rate = np.minimum(take, self.left[source])
            self.left[source] -= from_rate
            self.store[source] -= take - from_rate
            self.licence[source] -= take
            if month >= 0:
                self.out.drawn_m3[source, month] += take
                short = (take < rest) & ~self.told_dry[source]
                self.told_dry[source] |= short
                self.out.dry_days[source, month] += short
            rest -= take
        return want - rest

    def _irrigate(self, strip: int, day: int) -> None:
        given, phase = self.given, self.phase[strip]
        standing = (phase == GROW) | (phase == PICK)
        if not standing.any():
            return
        etc = self.kc[strip] * given.eto_mm[given.strip_cover[strip], day]
        taw = given.awc_mm_m[strip] * self.root[strip]
        p = np.minimum(np.maximum(self.crop[tr.DEPLETION_P, strip] + 0.04 * (5.0 - etc), 0.1), 0.8)
        depletion = taw - self.root_mm[strip]
        thirsty = standing & ~(depletion < p * taw)
        if not thirsty.any():
            return
        net = np.where(thirsty, np.minimum(depletion, given.net_limit_mm[strip]), 0.0)
        m3_per_mm = given.area_m2[strip] / 1000.0 / given.efficiency[strip]
        sources = [int(source) for source in given.strip_sources[strip] if source >= 0]
        net = self._draw(sources, net * m3_per_mm, day) / m3_per_mm
        self.root_mm[strip] += net
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
        due &= self._sky(self.given.t10_c, day) >= crop[tr.GERMINATION_C]
        due &= self._sky(self.given.tmin_c, day) >= crop[tr.GATE_FROST_C]
        due &= any_soil | (self.root_mm <= self.given.fit_mm[:, None])
        due &= any_soil | (self._sky(self.given.rain_mm, day) < SOWING_RAIN_MM)
        self._sow(due, day)

    def _sow(self, due: Mask, day: int) -> None:
        self.phase[due] = GROW
        self.heat[due] = self.crop[tr.HEAT_AT_START][due]
        self.kc[due] = self.crop[tr.KC_INI][due]
        for state in (self.units, self.vernal, self.hardy, self.light, self.warm, self.dm):
            state[due] = 0.0
        self.set_share[due] = 1.0
        self.ripe_wait[due] = 0
        self.sown[due] = day
        self.first[due] = -1

    # --- a day on the ground -----------------------------------------------------------------------------------

    def _grow(self, day: int) -> None:
        bare = self.phase == WAIT
        eto = self._sky(self.given.eto_mm, day)
        et_bare = self._bare_et(eto)
        if bare.all():
            self._water(et_bare, day)
            return
        crop = self.crop
        before = self.units / crop[tr.TARGET]
        self._develop(~bare, day)
        emerged = ~bare & (self.heat >= crop[tr.HEAT_EMERGE])
        growth = np.maximum(self.heat - crop[tr.HEAT_EMERGE], 0.0) / crop[tr.TARGET]
        ripeness = self.units / crop[tr.TARGET]
        self._root(~bare, growth)
        self.kc = np.where(bare, self.kc, self._crop_kc(growth, ripeness))
        taw = self.awc * self.root
        etc = self.kc * eto
        raw = np.minimum(np.maximum(crop[tr.DEPLETION_P] + 0.04 * (5.0 - etc), 0.1), 0.8) * taw
        depletion = taw - self.root_mm
        ks = np.where(depletion <= raw, 1.0, np.minimum(np.maximum((taw - depletion) / (taw - raw), 0.0), 1.0))
        self._water(np.where(bare, et_bare, ks * etc), day)
        makes = emerged & ((before < 1.0) | (self.phase == PICK)) & (self.phase != STAND)
        self._make(makes, growth, ripeness, ks, day)
        self._flower(~bare, ripeness, day)
        self._dusk(emerged & (self._frozen(ripeness, day) | (self.set_share <= 0.0)), ripeness, day)

    def _bare_et(self, eto: F64) -> F64:
        tew, rew = self.given.tew_mm[:, None], self.given.rew_mm[:, None]
        depletion = self.awc * self.root - self.root_mm
        kr = np.minimum(np.maximum((tew - depletion) / (tew - rew), 0.0), 1.0)
        return np.asarray(BARE_KC * kr * eto)

    def _develop(self, stands: Mask, day: int) -> None:
        crop = self.crop
        tmean = self._sky(self.given.tmean_c, day)
        heat = np.maximum(np.minimum(tmean, crop[tr.PLATEAU_C]) - crop[tr.BASE_C], 0.0)
        self.heat = np.where(stands, self.heat + heat, self.heat)
        winter = stands & (crop[tr.RELEASE] > 0.0)
        speed: F64 | float = 1.0
        if winter.any():
            self.vernal = np.where(winter, self.vernal + _vernal_weight(tmean), self.vernal)
            self.hardy = np.where(winter, self.hardy + np.where(tmean < HARDY_BELOW_C, 1.0, 0.0), self.hardy)
            cold = (self.vernal - crop[tr.VERNAL_IDLE]) / (crop[tr.VERNAL_DAYS] - crop[tr.VERNAL_IDLE])
            span = crop[tr.DAYLENGTH_FULL_H] - crop[tr.DAYLENGTH_BASE_H]
            light = (self.given.twilight_h[day] - crop[tr.DAYLENGTH_BASE_H]) / span
            slow = np.minimum(np.maximum(cold, 0.0), 1.0) * np.minimum(np.maximum(light, 0.0), 1.0)
            speed = np.where(winter & (self.units < crop[tr.RELEASE]), slow, 1.0)
        step = speed * np.minimum(heat, np.maximum(self.heat - crop[tr.HEAT_EMERGE], 0.0))
        waits = (self.units <= crop[tr.BULB_UNITS]) & (self.given.daylength_h[day] < crop[tr.BULB_DAYLENGTH_H])
        ceiling = np.where(waits, crop[tr.BULB_UNITS], 1e9)
        self.units = np.where(stands, np.minimum(self.units + step, ceiling), self.units)

    def _root(self, stands: Mask, growth: F64) -> None:
        crop = self.crop
        depth = tr.SHALLOW_M + (crop[tr.ROOT_M] - tr.SHALLOW_M) * np.minimum(growth / crop[tr.KC_B], 1.0)
        taken = self.under_mm * (depth - self.root) / np.maximum(self.depth - self.root, 1e-9)
        taken = np.where(stands, taken, 0.0)
        self.root_mm = self.root_mm + taken
        self.under_mm = self.under_mm - taken
        self.root = np.where(stands, depth, self.root)

    def _crop_kc(self, growth: F64, ripeness: F64) -> F64:
        crop = self.crop
        a, b, c = crop[tr.KC_A], crop[tr.KC_B], crop[tr.KC_C]
        x = np.where(self.units < crop[tr.RELEASE], np.minimum(growth, 0.5 * (a + b)), growth)
        rise = np.minimum(np.maximum((x - a) / (b - a), 0.0), 1.0)
        kc = crop[tr.KC_INI] + rise * (crop[tr.KC_MID] - crop[tr.KC_INI])
        fall = np.minimum(np.maximum((ripeness - c) / (1.0 - c), 0.0), 1.0)
        return np.asarray(kc + fall * (crop[tr.KC_END] - kc))

    def _water(self, et: F64, day: int) -> None:
        rain, runoff = self._sky(self.given.rain_mm, day), self._sky(self.given.runoff_mm, day)
        level = self.root_mm + (rain - runoff) - et
        short = np.maximum(-level, 0.0)
        level = level + short
        over = np.maximum(level - self.awc * self.root, 0.0)
        self.root_mm = level - over
        under = self.under_mm + over
        drainage = np.maximum(under - self.awc * (self.depth - self.root), 0.0)
        self.under_mm = under - drainage
        month = int(self.given.month[day])
        if month >= 0:
            water = self.out.water
            water[tr.RAIN, :, month] += rain
            water[tr.RUNOFF, :, month] += runoff
            water[tr.DRAINAGE, :, month] += drainage
            water[tr.ET, :, month] += et - short

    def _make(self, makes: Mask, growth: F64, ripeness: F64, ks: F64, day: int) -> None:
        crop = self.crop
        z = np.minimum(np.maximum(crop[tr.STEEP] * (growth - crop[tr.HALF]), -30.0), 30.0)
        cover = crop[tr.TOP] / (1.0 + exp_small(-z))
        cover = np.where(self.units < crop[tr.RELEASE], np.minimum(cover, crop[tr.COVER_CAP]), cover)
        from_ = crop[tr.SENESCE_FROM]
        old = np.minimum(np.maximum((ripeness - from_) / (1.0 - from_), 0.0), 1.0)
        cover = cover * (1.0 - old * (1.0 - crop[tr.SENESCE_LEFT]))
        caught = np.where(makes, self._sky(self.given.par_mj, day) * cover, 0.0)
        tmean = self._sky(self.given.tmean_c, day)
        rise = (tmean - crop[tr.BASE_C]) / (crop[tr.GROW_FULL_C] - crop[tr.BASE_C])
        fall = 1.0 - (tmean - crop[tr.GROW_FALL_C]) / tr.HEAT_SPAN_C
        warm = caught * np.minimum(np.maximum(np.minimum(rise, fall), 0.0), 1.0)
        self.light += caught
        self.warm += warm
        self.dm += crop[tr.RUE] * warm * ks

    def _flower(self, stands: Mask, ripeness: F64, day: int) -> None:
        crop = self.crop
        flowers = stands & (ripeness >= crop[tr.FLOWER_FROM]) & (ripeness < crop[tr.FLOWER_UNTIL])
        if not flowers.any():
            return
        killed = 0.1 + crop[tr.FLOWER_SLOPE] * (crop[tr.FLOWER_KILL10_C] - self._sky(self.given.tmin_c, day))
        left = (1.0 - np.minimum(np.maximum(killed, 0.0), 1.0)) / crop[tr.FLOWERS_NEEDED]
        self.set_share = np.where(flowers, np.minimum(self.set_share, np.minimum(left, 1.0)), self.set_share)

    def _frozen(self, ripeness: F64, day: int) -> Mask:
        crop = self.crop
        hardy = (self.hardy >= HARDY_AFTER_DAYS) & (self.units < crop[tr.RELEASE])
        by_mean = self._sky(self.given.t3_c, day) < np.where(hardy, crop[tr.KILL_C], SOFT_SHARE * crop[tr.KILL_C])
        kill = np.where(ripeness < crop[tr.YOUNG_UNTIL], crop[tr.YOUNG_KILL_C], crop[tr.KILL_C])
        by_night = self._sky(self.given.tmin_c, day) < kill
        return np.asarray(np.where(crop[tr.KILL_BY_MEAN] == 0.0, by_night, by_mean))

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
            self._leave(ended & (ripeness >= 1.0), last, tr.GATHERED, share)
            self._leave(ended & (ripeness < 1.0), last, tr.CLEARED, share)
        if killed.any():
            as_stands = crop[tr.LEAST_RIPE] == 0.0
            self._leave(killed & as_stands, day, tr.FROSTED)
            self._leave(killed & ~as_stands, day, tr.KILLED)
        if clear.any():
            enough = (ripeness >= crop[tr.LEAST_RIPE]) & (self.heat >= crop[tr.HEAT_EMERGE])
            stands = clear & enough & (crop[tr.STAND_DAYS] > 1.0)
            leaves = clear & enough & ~stands
            lost = clear & ~enough
            self.first[stands] = day
            self._stand(stands, day)
            self._leave(leaves, day, tr.CLEARED)
            self._leave(lost, day, tr.UNRIPE)
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
        self._leave(gathers & ~picks & ~stands, day, tr.GATHERED)

    def _stand(self, stands: Mask, day: int) -> None:
        crop = self.crop
        room = crop[tr.FREE_BY] - 1 - tr.BED_WORK_DAYS
        last = np.maximum(np.minimum(day + crop[tr.STAND_DAYS] - 1, room), day)
        self.phase[stands] = STAND
        self.last_plan[stands] = last[stands].astype(np.int64)

    def _leave(self, who: Mask, last: I64 | int, status: int, share: F64 | float = 1.0) -> None:
        strips, lanes = np.nonzero(who)
        if not len(strips):
            return
        out, cell = self.out, (self.sowing[strips, lanes], lanes)
        last_day = np.broadcast_to(last, who.shape)[who]
        self._write(who, cell)
        out.status[cell] = status
        out.share[cell] = np.broadcast_to(share, who.shape)[who]
        if status in (tr.GATHERED, tr.FROSTED, tr.CLEARED):
            out.last_day[cell] = last_day
            first = self.first[who]
            out.first_day[cell] = np.where(first < 0, last_day, first)
        kept = self.root_mm[who] * tr.SHALLOW_M / self.root[who]
        self.under_mm[who] += self.root_mm[who] - kept
        self.root_mm[who] = kept
        self.root[who] = tr.SHALLOW_M
        self.phase[who] = WAIT
        self.free_from[who] = last_day + 1 + tr.BED_WORK_DAYS
        self.sowing[who] += 1
        self._refresh(who)

    def _write(self, who: Mask, cell: tuple[I64, I64]) -> None:
        """The sums of the sowings `who` into the result."""
        out = self.out
        out.sow_day[cell] = self.sown[who]
        out.first_day[cell] = self.first[who]
        out.light_mj[cell], out.warm_mj[cell], out.dm_g_m2[cell] = self.light[who], self.warm[who], self.dm[who]
        out.progress[cell] = np.minimum(self.units[who] / self.crop[tr.TARGET][who], 1.0)
        out.set_share[cell] = self.set_share[who]

    def _close(self) -> None:
        stands = self.phase != WAIT
        strips, lanes = np.nonzero(stands)
        cell = (self.sowing[strips, lanes], lanes)
        self._write(stands, cell)
        lifted = self.phase[stands] == STAND
        ripe = np.where(self.out.progress[cell] >= 1.0, tr.GATHERED, tr.CLEARED)
        self.out.status[cell] = np.where(lifted, ripe, tr.STANDING)
        self.out.last_day[cell] = np.where(lifted, self.last_plan[stands], -1)

    def _month_end(self, day: int) -> None:
        month = self.given.month
        this, following = int(month[day]), int(month[day + 1]) if day + 1 < len(month) else -1
        if this == following:
            return
        held = self.root_mm + self.under_mm
        if this >= 0:
            self.out.water[tr.END, :, this] = held
        if following >= 0:
            self.out.water[tr.START, :, following] = held


def _no_sowing() -> F64:
    """A column of traits for a strip that has nothing more to sow."""
    column = np.ones((tr.COUNT, 1))
    column[tr.OPENS] = column[tr.CLOSES] = column[tr.CLEAR_BY] = column[tr.FREE_BY] = NEVER
    for trait in (tr.BASE_C, tr.KC_A, tr.KC_C, tr.SENESCE_FROM, tr.DAYLENGTH_BASE_H, tr.RELEASE, tr.VERNAL_IDLE):
        column[trait] = 0.0
    return column


def _vernal_weight(tmean: F64) -> F64:
    none_below, full_from, full_to, none_above = VERNAL_COLD_C
    rising = (tmean - none_below) / (full_from - none_below)
    falling = (none_above - tmean) / (none_above - full_to)
    return np.minimum(np.maximum(np.minimum(rising, falling), 0.0), 1.0)
