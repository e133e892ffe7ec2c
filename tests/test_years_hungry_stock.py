"""Hungry stock seen close, who is at table, and what standard terms leave out."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from windows_kit import small

import yardland
from yardland.larder.needs import eaters
from yardland.larderyears.household import person_days
from yardland.larderyears.hungry_seen import hungry_stock
from yardland.larderyears.hungry_stock import AT_MOST, BARE_KG, HUNGRY, LEAST_SHARE, OUT
from yardland.larderyears.result import Odds, odds_of
from yardland.larderyears.run import Years
from yardland.larderyears.seedstock import seed_to_keep
from yardland.larderyears.standard import is_standard, on_standard_terms
from yardland.larderyears.told import ChainTold, Teller, tell_chain, teller
from yardland.larderyears.walk import Walked
from yardland.larderyears.window_walk import walker_of
from yardland.larderyears.work import grow, ready
from yardland.ledger.months import larder_months
from yardland.reference import load_tables
from yardland.report.why_lines import stock_words

EXAMPLES = Path(__file__).parent.parent / "examples"


@dataclasses.dataclass(frozen=True)
class Told:
    """A small invented holding whose hens go hungry, walked and told; x : what was done, in the columns of its frame."""

    tell: Teller
    walked: Walked
    told: ChainTold
    x: np.ndarray


@pytest.fixture(scope="module")
def hens() -> Told:
    """Six years with a tenth of the oats, six without grass, of which hens cannot eat grain alone."""
    made = small(2)
    policy = made.learner.policy_of(2, 0.1, [made.lesson])
    poor = made.years.arriving_kg.copy()
    poor[:6, made.frame.goods.index("oats")] *= 0.1
    grass = made.years.growth_kg_dm * np.repeat([1.0, 0.0], 6)[:, None, None]
    years = dataclasses.replace(made.years, arriving_kg=poor, growth_kg_dm=grass)
    walked = walker_of(policy).walk(years, 0.0 * made.lesson.opening_kg)
    at = policy.stack.column_at
    x = np.where(at >= 0, walked.x[:, np.maximum(at, 0)], 0.0)
    tell = teller(made.frame, policy.stack)
    return Told(tell, walked, tell_chain(tell, 0, walked), x)


def test_a_feed_at_its_most_is_one_whose_row_is_met(hens: Told) -> None:
    """Of the months in which the class is hungry, those are counted in which the row of the feed's share is at its side, and no others."""
    frame = small(2).frame
    own, names = hens.tell.troughs, frame.row_names
    months = [month.name for month in frame.larder.months]
    seen = 0
    for herd, account in enumerate(own.herds):
        for feed, key in enumerate(own.feeds):
            rows = [
                names.index(f"feed.share.{account.removeprefix('herd:')}.{month}.{key}")
                if f"feed.share.{account.removeprefix('herd:')}.{month}.{key}" in names
                else -1
                for month in months
            ]
            for year, x in enumerate(hens.x):
                full = 0
                for month, row in enumerate(rows):
                    if row < 0 or hens.told.feed_short[year, herd, month] <= HUNGRY:
                        continue
                    here = frame.matrix.row == row
                    value = frame.matrix.value[here] * x[frame.matrix.column[here]]
                    may = -value[value < 0.0].sum()
                    full += bool(may > 0.0 and value.sum() >= -1e-3 * may)
                assert hens.told.hungry_feeds[year, herd, feed, AT_MOST] == full
                seen += full
    assert seen > 0


def test_a_feed_that_is_out_lies_nowhere(hens: Told) -> None:
    """Counted are hungry months at whose end no more than the seed lies there, of feeds that may be a tenth of a ration."""
    frame = small(2).frame
    own = hens.tell.troughs
    seed = seed_to_keep(frame.build)
    for feed, key in enumerate(own.feeds):
        lying = np.zeros((len(hens.x), 12))
        goods = {good for good, one in frame.larder.goods.items() if one.feed == key}
        for batch in frame.build.batches:
            for month, kg in batch.on_shelf() if batch.keeping.gives in goods else ():
                lying[:, month] += kg * hens.x[:, batch.column]
        for shelf in frame.build.shelves:
            for month, column in enumerate(shelf.on_shelf if shelf.keeping.gives in goods else ()):
                lying[:, month] += hens.x[:, column]
        kept = sum((kg for good, kg in seed.items() if good in goods), np.zeros(12))
        bare = lying - kept < BARE_KG
        hungry = hens.told.feed_short > HUNGRY
        most = (hungry & bare[:, None]).sum(axis=2)
        told = hens.told.hungry_feeds[:, :, feed, OUT]
        assert (
            told + hens.told.hungry_feeds[:, :, feed, AT_MOST]
            >= most * (own.most[:, feed] >= LEAST_SHARE) * own.stored[feed]
        ).all()
        assert (told <= most).all()
    assert hens.told.hungry_feeds[..., OUT].sum() > 0


