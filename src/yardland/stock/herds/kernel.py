"""The weekly steps of one group in many chains, compiled. `twin` says the same in words and judges this to the integer.

`p` is the group's plan, `z` the chain's state, `o` the chain's part of the outcome. Cohorts stand in the rows of `z.c`
in the order in which they came; what is empty is taken out at the end of a week. Sums are added up in the twin's order, so
that not only the heads but every bit agrees.
"""

# The compiler infers the types; the names of the arguments are said above.
# ruff: noqa: ANN001, ANN201, C901, D103, PLR0912, PLR1714, SIM102
# mypy: disable-error-code="no-untyped-def, no-untyped-call, misc, call-overload"

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import CHUNK
from yardland.stock.herds.kernel_draws import (
    ONE,
    binomial,
    cohort_key,
    event_key,
    jit,
    mix,
    uniform,
    woven,
)
from yardland.stock.herds.layout import F64, I64, U64
from yardland.stock.herds.opening import ROUND

K_STRIKE, K_SHARE = np.uint64(at.DRAW_STRIKE), np.uint64(at.DRAW_SHARE)
K_LITTER, K_SEX, K_HATCH = np.uint64(at.DRAW_LITTER), np.uint64(at.DRAW_SEX), np.uint64(at.DRAW_HATCH)
K_BEARS, K_SPLIT = np.uint64(at.DRAW_BEARS), np.uint64(at.DRAW_SPLIT)
K_SWARM, K_HONEY = np.uint64(at.DRAW_SWARM), np.uint64(at.DRAW_HONEY)
T, YEAR, WEEK, MONTH, COUNT, FULL, NEXT, LOST, CLOCKS = range(9)
ADULTS, LAYERS, BESIDE, ALONE, TO_YOUNG, SUCKING, GIVEN = range(7)


class State(NamedTuple):
    """A chain's state. c int64 [slots, FIELDS]; ident, key uint64; now int64 [CLOCKS]; the rest by row or by date."""

    c: I64
    ident: U64
    key: U64
    now: I64
    nest: I64
    fertile: F64
    kept_year: I64
    sold_month: I64
    weak: I64
    heads: I64
    stood: I64
    eggs_kept: F64
    week_sums: F64
    given: F64
    take: I64


@woven
def standing(z, row, stage):
    heads = 0
    for i in range(z.now[COUNT]):
        if z.c[i, at.ROW] == row and (stage < 0 or z.c[i, at.STAGE] == stage):
            heads += z.c[i, at.HEADS]
    return heads


@jit
def next_event(rows, c, t):
    """First week after t in which a cohort bears, dries off, joins, is chosen from or ends: until then it only waits."""
    row, birth = c[at.ROW], c[at.BIRTH]
    part, week = rows[row, at.PART], at.UNLIMITED
    if part == at.DAM:
        if c[at.DUE] > t:
            week = c[at.DUE]
        if c[at.SINCE] > at.NEVER:
            week = min(week, max(t + 1, c[at.SINCE] + rows[row, at.LACT_W]))
    elif part == at.YOUNG or part == at.LOT:
        if c[at.STAGE] == at.KEPT:
            mammal = rows[rows[row, at.DAM_ROW], at.SITS] == at.LITTER
            return at.UNLIMITED if mammal else max(t + 1, birth + rows[row, at.JOIN_W])
        week = max(t + 1, birth + rows[row, at.KILL_W])
        if birth + rows[row, at.KEEP_W] > t:
            week = min(week, birth + rows[row, at.KEEP_W])
    return week


@jit
def place(rows, row_hash, cohorts, ident, now, row, sex, stage, birth, heads, due, since, barren, own):
    count = now[COUNT]
    for i in range(count):
        c = cohorts[i]
        if (
            c[at.ROW] == row
            and c[at.BIRTH] == birth
            and c[at.SEX] == sex
            and c[at.STAGE] == stage
            and c[at.DUE] == due
            and c[at.SINCE] == since
            and c[at.BARREN] == barren
            and c[at.OWN] == own
        ):
            c[at.HEADS] += heads
            return
    if count == len(cohorts):
        now[FULL] = 1
        return
    c = cohorts[count]
    c[at.ROW], c[at.SEX], c[at.STAGE], c[at.BIRTH], c[at.HEADS] = row, sex, stage, birth, heads
    c[at.DUE], c[at.SINCE], c[at.BARREN], c[at.OWN] = due, since, barren, own
    ident[count] = cohort_key(row_hash, c)
    now[COUNT] = count + 1
    now[NEXT] = min(now[NEXT], next_event(rows, c, now[T]))


