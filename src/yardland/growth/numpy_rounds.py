"""Where the animals of each round graze, in every lane: `twin` on arrays; swards are the rows of the kernel's grass."""

from __future__ import annotations

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.io import F64, I64, KernelInput, KernelOutput
from yardland.growth.numpy_crop import Mask


class Rounds:
    """The sward that each round's animals are on, [round, lane], -1 in the yard; `open` [sward, lane] : fit for stock today."""

    def __init__(self, given: KernelInput, out: KernelOutput, grass: I64, crop: F64) -> None:
        self.given, self.out, self.grass, self.crop = given, out, grass, crop
        self.where = np.full((given.rounds, given.lanes), -1, dtype=np.int64)
        self.days_in = np.zeros((given.rounds, given.lanes), dtype=np.int64)
        self.round = given.strip_round[grass] if len(grass) else np.zeros(0, dtype=np.int64)
        self.area = given.area_m2[grass][:, None] if len(grass) else np.zeros((0, 1))
        self.open: Mask = np.zeros((len(grass), given.lanes), dtype=bool)

    @property
    def here(self) -> Mask:
        """Swards on which animals are, [sward, lane]."""
        if not self.given.rounds:
            return np.zeros_like(self.open)
        return np.asarray((self.round[:, None] >= 0) & (self.where[self.round] == np.arange(len(self.grass))[:, None]))

    def wanted_g_m2(self, day: int) -> F64:
        """What the animals of its round would eat of each sward in a day, [sward, 1]."""
        return np.asarray(1000.0 * self.given.round_kg_d[self.round, day][:, None] / self.area)

    def walk(self, day: int, mass: F64) -> None:
        """Move on where a sward is eaten down, closed or has had its days, to the one with most on it."""
        for number in range(self.given.rounds):
            rows = np.flatnonzero(self.round == number)
            if len(rows):
                self._walk(number, rows, day, mass)
            strips = np.append(self.grass, -1)
            self.out.where[number, day] = strips[self.where[number]]

    def _walk(self, number: int, rows: I64, day: int, mass: F64) -> None:
        on, lanes = self.where[number], np.arange(self.given.lanes)
        there = on >= 0
        at = np.where(there, on, rows[0])
        crop = self.crop[:, at, lanes]
        rest = crop[tr.GRAZED_SHARE] * (mass[at, lanes] - crop[tr.RESIDUAL_MASS])
        day_g_m2 = 1000.0 * self.given.round_kg_d[number, day] / self.area[at, 0]
        self.days_in[number] += there
        done = (rest < 0.5 * day_g_m2) | (self.days_in[number] >= self.given.round_days[number])
        left = np.where(there, on, -1)
        on = np.where(there & (done | ~self.open[at, lanes]), -1, on)
        crop = self.crop[:, rows]
        span = crop[tr.ENTRY_MASS] - crop[tr.RESIDUAL_MASS]
        grown = mass[rows] >= crop[tr.RESIDUAL_MASS] + self.given.round_grown[number] * span
        ready = self.open[rows] & grown & (rows[:, None] != left)
        best = np.argmax(np.where(ready, mass[rows], -1.0), axis=0)
        goes = (on < 0) & ready.any(axis=0)
        self.where[number] = np.where(goes, rows[best], on)
        self.days_in[number] = np.where(goes, 0, self.days_in[number])
