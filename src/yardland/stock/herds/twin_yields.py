"""What a group needs and gives in a week, and the bees' year, in plain Python."""

from __future__ import annotations

import numpy as np

from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import binomial, event_key, uniform
from yardland.stock.herds.twin_state import Cohort, HerdState


class HerdYields(HerdState):
    """Bees, needs and products."""

    def bees(self, todo: int) -> None:
        """Winter losses, splits and swarms, honey."""
        for cohort in list(self.cohorts):
            if self.number(cohort.row, at.PART) != at.COLONY:
                continue
            if todo & at.WINTER:
                key = event_key(self.key, self.hash(cohort.row), at.DRAW_DEATH)
                dead = binomial(key, cohort.heads, float(self.plan.odds[at.WINTER_LOSS]))
                self.leave(cohort, dead, at.DIED, "died")
            if todo & at.HONEY:
                self.honey(cohort)
        for row in self.rows:
            if todo & at.SPRING and self.number(row, at.PART) == at.COLONY:
                self.split(row)

    def split(self, row: int) -> None:
        """Lacking colonies are made from others, one of each; others may swarm; under half the target some are bought."""
        subject, odds, there = self.hash(row), self.plan.odds, self.standing(row)
        target = self.number(row, at.TARGET)
        tried = min(there, max(0, target - there))
        made = binomial(event_key(self.key, subject, at.DRAW_SPLIT), tried, float(odds[at.SPLITS]))
        swarmed = binomial(event_key(self.key, subject, at.DRAW_SWARM), there - tried, float(odds[at.SWARMS]))
        self.weak[row] = tried + swarmed
        self.count(row, at.BORN, made)
        self.count(row, at.SWARMED, swarmed)
        self.note("split", row, made)
        self.note("swarmed", row, swarmed)
        self.add(Cohort(row, at.FEMALE, at.ADULT, 0, made))
        if there + made < float(odds[at.EMERGENCY]) * target:
            self.buy(row, target - there - made, self.t, Cohort(row, at.FEMALE, at.ADULT, 0, 0))

    def honey(self, cohort: Cohort) -> None:
        """What the year leaves to take: none in some years, else even about a mean."""
        row, odds = cohort.row, self.plan.odds
        none = float(odds[at.NO_HONEY])
        number = uniform(event_key(self.key, self.hash(row), at.DRAW_HONEY))
        share = 0.0
        if number >= none:
            within = (number - none) / (1.0 - none)
            share = (1.0 + float(odds[at.HONEY_HALF_WIDTH]) * (2.0 * within - 1.0)) / (1.0 - none)
        weak = min(self.weak[row], cohort.heads)
        giving = (cohort.heads - weak) + weak * float(odds[at.SWARM_HONEY])
        self.give(row, at.HONEY_KG_TAKEN, self.figure(row, at.HONEY_KG) * share * giving)
        self.give(row, at.WAX_KG_TAKEN, self.figure(row, at.WAX_KG) * cohort.heads)
        if share < float(odds[at.POOR]):
            self.give(row, at.SUGAR_FED, float(odds[at.SUGAR_KG]) * cohort.heads)
        self.weak[row] = 0
        self.note("honey", row, cohort.heads)

    def needs(self) -> None:
        """What the heads that stand need and give this week: sums of a day over the heads, then times the days."""
        plan, week, rows = self.plan, self.week, len(self.rows)
        sums = np.zeros((rows, at.NEEDS))
        adults, layers, beside, alone, to_young, sucking = np.zeros((6, rows))
        for cohort in self.cohorts:
            row, age = cohort.row, self.t - cohort.birth
            if cohort.stage != at.ADULT:
                oldest = plan.growing.shape[1] - 1
                sums[row] += cohort.heads * plan.growing[2 * row + cohort.stage, min(age, oldest)]
                sucking[row] += cohort.heads if age < self.number(row, at.WEAN_W) else 0
                continue
            adults[row] += cohort.heads
            layers[row] += cohort.heads * plan.lay_age[row, min(age, plan.lay_age.shape[1] - 1)]
            if cohort.due > self.t:
                left = min(cohort.due - self.t, plan.pregnant.shape[1] - 1)
                sums[row, : at.PROTEIN + 1] += cohort.heads * plan.pregnant[row, left]
            if cohort.since > at.NEVER and self.number(row, at.PART) == at.DAM:
                milk = plan.lactation[row, min(self.t - cohort.since, plan.lactation.shape[1] - 1)]
                sums[row, : at.PROTEIN + 1] += cohort.heads * milk[: at.LACT_G + 1]
                beside[row] += cohort.heads * milk[at.MILK_BESIDE_YOUNG]
                alone[row] += cohort.heads * milk[at.MILK_ALONE]
                to_young[row] += cohort.heads * milk[at.MILK_TO_YOUNG_MJ]
        for row in self.rows:
            sums[row] += adults[row] * plan.adult[row, week]
            eggs = float(layers[row]) * float(plan.lays_kg[row, week])
            for_eggs = eggs * self.figure(row, at.EGG_MJ_KG)
            sums[row, at.ENERGY] += for_eggs
            sums[row, at.PROTEIN] += for_eggs * self.figure(row, at.EGG_G_MJ)
            self.settle(row, sums[row], eggs)
            if self.number(row, at.PART) == at.DAM and self.number(row, at.MILKED):
                young = self.number(row, at.YOUNG_ROW)
                self.give_daily(row, at.MILK, float(beside[row] if sucking[young] else alone[row]))
        for row in self.rows:
            if self.number(row, at.PART) == at.YOUNG:
                self.suckle(row, sums, float(to_young[self.number(row, at.DAM_ROW)]))
            self.give_daily(row, at.ENERGY, float(sums[row, at.ENERGY]))
            self.give_daily(row, at.PROTEIN, float(sums[row, at.PROTEIN]))

    def lay_by(self) -> None:
        """Of needs and products only the eggs that are kept to be set, the same to the bit: young hang on them."""
        plan, oldest = self.plan, self.plan.lay_age.shape[1] - 1
        for row in self.rows:
            if not plan.gather[row, self.week]:
                continue
            layers = 0.0
            for cohort in self.cohorts:
                if cohort.row == row and cohort.stage == at.ADULT:
                    layers += cohort.heads * float(plan.lay_age[row, min(self.t - cohort.birth, oldest)])
            self.keep_eggs(row, layers * float(plan.lays_kg[row, self.week]))

    def keep_eggs(self, row: int, eggs: float) -> None:
        """Eggs of the week, kg a day, are put by to be set."""
        self.eggs_kept[row] += eggs * float(self.plan.days[self.week]) / (self.figure(row, at.EGG_KG) or 1.0)

    def give_daily(self, row: int, what: int, amount: float) -> None:
        """Add a day's sum, times the days of the week."""
        self.give(row, what, amount * float(self.plan.days[self.week]))

    def settle(self, row: int, sums: at.F64, eggs: float) -> None:
        """A row's dry matter, water and droppings, and its eggs."""
        # An animal can eat what its growth and milk ask for on the leanest ration that its class thrives on.
        asked = float(sums[at.ENERGY]) * self.figure(row, at.RATION_KG_MJ)
        self.give_daily(row, at.DRY_MATTER, max(float(sums[at.DRY_MATTER]), asked))
        self.give_daily(row, at.WATER, float(sums[at.WATER]) * float(self.plan.heat[self.week]))
        self.give_daily(row, at.MANURE, float(sums[at.MANURE]))
        self.give_daily(row, at.MANURE_N, float(sums[at.MANURE_N]))
        if eggs and self.plan.gather[row, self.week]:
            self.keep_eggs(row, eggs)
        elif eggs:
            self.give_daily(row, at.EGGS, eggs)

    def suckle(self, row: int, sums: at.F64, milk_mj: float) -> None:
        """Milk takes the place of feed, up to what those need that suck; its protein goes with its energy."""
        drunk, energy = min(milk_mj, float(sums[row, at.SUCKS])), float(sums[row, at.ENERGY])
        if drunk > 0.0:
            left = 1.0 - drunk / energy
            sums[row, at.ENERGY] *= left
            sums[row, at.PROTEIN] *= left
