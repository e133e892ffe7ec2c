"""Herds over many years: draws, laws of heads, policies, means against the tables, and the compiled path against its twin."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import lru_cache

import numpy as np
import pytest
from conftest import EXAMPLES
from hypothesis import given, settings
from hypothesis import strategies as st
from stock_kit import group, holding, light, warmth, year_of

import yardland
from yardland.errors import InputFaults
from yardland.holding import sense_stock
from yardland.holding.draft import Draft
from yardland.holding.known import KnownNames
from yardland.holding.model import OwnRow, Sire, TradeRow
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.herds import figures
from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import binomial, lane_key, mix, name_hash, uniform, week_keys
from yardland.stock.herds.plan import compile_plan, honey_half_width
from yardland.stock.herds.shortfall import EARLIER, NONE_FOLLOWED, REASONS, off_target
from yardland.stock.herds.twin import run_twin
from yardland.stock.herds.years import herd_years, run_group
from yardland.stock.sky import Sky

MOST_SPREADS = 4.5
"""Standard errors within which a mean must lie: by chance it does not once in 100,000 times."""
BORROWED = Sire.model_validate({"how": "borrowed"})
DEMOS = ("tarn-hollow", "casa-vereda")


def own(**figures_by_key: float):
    """Tables under figures of one's own: stock__ewe__mortality_adult_per_year=0."""
    rows = [
        OwnRow(line=number, key=key.replace("__", "."), value=value, why="test")
        for number, (key, value) in enumerate(figures_by_key.items(), 2)
    ]
    return load_tables(rows)


def years_of(groups, years=10, chains=20, seed=1, tables=None, latitude_deg=52.0, start_month=1, trades=()):
    """Herds of a holding of those groups."""
    plan = holding(groups, latitude_deg, start_month, trades=trades)
    months, tables = larder_months(2001, start_month), tables or load_tables()
    sky = (warmth(latitude_deg, start_month), light(latitude_deg, start_month))
    return herd_years(plan, tables, months, *sky, years, chains, seed)


def safe(**fields):
    """A group that nothing strikes."""
    none = {
        f"{key}_per_year": 0.0
        for key in ("fox", "poultry_disease", "rabbit_fever", "dogs", "sheep_disease", "pig_disease", "cattle_mishap")
    }
    return group(strike=none | fields.pop("strike", {}), **fields)


@lru_cache(maxsize=2)
def demo(name: str):
    """A demo holding over ten years with fifty chains."""
    plan = yardland.load(EXAMPLES / name)
    latitude_deg, start = plan.place.latitude_deg, plan.place.year_starts.month
    months = larder_months(2001, start)
    sky = (warmth(latitude_deg, start), light(latitude_deg, start))
    return herd_years(plan, load_tables(plan.own), months, *sky, 10, 50, 3)


def check_law(found) -> None:
    """Born + bought + joined = left + died + struck + killed + sold + culled + change of heads; heads never negative."""
    for herd in found.groups.values():
        change = np.diff(herd.heads_at_start, axis=1)
        came = herd.count("born") + herd.count("bought") + herd.count("joined")
        went = sum(herd.count(name) for name in ("left", "died", "struck", "killed", "sold", "culled"))
        assert np.array_equal(came, went + change)
        assert herd.heads_week.min() >= 0
        assert np.array_equal(herd.heads_week[:, -1], herd.heads_at_start[:, 1:])
        assert herd.count("joined").sum() == herd.count("left").sum()


def check_mean(values, expected: float, spread: float, what: str) -> None:
    """A mean of independent values lies within its sampling interval."""
    error = spread / np.sqrt(np.size(values))
    assert abs(np.mean(values) - expected) <= MOST_SPREADS * error, (what, np.mean(values), expected, error)


def check_share(part: int, whole: int, expected: float, what: str) -> None:
    """A share of independent cases lies within its sampling interval."""
    error = np.sqrt(expected * (1.0 - expected) / whole)
    assert abs(part / whole - expected) <= MOST_SPREADS * error, (what, part / whole, expected, error)


# draws


def test_numbers_of_a_key_are_even() -> None:
    """Mean, spread and lag of 20,000 numbers of consecutive keys are those of even numbers."""
    numbers = np.array([uniform(mix(key)) for key in range(20_000)])

    assert numbers.min() >= 0.0
    assert numbers.max() < 1.0
    check_mean(numbers, 0.5, np.sqrt(1 / 12), "mean")
    check_mean((numbers - 0.5) ** 2, 1 / 12, np.sqrt(1 / 180), "variance")
    check_mean((numbers[1:] - 0.5) * (numbers[:-1] - 0.5), 0.0, 1 / 12, "lag")


