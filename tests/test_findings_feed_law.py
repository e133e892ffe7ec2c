"""Findings on what may not be fed, and cautions row by row: each speaks where the plan asks for it, and is silent elsewhere."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from fixtures_result import year_result
from hypothesis import given
from hypothesis import strategies as st

from yardland.findings import cautions, feeds
from yardland.findings.context import Context
from yardland.holding.model import Group, Rules, TradeRow
from yardland.larder.feed_leavings import Leavings
from yardland.reference import load_tables

TABLES = load_tables()
EWES, PIGS = {"ewes": {"ewe": 3}}, {"pigs": {"pig_grower": 2}}


def told(
    heads: dict[str, dict[str, int]],
    *,
    country: str = "GB",
    allowed: tuple[str, ...] = (),
    buys: tuple[str, ...] = (),
    kitchen_kg: float = 120.0,
    barred: dict[str, dict[str, str]] | None = None,
) -> Context:
    """A made-up year with this stock, these leavings, switches and purchases."""
    base = year_result()
    groups = {name: Group.model_validate({"heads": classes, "home": "house"}) for name, classes in heads.items()}
    trades = tuple(TradeRow(line=line, item=item, do="buy", price=0.4) for line, item in enumerate(buys, 2))
    holding = base.holding.model_copy(
        update={
            "group": groups,
            "place": base.holding.place.model_copy(update={"country": country}),
            "rules": Rules(feeds_allowed=allowed),
            "trades": trades,
        }
    )
    left = Leavings(np.full(12, kitchen_kg / 12.0), np.zeros(12), np.zeros(12))
    months = {name: {klass: np.full(12, float(count)) for klass, count in one.items()} for name, one in heads.items()}
    changed = replace(base, holding=holding, heads=months, leavings=left, feeds_barred=barred or {}, findings=())
    return Context(changed, TABLES)


@pytest.mark.parametrize("country", ["GB", "FR", "US"])
def test_kitchen_leavings_nobody_gets_are_told(country: str) -> None:
    """How many kilograms, and why, by the law of the place; not without stock, not without leavings, not when the plan answers for it."""
    (found,) = feeds.law_off(told(PIGS, country=country))

    assert found.number == "120 kg a year"
    assert found.subject == "rules.kitchen_scraps"
    assert not list(feeds.law_off(told({}, country=country)))
    assert not list(feeds.law_off(told(PIGS, country=country, kitchen_kg=0.0)))
    assert not list(feeds.law_off(told(PIGS, country=country, allowed=("kitchen_scraps",))))


@given(st.floats(1.0, 5000.0))
def test_what_the_plan_switches_on_is_a_breach_of_the_rule(kg: float) -> None:
    """Switched on against the law it is a finding of grade rule with the amount and the law; what no law forbids is none."""
    (found,) = feeds.law_switched(told(PIGS, allowed=("kitchen_scraps",), kitchen_kg=kg))
    law = TABLES.row("feed_rules", "kitchen_scraps").text("law_GB")

    assert found.grade == "rule"
    assert found.number == f"{kg:,.0f} kg a year could be fed"
    assert law in found.source
    assert not list(feeds.law_switched(told(PIGS, kitchen_kg=kg)))


def test_insects_switched_on_in_britain_are_told_and_in_the_union_are_free() -> None:
    """Meal of insects reared on plants is kept from poultry and pigs in Great Britain alone."""
    (found,) = feeds.law_switched(told(PIGS, allowed=("insects_on_plants",)))

    assert found.subject == "rules.insects_on_plants"
    assert not list(feeds.law_switched(told(PIGS, country="FR", allowed=("insects_on_plants",))))


def test_a_feed_bought_for_others_that_poisons_sheep_is_named() -> None:
    """Layers' meal on a holding with ewes: a danger that names the line of trades.csv; hay is none, nor a holding without ewes."""
    barred = {"ewes": {"layer_meal": "copper_sheep"}}
    (found,) = feeds.bought_but_barred(told(EWES, buys=("hay_grass", "layer_meal"), barred=barred))

    assert (found.grade, found.subject) == ("danger", "ewes")
    assert "line 3" in found.cause
    assert "15" in found.number
    assert not list(feeds.bought_but_barred(told(EWES, buys=("hay_grass",), barred=barred)))
    assert not list(feeds.bought_but_barred(told(PIGS, buys=("layer_meal",))))


