"""Hazards: the table, the draws, what they take, and how they are told."""

from __future__ import annotations

import dataclasses
import math
import subprocess
import sys
from functools import lru_cache
from types import SimpleNamespace

import numpy as np
import pytest
from fixtures_result import year_result
from growth_kit import grown, holding, tables, weather
from hypothesis import given
from hypothesis import strategies as st

from yardland.errors import InputFaults
from yardland.findings.context import Context
from yardland.findings.hazards import strikes as told_strikes
from yardland.growth.crop_traits import FORAGE
from yardland.growth.hazards.chance import Outlook, bar_of, chances, driver_norms, outlooks
from yardland.growth.hazards.draws import numbers
from yardland.growth.hazards.falls import Chain, Stand, day_of, expected_share, loss_at
from yardland.growth.hazards.spans import driver_before, of_this_half, on_axis, spans
from yardland.growth.hazards.strike import (
    FACTOR,
    Strike,
    crop_stand,
    expected_losses,
    strike,
    strike_trees,
    tree_stand,
)
from yardland.growth.hazards.table import Hazard, hazard_of, hazards_on_crop, hazards_on_tree, months_of
from yardland.growth.trees import grow_trees
from yardland.holding.model import OwnRow, PlantingRow, TreeRow
from yardland.larderyear.jsonable import year_json
from yardland.larderyear.strikes import given_back, strike_words, with_strikes
from yardland.larderyear.why import hazards as hazard_reasons
from yardland.ledger.production import Gathered, Production
from yardland.reference import load_tables
from yardland.reference.tables import Tables
from yardland.report.answer import answer
from yardland.report.crop import facts, years_table
from yardland.report.crop_json import crop_json
from yardland.season.crop_year import tell_crop
from yardland.season.season import run_season
from yardland.season.strikes import StrikeYear
from yardland.weather.types import Forcing

HAZARDS = tables().keys("hazards")
MANY = np.arange(1, 20_001)
LANES = 30


def row(crop: str, line: int = 2, share: float = 0.3, **more: object) -> PlantingRow:
    """A line of plantings.csv on the made field."""
    return PlantingRow.model_validate({"line": line, "plot": "field", "crop": crop, "share": share, **more})


@lru_cache(maxsize=4)
def years(lanes: int = LANES, latitude_deg: float = 52.0) -> Forcing:
    """Years that follow one another, some wetter and some warmer."""
    forcing, dice = weather(lanes=lanes), np.random.default_rng(5)
    rain, warm = dice.uniform(0.4, 1.6, lanes)[None, :], dice.normal(0.0, 1.0, lanes)[None, :]
    return dataclasses.replace(
        forcing,
        rain_mm=forcing.rain_mm * rain,
        tmin_c=forcing.tmin_c + warm,
        tmax_c=forcing.tmax_c + warm,
        start_years=tuple(range(1980, 1980 + lanes)),
        latitude_deg=latitude_deg,
    )


def chain(seed: int = 3, own: Tables | None = None, forcing: Forcing | None = None) -> Chain:
    """The hazards of the made years."""
    return Chain(own or tables(), forcing or years(), seed)


def own_tables(**figures: float) -> Tables:
    """The tables under figures of one's own: late_blight__loss_share=1."""
    lines = [
        OwnRow(line=number, key=f"hazards.{key.replace('__', '.')}", value=value, why="seen here")
        for number, (key, value) in enumerate(figures.items(), 2)
    ]
    return load_tables(own=tuple(lines))


def only(hazard: str, **figures: float) -> Tables:
    """The tables with one hazard that always comes, and no other."""
    never = {f"{key}__chance_per_year": 0.0 for key in HAZARDS if key != hazard}
    return own_tables(
        **never, **{f"{hazard}__chance_per_year": 1.0}, **{f"{hazard}__{k}": v for k, v in figures.items()}
    )


# --- the table -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", HAZARDS)
def test_a_row_names_crops_trees_months_and_weather_that_there_are(key: str) -> None:
    """Every selector of a hazard is known, it strikes something, and it says what lessens it."""
    hazard, cells = hazard_of(tables(), key), tables().row("hazards", key)
    families = {tables().row("crops", crop).text("family") for crop in tables().keys("crops")}
    groups = {tables().row("crops", crop).text("canopy_group") for crop in tables().keys("crops")}

    assert set(cells.text("crops").split()) <= set(tables().keys("crops"))
    assert set(cells.text("spares").split()) <= set(tables().keys("crops"))
    assert set(cells.text("families").split()) <= families
    assert set(cells.text("groups").split()) <= groups | {"all"}
    assert set(cells.text("trees").split()) <= {*tables().keys("trees"), "all"}
    assert not hazard.driver or tables().has("drivers", hazard.driver)
    assert hazard.remedy.endswith(".")
    assert 0 < hazard.loss_low <= hazard.loss <= hazard.loss_high <= 1