@pytest.mark.parametrize(("heads", "chance"), [(1, 0.3), (7, 0.02), (10, 0.5), (24, 0.75), (200, 0.01), (150, 0.9)])
def test_binomial_draws_have_the_binomials_mean_and_variance(heads, chance) -> None:
    """4,000 draws of so many heads: mean n p and variance n p q, within their sampling intervals."""
    draws = np.array([binomial(mix(key), heads, chance) for key in range(4000)])
    variance = heads * chance * (1 - chance)

    check_mean(draws, heads * chance, np.sqrt(variance), "mean")
    fourth = 3 * variance**2 + variance * (1 - 6 * chance * (1 - chance))
    check_mean((draws - heads * chance) ** 2, variance, np.sqrt(fourth - variance**2), "variance")


@given(key=st.integers(0, 2**64 - 1), heads=st.integers(0, 300), one=st.floats(0, 1), other=st.floats(0, 1))
def test_binomial_draws_are_whole_and_grow_with_the_chance(key, heads, one, other) -> None:
    """Of the same number, a greater chance never gives fewer; none at 0, all at 1."""
    low, high = sorted((one, other))

    assert 0 <= binomial(key, heads, low) <= binomial(key, heads, high) <= heads
    assert binomial(key, heads, 0.0) == 0
    assert binomial(key, heads, 1.0) == heads


@given(mean=st.floats(1.0, 14.0), sd=st.one_of(st.just(0.0), st.floats(0.1, 3.0)))
def test_litters_have_the_tables_mean(mean, sd) -> None:
    """The mean of the drawn litter is the table's, whatever the spread."""
    cumulative = figures.litter_cumulative(mean, sd)

    assert (1.0 - cumulative).sum() == pytest.approx(mean, abs=1e-9)
    assert np.all(np.diff(cumulative) >= -1e-15)
    assert cumulative[-1] == pytest.approx(1.0)


@given(loss=st.floats(0.0, 0.9), first=st.floats(0.0, 1.0), weeks=st.integers(1, 15), later=st.floats(0.0, 0.5))
def test_early_losses_add_up_to_the_tables(loss, first, weeks, later) -> None:
    """Those that live through the early weeks are 1 - loss; a year at the later rate leaves 1 - later."""
    chance = figures.death_by_age(loss, first, weeks, later, 100, 3)

    assert np.prod(1.0 - chance[3 : 3 + weeks]) == pytest.approx(1.0 - loss)
    assert np.prod(1.0 - chance[20:72]) == pytest.approx(1.0 - later)


def test_honey_of_the_years_varies_as_the_table_says() -> None:
    """With a tenth of the years without honey, the even spread of the others gives the table's spread of all."""
    half = honey_half_width(0.1, 0.5)
    years = np.concatenate([np.zeros(1000), (1 + half * np.linspace(-1, 1, 9000)) / 0.9])

    assert years.mean() == pytest.approx(1.0, abs=1e-9)
    assert years.std() == pytest.approx(0.5, abs=1e-3)


# the compiled path, and what a draw hangs on


@pytest.mark.parametrize("name", DEMOS)
def test_the_compiled_path_is_the_twin_to_the_bit(name) -> None:
    """Heads, counts, sums and money of every group of a demo holding, in three chains of six years."""
    from yardland.stock.herds.numba_path import run_numba

    keys = week_keys(11, 52 * 6)
    for told, herd in demo(name).groups.items():
        lanes = [lane_key(told, chain) for chain in range(3)]
        twin, _ = run_twin(herd.plan.arrays, lanes, keys, 6)
        for one, other in zip(twin, run_numba(herd.plan.arrays, lanes, keys, 6), strict=True):
            assert np.array_equal(one, other), told


def test_the_compiled_path_makes_room_for_more_cohorts() -> None:
    """A herd that needs more cohorts than there is room for at first is run anew, and is the twin's to the bit."""
    from yardland.stock.herds.numba_path import SPARE_SLOTS, run_numba

    does = group(heads={"rabbit_doe": 60, "rabbit_buck": 4}, born=["02-10", "04-10", "06-10", "08-10", "10-10"])
    sky = Sky.of(larder_months(2001, 1), warmth(52.0, 1), light(52.0, 1))
    plan = compile_plan(holding({"does": does}), load_tables(), sky).groups["does"]
    lanes, keys = [lane_key("does", 0)], week_keys(5, 52 * 3)
    twin, _ = run_twin(plan.arrays, lanes, keys, 3)

    assert len(plan.arrays.opening) < SPARE_SLOTS
    for one, other in zip(twin, run_numba(plan.arrays, lanes, keys, 3), strict=True):
        assert np.array_equal(one, other)


