"""Where herds graze, in every lane: `twin_rounds` on arrays; swards are the rows of the kernel's grass."""

from __future__ import annotations

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.io import F64, I64, KernelInput, KernelOutput
from yardland.growth.numpy_crop import Mask
from yardland.growth.twin_rounds import HALF_A_DAY

FAR = 1_000_000
"""A day that never comes."""


class Rounds:
    """The sward that each herd is on, [round, lane], -1 in the yard.

    open [sward, lane] : fit for stock today ; on, due, until, floor [sward, lane] : see `twin_rounds.Herds`
    """

    def __init__(self, given: KernelInput, out: KernelOutput, grass: I64, crop: F64) -> None:
        self.given, self.out, self.grass, self.crop = given, out, grass, crop
        self.where = np.full((given.rounds, given.lanes), -1, dtype=np.int64)
        self.days_in = np.zeros((given.rounds, given.lanes), dtype=np.int64)
        self.round = given.strip_round[grass] if len(grass) else np.zeros(0, dtype=np.int64)
        self.area = given.area_m2[grass][:, None] if len(grass) else np.zeros((0, 1))
        self.follower = given.follower
        shape = (len(grass), given.lanes)
        self.open: Mask = np.zeros(shape, dtype=bool)
        self.on, self.due = np.full(shape, -1, dtype=np.int64), np.full(shape, -1, dtype=np.int64)
        self.until, self.floor = np.zeros(shape, dtype=np.int64), np.zeros(shape)

    @property
    def here(self) -> Mask:
        """Swards on which animals are, [sward, lane]."""
        return np.asarray(self.on >= 0)

    def wanted_g_m2(self, day: int) -> F64:
        """What the animals on each sward would eat of it in a day, [sward, lane]."""
        if not self.given.rounds:
            return np.zeros_like(self.floor)
        return np.asarray(np.where(self.here, 1000.0 * self.given.round_kg_d[self.on, day] / self.area, 0.0))

    def walk(self, day: int, mass: F64) -> None:
        """The evening's moves, leaders before those who follow them."""
        strips = np.append(self.grass, -1)
        for number in range(self.given.rounds):
            if self.given.round_ahead[number] >= 0:
                self._leave(number, self._gone(number, day, mass), day)
                self._follow(number, day, mass)
            else:
                rows = np.flatnonzero(self.round == number)
                if len(rows):
                    self._lead(number, rows, day, mass)
            self.out.where[number, day] = strips[self.where[number]]

    def _gone(self, number: int, day: int, mass: F64) -> Mask:
        """Lanes in which a herd leaves: it has had its part, or its days, or the sward is closed; [lane]."""
        on, lanes = self.where[number], np.arange(self.given.lanes)
        there = on >= 0
        at = np.where(there, on, 0)
        rest = self.crop[tr.GRAZED_SHARE, at, lanes] * (mass[at, lanes] - self.floor[at, lanes])
        day_g_m2 = 1000.0 * self.given.round_kg_d[number, day] / self.area[at, 0]
        self.days_in[number] += there
        done = (rest < HALF_A_DAY * day_g_m2) | (self.days_in[number] >= self.given.round_days[number])
        return np.asarray(there & (done | ~self.open[at, lanes]))

    def _leave(self, number: int, who: Mask, day: int) -> None:
        """Off its sward in the lanes `who`; whoever follows may go there for some days."""
        lanes = np.flatnonzero(who)
        rows, follower = self.where[number, lanes], int(self.follower[number])
        self.where[number, lanes], self.on[rows, lanes] = -1, -1
        if follower >= 0:
            self.due[rows, lanes], self.until[rows, lanes] = follower, day + int(self.given.round_within[follower])

    def _enter(self, number: int, who: Mask, rows: I64, mass: F64) -> None:
        """To a sward of each of the lanes `who`."""
        lanes = np.flatnonzero(who)
        to = rows[lanes]
        self.where[number, lanes], self.days_in[number, lanes] = to, 0
        self.on[to, lanes], self.due[to, lanes] = number, -1
        self.floor[to, lanes] = self._floors(number, mass)[to, lanes]

    def _floors(self, number: int, mass: F64) -> F64:
        """What a herd leaves of what it finds, [sward, lane]."""
        residual = self.crop[tr.RESIDUAL_MASS]
        return np.asarray(residual + self.given.round_leaves[number] * (mass - residual))

    def _lead(self, number: int, rows: I64, day: int, mass: F64) -> None:
        left = self.where[number].copy()
        self._leave(number, self._gone(number, day, mass), day)
        crop = self.crop[:, rows]
        span = crop[tr.ENTRY_MASS] - crop[tr.RESIDUAL_MASS]
        grown = mass[rows] >= crop[tr.RESIDUAL_MASS] + self.given.round_grown[number] * span
        kept = (self.on[rows] >= 0) | ((self.due[rows] >= 0) & (day <= self.until[rows]))
        ready = self.open[rows] & grown & ~kept & (rows[:, None] != left)
        best = np.argmax(np.where(ready, mass[rows], -1.0), axis=0)
        self._enter(number, (self.where[number] < 0) & ready.any(axis=0), rows[best], mass)

    def _follow(self, number: int, day: int, mass: F64) -> None:
        """To the sward that was left first, when its own is done with, or the other can wait no longer."""
        there = self.crop[tr.GRAZED_SHARE] * (mass - self._floors(number, mass))
        enough = there >= HALF_A_DAY * 1000.0 * self.given.round_kg_d[number, day] / self.area
        waits = (self.due == number) & (day <= self.until) & self.open & enough
        until = np.where(waits, self.until, FAR)
        best = np.argmin(until, axis=0)
        first = until.min(axis=0)
        goes = (first < FAR) & ((self.where[number] < 0) | (first == day))
        self._leave(number, goes & (self.where[number] >= 0), day)
        self._enter(number, goes, best, mass)
