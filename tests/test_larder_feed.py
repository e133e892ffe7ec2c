"""Rations, rules and leavings in the larder's program: small larders by hand, and the demo holdings."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from larder_kit import ALL_YEAR, MONTHS, grain_feed, hen, imbalance, keeping, larder, months

from yardland import load
from yardland.accounts.work import hours_by_week
from yardland.findings.collect import judged_year
from yardland.holding.model import Holding, TradeRow
from yardland.land.areas import fence_runs
from yardland.larder.description import Ceiling, Cut, Feed, Good, Larder, Ration, Trade
from yardland.larder.feed_bounds import rations_for
from yardland.larder.feed_law import feed_law, region_of
from yardland.larder.feed_leavings import cuts_for, in_leaf, leavings, with_leavings
from yardland.larder.program import build_program, solve_larder
from yardland.ledger.months import larder_months
from yardland.ledger.production import Gathered, Grazing, Production
from yardland.reference import load_tables

TABLES = load_tables()
EXAMPLES = Path(__file__).parents[1] / "examples"
FLOCK = "herd:flock.hen"
GRIT = Feed("grit", {"amen_poultry": 0.0}, 0.0, {"max_layer": 0.1}, forage=False, calcium_kg=0.38, mineral=True)
PEAS = Feed("peas", {"amen_poultry": 10.0}, 0.2, {"max_layer": 1.0}, forage=False, lysine_kg=0.02, fibre_kg=0.06)
GREENS = Feed("greens", {"amen_poultry": 10.0}, 0.1, {"max_layer": 1.0}, forage=True, fibre_kg=0.3)


@pytest.fixture(scope="module")
def tarn_hollow() -> Holding:
    """The demo holding in the hills."""
    return load(EXAMPLES / "tarn-hollow")


@pytest.fixture(scope="module")
def casa_vereda() -> Holding:
    """The demo holding with dry summers."""
    return load(EXAMPLES / "casa-vereda")


def fed_from(feeds: list[Feed], prices: dict[str, float], ration: Ration, **more: object) -> Larder:
    """A flock that needs 100 MJ a month and may be fed from bought feeds alone."""
    fields: dict[str, object] = {
        "goods": {feed.key: Good(feed.key, feed.key, 1.0, feed=feed.key) for feed in feeds},
        "feeds": {feed.key: feed for feed in feeds},
        "trades": tuple(Trade(feed.key, "buy", prices[feed.key], ALL_YEAR * 1e5) for feed in feeds),
        "production": Production((), herds=(hen(100.0, products={}),)),
        "rations": {FLOCK: ration},
    } | more
    goods = fields.pop("goods")
    return replace(larder([], {}, np.zeros(12), **fields), goods=goods)


def grain(**more: object) -> Feed:
    """A grain that holds next to nothing but energy."""
    return replace(grain_feed(), **more)


def test_a_ration_takes_grit_for_its_calcium() -> None:
    """2 kg of calcium a month are met with grit, which has no energy, and no more of it than that asks."""
    case = fed_from([grain(), GRIT], {"grain": 1.0, "grit": 0.5}, Ration({"calcium": ALL_YEAR * 0.38}))

    plan = solve_larder(case)

    assert plan.feed_kg["flock"]["grit"] == pytest.approx(ALL_YEAR)
    assert plan.feed_kg["flock"]["grain"] == pytest.approx(ALL_YEAR * 10.0)
    assert plan.feed_lacks == {}


def test_what_a_ration_lacks_is_named_and_starves_nobody() -> None:
    """Without grit the flock is fed in full, and the plan says that all the calcium is lacking."""
    case = fed_from([grain()], {"grain": 1.0}, Ration({"calcium": ALL_YEAR * 0.38}))

    plan = solve_larder(case)

    assert plan.feed_short["flock"] == pytest.approx(np.zeros(12), abs=1e-9)
    assert plan.feed_lacks["flock"]["calcium"] == pytest.approx(ALL_YEAR)


def test_lysine_is_bought_before_it_lacks() -> None:
    """Dearer peas carry the lysine: 0.1 kg a month asks 5 kg of them, grain gives the rest of the energy."""
    case = fed_from([grain(), PEAS], {"grain": 1.0, "peas": 3.0}, Ration({"lysine": ALL_YEAR * 0.1}))

    fed = solve_larder(case).feed_kg["flock"]

    assert fed["peas"] == pytest.approx(ALL_YEAR * 5.0)
    assert fed["grain"] == pytest.approx(ALL_YEAR * 5.0)


def test_a_bound_that_cannot_bind_is_no_row() -> None:
    """Where every feed holds the need's lysine a megajoule, energy says it, and the program has no such row."""
    rich = fed_from([PEAS], {"peas": 1.0}, Ration({"lysine": ALL_YEAR * 0.2}))
    poor = fed_from([PEAS], {"peas": 1.0}, Ration({"lysine": ALL_YEAR * 0.21}))

    assert not [name for name in build_program(rich).model.row_names if name.startswith("feed.lysine")]
    assert len([name for name in build_program(poor).model.row_names if name.startswith("feed.lysine")]) == 12