def test_copper_is_a_caution_where_sheep_are_kept() -> None:
    """The caution of copper comes with ewes and not with pigs."""
    with_ewes, with_pigs = ({one.subject for one in cautions.cautions(told(heads))} for heads in (EWES, PIGS))

    assert "caution.copper_sheep_ppm" in with_ewes
    assert "caution.copper_sheep_ppm" not in with_pigs


ROWS = [
    ("electric_fence_pulse_j", "electric_fence_two_m"),
    ("electric_fence_pulse_j", "electric_fence_barbed_mm"),
    ("electric_fence_pulse_j", "electric_fence_line_m"),
    ("electric_fence_pulse_j", "electric_fence_sign_m"),
    ("electric_fence_pulse_j", "electric_fence_earth_m"),
    ("electric_fence_pulse_j", "electric_fence_netting"),
    ("rest_after_slurry_weeks", "litter_carcass"),
    ("withdrawal_eggs_d", "withdrawal_organic"),
    ("zoonoses_birth", "zoonoses_young"),
    ("meat_temp_poultry", "meat_temp_pork"),
    ("notifiable", "dead_stock"),
    ("slaughter_home", "slaughter_cool_red_c"),
    ("slaughter_home", "slaughter_cool_poultry_c"),
    ("manure_from_well_m", "manure_from_water_m"),
    ("bee_medicine", "bee_water"),
    ("bee_medicine", "bee_stings"),
]


@pytest.mark.parametrize(("first", "row"), ROWS, ids=[row for _, row in ROWS])
def test_a_caution_says_every_row_that_belongs_to_it(first: str, row: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The words and the number of each further row stand in the finding of the first, whatever makes it apply."""
    table = next(one for one in cautions.TABLE if one.rules[0] == first)
    monkeypatch.setattr(cautions, "TABLE", (replace(table, applies=lambda _: "made to apply"),))
    (found,) = cautions.cautions(told(EWES))
    cells = TABLES.row("rules", row)

    assert cautions.sentence(cells.text("text"), cells["number"], cells.text("unit")) in found.what


def test_whoever_keeps_stock_registers_them() -> None:
    """The caution of registers and marks comes with any stock and not without."""
    with_stock, without = ({one.subject for one in cautions.cautions(told(heads))} for heads in (EWES, {}))

    assert "caution.housing_register" in with_stock
    assert "caution.housing_register" not in without


def test_no_scraps_is_said_where_hens_or_pigs_are_kept() -> None:
    """The caution of the kitchen's bucket comes with pigs and hens, not with ewes."""
    with_pigs, with_ewes = ({one.subject for one in cautions.cautions(told(heads))} for heads in (PIGS, EWES))

    assert "caution.kitchen_scraps" in with_pigs
    assert "caution.kitchen_scraps" not in with_ewes


@given(st.floats(0.06, 1.0), st.sampled_from(["lysine", "calcium", "phosphorus", "fibre_least", "fibre_most"]))
def test_a_ration_that_misses_a_bound_is_told_with_its_share_and_remedy(share: float, bound: str) -> None:
    """Over a twentieth of a bound missing in a month is told, over half of it as short; a twentieth and less is not."""
    lacks = np.zeros(12)
    lacks[4] = share
    base = told({"rabbits": {"rabbit_doe": 2}})
    (found,) = feeds.rations_lack(Context(replace(base.result, feed_lacks={"rabbits": {bound: lacks}}), TABLES))
    few = replace(base.result, feed_lacks={"rabbits": {bound: np.full(12, 0.05)}})

    assert found.grade == ("short" if share > 0.5 else "tight")
    assert found.number == f"{100 * share:.0f} % of the bound in {base.result.months[4].name}"
    assert found.remedy == feeds.REMEDIES[bound]
    assert not list(feeds.rations_lack(Context(few, TABLES)))


def test_raw_milk_is_heated_where_there_is_milk_of_the_holding() -> None:
    """The caution of raw milk comes with milk of the holding's own animals and not without."""
    base = told({"goats": {"goat_dairy_doe": 2}})
    with_milk = replace(base.result, products_kg={"goats": {"milk_goat": np.ones(12)}})
    without = replace(base.result, products_kg={})
    said, silent = ({one.subject for one in cautions.cautions(Context(each, TABLES))} for each in (with_milk, without))

    assert "caution.raw_milk_heat" in said
    assert "caution.raw_milk_heat" not in silent
