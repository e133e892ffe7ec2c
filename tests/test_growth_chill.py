"""Winter cold of trees: hours from daily extremes, needs met and unmet, what is told of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from conftest import demo_year
from growth_kit import holding, southern, tables, weather
from hypothesis import given
from hypothesis import strategies as st

from yardland.findings import trees as findings
from yardland.findings.context import Context
from yardland.growth.chill import (
    chill_factor,
    chill_hours,
    chill_units,
    hourly_c,
    units_needed,
    utah_units,
    winter_cold,
)
from yardland.growth.trees import TreeYear, grow_trees
from yardland.growth.turning import turning_of
from yardland.holding.model import OwnRow, TreeRow
from yardland.larderyear.jsonable import year_json
from yardland.reference import load_tables
from yardland.season.trees import tree_outcomes
from yardland.weather.types import Forcing

DAYS = np.arange(730)
HARVEST = 365 + 262


def warmer(forcing: Forcing, by_c: float) -> Forcing:
    """The same weather by some degrees warmer."""
    return replace(forcing, tmin_c=forcing.tmin_c + by_c, tmax_c=forcing.tmax_c + by_c)


def tropics() -> Forcing:
    """Twelve hours of day and 24 to 28 C on the mean, all year."""
    mean = (26 - 2 * np.cos(2 * np.pi * (DAYS - 20) / 365))[:, None]
    hours = np.full((730, 1), 12.0)
    made = weather("hot", rain_mm=5.0)
    return replace(
        made, tmin_c=mean - 4, tmax_c=mean + 4, daylength_h=hours, twilight_daylength_h=hours + 0.8, latitude_deg=4.0
    )


def grown(species: str, forcing: Forcing) -> TreeYear:
    """Ten plants of twenty years in that weather."""
    plan = holding(trees=(TreeRow(species=species, count=10, planted=date(2000, 1, 1)),), use="orchard")
    return grow_trees(plan, tables(), forcing, 2020)[0]


@given(
    low=st.floats(-20, 20),
    range_c=st.floats(0, 20),
    after=st.floats(-10, 10),
    light=st.floats(0, 24),
    hour=st.floats(0, 24),
)
def test_hours_lie_between_the_extremes(low: float, range_c: float, after: float, light: float, hour: float) -> None:
    """At no hour is it colder than the colder of two nights or warmer than the day's maximum or the night after."""
    night, day, next_night, lit = (np.array([value]) for value in (low, low + range_c, low + after, light))
    at = float(hourly_c(night, day, next_night, lit, hour)[0])

    assert min(low, low + after) - 1e-9 <= at <= max(low + range_c, low + after) + 1e-9


@given(st.floats(-10, 15), st.floats(0.1, 10))
def test_warmer_days_have_no_more_chill(shift: float, by_c: float) -> None:
    """No day of a warmer year counts more hours."""
    cool = warmer(weather("cool"), shift)

    assert (chill_hours(warmer(cool, by_c), 7.2) <= chill_hours(cool, 7.2)).all()


def test_steady_days_count_all_or_nothing() -> None:
    """A day at 5 C throughout counts 24 hours, one at 10 C none."""
    made = weather("cool")
    for steady, hours in ((5.0, 24), (10.0, 0)):
        flat = np.full_like(made.tmin_c, steady)
        assert (chill_hours(replace(made, tmin_c=flat, tmax_c=flat), 7.2) == hours).all()


def test_units_of_a_warm_day_take_back_what_a_cool_one_gave() -> None:
    """Steady 5 C gives 24 Utah units a day, frost none, 20 C takes 24 away."""
    made = weather("cool")
    for steady, units in ((5.0, 24), (-3.0, 0), (20.0, -24)):
        flat = np.full_like(made.tmin_c, steady)
        assert (chill_units(replace(made, tmin_c=flat, tmax_c=flat)) == units).all()


@given(st.floats(-40, 45))
def test_an_hour_gives_no_more_than_one_unit(hour_c: float) -> None:
    """Units lie between -1 and 1, and only the cool hours of 1.4 to 12.4 C give any."""
    units = float(utah_units(np.array([hour_c]))[0])

    assert -1 <= units <= 1
    assert (units > 0) == (1.4 < hour_c <= 12.4)


