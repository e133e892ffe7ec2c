"""The weekly steps of one group in one chain, in plain Python: the judge of the compiled path, and the teller of events.

A week runs: strikes on the group, deaths, births and hatching, young that join, what is killed, sold or kept, lots that
arrive, losses made good, the yearly change of adults, services and settings, the bees' year; then needs and products of the
heads that stand. Rules look at what stands and at the tables, never at a later week. docs/stock-herds.md says why.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import MASK, binomial, event_key, mix, uniform
from yardland.stock.herds.layout import Outcome, PlanArrays
from yardland.stock.herds.opening import ROUND, sitters
from yardland.stock.herds.twin_state import Cohort, Happening
from yardland.stock.herds.twin_yields import HerdYields

EVEN = 1e-9


class Herd(HerdYields):
    """One group in one chain: the week's events."""

    def step(self, t: int, week_key: int) -> None:
        """One week."""
        plan = self.plan
        self.t, (self.year, self.week), self.key = t, divmod(t, at.WEEKS), week_key
        month = int(plan.month[self.week])
        if month != self.month or self.week == 0:
            self.month, self.sold_month = month, [0] * len(self.rows)
        if self.week == 0:
            self.open_year()
        todo = int(plan.calendar[self.week])
        self.strikes()
        self.deaths()
        self.births()
        self.grow_up()
        for bit, act in (
            (at.ARRIVE, self.arrivals),
            (at.LOOK, self.look),
            (at.TURN, self.turnover),
            (at.SERVE, self.services),
            (at.SIRE_COMING, self.sire_comes),
        ):
            if todo & bit:
                act()
        if todo & (at.WINTER | at.SPRING | at.HONEY):
            self.bees(todo)
        if self.heads_only:
            self.lay_by()
        else:
            self.needs()
        self.cohorts = [cohort for cohort in self.cohorts if cohort.heads]
        self.out.heads[0, self.year, self.week] = [self.standing(row) for row in self.rows]

    def open_year(self) -> None:
        """What stands when a year begins."""
        self.kept_year = [0] * len(self.rows)
        for row in self.rows:
            self.count(row, at.OPEN, self.standing(row))

    # losses

    def strikes(self) -> None:
        """Predators, disease and mishaps: one draw for the group, then one for each head."""
        for index in range(len(self.plan.strike)):
            chance, subject = float(self.plan.strike[index, self.week]), int(self.plan.strike_hash[index])
            if chance <= 0.0 or uniform(mix(self.key ^ subject)) >= chance:
                continue
            share = self.share_lost(index, mix(event_key(self.key, subject, at.DRAW_SHARE)))
            for cohort in self.cohorts:
                if self.plan.strike_on[index, cohort.row] and cohort.heads:
                    own = event_key(self.key, self.ident(cohort) ^ subject, at.DRAW_STRIKE)
                    self.leave(cohort, binomial(own, cohort.heads, share), at.STRUCK, "struck")

    def share_lost(self, index: int, key: int) -> float:
        """Low to middle with chance (high - middle) / (high - low), else middle to high, even within: mean the middle."""
        low, middle, high = (float(value) for value in self.plan.strike_loss[index])
        if high <= low:
            return middle
        within = uniform(mix(key ^ 1))
        if uniform(key) < (high - middle) / (high - low):
            return low + (middle - low) * within
        return middle + (high - middle) * within

    def deaths(self) -> None:
        """Each head's own chance of the week: of grown stock of a class one draw says how many, and lots say which."""
        for row in self.rows:
            if self.number(row, at.PART) in {at.DAM, at.SIRE}:
                key = event_key(self.key, self.hash(row), at.DRAW_DEATH)
                dead = binomial(key, self.standing(row), float(self.plan.dies[row, 0]))
                if dead:
                    self.fall(row, dead)
        oldest = self.plan.dies.shape[1] - 1
        for cohort in self.cohorts:
            if cohort.stage == at.ADULT or not cohort.heads:
                continue
            chance = float(self.plan.dies[cohort.row, min(max(self.t - cohort.birth - 1, 0), oldest)])
            dead = binomial(event_key(self.key, self.ident(cohort), at.DRAW_DEATH), cohort.heads, chance)
            self.leave(cohort, dead, at.DIED, "died")

    def fall(self, row: int, dead: int) -> None:
        """The heads of a row whose own numbers are the least."""
        lots = []
        for cohort in self.cohorts:
            if cohort.row == row:
                key = event_key(self.key, self.ident(cohort), at.DRAW_DEATH)
                lots += [(mix((key + head) & MASK), cohort) for head in range(cohort.heads)]
        for _, cohort in sorted(lots, key=lambda lot: lot[0])[:dead]:
            self.leave(cohort, 1, at.DIED, "died")

    # births

    def births(self) -> None:
        """Females that are due bear; those dry since today are no longer in milk; eggs hatch."""
        for cohort in list(self.cohorts):
            if self.number(cohort.row, at.PART) != at.DAM or not cohort.heads:
                continue
            if cohort.due == self.t:
                self.bear(cohort)
            elif cohort.since > at.NEVER and self.t - cohort.since >= self.number(cohort.row, at.LACT_W):
                self.note("dried off", cohort.row, cohort.heads)
                self.dry_off(cohort)
        for index, date in enumerate(self.plan.date):
            if self.nest[index] and date[at.DATE_BIRTH] == self.week:
                self.hatch(index, int(date[at.DATE_ROW]))

    def dry_off(self, cohort: Cohort) -> None:
        """Dry from now on; a milker that is not in young, or past her years, goes, and one in young is bought for her."""
        row, heads = cohort.row, cohort.heads
        spent = cohort.barren > 0 or self.t - cohort.birth >= self.number(row, at.CULL_W)
        if self.number(row, at.GOES_DRY) and cohort.due == at.NEVER and spent:
            self.cull(cohort, heads)
            self.buy_adults(row, self.number(row, at.TARGET) - self.standing(row))
            return
        cohort.heads = 0
        self.add(replace(cohort, heads=heads, since=at.NEVER))

    def bear(self, cohort: Cohort) -> None:
        """A litter drawn for each female."""
        key, ident = event_key(self.key, self.ident(cohort), at.DRAW_LITTER), self.ident(cohort)
        chances = self.plan.litter[cohort.row]
        young = 0
        for dam in range(cohort.heads):
            number, size = uniform(mix((key + dam) & MASK)), 0
            while size < len(chances) - 1 and number >= chances[size]:
                size += 1
            young += size
        self.count(cohort.row, at.BORE, cohort.heads)
        self.newborn(cohort.row, young, event_key(self.key, ident, at.DRAW_SEX), "born")
        heads, cohort.heads = cohort.heads, 0
        self.add(replace(cohort, heads=heads, due=at.NEVER, since=self.t, barren=0))

    def hatch(self, index: int, dam: int) -> None:
        """Each egg hatches or not."""
        subject, eggs = self.hash(dam), self.nest[index]
        chance = self.figure(dam, at.HATCH) * self.fertile[index]
        hatched = binomial(event_key(self.key, subject, at.DRAW_HATCH), eggs, chance)
        self.nest[index] = 0
        self.newborn(dam, hatched, event_key(self.key, subject, at.DRAW_SEX), "hatched")

    def newborn(self, dam: int, young: int, sex_key: int, kind: str) -> None:
        """Young of both sexes."""
        row = self.number(dam, at.YOUNG_ROW)
        females = binomial(sex_key, young, float(self.plan.odds[at.FEMALE_SHARE]))
        self.count(row, at.BORN, young)
        self.count(dam, at.BIRTHS, young)
        self.note(kind, row, young)
        self.add(Cohort(row, at.FEMALE, at.GROWING, self.t, females))
        self.add(Cohort(row, at.MALE, at.GROWING, self.t, young - females))

    # growing up

    def grow_up(self) -> None:
        """Kept females join; young females are chosen; the rest goes at its age."""
        for cohort in list(self.cohorts):
            part, age = self.number(cohort.row, at.PART), self.t - cohort.birth
            if part not in {at.YOUNG, at.LOT} or not cohort.heads:
                continue
            if cohort.stage == at.KEPT:
                by_age = self.number(self.number(cohort.row, at.DAM_ROW), at.SITS) != at.LITTER
                if by_age and age >= self.number(cohort.row, at.JOIN_W):
                    self.join(cohort)
                continue
            if part == at.YOUNG and cohort.sex == at.FEMALE and age == self.number(cohort.row, at.KEEP_W):
                self.choose(cohort)
            if age >= self.number(cohort.row, at.KILL_W):
                self.end(cohort)

    def join(self, cohort: Cohort) -> None:
        """Young females become adults."""
        dam, heads = self.number(cohort.row, at.DAM_ROW), cohort.heads
        self.count(cohort.row, at.LEFT, heads)
        self.count(dam, at.JOINED, heads)
        self.note("joined", dam, heads)
        cohort.heads = 0
        self.add(replace(cohort, heads=heads, row=dam, stage=at.ADULT))

    def choose(self, cohort: Cohort) -> None:
        """As many females are kept as hold the target."""
        dam = self.number(cohort.row, at.DAM_ROW)
        born = self.number(dam, at.KEEP_BORN_W)
        if not self.number(dam, at.KEEPS) or (born >= 0 and cohort.birth % at.WEEKS != born):
            return
        fixed = self.number(dam, at.KEEP_YOUNG)
        wanted = self.wanted(dam) if fixed < 0 else fixed - self.kept_year[dam]
        kept = min(max(wanted, 0), cohort.heads)
        self.kept_year[dam] += kept
        cohort.heads -= kept
        self.add(replace(cohort, heads=kept, stage=at.KEPT))

    def wanted(self, dam: int) -> int:
        """Females lacking at the change of adults at which today's young would join (birds: the one nearest to that day)."""
        lead = self.number(dam, at.JOIN_W) - self.number(self.number(dam, at.YOUNG_ROW), at.KEEP_W)
        mammal = self.number(dam, at.SITS) == at.LITTER
        early = self.t + lead - (at.SERVE_AFTER_TURN_W if mammal else at.WEEKS // 2)
        turn = early + (self.number(dam, at.TURN_W) - early) % at.WEEKS
        staying = sum(
            c.heads for c in self.cohorts if c.row == dam and turn - c.birth < self.number(dam, at.CULL_W)
        ) + self.standing(self.number(dam, at.YOUNG_ROW), at.KEPT)
        live = max(0.0, 1.0 - self.figure(dam, at.ADULT_DIES) * lead)
        return max(0, int(self.number(dam, at.TARGET) - staying * live + ROUND))

    def end(self, cohort: Cohort) -> None:
        """Sold alive as far as somebody takes them, else killed."""
        row, weight = cohort.row, self.live_kg(cohort)
        room = int(self.plan.sale_limit[row, self.month]) - self.sold_month[row]
        sold = min(cohort.heads, max(room, 0))
        if sold:
            self.sold_month[row] += sold
            self.out.money[0, self.year, row, at.EARNED] += sold * float(self.plan.sale_price[row, self.month])
            self.give(row, at.LIVE_SOLD, sold * weight)
            self.leave(cohort, sold, at.SOLD, "sold")
        if cohort.heads:
            self.give(row, at.LIVE_KILLED, cohort.heads * weight)
            self.leave(cohort, cohort.heads, at.KILLED, "killed")

    # what is bought, and the change of adults

    def arrivals(self) -> None:
        """Lots of young stock to fatten."""
        for week, row, heads, age in self.plan.lot:
            if week == self.week:
                self.buy(int(row), int(heads), int(age), Cohort(int(row), at.FEMALE, at.GROWING, 0, 0, own=0))

    def buy_adults(self, row: int, heads: int) -> None:
        """Females or males come in: young ones that are under the age of joining wait among the young."""
        age, young = self.number(row, at.BUY_W), self.number(row, at.YOUNG_ROW)
        if self.number(row, at.PART) == at.SIRE:
            self.buy(row, heads, age, Cohort(row, at.MALE, at.ADULT, 0, 0, since=self.t, own=0))
        elif age < self.number(row, at.JOIN_W) - at.SERVE_AFTER_TURN_W:
            self.buy(row, heads, age, Cohort(young, at.FEMALE, at.KEPT, 0, 0, own=0))
        else:
            due, since = self.as_the_herd(row)
            age = age if since == at.NEVER else max(age, self.number(row, at.JOIN_W) + self.number(row, at.TERM_W))
            self.buy(row, heads, age, Cohort(row, at.FEMALE, at.ADULT, 0, 0, due=due, since=since, own=0))

    def as_the_herd(self, row: int) -> tuple[int, int]:
        """When a bought milker bears and has borne: as those do that bear on the herd's next date."""
        ahead = [
            (int(date[at.DATE_BIRTH]) - self.week - 1) % at.WEEKS + 1
            for date in self.plan.date
            if date[at.DATE_ROW] == row
        ]
        if not self.number(row, at.GOES_DRY) or not ahead:
            return at.NEVER, at.NEVER
        due, since = self.t + min(ahead), self.t + min(ahead) - at.WEEKS
        in_young, in_milk = min(ahead) < self.number(row, at.TERM_W), self.t - since < self.number(row, at.LACT_W)
        return due if in_young else at.NEVER, since if in_milk else at.NEVER

    def look(self) -> None:
        """Lost males are replaced; females are bought if under half of the target are there or coming."""
        for row in self.rows:
            part, target = self.number(row, at.PART), self.number(row, at.TARGET)
            if part not in {at.DAM, at.SIRE} or not self.number(row, at.BUYS):
                continue
            there = self.standing(row)
            if part == at.DAM:
                there += self.standing(self.number(row, at.YOUNG_ROW), at.KEPT)
                if there >= float(self.plan.odds[at.EMERGENCY]) * target:
                    continue
            self.buy_adults(row, target - there)

    def turnover(self) -> None:
        """The adults of a row change."""
        for row in self.rows:
            part = self.number(row, at.PART)
            if part not in {at.DAM, at.SIRE} or self.number(row, at.TURN_W) != self.week:
                continue
            self.come_of_age(row)
            soon = self.soon(row) if part == at.DAM else 0
            self.cull_spent(row, soon)
            parting = sum(c.heads for c in self.cohorts if c.row == row and self.parting(c))
            surplus = self.standing(row) + soon - self.number(row, at.TARGET) - parting
            while surplus > 0 and (oldest := self.oldest(row)) is not None:
                gone = min(surplus, oldest.heads)
                surplus -= gone
                self.let_go(oldest, gone)
            if self.number(row, at.BUYS):
                self.buy_adults(row, self.number(row, at.TARGET) - self.standing(row) - soon)

    def come_of_age(self, row: int) -> None:
        """Young mammals that are old enough for the service that follows join at the change of adults."""
        if self.number(row, at.PART) != at.DAM or self.number(row, at.SITS) != at.LITTER:
            return
        least = self.number(row, at.JOIN_W) - at.SERVE_AFTER_TURN_W
        for cohort in list(self.cohorts):
            kept = cohort.row == self.number(row, at.YOUNG_ROW) and cohort.stage == at.KEPT
            if kept and cohort.heads and self.t - cohort.birth >= least:
                self.join(cohort)

    def cull_spent(self, row: int, soon: int) -> None:
        """Who was barren too often, and who is past her years; without purchases only as far as others follow."""
        most = self.number(row, at.BARREN_MOST)
        spare = at.UNLIMITED
        if not self.number(row, at.BUYS):
            spare = max(0, self.standing(row) + soon - self.number(row, at.TARGET))
        for cohort in self.cohorts:
            if cohort.row != row or cohort.due != at.NEVER or not cohort.heads or self.parting(cohort):
                continue
            if 0 < most <= cohort.barren or self.t - cohort.birth >= self.number(row, at.CULL_W):
                gone = min(cohort.heads, spare)
                spare -= gone
                self.cull(cohort, gone)

    def oldest(self, row: int) -> Cohort | None:
        """The oldest cohort of a row that is not in young."""
        found = None
        for cohort in self.cohorts:
            if cohort.row == row and cohort.heads and cohort.due == at.NEVER and not self.parting(cohort):
                found = cohort if found is None or cohort.birth < found.birth else found
        return found

    def parting(self, cohort: Cohort) -> bool:
        """A milker past her years or over the number: not served again, milked until she dries off, and gone then."""
        last = cohort.barren == at.PARTING or self.t - cohort.birth >= self.number(cohort.row, at.CULL_W)
        milker = self.number(cohort.row, at.GOES_DRY) == 1 and cohort.since > at.NEVER
        return milker and last and cohort.due == at.NEVER

    def let_go(self, cohort: Cohort, heads: int) -> None:
        """Heads over the number go now; a milker goes when she dries off."""
        if self.number(cohort.row, at.GOES_DRY) and cohort.since > at.NEVER:
            cohort.heads -= heads
            self.add(replace(cohort, heads=heads, barren=at.PARTING))
        else:
            self.cull(cohort, heads)

    def cull(self, cohort: Cohort, heads: int) -> None:
        """Adults leave for the pot."""
        if heads:
            self.give(cohort.row, at.LIVE_KILLED, heads * self.live_kg(cohort))
            self.leave(cohort, heads, at.CULLED, "culled")

    # services and settings

    def services(self) -> None:
        """Every date whose service or setting falls in this week."""
        for index, date in enumerate(self.plan.date):
            row = int(date[at.DATE_ROW])
            if date[at.DATE_SERVICE] != self.week or self.number(row, at.SIRE_ROW) == at.NO_SIRE:
                continue
            self.meet_daughters(row)
            if self.number(row, at.SITS) == at.LITTER:
                self.serve(row, int(date[at.DATE_QUOTA]))
            else:
                self.set_eggs(index, row, int(date[at.DATE_QUOTA]))

    def served_by_males(self, row: int) -> int:
        """Females that the males can serve."""
        sire = self.number(row, at.SIRE_ROW)
        return at.UNLIMITED if sire < 0 else int(self.standing(sire) * self.figure(row, at.PER_MALE) + EVEN)

    def meet_daughters(self, row: int) -> None:
        """Females that a male of the group can have sired."""
        sires = [c.since for c in self.cohorts if c.row == self.number(row, at.SIRE_ROW) and c.heads]
        if sires:
            first = min(sires) + self.number(row, at.TERM_W)
            kin = sum(c.heads for c in self.cohorts if c.row == row and c.own and c.birth >= first)
            self.count(row, at.KIN, kin)

    def serve(self, row: int, quota: int) -> None:
        """Females that are not in young are served, those longest since a birth first; each holds or not."""
        free = [c for c in self.cohorts if c.row == row and c.heads and c.due == at.NEVER and not self.parting(c)]
        many, adults, target = sum(c.heads for c in free), self.standing(row), self.number(row, at.TARGET)
        wanted = many if quota == 0 else min(many, max(1, (quota * adults + target // 2) // target))
        left = min(wanted, self.served_by_males(row))
        self.count(row, at.UNSERVED, wanted - left)
        self.count(row, at.SERVED, left)
        self.note("served", row, left)
        taken: list[tuple[Cohort, int]] = []
        for cohort in sorted(free, key=lambda c: (c.since, c.birth)):
            taken.append((cohort, min(cohort.heads, left)))
            left -= taken[-1][1]
        new: list[Cohort] = []
        for cohort, heads in taken:
            key = event_key(self.key, self.ident(cohort), at.DRAW_BEARS)
            holds = binomial(key, heads, self.figure(row, at.BEARS))
            cohort.heads -= heads
            new.append(replace(cohort, heads=holds, due=self.t + self.number(row, at.TERM_W)))
            new.append(replace(cohort, heads=heads - holds, barren=min(cohort.barren + 1, at.MOST_BARREN)))
        for cohort in new:
            self.add(cohort)

    def set_eggs(self, index: int, row: int, quota: int) -> None:
        """Eggs kept from the weeks before are set; what is over goes to the kitchen."""
        adults = self.standing(row)
        each = self.figure(row, at.SET_EACH)
        if self.number(row, at.SITS) == at.ALL_SIT:
            wanted = int(adults * each)
        else:
            if self.number(row, at.KEEPS) and self.number(row, at.KEEP_YOUNG) < 0:
                lacking = self.number(row, at.TARGET) - adults
                quota = max(quota, lacking - self.standing(self.number(row, at.YOUNG_ROW), at.KEPT))
            wanted = int(sitters(quota, adults, self.plan.row[row], self.plan.figure[row]) * each)
        able = self.served_by_males(row)
        eggs = min(wanted, int(self.eggs_kept[row] + EVEN)) if adults and able else 0
        self.fertile[index] = 1.0 if able >= adults else able / adults
        self.nest[index] = eggs
        self.give(row, at.EGGS, (self.eggs_kept[row] - eggs) * self.figure(row, at.EGG_KG))
        self.eggs_kept[row] = 0.0
        self.count(row, at.EGGS_SET, eggs)
        self.count(row, at.UNSERVED, wanted if not able else 0)
        self.note("eggs set", row, eggs)

    def sire_comes(self) -> None:
        """A sire that is hired or a service that is bought costs money once a year, if there is a female."""
        dams = [row for row in self.rows if self.number(row, at.PART) == at.DAM and self.standing(row)]
        if dams:
            self.out.money[0, self.year, dams[0], at.SPENT] += float(self.plan.odds[at.SIRE_COST])
            self.note("sire comes", dams[0], 1)


def run_twin(
    plan: PlanArrays, lane_keys: list[int], week_keys: at.U64, years: int, *, heads_only: bool = False
) -> tuple[Outcome, list[Happening]]:
    """Every chain one after the other; the events are those of the first.

    Args:
        plan: of the group.
        lane_keys: one for each chain.
        week_keys: uint64 [52 years].
        years: how many.
        heads_only: leave out needs and products, which no head hangs on: a third of the time, sums of no worth.
    """
    runs = [run_lane(plan, key, week_keys, years, heads_only=heads_only) for key in lane_keys]
    parts = [np.concatenate(part, axis=0) for part in zip(*(run.out for run in runs), strict=True)]
    return Outcome(*parts), runs[0].events


def run_lane(plan: PlanArrays, lane_key: int, week_keys: at.U64, years: int, *, heads_only: bool = False) -> Herd:
    """One chain."""
    herd = Herd(plan, years, heads_only=heads_only)
    for t in range(years * at.WEEKS):
        herd.step(t, mix(lane_key ^ int(week_keys[t])))
    for row in herd.rows:
        herd.out.close[0, row] = herd.standing(row)
    return herd