@settings(max_examples=8, deadline=None)
@given(after=st.integers(1, 150), other=st.integers(2, 10**6))
def test_what_comes_later_changes_nothing_before(after, other) -> None:
    """Another seed from a week on leaves every head up to that week as it was, and later ones differ in the end."""
    sky = Sky.of(larder_months(2001, 9), warmth(52.0, 9), light(52.0, 9))
    flock = group(heads={"dual_purpose_hen": 30, "cockerel": 3}, born=["04-20"])
    plan = compile_plan(holding({"hens": flock}), load_tables(), sky).groups["hens"]
    lanes = [lane_key("hens", 0)]
    base, _ = run_twin(plan.arrays, lanes, week_keys(1, 156), 3)
    moved, _ = run_twin(plan.arrays, lanes, week_keys(1, 156, other_after=(after, other)), 3)
    heads, heads_moved = (out.heads.reshape(156, -1) for out in (base, moved))

    assert np.array_equal(heads[:after], heads_moved[:after])


def test_another_group_and_more_chains_change_nothing() -> None:
    """A group's years are the same beside another group, and a chain's the same among more chains or alone."""
    hens = group(heads={"laying_hen": 12, "cockerel": 1}, born=["04-10"])
    ewes = group(heads={"ewe": 6}, born=["04-01"], sire=BORROWED)
    alone, beside = years_of({"hens": hens}, 6, 3), years_of({"ewes": ewes, "hens": hens}, 6, 5)

    assert np.array_equal(alone.groups["hens"].heads_week, beside.groups["hens"].heads_week[..., :3])
    assert np.array_equal(alone.groups["hens"].total("eggs"), beside.groups["hens"].total("eggs")[..., :3])
    assert not np.array_equal(
        alone.groups["hens"].heads_week, years_of({"hens": hens}, 6, 3, 2).groups["hens"].heads_week
    )


def test_groups_of_another_name_have_other_luck() -> None:
    """Draws hang on the group's name, not on its place."""
    ewes = group(heads={"ewe": 10}, born=["04-01"], sire=BORROWED)
    found = years_of({"hill": ewes, "dale": ewes}, 5, 4)

    assert name_hash("herd", "hill") != name_hash("herd", "dale")
    assert not np.array_equal(found.groups["hill"].heads_week, found.groups["dale"].heads_week)


# laws and means


@pytest.mark.parametrize("name", DEMOS)
def test_heads_of_the_demo_holdings_balance(name) -> None:
    """Born and bought are died, struck, killed, sold, culled and the change, for each row, year and chain."""
    check_law(demo(name))


@settings(max_examples=12, deadline=None)
@given(
    heads=st.integers(1, 25),
    kind=st.sampled_from(["ewe", "sow", "rabbit_doe", "goose", "dual_purpose_hen", "dairy_cow_small", "goat_meat_doe"]),
    month=st.integers(1, 12),
    seed=st.integers(0, 2**64 - 1),
    renew=st.sampled_from(["own young", "own young only", "bought"]),
    kill=st.one_of(st.none(), st.integers(5, 900)),
)
def test_heads_of_any_group_balance(heads, kind, month, seed, renew, kill) -> None:
    """The law holds for any class, number, date of birth, way of renewing, killing age and seed."""
    flock = group(heads={kind: heads}, born=[f"{month:02d}-11"], sire=BORROWED, renew=renew, kill_after_days=kill)

    check_law(years_of({"g": flock}, 4, 2, seed))


def test_births_sexes_losses_and_deaths_are_the_tables_in_the_mean() -> None:
    """Ewes: share that bear, lambs of each, sexes, losses to weaning, deaths of adults, over 4,000 ewe-years."""
    tables = load_tables()
    flock = safe(heads={"ewe": 40}, born=["04-01"], sire=BORROWED, keep_young=0, kill_after_days=112)
    herd = years_of({"ewes": flock}, 10, 10, tables=tables).groups["ewes"]
    row, served, bore = tables.row("stock", "ewe"), herd.count("served")[0].sum(), herd.count("bore")[0].sum()
    born, weaned = herd.count("born")[1].sum(), herd.count("killed")[1].sum()
    spread = tables.row("breeding", "ewe").need("litter_sd")

    # Services bear in the next year, of those that live until then.
    bears = tables.row("breeding", "ewe").need("bears_share")
    later = herd.count("served")[0, :-1].sum()
    lives = (1 - row.need("mortality_adult_per_year")) ** (21 / 52)
    check_share(herd.count("bore")[0, 1:].sum(), later, bears * lives, "bearing")
    assert served > 3500
    check_mean(np.full(bore, born / bore), row.need("litter_or_clutch_size"), spread, "lambs")
    check_share(weaned, born, (1 - row.need("mortality_young_fraction")), "weaned")
    stood = herd.heads_week[0].sum() / 52
    check_share(herd.count("died")[0].sum(), int(stood), row.need("mortality_adult_per_year"), "deaths")