def test_a_warm_autumn_is_no_debt_and_a_warm_spring_no_loss() -> None:
    """Warm weeks before and after a cool spell leave the units of the spell, met on its last day."""
    daily = np.full((730, 1), -10.0)
    daily[360:380] = 20.0
    winter = winter_cold(tables(), 400.0, daily, 370)

    assert float(winter.counted[0]) == 400
    assert float(winter.share[0]) == 1
    assert int(winter.met_day[0]) == 379


def test_peaches_go_by_units_until_the_user_gives_hours() -> None:
    """The table says peaches in units; hours of the user's own are taken in hours, units of his own in units."""
    keys = {"trees.peach.chill_hours_low": 200.0, "trees.peach.chill_units_low": 300.0}
    rows = {key: OwnRow(line=2, key=key, value=value, why="a variety of low need") for key, value in keys.items()}
    hours, units = rows
    needed = [
        units_needed(made, made.row("trees", "peach"))
        for made in (
            load_tables(),
            load_tables(own=(rows[hours],)),
            load_tables(own=(rows[units],)),
            load_tables(own=tuple(rows.values())),
        )
    ]

    assert needed == [790, 0, 300, 300]
    assert units_needed(load_tables(), load_tables().row("trees", "apple_standard")) == 0


def test_units_tell_a_mild_winter_from_a_cool_one() -> None:
    """Peaches have their units in the cool climate; in the tropics none, and the finding speaks of units."""
    cool, hot = grown("peach", weather("cool")), tropics()
    outcomes = tree_outcomes((grown("peach", hot),), hot, 0)
    found = list(findings.too_mild(Context(replace(demo_year("tarn-hollow"), trees=outcomes), tables())))

    assert cool.chill_units is not None
    assert float(cool.chill_units[0]) > cool.chill_need_units == 790
    assert [one.number for one in found] == ["0 of 790 Utah units of chill"]
    assert "trees.peach.chill_units_low" in found[0].remedy
    assert grown("apple_standard", hot).chill_units is None


@given(st.floats(0, 3), st.floats(0, 1))
def test_less_cold_leaves_no_more_crop(share: float, less: float) -> None:
    """The crop is whole once the need is met, nothing at half of it, and never rises as the cold grows less."""
    more, fewer = chill_factor(tables(), np.array([share, share - less]))

    assert fewer <= more
    assert float(chill_factor(tables(), np.array([1.0]))[0]) == 1.0
    assert float(chill_factor(tables(), np.array([0.5]))[0]) == 0.0


def test_a_longer_need_is_met_later() -> None:
    """The day by which the need is met follows the need; a species without one has it met at once."""
    forcing = weather("cool")
    hours, midwinter = chill_hours(forcing, 7.2), turning_of(forcing).midwinter_before(HARVEST)
    met = [
        int(
            winter_cold(tables(), tables().row("trees", species)["chill_hours_low"] or 0.0, hours, midwinter).met_day[0]
        )
        for species in ("fig", "olive", "peach", "apple_standard")
    ]

    assert met == sorted(met)
    assert len(set(met)) == 4
    assert met[-1] < midwinter


def test_unmet_chill_delays_bloom() -> None:
    """In a winter too warm for them apples open later than their heat alone would have it."""
    forcing = warmer(weather("hot", rain_mm=5.0), 3.0)
    held = grown("apple_semidwarf", forcing)
    own = OwnRow(line=2, key="trees.apple_semidwarf.chill_hours_low", value=0.0, why="a variety without need")
    plan = holding(trees=(TreeRow(species="apple_semidwarf", count=10, planted=date(2000, 1, 1)),), use="orchard")
    free = grow_trees(plan, load_tables(own=(own,)), forcing, 2020)[0]

    assert held.bloom_day[0] > free.bloom_day[0] + 14
    assert float(held.factors["chill"][0]) < 0.8
    assert float(free.factors["chill"][0]) == 1.0