def test_every_crop_and_tree_has_a_hazard_besides_hail() -> None:
    """Hail strikes all; all but swards have something else to fear as well."""
    for crop in tables().keys("crops"):
        found = [one.key for one in hazards_on_crop(tables(), crop)]
        assert "hail" in found
        assert len(found) > 1 or crop in FORAGE, crop
    for species in tables().keys("trees"):
        assert len(hazards_on_tree(tables(), species)) > 1, species


def test_remedies_that_spray_or_kill_carry_a_caution() -> None:
    """Wherever a remedy may be a spray, a bait, a trap or a gun, the row says whose rules hold."""
    for key in HAZARDS:
        hazard = hazard_of(tables(), key)
        if hazard.kind in ("vermin", "birds") or any(
            word in hazard.remedy for word in ("bait", "trap", "lime", "Lime")
        ):
            assert hazard.caution, key


def test_own_chance_over_one_is_refused_with_its_line() -> None:
    """own.csv may hold no chance above one."""
    with pytest.raises(InputFaults, match="line 2") as error:
        own_tables(hail__chance_per_year=1.4)

    assert "hazards.hail.chance_per_year" in str(error.value)
    assert "0 to 1" in str(error.value)


def test_own_loss_widens_the_range() -> None:
    """A loss above the table's high figure becomes the high figure."""
    hazard = hazard_of(own_tables(slugs__loss_share=0.9), "slugs")

    assert (hazard.loss, hazard.loss_high) == (0.9, 0.9)


# --- draws ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", HAZARDS)
def test_frequency_and_mean_loss_are_the_tables_in_the_long_run(key: str) -> None:
    """Over 20,000 years a hazard comes and takes as the table says, within four standard errors."""
    hazard = hazard_of(tables(), key)
    p = hazard.chance
    fair = Outlook(0, 10, MANY, np.full(len(MANY), p), np.full(len(MANY), bar_of(p)))
    fall = chain(11)._fall(hazard, "north.potato", fair)
    losses = fall.loss[fall.comes]

    assert abs(fall.comes.mean() - p) < 4 * math.sqrt(p * (1 - p) / len(MANY))
    assert abs(losses.mean() - hazard.loss) < 4 * losses.std() / math.sqrt(len(losses))
    assert losses.min() >= hazard.loss_low
    assert losses.max() <= hazard.loss_high
    assert fall.comes.mean() * losses.mean() == pytest.approx(p * hazard.loss, rel=0.12)


@given(st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))
def test_the_mean_of_the_losses_is_the_middle_figure(a: float, b: float, c: float) -> None:
    """Whatever low, middle and high: losses rise from low to high, and their mean is the middle."""
    low, middle, high = sorted((a, b, c))
    hazard = dataclasses.replace(hazard_of(tables(), "hail"), loss_low=low, loss=middle, loss_high=high)
    grid = (np.arange(2000) + 0.5) / 2000
    losses = np.array([loss_at(hazard, float(share)) for share in grid])

    assert (np.diff(losses) >= -1e-12).all()
    assert losses.min() >= low - 1e-12
    assert losses.max() <= high + 1e-12
    assert losses.mean() == pytest.approx(middle, abs=1e-3)


@given(st.integers(0, 2**40), st.lists(st.integers(-3000, 5000), min_size=1, max_size=8))
def test_a_years_numbers_are_the_same_alone_and_among_others(seed: int, asked: list[int]) -> None:
    """The counter is the year: order and company change nothing."""
    together = numbers(seed, "record", "hail", "a.oats", np.array(asked))
    for at, year in enumerate(asked):
        alone = numbers(seed, "record", "hail", "a.oats", np.array([year]))
        assert (alone.strike[0], alone.loss[0], alone.day[0]) == (
            together.strike[at],
            together.loss[at],
            together.day[at],
        )


@pytest.mark.parametrize(
    "other",
    [
        (4, "record", "hail", "a.b"),
        (3, "x", "hail", "a.b"),
        (3, "record", "slugs", "a.b"),
        (3, "record", "hail", "a.c"),
    ],
)
def test_seed_chain_hazard_and_subject_all_key_the_numbers(other: tuple[int, str, str, str]) -> None:
    """Change any one of them and the numbers have nothing to do with the others."""
    first, second = (numbers(*key, MANY) for key in ((3, "record", "hail", "a.b"), other))

    for name in ("strike", "loss", "day"):
        assert abs(float(np.corrcoef(getattr(first, name), getattr(second, name))[0, 1])) < 0.03


