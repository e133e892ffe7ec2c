"""Herds by week: balances, means, policies, and what they need and give."""

from __future__ import annotations

import numpy as np
import pytest
from herds_kit import BORROWED, DEMOS, check_law, check_mean, check_share, demo, own, safe, years_of
from hypothesis import given, settings
from hypothesis import strategies as st
from stock_kit import group, holding, light, warmth, year_of

from yardland.holding.model import Sire, TradeRow
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.herds import layout as at
from yardland.stock.herds.draws import lane_key, mix, week_keys
from yardland.stock.herds.plan import compile_plan
from yardland.stock.herds.shortfall import NONE_FOLLOWED, REASONS, off_target
from yardland.stock.sky import Sky

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