@pytest.mark.parametrize(
    ("ration", "greens_share"), [(Ration(fibre_most=0.1), 1 / 3), (Ration(fibre_least=0.2), 2 / 3)]
)
def test_fibre_bounds_mix_the_feeds(ration: Ration, greens_share: float) -> None:
    """Grain without fibre and greens with 0.3: at most 0.1 lets a third be greens, at least 0.2 asks two thirds."""
    cheap_greens = ration.fibre_most is not None
    prices = {"grain": 2.0 if cheap_greens else 1.0, "greens": 1.0 if cheap_greens else 2.0}

    fed = solve_larder(fed_from([grain(), GREENS], prices, ration)).feed_kg["flock"]

    assert fed["greens"] == pytest.approx(ALL_YEAR * 10.0 * greens_share)


def test_feeds_under_one_ceiling_share_it() -> None:
    """Two cheap feeds that may be half of the ration together leave the other half to a dear one."""
    low = [grain(), replace(GREENS, fibre_kg=0.0)]
    dear = replace(PEAS, key="dear")
    ration = Ration(ceilings=(Ceiling("together", frozenset({"grain", "greens"}), share=0.5),))

    fed = solve_larder(fed_from([*low, dear], {"grain": 1.0, "greens": 1.0, "dear": 5.0}, ration)).feed_kg["flock"]

    assert fed["dear"] == pytest.approx(ALL_YEAR * 5.0)


def test_a_ceiling_in_kilograms_holds() -> None:
    """At most 3 kg a month of a cheap feed by live weight."""
    ration = Ration(ceilings=(Ceiling("beet", frozenset({"grain"}), most_kg=ALL_YEAR * 3.0),))

    fed = solve_larder(fed_from([grain(), PEAS], {"grain": 1.0, "peas": 5.0}, ration)).feed_kg["flock"]

    assert fed["grain"] == pytest.approx(ALL_YEAR * 3.0)


def test_a_barred_feed_is_never_fed() -> None:
    """What a rule keeps from a class has no column for it, however cheap."""
    case = fed_from([grain(), PEAS], {"grain": 1e-6, "peas": 5.0}, Ration(barred={"grain": "a rule"}))

    fed = solve_larder(case).feed_kg["flock"]

    assert set(fed) == {"peas"}


def test_standing_grass_is_kept_for_winter() -> None:
    """Summer grass kept standing feeds the flock in winter, less what is trampled and withers, and the books close."""
    grass = Feed("grass", {"amen_poultry": 10.0}, 0.1, {"max_layer": 1.0}, forage=True)
    goods = {"grass": Good("grass", "grass", 0.2, feed="grass"), "old": Good("old", "old", 0.4, feed="grass")}
    herd = replace(hen(100.0, products={}), energy_mj=months(aug=100.0, oct=81.0))
    case = replace(
        larder(
            [],
            {},
            np.zeros(12),
            feeds={"grass": grass},
            keepings=(keeping("old", loss=0.1, life=4.0),),
            production=Production(
                (),
                grazing=(Grazing("sward:mead", "grass", months(aug=10.0 + 100.0 / 9.0), 0.0, ("flock",)),),
                herds=(herd,),
            ),
            cuts=(Cut("grass", "old", 0.9),),
        ),
        goods=goods,
    )

    plan = solve_larder(case)

    # August grazes 10 kg; 8.1 kg in October are 10 kg put by, two months at a tenth; a tenth of 100/9 kg was trampled.
    assert plan.feed_short["flock"] == pytest.approx(np.zeros(12), abs=1e-6)
    assert plan.feed_kg["flock"]["old"][9] * 0.4 == pytest.approx(8.1, rel=1e-6)
    assert plan.total("gather", "old")[7] * 0.4 == pytest.approx(10.0, rel=1e-6)
    assert imbalance(plan) < 1e-9