def test_numbers_are_standard() -> None:
    """Two independent standard normals and an even number between 0 and 1."""
    drawn = numbers(1, "record", "hail", "a.b", MANY)

    assert abs(drawn.strike.mean()) < 0.03
    assert drawn.strike.std() == pytest.approx(1.0, abs=0.02)
    assert drawn.loss.std() == pytest.approx(1.0, abs=0.02)
    assert abs(float(np.corrcoef(drawn.strike, drawn.loss)[0, 1])) < 0.03
    assert drawn.day.mean() == pytest.approx(0.5, abs=0.01)
    assert ((drawn.day > 0) & (drawn.day < 1)).all()


def test_another_process_draws_the_same() -> None:
    """No hash of this process is in the keys."""
    code = (
        "import numpy as np; from yardland.growth.hazards.draws import numbers;"
        "d = numbers(7, 'record', 'hail', 'north.potato', np.arange(2000, 2005)); print(d.strike.tolist() + d.day.tolist())"
    )
    other = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    here = numbers(7, "record", "hail", "north.potato", np.arange(2000, 2005))

    assert other.stdout.strip() == str(here.strike.tolist() + here.day.tolist())


def test_bad_years_are_bad_for_many_crops() -> None:
    """Two hazards that share nothing but the year come together more often than apart would have it."""
    moth, scab = (dataclasses.replace(hazard_of(tables(), key), driver="") for key in ("nut_thieves", "fruit_birds"))
    fair = Outlook(0, 10, MANY, np.full(len(MANY), 0.5), np.zeros(len(MANY)))
    one, two = (chain(9)._fall(hazard, "a.b", fair).comes.astype(float) for hazard in (moth, scab))
    share = tables().row("odds", "year_share").need("number")

    assert float(np.corrcoef(one, two)[0, 1]) == pytest.approx(2 / math.pi * math.asin(share), abs=0.025)


def test_plots_share_what_the_holding_shares() -> None:
    """Hail on one plot is hail on the next far more often than wireworm is."""
    fair = Outlook(0, 10, MANY, np.full(len(MANY), 0.5), np.zeros(len(MANY)))

    def together(key: str) -> float:
        hazard = hazard_of(tables(), key)
        pair = [chain(2)._fall(hazard, name, fair).comes.astype(float) for name in ("a.carrot", "b.carrot")]
        return float(np.corrcoef(pair[0], pair[1])[0, 1])

    assert together("hail") > 0.7
    assert 0.1 < together("wireworm") < 0.4


# --- weather -------------------------------------------------------------------------------------------------------------


@given(st.floats(0.001, 0.999), st.floats(0, 0.5), st.lists(st.floats(-3, 3), min_size=1, max_size=40))
def test_the_mean_chance_over_the_record_is_the_tables(mean: float, share: float, distances: list[float]) -> None:
    """Weather moves the chance from year to year and keeps its mean; more is never less likely."""
    record = np.array(distances)
    found = chances(mean, share, record, record)

    assert found.mean() == pytest.approx(mean, abs=1e-9)
    assert ((found >= 0) & (found <= 1)).all()
    assert (np.diff(found[np.argsort(record)]) >= -1e-12).all()


@pytest.mark.parametrize("key", [key for key in HAZARDS if tables().row("hazards", key).text("driver") != "none"])
def test_the_driving_weather_makes_it_likelier(key: str) -> None:
    """Of the record's years, those further on the driver's side have the greater chance; the mean is the table's."""
    hazard = hazard_of(tables(), key)
    cells = tables().row("drivers", hazard.driver)
    found = next(
        one for one in outlooks(hazard, tables(), years(), driver_norms(tables(), years())) if one.years[0] == 1980
    )
    forcing = years()
    amount = forcing.rain_mm.sum(axis=0) if cells.text("measure") == "rain" else forcing.tmax_c.mean(axis=0)
    toward = amount if cells.text("turn") == "up" else -amount

    assert found.chance.mean() == pytest.approx(hazard.chance, abs=1e-9)
    assert (np.diff(found.chance[np.argsort(toward)]) >= -1e-12).all()
    assert found.chance.max() > 1.3 * found.chance.min()


