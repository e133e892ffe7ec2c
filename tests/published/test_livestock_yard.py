"""Manure, grazing, water, carcasses, law, room and hours of stock against printed tables: keys L of the house's list.

Source and standing stand in each check; what the print gives and the package does not reckon is told with its reason.
"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from outside import Outside
from stock_kit import DAY, group, holding, light, warmth, year_of

from yardland.holding.model import MonthDay, OwnRow
from yardland.larder.feed_slaughter import slaughter_parts
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.stock.days import heat_on_water
from yardland.stock.kinds import Husbandry, load_klass
from yardland.stock.needs import growing_mj_d
from yardland.stock.notes import housing
from yardland.stock.protein import pig_grower_g_mj
from yardland.stock.rounds import paddocks
from yardland.stock.sky import Sky
from yardland.stock.worms import larval_life_d
from yardland.stock.year import herd_year

TABLES = load_tables()
LEFT_OUT = "Livestock: what the print has and the package does not"
KG_PER_LB, LB_AU = 0.45359237, 1000.0
UTAH = "Utah State Univ. Extension, Manure Management Basics, after USDA-NRCS 1992"
NRCS = "USDA-NRCS, Manure Production/Nutrient Content Data"
IPCC = "IPCC 2006, volume 4, chapter 10, Table 10.19, Western Europe"
PENN = "Penn State Extension, Four Steps to Rotational Grazing"


def stock(klass: str, column: str) -> float:
    """A figure of table stock."""
    return TABLES.row("stock", klass).need(column)


def number(table: str, key: str) -> float:
    """The number of a row of rules or keeping."""
    return TABLES.row(table, key).need("number")


def nitrogen_kg_y(klass: str, live_kg: float) -> float:
    """The table's nitrogen of droppings in a year, at another live weight."""
    return stock(klass, "manure_n_g_d") * 0.365 * live_kg / stock(klass, "adult_weight_kg")


def test_manure_of_cows_and_hens_by_live_weight(outside: Outside) -> None:
    """The table's rates at the weights of the print: a cow of 1400 lb, a hen of 4 lb."""
    cow_lb = stock("dairy_cow_small", "manure_kg_d") / stock("dairy_cow_small", "adult_weight_kg") * 1400
    share = 1.81 / stock("laying_hen", "adult_weight_kg")
    hen = [share * stock("laying_hen", column) for column in ("manure_kg_d", "manure_n_g_d", "manure_p_g_d")]

    outside.check_close("L66", "a cow of 1400 lb: lb a day; short tons a year, of 50 cows", "Univ. of Wisconsin-Extension A3601", "published", [120, 21.9, 1095], [cow_lb, cow_lb * 365 / 2000, cow_lb * 365 / 40], pct=7)  # fmt: skip
    outside.check_close("L68", "a hen of 1.81 kg: g manure, N, P a day; kg N a year", UTAH, "published", [110, 1.51, 0.56, 0.55], [1000 * hen[0], hen[1], hen[2], 0.365 * hen[1]], pct=1)  # fmt: skip


def test_nitrogen_before_and_after_losses(outside: Outside) -> None:
    """Hens before and after the house and the heap; cows as excreted."""
    kept = (1 - TABLES.row("manures", "chicken").need("house_loss")) * (1 - TABLES.row("manuring", "stored_n_loss").need("value"))  # fmt: skip
    hen, cow_kg = nitrogen_kg_y("laying_hen", LB_AU / 250 * KG_PER_LB), LB_AU / 0.74 * KG_PER_LB

    outside.check_close("L70", "a hen and year, kg N before and after losses", NRCS, "published", [0.559, 0.384], [hen, hen * kept], pct=2)  # fmt: skip
    outside.check_close("L71", "a cow and year, kg N before losses", NRCS, "published", 99.9, nitrogen_kg_y("dairy_cow_small", cow_kg), pct=1)  # fmt: skip
    outside.tell(LEFT_OUT, "L71 (40.2 kg N of a cow after losses): theirs are of lots and lagoons, three fifths lost; a small yard's straw keeps more (growth-manure.md).")  # fmt: skip