@settings(max_examples=40, deadline=None)
@given(
    need=st.floats(0.0, 3.0),
    fibre=st.floats(0.01, 0.4),
    share=st.floats(0.05, 1.0),
    price=st.floats(0.1, 10.0),
)
def test_a_ration_meets_its_bounds_or_says_what_lacks(need: float, fibre: float, share: float, price: float) -> None:
    """For any bounds: what is eaten and what is said to lack add up to the need, and nobody is short of energy for it."""
    feeds = [grain(calcium_kg=0.001), replace(GREENS, calcium_kg=0.02, max_share={"max_layer": share}), GRIT]
    ration = Ration({"calcium": ALL_YEAR * need}, fibre_most=fibre)
    plan = solve_larder(fed_from(feeds, {"grain": 1.0, "greens": price, "grit": 0.5}, ration))

    fed = {key: plan.feed_kg["flock"].get(key, np.zeros(12)) for key in ("grain", "greens", "grit")}
    dm = sum(fed.values())
    lack = plan.feed_lacks.get("flock", {})
    calcium = 0.001 * fed["grain"] + 0.02 * fed["greens"] + 0.38 * fed["grit"]
    over = 0.3 * fed["greens"] - fibre * dm
    assert np.all(plan.feed_short["flock"] < 1e-6)
    assert np.all(calcium + need * lack.get("calcium", 0.0) >= need - 1e-5)
    assert np.all(over <= fibre * 10.0 * lack.get("fibre_most", np.zeros(12)) + 1e-5)
    assert np.all(fed["greens"] <= share * dm + 1e-5)


# --- rules, leavings and cuts of a holding ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("country", "region"), [("FR", "EU"), ("GB", "GB"), ("US", "US"), ("CL", "other"), ("NO", "other")]
)
def test_the_rule_set_follows_the_country(tarn_hollow: Holding, country: str, region: str) -> None:
    """EU members share one set; GB and US have theirs; others the careful one."""
    place = tarn_hollow.place.model_copy(update={"country": country})

    assert region_of(tarn_hollow.model_copy(update={"place": place})) == region


def test_refused_and_listed_feeds_bar_the_rest(tarn_hollow: Holding) -> None:
    """feeds_refused goes for all; only_feeds leaves a group its list and what stands on the ground."""
    rules = tarn_hollow.rules.model_copy(
        update={"feeds_refused": ("skim_milk",), "only_feeds": {"hens": ("wheat", "hay_grass")}}
    )
    law = feed_law(tarn_hollow.model_copy(update={"rules": rules}), TABLES)

    hens, cow = (law.barred(TABLES, name, kind, frozenset()) for name, kind in (("hens", "chicken"), ("cow", "cattle")))
    assert hens["skim_milk"] == cow["skim_milk"] == "refused by the household"
    assert "barley" in hens
    assert "barley" not in cow
    assert not {"wheat", "grass_hay_good", "pasture_spring"} & set(hens)


def test_leavings_go_with_the_harvest(tarn_hollow: Holding) -> None:
    """A fifth of the swedes as tops, a tenth of the apples as windfalls, in the month of gathering; none without stock."""
    eats = (replace(hen(100.0), klass="laying_hen"),)
    swedes, apples = months(oct=1000.0), months(sep=200.0)
    gathered = (Gathered("crop:high.swede", "swede", swedes), Gathered("trees:orchard.apple", "apple", apples))
    law = feed_law(tarn_hollow, TABLES)

    more = with_leavings(tarn_hollow, TABLES, MONTHS, Production(gathered, herds=eats), law).gathered[2:]
    none = with_leavings(tarn_hollow, TABLES, MONTHS, Production(gathered), law)

    found = {(item.account, item.good): item.fresh_kg for item in more}
    assert found["leavings:high.swede", "root_tops"] == pytest.approx(0.2 * swedes)
    assert found["leavings:orchard.apple", "windfalls"] == pytest.approx(0.1 * apples)
    assert none.gathered == gathered


