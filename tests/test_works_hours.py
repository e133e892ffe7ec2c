"""Hours and money, with generated numbers."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yardland.errors import TableError
from yardland.holding.model import HoursSpan, MonthDay, Person, Span
from yardland.ledger.months import larder_months, month_of_day
from yardland.reference import load_tables
from yardland.season.season import grazing_days
from yardland.works import events as work
from yardland.works.hours import Event, available_hours, hours, rate, spread
from yardland.works.weeks import WEEKS, days_in_week, week_of, weeks_between, weeks_of_month

TABLES = load_tables()
MONTHS = larder_months(2001, 10)
LIGHT = np.array([10.6, 9.0, 8.0, 8.4, 10.0, 11.9, 13.8, 15.5, 16.5, 16.0, 14.5, 12.6])


def total(events, group: str | None = None) -> float:
    """Hours of a year's events, of all groups or one."""
    return float(sum(weeks.sum() for name, weeks in hours(events, TABLES).items() if group in {None, name}))


@given(day=st.integers(-800, 1200))
def test_every_day_falls_in_one_week(day):
    """Weeks hold seven days, the last eight, and days outside the year wrap round."""
    assert day % 365 in days_in_week(week_of(day))


def test_weeks_cover_the_year():
    """The 52 weeks hold the 365 days once each, and the months name every week."""
    assert sorted(day for week in range(WEEKS) for day in days_in_week(week)) == list(range(365))
    assert {week for month in MONTHS for week in weeks_of_month(month)} == set(range(WEEKS))
    assert weeks_between(10, 10) == (1,)


def test_every_task_has_a_rate():
    """Each task of the table is counted in a unit and takes a finite, positive time, but for plain ratios."""
    ratios = {"general.weather_loss", "general.skill_factor"}
    for key in TABLES.keys("tasks"):
        if key in ratios:
            with pytest.raises(TableError, match="not understood"):
                rate(TABLES, key)
        else:
            assert 0.0 < rate(TABLES, key).hours < 2000.0, key


@pytest.mark.parametrize(
    ("task", "amount", "unit", "expected_h"),
    [
        ("bed.broadfork", 100.0, "m2", 2.5),
        ("harvest.potatoes", 50.0, "kg", 1.0),
        ("harvest.maize", 1000.0, "kg", 110.0),
        ("harvest.cereal_sickle", 3000.0, "m2", 9.0),
        ("hay.loose_by_hand", 1000.0, "kg", 28.0),
        ("stock.brooder", 4.0, "day", 1.0),
        ("stock.slaughter_poultry", 10.0, "head", 4.5),
        ("preserve.jam", 4.0, "kg", 1.0),
        ("sow.raise_transplants", 1000.0, "plant", 7.0),
        ("fence.move_netting", 5.0, "move", 4.0),
        ("compost.build_heap", 2.0, "m3", 2.4),
    ],
)
def test_hours_worked_by_hand(task, amount, unit, expected_h):
    """Units of the task table are turned into hours as on paper (task table: common practice and publications)."""
    assert total([Event(3, task, amount, unit, "x")]) == pytest.approx(expected_h)


def test_wrong_units_are_refused():
    """Kilograms of a task that is counted by area are an error, not a number."""
    with pytest.raises(TableError, match="counted in m2, not in kg"):
        hours([Event(0, "bed.broadfork", 5.0, "kg", "x")], TABLES)


@given(amount=st.floats(0.1, 1e4), weeks=st.lists(st.integers(0, 51), min_size=1, max_size=20, unique=True))
def test_spreading_keeps_the_amount(amount, weeks):
    """Work shared over weeks adds up to the work."""
    shared = spread(tuple(weeks), "bed.broadfork", amount, "m2", "x")

    assert sum(event.amount for event in shared) == pytest.approx(amount)
    assert len(shared) == len(weeks)
    assert spread(tuple(weeks), "bed.broadfork", 0.0, "m2", "x") == []


@pytest.mark.parametrize("crop", TABLES.keys("crops"))
def test_every_crop_brings_work(crop):
    """Each crop of the tables has tasks that the task table holds, and takes hours from bed to gathering."""
    events = work.planting_events(TABLES, crop, "p", area_m2=100.0, sow_day=180, gather_days=(280, 300), kg=120.0)

    assert {"bed preparation", "sowing and planting"} <= set(hours(events, TABLES))
    assert all(0 <= event.week < WEEKS for event in events)
    assert 2.0 < total(events) < 160.0


@settings(max_examples=30, deadline=None)
@given(
    crop=st.sampled_from(TABLES.keys("crops")),
    area=st.floats(5.0, 2000.0),
    kg=st.floats(1.0, 4000.0),
    sow=st.integers(-100, 364),
    stands=st.integers(40, 250),
)
def test_twice_the_planting_is_twice_the_work(crop, area, kg, sow, stands):
    """Hours of a planting are in proportion to its area and yield, wherever in the year it lies."""
    once, twice = (
        work.planting_events(
            TABLES,
            crop,
            "p",
            area_m2=times * area,
            sow_day=sow,
            gather_days=(sow + stands, sow + stands + 10),
            kg=times * kg,
        )
        for times in (1.0, 2.0)
    )

    assert total(twice) == pytest.approx(2.0 * total(once))


