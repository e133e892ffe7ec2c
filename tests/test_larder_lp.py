"""The larder's linear program against answers worked by hand, against another solver, and against its own laws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from larder_kit import food, grain_feed, hen, imbalance, keeping, larder, months, random_larder

from yardland.larder.description import Feed, Good, Keeping, Plate, Process, Trade
from yardland.larder.model import LarderError, LinearModel, highs, run
from yardland.larder.program import build_program, solve_larder
from yardland.ledger.production import Gathered, Grazing, Production, SeedNeed


def test_enough_food_in_the_month_it_is_needed_leaves_nothing_short() -> None:
    """A month whose harvest equals its need is covered exactly and nothing is lost."""
    plan = solve_larder(larder([food("oats")], {"oats": months(jan=30.0)}, months(jan=30_000.0)))

    assert plan.coverage["energy_kcal"][0] == pytest.approx(1.0)
    assert plan.eaten_kg["oats"][0] == pytest.approx(30.0)
    assert plan.total("trim", "oats").sum() == pytest.approx(0.0, abs=1e-9)


def test_a_kept_food_shrinks_by_its_loss() -> None:
    """100 kg gathered in January feed February alone: 90 kg are eaten there and 10 kg spoil."""
    case = larder([food("oats")], {"oats": months(jan=100.0)}, months(feb=90_000.0), keepings=(keeping("oats", 0.1),))

    plan = solve_larder(case)

    assert plan.eaten_kg["oats"][1] == pytest.approx(90.0)
    assert plan.total("spoil", "oats")[1] == pytest.approx(10.0)
    assert plan.stores_kg["oats, shelf"][0] == pytest.approx(100.0)


def test_a_shortage_is_spread_so_that_the_worst_month_is_least_bad() -> None:
    """Two equal months and one harvest that falls short: both months get the same share of their need.

    By hand: x + x / 0.9 = 57 kg, so x = 27 kg in each month of 30 kg of need.
    """
    case = larder(
        [food("oats")],
        {"oats": months(jan=57.0)},
        months(jan=30_000.0, feb=30_000.0),
        keepings=(keeping("oats", 0.1),),
    )

    plan = solve_larder(case)

    assert plan.eaten_kg["oats"][:2] == pytest.approx([27.0, 27.0])
    assert plan.emergency_kg["emergency_food"][:2] == pytest.approx([3.0, 3.0])
    assert plan.shortfall["energy_kcal"][:2] == pytest.approx([3000.0, 3000.0])


def test_a_batch_crosses_the_end_of_the_year() -> None:
    """What is gathered in December feeds January and February of the same, closed year."""
    case = larder(
        [food("oats")],
        {"oats": months(dec=60.0)},
        months(jan=30_000.0, feb=30_000.0),
        keepings=(keeping("oats"),),
    )

    plan = solve_larder(case)

    assert plan.coverage["energy_kcal"] == pytest.approx(np.ones(12))
    assert plan.opening_kg[plan.accounts.index("store:oats.shelf"), 0] == pytest.approx(60.0)


def test_a_year_from_todays_shelves_neither_borrows_from_its_end_nor_loses_its_beginning() -> None:
    """With books open, today's stock is eaten first and December's harvest cannot feed January."""
    case = larder(
        [food("oats")],
        {"oats": months(dec=60.0)},
        months(jan=30_000.0, feb=30_000.0),
        keepings=(keeping("oats"),),
        cyclic=False,
        opening=(("oats", "shelf", 30.0, 0.0),),
    )

    plan = solve_larder(case)

    assert plan.coverage["energy_kcal"][:2] == pytest.approx([0.5, 0.5])
    row = plan.accounts.index("store:oats.shelf")
    assert plan.opening_kg[row, 0] == pytest.approx(30.0)
    assert imbalance(plan) < 1e-9


@pytest.mark.parametrize(("life", "last"), [(1.0, 1), (2.9, 2), (5.0, 5), (30.0, 11)])
def test_nothing_is_eaten_after_its_shelf_life(life: float, last: int) -> None:
    """Food gathered in January is eaten in as many later months as it keeps whole, and never a year later."""
    case = larder(
        [food("oats")], {"oats": months(jan=600.0)}, np.full(12, 30_000.0), keepings=(keeping("oats", life=life),)
    )

    plan = solve_larder(case)

    assert np.flatnonzero(plan.eaten_kg["oats"] > 1e-9).tolist() == list(range(last + 1))


def test_what_keeps_for_a_part_of_a_month_waits_only_in_part() -> None:
    """With a shelf life of 0.4 months, two fifths of a month's harvest can be eaten in the month after."""
    case = larder(
        [food("kale")], {"kale": months(jan=100.0)}, months(feb=90_000.0), keepings=(keeping("kale", life=0.4),)
    )

    assert solve_larder(case).eaten_kg["kale"][1] == pytest.approx(40.0)