def test_scraps_come_to_the_troughs_only_when_switched_on(tarn_hollow: Holding) -> None:
    """70 kg a person and year (Eurostat 2023) for six people, once the household answers for it."""
    eats = Production((), herds=(replace(hen(100.0), klass="laying_hen"),))
    rules = tarn_hollow.rules.model_copy(update={"feeds_allowed": ("kitchen_scraps",)})
    switched = tarn_hollow.model_copy(update={"rules": rules})

    off = with_leavings(tarn_hollow, TABLES, MONTHS, eats, feed_law(tarn_hollow, TABLES))
    on = with_leavings(switched, TABLES, MONTHS, eats, feed_law(switched, TABLES))

    assert off.gathered == ()
    assert [item.good for item in on.gathered] == ["kitchen_leavings"]
    assert on.gathered[0].fresh_kg.sum() == pytest.approx(6 * 70.0)
    assert leavings(tarn_hollow, TABLES, MONTHS, eats).kitchen_kg.sum() == pytest.approx(6 * 70.0)


def test_leavings_of_the_slaughter_are_eaten_once(tarn_hollow: Holding) -> None:
    """Larvae are 0.13 kg a kilogram of leavings; where hens get both, half the leavings are fed and half reared on."""
    meat = {"meat_lamb": months(oct=48.0)}
    lamb = replace(hen(100.0), klass="lamb", system="me_ruminant", products=meat)
    eats = Production((), herds=(lamb, replace(hen(100.0), klass="laying_hen", products={})))

    def fed(*allowed: str) -> dict[str, float]:
        rules = tarn_hollow.rules.model_copy(update={"feeds_allowed": allowed})
        plan = tarn_hollow.model_copy(update={"rules": rules})
        gathered = with_leavings(plan, TABLES, MONTHS, eats, feed_law(plan, TABLES)).gathered
        return {item.good: float(item.fresh_kg.sum()) for item in gathered}

    whole = float(leavings(tarn_hollow, TABLES, MONTHS, eats).slaughter_kg.sum())
    assert whole > 0.0
    assert fed("slaughter_leavings") == pytest.approx({"slaughter_leavings": whole})
    assert fed("insects_on_leavings") == pytest.approx({"larvae_fresh": 0.13 * whole})
    assert fed("slaughter_leavings", "insects_on_leavings") == pytest.approx(
        {"slaughter_leavings": whole / 2.0, "larvae_fresh": 0.13 * whole / 2.0}
    )


@pytest.mark.parametrize(
    ("latitude", "leaf"),
    [(55.0, {"Apr", "May", "Jun", "Jul", "Aug", "Sep"}), (-35.0, {"Oct", "Nov", "Dec", "Jan", "Feb", "Mar"})],
)
def test_hedges_are_in_leaf_by_the_sun(latitude: float, leaf: set[str]) -> None:
    """The half of the year with days over twelve hours, by the hemisphere and not by the month's name."""
    flags = in_leaf(latitude, MONTHS)

    assert {month.name for month, flag in zip(MONTHS, flags, strict=True) if flag} == leaf


def test_something_is_in_leaf_all_year_between_the_tropics() -> None:
    """On the line no day passes twelve hours by much, and goats browse in every month; at 24 degrees half the year."""
    assert in_leaf(0.0, MONTHS).sum() == 12
    assert in_leaf(-15.0, MONTHS).sum() == 12
    assert in_leaf(24.0, MONTHS).sum() == 6


def test_browse_is_of_wood_that_stock_reach_and_of_nothing_else(tarn_hollow: Holding) -> None:
    """The copse is browsed once a round passes through it, 500 kg a hectare; a plan without wood has none."""
    cow = replace(hen(100.0), group="cow", klass="dairy_cow_small", system="me_ruminant")
    law = feed_law(tarn_hollow, TABLES)

    def browsed(plan: Holding) -> list[Grazing]:
        grazing = with_leavings(plan, TABLES, MONTHS, Production((), herds=(cow,)), law).grazing
        return [item for item in grazing if item.good == "browse"]

    green = tarn_hollow.round["green"]
    through = green.model_copy(update={"plots": (*green.plots, "copse")})
    walked = tarn_hollow.model_copy(update={"round": {"green": through}})
    bare = walked.model_copy(update={"plot": {**walked.plot, "copse": walked.plot["bank"]}})

    (wood,) = browsed(walked)
    assert wood.account == "browse:copse"
    assert set(wood.groups) >= set(green.order)
    assert wood.dm_kg.sum() == pytest.approx(500.0 * tarn_hollow.plot["copse"].area_m2 / 10_000.0)
    assert browsed(bare) == []
    assert "cow" not in {group for item in browsed(tarn_hollow) for group in item.groups}


