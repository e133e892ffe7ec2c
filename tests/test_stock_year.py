"""Laws of the stock room, with generated numbers of heads, dates and places."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stock_kit import (
    BORROWED,
    DAMS,
    DAY,
    GROWERS,
    LAYERS,
    MAMMALS,
    TABLES,
    group,
    holding,
    light,
    total,
    warmth,
    year_of,
)

from yardland.holding.model import Batch, MonthDay, OwnRow, TradeRow
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.kinds import kinds
from yardland.stock.laying import LayLight, eggs_per_hen, flock_share, lay_rate
from yardland.stock.sky import Sky
from yardland.stock.year import eggs_laid, herd_year


@settings(max_examples=25, deadline=None)
@given(key=st.sampled_from(LAYERS), birds=st.integers(1, 60), latitude=st.floats(-48.0, 48.0))
def test_eggs_are_birds_times_rate(key, birds, latitude):
    """Up to 50 degrees the eggs of a flock are its birds times the flock's yearly rate."""
    row = TABLES.row("stock", key)
    rate = row.need("eggs_per_year") * flock_share(row.need("breeding_life_yr"), row.need("lay_decline_per_year"))
    year = year_of({"flock": group(heads={key: birds})}, latitude)

    assert eggs_laid(year.needs[0], TABLES).sum() == pytest.approx(birds * rate, rel=0.02)


@pytest.mark.parametrize("key", ["laying_hen", "dual_purpose_hen"])
@pytest.mark.parametrize("latitude", [-54.0, -40.0, -20.0, 0.0, 30.0, 50.0, 56.0])
def test_hens_lay_150_to_300_eggs_a_year(key, latitude):
    """A hen lays 150 to 300 eggs a year where people farm (common practice)."""
    year = year_of({"flock": group(heads={key: 10})}, latitude)

    assert 150 <= eggs_laid(year.needs[0], TABLES).sum() / 10 <= 300


# Share of the best rate at 45-50 degrees north, January to December (common practice among keepers of unlit hens).
MONTH_FACTORS = [0.55, 0.8, 1.1, 1.1, 1.1, 1.1, 1.0, 1.0, 0.8, 0.6, 0.5, 0.45]


def test_laying_by_daylength_gives_the_months_of_practice():
    """Written by daylength alone, laying at 47.5 north follows the month factors within 0.1 (common practice)."""
    row = TABLES.row("stock", "laying_hen")
    least = row.need("lay_low_factor") / row.need("lay_high_factor")
    hens = LayLight(row.need("lay_daylength_low_h"), row.need("lay_daylength_high_h"), least, 0.1, spring=False)
    sky = Sky.of(larder_months(2001, 1), np.zeros(12), light(47.5, 1))
    rate = sky.by_month(lay_rate(*sky.daily_light(), hens)) / sky.days

    scaled = rate * np.mean(MONTH_FACTORS) / rate.mean()
    assert scaled == pytest.approx(MONTH_FACTORS, abs=0.15)
    assert np.abs(scaled - MONTH_FACTORS).mean() < 0.07


@settings(max_examples=20, deadline=None)
@given(key=st.sampled_from(DAMS), heads=st.integers(2, 12), day=DAY, latitude=st.floats(20.0, 60.0))
def test_the_south_is_the_north_half_a_year_later(key, heads, day, latitude):
    """A herd in the south, with dates and larder year moved by six months, has the north's year."""
    moved = MonthDay((day.month + 5) % 12 + 1, day.day)
    north = year_of(
        {"g": group(heads={key: heads}, born=[day], sire=BORROWED, milk_share="apart at night")}, latitude, 1
    )
    south = year_of(
        {"g": group(heads={key: heads}, born=[moved], sire=BORROWED, milk_share="apart at night")}, -latitude, 7
    )

    for here, there in zip(north.needs, south.needs, strict=True):
        assert there.energy_mj.sum() == pytest.approx(here.energy_mj.sum(), rel=0.03)
        for good in here.products:
            assert there.products[good].sum() == pytest.approx(here.products[good].sum(), rel=0.05, abs=0.3)
    happened = [sorted((event.kind, event.heads) for event in year.events.events) for year in (north, south)]
    assert happened[0] == happened[1]