@woven
def add(p, z, row, sex, stage, birth, heads, due, since, barren, own):
    if heads > 0:
        place(p.row, p.row_hash, z.c, z.ident, z.now, row, sex, stage, birth, heads, due, since, barren, own)


@woven
def like(p, z, c, heads, due, since, barren):
    add(p, z, c[at.ROW], c[at.SEX], c[at.STAGE], c[at.BIRTH], heads, due, since, barren, c[at.OWN])


@woven
def leave(z, o, i, heads, what):
    z.c[i, at.HEADS] -= heads
    o.counts[z.now[YEAR], z.c[i, at.ROW], what] += heads
    z.stood[z.c[i, at.ROW]] -= heads
    if z.c[i, at.STAGE] != at.GROWING:
        z.now[LOST] = 1


@woven
def live_kg(p, z, i):
    c = z.c[i]
    if c[at.STAGE] == at.ADULT:
        return p.figure[c[at.ROW], at.ADULT_KG]
    age = min(z.now[T] - c[at.BIRTH], p.weight_kg.shape[1] - 1)
    return p.weight_kg[2 * c[at.ROW] + c[at.STAGE], age]


@woven
def strikes(p, z, o):
    key, week = z.key[0], np.uint64(z.now[WEEK])
    for s in range(len(p.strike)):
        chance, subject = p.strike[s, week], p.strike_hash[s]
        if chance <= 0.0 or uniform(mix(key ^ subject)) >= chance:
            continue
        own = mix(event_key(key, subject, K_SHARE))
        low, share, high = p.strike_loss[s, 0], p.strike_loss[s, 1], p.strike_loss[s, 2]
        if high > low:
            within, middle = uniform(mix(own ^ ONE)), share
            share = middle + (high - middle) * within
            if uniform(own) < (high - middle) / (high - low):
                share = low + (middle - low) * within
        for i in range(z.now[COUNT]):
            if p.strike_on[s, z.c[i, at.ROW]] and z.c[i, at.HEADS]:
                lost = binomial(event_key(key, z.ident[i] ^ subject, K_STRIKE), z.c[i, at.HEADS], share)
                leave(z, o, i, lost, at.STRUCK)


@woven
def deaths(p, z, o):
    key, t, oldest = z.key[0], z.now[T], p.dies.shape[1] - 1
    for row in range(len(p.row)):
        if p.row[row, at.PART] <= at.SIRE and z.stood[row]:
            own, stood, chance = mix(key ^ p.row_hash[row]), z.stood[row], p.dies[row, 0]
            # Most weeks nobody dies: the first number alone says so for up to 64 heads.
            if stood > CHUNK or uniform(own) < stood * chance:
                fall(z, o, row, binomial(own, stood, chance))
    for i in range(z.now[COUNT]):
        c = z.c[i]
        heads = c[at.HEADS]
        if c[at.STAGE] == at.ADULT or heads == 0:
            continue
        chance = p.dies[np.uint64(c[at.ROW]), np.uint64(min(max(t - c[at.BIRTH] - 1, 0), oldest))]
        own = mix(key ^ z.ident[i])
        if heads > CHUNK or uniform(own) < heads * chance:
            leave(z, o, i, binomial(own, heads, chance), at.DIED)


@jit
def fall(z, o, row, dead):
    """The heads of a row whose own numbers are the least."""
    count, last = z.now[COUNT], np.uint64(0)
    for i in range(count):
        z.take[i] = z.c[i, at.HEADS] if z.c[i, at.ROW] == row else 0
    for nth in range(dead):
        least, cohort = last, -1
        for i in range(count):
            key = mix(z.key[0] ^ z.ident[i])
            for head in range(z.take[i]):
                number = mix(key + np.uint64(head))
                if (nth == 0 or number > last) and (cohort < 0 or number < least):
                    least, cohort = number, i
        last = least
        leave(z, o, cohort, 1, at.DIED)


