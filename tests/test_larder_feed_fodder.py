"""The count of winter fodder: bearing ground, turn-out, days in hand, who goes; and a pig's weather."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from conftest import EXAMPLES, demo_year
from growth_kit import holding, on, swards

from yardland import load
from yardland.findings.collect import judged_year
from yardland.findings.context import Context
from yardland.findings.feeds import pig_weather, winter_fodder
from yardland.growth.sward import SwardYear
from yardland.holding.model import Batch, Group, MonthDay, Sward
from yardland.larder.feed_fodder import destock
from yardland.larder.feed_turnout import bearing, coldest_day, enough_of_week, first_in, first_out
from yardland.ledger.production import HerdNeed
from yardland.reference import load_tables
from yardland.weather.types import Forcing

TABLES = load_tables()
DAYS = 730


def forcing(rain_mm: np.ndarray, eto_mm: float = 1.0, mean_c: np.ndarray | None = None) -> Forcing:
    """One lane of two years with that rain and evaporation."""
    mean = np.full(DAYS, 8.0) if mean_c is None else mean_c

    def lane(values: np.ndarray) -> np.ndarray:
        return np.asarray(values, dtype=np.float64).reshape(DAYS, 1)

    return Forcing(
        tmin_c=lane(mean - 4.0),
        tmax_c=lane(mean + 4.0),
        rain_mm=lane(rain_mm),
        rad_mj_m2=lane(np.full(DAYS, 8.0)),
        eto_mm=lane(np.full(DAYS, eto_mm)),
        daylength_h=lane(np.full(DAYS, 12.0)),
        twilight_daylength_h=lane(np.full(DAYS, 13.0)),
        labels=("2020-10 to 2021-09",),
        start_years=(2020,),
        start_month=10,
        led_in_by_itself=(True,),
        latitude_deg=52.0,
        source="made for a test",
    )


def burst(mm: float) -> np.ndarray:
    """Dry days but for one of `mm` rain, on day 100."""
    rain = np.zeros(DAYS)
    rain[100] = mm
    return rain


def mead(texture: str, made: Forcing) -> SwardYear:
    """A permanent pasture on that soil under that weather."""
    return swards(on(holding(use="grass", sward=Sward(kind="permanent pasture")), texture=texture), made)[0]


def days_wet(texture: str, mm: float = 20.0) -> int:
    """Days that the ground does not bear after one rain on soil at field capacity, nothing evaporating."""
    return int((~mead(texture, forcing(burst(mm), eto_mm=0.0)).bears).sum())


def test_sand_bears_before_clay() -> None:
    """After one soaking, sand carries stock again sooner than loam, and loam sooner than clay."""
    assert 0 < days_wet("sand") < days_wet("loam") < days_wet("clay")


def test_more_rain_never_makes_ground_bear_sooner() -> None:
    """Days without bearing rise with the rain of the day, for each texture; without rain there is none."""
    for texture in ("sand", "loam", "clay"):
        wet = [days_wet(texture, mm) for mm in (0.0, 1.0, 5.0, 20.0, 60.0)]
        assert wet == sorted(wet)
        assert wet[0] == 0


def test_frozen_ground_bears() -> None:
    """Ground that never bears in the wet carries stock when it is frozen through."""
    soaked = np.full(DAYS, 10.0)

    assert not mead("clay", forcing(soaked)).bears.any()
    assert mead("clay", forcing(soaked, mean_c=np.full(DAYS, -5.0))).bears.all()


def test_the_count_reads_the_days_of_most_of_the_ground() -> None:
    """Of two meads the larger says whether the ground bears; alike, one of them is enough."""
    one, two = (mead(texture, forcing(burst(40.0), eto_mm=0.0)) for texture in ("sand", "clay"))
    larger = replace(two, area_m2=3.0 * one.area_m2)

    assert (bearing((one, larger)) == two.bears).all()
    assert (bearing((one, two)) == (one.bears | two.bears)).all()
    assert not (one.bears == two.bears).all()


def test_a_week_bears_with_days_enough() -> None:
    """Of a week with five days that bear, five are enough and six are not."""
    fit = np.zeros((20, 1), dtype=np.bool_)
    fit[3:8] = True

    assert enough_of_week(fit, 5)[1:4, 0].all()
    assert not enough_of_week(fit, 6).any()


def test_the_coldest_month_is_found_wherever_the_year_opens() -> None:
    """A cosine of temperature with its trough on day 100 of the year puts the coldest there, a year behind or not."""
    for trough in (30, 100, 200, 330):
        mean = 10.0 - 8.0 * np.cos(2.0 * np.pi * (np.arange(DAYS) - trough) / 365.0)
        assert abs(int(coldest_day(forcing(np.zeros(DAYS), mean_c=mean))[0]) % 365 - trough) <= 1


def test_turn_out_waits_for_grass_and_for_ground() -> None:
    """With 10 kg a day from day 400 on, 200 kg stand on day 419; ground that bears from day 430 holds it back."""
    growth = np.where(np.arange(DAYS) >= 400, 10.0, 0.0)
    dry, late = np.ones(DAYS, dtype=np.bool_), np.arange(DAYS) >= 430

    assert first_out(dry, growth, 200.0, 380) == 419
    assert first_out(late, growth, 200.0, 380) == 430
    assert first_out(dry, growth, 400.0, 380) > first_out(dry, growth, 200.0, 380)


def test_stock_come_in_after_the_last_good_day() -> None:
    """Grass until day 300 and ground that bears until day 280: in from day 281."""
    grazing, fit = np.arange(DAYS) <= 300, np.arange(DAYS) <= 280

    assert first_in(fit, grazing, 380) == 281


def ruminants(klass: str, heads: float, mj_month: float) -> HerdNeed:
    """A class with a steady need."""
    return HerdNeed(
        group="flock",
        klass=klass,
        heads=np.full(12, heads),
        system="me_ruminant",
        ceiling_column="max_ruminant",
        energy_mj=np.full(12, mj_month),
        protein_kg=np.zeros(12),
        dry_matter_max_kg=np.full(12, 1000.0),
        forage_min_fraction=0.5,
        products={},
        manure_kg=np.zeros(12),
        manure_n_kg=np.zeros(12),
        water_m3=np.zeros(12),
    )


@pytest.mark.parametrize(
    ("missing", "sold"),
    [
        (0.0, []),
        (50.0, [("lamb", 1)]),
        (200.0, [("lamb", 2)]),
        (450.0, [("lamb", 2), ("ewe", 1)]),
        (1e9, [("lamb", 4), ("ewe", 10), ("dairy_cow_small", 1)]),
    ],
)
def test_lambs_go_before_ewes_and_the_cow_last(missing: float, sold: list[tuple[str, int]]) -> None:
    """Four lambs of 100 MJ for the winter, ten ewes of 300, a cow: whole heads, no more than carry the rest through."""
    herds = [ruminants("dairy_cow_small", 1, 2000.0), ruminants("ewe", 10, 1500.0), ruminants("lamb", 4, 200.0)]
    winter = np.array([1.0, 1.0] + [0.0] * 10)

    found = destock(TABLES, herds, winter, missing)

    assert [(one.klass, one.heads) for one in found] == sold
    assert missing > 1e6 or sum(one.saves_mj for one in found) >= missing


def test_only_what_stands_in_autumn_is_sold() -> None:
    """Lambs to be born in the second month of the winter are not for sale: their need goes with the ewes that carry them."""
    unborn = np.array([0.0, 10.0] + [0.0] * 10)
    lambs = replace(ruminants("lamb", 1, 0.0), heads=unborn, energy_mj=10.0 * unborn)
    winter = np.array([1.0, 1.0] + [0.0] * 10)

    found = destock(TABLES, [lambs, ruminants("ewe", 10, 1500.0)], winter, 300.0)

    assert [(one.klass, one.heads) for one in found] == [("ewe", 1)]
    assert found[0].saves_mj == pytest.approx(310.0)


def test_smaller_stock_stay_where_a_large_beast_goes() -> None:
    """With 3,200 MJ lacking the ewes do not reach; the cow goes (4,000), and all of them stay."""
    herds = [ruminants("dairy_cow_small", 1, 2000.0), ruminants("ewe", 10, 1500.0)]
    winter = np.array([1.0, 1.0] + [0.0] * 10)

    assert [(one.klass, one.heads) for one in destock(TABLES, herds, winter, 3200.0)] == [("dairy_cow_small", 1)]
    assert [(one.klass, one.heads) for one in destock(TABLES, herds, winter, 4300.0)] == [
        ("ewe", 1),
        ("dairy_cow_small", 1),
    ]


def test_demo_counts_hang_together() -> None:
    """Stock come in before they go out, the latest turn-out is none of the earlier ones, days in hand fit the need."""
    for name in ("tarn-hollow", "casa-vereda"):
        count = demo_year(name).fodder
        assert count is not None
        assert count.housed_day < count.turn_out_day <= count.latest_day == max(count.latest_day, *count.by_lane[-10:])
        assert count.stored_mj + count.fed_mj + count.missing_mj >= count.need_mj - 1e-6
        assert 0 <= count.days_in_hand <= count.winter_days + count.reserve_days
        saved = sum(sold.saves_mj for sold in count.sold)
        assert bool(count.sold) == (count.days_in_hand < count.winter_days + count.reserve_days)
        assert count.stored_mj + count.fed_mj + saved >= count.need_mj


def test_a_short_winter_says_who_goes_and_when() -> None:
    """With nothing to buy and an empty barn the finding is short and names heads and a day; with hay to buy it is tight."""
    result = demo_year("tarn-hollow")
    assert result.fodder is not None
    bare = replace(result.fodder, stored_mj=0.0, fed_mj=0.0, buyable_mj=0.0, days_in_hand=0)
    full = replace(result.fodder, stored_mj=10.0 * result.fodder.need_mj, days_in_hand=result.fodder.winter_days + 30)

    short = list(winter_fodder(Context(replace(result, fodder=bare), TABLES)))
    tight = list(winter_fodder(Context(replace(result, fodder=replace(bare, buyable_mj=1e9)), TABLES)))
    enough = list(winter_fodder(Context(replace(result, fodder=full), TABLES)))

    assert [finding.grade for finding in short] == ["short"]
    assert "Sell by" in short[0].remedy
    assert "(ewes)" in short[0].remedy
    assert [finding.grade for finding in tight] == ["tight"]
    assert tight[0].remedy.startswith("Buy")
    assert enough == []


@pytest.mark.parametrize(("bought_on", "warm"), [(MonthDay(3, 1), True), (MonthDay(7, 15), False)])
def test_a_pig_killed_in_summer_is_told(bought_on: MonthDay, warm: bool) -> None:
    """A weaner of March is ripe in high summer: too warm for a shed. One of July is killed in winter: no finding."""
    plan = load(EXAMPLES / "tarn-hollow")
    pigs = Group(batch=(Batch(**{"class": "pig_grower", "count": 1, "on": (bought_on,)}),), home="house")
    trades = (*plan.trades, plan.trades[1].model_copy(update={"item": "barley", "limit_month": None}))
    result = judged_year(plan.model_copy(update={"group": {**plan.group, "pigs": pigs}, "trades": trades}))

    found = list(pig_weather(Context(result, TABLES)))

    assert "meat_pork" in result.products_kg["pigs"]
    assert bool(found) == warm
    assert all("freezer" in finding.number for finding in found)
