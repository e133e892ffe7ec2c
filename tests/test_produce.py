"""Carcasses in parts, eggs by size, leavings that nobody ate, and their keys in the year's JSON."""

from __future__ import annotations

import json
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from conftest import demo_year
from hypothesis import given
from hypothesis import strategies as st
from larder_kit import hen, larder, months

from yardland.accounts.left_lying import left_lying
from yardland.accounts.produce import produce
from yardland.larder.description import Feed, Good, Process
from yardland.larder.program import solve_larder
from yardland.larderyear.jsonable import year_json
from yardland.larderyear.result import YearResult
from yardland.ledger.arcs import Arc, Ledger
from yardland.ledger.production import Gathered, Production
from yardland.reference import load_tables
from yardland.stock.egg_sizes import size_shares

TABLES = load_tables()
KEYS = ("fodder", "feed_lacks", "leavings", "heap", "slaughter_kg", "eggs")


def giving(*gifts: tuple[str, str, float]) -> Ledger:
    """A ledger in which classes give goods in its first month: (herd account, good, kg)."""
    arcs = tuple(Arc(account, f"kitchen:{good}", good, "give") for account, good, _ in gifts)
    kg = np.zeros((len(gifts), 12))
    kg[:, 0] = [amount for *_, amount in gifts]
    return Ledger(arcs, kg, kg, (), np.zeros((0, 12)), np.zeros((0, 12)))


@given(st.sampled_from(["EU", "GB", "US", "other"]), st.floats(30.0, 100.0))
def test_sizes_of_eggs_are_shares_of_all_of_them(region: str, mean_g: float) -> None:
    """Every egg has one size, whatever the flock's mean."""
    shares = size_shares(TABLES, region, mean_g)

    assert sum(shares.values()) == pytest.approx(1.0)
    assert min(shares.values()) >= 0.0


def test_a_flock_between_two_sizes_lays_half_of_each() -> None:
    """At a mean of 63 g half are under the European large, and hardly any are small or very large (spread 8 %)."""
    shares = size_shares(TABLES, "GB", 63.0)

    assert list(shares) == ["small", "medium", "large", "very large"]
    assert shares["small"] + shares["medium"] == pytest.approx(0.5)
    assert shares["small"] == pytest.approx(0.0236, abs=0.0005)
    assert size_shares(TABLES, "US", 63.0)["large"] > 0.4


def test_sizes_of_eggs_are_the_printed_ones(outside) -> None:
    """53, 63 and 73 g in Europe; 15 to 30 oz a dozen in the United States (published tables of sizes)."""
    europe = [TABLES.row("egg_sizes", f"eu_{name}").need("from_g") for name in ("medium", "large", "very_large")]
    outside.check_close("eggs", "sizes of eggs in Europe, g", "Chicken egg sizes, encyclopaedia", "published", [53.0, 63.0, 73.0], europe, 0.0)  # fmt: skip
    dozen = [18, 21, 24, 27, 30]
    states = [TABLES.row("egg_sizes", f"us_{name}").need("from_g") for name in ("small", "medium", "large", "extra_large", "jumbo")]  # fmt: skip
    outside.check_close("eggs", "sizes of eggs in the United States, oz a dozen", "Chicken egg sizes, encyclopaedia", "published", dozen, [12 * g / 28.3495 for g in states], 0.05)  # fmt: skip


def test_skins_are_the_printed_shares_of_live_weight(outside) -> None:
    """Of a steer of 1,000 lb 80 lb are hide, of a lamb of 100 lb 15 lb are pelt (Principles of Meat Science; published)."""
    source = "Principles of Meat Science, chapter 16"
    cattle, sheep = (TABLES.row("coats", species).need("skin_kg_kg_live") for species in ("cattle", "sheep"))
    outside.check_close("coats", "hide of a steer, lb of 1,000", source, "published", 80.0, 1000 * cattle, 0.01)
    outside.check_close("coats", "pelt of a lamb, lb of 100", source, "published", 15.0, 100 * sheep, 0.01)
    fleece = TABLES.row("coats", "sheep").need("fleece_kg")
    outside.check_between("coats", "fleece of a Cheviot, kg", "Held, Weaving, appendix", "published", 2.25, 3.18, fleece)  # fmt: skip


def test_a_carcass_given_is_parted_from_its_live_weight() -> None:
    """48 kg of lamb are 100 kg live: 15 kg of pelt, and all parts together the live weight."""
    got = produce(giving(("herd:ewes.lamb", "meat_lamb", 48.0)), TABLES, "GB")
    parts = got.slaughter["ewes"]["lamb"]

    assert parts.live_kg == pytest.approx(100.0)
    assert parts.skin_kg == pytest.approx(15.0)
    whole = parts.carcass_kg + parts.organs_kg + parts.fat_kg + parts.skin_kg + parts.leavings_kg
    assert whole == pytest.approx(100.0)
    assert got.eggs == {}


