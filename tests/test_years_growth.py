"""Growth of drawn chains: a chain is the same to the last bit whatever others are grown with it."""

from __future__ import annotations

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

    trees = 0
    for full, year in zip(among.productions[2], alone.productions[0], strict=True):
        assert [(one.account, one.good) for one in full.gathered] == [(one.account, one.good) for one in year.gathered]
        found, wanted = amounts(full), amounts(year)
        assert found.keys() == wanted.keys()
        assert all(np.array_equal(a, b) for name in wanted for a, b in zip(found[name], wanted[name], strict=True))
        trees += sum(one.account.startswith("trees:") for one in year.gathered)
    assert trees > YEARS
    assert [one for one in among.struck if one.chain == 3] == list(alone.struck)