def test_a_hedge_is_browsed_by_its_length(tarn_hollow: Holding) -> None:
    """Half a kilogram a metre and year of the fence that is a hedge, for the groups that walk the plots it runs round."""
    cow = replace(hen(100.0), group="cow", klass="dairy_cow_small", system="me_ruminant")
    fence = tarn_hollow.fence["march"].model_copy(update={"kind": "laid hedge"})
    hedged = tarn_hollow.model_copy(update={"fence": {**tarn_hollow.fence, "march": fence}})
    law = feed_law(tarn_hollow, TABLES)

    with_hedge = with_leavings(hedged, TABLES, MONTHS, Production((), herds=(cow,)), law).grazing
    without_one = with_leavings(tarn_hollow, TABLES, MONTHS, Production((), herds=(cow,)), law).grazing

    length = next(run.length_m for run in fence_runs(hedged) if run.fence == "march")
    found = {item.account: item for item in with_hedge}
    assert length > 100.0
    assert found["browse:march"].dm_kg.sum() == pytest.approx(0.5 * length)
    assert {"cow", "ewes"} <= set(found["browse:march"].groups)
    assert "browse:march" not in {item.account for item in without_one}


def test_silage_asks_a_clamp(tarn_hollow: Holding) -> None:
    """Grass may be kept standing anywhere; silage and haylage only where the plan has a clamp."""
    production = Production((), grazing=(Grazing("sward:lea", "grazing_grass", ALL_YEAR, 0.5, ("cow",)),))
    clamp = next(iter(tarn_hollow.store.values())).model_copy(update={"kind": "clamp"})
    with_clamp = tarn_hollow.model_copy(update={"store": {**tarn_hollow.store, "pit": clamp}})

    assert {cut.gives for cut in cuts_for(tarn_hollow, TABLES, production)} == {"foggage"}
    assert {cut.gives for cut in cuts_for(with_clamp, TABLES, production)} == {
        "foggage",
        "silage_grass",
        "haylage_grass",
    }


def test_a_cut_that_is_wilted_waits_for_dry_days(tarn_hollow: Holding) -> None:
    """Silage takes the share of a month's days that are dry, haylage that on which two dry days begin, foggage none."""
    shares = {1: ALL_YEAR * 0.5, 2: ALL_YEAR * 0.2}
    production = Production(
        (), grazing=(Grazing("sward:lea", "grazing_grass", ALL_YEAR, 0.5, ("cow",)),), dry_share=shares
    )
    clamp = next(iter(tarn_hollow.store.values())).model_copy(update={"kind": "clamp"})
    with_clamp = tarn_hollow.model_copy(update={"store": {**tarn_hollow.store, "pit": clamp}})

    cuts = {cut.gives: cut for cut in cuts_for(with_clamp, TABLES, production)}

    assert cuts["silage_grass"].window == pytest.approx(shares[1])
    assert cuts["haylage_grass"].window == pytest.approx(shares[2])
    assert cuts["foggage"].window is None
    assert cuts["silage_grass"].task == "hay.silage_by_hand"


def mown_larder(window: np.ndarray) -> Larder:
    """A flock without grass from October on, and a mead whose August and September may be ensiled in two ways."""
    feeds = {
        "grass": Feed("grass", {"amen_poultry": 10.0}, 0.1, {"max_layer": 1.0}, forage=True),
        "silage": Feed("silage", {"amen_poultry": 10.0}, 0.1, {"max_layer": 1.0}, forage=True),
    }
    goods = {
        "grass": Good("grass", "grass", 0.2, feed="grass"),
        "silage": Good("silage", "silage", 0.3, feed="silage"),
        "haylage": Good("haylage", "haylage", 0.5, feed="silage"),
    }
    herd = replace(hen(100.0, products={}), energy_mj=months(oct=1000.0, nov=1000.0))
    return replace(
        larder(
            [],
            {},
            np.zeros(12),
            feeds=feeds,
            keepings=(keeping("silage"), keeping("haylage")),
            production=Production(
                (),
                grazing=(Grazing("sward:mead", "grass", months(aug=60.0, sep=40.0), 0.5, ("flock",)),),
                herds=(herd,),
            ),
            cuts=(
                Cut("grass", "silage", 0.8, window, "hay.silage_by_hand"),
                Cut("grass", "haylage", 0.9, window / 2.0, "hay.haylage_by_hand"),
            ),
        ),
        goods=goods,
    )


