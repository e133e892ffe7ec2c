"""The compiled path of the herds: bees, needs and products of a week, the step that calls everything, and the lanes.

The argument names are those of `kernel`. A chain's state is made anew for each chain, so that it does not matter which
chains run beside it.
"""

# The compiler infers the types; the names of the arguments are said in `kernel`.
# ruff: noqa: ANN001, ANN201, C901, D103
# mypy: disable-error-code="no-untyped-def, no-untyped-call, misc, call-overload, attr-defined"

from __future__ import annotations

import zlib
from pathlib import Path

import numpy as np

from yardland.stock.herds import draws, kernel_draws, opening, twin
from yardland.stock.herds import kernel as k
from yardland.stock.herds import layout as at
from yardland.stock.herds.kernel import (
    ADULTS,
    ALONE,
    BESIDE,
    CLOCKS,
    COUNT,
    FULL,
    GIVEN,
    LAYERS,
    LOST,
    MONTH,
    NEXT,
    SUCKING,
    TO_YOUNG,
    WEEK,
    YEAR,
    State,
)
from yardland.stock.herds.kernel import T as NOW
from yardland.stock.herds.kernel_draws import entry, jit, woven
from yardland.stock.herds.layout import Outcome, PlanArrays, empty_outcome
from yardland.stock.herds.twin import EVEN

SPARE_SLOTS = 24
"""Cohorts beyond those of the first day for which there is room at first; if they do not do, the run is made anew with more."""


@woven
def served_by_males(p, z, row):
    sire = p.row[row, at.SIRE_ROW]
    return at.UNLIMITED if sire < 0 else int(k.standing(z, sire, -1) * p.figure[row, at.PER_MALE] + EVEN)


@jit
def services(p, z, o):
    for d in range(len(p.date)):
        row = p.date[d, at.DATE_ROW]
        sire = p.row[row, at.SIRE_ROW]
        if p.date[d, at.DATE_SERVICE] != z.now[WEEK] or sire == at.NO_SIRE:
            continue
        first, any_sire = at.UNLIMITED, False
        for i in range(z.now[COUNT]):
            if z.c[i, at.ROW] == sire and z.c[i, at.HEADS]:
                first, any_sire = min(first, z.c[i, at.SINCE]), True
        if any_sire:
            first += p.row[row, at.TERM_W]
            for i in range(z.now[COUNT]):
                c = z.c[i]
                if c[at.ROW] == row and c[at.OWN] and c[at.BIRTH] >= first:
                    o.counts[z.now[YEAR], row, at.KIN] += c[at.HEADS]
        if p.row[row, at.SITS] == at.LITTER:
            serve(p, z, o, row, p.date[d, at.DATE_QUOTA])
        else:
            set_eggs(p, z, o, d, row, p.date[d, at.DATE_QUOTA])


@woven
def before(one, other):
    return one[at.SINCE] < other[at.SINCE] or (one[at.SINCE] == other[at.SINCE] and one[at.BIRTH] < other[at.BIRTH])