def test_wet_julys_bring_more_blight() -> None:
    """Over many seeds late blight comes more often in the wetter half of the years, and on average as the table says."""
    hazard, wet = hazard_of(tables(), "late_blight"), years().rain_mm.sum(axis=0)
    comes = np.array(
        [
            next(fall for fall in chain(seed).falls(hazard, "a.potato") if fall.outlook.years[0] == 1980).comes
            for seed in range(120)
        ]
    )
    often = comes.mean(axis=0)
    wetter = wet > np.median(wet)

    assert often[wetter].mean() > often[~wetter].mean() + 0.2
    assert often.mean() == pytest.approx(hazard.chance, abs=0.04)


def test_a_record_of_one_year_has_the_tables_chance() -> None:
    """With nothing to compare with, no year is wet."""
    found = outlooks(hazard_of(tables(), "late_blight"), tables(), years(1), driver_norms(tables(), years(1)))

    for one in found:
        np.testing.assert_allclose(one.chance, hazard_of(tables(), "late_blight").chance)


@pytest.mark.parametrize("key", HAZARDS)
@pytest.mark.parametrize("south", [False, True])
def test_nothing_falls_before_the_weather_that_drives_it_is_known(key: str, south: bool) -> None:
    """The first day is after the driver's months, or the last of the hazard's where these end together."""
    forcing = years(LANES, -40.0 if south else 52.0)
    hazard = hazard_of(tables(), key)
    found = outlooks(hazard, tables(), forcing, driver_norms(tables(), forcing))
    rounds = [one for one in spans(hazard.months, forcing.start_month, south=south) if one.last >= 0]

    assert len(found) == len(rounds)
    for outlook, span in zip(found, rounds, strict=True):
        assert span.first <= outlook.first <= outlook.last == span.last
        if hazard.driver:
            drivers = spans(months_of(tables().row("drivers", hazard.driver)), forcing.start_month, south=south)
            driver = driver_before(drivers, span)
            assert driver is None or outlook.first > driver.last or outlook.first == span.last


@pytest.mark.parametrize("start_month", range(1, 13))
def test_months_come_round_once_a_year(start_month: int) -> None:
    """November to May lies where the calendar has it, whatever month the larder year starts in; half a year on in the south."""
    north = spans((11, 5), start_month, south=False)
    south = spans((11, 5), start_month, south=True)
    to_november = sum((31, 28, 31, 30, 31, 30, 31, 31, 30, 31)) - sum(
        (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30)[: start_month - 1]
    )
    one = next(span for span in north if 0 <= span.first < 365)

    assert one.first == to_november % 365
    assert one.last - one.first + 1 == 30 + 31 + 31 + 28 + 31 + 30 + 31
    assert one.year_step == (-1 if start_month <= 11 else 0)
    assert {span.first for span in south} != {span.first for span in north}
    assert any(on_axis(span) for span in north)


def test_months_are_named_for_the_half_of_the_world() -> None:
    """A wet July and a lifting before November are January and May in the south; verbs stay as they are."""
    words = "A wet July may rot them: lift before November."

    assert of_this_half(words, south=False) == words
    assert of_this_half(words, south=True) == "A wet January may rot them: lift before May."


def test_the_year_before_is_the_last_lanes_own_year() -> None:
    """A lane's first year and the second year of the lane before it are one year: the same strikes, losses and days."""
    for key in ("hail", "late_blight", "pigeons"):
        by_year: dict[int, list[tuple[bool, float, float]]] = {}
        for fall in chain().falls(hazard_of(tables(), key), "field.potato"):
            for lane, year in enumerate(fall.outlook.years.tolist()):
                if tables().row("hazards", key).text("driver") == "none":
                    by_year.setdefault(year, []).append(
                        (bool(fall.comes[lane]), float(fall.loss[lane]), float(fall.place[lane]))
                    )
                else:
                    by_year.setdefault(year, []).append((True, 0.0, float(fall.place[lane])))
        assert sum(len(found) > 1 for found in by_year.values()) > LANES - 3
        assert all(len(set(found)) == 1 for found in by_year.values())


# --- what is taken -------------------------------------------------------------------------------------------------------


CROPS = (row("potato"), row("winter_wheat", 3), row("carrot", 4, 0.2))


