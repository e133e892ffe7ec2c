"""Random numbers of the herds: each keyed by seed, chain, week, kind of event, group's name and cohort, never by order.

A number is a hash of its key: the finaliser of SplitMix64 (Steele, Lea and Flood 2014, Fast splittable pseudorandom number
generators), applied to the parts one after the other. Plain integers here; the compiled path does the same in registers.
"""

from __future__ import annotations

import hashlib

import numpy as np

from yardland.stock.herds.layout import U64

MASK, HALF = (1 << 64) - 1, (1 << 32) - 1
GOLDEN = 0x9E3779B97F4A7C15
FIRST = 0xBF58476D1CE4E5B9
SECOND = 0x94D049BB133111EB
CHUNK = 64
"""Heads that one number decides on; of more, each further 64 have a number of their own."""
LEAST_NUMBER = 2.0**-48
"""Numbers are taken no smaller: sums of chances near one are not known more exactly, and none might be the fewest."""


def mix(key: int) -> int:
    """The finaliser of SplitMix64 on an integer of 64 bits."""
    value = (key + GOLDEN) & MASK
    value = ((value ^ (value >> 30)) * FIRST) & MASK
    value = ((value ^ (value >> 27)) * SECOND) & MASK
    return value ^ (value >> 31)


def uniform(key: int) -> float:
    """A number in 0 to 1 (1 excluded) of a mixed key."""
    return (key >> 11) * 2.0**-53


def name_hash(*names: str) -> int:
    """An integer of 64 bits for names (BLAKE2b)."""
    return int.from_bytes(hashlib.blake2b("\x1f".join(names).encode(), digest_size=8).digest(), "little")


def lane_key(group: str, chain: int) -> int:
    """Key of a group in a chain."""
    return mix(name_hash("herd", group) ^ mix(chain))


def week_keys(seed: int, weeks: int, *, other_after: tuple[int, int] | None = None) -> U64:
    """Keys of the weeks, uint64 [weeks].

    Args:
        seed: of the run.
        weeks: how many from the first.
        other_after: (week, seed) makes the weeks from that one on use another seed, to show that nothing looks ahead.
    """
    start, other = other_after or (weeks, seed)
    keys = [mix(mix((seed if week < start else other) & MASK) ^ mix(week & MASK)) for week in range(weeks)]
    return np.array(keys, dtype=np.uint64)


def event_key(week_key: int, subject: int, kind: int) -> int:
    """Key of one kind of event in a week, for a cohort or a row."""
    key = mix(week_key ^ subject)
    return mix(key ^ kind) if kind else key


def cohort_key(row_hash: int, traits: int, birth: int, due: int, since: int) -> int:
    """Key of a cohort: what it is (a number under 256), when it was born, until when in young, since when in milk."""
    born = ((birth & HALF) << 8) + traits
    return mix(mix(row_hash ^ born) ^ (((due & HALF) << 32) + (since & HALF)))


def binomial(key: int, heads: int, chance: float) -> int:
    """How many of so many heads, each with the same chance: as many draws of one animal, by inversion.

    Args:
        key: a mixed key; each 64 heads take one number of it.
        heads: whole, 0 or more.
        chance: of each, 0 to 1.
    """
    total, chunk = 0, 0
    while heads > 0:
        some = min(heads, CHUNK)
        total += _inverse(uniform(key if chunk == 0 else mix((key + chunk) & MASK)), some, chance)
        heads -= some
        chunk += 1
    return total


def _inverse(number: float, heads: int, chance: float) -> int:
    """The binomial of up to 64 heads at a number: many where the number is small."""
    if number >= heads * chance:
        return 0
    if chance >= 1.0:
        return heads
    if chance > 0.5:
        return heads - _count(1.0 - number, heads, 1.0 - chance)
    return _count(number, heads, chance)


def power(base: float, times: int) -> float:
    """A whole power by squaring: the same multiplications on either path, so that their last bits agree."""
    made = 1.0
    while times > 0:
        if times & 1:
            made *= base
        base *= base
        times >>= 1
    return made


def _count(number: float, heads: int, chance: float) -> int:
    """Fewest d with P(more than d) <= number, for a chance up to a half."""
    stays = 1.0 - chance
    here = power(stays, heads)
    below, found, number = here, 0, max(number, LEAST_NUMBER)
    while found < heads and 1.0 - below > number:
        here *= (heads - found) / (found + 1.0) * (chance / stays)
        below += here
        found += 1
    return found
