"""Hazards: the table, and what they take of crops and trees."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from growth_kit import grown, holding, tables
from hazard_kit import CROPS, HAZARDS, LANES, chain, only, own_tables, row, years

from yardland.errors import InputFaults
from yardland.growth.crop_traits import FORAGE
from yardland.growth.hazards.chance import Outlook, driver_norms
from yardland.growth.hazards.falls import Chain, Stand, day_of, expected_share
from yardland.growth.hazards.strike import (
    FACTOR,
    Strike,
    crop_stand,
    expected_losses,
    strike,
    strike_trees,
    tree_stand,
)
from yardland.growth.hazards.table import hazard_of, hazards_on_crop, hazards_on_tree
from yardland.growth.trees import grow_trees
from yardland.holding.model import TreeRow

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