def test_nitrogen_of_inventories(outside: Outside) -> None:
    """Hens and cows lie by the inventory's defaults; goats by Germany's figure a place."""
    got = [nitrogen_kg_y("laying_hen", 1.8), nitrogen_kg_y("dairy_cow_small", 600)]

    outside.check_close("L73", "hen of 1.8 kg and cow of 600 kg, kg N a year", IPCC, "from memory", [0.631, 105.1], got, pct=15)  # fmt: skip
    outside.check_close("L75", "a goat place, kg N a year", "LfL Bavaria 2003, as told by the German inventory's wiki", "published", 11, 0.365 * stock("goat_dairy_doe", "manure_n_g_d"), pct=10)  # fmt: skip
    outside.tell(LEFT_OUT, "L73 (goat 18.0, ewe 15.1, sow 30.4 kg N): the defaults are twice what the animals of the demonstrations eat less what they keep, and twice L75; not followed.")  # fmt: skip


def test_nitrogen_of_a_pig(outside: Outside) -> None:
    """From 8 to 110 kg on the table's growth: protein needed over 6.25, and the manure table by weight."""
    klass = load_klass(TABLES, "pig_grower")
    age = np.arange(400)
    weight, gain = klass.weight_kg(age), klass.gain_kg_d(age)
    inside = (weight >= 8) & (weight <= 110)
    mj = growing_mj_d(weight, gain, klass.herd.need("maintenance_mj_kg075"), klass.herd.need("gain_mj_kg"), klass.herd.need("gain_mj_kg_per_kg"))  # fmt: skip
    eaten = float((mj * pig_grower_g_mj(weight))[inside].sum()) / 6250
    dropped = float((klass.figure("manure_n_g_d") * weight / klass.typical_kg())[inside].sum()) / 1000
    source = "Pork production with maximal nitrogen efficiency, Animal (Cambridge)"

    outside.check_close("L76", "8 to 110 kg, kg N eaten by the need of protein", source, "published", 6.3, eaten, pct=12)  # fmt: skip
    outside.check_close("L76", "8 to 110 kg, kg N excreted by the manure table", source, "published", 3.4, dropped, pct=12)  # fmt: skip


def test_rounds_and_forage(outside: Outside) -> None:
    """Plots of a round, forage of fifty animal units, growth before reuse, stays, and the rest that larvae ask for."""
    flat = np.ones(12)
    months = [float(larval_life_d(TABLES, c * flat, 5 * flat, 50 * flat)[0]) / 30.4375 for c in (35.0, 16.0, 29.0, 10.0)]  # fmt: skip
    milked, others = (TABLES.figure(f"keeping.stay_{who}_d.number") for who in ("milking", "other"))

    outside.check_same("L80", "plots for 35 days of rest and stays of 3", PENN, "published", 13, paddocks(35, 3))
    outside.check_close("L81", "forage of 50 animal units, kg a day", PENN, "published", 567, 50 * number("keeping", "cow_unit_kg_d"), 2.5)  # fmt: skip
    outside.check_same("L83", "days of growth before reuse, spring and summer", "Cornell worksheet", "published", [15.0, 30.0], [number("rules", "rest_spring_d"), number("rules", "rest_summer_d")])  # fmt: skip
    outside.check_same("L83", "days of stay at most, milked and others; others at least", "Cornell worksheet", "published", [2.0, 7.0, 3.0], [milked.value, others.value, others.low])  # fmt: skip
    outside.check_close("L85", "months until larvae are gone: warm district hot and cold, cold district hot and cold", "ParaBoss, How long do larvae take to die?", "published", [2, 5, 3, 6], months, 0.2)  # fmt: skip
    outside.tell(LEFT_OUT, "L78 (animal units), L80 (acres a plot): herds are reckoned by what they eat, plots by their outline; a unit is a yardstick of one finding.")  # fmt: skip


def test_drinking_water(outside: Outside) -> None:
    """Hens by lay, pullets by age, in the heat; sheep, sows and poultry by the planning figures."""
    crc, plan = "Poultry CRC tables, 20-21 C", "woolshed1.blogspot.com (NZ) 2008"
    hen = load_klass(TABLES, "laying_hen")
    hens = [1000 * stock(key, "drinking_water_l_d") for key in ("laying_hen", "dual_purpose_hen")]
    pullets = [hens[0] * float(hen.weight_kg(7 * week) / hen.adult_kg()) ** 0.75 for week in (12, 18)]
    hot = heat_on_water(Sky.of(larder_months(2001, 1), np.full(12, 32.0), np.full(12, 12.0)), Husbandry(TABLES))

    outside.check_between("L86", "1000 layers, litres a day", crc, "published", 220, 270, hens)
    outside.check_close("L86", "1000 pullets at 12 and 18 weeks, litres a day", crc, "published", [160, 200], pullets, pct=10)  # fmt: skip
    outside.check_between("L86", "times as much at 32 C", crc, "published", 1.3, 1.5, hot)
    outside.check_close("L88", "ewe, sow, 100 mixed hens, litres a day", plan, "published", [4, 25, 20], [stock("ewe", "drinking_water_l_d"), stock("sow", "drinking_water_l_d"), hens[1] / 10], pct=20)  # fmt: skip
    outside.tell(LEFT_OUT, "L86 (pullets of 4 weeks, 100 l): by metabolic weight they drink 56 l, twice what they eat; the print is for a house with drinkers that spill.")  # fmt: skip
    outside.tell(LEFT_OUT, "L88 (cows 70 and 45, calf 25, lamb 1 l): of larger cattle and of lambs at foot; the table's cow weighs 400 kg, its calf 85, its lamb drinks 1.5 l beside the grass.")  # fmt: skip