def test_no_more_is_ensiled_than_finds_dry_days() -> None:
    """Half of August is dry, none of September: 0.5 x 60 kg are mown at most, half of it dry enough for haylage."""
    plan = solve_larder(mown_larder(months(aug=0.5)))

    silage = plan.total("gather", "silage") * 0.3
    haylage = plan.total("gather", "haylage") * 0.5
    cut_kg = silage / 0.8 + haylage / 0.9
    assert cut_kg == pytest.approx(months(aug=30.0), rel=1e-6, abs=1e-6)
    assert haylage[7] == pytest.approx(0.9 * 15.0, rel=1e-6)
    assert imbalance(plan) < 1e-9


def test_silage_and_haylage_cost_hours_of_hay_makers() -> None:
    """Dry matter stored x 20 and 22 hours a tonne, in the month of cutting, beside the hours of events given."""
    plan = solve_larder(mown_larder(months(aug=0.5)))
    hours = hours_by_week((), plan, TABLES, MONTHS)

    told = 12.0 * 20.0 / 1000.0 + 13.5 * 22.0 / 1000.0
    assert hours["hay"].sum() == pytest.approx(told, rel=1e-6)
    assert np.flatnonzero(hours["hay"]).tolist() == list(range(30, 35))


def test_every_class_that_eats_has_a_ration(tarn_hollow: Holding) -> None:
    """Hens have lysine, calcium and a fibre ceiling; rabbits a floor; cattle a beet ceiling that goes with their weight."""
    classes = ("laying_hen", "rabbit_doe", "dairy_cow_small")
    herds = tuple(
        replace(
            hen(100.0),
            group=klass,
            klass=klass,
            system=TABLES.row("stock", klass).text("energy_system"),
            protein_kg=ALL_YEAR * 0.5,
            products={},
        )
        for klass in classes
    )
    rations = rations_for(TABLES, Production((), herds=herds), larder_months(2023, 1), feed_law(tarn_hollow, TABLES))

    hens, rabbits, cow = (rations[f"herd:{klass}.{klass}"] for klass in classes)
    assert set(hens.least_kg) == {"lysine", "calcium", "phosphorus"}
    assert hens.fibre_most == 0.07
    assert rabbits.fibre_least == 0.12
    beet = next(ceiling for ceiling in cow.ceilings if ceiling.rule == "fodder_beet_share")
    assert beet.most_kg is not None
    assert beet.most_kg[0] == pytest.approx(0.008 * 400 * 31)
    assert "slaughter_leavings" in cow.barred


def test_a_year_with_everything_switched_on_keeps_its_books(tarn_hollow: Holding) -> None:
    """Scraps, slaughter leavings and larvae fed, a clamp for silage: the larder solves and every kitchen balances."""
    allowed = ("kitchen_scraps", "slaughter_leavings", "insects_on_leavings")
    rules = tarn_hollow.rules.model_copy(
        update={"feeds_allowed": allowed, "only_feeds": {"geese": ("oats", "fish_meal")}}
    )
    clamp = tarn_hollow.store["barn"].model_copy(update={"kind": "clamp"})
    plan = tarn_hollow.model_copy(update={"rules": rules, "store": {**tarn_hollow.store, "pit": clamp}})

    result = judged_year(plan)

    fed = {good for goods in result.feed_kg.values() for good in goods}
    titles = {finding.title: finding.grade for finding in result.findings}
    switched = [title for title, grade in titles.items() if grade == "rule" and "are fed, which the law" in title]
    assert "kitchen_leavings" in fed
    assert "kitchen_leavings" not in result.feed_kg["cow"]
    assert len(switched) == 3
    assert titles["Geese: nobody grows or buys fish meal"] == "short"


def test_a_plan_that_buys_copper_for_sheep_is_warned(casa_vereda: Holding, tarn_hollow: Holding) -> None:
    """A premix for pigs on a holding with ewes is a danger; on one without sheep it is none."""
    premix = TradeRow(line=99, item="premix_pig_poultry", do="buy", price=1.0)
    warned = judged_year(tarn_hollow.model_copy(update={"trades": (*tarn_hollow.trades, premix)}))
    calm = judged_year(casa_vereda.model_copy(update={"trades": (*casa_vereda.trades, premix)}))

    found = [finding for finding in warned.findings if "must not reach ewes" in finding.title]
    assert [finding.grade for finding in found] == ["danger"]
    assert not [finding for finding in calm.findings if "must not reach" in finding.title]