@woven
def newborn(p, z, o, dam, young, sex_key):
    row = p.row[dam, at.YOUNG_ROW]
    females = binomial(sex_key, young, p.odds[at.FEMALE_SHARE])
    o.counts[z.now[YEAR], row, at.BORN] += young
    o.counts[z.now[YEAR], dam, at.BIRTHS] += young
    add(p, z, row, at.FEMALE, at.GROWING, z.now[T], females, at.NEVER, at.NEVER, 0, 1)
    add(p, z, row, at.MALE, at.GROWING, z.now[T], young - females, at.NEVER, at.NEVER, 0, 1)


@woven
def bear(p, z, o, i):
    c, key = z.c[i], event_key(z.key[0], z.ident[i], K_LITTER)
    row, heads, young, most = c[at.ROW], c[at.HEADS], 0, p.litter.shape[1] - 1
    for dam in range(heads):
        number, size = uniform(mix(key + np.uint64(dam))), 0
        while size < most and number >= p.litter[row, size]:
            size += 1
        young += size
    o.counts[z.now[YEAR], row, at.BORE] += heads
    newborn(p, z, o, row, young, event_key(z.key[0], z.ident[i], K_SEX))
    c[at.HEADS] = 0
    like(p, z, c, heads, at.NEVER, z.now[T], 0)


@jit
def dry_off(p, z, o, i):
    c = z.c[i]
    row, heads = c[at.ROW], c[at.HEADS]
    spent = c[at.BARREN] > 0 or z.now[T] - c[at.BIRTH] >= p.row[row, at.CULL_W]
    if p.row[row, at.GOES_DRY] and c[at.DUE] == at.NEVER and spent:
        cull(p, z, o, i, heads)
        buy_adults(p, z, o, row, p.row[row, at.TARGET] - standing(z, row, -1))
    else:
        c[at.HEADS] = 0
        like(p, z, c, heads, c[at.DUE], at.NEVER, c[at.BARREN])


@woven
def parting(p, z, c):
    if not p.row[c[at.ROW], at.GOES_DRY] or c[at.DUE] != at.NEVER or c[at.SINCE] == at.NEVER:
        return False
    return c[at.BARREN] == at.PARTING or z.now[T] - c[at.BIRTH] >= p.row[c[at.ROW], at.CULL_W]


@woven
def births(p, z, o):
    t = z.now[T]
    for i in range(z.now[COUNT]):
        c = z.c[i]
        if c[at.DUE] == t and c[at.HEADS]:
            bear(p, z, o, i)
        elif c[at.SINCE] > at.NEVER and c[at.HEADS] and p.row[c[at.ROW], at.PART] == at.DAM:
            if t - c[at.SINCE] >= p.row[c[at.ROW], at.LACT_W]:
                dry_off(p, z, o, i)


@woven
def broods(p, z, o):
    for d in range(len(p.date)):
        if z.nest[d] and p.date[d, at.DATE_BIRTH] == z.now[WEEK]:
            dam = p.date[d, at.DATE_ROW]
            subject = p.row_hash[dam]
            chance = p.figure[dam, at.HATCH] * z.fertile[d]
            hatched = binomial(event_key(z.key[0], subject, K_HATCH), z.nest[d], chance)
            z.nest[d] = 0
            newborn(p, z, o, dam, hatched, event_key(z.key[0], subject, K_SEX))