def test_carcasses(outside: Outside) -> None:
    """Dressing of pigs and goats; a pig of 250 lb to carcass and cuts, which keep a part of the bone."""
    georgia = "Univ. of Georgia Extension 2011; Missouri, ozarksfn.com 2010"
    parts = slaughter_parts(TABLES, "pig_grower", 250 * KG_PER_LB)

    outside.check_close("L90", "carcass of a pig, %", georgia, "published", 74, 100 * stock("pig_grower", "dressing_fraction"), 3)  # fmt: skip
    outside.check_between("L90", "carcass of a kid and a doe, % (two tables)", georgia, "published", 43, 50, [100 * stock(key, "dressing_fraction") for key in ("goat_kid", "goat_dairy_doe")])  # fmt: skip
    outside.check_close("L91", "carcass of live weight, pig", "encyclopaedia extract", "published", 0.72, parts.carcass_kg / (250 * KG_PER_LB), 0.03)  # fmt: skip
    outside.check_between("L91", "cuts of 144 lb lie between meat and carcass, kg", "encyclopaedia extract", "published", parts.meat_kg, parts.carcass_kg, 144 * KG_PER_LB)  # fmt: skip
    outside.tell(LEFT_OUT, "L90 (beef 62, dairy steer 59, lamb 54 %): of grain-fed stock; the table's graze and give 55 and 48 %.")  # fmt: skip


def test_colonies_that_make_good_the_winter(outside: Outside) -> None:
    """A hundred colonies that lose 24 % are split by as many: 0.32 to each survivor."""
    tables = load_tables([OwnRow(line=2, key="stock.honeybee_colony.mortality_adult_per_year", value=0.24, why="test")])
    plan = holding({"bees": group(heads={"honeybee_colony": 100})})
    events = herd_year(plan, tables, larder_months(2001, 1), warmth(52, 1), light(52, 1)).events.events
    lost, split = (sum(one.heads for one in events if one.kind == kind) for kind in ("died", "split"))

    outside.check_close("L93", "new colonies to each survivor", "US survey 2013-14, Apidologie 2015 (23.7 % lost)", "published", 0.32, split / (100 - lost), 0.01)  # fmt: skip


def test_days_of_the_law(outside: Outside) -> None:
    """Raw manure before a harvest of 1 September; least ages of organic table birds."""
    harvest = date(2025, 9, 1)
    ages = ("chicken", "duck_pekin", "muscovy_f", "muscovy_m", "mule_duck", "guinea_fowl", "turkey", "goose")

    outside.check_same("L95", "worked in before salad", "7 CFR 205.203(c)(1)(ii)", "published", "2025-05-04", str(harvest - timedelta(number("rules", "raw_manure_touching_soil"))))  # fmt: skip
    outside.check_same("L96", "worked in before sweet corn", "7 CFR 205.203(c)(1)(iii)", "published", "2025-06-03", str(harvest - timedelta(number("rules", "raw_manure_other"))))  # fmt: skip
    outside.check_same("L98", "least age at slaughter, days, eight kinds", "Swiss Organic Farming Ordinance 910.18 art. 16g", "published", [81.0, 49.0, 70.0, 84.0, 92.0, 94.0, 140.0, 140.0], [number("rules", f"organic_slaughter_age.{kind}") for kind in ages])  # fmt: skip


