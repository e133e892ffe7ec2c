"""Growth of drawn chains: a chain is the same to the last bit whatever others are grown with it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

import yardland
from yardland.larderyears.chains import Ground, ground, grow_chains
from yardland.ledger.production import Production
from yardland.reference import load_tables

EXAMPLES = Path(__file__).parent.parent / "examples"
YEARS = 4


@pytest.fixture(scope="module", params=["casa-vereda", "tarn-hollow"])
def place(request: pytest.FixtureRequest) -> Ground:
    """A holding with trees, herds that walk stubble or swards, and (Tarn Hollow) a rotation of three years."""
    holding = yardland.load(EXAMPLES / request.param)
    return ground(holding, load_tables(own=holding.own))


def amounts(year: Production) -> dict[str, list[np.ndarray]]:
    """Every array of a year by name."""
    return {
        **{f"{one.account} {one.good}": [one.fresh_kg] for one in year.gathered},
        **{one.account: [one.dm_kg] for one in year.grazing},
        **{
            one.account: [one.heads, one.energy_mj, one.dry_matter_max_kg, *one.products.values()] for one in year.herds
        },
        **{f"seed {one.planting}": [one.fresh_kg] for one in year.seed},
        "sky": [*year.dry_share.values(), np.asarray(year.air_c)],
        "mishaps": [np.asarray(year.thawed), np.asarray(year.hands)],
    }


def test_a_chain_is_the_same_whatever_is_grown_with_it(place: Ground) -> None:
    """Alone, or third of five with another in its place: trees too, which wait for the midwinter of the climate."""
    alone = grow_chains(place, 5, [3], YEARS)
    among = grow_chains(place, 5, [11, -2, 3, 40, 1], YEARS)

    trees = same(among.productions[2], alone.productions[0])
    assert trees > YEARS
    assert [one for one in among.struck if one.chain == 3] == list(alone.struck)


def test_trees_of_each_year_are_as_old_as_it_says(place: Ground) -> None:
    """A chain along its years, and the same weather with the trees grown old: each as it is grown by itself."""
    along, later = tuple(range(2026, 2026 + YEARS)), (2080,) * YEARS
    both = grow_chains(place, 5, [3, 3], YEARS, calendar=[along, later])

    for grown, calendar in zip(both.productions, (along, later), strict=True):
        [alone] = grow_chains(place, 5, [3], YEARS, calendar=calendar).productions
        assert same(grown, alone) > YEARS
        for at, year in enumerate(calendar):
            [other] = grow_chains(place, 5, [3], YEARS, calendar=(year,) * YEARS).productions
            same(grown[at : at + 1], other[at : at + 1])
    now, then = (
        sum(float(one.fresh_kg.sum()) for one in chain[0].gathered if one.account.startswith("trees:"))
        for chain in both.productions
    )
    assert now != then


def same(years: Sequence[Production], others: Sequence[Production]) -> int:
    """Judge years equal to the bit; says how many harvests of trees there were."""
    trees = 0
    for one, other in zip(years, others, strict=True):
        assert [(item.account, item.good) for item in one.gathered] == [
            (item.account, item.good) for item in other.gathered
        ]
        found, wanted = amounts(one), amounts(other)
        assert found.keys() == wanted.keys()
        assert all(np.array_equal(a, b) for name in wanted for a, b in zip(found[name], wanted[name], strict=True))
        trees += sum(item.account.startswith("trees:") for item in one.gathered)
    return trees