@woven
def serve(p, z, o, row, quota):
    count, many, year = z.now[COUNT], 0, z.now[YEAR]
    for i in range(count):
        c = z.c[i]
        z.take[i] = -1
        if c[at.ROW] == row and c[at.HEADS] and c[at.DUE] == at.NEVER and not k.parting(p, z, c):
            z.take[i] = 0
            many += c[at.HEADS]
    target = p.row[row, at.TARGET]
    wanted = many
    if quota:
        wanted = min(many, max(1, (quota * k.standing(z, row, -1) + target // 2) // target))
    left = min(wanted, served_by_males(p, z, row))
    o.counts[year, row, at.UNSERVED] += wanted - left
    o.counts[year, row, at.SERVED] += left
    order = z.take[len(z.c) :]
    served = 0
    while left > 0:
        best = -1
        for i in range(count):
            if z.take[i] == 0:
                c = z.c[i]
                if best < 0 or before(c, z.c[best]):
                    best = i
        z.take[best] = min(left, z.c[best, at.HEADS])
        left -= z.take[best]
        order[served] = best
        served += 1
    for place in range(served):
        i = order[place]
        heads = z.take[i]
        z.c[i, at.HEADS] -= heads
        order[place] = k.binomial(k.event_key(z.key[0], z.ident[i], k.K_BEARS), heads, p.figure[row, at.BEARS])
        z.take[place + 2 * len(z.c)] = i
    for place in range(served):
        i = z.take[place + 2 * len(z.c)]
        c, holds = z.c[i], order[place]
        due, barren = z.now[NOW] + p.row[row, at.TERM_W], min(c[at.BARREN] + 1, at.MOST_BARREN)
        fails = z.take[i] - holds
        k.like(p, z, c, holds, due, c[at.SINCE], c[at.BARREN])
        k.like(p, z, c, fails, c[at.DUE], c[at.SINCE], barren)


@woven
def set_eggs(p, z, o, d, row, quota):
    adults, each = k.standing(z, row, -1), p.figure[row, at.SET_EACH]
    if p.row[row, at.SITS] == at.ALL_SIT:
        wanted = int(adults * each)
    else:
        if p.row[row, at.KEEPS] and p.row[row, at.KEEP_YOUNG] < 0:
            kept = k.standing(z, p.row[row, at.YOUNG_ROW], at.KEPT)
            quota = max(quota, p.row[row, at.TARGET] - adults - kept)
        pullets = each * p.figure[row, at.HATCH] * p.figure[row, at.REARED]
        sitting = max(1, int(np.ceil((2.0 * quota + 1.0) / pullets))) if pullets > 0.0 else 1
        if not p.row[row, at.INCUBATOR]:
            sitting = min(sitting, max(1, int(adults * p.figure[row, at.SIT_SHARE] + 1e-9)))
        wanted = int(sitting * each)
    able = served_by_males(p, z, row)
    eggs = min(wanted, int(z.eggs_kept[row] + EVEN)) if adults and able else 0
    z.fertile[d] = 1.0 if able >= adults else able / adults
    z.nest[d] = eggs
    o.sums[z.now[YEAR], z.now[MONTH], row, at.EGGS] += (z.eggs_kept[row] - eggs) * p.figure[row, at.EGG_KG]
    z.eggs_kept[row] = 0.0
    o.counts[z.now[YEAR], row, at.EGGS_SET] += eggs
    o.counts[z.now[YEAR], row, at.UNSERVED] += 0 if able else wanted


@jit
def sire_comes(p, z, o):
    for row in range(len(p.row)):
        if p.row[row, at.PART] == at.DAM and k.standing(z, row, -1):
            o.money[z.now[YEAR], row, at.SPENT] += p.odds[at.SIRE_COST]
            return


@jit
def bees(p, z, o, todo):
    key, year = z.key[0], z.now[YEAR]
    for i in range(z.now[COUNT]):
        row = z.c[i, at.ROW]
        if p.row[row, at.PART] != at.COLONY:
            continue
        if todo & at.WINTER:
            dead = k.binomial(k.mix(key ^ p.row_hash[row]), z.c[i, at.HEADS], p.odds[at.WINTER_LOSS])
            k.leave(z, o, i, dead, at.DIED)
        if todo & at.HONEY:
            honey(p, z, o, row, z.c[i, at.HEADS])
    for row in range(len(p.row)):
        if not todo & at.SPRING or p.row[row, at.PART] != at.COLONY:
            continue
        there, target, subject = k.standing(z, row, -1), p.row[row, at.TARGET], p.row_hash[row]
        tried = min(there, max(0, target - there))
        made = k.binomial(k.event_key(key, subject, k.K_SPLIT), tried, p.odds[at.SPLITS])
        swarmed = k.binomial(k.event_key(key, subject, k.K_SWARM), there - tried, p.odds[at.SWARMS])
        z.weak[row] = tried + swarmed
        o.counts[year, row, at.BORN] += made
        o.counts[year, row, at.SWARMED] += swarmed
        k.add(p, z, row, at.FEMALE, at.ADULT, 0, made, at.NEVER, at.NEVER, 0, 1)
        if there + made < p.odds[at.EMERGENCY] * target:
            k.buy(p, z, o, row, target - there - made, z.now[NOW], row, at.FEMALE, at.ADULT, at.NEVER, at.NEVER, 1)


@woven
def honey(p, z, o, row, heads):
    none, share, year, month = p.odds[at.NO_HONEY], 0.0, z.now[YEAR], z.now[MONTH]
    number = k.uniform(k.event_key(z.key[0], p.row_hash[row], k.K_HONEY))
    if number >= none:
        within = (number - none) / (1.0 - none)
        share = (1.0 + p.odds[at.HONEY_HALF_WIDTH] * (2.0 * within - 1.0)) / (1.0 - none)
    weak = min(z.weak[row], heads)
    giving = (heads - weak) + weak * p.odds[at.SWARM_HONEY]
    o.sums[year, month, row, at.HONEY_KG_TAKEN] += p.figure[row, at.HONEY_KG] * share * giving
    o.sums[year, month, row, at.WAX_KG_TAKEN] += p.figure[row, at.WAX_KG] * heads
    if share < p.odds[at.POOR]:
        o.sums[year, month, row, at.SUGAR_FED] += p.odds[at.SUGAR_KG] * heads
    z.weak[row] = 0


@woven
def needs(p, z, o):
    # Places are unsigned: a signed one that the compiler cannot follow is asked at each use whether it counts from the end.
    sums, given, oldest = z.week_sums, z.given, p.growing.shape[1] - 1
    t, week, empty = z.now[NOW], np.uint64(z.now[WEEK]), False
    for each in range(len(p.row)):
        given[each, SUCKING] = 0.0
    for i in range(z.now[COUNT]):
        c = z.c[i]
        if c[at.HEADS] == 0:
            empty = True
            continue
        row, stage, age, heads = np.uint64(c[at.ROW]), c[at.STAGE], t - c[at.BIRTH], float(c[at.HEADS])
        z.heads[row] += c[at.HEADS]
        if stage == at.ADULT:
            given[row, ADULTS] += heads
            if p.row[row, at.PART] == at.DAM:
                dam_needs(p, sums, given, c, t, row, heads)
            continue
        table = p.growing[np.uint64(2 * c[at.ROW] + stage), np.uint64(min(age, oldest))]
        for q in range(at.NEEDS):
            sums[row, q] += heads * table[q]
        if age < p.row[row, at.WEAN_W]:
            given[row, SUCKING] += heads
    # Backwards, since young ask what their dams' milk gives, and stand behind them; each row is left at zero.
    year, month, days, heat = np.uint64(z.now[YEAR]), np.uint64(z.now[MONTH]), p.days[week], p.heat[week]
    for each in range(len(p.row)):
        row = np.uint64(len(p.row) - 1 - each)
        z.stood[row] = z.heads[row]
        if z.heads[row] == 0:
            continue
        o.heads[year, week, row] = z.heads[row]
        z.heads[row] = 0
        settle(p, z, o.sums[year, month, row], row, week, days, heat)
        for q in range(at.NEEDS):
            sums[row, q] = 0.0
        for q in range(SUCKING):
            given[row, q] = 0.0
    if empty:
        tidy(z)


@woven
def dam_needs(p, sums, given, c, t, row, heads):
    if p.row[row, at.SITS] != at.LITTER:
        given[row, LAYERS] += heads * p.lay_age[row, np.uint64(min(t - c[at.BIRTH], p.lay_age.shape[1] - 1))]
        return
    if c[at.DUE] > t:
        left = np.uint64(min(c[at.DUE] - t, p.pregnant.shape[1] - 1))
        sums[row, at.ENERGY] += heads * p.pregnant[row, left, 0]
        sums[row, at.PROTEIN] += heads * p.pregnant[row, left, 1]
    if c[at.SINCE] > at.NEVER:
        milk = p.lactation[row, np.uint64(min(t - c[at.SINCE], p.lactation.shape[1] - 1))]
        sums[row, at.ENERGY] += heads * milk[at.LACT_MJ]
        sums[row, at.PROTEIN] += heads * milk[at.LACT_G]
        given[row, BESIDE] += heads * milk[at.MILK_BESIDE_YOUNG]
        given[row, ALONE] += heads * milk[at.MILK_ALONE]
        given[row, TO_YOUNG] += heads * milk[at.MILK_TO_YOUNG_MJ]


@woven
def settle(p, z, month, row, week, days, heat):
    sums, given, part = z.week_sums[row], z.given[row], p.row[row, at.PART]
    adults = given[ADULTS]
    if adults > 0.0:
        table = p.adult[row, week]
        for q in range(at.NEEDS):
            sums[q] += adults * table[q]
    eggs = given[LAYERS] * p.lays_kg[row, week]
    if eggs:
        for_eggs = eggs * p.figure[row, at.EGG_MJ_KG]
        sums[at.ENERGY] += for_eggs
        sums[at.PROTEIN] += for_eggs * p.figure[row, at.EGG_G_MJ]
        if p.gather[row, week]:
            z.eggs_kept[row] += eggs * days / p.figure[row, at.EGG_KG]
        else:
            month[at.EGGS] += eggs * days
    energy, protein = sums[at.ENERGY], sums[at.PROTEIN]
    month[at.DRY_MATTER] += max(sums[at.DRY_MATTER], energy * p.figure[row, at.RATION_KG_MJ]) * days
    month[at.WATER] += sums[at.WATER] * heat * days
    month[at.MANURE] += sums[at.MANURE] * days
    month[at.MANURE_N] += sums[at.MANURE_N] * days
    if part == at.DAM:
        if p.row[row, at.MILKED]:
            young = np.uint64(p.row[row, at.YOUNG_ROW])
            month[at.MILK] += (given[BESIDE] if z.given[young, SUCKING] > 0.0 else given[ALONE]) * days
    elif part == at.YOUNG:
        drunk = min(z.given[np.uint64(p.row[row, at.DAM_ROW]), TO_YOUNG], sums[at.SUCKS])
        if drunk > 0.0:
            left = 1.0 - drunk / energy
            energy *= left
            protein *= left
    month[at.ENERGY] += energy * days
    month[at.PROTEIN] += protein * days


@woven
def open_week(p, z, o):
    week, month = z.now[WEEK], p.month[z.now[WEEK]]
    if month != z.now[MONTH] or week == 0:
        z.now[MONTH] = month
        z.sold_month[:] = 0
    if week == 0:
        z.kept_year[:] = 0
        for i in range(z.now[COUNT]):
            o.counts[z.now[YEAR], z.c[i, at.ROW], at.OPEN] += z.c[i, at.HEADS]


@jit
def arrivals(p, z, o):
    for lot in p.lot:
        if lot[at.LOT_WEEK] == z.now[WEEK]:
            row, heads, age = lot[at.LOT_ROW], lot[at.LOT_HEADS], lot[at.LOT_AGE]
            k.buy(p, z, o, row, heads, age, row, at.FEMALE, at.GROWING, at.NEVER, at.NEVER, 0)


@jit
def tidy(z):
    kept = 0
    for i in range(z.now[COUNT]):
        if z.c[i, at.HEADS]:
            if kept < i:
                for field in range(at.FIELDS):
                    z.c[kept, field] = z.c[i, field]
                z.ident[kept] = z.ident[i]
            kept += 1
    z.now[COUNT] = kept


@jit
def come_due(p, z, o):
    k.births(p, z, o)
    k.broods(p, z, o)
    k.grow_up(p, z, o)
    look_ahead(p, z)


@woven
def look_ahead(p, z):
    z.now[NEXT] = at.UNLIMITED
    for i in range(z.now[COUNT]):
        z.now[NEXT] = min(z.now[NEXT], k.next_event(p.row, z.c[i], z.now[NOW]))


@jit
def open_lane(p, z):
    z.now[:] = 0
    z.now[NOW], z.now[LOST] = -1, 1
    z.stood[:] = 0
    for i in range(len(p.opening)):
        for field in range(at.FIELDS):
            z.c[i, field] = p.opening[i, field]
        z.ident[i] = k.cohort_key(p.row_hash, z.c[i])
        z.stood[z.c[i, at.ROW]] += z.c[i, at.HEADS]
    z.now[COUNT] = len(p.opening)
    for d in range(len(p.nest)):
        z.nest[d] = p.nest[d]
    z.fertile[:] = 1.0
    z.weak[:] = 0
    z.eggs_kept[:] = 0.0
    look_ahead(p, z)


def woven_lanes(stamp):
    """The compiled lanes. `stamp` is closed over, so that code on the disk made of other sources is not taken for these."""

    def run_lanes(p, z, out, lane_keys, week_keys, weeks) -> bool:
        _ = stamp
        # One function holds chains, weeks and steps: the compiler works through each level of calls anew.
        for lane in range(len(lane_keys)):
            o = Outcome(out.heads[lane], out.counts[lane], out.sums[lane], out.money[lane], out.close[lane])
            open_lane(p, z)
            year, week = 0, 0
            for t in range(weeks):
                z.now[YEAR], z.now[WEEK], z.now[NOW] = year, week, t
                z.key[0] = k.mix(lane_keys[lane] ^ week_keys[t])
                todo = p.calendar[week]
                open_week(p, z, o)
                k.strikes(p, z, o)
                k.deaths(p, z, o)
                if todo & at.BROOD or t >= z.now[NEXT]:
                    come_due(p, z, o)
                if todo & at.ARRIVE:
                    arrivals(p, z, o)
                if todo & at.LOOK and z.now[LOST]:
                    k.look(p, z, o)
                if todo & at.TURN:
                    k.turnover(p, z, o)
                if todo & at.SERVE:
                    services(p, z, o)
                if todo & at.SIRE_COMING:
                    sire_comes(p, z, o)
                if todo & (at.WINTER | at.SPRING | at.HONEY):
                    bees(p, z, o, todo)
                needs(p, z, o)
                if z.now[FULL]:
                    return False
                week += 1
                if week == at.WEEKS:
                    year, week = year + 1, 0
            for i in range(z.now[COUNT]):
                o.close[z.c[i, at.ROW]] += z.c[i, at.HEADS]
        return True

    return entry(run_lanes)


def stamp_of_sources() -> int:
    """A number of everything that is woven into `run_lanes`: what numba keeps on the disk it knows by this file alone."""
    made = 0
    for module in (kernel_draws, k, at, draws, opening, twin):
        made = zlib.crc32(Path(str(module.__file__)).read_bytes(), made)
    return made


run_lanes = woven_lanes(stamp_of_sources())


def state(plan: PlanArrays, slots: int) -> State:
    """Room for one chain's state with so many cohorts."""
    rows, dates = len(plan.row), len(plan.date)
    whole = np.int64
    return State(
        c=np.zeros((slots, at.FIELDS), whole),
        ident=np.zeros(slots, np.uint64),
        key=np.zeros(1, np.uint64),
        now=np.zeros(CLOCKS, whole),
        nest=np.zeros(dates, whole),
        fertile=np.ones(dates),
        kept_year=np.zeros(rows, whole),
        sold_month=np.zeros(rows, whole),
        weak=np.zeros(rows, whole),
        heads=np.zeros(rows, whole),
        stood=np.zeros(rows, whole),
        eggs_kept=np.zeros(rows),
        week_sums=np.zeros((rows, at.NEEDS)),
        given=np.zeros((rows, GIVEN)),
        take=np.zeros(3 * slots, whole),
    )


def run_numba(plan: PlanArrays, lane_keys: list[int], week_keys: at.U64, years: int) -> Outcome:
    """Every chain; the same integers and the same bits as `run_twin`.

    Args:
        plan: of the group.
        lane_keys: one for each chain.
        week_keys: uint64 [52 years].
        years: how many.
    """
    slots, keys = len(plan.opening) + SPARE_SLOTS, np.array(lane_keys, dtype=np.uint64)
    while True:
        out = empty_outcome(len(lane_keys), years, len(plan.row))
        if run_lanes(plan, state(plan, slots), out, keys, week_keys, years * at.WEEKS):
            return out
        slots *= 2