@settings(max_examples=25, deadline=None)
@given(key=st.sampled_from(MAMMALS), heads=st.integers(50, 120), day=DAY)
def test_doubling_the_heads_doubles_feed_and_products(key, heads, day):
    """Twice the dams want twice the feed and give twice the goods, but for the rounding to whole heads."""
    once = year_of({"g": group(heads={key: heads}, born=[day], sire=BORROWED)})
    twice = year_of({"g": group(heads={key: 2 * heads}, born=[day], sire=BORROWED)})

    for one, two in zip(once.needs, twice.needs, strict=True):
        assert two.energy_mj.sum() == pytest.approx(2 * one.energy_mj.sum(), rel=0.06)
        assert two.manure_n_kg.sum() == pytest.approx(2 * one.manure_n_kg.sum(), rel=0.06)
        assert two.water_m3.sum() == pytest.approx(2 * one.water_m3.sum(), rel=0.06)
    for good in {good for need in once.needs for good in need.products}:
        head_kg = TABLES.row("stock", key).need("adult_weight_kg")
        assert total(twice, good) == pytest.approx(2 * total(once, good), rel=0.01, abs=2 * head_kg)


@settings(max_examples=40, deadline=None)
@given(
    key=st.sampled_from(DAMS),
    heads=st.integers(1, 15),
    days=st.lists(DAY, min_size=1, max_size=4, unique=True),
    keep=st.none() | st.integers(0, 6),
)
def test_heads_are_whole_and_balance_over_the_year(key, heads, days, keep):
    """Young and bought in, less dead, killed, sold and culled, leave the number where it was."""
    year = year_of({"g": group(heads={key: heads}, born=days, keep_young=keep, sire=BORROWED)})
    counted = dict.fromkeys(("born", "hatched", "bought", "died", "killed", "sold", "culled"), 0)
    for event in year.events.events:
        if event.kind in counted:
            counted[event.kind] += event.heads

    came = counted["born"] + counted["hatched"] + counted["bought"]
    went = counted["died"] + counted["killed"] + counted["sold"] + counted["culled"]
    assert came == went
    for need in year.needs:
        assert np.all(need.heads == np.round(need.heads))
        assert np.all(need.energy_mj >= 0.0)
    assert np.all(year.events.heads_day["g", key] >= heads)


@settings(max_examples=30, deadline=None)
@given(key=st.sampled_from(GROWERS), count=st.integers(2, 30), day=DAY)
def test_meat_is_live_weight_times_dressing(key, count, day):
    """A batch gives in the month of its killing the live weight of its survivors times the dressing share."""
    year = year_of({"g": group(batch=[Batch.model_validate({"class": key, "count": count, "on": [day]})])})
    row = TABLES.row("stock", key)
    killed = [event for event in year.events.events if event.kind == "killed"]

    assert sum(event.heads for event in killed) <= count
    assert total(year, row.text("meat_good")) == pytest.approx(
        sum(event.live_kg for event in killed) * row.need("dressing_fraction")
    )
    assert sum(event.live_kg for event in killed) / max(1, sum(event.heads for event in killed)) == pytest.approx(
        row.need("slaughter_weight_kg"), rel=0.15
    )


@pytest.mark.parametrize("key", list(kinds()))
def test_every_class_of_the_tables_can_be_kept(key):
    """Each of the 31 classes runs through a year with finite needs, whole heads and goods that the tables hold."""
    born = [MonthDay(4, 10)] if kinds()[key].role == "dam" else []
    year = year_of({"g": group(heads={key: 4}, born=born, sire=BORROWED, milk_share="apart at night")})

    assert year.needs
    for need in year.needs:
        values = np.concatenate(
            [need.energy_mj, need.protein_kg, need.dry_matter_max_kg, need.water_m3, need.manure_kg]
        )
        assert np.all(np.isfinite(values))
        assert np.all(values >= -1e-9)
        for good, kg in need.products.items():
            assert TABLES.has("goods", good), good
            assert np.all(kg >= 0.0)
        if key != "honeybee_colony":
            assert need.energy_mj.sum() > 0.0
            assert need.water_m3.sum() > 0.0


@pytest.mark.parametrize("key", [key for key in kinds() if key != "honeybee_colony"])
def test_the_ration_fits_into_the_animal(key):
    """No month asks for a ration richer than good feeds of the class's system hold, nor one poorer than straw."""
    born = [MonthDay(4, 10)] if kinds()[key].role == "dam" else []
    year = year_of({"g": group(heads={key: 4}, born=born, sire=BORROWED, milk_share="apart at night")})
    best = {"me_ruminant": 11.0, "me_pig": 14.0, "amen_poultry": 12.5, "de_rabbit": 12.0}

    for need in year.needs:
        fed = need.energy_mj > 0.0
        density = need.energy_mj[fed] / need.dry_matter_max_kg[fed]
        assert density.max() <= best[need.system], need.klass