def test_sexes_are_even() -> None:
    """Of cockerels and pullets killed young, each sex is a half: the twin's own cohorts are counted."""
    from yardland.stock.herds.twin import Herd

    flock = safe(heads={"ewe": 60}, born=["04-01"], sire=BORROWED, keep_young=0)
    sky = Sky.of(larder_months(2001, 1), warmth(52.0, 1), light(52.0, 1))
    plan = compile_plan(holding({"ewes": flock}), load_tables(), sky).groups["ewes"].arrays
    females = males = 0
    for chain in range(12):
        herd, keys, lane = Herd(plan, 1), week_keys(1, 52), lane_key("ewes", chain)
        for week in range(14):
            herd.step(week, mix(lane ^ int(keys[week])))
        young = [cohort for cohort in herd.cohorts if cohort.row == 1]
        females += sum(cohort.heads for cohort in young if cohort.sex == at.FEMALE)
        males += sum(cohort.heads for cohort in young if cohort.sex == at.MALE)

    assert females + males > 800
    check_share(females, females + males, 0.5, "females")


def test_hatching_is_the_tables_in_the_mean() -> None:
    """Eggs set by geese and in an incubator hatch in the table's share, each egg drawn."""
    tables = load_tables()
    geese = safe(heads={"goose": 20}, born=["05-05"], sire=BORROWED)
    hens = safe(heads={"laying_hen": 30, "cockerel": 3}, born=["04-20"], hatch="incubator")
    found = years_of({"geese": geese, "hens": hens}, 10, 12, tables=tables)
    for name, klass in (("geese", "goose"), ("hens", "laying_hen")):
        herd = found.groups[name]
        eggs, hatched = herd.count("eggs_set")[0].sum(), herd.count("born")[1].sum()
        assert eggs > 2000
        check_share(hatched, eggs, tables.row("stock", klass).need("hatchability_of_set"), name)


def test_strikes_take_the_share_that_the_keeper_gives() -> None:
    """A fox every second year that takes 0.3 in the mean: losses to strikes are 0.15 a year of what stands."""
    hens = safe(heads={"laying_hen": 40}, strike={"fox_per_year": 0.5, "fox_share": 0.3})
    herd = years_of({"hens": hens}, 10, 60).groups["hens"]
    struck = herd.count("struck")[0]
    stood = herd.heads_week[0].mean(axis=0)

    # Several a year are possible, each of what is left; the years' shares vary by about 0.25.
    yearly = -52 * np.log(1 - (1 - 0.5 ** (1 / 52)) * 0.3)
    check_mean(struck / stood, yearly, 0.3, "struck")
    assert 0.3 < (struck > 0).mean() < 0.6


def test_strikes_fall_in_their_months() -> None:
    """Rabbit fever comes from May to November in the north, half a year later in the south."""
    does = group(heads={"rabbit_doe": 6})
    for latitude_deg, first, last in ((52.0, 5, 11), (-38.0, 11, 5)):
        sky = Sky.of(larder_months(2001, 1), warmth(latitude_deg, 1), light(latitude_deg, 1))
        plan = compile_plan(holding({"does": does}, latitude_deg), load_tables(), sky).groups["does"]
        months = {int(plan.arrays.month[week]) + 1 for week in np.flatnonzero(plan.arrays.strike[0])}
        expected = range(first, last + 1) if first < last else [*range(first, 13), *range(1, last + 1)]
        assert months == set(expected)
        assert np.prod(1 - plan.arrays.strike[0]) == pytest.approx(1 - plan.strikes[0].chance)


# policies


