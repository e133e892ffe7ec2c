"""Why a year is short: relaxing each link by a tenth, judged against solving the relaxed larder from nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from larder_kit import food, grain_feed, hen, keeping, larder, months, random_larder

from yardland.larder.build_table import FIRST_AIMS
from yardland.larder.causes import find_causes, land_links
from yardland.larder.description import Good, Larder, Plate, Trade
from yardland.larder.model import highs, run
from yardland.larder.program import build_program, solve_larder
from yardland.larder.weights import HUNGER
from yardland.ledger.production import Gathered, Production


def hunger(case: Larder) -> float:
    """Sum of the shares of energy and protein not met, the sum being all that counts."""
    build = build_program(replace(case, driving=FIRST_AIMS), HUNGER)
    answer = run(highs(build.model), build.model)
    return float(sum(answer.x[column] for column in build.short.values()))


def grown(case: Larder, name: str) -> Larder:
    """The larder with a tenth more of a crop."""
    gathered = tuple(
        replace(item, fresh_kg=1.1 * item.fresh_kg) if item.account.endswith(f".{name}") else item
        for item in case.production.gathered
    )
    return replace(case, production=replace(case.production, gathered=gathered))


def herded(case: Larder, factor: float) -> Larder:
    """The larder with its herds grown or shrunk by a factor."""
    herds = tuple(
        replace(
            herd,
            energy_mj=factor * herd.energy_mj,
            protein_kg=factor * herd.protein_kg,
            dry_matter_max_kg=factor * herd.dry_matter_max_kg,
            products={good: factor * kg for good, kg in herd.products.items()},
        )
        for herd in case.production.herds
    )
    return replace(case, production=replace(case.production, herds=herds))


def test_a_full_larder_has_no_causes() -> None:
    """Where nothing is short, nothing is blamed."""
    case = larder([food("oats")], {"oats": np.full(12, 40.0)}, np.full(12, 30_000.0))

    assert find_causes(solve_larder(case)) == ()


def test_the_crop_that_is_short_is_blamed_in_words() -> None:
    """Half of the bread is lacking: a tenth more oats brings a tenth of what there is, that is a tenth of the shortage."""
    production = Production((Gathered("crop:north.oats", "oats", np.full(12, 15.0)),))
    case = larder([food("oats")], {}, np.full(12, 30_000.0), production=production)

    (cause,) = find_causes(solve_larder(case))

    assert cause.link == "crop.oats"
    assert cause.mended_share == pytest.approx(0.1)
    assert cause.words == "a tenth more oats land mends 10 % of the shortage of energy and protein"


def test_leavings_count_with_the_land_that_they_come_from() -> None:
    """A tenth more of a crop is a tenth more of its leavings, and of a tree of its own; neither is a link by itself."""
    made = {
        "oats": "crop:north.oats",
        "husks": "leavings:north.oats",
        "pears": "trees:old.pear",
        "pomace": "leavings:old.pear",
    }
    case = larder([food(good) for good in made], {}, np.full(12, 60_000.0))
    gathered = tuple(Gathered(account, good, np.full(12, 10.0)) for good, account in made.items())
    build = build_program(replace(case, production=Production(gathered=gathered)))
    links = {one.key: one.sides for one in land_links(build)}
    rows = {good: {row for month in range(12) for row, _ in build.sides[good, month]} for good in made}

    assert set(links) == {"crop.oats", "trees.pear"}
    assert set(links["crop.oats"]) == rows["oats"] | rows["husks"]
    assert set(links["trees.pear"]) == rows["pears"] | rows["pomace"]


def test_a_full_cellar_is_blamed_and_the_crop_is_not() -> None:
    """With more roots than the cellar holds, room helps and land does not."""
    production = Production((Gathered("crop:north.roots", "roots", months(oct=500.0)),))
    case = larder(
        [food("roots")],
        {},
        months(nov=90_000.0),
        production=production,
        keepings=(keeping("roots", place="cellar", litres_per_kg=2.0),),
        rooms_litres={"cellar": 80.0},
    )

    found = {cause.link: cause.mended_share for cause in find_causes(solve_larder(case))}

    assert found == {"store.cellar": pytest.approx(0.1 * 40.0 / 50.0)}


def test_a_low_plate_and_a_small_allowance_to_buy_are_blamed() -> None:
    """Turnips in plenty under a plate of 10 kg, and 5 kg of flour to buy: each is told with what it mends."""
    case = larder(
        [food("turnip"), food("flour")],
        {"turnip": np.full(12, 100.0)},
        np.full(12, 30_000.0),
        plates=(Plate("turnip", ("turnip",), (1.0,), np.full(12, 10.0)),),
        trades=(Trade("flour", "buy", 1.0, np.full(12, 5.0)),),
    )

    found = {cause.link: cause.mended_share for cause in find_causes(solve_larder(case))}

    assert found == {"plates": pytest.approx(1.0 / 15.0), "buy.flour": pytest.approx(0.5 / 15.0)}


def test_animals_without_feed_are_explained_when_the_people_have_enough() -> None:
    """Hens get 6 of 10 kg of dry matter: a tenth more grain mends 15 %, a tenth fewer hens a sixth of the shortage."""
    production = Production((Gathered("crop:north.grain", "grain", np.full(12, 6.0)),), herds=(hen(100.0),))
    case = larder(
        [Good("grain", "grain", 1.0, feed="grain"), food("egg")],
        {"egg": np.full(12, 30.0)},
        np.full(12, 30_000.0),
        production=replace(
            production, gathered=(*production.gathered, Gathered("crop:north.egg_tree", "egg", np.full(12, 30.0)))
        ),
        feeds={"grain": grain_feed()},
    )

    found = {cause.link: cause for cause in find_causes(solve_larder(case))}

    assert found["crop.grain"].mended_share == pytest.approx(0.6 / 4.0)
    assert found["heads.flock.fewer"].mended_share == pytest.approx(1.0 - (1.0 - 6.0 / 9.0) / 0.4)
    assert found["crop.grain"].words == "a tenth more grain land mends 15 % of the shortage of feed"


@settings(max_examples=12, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_what_a_link_mends_is_what_the_relaxed_larder_mends(seed: int) -> None:
    """Each told share equals that of the relaxed larder solved anew, and no crop or herd that helps is left out."""
    case = random_larder(np.random.default_rng(seed))
    told = {cause.link: cause.mended_share for cause in find_causes(solve_larder(case))}
    before = hunger(case)
    if before < 1e-3:
        return
    relaxed = {f"crop.{name}": grown(case, name) for name in ("oats", "roots", "beans")} | {
        "heads.flock.more": herded(case, 1.1),
        "heads.flock.fewer": herded(case, 0.9),
        "store.cellar": replace(case, rooms_litres={"cellar": 1.1 * case.rooms_litres["cellar"]}),
        "plates": replace(
            case, plates=tuple(replace(plate, ceiling_kg=1.1 * plate.ceiling_kg) for plate in case.plates)
        ),
        "buy.oats": replace(case, trades=tuple(replace(trade, limit_kg=1.1 * trade.limit_kg) for trade in case.trades)),
    }
    for link, larger in relaxed.items():
        mended = 1.0 - hunger(larger) / before
        if link in told:
            assert told[link] == pytest.approx(mended, abs=2e-3), link
        else:
            assert mended < 0.0075, link
