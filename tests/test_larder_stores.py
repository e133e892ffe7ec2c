"""Places where food lies: how warm they are, how fast it spoils there, and what a freezer loses without power."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from conftest import EXAMPLES
from hypothesis import given, settings
from hypothesis import strategies as st
from larder_kit import food, imbalance, keeping, larder, months, random_larder

import yardland
from yardland.holding.model import OwnRow, Store
from yardland.larder.power import expected_thaw_loss, holds_h, monthly_thaw_loss, thaw_loss
from yardland.larder.program import solve_larder
from yardland.larder.warmth import ground_c, place_c, places_c, spoiling, warmth
from yardland.ledger.months import larder_months
from yardland.reference import load_tables

TABLES = load_tables()
NORTH = np.array([[3, 4, 6, 8, 11, 14, 16, 16, 13, 10, 6, 4], [0, 1, 2, 4, 7, 10, 12, 12, 9, 6, 3, 1]], dtype=float)
SOUTH = np.array(
    [[22, 21, 18, 15, 12, 10, 9, 10, 12, 15, 18, 21], [14, 13, 10, 8, 6, 5, 4, 5, 6, 8, 10, 13]], dtype=float
)
DIFFUSIVITY = 0.5e-6


def plan(**stores: Store):
    """A demonstration holding with these stores and no others."""
    return yardland.load(EXAMPLES / "tarn-hollow").model_copy(update={"store": stores})


def pace(store: str, temperatures: dict[str, np.ndarray]) -> tuple[float, ...]:
    """Factors of one way of keeping."""
    return warmth(TABLES, [store], temperatures)[store]


def test_earth_damps_and_delays():
    """Deeper earth swings less, later, about the same mean; at the surface it is as warm as the air."""
    shallow, deep = ground_c(NORTH[0], 0.5, DIFFUSIVITY), ground_c(NORTH[0], 2.0, DIFFUSIVITY)

    assert ground_c(NORTH[0], 0.0, DIFFUSIVITY) == pytest.approx(NORTH[0])
    assert np.ptp(NORTH[0]) > np.ptp(shallow) > np.ptp(deep) > 0
    assert shallow.mean() == pytest.approx(NORTH[0].mean())
    assert deep.mean() == pytest.approx(NORTH[0].mean())
    assert int(deep.argmax()) > int(NORTH[0].argmax())


def test_one_wave_is_the_printed_formula():
    """A sine comes down as A exp(-z/d) sin(wt - z/d) with d = sqrt(2 D / w)."""
    year_s, month = 365.0 * 86400.0, np.arange(12) / 12.0
    d = np.sqrt(2.0 * DIFFUSIVITY / (2.0 * np.pi / year_s))
    got = ground_c(10.0 + 8.0 * np.sin(2.0 * np.pi * month), 1.3, DIFFUSIVITY)

    assert got == pytest.approx(10.0 + 8.0 * np.exp(-1.3 / d) * np.sin(2.0 * np.pi * month - 1.3 / d))


def test_places_follow_the_weather_by_their_kind():
    """A cellar is cooler in summer than a pantry and a loft; a heated pantry is never cold, a freezer always is."""
    cellar, pantry, loft = (place_c(TABLES, kind, NORTH) for kind in ("cellar", "pantry", "loft"))

    assert (cellar[5:8] < pantry[5:8]).all()
    assert (cellar[5:8] < loft[5:8]).all()
    assert pantry.min() >= 12.0
    assert (place_c(TABLES, "freezer", None) == -18.0).all()
    assert place_c(TABLES, "cellar", None) is None
    assert place_c(TABLES, "barn", NORTH) is None


def test_vents_cool_a_cellar_no_further_than_frost():
    """Opened vents bring cold nights in, and are shut before it freezes."""
    cold = NORTH - 15.0
    earth = ground_c(NORTH[0], TABLES.row("places", "cellar").need("depth_m"), DIFFUSIVITY)

    assert (place_c(TABLES, "cellar", NORTH) <= earth).all()
    assert place_c(TABLES, "cellar", cold).min() == TABLES.row("places", "cellar").need("least_c")


def test_a_stated_temperature_goes_before_the_rule():
    """A cellar of a stated warmth has it all year, and two are weighed by their room."""
    stated = plan(
        a=Store(kind="cellar", volume_l=3000, temperature_c=4), b=Store(kind="cellar", volume_l=1000, temperature_c=8)
    )

    assert places_c(stated, TABLES, NORTH)["cellar"] == pytest.approx(np.full(12, 5.0))
    assert places_c(stated, TABLES, None)["cellar"] == pytest.approx(np.full(12, 5.0))


def test_a_kind_is_not_known_by_half_of_its_rooms():
    """Without a sky, a kind of which one room has no stated warmth stays unknown."""
    half = plan(a=Store(kind="cellar", volume_l=3000, temperature_c=4), b=Store(kind="cellar", volume_l=1000))

    assert "cellar" not in places_c(half, TABLES, None)


def test_a_southern_summer_has_no_cellar():
    """Roots lose over twice as fast in a dry southern summer as the table says, in a cool northern winter no faster."""
    south = pace("potato.root_cellar", {"cellar": place_c(TABLES, "cellar", SOUTH)})
    north = pace("potato.root_cellar", {"cellar": place_c(TABLES, "cellar", NORTH)})

    assert south[0] > 2.0
    assert north[1] == 1.0


def test_nothing_keeps_longer_for_being_colder():
    """At and under the warmth that a row is made for there are no factors at all."""
    most_c = TABLES.row("stores", "potato.root_cellar").need("keeps_to_c")

    assert pace("potato.root_cellar", {"cellar": np.full(12, most_c)}) == ()
    assert pace("potato.root_cellar", {"cellar": np.full(12, 1.0)}) == ()
    assert pace("hay_grass.barn", {"barn": np.full(12, 30.0)}) == ()


@given(st.floats(-20, 45), st.floats(0.01, 20))
def test_warmer_spoils_faster(degrees, more):
    """Spoiling grows with every degree, without a jump."""
    assert spoiling(TABLES, degrees + more) > spoiling(TABLES, degrees)
    assert spoiling(TABLES, degrees + 1e-9) == pytest.approx(float(spoiling(TABLES, degrees)), rel=1e-6)


def test_every_way_of_keeping_but_the_barn_says_how_warm_it_bears():
    """Each row of stores outside the barn has a warmth that its life holds to, and a place with a rule."""
    for key in TABLES.keys("stores"):
        row = TABLES.row("stores", key)
        assert (row["keeps_to_c"] is None) == (row.text("place") == "barn"), key
        assert row.text("place") == "jars" or TABLES.has("places", row.text("place")), key


def test_at_its_warmth_a_batch_is_left_as_before():
    """Without warmth or power cuts what is left is (1 - loss) to the months it lay."""
    plain = keeping("potato", loss=0.03, life=7.0)
    ones = replace(plain, warmth=(1.0,) * 12)

    assert [plain.kept(2, age) for age in range(8)] == [0.97**age for age in range(8)]
    assert [ones.kept(2, age) for age in range(8)] == pytest.approx([0.97**age for age in range(8)])


def test_a_warm_store_ends_a_shelf_life_early():
    """At twice the pace a life of six months is over after three, and a month of it later nothing is left."""
    warm = keeping("potato", loss=0.03, life=6.0, warmth=(2.0,) * 12)

    assert warm.kept(0, 3) == pytest.approx(0.94**3)
    assert warm.kept(0, 4) == 0.0
    assert warm.life_in(5) == 3.0


@given(st.lists(st.floats(1, 6), min_size=12, max_size=12), st.floats(0, 0.5), st.floats(0.2, 40), st.integers(-1, 11))
def test_what_is_left_never_grows(factors, loss, life, made):
    """Month by month there is less, between all and nothing."""
    warm = keeping("potato", loss=loss, life=life, warmth=tuple(factors), thaw_loss=0.01)
    left = [warm.kept(made, age) for age in range(13)]

    assert left[0] == 1.0
    assert all(0.0 <= later <= earlier for earlier, later in pairwise(left))


def test_a_hot_autumn_rots_roots():
    """With a warm autumn less of the same harvest is eaten in spring, the books still close, and the rest spoils."""
    need = np.full(12, 1000.0)
    fields = {"goods": [food("potato")], "gathered": {"potato": months(sep=14)}, "need_kcal": need}
    warm = tuple(3.0 if index in (9, 10) else 1.0 for index in range(12))
    plans = [
        solve_larder(larder(**fields, keepings=(replace(keeping("potato", loss=0.03, life=11.0), warmth=factors),)))
        for factors in ((), warm)
    ]
    cold, hot = (sum(plan.coverage["energy_kcal"]) for plan in plans)
    spoilt = [sum(plan.total("spoil", "potato")) for plan in plans]

    assert cold > hot + 0.2
    assert spoilt[1] > spoilt[0]


def test_a_shelf_loses_by_its_month():
    """What outlives the year and arrives often spoils faster in the warm months of its shelf, and the books close."""
    need = np.full(12, 1000.0)
    wheat = {"wheat": months(jul=6, aug=6, sep=6)}
    warm = tuple(4.0 if index in (6, 7, 8) else 1.0 for index in range(12))
    plan = solve_larder(
        larder([food("wheat")], wheat, need, keepings=(keeping("wheat", loss=0.02, life=36.0, warmth=warm),))
    )
    spoilt, lying = plan.total("spoil", "wheat"), plan.stores_kg["wheat, shelf"]

    assert imbalance(plan) < 1e-9
    assert spoilt[8] == pytest.approx(0.08 * lying[7], rel=1e-6)
    assert spoilt[11] == pytest.approx(0.02 * lying[10], rel=1e-6)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_warm_stores_keep_the_books(seed):
    """On invented larders with warm months and power cuts every kitchen and store balances, fresh and dry."""
    rng = np.random.default_rng(seed)
    case = random_larder(rng)
    warm = tuple(
        replace(way, warmth=tuple(float(pace) for pace in rng.uniform(1, 4, 12)), thaw_loss=float(rng.uniform(0, 0.05)))
        for way in case.keepings
    )
    plan = solve_larder(replace(case, keepings=warm))

    assert imbalance(plan) < 1e-9
    assert imbalance(plan, dry=True) < 1e-9
    if case.cyclic:
        assert plan.closing_kg[:, -1] == pytest.approx(plan.opening_kg[:, 0])


def test_a_freezer_holds_by_how_full_it_is():
    """Nothing is lost within the hold, all after twice it; a full one holds longer than a half-full one."""
    assert thaw_loss(TABLES, 1.0, 0.5) == 0.0
    assert thaw_loss(TABLES, 1.5, 0.5) == 0.5
    assert thaw_loss(TABLES, 2.0, 0.5) == 1.0
    assert thaw_loss(TABLES, 2.0, 1.0) == 0.0
    assert thaw_loss(TABLES, 30.0, 1.0) == 1.0
    assert thaw_loss(TABLES, 30.0, 0.0) == 0.0
    assert holds_h(TABLES, 0.25) == 12.0


def test_an_own_figure_of_no_hold_loses_all_at_once():
    """A freezer that by the user's own figures holds no hour loses everything in any cut, and an empty one nothing."""
    rows = [
        OwnRow(line=line, key=f"storing.{key}.number", value=0.0, why="old box")
        for line, key in enumerate(("thaw_half_h", "thaw_full_h"), 2)
    ]
    tables = load_tables(own=rows)

    assert thaw_loss(tables, 0.1, 0.5) == 1.0
    assert thaw_loss(tables, 0.0, 0.5) == 0.0
    assert expected_thaw_loss(tables, 1.0, 0.5) == pytest.approx(1.0 - np.exp(-24.0 / 6.0))
    assert expected_thaw_loss(tables, 1.0, 0.0) == 0.0