def test_a_shelf_gives_no_second_life() -> None:
    """Food taken from a shelf is not put by again, even in a month that brings some of the same anew."""
    case = larder(
        [food("kale")],
        {"kale": months(jan=100.0, feb=1.0)},
        months(apr=90_000.0),
        keepings=(keeping("kale", life=2.0),),
    )

    assert solve_larder(case).eaten_kg["kale"][3] == pytest.approx(1.0)


def test_a_room_holds_no_more_than_its_litres() -> None:
    """A cellar of 50 litres at 2 litres a kg carries 25 kg into the next month, and its constraint has a price."""
    case = larder(
        [food("roots")],
        {"roots": months(jan=100.0)},
        months(feb=90_000.0),
        keepings=(keeping("roots", place="cellar", litres_per_kg=2.0),),
        rooms_litres={"cellar": 50.0},
    )

    plan = solve_larder(case)

    assert plan.eaten_kg["roots"][1] == pytest.approx(25.0)
    assert plan.duals["store.cellar.Jan"] < 0.0


def test_jars_and_dryer_bind_in_the_month_of_the_work() -> None:
    """Twelve litres of jars at 1.5 litres a kg take 8 kg; a dryer for 6 kg takes 6 kg."""
    tomato = food("tomato")
    canned, dried = food("tomato.canned"), food("tomato.dried")
    ways = (
        Keeping("tomato", "canned", "tomato.canned", 11.0, 0.0, jar_litres_per_kg=1.5),
        Keeping("tomato", "dried", "tomato.dried", 11.0, 0.0, yield_fraction=0.1, dried=True),
    )
    case = larder(
        [tomato, canned, dried],
        {"tomato": months(aug=100.0)},
        months(dec=90_000.0),
        keepings=ways,
        jar_litres_month=12.0,
        dry_kg_month=6.0,
    )

    plan = solve_larder(case)

    assert plan.eaten_kg["tomato.canned"][11] == pytest.approx(8.0)
    assert plan.eaten_kg["tomato.dried"][11] == pytest.approx(0.6)
    assert imbalance(plan) < 1e-9


def test_a_process_gives_all_its_goods_and_loses_the_rest() -> None:
    """100 kg of milk make 4 kg of butter and 90 kg of skimmed milk; 6 kg are lost."""
    milk = Good("milk", "milk", 0.13)
    goods = [milk, food("butter"), food("skim")]
    churn = Process("butter", "milk", (("butter", 0.04), ("skim", 0.90)))
    case = larder(goods, {"milk": months(jan=100.0)}, months(jan=94_000.0), processes=(churn,))

    plan = solve_larder(case)

    assert (plan.eaten_kg["butter"][0], plan.eaten_kg["skim"][0]) == pytest.approx((4.0, 90.0))
    assert plan.total("trim", "milk")[0] == pytest.approx(6.0)


def test_water_that_a_process_adds_comes_from_outside() -> None:
    """1 kg of flour makes 1.4 kg of bread: the 0.4 kg are water, and both kitchens balance, wet and dry."""
    goods = [Good("flour", "flour", 0.88), food("bread")]
    case = larder(
        goods,
        {"flour": months(jan=10.0)},
        months(jan=14_000.0),
        processes=(Process("bake", "flour", (("bread", 1.4),)),),
    )

    plan = solve_larder(case)

    assert plan.made_kg["bread"][0] == pytest.approx(14.0)
    assert plan.total("make", "water")[0] == pytest.approx(4.0)
    assert imbalance(plan) < 1e-9
    assert imbalance(plan, dry=True) < 1e-9


def test_a_plate_is_never_heaped_over_its_ceiling() -> None:
    """With 3 t of turnips and a plate of 20 kg edible a month, 20 kg are eaten and the rest stays short."""
    plate = Plate("roots", ("turnip", "swede"), (0.8, 0.8), np.full(12, 20.0), food=False)
    case = larder(
        [food("turnip"), food("swede")],
        {"turnip": np.full(12, 250.0), "swede": np.full(12, 250.0)},
        np.full(12, 90_000.0),
        plates=(plate,),
    )

    plan = solve_larder(case)

    edible = 0.8 * (plan.eaten_kg["turnip"] + plan.eaten_kg["swede"])
    assert edible == pytest.approx(np.full(12, 20.0))