def test_a_flock_that_is_not_renewed_dwindles_and_says_why() -> None:
    """No own young kept and none bought: numbers never rise, and the reason is given."""
    hens = group(
        heads={"laying_hen": 20, "cockerel": 2}, born=["04-10"], keep_young=0, renew="own young only", hatch="broody"
    )
    found = years_of({"hens": hens}, 12, 20)
    herd = found.groups["hens"]
    starts = herd.heads_at_start[0]

    assert np.all(np.diff(starts, axis=0) <= 0)
    assert starts[-1].mean() < 15
    assert herd.count("bought")[:2].sum() == 0
    off = off_target(starts, 20)
    assert np.all(herd.short_reason[0][off] > 0)
    assert NONE_FOLLOWED in herd.short_reason[0]
    assert any(REASONS[NONE_FOLLOWED] in note.words for note in found.findings)


def test_a_flock_grows_to_its_target_on_its_own_young() -> None:
    """Four ewes that are to be ten become ten without a purchase, and are not more for long."""
    ewes = safe(heads={"ewe": 4}, target={"ewe": 10}, born=["04-01"], sire=BORROWED, renew="own young only")
    herd = years_of({"ewes": ewes}, 12, 20).groups["ewes"]

    assert np.all(herd.heads_at_start[0, 0] == 4)
    assert herd.count("bought").sum() == 0
    assert 9 <= herd.heads_at_start[0, -3:].mean() <= 11


def test_a_lost_sire_is_replaced_and_costed() -> None:
    """Cocks that die at nine in ten a year are bought anew within four weeks, at the price of a head."""
    tables = own(stock__cockerel__mortality_adult_per_year=0.9)
    trades = [TradeRow(line=2, item="cockerel", do="buy", price=11.0, per="head")]
    hens = safe(heads={"laying_hen": 12, "cockerel": 1}, born=["04-10"])
    herd = years_of({"hens": hens}, 10, 10, tables=tables, trades=trades).groups["hens"]
    row = herd.rows.index("cockerel")
    bought, there = herd.count("bought")[row], herd.heads_week[row]

    assert bought.sum() > 100
    assert np.array_equal(herd.money(at.SPENT)[row], 11.0 * bought)
    assert there.max() == 1
    assert np.all(there.transpose(2, 1, 0).reshape(there.shape[2], -1)[:, ::4] == 1)


def test_without_a_male_nothing_hatches_until_one_is_there() -> None:
    """Males serve so many females: with one for thirty hens a third of the eggs are fertile, and it is told."""
    hens = safe(heads={"laying_hen": 30, "cockerel": 1}, born=["04-10"], hatch="incubator")
    found = years_of({"hens": hens}, 10, 10)
    herd = found.groups["hens"]
    share = herd.count("born")[1].sum() / herd.count("eggs_set")[0].sum()

    assert share == pytest.approx(0.75 * 10 / 30, abs=0.04)
    assert any("serves about 10 females" in note.words for note in found.findings)


def test_a_dam_that_is_lost_is_bought_anew() -> None:
    """A house cow that dies is replaced within four weeks; her price is paid."""
    tables = own(stock__dairy_cow_small__mortality_adult_per_year=0.5)
    cow = safe(heads={"dairy_cow_small": 1}, born=["04-05"], sire=BORROWED, keep_young=0)
    herd = years_of({"cow": cow}, 10, 20, tables=tables).groups["cow"]
    price = tables.row("prices", "stock.house_cow_in_milk").need("eur_mid")

    assert herd.count("died")[0].sum() > 50
    assert (herd.heads_week[0] == 1).mean() > 0.95
    assert np.array_equal(herd.money(at.SPENT)[0], price * herd.count("bought").sum(axis=0))


def test_a_hired_sire_costs_every_year() -> None:
    """The money of a hired sire is paid once a year."""
    ewes = safe(
        heads={"ewe": 5}, born=["04-10"], sire=Sire.model_validate({"how": "hired", "from": "11-10", "cost": 45})
    )
    herd = years_of({"ewes": ewes}, 6, 4, tables=own(stock__ewe__mortality_adult_per_year=0)).groups["ewes"]
    price = load_tables().row("prices", "stock.ewe_breeding").need("eur_mid")

    assert np.array_equal(herd.money(at.SPENT).sum(axis=0), 45.0 + price * herd.count("bought").sum(axis=0))


def test_service_that_is_bought_holds_less_often() -> None:
    """Bought services bear in the table's share of what a sire that stays would give."""
    tables = load_tables()
    sows = safe(heads={"sow": 20}, born=["03-10", "09-10"], sire=Sire.model_validate({"how": "bought service"}))
    herd = years_of({"sows": sows}, 10, 10).groups["sows"]
    expected = tables.row("breeding", "sow").need("bears_share")
    expected *= tables.row("herd_odds", "service_success_bought").need("number")

    check_share(herd.count("bore")[0, 1:].sum(), herd.count("served")[0, 1:].sum(), expected, "bearing")