def test_potatoes_and_corn_by_hand_take_the_whole_crop_hours():
    """Plant to store: potatoes 9-20 h and cereals 4-10 h for 100 m2, as the whole-crop rows say (common practice)."""
    potatoes = work.planting_events(TABLES, "potato", "p", area_m2=100.0, sow_day=190, gather_days=(310, 330), kg=250.0)
    wheat = work.planting_events(
        TABLES, "winter_wheat", "w", area_m2=100.0, sow_day=20, gather_days=(300, 306), kg=30.0
    )

    assert 9.0 <= total(potatoes) <= 20.0
    assert 4.0 <= total(wheat) <= 10.0


def test_a_crop_that_fails_is_not_gathered():
    """Nothing gathered, nothing carried or threshed; the bed and the sowing were work all the same."""
    events = work.planting_events(TABLES, "oats", "p", area_m2=500.0, sow_day=170, gather_days=(300, 300), kg=0.0)

    assert total(events, "harvest") == total(events, "threshing") == 0.0
    assert total(events, "bed preparation") > 0.0


def test_threshing_comes_after_the_harvest():
    """Sheaves are threshed in the weeks after they are gathered."""
    events = work.planting_events(TABLES, "oats", "p", area_m2=500.0, sow_day=170, gather_days=(250, 256), kg=150.0)
    threshed = {event.week for event in events if event.task_key.startswith("thresh")}

    assert min(threshed) > week_of(256)


@pytest.mark.parametrize("species", TABLES.keys("trees"))
def test_every_tree_brings_work(species):
    """Each tree, bush and vine of the tables is gathered by a task that the table holds."""
    kg = np.zeros(12)
    kg[11] = 40.0
    events = work.tree_events(TABLES, species, "b", count=3, kg=kg, months=MONTHS, daylength_h=LIGHT)

    assert total(events, "harvest") > 0.0
    assert {event.week for event in events if event.unit == "kg"} <= set(weeks_of_month(MONTHS[11]))


def test_trees_are_pruned_in_the_dark_months():
    """Winter pruning falls in the month of the shortest days, in either hemisphere."""
    north = work.tree_events(TABLES, "apple_semidwarf", "b", count=3, kg=np.zeros(12), months=MONTHS, daylength_h=LIGHT)
    south = work.tree_events(
        TABLES, "apple_semidwarf", "b", count=3, kg=np.zeros(12), months=MONTHS, daylength_h=np.roll(LIGHT, 6)
    )
    pruned = [{event.week for event in plan if "prune" in event.task_key} for plan in (north, south)]

    assert pruned[0] == set(weeks_of_month(MONTHS[2]))
    assert pruned[1] == set(weeks_of_month(MONTHS[8]))


def happening(kind: str, klass: str, heads: int, day: int = 100) -> SimpleNamespace:
    """An event among the stock."""
    return SimpleNamespace(day=day, kind=kind, group="g", klass=klass, heads=heads, cost=0.0)


def test_daily_care_is_head_days_and_one_round():
    """Twenty hens cost their minutes a head and one round a day, not twenty rounds."""
    row = TABLES.row("stock", "laying_hen")
    events = work.herd_events(
        TABLES, "g", {"laying_hen": np.full(365, 20), "cockerel": np.full(365, 1)}, [], LIGHT, months=MONTHS
    )
    cock = TABLES.row("stock", "cockerel").need("labour_min_per_head_day")
    daily_min = 20 * row.need("labour_min_per_head_day") + cock + row.need("labour_min_per_herd_day_fixed")

    assert total(events) == pytest.approx(365 * daily_min / 60.0)


def test_the_round_is_walked_only_while_stock_stands():
    """A batch of birds that stands for twelve weeks asks for twelve weeks of care."""
    heads = np.zeros(365)
    heads[84:168] = 30
    weeks = hours(work.herd_events(TABLES, "g", {"broiler_slow": heads}, [], LIGHT, months=MONTHS), TABLES)["livestock"]

    assert np.count_nonzero(weeks) == 12
    assert np.all(weeks[12:24] > 0.0)


def test_births_and_slaughter_are_counted_by_the_head():
    """Lambing by the ewe that was served, a lamb and a hen by the head; other groups' events are passed over."""
    stock = [happening("service", "ewe", 5), happening("killed", "lamb", 6), happening("culled", "laying_hen", 4)]
    other = SimpleNamespace(**{**vars(happening("killed", "lamb", 60)), "group": "elsewhere"})
    events = work.herd_events(TABLES, "g", {}, [*stock, other], LIGHT, months=MONTHS)

    assert total(events) == pytest.approx(5 * 1.5 + 6 * 4.0 + 4 * 0.45)