def test_factors_multiply_to_the_yield() -> None:
    """Yield after = yield before x the factor; the product of all factors keeps to the yield as it did; months add up."""
    before = grown(holding(*CROPS), years())
    after, strikes = strike(before, chain())
    whole = (before.level * before.mid_t_ha * 1000.0)[:, None, None]
    was = np.prod(np.stack(list(before.factors.values())), axis=0) * whole
    now = np.prod(np.stack(list(after.factors.values())), axis=0) * whole

    assert len(strikes) > 20
    assert tuple(after.factors) == (*before.factors, FACTOR)
    np.testing.assert_allclose(after.yield_kg_ha, before.yield_kg_ha * after.factors[FACTOR], rtol=1e-12)
    np.testing.assert_allclose(now - after.yield_kg_ha, (was - before.yield_kg_ha) * after.factors[FACTOR], atol=1e-6)
    np.testing.assert_allclose(
        after.harvest_kg.sum(axis=1), after.pick(after.yield_kg_ha) * after.area_m2[:, None] / 10_000.0, rtol=1e-9
    )
    np.testing.assert_allclose(
        sum(float(one.lost_kg.sum()) for one in strikes), before.harvest_kg.sum() - after.harvest_kg.sum(), rtol=1e-9
    )
    assert ((after.factors[FACTOR] > 0) & (after.factors[FACTOR] <= 1)).all()


def test_what_grew_is_left_as_it_was() -> None:
    """Striking changes no array of what it was given, and the same seed strikes the same."""
    before = grown(holding(*CROPS), years())
    kept = before.yield_kg_ha.copy(), before.harvest_kg.copy()
    first, second = strike(before, chain()), strike(before, chain())

    np.testing.assert_array_equal(before.yield_kg_ha, kept[0])
    np.testing.assert_array_equal(before.harvest_kg, kept[1])
    np.testing.assert_array_equal(first[0].yield_kg_ha, second[0].yield_kg_ha)
    assert not np.array_equal(first[0].yield_kg_ha, strike(before, chain(4))[0].yield_kg_ha)


def test_another_crop_changes_no_strike_on_these() -> None:
    """With two crops more, and the lines in another order, the strikes on potato and wheat are the same to the bit."""
    alone = strike(grown(holding(row("potato"), row("winter_wheat", 3)), years()), chain())[1]
    more = strike(
        grown(holding(row("kale", 2, 0.1), row("winter_wheat", 3), row("potato", 4), row("onion", 5, 0.1)), years()),
        chain(),
    )[1]

    def fell(strikes: tuple[Strike, ...]) -> set[tuple[object, ...]]:
        return {
            (one.id, one.hazard.key, one.sowing, one.lane, one.day, one.loss_share, one.share_lost)
            for one in strikes
            if one.plant in ("potato", "winter_wheat")
        }

    assert len(fell(alone)) > 20
    assert fell(alone) == fell(more)


def test_sowings_in_succession_share_the_strike() -> None:
    """Sowings of one crop on one plot have the same hail in the same year, with the same loss; those not there escape."""
    own = only("hail", loss_low=0.5, loss_high=0.5, loss_share=0.5)
    plan = holding(row("lettuce", 2, 0.2, sow="04-10", until="07-30", every_days=21))
    before = grown(plan, years())
    after, strikes = strike(before, chain(own=own))
    days = {lane: {one.day for one in strikes if one.lane == lane and one.sowing == 1} for lane in range(LANES)}

    assert len(before.plantings) > 3
    assert all(len(found) <= 1 for found in days.values())
    assert sum(len(found) for found in days.values()) > LANES / 2
    for lane in range(LANES):
        for index, _ in enumerate(before.plantings):
            stand = crop_stand(before, index, 1)
            if days[lane] and stand.last[lane] >= stand.first[lane]:
                (day,) = days[lane]
                struck = after.factors[FACTOR][index, 1, lane] < 1
                assert struck == (stand.start[lane] <= day <= stand.last[lane])
    struck_share = (after.factors[FACTOR][:, 1] < 1).mean()
    assert 0.02 < struck_share < 0.9


def test_a_strike_while_picking_takes_only_the_rest() -> None:
    """What was picked before the day stays, what is picked from it on is cut by the loss; by months too."""
    own = only("hail", loss_low=0.6, loss_high=0.6, loss_share=0.6)
    before = grown(holding(row("tomato")), years())
    after, strikes = strike(before, chain(own=own))
    seen = 0
    for one in strikes:
        stand = crop_stand(before, 0, one.sowing)
        first, last = int(stand.first[one.lane]), int(stand.last[one.lane])
        whole = last - first + 1
        rest = whole - max(one.day - first, 0)
        assert one.share_lost == pytest.approx(0.6 * rest / whole)
        if int(before.chosen[0, one.lane]) == one.sowing:
            kept = after.harvest_kg[0, :, one.lane].sum() / before.harvest_kg[0, :, one.lane].sum()
            assert kept == pytest.approx(1 - 0.6 * rest / whole, rel=1e-9)
            seen += first < one.day
    assert seen > 0