def test_plenty_is_eaten_in_variety() -> None:
    """Where either food would do, neither is eaten past half of its ceiling."""
    plates = tuple(Plate(key, (key,), (1.0,), np.full(12, 40.0)) for key in ("potato", "oats"))
    case = larder(
        [food("potato"), food("oats")],
        {"potato": np.full(12, 100.0), "oats": np.full(12, 100.0)},
        np.full(12, 36_000.0),
        plates=plates,
    )

    plan = solve_larder(case)

    assert max(plan.eaten_kg["potato"].max(), plan.eaten_kg["oats"].max()) <= 20.0 + 1e-6


def test_nobody_eats_more_than_a_twentieth_over_the_need() -> None:
    """A glut does not raise the energy eaten above 1.05 of the need, even for want of protein."""
    case = larder(
        [food("potato", protein=1.0)], {"potato": np.full(12, 500.0)}, np.full(12, 30_000.0), np.full(12, 1000.0)
    )

    plan = solve_larder(case)

    assert plan.coverage["energy_kcal"] == pytest.approx(np.full(12, 1.05))
    assert plan.coverage["protein_g"] == pytest.approx(np.full(12, 0.0315))


def test_purchases_keep_to_the_months_and_limits_allowed() -> None:
    """Flour that may be bought at 10 kg in June and July alone feeds those months, and no other."""
    trade = Trade("flour", "buy", 1.0, months(jun=10.0, jul=10.0))
    case = larder([food("flour")], {}, np.full(12, 30_000.0), trades=(trade,))

    plan = solve_larder(case)

    assert plan.bought_kg["flour"] == pytest.approx(months(jun=10.0, jul=10.0))
    assert plan.eaten_kg["flour"].sum() == pytest.approx(20.0)


def test_nothing_is_bought_that_the_holding_has() -> None:
    """A purchase that mends no shortage is not made."""
    trade = Trade("flour", "buy", 1.0, np.full(12, 100.0))
    case = larder([food("flour"), food("oats")], {"oats": np.full(12, 40.0)}, np.full(12, 30_000.0), trades=(trade,))

    assert solve_larder(case).bought_kg == {}


def test_only_what_is_over_is_sold() -> None:
    """Eggs are eaten first: of 40 kg and a need of 30 kg, at most 10 kg are sold, however dear they are."""
    trade = Trade("egg", "sell", 1000.0, np.full(12, 100.0))
    case = larder([food("egg")], {"egg": np.full(12, 40.0)}, np.full(12, 30_000.0), trades=(trade,))

    plan = solve_larder(case)

    assert plan.coverage["energy_kcal"] == pytest.approx(np.ones(12))
    assert plan.sold_kg["egg"] == pytest.approx(np.full(12, 10.0))


def test_own_seed_is_kept_before_the_last_bread_is_eaten() -> None:
    """Seed comes off the harvest, and what lacks of it is named as an emergency."""
    production = Production(
        (Gathered("crop:field.x", "oats", months(jan=100.0)),), seed=(SeedNeed("field.oats", "oats", months(mar=30.0)),)
    )
    case = larder([food("oats")], {}, months(jan=90_000.0), keepings=(keeping("oats"),), production=production)

    plan = solve_larder(case)

    assert plan.total("sow", "oats")[2] + plan.seed_short_kg.get("oats", np.zeros(12))[2] == pytest.approx(30.0)
    assert imbalance(plan) < 1e-9


def test_seed_of_what_does_not_keep_is_set_aside_when_it_arrives() -> None:
    """Squash of September that is gone by March gives its seed in September, and none is lacking."""
    production = Production(
        (Gathered("crop:field.squash", "squash", months(sep=100.0)),),
        seed=(SeedNeed("field.squash", "squash", months(mar=2.0)),),
    )
    plan = solve_larder(larder([food("squash")], {}, months(sep=90_000.0), production=production))

    assert plan.total("sow", "squash") == pytest.approx(months(sep=2.0))
    assert plan.seed_short_kg == {}


