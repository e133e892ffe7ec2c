"""Where herds are in one lane, evening by evening, in plain Python: part of the twin (`growth.twin`).

A walker is a herd that goes through swards by itself: all groups of a round together, or one of its groups that leads or
follows. Whoever leads goes to the sward with most on it and takes its top; whoever follows goes to what the one before it
has left, within the round's days. docs/growth-swards.md prints the rules.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from yardland.growth import traits as tr
from yardland.growth.io import KernelInput, KernelOutput
from yardland.growth.twin_ground import Ground

HALF_A_DAY = 0.5
"""Share of a day's grass that must lie on a sward for a herd to stay or to follow (own choice)."""


class Herds:
    """The walkers of a lane.

    where[walker] : strip, -1 the yard ; days_in[walker] : evenings there ; on[strip] : who is there, -1 nobody
    floor_g_m2[strip] : mass at which whoever is there has had its part ; due[strip] : who may follow there, -1 nobody, until
    the day until[strip]
    """

    def __init__(self, given: KernelInput, out: KernelOutput, lane: int) -> None:
        self.given, self.out, self.lane = given, out, lane
        self.follower = [int(herd) for herd in given.follower]
        self.where, self.days_in = [-1] * given.rounds, [0] * given.rounds
        self.on, self.due, self.until = [-1] * given.strips, [-1] * given.strips, [0] * given.strips
        self.floor_g_m2 = [0.0] * given.strips

    def day_g_m2(self, walker: int, strip: int, number: int) -> float:
        """What a walker would eat of a strip in a day."""
        return 1000.0 * float(self.given.round_kg_d[walker, number]) / float(self.given.area_m2[strip])

    def walk(self, number: int, ground: Sequence[Ground], open_to: Callable[[int, int], bool]) -> None:
        """The evening's moves, leaders before those who follow them.

        Args:
            number: day of the axis.
            ground: of every strip, after the day's growth and grazing.
            open_to: whether a strip is fit for stock on a day.
        """
        for walker in range(self.given.rounds):
            was = self.where[walker]
            if was >= 0:
                self.days_in[walker] += 1
                if self._has_done(walker, number, ground[was]) or not open_to(was, number):
                    self._leave(walker, number)
            if int(self.given.round_ahead[walker]) >= 0:
                self._follow(walker, number, ground, open_to)
            elif self.where[walker] < 0:
                self._choose(walker, number, ground, open_to, was)
            self.out.where[walker, number, self.lane] = self.where[walker]

    def _trait(self, ground: Ground, trait: int) -> float:
        return float(self.given.traits[trait, ground.sowing])

    def _has_done(self, walker: int, number: int, ground: Ground) -> bool:
        """Whether a walker has had its part of its sward, or its days."""
        strip = self.where[walker]
        left = self._trait(ground, tr.GRAZED_SHARE) * (ground.mass_g_m2 - self.floor_g_m2[strip])
        stayed = bool(self.days_in[walker] >= self.given.round_days[walker])
        return stayed or left < HALF_A_DAY * self.day_g_m2(walker, strip, number)

    def _leave(self, walker: int, number: int) -> None:
        """Off its sward; whoever follows may go there for some days."""
        strip, follower = self.where[walker], self.follower[walker]
        self.where[walker], self.on[strip] = -1, -1
        if follower >= 0:
            self.due[strip], self.until[strip] = follower, number + int(self.given.round_within[follower])

    def _enter(self, walker: int, strip: int, floor_g_m2: float) -> None:
        self.where[walker], self.days_in[walker] = strip, 0
        self.on[strip], self.due[strip], self.floor_g_m2[strip] = walker, -1, floor_g_m2

    def _floor(self, walker: int, ground: Ground) -> float:
        """What a walker leaves of what it finds, g/m2."""
        residual = self._trait(ground, tr.RESIDUAL_MASS)
        return residual + float(self.given.round_leaves[walker]) * (ground.mass_g_m2 - residual)

    def _choose(
        self, walker: int, number: int, ground: Sequence[Ground], open_to: Callable[[int, int], bool], left: int
    ) -> None:
        """The sward with most on it, of those grown enough, not just left and kept for nobody; the yard if there is none."""
        most, best = 0.0, -1
        for strip, here in enumerate(ground):
            kept = self.on[strip] >= 0 or (self.due[strip] >= 0 and number <= self.until[strip])
            if strip == left or kept or int(self.given.strip_round[strip]) != walker or not open_to(strip, number):
                continue
            residual = self._trait(here, tr.RESIDUAL_MASS)
            span = self._trait(here, tr.ENTRY_MASS) - residual
            if here.mass_g_m2 >= residual + self.given.round_grown[walker] * span and here.mass_g_m2 > most:
                most, best = here.mass_g_m2, strip
        if best >= 0:
            self._enter(walker, best, self._floor(walker, ground[best]))

    def _follow(self, walker: int, number: int, ground: Sequence[Ground], open_to: Callable[[int, int], bool]) -> None:
        """To the sward that was left first, when its own is done with, or the other can wait no longer."""
        best = -1
        for strip, here in enumerate(ground):
            if self.due[strip] != walker or number > self.until[strip] or not open_to(strip, number):
                continue
            there = self._trait(here, tr.GRAZED_SHARE) * (here.mass_g_m2 - self._floor(walker, here))
            enough = there >= HALF_A_DAY * self.day_g_m2(walker, strip, number)
            if enough and (best < 0 or self.until[strip] < self.until[best]):
                best = strip
        if best < 0:
            return
        if self.where[walker] >= 0:
            if self.until[best] > number:
                return
            self._leave(walker, number)
        self._enter(walker, best, self._floor(walker, ground[best]))