def test_losses_of_one_year_multiply() -> None:
    """Two hazards that each take half leave a quarter, and their parts add up to what is lost."""
    always = {f"{key}__chance_per_year": 0.0 for key in HAZARDS if key not in ("potato_virus", "colorado_beetle")}
    for key in ("potato_virus", "colorado_beetle"):
        always |= {
            f"{key}__chance_per_year": 1.0,
            f"{key}__loss_share": 0.5,
            f"{key}__loss_low": 0.5,
            f"{key}__loss_high": 0.5,
        }
    before = grown(holding(row("potato")), years())
    after, strikes = strike(before, chain(own=own_tables(**always)))
    gathered = before.pick(before.yield_kg_ha)[0] > 0
    left = after.pick(after.factors[FACTOR])[0][gathered]

    np.testing.assert_allclose(left, 0.25)
    assert {one.hazard.key for one in strikes} == {"potato_virus", "colorado_beetle"}


def test_hazards_that_never_come_take_nothing() -> None:
    """With every chance at nought the factor is one everywhere."""
    before = grown(holding(*CROPS), years())
    after, strikes = strike(before, chain(own=own_tables(**{f"{key}__chance_per_year": 0.0 for key in HAZARDS})))

    assert strikes == ()
    assert (after.factors[FACTOR] == 1.0).all()
    np.testing.assert_array_equal(after.harvest_kg, before.harvest_kg)


def test_trees_are_struck_between_bloom_and_gathering() -> None:
    """A row of apples loses the share of its strikes; months follow; rows of one kind in one block share them."""
    planted = {"species": "apple_standard", "planted": "1990-03-01"}
    rows = [TreeRow.model_validate({**planted, "count": count}) for count in (4, 2)]
    plan = holding(row("oats"), trees=tuple(rows))
    before = grow_trees(plan, tables(), years(), 2001)
    after, strikes = strike_trees(before, chain())

    assert strikes
    for old, new in zip(before, after, strict=True):
        np.testing.assert_allclose(new.kg.sum(axis=0), old.kg.sum(axis=0) * new.factors[FACTOR], rtol=1e-9)
        stand = tree_stand(old)
        for one in strikes:
            if one.id == old.id:
                assert stand.start[one.lane] <= one.day <= stand.last[one.lane]
    np.testing.assert_array_equal(after[0].factors[FACTOR], after[1].factors[FACTOR])
    assert after[0].factors[FACTOR].min() < 0.95


def test_expected_loss_is_the_mean_over_seeds() -> None:
    """Chance x loss x what is still to be gathered, averaged over the years, is what many seeds take on average."""
    before = grown(holding(row("potato"), row("lettuce", 3, 0.1)), years())
    runs = [strike(before, chain(seed))[1] for seed in range(60)]
    for index, planting in enumerate(before.plantings):
        hazards, stand = hazards_on_crop(tables(), planting.crop), crop_stand(before, index, 1)
        gathered = stand.last >= stand.first
        told = expected_losses(chain(), hazards, stand)
        for hazard in hazards:
            lost = [
                sum(
                    one.share_lost
                    for one in run
                    if (one.id, one.sowing, one.hazard.key) == (planting.id, 1, hazard.key)
                )
                / int(gathered.sum())
                for run in runs
            ]
            error = float(np.std(lost)) / math.sqrt(len(lost))
            assert abs(np.mean(lost) - told[hazard.key][gathered].mean()) < 4 * error + 1e-4, (
                planting.crop,
                hazard.key,
            )


def test_a_chain_may_be_judged_by_a_longer_record() -> None:
    """Years drawn anew are wet or dry against the record's norms, and strike as the same years of the record do."""
    hazard, some = hazard_of(tables(), "late_blight"), slice(4, 9)
    whole = years()
    part = dataclasses.replace(
        whole,
        rain_mm=whole.rain_mm[:, some],
        tmin_c=whole.tmin_c[:, some],
        tmax_c=whole.tmax_c[:, some],
        start_years=whole.start_years[some],
        labels=whole.labels[some],
    )
    norms = driver_norms(tables(), whole)
    for long, short, own in zip(
        chain().falls(hazard, "a.potato"),
        Chain(tables(), part, 3, norms=norms).falls(hazard, "a.potato"),
        Chain(tables(), part, 3).falls(hazard, "a.potato"),
        strict=True,
    ):
        np.testing.assert_array_equal(long.comes[some], short.comes)
        np.testing.assert_allclose(long.outlook.chance[some], short.outlook.chance, rtol=1e-12)
        assert own.outlook.years.tolist() == short.outlook.years.tolist()
    assert short.outlook.chance.mean() != pytest.approx(hazard.chance, abs=1e-3)