def test_surplus_young_are_sold_as_far_as_somebody_takes_them() -> None:
    """A trade that takes three lambs a month takes three, at its price; the others are killed."""
    trades = [TradeRow(line=2, item="lamb", do="sell", price=80.0, per="head", limit_month=3)]
    ewes = safe(heads={"ewe": 12}, born=["04-01"], sire=BORROWED)
    herd = years_of({"ewes": ewes}, 5, 5, trades=trades).groups["ewes"]

    assert np.all(herd.count("sold")[1] <= 3)
    assert herd.count("sold")[1].sum() >= 60
    assert np.array_equal(herd.money(at.EARNED)[1], 80.0 * herd.count("sold")[1])
    assert herd.total("live_sold")[1].sum() > 0


def test_dams_with_two_dates_are_shared_out() -> None:
    """Two goats with two births a year bear one after the other, not both twice."""
    goats = safe(heads={"goat_dairy_doe": 2}, born=["03-10", "04-30"], sire=BORROWED, conception=1.0)
    herd = years_of({"goats": goats}, 8, 6, tables=own(stock__goat_dairy_doe__mortality_adult_per_year=0)).groups[
        "goats"
    ]

    assert np.all(herd.count("bore")[0, 1:] <= 3)
    assert herd.count("bore")[0].mean() == pytest.approx(2.0, abs=0.35)


def test_barren_females_are_culled() -> None:
    """Ewes that never bear leave after their second barren year, and others are bought."""
    ewes = safe(heads={"ewe": 10}, born=["04-01"], sire=BORROWED, conception=0.01)
    herd = years_of({"ewes": ewes}, 9, 3).groups["ewes"]

    assert herd.count("culled")[0, 3:].sum(axis=0).mean() > 15


# what they need and give


def test_needs_of_a_steady_group_are_the_previews() -> None:
    """Males at a steady number need over the year what the preview of one year gives: energy, protein, water, manure."""
    tables = own(stock__ram__mortality_adult_per_year=0, stock__cockerel__mortality_adult_per_year=0)
    groups = {"rams": safe(heads={"ram": 3}), "cocks": safe(heads={"cockerel": 5})}
    found, preview = years_of(groups, 2, 1, tables=tables), year_of(groups)
    for need in preview.needs:
        herd = found.groups[need.group]
        assert herd.total("energy")[0, :, 1, 0].sum() == pytest.approx(need.energy_mj.sum(), rel=1e-3)
        assert herd.total("protein")[0, :, 1, 0].sum() / 1000 == pytest.approx(need.protein_kg.sum(), rel=1e-3)
        assert herd.total("water")[0, :, 1, 0].sum() / 1000 == pytest.approx(need.water_m3.sum(), rel=1e-3)
        assert herd.total("manure_n")[0, :, 1, 0].sum() / 1000 == pytest.approx(need.manure_n_kg.sum(), rel=1e-3)


def test_needs_milk_and_eggs_of_breeding_groups_are_near_the_previews() -> None:
    """The mean of many drawn years lies near the preview of steady numbers, where all bear and nobody dies early."""
    tables = own(stock__goat_dairy_doe__mortality_adult_per_year=0, stock__laying_hen__mortality_adult_per_year=0)
    groups = {
        "goats": safe(
            heads={"goat_dairy_doe": 7}, born=["03-20"], sire=BORROWED, milk_share="once a day", conception=1.0
        ),
        "hens": safe(heads={"laying_hen": 30, "cockerel": 3}, born=["04-20"]),
    }
    found = years_of(groups, 10, 12, tables=tables)
    preview = {(need.group, need.klass): need for need in year_of(groups).needs}
    goats, hens = found.groups["goats"], found.groups["hens"]

    milk = preview["goats", "goat_dairy_doe"].products["milk_goat"].sum()
    assert goats.total("milk")[0].sum(axis=0).mean() == pytest.approx(milk, rel=0.06)
    energy = preview["goats", "goat_dairy_doe"].energy_mj.sum()
    assert goats.total("energy")[0].sum(axis=0).mean() == pytest.approx(energy, rel=0.06)
    eggs = preview["hens", "laying_hen"].products["egg_hen"].sum()
    assert hens.total("eggs")[0].sum(axis=0).mean() == pytest.approx(eggs, rel=0.06)