def test_people_eat_their_own_before_what_is_bought() -> None:
    """With own roots and cheap bought meal for people and hens alike, the hens get the meal and the people the roots."""
    roots = replace(food("roots", 770.0), dm_fraction=0.2, feed="grain")
    goods = [roots, replace(food("meal", 3600.0), dm_fraction=0.88, feed="grain"), food("egg")]
    production = Production((Gathered("crop:a.x", "roots", np.full(12, 40.0)),), herds=(hen(50.0),))
    case = larder(
        goods,
        {},
        np.full(12, 30_000.0),
        production=production,
        feeds={"grain": grain_feed()},
        trades=(Trade("meal", "buy", 0.3, np.full(12, 100.0)),),
    )

    plan = solve_larder(case)

    assert plan.eaten_kg["roots"] == pytest.approx(np.full(12, (30_000.0 - 1000.0) / 770.0))
    assert "meal" not in plan.eaten_kg
    assert plan.feed_kg["flock"]["meal"].min() > 0.0


def test_a_herd_short_of_feed_gives_less_in_proportion() -> None:
    """Hens that get 60 % of their energy give 60 % of their eggs, and the shortage is told."""
    goods = [Good("grain", "grain", 0.5, feed="grain"), food("egg")]
    production = Production((Gathered("crop:field.x", "grain", np.full(12, 12.0)),), herds=(hen(100.0),))
    case = larder(goods, {}, np.full(12, 30_000.0), production=production, feeds={"grain": grain_feed()})

    plan = solve_larder(case)

    assert plan.feed_short["flock"] == pytest.approx(np.full(12, 0.4))
    assert plan.products_kg["flock"]["egg"] == pytest.approx(np.full(12, 0.6))
    assert imbalance(plan) < 1e-9


@given(got=st.floats(0.0, 1.0))
@settings(max_examples=10, deadline=None)
def test_a_carcass_rests_on_all_the_feed_since_the_beast_came(got: float) -> None:
    """Grain for the killing month alone, and a share of it in the months before, gives that share of the meat."""
    need = np.array([100.0] * 4 + [0.0] * 8)
    grain = np.array([got, got, got, 1.0] + [0.0] * 8) * 20.0
    goods = [Good("grain", "grain", 0.5, feed="grain"), food("meat_goose")]
    flock = replace(hen(100.0, products={"meat_goose": months(apr=40.0)}), energy_mj=need)
    production = Production((Gathered("crop:field.x", "grain", grain),), herds=(flock,))
    case = larder(goods, {}, np.full(12, 30_000.0), production=production, feeds={"grain": grain_feed()})

    plan = solve_larder(case)

    assert plan.products_kg["flock"]["meat_goose"][3] == pytest.approx(40.0 * (3.0 * got + 1.0) / 4.0, abs=1e-3)
    assert imbalance(plan) < 1e-9


def test_a_feed_keeps_under_its_share_of_the_trough() -> None:
    """Beans capped at a tenth leave the hens short, however many there are.

    By hand: a full ration is 10 kg of dry matter a month; 4.5 kg of grain and a tenth of 10 kg make 55 % of it.
    """
    goods = [Good("grain", "grain", 1.0, feed="grain"), Good("beans", "beans", 1.0, feed="beans"), food("egg")]
    feeds = {"grain": grain_feed(), "beans": replace(grain_feed(most=0.1), key="beans")}
    production = Production(
        (Gathered("crop:a.x", "grain", np.full(12, 4.5)), Gathered("crop:b.x", "beans", np.full(12, 50.0))),
        herds=(hen(100.0),),
    )
    plan = solve_larder(larder(goods, {}, np.full(12, 30_000.0), production=production, feeds=feeds))

    assert plan.feed_kg["flock"]["beans"] == pytest.approx(np.full(12, 1.0))
    assert plan.feed_short["flock"] == pytest.approx(np.full(12, 0.45))


def test_ruminants_get_their_least_share_of_forage() -> None:
    """With a least share of 0.4, no more than 60 % of the dry matter is grain."""
    goods = [Good("grain", "grain", 1.0, feed="grain"), Good("hay", "hay", 1.0, feed="hay"), food("egg")]
    feeds = {"grain": grain_feed(12.0), "hay": Feed("hay", {"amen_poultry": 6.0}, 0.1, {"max_layer": 1.0}, forage=True)}
    production = Production(
        (Gathered("crop:a.x", "grain", np.full(12, 500.0)), Gathered("sward:b", "hay", np.full(12, 500.0))),
        herds=(hen(100.0, forage_min_fraction=0.4),),
    )
    plan = solve_larder(larder(goods, {}, np.full(12, 30_000.0), production=production, feeds=feeds))

    eaten = plan.feed_kg["flock"]
    assert np.all(eaten["hay"] >= 0.4 * (eaten["hay"] + eaten["grain"]) - 1e-9)
    assert plan.feed_short["flock"] == pytest.approx(np.zeros(12), abs=1e-9)