def test_what_comes_to_the_crop_comes_while_it_is_there() -> None:
    """Carrot fly keeps to the days that the crop and its months share; hail falls on its day and may miss."""
    always = np.full(200, 1.0)
    stand = Stand(np.full(200, 500), np.full(200, 600), np.full(200, 600))
    outlook = Outlook(480, 650, np.arange(200), always, np.full(200, -np.inf))
    fly, hail = hazard_of(tables(), "carrot_fly"), hazard_of(tables(), "hail")
    there = day_of(fly, chain()._fall(fly, "a.carrot", outlook), stand)
    dates = day_of(hail, chain()._fall(hail, "a.carrot", outlook), stand)

    assert ((there >= 500) & (there <= 600)).all()
    assert (dates[dates >= 0] >= 500).all()
    assert (dates < 0).mean() == pytest.approx(1 - 101 / 171, abs=0.12)
    np.testing.assert_allclose(expected_share(fly, outlook, stand), fly.loss)
    np.testing.assert_allclose(expected_share(hail, outlook, stand), hail.loss * 101 / 171)


# --- how it is told ------------------------------------------------------------------------------------------------------


def struck_year(**more: object) -> StrikeYear:
    """A strike of late blight on the made year's potatoes."""
    lost = np.zeros(12)
    lost[0] = 80.0
    cells: dict[str, object] = {
        "key": "strike.north.potato.late_blight", "hazard": "late_blight", "name": "Late blight", "kind": "disease",
        "account": "crop:north.potato", "subject": "north.potato", "plant": "potato", "good": "potato", "day": "2023-08-12",
        "chance": 0.7, "loss_share": 0.5, "share_lost": 0.4, "lost_kg": lost, "driver": "a wet July",
        "remedy": "Lift early.", "caution": "Follow the label.", **more,
    }  # fmt: skip
    return StrikeYear(**cells)  # type: ignore[arg-type]


def test_a_season_without_a_seed_has_no_strike() -> None:
    """Without a seed nothing falls; with one, strikes carry dates in the larder year and take from what is gathered."""
    plan = holding(*CROPS)
    calm = run_season(plan, tables(), years(), 7)
    rough = [run_season(plan, tables(), years(), 7, hazard_seed=seed) for seed in range(4)]

    assert calm.strikes == ()
    assert FACTOR not in calm.grown.factors
    assert any(one.strikes for one in rough)
    for season in rough:
        assert FACTOR in season.plantings[0].factors
        lost = sum(one.kg for one in season.strikes)
        before, after = (sum(one.harvest_kg for one in found.plantings) for found in (calm, season))
        assert before - after == pytest.approx(lost, rel=1e-6, abs=1e-6)
        assert all("1986" <= one.day[:4] <= "1988" for one in season.strikes)


def test_the_terms_say_whether_hazards_are_in() -> None:
    """Without a seed the terms say how to have them; with one, how many fell."""
    calm = year_result()
    rough = dataclasses.replace(calm, hazard_seed=6, strikes=(struck_year(),))

    assert answer(calm).terms.endswith("no hail, pest or disease is in this year; --seed N draws them.")
    assert answer(rough).terms.endswith("hail, pests and disease drawn with seed 6: 1 strike.")
    assert "none struck" in answer(dataclasses.replace(calm, hazard_seed=6)).terms


def test_a_strike_is_told_with_loss_remedy_caution_and_why() -> None:
    """The finding, the sentence behind it and the JSON name hazard, loss, chance, figures and remedy."""
    rough = dataclasses.replace(year_result(), hazard_seed=6, strikes=(struck_year(),))
    rough = dataclasses.replace(rough, why=dict(hazard_reasons(rough, tables())))
    (finding,) = told_strikes(Context(rough, tables()))
    told = year_json(rough)["hazards"]

    assert finding.grade == "tight"
    assert finding.title == "Late blight takes potato in north"
    assert finding.number == "80 kg lost"
    assert finding.remedy == "Lift early. Follow the label."
    for words in (
        "hazards.late_blight.chance_per_year",
        "0.70",
        "a wet July makes it likelier",
        "seed 6",
        "2023-08-12",
    ):
        assert words in finding.cause
    assert isinstance(told, dict)
    assert told["drawn"] is True
    assert told["strikes"][0]["lost_kg"] == 80.0
    assert told["strikes"][0]["why"] == rough.why["strike.north.potato.late_blight"]
    assert year_json(year_result())["hazards"] == {"drawn": False, "strikes": []}