def test_room_of_hens_and_cattle(outside: Outside) -> None:
    """Room that thirty hens ask for; cattle at the greatest weight of their class by the rule a hundred kilograms."""
    hens = housing("g", {("g", "laying_hen"): np.array([30])}, TABLES, {"laying_hen": 30})
    source = "EU Implementing Regulation 2020/464, annex I"
    cattle = [stock(key, f"{part}_area_m2") for key in ("calf", "beef_steer", "dairy_cow_small") for part in ("floor", "outdoor")]  # fmt: skip
    steer_kg = stock("beef_steer", "slaughter_weight_kg") / 100

    outside.check_close("L100", "30 hens: floor m2, nests, perch m, ground m2", source, "from memory", [5.0, 5, 5.4, 120], [hens.floor_m2, hens.nest_boxes, hens.perch_m, hens.outdoor_m2], 0.05)  # fmt: skip
    outside.check_close("L101", "calf to 200 kg, steer of 530 kg, milking cow: floor and yard, m2", source, "published", [2.5, 1.9, max(5.0, steer_kg), max(3.7, 0.75 * steer_kg), 6.0, 4.5], cattle, 0.05)  # fmt: skip
    outside.tell(LEFT_OUT, "L101 (300 kg): room is asked for a class's greatest weight, and none stops there.")


def test_hours_a_livestock_unit(outside: Outside) -> None:
    """Hours a head without the fixed daily time: a ewe with lambs as 0.2 units (from memory), a steer as one."""
    ewe, steer = (stock(key, "labour_min_per_head_day") * 365 / 60 for key in ("ewe", "beef_steer"))
    source = "Teagasc (L. Connolly), Farmers Weekly 8 Dec 2000"

    outside.check_close("L103", "small flock, hours a unit and year", source, "published", 37, ewe / 0.2, pct=10)
    outside.check_close("L103", "cattle, hours a unit and year", source, "published", 29, steer, pct=20)
    outside.tell(LEFT_OUT, "L103 (27 h in flocks over 320 ewes): of machines and many heads; the table's are of the hand.")  # fmt: skip


@pytest.mark.parametrize(
    ("klass", "low", "high"),
    [
        ("laying_hen", 8, 12),
        ("duck_layer", 4, 6),
        ("goose", 2, 5),
        ("turkey_breeder_hen", 8, 12),
        ("rabbit_doe", 8, 10),
        ("goat_dairy_doe", 25, 40),
        ("ewe", 30, 50),
        ("sow", 10, 20),
        ("dairy_cow_small", 20, 35),
    ],
)
def test_females_to_a_male_by_the_trade(outside: Outside, klass: str, low: float, high: float) -> None:
    """What a cock, drake, gander, stag, buck, ram, boar or bull serves by the habit of the trade."""
    outside.check_between("ratios", f"females to a male: {klass}", "usual in the trade", "common practice", low, high, stock(klass, "females_per_male"))  # fmt: skip


def test_a_bought_weaner_is_fattened_for_about_four_months(outside: Outside) -> None:
    """A pig bought at eight weeks is killed four months later, in the stock year as in the table."""
    year = year_of({"pigs": group(batch=[{"class": "pig_grower", "count": 2, "on": ["04-10"]}])})
    bought, killed = (next(one.day for one in year.events.events if one.kind == kind) for kind in ("bought", "killed"))

    outside.check_between("fattening", "months from weaner to bacon", "usual in the trade", "common practice", 3.5, 4.5, (killed - bought) / 30.4)  # fmt: skip


@given(start=DAY, count=st.integers(1, 6), after=st.integers(60, 200))
def test_a_batch_is_killed_so_many_days_after_it_comes(start: MonthDay, count: int, after: int) -> None:
    """Whatever the day, the number and the plan's days: bought stock are killed that many days later, one by one alive."""
    pigs = group(batch=[{"class": "pig_grower", "count": count, "on": [start]}], kill_after_days=after)
    events = year_of({"pigs": pigs}).events.events
    (bought,), (killed,) = ([one for one in events if one.kind == kind] for kind in ("bought", "killed"))
    died = sum(one.heads for one in events if one.kind == "died")

    assert (killed.day - bought.day) % 365 == after
    assert bought.heads == count == killed.heads + died


@given(
    klass=st.sampled_from(["laying_hen", "rabbit_doe", "sow", "ewe"]),
    females=st.integers(2, 90),
    males=st.integers(1, 4),
)
def test_a_male_is_too_few_over_the_trades_number(klass: str, females: int, males: int) -> None:
    """Whatever the heads: too many females to a male are told from the table's number to a male on, and no sooner."""
    sire = {"laying_hen": "cockerel", "rabbit_doe": "rabbit_buck", "sow": "boar", "ewe": "ram"}[klass]
    herd = year_of({"g": group(heads={klass: females, sire: males}, born=["04-10"], keep_young=0)})
    key = f"stock.{klass}.females_per_male"
    told = [one for one in herd.events.notes if (one.source_key, one.grade) == (key, "tight")]

    assert bool(told) == (females > males * stock(klass, "females_per_male"))