@woven
def wanted_young(p, z, dam):
    young = p.row[dam, at.YOUNG_ROW]
    lead = p.row[dam, at.JOIN_W] - p.row[young, at.KEEP_W]
    early = z.now[T] + lead - (at.SERVE_AFTER_TURN_W if p.row[dam, at.SITS] == at.LITTER else at.WEEKS // 2)
    turn = early + (p.row[dam, at.TURN_W] - early) % at.WEEKS
    staying = standing(z, young, at.KEPT)
    for i in range(z.now[COUNT]):
        if z.c[i, at.ROW] == dam and turn - z.c[i, at.BIRTH] < p.row[dam, at.CULL_W]:
            staying += z.c[i, at.HEADS]
    live = max(0.0, 1.0 - p.figure[dam, at.ADULT_DIES] * lead)
    return max(0, int(p.row[dam, at.TARGET] - staying * live + ROUND))


@woven
def join(p, z, o, i, dam):
    c, heads = z.c[i], z.c[i, at.HEADS]
    o.counts[z.now[YEAR], c[at.ROW], at.LEFT] += heads
    o.counts[z.now[YEAR], dam, at.JOINED] += heads
    c[at.HEADS] = 0
    add(p, z, dam, c[at.SEX], at.ADULT, c[at.BIRTH], heads, c[at.DUE], c[at.SINCE], c[at.BARREN], c[at.OWN])


@woven
def choose(p, z, i, dam):
    c, born = z.c[i], p.row[dam, at.KEEP_BORN_W]
    if not p.row[dam, at.KEEPS] or (born >= 0 and c[at.BIRTH] % at.WEEKS != born):
        return
    fixed = p.row[dam, at.KEEP_YOUNG]
    wanted = wanted_young(p, z, dam) if fixed < 0 else fixed - z.kept_year[dam]
    kept = min(max(wanted, 0), c[at.HEADS])
    z.kept_year[dam] += kept
    c[at.HEADS] -= kept
    add(p, z, c[at.ROW], c[at.SEX], at.KEPT, c[at.BIRTH], kept, c[at.DUE], c[at.SINCE], c[at.BARREN], c[at.OWN])


@woven
def grow_up(p, z, o):
    t = z.now[T]
    for i in range(z.now[COUNT]):
        c = z.c[i]
        row = c[at.ROW]
        part, age = p.row[row, at.PART], t - c[at.BIRTH]
        if (part != at.YOUNG and part != at.LOT) or c[at.HEADS] == 0:
            continue
        dam = p.row[row, at.DAM_ROW]
        if c[at.STAGE] == at.KEPT:
            if age >= p.row[row, at.JOIN_W] and p.row[dam, at.SITS] != at.LITTER:
                join(p, z, o, i, dam)
            continue
        if part == at.YOUNG and c[at.SEX] == at.FEMALE and age == p.row[row, at.KEEP_W]:
            choose(p, z, i, dam)
        if age >= p.row[row, at.KILL_W]:
            end(p, z, o, i)


@woven
def end(p, z, o, i):
    row, weight, year, month = z.c[i, at.ROW], live_kg(p, z, i), z.now[YEAR], z.now[MONTH]
    sold = min(z.c[i, at.HEADS], max(p.sale_limit[row, month] - z.sold_month[row], 0))
    if sold:
        z.sold_month[row] += sold
        o.money[year, row, at.EARNED] += sold * p.sale_price[row, month]
        o.sums[year, month, row, at.LIVE_SOLD] += sold * weight
        leave(z, o, i, sold, at.SOLD)
    heads = z.c[i, at.HEADS]
    if heads:
        o.sums[year, month, row, at.LIVE_KILLED] += heads * weight
        leave(z, o, i, heads, at.KILLED)


@woven
def buy(p, z, o, priced, heads, age, row, sex, stage, due, since, own):
    if heads <= 0:
        return
    o.counts[z.now[YEAR], row, at.BOUGHT] += heads
    o.money[z.now[YEAR], priced, at.SPENT] += heads * p.figure[priced, at.PRICE]
    add(p, z, row, sex, stage, z.now[T] - age, heads, due, since, 0, own)


@woven
def next_birth(p, row, week):
    ahead = 0
    for d in range(len(p.date)):
        if p.date[d, at.DATE_ROW] == row:
            weeks = (p.date[d, at.DATE_BIRTH] - week - 1) % at.WEEKS + 1
            ahead = weeks if ahead == 0 else min(ahead, weeks)
    return ahead


@woven
def buy_adults(p, z, o, row, heads):
    age = p.row[row, at.BUY_W]
    if p.row[row, at.PART] == at.SIRE:
        buy(p, z, o, row, heads, age, row, at.MALE, at.ADULT, at.NEVER, z.now[T], 0)
    elif age < p.row[row, at.JOIN_W] - at.SERVE_AFTER_TURN_W:
        buy(p, z, o, row, heads, age, p.row[row, at.YOUNG_ROW], at.FEMALE, at.KEPT, at.NEVER, at.NEVER, 0)
    else:
        due, since = at.NEVER, at.NEVER
        ahead = next_birth(p, row, z.now[WEEK])
        if p.row[row, at.GOES_DRY] and ahead:
            if ahead < p.row[row, at.TERM_W]:
                due = z.now[T] + ahead
            if at.WEEKS - ahead < p.row[row, at.LACT_W]:
                since = z.now[T] + ahead - at.WEEKS
                age = max(age, p.row[row, at.JOIN_W] + p.row[row, at.TERM_W])
        buy(p, z, o, row, heads, age, row, at.FEMALE, at.ADULT, due, since, 0)


@jit
def look(p, z, o):
    # Only losses of adults and kept young since the last look can ask for a purchase: the yearly change fills up what it culls.
    z.now[LOST] = 0
    for row in range(len(p.row)):
        part, target = p.row[row, at.PART], p.row[row, at.TARGET]
        if (part != at.DAM and part != at.SIRE) or not p.row[row, at.BUYS]:
            continue
        there = standing(z, row, -1)
        if part == at.DAM:
            there += standing(z, p.row[row, at.YOUNG_ROW], at.KEPT)
            if there >= p.odds[at.EMERGENCY] * target:
                continue
        buy_adults(p, z, o, row, target - there)


@jit
def cull(p, z, o, i, heads):
    if heads:
        row = z.c[i, at.ROW]
        o.sums[z.now[YEAR], z.now[MONTH], row, at.LIVE_KILLED] += heads * live_kg(p, z, i)
        leave(z, o, i, heads, at.CULLED)


@jit
def turnover(p, z, o):
    t = z.now[T]
    for row in range(len(p.row)):
        part, soon, target = p.row[row, at.PART], 0, p.row[row, at.TARGET]
        if (part != at.DAM and part != at.SIRE) or p.row[row, at.TURN_W] != z.now[WEEK]:
            continue
        if part == at.DAM:
            mammal, least = p.row[row, at.SITS] == at.LITTER, p.row[row, at.JOIN_W]
            for i in range(z.now[COUNT]):
                c = z.c[i]
                if c[at.ROW] != p.row[row, at.YOUNG_ROW] or c[at.STAGE] != at.KEPT or c[at.HEADS] == 0:
                    continue
                if mammal and t - c[at.BIRTH] >= least - at.SERVE_AFTER_TURN_W:
                    join(p, z, o, i, row)
                elif not mammal and t - c[at.BIRTH] + at.WEEKS // 2 >= least:
                    soon += c[at.HEADS]
        spare, most = at.UNLIMITED, p.row[row, at.BARREN_MOST]
        if not p.row[row, at.BUYS]:
            spare = max(0, standing(z, row, -1) + soon - target)
        for i in range(z.now[COUNT]):
            c = z.c[i]
            if c[at.ROW] == row and c[at.DUE] == at.NEVER and not parting(p, z, c):
                if 0 < most <= c[at.BARREN] or t - c[at.BIRTH] >= p.row[row, at.CULL_W]:
                    gone = min(c[at.HEADS], spare)
                    spare -= gone
                    cull(p, z, o, i, gone)
        surplus = standing(z, row, -1) + soon - target
        for i in range(z.now[COUNT]):
            if z.c[i, at.ROW] == row and parting(p, z, z.c[i]):
                surplus -= z.c[i, at.HEADS]
        while surplus > 0:
            oldest = -1
            for i in range(z.now[COUNT]):
                c = z.c[i]
                if c[at.ROW] == row and c[at.HEADS] and c[at.DUE] == at.NEVER and not parting(p, z, c):
                    if oldest < 0 or c[at.BIRTH] < z.c[oldest, at.BIRTH]:
                        oldest = i
            if oldest < 0:
                break
            gone = min(surplus, z.c[oldest, at.HEADS])
            surplus -= gone
            if p.row[row, at.GOES_DRY] and z.c[oldest, at.SINCE] > at.NEVER:
                c = z.c[oldest]
                c[at.HEADS] -= gone
                like(p, z, c, gone, c[at.DUE], c[at.SINCE], at.PARTING)
            else:
                cull(p, z, o, oldest, gone)
        if p.row[row, at.BUYS]:
            buy_adults(p, z, o, row, target - standing(z, row, -1) - soon)
