"""Stays on what harvests leave: evenings and meals by hand, and laws of any herd on any ground."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yardland.growth import traits as tr
from yardland.larder.feed_leavings import STOOD, less_stood
from yardland.ledger.months import DAYS_IN_YEAR, larder_months
from yardland.ledger.production import Gathered, Grazing
from yardland.reference import load_tables
from yardland.season.cleared import DAY, Food, Patch, clean, run_of_free, span, tightest
from yardland.season.grazers import Stay
from yardland.season.stubble import stood
from yardland.season.walking import LAST_EVENING, Herd, walk

MONTHS = larder_months(2022, 10)
ALWAYS = np.ones(DAYS_IN_YEAR, dtype=bool)
EWES = ("ewes",)
TABLES = load_tables()


def patch(name: str = "brook.oats", plot: str = "brook", kg_dm: float = 10.0, **changes: object) -> Patch:
    """Stubble that lies from day 100 to 129 on ground that always bears."""
    first = Patch(
        plot=plot, strip=name, name=name, crop="oats", good="stubble", feed="stubble", kg_dm=kg_dm, least_kg_dm=0.0,
        starts=100, lies=span(100, 130), bears=ALWAYS, clean=ALWAYS, gap_d=60,
    )  # fmt: skip
    return replace(first, **changes)  # type: ignore[arg-type]


def herd(
    *groups: str,
    wants: float = 4.0,
    plots: tuple[str, ...] = ("brook", "stony"),
    away: np.ndarray | None = None,
    **changes: object,
) -> Herd:
    """Groups that each eat `wants` kg of stubble a day out of twice as much in all."""
    names = groups or EWES
    first = Herd(
        round="green", plots=plots, most_d=6, rest_d=28,
        intake={name: np.full(DAYS_IN_YEAR, 2.0 * wants) for name in names},
        appetite={name: {"stubble": np.full(DAYS_IN_YEAR, wants)} for name in names},
        away=dict.fromkeys(names, ~ALWAYS if away is None else away),
    )  # fmt: skip
    return replace(first, **changes)  # type: ignore[arg-type]


def made(*found: tuple[str, Stay]) -> list[tuple[object, ...]]:
    """Stays as tuples."""
    return [(stay.groups, stay.plot, stay.first, stay.last, stay.strips) for _, stay in found]


def test_a_stay_lasts_while_half_a_day_lies_there() -> None:
    """Ten kilograms at four a day: two full days, and a third on the two that are left; then they go."""
    found = walk((patch(),), (herd(),))

    assert made(*found.stays) == [(EWES, "brook", 100, 103, ("brook.oats",))]
    assert found.eaten[0, 99:104].tolist() == [0.0, 4.0, 4.0, 2.0, 0.0]
    assert found.eaters == {0: {"ewes"}}


def test_less_than_half_a_day_is_not_worth_coming_for() -> None:
    """1.9 kg over what is never eaten bring nobody, 2 kg do."""
    assert not walk((patch(kg_dm=6.9, least_kg_dm=5.0),), (herd(),)).stays
    found = walk((patch(kg_dm=7.0, least_kg_dm=5.0),), (herd(),))
    assert made(*found.stays) == [(EWES, "brook", 100, 101, ("brook.oats",))]
    assert found.eaten.sum() == 2.0


def test_the_rounds_longest_stay_and_rest_hold() -> None:
    """With plenty on brook alone they stay six evenings and come back after the rest of the round; stony takes them between."""
    plenty = patch(kg_dm=1000.0, lies=span(100, 160))
    alone = walk((plenty,), (herd(),))
    both = walk((plenty, patch("stony.barley", "stony", 500.0, lies=span(100, 160))), (herd(),))

    assert [(stay.first, stay.last) for _, stay in alone.stays] == [(100, 106), (134, 140)]
    assert [(stay.plot, stay.first, stay.last) for _, stay in both.stays][:2] == [
        ("brook", 100, 106),
        ("stony", 106, 112),
    ]


def test_grass_comes_first() -> None:
    """A herd that is on grass from day 101 to 103 leaves the stubble, and may come back only when the plot has rested."""
    away = (DAY >= 101) & (DAY < 104)
    found = walk((patch(kg_dm=100.0),), (herd(away=away, rest_d=5),))

    assert [(stay.first, stay.last) for _, stay in found.stays] == [(100, 101), (106, 112), (117, 123), (128, 130)]


def test_only_those_who_may_eat_it_come() -> None:
    """Hens that may not eat stubble stay in the yard; what ewes eat is theirs alone."""
    flock = herd("ewes", "hens", appetite={"ewes": {"stubble": np.full(DAYS_IN_YEAR, 4.0)}, "hens": {}})
    found = walk((patch(),), (flock,))

    assert [stay.groups for _, stay in found.stays] == [EWES]
    assert not walk((patch(),), (replace(flock, appetite={"ewes": {}, "hens": {}}),)).stays


def test_goats_are_not_sent_under_trees() -> None:
    """A group that strips bark finds nothing under trees, on stubble it does."""
    goats = herd("goats", barking=frozenset({"goats"}))

    assert not walk((patch(young_y=12.0),), (goats,)).stays
    assert walk((patch(),), (goats,)).stays


def test_the_year_joins_its_own_end() -> None:
    """What is gathered on day 350 is walked on into the next year, and both parts together are no more than lies there."""
    late = patch(kg_dm=100.0, starts=350, lies=span(350, 350 + 60))
    found = walk((late,), (herd(rest_d=0),))
    days = {day for _, stay in found.stays for day in range(stay.first, stay.last)}

    assert min(days) == 0
    assert max(days) == LAST_EVENING - 1
    assert found.eaten.sum() <= 100.0 + 1e-9
    assert not days & set(range(45, 350))


@st.composite
def some_ground(draw: st.DrawFn) -> tuple[tuple[Patch, ...], tuple[Herd, ...]]:
    """Up to five patches on three plots and two herds of up to two groups, all as odd as may be."""
    days = st.integers(0, DAYS_IN_YEAR - 1)
    lain = []
    for number in range(draw(st.integers(1, 5))):
        first, long = draw(days), draw(st.integers(0, 120))
        shut = span(draw(days), draw(days) + draw(st.integers(0, 200)))
        lain.append(
            patch(
                f"strip{number}", draw(st.sampled_from(("a", "b", "c"))), draw(st.floats(0.0, 200.0)),
                least_kg_dm=draw(st.floats(0.0, 20.0)), starts=first, lies=span(first, first + long), bears=~shut,
                feed=draw(st.sampled_from(("stubble", "tops"))),
            )
        )  # fmt: skip
    herds = []
    for number, names in enumerate(
        draw(st.sampled_from(((("x",),), (("x", "y"),), (("x", "y"), ("z",)), (("x",), ("x", "z")))))
    ):
        away = {name: span(draw(days), draw(days) + draw(st.integers(0, 60))) for name in names}
        herds.append(
            herd(
                *names, plots=("a", "b", "c"), round=f"turn{number}", most_d=draw(st.integers(1, 9)),
                rest_d=draw(st.integers(0, 40)), wants=draw(st.floats(0.01, 30.0)),
            )
        )  # fmt: skip
        herds[-1] = replace(herds[-1], away=away)
    return tuple(lain), tuple(herds)


@given(some_ground())
@settings(max_examples=60)
def test_laws_of_any_herd_on_any_ground(case: tuple[tuple[Patch, ...], tuple[Herd, ...]]) -> None:
    """No group is in two places, no stay is on shut ground or on grass evenings, none is too long, and no more is eaten than lies."""
    lain, herds = case
    found = walk(lain, herds)
    by_round = {one.round: one for one in herds}
    where: dict[tuple[str, int], str] = {}
    on: dict[tuple[str, int], str] = {}
    fed = np.zeros(found.eaten.shape, dtype=bool)
    for name, stay in found.stays:
        turn = by_round[name]
        assert 0 < stay.last - stay.first <= turn.most_d
        assert stay.plot in turn.plots
        assert stay.strips
        for day in range(stay.first, stay.last):
            assert on.setdefault((stay.plot, day), name) == name
            for group in stay.groups:
                assert (group, day) not in where
                where[group, day] = stay.plot
                assert not turn.away[group][day]
        for at, one in enumerate(lain):
            if one.plot == stay.plot and one.strip in stay.strips:
                assert one.open[stay.first : stay.last].all()
                fed[at, stay.first : stay.last] = True
    for at, one in enumerate(lain):
        assert (found.eaten[at] >= 0.0).all()
        assert found.eaten[at].sum() <= max(one.kg_dm - one.least_kg_dm, 0.0) + 1e-9
        assert not found.eaten[at][~fed[at]].any()
    for name, turn in by_round.items():
        for plot in turn.plots:
            mine = [stay for of, stay in found.stays if of == name and stay.plot == plot]
            assert all(then.first - one.last >= turn.rest_d for one, then in pairwise(mine))


@given(some_ground())
@settings(max_examples=30)
def test_what_stood_is_what_was_eaten(case: tuple[tuple[Patch, ...], tuple[Herd, ...]]) -> None:
    """By month it adds up to the meals, for those who were there, in accounts of its own."""
    lain, herds = case
    found = walk(lain, herds)
    offered = list(stood(lain, found, MONTHS))

    assert sum(float(one.dm_kg.sum()) for one in offered) == pytest.approx(float(found.eaten.sum()), abs=1e-9)
    assert all(one.account.startswith(STOOD) and one.carry == 0.0 and one.groups for one in offered)


@given(st.lists(st.floats(0.0, 500.0), min_size=12, max_size=12), st.floats(0.0, 1.0))
def test_what_stands_is_not_carted(months: list[float], share: float) -> None:
    """Leavings that are eaten where they lie and those that are carried are together what the harvest left, in every case."""
    kg = np.array(months)
    fraction = TABLES.row("goods", "stubble").need("dm_fraction")
    standing = Grazing(f"{STOOD}brook.oats", "stubble", np.full(12, share * kg.sum() * fraction / 12.0), 0.0, EWES)
    carried = less_stood(TABLES, Gathered("leavings:brook.oats", "stubble", kg), (standing,))
    other = less_stood(TABLES, Gathered("leavings:stony.oats", "stubble", kg), (standing,))

    assert float(np.sum(carried.fresh_kg)) == pytest.approx((1.0 - share) * kg.sum(), abs=1e-6)
    assert (carried.fresh_kg >= 0.0).all()
    assert other.fresh_kg.tolist() == kg.tolist()


def test_days_of_clearing_by_hand() -> None:
    """Free days end at the next bed, at the year's crops or next year's; manure waits by the rule, round the year or not."""
    taken = span(200, 230) | span(20, 40)

    assert run_of_free(taken, 230, []) == DAYS_IN_YEAR - 230 + 20
    assert run_of_free(taken, 230, [Food("oats", 400, 90, 300, rings=False)]) == 300 - tr.BED_WORK_DAYS - 230
    assert run_of_free(~ALWAYS, 5, []) == DAYS_IN_YEAR
    carrot, oats = Food("carrot", 100, 120), Food("oats", 480, 90, 400, rings=False)
    assert carrot.waits()[[0, 99, 101, 340]].tolist() == [100, 1, 364, 125]
    assert np.flatnonzero(clean([carrot])).tolist() == list(range(101, 346))
    assert np.flatnonzero(~clean([oats])).tolist() == []
    assert not clean([Food("rye", 600, 90, 300, rings=False)])[293:].any()
    assert tightest([carrot, oats], 340) is carrot