def test_grass_left_standing_is_worth_its_carry_for_one_month_only() -> None:
    """Growth of May alone feeds May in full and June at its carry; July finds nothing."""
    goods = [Good("grass", "grass", 0.2, feed="grass"), food("egg")]
    feeds = {"grass": Feed("grass", {"amen_poultry": 10.0}, 0.1, {"max_layer": 1.0}, forage=True)}
    production = Production(
        (), grazing=(Grazing("sward:mead", "grass", months(may=30.0), 0.5, ("flock",)),), herds=(hen(100.0),)
    )
    plan = solve_larder(larder(goods, {}, np.full(12, 30_000.0), production=production, feeds=feeds))

    dry = plan.feed_kg["flock"]["grass"] * 0.2
    assert dry[4] + dry[5] / 0.5 <= 30.0 + 1e-9
    assert plan.feed_short["flock"][[3, 4, 5, 6]] == pytest.approx([1.0, 0.0, 0.0, 1.0], abs=1e-9)


def test_a_group_that_gets_no_bought_feed_eats_from_the_holding_alone() -> None:
    """Grain may be bought, but not for this flock: it eats the 4 kg that were gathered."""
    goods = [Good("grain", "grain", 1.0, feed="grain"), food("egg")]
    production = Production((Gathered("crop:a.x", "grain", np.full(12, 4.0)),), herds=(hen(100.0),))
    trade = Trade("grain", "buy", 1.0, np.full(12, 100.0))
    case = larder(
        goods, {}, np.full(12, 30_000.0), production=production, feeds={"grain": grain_feed()}, trades=(trade,)
    )

    assert solve_larder(case).feed_short["flock"] == pytest.approx(np.zeros(12), abs=1e-9)
    own = solve_larder(replace(case, buys_feed={"flock": False}))
    assert own.feed_short["flock"] == pytest.approx(np.full(12, 0.6))


def test_names_of_constraints_are_unique_and_readable() -> None:
    """Every constraint has its own name of words and dots."""
    build = build_program(random_larder(np.random.default_rng(5)))

    assert len(set(build.model.row_names)) == len(build.model.row_names)
    assert all(name.replace(".", "").replace("_", "").replace(":", "").isalnum() for name in build.model.row_names)


def test_the_same_larder_gives_the_same_plan_bit_for_bit() -> None:
    """Two solves of one larder agree in every flow."""
    one, two = (solve_larder(random_larder(np.random.default_rng(11))) for _ in range(2))

    assert one.arcs == two.arcs
    assert np.array_equal(one.fresh_kg, two.fresh_kg)


def test_an_empty_house_and_an_empty_larder_are_answered() -> None:
    """Nobody to feed and nothing to eat: no need, no flow, no shortage; with a need, all of it is short."""
    empty = solve_larder(larder([], {}, np.zeros(12)))
    hungry = solve_larder(larder([], {}, np.full(12, 30_000.0)))

    assert empty.coverage["energy_kcal"] == pytest.approx(np.ones(12))
    assert empty.fresh_kg.shape == (0, 12)
    assert hungry.coverage["energy_kcal"] == pytest.approx(np.zeros(12))
    assert hungry.emergency_kg["emergency_food"] == pytest.approx(np.full(12, 30.0))


def test_a_harvest_that_is_no_number_is_refused() -> None:
    """A harvest of NaN or under zero raises and is named, instead of giving NaN back."""
    for wrong in (np.nan, np.inf, -1.0):
        with pytest.raises(LarderError, match=r"crop:field\.x: a number that is not finite"):
            solve_larder(larder([food("oats")], {"oats": np.full(12, wrong)}, np.full(12, 30_000.0)))


def test_an_impossible_program_is_refused() -> None:
    """A program without an answer raises instead of returning numbers."""
    model = LinearModel()
    column = model.column(1.0, 1.0)
    model.put(model.row("two", 2.0), column, 1.0)

    with pytest.raises(LarderError, match="nfeasible"):
        run(highs(model), model)


def test_a_program_with_a_hole_in_it_is_refused() -> None:
    """A coefficient that is not a number is refused before the solver sees it."""
    model = LinearModel()
    model.put(model.row("one", 1.0), model.column(1.0), float("nan"))

    with pytest.raises(LarderError, match="not finite"):
        highs(model)


def test_a_solver_that_refuses_an_option_is_not_run() -> None:
    """An unknown method is an error at once, never another method in silence."""
    with pytest.raises(LarderError, match="set solver"):
        highs(LinearModel(), method="guess")