@pytest.mark.parametrize(("lost", "grade"), [(0.05, "note"), (0.2, "tight"), (0.85, "short")])
def test_the_grade_follows_the_share_lost(lost: float, grade: str) -> None:
    """A nibble is a note, a fifth is tight, most of it is short."""
    rough = dataclasses.replace(year_result(), hazard_seed=6, strikes=(struck_year(share_lost=lost),))

    assert next(iter(told_strikes(Context(rough, tables())))).grade == grade


def test_a_usual_chance_is_not_put_down_to_the_weather() -> None:
    """The sentence speaks of weather only where it moved the chance."""
    usual = tables().row("hazards", "late_blight").need("chance_per_year")
    words = strike_words(struck_year(chance=usual), year_result(), tables())

    assert "likelier" not in words
    assert "less than its mean" in strike_words(struck_year(chance=0.1), year_result(), tables())


def test_what_a_hazard_took_is_among_the_causes() -> None:
    """Solved again with its loss given back, a hazard's cause is the share of the shortage that goes."""
    production = Production(
        gathered=(Gathered("crop:north.potato", "potato", np.full(12, 10.0)),), grazing=(), herds=(), seed=()
    )

    def solved(given: Production) -> SimpleNamespace:
        kg = np.asarray(given.gathered[0].fresh_kg)
        cover = np.minimum(kg / 50.0, 1.0)
        return SimpleNamespace(
            coverage={"energy_kcal": cover, "protein_g": cover}, larder=SimpleNamespace(production=given)
        )

    plan = solved(production)
    found = with_strikes((), plan, (struck_year(),), solved)  # type: ignore[arg-type]
    restored = given_back(production, (struck_year(),))

    assert float(np.asarray(restored.gathered[0].fresh_kg)[0]) == 90.0
    assert [cause.link for cause in found] == ["hazard.late_blight"]
    assert found[0].mended_share == pytest.approx(0.8 / (12 * 0.8))
    assert with_strikes((), solved(restored), (), solved) == ()  # type: ignore[arg-type]


def test_the_crops_page_tells_the_average_year_and_what_was_drawn() -> None:
    """Expected losses always; strikes and their factor with a seed; the JSON holds both."""
    calm = tell_crop(holding(row("potato")), tables(), years(), 5, "potato")
    rough = tell_crop(holding(row("potato")), tables(), years(), 5, "potato", 3)
    planting = rough.plantings[0]
    words, drawn = (dict(facts(one.plantings[0], one)) for one in (calm, rough))
    told = crop_json(rough)["plantings"]

    assert "late blight" in words["Hazards"]
    assert words["Hazards"] == drawn["Hazards"]
    assert "--seed N draws them" in words["Drawn hazards"]
    assert "with seed 3 it is struck in" in drawn["Drawn hazards"]
    assert "Against late blight" in words
    assert "label" in words["Against late blight"]
    assert "Hazards" in years_table(planting).header
    assert "Hazards" not in years_table(calm.plantings[0]).header
    assert planting.yields_t_ha.sum() < calm.plantings[0].yields_t_ha.sum()
    assert isinstance(told, list)
    assert told[0]["hazards"]["expected_loss_share"]["late_blight"] == pytest.approx(
        next(one.share for one in planting.expected if one.key == "late_blight"), abs=1e-4
    )
    assert len(told[0]["hazards"]["strikes"]) == len(planting.strikes) > 0


def test_the_shown_yields_are_the_unstruck_ones_times_the_factor() -> None:
    """The page's yields with a seed are those without it, times the hazards' factor of each year."""
    calm = tell_crop(holding(row("potato")), tables(), years(), 5, "potato").plantings[0]
    rough = tell_crop(holding(row("potato")), tables(), years(), 5, "potato", 3).plantings[0]
    factor = np.array([year.factors[FACTOR] for year in rough.years])

    np.testing.assert_allclose(rough.yields_t_ha, calm.yields_t_ha * factor, rtol=1e-9)


def test_hazards_are_plain_figures_of_the_tables() -> None:
    """`why` finds a hazard's chance with its range, source and standing."""
    figure = tables().figure("hazards.late_blight.chance_per_year")

    assert figure.low is not None
    assert figure.high is not None
    assert figure.low < figure.value < figure.high
    assert figure.source
    assert isinstance(hazard_of(tables(), "late_blight"), Hazard)
