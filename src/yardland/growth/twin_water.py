"""Water sources of one lane in plain Python: they refill, people and stock drink, then whoever is served. Part of the twin."""

from __future__ import annotations

from yardland.growth import traits as tr
from yardland.growth.io import KernelInput, KernelOutput


class Sources:
    """What is in store, what runs today, and what the licences leave."""

    def __init__(self, given: KernelInput, out: KernelOutput, lane: int) -> None:
        self.given, self.out, self.lane = given, out, lane
        self.store = [float(volume) for volume in given.capacity_m3]
        self.left = [0.0] * given.sources
        self.licence = [float(volume) for volume in given.licence_m3]
        self.told_dry: set[int] = set()

    def serve_people(self, number: int) -> None:
        """Refill, then give people and stock their day's water."""
        given, lane = self.given, self.lane
        self.told_dry.clear()
        for source in range(given.sources):
            if number == tr.YEAR:
                self.licence[source] = float(given.licence_m3[source])
            level = self.store[source] + float(given.inflow_m3[source, number, lane])
            self.store[source] = min(max(level, 0.0), float(given.capacity_m3[source]))
            self.left[source] = float(given.rate_m3[source, number, lane])
        want = float(given.demand_m3[number])
        got = self.draw(range(given.sources), want, number)
        month = int(given.month[number])
        if month >= 0:
            self.out.unmet_m3[month, lane] += want - got

    def draw(self, sources: range | list[int], want: float, number: int) -> float:
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

    def tell_spare(self, number: int) -> None:
        """What of the day's rate nobody took."""
        for source in range(self.given.sources):
            self.out.spare_m3[source, number, self.lane] = min(self.left[source], self.licence[source])