def test_the_cow_gives_no_milk_while_she_is_dry() -> None:
    """Milk by month: none before the birth, most after weaning."""
    cow = safe(heads={"dairy_cow_small": 1}, born=["04-05"], sire=BORROWED, milk_share="apart at night", conception=1.0)
    herd = years_of({"cow": cow}, 4, 8, tables=own(stock__dairy_cow_small__mortality_adult_per_year=0)).groups["cow"]
    milk = herd.total("milk")[0, :, 1:].mean(axis=(1, 2))

    assert milk[2] == 0.0
    assert milk[6] > milk[3] > 0.0


def test_bees_have_bad_winters_and_bad_summers() -> None:
    """Winter losses of each colony, years without honey, and sugar only in poor years."""
    found = years_of({"hives": group(heads={"honeybee_colony": 8})}, 20, 30)
    herd = found.groups["hives"]
    honey, sugar = herd.total("honey")[0].sum(axis=0), herd.total("sugar")[0].sum(axis=0)
    lived = herd.heads_at_start[0, :-1]

    check_share(herd.count("died")[0].sum(), int(lived.sum()), 0.25, "winter")
    check_share(int((honey[lived > 0] == 0).sum()), int((lived > 0).sum()), 0.1, "no honey")
    assert np.all(sugar[honey == 0.0][herd.heads_at_start[0, 1:][honey == 0.0] > 0] > 0)
    assert sugar[honey > 15 * 8].sum() == 0
    assert herd.heads_at_start[0].max() <= 8
    check_law(found)


# what is told


def test_todays_heads_open_every_chain() -> None:
    """The first year begins with the plan's heads, in every chain."""
    for name in DEMOS:
        for herd in demo(name).groups.values():
            for row, label in enumerate(herd.plan.rows):
                if label.part in {"females", "males", "colonies"}:
                    assert np.all(herd.heads_at_start[row, 0] == herd.plan.group.heads[label.klass])


@pytest.mark.parametrize("name", DEMOS)
def test_demo_classes_are_near_their_target_or_say_why(name) -> None:
    """Ten years, fifty chains: at each year's start each class is within a quarter of its target or a reason stands."""
    found = demo(name)
    told = {note.subject for note in found.findings if "more than a quarter off" in note.words}
    for herd in found.groups.values():
        for row, label in enumerate(herd.plan.rows):
            off = off_target(herd.heads_at_start[row], int(herd.plan.arrays.row[row, at.TARGET]))
            why = herd.short_reason[row]
            assert np.array_equal(why > 0, off)
            assert (why == EARLIER).mean() < 0.05, label
            assert off.mean() < 0.45, label
            assert off.mean() < 0.05 or f"{herd.plan.name}.{label.klass}" in told


def test_events_of_the_first_chain_are_its_counts() -> None:
    """Young born or hatched by the list of events are those of the counts."""
    for name in DEMOS:
        found = demo(name)
        for told, herd in found.groups.items():
            events = found.events[told]
            assert [event.week for event in events] == sorted(event.week for event in events)
            for kind, count in (("born", "born"), ("hatched", "born"), ("struck", "struck"), ("culled", "culled")):
                rows = {event.row for event in events if event.kind == kind}
                for row in rows:
                    heads = sum(event.heads for event in events if event.row == row and event.kind == kind)
                    assert heads == herd.count(count)[row, :, 0].sum()


def test_a_kept_male_that_meets_his_daughters_is_told() -> None:
    """Own pullets under a cock that stays three years: told; with a borrowed ram: not."""
    hens = safe(heads={"laying_hen": 12, "cockerel": 1}, born=["04-10"])
    ewes = safe(heads={"ewe": 8}, born=["04-01"], sire=BORROWED)
    found = years_of({"hens": hens, "ewes": ewes}, 8, 8)
    kin = [note.subject for note in found.findings if "daughters" in note.words]

    assert kin == ["hens.laying_hen"]


@pytest.mark.parametrize(("latitude_deg", "wrong", "right"), [(52.0, "10-20", "04-10"), (-40.0, "04-10", "10-01")])
def test_births_out_of_season_are_told(latitude_deg, wrong, right) -> None:
    """Ewes that lamb in autumn, geese that hatch in autumn; half a year later in the south."""
    for klass in ("ewe", "goose"):
        for day, told in ((wrong, True), (right, False)):
            flock = group(heads={klass: 4}, born=[day], sire=BORROWED)
            found = years_of({"g": flock}, 3, 2, latitude_deg=latitude_deg)
            assert any("out of season" in note.words for note in found.findings) == told, (klass, day)


def test_geese_that_sit_in_autumn_have_no_eggs() -> None:
    """No eggs are laid before an autumn setting, so none hatch, and it is told."""
    found = years_of({"geese": group(heads={"goose": 6}, born=["11-05"], sire=BORROWED)}, 3, 3)

    assert found.groups["geese"].count("born").sum() == 0
    assert any(note.number == "0 eggs set" for note in found.findings)


