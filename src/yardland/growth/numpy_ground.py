"""Layers of water and nitrogen of all strips and lanes of a day at once: `twin_ground` on arrays [strip, lane]."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from yardland.growth import traits as tr
from yardland.growth.io import F64, KernelInput, soil_at_start
from yardland.growth.soil_water import KC_MAX, LEAST_BARE
from yardland.growth.twin_ground import DRY_ROT, FIX_NO_MORE_KG_HA, MOIST_FROM, UPTAKE_RATE, WATERLOGGED_SHARE

LAYERS = range(tr.LAYERS)


class Soils:
    """Water and mineral nitrogen by layer, fresh nitrogen, what evaporated, and how deep roots are."""

    def __init__(self, given: KernelInput) -> None:
        shape = (given.strips, given.lanes)
        self.given = given
        thick, full, sat, passes, hold = (
            [getattr(given, name)[layer][:, None] for layer in LAYERS]
            for name in ("thick_m", "full_mm", "sat_mm", "pass_share", "hold_mm")
        )
        self.thick, self.full, self.sat, self.passes, self.hold = thick, full, sat, passes, hold
        self.upper = [np.zeros_like(thick[0])]
        for layer in range(tr.LAYERS - 1):
            self.upper.append(self.upper[layer] + thick[layer])
        self.awc, self.dry = given.awc_mm_m[:, None], given.dry_mm[:, None]
        self.tew, self.rew = given.tew_mm[:, None], given.rew_mm[:, None]
        self.out_of_soil = given.soil_n_kg_ha_d[:, None]
        self.top_full = full[0] + full[1]
        self.logged_from = self.top_full + WATERLOGGED_SHARE * (sat[0] + sat[1] - self.top_full)
        self.start_n = [given.start_n_kg_ha * part / (thick[0] + thick[1] + thick[2] + thick[3]) for part in thick]
        begin = soil_at_start(given)
        self.water = [begin[layer].copy() for layer in LAYERS]
        self.n = [begin[tr.LAYERS + layer].copy() for layer in LAYERS]
        self.fresh, self.evaporated, self.soaked = begin[-1].copy(), np.zeros(shape), np.zeros(shape)
        self.soaks, self.room = given.soaks_share[:, None], sat[0] - full[0]
        self.root = np.full(shape, tr.SHALLOW_M)
        self.reach: list[F64] = []
        self.rooted: list[F64] = []

    def wet(self, into: F64) -> tuple[F64, F64, F64]:
        """`twin_ground.wet`: drained, ran off, leached."""
        self.evaporated = np.maximum(self.evaporated - into, 0.0)
        flow, carried = into, np.zeros_like(into)
        for layer in LAYERS:
            water = self.water[layer] + flow
            n = self.n[layer] + carried
            flow = self.passes[layer] * np.maximum(water - self.full[layer], 0.0)
            self.water[layer] = water - flow
            if layer == 0:
                self.soaked = np.minimum((self.soaked + flow) * self.soaks, self.room)
            carried = n * flow / (flow + self.hold[layer])
            self.n[layer] = n - carried
        backed: F64 = np.zeros_like(into)
        for layer in reversed(LAYERS):
            water = self.water[layer] + backed
            backed = np.maximum(water - self.sat[layer], 0.0)
            self.water[layer] = water - backed
        return flow, backed, carried

    def carries(self, tmean_c: F64) -> npt.NDArray[np.bool_]:
        """`twin_ground.carries`, [strip, lane]."""
        frozen = tmean_c < self.given.bears_frozen_c
        return np.asarray((self.water[0] + self.soaked <= self.full[0] + self.given.bears_over_mm) | frozen)

    def rot(self, pace: F64) -> F64:
        """`twin_ground.rot`: nitrogen out of soil organic matter."""
        held = np.maximum(self.water[0] + self.water[1], 0.0) / self.top_full
        rate = pace * np.minimum(DRY_ROT + (1.0 - DRY_ROT) * held / MOIST_FROM, 1.0)
        out_of_soil = self.out_of_soil * rate
        out_of_fresh = self.fresh * np.minimum(self.given.fresh_rate_d * rate, 1.0)
        self.fresh = self.fresh - out_of_fresh
        self.mix_in(out_of_soil + out_of_fresh)
        return np.asarray(out_of_soil)

    def settle(self, day: int) -> None:
        """`twin_ground.settle` of the strips whose day it is."""
        rows = np.flatnonzero(self.given.settle_day == day)
        for layer in LAYERS:
            self.n[layer][rows] = self.start_n[layer][rows]
        self.fresh[rows] = 0.0

    @property
    def lean(self) -> F64:
        """Share of its pace at which a legume fixes with the nitrogen that lies in the top soil."""
        return np.asarray(np.maximum(1.0 - (self.n[0] + self.n[1]) / FIX_NO_MORE_KG_HA, 0.0))

    def mix_in(self, mineral: F64) -> None:
        """`twin_ground.mix_in`."""
        self.n[0] = self.n[0] + tr.TOP_SHARE[0] * mineral
        self.n[1] = self.n[1] + tr.TOP_SHARE[1] * mineral

    def look(self) -> None:
        """Where roots are, and what they reach, for the rest of the day."""
        self.rooted = [
            np.minimum(np.maximum((self.root - top) / thick, 0.0), 1.0)
            for top, thick in zip(self.upper, self.thick, strict=True)
        ]
        self.reach = [share * np.maximum(mm, 0.0) for share, mm in zip(self.rooted, self.water, strict=True)]

    @property
    def within(self) -> F64:
        """Water above the wilting point that the roots reach (after `look`)."""
        return np.asarray(self.reach[0] + self.reach[1] + self.reach[2] + self.reach[3])

    def stress(self, p: F64, etc: F64) -> F64:
        """Ks (FAO-56 equation 84), after `look`."""
        taw = self.awc * self.root
        raw = np.minimum(np.maximum(p + 0.04 * (5.0 - etc), 0.1), 0.8) * taw
        depletion = taw - self.within
        ks = np.minimum(np.maximum((taw - depletion) / (taw - raw), 0.0), 1.0)
        return np.where(depletion <= raw, 1.0, ks)

    def lose(self, kcb: F64, shade: F64, ks: F64, eto: F64) -> tuple[F64, F64]:
        """The dual coefficient's day (after `look`): evaporated, transpired."""
        kr = np.minimum(np.maximum((self.tew - self.evaporated) / (self.tew - self.rew), 0.0), 1.0)
        most = np.maximum(KC_MAX, kcb + 0.05)
        bare = np.maximum(1.0 - shade, LEAST_BARE)
        ke = np.maximum(np.minimum(kr * (most - kcb), bare * most), 0.0)
        total = self.within
        taken = np.minimum(ks * kcb * eto, total)
        share = taken / np.where(total > 0.0, total, 1.0)
        for layer in LAYERS:
            self.water[layer] = self.water[layer] - share * self.reach[layer]
        evaporated = np.minimum(ke * eto, np.maximum(self.water[0] + self.dry, 0.0))
        self.water[0] = self.water[0] - evaporated
        self.evaporated = np.minimum(self.evaporated + evaporated / bare, self.tew)
        return evaporated, taken

    def take_up(self, want: F64) -> F64:
        """Nitrogen out of the rooted layers, up to `want` (after `look`)."""
        reach = [UPTAKE_RATE * share * n for share, n in zip(self.rooted, self.n, strict=True)]
        total = reach[0] + reach[1] + reach[2] + reach[3]
        taken = np.minimum(want, total)
        share = taken / np.where(total > 0.0, total, 1.0)
        for layer in LAYERS:
            self.n[layer] = self.n[layer] - share * reach[layer]
        return np.asarray(taken)

    @property
    def held_mm(self) -> F64:
        """All water above the wilting point."""
        return np.asarray(self.water[0] + self.water[1] + self.water[2] + self.water[3])

    @property
    def held_n(self) -> F64:
        """Mineral nitrogen and what comes free of fresh matter."""
        return np.asarray(self.n[0] + self.n[1] + self.n[2] + self.n[3] + self.fresh)

    @property
    def logged(self) -> F64:
        """1 where the top soil is waterlogged."""
        return np.where(self.water[0] + self.water[1] > self.logged_from, 1.0, 0.0)