@pytest.mark.parametrize("full", [0.3, 0.5, 0.9])
def test_what_is_expected_is_the_mean_over_lengths(full):
    """The expected loss of one cut is thaw_loss over exponential lengths, summed by the numbers."""
    mean = TABLES.row("storing", "power_cut_h").need("number")
    hours = np.linspace(0.0, 60.0 * mean, 600_001)
    losses = np.clip(hours / holds_h(TABLES, full) - 1.0, 0.0, 1.0)
    one = np.trapezoid(losses * np.exp(-hours / mean) / mean, hours)

    assert expected_thaw_loss(TABLES, 1.0, full) == pytest.approx(1.0 - np.exp(-24.0 / mean * one), rel=1e-4)


def test_power_cuts_of_a_plan_take_from_the_freezer_alone():
    """Twelve months of the monthly loss are the year's, weighed by the room of the freezers; no cut takes nothing."""
    box = Store(kind="freezer", volume_l=200, power_cut_days_per_year=3)
    yearly = expected_thaw_loss(TABLES, 3.0, 0.5)

    assert 1.0 - (1.0 - monthly_thaw_loss(plan(box=box), TABLES)) ** 12 == pytest.approx(yearly)
    assert monthly_thaw_loss(plan(box=Store(kind="freezer", volume_l=200)), TABLES) == 0.0
    assert monthly_thaw_loss(plan(cellar=Store(kind="cellar", volume_l=200)), TABLES) == 0.0
    two = plan(box=box, other=Store(kind="freezer", volume_l=200))
    assert monthly_thaw_loss(two, TABLES) < monthly_thaw_loss(plan(box=box), TABLES)


def test_larder_months_may_begin_anywhere():
    """Warmth is by larder month: the same sky from October gives the same factors, turned."""
    october = np.roll(NORTH, -9, axis=1)
    first = place_c(TABLES, "cellar", NORTH)

    assert larder_months(2023, 10)[0].month == 10
    assert place_c(TABLES, "cellar", october) == pytest.approx(np.roll(first, -9))