@pytest.mark.parametrize("species", ["apple_standard", "cherry_sweet", "pear", "blackcurrant"])
def test_fruit_of_cold_winters_fails_in_the_tropics(species: str) -> None:
    """Common practice: without a winter apples, cherries, pears and currants set nothing; figs and persimmons bear."""
    assert grown(species, tropics()).kg.sum() == 0
    assert grown("fig", tropics()).kg.sum() > 0
    assert grown("persimmon", tropics()).kg.sum() > 0


def test_the_south_counts_its_own_winter() -> None:
    """The same weather half a year later gives the same hours."""
    north, south = (grown("apple_standard", made) for made in (weather("cool"), southern(weather("cool"))))

    assert float(south.chill_h[0]) == pytest.approx(float(north.chill_h[0]), abs=30)


@pytest.mark.parametrize("start_month", [1, 4, 8, 11])
def test_chill_is_of_the_winter_before_the_harvest(start_month: int) -> None:
    """Whatever month the larder year begins, the winter before the harvest is counted whole."""
    tree = grown("apple_standard", weather("cool", start_month=start_month))

    assert float(tree.chill_h[0]) == pytest.approx(float(grown("apple_standard", weather("cool")).chill_h[0]), abs=30)


def test_a_winter_too_mild_is_told_with_its_hours_and_the_figure() -> None:
    """The finding names the species, the hours it had and needs, and the key to set a variety's own need."""
    forcing = tropics()
    outcomes = tree_outcomes((grown("apple_standard", forcing), grown("fig", forcing)), forcing, 0)
    found = list(findings.too_mild(Context(replace(demo_year("tarn-hollow"), trees=outcomes), tables())))

    assert [(one.grade, one.title) for one in found] == [("short", "Too little winter cold for apple")]
    assert found[0].number == "0 of 1,200 hours under 7.2 C"
    assert "trees.apple_standard.chill_hours_low" in found[0].remedy


def test_frost_at_bloom_is_told_for_trees_that_would_bear() -> None:
    """Apples whose blossom froze are told with their row; figs, which have no such figure, and unfrosted ones are not."""
    forcing = weather("cool", rain_mm=5.0)
    bloom = int(grown("apple_standard", forcing).bloom_day[0])
    night = forcing.tmin_c.copy()
    night[bloom] = -3.7
    frosty = replace(forcing, tmin_c=night)
    told = []
    for made in (forcing, frosty):
        outcomes = tree_outcomes((grown("apple_standard", made), grown("fig", made)), made, 0)
        told.append(
            [
                (one.grade, one.title)
                for one in findings.frosted_bloom(Context(replace(demo_year("tarn-hollow"), trees=outcomes), tables()))
            ]
        )

    assert told == [[], [("tight", "Frost at bloom takes apple in wood")]]


@pytest.mark.parametrize(
    ("species", "climate"), [("almond", "hot"), ("olive", "hot"), ("fig", "hot"), ("pear", "warm")]
)
def test_at_home_a_species_blooms_about_the_tables_day(species: str, climate: str) -> None:
    """In the climate from which its heat is taken, bloom lies within ten days of the table's."""
    day = tables().row("trees", species).need("bloom_doy")

    assert abs(int(grown(species, weather(climate)).bloom_day[0]) - 365 - (day - 1)) <= 10


@pytest.mark.parametrize(
    ("name", "species"),
    [("tarn-hollow", {"apple_semidwarf", "plum", "hazel"}), ("casa-vereda", {"olive", "fig", "almond", "grapevine"})],
)
def test_the_demonstrations_trees_have_cold_enough_and_bear(name: str, species: set[str]) -> None:
    """Apples bear in the cool hills, olives and figs under the dry summers; no want of cold is told; JSON has the rows."""
    result = demo_year(name)
    trees = {tree.species: tree for tree in result.trees}

    assert species <= set(trees)
    assert all(trees[key].harvest_kg > 0 and trees[key].factors["chill"] == 1.0 for key in species)
    assert not any("winter cold" in finding.title for finding in result.findings)
    assert [row["tree"] for row in year_json(result)["trees"]] == [tree.tree for tree in result.trees]  # type: ignore[attr-defined, index]
    for tree in result.trees:
        assert f"chill {tree.factors['chill']:.2f}" in result.why[f"fruit.{tree.fruit}"]