@settings(max_examples=20, deadline=None)
@given(key=st.sampled_from(["goat_dairy_doe", "dairy_cow_small"]), heads=st.integers(1, 6), day=DAY)
def test_manner_of_sharing_orders_the_milk(key, heads, day):
    """All the milk is more than apart at night, that more than once a day, and none is none."""
    good = TABLES.row("stock", key).text("milk_good")
    kg = [
        total(year_of({"g": group(heads={key: heads}, born=[day], sire=BORROWED, milk_share=manner)}), good)
        for manner in ("all", "apart at night", "once a day", "none")
    ]

    assert kg[0] > kg[1] > kg[2] > kg[3] == 0.0
    assert kg[0] < heads * TABLES.row("stock", key).need("milk_kg_per_lactation")


def test_suckled_milk_spares_feed():
    """Kids that suck need less feed than kids whose milk all goes to the house."""
    kids = [
        year_of(
            {"g": group(heads={"goat_dairy_doe": 4}, born=[MonthDay(3, 1)], sire=BORROWED, milk_share=manner)}
        ).needs[1]
        for manner in ("none", "all")
    ]

    assert kids[0].klass == kids[1].klass == "goat_kid"
    assert kids[0].energy_mj.sum() < 0.9 * kids[1].energy_mj.sum()


def test_cold_months_ask_more_of_hens():
    """Hens that lay no more need more feed in the cold than in the warmth."""
    months = larder_months(2001, 1)
    plan = holding({"flock": group(heads={"cockerel": 5})})
    cold = herd_year(plan, TABLES, months, np.full(12, -2.0), light(52.0, 1)).needs[0]
    warm = herd_year(plan, TABLES, months, np.full(12, 22.0), light(52.0, 1)).needs[0]

    assert np.all(cold.energy_mj > 1.2 * warm.energy_mj)


def test_heat_makes_animals_drink():
    """At a mean of 32 C animals drink 1.3 to 1.5 times what they do at 20 C (Poultry CRC; published)."""
    months = larder_months(2001, 1)
    plan = holding({"flock": group(heads={"laying_hen": 100})})
    mild = herd_year(plan, TABLES, months, np.full(12, 20.0), light(35.0, 1)).needs[0]
    hot = herd_year(plan, TABLES, months, np.full(12, 32.0), light(35.0, 1)).needs[0]

    assert 1.3 <= hot.water_m3.sum() / mild.water_m3.sum() <= 1.5
    assert mild.water_m3.sum() / 365 * 1000 / 100 * 10 == pytest.approx(2.5, abs=0.3)


def test_honey_comes_after_the_longest_days_in_both_hemispheres():
    """Honey is taken in July in the north and in January in the south, all of the table's year."""
    north = year_of({"hives": group(heads={"honeybee_colony": 3})}, 52.0, 1).needs[0].products["honey"]
    south = year_of({"hives": group(heads={"honeybee_colony": 3})}, -38.0, 1).needs[0].products["honey"]

    assert north.argmax() == 6
    assert south.argmax() == 0
    assert north.sum() == pytest.approx(3 * TABLES.row("stock", "honeybee_colony").need("honey_kg_per_year"))
    assert np.count_nonzero(north) == 1


def test_young_kept_hold_the_number():
    """The pullets kept are raised, join when they lay, and as many old hens leave, dead or for the pot."""
    year = year_of(
        {"flock": group(heads={"dual_purpose_hen": 18, "cockerel": 2}, born=[MonthDay(4, 20)], keep_young=6)}
    )
    by_kind = {
        kind: [e.heads for e in year.events.events if e.kind == kind and e.klass == "dual_purpose_hen"]
        for kind in ("joined", "culled", "died", "bought")
    }

    assert sum(by_kind["joined"]) == 6
    assert sum(by_kind["culled"]) + sum(by_kind["died"]) == 6
    assert not by_kind["bought"]