def test_hives_take_their_hours_where_the_days_are_long():
    """A colony costs 12 hours a year (8 to 20; common practice), most of them in the long days."""
    weeks = hours(
        work.herd_events(TABLES, "g", {"honeybee_colony": np.full(365, 4)}, [], LIGHT, months=MONTHS), TABLES
    )["bees"]

    assert weeks.sum() == pytest.approx(4 * 12.0)
    assert weeks[list(weeks_of_month(MONTHS[8]))].sum() > 5 * weeks[list(weeks_of_month(MONTHS[2]))].sum()


def test_nuts_are_cracked_in_the_months_in_which_they_are_eaten():
    """Shelling takes its hours per kilogram eaten, in that month's weeks, for goods of the table alone."""
    eaten = np.zeros(12)
    eaten[4] = 10.0
    events = work.shelling_events({"walnut": eaten, "potato": eaten}, MONTHS)
    cracked = TABLES.row("tasks", "preserve.crack_nuts").need("typical")

    assert total(events) == pytest.approx(10.0 * cracked)
    assert {event.week for event in events} == set(weeks_of_month(MONTHS[4]))
    assert {event.subject for event in events} == {"walnut"}
    for good, task in work.shelled().items():
        assert TABLES.has("goods", good)
        assert TABLES.row("tasks", task).text("unit") == "h/kg"


def test_hay_putting_by_making_moves_and_manure():
    """Each of them takes its figure times its amount, in its month."""
    one = np.zeros(12)
    one[4] = 100.0

    assert total(work.mowing_events("mead", "hay.loose_by_hand", one, MONTHS)) == pytest.approx(2.8)
    assert total(work.putting_by_events(TABLES, {"potato.root_cellar": one}, MONTHS)) == pytest.approx(1.0)
    makings = work.making_events({"mill_wholemeal.flour_wheat": one}, MONTHS)
    assert total(makings) == pytest.approx(
        100 * TABLES.row("makings", "mill_wholemeal.flour_wheat").need("hours_per_kg")
    )
    assert total(work.move_events("g", [3, 10, 17])) == pytest.approx(3 * 0.8)
    assert total(work.manure_events("g", 10 * one, MONTHS, 0.5)) == pytest.approx(0.9)


def person(*spans: HoursSpan, away: tuple[Span, ...] = ()) -> Person:
    """A worker."""
    return Person(born=date(1980, 1, 1), sex="f", weight_kg=65, hours_week=spans, away=away)


@settings(deadline=None)
@given(hours_week=st.floats(0.0, 60.0), start=st.integers(1, 12))
def test_hours_of_the_whole_year_are_52_weeks_and_a_day(hours_week, start):
    """A person with the same hours all year gives them every week."""
    available = available_hours({"a": person(HoursSpan(1, 12, hours_week))}, larder_months(2001, start))

    assert available.sum() == pytest.approx(hours_week * 365 / 7)
    assert available[:51] == pytest.approx(np.full(51, hours_week))


def test_hours_follow_months_and_absence():
    """Spans may cross the new year; a person who is away gives nothing; people add up."""
    away = Span(MonthDay(10, 1), MonthDay(10, 14))
    people = {"a": person(HoursSpan(4, 9, 30.0), HoursSpan(10, 3, 14.0), away=(away,)), "b": person()}
    available = available_hours(people, MONTHS)

    assert available[:2] == pytest.approx([0.0, 0.0])
    assert available[2] == pytest.approx(14.0)
    assert available[30] == pytest.approx(30.0)


@given(start=st.integers(1, 12), warm=st.lists(st.booleans(), min_size=12, max_size=12))
def test_fences_move_on_the_days_of_warm_months_only(start, warm):
    """Days on which a round moves are all days of the months over 6 C, whichever month the larder year begins with."""
    months = larder_months(2001, start)
    mean = np.where(warm, 7.0, 5.0)
    days = grazing_days({"tmin_c": mean, "tmax_c": mean}, months)

    assert len(days) == sum(month.days for month, is_warm in zip(months, warm, strict=True) if is_warm)
    assert all(warm[month_of_day(months)[day]] for day in days)


def test_digging_and_lifting_are_spread_over_weeks() -> None:
    """Beds are dug over the month before sowing and a crop ripe in a day is lifted over a fortnight: no week bears it all."""
    events = work.planting_events(TABLES, "potato", "x", area_m2=600.0, sow_day=100, gather_days=(250, 250), kg=1200.0)
    dug = [event.week for event in events if event.task_key.startswith("bed.")]
    lifted = [event.week for event in events if event.task_key.startswith("harvest.")]

    assert 3 <= len(dug) <= 5
    assert max(dug) < 100 // 7
    assert 2 <= len(lifted) <= 3
    assert min(lifted) == 250 // 7