def test_purchases_at_their_limit_are_counted(hens: Told) -> None:
    """Months in which the column of a purchase is at its bound."""
    build = small(2).frame.build
    for at, good in enumerate(hens.tell.troughs.goods):
        full = np.zeros(len(hens.x), dtype=np.int64)
        for (arc, _), terms in build.flows.items():
            if arc.kind == "buy" and arc.good == good:
                for column, _ in terms:
                    full += hens.x[:, column] >= 0.999 * build.model.upper[column]
        assert np.array_equal(hens.told.bought_full[:, at], full)
    assert hens.told.bought_full.sum() > 0


@pytest.fixture(scope="session")
def odds(hungry: Years) -> Odds:
    """Twelve years of three people on too little ground, counted."""
    return odds_of(hungry)


def test_hungry_stock_is_that_of_the_odds(hungry: Years, odds: Odds) -> None:
    """Every class that lacks in some year is told, its years and months as the chains have them, and the words name the worst."""
    short = hungry.stacked("feed_short")
    hens = [one.removeprefix("herd:") for one in hungry.prepared.frame.asks.accounts]
    lacks = {name for at, name in enumerate(hens) if (short[:, :, at] > HUNGRY).any()}
    seen = hungry_stock(hungry)

    assert {one.herd.removeprefix("herd:") for one in seen.classes} == lacks != set()
    assert max(one.years for one in seen.classes) <= odds.hungry_stock
    worst = seen.classes[0]
    at = hens.index(worst.herd.removeprefix("herd:"))
    assert worst.by_month == pytest.approx((short[:, :, at] > HUNGRY).mean(axis=(0, 1)))
    assert worst.lack == pytest.approx(short[:, :, at][short[:, :, at] > HUNGRY].mean())
    assert all(0.5 <= share <= 1.0 for one in seen.classes for _, share in (*one.at_most, *one.out))
    (words,) = stock_words(seen, [month.name for month in odds.months])
    assert f"{100 * worst.years:.0f} % of years" in words


def test_person_days_are_of_those_at_table() -> None:
    """Six people less eleven days of February that one is away; a guest's days and an infant at the breast are as they eat."""
    holding = yardland.load(EXAMPLES / "tarn-hollow")
    tables, months = load_tables(own=holding.own), larder_months(2026, 10)
    days = person_days(eaters(holding, tables, months), months)
    feb = [month.name for month in months].index("Feb")
    whole = 6.0 * np.array([month.days for month in months])

    assert days[feb] == pytest.approx(whole[feb] - 11.0)
    assert np.delete(days, feb) == pytest.approx(np.delete(whole, feb))
    nobody = tuple(dataclasses.replace(one, heads=0.0 * one.heads) for one in eaters(holding, tables, months))
    assert person_days(nobody, months).sum() == 0.0


def test_standard_terms_have_no_power_cuts() -> None:
    """A plan whose freezer knows power cuts is not on standard terms; without them it may be."""
    holding = on_standard_terms(yardland.load(EXAMPLES / "tarn-hollow"))
    cut = {name: one.model_copy(update={"power_cut_days_per_year": 2.0}) for name, one in holding.store.items()}

    assert is_standard(holding)
    assert {one.power_cut_days_per_year for one in holding.store.values()} == {0.0}
    assert not is_standard(holding.model_copy(update={"store": cut}))


def test_goods_that_nobody_knew_are_told(hungry: Years) -> None:
    """What a drawn year brings of a good that the frame has no place for is in the answer, kilograms a year."""
    held = ready(hungry.prepared, hungry.asked)
    kilograms = [one.unplaced_kg for one in grow(held, [0, 1])]
    chains = tuple(dataclasses.replace(one, unplaced_kg=30.0) for one in hungry.chains)

    assert kilograms == [one.unplaced_kg for one in hungry.chains[:2]]
    assert odds_of(dataclasses.replace(hungry, chains=chains)).unplaced_kg == pytest.approx(30.0 / hungry.asked.length)