def test_without_births_renewal_is_bought():
    """A flock that hatches nothing buys the birds that leave."""
    year = year_of({"flock": group(heads={"laying_hen": 20})})
    bought = sum(event.heads for event in year.events.events if event.kind == "bought")
    left = sum(event.heads for event in year.events.events if event.kind in {"culled", "died"})
    row = TABLES.row("stock", "laying_hen")

    assert bought == left
    assert bought == pytest.approx(
        20 * (1 / row.need("breeding_life_yr") + row.need("mortality_adult_per_year")), abs=0.5
    )


def test_own_figures_change_the_herd():
    """The user's own milk yield goes over the table's."""
    own = (OwnRow(line=2, key="stock.dairy_cow_small.milk_kg_per_lactation", value=1600, why="weighed"),)
    months = larder_months(2001, 1)
    plan = holding({"cow": group(heads={"dairy_cow_small": 2}, born=[MonthDay(4, 1)], sire=BORROWED, milk_share="all")})
    table = herd_year(plan, TABLES, months, warmth(52, 1), light(52, 1)).needs[0].products["milk_cow"].sum()
    weighed = herd_year(plan, load_tables(own), months, warmth(52, 1), light(52, 1)).needs[0].products["milk_cow"].sum()

    assert weighed == pytest.approx(table / 2)


@settings(max_examples=15, deadline=None)
@given(limit=st.integers(0, 6), ewes=st.integers(4, 10))
def test_live_sales_stop_at_the_limit_of_the_trade(limit, ewes):
    """Lambs that are ready are sold alive up to the trade's heads a month; the rest are killed."""
    trade = TradeRow.model_validate(
        {"line": 2, "item": "lamb", "do": "sell", "price": 80, "per": "head", "limit_month": limit}
    )
    year = year_of(
        {"ewes": group(heads={"ewe": ewes}, born=[MonthDay(4, 10)], sire=BORROWED, keep_young=0)}, trades=[trade]
    )
    heads = {
        kind: sum(event.heads for event in year.events.events if event.kind == kind) for kind in ("sold", "killed")
    }
    reared = sum(e.heads for e in year.events.events if e.kind == "born") - sum(
        e.heads for e in year.events.events if e.kind == "died" and e.klass == "lamb"
    )

    assert heads["sold"] == min(limit, reared)
    assert heads["killed"] == reared - heads["sold"]


def test_growers_among_the_heads_are_filled_again():
    """Pigs named as steady heads are lots, bought and killed as often as a year allows, never more than their places."""
    year = year_of({"pigs": group(heads={"pig_grower": 3})})
    bought = [event for event in year.events.events if event.kind == "bought"]

    assert len(bought) == 365 // 138
    assert year.events.heads_day["pigs", "pig_grower"].max() == 3
    assert total(year, "meat_pork") > 0.0


@pytest.mark.parametrize("latitude", [-50.0, 0.0, 35.0, 60.0])
@pytest.mark.parametrize("start", [1, 7, 10])
def test_daily_light_keeps_the_monthly_means(latitude, start):
    """The daily light that is drawn through twelve means has those means, within an eighth of an hour up to 60 degrees."""
    sky = Sky.of(larder_months(2001, start), np.zeros(12), light(latitude, start))
    daylength, change = sky.daily_light()

    assert sky.by_month(daylength) / sky.days == pytest.approx(sky.daylength_h, abs=0.125)
    assert change.sum() == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(latitude=st.floats(-66.0, 66.0), eggs=st.floats(40.0, 320.0), start=st.integers(1, 12), spring=st.booleans())
def test_no_place_lays_more_than_the_table(latitude, eggs, start, spring):
    """Wherever and whenever the larder year starts, a bird lays no more than the table's eggs, and none below zero."""
    months = larder_months(2001, start)
    sky = Sky.of(months, np.zeros(12), light(latitude, start))
    laid = eggs_per_hen(sky, LayLight(10.0, 15.0, 0.4, 0.1, spring), eggs)

    assert laid.sum() <= eggs * (1 + 1e-9)
    assert np.all(laid >= 0.0)


def test_events_fall_on_days_of_the_year():
    """Every event has a day of 0 to 364, and the weeks hold the heads of their first day."""
    year = year_of({"g": group(heads={"ewe": 6, "ram": 1}, born=[MonthDay(1, 5)])}, 52.0, 10)

    assert all(0 <= event.day < 365 for event in year.events.events)
    for key, days in year.events.heads_day.items():
        assert np.array_equal(year.events.heads_week[key], days[:364:7])