def test_young_that_miss_the_first_service_are_told() -> None:
    """Kids of August are too young in March: first served a year later."""
    goats = group(heads={"goat_dairy_doe": 4}, born=["08-15"], sire=BORROWED)
    found = years_of({"goats": goats}, 4, 2, latitude_deg=-38.0, start_month=7)
    notes = [note for note in found.findings if "short of the age of first breeding" in note.words]

    assert len(notes) == 1
    assert notes[0].number == "581 days"


def test_young_planned_without_a_sire_are_told() -> None:
    """Dates of birth and no male: none are born, and it is told."""
    flock = group(heads={"ewe": 4}, born=["04-01"], sire=BORROWED).model_copy(update={"sire": None})
    found = years_of({"g": flock}, 3, 2)

    assert found.groups["g"].count("born").sum() == 0
    assert [note.grade for note in found.findings if "no male is kept" in note.words] == ["short"]


def test_summaries_are_the_arrays_in_short() -> None:
    """Means, ranges and products of a summary are those of the arrays."""
    herd = demo("tarn-hollow").groups["ewes"]
    ewe, lamb = herd.summary()

    assert ewe.row == "ewe"
    assert lamb.row == "lamb (young of ewe)"
    assert ewe.heads[0] == pytest.approx(herd.heads_at_start[0].mean())
    assert ewe.target == 2
    assert lamb.products["meat_lamb"] == pytest.approx(
        herd.total("live_killed")[1].sum(axis=0).mean() * load_tables().row("stock", "lamb").need("dressing_fraction")
    )
    assert sum(ewe.short_because.values()) == pytest.approx(1.0)
    assert herd.products_kg()["meat_lamb"].shape == (12, 10, 50)


def test_both_paths_serve_a_run() -> None:
    """A short run goes step by step, a long one compiled, and the chains that they share are equal."""
    ewes = group(heads={"ewe": 5}, born=["04-01"], sire=BORROWED)
    sky = Sky.of(larder_months(2001, 1), warmth(52.0, 1), light(52.0, 1))
    plan = compile_plan(holding({"ewes": ewes}), load_tables(), sky).groups["ewes"]
    keys = week_keys(1, 52 * 4)
    short, long = run_group(plan, keys, 4, 2), run_group(plan, keys, 4, 20)

    for one, other in zip(short, long, strict=True):
        assert np.array_equal(one, other[:2])


def test_no_years_or_no_chains_are_refused() -> None:
    """Herds need a year and a chain."""
    with pytest.raises(ValueError, match="a year and a chain"):
        years_of({"g": group(heads={"ewe": 2})}, 0, 1)


# the plan's keys


@pytest.mark.parametrize(
    ("fields", "where"),
    [
        ({"target": {"lamb": 4}}, "group.g.target.lamb"),
        ({"strike": {"fxo_per_year": 0.1}}, "group.g.strike.fxo_per_year"),
        ({"strike": {"fox_per_year": 3.0}}, "group.g.strike.fox_per_year"),
        ({"renew": "own young only", "born": []}, "group.g.renew"),
        ({"renew": "bought", "keep_young": 2}, "group.g.renew"),
    ],
)
def test_policies_that_cannot_be_are_faults(fields, where) -> None:
    """A target of a class that is not there, an unknown strike, young kept by who buys: each named."""
    flock = group(**({"heads": {"ewe": 4}, "born": ["04-01"]} | fields))
    draft = replace(Draft(), group={"g": flock})
    known = KnownNames(strikes=frozenset({"fox", "dogs"}))
    today = date(2026, 1, 1)
    faults = [fault for check in (sense_stock.policies, sense_stock.strikes) for fault in check(draft, known, today)]

    assert [fault.where for fault in faults] == [where]
    assert faults[0].remedy


def test_unknown_keys_of_a_group_stay_errors(tmp_path) -> None:
    """A mistyped policy is refused with the nearest key."""
    folder = tmp_path / "h"
    folder.mkdir()
    for file in (EXAMPLES / "tarn-hollow").iterdir():
        if file.is_file():
            (folder / file.name).write_bytes(file.read_bytes())
    plan = (folder / "holding.toml").read_text(encoding="utf-8")
    (folder / "holding.toml").write_text(plan.replace("keep_young = 6,", "renw = 'bought',"), encoding="utf-8")

    with pytest.raises(InputFaults, match="renw"):
        yardland.load(folder)
