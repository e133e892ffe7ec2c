"""Water sources day by day in every lane: people and stock first, then whoever is served; `twin` on arrays [source, lane]."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from yardland.growth import traits as tr
from yardland.growth.io import F64, KernelInput, KernelOutput


class Sources:
    """What is in store, what runs today, and what the licences leave."""

    def __init__(self, given: KernelInput, out: KernelOutput) -> None:
        self.given, self.out = given, out
        self.store = np.repeat(given.capacity_m3[:, None], given.lanes, axis=1)
        self.left = np.zeros_like(self.store)
        self.licence = np.repeat(given.licence_m3[:, None], given.lanes, axis=1)
        self.told_dry = np.zeros_like(self.store, dtype=bool)

    def serve_people(self, day: int) -> None:
        """Refill, then give people and stock their day's water."""
        given = self.given
        if day == tr.YEAR:
            self.licence[:] = given.licence_m3[:, None]
        self.store = np.minimum(np.maximum(self.store + given.inflow_m3[:, day], 0.0), given.capacity_m3[:, None])
        self.left = given.rate_m3[:, day].copy()
        self.told_dry[:] = False
        want = np.full(given.lanes, given.demand_m3[day])
        got = self.draw(range(given.sources), want, day)
        if given.month[day] >= 0:
            self.out.unmet_m3[given.month[day]] += want - got

    def draw(self, sources: Iterable[int], want: F64, day: int) -> F64:
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

    def tell_spare(self, day: int) -> None:
        """What of the day's rate nobody took."""
        self.out.spare_m3[:, day] = np.minimum(self.left, self.licence)