def test_eggs_are_counted_and_only_hens_eggs_have_sizes() -> None:
    """5.8 kg of a class's eggs by its own egg weight; a goose's eggs are eggs and no size."""
    hen_g, goose_g = (TABLES.row("stock", klass).need("egg_weight_g") for klass in ("laying_hen", "goose"))
    got = produce(giving(("herd:a.laying_hen", "egg_hen", 5.8), ("herd:b.goose", "egg_goose", 1.5)), TABLES, "EU")

    assert got.eggs["a"].number[0] == pytest.approx(5800.0 / hen_g)
    assert got.eggs["b"].number[0] == pytest.approx(1500.0 / goose_g)
    assert sum(got.eggs["a"].by_size.values()) == pytest.approx(1.0)
    assert got.eggs["b"].by_size == {}


def test_leavings_that_nobody_ate_are_told_with_their_nitrogen() -> None:
    """Of 100 kg of trimmings hens ate 40: 60 kg lie, with the protein of the feed table over 6.25."""
    beside = Gathered("leavings:beds.lettuce", "vegetable_trimmings", months(jun=100.0))
    eaten = months(jun=40.0)
    plan = SimpleNamespace(
        larder=SimpleNamespace(production=Production((beside,))),
        total=lambda kind, good: eaten if (kind, good) == ("feed", "vegetable_trimmings") else np.zeros(12),
    )

    got = left_lying(plan, TABLES)["vegetable_trimmings"]

    dry = 60.0 * TABLES.row("goods", "vegetable_trimmings").need("dm_fraction")
    assert got.left_kg == pytest.approx(60.0)
    assert got.n_kg == pytest.approx(dry * TABLES.row("feeds", "vegetable_trimmings").need("cp_g_kgdm") / 6250.0)
    assert got.c_kg == pytest.approx(dry * TABLES.row("fertility", "plant_c_share").need("number"))


def test_skimmed_milk_reaches_the_trough_in_the_month_it_is_made() -> None:
    """Milk of May is churned, and its skim feeds the flock in May; no shelf carries it into June."""
    feeds = {"skim": Feed("skim", {"amen_poultry": 10.0}, 0.3, {"max_layer": 1.0}, forage=False)}
    goods = {
        "milk": Good("milk", "milk", 0.13),
        "butter": Good("butter", "butter", 0.8, per_kg=np.tile(np.array([[7000.0], [10.0]]), (1, 12))),
        "skim": Good("skim", "skim", 0.1, feed="skim"),
    }
    case = larder(
        [],
        {},
        months(may=70_000.0),
        feeds=feeds,
        processes=(Process("churn", "milk", (("butter", 0.04), ("skim", 0.85))),),
        production=Production(
            (Gathered("crop:dairy", "milk", months(may=250.0)),),
            herds=(hen(100.0, products={}, dry_matter_max_kg=np.full(12, 10.0)),),
        ),
    )
    plan = solve_larder(replace(case, goods=goods))

    assert plan.eaten_kg["butter"][4] == pytest.approx(10.0, rel=1e-6)
    assert plan.feed_kg["flock"]["skim"] == pytest.approx(months(may=100.0), rel=1e-6, abs=1e-6)
    assert plan.feed_short["flock"][4] == pytest.approx(0.0, abs=1e-6)
    assert plan.feed_short["flock"][5] == pytest.approx(1.0, abs=1e-6)


def test_the_year_in_json_has_feed_fodder_leavings_and_heap(year_result: YearResult) -> None:
    """The keys stand, hold what the result holds, and are finite JSON with units in their names."""
    told: Any = year_json(year_result)
    text = json.dumps({key: told[key] for key in KEYS}, allow_nan=False)

    assert "NaN" not in text
    heap = told["heap"]
    into = heap["excreted_n_kg"] + heap["bedding_n_kg"] + heap["kitchen_n_kg"]
    out = sum(heap[f"{term}_n_kg"] for term in ("dropped", "house_lost", "heap_lost", "spread", "left"))
    assert into == pytest.approx(out, rel=1e-5)
    assert sum(told["leavings"]["kitchen_kg"]) == pytest.approx(70.0 * len(year_result.holding.people), rel=1e-6)
    assert heap["kitchen_kg"] == pytest.approx(sum(told["leavings"]["kitchen_kg"]), rel=1e-6)
    for one in told["leavings"]["beside_harvests"].values():
        assert sum(one["kg"]) == pytest.approx(sum(one["eaten_kg"]) + one["left_kg"], abs=1e-4)
    fodder = told["fodder"]
    assert fodder is not None
    assert fodder["missing_mj"] == pytest.approx(
        max(fodder["need_mj"] - fodder["stored_mj"] - fodder["fed_beside_mj"], 0.0), abs=1e-3
    )
    assert told["feed_lacks"] == {
        group: {bound: pytest.approx(list(share), abs=1e-6) for bound, share in bounds.items()}
        for group, bounds in year_result.feed_lacks.items()
    }


def test_the_eggs_of_the_year_are_their_kilograms() -> None:
    """Eggs told x the weight of an egg are the kilograms that the group gave."""
    result = demo_year("tarn-hollow")
    each_kg = TABLES.row("stock", "dual_purpose_hen").need("egg_weight_g") / 1000.0

    assert result.produce.eggs["hens"].number * each_kg == pytest.approx(
        result.products_kg["hens"]["egg_hen"], rel=1e-9
    )
    assert set(result.produce.slaughter) == {group for group, goods in result.products_kg.items() if any(good.startswith("meat_") for good in goods)}  # fmt: skip
